/* The offers are worked out when a note is chosen or a step of undo is complete; the chosen one is previewed
 * on the canvas like a remedy, and nothing is changed before it is taken. */
#include "app/fitting-pane.h"

#include "app/label.h"
#include "app/meet-card.h"
#include "app/unit-entry.h"
#include "engine/fit.h"
#include "engine/join-edit.h"
#include "engine/remedy.h"

#include <glib/gi18n.h>

#define MOST_MM 500.0
#define PROSE_CHARS 30

struct _AppFittingPane
{
  GtkWidget parent;
  AppSession *session;
  AppCanvas *canvas; /* borrowed */
  guint chosen, index;
  guint edited;      /* the note whose words are in the fields; 0: what is in them becomes a new one */
  GPtrArray *offers; /* EngineRemedy */
  bool open, filling;
  GtkWidget *box, *where, *seen, *amount, *text, *add, *list, *none, *answer, *choices, *legend, *take, *move,
    *meet;
};

G_DEFINE_FINAL_TYPE (AppFittingPane, app_fitting_pane, GTK_TYPE_WIDGET)

/* Wraps in the column: a sentence in one line would take the paper's room. */
static GtkWidget *
narrow_prose (const char *text, const char *classes)
{
  GtkWidget *label = app_prose_new (text, classes);
  gtk_label_set_max_width_chars (GTK_LABEL (label), PROSE_CHARS);
  return label;
}

static void refresh (AppFittingPane *self);

/* What the next note would be about. */
static ModelFitNote *
note_of_selection (AppFittingPane *self)
{
  const AppSelection *s = app_session_selection (self->session);
  const ModelDocument *doc = app_session_document (self->session);
  ModelFitNote *note = model_fit_note_new ();
  if (s->panels->len > 0)
    note->panel_id = g_array_index (s->panels, guint, 0);
  if (note->panel_id != 0 && s->edges->len > 0)
    note->edge_id = g_array_index (s->edges, guint, 0);
  const ModelPanel *panel = model_document_panel (doc, note->panel_id);
  if (panel != NULL && engine_panel_is_mirrored (panel))
    note->side = s->side;
  return note;
}

/* Of an edge that is joined: its ends may not meet. */
static void
show_meet (AppFittingPane *self, const ModelFitNote *note)
{
  guint join_id = 0;
  if (note->panel_id != 0 && note->edge_id != 0)
  {
    g_autoptr (GArray) joins
      = engine_joins_of_edge (app_session_document (self->session), note->panel_id, note->edge_id);
    join_id = joins->len > 0 ? g_array_index (joins, guint, 0) : 0;
  }
  app_meet_card_show (APP_MEET_CARD (self->meet), self->session, join_id);
}

static bool can_move (AppFittingPane *self, const ModelFitNote *here);

static void
show_where (AppFittingPane *self)
{
  if (self->session == NULL || !self->open)
    return;
  const ModelDocument *doc = app_session_document (self->session);
  g_autoptr (ModelFitNote) note = note_of_selection (self);
  const ModelFitNote *edited = self->edited != 0 ? model_document_fit_note (doc, self->edited) : NULL;
  g_autofree char *words = engine_fit_words_where (doc, edited != NULL ? edited : note);
  app_label_set (self->where, words);
  gtk_button_set_label (GTK_BUTTON (self->add), edited != NULL ? _ ("Keep the change") : _ ("Note it"));
  gtk_widget_set_sensitive (self->move, can_move (self, note));
  show_meet (self, note);
}

guint
app_fitting_pane_note (AppFittingPane *self, ModelFitSeen seen, double mm, const char *text)
{
  ModelHistory *history = app_session_history (self->session);
  const ModelHead *head = app_session_document (self->session)->head;
  ModelFitNote *note = note_of_selection (self);
  g_autoptr (GDateTime) now = g_date_time_new_now_local ();
  g_free (note->date);
  g_free (note->revision);
  g_free (note->text);
  note->date = g_date_time_format (now, "%Y-%m-%d");
  note->revision = g_strdup (head->revision);
  note->text = g_strstrip (g_strdup (text));
  note->seen = seen;
  note->has_amount = mm > 0.0;
  note->amount_mm = note->has_amount ? mm : 0.0;
  model_history_begin (history, _ ("Add a fit note"));
  guint id = model_history_put_fit_note (history, note);
  model_history_end (history);
  app_fitting_pane_choose (self, id);
  return id;
}

