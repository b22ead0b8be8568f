/* Longer or shorter at a line.
 *
 * The outline gets nodes where it crosses the line (and, shortening, the line's parallel on the far side of
 * the strip that goes); then each piece lies on one side as a whole, and nodes follow their pieces.
 */
#include "model/rework-ring.h"

#include <glib/gi18n.h>

#define ON_AXIS_SINE 1e-9

typedef struct Line
{
  GeomPoint at, along; /* ALONG of length 1 */
  double strip_mm;     /* what is taken out beyond the line; 0: lengthening */
} Line;

static double
beyond (const Line *line, GeomPoint p)
{
  return geom_dot (geom_sub (p, line->at), line->along);
}

static bool
spans (const ReworkRing *ring, guint e, const Line *line)
{
  GeomCubic c;

  if (!rework_ring_is_fold (ring, e))
    return false;
  c = rework_ring_piece (ring, (ModelSeat) { e, 0 }, 0);
  return (beyond (line, c.p[0]) > 0.0) != (beyond (line, c.p[3]) > 0.0);
}

/* Nodes where the outline crosses the parallel at LEVEL_MM; a fold is left whole. */
static void
cut_at_level (ReworkRing *ring, ModelDocument *ids, const Line *line, double level_mm)
{
  GeomPath path = { 0 };
  GeomBox box;
  GeomPoint on, way = geom_left_of (line->along);
  GeomCubic long_line;
  double reach;

  rework_ring_path (ring, 0, &path);
  box = geom_path_box (&path);
  geom_path_clear (&path);
  on = geom_point (0.5 * (box.x0 + box.x1), 0.5 * (box.y0 + box.y1));
  on = geom_along (on, level_mm - beyond (line, on), line->along);
  reach = hypot (box.x1 - box.x0, box.y1 - box.y0) + 1.0;
  long_line = geom_cubic_line (geom_along (on, -reach, way), geom_along (on, reach, way));
  for (guint e = 0; e < ring->edges->len; e++)
    for (guint n = rework_ring_edge (ring, e)->nodes->len; n-- > 0;)
    {
      ModelSeat seat = { e, n };
      GeomCubic c = rework_ring_piece (ring, seat, 0);
      GeomCrossing crossings[9];
      int count
        = rework_ring_is_fold (ring, e) ? 0 : geom_cubic_crossings (&c, &long_line, 1e-6, crossings, 9);
      double whole = 1.0;

      while (count-- > 0)
      {
        double t = crossings[count].t;

        if (geom_distance (crossings[count].point, c.p[0]) <= REWORK_SAME_PLACE_MM
            || geom_distance (crossings[count].point, c.p[3]) <= REWORK_SAME_PLACE_MM
            || !(t > 0.0 && t < whole))
          continue;
        rework_ring_split (ring, ids, seat, t / whole);
        whole = t;
      }
    }
}

/* 0: before the line, 1: in the strip, 2: beyond. */
static int
zone_of (const ReworkRing *ring, ModelSeat seat, const Line *line)
{
  GeomCubic c = rework_ring_piece (ring, seat, 0);
  double s = beyond (line, geom_cubic_at (&c, 0.5));

  return s <= 0.0 ? 0 : s < line->strip_mm ? 1 : 2;
}

/* Zones of the pieces on either side of a node; a fold over the line goes with its neighbour. */
static void
zones_at (const ReworkRing *ring, ModelSeat seat, const Line *line, int *arriving, int *leaving)
{
  ModelSeat previous = rework_ring_previous (ring, seat);

  *arriving = zone_of (ring, previous, line);
  *leaving = zone_of (ring, seat, line);
  if (spans (ring, previous.edge, line))
    *arriving = *leaving;
  else if (spans (ring, seat.edge, line))
    *leaving = *arriving;
}

typedef struct Station
{
  guint id;
  int arriving, leaving;
} Station;

static GArray *
stations_of (const ReworkRing *ring, const Line *line)
{
  GArray *stations = g_array_new (FALSE, FALSE, sizeof (Station));

  for (guint e = 0; e < ring->edges->len; e++)
    for (guint n = 0; n < rework_ring_edge (ring, e)->nodes->len; n++)
    {
      Station station = { .id = rework_ring_node (ring, (ModelSeat) { e, n })->shape[0].id };

      zones_at (ring, (ModelSeat) { e, n }, line, &station.arriving, &station.leaving);
      g_array_append_val (stations, station);
    }
  return stations;
}

static void
shift (ReworkNode *node, GeomPoint by)
{
  for (int s = 0; s < REWORK_SHAPES; s++)
    model_hold_shift (&node->shape[s], by);
}

