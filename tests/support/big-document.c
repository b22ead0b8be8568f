#include "support/big-document.h"

#define GRID_MM 300.0
#define GRID_COLUMNS 20
/* How far the handles stand off the chord, as a part of it. */
#define WAVE 0.12
#define OWN_SHIFT_MM 2.5
#define ACCURACY_MM 1e-9

static GeomPoint
corner_at (GeomPoint centre, guint index)
{
  double angle_rad = 2.0 * G_PI * (double)(index % TEST_BIG_EDGES) / TEST_BIG_EDGES;

  return geom_add (centre, geom_scale (geom_point (cos (angle_rad), sin (angle_rad)), TEST_BIG_RADIUS_MM));
}

static void
add_edges (ModelPanel *panel, ModelDocument *doc, GeomPoint centre)
{
  for (guint e = 0; e < TEST_BIG_EDGES; e++)
  {
    ModelEdge *edge = model_edge_new ();
    GeomPoint at = corner_at (centre, e);
    ModelNode node = { .id = model_document_take_id (doc), .at = at, .in = at, .out = at };

    edge->id = model_document_take_id (doc);
    edge->fold = panel->halves == MODEL_HALVES_FOLD && e == 0;
    g_free (edge->name);
    edge->name = edge->fold ? g_strdup ("fold") : g_strdup_printf ("side %u", e);
    g_array_append_val (edge->nodes, node);
    g_ptr_array_add (panel->edges, edge);
  }
  for (guint e = 0; e < TEST_BIG_EDGES; e++)
  {
    ModelNode *from = model_edge_node (model_panel_edge (panel, e), 0);
    ModelNode *to = model_panel_next_node (panel, e, 0);
    GeomPoint chord = geom_sub (to->at, from->at);
    GeomPoint off = geom_scale (geom_left_of (chord), WAVE);

    if (model_panel_edge (panel, e)->fold)
      continue;
    from->out = geom_add (geom_along (from->at, 1.0 / 3.0, chord), off);
    to->in = geom_sub (geom_along (to->at, -1.0 / 3.0, chord), off);
  }
}

static void
add_own_sides (ModelPanel *panel)
{
  GeomPoint shift = { OWN_SHIFT_MM, 0.0 };

  panel->own_sides = true;
  for (guint e = 0; e < panel->edges->len; e++)
  {
    guint node_id = model_edge_node (model_panel_edge (panel, e), 0)->id;
    ModelCorrection more = { node_id, shift, shift, shift };

    g_array_append_val (panel->corrections, more);
  }
}

static void
add_panel (ModelDocument *doc, guint index, guint material_id)
{
  ModelPanel *panel = model_panel_new ();
  GeomPoint centre = { GRID_MM * (index % GRID_COLUMNS), GRID_MM * (index / GRID_COLUMNS) };

  panel->id = model_document_take_id (doc);
  g_free (panel->name);
  panel->name = g_strdup_printf ("Guard plate %u", index + 1);
  panel->material_id = material_id;
  panel->halves = (ModelHalves)(index % 3);
  if (panel->halves != MODEL_HALVES_SINGLE)
    panel->side = MODEL_SIDE_RIGHT;
  panel->mirror_x_mm = panel->halves == MODEL_HALVES_PAIR ? centre.x + GRID_MM / 2.0 : 0.0;
  panel->has_grain = index % 2 == 0;
  add_edges (panel, doc, centre);
  if (panel->halves == MODEL_HALVES_PAIR && index / 3 % 10 == 0)
    add_own_sides (panel);
  model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, panel }, -1);
}

static double
edge_length_mm (const ModelPanel *panel, guint e)
{
  const ModelNode *from = model_edge_node (model_panel_edge (panel, e), 0);
  const ModelNode *to = model_panel_next_node (panel, e, 0);
  GeomCubic piece = { { from->at, from->out, to->in, to->at } };

  return geom_cubic_length (&piece, ACCURACY_MM);
}

