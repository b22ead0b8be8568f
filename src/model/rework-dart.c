/* Darts: taken out of an edge, moved about their apex, looked at closed.
 *
 *             X  apex              Going counter-clockwise the outline comes to A, goes in along leg 1 to the
 *            / \                   apex X and out along leg 2 to B.  Closing turns B onto A about X.
 *     leg 1 /   \ leg 2
 *   ___L___A     B___R___
 *
 * The edge beside the mouth is drawn closed: one curve from L to R, R turned by the dart's angle with all
 * that follows it.  Where it meets the leg line is the corner both legs end in; the part beyond is turned
 * back.  Legs that bend at the mouth meet only when R is turned about that corner as well, by the angle
 * between them: then the edge's inner angles on both sides make half a turn.
 */
#include "model/rework-ring.h"

#include <glib/gi18n.h>

#define MOST_INTAKE_DEG 170.0
/* Without a wish the edge is redrawn this far beside the mouth, and as much of the intake. */
#define LEAST_BLEND_MM 5.0
#define BLEND_PART 0.5
/* What is redrawn must end before the next node, and leave a stretch there. */
#define BLEND_REACH 0.9
/* So near a node the redrawing begins at the node. */
#define AT_NODE_MM 0.05
#define INTAKE_ROUNDS 60
#define INTAKE_REACHED_MM 1e-11
#define BISECT_ROUNDS 60
#define CORNER_ROUNDS 40
#define CORNER_REACHED_MM 1e-11
/* Two legs as long as this within so much are those of a dart. */
#define LEGS_ALIKE_MM 1.0
/* Apexes of a divided dart are drawn back by this part of the shorter leg. */
#define SET_BACK 0.1
#define LEG_MARK_MM 60.0
#define IN_LINE_SINE 1e-6

/* ---- finding ---- */

static bool
is_dart (const ModelPanel *panel, guint leg_1, double *angle_deg)
{
  guint count = panel->edges->len, leg_2 = (leg_1 + 1) % count;
  GeomPoint a = model_edge_node (model_panel_edge (panel, leg_1), 0)->at;
  GeomPoint x = model_edge_node (model_panel_edge (panel, leg_2), 0)->at;
  GeomPoint b = model_edge_node (model_panel_edge (panel, (leg_1 + 2) % count), 0)->at;
  double angle = rework_angle (x, a, b);

  if (count < 4 || !(angle > 0.0 && angle < G_PI) || model_panel_edge (panel, leg_1)->fold
      || model_panel_edge (panel, leg_2)->fold
      || fabs (model_hold_edge_length (panel, leg_1) - model_hold_edge_length (panel, leg_2)) > LEGS_ALIKE_MM)
    return false;
  if (angle_deg != NULL)
    *angle_deg = angle * (180.0 / G_PI);
  return true;
}

bool
model_rework_find_dart (const ModelPanel *panel, guint edge_id, guint *leg_1, guint *leg_2, double *angle_deg)
{
  int found = model_panel_find_edge (panel, edge_id);
  guint count = panel->edges->len, first;

  if (found < 0)
    return false;
  first = (guint)found;
  if (!is_dart (panel, first, angle_deg))
  {
    first = (first + count - 1) % count;
    if (!is_dart (panel, first, angle_deg))
      return false;
  }
  *leg_1 = model_panel_edge (panel, first)->id;
  *leg_2 = model_panel_edge (panel, (first + 1) % count)->id;
  return true;
}

/* ---- taking one out ---- */

/* One shape's dart: what is known, and what comes out. */
typedef struct Mouth
{
  GeomPoint place, apex;
  GeomPoint l, l_way, r, r_way; /* where redrawing begins and ends, with the edge's direction */
  double angle;
  double bend, bulge_mm; /* how far the legs' directions differ at the closed mouth; the part of a bulge */
  GeomCubic head, tail;  /* from L to A, from B to R */
} Mouth;

/* C, that comes from the left of the line from the apex along LEG, is cut there; false if it does not meet
 * it. */
static bool
find_corner (const GeomCubic *c, GeomPoint apex, GeomPoint leg, double *t)
{
  double low = 0.0, high = 1.0;

  if (!(geom_cross (leg, geom_sub (c->p[0], apex)) < 0.0)
      || !(geom_cross (leg, geom_sub (c->p[3], apex)) > 0.0))
    return false;
  for (int round = 0; round < BISECT_ROUNDS; round++)
  {
    double middle = 0.5 * (low + high);

    if (geom_cross (leg, geom_sub (geom_cubic_at (c, middle), apex)) < 0.0)
      low = middle;
    else
      high = middle;
  }
  *t = low;
  return geom_dot (leg, geom_sub (geom_cubic_at (c, low), apex)) > 0.0;
}

