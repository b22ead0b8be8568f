/* The sheet of a starter with real widgets: what is typed is what is drawn, and what is drawn is what is
 * taken.
 *
 * Lengths follow from Steiner's formula for parallel curves: a layer of thickness t outside a closed convex
 * girth adds 2 pi t.
 */
#include "house.h"

#include "app/settings.h"
#include "app/starter-cards.h"
#include "app/starter-sheet.h"
#include "app/unit-entry.h"
#include "engine/review.h"

#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

/* ---- helpers ---- */

static AppWindow *
window_new (void)
{
  AppWindow *window = app_window_new (GTK_APPLICATION (application));
  gtk_window_set_default_size (GTK_WINDOW (window), 1440, 900);
  gtk_window_present (GTK_WINDOW (window));
  spin ();
  return window;
}

/* The sheet over WINDOW; NULL: none. */
static AppStarterSheet *
sheet_over (AppWindow *window)
{
  GListModel *tops = gtk_window_get_toplevels ();
  for (guint i = 0; i < g_list_model_get_n_items (tops); i++)
  {
    g_autoptr (GtkWindow) top = g_list_model_get_item (tops, i);
    if (APP_IS_STARTER_SHEET (top) && gtk_window_get_transient_for (top) == GTK_WINDOW (window))
      return APP_STARTER_SHEET (top);
  }
  return NULL;
}

static AppStarterSheet *
sheet_new (AppWindow *window, const char *key, int first_choice)
{
  AppStarterSheet *sheet = app_starter_sheet_show (window, engine_starter_named (key), first_choice);
  spin ();
  return sheet;
}

static guint
value_index (AppStarterSheet *sheet, const char *starter, const char *key)
{
  int index = engine_starter_find (engine_starter_named (starter), app_starter_sheet_values (sheet), key);
  g_assert_cmpint (index, >=, 0);
  return (guint)index;
}

static GtkEditable *
text_field (AppStarterSheet *sheet, guint index)
{
  return GTK_EDITABLE (app_unit_entry_field (APP_UNIT_ENTRY (app_starter_sheet_field (sheet, index))));
}

/* As while typing: without Enter. */
static void
type_figure (AppStarterSheet *sheet, const char *starter, const char *key, const char *text)
{
  gtk_editable_set_text (text_field (sheet, value_index (sheet, starter, key)), text);
  spin ();
}

/* Of the first edge of that name in any piece. */
static double
edge_length (ModelDocument *doc, const char *name)
{
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const GPtrArray *pieces = engine_review_pieces (review);
  for (guint i = 0; i < pieces->len; i++)
  {
    const EnginePiece *piece = g_ptr_array_index (pieces, i);
    const ModelPanel *panel = model_document_panel (doc, piece->panel_id);
    for (guint k = 0; k < piece->edges->len; k++)
    {
      const EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, k);
      for (guint e = 0; e < panel->edges->len; e++)
        if (model_panel_edge (panel, e)->id == edge->edge_id
            && g_strcmp0 (model_panel_edge (panel, e)->name, name) == 0)
          return edge->length_mm;
    }
  }
  return NAN;
}

static bool
holds (ModelDocument *doc)
{
  g_autoptr (EngineReview) review = engine_review_new (doc);
  return engine_review_holds (review);
}

/* ---- every way in ---- */

/* The names of the cards, and how many panels their words promise. */
static const struct
{
  const char *title;
  guint panels;
} card_rows[] = {
  { "Bracers", 1 }, { "Collar", 1 }, { "Torso", 3 }, { "Greaves", 1 }, { "Strap", 1 },
};

static void
test_cards (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (card_rows); i++)
  {
    AppWindow *window = window_new ();
    /* Held by the window as the start view holds them: a card finds its window by itself. */
    GtkWidget *cards = app_starter_cards_new ();
    gtk_window_set_child (GTK_WINDOW (window), cards);
    g_assert_cmpuint (app_starter_cards_count (APP_STARTER_CARDS (cards)), ==, G_N_ELEMENTS (card_rows));
    GtkWidget *button = app_starter_cards_button (APP_STARTER_CARDS (cards), i);
    g_assert_true (gtk_test_accessible_has_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL));
    g_signal_emit_by_name (button, "clicked");
    spin ();
    AppStarterSheet *sheet = sheet_over (window);
    g_assert_nonnull (sheet);
    g_assert_true (gtk_window_get_modal (GTK_WINDOW (sheet)));
    ModelDocument *doc = app_starter_sheet_document (sheet);
    g_assert_nonnull (doc);
    g_assert_null (app_starter_sheet_trouble (sheet));
    g_assert_cmpstr (doc->head->title, ==, card_rows[i].title);
    g_assert_cmpuint (doc->panels->len, ==, card_rows[i].panels);
    g_assert_true (holds (doc));
    gtk_window_destroy (GTK_WINDOW (sheet));
    drop_window (window);
  }
}

