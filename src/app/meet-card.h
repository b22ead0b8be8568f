/* Ends that do not meet at a fitting: how far its two edges are apart at either end, on the
 * wearer's left and right, and what putting half of it on each panel would do.  Previewed like a remedy. */
#ifndef APP_MEET_CARD_H
#define APP_MEET_CARD_H

#include "app/session.h"

#include <gtk/gtk.h>

#define APP_TYPE_MEET_CARD (app_meet_card_get_type ())
G_DECLARE_FINAL_TYPE (AppMeetCard, app_meet_card, APP, MEET_CARD, GtkWidget)

GtkWidget *app_meet_card_new (void);
/* JOIN_ID 0: nothing is asked, and it is not shown. */
void app_meet_card_show (AppMeetCard *self, AppSession *session, guint join_id);

/* ---- for tests ---- */

/* The field for the wearer's LEFT or right, at the join's end or start. */
GtkWidget *app_meet_card_field (AppMeetCard *self, bool left, bool at_end);
void app_meet_card_take (AppMeetCard *self);
/* What is said below the fields. */
const char *app_meet_card_says (AppMeetCard *self);

#endif
