#include "model/reshape-work.h"

#include "model/format.h"

/* How far a fold's corner may come to lie from its axis: rounding of a meeting point, not a maker's error. */
#define AXIS_MM 1e-7

/* ---- open ---- */

bool
reshape_open (ReshapeWork *work, ModelPanel *panel, ModelDocument *ids, ModelSide side, GError **error)
{
  ModelHold hold = model_hold (panel, side);

  *work = (ReshapeWork) { .panel = panel, .ids = ids };
  if (panel->locked)
  {
    rework_set_error (error, MODEL_REWORK_ERROR_LOCKED, panel->name);
    return false;
  }
  work->ring = rework_ring_new (panel);
  work->dirty = g_hash_table_new (NULL, NULL);
  work->held = hold.own ? 1 : 0;
  work->acts[0] = !hold.own;
  work->acts[1] = true;
  work->mirrored = hold.other;
  work->onto = hold.other ? hold.mirror : geom_affine_identity ();
  return true;
}

static void
release (ReshapeWork *work)
{
  g_clear_pointer (&work->ring, rework_ring_free);
  g_clear_pointer (&work->dirty, g_hash_table_unref);
}

bool
reshape_refuse (ReshapeWork *work, ModelReworkError code, GError **error)
{
  rework_set_error (error, code, work->panel->name);
  release (work);
  return false;
}

/* ---- pieces ---- */

ReshapePiece
reshape_line (GeomPoint a, GeomPoint b)
{
  return (ReshapePiece) { geom_cubic_line (a, b), true, 0 };
}

ReshapePiece
reshape_curve (GeomCubic c)
{
  return (ReshapePiece) { c, false, 0 };
}

ReshapePiece
reshape_part (const ReshapePiece *piece, double t0, double t1)
{
  ReshapePiece part = *piece;

  if (piece->straight)
    part.c = geom_cubic_line (geom_mix (piece->c.p[0], piece->c.p[3], t0),
                              geom_mix (piece->c.p[0], piece->c.p[3], t1));
  else
    part.c = geom_cubic_part (&piece->c, t0, t1);
  part.id = t0 > 0.0 ? 0 : piece->id;
  return part;
}

ReshapePiece
reshape_mapped (const ReshapePiece *piece, const GeomAffine *map)
{
  ReshapePiece mapped = *piece;

  mapped.c = geom_cubic_mapped (&piece->c, *map);
  return mapped;
}

ReshapeEdge
reshape_edge_new (void)
{
  ReshapeEdge edge;

  for (int s = 0; s < REWORK_SHAPES; s++)
    edge.pieces[s] = g_array_new (FALSE, TRUE, sizeof (ReshapePiece));
  return edge;
}

void
reshape_edge_clear (ReshapeEdge *edge)
{
  for (int s = 0; s < REWORK_SHAPES; s++)
    g_clear_pointer (&edge->pieces[s], g_array_unref);
}

ReshapeEdge
reshape_edge_take (const ReshapeWork *work, guint edge)
{
  ReshapeEdge taken = reshape_edge_new ();
  guint count = rework_ring_edge (work->ring, edge)->nodes->len;

  edge %= work->ring->edges->len;
  for (int s = 0; s < REWORK_SHAPES; s++)
    for (guint n = 0; n < count; n++)
    {
      ModelSeat seat = { edge, n };
      const ModelNode *a = &rework_ring_node (work->ring, seat)->shape[s];
      const ModelNode *b = &rework_ring_node (work->ring, rework_ring_next (work->ring, seat))->shape[s];
      ReshapePiece piece = { model_hold_cubic (a, b), model_hold_is_straight (a, b), a->id };

      g_array_append_val (taken.pieces[s], piece);
    }
  return taken;
}

/* In line to either side, as the handles or, where there are none, the straight pieces go. */
static ModelNodeKind
kind_between (const ReshapePiece *before, const ReshapePiece *after)
{
  GeomPoint u = geom_cubic_tangent (&before->c, 1.0), v = geom_cubic_tangent (&after->c, 0.0);

  if (before->straight && after->straight)
    return MODEL_NODE_CORNER;
  return fabs (geom_cross (u, v)) <= RESHAPE_IN_LINE && geom_dot (u, v) > 0.0 ? MODEL_NODE_SMOOTH
                                                                              : MODEL_NODE_CORNER;
}

