/* Evening the curvature of a run of nodes.
 *
 * The unknowns are the curve's own: each inner node may move across the curve, turn its tangent, and stretch
 * its two handles; the end nodes only stretch theirs.  So the result needs no fitting, and ends and end
 * tangents hold by construction.  Curvature is sampled on every piece; what is squared and summed are its
 * steps from sample to sample and over the joints, which is the integral of (d curvature / d length)^2 as
 * sums approach it, and rises without bound where curvature jumps.  Each unknown touches two pieces, so the
 * normal equations are a narrow band.
 */
#include "model/format.h"
#include "model/reshape-work.h"

#define SAMPLES 8
#define UNKNOWNS 4 /* a node: across, turn, and the logarithms of its handles' lengths */
#define BAND (3 * UNKNOWNS)
#define MOST_PIECES 400
/* A sharper bend is meant. */
#define BEND_RAD (30.0 * G_PI / 180.0)
/* Keeps handles from running away where they hardly matter. */
#define HANDLE_WEIGHT 1e-3
/* How far a turn of 1, a stretch of 1, moves the curve, as a part of a piece. */
#define TURN_MOVES (1.0 / 6.0)
#define STRETCH_MOVES 0.05
/* The row of weights, from hardly any to where nothing moves. */
#define LEAST_WEIGHT 1.0
#define WEIGHT_FACTOR 10.0
#define WEIGHTS 16
#define ROUNDS 40
#define GAIN 1e-9
#define DIFFERENCE 1e-6
/* What is evened less than this was even. */
#define WORTH 1e-6
/* So is a curve of less unevenness: an arc drawn as cubics of 45 degrees has a thousandth, a hand's shake of
 * two micrometres this much. */
#define EVEN 1e-2
#define NEAR_SAMPLES 8

typedef struct Knot
{
  GeomPoint at, tangent; /* as it is to begin with */
  double in_mm, out_mm;
  double u[UNKNOWNS]; /* now */
} Knot;

typedef struct Bent
{
  double curvature[SAMPLES + 1], step_mm[SAMPLES];
} Bent;

typedef struct Run
{
  guint pieces;
  Knot *knots; /* one more */
  Bent *bent;
  double length_mm, weight;
  double *matrix, *right; /* lower band, row by row */
} Run;

/* ---- the curve ---- */

static GeomCubic
piece_of (const Run *run, guint i)
{
  const Knot *a = &run->knots[i], *b = &run->knots[i + 1];
  GeomPoint at[2], way[2];
  const Knot *both[] = { a, b };

  for (int k = 0; k < 2; k++)
  {
    double w = both[k]->u[1];
    GeomPoint t = both[k]->tangent;

    at[k] = geom_along (both[k]->at, both[k]->u[0], geom_left_of (t));
    way[k] = geom_point (t.x * cos (w) - t.y * sin (w), t.x * sin (w) + t.y * cos (w));
  }
  return (GeomCubic) { { at[0], geom_along (at[0], a->out_mm * exp (a->u[3]), way[0]),
                         geom_along (at[1], -b->in_mm * exp (b->u[2]), way[1]), at[1] } };
}

static void
bend_of (const GeomCubic *c, Bent *bent)
{
  GeomPoint last = c->p[0];

  for (int k = 0; k <= SAMPLES; k++)
  {
    double t = (double)k / SAMPLES;
    GeomPoint here = geom_cubic_at (c, t);

    bent->curvature[k] = geom_cubic_curvature (c, t);
    if (k > 0)
      bent->step_mm[k - 1] = MAX (geom_distance (here, last), 1e-9);
    last = here;
  }
}

/* ---- what is to be small ---- */

static double
inside (const Run *run, const Bent *bent, int k)
{
  return (bent->curvature[k + 1] - bent->curvature[k])
         * sqrt (run->length_mm * run->length_mm * run->length_mm / bent->step_mm[k]);
}

static double
over_joint (const Run *run, const Bent *before, const Bent *after)
{
  double step = 0.5 * (before->step_mm[SAMPLES - 1] + after->step_mm[0]);

  return (after->curvature[0] - before->curvature[SAMPLES])
         * sqrt (run->length_mm * run->length_mm * run->length_mm / step);
}

/* A turned tangent carries the curve beside it along by about a sixth of the piece, a stretched handle by
 * some hundredths: both count as displacement, or a heavy weight would leave the nodes and swing the curve.
 */
