/* Loops of a closed run of pieces.
 *
 * A raw parallel runs past inner corners and turns over in tight hollows:
 *
 *        ──────────╮  ╭──────          winding 1 below the line, 0 above, 2 inside
 *                   ╲╱                 the small loop: only parts with 1 on the left
 *                   ╱╲                 and 0 on the right are boundary
 *                   ╰╯
 *
 * Everything is decided on the curves.  The cheap question "can it cross itself at all" comes first, since
 * nearly every outline of nearly every panel is answered by it.
 */
#include "geom/loops.h"

#include <stdlib.h>
#include <string.h>

/* Points nearer than this are one node of the arrangement. */
#define NODE_MM 1e-6
/* How far beside a part its two windings are asked for: well above NODE_MM, well below what can be cut. */
#define BESIDE_MM 1e-5
/* Halvings in the quick test; what it cannot divide by then is left to the slow one. */
#define QUICK_HALVINGS 5
#define RAY_HALVINGS 48

/* ---- the run ---- */

void
geom_run_init (GeomRun *run)
{
  run->piece = run->small_piece;
  run->edge = run->small_edge;
  run->count = 0;
  run->room = GEOM_RUN_SMALL;
}

void
geom_run_clear (GeomRun *run)
{
  if (run->piece != run->small_piece)
  {
    free (run->piece);
    free (run->edge);
  }
  geom_run_init (run);
}

static void *
grown (void *old, size_t size)
{
  void *bigger = realloc (old, size);

  if (bigger == NULL)
    abort ();
  return bigger;
}

void
geom_run_push (GeomRun *run, const GeomCubic *c, int edge)
{
  if (run->count == run->room)
  {
    size_t room = run->room * 2;

    if (run->piece == run->small_piece)
    {
      run->piece
        = memcpy (grown (NULL, room * sizeof *run->piece), run->small_piece, sizeof run->small_piece);
      run->edge = memcpy (grown (NULL, room * sizeof *run->edge), run->small_edge, sizeof run->small_edge);
    }
    else
    {
      run->piece = grown (run->piece, room * sizeof *run->piece);
      run->edge = grown (run->edge, room * sizeof *run->edge);
    }
    run->room = room;
  }
  run->piece[run->count] = *c;
  run->edge[run->count++] = edge;
}

/* ---- the quick test ---- */

static inline double
least (double a, double b)
{
  return a < b ? a : b;
}

static inline double
most (double a, double b)
{
  return a > b ? a : b;
}

static inline GeomBox
hull_box (const GeomCubic *c)
{
  return (GeomBox) { least (least (c->p[0].x, c->p[1].x), least (c->p[2].x, c->p[3].x)),
                     least (least (c->p[0].y, c->p[1].y), least (c->p[2].y, c->p[3].y)),
                     most (most (c->p[0].x, c->p[1].x), most (c->p[2].x, c->p[3].x)),
                     most (most (c->p[0].y, c->p[1].y), most (c->p[2].y, c->p[3].y)) };
}

static inline bool
boxes_meet (const GeomBox *a, const GeomBox *b)
{
  return a->x0 <= b->x1 && b->x0 <= a->x1 && a->y0 <= b->y1 && b->y0 <= a->y1;
}

/* All legs of the control polygon go along W: the curve moves on along it and cannot come back. */
static bool
goes_along (const GeomCubic *c, GeomPoint w)
{
  bool moves = false;

  for (int i = 0; i < 3; i++)
  {
    GeomPoint leg = geom_sub (c->p[i + 1], c->p[i]);
    double along = geom_dot (leg, w);

    if (along < 0.0 || (along <= 0.0 && geom_dot (leg, leg) > 0.0))
      return false;
    moves |= along > 0.0;
  }
  return moves;
}

/* The line through ORIGIN along W has A's points on its right or on it and B's on its left or on it, touching
 * each with no more than the point at the origin itself. */
