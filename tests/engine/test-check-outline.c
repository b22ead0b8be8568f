#include "engine/outline-scan.h"
#include "engine/tolerance.h"
#include "fixture.h"

typedef struct Row
{
  const char *name;
  guint count;
  GeomPoint point[8];
  double allowance; /* all round */
  bool holds;
  const char *text;
} Row;

static const Row rows[] = {
  { "rectangle", 4, { { 0, 0 }, { 100, 0 }, { 100, 50 }, { 0, 50 } }, 0, true, "Plate can be cut." },
  { "rectangle with an allowance",
    4,
    { { 0, 0 }, { 100, 0 }, { 100, 50 }, { 0, 50 } },
    10,
    true,
    "Plate can be cut." },
  { "triangle, 11 degrees at the tip",
    3,
    { { 0, 0 }, { 100, 0 }, { 100, 20 } },
    0,
    true,
    "Plate can be cut." },
  { "clockwise",
    4,
    { { 0, 0 }, { 0, 50 }, { 100, 50 }, { 100, 0 } },
    0,
    false,
    "Plate is drawn the wrong way round: its outline must run counter-clockwise." },
  { "bow tie",
    4,
    { { 0, 0 }, { 100, 50 }, { 100, 0 }, { 0, 60 } },
    0,
    false,
    "The outline of Plate meets itself in 1 place." },
  /* The tail edge crosses two sides of the notch. */
  { "twice through itself",
    6,
    { { 0, 0 }, { 100, 0 }, { 100, 60 }, { 60, 20 }, { 40, 20 }, { 110, 30 } },
    0,
    false,
    NULL },
  { "two nodes", 2, { { 0, 0 }, { 100, 0 } }, 0, false, NULL },
  { "all in one line", 3, { { 0, 0 }, { 100, 0 }, { 50, 0 } }, 0, false, NULL },
  { "an edge of no length",
    5,
    { { 0, 0 }, { 100, 0 }, { 100, 50 }, { 100, 50 }, { 0, 50 } },
    0,
    false,
    "On Plate, the edge c has shrunk to a point." },
  { "0.4 wide all along",
    4,
    { { 0, 0 }, { 100, 0 }, { 100, 0.4 }, { 0, 0.4 } },
    0,
    false,
    "Plate is only 0.4\u2009mm wide there and would tear." },
  { "0.6 wide all along",
    4,
    { { 0, 0 }, { 100, 0 }, { 100, 0.6 }, { 0, 0.6 } },
    0,
    true,
    "Plate can be cut." },
  /* A neck of 0.3 by 20 between two plates. */
  { "a neck",
    8,
    { { 0, 0 }, { 40, 20 }, { 60, 20 }, { 100, 0 }, { 100, 40 }, { 60, 20.3 }, { 40, 20.3 }, { 0, 40 } },
    0,
    false,
    "Plate is only 0.3\u2009mm wide there and would tear." },
  /* A slit of 0.2 cut 30 deep from above. */
  { "a slit",
    7,
    { { 0, 0 }, { 100, 0 }, { 100, 50 }, { 50.2, 50 }, { 50.1, 20 }, { 50, 50 }, { 0, 50 } },
    0,
    false,
    NULL },
  { "a sliver of a tip: 2 degrees", 3, { { 0, 0 }, { 300, 0 }, { 300, 10 } }, 0, false, NULL },
};

static void
test_rows (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    const Row *row = &rows[i];
    g_test_message ("%s", row->name);
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *panel = fixture_polygon (doc, "Plate", row->point, row->count);
    for (guint k = 0; k < row->count && row->allowance > 0; k++)
      fixture_allow (panel, k, row->allowance);
    g_autoptr (EngineReview) review = engine_review_new (doc);
    const EngineFinding *finding = fixture_finding (review, "outline", 0);
    g_autofree char *text = engine_finding_text (review, finding);
    g_assert_cmpint (finding->holds, ==, row->holds);
    if (row->text)
      g_assert_cmpstr (text, ==, row->text);
    g_assert_null (fixture_finding (review, "outline", 1));
  }
}

