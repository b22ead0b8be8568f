#include "trace/corner.h"

#include "trace/tolerance.h"

#include <stdlib.h>
#include <string.h>

/* Turns are first looked for between two lines of this length. */
#define LINE_MM 2.5
#define CANDIDATE_RAD 0.2
/* Of two candidates nearer than this the sharper stays. */
#define APART_MM 2.0
/* The sides of a corner are followed so far, where there is room. */
#define SIDE_MM 6.0
#define LEAST_SIDE_MM 1.5
/* A corner turns so many times more than its sides do over the same distance; an arc turns alike everywhere.
 */
#define CORNER_RATIO 2.5
/* Corners cut round with a radius below LEAST_RADIUS_MM + RADIUS_SKIPS skips cannot be told from blurred
 * sharp ones. */
#define LEAST_RADIUS_MM 0.4
#define RADIUS_SKIPS 0.9
#define MISS_MM 0.15
/* A profile across a side tells its levels from about this deep on either side of it: near a tip that is
 * beyond the other side already. */
#define LEVEL_DEPTH_MM 1.3
#define MOST_TIP_SKIP_MM 9.0
/* Of the room to the neighbouring candidates, so much may be skipped. */
#define SKIP_PART 0.35
/* The sides of a tip are met further off, so more of them is asked. */
#define SIDE_SKIPS 2.5
/* Directions for bends come from lines of this half length. */
#define BEND_LINE_MM 2.0

TraceSide
trace_side_fit (const TraceRow *row, int from, int to, int zero)
{
  double m[3][5] = { { 0.0 } };
  for (int i = from; i <= to; i++)
  {
    const double s = (i - zero) * row->step_mm, power[3] = { 1.0, s, s * s };
    const GeomPoint p = trace_row_at (row, i);
    for (int r = 0; r < 3; r++)
    {
      for (int c = 0; c < 3; c++)
        m[r][c] += power[r] * power[c];
      m[r][3] += power[r] * p.x;
      m[r][4] += power[r] * p.y;
    }
  }
  for (int c = 0; c < 3; c++)
    for (int r = 0; r < 3; r++)
    {
      const double f = r == c || !(fabs (m[c][c]) > 1e-12) ? 0.0 : m[r][c] / m[c][c];
      for (int i = c; i < 5 && r != c; i++)
        m[r][i] -= f * m[c][i];
    }
  TraceSide side;
  for (int r = 0; r < 3; r++)
  {
    side.x[r] = fabs (m[r][r]) > 1e-12 ? m[r][3] / m[r][r] : 0.0;
    side.y[r] = fabs (m[r][r]) > 1e-12 ? m[r][4] / m[r][r] : 0.0;
  }
  return side;
}

GeomPoint
trace_side_at (const TraceSide *side, double s)
{
  return geom_point ((side->x[2] * s + side->x[1]) * s + side->x[0],
                     (side->y[2] * s + side->y[1]) * s + side->y[0]);
}

static GeomPoint
velocity (const TraceSide *side, double s)
{
  return geom_point (2.0 * side->x[2] * s + side->x[1], 2.0 * side->y[2] * s + side->y[1]);
}

static double
turn_between (GeomPoint a, GeomPoint b)
{
  return atan2 (geom_cross (a, b), geom_dot (a, b));
}

bool
trace_sides_meet (const TraceSide *a, const TraceSide *b, double within_mm, GeomPoint *out)
{
  double s = 0.0, u = 0.0;
  for (int round = 0; round < 8; round++)
  {
    const GeomPoint va = velocity (a, s), vb = velocity (b, u);
    const GeomPoint gap = geom_sub (trace_side_at (b, u), trace_side_at (a, s));
    const double det = geom_cross (va, vb);
    if (!(fabs (det) > 0.1 * geom_norm (va) * geom_norm (vb)))
      return false;
    s += geom_cross (gap, vb) / det;
    u += geom_cross (gap, va) / det;
    if (!(fabs (s) < within_mm && fabs (u) < within_mm))
      return false;
  }
  *out = geom_mix (trace_side_at (a, s), trace_side_at (b, u), 0.5);
  return true;
}

GeomPoint
trace_row_direction (const TraceRow *row, int from, int to)
{
  GeomPoint mean = { 0.0, 0.0 };
  for (int i = from; i <= to; i++)
    mean = geom_along (mean, 1.0 / (to - from + 1), trace_row_at (row, i));
  double xx = 0.0, xy = 0.0, yy = 0.0;
  for (int i = from; i <= to; i++)
  {
    const GeomPoint d = geom_sub (trace_row_at (row, i), mean);
    xx += d.x * d.x;
    xy += d.x * d.y;
    yy += d.y * d.y;
  }
  const double angle = 0.5 * atan2 (2.0 * xy, xx - yy);
  const GeomPoint along = { cos (angle), sin (angle) };
  const GeomPoint chord = geom_sub (trace_row_at (row, to), trace_row_at (row, from));
  return geom_dot (along, chord) < 0.0 ? geom_scale (along, -1.0) : along;
}