static double
unknown_weight (const Run *run, int which)
{
  double turn = TURN_MOVES / run->pieces, stretch = STRETCH_MOVES / run->pieces;

  switch (which)
  {
  case 0:
    return run->weight / (run->length_mm * run->length_mm);
  case 1:
    return run->weight * turn * turn;
  default:
    return HANDLE_WEIGHT + run->weight * stretch * stretch;
  }
}

static double
cost (const Run *run)
{
  double sum = 0.0;

  for (guint i = 0; i < run->pieces; i++)
  {
    for (int k = 0; k < SAMPLES; k++)
    {
      double r = inside (run, &run->bent[i], k);

      sum += r * r;
    }
    if (i > 0)
    {
      double r = over_joint (run, &run->bent[i - 1], &run->bent[i]);

      sum += r * r;
    }
  }
  for (guint i = 0; i <= run->pieces; i++)
    for (int q = 0; q < UNKNOWNS; q++)
      sum += unknown_weight (run, q) * run->knots[i].u[q] * run->knots[i].u[q];
  return sum;
}

static void
bend_all (Run *run)
{
  for (guint i = 0; i < run->pieces; i++)
  {
    GeomCubic c = piece_of (run, i);

    bend_of (&c, &run->bent[i]);
  }
}

/* End nodes have but one handle in the run, and that only stretches. */
static bool
is_free (const Run *run, guint knot, int which)
{
  if (knot == 0)
    return which == 3;
  if (knot == run->pieces)
    return which == 2;
  return true;
}

/* ---- normal equations ---- */

/* The derivatives of one residual by a few unknowns go in. */
static void
add_row (Run *run, double residual, const guint *unknowns, const double *slopes, int count)
{
  for (int i = 0; i < count; i++)
  {
    run->right[unknowns[i]] -= slopes[i] * residual;
    for (int j = 0; j < count; j++)
      if (unknowns[j] <= unknowns[i])
        run->matrix[unknowns[i] * BAND + (unknowns[i] - unknowns[j])] += slopes[i] * slopes[j];
  }
}

/* The slopes of everything by unknown Q of knot J touch pieces J - 1 and J. */
typedef struct Nudged
{
  Bent bent[2];
} Nudged;

static void
build (Run *run)
{
  guint count = (run->pieces + 1) * UNKNOWNS;
  g_autofree Nudged *nudged = g_new0 (Nudged, count);
  double h = DIFFERENCE;

  memset (run->matrix, 0, count * BAND * sizeof (double));
  memset (run->right, 0, count * sizeof (double));
  for (guint j = 0; j <= run->pieces; j++)
    for (int q = 0; q < UNKNOWNS; q++)
    {
      double by = q == 0 ? h * run->length_mm : h, kept = run->knots[j].u[q];

      run->knots[j].u[q] = kept + by;
      for (int side = 0; side < 2; side++)
        if ((side == 0 && j > 0) || (side == 1 && j < run->pieces))
        {
          GeomCubic c = piece_of (run, side == 0 ? j - 1 : j);

          bend_of (&c, &nudged[j * UNKNOWNS + (guint)q].bent[side]);
        }
      run->knots[j].u[q] = kept;
    }
  for (guint i = 0; i < run->pieces; i++)
  {
    guint unknowns[3 * UNKNOWNS];
    double slopes[3 * UNKNOWNS];

    for (int k = 0; k < SAMPLES; k++)
    {
      double r = inside (run, &run->bent[i], k);
      int n = 0;

      for (guint j = i; j <= i + 1; j++)
        for (int q = 0; q < UNKNOWNS; q++)
          if (is_free (run, j, q))
          {
            unknowns[n] = j * UNKNOWNS + (guint)q;
            slopes[n] = (inside (run, &nudged[unknowns[n]].bent[j == i ? 1 : 0], k) - r)
                        / (q == 0 ? h * run->length_mm : h);
            n++;
          }
      add_row (run, r, unknowns, slopes, n);
    }
    if (i > 0)
    {
      double r = over_joint (run, &run->bent[i - 1], &run->bent[i]);
      int n = 0;

      for (guint j = i - 1; j <= i + 1; j++)
        for (int q = 0; q < UNKNOWNS; q++)
          if (is_free (run, j, q))
          {
            const Nudged *by = &nudged[j * UNKNOWNS + (guint)q];
            const Bent *before = j == i - 1 ? &by->bent[1] : j == i ? &by->bent[0] : &run->bent[i - 1];
            const Bent *after = j == i - 1 ? &run->bent[i] : j == i ? &by->bent[1] : &by->bent[0];

            unknowns[n] = j * UNKNOWNS + (guint)q;
            slopes[n] = (over_joint (run, before, after) - r) / (q == 0 ? h * run->length_mm : h);
            n++;
          }
      add_row (run, r, unknowns, slopes, n);
    }
  }
  for (guint j = 0; j <= run->pieces; j++)
    for (int q = 0; q < UNKNOWNS; q++)
    {
      guint at = j * UNKNOWNS + (guint)q;

      run->matrix[at * BAND] += unknown_weight (run, q);
      run->right[at] -= unknown_weight (run, q) * run->knots[j].u[q];
    }
}

