/* A torso drafted for one body of the open survey, fitted to another.
 *
 * What is wanted comes from outside: a girth is measured by cutting the outlines with a level line, and must
 * be the survey's girth of the second body and what lies between (layers of thickness t add 2 pi t to a
 * closed convex girth: Steiner's formula, e.g. L. A. Santalo, Integral Geometry and Geometric Probability,
 * 1976, ch. 1, from memory).
 */
#include "engine/check.h"
#include "engine/girth.h"
#include "engine/refit.h"
#include "engine/remedy.h"
#include "line-fixture.h"
#include "survey.h"

/* A girth must come out to a tenth of a millimetre; the program promises much more. */
#define GIRTH_MM 0.1
#define PROMISED_MM 1e-4
#define JOIN_MM 1e-5

/* ---- measuring ---- */

static double
line_height (EngineReview *review, const ModelLine *line, guint panel_id)
{
  const EngineLineReading *reading = engine_review_line (review, line->id);
  for (guint i = 0; i < reading->spans->len; i++)
  {
    const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, i);
    if (span->panel_id == panel_id && span->drawn)
      return (span->a.y + span->b.y) / 2.0;
  }
  g_assert_not_reached ();
}

static const ModelLine *
line_named (const ModelDocument *doc, const char *name)
{
  for (guint i = 0; i < doc->lines->len; i++)
    if (strcmp (((const ModelLine *)g_ptr_array_index (doc->lines, i))->name, name) == 0)
      return g_ptr_array_index (doc->lines, i);
  return NULL;
}

/* All three panels are drawn half. */
static double
girth_along (EngineReview *review, const char *name, double gap_mm)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelLine *line = line_named (doc, name);
  double sum = gap_mm;
  for (guint i = 0; i < doc->panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (doc->panels, i);
    sum += 2.0 * survey_width_at (panel, line_height (review, line, panel->id));
  }
  return sum;
}

/* Every join is as it was, and nothing that held fails; the form's own check is not about panels. */
static void
check_joins (EngineReview *before, EngineReview *after)
{
  const GArray *was = engine_review_readings (before), *now = engine_review_readings (after);
  g_assert_cmpuint (was->len, ==, now->len);
  for (guint i = 0; i < was->len; i++)
  {
    const EngineJoinReading *a = &g_array_index (was, EngineJoinReading, i),
                            *b = &g_array_index (now, EngineJoinReading, i);
    fixture_near (b->difference_mm, a->difference_mm, JOIN_MM);
  }
}

static void
check_sound (EngineReview *review)
{
  const ModelDocument *doc = engine_review_document (review);
  for (guint i = 0; i < doc->panels->len; i++)
  {
    GeomPath path;
    geom_path_init (&path);
    model_panel_path (g_ptr_array_index (doc->panels, i), &path, NULL);
    GeomSelfCrossing found;
    g_assert_cmpuint (geom_path_self_crossings (&path, 1e-3, &found, 1), ==, 0);
    geom_path_clear (&path);
  }
}

static ModelDocument *
torso_for (const SurveyBody *body, bool over_the_hip)
{
  const EngineStarter *torso = engine_starter_named ("torso");
  double values[ENGINE_STARTER_VALUES];
  g_autoptr (GError) error = NULL;
  survey_fill (torso, body, values);
  if (over_the_hip)
    survey_set (torso, values, "hem", survey_get (torso, values, "waist_to_hip") + 40.0);
  ModelDocument *doc = engine_starter_make (torso, values, &error);
  g_assert_no_error (error);
  return doc;
}

static double
more_for (const SurveyBody *body)
{
  const EngineStarter *torso = engine_starter_named ("torso");
  double values[ENGINE_STARTER_VALUES];
  survey_fill (torso, body, values);
  return survey_get (torso, values, "ease")
         + 2.0 * G_PI
             * (survey_get (torso, values, "under")
                + survey_get (torso, values, "neutral") * survey_get (torso, values, "thickness"));
}

/* ---- the survey ---- */

typedef struct Tally
{
  double girth_mm, seam_mm;
  guint pairs, broken, words;
} Tally;

