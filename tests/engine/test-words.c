#include "engine/words.h"

#include "fixture.h"

static void
test_length (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  g_autofree char *mm = engine_words_length (doc, 6.24);
  g_autofree char *minus = engine_words_length (doc, -6.24);
  doc->head->unit = MODEL_UNIT_CM;
  g_autofree char *cm = engine_words_length (doc, 62.4);
  /* U+2009 thin space, U+2212 minus: CLDR and common typesetting. */
  g_assert_cmpstr (mm, ==, "6.2\u2009mm");
  g_assert_cmpstr (minus, ==, "\u22126.2\u2009mm");
  g_assert_cmpstr (cm, ==, "6.24\u2009cm");
}

static void
test_joins (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 10, 0, 50, 100),
             *side = fixture_rectangle (doc, "Side, front", 100, 0, 50, 100);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, front, 1, side, 3),
            *dart = fixture_join (doc, MODEL_JOIN_STITCHED, front, 0, front, 2);
  g_autofree char *plain = engine_words_join (doc, join), *within = engine_words_join (doc, dart);
  g_assert_cmpstr (plain, ==, "Front – Side, front");
  g_assert_cmpstr (within, ==, "Front: edge a – edge c");
  fixture_mirror (front, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  ModelJoin *middle = fixture_join (doc, MODEL_JOIN_FLUSH, front, 3, front, 3);
  g_autofree char *over = engine_words_join (doc, middle);
  g_assert_cmpstr (over, ==, "Front: edge d over the middle");
  g_free (join->name);
  join->name = g_strdup ("Princess seam");
  g_autofree char *named = engine_words_join (doc, join);
  g_assert_cmpstr (named, ==, "Princess seam");
}

static void
test_kinds (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 50, 100),
             *side = fixture_rectangle (doc, "Side", 100, 0, 50, 100);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, front, 1, side, 3);
  join->lap_mm = 10;
  join->allowance_mm = 8;
  join->gap_mm = 12;
  static const struct
  {
    ModelJoinKind kind;
    bool b_over;
    const char *words;
  } rows[] = { { MODEL_JOIN_FLUSH, false, "flush" },
               { MODEL_JOIN_LAPPED, false, "lapped 10.0\u2009mm, Front over" },
               { MODEL_JOIN_LAPPED, true, "lapped 10.0\u2009mm, Side over" },
               { MODEL_JOIN_STITCHED, false, "stitched, allowance 8.0\u2009mm" },
               { MODEL_JOIN_GAP, false, "gap 12.0\u2009mm" } };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    join->kind = rows[i].kind;
    join->b_over = rows[i].b_over;
    g_autofree char *words = engine_words_join_kind (doc, join);
    g_assert_cmpstr (words, ==, rows[i].words);
  }
}

static void
test_runs (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 50, 100);
  static const char *wanted[] = { "edge a", "edge a and edge b", "edge a, edge b and edge 3" };
  g_free (model_panel_edge (front, 2)->name);
  model_panel_edge (front, 2)->name = g_strdup ("");
  for (guint n = 1; n <= 3; n++)
  {
    ModelRun run = fixture_run (front, 0, n);
    g_autofree char *words = engine_words_run (doc, &run);
    g_assert_cmpstr (words, ==, wanted[n - 1]);
    g_array_unref (run.edges);
  }
}

static void
test_quantity (void)
{
  static const struct
  {
    ModelHalves halves;
    int quantity;
    bool corrected;
    const char *words;
  } rows[] = { { MODEL_HALVES_SINGLE, 1, false, "cut 1" },
               { MODEL_HALVES_SINGLE, 3, false, "cut 3" },
               { MODEL_HALVES_PAIR, 1, false, "cut 1 + 1 mirrored" },
               { MODEL_HALVES_PAIR, 2, true, "cut 2 of each side: sides differ" },
               { MODEL_HALVES_FOLD, 1, false, "cut 1 on fold" },
               { MODEL_HALVES_FOLD, 1, true, "cut 1, opened: sides differ" } };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *panel = fixture_rectangle (doc, "Front", 0, 0, 50, 100);
    fixture_mirror (panel, rows[i].halves, MODEL_SIDE_LEFT);
    model_panel_edge (panel, 3)->fold = rows[i].halves == MODEL_HALVES_FOLD;
    panel->quantity = rows[i].quantity;
    if (rows[i].corrected)
      fixture_correct (panel, 1, 1, 0);
    g_autofree char *words = engine_words_quantity (panel);
    g_assert_cmpstr (words, ==, rows[i].words);
  }
}

static void
test_rest (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = fixture_rectangle (doc, "Front", 0, 0, 50, 100);
  g_autofree char *none = engine_words_material (doc, panel);
  g_assert_cmpstr (none, ==, "");
  ModelMaterial *leather = model_material_new ();
  leather->id = panel->material_id = model_document_take_id (doc);
  g_free (leather->name);
  leather->name = g_strdup ("leather");
  leather->thickness_mm = 3.5;
  model_document_put (doc, (ModelPart) { MODEL_PART_MATERIAL, leather }, -1);
  g_autofree char *material = engine_words_material (doc, panel);
  g_assert_cmpstr (material, ==, "leather 3.5\u2009mm");
  g_autofree char *all = engine_words_count (0), *one = engine_words_count (1),
                  *three = engine_words_count (3);
  g_assert_cmpstr (all, ==, "Everything agrees");
  g_assert_cmpstr (one, ==, "1 place does not agree yet");
  g_assert_cmpstr (three, ==, "3 places do not agree yet");
  g_assert_cmpstr (engine_words_side (MODEL_SIDE_LEFT), ==, "wearer’s left");
  g_assert_cmpstr (engine_words_side (MODEL_SIDE_CENTRE), ==, "");
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/words/length", test_length);
  g_test_add_func ("/engine/words/joins", test_joins);
  g_test_add_func ("/engine/words/kinds", test_kinds);
  g_test_add_func ("/engine/words/runs", test_runs);
  g_test_add_func ("/engine/words/quantity", test_quantity);
  g_test_add_func ("/engine/words/rest", test_rest);
  return g_test_run ();
}
