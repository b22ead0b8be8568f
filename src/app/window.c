/* The window is thin: it owns a session, hands it to the rooms, and turns actions into calls.  What may lose
 * work always goes through one question, and closing waits for its answer. */
#include "app/window.h"

#include "app/application.h"
#include "app/body-room.h"
#include "app/dialogs.h"
#include "app/history-list.h"
#include "app/label.h"
#include "app/printing.h"
#include "app/settings.h"
#include "app/sheets-room.h"
#include "app/start-view.h"
#include "app/starter-add.h"
#include "app/tool.h"
#include "output/mat.h"

#include "panelwright-config.h"

#include <glib/gi18n.h>
#include <string.h>

#define STATE_EVERY_S 30
#define NARROW_PX 1180
#define MOST_RECENT 10

struct _AppWindow
{
  GtkApplicationWindow parent;
  AppSession *session;
  GtkWidget *body, *panels, *sheets, *start, *photo, *steps;
  guint state_source, narrow_source;
  bool narrow, closing, answered;
  GMenu *recent;
  GtkWidget *header, *rooms, *body_tab, *panels_tab, *sheets_tab, *title_box, *title_label, *state_label,
    *open_button, *undo_button, *redo_button, *menu_button, *help_button, *revision_button, *details,
    *title_entry, *wearer_entry, *revision_entry, *note_entry, *message, *message_box, *message_words,
    *message_deed, *message_close, *stack;
};

G_DEFINE_FINAL_TYPE (AppWindow, app_window, GTK_TYPE_APPLICATION_WINDOW)

static void save_then_close (AppWindow *self);

/* ---- messages ---- */

void
app_window_tell (AppWindow *self, const char *words, bool trouble, const char *deed, const char *action)
{
  app_label_set (self->message_words, words);
  app_set_class (self->message_box, "pw-trouble", trouble);
  gtk_widget_set_visible (self->message_deed, deed != NULL);
  if (deed != NULL)
    gtk_button_set_label (GTK_BUTTON (self->message_deed), deed);
  gtk_actionable_set_detailed_action_name (GTK_ACTIONABLE (self->message_deed),
                                           action != NULL ? action : "win.hide-message");
  gtk_revealer_set_reveal_child (GTK_REVEALER (self->message), TRUE);
  gtk_widget_set_visible (self->message, TRUE);
}

static void
hide_message (AppWindow *self)
{
  gtk_revealer_set_reveal_child (GTK_REVEALER (self->message), FALSE);
  gtk_widget_set_visible (self->message, FALSE);
}

const char *
app_window_message (AppWindow *self)
{
  return gtk_widget_get_visible (self->message) ? gtk_label_get_text (GTK_LABEL (self->message_words)) : NULL;
}

/* ---- following the session ---- */

static void
enable (AppWindow *self, const char *name, bool on)
{
  GAction *action = g_action_map_lookup_action (G_ACTION_MAP (self), name);
  if (action != NULL)
    g_simple_action_set_enabled (G_SIMPLE_ACTION (action), on);
}

static void
show_step (GtkWidget *button, const char *with_label, const char *without, const char *key, const char *label)
{
  g_autofree char *name = label != NULL ? g_strdup_printf (with_label, label) : g_strdup (without);
  g_autofree char *tip = g_strdup_printf ("%s. %s", name, key);
  gtk_widget_set_tooltip_text (button, tip);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
}

static void
show_history (AppWindow *self)
{
  ModelHistory *history = self->session != NULL ? app_session_history (self->session) : NULL;
  const char *undo = history != NULL ? model_history_undo_label (history) : NULL;
  const char *redo = history != NULL ? model_history_redo_label (history) : NULL;
  enable (self, "undo", undo != NULL);
  enable (self, "redo", redo != NULL);
  show_step (self->undo_button, _ ("Undo “%s”"), _ ("Nothing to undo"), _ ("Ctrl+Z"), undo);
  show_step (self->redo_button, _ ("Redo “%s”"), _ ("Nothing to redo"), _ ("Ctrl+Shift+Z"), redo);
}

static void
show_title (AppWindow *self)
{
  if (self->session == NULL)
  {
    app_label_set (self->title_label, _ ("Panelwright"));
    gtk_window_set_title (GTK_WINDOW (self), _ ("Panelwright"));
    return;
  }
  g_autofree char *title = app_session_title (self->session);
  bool saved = app_session_is_saved (self->session);
  g_autofree char *marked = saved ? g_strdup (title) : g_strdup_printf ("• %s", title);
  app_label_set (self->title_label, marked);
  g_autofree char *state = app_session_state_words (self->session);
  app_label_set (self->state_label, state);
  app_set_class (self->state_label, "pw-madder", app_session_changed_outside (self->session));
  g_autofree char *whole = g_strdup_printf (_ ("%s – Panelwright"), marked);
  gtk_window_set_title (GTK_WINDOW (self), whole);
  GFile *file = app_session_file (self->session);
  g_autofree char *place = file != NULL ? g_file_get_parse_name (file) : NULL;
  gtk_widget_set_tooltip_text (self->title_box, place);

  const ModelHead *head = app_session_document (self->session)->head;
  const char *revision = head->revision[0] != '\0' ? head->revision : _ ("Title and revision");
  if (g_strcmp0 (gtk_menu_button_get_label (GTK_MENU_BUTTON (self->revision_button)), revision) != 0)
    gtk_menu_button_set_label (GTK_MENU_BUTTON (self->revision_button), revision);
}

