/* Exact shaping as a maker does it: letters and figures, a stroke over an edge, the pen's rubber, several
 * points in one hand, and what catches a dragged point.  Real widgets on a virtual screen; the belt of
 * support/sample-document.h is a rectangle from 0, -110 to 150, -50.
 */
#include "bench.h"

#include "app/number-entry.h"

#include "support/sample-document.h"

static void
begin (Bench *bench, gconstpointer data)
{
  lay_out (bench, test_sample_document ());
  app_canvas_set_tool (bench->canvas, APP_TOOL_SHAPE);
}

/* ---- a hand ---- */

static void
pull (Bench *bench, GeomPoint from, GeomPoint to, GdkModifierType state, bool let_go)
{
  drag_on (bench, from.x, from.y, to.x, to.y, state);
  if (let_go)
    feed (bench, APP_PHASE_RELEASE, to.x, to.y, state);
}

static void
letter (Bench *bench, guint keyval)
{
  g_assert_true (app_canvas_key (bench->canvas, keyval, 0));
}

/* Types into the open entry and takes it; STAYS: it must refuse. */
static void
type (Bench *bench, const char *text, bool stays)
{
  GtkWidget *field = app_number_entry_field (bench->canvas);
  g_assert_nonnull (field);
  gtk_editable_set_text (GTK_EDITABLE (field), text);
  g_signal_emit_by_name (field, "activate");
  run_events ();
  if (stays)
  {
    g_assert_nonnull (app_number_entry_field (bench->canvas));
    app_number_entry_close (bench->canvas);
    run_events ();
  }
  g_assert_null (app_number_entry_field (bench->canvas));
  g_assert_null (app_session_previewed (bench->session));
}

static const ModelPanel *
belt (Bench *bench)
{
  return test_sample_panel (bench->doc, "Belt");
}

static GeomPoint
corner (Bench *bench, guint edge)
{
  return model_edge_node (model_panel_edge (belt (bench), edge % belt (bench)->edges->len), 0)->at;
}

static void
choose_corners (Bench *bench, const guint *edges, guint count)
{
  g_autoptr (GArray) ids = g_array_new (FALSE, FALSE, sizeof (guint));
  for (guint i = 0; i < count; i++)
    g_array_append_val (ids, model_edge_node (model_panel_edge (belt (bench), edges[i]), 0)->id);
  app_session_select_nodes (bench->session, belt (bench)->id, MODEL_SIDE_CENTRE, (const guint *)ids->data,
                            count);
}

static void
choose_edge (Bench *bench, guint edge)
{
  app_session_select_edge (bench->session, belt (bench)->id, MODEL_SIDE_CENTRE,
                           model_panel_edge (belt (bench), edge)->id, false);
}

static void
assert_near (GeomPoint at, double x, double y, double within)
{
  g_assert_cmpfloat_with_epsilon (at.x, x, within);
  g_assert_cmpfloat_with_epsilon (at.y, y, within);
}

static char *
bytes (Bench *bench)
{
  return model_document_to_data (bench->doc, NULL);
}

/* ---- letters and figures ---- */

static void
test_round (Bench *bench, gconstpointer data)
{
  g_autofree char *before = bytes (bench);
  /* 12.5 + 3/8 in = 22.025; half of the diagonal's way is left to the middle of the arc. */
  double r = 12.5 + 0.375 * 25.4, in = r - r * sqrt (0.5);
  choose_corners (bench, (const guint[]) { 1 }, 1);
  letter (bench, GDK_KEY_r);
  /* What would come is shown, and nothing is changed. */
  g_assert_nonnull (app_session_previewed (bench->session));
  g_autofree char *shown = bytes (bench);
  g_assert_cmpstr (shown, ==, before);
  paint (bench);
  type (bench, "12.5 + 3/8 in", false);
  assert_near (corner (bench, 1), 150.0 - in, -110.0 + in, 1e-6);
  g_assert_cmpstr (model_history_undo_label (bench->history), ==, "Round corner");
  /* Asked again, the radius stands there; too much of it is refused and changes nothing. */
  letter (bench, GDK_KEY_r);
  g_assert_cmpstr (gtk_editable_get_text (GTK_EDITABLE (app_number_entry_field (bench->canvas))), ==,
                   "22.0\xe2\x80\x89mm");
  g_autofree char *rounded = bytes (bench);
  type (bench, "300", true);
  g_autofree char *still = bytes (bench);
  g_assert_cmpstr (still, ==, rounded);
  model_history_undo (bench->history);
  g_assert_cmpuint (model_panel_node_count (belt (bench)), ==, 4);
  assert_near (corner (bench, 1), 150.0, -110.0, 0.5e-6);
}

