/* The cut outline: the seam outline moved outward, edge by edge.
 *
 * Every seam piece gets its parallel; where two pieces meet, their parallels are joined:
 *
 *        both must be longer       both are too long          one is too long
 *
 *              ╭───╮ X                 │                           ╱ ray back along
 *          ────╯   ╵              ─────┼──                   ──────X──── the second
 *             Q1   │ Q2                │  Q1                        ╲ Q1
 *
 * With n1, n2 the normals and T1, T2 the tangents at the joint V, the meeting point X = V + v of the straight
 * extensions has v.n1 = d1 and v.n2 = d2; s1 and s2 say how much longer each side gets there.  Curves bend,
 * so a side that gets shorter is cut where the curves themselves cross.
 *
 * The joined run is nearly always the answer.  When it may cross itself, or a side was eaten up, everything
 * is laid again without trimming anything and loops.c takes away what winds wrongly.
 */
#include "geom/loops.h"
#include "geom/offset.h"

#include <stdlib.h>

/* Two parallels' ends nearer than this share of the accuracy are drawn together instead of joined by a
 * sliver. */
#define SNAP_SHARE 0.2
/* Tangents whose cross product is below this are parallel. */
#define PARALLEL_SINE 1e-9
#define NEWTON_STEPS 12
/* A lead is tried in one cubic with its curve when bend * length^2 is at most so many accuracies. */
#define LEAD_BEND 30.0
/* Cut lengths are sums of many pieces; a thousandth of what may be seen. */
#define LENGTH_MM 1e-6
/* Runs that touch along a stretch are laid again so much wider: far below the accuracy, far above rounding.
 */
#define NUDGE_MM 2e-4
#define NUDGES 3
/* How often, and down to which share of the accuracy, parallels are laid again for a narrow valley. */
#define SHARPENINGS 2
#define MOST_SHARP 0.05

/* One seam piece with its parallel. */
typedef struct Side
{
  const GeomCubic *seam;
  int edge;
  double allowance_mm;
  GeomPoint in, out;    /* unit tangents at start and end */
  GeomPoint start, end; /* of its parallel, without what the joints add */
  size_t first, count;  /* its parallel */
  bool line, folds;
  double error_mm; /* of the parallel */
  double share;    /* of the accuracy that the parallel may use */
} Side;

typedef enum JointKind
{
  JOINT_SNAP,   /* the ends are one point */
  JOINT_MITRE,  /* extensions meet */
  JOINT_BLUNT,  /* extensions stop at the mitre limit */
  JOINT_STEP,   /* straight across */
  JOINT_CROSS,  /* both are trimmed where they cross */
  JOINT_RAY_TO, /* the first is trimmed where the second's extension meets it */
  JOINT_RAY_ON  /* the second is trimmed where the first's extension meets it */
} JointKind;

typedef struct Joint
{
  JointKind kind;
  bool found;        /* for trims: the place is known */
  double t, u;       /* where the last piece of the first, the first piece of the second is trimmed */
  GeomPoint at, at2; /* the meeting point; a blunt end has two */
  GeomPoint seam;    /* the joint of the seam */
  double s1, s2;
} Joint;

#define FEW 48
typedef struct Work
{
  Side *side;
  Joint *joint; /* joint i: between side i and the next */
  size_t count;
  GeomPath parallel;
  Side few_sides[FEW];
  Joint few_joints[FEW];
  const GeomCutOptions *options;
  double snap_mm;
} Work;

static void *
taken (size_t count, size_t size)
{
  void *memory = calloc (count, size);

  if (memory == NULL)
    abort ();
  return memory;
}

static inline GeomPoint
unit_or_zero (GeomPoint v)
{
  double n2 = v.x * v.x + v.y * v.y;

  if (n2 > 1e-300 && n2 < 1e300)
  {
    double scale = 1.0 / sqrt (n2);

    return (GeomPoint) { v.x * scale, v.y * scale };
  }
  return geom_unit (v);
}

