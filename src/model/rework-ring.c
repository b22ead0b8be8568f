#include "model/rework-ring.h"

#include "model/format.h"
#include "model/tape.h"

#include <glib/gi18n.h>

/* Steps a piece when looking for an angle: a piece that swings out and back between two steps is passed by.
 */
#define ANGLE_STEPS 16
#define BISECT_ROUNDS 60

/* ---- to and from panels ---- */

static void
free_edge (gpointer edge)
{
  model_edge_free (((ReworkEdge *)edge)->head);
  g_array_unref (((ReworkEdge *)edge)->nodes);
  g_free (edge);
}

static ReworkEdge *
new_edge (ModelEdge *head)
{
  ReworkEdge *edge = g_new0 (ReworkEdge, 1);

  edge->head = head;
  edge->nodes = g_array_new (FALSE, FALSE, sizeof (ReworkNode));
  return edge;
}

/* The mark's piece and t there; beyond the edge's end: the end. */
static ReworkMark
take_mark (const ReworkRing *ring, const ModelMark *mark)
{
  ReworkMark taken = { .mark = *mark };
  guint edge = (guint)rework_ring_find_edge (ring, mark->edge_id);
  guint count = rework_ring_edge (ring, edge)->nodes->len;
  double along = mark->at_mm;

  for (guint i = 0; i < count; i++)
  {
    ModelSeat seat = { edge, i };
    GeomCubic c = rework_ring_piece (ring, seat, 0);
    double length = geom_cubic_length (&c, MODEL_HOLD_LENGTH_ACCURACY_MM);

    taken.node_id = rework_ring_node (ring, seat)->shape[0].id;
    taken.t = 1.0;
    if (along < length)
    {
      taken.t = geom_cubic_t_at_length (&c, MAX (0.0, along), MODEL_HOLD_LENGTH_ACCURACY_MM);
      break;
    }
    along -= length;
  }
  return taken;
}

ReworkRing *
rework_ring_new (const ModelPanel *panel)
{
  ReworkRing *ring = g_new0 (ReworkRing, 1);
  GeomAffine mirror = model_panel_mirror (panel);

  ring->edges = g_ptr_array_new_with_free_func (free_edge);
  ring->marks = g_array_new (FALSE, FALSE, sizeof (ReworkMark));
  for (guint e = 0; e < panel->edges->len; e++)
  {
    ReworkEdge *edge = new_edge (model_edge_copy (model_panel_edge (panel, e)));

    g_array_set_size (edge->head->nodes, 0);
    g_ptr_array_add (ring->edges, edge);
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++)
    {
      ModelSeat seat = { e, n };
      ReworkNode node;

      node.shape[0] = node.shape[1] = *model_hold_node (panel, seat);
      if (model_hold_has_correction (panel, seat))
      {
        ModelNode twin = model_hold_twin (panel, &mirror, seat);

        node.shape[1] = model_hold_mapped (twin, &mirror);
        model_hold_bound (&node.shape[1]);
      }
      g_array_append_val (edge->nodes, node);
    }
  }
  for (guint i = 0; i < panel->marks->len; i++)
  {
    ReworkMark mark = take_mark (ring, &g_array_index (panel->marks, ModelMark, i));

    g_array_append_val (ring->marks, mark);
  }
  ring->panel = model_panel_copy (panel);
  g_ptr_array_set_size (ring->panel->edges, 0);
  g_array_set_size (ring->panel->marks, 0);
  g_array_set_size (ring->panel->corrections, 0);
  return ring;
}

void
rework_ring_free (ReworkRing *ring)
{
  if (ring == NULL)
    return;
  model_panel_free (ring->panel);
  g_ptr_array_unref (ring->edges);
  g_array_unref (ring->marks);
  g_free (ring);
}

