#include "engine/sheet-plan.h"
#include "fixture.h"
#include "support/big-document.h"

/* ISO 216: A3 297 x 420, A4 210 x 297.  ASME Y14.1: A 8.5 x 11 in, B 11 x 17 in.  1 in = 25.4 mm. */
static const struct
{
  const char *text;
  bool usable;
  double width, height;
} papers[] = {
  { "a4", true, 210, 297 },
  { "A4", true, 210, 297 },
  { "a3", true, 297, 420 },
  { "letter", true, 215.9, 279.4 },
  { "tabloid", true, 279.4, 431.8 },
  { "300x400", true, 300, 400 },
  { "215.9x279.4", true, 215.9, 279.4 },
  { "130x130", true, 130, 130 },
  { "5080x5080", true, 5080, 5080 },
  { "129x300", false, 0, 0 },
  { "5081x300", false, 0, 0 },
  { "a5", false, 0, 0 },
  { "", false, 0, 0 },
  { "300", false, 0, 0 },
  { "300x", false, 0, 0 },
  { "x300", false, 0, 0 },
  { "-300x400", false, 0, 0 },
  { "300x400mm", false, 0, 0 },
  { "nanxnan", false, 0, 0 },
  { "infxinf", false, 0, 0 },
  { "1e3x1e3", true, 1000, 1000 },
  { "300,5x400", false, 0, 0 },
  { NULL, false, 0, 0 },
};

static void
test_papers (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (papers); i++)
  {
    EnginePaper paper = { 0, 0 };
    g_test_message ("%s", papers[i].text ? papers[i].text : "(none)");
    g_assert_cmpint (engine_paper_parse (papers[i].text, &paper), ==, papers[i].usable);
    fixture_near (paper.width_mm, papers[i].width, 1e-9);
    fixture_near (paper.height_mm, papers[i].height, 1e-9);
  }
}

/* How many tiles a rectangle W x H needs: ceil ((W - o) / (p - 2m - o)) across, likewise down; margin m 10.
 * UPRIGHT: worked by hand, lying as drawn.  A rectangle may lie the other way, and the fewer of the two must
 * be found. */
static const struct
{
  double w, h;
  const char *paper;
  double overlap;
  guint upright;
} tilings[] = {
  { 600, 800, "a4", 10, 12 },   { 600, 800, "letter", 10, 16 }, { 190, 277, "a4", 10, 1 },
  { 190.1, 277, "a4", 10, 2 },  { 370, 277, "a4", 10, 2 },      { 190, 277.1, "a4", 10, 2 },
  { 370.1, 277, "a4", 10, 3 },  { 50, 50, "a4", 10, 1 },        { 600, 600, "a4", 10, 12 },
  { 277, 190, "a4", 10, 2 },    { 190.1, 277.1, "a4", 10, 4 },  { 370, 544, "a4", 10, 4 },
  { 1000, 1400, "a3", 15, 16 },
};

static guint
by_formula (double w, double h, const EnginePaper *paper, double overlap)
{
  double across = ceil ((w - overlap) / (paper->width_mm - 20 - overlap) - 1e-9);
  double down = ceil ((h - overlap) / (paper->height_mm - 20 - overlap) - 1e-9);
  return (guint)(fmax (across, 1) * fmax (down, 1));
}

static void
test_tilings (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (tilings); i++)
  {
    EnginePaper paper;
    g_autoptr (ModelDocument) doc = model_document_new ();
    fixture_rectangle (doc, "Plate", -37, 12, tilings[i].w, tilings[i].h);
    g_autoptr (EngineReview) review = engine_review_new (doc);
    g_autoptr (EngineSheetPlan) plan
      = engine_sheet_plan_new (review, tilings[i].paper, tilings[i].overlap, NULL);
    g_assert_nonnull (plan);
    g_assert_true (engine_paper_parse (tilings[i].paper, &paper));
    guint upright = by_formula (tilings[i].w, tilings[i].h, &paper, tilings[i].overlap);
    guint turned = by_formula (tilings[i].h, tilings[i].w, &paper, tilings[i].overlap);
    g_test_message ("%g x %g on %s", tilings[i].w, tilings[i].h, tilings[i].paper);
    g_assert_cmpuint (upright, ==, tilings[i].upright);
    g_assert_cmpuint (plan->tiles->len, ==, MIN (upright, turned));
  }
}

