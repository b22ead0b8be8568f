/* One row a measure: the figures are fields, so that a new number is typed where the old one stands.  Rows
 * are kept by the measure's id and only rebuilt when measures come or go. */
#include "app/measures-pane.h"

#include "app/body-figure.h"
#include "app/label.h"
#include "app/unit-entry.h"
#include "engine/check.h"
#include "engine/plausible.h"
#include "engine/words.h"
#include "model/measure-book.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

#define LEAST_MM 1.0
#define MOST_MM 5000.0
#define FIGURE_WIDTH 38
#define INCH_NAME_CHARS 13
/* An answer holds for the figure it was given for, whatever its last bits. */
#define SAME_MM 1e-6

typedef struct MeasureRow
{
  guint id;
  GtkWidget *row, *name, *rare, *wearer, *form, *symbol, *differs;
} MeasureRow;

struct _AppMeasuresPane
{
  GtkWidget parent;
  AppSession *session;
  GPtrArray *rows;      /* MeasureRow */
  GHashTable *answered; /* measure id -> double, in mm: asked whether it was measured right, and it was */
  guint refresh_id, open_count;
  bool selecting, low;
  GtkWidget *box, *unit, *wearer_head, *list, *empty, *add;
  GtkWidget *card, *title, *figure_slot, *how, *says, *remove, *rename;
  GtkWidget *rare, *rare_words;
};

G_DEFINE_FINAL_TYPE (AppMeasuresPane, app_measures_pane, GTK_TYPE_WIDGET)

static ModelUnit
unit_of (AppMeasuresPane *self)
{
  return self->session != NULL ? app_session_document (self->session)->head->unit : MODEL_UNIT_MM;
}

static const char *
measure_name (const ModelMeasure *measure)
{
  const ModelMeasureDef *def = model_measure_def (measure->key);
  if (measure->name != NULL && measure->name[0] != '\0')
    return measure->name;
  return def != NULL ? _ (def->name) : _ ("A measure of your own");
}

static bool
form_agrees (AppSession *session, guint measure_id)
{
  const GPtrArray *findings = engine_review_findings (app_session_review (session));
  for (guint i = 0; i < findings->len; i++)
  {
    const EngineFinding *f = g_ptr_array_index (findings, i);
    if (f->check == &engine_check_form_against_wearer && f->measure_id == measure_id && !f->holds)
      return false;
  }
  return true;
}

/* What is asked about the wearer's figure, NULL if nothing or if it was answered for just this figure. */
static char *
rare_words (AppMeasuresPane *self, const ModelMeasure *measure)
{
  const double *answered = g_hash_table_lookup (self->answered, GUINT_TO_POINTER (measure->id));
  if (!measure->has_wearer || (answered != NULL && fabs (*answered - measure->wearer_mm) < SAME_MM))
    return NULL;
  EnginePlausible found = engine_plausible (measure->key, measure->wearer_mm, unit_of (self));
  return engine_plausible_words (&found, unit_of (self));
}

/* ---- changes ---- */

static void
put_measure (AppSession *session, ModelMeasure *measure_taken)
{
  ModelHistory *history = app_session_history (session);
  g_autofree char *label = g_strdup_printf (_ ("Change %s"), measure_name (measure_taken));
  model_history_begin (history, label);
  model_history_put_measure (history, measure_taken);
  model_history_end (history);
}

static void
set_figure (AppMeasuresPane *self, AppUnitEntry *entry, double mm, bool form)
{
  guint id = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (entry), "measure"));
  const ModelMeasure *old = model_document_measure (app_session_document (self->session), id);
  if (old == NULL)
    return;
  ModelMeasure *measure = model_measure_copy (old);
  if (form)
  {
    measure->has_form = !isnan (mm);
    measure->form_mm = measure->has_form ? mm : 0.0;
  }
  else
  {
    measure->has_wearer = !isnan (mm);
    measure->wearer_mm = measure->has_wearer ? mm : 0.0;
    g_autoptr (GDateTime) now = g_date_time_new_now_local ();
    g_free (measure->date);
    measure->date = g_date_time_format (now, "%Y-%m-%d");
  }
  put_measure (self->session, measure);
}

