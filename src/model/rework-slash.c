/* Slashes.
 *
 *      H  hinge                    Going counter-clockwise from P on along the outline to H is the forward
 * part, on |                          from there the other.  Opening turns the forward part about H to the
 * left, or |                          the other one to the right: whichever does not hold the fold, a lock,
 * or the
 *   ___P___                       outline's beginning.
 */
#include "model/rework-ring.h"

#include <glib/gi18n.h>

#define MOST_ANGLE_DEG 90.0
#define MOST_SLASHES 200

typedef struct Slash
{
  guint from_id, hinge_id;
} Slash;

/* The piece that stays where it is. */
static guint
find_anchor (const ReworkRing *ring)
{
  guint anchor = 0;

  for (guint e = ring->edges->len; e-- > 0;)
    if (rework_ring_edge (ring, e)->head->locked)
      anchor = e;
  for (guint e = 0; e < ring->edges->len; e++)
    if (rework_ring_is_fold (ring, e))
      anchor = e;
  return rework_ring_node (ring, (ModelSeat) { anchor, 0 })->shape[0].id;
}

static void
hand_marks (ReworkRing *ring, guint from_id, guint to_id)
{
  for (guint i = 0; i < ring->marks->len; i++)
    if (g_array_index (ring->marks, ReworkMark, i).node_id == from_id)
      g_array_index (ring->marks, ReworkMark, i).node_id = to_id;
}

/* Nodes from FROM (included) up to but not TO. */
static void
turn_nodes (ReworkRing *ring, ModelSeat from, ModelSeat to, const GeomAffine map[REWORK_SHAPES])
{
  for (ModelSeat seat = from; !model_hold_same (seat, to); seat = rework_ring_next (ring, seat))
    rework_node_map (rework_ring_node (ring, seat), map);
}

static bool
is_on_way (const ReworkRing *ring, ModelSeat from, ModelSeat to, guint node_id)
{
  for (ModelSeat seat = from; !model_hold_same (seat, to); seat = rework_ring_next (ring, seat))
    if (rework_ring_node (ring, seat)->shape[0].id == node_id)
      return true;
  return false;
}

/* NODE runs on smoothly, along WAY. */
static void
smooth_along (ReworkRing *ring, ModelSeat seat, const GeomPoint way[REWORK_SHAPES], bool keep_lengths)
{
  ReworkNode *node = rework_ring_node (ring, seat);
  const ReworkNode *previous = rework_ring_node (ring, rework_ring_previous (ring, seat));
  const ReworkNode *next = rework_ring_node (ring, rework_ring_next (ring, seat));

  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    ModelNode *n = &node->shape[s];
    double in_mm = geom_distance (previous->shape[s].at, n->at) / 3.0;
    double out_mm = geom_distance (next->shape[s].at, n->at) / 3.0;

    if (keep_lengths && model_hold_has_handle (n, MODEL_HANDLE_IN))
      in_mm = geom_distance (n->in, n->at);
    if (keep_lengths && model_hold_has_handle (n, MODEL_HANDLE_OUT))
      out_mm = geom_distance (n->out, n->at);
    n->in = geom_along (n->at, -in_mm, way[s]);
    n->out = geom_along (n->at, out_mm, way[s]);
    n->kind = MODEL_NODE_SMOOTH;
  }
}

static void
smooth_bend (ReworkRing *ring, ModelSeat seat)
{
  GeomPoint way[REWORK_SHAPES];

  if (seat.node == 0)
    return;
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    GeomCubic in = rework_ring_piece (ring, rework_ring_previous (ring, seat), s),
              out = rework_ring_piece (ring, seat, s);

    way[s] = geom_unit (geom_add (geom_cubic_tangent (&in, 1.0), geom_cubic_tangent (&out, 0.0)));
  }
  smooth_along (ring, seat, way, true);
}

/* Angles of both shapes at the hinge; false if they make no sense. */
static bool
find_angles (const ReworkRing *ring,
             const Slash *slash,
             const ModelReworkSpread *spread,
             double angle[REWORK_SHAPES])
{
  ModelSeat p, h;

  if (!rework_ring_find_node (ring, slash->from_id, &p) || !rework_ring_find_node (ring, slash->hinge_id, &h)
      || model_hold_same (p, h))
    return false;
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    double depth
      = geom_distance (rework_ring_node (ring, p)->shape[s].at, rework_ring_node (ring, h)->shape[s].at);

    angle[s] = rework_radians (spread->angle_deg);
    if (fabs (spread->gap_mm) > 0.0)
      angle[s] = fabs (spread->gap_mm) < 2.0 * depth ? 2.0 * asin (spread->gap_mm / (2.0 * depth)) : G_PI;
    if (!(depth >= 2.0 * REWORK_LEAST_MM)
        || !(fabs (angle[s]) > 0.0 && fabs (angle[s]) <= rework_radians (MOST_ANGLE_DEG)))
      return false;
  }
  return true;
}

