/* Revisions, fittings and another wearer in the real window: named, compared, shown beneath, gone back to;
 * each deed one step of undo.
 *
 * Wanted values follow from the edits made here. */
#include "house.h"

#include "app/aside.h"
#include "app/fitting-pane.h"
#include "app/list-pane.h"
#include "app/meet-card.h"
#include "app/refit-pane.h"
#include "app/revisions-pane.h"
#include "app/unit-entry.h"
#include "engine/girth.h"
#include "engine/starter.h"
#include "model/file.h"
#include "model/repair.h"
#include "model/shape.h"
#include "output/changes.h"
#include "support/sample-document.h"

#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

/* Takes DOC. */
static AppWindow *
window_with (ModelDocument *doc)
{
  AppWindow *window = app_window_new (GTK_APPLICATION (application));
  gtk_window_set_default_size (GTK_WINDOW (window), 1440, 900);
  gtk_window_present (GTK_WINDOW (window));
  app_window_show_document (window, doc, NULL, NULL);
  gint64 end = g_get_monotonic_time () + 5 * G_USEC_PER_SEC;
  while (!gtk_widget_get_mapped (GTK_WIDGET (app_window_panels_room (window)))
         && g_get_monotonic_time () < end)
    g_main_context_iteration (NULL, FALSE);
  spin ();
  return window;
}

static AppWindow *
window_new (void)
{
  return window_with (test_sample_document ());
}

static AppAside *
aside_of (AppWindow *window)
{
  return app_panels_room_aside (app_window_panels_room (window));
}

static AppRevisionsPane *
open_revisions (AppWindow *window)
{
  gtk_widget_activate_action (GTK_WIDGET (window), "win.revisions", NULL);
  spin ();
  g_assert_cmpstr (app_aside_shown (aside_of (window)), ==, "revisions");
  return APP_REVISIONS_PANE (app_aside_pane (aside_of (window), "revisions"));
}

/* The corner where an edge of a panel begins, moved. */
static void
move_corner (AppSession *session, const char *panel_name, const char *edge_name, ModelSide side, GeomPoint by)
{
  const ModelDocument *doc = app_session_document (session);
  ModelPanel *panel = model_panel_copy (test_sample_panel (doc, panel_name));
  guint node = model_edge_node (test_sample_edge (doc, panel_name, edge_name), 0)->id;
  model_shape_move_nodes (panel, side, &node, 1, by);
  model_repair_put_panel (app_session_history (session), panel);
}

static double
node_x (const ModelDocument *doc, const char *panel, const char *edge, ModelSide side)
{
  GeomPoint at = { NAN, NAN };
  model_shape_where (test_sample_panel (doc, panel), side,
                     model_edge_node (test_sample_edge (doc, panel, edge), 0)->id, MODEL_HANDLE_NONE, &at);
  return at.x;
}

