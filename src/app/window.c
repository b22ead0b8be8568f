/* The window is thin: it owns a session, hands it to the rooms, and shows what it says of itself.  Its
 * actions stand in window-*.c. */
#include "app/window-private.h"

#include "app/body-room.h"
#include "app/history-list.h"
#include "app/label.h"
#include "app/settings.h"
#include "app/sheets-room.h"
#include "app/start-view.h"
#include "app/starter-add.h"
#include "app/tour.h"

#include <glib/gi18n.h>

#define STATE_EVERY_S 30
#define NARROW_PX 1180

G_DEFINE_FINAL_TYPE (AppWindow, app_window, GTK_TYPE_APPLICATION_WINDOW)

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

void
app_window_hide_message (AppWindow *self)
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

void
app_window_show_parts (AppWindow *self)
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
    = { "save",      "save-as",    "room",        "tool",       "zoom-in", "zoom-out",  "zoom-fit",
        "zoom-true", "mirror",     "next-place",  "last-place", "details", "revisions", "fitting",
        "fit-note",  "panel-list", "refit",       "show-line",  "print",   "save-pdf",  "cut-file",
        "reload",    "overwrite",  "add-starter", "steps" };
  for (guint i = 0; i < G_N_ELEMENTS (needs); i++)
    enable (self, needs[i], work);
}

void
app_window_follow (AppWindow *self)
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
    app_window_hide_message (self);
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
  if (app_tour_session (APP_TOUR (self->tour)) != session)
    app_tour_set_session (APP_TOUR (self->tour), NULL);
  app_window_hide_message (self);
  if (session != NULL)
  {
    g_signal_connect_swapped (session, "settled", G_CALLBACK (app_window_follow), self);
    g_signal_connect_swapped (session, "file-changed", G_CALLBACK (on_file_changed), self);
    app_window_show_room (self, "panels");
  }
  else
    gtk_stack_set_visible_child (GTK_STACK (self->stack), self->start);
  app_window_show_parts (self);
  app_window_follow (self);
}

static void
build_menu (AppWindow *self)
{
  g_autoptr (GtkBuilder) builder = gtk_builder_new_from_resource (APP_RESOURCE "ui/menus.ui");
  self->recent = g_object_ref (G_MENU (gtk_builder_get_object (builder, "recent")));
  gtk_menu_button_set_menu_model (GTK_MENU_BUTTON (self->menu_button),
                                  G_MENU_MODEL (gtk_builder_get_object (builder, "primary")));
}

/* ---- size ---- */

static gboolean
follow_narrow (gpointer user)
{
  AppWindow *self = user;
  self->narrow_source = 0;
  app_window_show_parts (self);
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

static gboolean
app_window_close_request (GtkWindow *window)
{
  AppWindow *self = APP_WINDOW (window);
  if (!app_window_ask_to_close (self))
    return TRUE;
  app_window_keep_size (self);
  return GTK_WINDOW_CLASS (app_window_parent_class)->close_request (window);
}

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
    app_tour_set_session (APP_TOUR (self->tour), NULL);
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
  app_starter_add_action (self);
  add_page (self, &self->start, app_start_view_new (), "start");
  add_page (self, &self->body, app_body_room_new (), "body");
  add_page (self, &self->panels, app_panels_room_new (), "panels");
  add_page (self, &self->sheets, app_sheets_room_new (), "sheets");
  add_page (self, &self->photo, app_photo_room_new (), "photo");

  self->steps = app_history_list_new (G_ACTION_MAP (self));
  gtk_box_insert_child_after (GTK_BOX (gtk_widget_get_parent (self->redo_button)), self->steps,
                              self->redo_button);
  gtk_button_set_label (GTK_BUTTON (self->message_close), _ ("Leave it"));
  gtk_actionable_set_action_name (GTK_ACTIONABLE (self->message_close), "win.hide-message");
  gtk_widget_set_visible (self->message, FALSE);
  self->tour = app_tour_new (self);
  gtk_box_insert_child_after (GTK_BOX (gtk_widget_get_parent (self->message)), self->tour, self->message);
  build_menu (self);
  app_window_open_init (self);
  app_window_save_init (self);
  app_window_photo_init (self);
  app_window_commands_init (self);

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
