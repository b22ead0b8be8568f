/* The window with real widgets in one process: what is typed reaches the document, what may be lost is asked
 * about, and nothing is lost.
 *
 * Wanted values stand with their source.  Each test has a fresh window and, for files, a fresh folder.
 */
#include "house.h"

#include "app/dialogs.h"
#include "app/dome-card.h"
#include "app/join-card.h"
#include "app/label.h"
#include "app/panel-card.h"
#include "app/theme.h"
#include "app/unit-entry.h"
#include "model/file.h"
#include "model/shape.h"

#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

/* ---- helpers ---- */

static char *
source_file (const char *name)
{
  return g_build_filename (g_getenv ("PW_SOURCE_ROOT"), "data", name, NULL);
}

static ModelDocument *
load_example (void)
{
  g_autofree char *path = source_file ("caravan-guard-first-draft.panelwright");
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;
  ModelDocument *doc = model_document_load (file, NULL, &error);
  g_assert_no_error (error);
  return doc;
}

static AppWindow *
window_new (int width, int height)
{
  AppWindow *window = app_window_new (GTK_APPLICATION (application));
  gtk_window_set_default_size (GTK_WINDOW (window), width, height);
  gtk_window_present (GTK_WINDOW (window));
  return window;
}

static AppWindow *
window_with_example (void)
{
  AppWindow *window = window_new (1440, 900);
  app_window_show_document (window, load_example (), NULL, NULL);
  GtkWidget *room = GTK_WIDGET (app_window_panels_room (window));
  g_assert_true (wait_for (is_drawn, room));
  spin ();
  return window;
}

static char *
text_of (AppSession *session)
{
  return model_document_to_data (app_session_document (session), NULL);
}

static void
type_into (GtkWidget *unit_entry, const char *text)
{
  GtkWidget *field = app_unit_entry_field (APP_UNIT_ENTRY (unit_entry));
  gtk_editable_set_text (GTK_EDITABLE (field), text);
  g_signal_emit_by_name (field, "activate");
  spin ();
}

static char *
fresh_folder (void)
{
  g_autoptr (GError) error = NULL;
  char *folder = g_dir_make_tmp (NULL, &error);
  g_assert_no_error (error);
  return folder;
}

/* ---- the field for lengths ---- */

typedef struct EntryRow
{
  const char *text;
  ModelUnit unit;
  double mm; /* NAN: refused */
} EntryRow;

/* One inch is 25.4 mm exactly (international yard and pound agreement, 1959). */
static const EntryRow entry_rows[] = {
  { "412", MODEL_UNIT_MM, 412.0 },
  { "38.5 cm", MODEL_UNIT_MM, 385.0 },
  { "15 1/8 in", MODEL_UNIT_MM, 15.125 * 25.4 },
  { "12", MODEL_UNIT_INCH, 12 * 25.4 },
  { "412 + 6", MODEL_UNIT_MM, 418.0 },
  { "wide", MODEL_UNIT_MM, NAN },
  { "3 / 0", MODEL_UNIT_MM, NAN },
  { "6000", MODEL_UNIT_MM, NAN }, /* beyond the range set below */
};

static void
note_committed (AppUnitEntry *entry, double mm, double *got)
{
  *got = mm;
}

static void
test_unit_entry (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (entry_rows); i++)
  {
    const EntryRow *row = &entry_rows[i];
    GtkWidget *entry = g_object_ref_sink (app_unit_entry_new ());
    app_unit_entry_set_unit (APP_UNIT_ENTRY (entry), row->unit);
    app_unit_entry_set_range (APP_UNIT_ENTRY (entry), 1.0, 5000.0);
    double got = -1.0;
    g_signal_connect (entry, "committed", G_CALLBACK (note_committed), &got);
    type_into (entry, row->text);
    if (isnan (row->mm))
    {
      g_assert_cmpfloat (got, ==, -1.0);
      g_assert_nonnull (app_unit_entry_trouble (APP_UNIT_ENTRY (entry)));
      /* What was typed stays, to be mended. */
      GtkWidget *field = app_unit_entry_field (APP_UNIT_ENTRY (entry));
      g_assert_cmpstr (gtk_editable_get_text (GTK_EDITABLE (field)), ==, row->text);
    }
    else
    {
      g_assert_cmpfloat_with_epsilon (got, row->mm, 1e-9);
      g_assert_null (app_unit_entry_trouble (APP_UNIT_ENTRY (entry)));
    }
    g_object_unref (entry);
  }
}

/* ---- panes ---- */

static bool
is_shown (gpointer widget)
{
  return gtk_widget_get_visible (widget);
}

static bool
is_hidden (gpointer widget)
{
  return !gtk_widget_get_visible (widget);
}