static void
test_edge_letters (Bench *bench, gconstpointer data)
{
  choose_edge (bench, 0);
  letter (bench, GDK_KEY_o);
  type (bench, "1 cm", false);
  assert_near (corner (bench, 0), 0.0, -120.0, 1e-9);
  assert_near (corner (bench, 1), 150.0, -120.0, 1e-9);
  letter (bench, GDK_KEY_x);
  type (bench, "2 * 6", false);
  assert_near (corner (bench, 1), 162.0, -120.0, 1e-9);
  /* The right side's direction: from 162, -120 to 150, -50.  Upright again, its first corner stays. */
  choose_edge (bench, 1);
  letter (bench, GDK_KEY_a);
  type (bench, "180/2", false);
  assert_near (corner (bench, 2), 162.0, -120.0 + hypot (12.0, 70.0), 1e-9);
  choose_edge (bench, 2);
  letter (bench, GDK_KEY_l);
  g_assert_cmpfloat_with_epsilon (corner (bench, 2).y, corner (bench, 3).y, 1e-9);
  choose_corners (bench, (const guint[]) { 0, 3 }, 2);
  letter (bench, GDK_KEY_p);
  g_assert_cmpfloat_with_epsilon (corner (bench, 0).x, corner (bench, 3).x, 1e-9);
  /* An arc, and straight again. */
  choose_edge (bench, 0);
  letter (bench, GDK_KEY_d);
  type (bench, "200 mm", false);
  g_assert_cmpuint (model_panel_edge (belt (bench), 0)->nodes->len, >, 1);
  letter (bench, GDK_KEY_f);
  type (bench, "1", true); /* a circle is as even as can be */
  letter (bench, GDK_KEY_t);
  g_assert_cmpuint (model_panel_edge (belt (bench), 0)->nodes->len, ==, 1);
  /* A letter without anything chosen for it says so and changes nothing. */
  g_autofree char *before = bytes (bench);
  letter (bench, GDK_KEY_m);
  g_autofree char *after = bytes (bench);
  g_assert_cmpstr (after, ==, before);
  g_assert_nonnull (strstr (app_canvas_status (bench->canvas), "Choose an edge or points"));
}

static void
test_split_and_merge (Bench *bench, gconstpointer data)
{
  AppInput in = hand (bench, 75.0, -110.0, 0);
  in.presses = 2;
  app_canvas_feed (bench->canvas, APP_PHASE_PRESS, &in);
  app_canvas_feed (bench->canvas, APP_PHASE_RELEASE, &in);
  g_assert_cmpuint (app_session_selection (bench->session)->nodes->len, ==, 1);
  g_assert_true (app_canvas_deed_applies (bench->canvas, APP_DEED_SPLIT));
  g_assert_false (app_canvas_deed_applies (bench->canvas, APP_DEED_MERGE));
  letter (bench, GDK_KEY_k);
  g_assert_cmpuint (belt (bench)->edges->len, ==, 5);
  letter (bench, GDK_KEY_m);
  g_assert_cmpuint (belt (bench)->edges->len, ==, 4);
  g_assert_cmpuint (model_panel_node_count (belt (bench)), ==, 5);
  choose_corners (bench, (const guint[]) { 1 }, 1);
  letter (bench, GDK_KEY_h);
  type (bench, "8", false);
  g_assert_cmpuint (belt (bench)->edges->len, ==, 5);
  assert_near (corner (bench, 1), 142.0, -110.0, 1e-9);
  assert_near (corner (bench, 2), 150.0, -102.0, 1e-9);
}

