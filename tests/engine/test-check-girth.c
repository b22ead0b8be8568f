/* Girth lines.  Wanted sums are widths of rectangles; the growth by thickness is Steiner's formula for a
 * closed convex line at a distance d, L' = L + 2 pi d (L. A. Santalo, Integral Geometry and Geometric
 * Probability, 1976). */
#include "line-fixture.h"

#define PI 3.14159265358979323846

typedef struct Jerkin
{
  ModelDocument *doc;
  ModelPanel *front, *back;
  ModelMeasure *chest;
  ModelLine *line;
  EngineReview *review;
} Jerkin;

/* A front of 460 and a back of 440, 300 high; the line 200 above their feet. */
static void
set_up (Jerkin *j, gconstpointer data)
{
  j->doc = model_document_new ();
  j->front = fixture_rectangle (j->doc, "Front", 0, 0, 460, 300);
  j->back = fixture_rectangle (j->doc, "Back", 600, 0, 440, 300);
  j->chest = fixture_measure (j->doc, MODEL_MEASURE_ROUND, 900);
  j->line = fixture_line (j->doc, MODEL_LINE_GIRTH, j->chest);
  fixture_level_span (j->doc, j->line, j->front, 300, 200);
  fixture_level_span (j->doc, j->line, j->back, 300, 200);
  j->review = engine_review_new (j->doc);
}

static void
tear_down (Jerkin *j, gconstpointer data)
{
  engine_review_free (j->review);
  model_document_free (j->doc);
}

static const EngineFinding *
found (Jerkin *j)
{
  engine_review_touch_all (j->review);
  const EngineFinding *finding = fixture_finding (j->review, "girth", 0);
  g_assert_nonnull (finding);
  return finding;
}

static void
test_sum (Jerkin *j, gconstpointer data)
{
  const EngineFinding *finding = found (j);
  g_assert_true (finding->holds);
  g_assert_cmpfloat_with_epsilon (finding->actual, 900.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (finding->expected, 900.0, 1e-9);
  j->chest->wearer_mm = 912.0;
  finding = found (j);
  g_assert_false (finding->holds);
  g_assert_cmpfloat_with_epsilon (finding->difference, -12.0, 1e-6);
  j->line->between_mm = 8.0;
  g_assert_cmpfloat_with_epsilon (found (j)->difference, -20.0, 1e-6);
  /* Six too long is as wrong as six too short. */
  j->line->between_mm = 0.0;
  j->chest->wearer_mm = 894.0;
  g_assert_false (found (j)->holds);
}

/* Thickness and neutral layer against 2 pi n t; a table, so that each figure has its row. */
static void
test_thickness (Jerkin *j, gconstpointer data)
{
  static const struct
  {
    double thickness, neutral, growth;
  } rows[] = {
    { 4.0, 0.5, 12.566370614359172 }, /* 2 pi 2 */
    { 3.0, 0.5, 9.42477796076938 },   /* 2 pi 1.5 */
    { 8.0, 1.0, 50.26548245743669 },  /* 2 pi 8 */
    { 4.0, 0.0, 0.0 },
  };
  ModelMaterial *leather = fixture_material (j->doc, 4.0, 0.5);
  j->front->material_id = j->back->material_id = leather->id;
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    leather->thickness_mm = rows[i].thickness;
    leather->neutral = rows[i].neutral;
    g_assert_cmpfloat_with_epsilon (found (j)->expected, 900.0 + rows[i].growth, 1e-9);
  }
  /* The back alone is of leather: it takes 440 of 900 of the way round. */
  leather->thickness_mm = 4.0;
  leather->neutral = 0.5;
  j->front->material_id = 0;
  g_assert_cmpfloat_with_epsilon (found (j)->expected, 900.0 + 2.0 * PI * 2.0 * 440.0 / 900.0, 1e-6);
  /* A width is no loop. */
  j->chest->group = MODEL_MEASURE_ACROSS;
  g_assert_cmpfloat_with_epsilon (found (j)->expected, 900.0, 1e-9);
}

/* A notch of 40 at the foot, its tip 100 up: a level line 50 up crosses half of it. */
static void
test_dart (Jerkin *j, gconstpointer data)
{
  GeomPoint points[]
    = { { 0, 0 }, { 200, 0 }, { 220, 100 }, { 240, 0 }, { 460, 0 }, { 460, 300 }, { 0, 300 } };
  ModelPanel *darted = fixture_polygon (j->doc, "Darted", points, G_N_ELEMENTS (points));
  g_array_set_size (j->line->spans, 0);
  fixture_span (j->doc, j->line, darted, 6, 250.0, 4, 50.0);
  g_assert_cmpfloat_with_epsilon (found (j)->actual, 440.0, 1e-6);
}

