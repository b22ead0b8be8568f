/* Edges moved, extended, straightened, turned, made arcs. */
#include "model/format.h"
#include "model/reshape-work.h"

#include "geom/offset.h"

#include <string.h>

/* How near a moved edge lies to the true parallel: a tenth of a fine pencil line, for each node more is one
 * more to look after. */
#define PARALLEL_MM 0.02
/* A curve that asks for more pieces than this many times its own is no edge. */
#define MOST_PARTS 64
/* Ends of neighbouring parallels that lie so near are one point: their tangents differ by the rounding that
 * RESHAPE_IN_LINE stands for. */
#define GAP_MM 1e-3
/* An edge runs on at most this many times the gap to meet its neighbour: lines that meet farther off are as
 * good as parallel. */
#define REACH 25.0
#define MOST_CROSSINGS 12
/* Steps to where two parallels at a bend meet, and how much of a piece may go or come there. */
#define MEET_ROUNDS 30
#define MEET_WITHIN 0.6

static void
append (GArray *pieces, ReshapePiece piece)
{
  g_array_append_val (pieces, piece);
}

static ReshapePiece *
at (GArray *pieces, guint index)
{
  return &g_array_index (pieces, ReshapePiece, index);
}

static ReshapePiece *
last_of (GArray *pieces)
{
  return at (pieces, pieces->len - 1);
}

static double
length_of (const GArray *pieces, guint from, guint to)
{
  double length = 0.0;

  for (guint i = from; i < to; i++)
    length += geom_cubic_length (&g_array_index (pieces, ReshapePiece, i).c, MODEL_HOLD_LENGTH_ACCURACY_MM);
  return length;
}

/* An end comes to TO with the handle that belongs to it. */
static void
move_end (ReshapePiece *piece, bool end, GeomPoint to)
{
  if (piece->straight)
  {
    piece->c = end ? geom_cubic_line (piece->c.p[0], to) : geom_cubic_line (to, piece->c.p[3]);
    return;
  }
  if (end)
  {
    piece->c.p[2] = geom_add (piece->c.p[2], geom_sub (to, piece->c.p[3]));
    piece->c.p[3] = to;
  }
  else
  {
    piece->c.p[1] = geom_add (piece->c.p[1], geom_sub (to, piece->c.p[0]));
    piece->c.p[0] = to;
  }
}

/* ---- parallels ---- */

static bool
move_piece (const ReshapePiece *piece, double by_mm, ReshapePiece *out)
{
  double error;

  *out = *piece;
  if (piece->straight || geom_offset_is_line (&piece->c))
  {
    GeomPoint off = geom_scale (geom_right_of (geom_cubic_tangent (&piece->c, 0.0)), by_mm);

    for (int k = 0; k < 4; k++)
      out->c.p[k] = geom_add (piece->c.p[k], off);
    return true;
  }
  return geom_offset_cubic_with_leads (&piece->c, by_mm, PARALLEL_MM, 0.0, 0.0, &out->c, &error);
}

/* The cubic's polar form at A, B, C: its control points for any stretch of t, beyond 0..1 too. */
static GeomPoint
polar (const GeomCubic *cubic, double a, double b, double c)
{
  GeomPoint p[4];
  const double t[3] = { a, b, c };

  memcpy (p, cubic->p, sizeof p);
  for (int k = 0; k < 3; k++)
    for (int i = 0; i < 3 - k; i++)
      p[i] = geom_mix (p[i], p[i + 1], t[k]);
  return p[0];
}

static void
take_stretch (ReshapePiece *piece, double t0, double t1)
{
  GeomCubic c = piece->c;

  piece->c = (GeomCubic) { { polar (&c, t0, t0, t0), polar (&c, t0, t0, t1), polar (&c, t0, t1, t1),
                             polar (&c, t1, t1, t1) } };
}

/* Where the parallels of BEFORE and AFTER, two pieces of one edge with a bend between them, meet: a little
 * before their ends or, where the bend opens, run on a little beyond. */
