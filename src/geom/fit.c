/* Few cubics through many noisy points.
 *
 *        samples      · ·.·˙·.· ·˙                 corners first, on the raw samples: smoothing would round
 * them nodes        o     o     o                local parabolas over windows as wide as the noise asks for
 *        pieces       ●───────────●                cubics with the nodes' tangents, each as long as it can be
 *
 * A node knows its place and its tangent, so between two nodes only the handle lengths are free; they follow
 * from least squares along the normals of the nodes between.  Pieces are laid greedily to an inner tolerance,
 * then the breakpoints are moved to where the larger of the two errors beside them is least.
 */
#include "geom/fit.h"

#include <stdlib.h>
#include <string.h>

/* Greedy pieces leave this much for noise that is still in the nodes; with 0.7 there is
 * a piece less now and then, and the true curve is missed by half as much again. */
#define INNER_SHARE 0.5
/* Nodes stand so many tolerances apart, more of them say nothing new; and so many at least. */
#define NODE_STEP 6.0
#define LEAST_NODES 24
#define MOST_NODES 4096
/* Samples are averaged in groups down to so many a node before parabolas are laid through them. */
#define GROUPS_A_NODE 3
/* Widest window of a parabola, in tolerances to either side. */
#define WIDEST 50.0
/* Samples that a parabola needs to be told from noise. */
#define LEAST_WINDOW 5
/* A parabola may be off by this share of the tolerance beside the noise before its window is taken narrower.
 */
#define BIAS_SHARE 0.12
/* Nodes looked at while handles are sought; all of them are looked at before a piece is taken. */
#define LOOKED_AT 14
#define ROUNDS 4
/* After a round, an error so many times too large is not worth another; a step of the handles so short
 * neither. */
#define HOPELESS 8.0
#define SETTLED 2e-3
/* Samples this few are taken as drawn: clicked, not traced. */
#define FEW_SAMPLES 8

/* A looser fit is tried in such steps, up to so many times the tolerance, and taken for so many of the
 * pieces. */
#define LOOSER 1.4
#define LOOSEST 2.0
#define SHAKE_SHARE 0.75

typedef struct Sample
{
  GeomPoint p;
  double s; /* along the stroke, noise averaged out */
} Sample;

typedef struct Node
{
  GeomPoint p, tangent;
} Node;

/* A run of samples between two corners, with what lies beyond its ends when it is closed. */
typedef struct Section
{
  const Sample *sample; /* FIRST .. LAST belong to it; LOW .. HIGH may be looked at */
  size_t low, high, first, last;
  double noise2; /* variance of one coordinate */
} Section;

static void *
taken (size_t size)
{
  void *memory = malloc (size > 0 ? size : 1);

  if (memory == NULL)
    abort ();
  return memory;
}

/* fmin and fmax proper are calls. */
static inline double
least_of (double a, double b)
{
  return a < b ? a : b;
}

static inline double
most_of (double a, double b)
{
  return a > b ? a : b;
}

static inline double
step_between (GeomPoint a, GeomPoint b)
{
  double x = b.x - a.x, y = b.y - a.y;

  return sqrt (x * x + y * y);
}

static inline GeomPoint
unit_of (GeomPoint v)
{
  double n2 = v.x * v.x + v.y * v.y;

  return n2 > 0.0 ? geom_scale (v, 1.0 / sqrt (n2)) : geom_point (0.0, 0.0);
}

/* ---- samples ---- */

/* Distinct, finite points; a closed stroke does not repeat its first. */
static size_t
distinct (const GeomPoint *points, size_t count, bool closed, Sample *out)
{
  size_t n = 0;

  for (size_t i = 0; i < count; i++)
    if (isfinite (points[i].x) && isfinite (points[i].y)
        && (n == 0 || !geom_same_point (points[i], out[n - 1].p)))
      out[n++].p = points[i];
  while (closed && n > 1 && geom_same_point (out[n - 1].p, out[0].p))
    n--;
  return n;
}

