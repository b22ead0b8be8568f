/* The canvas as a maker uses it: real widgets on a virtual screen, input by the canvas's one way in.
 *
 * Wanted figures are corners and lengths of support/sample-document.h, worked out by hand beside each check.
 */
#include "bench.h"

#include "app/number-entry.h"

#include "support/sample-document.h"

static void
set_up (Bench *bench, gconstpointer data)
{
  lay_out (bench, test_sample_document ());
}

static bool
key (Bench *bench, guint keyval, GdkModifierType state)
{
  return app_canvas_key (bench->canvas, keyval, state);
}

static GeomPoint
corner (Bench *bench, const char *panel, const char *edge)
{
  return model_edge_node (test_sample_edge (bench->doc, panel, edge), 0)->at;
}

static void
assert_at (GeomPoint at, double x, double y)
{
  g_assert_cmpfloat_with_epsilon (at.x, x, 1e-6);
  g_assert_cmpfloat_with_epsilon (at.y, y, 1e-6);
}

static char *
bytes (Bench *bench)
{
  return model_document_to_data (bench->doc, NULL);
}

static const AppSelection *
chosen (Bench *bench)
{
  return app_session_selection (bench->session);
}

static void
choose_edge (Bench *bench, const char *panel, const char *edge)
{
  const ModelPanel *p = test_sample_panel (bench->doc, panel);
  app_session_select_edge (bench->session, p->id, p->side, test_sample_edge (bench->doc, panel, edge)->id,
                           false);
}

/* ---- view ---- */

static void
test_view (Bench *bench, gconstpointer data)
{
  AppCanvas *canvas = bench->canvas;
  /* CSS reference pixel: 96 to the inch, the inch 25.4 mm. */
  app_canvas_set_percent (canvas, 100.0);
  g_assert_cmpfloat_with_epsilon (app_canvas_scale (canvas), 96.0 / 25.4, 1e-12);
  /* Law: what lies under the pointer stays there, to the whole pixel the origin is kept on. */
  for (int i = 0; i < 20; i++)
  {
    GeomPoint before = app_canvas_to_paper (canvas, 333.0, 222.0);
    double x, y;
    app_canvas_zoom_at (canvas, i % 3 == 0 ? 0.7 : 1.3, 333.0, 222.0);
    app_canvas_to_widget (canvas, before, &x, &y);
    g_assert_cmpfloat (fabs (x - 333.0), <=, 0.5);
    g_assert_cmpfloat (fabs (y - 222.0), <=, 0.5);
  }
  /* Law: there and back. */
  double x, y;
  app_canvas_to_widget (canvas, geom_point (12.5, -7.25), &x, &y);
  assert_at (app_canvas_to_paper (canvas, x, y), 12.5, -7.25);
  /* Not a number and silly factors leave a view that can be used. */
  app_canvas_zoom_at (canvas, NAN, 10.0, 10.0);
  app_canvas_zoom_at (canvas, 1e9, 10.0, 10.0);
  app_canvas_zoom_at (canvas, 0.0, 10.0, 10.0);
  app_canvas_pan_by (canvas, INFINITY, NAN);
  g_assert_true (isfinite (app_canvas_scale (canvas)) && app_canvas_scale (canvas) > 0.0);
}

static void
test_fit (Bench *bench, gconstpointer data)
{
  app_canvas_zoom_at (bench->canvas, 8.0, 0.0, 0.0);
  app_canvas_fit (bench->canvas);
  double x, y;
  /* Every corner of the drawing is in view: the belt's foot, and the fold's other half of the back to x =
   * 750. */
  const GeomPoint ends[] = { { -150.0, 0.0 }, { 0.0, -110.0 }, { 540.0, 480.0 }, { 750.0, 300.0 } };
  for (guint i = 0; i < G_N_ELEMENTS (ends); i++)
  {
    app_canvas_to_widget (bench->canvas, ends[i], &x, &y);
    g_assert_cmpfloat (x, >=, 0.0);
    g_assert_cmpfloat (y, >=, 0.0);
    g_assert_cmpfloat (x, <=, gtk_widget_get_width (GTK_WIDGET (bench->canvas)));
    g_assert_cmpfloat (y, <=, gtk_widget_get_height (GTK_WIDGET (bench->canvas)));
  }
  double before = app_canvas_scale (bench->canvas);
  app_canvas_show_box (bench->canvas, (GeomBox) { 0.0, 0.0, 50.0, 50.0 });
  g_assert_cmpfloat_with_epsilon (app_canvas_scale (bench->canvas), before, 1e-12);
}

static void
test_scroll (Bench *bench, gconstpointer data)
{
  AppCanvas *canvas = bench->canvas;
  double ox = canvas->ox, oy = canvas->oy, scale = canvas->scale;
  app_canvas_scroll (canvas, 0.0, 1.0, false, 0);
  g_assert_cmpfloat (canvas->oy, <, oy);
  g_assert_cmpfloat_with_epsilon (canvas->ox, ox, 1e-9);
  oy = canvas->oy;
  app_canvas_scroll (canvas, 0.0, 1.0, false, GDK_SHIFT_MASK);
  g_assert_cmpfloat (canvas->ox, <, ox);
  g_assert_cmpfloat_with_epsilon (canvas->oy, oy, 1e-9);
  app_canvas_scroll (canvas, 0.0, -1.0, false, GDK_CONTROL_MASK);
  g_assert_cmpfloat_with_epsilon (canvas->scale, scale * 1.25, 1e-9);
}

