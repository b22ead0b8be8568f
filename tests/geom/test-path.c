/* Runs of pieces: lengths, areas, places, winding, self-crossings. */
#include "geom/path.h"

#include "curves.h"

#include <glib.h>

static void
append_polygon (GeomPath *path, const GeomPoint *corner, size_t count)
{
  for (size_t i = 0; i < count; i++)
    geom_path_append_line (path, corner[i], corner[(i + 1) % count]);
  path->closed = true;
}

/* Four quarter circles by the usual handle 4 (sqrt 2 - 1) / 3. */
static void
append_circle (GeomPath *path, GeomPoint centre, double radius)
{
  const double k = 4.0 * (M_SQRT2 - 1.0) / 3.0;
  GeomCubic quarter = CUBIC ({ 1, 0 }, { 1, k }, { k, 1 }, { 0, 1 });
  for (int i = 0; i < 4; i++)
  {
    GeomAffine map = geom_affine_after (geom_affine_scale (geom_point (0, 0), radius, radius),
                                        geom_affine_turn (geom_point (0, 0), i * M_PI / 2));
    GeomCubic c
      = geom_cubic_mapped (&quarter, geom_affine_after (geom_affine_move (centre.x, centre.y), map));
    if (i > 0)
      c.p[0] = path->piece[path->count - 1].p[3];
    geom_path_append (path, &c);
  }
  path->piece[path->count - 1].p[3] = path->piece[path->count - 4].p[0];
  path->closed = true;
}

/* (0,0) (180,0) (180,150), a curve to (90,280), (0,280): the curve is 173.801095771203 long, the area is
 * 41220 (M). */
static void
append_jerkin_front (GeomPath *path)
{
  GeomCubic curve = CUBIC ({ 180, 150 }, { 120, 160 }, { 90, 210 }, { 90, 280 });
  geom_path_append_line (path, geom_point (0, 0), geom_point (180, 0));
  geom_path_append_line (path, geom_point (180, 0), geom_point (180, 150));
  geom_path_append (path, &curve);
  geom_path_append_line (path, geom_point (90, 280), geom_point (0, 280));
  geom_path_append_line (path, geom_point (0, 280), geom_point (0, 0));
  path->closed = true;
}

/* A closed smooth run through random points round a centre, folded over itself when WILD. */
static void
append_blob (GeomPath *path, uint64_t *state, int pieces, double wild)
{
  GeomPoint node[64], handle[64];
  for (int i = 0; i < pieces; i++)
  {
    double angle = 2 * M_PI * (i + wild * random_between (state, -0.5, 0.5)) / pieces;
    double radius = random_between (state, 100 - 70 * fmin (wild, 1.0), 140);
    node[i] = geom_point (250 + radius * cos (angle), 250 + radius * sin (angle));
  }
  for (int i = 0; i < pieces; i++)
    handle[i] = geom_scale (geom_sub (node[(i + 1) % pieces], node[(i + pieces - 1) % pieces]), 1.0 / 6.0);
  for (int i = 0; i < pieces; i++)
  {
    int k = (i + 1) % pieces;
    GeomCubic c = { { node[i], geom_add (node[i], handle[i]), geom_sub (node[k], handle[k]), node[k] } };
    geom_path_append (path, &c);
  }
  path->closed = true;
}

static void
lengths_and_areas (void)
{
  GeomPath path;
  geom_path_init (&path);
  append_jerkin_front (&path);
  g_assert_cmpfloat (fabs (geom_path_length (&path, 1e-9) - 873.801095771203), <=, 1e-9);
  g_assert_cmpfloat (fabs (geom_path_area (&path) - 41220), <=, 1e-8);
  geom_path_reverse (&path);
  g_assert_cmpfloat (fabs (geom_path_area (&path) + 41220), <=, 1e-8);
  geom_path_reverse (&path);
  /* Far from the origin nothing is lost but what the coordinates lose. */
  geom_path_map (&path, geom_affine_move (1e6, -1e6));
  g_assert_cmpfloat (fabs (geom_path_area (&path) - 41220), <=, 1e-6);
  geom_path_map (&path, geom_affine_mirror (geom_point (0, 0), geom_point (0, 1)));
  g_assert_cmpfloat (fabs (geom_path_area (&path) + 41220), <=, 1e-6);
  geom_path_reset (&path);
  /* M: the four-cubic unit circle. */
  append_circle (&path, geom_point (0, 0), 1.0);
  g_assert_cmpfloat (fabs (geom_path_length (&path, 1e-12) - 6.28406679229542), <=, 1e-11);
  g_assert_cmpfloat (fabs (geom_path_area (&path) - 3.14247233265651), <=, 1e-12);
  geom_path_clear (&path);
}

