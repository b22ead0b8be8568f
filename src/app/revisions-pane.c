/* The list of differences is worked out when the pane is open and a step of undo is complete, not while a
 * hand drags: it compares every edge. */
#include "app/revisions-pane.h"

#include "app/dialogs.h"
#include "app/label.h"
#include "app/printing.h"
#include "engine/compare.h"
#include "engine/go-back.h"
#include "engine/words.h"
#include "model/file.h"
#include "output/changes.h"

#include <glib/gi18n.h>

#define LIST_LEAST_PX 92
#define MOST_CHANGES 200
#define PROSE_CHARS 30

struct _AppRevisionsPane
{
  GtkWidget parent;
  AppSession *session;
  AppCanvas *canvas; /* borrowed */
  guint chosen;
  GArray *changes;     /* EngineChange since the chosen one; NULL: none chosen */
  ModelDocument *laid; /* another document under the present one */
  char *laid_name;
  bool open, beneath, filling;
  GtkWidget *box, *name, *note, *take, *list, *none, *file_row, *file_name, *since, *count, *beneath_box,
    *changed, *deeds;
};

G_DEFINE_FINAL_TYPE (AppRevisionsPane, app_revisions_pane, GTK_TYPE_WIDGET)

/* Wraps in the column: a sentence in one line would take the paper's room. */
static GtkWidget *
narrow_prose (const char *text, const char *classes)
{
  GtkWidget *label = app_prose_new (text, classes);
  gtk_label_set_max_width_chars (GTK_LABEL (label), PROSE_CHARS);
  return label;
}

static void refresh (AppRevisionsPane *self);

static const ModelRevision *
chosen_revision (AppRevisionsPane *self)
{
  return self->session != NULL && self->chosen != 0
           ? model_document_revision (app_session_document (self->session), self->chosen)
           : NULL;
}

/* ---- beneath ---- */

static void
lay_beneath (AppRevisionsPane *self)
{
  const ModelRevision *revision = self->beneath ? chosen_revision (self) : NULL;
  if (self->laid != NULL)
    app_canvas_set_beneath (self->canvas, self->laid, self->laid_name, false);
  else
    app_canvas_set_beneath (self->canvas, revision != NULL ? revision->state : NULL,
                            revision != NULL ? revision->name : NULL, true);
}

static void
forget_laid (AppRevisionsPane *self)
{
  g_clear_pointer (&self->laid, model_document_free);
  g_clear_pointer (&self->laid_name, g_free);
}

void
app_revisions_pane_show_beneath (AppRevisionsPane *self, bool show)
{
  self->beneath = show;
  if (show)
  {
    app_canvas_set_beneath (self->canvas, NULL, NULL, false);
    forget_laid (self);
  }
  lay_beneath (self);
  refresh (self);
}

bool
app_revisions_pane_lay_file (AppRevisionsPane *self, GFile *file, GError **error)
{
  ModelDocument *doc = model_document_load (file, NULL, error);
  if (doc == NULL)
    return false;
  app_canvas_set_beneath (self->canvas, NULL, NULL, false);
  forget_laid (self);
  self->laid = doc;
  g_autofree char *base = g_file_get_basename (file);
  self->laid_name
    = doc->head->title[0] != '\0' ? g_strdup (doc->head->title) : g_filename_display_name (base);
  lay_beneath (self);
  refresh (self);
  return true;
}

/* ---- naming ---- */

guint
app_revisions_pane_name (AppRevisionsPane *self, const char *name, const char *note)
{
  g_autofree char *plain = g_strstrip (g_strdup (name));
  if (self->session == NULL || plain[0] == '\0')
    return 0;
  ModelHistory *history = app_session_history (self->session);
  g_autoptr (GDateTime) now = g_date_time_new_now_local ();
  g_autofree char *date = g_date_time_format (now, "%Y-%m-%d");
  model_history_begin (history, _ ("Name a revision"));
  /* The head first: the revision kept knows its own name. */
  ModelHead *head = model_head_copy (app_session_document (self->session)->head);
  g_free (head->revision);
  g_free (head->revision_date);
  head->revision = g_strdup (plain);
  head->revision_date = g_strdup (date);
  model_history_put_head (history, head);
  ModelRevision *revision = model_revision_new ();
  g_free (revision->name);
  g_free (revision->date);
  g_free (revision->note);
  revision->name = g_steal_pointer (&plain);
  revision->date = g_steal_pointer (&date);
  revision->note = g_strstrip (g_strdup (note));
  revision->state = model_state_new (app_session_document (self->session));
  guint id = model_history_put_revision (history, revision);
  model_history_end (history);
  app_revisions_pane_choose (self, id);
  return id;
}

