/* check and measure: read a document, say what is true of it. */
#include "cli/verb.h"
#include "output/report.h"

#include <glib/gi18n.h>

typedef char *(*Report) (EngineReview *review, const char *name);

/* Both verbs: load, review, print one of two reports. */
static CliStatus
report (const CliVerb *verb, int argc, char **argv, Report as_json, Report as_text, bool *holds)
{
  gboolean json = FALSE;
  const GOptionEntry entries[] = {
    { "json", 0, 0, G_OPTION_ARG_NONE, &json, N_ ("Print one JSON object"), NULL },
    G_OPTION_ENTRY_NULL,
  };
  g_autofree char *path = NULL;
  if (!cli_parse (verb, argc, argv, entries, &path))
    return CLI_UNUSABLE;
  g_autoptr (ModelDocument) doc = cli_load (path);
  if (doc == NULL)
    return CLI_UNUSABLE;
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autofree char *name = g_path_get_basename (path);
  g_autofree char *text = (json ? as_json : as_text) (review, name);
  *holds = engine_review_holds (review);
  return cli_print (text);
}

static char *
measure_json (EngineReview *review, const char *name)
{
  return output_report_measure_json (review);
}

static char *
measure_text (EngineReview *review, const char *name)
{
  return output_report_measure_text (review);
}

static CliStatus
run_check (int argc, char **argv)
{
  bool holds = false;
  CliStatus status
    = report (&cli_verb_check, argc, argv, output_report_check_json, output_report_check_text, &holds);
  return status == CLI_DONE && !holds ? CLI_DOES_NOT_HOLD : status;
}

static CliStatus
run_measure (int argc, char **argv)
{
  bool holds;
  return report (&cli_verb_measure, argc, argv, measure_json, measure_text, &holds);
}

const CliVerb cli_verb_check = {
  "check",
  "FILE [--json]",
  N_ ("every check on the document"),
  run_check,
};

const CliVerb cli_verb_measure = {
  "measure",
  "FILE [--json]",
  N_ ("areas, lengths and allowances of every panel, both lengths of every join"),
  run_measure,
};