/* Space and the middle button move the paper: the gesture's own signals, as the toolkit sends them. */
static void
test_space_pans (Bench *bench, gconstpointer data)
{
  double ox = bench->canvas->ox;
  key (bench, GDK_KEY_space, 0);
  g_signal_emit_by_name (bench->canvas->drag, "drag-begin", 100.0, 100.0);
  g_signal_emit_by_name (bench->canvas->drag, "drag-update", 40.0, 10.0);
  g_signal_emit_by_name (bench->canvas->drag, "drag-end", 40.0, 10.0);
  g_assert_cmpfloat_with_epsilon (bench->canvas->ox, ox + 40.0, 1e-9);
  g_assert_cmpuint (chosen (bench)->panels->len, ==, 0);
}

/* ---- picking and choosing ---- */

static void
test_pick (Bench *bench, gconstpointer data)
{
  AppPickIndex *index = bench->canvas->index;
  guint all = APP_PICK_POINTS | APP_PICK_EDGES | APP_PICK_PANELS;
  AppPick pick = app_pick_at (index, geom_point (152.0, 120.0), 5.0, all, 0);
  g_assert_cmpint (pick.kind, ==, APP_PICK_EDGE);
  g_assert_cmpuint (pick.edge_id, ==, test_sample_edge (bench->doc, "Front", "side")->id);
  assert_at (pick.at, 150.0, 120.0);
  g_assert_cmpint (app_pick_at (index, geom_point (75.0, 200.0), 5.0, all, 0).kind, ==, APP_PICK_PANEL);
  /* The mirrored half only follows. */
  g_assert_cmpint (app_pick_at (index, geom_point (-75.0, 200.0), 5.0, all, 0).kind, ==, APP_PICK_NONE);
  /* Points are caught only where they are shown. */
  g_assert_cmpint (app_pick_at (index, geom_point (151.0, 299.0), 5.0, all, 0).kind, ==, APP_PICK_EDGE);
  choose_edge (bench, "Front", "armhole");
  pick = app_pick_at (index, geom_point (151.0, 299.0), 5.0, all, 0);
  g_assert_cmpint (pick.kind, ==, APP_PICK_CORNER);
  g_assert_cmpuint (pick.node_id, ==,
                    model_edge_node (test_sample_edge (bench->doc, "Front", "armhole"), 0)->id);
  pick = app_pick_at (index, geom_point (114.0, 321.0), 5.0, all, 0);
  g_assert_cmpint (pick.kind, ==, APP_PICK_HANDLE);
  g_assert_cmpint (pick.handle, ==, MODEL_HANDLE_OUT);
}

static void
test_choose (Bench *bench, gconstpointer data)
{
  click (bench, 75.0, 200.0, 0);
  g_assert_cmpuint (chosen (bench)->panels->len, ==, 1);
  g_assert_cmpuint (chosen (bench)->edges->len, ==, 0);
  click (bench, 260.0, 150.0, GDK_SHIFT_MASK);
  g_assert_cmpuint (chosen (bench)->panels->len, ==, 2);
  click (bench, 400.0, -60.0, 0);
  g_assert_cmpuint (chosen (bench)->panels->len, ==, 0);
  click (bench, 150.0, 120.0, 0);
  g_assert_true (app_selection_has_edge (chosen (bench), test_sample_edge (bench->doc, "Front", "side")->id));
  key (bench, GDK_KEY_Escape, 0);
  g_assert_cmpuint (chosen (bench)->edges->len, ==, 0);
  /* A box holds the belt alone. */
  drag (bench, -20.0, -125.0, 170.0, -30.0, 0);
  g_assert_cmpuint (chosen (bench)->panels->len, ==, 1);
  g_assert_true (app_selection_has_panel (chosen (bench), test_sample_panel (bench->doc, "Belt")->id));
}

static void
test_move_panel (Bench *bench, gconstpointer data)
{
  g_autofree char *before = bytes (bench);
  guint steps = model_history_length (bench->history);
  drag (bench, 75.0, -80.0, 105.0, -100.0, 0);
  assert_at (corner (bench, "Belt", "foot"), 30.0, -130.0);
  g_assert_cmpuint (model_history_length (bench->history), ==, steps + 1);
  g_assert_cmpstr (model_history_undo_label (bench->history), ==, "Move panel");
  model_history_undo (bench->history);
  g_autofree char *after = bytes (bench);
  g_assert_cmpstr (after, ==, before);
  /* A lost grab: as if nothing had been pressed. */
  feed (bench, APP_PHASE_PRESS, 75.0, -80.0, 0);
  feed (bench, APP_PHASE_MOTION, 95.0, -80.0, 0);
  g_assert_cmpfloat_with_epsilon (corner (bench, "Belt", "foot").x, 20.0, 1e-6);
  app_canvas_feed (bench->canvas, APP_PHASE_CANCEL, NULL);
  assert_at (corner (bench, "Belt", "foot"), 0.0, -110.0);
  g_assert_false (model_history_is_open (bench->history));
}

