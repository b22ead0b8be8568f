/* Dragging: nodes, handles, the curve itself, and the length of an edge. */
#include "model/shape.h"

#include "model/format.h"
#include "model/shape-hold.h"

/* Nearer to an end than this the point of a curve cannot be had hold of: the handle would have to go to the
 * horizon. */
#define PULL_END_T 1e-4
/* How far from wanted a length may be and count as reached. */
#define LENGTH_REACHED_MM 1e-10
#define LENGTH_MAX_ROUNDS 6

bool
model_shape_where (const ModelPanel *panel, ModelSide side, guint node_id, ModelHandle handle, GeomPoint *at)
{
  ModelHold hold = model_hold ((ModelPanel *)panel, side); /* only read */
  ModelSeat seat;
  ModelNode node;

  if (!model_hold_find (panel, node_id, &seat))
    return false;
  node = model_hold_get (&hold, seat);
  switch (handle)
  {
  case MODEL_HANDLE_NONE:
    *at = node.at;
    break;
  case MODEL_HANDLE_IN:
    *at = node.in;
    break;
  case MODEL_HANDLE_OUT:
    *at = node.out;
    break;
  }
  return true;
}

/* ---- nodes ---- */

/* The vectors by which the two ends of the fold may slide when FIRST and LAST say which of them are wanted
 * to. */
static void
slide_fold (
  const ModelHold *hold, bool first, bool last, double along, GeomPoint *by_first, GeomPoint *by_last)
{
  ModelSeat a = { (guint)hold->fold, 0 };
  ModelSeat b = { ((guint)hold->fold + 1) % hold->panel->edges->len, 0 };
  double length = geom_distance (model_hold_node (hold->panel, a)->at, model_hold_node (hold->panel, b)->at);
  double slack = MAX (0.0, length - MODEL_HOLD_MIN_FOLD_MM);
  double a_along = first ? along : 0.0, b_along = last ? along : 0.0;

  if (first && !last)
    a_along = MIN (a_along, slack);
  if (last && !first)
    b_along = MAX (b_along, -slack);
  *by_first = geom_scale (hold->axis_dir, a_along);
  *by_last = geom_scale (hold->axis_dir, b_along);
}

void
model_shape_move_nodes (ModelPanel *panel, ModelSide side, const guint *node_ids, guint count, GeomPoint by)
{
  ModelHold hold = model_hold (panel, side);
  g_autoptr (GHashTable) seen = g_hash_table_new (NULL, NULL);
  g_autoptr (GArray) seats = g_array_new (FALSE, FALSE, sizeof (ModelSeat));
  GeomPoint by_first = { 0 }, by_last = { 0 };
  bool first = false, last = false, any_locked = false;

  if (!model_hold_is_finite (by))
    return;
  for (guint i = 0; i < count; i++)
  {
    ModelSeat seat;

    if (!g_hash_table_add (seen, GUINT_TO_POINTER (node_ids[i]))
        || !model_hold_find (panel, node_ids[i], &seat))
      continue;
    if (model_hold_is_locked (panel, seat))
    {
      any_locked = true;
      continue;
    }
    g_array_append_val (seats, seat);
    if (hold.fold >= 0 && model_hold_on_axis (&hold, seat))
    {
      if (seat.edge != (guint)hold.fold)
        last = true;
      else if (seat.node == 0)
        first = true;
    }
  }
  if (hold.fold >= 0 && !any_locked && seats->len == model_panel_node_count (panel))
  {
    /* The whole panel: its axis goes along, and so does the other side. */
    model_shape_map (panel, geom_affine_move (by.x, by.y));
    return;
  }
  if (hold.fold >= 0)
    slide_fold (&hold, first, last, geom_dot (by, hold.axis_dir), &by_first, &by_last);
  for (guint i = 0; i < seats->len; i++)
  {
    ModelSeat seat = g_array_index (seats, ModelSeat, i);
    ModelNode node = model_hold_get (&hold, seat);

    if (!model_hold_on_axis (&hold, seat))
      model_hold_shift (&node, by);
    else if (seat.edge != (guint)hold.fold)
      model_hold_shift (&node, by_last);
    else if (seat.node == 0)
      model_hold_shift (&node, by_first);
    model_hold_put (&hold, seat, node);
  }
}

void
model_shape_place_node (ModelPanel *panel, ModelSide side, guint node_id, GeomPoint to)
{
  GeomPoint at;

  if (model_shape_where (panel, side, node_id, MODEL_HANDLE_NONE, &at))
    model_shape_move_nodes (panel, side, &node_id, 1, geom_sub (to, at));
}

