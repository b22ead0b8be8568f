/* Parallel curves against the formulas for length and strip area, and against a plain, densely sampled twin.
 *
 * Parallel at signed distance d on the outer side, no collapse: length L + d theta, strip area L d + theta
 * d^2 / 2, theta the turning (M: the velocity scales by 1 + curvature d; Steiner).  Positive distances are to
 * the right, the outer side of a left turn. */
#include "geom/offset.h"

#include <glib.h>

#define ACCURACY_MM 0.01

/* Both are Pythagorean-hodograph cubics, so their lengths are exact: 96 turning by pi / 2, and 78 turning by
 * 2 (atan 3 - atan 1/3); smallest radius 36 (M). */
static const GeomCubic curve_b = { { { 0, 0 }, { 48, 0 }, { 72, 24 }, { 72, 48 } } };
static const GeomCubic curve_a = { { { 0, 0 }, { 24, 18 }, { 24, 48 }, { 0, 66 } } };
/* Armhole-like; length 204.443203635113, turning 1.42889927219073 (M, 40 digits). */
static const GeomCubic armhole = { { { 0, 0 }, { 0, -80 }, { 40, -140 }, { 110, -150 } } };

static const struct
{
  const char *name;
  const GeomCubic *curve;
  double distance_mm, length_mm, strip_mm2;
} formula_rows[] = {
  { "B outside", &curve_b, 10, 111.707963267949, 1038.53981633974 },
  { "B inside", &curve_b, -10, 80.2920367320510, 881.460183660255 },
  { "B outside 5", &curve_b, 5, 103.853981633974, 96 * 5 + G_PI / 4 * 25 },
  { "A outside 5", &curve_a, 5, 87.2729521800161, 413.182380450040 },
  { "A outside", &curve_a, 10, 96.5459043600322, 872.729521800161 },
  { "A inside", &curve_a, -10, 59.4540956399678, 687.270478199839 },
  { "armhole outside", &armhole, 10, 218.732196357020, 2115.87699996066 },
  { "armhole inside", &armhole, -10, 190.154210913205, 204.443203635113 * 10 - 1.42889927219073 * 50 },
};

static void
test_formulas (void)
{
  GeomPath out;

  geom_path_init (&out);
  for (size_t i = 0; i < G_N_ELEMENTS (formula_rows); i++)
  {
    const GeomCubic *c = formula_rows[i].curve;
    GeomCubic bridge;
    double strip;

    g_test_message ("%s", formula_rows[i].name);
    geom_path_reset (&out);
    geom_offset_cubic (c, formula_rows[i].distance_mm, ACCURACY_MM, &out);
    g_assert_cmpuint (out.count, ==, 1);
    g_assert_cmpfloat_with_epsilon (geom_path_length (&out, 1e-9), formula_rows[i].length_mm, 0.01);
    /* Round the strip: along the parallel, across, back along the curve, across. */
    geom_path_reset (&out);
    geom_offset_cubic (c, formula_rows[i].distance_mm, 0.05 * ACCURACY_MM, &out);
    strip = -geom_cubic_area_term (c);
    for (size_t k = 0; k < out.count; k++)
      strip += geom_cubic_area_term (&out.piece[k]);
    bridge = geom_cubic_line (out.piece[out.count - 1].p[3], c->p[3]);
    strip += geom_cubic_area_term (&bridge);
    bridge = geom_cubic_line (c->p[0], out.piece[0].p[0]);
    strip += geom_cubic_area_term (&bridge);
    g_assert_cmpfloat_with_epsilon (fabs (strip), formula_rows[i].strip_mm2, 0.1);
  }
  geom_path_clear (&out);
}

/* The parallel of a line is one line, also when its speed is uneven or zero at the ends. */
static void
test_lines (void)
{
  static const GeomCubic lines[] = { { { { 0, 0 }, { 30, 40 }, { 60, 80 }, { 90, 120 } } },
                                     { { { 0, 0 }, { 0, 0 }, { 300, 400 }, { 300, 400 } } },
                                     { { { 0, 0 }, { 3, 4 }, { 9, 12 }, { 90, 120 } } } };
  GeomPath out;

  geom_path_init (&out);
  for (size_t i = 0; i < G_N_ELEMENTS (lines); i++)
  {
    GeomPoint shift = geom_point (8, -6); /* 10 to the right of (3, 4) / 5 */

    geom_path_reset (&out);
    geom_offset_cubic (&lines[i], 10, ACCURACY_MM, &out);
    g_assert_cmpuint (out.count, ==, 1);
    g_assert_cmpfloat (geom_distance (out.piece[0].p[0], geom_add (lines[i].p[0], shift)), <, 1e-12);
    g_assert_cmpfloat (geom_distance (out.piece[0].p[3], geom_add (lines[i].p[3], shift)), <, 1e-12);
    g_assert_true (geom_cubic_is_straight (&out.piece[0], 1e-9));
  }
  geom_path_clear (&out);
}