static void
give_mark (const ReworkRing *ring, ModelPanel *panel, const ReworkMark *taken)
{
  ModelMark mark = taken->mark;
  ModelSeat seat;

  if (mark.id == 0 || !rework_ring_find_node (ring, taken->node_id, &seat))
    return;
  mark.edge_id = rework_ring_edge (ring, seat.edge)->head->id;
  mark.at_mm = 0.0;
  for (guint i = 0; i <= seat.node; i++)
  {
    GeomCubic c = rework_ring_piece (ring, (ModelSeat) { seat.edge, i }, 0);

    mark.at_mm += i < seat.node
                    ? geom_cubic_length (&c, MODEL_HOLD_LENGTH_ACCURACY_MM)
                    : geom_cubic_length_between (&c, 0.0, taken->t, MODEL_HOLD_LENGTH_ACCURACY_MM);
  }
  mark.at_mm = CLAMP (mark.at_mm, 0.0, MODEL_MAX_ALONG_MM);
  g_array_append_val (panel->marks, mark);
}

static bool
same_shapes (const ReworkNode *node)
{
  return geom_same_point (node->shape[0].at, node->shape[1].at)
         && geom_same_point (node->shape[0].in, node->shape[1].in)
         && geom_same_point (node->shape[0].out, node->shape[1].out);
}

ModelPanel *
rework_ring_panel (const ReworkRing *ring)
{
  ModelPanel *panel = model_panel_copy (ring->panel);
  GeomAffine mirror;

  for (guint e = 0; e < ring->edges->len; e++)
  {
    const ReworkEdge *from = rework_ring_edge (ring, e);
    ModelEdge *edge = model_edge_copy (from->head);

    for (guint n = 0; n < from->nodes->len; n++)
    {
      ModelNode node = g_array_index (from->nodes, ReworkNode, n).shape[0];

      if (n == 0)
        node.kind = MODEL_NODE_CORNER;
      model_hold_bound (&node);
      g_array_append_val (edge->nodes, node);
    }
    g_ptr_array_add (panel->edges, edge);
  }
  mirror = model_panel_mirror (panel);
  for (guint e = 0; e < ring->edges->len; e++)
    for (guint n = 0; n < rework_ring_edge (ring, e)->nodes->len; n++)
    {
      ModelSeat seat = { e, n };
      const ReworkNode *node = rework_ring_node (ring, seat);

      if (!same_shapes (node))
        model_hold_set_twin (panel, &mirror, seat, model_hold_mapped (node->shape[1], &mirror));
    }
  for (guint i = 0; i < ring->marks->len; i++)
    give_mark (ring, panel, &g_array_index (ring->marks, ReworkMark, i));
  model_tapes_repair (panel);
  return panel;
}

/* ---- looking ---- */

int
rework_ring_find_edge (const ReworkRing *ring, guint edge_id)
{
  for (guint e = 0; e < ring->edges->len; e++)
    if (rework_ring_edge (ring, e)->head->id == edge_id)
      return (int)e;
  return -1;
}

bool
rework_ring_find_node (const ReworkRing *ring, guint node_id, ModelSeat *seat)
{
  for (guint e = 0; e < ring->edges->len; e++)
    for (guint n = 0; n < rework_ring_edge (ring, e)->nodes->len; n++)
      if (rework_ring_node (ring, (ModelSeat) { e, n })->shape[0].id == node_id)
      {
        *seat = (ModelSeat) { e, n };
        return true;
      }
  return false;
}

ModelSeat
rework_ring_next (const ReworkRing *ring, ModelSeat seat)
{
  if (seat.node + 1 < rework_ring_edge (ring, seat.edge)->nodes->len)
    return (ModelSeat) { seat.edge, seat.node + 1 };
  return (ModelSeat) { (seat.edge + 1) % ring->edges->len, 0 };
}

ModelSeat
rework_ring_previous (const ReworkRing *ring, ModelSeat seat)
{
  guint edge = (seat.edge + ring->edges->len - 1) % ring->edges->len;

  if (seat.node > 0)
    return (ModelSeat) { seat.edge, seat.node - 1 };
  return (ModelSeat) { edge, rework_ring_edge (ring, edge)->nodes->len - 1 };
}

