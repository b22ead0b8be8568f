/* All panels in a list: found by name, named, shown or hidden, locked, put in order.
 *
 * A row has the panel's outline, its name, what it is cut from and how often, and two switches.  The list and
 * the paper choose together.
 */
#ifndef APP_LIST_PANE_H
#define APP_LIST_PANE_H

#include "app/canvas.h"

#define APP_TYPE_LIST_PANE (app_list_pane_get_type ())
G_DECLARE_FINAL_TYPE (AppListPane, app_list_pane, APP, LIST_PANE, GtkWidget)

GtkWidget *app_list_pane_new (AppCanvas *canvas);
void app_list_pane_set_session (AppListPane *self, AppSession *session);
/* While closed it follows nothing. */
void app_list_pane_set_open (AppListPane *self, bool open);

/* ---- for tests ---- */

/* Only panels whose name holds WORDS, whatever the case. */
void app_list_pane_search (AppListPane *self, const char *words);
/* Rows that the search leaves; the name of the one at INDEX of them, NULL past the last.  Free it. */
guint app_list_pane_count (AppListPane *self);
char *app_list_pane_name (AppListPane *self, guint index);
/* As by F2, NAME and Return, then Escape. */
void app_list_pane_rename (AppListPane *self, guint panel_id, const char *name);

#endif
