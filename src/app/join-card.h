/* What can be said about the chosen join: its kind and width, which panel is over, ease and tolerance. */
#ifndef APP_JOIN_CARD_H
#define APP_JOIN_CARD_H

#include "app/session.h"

#include <gtk/gtk.h>

#define APP_TYPE_JOIN_CARD (app_join_card_get_type ())
G_DECLARE_FINAL_TYPE (AppJoinCard, app_join_card, APP, JOIN_CARD, GtkWidget)

GtkWidget *app_join_card_new (void);
void app_join_card_set_session (AppJoinCard *self, AppSession *session);
/* 0: none. Also to be called when the join changed. */
void app_join_card_show (AppJoinCard *self, guint join_id);

#endif
