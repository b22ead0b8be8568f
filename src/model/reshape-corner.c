/* Corners rounded, cut off, made and taken away.
 *
 *      before          An arc of radius r that touches both curves has its centre at distance r from both, on
 *   ────────P .  N     the side they turn to: where their parallels meet.  That is looked for on chords of
 *            '-.       the parallels, from the corner on, and then made exact by Newton steps on the curves
 *               Q      themselves.
 *               │ after
 */
#include "model/format.h"
#include "model/reshape-work.h"

/* Chords a curved piece when looking for the centre, and how many there may be on each side. */
#define CHORDS 24
#define MOST_CHORDS 3000
#define NEWTON_ROUNDS 40
/* Both tangent points are as near to the radius from the centre as this, a part of it. */
#define CENTRE_REACHED 1e-10
/* Less of a turn is no bend, as near as this to a half turn is a fold back. */
#define LEAST_TURN_RAD 1e-6
/* A piece counts as a circle's arc if its angles and handles are one's to within this part. */
#define IS_ARC 1e-6
#define SAME_RADIUS 1e-6

/* The two curves that meet at a node, in one shape. */
typedef struct Bend
{
  GArray *before, *after; /* ReshapePiece, both in the outline's direction */
} Bend;

/* A place on pieces: PIECE and T. */
typedef struct Spot
{
  guint piece;
  double t;
  GeomPoint at, tangent;
} Spot;

static ReshapePiece *
at (const GArray *pieces, guint index)
{
  return &g_array_index (pieces, ReshapePiece, index);
}

static GArray *
slice (const GArray *pieces, guint from, guint to)
{
  GArray *part = g_array_new (FALSE, TRUE, sizeof (ReshapePiece));

  if (to > from)
    g_array_append_vals (part, at (pieces, from), to - from);
  return part;
}

static void
append_all (GArray *to, const GArray *from)
{
  if (from->len > 0)
    g_array_append_vals (to, from->data, from->len);
}

static void
bend_clear (Bend *bend)
{
  g_clear_pointer (&bend->before, g_array_unref);
  g_clear_pointer (&bend->after, g_array_unref);
}

/* ---- rounded already? ---- */

/* Whether C is drawn as the arc of a circle. */
static bool
piece_is_arc (const ReshapePiece *piece, double *radius, double *turn)
{
  GeomPoint u = geom_cubic_tangent (&piece->c, 0.0), v = geom_cubic_tangent (&piece->c, 1.0);
  GeomPoint chord = geom_sub (piece->c.p[3], piece->c.p[0]);
  double into = reshape_turn (u, chord), out = reshape_turn (chord, v), handle;

  if (piece->straight || fabs (into - out) > IS_ARC || fabs (into) < LEAST_TURN_RAD)
    return false;
  *turn = into + out;
  *radius = geom_norm (chord) / (2.0 * sin (0.5 * fabs (*turn)));
  handle = (4.0 / 3.0) * tan (0.25 * fabs (*turn)) * *radius;
  return fabs (geom_distance (piece->c.p[0], piece->c.p[1]) - handle) <= IS_ARC * handle
         && fabs (geom_distance (piece->c.p[3], piece->c.p[2]) - handle) <= IS_ARC * handle;
}

static bool
same_radius (double a, double b)
{
  return fabs (a - b) <= SAME_RADIUS * MAX (a, b);
}

/* How many pieces right before and right after the bend are one circle's arc; 0: it is not rounded. */
static guint
count_arc (const Bend *bend, double *radius, double *turn)
{
  guint count = 0, most = MIN (bend->before->len, bend->after->len);
  double r, w;

  *turn = 0.0;
  for (; count < most; count++)
  {
    double here[2], by[2];

    if (!piece_is_arc (at (bend->before, bend->before->len - 1 - count), &here[0], &by[0])
        || !piece_is_arc (at (bend->after, count), &here[1], &by[1]))
      break;
    r = count == 0 ? here[0] : *radius;
    w = count == 0 ? by[0] : *turn;
    if (!same_radius (here[0], r) || !same_radius (here[1], r) || by[0] * w <= 0.0 || by[1] * w <= 0.0)
      break;
    *radius = r;
    *turn += by[0] + by[1];
  }
  if (count > 0)
  {
    GeomPoint u = geom_cubic_tangent (&at (bend->before, bend->before->len - 1)->c, 1.0),
              v = geom_cubic_tangent (&at (bend->after, 0)->c, 0.0);

    if (fabs (reshape_turn (u, v)) > IS_ARC)
      return 0;
  }
  return count;
}