/* Only arms of no length need the careful answer. */
static GeomPoint
end_tangent (const GeomCubic *c, bool at_end)
{
  GeomPoint arm = at_end ? geom_sub (c->p[3], c->p[2]) : geom_sub (c->p[1], c->p[0]);
  GeomPoint chord = geom_sub (c->p[3], c->p[0]);

  if (geom_dot (arm, arm) > 1e-12 * geom_dot (chord, chord) && geom_dot (arm, arm) > 0.0)
    return unit_or_zero (arm);
  return geom_cubic_tangent (c, at_end ? 1.0 : 0.0);
}

static bool
has_no_length (const GeomCubic *c)
{
  return geom_same_point (c->p[0], c->p[1]) && geom_same_point (c->p[0], c->p[2])
         && geom_same_point (c->p[0], c->p[3]);
}

/* ---- trimming ---- */

/* No direction of A is a direction of B: they cross at most once. */
static bool
cones_differ (const GeomCubic *a, const GeomCubic *b)
{
  int sign = 0;

  for (int i = 0; i < 3; i++)
    for (int k = 0; k < 3; k++)
    {
      double c = geom_cross (geom_sub (a->p[i + 1], a->p[i]), geom_sub (b->p[k + 1], b->p[k]));
      int now = c > 0.0 ? 1 : c < 0.0 ? -1 : 0;

      if (now == 0)
        continue;
      if (sign != 0 && now != sign)
        return false;
      sign = now;
    }
  return sign != 0;
}

/* Newton on A(t) = B(u) from *T, *U; the caller knows that there is at most one answer. */
static bool
cross_once (const GeomCubic *a, const GeomCubic *b, double *t, double *u, GeomPoint *at)
{
  double scale = 1.0 + fabs (a->p[0].x) + fabs (a->p[0].y);

  for (int i = 0; i < NEWTON_STEPS; i++)
  {
    GeomPoint pa = geom_cubic_at (a, *t), gap = geom_sub (geom_cubic_at (b, *u), pa);
    GeomPoint va = geom_cubic_velocity (a, *t), vb = geom_cubic_velocity (b, *u);
    double det = geom_cross (va, vb);

    if (fabs (gap.x) + fabs (gap.y) <= 1e-13 * scale)
    {
      *at = pa;
      return true;
    }
    if (!(fabs (det) > 0.0))
      return false;
    *t = fmin (fmax (*t + geom_cross (gap, vb) / det, 0.0), 1.0);
    *u = fmin (fmax (*u + geom_cross (gap, va) / det, 0.0), 1.0);
  }
  *at = geom_cubic_at (a, *t);
  return geom_distance (*at, geom_cubic_at (b, *u)) <= 1e-9 * scale;
}

static bool
cross_between (const GeomCubic *a, const GeomCubic *b, double *t, double *u, GeomPoint *at)
{
  GeomCrossing all[9];

  if (cones_differ (a, b))
    return cross_once (a, b, t, u, at);
  if (geom_cubic_crossings (a, b, 1e-9, all, 9) != 1)
    return false;
  *t = all[0].t;
  *u = all[0].u;
  *at = all[0].point;
  return true;
}

/* Where RAY first meets C; *ALONG and *T are guesses to start with. */
static bool
ray_meets (const GeomCubic *ray, const GeomCubic *c, double *along, double *t, GeomPoint *at)
{
  GeomCrossing all[9];
  int count, best = 0;

  if (cones_differ (ray, c))
    return cross_once (ray, c, along, t, at);
  count = geom_cubic_crossings (ray, c, 1e-9, all, 9);
  for (int i = 1; i < count; i++)
    if (all[i].t < all[best].t)
      best = i;
  if (count == 0)
    return false;
  *along = all[best].t;
  *t = all[best].u;
  *at = all[best].point;
  return true;
}

