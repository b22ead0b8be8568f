#include "fixture.h"

/* ISO 20685, maximum allowable error between two careful takings: large girths 9 mm, small girths 4 mm,
 * lengths between landmarks 5 mm. */
typedef struct Row
{
  const char *key;
  double wearer, form, own_tolerance;
  double tolerance;
  bool holds;
} Row;

static const Row rows[] = {
  { "chest_girth", 940, 931, NAN, 9, true },   { "chest_girth", 940, 930.9, NAN, 9, false },
  { "chest_girth", 940, 949, NAN, 9, true },   { "chest_girth", 940, 949.1, NAN, 9, false },
  { "chest_girth", 940, 931, 3, 3, false },    { "neck_girth", 380, 384, NAN, 4, true },
  { "neck_girth", 380, 384.5, NAN, 4, false }, { NULL, 500, 505, NAN, 5, true },
  { NULL, 500, 505.5, NAN, 5, false },
};

static void
test_rows (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    const Row *row = &rows[i];
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelMeasure *measure = model_measure_new ();
    measure->id = model_document_take_id (doc);
    g_free (measure->name);
    measure->name = g_strdup ("Girth");
    measure->key = g_strdup (row->key);
    measure->has_wearer = true;
    measure->wearer_mm = row->wearer;
    model_document_put (doc, (ModelPart) { MODEL_PART_MEASURE, measure }, -1);
    g_autoptr (EngineReview) review = engine_review_new (doc);
    g_assert_null (fixture_finding (review, "form-against-wearer", 0));
    measure->has_form = true;
    measure->form_mm = row->form;
    measure->has_tolerance = !isnan (row->own_tolerance);
    measure->tolerance_mm = row->own_tolerance;
    engine_review_touch (review, MODEL_PART_MEASURE, measure->id);
    const EngineFinding *finding = fixture_finding (review, "form-against-wearer", 0);
    fixture_near (finding->expected, row->wearer, 0);
    fixture_near (finding->actual, row->form, 0);
    fixture_near (finding->difference, row->form - row->wearer, 1e-9);
    fixture_near (finding->tolerance, row->tolerance, 0);
    g_assert_cmpint (finding->holds, ==, row->holds);
    g_assert_cmpuint (finding->measure_id, ==, measure->id);
  }
}

static void
test_words (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelMeasure *measure = model_measure_new ();
  measure->id = model_document_take_id (doc);
  g_free (measure->name);
  measure->name = g_strdup ("Chest");
  measure->has_wearer = measure->has_form = true;
  measure->wearer_mm = 412;
  measure->form_mm = 398;
  model_document_put (doc, (ModelPart) { MODEL_PART_MEASURE, measure }, -1);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const EngineFinding *finding = fixture_finding (review, "form-against-wearer", 0);
  g_autofree char *text = engine_finding_text (review, finding),
                  *detail = engine_finding_detail (review, finding);
  g_assert_cmpstr (text, ==, "Chest: the form measures 14\u2009mm less than the wearer.");
  g_assert_cmpstr (detail, ==, "Wearer 412\u2009mm, form 398\u2009mm; 5\u2009mm may be ignored.");
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/check-form-against-wearer/rows", test_rows);
  g_test_add_func ("/engine/check-form-against-wearer/words", test_words);
  return g_test_run ();
}
