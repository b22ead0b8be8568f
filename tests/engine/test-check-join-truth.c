#include "engine/remedy.h"
#include "fixture.h"

/* Front and Side side by side, 100 high; the side's hem falls away by DROP_DEG from its corner, so the two
 * inner angles are 90 and 90 + DROP_DEG: a dent of DROP_DEG, by construction. */
static ModelDocument *
two_hems (double drop_deg, ModelPanel **front, ModelPanel **side, ModelJoin **join)
{
  ModelDocument *doc = model_document_new ();
  double drop = 60.0 * tan (drop_deg * G_PI / 180.0);
  GeomPoint corners[] = { { 200, 0 }, { 260, -drop }, { 260, 100 }, { 200, 100 } };
  *front = fixture_rectangle (doc, "Front", 0, 0, 60, 100);
  *side = fixture_polygon (doc, "Side", corners, 4);
  *join = fixture_join (doc, MODEL_JOIN_FLUSH, *front, 1, *side, 3);
  return doc;
}

typedef struct Row
{
  double drop_deg;
  bool told, holds;
} Row;

static const Row rows[] = {
  { 0, true, true },     { 4.9, true, true }, { 5.1, true, false },   { -5.1, true, false },
  { 29.9, true, false }, { 31, false, true }, { -29.9, true, false }, { -31, false, true },
};

static void
test_angles (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    ModelPanel *front, *side;
    ModelJoin *join;
    g_autoptr (ModelDocument) doc = two_hems (rows[i].drop_deg, &front, &side, &join);
    g_autoptr (EngineReview) review = engine_review_new (doc);
    guint count = 0;
    for (guint k = 0; fixture_finding (review, "join-truth", k); k++)
    {
      const EngineFinding *finding = fixture_finding (review, "join-truth", k);
      count++;
      fixture_near (finding->expected, 180.0, 0);
      if (fabs (finding->difference) > 0.001)
      {
        fixture_near (finding->difference, rows[i].drop_deg, 1e-9);
        g_assert_cmpint (finding->holds, ==, rows[i].holds);
        g_assert_cmpstr (finding->unit, ==, "deg");
      }
    }
    /* The upper ends run on level in every row. */
    g_assert_cmpuint (count, ==, rows[i].told ? 2 : 1);
  }
}

static void
test_words (void)
{
  ModelPanel *front, *side;
  ModelJoin *join;
  for (int sign = -1; sign <= 1; sign += 2)
  {
    g_autoptr (ModelDocument) doc = two_hems (sign * 12, &front, &side, &join);
    g_autoptr (EngineReview) review = engine_review_new (doc);
    g_autoptr (GPtrArray) open = engine_review_open_findings (review);
    g_assert_cmpuint (open->len, ==, 1);
    g_autofree char *text = engine_finding_text (review, g_ptr_array_index (open, 0));
    g_assert_cmpstr (text, ==,
                     sign > 0 ? "The edge a has a dent of 12.0° where Front and Side meet."
                              : "The edge a has a peak of 12.0° where Front and Side meet.");
  }
}

static guint
count_of (EngineReview *review, const ModelJoin *join)
{
  guint count = 0;
  const EngineFinding *finding;
  for (guint k = 0; (finding = fixture_finding (review, "join-truth", k)); k++)
    count += finding->join_id == join->id;
  return count;
}

/* Nothing is said where the edges go different ways: one is joined on, or they go to two panels. */
static void
test_where_it_applies (void)
{
  ModelPanel *front, *side;
  ModelJoin *join;
  g_autoptr (ModelDocument) doc = two_hems (12, &front, &side, &join);
  ModelPanel *plate = fixture_rectangle (doc, "Plate", 400, 0, 60, 30),
             *other = fixture_rectangle (doc, "Other", 500, 0, 60 / cos (12 * G_PI / 180), 30);
  ModelJoin *hem = fixture_join (doc, MODEL_JOIN_FLUSH, front, 0, plate, 2);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_assert_cmpuint (count_of (review, join), ==, 1); /* the upper end alone */
  /* Lying over, the hem is seen; under, it is not. */
  hem->kind = MODEL_JOIN_LAPPED;
  engine_review_touch (review, MODEL_PART_JOIN, hem->id);
  g_assert_cmpuint (count_of (review, join), ==, 2);
  hem->b_over = true;
  engine_review_touch (review, MODEL_PART_JOIN, hem->id);
  g_assert_cmpuint (count_of (review, join), ==, 1);
  /* Both go on, to two panels; then to one. */
  ModelJoin *second = fixture_join (doc, MODEL_JOIN_FLUSH, side, 0, other, 2);
  engine_review_touch (review, MODEL_PART_JOIN, second->id);
  g_assert_cmpuint (count_of (review, join), ==, 1);
  second->b.panel_id = plate->id;
  g_array_index (second->b.edges, guint, 0) = model_panel_edge (plate, 1)->id;
  engine_review_touch (review, MODEL_PART_JOIN, second->id);
  g_assert_cmpuint (count_of (review, join), ==, 2);
  /* An open gap has no corner. */
  join->kind = MODEL_JOIN_GAP;
  engine_review_touch (review, MODEL_PART_JOIN, join->id);
  g_assert_cmpuint (count_of (review, join), ==, 0);
}

static void
test_remedies (void)
{
  ModelPanel *front, *side;
  ModelJoin *join;
  g_autoptr (ModelDocument) doc = two_hems (12, &front, &side, &join);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (GPtrArray) open = engine_review_open_findings (review);
  g_autoptr (GPtrArray) remedies = engine_finding_remedies (review, g_ptr_array_index (open, 0));
  g_assert_cmpuint (remedies->len, ==, 3);
  g_assert_cmpstr (((EngineRemedy *)g_ptr_array_index (remedies, 0))->text, ==,
                   "True Front and Side, together by 12.0°");
  for (guint i = 0; i < remedies->len; i++)
  {
    g_autoptr (ModelDocument) after = engine_remedy_try (doc, g_ptr_array_index (remedies, i));
    g_autoptr (EngineReview) trial = engine_review_new (after);
    g_assert_true (engine_review_holds (trial));
    for (guint k = 0; k < 2; k++)
      fixture_near (fixture_finding (trial, "join-truth", k)->difference, 0, 1e-9);
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/check-join-truth/angles", test_angles);
  g_test_add_func ("/engine/check-join-truth/words", test_words);
  g_test_add_func ("/engine/check-join-truth/where-it-applies", test_where_it_applies);
  g_test_add_func ("/engine/check-join-truth/remedies", test_remedies);
  return g_test_run ();
}