/* Takes the rounding away: both curves run on straight to where they meet.  False: they do not. */
static bool
sharpen (Bend *bend, guint count)
{
  GeomCubic in = at (bend->before, bend->before->len - count)->c, out = at (bend->after, count - 1)->c;
  GeomPoint p = in.p[0], q = out.p[3], u = geom_cubic_tangent (&in, 0.0), v = geom_cubic_tangent (&out, 1.0),
            meet;
  ReshapePiece line;

  if (!geom_line_meet (p, geom_add (p, u), q, geom_add (q, v), &meet)
      || geom_dot (geom_sub (meet, p), u) <= 0.0 || geom_dot (geom_sub (q, meet), v) <= 0.0)
    return false;
  line = reshape_line (p, meet);
  line.id = at (bend->before, bend->before->len - count)->id;
  g_array_set_size (bend->before, bend->before->len - count);
  if (bend->before->len > 0 && at (bend->before, bend->before->len - 1)->straight
      && fabs (geom_cross (geom_cubic_tangent (&at (bend->before, bend->before->len - 1)->c, 1.0), u))
           <= RESHAPE_IN_LINE)
  {
    ReshapePiece *last = at (bend->before, bend->before->len - 1);

    last->c = geom_cubic_line (last->c.p[0], meet);
  }
  else
    g_array_append_val (bend->before, line);
  g_array_remove_range (bend->after, 0, count);
  line = reshape_line (meet, q);
  if (bend->after->len > 0 && at (bend->after, 0)->straight
      && fabs (geom_cross (geom_cubic_tangent (&at (bend->after, 0)->c, 0.0), v)) <= RESHAPE_IN_LINE)
  {
    ReshapePiece *first = at (bend->after, 0);

    first->c = geom_cubic_line (meet, first->c.p[3]);
  }
  else
    g_array_prepend_val (bend->after, line);
  return true;
}

/* ---- the touching arc ---- */

static GeomPoint
beside (const GeomCubic *c, double t, double left_mm)
{
  return geom_along (geom_cubic_at (c, t), left_mm, geom_left_of (geom_cubic_tangent (c, t)));
}

typedef struct Chord
{
  GeomPoint a, b; /* of the parallel */
  guint piece;
  double t0, t1, way_mm; /* from the corner to where it begins */
} Chord;

/* Chords of the parallel at LEFT_MM, from the corner on: BACK goes against the outline. */
static GArray *
chords_of (const GArray *pieces, double left_mm, bool back)
{
  GArray *chords = g_array_new (FALSE, TRUE, sizeof (Chord));
  double way = 0.0;

  for (guint i = 0; i < pieces->len && chords->len < MOST_CHORDS; i++)
  {
    guint index = back ? pieces->len - 1 - i : i;
    const ReshapePiece *piece = at (pieces, index);
    int parts = piece->straight ? 1 : CHORDS;

    for (int k = 0; k < parts; k++)
    {
      Chord chord = { .piece = index, .t0 = (double)k / parts, .t1 = (k + 1.0) / parts, .way_mm = way };

      if (back)
      {
        chord.t0 = 1.0 - chord.t0;
        chord.t1 = 1.0 - chord.t1;
      }
      chord.a = beside (&piece->c, chord.t0, left_mm);
      chord.b = beside (&piece->c, chord.t1, left_mm);
      way += geom_distance (geom_cubic_at (&piece->c, chord.t0), geom_cubic_at (&piece->c, chord.t1));
      g_array_append_val (chords, chord);
    }
  }
  return chords;
}

/* Where two chords cross, as parts of both. */
static bool
chords_cross (const Chord *a, const Chord *b, double *on_a, double *on_b)
{
  GeomPoint u = geom_sub (a->b, a->a), v = geom_sub (b->b, b->a), d = geom_sub (b->a, a->a);
  double cross = geom_cross (u, v);

  if (fabs (cross) <= 1e-12 * geom_norm (u) * geom_norm (v))
    return false;
  *on_a = geom_cross (d, v) / cross;
  *on_b = geom_cross (d, u) / cross;
  /* Neighbouring chords share their ends; a crossing right there must not fall between both. */
  return *on_a >= -1e-9 && *on_a <= 1.0 + 1e-9 && *on_b >= -1e-9 && *on_b <= 1.0 + 1e-9;
}

