/* Straps over a gap: counted, placed and cut as the arithmetic beside each row says. */
#include "fixture.h"

#include "engine/strap.h"

/* Rectangles 90 high; the mirrored pair has its gap on both sides. */
static ModelJoin *
gap_of (ModelDocument *doc, int straps, double width_mm, double gap_mm, double overlap_mm, bool pair)
{
  ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 60, 90),
             *back = fixture_rectangle (doc, "Back", 100, 0, 60, 90);
  if (pair)
  {
    fixture_mirror (front, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
    fixture_mirror (back, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  }
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_GAP, front, 1, back, 3);
  join->straps = straps;
  join->strap_width_mm = width_mm;
  join->gap_mm = gap_mm;
  join->strap_overlap_mm = overlap_mm;
  return join;
}

typedef struct Row
{
  int straps;
  double width_mm, gap_mm, overlap_mm;
  bool pair;
  double length_mm;         /* gap + overlap */
  guint total;              /* on both sides of a pair */
  bool fit;                 /* straps * width <= 90 */
  double first_mm, last_mm; /* 90 (i + 1/2) / straps */
} Row;

static const Row rows[] = {
  { 3, 20, 24, 60, false, 84, 3, true, 15, 75 },  { 3, 20, 24, 60, true, 84, 6, true, 15, 75 },
  { 1, 25, 0, 120, false, 120, 1, true, 45, 45 }, { 5, 18, 40, 0, false, 40, 5, true, 9, 81 },
  { 5, 18.5, 40, 0, false, 40, 5, false, 9, 81 }, { 100, 20, 40, 10, true, 50, 200, false, 0.45, 89.55 },
};

static void
test_rows (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    const Row *row = &rows[i];
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelJoin *join = gap_of (doc, row->straps, row->width_mm, row->gap_mm, row->overlap_mm, row->pair);
    g_autoptr (EngineReview) review = engine_review_new (doc);
    g_assert_cmpuint (engine_strap_count (join), ==, row->straps);
    g_assert_cmpuint (engine_strap_total (review, join), ==, row->total);
    fixture_near (engine_strap_length_mm (join), row->length_mm, 1e-12);
    fixture_near (engine_strap_along_mm (join, 0, 90), row->first_mm, 1e-12);
    fixture_near (engine_strap_along_mm (join, (guint)row->straps - 1, 90), row->last_mm, 1e-12);
    g_assert_true (engine_straps_fit (review, join) == row->fit);
  }
}

static void
test_words (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelJoin *join = gap_of (doc, 3, 20, 40, 120, true);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autofree char *words = engine_words_straps (review, join);
  g_assert_cmpstr (words, ==, "6 straps, 20.0\u2009mm × 160.0\u2009mm");
}

/* Only a gap has straps, whatever figures an other kind of join carries. */
static void
test_only_gaps (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelJoin *join = gap_of (doc, 3, 20, 40, 120, false);
  g_autoptr (GArray) one = engine_strapped_joins (doc);
  g_assert_cmpuint (one->len, ==, 1);
  g_assert_cmpuint (g_array_index (one, guint, 0), ==, join->id);
  join->kind = MODEL_JOIN_LAPPED;
  g_autoptr (GArray) none = engine_strapped_joins (doc);
  g_assert_cmpuint (none->len, ==, 0);
  g_assert_cmpuint (engine_strap_count (join), ==, 0);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_assert_true (engine_straps_fit (review, join));
  fixture_near (engine_strap_room_mm (join, 90), 0, 0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_set_nonfatal_assertions ();
  g_test_add_func ("/engine/strap/rows", test_rows);
  g_test_add_func ("/engine/strap/words", test_words);
  g_test_add_func ("/engine/strap/only-gaps", test_only_gaps);
  return g_test_run ();
}
