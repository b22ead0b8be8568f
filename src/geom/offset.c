/* Parallel curves.
 *
 * The parallel of a cubic is no cubic, but its end points and end tangents are known.  Per span only the two
 * handle lengths are free; they follow from least squares on the error along the normal:
 *
 *        q(t) = c(t) + distance * right of the tangent
 *        handles a, b:   q0, q0 + a T0, q1 - b T1, q1
 *
 * Each sample q(t) knows its own normal, so "how far is the fit from the true parallel here" is a foot point
 * on a known line: one Newton step a round.  A span that stays over the accuracy is halved at half its
 * length, which finds the short bend of a near-cusp in a few steps where halving t would creep.
 */
#include "geom/offset.h"

#include <stddef.h>

/* Inner samples of a span.  Seven see every lobe of a two-parameter fit; eight fill vector registers. */
#define SAMPLES 8
#define ROUNDS 5
/* A foot point found by a step of t as short as this is off by its cube only. */
#define SETTLED_STEP 0.02
#define HOPELESS 20.0
/* Spans are halved at most so often, and a cubic gets at most so many: past this the input is not a curve
 * anybody can cut, and the best fit is taken as it is. */
#define HALVINGS 16
#define MOST_SPANS 400
/* Samples stand between the true extremes of the error: keep this much in hand. */
#define SAMPLED_SHARE 0.87
/* Relative to the size of the curve: below this a velocity has no direction of its own. */
#define NO_SPEED 1e-9
/* A cusp of the source as sharp as this is taken for a corner. */
#define CUSP_SPEED 1e-7
#define MOST_CUSPS 24

/* fmin and fmax proper are calls: too dear in here, where NaN has been kept out. */
static inline double
least (double a, double b)
{
  return a < b ? a : b;
}

static inline double
most_of (double a, double b)
{
  return a > b ? a : b;
}

/* Nothing here is large enough to overflow in a square: hypot's care is not needed. */
static inline double
chord (GeomPoint a, GeomPoint b)
{
  double x = b.x - a.x, y = b.y - a.y;

  return sqrt (x * x + y * y);
}

typedef struct Source
{
  GeomPoint p[4], leg[3];
  double distance_mm;
  double no_speed2; /* squared, in thirds of the velocity */
  double bend[3];   /* velocity x acceleration / 18, Bernstein */
  /* Straight leads before t = 0 and after t = 1 go on with so many mm per t. */
  double lead_speed, tail_speed;
} Source;

/* Straight enough that the parallel is a line: arms forward on the chord. */
bool
geom_offset_is_line (const GeomCubic *c)
{
  GeomPoint across = geom_sub (c->p[3], c->p[0]);
  GeomPoint head = geom_sub (c->p[1], c->p[0]), tail = geom_sub (c->p[3], c->p[2]);
  double length2 = geom_dot (across, across), slack = 1e-9 * length2;
  double a = geom_dot (head, across), b = geom_dot (tail, across);

  return length2 > 0.0 && fabs (geom_cross (head, across)) <= slack
         && fabs (geom_cross (tail, across)) <= slack && a >= -slack && b >= -slack && a <= length2
         && b <= length2;
}

static Source
source_of (const GeomCubic *c, double distance_mm)
{
  Source s;
  double most = 0.0;

  for (int i = 0; i < 4; i++)
    s.p[i] = c->p[i];
  for (int i = 0; i < 3; i++)
  {
    s.leg[i] = geom_sub (c->p[i + 1], c->p[i]);
    most = most_of (most, geom_dot (s.leg[i], s.leg[i]));
  }
  s.distance_mm = distance_mm;
  s.lead_speed = s.tail_speed = 0.0;
  s.no_speed2 = most * NO_SPEED * NO_SPEED;
  s.bend[0] = geom_cross (s.leg[0], s.leg[1]);
  s.bend[1] = 0.5 * geom_cross (s.leg[0], s.leg[2]);
  s.bend[2] = geom_cross (s.leg[1], s.leg[2]);
  return s;
}