static void
nothing_at_all (void)
{
  GeomPath path = { 0 }, part = { 0 };
  GeomSelfCrossing crossing[1];
  g_assert_true (geom_box_is_empty (geom_path_box (&path)));
  g_assert_cmpfloat (geom_path_length (&path, 1e-6), ==, 0.0);
  g_assert_cmpfloat (geom_path_area (&path), ==, 0.0);
  g_assert_cmpint (geom_path_winding (&path, geom_point (0, 0)), ==, 0);
  g_assert_cmpuint (geom_path_self_crossings (&path, 1e-6, crossing, 1), ==, 0);
  g_assert_true (isinf (geom_path_nearest (&path, geom_point (0, 0)).distance_mm));
  g_assert_cmpuint (geom_path_place_at (&path, 5, 1e-6).piece, ==, 0);
  geom_path_reverse (&path);
  geom_path_part (&path, (GeomPlace) { 0, 0 }, (GeomPlace) { 3, 1 }, &part);
  g_assert_cmpuint (part.count, ==, 0);
  geom_path_append_path (&path, &part);
  geom_path_clear (&part);
  geom_path_clear (&path);
}

static void
appending_a_path_to_itself (void)
{
  GeomPath path = { 0 };
  append_circle (&path, geom_point (0, 0), 10);
  for (int i = 0; i < 5; i++)
    geom_path_append_path (&path, &path);
  g_assert_cmpuint (path.count, ==, 128);
  geom_path_append (&path, &path.piece[1]);
  g_assert_true (geom_same_point (path.piece[128].p[3], path.piece[1].p[3]));
  geom_path_clear (&path);
}

static void
places_along (void)
{
  GeomPath path = { 0 }, part = { 0 };
  append_jerkin_front (&path);
  /* On the straight sides by hand: 180 + 150 mm are before the curve. */
  GeomPlace at = geom_path_place_at (&path, 255, 1e-9);
  g_assert_cmpuint (at.piece, ==, 1);
  g_assert_cmpfloat (geom_distance (geom_path_point (&path, at), geom_point (180, 75)), <=, 1e-9);
  g_assert_cmpfloat (geom_path_tangent (&path, at).y, ==, 1.0);
  g_assert_cmpuint (geom_path_place_at (&path, -3, 1e-9).piece, ==, 0);
  at = geom_path_place_at (&path, 1e9, 1e-9);
  g_assert_cmpuint (at.piece, ==, 4);
  g_assert_cmpfloat (at.t, ==, 1.0);
  uint64_t state = 10;
  double whole_mm = geom_path_length (&path, 1e-9);
  for (int i = 0; i < 500; i++)
  {
    double a_mm = whole_mm * next_random (&state), b_mm = whole_mm * next_random (&state);
    GeomPlace a = geom_path_place_at (&path, a_mm, 1e-9), b = geom_path_place_at (&path, b_mm, 1e-9);
    g_assert_cmpfloat (fabs (geom_path_length_to (&path, a, 1e-9) - a_mm), <=, 2e-9);
    geom_path_part (&path, a, b, &part);
    double want_mm = b_mm >= a_mm ? b_mm - a_mm : whole_mm - a_mm + b_mm;
    g_assert_cmpfloat (fabs (geom_path_length (&part, 1e-9) - want_mm), <=, 1e-8);
    g_assert_cmpfloat (geom_distance (part.piece[0].p[0], geom_path_point (&path, a)), <=, 1e-9);
    g_assert_cmpfloat (geom_distance (part.piece[part.count - 1].p[3], geom_path_point (&path, b)), <=, 1e-9);
    for (size_t k = 1; k < part.count; k++)
      g_assert_true (geom_same_point (part.piece[k - 1].p[3], part.piece[k].p[0]));
  }
  path.closed = false;
  geom_path_part (&path, (GeomPlace) { 3, 0.5 }, (GeomPlace) { 1, 0.5 }, &part);
  g_assert_cmpuint (part.count, ==, 0);
  geom_path_clear (&part);
  geom_path_clear (&path);
}

