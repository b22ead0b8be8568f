/* One cubic piece: points, derivatives, parts, and what has a closed form.
 *
 * With a = p1 - p0, b = p2 - 2 p1 + p0, c = p3 - 3 p2 + 3 p1 - p0 the piece is p0 + 3 a t + 3 b t2 + c t3.
 * Most closed forms below are quadratics in t whose coefficients are cross products of a, b and c.
 */
#include "geom/cubic.h"

#include "geom/tolerance.h"

#include <complex.h>
#include <stddef.h>

typedef struct Powers
{
  GeomPoint a, b, c;
} Powers;

static Powers
powers_of (const GeomCubic *c)
{
  GeomPoint d0 = geom_sub (c->p[1], c->p[0]), d1 = geom_sub (c->p[2], c->p[1]),
            d2 = geom_sub (c->p[3], c->p[2]);
  GeomPoint e0 = geom_sub (d1, d0), e1 = geom_sub (d2, d1);
  return (Powers) { d0, e0, geom_sub (e1, e0) };
}

/* What differences of this piece's coordinates may owe to rounding alone. */
static double
rounding_of (const GeomCubic *c)
{
  double largest = 0.0;
  for (int i = 0; i < 4; i++)
    largest = fmax (largest, fmax (fabs (c->p[i].x), fabs (c->p[i].y)));
  return largest * GEOM_TOL_ROUNDING;
}

GeomCubic
geom_cubic_line (GeomPoint a, GeomPoint b)
{
  return (GeomCubic) { { a, geom_mix (a, b, 1.0 / 3.0), geom_mix (a, b, 2.0 / 3.0), b } };
}

bool
geom_cubic_is_straight (const GeomCubic *c, double accuracy_mm)
{
  GeomPoint along = geom_unit (geom_sub (c->p[3], c->p[0]));
  double length = geom_distance (c->p[0], c->p[3]);
  for (int i = 1; i <= 2; i++)
  {
    GeomPoint arm = geom_sub (c->p[i], c->p[0]);
    if (!(length > 0.0))
    {
      if (!(geom_norm (arm) <= accuracy_mm))
        return false;
      continue;
    }
    /* Both arms' ends between the two end points: then the piece cannot run back over itself. */
    double forward = geom_dot (arm, along);
    if (!(fabs (geom_cross (along, arm)) <= accuracy_mm) || forward < -accuracy_mm
        || forward > length + accuracy_mm)
      return false;
  }
  return true;
}

GeomPoint
geom_cubic_at (const GeomCubic *c, double t)
{
  double s = 1.0 - t;
  double w0 = s * s * s, w1 = 3.0 * s * s * t, w2 = 3.0 * s * t * t, w3 = t * t * t;
  return geom_point (w0 * c->p[0].x + w1 * c->p[1].x + w2 * c->p[2].x + w3 * c->p[3].x,
                     w0 * c->p[0].y + w1 * c->p[1].y + w2 * c->p[2].y + w3 * c->p[3].y);
}

GeomPoint
geom_cubic_velocity (const GeomCubic *c, double t)
{
  double s = 1.0 - t;
  GeomPoint d0 = geom_sub (c->p[1], c->p[0]), d1 = geom_sub (c->p[2], c->p[1]),
            d2 = geom_sub (c->p[3], c->p[2]);
  double w0 = 3.0 * s * s, w1 = 6.0 * s * t, w2 = 3.0 * t * t;
  return geom_point (w0 * d0.x + w1 * d1.x + w2 * d2.x, w0 * d0.y + w1 * d1.y + w2 * d2.y);
}

GeomPoint
geom_cubic_acceleration (const GeomCubic *c, double t)
{
  double s = 1.0 - t;
  GeomPoint d0 = geom_sub (c->p[1], c->p[0]), d1 = geom_sub (c->p[2], c->p[1]),
            d2 = geom_sub (c->p[3], c->p[2]);
  return geom_scale (geom_add (geom_scale (geom_sub (d1, d0), s), geom_scale (geom_sub (d2, d1), t)), 6.0);
}

