/* Layers: 3 mm and 4 mm over a body of 900, neutral in the middle: the first neutral girth is
 * 900 + 2 pi 1.5 = 909.4247779607694, the second 900 + 2 pi (3 + 2) = 931.4159265358979 (worked from
 * Steiner's L' = L + 2 pi d); between them lie 2 pi (1.5 + 2). */
#include "line-fixture.h"

typedef struct Layers
{
  ModelDocument *doc;
  ModelPanel *inner, *outer;
  ModelLine *beneath, *over;
  EngineReview *review;
} Layers;

static void
set_up (Layers *l, gconstpointer data)
{
  l->doc = model_document_new ();
  ModelMeasure *chest = fixture_measure (l->doc, MODEL_MEASURE_ROUND, 900);
  l->inner = fixture_rectangle (l->doc, "Jerkin", 0, 0, 909.4247779607694, 100);
  l->outer = fixture_rectangle (l->doc, "Belt", 0, 200, 931.4159265358979, 100);
  l->inner->material_id = fixture_material (l->doc, 3.0, 0.5)->id;
  l->outer->material_id = fixture_material (l->doc, 4.0, 0.5)->id;
  l->beneath = fixture_line (l->doc, MODEL_LINE_GIRTH, chest);
  l->over = fixture_line (l->doc, MODEL_LINE_GIRTH, chest);
  fixture_level_span (l->doc, l->beneath, l->inner, 100, 50);
  fixture_level_span (l->doc, l->over, l->outer, 100, 50);
  l->over->between_mm = 18.849555921538759; /* 2 pi 3 */
  l->review = engine_review_new (l->doc);
}

static void
tear_down (Layers *l, gconstpointer data)
{
  engine_review_free (l->review);
  model_document_free (l->doc);
}

static const EngineFinding *
found (Layers *l)
{
  engine_review_touch_all (l->review);
  g_assert_null (fixture_finding (l->review, "layer", 1));
  return fixture_finding (l->review, "layer", 0);
}

static void
test_agree (Layers *l, gconstpointer data)
{
  const EngineFinding *finding = found (l);
  g_assert_true (finding->holds);
  g_assert_cmpuint (finding->line_id, ==, l->over->id);
  g_assert_cmpuint (finding->other_line_id, ==, l->beneath->id);
  g_assert_cmpfloat_with_epsilon (finding->expected, 931.4159265358979, 1e-6);
  g_assert_cmpfloat_with_epsilon (finding->difference, 0.0, 1e-6);
  for (guint i = 0; i < 2; i++)
    g_assert_true (fixture_finding (l->review, "girth", i)->holds);
}

/* The belt was drawn as if there were nothing beneath. */
static void
test_forgotten (Layers *l, gconstpointer data)
{
  l->over->between_mm = 0.0;
  l->inner->material_id = l->outer->material_id;
  for (int i = 0; i < 2; i++)
  {
    ModelNode *node = model_edge_node (model_panel_edge (l->outer, 1 + (guint)i), 0);
    node->at.x = node->in.x = node->out.x = 912.566370614359;
    node = model_edge_node (model_panel_edge (l->inner, 1 + (guint)i), 0);
    node->at.x = node->in.x = node->out.x = 912.566370614359;
  }
  const EngineFinding *finding = found (l);
  /* Equal figures: the later line is the outer one.  2 pi 4 are missing. */
  g_assert_cmpuint (finding->line_id, ==, l->over->id);
  g_assert_false (finding->holds);
  g_assert_cmpfloat_with_epsilon (finding->difference, -25.132741228718345, 1e-6);
  g_autofree char *text = engine_finding_text (l->review, finding);
  g_assert_nonnull (strstr (text, "25.1"));
}

static void
test_told_by_between (Layers *l, gconstpointer data)
{
  l->beneath->between_mm = 30.0;
  g_assert_cmpuint (found (l)->line_id, ==, l->beneath->id);
  g_assert_false (found (l)->holds);
}

static void
test_other_measure (Layers *l, gconstpointer data)
{
  l->over->measure_id = fixture_measure (l->doc, MODEL_MEASURE_ROUND, 700)->id;
  g_assert_null (found (l));
}

/* The inner one grew: the outer one is looked at again. */
static void
test_kept (Layers *l, gconstpointer data)
{
  g_assert_true (found (l)->holds);
  for (int i = 0; i < 2; i++)
  {
    ModelNode *node = model_edge_node (model_panel_edge (l->inner, 1 + (guint)i), 0);
    node->at.x = node->in.x = node->out.x = 919.4247779607694;
  }
  engine_review_touch (l->review, MODEL_PART_PANEL, l->inner->id);
  g_assert_cmpfloat_with_epsilon (fixture_finding (l->review, "layer", 0)->difference, -10.0, 1e-6);
}

#define ADD(path, test) g_test_add ("/engine/check-layer/" path, Layers, NULL, set_up, test, tear_down)

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  ADD ("agree", test_agree);
  ADD ("forgotten", test_forgotten);
  ADD ("told-by-between", test_told_by_between);
  ADD ("other-measure", test_other_measure);
  ADD ("kept", test_kept);
  return g_test_run ();
}