static bool
join_inside (ReshapePiece *before, ReshapePiece *after)
{
  double t = 1.0, u = 0.0;
  GeomPoint meet;

  if (geom_distance (before->c.p[3], after->c.p[0]) > GAP_MM)
  {
    for (int round = 0; round < MEET_ROUNDS; round++)
    {
      GeomPoint gap = geom_sub (polar (&after->c, u, u, u), polar (&before->c, t, t, t));
      GeomPoint a = geom_cubic_velocity (&before->c, t), b = geom_cubic_velocity (&after->c, u);
      double cross = geom_cross (a, b);

      if (geom_norm (gap) <= RESHAPE_SAME_MM)
        break;
      if (!(fabs (cross) > 0.0))
        return false;
      t += geom_cross (gap, b) / cross;
      u += geom_cross (gap, a) / cross;
      if (!(fabs (t - 1.0) <= MEET_WITHIN && fabs (u) <= MEET_WITHIN))
        return false;
    }
    take_stretch (before, 0.0, t);
    take_stretch (after, u, 1.0);
    if (geom_distance (before->c.p[3], after->c.p[0]) > GAP_MM)
      return false;
  }
  meet = geom_mix (before->c.p[3], after->c.p[0], 0.5);
  move_end (before, true, meet);
  move_end (after, false, meet);
  return true;
}

/* EDGE with nodes added until each parallel is one cubic, and the parallels of the shapes that act; the
 * others are as they were. */
static bool
move_pieces (const ReshapeWork *work, ReshapeEdge *edge, double by_mm, bool loop)
{
  guint most = reshape_edge_count (edge) * MOST_PARTS;
  ReshapeEdge moved = reshape_edge_new ();
  bool good = true;

  for (guint i = 0; i < reshape_edge_count (edge) && good;)
  {
    ReshapePiece out[REWORK_SHAPES];
    bool fits = true;

    for (int s = 0; s < REWORK_SHAPES; s++)
    {
      out[s] = *reshape_edge_piece (edge, s, i);
      if (work->acts[s])
        fits &= move_piece (reshape_edge_piece (edge, s, i), by_mm, &out[s]);
    }
    if (!fits)
    {
      reshape_edge_split (edge, i, (const double[REWORK_SHAPES]) { 0.5, 0.5 });
      good = reshape_edge_count (edge) <= most;
      continue;
    }
    for (int s = 0; s < REWORK_SHAPES; s++)
      append (moved.pieces[s], out[s]);
    i++;
  }
  for (int s = 0; s < REWORK_SHAPES; s++)
    for (guint i = 0; work->acts[s] && good && i + (loop ? 0 : 1) < reshape_edge_count (&moved); i++)
      good = join_inside (reshape_edge_piece (&moved, s, i),
                          reshape_edge_piece (&moved, s, (i + 1) % reshape_edge_count (&moved)));
  reshape_edge_clear (edge);
  *edge = moved;
  return good;
}

/* ---- two edges that are to meet ---- */

typedef struct Meeting
{
  bool found, extends_first, extends_second;
  guint first, second; /* pieces that are cut */
  double t, u, way_mm;
  GeomPoint at;
} Meeting;

static void
consider (Meeting *best, Meeting meeting)
{
  if (!best->found || meeting.way_mm < best->way_mm - RESHAPE_SAME_MM)
    *best = meeting;
  best->found = true;
}

/* Crossings of A and B as meetings; LIKE says which pieces they are. */
static void
consider_crossings (
  Meeting *best, const GeomCubic *a, const GeomCubic *b, Meeting like, double after_a_mm, double before_b_mm)
{
  GeomCrossing crossings[MOST_CROSSINGS];
  int count = geom_cubic_crossings (a, b, RESHAPE_SAME_MM, crossings, MOST_CROSSINGS);

  for (int k = 0; k < count; k++)
  {
    Meeting meeting = like;

    meeting.t = crossings[k].t;
    meeting.u = crossings[k].u;
    meeting.at = crossings[k].point;
    meeting.way_mm = after_a_mm + before_b_mm;
    meeting.way_mm += like.extends_first ? geom_distance (a->p[0], meeting.at)
                                         : geom_cubic_length_between (a, meeting.t, 1.0, 1e-9);
    meeting.way_mm += like.extends_second ? geom_distance (b->p[3], meeting.at)
                                          : geom_cubic_length_between (b, 0.0, meeting.u, 1e-9);
    consider (best, meeting);
  }
}

