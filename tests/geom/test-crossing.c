/* Where lines and pieces meet. */
#include "geom/path.h"

#include "curves.h"

#include <glib.h>

#define LINE(x0, y0, x1, y1)                                                                                 \
  CUBIC ({ x0, y0 }, { (x0) + ((x1) - (x0)) / 3.0, (y0) + ((y1) - (y0)) / 3.0 },                             \
         { (x1) - ((x1) - (x0)) / 3.0, (y1) - ((y1) - (y0)) / 3.0 }, { x1, y1 })

typedef struct CrossingRow
{
  const char *why;
  GeomCubic a, b;
  int count;
  struct
  {
    double t, u;
  } want[9];
} CrossingRow;

static const CrossingRow crossing_rows[] = {
  { "diagonals of a square", LINE (0, 0, 100, 100), LINE (0, 100, 100, 0), 1, { { 0.5, 0.5 } } },
  { "apart", LINE (0, 0, 100, 100), LINE (0, 10, 100, 110), 0, { { 0, 0 } } },
  { "end on the middle", LINE (0, 0, 100, 0), LINE (30, 0, 40, 50), 1, { { 0.3, 0 } } },
  { "shared end, square", LINE (0, 0, 100, 0), LINE (100, 0, 100, 50), 1, { { 1, 0 } } },
  { "shared end, straight on", LINE (0, 0, 100, 0), LINE (100, 0, 200, 0), 1, { { 1, 0 } } },
  { "lines on one another, 30..100 of 150",
    LINE (0, 0, 100, 0),
    LINE (30, 0, 150, 0),
    2,
    { { 0.3, 0 }, { 1, 7.0 / 12 } } },
  { "a line within a line, other way round",
    LINE (0, 0, 100, 0),
    LINE (70, 0, 30, 0),
    2,
    { { 0.3, 1 }, { 0.7, 0 } } },
  { "parabola and its chord", CURVE_PARABOLA, LINE (0, 0, 100, 0), 2, { { 0, 0 }, { 1, 1 } } },
  /* y = 50 - (x - 50)^2 / 50: at y = 32, x = 50 -+ 30. */
  { "parabola and a level line", CURVE_PARABOLA, LINE (0, 32, 100, 32), 2, { { 0.2, 0.2 }, { 0.8, 0.8 } } },
  { "parabola touched at its top", CURVE_PARABOLA, LINE (0, 50, 100, 50), 1, { { 0.5, 0.5 } } },
  { "a hair above the top", CURVE_PARABOLA, LINE (0, 50.000001, 100, 50.000001), 0, { { 0, 0 } } },
  /* One micrometre below the top: x = 50 -+ sqrt (50 / 1000). */
  { "a hair below the top",
    CURVE_PARABOLA,
    LINE (0, 49.999, 100, 49.999),
    2,
    { { 0.5 - 0.0022360679774997897, 0.5 - 0.0022360679774997897 },
      { 0.5 + 0.0022360679774997897, 0.5 + 0.0022360679774997897 } } },
  { "cube and its flat tangent: crossing and touching at once",
    CUBIC ({ -100, -100 }, { -100.0 / 3, 100 }, { 100.0 / 3, -100 }, { 100, 100 }),
    LINE (-100, 0, 100, 0),
    1,
    { { 0.5, 0.5 } } },
  { "line through a cusp", CURVE_CUSP, LINE (50, 0, 50, 100), 1, { { 0.5, 0.75 } } },
  { "line over the point of a cusp", CURVE_CUSP, LINE (0, 75, 100, 75), 1, { { 0.5, 0.5 } } },
  /* The loop's double point (50, 30) is passed twice: t = (5 -+ sqrt 15) / 10. */
  { "line through a loop's own crossing",
    CURVE_LOOP,
    LINE (50, 0, 50, 60),
    2,
    { { 0.1127016653792583, 0.5 }, { 0.8872983346207417, 0.5 } } },
  { "the same piece", CURVE_B, CURVE_B, 2, { { 0, 0 }, { 1, 1 } } },
  { "the same piece, run back",
    CURVE_B,
    CUBIC ({ 72, 48 }, { 72, 24 }, { 48, 0 }, { 0, 0 }),
    2,
    { { 0, 1 }, { 1, 0 } } },
  { "a point on a line",
    LINE (0, 0, 100, 0),
    CUBIC ({ 25, 0 }, { 25, 0 }, { 25, 0 }, { 25, 0 }),
    1,
    { { 0.25, 0 } } },
};