static void
step (const GArray *pieces, Spot *spot, double by)
{
  spot->t += CLAMP (by, -0.25, 0.25);
  if (spot->t < 0.0 && spot->piece > 0)
  {
    spot->piece--;
    spot->t = MIN (1.0, 1.0 + spot->t);
  }
  else if (spot->t > 1.0 && spot->piece + 1 < pieces->len)
  {
    spot->piece++;
    spot->t = MAX (0.0, spot->t - 1.0);
  }
  spot->t = CLAMP (spot->t, 0.0, 1.0);
}

static void
look (const GArray *pieces, Spot *spot)
{
  spot->at = geom_cubic_at (&at (pieces, spot->piece)->c, spot->t);
  spot->tangent = geom_cubic_tangent (&at (pieces, spot->piece)->c, spot->t);
}

/* The two places where a circle of radius |LEFT_MM| touches both curves. */
static bool
find_arc (const Bend *bend, double left_mm, Spot *p, Spot *q, GeomPoint *centre)
{
  g_autoptr (GArray) back = chords_of (bend->before, left_mm, true);
  g_autoptr (GArray) on = chords_of (bend->after, left_mm, false);
  double least = INFINITY;

  for (guint i = 0; i < back->len; i++)
    for (guint j = 0; j < on->len; j++)
    {
      const Chord *a = &g_array_index (back, Chord, i), *b = &g_array_index (on, Chord, j);
      double x, y;

      if (a->way_mm + b->way_mm >= least)
        break;
      if (!chords_cross (a, b, &x, &y))
        continue;
      least = a->way_mm + b->way_mm;
      *p = (Spot) { .piece = a->piece, .t = CLAMP (a->t0 + (a->t1 - a->t0) * x, 0.0, 1.0) };
      *q = (Spot) { .piece = b->piece, .t = CLAMP (b->t0 + (b->t1 - b->t0) * y, 0.0, 1.0) };
    }
  if (!isfinite (least))
    return false;
  for (int round = 0; round < NEWTON_ROUNDS; round++)
  {
    const GeomCubic *a = &at (bend->before, p->piece)->c, *b = &at (bend->after, q->piece)->c;
    GeomPoint from_a = beside (a, p->t, left_mm), from_b = beside (b, q->t, left_mm);
    GeomPoint gap = geom_sub (from_b, from_a), u, v;
    double bent_a = 1.0 - left_mm * geom_cubic_curvature (a, p->t),
           bent_b = 1.0 - left_mm * geom_cubic_curvature (b, q->t), cross;

    if (geom_norm (gap) <= CENTRE_REACHED * fabs (left_mm))
    {
      look (bend->before, p);
      look (bend->after, q);
      *centre = geom_mix (from_a, from_b, 0.5);
      /* Beyond the curve's own centre the circle would lie across it. */
      return bent_a > 0.0 && bent_b > 0.0;
    }
    u = geom_scale (geom_cubic_velocity (a, p->t), bent_a);
    v = geom_scale (geom_cubic_velocity (b, q->t), bent_b);
    cross = geom_cross (u, v);
    if (!(fabs (cross) > 0.0))
      return false;
    /* from_a + u x = from_b + v y */
    step (bend->before, p, geom_cross (gap, v) / cross);
    step (bend->after, q, geom_cross (gap, u) / cross);
  }
  return false;
}

/* ---- at a node ---- */

typedef struct Place
{
  ModelSeat seat;
  guint first, second; /* edges; the same one at a bend inside */
  bool inside, loop;
  Bend bend[REWORK_SHAPES];
} Place;

static void
place_clear (Place *place)
{
  for (int s = 0; s < REWORK_SHAPES; s++)
    bend_clear (&place->bend[s]);
}

static void
take_place (const ReshapeWork *work, ModelSeat seat, Place *place)
{
  guint count = work->ring->edges->len;
  ReshapeEdge before, after;

  *place = (Place) { .seat = seat, .inside = seat.node > 0, .loop = seat.node == 0 && count == 1 };
  place->second = seat.edge;
  place->first = place->inside ? seat.edge : (seat.edge + count - 1) % count;
  before = reshape_edge_take (work, place->first);
  after = reshape_edge_take (work, place->second);
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    place->bend[s].before = slice (before.pieces[s], 0, place->inside ? seat.node : before.pieces[s]->len);
    place->bend[s].after = slice (after.pieces[s], seat.node, after.pieces[s]->len);
  }
  reshape_edge_clear (&before);
  reshape_edge_clear (&after);
}