static void
clear_fields (AppFittingPane *self)
{
  self->edited = 0;
  gtk_editable_set_text (GTK_EDITABLE (self->text), "");
  app_unit_entry_set_mm (APP_UNIT_ENTRY (self->amount), NAN);
}

/* What was seen, by how much and in which words; where stays. */
static void
keep_change (AppFittingPane *self, ModelFitSeen seen, double mm, const char *text)
{
  const ModelFitNote *was = model_document_fit_note (app_session_document (self->session), self->edited);
  ModelHistory *history = app_session_history (self->session);
  if (was == NULL)
    return;
  ModelFitNote *note = model_fit_note_copy (was);
  g_free (note->text);
  note->text = g_strstrip (g_strdup (text));
  note->seen = seen;
  note->has_amount = mm > 0.0;
  note->amount_mm = note->has_amount ? mm : 0.0;
  model_history_begin (history, _ ("Change a fit note"));
  model_history_put_fit_note (history, note);
  model_history_end (history);
}

static void
on_note (AppFittingPane *self)
{
  const ModelFitSeen seen = (ModelFitSeen)gtk_drop_down_get_selected (GTK_DROP_DOWN (self->seen));
  const double mm = app_unit_entry_mm (APP_UNIT_ENTRY (self->amount));
  const char *text = gtk_editable_get_text (GTK_EDITABLE (self->text));
  if (self->session == NULL)
    return;
  if (self->edited != 0)
    keep_change (self, seen, mm, text);
  else
    app_fitting_pane_note (self, seen, mm, text);
  clear_fields (self);
  show_where (self);
}

void
app_fitting_pane_type (AppFittingPane *self, ModelFitSeen seen, double mm, const char *text)
{
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->seen), (guint)seen);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (self->amount), mm);
  gtk_editable_set_text (GTK_EDITABLE (self->text), text);
  on_note (self);
}

void
app_fitting_pane_edit (AppFittingPane *self)
{
  const ModelFitNote *note
    = self->chosen != 0 ? model_document_fit_note (app_session_document (self->session), self->chosen) : NULL;
  if (note == NULL)
    return;
  self->edited = note->id;
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->seen), (guint)note->seen);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (self->amount), note->has_amount ? note->amount_mm : NAN);
  gtk_editable_set_text (GTK_EDITABLE (self->text), note->text);
  show_where (self);
  gtk_widget_grab_focus (self->text);
}

/* Whether the chosen note is about something else than what is chosen on the paper, and can still be moved
 * there: what was done for it belongs to where it is. */
static bool
can_move (AppFittingPane *self, const ModelFitNote *here)
{
  const ModelFitNote *note
    = self->chosen != 0 ? model_document_fit_note (app_session_document (self->session), self->chosen) : NULL;
  return note != NULL && note->done[0] == '\0'
         && (note->panel_id != here->panel_id || note->edge_id != here->edge_id || note->side != here->side);
}

void
app_fitting_pane_move (AppFittingPane *self)
{
  g_autoptr (ModelFitNote) here = note_of_selection (self);
  if (!can_move (self, here))
    return;
  ModelHistory *history = app_session_history (self->session);
  ModelFitNote *note
    = model_fit_note_copy (model_document_fit_note (app_session_document (self->session), self->chosen));
  note->panel_id = here->panel_id;
  note->edge_id = here->edge_id;
  note->side = here->side;
  model_history_begin (history, _ ("Move a fit note"));
  model_history_put_fit_note (history, note);
  model_history_end (history);
}

/* Where it was seen, chosen on the paper. */
static void
show_place (AppFittingPane *self, const ModelFitNote *note)
{
  const ModelPanel *panel = model_document_panel (app_session_document (self->session), note->panel_id);
  if (panel == NULL)
    return;
  const ModelSide side = note->side != MODEL_SIDE_CENTRE ? note->side : engine_panel_drawn_side (panel);
  if (model_panel_find_edge (panel, note->edge_id) >= 0)
    app_session_select_edge (self->session, panel->id, side, note->edge_id, false);
  else
    app_session_select_panel (self->session, panel->id, side, false);
}

void
app_fitting_pane_remove (AppFittingPane *self)
{
  ModelHistory *history = app_session_history (self->session);
  if (self->chosen == 0)
    return;
  const guint id = self->chosen;
  if (self->edited == id)
    clear_fields (self);
  self->chosen = 0;
  model_history_begin (history, _ ("Remove a fit note"));
  model_history_remove (history, MODEL_PART_FIT_NOTE, id);
  model_history_end (history);
}