static void
test_turn (Bench *bench, gconstpointer data)
{
  const ModelPanel *belt = test_sample_panel (bench->doc, "Belt");
  app_session_select_panel (bench->session, belt->id, belt->side, false);
  /* Belt: 150 x 60 about (75, -80).  A quarter turn to the left puts its first corner (0, -110) at (75 + 30,
   * -80 - 75). */
  app_canvas_turn (bench->canvas, 90.0);
  assert_at (corner (bench, "Belt", "foot"), 105.0, -155.0);
  model_history_undo (bench->history);
  /* By the handle outside the box's corner, in steps: from there a quarter to the left. */
  double x, y, scale = app_canvas_scale (bench->canvas);
  app_canvas_to_widget (bench->canvas, geom_point (150.0, -50.0), &x, &y);
  GeomPoint grip = app_canvas_to_paper (bench->canvas, x + 16.5, y - 16.5);
  GeomPoint middle = { 75.0, -80.0 }, arm = geom_sub (grip, middle),
            to = geom_add (middle, geom_left_of (arm));
  g_assert_cmpfloat (scale, >, 0.0);
  feed (bench, APP_PHASE_PRESS, grip.x, grip.y, 0);
  feed (bench, APP_PHASE_MOTION, to.x + 1.0, to.y + 1.0, GDK_SHIFT_MASK);
  feed (bench, APP_PHASE_RELEASE, to.x + 1.0, to.y + 1.0, GDK_SHIFT_MASK);
  assert_at (corner (bench, "Belt", "foot"), 105.0, -155.0);
  g_assert_cmpstr (model_history_undo_label (bench->history), ==, "Turn panel");
}

static void
test_keys (Bench *bench, gconstpointer data)
{
  const ModelPanel *belt = test_sample_panel (bench->doc, "Belt");
  guint steps = model_history_length (bench->history);
  app_session_select_panel (bench->session, belt->id, belt->side, false);
  key (bench, GDK_KEY_Right, 0);
  key (bench, GDK_KEY_Right, GDK_SHIFT_MASK);
  key (bench, GDK_KEY_Up, GDK_ALT_MASK);
  assert_at (corner (bench, "Belt", "foot"), 11.0, -109.9);
  /* Nudges in quick succession are one step. */
  g_assert_cmpuint (model_history_length (bench->history), ==, steps + 1);
  key (bench, GDK_KEY_bracketright, 0);
  g_assert_cmpuint (chosen (bench)->edges->len, ==, 1);
  guint first = g_array_index (chosen (bench)->edges, guint, 0);
  key (bench, GDK_KEY_bracketright, 0);
  g_assert_cmpuint (g_array_index (chosen (bench)->edges, guint, 0), !=, first);
  key (bench, GDK_KEY_bracketleft, 0);
  g_assert_cmpuint (g_array_index (chosen (bench)->edges, guint, 0), ==, first);
  app_session_select_panel (bench->session, belt->id, belt->side, false);
  key (bench, GDK_KEY_Delete, 0);
  g_assert_null (test_sample_panel (bench->doc, "Belt"));
  g_assert_null (test_sample_join (bench->doc, "D"));
  model_history_undo (bench->history);
  g_assert_nonnull (test_sample_join (bench->doc, "D"));
}

/* ---- shaping ---- */

static void
test_drag_corner (Bench *bench, gconstpointer data)
{
  g_autofree char *before = bytes (bench);
  guint steps = model_history_length (bench->history);
  app_canvas_set_tool (bench->canvas, APP_TOOL_SHAPE);
  choose_edge (bench, "Side", "front");
  /* 306.2 down to 300: the two lengths of join A agree. Ctrl: no guides. */
  feed (bench, APP_PHASE_PRESS, 200.0, 306.2, GDK_CONTROL_MASK);
  feed (bench, APP_PHASE_MOTION, 200.0, 320.0, GDK_CONTROL_MASK);
  g_assert_nonnull (strstr (app_canvas_status (bench->canvas), "too long"));
  feed (bench, APP_PHASE_MOTION, 200.0, 300.0, GDK_CONTROL_MASK);
  g_assert_nonnull (strstr (app_canvas_status (bench->canvas), "agrees"));
  feed (bench, APP_PHASE_RELEASE, 200.0, 300.0, GDK_CONTROL_MASK);
  assert_at (corner (bench, "Side", "front"), 200.0, 300.0);
  g_assert_cmpuint (model_history_length (bench->history), ==, steps + 1);
  g_assert_cmpstr (model_history_undo_label (bench->history), ==, "Move corner");
  model_history_undo (bench->history);
  g_autofree char *after = bytes (bench);
  g_assert_cmpstr (after, ==, before);
  /* Cancelled in the middle. */
  feed (bench, APP_PHASE_PRESS, 200.0, 306.2, GDK_CONTROL_MASK);
  feed (bench, APP_PHASE_MOTION, 210.0, 330.0, GDK_CONTROL_MASK);
  key (bench, GDK_KEY_Escape, 0);
  g_autofree char *cancelled = bytes (bench);
  g_assert_cmpstr (cancelled, ==, before);
}

static void
test_snap (Bench *bench, gconstpointer data)
{
  app_canvas_set_tool (bench->canvas, APP_TOOL_SHAPE);
  choose_edge (bench, "Side", "front");
  /* Two px beside straight above the corner at x = 200: the guide takes it. */
  double off = 2.0 / app_canvas_scale (bench->canvas);
  drag (bench, 200.0, 306.2, 200.0 + off, 330.0, 0);
  g_assert_cmpfloat_with_epsilon (corner (bench, "Side", "front").x, 200.0, 1e-9);
}

