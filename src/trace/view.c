#include "trace/view.h"

#include "trace/photo.h"
#include "trace/tolerance.h"

#include <glib/gi18n.h>
#include <string.h>

#define PARAMETERS 9
/* Steps of Gauss and Newton, damped; five are usual. */
#define MOST_STEPS 40
/* Beyond this no lens is left that is sold for photos of flat things. */
#define MOST_BENDING 0.3
/* Sine of the angle at a corner below which the four corners are as good as in line: 3 degrees. */
#define LEAST_SINE 0.05
/* Shorter sides, in px, carry no measure. */
#define LEAST_SIDE 32.0
/* How much better the exchanged proportion must fit before it is taken for a slip: a tilt of 50 degrees makes
 * less. */
#define EXCHANGED 0.45

void
trace_view_set_units (
  TraceView *view, double width_mm, double height_mm, int picture_width, int picture_height)
{
  memset (view, 0, sizeof *view);
  view->plane_centre = geom_point (width_mm / 2.0, height_mm / 2.0);
  view->plane_scale = MAX (width_mm, height_mm) / 2.0;
  view->middle = geom_point ((picture_width - 1) / 2.0, (picture_height - 1) / 2.0);
  view->half_diagonal = hypot (picture_width, picture_height) / 2.0;
}

GeomPoint
trace_view_to_picture (const TraceView *v, GeomPoint p)
{
  const double x = (p.x - v->plane_centre.x) / v->plane_scale, y = (p.y - v->plane_centre.y) / v->plane_scale;
  const double w = v->h[6] * x + v->h[7] * y + 1.0;
  const double a = (v->h[0] * x + v->h[1] * y + v->h[2]) / w;
  const double b = (v->h[3] * x + v->h[4] * y + v->h[5]) / w;
  const double f = v->half_diagonal * (1.0 + v->k * (a * a + b * b));
  return geom_point (v->middle.x + f * a, v->middle.y + f * b);
}

/* r (1 + k r^2) = bent, by Newton from BENT: it doubles its digits each turn, and MOST_BENDING keeps the
 * slope away from 0. */
#define UNBEND_STEPS 8

bool
trace_view_to_plane (const TraceView *v, GeomPoint picture_px, GeomPoint *plane_mm)
{
  GeomPoint q = geom_scale (geom_sub (picture_px, v->middle), 1.0 / v->half_diagonal);
  const double bent = geom_norm (q);
  double r = bent;
  for (int i = 0; i < UNBEND_STEPS && bent > 0.0; i++)
    r -= (r * (1.0 + v->k * r * r) - bent) / MAX (1.0 + 3.0 * v->k * r * r, 0.1);
  if (bent > 0.0)
    q = geom_scale (q, r / bent);
  const double a = v->h[0] - q.x * v->h[6], b = v->h[1] - q.x * v->h[7], c = q.x - v->h[2];
  const double d = v->h[3] - q.y * v->h[6], e = v->h[4] - q.y * v->h[7], f = q.y - v->h[5];
  const double whole = a * e - b * d;
  const GeomPoint p = { (c * e - b * f) / whole, (a * f - c * d) / whole };
  if (!isfinite (p.x) || !isfinite (p.y) || !(v->h[6] * p.x + v->h[7] * p.y + 1.0 > 1e-3))
    return false;
  *plane_mm = geom_add (v->plane_centre, geom_scale (p, v->plane_scale));
  return true;
}

bool
trace_view_flat (int width, int height, double mm_per_px, TraceView *view)
{
  const double w = width * mm_per_px, h = height * mm_per_px;
  if (width < 1 || height < 1 || !(mm_per_px > 0.0) || !isfinite (w) || !isfinite (h))
    return false;
  *view = (TraceView) { 0 };
  trace_view_set_units (view, w, h, width, height);
  const GeomPoint plane[4] = { { 0.0, h }, { w, h }, { w, 0.0 }, { 0.0, 0.0 } };
  const double x1 = width - 0.5, y1 = height - 0.5;
  const GeomPoint picture[4] = { { -0.5, -0.5 }, { x1, -0.5 }, { x1, y1 }, { -0.5, y1 } };
  return trace_view_through_four (view, plane, picture);
}

double
trace_view_scale_at (const TraceView *view, GeomPoint p)
{
  const GeomPoint here = trace_view_to_picture (view, p);
  return MAX (geom_distance (here, trace_view_to_picture (view, geom_point (p.x + 1.0, p.y))),
              geom_distance (here, trace_view_to_picture (view, geom_point (p.x, p.y + 1.0))));
}