/* A third of the velocity. */
static inline GeomPoint
third_velocity (const Source *s, double t)
{
  double r = 1.0 - t, a = r * r, b = 2.0 * r * t, c = t * t;

  return (GeomPoint) { a * s->leg[0].x + b * s->leg[1].x + c * s->leg[2].x,
                       a * s->leg[0].y + b * s->leg[1].y + c * s->leg[2].y };
}

/* Where the velocity vanishes: the limit of the direction.  Inside the curve such places were cut out before,
 * so only the two ends can ask. */
static GeomPoint
limit_tangent (const Source *s, double t)
{
  for (int i = 0; i < 3; i++)
  {
    int from = t < 0.5 ? 0 : 2 - i, to = t < 0.5 ? i + 1 : 3;
    GeomPoint arm = geom_sub (s->p[to], s->p[from]);

    if (geom_dot (arm, arm) > s->no_speed2)
      return geom_scale (arm, 1.0 / geom_norm (arm));
  }
  return geom_point (1.0, 0.0);
}

static inline void
parallel_at (const Source *s, double at, GeomPoint *q, GeomPoint *tangent)
{
  double t = at < 0.0 ? 0.0 : at > 1.0 ? 1.0 : at, beyond = at - t;
  GeomPoint v = third_velocity (s, t);
  double r = 1.0 - t, n2 = geom_dot (v, v);
  double b0 = r * r * r, b1 = 3.0 * r * r * t, b2 = 3.0 * r * t * t, b3 = t * t * t;
  GeomPoint u;

  if (n2 > s->no_speed2)
    u = geom_scale (v, 1.0 / sqrt (n2));
  else
    u = limit_tangent (s, t);
  q->x = b0 * s->p[0].x + b1 * s->p[1].x + b2 * s->p[2].x + b3 * s->p[3].x + s->distance_mm * u.y;
  q->y = b0 * s->p[0].y + b1 * s->p[1].y + b2 * s->p[2].y + b3 * s->p[3].y - s->distance_mm * u.x;
  if (beyond < 0.0 || beyond > 0.0)
    *q = geom_along (*q, beyond * (beyond < 0.0 ? s->lead_speed : s->tail_speed), u);
  *tangent = u;
}

static inline double
bend_at (const Source *s, double t)
{
  double r = 1.0 - t;

  return r * r * s->bend[0] + 2.0 * r * t * s->bend[1] + t * t * s->bend[2];
}

/* |velocity|^3 (1 + curvature * distance) / 27: negative where the parallel runs backwards. */
static double
forward_at (const Source *s, double t)
{
  GeomPoint v = third_velocity (s, t);
  double n2 = geom_dot (v, v);

  return n2 * sqrt (n2) + s->distance_mm * (2.0 / 3.0) * bend_at (s, t);
}

/* Speed of the parallel by t, signed. */
static double
parallel_speed (const Source *s, double t)
{
  if (t < 0.0 || t > 1.0)
    return t < 0.0 ? s->lead_speed : s->tail_speed;

  GeomPoint v = third_velocity (s, t);
  double n2 = geom_dot (v, v);

  if (!(n2 > s->no_speed2))
  {
    t += t < 0.5 ? 1e-4 : -1e-4;
    v = third_velocity (s, t);
    n2 = geom_dot (v, v);
    if (!(n2 > 0.0))
      return 0.0;
  }
  return 3.0 * (sqrt (n2) + s->distance_mm * (2.0 / 3.0) * bend_at (s, t) / n2);
}

typedef struct Span
{
  double t0, t1;
  int halvings;
} Span;

typedef struct Fit
{
  GeomCubic c;
  double error_mm;
  double half_t; /* where half the length of the parallel is reached, about */
} Fit;

/* Two samples at a time: compilers do not vectorise the clamps by themselves, and this is where the time
 * goes. */
typedef double Pair __attribute__ ((vector_size (16)));
typedef long long PairMask __attribute__ ((vector_size (16)));
#define PAIRS (SAMPLES / 2)

static inline Pair
both (double v)
{
  return (Pair) { v, v };
}

