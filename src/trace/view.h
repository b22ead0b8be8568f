/* How the camera saw the sheet: the map from the sheet's plane to the picture.
 *
 *   sheet, mm, y up  --plane seen in perspective-->  a pinhole's picture  --lens-->  the picture, px, y down
 *
 * The lens bends by one number about the middle of the picture: a ray that a pinhole would put r from there
 * (r = 1 at the picture's corner) is found at r (1 + k r^2).  Four corners cannot tell k and leave it at 0;
 * many marks can.
 */
#ifndef TRACE_VIEW_H
#define TRACE_VIEW_H

#include "geom/point.h"

#include <glib.h>
#include <stdbool.h>

typedef struct TraceView
{
  GeomPoint plane_centre; /* mm */
  double plane_scale;     /* mm a unit */
  GeomPoint middle;       /* of the picture, px */
  double half_diagonal;   /* px a unit */
  double h[8];            /* plane to pinhole picture, in those units; the ninth is 1 */
  double k;
} TraceView;

/* From the pixels of a WIDTH_MM x HEIGHT_MM rectangle's corners, clockwise as seen, from its top left one.
 * The rectangle's lower left corner becomes (0, 0) of the plane.  TRACE_ERROR_CORNERS: not finite, outside
 * the picture, in line, not convex, the wrong way round, or plainly of the other proportion (width and height
 * exchanged). */
bool trace_view_from_corners (const GeomPoint corner[4],
                              double width_mm,
                              double height_mm,
                              int picture_width,
                              int picture_height,
                              TraceView *view,
                              GError **error);
/* The view of least squares through COUNT pairs of places: starts from *VIEW, fits the plane and, WITH_LENS,
 * k. Returns the root of the mean square distance left, px; *VIEW keeps the best found. */
double trace_view_refine (
  TraceView *view, const GeomPoint *plane_mm, const GeomPoint *picture_px, size_t count, bool with_lens);
/* Exactly through four pairs, without checks but one: false if no map exists. */
bool trace_view_through_four (TraceView *view, const GeomPoint plane_mm[4], const GeomPoint picture_px[4]);
/* Sets the units: call before the two above. */
void trace_view_set_units (
  TraceView *view, double width_mm, double height_mm, int picture_width, int picture_height);

GeomPoint trace_view_to_picture (const TraceView *view, GeomPoint plane_mm);
/* The other way.  False if the camera looks past the plane there. */
bool trace_view_to_plane (const TraceView *view, GeomPoint picture_px, GeomPoint *plane_mm);
/* A scan, or a picture laid flat already: WIDTH x HEIGHT px, every pixel MM_PER_PX wide and high; (0, 0) of
 * the plane is the picture's lower left corner. */
bool trace_view_flat (int width, int height, double mm_per_px, TraceView *view);
/* Pixels a millimetre at a place: the larger of the two directions. */
double trace_view_scale_at (const TraceView *view, GeomPoint plane_mm);

#endif
