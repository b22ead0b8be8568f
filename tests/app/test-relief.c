/* Cutting panels apart, darts and slashes as a maker does them: real widgets on a virtual screen, input by
 * the canvas's one way in.
 *
 * The belt of support/sample-document.h is a rectangle from (0, -110) to (150, -50): what is wanted of its
 * parts is worked out from that beside each check.
 */
#include "bench.h"

#include "app/ask.h"
#include "app/dart-card.h"
#include "app/dart.h"
#include "app/number-entry.h"
#include "app/panel-card.h"
#include "app/plan.h"
#include "app/unit-entry.h"

#include "model/rework.h"
#include "support/sample-document.h"

static void
set_up (Bench *bench, gconstpointer data)
{
  lay_out (bench, test_sample_document ());
  app_canvas_set_percent (bench->canvas, 60.0);
  app_canvas_show_box (bench->canvas, (GeomBox) { -20, -130, 170, -30 });
  paint (bench);
}

static void
answer (Bench *bench, const char *text)
{
  GtkWidget *field = app_number_entry_field (bench->canvas);
  g_assert_nonnull (field);
  gtk_editable_set_text (GTK_EDITABLE (field), text);
  g_signal_emit_by_name (field, "activate");
  paint (bench);
}

static char *
bytes (Bench *bench)
{
  g_autoptr (ModelDocument) copy = model_document_copy (bench->doc);
  copy->next_id = 1; /* never goes back */
  return model_document_to_data (copy, NULL);
}

static double
area (const ModelPanel *panel)
{
  GeomPath path = { 0 };
  model_panel_path (panel, &path, NULL);
  double mm2 = geom_path_area (&path);
  geom_path_clear (&path);
  return mm2;
}

static const ModelPanel *
newest (Bench *bench)
{
  return (const ModelPanel *)g_ptr_array_index (bench->doc->panels, bench->doc->panels->len - 1);
}

/* One step: undo gives back BEFORE, redo what there was; saved and read again it is the same. */
static void
assert_one_step (Bench *bench, const char *before)
{
  g_autofree char *after = bytes (bench), *undone = NULL, *redone = NULL, *again = NULL, *data = NULL;
  gsize length;
  g_autoptr (GError) error = NULL;
  model_history_undo (bench->history);
  undone = bytes (bench);
  g_assert_cmpstr (undone, ==, before);
  model_history_redo (bench->history);
  redone = bytes (bench);
  g_assert_cmpstr (redone, ==, after);
  data = model_document_to_data (bench->doc, &length);
  g_autoptr (ModelDocument) back = model_document_from_data (data, length, &error);
  g_assert_no_error (error);
  again = model_document_to_data (back, NULL);
  g_assert_cmpstr (again, ==, data);
  paint (bench);
}

/* ---- cut apart ---- */