guint
rework_ring_node_count (const ReworkRing *ring)
{
  guint count = 0;

  for (guint e = 0; e < ring->edges->len; e++)
    count += rework_ring_edge (ring, e)->nodes->len;
  return count;
}

GeomCubic
rework_ring_piece (const ReworkRing *ring, ModelSeat seat, int shape)
{
  return model_hold_cubic (&rework_ring_node (ring, seat)->shape[shape],
                           &rework_ring_node (ring, rework_ring_next (ring, seat))->shape[shape]);
}

double
rework_ring_edge_length (const ReworkRing *ring, guint edge, int shape)
{
  double length = 0.0;

  for (guint n = 0; n < rework_ring_edge (ring, edge)->nodes->len; n++)
  {
    GeomCubic c = rework_ring_piece (ring, (ModelSeat) { edge, n }, shape);

    length += geom_cubic_length (&c, MODEL_HOLD_LENGTH_ACCURACY_MM);
  }
  return length;
}

void
rework_ring_path (const ReworkRing *ring, int shape, GeomPath *out)
{
  geom_path_reset (out);
  out->closed = true;
  for (guint e = 0; e < ring->edges->len; e++)
    for (guint n = 0; n < rework_ring_edge (ring, e)->nodes->len; n++)
    {
      GeomCubic c = rework_ring_piece (ring, (ModelSeat) { e, n }, shape);

      geom_path_append (out, &c);
    }
}

bool
rework_ring_is_fold (const ReworkRing *ring, guint edge)
{
  return ring->panel->halves == MODEL_HALVES_FOLD && rework_ring_edge (ring, edge)->head->fold;
}

ReworkEdge *
rework_ring_insert_edge (ReworkRing *ring, ModelDocument *ids, guint index, const ReworkEdge *like)
{
  ReworkEdge *edge = new_edge (like != NULL ? model_edge_copy (like->head) : model_edge_new ());

  edge->head->id = model_document_take_id (ids);
  g_ptr_array_insert (ring->edges, (int)index, edge);
  return edge;
}

/* ---- nodes in ---- */

static void
loosen (ModelNode *node)
{
  if (node->kind == MODEL_NODE_EVEN)
    node->kind = MODEL_NODE_SMOOTH;
}

/* A and B may be the same node. */
static ModelNode
split_shape (ModelNode *a, ModelNode *b, double t)
{
  GeomCubic c = model_hold_cubic (a, b), head, tail;
  ModelNode made = { .kind = MODEL_NODE_CORNER };

  if (model_hold_is_straight (a, b))
  {
    made.at = made.in = made.out = geom_mix (a->at, b->at, t);
    return made;
  }
  geom_cubic_split (&c, t, &head, &tail);
  made.kind = MODEL_NODE_SMOOTH;
  made.at = head.p[3];
  made.in = head.p[2];
  made.out = tail.p[1];
  a->out = head.p[1];
  b->in = tail.p[2];
  return made;
}

ModelSeat
rework_ring_split_each (ReworkRing *ring, ModelDocument *ids, ModelSeat seat, const double t[REWORK_SHAPES])
{
  ReworkNode *a = rework_ring_node (ring, seat), *b = rework_ring_node (ring, rework_ring_next (ring, seat));
  ReworkNode made = { 0 };
  guint was = a->shape[0].id, id = model_document_take_id (ids);
  ModelSeat middle = { seat.edge, seat.node + 1 };

  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    made.shape[s] = split_shape (&a->shape[s], &b->shape[s], t[s]);
    made.shape[s].id = id;
    made.shape[s].kind = made.shape[0].kind;
    loosen (&a->shape[s]);
    loosen (&b->shape[s]);
  }
  g_array_insert_val (rework_ring_edge (ring, seat.edge)->nodes, middle.node, made);
  for (guint i = 0; i < ring->marks->len; i++)
  {
    ReworkMark *mark = &g_array_index (ring->marks, ReworkMark, i);

    if (mark->node_id != was)
      continue;
    if (mark->t < t[0])
      mark->t = CLAMP (mark->t / t[0], 0.0, 1.0);
    else
    {
      mark->node_id = id;
      mark->t = t[0] < 1.0 ? CLAMP ((mark->t - t[0]) / (1.0 - t[0]), 0.0, 1.0) : 0.0;
    }
  }
  return middle;
}

