/* The column at the right of the paper that answers a command: revisions, fitting, the list of panels.  One
 * at a time, closed by its button or Escape.
 */
#ifndef APP_ASIDE_H
#define APP_ASIDE_H

#include "app/canvas.h"

#define APP_TYPE_ASIDE (app_aside_get_type ())
G_DECLARE_FINAL_TYPE (AppAside, app_aside, APP, ASIDE, GtkWidget)

/* Borrows CANVAS, which lives as long. */
GtkWidget *app_aside_new (AppCanvas *canvas);
void app_aside_set_session (AppAside *self, AppSession *session);
/* "revisions", "fitting" or "panel-list"; NULL closes it. */
void app_aside_show (AppAside *self, const char *which);
/* What is open; NULL: nothing. */
const char *app_aside_shown (AppAside *self);
/* The pane of that name. */
GtkWidget *app_aside_pane (AppAside *self, const char *which);

#endif