static bool
on_tile (const EngineSheetPlan *plan, GeomPoint p)
{
  for (guint i = 0; i < plan->tiles->len; i++)
  {
    const EngineTile *tile = &g_array_index (plan->tiles, EngineTile, i);
    if (p.x >= tile->x_mm - 0.01 && p.x <= tile->x_mm + plan->field_width_mm + 0.01
        && p.y >= tile->y_mm - 0.01 && p.y <= tile->y_mm + plan->field_height_mm + 0.01)
      return true;
  }
  return false;
}

/* Every point of every cut line, and of what it encloses, is on a tile; no two pieces meet; nothing is
 * stretched. */
static void
assert_sound (const EngineSheetPlan *plan)
{
  for (guint i = 0; i < plan->placed->len; i++)
  {
    const EnginePlacedPiece *placed = g_ptr_array_index (plan->placed, i);
    GeomBox box = geom_path_box (&placed->cut);
    for (size_t k = 0; k < placed->cut.count; k++)
      for (double t = 0; t < 1; t += 0.1)
        g_assert_true (on_tile (plan, geom_cubic_at (&placed->cut.piece[k], t)));
    for (int n = 0; n < 40; n++)
    {
      GeomPoint p = { g_test_rand_double_range (box.x0, box.x1), g_test_rand_double_range (box.y0, box.y1) };
      if (geom_path_contains (&placed->cut, p))
        g_assert_true (on_tile (plan, p));
    }
    fixture_near (fabs (geom_affine_determinant (placed->to_plan)), 1, 1e-12);
    g_assert_cmpfloat (geom_affine_determinant (placed->to_plan), <, 0);
    for (guint k = 0; k < i; k++)
    {
      const EnginePlacedPiece *other = g_ptr_array_index (plan->placed, k);
      GeomBox grown = geom_box_grown (geom_path_box (&other->cut), ENGINE_SHEET_GAP_MM - 0.01);
      g_assert_false (geom_box_overlaps (box, grown));
    }
  }
  for (guint i = 0; i < plan->tiles->len; i++)
  {
    const EngineTile *tile = &g_array_index (plan->tiles, EngineTile, i);
    g_assert_cmpint (tile->number, ==, (int)i + 1);
    g_assert_cmpint (tile->row, <, plan->rows);
    g_assert_cmpint (tile->column, <, plan->columns);
    fixture_near (tile->x_mm, tile->column * (plan->field_width_mm - plan->overlap_mm), 1e-9);
    fixture_near (tile->y_mm, tile->row * (plan->field_height_mm - plan->overlap_mm), 1e-9);
  }
}

static void
test_sound (void)
{
  static const char *names[] = { "a4", "a3", "letter", "tabloid", "400x130" };
  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
  {
    g_autoptr (ModelDocument) doc = test_big_document_of (30, 40);
    g_autoptr (EngineReview) review = engine_review_new (doc);
    g_autoptr (EngineSheetPlan) plan = engine_sheet_plan_new (review, names[i], 12, NULL);
    g_assert_nonnull (plan);
    assert_sound (plan);
    g_autoptr (EngineSheetPlan) again = engine_sheet_plan_new (review, names[i], 12, NULL);
    g_assert_cmpuint (again->tiles->len, ==, plan->tiles->len);
    for (guint k = 0; k < plan->tiles->len; k++)
    {
      const EngineTile *x = &g_array_index (plan->tiles, EngineTile, k),
                       *y = &g_array_index (again->tiles, EngineTile, k);
      g_assert_true (x->row == y->row && x->column == y->column && x->number == y->number);
    }
    for (guint k = 0; k < plan->placed->len; k++)
    {
      const EnginePlacedPiece *x = g_ptr_array_index (plan->placed, k),
                              *y = g_ptr_array_index (again->placed, k);
      g_assert_cmpmem (&x->to_plan, sizeof x->to_plan, &y->to_plan, sizeof y->to_plan);
    }
  }
}