/* Solves in a copy of the band with its diagonal raised by DAMPING.  False: not positive definite. */
static bool
solve (const Run *run, double damping, double *step)
{
  guint count = (run->pieces + 1) * UNKNOWNS;
  g_autofree double *m = g_memdup2 (run->matrix, count * BAND * sizeof (double));

  for (guint i = 0; i < count; i++)
  {
    double *row = &m[i * BAND];

    if (!is_free (run, i / UNKNOWNS, (int)(i % UNKNOWNS)))
      row[0] = 1.0;
    else
      row[0] += damping * row[0] + 1e-12;
    for (guint back = MIN (i, BAND - 1); back > 0; back--)
    {
      guint j = i - back;

      for (guint k = i >= BAND - 1 ? i - (BAND - 1) : 0; k < j; k++)
        if (j - k < BAND)
          row[back] -= row[i - k] * m[j * BAND + (j - k)];
      row[back] /= m[j * BAND];
    }
    for (guint back = MIN (i, BAND - 1); back > 0; back--)
      row[0] -= row[back] * row[back];
    if (!(row[0] > 0.0) || !isfinite (row[0]))
      return false;
    row[0] = sqrt (row[0]);
  }
  for (guint i = 0; i < count; i++)
  {
    step[i] = is_free (run, i / UNKNOWNS, (int)(i % UNKNOWNS)) ? run->right[i] : 0.0;
    for (guint back = MIN (i, BAND - 1); back > 0; back--)
      step[i] -= m[i * BAND + back] * step[i - back];
    step[i] /= m[i * BAND];
  }
  for (guint i = count; i-- > 0;)
  {
    for (guint k = i + 1; k < MIN (count, i + BAND); k++)
      step[i] -= m[k * BAND + (k - i)] * step[k];
    step[i] /= m[i * BAND];
  }
  return true;
}

/* Levenberg-Marquardt from where the knots are. */
static void
settle (Run *run)
{
  guint count = (run->pieces + 1) * UNKNOWNS;
  g_autofree double *step = g_new0 (double, count);
  g_autofree Knot *kept = g_new (Knot, run->pieces + 1);
  double damping = 1e-3, now;

  bend_all (run);
  now = cost (run);
  for (int round = 0; round < ROUNDS && isfinite (now); round++)
  {
    double then;

    build (run);
    memcpy (kept, run->knots, (run->pieces + 1) * sizeof (Knot));
    for (int tries = 0;; tries++)
    {
      bool solved = tries < 12 && solve (run, damping, step);

      if (!solved && tries >= 12)
        return;
      if (solved)
      {
        for (guint i = 0; i < count; i++)
          run->knots[i / UNKNOWNS].u[i % UNKNOWNS] += step[i];
        bend_all (run);
        then = cost (run);
        if (isfinite (then) && then <= now)
          break;
        memcpy (run->knots, kept, (run->pieces + 1) * sizeof (Knot));
        bend_all (run);
      }
      damping *= 8.0;
    }
    damping = MAX (damping * 0.2, 1e-12);
    if (now - then <= GAIN * now)
      return;
    now = then;
  }
}

/* ---- one stretch ---- */

static void
path_of (const Run *run, GeomPath *out)
{
  geom_path_reset (out);
  for (guint i = 0; i < run->pieces; i++)
  {
    GeomCubic c = piece_of (run, i);

    geom_path_append (out, &c);
  }
}

