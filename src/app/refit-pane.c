/* Everything is worked out again at each answer, which takes a few milliseconds; what comes out is previewed
 * on the canvas like a remedy, and nothing is changed before it is taken. */
#include "app/refit-pane.h"

#include "app/dialogs.h"
#include "app/label.h"
#include "app/unit-entry.h"
#include "engine/remedy.h"
#include "engine/words.h"
#include "model/file.h"

#include <glib/gi18n.h>
#include <math.h>

#define PROSE_CHARS 30
#define LEAST_PX 140
/* No measure of a body is outside. */
#define LEAST_MM 20.0
#define MOST_MM 3000.0
#define MOST_CHANGE_MM 600.0

struct _AppRefitPane
{
  GtkWidget parent;
  AppSession *session;
  EngineRefit *refit;  /* while open */
  GHashTable *entered; /* measure id -> double *: survives a step of undo */
  EngineRemedy *remedy;
  bool open, filling;
  guint refill;
  GtkWidget *box, *name, *measures, *heading, *proposals, *notes, *result, *broken, *legend, *take;
};

G_DEFINE_FINAL_TYPE (AppRefitPane, app_refit_pane, GTK_TYPE_WIDGET)

static GtkWidget *
narrow_prose (const char *text, const char *classes)
{
  GtkWidget *label = app_prose_new (text, classes);
  gtk_label_set_max_width_chars (GTK_LABEL (label), PROSE_CHARS);
  return label;
}

static void
empty (GtkWidget *box)
{
  GtkWidget *child;
  while ((child = gtk_widget_get_first_child (box)) != NULL)
    gtk_box_remove (GTK_BOX (box), child);
}

/* ---- what comes out ---- */

static EngineRemedy *
remedy_copy (const EngineRemedy *remedy)
{
  EngineRemedy *copy = engine_remedy_new (g_strdup (remedy->text), g_strdup (remedy->detail));
  for (guint i = 0; i < remedy->parts->len; i++)
  {
    ModelPart part = model_part_copy (g_array_index (remedy->parts, ModelPart, i));
    engine_remedy_add (copy, part.kind, part.body);
  }
  return copy;
}

/* "Chest line 972.0 mm of 972.0 mm": what every line makes afterwards. */
static void
show_outcomes (AppRefitPane *self)
{
  const ModelDocument *doc = app_session_document (self->session);
  const GArray *outcomes = engine_refit_outcomes (self->refit);
  g_autoptr (GString) words = g_string_new (NULL);
  for (guint i = 0; self->remedy != NULL && i < outcomes->len; i++)
  {
    const EngineRefitOutcome *outcome = &g_array_index (outcomes, EngineRefitOutcome, i);
    const ModelLine *line = model_document_line (doc, outcome->line_id);
    if (line == NULL)
      continue;
    g_autofree char *name = engine_words_line (line), *sum = engine_words_length (doc, outcome->sum_mm),
                    *wanted = engine_words_length (doc, outcome->wanted_mm);
    if (words->len > 0)
      g_string_append_c (words, '\n');
    /* Translators: a line, what the panels make there, what is wanted. */
    g_string_append_printf (words, _ ("%1$s: %2$s of %3$s"), name, sum, wanted);
  }
  app_label_set (self->result, words->str);
  gtk_widget_set_visible (self->result, words->len > 0);
}

static void
show_broken (AppRefitPane *self)
{
  const GPtrArray *broken = engine_refit_broken (self->refit), *words = engine_refit_words (self->refit);
  g_autoptr (GString) text = g_string_new (NULL);
  for (guint i = 0; i < words->len; i++)
    g_string_append_printf (text, "%s%s", text->len > 0 ? "\n" : "",
                            (const char *)g_ptr_array_index (words, i));
  for (guint i = 0; i < broken->len; i++)
    g_string_append_printf (text, "%s%s", text->len > 0 ? "\n" : "",
                            (const char *)g_ptr_array_index (broken, i));
  bool fine = self->remedy != NULL && text->len == 0;
  app_label_set (self->broken, fine ? _ ("Everything that held holds afterwards.") : text->str);
  app_set_class (self->broken, "pw-moss", fine);
  gtk_widget_set_visible (self->broken, fine || (text->len > 0 && g_hash_table_size (self->entered) > 0));
}