/* A diagonal strap from corner to corner of 3 by 3 tiles leaves two of them blank at least: those in the
 * other corners. */
static void
test_blank_tiles (void)
{
  GeomPoint strap[] = { { 0, 0 }, { 20, 0 }, { 550, 790 }, { 550, 811 }, { 530, 811 }, { 0, 21 } };
  g_autoptr (ModelDocument) doc = model_document_new ();
  fixture_polygon (doc, "Strap", strap, 6);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (EngineSheetPlan) plan = engine_sheet_plan_new (review, "a4", 10, NULL);
  g_assert_cmpuint (plan->tiles->len, <=, 7);
  assert_sound (plan);
}

/* What is printed of each kind of panel: rectangles 60 by 80. */
static const struct
{
  const char *name;
  ModelHalves halves;
  bool corrected, open_folds, hidden;
  guint placed;
  bool half;
  double width;
} kinds[] = {
  { "single", MODEL_HALVES_SINGLE, false, false, false, 1, false, 60 },
  { "hidden", MODEL_HALVES_SINGLE, false, false, true, 0, false, 0 },
  { "pair", MODEL_HALVES_PAIR, false, false, false, 1, false, 60 },
  { "pair, sides of their own", MODEL_HALVES_PAIR, true, false, false, 2, false, 60 },
  { "fold", MODEL_HALVES_FOLD, false, false, false, 1, true, 60 },
  { "fold, opened", MODEL_HALVES_FOLD, false, true, false, 1, false, 120 },
  { "fold, sides of their own", MODEL_HALVES_FOLD, true, false, false, 1, false, 120 },
};

static void
test_kinds (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (kinds); i++)
    for (int allowance = 0; allowance <= 7; allowance += 7)
    {
      g_test_message ("%s, allowance %d", kinds[i].name, allowance);
      g_autoptr (ModelDocument) doc = model_document_new ();
      ModelPanel *panel = fixture_rectangle (doc, "Plate", 10, 0, 60, 80);
      fixture_mirror (panel, kinds[i].halves, MODEL_SIDE_LEFT);
      panel->hidden = kinds[i].hidden;
      doc->head->open_folds = kinds[i].open_folds;
      model_panel_edge (panel, 3)->fold = kinds[i].halves == MODEL_HALVES_FOLD;
      /* Inward, so that the width stays. */
      if (kinds[i].corrected)
        fixture_correct (panel, 2, 0, -5);
      for (guint k = 0; k < 4; k++)
        fixture_allow (panel, k, allowance);
      g_autoptr (EngineReview) review = engine_review_new (doc);
      g_autoptr (EngineSheetPlan) plan = engine_sheet_plan_new (review, "a4", 10, NULL);
      g_assert_cmpuint (plan->placed->len, ==, kinds[i].placed);
      for (guint k = 0; k < plan->placed->len; k++)
      {
        const EnginePlacedPiece *placed = g_ptr_array_index (plan->placed, k);
        g_assert_cmpint (placed->half, ==, kinds[i].half);
        GeomBox box = geom_path_box (&placed->cut), seam = geom_path_box (&placed->seam);
        double w = fmin (box.x1 - box.x0, box.y1 - box.y0), h = fmax (box.x1 - box.x0, box.y1 - box.y0);
        /* The fold line is no cut: nothing is added there. */
        double across = kinds[i].width + (kinds[i].half ? 1 : 2) * allowance, down = 80 + 2 * allowance;
        /* A corrected corner is no right angle: its mitre reaches farther. */
        double more = kinds[i].corrected ? allowance : 0;
        fixture_near (w, fmin (across, down), 0.02 + more);
        fixture_near (h, fmax (across, down), 0.02 + more);
        fixture_near (fabs (geom_path_area (&placed->seam)),
                      kinds[i].corrected ? fabs (geom_path_area (&placed->seam)) : kinds[i].width * 80, 1e-6);
        g_assert_true (seam.x0 >= box.x0 - 0.01 && seam.x1 <= box.x1 + 0.01);
      }
      assert_sound (plan);
    }
}

