/* Nodes and corners in and out, their kinds, straight pieces, marks.
 *
 * Whatever is done to the drawn side's curve is done to the other side's own curve as well, and the
 * corrections are computed from the two results: so a correction survives although the nodes it hangs on
 * change.
 */
#include "model/shape-hold.h"

/* Samples a piece, rounds at most, and the least gain that is worth another round, when two pieces become
 * one. */
#define MERGE_SAMPLES 24
#define MERGE_ROUNDS 12
#define MERGE_GAIN 0.999
/* A merged handle is at least this part of the curve's length. */
#define MERGE_LEAST_HANDLE 1e-3
/* Handles out of line by less than this are in one line: sine of the angle. */
#define IN_LINE_SINE 1e-9

/* ---- in ---- */

static void
loosen_even (ModelNode *node)
{
  if (node->kind == MODEL_NODE_EVEN)
    node->kind = MODEL_NODE_SMOOTH;
}

/* The nodes A and B of one curve and the new one, after the curve was split at T.  A and B may be the same
 * node. */
static ModelNode
split_between (ModelNode *a, ModelNode *b, double t)
{
  GeomCubic c = model_hold_cubic (a, b), head, tail;
  ModelNode made = { 0 };

  if (model_hold_is_straight (a, b))
  {
    made.at = made.in = made.out = geom_cubic_at (&c, t);
    made.kind = MODEL_NODE_CORNER;
    model_hold_bound (&made);
    return made;
  }
  geom_cubic_split (&c, t, &head, &tail);
  made.at = head.p[3];
  made.in = head.p[2];
  made.out = tail.p[1];
  made.kind = MODEL_NODE_SMOOTH;
  a->out = head.p[1];
  b->in = tail.p[2];
  /* A mean of two places on the rim may be rounded beyond it. */
  model_hold_bound (&made);
  model_hold_bound (a);
  model_hold_bound (b);
  return made;
}

/* Splits the piece after A on both sides.  Returns the new node's id. */
static guint
split_piece (ModelPanel *panel, ModelDocument *ids, ModelSeat a, double t)
{
  GeomAffine mirror = model_panel_mirror (panel);
  ModelSeat b = model_hold_next (panel, a), middle = { a.edge, a.node + 1 };
  bool alone = model_hold_same (a, b);
  bool corrected = model_hold_has_correction (panel, a) || model_hold_has_correction (panel, b);
  ModelNode twin_a = model_hold_twin (panel, &mirror, a), twin_b = model_hold_twin (panel, &mirror, b);
  ModelNode *drawn_a = model_hold_node (panel, a), *drawn_b = model_hold_node (panel, b);
  ModelNode made = split_between (drawn_a, drawn_b, t), twin_made;

  loosen_even (drawn_a);
  loosen_even (drawn_b);
  made.id = model_document_take_id (ids);
  g_array_insert_val (model_panel_edge (panel, a.edge)->nodes, middle.node, made);
  if (!corrected)
    return made.id;

  twin_made = split_between (&twin_a, alone ? &twin_a : &twin_b, t);
  model_hold_set_twin (panel, &mirror, a, twin_a);
  model_hold_set_twin (panel, &mirror, middle, twin_made);
  if (!alone)
    model_hold_set_twin (panel, &mirror, model_hold_next (panel, middle), twin_b);
  return made.id;
}

static bool
can_split (const ModelPanel *panel, guint edge_id, guint node_index, double t, ModelSeat *seat)
{
  return model_hold_find_piece (panel, edge_id, node_index, seat) && !model_hold_is_fixed_piece (panel, *seat)
         && t > 0.0 && t < 1.0;
}

guint
model_shape_insert_node (ModelPanel *panel, ModelDocument *ids, guint edge_id, guint node_index, double t)
{
  ModelSeat seat;

  if (!can_split (panel, edge_id, node_index, t, &seat))
    return 0;
  return split_piece (panel, ids, seat, t);
}