static gboolean
on_state_due (gpointer user)
{
  show_title (user);
  return G_SOURCE_CONTINUE;
}

static void
show_parts (AppWindow *self)
{
  bool work = self->session != NULL;
  gtk_widget_set_visible (self->rooms, work);
  gtk_widget_set_visible (self->undo_button, work);
  gtk_widget_set_visible (self->redo_button, work);
  gtk_widget_set_visible (self->steps, work);
  gtk_widget_set_visible (self->state_label, work);
  gtk_widget_set_visible (self->open_button, !work);
  gtk_widget_set_visible (self->revision_button, work && !self->narrow);
  static const char *const needs[]
    = { "save",   "save-as",    "room",       "tool",    "zoom-in",   "zoom-out",    "zoom-fit", "zoom-true",
        "mirror", "next-place", "last-place", "details", "revisions", "fitting",     "fit-note", "panel-list",
        "print",  "save-pdf",   "cut-file",   "reload",  "overwrite", "add-starter", "steps" };
  for (guint i = 0; i < G_N_ELEMENTS (needs); i++)
    enable (self, needs[i], work);
}

static void
on_settled (AppWindow *self)
{
  show_history (self);
  show_title (self);
}

static void
on_file_changed (AppWindow *self)
{
  show_title (self);
  if (!app_session_changed_outside (self->session))
  {
    hide_message (self);
    return;
  }
  g_autofree char *title = app_session_title (self->session);
  g_autofree char *words = g_strdup_printf (
    app_session_is_saved (self->session)
      ? _ ("“%s” was changed on disk by another program.")
      : _ ("“%s” was changed on disk by another program, and has changes here that are not saved."),
    title);
  app_window_tell (self, words, true, _ ("Load it again"), "win.reload");
}

AppSession *
app_window_session (AppWindow *self)
{
  return self->session;
}

AppPanelsRoom *
app_window_panels_room (AppWindow *self)
{
  return APP_PANELS_ROOM (self->panels);
}

void
app_window_set_session (AppWindow *self, AppSession *session)
{
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_set_object (&self->session, session);
  app_panels_room_set_session (APP_PANELS_ROOM (self->panels), session);
  app_body_room_set_session (APP_BODY_ROOM (self->body), session);
  app_sheets_room_set_session (APP_SHEETS_ROOM (self->sheets), session);
  app_history_list_set_session (APP_HISTORY_LIST (self->steps), session);
  hide_message (self);
  if (session != NULL)
  {
    g_signal_connect_swapped (session, "settled", G_CALLBACK (on_settled), self);
    g_signal_connect_swapped (session, "file-changed", G_CALLBACK (on_file_changed), self);
    app_window_show_room (self, "panels");
  }
  else
    gtk_stack_set_visible_child (GTK_STACK (self->stack), self->start);
  show_parts (self);
  on_settled (self);
}

/* ---- documents ---- */

/* Nothing here that anyone would miss. */
static bool
is_spare (AppWindow *self)
{
  return self->session == NULL
         || (app_session_file (self->session) == NULL && app_session_is_saved (self->session)
             && app_session_document (self->session)->panels->len == 0);
}

AppWindow *
app_window_show_document (AppWindow *self, ModelDocument *doc, GFile *file, const char *etag)
{
  AppWindow *window
    = is_spare (self) ? self : app_window_new (gtk_window_get_application (GTK_WINDOW (self)));
  g_autoptr (AppSession) session = app_session_new (doc, file, etag);
  app_window_set_session (window, session);
  gtk_window_present (GTK_WINDOW (window));
  return window;
}

static ModelDocument *
fresh_document (void)
{
  ModelDocument *doc = model_document_new ();
  doc->head->unit = app_settings_unit ();
  g_free (doc->head->paper);
  doc->head->paper = app_settings_paper ();
  return doc;
}

void
app_window_new_document (AppWindow *self)
{
  app_window_show_document (self, fresh_document (), NULL, NULL);
}

static void
note_recent (GFile *file)
{
  g_autofree char *uri = g_file_get_uri (file);
  gtk_recent_manager_add_item (gtk_recent_manager_get_default (), uri);
}

static AppWindow *
window_of_file (AppWindow *self, GFile *file)
{
  GtkApplication *app = gtk_window_get_application (GTK_WINDOW (self));
  for (GList *at = app != NULL ? gtk_application_get_windows (app) : NULL; at != NULL; at = at->next)
    if (APP_IS_WINDOW (at->data))
    {
      AppWindow *window = APP_WINDOW (at->data);
      GFile *other = window->session != NULL ? app_session_file (window->session) : NULL;
      if (other != NULL && g_file_equal (other, file))
        return window;
    }
  return NULL;
}

static bool
is_picture (GFile *file)
{
  g_autofree char *name = g_file_get_basename (file);
  g_autofree char *low = name != NULL ? g_ascii_strdown (name, -1) : NULL;
  return low != NULL
         && (g_str_has_suffix (low, ".jpg") || g_str_has_suffix (low, ".jpeg")
             || g_str_has_suffix (low, ".png"));
}

