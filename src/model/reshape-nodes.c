/* Some nodes moved, turned, scaled, brought to one height or above one another. */
#include "model/format.h"
#include "model/reshape-work.h"

/* Held nodes that lie this near to one height do so: a hundredth of a pencil line. */
#define AGREE_MM 1e-6

static bool
corner_is_locked (const ReshapeWork *work, ModelSeat seat)
{
  guint count = work->ring->edges->len;

  return rework_ring_edge (work->ring, seat.edge)->head->locked
         || (seat.node == 0 && rework_ring_edge (work->ring, (seat.edge + count - 1) % count)->head->locked);
}

/* The fold's line, if SEAT is one of its corners. */
static bool
on_fold (const ReshapeWork *work, ModelSeat seat, GeomPoint *along)
{
  guint count = work->ring->edges->len;
  guint edges[] = { seat.edge, (seat.edge + count - 1) % count };

  for (int i = 0; i < (seat.node == 0 ? 2 : 1); i++)
    if (rework_ring_is_fold (work->ring, edges[i]))
    {
      GeomPoint a = rework_ring_node (work->ring, (ModelSeat) { edges[i], 0 })->shape[0].at;
      GeomPoint b = rework_ring_node (work->ring, (ModelSeat) { (edges[i] + 1) % count, 0 })->shape[0].at;

      *along = geom_unit (geom_sub (b, a));
      return true;
    }
  return false;
}

/* Seats of the nodes, each once; unknown ones are passed over. */
static GArray *
find_seats (const ReshapeWork *work, const guint *node_ids, guint count)
{
  GArray *seats = g_array_new (FALSE, FALSE, sizeof (ModelSeat));
  g_autoptr (GHashTable) seen = g_hash_table_new (NULL, NULL);

  for (guint i = 0; i < count; i++)
  {
    ModelSeat seat;

    if (g_hash_table_add (seen, GUINT_TO_POINTER (node_ids[i]))
        && rework_ring_find_node (work->ring, node_ids[i], &seat))
      g_array_append_val (seats, seat);
  }
  return seats;
}

static void
mark_moved (ReshapeWork *work, ModelSeat seat)
{
  guint count = work->ring->edges->len;
  guint edges[] = { seat.edge, (seat.edge + count - 1) % count };

  for (int i = 0; i < (seat.node == 0 ? 2 : 1); i++)
    g_hash_table_insert (work->dirty, GUINT_TO_POINTER (rework_ring_edge (work->ring, edges[i])->head->id),
                         GINT_TO_POINTER (RESHAPE_MARKS_PART));
}

bool
model_reshape_map_nodes (
  ModelPanel *panel, ModelSide side, const guint *node_ids, guint count, GeomAffine map, GError **error)
{
  ReshapeWork work;
  g_autoptr (GArray) seats = NULL;

  if (!reshape_open (&work, panel, NULL, side, error))
    return false;
  if (!(fabs (geom_affine_determinant (map)) > 0.0) || !isfinite (geom_affine_determinant (map)))
    return reshape_refuse (&work, MODEL_REWORK_ERROR_VALUE, error);
  /* Seen from the drawn side. */
  if (work.mirrored)
    map = geom_affine_after (work.onto, geom_affine_after (map, work.onto));
  seats = find_seats (&work, node_ids, count);
  for (guint i = 0; i < seats->len; i++)
  {
    ModelSeat seat = g_array_index (seats, ModelSeat, i);
    GeomPoint along;

    if (corner_is_locked (&work, seat))
      continue;
    for (int s = 0; s < REWORK_SHAPES; s++)
    {
      ModelNode *node = &rework_ring_node (work.ring, seat)->shape[s];
      GeomPoint to = geom_affine_apply (map, node->at);

      if (!work.acts[s])
        continue;
      if (on_fold (&work, seat, &along))
        model_hold_shift (node, geom_scale (along, geom_dot (along, geom_sub (to, node->at))));
      else
        *node = model_hold_mapped (*node, &map);
    }
    mark_moved (&work, seat);
  }
  return reshape_close (&work, true, error);
}

/* ---- level and plumb ---- */

/* The height (PLUMB: the distance across) all are brought to in a shape.  False: what is held does not agree.
 */
static bool
find_height (const ReshapeWork *work, const GArray *seats, int shape, GeomPoint across, double *height)
{
  double sum = 0.0, held = NAN;

  for (guint i = 0; i < seats->len; i++)
  {
    ModelSeat seat = g_array_index (seats, ModelSeat, i);
    double here = geom_dot (across, rework_ring_node (work->ring, seat)->shape[shape].at);
    GeomPoint along;

    sum += here;
    if (!corner_is_locked (work, seat)
        && !(on_fold (work, seat, &along) && fabs (geom_dot (along, across)) < 1.0 - RESHAPE_IN_LINE))
      continue;
    if (isfinite (held) && fabs (here - held) > AGREE_MM)
      return false;
    held = here;
  }
  *height = isfinite (held) ? held : sum / seats->len;
  return true;
}

