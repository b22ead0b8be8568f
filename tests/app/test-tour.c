/* The guided tour and the hints: a step is noticed by what came of it, whoever did it and in whatever order,
 * and what did not happen is not claimed.  Everything is done by the keys, clicks and actions of the program.
 */
#include "bench.h"
#include "house.h"

#include "app/hints.h"
#include "app/number-entry.h"
#include "app/settings.h"
#include "app/tour.h"
#include "app/unit-entry.h"

#include <math.h>

typedef struct Guided
{
  Bench bench; /* the hand; its canvas is the window's */
  AppWindow *window;
  AppTour *tour;
  AppHints *hints;
} Guided;

static GtkWidget *
descendant (GtkWidget *widget, GType type)
{
  GtkWidget *found = G_TYPE_CHECK_INSTANCE_TYPE (widget, type) ? widget : NULL;
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL && found == NULL;
       child = gtk_widget_get_next_sibling (child))
    found = descendant (child, type);
  return found;
}

static void
act (Guided *g, const char *action)
{
  gtk_widget_activate_action (GTK_WIDGET (g->window), action, NULL);
  spin ();
}

static void
set_up (Guided *g, gconstpointer data)
{
  g_settings_set_int (app_settings (), "tour-steps", 0);
  g_settings_reset (app_settings (), "hints-shown");
  g_settings_reset (app_settings (), "tour-finished");
  g_object_set (gtk_settings_get_default (), "gtk-enable-animations", FALSE, NULL);
  g->window = app_window_new (GTK_APPLICATION (application));
  gtk_window_set_default_size (GTK_WINDOW (g->window), 1440, 900);
  gtk_window_present (GTK_WINDOW (g->window));
  act (g, "win.tour");
  g->tour = APP_TOUR (descendant (GTK_WIDGET (g->window), APP_TYPE_TOUR));
  g->hints = APP_HINTS (descendant (GTK_WIDGET (g->window), APP_TYPE_HINTS));
  g->bench.canvas = app_panels_room_canvas (app_window_panels_room (g->window));
  g_assert_true (wait_for (is_drawn, g->bench.canvas));
  spin ();
  g->bench.session = app_window_session (g->window);
  g->bench.doc = app_session_document (g->bench.session);
  g->bench.history = app_session_history (g->bench.session);
}

static void
clear_away (Guided *g, gconstpointer data)
{
  drop_window (g->window);
}

static guint
done_steps (Guided *g)
{
  guint bits = 0;
  for (int i = 0; i < APP_TOUR_COUNT; i++)
    bits |= app_tour_is_done (g->tour, (AppTourStep)i) ? 1U << i : 0;
  return bits;
}

#define BIT(step) (1U << (step))

/* The first place that has more than one remedy. */
static void
open_place_with_choice (Guided *g)
{
  AppFindingCard *card = app_panels_room_card (app_window_panels_room (g->window));
  for (int i = 0; i < 7 && (i == 0 || app_finding_card_remedy_count (card) < 2); i++)
    act (g, "win.next-place");
  g_assert_cmpuint (app_finding_card_remedy_count (card), >=, 2);
}

static void
bend_ringed_edge (Guided *g)
{
  /* Nothing chosen: the edge that is bent most, far from its corners. */
  app_session_select_none (g->bench.session);
  app_canvas_set_tool (g->bench.canvas, APP_TOOL_SHAPE);
  const GeomPoint at = g->bench.canvas->beckon;
  drag (&g->bench, at.x, at.y, at.x + 9.0, at.y + 7.0, GDK_CONTROL_MASK);
  spin ();
}

static void
type_length (Guided *g)
{
  const ModelPanel *panel = g_ptr_array_index (g->bench.doc->panels, 0);
  app_session_select_edge (g->bench.session, panel->id, panel->side, model_panel_edge (panel, 0)->id, false);
  app_canvas_key (g->bench.canvas, GDK_KEY_Return, 0);
  GtkWidget *field = app_number_entry_field (g->bench.canvas);
  g_assert_nonnull (field);
  gtk_editable_set_text (GTK_EDITABLE (field), "171.5");
  g_signal_emit_by_name (field, "activate");
  spin ();
}

static void
change_measure (Guided *g)
{
  const ModelMeasure *measure = g_ptr_array_index (g->bench.doc->measures, 0);
  AppMeasuresPane *pane = app_panels_room_measures (app_window_panels_room (g->window));
  GtkWidget *entry = app_measures_pane_field (pane, measure->id, false);
  GtkWidget *field = app_unit_entry_field (APP_UNIT_ENTRY (entry));
  gtk_editable_set_text (GTK_EDITABLE (field), "331");
  g_signal_emit_by_name (field, "activate");
  spin ();
}