GeomPoint
geom_cubic_tangent (const GeomCubic *c, double t)
{
  double rounding = rounding_of (c);
  GeomPoint velocity = geom_cubic_velocity (c, t);
  if (geom_norm (velocity) > 3.0 * rounding)
    return geom_unit (velocity);
  /* v(t + h) = h a + h h j / 2: the first derivative that is not zero gives the direction; seen from the left
   * (h < 0) the odd one turns round. */
  GeomPoint acceleration = geom_cubic_acceleration (c, t);
  if (geom_norm (acceleration) > 12.0 * rounding)
    return geom_unit (t < 1.0 ? acceleration : geom_scale (acceleration, -1.0));
  GeomPoint jerk = powers_of (c).c;
  if (geom_norm (jerk) > 4.0 * rounding)
    return geom_unit (jerk);
  /* All differences are as small as rounding: the best of them still beats no direction at all. */
  if (!geom_same_point (velocity, geom_point (0.0, 0.0)))
    return geom_unit (velocity);
  return geom_unit (geom_sub (c->p[3], c->p[0]));
}

double
geom_cubic_curvature (const GeomCubic *c, double t)
{
  GeomPoint v = geom_cubic_velocity (c, t), w = geom_cubic_acceleration (c, t);
  double speed = geom_norm (v), rounding = rounding_of (c);
  if (speed > 3.0 * rounding)
    return geom_cross (v, w) / speed / speed / speed;
  /* Near the cusp v is t w + t t j / 2 and the curvature grows as w x j / t, unless the piece is straight. */
  Powers q = powers_of (c);
  double size = geom_norm (q.a) + geom_norm (q.b) + geom_norm (q.c);
  double bend
    = fmax (fabs (geom_cross (q.a, q.b)), fmax (fabs (geom_cross (q.a, q.c)), fabs (geom_cross (q.b, q.c))));
  return bend > 8.0 * rounding * size ? (double)INFINITY : 0.0;
}

void
geom_cubic_split (const GeomCubic *c, double t, GeomCubic *head, GeomCubic *tail)
{
  GeomPoint p0 = c->p[0], p3 = c->p[3];
  GeomPoint p01 = geom_mix (p0, c->p[1], t), p12 = geom_mix (c->p[1], c->p[2], t),
            p23 = geom_mix (c->p[2], p3, t);
  GeomPoint p012 = geom_mix (p01, p12, t), p123 = geom_mix (p12, p23, t);
  GeomPoint mid = geom_mix (p012, p123, t);
  if (head != NULL)
    *head = (GeomCubic) { { p0, p01, p012, mid } };
  if (tail != NULL)
    *tail = (GeomCubic) { { mid, p123, p23, p3 } };
}

GeomCubic
geom_cubic_part (const GeomCubic *c, double t0, double t1)
{
  if (t0 > t1)
  {
    GeomCubic forward = geom_cubic_part (c, t1, t0);
    return geom_cubic_reversed (&forward);
  }
  GeomCubic part = *c;
  if (t1 < 1.0 || t1 > 1.0)
    geom_cubic_split (&part, t1, &part, NULL);
  if (t0 < 0.0 || t0 > 0.0)
  {
    if (t1 > 0.0 && t0 < t1)
      geom_cubic_split (&part, t0 / t1, NULL, &part);
    else
    {
      /* No stretch left (or one before the start): from the velocities instead of a quotient. */
      double third = (t1 - t0) / 3.0;
      GeomPoint from = geom_cubic_at (c, t0), to = geom_cubic_at (c, t1);
      part = (GeomCubic) { { from, geom_along (from, third, geom_cubic_velocity (c, t0)),
                             geom_along (to, -third, geom_cubic_velocity (c, t1)), to } };
    }
  }
  return part;
}

GeomCubic
geom_cubic_reversed (const GeomCubic *c)
{
  return (GeomCubic) { { c->p[3], c->p[2], c->p[1], c->p[0] } };
}

GeomCubic
geom_cubic_mapped (const GeomCubic *c, GeomAffine map)
{
  return (GeomCubic) { { geom_affine_apply (map, c->p[0]), geom_affine_apply (map, c->p[1]),
                         geom_affine_apply (map, c->p[2]), geom_affine_apply (map, c->p[3]) } };
}