static void
test_measure_is_typed (void)
{
  AppWindow *window = window_with_example ();
  AppSession *session = app_window_session (window);
  const ModelDocument *doc = app_session_document (session);
  const ModelMeasure *measure = g_ptr_array_index (doc->measures, 0);
  guint id = measure->id;
  double before = measure->wearer_mm;
  AppMeasuresPane *pane = app_panels_room_measures (app_window_panels_room (window));
  type_into (app_measures_pane_field (pane, id, false), "38.5 cm");
  g_assert_cmpfloat_with_epsilon (model_document_measure (doc, id)->wearer_mm, 385.0, 1e-9);
  g_assert_true (model_history_can_undo (app_session_history (session)));
  gtk_widget_activate_action (GTK_WIDGET (window), "win.undo", NULL);
  spin ();
  g_assert_cmpfloat_with_epsilon (model_document_measure (doc, id)->wearer_mm, before, 1e-9);
  type_into (app_measures_pane_field (pane, id, true), "");
  g_assert_false (model_document_measure (doc, id)->has_form);
  drop_window (window);
}

/* The figure is asked about, answered, and asked about again when another one is as odd; 94 mm round the
 * chest is far below what anyone of the survey has (woman's or man's least: above 600 mm). */
static void
test_measure_is_asked (void)
{
  AppWindow *window = window_with_example ();
  AppSession *session = app_window_session (window);
  const ModelDocument *doc = app_session_document (session);
  guint id = 0;
  for (guint i = 0; i < doc->measures->len; i++)
  {
    const ModelMeasure *measure = g_ptr_array_index (doc->measures, i);
    if (g_strcmp0 (measure->key, "chest_girth") == 0)
      id = measure->id;
  }
  g_assert_cmpuint (id, !=, 0);
  app_session_select_measure (session, id);
  AppMeasuresPane *pane = app_panels_room_measures (app_window_panels_room (window));
  GtkWidget *rare = app_measures_pane_rare (pane);
  spin ();
  g_assert_true (wait_for (is_hidden, rare));
  guint findings = engine_review_findings (app_session_review (session))->len;
  type_into (app_measures_pane_field (pane, id, false), "94 mm");
  g_assert_true (wait_for (is_shown, rare));
  g_assert_cmpuint (engine_review_findings (app_session_review (session))->len, ==, findings);
  g_signal_emit_by_name (gtk_widget_get_last_child (rare), "clicked");
  g_assert_true (wait_for (is_hidden, rare));
  type_into (app_measures_pane_field (pane, id, false), "93 mm");
  g_assert_true (wait_for (is_shown, rare));
  drop_window (window);
}

static void
test_rows_follow_document (void)
{
  AppWindow *window = window_with_example ();
  AppSession *session = app_window_session (window);
  AppJoinsPane *pane = app_panels_room_joins (app_window_panels_room (window));
  const ModelDocument *doc = app_session_document (session);
  g_assert_cmpuint (app_joins_pane_join_rows (pane), ==, doc->joins->len);
  g_assert_cmpuint (app_joins_pane_finding_rows (pane), >, 0);
  guint before = doc->joins->len;
  const ModelJoin *first = g_ptr_array_index (doc->joins, 0);
  model_history_remove (app_session_history (session), MODEL_PART_JOIN, first->id);
  gint64 end = g_get_monotonic_time () + 5 * G_USEC_PER_SEC;
  while (app_joins_pane_join_rows (pane) != before - 1 && g_get_monotonic_time () < end)
    g_main_context_iteration (NULL, FALSE);
  g_assert_cmpuint (app_joins_pane_join_rows (pane), ==, before - 1);
  drop_window (window);
}

static void
test_finding_is_taken (void)
{
  AppWindow *window = window_with_example ();
  AppSession *session = app_window_session (window);
  AppFindingCard *card = app_panels_room_card (app_window_panels_room (window));
  g_autoptr (GPtrArray) open = engine_review_open_findings (app_session_review (session));
  g_autofree char *before = text_of (session);
  guint taken = 0;
  for (guint i = 0; i < open->len && taken == 0; i++)
  {
    const EngineFinding *finding = g_ptr_array_index (open, i);
    app_session_select_finding (session, finding);
    g_assert_true (app_finding_card_is_open (card));
    if (app_finding_card_remedy_count (card) == 0)
      continue;
    /* Previewed, and nothing is changed yet. */
    g_assert_nonnull (app_session_previewed (session));
    g_autofree char *previewed = text_of (session);
    g_assert_cmpstr (previewed, ==, before);
    if (app_finding_card_remedy_count (card) > 1)
    {
      app_finding_card_key (card, GDK_KEY_Down);
      g_assert_cmpuint (app_finding_card_chosen (card), ==, 1);
      app_finding_card_key (card, GDK_KEY_Up);
    }
    g_assert_cmpuint (app_finding_card_chosen (card), ==, 0);
    app_finding_card_key (card, GDK_KEY_Return);
    taken++;
  }
  g_assert_cmpuint (taken, ==, 1);
  ModelHistory *history = app_session_history (session);
  g_assert_cmpuint (model_history_position (history), ==, 1); /* one step */
  g_autofree char *after = text_of (session);
  g_assert_cmpstr (after, !=, before);
  model_history_undo (history);
  g_autofree char *back = text_of (session);
  g_assert_cmpstr (back, ==, before);
  drop_window (window);
}