static void
test_whole_way (Guided *g, gconstpointer data)
{
  AppFindingCard *card = app_panels_room_card (app_window_panels_room (g->window));
  g_assert_true (app_tour_is_shown (g->tour));
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_PLACE);
  g_assert_true (app_tour_target (g->tour)
                 == app_joins_pane_findings (app_panels_room_joins (app_window_panels_room (g->window))));

  act (g, "win.next-place");
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_REMEDY);
  open_place_with_choice (g);
  /* Another place shows another remedy, but none was compared. */
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_REMEDY);
  g_assert_true (app_tour_target (g->tour) == GTK_WIDGET (card));
  app_finding_card_key (card, GDK_KEY_Down);
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_TAKE);
  app_finding_card_key (card, GDK_KEY_Return);
  spin ();
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_UNDO);
  act (g, "win.undo");
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_UNDO);
  act (g, "win.redo");
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_BEND);

  g_assert_null (app_tour_target (g->tour));
  g_assert_true (g->bench.canvas->beckons);
  bend_ringed_edge (g);
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_LENGTH);
  type_length (g);
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_MEASURE);
  g_assert_false (g->bench.canvas->beckons);
  change_measure (g);
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_SHEETS);
  app_window_show_room (g->window, "sheets");
  spin ();
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_COUNT);
  g_assert_cmpuint (done_steps (g), ==, BIT (APP_TOUR_COUNT) - 1);
  g_assert_true (g_settings_get_boolean (app_settings (), "tour-finished"));
  /* The example is a copy without a file. */
  g_assert_null (app_session_file (g->bench.session));
}

static void
test_any_order (Guided *g, gconstpointer data)
{
  change_measure (g);
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_PLACE);
  g_assert_cmpuint (done_steps (g), ==, BIT (APP_TOUR_MEASURE));
  app_window_show_room (g->window, "sheets");
  spin ();
  /* In another room the way back is what is pointed at. */
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_PLACE);
  g_assert_nonnull (app_tour_target (g->tour));
  g_assert_true (
    gtk_widget_is_ancestor (app_tour_target (g->tour), gtk_window_get_titlebar (GTK_WINDOW (g->window))));
  app_window_show_room (g->window, "panels");
  type_length (g);
  g_assert_cmpuint (done_steps (g), ==,
                    BIT (APP_TOUR_MEASURE) | BIT (APP_TOUR_SHEETS) | BIT (APP_TOUR_LENGTH));
  /* The next open step after the bend is not one of those. */
  for (int i = 0; i < APP_TOUR_BEND; i++)
    app_tour_turn (g->tour, 1);
  bend_ringed_edge (g);
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_PLACE);
}

static void
test_not_claimed (Guided *g, gconstpointer data)
{
  /* A panel moved is no curve pulled; undone alone is not undone and done again. */
  const ModelPanel *panel = g_ptr_array_index (g->bench.doc->panels, 0);
  app_session_select_panel (g->bench.session, panel->id, panel->side, false);
  app_canvas_nudge (g->bench.canvas, 10.0, 0.0);
  act (g, "win.undo");
  g_assert_cmpuint (done_steps (g), ==, 0);
  act (g, "win.redo");
  g_assert_cmpuint (done_steps (g), ==, BIT (APP_TOUR_UNDO));
  /* A corner moved takes both its edges along, and bends neither between the same corners. */
  const ModelNode *node = &g_array_index (model_panel_edge (panel, 0)->nodes, ModelNode, 0);
  app_session_select_node (g->bench.session, panel->id, panel->side, node->id, false);
  app_canvas_nudge (g->bench.canvas, 0.0, 1.0);
  g_assert_cmpuint (done_steps (g), ==, BIT (APP_TOUR_UNDO));
}

static void
test_left_and_taken_up (Guided *g, gconstpointer data)
{
  act (g, "win.next-place");
  app_tour_leave (g->tour);
  g_assert_false (app_tour_is_shown (g->tour));
  g_assert_null (app_tour_target (g->tour));
  /* What is done without it is not counted: the maker goes another way. */
  change_measure (g);
  g_assert_cmpuint (done_steps (g), ==, BIT (APP_TOUR_PLACE));
  act (g, "win.tour");
  g_assert_true (app_tour_is_shown (g->tour));
  g_assert_true (app_window_session (g->window) == g->bench.session);
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_REMEDY);
  app_tour_turn (g->tour, -1);
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_PLACE);
  for (int i = 0; i < 20; i++)
    app_tour_turn (g->tour, 1);
  g_assert_cmpint (app_tour_step (g->tour), ==, APP_TOUR_COUNT);
}

/* Below the header, above the rooms: nothing of what it speaks of lies under it. */
static void
test_covers_nothing (Guided *g, gconstpointer data)
{
  for (int i = 0; i < APP_TOUR_COUNT; i++, app_tour_turn (g->tour, 1))
  {
    graphene_rect_t card, target, both;
    spin ();
    g_assert_true (gtk_widget_compute_bounds (GTK_WIDGET (g->tour), GTK_WIDGET (g->window), &card));
    GtkWidget *what = app_tour_target (g->tour);
    if (what == NULL)
      what = GTK_WIDGET (g->bench.canvas);
    g_assert_true (gtk_widget_compute_bounds (what, GTK_WIDGET (g->window), &target));
    g_assert_false (graphene_rect_intersection (&card, &target, &both) && both.size.height > 0.5f
                    && both.size.width > 0.5f);
  }
}

/* ---- hints ---- */

typedef struct Wanted
{
  AppHints *hints;
  const char *key;
} Wanted;