/* Where FIRST, run on at its end, and SECOND, run on before its start, meet with the least way along both. */
static Meeting
find_meeting (GArray *first, GArray *second)
{
  Meeting best = { 0 };
  GeomPoint end = last_of (first)->c.p[3], start = at (second, 0)->c.p[0];
  GeomPoint on = geom_cubic_tangent (&last_of (first)->c, 1.0),
            back = geom_scale (geom_cubic_tangent (&at (second, 0)->c, 0.0), -1.0), meet;
  double reach = REACH * geom_distance (end, start) + RESHAPE_LEAST_MM, after_mm = 0.0, before_mm = 0.0;
  GeomCubic ray = geom_cubic_line (end, geom_along (end, reach, on));
  GeomCubic lead = geom_cubic_line (geom_along (start, reach, back), start);

  for (guint i = first->len; i-- > 0;)
  {
    before_mm = 0.0;
    for (guint j = 0; j < second->len; j++)
    {
      consider_crossings (&best, &at (first, i)->c, &at (second, j)->c, (Meeting) { .first = i, .second = j },
                          after_mm, before_mm);
      before_mm += length_of (second, j, j + 1);
    }
    consider_crossings (&best, &at (first, i)->c, &lead, (Meeting) { .first = i, .extends_second = true },
                        after_mm, 0.0);
    after_mm += length_of (first, i, i + 1);
  }
  before_mm = 0.0;
  for (guint j = 0; j < second->len; j++)
  {
    consider_crossings (&best, &ray, &at (second, j)->c, (Meeting) { .extends_first = true, .second = j },
                        0.0, before_mm);
    before_mm += length_of (second, j, j + 1);
  }
  if (geom_line_meet (end, geom_add (end, on), start, geom_add (start, back), &meet))
  {
    double a = geom_dot (geom_sub (meet, end), on), b = geom_dot (geom_sub (meet, start), back);

    if (a >= 0.0 && a <= reach && b >= 0.0 && b <= reach)
      consider (&best,
                (Meeting) { .extends_first = true, .extends_second = true, .at = meet, .way_mm = a + b });
  }
  return best;
}

/* What becomes of one end of an edge in one shape. */
typedef struct Ending
{
  bool acts, extends;
  guint piece; /* the one that is cut, else the last (first) */
  double t;
  GeomPoint at;
} Ending;

/* Brings the end (START: the beginning) of EDGE to where the endings say, with equally many pieces in all
 * shapes.  False where that cannot be. */
static bool
end_edge (ReshapeEdge *edge, bool start, const Ending endings[REWORK_SHAPES])
{
  guint count = reshape_edge_count (edge), drop = 0;
  bool extra = false, first = true;

  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    const Ending *ending = &endings[s];
    guint here;

    if (!ending->acts)
      continue;
    here = ending->extends ? 0 : start ? ending->piece : count - 1 - ending->piece;
    extra |= ending->extends && !reshape_edge_piece (edge, s, start ? 0 : count - 1)->straight
             && geom_distance (ending->at, start ? reshape_edge_piece (edge, s, 0)->c.p[0]
                                                 : reshape_edge_piece (edge, s, count - 1)->c.p[3])
                  > RESHAPE_SAME_MM;
    if (!first && here != drop)
      return false;
    drop = here;
    first = false;
  }
  if (drop > 0 && (extra || !endings[0].acts || !endings[1].acts))
    return false;
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    GArray *pieces = edge->pieces[s];
    const Ending *ending = &endings[s];
    bool made = false;

    if (drop > 0)
      g_array_remove_range (pieces, start ? 0 : pieces->len - drop, drop);
    if (ending->acts)
    {
      ReshapePiece *piece = start ? at (pieces, 0) : last_of (pieces);

      if (!ending->extends)
      {
        guint id = piece->id;

        *piece = start ? reshape_part (piece, ending->t, 1.0) : reshape_part (piece, 0.0, ending->t);
        piece->id = id;
        if (piece->straight)
          move_end (piece, !start, ending->at);
        else
          piece->c.p[start ? 0 : 3] = ending->at;
      }
      else if (piece->straight || !extra
               || geom_distance (ending->at, piece->c.p[start ? 0 : 3]) <= RESHAPE_SAME_MM)
        move_end (piece, !start, ending->at);
      else
      {
        ReshapePiece line
          = start ? reshape_line (ending->at, piece->c.p[0]) : reshape_line (piece->c.p[3], ending->at);

        if (start)
        {
          piece->id = 0;
          g_array_prepend_val (pieces, line);
        }
        else
          g_array_append_val (pieces, line);
        made = true;
      }
    }
    if (extra && !made)
    {
      guint index = start ? 0 : pieces->len - 1;
      ReshapePiece whole = *at (pieces, index), tail = reshape_part (&whole, 0.5, 1.0);

      *at (pieces, index) = reshape_part (&whole, 0.0, 0.5);
      tail.id = 0;
      g_array_insert_val (pieces, index + 1, tail);
    }
  }
  return true;
}

