#include "trace/catch.h"

#include <math.h>

/* The window looked at reaches this much further than the corner may lie: an edge needs length. */
#define WINDOW_OVER_WITHIN 2.5
#define LEAST_REACH_PX 14.0
#define MOST_REACH_PX 240.0
/* Cells from the middle to the window's rim, at most: larger windows are averaged. */
#define MOST_CELLS 48
#define MOST_SIDE (2 * MOST_CELLS + 1)
#define ANGLES 90
/* Twice the longest way across the window. */
#define WAYS (4 * MOST_CELLS)
/* Weaker changes than this part of the strongest are grain and shadow. */
#define LEAST_PART 0.25
/* In steps of 255 a cell: noise alone. */
#define LEAST_CHANGE 4.0
/* Corners of sheets seen very slanted are still wider than this. */
#define LEAST_ANGLE_RAD 0.5
/* The second edge may be shorter or fainter than the first, but not much. */
#define SECOND_PART 0.25
#define FIT_CELLS 2.0
#define FIT_RAD 0.25
#define FIT_TURNS 3

typedef struct Window
{
  int reach, side; /* cells */
  double cell_px;
  float bright[MOST_SIDE][MOST_SIDE];
  float change[MOST_SIDE][MOST_SIDE], angle[MOST_SIDE][MOST_SIDE]; /* angle of the normal, 0 .. pi */
  double most;
} Window;

/* Points p with p . (cos, sin) = way; cells from the window's middle. */
typedef struct Line
{
  double angle, way, votes;
} Line;

/* Squared, near enough to light: blur mixes light, so only there the edge is half-way. */
static double
brightness (const TracePhoto *photo, int x0, int y0, int size)
{
  double sum = 0.0;
  for (int y = y0; y < y0 + size; y++)
  {
    const guint8 *p = photo->rgb + (gsize)y * photo->stride + 3 * (gsize)x0;
    for (int x = 0; x < size; x++, p += 3)
    {
      const double number = 0.299 * p[0] + 0.587 * p[1] + 0.114 * p[2];
      sum += number * number / 255.0;
    }
  }
  return sum / (size * size);
}

static bool
look (const TracePhoto *photo, GeomPoint near, double reach_px, Window *w)
{
  const int size = MAX (1, (int)ceil (reach_px / MOST_CELLS));
  w->cell_px = size;
  w->reach = (int)(reach_px / size);
  w->side = 2 * w->reach + 1;
  const int x0 = (int)round (near.x) - w->reach * size - size / 2,
            y0 = (int)round (near.y) - w->reach * size - size / 2;
  if (x0 < 0 || y0 < 0 || x0 + w->side * size > photo->width || y0 + w->side * size > photo->height)
    return false;
  for (int j = 0; j < w->side; j++)
    for (int i = 0; i < w->side; i++)
      w->bright[j][i] = (float)brightness (photo, x0 + i * size, y0 + j * size, size);
  return true;
}

/* Sobel's operator. */
static void
find_changes (Window *w)
{
  w->most = 0.0;
  for (int j = 1; j + 1 < w->side; j++)
    for (int i = 1; i + 1 < w->side; i++)
    {
      const float *a = &w->bright[j - 1][i], *b = &w->bright[j][i], *c = &w->bright[j + 1][i];
      const double x = (a[1] + 2.0f * b[1] + c[1] - a[-1] - 2.0f * b[-1] - c[-1]) / 8.0;
      const double y = (c[-1] + 2.0f * c[0] + c[1] - a[-1] - 2.0f * a[0] - a[1]) / 8.0;
      const double angle = atan2 (y, x);
      w->change[j][i] = (float)hypot (x, y);
      w->angle[j][i] = (float)(angle < 0.0 ? angle + G_PI : angle);
      w->most = MAX (w->most, (double)w->change[j][i]);
    }
}

/* Between two normals, 0 .. pi / 2. */
static double
angle_between (double a, double b)
{
  const double d = fmod (fabs (a - b), G_PI);
  return MIN (d, G_PI - d);
}

