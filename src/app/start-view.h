/* What is shown before a document is open: ways in, what was last worked on, the first minute.
 */
#ifndef APP_START_VIEW_H
#define APP_START_VIEW_H

#include <gtk/gtk.h>

#define APP_TYPE_START_VIEW (app_start_view_get_type ())
G_DECLARE_FINAL_TYPE (AppStartView, app_start_view, APP, START_VIEW, GtkWidget)

/* Signals:
 *   "blank" (): a new sheet of paper is wanted.
 *   "open" (GFile *file): a file of the maker's own.
 *   "example" (GFile *file): a shipped example; to be opened as a copy without a file, so that the original
 * stays. */

GtkWidget *app_start_view_new (void);
/* Reads the recent files again. */
void app_start_view_refresh (AppStartView *self);

/* Where the shipped data lies: beside the installed program, or in the source tree while developing.  NULL if
 * NAME is not there. */
GFile *app_shipped_file (const char *name);

#endif