static GeomPoint
out_of (const ReshapePiece *piece)
{
  return piece->straight ? piece->c.p[0] : piece->c.p[1];
}

static GeomPoint
in_of (const ReshapePiece *piece)
{
  return piece->straight ? piece->c.p[3] : piece->c.p[2];
}

void
reshape_edge_give (ReshapeWork *work, guint edge, const ReshapeEdge *from, ReshapeMarks marks)
{
  ReworkEdge *to;
  guint count = reshape_edge_count (from);
  g_autoptr (GArray) nodes = g_array_new (FALSE, TRUE, sizeof (ReworkNode));
  ReworkNode *end;

  edge %= work->ring->edges->len;
  to = rework_ring_edge (work->ring, edge);
  for (guint i = 0; i < count; i++)
  {
    ReworkNode node = { 0 };
    guint id = reshape_edge_piece (from, 0, i)->id;

    /* What arrives at the corner is the edge before's. */
    if (i == 0)
      node = g_array_index (to->nodes, ReworkNode, 0);
    for (int s = 0; s < REWORK_SHAPES; s++)
    {
      const ReshapePiece *piece = reshape_edge_piece (from, s, i);
      GeomPoint was = node.shape[s].at;

      node.shape[s].at = piece->c.p[0];
      node.shape[s].out = out_of (piece);
      if (i > 0)
        node.shape[s].in = in_of (reshape_edge_piece (from, s, i - 1));
      else if (geom_distance (node.shape[s].in, was) <= MODEL_HOLD_NO_HANDLE_MM)
        node.shape[s].in = node.shape[s].at;
      if (i > 0)
        node.shape[s].kind
          = kind_between (reshape_edge_piece (from, 0, i - 1), reshape_edge_piece (from, 0, i));
    }
    if (i > 0)
    {
      if (id == 0)
        id = model_document_take_id (work->ids);
      node.shape[0].id = node.shape[1].id = id;
    }
    g_array_append_val (nodes, node);
  }
  g_array_set_size (to->nodes, 0);
  g_array_append_vals (to->nodes, nodes->data, nodes->len);
  end = rework_ring_node (work->ring, (ModelSeat) { (edge + 1) % work->ring->edges->len, 0 });
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    const ReshapePiece *last = reshape_edge_piece (from, s, count - 1);

    if (geom_distance (end->shape[s].out, end->shape[s].at) <= MODEL_HOLD_NO_HANDLE_MM)
      end->shape[s].out = last->c.p[3];
    end->shape[s].at = last->c.p[3];
    end->shape[s].in = in_of (last);
  }
  g_hash_table_insert (work->dirty, GUINT_TO_POINTER (to->head->id), GINT_TO_POINTER (marks));
}

double
reshape_edge_length (const ReshapeEdge *edge, int shape)
{
  double length = 0.0;

  for (guint i = 0; i < reshape_edge_count (edge); i++)
    length += geom_cubic_length (&reshape_edge_piece (edge, shape, i)->c, MODEL_HOLD_LENGTH_ACCURACY_MM);
  return length;
}

bool
reshape_edge_is_fixed (const ReshapeWork *work, guint edge, ModelReworkError *code)
{
  if (rework_ring_edge (work->ring, edge)->head->locked)
  {
    *code = MODEL_REWORK_ERROR_LOCKED;
    return true;
  }
  if (rework_ring_is_fold (work->ring, edge))
  {
    *code = MODEL_REWORK_ERROR_FOLD;
    return true;
  }
  return false;
}

void
reshape_edge_split (ReshapeEdge *edge, guint index, const double t[REWORK_SHAPES])
{
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    ReshapePiece piece = *reshape_edge_piece (edge, s, index);
    ReshapePiece head = reshape_part (&piece, 0.0, t[s]), tail = reshape_part (&piece, t[s], 1.0);

    tail.id = 0;
    *reshape_edge_piece (edge, s, index) = head;
    g_array_insert_val (edge->pieces[s], index + 1, tail);
  }
}