static inline Pair
choose (PairMask mask, Pair yes, Pair no)
{
  return (Pair)((mask & (PairMask)yes) | (~mask & (PairMask)no));
}

static inline Pair
pair_least (Pair a, Pair b)
{
  return choose (a < b, a, b);
}

static inline Pair
pair_most (Pair a, Pair b)
{
  return choose (a > b, a, b);
}

/* Points of the true parallel with their tangents. */
typedef struct Lanes
{
  Pair x[PAIRS], y[PAIRS], tx[PAIRS], ty[PAIRS];
} Lanes;

static void
parallel_lanes (const Source *s, Span span, const Pair share[PAIRS], double sign, Lanes *out)
{
  double h = span.t1 - span.t0;

  for (int i = 0; i < PAIRS; i++)
  {
    Pair t = span.t0 + share[i] * h, r = 1.0 - t, a = r * r, b = 2.0 * r * t, c = t * t;
    Pair vx = a * s->leg[0].x + b * s->leg[1].x + c * s->leg[2].x;
    Pair vy = a * s->leg[0].y + b * s->leg[1].y + c * s->leg[2].y;
    Pair n2 = vx * vx + vy * vy, scale = 1.0 / (Pair) { sqrt (n2[0]), sqrt (n2[1]) };

    if (!(n2[0] > s->no_speed2) || !(n2[1] > s->no_speed2) || t[0] < 0.0 || t[1] > 1.0)
    {
      for (int k = 0; k < 2; k++)
      {
        GeomPoint q, tangent;

        parallel_at (s, t[k], &q, &tangent);
        out->x[i][k] = q.x;
        out->y[i][k] = q.y;
        out->tx[i][k] = sign * tangent.x;
        out->ty[i][k] = sign * tangent.y;
      }
      continue;
    }
    vx *= scale;
    vy *= scale;
    b = 3.0 * a * t;
    a *= r;
    r = 3.0 * r * c;
    c *= t;
    out->x[i] = a * s->p[0].x + b * s->p[1].x + r * s->p[2].x + c * s->p[3].x + s->distance_mm * vy;
    out->y[i] = a * s->p[0].y + b * s->p[1].y + r * s->p[2].y + c * s->p[3].y - s->distance_mm * vx;
    out->tx[i] = sign * vx;
    out->ty[i] = sign * vy;
  }
}

/* One Newton step in each lane to the foot of the cubic P on that lane's normal.  E: the signed distances
 * along the normals after it, to the second order, so that the first steps already tell a good fit from a bad
 * one.  Returns the longest step. */
static double
foot_lanes (const GeomPoint p[4], const Lanes *lanes, Pair u[PAIRS], Pair e[PAIRS])
{
  GeomPoint k1 = geom_scale (geom_sub (p[1], p[0]), 3.0);
  GeomPoint k2 = geom_scale (geom_add (geom_sub (p[2], p[1]), geom_sub (p[0], p[1])), 3.0);
  GeomPoint k3 = geom_add (geom_sub (p[3], p[0]), geom_scale (geom_sub (p[1], p[2]), 3.0));
  Pair longest = both (0.0);

  for (int i = 0; i < PAIRS; i++)
  {
    Pair t = u[i];
    Pair ex = ((k3.x * t + k2.x) * t + k1.x) * t + (p[0].x - lanes->x[i]);
    Pair ey = ((k3.y * t + k2.y) * t + k1.y) * t + (p[0].y - lanes->y[i]);
    Pair vx = (3.0 * k3.x * t + 2.0 * k2.x) * t + k1.x;
    Pair vy = (3.0 * k3.y * t + 2.0 * k2.y) * t + k1.y;
    Pair along = ex * lanes->tx[i] + ey * lanes->ty[i], speed = vx * lanes->tx[i] + vy * lanes->ty[i];
    PairMask forward = speed > both (0.0);
    /* Where the fit stands still or runs against the parallel there is no foot to step to. */
    Pair step = choose (forward, -along, both (0.0)) / choose (forward, speed, both (1.0));
    Pair to = t + pair_most (pair_least (step, both (0.1)), both (-0.1));

    to = pair_most (pair_least (to, both (1.0)), both (0.0));
    step = to - t;
    u[i] = to;
    longest = pair_most (longest, pair_most (step, -step));
    ex += step * (vx + step * (3.0 * k3.x * t + k2.x));
    ey += step * (vy + step * (3.0 * k3.y * t + k2.y));
    e[i] = ex * lanes->ty[i] - ey * lanes->tx[i];
  }
  return most_of (longest[0], longest[1]);
}

