/* Neck openings: the outline itself counts, from mark to mark the shorter way. */
#include "line-fixture.h"

#define PI 3.14159265358979323846

/* A square of 300 with a notch of three sides 60, 80, 60 in its upper edge: the neckline is 200 long, its
 * chord only 80. */
static ModelPanel *
yoke (ModelDocument *doc)
{
  GeomPoint points[] = { { 0, 0 },     { 300, 0 },   { 300, 300 }, { 190, 300 },
                         { 190, 240 }, { 110, 240 }, { 110, 300 }, { 0, 300 } };
  return fixture_polygon (doc, "Yoke", points, G_N_ELEMENTS (points));
}

static const EngineFinding *
opening (EngineReview *review)
{
  engine_review_touch_all (review);
  return fixture_finding (review, "neck", 0);
}

static void
test_along_outline (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = yoke (doc);
  ModelMeasure *neck = fixture_measure (doc, MODEL_MEASURE_ROUND, 200.0);
  ModelLine *line = fixture_line (doc, MODEL_LINE_NECK, neck);
  /* From the end of edge 2 to the start of edge 6: corners of the notch. */
  fixture_span (doc, line, panel, 3, 0.0, 6, 0.0);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_assert_cmpfloat_with_epsilon (opening (review)->actual, 200.0, 1e-6);
  g_assert_true (opening (review)->holds);
  neck->wearer_mm = 206.0;
  const EngineFinding *finding = opening (review);
  g_assert_false (finding->holds);
  g_assert_cmpfloat_with_epsilon (finding->difference, -6.0, 1e-6);
  g_autofree char *text = engine_finding_text (review, finding);
  g_assert_nonnull (strstr (text, "6.0"));
  /* Wider than needed is no fault. */
  neck->wearer_mm = 150.0;
  g_assert_true (opening (review)->holds);
}

/* A quarter circle of radius 60 on a half panel: the opening is a half circle, 60 pi.  The cubic's handles
 * are those of the usual approximation, off by less than 3e-4 of the radius. */
static void
test_fold (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  double k = 60.0 * 0.5522847498;
  GeomPoint a = { 0, 240 }, b = { 60, 300 };
  GeomCubic cubics[] = { { { { 0, 0 }, { 0, 0 }, { 200, 0 }, { 200, 0 } } },
                         { { { 200, 0 }, { 200, 0 }, { 200, 300 }, { 200, 300 } } },
                         { { { 200, 300 }, { 200, 300 }, b, b } },
                         { { b, { 60, 300 - k }, { k, 240 }, a } },
                         { { a, a, { 0, 0 }, { 0, 0 } } } };
  ModelPanel *panel = fixture_panel (doc, "Front", cubics, 5);
  fixture_mirror (panel, MODEL_HALVES_FOLD, MODEL_SIDE_LEFT);
  model_panel_edge (panel, 4)->fold = true;
  ModelLine *line = fixture_line (doc, MODEL_LINE_NECK, fixture_measure (doc, MODEL_MEASURE_ROUND, 180.0));
  fixture_span (doc, line, panel, 3, 0.0, 4, 0.0);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_assert_cmpfloat_with_epsilon (opening (review)->actual, 60.0 * PI, 0.06);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/check-neck/along-outline", test_along_outline);
  g_test_add_func ("/engine/check-neck/fold", test_fold);
  return g_test_run ();
}
