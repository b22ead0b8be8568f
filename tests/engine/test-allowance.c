#include "fixture.h"

/* Two rectangles joined at edge b of the first and edge d of the second. */
typedef struct Row
{
  const char *name;
  ModelJoinKind kind;
  bool b_over;
  double first_mm, second_mm;
} Row;

/* Flush edges meet: nothing.  A lap belongs on the piece that goes under alone; a stitched seam takes its
 * allowance on both.  Common practice, no source. */
static const Row rows[] = {
  { "flush", MODEL_JOIN_FLUSH, false, 0, 0 },       { "gap", MODEL_JOIN_GAP, false, 0, 0 },
  { "a over b", MODEL_JOIN_LAPPED, false, 0, 10 },  { "b over a", MODEL_JOIN_LAPPED, true, 10, 0 },
  { "stitched", MODEL_JOIN_STITCHED, false, 6, 6 },
};

static void
test_kinds (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_test_message ("%s", rows[i].name);
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *first = fixture_rectangle (doc, "Front", 0, 0, 100, 50);
    ModelPanel *second = fixture_rectangle (doc, "Side", 200, 0, 100, 50);
    ModelJoin *join = fixture_join (doc, rows[i].kind, first, 1, second, 3);
    join->b_over = rows[i].b_over;
    join->lap_mm = 10;
    join->allowance_mm = 6;
    fixture_near (engine_allowance_mm (doc, first, model_panel_edge (first, 1), MODEL_SIDE_CENTRE),
                  rows[i].first_mm, 0);
    fixture_near (engine_allowance_mm (doc, second, model_panel_edge (second, 3), MODEL_SIDE_CENTRE),
                  rows[i].second_mm, 0);
    fixture_near (engine_allowance_mm (doc, first, model_panel_edge (first, 0), MODEL_SIDE_CENTRE), 0, 0);
  }
}

/* An edge in two joins gets the greater; what is set by hand beats both. */
static void
test_greatest_and_override (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *first = fixture_rectangle (doc, "Front", 0, 0, 100, 50),
             *second = fixture_rectangle (doc, "Side", 200, 0, 100, 50);
  fixture_join (doc, MODEL_JOIN_STITCHED, first, 1, second, 3)->allowance_mm = 6;
  fixture_join (doc, MODEL_JOIN_STITCHED, first, 1, second, 2)->allowance_mm = 8;
  fixture_near (engine_allowance_mm (doc, first, model_panel_edge (first, 1), MODEL_SIDE_CENTRE), 8, 0);
  fixture_allow (first, 1, 2.5);
  fixture_near (engine_allowance_mm (doc, first, model_panel_edge (first, 1), MODEL_SIDE_CENTRE), 2.5, 0);
}

typedef struct SideRow
{
  const char *name;
  ModelHalves second;
  ModelSide second_side, only;
  bool twin;
  int places;
  ModelSide side[2], side_a[2], side_b[2];
  double left_mm, right_mm; /* of the first panel, a pair drawn on the left, which goes under */
} SideRow;

/* To keep the rows readable. */
#define C MODEL_SIDE_CENTRE
#define L MODEL_SIDE_LEFT
#define R MODEL_SIDE_RIGHT

static const SideRow side_rows[] = {
  { "pair to pair", MODEL_HALVES_PAIR, L, C, false, 2, { L, R }, { L, R }, { L, R }, 10, 10 },
  { "left alone", MODEL_HALVES_PAIR, L, L, false, 1, { L }, { L }, { L }, 10, 0 },
  { "right alone", MODEL_HALVES_PAIR, L, R, false, 1, { R }, { R }, { R }, 0, 10 },
  { "across", MODEL_HALVES_PAIR, L, C, true, 2, { L, R }, { L, R }, { R, L }, 10, 10 },
  { "across, a on the left alone", MODEL_HALVES_PAIR, L, L, true, 1, { L }, { L }, { R }, 10, 0 },
  { "to a single of the right", MODEL_HALVES_SINGLE, R, C, false, 1, { R }, { R }, { R }, 0, 10 },
  { "to a single centre", MODEL_HALVES_SINGLE, C, C, false, 1, { L }, { L }, { C }, 10, 0 },
  { "to a single centre, right alone", MODEL_HALVES_SINGLE, C, R, false, 1, { R }, { R }, { C }, 0, 10 },
};

