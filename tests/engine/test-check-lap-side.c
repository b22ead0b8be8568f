#include "engine/remedy.h"
#include "fixture.h"

/* Front over side, lap 10: common practice, no source, puts 10 on the side and nothing on the front. NAN:
 * left to the join. */
typedef struct Row
{
  const char *name;
  double front_mm, side_mm;
  bool b_over;
  bool holds;
  double expected, actual;
  const char *text;
} Row;

static const Row rows[] = {
  { "as the join says", NAN, NAN, false, true, 10, 10,
    "Side goes under and carries the lap of 10.0\u2009mm." },
  { "turned over, as the join says", NAN, NAN, true, true, 10, 10,
    "Front goes under and carries the lap of 10.0\u2009mm." },
  { "by hand, right", 0, 10, false, true, 10, 10, "Side goes under and carries the lap of 10.0\u2009mm." },
  { "forgotten", NAN, 0, false, false, 10, 0,
    "The lap of 10.0\u2009mm is missing on Side, which goes under Front." },
  { "on the over side", 10, 0, false, false, 10, 0,
    "The lap is on Front, which lies over; Side goes under and needs 10.0\u2009mm." },
  { "on both", 10, NAN, false, false, 0, 10,
    "Front lies over Side and carries 10.0\u2009mm; only what goes under needs a lap." },
  { "too narrow", NAN, 8, false, false, 10, 8,
    "The lap on Side is 8.0\u2009mm wide instead of 10.0\u2009mm." },
  { "too wide", NAN, 15, false, false, 10, 15,
    "The lap on Side is 15.0\u2009mm wide instead of 10.0\u2009mm." },
  { "turned over, forgotten", 0, NAN, true, false, 10, 0,
    "The lap of 10.0\u2009mm is missing on Front, which goes under Side." },
};

static void
test_rows (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    const Row *row = &rows[i];
    g_test_message ("%s", row->name);
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 50, 100),
               *side = fixture_rectangle (doc, "Side", 100, 0, 50, 100);
    ModelJoin *join = fixture_join (doc, MODEL_JOIN_LAPPED, front, 1, side, 3);
    join->lap_mm = 10;
    join->b_over = row->b_over;
    if (!isnan (row->front_mm))
      fixture_allow (front, 1, row->front_mm);
    if (!isnan (row->side_mm))
      fixture_allow (side, 3, row->side_mm);
    g_autoptr (EngineReview) review = engine_review_new (doc);
    const EngineFinding *finding = fixture_finding (review, "lap-side", 0);
    g_autofree char *text = engine_finding_text (review, finding);
    g_assert_cmpint (finding->holds, ==, row->holds);
    fixture_near (finding->expected, row->expected, 0);
    fixture_near (finding->actual, row->actual, 0);
    g_assert_cmpstr (text, ==, row->text);
    g_assert_null (fixture_finding (review, "lap-side", 1));
    g_autoptr (GPtrArray) remedies = engine_finding_remedies (review, finding);
    if (!row->holds)
      g_assert_cmpuint (remedies->len, >=, 1);
    for (guint k = 0; k < remedies->len; k++)
    {
      g_autoptr (ModelDocument) after = engine_remedy_try (doc, g_ptr_array_index (remedies, k));
      g_autoptr (EngineReview) trial = engine_review_new (after);
      g_assert_true (engine_review_holds (trial));
    }
  }
}

/* Of several edges in a run one may be wrong: it is named. */
static void
test_one_edge_of_a_run (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  GeomPoint bent[] = { { 0, 0 }, { 50, 0 }, { 60, 40 }, { 50, 100 }, { 0, 100 } };
  ModelPanel *front = fixture_polygon (doc, "Front", bent, 5),
             *side = fixture_rectangle (doc, "Side", 100, 0, 50, 102);
  ModelRun a = fixture_run (front, 1, 2), b = fixture_run (side, 3, 1);
  ModelJoin *join = engine_join_new (doc, MODEL_JOIN_LAPPED, &a, &b);
  join->id = model_document_take_id (doc);
  join->b_over = true;
  model_document_put (doc, (ModelPart) { MODEL_PART_JOIN, join }, -1);
  fixture_allow (front, 2, 4);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const EngineFinding *finding = fixture_finding (review, "lap-side", 0);
  g_assert_false (finding->holds);
  g_assert_cmpuint (finding->edge_id, ==, model_panel_edge (front, 2)->id);
  fixture_near (finding->actual, 4, 0);
  g_array_unref (a.edges);
  g_array_unref (b.edges);
}

/* Only lapped joins are asked; a pair is asked once a side. */
static void
test_which_joins (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 10, 0, 50, 100),
             *side = fixture_rectangle (doc, "Side", 100, 0, 50, 100);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_STITCHED, front, 1, side, 3);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_assert_null (fixture_finding (review, "lap-side", 0));
  join->kind = MODEL_JOIN_LAPPED;
  fixture_mirror (front, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  fixture_mirror (side, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  engine_review_touch_all (review);
  g_assert_cmpint (fixture_finding (review, "lap-side", 0)->side, ==, MODEL_SIDE_LEFT);
  g_assert_cmpint (fixture_finding (review, "lap-side", 1)->side, ==, MODEL_SIDE_RIGHT);
  g_assert_null (fixture_finding (review, "lap-side", 2));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/check-lap-side/rows", test_rows);
  g_test_add_func ("/engine/check-lap-side/one-edge-of-a-run", test_one_edge_of_a_run);
  g_test_add_func ("/engine/check-lap-side/which-joins", test_which_joins);
  return g_test_run ();
}