static double
largest (const Pair e[PAIRS])
{
  Pair most = both (0.0);

  for (int i = 0; i < PAIRS; i++)
    most = pair_most (most, pair_most (e[i], -e[i]));
  return most_of (most[0], most[1]);
}

/* Where the samples stand in the span, and where the fit is judged: between them and nearer to the ends. */
static const Pair sample_share[PAIRS]
  = { { 1 / 9.0, 2 / 9.0 }, { 3 / 9.0, 4 / 9.0 }, { 5 / 9.0, 6 / 9.0 }, { 7 / 9.0, 8 / 9.0 } };
static const Pair judge_share[PAIRS]
  = { { 0.5 / 9, 1.5 / 9 }, { 2.5 / 9, 3.5 / 9 }, { 5.5 / 9, 6.5 / 9 }, { 7.5 / 9, 8.5 / 9 } };

/* The largest error between the samples.  A foot that ran into an end has not been found. */
static double
judged_error (const Source *s, Span span, double sign, const GeomPoint p[4], const Pair u[PAIRS])
{
  Lanes lanes;
  Pair e[PAIRS];
  Pair v[PAIRS] = { { 0.5 * u[0][0], 0.5 * (u[0][0] + u[0][1]) },
                    { 0.5 * (u[0][1] + u[1][0]), 0.5 * (u[1][0] + u[1][1]) },
                    { 0.5 * (u[2][0] + u[2][1]), 0.5 * (u[2][1] + u[3][0]) },
                    { 0.5 * (u[3][0] + u[3][1]), 0.5 * (u[3][1] + 1.0) } };

  parallel_lanes (s, span, judge_share, sign, &lanes);
  if (foot_lanes (p, &lanes, v, e) > SETTLED_STEP)
    foot_lanes (p, &lanes, v, e);
  for (int i = 0; i < PAIRS; i++)
    if (!(v[i][0] > 0.0 && v[i][0] < 1.0 && v[i][1] > 0.0 && v[i][1] < 1.0))
      return INFINITY;
  return largest (e);
}

/* Where half the length of the parallel is reached, about. */
static double
half_way (Span span, const double walked[SAMPLES + 2])
{
  double half = 0.5 * walked[SAMPLES + 1];

  for (int i = 0; i <= SAMPLES; i++)
    if (walked[i + 1] >= half && walked[i + 1] > walked[i])
    {
      double share = least (most_of ((half - walked[i]) / (walked[i + 1] - walked[i]), 0.05), 0.95);

      return span.t0 + (span.t1 - span.t0) * (i + share) / (SAMPLES + 1.0);
    }
  return 0.5 * (span.t0 + span.t1);
}

