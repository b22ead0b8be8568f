#include "fixture.h"

static void
test_weight (void)
{
  static const struct
  {
    bool holds;
    double difference, tolerance;
    const char *unit;
    double weight;
  } rows[] = { { true, 5, 1, "mm", 0 },      { false, 6, 1, "mm", 6 },       { false, -6, 2, "mm", 3 },
               { false, 3, 0, "count", 10 }, { false, 300, 1, "count", 10 }, { false, NAN, NAN, "mm", 10 },
               { false, 5, 0, "mm", 10 },    { false, -0.3, NAN, "mm", 10 } };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    EngineFinding finding = engine_finding_blank (&engine_check_outline);
    finding.holds = rows[i].holds;
    finding.difference = rows[i].difference;
    finding.tolerance = rows[i].tolerance;
    finding.unit = rows[i].unit;
    fixture_near (engine_finding_weight (&finding), rows[i].weight, 1e-12);
  }
}

static void
test_where (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 50, 100),
             *side = fixture_rectangle (doc, "Side", 100, 0, 50, 100);
  fixture_join (doc, MODEL_JOIN_LAPPED, front, 1, side, 3);
  fixture_allow (side, 3, 0);
  ModelMeasure *measure = model_measure_new ();
  measure->id = model_document_take_id (doc);
  g_free (measure->name);
  measure->name = g_strdup ("Chest");
  measure->has_wearer = measure->has_form = true;
  model_document_put (doc, (ModelPart) { MODEL_PART_MEASURE, measure }, -1);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_auto (GStrv) lap = engine_finding_where (review, fixture_finding (review, "lap-side", 0));
  g_auto (GStrv) chest = engine_finding_where (review, fixture_finding (review, "form-against-wearer", 0));
  g_auto (GStrv) outline = engine_finding_where (review, fixture_finding (review, "outline", 0));
  g_autofree char *lap_line = g_strjoinv ("|", lap), *chest_line = g_strjoinv ("|", chest),
                  *outline_line = g_strjoinv ("|", outline);
  g_assert_cmpstr (lap_line, ==, "Side|edge d|Front|Front – Side");
  g_assert_cmpstr (chest_line, ==, "Chest");
  g_assert_cmpstr (outline_line, ==, "Front");
}

/* Every finding of a document with faults of all kinds has its words, and no figure is made up. */
static void
test_all_have_words (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 50, 100),
             *side = fixture_rectangle (doc, "", 100, 0, 50, 90);
  fixture_join (doc, MODEL_JOIN_LAPPED, front, 1, side, 3);
  fixture_join (doc, MODEL_JOIN_GAP, front, 0, front, 2)->a.panel_id = 4711;
  for (guint i = 0; i < 4; i++)
    *model_panel_edge (side, i)->name = '\0';
  fixture_mirror (side, MODEL_HALVES_PAIR, MODEL_SIDE_CENTRE);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const GPtrArray *findings = engine_review_findings (review);
  for (guint i = 0; i < findings->len; i++)
  {
    const EngineFinding *finding = g_ptr_array_index (findings, i);
    g_autofree char *text = engine_finding_text (review, finding),
                    *detail = engine_finding_detail (review, finding);
    g_auto (GStrv) where = engine_finding_where (review, finding);
    g_autoptr (GPtrArray) remedies = engine_finding_remedies (review, finding);
    g_assert_true (g_utf8_validate (text, -1, NULL) && g_str_has_suffix (text, "."));
    g_assert_true (g_utf8_validate (detail, -1, NULL));
    g_assert_nonnull (where);
    g_assert_true (isnan (finding->difference)
                   || fabs (finding->actual - finding->expected - finding->difference) <= 1e-9);
    if (finding->holds)
      g_assert_cmpuint (remedies->len, ==, 0);
  }
  g_assert_false (fixture_finding (review, "join-length", 1)->holds);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/finding/weight", test_weight);
  g_test_add_func ("/engine/finding/where", test_where);
  g_test_add_func ("/engine/finding/all-have-words", test_all_have_words);
  return g_test_run ();
}
