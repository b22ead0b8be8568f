/* The panel as a whole: moved, turned, mirrored, its sides swapped, its fold made; new ones. */
#include "model/format.h"
#include "model/shape-hold.h"

/* Outlines that enclose less than this are no panel: a hundredth of a square millimetre is a scratch of the
 * knife. */
#define LEAST_AREA_MM2 0.01
/* How far a fold may be from upright or level and still be set so. */
#define FOLD_SNAP_DEG 1.0
/* A map whose scale differs by less from 1 keeps all lengths. */
#define SAME_SCALE 1e-12

static GeomAffine
linear (GeomAffine map)
{
  map.x0 = map.y0 = 0.0;
  return map;
}

static void
swap_handles (ModelNode *node)
{
  GeomPoint in = node->in;

  node->in = node->out;
  node->out = in;
}

/* Edges and nodes in the opposite order; each edge then starts at the corner where it ended.  Marks are the
 * caller's. */
static void
reverse_outline (ModelPanel *panel)
{
  guint count = panel->edges->len;
  g_autoptr (GPtrArray) corners = g_ptr_array_new_with_free_func (g_free);

  for (guint e = 0; e < count; e++)
  {
    GArray *nodes = model_panel_edge (panel, e)->nodes;

    for (guint n = 0; n < nodes->len; n++)
      swap_handles (&g_array_index (nodes, ModelNode, n));
    g_ptr_array_add (corners, g_memdup2 (&g_array_index (nodes, ModelNode, 0), sizeof (ModelNode)));
  }
  for (guint e = 0; e < count; e++)
  {
    GArray *nodes = model_panel_edge (panel, e)->nodes;

    g_array_index (nodes, ModelNode, 0) = *(ModelNode *)g_ptr_array_index (corners, (e + 1) % count);
    for (guint i = 1, j = nodes->len - 1; i < j; i++, j--)
    {
      ModelNode kept = g_array_index (nodes, ModelNode, i);

      g_array_index (nodes, ModelNode, i) = g_array_index (nodes, ModelNode, j);
      g_array_index (nodes, ModelNode, j) = kept;
    }
  }
  for (guint i = 0, j = count - 1; i < j; i++, j--)
  {
    gpointer kept = panel->edges->pdata[i];

    panel->edges->pdata[i] = panel->edges->pdata[j];
    panel->edges->pdata[j] = kept;
  }
  for (guint i = 0; i < panel->corrections->len; i++)
  {
    ModelCorrection *correction = &g_array_index (panel->corrections, ModelCorrection, i);
    GeomPoint in = correction->in;

    correction->in = correction->out;
    correction->out = in;
  }
}

/* Lengths of all edges as drawn, by edge id. */
static GHashTable *
lengths_by_id (const ModelPanel *panel)
{
  GHashTable *lengths = g_hash_table_new_full (NULL, NULL, NULL, g_free);

  for (guint e = 0; e < panel->edges->len; e++)
  {
    double *mm = g_new (double, 1);

    *mm = model_hold_edge_length (panel, e);
    g_hash_table_insert (lengths, GUINT_TO_POINTER (model_panel_edge (panel, e)->id), mm);
  }
  return lengths;
}

/* Marks after all lengths changed: in the same part of their edge as before, seen from its other end if
 * REVERSED. */
static void
rescale_marks (ModelPanel *panel, GHashTable *before, GHashTable *after, bool reversed)
{
  for (guint i = 0; i < panel->marks->len; i++)
  {
    ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);
    const double *was = g_hash_table_lookup (before, GUINT_TO_POINTER (mark->edge_id));
    const double *now = g_hash_table_lookup (after, GUINT_TO_POINTER (mark->edge_id));

    if (was == NULL || now == NULL || !(*was > 0.0))
      continue;
    mark->at_mm *= *now / *was;
    if (reversed)
      mark->at_mm = *now - mark->at_mm;
    mark->at_mm = CLAMP (mark->at_mm, 0.0, MODEL_MAX_ALONG_MM);
  }
}

static double
mapped_angle_deg (GeomAffine map, double deg)
{
  GeomPoint way = geom_point (cos (deg * (G_PI / 180.0)), sin (deg * (G_PI / 180.0)));
  double turned;

  way = geom_affine_apply_vector (map, way);
  if (!(geom_norm (way) > 0.0))
    return deg;
  turned = atan2 (way.y, way.x) * (180.0 / G_PI);
  return turned < 0.0 ? turned + 360.0 : turned;
}