/* Distance from P to the path: plain search, refined by thirds. */
static double
plain_distance (const GeomPath *path, GeomPoint p)
{
  double best = INFINITY;

  for (size_t i = 0; i < path->count; i++)
  {
    double near = INFINITY, at = 0.0, low, high;

    for (int k = 0; k <= 24; k++)
    {
      double d = geom_distance (geom_cubic_at (&path->piece[i], k / 24.0), p);

      if (d < near)
      {
        near = d;
        at = k / 24.0;
      }
    }
    low = MAX (at - 1 / 24.0, 0.0);
    high = MIN (at + 1 / 24.0, 1.0);
    for (int k = 0; k < 40; k++)
    {
      double a = low + (high - low) / 3.0, b = high - (high - low) / 3.0;

      if (geom_distance (geom_cubic_at (&path->piece[i], a), p)
          < geom_distance (geom_cubic_at (&path->piece[i], b), p))
        high = b;
      else
        low = a;
    }
    best = MIN (best, geom_distance (geom_cubic_at (&path->piece[i], low), p));
  }
  return best;
}

/* Largest distance of the true parallel, densely sampled, to OUT. */
static double
twin_error (const GeomCubic *c, double distance_mm, const GeomPath *out)
{
  double worst = 0.0;

  for (int k = 1; k < 120; k++)
  {
    double t = k / 120.0;
    GeomPoint q = geom_along (geom_cubic_at (c, t), distance_mm, geom_right_of (geom_cubic_tangent (c, t)));

    worst = MAX (worst, plain_distance (out, q));
  }
  return worst;
}

static void
assert_joined (const GeomPath *out)
{
  for (size_t i = 0; i + 1 < out->count; i++)
    g_assert_true (geom_same_point (out->piece[i].p[3], out->piece[i + 1].p[0]));
}

/* Pattern-like: chord 20..400, handles 0.2..0.6 of it, turned up to 50 degrees. */
static GeomCubic
pattern_cubic (GRand *rand)
{
  double chord = g_rand_double_range (rand, 20, 400), angle = g_rand_double_range (rand, 0, 2 * G_PI);
  double a = angle + g_rand_double_range (rand, -50, 50) * G_PI / 180;
  double b = angle + g_rand_double_range (rand, -50, 50) * G_PI / 180;
  double la = chord * g_rand_double_range (rand, 0.2, 0.6), lb = chord * g_rand_double_range (rand, 0.2, 0.6);
  GeomPoint end = geom_point (chord * cos (angle), chord * sin (angle));

  return (GeomCubic) {
    { { 0, 0 }, { la * cos (a), la * sin (a) }, { end.x - lb * cos (b), end.y - lb * sin (b) }, end }
  };
}

static void
test_accuracy (void)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (22);
  size_t pieces = 0, curves = 0;
  GeomPath out;

  geom_path_init (&out);
  for (double accuracy = 1.0; accuracy > 5e-4; accuracy *= 0.1)
    for (int i = 0; i < 120; i++)
    {
      GeomCubic c = pattern_cubic (rand);
      double d = g_rand_double_range (rand, -25, 25);

      geom_path_reset (&out);
      geom_offset_cubic (&c, d, accuracy, &out);
      assert_joined (&out);
      g_assert_cmpfloat (twin_error (&c, d, &out), <=, accuracy);
      if (fabs (accuracy - ACCURACY_MM) < 1e-9)
      {
        pieces += out.count;
        curves++;
      }
    }
  /* An S of a short chord needs up to six. */
  g_assert_cmpuint (pieces, <, 3 * curves);
  geom_path_clear (&out);
}