static double
farthest (const GeomPath *from, const GeomPath *to)
{
  double far = 0.0;

  for (size_t i = 0; i < from->count; i++)
    for (int k = 0; k <= NEAR_SAMPLES; k++)
      far = MAX (
        far, geom_path_nearest (to, geom_cubic_at (&from->piece[i], (double)k / NEAR_SAMPLES)).distance_mm);
  return far;
}

double
model_reshape_unevenness (const GeomPath *path)
{
  Run run = { .pieces = (guint)path->count, .length_mm = geom_path_length (path, 1e-6) };
  double sum = 0.0;
  Bent last, here;

  for (size_t i = 0; i < path->count; i++)
  {
    bend_of (&path->piece[i], &here);
    for (int k = 0; k < SAMPLES; k++)
      sum += inside (&run, &here, k) * inside (&run, &here, k);
    if (i > 0
        && fabs (reshape_turn (geom_cubic_tangent (&path->piece[i - 1], 1.0),
                               geom_cubic_tangent (&path->piece[i], 0.0)))
             <= BEND_RAD)
      sum += over_joint (&run, &last, &here) * over_joint (&run, &last, &here);
    last = here;
  }
  return sum;
}

/* Evens the pieces in place.  MOVED is raised to how far it went.  False: it was even. */
static bool
fair_stretch (GeomCubic *pieces, guint count, double most_mm, double *moved_mm)
{
  Run run = { .pieces = count };
  GeomPath was, now;
  double even, uneven;
  bool better = false;

  geom_path_init (&was);
  geom_path_init (&now);
  for (guint i = 0; i < count; i++)
    geom_path_append (&was, &pieces[i]);
  run.length_mm = geom_path_length (&was, 1e-6);
  uneven = model_reshape_unevenness (&was);
  run.knots = g_new0 (Knot, count + 1);
  run.bent = g_new0 (Bent, count);
  run.matrix = g_new0 (double, (count + 1) * UNKNOWNS * BAND);
  run.right = g_new0 (double, (count + 1) * UNKNOWNS);
  for (guint i = 0; i <= count; i++)
  {
    Knot *knot = &run.knots[i];
    GeomPoint in = i > 0 ? geom_cubic_tangent (&pieces[i - 1], 1.0) : geom_point (0.0, 0.0);
    GeomPoint out = i < count ? geom_cubic_tangent (&pieces[i], 0.0) : geom_point (0.0, 0.0);

    knot->at = i < count ? pieces[i].p[0] : pieces[count - 1].p[3];
    knot->tangent = geom_unit (geom_add (in, out));
    /* A handle that is not there gets a third of the chord. */
    if (i > 0)
    {
      knot->in_mm = geom_distance (pieces[i - 1].p[3], pieces[i - 1].p[2]);
      if (!(knot->in_mm > MODEL_HOLD_NO_HANDLE_MM))
        knot->in_mm = geom_distance (pieces[i - 1].p[0], pieces[i - 1].p[3]) / 3.0;
    }
    if (i < count)
    {
      knot->out_mm = geom_distance (pieces[i].p[0], pieces[i].p[1]);
      if (!(knot->out_mm > MODEL_HOLD_NO_HANDLE_MM))
        knot->out_mm = geom_distance (pieces[i].p[0], pieces[i].p[3]) / 3.0;
    }
  }
  run.weight = LEAST_WEIGHT;
  for (int i = 0; i < WEIGHTS && run.length_mm > RESHAPE_LEAST_MM && !better;
       i++, run.weight *= WEIGHT_FACTOR)
  {
    double far;

    for (guint k = 0; k <= count; k++)
      memset (run.knots[k].u, 0, sizeof run.knots[k].u);
    settle (&run);
    path_of (&run, &now);
    far = MAX (farthest (&now, &was), farthest (&was, &now));
    even = model_reshape_unevenness (&now);
    if (!(far <= most_mm))
      continue;
    if (!(even < uneven * (1.0 - WORTH)) || uneven <= EVEN)
      break;
    better = true;
    *moved_mm = MAX (*moved_mm, far);
    for (guint k = 0; k < count; k++)
    {
      GeomPoint first = pieces[k].p[0], last = pieces[k].p[3];

      pieces[k] = piece_of (&run, k);
      /* The ends to the bit. */
      if (k == 0)
        pieces[k].p[0] = first;
      if (k + 1 == count)
        pieces[k].p[3] = last;
    }
  }
  g_free (run.knots);
  g_free (run.bent);
  g_free (run.matrix);
  g_free (run.right);
  geom_path_clear (&was);
  geom_path_clear (&now);
  return better;
}