static void
test_cut_pulled (Bench *bench, gconstpointer data)
{
  g_autofree char *before = bytes (bench);
  guint panels = bench->doc->panels->len, belt = test_sample_panel (bench->doc, "Belt")->id;
  app_canvas_set_tool (bench->canvas, APP_TOOL_CUT);
  drag_on (bench, 60, -110, 60, -50, 0);
  g_autofree char *shown = bytes (bench);
  g_assert_cmpstr (shown, ==, before); /* a preview changes nothing */
  paint (bench);
  feed (bench, APP_PHASE_RELEASE, 60, -50, 0);
  g_assert_cmpuint (bench->doc->panels->len, ==, panels + 1);
  /* 150 by 60, cut at 60: 90 by 60 stays, 60 by 60 is new. */
  g_assert_cmpfloat_with_epsilon (area (model_document_panel (bench->doc, belt)), 5400.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (area (newest (bench)), 3600.0, 1e-6);
  const ModelJoin *join = model_document_join (bench->doc, app_session_selection (bench->session)->join_id);
  g_assert_nonnull (join);
  g_assert_cmpint (join->kind, ==, MODEL_JOIN_FLUSH);
  EngineJoinReading readings[2];
  g_assert_cmpint (engine_review_join_readings (app_session_review (bench->session), join->id, readings), ==,
                   1);
  g_assert_cmpfloat_with_epsilon (readings[0].length_a_mm, 60.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (readings[0].length_b_mm, 60.0, 1e-6);
  assert_one_step (bench, before);
}

/* Ends catch the corners; a press inside leads the seam through that point. */
static void
test_cut_through (Bench *bench, gconstpointer data)
{
  g_autofree char *before = bytes (bench);
  double whole = area (test_sample_panel (bench->doc, "Belt"));
  app_canvas_set_tool (bench->canvas, APP_TOOL_CUT);
  click (bench, 1.0, -109.0, 0);
  click (bench, 70.0, -90.0, 0);
  click (bench, 149.0, -51.0, 0);
  const ModelPanel *made = newest (bench), *belt = test_sample_panel (bench->doc, "Belt");
  g_assert_cmpfloat_with_epsilon (area (made) + area (belt), whole, 1e-6);
  /* Corner to corner: each keeps two whole edges and gets the seam. */
  g_assert_cmpuint (made->edges->len, ==, 3);
  g_assert_cmpuint (belt->edges->len, ==, 3);
  GeomPath path = { 0 };
  model_panel_path (made, &path, NULL);
  g_assert_cmpfloat (geom_path_nearest (&path, geom_point (70.0, -90.0)).distance_mm, <, 1e-3);
  geom_path_clear (&path);
  assert_one_step (bench, before);
}

/* A stroke that begins and ends outside cuts where it goes over the outline, and bends as it was drawn. */
static void
test_cut_stroke (Bench *bench, gconstpointer data)
{
  g_autofree char *before = bytes (bench);
  double whole = area (test_sample_panel (bench->doc, "Belt"));
  app_canvas_set_tool (bench->canvas, APP_TOOL_CUT);
  feed (bench, APP_PHASE_PRESS, 75.0, -145.0, 0);
  for (int i = 1; i <= 60; i++)
    feed (bench, APP_PHASE_MOTION, 75.0 + 20.0 * sin (G_PI * i / 60.0), -145.0 + i * 2.0, 0);
  feed (bench, APP_PHASE_RELEASE, 75.0, -25.0, 0);
  const ModelPanel *made = newest (bench), *belt = test_sample_panel (bench->doc, "Belt");
  g_assert_cmpstr (made->name, !=, "Belt");
  g_assert_cmpfloat_with_epsilon (area (made) + area (belt), whole, 1e-6);
  /* At half height the stroke was 20 mm to the right of its ends. */
  GeomPath path = { 0 };
  model_panel_path (made, &path, NULL);
  g_assert_cmpfloat (geom_path_nearest (&path, geom_point (95.0, -85.0)).distance_mm, <, 1.5);
  geom_path_clear (&path);
  assert_one_step (bench, before);
}

static void
test_cut_left (Bench *bench, gconstpointer data)
{
  g_autofree char *before = bytes (bench), *after = NULL;
  app_canvas_set_tool (bench->canvas, APP_TOOL_CUT);
  drag_on (bench, 60, -110, 60, -50, 0);
  g_assert_true (app_canvas_key (bench->canvas, GDK_KEY_Escape, 0));
  feed (bench, APP_PHASE_RELEASE, 60, -50, 0);
  click (bench, 60, -110, 0);
  g_assert_true (app_canvas_key (bench->canvas, GDK_KEY_Escape, 0));
  drag (bench, 60, -110, 60, -80, 0); /* ends inside */
  drag (bench, 60, -110, 110, -110, 0);
  after = bytes (bench);
  g_assert_cmpstr (after, ==, before);
  g_assert_false (model_history_can_undo (bench->history));
}

/* ---- darts ---- */

static void
test_dart (Bench *bench, gconstpointer data)
{
  static const struct
  {
    const char *text;
    double mm, deg;
  } rows[] = { { "12", 12.0, 0.0 }, { "1.2 cm", 12.0, 0.0 }, { "15°", 0.0, 15.0 }, { "15 deg", 0.0, 15.0 } };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_autofree char *before = bytes (bench);
    ModelReworkDart dart;
    app_canvas_set_tool (bench->canvas, APP_TOOL_DART);
    drag (bench, 75, -110, 75, -75, i == 1 ? GDK_SHIFT_MASK : 0);
    g_autofree char *asking = bytes (bench);
    g_assert_cmpstr (asking, ==, before);
    answer (bench, rows[i].text);
    const AppSelection *s = app_session_selection (bench->session);
    g_assert_cmpuint (s->edges->len, ==, 1);
    const ModelPanel *belt = test_sample_panel (bench->doc, "Belt");
    g_assert_true (model_rework_read_dart (belt, g_array_index (s->edges, guint, 0), &dart));
    if (rows[i].mm > 0.0)
      g_assert_cmpfloat_with_epsilon (dart.intake_mm, rows[i].mm, 1e-6);
    else
      g_assert_cmpfloat_with_epsilon (dart.intake_deg, rows[i].deg, 1e-6);
    g_assert_cmpfloat (geom_distance (dart.apex, geom_point (75, -75)), <, 0.5);
    if (i == 1)
      g_assert_cmpfloat (dart.bulge_mm, >, 0.5);
    else
      g_assert_cmpfloat (fabs (dart.bulge_mm), <, 1e-6);
    g_assert_cmpuint (belt->edges->len, ==, 7);
    assert_one_step (bench, before);
    model_history_undo (bench->history);
  }
}

static void
test_dart_left (Bench *bench, gconstpointer data)
{
  g_autofree char *before = bytes (bench), *after = NULL;
  app_canvas_set_tool (bench->canvas, APP_TOOL_DART);
  drag (bench, 75, -110, 75, -75, 0);
  answer (bench, "nothing");
  g_assert_nonnull (app_number_entry_field (bench->canvas));
  answer (bench, "-5");
  g_assert_nonnull (app_number_entry_field (bench->canvas));
  app_number_entry_close (bench->canvas);
  paint (bench);
  drag (bench, 75, -110, 75, -75, 0);
  app_canvas_set_tool (bench->canvas, APP_TOOL_CHOOSE); /* with the question open */
  paint (bench);
  app_canvas_set_tool (bench->canvas, APP_TOOL_DART);
  drag (bench, 75, -110, 77, -111, 0);
  drag (bench, 75, -110, 75, -200, 0); /* the apex outside */
  app_number_entry_close (bench->canvas);
  paint (bench);
  after = bytes (bench);
  g_assert_cmpstr (after, ==, before);
}

/* M: about its apex the dart keeps its angle; a dart with straight legs moved leaves the area as it was. */
static void
test_dart_moved (Bench *bench, gconstpointer data)
{
  ModelReworkDart was, now;
  app_canvas_set_tool (bench->canvas, APP_TOOL_DART);
  drag (bench, 75, -110, 75, -75, 0);
  answer (bench, "14");
  guint leg = g_array_index (app_session_selection (bench->session)->edges, guint, 0);
  double mm2 = area (test_sample_panel (bench->doc, "Belt"));
  g_assert_true (model_rework_read_dart (test_sample_panel (bench->doc, "Belt"), leg, &was));
  g_autofree char *before = bytes (bench);
  drag (bench, was.apex.x, was.apex.y, 150, -85, 0);
  g_assert_true (model_rework_read_dart (test_sample_panel (bench->doc, "Belt"), leg, &now));
  g_assert_cmpfloat_with_epsilon (now.intake_deg, was.intake_deg, 1e-6);
  g_assert_cmpfloat_with_epsilon (area (test_sample_panel (bench->doc, "Belt")), mm2, 1e-6);
  g_assert_cmpfloat (geom_distance (now.apex, was.apex), <, 1e-6);
  g_assert_cmpfloat (now.intake_mm, >, was.intake_mm * 1.5); /* 75 mm away instead of 35 */
  assert_one_step (bench, before);
}

static void
test_slash (Bench *bench, gconstpointer data)
{
  g_autofree char *before = bytes (bench);
  double mm2 = area (test_sample_panel (bench->doc, "Belt"));
  app_canvas_set_tool (bench->canvas, APP_TOOL_DART);
  drag (bench, 75, -110, 75, -50, 0);
  answer (bench, "12");
  /* Opened by 12 at 60 deep: about a triangle of 12 times 60 over 2 more. */
  double more = area (test_sample_panel (bench->doc, "Belt")) - mm2;
  g_assert_cmpfloat (fabs (more - 360.0), <, 40.0);
  assert_one_step (bench, before);
  model_history_undo (bench->history);
  drag (bench, 75, -110, 75, -50, 0);
  answer (bench, "-5°");
  g_assert_cmpfloat (area (test_sample_panel (bench->doc, "Belt")), <, mm2 - 100.0);
  assert_one_step (bench, before);
}

/* ---- by the menu alone ---- */

static void
act (Bench *bench, const char *action, GVariant *target)
{
  g_assert_true (gtk_widget_activate_action_variant (GTK_WIDGET (bench->canvas), action, target));
}

/* A dart of 14 mm from the middle of the foot, 35 mm deep, chosen.  Returns its first leg. */
static guint
put_dart (Bench *bench)
{
  const ModelPanel *belt = test_sample_panel (bench->doc, "Belt");
  ModelReworkMade made = { 0 };
  ModelReworkDart dart = { .at = { test_sample_edge (bench->doc, "Belt", "foot")->id, 0, 0.5 },
                           .apex = { 75, -75 },
                           .intake_mm = 14.0 };
  g_assert_true (model_rework_add_dart (bench->history, belt->id, dart, &made, NULL));
  guint leg = made.edge_id;
  model_rework_made_clear (&made);
  app_session_select_edge (bench->session, belt->id, belt->side, leg, false);
  return leg;
}

static void
test_menu_dart (Bench *bench, gconstpointer data)
{
  guint leg = put_dart (bench);
  ModelReworkDart was, now;
  g_autofree char *before = bytes (bench), *after = NULL;
  g_assert_true (model_rework_read_dart (test_sample_panel (bench->doc, "Belt"), leg, &was));
  act (bench, "dart.intake", NULL);
  answer (bench, "9");
  g_assert_true (model_rework_read_dart (test_sample_panel (bench->doc, "Belt"), leg, &now));
  g_assert_cmpfloat_with_epsilon (now.intake_mm, 9.0, 1e-6);
  assert_one_step (bench, before);
  model_history_undo (bench->history);
  act (bench, "dart.bulge", NULL);
  answer (bench, "1.5");
  g_assert_true (model_rework_read_dart (test_sample_panel (bench->doc, "Belt"), leg, &now));
  g_assert_cmpfloat_with_epsilon (now.bulge_mm, 1.5, 1e-6);
  assert_one_step (bench, before);
  model_history_undo (bench->history);
  act (bench, "dart.move", g_variant_new_uint32 (test_sample_edge (bench->doc, "Belt", "right")->id));
  g_assert_true (model_rework_read_dart (test_sample_panel (bench->doc, "Belt"), leg, &now));
  g_assert_cmpfloat_with_epsilon (now.intake_deg, was.intake_deg, 1e-6);
  assert_one_step (bench, before);
  model_history_undo (bench->history);
  act (bench, "dart.closed", NULL);
  paint (bench);
  after = bytes (bench);
  g_assert_cmpstr (after, ==, before);
  act (bench, "dart.closed", NULL);
  act (bench, "dart.remove", NULL);
  g_assert_cmpfloat_with_epsilon (area (test_sample_panel (bench->doc, "Belt")), 150.0 * 60.0, 1e-6);
  assert_one_step (bench, before);
}

/* 150 wide, 10 higher: 1500 more; 5 lower: 750 less. */
static void
test_menu_level (Bench *bench, gconstpointer data)
{
  const ModelPanel *belt = test_sample_panel (bench->doc, "Belt");
  g_autofree char *before = bytes (bench);
  app_session_select_panel (bench->session, belt->id, belt->side, false);
  act (bench, "dart.level", NULL);
  answer (bench, "10");
  g_assert_cmpfloat_with_epsilon (area (test_sample_panel (bench->doc, "Belt")), 10500.0, 1e-6);
  assert_one_step (bench, before);
  model_history_undo (bench->history);
  app_canvas_set_tool (bench->canvas, APP_TOOL_CUT);
  drag (bench, 0, -80, 150, -80, GDK_CONTROL_MASK);
  answer (bench, "-5");
  g_assert_cmpfloat_with_epsilon (area (test_sample_panel (bench->doc, "Belt")), 8250.0, 1e-6);
  assert_one_step (bench, before);
}

/* 6 missing at both ends of the side: half goes to each panel.  The front's hem is 150 wide and level: 153.
 */
static void
test_menu_meet (Bench *bench, gconstpointer data)
{
  const ModelPanel *front = test_sample_panel (bench->doc, "Front");
  g_autofree char *before = bytes (bench);
  app_session_select_edge (bench->session, front->id, front->side,
                           test_sample_edge (bench->doc, "Front", "side")->id, false);
  act (bench, "dart.meet", NULL);
  answer (bench, "6");
  g_assert_nonnull (app_number_entry_field (bench->canvas));
  answer (bench, "6; 6");
  GeomPoint at = model_edge_node (test_sample_edge (bench->doc, "Front", "side"), 0)->at;
  g_assert_cmpfloat (geom_distance (at, geom_point (153, 0)), <=, 1e-6);
  assert_one_step (bench, before);
}

/* ---- seen before it is done ---- */

#define SAME_MM 1e-9

/* Everything, the next id too: looking leaves no trace. */
static char *
all_bytes (Bench *bench)
{
  return model_document_to_data (bench->doc, NULL);
}

static void
type (Bench *bench, const char *text)
{
  GtkWidget *field = app_number_entry_field (bench->canvas);
  g_assert_nonnull (field);
  gtk_editable_set_text (GTK_EDITABLE (field), text);
}

static void
assert_same_panel (const ModelPanel *a, const ModelPanel *b)
{
  for (int twin = 0; twin < 2; twin++)
  {
    GeomPath path_a = { 0 }, path_b = { 0 };
    app_panel_side_path (a, twin, &path_a);
    app_panel_side_path (b, twin, &path_b);
    g_assert_cmpuint (path_a.count, ==, path_b.count);
    for (size_t i = 0; i < path_a.count; i++)
      for (int k = 0; k < 4; k++)
        g_assert_cmpfloat (geom_distance (path_a.piece[i].p[k], path_b.piece[i].p[k]), <=, SAME_MM);
    geom_path_clear (&path_a);
    geom_path_clear (&path_b);
  }
}

static const ModelPanel *
ghost_panel (const EngineRemedy *ghost, guint panel_id)
{
  for (guint i = 0; i < ghost->parts->len; i++)
  {
    const ModelPart *part = &g_array_index (ghost->parts, ModelPart, i);
    if (part->kind == MODEL_PART_PANEL && model_part_id (*part) == panel_id)
      return part->body;
  }
  return NULL;
}

static void
ask_dart (Bench *bench)
{
  app_canvas_set_tool (bench->canvas, APP_TOOL_DART);
  drag (bench, 75, -110, 75, -75, 0);
}

static void
ask_slash (Bench *bench)
{
  app_canvas_set_tool (bench->canvas, APP_TOOL_DART);
  drag (bench, 75, -110, 75, -50, 0);
}

static void
ask_level (Bench *bench)
{
  const ModelPanel *belt = test_sample_panel (bench->doc, "Belt");
  app_session_select_panel (bench->session, belt->id, belt->side, false);
  act (bench, "dart.level", NULL);
}

static void
ask_level_pulled (Bench *bench)
{
  app_canvas_set_tool (bench->canvas, APP_TOOL_CUT);
  drag (bench, 0, -80, 150, -80, GDK_CONTROL_MASK);
}

static void
ask_intake (Bench *bench)
{
  act (bench, "dart.intake", NULL);
}

static void
ask_bend (Bench *bench)
{
  act (bench, "dart.bulge", NULL);
}

static void
ask_meet (Bench *bench)
{
  const ModelPanel *front = test_sample_panel (bench->doc, "Front");
  app_session_select_edge (bench->session, front->id, front->side,
                           test_sample_edge (bench->doc, "Front", "side")->id, false);
  act (bench, "dart.meet", NULL);
}

static void
ask_move_out (Bench *bench)
{
  const ModelPanel *belt = test_sample_panel (bench->doc, "Belt");
  app_session_select_edge (bench->session, belt->id, belt->side,
                           test_sample_edge (bench->doc, "Belt", "foot")->id, false);
  app_canvas_deed (bench->canvas, APP_DEED_MOVE_OUT);
}

/* FIRST and TEXT are typed one after the other: the ghost follows.  CHANGED panels have one. */
typedef struct Seen
{
  void (*ask) (Bench *bench);
  bool dart; /* with a dart that is there already, chosen */
  const char *first, *text;
  guint changed;
} Seen;

static const Seen seen[] = {
  { ask_dart, false, "4", "12", 1 },         { ask_dart, false, "4", "15°", 1 },
  { ask_slash, false, "4", "12", 1 },        { ask_slash, false, "4", "8°", 1 },
  { ask_slash, false, "4", "-5°", 1 },       { ask_level, false, "1", "10", 1 },
  { ask_level_pulled, false, "1", "-5", 1 }, { ask_intake, true, "9", "11", 1 },
  { ask_intake, true, "9", "20°", 1 },       { ask_bend, true, "1", "2.5", 1 },
  { ask_meet, false, "1; 1", "6; 10", 2 },   { ask_move_out, false, "1", "7", 1 },
};

static void
test_ghost (Bench *bench, gconstpointer data)
{
  const Seen *row = data;
  if (row->dart)
    put_dart (bench);
  g_autofree char *before = all_bytes (bench), *looked = NULL, *left = NULL;
  bool could_undo = model_history_can_undo (bench->history);
  g_autoptr (ModelDocument) was = model_document_copy (bench->doc);

  row->ask (bench);
  g_assert_true (app_ask_is_open (bench->canvas));
  type (bench, row->first);
  g_assert_nonnull (app_session_previewed (bench->session));
  EngineRemedy *first = engine_remedy_copy (app_session_previewed (bench->session));
  type (bench, "nonsense");
  g_assert_null (app_session_previewed (bench->session));
  type (bench, row->text);
  paint (bench);
  looked = all_bytes (bench);
  g_assert_cmpstr (looked, ==, before);
  app_number_entry_close (bench->canvas);
  paint (bench);
  left = all_bytes (bench);
  g_assert_cmpstr (left, ==, before);
  g_assert_null (app_session_previewed (bench->session));
  g_assert_false (app_ask_is_open (bench->canvas));
  g_assert_cmpint (model_history_can_undo (bench->history), ==, could_undo);

  row->ask (bench);
  type (bench, row->text);
  EngineRemedy *ghost = engine_remedy_copy (app_session_previewed (bench->session));
  answer (bench, row->text);
  g_assert_null (app_session_previewed (bench->session));
  guint changed = 0;
  for (guint i = 0; i < bench->doc->panels->len; i++)
  {
    const ModelPanel *now = g_ptr_array_index (bench->doc->panels, i),
                     *as_seen = ghost_panel (ghost, now->id), *old = model_document_panel (was, now->id);
    assert_same_panel (now, as_seen != NULL ? as_seen : old);
    if (as_seen == NULL)
      continue;
    changed++;
    /* It is another shape than before, and than the first figure's. */
    const ModelPanel *others[] = { old, ghost_panel (first, now->id) };
    for (guint k = 0; k < G_N_ELEMENTS (others); k++)
    {
      GeomPath path_a = { 0 }, path_b = { 0 };
      double most = 0.0;
      model_panel_path (now, &path_a, NULL);
      model_panel_path (others[k], &path_b, NULL);
      for (size_t p = 0; p < path_a.count; p++)
        most = MAX (most, geom_path_nearest (&path_b, geom_cubic_at (&path_a.piece[p], 0.5)).distance_mm);
      g_assert_cmpfloat (most, >, 0.3);
      geom_path_clear (&path_a);
      geom_path_clear (&path_b);
    }
  }
  g_assert_cmpuint (changed, ==, row->changed);
  engine_remedy_free (first);
  engine_remedy_free (ghost);
}

/* Another document comes while a figure is asked for: the question goes, and neither document is touched. */
static void
test_ghost_dropped (Bench *bench, gconstpointer data)
{
  AppSession *other = app_session_new (test_sample_document (), NULL, NULL);
  g_autofree char *before = all_bytes (bench), *after = NULL;
  ask_level (bench);
  g_assert_nonnull (app_session_previewed (bench->session));
  app_canvas_set_session (bench->canvas, other);
  paint (bench);
  g_assert_false (app_ask_is_open (bench->canvas));
  g_assert_null (app_session_previewed (bench->session));
  g_assert_null (app_session_previewed (other));
  g_assert_false (model_history_can_undo (app_session_history (other)));
  after = all_bytes (bench);
  g_assert_cmpstr (after, ==, before);
  app_canvas_set_session (bench->canvas, bench->session);
  g_object_unref (other);
}

/* The entry does not lie over what it previews. */
static void
test_ghost_clear (Bench *bench, gconstpointer data)
{
  void (*const asks[]) (Bench *) = { ask_level, ask_slash, ask_dart, ask_move_out };
  for (guint i = 0; i < G_N_ELEMENTS (asks); i++)
  {
    GdkRectangle at;
    GtkRequisition size;
    GeomPath path = { 0 };
    double x0, y0, x1, y1;
    asks[i](bench);
    paint (bench);
    app_panel_side_path (
      ghost_panel (app_session_previewed (bench->session), test_sample_panel (bench->doc, "Belt")->id), false,
      &path);
    GeomBox box = geom_path_box (&path);
    geom_path_clear (&path);
    app_canvas_to_widget (bench->canvas, geom_point (box.x0, box.y1), &x0, &y0);
    app_canvas_to_widget (bench->canvas, geom_point (box.x1, box.y0), &x1, &y1);
    g_assert_true (gtk_popover_get_pointing_to (GTK_POPOVER (bench->canvas->popover), &at));
    gtk_widget_get_preferred_size (bench->canvas->popover, NULL, &size);
    g_assert_true (at.y >= y1 || at.y + size.height <= y0 || at.x - size.width / 2.0 >= x1
                   || at.x + size.width / 2.0 <= x0);
    app_number_entry_close (bench->canvas);
    paint (bench);
  }
}

/* While the hand pulls, too; Escape in the middle of it leaves everything. */
static void
test_ghost_pulled (Bench *bench, gconstpointer data)
{
  static const struct
  {
    AppToolKind tool;
    double x0, y0, x1, y1;
    GdkModifierType state;
  } rows[] = { { APP_TOOL_DART, 75, -110, 75, -75, 0 },
               { APP_TOOL_DART, 75, -110, 75, -50, 0 },
               { APP_TOOL_CUT, 0, -80, 150, -80, GDK_CONTROL_MASK } };
  g_autofree char *before = all_bytes (bench);
  guint belt = test_sample_panel (bench->doc, "Belt")->id;
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    app_canvas_set_tool (bench->canvas, rows[i].tool);
    drag_on (bench, rows[i].x0, rows[i].y0, rows[i].x1, rows[i].y1, rows[i].state);
    paint (bench);
    const EngineRemedy *ghost = app_session_previewed (bench->session);
    g_assert_nonnull (ghost);
    g_assert_cmpfloat (fabs (area (ghost_panel (ghost, belt)) - 9000.0), >, 50.0);
    g_assert_true (app_canvas_key (bench->canvas, GDK_KEY_Escape, 0));
    g_assert_null (app_session_previewed (bench->session));
    feed (bench, APP_PHASE_RELEASE, rows[i].x1, rows[i].y1, rows[i].state);
    g_assert_false (app_ask_is_open (bench->canvas));
    g_autofree char *after = all_bytes (bench);
    g_assert_cmpstr (after, ==, before);
  }
}