/* ---- the offers ---- */

void
app_fitting_pane_preview (AppFittingPane *self, guint index)
{
  self->index = index;
  if (index < self->offers->len)
    app_session_preview (self->session, engine_remedy_copy (g_ptr_array_index (self->offers, index)));
}

static void
on_choice (GtkCheckButton *button, AppFittingPane *self)
{
  if (!self->filling && gtk_check_button_get_active (button))
    app_fitting_pane_preview (self, GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (button), "index")));
}

guint
app_fitting_pane_offer_count (AppFittingPane *self)
{
  return self->offers->len;
}

void
app_fitting_pane_take (AppFittingPane *self)
{
  if (self->index >= self->offers->len)
    return;
  g_autoptr (GPtrArray) held = g_ptr_array_ref (self->offers);
  app_session_preview (self->session, NULL);
  app_session_take_remedy (self->session, g_ptr_array_index (held, self->index));
}

static void
fill_offers (AppFittingPane *self)
{
  GtkWidget *child, *group = NULL;
  while ((child = gtk_widget_get_first_child (self->choices)) != NULL)
    gtk_box_remove (GTK_BOX (self->choices), child);
  g_ptr_array_unref (self->offers);
  self->offers = g_ptr_array_new_with_free_func ((GDestroyNotify)engine_remedy_free);
  const ModelFitNote *note
    = self->chosen != 0 ? model_document_fit_note (app_session_document (self->session), self->chosen) : NULL;
  gtk_widget_set_visible (self->answer, note != NULL);
  if (app_session_previewed (self->session) != NULL)
    app_session_preview (self->session, NULL);
  if (note == NULL)
    return;
  bool done = note->done[0] != '\0';
  if (!done)
    engine_fit_offers (app_session_review (self->session), note, self->offers);
  for (guint i = 0; i < self->offers->len; i++)
  {
    const EngineRemedy *remedy = g_ptr_array_index (self->offers, i);
    GtkWidget *button = gtk_check_button_new (), *words = gtk_box_new (GTK_ORIENTATION_VERTICAL, 1);
    app_add_classes (button, "pw-choice");
    gtk_box_append (GTK_BOX (words), narrow_prose (remedy->text, "pw-strong pw-number"));
    gtk_box_append (GTK_BOX (words), narrow_prose (remedy->detail, "pw-small pw-dim pw-number"));
    gtk_check_button_set_child (GTK_CHECK_BUTTON (button), words);
    gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, remedy->text, -1);
    g_object_set_data (G_OBJECT (button), "index", GUINT_TO_POINTER (i));
    if (group == NULL)
      group = button;
    else
      gtk_check_button_set_group (GTK_CHECK_BUTTON (button), GTK_CHECK_BUTTON (group));
    gtk_check_button_set_active (GTK_CHECK_BUTTON (button), i == 0);
    g_signal_connect (button, "toggled", G_CALLBACK (on_choice), self);
    gtk_box_append (GTK_BOX (self->choices), button);
  }
  gtk_widget_set_visible (self->take, self->offers->len > 0);
  g_autofree char *legend = done ? g_strdup_printf (_ ("Done: %s"), note->done)
                            : self->offers->len > 0
                              ? g_strdup (_ ("shown as a preview; nothing is changed yet"))
                              : g_strdup (_ ("Change it on the paper; the note is kept."));
  app_label_set (self->legend, legend);
  app_fitting_pane_preview (self, 0);
}

/* ---- the notes ---- */

static void
on_row (GtkListBox *list, GtkListBoxRow *row, AppFittingPane *self)
{
  if (self->filling || row == NULL)
    return;
  const guint id = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (row), "id"));
  const ModelFitNote *note = model_document_fit_note (app_session_document (self->session), id);
  if (note != NULL)
    show_place (self, note);
  app_fitting_pane_choose (self, id);
}