/* Small pieces get room for their label. */
static void
test_label_room (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  for (int i = 0; i < 12; i++)
    fixture_rectangle (doc, "Loop", 100 * i, 0, 20, 12);
  fixture_rectangle (doc, "Plate", 0, 100, 100, 100);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (EngineSheetPlan) plan = engine_sheet_plan_new (review, "a4", 10, NULL);
  for (guint i = 0; i < plan->placed->len; i++)
  {
    const EnginePlacedPiece *placed = g_ptr_array_index (plan->placed, i);
    g_assert_cmpint (geom_box_is_empty (placed->label), ==, i == 12);
    for (guint k = 0; k < plan->placed->len && i < 12; k++)
    {
      const EnginePlacedPiece *other = g_ptr_array_index (plan->placed, k);
      GeomBox inner = geom_box_grown (placed->label, -0.01);
      g_assert_false (geom_box_overlaps (inner, geom_path_box (&other->cut)));
      if (k != i)
        g_assert_false (geom_box_overlaps (inner, other->label));
    }
  }
  assert_sound (plan);
}

static void
test_names (void)
{
  static const struct
  {
    int row, column;
    const char *name;
  } rows[] = { { 0, 0, "A1" },   { 0, 2, "A3" },   { 25, 9, "Z10" },
               { 26, 0, "AA1" }, { 27, 0, "AB1" }, { 701, 998, "ZZ999" } };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    EngineTile tile = { .row = rows[i].row, .column = rows[i].column };
    g_autofree char *name = engine_tile_name (&tile);
    g_assert_cmpstr (name, ==, rows[i].name);
  }
}

static void
test_refusals (void)
{
  static const struct
  {
    const char *paper;
    double overlap;
  } rows[] = { { "a5", 10 }, { "a4", -1 }, { "a4", 96 }, { "a4", INFINITY }, { "130x130", 60 } };
  g_autoptr (ModelDocument) doc = model_document_new ();
  fixture_rectangle (doc, "Plate", 0, 0, 50, 50);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_autoptr (GError) error = NULL;
    g_assert_null (engine_sheet_plan_new (review, rows[i].paper, rows[i].overlap, &error));
    g_assert_error (error, ENGINE_SHEET_ERROR, ENGINE_SHEET_ERROR_PAPER);
  }
  ModelPanel *wide = fixture_rectangle (doc, "Wide", 0, 0, 99999, 99999);
  engine_review_touch (review, MODEL_PART_PANEL, wide->id);
  g_autoptr (GError) error = NULL;
  g_assert_null (engine_sheet_plan_new (review, "130x130", 50, &error));
  g_assert_error (error, ENGINE_SHEET_ERROR, ENGINE_SHEET_ERROR_TOO_BIG);
}

static void
test_empty (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (EngineSheetPlan) plan = engine_sheet_plan_new (review, NULL, NAN, NULL);
  g_assert_nonnull (plan);
  g_assert_cmpuint (plan->tiles->len, ==, 0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/sheet-plan/papers", test_papers);
  g_test_add_func ("/engine/sheet-plan/tilings", test_tilings);
  g_test_add_func ("/engine/sheet-plan/sound", test_sound);
  g_test_add_func ("/engine/sheet-plan/blank-tiles", test_blank_tiles);
  g_test_add_func ("/engine/sheet-plan/kinds", test_kinds);
  g_test_add_func ("/engine/sheet-plan/label-room", test_label_room);
  g_test_add_func ("/engine/sheet-plan/names", test_names);
  g_test_add_func ("/engine/sheet-plan/refusals", test_refusals);
  g_test_add_func ("/engine/sheet-plan/empty", test_empty);
  return g_test_run ();
}