static bool
find_place (ReshapeWork *work, guint node_id, Place *place, GError **error)
{
  ModelReworkError code;
  ModelSeat seat;

  if (!rework_ring_find_node (work->ring, node_id, &seat))
    return reshape_refuse (work, MODEL_REWORK_ERROR_PLACE, error);
  take_place (work, seat, place);
  if (reshape_edge_is_fixed (work, place->first, &code) || reshape_edge_is_fixed (work, place->second, &code))
  {
    place_clear (place);
    return reshape_refuse (work, code, error);
  }
  return true;
}

/* The turn at the node, 0 where both curves run on into one another. */
static double
turn_at (const Bend *bend)
{
  double turn = reshape_turn (geom_cubic_tangent (&at (bend->before, bend->before->len - 1)->c, 1.0),
                              geom_cubic_tangent (&at (bend->after, 0)->c, 0.0));

  return fabs (turn) < LEAST_TURN_RAD || fabs (turn) > G_PI - LEAST_TURN_RAD ? 0.0 : turn;
}

/* What is left of both curves outside P and Q, and in each shape what lies between. */
typedef struct Cut
{
  Spot p, q;
  GArray *head, *tail;    /* outside */
  GArray *first, *second; /* between: up to the node, and from it on */
} Cut;

static void
cut_clear (Cut *cut)
{
  g_clear_pointer (&cut->head, g_array_unref);
  g_clear_pointer (&cut->tail, g_array_unref);
  g_clear_pointer (&cut->first, g_array_unref);
  g_clear_pointer (&cut->second, g_array_unref);
}

static void
cut_outside (const Bend *bend, Cut *cut)
{
  ReshapePiece piece;
  guint id;

  cut->head = slice (bend->before, 0, cut->p.piece);
  id = at (bend->before, cut->p.piece)->id;
  piece = reshape_part (at (bend->before, cut->p.piece), 0.0, cut->p.t);
  piece.id = id;
  g_array_append_val (cut->head, piece);
  cut->tail = g_array_new (FALSE, TRUE, sizeof (ReshapePiece));
  piece = reshape_part (at (bend->after, cut->q.piece), cut->q.t, 1.0);
  piece.id = 0;
  g_array_append_val (cut->tail, piece);
  for (guint i = cut->q.piece + 1; i < bend->after->len; i++)
    g_array_append_val (cut->tail, *at (bend->after, i));
  cut->first = g_array_new (FALSE, TRUE, sizeof (ReshapePiece));
  cut->second = g_array_new (FALSE, TRUE, sizeof (ReshapePiece));
}

static double
length_of (const GArray *pieces)
{
  double length = 0.0;

  for (guint i = 0; i < pieces->len; i++)
    length += geom_cubic_length (&at (pieces, i)->c, MODEL_HOLD_LENGTH_ACCURACY_MM);
  return length;
}

/* Splits the part of PIECE from T0 to T1 into COUNT pieces with fresh nodes. */
static void
append_parts (GArray *to, const ReshapePiece *piece, double t0, double t1, guint count)
{
  for (guint i = 0; i < count; i++)
  {
    ReshapePiece part = reshape_part (piece, t0 + (t1 - t0) * i / count, t0 + (t1 - t0) * (i + 1) / count);

    part.id = 0;
    g_array_append_val (to, part);
  }
}

