/* The answer to one finding: its sentence, where it lies, what would settle it, previewed before it is taken.
 */
#ifndef APP_FINDING_CARD_H
#define APP_FINDING_CARD_H

#include "app/session.h"

#include <gtk/gtk.h>

#define APP_TYPE_FINDING_CARD (app_finding_card_get_type ())
G_DECLARE_FINAL_TYPE (AppFindingCard, app_finding_card, APP, FINDING_CARD, GtkWidget)

/* Signal "shown" (gboolean shown): a finding was opened, or the card went away. */

GtkWidget *app_finding_card_new (void);
void app_finding_card_set_session (AppFindingCard *self, AppSession *session);
/* "AT of COUNT", as the list counts them; nothing for 0. */
void app_finding_card_number (AppFindingCard *self, guint at, guint count);
/* True while a finding is open. */
bool app_finding_card_is_open (AppFindingCard *self);
guint app_finding_card_remedy_count (AppFindingCard *self);
guint app_finding_card_chosen (AppFindingCard *self);
/* The next remedy (STEP 1) or the one before (-1), round about. */
void app_finding_card_step (AppFindingCard *self, int step);
void app_finding_card_take (AppFindingCard *self);
void app_finding_card_leave (AppFindingCard *self);
/* The keys of the card come to it from anywhere in the room: true if it used KEYVAL. */
bool app_finding_card_key (AppFindingCard *self, guint keyval);

#endif
