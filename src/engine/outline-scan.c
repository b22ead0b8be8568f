#include "engine/outline-scan.h"

#include "engine/tolerance.h"

#include <glib.h>
#include <stdlib.h>

enum
{
  MOST_CROSSINGS = 64,
  MOST_CHORDS = 4096, /* of one piece; a piece that wild has crossed itself long before */
  BLOCK = 32          /* chords that are told to be far away at once */
};

/* The chord error allowed when distances are measured: a tenth of the narrowest width asked for. */
#define CHORD_SHARE 0.1
/* Where the smallest gap between two pieces at a corner opens wider than six degrees, it soon is wide enough.
 */
#define NARROW_CORNER_COS 0.99452

typedef struct Shape
{
  size_t piece; /* of the path */
  GeomBox box;
  const GeomPoint *p;
} Shape;

typedef struct Pair
{
  guint i, j; /* of the shapes */
} Pair;

typedef struct Scan
{
  const GeomPath *path;
  double narrow_mm, way_mm;
  Shape *shapes;
  guint count;
  GArray *crossing, *near; /* Pair: to be looked at closely */
} Scan;

/* ---- the quick answer ---- */

/* True if the points of A and B are parted by a line square to AXIS, with a gap of more than MARGIN. */
static bool
parted_along (const GeomPoint *a, const GeomPoint *b, GeomPoint axis, double margin)
{
  double length = geom_norm (axis);
  if (!(length > 0.0))
    return false;
  double a0 = INFINITY, a1 = -INFINITY, b0 = INFINITY, b1 = -INFINITY;
  for (int k = 0; k < 4; k++)
  {
    double u = geom_dot (a[k], axis), v = geom_dot (b[k], axis);
    a0 = u < a0 ? u : a0;
    a1 = u > a1 ? u : a1;
    b0 = v < b0 ? v : b0;
    b1 = v > b1 ? v : b1;
  }
  double gap = margin * length;
  return b0 - a1 > gap || a0 - b1 > gap;
}

static bool
parted (const GeomPoint *a, const GeomPoint *b, double margin)
{
  GeomPoint ca = geom_sub (a[3], a[0]), cb = geom_sub (b[3], b[0]);
  if (parted_along (a, b, geom_left_of (ca), margin) || parted_along (a, b, geom_left_of (cb), margin))
    return true;
  GeomPoint ma = geom_mix (a[0], a[3], 0.5), mb = geom_mix (b[0], b[3], 0.5);
  return parted_along (a, b, geom_sub (mb, ma), margin);
}

/* Going on in one direction, a piece cannot meet itself. */
static bool
goes_on (const GeomPoint *p)
{
  GeomPoint chord = geom_sub (p[3], p[0]);
  return geom_dot (geom_sub (p[1], p[0]), chord) >= 0.0 && geom_dot (geom_sub (p[2], p[1]), chord) >= 0.0
         && geom_dot (geom_sub (p[3], p[2]), chord) >= 0.0 && geom_dot (chord, chord) > 0.0;
}

/* A ends where B starts: seen from there, all of A lies in one cone and all of B in another, so they meet
 * nowhere else.  *NARROW: the cones come near each other. */
