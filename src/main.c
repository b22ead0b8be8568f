/* One program, two faces: a verb needs no display and never reaches GTK; anything else opens the window. */
#include "app/application.h"
#include "cli/cli.h"
#include "panelwright-config.h"

#include <glib/gi18n.h>
#include <locale.h>

/* PANELWRIGHT_LOCALE_DIR: where the words lie while developing, before anything is installed. */
static void
choose_words (void)
{
  const char *folder = g_getenv ("PANELWRIGHT_LOCALE_DIR");
  setlocale (LC_ALL, "");
  bindtextdomain (PW_GETTEXT, folder != NULL ? folder : PW_LOCALE_DIR);
  bind_textdomain_codeset (PW_GETTEXT, "UTF-8");
  textdomain (PW_GETTEXT);
}

int
main (int argc, char **argv)
{
  choose_words ();
  return cli_is_wanted (argc, argv) ? cli_main (argc, argv) : app_main (argc, argv);
}