/* ---- sharp corners ---- */

static int
steps (const TraceRow *row, double mm)
{
  return MAX ((int)(mm / row->step_mm + 0.5), 1);
}

/* How far from a corner that turns by TURN_RAD the other side is seen in the profiles of the first:
 *
 *        ────────────┬───────      the profile's end, LEVEL_DEPTH deep and s from the tip, lies
 *         θ ╲        │ depth       s sin θ − depth cos θ from the other side
 *              ╲     ┊
 */
static double
skip_at_turn (const TraceRow *row, double turn_rad)
{
  const double inner = G_PI - fabs (turn_rad);
  if (!(inner < 0.5 * G_PI))
    return row->skip_mm;
  return MIN ((row->skip_mm + LEVEL_DEPTH_MM * cos (inner)) / MAX (sin (inner), 0.05),
              MAX (MOST_TIP_SKIP_MM, row->skip_mm));
}

/* What wavers beside a tip is no corner of its own. */
static void
drop_beside_tips (const TraceRow *row, const double *turn, GArray *found)
{
  for (guint i = 0; i < found->len; i++)
  {
    const int at = g_array_index (found, int, i);
    const double reach = skip_at_turn (row, turn[at]) / row->step_mm;
    for (guint k = found->len; k-- > 0;)
    {
      const int other = g_array_index (found, int, k), apart = abs (other - at);
      if (turn[other] >= turn[at] || reach <= row->skip_mm / row->step_mm
          || MIN (apart, row->count - apart) > reach)
        continue;
      g_array_remove_index (found, k);
      i -= k < i ? 1 : 0;
    }
  }
}

/* Sample indices whose two lines turn most, in order. */
static GArray *
find_candidates (const TraceRow *row)
{
  const int n = row->count, gap = steps (row, 0.5), reach = gap + steps (row, LINE_MM),
            apart = steps (row, APART_MM);
  GArray *found = g_array_new (FALSE, FALSE, sizeof (int));
  g_autofree double *turn = g_new (double, n);
  for (int i = 0; i < n; i++)
    turn[i] = fabs (turn_between (trace_row_direction (row, i - reach, i - gap),
                                  trace_row_direction (row, i + gap, i + reach)));
  for (int i = 0; i < n; i++)
  {
    bool best = turn[i] > CANDIDATE_RAD;
    for (int k = 1; best && k <= apart; k++)
      best = turn[i] >= turn[(i + k) % n] && turn[i] > turn[(i - k + n) % n];
    if (best)
      g_array_append_val (found, i);
  }
  drop_beside_tips (row, turn, found);
  return found;
}

static double
nearest_sample (const TraceRow *row, GeomPoint p, int around, int reach)
{
  double best = INFINITY;
  for (int i = around - reach; i <= around + reach; i++)
    best = MIN (best, geom_distance (p, trace_row_at (row, i)));
  return best;
}

/* The sides of a corner and by how much it jumps from one to the other. */
typedef struct Sides
{
  TraceSide a, b;
  double skip_mm, jump, turn_a, turn_b;
} Sides;

/* BEFORE and AFTER: samples to the neighbouring candidates. */
static Sides
sides_at (const TraceRow *row, int index, int before, int after, double skip)
{
  const int inner = steps (row, skip), least = steps (row, LEAST_SIDE_MM),
            most = steps (row, MAX (SIDE_MM, SIDE_SKIPS * skip));
  const int other = steps (row, row->skip_mm);
  const int left = CLAMP (before - inner - other, least, most),
            right = CLAMP (after - inner - other, least, most);
  Sides s = { trace_side_fit (row, index - inner - left, index - inner, index),
              trace_side_fit (row, index + inner, index + inner + right, index),
              skip,
              0.0,
              0.0,
              0.0 };
  const double over = 2.0 * skip;
  s.jump = turn_between (velocity (&s.a, -skip), velocity (&s.b, skip));
  s.turn_a = turn_between (velocity (&s.a, -skip - MIN (over, left * row->step_mm)), velocity (&s.a, -skip));
  s.turn_b = turn_between (velocity (&s.b, skip), velocity (&s.b, skip + MIN (over, right * row->step_mm)));
  return s;
}