static void
test_gaps (Jerkin *j, gconstpointer data)
{
  /* Only the front's left edge and the back's right one are joined, 30 apart: one gap is crossed. */
  ModelJoin *join = fixture_join (j->doc, MODEL_JOIN_GAP, j->front, 3, j->back, 1);
  join->gap_mm = 30.0;
  g_assert_cmpfloat_with_epsilon (found (j)->actual, 930.0, 1e-6);
  /* Another kind of join adds nothing. */
  join->kind = MODEL_JOIN_FLUSH;
  g_assert_cmpfloat_with_epsilon (found (j)->actual, 900.0, 1e-6);
}

/* Drawn half: 230 wide with the fold at its left. */
static void
test_halves (Jerkin *j, gconstpointer data)
{
  ModelPanel *half = fixture_rectangle (j->doc, "Half", 0, 500, 230, 300);
  fixture_mirror (half, MODEL_HALVES_FOLD, MODEL_SIDE_LEFT);
  model_panel_edge (half, 3)->fold = true;
  g_array_set_size (j->line->spans, 0);
  fixture_level_span (j->doc, j->line, half, 300, 200);
  g_assert_cmpfloat_with_epsilon (found (j)->actual, 460.0, 1e-6);
  j->line->one_side = true;
  g_assert_cmpfloat_with_epsilon (found (j)->actual, 230.0, 1e-6);
  j->line->one_side = false;
  /* The other side's edge lies 7.5 farther out all along (to the left of the fold: -x). */
  fixture_correct (half, 1, -7.5, 0.0);
  fixture_correct (half, 2, -7.5, 0.0);
  g_assert_cmpfloat_with_epsilon (found (j)->actual, 467.5, 1e-6);
  half->own_sides = false;
  g_assert_cmpfloat_with_epsilon (found (j)->actual, 460.0, 1e-6);
}

static void
test_remedies (Jerkin *j, gconstpointer data)
{
  fixture_join (j->doc, MODEL_JOIN_FLUSH, j->front, 1, j->back, 3);
  fixture_join (j->doc, MODEL_JOIN_FLUSH, j->front, 3, j->back, 1);
  j->chest->wearer_mm = 920.0;
  found (j);
  /* At the sides, every panel, off as wanted. */
  g_assert_cmpuint (fixture_remedies_settle (j->review, "girth", 0), ==, 3);
  const EngineFinding *finding = found (j);
  g_autoptr (GPtrArray) remedies = engine_finding_remedies (j->review, finding);
  const EngineRemedy *first = g_ptr_array_index (remedies, 0);
  /* Four edges share 20 mm: 5 each. */
  g_assert_nonnull (strstr (first->text, "5.0"));
  g_assert_cmpuint (first->parts->len, ==, 2);
}

static void
test_gap_remedy (Jerkin *j, gconstpointer data)
{
  for (int i = 0; i < 2; i++)
    fixture_join (j->doc, MODEL_JOIN_GAP, j->front, i ? 1 : 3, j->back, i ? 3 : 1)->gap_mm = 10.0;
  j->chest->wearer_mm = 930.0;
  const EngineFinding *finding = found (j);
  g_assert_cmpfloat_with_epsilon (finding->difference, -10.0, 1e-6);
  g_autoptr (GPtrArray) remedies = engine_finding_remedies (j->review, finding);
  g_assert_cmpuint (remedies->len, >, 0);
  const EngineRemedy *first = g_ptr_array_index (remedies, 0);
  g_assert_cmpuint (first->parts->len, ==, 2);
  ModelPart part = g_array_index (first->parts, ModelPart, 0);
  g_assert_cmpint (part.kind, ==, MODEL_PART_JOIN);
  g_assert_cmpfloat_with_epsilon (((const ModelJoin *)part.body)->gap_mm, 15.0, 1e-6);
}