/* By the menu: the rows that make sense are there, and the others are not. */
static void
test_menu (Bench *bench, gconstpointer data)
{
  g_autoptr (GMenu) menu = g_menu_new ();
  choose_edge (bench, 0);
  app_canvas_deed_rows (bench->canvas, menu);
  g_assert_cmpint (g_menu_model_get_n_items (G_MENU_MODEL (menu)), ==, 1);
  g_autoptr (GMenuModel) section = g_menu_model_get_item_link (G_MENU_MODEL (menu), 0, G_MENU_LINK_SECTION);
  /* straighten, level, plumb, fair, move out, extend, angle, arc */
  g_assert_cmpint (g_menu_model_get_n_items (section), ==, 8);
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "deed.move-out", NULL));
  type (bench, "-5", false);
  assert_near (corner (bench, 0), 0.0, -105.0, 1e-9);
}

/* ---- the pen ---- */

static void
pen (Bench *bench, AppPhase phase, GeomPoint at, double pressure, bool eraser)
{
  AppInput in = hand (bench, at.x, at.y, 0);
  in.pen = true;
  in.pressure = pressure;
  in.eraser = eraser;
  app_canvas_feed (bench->canvas, phase, &in);
}

/* A wave along the foot, AMPLITUDE deep, from x = 30 to 120. */
static void
wave (Bench *bench, double amplitude, int waves, double pressure)
{
  for (int i = 0; i <= 90; i++)
  {
    double s = i / 90.0;
    pen (bench, i == 0 ? APP_PHASE_PRESS : APP_PHASE_MOTION,
         geom_point (30.0 + 90.0 * s, -110.0 - amplitude * 0.5 * (1.0 - cos (2.0 * G_PI * waves * s))),
         pressure, false);
  }
  g_assert_nonnull (strstr (app_canvas_status (bench->canvas), "drawn anew"));
  paint (bench);
  pen (bench, APP_PHASE_RELEASE, geom_point (120.0, -110.0), pressure, false);
}

static void
test_redraw (Bench *bench, gconstpointer data)
{
  guint panels = bench->doc->panels->len, steps = model_history_length (bench->history);
  guint foot = model_panel_edge (belt (bench), 0)->id,
        first = model_edge_node (model_panel_edge (belt (bench), 0), 0)->id;
  app_canvas_set_tool (bench->canvas, APP_TOOL_STROKE);
  wave (bench, 20.0, 1, 1.0);
  g_assert_cmpuint (bench->doc->panels->len, ==, panels);
  g_assert_cmpuint (model_history_length (bench->history), ==, steps + 1);
  g_assert_cmpstr (model_history_undo_label (bench->history), ==, "Redraw outline");
  g_assert_cmpuint (belt (bench)->edges->len, ==, 4);
  g_assert_cmpuint (model_panel_edge (belt (bench), 0)->id, ==, foot);
  g_assert_cmpuint (model_edge_node (model_panel_edge (belt (bench), 0), 0)->id, ==, first);
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (belt (bench), &path, NULL);
  /* The wave holds half its depth times its length, and is kept to half a millimetre. */
  g_assert_cmpfloat_with_epsilon (geom_path_area (&path), 150.0 * 60.0 + 10.0 * 90.0, 0.5 * 100.0);
  geom_path_clear (&path);
  model_history_undo (bench->history);
  g_assert_cmpuint (model_panel_node_count (belt (bench)), ==, 4);
}

