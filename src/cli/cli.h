/* The program without a window: one verb, one deed, an exit status.
 *
 * 0: done, and for `check` all checks hold.  1: `check` ran and something does not hold.  2: wrong usage, or
 * a file that cannot be used: one line on standard error, nothing written.
 */
#ifndef CLI_CLI_H
#define CLI_CLI_H

#include <stdbool.h>

typedef enum CliStatus
{
  CLI_DONE = 0,
  CLI_DOES_NOT_HOLD = 1,
  CLI_UNUSABLE = 2
} CliStatus;

/* The first argument is a verb, --help or --version: no window is wanted. */
bool cli_is_wanted (int argc, char **argv);
/* ARGV[0] is the program.  Returns the exit status. */
int cli_main (int argc, char **argv);

#endif
