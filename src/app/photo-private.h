/* What the files of the photo room share: photo-room.c its state and long work, photo-side.c the widgets that
 * ask, photo-known.c what follows from the answers, photo-put.c the way into a document. */
#ifndef APP_PHOTO_PRIVATE_H
#define APP_PHOTO_PRIVATE_H

#include "app/photo-room.h"
#include "app/picture.h"

#include "trace/flat.h"
#include "trace/piece.h"

#define APP_PHOTO_USUAL_DPI 300.0
#define APP_PHOTO_TOLERANCES 4

typedef struct AppPhotoSheet
{
  const char *name; /* to be translated */
  double longer_mm, shorter_mm;
} AppPhotoSheet;

#define APP_PHOTO_SHEET_COUNT 8
#define APP_PHOTO_SHEET_CARD (APP_PHOTO_SHEET_COUNT - 1)
extern const AppPhotoSheet app_photo_sheets[APP_PHOTO_SHEET_COUNT];

struct _AppPhotoRoom
{
  GtkWidget parent;
  GtkWidget *root, *view, *name, *busy, *busy_words, *trouble, *ask, *hint, *ways[APP_PHOTO_FLAT], *mat_words,
    *sheet, *width, *height, *dpi, *distance, *extent_box, *extent[2], *buttons, *deed, *place, *found_box,
    *found_words, *list, *tolerance[APP_PHOTO_TOLERANCES], *under, *back, *cancel_button, *flat_words,
    *scroll, *bar, *empty, *empty_title, *empty_words, *empty_cancel, *empty_other;
  char *reading; /* the name of the file in hand, for people */
  guint ticking; /* the bar follows the work */
  AppPicture *picture;
  AppPhotoWay way;
  bool whole, showing;
  GCancellable *cancel;
  /* a picture of the document that is traced again */
  bool placed;
  GeomAffine placed_map;
  double placed_mm_per_px;
  /* what was found, and how */
  TraceResult *result;
  TraceView view_found;
  GArray *wanted; /* gboolean */
  /* what will be put */
  TraceFlat *flat;
  bool takes_pieces;
};

/* ---- photo-known.c ---- */

/* How the camera saw the plane, and the part of it that is wanted.  LOOK: to search, else to lay flat. */
bool app_photo_room_find_view (AppPhotoRoom *self, bool look, TraceView *view, GeomBox *box, GError **error);
/* Rings that are set by hand. */
int app_photo_way_points (AppPhotoWay way);
/* What to do now, in a sentence or two. */
const char *app_photo_room_hint (AppPhotoRoom *self);

/* ---- photo-side.c ---- */

GtkWidget *app_photo_side_new (AppPhotoRoom *self);
/* What lies on the table while there is no picture: that one is being read, or why it cannot be. */
GtkWidget *app_photo_empty_new (AppPhotoRoom *self);
double app_photo_side_tolerance_mm (AppPhotoRoom *self);

/* ---- photo-room.c ---- */

void app_photo_room_set_way (AppPhotoRoom *self, AppPhotoWay way);
/* An answer was changed: what was found by it is forgotten. */
void app_photo_room_changed (AppPhotoRoom *self);
void app_photo_room_look (AppPhotoRoom *self);
void app_photo_room_place (AppPhotoRoom *self);
void app_photo_room_take (AppPhotoRoom *self);
/* Finds, or takes what was found. */
void app_photo_room_deed (AppPhotoRoom *self);
void app_photo_room_cancel (AppPhotoRoom *self);
void app_photo_room_leave (AppPhotoRoom *self);

#endif