/* How the panels share, below each proposal. */
static void
show_growths (AppRefitPane *self)
{
  const GArray *proposals = engine_refit_proposals (self->refit);
  GtkWidget *row = gtk_widget_get_first_child (self->proposals);
  for (guint i = 0; row != NULL && i < proposals->len; i++, row = gtk_widget_get_next_sibling (row))
  {
    GtkWidget *label = g_object_get_data (G_OBJECT (row), "growth");
    const EngineRefitProposal *one = &g_array_index (proposals, EngineRefitProposal, i);
    g_autofree char *words
      = one->on && one->line_id != 0 ? engine_refit_growth_words (self->refit, one->line_id) : g_strdup ("");
    app_label_set (label, words);
    gtk_widget_set_visible (label, words[0] != '\0');
  }
}

static void
work (AppRefitPane *self)
{
  g_clear_pointer (&self->remedy, engine_remedy_free);
  const char *name = gtk_editable_get_text (GTK_EDITABLE (self->name));
  if (engine_refit_proposals (self->refit)->len > 0)
    self->remedy = engine_refit_work (self->refit, name[0] != '\0' ? name : NULL);
  if (self->remedy != NULL || app_session_previewed (self->session) != NULL)
    app_session_preview (self->session, self->remedy != NULL ? remedy_copy (self->remedy) : NULL);
  show_outcomes (self);
  show_broken (self);
  show_growths (self);
  gtk_widget_set_visible (self->take, self->remedy != NULL);
  gtk_widget_set_visible (self->legend, self->remedy != NULL);
}

/* ---- proposals ---- */

static EngineRefitProposal *
proposal_at (AppRefitPane *self, guint index)
{
  GArray *proposals = engine_refit_proposals (self->refit);
  return index < proposals->len ? &g_array_index (proposals, EngineRefitProposal, index) : NULL;
}

static guint
index_of (gpointer widget)
{
  return GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (widget), "index"));
}

static void
show_words (AppRefitPane *self, guint index)
{
  GtkWidget *row = gtk_widget_get_first_child (self->proposals);
  for (guint i = 0; row != NULL && i < index; i++)
    row = gtk_widget_get_next_sibling (row);
  const EngineRefitProposal *one = proposal_at (self, index);
  if (row == NULL || one == NULL)
    return;
  g_autofree char *words = engine_refit_proposal_words (app_session_review (self->session), one);
  app_label_set (g_object_get_data (G_OBJECT (row), "words"), words);
}

static void
on_toggled (GtkCheckButton *button, AppRefitPane *self)
{
  EngineRefitProposal *one = self->filling ? NULL : proposal_at (self, index_of (button));
  if (one == NULL)
    return;
  one->on = gtk_check_button_get_active (button);
  work (self);
}

static void
on_amount (AppUnitEntry *entry, double mm, AppRefitPane *self)
{
  EngineRefitProposal *one = self->filling ? NULL : proposal_at (self, index_of (entry));
  if (one == NULL)
    return;
  one->amount_mm = isfinite (mm) ? mm : one->needed_mm;
  app_unit_entry_set_mm (entry, one->amount_mm);
  show_words (self, index_of (entry));
  work (self);
}

static void
on_share (GtkDropDown *drop, GParamSpec *what, AppRefitPane *self)
{
  EngineRefitProposal *one = self->filling ? NULL : proposal_at (self, index_of (drop));
  const ModelLine *line
    = one != NULL ? model_document_line (app_session_document (self->session), one->line_id) : NULL;
  guint row = gtk_drop_down_get_selected (drop);
  if (line == NULL)
    return;
  one->share = row == 0 ? ENGINE_REFIT_BY_WIDTH : row == 1 ? ENGINE_REFIT_ALIKE : ENGINE_REFIT_ONLY;
  if (row >= 2 && row - 2 < line->spans->len)
    one->share_panel_id = g_array_index (line->spans, ModelSpan, row - 2).panel_id;
  work (self);
}

