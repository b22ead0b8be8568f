/* settle: takes one remedy of one finding, as numbered in `check --json`, and writes the result as a new
 * document. */
#include "cli/verb.h"
#include "model/history.h"
#include "model/store.h"

#include <glib/gi18n.h>

/* Taken through the history as in the window, so that both do the same. */
static void
take (ModelHistory *history, const EngineRemedy *remedy)
{
  model_history_begin (history, remedy->text);
  for (guint i = 0; i < remedy->parts->len; i++)
    model_history_put (history, model_part_copy (g_array_index (remedy->parts, ModelPart, i)));
  model_history_end (history);
}

static CliStatus
run_settle (int argc, char **argv)
{
  g_autofree char *output = NULL, *path = NULL;
  int number = -1, choice = 0;
  const GOptionEntry entries[] = {
    { "finding", 0, 0, G_OPTION_ARG_INT, &number, N_ ("Which finding, from 0"), "N" },
    { "remedy", 0, 0, G_OPTION_ARG_INT, &choice, N_ ("Which of its remedies, from 0"), "M" },
    { "output", 'o', 0, G_OPTION_ARG_FILENAME, &output, N_ ("The document to write"), "FILE2" },
    G_OPTION_ENTRY_NULL,
  };
  if (!cli_parse (&cli_verb_settle, argc, argv, entries, &path)
      || !cli_output_is_sound (&cli_verb_settle, output, path))
    return CLI_UNUSABLE;
  ModelDocument *doc = cli_load (path);
  if (doc == NULL)
    return CLI_UNUSABLE;
  g_autoptr (ModelHistory) history = model_history_new (doc);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const GPtrArray *findings = engine_review_findings (review);
  if (number < 0 || (guint)number >= findings->len)
    return cli_complain (_ ("%s: there is no finding %d; they are numbered 0 to %d"), path, number,
                         (int)findings->len - 1);
  g_autoptr (GPtrArray) remedies
    = engine_finding_remedies (review, g_ptr_array_index (findings, (guint)number));
  if (choice < 0 || (guint)choice >= remedies->len)
    return cli_complain (_ ("%s: finding %d has no remedy %d; it has %u"), path, number, choice,
                         remedies->len);
  take (history, g_ptr_array_index (remedies, (guint)choice));
  g_autoptr (GFile) file = g_file_new_for_commandline_arg (output);
  g_autoptr (GError) error = NULL;
  if (!model_store_save (doc, file, NULL, &error))
    return cli_complain ("%s: %s", output, error->message);
  return CLI_DONE;
}

const CliVerb cli_verb_settle = {
  "settle",
  "FILE --finding N [--remedy M] --output FILE2",
  N_ ("take a remedy of a finding, as numbered by check --json"),
  run_settle,
};