void
app_window_open_file (AppWindow *self, GFile *file)
{
  if (is_picture (file))
  {
    app_window_from_photo (self, file);
    return;
  }
  AppWindow *open = window_of_file (self, file);
  if (open != NULL)
  {
    gtk_window_present (GTK_WINDOW (open));
    return;
  }
  g_autofree char *etag = NULL;
  g_autoptr (GError) error = NULL;
  ModelDocument *doc = model_document_load (file, &etag, &error);
  if (doc == NULL)
  {
    app_window_tell (self, error->message, true, NULL, NULL);
    return;
  }
  note_recent (file);
  app_window_show_document (self, doc, file, etag);
}

static void
on_files_chosen (GtkWindow *parent, GListModel *files, gpointer user)
{
  if (parent == NULL)
    return;
  for (guint i = 0; i < g_list_model_get_n_items (files); i++)
  {
    g_autoptr (GFile) file = g_list_model_get_item (files, i);
    app_window_open_file (APP_WINDOW (parent), file);
  }
}

/* ---- from a photo ---- */

AppPhotoRoom *
app_window_photo_room (AppWindow *self)
{
  return APP_PHOTO_ROOM (self->photo);
}

static void
on_photo_chosen (GtkWindow *parent, GFile *file, gpointer user)
{
  if (parent != NULL)
    app_window_from_photo (APP_WINDOW (parent), file);
}

static void
show_photo_room (AppWindow *self)
{
  hide_message (self);
  app_photo_room_set_unit (APP_PHOTO_ROOM (self->photo), self->session != NULL
                                                           ? app_session_document (self->session)->head->unit
                                                           : app_settings_unit ());
  gtk_stack_set_visible_child (GTK_STACK (self->stack), self->photo);
}

void
app_window_from_photo (AppWindow *self, GFile *file)
{
  if (file == NULL)
  {
    app_dialog_open_picture (GTK_WINDOW (self), on_photo_chosen, NULL);
    return;
  }
  show_photo_room (self);
  app_photo_room_open (APP_PHOTO_ROOM (self->photo), file);
}

static void
on_add_photo (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  app_window_from_photo (user, NULL);
}

static void
on_trace_photo (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  const guint id = self->session != NULL ? app_session_selection (self->session)->photo_id : 0;
  const ModelPhoto *photo = id != 0 ? model_document_photo (app_session_document (self->session), id) : NULL;
  if (photo == NULL)
    return;
  show_photo_room (self);
  app_photo_room_open_placed (APP_PHOTO_ROOM (self->photo), photo);
}

static void
on_photo_left (AppWindow *self)
{
  app_photo_room_forget (APP_PHOTO_ROOM (self->photo));
  if (self->session != NULL)
    app_window_show_room (self, "panels");
  else
    gtk_stack_set_visible_child (GTK_STACK (self->stack), self->start);
}

static void
on_photo_taken (AppWindow *self)
{
  const bool fresh = self->session == NULL;
  if (fresh)
  {
    ModelDocument *doc = fresh_document ();
    g_free (doc->head->title);
    doc->head->title = app_photo_room_title (APP_PHOTO_ROOM (self->photo));
    app_window_show_document (self, doc, NULL, NULL);
  }
  app_photo_room_put (APP_PHOTO_ROOM (self->photo), self->session);
  on_photo_left (self);
  app_canvas_fit (app_panels_room_canvas (APP_PANELS_ROOM (self->panels)));
}

static void
on_mat_printed (const char *message, gpointer user)
{
  g_autoptr (AppWindow) self = user;
  if (message != NULL && message[0] != '\0')
    app_window_tell (self, message, true, NULL, NULL);
}

static char *
mat_paper (AppWindow *self)
{
  TraceMat mat;
  g_autofree char *paper = self->session != NULL
                             ? g_strdup (app_session_document (self->session)->head->paper)
                             : app_settings_paper ();
  return trace_mat_layout (paper, &mat) ? g_steal_pointer (&paper) : g_strdup ("a4");
}

static void
on_print_mat (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  g_autofree char *paper = mat_paper (user);
  app_print_mat (user, paper, on_mat_printed, g_object_ref (user));
}

static void
on_mat_file (GtkWindow *parent, GFile *file, gpointer user)
{
  g_autofree char *path = g_file_get_path (file);
  g_autoptr (GError) error = NULL;
  if (parent == NULL)
    return;
  g_autofree char *paper = mat_paper (APP_WINDOW (parent));
  if (path == NULL)
    app_window_tell (APP_WINDOW (parent), _ ("The mat can only be written to a folder of this computer."),
                     true, NULL, NULL);
  else if (!output_mat_write_pdf (paper, path, &error))
    app_window_tell (APP_WINDOW (parent), error->message, true, NULL, NULL);
}

static void
on_save_mat (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  const AppFileKind kinds[] = { { _ ("PDF files"), "*.pdf" } };
  app_dialog_save (user, _ ("Save the mat"), NULL, _ ("mat.pdf"), kinds, 1, on_mat_file, NULL);
}

/* ---- drawings of other programs ---- */