/* ---- handles ---- */

/* A smooth node without a partner handle goes on from the piece on the far side: its handle may only lie on
 * that piece's tangent.  False where the handle is free. */
static bool
find_tangent_line (const ModelHold *hold, ModelSeat seat, ModelHandle handle, GeomPoint *direction)
{
  const ModelNode *drawn = model_hold_node (hold->panel, seat);
  ModelHandle partner = handle == MODEL_HANDLE_IN ? MODEL_HANDLE_OUT : MODEL_HANDLE_IN;
  ModelNode node, beyond;
  GeomPoint from;

  if (seat.node == 0 || drawn->kind == MODEL_NODE_CORNER)
    return false;
  node = model_hold_get (hold, seat);
  if (model_hold_has_handle (&node, partner))
    return false;
  if (handle == MODEL_HANDLE_OUT)
  {
    beyond = model_hold_get (hold, model_hold_previous (hold->panel, seat));
    from = model_hold_has_handle (&beyond, MODEL_HANDLE_OUT) ? beyond.out : beyond.at;
  }
  else
  {
    beyond = model_hold_get (hold, model_hold_next (hold->panel, seat));
    from = model_hold_has_handle (&beyond, MODEL_HANDLE_IN) ? beyond.in : beyond.at;
  }
  *direction = geom_unit (geom_sub (node.at, from));
  return geom_norm (*direction) > 0.0;
}

/* Puts one handle, the partner after it by the node's kind. */
static void
put_handle (const ModelHold *hold, ModelSeat seat, ModelHandle handle, GeomPoint to)
{
  ModelNode node = model_hold_get (hold, seat);
  ModelNodeKind kind = seat.node == 0 ? MODEL_NODE_CORNER : node.kind;
  ModelHandle partner = handle == MODEL_HANDLE_IN ? MODEL_HANDLE_OUT : MODEL_HANDLE_IN;
  GeomPoint *mine = handle == MODEL_HANDLE_IN ? &node.in : &node.out;
  GeomPoint *others = handle == MODEL_HANDLE_IN ? &node.out : &node.in;
  GeomPoint line;

  if (find_tangent_line (hold, seat, handle, &line))
    to = geom_along (node.at, MAX (0.0, geom_dot (geom_sub (to, node.at), line)), line);
  *mine = to;
  if (geom_distance (to, node.at) > MODEL_HOLD_NO_HANDLE_MM && model_hold_has_handle (&node, partner))
    switch (kind)
    {
    case MODEL_NODE_CORNER:
      break;
    case MODEL_NODE_SMOOTH:
      *others = geom_along (node.at, geom_distance (*others, node.at), geom_unit (geom_sub (node.at, to)));
      break;
    case MODEL_NODE_EVEN:
      *others = geom_add (node.at, geom_sub (node.at, to));
      break;
    }
  model_hold_put (hold, seat, node);
}

void
model_shape_place_handle (ModelPanel *panel, ModelSide side, guint node_id, ModelHandle handle, GeomPoint to)
{
  ModelHold hold = model_hold (panel, side);
  ModelSeat seat;

  if (handle == MODEL_HANDLE_NONE)
  {
    model_shape_place_node (panel, side, node_id, to);
    return;
  }
  if (!model_hold_find (panel, node_id, &seat) || !model_hold_is_finite (to))
    return;
  if (model_hold_is_fixed_piece (panel,
                                 handle == MODEL_HANDLE_OUT ? seat : model_hold_previous (panel, seat)))
    return;
  put_handle (&hold, seat, handle, to);
}

/* ---- the curve itself ---- */

/* A symmetrical 2 x 2 matrix: xx, xy, yy. */
typedef struct Symmetric
{
  double xx, xy, yy;
} Symmetric;

static Symmetric
freedom (bool on_line, GeomPoint line)
{
  if (!on_line)
    return (Symmetric) { 1.0, 0.0, 1.0 };
  return (Symmetric) { line.x * line.x, line.x * line.y, line.y * line.y };
}

static GeomPoint
times (Symmetric m, GeomPoint v)
{
  return geom_point (m.xx * v.x + m.xy * v.y, m.xy * v.x + m.yy * v.y);
}