static bool
line_divides (
  const GeomCubic *a, const GeomCubic *b, GeomPoint origin, GeomPoint w, int shared_a, int shared_b)
{
  for (int i = 0; i < 4; i++)
  {
    double side_a = geom_cross (w, geom_sub (a->p[i], origin));
    double side_b = geom_cross (w, geom_sub (b->p[i], origin));

    if (i != shared_a && !(side_a < 0.0))
      return false;
    if (i != shared_b && !(side_b > 0.0))
      return false;
  }
  return true;
}

static bool
normal_divides (const GeomCubic *a, const GeomCubic *b, GeomPoint w)
{
  double a0 = INFINITY, a1 = -INFINITY, b0 = INFINITY, b1 = -INFINITY;

  for (int i = 0; i < 4; i++)
  {
    double va = geom_cross (w, a->p[i]), vb = geom_cross (w, b->p[i]);

    a0 = least (a0, va);
    a1 = most (a1, va);
    b0 = least (b0, vb);
    b1 = most (b1, vb);
  }
  return a1 < b0 || b1 < a0;
}

static void
halve (const GeomCubic *c, GeomCubic *head, GeomCubic *tail)
{
  GeomPoint ab = geom_mix (c->p[0], c->p[1], 0.5), bc = geom_mix (c->p[1], c->p[2], 0.5);
  GeomPoint cd = geom_mix (c->p[2], c->p[3], 0.5);
  GeomPoint abc = geom_mix (ab, bc, 0.5), bcd = geom_mix (bc, cd, 0.5), mid = geom_mix (abc, bcd, 0.5);

  *head = (GeomCubic) { { c->p[0], ab, abc, mid } };
  *tail = (GeomCubic) { { mid, bcd, cd, c->p[3] } };
}

static bool
strangers_may_meet (const GeomCubic *a, const GeomCubic *b, int halvings)
{
  GeomBox box_a = hull_box (a), box_b = hull_box (b);
  GeomCubic half_a[2], half_b[2];

  if (!boxes_meet (&box_a, &box_b) || normal_divides (a, b, geom_sub (a->p[3], a->p[0]))
      || normal_divides (a, b, geom_sub (b->p[3], b->p[0])))
    return false;
  if (halvings <= 0)
    return true;
  halve (a, &half_a[0], &half_a[1]);
  halve (b, &half_b[0], &half_b[1]);
  for (int i = 0; i < 2; i++)
    for (int k = 0; k < 2; k++)
      if (strangers_may_meet (&half_a[i], &half_b[k], halvings - 1))
        return true;
  return false;
}

static GeomPoint
last_leg (const GeomCubic *c)
{
  for (int i = 2; i >= 0; i--)
  {
    GeomPoint leg = geom_sub (c->p[3], c->p[i]);

    if (geom_dot (leg, leg) > 0.0)
      return geom_scale (leg, 1.0 / sqrt (geom_dot (leg, leg)));
  }
  return geom_point (0.0, 0.0);
}

static GeomPoint
first_leg (const GeomCubic *c)
{
  for (int i = 1; i < 4; i++)
  {
    GeomPoint leg = geom_sub (c->p[i], c->p[0]);

    if (geom_dot (leg, leg) > 0.0)
      return geom_scale (leg, 1.0 / sqrt (geom_dot (leg, leg)));
  }
  return geom_point (0.0, 0.0);
}

/* A ends where B begins: can they meet a second time? */
static bool
neighbours_may_meet (const GeomCubic *a, const GeomCubic *b, int halvings)
{
  GeomPoint in = last_leg (a), out = first_leg (b), along = geom_add (in, out), bisector = geom_sub (out, in);
  GeomCubic half_a[2], half_b[2];

  if (goes_along (a, along) && goes_along (b, along))
    return false;
  along = geom_add (geom_sub (a->p[3], a->p[0]), geom_sub (b->p[3], b->p[0]));
  if (goes_along (a, along) && goes_along (b, along))
    return false;
  if (line_divides (a, b, b->p[0], bisector, 3, 0) || line_divides (b, a, b->p[0], bisector, 0, 3))
    return false;
  if (halvings <= 0)
    return true;
  halve (a, &half_a[0], &half_a[1]);
  halve (b, &half_b[0], &half_b[1]);
  return strangers_may_meet (&half_a[0], &half_b[0], halvings - 1)
         || strangers_may_meet (&half_a[0], &half_b[1], halvings - 1)
         || strangers_may_meet (&half_a[1], &half_b[1], halvings - 1)
         || neighbours_may_meet (&half_a[1], &half_b[0], halvings - 1);
}

