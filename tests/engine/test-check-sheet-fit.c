#include "fixture.h"

/* Half the field's shorter side is the widest overlap: (210 - 20) / 2 = 95.  A piece may be 6 m long either
 * way, twice a whole hide (common practice, no source, for the size of a hide). */
static const struct
{
  const char *paper;
  double overlap, w, h;
  bool paper_holds, piece_holds;
} rows[] = {
  { "a4", 10, 300, 500, true, true },       { "a4", 10, 5999, 5999, true, true },
  { "a4", 10, 6001, 10, true, false },      { "a4", 10, 10, 99999, true, false },
  { "a4", 95, 300, 500, true, true },       { "a4", 95.1, 300, 500, false, false },
  { "a4", -1, 300, 500, false, false },     { "a9", 10, 300, 500, false, false },
  { "130x130", 55, 5999, 300, true, true }, { "130x130", 55, 6001, 300, true, false },
};

static void
test_rows (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_autoptr (ModelDocument) doc = model_document_new ();
    g_free (doc->head->paper);
    doc->head->paper = g_strdup (rows[i].paper);
    doc->head->overlap_mm = rows[i].overlap;
    ModelPanel *panel = fixture_rectangle (doc, "Plate", 0, 0, rows[i].w, rows[i].h);
    g_autoptr (EngineReview) review = engine_review_new (doc);
    const EngineFinding *paper = fixture_finding (review, "sheet-fit", 0),
                        *piece = fixture_finding (review, "sheet-fit", 1);
    g_assert_cmpint (paper->holds, ==, rows[i].paper_holds);
    g_assert_cmpint (piece != NULL, ==, rows[i].paper_holds);
    if (piece)
    {
      g_assert_cmpuint (piece->panel_id, ==, panel->id);
      g_assert_cmpint (piece->holds, ==, rows[i].piece_holds);
    }
  }
}

static void
test_hidden_and_words (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = fixture_rectangle (doc, "Plate", 0, 0, 100, 100);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autofree char *fits = engine_finding_text (review, fixture_finding (review, "sheet-fit", 1));
  g_assert_cmpstr (fits, ==, "Plate fits on the sheets.");
  panel->hidden = true;
  engine_review_touch (review, MODEL_PART_PANEL, panel->id);
  g_assert_null (fixture_finding (review, "sheet-fit", 1));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/check-sheet-fit/rows", test_rows);
  g_test_add_func ("/engine/check-sheet-fit/hidden-and-words", test_hidden_and_words);
  return g_test_run ();
}
