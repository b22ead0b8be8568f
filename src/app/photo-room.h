/* The room where a photo or scan is given its true size and its pieces become panels.
 *
 * Something known is said of it (a sheet, a rectangle, the printed mat, a scan's resolution, a distance);
 * then it is laid under the panels, or the outlines of its pieces are found, looked at, and taken.  Nothing
 * of a document is touched before that.
 */
#ifndef APP_PHOTO_ROOM_H
#define APP_PHOTO_ROOM_H

#include "app/photo-view.h"
#include "app/session.h"

#define APP_TYPE_PHOTO_ROOM (app_photo_room_get_type ())
G_DECLARE_FINAL_TYPE (AppPhotoRoom, app_photo_room, APP, PHOTO_ROOM, GtkWidget)

typedef enum AppPhotoWay
{
  APP_PHOTO_MAT,
  APP_PHOTO_SHEET,
  APP_PHOTO_RECTANGLE,
  APP_PHOTO_SCAN,
  APP_PHOTO_DISTANCE,
  APP_PHOTO_FLAT /* laid flat before: nothing to say */
} AppPhotoWay;

/* Signals: "taken" (): what was wanted is ready for app_photo_room_put.  "left" (): the maker goes back. */

GtkWidget *app_photo_room_new (void);
/* Forgets what it shows and reads FILE. */
void app_photo_room_open (AppPhotoRoom *self, GFile *file);
/* The same with a picture placed in a document: what is found in it will lie on it. */
void app_photo_room_open_placed (AppPhotoRoom *self, const ModelPhoto *photo);
/* Puts what was taken into SESSION, in one step of undo, and chooses it; a drawing that is there is kept
 * clear of. */
void app_photo_room_put (AppPhotoRoom *self, AppSession *session);
/* The picture's name without its ending: a title for a new document. */
char *app_photo_room_title (AppPhotoRoom *self);
/* The unit lengths are read in. */
void app_photo_room_set_unit (AppPhotoRoom *self, ModelUnit unit);
void app_photo_room_forget (AppPhotoRoom *self);

/* ---- for tests, and nothing a hand could not do ---- */

AppPhotoView *app_photo_room_view (AppPhotoRoom *self);
bool app_photo_room_is_busy (AppPhotoRoom *self);
/* What it complains of; NULL: nothing. */
const char *app_photo_room_trouble (AppPhotoRoom *self);
AppPhotoWay app_photo_room_way (AppPhotoRoom *self);
guint app_photo_room_found (AppPhotoRoom *self);
/* "way-mat", "way-sheet" ..., "sheet", "width", "height", "dpi", "distance", "find", "place", "take",
 * "under", "back", "cancel", "tick-0" ...; NULL for any other. */
GtkWidget *app_photo_room_field (AppPhotoRoom *self, const char *name);

#endif