static void
test_sides (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (side_rows); i++)
  {
    const SideRow *row = &side_rows[i];
    g_test_message ("%s", row->name);
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *first = fixture_rectangle (doc, "Side", 10, 0, 100, 50),
               *second = fixture_rectangle (doc, "Back", 200, 0, 100, 50);
    fixture_mirror (first, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
    fixture_mirror (second, row->second, row->second_side);
    ModelJoin *join = fixture_join (doc, MODEL_JOIN_LAPPED, first, 1, second, 3);
    join->b_over = true;
    join->lap_mm = 10;
    join->only = row->only;
    join->b.twin = row->twin;
    EngineJoinPlace places[2];
    g_assert_cmpint (engine_join_places (doc, join, places), ==, row->places);
    for (int k = 0; k < row->places; k++)
    {
      g_assert_cmpint (places[k].side, ==, row->side[k]);
      g_assert_cmpint (places[k].side_a, ==, row->side_a[k]);
      g_assert_cmpint (places[k].side_b, ==, row->side_b[k]);
    }
    fixture_near (engine_allowance_mm (doc, first, model_panel_edge (first, 1), MODEL_SIDE_LEFT),
                  row->left_mm, 0);
    fixture_near (engine_allowance_mm (doc, first, model_panel_edge (first, 1), MODEL_SIDE_RIGHT),
                  row->right_mm, 0);
  }
}

/* A seam over the middle, lapped: the twin goes under, so the lap is on that side alone. */
static void
test_over_the_middle (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *back = fixture_rectangle (doc, "Back", 10, 0, 100, 50);
  fixture_mirror (back, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_LAPPED, back, 3, back, 3);
  join->lap_mm = 12;
  EngineJoinPlace places[2];
  g_assert_cmpint (engine_join_places (doc, join, places), ==, 1);
  g_assert_cmpint (places[0].side, ==, MODEL_SIDE_CENTRE);
  g_assert_cmpint (places[0].side_a, ==, MODEL_SIDE_LEFT);
  g_assert_cmpint (places[0].side_b, ==, MODEL_SIDE_RIGHT);
  fixture_near (engine_allowance_mm (doc, back, model_panel_edge (back, 3), MODEL_SIDE_LEFT), 0, 0);
  fixture_near (engine_allowance_mm (doc, back, model_panel_edge (back, 3), MODEL_SIDE_RIGHT), 12, 0);
}

/* All edges at once and one by one must say the same. */
static void
test_all_at_once (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *first = fixture_rectangle (doc, "Front", 10, 0, 100, 50),
             *second = fixture_rectangle (doc, "Side", 200, 0, 100, 50);
  fixture_mirror (first, MODEL_HALVES_PAIR, MODEL_SIDE_RIGHT);
  fixture_join (doc, MODEL_JOIN_STITCHED, first, 1, second, 3)->allowance_mm = 7;
  fixture_allow (first, 2, 3);
  for (int side = MODEL_SIDE_LEFT; side <= MODEL_SIDE_RIGHT; side++)
  {
    double all[4];
    engine_panel_allowances (doc, first, NULL, side, all);
    for (guint i = 0; i < 4; i++)
      fixture_near (all[i], engine_allowance_mm (doc, first, model_panel_edge (first, i), side), 0);
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/allowance/kinds", test_kinds);
  g_test_add_func ("/engine/allowance/greatest-and-override", test_greatest_and_override);
  g_test_add_func ("/engine/allowance/sides", test_sides);
  g_test_add_func ("/engine/allowance/over-the-middle", test_over_the_middle);
  g_test_add_func ("/engine/allowance/all-at-once", test_all_at_once);
  return g_test_run ();
}
