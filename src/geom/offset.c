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

/* Inner samples of a span.  Seven see every lobe of a two-parameter fit. */
#define SAMPLES 7
#define ROUNDS 4
#define HOPELESS 20.0
/* Spans are halved at most so often, and a cubic gets at most so many: past this the input is not a curve
 * anybody can cut, and the best fit is taken as it is. */
#define HALVINGS 16
#define MOST_SPANS 400
/* Samples stand between the true extremes of the error: keep this much in hand. */
#define SAMPLED_SHARE 0.85
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
parallel_at (const Source *s, double t, GeomPoint *q, GeomPoint *tangent)
{
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

/* One Newton step to the foot of C on the normal through Q; returns the signed distance along the normal. */
static inline double
foot_step (const GeomPoint p[4], GeomPoint q, GeomPoint tangent, double *u)
{
  double t = *u, r = 1.0 - t;
  double b0 = r * r * r, b1 = 3.0 * r * r * t, b2 = 3.0 * r * t * t, b3 = t * t * t;
  double ex = b0 * p[0].x + b1 * p[1].x + b2 * p[2].x + b3 * p[3].x - q.x;
  double ey = b0 * p[0].y + b1 * p[1].y + b2 * p[2].y + b3 * p[3].y - q.y;
  double d0 = 3.0 * r * r, d1 = 6.0 * r * t, d2 = 3.0 * t * t;
  double vx = d0 * (p[1].x - p[0].x) + d1 * (p[2].x - p[1].x) + d2 * (p[3].x - p[2].x);
  double vy = d0 * (p[1].y - p[0].y) + d1 * (p[2].y - p[1].y) + d2 * (p[3].y - p[2].y);
  double along = ex * tangent.x + ey * tangent.y, speed = vx * tangent.x + vy * tangent.y;
  double step = speed > 0.0 ? -along / speed : 0.0;

  if (step > 0.1)
    step = 0.1;
  else if (step < -0.1)
    step = -0.1;
  if (t + step < 0.0)
    step = -t;
  else if (t + step > 1.0)
    step = r;
  *u = t + step;
  return (ex + step * vx) * tangent.y - (ey + step * vy) * tangent.x;
}

/* The largest error at the samples and half-way between them.  A foot that ran into an end has not been
 * found. */
static double
judged_error (const Source *s,
              Span span,
              double sign,
              const GeomPoint p[4],
              const GeomPoint q[SAMPLES],
              const GeomPoint tangent[SAMPLES],
              const double u[SAMPLES],
              double want)
{
  double h = span.t1 - span.t0, worst = 0.0;

  for (int i = 0; i <= SAMPLES && worst <= want; i++)
  {
    GeomPoint between, direction;
    double v = 0.5 * ((i == 0 ? 0.0 : u[i - 1]) + (i == SAMPLES ? 1.0 : u[i]));

    parallel_at (s, span.t0 + h * (i + 0.5) / (SAMPLES + 1.0), &between, &direction);
    direction = geom_scale (direction, sign);
    foot_step (p, between, direction, &v);
    worst = most_of (worst, fabs (foot_step (p, between, direction, &v)));
    if (v <= 0.0 || v >= 1.0)
      worst = INFINITY;
    if (i < SAMPLES)
    {
      v = u[i];
      worst = most_of (worst, fabs (foot_step (p, q[i], tangent[i], &v)));
    }
  }
  return worst;
}

static Fit
fit_span (const Source *s, Span span, double sign, double accuracy_mm)
{
  double h = span.t1 - span.t0, want = SAMPLED_SHARE * accuracy_mm;
  GeomPoint q[SAMPLES], tangent[SAMPLES], end[2], end_tangent[2], p[4];
  double u[SAMPLES], walked[SAMPLES + 2], a, b, most, worst;
  Fit fit;

  parallel_at (s, span.t0, &end[0], &end_tangent[0]);
  parallel_at (s, span.t1, &end[1], &end_tangent[1]);
  walked[0] = 0.0;
  for (int i = 0; i < SAMPLES; i++)
  {
    double share = (i + 1.0) / (SAMPLES + 1.0);

    parallel_at (s, span.t0 + share * h, &q[i], &tangent[i]);
    tangent[i] = geom_scale (tangent[i], sign);
    u[i] = share;
    walked[i + 1] = walked[i] + chord (i == 0 ? end[0] : q[i - 1], q[i]);
  }
  walked[SAMPLES + 1] = walked[SAMPLES] + chord (q[SAMPLES - 1], end[1]);
  for (int i = 0; i < 2; i++)
    end_tangent[i] = geom_scale (end_tangent[i], sign);

  fit.half_t = span.t0 + 0.5 * h;
  for (int i = 0; i <= SAMPLES; i++)
    if (walked[i + 1] >= 0.5 * walked[SAMPLES + 1] && walked[i + 1] > walked[i])
    {
      double share = (0.5 * walked[SAMPLES + 1] - walked[i]) / (walked[i + 1] - walked[i]);

      fit.half_t = span.t0 + h * (i + least (most_of (share, 0.05), 0.95)) / (SAMPLES + 1.0);
      break;
    }

  most = walked[SAMPLES + 1];
  a = least (most_of (sign * parallel_speed (s, span.t0) * h / 3.0, 0.02 * most), 0.9 * most);
  b = least (most_of (sign * parallel_speed (s, span.t1) * h / 3.0, 0.02 * most), 0.9 * most);
  p[0] = end[0];
  p[3] = end[1];
  for (int round = 0;; round++)
  {
    double aa = 1e-10, ab = 0.0, bb = 1e-10, ae = 0.0, be = 0.0, det, step_a, step_b;

    p[1] = geom_along (end[0], a, end_tangent[0]);
    p[2] = geom_along (end[1], -b, end_tangent[1]);
    worst = 0.0;
    for (int i = 0; i < SAMPLES; i++)
    {
      double e = foot_step (p, q[i], tangent[i], &u[i]), r = 1.0 - u[i];
      double ja = 3.0 * r * r * u[i] * (end_tangent[0].x * tangent[i].y - end_tangent[0].y * tangent[i].x);
      double jb
        = -3.0 * r * u[i] * u[i] * (end_tangent[1].x * tangent[i].y - end_tangent[1].y * tangent[i].x);

      aa += ja * ja;
      ab += ja * jb;
      bb += jb * jb;
      ae += ja * e;
      be += jb * e;
      worst = most_of (worst, fabs (e));
    }
    /* Far off after a round: no handle lengths will do, halve. */
    if (round > 0 && worst > HOPELESS * want)
      break;
    if (round > 1 && worst <= want)
    {
      worst = judged_error (s, span, sign, p, q, tangent, u, want);
      if (worst <= want)
        break;
    }
    det = aa * bb - ab * ab;
    if (round == ROUNDS || !(det > 0.0))
      break;
    step_a = -(bb * ae - ab * be) / det;
    step_b = -(aa * be - ab * ae) / det;
    a = least (least (most_of (a + step_a, 0.3 * a), 3.0 * a), 1.5 * most);
    b = least (least (most_of (b + step_b, 0.3 * b), 3.0 * b), 1.5 * most);
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