static const struct
{
  const char *name;
  GeomCubic c;
} hard_rows[] = {
  { "folds back twice", { { { 0, 0 }, { 150, 0 }, { -50, 0 }, { 100, 0 } } } },
  { "exact cusp", { { { 0, 0 }, { 100, 100 }, { 0, 100 }, { 100, 0 } } } },
  { "almost a cusp", { { { 0, 0 }, { 100, 100 }, { 1, 100 }, { 100, 0 } } } },
  { "loop", { { { 0, 0 }, { 200, 100 }, { -100, 100 }, { 100, 0 } } } },
  { "S", { { { 0, 0 }, { 100, 0 }, { 0, 100 }, { 100, 100 } } } },
  { "first handle on its end", { { { 0, 0 }, { 0, 0 }, { 0, 100 }, { 100, 100 } } } },
  { "last handle on its end", { { { 100, 100 }, { 0, 100 }, { 0, 0 }, { 0, 0 } } } },
  { "very long handles", { { { 0, 0 }, { 1000, 0 }, { -900, 1 }, { 100, 1 } } } },
  { "closed on itself", { { { 0, 0 }, { 100, 100 }, { -100, 100 }, { 0, 0 } } } },
  { "asymmetric S", { { { 0, 0 }, { 10, 100 }, { 90, -60 }, { 100, 40 } } } },
  { "nearly straight", { { { 0, 0 }, { 100, 0.001 }, { 200, -0.001 }, { 300, 0 } } } },
  { "tiny", { { { 0, 0 }, { .01, 0 }, { .02, .01 }, { .02, .02 } } } },
};

static void
test_hard (void)
{
  static const double distances[] = { 10, -10, 0.2, -0.2, 60, -60 };
  GeomPath out;

  geom_path_init (&out);
  for (size_t i = 0; i < G_N_ELEMENTS (hard_rows); i++)
    for (size_t k = 0; k < G_N_ELEMENTS (distances); k++)
    {
      g_test_message ("%s at %g", hard_rows[i].name, distances[k]);
      geom_path_reset (&out);
      geom_offset_cubic (&hard_rows[i].c, distances[k], ACCURACY_MM, &out);
      g_assert_cmpuint (out.count, >, 0);
      g_assert_cmpuint (out.count, <, 80);
      assert_joined (&out);
      g_assert_cmpfloat (twin_error (&hard_rows[i].c, distances[k], &out), <=, ACCURACY_MM);
    }
  geom_path_clear (&out);
}

/* Nothing to draw, or nothing that can be drawn: finite pieces or copies, and an end. */
static void
test_absurd (void)
{
  static const GeomCubic rows[] = {
    { { { 5, 5 }, { 5, 5 }, { 5, 5 }, { 5, 5 } } },
    { { { 0, 0 }, { 1e150, 0 }, { 0, 1e150 }, { 1e150, 1e150 } } },
    { { { 0, 0 }, { 1e-200, 0 }, { 0, 1e-200 }, { 1e-200, 1e-200 } } },
    { { { 0, 0 }, { NAN, 0 }, { 0, 1 }, { 1, 1 } } },
    { { { 0, 0 }, { INFINITY, 0 }, { 0, 1 }, { 1, 1 } } },
  };
  GeomPath out;

  geom_path_init (&out);
  for (size_t i = 0; i < G_N_ELEMENTS (rows); i++)
    for (double d = -1e6; d <= 1e6; d += 5e5)
    {
      geom_path_reset (&out);
      geom_offset_cubic (&rows[i], d, ACCURACY_MM, &out);
      g_assert_cmpuint (out.count, >=, 1);
      g_assert_cmpuint (out.count, <, 1000);
    }
  geom_path_clear (&out);
}

/* Smallest radius of curve A is 36 at its middle: from there on the parallel inside runs backwards and has
 * two cusps, where 1 + curvature d is 0. */
static void
test_cusps (void)
{
  GeomPath out;
  GeomOffsetFacts facts;
  int cusps = 0;

  geom_path_init (&out);
  facts = geom_offset_cubic_facts (&curve_a, -35.9, ACCURACY_MM, false, &out);
  g_assert_false (facts.folds);
  geom_path_reset (&out);
  facts = geom_offset_cubic_facts (&curve_a, -40.0, ACCURACY_MM, false, &out);
  g_assert_true (facts.folds);
  g_assert_cmpfloat (facts.error_mm, <=, ACCURACY_MM);
  g_assert_cmpfloat (twin_error (&curve_a, -40.0, &out), <=, ACCURACY_MM);
  for (size_t i = 0; i + 1 < out.count; i++)
  {
    GeomPoint in = geom_cubic_tangent (&out.piece[i], 1.0), on = geom_cubic_tangent (&out.piece[i + 1], 0.0);

    if (geom_dot (in, on) < -0.999)
      cusps++;
    else
      g_assert_cmpfloat (geom_dot (in, on), >, 1.0 - 1e-9);
  }
  g_assert_cmpint (cusps, ==, 2);
  geom_path_clear (&out);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/geom/offset/formulas", test_formulas);
  g_test_add_func ("/geom/offset/lines", test_lines);
  g_test_add_func ("/geom/offset/accuracy", test_accuracy);
  g_test_add_func ("/geom/offset/hard", test_hard);
  g_test_add_func ("/geom/offset/absurd", test_absurd);
  g_test_add_func ("/geom/offset/cusps", test_cusps);
  return g_test_run ();
}