static bool
may_loop (const GeomCubic *c)
{
  double t, u;

  return !goes_along (c, geom_sub (c->p[3], c->p[0]))
         && !goes_along (c, geom_add (first_leg (c), last_leg (c))) && geom_cubic_self_crossing (c, &t, &u);
}

bool
geom_run_may_cross (const GeomCubic *piece, size_t count)
{
  enum
  {
    SMALL = 128
  };
  GeomBox small[SMALL], *box = count <= SMALL ? small : grown (NULL, count * sizeof *box);
  bool may = false;

  for (size_t i = 0; i < count; i++)
    box[i] = hull_box (&piece[i]);
  for (size_t i = 0; i < count && !may; i++)
  {
    may = may_loop (&piece[i]);
    if (count > 2)
      may = may || neighbours_may_meet (&piece[i], &piece[(i + 1) % count], QUICK_HALVINGS);
    for (size_t k = i + 2; k < count && !may; k++)
      if (boxes_meet (&box[i], &box[k]) && !(i == 0 && k == count - 1))
        may = strangers_may_meet (&piece[i], &piece[k], QUICK_HALVINGS);
  }
  /* Two pieces are neighbours at both ends. */
  if (count == 2 && !may)
  {
    GeomCubic half_a[2], half_b[2];

    halve (&piece[0], &half_a[0], &half_a[1]);
    halve (&piece[1], &half_b[0], &half_b[1]);
    may = strangers_may_meet (&half_a[0], &half_b[0], QUICK_HALVINGS)
          || strangers_may_meet (&half_a[1], &half_b[1], QUICK_HALVINGS)
          || neighbours_may_meet (&half_a[1], &half_b[0], QUICK_HALVINGS)
          || neighbours_may_meet (&half_b[1], &half_a[0], QUICK_HALVINGS);
  }
  if (box != small)
    free (box);
  return may;
}

/* ---- winding ---- */

/* Signed crossings of the ray from P to the right by C.  Half-open in y, so that shared ends count once. */
static int
ray_crossings (const GeomCubic *c, GeomPoint p, int halvings)
{
  GeomBox box = hull_box (c);
  GeomCubic head, tail;
  bool below0 = c->p[0].y <= p.y, below1 = c->p[3].y <= p.y;

  if (p.y < box.y0 || p.y > box.y1 || p.x > box.x1)
    return 0;
  if (p.x < box.x0 || halvings <= 0)
    return below0 == below1 ? 0 : below0 ? 1 : -1;
  halve (c, &head, &tail);
  return ray_crossings (&head, p, halvings - 1) + ray_crossings (&tail, p, halvings - 1);
}

static int
run_winding (const GeomRun *run, const GeomBox *box, GeomPoint p)
{
  int winding = 0;

  for (size_t i = 0; i < run->count; i++)
    if (p.y >= box[i].y0 && p.y <= box[i].y1 && p.x <= box[i].x1)
      winding += ray_crossings (&run->piece[i], p, RAY_HALVINGS);
  return winding;
}

/* ---- cutting the run at its crossings ---- */

typedef struct Cut
{
  size_t piece;
  double t;
  GeomPoint at;
  size_t node;
} Cut;

typedef struct Cuts
{
  Cut *cut;
  size_t count, room;
} Cuts;

