/* Strokes sampled from known curves with seeded noise: the fit must come back to the curve. */
#include "geom/fit.h"

#include <glib.h>

#define SAMPLES 1000
#define TOLERANCE_MM 0.5

typedef GeomPoint (*TrueCurve) (double t);

static GeomPoint
wave (double t)
{
  return geom_point (300 * t, 40 * sin (2 * G_PI * t));
}

static GeomPoint
hook (double t)
{
  double a = -0.5 * G_PI + 1.6 * G_PI * t;

  return geom_point (100 * cos (a) * (1 + 0.3 * t), 80 * sin (a));
}

static GeomPoint
wobble (double t)
{
  return geom_point (250 * t + 15 * sin (9 * t), 30 * sin (7 * t) + 20 * cos (3 * t));
}

static GeomPoint
line (double t)
{
  return geom_point (200 * t, 100 * t);
}

static GeomPoint
circle (double t)
{
  return geom_point (80 * cos (2 * G_PI * t), 80 * sin (2 * G_PI * t));
}

static const GeomPoint box_corner[] = { { 0, 0 }, { 120, 0 }, { 150, 90 }, { 20, 70 } };

static GeomPoint
box (double t)
{
  int side = MIN ((int)(4 * t), 3);

  return geom_mix (box_corner[side], box_corner[(side + 1) % 4], 4 * t - side);
}

/* Two half circles of 60 mm with a corner between: an m. */
static GeomPoint
two_arches (double t)
{
  double a = t < 0.5 ? G_PI * (1 - 2 * t) : G_PI * (2 - 2 * t);

  return geom_point ((t < 0.5 ? 60 : 180) + 60 * cos (a), 60 * sin (a));
}

static double
noise (GRand *rand, double deviation_mm)
{
  double sum = -6.0;

  /* Near enough to a bell: twelve even ones, variance 1 (central limit). */
  for (int i = 0; i < 12; i++)
    sum += g_rand_double (rand);
  return deviation_mm * sum;
}

static void
draw (TrueCurve curve, bool closed, GRand *rand, double deviation_mm, GeomPoint *out)
{
  for (int i = 0; i < SAMPLES; i++)
  {
    GeomPoint p = curve (closed ? (double)i / SAMPLES : i / (SAMPLES - 1.0));
    double x = noise (rand, deviation_mm);

    out[i] = geom_point (p.x + x, p.y + noise (rand, deviation_mm));
  }
}

static double
distance_to (TrueCurve curve, GeomPoint p)
{
  double best = INFINITY;

  for (int i = 0; i <= 4000; i++)
    best = MIN (best, geom_distance (curve (i / 4000.0), p));
  return best;
}

static const struct
{
  const char *name;
  TrueCurve curve;
  bool closed;
  double noise_mm;
  size_t corners, most_pieces;
} rows[] = {
  { "line", line, false, 0.15, 0, 1 },
  { "wave", wave, false, 0.05, 0, 4 },
  { "wave, noisy", wave, false, 0.3, 0, 5 },
  { "hook", hook, false, 0.15, 0, 4 },
  { "wobble", wobble, false, 0.05, 0, 5 },
  { "circle", circle, true, 0.15, 0, 5 },
  { "two arches", two_arches, false, 0.1, 1, 6 },
  { "box", box, true, 0.1, 4, 4 },
  { "box, exact", box, true, 0.0, 4, 4 },
};

/* Every point of the fit is near the true curve, the whole true curve is near the fit, and it is short. */
static void
test_strokes (void)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (23);
  static GeomPoint point[SAMPLES];
  size_t corner[SAMPLES], corners;
  GeomPath out;

  geom_path_init (&out);
  for (size_t i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    GeomFitOptions options = { TOLERANCE_MM, 0.7, rows[i].closed };
    double sum = 0.0, worst = 0.0;
    int count = 0;

    g_test_message ("%s", rows[i].name);
    draw (rows[i].curve, rows[i].closed, rand, rows[i].noise_mm, point);
    geom_path_reset (&out);
    out.closed = false;
    g_assert_true (geom_fit_points (point, SAMPLES, &options, &out, corner, &corners));
    g_assert_cmpuint (corners, ==, rows[i].corners);
    g_assert_cmpuint (out.count, <=, rows[i].most_pieces);
    g_assert_true (out.closed == rows[i].closed);
    for (size_t k = 0; k < out.count; k++)
    {
      size_t next = (k + 1) % out.count;
      bool sharp = next == 0 && !rows[i].closed;

      for (size_t c = 0; c < corners; c++)
        sharp |= corner[c] == next;
      if (k + 1 < out.count || rows[i].closed)
        g_assert_true (geom_same_point (out.piece[k].p[3], out.piece[next].p[0]));
      if (!sharp)
        g_assert_cmpfloat (
          geom_dot (geom_cubic_tangent (&out.piece[k], 1.0), geom_cubic_tangent (&out.piece[next], 0.0)), >,
          1 - 1e-9);
      for (int s = 0; s <= 40; s++, count++)
      {
        double d = distance_to (rows[i].curve, geom_cubic_at (&out.piece[k], s / 40.0));

        sum += d * d;
        worst = MAX (worst, d);
      }
    }
    g_assert_cmpfloat (worst, <=, TOLERANCE_MM);
    g_assert_cmpfloat (sqrt (sum / count), <=, 0.4 * TOLERANCE_MM);
    for (int s = 0; s <= 200; s++)
      g_assert_cmpfloat (geom_path_nearest (&out, rows[i].curve (s / 200.0)).distance_mm, <=, TOLERANCE_MM);
  }
  geom_path_clear (&out);
}