/* Writes heads, what is between, and tails back; the node itself begins SECOND. */
static void
give_place (ReshapeWork *work, const Place *place, Cut cuts[REWORK_SHAPES])
{
  ReshapeEdge before = reshape_edge_new (), after = reshape_edge_new ();
  guint node_id = rework_ring_node (work->ring, place->seat)->shape[0].id;

  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    GArray *first = before.pieces[s], *second = place->inside || place->loop ? first : after.pieces[s];

    if (cuts[s].second->len > 0)
      at (cuts[s].second, 0)->id = node_id;
    else
      at (cuts[s].tail, 0)->id = node_id;
    if (place->loop)
    {
      /* From the corner round to the corner: P lies behind Q on the same pieces. */
      guint last = cuts[s].head->len - 1, from = place->bend[s].after->len - cuts[s].tail->len;

      append_all (first, cuts[s].second);
      for (guint i = from; i <= last; i++)
      {
        ReshapePiece piece = i == from ? *at (cuts[s].tail, 0) : *at (cuts[s].head, i);

        if (i == from && i == last)
          piece = reshape_part (at (place->bend[s].before, i), cuts[s].q.t, cuts[s].p.t);
        g_array_append_val (first, piece);
      }
      append_all (first, cuts[s].first);
      continue;
    }
    append_all (first, cuts[s].head);
    append_all (first, cuts[s].first);
    append_all (second, cuts[s].second);
    append_all (second, cuts[s].tail);
  }
  reshape_edge_give (work, place->first, &before, RESHAPE_MARKS_PLACE);
  if (!place->inside && !place->loop)
    reshape_edge_give (work, place->second, &after, RESHAPE_MARKS_PLACE);
  reshape_edge_clear (&before);
  reshape_edge_clear (&after);
}

/* The shapes that act have lost the same nodes; where one does not act, none. */
static bool
same_nodes (const ReshapeWork *work, const Place *place, const Cut cuts[REWORK_SHAPES])
{
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    if (!work->acts[s])
      return cuts[1].p.piece + 1 == place->bend[1].before->len && cuts[1].q.piece == 0;
    if (place->bend[s].before->len != place->bend[1].before->len
        || place->bend[s].after->len != place->bend[1].after->len || cuts[s].p.piece != cuts[1].p.piece
        || cuts[s].q.piece != cuts[1].q.piece)
      return false;
    if (place->loop
        && (cuts[s].p.piece < cuts[s].q.piece
            || (cuts[s].p.piece == cuts[s].q.piece && !(cuts[s].p.t > cuts[s].q.t))))
      return false;
  }
  return true;
}

static bool
leaves_enough (const Cut *cut)
{
  return length_of (cut->head) >= RESHAPE_LEAST_MM && length_of (cut->tail) >= RESHAPE_LEAST_MM;
}

bool
model_reshape_round_corner (
  ModelPanel *panel, ModelDocument *ids, ModelSide side, guint node_id, double radius_mm, GError **error)
{
  ReshapeWork work;
  Place place;
  Cut cuts[REWORK_SHAPES] = { 0 };
  double turns[REWORK_SHAPES] = { 0 };
  GeomPoint centres[REWORK_SHAPES];
  guint half = 1;
  bool good = true;

  if (!reshape_open (&work, panel, ids, side, error) || !find_place (&work, node_id, &place, error))
    return false;
  if (!(radius_mm > 0.0 && radius_mm <= MODEL_FILE_MAX_MM))
  {
    place_clear (&place);
    return reshape_refuse (&work, MODEL_REWORK_ERROR_VALUE, error);
  }
  for (int s = 0; s < REWORK_SHAPES && good; s++)
  {
    double was, turn;
    guint count = work.acts[s] ? count_arc (&place.bend[s], &was, &turn) : 0;

    if (!work.acts[s])
      continue;
    good = count == 0 || sharpen (&place.bend[s], count);
    turn = good ? turn_at (&place.bend[s]) : 0.0;
    good = fabs (turn) > 0.0
           && find_arc (&place.bend[s], copysign (radius_mm, turn), &cuts[s].p, &cuts[s].q, &centres[s]);
    if (!good)
      break;
    turns[s] = reshape_turn (cuts[s].p.tangent, cuts[s].q.tangent);
    /* A bend that opens along its curves may turn the other way round by more than half: no fillet. */
    good = turns[s] * turn > 0.0;
    half = MAX (half, reshape_arc_count (0.5 * turns[s]));
    cut_outside (&place.bend[s], &cuts[s]);
  }
  for (int s = 0; s < REWORK_SHAPES && good; s++)
    if (!work.acts[s])
    {
      /* This shape keeps its corner; its curves are only split. */
      guint last = place.bend[s].before->len - 1;

      cuts[s].p = (Spot) { .piece = last, .t = 0.5 };
      cuts[s].q = (Spot) { .piece = 0, .t = 0.5 };
      cut_outside (&place.bend[s], &cuts[s]);
      append_parts (cuts[s].first, at (place.bend[s].before, last), 0.5, 1.0, half);
      append_parts (cuts[s].second, at (place.bend[s].after, 0), 0.0, 0.5, half);
    }
  good = good && same_nodes (&work, &place, cuts);
  for (int s = 0; s < REWORK_SHAPES && good; s++)
  {
    g_autoptr (GArray) arc = g_array_new (FALSE, TRUE, sizeof (ReshapePiece));

    good = leaves_enough (&cuts[s]);
    if (!work.acts[s] || !good)
      continue;
    reshape_append_arc (arc, centres[s], cuts[s].p.at, cuts[s].q.at, turns[s], 2 * half);
    /* Where the curves end, the arc begins, to the bit. */
    at (arc, 0)->c.p[0] = at (cuts[s].head, cuts[s].head->len - 1)->c.p[3];
    at (arc, arc->len - 1)->c.p[3] = at (cuts[s].tail, 0)->c.p[0];
    g_array_append_vals (cuts[s].first, at (arc, 0), half);
    g_array_append_vals (cuts[s].second, at (arc, half), half);
  }
  if (good)
    give_place (&work, &place, cuts);
  place_clear (&place);
  for (int s = 0; s < REWORK_SHAPES; s++)
    cut_clear (&cuts[s]);
  return good ? reshape_close (&work, false, error) : reshape_refuse (&work, MODEL_REWORK_ERROR_SHAPE, error);
}