static bool
fan_out (const GeomPoint *a, const GeomPoint *b, bool *narrow)
{
  GeomPoint corner = a[3], u[3], v[3], du = { 0.0, 0.0 }, dv = { 0.0, 0.0 };
  for (int k = 0; k < 3; k++)
  {
    u[k] = geom_sub (a[k], corner);
    v[k] = geom_sub (b[3 - k], corner);
    double nu = sqrt (geom_dot (u[k], u[k])), nv = sqrt (geom_dot (v[k], v[k]));
    u[k] = nu > 0.0 ? geom_scale (u[k], 1.0 / nu) : geom_point (0.0, 0.0);
    v[k] = nv > 0.0 ? geom_scale (v[k], 1.0 / nv) : geom_point (0.0, 0.0);
    du = geom_add (du, u[k]);
    dv = geom_add (dv, v[k]);
  }
  GeomPoint axis = geom_sub (du, dv);
  bool apart = geom_dot (axis, axis) > 0.0;
  *narrow = false;
  for (int k = 0; k < 3; k++)
  {
    bool zero_u = !(geom_dot (u[k], u[k]) > 0.0), zero_v = !(geom_dot (v[k], v[k]) > 0.0);
    apart = apart && (zero_u || geom_dot (u[k], axis) > 0.0) && (zero_v || geom_dot (v[k], axis) < 0.0);
    for (int m = 0; m < 3; m++)
      *narrow = *narrow || geom_dot (u[k], v[m]) > NARROW_CORNER_COS;
  }
  return apart;
}

static void
note (GArray *pairs, guint i, guint j)
{
  Pair pair = { i, j };
  g_array_append_val (pairs, pair);
}

static void
weigh_pair (Scan *scan, guint i, guint j)
{
  const Shape *a = &scan->shapes[i], *b = &scan->shapes[j];
  bool narrow = false, follows = j == i + 1, closes = i == 0 && j + 1 == scan->count;
  if (scan->count > 2 && (follows || closes))
  {
    if (!(follows ? fan_out (a->p, b->p, &narrow) : fan_out (b->p, a->p, &narrow)))
    {
      note (scan->crossing, i, j);
      narrow = true;
    }
    if (narrow && scan->narrow_mm > 0.0)
      note (scan->near, i, j);
    return;
  }
  if (parted (a->p, b->p, scan->narrow_mm))
    return;
  if (!parted (a->p, b->p, 0.0))
    note (scan->crossing, i, j);
  if (scan->narrow_mm > 0.0)
    note (scan->near, i, j);
}

static gint
by_left (gconstpointer a, gconstpointer b, gpointer data)
{
  const Scan *scan = data;
  guint i = *(const guint *)a, j = *(const guint *)b;
  double x = scan->shapes[i].box.x0, y = scan->shapes[j].box.x0;
  if (x < y || x > y)
    return x < y ? -1 : 1;
  return i < j ? -1 : i > j;
}

/* All pairs whose boxes, grown by the width asked for, touch.  From left to right, so that a long outline is
 * not compared all with all. */
static void
weigh_pairs (Scan *scan)
{
  g_autofree guint *order = g_new (guint, scan->count + 1);
  for (guint i = 0; i < scan->count; i++)
    order[i] = i;
  g_qsort_with_data (order, (gint)scan->count, sizeof *order, by_left, scan);
  for (guint m = 0; m < scan->count; m++)
  {
    guint i = order[m];
    if (!goes_on (scan->shapes[i].p))
    {
      note (scan->crossing, i, i);
      if (scan->narrow_mm > 0.0)
        note (scan->near, i, i);
    }
    GeomBox grown = geom_box_grown (scan->shapes[i].box, scan->narrow_mm);
    for (guint k = m + 1; k < scan->count && scan->shapes[order[k]].box.x0 <= grown.x1; k++)
      if (scan->shapes[order[k]].box.y0 <= grown.y1 && scan->shapes[order[k]].box.y1 >= grown.y0)
        weigh_pair (scan, MIN (i, order[k]), MAX (i, order[k]));
  }
}

/* ---- the close look ---- */

typedef struct Chords
{
  GArray *point; /* GeomPoint */
  GArray *along; /* double: the way from the start of the outline */
} Chords;

static void
add_point (GeomPoint p, void *user)
{
  GArray *points = user;
  if (points->len < MOST_CHORDS)
    g_array_append_val (points, p);
}

