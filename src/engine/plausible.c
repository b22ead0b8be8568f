/* The slips are tried in the order in which they betray themselves: a unit mistaken throws a measure far out
 * of what bodies are, and little else brings it back. */
#include "engine/plausible.h"

#include "engine/percentiles-table.h"
#include "model/unit.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

#define MM_PER_INCH 25.4
#define CM_PER_INCH 2.54
/* Digits beyond these are no body's. */
#define MOST_SWAPPED_MM 99999.0

static const EnginePercentiles *
row_of (const char *key)
{
  for (gsize i = 0; key != NULL && i < G_N_ELEMENTS (percentiles); i++)
    if (strcmp (percentiles[i].key, key) == 0)
      return &percentiles[i];
  return NULL;
}

static bool
is_ordinary (const EnginePercentiles *row, double mm)
{
  return mm >= row->low_mm && mm <= row->high_mm;
}

/* Of several swaps that would do, the one that lies nearest the middle; 0 when none does. */
static double
swapped (const EnginePercentiles *row, double mm)
{
  if (mm > MOST_SWAPPED_MM)
    return 0.0;
  int digits = (int)lround (mm);
  double middle = 0.5 * (row->low_mm + row->high_mm), best = 0.0;
  for (int place = 1; place * 10 <= digits; place *= 10)
  {
    int low = digits / place % 10, high = digits / (place * 10) % 10;
    double other = digits + (low - high) * (place * 10 - place);
    if (is_ordinary (row, other) && fabs (other - middle) < fabs (best - middle))
      best = other;
  }
  return best;
}

static void
find_slip (const EnginePercentiles *row, double mm, ModelUnit unit, EnginePlausible *found)
{
  const struct
  {
    EngineSlip slip;
    double meant_mm;
  } tries[] = {
    { ENGINE_SLIP_TEN_SHORT, mm * 10.0 },
    { ENGINE_SLIP_TEN_OVER, mm / 10.0 },
    { ENGINE_SLIP_INCH_AS_MM, unit != MODEL_UNIT_INCH ? mm * MM_PER_INCH : 0.0 },
    { ENGINE_SLIP_INCH_AS_CM, unit != MODEL_UNIT_INCH ? mm * CM_PER_INCH : 0.0 },
    { ENGINE_SLIP_CM_AS_INCH, unit == MODEL_UNIT_INCH ? mm / CM_PER_INCH : 0.0 },
    { ENGINE_SLIP_SWAPPED, unit != MODEL_UNIT_INCH ? swapped (row, mm) : 0.0 },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (tries); i++)
    if (is_ordinary (row, tries[i].meant_mm))
    {
      found->slip = tries[i].slip;
      found->meant_mm = tries[i].meant_mm;
      return;
    }
}

EnginePlausible
engine_plausible (const char *key, double mm, ModelUnit unit)
{
  EnginePlausible found = { .slip = ENGINE_SLIP_NONE };
  const EnginePercentiles *row = row_of (key);
  if (row == NULL || !isfinite (mm) || mm <= 0.0)
    return found;
  found.known = true;
  found.low_mm = row->low_mm;
  found.high_mm = row->high_mm;
  found.rare = !is_ordinary (row, mm);
  if (found.rare)
    find_slip (row, mm, unit, &found);
  return found;
}

char *
engine_plausible_words (const EnginePlausible *found, ModelUnit unit)
{
  if (!found->rare)
    return NULL;
  g_autofree char *meant = model_unit_text (found->meant_mm, unit, 0);
  switch (found->slip)
  {
  case ENGINE_SLIP_NONE:
    break;
  case ENGINE_SLIP_TEN_SHORT:
    if (unit == MODEL_UNIT_MM)
      return g_strdup_printf (_ ("Rarer than 1 in 100: measured right? Were it centimetres, it would be %s."),
                              meant);
    return g_strdup_printf (_ ("Rarer than 1 in 100: measured right? Ten times as much would be %s."), meant);
  case ENGINE_SLIP_TEN_OVER:
    return g_strdup_printf (_ ("Rarer than 1 in 100: measured right? A tenth of it would be %s."), meant);
  case ENGINE_SLIP_INCH_AS_MM:
  case ENGINE_SLIP_INCH_AS_CM:
    return g_strdup_printf (_ ("Rarer than 1 in 100: measured right? Were it inches, it would be %s."),
                            meant);
  case ENGINE_SLIP_CM_AS_INCH:
    return g_strdup_printf (_ ("Rarer than 1 in 100: measured right? Were it centimetres, it would be %s."),
                            meant);
  case ENGINE_SLIP_SWAPPED:
    return g_strdup_printf (
      _ ("Rarer than 1 in 100: measured right? With two digits swapped it would be %s."), meant);
  }
  return g_strdup (_ ("Rarer than 1 in 100: measured right?"));
}
