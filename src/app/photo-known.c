/* From what is known in the picture to how the camera saw the plane. */
#include "app/photo-private.h"

#include "app/unit-entry.h"
#include "trace/tolerance.h"

#include <glib/gi18n.h>
#include <math.h>

/* ISO 216, ANSI/ASME Y14.1, ISO/IEC 7810 ID-1. */
const AppPhotoSheet app_photo_sheets[APP_PHOTO_SHEET_COUNT] = {
  { N_ ("A4"), 297.0, 210.0 },      { N_ ("A3"), 420.0, 297.0 },        { N_ ("A2"), 594.0, 420.0 },
  { N_ ("A5"), 210.0, 148.0 },      { N_ ("Letter"), 279.4, 215.9 },    { N_ ("Legal"), 355.6, 215.9 },
  { N_ ("Tabloid"), 431.8, 279.4 }, { N_ ("Bank card"), 85.60, 53.98 },
};

static double
entry_mm (GtkWidget *entry)
{
  return app_unit_entry_mm (APP_UNIT_ENTRY (entry));
}

/* The known rectangle as it lies in the picture. */
static void
known_size (AppPhotoRoom *self, double *width, double *height)
{
  if (self->way == APP_PHOTO_RECTANGLE)
  {
    *width = entry_mm (self->width);
    *height = entry_mm (self->height);
    return;
  }
  const guint index = MIN (gtk_drop_down_get_selected (GTK_DROP_DOWN (self->sheet)), APP_PHOTO_SHEET_CARD);
  const GeomPoint *p = app_photo_view_points (APP_PHOTO_VIEW (self->view));
  const double across = geom_distance (p[0], p[1]) + geom_distance (p[2], p[3]);
  const double down = geom_distance (p[1], p[2]) + geom_distance (p[3], p[0]);
  *width = across >= down ? app_photo_sheets[index].longer_mm : app_photo_sheets[index].shorter_mm;
  *height = across >= down ? app_photo_sheets[index].shorter_mm : app_photo_sheets[index].longer_mm;
}

static double
flat_mm_per_px (AppPhotoRoom *self, GError **error)
{
  if (self->way == APP_PHOTO_FLAT)
    return self->placed_mm_per_px;
  if (self->way == APP_PHOTO_SCAN)
    return 25.4 / gtk_spin_button_get_value (GTK_SPIN_BUTTON (self->dpi));
  const GeomPoint *p = app_photo_view_points (APP_PHOTO_VIEW (self->view));
  const double px = geom_distance (p[0], p[1]), mm = entry_mm (self->distance);
  if (px >= 2.0 && mm > 0.0)
    return mm / px;
  g_set_error_literal (error, TRACE_ERROR, TRACE_ERROR_CORNERS,
                       mm > 0.0 ? _ ("both points lie in one place")
                                : _ ("how far apart the two points are is not said yet"));
  return 0.0;
}

/* How the camera saw the plane, and the part of it that is wanted.  LOOK: to search, else to lay flat. */
bool
app_photo_room_find_view (AppPhotoRoom *self, bool look, TraceView *view, GeomBox *box, GError **error)
{
  const TracePhoto *photo = self->picture->photo;
  GeomBox known = { 0.0, 0.0, 0.0, 0.0 };
  switch (self->way)
  {
  case APP_PHOTO_MAT:
    *view = self->picture->mat.view;
    known = (GeomBox) { 0.0, 0.0, self->picture->mat.mat.width_mm, self->picture->mat.mat.height_mm };
    *box = look ? trace_mat_look (&self->picture->mat.mat) : known;
    break;
  case APP_PHOTO_SHEET:
  case APP_PHOTO_RECTANGLE:
  {
    double width, height;
    known_size (self, &width, &height);
    if (!isfinite (width) || !isfinite (height))
    {
      g_set_error_literal (error, TRACE_ERROR, TRACE_ERROR_CORNERS,
                           _ ("the rectangle’s width and height are not said yet"));
      return false;
    }
    if (!trace_view_from_corners (app_photo_view_points (APP_PHOTO_VIEW (self->view)), width, height,
                                  photo->width, photo->height, view, error))
      return false;
    *box = known = (GeomBox) { 0.0, 0.0, width, height };
    break;
  }
  case APP_PHOTO_SCAN:
  case APP_PHOTO_DISTANCE:
  case APP_PHOTO_FLAT:
  {
    const double mm = flat_mm_per_px (self, error);
    if (!(mm > 0.0) || !trace_view_flat (photo->width, photo->height, mm, view))
      return false;
    *box = (GeomBox) { 0.0, 0.0, photo->width * mm, photo->height * mm };
    if (MAX (box->x1, box->y1) <= TRACE_MOST_SHEET_MM)
      return true;
    g_set_error_literal (error, TRACE_ERROR, TRACE_ERROR_SIZE,
                         _ ("the picture would be more than three metres long"));
    return false;
  }
  }
  if (self->whole)
    *box = trace_flat_whole (view, photo->width, photo->height, known);
  return true;
}

int
app_photo_way_points (AppPhotoWay way)
{
  switch (way)
  {
  case APP_PHOTO_SHEET:
  case APP_PHOTO_RECTANGLE:
    return 4;
  case APP_PHOTO_DISTANCE:
    return 2;
  case APP_PHOTO_MAT:
  case APP_PHOTO_SCAN:
  case APP_PHOTO_FLAT:
    break;
  }
  return 0;
}

const char *
app_photo_room_hint (AppPhotoRoom *self)
{
  if (self->way == APP_PHOTO_SHEET && self->picture != NULL && self->picture->has_sheet)
    return _ (
      "A sheet was found in the picture. Say which one it is, and look whether the four rings lie on its "
      "corners; a ring can be dragged.");
  switch (self->way)
  {
  case APP_PHOTO_MAT:
    return _ ("The marks say where it lies and how the lens bends.");
  case APP_PHOTO_SHEET:
    return _ (
      "Put the four rings on the sheet’s corners: drag them, or click one corner after the other from "
      "the top left one on. A ring falls into a corner nearby; arrow keys move it from there.");
  case APP_PHOTO_RECTANGLE:
    return _ ("Put the four rings on the rectangle’s corners, from the top left one on. Width is along the "
              "upper side.");
  case APP_PHOTO_SCAN:
    return _ ("A scanner’s file mostly knows how fine it was scanned. A camera’s does not.");
  case APP_PHOTO_DISTANCE:
    return _ ("Put both rings on the ends of a known length. Only right where the picture was taken flat.");
  case APP_PHOTO_FLAT:
    break;
  }
  return "";
}