/* The same small waves: a light hand means them, a heavy one does not. */
static void
test_pressure (Bench *bench, gconstpointer data)
{
  guint nodes[2];
  app_canvas_set_tool (bench->canvas, APP_TOOL_STROKE);
  for (int light = 0; light < 2; light++)
  {
    wave (bench, 0.9, 6, light ? 0.05 : 1.0);
    nodes[light] = model_panel_node_count (belt (bench));
    model_history_undo (bench->history);
  }
  g_assert_cmpuint (nodes[1], >, nodes[0]);
}

static void
test_eraser (Bench *bench, gconstpointer data)
{
  ModelPanel *panel = model_panel_copy (belt (bench));
  guint foot = model_panel_edge (panel, 0)->id;
  for (guint i = 0; i < 3; i++)
    g_assert_cmpuint (model_shape_insert_node (panel, bench->doc, foot, 0, 0.5), !=, 0);
  model_history_put_panel (bench->history, panel);
  g_assert_cmpuint (model_panel_node_count (belt (bench)), ==, 7);
  guint steps = model_history_length (bench->history);
  /* Along the whole foot, past both corners. */
  pen (bench, APP_PHASE_PRESS, geom_point (75.0, -140.0), 0.5, true);
  pen (bench, APP_PHASE_MOTION, geom_point (-20.0, -110.0), 0.5, true);
  pen (bench, APP_PHASE_MOTION, geom_point (170.0, -110.0), 0.5, true);
  paint (bench);
  pen (bench, APP_PHASE_RELEASE, geom_point (170.0, -110.0), 0.5, true);
  g_assert_cmpuint (model_panel_node_count (belt (bench)), ==, 4);
  g_assert_cmpuint (model_history_length (bench->history), ==, steps + 1);
  g_assert_false (model_history_is_open (bench->history));
  /* Set down on a corner, the corner goes. */
  pen (bench, APP_PHASE_PRESS, geom_point (150.0, -110.0), 0.5, true);
  pen (bench, APP_PHASE_RELEASE, geom_point (150.0, -110.0), 0.5, true);
  g_assert_cmpuint (belt (bench)->edges->len, ==, 3);
  /* Broken off, nothing is gone. */
  g_autofree char *before = bytes (bench);
  pen (bench, APP_PHASE_PRESS, geom_point (0.0, -110.0), 0.5, true);
  app_canvas_feed (bench->canvas, APP_PHASE_CANCEL, NULL);
  g_autofree char *after = bytes (bench);
  g_assert_cmpstr (after, ==, before);
}

/* ---- several points ---- */

static void
test_several (Bench *bench, gconstpointer data)
{
  double px = 1.0 / app_canvas_scale (bench->canvas);
  /* A band round the right side's corners, from free paper. */
  pull (bench, geom_point (175.0, -135.0), geom_point (135.0, -30.0), 0, true);
  g_assert_cmpuint (app_session_selection (bench->session)->nodes->len, ==, 2);
  app_canvas_key (bench->canvas, GDK_KEY_Right, GDK_SHIFT_MASK);
  assert_near (corner (bench, 1), 160.0, -110.0, 1e-9);
  paint (bench);
  /* The square at the frame's lower left moves them: 18 px off the points. */
  GeomPoint move = { 160.0 - 18.0 * px, -110.0 - 18.0 * px };
  pull (bench, move, geom_point (move.x + 12.0, move.y - 6.0), 0, true);
  assert_near (corner (bench, 1), 172.0, -116.0, 1e-6);
  assert_near (corner (bench, 2), 172.0, -56.0, 1e-6);
  g_assert_cmpstr (model_history_undo_label (bench->history), ==, "Move points");
  /* The ring above turns them about their middle 172, -86: pulled to the left of it, a quarter turn. */
  GeomPoint turn = { 172.0, -56.0 + 44.0 * px };
  double arm = turn.y + 86.0;
  pull (bench, turn, geom_point (172.0 - arm, -86.0), GDK_SHIFT_MASK, false);
  AppInput in = hand (bench, 172.0 - arm, -86.0, 0);
  in.state = GDK_SHIFT_MASK;
  app_canvas_feed (bench->canvas, APP_PHASE_RELEASE, &in);
  assert_near (corner (bench, 1), 202.0, -86.0, 1e-6);
  assert_near (corner (bench, 2), 142.0, -86.0, 1e-6);
  model_history_undo (bench->history);
  letter (bench, GDK_KEY_z);
  type (bench, "50", false);
  assert_near (corner (bench, 1), 172.0, -101.0, 1e-6);
  assert_near (corner (bench, 2), 172.0, -71.0, 1e-6);
}