static void
test_bend_and_insert (Bench *bench, gconstpointer data)
{
  app_canvas_set_tool (bench->canvas, APP_TOOL_SHAPE);
  guint armhole = test_sample_edge (bench->doc, "Side", "armhole")->id;
  const ModelPanel *panel = test_sample_panel (bench->doc, "Side");
  AppPick pick = app_pick_at (bench->canvas->index, geom_point (260.0, 282.0), 20.0, APP_PICK_EDGES, 0);
  g_assert_cmpuint (pick.edge_id, ==, armhole);
  drag (bench, pick.at.x, pick.at.y, pick.at.x, pick.at.y - 12.0, 0);
  g_assert_cmpstr (model_history_undo_label (bench->history), ==, "Bend edge");
  /* Promise of the tool: the point taken hold of lies where it was put. */
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (test_sample_panel (bench->doc, "Side"), &path, NULL);
  GeomPathNearest near = geom_path_nearest (&path, geom_point (pick.at.x, pick.at.y - 12.0));
  g_assert_cmpfloat (near.distance_mm, <, 1e-6);
  guint nodes = model_panel_node_count (test_sample_panel (bench->doc, "Side"));
  AppInput in = hand (bench, near.point.x, near.point.y, 0);
  in.presses = 2;
  app_canvas_feed (bench->canvas, APP_PHASE_PRESS, &in);
  app_canvas_feed (bench->canvas, APP_PHASE_RELEASE, &in);
  panel = test_sample_panel (bench->doc, "Side");
  g_assert_cmpuint (model_panel_node_count (panel), ==, nodes + 1);
  g_assert_cmpuint (chosen (bench)->nodes->len, ==, 1);
  guint fresh = g_array_index (chosen (bench)->nodes, guint, 0), e, n;
  key (bench, GDK_KEY_e, 0);
  panel = test_sample_panel (bench->doc, "Side");
  g_assert_true (model_panel_find_node (panel, fresh, &e, &n));
  g_assert_cmpint (model_edge_node (model_panel_edge (panel, e), n)->kind, ==, MODEL_NODE_EVEN);
  key (bench, GDK_KEY_Delete, 0);
  g_assert_cmpuint (model_panel_node_count (test_sample_panel (bench->doc, "Side")), ==, nodes);
  geom_path_clear (&path);
}

/* The right side is taken hold of: what is drawn (the left) stays, the difference is a correction. */
static void
test_own_side (Bench *bench, gconstpointer data)
{
  ModelPanel *front = model_panel_copy (test_sample_panel (bench->doc, "Front"));
  guint node_id = model_edge_node (test_sample_edge (bench->doc, "Front", "side"), 0)->id;
  model_shape_set_own_sides (front, true);
  model_history_put_panel (bench->history, front);
  app_canvas_set_tool (bench->canvas, APP_TOOL_SHAPE);
  paint (bench);
  AppPick pick = app_pick_at (bench->canvas->index, geom_point (-150.0, 100.0), 5.0, APP_PICK_EDGES, 0);
  g_assert_cmpint (pick.kind, ==, APP_PICK_EDGE);
  g_assert_cmpint (pick.side, ==, MODEL_SIDE_RIGHT);
  app_session_select_edge (bench->session, pick.panel_id, pick.side, pick.edge_id, false);
  drag (bench, -150.0, 0.0, -156.0, -4.0, GDK_CONTROL_MASK);
  assert_at (corner (bench, "Front", "side"), 150.0, 0.0);
  const ModelPanel *after = test_sample_panel (bench->doc, "Front");
  g_assert_nonnull (model_panel_find_correction (after, node_id));
  GeomPoint at;
  g_assert_true (model_shape_where (after, MODEL_SIDE_RIGHT, node_id, MODEL_HANDLE_NONE, &at));
  assert_at (at, -156.0, -4.0);
}

/* ---- exact figures ---- */

static void
answer (Bench *bench, const char *text)
{
  GtkWidget *field = app_number_entry_field (bench->canvas);
  g_assert_nonnull (field);
  gtk_editable_set_text (GTK_EDITABLE (field), text);
  g_signal_emit_by_name (field, "activate");
  while (g_main_context_iteration (NULL, FALSE))
    ;
}

static void
test_type_length (Bench *bench, gconstpointer data)
{
  choose_edge (bench, "Front", "side");
  key (bench, GDK_KEY_Return, 0);
  answer (bench, "not a length");
  g_assert_nonnull (app_number_entry_field (bench->canvas));
  answer (bench, "30.62 cm");
  g_assert_null (app_number_entry_field (bench->canvas));
  EngineJoinReading r[2];
  g_assert_cmpint (engine_review_join_readings (app_session_review (bench->session),
                                                test_sample_join (bench->doc, "A")->id, r),
                   >=, 1);
  g_assert_cmpfloat_with_epsilon (r[0].length_a_mm, 306.2, 1e-6);
  g_assert_true (r[0].holds);
  guint node_id = model_edge_node (test_sample_edge (bench->doc, "Belt", "foot"), 0)->id;
  const ModelPanel *belt = test_sample_panel (bench->doc, "Belt");
  app_session_select_node (bench->session, belt->id, belt->side, node_id, false);
  key (bench, GDK_KEY_Return, 0);
  answer (bench, "-5; -112.5");
  assert_at (corner (bench, "Belt", "foot"), -5.0, -112.5);
}

/* ---- drawing ---- */

static ModelPanel *
newest (Bench *bench)
{
  return g_ptr_array_index (bench->doc->panels, bench->doc->panels->len - 1);
}

static double
panel_area (const ModelPanel *panel)
{
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (panel, &path, NULL);
  double area = geom_path_area (&path);
  geom_path_clear (&path);
  return area;
}

static void
test_outline (Bench *bench, gconstpointer data)
{
  guint panels = bench->doc->panels->len, steps = model_history_length (bench->history);
  app_canvas_set_tool (bench->canvas, APP_TOOL_OUTLINE);
  /* Clockwise on purpose, with a slip taken back: 100 x 80. */
  click (bench, 300.0, -120.0, GDK_CONTROL_MASK);
  click (bench, 300.0, -40.0, GDK_CONTROL_MASK);
  click (bench, 377.0, -77.0, GDK_CONTROL_MASK);
  key (bench, GDK_KEY_BackSpace, 0);
  click (bench, 400.0, -40.0, GDK_CONTROL_MASK);
  click (bench, 400.0, -120.0, GDK_CONTROL_MASK);
  g_assert_cmpuint (bench->doc->panels->len, ==, panels);
  click (bench, 300.0, -120.0, 0);
  g_assert_cmpuint (bench->doc->panels->len, ==, panels + 1);
  g_assert_cmpuint (newest (bench)->edges->len, ==, 4);
  g_assert_cmpfloat_with_epsilon (panel_area (newest (bench)), 8000.0, 1e-6);
  g_assert_cmpuint (model_history_length (bench->history), ==, steps + 1);
  g_assert_true (app_selection_has_panel (chosen (bench), newest (bench)->id));
}