/* A gap is a chord: 12 mm wide 60 mm from the hinge is 2 asin (6 / 60); 8 degrees there are 120 sin (4
 * degrees).
 */
static void
test_ghost_figures (Bench *bench, gconstpointer data)
{
  AppPlan plan
    = { .kind = APP_PLAN_SLASH, .panel_id = test_sample_panel (bench->doc, "Belt")->id, .mm = 12.0 };
  g_assert_true (app_spot_at (bench->canvas, geom_point (75, -110), 1.0, plan.panel_id, &plan.from));
  g_assert_true (app_spot_at (bench->canvas, geom_point (75, -50), 1.0, plan.panel_id, &plan.hinge));
  EngineRemedy *ghost = app_plan_ghost (bench->doc, &plan, NULL);
  g_assert_nonnull (ghost);
  engine_remedy_free (ghost);
  g_assert_cmpfloat_with_epsilon (plan.seen_deg, 2.0 * asin (0.1) * 180.0 / G_PI, 1e-6);
  plan.mm = 0.0;
  plan.deg = 8.0;
  ghost = app_plan_ghost (bench->doc, &plan, NULL);
  g_assert_nonnull (ghost);
  engine_remedy_free (ghost);
  g_assert_cmpfloat_with_epsilon (plan.seen_mm, 120.0 * sin (4.0 * G_PI / 180.0), 1e-6);
}