static void
on_take (AppRevisionsPane *self)
{
  if (app_revisions_pane_name (self, gtk_editable_get_text (GTK_EDITABLE (self->name)),
                               gtk_editable_get_text (GTK_EDITABLE (self->note)))
      == 0)
  {
    gtk_widget_grab_focus (self->name);
    return;
  }
  gtk_editable_set_text (GTK_EDITABLE (self->name), "");
  gtk_editable_set_text (GTK_EDITABLE (self->note), "");
}

static void
on_name_changed (AppRevisionsPane *self)
{
  const char *text = gtk_editable_get_text (GTK_EDITABLE (self->name));
  while (g_ascii_isspace (*text))
    text++;
  gtk_widget_set_sensitive (self->take, *text != '\0');
}

/* ---- going back ---- */

bool
app_revisions_pane_go_back (AppRevisionsPane *self, guint panel_id, ModelSide side)
{
  const ModelRevision *revision = chosen_revision (self);
  if (revision == NULL)
    return false;
  ModelHistory *history = app_session_history (self->session);
  ModelDocument *state = model_state_ref (revision->state);
  bool done = true;
  if (panel_id == 0)
    engine_go_back_all (history, state);
  else if (side == MODEL_SIDE_CENTRE)
    done = engine_go_back_panel (history, state, panel_id);
  else
    done = engine_go_back_side (history, state, panel_id, side);
  model_state_unref (state);
  return done;
}

static void
on_back (GtkButton *button, AppRevisionsPane *self)
{
  guint panel_id = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (button), "panel"));
  guint side = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (button), "side"));
  app_revisions_pane_go_back (self, panel_id, (ModelSide)side);
}

static void
on_back_all (AppRevisionsPane *self)
{
  app_revisions_pane_go_back (self, 0, MODEL_SIDE_CENTRE);
}

/* ---- the list ---- */

char *
app_revisions_pane_text (AppRevisionsPane *self)
{
  const ModelRevision *revision = chosen_revision (self);
  if (revision == NULL || self->changes == NULL)
    return g_strdup ("");
  return engine_changes_text (revision->state, revision->name, app_session_document (self->session),
                              self->changes);
}

static void
on_copy (AppRevisionsPane *self)
{
  g_autofree char *text = app_revisions_pane_text (self);
  gdk_clipboard_set_text (gtk_widget_get_clipboard (GTK_WIDGET (self)), text);
}

bool
app_revisions_pane_write_pdf (AppRevisionsPane *self, const char *path, GError **error)
{
  const ModelRevision *revision = chosen_revision (self);
  if (revision == NULL || self->changes == NULL)
    return false;
  return output_changes_write_pdf (revision->state, revision->name, app_session_document (self->session),
                                   self->changes, path, error);
}

static void
on_pdf_chosen (GtkWindow *parent, GFile *file, gpointer user)
{
  g_autoptr (AppRevisionsPane) self = user;
  g_autofree char *path = g_file_get_path (file);
  g_autoptr (GError) error = NULL;
  if (parent == NULL || path == NULL)
    return;
  if (!app_revisions_pane_write_pdf (self, path, &error) && error != NULL)
    app_dialog_tell (parent, _ ("The list could not be saved."), error->message);
}

static void
on_pdf (AppRevisionsPane *self)
{
  const AppFileKind kinds[] = { { _ ("PDF files"), "*.pdf" } };
  g_autofree char *title = app_session_title (self->session);
  g_strdelimit (title, "/\\:", '-');
  /* Translators: the suggested name of a file; %s the document's title. */
  g_autofree char *name = g_strdup_printf (_ ("%s changes.pdf"), title);
  app_dialog_save (GTK_WINDOW (gtk_widget_get_root (GTK_WIDGET (self))), _ ("Save the list"),
                   app_session_file (self->session), name, kinds, 1, on_pdf_chosen, g_object_ref (self));
}