/* ---- the deed ---- */

/* Between bends, one stretch after another.  False: all was even. */
static bool
fair_pieces (GeomCubic *pieces, guint count, double most_mm, double *moved_mm)
{
  bool any = false;
  guint first = 0;

  for (guint i = 1; i <= count; i++)
    if (i == count
        || fabs (
             reshape_turn (geom_cubic_tangent (&pieces[i - 1], 1.0), geom_cubic_tangent (&pieces[i], 0.0)))
             > BEND_RAD)
    {
      any |= fair_stretch (&pieces[first], i - first, most_mm, moved_mm);
      first = i;
    }
  return any;
}

static void
put_piece (ReshapeWork *work, ModelSeat seat, int shape, const GeomCubic *c)
{
  ModelNode *a = &rework_ring_node (work->ring, seat)->shape[shape],
            *b = &rework_ring_node (work->ring, rework_ring_next (work->ring, seat))->shape[shape];

  a->at = c->p[0];
  a->out = c->p[1];
  b->in = c->p[2];
  b->at = c->p[3];
}

bool
model_reshape_fair (ModelPanel *panel,
                    ModelSide side,
                    guint from_node_id,
                    guint to_node_id,
                    double most_mm,
                    double *moved_mm,
                    GError **error)
{
  ReshapeWork work;
  ModelReworkError code;
  ModelSeat from, to, seat;
  g_autoptr (GArray) seats = g_array_new (FALSE, FALSE, sizeof (ModelSeat));
  double moved = 0.0;
  bool any = false;

  if (moved_mm != NULL)
    *moved_mm = 0.0;
  if (!reshape_open (&work, panel, NULL, side, error))
    return false;
  if (!rework_ring_find_node (work.ring, from_node_id, &from)
      || !rework_ring_find_node (work.ring, to_node_id, &to) || from_node_id == to_node_id)
    return reshape_refuse (&work, MODEL_REWORK_ERROR_PLACE, error);
  if (!(most_mm > 0.0))
    return reshape_refuse (&work, MODEL_REWORK_ERROR_VALUE, error);
  for (seat = from; !model_hold_same (seat, to); seat = rework_ring_next (work.ring, seat))
  {
    if (reshape_edge_is_fixed (&work, seat.edge, &code))
      return reshape_refuse (&work, code, error);
    g_array_append_val (seats, seat);
  }
  if (seats->len > MOST_PIECES)
    return reshape_refuse (&work, MODEL_REWORK_ERROR_SHAPE, error);
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    g_autofree GeomCubic *pieces = g_new (GeomCubic, seats->len);

    if (!work.acts[s])
      continue;
    for (guint i = 0; i < seats->len; i++)
      pieces[i] = rework_ring_piece (work.ring, g_array_index (seats, ModelSeat, i), s);
    if (!fair_pieces (pieces, seats->len, most_mm, &moved))
      continue;
    any = true;
    for (guint i = 0; i < seats->len; i++)
    {
      seat = g_array_index (seats, ModelSeat, i);
      put_piece (&work, seat, s, &pieces[i]);
      g_hash_table_insert (work.dirty, GUINT_TO_POINTER (rework_ring_edge (work.ring, seat.edge)->head->id),
                           GINT_TO_POINTER (RESHAPE_MARKS_PLACE));
      if (i > 0 && seat.node > 0 && s == REWORK_SHAPES - 1)
      {
        bool bend = fabs (reshape_turn (geom_cubic_tangent (&pieces[i - 1], 1.0),
                                        geom_cubic_tangent (&pieces[i], 0.0)))
                    > RESHAPE_IN_LINE;
        ReworkNode *node = rework_ring_node (work.ring, seat);

        node->shape[0].kind = node->shape[1].kind = bend ? MODEL_NODE_CORNER : MODEL_NODE_SMOOTH;
      }
    }
  }
  if (!any)
    return reshape_refuse (&work, MODEL_REWORK_ERROR_SHAPE, error);
  if (moved_mm != NULL)
    *moved_mm = moved;
  return reshape_close (&work, false, error);
}
