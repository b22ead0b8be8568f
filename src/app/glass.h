/* A looking glass: a small difference, four to eight times larger.  Of two joined edges it shows how they
 * would lie together.
 */
#ifndef APP_GLASS_H
#define APP_GLASS_H

#include "app/session.h"

#include <gtk/gtk.h>

#define APP_TYPE_GLASS (app_glass_get_type ())
G_DECLARE_FINAL_TYPE (AppGlass, app_glass, APP, GLASS, GtkWidget)

GtkWidget *app_glass_new (void);
/* Shows the session's open finding and follows its preview; NULL: nothing, and takes no room. */
void app_glass_show (AppGlass *self, AppSession *session);

#endif
