/* A card for each thing the starters are mostly asked for: five in a row, three where the room is narrow.
 */
#ifndef APP_STARTER_CARDS_H
#define APP_STARTER_CARDS_H

#include "engine/starter.h"

#include <gtk/gtk.h>

#define APP_TYPE_STARTER_CARDS (app_starter_cards_get_type ())
G_DECLARE_FINAL_TYPE (AppStarterCards, app_starter_cards, APP, STARTER_CARDS, GtkWidget)

typedef struct AppStarterCard
{
  const EngineStarter *starter;
  int first_choice;
  const char *name, *text; /* untranslated */
} AppStarterCard;

/* What the cards offer, in their order. */
const AppStarterCard *app_starter_card_table (guint *count);

/* A click on a card presents its sheet over the window it lies in (app/starter-sheet.h). */
GtkWidget *app_starter_cards_new (void);
guint app_starter_cards_count (AppStarterCards *self);
GtkWidget *app_starter_cards_button (AppStarterCards *self, guint index);

#endif
