/* Making the ends of a join meet.
 *
 *      neck          arm            Both corners of the run slide along their neighbours: the neck edge runs
 * on \           /              beyond its old end, the armhole too.
 *     ....\_________/....
 */
#include "model/rework-meet.h"

#include "model/rework-ring.h"

#include <glib/gi18n.h>

#define ALIKE_MM 1e-9
/* A neighbour keeps at least this part of its last piece when it is shortened. */
#define MOST_SHORTENED 0.9
#define MOST_MISSING_MM 500.0

static bool
is_alike (ModelReworkMissing a, ModelReworkMissing b)
{
  return fabs (a.begin_mm - b.begin_mm) <= ALIKE_MM && fabs (a.end_mm - b.end_mm) <= ALIKE_MM;
}

static bool
is_sane (ModelReworkMissing m)
{
  return fabs (m.begin_mm) <= MOST_MISSING_MM && fabs (m.end_mm) <= MOST_MISSING_MM;
}

/* What each shape of the panel is to get; false where one shape would need two. */
static bool
share_out (const ModelPanel *panel,
           ModelReworkMissing left,
           ModelReworkMissing right,
           ModelReworkMissing out[REWORK_SHAPES])
{
  bool drawn_right = panel->side == MODEL_SIDE_RIGHT;

  out[0] = drawn_right ? right : left;
  out[1] = drawn_right ? left : right;
  if (panel->halves == MODEL_HALVES_SINGLE)
    out[1] = out[0];
  return panel->halves != MODEL_HALVES_SINGLE || panel->side != MODEL_SIDE_CENTRE || is_alike (left, right);
}

/* The run's first and last edge in the outline's order; false if they are not neighbours or are all there is.
 */
static bool
find_run (const ReworkRing *ring, const ModelRun *run, guint *first, guint *count)
{
  int at = rework_ring_find_edge (ring, g_array_index (run->edges, guint, 0));

  *first = (guint)at;
  *count = run->edges->len;
  if (at < 0 || *count + 2 > ring->edges->len)
    return false;
  for (guint i = 1; i < *count; i++)
    if (rework_ring_find_edge (ring, g_array_index (run->edges, guint, i))
        != (int)((*first + i) % ring->edges->len))
      return false;
  return true;
}

static bool
move_run (ReworkRing *ring, guint first, guint count, const double start_mm[], const double end_mm[])
{
  ModelSeat begin = { first, 0 }, end = { (first + count) % ring->edges->len, 0 }, before, seat;

  before = rework_ring_previous (ring, begin);
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    GeomCubic in = rework_ring_piece (ring, before, s), out = rework_ring_piece (ring, end, s);
    GeomPoint by_start = geom_scale (geom_cubic_tangent (&in, 1.0), start_mm[s]);
    GeomPoint by_end = geom_scale (geom_cubic_tangent (&out, 0.0), -end_mm[s]);
    double whole = 0.0, along = 0.0;
    ModelNode *node;

    if (-start_mm[s] > MOST_SHORTENED * geom_cubic_length (&in, MODEL_HOLD_LENGTH_ACCURACY_MM)
        || -end_mm[s] > MOST_SHORTENED * geom_cubic_length (&out, MODEL_HOLD_LENGTH_ACCURACY_MM))
      return false;
    for (guint e = 0; e < count; e++)
      whole += rework_ring_edge_length (ring, (first + e) % ring->edges->len, s);
    if (!(whole > 0.0))
      return false;
    /* Lengths are taken before anything moves: a piece is measured, then its first node is shifted. */
    for (seat = begin; !model_hold_same (seat, end); seat = rework_ring_next (ring, seat))
    {
      GeomCubic c = rework_ring_piece (ring, seat, s);
      double part = along / whole;

      along += geom_cubic_length (&c, MODEL_HOLD_LENGTH_ACCURACY_MM);
      model_hold_shift (&rework_ring_node (ring, seat)->shape[s],
                        geom_add (geom_scale (by_start, 1.0 - part), geom_scale (by_end, part)));
    }
    node = &rework_ring_node (ring, end)->shape[s];
    model_hold_shift (node, by_end);
  }
  return true;
}

static bool
extend (
  Rework *rework, guint join_id, bool is_b, ModelReworkMissing left, ModelReworkMissing right, GError **error)
{
  const ModelJoin *join = model_document_join (rework->doc, join_id);
  const ModelRun *run = is_b ? &join->b : &join->a;
  const ModelPanel *panel = rework_panel (rework, run->panel_id, error);
  g_autoptr (ReworkRing) ring = NULL;
  ModelReworkMissing missing[REWORK_SHAPES];
  double start_mm[REWORK_SHAPES], end_mm[REWORK_SHAPES];
  guint first, count;

  if (panel == NULL)
    return false;
  ring = rework_ring_new (panel);
  if (!share_out (panel, left, right, missing))
  {
    rework_set_error (error, MODEL_REWORK_ERROR_VALUE, panel->name);
    return false;
  }
  if (!find_run (ring, run, &first, &count))
  {
    rework_set_error (error, MODEL_REWORK_ERROR_SHAPE, panel->name);
    return false;
  }
  for (guint e = 0; e < count; e++)
    if (rework_edge_is_fixed (ring, (first + e) % ring->edges->len, error))
      return false;
  if (!is_alike (missing[0], missing[1]) && !ring->panel->own_sides)
  {
    /* Corrections that were set aside must not come back by this. */
    for (guint e = 0; e < ring->edges->len; e++)
      for (guint n = 0; n < rework_ring_edge (ring, e)->nodes->len; n++)
      {
        ReworkNode *node = rework_ring_node (ring, (ModelSeat) { e, n });

        node->shape[1] = node->shape[0];
      }
    ring->panel->own_sides = true;
  }
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    start_mm[s] = 0.5 * (run->reversed ? missing[s].end_mm : missing[s].begin_mm);
    end_mm[s] = 0.5 * (run->reversed ? missing[s].begin_mm : missing[s].end_mm);
  }
  if (!move_run (ring, first, count, start_mm, end_mm))
  {
    rework_set_error (error, MODEL_REWORK_ERROR_VALUE, panel->name);
    return false;
  }
  return rework_put_ring (rework, ring, true, error);
}

bool
model_rework_meet_ends (
  ModelHistory *history, guint join_id, ModelReworkMissing left, ModelReworkMissing right, GError **error)
{
  Rework rework;

  rework_open (&rework, history);
  if (model_document_join (rework.doc, join_id) == NULL)
  {
    g_set_error_literal (error, MODEL_REWORK_ERROR, MODEL_REWORK_ERROR_PLACE, _ ("That join is gone."));
    return rework_abandon (&rework);
  }
  if (!is_sane (left) || !is_sane (right))
  {
    rework_set_error (error, MODEL_REWORK_ERROR_VALUE, "");
    return rework_abandon (&rework);
  }
  if (!extend (&rework, join_id, false, left, right, error)
      || !extend (&rework, join_id, true, left, right, error))
    return rework_abandon (&rework);
  return rework_commit (&rework, _ ("Make ends meet"), NULL);
}
