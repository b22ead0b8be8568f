/* mat: the sheet to lay pieces on for a photo. */
#include "cli/verb.h"
#include "output/mat.h"

#include <glib/gi18n.h>

static CliStatus
run_mat (int argc, char **argv)
{
  g_autofree char *output = NULL, *paper = NULL;
  const GOptionEntry entries[] = {
    { "output", 'o', 0, G_OPTION_ARG_FILENAME, &output, N_ ("The PDF to write"), "OUT.pdf" },
    { "paper", 0, 0, G_OPTION_ARG_STRING, &paper, N_ ("Paper size"), "a4|a3|letter|tabloid" },
    G_OPTION_ENTRY_NULL,
  };
  if (!cli_parse (&cli_verb_mat, argc, argv, entries, NULL)
      || !cli_output_is_sound (&cli_verb_mat, output, NULL))
    return CLI_UNUSABLE;
  g_autoptr (GError) error = NULL;
  if (!output_mat_write_pdf (paper != NULL ? paper : "a4", output, &error))
    return cli_complain ("%s: %s", output, error->message);
  return CLI_DONE;
}

const CliVerb cli_verb_mat = {
  "mat",
  "--output OUT.pdf [--paper a4|a3|letter|tabloid]",
  N_ ("a printed sheet to lay pieces on, which a photo’s scale is read from"),
  run_mat,
};