static double
edge_length_of (const ModelDocument *doc, const char *panel, const char *edge)
{
  const ModelPanel *of = model_document_panel_named (doc, panel);
  double sum = 0.0;
  for (guint e = 0; e < of->edges->len; e++)
    for (guint k = 0;
         strcmp (model_panel_edge (of, e)->name, edge) == 0 && k < model_panel_edge (of, e)->nodes->len; k++)
    {
      const ModelNode *a = model_edge_node (model_panel_edge (of, e), k),
                      *b = model_panel_next_node (of, e, k);
      GeomCubic piece = { { a->at, a->out, b->in, b->at } };
      sum += geom_cubic_length (&piece, 1e-9);
    }
  return sum;
}

static void
refit_pair (const SurveyBody *a, const SurveyBody *b, bool over_the_hip, Tally *tally)
{
  g_autoptr (ModelDocument) doc = torso_for (a, over_the_hip), drafted = torso_for (b, over_the_hip);
  g_autoptr (EngineReview) review = engine_review_new (doc), direct = engine_review_new (drafted);
  g_autoptr (EngineRefit) refit = engine_refit_new (review);
  g_assert_cmpuint (engine_refit_read (refit, drafted), >=, 10);
  EngineRemedy *remedy = engine_refit_work (refit, "wearer B");
  for (guint i = 0; i < engine_refit_words (refit)->len; i++)
    g_test_message ("%d to %d: %s", a->id, b->id,
                    (const char *)g_ptr_array_index (engine_refit_words (refit), i));
  for (guint i = 0; i < engine_refit_broken (refit)->len; i++)
    g_test_message ("%d to %d broke: %s", a->id, b->id,
                    (const char *)g_ptr_array_index (engine_refit_broken (refit), i));
  g_assert_nonnull (remedy);
  g_autoptr (ModelDocument) fitted = engine_remedy_try (doc, remedy);
  engine_remedy_free (remedy);
  g_autoptr (EngineReview) after = engine_review_new (fitted);

  const struct
  {
    const char *line;
    double body_mm;
  } girths[] = { { "Chest line", b->chest }, { "Waist line", b->waist }, { "Hip line", b->hip } };
  for (guint i = 0; i < (over_the_hip ? 3 : 2); i++)
  {
    double girth = girth_along (after, girths[i].line, 40.0), wanted = girths[i].body_mm + more_for (b);
    fixture_near (girth, wanted, GIRTH_MM);
    fixture_near (girth, wanted, PROMISED_MM);
    fixture_near (girth, girth_along (direct, girths[i].line, 40.0), PROMISED_MM);
    tally->girth_mm = fmax (tally->girth_mm, fabs (girth - wanted));
  }
  check_joins (review, after);
  check_sound (after);
  tally->seam_mm = fmax (tally->seam_mm, fabs (edge_length_of (fitted, "Front", "side")
                                               - edge_length_of (drafted, "Front", "side")));
  tally->broken += engine_refit_broken (refit)->len;
  tally->words += engine_refit_words (refit)->len;
  tally->pairs++;
}

static void
test_survey (gconstpointer hem)
{
  g_autoptr (GArray) bodies = g_array_new (FALSE, FALSE, sizeof (SurveyBody));
  survey_read ("ansur2-upper-body-female.csv", bodies);
  Tally tally = { 0 };
  for (guint i = 0; i < 24; i++)
    refit_pair (&g_array_index (bodies, SurveyBody, 7 + i * 41),
                &g_array_index (bodies, SurveyBody, 1900 - i * 37), hem != NULL, &tally);
  g_test_message ("%u pairs: girths within %g mm, side seams of the drafted torso within %.1f mm, %u words",
                  tally.pairs, tally.girth_mm, tally.seam_mm, tally.words);
  g_assert_cmpuint (tally.broken, ==, 0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_data_func ("/engine/refit/survey/short", NULL, test_survey);
  g_test_add_data_func ("/engine/refit/survey/over-the-hip", "long", test_survey);
  return g_test_run ();
}