/* Five in a row where they have room, else three: design of the start view. */
static void
test_cards_wrap (void)
{
  GtkWidget *cards = g_object_ref_sink (app_starter_cards_new ());
  int wide = 0, narrow = 0, least = 0;
  gtk_widget_measure (cards, GTK_ORIENTATION_VERTICAL, 1000, &wide, NULL, NULL, NULL);
  gtk_widget_measure (cards, GTK_ORIENTATION_VERTICAL, 700, &narrow, NULL, NULL, NULL);
  gtk_widget_measure (cards, GTK_ORIENTATION_HORIZONTAL, -1, &least, NULL, NULL, NULL);
  g_assert_cmpint (narrow, >, 3 * wide / 2);
  g_assert_cmpint (least, <, 700);
  g_object_unref (cards);
}

/* ---- figures ---- */

static void
test_figure_is_typed (void)
{
  AppWindow *window = window_new ();
  AppStarterSheet *sheet = sheet_new (window, "tube", 0);
  type_figure (sheet, "tube", "wrist_girth", "170");
  type_figure (sheet, "tube", "under", "5");
  type_figure (sheet, "tube", "thickness", "4");
  type_figure (sheet, "tube", "gap", "2 cm");
  /* 170 + 2 pi (5 + 0.5 * 4) - 20 */
  g_assert_cmpfloat_with_epsilon (edge_length (app_starter_sheet_document (sheet), "wrist"),
                                  150.0 + 2.0 * G_PI * 7.0, 0.01);
  GtkWidget *neutral = app_starter_sheet_field (sheet, value_index (sheet, "tube", "neutral"));
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (neutral), 0.25);
  spin ();
  g_assert_cmpfloat_with_epsilon (edge_length (app_starter_sheet_document (sheet), "wrist"),
                                  150.0 + 2.0 * G_PI * 6.0, 0.01);
  /* Edge to edge: nothing is left open, and the gap's figure rests. */
  GtkWidget *closing = app_starter_sheet_field (sheet, value_index (sheet, "tube", "closing"));
  gtk_drop_down_set_selected (GTK_DROP_DOWN (closing), 2);
  spin ();
  g_assert_cmpfloat_with_epsilon (edge_length (app_starter_sheet_document (sheet), "wrist"),
                                  170.0 + 2.0 * G_PI * 6.0, 0.01);
  GtkWidget *gap = app_starter_sheet_field (sheet, value_index (sheet, "tube", "gap"));
  g_assert_false (gtk_widget_is_sensitive (gap));
  gtk_window_destroy (GTK_WINDOW (sheet));
  drop_window (window);
}

static const struct
{
  const char *starter, *key, *text;
} bad_rows[] = {
  { "tube", "wrist_girth", "300" },    /* more than the forearm's 263 */
  { "tube", "wrist_girth", "5" },      /* less than any wrist: below the value's limit */
  { "tube", "wrist_girth", "wide" },   /* not a length */
  { "tube", "wrist_girth", "" },       /* nothing */
  { "tube", "gap", "190" },            /* hardly anything left of the wrist */
  { "collar", "neck_girth", "400" },   /* more than its base's 370 */
  { "strap", "length", "22" },         /* shorter than wide */
  { "torso", "chest_girth", "60000" }, /* beyond the limit */
};

static void
test_bad_figure (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (bad_rows); i++)
  {
    const char *starter = bad_rows[i].starter, *key = bad_rows[i].key;
    AppWindow *window = window_new ();
    AppStarterSheet *sheet = sheet_new (window, starter, 0);
    g_autofree char *good
      = g_strdup (gtk_editable_get_text (text_field (sheet, value_index (sheet, starter, key))));
    type_figure (sheet, starter, key, bad_rows[i].text);
    g_assert_nonnull (app_starter_sheet_trouble (sheet));
    g_assert_null (app_starter_sheet_document (sheet));
    g_assert_false (gtk_widget_is_sensitive (app_starter_sheet_button (sheet)));
    g_assert_false (app_starter_sheet_take (sheet));
    g_assert_null (app_window_session (window));
    type_figure (sheet, starter, key, good);
    g_assert_null (app_starter_sheet_trouble (sheet));
    g_assert_nonnull (app_starter_sheet_document (sheet));
    g_assert_true (gtk_widget_is_sensitive (app_starter_sheet_button (sheet)));
    gtk_window_destroy (GTK_WINDOW (sheet));
    drop_window (window);
  }
}