static GtkWidget *
share_new (AppRefitPane *self, const EngineRefitProposal *one, guint index)
{
  const ModelDocument *doc = app_session_document (self->session);
  const ModelLine *line = model_document_line (doc, one->line_id);
  g_autoptr (GtkStringList) rows = gtk_string_list_new (NULL);
  gtk_string_list_append (rows, _ ("by width"));
  gtk_string_list_append (rows, _ ("alike at every seam"));
  for (guint i = 0; line != NULL && i < line->spans->len; i++)
  {
    g_autofree char *name = engine_words_panel (doc, g_array_index (line->spans, ModelSpan, i).panel_id);
    /* Translators: the name of a panel that alone is to change. */
    g_autofree char *only = g_strdup_printf (_ ("%s only"), name);
    gtk_string_list_append (rows, only);
  }
  GtkWidget *drop = gtk_drop_down_new (G_LIST_MODEL (g_steal_pointer (&rows)), NULL);
  gtk_widget_set_hexpand (drop, TRUE);
  gtk_widget_set_tooltip_text (drop, _ ("How the panels share. Both edges of a seam always change alike."));
  gtk_accessible_update_property (GTK_ACCESSIBLE (drop), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("How the panels share"), -1);
  g_object_set_data (G_OBJECT (drop), "index", GUINT_TO_POINTER (index));
  g_signal_connect (drop, "notify::selected", G_CALLBACK (on_share), self);
  return drop;
}

static GtkWidget *
proposal_row (AppRefitPane *self, const EngineRefitProposal *one, guint index)
{
  GtkWidget *row = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4), *check = gtk_check_button_new (),
            *line = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 6);
  g_autofree char *words = engine_refit_proposal_words (app_session_review (self->session), one);
  GtkWidget *label = narrow_prose (words, "pw-number");
  gtk_check_button_set_child (GTK_CHECK_BUTTON (check), label);
  gtk_check_button_set_active (GTK_CHECK_BUTTON (check), one->on);
  gtk_accessible_update_property (GTK_ACCESSIBLE (check), GTK_ACCESSIBLE_PROPERTY_LABEL, words, -1);
  g_object_set_data (G_OBJECT (check), "index", GUINT_TO_POINTER (index));
  g_signal_connect (check, "toggled", G_CALLBACK (on_toggled), self);
  GtkWidget *amount = app_unit_entry_new ();
  app_unit_entry_set_unit (APP_UNIT_ENTRY (amount), app_session_document (self->session)->head->unit);
  app_unit_entry_set_range (APP_UNIT_ENTRY (amount), -MOST_CHANGE_MM, MOST_CHANGE_MM);
  app_unit_entry_set_width (APP_UNIT_ENTRY (amount), 9);
  app_unit_entry_set_name (APP_UNIT_ENTRY (amount), words);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (amount), one->amount_mm);
  g_object_set_data (G_OBJECT (amount), "index", GUINT_TO_POINTER (index));
  g_signal_connect (amount, "committed", G_CALLBACK (on_amount), self);
  gtk_widget_set_margin_start (line, 26);
  gtk_box_append (GTK_BOX (line), amount);
  if (one->kind == ENGINE_REFIT_WIDTH)
    gtk_box_append (GTK_BOX (line), share_new (self, one, index));
  GtkWidget *growth = narrow_prose (NULL, "pw-small pw-dim pw-number");
  gtk_widget_set_margin_start (growth, 26);
  gtk_box_append (GTK_BOX (row), check);
  gtk_box_append (GTK_BOX (row), line);
  gtk_box_append (GTK_BOX (row), growth);
  g_object_set_data (G_OBJECT (row), "words", label);
  g_object_set_data (G_OBJECT (row), "growth", growth);
  return row;
}

/* Which proposal holds the keyboard, -1: none. */
static int
focused_row (AppRefitPane *self)
{
  GtkRoot *root = gtk_widget_get_root (GTK_WIDGET (self));
  GtkWidget *focus = root != NULL ? gtk_root_get_focus (root) : NULL;
  int index = 0;
  for (GtkWidget *row = gtk_widget_get_first_child (self->proposals); row != NULL && focus != NULL;
       row = gtk_widget_get_next_sibling (row), index++)
    if (gtk_widget_is_ancestor (focus, row))
      return index;
  return -1;
}