static double
inside (double share)
{
  return share > 0.0 ? fmin (share, 1.0) : 0.0;
}

static void
find_trim (const Work *work, const Side *a, const Side *b, Joint *joint)
{
  const GeomCubic *last = &work->parallel.piece[a->first + a->count - 1];
  const GeomCubic *first = &work->parallel.piece[b->first];
  double speed_a = 3.0 * geom_distance (last->p[2], last->p[3]),
         speed_b = 3.0 * geom_distance (first->p[0], first->p[1]);
  double reach = 2.0 * fmax (fabs (joint->s1), fabs (joint->s2)) + 1.0;

  joint->t = speed_a > 0.0 ? inside (1.0 + joint->s1 / speed_a) : 0.5;
  joint->u = speed_b > 0.0 ? inside (-joint->s2 / speed_b) : 0.5;
  if (joint->kind == JOINT_CROSS)
    joint->found = cross_between (last, first, &joint->t, &joint->u, &joint->at);
  else
  {
    bool to = joint->kind == JOINT_RAY_TO;
    GeomCubic ray = to ? geom_cubic_line (first->p[0], geom_along (first->p[0], -reach, b->in))
                       : geom_cubic_line (last->p[3], geom_along (last->p[3], reach, a->out));
    double along = inside ((to ? joint->s2 : joint->s1) / reach);

    joint->found = ray_meets (&ray, to ? last : first, &along, to ? &joint->t : &joint->u, &joint->at);
    /* A curve that bends away from the ray: no corner there, so square across as at 180 degrees. */
    if (!joint->found)
      joint->kind = JOINT_STEP;
  }
}

/* ---- joints ---- */

static Joint
joint_between (const Work *work, const Side *a, const Side *b)
{
  double d1 = a->allowance_mm, d2 = b->allowance_mm;
  double sine = geom_cross (a->out, b->in), cosine = geom_dot (a->out, b->in);
  double limit_mm = fmax (work->options->mitre_limit, 1.0) * fmax (fabs (d1), fabs (d2)), length;
  Joint joint = { .kind = JOINT_SNAP, .seam = a->seam->p[3] };
  GeomPoint v;

  joint.at = geom_mix (a->end, b->start, 0.5);
  if (geom_distance (a->end, b->start) <= work->snap_mm)
  {
    /* Copied pieces stay as they are. */
    if (fabs (d1) <= 0.0)
      joint.at = a->end;
    else if (fabs (d2) <= 0.0)
      joint.at = b->start;
    return joint;
  }
  if (fabs (sine) < PARALLEL_SINE)
  {
    /* Straight on: a step.  Straight back: outward the end of a spike, inward the bottom of a slit. */
    joint.kind = cosine > 0.0 ? JOINT_STEP : d1 + d2 > 0.0 ? JOINT_BLUNT : JOINT_CROSS;
    if (joint.kind == JOINT_BLUNT)
    {
      joint.at = geom_along (a->end, limit_mm, a->out);
      joint.at2 = geom_along (b->start, -limit_mm, b->in);
    }
    return joint;
  }
  joint.s1 = (d2 - d1 * cosine) / sine;
  joint.s2 = (d1 - d2 * cosine) / sine;
  v = geom_along (geom_scale (geom_right_of (a->out), d1), joint.s1, a->out);
  length = sqrt (geom_dot (v, v));
  joint.at = geom_add (joint.seam, v);
  if (fabs (joint.s1) <= work->snap_mm && fabs (joint.s2) <= work->snap_mm)
    return joint;
  if (joint.s1 < -1e-9 && joint.s2 < -1e-9)
    joint.kind = JOINT_CROSS;
  else if (length > limit_mm)
  {
    if (joint.s1 <= 0.0 || joint.s2 <= 0.0)
    {
      joint.kind = JOINT_STEP;
      return joint;
    }
    GeomPoint to = geom_scale (v, 1.0 / length);
    double e1 = (limit_mm - geom_dot (geom_sub (a->end, joint.seam), to)) / geom_dot (a->out, to);
    double e2 = (limit_mm - geom_dot (geom_sub (b->start, joint.seam), to)) / -geom_dot (b->in, to);

    joint.kind = JOINT_BLUNT;
    joint.at = geom_along (a->end, inside (e1 / joint.s1) * joint.s1, a->out);
    joint.at2 = geom_along (b->start, -inside (e2 / joint.s2) * joint.s2, b->in);
    return joint;
  }
  else if (joint.s1 < -1e-9)
    joint.kind = JOINT_RAY_TO;
  else if (joint.s2 < -1e-9)
    joint.kind = JOINT_RAY_ON;
  else
  {
    joint.kind = JOINT_MITRE;
    return joint;
  }
  return joint;
}