void
app_window_import_svg (AppWindow *self, GFile *file)
{
  g_autofree char *data = NULL;
  gsize length;
  g_autoptr (GError) error = NULL;
  if (!g_file_load_contents (file, NULL, &data, &length, NULL, &error))
  {
    app_window_tell (self, error->message, true, NULL, NULL);
    return;
  }
  if (self->session == NULL)
    app_window_new_document (self);
  app_window_show_room (self, "panels");
  if (app_canvas_take_svg (app_panels_room_canvas (APP_PANELS_ROOM (self->panels)), data, length,
                           _ ("Import a drawing"), &error))
    return;
  g_autofree char *name = g_file_get_basename (file);
  g_autofree char *shown = g_filename_display_name (name);
  /* Translators: a file's name, then a place in it and what is wrong there. */
  g_autofree char *words = g_strdup_printf (_ ("“%s” cannot be imported: %s"), shown, error->message);
  app_window_tell (self, words, true, NULL, NULL);
}

static void
on_svg_chosen (GtkWindow *parent, GFile *file, gpointer user)
{
  if (parent != NULL)
    app_window_import_svg (APP_WINDOW (parent), file);
}

static void
on_import_svg (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  const AppFileKind kind = { _ ("SVG drawings"), "*.svg" };
  app_dialog_pick (GTK_WINDOW (user), _ ("Import SVG"), &kind, on_svg_chosen, NULL);
}

static gboolean
on_drop (GtkDropTarget *target, const GValue *value, double x, double y, AppWindow *self)
{
  GSList *files = gdk_file_list_get_files (g_value_get_boxed (value));
  for (GSList *at = files; at != NULL; at = at->next)
  {
    g_autofree char *name = g_file_get_basename (at->data);
    if (name != NULL && g_str_has_suffix (name, ".svg"))
      app_window_import_svg (self, at->data);
    else
      app_window_open_file (self, at->data);
  }
  g_slist_free (files);
  return TRUE;
}

/* ---- saving ---- */

static void
on_overwrite_answer (GtkWindow *parent, int id, gpointer user)
{
  if (parent != NULL && id == 1)
    gtk_widget_activate_action (GTK_WIDGET (parent), "win.overwrite", NULL);
  else if (parent != NULL && id == 2)
    gtk_widget_activate_action (GTK_WIDGET (parent), "win.save-as", NULL);
}

/* True if it is on disk now.  Otherwise the maker has been told why, and nothing else happens. */
static bool
save_to (AppWindow *self, GFile *file, bool force)
{
  g_autoptr (GError) error = NULL;
  if (app_session_save (self->session, file, force, &error))
  {
    note_recent (app_session_file (self->session));
    on_settled (self);
    if (self->closing)
    {
      self->answered = true;
      gtk_window_close (GTK_WINDOW (self));
    }
    return true;
  }
  self->closing = false;
  g_autofree char *title = app_session_title (self->session);
  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_WRONG_ETAG))
  {
    g_autofree char *heading = g_strdup_printf (_ ("“%s” was changed by another program meanwhile."), title);
    const AppChoice choices[] = { { .id = APP_CHOICE_CANCEL, .label = _ ("_Cancel") },
                                  { .id = 1, .label = _ ("_Write over it"), .loses = true },
                                  { .id = 2, .label = _ ("Save _as…"), .chief = true } };
    app_dialog_ask (
      GTK_WINDOW (self), heading,
      _ ("Writing over it loses what the other program changed. Saved under another name, both are kept."),
      choices, G_N_ELEMENTS (choices), on_overwrite_answer, NULL);
    return false;
  }
  g_autofree char *heading = g_strdup_printf (_ ("“%s” could not be saved."), title);
  g_autofree char *body = g_strdup_printf (
    _ ("%s Nothing is lost: it stays open here. Try another place with Save as."), error->message);
  app_dialog_tell (GTK_WINDOW (self), heading, body);
  return false;
}

static void
on_save_chosen (GtkWindow *parent, GFile *file, gpointer user)
{
  if (parent != NULL && APP_WINDOW (parent)->session != NULL)
    save_to (APP_WINDOW (parent), file, false);
}

static void
ask_where (AppWindow *self)
{
  const AppFileKind kinds[] = { { _ ("Panelwright documents"), "*.panelwright" } };
  g_autofree char *title = app_session_title (self->session);
  g_strdelimit (title, "/\\:", '-');
  g_autofree char *name = g_strconcat (title, ".panelwright", NULL);
  app_dialog_save (GTK_WINDOW (self), _ ("Save"), app_session_file (self->session), name, kinds, 1,
                   on_save_chosen, NULL);
}

static void
on_save (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  self->closing = false; /* a chooser left with Cancel ends the closing it was asked for */
  if (app_session_file (self->session) == NULL)
    ask_where (self);
  else
    save_to (self, NULL, false);
}

static void
on_save_as (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  APP_WINDOW (user)->closing = false;
  ask_where (user);
}

static void
on_overwrite (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  save_to (user, NULL, true);
}

static void
reload (AppWindow *self)
{
  g_autofree char *etag = NULL;
  g_autoptr (GError) error = NULL;
  g_autoptr (GFile) file = g_object_ref (app_session_file (self->session));
  ModelDocument *doc = model_document_load (file, &etag, &error);
  if (doc == NULL)
  {
    app_window_tell (self, error->message, true, NULL, NULL);
    return;
  }
  app_session_discard (self->session);
  g_autoptr (AppSession) session = app_session_new (doc, file, etag);
  app_window_set_session (self, session);
}