static void
on_printed (const char *message, gpointer user)
{
  g_autoptr (AppRevisionsPane) self = user;
  GtkRoot *root = self->box != NULL ? gtk_widget_get_root (GTK_WIDGET (self)) : NULL;
  if (message != NULL && message[0] != '\0' && root != NULL)
    app_dialog_tell (GTK_WINDOW (root), _ ("The list could not be printed."), message);
}

static void
on_print (AppRevisionsPane *self)
{
  const ModelRevision *revision = chosen_revision (self);
  if (revision != NULL && self->changes != NULL)
    app_print_changes (GTK_WINDOW (gtk_widget_get_root (GTK_WIDGET (self))), revision->state, revision->name,
                       app_session_document (self->session), self->changes, on_printed, g_object_ref (self));
}

static void
on_change_row (GtkListBox *list, GtkListBoxRow *row, AppRevisionsPane *self)
{
  guint index = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (row), "change"));
  if (self->filling || self->changes == NULL || index >= self->changes->len)
    return;
  EngineChange change = g_array_index (self->changes, EngineChange, index);
  const ModelPanel *panel = model_document_panel (app_session_document (self->session), change.panel_id);
  if (change.join_id != 0
      && model_document_join (app_session_document (self->session), change.join_id) != NULL)
    app_session_select_join (self->session, change.join_id);
  else if (panel != NULL && model_panel_find_edge (panel, change.edge_id) >= 0)
    app_session_select_edge (self->session, panel->id,
                             change.side != MODEL_SIDE_CENTRE ? change.side : panel->side, change.edge_id,
                             false);
  else if (panel != NULL)
    app_session_select_panel (self->session, panel->id, panel->side, false);
  if (change.has_at)
    app_canvas_show_box (self->canvas,
                         geom_box_grown (geom_box_with_point (geom_box_empty (), change.at), 40.0));
}

static GtkWidget *
back_button (AppRevisionsPane *self, const char *label, const char *spoken, guint panel_id, ModelSide side)
{
  GtkWidget *button = app_button_new (label, "pw-link pw-small", NULL);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, spoken, -1);
  gtk_widget_set_tooltip_text (button, spoken);
  g_object_set_data (G_OBJECT (button), "panel", GUINT_TO_POINTER (panel_id));
  g_object_set_data (G_OBJECT (button), "side", GUINT_TO_POINTER ((guint)side));
  g_signal_connect (button, "clicked", G_CALLBACK (on_back), self);
  return button;
}

/* A panel's name and the ways back for it. */
static GtkWidget *
panel_head (AppRevisionsPane *self, const ModelRevision *revision, guint panel_id)
{
  const ModelDocument *doc = app_session_document (self->session);
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 2);
  g_autofree char *name
    = engine_words_panel (model_document_panel (doc, panel_id) != NULL ? doc : revision->state, panel_id);
  GtkWidget *label = app_label_new (name, "pw-strong");
  gtk_widget_set_hexpand (label, TRUE);
  gtk_box_append (GTK_BOX (box), label);
  g_autofree char *whole = g_strdup_printf (_ ("%s: go back to how it was"), name);
  gtk_box_append (GTK_BOX (box), back_button (self, _ ("Go back"), whole, panel_id, MODEL_SIDE_CENTRE));
  if (engine_go_back_has_side (doc, revision->state, panel_id))
  {
    g_autofree char *left = g_strdup_printf (_ ("%s: go back on the wearer’s left only"), name);
    g_autofree char *right = g_strdup_printf (_ ("%s: go back on the wearer’s right only"), name);
    gtk_box_append (GTK_BOX (box), back_button (self, _ ("left only"), left, panel_id, MODEL_SIDE_LEFT));
    gtk_box_append (GTK_BOX (box), back_button (self, _ ("right only"), right, panel_id, MODEL_SIDE_RIGHT));
  }
  return box;
}