static void
focus_row (AppRefitPane *self, int index)
{
  GtkWidget *row = gtk_widget_get_first_child (self->proposals);
  for (int i = 0; row != NULL && i < index && gtk_widget_get_next_sibling (row) != NULL; i++)
    row = gtk_widget_get_next_sibling (row);
  if (row != NULL && index >= 0)
    gtk_widget_child_focus (row, GTK_DIR_TAB_FORWARD);
}

static void
fill_proposals (AppRefitPane *self)
{
  const GArray *proposals = engine_refit_proposals (self->refit);
  const GPtrArray *notes = engine_refit_notes (self->refit);
  int focused = focused_row (self);
  empty (self->proposals);
  empty (self->notes);
  self->filling = true;
  for (guint i = 0; i < proposals->len; i++)
    gtk_box_append (GTK_BOX (self->proposals),
                    proposal_row (self, &g_array_index (proposals, EngineRefitProposal, i), i));
  for (guint i = 0; i < notes->len; i++)
    gtk_box_append (GTK_BOX (self->notes), narrow_prose (g_ptr_array_index (notes, i), "pw-small pw-dim"));
  self->filling = false;
  gtk_widget_set_visible (self->heading, proposals->len + notes->len > 0);
  focus_row (self, focused);
}

/* ---- measures ---- */

static void
set_entered (AppRefitPane *self, guint measure_id, double mm)
{
  double *kept = g_new (double, 1);
  *kept = mm;
  g_hash_table_replace (self->entered, GUINT_TO_POINTER (measure_id), kept);
  engine_refit_set (self->refit, measure_id, mm);
}

static gboolean
refill (GtkWidget *widget, GdkFrameClock *clock, gpointer user)
{
  AppRefitPane *self = APP_REFIT_PANE (widget);
  self->refill = 0;
  if (self->refit != NULL)
  {
    fill_proposals (self);
    work (self);
  }
  return G_SOURCE_REMOVE;
}

/* The field is being left, perhaps for a row that would go: that waits for the next frame. */
static void
on_measure (AppUnitEntry *entry, double mm, AppRefitPane *self)
{
  if (self->filling || self->refit == NULL)
    return;
  set_entered (self, GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (entry), "measure")), mm);
  app_queue_refresh (GTK_WIDGET (self), &self->refill, refill);
}

static void
add_measure (AppRefitPane *self, const EngineRefitMeasure *measure)
{
  const ModelDocument *doc = app_session_document (self->session);
  const ModelMeasure *its = model_document_measure (doc, measure->measure_id);
  g_autofree char *name = engine_words_measure (its);
  GtkWidget *row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 6), *title = app_label_new (name, NULL);
  gtk_widget_set_hexpand (title, TRUE);
  g_autofree char *was
    = measure->has_was ? model_unit_text (measure->was_mm, doc->head->unit, 0) : g_strdup ("–");
  GtkWidget *present = app_label_new (was, "pw-dim pw-number");
  GtkWidget *entry = app_unit_entry_new ();
  app_unit_entry_set_unit (APP_UNIT_ENTRY (entry), doc->head->unit);
  app_unit_entry_set_decimals (APP_UNIT_ENTRY (entry), 0);
  app_unit_entry_set_optional (APP_UNIT_ENTRY (entry), NULL);
  app_unit_entry_set_range (APP_UNIT_ENTRY (entry), LEAST_MM, MOST_MM);
  app_unit_entry_set_shows_unit (APP_UNIT_ENTRY (entry), false);
  app_unit_entry_set_width (APP_UNIT_ENTRY (entry), 6);
  /* Translators: the name of a measure. */
  g_autofree char *spoken = g_strdup_printf (_ ("%s of the other wearer"), name);
  app_unit_entry_set_name (APP_UNIT_ENTRY (entry), spoken);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (entry), measure->has_will ? measure->will_mm : NAN);
  g_object_set_data (G_OBJECT (entry), "measure", GUINT_TO_POINTER (measure->measure_id));
  g_signal_connect (entry, "committed", G_CALLBACK (on_measure), self);
  gtk_box_append (GTK_BOX (row), title);
  gtk_box_append (GTK_BOX (row), present);
  gtk_box_append (GTK_BOX (row), entry);
  gtk_box_append (GTK_BOX (self->measures), row);
}