/* Turns what is forward of the node at P (whose piece P starts) or what is behind PREVIOUS. */
static void
turn_part (ReworkRing *ring,
           ModelSeat behind,
           ModelSeat ahead,
           ModelSeat h,
           guint anchor,
           const double angle[REWORK_SHAPES])
{
  bool forward = !is_on_way (ring, ahead, h, anchor);
  GeomAffine map[REWORK_SHAPES];

  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    ModelNode *hinge = &rework_ring_node (ring, h)->shape[s];

    map[s] = geom_affine_turn (hinge->at, forward ? angle[s] : -angle[s]);
    if (forward)
      hinge->in = geom_affine_apply (map[s], hinge->in);
    else
      hinge->out = geom_affine_apply (map[s], hinge->out);
  }
  if (forward)
    turn_nodes (ring, ahead, h, map);
  else
    turn_nodes (ring, rework_ring_next (ring, h), rework_ring_next (ring, behind), map);
}

static bool
open_slash (
  ReworkRing *ring, ModelDocument *ids, const Slash *slash, const ModelReworkSpread *spread, guint *anchor)
{
  double angle[REWORK_SHAPES];
  ModelSeat p, h, more;
  ReworkNode double_p;
  GeomPoint way[REWORK_SHAPES];

  if (!find_angles (ring, slash, spread, angle))
    return false;
  rework_ring_find_node (ring, slash->from_id, &p);
  double_p = *rework_ring_node (ring, p);
  double_p.shape[0].id = double_p.shape[1].id = model_document_take_id (ids);
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    double_p.shape[s].in = double_p.shape[s].at;
    rework_ring_node (ring, p)->shape[s].out = double_p.shape[s].at;
    double_p.shape[s].kind = rework_ring_node (ring, p)->shape[s].kind = MODEL_NODE_CORNER;
  }
  more = (ModelSeat) { p.edge, p.node + 1 };
  g_array_insert_val (rework_ring_edge (ring, p.edge)->nodes, more.node, double_p);
  hand_marks (ring, slash->from_id, double_p.shape[0].id);
  if (*anchor == slash->from_id)
    *anchor = double_p.shape[0].id;
  rework_ring_find_node (ring, slash->hinge_id, &h);
  turn_part (ring, p, more, h, *anchor, angle);
  if (!spread->blended)
    return true;
  smooth_bend (ring, h);
  if (p.node == 0)
    return true;
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    ModelNode *a = &rework_ring_node (ring, p)->shape[s], *b = &rework_ring_node (ring, more)->shape[s];

    way[s] = geom_unit (geom_sub (b->at, a->at));
    a->at = geom_mix (a->at, b->at, 0.5);
  }
  hand_marks (ring, double_p.shape[0].id, slash->from_id);
  if (*anchor == double_p.shape[0].id)
    *anchor = slash->from_id;
  g_array_remove_index (rework_ring_edge (ring, more.edge)->nodes, more.node);
  smooth_along (ring, p, way, false);
  return true;
}