guint
model_shape_insert_corner (ModelPanel *panel, ModelDocument *ids, guint edge_id, guint node_index, double t)
{
  ModelSeat seat;
  ModelEdge *edge, *more;
  double first_mm;
  guint rest;

  if (!can_split (panel, edge_id, node_index, t, &seat))
    return 0;
  split_piece (panel, ids, seat, t);
  edge = model_panel_edge (panel, seat.edge);
  rest = node_index + 1;
  more = model_edge_copy (edge);
  more->id = model_document_take_id (ids);
  g_array_remove_range (more->nodes, 0, rest);
  g_array_set_size (edge->nodes, rest);
  model_edge_node (more, 0)->kind = MODEL_NODE_CORNER;
  g_ptr_array_insert (panel->edges, (int)seat.edge + 1, more);

  first_mm = model_hold_edge_length (panel, seat.edge);
  for (guint i = 0; i < panel->marks->len; i++)
  {
    ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);

    if (mark->edge_id == edge_id && mark->at_mm > first_mm)
    {
      mark->edge_id = more->id;
      mark->at_mm -= first_mm;
    }
  }
  return more->id;
}

/* ---- out ---- */

typedef struct Sample
{
  GeomPoint at;
  double t;
} Sample;

/* The curve from HEAD's start to TAIL's end with handles of ALPHA and BETA along U0 and U1. */
static GeomCubic
with_handles (GeomPoint p0, GeomPoint p3, GeomPoint u0, GeomPoint u1, double alpha, double beta)
{
  return (GeomCubic) { { p0, geom_along (p0, alpha, u0), geom_along (p3, beta, u1), p3 } };
}

/* Least squares for ALPHA and BETA at the samples' present t. */
static bool
solve_handles (const Sample *samples,
               guint count,
               GeomPoint p0,
               GeomPoint p3,
               GeomPoint u0,
               GeomPoint u1,
               double *alpha,
               double *beta)
{
  double a = 0.0, b = 0.0, c = 0.0, ra = 0.0, rb = 0.0, determinant, dot = geom_dot (u0, u1);

  for (guint i = 0; i < count; i++)
  {
    double t = samples[i].t, s = 1.0 - t;
    double b1 = 3.0 * t * s * s, b2 = 3.0 * t * t * s;
    GeomPoint base = geom_add (geom_scale (p0, s * s * s + b1), geom_scale (p3, t * t * t + b2));
    GeomPoint rest = geom_sub (samples[i].at, base);

    a += b1 * b1;
    b += b1 * b2 * dot;
    c += b2 * b2;
    ra += b1 * geom_dot (u0, rest);
    rb += b2 * geom_dot (u1, rest);
  }
  determinant = a * c - b * b;
  /* Handles on one line: length can be shifted between them at will, nearly. */
  if (!(determinant > 1e-12 * a * c))
    return false;
  *alpha = (c * ra - b * rb) / determinant;
  *beta = (a * rb - b * ra) / determinant;
  return true;
}

static double
miss (const Sample *samples, guint count, const GeomCubic *c)
{
  double sum = 0.0;

  for (guint i = 0; i < count; i++)
  {
    GeomPoint d = geom_sub (geom_cubic_at (c, samples[i].t), samples[i].at);

    sum += geom_dot (d, d);
  }
  return sum;
}

/* Each sample's t by one Newton step nearer to its foot on C, in order. */
static void
renew_t (Sample *samples, guint count, const GeomCubic *c)
{
  for (guint i = 0; i < count; i++)
  {
    GeomPoint d = geom_sub (geom_cubic_at (c, samples[i].t), samples[i].at);
    GeomPoint v = geom_cubic_velocity (c, samples[i].t), w = geom_cubic_acceleration (c, samples[i].t);
    double slope = geom_dot (v, v) + geom_dot (d, w), step = slope > 0.0 ? geom_dot (d, v) / slope : 0.0;

    samples[i].t = CLAMP (samples[i].t - CLAMP (step, -0.1, 0.1), 0.0, 1.0);
  }
}