/* The closed curve where the corner is taken to lie D from the apex along the unit vector LEG, and the place
 * *T where it meets the leg line; *BEND: how far R was turned about the corner. */
static bool
draw_closed (const Mouth *mouth,
             GeomPoint leg,
             const GeomAffine *closed,
             double d,
             GeomCubic *c,
             double *t,
             double *bend)
{
  GeomPoint r = geom_affine_apply (*closed, mouth->r), way = geom_affine_apply_vector (*closed, mouth->r_way);

  /* A leg with a bulge leaves its chord with this slope: set_leg. */
  *bend = mouth->bend + 2.0 * atan (4.0 * mouth->bulge_mm / d);
  if (fabs (*bend) > 0.0)
  {
    GeomAffine turn = geom_affine_turn (geom_along (mouth->apex, d, leg), *bend);

    r = geom_affine_apply (turn, r);
    way = geom_affine_apply_vector (turn, way);
  }
  *c = rework_arc (mouth->l, mouth->l_way, r, way);
  return find_corner (c, mouth->apex, leg, t);
}

/* The closed curve for ANGLE, cut at the leg line; false if it does not meet that. */
static bool
close_mouth (Mouth *mouth, double angle)
{
  GeomPoint axis = geom_sub (mouth->place, mouth->apex);
  GeomPoint leg
    = geom_unit (geom_affine_apply_vector (geom_affine_turn (geom_point (0.0, 0.0), -0.5 * angle), axis));
  GeomAffine closed = geom_affine_turn (mouth->apex, -angle), opened = geom_affine_turn (mouth->apex, angle);
  GeomCubic c;
  double t = 0.0, bend = 0.0, d = geom_norm (axis), last_d = 0.0, last_off = 0.0;

  /* Where R goes depends on the corner, and the corner on R: a secant finds where both agree. */
  for (int round = 0; round < CORNER_ROUNDS; round++)
  {
    double off, next;

    if (!draw_closed (mouth, leg, &closed, d, &c, &t, &bend))
      return false;
    off = geom_distance (geom_cubic_at (&c, t), mouth->apex) - d;
    if (!(fabs (bend) > 0.0) || fabs (off) <= CORNER_REACHED_MM)
      break;
    next = round > 0 && fabs (off - last_off) > 0.0 ? d - off * (d - last_d) / (off - last_off) : d + off;
    last_d = d;
    last_off = off;
    d = next > 0.0 ? next : last_d + off;
  }
  geom_cubic_split (&c, t, &mouth->head, &mouth->tail);
  if (fabs (bend) > 0.0)
    mouth->tail = geom_cubic_mapped (&mouth->tail, geom_affine_turn (mouth->head.p[3], -bend));
  mouth->tail = geom_cubic_mapped (&mouth->tail, opened);
  mouth->angle = angle;
  return true;
}

/* The angle at which the mouth is INTAKE wide (a chord between its corners). */
static bool
close_to_intake (Mouth *mouth, double intake_mm, double angle)
{
  for (int round = 0; round < INTAKE_ROUNDS; round++)
  {
    double leg, sine;

    if (!close_mouth (mouth, angle))
      return false;
    leg = geom_distance (mouth->head.p[3], mouth->apex);
    sine = intake_mm / (2.0 * leg);
    if (!(sine < 1.0))
      return false;
    if (fabs (2.0 * leg * sin (0.5 * angle) - intake_mm) <= INTAKE_REACHED_MM)
      return true;
    angle = 2.0 * asin (sine);
  }
  return fabs (2.0 * geom_distance (mouth->head.p[3], mouth->apex) * sin (0.5 * angle) - intake_mm) <= 1e-6;
}