/* Length along the running mean of five: the samples' own zigzag may be longer than the stroke. */
static void
measure (Sample *sample, size_t count)
{
  GeomPoint before = { 0.0, 0.0 };
  size_t reach = count < FEW_SAMPLES ? 0 : 2;

  for (size_t i = 0; i < count; i++)
  {
    size_t r = reach, room = i < count - 1 - i ? i : count - 1 - i;
    GeomPoint sum = { 0.0, 0.0 };

    if (r > room)
      r = room;
    for (size_t k = i - r; k <= i + r; k++)
      sum = geom_add (sum, sample[k].p);
    sum = geom_scale (sum, 1.0 / (2.0 * r + 1.0));
    sample[i].s = i == 0 ? 0.0 : sample[i - 1].s + step_between (before, sum);
    before = sum;
  }
}

/* From third differences, which a curve hardly has and noise has twentyfold. */
static double
noise_variance (const Sample *sample, size_t count)
{
  double sum = 0.0;

  if (count < FEW_SAMPLES)
    return 0.0;
  for (size_t i = 0; i + 3 < count; i++)
  {
    double x = sample[i + 3].p.x - sample[i].p.x - 3.0 * (sample[i + 2].p.x - sample[i + 1].p.x);
    double y = sample[i + 3].p.y - sample[i].p.y - 3.0 * (sample[i + 2].p.y - sample[i + 1].p.y);

    sum += x * x + y * y;
  }
  return sum / (40.0 * (count - 3));
}

/* ---- corners ---- */

/* Running sums for straight lines through any window. */
typedef struct Sums
{
  double n, s, x, y, ss, sx, sy;
} Sums;

static Sums *
running_sums (const Sample *sample, size_t count)
{
  Sums *sum = taken ((count + 1) * sizeof *sum);

  sum[0] = (Sums) { 0 };
  for (size_t i = 0; i < count; i++)
  {
    double s = sample[i].s, x = sample[i].p.x - sample[0].p.x, y = sample[i].p.y - sample[0].p.y;

    sum[i + 1] = (Sums) { sum[i].n + 1.0,    sum[i].s + s,      sum[i].x + x,     sum[i].y + y,
                          sum[i].ss + s * s, sum[i].sx + s * x, sum[i].sy + s * y };
  }
  return sum;
}

/* Direction of the straight line through samples FROM .. TO - 1. */
static GeomPoint
direction_of (const Sums *sum, size_t from, size_t to)
{
  const Sums *a = &sum[from], *b = &sum[to];
  double n = b->n - a->n, s = b->s - a->s;

  return unit_of (
    geom_point ((b->sx - a->sx) - s * (b->x - a->x) / n, (b->sy - a->sy) - s * (b->y - a->y) / n));
}

/* 1 - cosine of the turn at sample I between the lines through the samples REACH_MM before and after; NAN
 * without enough of them.  *LOW, *HIGH follow I from call to call. */
static double
turn_at (
  const Sample *sample, const Sums *sum, size_t count, size_t i, double reach_mm, size_t *low, size_t *high)
{
  GeomPoint in, out;

  while (sample[*low].s < sample[i].s - reach_mm)
    ++*low;
  while (*high < count && sample[*high].s <= sample[i].s + reach_mm)
    ++*high;
  if (i + 1 - *low < 3 || *high - i < 3 || sample[i].s - sample[*low].s < 0.5 * reach_mm
      || sample[*high - 1].s - sample[i].s < 0.5 * reach_mm)
    return NAN;
  in = direction_of (sum, *low, i + 1);
  out = direction_of (sum, i, *high);
  return 1.0 - geom_dot (in, out);
}

/* Indices of samples that are corners, ascending.  SAMPLE has PAD samples of the other end before and, at
 * least, after its COUNT own when the stroke is closed. */