static void
fill_measures (AppRefitPane *self)
{
  const GArray *measures = engine_refit_measures (self->refit);
  self->filling = true;
  empty (self->measures);
  for (guint i = 0; i < measures->len; i++)
    add_measure (self, &g_array_index (measures, EngineRefitMeasure, i));
  self->filling = false;
}

/* ---- from outside ---- */

/* From the document as it is now, with what was entered. */
static void
start (AppRefitPane *self)
{
  g_clear_pointer (&self->refit, engine_refit_free);
  g_clear_pointer (&self->remedy, engine_remedy_free);
  self->refit = engine_refit_new (app_session_review (self->session));
  GHashTableIter iter;
  gpointer id, mm;
  g_hash_table_iter_init (&iter, self->entered);
  while (g_hash_table_iter_next (&iter, &id, &mm))
    engine_refit_set (self->refit, GPOINTER_TO_UINT (id), *(double *)mm);
  fill_measures (self);
  fill_proposals (self);
  work (self);
}

static void
on_settled (AppRefitPane *self)
{
  if (self->open && self->session != NULL)
    start (self);
}

void
app_refit_pane_enter (AppRefitPane *self, guint measure_id, double mm)
{
  set_entered (self, measure_id, mm);
  fill_proposals (self);
  work (self);
}

void
app_refit_pane_read (AppRefitPane *self, const ModelDocument *other)
{
  engine_refit_read (self->refit, other);
  const GArray *measures = engine_refit_measures (self->refit);
  for (guint i = 0; i < measures->len; i++)
  {
    EngineRefitMeasure one = g_array_index (measures, EngineRefitMeasure, i);
    set_entered (self, one.measure_id, one.has_will ? one.will_mm : NAN);
  }
  if (other->head->wearer[0] != '\0')
    gtk_editable_set_text (GTK_EDITABLE (self->name), other->head->wearer);
  fill_measures (self);
  fill_proposals (self);
  work (self);
}

void
app_refit_pane_choose (AppRefitPane *self, guint index, bool on, double amount_mm)
{
  EngineRefitProposal *one = proposal_at (self, index);
  if (one == NULL)
    return;
  one->on = on;
  one->amount_mm = amount_mm;
  fill_proposals (self);
  work (self);
}

EngineRefit *
app_refit_pane_refit (AppRefitPane *self)
{
  return self->refit;
}

void
app_refit_pane_take (AppRefitPane *self)
{
  if (self->remedy == NULL)
    return;
  EngineRemedy *taken = g_steal_pointer (&self->remedy);
  g_hash_table_remove_all (self->entered);
  gtk_editable_set_text (GTK_EDITABLE (self->name), "");
  app_session_preview (self->session, NULL);
  app_session_take_remedy (self->session, taken);
  engine_remedy_free (taken);
}

static void
on_files_chosen (GtkWindow *parent, GListModel *files, gpointer user)
{
  g_autoptr (AppRefitPane) self = user;
  g_autoptr (GFile) file = g_list_model_get_item (files, 0);
  g_autoptr (GError) error = NULL;
  if (parent == NULL || self->refit == NULL)
    return;
  g_autoptr (ModelDocument) other = model_document_load (file, NULL, &error);
  if (other == NULL)
    app_dialog_tell (parent, _ ("The document could not be read."), error->message);
  else
    app_refit_pane_read (self, other);
}

static void
on_read (AppRefitPane *self)
{
  app_dialog_open (GTK_WINDOW (gtk_widget_get_root (GTK_WIDGET (self))), on_files_chosen,
                   g_object_ref (self));
}

void
app_refit_pane_set_session (AppRefitPane *self, AppSession *session)
{
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_clear_pointer (&self->refit, engine_refit_free);
  g_clear_pointer (&self->remedy, engine_remedy_free);
  g_hash_table_remove_all (self->entered);
  g_set_object (&self->session, session);
  if (session != NULL)
    g_signal_connect_swapped (session, "settled", G_CALLBACK (on_settled), self);
}