/* The node where redrawing begins before (or, AFTER, ends beyond) the place (PIECE, T) of the mouth. */
static ModelSeat
blend_node (ReworkRing *ring, ModelDocument *ids, ModelSeat piece, double t, double blend_mm, bool after)
{
  GeomCubic c = rework_ring_piece (ring, piece, 0);
  double before = geom_cubic_length_between (&c, 0.0, t, 1e-9),
         rest = geom_cubic_length_between (&c, t, 1.0, 1e-9);
  double free_mm = after ? rest : before, reach = MIN (blend_mm, BLEND_REACH * free_mm);

  if (free_mm < AT_NODE_MM)
    return after ? rework_ring_next (ring, piece) : piece;
  t = geom_cubic_t_at_length (&c, after ? before + reach : before - reach, 1e-9);
  return rework_ring_split (ring, ids, piece, t);
}

static void
set_leg (ModelNode *from, ModelNode *to, double bulge_mm)
{
  GeomPoint way = geom_scale (geom_left_of (geom_unit (geom_sub (to->at, from->at))), bulge_mm * (4.0 / 3.0));

  from->out = from->at;
  to->in = to->at;
  if (fabs (bulge_mm) <= MODEL_HOLD_NO_HANDLE_MM)
    return;
  from->out = geom_add (geom_mix (from->at, to->at, 1.0 / 3.0), way);
  to->in = geom_add (geom_mix (from->at, to->at, 2.0 / 3.0), way);
}

static bool
encloses (const ReworkRing *ring, int shape, GeomPoint p)
{
  GeomPath path = { 0 };
  bool inside;

  rework_ring_path (ring, shape, &path);
  inside = geom_path_contains (&path, p);
  geom_path_clear (&path);
  return inside;
}

static void
name_edge (ReworkEdge *edge, const char *name)
{
  g_free (edge->head->name);
  edge->head->name = g_strdup (name);
}

bool
rework_lay_dart (ReworkRing *ring,
                 ModelDocument *ids,
                 guint edge_id,
                 const ModelReworkDart *dart,
                 const double *bend,
                 guint *leg_1,
                 GError **error)
{
  guint m = (guint)rework_ring_find_edge (ring, edge_id),
        before = (m + ring->edges->len - 1) % ring->edges->len;
  ModelSeat middle = { m, 0 }, l, r, piece;
  GeomPoint place = rework_ring_node (ring, middle)->shape[0].at;
  double d = geom_distance (place, dart->apex), angle = rework_radians (dart->intake_deg), t, blend;
  Mouth mouths[REWORK_SHAPES];
  ReworkNode mouth_a = { 0 }, mouth_b = { 0 }, apex = { 0 };
  ReworkEdge *first, *second, *rest;

  if (dart->intake_mm > 0.0)
    angle = dart->intake_mm < 2.0 * d ? 2.0 * asin (dart->intake_mm / (2.0 * d)) : G_PI;
  if (!(angle > 0.0 && angle <= rework_radians (MOST_INTAKE_DEG)) || !(d >= 2.0 * REWORK_LEAST_MM))
  {
    rework_set_error (error, MODEL_REWORK_ERROR_VALUE, ring->panel->name);
    return false;
  }
  if (m == before || !encloses (ring, 0, dart->apex))
    goto refuse;
  blend
    = dart->blend_mm > 0.0 ? dart->blend_mm : MAX (LEAST_BLEND_MM, BLEND_PART * 2.0 * d * sin (0.5 * angle));
  if (!rework_ring_find_angle (ring, middle, dart->apex, 0.5 * angle, true, &piece, &t))
    goto refuse;
  r = blend_node (ring, ids, piece, t, blend, true);
  if (!rework_ring_find_angle (ring, middle, dart->apex, -0.5 * angle, false, &piece, &t))
    goto refuse;
  l = blend_node (ring, ids, piece, t, blend, false);

  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    GeomCubic leaving = rework_ring_piece (ring, l, s),
              arriving = rework_ring_piece (ring, rework_ring_previous (ring, r), s);
    Mouth *mouth = &mouths[s];

    *mouth = (Mouth) { .place = rework_ring_node (ring, middle)->shape[s].at,
                       .l = leaving.p[0],
                       .l_way = geom_cubic_tangent (&leaving, 0.0),
                       .r = arriving.p[3],
                       .r_way = geom_cubic_tangent (&arriving, 1.0),
                       .bend = bend != NULL ? bend[s] : 0.0,
                       .bulge_mm = bend != NULL ? 0.0 : dart->bulge_mm };
    mouth->apex = geom_add (dart->apex, geom_sub (mouth->place, place));
    if (!(dart->intake_mm > 0.0 ? close_to_intake (mouth, dart->intake_mm, angle)
                                : close_mouth (mouth, angle)))
      goto refuse;
    mouth_a.shape[s].at = mouth->head.p[3];
    mouth_a.shape[s].in = mouth->head.p[2];
    mouth_b.shape[s].at = mouth->tail.p[0];
    mouth_b.shape[s].out = mouth->tail.p[1];
    apex.shape[s].at = mouth->apex;
    set_leg (&mouth_a.shape[s], &apex.shape[s], dart->bulge_mm);
    set_leg (&apex.shape[s], &mouth_b.shape[s], dart->bulge_mm);
    rework_ring_node (ring, l)->shape[s].out = mouth->head.p[1];
    rework_ring_node (ring, r)->shape[s].in = mouth->tail.p[2];
    mouth_a.shape[s].id = apex.shape[s].id = mouth_b.shape[s].id = 0;
  }
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    if (l.node > 0)
      rework_ring_node (ring, l)->shape[s].kind = MODEL_NODE_SMOOTH;
    if (r.node > 0)
      rework_ring_node (ring, r)->shape[s].kind = MODEL_NODE_SMOOTH;
  }
  mouth_a.shape[0].id = mouth_a.shape[1].id = model_document_take_id (ids);
  apex.shape[0].id = apex.shape[1].id = model_document_take_id (ids);
  mouth_b.shape[0].id = mouth_b.shape[1].id = model_document_take_id (ids);

  g_array_set_size (rework_ring_edge (ring, before)->nodes, l.node + 1);
  rest = rework_ring_edge (ring, m);
  /* R may be the corner at the edge's end. */
  g_array_remove_range (rest->nodes, 0, r.edge == m ? r.node : rest->nodes->len);
  g_array_prepend_val (rest->nodes, mouth_b);
  first = rework_ring_insert_edge (ring, ids, m, NULL);
  g_array_append_val (first->nodes, mouth_a);
  name_edge (first, _ ("dart"));
  second = rework_ring_insert_edge (ring, ids, m + 1, NULL);
  g_array_append_val (second->nodes, apex);
  name_edge (second, _ ("dart"));
  *leg_1 = first->head->id;
  return true;