/* A straight insert at a node on the line. */
static void
insert_straight (ReworkRing *ring, ModelDocument *ids, const Station *station, GeomPoint by)
{
  ModelSeat seat;
  ReworkNode more, *node;
  bool outward = station->leaving == 2;

  rework_ring_find_node (ring, station->id, &seat);
  node = rework_ring_node (ring, seat);
  more = *node;
  more.shape[0].id = more.shape[1].id = model_document_take_id (ids);
  shift (&more, by);
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    ModelNode *first = outward ? &node->shape[s] : &more.shape[s],
              *second = outward ? &more.shape[s] : &node->shape[s];

    first->out = first->at;
    second->in = second->at;
    if (model_hold_has_handle (first, MODEL_HANDLE_IN)
        && fabs (geom_cross (geom_unit (geom_sub (first->at, first->in)), geom_unit (by))) > ON_AXIS_SINE)
      first->kind = MODEL_NODE_CORNER;
    if (model_hold_has_handle (second, MODEL_HANDLE_OUT)
        && fabs (geom_cross (geom_unit (geom_sub (second->out, second->at)), geom_unit (by))) > ON_AXIS_SINE)
      second->kind = MODEL_NODE_CORNER;
    if (first->kind == MODEL_NODE_EVEN)
      first->kind = MODEL_NODE_SMOOTH;
    if (second->kind == MODEL_NODE_EVEN)
      second->kind = MODEL_NODE_SMOOTH;
  }
  more.shape[1].kind = more.shape[0].kind;
  node->shape[1].kind = node->shape[0].kind;
  if (outward)
  {
    for (guint i = 0; i < ring->marks->len; i++)
      if (g_array_index (ring->marks, ReworkMark, i).node_id == station->id)
        g_array_index (ring->marks, ReworkMark, i).node_id = more.shape[0].id;
    g_array_insert_val (rework_ring_edge (ring, seat.edge)->nodes, seat.node + 1, more);
  }
  else if (seat.node > 0)
    g_array_insert_val (rework_ring_edge (ring, seat.edge)->nodes, seat.node, more);
  else
  {
    /* The corner stays where its edge goes on; the edge before it ends with the insert. */
    ReworkEdge *before = rework_ring_edge (ring, seat.edge + ring->edges->len - 1);

    g_array_append_val (before->nodes, more);
  }
}

static void
lengthen (ReworkRing *ring, ModelDocument *ids, const Line *line, GeomPoint by)
{
  g_autoptr (GArray) stations = NULL;

  cut_at_level (ring, ids, line, 0.0);
  stations = stations_of (ring, line);
  for (guint i = 0; i < stations->len; i++)
  {
    const Station *station = &g_array_index (stations, Station, i);
    ModelSeat seat;

    if (station->arriving == 2 && station->leaving == 2 && rework_ring_find_node (ring, station->id, &seat))
      shift (rework_ring_node (ring, seat), by);
  }
  for (guint i = 0; i < stations->len; i++)
  {
    const Station *station = &g_array_index (stations, Station, i);

    if (station->arriving != station->leaving)
      insert_straight (ring, ids, station, by);
  }
}

/* From NEAR, on the line, to FAR, beyond the strip: FAR and what lies between goes.  OUTWARD: in the
 * outline's direction. */
static bool
take_out (ReworkRing *ring, guint near_id, guint far_id, bool outward)
{
  ModelSeat near, far, seat;
  GPtrArray *gone;
  guint guard = rework_ring_node_count (ring);

  if (!rework_ring_find_node (ring, near_id, &near) || !rework_ring_find_node (ring, far_id, &far))
    return false;
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    /* FAR has moved onto the line by now; of a slanting edge the two ends meet half way. */
    ModelNode *a = &rework_ring_node (ring, near)->shape[s], b = rework_ring_node (ring, far)->shape[s];
    GeomPoint middle = geom_mix (a->at, b.at, 0.5);

    if (outward)
    {
      a->in = geom_add (a->in, geom_sub (middle, a->at));
      a->out = geom_add (b.out, geom_sub (middle, b.at));
    }
    else
    {
      a->out = geom_add (a->out, geom_sub (middle, a->at));
      a->in = geom_add (b.in, geom_sub (middle, b.at));
    }
    a->at = middle;
    a->kind = MODEL_NODE_CORNER;
  }
  gone = g_ptr_array_new ();
  for (seat = outward ? rework_ring_next (ring, near) : far; guard-- > 0;
       seat = rework_ring_next (ring, seat))
  {
    bool last = model_hold_same (seat, far);

    if (!outward && model_hold_same (seat, near))
      break;
    g_ptr_array_add (gone, GUINT_TO_POINTER (rework_ring_node (ring, seat)->shape[0].id));
    if (outward && last)
      break;
  }
  for (guint i = 0; i < ring->marks->len && outward; i++)
    if (g_array_index (ring->marks, ReworkMark, i).node_id == near_id)
      g_array_index (ring->marks, ReworkMark, i).node_id = 0;
  for (guint i = 0; i < ring->marks->len && outward; i++)
    if (g_array_index (ring->marks, ReworkMark, i).node_id == far_id)
      g_array_index (ring->marks, ReworkMark, i).node_id = near_id;
  for (guint i = 0; i < gone->len; i++)
  {
    rework_ring_find_node (ring, GPOINTER_TO_UINT (g_ptr_array_index (gone, i)), &seat);
    if (seat.node == 0)
    {
      /* A corner: an edge would go with it. */
      g_ptr_array_unref (gone);
      return false;
    }
    g_array_remove_index (rework_ring_edge (ring, seat.edge)->nodes, seat.node);
  }
  g_ptr_array_unref (gone);
  return true;
}