static void
push_cut (Cuts *cuts, size_t piece, double t, GeomPoint at)
{
  if (cuts->count == cuts->room)
  {
    cuts->room = cuts->room == 0 ? 64 : cuts->room * 2;
    cuts->cut = grown (cuts->cut, cuts->room * sizeof *cuts->cut);
  }
  cuts->cut[cuts->count++] = (Cut) { piece, t, at, 0 };
}

static bool
is_line (const GeomCubic *c)
{
  GeomPoint chord = geom_sub (c->p[3], c->p[0]);
  double slack = 1e-12 * geom_dot (chord, chord);
  GeomPoint third = geom_sub (c->p[1], geom_along (c->p[0], 1.0 / 3.0, chord));
  GeomPoint two_thirds = geom_sub (c->p[2], geom_along (c->p[0], 2.0 / 3.0, chord));

  return geom_dot (third, third) <= slack && geom_dot (two_thirds, two_thirds) <= slack;
}

/* Where two line pieces of even speed meet; the two ends where they run on one another. */
static int
line_crossings (const GeomCubic *a, const GeomCubic *b, GeomCrossing out[4])
{
  GeomPoint va = geom_sub (a->p[3], a->p[0]), vb = geom_sub (b->p[3], b->p[0]),
            between = geom_sub (b->p[0], a->p[0]);
  double la2 = geom_dot (va, va), lb2 = geom_dot (vb, vb), det = geom_cross (va, vb);
  int count = 0;

  if (!(la2 > 0.0) || !(lb2 > 0.0))
    return 0;
  if (fabs (det) > 1e-9 * sqrt (la2 * lb2))
  {
    double t = geom_cross (between, vb) / det, u = geom_cross (between, va) / det;
    double slack_t = NODE_MM / sqrt (la2), slack_u = NODE_MM / sqrt (lb2);

    if (t < -slack_t || t > 1.0 + slack_t || u < -slack_u || u > 1.0 + slack_u)
      return 0;
    t = least (most (t, 0.0), 1.0);
    u = least (most (u, 0.0), 1.0);
    out[0] = (GeomCrossing) { t, u, geom_along (a->p[0], t, va) };
    return 1;
  }
  if (fabs (geom_cross (between, va)) > NODE_MM * sqrt (la2))
    return 0;
  for (int end = 0; end < 2; end++)
  {
    double t = geom_dot (geom_sub (b->p[3 * end], a->p[0]), va) / la2;
    double u = geom_dot (geom_sub (a->p[3 * end], b->p[0]), vb) / lb2;

    if (t >= 0.0 && t <= 1.0)
      out[count++] = (GeomCrossing) { t, end, b->p[3 * end] };
    if (u >= 0.0 && u <= 1.0)
      out[count++] = (GeomCrossing) { end, u, a->p[3 * end] };
  }
  return count;
}

static void
cut_pair (const GeomRun *run, size_t i, size_t k, Cuts *cuts)
{
  enum
  {
    MOST = 16
  };
  GeomCrossing at[MOST];
  const GeomCubic *a = &run->piece[i], *b = &run->piece[k];
  int count;

  if (is_line (a) && is_line (b))
    count = line_crossings (a, b, at);
  else
    count = geom_cubic_crossings (a, b, NODE_MM * 0.1, at, MOST);
  for (int n = 0; n < count; n++)
  {
    push_cut (cuts, i, at[n].t, at[n].point);
    push_cut (cuts, k, at[n].u, at[n].point);
  }
}

typedef struct Place
{
  double low;
  size_t piece;
} Place;

static int
by_low (const void *a, const void *b)
{
  const Place *x = a, *y = b;

  if (x->low < y->low || x->low > y->low)
    return x->low < y->low ? -1 : 1;
  return x->piece < y->piece ? -1 : x->piece > y->piece;
}

