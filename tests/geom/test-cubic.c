/* One piece: points, derivatives, closed forms. */
#include "geom/cubic.h"

#include "curves.h"

#include <glib.h>

/* Relative 1e-12: closed forms. */
static void
assert_close (double got, double want)
{
  g_assert_cmpfloat (fabs (got - want), <=, 1e-12 * fmax (1.0, fabs (want)));
}

static void
middle_of_curve_b (void)
{
  /* M, by hand: point (54, 15), velocity (72, 54) of length 90, 10 mm to the right (60, 7). */
  GeomCubic b = CURVE_B;
  GeomPoint p = geom_cubic_at (&b, 0.5), v = geom_cubic_velocity (&b, 0.5);
  assert_close (p.x, 54);
  assert_close (p.y, 15);
  assert_close (v.x, 72);
  assert_close (v.y, 54);
  assert_close (geom_norm (v), 90);
  GeomPoint right = geom_along (p, 10.0, geom_right_of (geom_cubic_tangent (&b, 0.5)));
  assert_close (right.x, 60);
  assert_close (right.y, 7);
}

static void
curvature_rows (void)
{
  static const struct
  {
    const char *why;
    GeomCubic c;
    double t, want;
  } rows[] = {
    { "B at 0: 2/3 cross / len^3", CURVE_B, 0, 1.0 / 144 },
    { "B at 1/2: 72 * 2 / 90^2", CURVE_B, 0.5, 144.0 / 8100 },
    { "B at 1", CURVE_B, 1, 1.0 / 36 },
    { "A at 0", CURVE_A, 0, 0.0177777777777778 },
    { "A at 1/2: smallest radius 36", CURVE_A, 0.5, 1.0 / 36 },
    { "A at 1", CURVE_A, 1, 0.0177777777777778 },
    { "parabola at 0 (turning right)", CURVE_PARABOLA, 0, -0.00357770876399966 },
    { "parabola at 1/2: radius 25", CURVE_PARABOLA, 0.5, -0.04 },
    { "uneven S at 0 (M)", CUBIC ({ 0, 0 }, { 10, 100 }, { 90, -60 }, { 100, 40 }), 0, -0.00630518615578607 },
    { "armhole at 0", CURVE_ARMHOLE, 0, 1.0 / 240 },
    { "S at its inflection", CURVE_S, 0.5, 0 },
    { "straight, folded", CURVE_FOLDS, 0.3, 0 },
    { "straight, no speed at the start", CUBIC ({ 0, 0 }, { 0, 0 }, { 300, 400 }, { 300, 400 }), 0, 0 },
    { "cusp: stated in the header", CURVE_CUSP, 0.5, INFINITY },
  };
  for (size_t i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_test_message ("%s", rows[i].why);
    double got = geom_cubic_curvature (&rows[i].c, rows[i].t);
    if (isinf (rows[i].want))
      g_assert_true (isinf (got));
    else
      g_assert_cmpfloat (fabs (got - rows[i].want), <=, 1e-12);
  }
}

static void
turning_rows (void)
{
  static const struct
  {
    const char *why;
    GeomCubic c;
    double want;
  } rows[] = {
    { "B: a right angle", CURVE_B, M_PI / 2 },
    { "A: 2 (atan 3 - atan 1/3)", CURVE_A, 1.85459043600322 },
    { "armhole (M)", CURVE_ARMHOLE, 1.42889927219073 },
    { "line", CUBIC ({ 0, 0 }, { 30, 40 }, { 60, 80 }, { 90, 120 }), 0 },
    { "S: there and back", CURVE_S, 0 },
    { "loop: from direction (2, 1) left round to (2, -1)", CURVE_LOOP, 2 * M_PI - 2 * 0.46364760900080612 },
    { "closed: from (1, 1) round to (1, -1)", CURVE_CLOSED, 1.5 * M_PI },
    { "cusp: 45 degrees before, 45 after, the turn in it not counted", CURVE_CUSP, M_PI / 2 },
    { "first handle on its node: up, then right", CUBIC ({ 0, 0 }, { 0, 0 }, { 0, 100 }, { 100, 100 }),
      -M_PI / 2 },
    { "all points in one", CUBIC ({ 7, 7 }, { 7, 7 }, { 7, 7 }, { 7, 7 }), 0 },
  };
  for (size_t i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_test_message ("%s", rows[i].why);
    assert_close (geom_cubic_turning (&rows[i].c), rows[i].want);
    GeomCubic back = geom_cubic_reversed (&rows[i].c);
    assert_close (geom_cubic_turning (&back), -rows[i].want);
  }
}