static Chords
chords_of (const Scan *scan, guint shape, double start_mm)
{
  Chords chords
    = { g_array_new (FALSE, FALSE, sizeof (GeomPoint)), g_array_new (FALSE, FALSE, sizeof (double)) };
  GeomPath one
    = { .piece = &scan->path->piece[scan->shapes[shape].piece], .count = 1, .room = 1, .closed = false };
  geom_path_flatten (&one, scan->narrow_mm * CHORD_SHARE, add_point, chords.point);
  /* The way_mm rule needs places that are not far apart: long chords are halved until they are short against
   * it. */
  double along = start_mm;
  GArray *fine = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  for (guint k = 0; k < chords.point->len; k++)
  {
    GeomPoint p = g_array_index (chords.point, GeomPoint, k);
    GeomPoint before = k > 0 ? g_array_index (chords.point, GeomPoint, k - 1) : p;
    double length = geom_distance (before, p);
    int parts = k > 0 ? (int)CLAMP (ceil (length / (scan->way_mm * 0.5)), 1.0, 1000.0) : 1;
    for (int m = 1; m <= parts; m++)
    {
      GeomPoint q = geom_mix (before, p, (double)m / parts);
      double here = along + length * m / parts;
      g_array_append_val (fine, q);
      g_array_append_val (chords.along, here);
    }
    along += length;
  }
  g_array_unref (chords.point);
  chords.point = fine;
  return chords;
}

static void
chords_clear (Chords *chords)
{
  g_array_unref (chords->point);
  g_array_unref (chords->along);
}

/* The point of the chord AB nearest to P. */
static GeomPoint
nearest_on_chord (GeomPoint p, GeomPoint a, GeomPoint b)
{
  GeomPoint ab = geom_sub (b, a);
  double length2 = geom_dot (ab, ab);
  double t = length2 > 0.0 ? CLAMP (geom_dot (geom_sub (p, a), ab) / length2, 0.0, 1.0) : 0.0;
  return geom_mix (a, b, t);
}

typedef struct Nearest
{
  double width_mm;
  GeomPoint at;
} Nearest;

/* Nearly all pairs are far apart: told by one coordinate. */
static bool
is_beyond (double x, double a, double b, double width)
{
  return (x > a + width && x > b + width) || (x < a - width && x < b - width);
}

/* Chords from FROM on, BLOCK of them: what is far from their box is far from all of them, so that a very long
 * outline is not compared chord by chord. */
static GeomBox
block_box (const Chords *chords, guint from)
{
  GeomBox box = geom_box_empty ();
  for (guint k = from; k < chords->point->len && k <= from + BLOCK; k++)
    box = geom_box_with_point (box, g_array_index (chords->point, GeomPoint, k));
  return box;
}

/* Points of A from FROM_A on against chords of B from FROM_B on. */
static void
look_at_blocks (const Scan *scan,
                const Chords *a,
                guint from_a,
                const Chords *b,
                guint from_b,
                double perimeter_mm,
                Nearest *best)
{
  for (guint m = from_a; m < a->point->len && m < from_a + BLOCK; m++)
    for (guint k = from_b; k + 1 < b->point->len && k < from_b + BLOCK; k++)
    {
      GeomPoint p = g_array_index (a->point, GeomPoint, m), b0 = g_array_index (b->point, GeomPoint, k);
      GeomPoint b1 = g_array_index (b->point, GeomPoint, k + 1);
      if (is_beyond (p.x, b0.x, b1.x, best->width_mm) || is_beyond (p.y, b0.y, b1.y, best->width_mm))
        continue;
      GeomPoint q = nearest_on_chord (p, b0, b1);
      double width = geom_distance (p, q);
      if (!(width < best->width_mm))
        continue;
      double way = fabs (g_array_index (a->along, double, m) - g_array_index (b->along, double, k)
                         - geom_distance (b0, q));
      way = fmin (way, perimeter_mm - way);
      if (way <= scan->way_mm)
        continue;
      best->width_mm = width;
      best->at = geom_mix (p, q, 0.5);
    }
}