static size_t
find_corners (
  const Sample *sample, size_t count, size_t pad, double corner_rad, double tolerance_mm, size_t *corner)
{
  size_t all = count + 2 * pad, low = 0, high = 0, near_low = 0, near_high = 0, found = 0;
  double length = sample[pad + count - 1].s - sample[pad].s, spacing = length / count;
  double reach = fmin (fmax (8.0 * tolerance_mm, 6.0 * spacing), 0.1 * length);
  double least = 1.0 - cos (fmin (corner_rad, 3.14));
  Sums *sum;
  double *turn;

  if (!(corner_rad > 0.0) || count < 3)
    return 0;
  /* Few samples: each is meant, and the line on either side is the one to the next. */
  if (reach < 2.5 * spacing)
    reach = 2.5 * spacing;
  sum = running_sums (sample, all);
  turn = taken (all * sizeof *turn);
  for (size_t i = 0; i < all; i++)
  {
    double near, t = turn_at (sample, sum, all, i, reach, &low, &high);

    turn[i] = 0.0;
    if (!(t > least))
      continue;
    /* A tight bend turns half as much within half the reach, a corner all the same. */
    near = turn_at (sample, sum, all, i, 0.5 * reach, &near_low, &near_high);
    if (isnan (near) || acos (fmax (1.0 - near, -1.0)) > 0.7 * acos (fmax (1.0 - t, -1.0)))
      turn[i] = t;
  }
  for (size_t i = pad; i < pad + count; i++)
  {
    bool highest = turn[i] > 0.0;

    for (size_t k = i; highest && k-- > 0 && sample[k].s > sample[i].s - reach;)
      highest = turn[k] < turn[i];
    for (size_t k = i + 1; highest && k < all && sample[k].s < sample[i].s + reach; k++)
      highest = turn[k] <= turn[i];
    if (highest)
      corner[found++] = i - pad;
  }
  free (turn);
  free (sum);
  return found;
}

/* ---- nodes ---- */

typedef struct Parabola
{
  GeomPoint p, tangent;
  double variance; /* of what is left, one coordinate */
} Parabola;

/* Least squares parabola over the samples within REACH_MM of S, at S. */
static bool
parabola_at (const Section *section, double s, double reach_mm, size_t middle, Parabola *out)
{
  const Sample *sample = section->sample;
  double m0 = 0, m1 = 0, m2 = 0, m3 = 0, m4 = 0, x0 = 0, x1 = 0, x2 = 0, y0 = 0, y1 = 0, y2 = 0, rest = 0;
  GeomPoint origin = sample[middle].p;
  size_t low = middle, high = middle;

  while (low > section->low && sample[low - 1].s >= s - reach_mm)
    low--;
  while (high < section->high && sample[high + 1].s <= s + reach_mm)
    high++;
  while (high - low + 1 < LEAST_WINDOW && (low > section->low || high < section->high))
  {
    if (low > section->low)
      low--;
    if (high < section->high)
      high++;
  }
  for (size_t i = low; i <= high; i++)
  {
    double u = (sample[i].s - s) / reach_mm, uu = u * u;
    double x = sample[i].p.x - origin.x, y = sample[i].p.y - origin.y;

    m0 += 1.0;
    m1 += u;
    m2 += uu;
    m3 += uu * u;
    m4 += uu * uu;
    x0 += x;
    x1 += x * u;
    x2 += x * uu;
    y0 += y;
    y1 += y * u;
    y2 += y * uu;
    rest += x * x + y * y;
  }
  {
    /* Cofactors of the symmetric matrix of moments. */
    double c00 = m2 * m4 - m3 * m3, c01 = m2 * m3 - m1 * m4, c02 = m1 * m3 - m2 * m2;
    double c11 = m0 * m4 - m2 * m2, c12 = m1 * m2 - m0 * m3, c22 = m0 * m2 - m1 * m1;
    double det = m0 * c00 + m1 * c01 + m2 * c02;
    double ax, bx, cx, ay, by, cy;

    if (!(det > 1e-12 * m0 * m0 * m0) || m0 < 3.0)
      return false;
    ax = (c00 * x0 + c01 * x1 + c02 * x2) / det;
    bx = (c01 * x0 + c11 * x1 + c12 * x2) / det;
    cx = (c02 * x0 + c12 * x1 + c22 * x2) / det;
    ay = (c00 * y0 + c01 * y1 + c02 * y2) / det;
    by = (c01 * y0 + c11 * y1 + c12 * y2) / det;
    cy = (c02 * y0 + c12 * y1 + c22 * y2) / det;
    rest -= ax * x0 + bx * x1 + cx * x2 + ay * y0 + by * y1 + cy * y2;
    out->p = geom_point (origin.x + ax, origin.y + ay);
    out->tangent = unit_of (geom_point (bx, by));
    out->variance = m0 > 3.0 ? fmax (rest, 0.0) / (2.0 * (m0 - 3.0)) : 0.0;
  }
  return geom_dot (out->tangent, out->tangent) > 0.5;
}