/* ---- special points ---- */

/* Adds the roots of q0 + 2 q1 t + q2 t t inside 0..1.  SIMPLE_ONLY leaves out double roots, where the
 * quadratic does not change its sign; ROUNDING is what the coefficients may be off by. */
static void
add_quadratic_roots (GeomParams *out, double q0, double q1, double q2, double rounding, bool simple_only)
{
  double size = fmax (fabs (q0), fmax (fabs (q1), fabs (q2)));
  if (!(size > rounding))
    return;
  double disc = q1 * q1 - q0 * q2, disc_rounding = 4.0 * rounding * size;
  if (disc < 0.0 && (simple_only || disc < -disc_rounding))
    return;
  if (simple_only && disc <= disc_rounding)
    return;
  /* The larger sum first, the other root from the product: no cancellation. */
  double far_sum = -(q1 + copysign (sqrt (fmax (disc, 0.0)), q1));
  double root[2] = { far_sum / q2, q0 / far_sum };
  for (int i = 0; i < 2; i++)
    if (root[i] > 0.0 && root[i] < 1.0 && out->count < 6)
      out->t[out->count++] = root[i];
}

/* Ascending, each once. */
static void
sort_params (GeomParams *params)
{
  for (int i = 1; i < params->count; i++)
    for (int k = i; k > 0 && params->t[k] < params->t[k - 1]; k--)
    {
      double keep = params->t[k];
      params->t[k] = params->t[k - 1];
      params->t[k - 1] = keep;
    }
  int kept = 0;
  for (int i = 0; i < params->count; i++)
    if (kept == 0 || params->t[i] > params->t[kept - 1])
      params->t[kept++] = params->t[i];
  params->count = kept;
}

GeomParams
geom_cubic_extrema (const GeomCubic *c)
{
  GeomParams out = { 0 };
  Powers q = powers_of (c);
  double rounding = rounding_of (c);
  add_quadratic_roots (&out, q.a.x, q.b.x, q.c.x, rounding, false);
  add_quadratic_roots (&out, q.a.y, q.b.y, q.c.y, rounding, false);
  sort_params (&out);
  return out;
}

GeomParams
geom_cubic_inflections (const GeomCubic *c)
{
  GeomParams out = { 0 };
  Powers q = powers_of (c);
  double size = geom_norm (q.a) + geom_norm (q.b) + geom_norm (q.c);
  add_quadratic_roots (&out, geom_cross (q.a, q.b), 0.5 * geom_cross (q.a, q.c), geom_cross (q.b, q.c),
                       4.0 * rounding_of (c) * size, true);
  sort_params (&out);
  return out;
}

GeomBox
geom_cubic_hull_box (const GeomCubic *c)
{
  GeomBox box = { c->p[0].x, c->p[0].y, c->p[0].x, c->p[0].y };
  for (int i = 1; i < 4; i++)
  {
    GeomPoint p = c->p[i];
    box.x0 = p.x < box.x0 ? p.x : box.x0;
    box.y0 = p.y < box.y0 ? p.y : box.y0;
    box.x1 = p.x > box.x1 ? p.x : box.x1;
    box.y1 = p.y > box.y1 ? p.y : box.y1;
  }
  return box;
}

GeomBox
geom_cubic_box (const GeomCubic *c)
{
  GeomBox box = geom_box_with_point (geom_box_empty (), c->p[0]);
  box = geom_box_with_point (box, c->p[3]);
  if (geom_box_contains (box, c->p[1]) && geom_box_contains (box, c->p[2]))
    return box;
  GeomParams extrema = geom_cubic_extrema (c);
  for (int i = 0; i < extrema.count; i++)
    box = geom_box_with_point (box, geom_cubic_at (c, extrema.t[i]));
  return box;
}

/* ---- area and turning ---- */