static void
test_named_compared_gone_back (void)
{
  AppWindow *window = window_new ();
  AppSession *session = app_window_session (window);
  const ModelDocument *doc = app_session_document (session);
  ModelHistory *history = app_session_history (session);
  AppCanvas *canvas = app_panels_room_canvas (app_window_panels_room (window));
  AppRevisionsPane *pane = open_revisions (window);
  g_assert_cmpuint (app_revisions_pane_name (pane, "  ", ""), ==, 0);
  g_assert_cmpuint (app_revisions_pane_name (pane, "4, before the fitting", "mock-up in foam"), !=, 0);
  g_assert_cmpuint (doc->revisions->len, ==, 1);
  g_assert_cmpstr (doc->head->revision, ==, "4, before the fitting");
  g_assert_cmpuint (app_revisions_pane_change_count (pane), ==, 0);

  /* "right" of the belt begins at (150, -110): 5 out, so the foot is 155 long and the right edge slants. */
  move_corner (session, "Belt", "right", MODEL_SIDE_CENTRE, geom_point (5, 0));
  spin ();
  g_assert_cmpuint (app_revisions_pane_change_count (pane), ==, 2);
  g_autofree char *text = app_revisions_pane_text (pane);
  g_assert_nonnull (strstr (text, "Belt: foot"));
  g_assert_nonnull (strstr (text, "5.0\u2009mm longer: 155.0\u2009mm, was 150.0\u2009mm."));

  g_assert_cmpuint (app_canvas_beneath_count (canvas), ==, 0);
  app_revisions_pane_show_beneath (pane, true);
  spin ();
  g_assert_cmpuint (app_canvas_beneath_count (canvas), ==, 1);

  guint steps = model_history_length (history);
  g_assert_true (app_revisions_pane_go_back (pane, test_sample_panel (doc, "Belt")->id, MODEL_SIDE_CENTRE));
  spin ();
  g_assert_cmpuint (model_history_length (history), ==, steps + 1);
  g_assert_cmpuint (app_revisions_pane_change_count (pane), ==, 0);
  g_assert_cmpuint (app_canvas_beneath_count (canvas), ==, 0);
  model_history_undo (history);
  spin ();
  g_assert_cmpuint (app_revisions_pane_change_count (pane), ==, 2);

  /* Undone up to before the name was given: nothing beneath, nothing chosen, no crash. */
  model_history_go_to (history, 0);
  spin ();
  g_assert_cmpuint (doc->revisions->len, ==, 0);
  g_assert_cmpuint (app_canvas_beneath_count (canvas), ==, 0);
  g_assert_cmpuint (app_revisions_pane_change_count (pane), ==, 0);
  model_history_go_to (history, model_history_length (history) - 1);
  spin ();
  g_assert_cmpuint (app_revisions_pane_change_count (pane), ==, 2);
  drop_window (window);
}

/* Both sides of the front were changed; one goes back, the other stays. */
static void
test_one_side_goes_back (void)
{
  AppWindow *window = window_new ();
  AppSession *session = app_window_session (window);
  const ModelDocument *doc = app_session_document (session);
  AppRevisionsPane *pane = open_revisions (window);
  app_revisions_pane_name (pane, "first", "");
  double right_before = node_x (doc, "Front", "side", MODEL_SIDE_RIGHT);
  move_corner (session, "Front", "side", MODEL_SIDE_LEFT, geom_point (7.5, 0));
  double left = node_x (doc, "Front", "side", MODEL_SIDE_LEFT);
  spin ();
  guint both = app_revisions_pane_change_count (pane);
  g_assert_cmpuint (both, ==, 2);
  g_assert_true (app_revisions_pane_go_back (pane, test_sample_panel (doc, "Front")->id, MODEL_SIDE_RIGHT));
  g_assert_cmpfloat (fabs (node_x (doc, "Front", "side", MODEL_SIDE_LEFT) - left), <=, 1e-9);
  g_assert_cmpfloat (fabs (node_x (doc, "Front", "side", MODEL_SIDE_RIGHT) - right_before), <=, 1e-9);
  g_assert_true (test_sample_panel (doc, "Front")->own_sides);
  drop_window (window);
}