void
model_shape_pull_piece (
  ModelPanel *panel, ModelSide side, guint edge_id, guint node_index, double t, GeomPoint to)
{
  /* Of all moves of the two handles that carry the point at T to TO, the smallest:
   *   b1 d1 + b2 d2 = d,  |d1|^2 + |d2|^2 least,  d1 and d2 only where their nodes let them.
   * With P1, P2 the projections onto what is allowed: (b1^2 P1 + b2^2 P2) l = d,  di = bi Pi l. */
  ModelHold hold = model_hold (panel, side);
  ModelSeat a, b;
  GeomCubic c;
  GeomPoint line1 = { 0 }, line2 = { 0 }, d, l, d1, d2;
  Symmetric p1, p2, m;
  double b1, b2, determinant;
  bool on_line1, on_line2;

  if (!model_hold_find_piece (panel, edge_id, node_index, &a) || model_hold_is_fixed_piece (panel, a))
    return;
  if (!(t >= PULL_END_T && t <= 1.0 - PULL_END_T) || !model_hold_is_finite (to))
    return;
  b = model_hold_next (panel, a);
  c = model_hold_piece (&hold, a);
  on_line1 = find_tangent_line (&hold, a, MODEL_HANDLE_OUT, &line1);
  on_line2 = find_tangent_line (&hold, b, MODEL_HANDLE_IN, &line2);
  p1 = freedom (on_line1, line1);
  p2 = freedom (on_line2, line2);
  b1 = 3.0 * t * (1.0 - t) * (1.0 - t);
  b2 = 3.0 * t * t * (1.0 - t);
  m = (Symmetric) { b1 * b1 * p1.xx + b2 * b2 * p2.xx, b1 * b1 * p1.xy + b2 * b2 * p2.xy,
                    b1 * b1 * p1.yy + b2 * b2 * p2.yy };
  d = geom_sub (to, geom_cubic_at (&c, t));
  determinant = m.xx * m.yy - m.xy * m.xy;
  if (determinant > 1e-9 * (m.xx + m.yy) * (m.xx + m.yy))
    l = geom_point ((m.yy * d.x - m.xy * d.y) / determinant, (m.xx * d.y - m.xy * d.x) / determinant);
  else
    /* Both handles slide on parallel lines: only what lies along them can be had. */
    l = geom_scale (times (m, d), 1.0 / ((m.xx + m.yy) * (m.xx + m.yy)));
  d1 = geom_scale (times (p1, l), b1);
  d2 = geom_scale (times (p2, l), b2);
  put_handle (&hold, a, MODEL_HANDLE_OUT, geom_add (c.p[1], d1));
  put_handle (&hold, b, MODEL_HANDLE_IN, geom_add (c.p[2], d2));
}

/* ---- the length of an edge ---- */

/* Turn and scale about ANCHOR: (re, im) times the vector from there, as complex numbers. */
typedef struct Similarity
{
  GeomPoint anchor;
  double re, im;
} Similarity;

static GeomPoint
similar (const Similarity *s, GeomPoint p)
{
  GeomPoint v = geom_sub (p, s->anchor);

  return geom_point (s->anchor.x + s->re * v.x - s->im * v.y, s->anchor.y + s->im * v.x + s->re * v.y);
}

/* The map about ANCHOR that makes the edge K times as long.  FAR may only slide on the fold's line: then the
 * edge turns about its fixed corner as far as that asks.  False: the line is out of reach. */
static bool
find_similarity (
  const ModelHold *hold, GeomPoint anchor, GeomPoint far, bool far_on_axis, double k, Similarity *out)
{
  GeomPoint chord = geom_sub (far, anchor), foot, plus, minus, arrive;
  double radius = k * geom_norm (chord), height, half, square = geom_dot (chord, chord);

  *out = (Similarity) { anchor, k, 0.0 };
  if (!far_on_axis)
    return true;
  if (square <= MODEL_HOLD_NO_HANDLE_MM * MODEL_HOLD_NO_HANDLE_MM)
    return false;
  foot
    = geom_along (hold->axis_at, geom_dot (geom_sub (anchor, hold->axis_at), hold->axis_dir), hold->axis_dir);
  height = geom_distance (anchor, foot);
  if (radius < height)
    return false;
  half = sqrt ((radius - height) * (radius + height));
  plus = geom_along (foot, half, hold->axis_dir);
  minus = geom_along (foot, -half, hold->axis_dir);
  arrive = geom_distance (plus, far) <= geom_distance (minus, far) ? plus : minus;
  arrive = geom_sub (arrive, anchor);
  out->re = geom_dot (chord, arrive) / square;
  out->im = geom_cross (chord, arrive) / square;
  return true;
}