bool
model_reshape_corner_radius (const ModelPanel *panel, ModelSide side, guint node_id, double *radius_mm)
{
  ModelHold hold = model_hold ((ModelPanel *)panel, side); /* only read */
  g_autoptr (ModelPanel) copy = model_panel_copy (panel);
  ReshapeWork work;
  Place place;
  ModelSeat seat;
  double turn;
  bool found;

  copy->locked = false;
  if (!model_hold_find (panel, node_id, &seat) || !reshape_open (&work, copy, NULL, side, NULL))
    return false;
  take_place (&work, seat, &place);
  found = count_arc (&place.bend[hold.own ? 1 : 0], radius_mm, &turn) > 0;
  place_clear (&place);
  reshape_refuse (&work, MODEL_REWORK_ERROR_PLACE, NULL);
  return found;
}

/* ---- chamfer ---- */

/* The place MM from the node along PIECES. */
static bool
find_along (const GArray *pieces, double mm, bool back, Spot *spot)
{
  double gone = 0.0;

  for (guint i = 0; i < pieces->len; i++)
  {
    guint index = back ? pieces->len - 1 - i : i;
    const GeomCubic *c = &at (pieces, index)->c;
    double length = geom_cubic_length (c, MODEL_HOLD_LENGTH_ACCURACY_MM);

    if (mm <= gone + length)
    {
      double along = back ? length - (mm - gone) : mm - gone;

      *spot
        = (Spot) { .piece = index, .t = geom_cubic_t_at_length (c, along, MODEL_HOLD_LENGTH_ACCURACY_MM) };
      look (pieces, spot);
      return true;
    }
    gone += length;
  }
  return false;
}

