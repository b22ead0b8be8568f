/* sheet and cut: full-scale drawings, tiled for a home printer or in one. */
#include "cli/verb.h"
#include "output/cut-file.h"
#include "output/sheet.h"

#include <glib/gi18n.h>
#include <math.h>

static CliStatus
run_sheet (int argc, char **argv)
{
  g_autofree char *output = NULL, *paper = NULL, *overlap_text = NULL, *path = NULL;
  const GOptionEntry entries[] = {
    { "output", 'o', 0, G_OPTION_ARG_FILENAME, &output, N_ ("The PDF to write"), "OUT.pdf" },
    { "paper", 0, 0, G_OPTION_ARG_STRING, &paper, N_ ("Paper size"), "a4|a3|letter|tabloid|WxH" },
    { "overlap", 0, 0, G_OPTION_ARG_STRING, &overlap_text, N_ ("Glue zone between sheets"), "MM" },
    G_OPTION_ENTRY_NULL,
  };
  if (!cli_parse (&cli_verb_sheet, argc, argv, entries, &path)
      || !cli_output_is_sound (&cli_verb_sheet, output, path))
    return CLI_UNUSABLE;
  double overlap_mm = NAN;
  if (overlap_text != NULL)
  {
    char *end;
    overlap_mm = g_ascii_strtod (overlap_text, &end);
    if (end == overlap_text || *end != '\0' || !isfinite (overlap_mm) || overlap_mm < 0)
      return cli_complain (_ ("--overlap %s: not a length in mm"), overlap_text);
  }
  g_autoptr (ModelDocument) doc = cli_load (path);
  if (doc == NULL)
    return CLI_UNUSABLE;
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (GError) error = NULL;
  g_autoptr (EngineSheetPlan) plan = engine_sheet_plan_new (review, paper, overlap_mm, &error);
  if (plan == NULL || !output_sheet_write_pdf (review, plan, output, &error))
    return cli_complain ("%s: %s", plan == NULL ? path : output, error->message);
  return CLI_DONE;
}

static CliStatus
run_cut (int argc, char **argv)
{
  g_autofree char *output = NULL, *path = NULL;
  g_auto (GStrv) panels = NULL;
  const GOptionEntry entries[] = {
    { "output", 'o', 0, G_OPTION_ARG_FILENAME, &output, N_ ("The file to write"), "OUT.svg|pdf|dxf" },
    { "panel", 0, 0, G_OPTION_ARG_STRING_ARRAY, &panels, N_ ("Only this panel; may be given several times"),
      "NAME" },
    G_OPTION_ENTRY_NULL,
  };
  if (!cli_parse (&cli_verb_cut, argc, argv, entries, &path)
      || !cli_output_is_sound (&cli_verb_cut, output, path))
    return CLI_UNUSABLE;
  g_autoptr (ModelDocument) doc = cli_load (path);
  if (doc == NULL)
    return CLI_UNUSABLE;
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (GError) error = NULL;
  if (!output_cut_write (review, (const char *const *)panels, output, &error))
    return cli_complain ("%s: %s", output, error->message);
  return CLI_DONE;
}

const CliVerb cli_verb_sheet = {
  "sheet",
  "FILE --output OUT.pdf [--paper a4|a3|letter|tabloid|WxH] [--overlap MM]",
  N_ ("full-scale tiled sheets"),
  run_sheet,
};

const CliVerb cli_verb_cut = {
  "cut",
  "FILE --output OUT.(svg|dxf|pdf) [--panel NAME]…",
  N_ ("full-scale cut file, untiled"),
  run_cut,
};