static void
add_row (AppFittingPane *self, const ModelFitNote *note)
{
  const ModelDocument *doc = app_session_document (self->session);
  g_autofree char *where = engine_fit_words_where (doc, note), *seen = engine_fit_words_seen (doc, note);
  /* Translators: where something was seen, then what: "Front: hem", "too short by 8 mm". */
  g_autofree char *title = g_strdup_printf (_ ("%1$s %2$s"), where, seen);
  g_autofree char *line = note->done[0] != '\0'
                            ? g_strdup_printf (_ ("%1$s · done: %2$s"), note->date, note->done)
                          : note->text[0] != '\0' ? g_strdup_printf ("%s · %s", note->date, note->text)
                                                  : g_strdup (note->date);
  GtkWidget *row = gtk_list_box_row_new (), *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  app_add_classes (row, "pw-row");
  gtk_widget_set_margin_top (box, 5);
  gtk_widget_set_margin_bottom (box, 5);
  gtk_box_append (GTK_BOX (box), narrow_prose (title, "pw-name pw-number"));
  gtk_box_append (GTK_BOX (box), narrow_prose (line, "pw-small pw-dim pw-number"));
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), box);
  g_object_set_data (G_OBJECT (row), "id", GUINT_TO_POINTER (note->id));
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, title, -1);
  gtk_list_box_append (GTK_LIST_BOX (self->list), row);
  if (note->id == self->chosen)
    gtk_list_box_select_row (GTK_LIST_BOX (self->list), GTK_LIST_BOX_ROW (row));
}

static void
refresh (AppFittingPane *self)
{
  if (self->session == NULL || !self->open)
    return;
  const ModelDocument *doc = app_session_document (self->session);
  GtkWidget *row;
  self->filling = true;
  app_unit_entry_set_unit (APP_UNIT_ENTRY (self->amount), doc->head->unit);
  while ((row = gtk_widget_get_first_child (self->list)) != NULL)
    gtk_list_box_remove (GTK_LIST_BOX (self->list), row);
  for (guint i = doc->fit_notes->len; i-- > 0;)
    add_row (self, g_ptr_array_index (doc->fit_notes, i));
  gtk_widget_set_visible (self->none, doc->fit_notes->len == 0);
  fill_offers (self);
  show_where (self);
  self->filling = false;
}

void
app_fitting_pane_choose (AppFittingPane *self, guint note_id)
{
  self->chosen = note_id;
  refresh (self);
}

void
app_fitting_pane_set_session (AppFittingPane *self, AppSession *session)
{
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  self->chosen = 0;
  clear_fields (self);
  app_meet_card_show (APP_MEET_CARD (self->meet), NULL, 0);
  g_ptr_array_set_size (self->offers, 0);
  g_set_object (&self->session, session);
  if (session == NULL)
    return;
  g_signal_connect_swapped (session, "settled", G_CALLBACK (refresh), self);
  g_signal_connect_swapped (session, "selection-changed", G_CALLBACK (show_where), self);
}

void
app_fitting_pane_set_open (AppFittingPane *self, bool open)
{
  if (self->open && !open && self->session != NULL)
  {
    if (self->offers->len > 0)
      app_session_preview (self->session, NULL);
    app_meet_card_show (APP_MEET_CARD (self->meet), NULL, 0);
    clear_fields (self);
  }
  if (!open)
    self->chosen = 0;
  self->open = open;
  refresh (self);
}

/* ---- building ---- */

static void
build_note (AppFittingPane *self)
{
  const char *const seen[] = { _ ("too short"), _ ("too long"),   _ ("gaps"),  _ ("pokes out"),
                               _ ("too wide"),  _ ("too narrow"), _ ("other"), NULL };
  self->where = narrow_prose (NULL, "pw-strong");
  self->seen = gtk_drop_down_new_from_strings (seen);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->seen), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("What was seen"), -1);
  self->amount = app_unit_entry_new ();
  app_unit_entry_set_optional (APP_UNIT_ENTRY (self->amount), _ ("by"));
  app_unit_entry_set_range (APP_UNIT_ENTRY (self->amount), 0.0, MOST_MM);
  app_unit_entry_set_width (APP_UNIT_ENTRY (self->amount), 8);
  app_unit_entry_set_name (APP_UNIT_ENTRY (self->amount), _ ("By how much"));
  app_unit_entry_set_mm (APP_UNIT_ENTRY (self->amount), NAN);
  self->text = gtk_entry_new ();
  gtk_entry_set_placeholder_text (GTK_ENTRY (self->text), _ ("Note"));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->text), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("Note"), -1);
  GtkWidget *row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  gtk_widget_set_hexpand (self->seen, TRUE);
  gtk_box_append (GTK_BOX (row), self->seen);
  gtk_box_append (GTK_BOX (row), self->amount);
  self->add = app_button_new (_ ("Note it"), "pw-stamp", NULL);
  gtk_widget_set_tooltip_text (self->add, _ ("Note it. Of the edge or panel that is chosen on the paper."));
  g_signal_connect_swapped (self->add, "clicked", G_CALLBACK (on_note), self);
  g_signal_connect_swapped (self->text, "activate", G_CALLBACK (on_note), self);
  gtk_box_append (GTK_BOX (self->box), self->where);
  gtk_box_append (GTK_BOX (self->box), row);
  gtk_box_append (GTK_BOX (self->box), self->text);
  gtk_box_append (GTK_BOX (self->box), self->add);
  self->meet = app_meet_card_new ();
  gtk_box_append (GTK_BOX (self->box), self->meet);
}