/* Few samples: each is a node, its tangent that of the circle through its neighbours. */
static void
node_of_sample (const Section *section, size_t i, Node *node)
{
  const Sample *sample = section->sample;
  size_t a = i > section->low ? i - 1 : i, b = i < section->high ? i + 1 : i;
  GeomPoint in = geom_sub (sample[i].p, sample[a].p), out = geom_sub (sample[b].p, sample[i].p);
  double l2_in = geom_dot (in, in), l2_out = geom_dot (out, out);

  node->p = sample[i].p;
  if (a == i && b + 1 <= section->high)
  {
    /* An end: mirror the next chord in the first, as a circle would. */
    GeomPoint u = unit_of (out), v = unit_of (geom_sub (sample[b + 1].p, sample[i].p));

    node->tangent = unit_of (geom_along (geom_scale (u, 2.0 * geom_dot (u, v)), -1.0, v));
  }
  else if (b == i && a >= section->low + 1)
  {
    GeomPoint u = unit_of (in), v = unit_of (geom_sub (sample[i].p, sample[a - 1].p));

    node->tangent = unit_of (geom_along (geom_scale (u, 2.0 * geom_dot (u, v)), -1.0, v));
  }
  else if (l2_in > 0.0 && l2_out > 0.0)
    node->tangent
      = unit_of (geom_add (geom_scale (in, sqrt (l2_out / l2_in)), geom_scale (out, sqrt (l2_in / l2_out))));
  else
    node->tangent = unit_of (geom_add (in, out));
  if (geom_dot (node->tangent, node->tangent) < 0.5)
    node->tangent = unit_of (geom_sub (sample[b].p, sample[a].p));
}

/* How many nodes a section gets, at least two. */
static size_t
node_count (const Section *section, double tolerance_mm)
{
  size_t samples = section->last - section->first + 1;
  double want
    = (section->sample[section->last].s - section->sample[section->first].s) / (NODE_STEP * tolerance_mm);
  size_t count = want < LEAST_NODES ? LEAST_NODES : want > MOST_NODES ? MOST_NODES : (size_t)want;

  return samples < FEW_SAMPLES || count > samples ? samples : count;
}

/* The section's samples averaged in groups of SIZE. */
static Section
grouped (const Section *section, size_t size, Sample *group)
{
  Section out = { .sample = group, .noise2 = section->noise2 / size };
  size_t n = 0;

  for (size_t i = section->low; i <= section->high; i += size)
  {
    size_t end = i + size <= section->high + 1 ? i + size : section->high + 1;
    Sample sum = { { 0.0, 0.0 }, 0.0 };

    for (size_t k = i; k < end; k++)
    {
      sum.p = geom_add (sum.p, section->sample[k].p);
      sum.s += section->sample[k].s;
    }
    group[n].p = geom_scale (sum.p, 1.0 / (end - i));
    group[n++].s = sum.s / (end - i);
  }
  out.high = out.last = n - 1;
  return out;
}