refuse:
  rework_set_error (error, MODEL_REWORK_ERROR_SHAPE, ring->panel->name);
  return false;
}

bool
rework_edge_is_fixed (const ReworkRing *ring, guint edge, GError **error)
{
  if (rework_ring_is_fold (ring, edge))
    rework_set_error (error, MODEL_REWORK_ERROR_FOLD, ring->panel->name);
  else if (rework_ring_edge (ring, edge)->head->locked)
    rework_set_error (error, MODEL_REWORK_ERROR_LOCKED, ring->panel->name);
  else
    return false;
  return true;
}

/* A pair of marks in the middle of the legs. */
static void
mark_legs (ReworkRing *ring, ModelDocument *ids, guint leg_1, GArray *matches)
{
  guint e = (guint)rework_ring_find_edge (ring, leg_1);
  ModelMatch match;
  ReworkMark mark = { .mark.wedges = 1, .t = 0.5 };

  if (rework_ring_edge_length (ring, e, 0) < LEG_MARK_MM)
    return;
  mark.mark.id = match.a_mark_id = model_document_take_id (ids);
  mark.node_id = rework_ring_node (ring, (ModelSeat) { e, 0 })->shape[0].id;
  g_array_append_val (ring->marks, mark);
  mark.mark.id = match.b_mark_id = model_document_take_id (ids);
  mark.node_id = rework_ring_node (ring, (ModelSeat) { (e + 1) % ring->edges->len, 0 })->shape[0].id;
  g_array_append_val (ring->marks, mark);
  g_array_append_val (matches, match);
}

/* Puts a ring with new legs, which no join may take for parts of the edge before them, and joins these. */
static bool
put_with_legs (Rework *rework, ReworkRing *ring, guint leg_1, GError **error)
{
  g_autoptr (GArray) matches = g_array_new (FALSE, FALSE, sizeof (ModelMatch));
  guint e, leg_2;

  mark_legs (ring, rework->doc, leg_1, matches);
  if (!rework_put_ring (rework, ring, false, error))
    return false;
  e = (guint)rework_ring_find_edge (ring, leg_1);
  leg_2 = rework_ring_edge (ring, e + 1)->head->id;
  rework->made.edge_id = leg_1;
  rework->made.join_id = rework_put_join (rework, ring->panel->id, leg_1, ring->panel->id, leg_2, matches);
  return true;
}