static void
on_reload_answer (GtkWindow *parent, int id, gpointer user)
{
  if (parent != NULL && id == 1)
    reload (APP_WINDOW (parent));
}

static void
on_reload (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  if (app_session_file (self->session) == NULL)
    return;
  if (app_session_is_saved (self->session))
  {
    reload (self);
    return;
  }
  /* Undo does not reach over a reload, so this one is asked. */
  g_autofree char *title = app_session_title (self->session);
  g_autofree char *heading = g_strdup_printf (_ ("Load “%s” again from disk?"), title);
  const AppChoice choices[] = { { .id = APP_CHOICE_CANCEL, .label = _ ("_Keep mine"), .chief = false },
                                { .id = 1, .label = _ ("_Load it again"), .loses = true } };
  app_dialog_ask (GTK_WINDOW (self), heading, _ ("What was changed here since it was saved is lost."),
                  choices, G_N_ELEMENTS (choices), on_reload_answer, NULL);
}

/* ---- closing ---- */

static void
on_close_answer (GtkWindow *parent, int id, gpointer user)
{
  if (parent == NULL)
    return;
  AppWindow *self = APP_WINDOW (parent);
  if (id == 1)
  {
    app_session_discard (self->session);
    self->answered = true;
    gtk_window_close (parent);
  }
  else if (id == 2)
    save_then_close (self);
  else
    self->closing = false;
}

static void
save_then_close (AppWindow *self)
{
  self->closing = true;
  if (app_session_file (self->session) == NULL)
    ask_where (self);
  else
    save_to (self, NULL, false);
}

static void
keep_size (AppWindow *self)
{
  if (app_settings () == NULL)
    return;
  bool maximized = gtk_window_is_maximized (GTK_WINDOW (self));
  g_settings_set_boolean (app_settings (), "window-maximized", maximized);
  if (maximized)
    return;
  int width, height;
  gtk_window_get_default_size (GTK_WINDOW (self), &width, &height);
  if (width >= 640 && height >= 480)
  {
    app_settings_set_number ("window-width", width);
    app_settings_set_number ("window-height", height);
  }
}

bool
app_window_ask_to_close (AppWindow *self)
{
  if (self->answered || self->session == NULL || app_session_is_saved (self->session))
    return true;
  g_autofree char *title = app_session_title (self->session);
  g_autofree char *heading = g_strdup_printf (_ ("Save “%s” before closing?"), title);
  const AppChoice choices[] = { { .id = 1, .label = _ ("Close _without saving"), .loses = true },
                                { .id = APP_CHOICE_CANCEL, .label = _ ("_Cancel") },
                                { .id = 2, .label = _ ("_Save"), .chief = true } };
  app_dialog_ask (GTK_WINDOW (self), heading,
                  _ ("What was changed since it was last saved is otherwise lost."), choices,
                  G_N_ELEMENTS (choices), on_close_answer, NULL);
  return false;
}

static gboolean
app_window_close_request (GtkWindow *window)
{
  AppWindow *self = APP_WINDOW (window);
  if (!app_window_ask_to_close (self))
    return TRUE;
  keep_size (self);
  return GTK_WINDOW_CLASS (app_window_parent_class)->close_request (window);
}

static void
on_close (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  gtk_window_close (GTK_WINDOW (user));
}

/* ---- other actions ---- */

static void
on_undo (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  if (self->session != NULL && !model_history_is_open (app_session_history (self->session)))
    model_history_undo (app_session_history (self->session));
}

static void
on_redo (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  if (self->session != NULL && !model_history_is_open (app_session_history (self->session)))
    model_history_redo (app_session_history (self->session));
}

void
app_window_show_room (AppWindow *self, const char *room)
{
  g_action_group_change_action_state (G_ACTION_GROUP (self), "room", g_variant_new_string (room));
}

static void
change_room (GSimpleAction *action, GVariant *value, gpointer user)
{
  AppWindow *self = user;
  const char *room = g_variant_get_string (value, NULL);
  GtkWidget *page = strcmp (room, "body") == 0     ? self->body
                    : strcmp (room, "sheets") == 0 ? self->sheets
                    : strcmp (room, "panels") == 0 ? self->panels
                                                   : NULL;
  if (page == NULL || self->session == NULL)
    return;
  g_simple_action_set_state (action, value);
  gtk_stack_set_visible_child (GTK_STACK (self->stack), page);
  if (page == self->panels)
    gtk_widget_grab_focus (GTK_WIDGET (app_panels_room_canvas (APP_PANELS_ROOM (self->panels))));
}

static void
change_tool (GSimpleAction *action, GVariant *value, gpointer user)
{
  AppWindow *self = user;
  const char *key = g_variant_get_string (value, NULL);
  for (int i = 0; i < APP_TOOL_COUNT; i++)
  {
    const AppToolClass *klass = app_tool_class ((AppToolKind)i);
    if (klass == NULL || strcmp (klass->key, key) != 0)
      continue;
    app_window_show_room (self, "panels");
    app_canvas_set_tool (app_panels_room_canvas (APP_PANELS_ROOM (self->panels)), (AppToolKind)i);
    g_simple_action_set_state (action, value);
  }
}

