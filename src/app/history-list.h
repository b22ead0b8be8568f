/* The arrow beside undo and redo: every step of the document with its label, and the present place among
 * them.
 */
#ifndef APP_HISTORY_LIST_H
#define APP_HISTORY_LIST_H

#include "app/session.h"

#include <gtk/gtk.h>

#define APP_TYPE_HISTORY_LIST (app_history_list_get_type ())
G_DECLARE_FINAL_TYPE (AppHistoryList, app_history_list, APP, HISTORY_LIST, GtkWidget)

/* A button with a list that opens below it.  Up and Down walk, Enter goes to the step, Escape leaves.  Adds
 * the action "steps" to MAP, which opens it. */
GtkWidget *app_history_list_new (GActionMap *map);
/* NULL: nothing to open. */
void app_history_list_set_session (AppHistoryList *self, AppSession *session);
void app_history_list_open (AppHistoryList *self);
bool app_history_list_is_open (AppHistoryList *self);

/* ---- for tests ---- */

/* The list of rows, newest first; the last is the document as it was opened. */
GtkListBox *app_history_list_box (AppHistoryList *self);

#endif