static bool
map_stays_in_bounds (const ModelPanel *panel, const GeomAffine *map)
{
  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++)
    {
      ModelNode node = model_hold_mapped (*model_edge_node (model_panel_edge (panel, e), n), map);

      /* Written so that NaN fails too. */
      if (!model_hold_in_bounds (node.at) || !model_hold_in_bounds (node.in)
          || !model_hold_in_bounds (node.out))
        return false;
    }
  return true;
}

static bool
corrections_stay_in_bounds (const ModelPanel *panel, GeomAffine turn)
{
  for (guint i = 0; i < panel->corrections->len; i++)
  {
    const ModelCorrection *correction = &g_array_index (panel->corrections, ModelCorrection, i);

    if (!model_hold_in_bounds (geom_affine_apply_vector (turn, correction->at))
        || !model_hold_in_bounds (geom_affine_apply_vector (turn, correction->in))
        || !model_hold_in_bounds (geom_affine_apply_vector (turn, correction->out)))
      return false;
  }
  return true;
}

/* Along the outline is counter-clockwise: TURNED, that goes the other way now. */
static void
map_tapes (ModelPanel *panel, GeomAffine map, bool turned)
{
  for (guint i = 0; i < panel->tapes->len; i++)
  {
    ModelTape *tape = &g_array_index (panel->tapes, ModelTape, i);

    tape->a = geom_affine_apply (map, tape->a);
    tape->b = geom_affine_apply (map, tape->b);
    tape->c = geom_affine_apply (map, tape->c);
    if (turned && tape->kind == MODEL_TAPE_ALONG)
    {
      guint mark_id = tape->a_mark_id;

      tape->a_mark_id = tape->b_mark_id;
      tape->b_mark_id = mark_id;
    }
  }
}

void
model_shape_map (ModelPanel *panel, GeomAffine map)
{
  GeomAffine mirror = model_panel_mirror (panel), of_twin = linear (map);
  double determinant = geom_affine_determinant (map);
  g_autoptr (GHashTable) before = NULL;
  g_autoptr (GHashTable) after = NULL;
  bool isometry = fabs (fabs (determinant) - 1.0) <= SAME_SCALE;

  if (!(fabs (determinant) > 0.0) || !isfinite (determinant) || !map_stays_in_bounds (panel, &map))
    return;
  /* A pair's mirror stays: the twin goes the mirrored way.  A fold goes with its panel. */
  if (panel->halves == MODEL_HALVES_PAIR)
    of_twin = linear (geom_affine_after (mirror, geom_affine_after (map, mirror)));
  if (!corrections_stay_in_bounds (panel, of_twin))
    return;
  if (panel->marks->len > 0 && !(isometry && determinant > 0.0))
    before = lengths_by_id (panel);

  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++)
    {
      ModelNode *node = model_edge_node (model_panel_edge (panel, e), n);

      *node = model_hold_mapped (*node, &map);
    }
  for (guint i = 0; i < panel->corrections->len; i++)
  {
    ModelCorrection *correction = &g_array_index (panel->corrections, ModelCorrection, i);

    correction->at = geom_affine_apply_vector (of_twin, correction->at);
    correction->in = geom_affine_apply_vector (of_twin, correction->in);
    correction->out = geom_affine_apply_vector (of_twin, correction->out);
  }
  map_tapes (panel, map, determinant < 0.0);
  if (panel->has_grain)
    panel->grain_deg = mapped_angle_deg (map, panel->grain_deg);
  if (determinant < 0.0)
    reverse_outline (panel);
  if (before != NULL)
  {
    after = lengths_by_id (panel);
    rescale_marks (panel, before, after, determinant < 0.0);
  }
}

static guint
renew_id (GHashTable *fresh, ModelDocument *ids, guint old)
{
  guint id = model_document_take_id (ids);
  g_hash_table_insert (fresh, GUINT_TO_POINTER (old), GUINT_TO_POINTER (id));
  return id;
}

static guint
renewed_id (GHashTable *fresh, guint old)
{
  return GPOINTER_TO_UINT (g_hash_table_lookup (fresh, GUINT_TO_POINTER (old)));
}

/* All fresh ids first, then who refers to them: in another document a fresh id may be one that another part
 * of the panel had before. */