static void
test_finding_is_left (void)
{
  AppWindow *window = window_with_example ();
  AppSession *session = app_window_session (window);
  AppFindingCard *card = app_panels_room_card (app_window_panels_room (window));
  g_autofree char *before = text_of (session);
  gtk_widget_activate_action (GTK_WIDGET (window), "win.next-place", NULL);
  g_assert_true (app_finding_card_is_open (card));
  g_assert_true (app_finding_card_key (card, GDK_KEY_Escape));
  g_assert_false (app_finding_card_is_open (card));
  g_assert_null (app_session_previewed (session));
  g_autofree char *after = text_of (session);
  g_assert_cmpstr (after, ==, before);
  drop_window (window);
}

static AppPanelCard *
find_panel_card (GtkWidget *widget)
{
  if (APP_IS_PANEL_CARD (widget))
    return APP_PANEL_CARD (widget);
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
  {
    AppPanelCard *found = find_panel_card (child);
    if (found != NULL)
      return found;
  }
  return NULL;
}

static double
drawn_edge_length (const ModelPanel *panel, guint index)
{
  GeomPath path;
  geom_path_init (&path);
  g_autofree size_t *first = g_new0 (size_t, panel->edges->len);
  model_panel_path (panel, &path, first);
  size_t end = index + 1 < panel->edges->len ? first[index + 1] : path.count;
  double sum = 0.0;
  for (size_t i = first[index]; i < end; i++)
    sum += geom_cubic_length (&path.piece[i], 1e-9);
  geom_path_clear (&path);
  return sum;
}

static void
test_edge_length_is_typed (void)
{
  AppWindow *window = window_with_example ();
  AppSession *session = app_window_session (window);
  const ModelDocument *doc = app_session_document (session);
  guint panel_id = 0, edge_id = 0, index = 0;
  for (guint i = 0; i < doc->panels->len && edge_id == 0; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (doc->panels, i);
    for (guint k = 0; k < panel->edges->len && edge_id == 0; k++)
      if (!model_panel_edge (panel, k)->fold && !model_panel_edge (panel, k)->locked && !panel->locked)
      {
        panel_id = panel->id;
        edge_id = model_panel_edge (panel, k)->id;
        index = k;
      }
  }
  g_assert_cmpuint (edge_id, !=, 0);
  app_session_select_edge (session, panel_id, model_document_panel (doc, panel_id)->side, edge_id, false);
  AppPanelCard *card = find_panel_card (GTK_WIDGET (window));
  g_assert_nonnull (card);
  g_assert_true (wait_for (is_drawn, card));
  type_into (app_panel_card_field (card, "edge-length"), "9 in");
  /* 9 in, and as exact as the contract asks of an edge's length: 1e-6 mm. */
  g_assert_cmpfloat_with_epsilon (drawn_edge_length (model_document_panel (doc, panel_id), index), 228.6,
                                  1e-6);
  type_into (app_panel_card_field (card, "edge-allowance"), "12.5");
  const ModelPanel *panel = model_document_panel (doc, panel_id);
  g_assert_true (model_panel_edge (panel, index)->has_allowance);
  g_assert_cmpfloat_with_epsilon (model_panel_edge (panel, index)->allowance_mm, 12.5, 1e-9);
  drop_window (window);
}

/* A cap of a sphere of 200 mm, 30 degrees wide to each side: base 400 sin 30 = 200, height 200 (1 - cos 30) =
 * 26.7949; 360 (1 - cos 30) = 48.2 degrees are missing, and pi / 6 over sin 30 = 1.0472 shared out both ways
 * is 2.3 %.  Leather: 2 % dry, 12 % formed (common practice, no source). */
