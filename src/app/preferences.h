/* The preferences: each is applied at once, there is nothing to confirm. */
#ifndef APP_PREFERENCES_H
#define APP_PREFERENCES_H

#include <gtk/gtk.h>

/* Shows the one window of preferences over PARENT. */
void app_preferences_show (GtkWindow *parent);

#endif