/* Judge: the angles between 4,000 chords, which cannot miss a turn unless a cusp hides between two. */
static void
turning_against_chords (void)
{
  uint64_t state = 40;
  for (int i = 0; i < 500; i++)
  {
    GeomCubic c;
    for (int k = 0; k < 4; k++)
      c.p[k] = random_point (&state);
    double sum = 0.0, largest = 0.0;
    GeomPoint before = geom_cubic_velocity (&c, 0.0);
    for (int k = 1; k <= 4000; k++)
    {
      GeomPoint v = geom_cubic_velocity (&c, k / 4000.0);
      double step = atan2 (geom_cross (before, v), geom_dot (before, v));
      sum += step;
      largest = fmax (largest, fabs (step));
      before = v;
    }
    if (largest < 1.5)
      g_assert_cmpfloat (fabs (geom_cubic_turning (&c) - sum), <=, 1e-9);
  }
}

static void
area_terms (void)
{
  static const struct
  {
    const char *why;
    GeomCubic c;
    double want;
  } rows[] = {
    { "B: 5184 / 5", CURVE_B, 1036.8 },
    { "A: 4104 / 5", CURVE_A, 820.8 },
    { "parabola over its chord (Archimedes), run clockwise", CURVE_PARABOLA, -10000.0 / 3 },
    { "closed on itself (M)", CURVE_CLOSED, 3000 },
    { "armhole (M)", CURVE_ARMHOLE, 4620 },
    { "tiny (M)", CUBIC ({ 0, 0 }, { .01, 0 }, { .02, .01 }, { .02, .02 }), 1.05e-4 },
  };
  for (size_t i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_test_message ("%s", rows[i].why);
    g_assert_cmpfloat (fabs (geom_cubic_area_term (&rows[i].c) - rows[i].want), <=,
                       1e-12 * fabs (rows[i].want));
    GeomCubic over = geom_cubic_mapped (&rows[i].c, geom_affine_scale (geom_point (0, 0), -1, 1));
    g_assert_cmpfloat (fabs (geom_cubic_area_term (&over) + rows[i].want), <=, 1e-12 * fabs (rows[i].want));
  }
}

static void
crosses_itself (void)
{
  /* M: t = (5 -+ sqrt 15) / 10, the point (50, 30). */
  GeomCubic loop = CURVE_LOOP;
  double t, u;
  g_assert_true (geom_cubic_self_crossing (&loop, &t, &u));
  assert_close (t, (5 - sqrt (15)) / 10);
  assert_close (u, (5 + sqrt (15)) / 10);
  GeomPoint p = geom_cubic_at (&loop, t);
  assert_close (p.x, 50);
  assert_close (p.y, 30);
  static const GeomCubic simple[]
    = { CURVE_A, CURVE_B, CURVE_PARABOLA, CURVE_CUSP, CURVE_S, CURVE_CLOSED, CURVE_FOLDS };
  for (size_t i = 0; i < G_N_ELEMENTS (simple); i++)
    g_assert_false (geom_cubic_self_crossing (&simple[i], &t, &u));
}

/* Law: what is reported is a crossing; judge: a chord polygon of 400 crosses itself exactly then. */
static void
crosses_itself_against_chords (void)
{
  uint64_t state = 5;
  int crossing = 0;
  for (int i = 0; i < 400; i++)
  {
    GeomCubic c;
    for (int k = 0; k < 4; k++)
      c.p[k] = random_point (&state);
    double t = 0, u = 0;
    bool got = geom_cubic_self_crossing (&c, &t, &u), want = false;
    if (got)
      g_assert_cmpfloat (geom_distance (geom_cubic_at (&c, t), geom_cubic_at (&c, u)), <=, 1e-9);
    /* Too small a loop hides from the judge. */
    if (got && u - t < 0.02)
      continue;
    GeomPoint p[401];
    for (int k = 0; k <= 400; k++)
      p[k] = geom_cubic_at (&c, k / 400.0);
    for (int k = 0; k < 400 && !want; k++)
      for (int m = k + 2; m < 400 && !want; m++)
        want = geom_turn (p[k], p[k + 1], p[m]) * geom_turn (p[k], p[k + 1], p[m + 1]) < 0
               && geom_turn (p[m], p[m + 1], p[k]) * geom_turn (p[m], p[m + 1], p[k + 1]) < 0;
    g_assert_cmpint (got, ==, want);
    crossing += got;
  }
  g_assert_cmpint (crossing, >, 10);
}

