/* Tapes pinned by hand, what they say about a dome, what takes it out, and where pieces dome put together.
 * Real widgets on a virtual screen; one leather panel of 240 by 180.
 */
#include "bench.h"

#include "app/dome-card.h"
#include "app/number-entry.h"
#include "app/relief.h"
#include "engine/assembled.h"
#include "engine/taped.h"
#include "model/tape.h"

static ModelPanel *
plate (ModelDocument *doc, const char *name, const GeomPoint *at, guint count)
{
  g_autofree ModelNode *nodes = g_new0 (ModelNode, count);
  for (guint i = 0; i < count; i++)
    nodes[i] = (ModelNode) { .kind = MODEL_NODE_CORNER, .at = at[i], .in = at[i], .out = at[i] };
  ModelPanel *panel = model_shape_new_panel (doc, nodes, count);
  g_free (panel->name);
  panel->name = g_strdup (name);
  return panel;
}

static void
begin (Bench *bench, gconstpointer data)
{
  ModelDocument *doc = model_document_new ();
  ModelMaterial *leather = model_material_new ();
  leather->id = model_document_take_id (doc);
  leather->kind = MODEL_MATERIAL_LEATHER;
  const GeomPoint at[] = { { 0, 0 }, { 240, 0 }, { 240, 180 }, { 0, 180 } };
  ModelPanel *panel = plate (doc, "Breast", at, 4);
  panel->material_id = leather->id;
  model_document_put (doc, (ModelPart) { MODEL_PART_MATERIAL, leather }, -1);
  model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, panel }, -1);
  lay_out (bench, doc);
}

static const ModelPanel *
breast (Bench *bench)
{
  return model_document_panel_named (bench->doc, "Breast");
}

static ModelTapeReading
reading (Bench *bench, guint index)
{
  ModelTapeReading out;
  const ModelPanel *panel = breast (bench);
  g_assert_cmpuint (index, <, panel->tapes->len);
  g_assert_true (model_tape_read (panel, &g_array_index (panel->tapes, ModelTape, index), false, &out));
  return out;
}

/* Types into the entry that pinning opened. */
static void
answer (Bench *bench, const char *text)
{
  GtkWidget *field = app_number_entry_field (bench->canvas);
  g_assert_nonnull (field);
  gtk_editable_set_text (GTK_EDITABLE (field), text);
  g_signal_emit_by_name (field, "activate");
  run_events ();
  g_assert_null (app_number_entry_field (bench->canvas));
}

static void
tape (Bench *bench, GeomPoint a, GeomPoint b, GdkModifierType state, const char *wrap)
{
  app_canvas_set_tool (bench->canvas, APP_TOOL_TAPE);
  click (bench, a.x, a.y, 0);
  click (bench, b.x, b.y, 0);
  g_assert_true (app_canvas_key (bench->canvas, state ? GDK_KEY_P : GDK_KEY_p, state));
  answer (bench, wrap);
}