static void
nearest_of_all (void)
{
  uint64_t state = 19;
  GeomPath path = { 0 };
  append_blob (&path, &state, 30, 2.0);
  for (int i = 0; i < 2000; i++)
  {
    GeomPoint p = random_point (&state);
    double want_mm = INFINITY;
    for (size_t k = 0; k < path.count; k++)
      want_mm = fmin (want_mm, geom_cubic_nearest (&path.piece[k], p).distance_mm);
    GeomPathNearest near = geom_path_nearest (&path, p);
    g_assert_cmpfloat (near.distance_mm, ==, want_mm);
    g_assert_cmpfloat (geom_distance (geom_path_point (&path, near.place), near.point), <=, 1e-10);
  }
  geom_path_clear (&path);
}

static void
winding_rows (void)
{
  GeomPath circle = { 0 }, front = { 0 };
  append_circle (&circle, geom_point (100, 100), 50);
  append_jerkin_front (&front);
  static const struct
  {
    double x, y;
    int circle, front;
  } rows[] = {
    { 100, 100, 1, 1 }, { 149.99, 100, 1, 1 }, { 150.01, 100, 0, 1 }, { 100, 150.02, 0, 1 },
    { 40, 100, 0, 1 },  { -10, 0, 0, 0 },      { -10, 150, 0, 0 },    { 100, 50, 1, 1 },
    { 170, 150, 0, 1 }, { 130, 200, 0, 0 },    { 100, 200, 0, 1 },    { 200, 280, 0, 0 },
  };
  for (size_t i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    GeomPoint p = geom_point (rows[i].x, rows[i].y);
    g_test_message ("%g, %g", p.x, p.y);
    if (i != 7) /* on the circle, within rounding: either answer */
      g_assert_cmpint (geom_path_winding (&circle, p), ==, rows[i].circle);
    g_assert_cmpint (geom_path_winding (&front, p), ==, rows[i].front);
  }
  geom_path_append_path (&circle, &circle);
  g_assert_cmpint (geom_path_winding (&circle, geom_point (100, 120)), ==, 2);
  geom_path_reverse (&circle);
  g_assert_cmpint (geom_path_winding (&circle, geom_point (100, 120)), ==, -2);
  g_assert_true (geom_path_contains (&circle, geom_point (100, 120)));
  geom_path_clear (&front);
  geom_path_clear (&circle);
}

typedef struct Chords
{
  GeomPoint p[20000];
  int count;
} Chords;

static void
take_point (GeomPoint p, void *user)
{
  Chords *chords = user;
  g_assert_cmpint (chords->count, <, 20000);
  chords->p[chords->count++] = p;
}

/* Judge: the angle a fine chord polygon turns through, seen from the point. */
static void
winding_against_angles (void)
{
  uint64_t state = 23;
  Chords *chords = g_new0 (Chords, 1);
  int inside = 0;
  for (int i = 0; i < 40; i++)
  {
    GeomPath path = { 0 };
    append_blob (&path, &state, 9, 3.0);
    chords->count = 0;
    geom_path_flatten (&path, 1e-4, take_point, chords);
    for (int k = 0; k < 50; k++)
    {
      GeomPoint p = random_point (&state);
      /* At the height of a node, now and then. */
      if (k % 5 == 0)
        p.y = path.piece[k / 5 % 9].p[0].y;
      if (geom_path_nearest (&path, p).distance_mm < 1e-2)
        continue;
      double turned = 0.0;
      for (int n = 0; n < chords->count; n++)
      {
        GeomPoint a = geom_sub (chords->p[n], p), b = geom_sub (chords->p[(n + 1) % chords->count], p);
        turned += atan2 (geom_cross (a, b), geom_dot (a, b));
      }
      int want = (int)lround (turned / (2 * M_PI));
      g_assert_cmpint (geom_path_winding (&path, p), ==, want);
      inside += want != 0;
    }
    geom_path_clear (&path);
  }
  g_assert_cmpint (inside, >, 100);
  g_free (chords);
}