static void
on_wearer (AppUnitEntry *entry, double mm, AppMeasuresPane *self)
{
  set_figure (self, entry, mm, false);
}

static void
on_form (AppUnitEntry *entry, double mm, AppMeasuresPane *self)
{
  set_figure (self, entry, mm, true);
}

static void
on_remove (AppMeasuresPane *self)
{
  guint id = app_session_selection (self->session)->measure_id;
  const ModelMeasure *measure = model_document_measure (app_session_document (self->session), id);
  if (measure == NULL)
    return;
  ModelHistory *history = app_session_history (self->session);
  g_autofree char *label = g_strdup_printf (_ ("Remove %s"), measure_name (measure));
  model_history_begin (history, label);
  model_history_remove (history, MODEL_PART_MEASURE, id);
  model_history_end (history);
}

static void
on_rename (AppMeasuresPane *self)
{
  guint id = app_session_selection (self->session)->measure_id;
  const ModelMeasure *old = model_document_measure (app_session_document (self->session), id);
  const char *name = gtk_editable_get_text (GTK_EDITABLE (self->rename));
  if (old == NULL || old->key != NULL || name[0] == '\0' || g_strcmp0 (old->name, name) == 0)
    return;
  ModelMeasure *measure = model_measure_copy (old);
  g_free (measure->name);
  measure->name = g_strdup (name);
  put_measure (self->session, measure);
}

/* ---- the menu ---- */

static void
add_measure (AppSession *session, const ModelMeasureDef *def)
{
  ModelMeasure *measure = model_measure_new ();
  g_free (measure->name);
  measure->name = g_strdup (def != NULL ? _ (def->name) : _ ("My measure"));
  if (def != NULL)
  {
    g_free (measure->key);
    measure->key = g_strdup (def->key);
    measure->group = def->group;
  }
  ModelHistory *history = app_session_history (session);
  g_autofree char *label = g_strdup_printf (_ ("Add %s"), measure->name);
  model_history_begin (history, label);
  guint id = model_history_put_measure (history, measure);
  model_history_end (history);
  app_session_select_measure (session, id);
}

static void
on_menu_row (GtkListBox *list, GtkListBoxRow *row, AppSession *session)
{
  const ModelMeasureDef *def = g_object_get_data (G_OBJECT (row), "def");
  GtkWidget *popover = gtk_widget_get_ancestor (GTK_WIDGET (list), GTK_TYPE_POPOVER);
  gtk_popover_popdown (GTK_POPOVER (popover));
  add_measure (session, def);
}

static const char *
group_words (ModelMeasureGroup group)
{
  switch (group)
  {
  case MODEL_MEASURE_ROUND:
    return _ ("Round");
  case MODEL_MEASURE_ACROSS:
    return _ ("Across");
  case MODEL_MEASURE_ALONG:
    return _ ("Along");
  }
  return "";
}

static bool
has_key (const ModelDocument *doc, const char *key)
{
  for (guint i = 0; i < doc->measures->len; i++)
    if (g_strcmp0 (((ModelMeasure *)g_ptr_array_index (doc->measures, i))->key, key) == 0)
      return true;
  return false;
}

static void
menu_add_heading (GtkListBox *list, const char *text)
{
  GtkWidget *row = gtk_list_box_row_new ();
  GtkWidget *label = app_label_new (text, "pw-small pw-dim pw-strong");
  gtk_widget_set_margin_top (label, 8);
  gtk_widget_set_margin_start (label, 8);
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), label);
  gtk_list_box_row_set_activatable (GTK_LIST_BOX_ROW (row), FALSE);
  gtk_list_box_row_set_selectable (GTK_LIST_BOX_ROW (row), FALSE);
  gtk_widget_set_can_focus (row, FALSE);
  gtk_list_box_append (list, row);
}

static void
menu_add (GtkListBox *list, const char *text, const char *tip, const ModelMeasureDef *def)
{
  GtkWidget *row = gtk_list_box_row_new ();
  GtkWidget *label = app_label_new (text, NULL);
  gtk_widget_set_margin_start (label, 8);
  gtk_widget_set_margin_end (label, 8);
  gtk_widget_set_size_request (label, -1, 28);
  gtk_widget_set_tooltip_text (row, tip);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, text, -1);
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), label);
  g_object_set_data (G_OBJECT (row), "def", (gpointer)def);
  gtk_list_box_append (list, row);
}