void
model_shape_renew_ids (ModelPanel *panel, ModelDocument *ids)
{
  g_autoptr (GHashTable) fresh = g_hash_table_new (NULL, NULL);
  panel->id = model_document_take_id (ids);
  for (guint e = 0; e < panel->edges->len; e++)
  {
    ModelEdge *edge = model_panel_edge (panel, e);

    edge->id = renew_id (fresh, ids, edge->id);
    for (guint n = 0; n < edge->nodes->len; n++)
      model_edge_node (edge, n)->id = renew_id (fresh, ids, model_edge_node (edge, n)->id);
  }
  for (guint i = 0; i < panel->marks->len; i++)
  {
    ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);

    mark->id = renew_id (fresh, ids, mark->id);
    mark->edge_id = renewed_id (fresh, mark->edge_id);
  }
  for (guint i = 0; i < panel->corrections->len; i++)
  {
    ModelCorrection *correction = &g_array_index (panel->corrections, ModelCorrection, i);

    correction->node_id = renewed_id (fresh, correction->node_id);
  }
  for (guint k = 0; k < panel->tapes->len; k++)
  {
    ModelTape *tape = &g_array_index (panel->tapes, ModelTape, k);

    tape->id = model_document_take_id (ids);
    tape->a_mark_id = renewed_id (fresh, tape->a_mark_id);
    tape->b_mark_id = renewed_id (fresh, tape->b_mark_id);
    tape->c_mark_id = renewed_id (fresh, tape->c_mark_id);
  }
}

/* ---- sides ---- */

void
model_shape_swap_sides (ModelPanel *panel)
{
  ModelHold hold = model_hold (panel, model_side_other (panel->side));
  GeomAffine turn = linear (hold.mirror);
  g_autoptr (GHashTable) before = NULL;
  g_autoptr (GHashTable) after = NULL;

  if (!hold.other || !corrections_stay_in_bounds (panel, turn))
    return;
  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++)
    {
      ModelNode twin = model_hold_get (&hold, (ModelSeat) { e, n });

      if (!model_hold_in_bounds (twin.at) || !model_hold_in_bounds (twin.in)
          || !model_hold_in_bounds (twin.out))
        return; /* the other side lies beyond what a file can hold */
    }
  before = lengths_by_id (panel);
  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++)
    {
      ModelSeat seat = { e, n };
      ModelNode *node = model_hold_node (panel, seat);

      *node = model_hold_get (&hold, seat);
      model_hold_bound (node);
    }
  /* drawn = M (M drawn + c) + c'  gives  c' = - M c, M without its shift. */
  for (guint i = 0; i < panel->corrections->len; i++)
  {
    ModelCorrection *correction = &g_array_index (panel->corrections, ModelCorrection, i);

    correction->at = geom_scale (geom_affine_apply_vector (turn, correction->at), -1.0);
    correction->in = geom_scale (geom_affine_apply_vector (turn, correction->in), -1.0);
    correction->out = geom_scale (geom_affine_apply_vector (turn, correction->out), -1.0);
  }
  map_tapes (panel, hold.mirror, true);
  if (panel->has_grain)
    panel->grain_deg = mapped_angle_deg (turn, panel->grain_deg);
  panel->side = model_side_other (panel->side);
  reverse_outline (panel);
  after = lengths_by_id (panel);
  rescale_marks (panel, before, after, true);
}

void
model_shape_set_own_sides (ModelPanel *panel, bool own)
{
  if (panel->halves != MODEL_HALVES_SINGLE)
    panel->own_sides = own;
}

void
model_shape_clear_corrections (ModelPanel *panel, guint edge_id_or_0)
{
  int found;
  ModelSeat seat;
  guint count;

  if (edge_id_or_0 == 0)
  {
    g_array_set_size (panel->corrections, 0);
    return;
  }
  found = model_panel_find_edge (panel, edge_id_or_0);
  if (found < 0)
    return;
  seat = (ModelSeat) { (guint)found, 0 };
  count = model_panel_edge (panel, seat.edge)->nodes->len;
  for (guint i = 0; i <= count; i++, seat = model_hold_next (panel, seat))
    model_hold_drop_correction (panel, model_hold_node (panel, seat)->id);
}

/* ---- new ones ---- */

