/* The way from a photo to panels, and the mat that makes it exact. */
#include "app/window-private.h"

#include "app/dialogs.h"
#include "app/printing.h"
#include "app/settings.h"
#include "output/mat.h"

#include <glib/gi18n.h>

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
  app_window_hide_message (self);
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
    ModelDocument *doc = app_window_fresh_document ();
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

static const GActionEntry entries[] = {
  { .name = "add-photo", .activate = on_add_photo },
  { .name = "trace-photo", .activate = on_trace_photo },
  { .name = "print-mat", .activate = on_print_mat },
  { .name = "save-mat", .activate = on_save_mat },
};

void
app_window_photo_init (AppWindow *self)
{
  g_action_map_add_action_entries (G_ACTION_MAP (self), entries, G_N_ELEMENTS (entries), self);
  g_signal_connect_swapped (self->photo, "taken", G_CALLBACK (on_photo_taken), self);
  g_signal_connect_swapped (self->photo, "left", G_CALLBACK (on_photo_left), self);
}