static guint
add_mark (ModelDocument *doc, ModelPanel *panel, guint e, double at_mm)
{
  ModelMark mark = { model_document_take_id (doc), model_panel_edge (panel, e)->id, at_mm, 1 };

  g_array_append_val (panel->marks, mark);
  return mark.id;
}

/* USED: for each panel how many of its edges are spoken for; edge 0 may be a fold and is left out. */
static guint
take_run (ModelDocument *doc, guint index, guint length, guint *used, ModelRun *run)
{
  ModelPanel *panel = g_ptr_array_index (doc->panels, index);
  guint first = 1 + used[index];

  run->panel_id = panel->id;
  for (guint i = 0; i < length; i++)
    g_array_append_val (run->edges, model_panel_edge (panel, first + i)->id);
  used[index] += length;
  return first;
}

static void
add_join (ModelDocument *doc, guint index, guint *used)
{
  guint count = doc->panels->len;
  guint a = index % count, b = (a + 1 + index / count) % count;
  guint length = index % 5 == 4 ? 2 : 1;
  ModelJoin *join = model_join_new ();
  guint first_a, first_b;

  if (a == b)
    b = (b + 1) % count;
  join->id = model_document_take_id (doc);
  g_free (join->letter);
  join->letter = model_document_free_letter (doc);
  join->kind = (ModelJoinKind)(index % 4);
  first_a = take_run (doc, a, length, used, &join->a);
  first_b = take_run (doc, b, length, used, &join->b);
  join->b.reversed = true;
  if (index % 3 == 0)
  {
    ModelPanel *panel_a = g_ptr_array_index (doc->panels, a), *panel_b = g_ptr_array_index (doc->panels, b);
    guint last_b = first_b + length - 1;
    double along_mm = 0.4 * edge_length_mm (panel_a, first_a);
    ModelMatch match;

    match.a_mark_id = add_mark (doc, panel_a, first_a, along_mm);
    match.b_mark_id = add_mark (doc, panel_b, last_b, edge_length_mm (panel_b, last_b) - along_mm);
    g_array_append_val (join->matches, match);
  }
  model_document_put (doc, (ModelPart) { MODEL_PART_JOIN, join }, -1);
}

static void
add_measure (ModelDocument *doc, const char *key, const char *name, double wearer_mm, double form_mm)
{
  ModelMeasure *measure = model_measure_new ();

  measure->id = model_document_take_id (doc);
  measure->key = g_strdup (key);
  g_free (measure->name);
  measure->name = g_strdup (name);
  measure->has_wearer = measure->has_form = true;
  measure->wearer_mm = wearer_mm;
  measure->form_mm = form_mm;
  model_document_put (doc, (ModelPart) { MODEL_PART_MEASURE, measure }, -1);
}

ModelDocument *
test_big_document_of (guint panels, guint joins)
{
  ModelDocument *doc = model_document_new ();
  ModelMaterial *leather = model_material_new ();
  g_autofree guint *used = g_new0 (guint, panels);

  g_free (doc->head->title);
  doc->head->title = g_strdup ("Caravan guard, whole company");
  leather->id = model_document_take_id (doc);
  g_free (leather->name);
  leather->name = g_strdup ("Leather 3 mm");
  model_document_put (doc, (ModelPart) { MODEL_PART_MATERIAL, leather }, -1);
  add_measure (doc, "chest_girth", "Chest girth", 980.0, 985.0);
  add_measure (doc, NULL, "Over the padding", 1040.0, 1043.5);
  for (guint i = 0; i < panels; i++)
    add_panel (doc, i, leather->id);
  for (guint i = 0; i < joins; i++)
    add_join (doc, i, used);
  return doc;
}

ModelDocument *
test_big_document (void)
{
  return test_big_document_of (TEST_BIG_PANELS, TEST_BIG_JOINS);
}