GtkWidget *
app_measure_menu_new (AppSession *session)
{
  GtkWidget *list = gtk_list_box_new ();
  gtk_list_box_set_selection_mode (GTK_LIST_BOX (list), GTK_SELECTION_NONE);
  guint count;
  const ModelMeasureDef *book = model_measure_book (&count);
  const ModelDocument *doc = app_session_document (session);
  for (int group = MODEL_MEASURE_ROUND; group <= MODEL_MEASURE_ALONG; group++)
  {
    bool headed = false;
    for (guint i = 0; i < count; i++)
      if ((int)book[i].group == group && !has_key (doc, book[i].key))
      {
        if (!headed)
          menu_add_heading (GTK_LIST_BOX (list), group_words ((ModelMeasureGroup)group));
        headed = true;
        menu_add (GTK_LIST_BOX (list), _ (book[i].name), _ (book[i].how), &book[i]);
      }
  }
  menu_add_heading (GTK_LIST_BOX (list), _ ("Your own"));
  menu_add (GTK_LIST_BOX (list), _ ("A measure of your own"),
            _ ("Give it a name and take it the same way each time."), NULL);
  g_signal_connect_object (list, "row-activated", G_CALLBACK (on_menu_row), session, 0);

  GtkWidget *scroller = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scroller), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_propagate_natural_height (GTK_SCROLLED_WINDOW (scroller), TRUE);
  gtk_scrolled_window_set_max_content_height (GTK_SCROLLED_WINDOW (scroller), 420);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scroller), list);
  gtk_widget_set_size_request (scroller, 240, -1);
  GtkWidget *popover = gtk_popover_new ();
  gtk_popover_set_child (GTK_POPOVER (popover), scroller);
  return popover;
}

static void
make_menu (GtkMenuButton *button, gpointer user)
{
  AppMeasuresPane *self = user;
  gtk_menu_button_set_popover (button, self->session != NULL ? app_measure_menu_new (self->session) : NULL);
}

/* ---- rows ---- */

static void
on_row_focus (GtkEventControllerFocus *focus, AppMeasuresPane *self)
{
  GtkWidget *row = gtk_event_controller_get_widget (GTK_EVENT_CONTROLLER (focus));
  if (!gtk_list_box_row_is_selected (GTK_LIST_BOX_ROW (row)))
    gtk_list_box_select_row (GTK_LIST_BOX (self->list), GTK_LIST_BOX_ROW (row));
}

static GtkWidget *
figure_field (AppMeasuresPane *self, guint id, const char *classes, GCallback committed)
{
  GtkWidget *entry = app_unit_entry_new ();
  app_add_classes (entry, classes);
  app_unit_entry_set_width (APP_UNIT_ENTRY (entry), 4);
  app_unit_entry_set_decimals (APP_UNIT_ENTRY (entry), 0);
  app_unit_entry_set_range (APP_UNIT_ENTRY (entry), LEAST_MM, MOST_MM);
  app_unit_entry_set_optional (APP_UNIT_ENTRY (entry), "–");
  gtk_widget_set_size_request (entry, FIGURE_WIDTH, -1);
  gtk_widget_set_valign (entry, GTK_ALIGN_CENTER);
  g_object_set_data (G_OBJECT (entry), "measure", GUINT_TO_POINTER (id));
  g_signal_connect (entry, "committed", committed, self);
  return entry;
}

