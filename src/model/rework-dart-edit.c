/* A dart that is there already: changed, taken away, read.
 *
 *        X                         Without the dart one curve runs from P to N, the nodes beside the mouth,
 * in / \                        the directions the edge has there.  Where it meets the dart's middle line
 *   P__A   B__N                    is the corner M; a changed dart is laid anew at M, and gets the old ids.
 */
#include "model/rework-ring.h"

#include <glib/gi18n.h>

#define BISECT_ROUNDS 60
#define STRAIGHT_SINE 1e-9

typedef struct Filled
{
  guint before, after;     /* edges, by id */
  ReworkNode a, x, b;      /* as they were */
  ModelEdge *head[2];      /* the legs' own */
  GArray *leg[2];          /* ReworkNode: their nodes, the first ones A and X */
  guint p_id;              /* the node before the mouth */
  double t[REWORK_SHAPES]; /* of M on the curve over the mouth */
  GeomCubic c[REWORK_SHAPES];
} Filled;

static void
filled_clear (Filled *filled)
{
  for (int i = 0; i < 2; i++)
  {
    g_clear_pointer (&filled->head[i], model_edge_free);
    g_clear_pointer (&filled->leg[i], g_array_unref);
  }
}

/* ---- without the dart ---- */

/* Where C meets the line from X over the middle of A and B; its middle if it does not. */
static double
find_middle (const GeomCubic *c, GeomPoint a, GeomPoint x, GeomPoint b)
{
  GeomPoint way = geom_sub (geom_mix (a, b, 0.5), x);
  double low = 0.0, high = 1.0;

  if (!(geom_cross (way, geom_sub (c->p[0], x)) < 0.0) || !(geom_cross (way, geom_sub (c->p[3], x)) > 0.0))
    return 0.5;
  for (int round = 0; round < BISECT_ROUNDS; round++)
  {
    double middle = 0.5 * (low + high);

    if (geom_cross (way, geom_sub (geom_cubic_at (c, middle), x)) < 0.0)
      low = middle;
    else
      high = middle;
  }
  return CLAMP (low, 0.02, 0.98);
}

static bool
is_line (const GeomCubic *c)
{
  GeomPoint way = geom_unit (geom_sub (c->p[3], c->p[0]));
  double length = geom_distance (c->p[0], c->p[3]);

  return fabs (geom_cross (way, geom_sub (c->p[1], c->p[0]))) <= STRAIGHT_SINE * length
         && fabs (geom_cross (way, geom_sub (c->p[2], c->p[3]))) <= STRAIGHT_SINE * length;
}

/* Takes the legs out: the edges beside them meet in M, which has B's id. */
static bool
fill (ReworkRing *ring, guint leg_1, Filled *filled)
{
  guint e = (guint)rework_ring_find_edge (ring, leg_1), count = ring->edges->len, after = (e + 2) % count;
  ModelSeat a = { e, 0 }, x = { (e + 1) % count, 0 }, b = { after, 0 }, p = rework_ring_previous (ring, a),
            n = rework_ring_next (ring, b), m;

  *filled = (Filled) { 0 };
  if (count < 4 || p.edge == after)
    return false;
  filled->before = rework_ring_edge (ring, p.edge)->head->id;
  filled->after = rework_ring_edge (ring, after)->head->id;
  filled->a = *rework_ring_node (ring, a);
  filled->x = *rework_ring_node (ring, x);
  filled->b = *rework_ring_node (ring, b);
  filled->p_id = rework_ring_node (ring, p)->shape[0].id;
  filled->head[0] = model_edge_copy (rework_ring_edge (ring, e)->head);
  filled->head[1] = model_edge_copy (rework_ring_edge (ring, x.edge)->head);
  filled->leg[0] = g_array_copy (rework_ring_edge (ring, e)->nodes);
  filled->leg[1] = g_array_copy (rework_ring_edge (ring, x.edge)->nodes);
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    GeomCubic in = rework_ring_piece (ring, p, s), out = rework_ring_piece (ring, b, s), head, tail;
    ModelNode *node = &rework_ring_node (ring, b)->shape[s];
    GeomCubic *c = &filled->c[s];

    *c = rework_arc (in.p[0], geom_cubic_tangent (&in, 0.0), out.p[3], geom_cubic_tangent (&out, 1.0));
    filled->t[s] = find_middle (c, filled->a.shape[s].at, filled->x.shape[s].at, filled->b.shape[s].at);
    geom_cubic_split (c, filled->t[s], &head, &tail);
    node->at = head.p[3];
    node->in = head.p[2];
    node->out = tail.p[1];
    rework_ring_node (ring, p)->shape[s].out = head.p[1];
    rework_ring_node (ring, n)->shape[s].in = tail.p[2];
  }
  g_ptr_array_remove_index (ring->edges, MAX (e, x.edge));
  g_ptr_array_remove_index (ring->edges, MIN (e, x.edge));
  return rework_ring_find_node (ring, filled->b.shape[0].id, &m);
}