static bool
shorten (ReworkRing *ring, ModelDocument *ids, const Line *line, GeomPoint by)
{
  g_autoptr (GArray) stations = NULL;
  guint count, start = 0, open_id = 0;
  int open_zone = 0;

  cut_at_level (ring, ids, line, 0.0);
  cut_at_level (ring, ids, line, line->strip_mm);
  stations = stations_of (ring, line);
  count = stations->len;
  for (guint i = 0; i < count; i++)
  {
    const Station *station = &g_array_index (stations, Station, i);
    ModelSeat seat;

    if ((station->arriving == 2 || station->leaving == 2) && rework_ring_find_node (ring, station->id, &seat))
      shift (rework_ring_node (ring, seat), by);
    if ((station->arriving == 0 && station->leaving == 2)
        || (station->arriving == 2 && station->leaving == 0))
      return false;
    if (station->arriving != 1)
      start = i;
  }
  if (count == 0 || g_array_index (stations, Station, start).arriving == 1)
    return false;
  for (guint i = 0; i < count; i++)
  {
    const Station *station = &g_array_index (stations, Station, (start + i) % count);

    if (station->arriving != 1 && station->leaving == 1)
    {
      open_id = station->id;
      open_zone = station->arriving;
    }
    else if (station->arriving == 1 && station->leaving != 1)
    {
      /* In and out on the same side: the outline turns in the strip. */
      if (station->leaving == open_zone || open_id == 0)
        return false;
      if (!take_out (ring, open_zone == 0 ? open_id : station->id, open_zone == 0 ? station->id : open_id,
                     open_zone == 0))
        return false;
      open_id = 0;
    }
  }
  return open_id == 0;
}

static bool
stretch (ReworkRing *ring, const Line *line, GeomPoint by)
{
  for (guint e = 0; e < ring->edges->len; e++)
    for (guint n = 0; n < rework_ring_edge (ring, e)->nodes->len; n++)
    {
      ReworkNode *node = rework_ring_node (ring, (ModelSeat) { e, n });
      double s = beyond (line, node->shape[0].at);

      if (s > 0.0 && s < line->strip_mm)
        return false;
      if (s > 0.0)
        shift (node, by);
    }
  return true;
}

bool
model_rework_add_along (ModelHistory *history,
                        guint panel_id,
                        GeomPoint at,
                        GeomPoint along,
                        double by_mm,
                        bool blended,
                        GError **error)
{
  Rework rework;
  const ModelPanel *panel;
  g_autoptr (ReworkRing) ring = NULL;
  Line line = { .at = at, .along = geom_unit (along), .strip_mm = by_mm < 0.0 ? -by_mm : 0.0 };
  bool done = true;

  rework_open (&rework, history);
  panel = rework_panel (&rework, panel_id, error);
  if (panel == NULL)
    return rework_abandon (&rework);
  if (!model_hold_in_bounds (at) || !model_hold_is_finite (line.along) || !(geom_norm (line.along) > 0.5)
      || !(fabs (by_mm) >= 0.01 && fabs (by_mm) < MODEL_FILE_MAX_MM))
  {
    rework_set_error (error, MODEL_REWORK_ERROR_VALUE, panel->name);
    return rework_abandon (&rework);
  }
  ring = rework_ring_new (panel);
  for (guint e = 0; e < ring->edges->len; e++)
  {
    GeomCubic c = rework_ring_piece (ring, (ModelSeat) { e, 0 }, 0);

    if (spans (ring, e, &line)
        && fabs (geom_cross (geom_unit (geom_sub (c.p[3], c.p[0])), line.along)) > ON_AXIS_SINE)
    {
      rework_set_error (error, MODEL_REWORK_ERROR_FOLD, panel->name);
      return rework_abandon (&rework);
    }
  }
  if (blended)
    done = stretch (ring, &line, geom_scale (line.along, by_mm));
  else if (by_mm > 0.0)
    lengthen (ring, rework.doc, &line, geom_scale (line.along, by_mm));
  else
    done = shorten (ring, rework.doc, &line, geom_scale (line.along, by_mm));
  if (!done)
    rework_set_error (error, MODEL_REWORK_ERROR_SHAPE, panel->name);
  if (!done || !rework_put_ring (&rework, ring, true, error))
    return rework_abandon (&rework);
  return rework_commit (&rework, by_mm > 0.0 ? _ ("Lengthen") : _ ("Shorten"), NULL);
}
