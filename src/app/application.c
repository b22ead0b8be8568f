/* Start, actions of the whole program, and what an earlier run that died left behind. */
#include "app/application.h"

#include "app/dialogs.h"
#include "app/label.h"
#include "app/preferences.h"
#include "app/settings.h"
#include "app/tool.h"
#include "app/window.h"

#include "panelwright-config.h"

#include <glib/gi18n.h>

struct _AppApplication
{
  GtkApplication parent;
  GPtrArray *leftovers; /* ModelLeftover: still to be asked about */
  bool looked;
};

G_DEFINE_FINAL_TYPE (AppApplication, app_application, GTK_TYPE_APPLICATION)

static AppWindow *
some_window (AppApplication *self)
{
  GtkWindow *active = gtk_application_get_active_window (GTK_APPLICATION (self));
  for (GList *at = gtk_application_get_windows (GTK_APPLICATION (self));
       !APP_IS_WINDOW (active) && at != NULL; at = at->next)
    active = at->data;
  return APP_IS_WINDOW (active) ? APP_WINDOW (active) : app_window_new (GTK_APPLICATION (self));
}

/* ---- what was left behind ---- */

static void ask_about_next (AppApplication *self);

static void
take_leftover (AppWindow *window, const ModelLeftover *leftover)
{
  g_autoptr (GFile) file = leftover->uri != NULL ? g_file_new_for_uri (leftover->uri) : NULL;
  AppWindow *shown
    = app_window_show_document (window, model_document_copy (leftover->doc), file, leftover->etag);
  AppSession *session = app_window_session (shown);
  app_session_mark_unsaved (session);
  /* The old file goes only once the new one holds the same. */
  if (app_session_write_recovery (session))
    model_leftover_remove (leftover);
}

static void
on_leftover_answer (GtkWindow *parent, int id, gpointer user)
{
  AppApplication *self = user;
  if (self->leftovers->len == 0)
    return;
  const ModelLeftover *leftover = g_ptr_array_index (self->leftovers, 0);
  if (id == 1)
    take_leftover (parent != NULL ? APP_WINDOW (parent) : some_window (self), leftover);
  else if (id == 2)
    model_leftover_remove (leftover);
  g_ptr_array_remove_index (self->leftovers, 0);
  ask_about_next (self);
}

static char *
when_words (gint64 unix_time)
{
  g_autoptr (GDateTime) then = g_date_time_new_from_unix_local (unix_time);
  return then != NULL ? g_date_time_format (then, "%x %H:%M") : g_strdup ("");
}

static void
ask_about_next (AppApplication *self)
{
  while (self->leftovers->len > 0)
  {
    const ModelLeftover *leftover = g_ptr_array_index (self->leftovers, 0);
    AppWindow *window = some_window (self);
    if (leftover->doc == NULL)
    {
      g_autofree char *words = g_strdup_printf (
        _ ("A document kept before the program ended cannot be read; the file stays at %s."), leftover->path);
      app_window_tell (window, words, true, NULL, NULL);
      g_ptr_array_remove_index (self->leftovers, 0);
      continue;
    }
    const char *title
      = leftover->title != NULL && leftover->title[0] != '\0' ? leftover->title : _ ("New piece");
    g_autofree char *heading = g_strdup_printf (_ ("Go on with “%s”?"), title);
    g_autofree char *when = when_words (leftover->written_unix);
    g_autofree char *body
      = g_strdup_printf (_ ("It had changes that were not saved when the program ended. They were last kept "
                            "on %s; nothing is written to the file before you save."),
                         when);
    const AppChoice choices[] = { { .id = 2, .label = _ ("_Let it go"), .loses = true },
                                  { .id = APP_CHOICE_CANCEL, .label = _ ("Ask _later") },
                                  { .id = 1, .label = _ ("_Go on with it"), .chief = true } };
    app_dialog_ask (GTK_WINDOW (window), heading, body, choices, G_N_ELEMENTS (choices), on_leftover_answer,
                    self);
    return;
  }
}