/* Points of the path itself, doubled points and folds: some number, and soon. */
static void
winding_on_the_path_ends (void)
{
  GeomPath path = { 0 };
  GeomCubic point = CUBIC ({ 7, 7 }, { 7, 7 }, { 7, 7 }, { 7, 7 }), folds = CURVE_FOLDS;
  geom_path_append (&path, &point);
  geom_path_append (&path, &folds);
  path.closed = true;
  for (int i = 0; i <= 100; i++)
    g_assert_cmpint (abs (geom_path_winding (&path, geom_cubic_at (&folds, i / 100.0))), <=, 1);
  g_assert_cmpint (abs (geom_path_winding (&path, geom_point (7, 7))), <=, 1);
  geom_path_reset (&path);
  append_circle (&path, geom_point (100, 100), 50);
  for (int i = 0; i <= 400; i++)
  {
    int winding
      = geom_path_winding (&path, geom_path_point (&path, (GeomPlace) { (size_t)i % 4, i / 400.0 }));
    g_assert_true (winding == 0 || winding == 1);
  }
  geom_path_clear (&path);
}

static void
chords_keep_their_deviation (void)
{
  uint64_t state = 29;
  Chords *chords = g_new0 (Chords, 1);
  for (double deviation_mm = 10.0; deviation_mm > 1e-4; deviation_mm *= 0.1)
    for (int i = 0; i < 20; i++)
    {
      GeomPath path = { 0 };
      GeomCubic c = random_wild_curve (&state);
      geom_path_append (&path, &c);
      chords->count = 0;
      geom_path_flatten (&path, deviation_mm, take_point, chords);
      g_assert_true (geom_same_point (chords->p[0], c.p[0]));
      g_assert_true (geom_same_point (chords->p[chords->count - 1], c.p[3]));
      for (int k = 0; k < 500; k++)
      {
        double t = next_random (&state);
        int n = MIN ((int)(t * (chords->count - 1)), chords->count - 2);
        GeomCubic chord = geom_cubic_line (chords->p[n], chords->p[n + 1]);
        g_assert_cmpfloat (geom_cubic_nearest (&chord, geom_cubic_at (&c, t)).distance_mm, <=,
                           deviation_mm + 1e-9);
      }
      geom_path_clear (&path);
    }
  GeomPath closed = { 0 };
  append_circle (&closed, geom_point (0, 0), 10);
  chords->count = 0;
  geom_path_flatten (&closed, 100.0, take_point, chords);
  g_assert_cmpint (chords->count, ==, 4);
  geom_path_clear (&closed);
  g_free (chords);
}

/* ---- self-crossings ---- */

static size_t
count_crossings (const GeomPath *path)
{
  GeomSelfCrossing found[64];
  size_t count = geom_path_self_crossings (path, 1e-6, found, 64);
  for (size_t i = 0; i < count; i++)
    g_assert_cmpfloat (geom_distance (geom_path_point (path, found[i].a), geom_path_point (path, found[i].b)),
                       <=, 2e-7);
  return count;
}

static void
self_crossing_rows (void)
{
  static const GeomPoint square[] = { { 0, 0 }, { 100, 0 }, { 100, 100 }, { 0, 100 } };
  static const GeomPoint bow_tie[] = { { 0, 0 }, { 100, 100 }, { 100, 0 }, { 0, 100 } };
  static const GeomPoint spike[] = { { 0, 0 }, { 100, 0 }, { 0, 0.001 } };
  static const GeomPoint pentagram[]
    = { { 0, 100 }, { 58.8, -80.9 }, { -95.1, 30.9 }, { 95.1, 30.9 }, { -58.8, -80.9 } };
  GeomPath path = { 0 };
  append_polygon (&path, square, 4);
  g_assert_cmpuint (count_crossings (&path), ==, 0);
  geom_path_reset (&path);
  append_polygon (&path, bow_tie, 4);
  GeomSelfCrossing found[8];
  g_assert_cmpuint (geom_path_self_crossings (&path, 1e-6, found, 8), ==, 1);
  g_assert_cmpuint (found[0].a.piece, ==, 0);
  g_assert_cmpuint (found[0].b.piece, ==, 2);
  g_assert_cmpfloat (geom_distance (found[0].point, geom_point (50, 50)), <=, 1e-12);
  geom_path_reset (&path);
  append_polygon (&path, spike, 3);
  g_assert_cmpuint (count_crossings (&path), ==, 0);
  geom_path_reset (&path);
  append_polygon (&path, pentagram, 5);
  g_assert_cmpuint (count_crossings (&path), ==, 5);
  g_assert_cmpuint (geom_path_self_crossings (&path, 1e-6, found, 3), ==, 3);
  geom_path_reset (&path);
  append_circle (&path, geom_point (0, 0), 50);
  g_assert_cmpuint (count_crossings (&path), ==, 0);
  geom_path_reset (&path);
  append_jerkin_front (&path);
  g_assert_cmpuint (count_crossings (&path), ==, 0);
  /* Two circles in one path touch in (50, 0): not neighbours, so reported; the closing piece is none. */
  geom_path_reset (&path);
  append_circle (&path, geom_point (0, 0), 50);
  append_circle (&path, geom_point (100, 0), 50);
  path.closed = false;
  g_assert_cmpuint (count_crossings (&path), >=, 1);
  geom_path_clear (&path);
}