static void
press_key (GtkWidget *field, guint keyval, GdkModifierType state)
{
  g_autoptr (GListModel) all = gtk_widget_observe_controllers (field);
  for (guint i = 0; i < g_list_model_get_n_items (all); i++)
  {
    g_autoptr (GObject) one = g_list_model_get_item (all, i);
    gboolean taken = FALSE;
    if (GTK_IS_EVENT_CONTROLLER_KEY (one))
      g_signal_emit_by_name (one, "key-pressed", keyval, 0, state, &taken);
    if (taken)
      return;
  }
  g_assert_not_reached ();
}

/* 60 mm high: 5 more by keys is 150 times 65. */
static void
test_ghost_stepped (Bench *bench, gconstpointer data)
{
  guint belt = test_sample_panel (bench->doc, "Belt")->id;
  ask_level (bench);
  type (bench, "4");
  press_key (app_number_entry_field (bench->canvas), GDK_KEY_Up, 0);
  const EngineRemedy *ghost = app_session_previewed (bench->session);
  g_assert_nonnull (ghost);
  g_assert_cmpfloat_with_epsilon (area (ghost_panel (ghost, belt)), 150.0 * 65.0, 1e-6);
  press_key (app_number_entry_field (bench->canvas), GDK_KEY_Down, GDK_SHIFT_MASK);
  ghost = app_session_previewed (bench->session);
  g_assert_nonnull (ghost);
  g_assert_cmpfloat_with_epsilon (area (ghost_panel (ghost, belt)), 150.0 * 55.0, 1e-6);
}