/* One curve in place of two, ends and end tangents kept, as near as handles' lengths allow. */
static GeomCubic
merge_pieces (const GeomCubic *head, const GeomCubic *tail)
{
  Sample samples[2 * MERGE_SAMPLES];
  guint count = G_N_ELEMENTS (samples);
  GeomPoint p0 = head->p[0], p3 = tail->p[3];
  GeomPoint u0 = geom_cubic_tangent (head, 0.0), u1 = geom_scale (geom_cubic_tangent (tail, 1.0), -1.0);
  double head_mm = geom_cubic_length (head, 1e-6), tail_mm = geom_cubic_length (tail, 1e-6);
  double whole = head_mm + tail_mm, arm_in = geom_distance (head->p[2], head->p[3]),
         arm_out = geom_distance (tail->p[0], tail->p[1]), split = 0.5, least, least_a, least_b, best_miss;
  GeomCubic best = with_handles (p0, p3, u0, u1, whole / 3.0, whole / 3.0);

  if (!(whole > 0.0))
    return best;
  least = MERGE_LEAST_HANDLE * whole;
  /* An end without a handle may stay so; one with a handle keeps its tangent. */
  least_a = geom_distance (p0, head->p[1]) > MODEL_HOLD_NO_HANDLE_MM ? least : 0.0;
  least_b = geom_distance (p3, tail->p[2]) > MODEL_HOLD_NO_HANDLE_MM ? least : 0.0;
  /* Two parts of one curve have arms at the split in the ratio t : 1 - t; then this finds that very curve
   * again. */
  if (arm_in > least && arm_out > least)
    split = arm_in / (arm_in + arm_out);
  else
    split = CLAMP (head_mm / whole, 0.05, 0.95);
  for (guint i = 0; i < MERGE_SAMPLES; i++)
  {
    double s = (i + 0.5) / MERGE_SAMPLES;

    samples[i] = (Sample) { geom_cubic_at (head, s), split * s };
    samples[MERGE_SAMPLES + i] = (Sample) { geom_cubic_at (tail, s), split + (1.0 - split) * s };
  }
  best_miss = miss (samples, count, &best);
  for (int round = 0; round < MERGE_ROUNDS; round++)
  {
    GeomCubic c;
    double alpha, beta, now;

    if (!solve_handles (samples, count, p0, p3, u0, u1, &alpha, &beta))
      break;
    c = with_handles (p0, p3, u0, u1, MAX (alpha, least_a), MAX (beta, least_b));
    now = miss (samples, count, &c);
    if (now < best_miss)
      best = c;
    if (!(now < best_miss * MERGE_GAIN))
      break;
    best_miss = now;
    renew_t (samples, count, &c);
  }
  return best;
}

/* Where a mark stood, in words that outlast the change: its piece by the node it starts at. */
typedef struct Stand
{
  guint mark, node_id;
  double t;
  GeomPoint point;
} Stand;

static Stand
stand_of (const ModelPanel *panel, guint edge_index, guint mark_index)
{
  double along = g_array_index (panel->marks, ModelMark, mark_index).at_mm;
  guint count = model_panel_edge (panel, edge_index)->nodes->len;
  Stand stand = { .mark = mark_index };

  for (guint i = 0; i < count; i++)
  {
    ModelSeat seat = { edge_index, i };
    const ModelNode *a = model_hold_node (panel, seat);
    GeomCubic c = model_hold_cubic (a, model_hold_node (panel, model_hold_next (panel, seat)));
    double length = geom_cubic_length (&c, MODEL_HOLD_LENGTH_ACCURACY_MM);

    stand.node_id = a->id;
    if (along <= length || i + 1 == count)
    {
      stand.t = geom_cubic_t_at_length (&c, along, MODEL_HOLD_LENGTH_ACCURACY_MM);
      stand.point = geom_cubic_at (&c, stand.t);
      break;
    }
    along -= length;
  }
  return stand;
}