/* ---- what catches ---- */

static bool
status_has (Bench *bench, const char *word)
{
  return strstr (app_canvas_status (bench->canvas), word) != NULL;
}

static void
test_catch (Bench *bench, gconstpointer data)
{
  double off = 3.0 / app_canvas_scale (bench->canvas);
  app_canvas_set_grid (bench->canvas, false);
  choose_edge (bench, 1);
  /* Above its neighbour, a little beside: plumb.  The place along is free. */
  pull (bench, geom_point (150.0, -50.0), geom_point (150.0 + off, -42.0), 0, false);
  g_assert_true (status_has (bench, "plumb") && status_has (bench, "Ctrl"));
  paint (bench);
  g_assert_cmpfloat_with_epsilon (corner (bench, 2).x, 150.0, 1e-9);
  app_canvas_key (bench->canvas, GDK_KEY_Escape, 0);
  /* Ctrl holds it off. */
  pull (bench, geom_point (150.0, -50.0), geom_point (150.0 + off, -42.0), GDK_CONTROL_MASK, false);
  g_assert_false (status_has (bench, "plumb"));
  g_assert_cmpfloat_with_epsilon (corner (bench, 2).x, 150.0 + off, 1e-6);
  app_canvas_key (bench->canvas, GDK_KEY_Escape, 0);
  /* The left side leans 30 to 60; square to it through 0, -50 lies what is twice as far across as up. */
  ModelPanel *panel = model_panel_copy (belt (bench));
  model_shape_place_node (panel, MODEL_SIDE_CENTRE, model_edge_node (model_panel_edge (panel, 0), 0)->id,
                          geom_point (30.0, -110.0));
  model_history_put_panel (bench->history, panel);
  pull (bench, geom_point (150.0, -50.0), geom_point (110.0, 5.0 + off), 0, false);
  g_assert_true (status_has (bench, "right angle"));
  GeomPoint to = corner (bench, 2);
  g_assert_cmpfloat_with_epsilon (to.x * 30.0 - (to.y + 50.0) * 60.0, 0.0, 1e-6);
  app_canvas_key (bench->canvas, GDK_KEY_Escape, 0);
  /* As far from 150, -110 as that is from 30, -110: 120, on a slant where nothing else is near. */
  pull (bench, geom_point (150.0, -50.0),
        geom_point (150.0 + (120.0 + off) * sin (0.6), -110.0 + (120.0 + off) * cos (0.6)), 0, false);
  g_assert_true (status_has (bench, "equal length"));
  g_assert_cmpfloat_with_epsilon (geom_distance (corner (bench, 2), geom_point (150.0, -110.0)), 120.0, 1e-6);
  app_canvas_key (bench->canvas, GDK_KEY_Escape, 0);
  /* Onto another panel's corner: the front's at 150, 0. */
  pull (bench, geom_point (150.0, -50.0), geom_point (150.0 + off, 0.0 - off), 0, false);
  g_assert_true (status_has (bench, "on a point"));
  assert_near (corner (bench, 2), 150.0, 0.0, 1e-9);
  app_canvas_key (bench->canvas, GDK_KEY_Escape, 0);
  /* Onto its hem. */
  pull (bench, geom_point (150.0, -50.0), geom_point (30.0, 0.0 - off), 0, false);
  g_assert_true (status_has (bench, "on an edge"));
  assert_near (corner (bench, 2), 30.0, 0.0, 1e-6);
  app_canvas_key (bench->canvas, GDK_KEY_Escape, 0);
}