static bool
is_sharp (const TraceRow *row, int index, int before, int after, TraceCorner *corner)
{
  Sides s = sides_at (row, index, before, after, row->skip_mm);
  /* The first look at a tip is a look at what wavers there; the second one knows how far to keep off. */
  const double most = MAX (SKIP_PART * MIN (before, after) * row->step_mm, row->skip_mm);
  for (int look = 0; look < 2; look++)
  {
    const double skip = MIN (skip_at_turn (row, s.jump), most);
    if (skip > s.skip_mm)
      s = sides_at (row, index, before, after, skip);
  }
  if (fabs (s.jump) < TRACE_CORNER_RAD
      || fabs (s.jump) < CORNER_RATIO * MAX (fabs (s.turn_a), fabs (s.turn_b)))
    return false;
  if (!trace_sides_meet (&s.a, &s.b, 4.0 * s.skip_mm + 1.0, &corner->point))
    return false;
  const double rounding = LEAST_RADIUS_MM + RADIUS_SKIPS * row->skip_mm;
  const double miss = MISS_MM + rounding * (1.0 / MAX (cos (0.5 * s.jump), 0.05) - 1.0);
  if (nearest_sample (row, corner->point, index, 2 * steps (row, s.skip_mm)) > miss)
    return false;
  corner->index = index;
  corner->turn_rad = s.jump;
  corner->skip_mm = s.skip_mm;
  return true;
}

GArray *
trace_corners_find (const TraceRow *row)
{
  GArray *corners = g_array_new (FALSE, FALSE, sizeof (TraceCorner));
  g_autoptr (GArray) candidate = find_candidates (row);
  const guint n = candidate->len;
  for (guint c = 0; c < n; c++)
  {
    const int at = g_array_index (candidate, int, c);
    int before = at - g_array_index (candidate, int, (c + n - 1) % n);
    int after = g_array_index (candidate, int, (c + 1) % n) - at;
    before += before <= 0 ? row->count : 0;
    after += after <= 0 ? row->count : 0;
    TraceCorner corner;
    if (is_sharp (row, at, before, after, &corner))
      g_array_append_val (corners, corner);
  }
  return corners;
}

/* ---- bends ---- */

typedef struct Bend
{
  int from, to;
  double turn;
} Bend;

static void
part_bend (const double *turn, Bend bend, int first, GArray *at, GArray *weight)
{
  double done = 0.0;
  const double half = 0.5 * fabs (bend.turn);
  int middle = bend.from;
  for (int i = bend.from; i <= bend.to && done < half; i++)
  {
    done += fabs (turn[i]);
    middle = i;
  }
  /* More than a corner turns by: a round end, which is an edge of its own. */
  const bool round_end = fabs (bend.turn) > 2.4;
  const int place[2] = { first + (round_end ? bend.from : middle), first + bend.to };
  for (int i = 0; i < (round_end ? 2 : 1); i++)
  {
    const double w = fabs (bend.turn) / (round_end ? 2.0 : 1.0);
    g_array_append_val (at, place[i]);
    if (weight != NULL)
      g_array_append_val (weight, w);
  }
}

GArray *
trace_bends_find (const TraceRow *row, int from, int to, GArray *weight)
{
  GArray *at = g_array_new (FALSE, FALSE, sizeof (int));
  const int half = steps (row, BEND_LINE_MM), n = to - from + 1;
  const bool whole = to - from >= row->count;
  /* Lines must not look round a sharp corner. */
  const int low = whole ? 0 : half + 1, high = whole ? n - 1 : n - half - 2;
  if (high - low < 4)
    return at;
  g_autofree double *turn = g_new0 (double, n);
  GeomPoint last = trace_row_direction (row, from + low - half, from + low + half);
  for (int i = low + 1; i <= high; i++)
  {
    const GeomPoint now = trace_row_direction (row, from + i - half, from + i + half);
    turn[i] = turn_between (last, now);
    last = now;
  }
  const double limit = 1.0 / TRACE_BEND_RADIUS_MM;
  const int window = half;
  Bend bend = { -1, -1, 0.0 };
  for (int i = low; i <= high + 1; i++)
  {
    double sum = 0.0;
    int used = 0;
    for (int k = MAX (i - window, low + 1); k <= MIN (i + window, high); k++, used++)
      sum += turn[k];
    const double curvature = used > 0 && i <= high ? sum / (used * row->step_mm) : 0.0;
    const bool tight = fabs (curvature) > limit;
    if (bend.from >= 0 && (!tight || (curvature > 0.0) != (bend.turn > 0.0)))
    {
      if (fabs (bend.turn) > TRACE_BEND_RAD)
        part_bend (turn, bend, from, at, weight);
      bend.from = -1;
    }
    if (tight && bend.from < 0)
      bend = (Bend) { i, i, 0.0 };
    if (tight)
    {
      bend.to = i;
      bend.turn += turn[i] == 0.0 ? copysign (1e-12, curvature) : turn[i];
    }
  }
  return at;
}