static bool
close_slash (
  ReworkRing *ring, ModelDocument *ids, const Slash *slash, const ModelReworkSpread *spread, guint *anchor)
{
  double angle[REWORK_SHAPES], t_a, t_b;
  ModelSeat p, h, a, b, piece_a, piece_b;
  guint id_a, id_b;
  GeomPoint centre;

  if (!find_angles (ring, slash, spread, angle))
    return false;
  rework_ring_find_node (ring, slash->from_id, &p);
  rework_ring_find_node (ring, slash->hinge_id, &h);
  centre = rework_ring_node (ring, h)->shape[0].at;
  if (p.node == 0 || !rework_ring_find_angle (ring, p, centre, -0.5 * angle[0], true, &piece_b, &t_b)
      || !rework_ring_find_angle (ring, p, centre, 0.5 * angle[0], false, &piece_a, &t_a)
      || piece_a.edge != p.edge)
    return false;
  /* Forward first: then the seats before it still hold. */
  b = rework_ring_split (ring, ids, piece_b, t_b);
  id_b = rework_ring_node (ring, b)->shape[0].id;
  a = rework_ring_split (ring, ids, piece_a, t_a);
  id_a = rework_ring_node (ring, a)->shape[0].id;
  if (!rework_ring_find_node (ring, id_b, &b) || is_on_way (ring, a, b, slash->hinge_id))
    return false;
  if (is_on_way (ring, a, b, *anchor))
    *anchor = id_b;
  if (b.node > a.node + 1)
    g_array_remove_range (rework_ring_edge (ring, a.edge)->nodes, a.node + 1, b.node - a.node - 1);
  rework_ring_find_node (ring, id_b, &b);
  rework_ring_find_node (ring, slash->hinge_id, &h);
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    angle[s]
      = -rework_angle (rework_ring_node (ring, h)->shape[s].at, rework_ring_node (ring, a)->shape[s].at,
                       rework_ring_node (ring, b)->shape[s].at);
    if (!(angle[s] < 0.0))
      return false;
  }
  turn_part (ring, a, b, h, *anchor, angle);
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    ModelNode *na = &rework_ring_node (ring, a)->shape[s], nb = rework_ring_node (ring, b)->shape[s];
    GeomPoint middle = geom_mix (na->at, nb.at, 0.5);

    na->in = geom_add (na->in, geom_sub (middle, na->at));
    na->out = geom_add (nb.out, geom_sub (middle, nb.at));
    na->at = middle;
    na->kind = MODEL_NODE_CORNER;
  }
  hand_marks (ring, id_b, id_a);
  if (*anchor == id_b)
    *anchor = id_a;
  g_array_remove_index (rework_ring_edge (ring, b.edge)->nodes, b.node);
  if (spread->blended)
  {
    smooth_bend (ring, a);
    if (rework_ring_find_node (ring, slash->hinge_id, &h))
      smooth_bend (ring, h);
  }
  return true;
}

/* Nodes at all places; false with an error. */
static bool
place_slashes (ReworkRing *ring,
               ModelDocument *ids,
               const ModelReworkSlash *slashes,
               guint count,
               Slash *out,
               GError **error)
{
  g_autofree guint *memory = g_new (guint, 2 * count);
  ModelSeat seat;

  for (guint i = 0; i < 2 * count; i++)
    if (!rework_ring_remember (ring, i % 2 ? slashes[i / 2].hinge : slashes[i / 2].from, &memory[i], error))
      return false;
  for (guint i = 0; i < 2 * count; i++)
  {
    if (!rework_ring_node_at (ring, ids, rework_ring_place_of (ring, memory[i]), &seat, error))
      return false;
    *(i % 2 ? &out[i / 2].hinge_id : &out[i / 2].from_id) = rework_ring_node (ring, seat)->shape[0].id;
  }
  for (guint e = 0; e < ring->edges->len; e++)
    if (rework_ring_is_fold (ring, e) && rework_ring_edge (ring, e)->nodes->len > 1)
    {
      rework_set_error (error, MODEL_REWORK_ERROR_FOLD, ring->panel->name);
      return false;
    }
  return true;
}

bool
model_rework_slash (ModelHistory *history,
                    guint panel_id,
                    const ModelReworkSlash *slashes,
                    guint count,
                    ModelReworkSpread spread,
                    GError **error)
{
  Rework rework;
  const ModelPanel *panel;
  g_autoptr (ReworkRing) ring = NULL;
  g_autofree Slash *placed = NULL;
  bool opens = fabs (spread.gap_mm) > 0.0 ? spread.gap_mm > 0.0 : spread.angle_deg > 0.0, done;
  guint anchor;

  rework_open (&rework, history);
  panel = rework_panel (&rework, panel_id, error);
  if (panel == NULL)
    return rework_abandon (&rework);
  if (count == 0 || count > MOST_SLASHES || !isfinite (spread.angle_deg) || !isfinite (spread.gap_mm))
  {
    rework_set_error (error, MODEL_REWORK_ERROR_VALUE, panel->name);
    return rework_abandon (&rework);
  }
  ring = rework_ring_new (panel);
  placed = g_new0 (Slash, count);
  done = place_slashes (ring, rework.doc, slashes, count, placed, error);
  anchor = find_anchor (ring);
  for (guint i = 0; i < count && done; i++)
  {
    done = opens ? open_slash (ring, rework.doc, &placed[i], &spread, &anchor)
                 : close_slash (ring, rework.doc, &placed[i], &spread, &anchor);
    if (!done)
      rework_set_error (error, MODEL_REWORK_ERROR_VALUE, panel->name);
  }
  if (!done || !rework_put_ring (&rework, ring, true, error))
    return rework_abandon (&rework);
  return rework_commit (&rework, opens ? _ ("Slash and spread") : _ ("Slash and close"), NULL);
}