/* Another part of the body has figures of its own; those of the first come back with it. */
static void
test_first_choice (void)
{
  AppWindow *window = window_new ();
  AppStarterSheet *sheet = sheet_new (window, "tube", 0);
  const EngineStarter *tube = engine_starter_named ("tube");
  type_figure (sheet, "tube", "narrow_girth", "wide");
  type_figure (sheet, "tube", "wide_girth", "271");
  type_figure (sheet, "tube", "thickness", "5");
  GtkWidget *use = app_starter_sheet_field (sheet, 0);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (use), 1);
  spin ();
  double wanted[ENGINE_STARTER_VALUES];
  engine_starter_defaults_for (tube, 1, wanted);
  guint narrow = value_index (sheet, "tube", "narrow_girth"),
        wide = value_index (sheet, "tube", "wide_girth"),
        thickness = value_index (sheet, "tube", "thickness");
  const double *values = app_starter_sheet_values (sheet);
  g_assert_cmpfloat (values[narrow], ==, wanted[narrow]);
  g_assert_cmpfloat (values[wide], ==, wanted[wide]);
  g_assert_cmpfloat (values[thickness], ==, 5.0);
  g_assert_null (app_starter_sheet_trouble (sheet));
  g_autofree char *shown = model_unit_text (wanted[narrow], app_settings_unit (), 1);
  g_assert_cmpstr (gtk_editable_get_text (text_field (sheet, narrow)), ==, shown);
  g_assert_cmpstr (app_starter_sheet_document (sheet)->head->title, ==, "Greaves");
  gtk_drop_down_set_selected (GTK_DROP_DOWN (use), 0);
  spin ();
  g_assert_cmpfloat (values[wide], ==, 271.0);
  g_assert_cmpfloat (values[thickness], ==, 5.0);
  gtk_window_destroy (GTK_WINDOW (sheet));
  drop_window (window);
}

/* Shown in sixteenths, yet only what is typed is rounded.  One inch is 25.4 mm exactly. */
static void
test_inches (void)
{
  g_assert_nonnull (app_settings ());
  app_settings_set_unit (MODEL_UNIT_INCH);
  AppWindow *window = window_new ();
  AppStarterSheet *sheet = sheet_new (window, "tube", 0);
  guint narrow = value_index (sheet, "tube", "narrow_girth"),
        wide = value_index (sheet, "tube", "wide_girth");
  const double *values = app_starter_sheet_values (sheet);
  g_assert_cmpfloat (values[narrow], ==, 154.0);
  type_figure (sheet, "tube", "wide_girth", "10 1/2");
  g_signal_emit_by_name (text_field (sheet, wide), "activate");
  spin ();
  g_assert_cmpfloat_with_epsilon (values[wide], 266.7, 1e-9);
  g_assert_cmpfloat (values[narrow], ==, 154.0);
  g_assert_cmpint (app_starter_sheet_document (sheet)->head->unit, ==, MODEL_UNIT_INCH);
  app_settings_set_unit (MODEL_UNIT_MM);
  gtk_window_destroy (GTK_WINDOW (sheet));
  drop_window (window);
}

/* ---- taking and leaving ---- */

static void
test_take (void)
{
  guint count;
  const EngineStarter *const *starters = engine_starters (&count);
  for (guint i = 0; i < count; i++)
  {
    AppWindow *window = window_new ();
    AppStarterSheet *sheet = sheet_new (window, starters[i]->key, 0);
    g_object_add_weak_pointer (G_OBJECT (sheet), (gpointer *)&sheet);
    type_figure (sheet, starters[i]->key, "thickness", "3");
    g_signal_emit_by_name (app_starter_sheet_button (sheet), "clicked");
    spin ();
    g_assert_null (sheet);
    AppSession *session = app_window_session (window);
    g_assert_nonnull (session);
    g_assert_null (app_session_file (session));
    g_assert_false (app_session_is_saved (session));
    const ModelDocument *doc = app_session_document (session);
    g_assert_cmpuint (doc->panels->len, >, 0);
    g_assert_cmpint (doc->head->unit, ==, app_settings_unit ());
    const GPtrArray *findings = engine_review_findings (app_session_review (session));
    for (guint k = 0; k < findings->len; k++)
      g_assert_true (((const EngineFinding *)g_ptr_array_index (findings, k))->holds);
    g_assert_true (engine_review_holds (app_session_review (session)));
    drop_window (window);
  }
}