static MeasureRow *
row_new (AppMeasuresPane *self, guint id)
{
  MeasureRow *r = g_new0 (MeasureRow, 1);
  r->id = id;
  r->row = gtk_list_box_row_new ();
  app_add_classes (r->row, "pw-row pw-measure");
  g_object_set_data (G_OBJECT (r->row), "measure", GUINT_TO_POINTER (id));
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);
  r->name = app_label_new (NULL, "pw-name");
  gtk_widget_set_hexpand (r->name, TRUE);
  /* Half a name is no name: where the side is narrow it takes two lines. */
  gtk_label_set_wrap (GTK_LABEL (r->name), TRUE);
  gtk_label_set_lines (GTK_LABEL (r->name), 2);
  r->rare = gtk_label_new ("?");
  app_add_classes (r->rare, "pw-dim pw-strong");
  gtk_widget_set_visible (r->rare, FALSE);
  r->wearer = figure_field (self, id, "pw-quiet pw-strong", G_CALLBACK (on_wearer));
  r->form = figure_field (self, id, "pw-quiet pw-dim", G_CALLBACK (on_form));
  r->symbol = gtk_image_new_from_icon_name ("panelwright-not-agreeing-symbolic");
  gtk_image_set_pixel_size (GTK_IMAGE (r->symbol), 12);
  gtk_widget_add_css_class (r->symbol, "pw-madder");
  gtk_widget_set_size_request (r->symbol, 12, -1);
  r->differs = gtk_label_new (NULL);
  gtk_label_set_xalign (GTK_LABEL (r->differs), 1.0F);
  app_add_classes (r->differs, "pw-number");
  gtk_widget_set_size_request (r->differs, 28, -1);
  gtk_box_append (GTK_BOX (box), r->name);
  gtk_box_append (GTK_BOX (box), r->rare);
  gtk_box_append (GTK_BOX (box), r->wearer);
  gtk_box_append (GTK_BOX (box), r->form);
  gtk_box_append (GTK_BOX (box), r->symbol);
  gtk_box_append (GTK_BOX (box), r->differs);
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (r->row), box);
  GtkEventController *focus = gtk_event_controller_focus_new ();
  g_signal_connect (focus, "enter", G_CALLBACK (on_row_focus), self);
  gtk_widget_add_controller (r->row, focus);
  return r;
}

/* The whole row in words: colour and place in the columns say nothing to a screen reader. */
static void
row_speak (AppMeasuresPane *self, MeasureRow *r, const ModelMeasure *measure, bool agrees)
{
  ModelUnit unit = unit_of (self);
  const char *name = measure_name (measure);
  g_autofree char *wearer = model_unit_text (measure->wearer_mm, unit, 0);
  g_autofree char *form = model_unit_text (measure->form_mm, unit, 0);
  g_autofree char *spoken
    = measure->has_wearer && measure->has_form ? g_strdup_printf (
        agrees ? _ ("%s: wearer %s, form %s; agrees") : _ ("%s: wearer %s, form %s; does not agree"), name,
        wearer, form)
      : measure->has_wearer ? g_strdup_printf (_ ("%s: wearer %s, form not measured"), name, wearer)
      : measure->has_form   ? g_strdup_printf (_ ("%s: form %s, wearer not measured"), name, form)
                            : g_strdup_printf (_ ("%s: not measured"), name);
  gtk_accessible_update_property (GTK_ACCESSIBLE (r->row), GTK_ACCESSIBLE_PROPERTY_LABEL, spoken, -1);
}