/* COUNT nodes evenly along the section. */
static void
make_nodes (const Section *whole, size_t count, double tolerance_mm, Node *node)
{
  size_t samples = whole->last - whole->first + 1, middle = 0;
  size_t size = samples / (GROUPS_A_NODE * count);
  double s0 = whole->sample[whole->first].s, length = whole->sample[whole->last].s - s0;
  double widest = fmin (length / 5.0, WIDEST * tolerance_mm), reach = widest;
  Section section = *whole;
  const Sample *sample;
  Sample *group = NULL;

  if (samples < FEW_SAMPLES)
  {
    for (size_t i = 0; i < samples; i++)
      node_of_sample (whole, whole->first + i, &node[i]);
    return;
  }
  if (size > 1)
  {
    group = taken (((whole->high - whole->low) / size + 2) * sizeof *group);
    section = grouped (whole, size, group);
  }
  sample = section.sample;
  middle = section.low;
  for (size_t i = 0; i < count; i++)
  {
    double s = s0 + length * i / (count - 1.0);
    /* At an open end the window is one-sided and needs all its width. */
    double allowed = 1.2 * section.noise2 + BIAS_SHARE * BIAS_SHARE * tolerance_mm * tolerance_mm;
    Parabola found = { { 0, 0 }, { 0, 0 }, 0 };
    bool good = false;

    while (middle < section.high && sample[middle + 1].s <= s)
      middle++;
    reach = fmin (reach * 1.4, widest);
    for (int narrower = 0; narrower < 24; narrower++)
    {
      bool enough = parabola_at (&section, s, reach, middle, &found);

      good |= enough;
      if (enough && found.variance <= allowed)
        break;
      if (reach * samples < length)
        break;
      reach *= 0.75;
    }
    if (good)
      node[i] = (Node) { found.p, found.tangent };
    else
      node_of_sample (&section, middle, &node[i]);
  }
  free (group);
}

/* ---- pieces ---- */

typedef struct Piece
{
  GeomCubic c;
  double error_mm;
} Piece;

/* One Newton step to the foot of C on the normal of a node; returns the signed distance along the normal. */
static inline double
foot_step (const GeomPoint p[4], const Node *node, double *u)
{
  double t = *u, r = 1.0 - t;
  double b0 = r * r * r, b1 = 3.0 * r * r * t, b2 = 3.0 * r * t * t, b3 = t * t * t;
  double ex = b0 * p[0].x + b1 * p[1].x + b2 * p[2].x + b3 * p[3].x - node->p.x;
  double ey = b0 * p[0].y + b1 * p[1].y + b2 * p[2].y + b3 * p[3].y - node->p.y;
  double d0 = 3.0 * r * r, d1 = 6.0 * r * t, d2 = 3.0 * t * t;
  double vx = d0 * (p[1].x - p[0].x) + d1 * (p[2].x - p[1].x) + d2 * (p[3].x - p[2].x);
  double vy = d0 * (p[1].y - p[0].y) + d1 * (p[2].y - p[1].y) + d2 * (p[3].y - p[2].y);
  double speed = vx * node->tangent.x + vy * node->tangent.y;
  double step = speed > 0.0 ? -(ex * node->tangent.x + ey * node->tangent.y) / speed : 0.0;

  if (step > 0.1)
    step = 0.1;
  else if (step < -0.1)
    step = -0.1;
  if (t + step < 0.0)
    step = -t;
  else if (t + step > 1.0)
    step = r;
  *u = t + step;
  return (ex + step * vx) * node->tangent.y - (ey + step * vy) * node->tangent.x;
}

/* The cubic from node FROM to node TO.  EXACT: its error at every node between, else at some.  Above LIMIT_MM
 * the error need not be right. */