static void
self_crossing_neighbours (void)
{
  GeomPath path = { 0 };
  GeomCubic loop = CURVE_LOOP, s = CURVE_S, parabola = CURVE_PARABOLA, head, tail;
  /* One piece with a loop, closed by a line under it. */
  geom_path_append (&path, &loop);
  geom_path_append_line (&path, loop.p[3], loop.p[0]);
  path.closed = true;
  GeomSelfCrossing found[8];
  g_assert_cmpuint (geom_path_self_crossings (&path, 1e-6, found, 8), ==, 1);
  g_assert_cmpfloat (geom_distance (found[0].point, geom_point (50, 30)), <=, 1e-9);
  /* Cut in the loop's top the crossing is one of neighbours. */
  geom_path_reset (&path);
  geom_cubic_split (&loop, 0.5, &head, &tail);
  geom_path_append (&path, &head);
  geom_path_append (&path, &tail);
  g_assert_cmpuint (geom_path_self_crossings (&path, 1e-6, found, 8), ==, 1);
  g_assert_cmpfloat (geom_distance (found[0].point, geom_point (50, 30)), <=, 1e-9);
  /* A lens of two pieces shares both ends and nothing else; S and its chord cross once between. */
  geom_path_reset (&path);
  geom_path_append (&path, &parabola);
  geom_path_append_line (&path, parabola.p[3], parabola.p[0]);
  path.closed = true;
  g_assert_cmpuint (count_crossings (&path), ==, 0);
  geom_path_reset (&path);
  geom_path_append (&path, &s);
  geom_path_append_line (&path, s.p[3], s.p[0]);
  path.closed = true;
  g_assert_cmpuint (count_crossings (&path), ==, 1);
  /* Out and back on the same line: the far end of the stretch. */
  geom_path_reset (&path);
  geom_path_append_line (&path, geom_point (0, 0), geom_point (100, 0));
  geom_path_append_line (&path, geom_point (100, 0), geom_point (30, 0));
  g_assert_cmpuint (geom_path_self_crossings (&path, 1e-6, found, 8), ==, 1);
  g_assert_cmpfloat (geom_distance (found[0].point, geom_point (30, 0)), <=, 1e-9);
  /* Cusps of neighbours: the second leaves along the line on which the first arrived, but bends away. */
  geom_path_reset (&path);
  geom_path_append_line (&path, geom_point (0, 0), geom_point (100, 0));
  GeomCubic back = CUBIC ({ 100, 0 }, { 70, 0 }, { 40, 10 }, { 10, 40 });
  geom_path_append (&path, &back);
  g_assert_cmpuint (count_crossings (&path), ==, 0);
  /* A point between two pieces keeps them neighbours. */
  geom_path_reset (&path);
  GeomCubic point = CUBIC ({ 100, 0 }, { 100, 0 }, { 100, 0 }, { 100, 0 });
  geom_path_append_line (&path, geom_point (0, 0), geom_point (100, 0));
  geom_path_append (&path, &point);
  geom_path_append_line (&path, geom_point (100, 0), geom_point (50, 80));
  geom_path_append_line (&path, geom_point (50, 80), geom_point (0, 0));
  path.closed = true;
  g_assert_cmpuint (count_crossings (&path), ==, 0);
  geom_path_clear (&path);
}