/* A corner is found where it is: the box's are known. */
static void
test_corner_places (void)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (24);
  static GeomPoint point[SAMPLES];
  size_t corner[SAMPLES], corners;
  GeomFitOptions options = { TOLERANCE_MM, 0.7, true };
  GeomPath out;

  geom_path_init (&out);
  draw (box, true, rand, 0.1, point);
  g_assert_true (geom_fit_points (point, SAMPLES, &options, &out, corner, &corners));
  g_assert_cmpuint (corners, ==, 4);
  for (size_t i = 0; i < corners; i++)
  {
    double best = INFINITY;

    for (size_t k = 0; k < 4; k++)
      best = MIN (best, geom_distance (out.piece[corner[i]].p[0], box_corner[k]));
    g_assert_cmpfloat (best, <, 0.25);
  }
  geom_path_clear (&out);
}

/* Few, double, equal or absurd samples. */
static void
test_odd (void)
{
  static const GeomPoint few[] = { { 0, 0 }, { 0, 0 }, { 50, 10 }, { 100, 0 }, { 100, 0 } };
  static const GeomPoint equal[] = { { 3, 3 }, { 3, 3 }, { 3, 3 } };
  static const GeomPoint wrong[] = { { NAN, 0 }, { 0, INFINITY }, { 1, 1 } };
  static const GeomPoint there_and_back[] = { { 0, 0 }, { 50, 0 }, { 100, 0 }, { 50, 0 }, { 0, 0 } };
  GeomFitOptions options = { TOLERANCE_MM, 0.7, false };
  size_t corner[8], corners;
  GeomPath out;

  geom_path_init (&out);
  g_assert_false (geom_fit_points (NULL, 0, &options, &out, corner, &corners));
  g_assert_false (geom_fit_points (equal, 3, &options, &out, corner, &corners));
  g_assert_false (geom_fit_points (wrong, 3, &options, &out, corner, &corners));
  g_assert_cmpuint (out.count, ==, 0);
  g_assert_true (geom_fit_points (few, 2 + 1, &options, &out, NULL, NULL));
  g_assert_cmpuint (out.count, ==, 1);
  for (int closed = 0; closed < 2; closed++)
  {
    options.closed = closed;
    geom_path_reset (&out);
    g_assert_true (geom_fit_points (few, G_N_ELEMENTS (few), &options, &out, corner, &corners));
    for (size_t i = 0; i < 3; i++)
      g_assert_cmpfloat (geom_path_nearest (&out, few[i + 1]).distance_mm, <, TOLERANCE_MM);
    geom_path_reset (&out);
    g_assert_true (geom_fit_points (there_and_back, 5, &options, &out, corner, &corners));
    g_assert_cmpuint (out.count, >, 0);
    for (size_t i = 0; i < out.count; i++)
      for (int k = 0; k < 4; k++)
        g_assert_true (isfinite (out.piece[i].p[k].x) && isfinite (out.piece[i].p[k].y));
  }
  geom_path_clear (&out);
}

/* Random clouds are no strokes, but they end, and what comes out is finite. */
static void
test_clouds (void)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (25);
  GeomPoint point[300];
  size_t corner[300], corners;
  GeomPath out;

  geom_path_init (&out);
  for (int i = 0; i < 400; i++)
  {
    size_t count = g_rand_int_range (rand, 2, 300);
    GeomFitOptions options = { i % 3 == 0 ? 1e-3 : 0.5, i % 5 * 0.3, i % 2 };
    double size = i % 7 == 0 ? 1e-3 : i % 11 == 0 ? 1e6 : 100;

    for (size_t k = 0; k < count; k++)
      point[k] = geom_point (g_rand_double (rand) * size, i % 13 == 0 ? 0 : g_rand_double (rand) * size);
    geom_path_reset (&out);
    g_assert_true (geom_fit_points (point, count, &options, &out, corner, &corners));
    for (size_t k = 0; k < out.count; k++)
      for (int p = 0; p < 4; p++)
        g_assert_true (isfinite (out.piece[k].p[p].x) && isfinite (out.piece[k].p[p].y));
    for (size_t k = 0; k < corners; k++)
      g_assert_cmpuint (corner[k], <, out.count);
  }
  geom_path_clear (&out);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/geom/fit/strokes", test_strokes);
  g_test_add_func ("/geom/fit/corner-places", test_corner_places);
  g_test_add_func ("/geom/fit/odd", test_odd);
  g_test_add_func ("/geom/fit/clouds", test_clouds);
  return g_test_run ();
}
