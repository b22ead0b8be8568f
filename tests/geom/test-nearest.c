/* The nearest point of a piece. */
#include "geom/path.h"

#include "curves.h"

#include <glib.h>

static void
rows (void)
{
  static const struct
  {
    const char *why;
    GeomCubic c;
    GeomPoint to;
    double want_t, want_mm;
  } row[] = {
    { "straight: foot of the perpendicular",
      CUBIC ({ 0, 0 }, { 30, 40 }, { 60, 80 }, { 90, 120 }),
      { 12, -9 },
      0,
      15 },
    { "straight: 3-4-5 in the middle",
      CUBIC ({ 0, 0 }, { 30, 40 }, { 60, 80 }, { 90, 120 }),
      { 53, 54 },
      0.5,
      10 },
    { "beyond the end", CURVE_B, { 72, 58 }, 1, 10 },
    { "B: 10 mm right of its middle (60, 7)", CURVE_B, { 60, 7 }, 0.5, 10 },
    { "parabola from above its top", CURVE_PARABOLA, { 50, 60 }, 0.5, 10 },
    /* (x - 50)^2 = 25 (25 + 2 (50 - y) - 50) for a point 25 below the centre of curvature: by symmetry two
     * equally near places; vertex form y = 50 - (x - 50)^2 / 50, point (50, 0): u^2 = 50 (50 - 25) gives u
     * = 35.355339059327. */
    { "two equally near: the lower t", CURVE_PARABOLA, { 50, 0 }, 0.14644660940672624, 43.301270189221932 },
    { "on the cusp", CURVE_CUSP, { 50, 75 }, 0.5, 0 },
    { "over the cusp", CURVE_CUSP, { 50, 80 }, 0.5, 5 },
    { "middle of the loop's top", CURVE_LOOP, { 50, 76 }, 0.5, 1 },
    { "all points in one", CUBIC ({ 7, 7 }, { 7, 7 }, { 7, 7 }, { 7, 7 }), { 10, 11 }, 0, 5 },
    { "folded line, past its first turn", CURVE_FOLDS, { 59.4491118252307, 3 }, 0.31101777634952, 3 },
  };
  for (size_t i = 0; i < G_N_ELEMENTS (row); i++)
  {
    g_test_message ("%s", row[i].why);
    GeomNearest got = geom_cubic_nearest (&row[i].c, row[i].to);
    g_assert_cmpfloat (fabs (got.distance_mm - row[i].want_mm), <=, 1e-9);
    /* At a place where the speed is zero the parameter is known to half the digits. */
    g_assert_cmpfloat (fabs (got.t - row[i].want_t), <=, 2e-6);
    g_assert_cmpfloat (geom_distance (got.point, geom_cubic_at (&row[i].c, got.t)), <=, 1e-12);
    g_assert_cmpfloat (fabs (geom_distance (got.point, row[i].to) - got.distance_mm), <=, 1e-12);
  }
}

/* The plain judge: 2,000 samples; between two of them no point is nearer than the nearer one by more than the
 * piece can bend and run there. */
static double
sampled_distance (const GeomCubic *c, GeomPoint to)
{
  double best = INFINITY;
  for (int i = 0; i <= 2000; i++)
  {
    GeomPoint d = geom_sub (geom_cubic_at (c, i / 2000.0), to);
    best = fmin (best, geom_dot (d, d));
  }
  return sqrt (best);
}

static void
no_miss (const char *set, GeomCubic (*draw) (uint64_t *), int count)
{
  uint64_t state = 77;
  for (int i = 0; i < count; i++)
  {
    GeomCubic c = draw (&state);
    GeomPoint to = random_point (&state);
    /* A third of them near the piece, where there are most local minima. */
    if (i % 3 == 0)
      to = geom_along (geom_cubic_at (&c, next_random (&state)), 0.02, geom_sub (to, geom_point (250, 250)));
    double got = geom_cubic_nearest (&c, to).distance_mm, sampled = sampled_distance (&c, to);
    if (!(got <= sampled + 1e-9))
      g_test_message ("%s %d: %.9g mm, but a sample is at %.9g mm", set, i, got, sampled);
    g_assert_cmpfloat (got, <=, sampled + 1e-9);
  }
}

static void
no_miss_on_pattern_edges (void)
{
  no_miss ("P", random_pattern_edge, 10000);
}

static void
no_miss_on_wild_curves (void)
{
  no_miss ("W", random_wild_curve, 10000);
  no_miss ("cusps", random_near_cusp, 4000);
}

/* Law: a point of the piece is found again; a point beside it, nearer than the radius of curvature, is a
 * foot. */
static void
foot_is_found_again (void)
{
  uint64_t state = 8;
  for (int i = 0; i < 5000; i++)
  {
    GeomCubic c = random_pattern_edge (&state);
    double t = next_random (&state), off_mm = 1e-3;
    GeomPoint on = geom_cubic_at (&c, t);
    g_assert_cmpfloat (geom_cubic_nearest (&c, on).distance_mm, <=, 1e-12);
    GeomPoint beside = geom_along (on, off_mm, geom_left_of (geom_cubic_tangent (&c, t)));
    GeomNearest near = geom_cubic_nearest (&c, beside);
    g_assert_cmpfloat (near.distance_mm, <=, off_mm + 1e-12);
  }
}

static void
sizes_beyond_any_workshop (void)
{
  GeomCubic b = CURVE_B;
  for (int exponent = -140; exponent <= 140; exponent += 20)
  {
    double size = pow (10.0, exponent);
    GeomCubic c = geom_cubic_mapped (&b, geom_affine_scale (geom_point (0, 0), size, size));
    GeomNearest near = geom_cubic_nearest (&c, geom_point (60 * size, 7 * size));
    g_assert_cmpfloat (fabs (near.distance_mm - 10 * size), <=, 1e-9 * size);
  }
  /* Past that the squares overflow: no promise but a number. */
  GeomCubic huge = geom_cubic_mapped (&b, geom_affine_scale (geom_point (0, 0), 1e250, 1e250));
  g_assert_false (isnan (geom_cubic_nearest (&huge, geom_point (0, 0)).distance_mm));
}

/* Story: a mirrored panel had a handle one last bit off its corner, and the far end was taken for the nearest
 * point, 350 mm away. */
static void
handle_all_but_on_its_corner (void)
{
  GeomCubic c = { { { 642.18301522767058, 91.77651058746801 },
                    { 671.35068354410021, 128.9230530632276 },
                    { 181.58609339530926, -592.9905649387199 },
                    { 181.58609339530921, -592.9905649387199 } } };

  for (int i = 0; i <= 64; i++)
  {
    g_assert_cmpfloat (geom_cubic_nearest (&c, geom_cubic_at (&c, i / 64.0)).distance_mm, <=, 1e-9);
    GeomCubic back = geom_cubic_reversed (&c);
    g_assert_cmpfloat (geom_cubic_nearest (&back, geom_cubic_at (&back, i / 64.0)).distance_mm, <=, 1e-9);
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/geom/nearest/rows", rows);
  g_test_add_func ("/geom/nearest/no-miss-on-pattern-edges", no_miss_on_pattern_edges);
  g_test_add_func ("/geom/nearest/no-miss-on-wild-curves", no_miss_on_wild_curves);
  g_test_add_func ("/geom/nearest/foot-is-found-again", foot_is_found_again);
  g_test_add_func ("/geom/nearest/handle-all-but-on-its-corner", handle_all_but_on_its_corner);
  g_test_add_func ("/geom/nearest/sizes-beyond-any-workshop", sizes_beyond_any_workshop);
  return g_test_run ();
}
