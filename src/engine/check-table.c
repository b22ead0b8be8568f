/* All checks, in the order of `check --json`. */
#include "engine/check.h"

#include <string.h>

static const EngineCheck *const checks[] = {
  &engine_check_join_length,
  &engine_check_join_drift,
  &engine_check_join_truth,
  &engine_check_lap_side,
  &engine_check_girth,
  &engine_check_reach,
  &engine_check_neck,
  &engine_check_form_against_wearer,
  &engine_check_twin,
  &engine_check_outline,
  &engine_check_sheet_fit,
  &engine_check_layer,
  NULL,
};

const EngineCheck *const *
engine_checks (void)
{
  return checks;
}

const EngineCheck *
engine_check_named (const char *name)
{
  for (guint i = 0; checks[i]; i++)
    if (strcmp (checks[i]->name, name) == 0)
      return checks[i];
  return NULL;
}

EngineFinding
engine_finding_blank (const EngineCheck *check)
{
  EngineFinding blank;
  /* Padding too: a law in the tests compares findings byte by byte. */
  memset (&blank, 0, sizeof blank);
  blank.check = check;
  blank.expected = blank.actual = blank.difference = blank.tolerance = NAN;
  blank.unit = "mm";
  return blank;
}