/* The fold would keep its direction and at least its least length if the corner at SEAT came to TO. */
static bool
fold_bears (const ModelHold *hold, ModelSeat seat, GeomPoint to)
{
  ModelSeat first = { (guint)hold->fold, 0 };
  ModelSeat last = { ((guint)hold->fold + 1) % hold->panel->edges->len, 0 };
  GeomPoint a = model_hold_node (hold->panel, first)->at, b = model_hold_node (hold->panel, last)->at;

  if (model_hold_same (seat, first))
    a = to;
  else
    b = to;
  return geom_dot (geom_sub (b, a), hold->axis_dir) >= MODEL_HOLD_MIN_FOLD_MM;
}

/* Lays the edge through S; WAS holds its nodes before, the far corner of the outline last. */
static void
put_similar (
  const ModelHold *hold, guint edge, const ModelNode *was, guint count, const Similarity *s, bool keep_end)
{
  ModelSeat seat = { edge, 0 };

  if (hold->panel->edges->len == 1)
  {
    /* A loop with one corner: that stays, both its handles are the edge's own. */
    for (guint i = 0; i < count; i++, seat = model_hold_next (hold->panel, seat))
    {
      ModelNode node = was[i];

      node.at = similar (s, node.at);
      node.in = similar (s, node.in);
      node.out = similar (s, node.out);
      model_hold_put (hold, seat, node);
    }
    return;
  }
  for (guint i = 0; i <= count; i++, seat = model_hold_next (hold->panel, seat))
  {
    ModelNode node = was[i];
    bool first = i == 0, last = i == count;
    bool stays = (first && !keep_end) || (last && keep_end);
    GeomPoint to = stays ? node.at : similar (s, node.at);

    /* TO first: a handle that lies on its corner stays exactly there. */
    node.in = first ? geom_add (to, geom_sub (node.in, node.at)) : similar (s, node.in);
    node.out = last ? geom_add (to, geom_sub (node.out, node.at)) : similar (s, node.out);
    node.at = to;
    model_hold_put (hold, seat, node);
  }
}

bool
model_shape_set_edge_length (ModelPanel *panel, ModelSide side, guint edge_id, double mm, bool keep_end)
{
  ModelHold hold = model_hold (panel, side);
  int found = model_panel_find_edge (panel, edge_id);
  g_autofree ModelNode *was = NULL;
  ModelSeat seat, far;
  Similarity s = { 0 };
  guint edge, count;
  double length, k;
  bool loop, on_axis;

  if (found < 0 || !(mm > 0.0) || mm > MODEL_FILE_MAX_MM || panel->locked)
    return false;
  edge = (guint)found;
  if (model_panel_edge (panel, edge)->locked)
    return false;
  length = model_hold_length (&hold, edge);
  if (!(length > MODEL_HOLD_NO_HANDLE_MM))
    return false;

  count = model_panel_edge (panel, edge)->nodes->len;
  was = g_new (ModelNode, count + 1);
  seat = (ModelSeat) { edge, 0 };
  for (guint i = 0; i <= count; i++, seat = model_hold_next (panel, seat))
    was[i] = model_hold_get (&hold, seat);
  loop = panel->edges->len == 1;
  far = keep_end ? (ModelSeat) { edge, 0 } : (ModelSeat) { (edge + 1) % panel->edges->len, 0 };
  if (!loop && model_hold_is_locked (panel, far))
    return false;
  on_axis = !loop && model_hold_on_axis (&hold, far);

  k = mm / length;
  for (int round = 0; round < LENGTH_MAX_ROUNDS; round++)
  {
    GeomPoint anchor = keep_end ? was[count].at : was[0].at, moving = keep_end ? was[0].at : was[count].at;
    double now;

    bool reachable = find_similarity (&hold, anchor, moving, on_axis, k, &s)
                     && (!on_axis || fold_bears (&hold, far, similar (&s, moving)));

    for (guint i = 0; reachable && i <= count; i++)
      reachable = model_hold_in_bounds (similar (&s, was[i].at))
                  && model_hold_in_bounds (similar (&s, was[i].in))
                  && model_hold_in_bounds (similar (&s, was[i].out));
    if (!reachable && round == 0)
      return false;
    if (!reachable)
      break; /* right at the limit: what the round before laid down stays */
    put_similar (&hold, edge, was, count, &s, keep_end);
    now = model_hold_length (&hold, edge);
    if (fabs (now - mm) <= LENGTH_REACHED_MM || !(now > 0.0))
      break;
    k *= mm / now;
  }
  if (!hold.own)
    for (guint i = 0; i < panel->marks->len; i++)
    {
      ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);

      if (mark->edge_id == edge_id)
        mark->at_mm = MIN (mark->at_mm * (mm / length), MODEL_MAX_ALONG_MM);
    }
  return true;
}