static void
test_grid_catches (Bench *bench, gconstpointer data)
{
  double step;
  app_canvas_set_grid (bench->canvas, true);
  app_canvas_set_percent (bench->canvas, 100.0);
  app_canvas_show_box (bench->canvas, (GeomBox) { 0.0, -120.0, 200.0, -20.0 });
  paint (bench);
  step = app_canvas_grid_step (bench->canvas);
  g_assert_cmpfloat (step, >, 0.0);
  double off = 2.0 / app_canvas_scale (bench->canvas);
  pull (bench, geom_point (150.0, -50.0), geom_point (170.0 + off, -35.0 + off), 0, false);
  g_assert_true (status_has (bench, "grid"));
  GeomPoint to = corner (bench, 2);
  g_assert_cmpfloat_with_epsilon (remainder (to.x, step), 0.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (remainder (to.y, step), 0.0, 1e-9);
  app_canvas_key (bench->canvas, GDK_KEY_Escape, 0);
}

/* ---- comb and tape ---- */

static void
test_comb (Bench *bench, gconstpointer data)
{
  const ModelPanel *side = test_sample_panel (bench->doc, "Side");
  app_session_select_edge (bench->session, side->id, side->side,
                           test_sample_edge (bench->doc, "Side", "armhole")->id, false);
  paint (bench);
  guint before = bench->canvas->lit->len;
  app_canvas_set_comb (bench->canvas, true);
  paint (bench);
  g_assert_cmpuint (bench->canvas->lit->len, ==, before + 1);
  /* A straight edge has no comb. */
  choose_edge (bench, 0);
  paint (bench);
  before = bench->canvas->lit->len;
  app_canvas_set_comb (bench->canvas, false);
  paint (bench);
  g_assert_cmpuint (bench->canvas->lit->len, ==, before);
}

static void
test_tape_angle (Bench *bench, gconstpointer data)
{
  app_canvas_set_tool (bench->canvas, APP_TOOL_TAPE);
  const GeomPoint points[] = { { 150.0, -110.0 }, { 0.0, -110.0 }, { 150.0, -50.0 } };
  for (guint i = 0; i < G_N_ELEMENTS (points); i++)
  {
    AppInput in = hand (bench, points[i].x, points[i].y, 0);
    in.state = i == 2 ? GDK_SHIFT_MASK : 0;
    app_canvas_feed (bench->canvas, APP_PHASE_PRESS, &in);
    app_canvas_feed (bench->canvas, APP_PHASE_RELEASE, &in);
  }
  paint (bench);
  /* atan (60 / 150) = 21.80 degrees; the diagonal is 161.55 long. */
  g_assert_true (status_has (bench, "21.8 degrees"));
  g_assert_true (status_has (bench, "161.6"));
}

int
main (int argc, char **argv)
{
  static const struct
  {
    const char *path;
    void (*run) (Bench *bench, gconstpointer data);
  } rows[] = { { "/app/shaping/round", test_round },
               { "/app/shaping/edge-letters", test_edge_letters },
               { "/app/shaping/split-and-merge", test_split_and_merge },
               { "/app/shaping/menu", test_menu },
               { "/app/shaping/redraw", test_redraw },
               { "/app/shaping/pressure", test_pressure },
               { "/app/shaping/eraser", test_eraser },
               { "/app/shaping/several-points", test_several },
               { "/app/shaping/catch", test_catch },
               { "/app/shaping/grid-catches", test_grid_catches },
               { "/app/shaping/comb", test_comb },
               { "/app/shaping/tape-angle", test_tape_angle } };
  gtk_test_init (&argc, &argv, NULL);
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    g_test_add (rows[i].path, Bench, NULL, begin, rows[i].run, tear_down);
  return g_test_run ();
}
