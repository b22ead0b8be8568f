/* Will it lie flat?  The dome a panel must go over, taken from the form with a ruler: how high it stands and
 * how wide its base is, and what the material says to it.  Asked, answered and forgotten: nothing of it is
 * kept in the document.
 */
#ifndef APP_DOME_CARD_H
#define APP_DOME_CARD_H

#include "model/document.h"

#include <gtk/gtk.h>

#define APP_TYPE_DOME_CARD (app_dome_card_get_type ())
G_DECLARE_FINAL_TYPE (AppDomeCard, app_dome_card, APP, DOME_CARD, GtkWidget)

/* Folded away until it is asked for. */
GtkWidget *app_dome_card_new (void);
/* The panel's document and material (may be NULL); neither is kept. */
void app_dome_card_show (AppDomeCard *self, const ModelDocument *doc, const ModelMaterial *material);
/* For tests: the fields, and what is said, NULL while there is nothing to say. */
GtkWidget *app_dome_card_base (AppDomeCard *self);
GtkWidget *app_dome_card_height (AppDomeCard *self);
const char *app_dome_card_says (AppDomeCard *self);

#endif