static Fit
fit_span (const Source *s, Span span, double sign, double accuracy_mm)
{
  double h = span.t1 - span.t0, want = SAMPLED_SHARE * accuracy_mm;
  GeomPoint end[2], tangent[2], p[4], before;
  Lanes lanes;
  Pair u[PAIRS], e[PAIRS];
  double walked[SAMPLES + 2], a, b, most, worst;
  Fit fit;

  for (int i = 0; i < 2; i++)
  {
    parallel_at (s, i == 0 ? span.t0 : span.t1, &end[i], &tangent[i]);
    tangent[i] = geom_scale (tangent[i], sign);
  }
  before = end[0];
  parallel_lanes (s, span, sample_share, sign, &lanes);
  walked[0] = 0.0;
  for (int i = 0; i < SAMPLES; i++)
  {
    GeomPoint now = geom_point (lanes.x[i / 2][i % 2], lanes.y[i / 2][i % 2]);

    walked[i + 1] = walked[i] + chord (before, now);
    before = now;
  }
  walked[SAMPLES + 1] = walked[SAMPLES] + chord (before, end[1]);
  for (int i = 0; i < PAIRS; i++)
    u[i] = sample_share[i];
  fit.half_t = half_way (span, walked);

  most = walked[SAMPLES + 1];
  a = least (most_of (sign * parallel_speed (s, span.t0) * h / 3.0, 0.02 * most), 0.9 * most);
  b = least (most_of (sign * parallel_speed (s, span.t1) * h / 3.0, 0.02 * most), 0.9 * most);
  p[0] = end[0];
  p[3] = end[1];
  for (int round = 0;; round++)
  {
    Pair sum_aa = both (0.0), sum_ab = sum_aa, sum_bb = sum_aa, sum_ae = sum_aa, sum_be = sum_aa;
    double aa, ab, bb, ae, be, det, longest;

    p[1] = geom_along (end[0], a, tangent[0]);
    p[2] = geom_along (end[1], -b, tangent[1]);
    longest = foot_lanes (p, &lanes, u, e);
    worst = largest (e);
    /* Far off after a round: no handle lengths will do, halve. */
    if (worst > (round == 0 ? INFINITY : round == 1 ? HOPELESS : 1.3) * want)
      break;
    if (round > 0 && worst <= want && longest <= SETTLED_STEP)
    {
      worst = most_of (worst, judged_error (s, span, sign, p, u));
      if (worst <= want)
        break;
    }
    for (int i = 0; i < PAIRS; i++)
    {
      Pair r = 1.0 - u[i], ru = 3.0 * r * u[i];
      Pair ja = ru * r * (tangent[0].x * lanes.ty[i] - tangent[0].y * lanes.tx[i]);
      Pair jb = ru * u[i] * (tangent[1].y * lanes.tx[i] - tangent[1].x * lanes.ty[i]);

      sum_aa += ja * ja;
      sum_ab += ja * jb;
      sum_bb += jb * jb;
      sum_ae += ja * e[i];
      sum_be += jb * e[i];
    }
    aa = sum_aa[0] + sum_aa[1] + 1e-10;
    ab = sum_ab[0] + sum_ab[1];
    bb = sum_bb[0] + sum_bb[1] + 1e-10;
    ae = sum_ae[0] + sum_ae[1];
    be = sum_be[0] + sum_be[1];
    det = aa * bb - ab * ab;
    if (round == ROUNDS || !(det > 0.0))
    {
      /* Only a fit that was judged may be taken. */
      if (longest > SETTLED_STEP)
        worst = INFINITY;
      break;
    }
    a = least (least (most_of (a - (bb * ae - ab * be) / det, 0.3 * a), 3.0 * a), 1.5 * most);
    b = least (least (most_of (b - (aa * be - ab * ae) / det, 0.3 * b), 3.0 * b), 1.5 * most);
  }
  for (int i = 0; i < 4; i++)
    fit.c.p[i] = p[i];
  fit.error_mm = worst;
  return fit;
}

/* Spans from T0 to T1, in which the parallel keeps its direction of travel. */
static void
append_spans (const Source *s,
              double t0,
              double t1,
              double sign,
              double accuracy_mm,
              int *budget,
              GeomPath *out,
              double *error_mm)
{
  Span stack[HALVINGS + 2];
  int depth = 0;

  stack[depth++] = (Span) { t0, t1, 0 };
  while (depth > 0)
  {
    Span span = stack[--depth];
    Fit fit = fit_span (s, span, sign, accuracy_mm);
    bool good = fit.error_mm <= SAMPLED_SHARE * accuracy_mm;

    /* An infinite error only says that a foot was not found; that may still be halved. */
    if (!good && span.halvings<HALVINGS && * budget> 0 && isfinite (fit.half_t) && !isnan (fit.error_mm))
    {
      stack[depth++] = (Span) { fit.half_t, span.t1, span.halvings + 1 };
      stack[depth++] = (Span) { span.t0, fit.half_t, span.halvings + 1 };
      continue;
    }
    if (!good)
      fit.c = geom_cubic_line (fit.c.p[0], fit.c.p[3]);
    else if (fit.error_mm > *error_mm)
      *error_mm = fit.error_mm;
    geom_path_append (out, &fit.c);
    --*budget;
  }
}