/* Sweeps along x so that long traced outlines do not cost the square of their pieces. */
static void
find_cuts (const GeomRun *run, const GeomBox *box, Cuts *cuts)
{
  Place *order = grown (NULL, run->count * sizeof *order);

  for (size_t i = 0; i < run->count; i++)
    order[i] = (Place) { box[i].x0, i };
  qsort (order, run->count, sizeof *order, by_low);
  for (size_t n = 0; n < run->count; n++)
  {
    size_t i = order[n].piece;
    double t, u;

    for (size_t m = n + 1; m < run->count && order[m].low <= box[i].x1 + NODE_MM; m++)
    {
      size_t k = order[m].piece;

      if (box[i].y0 <= box[k].y1 + NODE_MM && box[k].y0 <= box[i].y1 + NODE_MM)
        cut_pair (run, i < k ? i : k, i < k ? k : i, cuts);
    }
    if (!goes_along (&run->piece[i], geom_sub (run->piece[i].p[3], run->piece[i].p[0]))
        && geom_cubic_self_crossing (&run->piece[i], &t, &u))
    {
      GeomPoint at = geom_cubic_at (&run->piece[i], t);

      push_cut (cuts, i, t, at);
      push_cut (cuts, i, u, at);
    }
  }
  free (order);
}

static int
by_x (const void *a, const void *b)
{
  const Cut *x = a, *y = b;

  if (x->at.x < y->at.x || x->at.x > y->at.x)
    return x->at.x < y->at.x ? -1 : 1;
  return x->piece < y->piece ? -1 : x->piece > y->piece;
}

static int
by_piece (const void *a, const void *b)
{
  const Cut *x = a, *y = b;

  if (x->piece != y->piece)
    return x->piece < y->piece ? -1 : 1;
  return x->t < y->t ? -1 : x->t > y->t;
}

/* Gives cuts at one place one node; the node's point is that of its first cut in x.  Returns the number of
 * nodes. */
static size_t
name_nodes (Cuts *cuts)
{
  size_t nodes = 0, oldest = 0;

  qsort (cuts->cut, cuts->count, sizeof *cuts->cut, by_x);
  for (size_t i = 0; i < cuts->count; i++)
  {
    Cut *cut = &cuts->cut[i];
    bool known = false;

    while (cuts->cut[oldest].at.x < cut->at.x - 4.0 * NODE_MM)
      oldest++;
    for (size_t k = oldest; k < i && !known; k++)
      if (geom_distance (cuts->cut[k].at, cut->at) <= 2.0 * NODE_MM)
      {
        cut->node = cuts->cut[k].node;
        cut->at = geom_point (cut->at.x, cut->at.y);
        known = true;
      }
    if (!known)
      cut->node = nodes++;
  }
  return nodes;
}

/* A stretch of the run between two nodes where it meets itself: parts FIRST .. FIRST + COUNT - 1, round the
 * end. */
typedef struct Part
{
  GeomCubic c;
  size_t piece;
  double t0, t1;
  size_t from, to;
} Part;

typedef struct Chain
{
  size_t first, count, from, to;
  bool kept, used;
} Chain;

/* Parts between successive cuts.  Every piece has cuts at both its ends, so this covers the run. */
static size_t
make_parts (const GeomRun *run, const Cuts *cuts, const GeomPoint *node_at, Part *part)
{
  size_t count = 0;

  for (size_t i = 0; i + 1 < cuts->count; i++)
  {
    const Cut *a = &cuts->cut[i], *b = &cuts->cut[i + 1];
    Part *p = &part[count];

    if (a->piece != b->piece || !(b->t > a->t))
      continue;
    p->c
      = a->t > 0.0 || b->t < 1.0 ? geom_cubic_part (&run->piece[a->piece], a->t, b->t) : run->piece[a->piece];
    if (a->node == b->node)
    {
      GeomBox box = hull_box (&p->c);

      if (most (box.x1 - box.x0, box.y1 - box.y0) < 8.0 * NODE_MM)
        continue;
    }
    /* A node is one point: all its parts end there exactly. */
    p->c.p[0] = node_at[a->node];
    p->c.p[3] = node_at[b->node];
    p->piece = a->piece;
    p->t0 = a->t;
    p->t1 = b->t;
    p->from = a->node;
    p->to = b->node;
    count++;
  }
  return count;
}