static void
on_tool_changed (AppWindow *self)
{
  const AppToolClass *klass
    = app_tool_class (app_canvas_tool (app_panels_room_canvas (APP_PANELS_ROOM (self->panels))));
  GAction *action = g_action_map_lookup_action (G_ACTION_MAP (self), "tool");
  if (klass != NULL && action != NULL)
    g_simple_action_set_state (G_SIMPLE_ACTION (action), g_variant_new_string (klass->key));
}

/* "zoom-in" and its like are the canvas's own. */
static void
on_canvas_action (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  g_autofree char *name = g_strconcat ("canvas.", g_action_get_name (G_ACTION (action)), NULL);
  gtk_widget_activate_action (GTK_WIDGET (app_panels_room_canvas (APP_PANELS_ROOM (self->panels))), name,
                              NULL);
}

static void
on_sheets_action (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  app_window_show_room (self, "sheets");
  g_autofree char *name = g_strconcat ("sheets.", g_action_get_name (G_ACTION (action)), NULL);
  gtk_widget_activate_action (self->sheets, name, NULL);
}

static void
on_next_place (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  app_window_show_room (self, "panels");
  app_joins_pane_step (app_panels_room_joins (APP_PANELS_ROOM (self->panels)), 1);
}

static void
on_last_place (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  app_window_show_room (self, "panels");
  app_joins_pane_step (app_panels_room_joins (APP_PANELS_ROOM (self->panels)), -1);
}

static void
on_mirror (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  app_panels_room_toggle_mirror (APP_PANELS_ROOM (APP_WINDOW (user)->panels));
}

static void
change_comb (GSimpleAction *action, GVariant *value, gpointer user)
{
  g_simple_action_set_state (action, value);
  if (app_settings () != NULL)
    g_settings_set_boolean (app_settings (), "comb", g_variant_get_boolean (value));
  app_canvas_set_comb (app_panels_room_canvas (APP_PANELS_ROOM (APP_WINDOW (user)->panels)),
                       g_variant_get_boolean (value));
}

static void
on_fullscreen (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  if (gtk_window_is_fullscreen (GTK_WINDOW (user)))
    gtk_window_unfullscreen (GTK_WINDOW (user));
  else
    gtk_window_fullscreen (GTK_WINDOW (user));
}

static void
on_hide_message (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  hide_message (user);
}

static void
on_open_recent (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  g_autoptr (GFile) file = g_file_new_for_uri (g_variant_get_string (parameter, NULL));
  app_window_open_file (user, file);
}

static void
on_open (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  app_dialog_open (GTK_WINDOW (user), on_files_chosen, NULL);
}

static void
on_details (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  gtk_widget_set_visible (self->revision_button, TRUE);
  gtk_menu_button_popup (GTK_MENU_BUTTON (self->revision_button));
}

/* The action's name is the pane's; asked for again, it closes. */
static void
on_aside (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  AppAside *aside = app_panels_room_aside (APP_PANELS_ROOM (self->panels));
  const char *which = g_action_get_name (G_ACTION (action));
  bool there = gtk_stack_get_visible_child (GTK_STACK (self->stack)) == self->panels;
  gtk_popover_popdown (GTK_POPOVER (self->details));
  app_window_show_room (self, "panels");
  app_aside_show (aside, there && g_strcmp0 (app_aside_shown (aside), which) == 0 ? NULL : which);
}

/* From a panel or an edge: the pane is wanted, and stays if it is there. */
static void
on_fit_note (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  app_window_show_room (self, "panels");
  app_aside_show (app_panels_room_aside (APP_PANELS_ROOM (self->panels)), "fitting");
}

/* ---- title, wearer, revision ---- */

static void
fill_details (AppWindow *self)
{
  if (self->session == NULL)
    return;
  const ModelHead *head = app_session_document (self->session)->head;
  gtk_editable_set_text (GTK_EDITABLE (self->title_entry), head->title);
  gtk_editable_set_text (GTK_EDITABLE (self->wearer_entry), head->wearer);
  gtk_editable_set_text (GTK_EDITABLE (self->revision_entry), head->revision);
  gtk_editable_set_text (GTK_EDITABLE (self->note_entry), head->note);
}

static bool
set_word (char **where, GtkWidget *entry)
{
  const char *text = gtk_editable_get_text (GTK_EDITABLE (entry));
  if (strcmp (*where, text) == 0)
    return false;
  g_free (*where);
  *where = g_strdup (text);
  return true;
}

static void
take_details (AppWindow *self)
{
  if (self->session == NULL)
    return;
  g_autoptr (ModelHead) head = model_head_copy (app_session_document (self->session)->head);
  bool changed = set_word (&head->title, self->title_entry);
  changed |= set_word (&head->wearer, self->wearer_entry);
  changed |= set_word (&head->note, self->note_entry);
  if (set_word (&head->revision, self->revision_entry))
  {
    changed = true;
    g_autoptr (GDateTime) now = g_date_time_new_now_local ();
    g_free (head->revision_date);
    head->revision_date = g_date_time_format (now, "%Y-%m-%d");
  }
  if (!changed)
    return;
  ModelHistory *history = app_session_history (self->session);
  model_history_begin (history, _ ("Change title or revision"));
  model_history_put_head (history, g_steal_pointer (&head));
  model_history_end (history);
}

