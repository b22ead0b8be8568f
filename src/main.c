/* One program, two faces: a verb needs no display and never reaches GTK; anything else opens the window. */
#include "app/application.h"
#include "cli/cli.h"

int
main (int argc, char **argv)
{
  return cli_is_wanted (argc, argv) ? cli_main (argc, argv) : app_main (argc, argv);
}