static void
test_outline_typed (Bench *bench, gconstpointer data)
{
  app_canvas_set_tool (bench->canvas, APP_TOOL_OUTLINE);
  click (bench, 300.0, -120.0, GDK_CONTROL_MASK);
  feed (bench, APP_PHASE_HOVER, 340.0, -120.0, GDK_CONTROL_MASK);
  key (bench, GDK_KEY_1, 0);
  g_assert_cmpstr (gtk_editable_get_text (GTK_EDITABLE (app_number_entry_field (bench->canvas))), ==, "1");
  answer (bench, "120");
  feed (bench, APP_PHASE_HOVER, 420.0, -90.0, GDK_CONTROL_MASK);
  key (bench, GDK_KEY_5, 0);
  answer (bench, "50");
  key (bench, GDK_KEY_Return, 0);
  /* 3, 4 and 5 sides: base 120 and height 50 give a triangle of 3000 mm2. */
  g_assert_cmpfloat_with_epsilon (panel_area (newest (bench)), 3000.0, 1e-3);
}

static void
test_outline_curved (Bench *bench, gconstpointer data)
{
  guint panels = bench->doc->panels->len;
  app_canvas_set_tool (bench->canvas, APP_TOOL_OUTLINE);
  click (bench, 300.0, -120.0, GDK_CONTROL_MASK);
  drag (bench, 400.0, -120.0, 420.0, -100.0, GDK_CONTROL_MASK);
  /* Two corners on one line enclose nothing until the drag bends the edge; with it they do. */
  key (bench, GDK_KEY_Return, 0);
  g_assert_cmpuint (bench->doc->panels->len, ==, panels + 1);
  g_assert_cmpfloat (panel_area (newest (bench)), >, 0.0);
  /* One point is no panel. */
  click (bench, 300.0, 600.0, GDK_CONTROL_MASK);
  key (bench, GDK_KEY_Return, 0);
  g_assert_cmpuint (bench->doc->panels->len, ==, panels + 1);
}

static void
test_stroke (Bench *bench, gconstpointer data)
{
  guint panels = bench->doc->panels->len;
  app_canvas_set_tool (bench->canvas, APP_TOOL_STROKE);
  const double radius = 50.0;
  feed (bench, APP_PHASE_PRESS, 350.0 + radius, -100.0, 0);
  for (int i = 1; i <= 90; i++)
  {
    double angle = 2.0 * G_PI * i / 90.0;
    feed (bench, APP_PHASE_MOTION, 350.0 + radius * cos (angle), -100.0 + radius * sin (angle), 0);
  }
  feed (bench, APP_PHASE_RELEASE, 350.0 + radius, -100.0, 0);
  g_assert_cmpuint (bench->doc->panels->len, ==, panels + 1);
  /* pi r2; nowhere farther than 0.5 mm from the stroke: at most 0.5 mm times the round of 2 pi r. */
  g_assert_cmpfloat (fabs (panel_area (newest (bench)) - G_PI * radius * radius), <=,
                     0.5 * 2.0 * G_PI * radius);
  /* A dot is no panel. */
  click (bench, 350.0, 560.0, 0);
  g_assert_cmpuint (bench->doc->panels->len, ==, panels + 1);
}

/* ---- marks, tape, joins ---- */

static void
test_mark (Bench *bench, gconstpointer data)
{
  app_canvas_set_tool (bench->canvas, APP_TOOL_MARK);
  guint steps = model_history_length (bench->history);
  click (bench, 150.0, 75.0, 0);
  const ModelPanel *front = test_sample_panel (bench->doc, "Front"),
                   *side = test_sample_panel (bench->doc, "Side");
  g_assert_cmpuint (front->marks->len, ==, 1);
  g_assert_cmpuint (side->marks->len, ==, 1);
  g_assert_cmpuint (model_history_length (bench->history), ==, steps + 1);
  g_assert_cmpfloat_with_epsilon (g_array_index (front->marks, ModelMark, 0).at_mm, 75.0, 1e-3);
  /* A quarter of 306.2 from the hem, where the runs start; the side's front runs downwards from its first
   * corner. */
  g_assert_cmpfloat_with_epsilon (g_array_index (side->marks, ModelMark, 0).at_mm, 306.2 * 0.75, 1e-3);
  g_assert_cmpuint (test_sample_join (bench->doc, "A")->matches->len, ==, 1);
  /* Slid, then taken away with what tied it. */
  drag (bench, 150.0, 75.0, 150.0, 95.0, 0);
  g_assert_cmpfloat_with_epsilon (
    g_array_index (test_sample_panel (bench->doc, "Front")->marks, ModelMark, 0).at_mm, 95.0, 1e-3);
  click (bench, 150.0, 95.0, 0);
  key (bench, GDK_KEY_Delete, 0);
  g_assert_cmpuint (test_sample_panel (bench->doc, "Front")->marks->len, ==, 0);
  g_assert_cmpuint (test_sample_join (bench->doc, "A")->matches->len, ==, 0);
  /* An edge that is not joined: one mark. */
  click (bench, 0.0, -80.0, GDK_SHIFT_MASK);
  g_assert_cmpuint (test_sample_panel (bench->doc, "Belt")->marks->len, ==, 1);
  g_assert_cmpint (g_array_index (test_sample_panel (bench->doc, "Belt")->marks, ModelMark, 0).wedges, ==, 2);
}