static void
rows (void)
{
  for (size_t i = 0; i < G_N_ELEMENTS (crossing_rows); i++)
  {
    const CrossingRow *row = &crossing_rows[i];
    g_test_message ("%s", row->why);
    GeomCrossing got[9];
    int count = geom_cubic_crossings (&row->a, &row->b, 1e-6, got, 9);
    g_assert_cmpint (count, ==, row->count);
    bool is_point = geom_same_point (row->b.p[0], row->b.p[3]);
    for (int k = 0; k < count; k++)
    {
      g_assert_cmpfloat (fabs (got[k].t - row->want[k].t), <=, 1e-8);
      if (!is_point)
        g_assert_cmpfloat (fabs (got[k].u - row->want[k].u), <=, 1e-8);
    }
    /* Law: the other way round the same. */
    g_assert_cmpint (geom_cubic_crossings (&row->b, &row->a, 1e-6, got, 9), ==, row->count);
    g_assert_cmpint (geom_cubic_crossings (&row->a, &row->b, 1e-6, got, 0), ==, 0);
    g_assert_cmpint (geom_cubic_crossings (&row->a, &row->b, 1e-6, got, 1), ==, MIN (1, row->count));
  }
}

/* y = T3(x) and x = T3(y), T3 = 4 x x x - 3 x: they meet where T9(x) = x, that is x = cos a with cos 9 a =
 * cos a: all multiples of pi / 4 and of pi / 5. */
static void
nine_crossings (void)
{
  GeomCubic a = CUBIC ({ -100, -100 }, { -100.0 / 3, 500 }, { 100.0 / 3, -500 }, { 100, 100 }), b = a;
  for (int i = 0; i < 4; i++)
    b.p[i] = geom_point (a.p[i].y, a.p[i].x);
  const double want_x[9] = { -1, -cos (M_PI / 5),    -cos (M_PI / 4), -cos (2 * M_PI / 5),
                             0,  cos (2 * M_PI / 5), cos (M_PI / 4),  cos (M_PI / 5),
                             1 };
  GeomCrossing got[16];
  g_assert_cmpint (geom_cubic_crossings (&a, &b, 1e-6, got, 16), ==, 9);
  for (int i = 0; i < 9; i++)
    g_assert_cmpfloat (fabs (got[i].point.x - 100 * want_x[i]), <=, 1e-9);
}

/* Judge: crossings of two chord polygons of 700, counted with the exact predicate. */
static int
count_by_chords (const GeomCubic *a, const GeomCubic *b)
{
  enum
  {
    CHORDS = 700
  };
  static GeomPoint p[CHORDS + 1], q[CHORDS + 1];
  for (int i = 0; i <= CHORDS; i++)
  {
    p[i] = geom_cubic_at (a, i / (double)CHORDS);
    q[i] = geom_cubic_at (b, i / (double)CHORDS);
  }
  int count = 0;
  for (int i = 0; i < CHORDS; i++)
  {
    GeomBox box = geom_box_with_point (geom_box_with_point (geom_box_empty (), p[i]), p[i + 1]);
    for (int k = 0; k < CHORDS; k++)
    {
      if ((q[k].x < box.x0 && q[k + 1].x < box.x0) || (q[k].x > box.x1 && q[k + 1].x > box.x1)
          || (q[k].y < box.y0 && q[k + 1].y < box.y0) || (q[k].y > box.y1 && q[k + 1].y > box.y1))
        continue;
      if (geom_turn (p[i], p[i + 1], q[k]) != geom_turn (p[i], p[i + 1], q[k + 1])
          && geom_turn (q[k], q[k + 1], p[i]) != geom_turn (q[k], q[k + 1], p[i + 1]))
        count++;
    }
  }
  return count;
}