static void
row_show (AppMeasuresPane *self, MeasureRow *r, const ModelMeasure *measure)
{
  const char *name = measure_name (measure);
  ModelUnit unit = unit_of (self);
  app_label_set (r->name, name);
  const ModelMeasureDef *def = model_measure_def (measure->key);
  g_autofree char *tip = def != NULL ? g_strdup_printf ("%s. %s", name, _ (def->how)) : g_strdup (name);
  gtk_widget_set_tooltip_text (r->name, tip);
  g_autofree char *wearer_name = g_strdup_printf (_ ("%s, wearer"), name);
  g_autofree char *form_name = g_strdup_printf (_ ("%s, form"), name);
  app_unit_entry_set_name (APP_UNIT_ENTRY (r->wearer), wearer_name);
  app_unit_entry_set_name (APP_UNIT_ENTRY (r->form), form_name);
  int chars = unit == MODEL_UNIT_MM ? 4 : unit == MODEL_UNIT_CM ? 5 : 7;
  app_unit_entry_set_width (APP_UNIT_ENTRY (r->wearer), chars);
  /* Sixteenths take room; the side grows for them rather than cut the names. */
  gtk_label_set_width_chars (GTK_LABEL (r->name), unit == MODEL_UNIT_INCH ? INCH_NAME_CHARS : -1);
  app_unit_entry_set_width (APP_UNIT_ENTRY (r->form), chars);
  app_unit_entry_set_unit (APP_UNIT_ENTRY (r->wearer), unit);
  app_unit_entry_set_unit (APP_UNIT_ENTRY (r->form), unit);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (r->wearer), measure->has_wearer ? measure->wearer_mm : NAN);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (r->form), measure->has_form ? measure->form_mm : NAN);

  g_autofree char *rare = rare_words (self, measure);
  gtk_widget_set_visible (r->rare, rare != NULL);
  gtk_widget_set_tooltip_text (r->rare, rare);
  GtkAccessible *field = GTK_ACCESSIBLE (app_unit_entry_field (APP_UNIT_ENTRY (r->wearer)));
  if (rare != NULL)
    gtk_accessible_update_property (field, GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, rare, -1);
  else
    gtk_accessible_reset_property (field, GTK_ACCESSIBLE_PROPERTY_DESCRIPTION);

  bool both = measure->has_wearer && measure->has_form;
  bool agrees = !both || form_agrees (self->session, measure->id);
  g_autofree char *differs
    = both ? model_unit_signed (measure->form_mm - measure->wearer_mm, unit, 0) : g_strdup ("–");
  app_label_set (r->differs, differs);
  app_set_class (r->differs, "pw-madder", !agrees);
  app_set_class (r->differs, "pw-strong", !agrees);
  app_set_class (r->differs, "pw-dim", agrees);
  gtk_widget_set_opacity (r->symbol, agrees ? 0.0 : 1.0);
  if (!agrees)
    self->open_count++;
  row_speak (self, r, measure, agrees);
}

static bool
rows_match (AppMeasuresPane *self, const GPtrArray *measures)
{
  if (self->rows->len != measures->len)
    return false;
  for (guint i = 0; i < measures->len; i++)
    if (((MeasureRow *)g_ptr_array_index (self->rows, i))->id
        != ((ModelMeasure *)g_ptr_array_index (measures, i))->id)
      return false;
  return true;
}

static void
rebuild_rows (AppMeasuresPane *self, const GPtrArray *measures)
{
  self->selecting = true;
  for (guint i = 0; i < self->rows->len; i++)
    gtk_list_box_remove (GTK_LIST_BOX (self->list), ((MeasureRow *)g_ptr_array_index (self->rows, i))->row);
  g_ptr_array_set_size (self->rows, 0);
  for (guint i = 0; i < measures->len; i++)
  {
    MeasureRow *r = row_new (self, ((ModelMeasure *)g_ptr_array_index (measures, i))->id);
    g_ptr_array_add (self->rows, r);
    gtk_list_box_append (GTK_LIST_BOX (self->list), r->row);
  }
  self->selecting = false;
}

/* ---- the card below ---- */

static char *
differs_words (AppMeasuresPane *self, const ModelMeasure *measure)
{
  if (!measure->has_wearer || !measure->has_form)
    return g_strdup (_ ("The form was not measured here."));
  double by = measure->form_mm - measure->wearer_mm;
  g_autofree char *length = model_unit_text (fabs (by), unit_of (self), 0);
  if (fabs (by) < 0.5)
    return g_strdup (_ ("The form is alike."));
  if (by < 0)
    return g_strdup_printf (_ ("The form is %s smaller."), length);
  return g_strdup_printf (_ ("The form is %s larger."), length);
}