static void
test_tape (Bench *bench, gconstpointer data)
{
  g_autofree char *before = bytes (bench);
  app_canvas_set_tool (bench->canvas, APP_TOOL_TAPE);
  click (bench, 0.0, -110.0, 0);
  click (bench, 150.0, -50.0, 0);
  /* Straight: hypot (150, 60) = 161.555; along: 150 + 60 either way. */
  g_assert_nonnull (strstr (app_canvas_status (bench->canvas), "161.6"));
  g_assert_nonnull (strstr (app_canvas_status (bench->canvas), "210.0"));
  g_autofree char *after = bytes (bench);
  g_assert_cmpstr (after, ==, before);
}

static GtkWidget *
find_button (GtkWidget *in, const char *label)
{
  if (GTK_IS_BUTTON (in) && g_strcmp0 (gtk_button_get_label (GTK_BUTTON (in)), label) == 0)
    return in;
  for (GtkWidget *child = gtk_widget_get_first_child (in); child != NULL;
       child = gtk_widget_get_next_sibling (child))
  {
    GtkWidget *found = find_button (child, label);
    if (found != NULL)
      return found;
  }
  return NULL;
}

static void
test_join (Bench *bench, gconstpointer data)
{
  guint joins = bench->doc->joins->len;
  app_canvas_set_tool (bench->canvas, APP_TOOL_JOIN);
  AppPick a = app_pick_at (bench->canvas->index, geom_point (122.0, 380.0), 30.0, APP_PICK_EDGES,
                           test_sample_panel (bench->doc, "Front")->id);
  AppPick b = app_pick_at (bench->canvas->index, geom_point (260.0, 282.0), 30.0, APP_PICK_EDGES,
                           test_sample_panel (bench->doc, "Side")->id);
  click (bench, a.at.x, a.at.y, 0);
  click (bench, b.at.x, b.at.y, 0);
  g_assert_nonnull (bench->canvas->popover);
  GtkWidget *make = find_button (bench->canvas->popover, "Join");
  g_assert_nonnull (make);
  g_signal_emit_by_name (make, "clicked");
  g_assert_cmpuint (bench->doc->joins->len, ==, joins + 1);
  const ModelJoin *join = test_sample_join (bench->doc, "E");
  g_assert_nonnull (join);
  g_assert_cmpint (join->kind, ==, MODEL_JOIN_FLUSH);
  g_assert_cmpuint (chosen (bench)->join_id, ==, join->id);
  g_assert_cmpint (app_canvas_tool (bench->canvas), ==, APP_TOOL_CHOOSE);
  while (g_main_context_iteration (NULL, FALSE))
    ;
}

/* ---- menus and clipboard ---- */

static void
test_menu (Bench *bench, gconstpointer data)
{
  feed (bench, APP_PHASE_HOVER, 75.0, -110.0, 0);
  AppInput in = hand (bench, 75.0, -110.0, 0);
  app_canvas_menu_open (bench->canvas, in.x, in.y);
  g_assert_nonnull (bench->canvas->menu);
  g_assert_true (app_selection_has_edge (chosen (bench), test_sample_edge (bench->doc, "Belt", "foot")->id));
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "edit.edge-lock", NULL));
  g_assert_true (test_sample_edge (bench->doc, "Belt", "foot")->locked);
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "edit.edge-lock", NULL));
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "edit.insert-corner", NULL));
  g_assert_cmpuint (test_sample_panel (bench->doc, "Belt")->edges->len, ==, 5);
  model_history_undo (bench->history);
  choose_edge (bench, "Belt", "foot");
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "edit.allowance", NULL));
  answer (bench, "1/2 in");
  g_assert_cmpfloat_with_epsilon (test_sample_edge (bench->doc, "Belt", "foot")->allowance_mm, 12.7, 1e-9);
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "edit.name", NULL));
  answer (bench, "lower edge");
  g_assert_nonnull (test_sample_edge (bench->doc, "Belt", "lower edge"));
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "edit.pair", NULL));
  g_assert_cmpint (test_sample_panel (bench->doc, "Belt")->halves, ==, MODEL_HALVES_PAIR);
  gtk_popover_popdown (GTK_POPOVER (bench->canvas->menu));
  while (g_main_context_iteration (NULL, FALSE))
    ;
}

