/* Pinned tapes: plane geometry by hand, and what becomes of them when the panel changes. */
#include "model/repair.h"
#include "model/rework.h"
#include "model/tape.h"
#include "shape-fixture.h"

/* 120 by 90, corners at the origin. */
static ModelPanel *
rectangle (ModelDocument *ids)
{
  ModelNode nodes[4] = { { 0 } };
  const GeomPoint at[] = { { 0, 0 }, { 120, 0 }, { 120, 90 }, { 0, 90 } };
  for (guint i = 0; i < 4; i++)
    nodes[i] = (ModelNode) { .kind = MODEL_NODE_CORNER, .at = at[i], .in = at[i], .out = at[i] };
  return model_shape_new_panel (ids, nodes, 4);
}

static ModelTapeReading
read_tape (const ModelPanel *panel, guint index, bool twin)
{
  ModelTapeReading reading;
  g_assert_true (model_tape_read (panel, &g_array_index (panel->tapes, ModelTape, index), twin, &reading));
  return reading;
}

/* The diagonal of half of it is 75 long (45, 60, 75), along the outline from corner to corner it is 120, the
 * angle at the corner a right one. */
static void
test_read (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  g_autoptr (ModelPanel) panel = rectangle (doc);
  guint low = model_panel_edge (panel, 0)->id, right = model_panel_edge (panel, 1)->id,
        a = model_tape_mark (panel, doc, low, 60.0), b = model_tape_mark (panel, doc, right, 45.0),
        corner = model_tape_mark (panel, doc, right, 0.0);
  g_assert_cmpuint (model_tape_mark (panel, doc, low, 60.0004), ==, a);
  g_assert_cmpuint (model_tape_mark (panel, doc, 9999, 1.0), ==, 0);
  const ModelTape tapes[]
    = { { .id = 901, .a_mark_id = a, .b_mark_id = b, .has_wrap = true, .wrap_mm = 81.5 },
        { .id = 902, .kind = MODEL_TAPE_ALONG, .a_mark_id = a, .b_mark_id = b },
        { .id = 903, .kind = MODEL_TAPE_ANGLE, .a = { 0, 0 }, .b_mark_id = corner, .c_mark_id = b },
        { .id = 904, .a = { 10, 10 }, .b = { 40, 50 } } };
  g_array_append_vals (panel->tapes, tapes, G_N_ELEMENTS (tapes));
  g_assert_cmpfloat_with_epsilon (read_tape (panel, 0, false).mm, 75.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (read_tape (panel, 0, false).over_mm, 6.5, 1e-9);
  g_assert_cmpfloat_with_epsilon (read_tape (panel, 1, false).mm, 105.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (read_tape (panel, 2, false).deg, 90.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (read_tape (panel, 3, false).mm, 50.0, 1e-9);

  /* The right edge goes out by 40: the ends on it go along, the free ones stay. */
  guint nodes[] = { model_edge_node (model_panel_edge (panel, 1), 0)->id,
                    model_edge_node (model_panel_edge (panel, 2), 0)->id };
  model_shape_move_nodes (panel, MODEL_SIDE_CENTRE, nodes, 2, geom_point (40.0, 0.0));
  g_assert_cmpfloat_with_epsilon (read_tape (panel, 0, false).b.x, 160.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (read_tape (panel, 0, false).mm, hypot (100.0, 45.0), 1e-6);
  g_assert_cmpfloat_with_epsilon (read_tape (panel, 3, false).mm, 50.0, 1e-9);

  /* Turned over, lengths and angles stay, and along is along. */
  double was[4];
  for (guint i = 0; i < 4; i++)
    was[i] = i == 2 ? read_tape (panel, i, false).deg : read_tape (panel, i, false).mm;
  model_shape_map (panel, geom_affine_mirror (geom_point (0.0, 0.0), geom_point (0.0, 1.0)));
  for (guint i = 0; i < 4; i++)
    g_assert_cmpfloat_with_epsilon (i == 2 ? read_tape (panel, i, false).deg : read_tape (panel, i, false).mm,
                                    was[i], 1e-6);
  model_shape_renew_ids (panel, doc);
  for (guint i = 0; i < 4; i++)
    g_assert_cmpfloat_with_epsilon (i == 2 ? read_tape (panel, i, false).deg : read_tape (panel, i, false).mm,
                                    was[i], 1e-6);
}

/* On the other side: mirrored where both are alike, at its own edge where they are not; and the same lengths
 * when that side is drawn from now on. */
static void
test_twin (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (doc, MODEL_HALVES_PAIR, true);
  guint hem = model_panel_edge (panel, 0)->id, side = model_panel_edge (panel, 1)->id;
  const ModelTape tapes[] = { { .id = 901,
                                .a_mark_id = model_tape_mark (panel, doc, hem, 0.0),
                                .b_mark_id = model_tape_mark (panel, doc, side, 0.0) },
                              { .id = 902, .a = { 20, 30 }, .b = { 60, 60 } },
                              { .id = 903,
                                .kind = MODEL_TAPE_ALONG,
                                .a_mark_id = model_tape_mark (panel, doc, hem, 0.0),
                                .b_mark_id = model_tape_mark (panel, doc, side, 0.0) } };
  g_array_append_vals (panel->tapes, tapes, G_N_ELEMENTS (tapes));
  double mine[3], other[3];
  for (guint i = 0; i < 3; i++)
  {
    mine[i] = read_tape (panel, i, false).mm;
    other[i] = read_tape (panel, i, true).mm;
  }
  /* The corner (210, 12) is corrected by (-4, 0) on the other side. */
  g_assert_cmpfloat_with_epsilon (mine[0], hypot (210.0, 12.0), 1e-6);
  g_assert_cmpfloat (fabs (other[0] - mine[0]), >, 1.0);
  g_assert_cmpfloat_with_epsilon (mine[1], 50.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (other[1], 50.0, 1e-9);
  model_shape_swap_sides (panel);
  for (guint i = 0; i < 3; i++)
  {
    g_assert_cmpfloat_with_epsilon (read_tape (panel, i, false).mm, other[i], 1e-6);
    g_assert_cmpfloat_with_epsilon (read_tape (panel, i, true).mm, mine[i], 1e-6);
  }
}

/* Cut apart, each tape stays on the part it lies on; one across the cut goes. */
static void
test_cut (void)
{
  ModelDocument *doc = model_document_new ();
  ModelPanel *panel = rectangle (doc);
  guint low = model_panel_edge (panel, 0)->id, high = model_panel_edge (panel, 2)->id;
  const ModelTape tapes[] = {
    { .id = 901, .a = { 10, 10 }, .b = { 40, 50 } },
    { .id = 902, .a = { 80, 10 }, .b = { 110, 50 } },
    { .id = 903, .a_mark_id = model_tape_mark (panel, doc, low, 10.0), .b = { 110, 50 } },
    { .id = 904, .a_mark_id = model_tape_mark (panel, doc, low, 10.0), .b = { 10, 50 } },
  };
  g_array_append_vals (panel->tapes, tapes, G_N_ELEMENTS (tapes));
  guint id = panel->id;
  model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, panel }, -1);
  g_autoptr (ModelHistory) history = model_history_new (doc);
  g_autoptr (GError) error = NULL;
  ModelReworkMade made = { 0 };
  g_assert_true (model_rework_cut (history, id, (ModelReworkPlace) { low, 0, 0.5 },
                                   (ModelReworkPlace) { high, 0, 0.5 }, NULL, &made, &error));
  g_assert_no_error (error);
  guint count = 0;
  for (guint i = 0; i < doc->panels->len; i++)
  {
    const ModelPanel *part = g_ptr_array_index (doc->panels, i);
    for (guint k = 0; k < part->tapes->len; k++, count++)
    {
      const ModelTape *tape = &g_array_index (part->tapes, ModelTape, k);
      g_assert_cmpuint (tape->id, !=, 903);
      g_assert_cmpfloat (read_tape (part, k, false).mm, >, 10.0);
    }
  }
  g_assert_cmpuint (count, ==, 3);
  model_rework_made_clear (&made);
}

/* A mark that goes takes its tape along. */
static void
test_repair (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  g_autoptr (ModelPanel) panel = rectangle (doc);
  guint mark = model_tape_mark (panel, doc, model_panel_edge (panel, 0)->id, 60.0);
  const ModelTape tapes[]
    = { { .id = 901, .a_mark_id = mark, .b = { 1, 2 } }, { .id = 902, .a = { 0, 0 }, .b = { 1, 2 } } };
  g_array_append_vals (panel->tapes, tapes, 2);
  g_assert_false (model_tapes_repair (panel));
  g_array_set_size (panel->marks, 0);
  ModelTapeReading reading;
  g_assert_false (model_tape_read (panel, &g_array_index (panel->tapes, ModelTape, 0), false, &reading));
  g_assert_true (model_repair_panel (panel));
  g_assert_cmpuint (panel->tapes->len, ==, 1);
  g_assert_cmpuint (g_array_index (panel->tapes, ModelTape, 0).id, ==, 902);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/tape/read", test_read);
  g_test_add_func ("/model/tape/twin", test_twin);
  g_test_add_func ("/model/tape/cut", test_cut);
  g_test_add_func ("/model/tape/repair", test_repair);
  return g_test_run ();
}