ModelPanel *
model_shape_new_panel (ModelDocument *ids, const ModelNode *nodes, guint count)
{
  g_autofree ModelNode *ring = NULL;
  g_autoptr (ModelPanel) panel = NULL;
  GeomPath path;
  ModelEdge *edge = NULL;
  double area;
  guint first = 0;

  if (count < 2 || count > MODEL_FILE_MAX_NODES)
    return NULL;
  for (guint i = 0; i < count; i++)
    if (!model_hold_in_bounds (nodes[i].at) || !model_hold_in_bounds (nodes[i].in)
        || !model_hold_in_bounds (nodes[i].out))
      return NULL;
  geom_path_init (&path);
  for (guint i = 0; i < count; i++)
  {
    GeomCubic c = model_hold_cubic (&nodes[i], &nodes[(i + 1) % count]);

    geom_path_append (&path, &c);
  }
  path.closed = true;
  area = geom_path_area (&path);
  geom_path_clear (&path);
  if (!(fabs (area) >= LEAST_AREA_MM2))
    return NULL;

  ring = g_new (ModelNode, count);
  for (guint i = 0; i < count; i++)
  {
    ring[i] = area > 0.0 ? nodes[i] : nodes[count - 1 - i];
    if (area < 0.0)
      swap_handles (&ring[i]);
  }
  while (first < count && ring[first].kind != MODEL_NODE_CORNER)
    first++;
  first %= count;

  panel = model_panel_new ();
  panel->id = model_document_take_id (ids);
  for (guint i = 0; i < count; i++)
  {
    ModelNode node = ring[(first + i) % count];

    if (i == 0 || node.kind == MODEL_NODE_CORNER)
    {
      edge = model_edge_new ();
      edge->id = model_document_take_id (ids);
      g_array_set_size (edge->nodes, 0);
      g_ptr_array_add (panel->edges, edge);
      node.kind = MODEL_NODE_CORNER;
    }
    node.id = model_document_take_id (ids);
    g_array_append_val (edge->nodes, node);
  }
  return g_steal_pointer (&panel);
}

/* ---- fold ---- */

/* Upright or level through the chord's middle if the chord is nearly so; else the chord's line itself. */
static void
find_fold_line (GeomPoint a, GeomPoint b, GeomPoint *to_a, GeomPoint *to_b)
{
  GeomPoint d = geom_sub (b, a);
  double snap = tan (FOLD_SNAP_DEG * (G_PI / 180.0));

  *to_a = a;
  *to_b = b;
  if (fabs (d.x) <= snap * fabs (d.y))
    to_a->x = to_b->x = 0.5 * (a.x + b.x);
  else if (fabs (d.y) <= snap * fabs (d.x))
    to_a->y = to_b->y = 0.5 * (a.y + b.y);
}

bool
model_shape_make_fold (ModelPanel *panel, guint edge_id)
{
  int found = model_panel_find_edge (panel, edge_id);
  ModelSeat a, b;
  ModelNode *first, *last;
  ModelEdge *edge;
  GeomPoint to_a, to_b;
  GHashTable *before;
  double was, now;

  if (found < 0 || panel->edges->len < 2)
    return false;
  a = (ModelSeat) { (guint)found, 0 };
  b = (ModelSeat) { ((guint)found + 1) % panel->edges->len, 0 };
  edge = model_panel_edge (panel, a.edge);
  first = model_hold_node (panel, a);
  last = model_hold_node (panel, b);
  find_fold_line (first->at, last->at, &to_a, &to_b);
  if (geom_distance (to_a, to_b) < MODEL_HOLD_MIN_FOLD_MM)
    return false;
  if ((model_hold_is_locked (panel, a) && !geom_same_point (to_a, first->at))
      || (model_hold_is_locked (panel, b) && !geom_same_point (to_b, last->at)) || edge->locked
      || panel->locked)
    return false;

  before = lengths_by_id (panel);
  was = *(double *)g_hash_table_lookup (before, GUINT_TO_POINTER (edge_id));
  g_hash_table_unref (before);
  for (guint i = 1; i < edge->nodes->len; i++)
    model_hold_drop_correction (panel, model_edge_node (edge, i)->id);
  g_array_set_size (edge->nodes, 1);
  first = model_hold_node (panel, a);
  model_hold_shift (first, geom_sub (to_a, first->at));
  model_hold_shift (last, geom_sub (to_b, last->at));
  first->at = first->out = to_a;
  last->at = last->in = to_b;
  now = geom_distance (to_a, to_b);
  for (guint i = 0; i < panel->marks->len; i++)
  {
    ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);

    if (mark->edge_id == edge_id && was > 0.0)
      mark->at_mm *= now / was;
  }

  for (guint e = 0; e < panel->edges->len; e++)
    model_panel_edge (panel, e)->fold = e == a.edge;
  panel->halves = MODEL_HALVES_FOLD;
  if (panel->side == MODEL_SIDE_CENTRE)
    /* Seen from outside the wearer's left is on the right of the picture, at least on the chest. */
    panel->side = to_b.y < to_a.y ? MODEL_SIDE_LEFT : MODEL_SIDE_RIGHT;
  {
    ModelSeat ends[] = { a, b };

    /* Both sides share the fold: what they had of their own there goes. */
    for (guint i = 0; i < G_N_ELEMENTS (ends); i++)
      if (model_hold_has_correction (panel, ends[i]))
      {
        GeomAffine mirror = model_panel_mirror (panel);

        model_hold_set_twin (panel, &mirror, ends[i], model_hold_twin (panel, &mirror, ends[i]));
      }
  }
  return true;
}