static bool
add_dart (Rework *rework, guint panel_id, const ModelReworkDart *dart, GError **error)
{
  const ModelPanel *panel = rework_panel (rework, panel_id, error);
  g_autoptr (ReworkRing) ring = NULL;
  g_autoptr (ReworkRing) trial = NULL;
  guint edge_id, leg_1, e;
  int found;

  if (panel == NULL)
    return false;
  found = model_panel_find_edge (panel, dart->at.edge_id);
  ring = rework_ring_new (panel);
  if (found >= 0 && rework_edge_is_fixed (ring, (guint)found, error))
    return false;
  if (!rework_ring_corner_at (ring, rework->doc, dart->at, &edge_id, error))
    return false;
  e = (guint)rework_ring_find_edge (ring, edge_id);
  if (rework_edge_is_fixed (ring, e, error)
      || rework_edge_is_fixed (ring, (e + ring->edges->len - 1) % ring->edges->len, error)
      || !rework_put_ring (rework, ring, true, error))
    return false;
  /* First to see how long the edge's two parts will be, for joins are divided in that ratio. */
  trial = rework_ring_new (model_document_panel (rework->doc, panel_id));
  if (!rework_lay_dart (trial, rework->doc, edge_id, dart, NULL, &leg_1, error))
    return false;
  e = (guint)rework_ring_find_edge (trial, leg_1);
  if (!rework_divide_joins (
        rework, panel_id, edge_id,
        rework_ring_edge_length (trial, (e + trial->edges->len - 1) % trial->edges->len, 0),
        rework_ring_edge_length (trial, (e + 2) % trial->edges->len, 0), error))
    return false;
  rework_ring_free (ring);
  ring = rework_ring_new (model_document_panel (rework->doc, panel_id));
  return rework_lay_dart (ring, rework->doc, edge_id, dart, NULL, &leg_1, error)
         && put_with_legs (rework, ring, leg_1, error);
}

bool
model_rework_add_dart (
  ModelHistory *history, guint panel_id, ModelReworkDart dart, ModelReworkMade *made, GError **error)
{
  Rework rework;

  rework_open (&rework, history);
  if (!model_hold_in_bounds (dart.apex) || !isfinite (dart.intake_deg)
      || !(fabs (dart.bulge_mm) < MODEL_FILE_MAX_MM)
      || !(dart.intake_mm >= 0.0 && dart.intake_mm < MODEL_FILE_MAX_MM) || isnan (dart.blend_mm))
  {
    rework_set_error (error, MODEL_REWORK_ERROR_VALUE, "");
    return rework_abandon (&rework);
  }
  if (!add_dart (&rework, panel_id, &dart, error))
    return rework_abandon (&rework);
  return rework_commit (&rework, _ ("Add dart"), made);
}

/* ---- moving ---- */

/* The list begins with edge INDEX. */
static void
turn_list (ReworkRing *ring, guint index)
{
  for (guint i = 0; i < index; i++)
    g_ptr_array_add (ring->edges, g_ptr_array_steal_index (ring->edges, 0));
}

static bool
arc_is_stuck (const ReworkRing *ring, guint from, guint to)
{
  for (guint e = from; e < to; e++)
    if (rework_ring_is_fold (ring, e) || rework_ring_edge (ring, e)->head->locked)
      return true;
  return false;
}

static double
arc_length (const ReworkRing *ring, guint from, guint to)
{
  double length = 0.0;

  for (guint e = from; e < to; e++)
    length += rework_ring_edge_length (ring, e, 0);
  return length;
}

static void
turn_arc (ReworkRing *ring, guint from, guint to, const GeomAffine map[REWORK_SHAPES])
{
  for (guint e = from; e < to; e++)
    for (guint n = 0; n < rework_ring_edge (ring, e)->nodes->len; n++)
      rework_node_map (rework_ring_node (ring, (ModelSeat) { e, n }), map);
}

static void
put_at (ModelNode *node, GeomPoint at)
{
  model_hold_shift (node, geom_sub (at, node->at));
}