static void
show_card (AppMeasuresPane *self)
{
  const ModelMeasure *measure = NULL;
  if (self->session != NULL)
    measure = model_document_measure (app_session_document (self->session),
                                      app_session_selection (self->session)->measure_id);
  gtk_widget_set_visible (self->card, measure != NULL);
  if (measure == NULL)
    return;
  const ModelMeasureDef *def = model_measure_def (measure->key);
  app_label_set (self->title, measure_name (measure));
  gtk_widget_set_visible (self->rename, def == NULL);
  gtk_widget_set_visible (self->title, def != NULL);
  if (def == NULL
      && !gtk_widget_has_focus (GTK_WIDGET (gtk_editable_get_delegate (GTK_EDITABLE (self->rename)))))
    gtk_editable_set_text (GTK_EDITABLE (self->rename), measure_name (measure));
  app_label_set (self->how,
                 def != NULL ? _ (def->how) : _ ("A measure of your own: take it the same way each time."));
  g_autofree char *says = differs_words (self, measure);
  app_label_set (self->says, says);
  g_autofree char *rare = rare_words (self, measure);
  gtk_widget_set_visible (self->rare, rare != NULL);
  app_label_set (self->rare_words, rare != NULL ? rare : "");
  GtkWidget *figure = gtk_widget_get_first_child (self->figure_slot);
  bool shown
    = !self->low && figure != NULL && APP_IS_BODY_FIGURE (figure) && app_body_figure_knows (measure->key);
  gtk_widget_set_visible (self->figure_slot, shown);
  if (shown)
  {
    app_body_figure_set_document (APP_BODY_FIGURE (figure), app_session_document (self->session));
    app_body_figure_choose (APP_BODY_FIGURE (figure), measure->id);
  }
}

/* ---- following the session ---- */

static gboolean
refresh (GtkWidget *widget, GdkFrameClock *clock, gpointer user)
{
  AppMeasuresPane *self = APP_MEASURES_PANE (widget);
  self->refresh_id = 0;
  self->open_count = 0;
  if (self->session == NULL)
    return G_SOURCE_REMOVE;
  const ModelDocument *doc = app_session_document (self->session);
  if (!rows_match (self, doc->measures))
    rebuild_rows (self, doc->measures);
  for (guint i = 0; i < doc->measures->len; i++)
    row_show (self, g_ptr_array_index (self->rows, i), g_ptr_array_index (doc->measures, i));
  app_label_set (self->unit, model_unit_key (doc->head->unit));
  app_label_set (self->wearer_head, doc->head->wearer[0] != '\0' ? doc->head->wearer : _ ("wearer"));
  gtk_widget_set_visible (self->empty, doc->measures->len == 0);

  guint chosen = app_session_selection (self->session)->measure_id;
  self->selecting = true;
  gtk_list_box_unselect_all (GTK_LIST_BOX (self->list));
  for (guint i = 0; i < self->rows->len; i++)
  {
    MeasureRow *r = g_ptr_array_index (self->rows, i);
    if (r->id == chosen)
      gtk_list_box_select_row (GTK_LIST_BOX (self->list), GTK_LIST_BOX_ROW (r->row));
  }
  self->selecting = false;
  show_card (self);
  return G_SOURCE_REMOVE;
}

static void
queue (AppMeasuresPane *self)
{
  app_queue_refresh (GTK_WIDGET (self), &self->refresh_id, refresh);
}

static void
on_is_right (AppMeasuresPane *self)
{
  guint id = app_session_selection (self->session)->measure_id;
  const ModelMeasure *measure = model_document_measure (app_session_document (self->session), id);
  if (measure == NULL)
    return;
  double *answered = g_new (double, 1);
  *answered = measure->wearer_mm;
  g_hash_table_replace (self->answered, GUINT_TO_POINTER (id), answered);
  /* The button goes with the question; the keyboard goes back to the figure. */
  GtkWidget *field = app_measures_pane_field (self, id, false);
  if (field != NULL)
    gtk_widget_grab_focus (app_unit_entry_field (APP_UNIT_ENTRY (field)));
  queue (self);
}

static void
on_row_selected (GtkListBox *list, GtkListBoxRow *row, AppMeasuresPane *self)
{
  if (self->selecting || row == NULL || self->session == NULL)
    return;
  guint id = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (row), "measure"));
  if (app_session_selection (self->session)->measure_id != id)
    app_session_select_measure (self->session, id);
}

void
app_measures_pane_set_session (AppMeasuresPane *self, AppSession *session)
{
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  if (session != self->session)
    g_hash_table_remove_all (self->answered);
  g_set_object (&self->session, session);
  if (session != NULL)
  {
    g_signal_connect_swapped (session, "settled", G_CALLBACK (queue), self);
    g_signal_connect_swapped (session, "selection-changed", G_CALLBACK (queue), self);
    refresh (GTK_WIDGET (self), NULL, NULL);
  }
}