ModelSeat
rework_ring_split (ReworkRing *ring, ModelDocument *ids, ModelSeat seat, double t)
{
  const double each[REWORK_SHAPES] = { t, t };

  return rework_ring_split_each (ring, ids, seat, each);
}

guint
rework_ring_make_corner (ReworkRing *ring, ModelDocument *ids, ModelSeat seat)
{
  ReworkEdge *edge = rework_ring_edge (ring, seat.edge), *more;

  if (seat.node == 0)
    return seat.edge;
  more = rework_ring_insert_edge (ring, ids, seat.edge + 1, edge);
  for (guint n = seat.node; n < edge->nodes->len; n++)
    g_array_append_val (more->nodes, g_array_index (edge->nodes, ReworkNode, n));
  g_array_set_size (edge->nodes, seat.node);
  for (int s = 0; s < REWORK_SHAPES; s++)
    g_array_index (more->nodes, ReworkNode, 0).shape[s].kind = MODEL_NODE_CORNER;
  return seat.edge + 1;
}

/* The seat and t of a place; false with an error. */
static bool
find_place (const ReworkRing *ring, ModelReworkPlace place, ModelSeat *seat, GError **error)
{
  int edge = rework_ring_find_edge (ring, place.edge_id);

  if (edge < 0 || place.node_index >= rework_ring_edge (ring, (guint)edge)->nodes->len
      || !(place.t >= 0.0 && place.t <= 1.0))
  {
    rework_set_error (error, MODEL_REWORK_ERROR_PLACE, ring->panel->name);
    return false;
  }
  *seat = (ModelSeat) { (guint)edge, place.node_index };
  return true;
}

bool
rework_ring_node_at (
  ReworkRing *ring, ModelDocument *ids, ModelReworkPlace place, ModelSeat *seat, GError **error)
{
  GeomCubic c;

  if (!find_place (ring, place, seat, error))
    return false;
  c = rework_ring_piece (ring, *seat, 0);
  if (geom_cubic_length_between (&c, 0.0, place.t, 1e-6) <= REWORK_SAME_PLACE_MM)
    return true;
  if (geom_cubic_length_between (&c, place.t, 1.0, 1e-6) <= REWORK_SAME_PLACE_MM)
  {
    *seat = rework_ring_next (ring, *seat);
    return true;
  }
  if (rework_ring_edge (ring, seat->edge)->head->locked)
  {
    rework_set_error (error, MODEL_REWORK_ERROR_LOCKED, ring->panel->name);
    return false;
  }
  *seat = rework_ring_split (ring, ids, *seat, place.t);
  return true;
}

bool
rework_ring_corner_at (
  ReworkRing *ring, ModelDocument *ids, ModelReworkPlace place, guint *edge_id, GError **error)
{
  ModelSeat seat;

  if (!rework_ring_node_at (ring, ids, place, &seat, error))
    return false;
  if (seat.node > 0 && rework_ring_edge (ring, seat.edge)->head->locked)
  {
    rework_set_error (error, MODEL_REWORK_ERROR_LOCKED, ring->panel->name);
    return false;
  }
  *edge_id = rework_ring_edge (ring, rework_ring_make_corner (ring, ids, seat))->head->id;
  return true;
}

bool
rework_ring_remember (ReworkRing *ring, ModelReworkPlace place, guint *mark, GError **error)
{
  ReworkMark made = { .t = place.t };
  ModelSeat seat;

  if (!find_place (ring, place, &seat, error))
    return false;
  made.node_id = rework_ring_node (ring, seat)->shape[0].id;
  *mark = ring->marks->len;
  g_array_append_val (ring->marks, made);
  return true;
}

