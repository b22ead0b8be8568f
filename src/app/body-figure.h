/* The body form as a drawing, front and back, with a tape laid where a measure is taken.
 */
#ifndef APP_BODY_FIGURE_H
#define APP_BODY_FIGURE_H

#include "model/document.h"

#include <gtk/gtk.h>

#define APP_TYPE_BODY_FIGURE (app_body_figure_get_type ())
G_DECLARE_FINAL_TYPE (AppBodyFigure, app_body_figure, APP, BODY_FIGURE, GtkWidget)

/* BOTH: front and back side by side with the levels named between them, and the form's difference drawn over
 * the wearer; else the one view on which the chosen measure is taken. */
GtkWidget *app_body_figure_new (bool both);
/* Borrowed until the next call; may be NULL. Call again when a measure changed. */
void app_body_figure_set_document (AppBodyFigure *self, const ModelDocument *doc);
/* 0: none. */
void app_body_figure_choose (AppBodyFigure *self, guint measure_id);
/* The form can show where a measure of this key is taken (an arm or a leg it has not). */
bool app_body_figure_knows (const char *key);

#endif