void
app_measures_pane_set_figure (AppMeasuresPane *self, GtkWidget *figure)
{
  gtk_box_append (GTK_BOX (self->figure_slot), figure);
}

void
app_measures_pane_set_low (AppMeasuresPane *self, bool low)
{
  if (self->low == low)
    return;
  self->low = low;
  queue (self);
}

guint
app_measures_pane_open_count (AppMeasuresPane *self)
{
  return self->open_count;
}

GtkWidget *
app_measures_pane_rare (AppMeasuresPane *self)
{
  return self->rare;
}

GtkWidget *
app_measures_pane_field (AppMeasuresPane *self, guint measure_id, bool form)
{
  for (guint i = 0; i < self->rows->len; i++)
  {
    MeasureRow *r = g_ptr_array_index (self->rows, i);
    if (r->id == measure_id)
      return form ? r->form : r->wearer;
  }
  return NULL;
}

/* ---- building ---- */

static GtkWidget *
column_heads (AppMeasuresPane *self)
{
  GtkWidget *heads = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);
  gtk_widget_set_margin_start (heads, 16);
  gtk_widget_set_margin_end (heads, 16);
  gtk_widget_set_margin_bottom (heads, 4);
  self->wearer_head = app_label_new (_ ("wearer"), "pw-small pw-dim");
  gtk_label_set_xalign (GTK_LABEL (self->wearer_head), 1.0F);
  gtk_widget_set_hexpand (self->wearer_head, TRUE);
  GtkWidget *form = app_label_new (_ ("form"), "pw-small pw-dim");
  gtk_label_set_xalign (GTK_LABEL (form), 1.0F);
  gtk_widget_set_size_request (form, FIGURE_WIDTH, -1);
  GtkWidget *differs = app_label_new (_ ("differs"), "pw-small pw-dim");
  gtk_label_set_xalign (GTK_LABEL (differs), 1.0F);
  gtk_widget_set_size_request (differs, 44, -1);
  gtk_box_append (GTK_BOX (heads), self->wearer_head);
  gtk_box_append (GTK_BOX (heads), form);
  gtk_box_append (GTK_BOX (heads), differs);
  return heads;
}

static GtkWidget *
definition_card (AppMeasuresPane *self)
{
  self->card = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
  app_add_classes (self->card, "pw-card");
  gtk_widget_set_margin_start (self->card, 10);
  gtk_widget_set_margin_end (self->card, 10);
  gtk_widget_set_margin_bottom (self->card, 12);
  GtkWidget *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 4);
  self->title = app_prose_new (NULL, "pw-strong");
  gtk_widget_set_hexpand (self->title, TRUE);
  self->rename = gtk_entry_new ();
  gtk_widget_set_hexpand (self->rename, TRUE);
  gtk_editable_set_width_chars (GTK_EDITABLE (self->rename), 6);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->rename), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("Name of the measure"), -1);
  g_signal_connect_swapped (self->rename, "activate", G_CALLBACK (on_rename), self);
  GtkEventController *focus = gtk_event_controller_focus_new ();
  g_signal_connect_swapped (focus, "leave", G_CALLBACK (on_rename), self);
  gtk_widget_add_controller (self->rename, focus);
  self->remove = app_icon_button_new ("user-trash-symbolic", "pw-icon", _ ("Remove the measure"),
                                      _ ("Remove the measure. Undo brings it back."), NULL);
  gtk_widget_set_valign (self->remove, GTK_ALIGN_START);
  g_signal_connect_swapped (self->remove, "clicked", G_CALLBACK (on_remove), self);
  gtk_box_append (GTK_BOX (head), self->title);
  gtk_box_append (GTK_BOX (head), self->rename);
  gtk_box_append (GTK_BOX (head), self->remove);
  self->figure_slot = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  self->how = app_prose_new (NULL, NULL);
  self->says = app_prose_new (NULL, "pw-dim");
  gtk_box_append (GTK_BOX (self->card), head);
  gtk_box_append (GTK_BOX (self->card), self->figure_slot);
  gtk_box_append (GTK_BOX (self->card), self->how);
  gtk_box_append (GTK_BOX (self->card), self->says);
  self->rare = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
  self->rare_words = app_prose_new (NULL, NULL);
  GtkWidget *right = app_button_new (_ ("It is right"), NULL, NULL);
  gtk_widget_set_tooltip_text (right, _ ("Not to be asked again for this figure."));
  gtk_widget_set_halign (right, GTK_ALIGN_START);
  g_signal_connect_swapped (right, "clicked", G_CALLBACK (on_is_right), self);
  gtk_box_append (GTK_BOX (self->rare), self->rare_words);
  gtk_box_append (GTK_BOX (self->rare), right);
  gtk_box_append (GTK_BOX (self->card), self->rare);
  return self->card;
}

