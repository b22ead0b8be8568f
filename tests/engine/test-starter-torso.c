/* The torso drafted for every body of the open survey in data/survey: the girths come out, every join holds,
 * every check holds.
 *
 * What is wanted comes from outside the starter: a girth is measured here by cutting the drawn outlines with
 * a level line, and must be the survey's girth and what lies between (layers of thickness t add 2 pi t to a
 * closed convex girth: Steiner's formula, e.g. L. A. Santalo, Integral Geometry and Geometric Probability,
 * 1976, ch. 1, from memory).
 */
#include "engine/check.h"
#include "engine/starter.h"
#include "survey.h"

#define GIRTH_MM 1e-6
#define JOIN_MM 0.01

/* ---- measuring ---- */

/* All three panels are drawn half. */
static double
girth_at (const ModelDocument *doc, double y, double gap_mm)
{
  double sum = gap_mm;
  for (guint i = 0; i < doc->panels->len; i++)
    sum += 2.0 * survey_width_at (g_ptr_array_index (doc->panels, i), y);
  return sum;
}

/* The level of the second mark on the first seam's drawn edge, which says where the chest line is. */
static double
chest_level (const ModelDocument *doc)
{
  const ModelPanel *side = model_document_panel_named (doc, "Side");
  double low = INFINITY;
  for (guint e = 0; e < side->edges->len; e++)
  {
    const ModelEdge *edge = model_panel_edge (side, e);
    if (strcmp (edge->name, "back seam") == 0)
      low = model_edge_node (edge, edge->nodes->len - 1)->at.y;
  }
  return low;
}

static double
length_of (const ModelDocument *doc, const char *panel, const char *edge_name)
{
  const ModelPanel *of = model_document_panel_named (doc, panel);
  double sum = 0.0;
  for (guint e = 0; e < of->edges->len; e++)
  {
    const ModelEdge *edge = model_panel_edge (of, e);
    for (guint k = 0; strcmp (edge->name, edge_name) == 0 && k < edge->nodes->len; k++)
    {
      const ModelNode *a = model_edge_node (edge, k), *b = model_panel_next_node (of, e, k);
      GeomCubic piece = { { a->at, a->out, b->in, b->at } };
      sum += geom_cubic_length (&piece, 1e-9);
    }
  }
  return sum;
}

static void
check_body (const EngineStarter *torso, const double *values, int id)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (ModelDocument) doc = engine_starter_make (torso, values, &error);
  if (doc == NULL)
    g_test_message ("body %d", id);
  g_assert_no_error (error);
  double more = survey_get (torso, values, "ease")
                + 2.0 * G_PI
                    * (survey_get (torso, values, "under")
                       + survey_get (torso, values, "neutral") * survey_get (torso, values, "thickness"));
  double gap = survey_get (torso, values, "gap"), hip = survey_get (torso, values, "waist_to_hip");
  fixture_near (girth_at (doc, chest_level (doc), gap), survey_get (torso, values, "chest_girth") + more,
                GIRTH_MM);
  fixture_near (girth_at (doc, 0.0, gap), survey_get (torso, values, "waist_girth") + more, GIRTH_MM);
  if (survey_get (torso, values, "hem") > hip + 1.0)
    fixture_near (girth_at (doc, -hip, gap), survey_get (torso, values, "hip_girth") + more, GIRTH_MM);
  /* The neckline, both halves of both panels and the gap. */
  fixture_near (2.0 * (length_of (doc, "Front", "neck") + length_of (doc, "Back", "neck")) + gap,
                survey_get (torso, values, "neck_base_girth") + survey_get (torso, values, "neck_ease") + more
                  - survey_get (torso, values, "ease"),
                1e-5);
  fixture_near (length_of (doc, "Front", "shoulder"), survey_get (torso, values, "shoulder_length"),
                GIRTH_MM);

  g_autoptr (EngineReview) review = engine_review_new (doc);
  const GArray *readings = engine_review_readings (review);
  g_assert_cmpuint (readings->len, >=, 7);
  for (guint i = 0; i < readings->len; i++)
    fixture_near (g_array_index (readings, EngineJoinReading, i).difference_mm, 0.0, JOIN_MM);
  const GPtrArray *findings = engine_review_findings (review);
  for (guint i = 0; i < findings->len; i++)
  {
    const EngineFinding *finding = g_ptr_array_index (findings, i);
    if (!finding->holds)
    {
      g_autofree char *text = engine_finding_text (review, finding);
      g_test_message ("body %d, %s: %s", id, finding->check->name, text);
    }
    g_assert_true (finding->holds);
  }
}

static void
test_survey (gconstpointer hem)
{
  const EngineStarter *torso = engine_starter_named ("torso");
  double values[ENGINE_STARTER_VALUES];
  g_autoptr (GArray) bodies = g_array_new (FALSE, FALSE, sizeof (SurveyBody));
  survey_read ("ansur2-upper-body-female.csv", bodies);
  g_assert_cmpuint (bodies->len, ==, 1986);
  survey_read ("ansur2-upper-body-male.csv", bodies);
  g_assert_cmpuint (bodies->len, ==, 6068);
  for (guint i = 0; i < bodies->len; i++)
  {
    const SurveyBody *body = &g_array_index (bodies, SurveyBody, i);
    survey_fill (torso, body, values);
    if (hem != NULL)
      survey_set (torso, values, "hem", survey_get (torso, values, "waist_to_hip") + 40.0);
    check_body (torso, values, body->id);
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_data_func ("/engine/starter/torso/survey/short", NULL, test_survey);
  g_test_add_data_func ("/engine/starter/torso/survey/over-the-hip", "long", test_survey);
  return g_test_run ();
}
