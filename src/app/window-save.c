/* Saving, loading again and closing: what may lose work goes through one question, and closing waits for its
 * answer. */
#include "app/window-private.h"

#include "app/dialogs.h"
#include "app/settings.h"

#include <glib/gi18n.h>

static void save_then_close (AppWindow *self);

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
    app_window_note_recent (app_session_file (self->session));
    app_window_follow (self);
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

void
app_window_keep_size (AppWindow *self)
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

static void
on_close (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  gtk_window_close (GTK_WINDOW (user));
}

static const GActionEntry entries[] = {
  { .name = "save", .activate = on_save },           { .name = "save-as", .activate = on_save_as },
  { .name = "overwrite", .activate = on_overwrite }, { .name = "reload", .activate = on_reload },
  { .name = "close", .activate = on_close },
};

void
app_window_save_init (AppWindow *self)
{
  g_action_map_add_action_entries (G_ACTION_MAP (self), entries, G_N_ELEMENTS (entries), self);
}