static void
app_measures_pane_dispose (GObject *object)
{
  AppMeasuresPane *self = APP_MEASURES_PANE (object);
  app_measures_pane_set_session (self, NULL);
  g_clear_pointer (&self->box, gtk_widget_unparent);
  g_clear_pointer (&self->rows, g_ptr_array_unref);
  g_clear_pointer (&self->answered, g_hash_table_unref);
  G_OBJECT_CLASS (app_measures_pane_parent_class)->dispose (object);
}

static void
app_measures_pane_class_init (AppMeasuresPaneClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_measures_pane_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
app_measures_pane_init (AppMeasuresPane *self)
{
  self->rows = g_ptr_array_new_with_free_func (g_free);
  self->answered = g_hash_table_new_full (NULL, NULL, NULL, g_free);
  self->box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  gtk_widget_set_parent (self->box, GTK_WIDGET (self));

  GtkWidget *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  gtk_widget_set_margin_start (head, 16);
  gtk_widget_set_margin_end (head, 16);
  gtk_widget_set_margin_top (head, 16);
  gtk_widget_set_margin_bottom (head, 4);
  GtkWidget *heading = app_label_new (_ ("Measures"), "pw-heading");
  gtk_widget_set_hexpand (heading, TRUE);
  self->unit = app_label_new ("mm", "pw-small pw-dim");
  gtk_box_append (GTK_BOX (head), heading);
  gtk_box_append (GTK_BOX (head), self->unit);
  gtk_box_append (GTK_BOX (self->box), head);
  gtk_box_append (GTK_BOX (self->box), column_heads (self));

  self->list = gtk_list_box_new ();
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->list), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("Measures"),
                                  -1);
  g_signal_connect (self->list, "row-selected", G_CALLBACK (on_row_selected), self);
  self->empty = app_prose_new (
    _ ("No measures yet. Add the ones the panels depend on: they are held against the form."), "pw-empty");
  gtk_widget_set_margin_start (self->empty, 16);
  gtk_widget_set_margin_end (self->empty, 16);
  gtk_widget_set_margin_top (self->empty, 8);
  self->add = gtk_menu_button_new ();
  gtk_menu_button_set_label (GTK_MENU_BUTTON (self->add), _ ("Add a measure"));
  gtk_widget_set_halign (self->add, GTK_ALIGN_START);
  gtk_widget_set_margin_start (self->add, 12);
  gtk_widget_set_margin_top (self->add, 8);
  gtk_widget_set_margin_bottom (self->add, 12);
  app_add_classes (self->add, "pw-plain");
  gtk_widget_set_tooltip_text (self->add, _ ("Add a measure from the book, or one of your own."));
  gtk_menu_button_set_create_popup_func (GTK_MENU_BUTTON (self->add), make_menu, self, NULL);
  GtkWidget *inner = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  gtk_box_append (GTK_BOX (inner), self->empty);
  gtk_box_append (GTK_BOX (inner), self->list);
  gtk_box_append (GTK_BOX (inner), self->add);
  GtkWidget *scroller = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scroller), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scroller), inner);
  gtk_widget_set_vexpand (scroller, TRUE);
  gtk_box_append (GTK_BOX (self->box), scroller);
  gtk_box_append (GTK_BOX (self->box), definition_card (self));
  gtk_widget_set_visible (self->card, FALSE);
}

GtkWidget *
app_measures_pane_new (void)
{
  return g_object_new (APP_TYPE_MEASURES_PANE, NULL);
}