static void
look_for_leftovers (AppApplication *self)
{
  if (self->looked)
    return;
  self->looked = true;
  g_clear_pointer (&self->leftovers, g_ptr_array_unref);
  self->leftovers = model_recovery_find (NULL);
  ask_about_next (self);
}

/* ---- actions ---- */

static void
on_new (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  app_window_new_document (some_window (user));
}

static void
on_open (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *window = some_window (user);
  gtk_window_present (GTK_WINDOW (window));
  gtk_widget_activate_action (GTK_WIDGET (window), "win.open", NULL);
}

static void
on_from_photo (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *window = some_window (user);
  gtk_window_present (GTK_WINDOW (window));
  app_window_from_photo (window, NULL);
}

static void
on_quit (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  /* Closing takes windows out of the list while it is walked. */
  g_autoptr (GList) windows = g_list_copy (gtk_application_get_windows (GTK_APPLICATION (user)));
  for (GList *at = windows; at != NULL; at = at->next)
    gtk_window_close (at->data);
}

static void
on_preferences (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  app_preferences_show (GTK_WINDOW (some_window (user)));
}

static void
on_help_shown (GObject *window, GAsyncResult *result, gpointer user)
{
  g_autoptr (GError) error = NULL;
  if (!gtk_show_uri_full_finish (GTK_WINDOW (window), result, &error))
    app_window_tell (APP_WINDOW (window),
                     _ ("No viewer for the help was found. Yelp is one; with it F1 shows the pages."), true,
                     NULL, NULL);
}

static void
on_help (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  gtk_show_uri_full (GTK_WINDOW (some_window (user)), "help:panelwright", GDK_CURRENT_TIME, NULL,
                     on_help_shown, NULL);
}

static void
on_about (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  gtk_show_about_dialog (GTK_WINDOW (some_window (user)), "program-name", "Panelwright", "version",
                         PW_VERSION, "logo-icon-name", PW_APP_ID, "license-type", GTK_LICENSE_GPL_3_0,
                         "comments",
                         _ ("Panels for one body: exact edges, joins of equal length, sheets at true size.\n"
                            "For costumes, not for protection."),
                         NULL);
}

static const GActionEntry entries[] = {
  { .name = "new", .activate = on_new },
  { .name = "open", .activate = on_open },
  { .name = "from-photo", .activate = on_from_photo },
  { .name = "quit", .activate = on_quit },
  { .name = "preferences", .activate = on_preferences },
  { .name = "help", .activate = on_help },
  { .name = "about", .activate = on_about },
};

typedef struct Accel
{
  const char *action;
  const char *keys[3];
} Accel;

static const Accel accels[] = {
  { "app.new", { "<Control>n" } },
  { "app.open", { "<Control>o" } },
  { "app.quit", { "<Control>q" } },
  { "app.preferences", { "<Control>comma" } },
  { "app.help", { "F1" } },
  { "win.save", { "<Control>s" } },
  { "win.save-as", { "<Control><Shift>s" } },
  { "win.close", { "<Control>w" } },
  { "win.undo", { "<Control>z" } },
  { "win.steps", { "<Control><Alt>z" } },
  { "win.redo", { "<Control><Shift>z", "<Control>y" } },
  { "win.zoom-in", { "<Control>plus", "<Control>equal" } },
  { "win.zoom-out", { "<Control>minus" } },
  { "win.zoom-fit", { "<Control>0" } },
  { "win.zoom-true", { "<Control>1" } },
  { "win.room::body", { "<Alt>1" } },
  { "win.room::panels", { "<Alt>2" } },
  { "win.room::sheets", { "<Alt>3" } },
  { "win.mirror", { "<Control>m" } },
  { "win.comb", { "<Control>k" } },
  { "win.doming", { "<Control><Shift>k" } },
  { "win.next-place", { "<Control>Page_Down" } },
  { "win.last-place", { "<Control>Page_Up" } },
  { "win.print", { "<Control>p" } },
  { "win.save-pdf", { "<Control><Shift>p" } },
  { "win.fitting", { "<Control><Shift>f" } },
  { "win.revisions", { "<Control><Shift>r" } },
  { "win.refit", { "<Control><Shift>b" } },
  { "win.panel-list", { "<Control>f" } },
  { "win.fullscreen", { "F11" } },
  { "win.show-help-overlay", { "<Control>question" } },
};