static void
test_dome_is_asked (void)
{
  AppWindow *window = window_with_example ();
  AppSession *session = app_window_session (window);
  const ModelDocument *doc = app_session_document (session);
  const ModelPanel *panel = NULL;
  for (guint i = 0; i < doc->panels->len && panel == NULL; i++)
  {
    const ModelPanel *p = g_ptr_array_index (doc->panels, i);
    const ModelMaterial *material = model_document_material (doc, p->material_id);
    if (material != NULL && material->kind == MODEL_MATERIAL_LEATHER && !(material->stretch_percent > 0.0))
      panel = p;
  }
  g_assert_nonnull (panel);
  app_session_select_panel (session, panel->id, panel->side, false);
  AppPanelCard *card = find_panel_card (GTK_WIDGET (window));
  g_assert_true (wait_for (is_drawn, card));
  spin ();
  AppDomeCard *dome = APP_DOME_CARD (app_panel_card_field (card, "dome"));
  gtk_expander_set_expanded (GTK_EXPANDER (gtk_widget_get_first_child (GTK_WIDGET (dome))), TRUE);
  g_assert_true (wait_for (is_drawn, app_dome_card_base (dome)));
  g_assert_null (app_dome_card_says (dome));
  type_into (app_dome_card_base (dome), "200 mm");
  g_assert_null (app_dome_card_says (dome));
  type_into (app_dome_card_height (dome), "26.7949 mm");
  g_assert_nonnull (strstr (app_dome_card_says (dome), "48.2°"));
  g_assert_nonnull (strstr (app_dome_card_says (dome), "2.3 %"));
  g_assert_nonnull (strstr (app_dome_card_says (dome), "12.0 %"));
  g_assert_true (g_str_has_prefix (app_dome_card_says (dome), "Form it."));
  type_into (app_dome_card_height (dome), "5 mm");
  g_assert_true (g_str_has_prefix (app_dome_card_says (dome), "It will lie down."));
  g_assert_false (model_history_can_undo (app_session_history (session)));
  type_into (app_dome_card_height (dome), "");
  g_assert_null (app_dome_card_says (dome));
  drop_window (window);
}

static GtkWidget *
descendant (GtkWidget *widget, GType type)
{
  if (G_TYPE_CHECK_INSTANCE_TYPE (widget, type))
    return widget;
  GtkWidget *found = NULL;
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL && found == NULL;
       child = gtk_widget_get_next_sibling (child))
    found = descendant (child, type);
  return found;
}

static bool
says_six (gpointer label)
{
  return strstr (gtk_label_get_text (label), "6 straps, 18.0\u2009mm × 140.0\u2009mm") != NULL;
}

static bool
shows_join (gpointer window)
{
  return descendant (window, APP_TYPE_JOIN_CARD) != NULL;
}

/* The gap of the draft is bridged by six straps of 18 mm instead of four of 25. */
static void
test_straps_are_set (void)
{
  AppWindow *window = window_with_example ();
  AppSession *session = app_window_session (window);
  ModelDocument *doc = app_session_document (session);
  const ModelJoin *gap = NULL;
  for (guint i = 0; i < doc->joins->len && gap == NULL; i++)
    if (((const ModelJoin *)g_ptr_array_index (doc->joins, i))->kind == MODEL_JOIN_GAP)
      gap = g_ptr_array_index (doc->joins, i);
  g_assert_nonnull (gap);
  const guint id = gap->id;
  app_session_select_join (session, id);
  g_assert_true (wait_for (shows_join, window));
  GtkWidget *card = descendant (GTK_WIDGET (window), APP_TYPE_JOIN_CARD);
  gtk_spin_button_set_value (
    GTK_SPIN_BUTTON (gtk_widget_get_template_child (card, APP_TYPE_JOIN_CARD, "straps")), 6);
  type_into (GTK_WIDGET (gtk_widget_get_template_child (card, APP_TYPE_JOIN_CARD, "strap_width")), "18");
  type_into (GTK_WIDGET (gtk_widget_get_template_child (card, APP_TYPE_JOIN_CARD, "strap_overlap")), "10 cm");
  gap = model_document_join (doc, id);
  g_assert_cmpint (gap->straps, ==, 6);
  g_assert_cmpfloat_with_epsilon (gap->strap_width_mm, 18, 1e-9);
  g_assert_cmpfloat_with_epsilon (gap->strap_overlap_mm, 100, 1e-9);
  g_assert_true (wait_for (says_six, gtk_widget_get_template_child (card, APP_TYPE_JOIN_CARD, "kind_words")));
  model_history_undo (app_session_history (session));
  g_assert_cmpfloat_with_epsilon (model_document_join (doc, id)->strap_overlap_mm, 120, 1e-9);

  /* Six straps of 40 + 120 by 18 become a panel, in one step that can be undone. */
  const guint before = doc->panels->len;
  GtkWidget *button = GTK_WIDGET (gtk_widget_get_template_child (card, APP_TYPE_JOIN_CARD, "strap_panel"));
  g_assert_true (gtk_widget_get_visible (button));
  g_signal_emit_by_name (button, "clicked");
  g_assert_cmpuint (doc->panels->len, ==, before + 1);
  const ModelPanel *strap = g_ptr_array_index (doc->panels, before);
  g_assert_cmpint (strap->quantity, ==, 6);
  g_assert_cmpuint (strap->edges->len, ==, 4);
  const double length = geom_distance (model_edge_node (model_panel_edge (strap, 0), 0)->at,
                                       model_edge_node (model_panel_edge (strap, 1), 0)->at);
  g_assert_cmpfloat_with_epsilon (length, 160, 1e-9);
  model_history_undo (app_session_history (session));
  g_assert_cmpuint (doc->panels->len, ==, before);
  drop_window (window);
}