static bool
meet (const ReshapeWork *work, ReshapeEdge *first, ReshapeEdge *second)
{
  Ending of_first[REWORK_SHAPES] = { 0 }, of_second[REWORK_SHAPES] = { 0 };

  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    Meeting meeting;

    if (!work->acts[s])
      continue;
    meeting = find_meeting (first->pieces[s], second->pieces[s]);
    if (!meeting.found)
      return false;
    of_first[s]
      = (Ending) { true, meeting.extends_first,
                   meeting.extends_first ? first->pieces[s]->len - 1 : meeting.first, meeting.t, meeting.at };
    of_second[s] = (Ending) { true, meeting.extends_second, meeting.extends_second ? 0 : meeting.second,
                              meeting.u, meeting.at };
  }
  return end_edge (first, false, of_first) && end_edge (second, true, of_second);
}

static bool
is_long_enough (const ReshapeWork *work, const ReshapeEdge *edge)
{
  for (int s = 0; s < REWORK_SHAPES; s++)
    if (work->acts[s] && !(reshape_edge_length (edge, s) >= RESHAPE_LEAST_MM))
      return false;
  return true;
}

/* The edge's index, if it may be reshaped; else closes with an error. */
static bool
find_edge (ReshapeWork *work, guint edge_id, guint *edge, GError **error)
{
  int found = rework_ring_find_edge (work->ring, edge_id);
  ModelReworkError code;

  if (found < 0)
    return reshape_refuse (work, MODEL_REWORK_ERROR_PLACE, error);
  *edge = (guint)found;
  if (reshape_edge_is_fixed (work, *edge, &code))
    return reshape_refuse (work, code, error);
  return true;
}

static bool
is_amount (double mm)
{
  return isfinite (mm) && fabs (mm) <= MODEL_FILE_MAX_MM;
}

bool
model_reshape_move_edge (
  ModelPanel *panel, ModelDocument *ids, ModelSide side, guint edge_id, double by_mm, GError **error)
{
  ReshapeWork work;
  ReshapeEdge own, before = { 0 }, after = { 0 };
  guint e, count, previous, next;
  bool good;

  if (!reshape_open (&work, panel, ids, side, error) || !find_edge (&work, edge_id, &e, error))
    return false;
  if (!is_amount (by_mm))
    return reshape_refuse (&work, MODEL_REWORK_ERROR_VALUE, error);
  count = work.ring->edges->len;
  previous = (e + count - 1) % count;
  next = (e + 1) % count;
  own = reshape_edge_take (&work, e);
  good = move_pieces (&work, &own, by_mm, count == 1);
  if (count > 1 && good)
  {
    before = reshape_edge_take (&work, previous);
    good = meet (&work, &before, &own);
    after = previous == next ? before : reshape_edge_take (&work, next);
    good = good && meet (&work, &own, &after) && is_long_enough (&work, &before)
           && is_long_enough (&work, &after);
  }
  good = good && is_long_enough (&work, &own);
  if (good)
  {
    if (count > 1)
      reshape_edge_give (&work, previous, &before, RESHAPE_MARKS_PLACE);
    reshape_edge_give (&work, e, &own, RESHAPE_MARKS_PART);
    if (count > 1 && previous != next)
      reshape_edge_give (&work, next, &after, RESHAPE_MARKS_PLACE);
  }
  reshape_edge_clear (&own);
  if (count > 1)
  {
    if (previous != next)
      reshape_edge_clear (&after);
    reshape_edge_clear (&before);
  }
  return good ? reshape_close (&work, false, error) : reshape_refuse (&work, MODEL_REWORK_ERROR_SHAPE, error);
}