/* Solves A x = b in place by elimination with row pivots; the answer is in the last column. */
static bool
solve (double *a, int n)
{
  const int columns = n + 1;
  for (int c = 0; c < n; c++)
  {
    int best = c;
    for (int r = c + 1; r < n; r++)
      if (fabs (a[r * columns + c]) > fabs (a[best * columns + c]))
        best = r;
    if (!(fabs (a[best * columns + c]) > 1e-12))
      return false;
    for (int i = 0; best != c && i < columns; i++)
    {
      const double keep = a[c * columns + i];
      a[c * columns + i] = a[best * columns + i];
      a[best * columns + i] = keep;
    }
    for (int r = 0; r < n; r++)
    {
      const double f = r == c ? 0.0 : a[r * columns + c] / a[c * columns + c];
      for (int i = c; i < columns && r != c; i++)
        a[r * columns + i] -= f * a[c * columns + i];
    }
  }
  for (int r = 0; r < n; r++)
    a[r * columns + n] /= a[r * columns + r];
  return true;
}

bool
trace_view_through_four (TraceView *v, const GeomPoint plane_mm[4], const GeomPoint picture_px[4])
{
  double a[8 * 9] = { 0.0 };
  for (int i = 0; i < 4; i++)
  {
    const GeomPoint p = geom_scale (geom_sub (plane_mm[i], v->plane_centre), 1.0 / v->plane_scale);
    const GeomPoint q = geom_scale (geom_sub (picture_px[i], v->middle), 1.0 / v->half_diagonal);
    const double row_x[9] = { p.x, p.y, 1.0, 0.0, 0.0, 0.0, -q.x * p.x, -q.x * p.y, q.x };
    const double row_y[9] = { 0.0, 0.0, 0.0, p.x, p.y, 1.0, -q.y * p.x, -q.y * p.y, q.y };
    memcpy (a + 18 * i, row_x, sizeof row_x);
    memcpy (a + 18 * i + 9, row_y, sizeof row_y);
  }
  if (!solve (a, 8))
    return false;
  for (int i = 0; i < 8; i++)
    v->h[i] = a[9 * i + 8];
  v->k = 0.0;
  /* The camera stands on one side of the plane: no place may lie behind it. */
  for (int i = 0; i < 4; i++)
  {
    const GeomPoint p = geom_scale (geom_sub (plane_mm[i], v->plane_centre), 1.0 / v->plane_scale);
    if (!(v->h[6] * p.x + v->h[7] * p.y + 1.0 > 1e-3))
      return false;
  }
  return true;
}

static double
squares (const TraceView *view, const GeomPoint *plane_mm, const GeomPoint *picture_px, size_t count)
{
  double sum = 0.0;
  for (size_t i = 0; i < count; i++)
  {
    const GeomPoint d = geom_sub (trace_view_to_picture (view, plane_mm[i]), picture_px[i]);
    sum += geom_dot (d, d);
  }
  return sum;
}

static double *
parameter (TraceView *view, int index)
{
  return index < 8 ? &view->h[index] : &view->k;
}

static void
normal_equations (const TraceView *view,
                  const GeomPoint *plane_mm,
                  const GeomPoint *picture_px,
                  size_t count,
                  int n,
                  double normal[PARAMETERS][PARAMETERS + 1])
{
  memset (normal, 0, sizeof (double) * PARAMETERS * (PARAMETERS + 1));
  for (size_t i = 0; i < count; i++)
  {
    const GeomPoint off = geom_sub (picture_px[i], trace_view_to_picture (view, plane_mm[i]));
    GeomPoint slope[PARAMETERS];
    for (int j = 0; j < n; j++)
    {
      const double step = 1e-6;
      TraceView ahead = *view, behind = *view;
      *parameter (&ahead, j) += step;
      *parameter (&behind, j) -= step;
      slope[j] = geom_scale (
        geom_sub (trace_view_to_picture (&ahead, plane_mm[i]), trace_view_to_picture (&behind, plane_mm[i])),
        0.5 / step);
    }
    for (int r = 0; r < n; r++)
    {
      for (int c = 0; c < n; c++)
        normal[r][c] += geom_dot (slope[r], slope[c]);
      normal[r][n] += geom_dot (slope[r], off);
    }
  }
}

