/* The chosen dart: where it stands, what it takes in, whether its legs agree and the edge runs on over it
 * when it is closed; and what can be done with it.  A second widget lists the darts of a panel.
 *
 * The deeds are the canvas's actions "dart.…": app_dart_actions_share brings them here.
 */
#ifndef APP_DART_CARD_H
#define APP_DART_CARD_H

#include "app/session.h"

#include <gtk/gtk.h>

#define APP_TYPE_DART_CARD (app_dart_card_get_type ())
G_DECLARE_FINAL_TYPE (AppDartCard, app_dart_card, APP, DART_CARD, GtkWidget)

/* Signal "leg-toggled" (): the maker wants the fields of the leg as an edge, or no more. */

/* SESSION is borrowed until _forget.  False, and hidden: no dart is chosen. */
bool app_dart_card_show (AppDartCard *self, AppSession *session);
void app_dart_card_forget (AppDartCard *self);
/* The fields of the leg as an edge are wanted. */
bool app_dart_card_shows_leg (AppDartCard *self);

/* For tests: the fields; "intake", "angle"; what it says of "edge", "depth", "legs", "cap", "trouble"; the
 * menus "move", "divide", "seam"; NULL for any other name. */
GtkWidget *app_dart_card_field (AppDartCard *self, const char *name);

#define APP_TYPE_DART_LIST (app_dart_list_get_type ())
G_DECLARE_FINAL_TYPE (AppDartList, app_dart_list, APP, DART_LIST, GtkWidget)

/* Hidden where there is none.  SESSION is borrowed until _show with another one. */
void app_dart_list_show (AppDartList *self, AppSession *session, const ModelPanel *panel);
/* For tests: the button of the dart at INDEX, NULL if there is none. */
GtkWidget *app_dart_list_button (AppDartList *self, guint index);

#endif