/* ---- laying the run ---- */

static void
push_line (GeomRun *run, GeomPoint a, GeomPoint b, int edge)
{
  if (!geom_same_point (a, b))
  {
    GeomCubic c = geom_cubic_line (a, b);

    geom_run_push (run, &c, edge);
  }
}

/* Lays side I with what leads to it from its first joint and from it into its last.  False: it was eaten up.
 */
static bool
lay_side (const Work *work, size_t i, GeomRun *run)
{
  const Side *side = &work->side[i];
  const Joint *before = &work->joint[(i + work->count - 1) % work->count], *after = &work->joint[i];
  GeomPoint start, end;
  double t0 = before->kind == JOINT_CROSS || before->kind == JOINT_RAY_ON ? before->u : 0.0;
  double t1 = after->kind == JOINT_CROSS || after->kind == JOINT_RAY_TO ? after->t : 1.0;

  if (side->count == 1 && !(t1 > t0))
    return false;
  for (size_t k = 0; k < side->count; k++)
  {
    GeomCubic c = work->parallel.piece[side->first + k];
    bool is_first = k == 0, is_last = k + 1 == side->count;
    bool moved_start = is_first && before->kind != JOINT_STEP,
         moved_end = is_last && after->kind != JOINT_STEP;

    start = c.p[0];
    end = c.p[3];
    if (moved_start)
      start = before->kind == JOINT_BLUNT ? before->at2 : before->at;
    if (moved_end)
      end = after->at;
    moved_start = moved_start && !geom_same_point (start, c.p[0]);
    moved_end = moved_end && !geom_same_point (end, c.p[3]);
    if (side->line && (moved_start || moved_end))
    {
      push_line (run, start, end, side->edge);
      continue;
    }
    if (is_first && moved_start
        && (before->kind == JOINT_MITRE || before->kind == JOINT_BLUNT || before->kind == JOINT_RAY_TO))
    {
      push_line (run, start, c.p[0], side->edge);
      moved_start = false;
    }
    if ((is_first && t0 > 0.0) || (is_last && t1 < 1.0))
      c = geom_cubic_part (&c, is_first ? t0 : 0.0, is_last ? t1 : 1.0);
    if (moved_start)
      c.p[0] = start;
    if (is_last && moved_end
        && (after->kind == JOINT_MITRE || after->kind == JOINT_BLUNT || after->kind == JOINT_RAY_ON))
    {
      geom_run_push (run, &c, side->edge);
      push_line (run, c.p[3], end, side->edge);
      continue;
    }
    if (moved_end)
      c.p[3] = end;
    geom_run_push (run, &c, side->edge);
  }
  return true;
}

