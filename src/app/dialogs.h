/* Questions and file choosers, each behind one function, so that a later GTK changes one file. */
#ifndef APP_DIALOGS_H
#define APP_DIALOGS_H

#include <gtk/gtk.h>
#include <stdbool.h>

/* One button of a question.  ID comes back in the answer. */
typedef struct AppChoice
{
  int id;
  const char *label; /* a deed with a mnemonic, translated */
  bool chief;        /* Enter takes it */
  bool loses;        /* something is lost by it */
} AppChoice;

#define APP_CHOICE_CANCEL 0 /* Escape, or the question went away */

typedef void (*AppAnswer) (GtkWindow *parent, int id, gpointer user);

/* HEADING: the question; BODY: what follows from it.  Modal to PARENT (may be NULL).  ANSWER is called once,
 * from the main loop.  Returns the dialog, which it owns itself. */
GtkWindow *app_dialog_ask (GtkWindow *parent,
                           const char *heading,
                           const char *body,
                           const AppChoice *choices,
                           guint count,
                           AppAnswer answer,
                           gpointer user);
/* Something went wrong: what, why, what to do. */
void app_dialog_tell (GtkWindow *parent, const char *heading, const char *body);

/* FILES: GFile, one or more; never called when the maker thought better of it. */
typedef void (*AppFilesChosen) (GtkWindow *parent, GListModel *files, gpointer user);
typedef void (*AppFileChosen) (GtkWindow *parent, GFile *file, gpointer user);

/* A kind of file: name and patterns, NULL-ended. */
typedef struct AppFileKind
{
  const char *name;
  const char *pattern;
} AppFileKind;

/* Documents, several at once. */
void app_dialog_open (GtkWindow *parent, AppFilesChosen chosen, gpointer user);
/* One picture, JPEG or PNG. */
void app_dialog_open_picture (GtkWindow *parent, AppFileChosen chosen, gpointer user);
/* One file of a KIND. */
void app_dialog_pick (
  GtkWindow *parent, const char *title, const AppFileKind *kind, AppFileChosen chosen, gpointer user);
/* TITLE, the suggested NAME with its ending, and what KINDS (COUNT) may be written. Adds the first kind's
 * ending where none is typed. */
void app_dialog_save (GtkWindow *parent,
                      const char *title,
                      GFile *present,
                      const char *name,
                      const AppFileKind *kinds,
                      guint count,
                      AppFileChosen chosen,
                      gpointer user);

#endif