static void
special_points (void)
{
  GeomCubic s = CURVE_S, loop = CURVE_LOOP, cusp = CURVE_CUSP, b = CURVE_B, folds = CURVE_FOLDS;
  GeomParams at = geom_cubic_inflections (&s);
  g_assert_cmpint (at.count, ==, 1);
  assert_close (at.t[0], 0.5);
  g_assert_cmpint (geom_cubic_inflections (&b).count, ==, 0);
  g_assert_cmpint (geom_cubic_inflections (&cusp).count, ==, 0);
  g_assert_cmpint (geom_cubic_inflections (&loop).count, ==, 0);
  /* M: the loop's box is 27.6393202250021 .. 72.3606797749979 for its extrema in x, but its ends lie at 0 and
   * 100. */
  at = geom_cubic_extrema (&loop);
  g_assert_cmpint (at.count, ==, 3);
  assert_close (geom_cubic_at (&loop, at.t[0]).x, 72.3606797749979);
  assert_close (at.t[1], 0.5);
  assert_close (geom_cubic_at (&loop, at.t[2]).x, 27.6393202250021);
  GeomBox box = geom_cubic_box (&loop);
  assert_close (box.x0, 0);
  assert_close (box.x1, 100);
  assert_close (box.y0, 0);
  assert_close (box.y1, 75);
  /* M: turns at t = (7 -+ sqrt 7) / 14. */
  at = geom_cubic_extrema (&folds);
  g_assert_cmpint (at.count, ==, 2);
  assert_close (at.t[0], (7 - sqrt (7)) / 14);
  assert_close (geom_cubic_at (&folds, at.t[0]).x, 59.4491118252307);
  assert_close (geom_cubic_at (&folds, at.t[1]).x, 40.5508881747693);
}

static void
tangent_rows (void)
{
  static const struct
  {
    const char *why;
    GeomCubic c;
    double t;
    GeomPoint want;
  } rows[] = {
    { "B at its start", CURVE_B, 0, { 1, 0 } },
    { "B in the middle: (72, 54) / 90", CURVE_B, 0.5, { 0.8, 0.6 } },
    { "first handle on its node: toward the second",
      CUBIC ({ 0, 0 }, { 0, 0 }, { 0, 9 }, { 9, 9 }),
      0,
      { 0, 1 } },
    { "last handle on its node", CUBIC ({ 0, 0 }, { 0, 9 }, { 9, 9 }, { 9, 9 }), 1, { 1, 0 } },
    { "both on theirs, start", CUBIC ({ 0, 0 }, { 0, 0 }, { 300, 400 }, { 300, 400 }), 0, { 0.6, 0.8 } },
    { "both on theirs, end", CUBIC ({ 0, 0 }, { 0, 0 }, { 300, 400 }, { 300, 400 }), 1, { 0.6, 0.8 } },
    { "three points in one, start", CUBIC ({ 1, 1 }, { 1, 1 }, { 1, 1 }, { 1, -4 }), 0, { 0, -1 } },
    { "three points in one, end", CUBIC ({ 1, 1 }, { 1, -4 }, { 1, -4 }, { 1, -4 }), 1, { 0, -1 } },
    { "cusp: from the right, downward", CURVE_CUSP, 0.5, { 0, -1 } },
    { "all points in one", CUBIC ({ 7, 7 }, { 7, 7 }, { 7, 7 }, { 7, 7 }), 0.3, { 0, 0 } },
  };
  for (size_t i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_test_message ("%s", rows[i].why);
    GeomPoint got = geom_cubic_tangent (&rows[i].c, rows[i].t);
    assert_close (got.x, rows[i].want.x);
    assert_close (got.y, rows[i].want.y);
  }
}

/* Laws on random pieces: parts lie on the whole, a map of the points is a map of the piece, boxes hold the
 * piece. */
