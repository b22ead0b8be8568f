/* Typed right?  Wanted: the survey itself, counted person by person, and slips worked by hand. */
#include "engine/plausible.h"

#include <math.h>
#include <string.h>

static const char *const files[] = { "ansur2-upper-body-female.csv", "ansur2-upper-body-male.csv" };

/* Every person's value in one column, both files. */
static GArray *
survey_column (const char *column)
{
  GArray *values = g_array_new (FALSE, FALSE, sizeof (double));
  for (guint f = 0; f < G_N_ELEMENTS (files); f++)
  {
    g_autofree char *path = g_build_filename (g_getenv ("PW_SOURCE_ROOT"), "data", "survey", files[f], NULL);
    g_autofree char *text = NULL;
    g_assert_true (g_file_get_contents (path, &text, NULL, NULL));
    g_auto (GStrv) lines = g_strsplit (text, "\n", -1);
    g_auto (GStrv) heads = g_strsplit (g_strchomp (lines[0]), ",", -1);
    guint at = 0;
    while (heads[at] != NULL && strcmp (heads[at], column) != 0)
      at++;
    g_assert_nonnull (heads[at]);
    for (guint i = 1; lines[i] != NULL && lines[i][0] != '\0'; i++)
    {
      g_auto (GStrv) cells = g_strsplit (lines[i], ",", -1);
      double value = g_ascii_strtod (cells[at], NULL);
      g_array_append_val (values, value);
    }
  }
  return values;
}

/* The law: at each end not more than 1 in 100 of the surveyed are called rare, and with those who share the
 * outermost ordinary value it would be more. */
static void
test_survey_itself (void)
{
  static const struct
  {
    const char *key, *column;
  } rows[] = {
    { "head_girth", "headcircumference" },
    { "neck_girth", "neckcircumference" },
    { "neck_base_girth", "neckcircumferencebase" },
    { "shoulder_girth", "shouldercircumference" },
    { "chest_girth", "chestcircumference" },
    { "waist_girth", "waistcircumference" },
    { "hip_girth", "buttockcircumference" },
    { "upper_arm_bent_girth", "bicepscircumferenceflexed" },
    { "forearm_girth", "forearmcircumferenceflexed" },
    { "wrist_girth", "wristcircumference" },
    { "shoulder_length", "shoulderlength" },
    { "back_waist_length", "waistbacklength" },
    { "upper_arm_length", "acromionradialelength" },
    { "forearm_length", "radialestylionlength" },
    { "stature", "stature" },
  };
  for (guint r = 0; r < G_N_ELEMENTS (rows); r++)
  {
    g_autoptr (GArray) values = survey_column (rows[r].column);
    g_assert_cmpuint (values->len, ==, 1986 + 4082); /* as the survey's report counts them */
    double least = 1e9, most = 0.0, sum = 0.0;
    for (guint i = 0; i < values->len; i++)
    {
      double mm = g_array_index (values, double, i);
      sum += mm;
      if (engine_plausible (rows[r].key, mm, MODEL_UNIT_MM).rare)
        continue;
      least = MIN (least, mm);
      most = MAX (most, mm);
    }
    double mean = sum / values->len;
    guint below = 0, above = 0, at_least = 0, at_most = 0;
    for (guint i = 0; i < values->len; i++)
    {
      double mm = g_array_index (values, double, i);
      bool rare = engine_plausible (rows[r].key, mm, MODEL_UNIT_MM).rare;
      below += rare && mm < mean;
      above += rare && mm > mean;
      at_least += mm <= least;
      at_most += mm >= most;
    }
    g_test_message ("%s: %u below, %u above", rows[r].key, below, above);
    g_assert_cmpuint (below * 100, <=, values->len);
    g_assert_cmpuint (above * 100, <=, values->len);
    g_assert_cmpuint (at_least * 100, >, values->len);
    g_assert_cmpuint (at_most * 100, >, values->len);
  }
}

/* A chest of 940 mm is the middle of women's in the survey to a hand's breadth; 37 in = 939.8 mm. */
static void
test_slips (void)
{
  static const struct
  {
    const char *key;
    double mm;
    ModelUnit unit;
    bool rare;
    EngineSlip slip;
    double meant_mm;
  } rows[] = {
    { "chest_girth", 940.0, MODEL_UNIT_MM, false, ENGINE_SLIP_NONE, 0.0 },
    { "chest_girth", 94.0, MODEL_UNIT_MM, true, ENGINE_SLIP_TEN_SHORT, 940.0 },
    { "chest_girth", 9400.0, MODEL_UNIT_CM, true, ENGINE_SLIP_TEN_OVER, 940.0 },
    { "chest_girth", 37.0, MODEL_UNIT_MM, true, ENGINE_SLIP_INCH_AS_MM, 939.8 },
    { "chest_girth", 370.0, MODEL_UNIT_CM, true, ENGINE_SLIP_INCH_AS_CM, 939.8 },
    { "chest_girth", 94.0 * 25.4, MODEL_UNIT_INCH, true, ENGINE_SLIP_CM_AS_INCH, 940.0 },
    { "chest_girth", 590.0, MODEL_UNIT_MM, true, ENGINE_SLIP_SWAPPED, 950.0 },
    { "wrist_girth", 517.0, MODEL_UNIT_MM, true, ENGINE_SLIP_SWAPPED, 157.0 },
    { "stature", 7150.0, MODEL_UNIT_MM, true, ENGINE_SLIP_SWAPPED, 1750.0 },
    { "stature", 2300.0, MODEL_UNIT_MM, true, ENGINE_SLIP_NONE, 0.0 },
    { "chest_girth", 1e30, MODEL_UNIT_MM, true, ENGINE_SLIP_NONE, 0.0 },
    { "chest_girth", (double)NAN, MODEL_UNIT_MM, false, ENGINE_SLIP_NONE, 0.0 },
    { "chest_girth", -5.0, MODEL_UNIT_MM, false, ENGINE_SLIP_NONE, 0.0 },
    { "calf_girth", 5.0, MODEL_UNIT_MM, false, ENGINE_SLIP_NONE, 0.0 }, /* not in the survey */
    { NULL, 5.0, MODEL_UNIT_MM, false, ENGINE_SLIP_NONE, 0.0 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    EnginePlausible found = engine_plausible (rows[i].key, rows[i].mm, rows[i].unit);
    g_test_message ("row %u", i);
    g_assert_cmpint (found.rare, ==, rows[i].rare);
    g_assert_cmpint (found.slip, ==, rows[i].slip);
    g_assert_cmpfloat_with_epsilon (found.meant_mm, rows[i].meant_mm, 1e-9);
    g_autofree char *words = engine_plausible_words (&found, rows[i].unit);
    g_assert_cmpint (words != NULL, ==, rows[i].rare);
  }
  EnginePlausible found = engine_plausible ("chest_girth", 590.0, MODEL_UNIT_MM);
  g_autofree char *words = engine_plausible_words (&found, MODEL_UNIT_MM);
  g_assert_nonnull (strstr (words, "950"));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/plausible/survey-itself", test_survey_itself);
  g_test_add_func ("/engine/plausible/slips", test_slips);
  return g_test_run ();
}
