/* What comes into a window: documents, recent files, drawings of other programs, what the start view or a
 * drop brings. */
#include "app/window-private.h"

#include "app/dialogs.h"
#include "app/settings.h"
#include "app/start-view.h"
#include "app/tour.h"

#include <glib/gi18n.h>

#define MOST_RECENT 10

static bool is_tour_example (GFile *file);
static void offer_tour (AppWindow *self);

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

ModelDocument *
app_window_fresh_document (void)
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
  app_window_show_document (self, app_window_fresh_document (), NULL, NULL);
}

void
app_window_note_recent (GFile *file)
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
  app_window_note_recent (file);
  AppWindow *window = app_window_show_document (self, doc, file, etag);
  if (is_tour_example (file))
    offer_tour (window);
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

static void
on_open (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  app_dialog_open (GTK_WINDOW (user), on_files_chosen, NULL);
}

/* ---- recent files ---- */

static void
on_open_recent (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  g_autoptr (GFile) file = g_file_new_for_uri (g_variant_get_string (parameter, NULL));
  app_window_open_file (user, file);
}

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

/* ---- start view ---- */

static void
on_start_open (AppStartView *view, GFile *file, AppWindow *self)
{
  app_window_open_file (self, file);
}

/* A copy without a file: the shipped one stays as it is.  NULL: it cannot be read, and that was said. */
static AppWindow *
show_copy (AppWindow *self, GFile *file)
{
  g_autoptr (GError) error = NULL;
  ModelDocument *doc = model_document_load (file, NULL, &error);
  if (doc != NULL)
    return app_window_show_document (self, doc, NULL, NULL);
  app_window_tell (self, error->message, true, NULL, NULL);
  return NULL;
}

static bool
is_tour_example (GFile *file)
{
  g_autoptr (GFile) shipped = app_shipped_file (APP_TOUR_EXAMPLE);
  return shipped != NULL && g_file_equal (shipped, file);
}

/* Once: who has taken it, or said no, is not asked again. */
static void
offer_tour (AppWindow *self)
{
  if (app_settings_flag ("tour-offered", false) || app_settings_flag ("tour-finished", false))
    return;
  if (app_settings () != NULL)
    g_settings_set_boolean (app_settings (), "tour-offered", TRUE);
  app_window_tell (self, _ ("A short tour shows on this draft how a piece is made to agree."), false,
                   _ ("Take the tour"), "win.tour");
}

static void
on_start_example (AppStartView *view, GFile *file, AppWindow *self)
{
  AppWindow *window = show_copy (self, file);
  if (window == NULL || !is_tour_example (file))
    return;
  app_tour_set_session (APP_TOUR (window->tour), window->session);
  offer_tour (window);
}

/* On the copy it was begun on, in this window or another, else on a fresh one. */
static void
on_tour (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  GtkApplication *app = gtk_window_get_application (GTK_WINDOW (self));
  for (GList *at = app != NULL ? gtk_application_get_windows (app) : NULL;
       app_tour_session (APP_TOUR (self->tour)) == NULL && at != NULL; at = at->next)
    if (APP_IS_WINDOW (at->data) && app_tour_session (APP_TOUR (APP_WINDOW (at->data)->tour)) != NULL)
      self = at->data;
  if (app_tour_session (APP_TOUR (self->tour)) == NULL)
  {
    g_autoptr (GFile) file = app_shipped_file (APP_TOUR_EXAMPLE);
    if (file == NULL)
    {
      app_window_tell (self, _ ("The example for the tour is not installed."), true, NULL, NULL);
      return;
    }
    self = show_copy (self, file);
    if (self == NULL)
      return;
    app_tour_set_session (APP_TOUR (self->tour), self->session);
  }
  app_window_hide_message (self);
  gtk_window_present (GTK_WINDOW (self));
  app_tour_begin (APP_TOUR (self->tour));
}

/* ---- life ---- */

static const GActionEntry entries[] = {
  { .name = "open", .activate = on_open },
  { .name = "tour", .activate = on_tour },
  { .name = "import-svg", .activate = on_import_svg },
  { .name = "open-recent", .activate = on_open_recent, .parameter_type = "s" },
};

void
app_window_open_init (AppWindow *self)
{
  g_action_map_add_action_entries (G_ACTION_MAP (self), entries, G_N_ELEMENTS (entries), self);
  g_signal_connect_object (gtk_recent_manager_get_default (), "changed", G_CALLBACK (fill_recent), self,
                           G_CONNECT_SWAPPED);
  fill_recent (self);
  g_signal_connect_swapped (self->start, "blank", G_CALLBACK (app_window_new_document), self);
  g_signal_connect (self->start, "open", G_CALLBACK (on_start_open), self);
  g_signal_connect (self->start, "example", G_CALLBACK (on_start_example), self);
  GtkDropTarget *drop = gtk_drop_target_new (GDK_TYPE_FILE_LIST, GDK_ACTION_COPY);
  g_signal_connect (drop, "drop", G_CALLBACK (on_drop), self);
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (drop));
}
