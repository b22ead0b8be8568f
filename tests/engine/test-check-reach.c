/* Reach limits: what the line comes to, the width of a rectangle, is at most the measure. */
#include "line-fixture.h"

typedef struct Row
{
  const char *name;
  double limit_mm, between_mm;
  bool holds;
  double difference_mm;
} Row;

/* A front 243 wide at the line. */
static void
test_reach (void)
{
  static const Row rows[] = {
    { "room to spare", 318.0, 0.0, true, -75.0 },      { "just", 243.0, 0.0, true, 0.0 },
    { "within the tolerance", 242.6, 0.0, true, 0.4 }, { "too wide", 231.0, 0.0, false, 12.0 },
    { "a shirt beneath", 231.0, 12.0, true, 0.0 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 243, 300);
    ModelLine *line
      = fixture_line (doc, MODEL_LINE_REACH, fixture_measure (doc, MODEL_MEASURE_ACROSS, rows[i].limit_mm));
    line->between_mm = rows[i].between_mm;
    fixture_level_span (doc, line, front, 300, 200);
    g_autoptr (EngineReview) review = engine_review_new (doc);
    const EngineFinding *finding = fixture_finding (review, "reach", 0);
    g_test_message ("%s", rows[i].name);
    g_assert_true (finding->holds == rows[i].holds);
    g_assert_cmpfloat_with_epsilon (finding->difference, rows[i].difference_mm, 1e-6);
    g_assert_null (fixture_finding (review, "girth", 0));
    if (!finding->holds)
      g_assert_cmpuint (fixture_remedies_settle (review, "reach", 0), >=, 2);
  }
}

/* Thickness takes nothing off a width. */
static void
test_thickness (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 243, 300);
  front->material_id = fixture_material (doc, 8.0, 0.5)->id;
  ModelLine *line = fixture_line (doc, MODEL_LINE_REACH, fixture_measure (doc, MODEL_MEASURE_ROUND, 300.0));
  fixture_level_span (doc, line, front, 300, 200);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_assert_cmpfloat_with_epsilon (fixture_finding (review, "reach", 0)->expected, 300.0, 1e-9);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/check-reach/rows", test_reach);
  g_test_add_func ("/engine/check-reach/thickness", test_thickness);
  return g_test_run ();
}