/* ---- arcs ---- */

double
model_reshape_arc_error (double w_rad)
{
  double sine = sin (0.25 * w_rad), cosine = cos (0.25 * w_rad);

  return (2.0 / 27.0) * sine * sine * sine * sine * sine * sine / (cosine * cosine);
}

guint
reshape_arc_count (double turn)
{
  return (guint)CLAMP (ceil (fabs (turn) / (0.25 * G_PI) - 1e-9), 1.0, 16.0);
}

void
reshape_append_arc (GArray *pieces, GeomPoint centre, GeomPoint a, GeomPoint b, double turn, guint count)
{
  GeomPoint spoke = geom_sub (a, centre);
  double step = turn / count, handle = (4.0 / 3.0) * tan (0.25 * step);
  GeomPoint from = a, from_spoke = spoke;

  for (guint i = 1; i <= count; i++)
  {
    double w = step * i;
    GeomPoint to_spoke
      = geom_point (spoke.x * cos (w) - spoke.y * sin (w), spoke.x * sin (w) + spoke.y * cos (w));
    /* The end is where the next curve begins, to the bit. */
    GeomPoint to = i == count ? b : geom_add (centre, to_spoke);
    GeomCubic c = { { from, geom_along (from, handle, geom_left_of (from_spoke)),
                      geom_along (to, -handle, geom_left_of (to_spoke)), to } };
    ReshapePiece piece = reshape_curve (c);

    g_array_append_val (pieces, piece);
    from = to;
    from_spoke = to_spoke;
  }
}

/* ---- corners ---- */

void
reshape_shift_corner (ReshapeWork *work, ModelSeat seat, int shape, GeomPoint to)
{
  ReworkNode *node = rework_ring_node (work->ring, seat);

  model_hold_shift (&node->shape[shape], geom_sub (to, node->shape[shape].at));
}

/* ---- close ---- */

/* The fold's corners are shared: what one shape's deed did to them the other takes over. */
static void
share_fold_corners (ReshapeWork *work)
{
  for (guint e = 0; e < work->ring->edges->len; e++)
  {
    guint before = (e + work->ring->edges->len - 1) % work->ring->edges->len;
    ReworkNode *node = rework_ring_node (work->ring, (ModelSeat) { e, 0 });

    if (!rework_ring_is_fold (work->ring, e) && !rework_ring_is_fold (work->ring, before))
      continue;
    if (!geom_same_point (node->shape[0].at, node->shape[1].at))
    {
      int to = work->held == 1 ? 0 : 1;

      model_hold_shift (&node->shape[to], geom_sub (node->shape[work->held].at, node->shape[to].at));
      node->shape[to].at = node->shape[work->held].at;
    }
  }
}

/* The fold's line is where it was. */
static bool
fold_holds (const ModelPanel *before, const ModelPanel *after)
{
  int was = before->halves == MODEL_HALVES_FOLD ? model_panel_fold_edge (before) : -1;
  int now = after->halves == MODEL_HALVES_FOLD ? model_panel_fold_edge (after) : -1;
  GeomPoint at, along;

  if (was < 0)
    return true;
  if (now < 0)
    return false;
  at = model_edge_node (model_panel_edge (before, (guint)was), 0)->at;
  along = geom_unit (geom_sub (model_panel_next_node (before, (guint)was, 0)->at, at));
  return fabs (
           geom_cross (along, geom_sub (model_edge_node (model_panel_edge (after, (guint)now), 0)->at, at)))
           <= AXIS_MM
         && fabs (geom_cross (along, geom_sub (model_panel_next_node (after, (guint)now, 0)->at, at)))
              <= AXIS_MM
         && geom_dot (along, geom_sub (model_panel_next_node (after, (guint)now, 0)->at,
                                       model_edge_node (model_panel_edge (after, (guint)now), 0)->at))
              >= MODEL_HOLD_MIN_FOLD_MM;
}