static void
test_switch_of_sides (void)
{
  AppWindow *window = window_with_example ();
  AppSession *session = app_window_session (window);
  const ModelDocument *doc = app_session_document (session);
  const ModelPanel *panel = NULL;
  for (guint i = 0; i < doc->panels->len && panel == NULL; i++)
    if (((ModelPanel *)g_ptr_array_index (doc->panels, i))->halves != MODEL_HALVES_SINGLE)
      panel = g_ptr_array_index (doc->panels, i);
  g_assert_nonnull (panel);
  guint id = panel->id;
  app_session_select_panel (session, id, panel->side, false);
  g_assert_false (panel->own_sides);
  gtk_widget_activate_action (GTK_WIDGET (window), "win.mirror", NULL);
  g_assert_true (model_document_panel (doc, id)->own_sides);
  gtk_widget_activate_action (GTK_WIDGET (window), "win.mirror", NULL);
  g_assert_false (model_document_panel (doc, id)->own_sides);
  drop_window (window);
}

/* ---- layout ---- */

/* The table "Layout" of the look. */
static const int width_rows[][3]
  = { { 1024, 0, 268 },   { 1179, 0, 268 },   { 1180, 220, 288 }, { 1359, 220, 288 },
      { 1360, 244, 312 }, { 1919, 244, 312 }, { 1920, 280, 376 }, { 2560, 280, 376 } };

static void
test_widths (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (width_rows); i++)
  {
    int left, right;
    app_panels_room_widths (width_rows[i][0], &left, &right);
    g_assert_cmpint (left, ==, width_rows[i][1]);
    g_assert_cmpint (right, ==, width_rows[i][2]);
  }
}

static void
test_folding (void)
{
  AppWindow *window = window_new (1024, 700);
  app_window_show_document (window, load_example (), NULL, NULL);
  AppPanelsRoom *room = app_window_panels_room (window);
  g_assert_true (wait_for (is_drawn, room));
  spin ();
  GtkWidget *measures = GTK_WIDGET (app_panels_room_measures (room));
  GtkWidget *joins = GTK_WIDGET (app_panels_room_joins (room));
  GtkWidget *canvas = GTK_WIDGET (app_panels_room_canvas (room));
  g_assert_cmpint (gtk_widget_get_width (GTK_WIDGET (window)), <, 1180);
  g_assert_false (gtk_widget_get_child_visible (measures));
  graphene_rect_t bounds; /* with its border, which gtk_widget_get_width leaves out */
  g_assert_true (gtk_widget_compute_bounds (joins, GTK_WIDGET (room), &bounds));
  g_assert_cmpfloat (bounds.size.width, ==, 268.0F);
  int paper = gtk_widget_get_width (canvas);
  app_panels_room_show_measures (room, true);
  g_assert_true (wait_for (is_drawn, measures));
  g_assert_true (gtk_widget_get_child_visible (measures));
  g_assert_cmpint (gtk_widget_get_width (canvas), ==, paper); /* over the paper, not beside it */
  drop_window (window);
}

/* ---- names and keys ---- */

static bool
has_only_a_picture (GtkWidget *button)
{
  const char *label = GTK_IS_BUTTON (button) ? gtk_button_get_label (GTK_BUTTON (button)) : NULL;
  GtkWidget *child = GTK_IS_BUTTON (button) ? gtk_button_get_child (GTK_BUTTON (button)) : NULL;
  return label == NULL && GTK_IS_IMAGE (child);
}

static guint
check_names (GtkWidget *widget)
{
  guint count = 0;
  /* The window's own controls and the arrows of a number are the toolkit's. */
  if (GTK_IS_WINDOW_CONTROLS (widget) || GTK_IS_SPIN_BUTTON (widget) || GTK_IS_MENU_BUTTON (widget)
      || GTK_IS_POPOVER (widget) || GTK_IS_DROP_DOWN (widget))
    return 0;
  if (GTK_IS_BUTTON (widget) && has_only_a_picture (widget))
  {
    if (!gtk_test_accessible_has_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_LABEL))
      g_test_message ("no name: %s", gtk_widget_get_tooltip_text (widget));
    g_assert_true (gtk_test_accessible_has_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_LABEL));
    count++;
  }
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    count += check_names (child);
  return count;
}

static void
test_accessible_names (void)
{
  AppWindow *window = window_with_example ();
  const ModelDocument *doc = app_session_document (app_window_session (window));
  app_session_select_join (app_window_session (window), ((ModelJoin *)g_ptr_array_index (doc->joins, 0))->id);
  spin ();
  g_assert_cmpuint (check_names (GTK_WIDGET (window)), >=, 5);
  drop_window (window);
}

/* Keys every editor of documents has (GNOME Human Interface Guidelines, standard keyboard shortcuts). */
static const char *const key_rows[][2] = {
  { "app.new", "<Control>n" },
  { "app.open", "<Control>o" },
  { "win.save", "<Control>s" },
  { "win.close", "<Control>w" },
  { "win.save-as", "<Shift><Control>s" },
  { "app.quit", "<Control>q" },
  { "win.undo", "<Control>z" },
  { "win.redo", "<Shift><Control>z" },
  { "app.preferences", "<Control>comma" },
  { "app.help", "F1" },
  { "win.fullscreen", "F11" },
  { "win.show-help-overlay", "<Control>question" },
  { "win.print", "<Control>p" },
};

