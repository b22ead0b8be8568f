/* Guides, level lines and lines across panels as a maker uses them: real widgets on a virtual screen. */
#include "bench.h"

#include "app/number-entry.h"

#include "support/sample-document.h"

/* One rectangle of 200 by 100 with its lower left corner at 0, 0, and one beside it from 300 to 400. */
static void
set_up (Bench *bench, gconstpointer data)
{
  ModelDocument *doc = model_document_new ();
  for (int i = 0; i < 2; i++)
  {
    double x = i * 300.0, w = i ? 100.0 : 200.0;
    ModelNode nodes[4] = { { 0 } };
    const GeomPoint at[4] = { { x, 0 }, { x + w, 0 }, { x + w, 100 }, { x, 100 } };
    for (int k = 0; k < 4; k++)
      nodes[k].at = nodes[k].in = nodes[k].out = at[k];
    ModelPanel *panel = model_shape_new_panel (doc, nodes, 4);
    g_free (panel->name);
    panel->name = g_strdup (i ? "Back" : "Front");
    model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, panel }, -1);
  }
  lay_out (bench, doc);
}

static const ModelLine *
line_at (Bench *bench, guint index)
{
  g_assert_cmpuint (bench->doc->lines->len, >, index);
  return g_ptr_array_index (bench->doc->lines, index);
}

static void
pull (Bench *bench, bool upright, double x_mm, double y_mm)
{
  double x, y;
  app_canvas_to_widget (bench->canvas, geom_point (x_mm, y_mm), &x, &y);
  app_canvas_pull_line (bench->canvas, upright, upright ? 1.0 : x, upright ? y : 1.0);
  feed (bench, APP_PHASE_MOTION, x_mm, y_mm, GDK_CONTROL_MASK);
  feed (bench, APP_PHASE_RELEASE, x_mm, y_mm, GDK_CONTROL_MASK);
}

static void
test_pull (Bench *bench, gconstpointer data)
{
  pull (bench, true, 250.0, 140.0);
  const ModelLine *line = line_at (bench, 0);
  g_assert_cmpfloat_with_epsilon (line->at.x, 250.0, 0.01);
  g_assert_cmpfloat_with_epsilon (line->direction_deg, 90.0, 1e-9);
  g_assert_cmpuint (app_canvas_selection (bench->canvas)->line_id, ==, line->id);
  g_assert_cmpuint (model_history_length (bench->history), ==, 1);
  model_history_undo (bench->history);
  g_assert_cmpuint (bench->doc->lines->len, ==, 0);
  g_assert_cmpuint (app_canvas_selection (bench->canvas)->line_id, ==, 0);
  /* Let go over the rule: nothing was made. */
  double x, y;
  app_canvas_to_widget (bench->canvas, geom_point (250.0, 140.0), &x, &y);
  app_canvas_pull_line (bench->canvas, false, x, y);
  AppInput in = app_canvas_input (bench->canvas, x, -6.0);
  app_canvas_feed (bench->canvas, APP_PHASE_RELEASE, &in);
  g_assert_cmpuint (bench->doc->lines->len, ==, 0);
  g_assert_false (model_history_is_open (bench->history));
}

static void
test_move (Bench *bench, gconstpointer data)
{
  guint id = app_canvas_add_line (bench->canvas, MODEL_LINE_LEVEL, "Waist", geom_point (0.0, 140.0), 0.0);
  drag (bench, 250.0, 140.0, 260.0, 170.0, GDK_CONTROL_MASK);
  g_assert_cmpfloat_with_epsilon (line_at (bench, 0)->at.y, 170.0, 0.01);
  g_assert_cmpuint (model_history_length (bench->history), ==, 2);
  app_canvas_key (bench->canvas, GDK_KEY_Up, 0);
  app_canvas_key (bench->canvas, GDK_KEY_Up, 0);
  g_assert_cmpfloat_with_epsilon (line_at (bench, 0)->at.y, 172.0, 0.01);
  g_assert_cmpuint (model_history_length (bench->history), ==, 3);
  /* Without Ctrl the corner at 100 catches it. */
  drag (bench, 250.0, 172.0, 200.0, 101.0, 0);
  g_assert_cmpfloat_with_epsilon (line_at (bench, 0)->at.y, 100.0, 1e-9);
  /* Escape in the middle of a drag takes it back. */
  ModelLine *locked = model_line_copy (line_at (bench, 0));
  locked->at.y = 150.0;
  locked->locked = true;
  model_history_put_line (bench->history, locked);
  drag (bench, 250.0, 150.0, 250.0, 120.0, GDK_CONTROL_MASK);
  g_assert_cmpfloat_with_epsilon (line_at (bench, 0)->at.y, 150.0, 1e-9);
  app_canvas_key (bench->canvas, GDK_KEY_Delete, 0);
  g_assert_cmpuint (bench->doc->lines->len, ==, 1);
  locked = model_line_copy (line_at (bench, 0));
  locked->locked = false;
  model_history_put_line (bench->history, locked);
  app_canvas_key (bench->canvas, GDK_KEY_Delete, 0);
  g_assert_null (model_document_line (bench->doc, id));
}