/* M goes: the curve over the mouth is one piece again. */
static void
drop_middle (ReworkRing *ring, const Filled *filled)
{
  ReworkEdge *before = rework_ring_edge (ring, (guint)rework_ring_find_edge (ring, filled->before)),
             *after = rework_ring_edge (ring, (guint)rework_ring_find_edge (ring, filled->after));
  guint m_id = filled->b.shape[0].id;
  ModelSeat p;

  for (guint i = 0; i < ring->marks->len; i++)
  {
    ReworkMark *mark = &g_array_index (ring->marks, ReworkMark, i);

    if (mark->node_id == filled->p_id)
      mark->t *= filled->t[0];
    else if (mark->node_id == m_id)
    {
      mark->node_id = filled->p_id;
      mark->t = filled->t[0] + mark->t * (1.0 - filled->t[0]);
    }
  }
  if (after->nodes->len > 1)
    g_array_append_vals (before->nodes, &g_array_index (after->nodes, ReworkNode, 1), after->nodes->len - 1);
  g_ptr_array_remove (ring->edges, after);
  rework_ring_find_node (ring, filled->p_id, &p);
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    ModelNode *from = &rework_ring_node (ring, p)->shape[s],
              *to = &rework_ring_node (ring, rework_ring_next (ring, p))->shape[s];
    bool line = is_line (&filled->c[s]);

    from->out = line ? from->at : filled->c[s].p[1];
    to->in = line ? to->at : filled->c[s].p[2];
  }
}

/* Nothing tells the edge's parts apart: name, allowance, a join that has only one of them. */
static bool
are_one (const ModelDocument *doc, const ReworkRing *ring, const Filled *filled)
{
  const ModelEdge *a = rework_ring_edge (ring, (guint)rework_ring_find_edge (ring, filled->before))->head,
                  *b = rework_ring_edge (ring, (guint)rework_ring_find_edge (ring, filled->after))->head;

  if (a == b || a->locked || b->locked || a->fold || b->fold || !g_str_equal (a->name, b->name)
      || a->has_allowance != b->has_allowance
      || (a->has_allowance && fabs (a->allowance_mm - b->allowance_mm) > 0.0))
    return false;
  for (guint i = 0; i < doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (doc->joins, i);
    const ModelRun *runs[] = { &join->a, &join->b };

    for (guint r = 0; r < G_N_ELEMENTS (runs); r++)
    {
      bool has_a = false, has_b = false;

      for (guint k = 0; runs[r]->panel_id == ring->panel->id && k < runs[r]->edges->len; k++)
      {
        has_a = has_a || g_array_index (runs[r]->edges, guint, k) == a->id;
        has_b = has_b || g_array_index (runs[r]->edges, guint, k) == b->id;
      }
      if (has_a != has_b)
        return false;
    }
  }
  return true;
}

/* ---- the deeds ---- */

/* The ring without the dart, and what it was. */
static ReworkRing *
open_dart (Rework *rework, guint panel_id, guint dart_edge_id, Filled *filled, GError **error)
{
  const ModelPanel *panel = rework_panel (rework, panel_id, error);
  g_autoptr (ReworkRing) ring = NULL;
  guint legs[2], e, count;

  if (panel == NULL)
    return NULL;
  if (!model_rework_find_dart (panel, dart_edge_id, &legs[0], &legs[1], NULL))
  {
    rework_set_error (error, MODEL_REWORK_ERROR_PLACE, panel->name);
    return NULL;
  }
  ring = rework_ring_new (panel);
  e = (guint)rework_ring_find_edge (ring, legs[0]);
  count = ring->edges->len;
  for (guint i = 0; i < 4; i++)
    if (rework_edge_is_fixed (ring, (e + count - 1 + i) % count, error))
      return NULL;
  if (!fill (ring, legs[0], filled))
  {
    rework_set_error (error, MODEL_REWORK_ERROR_SHAPE, panel->name);
    return NULL;
  }
  return g_steal_pointer (&ring);
}

