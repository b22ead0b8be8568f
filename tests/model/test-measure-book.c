#include "model/measure-book.h"

#include <glib.h>
#include <string.h>

typedef struct BookRow
{
  const char *key, *clause;
  ModelMeasureGroup group;
  double tolerance_mm;
} BookRow;

/* Clauses: ISO 8559-1:2017 as two secondary sources name them.  Tolerances: ISO 20685 classes (large girths
 * 9, small girths, heights and breadths 4, segment lengths 5, head with hair 2), as summarised in
 * Anthropometry, Apparel Sizing and Design, 2nd ed., p. 41. */
static const BookRow rows[] = {
  { "neck_girth", "5.3.2", MODEL_MEASURE_ROUND, 4.0 },
  { "neck_base_girth", "5.3.3", MODEL_MEASURE_ROUND, 4.0 },
  { "chest_girth", "5.3.4", MODEL_MEASURE_ROUND, 9.0 },
  { "under_chest_girth", "5.3.6", MODEL_MEASURE_ROUND, 9.0 },
  { "waist_girth", "5.3.10", MODEL_MEASURE_ROUND, 9.0 },
  { "hip_girth", "5.3.13", MODEL_MEASURE_ROUND, 9.0 },
  { "upper_arm_girth", "5.3.16", MODEL_MEASURE_ROUND, 4.0 },
  { "wrist_girth", "5.3.19", MODEL_MEASURE_ROUND, 4.0 },
  { "forearm_girth", NULL, MODEL_MEASURE_ROUND, 4.0 },
  { "shoulder_width", "5.4.2", MODEL_MEASURE_ACROSS, 5.0 },
  { "back_waist_length", "5.4.5", MODEL_MEASURE_ALONG, 5.0 },
  { "front_waist_length", NULL, MODEL_MEASURE_ALONG, 5.0 },
  { "shoulder_length", NULL, MODEL_MEASURE_ALONG, 5.0 },
  { "arm_length", NULL, MODEL_MEASURE_ALONG, 5.0 },
  { "stature", "5.1.1", MODEL_MEASURE_ALONG, 4.0 },
  { "head_girth", NULL, MODEL_MEASURE_ROUND, 2.0 },
};

static void
test_known (void)
{
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    const ModelMeasureDef *def = model_measure_def (rows[i].key);

    g_assert_nonnull (def);
    g_assert_cmpstr (def->key, ==, rows[i].key);
    g_assert_cmpstr (def->clause, ==, rows[i].clause);
    g_assert_cmpint (def->group, ==, rows[i].group);
    g_assert_cmpfloat (def->tolerance_mm, ==, rows[i].tolerance_mm);
  }
}

static void
test_unknown (void)
{
  g_assert_null (model_measure_def (NULL));
  g_assert_null (model_measure_def (""));
  g_assert_null (model_measure_def ("tail_girth"));
}

/* Keys go into files and on the command line: one form, no two alike. */
static void
test_sound (void)
{
  guint count = 0;
  const ModelMeasureDef *book = model_measure_book (&count);
  g_autoptr (GHashTable) keys = g_hash_table_new (g_str_hash, g_str_equal);
  g_autoptr (GHashTable) names = g_hash_table_new (g_str_hash, g_str_equal);

  g_assert_cmpuint (count, >=, 30);
  for (guint i = 0; i < count; i++)
  {
    g_assert_true (g_hash_table_add (keys, (gpointer)book[i].key));
    g_assert_true (g_hash_table_add (names, (gpointer)book[i].name));
    g_assert_cmpuint (strspn (book[i].key, "abcdefghijklmnopqrstuvwxyz_"), ==, strlen (book[i].key));
    g_assert_true (g_utf8_validate (book[i].how, -1, NULL));
    g_assert_true (g_str_has_suffix (book[i].how, "."));
    g_assert_nonnull (book[i].figure);
    g_assert_true (model_measure_def (book[i].key) == &book[i]);
  }
}

static void
test_tolerance (void)
{
  g_autoptr (ModelMeasure) measure = model_measure_new ();

  g_clear_pointer (&measure->key, g_free);
  measure->has_tolerance = false;
  g_assert_cmpfloat (model_measure_tolerance (measure), ==, 5.0);
  measure->key = g_strdup ("chest_girth");
  g_assert_cmpfloat (model_measure_tolerance (measure), ==, 9.0);
  measure->has_tolerance = true;
  measure->tolerance_mm = 2.5;
  g_assert_cmpfloat (model_measure_tolerance (measure), ==, 2.5);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/measure-book/known", test_known);
  g_test_add_func ("/model/measure-book/unknown", test_unknown);
  g_test_add_func ("/model/measure-book/sound", test_sound);
  g_test_add_func ("/model/measure-book/tolerance", test_tolerance);
  return g_test_run ();
}