static void
test_list_leaves_as_pdf (void)
{
  AppWindow *window = window_new ();
  AppSession *session = app_window_session (window);
  AppRevisionsPane *pane = open_revisions (window);
  app_revisions_pane_name (pane, "first", "");
  move_corner (session, "Belt", "right", MODEL_SIDE_CENTRE, geom_point (5, 0));
  spin ();
  g_autoptr (GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp (NULL, &error);
  g_autofree char *path = g_build_filename (folder, "changes.pdf", NULL), *data = NULL;
  gsize length = 0;
  g_assert_true (app_revisions_pane_write_pdf (pane, path, &error));
  g_assert_no_error (error);
  g_assert_true (g_file_get_contents (path, &data, &length, NULL));
  g_assert_cmpuint (length, >, 1000);
  g_assert_true (g_str_has_prefix (data, "%PDF-"));
  g_remove (path);
  g_rmdir (folder);
  drop_window (window);
}

/* The printer gets the pages of the PDF: as many, and with ink on each. */
static void
test_list_prints_as_it_leaves (void)
{
  g_autoptr (ModelDocument) was = test_sample_document (), now = model_document_copy (was);
  for (guint i = 0; i < now->measures->len; i++)
    ((ModelMeasure *)g_ptr_array_index (now->measures, i))->wearer_mm += 10.0;
  for (guint i = 0; i < now->panels->len; i++)
    model_shape_set_edge_length (g_ptr_array_index (now->panels, i), MODEL_SIDE_CENTRE,
                                 model_panel_edge (g_ptr_array_index (now->panels, i), 1)->id, 444.0, false);
  g_autoptr (GArray) differ = engine_compare (was, now),
                     changes = g_array_new (FALSE, FALSE, sizeof (EngineChange));
  g_assert_cmpuint (differ->len, >, 0);
  while (changes->len < 60)
    g_array_append_vals (changes, differ->data, differ->len);
  guint pages = output_changes_page_count (was, "first", now, changes);
  g_assert_cmpuint (pages, >=, 2);
  g_autoptr (GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp (NULL, &error);
  g_autofree char *path = g_build_filename (folder, "changes.pdf", NULL), *data = NULL;
  g_assert_true (output_changes_write_pdf (was, "first", now, changes, path, &error));
  g_autofree char *command = g_strdup_printf ("pdfinfo %s", path),
                  *wanted = g_strdup_printf ("Pages:           %u", pages);
  g_assert_true (g_spawn_command_line_sync (command, &data, NULL, NULL, &error));
  g_assert_nonnull (strstr (data, wanted));
  EnginePaper paper = output_changes_paper (now);
  for (guint page = 0; page < pages; page++)
  {
    int w = (int)paper.width_mm, h = (int)paper.height_mm;
    cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_A8, w, h);
    cairo_t *cr = cairo_create (surface);
    output_changes_draw_page (cr, was, "first", now, changes, page, pages);
    cairo_destroy (cr);
    cairo_surface_flush (surface);
    guint inked = 0;
    for (int y = 0; y < h; y++)
      for (int x = 0; x < w; x++)
        inked
          += cairo_image_surface_get_data (surface)[y * cairo_image_surface_get_stride (surface) + x] > 64;
    cairo_surface_destroy (surface);
    g_assert_cmpuint (inked, >, 100);
  }
  g_remove (path);
  g_rmdir (folder);
}

/* ---- another wearer ---- */

static guint
measure_named (const ModelDocument *doc, const char *key)
{
  for (guint i = 0; i < doc->measures->len; i++)
    if (g_strcmp0 (((const ModelMeasure *)g_ptr_array_index (doc->measures, i))->key, key) == 0)
      return ((const ModelMeasure *)g_ptr_array_index (doc->measures, i))->id;
  return 0;
}

static double
sum_of (AppSession *session, const char *name)
{
  const ModelDocument *doc = app_session_document (session);
  for (guint i = 0; i < doc->lines->len; i++)
  {
    const ModelLine *line = g_ptr_array_index (doc->lines, i);
    if (strcmp (line->name, name) == 0)
      return engine_review_line (app_session_review (session), line->id)->sum_mm;
  }
  return NAN;
}

/* A girth is as much longer as the wearer's is: what lies between stays.  What is off, or not spoken of,
 * stays. */
static void
test_fits_another_wearer (void)
{
  const EngineStarter *torso = engine_starter_named ("torso");
  double values[ENGINE_STARTER_VALUES];
  engine_starter_defaults (torso, values);
  AppWindow *window = window_with (engine_starter_make (torso, values, NULL));
  AppSession *session = app_window_session (window);
  const ModelDocument *doc = app_session_document (session);
  ModelHistory *history = app_session_history (session);
  guint steps = model_history_length (history);
  double chest = sum_of (session, "Chest line"), waist = sum_of (session, "Waist line");
  gtk_widget_activate_action (GTK_WIDGET (window), "win.refit", NULL);
  spin ();
  AppRefitPane *pane = APP_REFIT_PANE (app_aside_pane (aside_of (window), "refit"));
  app_refit_pane_enter (pane, measure_named (doc, "chest_girth"), 1010.0);
  app_refit_pane_enter (pane, measure_named (doc, "waist_girth"), 900.0);
  g_assert_cmpuint (engine_refit_proposals (app_refit_pane_refit (pane))->len, ==, 2);
  g_assert_nonnull (app_session_previewed (session));
  g_assert_cmpuint (model_history_length (history), ==, steps);
  g_assert_cmpfloat_with_epsilon (sum_of (session, "Chest line"), chest, 1e-9);
  app_refit_pane_choose (pane, 1, false, 0.0);
  app_refit_pane_take (pane);
  spin ();
  g_assert_cmpuint (model_history_length (history), ==, steps + 1);
  g_assert_cmpfloat_with_epsilon (sum_of (session, "Chest line"), chest + 70.0, 1e-4);
  g_assert_cmpfloat_with_epsilon (sum_of (session, "Waist line"), waist, 1e-4);
  g_assert_cmpfloat (model_document_measure (doc, measure_named (doc, "chest_girth"))->wearer_mm, ==, 1010.0);
  model_history_undo (history);
  spin ();
  g_assert_cmpfloat_with_epsilon (sum_of (session, "Chest line"), chest, 1e-9);
  /* Closed without taking, nothing is left of it. */
  app_refit_pane_enter (pane, measure_named (doc, "chest_girth"), 900.0);
  app_aside_show (aside_of (window), NULL);
  g_assert_null (app_session_previewed (session));
  g_assert_null (app_refit_pane_refit (pane));
  drop_window (window);
}

/* A row of the body room shows its line on the panels. */
static void
test_line_is_shown (void)
{
  const EngineStarter *torso = engine_starter_named ("torso");
  double values[ENGINE_STARTER_VALUES];
  engine_starter_defaults (torso, values);
  AppWindow *window = window_with (engine_starter_make (torso, values, NULL));
  AppSession *session = app_window_session (window);
  const ModelLine *line = g_ptr_array_index (app_session_document (session)->lines, 1);
  app_window_show_room (window, "body");
  spin ();
  g_autoptr (GVariant) before = g_action_group_get_action_state (G_ACTION_GROUP (window), "room");
  g_assert_cmpstr (g_variant_get_string (before, NULL), ==, "body");
  gtk_widget_activate_action (GTK_WIDGET (window), "win.show-line", "u", line->id);
  spin ();
  g_assert_cmpuint (app_session_selection (session)->line_id, ==, line->id);
  g_autoptr (GVariant) after = g_action_group_get_action_state (G_ACTION_GROUP (window), "room");
  g_assert_cmpstr (g_variant_get_string (after, NULL), ==, "panels");
  drop_window (window);
}

static void
test_another_document_beneath (void)
{
  AppWindow *window = window_new ();
  AppCanvas *canvas = app_panels_room_canvas (app_window_panels_room (window));
  AppRevisionsPane *pane = open_revisions (window);
  g_autofree char *path
    = g_build_filename (g_getenv ("PW_SOURCE_ROOT"), "data", "caravan-bracer.panelwright", NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;
  g_autofree char *before = model_document_to_data (app_session_document (app_window_session (window)), NULL);
  g_assert_true (app_revisions_pane_lay_file (pane, file, &error));
  g_assert_no_error (error);
  spin ();
  g_autoptr (ModelDocument) other = model_document_load (file, NULL, NULL);
  g_assert_cmpuint (app_canvas_beneath_count (canvas), >=, other->panels->len);
  g_autofree char *after = model_document_to_data (app_session_document (app_window_session (window)), NULL);
  g_assert_cmpstr (before, ==, after);
  /* Closed with the window's document, and another opened: nothing of it is left. */
  app_window_set_session (window, NULL);
  spin ();
  g_assert_cmpuint (app_canvas_beneath_count (canvas), ==, 0);
  gtk_window_destroy (GTK_WINDOW (window));
  spin ();
}

static void
test_aside_opens_and_closes (void)
{
  AppWindow *window = window_new ();
  open_revisions (window);
  gtk_widget_activate_action (GTK_WIDGET (window), "win.revisions", NULL);
  g_assert_null (app_aside_shown (aside_of (window)));
  g_assert_false (gtk_widget_get_visible (GTK_WIDGET (aside_of (window))));
  drop_window (window);
}

/* The belt's foot 8 too high: previewed, nothing changed; taken, 8 lower in one step, and the note knows. */
static void
test_fit_note_is_answered (void)
{
  AppWindow *window = window_new ();
  AppSession *session = app_window_session (window);
  const ModelDocument *doc = app_session_document (session);
  ModelHistory *history = app_session_history (session);
  gtk_widget_activate_action (GTK_WIDGET (window), "win.fitting", NULL);
  spin ();
  AppFittingPane *pane = APP_FITTING_PANE (app_aside_pane (aside_of (window), "fitting"));
  guint belt = test_sample_panel (doc, "Belt")->id;
  app_session_select_edge (session, belt, MODEL_SIDE_CENTRE, test_sample_edge (doc, "Belt", "foot")->id,
                           false);
  guint id = app_fitting_pane_note (pane, MODEL_FIT_TOO_SHORT, 8.0, "over the hip");
  spin ();
  g_assert_cmpuint (app_fitting_pane_offer_count (pane), >=, 1);
  g_assert_nonnull (app_session_previewed (session));
  GeomPoint at = model_edge_node (test_sample_edge (doc, "Belt", "foot"), 0)->at;
  g_assert_cmpfloat (at.y, ==, -110.0);
  guint steps = model_history_length (history);
  app_fitting_pane_take (pane);
  spin ();
  g_assert_cmpuint (model_history_length (history), ==, steps + 1);
  at = model_edge_node (test_sample_edge (doc, "Belt", "foot"), 0)->at;
  g_assert_cmpfloat (fabs (at.y + 118.0), <=, 1e-9);
  g_assert_cmpstr (model_document_fit_note (doc, id)->done, !=, "");
  g_assert_cmpuint (app_fitting_pane_offer_count (pane), ==, 0);
  model_history_undo (history);
  spin ();
  g_assert_cmpstr (model_document_fit_note (doc, id)->done, ==, "");
  gtk_widget_activate_action (GTK_WIDGET (window), "win.fitting", NULL);
  spin ();
  g_assert_null (app_session_previewed (session));
  drop_window (window);
}

/* A note is changed and taken away again, each one step of undo; what was found wrong stays where it was
 * seen. */
static void
test_fit_note_is_changed (void)
{
  AppWindow *window = window_new ();
  AppSession *session = app_window_session (window);
  const ModelDocument *doc = app_session_document (session);
  gtk_widget_activate_action (GTK_WIDGET (window), "win.fitting", NULL);
  spin ();
  AppFittingPane *pane = APP_FITTING_PANE (app_aside_pane (aside_of (window), "fitting"));
  const guint belt = test_sample_panel (doc, "Belt")->id;
  app_session_select_panel (session, belt, MODEL_SIDE_CENTRE, false);
  const guint id = app_fitting_pane_note (pane, MODEL_FIT_TOO_SHORT, 8.0, "over the hip");
  spin ();
  app_fitting_pane_edit (pane);
  app_fitting_pane_type (pane, MODEL_FIT_TOO_WIDE, 12.0, "at the back");
  spin ();
  const ModelFitNote *note = model_document_fit_note (doc, id);
  g_assert_cmpuint (doc->fit_notes->len, ==, 1);
  g_assert_cmpint (note->seen, ==, MODEL_FIT_TOO_WIDE);
  g_assert_cmpfloat (note->amount_mm, ==, 12.0);
  g_assert_cmpstr (note->text, ==, "at the back");
  g_assert_cmpuint (note->panel_id, ==, belt);
  /* Moved to an edge, back by undo, and nowhere while the same thing is chosen. */
  const guint foot = test_sample_edge (doc, "Belt", "foot")->id;
  app_fitting_pane_choose (pane, id);
  app_session_select_edge (session, belt, MODEL_SIDE_CENTRE, foot, false);
  app_fitting_pane_move (pane);
  spin ();
  g_assert_cmpuint (model_document_fit_note (doc, id)->edge_id, ==, foot);
  g_assert_cmpfloat (model_document_fit_note (doc, id)->amount_mm, ==, 12.0);
  model_history_undo (app_session_history (session));
  g_assert_cmpuint (model_document_fit_note (doc, id)->edge_id, ==, 0);
  app_session_select_panel (session, belt, MODEL_SIDE_CENTRE, false);
  spin ();
  /* The next one is a new one again. */
  app_fitting_pane_type (pane, MODEL_FIT_GAPS_BY, 3.0, "");
  spin ();
  g_assert_cmpuint (doc->fit_notes->len, ==, 2);
  app_fitting_pane_choose (pane, id);
  app_fitting_pane_remove (pane);
  spin ();
  g_assert_cmpuint (doc->fit_notes->len, ==, 1);
  g_assert_null (model_document_fit_note (doc, id));
  model_history_undo (app_session_history (session));
  g_assert_cmpfloat (model_document_fit_note (doc, id)->amount_mm, ==, 12.0);
  drop_window (window);
}

/* Front and side are 6 mm apart at the hem on the left, 2 mm on the right, and meet at the armhole.  Half of
 * it goes to each: the front's corner slides along its hem from 150 to 153, on the other side from -150 to
 * -151; the side's from 200 to 197 and, its mirror being the paper's middle, from -200 to -199. */
static void
test_ends_meet (void)
{
  AppWindow *window = window_new ();
  AppSession *session = app_window_session (window);
  const ModelDocument *doc = app_session_document (session);
  gtk_widget_activate_action (GTK_WIDGET (window), "win.fitting", NULL);
  spin ();
  AppMeetCard *card = APP_MEET_CARD (
    app_fitting_pane_meet (APP_FITTING_PANE (app_aside_pane (aside_of (window), "fitting"))));
  g_assert_false (gtk_widget_get_visible (GTK_WIDGET (card)));
  app_session_select_edge (session, test_sample_panel (doc, "Front")->id, MODEL_SIDE_LEFT,
                           test_sample_edge (doc, "Front", "side")->id, false);
  spin ();
  g_assert_true (gtk_widget_get_visible (GTK_WIDGET (card)));
  g_assert_null (app_session_previewed (session));
  static const double typed[2] = { 6.0, 2.0 };
  for (int right = 0; right < 2; right++)
  {
    GtkWidget *field = app_meet_card_field (card, right == 0, false);
    app_unit_entry_set_mm (APP_UNIT_ENTRY (field), typed[right]);
    g_signal_emit_by_name (field, "committed", typed[right]);
  }
  g_assert_nonnull (app_session_previewed (session));
  /* The hem was as long as the top of the belt. */
  g_assert_nonnull (strstr (app_meet_card_says (card), "Join D would differ by 3.0\u2009mm"));
  g_assert_cmpfloat (node_x (doc, "Front", "side", MODEL_SIDE_LEFT), ==, 150.0);
  app_meet_card_take (card);
  spin ();
  g_assert_null (app_session_previewed (session));
  g_assert_cmpfloat_with_epsilon (node_x (doc, "Front", "side", MODEL_SIDE_LEFT), 153.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (node_x (doc, "Front", "side", MODEL_SIDE_RIGHT), -151.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (node_x (doc, "Side", "hem", MODEL_SIDE_LEFT), 197.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (node_x (doc, "Side", "hem", MODEL_SIDE_RIGHT), -199.0, 1e-9);
  model_history_undo (app_session_history (session));
  g_assert_cmpfloat_with_epsilon (node_x (doc, "Front", "side", MODEL_SIDE_LEFT), 150.0, 1e-9);
  drop_window (window);
}

/* The list has every panel, finds by name whatever the case, follows a new name and an undo, and chooses with
 * the paper. */
static void
test_panels_in_a_list (void)
{
  AppWindow *window = window_new ();
  AppSession *session = app_window_session (window);
  const ModelDocument *doc = app_session_document (session);
  const guint all = doc->panels->len;

  gtk_widget_activate_action (GTK_WIDGET (window), "win.panel-list", NULL);
  spin ();
  g_assert_cmpstr (app_aside_shown (aside_of (window)), ==, "panel-list");
  AppListPane *pane = APP_LIST_PANE (app_aside_pane (aside_of (window), "panel-list"));
  g_assert_cmpuint (app_list_pane_count (pane), ==, all);
  g_autofree char *first = app_list_pane_name (pane, 0);
  g_assert_cmpstr (first, ==, ((ModelPanel *)g_ptr_array_index (doc->panels, 0))->name);
  app_list_pane_search (pane, "FRONT");
  g_assert_cmpuint (app_list_pane_count (pane), ==, 1);
  g_autofree char *found = app_list_pane_name (pane, 0);
  g_assert_cmpstr (found, ==, "Front");
  app_list_pane_search (pane, "no such panel");
  g_assert_cmpuint (app_list_pane_count (pane), ==, 0);
  g_assert_null (app_list_pane_name (pane, 0));
  app_list_pane_search (pane, "");

  /* A name that another panel has is not taken. */
  const guint front = test_sample_panel (doc, "Front")->id;
  app_list_pane_rename (pane, front, "Belt");
  app_list_pane_rename (pane, front, "  ");
  g_assert_cmpuint (test_sample_panel (doc, "Front")->id, ==, front);
  app_list_pane_rename (pane, front, " Breast ");
  g_assert_cmpuint (test_sample_panel (doc, "Breast")->id, ==, front);
  for (int i = 0; i < 20; i++)
  {
    g_usleep (5000);
    spin ();
  }
  app_list_pane_search (pane, "breast");
  g_assert_cmpuint (app_list_pane_count (pane), ==, 1);
  app_list_pane_search (pane, "");
  model_history_remove_panel (app_session_history (session), test_sample_panel (doc, "Breast")->id);
  for (int i = 0; i < 20; i++)
  {
    g_usleep (5000);
    spin ();
  }
  g_assert_cmpuint (app_list_pane_count (pane), ==, all - 1);
  model_history_undo (app_session_history (session));
  for (int i = 0; i < 20; i++)
  {
    g_usleep (5000);
    spin ();
  }
  g_assert_cmpuint (app_list_pane_count (pane), ==, all);
  drop_window (window);
}

int
main (int argc, char **argv)
{
  house_open (&argc, &argv);
  g_test_add_func ("/app/revisions/named-compared-gone-back", test_named_compared_gone_back);
  g_test_add_func ("/app/revisions/one-side-goes-back", test_one_side_goes_back);
  g_test_add_func ("/app/revisions/list-leaves-as-pdf", test_list_leaves_as_pdf);
  g_test_add_func ("/app/revisions/list-prints-as-it-leaves", test_list_prints_as_it_leaves);
  g_test_add_func ("/app/refit/fits-another-wearer", test_fits_another_wearer);
  g_test_add_func ("/app/body/line-is-shown", test_line_is_shown);
  g_test_add_func ("/app/revisions/another-document-beneath", test_another_document_beneath);
  g_test_add_func ("/app/revisions/aside-opens-and-closes", test_aside_opens_and_closes);
  g_test_add_func ("/app/revisions/fit-note-is-answered", test_fit_note_is_answered);
  g_test_add_func ("/app/revisions/fit-note-is-changed", test_fit_note_is_changed);
  g_test_add_func ("/app/revisions/ends-meet", test_ends_meet);
  g_test_add_func ("/app/list/panels", test_panels_in_a_list);
  return house_run ();
}