/* BEFORE's nodes are followed by those of AFTER, which goes. */
static void
merge_edges (ReworkRing *ring, guint before, guint after)
{
  ReworkEdge *kept = rework_ring_edge (ring, before), *gone = rework_ring_edge (ring, after);
  guint seam = kept->nodes->len;
  ModelSeat seat = { before, seam };
  GeomCubic arriving, leaving;
  GeomPoint u, v;

  g_array_append_vals (kept->nodes, gone->nodes->data, gone->nodes->len);
  g_ptr_array_remove_index (ring->edges, after);
  seat.edge = (guint)rework_ring_find_edge (ring, kept->head->id);
  arriving = rework_ring_piece (ring, rework_ring_previous (ring, seat), 0);
  leaving = rework_ring_piece (ring, seat, 0);
  u = geom_cubic_tangent (&arriving, 1.0);
  v = geom_cubic_tangent (&leaving, 0.0);
  if (fabs (geom_cross (u, v)) <= IN_LINE_SINE && geom_dot (u, v) > 0.0)
    rework_ring_node (ring, seat)->shape[0].kind = MODEL_NODE_SMOOTH;
}

/* A leg of several pieces becomes one as bent as its middle was: moving knows only such. */
static void
gather_leg (ReworkRing *ring, guint e)
{
  GArray *nodes = rework_ring_edge (ring, e)->nodes;
  ModelSeat middle = { e, nodes->len / 2 };
  ReworkNode *end = rework_ring_node (ring, (ModelSeat) { (e + 1) % ring->edges->len, 0 });

  if (nodes->len == 1)
    return;
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    ModelNode *from = &g_array_index (nodes, ReworkNode, 0).shape[s];
    GeomPoint way = geom_unit (geom_sub (end->shape[s].at, from->at));

    set_leg (from, &end->shape[s],
             geom_cross (way, geom_sub (rework_ring_node (ring, middle)->shape[s].at, from->at)));
  }
  rework_ring_gather_marks (ring, nodes);
  g_array_set_size (nodes, 1);
}

/* The ring's list begins with the legs.  Q: the edge that begins at the new mouth.  MERGE: the edges on
 * either side of the old mouth may become one.  *LEG_1: the first leg of the dart at the new place. */
static bool
lay_move (ReworkRing *ring, ModelDocument *ids, guint q, double part, bool merge, guint *leg_1)
{
  guint count = ring->edges->len;
  bool whole = part >= 1.0, stuck_1 = arc_is_stuck (ring, 2, q), stuck_2 = arc_is_stuck (ring, q, count),
       turn_first;
  ReworkNode mouth_a = *rework_ring_node (ring, (ModelSeat) { 0, 0 }),
             apex = *rework_ring_node (ring, (ModelSeat) { 1, 0 });
  ReworkNode mouth_b = *rework_ring_node (ring, (ModelSeat) { 2, 0 }),
             place = *rework_ring_node (ring, (ModelSeat) { q, 0 });
  ReworkNode from = place, to = place, peak = apex;
  GeomAffine map[REWORK_SHAPES];
  ReworkEdge *leg_in, *leg_out;

  if (stuck_1 && stuck_2)
    return false;
  turn_first = stuck_2 || (!stuck_1 && arc_length (ring, 2, q) <= arc_length (ring, q, count));
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    GeomPoint x = apex.shape[s].at;
    double angle = rework_angle (x, mouth_a.shape[s].at, mouth_b.shape[s].at);

    if (!(angle > 0.0))
      return false;
    map[s] = geom_affine_turn (x, (turn_first ? -1.0 : 1.0) * part * angle);
  }
  if (turn_first)
    turn_arc (ring, 2, q, map);
  else
    turn_arc (ring, q, count, map);
  rework_node_map (turn_first ? &from : &to, map);
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    ModelNode *b = &rework_ring_node (ring, (ModelSeat) { 2, 0 })->shape[s];
    ModelNode *a = &rework_ring_node (ring, (ModelSeat) { 0, 0 })->shape[s];
    ModelNode *x = &rework_ring_node (ring, (ModelSeat) { 1, 0 })->shape[s];
    GeomPoint turned_x = geom_affine_apply (map[s], turn_first ? x->out : x->in);

    if (turn_first)
      x->out = turned_x;
    else
    {
      x->in = turned_x;
      *a = model_hold_mapped (*a, &map[s]);
    }
    if (whole && turn_first)
    {
      put_at (b, a->at);
      b->in = a->in;
    }
    else if (whole)
    {
      put_at (a, b->at);
      b->in = a->in;
    }
    from.shape[s].out = from.shape[s].at;
    to.shape[s].in = to.shape[s].at;
    peak.shape[s].in = peak.shape[s].out = peak.shape[s].at;
    if (!whole)
    {
      double back = SET_BACK * MIN (geom_distance (x->at, a->at), geom_distance (x->at, to.shape[s].at));
      GeomPoint way_old = geom_unit (geom_sub (geom_mix (a->at, b->at, 0.5), x->at));
      GeomPoint way_new = geom_unit (geom_sub (geom_mix (from.shape[s].at, to.shape[s].at, 0.5), x->at));

      put_at (&peak.shape[s], geom_along (x->at, back, way_new));
      put_at (x, geom_along (x->at, back, way_old));
    }
  }
  *rework_ring_node (ring, (ModelSeat) { q, 0 }) = to;

  if (whole)
  {
    leg_in = g_ptr_array_steal_index (ring->edges, 0);
    leg_out = g_ptr_array_steal_index (ring->edges, 0);
    g_ptr_array_insert (ring->edges, (int)q - 2, leg_in);
    g_ptr_array_insert (ring->edges, (int)q - 1, leg_out);
    from.shape[0].id = from.shape[1].id = mouth_a.shape[0].id;
    g_array_set_size (leg_in->nodes, 0);
    g_array_set_size (leg_out->nodes, 0);
  }
  else
  {
    leg_in = rework_ring_insert_edge (ring, ids, q, rework_ring_edge (ring, 0));
    leg_out = rework_ring_insert_edge (ring, ids, q + 1, rework_ring_edge (ring, 1));
    from.shape[0].id = from.shape[1].id = model_document_take_id (ids);
    peak.shape[0].id = peak.shape[1].id = model_document_take_id (ids);
  }
  g_array_append_val (leg_in->nodes, from);
  g_array_append_val (leg_out->nodes, peak);
  *leg_1 = leg_in->head->id;
  if (whole && merge)
    merge_edges (ring, ring->edges->len - 1, 0);
  return true;
}