/* ---- the dart's card ---- */

typedef struct Card
{
  GtkWidget *window;
  AppPanelCard *panel;
  AppDartCard *dart;
} Card;

/* The card's window has frames of its own. */
static void
settle (Bench *bench, Card *card)
{
  int left = 3;
  gint64 end = g_get_monotonic_time () + 5 * G_USEC_PER_SEC;
  paint (bench);
  gtk_widget_add_tick_callback (card->window, bench_count_down, &left, NULL);
  while (left > 0 && g_get_monotonic_time () < end)
    g_main_context_iteration (NULL, TRUE);
  g_assert_cmpint (left, <=, 0);
}

static Card
open_card (Bench *bench)
{
  Card card = { .window = gtk_window_new (), .panel = APP_PANEL_CARD (app_panel_card_new ()) };
  gtk_window_set_child (GTK_WINDOW (card.window), GTK_WIDGET (card.panel));
  gtk_window_set_default_size (GTK_WINDOW (card.window), 320, 640);
  app_panel_card_set_session (card.panel, bench->session);
  app_dart_actions_share (bench->canvas, GTK_WIDGET (card.panel));
  gtk_window_present (GTK_WINDOW (card.window));
  card.dart = APP_DART_CARD (app_panel_card_field (card.panel, "dart"));
  settle (bench, &card);
  return card;
}