/* The quick way: every joint's answer is used.  False: the slow way must decide. */
static bool
lay_joined (const Work *work, GeomRun *run)
{
  for (size_t i = 0; i < work->count; i++)
  {
    const Joint *after = &work->joint[i];
    bool trims = after->kind == JOINT_CROSS || after->kind == JOINT_RAY_TO || after->kind == JOINT_RAY_ON;

    if (work->side[i].folds || (trims && !after->found) || !lay_side (work, i, run))
      return false;
    if (after->kind == JOINT_BLUNT)
      push_line (run, after->at, after->at2, GEOM_RUN_NO_EDGE);
    else if (after->kind == JOINT_STEP && run->count > 0)
      push_line (run, run->piece[run->count - 1].p[3],
                 work->parallel.piece[work->side[(i + 1) % work->count].first].p[0], GEOM_RUN_NO_EDGE);
  }
  return run->count > 0;
}

/* The slow way: whole parallels, joined so that what is too much lies in loops that wind wrongly.  An inner
 * corner goes by way of the seam's corner: the whole wedge there lies within the allowance. */
static void
lay_raw (const Work *work, GeomRun *run)
{
  for (size_t i = 0; i < work->count; i++)
  {
    const Side *side = &work->side[i], *next = &work->side[(i + 1) % work->count];
    const Joint *after = &work->joint[i];
    const Joint *before = &work->joint[(i + work->count - 1) % work->count];
    GeomPoint end, begin = work->parallel.piece[next->first].p[0];

    for (size_t k = 0; k < side->count; k++)
    {
      GeomCubic c = work->parallel.piece[side->first + k];

      if (k == 0 && before->kind == JOINT_SNAP)
        c.p[0] = before->at;
      if (k + 1 == side->count && after->kind == JOINT_SNAP)
        c.p[3] = after->at;
      geom_run_push (run, &c, side->edge);
    }
    end = run->piece[run->count - 1].p[3];
    switch (after->kind)
    {
    case JOINT_SNAP:
      break;
    case JOINT_STEP:
      push_line (run, end, begin, GEOM_RUN_NO_EDGE);
      break;
    case JOINT_MITRE:
      push_line (run, end, after->at, side->edge);
      push_line (run, after->at, begin, next->edge);
      break;
    case JOINT_BLUNT:
      push_line (run, end, after->at, side->edge);
      push_line (run, after->at, after->at2, GEOM_RUN_NO_EDGE);
      push_line (run, after->at2, begin, next->edge);
      break;
    case JOINT_CROSS:
      push_line (run, end, after->seam, GEOM_RUN_NO_EDGE);
      push_line (run, after->seam, begin, GEOM_RUN_NO_EDGE);
      break;
    case JOINT_RAY_TO:
      if (after->found)
      {
        /* Past the meeting point, so that they cross and do not just touch. */
        GeomPoint past = geom_along (after->at, -1.0 - 0.1 * fabs (after->s2), next->in);

        push_line (run, end, past, GEOM_RUN_NO_EDGE);
        push_line (run, past, begin, next->edge);
      }
      else
        push_line (run, end, begin, GEOM_RUN_NO_EDGE);
      break;
    case JOINT_RAY_ON:
      if (after->found)
      {
        GeomPoint past = geom_along (after->at, 1.0 + 0.1 * fabs (after->s1), side->out);

        push_line (run, end, past, side->edge);
        push_line (run, past, begin, GEOM_RUN_NO_EDGE);
      }
      else
        push_line (run, end, begin, GEOM_RUN_NO_EDGE);
      break;
    }
  }
}

/* ---- what inward allowances may keep ---- */

typedef struct Judge
{
  const Work *work;
  const GeomPath *seam;
  const GeomCutEdge *edge;
  double slack_mm;
  bool all_inward;
} Judge;

/* An outline turned inside out winds like a sound one (a square inset past its middle), so inward parts must
 * also keep their distance. */
