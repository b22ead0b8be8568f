/* The photo on its table: zoomed and moved by hand, with two or four points that are set on something known,
 * and the outlines that were found in it.
 *
 * A corner set by hand falls into a real one nearby (with Ctrl it does not).  The point in hand is shown
 * larger in a looking glass beside it.  Wheel and pinch zoom, the middle button, the space bar or a drag off
 * the points moves the picture.  Keys: 1 to 4 choose a point, arrows move it by one pixel of the photo (Shift
 * 10, Alt a tenth), plus and minus zoom, 0 shows all.
 */
#ifndef APP_PHOTO_VIEW_H
#define APP_PHOTO_VIEW_H

#include "app/picture.h"

#define APP_TYPE_PHOTO_VIEW (app_photo_view_get_type ())
G_DECLARE_FINAL_TYPE (AppPhotoView, app_photo_view, APP, PHOTO_VIEW, GtkWidget)

#define APP_PHOTO_MOST_POINTS 4

/* Signals: "points-changed" (): one was moved by hand.  "chosen-changed" (): another point is in hand. */

GtkWidget *app_photo_view_new (void);
/* NULL: an empty table.  Puts the points where a first guess would have them. */
void app_photo_view_set_picture (AppPhotoView *self, AppPicture *picture);

/* 0, 2 (a known distance) or 4 (corners, clockwise from the top left one). */
void app_photo_view_set_point_count (AppPhotoView *self, int count);
/* Places in the photo, px. */
void app_photo_view_set_points (AppPhotoView *self, const GeomPoint *point, int count);
const GeomPoint *app_photo_view_points (AppPhotoView *self);
void app_photo_view_choose_point (AppPhotoView *self, int index);
int app_photo_view_chosen_point (AppPhotoView *self);
bool app_photo_view_key (AppPhotoView *self, guint keyval, GdkModifierType state);

/* Outlines over the picture: closed rows of places in the photo; copied.  Shown in blue, or pale when not
 * WANTED. */
void app_photo_view_clear_outlines (AppPhotoView *self);
void app_photo_view_add_outline (AppPhotoView *self, const GeomPoint *px, guint count, const char *name);
void app_photo_view_want_outline (AppPhotoView *self, guint index, bool wanted);
/* A frame round what is looked at; COUNT 0: none. */
void app_photo_view_set_frame (AppPhotoView *self, const GeomPoint *px, guint count);

/* Widget place of a place in the photo, for tests. */
void app_photo_view_to_widget (AppPhotoView *self, GeomPoint px, double *x, double *y);

#endif