static void
add_plain_row (GtkWidget *list, GtkWidget *child)
{
  GtkWidget *row = gtk_list_box_row_new ();
  gtk_list_box_row_set_activatable (GTK_LIST_BOX_ROW (row), FALSE);
  gtk_list_box_row_set_selectable (GTK_LIST_BOX_ROW (row), FALSE);
  gtk_widget_set_focusable (row, FALSE);
  gtk_widget_set_margin_top (child, 8);
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), child);
  gtk_list_box_append (GTK_LIST_BOX (list), row);
}

static void
add_change_row (AppRevisionsPane *self, const ModelRevision *revision, guint index)
{
  const ModelDocument *doc = app_session_document (self->session);
  const EngineChange *change = &g_array_index (self->changes, EngineChange, index);
  g_autofree char *subject = engine_change_subject (revision->state, doc, change);
  g_autofree char *text = engine_change_text (revision->state, doc, change);
  GtkWidget *row = gtk_list_box_row_new (), *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  app_add_classes (row, "pw-row");
  gtk_widget_set_margin_top (box, 4);
  gtk_widget_set_margin_bottom (box, 4);
  gtk_box_append (GTK_BOX (box), narrow_prose (subject, NULL));
  gtk_box_append (GTK_BOX (box), narrow_prose (text, "pw-small pw-dim pw-number"));
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), box);
  g_object_set_data (G_OBJECT (row), "change", GUINT_TO_POINTER (index));
  g_autofree char *spoken = g_strdup_printf ("%s. %s", subject, text);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, spoken, -1);
  gtk_list_box_append (GTK_LIST_BOX (self->changed), row);
}

static void
empty_list (GtkWidget *list)
{
  GtkWidget *row;
  while ((row = gtk_widget_get_first_child (list)) != NULL)
    gtk_list_box_remove (GTK_LIST_BOX (list), row);
}

static void
fill_changes (AppRevisionsPane *self)
{
  const ModelRevision *revision = chosen_revision (self);
  empty_list (self->changed);
  g_clear_pointer (&self->changes, g_array_unref);
  gtk_widget_set_visible (self->since, revision != NULL);
  if (revision == NULL)
    return;
  const ModelDocument *doc = app_session_document (self->session);
  self->changes = engine_compare (revision->state, doc);
  g_autofree char *count = engine_changes_count (self->changes->len);
  g_autofree char *since = g_strdup_printf (_ ("%1$s since “%2$s”"), count, revision->name);
  app_label_set (self->count, since);
  guint panel = 0;
  for (guint i = 0; i < MIN (self->changes->len, MOST_CHANGES); i++)
  {
    const EngineChange *change = &g_array_index (self->changes, EngineChange, i);
    if (change->panel_id != 0 && change->panel_id != panel)
    {
      panel = change->panel_id;
      add_plain_row (self->changed, panel_head (self, revision, panel));
    }
    add_change_row (self, revision, i);
  }
  gtk_widget_set_sensitive (self->deeds, self->changes->len > 0);
}

/* ---- the revisions ---- */

static void
on_revision_row (GtkListBox *list, GtkListBoxRow *row, AppRevisionsPane *self)
{
  if (!self->filling)
    app_revisions_pane_choose (self,
                               row != NULL ? GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (row), "id")) : 0);
}

static void
on_remove (GtkButton *button, AppRevisionsPane *self)
{
  guint id = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (button), "id"));
  ModelHistory *history = app_session_history (self->session);
  if (id == self->chosen)
    app_revisions_pane_choose (self, 0);
  model_history_begin (history, _ ("Take a revision away"));
  model_history_remove (history, MODEL_PART_REVISION, id);
  model_history_end (history);
}