static bool
keeps_distance (GeomPoint p, int edge, void *user)
{
  const Judge *judge = user;

  /* Beside a corner of unequal allowances the smaller one may come nearer than the larger. */
  for (size_t i = 0; i < judge->work->count && edge >= 0 && judge->edge[edge].allowance_mm < 0.0; i++)
  {
    const Side *side = &judge->work->side[i];
    double need = -fmax (side->allowance_mm, judge->edge[edge].allowance_mm) - judge->slack_mm;

    if (side->allowance_mm < 0.0 && geom_box_distance (geom_cubic_hull_box (side->seam), p) < need
        && geom_cubic_nearest (side->seam, p).distance_mm < need)
      return false;
  }
  return !judge->all_inward || geom_path_winding (judge->seam, p) > 0;
}

/* ---- the work ---- */

/* How far a joint takes the curve at its end on straight, when a single cubic might do for both: a lead much
 * longer than the curve bends away from it is better a line. */
static double
lead_for (
  const Joint *joint, GeomPoint from, GeomPoint to, GeomPoint arm, GeomPoint next_arm, double accuracy_mm)
{
  double length = geom_distance (from, to), arm2 = geom_dot (arm, arm);
  double bend = fabs (geom_cross (arm, next_arm)) * (2.0 / 3.0) / (arm2 * sqrt (arm2));

  if ((joint->kind != JOINT_MITRE && joint->kind != JOINT_BLUNT)
      || !(bend * length * length <= LEAD_BEND * accuracy_mm))
    return 0.0;
  return length;
}

/* Lays the parallel of side I: with its leads in one piece when that can be. */
static void
lay_parallel (Work *work, size_t i)
{
  Side *side = &work->side[i];
  const Joint *before = &work->joint[(i + work->count - 1) % work->count], *after = &work->joint[i];
  const GeomPoint *p = side->seam->p;
  double accuracy_mm = side->share * work->options->accuracy_mm, lead = 0.0, tail = 0.0;
  GeomPoint start = before->kind == JOINT_BLUNT ? before->at2 : before->at;
  GeomOffsetFacts facts = { false, 0.0 };
  GeomCubic whole;

  side->first = work->parallel.count;
  if (!side->line && fabs (side->allowance_mm) > 0.0)
  {
    lead = lead_for (before, start, side->start, geom_sub (p[1], p[0]), geom_sub (p[2], p[1]), accuracy_mm);
    tail = lead_for (after, side->end, after->at, geom_sub (p[3], p[2]), geom_sub (p[2], p[1]), accuracy_mm);
  }
  if (lead + tail > 0.0
      && geom_offset_cubic_with_leads (side->seam, side->allowance_mm, accuracy_mm, lead, tail, &whole,
                                       &facts.error_mm))
  {
    if (lead > 0.0)
      whole.p[0] = start;
    if (tail > 0.0)
      whole.p[3] = after->at;
    geom_path_append (&work->parallel, &whole);
  }
  else
    facts = geom_offset_cubic_facts (side->seam, side->allowance_mm, accuracy_mm, true, &work->parallel);
  side->folds = facts.folds;
  side->error_mm = facts.error_mm;
  side->count = work->parallel.count - side->first;
}

static void
lay_parallels (Work *work, const GeomPath *seam, const GeomCutEdge *edges, size_t edge_count, double nudge_mm)
{
  size_t n = 0;

  geom_path_reset (&work->parallel);
  for (size_t e = 0; e < edge_count; e++)
    for (size_t k = 0; k < edges[e].piece_count; k++)
    {
      size_t piece = edges[e].first_piece + k;
      Side *side = &work->side[n];

      if (piece >= seam->count || n >= seam->count || has_no_length (&seam->piece[piece]))
        continue;
      side->seam = &seam->piece[piece];
      side->edge = (int)e;
      side->allowance_mm = edges[e].allowance_mm;
      if (fabs (side->allowance_mm) > 0.0)
        side->allowance_mm += nudge_mm;
      side->in = end_tangent (side->seam, false);
      side->out = end_tangent (side->seam, true);
      side->start = geom_along (side->seam->p[0], side->allowance_mm, geom_right_of (side->in));
      side->end = geom_along (side->seam->p[3], side->allowance_mm, geom_right_of (side->out));
      side->line = geom_offset_is_line (side->seam);
      n++;
    }
  work->count = n;
  for (size_t i = 0; i < n; i++)
    work->joint[i] = joint_between (work, &work->side[i], &work->side[(i + 1) % n]);
  for (size_t i = 0; i < n; i++)
    lay_parallel (work, i);
  for (size_t i = 0; i < n; i++)
    if (work->joint[i].kind == JOINT_CROSS || work->joint[i].kind == JOINT_RAY_TO
        || work->joint[i].kind == JOINT_RAY_ON)
      find_trim (work, &work->side[i], &work->side[(i + 1) % n], &work->joint[i]);
}