static void
test_clipboard (Bench *bench, gconstpointer data)
{
  const guint ids[2]
    = { test_sample_panel (bench->doc, "Front")->id, test_sample_panel (bench->doc, "Side")->id };
  guint panels = bench->doc->panels->len, joins = bench->doc->joins->len,
        materials = bench->doc->materials->len;
  app_session_select_panels (bench->session, ids, 2);
  gsize length = 0;
  g_autofree char *data_out = app_canvas_excerpt (bench->canvas, &length);
  g_autoptr (ModelDocument) pasted = model_document_from_data (data_out, length, NULL);
  g_assert_nonnull (pasted);
  app_canvas_paste_document (bench->canvas, pasted);
  g_assert_cmpuint (bench->doc->panels->len, ==, panels + 2);
  /* Join A lies between the two; the others lost a partner. The same material is not doubled. */
  g_assert_cmpuint (bench->doc->joins->len, ==, joins + 1);
  g_assert_cmpuint (bench->doc->materials->len, ==, materials);
  const ModelPanel *twin = test_sample_panel (bench->doc, "Front 2");
  g_assert_nonnull (twin);
  g_assert_cmpuint (twin->id, !=, ids[0]);
  g_assert_cmpuint (model_panel_edge (twin, 0)->id, !=, test_sample_edge (bench->doc, "Front", "hem")->id);
  g_assert_cmpuint (chosen (bench)->panels->len, ==, 2);
  /* A pair is pasted whole: the mirror line goes as far as the panel, so the twin goes the same way. */
  const ModelPanel *side = test_sample_panel (bench->doc, "Side"),
                   *again = test_sample_panel (bench->doc, "Side 2");
  double by = model_edge_node (model_panel_edge (again, 0), 0)->at.x
              - model_edge_node (model_panel_edge (side, 0), 0)->at.x;
  g_assert_cmpint (again->halves, ==, MODEL_HALVES_PAIR);
  g_assert_cmpfloat (fabs (by), >, 1.0);
  g_assert_cmpfloat_with_epsilon (again->mirror_x_mm - side->mirror_x_mm, by, 1e-9);
  model_history_undo (bench->history);
  g_assert_cmpuint (bench->doc->panels->len, ==, panels);
  g_assert_cmpuint (bench->doc->joins->len, ==, joins);
}

static void
test_real_clipboard (Bench *bench, gconstpointer data)
{
  const ModelPanel *belt = test_sample_panel (bench->doc, "Belt");
  app_session_select_panel (bench->session, belt->id, belt->side, false);
  gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "canvas.copy", NULL);
  GdkClipboard *clipboard = gtk_widget_get_clipboard (GTK_WIDGET (bench->canvas));
  g_assert_true (gdk_content_formats_contain_mime_type (gdk_clipboard_get_formats (clipboard),
                                                        "application/x-panelwright+json"));
  g_assert_true (
    gdk_content_formats_contain_mime_type (gdk_clipboard_get_formats (clipboard), "image/svg+xml"));
  gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "canvas.paste", NULL);
  gint64 end = g_get_monotonic_time () + 3 * G_USEC_PER_SEC;
  while (test_sample_panel (bench->doc, "Belt 2") == NULL && g_get_monotonic_time () < end)
    g_main_context_iteration (NULL, FALSE);
  g_assert_nonnull (test_sample_panel (bench->doc, "Belt 2"));
}

/* ---- painting and reading aloud ---- */

static void
test_kept_nodes (Bench *bench, gconstpointer data)
{
  app_canvas_set_tool (bench->canvas, APP_TOOL_SHAPE);
  choose_edge (bench, "Side", "front");
  paint (bench);
  guint built = bench->canvas->nodes_built;
  paint (bench);
  g_assert_cmpuint (bench->canvas->nodes_built, ==, built);
  app_canvas_pan_by (bench->canvas, 5.0, 3.0);
  paint (bench);
  g_assert_cmpuint (bench->canvas->nodes_built, ==, built);
  feed (bench, APP_PHASE_PRESS, 200.0, 306.2, GDK_CONTROL_MASK);
  feed (bench, APP_PHASE_MOTION, 204.0, 312.0, GDK_CONTROL_MASK);
  paint (bench);
  /* The side and the pale twin beside it, since it is in hand. */
  g_assert_cmpuint (bench->canvas->nodes_built, ==, built + 2);
  feed (bench, APP_PHASE_RELEASE, 204.0, 312.0, GDK_CONTROL_MASK);
  /* Every state paints: a join, each open finding with each remedy, slate, inch, far in and far out. */
  app_session_select_join (bench->session, test_sample_join (bench->doc, "A")->id);
  paint (bench);
  g_autoptr (GPtrArray) open = engine_review_open_findings (app_session_review (bench->session));
  g_assert_cmpuint (open->len, >=, 1);
  EngineFinding finding = *(const EngineFinding *)g_ptr_array_index (open, 0);
  app_session_select_finding (bench->session, &finding);
  g_autoptr (GPtrArray) remedies = engine_finding_remedies (app_session_review (bench->session), &finding);
  if (remedies->len > 0)
    app_session_preview (bench->session, g_ptr_array_steal_index (remedies, 0));
  paint (bench);
  app_canvas_set_slate (bench->canvas, true);
  app_canvas_set_unit (bench->canvas, MODEL_UNIT_INCH);
  paint (bench);
  app_canvas_set_percent (bench->canvas, 4.0);
  paint (bench);
  app_canvas_set_percent (bench->canvas, 3000.0);
  paint (bench);
}