double
geom_cubic_area_term (const GeomCubic *c)
{
  const GeomPoint *p = c->p;
  return (6.0 * geom_cross (p[0], p[1]) + 3.0 * geom_cross (p[0], p[2]) + geom_cross (p[0], p[3])
          + 3.0 * geom_cross (p[1], p[2]) + 3.0 * geom_cross (p[1], p[3]) + 6.0 * geom_cross (p[2], p[3]))
         / 20.0;
}

/* Angle through which t - root turns while t runs from 0 to 1; it never passes a half turn.  A root on the
 * way (a cusp or a fold) turns it by a half turn at once: not counted, but *FLIPS is. */
static double
factor_turning (double complex root, double rounding, int *flips)
{
  if (fabs (cimag (root)) <= rounding)
  {
    if (creal (root) > 0.0 && creal (root) < 1.0)
      *flips += 1;
    return 0.0;
  }
  double complex turned = (1.0 - root) * conj (-root);
  return atan2 (cimag (turned), creal (turned));
}

double
geom_cubic_turning (const GeomCubic *c)
{
  /* The velocity as a complex quadratic is a product of factors t - root; each factor's angle is known
   * without ambiguity.  They say how many whole turns there are; the end tangents give the exact rest. */
  Powers q = powers_of (c);
  double complex qa = q.a.x + I * q.a.y, qb = q.b.x + I * q.b.y, qc = q.c.x + I * q.c.y;
  double size = cabs (qa) + cabs (qb) + cabs (qc), turning = 0.0;
  int flips = 0;
  if (!(size > 0.0) || !isfinite (size))
    return 0.0;
  double complex root_of_disc = csqrt (qb * qb - qa * qc);
  if (creal (conj (qb) * root_of_disc) < 0.0)
    root_of_disc = -root_of_disc;
  double complex far_sum = -(qb + root_of_disc);
  /* A double root is known to half the digits only. */
  const double root_rounding = 1e-8;
  if (cabs (qc) > GEOM_TOL_ROUNDING * cabs (far_sum))
    turning += factor_turning (far_sum / qc, root_rounding, &flips);
  if (cabs (far_sum) > GEOM_TOL_ROUNDING * size)
    turning += factor_turning (qa / far_sum, root_rounding, &flips);
  else if (cabs (qc) > 0.0)
    turning += factor_turning (0.0, root_rounding, &flips);
  GeomPoint from = geom_cubic_tangent (c, 0.0), to = geom_cubic_tangent (c, 1.0);
  if (flips % 2 == 1)
    to = geom_scale (to, -1.0);
  double rest = atan2 (geom_cross (from, to), geom_dot (from, to));
  return rest + 2.0 * M_PI * round ((turning - rest) / (2.0 * M_PI));
}

/* ---- crossing itself ---- */

bool
geom_cubic_self_crossing (const GeomCubic *c, double *t, double *u)
{
  /* (p(t) - p(u)) / (t - u) = 3 a + 3 b s + c (s s - q) with s = t + u, q = t u.  Its cross product with c
   * gives s, its dot product then q. */
  Powers k = powers_of (c);
  double size = geom_norm (k.a) + geom_norm (k.b) + geom_norm (k.c);
  double bxc = geom_cross (k.b, k.c), cc = geom_dot (k.c, k.c);
  if (!(fabs (bxc) > 8.0 * rounding_of (c) * size) || !(cc > 0.0))
    return false;
  double sum = -geom_cross (k.a, k.c) / bxc;
  double product = sum * sum + 3.0 * geom_dot (geom_along (k.a, sum, k.b), k.c) / cc;
  double disc = sum * sum - 4.0 * product;
  /* Also refuses NaN from overflow. */
  if (!(disc > GEOM_TOL_ROUNDING * (1.0 + sum * sum)))
    return false;
  double far_sum = 0.5 * (sum + copysign (sqrt (disc), sum));
  double first = fmin (far_sum, product / far_sum), second = fmax (far_sum, product / far_sum);
  /* An end lying on the piece counts; both ends in one point only close it. */
  const double slack = 1e-12;
  if (!(first >= -slack && second <= 1.0 + slack) || (first <= slack && second >= 1.0 - slack))
    return false;
  *t = fmax (first, 0.0);
  *u = fmin (second, 1.0);
  return true;
}