static void
test_keys (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (key_rows); i++)
  {
    g_auto (GStrv) keys
      = gtk_application_get_accels_for_action (GTK_APPLICATION (application), key_rows[i][0]);
    guint wanted_key, key;
    GdkModifierType wanted_state, state;
    g_assert_true (gtk_accelerator_parse (key_rows[i][1], &wanted_key, &wanted_state));
    g_assert_cmpuint (g_strv_length (keys), >, 0);
    g_assert_true (gtk_accelerator_parse (keys[0], &key, &state));
    g_assert_cmpuint (key, ==, wanted_key);
    g_assert_cmpuint (state, ==, wanted_state);
  }
}

static void
test_rooms (void)
{
  AppWindow *window = window_with_example ();
  static const char *const rooms[] = { "body", "sheets", "panels" };
  for (guint i = 0; i < G_N_ELEMENTS (rooms); i++)
  {
    app_window_show_room (window, rooms[i]);
    spin ();
    g_autoptr (GVariant) state = g_action_group_get_action_state (G_ACTION_GROUP (window), "room");
    g_assert_cmpstr (g_variant_get_string (state, NULL), ==, rooms[i]);
  }
  drop_window (window);
}

/* ---- nothing is lost ---- */

static void
change_something (AppSession *session)
{
  ModelHead *head = model_head_copy (app_session_document (session)->head);
  char *title = g_strconcat (head->title, "!", NULL);
  g_free (head->title);
  head->title = title;
  model_history_put_head (app_session_history (session), head);
}

static void
forget_leftovers (void)
{
  g_autoptr (GPtrArray) all = model_recovery_find (NULL);
  for (guint i = 0; i < all->len; i++)
    model_leftover_remove (g_ptr_array_index (all, i));
}

static void
test_recovery (void)
{
  forget_leftovers ();
  AppSession *session = app_session_new (load_example (), NULL, NULL);
  change_something (session);
  g_autofree char *text = text_of (session);
  g_assert_true (app_session_write_recovery (session));
  g_object_unref (session); /* as when the program ends without an answer */
  g_autoptr (GPtrArray) found = model_recovery_find (NULL);
  g_assert_cmpuint (found->len, ==, 1);
  const ModelLeftover *leftover = g_ptr_array_index (found, 0);
  g_assert_nonnull (leftover->doc);
  g_autofree char *kept = model_document_to_data (leftover->doc, NULL);
  g_assert_cmpstr (kept, ==, text);
  forget_leftovers ();
}

static void
test_recovery_goes (void)
{
  forget_leftovers ();
  AppSession *session = app_session_new (load_example (), NULL, NULL);
  change_something (session);
  g_assert_true (app_session_write_recovery (session));
  app_session_discard (session);
  g_object_unref (session);
  g_autoptr (GPtrArray) found = model_recovery_find (NULL);
  g_assert_cmpuint (found->len, ==, 0);
}

static bool
was_told (gpointer user)
{
  return app_session_changed_outside (user);
}