/* Only normals at least APART_RAD from APART count. */
static Line
strongest (const Window *w, double apart, double apart_rad)
{
  static const int spread = 2;
  g_autofree float *votes = g_new0 (float, ANGLES *WAYS);
  Line best = { 0.0, 0.0, 0.0 };
  for (int j = 1; j + 1 < w->side; j++)
    for (int i = 1; i + 1 < w->side; i++)
    {
      if (!(w->change[j][i] >= LEAST_PART * w->most))
        continue;
      const int middle = (int)(w->angle[j][i] / G_PI * ANGLES);
      for (int k = middle - spread; k <= middle + spread; k++)
      {
        /* Past half a turn the normal looks the other way. */
        const int bin = (k + ANGLES) % ANGLES;
        const double angle = (bin + 0.5) * G_PI / ANGLES;
        if (angle_between (angle, apart) < apart_rad)
          continue;
        const double way = (i - w->reach) * cos (angle) + (j - w->reach) * sin (angle);
        const int at = (int)floor (way + WAYS / 2.0);
        if (at < 0 || at >= WAYS)
          continue;
        float *v = &votes[bin * WAYS + at];
        *v += w->change[j][i];
        if (*v > best.votes)
          best = (Line) { angle, at - WAYS / 2.0 + 0.5, *v };
      }
    }
  return best;
}

/* Least squares across the line, each cell by how much it changes. */
static void
fit (const Window *w, Line *line)
{
  for (int turn = 0; turn < FIT_TURNS; turn++)
  {
    const double c = cos (line->angle), s = sin (line->angle);
    double n = 0.0, along = 0.0, across = 0.0, along2 = 0.0, both = 0.0;
    for (int j = 1; j + 1 < w->side; j++)
      for (int i = 1; i + 1 < w->side; i++)
      {
        const double x = i - w->reach, y = j - w->reach, off = x * c + y * s - line->way;
        if (fabs (off) > FIT_CELLS || !(w->change[j][i] >= LEAST_PART * w->most)
            || angle_between (w->angle[j][i], line->angle) > FIT_RAD)
          continue;
        const double weight = w->change[j][i], t = y * c - x * s;
        n += weight;
        along += weight * t;
        across += weight * off;
        along2 += weight * t * t;
        both += weight * t * off;
      }
    const double spread = along2 * n - along * along;
    if (!(n > 0.0) || !(spread > 0.0))
      return;
    const double slope = (both * n - along * across) / spread, shift = (across - slope * along) / n;
    line->angle += -atan (slope);
    line->way = (line->way + shift) * cos (atan (slope));
  }
}

bool
trace_corner_near (const TracePhoto *photo, GeomPoint near, double within_px, GeomPoint *out)
{
  if (!isfinite (near.x) || !isfinite (near.y) || !(within_px > 0.0) || fabs (near.x) > 1e6
      || fabs (near.y) > 1e6)
    return false;
  g_autofree Window *w = g_new0 (Window, 1);
  /* Two cells of room: the window is laid on whole pixels. */
  const double room = MIN (MIN (near.x, near.y), MIN (photo->width - near.x, photo->height - near.y)) - 8.0;
  const double reach_px = MIN (CLAMP (within_px * WINDOW_OVER_WITHIN, LEAST_REACH_PX, MOST_REACH_PX), room);
  if (!(reach_px >= LEAST_REACH_PX) || !look (photo, near, reach_px, w))
    return false;
  find_changes (w);
  if (!(w->most >= LEAST_CHANGE))
    return false;
  Line a = strongest (w, 0.0, -1.0);
  fit (w, &a);
  Line b = strongest (w, a.angle, LEAST_ANGLE_RAD);
  if (!(b.votes >= SECOND_PART * a.votes))
    return false;
  fit (w, &b);
  const double whole = sin (b.angle - a.angle);
  if (!(fabs (whole) >= sin (LEAST_ANGLE_RAD) * 0.8))
    return false;
  const GeomPoint cell = { (a.way * sin (b.angle) - b.way * sin (a.angle)) / whole,
                           (b.way * cos (a.angle) - a.way * cos (b.angle)) / whole };
  /* The middle of the middle cell lies half a pixel off where a cell has an even number of them. */
  const double half = ((int)w->cell_px % 2 == 0) ? -0.5 : 0.0;
  const GeomPoint at
    = { round (near.x) + cell.x * w->cell_px + half, round (near.y) + cell.y * w->cell_px + half };
  if (!(geom_distance (at, near) <= within_px))
    return false;
  *out = at;
  return true;
}