void
app_refit_pane_set_open (AppRefitPane *self, bool open)
{
  if (self->open == open)
    return;
  self->open = open;
  if (self->session == NULL)
    return;
  if (open)
  {
    start (self);
    return;
  }
  if (self->remedy != NULL)
    app_session_preview (self->session, NULL);
  g_clear_pointer (&self->refit, engine_refit_free);
  g_clear_pointer (&self->remedy, engine_remedy_free);
  g_hash_table_remove_all (self->entered);
  gtk_editable_set_text (GTK_EDITABLE (self->name), "");
}

/* ---- building ---- */

static void
build_question (AppRefitPane *self, GtkWidget *box)
{
  gtk_box_append (GTK_BOX (box),
                  narrow_prose (_ ("Enter the other wearer’s measures beside the present ones, or read them "
                                   "from a document."),
                                "pw-small pw-dim"));
  self->name = gtk_entry_new ();
  gtk_entry_set_placeholder_text (GTK_ENTRY (self->name), _ ("wearer B"));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->name), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("The other wearer"), -1);
  GtkWidget *read = app_button_new (_ ("Read from a document…"), "pw-link pw-small", NULL);
  gtk_widget_set_halign (read, GTK_ALIGN_START);
  g_signal_connect_swapped (read, "clicked", G_CALLBACK (on_read), self);
  self->measures = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
  gtk_box_append (GTK_BOX (box), self->name);
  gtk_box_append (GTK_BOX (box), read);
  gtk_box_append (GTK_BOX (box), self->measures);
}

static void
app_refit_pane_dispose (GObject *object)
{
  AppRefitPane *self = APP_REFIT_PANE (object);
  self->filling = true;
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_clear_pointer (&self->refit, engine_refit_free);
  g_clear_pointer (&self->remedy, engine_remedy_free);
  g_clear_object (&self->session);
  g_clear_pointer (&self->box, gtk_widget_unparent);
  g_clear_pointer (&self->entered, g_hash_table_unref);
  G_OBJECT_CLASS (app_refit_pane_parent_class)->dispose (object);
}

static void
app_refit_pane_class_init (AppRefitPaneClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_refit_pane_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
app_refit_pane_init (AppRefitPane *self)
{
  self->entered = g_hash_table_new_full (NULL, NULL, NULL, g_free);
  self->box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8);
  GtkWidget *inner = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8), *scroller = gtk_scrolled_window_new ();
  gtk_widget_set_margin_end (inner, 8);
  build_question (self, inner);
  self->heading = app_label_new (_ ("What this asks for"), "pw-strong");
  self->proposals = gtk_box_new (GTK_ORIENTATION_VERTICAL, 12);
  self->notes = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
  gtk_box_append (GTK_BOX (inner), self->heading);
  gtk_box_append (GTK_BOX (inner), self->proposals);
  gtk_box_append (GTK_BOX (inner), self->notes);
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scroller), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_min_content_height (GTK_SCROLLED_WINDOW (scroller), LEAST_PX);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scroller), inner);
  gtk_widget_set_vexpand (scroller, TRUE);
  self->result = narrow_prose (NULL, "pw-small pw-number");
  self->broken = narrow_prose (NULL, "pw-small pw-number");
  self->legend = narrow_prose (_ ("shown as a preview; nothing is changed yet"), "pw-small pw-dim");
  self->take = app_button_new (_ ("Take it"), "pw-stamp", NULL);
  g_signal_connect_swapped (self->take, "clicked", G_CALLBACK (app_refit_pane_take), self);
  gtk_box_append (GTK_BOX (self->box), scroller);
  gtk_box_append (GTK_BOX (self->box), self->result);
  gtk_box_append (GTK_BOX (self->box), self->broken);
  gtk_box_append (GTK_BOX (self->box), self->legend);
  gtk_box_append (GTK_BOX (self->box), self->take);
  gtk_widget_set_parent (self->box, GTK_WIDGET (self));
}

GtkWidget *
app_refit_pane_new (void)
{
  return g_object_new (APP_TYPE_REFIT_PANE, NULL);
}