static Piece
piece_between (const Node *node, size_t from, size_t to, bool exact, double limit_mm)
{
  size_t between = to - from - 1, looked = between < LOOKED_AT ? between : LOOKED_AT;
  const Node *at[LOOKED_AT];
  double u[LOOKED_AT], walked[LOOKED_AT + 1], length = 0.0, a, b, worst = 0.0;
  Piece piece;
  GeomPoint *p = piece.c.p;

  for (size_t i = 0; i < looked; i++)
  {
    at[i] = &node[from + 1 + (2 * i + 1) * between / (2 * looked)];
    length += step_between (i == 0 ? node[from].p : at[i - 1]->p, at[i]->p);
    walked[i] = length;
  }
  length += step_between (looked == 0 ? node[from].p : at[looked - 1]->p, node[to].p);
  for (size_t i = 0; i < looked; i++)
    u[i] = length > 0.0 ? walked[i] / length : 0.5;
  a = b = length / 3.0;
  p[0] = node[from].p;
  p[3] = node[to].p;
  for (int round = 0;; round++)
  {
    double aa = 1e-6, ab = 0.0, bb = 1e-6, ae = 0.0, be = 0.0, det, step_a, step_b;

    p[1] = geom_along (p[0], a, node[from].tangent);
    p[2] = geom_along (p[3], -b, node[to].tangent);
    worst = 0.0;
    for (size_t i = 0; i < looked; i++)
    {
      double e = foot_step (p, at[i], &u[i]), r = 1.0 - u[i];
      double ja = 3.0 * r * r * u[i] * geom_cross (node[from].tangent, at[i]->tangent);
      double jb = -3.0 * r * u[i] * u[i] * geom_cross (node[to].tangent, at[i]->tangent);

      aa += ja * ja;
      ab += ja * jb;
      bb += jb * jb;
      ae += ja * e;
      be += jb * e;
      worst = most_of (worst, fabs (e));
    }
    det = aa * bb - ab * ab;
    if (looked == 0 || round == ROUNDS || !(det > 0.0) || (round > 0 && worst > HOPELESS * limit_mm))
      break;
    step_a = (bb * ae - ab * be) / det;
    step_b = (aa * be - ab * ae) / det;
    if (round > 0 && fabs (step_a) + fabs (step_b) < SETTLED * length)
      break;
    a = least_of (most_of (a - step_a, 0.4 * a), 2.0 * a);
    b = least_of (most_of (b - step_b, 0.4 * b), 2.0 * b);
    a = least_of (most_of (a, 0.02 * length), length);
    b = least_of (most_of (b, 0.02 * length), length);
  }
  if (exact && between > looked && worst <= limit_mm)
  {
    double v = 0.0;

    worst = 0.0;
    for (size_t i = from + 1; i < to && worst <= limit_mm; i++)
    {
      v = v + 1.0 / (between + 1.0);
      v = v < 0.99 ? v : 0.99;
      foot_step (p, &node[i], &v);
      foot_step (p, &node[i], &v);
      worst = most_of (worst, fabs (foot_step (p, &node[i], &v)));
    }
  }
  piece.error_mm = worst;
  return piece;
}

/* The farthest node a piece from FROM reaches within the tolerance. */
static size_t
farthest (const Node *node, size_t count, size_t from, double tolerance_mm, size_t guess)
{
  size_t good = from + 1, bad = count, step = guess > 2 ? guess : 2;

  /* Grow while it works, then halve between; nodes just beyond a failure are not asked again. */
  while (good + 1 < bad)
  {
    size_t next = bad == count ? good + step : good + (bad - good) / 2;

    if (next >= count)
      next = count - 1;
    if (next <= good)
      break;
    if (piece_between (node, from, next, true, tolerance_mm).error_mm <= tolerance_mm)
      good = next;
    else
      bad = next;
    step *= 2;
    if (good == count - 1)
      break;
  }
  return good;
}