bool
model_reshape_chamfer_corner (ModelPanel *panel,
                              ModelDocument *ids,
                              ModelSide side,
                              guint node_id,
                              double by_mm,
                              guint *made,
                              GError **error)
{
  ReshapeWork work;
  Place place;
  Cut cuts[REWORK_SHAPES] = { 0 };
  bool good = true;

  if (made != NULL)
    *made = 0;
  if (!reshape_open (&work, panel, ids, side, error) || !find_place (&work, node_id, &place, error))
    return false;
  if (!(by_mm >= RESHAPE_LEAST_MM && by_mm <= MODEL_FILE_MAX_MM))
  {
    place_clear (&place);
    return reshape_refuse (&work, MODEL_REWORK_ERROR_VALUE, error);
  }
  for (int s = 0; s < REWORK_SHAPES && good; s++)
  {
    if (work.acts[s])
    {
      good = fabs (turn_at (&place.bend[s])) > 0.0
             && find_along (place.bend[s].before, by_mm, true, &cuts[s].p)
             && find_along (place.bend[s].after, by_mm, false, &cuts[s].q);
      if (good)
        cut_outside (&place.bend[s], &cuts[s]);
      continue;
    }
    /* The shape that is not held is split before its corner and keeps it. */
    cuts[s].p = (Spot) { .piece = place.bend[s].before->len - 1, .t = 0.5 };
    cuts[s].q = (Spot) { .piece = 0, .t = 0.0 };
    cut_outside (&place.bend[s], &cuts[s]);
    append_parts (cuts[s].first, at (place.bend[s].before, cuts[s].p.piece), 0.5, 1.0, 1);
  }
  good = good && same_nodes (&work, &place, cuts);
  for (int s = 0; s < REWORK_SHAPES && good; s++)
  {
    good = leaves_enough (&cuts[s]);
    if (work.acts[s] && good)
    {
      ReshapePiece line
        = reshape_line (at (cuts[s].head, cuts[s].head->len - 1)->c.p[3], at (cuts[s].tail, 0)->c.p[0]);

      g_array_append_val (cuts[s].first, line);
    }
  }
  if (good)
  {
    guint index;

    give_place (&work, &place, cuts);
    if (!place.inside)
    {
      /* The cut is the last piece of the edge before: it becomes an edge of its own. */
      ModelSeat seat = { place.first, rework_ring_edge (work.ring, place.first)->nodes->len - 1 };

      index = rework_ring_make_corner (work.ring, ids, seat);
      rework_ring_edge (work.ring, index)->head->fold = false;
      if (made != NULL)
        *made = rework_ring_edge (work.ring, index)->head->id;
    }
  }
  place_clear (&place);
  for (int s = 0; s < REWORK_SHAPES; s++)
    cut_clear (&cuts[s]);
  if (!good)
    return reshape_refuse (&work, MODEL_REWORK_ERROR_SHAPE, error);
  good = reshape_close (&work, false, error);
  if (!good && made != NULL)
    *made = 0;
  return good;
}

/* ---- two edges of one, one of two ---- */

bool
model_reshape_split_edge (ModelPanel *panel, ModelDocument *ids, guint node_id, guint *made, GError **error)
{
  ReshapeWork work;
  ModelReworkError code;
  ModelSeat seat;
  guint index;

  if (made != NULL)
    *made = 0;
  if (!reshape_open (&work, panel, ids, MODEL_SIDE_CENTRE, error))
    return false;
  if (!rework_ring_find_node (work.ring, node_id, &seat) || seat.node == 0)
    return reshape_refuse (&work, MODEL_REWORK_ERROR_PLACE, error);
  if (reshape_edge_is_fixed (&work, seat.edge, &code))
    return reshape_refuse (&work, code, error);
  index = rework_ring_make_corner (work.ring, ids, seat);
  if (made != NULL)
    *made = rework_ring_edge (work.ring, index)->head->id;
  return reshape_close (&work, true, error);
}

bool
model_reshape_merge_edges (ModelPanel *panel, guint node_id, GError **error)
{
  ReshapeWork work;
  ModelReworkError code;
  ModelSeat seat;
  ReworkEdge *kept, *gone;
  guint before;

  if (!reshape_open (&work, panel, NULL, MODEL_SIDE_CENTRE, error))
    return false;
  if (!rework_ring_find_node (work.ring, node_id, &seat) || seat.node != 0 || work.ring->edges->len < 2)
    return reshape_refuse (&work, MODEL_REWORK_ERROR_PLACE, error);
  before = (seat.edge + work.ring->edges->len - 1) % work.ring->edges->len;
  if (reshape_edge_is_fixed (&work, seat.edge, &code) || reshape_edge_is_fixed (&work, before, &code))
    return reshape_refuse (&work, code, error);
  kept = rework_ring_edge (work.ring, before);
  gone = rework_ring_edge (work.ring, seat.edge);
  for (guint n = 0; n < gone->nodes->len; n++)
  {
    ReworkNode node = g_array_index (gone->nodes, ReworkNode, n);

    if (n == 0)
    {
      GeomPoint in = geom_sub (node.shape[0].at, node.shape[0].in),
                out = geom_sub (node.shape[0].out, node.shape[0].at);
      bool in_line = geom_norm (in) > MODEL_HOLD_NO_HANDLE_MM && geom_norm (out) > MODEL_HOLD_NO_HANDLE_MM
                     && fabs (reshape_turn (in, out)) <= RESHAPE_IN_LINE;

      node.shape[0].kind = node.shape[1].kind = in_line ? MODEL_NODE_SMOOTH : MODEL_NODE_CORNER;
    }
    g_array_append_val (kept->nodes, node);
  }
  g_ptr_array_remove_index (work.ring->edges, seat.edge);
  return reshape_close (&work, true, error);
}