/* MERGED_ID: the node before the one that went, MERGED its new piece. */
static void
settle_mark (ModelPanel *panel, const Stand *stand, guint gone_id, guint merged_id)
{
  ModelMark *mark = &g_array_index (panel->marks, ModelMark, stand->mark);
  bool on_merged = stand->node_id == gone_id || stand->node_id == merged_id;
  double t = stand->t, along = 0.0;
  ModelSeat seat;

  if (!model_hold_find (panel, on_merged ? merged_id : stand->node_id, &seat))
    return;
  for (guint i = 0; i <= seat.node; i++)
  {
    ModelSeat at = { seat.edge, i };
    GeomCubic c
      = model_hold_cubic (model_hold_node (panel, at), model_hold_node (panel, model_hold_next (panel, at)));

    if (i < seat.node)
      along += geom_cubic_length (&c, MODEL_HOLD_LENGTH_ACCURACY_MM);
    else
    {
      if (on_merged)
        t = geom_cubic_nearest (&c, stand->point).t;
      along += geom_cubic_length_between (&c, 0.0, t, MODEL_HOLD_LENGTH_ACCURACY_MM);
    }
  }
  mark->edge_id = model_panel_edge (panel, seat.edge)->id;
  mark->at_mm = along;
}

/* The handles of A and B after the node between them went: MERGED's, or none where both pieces were straight.
 */
static void
bridge (ModelNode *a, const ModelNode *gone, ModelNode *b)
{
  GeomCubic head = model_hold_cubic (a, gone), tail = model_hold_cubic (gone, b), merged;

  if (model_hold_is_straight (a, gone) && model_hold_is_straight (gone, b))
    return;
  merged = merge_pieces (&head, &tail);
  a->out = merged.p[1];
  b->in = merged.p[2];
  model_hold_bound (a);
  model_hold_bound (b);
  loosen_even (a);
  loosen_even (b);
}

/* A loop's only corner: the next node becomes the corner, and the old one an inner node, the last. */
static void
turn_loop (ModelPanel *panel)
{
  GArray *nodes = model_panel_edge (panel, 0)->nodes;
  ModelNode first = g_array_index (nodes, ModelNode, 0);

  g_array_remove_index (nodes, 0);
  g_array_append_val (nodes, first);
  g_array_index (nodes, ModelNode, 0).kind = MODEL_NODE_CORNER;
}

bool
model_shape_delete_node (ModelPanel *panel, guint node_id)
{
  GeomAffine mirror = model_panel_mirror (panel);
  guint total = model_panel_node_count (panel);
  g_autoptr (GArray) stands = g_array_new (FALSE, FALSE, sizeof (Stand));
  ModelSeat seat, before, after;
  ModelNode *a, *b, *gone, twin_a, twin_gone, twin_b;
  guint before_id;
  bool corrected;

  if (!model_hold_find (panel, node_id, &seat) || total < 3)
    return false;
  before = model_hold_previous (panel, seat);
  after = model_hold_next (panel, seat);
  if (model_hold_is_fixed_piece (panel, seat) || model_hold_is_fixed_piece (panel, before))
    return false;
  a = model_hold_node (panel, before);
  b = model_hold_node (panel, after);
  gone = model_hold_node (panel, seat);
  if (total == 3 && model_hold_is_straight (a, gone) && model_hold_is_straight (gone, b)
      && model_hold_is_straight (b, a))
    return false;

  before_id = a->id;
  for (guint i = 0; i < panel->marks->len; i++)
  {
    guint edge_id = g_array_index (panel->marks, ModelMark, i).edge_id;

    if (edge_id == model_panel_edge (panel, seat.edge)->id
        || edge_id == model_panel_edge (panel, before.edge)->id)
    {
      Stand stand = stand_of (panel, (guint)model_panel_find_edge (panel, edge_id), i);

      g_array_append_val (stands, stand);
    }
  }
  corrected = model_hold_has_correction (panel, before) || model_hold_has_correction (panel, seat)
              || model_hold_has_correction (panel, after);
  twin_a = model_hold_twin (panel, &mirror, before);
  twin_gone = model_hold_twin (panel, &mirror, seat);
  twin_b = model_hold_twin (panel, &mirror, after);
  bridge (a, gone, b);
  if (corrected)
  {
    bridge (&twin_a, &twin_gone, &twin_b);
    model_hold_set_twin (panel, &mirror, before, twin_a);
    model_hold_set_twin (panel, &mirror, after, twin_b);
    model_hold_drop_correction (panel, node_id);
  }

  if (seat.node > 0)
    g_array_remove_index (model_panel_edge (panel, seat.edge)->nodes, seat.node);
  else if (panel->edges->len > 1)
  {
    ModelEdge *kept = model_panel_edge (panel, before.edge), *merged = model_panel_edge (panel, seat.edge);

    if (merged->nodes->len > 1)
      g_array_append_vals (kept->nodes, model_edge_node (merged, 1), merged->nodes->len - 1);
    g_ptr_array_remove_index (panel->edges, seat.edge);
  }
  else
  {
    turn_loop (panel);
    g_array_set_size (model_panel_edge (panel, 0)->nodes, total - 1);
  }
  for (guint i = 0; i < stands->len; i++)
    settle_mark (panel, &g_array_index (stands, Stand, i), node_id, before_id);
  return true;
}