typedef struct Cusps
{
  int count;
  double t[MOST_CUSPS];
} Cusps;

static double
bisect_forward (const Source *s, double t0, double t1)
{
  bool positive = forward_at (s, t0) > 0.0;

  for (int i = 0; i < 52 && t1 - t0 > 1e-15; i++)
  {
    double mid = 0.5 * (t0 + t1);

    if ((forward_at (s, mid) > 0.0) == positive)
      t0 = mid;
    else
      t1 = mid;
  }
  return 0.5 * (t0 + t1);
}

/* Parameters where 1 + curvature * distance changes its sign.  An interval is let go when bounds of speed and
 * bend show that it cannot; a double root narrower than the finest interval is a swallowtail too small to
 * see. */
static void
find_cusps (const Source *s, double t0, double t1, int depth, Cusps *out)
{
  double k = s->distance_mm * (2.0 / 3.0);
  GeomPoint v0 = third_velocity (s, t0), v2 = third_velocity (s, t1), v1, w;
  double f0, f1, low, most_v2, b0, b1, b2;

  /* The quadratic velocity as Bernstein over [t0, t1]: its middle coefficient from the polar form. */
  {
    double r0 = 1.0 - t0, r1 = 1.0 - t1, a = r0 * r1, b = r0 * t1 + r1 * t0, c = t0 * t1;

    v1 = geom_point (a * s->leg[0].x + b * s->leg[1].x + c * s->leg[2].x,
                     a * s->leg[0].y + b * s->leg[1].y + c * s->leg[2].y);
    b0 = k * bend_at (s, t0);
    b1 = k * (a * s->bend[0] + b * s->bend[1] + c * s->bend[2]);
    b2 = k * bend_at (s, t1);
  }
  w = geom_unit (geom_add (geom_add (v0, v1), v2));
  low = most_of (least (least (geom_dot (v0, w), geom_dot (v1, w)), geom_dot (v2, w)), 0.0);
  if (low * low * low + least (least (b0, b1), b2) > 0.0)
    return;
  most_v2 = most_of (most_of (geom_dot (v0, v0), geom_dot (v1, v1)), geom_dot (v2, v2));
  if (most_v2 * sqrt (most_v2) + most_of (most_of (b0, b1), b2) < 0.0)
    return;
  if (depth > 0)
  {
    double mid = 0.5 * (t0 + t1);

    find_cusps (s, t0, mid, depth - 1, out);
    find_cusps (s, mid, t1, depth - 1, out);
    return;
  }
  f0 = forward_at (s, t0);
  f1 = forward_at (s, t1);
  if ((f0 > 0.0) != (f1 > 0.0) && out->count < MOST_CUSPS)
    out->t[out->count++] = bisect_forward (s, t0, t1);
}

