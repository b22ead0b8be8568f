#include "support/sample-document.h"

typedef struct Corner
{
  const char *edge; /* the edge that begins here */
  double x, y;
  double out_x, out_y, in_x, in_y; /* handles of the piece to the next corner, 0, 0: straight */
} Corner;

static ModelPanel *
add_panel (ModelDocument *doc, const char *name, const Corner *corners, guint count)
{
  ModelPanel *panel = model_panel_new ();
  panel->id = model_document_take_id (doc);
  g_free (panel->name);
  panel->name = g_strdup (name);
  panel->material_id = ((ModelMaterial *)g_ptr_array_index (doc->materials, 0))->id;
  for (guint i = 0; i < count; i++)
  {
    const Corner *c = &corners[i], *before = &corners[(i + count - 1) % count];
    bool out = c->out_x != 0.0 || c->out_y != 0.0, in = before->in_x != 0.0 || before->in_y != 0.0;
    ModelEdge *edge = model_edge_new ();
    ModelNode node = { .id = model_document_take_id (doc), .kind = MODEL_NODE_CORNER, .at = { c->x, c->y } };
    node.out = out ? geom_point (c->out_x, c->out_y) : node.at;
    node.in = in ? geom_point (before->in_x, before->in_y) : node.at;
    edge->id = model_document_take_id (doc);
    g_free (edge->name);
    edge->name = g_strdup (c->edge);
    edge->fold = g_str_equal (c->edge, "fold");
    g_array_append_val (edge->nodes, node);
    g_ptr_array_add (panel->edges, edge);
  }
  model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, panel }, -1);
  return panel;
}

static ModelJoin *
add_join (ModelDocument *doc,
          const char *letter,
          ModelJoinKind kind,
          const char *a,
          const char *edge_a,
          const char *b,
          const char *edge_b)
{
  ModelJoin *join = model_join_new ();
  guint id_a = test_sample_edge (doc, a, edge_a)->id, id_b = test_sample_edge (doc, b, edge_b)->id;
  join->id = model_document_take_id (doc);
  g_free (join->letter);
  join->letter = g_strdup (letter);
  join->kind = kind;
  join->a.panel_id = test_sample_panel (doc, a)->id;
  join->b.panel_id = test_sample_panel (doc, b)->id;
  g_array_append_val (join->a.edges, id_a);
  g_array_append_val (join->b.edges, id_b);
  join->b.reversed = true;
  model_document_put (doc, (ModelPart) { MODEL_PART_JOIN, join }, -1);
  return join;
}

ModelPanel *
test_sample_panel (const ModelDocument *doc, const char *name)
{
  return model_document_panel_named (doc, name);
}

ModelEdge *
test_sample_edge (const ModelDocument *doc, const char *panel, const char *edge)
{
  const ModelPanel *found = test_sample_panel (doc, panel);
  for (guint i = 0; found != NULL && i < found->edges->len; i++)
    if (g_str_equal (model_panel_edge (found, i)->name, edge))
      return model_panel_edge (found, i);
  return NULL;
}

ModelJoin *
test_sample_join (const ModelDocument *doc, const char *letter)
{
  for (guint i = 0; i < doc->joins->len; i++)
  {
    ModelJoin *join = g_ptr_array_index (doc->joins, i);
    if (g_str_equal (join->letter, letter))
      return join;
  }
  return NULL;
}

ModelDocument *
test_sample_document (void)
{
  static const Corner front[]
    = { { .edge = "hem", .x = 0, .y = 0 },           { .edge = "side", .x = 150, .y = 0 },
        { "armhole", 150, 300, 115, 320, 110, 400 }, { .edge = "shoulder", .x = 120, .y = 460 },
        { "neck", 60, 480, 55, 430, 30, 400 },       { .edge = "fold", .x = 0, .y = 400 } };
  static const Corner side[] = { { .edge = "hem", .x = 200, .y = 0 },
                                 { .edge = "back", .x = 320, .y = 0 },
                                 { "armhole", 320, 300, 290, 275, 230, 275 },
                                 { .edge = "front", .x = 200, .y = 306.2 } };
  static const Corner back[]
    = { { .edge = "hem", .x = 450, .y = 0 },         { .edge = "fold", .x = 600, .y = 0 },
        { "neck", 600, 455, 575, 455, 550, 460 },    { .edge = "shoulder", .x = 540, .y = 480 },
        { "armhole", 480, 460, 490, 400, 485, 320 }, { .edge = "side", .x = 450, .y = 300 } };
  static const Corner belt[] = { { .edge = "foot", .x = 0, .y = -110 },
                                 { .edge = "right", .x = 150, .y = -110 },
                                 { .edge = "top", .x = 150, .y = -50 },
                                 { .edge = "left", .x = 0, .y = -50 } };
  ModelDocument *doc = model_document_new ();
  ModelMaterial *leather = model_material_new ();
  leather->id = model_document_take_id (doc);
  g_free (leather->name);
  leather->name = g_strdup ("leather");
  leather->thickness_mm = 3.5;
  model_document_put (doc, (ModelPart) { MODEL_PART_MATERIAL, leather }, -1);
  ModelPanel *panel = add_panel (doc, "Front", front, G_N_ELEMENTS (front));
  panel->halves = MODEL_HALVES_FOLD;
  panel->side = MODEL_SIDE_LEFT;
  panel->has_grain = true;
  panel->grain_deg = 90.0;
  panel = add_panel (doc, "Side", side, G_N_ELEMENTS (side));
  panel->halves = MODEL_HALVES_PAIR;
  panel->side = MODEL_SIDE_LEFT;
  panel = add_panel (doc, "Back", back, G_N_ELEMENTS (back));
  panel->halves = MODEL_HALVES_FOLD;
  panel->side = MODEL_SIDE_LEFT;
  add_panel (doc, "Belt", belt, G_N_ELEMENTS (belt));
  add_join (doc, "A", MODEL_JOIN_FLUSH, "Front", "side", "Side", "front");
  add_join (doc, "B", MODEL_JOIN_GAP, "Side", "back", "Back", "side")->gap_mm = 12.0;
  add_join (doc, "C", MODEL_JOIN_STITCHED, "Front", "shoulder", "Back", "shoulder")->allowance_mm = 8.0;
  add_join (doc, "D", MODEL_JOIN_LAPPED, "Front", "hem", "Belt", "top")->lap_mm = 10.0;
  return doc;
}
