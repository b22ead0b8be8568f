/* The tapes pinned to a panel, in its card: what each reads now, what it read over the wrap, whether it is
 * printed.
 */
#ifndef APP_TAPE_LIST_H
#define APP_TAPE_LIST_H

#include "app/session.h"

#include <gtk/gtk.h>

#define APP_TYPE_TAPE_LIST (app_tape_list_get_type ())
G_DECLARE_FINAL_TYPE (AppTapeList, app_tape_list, APP, TAPE_LIST, GtkWidget)

/* SESSION is borrowed until _forget.  Without tapes nothing is shown. */
void app_tape_list_show (AppTapeList *self, AppSession *session, const ModelPanel *panel);
void app_tape_list_forget (AppTapeList *self);
/* For tests: the field for the wrap of the tape at INDEX, NULL if there is none, and what its row says. */
GtkWidget *app_tape_list_wrap (AppTapeList *self, guint index);
const char *app_tape_list_says (AppTapeList *self, guint index);

#endif