static void
edge_path (const ModelPanel *panel, guint edge, GeomPath *out)
{
  geom_path_reset (out);
  for (guint n = 0; n < model_panel_edge (panel, edge)->nodes->len; n++)
  {
    GeomCubic c = model_hold_cubic (model_hold_node (panel, (ModelSeat) { edge, n }),
                                    model_panel_next_node (panel, edge, n));

    geom_path_append (out, &c);
  }
}

/* Marks of edges that were reshaped, from where they were before. */
static void
settle_marks (const ReshapeWork *work, ModelPanel *after)
{
  GeomPath was, now;

  geom_path_init (&was);
  geom_path_init (&now);
  for (guint i = 0; i < work->panel->marks->len; i++)
  {
    ModelMark mark = g_array_index (work->panel->marks, ModelMark, i), *present;
    int how = GPOINTER_TO_INT (g_hash_table_lookup (work->dirty, GUINT_TO_POINTER (mark.edge_id)));
    int edge_was = model_panel_find_edge (work->panel, mark.edge_id), edge = -1;
    double length, nearest = INFINITY;
    GeomPoint at;

    if (how == 0 || edge_was < 0)
      continue;
    edge_path (work->panel, (guint)edge_was, &was);
    length = geom_path_length (&was, MODEL_HOLD_LENGTH_ACCURACY_MM);
    at = geom_path_point (&was, geom_path_place_at (&was, mark.at_mm, MODEL_HOLD_LENGTH_ACCURACY_MM));
    present = model_panel_find_mark (after, mark.id);
    if (how == RESHAPE_MARKS_PART)
    {
      edge = model_panel_find_edge (after, mark.edge_id);
      if (edge < 0)
        continue;
      edge_path (after, (guint)edge, &now);
      mark.at_mm
        = length > 0.0 ? mark.at_mm / length * geom_path_length (&now, MODEL_HOLD_LENGTH_ACCURACY_MM) : 0.0;
    }
    else
      /* On its own edge, if that is still there, else wherever is nearest. */
      for (guint e = 0; e < after->edges->len; e++)
      {
        guint id = model_panel_edge (after, e)->id;
        GeomPathNearest near;

        if (model_panel_find_edge (after, mark.edge_id) >= 0 && id != mark.edge_id
            && !(present != NULL && present->edge_id == id))
          continue;
        edge_path (after, e, &now);
        near = geom_path_nearest (&now, at);
        if (!(near.distance_mm < nearest))
          continue;
        nearest = near.distance_mm;
        edge = (int)e;
        mark.at_mm = geom_path_length_to (&now, near.place, MODEL_HOLD_LENGTH_ACCURACY_MM);
        mark.edge_id = id;
      }
    mark.at_mm = CLAMP (mark.at_mm, 0.0, MODEL_MAX_ALONG_MM);
    if (edge < 0)
      continue;
    if (present != NULL)
      *present = mark;
    else
      g_array_append_val (after->marks, mark);
  }
  geom_path_clear (&was);
  geom_path_clear (&now);
}

static bool
ring_is_finite (const ReworkRing *ring)
{
  for (guint e = 0; e < ring->edges->len; e++)
    for (guint n = 0; n < rework_ring_edge (ring, e)->nodes->len; n++)
      for (int s = 0; s < REWORK_SHAPES; s++)
      {
        const ModelNode *node = &rework_ring_node (ring, (ModelSeat) { e, n })->shape[s];

        if (!model_hold_is_finite (node->at) || !model_hold_is_finite (node->in)
            || !model_hold_is_finite (node->out))
          return false;
      }
  return true;
}

bool
reshape_close (ReshapeWork *work, bool crossing, GError **error)
{
  g_autoptr (ModelPanel) after = NULL;
  ModelPanel kept;

  if (!ring_is_finite (work->ring))
    return reshape_refuse (work, MODEL_REWORK_ERROR_VALUE, error);
  share_fold_corners (work);
  after = rework_ring_panel (work->ring);
  if (!fold_holds (work->panel, after))
    return reshape_refuse (work, MODEL_REWORK_ERROR_FOLD, error);
  if (!crossing && !rework_is_sound (work->panel, after, error))
  {
    release (work);
    return false;
  }
  settle_marks (work, after);
  kept = *work->panel;
  *work->panel = *after;
  *after = kept;
  release (work);
  return true;
}