static void
add_revision (AppRevisionsPane *self, const ModelRevision *revision)
{
  GtkWidget *row = gtk_list_box_row_new (), *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8),
            *words = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  app_add_classes (row, "pw-row");
  gtk_widget_set_margin_top (box, 6);
  gtk_widget_set_margin_bottom (box, 6);
  gtk_widget_set_hexpand (words, TRUE);
  gtk_box_append (GTK_BOX (words), app_label_new (revision->name, "pw-name"));
  g_autofree char *line = revision->note[0] != '\0' && revision->date[0] != '\0'
                            ? g_strdup_printf ("%s · %s", revision->date, revision->note)
                            : g_strdup (revision->date[0] != '\0' ? revision->date : revision->note);
  if (line[0] != '\0')
    gtk_box_append (GTK_BOX (words), narrow_prose (line, "pw-small pw-dim pw-number"));
  gtk_box_append (GTK_BOX (box), words);
  g_autofree char *spoken = g_strdup_printf (_ ("Take “%s” away"), revision->name);
  GtkWidget *remove = app_icon_button_new ("user-trash-symbolic", "pw-icon", spoken, spoken, NULL);
  gtk_widget_set_valign (remove, GTK_ALIGN_CENTER);
  g_object_set_data (G_OBJECT (remove), "id", GUINT_TO_POINTER (revision->id));
  g_signal_connect (remove, "clicked", G_CALLBACK (on_remove), self);
  gtk_box_append (GTK_BOX (box), remove);
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), box);
  g_object_set_data (G_OBJECT (row), "id", GUINT_TO_POINTER (revision->id));
  g_autofree char *label = g_strdup_printf ("%s. %s", revision->name, line);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
  gtk_list_box_append (GTK_LIST_BOX (self->list), row);
  if (revision->id == self->chosen)
    gtk_list_box_select_row (GTK_LIST_BOX (self->list), GTK_LIST_BOX_ROW (row));
}

static void
refresh (AppRevisionsPane *self)
{
  if (self->session == NULL || !self->open)
    return;
  const ModelDocument *doc = app_session_document (self->session);
  self->filling = true;
  empty_list (self->list);
  for (guint i = doc->revisions->len; i-- > 0;) /* the last one named first */
    add_revision (self, g_ptr_array_index (doc->revisions, i));
  gtk_widget_set_visible (self->none, doc->revisions->len == 0);
  gtk_widget_set_visible (self->list, doc->revisions->len > 0);
  gtk_widget_set_visible (self->file_row, self->laid != NULL);
  app_label_set (self->file_name, self->laid_name);
  gtk_check_button_set_active (GTK_CHECK_BUTTON (self->beneath_box), self->beneath && self->laid == NULL);
  fill_changes (self);
  self->filling = false;
}

static void
on_settled (AppRevisionsPane *self)
{
  /* What lies beneath may have been undone away: never keep a pointer to its state. */
  if (self->laid == NULL)
    lay_beneath (self);
  refresh (self);
}

static void
on_touched (AppSession *session, guint kind, guint id, guint touch, AppRevisionsPane *self)
{
  if (kind == MODEL_PART_REVISION && self->laid == NULL)
    app_canvas_set_beneath (self->canvas, NULL, NULL, false);
}

void
app_revisions_pane_choose (AppRevisionsPane *self, guint revision_id)
{
  if (self->chosen == revision_id && self->changes != NULL)
    return;
  self->chosen = revision_id;
  lay_beneath (self);
  refresh (self);
}

guint
app_revisions_pane_change_count (AppRevisionsPane *self)
{
  return self->changes != NULL ? self->changes->len : 0;
}

void
app_revisions_pane_set_session (AppRevisionsPane *self, AppSession *session)
{
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  app_canvas_set_beneath (self->canvas, NULL, NULL, false);
  forget_laid (self);
  self->chosen = 0;
  self->beneath = false;
  g_clear_pointer (&self->changes, g_array_unref);
  g_set_object (&self->session, session);
  if (session == NULL)
    return;
  g_signal_connect_swapped (session, "settled", G_CALLBACK (on_settled), self);
  g_signal_connect (session, "touched", G_CALLBACK (on_touched), self);
}

void
app_revisions_pane_set_open (AppRevisionsPane *self, bool open)
{
  self->open = open;
  refresh (self);
}

static void
on_beneath (AppRevisionsPane *self)
{
  if (!self->filling)
    app_revisions_pane_show_beneath (self,
                                     gtk_check_button_get_active (GTK_CHECK_BUTTON (self->beneath_box)));
}

