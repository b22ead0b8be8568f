#include "engine/remedy.h"
#include "fixture.h"

static guint
mark (ModelDocument *doc, ModelPanel *panel, guint edge, double at)
{
  ModelMark one = { model_document_take_id (doc), model_panel_edge (panel, edge)->id, at, 1 };
  g_array_append_val (panel->marks, one);
  return one.id;
}

/* Two edges of 100 and 100 + EASE; run a upward from its start, run b of the neighbour downward, so its mark
 * counts from the far end.  Expected, by proportion: along a times (100 + ease) / 100. */
typedef struct Row
{
  double a_mm, b_from_far_end_mm, ease;
  double expected, difference;
  bool holds;
  const char *text;
} Row;

static const Row rows[] = {
  { 40, 40, 0, 40, 0, true, "The marks on Front and Side meet." },
  { 40, 40.9, 0, 40, 0.9, true, "The marks on Front and Side meet." },
  { 40, 43, 0, 40, 3, false, "A mark on Side lies 3.0\u2009mm beyond its partner on Front." },
  { 40, 35.5, 0, 40, -4.5, false, "A mark on Side lies 4.5\u2009mm short of its partner on Front." },
  { 50, 55, 10, 55, 0, true, "The marks on Front and Side meet." },
  { 50, 50, 10, 55, -5, false, "A mark on Side lies 5.0\u2009mm short of its partner on Front." },
  { 0, 0, 10, 0, 0, true, "The marks on Front and Side meet." },
  { 100, 110, 10, 110, 0, true, "The marks on Front and Side meet." },
};

static void
test_rows (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    const Row *row = &rows[i];
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 50, 100);
    ModelPanel *side = fixture_rectangle (doc, "Side", 100, 0, 50, 100 + row->ease);
    ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, front, 1, side, 3);
    join->ease_mm = row->ease;
    ModelMatch match
      = { mark (doc, front, 1, row->a_mm), mark (doc, side, 3, 100 + row->ease - row->b_from_far_end_mm) };
    g_array_append_val (join->matches, match);
    g_autoptr (EngineReview) review = engine_review_new (doc);
    const EngineFinding *finding = fixture_finding (review, "join-drift", 0);
    g_autofree char *text = engine_finding_text (review, finding);
    fixture_near (finding->expected, row->expected, 1e-9);
    fixture_near (finding->difference, row->difference, 1e-9);
    g_assert_cmpint (finding->holds, ==, row->holds);
    g_assert_cmpint (finding->has_at, ==, !row->holds);
    g_assert_cmpstr (text, ==, row->text);
    g_autoptr (GPtrArray) remedies = engine_finding_remedies (review, finding);
    g_assert_cmpuint (remedies->len, ==, row->holds ? 0 : 3);
    for (guint k = 0; k < remedies->len; k++)
    {
      g_autoptr (ModelDocument) after = engine_remedy_try (doc, g_ptr_array_index (remedies, k));
      g_autoptr (EngineReview) trial = engine_review_new (after);
      fixture_near (fixture_finding (trial, "join-drift", 0)->difference, 0, 1e-9);
    }
  }
}

/* No marks: the check does not apply.  A mark that is gone: it fails, whatever the lengths. */
static void
test_without_and_lost (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 50, 100),
             *side = fixture_rectangle (doc, "Side", 100, 0, 50, 100);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, front, 1, side, 3);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_assert_null (fixture_finding (review, "join-drift", 0));
  ModelMatch match = { mark (doc, front, 1, 40), mark (doc, side, 0, 20) };
  g_array_append_val (join->matches, match);
  engine_review_touch_all (review);
  const EngineFinding *finding = fixture_finding (review, "join-drift", 0);
  g_assert_false (finding->holds);
  g_assert_true (isnan (finding->actual));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/check-join-drift/rows", test_rows);
  g_test_add_func ("/engine/check-join-drift/without-and-lost", test_without_and_lost);
  return g_test_run ();
}