static void
set_accels (GtkApplication *app)
{
  for (guint i = 0; i < G_N_ELEMENTS (accels); i++)
    gtk_application_set_accels_for_action (
      app, accels[i].action, (const char *const[]) { accels[i].keys[0], accels[i].keys[1], NULL });
  for (int i = 0; i < APP_TOOL_COUNT; i++)
  {
    const AppToolClass *klass = app_tool_class ((AppToolKind)i);
    if (klass == NULL || klass->accel == NULL)
      continue;
    g_autofree char *action = g_strconcat ("win.tool::", klass->key, NULL);
    gtk_application_set_accels_for_action (app, action, (const char *const[]) { klass->accel, NULL });
  }
}

/* ---- life ---- */

static void
follow_theme (GSettings *settings, const char *key, gpointer user)
{
  app_theme_apply (gdk_display_get_default (), app_settings_theme ());
}

static void
app_application_startup (GApplication *application)
{
  G_APPLICATION_CLASS (app_application_parent_class)->startup (application);
  gtk_window_set_default_icon_name (PW_APP_ID);
  app_theme_apply (gdk_display_get_default (), app_settings_theme ());
  if (app_settings () != NULL)
    g_signal_connect_object (app_settings (), "changed::theme", G_CALLBACK (follow_theme), application, 0);
  set_accels (GTK_APPLICATION (application));
}

static void
app_application_activate (GApplication *application)
{
  gtk_window_present (GTK_WINDOW (some_window (APP_APPLICATION (application))));
  look_for_leftovers (APP_APPLICATION (application));
}

static void
app_application_open (GApplication *application, GFile **files, int count, const char *hint)
{
  AppApplication *self = APP_APPLICATION (application);
  gtk_window_present (GTK_WINDOW (some_window (self)));
  for (int i = 0; i < count; i++)
    app_window_open_file (some_window (self), files[i]);
  look_for_leftovers (self);
}

static void
app_application_finalize (GObject *object)
{
  g_clear_pointer (&APP_APPLICATION (object)->leftovers, g_ptr_array_unref);
  G_OBJECT_CLASS (app_application_parent_class)->finalize (object);
}

static void
app_application_class_init (AppApplicationClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = app_application_finalize;
  GApplicationClass *application_class = G_APPLICATION_CLASS (klass);
  application_class->startup = app_application_startup;
  application_class->activate = app_application_activate;
  application_class->open = app_application_open;
}

static void
app_application_init (AppApplication *self)
{
  self->leftovers = g_ptr_array_new ();
  g_action_map_add_action_entries (G_ACTION_MAP (self), entries, G_N_ELEMENTS (entries), self);
}

AppApplication *
app_application_new (bool unique)
{
  GApplicationFlags flags
    = G_APPLICATION_HANDLES_OPEN | (unique ? G_APPLICATION_DEFAULT_FLAGS : G_APPLICATION_NON_UNIQUE);
  return g_object_new (APP_TYPE_APPLICATION, "application-id", PW_APP_ID, "flags", flags, NULL);
}

int
app_main (int argc, char **argv)
{
  if (!gtk_init_check ())
  {
    g_printerr (_ ("panelwright: there is no display to open a window on; `panelwright --help` lists what "
                   "works without one\n"));
    return 2;
  }
  g_autoptr (AppApplication) app = app_application_new (true);
  return g_application_run (G_APPLICATION (app), argc, argv);
}