static void
on_details_visible (AppWindow *self)
{
  if (gtk_widget_get_visible (self->details))
    fill_details (self);
  else
  {
    take_details (self);
    show_parts (self);
  }
}

/* ---- recent files ---- */

static void
fill_recent (AppWindow *self)
{
  if (self->recent == NULL)
    return;
  g_menu_remove_all (self->recent);
  GList *items = gtk_recent_manager_get_items (gtk_recent_manager_get_default ());
  guint count = 0;
  for (GList *at = items; at != NULL && count < MOST_RECENT; at = at->next)
  {
    GtkRecentInfo *info = at->data;
    const char *uri = gtk_recent_info_get_uri (info);
    if (!g_str_has_suffix (uri, ".panelwright") || !gtk_recent_info_exists (info))
      continue;
    g_autoptr (GMenuItem) item = g_menu_item_new (gtk_recent_info_get_display_name (info), NULL);
    g_menu_item_set_action_and_target (item, "win.open-recent", "s", uri);
    g_menu_append_item (self->recent, item);
    count++;
  }
  g_list_free_full (items, (GDestroyNotify)gtk_recent_info_unref);
  if (count == 0)
    g_menu_append (self->recent, _ ("Nothing yet"), "win.nothing");
}

static void
build_menu (AppWindow *self)
{
  g_autoptr (GtkBuilder) builder = gtk_builder_new_from_resource (APP_RESOURCE "ui/menus.ui");
  self->recent = g_object_ref (G_MENU (gtk_builder_get_object (builder, "recent")));
  gtk_menu_button_set_menu_model (GTK_MENU_BUTTON (self->menu_button),
                                  G_MENU_MODEL (gtk_builder_get_object (builder, "primary")));
  g_signal_connect_object (gtk_recent_manager_get_default (), "changed", G_CALLBACK (fill_recent), self,
                           G_CONNECT_SWAPPED);
  fill_recent (self);
}

/* ---- start view ---- */

static void
on_start_open (AppStartView *view, GFile *file, AppWindow *self)
{
  app_window_open_file (self, file);
}

/* A copy without a file: the shipped one stays as it is. */
static void
on_start_example (AppStartView *view, GFile *file, AppWindow *self)
{
  g_autoptr (GError) error = NULL;
  ModelDocument *doc = model_document_load (file, NULL, &error);
  if (doc == NULL)
    app_window_tell (self, error->message, true, NULL, NULL);
  else
    app_window_show_document (self, doc, NULL, NULL);
}

/* ---- size ---- */

static gboolean
follow_narrow (gpointer user)
{
  AppWindow *self = user;
  self->narrow_source = 0;
  show_parts (self);
  return G_SOURCE_REMOVE;
}

static void
app_window_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  AppWindow *self = APP_WINDOW (widget);
  GTK_WIDGET_CLASS (app_window_parent_class)->size_allocate (widget, width, height, baseline);
  bool narrow = width < NARROW_PX;
  if (narrow != self->narrow)
  {
    self->narrow = narrow;
    if (self->narrow_source == 0)
      self->narrow_source = g_idle_add_full (GDK_PRIORITY_REDRAW - 10, follow_narrow, self, NULL);
  }
}

/* ---- life ---- */

static const GActionEntry entries[] = {
  { .name = "save", .activate = on_save },
  { .name = "save-as", .activate = on_save_as },
  { .name = "overwrite", .activate = on_overwrite },
  { .name = "reload", .activate = on_reload },
  { .name = "close", .activate = on_close },
  { .name = "open", .activate = on_open },
  { .name = "import-svg", .activate = on_import_svg },
  { .name = "open-recent", .activate = on_open_recent, .parameter_type = "s" },
  { .name = "undo", .activate = on_undo },
  { .name = "redo", .activate = on_redo },
  { .name = "room", .parameter_type = "s", .state = "'panels'", .change_state = change_room },
  { .name = "tool", .parameter_type = "s", .state = "'choose'", .change_state = change_tool },
  { .name = "zoom-in", .activate = on_canvas_action },
  { .name = "zoom-out", .activate = on_canvas_action },
  { .name = "zoom-fit", .activate = on_canvas_action },
  { .name = "zoom-true", .activate = on_canvas_action },
  { .name = "next-place", .activate = on_next_place },
  { .name = "last-place", .activate = on_last_place },
  { .name = "details", .activate = on_details },
  { .name = "revisions", .activate = on_aside },
  { .name = "fitting", .activate = on_aside },
  { .name = "panel-list", .activate = on_aside },
  { .name = "fit-note", .activate = on_fit_note },
  { .name = "print", .activate = on_sheets_action },
  { .name = "save-pdf", .activate = on_sheets_action },
  { .name = "cut-file", .activate = on_sheets_action },
  { .name = "add-photo", .activate = on_add_photo },
  { .name = "trace-photo", .activate = on_trace_photo },
  { .name = "print-mat", .activate = on_print_mat },
  { .name = "save-mat", .activate = on_save_mat },
  { .name = "mirror", .activate = on_mirror },
  { .name = "comb", .state = "false", .change_state = change_comb },
  { .name = "fullscreen", .activate = on_fullscreen },
  { .name = "hide-message", .activate = on_hide_message },
};