/* The cut begins where edge 0's, or the first that is left, begins. */
static size_t
beginning (const GeomRun *run)
{
  int lowest = -1;

  for (size_t i = 0; i < run->count; i++)
    if (run->edge[i] >= 0 && (lowest < 0 || run->edge[i] < lowest))
      lowest = run->edge[i];
  for (size_t i = 0; i < run->count; i++)
    if (run->edge[i] == lowest && run->edge[(i + run->count - 1) % run->count] != lowest)
      return i;
  return 0;
}

static double
piece_length (const GeomCubic *c)
{
  if (geom_offset_is_line (c))
    return geom_distance (c->p[0], c->p[3]);
  return geom_cubic_length (c, LENGTH_MM);
}

static void
hand_over (const GeomRun *run, GeomPath *cut, GeomCutSpan *spans, size_t edge_count)
{
  size_t start = beginning (run);
  GeomPlace last = { 0, 0.0 };

  geom_path_reset (cut);
  cut->closed = true;
  for (size_t e = 0; spans != NULL && e < edge_count; e++)
    spans[e] = (GeomCutSpan) { { 0, -1.0 }, { 0, 0.0 }, 0.0 };
  for (size_t n = 0; n < run->count; n++)
  {
    size_t i = (start + n) % run->count;
    int edge = run->edge[i];

    geom_path_append (cut, &run->piece[i]);
    if (spans == NULL || edge < 0)
      continue;
    if (spans[edge].from.t < 0.0)
      spans[edge].from = (GeomPlace) { n, 0.0 };
    spans[edge].to = (GeomPlace) { n, 1.0 };
    spans[edge].length_mm += piece_length (&run->piece[i]);
  }
  /* A vanished edge lies where its forerunner ends. */
  for (size_t e = 0; spans != NULL && e < edge_count; e++)
    if (spans[e].from.t < 0.0)
      spans[e].from = spans[e].to = last;
    else
      last = spans[e].to;
}

static bool
seam_crosses (const GeomPath *seam)
{
  GeomSelfCrossing one;

  return geom_run_may_cross (seam->piece, seam->count) && geom_path_self_crossings (seam, 1e-6, &one, 1) > 0;
}

/* Two parallels that cross in a narrow valley move its bottom by more than they err themselves.  Asks the
 * sides for more accuracy where that is too much; true when any was asked. */
static bool
sharpen (Work *work, const GeomRun *run)
{
  bool asked = false;

  for (size_t i = 0; i < run->count; i++)
  {
    size_t next = (i + 1) % run->count;
    GeomPoint in = end_tangent (&run->piece[i], true), out = end_tangent (&run->piece[next], false);
    double share;

    if (geom_cross (in, out) >= 0.0)
      continue;
    share = sqrt (fmax (0.5 + 0.5 * geom_dot (in, out), MOST_SHARP * MOST_SHARP));
    for (size_t k = 0; k < work->count; k++)
    {
      Side *side = &work->side[k];

      if ((side->edge == run->edge[i] || side->edge == run->edge[next]) && share < side->share
          && side->error_mm > share * work->options->accuracy_mm)
      {
        side->share = share;
        asked = true;
      }
    }
  }
  return asked;
}

