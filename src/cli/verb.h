/* One verb of the command line: one file each (cli/verb-*.c), one row in the table of cli/cli.c.
 */
#ifndef CLI_VERB_H
#define CLI_VERB_H

#include "cli/cli.h"
#include "engine/review.h"

typedef struct CliVerb
{
  const char *name, *usage, *summary; /* summary untranslated */
  /* ARGV[0] is the verb. */
  CliStatus (*run) (int argc, char **argv);
} CliVerb;

extern const CliVerb cli_verb_check;
extern const CliVerb cli_verb_measure;
extern const CliVerb cli_verb_sheet;
extern const CliVerb cli_verb_cut;
extern const CliVerb cli_verb_mat;
extern const CliVerb cli_verb_new;
extern const CliVerb cli_verb_settle;
extern const CliVerb cli_verb_trace;

/* ---- what verbs share ---- */

/* Parses the options of ARGV and leaves exactly one FILE, or nothing when FILE is NULL; false after the line
 * was printed.  ENTRIES end with G_OPTION_ENTRY_NULL. */
bool cli_parse (const CliVerb *verb, int argc, char **argv, const GOptionEntry *entries, char **file);
/* One line on standard error, made from the format; control characters in it are shown as escapes.  Returns
 * CLI_UNUSABLE. */
CliStatus cli_complain (const char *format, ...) G_GNUC_PRINTF (1, 2);
/* NULL after the line was printed. */
ModelDocument *cli_load (const char *path);
/* An output that is the input (NULL: there is none) would destroy it: false after the line was printed.  Also
 * when OUTPUT is NULL. */
bool cli_output_is_sound (const CliVerb *verb, const char *output, const char *input);
/* Prints TEXT and its newline to standard output; CLI_UNUSABLE if that fails (a full disk behind a
 * redirection). */
CliStatus cli_print (const char *text);

#endif
