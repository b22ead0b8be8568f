#include "engine/remedy.h"

#include "fixture.h"

/* Front 100, side 106; the hem 106 goes to the side's other edge, so whoever shortens the side breaks
 * nothing, whoever shortens the hem does. */
static ModelDocument *
two_joins (ModelJoin **first, ModelJoin **second, ModelPanel **side)
{
  ModelDocument *doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 50, 100),
             *hem = fixture_rectangle (doc, "Hem", 200, 0, 50, 106);
  *side = fixture_rectangle (doc, "Side", 100, 0, 50, 106);
  *first = fixture_join (doc, MODEL_JOIN_FLUSH, front, 1, *side, 3);
  *second = fixture_join (doc, MODEL_JOIN_FLUSH, *side, 1, hem, 3);
  return doc;
}

static EngineRemedy *
with_ease (const ModelJoin *join, double ease)
{
  ModelJoin *changed = model_join_copy (join);
  changed->ease_mm = ease;
  EngineRemedy *remedy = engine_remedy_new (g_strdup ("Ease in"), NULL);
  engine_remedy_add (remedy, MODEL_PART_JOIN, changed);
  return remedy;
}

static void
test_settles (void)
{
  ModelJoin *first, *second;
  ModelPanel *side;
  g_autoptr (ModelDocument) doc = two_joins (&first, &second, &side);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const EngineFinding *finding = fixture_finding (review, "join-length", 0);
  g_assert_false (finding->holds);
  g_autoptr (GPtrArray) out = g_ptr_array_new_with_free_func ((GDestroyNotify)engine_remedy_free);
  g_assert_true (engine_remedy_offer (review, finding, out, with_ease (first, 6)));
  /* Not enough; the wrong way; nothing at all. */
  g_assert_false (engine_remedy_offer (review, finding, out, with_ease (first, 2)));
  g_assert_false (engine_remedy_offer (review, finding, out, with_ease (first, -6)));
  g_assert_false (engine_remedy_offer (review, finding, out, NULL));
  g_assert_cmpuint (out->len, ==, 1);
  /* Settles its own, breaks the neighbour. */
  EngineRemedy *breaking = with_ease (first, 6);
  ModelJoin *other = model_join_copy (second);
  other->ease_mm = 40;
  engine_remedy_add (breaking, MODEL_PART_JOIN, other);
  g_assert_false (engine_remedy_offer (review, finding, out, breaking));
  /* The document is as it was. */
  fixture_near (first->ease_mm, 0, 0);
  g_assert_false (fixture_finding (review, "join-length", 0)->holds);
}

/* What failed before may go on failing: a remedy need not settle everything. */
static void
test_other_faults_may_stay (void)
{
  ModelJoin *first, *second;
  ModelPanel *side;
  g_autoptr (ModelDocument) doc = two_joins (&first, &second, &side);
  second->ease_mm = 30;
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (GPtrArray) out = g_ptr_array_new_with_free_func ((GDestroyNotify)engine_remedy_free);
  g_assert_true (
    engine_remedy_offer (review, fixture_finding (review, "join-length", 0), out, with_ease (first, 6)));
}

/* Taking a remedy replaces parts in place and adds none. */
static void
test_try (void)
{
  ModelJoin *first, *second;
  ModelPanel *side;
  g_autoptr (ModelDocument) doc = two_joins (&first, &second, &side);
  EngineRemedy *remedy = with_ease (first, 6);
  g_autoptr (ModelDocument) after = engine_remedy_try (doc, remedy);
  g_assert_cmpuint (after->joins->len, ==, doc->joins->len);
  g_assert_cmpuint (((ModelJoin *)g_ptr_array_index (after->joins, 0))->id, ==, first->id);
  fixture_near (model_document_join (after, first->id)->ease_mm, 6, 0);
  fixture_near (model_document_join (doc, first->id)->ease_mm, 0, 0);
  engine_remedy_free (remedy);
  engine_remedy_free (NULL);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/remedy/settles", test_settles);
  g_test_add_func ("/engine/remedy/other-faults-may-stay", test_other_faults_may_stay);
  g_test_add_func ("/engine/remedy/try", test_try);
  return g_test_run ();
}
