/* One window, one document: header, rooms, messages, and every action of the document.
 */
#ifndef APP_WINDOW_H
#define APP_WINDOW_H

#include "app/panels-room.h"
#include "app/photo-room.h"
#include "app/session.h"

#include <gtk/gtk.h>

#define APP_TYPE_WINDOW (app_window_get_type ())
G_DECLARE_FINAL_TYPE (AppWindow, app_window, APP, WINDOW, GtkApplicationWindow)

/* Shows the start view until a document comes. */
AppWindow *app_window_new (GtkApplication *application);

/* NULL: the start view. */
AppSession *app_window_session (AppWindow *self);
void app_window_set_session (AppWindow *self, AppSession *session);
/* Takes DOC.  In this window if it shows nothing that could be lost, else in a new one.  Returns the window,
 * presented. */
AppWindow *app_window_show_document (AppWindow *self, ModelDocument *doc, GFile *file, const char *etag);
/* Reads and shows FILE, a picture in the room for photos; what goes wrong is said in the window. */
void app_window_open_file (AppWindow *self, GFile *file);
/* The outlines of an SVG drawing as panels of this document, of a new one if there is none. */
void app_window_import_svg (AppWindow *self, GFile *file);
/* A new document by the settings, without a file. */
void app_window_new_document (AppWindow *self);
/* Shows the room where a photo becomes panels: with FILE, or (NULL) after asking for one. */
void app_window_from_photo (AppWindow *self, GFile *file);
AppPhotoRoom *app_window_photo_room (AppWindow *self);
/* "body", "panels" or "sheets". */
void app_window_show_room (AppWindow *self, const char *room);
AppPanelsRoom *app_window_panels_room (AppWindow *self);

/* A line below the header; DEED (may be NULL) is a button that activates ACTION. */
void app_window_tell (AppWindow *self, const char *words, bool trouble, const char *deed, const char *action);
/* What the line says now; NULL when there is none. */
const char *app_window_message (AppWindow *self);
/* Asks about unsaved changes where there are any, then closes.  True if it closed at once. */
bool app_window_ask_to_close (AppWindow *self);

#endif