/* Judge: crossings of a chord polygon, exact predicate. */
static size_t
count_by_chords (const Chords *chords)
{
  size_t count = 0;
  int n = chords->count;
  for (int i = 0; i < n; i++)
    for (int k = i + 2; k < n; k++)
    {
      GeomPoint a = chords->p[i], b = chords->p[i + 1], c = chords->p[k], d = chords->p[(k + 1) % n];
      if ((i == 0 && k == n - 1) || fmax (a.x, b.x) < fmin (c.x, d.x) || fmin (a.x, b.x) > fmax (c.x, d.x))
        continue;
      if (geom_turn (a, b, c) != geom_turn (a, b, d) && geom_turn (c, d, a) != geom_turn (c, d, b))
        count++;
    }
  return count;
}

static void
self_crossings_against_chords (void)
{
  uint64_t state = 37;
  Chords *chords = g_new0 (Chords, 1);
  size_t total = 0;
  for (int i = 0; i < 120; i++)
  {
    GeomPath path = { 0 };
    append_blob (&path, &state, 5 + i % 9, 2.0 * (i % 4));
    chords->count = 0;
    geom_path_flatten (&path, 2e-3, take_point, chords);
    size_t want = count_by_chords (chords), got = count_crossings (&path);
    if (got != want)
      g_test_message ("blob %d", i);
    g_assert_cmpuint (got, ==, want);
    total += got;
    geom_path_clear (&path);
  }
  g_assert_cmpuint (total, >, 100);
  g_free (chords);
}

/* Long paths are sorted first; the answer must not depend on it. */
static void
long_paths (void)
{
  GeomPath path = { 0 };
  const int pieces = 10000;
  for (int i = 0; i < pieces; i++)
  {
    GeomPoint p[2];
    for (int k = 0; k < 2; k++)
    {
      double angle = 2 * M_PI * ((i + k) % pieces) / pieces, radius = 400 + 30 * sin (40 * angle);
      p[k] = geom_point (radius * cos (angle), radius * sin (angle));
    }
    geom_path_append_line (&path, p[0], p[1]);
  }
  path.closed = true;
  GeomSelfCrossing found[8];
  g_assert_cmpuint (geom_path_self_crossings (&path, 1e-6, found, 8), ==, 0);
  /* One piece pulled through to the other side: it crosses there once going, once coming back. */
  GeomPoint far = geom_scale (path.piece[100].p[0], -1.2);
  GeomCubic there = geom_cubic_line (path.piece[99].p[0], far),
            back = geom_cubic_line (far, path.piece[100].p[3]);
  path.piece[99] = there;
  path.piece[100] = back;
  g_assert_cmpuint (geom_path_self_crossings (&path, 1e-6, found, 8), ==, 2);
  for (int i = 0; i < 2; i++)
    g_assert_cmpuint (found[i].a.piece, ==, 99 + (size_t)i);
  geom_path_clear (&path);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/geom/path/lengths-and-areas", lengths_and_areas);
  g_test_add_func ("/geom/path/nothing-at-all", nothing_at_all);
  g_test_add_func ("/geom/path/appending-a-path-to-itself", appending_a_path_to_itself);
  g_test_add_func ("/geom/path/places-along", places_along);
  g_test_add_func ("/geom/path/nearest-of-all", nearest_of_all);
  g_test_add_func ("/geom/path/winding-rows", winding_rows);
  g_test_add_func ("/geom/path/winding-against-angles", winding_against_angles);
  g_test_add_func ("/geom/path/winding-on-the-path-ends", winding_on_the_path_ends);
  g_test_add_func ("/geom/path/chords-keep-their-deviation", chords_keep_their_deviation);
  g_test_add_func ("/geom/path/self-crossing-rows", self_crossing_rows);
  g_test_add_func ("/geom/path/self-crossing-neighbours", self_crossing_neighbours);
  g_test_add_func ("/geom/path/self-crossings-against-chords", self_crossings_against_chords);
  g_test_add_func ("/geom/path/long-paths", long_paths);
  return g_test_run ();
}