static void
test_changed_on_disk (void)
{
  g_autofree char *folder = fresh_folder ();
  g_autofree char *path = g_build_filename (folder, "guard.panelwright", NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (AppSession) session = app_session_new (load_example (), NULL, NULL);
  g_autoptr (GError) error = NULL;
  g_assert_true (app_session_save (session, file, false, &error));
  g_assert_no_error (error);
  g_assert_true (app_session_is_saved (session));

  g_usleep (20000); /* the etag has the time in it: a write in the same instant would look like ours */
  g_assert_true (g_file_set_contents (path, "somebody else's", -1, &error));
  g_assert_true (wait_for (was_told, session));
  change_something (session);
  g_assert_false (app_session_save (session, NULL, false, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_WRONG_ETAG);
  g_clear_error (&error);
  g_autofree char *theirs = NULL;
  g_assert_true (g_file_get_contents (path, &theirs, NULL, NULL));
  g_assert_cmpstr (theirs, ==, "somebody else's"); /* nothing was written over it */
  g_assert_true (app_session_save (session, NULL, true, &error));
  g_assert_false (app_session_changed_outside (session));
  g_autofree char *ours = NULL, *wanted = text_of (session);
  g_assert_true (g_file_get_contents (path, &ours, NULL, NULL));
  g_assert_cmpstr (ours, ==, wanted);
  g_unlink (path);
  g_rmdir (folder);
}

static void
test_save_fails (void)
{
  AppWindow *window = window_with_example ();
  AppSession *session = app_window_session (window);
  change_something (session);
  g_autoptr (GFile) nowhere = g_file_new_for_path ("/nonexistent/folder/guard.panelwright");
  g_autoptr (GError) error = NULL;
  g_assert_false (app_session_save (session, nowhere, false, &error));
  g_assert_nonnull (error);
  g_assert_false (app_session_is_saved (session));
  g_assert_null (app_session_file (session));
  drop_window (window);
}

static GtkWindow *
question_over (AppWindow *window)
{
  GListModel *tops = gtk_window_get_toplevels ();
  for (guint i = 0; i < g_list_model_get_n_items (tops); i++)
  {
    g_autoptr (GtkWindow) top = g_list_model_get_item (tops, i);
    if (GTK_IS_MESSAGE_DIALOG (top) && gtk_window_get_transient_for (top) == GTK_WINDOW (window))
      return top;
  }
  return NULL;
}

static void
test_close_asks (void)
{
  AppWindow *window = window_with_example ();
  g_object_add_weak_pointer (G_OBJECT (window), (gpointer *)&window);
  change_something (app_window_session (window));
  gtk_window_close (GTK_WINDOW (window));
  spin ();
  g_assert_nonnull (window); /* it waits for the answer */
  GtkWindow *question = question_over (window);
  g_assert_nonnull (question);
  gtk_dialog_response (GTK_DIALOG (question), GTK_RESPONSE_DELETE_EVENT); /* Escape */
  spin ();
  g_assert_nonnull (window);
  g_assert_null (question_over (window));

  gtk_window_close (GTK_WINDOW (window));
  spin ();
  question = question_over (window);
  g_assert_nonnull (question);
  gtk_dialog_response (GTK_DIALOG (question), 1); /* close without saving */
  spin ();
  g_assert_null (window);
}

static void
test_close_saves (void)
{
  g_autofree char *folder = fresh_folder ();
  g_autofree char *path = g_build_filename (folder, "guard.panelwright", NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  AppWindow *window = window_with_example ();
  g_object_add_weak_pointer (G_OBJECT (window), (gpointer *)&window);
  AppSession *session = app_window_session (window);
  g_assert_true (app_session_save (session, file, false, NULL));
  change_something (session);
  g_autofree char *wanted = text_of (session);
  gtk_window_close (GTK_WINDOW (window));
  spin ();
  g_assert_nonnull (window);
  GtkWindow *question = question_over (window);
  g_assert_nonnull (question);
  gtk_dialog_response (GTK_DIALOG (question), 2); /* save */
  spin ();
  g_assert_null (window);
  g_autofree char *text = NULL;
  g_assert_true (g_file_get_contents (path, &text, NULL, NULL));
  g_assert_cmpstr (text, ==, wanted);
  g_unlink (path);
  g_rmdir (folder);
}

static void
test_bad_file_is_told (void)
{
  g_autofree char *folder = fresh_folder ();
  g_autofree char *path = g_build_filename (folder, "broken.panelwright", NULL);
  g_assert_true (g_file_set_contents (path, "{ \"format\": ", -1, NULL));
  g_autoptr (GFile) file = g_file_new_for_path (path);
  AppWindow *window = window_new (1200, 800);
  app_window_open_file (window, file);
  g_assert_null (app_window_session (window));
  g_assert_nonnull (app_window_message (window));
  g_assert_nonnull (strstr (app_window_message (window), "broken.panelwright"));
  drop_window (window);
  g_unlink (path);
  g_rmdir (folder);
}

/* ---- colours ---- */

/* Relative luminance and contrast: WCAG 2.1, definitions of "relative luminance" and "contrast ratio". */
static double
luminance (const OutputColour *c)
{
  const double parts[] = { c->red, c->green, c->blue }, weights[] = { 0.2126, 0.7152, 0.0722 };
  double sum = 0.0;
  for (int i = 0; i < 3; i++)
    sum += weights[i] * (parts[i] <= 0.03928 ? parts[i] / 12.92 : pow ((parts[i] + 0.055) / 1.055, 2.4));
  return sum;
}

static double
contrast (const OutputColour *a, const OutputColour *b)
{
  double x = luminance (a), y = luminance (b);
  return (fmax (x, y) + 0.05) / (fmin (x, y) + 0.05);
}

/* Text at least TEXT on the paper and on cards, marks at least MARK on the paper. */
static void
assert_contrast (double text, double mark)
{
  static const OutputTone texts[]
    = { OUTPUT_TONE_INK,    OUTPUT_TONE_INK_2, OUTPUT_TONE_BLUE,      OUTPUT_TONE_OCHRE,
        OUTPUT_TONE_MADDER, OUTPUT_TONE_PLUM,  OUTPUT_TONE_VERDIGRIS, OUTPUT_TONE_MOSS };
  static const OutputTone marks[] = { OUTPUT_TONE_INK_3, OUTPUT_TONE_TRACE };
  static const AppThemeChoice grounds[] = { APP_THEME_PAPER, APP_THEME_SLATE };
  for (guint g = 0; g < G_N_ELEMENTS (grounds); g++)
  {
    app_theme_apply (gdk_display_get_default (), grounds[g]);
    g_assert_cmpint (app_theme_is_slate (), ==, grounds[g] == APP_THEME_SLATE);
    const OutputColour *tones = app_theme_tones ();
    for (guint i = 0; i < G_N_ELEMENTS (texts); i++)
    {
      g_assert_cmpfloat (contrast (&tones[texts[i]], &tones[OUTPUT_TONE_CANVAS]), >=, text);
      g_assert_cmpfloat (contrast (&tones[texts[i]], &tones[OUTPUT_TONE_CARD]), >=, text);
    }
    for (guint i = 0; i < G_N_ELEMENTS (marks); i++)
      g_assert_cmpfloat (contrast (&tones[marks[i]], &tones[OUTPUT_TONE_CANVAS]), >=, mark);
  }
  app_theme_apply (gdk_display_get_default (), APP_THEME_PAPER);
}

/* WCAG 2.1: 1.4.3 asks 4.5 of text, 1.4.11 asks 3 of marks; where the desktop wants high contrast, 1.4.6
 * asks 7 of text. */
static void
test_contrast (void)
{
  GtkSettings *settings = gtk_settings_get_default ();
  g_autofree char *name = NULL;

  g_object_get (settings, "gtk-theme-name", &name, NULL);
  assert_contrast (4.5, 3.0);
  g_assert_false (app_theme_is_strong ());
  g_object_set (settings, "gtk-theme-name", "HighContrast", NULL);
  g_assert_true (app_theme_is_strong ());
  assert_contrast (7.0, 4.5);
  g_object_set (settings, "gtk-theme-name", name, NULL);
  g_assert_false (app_theme_is_strong ());
}

/* What the desktop asks for: text half as large again (96 dpi is plain, in 1024ths), and no more than plain
 * again afterwards. */
static void
test_large_text (void)
{
  GtkSettings *settings = gtk_settings_get_default ();
  OutputInk plain, large;
  guint serial;

  app_theme_apply (gdk_display_get_default (), APP_THEME_PAPER);
  g_object_set (settings, "gtk-xft-dpi", 96 * 1024, NULL);
  app_theme_ink (&plain, 100.0);
  serial = app_theme_serial ();
  g_object_set (settings, "gtk-xft-dpi", 144 * 1024, NULL);
  g_assert_cmpfloat (app_theme_text_scale (), ==, 1.5);
  g_assert_cmpuint (app_theme_serial (), >, serial);
  app_theme_ink (&large, 100.0);
  g_assert_cmpfloat_with_epsilon (large.text_name, 1.5 * plain.text_name, 1e-9);
  g_assert_cmpfloat_with_epsilon (large.cut.width, plain.cut.width, 1e-9);
  g_object_set (settings, "gtk-xft-dpi", 96 * 1024, NULL);
  g_assert_cmpfloat (app_theme_text_scale (), ==, 1.0);
}

int
main (int argc, char **argv)
{
  house_open (&argc, &argv);

  g_test_add_func ("/app/unit-entry/reads-and-refuses", test_unit_entry);
  g_test_add_func ("/app/window/measure-is-typed", test_measure_is_typed);
  g_test_add_func ("/app/window/measure-is-asked", test_measure_is_asked);
  g_test_add_func ("/app/window/dome-is-asked", test_dome_is_asked);
  g_test_add_func ("/app/window/rows-follow-document", test_rows_follow_document);
  g_test_add_func ("/app/window/finding-is-taken", test_finding_is_taken);
  g_test_add_func ("/app/window/finding-is-left", test_finding_is_left);
  g_test_add_func ("/app/window/edge-length-is-typed", test_edge_length_is_typed);
  g_test_add_func ("/app/window/straps-are-set", test_straps_are_set);
  g_test_add_func ("/app/window/switch-of-sides", test_switch_of_sides);
  g_test_add_func ("/app/window/widths", test_widths);
  g_test_add_func ("/app/window/folding", test_folding);
  g_test_add_func ("/app/window/accessible-names", test_accessible_names);
  g_test_add_func ("/app/window/keys", test_keys);
  g_test_add_func ("/app/window/rooms", test_rooms);
  g_test_add_func ("/app/session/recovery-is-found", test_recovery);
  g_test_add_func ("/app/session/recovery-goes-with-the-changes", test_recovery_goes);
  g_test_add_func ("/app/session/changed-on-disk", test_changed_on_disk);
  g_test_add_func ("/app/session/save-fails", test_save_fails);
  g_test_add_func ("/app/window/close-asks", test_close_asks);
  g_test_add_func ("/app/window/close-saves", test_close_saves);
  g_test_add_func ("/app/window/bad-file-is-told", test_bad_file_is_told);
  g_test_add_func ("/app/theme/contrast", test_contrast);
  g_test_add_func ("/app/theme/large-text", test_large_text);
  return house_run ();
}