static void
test_leave (void)
{
  AppWindow *window = window_new ();
  AppStarterSheet *sheet = sheet_new (window, "collar", 0);
  type_figure (sheet, "collar", "height", "60");
  gtk_window_close (GTK_WINDOW (sheet));
  spin ();
  g_assert_null (sheet_over (window));
  g_assert_null (app_window_session (window));
  /* A window that goes takes its sheet with it. */
  sheet = sheet_new (window, "collar", 0);
  g_object_add_weak_pointer (G_OBJECT (sheet), (gpointer *)&sheet);
  drop_window (window);
  g_assert_null (sheet);
}

/* ---- into a document that is open ---- */

static const ModelMeasure *
measure_of (const ModelDocument *doc, const char *key)
{
  for (guint i = 0; i < doc->measures->len; i++)
  {
    const ModelMeasure *measure = g_ptr_array_index (doc->measures, i);
    if (g_strcmp0 (measure->key, key) == 0)
      return measure;
  }
  return NULL;
}

static void
put_wearer (ModelHistory *history, const char *key, double mm)
{
  ModelMeasure *measure = model_measure_new ();
  measure->key = g_strdup (key);
  measure->has_wearer = true;
  measure->wearer_mm = mm;
  model_history_put_measure (history, measure);
}

/* The sheet begins with the wearer's wrist; the forearm is not known and is the starter's.  What is added is
 * one step of undo, clear of what was there, and everything still agrees. */
static void
test_add_to_open (void)
{
  AppWindow *window = window_new ();
  double collar[ENGINE_STARTER_VALUES];
  engine_starter_defaults (engine_starter_named ("collar"), collar);
  app_window_show_document (window, engine_starter_make (engine_starter_named ("collar"), collar, NULL), NULL,
                            NULL);
  spin ();
  AppSession *session = app_window_session (window);
  ModelHistory *history = app_session_history (session);
  ModelDocument *doc = app_session_document (session);
  put_wearer (history, "wrist_girth", 171);
  guint panels = doc->panels->len, joins = doc->joins->len, steps = model_history_length (history);
  gtk_widget_activate_action (GTK_WIDGET (window), "win.add-starter", "s", "tube:0");
  spin ();
  AppStarterSheet *sheet = sheet_over (window);
  g_assert_nonnull (sheet);
  const double *values = app_starter_sheet_values (sheet);
  double starts[ENGINE_STARTER_VALUES];
  engine_starter_defaults_for (engine_starter_named ("tube"), 0, starts);
  guint narrow = value_index (sheet, "tube", "narrow_girth"),
        wide = value_index (sheet, "tube", "wide_girth");
  g_assert_cmpfloat (values[narrow], ==, 171.0);
  g_assert_cmpfloat (values[wide], ==, starts[wide]);
  /* Another part of the body and back: the wearer's figure is still there. */
  GtkWidget *use = app_starter_sheet_field (sheet, 0);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (use), 1);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (use), 0);
  g_assert_cmpfloat (values[narrow], ==, 171.0);
  type_figure (sheet, "tube", "narrow_girth", "180");
  g_assert_true (app_starter_sheet_take (sheet));
  spin ();
  g_assert_null (sheet_over (window));
  g_assert_true (app_window_session (window) == session);
  g_assert_cmpuint (doc->panels->len, ==, panels + 1);
  g_assert_cmpuint (doc->joins->len, ==, joins + 1);
  g_assert_cmpuint (model_history_length (history), ==, steps + 1);
  g_assert_cmpstr (model_history_undo_label (history), ==, "Add “Bracers”");
  /* What is known of the wearer stays; what was not known comes along. */
  g_assert_cmpfloat (measure_of (doc, "wrist_girth")->wearer_mm, ==, 171.0);
  g_assert_cmpfloat (measure_of (doc, "forearm_girth")->wearer_mm, ==, starts[wide]);
  g_assert_true (engine_review_holds (app_session_review (session)));
  /* Clear of each other: no two boxes of cut lines share a place. */
  const GPtrArray *pieces = engine_review_pieces (app_session_review (session));
  guint fresh_id = ((const ModelPanel *)g_ptr_array_index (doc->panels, panels))->id;
  for (guint i = 0; i < pieces->len; i++)
    for (guint k = 0; k < pieces->len; k++)
    {
      const EnginePiece *a = g_ptr_array_index (pieces, i), *b = g_ptr_array_index (pieces, k);
      if (a->panel_id == fresh_id && b->panel_id != fresh_id)
        g_assert_cmpfloat (a->box.x0, >, b->box.x1);
    }
  model_history_undo (history);
  g_assert_cmpuint (doc->panels->len, ==, panels);
  g_assert_null (measure_of (doc, "forearm_girth"));
  drop_window (window);
}