/* Inner parameters where the source itself stands still and turns back. */
static Cusps
find_standstills (const Source *s)
{
  enum
  {
    STEPS = 48
  };
  Cusps out = { 0 };
  GeomPoint across = geom_sub (s->p[3], s->p[0]);
  double most = 0.0, before = 0.0;

  if (geom_dot (s->leg[0], across) > 0.0 && geom_dot (s->leg[1], across) > 0.0
      && geom_dot (s->leg[2], across) > 0.0)
    return out;
  for (int i = 0; i < 3; i++)
    most = most_of (most, geom_norm (s->leg[i]));
  for (int i = 0; i <= STEPS; i++)
  {
    double t = (double)i / STEPS, r = 1.0 - t;
    GeomPoint v = third_velocity (s, t);
    GeomPoint a = geom_add (geom_scale (geom_sub (s->leg[1], s->leg[0]), r),
                            geom_scale (geom_sub (s->leg[2], s->leg[1]), t));
    double now = geom_dot (v, a);

    if (i > 0 && before < 0.0 && now >= 0.0)
    {
      double low = (double)(i - 1) / STEPS, high = t;

      for (int k = 0; k < 52; k++)
      {
        double mid = 0.5 * (low + high);

        v = third_velocity (s, mid);
        a = geom_add (geom_scale (geom_sub (s->leg[1], s->leg[0]), 1.0 - mid),
                      geom_scale (geom_sub (s->leg[2], s->leg[1]), mid));
        if (geom_dot (v, a) < 0.0)
          low = mid;
        else
          high = mid;
      }
      high = 0.5 * (low + high);
      if (geom_norm (third_velocity (s, high)) < CUSP_SPEED * most && high > 1e-6 && high < 1.0 - 1e-6
          && out.count < MOST_CUSPS)
        out.t[out.count++] = high;
    }
    before = now;
  }
  return out;
}

/* A source without standstills inside. */
static void
append_parallel (const GeomCubic *c,
                 double distance_mm,
                 double accuracy_mm,
                 bool short_folds,
                 GeomPath *out,
                 GeomOffsetFacts *facts)
{
  Source s;
  Cusps cusps = { 0 };
  int budget = MOST_SPANS;
  double from = 0.0;
  bool draw_in = false;
  GeomPoint drawn_in = c->p[0];
  size_t first;

  if (geom_offset_is_line (c))
  {
    GeomPoint shift = geom_scale (geom_right_of (geom_unit (geom_sub (c->p[3], c->p[0]))), distance_mm);

    geom_path_append_line (out, geom_add (c->p[0], shift), geom_add (c->p[3], shift));
    return;
  }
  s = source_of (c, distance_mm);
  if (distance_mm * s.bend[0] < 0.0 || distance_mm * s.bend[1] < 0.0 || distance_mm * s.bend[2] < 0.0)
    find_cusps (&s, 0.0, 1.0, 11, &cusps);
  for (int i = 0; i <= cusps.count; i++)
  {
    double to = i < cusps.count ? cusps.t[i] : 1.0, sign;

    if (to - from < 1e-9)
      continue;
    sign = forward_at (&s, 0.5 * (from + to)) >= 0.0 ? 1.0 : -1.0;
    if (sign < 0.0 && short_folds)
    {
      GeomPoint a, b, tangent;
      double length;

      parallel_at (&s, from, &a, &tangent);
      parallel_at (&s, to, &b, &tangent);
      length = geom_distance (a, b);
      /* The end of a retracted arm may turn back by less than can be seen: draw it in. */
      if (length <= 0.4 * accuracy_mm && i > 0 && i == cusps.count)
        out->piece[out->count - 1].p[3] = b;
      else if (length <= 0.4 * accuracy_mm && i == 0 && cusps.count > 0)
      {
        draw_in = true;
        drawn_in = a;
      }
      else
      {
        geom_path_append_line (out, a, b);
        facts->folds = true;
      }
      from = to;
      continue;
    }
    facts->folds |= sign < 0.0;
    first = out->count;
    append_spans (&s, from, to, sign, accuracy_mm, &budget, out, &facts->error_mm);
    if (draw_in)
      out->piece[first].p[0] = drawn_in;
    draw_in = false;
    from = to;
  }
}