/* A cubic that crosses itself: at t = (5 -+ sqrt 15) / 10, in (50, 30), worked from its symmetry. */
static void
test_loop (void)
{
  GeomCubic cubic[] = { { { { 0, 0 }, { 200, 100 }, { -100, 100 }, { 100, 0 } } },
                        fixture_straight (100, 0, 100, -50),
                        fixture_straight (100, -50, 0, -50),
                        fixture_straight (0, -50, 0, 0) };
  g_autoptr (ModelDocument) doc = model_document_new ();
  fixture_panel (doc, "Plate", cubic, 4);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const EngineFinding *finding = fixture_finding (review, "outline", 0);
  g_assert_false (finding->holds);
  fixture_near (finding->actual, 1, 0);
  fixture_near (geom_distance (finding->at, geom_point (50, 30)), 0, 1e-3);
}

/* The knife is wider than the piece: nothing is left. */
static void
test_knife_takes_all (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelMaterial *foam = model_material_new ();
  foam->id = model_document_take_id (doc);
  foam->knife_mm = 3;
  model_document_put (doc, (ModelPart) { MODEL_PART_MATERIAL, foam }, -1);
  ModelPanel *panel = fixture_rectangle (doc, "Strap", 0, 0, 100, 5);
  panel->material_id = foam->id;
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const EngineFinding *finding = fixture_finding (review, "outline", 0);
  g_autofree char *text = engine_finding_text (review, finding);
  g_assert_false (finding->holds);
  g_assert_cmpstr (text, ==, "Nothing is left of Strap once the knife’s width is taken off.");
  foam->knife_mm = 2;
  engine_review_touch (review, MODEL_PART_MATERIAL, foam->id);
  g_assert_true (fixture_finding (review, "outline", 0)->holds);
}

/* Each piece of a pair is told; the mirrored copy's place is mirrored. */
static void
test_pair (void)
{
  static const GeomPoint bow[] = { { 10, 0 }, { 110, 50 }, { 110, 0 }, { 10, 60 } };
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = fixture_polygon (doc, "Plate", bow, 4);
  fixture_mirror (panel, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const EngineFinding *left = fixture_finding (review, "outline", 0),
                      *right = fixture_finding (review, "outline", 1);
  g_assert_cmpint (left->side, ==, MODEL_SIDE_LEFT);
  g_assert_cmpint (right->side, ==, MODEL_SIDE_RIGHT);
  fixture_near (left->at.x + right->at.x, 0, 1e-9);
  fixture_near (left->at.y - right->at.y, 0, 1e-9);
}

/* The quick scan against the slow judge: whatever the quick one passes must not cross. */
static void
test_scan_law (void)
{
  for (int round = 0; round < 3000; round++)
  {
    GeomPath path;
    GeomSelfCrossing crossing[8];
    geom_path_init (&path);
    int n = g_test_rand_int_range (2, 9);
    GeomPoint corner[9];
    for (int i = 0; i < n; i++)
    {
      double angle = 2 * G_PI * i / n, r = g_test_rand_double_range (20, 100);
      corner[i] = geom_point (r * cos (angle), r * sin (angle));
    }
    double wild = g_test_rand_double_range (0, 60);
    for (int i = 0; i < n; i++)
    {
      GeomPoint a = corner[i], b = corner[(i + 1) % n];
      GeomCubic c = { { a, geom_mix (a, b, 1.0 / 3), geom_mix (a, b, 2.0 / 3), b } };
      for (int k = 1; k < 3; k++)
        c.p[k] = geom_add (c.p[k], geom_point (g_test_rand_double_range (-wild, wild),
                                               g_test_rand_double_range (-wild, wild)));
      geom_path_append (&path, &c);
    }
    path.closed = true;
    size_t judged = geom_path_self_crossings (&path, ENGINE_TOL_CROSSING_MM, crossing, 8);
    EngineOutlineScan scan = engine_outline_scan (&path, 0, 0);
    g_assert_cmpint (scan.result == ENGINE_SCAN_CROSSES, ==, judged > 0);
    geom_path_clear (&path);
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/check-outline/rows", test_rows);
  g_test_add_func ("/engine/check-outline/loop", test_loop);
  g_test_add_func ("/engine/check-outline/knife-takes-all", test_knife_takes_all);
  g_test_add_func ("/engine/check-outline/pair", test_pair);
  g_test_add_func ("/engine/check-outline/scan-law", test_scan_law);
  return g_test_run ();
}