/* Moves breakpoint K to where the larger error of the two pieces beside it is least. */
static void
settle_break (const Node *node, size_t *at, size_t k)
{
  size_t low = at[k - 1] + 1, high = at[k + 1] - 1;

  /* The left error grows and the right one falls as the break moves on: halve on which is larger. */
  for (int i = 0; i < 16 && low < high; i++)
  {
    size_t mid = (low + high) / 2;

    if (piece_between (node, at[k - 1], mid, false, INFINITY).error_mm
        < piece_between (node, mid, at[k + 1], false, INFINITY).error_mm)
      low = mid + 1;
    else
      high = mid;
  }
  at[k] = low;
}

/* Appends the pieces of one section. */
static void
append_pieces (const Node *node, size_t count, double tolerance_mm, GeomPath *out)
{
  size_t *at = taken (2 * (count + 1) * sizeof *at), *saved = at + count + 1, breaks = 1;
  double inner = INNER_SHARE * tolerance_mm;
  bool good = true;

  at[0] = 0;
  while (at[breaks - 1] + 1 < count)
  {
    at[breaks] = farthest (node, count, at[breaks - 1], inner,
                           breaks > 1 ? at[breaks - 1] - at[breaks - 2] : count / 4);
    breaks++;
  }
  memcpy (saved, at, breaks * sizeof *at);
  for (int sweep = 0; sweep < 2 && breaks > 2; sweep++)
    for (size_t k = 1; k + 1 < breaks; k++)
      settle_break (node, at, k);
  for (size_t k = 0; k + 1 < breaks && good; k++)
    good = piece_between (node, at[k], at[k + 1], true, inner).error_mm <= inner;
  for (size_t k = 0; k + 1 < breaks; k++)
  {
    const size_t *use = good ? at : saved;
    Piece piece = piece_between (node, use[k], use[k + 1], false, INFINITY);

    geom_path_append (out, &piece.c);
  }
  free (at);
}

/* ---- the stroke ---- */

/* Where two sections meet at a corner: their end tangents' meeting point when it is near, else between their
 * ends. */
static GeomPoint
corner_point (const Node *end, const Node *start, double tolerance_mm)
{
  GeomPoint between = geom_mix (end->p, start->p, 0.5), meet;

  if (fabs (geom_cross (end->tangent, start->tangent)) > 0.2
      && geom_line_meet (end->p, geom_add (end->p, end->tangent), start->p,
                         geom_add (start->p, start->tangent), &meet)
      && geom_distance (meet, between) <= 3.0 * tolerance_mm)
    return meet;
  return between;
}

static void
fit_sections (const Sample *sample,
              size_t count,
              size_t pad,
              const size_t *corner,
              size_t corner_count,
              const GeomFitOptions *options,
              GeomPath *out,
              size_t *corners,
              size_t *corners_out)
{
  size_t sections = options->closed ? (corner_count > 0 ? corner_count : 1) : corner_count + 1;
  double noise2 = noise_variance (sample + pad, count);
  Section *section = taken (sections * sizeof *section);
  size_t *first = taken ((sections + 1) * sizeof *first), reported = 0;
  Node *node;

  first[0] = 0;
  for (size_t i = 0; i < sections; i++)
  {
    Section *now = &section[i];

    *now = (Section) { .sample = sample, .noise2 = noise2 };

    if (options->closed && corner_count == 0)
    {
      now->first = pad;
      now->last = pad + count;
      now->low = 0;
      now->high = count + 2 * pad - 1;
    }
    else if (options->closed)
    {
      now->first = pad + corner[i];
      now->last = pad + (i + 1 < corner_count ? corner[i + 1] : corner[0] + count);
    }
    else
    {
      now->first = i == 0 ? 0 : corner[i - 1];
      now->last = i < corner_count ? corner[i] : count - 1;
    }
    if (!(options->closed && corner_count == 0))
    {
      now->low = now->first;
      now->high = now->last;
    }
    first[i + 1] = first[i] + node_count (now, options->tolerance_mm);
  }
  node = taken (first[sections] * sizeof *node);
  for (size_t i = 0; i < sections; i++)
    make_nodes (&section[i], first[i + 1] - first[i], options->tolerance_mm, &node[first[i]]);
  for (size_t i = 0; i < sections; i++)
  {
    Node *end = &node[first[i + 1] - 1];
    Node *start = &node[first[(i + 1) % sections]];

    if (i + 1 == sections && !options->closed)
      break;
    if (corner_count == 0)
      *end = *start;
    else
      end->p = start->p = corner_point (end, start, options->tolerance_mm);
  }
  for (size_t i = 0; i < sections; i++)
  {
    if ((options->closed && corner_count > 0) || i > 0)
    {
      if (corners != NULL)
        corners[reported] = out->count;
      reported++;
    }
    append_pieces (&node[first[i]], first[i + 1] - first[i], options->tolerance_mm, out);
  }
  if (corners_out != NULL)
    *corners_out = reported;
  free (node);
  free (first);
  free (section);
}

