/* A large picture of a document that is still being worked out: its panels as drawn, with the length of every
 * edge beside it and a stretch of known length for scale.
 */
#ifndef APP_STARTER_PICTURE_H
#define APP_STARTER_PICTURE_H

#include "model/document.h"

#include <gtk/gtk.h>

#define APP_TYPE_STARTER_PICTURE (app_starter_picture_get_type ())
G_DECLARE_FINAL_TYPE (AppStarterPicture, app_starter_picture, APP, STARTER_PICTURE, GtkWidget)

GtkWidget *app_starter_picture_new (void);
/* Takes DOC.  NULL: the last one stays, pale, because nothing follows from the present figures. */
void app_starter_picture_set (AppStarterPicture *self, ModelDocument *doc);
/* Borrowed; NULL while the picture is pale or empty. */
ModelDocument *app_starter_picture_document (AppStarterPicture *self);

#endif