static void
test_snap (Bench *bench, gconstpointer data)
{
  app_canvas_add_line (bench->canvas, MODEL_LINE_GUIDE, "", geom_point (0.0, 130.0), 0.0);
  app_canvas_add_line (bench->canvas, MODEL_LINE_GUIDE, "", geom_point (220.0, 0.0), 90.0);
  GeomPoint to = { 100.0, 131.0 };
  g_assert_true (app_canvas_snap_to_lines (bench->canvas, &to));
  g_assert_cmpfloat_with_epsilon (to.x, 100.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (to.y, 130.0, 1e-9);
  to = geom_point (219.0, 131.0);
  g_assert_true (app_canvas_snap_to_lines (bench->canvas, &to));
  g_assert_cmpfloat_with_epsilon (to.x, 220.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (to.y, 130.0, 1e-9);
  to = geom_point (100.0, 180.0);
  g_assert_false (app_canvas_snap_to_lines (bench->canvas, &to));
  /* A corner dragged near lands on them. */
  app_canvas_set_tool (bench->canvas, APP_TOOL_SHAPE);
  drag (bench, 200.0, 100.0, 219.0, 129.0, 0);
  const ModelPanel *front = model_document_panel_named (bench->doc, "Front");
  GeomPoint corner = model_edge_node (model_panel_edge (front, 2), 0)->at;
  if (front->edges->len == 1)
    corner = model_edge_node (model_panel_edge (front, 0), 2)->at;
  g_assert_cmpfloat_with_epsilon (corner.x, 220.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (corner.y, 130.0, 1e-9);
  /* Hidden ones do not. */
  for (guint i = 0; i < 2; i++)
  {
    ModelLine *line = model_line_copy (line_at (bench, i));
    line->hidden = true;
    model_history_put_line (bench->history, line);
  }
  to = geom_point (100.0, 131.0);
  g_assert_false (app_canvas_snap_to_lines (bench->canvas, &to));
}

/* One stroke over both panels: 200 and 100. */
static void
test_girth (Bench *bench, gconstpointer data)
{
  app_canvas_set_tool (bench->canvas, APP_TOOL_GIRTH);
  drag (bench, -20.0, 40.0, 430.0, 40.0, GDK_CONTROL_MASK);
  const ModelLine *line = line_at (bench, 0);
  g_assert_cmpint (line->kind, ==, MODEL_LINE_GIRTH);
  g_assert_cmpuint (line->spans->len, ==, 2);
  g_assert_cmpuint (model_history_length (bench->history), ==, 1);
  const EngineLineReading *reading = engine_review_line (app_session_review (bench->session), line->id);
  g_assert_cmpfloat_with_epsilon (reading->sum_mm, 300.0, 1e-3);
  /* The same stroke again adds nothing. */
  drag (bench, -20.0, 40.0, 430.0, 40.0, GDK_CONTROL_MASK);
  g_assert_cmpuint (line_at (bench, 0)->spans->len, ==, 2);
  app_canvas_key (bench->canvas, GDK_KEY_Return, 0);
  g_assert_cmpint (app_canvas_tool (bench->canvas), ==, APP_TOOL_CHOOSE);
  g_assert_cmpuint (app_canvas_selection (bench->canvas)->line_id, ==, line_at (bench, 0)->id);
  paint (bench);
  /* Gone, it takes its marks along. */
  app_canvas_key (bench->canvas, GDK_KEY_Delete, 0);
  g_assert_cmpuint (bench->doc->lines->len, ==, 0);
  g_assert_cmpuint (model_document_panel_named (bench->doc, "Front")->marks->len, ==, 0);
  model_history_undo (bench->history);
  g_assert_cmpuint (line_at (bench, 0)->spans->len, ==, 2);
  g_assert_cmpuint (model_document_panel_named (bench->doc, "Front")->marks->len, ==, 2);
}

static void
test_keys (Bench *bench, gconstpointer data)
{
  app_canvas_add_line (bench->canvas, MODEL_LINE_GUIDE, "", geom_point (0.0, 130.0), 0.0);
  app_canvas_add_line (bench->canvas, MODEL_LINE_LEVEL, "Waist", geom_point (0.0, 150.0), 0.0);
  app_session_select_none (bench->session);
  app_canvas_key (bench->canvas, GDK_KEY_g, 0);
  g_assert_cmpuint (app_canvas_selection (bench->canvas)->line_id, ==, line_at (bench, 0)->id);
  app_canvas_key (bench->canvas, GDK_KEY_g, 0);
  g_assert_cmpuint (app_canvas_selection (bench->canvas)->line_id, ==, line_at (bench, 1)->id);
  g_assert_nonnull (strstr (app_canvas_status (bench->canvas), "Waist"));
  app_canvas_key (bench->canvas, GDK_KEY_Return, 0);
  GtkWidget *field = app_number_entry_field (bench->canvas);
  g_assert_nonnull (field);
  gtk_editable_set_text (GTK_EDITABLE (field), "162.5");
  g_signal_emit_by_name (field, "activate");
  g_assert_cmpfloat_with_epsilon (line_at (bench, 1)->at.y, 162.5, 1e-9);
}

#define ADD(path, test) g_test_add ("/app/lines/" path, Bench, NULL, set_up, test, tear_down)

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
  ADD ("pull", test_pull);
  ADD ("move", test_move);
  ADD ("snap", test_snap);
  ADD ("girth", test_girth);
  ADD ("keys", test_keys);
  return g_test_run ();
}
