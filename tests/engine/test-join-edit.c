#include "fixture.h"

static void
test_run_from_edges (void)
{
  static const struct
  {
    guint pick[5], count;
    bool made;
    guint run[4];
  } rows[] = { { { 1 }, 1, true, { 1 } },
               { { 2, 1 }, 2, true, { 1, 2 } },
               { { 0, 3 }, 2, true, { 3, 0 } },
               { { 0, 2 }, 2, false, { 0 } },
               { { 3, 0, 1 }, 3, true, { 3, 0, 1 } },
               { { 2, 3, 0, 1 }, 4, true, { 0, 1, 2, 3 } },
               { { 1, 9 }, 2, false, { 0 } },
               { { 0 }, 0, false, { 0 } } };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *panel = fixture_rectangle (doc, "Front", 0, 0, 50, 100);
    guint ids[5] = { 0 };
    for (guint k = 0; k < rows[i].count; k++)
      ids[k] = rows[i].pick[k] < 4 ? model_panel_edge (panel, rows[i].pick[k])->id : 4711;
    ModelRun run;
    g_assert_cmpint (engine_run_from_edges (NULL, panel, ids, rows[i].count, &run), ==, rows[i].made);
    if (!rows[i].made)
      continue;
    g_assert_cmpuint (run.panel_id, ==, panel->id);
    g_assert_cmpuint (run.edges->len, ==, rows[i].count);
    for (guint k = 0; k < rows[i].count; k++)
      g_assert_cmpuint (g_array_index (run.edges, guint, k), ==,
                        model_panel_edge (panel, rows[i].run[k])->id);
    g_array_unref (run.edges);
  }
}

/* Two panels side by side: the seam between them runs up on the left one and down on the right one, so the
 * runs start together, at the bottom. */
static void
test_start_together (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 50, 100),
             *side = fixture_rectangle (doc, "Side", 50, 0, 50, 100);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, front, 1, side, 3);
  g_assert_cmpstr (join->letter, ==, "A");
  g_assert_cmpint (join->a.reversed, !=, join->b.reversed);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  GeomPoint a, b;
  for (int end = 0; end < 2; end++)
  {
    g_assert_true (engine_review_run_point (review, &join->a, MODEL_SIDE_CENTRE, end, &a));
    g_assert_true (engine_review_run_point (review, &join->b, MODEL_SIDE_CENTRE, end, &b));
    fixture_near (geom_distance (a, b), 0, 1e-9);
  }
  ModelJoin *next = fixture_join (doc, MODEL_JOIN_FLUSH, front, 0, side, 0);
  g_assert_cmpstr (next->letter, ==, "B");
}

/* A seam over the middle meets its own mirror image: both runs the same way, and b is the twin's. */
static void
test_over_the_middle (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *back = fixture_rectangle (doc, "Back", 0, 0, 50, 100);
  fixture_mirror (back, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_STITCHED, back, 3, back, 3);
  g_assert_cmpint (join->a.reversed, ==, join->b.reversed);
  g_assert_true (join->b.twin);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  GeomPoint a, b;
  g_assert_true (engine_review_run_point (review, &join->a, MODEL_SIDE_LEFT, false, &a));
  g_assert_true (engine_review_run_point (review, &join->b, MODEL_SIDE_RIGHT, false, &b));
  fixture_near (geom_distance (a, b), 0, 1e-9);
}

static void
test_joins_of_edge (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 50, 100),
             *side = fixture_rectangle (doc, "Side", 50, 0, 50, 100);
  ModelJoin *first = fixture_join (doc, MODEL_JOIN_FLUSH, front, 1, side, 3),
            *second = fixture_join (doc, MODEL_JOIN_FLUSH, side, 3, front, 2);
  g_autoptr (GArray) two = engine_joins_of_edge (doc, side->id, model_panel_edge (side, 3)->id);
  g_autoptr (GArray) one = engine_joins_of_edge (doc, front->id, model_panel_edge (front, 2)->id);
  g_autoptr (GArray) none = engine_joins_of_edge (doc, front->id, model_panel_edge (front, 0)->id);
  g_assert_cmpuint (two->len, ==, 2);
  g_assert_cmpuint (g_array_index (two, guint, 0), ==, first->id);
  g_assert_cmpuint (g_array_index (two, guint, 1), ==, second->id);
  g_assert_cmpuint (one->len, ==, 1);
  g_assert_cmpuint (none->len, ==, 0);
}

/* A pair of marks at the same share of both runs meets, wherever the runs lie and however they turn. */
static void
test_add_match (void)
{
  for (double fraction = 0; fraction <= 1.0; fraction += 0.125)
    for (int halves = MODEL_HALVES_SINGLE; halves <= MODEL_HALVES_PAIR; halves += 2)
    {
      g_autoptr (ModelDocument) doc = model_document_new ();
      ModelPanel *front = fixture_rectangle (doc, "Front", 10, 0, 50, 100),
                 *side = fixture_rectangle (doc, "Side", 60, 0, 50, 100);
      fixture_mirror (front, halves, MODEL_SIDE_LEFT);
      fixture_mirror (side, halves, MODEL_SIDE_LEFT);
      ModelRun a = fixture_run (front, 1, 2), b = fixture_run (side, 2, 2);
      ModelJoin *join = engine_join_new (doc, MODEL_JOIN_FLUSH, &a, &b);
      join->id = model_document_take_id (doc);
      model_document_put (doc, (ModelPart) { MODEL_PART_JOIN, join }, -1);
      g_autoptr (GArray) parts = engine_join_add_match (doc, join, fraction, 2);
      g_assert_cmpuint (parts->len, ==, 3);
      guint id = join->id;
      for (guint i = 0; i < parts->len; i++)
        model_document_put (doc, model_part_copy (g_array_index (parts, ModelPart, i)), -1);
      g_assert_cmpuint (model_document_join (doc, id)->matches->len, ==, 1);
      g_autoptr (EngineReview) review = engine_review_new (doc);
      const EngineFinding *finding = fixture_finding (review, "join-drift", 0);
      g_assert_true (finding->holds);
      fixture_near (finding->actual, 150 * fraction, 1e-6);
      fixture_near (finding->difference, 0, 1e-6);
      g_array_unref (a.edges);
      g_array_unref (b.edges);
    }
}

static void
test_add_match_nowhere (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 10, 0, 50, 100),
             *side = fixture_rectangle (doc, "Side", 60, 0, 50, 100);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, front, 1, side, 3);
  g_autoptr (GArray) not_a_number = engine_join_add_match (doc, join, NAN, 1);
  g_assert_cmpuint (not_a_number->len, ==, 0);
  g_array_index (join->b.edges, guint, 0) = 4711;
  g_autoptr (GArray) gone = engine_join_add_match (doc, join, 0.5, 1);
  g_assert_cmpuint (gone->len, ==, 0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/join-edit/run-from-edges", test_run_from_edges);
  g_test_add_func ("/engine/join-edit/start-together", test_start_together);
  g_test_add_func ("/engine/join-edit/over-the-middle", test_over_the_middle);
  g_test_add_func ("/engine/join-edit/joins-of-edge", test_joins_of_edge);
  g_test_add_func ("/engine/join-edit/add-match", test_add_match);
  g_test_add_func ("/engine/join-edit/add-match-nowhere", test_add_match_nowhere);
  return g_test_run ();
}