static void
random_pairs_against_chords (void)
{
  uint64_t state = 31;
  int total = 0;
  for (int i = 0; i < 1500; i++)
  {
    GeomCubic a = random_wild_curve (&state), b = random_wild_curve (&state);
    GeomCrossing got[16];
    int count = geom_cubic_crossings (&a, &b, 1e-6, got, 16);
    for (int k = 0; k < count; k++)
    {
      g_assert_cmpfloat (geom_distance (geom_cubic_at (&a, got[k].t), geom_cubic_at (&b, got[k].u)), <=,
                         1e-9);
      if (k > 0)
        g_assert_cmpfloat (got[k].t, >=, got[k - 1].t);
    }
    int want = count_by_chords (&a, &b);
    if (count != want)
      g_test_message ("pair %d", i);
    g_assert_cmpint (count, ==, want);
    total += count;
  }
  g_assert_cmpint (total, >, 1000);
}

static bool
contains (const GeomCrossing *got, int count, double t, double u, double slack)
{
  for (int i = 0; i < count; i++)
    if (fabs (got[i].t - t) <= slack && fabs (got[i].u - u) <= slack)
      return true;
  return false;
}

/* Law: a crossing made on purpose is found, and one that only touches too. */
static void
made_meetings_are_found (void)
{
  uint64_t state = 4;
  for (int i = 0; i < 4000; i++)
  {
    GeomCubic a = random_pattern_edge (&state), b = random_pattern_edge (&state);
    double t = random_between (&state, 0.05, 0.95), u = random_between (&state, 0.05, 0.95);
    GeomPoint v = geom_cubic_tangent (&a, t), w = geom_cubic_tangent (&b, u);
    bool touch = i % 2 == 0;
    double turn = atan2 (geom_cross (w, v), geom_dot (w, v));
    if (!touch)
      turn += random_between (&state, 0.001, M_PI - 0.001);
    GeomAffine map = geom_affine_turn (geom_cubic_at (&b, u), turn);
    b = geom_cubic_mapped (&b, map);
    GeomPoint gap = geom_sub (geom_cubic_at (&a, t), geom_cubic_at (&b, u));
    b = geom_cubic_mapped (&b, geom_affine_move (gap.x, gap.y));
    /* Curvatures that nearly agree make a touch that is longer than it is exact. */
    if (touch && fabs (geom_cubic_curvature (&a, t) - geom_cubic_curvature (&b, u)) < 1e-4)
      continue;
    GeomCrossing got[16];
    int count = geom_cubic_crossings (&a, &b, 1e-6, got, 16);
    if (!contains (got, count, t, u, 1e-6))
      g_test_message ("%d, touch %d", i, touch);
    g_assert_true (contains (got, count, t, u, 1e-6));
  }
}

/* Law: two parts of one piece run on one another between the inner ends. */
static void
stretches (void)
{
  uint64_t state = 61;
  for (int i = 0; i < 300; i++)
  {
    GeomCubic c = i % 2 == 0 ? random_pattern_edge (&state) : random_wild_curve (&state);
    GeomCubic a = geom_cubic_part (&c, 0.0, 0.6), b = geom_cubic_part (&c, 0.3, 1.0);
    GeomCrossing got[16];
    int count = geom_cubic_crossings (&a, &b, 1e-6, got, 16);
    g_assert_true (contains (got, count, 0.5, 0.0, 1e-6));
    g_assert_true (contains (got, count, 1.0, 3.0 / 7, 1e-6));
    if (i % 2 == 0)
      g_assert_cmpint (count, ==, 2);
  }
}

/* Side by side at every small distance: whatever is answered, it is answered soon, and not more than fits. */
static void
side_by_side_ends (void)
{
  uint64_t state = 13;
  for (double gap_mm = 1e-3; gap_mm > 1e-12; gap_mm *= 0.1)
    for (int i = 0; i < 20; i++)
    {
      GeomCubic a = random_wild_curve (&state),
                b = geom_cubic_mapped (&a, geom_affine_move (gap_mm, 0.5 * gap_mm));
      GeomCrossing got[9];
      int count = geom_cubic_crossings (&a, &b, 1e-6, got, 9);
      g_assert_cmpint (count, <=, 9);
      for (int k = 0; k < count; k++)
        g_assert_cmpfloat (geom_distance (geom_cubic_at (&a, got[k].t), geom_cubic_at (&b, got[k].u)), <=,
                           2.1e-7);
    }
}

