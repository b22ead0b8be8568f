/* What can be said about the chosen photo: how faint it is, how it lies, and whether it may be touched. */
#ifndef APP_PHOTO_CARD_H
#define APP_PHOTO_CARD_H

#include "app/session.h"

#include <gtk/gtk.h>

#define APP_TYPE_PHOTO_CARD (app_photo_card_get_type ())
G_DECLARE_FINAL_TYPE (AppPhotoCard, app_photo_card, APP, PHOTO_CARD, GtkWidget)

/* Shows itself while a photo is chosen, and hides otherwise. */
GtkWidget *app_photo_card_new (void);
void app_photo_card_set_session (AppPhotoCard *self, AppSession *session);
/* For tests: "fade", "turn", "locked", "hidden", "trace", "remove"; NULL for any other name. */
GtkWidget *app_photo_card_field (AppPhotoCard *self, const char *name);

#endif