/* ---- another document ---- */

static void
on_files_chosen (GtkWindow *parent, GListModel *files, gpointer user)
{
  g_autoptr (AppRevisionsPane) self = user;
  g_autoptr (GFile) file = g_list_model_get_item (files, 0);
  g_autoptr (GError) error = NULL;
  if (parent != NULL && self->session != NULL && !app_revisions_pane_lay_file (self, file, &error))
    app_dialog_tell (parent, _ ("The document could not be read."), error->message);
}

static void
on_file (AppRevisionsPane *self)
{
  app_dialog_open (GTK_WINDOW (gtk_widget_get_root (GTK_WIDGET (self))), on_files_chosen,
                   g_object_ref (self));
}

static void
on_file_away (AppRevisionsPane *self)
{
  app_canvas_set_beneath (self->canvas, NULL, NULL, false);
  forget_laid (self);
  lay_beneath (self);
  refresh (self);
}

/* ---- building ---- */

static GtkWidget *
list_new (const char *name, GtkWidget **scroller)
{
  GtkWidget *list = gtk_list_box_new ();
  app_add_classes (list, "pw-bare");
  gtk_accessible_update_property (GTK_ACCESSIBLE (list), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  *scroller = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (*scroller), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_propagate_natural_height (GTK_SCROLLED_WINDOW (*scroller), TRUE);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (*scroller), list);
  return list;
}

static void
build_naming (AppRevisionsPane *self)
{
  self->name = gtk_entry_new ();
  gtk_entry_set_placeholder_text (GTK_ENTRY (self->name), _ ("Name, as “4, before the fitting”"));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->name), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("Name of the revision"), -1);
  self->note = gtk_entry_new ();
  gtk_entry_set_placeholder_text (GTK_ENTRY (self->note), _ ("Note"));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->note), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("Note to the revision"), -1);
  self->take = app_button_new (_ ("Name this state"), "pw-stamp", NULL);
  gtk_widget_set_tooltip_text (self->take,
                               _ ("Name this state. The panels as they are now are kept under the name."));
  gtk_widget_set_sensitive (self->take, FALSE);
  g_signal_connect_swapped (self->name, "changed", G_CALLBACK (on_name_changed), self);
  g_signal_connect_swapped (self->name, "activate", G_CALLBACK (on_take), self);
  g_signal_connect_swapped (self->note, "activate", G_CALLBACK (on_take), self);
  g_signal_connect_swapped (self->take, "clicked", G_CALLBACK (on_take), self);
  gtk_box_append (GTK_BOX (self->box), self->name);
  gtk_box_append (GTK_BOX (self->box), self->note);
  gtk_box_append (GTK_BOX (self->box), self->take);
}

static void
build_revisions (AppRevisionsPane *self)
{
  GtkWidget *scroller;
  self->list = list_new (_ ("Revisions"), &scroller);
  gtk_scrolled_window_set_max_content_height (GTK_SCROLLED_WINDOW (scroller), 2 * LIST_LEAST_PX);
  g_signal_connect (self->list, "row-selected", G_CALLBACK (on_revision_row), self);
  self->none
    = narrow_prose (_ ("No revision has a name yet. Name one before a fitting or before you cut: what has "
                       "changed since can then be listed, and taken back."),
                    "pw-small pw-dim");
  GtkWidget *beneath = app_button_new (_ ("Show another document beneath…"), "pw-link pw-small", NULL);
  gtk_widget_set_halign (beneath, GTK_ALIGN_START);
  g_signal_connect_swapped (beneath, "clicked", G_CALLBACK (on_file), self);
  self->file_row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  self->file_name = app_label_new (NULL, NULL);
  gtk_widget_set_hexpand (self->file_name, TRUE);
  GtkWidget *away = app_button_new (_ ("Take it away"), "pw-link pw-small", NULL);
  g_signal_connect_swapped (away, "clicked", G_CALLBACK (on_file_away), self);
  gtk_box_append (GTK_BOX (self->file_row), self->file_name);
  gtk_box_append (GTK_BOX (self->file_row), away);
  gtk_box_append (GTK_BOX (self->box), self->none);
  gtk_box_append (GTK_BOX (self->box), scroller);
  gtk_box_append (GTK_BOX (self->box), beneath);
  gtk_box_append (GTK_BOX (self->box), self->file_row);
}

