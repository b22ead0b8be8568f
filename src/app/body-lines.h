/* The lines round and across the body, each with what the panels make there and what is wanted.
 */
#ifndef APP_BODY_LINES_H
#define APP_BODY_LINES_H

#include "app/session.h"

#include <gtk/gtk.h>

#define APP_TYPE_BODY_LINES (app_body_lines_get_type ())
G_DECLARE_FINAL_TYPE (AppBodyLines, app_body_lines, APP, BODY_LINES, GtkWidget)

GtkWidget *app_body_lines_new (void);
/* Fills it anew from SESSION, NULL: empty. */
void app_body_lines_show (AppBodyLines *self, AppSession *session);

#endif