static void
app_window_dispose (GObject *object)
{
  AppWindow *self = APP_WINDOW (object);
  g_clear_handle_id (&self->state_source, g_source_remove);
  g_clear_handle_id (&self->narrow_source, g_source_remove);
  if (self->session != NULL)
  {
    g_signal_handlers_disconnect_by_data (self->session, self);
    app_panels_room_set_session (APP_PANELS_ROOM (self->panels), NULL);
    app_body_room_set_session (APP_BODY_ROOM (self->body), NULL);
    app_sheets_room_set_session (APP_SHEETS_ROOM (self->sheets), NULL);
    app_history_list_set_session (APP_HISTORY_LIST (self->steps), NULL);
  }
  g_clear_object (&self->session);
  g_clear_object (&self->recent);
  G_OBJECT_CLASS (app_window_parent_class)->dispose (object);
}

static void
app_window_class_init (AppWindowClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_window_dispose;
  GTK_WINDOW_CLASS (klass)->close_request = app_window_close_request;
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  widget_class->size_allocate = app_window_size_allocate;
  gtk_widget_class_set_template_from_resource (widget_class, APP_RESOURCE "ui/window.ui");
#define BIND(name) gtk_widget_class_bind_template_child (widget_class, AppWindow, name)
  BIND (header);
  BIND (rooms);
  BIND (body_tab);
  BIND (panels_tab);
  BIND (sheets_tab);
  BIND (title_box);
  BIND (title_label);
  BIND (state_label);
  BIND (open_button);
  BIND (undo_button);
  BIND (redo_button);
  BIND (menu_button);
  BIND (help_button);
  BIND (revision_button);
  BIND (details);
  BIND (title_entry);
  BIND (wearer_entry);
  BIND (revision_entry);
  BIND (note_entry);
  BIND (message);
  BIND (message_box);
  BIND (message_words);
  BIND (message_deed);
  BIND (message_close);
  BIND (stack);
#undef BIND
}

static void
add_page (AppWindow *self, GtkWidget **where, GtkWidget *page, const char *name)
{
  *where = page;
  gtk_stack_add_named (GTK_STACK (self->stack), page, name);
}

static void
app_window_init (AppWindow *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  g_action_map_add_action_entries (G_ACTION_MAP (self), entries, G_N_ELEMENTS (entries), self);
  g_simple_action_set_state (G_SIMPLE_ACTION (g_action_map_lookup_action (G_ACTION_MAP (self), "comb")),
                             g_variant_new_boolean (app_settings_flag ("comb", false)));
  app_starter_add_action (self);
  add_page (self, &self->start, app_start_view_new (), "start");
  add_page (self, &self->body, app_body_room_new (), "body");
  add_page (self, &self->panels, app_panels_room_new (), "panels");
  add_page (self, &self->sheets, app_sheets_room_new (), "sheets");
  add_page (self, &self->photo, app_photo_room_new (), "photo");
  g_signal_connect_swapped (self->photo, "taken", G_CALLBACK (on_photo_taken), self);
  g_signal_connect_swapped (self->photo, "left", G_CALLBACK (on_photo_left), self);
  g_signal_connect_swapped (self->panels, "tool-changed", G_CALLBACK (on_tool_changed), self);
  g_signal_connect_swapped (self->start, "blank", G_CALLBACK (app_window_new_document), self);
  g_signal_connect (self->start, "open", G_CALLBACK (on_start_open), self);
  g_signal_connect (self->start, "example", G_CALLBACK (on_start_example), self);

  self->steps = app_history_list_new (G_ACTION_MAP (self));
  gtk_box_insert_child_after (GTK_BOX (gtk_widget_get_parent (self->redo_button)), self->steps,
                              self->redo_button);
  gtk_button_set_label (GTK_BUTTON (self->message_close), _ ("Leave it"));
  gtk_actionable_set_action_name (GTK_ACTIONABLE (self->message_close), "win.hide-message");
  gtk_widget_set_visible (self->message, FALSE);
  g_signal_connect_swapped (self->details, "notify::visible", G_CALLBACK (on_details_visible), self);
  GtkWidget *const fields[]
    = { self->title_entry, self->wearer_entry, self->revision_entry, self->note_entry };
  for (guint i = 0; i < G_N_ELEMENTS (fields); i++)
    g_signal_connect_swapped (fields[i], "activate", G_CALLBACK (take_details), self);
  build_menu (self);

  GtkDropTarget *drop = gtk_drop_target_new (GDK_TYPE_FILE_LIST, GDK_ACTION_COPY);
  g_signal_connect (drop, "drop", G_CALLBACK (on_drop), self);
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (drop));
  gtk_window_set_default_size (GTK_WINDOW (self), app_settings_number ("window-width", 1440),
                               app_settings_number ("window-height", 900));
  if (app_settings_flag ("window-maximized", false))
    gtk_window_maximize (GTK_WINDOW (self));
  self->state_source = g_timeout_add_seconds (STATE_EVERY_S, on_state_due, self);
  app_window_set_session (self, NULL);
}

AppWindow *
app_window_new (GtkApplication *application)
{
  return g_object_new (APP_TYPE_WINDOW, "application", application, NULL);
}
