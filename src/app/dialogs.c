/* GtkMessageDialog and GtkFileChooserNative are what GTK 4.8 has.  A native chooser is no widget and nobody
 * holds it, so it keeps itself alive until its answer or the end of its parent. */
#include "app/dialogs.h"

#include "app/settings.h"

#include <glib/gi18n.h>
#include <string.h>

/* ---- questions ---- */

typedef struct Question
{
  AppAnswer answer;
  gpointer user;
  GtkWindow *parent; /* weak */
} Question;

static void
on_answer (GtkDialog *dialog, int response, Question *question)
{
  GtkWindow *parent = question->parent;
  AppAnswer answer = question->answer;
  gpointer user = question->user;
  question->answer = NULL;
  /* The answer may close the parent while the emission still holds the dialog, so the two are parted first.
   */
  gtk_window_set_transient_for (GTK_WINDOW (dialog), NULL);
  gtk_window_destroy (GTK_WINDOW (dialog));
  if (answer != NULL)
    answer (parent, response > 0 ? response : APP_CHOICE_CANCEL, user);
}

static void
question_free (gpointer data, GClosure *closure)
{
  Question *question = data;
  g_clear_weak_pointer (&question->parent);
  g_free (question);
}

GtkWindow *
app_dialog_ask (GtkWindow *parent,
                const char *heading,
                const char *body,
                const AppChoice *choices,
                guint count,
                AppAnswer answer,
                gpointer user)
{
  GtkWidget *dialog = gtk_message_dialog_new (parent, GTK_DIALOG_MODAL | GTK_DIALOG_DESTROY_WITH_PARENT,
                                              GTK_MESSAGE_QUESTION, GTK_BUTTONS_NONE, "%s", heading);
  if (body != NULL)
    gtk_message_dialog_format_secondary_text (GTK_MESSAGE_DIALOG (dialog), "%s", body);
  gtk_widget_add_css_class (dialog, "pw");
  gtk_widget_add_css_class (dialog, "pw-question");
  GtkWidget *words = gtk_message_dialog_get_message_area (GTK_MESSAGE_DIALOG (dialog));
  gtk_widget_set_margin_top (words, 24);
  gtk_widget_set_margin_start (words, 24);
  gtk_widget_set_margin_end (words, 24);
  for (guint i = 0; i < count; i++)
  {
    GtkWidget *button = gtk_dialog_add_button (GTK_DIALOG (dialog), choices[i].label, choices[i].id);
    gtk_widget_add_css_class (button, choices[i].chief ? "pw-stamp" : "pw-flat");
    if (choices[i].loses)
      gtk_widget_add_css_class (button, "pw-madder");
    if (choices[i].chief)
      gtk_dialog_set_default_response (GTK_DIALOG (dialog), choices[i].id);
  }
  Question *question = g_new0 (Question, 1);
  question->answer = answer;
  question->user = user;
  g_set_weak_pointer (&question->parent, parent);
  g_signal_connect_data (dialog, "response", G_CALLBACK (on_answer), question, question_free, 0);
  gtk_window_present (GTK_WINDOW (dialog));
  return GTK_WINDOW (dialog);
}

void
app_dialog_tell (GtkWindow *parent, const char *heading, const char *body)
{
  const AppChoice close[] = { { .id = 1, .label = _ ("_Close"), .chief = true } };
  app_dialog_ask (parent, heading, body, close, 1, NULL, NULL);
}

/* ---- files ---- */

typedef struct Choosing
{
  AppFilesChosen files_chosen;
  AppFileChosen file_chosen;
  gpointer user;
  char *ending; /* ".panelwright" */
} Choosing;

static void
choosing_free (gpointer data, GClosure *closure)
{
  Choosing *choosing = data;
  g_free (choosing->ending);
  g_free (choosing);
}

static void
remember_folder (GFile *file)
{
  g_autoptr (GFile) folder = g_file_get_parent (file);
  app_settings_set_folder (folder);
}

/* The chooser's own "replace?" asked about the name as typed, so an ending is only added where none was
 * typed. */
static GFile *
with_ending (GFile *file, const char *ending)
{
  g_autofree char *base = g_file_get_basename (file);
  if (ending == NULL || base == NULL || strchr (base, '.') != NULL)
    return g_object_ref (file);
  g_autofree char *name = g_strconcat (base, ending, NULL);
  g_autoptr (GFile) folder = g_file_get_parent (file);
  return folder != NULL ? g_file_get_child (folder, name) : g_object_ref (file);
}

static void
on_chosen (GtkNativeDialog *native, int response, Choosing *choosing)
{
  GtkFileChooser *chooser = GTK_FILE_CHOOSER (native);
  GtkWindow *parent = gtk_native_dialog_get_transient_for (native);
  if (response == GTK_RESPONSE_ACCEPT && choosing->files_chosen != NULL)
  {
    g_autoptr (GListModel) files = gtk_file_chooser_get_files (chooser);
    g_autoptr (GFile) first = g_list_model_get_item (files, 0);
    if (first != NULL)
    {
      remember_folder (first);
      choosing->files_chosen (parent, files, choosing->user);
    }
  }
  else if (response == GTK_RESPONSE_ACCEPT && choosing->file_chosen != NULL)
  {
    g_autoptr (GFile) typed = gtk_file_chooser_get_file (chooser);
    if (typed != NULL)
    {
      g_autoptr (GFile) file = with_ending (typed, choosing->ending);
      remember_folder (file);
      choosing->file_chosen (parent, file, choosing->user);
    }
  }
  g_object_unref (native);
}

