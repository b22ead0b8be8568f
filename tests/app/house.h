/* The program's own application in a home of its own, for tests of the whole window: nothing of the user's is
 * read or written.  One test program, one house. */
#ifndef TEST_APP_HOUSE_H
#define TEST_APP_HOUSE_H

#include "app/application.h"
#include "app/window.h"

#include <stdbool.h>

static AppApplication *application;

/* Lets everything happen that is due, but does not wait for more. */
static inline void
spin (void)
{
  for (int i = 0; i < 300 && g_main_context_pending (NULL); i++)
    g_main_context_iteration (NULL, FALSE);
}

/* Runs the main loop until CONDITION holds; false after some seconds. */
static inline bool
wait_for (bool (*condition) (gpointer user), gpointer user)
{
  gint64 end = g_get_monotonic_time () + 5 * G_USEC_PER_SEC;
  while (!condition (user))
  {
    if (g_get_monotonic_time () > end)
      return false;
    if (!g_main_context_iteration (NULL, FALSE))
      g_usleep (2000);
  }
  return true;
}

static inline bool
is_drawn (gpointer widget)
{
  return gtk_widget_get_mapped (widget) && gtk_widget_get_width (widget) > 1;
}

/* Changes that were not saved go with it. */
static inline void
drop_window (AppWindow *window)
{
  if (app_window_session (window) != NULL)
    app_session_discard (app_window_session (window));
  gtk_window_destroy (GTK_WINDOW (window));
  spin ();
}

/* To be called first in main. */
static inline void
house_open (int *argc, char ***argv)
{
  static const char *const kinds[]
    = { "HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_CACHE_HOME" };
  g_autoptr (GError) error = NULL;
  g_autofree char *home = g_dir_make_tmp (NULL, &error);
  g_autofree char *schemas = g_build_filename (g_getenv ("PW_BUILD_ROOT"), "data", NULL);
  g_assert_no_error (error);
  for (guint i = 0; i < G_N_ELEMENTS (kinds); i++)
    g_setenv (kinds[i], home, TRUE);
  g_setenv ("GSETTINGS_SCHEMA_DIR", schemas, TRUE);
  gtk_test_init (argc, argv, NULL);
  g_test_set_nonfatal_assertions ();
  application = app_application_new (false);
  g_assert_true (g_application_register (G_APPLICATION (application), NULL, NULL));
  g_application_hold (G_APPLICATION (application));
}

/* Runs the tests that were added; what it returns is main's. */
static inline int
house_run (void)
{
  int status = g_test_run ();
  g_application_release (G_APPLICATION (application));
  g_object_unref (application);
  return status;
}

#endif