/* Ends of the old mouth that nothing tells apart. */
static bool
may_merge (const ModelDocument *doc, const ReworkRing *ring, guint before, guint after)
{
  const ModelEdge *a = rework_ring_edge (ring, before)->head, *b = rework_ring_edge (ring, after)->head;

  return a != b && !a->locked && !b->locked && !a->fold && !b->fold && g_str_equal (a->name, b->name)
         && a->has_allowance == b->has_allowance
         && (!a->has_allowance || !(fabs (a->allowance_mm - b->allowance_mm) > 0.0))
         && !rework_edge_is_joined (doc, ring->panel->id, a->id)
         && !rework_edge_is_joined (doc, ring->panel->id, b->id);
}

static void
turn_list_back (ReworkRing *ring, guint first_id)
{
  int first = rework_ring_find_edge (ring, first_id);

  if (first > 0)
    turn_list (ring, (guint)first);
}

static bool
move_dart (
  Rework *rework, guint panel_id, guint dart_edge_id, ModelReworkPlace to, double part, GError **error)
{
  const ModelPanel *panel = rework_panel (rework, panel_id, error);
  g_autoptr (ReworkRing) ring = NULL;
  guint legs[2], edge_id, first_id, leg_1, q;
  int found;

  if (panel == NULL)
    return false;
  found = model_panel_find_edge (panel, to.edge_id);
  if (!model_rework_find_dart (panel, dart_edge_id, &legs[0], &legs[1], NULL) || to.edge_id == legs[0]
      || to.edge_id == legs[1])
  {
    rework_set_error (error, MODEL_REWORK_ERROR_PLACE, panel->name);
    return false;
  }
  ring = rework_ring_new (panel);
  if (found >= 0 && rework_edge_is_fixed (ring, (guint)found, error))
    return false;
  if (!rework_ring_corner_at (ring, rework->doc, to, &edge_id, error)
      || !rework_put_ring (rework, ring, true, error)
      || !rework_divide_joins (rework, panel_id, edge_id, -1.0, -1.0, error))
    return false;
  rework_ring_free (ring);
  ring = rework_ring_new (model_document_panel (rework->doc, panel_id));
  first_id = rework_ring_edge (ring, 0)->head->id;
  if (rework_edge_is_fixed (ring, (guint)rework_ring_find_edge (ring, legs[0]), error)
      || rework_edge_is_fixed (ring, (guint)rework_ring_find_edge (ring, legs[1]), error))
    return false;
  turn_list (ring, (guint)rework_ring_find_edge (ring, legs[0]));
  gather_leg (ring, 0);
  gather_leg (ring, 1);
  q = (guint)rework_ring_find_edge (ring, edge_id);
  if (q < 3
      || !lay_move (ring, rework->doc, q, part, may_merge (rework->doc, ring, ring->edges->len - 1, 2),
                    &leg_1))
  {
    rework_set_error (error, MODEL_REWORK_ERROR_SHAPE, ring->panel->name);
    return false;
  }
  turn_list_back (ring, first_id);
  if (part < 1.0)
    return put_with_legs (rework, ring, leg_1, error);
  rework->made.edge_id = leg_1;
  return rework_put_ring (rework, ring, false, error);
}