static void
test_pin (Bench *bench, gconstpointer data)
{
  /* From the left edge to the right one. */
  tape (bench, geom_point (0, 90), geom_point (240, 90), 0, "262");
  g_assert_cmpfloat_with_epsilon (reading (bench, 0).mm, 240.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (reading (bench, 0).over_mm, 22.0, 1e-6);
  guint id = g_array_index (breast (bench)->tapes, ModelTape, 0).id;
  g_assert_cmpuint (app_session_selection (bench->session)->tape_id, ==, id);
  /* Along the low edge and up half of the right one: the shorter way round is 240 + 90. */
  tape (bench, geom_point (240, 90), geom_point (0, 0), GDK_SHIFT_MASK, "");
  g_assert_cmpfloat_with_epsilon (reading (bench, 1).mm, 330.0, 1e-6);
  g_assert_false (reading (bench, 1).has_wrap);
  paint (bench);

  /* The right edge moves out: both follow. */
  ModelPanel *panel = model_panel_copy (breast (bench));
  guint nodes[] = { model_edge_node (model_panel_edge (panel, 1), 0)->id,
                    model_edge_node (model_panel_edge (panel, 2), 0)->id };
  model_shape_move_nodes (panel, MODEL_SIDE_CENTRE, nodes, 2, geom_point (10.0, 0.0));
  model_history_begin (bench->history, "move");
  model_history_put_panel (bench->history, panel);
  model_history_end (bench->history);
  g_assert_cmpfloat_with_epsilon (reading (bench, 0).over_mm, 12.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (reading (bench, 1).mm, 340.0, 1e-6);
  model_history_undo (bench->history);
  g_assert_cmpfloat_with_epsilon (reading (bench, 0).over_mm, 22.0, 1e-6);

  /* Chosen by its line, removed with its marks, and there again. */
  app_session_select_none (bench->session);
  app_canvas_set_tool (bench->canvas, APP_TOOL_CHOOSE);
  guint marks = breast (bench)->marks->len;
  click (bench, 60, 90, 0);
  g_assert_cmpuint (app_session_selection (bench->session)->tape_id, ==, id);
  app_canvas_delete_selection (bench->canvas);
  g_assert_cmpuint (breast (bench)->tapes->len, ==, 1);
  g_assert_cmpuint (app_session_selection (bench->session)->tape_id, ==, 0);
  /* The end at 90 on the right is the other tape's as well. */
  g_assert_cmpuint (breast (bench)->marks->len, ==, marks - 1);
  model_history_undo (bench->history);
  g_assert_cmpuint (breast (bench)->tapes->len, ==, 2);
  g_assert_cmpuint (breast (bench)->marks->len, ==, marks);
}

static void
test_angle_and_refusals (Bench *bench, gconstpointer data)
{
  app_canvas_set_tool (bench->canvas, APP_TOOL_TAPE);
  const GeomPoint points[] = { { 240.0, 0.0 }, { 0.0, 0.0 }, { 0.0, 180.0 } };
  for (guint i = 0; i < 3; i++)
  {
    GdkModifierType state = i == 2 ? GDK_SHIFT_MASK : 0;
    feed (bench, APP_PHASE_PRESS, points[i].x, points[i].y, state);
    feed (bench, APP_PHASE_RELEASE, points[i].x, points[i].y, state);
  }
  g_assert_cmpuint (app_canvas_tape_offers (bench->canvas), ==, 1u << MODEL_TAPE_ANGLE);
  g_assert_true (app_canvas_key (bench->canvas, GDK_KEY_p, 0));
  g_assert_cmpfloat_with_epsilon (reading (bench, 0).deg, 90.0, 1e-6);
  g_assert_null (app_number_entry_field (bench->canvas));
  paint (bench);
  /* From the panel onto bare paper. */
  click (bench, 120, 90, 0);
  click (bench, 120, -60, 0);
  app_canvas_key (bench->canvas, GDK_KEY_p, 0);
  g_assert_cmpuint (breast (bench)->tapes->len, ==, 1);
  g_assert_nonnull (strstr (app_canvas_status (bench->canvas), "one panel"));
  /* Without a mouse: the chosen edge. */
  app_session_select_edge (bench->session, breast (bench)->id, MODEL_SIDE_CENTRE,
                           model_panel_edge (breast (bench), 1)->id, false);
  app_canvas_pin_edge (bench->canvas);
  answer (bench, "190");
  g_assert_cmpfloat_with_epsilon (reading (bench, 1).mm, 180.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (reading (bench, 1).over_mm, 10.0, 1e-6);
}

/* Two tapes over a cone of slope 30 degrees, its top in the middle: 360 (1 - cos 30) = 48.2 degrees, and
 * 240 / cos 30 - 240 = 37.1 too short; nobody said that it is pointed. */
static void
test_dome (Bench *bench, gconstpointer data)
{
  tape (bench, geom_point (0, 90), geom_point (240, 90), 0, "277.1281");
  tape (bench, geom_point (120, 0), geom_point (120, 180), 0, "207.8461");
  AppDomeCard *card = APP_DOME_CARD (g_object_ref_sink (app_dome_card_new ()));
  EngineReview *review = app_session_review (bench->session);
  gtk_expander_set_expanded (GTK_EXPANDER (gtk_widget_get_first_child (GTK_WIDGET (card))), TRUE);
  app_dome_card_show (card, review, breast (bench), MODEL_SIDE_CENTRE);
  g_assert_nonnull (strstr (app_dome_card_says (card), "37.1"));
  g_assert_nonnull (strstr (app_dome_card_says (card), "48.2°"));
  g_assert_true (gtk_widget_get_visible (app_dome_card_deed (card, APP_RELIEF_SEAM)));
  g_assert_false (gtk_widget_get_visible (app_dome_card_deed (card, APP_RELIEF_SPREAD)));
  g_assert_nonnull (strstr (app_dome_card_assembled (card), "flat"));
  app_dome_card_forget (card);
  g_object_unref (card);
  EngineDomeFit fit = engine_panel_dome (breast (bench), false, true);
  g_assert_cmpfloat_with_epsilon (fit.dome.wedge_rad * 180.0 / G_PI, 48.2308546376, 1e-3);
  g_assert_cmpfloat_with_epsilon (fit.apex.x, 120.0, 0.01);
  g_assert_cmpfloat_with_epsilon (fit.apex.y, 90.0, 0.01);
}

/* Begun, seen, taken: a dart of 30 degrees whose tip is the top; and left again without a trace. */
static void
test_begin (Bench *bench, gconstpointer data)
{
  guint id = breast (bench)->id;
  app_session_select_panel (bench->session, id, MODEL_SIDE_CENTRE, false);
  app_relief_begin (bench->canvas, APP_RELIEF_DART, geom_point (120, 90), 30.0);
  g_assert_cmpint (app_canvas_tool (bench->canvas), ==, APP_TOOL_DART);
  g_assert_false (model_history_can_undo (bench->history));
  g_assert_nonnull (app_number_entry_field (bench->canvas));
  paint (bench);
  answer (bench, "30°");
  const ModelPanel *panel = model_document_panel (bench->doc, id);
  g_assert_cmpuint (panel->edges->len, ==, 7);
  g_autoptr (EngineFlatMap) map = engine_flat_map_new (app_session_review (bench->session));
  double tip = 0.0;
  for (guint i = 0; i < map->places->len; i++)
    if (g_array_index (map->places, EngineFlatPlace, i).kind == ENGINE_FLAT_POINT)
      tip = g_array_index (map->places, EngineFlatPlace, i).angle_rad;
  g_assert_cmpfloat_with_epsilon (tip * 180.0 / G_PI, 30.0, 1e-6);
  model_history_undo (bench->history);

  app_session_select_panel (bench->session, id, MODEL_SIDE_CENTRE, false);
  app_relief_begin (bench->canvas, APP_RELIEF_SEAM, geom_point (120, 90), 0.0);
  g_assert_cmpint (app_canvas_tool (bench->canvas), ==, APP_TOOL_CUT);
  g_assert_cmpuint (bench->doc->panels->len, ==, 1);
  paint (bench);
  g_assert_true (app_canvas_key (bench->canvas, GDK_KEY_Return, 0));
  g_assert_cmpuint (bench->doc->panels->len, ==, 2);
  g_assert_cmpuint (bench->doc->joins->len, ==, 1);
  model_history_undo (bench->history);

  app_session_select_panel (bench->session, id, MODEL_SIDE_CENTRE, false);
  app_relief_begin (bench->canvas, APP_RELIEF_SPREAD, geom_point (120, 90), -10.0);
  g_assert_nonnull (app_number_entry_field (bench->canvas));
  app_number_entry_close (bench->canvas);
  run_events ();
  g_assert_false (model_history_can_undo (bench->history));

  app_session_select_panel (bench->session, id, MODEL_SIDE_CENTRE, false);
  app_relief_begin (bench->canvas, APP_RELIEF_FORM, geom_point (120, 90), 20.0);
  g_assert_nonnull (strstr (breast (bench)->note, "Wet-form"));
  g_assert_nonnull (strstr (app_canvas_status (bench->canvas), "never over a person"));
  /* Said once. */
  g_autofree char *note = g_strdup (breast (bench)->note);
  app_relief_begin (bench->canvas, APP_RELIEF_FORM, geom_point (120, 90), 20.0);
  g_assert_cmpstr (breast (bench)->note, ==, note);
}

/* Marks are drawn only on wish and only where something domes; the pointer near one tells its amount. */
static void
test_doming (Bench *bench, gconstpointer data)
{
  paint (bench);
  app_canvas_set_doming (bench->canvas, true);
  paint (bench);
  guint flat = bench->canvas->lit->len;
  guint id = breast (bench)->id;
  app_session_select_panel (bench->session, id, MODEL_SIDE_CENTRE, false);
  app_relief_begin (bench->canvas, APP_RELIEF_DART, geom_point (120, 90), 30.0);
  answer (bench, "30°");
  app_canvas_set_tool (bench->canvas, APP_TOOL_CHOOSE);
  app_session_select_none (bench->session);
  paint (bench);
  g_assert_cmpuint (bench->canvas->lit->len, ==, flat + 1);
  g_assert_nonnull (bench->canvas->flat_map);
  feed (bench, APP_PHASE_HOVER, 120.0, 90.0, 0);
  paint (bench);
  app_session_select_panel (bench->session, id, MODEL_SIDE_CENTRE, false);
  paint (bench);
  app_canvas_set_doming (bench->canvas, false);
  app_session_select_none (bench->session);
  feed (bench, APP_PHASE_LEAVE, 0.0, 0.0, 0);
  paint (bench);
  g_assert_cmpuint (bench->canvas->lit->len, ==, flat);
}

int
main (int argc, char **argv)
{
  static const struct
  {
    const char *path;
    void (*run) (Bench *bench, gconstpointer data);
  } rows[] = { { "/app/tapes/pin", test_pin },
               { "/app/tapes/angle-and-refusals", test_angle_and_refusals },
               { "/app/tapes/dome", test_dome },
               { "/app/tapes/begin", test_begin },
               { "/app/tapes/doming", test_doming } };
  gtk_test_init (&argc, &argv, NULL);
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    g_test_add (rows[i].path, Bench, NULL, begin, rows[i].run, tear_down);
  return g_test_run ();
}