/* Points of A against chords of B. */
static void
look_one_way (const Scan *scan, const Chords *a, const Chords *b, double perimeter_mm, Nearest *best)
{
  g_autoptr (GArray) boxes = g_array_new (FALSE, FALSE, sizeof (GeomBox));
  for (guint k = 0; k < b->point->len; k += BLOCK)
  {
    GeomBox box = block_box (b, k);
    g_array_append_val (boxes, box);
  }
  for (guint m = 0; m < a->point->len; m += BLOCK)
  {
    GeomBox box = block_box (a, m);
    for (guint n = 0; n < boxes->len; n++)
      if (geom_box_overlaps (geom_box_grown (box, best->width_mm), g_array_index (boxes, GeomBox, n)))
        look_at_blocks (scan, a, m, b, n * BLOCK, perimeter_mm, best);
  }
}

static gint
by_index (gconstpointer a, gconstpointer b)
{
  const Pair *x = a, *y = b;
  if (x->i != y->i)
    return x->i < y->i ? -1 : 1;
  return x->j < y->j ? -1 : x->j > y->j;
}

static Nearest
look_closely (Scan *scan)
{
  Nearest best = { scan->narrow_mm, { 0.0, 0.0 } };
  g_array_sort (scan->near, by_index);
  g_autofree double *start = g_new0 (double, scan->count + 1);
  for (guint i = 0; i < scan->count; i++)
  {
    Chords chords = chords_of (scan, i, 0.0);
    start[i + 1]
      = start[i] + (chords.along->len ? g_array_index (chords.along, double, chords.along->len - 1) : 0.0);
    chords_clear (&chords);
  }
  for (guint n = 0; n < scan->near->len; n++)
  {
    Pair pair = g_array_index (scan->near, Pair, n);
    Chords a = chords_of (scan, pair.i, start[pair.i]), b = chords_of (scan, pair.j, start[pair.j]);
    look_one_way (scan, &a, &b, start[scan->count], &best);
    look_one_way (scan, &b, &a, start[scan->count], &best);
    chords_clear (&a);
    chords_clear (&b);
  }
  return best;
}

EngineOutlineScan
engine_outline_scan (const GeomPath *path, double narrow_mm, double way_mm)
{
  EngineOutlineScan answer = { .result = ENGINE_SCAN_FINE };
  Scan scan = { .path = path, .narrow_mm = narrow_mm, .way_mm = way_mm };
  scan.shapes = g_new (Shape, path->count + 1);
  scan.crossing = g_array_new (FALSE, FALSE, sizeof (Pair));
  scan.near = g_array_new (FALSE, FALSE, sizeof (Pair));
  for (size_t i = 0; i < path->count; i++)
  {
    const GeomCubic *c = &path->piece[i];
    bool point = geom_same_point (c->p[0], c->p[3]) && geom_same_point (c->p[0], c->p[1])
                 && geom_same_point (c->p[0], c->p[2]);
    if (!point)
      scan.shapes[scan.count++] = (Shape) { i, geom_cubic_hull_box (c), c->p };
  }
  weigh_pairs (&scan);
  if (scan.crossing->len > 0)
  {
    GeomSelfCrossing crossings[MOST_CROSSINGS];
    size_t n = geom_path_self_crossings (path, ENGINE_TOL_CROSSING_MM, crossings, MOST_CROSSINGS);
    if (n > 0)
      answer
        = (EngineOutlineScan) { .result = ENGINE_SCAN_CROSSES, .at = crossings[0].point, .count = (int)n };
  }
  if (answer.result == ENGINE_SCAN_FINE && scan.near->len > 0)
  {
    Nearest best = look_closely (&scan);
    if (best.width_mm < narrow_mm)
    {
      bool inside = geom_path_contains (path, best.at);
      answer.result = inside ? ENGINE_SCAN_NARROW : ENGINE_SCAN_SLIT;
      answer.at = best.at;
      answer.width_mm = best.width_mm;
    }
  }
  g_array_unref (scan.crossing);
  g_array_unref (scan.near);
  g_free (scan.shapes);
  return answer;
}