double
trace_view_refine (
  TraceView *view, const GeomPoint *plane_mm, const GeomPoint *picture_px, size_t count, bool with_lens)
{
  const int n = with_lens ? 9 : 8;
  double best = squares (view, plane_mm, picture_px, count), damping = 1e-6;
  if (!with_lens)
    view->k = 0.0;
  for (int step = 0; step < MOST_STEPS && damping < 1e6; step++)
  {
    double normal[PARAMETERS][PARAMETERS + 1], a[PARAMETERS * (PARAMETERS + 1)];
    normal_equations (view, plane_mm, picture_px, count, n, normal);
    for (int r = 0; r < n; r++)
      for (int c = 0; c <= n; c++)
        a[r * (n + 1) + c] = normal[r][c] * (r == c ? 1.0 + damping : 1.0);
    TraceView tried = *view;
    if (solve (a, n))
      for (int j = 0; j < n; j++)
        *parameter (&tried, j) += a[j * (n + 1) + n];
    tried.k = CLAMP (tried.k, -MOST_BENDING, MOST_BENDING);
    const double now = squares (&tried, plane_mm, picture_px, count);
    if (!(now < best))
    {
      damping *= 10.0;
      continue;
    }
    const bool settled = best - now < 1e-12 * best;
    *view = tried;
    best = now;
    damping *= 0.1;
    if (settled)
      break;
  }
  return sqrt (best / (double)MAX (count, 1));
}

static bool
refuse (GError **error, const char *why)
{
  g_set_error_literal (error, TRACE_ERROR, TRACE_ERROR_CORNERS, why);
  return false;
}

/* One turn of the way round at corner I; y is down, so clockwise is positive. */
static double
sine_at (const GeomPoint corner[4], int i)
{
  const GeomPoint a = geom_sub (corner[i], corner[(i + 3) % 4]),
                  b = geom_sub (corner[(i + 1) % 4], corner[i]);
  return geom_cross (a, b) / (geom_norm (a) * geom_norm (b));
}

static bool
corners_are_sound (const GeomPoint corner[4], int picture_width, int picture_height, GError **error)
{
  for (int i = 0; i < 4; i++)
  {
    const GeomPoint c = corner[i];
    if (!isfinite (c.x) || !isfinite (c.y))
      return refuse (error, _ ("the corners are not all numbers"));
    if (c.x < -1.0 || c.y < -1.0 || c.x > picture_width || c.y > picture_height)
    {
      g_set_error (error, TRACE_ERROR, TRACE_ERROR_CORNERS,
                   _ ("the corner at %.0f, %.0f lies outside the picture, which has %d × %d pixels as it is "
                      "shown upright"),
                   c.x, c.y, picture_width, picture_height);
      return false;
    }
  }
  int right = 0, wrong = 0;
  for (int i = 0; i < 4; i++)
  {
    if (!(geom_distance (corner[i], corner[(i + 1) % 4]) >= LEAST_SIDE))
      return refuse (error, _ ("two of the corners lie in one place"));
    const double sine = sine_at (corner, i);
    right += sine > LEAST_SINE;
    wrong += sine < -LEAST_SINE;
  }
  if (wrong == 4)
    return refuse (error,
                   _ ("the corners go round the wrong way: they must run clockwise from the top left one"));
  if (right + wrong < 4)
    return refuse (error, _ ("three of the corners lie in one line"));
  if (right != 4)
    return refuse (
      error, _ ("the corners are not those of a rectangle seen from above: they cross over or fold in"));
  return true;
}

static bool
is_exchanged (const GeomPoint corner[4], double width_mm, double height_mm)
{
  const double across = geom_distance (corner[0], corner[1]) + geom_distance (corner[2], corner[3]);
  const double down = geom_distance (corner[1], corner[2]) + geom_distance (corner[3], corner[0]);
  const double seen = log (across / down), said = log (width_mm / height_mm);
  return fabs (seen - said) > fabs (seen + said) + EXCHANGED;
}

bool
trace_view_from_corners (const GeomPoint corner[4],
                         double width_mm,
                         double height_mm,
                         int picture_width,
                         int picture_height,
                         TraceView *view,
                         GError **error)
{
  if (!(MIN (width_mm, height_mm) >= TRACE_LEAST_SHEET_MM
        && MAX (width_mm, height_mm) <= TRACE_MOST_SHEET_MM))
    return refuse (error, _ ("the size of the rectangle must lie between 40 and 3000 mm each way"));
  if (!corners_are_sound (corner, picture_width, picture_height, error))
    return false;
  if (is_exchanged (corner, width_mm, height_mm))
    return refuse (error, _ ("width and height of the rectangle seem to be exchanged: the side from the "
                             "first to the second corner is its width"));
  const GeomPoint plane[4] = { { 0.0, height_mm }, { width_mm, height_mm }, { width_mm, 0.0 }, { 0.0, 0.0 } };
  trace_view_set_units (view, width_mm, height_mm, picture_width, picture_height);
  if (!trace_view_through_four (view, plane, corner))
    return refuse (
      error, _ ("the corners are not those of a rectangle seen from above: they cross over or fold in"));
  return true;
}