static void
close_card (Card *card)
{
  gtk_window_destroy (GTK_WINDOW (card->window));
  run_events ();
}

static const char *
card_says (Card *card, const char *what)
{
  return gtk_label_get_text (GTK_LABEL (app_dart_card_field (card->dart, what)));
}

static GtkWidget *
card_field (Card *card, const char *what)
{
  GtkWidget *field = app_dart_card_field (card->dart, what);
  return APP_IS_UNIT_ENTRY (field) ? app_unit_entry_field (APP_UNIT_ENTRY (field)) : field;
}

/* Straight legs of L mm, from the mouth's corner to the apex, that take in 14 mm: 2 asin (7 / L) at the apex,
 * which lies sqrt (L L - 7 7) from the middle of the mouth. */
static void
test_card_tells (Bench *bench, gconstpointer data)
{
  guint leg = put_dart (bench);
  const ModelPanel *belt = test_sample_panel (bench->doc, "Belt");
  guint first = (guint)model_panel_find_edge (belt, leg);
  double mm = geom_distance (model_edge_node (model_panel_edge (belt, first), 0)->at, geom_point (75, -75));
  g_autofree char *angle = g_strdup_printf ("%.1f°", 2.0 * asin (7.0 / mm) * 180.0 / G_PI),
                  *depth = g_strdup_printf ("%.1f\u2009mm from the edge", sqrt (mm * mm - 49.0)),
                  *legs = g_strdup_printf ("%.1f\u2009mm each", mm),
                  *row = g_strdup_printf ("foot, 14.0\u2009mm · %s", angle);
  Card card = open_card (bench);
  GtkWidget *edge_box = app_panel_card_field (card.panel, "edge-box"),
            *panel_box = app_panel_card_field (card.panel, "panel-box");
  for (int by_apex = 0; by_apex < 2; by_apex++)
  {
    if (by_apex)
    {
      app_session_select_node (bench->session, belt->id, belt->side,
                               model_panel_next_node (belt, first, 0)->id, false);
      settle (bench, &card);
    }
    g_assert_true (gtk_widget_get_visible (GTK_WIDGET (card.dart)));
    g_assert_false (gtk_widget_get_visible (edge_box));
    g_assert_false (gtk_widget_get_visible (panel_box));
    g_assert_cmpstr (card_says (&card, "edge"), ==, "foot");
    g_assert_cmpstr (gtk_editable_get_text (GTK_EDITABLE (card_field (&card, "intake"))), ==, "14.0\u2009mm");
    g_assert_cmpstr (gtk_editable_get_text (GTK_EDITABLE (card_field (&card, "angle"))), ==, angle);
    g_assert_cmpstr (card_says (&card, "depth"), ==, depth);
    g_assert_cmpstr (card_says (&card, "legs"), ==, legs);
    g_assert_cmpstr (card_says (&card, "cap"), ==, "runs on smoothly");
    g_assert_cmpint (gtk_widget_get_visible (app_dart_card_field (card.dart, "own")), ==, !by_apex);
  }
  /* The leg as an edge comes on wish; of the whole panel the dart is in a list. */
  app_session_select_edge (bench->session, belt->id, belt->side, leg, false);
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (app_dart_card_field (card.dart, "own")), TRUE);
  settle (bench, &card);
  g_assert_true (gtk_widget_get_visible (edge_box));
  app_session_select_panel (bench->session, belt->id, belt->side, false);
  settle (bench, &card);
  g_assert_false (gtk_widget_get_visible (GTK_WIDGET (card.dart)));
  AppDartList *list = APP_DART_LIST (app_panel_card_field (card.panel, "darts"));
  g_assert_true (gtk_widget_get_visible (GTK_WIDGET (list)));
  g_assert_null (app_dart_list_button (list, 1));
  g_assert_cmpstr (gtk_button_get_label (GTK_BUTTON (app_dart_list_button (list, 0))), ==, row);
  g_signal_emit_by_name (app_dart_list_button (list, 0), "clicked");
  settle (bench, &card);
  g_assert_true (gtk_widget_get_visible (GTK_WIDGET (card.dart)));
  close_card (&card);
}