static bool
take_away (Rework *rework, guint panel_id, guint dart_edge_id, GError **error)
{
  Filled filled = { 0 };
  g_autoptr (ReworkRing) ring = open_dart (rework, panel_id, dart_edge_id, &filled, error);
  bool done = ring != NULL;

  if (done && are_one (rework->doc, ring, &filled))
    drop_middle (ring, &filled);
  for (guint i = done ? rework->doc->joins->len : 0; i-- > 0;)
  {
    const ModelJoin *join = g_ptr_array_index (rework->doc->joins, i);
    guint a = join->a.edges->len == 1 ? g_array_index (join->a.edges, guint, 0) : 0;
    guint b = join->b.edges->len == 1 ? g_array_index (join->b.edges, guint, 0) : 0;

    if (join->a.panel_id == panel_id && join->b.panel_id == panel_id
        && ((a == filled.head[0]->id && b == filled.head[1]->id)
            || (b == filled.head[0]->id && a == filled.head[1]->id)))
      model_history_remove (rework->history, MODEL_PART_JOIN, join->id);
  }
  done = done && rework_put_ring (rework, ring, true, error);
  filled_clear (&filled);
  return done;
}

bool
model_rework_remove_dart (ModelHistory *history, guint panel_id, guint dart_edge_id, GError **error)
{
  Rework rework;

  rework_open (&rework, history);
  if (!take_away (&rework, panel_id, dart_edge_id, error))
    return rework_abandon (&rework);
  return rework_commit (&rework, _ ("Remove dart"), NULL);
}

static void
give_ids (ReworkRing *ring, ModelSeat seat, const ReworkNode *from)
{
  for (int s = 0; s < REWORK_SHAPES; s++)
    rework_ring_node (ring, seat)->shape[s].id = from->shape[s].id;
}

/* P as it lies along the chord from FROM_A to FROM_B, along the one from TO_A to TO_B. */
static GeomPoint
along_chord (GeomPoint p, GeomPoint from_a, GeomPoint from_b, GeomPoint to_a, GeomPoint to_b)
{
  GeomPoint from = geom_sub (from_b, from_a), to = geom_sub (to_b, to_a), q = geom_sub (p, from_a);
  double square = geom_dot (from, from), u = geom_dot (from, q) / square, v = geom_cross (from, q) / square;

  return geom_add (to_a, geom_add (geom_scale (to, u), geom_scale (geom_left_of (to), v)));
}

/* How far the directions of the legs will differ at the closed mouth, if they keep their shape. */
static void
legs_bend (const Filled *filled, double bend[REWORK_SHAPES])
{
  const GArray *in = filled->leg[0], *out = filled->leg[1];

  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    const ModelNode *a = &filled->a.shape[s], *x = &filled->x.shape[s], *b = &filled->b.shape[s],
                    *last = &g_array_index (out, ReworkNode, out->len - 1).shape[s],
                    *second = in->len > 1 ? &g_array_index (in, ReworkNode, 1).shape[s] : x;
    GeomCubic first_piece = model_hold_cubic (a, second), last_piece = model_hold_cubic (last, b);
    GeomPoint origin = geom_point (0.0, 0.0);

    bend[s] = rework_angle (origin, geom_sub (x->at, a->at), geom_cubic_tangent (&first_piece, 0.0))
              - rework_angle (origin, geom_sub (x->at, b->at),
                              geom_scale (geom_cubic_tangent (&last_piece, 1.0), -1.0));
  }
}

/* A leg of several pieces keeps its nodes and its shape along its chord. */
static void
keep_leg_shape (ReworkRing *ring, guint e, const GArray *was, const ReworkNode *was_end)
{
  GArray *nodes = rework_ring_edge (ring, e)->nodes;
  ReworkNode *end = rework_ring_node (ring, (ModelSeat) { (e + 1) % ring->edges->len, 0 });
  ReworkNode first = g_array_index (nodes, ReworkNode, 0);

  for (guint i = 1; i < was->len; i++)
    g_array_append_val (nodes, g_array_index (was, ReworkNode, i));
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    const ModelNode *from = &g_array_index (was, ReworkNode, 0).shape[s], *to = &was_end->shape[s];
    GeomPoint a = first.shape[s].at, b = end->shape[s].at;

    g_array_index (nodes, ReworkNode, 0).shape[s].out = along_chord (from->out, from->at, to->at, a, b);
    end->shape[s].in = along_chord (to->in, from->at, to->at, a, b);
    for (guint i = 1; i < nodes->len; i++)
    {
      ModelNode *node = &g_array_index (nodes, ReworkNode, i).shape[s];

      node->in = along_chord (node->in, from->at, to->at, a, b);
      node->out = along_chord (node->out, from->at, to->at, a, b);
      node->at = along_chord (node->at, from->at, to->at, a, b);
    }
  }
}

