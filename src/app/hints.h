/* A strip over the foot of the paper that says the next thing to do where a first piece often stops.
 *
 * It comes when a tool was taken up or a thing begun and nothing followed for some seconds, and goes with the
 * next step.  Each hint comes a few times only; all can be switched off.
 */
#ifndef APP_HINTS_H
#define APP_HINTS_H

#include "app/canvas.h"

#define APP_TYPE_HINTS (app_hints_get_type ())
G_DECLARE_FINAL_TYPE (AppHints, app_hints, APP, HINTS, GtkWidget)

/* How often one hint comes, ever. */
#define APP_HINTS_MOST 3

/* To be laid over CANVAS, which outlives it; lets every click through. */
GtkWidget *app_hints_new (AppCanvas *canvas);
/* The hint that is shown; NULL: none. */
const char *app_hints_shown (AppHints *self);
/* How long nothing must have happened, for tests. */
void app_hints_set_patience (AppHints *self, guint ms);

#endif