/* ---- one end ---- */

/* Before an edge's end comes to TO: the neighbour's handle there goes along. */
static void
take_neighbour_along (ReshapeWork *work, guint edge, bool start, int shape, GeomPoint to)
{
  ModelSeat seat = { start ? edge : (edge + 1) % work->ring->edges->len, 0 };
  ModelNode *node = &rework_ring_node (work->ring, seat)->shape[shape];
  GeomPoint by = geom_sub (to, node->at);

  if (work->ring->edges->len == 1)
    return;
  if (start && model_hold_has_handle (node, MODEL_HANDLE_IN))
    node->in = geom_add (node->in, by);
  if (!start && model_hold_has_handle (node, MODEL_HANDLE_OUT))
    node->out = geom_add (node->out, by);
}

static void
mark_neighbour (ReshapeWork *work, guint edge, bool start)
{
  guint count = work->ring->edges->len;
  const ReworkEdge *neighbour = rework_ring_edge (work->ring, start ? edge + count - 1 : edge + 1);

  if (count > 1)
    g_hash_table_insert (work->dirty, GUINT_TO_POINTER (neighbour->head->id),
                         GINT_TO_POINTER (RESHAPE_MARKS_PLACE));
}

/* Where an edge of PIECES has lost MM at its end (START: beginning). */
static bool
find_cut (GArray *pieces, bool start, double mm, Ending *ending)
{
  double whole = length_of (pieces, 0, pieces->len), along = start ? mm : whole - mm, gone = 0.0;

  if (!(whole - mm >= RESHAPE_LEAST_MM))
    return false;
  for (guint i = 0; i < pieces->len; i++)
  {
    const GeomCubic *c = &at (pieces, i)->c;
    double length = geom_cubic_length (c, MODEL_HOLD_LENGTH_ACCURACY_MM);

    if (along <= gone + length || i + 1 == pieces->len)
    {
      double t = geom_cubic_t_at_length (c, along - gone, MODEL_HOLD_LENGTH_ACCURACY_MM);

      *ending = (Ending) { true, false, i, t, geom_cubic_at (c, t) };
      return true;
    }
    gone += length;
  }
  return false;
}

bool
model_reshape_extend_edge (ModelPanel *panel,
                           ModelDocument *ids,
                           ModelSide side,
                           guint edge_id,
                           bool at_start,
                           double by_mm,
                           GError **error)
{
  ReshapeWork work;
  ReshapeEdge own;
  Ending endings[REWORK_SHAPES] = { 0 };
  bool good = true;
  guint e;

  if (!reshape_open (&work, panel, ids, side, error) || !find_edge (&work, edge_id, &e, error))
    return false;
  if (!is_amount (by_mm))
    return reshape_refuse (&work, MODEL_REWORK_ERROR_VALUE, error);
  if (work.ring->edges->len == 1)
    return reshape_refuse (&work, MODEL_REWORK_ERROR_SHAPE, error);
  own = reshape_edge_take (&work, e);
  for (int s = 0; s < REWORK_SHAPES && good; s++)
  {
    GArray *pieces = own.pieces[s];

    if (!work.acts[s])
      continue;
    if (by_mm < 0.0)
      good = find_cut (pieces, at_start, -by_mm, &endings[s]);
    else
    {
      const GeomCubic *c = at_start ? &at (pieces, 0)->c : &last_of (pieces)->c;
      GeomPoint on = geom_cubic_tangent (c, at_start ? 0.0 : 1.0);

      endings[s] = (Ending) { true, true, at_start ? 0 : pieces->len - 1, 0.0,
                              geom_along (c->p[at_start ? 0 : 3], at_start ? -by_mm : by_mm, on) };
    }
  }
  good = good && end_edge (&own, at_start, endings);
  for (int s = 0; s < REWORK_SHAPES && good; s++)
    if (work.acts[s])
      take_neighbour_along (&work, e, at_start, s, endings[s].at);
  if (good)
  {
    reshape_edge_give (&work, e, &own, RESHAPE_MARKS_PLACE);
    mark_neighbour (&work, e, at_start);
  }
  reshape_edge_clear (&own);
  return good ? reshape_close (&work, false, error) : reshape_refuse (&work, MODEL_REWORK_ERROR_SHAPE, error);
}