static GeomPoint
across_of (const ReshapeWork *work, bool plumb)
{
  return geom_affine_apply_vector (work->onto, plumb ? geom_point (1.0, 0.0) : geom_point (0.0, 1.0));
}

bool
model_reshape_level_nodes (
  ModelPanel *panel, ModelSide side, const guint *node_ids, guint count, bool plumb, GError **error)
{
  ReshapeWork work;
  g_autoptr (GArray) seats = NULL;
  GeomPoint across;

  if (!reshape_open (&work, panel, NULL, side, error))
    return false;
  seats = find_seats (&work, node_ids, count);
  if (seats->len < 2)
    return reshape_refuse (&work, MODEL_REWORK_ERROR_PLACE, error);
  across = across_of (&work, plumb);
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    double height;

    if (!work.acts[s])
      continue;
    if (!find_height (&work, seats, s, across, &height))
      return reshape_refuse (&work, MODEL_REWORK_ERROR_LOCKED, error);
    for (guint i = 0; i < seats->len; i++)
    {
      ModelSeat seat = g_array_index (seats, ModelSeat, i);
      ModelNode *node = &rework_ring_node (work.ring, seat)->shape[s];

      if (corner_is_locked (&work, seat))
        continue;
      model_hold_shift (node, geom_scale (across, height - geom_dot (across, node->at)));
      mark_moved (&work, seat);
    }
  }
  return reshape_close (&work, false, error);
}

bool
model_reshape_level_edge (ModelPanel *panel, ModelSide side, guint edge_id, bool plumb, GError **error)
{
  ReshapeWork work;
  g_autoptr (GArray) seats = NULL;
  ModelReworkError code;
  GeomPoint across;
  int found;
  guint e, count;

  if (!reshape_open (&work, panel, NULL, side, error))
    return false;
  found = rework_ring_find_edge (work.ring, edge_id);
  count = work.ring->edges->len;
  if (found < 0 || count < 2)
    return reshape_refuse (&work, MODEL_REWORK_ERROR_PLACE, error);
  e = (guint)found;
  if (reshape_edge_is_fixed (&work, e, &code))
    return reshape_refuse (&work, code, error);
  seats = g_array_new (FALSE, FALSE, sizeof (ModelSeat));
  g_array_append_vals (seats, (ModelSeat[]) { { e, 0 }, { (e + 1) % count, 0 } }, 2);
  across = across_of (&work, plumb);
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    ModelNode *first = &rework_ring_node (work.ring, g_array_index (seats, ModelSeat, 0))->shape[s],
              *last = &rework_ring_node (work.ring, g_array_index (seats, ModelSeat, 1))->shape[s];
    GeomPoint a = first->at, b = last->at, to_a, to_b, was = geom_sub (b, a), now;
    double height, square = geom_dot (was, was);
    GeomAffine map;

    if (!work.acts[s])
      continue;
    if (!find_height (&work, seats, s, across, &height))
      return reshape_refuse (&work, MODEL_REWORK_ERROR_LOCKED, error);
    to_a = geom_along (a, height - geom_dot (across, a), across);
    to_b = geom_along (b, height - geom_dot (across, b), across);
    now = geom_sub (to_b, to_a);
    /* An edge that stands across has no length left. */
    if (!(geom_norm (now) >= RESHAPE_LEAST_MM))
      return reshape_refuse (&work, MODEL_REWORK_ERROR_SHAPE, error);
    map.xx = map.yy = geom_dot (was, now) / square;
    map.yx = geom_cross (was, now) / square;
    map.xy = -map.yx;
    map.x0 = to_a.x - (map.xx * a.x + map.xy * a.y);
    map.y0 = to_a.y - (map.yx * a.x + map.yy * a.y);
    for (guint n = 0; n <= rework_ring_edge (work.ring, e)->nodes->len; n++)
    {
      bool end = n == rework_ring_edge (work.ring, e)->nodes->len;
      ModelNode *node = end ? last : &rework_ring_node (work.ring, (ModelSeat) { e, n })->shape[s];
      ModelNode mapped = model_hold_mapped (*node, &map);
      GeomPoint to = n == 0 ? to_a : end ? to_b : mapped.at;

      /* The neighbours' handles only go along. */
      if (n == 0)
        mapped.in = geom_add (to, geom_sub (node->in, node->at));
      if (end)
        mapped.out = geom_add (to, geom_sub (node->out, node->at));
      if (!model_hold_has_handle (node, MODEL_HANDLE_IN))
        mapped.in = to;
      if (!model_hold_has_handle (node, MODEL_HANDLE_OUT))
        mapped.out = to;
      mapped.at = to;
      *node = mapped;
    }
  }
  for (guint i = 0; i < seats->len; i++)
    mark_moved (&work, g_array_index (seats, ModelSeat, i));
  return reshape_close (&work, false, error);
}