/* ---- kinds ---- */

/* Handles into one line, the direction between their own; the missing ones a third of the way to the
 * neighbours. */
static void
align (ModelNode *node, ModelNodeKind kind, const ModelNode *previous, const ModelNode *next)
{
  bool has_in = model_hold_has_handle (node, MODEL_HANDLE_IN),
       has_out = model_hold_has_handle (node, MODEL_HANDLE_OUT);
  double in_mm = has_in ? geom_distance (node->at, node->in) : geom_distance (node->at, previous->at) / 3.0;
  double out_mm = has_out ? geom_distance (node->at, node->out) : geom_distance (node->at, next->at) / 3.0;
  GeomPoint way_in = geom_unit (geom_sub (node->at, has_in ? node->in : previous->at));
  GeomPoint way_out = geom_unit (geom_sub (has_out ? node->out : next->at, node->at));
  GeomPoint way;

  /* Beside one straight piece that piece gives the direction and stays straight. */
  if (has_in != has_out && kind == MODEL_NODE_SMOOTH)
  {
    if (has_in && model_hold_is_straight (node, next))
      node->in = geom_along (node->at, -in_mm, way_out);
    else if (has_out && model_hold_is_straight (previous, node))
      node->out = geom_along (node->at, out_mm, way_in);
    else
      has_in = has_out = true; /* the missing one is made below */
    if (!(has_in && has_out))
      return;
  }
  way = geom_unit (geom_add (way_in, way_out));
  if (!(geom_norm (way) > 0.0))
    way = geom_left_of (way_in); /* there and back: square to both */
  if (kind == MODEL_NODE_EVEN)
    in_mm = out_mm = 0.5 * (in_mm + out_mm);
  node->in = geom_along (node->at, -in_mm, way);
  node->out = geom_along (node->at, out_mm, way);
}

void
model_shape_set_kind (ModelPanel *panel, guint node_id, ModelNodeKind kind)
{
  GeomAffine mirror = model_panel_mirror (panel);
  ModelSeat seat, before, after;
  ModelNode twin, twin_before, twin_after;
  ModelNode *drawn;
  bool corrected;

  if (!model_hold_find (panel, node_id, &seat) || seat.node == 0 || model_hold_is_fixed_piece (panel, seat))
    return;
  drawn = model_hold_node (panel, seat);
  drawn->kind = kind;
  if (kind == MODEL_NODE_CORNER)
    return;
  before = model_hold_previous (panel, seat);
  after = model_hold_next (panel, seat);
  corrected = model_hold_has_correction (panel, before) || model_hold_has_correction (panel, seat)
              || model_hold_has_correction (panel, after);
  twin = model_hold_twin (panel, &mirror, seat);
  twin_before = model_hold_twin (panel, &mirror, before);
  twin_after = model_hold_twin (panel, &mirror, after);
  align (drawn, kind, model_hold_node (panel, before), model_hold_node (panel, after));
  model_hold_bound (drawn);
  if (corrected)
  {
    align (&twin, kind, &twin_before, &twin_after);
    model_hold_set_twin (panel, &mirror, seat, twin);
  }
}

