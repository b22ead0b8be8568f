#include "engine/form-advice.h"
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
  /* 14 / (2 pi) = 2.228: a layer of thickness t makes a closed convex girth 2 pi t longer (Steiner's formula
   * for parallel curves). */
  g_assert_cmpstr (detail, ==,
                   "Wearer 412\u2009mm, form 398\u2009mm; 5\u2009mm may be ignored. Pad it with a layer of "
                   "2.2\u2009mm all round, or draw the panels 14\u2009mm longer at this level.");
}

/* Round: a form of circles is padded and measured again.  Across: both sides.  A length cannot be padded. */
static void
test_advice (void)
{
  ModelMeasure *measure = model_measure_new ();
  measure->group = MODEL_MEASURE_ROUND;
  measure->wearer_mm = 972;
  measure->form_mm = 940;
  EngineFormAdvice round = engine_form_advice (measure);
  g_assert_cmpint (round.place, ==, ENGINE_FORM_ALL_ROUND);
  double radius = 940 / (2.0 * G_PI) + round.layer_mm;
  fixture_near (2.0 * G_PI * radius, 972, 1e-9);
  measure->form_mm = 990;
  g_assert_cmpfloat (engine_form_advice (measure).layer_mm, <, 0.0);
  measure->group = MODEL_MEASURE_ACROSS;
  EngineFormAdvice across = engine_form_advice (measure);
  fixture_near (990 + 2.0 * across.layer_mm, 972, 1e-9);
  measure->group = MODEL_MEASURE_ALONG;
  EngineFormAdvice along = engine_form_advice (measure);
  g_assert_cmpint (along.place, ==, ENGINE_FORM_NOWHERE);
  fixture_near (along.draw_mm, -18, 1e-9);
  model_measure_free (measure);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/check-form-against-wearer/rows", test_rows);
  g_test_add_func ("/engine/check-form-against-wearer/words", test_words);
  g_test_add_func ("/engine/check-form-against-wearer/advice", test_advice);
  return g_test_run ();
}