/* ---- straight ---- */

bool
model_reshape_straighten_edge (ModelPanel *panel, ModelSide side, guint edge_id, GError **error)
{
  ReshapeWork work;
  ReshapeEdge was, own;
  guint e, count;

  if (!reshape_open (&work, panel, NULL, side, error) || !find_edge (&work, edge_id, &e, error))
    return false;
  if (work.ring->edges->len == 1)
    return reshape_refuse (&work, MODEL_REWORK_ERROR_SHAPE, error);
  was = reshape_edge_take (&work, e);
  own = reshape_edge_new ();
  /* The shape that is not held needs its nodes: then the straight one keeps them too, on its line. */
  count = work.acts[0] ? 1 : reshape_edge_count (&was);
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    GeomPoint from = reshape_edge_piece (&was, s, 0)->c.p[0], to = last_of (was.pieces[s])->c.p[3];

    for (guint i = 0; i < count; i++)
    {
      ReshapePiece piece = *reshape_edge_piece (&was, s, i);

      if (work.acts[s])
      {
        guint id = piece.id;

        piece = reshape_line (geom_mix (from, to, (double)i / count), geom_mix (from, to, (i + 1.0) / count));
        piece.id = id;
      }
      append (own.pieces[s], piece);
    }
  }
  reshape_edge_give (&work, e, &own, RESHAPE_MARKS_PART);
  reshape_edge_clear (&was);
  reshape_edge_clear (&own);
  return reshape_close (&work, false, error);
}

/* ---- angle ---- */

bool
model_reshape_edge_angle (const ModelPanel *panel, ModelSide side, guint edge_id, double *deg)
{
  ModelHold hold = model_hold ((ModelPanel *)panel, side); /* only read */
  int edge = model_panel_find_edge (panel, edge_id);
  GeomPoint chord;

  if (edge < 0)
    return false;
  chord = geom_sub (model_hold_get (&hold, (ModelSeat) { ((guint)edge + 1) % panel->edges->len, 0 }).at,
                    model_hold_get (&hold, (ModelSeat) { (guint)edge, 0 }).at);
  *deg = atan2 (chord.y, chord.x) * (180.0 / G_PI);
  return geom_norm (chord) > RESHAPE_SAME_MM;
}

bool
model_reshape_set_edge_angle (
  ModelPanel *panel, ModelSide side, guint edge_id, double deg, bool keep_end, GError **error)
{
  ReshapeWork work;
  ReshapeEdge own;
  GeomPoint want;
  guint e;

  if (!reshape_open (&work, panel, NULL, side, error) || !find_edge (&work, edge_id, &e, error))
    return false;
  if (!isfinite (deg))
    return reshape_refuse (&work, MODEL_REWORK_ERROR_VALUE, error);
  if (work.ring->edges->len == 1)
    return reshape_refuse (&work, MODEL_REWORK_ERROR_SHAPE, error);
  want = geom_affine_apply_vector (work.onto,
                                   geom_point (cos (rework_radians (deg)), sin (rework_radians (deg))));
  own = reshape_edge_take (&work, e);
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    GeomPoint from = reshape_edge_piece (&own, s, 0)->c.p[0], to = last_of (own.pieces[s])->c.p[3];
    GeomPoint chord = geom_sub (to, from), fixed = keep_end ? to : from, arrive;
    GeomAffine turn = geom_affine_turn (fixed, reshape_turn (chord, want));

    if (!work.acts[s])
      continue;
    if (!(geom_norm (chord) > RESHAPE_SAME_MM))
    {
      reshape_edge_clear (&own);
      return reshape_refuse (&work, MODEL_REWORK_ERROR_SHAPE, error);
    }
    for (guint i = 0; i < reshape_edge_count (&own); i++)
      *reshape_edge_piece (&own, s, i) = reshape_mapped (reshape_edge_piece (&own, s, i), &turn);
    /* Exactly where it says: the turn's rounding would leave 90 degrees a hair off. */
    arrive = geom_along (fixed, keep_end ? -geom_norm (chord) : geom_norm (chord), want);
    move_end (keep_end ? reshape_edge_piece (&own, s, 0) : last_of (own.pieces[s]), !keep_end, arrive);
    move_end (keep_end ? last_of (own.pieces[s]) : reshape_edge_piece (&own, s, 0), keep_end, fixed);
    take_neighbour_along (&work, e, keep_end, s, arrive);
  }
  reshape_edge_give (&work, e, &own, RESHAPE_MARKS_PART);
  mark_neighbour (&work, e, keep_end);
  reshape_edge_clear (&own);
  return reshape_close (&work, false, error);
}