/* What was kept is what a fresh look finds, whatever was touched. */
static void
test_kept (Jerkin *j, gconstpointer data)
{
  fixture_finding (j->review, "girth", 0);
  ModelEdge *side = model_panel_edge (j->front, 1);
  ModelEdge *top = model_panel_edge (j->front, 2);
  for (int i = 0; i < 2; i++)
  {
    ModelNode *node = model_edge_node (i ? top : side, 0);
    node->at.x += 5.0;
    node->in = node->out = node->at;
  }
  /* Its handles of the neighbours lie on their corners still, so all edges stay straight. */
  engine_review_touch (j->review, MODEL_PART_PANEL, j->front->id);
  g_assert_cmpfloat_with_epsilon (fixture_finding (j->review, "girth", 0)->actual, 905.0, 1e-6);
  j->chest->wearer_mm = 800.0;
  engine_review_touch (j->review, MODEL_PART_MEASURE, j->chest->id);
  g_assert_cmpfloat_with_epsilon (fixture_finding (j->review, "girth", 0)->expected, 800.0, 1e-9);
  ModelMaterial *leather = fixture_material (j->doc, 4.0, 0.5);
  j->front->material_id = j->back->material_id = leather->id;
  engine_review_touch (j->review, MODEL_PART_PANEL, j->front->id);
  engine_review_touch (j->review, MODEL_PART_PANEL, j->back->id);
  engine_review_findings (j->review);
  leather->thickness_mm = 8.0;
  engine_review_touch (j->review, MODEL_PART_MATERIAL, leather->id);
  g_assert_cmpfloat_with_epsilon (fixture_finding (j->review, "girth", 0)->expected, 800.0 + 8.0 * PI, 1e-6);
  ModelJoin *join = fixture_join (j->doc, MODEL_JOIN_GAP, j->front, 3, j->back, 1);
  join->gap_mm = 12.0;
  engine_review_touch (j->review, MODEL_PART_JOIN, join->id);
  g_assert_cmpfloat_with_epsilon (fixture_finding (j->review, "girth", 0)->actual, 917.0, 1e-6);
  ModelPart gone = model_document_take (j->doc, MODEL_PART_LINE, j->line->id, NULL);
  engine_review_touch (j->review, MODEL_PART_LINE, model_part_id (gone));
  g_assert_null (fixture_finding (j->review, "girth", 0));
  model_part_clear (&gone);
}

static void
test_odd (Jerkin *j, gconstpointer data)
{
  j->line->measure_id = 0;
  engine_review_touch_all (j->review);
  g_assert_null (fixture_finding (j->review, "girth", 0));
  j->line->measure_id = j->chest->id;
  ModelSpan lost = { 999999, 1, 2 };
  g_array_append_val (j->line->spans, lost);
  g_assert_cmpfloat_with_epsilon (found (j)->actual, 900.0, 1e-6);
  /* A line that leaves the panel counts what lies inside. */
  GeomPath square;
  geom_path_init (&square);
  geom_path_append_line (&square, geom_point (0, 0), geom_point (10, 0));
  geom_path_append_line (&square, geom_point (10, 0), geom_point (10, 10));
  geom_path_append_line (&square, geom_point (10, 10), geom_point (0, 10));
  geom_path_append_line (&square, geom_point (0, 10), geom_point (0, 0));
  square.closed = true;
  g_assert_cmpfloat_with_epsilon (engine_inside_length (&square, geom_point (-5, 5), geom_point (25, 5)),
                                  10.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (engine_inside_length (&square, geom_point (0, 0), geom_point (10, 0)), 10.0,
                                  1e-9);
  g_assert_cmpfloat (engine_inside_length (&square, geom_point (3, 3), geom_point (3, 3)), ==, 0.0);
  g_assert_cmpfloat (engine_inside_length (&square, geom_point (NAN, 3), geom_point (3, 3)), ==, 0.0);
  geom_path_clear (&square);
}

static void
test_words (Jerkin *j, gconstpointer data)
{
  j->chest->wearer_mm = 912.0;
  j->line->between_mm = 8.0;
  const EngineFinding *finding = found (j);
  g_autofree char *text = engine_finding_text (j->review, finding),
                  *detail = engine_finding_detail (j->review, finding);
  g_assert_nonnull (strstr (text, "Bust line"));
  g_assert_nonnull (strstr (text, "20.0"));
  g_assert_nonnull (strstr (text, "too short"));
  g_assert_nonnull (strstr (detail, "900.0"));
  g_assert_nonnull (strstr (detail, "920.0"));
  g_auto (GStrv) where = engine_finding_where (j->review, finding);
  g_assert_true (g_strv_contains ((const char *const *)where, "Bust line"));
}

#define ADD(path, test) g_test_add ("/engine/check-girth/" path, Jerkin, NULL, set_up, test, tear_down)

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  ADD ("sum", test_sum);
  ADD ("thickness", test_thickness);
  ADD ("dart", test_dart);
  ADD ("gaps", test_gaps);
  ADD ("halves", test_halves);
  ADD ("remedies", test_remedies);
  ADD ("gap-remedy", test_gap_remedy);
  ADD ("kept", test_kept);
  ADD ("odd", test_odd);
  ADD ("words", test_words);
  return g_test_run ();
}