static void
show_chooser (GtkFileChooserNative *native, GtkWindow *parent, GFile *present, Choosing *choosing)
{
  GtkFileChooser *chooser = GTK_FILE_CHOOSER (native);
  g_autoptr (GFile) folder = present != NULL ? g_file_get_parent (present) : app_settings_folder ();
  if (folder != NULL && g_file_query_exists (folder, NULL))
    gtk_file_chooser_set_current_folder (chooser, folder, NULL);
  gtk_native_dialog_set_modal (GTK_NATIVE_DIALOG (native), TRUE);
  g_signal_connect_data (native, "response", G_CALLBACK (on_chosen), choosing, choosing_free, 0);
  /* Destroyed with its parent: the answer is then the cancelling one, which lets go of it. */
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (native));
}

static void
add_kind (GtkFileChooser *chooser, const char *name, const char *pattern)
{
  g_autoptr (GtkFileFilter) filter = gtk_file_filter_new ();
  gtk_file_filter_set_name (filter, name);
  gtk_file_filter_add_pattern (filter, pattern);
  gtk_file_chooser_add_filter (chooser, filter);
}

void
app_dialog_open (GtkWindow *parent, AppFilesChosen chosen, gpointer user)
{
  GtkFileChooserNative *native = gtk_file_chooser_native_new (
    _ ("Open"), parent, GTK_FILE_CHOOSER_ACTION_OPEN, _ ("_Open"), _ ("_Cancel"));
  gtk_file_chooser_set_select_multiple (GTK_FILE_CHOOSER (native), TRUE);
  add_kind (GTK_FILE_CHOOSER (native), _ ("Panelwright documents"), "*.panelwright");
  add_kind (GTK_FILE_CHOOSER (native), _ ("All files"), "*");
  Choosing *choosing = g_new0 (Choosing, 1);
  choosing->files_chosen = chosen;
  choosing->user = user;
  show_chooser (native, parent, NULL, choosing);
}

void
app_dialog_open_picture (GtkWindow *parent, AppFileChosen chosen, gpointer user)
{
  GtkFileChooserNative *native = gtk_file_chooser_native_new (
    _ ("Choose a photo"), parent, GTK_FILE_CHOOSER_ACTION_OPEN, _ ("_Open"), _ ("_Cancel"));
  g_autoptr (GtkFileFilter) pictures = gtk_file_filter_new ();
  gtk_file_filter_set_name (pictures, _ ("Photos and scans (JPEG, PNG)"));
  gtk_file_filter_add_mime_type (pictures, "image/jpeg");
  gtk_file_filter_add_mime_type (pictures, "image/png");
  gtk_file_chooser_add_filter (GTK_FILE_CHOOSER (native), pictures);
  add_kind (GTK_FILE_CHOOSER (native), _ ("All files"), "*");
  Choosing *choosing = g_new0 (Choosing, 1);
  choosing->file_chosen = chosen;
  choosing->user = user;
  show_chooser (native, parent, NULL, choosing);
}

void
app_dialog_pick (
  GtkWindow *parent, const char *title, const AppFileKind *kind, AppFileChosen chosen, gpointer user)
{
  GtkFileChooserNative *native
    = gtk_file_chooser_native_new (title, parent, GTK_FILE_CHOOSER_ACTION_OPEN, _ ("_Open"), _ ("_Cancel"));
  add_kind (GTK_FILE_CHOOSER (native), kind->name, kind->pattern);
  add_kind (GTK_FILE_CHOOSER (native), _ ("All files"), "*");
  Choosing *choosing = g_new0 (Choosing, 1);
  choosing->file_chosen = chosen;
  choosing->user = user;
  show_chooser (native, parent, NULL, choosing);
}

void
app_dialog_save (GtkWindow *parent,
                 const char *title,
                 GFile *present,
                 const char *name,
                 const AppFileKind *kinds,
                 guint count,
                 AppFileChosen chosen,
                 gpointer user)
{
  GtkFileChooserNative *native
    = gtk_file_chooser_native_new (title, parent, GTK_FILE_CHOOSER_ACTION_SAVE, _ ("_Save"), _ ("_Cancel"));
  for (guint i = 0; i < count; i++)
    add_kind (GTK_FILE_CHOOSER (native), kinds[i].name, kinds[i].pattern);
  gtk_file_chooser_set_current_name (GTK_FILE_CHOOSER (native), name);
  Choosing *choosing = g_new0 (Choosing, 1);
  choosing->file_chosen = chosen;
  choosing->user = user;
  if (count > 0 && g_str_has_prefix (kinds[0].pattern, "*."))
    choosing->ending = g_strdup (kinds[0].pattern + 1);
  show_chooser (native, parent, present, choosing);
}
