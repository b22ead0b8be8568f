/* Curves the tests and the benchmark share: named ones, and two seeded random sets.
 *
 * Set P: edges as on a pattern: chord 20..400 mm, handles 0.2..0.6 of the chord, turned up to 50 degrees.
 * Set W: control points anywhere in 0..500 mm; one in twenty is nearly a cusp, its slowest speed 1e-9..1e-1
 * of the mean.
 */
#ifndef TEST_GEOM_CURVES_H
#define TEST_GEOM_CURVES_H

#include "geom/cubic.h"

#include <stdint.h>

#define CUBIC(...)                                                                                           \
  {                                                                                                          \
    {                                                                                                        \
      __VA_ARGS__                                                                                            \
    }                                                                                                        \
  }

/* The two cubics with a rational length: the velocity is the square of a linear complex function (R. T.
 * Farouki and T. Sakkalis, Pythagorean hodographs, IBM J. Res. Dev. 34 (1990)), so the speed is a quadratic
 * in t. */
#define CURVE_A CUBIC ({ 0, 0 }, { 24, 18 }, { 24, 48 }, { 0, 66 })
#define CURVE_B CUBIC ({ 0, 0 }, { 48, 0 }, { 72, 24 }, { 72, 48 })
/* y = 2 x (1 - x / 100) raised to a cubic. */
#define CURVE_PARABOLA CUBIC ({ 0, 0 }, { 100.0 / 3, 200.0 / 3 }, { 200.0 / 3, 200.0 / 3 }, { 100, 0 })
#define CURVE_CUSP CUBIC ({ 0, 0 }, { 100, 100 }, { 0, 100 }, { 100, 0 })
#define CURVE_LOOP CUBIC ({ 0, 0 }, { 200, 100 }, { -100, 100 }, { 100, 0 })
#define CURVE_S CUBIC ({ 0, 0 }, { 100, 0 }, { 0, 100 }, { 100, 100 })
#define CURVE_CLOSED CUBIC ({ 0, 0 }, { 100, 100 }, { -100, 100 }, { 0, 0 })
#define CURVE_ARMHOLE CUBIC ({ 0, 0 }, { 0, -80 }, { 40, -140 }, { 110, -150 })
#define CURVE_FOLDS CUBIC ({ 0, 0 }, { 150, 0 }, { -50, 0 }, { 100, 0 })

/* SplitMix64 (S. Vigna, public domain): the same numbers on every machine. */
static inline double
next_random (uint64_t *state)
{
  uint64_t z = (*state += 0x9e3779b97f4a7c15u);
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
  return (double)((z ^ (z >> 31)) >> 11) * 0x1p-53;
}

static inline double
random_between (uint64_t *state, double low, double high)
{
  return low + (high - low) * next_random (state);
}

static inline GeomCubic
random_pattern_edge (uint64_t *state)
{
  const double most_turn = 50.0 * M_PI / 180.0;
  double chord = random_between (state, 20.0, 400.0), heading = random_between (state, 0.0, 2.0 * M_PI);
  double h0 = chord * random_between (state, 0.2, 0.6), h1 = chord * random_between (state, 0.2, 0.6);
  double a0 = random_between (state, -most_turn, most_turn),
         a1 = random_between (state, -most_turn, most_turn);
  GeomCubic c = CUBIC ({ 0, 0 }, { h0 * cos (a0), h0 * sin (a0) }, { chord - h1 * cos (a1), h1 * sin (a1) },
                       { chord, 0 });
  GeomAffine place = geom_affine_turn (geom_point (0, 0), heading);
  place.x0 = random_between (state, 0.0, 500.0);
  place.y0 = random_between (state, 0.0, 500.0);
  return geom_cubic_mapped (&c, place);
}

static inline GeomPoint
random_point (uint64_t *state)
{
  double x = random_between (state, 0.0, 500.0);
  return geom_point (x, random_between (state, 0.0, 500.0));
}

/* Velocity (t - r)(a t + b) with r close beside the real line at a random t: nearly a cusp. */
static inline GeomCubic
random_near_cusp (uint64_t *state)
{
  double x = random_between (state, -0.1, 1.1), y = pow (10.0, random_between (state, -9.0, -1.0));
  GeomPoint a = geom_sub (random_point (state), geom_point (250, 250));
  GeomPoint b = geom_sub (random_point (state), geom_point (250, 250));
  /* Powers of t: z2 = a, z1 = b - r a, z0 = -r b, with r = x + i y and i turning left. */
  GeomPoint ra = geom_along (geom_scale (a, x), y, geom_left_of (a));
  GeomPoint rb = geom_along (geom_scale (b, x), y, geom_left_of (b));
  GeomPoint z0 = geom_scale (rb, -1.0), z1 = geom_sub (b, ra);
  GeomCubic c = { .p = { random_point (state) } };
  c.p[1] = geom_along (c.p[0], 1.0 / 3.0, z0);
  c.p[2] = geom_along (geom_along (c.p[1], 1.0 / 3.0, z0), 1.0 / 6.0, z1);
  c.p[3] = geom_along (c.p[2], 1.0 / 3.0, geom_add (geom_add (z0, z1), a));
  return c;
}

static inline GeomCubic
random_wild_curve (uint64_t *state)
{
  if (next_random (state) < 0.05)
    return random_near_cusp (state);
  GeomCubic c;
  for (int i = 0; i < 4; i++)
    c.p[i] = random_point (state);
  return c;
}

#endif