typedef struct Kind
{
  bool inward, outward; /* any allowance < 0, any >= 0 */
  bool sound;           /* the seam is simple and counter-clockwise */
} Kind;

/* 1: *RUN is the cut; 0: nothing is left; -1: *RUN is laid but its loops could not be taken out. */
static int
lay (Work *work, const GeomPath *seam, const GeomCutEdge *edges, size_t edge_count, Kind kind, GeomRun *run)
{
  GeomRun raw;
  int done = -1;

  geom_run_clear (run);
  lay_parallels (work, seam, edges, edge_count, 0.0);
  if (work->count == 0)
    return 0;
  if (lay_joined (work, run) && (!kind.sound || !geom_run_may_cross (run->piece, run->count)))
    return kind.sound ? 1 : -1;
  geom_run_init (&raw);
  for (int nudge = 0; kind.sound && nudge <= NUDGES && done < 0; nudge++)
  {
    Judge judge = { work, seam, edges, 2.0 * work->options->accuracy_mm, kind.inward && !kind.outward };

    if (nudge > 0)
      lay_parallels (work, seam, edges, edge_count, nudge * NUDGE_MM);
    geom_run_clear (&raw);
    geom_run_clear (run);
    lay_raw (work, &raw);
    done = geom_run_clean (&raw, kind.inward ? keeps_distance : NULL, &judge, run);
  }
  geom_run_clear (&raw);
  if (done == 0 && !kind.inward)
    done = -1;
  if (done < 0)
  {
    geom_run_clear (run);
    lay_raw (work, run);
  }
  return done;
}

GeomCutResult
geom_cut_outline (const GeomPath *seam,
                  const GeomCutEdge *edges,
                  size_t edge_count,
                  const GeomCutOptions *options,
                  GeomPath *cut,
                  GeomCutSpan *spans)
{
  Work work;
  GeomRun run;
  Kind kind = { false, false, false };
  int done;

  geom_path_reset (cut);
  cut->closed = true;
  for (size_t e = 0; spans != NULL && e < edge_count; e++)
    spans[e] = (GeomCutSpan) { { 0, 0.0 }, { 0, 0.0 }, 0.0 };
  if (seam->count == 0)
    return GEOM_CUT_EMPTY;
  for (size_t e = 0; e < edge_count; e++)
  {
    kind.inward |= edges[e].allowance_mm < 0.0;
    kind.outward |= edges[e].allowance_mm >= 0.0;
  }
  kind.sound = geom_path_area (seam) > 0.0 && !seam_crosses (seam);

  work.options = options;
  work.side = seam->count <= FEW ? work.few_sides : taken (seam->count, sizeof *work.side);
  work.joint = seam->count <= FEW ? work.few_joints : taken (seam->count, sizeof *work.joint);
  work.snap_mm = SNAP_SHARE * options->accuracy_mm;
  for (size_t i = 0; i < seam->count; i++)
    work.side[i].share = 1.0;
  geom_path_init (&work.parallel);
  /* One request for memory instead of several doublings. */
  work.parallel.room = 2 * seam->count + 8;
  work.parallel.piece = taken (work.parallel.room, sizeof *work.parallel.piece);
  geom_run_init (&run);

  done = lay (&work, seam, edges, edge_count, kind, &run);
  for (int again = 0; again < SHARPENINGS && done > 0 && sharpen (&work, &run); again++)
    done = lay (&work, seam, edges, edge_count, kind, &run);
  if (done != 0)
    hand_over (&run, cut, spans, edge_count);

  geom_run_clear (&run);
  geom_path_clear (&work.parallel);
  if (work.side != work.few_sides)
    free (work.side);
  if (work.joint != work.few_joints)
    free (work.joint);
  return done > 0 ? GEOM_CUT_OK : done == 0 ? GEOM_CUT_EMPTY : GEOM_CUT_UNTRIMMED;
}