/* A leg 0.8 mm longer on a join that allows 0.3 mm; the edge then has a step where they meet. */
static void
test_card_disagrees (Bench *bench, gconstpointer data)
{
  guint leg = put_dart (bench), at = 0;
  const ModelPanel *belt = test_sample_panel (bench->doc, "Belt");
  ModelPanel *panel = model_panel_copy (belt);
  at = ((guint)model_panel_find_edge (panel, leg) + 2) % panel->edges->len;
  ModelNode *mouth = model_edge_node (model_panel_edge (panel, at), 0);
  const ModelNode *apex = model_panel_next_node (panel, (guint)model_panel_find_edge (panel, leg), 0);
  GeomPoint away = geom_scale (geom_unit (geom_sub (mouth->at, apex->at)), 0.8);
  double mm = geom_distance (mouth->at, apex->at);
  mouth->at = geom_add (mouth->at, away);
  mouth->in = geom_add (mouth->in, away);
  mouth->out = geom_add (mouth->out, away);
  model_history_put_panel (bench->history, panel);
  for (guint i = 0; i < bench->doc->joins->len; i++)
  {
    const ModelJoin *old = g_ptr_array_index (bench->doc->joins, i);
    if (old->a.panel_id != belt->id || old->b.panel_id != belt->id)
      continue;
    ModelJoin *join = model_join_copy (old);
    join->tolerance_mm = 0.3;
    model_history_put_join (bench->history, join);
  }
  Card card = open_card (bench);
  g_autofree char *legs
    = g_strdup_printf ("%.1f\u2009mm and %.1f\u2009mm, do not agree: 0.8\u2009mm apart", mm, mm + 0.8);
  g_assert_cmpstr (card_says (&card, "legs"), ==, legs);
  g_assert_true (gtk_widget_has_css_class (app_dart_card_field (card.dart, "legs"), "pw-madder"));
  g_assert_nonnull (strstr (card_says (&card, "cap"), "a step of 0.8"));
  close_card (&card);
}

static void
test_card_typed (Bench *bench, gconstpointer data)
{
  static const struct
  {
    const char *field, *text;
    double mm, deg;
  } rows[]
    = { { "intake", "11", 11.0, 0.0 }, { "intake", "1.9 cm", 19.0, 0.0 }, { "angle", "20°", 0.0, 20.0 } };
  guint leg = put_dart (bench);
  Card card = open_card (bench);
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    ModelReworkDart dart;
    GtkWidget *field = card_field (&card, rows[i].field);
    g_autofree char *old = g_strdup (gtk_editable_get_text (GTK_EDITABLE (field)));
    g_autofree char *before = all_bytes (bench), *plain = bytes (bench), *looked = NULL, *left = NULL;
    for (int round = 0; round < 2; round++)
    {
      gtk_widget_grab_focus (field);
      gtk_editable_set_text (GTK_EDITABLE (field), rows[i].text);
      g_assert_nonnull (app_session_previewed (bench->session));
      looked = all_bytes (bench);
      g_assert_cmpstr (looked, ==, before);
      g_clear_pointer (&looked, g_free);
      if (round == 0)
      {
        press_key (field, GDK_KEY_Escape, 0);
        g_assert_null (app_session_previewed (bench->session));
        g_assert_cmpstr (gtk_editable_get_text (GTK_EDITABLE (field)), ==, old);
        left = all_bytes (bench);
        g_assert_cmpstr (left, ==, before);
      }
    }
    EngineRemedy *ghost = engine_remedy_copy (app_session_previewed (bench->session));
    g_signal_emit_by_name (field, "activate");
    settle (bench, &card);
    const ModelPanel *belt = test_sample_panel (bench->doc, "Belt");
    g_assert_null (app_session_previewed (bench->session));
    assert_same_panel (belt, ghost_panel (ghost, belt->id));
    engine_remedy_free (ghost);
    g_assert_true (model_rework_read_dart (belt, leg, &dart));
    if (rows[i].mm > 0.0)
      g_assert_cmpfloat_with_epsilon (dart.intake_mm, rows[i].mm, 1e-6);
    else
      g_assert_cmpfloat_with_epsilon (dart.intake_deg, rows[i].deg, 1e-6);
    assert_one_step (bench, plain);
    model_history_undo (bench->history);
    settle (bench, &card);
  }
  /* What no dart can be is refused in words, and nothing is changed. */
  g_autofree char *before = bytes (bench), *after = NULL;
  GtkWidget *field = card_field (&card, "intake");
  gtk_editable_set_text (GTK_EDITABLE (field), "140");
  g_assert_null (app_session_previewed (bench->session));
  g_assert_true (gtk_widget_get_visible (app_dart_card_field (card.dart, "trouble")));
  g_signal_emit_by_name (field, "activate");
  after = bytes (bench);
  g_assert_cmpstr (after, ==, before);
  close_card (&card);
}