static bool
chain_is_boundary (const GeomRun *run,
                   const GeomBox *box,
                   const Part *part,
                   size_t part_count,
                   const Chain *chain,
                   GeomRunKeep keep,
                   void *user)
{
  const Part *longest = NULL;
  double length = -1.0;
  GeomPoint at, tangent, side;

  for (size_t i = 0; i < chain->count; i++)
  {
    const Part *p = &part[(chain->first + i) % part_count];
    double l = geom_distance (p->c.p[0], p->c.p[1]) + geom_distance (p->c.p[1], p->c.p[2])
               + geom_distance (p->c.p[2], p->c.p[3]);

    if (l > length)
    {
      length = l;
      longest = p;
    }
  }
  if (longest == NULL)
    return false;
  at = geom_cubic_at (&longest->c, 0.5);
  tangent = geom_unit (geom_cubic_velocity (&longest->c, 0.5));
  if (geom_dot (tangent, tangent) < 0.5)
    tangent = geom_unit (geom_sub (longest->c.p[3], longest->c.p[0]));
  side = geom_scale (geom_left_of (tangent), least (BESIDE_MM, 0.05 * length));
  if (run_winding (run, box, geom_add (at, side)) < 1 || run_winding (run, box, geom_sub (at, side)) > 0)
    return false;
  return keep == NULL || keep (at, run->edge[longest->piece], user);
}

/* How far to the left OUT turns from IN, -pi..pi. */
static double
turn_between (const GeomCubic *in, const GeomCubic *out)
{
  GeomPoint a = last_leg (in), b = first_leg (out);

  return atan2 (geom_cross (a, b), geom_dot (a, b));
}

/* Follows kept chains from START until they close; LOOP gets their indices.  At a node with a choice: the
 * sharpest turn to the left, which keeps loops that touch apart.  Returns the number of chains, 0 when they
 * do not close. */
static size_t
follow (Chain *chain, size_t chain_count, const Part *part, size_t part_count, size_t start, size_t *loop)
{
  size_t count = 0, now = start;

  while (count <= chain_count)
  {
    const Part *end = &part[(chain[now].first + chain[now].count - 1) % part_count];
    size_t next = chain_count;
    double best = -INFINITY;

    chain[now].used = true;
    loop[count++] = now;
    if (chain[now].to == chain[start].from)
      return count;
    for (size_t k = 0; k < chain_count; k++)
      if (chain[k].kept && !chain[k].used && chain[k].from == chain[now].to)
      {
        double turn = turn_between (&end->c, &part[chain[k].first].c);

        if (turn > best)
        {
          best = turn;
          next = k;
        }
      }
    if (next == chain_count)
      return 0;
    now = next;
  }
  return 0;
}

static void
push_loop (const GeomRun *raw,
           const Chain *chain,
           const Part *part,
           size_t part_count,
           const size_t *loop,
           size_t count,
           GeomRun *out)
{
  const Part *open = NULL;
  double t0 = 0.0;

  for (size_t i = 0; i < count; i++)
    for (size_t k = 0; k < chain[loop[i]].count; k++)
    {
      const Part *p = &part[(chain[loop[i]].first + k) % part_count];

      /* What a dropped crossing cut in two is one piece again. */
      if (open != NULL && open->piece == p->piece && fabs (open->t1 - p->t0) <= 0.0)
      {
        GeomCubic whole = geom_cubic_part (&raw->piece[p->piece], t0, p->t1);

        whole.p[0] = out->piece[out->count - 1].p[0];
        whole.p[3] = p->c.p[3];
        out->piece[out->count - 1] = t0 <= 0.0 && p->t1 >= 1.0 ? raw->piece[p->piece] : whole;
        out->piece[out->count - 1].p[0] = whole.p[0];
        out->piece[out->count - 1].p[3] = whole.p[3];
      }
      else
      {
        geom_run_push (out, &p->c, raw->edge[p->piece]);
        t0 = p->t0;
      }
      open = p;
    }
}