static void
build_answer (AppFittingPane *self)
{
  self->none
    = narrow_prose (_ ("Choose the edge or panel on the paper, say what was seen on the wearer and by how "
                       "much: a change for that side is then offered."),
                    "pw-small pw-dim");
  self->list = gtk_list_box_new ();
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->list), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("Fit notes"),
                                  -1);
  g_signal_connect (self->list, "row-activated", G_CALLBACK (on_row), self);
  GtkWidget *scroller = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scroller), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scroller), self->list);
  gtk_widget_set_vexpand (scroller, TRUE);
  self->answer = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8);
  self->choices = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);
  self->legend = narrow_prose (NULL, "pw-small pw-dim");
  self->take = app_button_new (_ ("Take it"), "pw-stamp", NULL);
  g_signal_connect_swapped (self->take, "clicked", G_CALLBACK (app_fitting_pane_take), self);
  gtk_box_append (GTK_BOX (self->answer), self->choices);
  gtk_box_append (GTK_BOX (self->answer), self->legend);
  gtk_box_append (GTK_BOX (self->answer), self->take);
  GtkWidget *row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8),
            *edit = app_button_new (_ ("Change the note"), "pw-plain pw-low", NULL),
            *remove = app_button_new (_ ("Remove it"), "pw-plain pw-low", NULL);
  g_signal_connect_swapped (edit, "clicked", G_CALLBACK (app_fitting_pane_edit), self);
  g_signal_connect_swapped (remove, "clicked", G_CALLBACK (app_fitting_pane_remove), self);
  gtk_box_append (GTK_BOX (row), edit);
  gtk_box_append (GTK_BOX (row), remove);
  gtk_box_append (GTK_BOX (self->answer), row);
  self->move = app_button_new (_ ("Move it to what is chosen"), "pw-plain pw-low", NULL);
  gtk_widget_set_tooltip_text (
    self->move, _ ("The note is then about the edge or panel that is chosen on the paper, on its side."));
  g_signal_connect_swapped (self->move, "clicked", G_CALLBACK (app_fitting_pane_move), self);
  gtk_box_append (GTK_BOX (self->answer), self->move);
  gtk_box_append (GTK_BOX (self->box), self->none);
  gtk_box_append (GTK_BOX (self->box), scroller);
  gtk_box_append (GTK_BOX (self->box), self->answer);
}

static void
app_fitting_pane_dispose (GObject *object)
{
  AppFittingPane *self = APP_FITTING_PANE (object);
  self->filling = true;
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_clear_object (&self->session);
  g_clear_pointer (&self->box, gtk_widget_unparent);
  g_clear_pointer (&self->offers, g_ptr_array_unref);
  G_OBJECT_CLASS (app_fitting_pane_parent_class)->dispose (object);
}

static void
app_fitting_pane_class_init (AppFittingPaneClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_fitting_pane_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
app_fitting_pane_init (AppFittingPane *self)
{
  self->offers = g_ptr_array_new_with_free_func ((GDestroyNotify)engine_remedy_free);
  self->box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8);
  build_note (self);
  build_answer (self);
  gtk_widget_set_parent (self->box, GTK_WIDGET (self));
}

GtkWidget *
app_fitting_pane_meet (AppFittingPane *self)
{
  return self->meet;
}

GtkWidget *
app_fitting_pane_new (AppCanvas *canvas)
{
  AppFittingPane *self = g_object_new (APP_TYPE_FITTING_PANE, NULL);
  self->canvas = canvas;
  return GTK_WIDGET (self);
}