static void
build_changes (AppRevisionsPane *self)
{
  self->since = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
  gtk_widget_set_vexpand (self->since, TRUE);
  GtkWidget *divider = gtk_separator_new (GTK_ORIENTATION_HORIZONTAL);
  gtk_box_append (GTK_BOX (self->since), divider);
  self->count = narrow_prose (NULL, "pw-strong pw-number");
  gtk_box_append (GTK_BOX (self->since), self->count);
  self->beneath_box = gtk_check_button_new_with_label (_ ("Show it beneath"));
  gtk_widget_set_tooltip_text (self->beneath_box,
                               _ ("Show it beneath. Dotted on the paper, where a panel was another."));
  g_signal_connect_swapped (self->beneath_box, "toggled", G_CALLBACK (on_beneath), self);
  gtk_box_append (GTK_BOX (self->since), self->beneath_box);
  GtkWidget *scroller;
  self->changed = list_new (_ ("What differs"), &scroller);
  gtk_widget_set_vexpand (scroller, TRUE);
  g_signal_connect (self->changed, "row-activated", G_CALLBACK (on_change_row), self);
  gtk_box_append (GTK_BOX (self->since), scroller);
  self->deeds = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
  GtkWidget *leave = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 4);
  GtkWidget *all = app_button_new (_ ("Go back to all of it"), "pw-plain pw-low", NULL),
            *copy = app_button_new (_ ("Copy"), "pw-plain pw-low", NULL),
            *print = app_button_new (_ ("Print…"), "pw-plain pw-low", NULL),
            *pdf = app_button_new (_ ("Save as PDF…"), "pw-plain pw-low", NULL);
  gtk_widget_set_tooltip_text (print,
                               _ ("Print. The list on one printer’s page or more, to lay beside the paper."));
  gtk_widget_set_tooltip_text (copy, _ ("Copy. The list as text, for a letter or a note."));
  gtk_widget_set_hexpand (pdf, TRUE);
  g_signal_connect_swapped (all, "clicked", G_CALLBACK (on_back_all), self);
  g_signal_connect_swapped (copy, "clicked", G_CALLBACK (on_copy), self);
  g_signal_connect_swapped (pdf, "clicked", G_CALLBACK (on_pdf), self);
  g_signal_connect_swapped (print, "clicked", G_CALLBACK (on_print), self);
  gtk_box_append (GTK_BOX (self->deeds), all);
  gtk_box_append (GTK_BOX (leave), print);
  gtk_box_append (GTK_BOX (leave), copy);
  gtk_box_append (GTK_BOX (leave), pdf);
  gtk_box_append (GTK_BOX (self->deeds), leave);
  gtk_box_append (GTK_BOX (self->since), self->deeds);
  gtk_box_append (GTK_BOX (self->box), self->since);
}

static void
app_revisions_pane_dispose (GObject *object)
{
  AppRevisionsPane *self = APP_REVISIONS_PANE (object);
  self->filling = true; /* a list that is taken down lets go of its chosen row */
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_clear_object (&self->session);
  g_clear_pointer (&self->box, gtk_widget_unparent);
  g_clear_pointer (&self->changes, g_array_unref);
  forget_laid (self);
  G_OBJECT_CLASS (app_revisions_pane_parent_class)->dispose (object);
}

static void
app_revisions_pane_class_init (AppRevisionsPaneClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_revisions_pane_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
app_revisions_pane_init (AppRevisionsPane *self)
{
  self->box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8);
  build_naming (self);
  build_revisions (self);
  build_changes (self);
  gtk_widget_set_parent (self->box, GTK_WIDGET (self));
}

GtkWidget *
app_revisions_pane_new (AppCanvas *canvas)
{
  AppRevisionsPane *self = g_object_new (APP_TYPE_REVISIONS_PANE, NULL);
  self->canvas = canvas;
  return GTK_WIDGET (self);
}