static void
laws (void)
{
  uint64_t state = 21;
  for (int i = 0; i < 2000; i++)
  {
    GeomCubic c = random_wild_curve (&state), head, tail;
    double t0 = next_random (&state), t1 = next_random (&state), s = next_random (&state);
    GeomPoint want = geom_cubic_at (&c, t0 + s * (t1 - t0));
    GeomCubic part = geom_cubic_part (&c, t0, t1);
    g_assert_cmpfloat (geom_distance (geom_cubic_at (&part, s), want), <=, 1e-9);
    geom_cubic_split (&c, t0, &head, &tail);
    g_assert_cmpfloat (geom_distance (head.p[3], geom_cubic_at (&c, t0)), <=, 1e-10);
    g_assert_true (geom_same_point (head.p[3], tail.p[0]));
    g_assert_true (geom_same_point (head.p[0], c.p[0]));
    g_assert_true (geom_same_point (tail.p[3], c.p[3]));
    GeomAffine map = geom_affine_turn (random_point (&state), 1.0 + s);
    GeomCubic moved = geom_cubic_mapped (&c, map);
    g_assert_cmpfloat (
      geom_distance (geom_cubic_at (&moved, s), geom_affine_apply (map, geom_cubic_at (&c, s))), <=, 1e-9);
    GeomBox tight = geom_box_grown (geom_cubic_box (&c), 1e-9),
            loose = geom_box_grown (geom_cubic_hull_box (&c), 1e-9);
    g_assert_true (geom_box_contains (tight, geom_cubic_at (&c, s)));
    g_assert_true (geom_box_contains (loose, geom_point (tight.x0, tight.y0)) || tight.x0 < loose.x0);
    /* Velocity and acceleration by differences; the third derivative is at most some 10,000. */
    double h = 1e-5;
    GeomPoint v = geom_scale (geom_sub (geom_cubic_at (&c, s + h), geom_cubic_at (&c, s - h)), 0.5 / h);
    g_assert_cmpfloat (geom_distance (v, geom_cubic_velocity (&c, s)), <=, 1e-5);
    GeomPoint a
      = geom_scale (geom_sub (geom_cubic_velocity (&c, s + h), geom_cubic_velocity (&c, s - h)), 0.5 / h);
    g_assert_cmpfloat (geom_distance (a, geom_cubic_acceleration (&c, s)), <=, 1e-5);
  }
}

static void
straightness (void)
{
  GeomCubic line = geom_cubic_line (geom_point (10, 20), geom_point (110, 220));
  g_assert_true (geom_cubic_is_straight (&line, 1e-9));
  GeomCubic bent = line, over = line, point = CUBIC ({ 7, 7 }, { 7, 7 }, { 7, 7 }, { 7, 7 });
  bent.p[1].x += 0.01;
  g_assert_false (geom_cubic_is_straight (&bent, 1e-3));
  g_assert_true (geom_cubic_is_straight (&bent, 0.02));
  over.p[1] = geom_mix (line.p[0], line.p[3], 1.5);
  g_assert_false (geom_cubic_is_straight (&over, 1e-3));
  g_assert_true (geom_cubic_is_straight (&point, 1e-9));
}

static void
arcs_as_cubics (void)
{
  /* Handle length 4/3 tan (angle / 4); M: largest radial error, always outward, and error of the length. */
  static const struct
  {
    double degrees, radial, length;
  } rows[] = {
    { 30, 3.72662e-7, 1.91657e-7 }, { 45, 4.24553e-6, 2.18355e-6 },  { 60, 2.38644e-5, 1.22755e-5 },
    { 90, 2.72530e-4, 1.40293e-4 }, { 120, 1.54202e-3, 7.95364e-4 }, { 180, 1.83502e-2, 9.56712e-3 },
  };
  for (size_t i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    double angle = rows[i].degrees * M_PI / 180, k = 4.0 / 3 * tan (angle / 4), worst = 0, least = 0;
    GeomPoint end = { cos (angle), sin (angle) };
    GeomCubic c = CUBIC ({ 1, 0 }, { 1, k }, { end.x + k * end.y, end.y - k * end.x }, { end.x, end.y });
    for (int n = 0; n <= 2000; n++)
    {
      double error = geom_norm (geom_cubic_at (&c, n / 2000.0)) - 1;
      worst = fmax (worst, error);
      least = fmin (least, error);
    }
    g_assert_cmpfloat (fabs (worst - rows[i].radial), <=, 1e-4 * rows[i].radial);
    g_assert_cmpfloat (least, >=, -1e-15);
    g_assert_cmpfloat (fabs (geom_cubic_length (&c, 1e-12) / angle - 1 - rows[i].length), <=,
                       1e-4 * rows[i].length);
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/geom/cubic/middle-of-curve-b", middle_of_curve_b);
  g_test_add_func ("/geom/cubic/curvature-rows", curvature_rows);
  g_test_add_func ("/geom/cubic/turning-rows", turning_rows);
  g_test_add_func ("/geom/cubic/turning-against-chords", turning_against_chords);
  g_test_add_func ("/geom/cubic/area-terms", area_terms);
  g_test_add_func ("/geom/cubic/crosses-itself", crosses_itself);
  g_test_add_func ("/geom/cubic/crosses-itself-against-chords", crosses_itself_against_chords);
  g_test_add_func ("/geom/cubic/special-points", special_points);
  g_test_add_func ("/geom/cubic/tangent-rows", tangent_rows);
  g_test_add_func ("/geom/cubic/laws", laws);
  g_test_add_func ("/geom/cubic/straightness", straightness);
  g_test_add_func ("/geom/cubic/arcs-as-cubics", arcs_as_cubics);
  return g_test_run ();
}