/* Control points on a coarse grid: folds, cusps, shared ends, pieces on one another.  Few have a plain
 * answer, but every answer lies on both pieces. */
static void
grid_of_odd_cases (void)
{
  uint64_t state = 1;
  for (int i = 0; i < 8000; i++)
  {
    GeomCubic c[2];
    double steps = 2.0 + i % 4;
    for (int k = 0; k < 8; k++)
    {
      double x = 50.0 * floor (steps * next_random (&state));
      c[k / 4].p[k % 4] = geom_point (x, 50.0 * floor (steps * next_random (&state)));
    }
    GeomCrossing got[16];
    int count = geom_cubic_crossings (&c[0], &c[1], 1e-6, got, 16);
    g_assert_cmpint (count, <=, 9);
    for (int k = 0; k < count; k++)
    {
      double gap_mm = geom_distance (geom_cubic_at (&c[0], got[k].t), geom_cubic_at (&c[1], got[k].u));
      g_assert_cmpfloat (gap_mm, <=, 2.1e-7);
    }
    /* Whatever else, ends in one place are found. */
    for (int k = 0; k < 4; k++)
    {
      GeomPoint end = c[0].p[3 * (k / 2)];
      if (!geom_same_point (end, c[1].p[3 * (k % 2)]))
        continue;
      double nearest_mm = INFINITY;
      for (int n = 0; n < count; n++)
        nearest_mm = fmin (nearest_mm, geom_distance (got[n].point, end));
      if (nearest_mm > 1e-6)
        g_test_message ("case %d: end not found, nearest %g", i, nearest_mm);
      g_assert_cmpfloat (nearest_mm, <=, 1e-6);
    }
  }
}

static void
odd_sizes_end (void)
{
  GeomCubic cusp = CURVE_CUSP, loop = CURVE_LOOP;
  GeomCrossing got[9];
  for (int exponent = -300; exponent <= 300; exponent += 50)
  {
    double size = pow (10.0, exponent);
    GeomAffine map = geom_affine_scale (geom_point (0, 0), size, size);
    GeomCubic a = geom_cubic_mapped (&cusp, map), b = geom_cubic_mapped (&loop, map);
    int count = geom_cubic_crossings (&a, &b, 1e-6, got, 9);
    for (int k = 0; k < count; k++)
    {
      g_assert_cmpfloat (got[k].t, >=, 0.0);
      g_assert_cmpfloat (got[k].t, <=, 1.0);
    }
  }
}

static void
lines_meet (void)
{
  GeomPoint p;
  g_assert_true (
    geom_line_meet (geom_point (0, 0), geom_point (1, 1), geom_point (10, 0), geom_point (10, 1), &p));
  g_assert_cmpfloat (geom_distance (p, geom_point (10, 10)), <=, 1e-12);
  g_assert_false (
    geom_line_meet (geom_point (0, 0), geom_point (1, 1), geom_point (5, 0), geom_point (8, 3), &p));
  g_assert_false (
    geom_line_meet (geom_point (0, 0), geom_point (0, 0), geom_point (5, 0), geom_point (8, 3), &p));
  /* Corner of lines shifted by 10 and 6 at a right angle: sqrt (10^2 + 6^2) from the old corner. */
  g_assert_true (geom_line_meet (geom_point (0, -10), geom_point (100, -10), geom_point (106, 0),
                                 geom_point (106, 50), &p));
  g_assert_cmpfloat (fabs (geom_distance (p, geom_point (100, 0)) - 11.6619037896906), <=, 1e-12);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/geom/crossing/rows", rows);
  g_test_add_func ("/geom/crossing/nine-crossings", nine_crossings);
  g_test_add_func ("/geom/crossing/random-pairs-against-chords", random_pairs_against_chords);
  g_test_add_func ("/geom/crossing/made-meetings-are-found", made_meetings_are_found);
  g_test_add_func ("/geom/crossing/stretches", stretches);
  g_test_add_func ("/geom/crossing/side-by-side-ends", side_by_side_ends);
  g_test_add_func ("/geom/crossing/grid-of-odd-cases", grid_of_odd_cases);
  g_test_add_func ("/geom/crossing/odd-sizes-end", odd_sizes_end);
  g_test_add_func ("/geom/crossing/lines-meet", lines_meet);
  return g_test_run ();
}
