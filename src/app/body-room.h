/* The room of the body: all measures, where each is taken, and where the form is no longer the wearer.
 */
#ifndef APP_BODY_ROOM_H
#define APP_BODY_ROOM_H

#include "app/session.h"

#include <gtk/gtk.h>

#define APP_TYPE_BODY_ROOM (app_body_room_get_type ())
G_DECLARE_FINAL_TYPE (AppBodyRoom, app_body_room, APP, BODY_ROOM, GtkWidget)

GtkWidget *app_body_room_new (void);
void app_body_room_set_session (AppBodyRoom *self, AppSession *session);

#endif