ModelReworkPlace
rework_ring_place_of (const ReworkRing *ring, guint mark)
{
  const ReworkMark *taken = &g_array_index (ring->marks, ReworkMark, mark);
  ModelReworkPlace place = { .t = taken->t };
  ModelSeat seat;

  if (rework_ring_find_node (ring, taken->node_id, &seat))
  {
    place.edge_id = rework_ring_edge (ring, seat.edge)->head->id;
    place.node_index = seat.node;
  }
  return place;
}

void
rework_ring_gather_marks (ReworkRing *ring, const GArray *nodes)
{
  guint first_id = g_array_index (nodes, ReworkNode, 0).shape[0].id;

  for (guint i = 0; i < ring->marks->len; i++)
  {
    ReworkMark *mark = &g_array_index (ring->marks, ReworkMark, i);

    for (guint k = 0; k < nodes->len; k++)
      if (mark->node_id == g_array_index (nodes, ReworkNode, k).shape[0].id)
      {
        mark->node_id = first_id;
        mark->t = (k + mark->t) / nodes->len;
        break;
      }
  }
}

void
rework_node_map (ReworkNode *node, const GeomAffine map[REWORK_SHAPES])
{
  for (int s = 0; s < REWORK_SHAPES; s++)
    node->shape[s] = model_hold_mapped (node->shape[s], &map[s]);
}

bool
rework_ring_find_angle (const ReworkRing *ring,
                        ModelSeat seat,
                        GeomPoint centre,
                        double angle,
                        bool forward,
                        ModelSeat *piece,
                        double *t)
{
  GeomPoint from = rework_ring_node (ring, seat)->shape[0].at;
  guint count = rework_ring_edge (ring, seat.edge)->nodes->len;
  /* Going back from a corner means the edge before it. */
  ModelSeat at = forward ? seat : rework_ring_previous (ring, seat);

  for (guint n = 0; n < count; n++)
  {
    GeomCubic c = rework_ring_piece (ring, at, 0);
    double last = forward ? 0.0 : 1.0;

    for (int k = 1; k <= ANGLE_STEPS; k++)
    {
      double here = forward ? k / (double)ANGLE_STEPS : 1.0 - k / (double)ANGLE_STEPS;
      double seen = rework_angle (centre, from, geom_cubic_at (&c, here));

      if (angle > 0.0 ? seen >= angle : seen <= angle)
      {
        double low = last, high = here;

        for (int round = 0; round < BISECT_ROUNDS; round++)
        {
          double middle = 0.5 * (low + high);

          seen = rework_angle (centre, from, geom_cubic_at (&c, middle));
          if (angle > 0.0 ? seen >= angle : seen <= angle)
            high = middle;
          else
            low = middle;
        }
        *piece = at;
        *t = high;
        return true;
      }
      last = here;
    }
    if (forward ? at.node + 1 >= rework_ring_edge (ring, at.edge)->nodes->len : at.node == 0)
      return false;
    at.node = forward ? at.node + 1 : at.node - 1;
  }
  return false;
}

GeomCubic
rework_arc (GeomPoint a, GeomPoint u, GeomPoint b, GeomPoint v)
{
  /* The cubic for a circle's arc of angle w has handles of (4/3) tan (w/4) radii, its chord is 2 sin (w/2)
   * radii. */
  double turn = atan2 (geom_cross (u, v), geom_dot (u, v)), chord = geom_distance (a, b),
         handle = chord / 3.0;

  if (fabs (turn) > 1e-6)
    handle = chord * (2.0 / 3.0) * tan (0.25 * fabs (turn)) / sin (0.5 * fabs (turn));
  return (GeomCubic) { { a, geom_along (a, handle, u), geom_along (b, -handle, v), b } };
}
