/* The program with windows: one process, one window a document. */
#ifndef APP_APPLICATION_H
#define APP_APPLICATION_H

#include <gtk/gtk.h>
#include <stdbool.h>

#define APP_TYPE_APPLICATION (app_application_get_type ())
G_DECLARE_FINAL_TYPE (AppApplication, app_application, APP, APPLICATION, GtkApplication)

/* UNIQUE: a second start hands its files to the first. */
AppApplication *app_application_new (bool unique);

/* `panelwright [FILE…]`.  Returns the exit status: 2 with one line on standard error where no display can be
 * reached. */
int app_main (int argc, char **argv);

#endif