/* A node whose handles are no longer in one line is a corner and says so. */
static void
own_up (ModelPanel *panel, ModelSeat seat)
{
  ModelNode *node = model_hold_node (panel, seat);
  const ModelNode *previous = model_hold_node (panel, model_hold_previous (panel, seat));
  const ModelNode *next = model_hold_node (panel, model_hold_next (panel, seat));
  bool has_in = model_hold_has_handle (node, MODEL_HANDLE_IN),
       has_out = model_hold_has_handle (node, MODEL_HANDLE_OUT);
  GeomPoint way_in = geom_unit (geom_sub (node->at, has_in ? node->in : previous->at));
  GeomPoint way_out = geom_unit (geom_sub (has_out ? node->out : next->at, node->at));

  if (node->kind == MODEL_NODE_CORNER)
    return;
  if (fabs (geom_cross (way_in, way_out)) > IN_LINE_SINE || geom_dot (way_in, way_out) < 0.0)
    node->kind = MODEL_NODE_CORNER;
  else if (has_in != has_out)
    loosen_even (node);
  else if (fabs (geom_distance (node->at, node->in) - geom_distance (node->at, node->out))
           > MODEL_HOLD_NO_HANDLE_MM)
    loosen_even (node);
}

static void
set_straight (ModelNode *a, ModelNode *b, bool straight)
{
  a->out = straight ? a->at : geom_mix (a->at, b->at, 1.0 / 3.0);
  b->in = straight ? b->at : geom_mix (a->at, b->at, 2.0 / 3.0);
  model_hold_bound (a);
  model_hold_bound (b);
}

void
model_shape_set_piece_straight (ModelPanel *panel, guint edge_id, guint node_index, bool straight)
{
  GeomAffine mirror = model_panel_mirror (panel);
  ModelSeat a, b;
  ModelNode twin_a, twin_b;
  bool corrected;

  if (!model_hold_find_piece (panel, edge_id, node_index, &a) || model_hold_is_fixed_piece (panel, a))
    return;
  b = model_hold_next (panel, a);
  if (model_hold_same (a, b))
    return;
  corrected = model_hold_has_correction (panel, a) || model_hold_has_correction (panel, b);
  twin_a = model_hold_twin (panel, &mirror, a);
  twin_b = model_hold_twin (panel, &mirror, b);
  set_straight (model_hold_node (panel, a), model_hold_node (panel, b), straight);
  if (corrected)
  {
    set_straight (&twin_a, &twin_b, straight);
    model_hold_set_twin (panel, &mirror, a, twin_a);
    model_hold_set_twin (panel, &mirror, b, twin_b);
  }
  own_up (panel, a);
  own_up (panel, b);
}

/* ---- marks ---- */

guint
model_shape_add_mark (
  ModelPanel *panel, ModelDocument *ids, guint edge_id, guint node_index, double t, int wedges)
{
  ModelMark mark = { .edge_id = edge_id, .wedges = CLAMP (wedges, 0, 2) };
  ModelSeat seat;

  if (!model_hold_find_piece (panel, edge_id, node_index, &seat) || !(t >= 0.0 && t <= 1.0))
    return 0;
  for (guint i = 0; i <= node_index; i++)
  {
    ModelSeat at = { seat.edge, i };
    GeomCubic c
      = model_hold_cubic (model_hold_node (panel, at), model_hold_node (panel, model_hold_next (panel, at)));

    mark.at_mm += i < node_index ? geom_cubic_length (&c, MODEL_HOLD_LENGTH_ACCURACY_MM)
                                 : geom_cubic_length_between (&c, 0.0, t, MODEL_HOLD_LENGTH_ACCURACY_MM);
  }
  mark.id = model_document_take_id (ids);
  g_array_append_val (panel->marks, mark);
  return mark.id;
}