/* ---- radius ---- */

/* Positive where the edge bulges outward from its chord, or is straight. */
static double
bulge (GArray *pieces)
{
  GeomPoint from = at (pieces, 0)->c.p[0], to = last_of (pieces)->c.p[3];
  double area = 0.5 * geom_cross (to, from);

  for (guint i = 0; i < pieces->len; i++)
    area += geom_cubic_area_term (&at (pieces, i)->c);
  return area >= -RESHAPE_SAME_MM * geom_distance (from, to) ? 1.0 : -1.0;
}

bool
model_reshape_set_edge_radius (
  ModelPanel *panel, ModelDocument *ids, ModelSide side, guint edge_id, double radius_mm, GError **error)
{
  ReshapeWork work;
  ReshapeEdge was, own;
  double turn[REWORK_SHAPES] = { 0 };
  guint e, count = 1;

  if (!reshape_open (&work, panel, ids, side, error) || !find_edge (&work, edge_id, &e, error))
    return false;
  if (work.ring->edges->len == 1)
    return reshape_refuse (&work, MODEL_REWORK_ERROR_SHAPE, error);
  was = reshape_edge_take (&work, e);
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    double half
      = 0.5 * geom_distance (reshape_edge_piece (&was, s, 0)->c.p[0], last_of (was.pieces[s])->c.p[3]);

    if (!work.acts[s])
    {
      count = MAX (count, reshape_edge_count (&was));
      continue;
    }
    /* Written so that NaN fails too. */
    if (!(radius_mm >= half && radius_mm <= MODEL_FILE_MAX_MM && half > RESHAPE_SAME_MM))
    {
      reshape_edge_clear (&was);
      return reshape_refuse (&work, MODEL_REWORK_ERROR_VALUE, error);
    }
    turn[s] = bulge (was.pieces[s]) * 2.0 * asin (half / radius_mm);
    count = MAX (count, reshape_arc_count (turn[s]));
  }
  while (!work.acts[0] && reshape_edge_count (&was) < count)
    reshape_edge_split (&was, reshape_edge_count (&was) - 1, (const double[REWORK_SHAPES]) { 0.5, 0.5 });
  own = reshape_edge_new ();
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    GeomPoint from = reshape_edge_piece (&was, s, 0)->c.p[0], to = last_of (was.pieces[s])->c.p[3];
    GeomPoint way = geom_unit (geom_sub (to, from));
    double half = 0.5 * geom_distance (from, to);

    if (!work.acts[s])
    {
      g_array_append_vals (own.pieces[s], was.pieces[s]->data, was.pieces[s]->len);
      continue;
    }
    reshape_append_arc (
      own.pieces[s],
      geom_along (geom_mix (from, to, 0.5),
                  copysign (sqrt (MAX (0.0, (radius_mm - half) * (radius_mm + half))), turn[s]),
                  geom_left_of (way)),
      from, to, turn[s], count);
    for (guint i = 0; i < MIN (count, was.pieces[s]->len); i++)
      at (own.pieces[s], i)->id = at (was.pieces[s], i)->id;
  }
  reshape_edge_give (&work, e, &own, RESHAPE_MARKS_PART);
  reshape_edge_clear (&was);
  reshape_edge_clear (&own);
  return reshape_close (&work, false, error);
}