static bool
lay_anew (Rework *rework, guint panel_id, guint dart_edge_id, const ModelReworkDart *dart, GError **error)
{
  const ModelPanel *panel = model_document_panel (rework->doc, panel_id);
  ModelReworkDart was = { 0 };
  bool bends = panel == NULL || !model_rework_read_dart (panel, dart_edge_id, &was)
               || fabs (was.bulge_mm - dart->bulge_mm) > REWORK_SAME_PLACE_MM;
  Filled filled = { 0 };
  g_autoptr (ReworkRing) ring = open_dart (rework, panel_id, dart_edge_id, &filled, error);
  double bend[REWORK_SHAPES];
  guint leg, e;
  bool done, keeps = false;

  if (ring != NULL && !bends && (filled.leg[0]->len > 1 || filled.leg[1]->len > 1))
  {
    keeps = true;
    legs_bend (&filled, bend);
  }
  done = ring != NULL
         && rework_lay_dart (ring, rework->doc, filled.after, dart, keeps ? bend : NULL, &leg, error);

  if (done)
  {
    e = (guint)rework_ring_find_edge (ring, leg);
    for (guint i = 0; i < 2; i++)
    {
      ReworkEdge *edge = rework_ring_edge (ring, e + i);

      model_edge_free (edge->head);
      edge->head = g_steal_pointer (&filled.head[i]);
    }
    give_ids (ring, (ModelSeat) { e, 0 }, &filled.a);
    give_ids (ring, (ModelSeat) { (e + 1) % ring->edges->len, 0 }, &filled.x);
    give_ids (ring, (ModelSeat) { (e + 2) % ring->edges->len, 0 }, &filled.b);
    for (guint i = 0; i < 2; i++)
      if (!keeps)
        rework_ring_gather_marks (ring, filled.leg[i]);
      else
        keep_leg_shape (ring, (e + i) % ring->edges->len, filled.leg[i], i == 0 ? &filled.x : &filled.b);
    done = rework_put_ring (rework, ring, true, error);
  }
  filled_clear (&filled);
  return done;
}

bool
model_rework_set_dart (
  ModelHistory *history, guint panel_id, guint dart_edge_id, ModelReworkDart dart, GError **error)
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
  if (!lay_anew (&rework, panel_id, dart_edge_id, &dart, error))
    return rework_abandon (&rework);
  return rework_commit (&rework, _ ("Change dart"), NULL);
}

/* ---- reading ---- */

bool
model_rework_read_dart (const ModelPanel *panel, guint dart_edge_id, ModelReworkDart *out)
{
  guint legs[2];
  double angle_deg, half;
  GeomPoint a, x, b, middle;
  GeomCubic leg;

  if (!model_rework_find_dart (panel, dart_edge_id, &legs[0], &legs[1], &angle_deg))
    return false;
  {
    guint e = (guint)model_panel_find_edge (panel, legs[0]), count = panel->edges->len;
    ModelSeat first = { e, 0 }, second = { (e + 1) % count, 0 }, third = { (e + 2) % count, 0 };

    a = model_hold_node (panel, first)->at;
    x = model_hold_node (panel, second)->at;
    b = model_hold_node (panel, third)->at;
    half = 0.5 * model_hold_edge_length (panel, e);
    leg = model_hold_cubic (model_hold_node (panel, first),
                            model_hold_node (panel, model_hold_next (panel, first)));
    while (first.node + 1 < model_panel_edge (panel, e)->nodes->len && geom_cubic_length (&leg, 1e-9) < half)
    {
      half -= geom_cubic_length (&leg, 1e-9);
      first = model_hold_next (panel, first);
      leg = model_hold_cubic (model_hold_node (panel, first),
                              model_hold_node (panel, model_hold_next (panel, first)));
    }
  }
  middle = geom_cubic_at (&leg, geom_cubic_t_at_length (&leg, half, 1e-9));
  *out = (ModelReworkDart) { .at = { legs[0], 0, 0.0 },
                             .apex = x,
                             .intake_mm = geom_distance (a, b),
                             .intake_deg = angle_deg,
                             .bulge_mm = geom_cross (geom_unit (geom_sub (x, a)), geom_sub (middle, a)) };
  if (fabs (out->bulge_mm) < REWORK_SAME_PLACE_MM)
    out->bulge_mm = 0.0;
  return true;
}

bool
model_rework_dart_is_joined (const ModelDocument *doc, guint panel_id, guint dart_edge_id)
{
  const ModelPanel *panel = model_document_panel (doc, panel_id);

  for (guint i = 0; panel != NULL && i < doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (doc->joins, i);
    guint a = join->a.edges->len == 1 ? g_array_index (join->a.edges, guint, 0) : 0;
    guint b = join->b.edges->len == 1 ? g_array_index (join->b.edges, guint, 0) : 0;
    guint legs[2];

    /* The joins first: they tell in no time, where measuring the legs takes some. */
    if (join->a.panel_id == panel_id && join->b.panel_id == panel_id
        && (a == dart_edge_id || b == dart_edge_id)
        && model_rework_find_dart (panel, dart_edge_id, &legs[0], &legs[1], NULL)
        && ((a == legs[0] && b == legs[1]) || (a == legs[1] && b == legs[0])))
      return true;
  }
  return false;
}
