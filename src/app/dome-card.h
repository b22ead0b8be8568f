/* Will it lie flat?  The dome a panel must go over, by the tapes pinned to it or as said with a height and a
 * base, what the material says to it, and what takes it out, begun with one button.  Below, where the panel
 * domes when it is put together with the others.
 */
#ifndef APP_DOME_CARD_H
#define APP_DOME_CARD_H

#include "engine/review.h"

#include <gtk/gtk.h>

#define APP_TYPE_DOME_CARD (app_dome_card_get_type ())
G_DECLARE_FINAL_TYPE (AppDomeCard, app_dome_card, APP, DOME_CARD, GtkWidget)

/* Folded away until it is asked for. */
GtkWidget *app_dome_card_new (void);
/* SIDE: the one in hand.  REVIEW is kept until _forget. */
void app_dome_card_show (AppDomeCard *self, EngineReview *review, const ModelPanel *panel, ModelSide side);
void app_dome_card_forget (AppDomeCard *self);
/* For tests: the fields, what is said, NULL while there is nothing to say; the button of an AppReliefDeed;
 * the list of where the panel domes. */
GtkWidget *app_dome_card_deed (AppDomeCard *self, guint deed);
const char *app_dome_card_assembled (AppDomeCard *self);
GtkWidget *app_dome_card_base (AppDomeCard *self);
GtkWidget *app_dome_card_height (AppDomeCard *self);
const char *app_dome_card_says (AppDomeCard *self);

#endif