bool
model_rework_move_dart (ModelHistory *history,
                        guint panel_id,
                        guint dart_edge_id,
                        ModelReworkPlace to,
                        double part,
                        ModelReworkMade *made,
                        GError **error)
{
  Rework rework;

  rework_open (&rework, history);
  if (!(part > 0.0 && part <= 1.0))
  {
    rework_set_error (error, MODEL_REWORK_ERROR_VALUE, "");
    return rework_abandon (&rework);
  }
  if (!move_dart (&rework, panel_id, dart_edge_id, to, part, error))
    return rework_abandon (&rework);
  return rework_commit (&rework, part < 1.0 ? _ ("Divide dart") : _ ("Move dart"), made);
}

/* ---- to look at ---- */

/* Where the dart's axis, prolonged over the apex, first leaves the outline. */
static bool
find_across (const ReworkRing *ring, ModelSeat *piece, double *t)
{
  GeomPoint a = rework_ring_node (ring, (ModelSeat) { 0, 0 })->shape[0].at;
  GeomPoint x = rework_ring_node (ring, (ModelSeat) { 1, 0 })->shape[0].at;
  GeomPoint b = rework_ring_node (ring, (ModelSeat) { 2, 0 })->shape[0].at;
  GeomPath path = { 0 };
  GeomBox box;
  GeomCubic ray;
  double reach, nearest = 2.0;

  rework_ring_path (ring, 0, &path);
  box = geom_path_box (&path);
  geom_path_clear (&path);
  reach = hypot (box.x1 - box.x0, box.y1 - box.y0);
  ray = geom_cubic_line (x, geom_along (x, reach, geom_unit (geom_sub (x, geom_mix (a, b, 0.5)))));
  for (guint e = 2; e < ring->edges->len; e++)
    for (guint n = 0; n < rework_ring_edge (ring, e)->nodes->len; n++)
    {
      GeomCubic c = rework_ring_piece (ring, (ModelSeat) { e, n }, 0);
      GeomCrossing crossing;

      if (geom_cubic_crossings (&ray, &c, 1e-6, &crossing, 1) > 0 && crossing.t < nearest)
      {
        nearest = crossing.t;
        *piece = (ModelSeat) { e, n };
        *t = crossing.u;
      }
    }
  return nearest <= 1.0;
}

bool
model_rework_dart_closed (const ModelPanel *panel, guint dart_edge_id, GeomPath *out)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ReworkRing) ring = NULL;
  guint leg_1, leg_2, edge_id;
  ModelSeat piece = { 0, 0 };
  ModelReworkPlace place;
  double t = 0.0;

  geom_path_reset (out);
  if (!model_rework_find_dart (panel, dart_edge_id, &leg_1, &leg_2, NULL))
    return false;
  /* Beyond all ids there are. */
  ids->next_id = G_MAXUINT / 2;
  ring = rework_ring_new (panel);
  for (guint e = 0; e < ring->edges->len; e++)
    rework_ring_edge (ring, e)->head->locked = false; /* nothing is kept of this */
  turn_list (ring, (guint)rework_ring_find_edge (ring, leg_1));
  if (!find_across (ring, &piece, &t))
    return false;
  place = (ModelReworkPlace) { rework_ring_edge (ring, piece.edge)->head->id, piece.node, t };
  if (!rework_ring_corner_at (ring, ids, place, &edge_id, NULL) || rework_ring_find_edge (ring, edge_id) < 3
      || !lay_move (ring, ids, (guint)rework_ring_find_edge (ring, edge_id), 1.0, false, &leg_1))
    return false;
  rework_ring_path (ring, 0, out);
  return true;
}