GeomOffsetFacts
geom_offset_cubic_facts (
  const GeomCubic *c, double distance_mm, double accuracy_mm, bool short_folds, GeomPath *out)
{
  Source s;
  Cusps still;
  GeomCubic rest = *c;
  GeomOffsetFacts facts = { false, 0.0 };
  double from = 0.0;
  size_t before = out->count;

  if (fabs (distance_mm) <= 0.0)
  {
    geom_path_append (out, c);
    return facts;
  }
  if (!(accuracy_mm > 1e-9))
    accuracy_mm = 1e-9;
  s = source_of (c, distance_mm);
  if (!(s.no_speed2 > 0.0) || !isfinite (s.no_speed2 / (NO_SPEED * NO_SPEED)) || !isfinite (distance_mm))
  {
    geom_path_append (out, c);
    return facts;
  }
  still = find_standstills (&s);
  for (int i = 0; i < still.count; i++)
  {
    GeomCubic head, tail;

    geom_cubic_split (&rest, (still.t[i] - from) / (1.0 - from), &head, &tail);
    /* Exactly at rest, so that the direction there comes from the arm and not from rounding. */
    head.p[2] = head.p[3];
    tail.p[1] = tail.p[0];
    append_parallel (&head, distance_mm, accuracy_mm, short_folds, out, &facts);
    rest = tail;
    from = still.t[i];
  }
  append_parallel (&rest, distance_mm, accuracy_mm, short_folds, out, &facts);
  /* Turning on the spot jumps from one side to the other. */
  for (size_t i = before + 1; still.count > 0 && i < out->count; i++)
  {
    GeomPoint a = out->piece[i - 1].p[3], b = out->piece[i].p[0];

    if (geom_distance (a, b) > 1e-6)
    {
      GeomCubic bridge = geom_cubic_line (a, b);

      geom_path_append (out, &bridge);
      for (size_t k = out->count - 1; k > i; k--)
        out->piece[k] = out->piece[k - 1];
      out->piece[i++] = bridge;
    }
  }
  facts.folds |= still.count > 0;
  return facts;
}

void
geom_offset_cubic (const GeomCubic *c, double distance_mm, double accuracy_mm, GeomPath *out)
{
  geom_offset_cubic_facts (c, distance_mm, accuracy_mm, false, out);
}

bool
geom_offset_cubic_with_leads (const GeomCubic *c,
                              double distance_mm,
                              double accuracy_mm,
                              double lead_mm,
                              double tail_mm,
                              GeomCubic *out,
                              double *error_mm)
{
  Source s = source_of (c, distance_mm);
  Span span = { 0.0, 1.0, 0 };
  Fit fit;
  Lanes lanes;
  Pair share[PAIRS], u[PAIRS], e[PAIRS];
  double from, to;

  if (distance_mm * s.bend[0] < 0.0 || distance_mm * s.bend[1] < 0.0 || distance_mm * s.bend[2] < 0.0)
  {
    Cusps cusps = { 0 };

    find_cusps (&s, 0.0, 1.0, 11, &cusps);
    if (cusps.count > 0 || !(forward_at (&s, 0.5) > 0.0))
      return false;
  }
  if (find_standstills (&s).count > 0)
    return false;
  s.lead_speed = parallel_speed (&s, 0.0);
  s.tail_speed = parallel_speed (&s, 1.0);
  if (!(s.lead_speed > lead_mm) || !(s.tail_speed > tail_mm))
    return false;
  span.t0 -= lead_mm / s.lead_speed;
  span.t1 += tail_mm / s.tail_speed;
  fit = fit_span (&s, span, 1.0, accuracy_mm);
  if (!(fit.error_mm <= SAMPLED_SHARE * accuracy_mm))
    return false;
  /* The curvature jumps where the leads begin, nearer to the ends than any sample stands. */
  from = -span.t0 / (span.t1 - span.t0);
  to = (1.0 - span.t0) / (span.t1 - span.t0);
  share[0] = (Pair) { 0.35 * from, 0.7 * from };
  share[1] = (Pair) { from, 2.0 * from };
  share[2] = (Pair) { 2.0 * to - 1.0, to };
  share[3] = (Pair) { 1.0 - 0.7 * (1.0 - to), 1.0 - 0.35 * (1.0 - to) };
  parallel_lanes (&s, span, share, 1.0, &lanes);
  for (int i = 0; i < PAIRS; i++)
    u[i] = share[i];
  foot_lanes (fit.c.p, &lanes, u, e);
  foot_lanes (fit.c.p, &lanes, u, e);
  *out = fit.c;
  *error_mm = most_of (fit.error_mm, largest (e));
  return *error_mm <= SAMPLED_SHARE * accuracy_mm;
}