static bool
is_hinted (gpointer user)
{
  const Wanted *wanted = user;
  return g_strcmp0 (app_hints_shown (wanted->hints), wanted->key) == 0;
}

static void
test_hints (Guided *g, gconstpointer data)
{
  app_hints_set_patience (g->hints, 40);
  app_canvas_set_tool (g->bench.canvas, APP_TOOL_OUTLINE);
  g_assert_true (wait_for (is_hinted, &(Wanted) { g->hints, "outline-start" }));
  click (&g->bench, 700.0, 500.0, GDK_CONTROL_MASK);
  g_assert_true (wait_for (is_hinted, &(Wanted) { g->hints, "outline-grow" }));
  click (&g->bench, 760.0, 500.0, GDK_CONTROL_MASK);
  click (&g->bench, 760.0, 560.0, GDK_CONTROL_MASK);
  g_assert_true (wait_for (is_hinted, &(Wanted) { g->hints, "outline-close" }));
  app_canvas_key (g->bench.canvas, GDK_KEY_Return, 0);
  g_assert_true (wait_for (is_hinted, &(Wanted) { g->hints, NULL }));
  app_canvas_set_tool (g->bench.canvas, APP_TOOL_JOIN);
  g_assert_null (app_hints_shown (g->hints));
}

static void
let_pass (int ms)
{
  gint64 end = g_get_monotonic_time () + ms * 1000;
  while (g_get_monotonic_time () < end)
    if (!g_main_context_iteration (NULL, FALSE))
      g_usleep (2000);
}

static int
kept_count (const char *key)
{
  int count = 0;
  g_autoptr (GVariant) all = g_settings_get_value (app_settings (), "hints-shown");
  g_variant_lookup (all, key, "i", &count);
  return count;
}

static void
test_hints_wear_off (Guided *g, gconstpointer data)
{
  app_hints_set_patience (g->hints, 20);
  for (int i = 0; i < APP_HINTS_MOST; i++)
  {
    app_canvas_set_tool (g->bench.canvas, APP_TOOL_JOIN);
    g_assert_true (wait_for (is_hinted, &(Wanted) { g->hints, "join-start" }));
    app_canvas_set_tool (g->bench.canvas, APP_TOOL_CHOOSE);
  }
  g_assert_cmpint (kept_count ("join-start"), ==, APP_HINTS_MOST);
  app_canvas_set_tool (g->bench.canvas, APP_TOOL_JOIN);
  let_pass (200);
  g_assert_null (app_hints_shown (g->hints));
  g_settings_set_boolean (app_settings (), "hints", FALSE);
  app_canvas_set_tool (g->bench.canvas, APP_TOOL_STROKE);
  let_pass (200);
  g_assert_null (app_hints_shown (g->hints));
  g_settings_reset (app_settings (), "hints");
}

static void
test_locked_says_why (Guided *g, gconstpointer data)
{
  const ModelPanel *panel = g_ptr_array_index (g->bench.doc->panels, 0);
  ModelPanel *locked = model_panel_copy (panel);
  locked->locked = true;
  model_history_begin (g->bench.history, "lock");
  model_history_put_panel (g->bench.history, locked);
  model_history_end (g->bench.history);
  panel = g_ptr_array_index (g->bench.doc->panels, 0);
  /* Inside the outline: a quarter of the way from its box's middle would do for any simple panel. */
  GeomBox box = geom_box_empty ();
  for (guint e = 0; e < panel->edges->len; e++)
    box = geom_box_with_point (box, g_array_index (model_panel_edge (panel, e)->nodes, ModelNode, 0).at);
  const guint position = model_history_position (g->bench.history);
  app_canvas_set_tool (g->bench.canvas, APP_TOOL_CHOOSE);
  const double x = (box.x0 + box.x1) / 2.0 + 31.0, y = (box.y0 + box.y1) / 2.0;
  drag (&g->bench, x, y, x + 40.0, y, 0);
  g_assert_cmpuint (model_history_position (g->bench.history), ==, position);
  g_assert_nonnull (strstr (app_canvas_status (g->bench.canvas), panel->name));
  g_assert_nonnull (strstr (app_canvas_status (g->bench.canvas), "locked"));
}

int
main (int argc, char **argv)
{
  g_autofree char *examples = g_build_filename (g_getenv ("PW_SOURCE_ROOT"), "data", NULL);
  g_setenv ("PANELWRIGHT_DATA", examples, TRUE);
  house_open (&argc, &argv);
#define ADD(path, test) g_test_add ("/app/" path, Guided, NULL, set_up, test, clear_away)
  ADD ("tour/whole-way", test_whole_way);
  ADD ("tour/any-order", test_any_order);
  ADD ("tour/not-claimed", test_not_claimed);
  ADD ("tour/left-and-taken-up", test_left_and_taken_up);
  ADD ("tour/covers-nothing", test_covers_nothing);
  ADD ("hints/come-and-go", test_hints);
  ADD ("hints/wear-off", test_hints_wear_off);
  ADD ("hints/locked-says-why", test_locked_says_why);
#undef ADD
  return house_run ();
}