static bool
menu_has (GMenu *menu, const char *label)
{
  for (int i = 0; i < g_menu_model_get_n_items (G_MENU_MODEL (menu)); i++)
  {
    g_autofree char *text = NULL;
    if (g_menu_model_get_item_attribute (G_MENU_MODEL (menu), i, "label", "s", &text)
        && g_str_equal (text, label))
      return true;
  }
  return false;
}

/* From the card the same deeds as from the paper's menu: about its apex a dart keeps its angle, two of them
 * become a seam. */
static void
test_card_deeds (Bench *bench, gconstpointer data)
{
  guint leg = put_dart (bench);
  const ModelPanel *belt = test_sample_panel (bench->doc, "Belt");
  ModelReworkDart was, now;
  Card card = open_card (bench);
  g_autoptr (GMenu) move = g_menu_new ();
  g_autoptr (GMenu) divide = g_menu_new ();
  g_autoptr (GMenu) seam = g_menu_new ();
  g_assert_true (model_rework_read_dart (belt, leg, &was));
  g_assert_false (gtk_widget_get_visible (app_dart_card_field (card.dart, "seam")));
  app_dart_targets (bench->doc, belt->id, leg, move, divide, seam);
  g_assert_true (menu_has (move, "right"));
  /* Two parts of the foot, the mouth's chord from their sum: (150 - 14) / 2, as near as the cap bends them.
   */
  g_assert_cmpint (g_menu_model_get_n_items (G_MENU_MODEL (move)), ==, 5);
  g_assert_cmpint (g_menu_model_get_n_items (G_MENU_MODEL (seam)), ==, 0);
  g_assert_true (menu_has (move, "foot, 68.2\u2009mm long") || menu_has (move, "foot, 68.1\u2009mm long")
                 || menu_has (move, "foot, 68.0\u2009mm long"));

  g_autofree char *before = bytes (bench), *shown = NULL;
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (card.dart), "dart.closed", NULL));
  settle (bench, &card);
  g_assert_true (bench->canvas->dart_closed);
  shown = bytes (bench);
  g_assert_cmpstr (shown, ==, before);
  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (card.dart), "dart.closed", NULL));
  g_assert_false (bench->canvas->dart_closed);

  g_assert_true (gtk_widget_activate_action_variant (
    GTK_WIDGET (card.dart), "dart.move",
    g_variant_new_uint32 (test_sample_edge (bench->doc, "Belt", "right")->id)));
  settle (bench, &card);
  g_assert_true (model_rework_read_dart (test_sample_panel (bench->doc, "Belt"), leg, &now));
  g_assert_cmpfloat_with_epsilon (now.intake_deg, was.intake_deg, 1e-6);
  g_assert_cmpstr (card_says (&card, "edge"), ==, "right");
  assert_one_step (bench, before);
  model_history_undo (bench->history);
  app_session_select_edge (bench->session, belt->id, belt->side, leg, false);
  settle (bench, &card);

  g_assert_true (gtk_widget_activate_action_variant (
    GTK_WIDGET (card.dart), "dart.divide",
    g_variant_new_uint32 (test_sample_edge (bench->doc, "Belt", "right")->id)));
  settle (bench, &card);
  g_assert_true (gtk_widget_get_visible (app_dart_card_field (card.dart, "seam")));
  assert_one_step (bench, before);
  model_history_undo (bench->history);
  app_session_select_edge (bench->session, belt->id, belt->side, leg, false);
  settle (bench, &card);

  g_assert_true (gtk_widget_activate_action (GTK_WIDGET (card.dart), "dart.remove", NULL));
  settle (bench, &card);
  g_assert_false (gtk_widget_get_visible (GTK_WIDGET (card.dart)));
  g_assert_cmpfloat_with_epsilon (area (test_sample_panel (bench->doc, "Belt")), 150.0 * 60.0, 1e-6);
  assert_one_step (bench, before);
  close_card (&card);
}

int
main (int argc, char **argv)
{
  gtk_init ();
  g_test_init (&argc, &argv, NULL);
  static const struct
  {
    const char *path;
    void (*run) (Bench *, gconstpointer);
  } rows[] = { { "/app/tool-cut/pulled", test_cut_pulled },
               { "/app/tool-cut/through-a-point", test_cut_through },
               { "/app/tool-cut/stroke", test_cut_stroke },
               { "/app/tool-cut/left", test_cut_left },
               { "/app/tool-dart/taken-in", test_dart },
               { "/app/tool-dart/left", test_dart_left },
               { "/app/tool-dart/moved", test_dart_moved },
               { "/app/tool-dart/slash", test_slash },
               { "/app/dart-menu/dart", test_menu_dart },
               { "/app/dart-menu/level", test_menu_level },
               { "/app/dart-menu/ends-meet", test_menu_meet },
               { "/app/dart-card/tells", test_card_tells },
               { "/app/dart-card/disagrees", test_card_disagrees },
               { "/app/dart-card/typed", test_card_typed },
               { "/app/dart-card/deeds", test_card_deeds },
               { "/app/ghost/dropped", test_ghost_dropped },
               { "/app/ghost/keeps-clear", test_ghost_clear },
               { "/app/ghost/pulled", test_ghost_pulled },
               { "/app/ghost/figures", test_ghost_figures },
               { "/app/ghost/stepped", test_ghost_stepped } };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    g_test_add (rows[i].path, Bench, NULL, set_up, rows[i].run, tear_down);
  for (guint i = 0; i < G_N_ELEMENTS (seen); i++)
  {
    g_autofree char *path = g_strdup_printf ("/app/ghost/is-what-comes/%u", i);
    g_test_add (path, Bench, &seen[i], set_up, test_ghost, tear_down);
  }
  return g_test_run ();
}
