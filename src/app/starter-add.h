/* A starter's panels in a document that is open already.
 */
#ifndef APP_STARTER_ADD_H
#define APP_STARTER_ADD_H

#include "app/window.h"

/* The rows of a menu, "Add a starter": one for each card of the start view and one for a rectangle.  They
 * activate "win.add-starter" with "key:choice".  Free it with g_object_unref. */
GMenuModel *app_starter_menu (void);
/* Adds that action to WINDOW. */
void app_starter_add_action (AppWindow *window);
/* Presents the sheet for such a row over WINDOW, which must show a document; begins with what is known of its
 * wearer.  Nothing happens for a row that is unknown. */
void app_starter_add_ask (AppWindow *window, const char *row);
/* Adds what MADE holds to the document of WINDOW, to the right of what is there, in one step of undo.
 * Measures that are there keep their figures; those that are not, or have none for the wearer, come along. */
void app_starter_add (AppWindow *window, const ModelDocument *made);

#endif