bool
geom_fit_points (const GeomPoint *points,
                 size_t count,
                 const GeomFitOptions *options,
                 GeomPath *out,
                 size_t *corners,
                 size_t *corner_count)
{
  Sample *own = taken ((count + 1) * sizeof *own), *sample;
  size_t n = distinct (points, count, options->closed, own), pad, all, found;
  size_t *corner;

  if (corner_count != NULL)
    *corner_count = 0;
  if (n < 2 || !(options->tolerance_mm > 0.0))
  {
    free (own);
    return false;
  }
  if (n == 2)
  {
    geom_path_append_line (out, own[0].p, own[1].p);
    if (options->closed)
      geom_path_append_line (out, own[1].p, own[0].p);
    out->closed = options->closed;
    free (own);
    return true;
  }
  /* A closed stroke goes on round its ends: a quarter before, for windows, and the whole again behind, for
   * the section that ends at the first corner. */
  pad = options->closed ? n / 4 + 1 : 0;
  all = options->closed ? 2 * n + pad : n;
  sample = taken (all * sizeof *sample);
  for (size_t i = 0; i < all; i++)
    sample[i] = own[(i + n - pad) % n];
  measure (sample, all);
  corner = taken (n * sizeof *corner);
  found = find_corners (sample, n, pad, options->corner_rad, options->tolerance_mm, corner);
  if (!options->closed)
    while (found > 0 && corner[found - 1] + 1 >= n)
      found--;
  fit_sections (sample, n, pad, corner, found, options, out, corners, corner_count);
  if (options->closed)
    out->closed = true;
  free (corner);
  free (sample);
  free (own);
  return true;
}

/* ---- a trembling hand ---- */

bool
geom_fit_shaken (const GeomPoint *points,
                 size_t count,
                 const GeomFitOptions *options,
                 GeomPath *out,
                 size_t *corners,
                 size_t *corner_count)
{
  GeomFitOptions looser = *options;
  size_t had = out->count, found = 0, *at = taken (count * sizeof *at);
  GeomPath best, next;
  bool any;

  geom_path_init (&best);
  geom_path_init (&next);
  any = geom_fit_points (points, count, options, &best, at, &found);
  while (any && (looser.tolerance_mm *= LOOSER) <= LOOSEST * options->tolerance_mm)
  {
    size_t other = 0, *other_at = taken (count * sizeof *other_at);

    geom_path_reset (&next);
    if (geom_fit_points (points, count, &looser, &next, other_at, &other) && other == found
        && next.count <= SHAKE_SHARE * best.count)
    {
      GeomPath path = best;
      size_t *indices = at;

      best = next;
      next = path;
      at = other_at;
      other_at = indices;
    }
    free (other_at);
  }
  if (any)
    geom_path_append_path (out, &best);
  for (size_t i = 0; any && corners != NULL && i < found; i++)
    corners[i] = at[i] + had;
  if (any && corner_count != NULL)
    *corner_count = found;
  geom_path_clear (&best);
  geom_path_clear (&next);
  free (at);
  return any;
}