/* Two leathers of the same name but another thickness are two materials. */
static void
test_add_keeps_thickness (void)
{
  AppWindow *window = window_new ();
  app_window_new_document (window);
  spin ();
  static const char *const thickness[] = { "2", "4", "4" };
  for (guint i = 0; i < G_N_ELEMENTS (thickness); i++)
  {
    gtk_widget_activate_action (GTK_WIDGET (window), "win.add-starter", "s", "strap:0");
    spin ();
    AppStarterSheet *sheet = sheet_over (window);
    type_figure (sheet, "strap", "thickness", thickness[i]);
    g_assert_true (app_starter_sheet_take (sheet));
    spin ();
  }
  const ModelDocument *doc = app_session_document (app_window_session (window));
  g_assert_cmpuint (doc->panels->len, ==, 3);
  g_assert_cmpuint (doc->materials->len, ==, 2);
  for (guint i = 0; i < 3; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (doc->panels, i);
    g_assert_cmpfloat (model_document_material (doc, panel->material_id)->thickness_mm, ==,
                       g_ascii_strtod (thickness[i], NULL));
  }
  drop_window (window);
}

/* Rows that are no starter's do nothing. */
static void
test_add_unknown (void)
{
  AppWindow *window = window_new ();
  app_window_new_document (window);
  spin ();
  static const char *const rows[] = { "", "tube", "tube:9", "tube:-1", "hat:0", ":" };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    gtk_widget_activate_action (GTK_WIDGET (window), "win.add-starter", "s", rows[i]);
    g_assert_null (sheet_over (window));
  }
  drop_window (window);
}

static void
test_accessible_names (void)
{
  AppWindow *window = window_new ();
  AppStarterSheet *sheet = sheet_new (window, "torso", 0);
  const EngineStarter *torso = engine_starter_named ("torso");
  for (guint i = 0; i < torso->value_count; i++)
  {
    GtkWidget *field = app_starter_sheet_field (sheet, i);
    if (APP_IS_UNIT_ENTRY (field))
      field = app_unit_entry_field (APP_UNIT_ENTRY (field));
    g_assert_true (gtk_test_accessible_has_property (GTK_ACCESSIBLE (field), GTK_ACCESSIBLE_PROPERTY_LABEL));
    if (engine_starter_measure (torso, app_starter_sheet_values (sheet), i) != NULL)
      g_assert_true (
        gtk_test_accessible_has_property (GTK_ACCESSIBLE (field), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION));
  }
  gtk_window_destroy (GTK_WINDOW (sheet));
  drop_window (window);
}

int
main (int argc, char **argv)
{
  house_open (&argc, &argv);
  g_test_add_func ("/app/starter/cards", test_cards);
  g_test_add_func ("/app/starter/cards-wrap", test_cards_wrap);
  g_test_add_func ("/app/starter/figure-is-typed", test_figure_is_typed);
  g_test_add_func ("/app/starter/bad-figure", test_bad_figure);
  g_test_add_func ("/app/starter/first-choice", test_first_choice);
  g_test_add_func ("/app/starter/inches", test_inches);
  g_test_add_func ("/app/starter/take", test_take);
  g_test_add_func ("/app/starter/leave", test_leave);
  g_test_add_func ("/app/starter/add-to-open", test_add_to_open);
  g_test_add_func ("/app/starter/add-keeps-thickness", test_add_keeps_thickness);
  g_test_add_func ("/app/starter/add-unknown", test_add_unknown);
  g_test_add_func ("/app/starter/accessible-names", test_accessible_names);
  return house_run ();
}