static double
loop_area (const Chain *chain, const Part *part, size_t part_count, const size_t *loop, size_t count)
{
  double area = 0.0;

  for (size_t i = 0; i < count; i++)
    for (size_t k = 0; k < chain[loop[i]].count; k++)
      area += geom_cubic_area_term (&part[(chain[loop[i]].first + k) % part_count].c);
  return area;
}

int
geom_run_clean (const GeomRun *raw, GeomRunKeep keep, void *user, GeomRun *out)
{
  GeomBox *box = grown (NULL, (raw->count + 1) * sizeof *box);
  Cuts cuts = { 0 };
  size_t nodes, part_count, chain_count = 0, *degree, *loop, *best_loop, best_count = 0, start;
  GeomPoint *node_at;
  Part *part;
  Chain *chain;
  double best_area = 0.0;
  bool any_kept = false;

  for (size_t i = 0; i < raw->count; i++)
    box[i] = hull_box (&raw->piece[i]);
  find_cuts (raw, box, &cuts);
  for (size_t i = 0; i < raw->count; i++)
  {
    push_cut (&cuts, i, 0.0, raw->piece[i].p[0]);
    push_cut (&cuts, i, 1.0, raw->piece[i].p[3]);
  }
  nodes = name_nodes (&cuts);
  node_at = grown (NULL, (nodes + 1) * sizeof *node_at);
  degree = grown (NULL, (nodes + 1) * sizeof *degree);
  for (size_t i = cuts.count; i-- > 0;)
    node_at[cuts.cut[i].node] = cuts.cut[i].at;
  qsort (cuts.cut, cuts.count, sizeof *cuts.cut, by_piece);
  part = grown (NULL, (cuts.count + 1) * sizeof *part);
  part_count = make_parts (raw, &cuts, node_at, part);
  chain = grown (NULL, (part_count + 1) * sizeof *chain);
  loop = grown (NULL, (part_count + 2) * sizeof *loop);
  best_loop = grown (NULL, (part_count + 2) * sizeof *best_loop);

  memset (degree, 0, (nodes + 1) * sizeof *degree);
  for (size_t i = 0; i < part_count; i++)
  {
    degree[part[i].from]++;
    degree[part[i].to]++;
  }
  /* Chains run from one node that more than two parts use to the next; begin at such a node. */
  for (start = 0; start < part_count && degree[part[start].from] == 2; start++)
    continue;
  if (start == part_count)
    start = 0;
  for (size_t n = 0; n < part_count; n++)
  {
    size_t i = (start + n) % part_count;

    if (n == 0 || degree[part[i].from] != 2 || chain[chain_count - 1].to != part[i].from)
      chain[chain_count++] = (Chain) { i, 0, part[i].from, part[i].to, false, false };
    chain[chain_count - 1].count++;
    chain[chain_count - 1].to = part[i].to;
  }
  for (size_t i = 0; i < chain_count; i++)
  {
    chain[i].kept = chain_is_boundary (raw, box, part, part_count, &chain[i], keep, user);
    any_kept |= chain[i].kept;
  }
  for (size_t i = 0; i < chain_count; i++)
    if (chain[i].kept && !chain[i].used)
    {
      size_t count = follow (chain, chain_count, part, part_count, i, loop);
      double area = count == 0 ? 0.0 : loop_area (chain, part, part_count, loop, count);

      if (area > best_area)
      {
        best_area = area;
        best_count = count;
        memcpy (best_loop, loop, count * sizeof *loop);
      }
    }
  if (best_count > 0)
    push_loop (raw, chain, part, part_count, best_loop, best_count, out);
  free (box);
  free (cuts.cut);
  free (node_at);
  free (degree);
  free (part);
  free (chain);
  free (loop);
  free (best_loop);
  return best_count > 0 ? 1 : any_kept ? -1 : 0;
}
