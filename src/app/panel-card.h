/* What can be said about the chosen panel, or about the chosen edge. */
#ifndef APP_PANEL_CARD_H
#define APP_PANEL_CARD_H

#include "app/session.h"

#include <gtk/gtk.h>

#define APP_TYPE_PANEL_CARD (app_panel_card_get_type ())
G_DECLARE_FINAL_TYPE (AppPanelCard, app_panel_card, APP, PANEL_CARD, GtkWidget)

/* Shows itself while a panel or an edge is chosen, and hides otherwise. */
GtkWidget *app_panel_card_new (void);
void app_panel_card_set_session (AppPanelCard *self, AppSession *session);

/* The fields, for tests: "edge-length", "edge-allowance", "panel-name", "quantity", "pair", "dome", "dart"
 * ...; NULL for any other name. */
GtkWidget *app_panel_card_field (AppPanelCard *self, const char *name);

#endif