static void
test_accessible (Bench *bench, gconstpointer data)
{
  if (g_strcmp0 (g_getenv ("GTK_A11Y"), "test") != 0)
  {
    g_test_skip ("needs GTK_A11Y=test");
    return;
  }
  gtk_test_accessible_assert_role (GTK_ACCESSIBLE (bench->canvas), GTK_ACCESSIBLE_ROLE_LIST);
  GtkWidget *first = gtk_widget_get_first_child (GTK_WIDGET (bench->canvas));
  g_assert_nonnull (first);
  gtk_test_accessible_assert_role (GTK_ACCESSIBLE (first), GTK_ACCESSIBLE_ROLE_LIST_ITEM);
  gtk_test_accessible_assert_property (GTK_ACCESSIBLE (first), GTK_ACCESSIBLE_PROPERTY_LABEL, "Front");
  gtk_test_accessible_assert_state (GTK_ACCESSIBLE (first), GTK_ACCESSIBLE_STATE_SELECTED, FALSE);
  /* Focus by the keyboard takes the panel in hand; walking its edges is read aloud. */
  gtk_widget_grab_focus (first);
  g_assert_true (app_selection_has_panel (chosen (bench), test_sample_panel (bench->doc, "Front")->id));
  gtk_test_accessible_assert_state (GTK_ACCESSIBLE (first), GTK_ACCESSIBLE_STATE_SELECTED, TRUE);
  key (bench, GDK_KEY_bracketright, 0);
  g_assert_nonnull (strstr (app_canvas_status (bench->canvas), "hem"));
  g_assert_nonnull (strstr (app_canvas_status (bench->canvas), "150.0"));
  gtk_test_accessible_assert_property (GTK_ACCESSIBLE (first), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                       app_canvas_status (bench->canvas));
  /* Tab goes on to the next edge and after the last one out; Return goes in, Escape one step out. */
  const ModelPanel *front = test_sample_panel (bench->doc, "Front");
  key (bench, GDK_KEY_Tab, 0);
  g_assert_cmpuint (chosen (bench)->edges->len, ==, 1);
  g_assert_cmpuint (g_array_index (chosen (bench)->edges, guint, 0), ==, model_panel_edge (front, 1)->id);
  key (bench, GDK_KEY_ISO_Left_Tab, GDK_SHIFT_MASK);
  g_assert_cmpuint (g_array_index (chosen (bench)->edges, guint, 0), ==, model_panel_edge (front, 0)->id);
  for (guint i = 1; i < front->edges->len; i++)
    g_assert_true (app_canvas_key (bench->canvas, GDK_KEY_Tab, 0));
  g_assert_false (app_canvas_key (bench->canvas, GDK_KEY_Tab, 0));
  g_assert_cmpuint (chosen (bench)->edges->len, ==, 0);
  g_assert_true (app_selection_has_panel (chosen (bench), front->id));
  key (bench, GDK_KEY_Return, 0);
  g_assert_cmpuint (g_array_index (chosen (bench)->edges, guint, 0), ==, model_panel_edge (front, 0)->id);
  key (bench, GDK_KEY_Escape, 0);
  g_assert_cmpuint (chosen (bench)->edges->len, ==, 0);
  g_assert_true (app_selection_has_panel (chosen (bench), front->id));
  key (bench, GDK_KEY_Escape, 0);
  g_assert_cmpuint (chosen (bench)->panels->len, ==, 0);
  /* A panel drawn, a panel gone: the list follows. */
  guint count = bench->canvas->items->len;
  model_history_remove_panel (bench->history, test_sample_panel (bench->doc, "Belt")->id);
  g_assert_cmpuint (bench->canvas->items->len, ==, count - 1);
  model_history_undo (bench->history);
  g_assert_cmpuint (bench->canvas->items->len, ==, count);
}

static void
test_empty_paper (Bench *bench, gconstpointer data)
{
  app_canvas_set_session (bench->canvas, NULL);
  for (int tool = 0; tool < APP_TOOL_COUNT; tool++)
  {
    app_canvas_set_tool (bench->canvas, (AppToolKind)tool);
    click (bench, 10.0, 10.0, 0);
    drag (bench, 10.0, 10.0, 60.0, 40.0, 0);
    key (bench, GDK_KEY_Delete, 0);
    key (bench, GDK_KEY_Return, 0);
    key (bench, GDK_KEY_Escape, 0);
    app_canvas_feed (bench->canvas, APP_PHASE_LEAVE, NULL);
    app_canvas_feed (bench->canvas, APP_PHASE_CANCEL, NULL);
  }
  app_canvas_fit (bench->canvas);
  paint (bench);
  g_autoptr (AppSession) fresh = app_session_new (model_document_new (), NULL, NULL);
  app_canvas_set_session (bench->canvas, fresh);
  app_canvas_set_tool (bench->canvas, APP_TOOL_CHOOSE);
  paint (bench);
  app_canvas_set_session (bench->canvas, bench->session);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
  g_test_set_nonfatal_assertions ();
  const struct
  {
    const char *path;
    void (*run) (Bench *, gconstpointer);
  } rows[] = { { "/app/canvas/view", test_view },
               { "/app/canvas/fit", test_fit },
               { "/app/canvas/scroll", test_scroll },
               { "/app/canvas/space-pans", test_space_pans },
               { "/app/pick/order", test_pick },
               { "/app/tool-choose/click", test_choose },
               { "/app/tool-choose/move", test_move_panel },
               { "/app/tool-choose/turn", test_turn },
               { "/app/tool-choose/keys", test_keys },
               { "/app/tool-shape/corner", test_drag_corner },
               { "/app/tool-shape/snap", test_snap },
               { "/app/tool-shape/bend-and-insert", test_bend_and_insert },
               { "/app/tool-shape/own-side", test_own_side },
               { "/app/number-entry/length-and-place", test_type_length },
               { "/app/tool-outline/corners", test_outline },
               { "/app/tool-outline/typed", test_outline_typed },
               { "/app/tool-outline/curved", test_outline_curved },
               { "/app/tool-stroke/circle", test_stroke },
               { "/app/tool-mark/joined", test_mark },
               { "/app/tool-tape/belt", test_tape },
               { "/app/tool-join/flush", test_join },
               { "/app/canvas-menu/rows", test_menu },
               { "/app/canvas-commands/paste", test_clipboard },
               { "/app/canvas-commands/clipboard", test_real_clipboard },
               { "/app/canvas-paint/kept", test_kept_nodes },
               { "/app/canvas-item/read-aloud", test_accessible },
               { "/app/canvas/empty-paper", test_empty_paper } };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    g_test_add (rows[i].path, Bench, NULL, set_up, rows[i].run, tear_down);
  return g_test_run ();
}
