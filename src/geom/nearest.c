/* The nearest point of a cubic piece.
 *
 * Where the distance to q is smallest inside the piece, f(t) = (c(t) - q) . c'(t) passes from minus to plus.
 * f is a quintic; its six Bernstein coefficients change sign at least as often as f does, so a stretch
 * without a change has no such place, and a stretch with one change has exactly one root, found by Newton
 * steps kept in a bracket. Stretches with more changes are halved.  Every smallest place is looked at, so the
 * answer is global; sampling and improving the best sample misses one in a thousand.
 */
#include "geom/cubic.h"

#include "geom/tolerance.h"

/* Halving an interval of t this often leaves one that no longer matters (a double root never separates):
 * 2^-40 of a piece of a metre is 1e-9 mm, and the distance errs by the square of that. */
#define MOST_HALVINGS 40
/* Newton steps double the digits, halving the bracket ends after 52. */
#define MOST_STEPS 64

typedef struct Search
{
  GeomPoint a0, a1, a2, a3; /* c(t) - q in powers of t */
  double best_square, tie;
  double best_t;
} Search;

static GeomPoint
arm_at (const Search *s, double t)
{
  return (GeomPoint) { ((s->a3.x * t + s->a2.x) * t + s->a1.x) * t + s->a0.x,
                       ((s->a3.y * t + s->a2.y) * t + s->a1.y) * t + s->a0.y };
}

/* Candidates come in ascending t: an equally near one does not replace an earlier one. */
static void
consider (Search *s, double t)
{
  GeomPoint arm = arm_at (s, t);
  double square = geom_dot (arm, arm);
  if (square < s->best_square - s->tie * sqrt (square))
  {
    s->best_square = square;
    s->best_t = t;
  }
}

/* The root of f in LOW..HIGH, where f passes from minus to plus. */
static double
bracketed_root (const Search *s, double low, double high, double guess)
{
  double t = guess;
  for (int step = 0; step < MOST_STEPS; step++)
  {
    GeomPoint arm = arm_at (s, t);
    GeomPoint v = { (3.0 * s->a3.x * t + 2.0 * s->a2.x) * t + s->a1.x,
                    (3.0 * s->a3.y * t + 2.0 * s->a2.y) * t + s->a1.y };
    GeomPoint w = { 6.0 * s->a3.x * t + 2.0 * s->a2.x, 6.0 * s->a3.y * t + 2.0 * s->a2.y };
    double f = geom_dot (arm, v), slope = geom_dot (v, v) + geom_dot (arm, w);
    double move = -f / slope;
    /* At the root wanted f rises; where it falls a Newton step leads away, perhaps to an end where the speed
     * vanishes and f with it. */
    bool rises = slope > 0.0;
    /* A step of this size is rounding only; so is an f of exactly zero. */
    if ((rises && fabs (move) <= GEOM_TOL_ROUNDING) || !(fabs (f) > 0.0))
      return t;
    if (f < 0.0)
      low = t;
    else
      high = t;
    double next = t + move;
    if (!rises || !(next > low && next < high))
      next = 0.5 * (low + high);
    if (!(next > low && next < high))
      return next;
    t = next;
  }
  return t;
}

static void
search (Search *s, const double f[6], double from, double to, int halvings_left)
{
  int changes = 0;
  double sign = 0.0;
  for (int i = 0; i < 6; i++)
  {
    if (f[i] * sign < 0.0)
      changes++;
    if (f[i] > 0.0)
      sign = 1.0;
    else if (f[i] < 0.0)
      sign = -1.0;
  }
  if (changes == 0)
    return;
  if (changes == 1 && sign < 0.0)
    return; /* a single passage from plus to minus: farthest, not nearest */
  double mid = 0.5 * (from + to);
  if (changes == 1 && f[0] < 0.0 && f[5] > 0.0)
  {
    /* The straight line through both ends is as good a start as the middle, and often better. */
    double part = f[0] / (f[0] - f[5]);
    /* Not at an end, though: where a handle all but lies on its node, f is nearly zero there without a root.
     */
    double guess = from + (to - from) * fmin (fmax (part, 0.1), 0.9);
    consider (s, bracketed_root (s, from, to, guess));
    return;
  }
  if (halvings_left == 0)
  {
    consider (s, mid);
    return;
  }
  double head[6], tail[6], row[6];
  for (int i = 0; i < 6; i++)
    row[i] = f[i];
  for (int k = 0; k < 6; k++)
  {
    head[k] = row[0];
    tail[5 - k] = row[5 - k];
    for (int i = 0; i < 5 - k; i++)
      row[i] = 0.5 * (row[i] + row[i + 1]);
  }
  search (s, head, from, mid, halvings_left - 1);
  /* A root exactly at the cut shows in neither half. */
  if (fabs (tail[0]) <= 0.0)
    consider (s, mid);
  search (s, tail, mid, to, halvings_left - 1);
}

GeomNearest
geom_cubic_nearest (const GeomCubic *c, GeomPoint to)
{
  GeomPoint q[4], d[3];
  double largest = 0.0;
  for (int i = 0; i < 4; i++)
  {
    q[i] = geom_sub (c->p[i], to);
    largest = fmax (largest, fmax (fabs (q[i].x), fabs (q[i].y)));
  }
  for (int i = 0; i < 3; i++)
    d[i] = geom_sub (c->p[i + 1], c->p[i]);
  Search s = { .a0 = q[0], .best_square = INFINITY, .tie = largest * 2.0 * GEOM_TOL_ROUNDING };
  s.a1 = geom_scale (d[0], 3.0);
  GeomPoint e0 = geom_sub (d[1], d[0]), e1 = geom_sub (d[2], d[1]);
  s.a2 = geom_scale (e0, 3.0);
  s.a3 = geom_sub (e1, e0);
  /* Product of a cubic and a quadratic in Bernstein form: binomial weights (3 i)(2 j) / (5 i+j). */
  double f[6] = {
    geom_dot (q[0], d[0]),
    0.4 * geom_dot (q[0], d[1]) + 0.6 * geom_dot (q[1], d[0]),
    0.1 * geom_dot (q[0], d[2]) + 0.6 * geom_dot (q[1], d[1]) + 0.3 * geom_dot (q[2], d[0]),
    0.3 * geom_dot (q[1], d[2]) + 0.6 * geom_dot (q[2], d[1]) + 0.1 * geom_dot (q[3], d[0]),
    0.6 * geom_dot (q[2], d[2]) + 0.4 * geom_dot (q[3], d[1]),
    geom_dot (q[3], d[2]),
  };
  s.best_square = geom_dot (q[0], q[0]);
  search (&s, f, 0.0, 1.0, MOST_HALVINGS);
  double end_square = geom_dot (q[3], q[3]);
  if (end_square < s.best_square - s.tie * sqrt (end_square))
    s.best_t = 1.0;
  GeomPoint point = s.best_t < 1.0 ? geom_cubic_at (c, s.best_t) : c->p[3];
  return (GeomNearest) { s.best_t, geom_distance (point, to), point };
}
