/* Least changes whose answer can be told in closed form. */
#include "engine/solve.h"

#include "fixture.h"

static guint
corner_id (const ModelPanel *panel, guint edge)
{
  return model_edge_node (model_panel_edge (panel, edge), 0)->id;
}

static GeomPoint
corner_at (const ModelPanel *panel, guint edge)
{
  return model_edge_node (model_panel_edge (panel, edge), 0)->at;
}

static double
edge_mm (const ModelPanel *panel, guint edge)
{
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (panel, &path, NULL);
  double mm = geom_cubic_length (&path.piece[edge], 1e-12);
  geom_path_clear (&path);
  return mm;
}

/* A right triangle 30, 40, 50: a corner is wanted at given lengths of two edges, so the two circles decide.
 */
static void
test_two_circles (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  GeomPoint points[] = { { 0, 0 }, { 30, 0 }, { 0, 40 } };
  ModelPanel *panel = fixture_polygon (doc, "Front", points, 3);
  g_autoptr (EngineSolve) solve = engine_solve_new (doc);
  ModelRun first = fixture_run (panel, 0, 1), second = fixture_run (panel, 1, 1);
  g_assert_true (
    engine_solve_loosen (solve, panel->id, corner_id (panel, 1), ENGINE_GRIP_NODE, ENGINE_MOVE_ALIKE, 1.0));
  /* Not twice. */
  g_assert_false (
    engine_solve_loosen (solve, panel->id, corner_id (panel, 1), ENGINE_GRIP_NODE, ENGINE_MOVE_ALIKE, 1.0));
  engine_solve_want (solve, 33.0);
  g_assert_true (engine_solve_add_run (solve, &first, MODEL_SIDE_CENTRE, 1.0));
  engine_solve_want (solve, 50.0);
  g_assert_true (engine_solve_add_run (solve, &second, MODEL_SIDE_CENTRE, 1.0));
  g_assert_true (engine_solve_run (solve, 20.0));
  g_autoptr (GPtrArray) panels = engine_solve_take_panels (solve);
  g_assert_cmpuint (panels->len, ==, 1);
  const ModelPanel *after = g_ptr_array_index (panels, 0);
  /* x^2 + y^2 = 33^2 and x^2 + (y - 40)^2 = 50^2: y = (33^2 - 50^2 + 40^2) / 80. */
  double y = (33.0 * 33.0 - 2500.0 + 1600.0) / 80.0, x = sqrt (33.0 * 33.0 - y * y);
  fixture_near (corner_at (after, 1).x, x, 1e-8);
  fixture_near (corner_at (after, 1).y, y, 1e-8);
  fixture_near (engine_solve_moved_mm (solve, panel->id), hypot (x - 30.0, y), 1e-8);
  fixture_near (edge_mm (after, 0), 33.0, 1e-9);
  fixture_near (edge_mm (after, 1), 50.0, 1e-9);
  g_array_unref (first.edges);
  g_array_unref (second.edges);
}

/* Both ends of a straight edge free: the least change that makes it 10 longer moves each by 5 outward; with
 * weights 1 and 4 by 8 and 2. */
static void
test_shares (void)
{
  for (int weighted = 0; weighted < 2; weighted++)
  {
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *panel = fixture_rectangle (doc, "Front", 0, 0, 100, 50);
    g_autoptr (EngineSolve) solve = engine_solve_new (doc);
    ModelRun run = fixture_run (panel, 0, 1);
    engine_solve_loosen (solve, panel->id, corner_id (panel, 0), ENGINE_GRIP_NODE, ENGINE_MOVE_ALIKE, 1.0);
    engine_solve_loosen (solve, panel->id, corner_id (panel, 1), ENGINE_GRIP_NODE, ENGINE_MOVE_ALIKE,
                         weighted ? 4.0 : 1.0);
    engine_solve_want (solve, 110.0);
    engine_solve_add_run (solve, &run, MODEL_SIDE_CENTRE, 1.0);
    g_assert_true (engine_solve_run (solve, 20.0));
    g_autoptr (GPtrArray) panels = engine_solve_take_panels (solve);
    const ModelPanel *after = g_ptr_array_index (panels, 0);
    fixture_near (corner_at (after, 0).x, weighted ? -8.0 : -5.0, 1e-7);
    fixture_near (corner_at (after, 1).x, weighted ? 102.0 : 105.0, 1e-7);
    fixture_near (corner_at (after, 0).y, 0.0, 1e-7);
    g_array_unref (run.edges);
  }
}

static void
test_locked_and_out_of_reach (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = fixture_rectangle (doc, "Front", 0, 0, 100, 50);
  g_autoptr (EngineSolve) solve = engine_solve_new (doc);
  ModelRun run = fixture_run (panel, 0, 1);
  engine_solve_loosen (solve, panel->id, corner_id (panel, 0), ENGINE_GRIP_NODE, ENGINE_MOVE_ALIKE, 1.0);
  engine_solve_want (solve, 160.0);
  engine_solve_add_run (solve, &run, MODEL_SIDE_CENTRE, 1.0);
  /* 60 mm away, 50 allowed. */
  g_assert_false (engine_solve_run (solve, 50.0));
  fixture_near (corner_at (engine_solve_panel (solve, panel->id), 0).x, 0.0, 0.0);
  g_assert_true (engine_solve_run (solve, 61.0));
  g_array_unref (run.edges);

  model_panel_edge (panel, 1)->locked = true;
  g_autoptr (EngineSolve) locked = engine_solve_new (doc);
  g_assert_false (
    engine_solve_loosen (locked, panel->id, corner_id (panel, 1), ENGINE_GRIP_NODE, ENGINE_MOVE_ALIKE, 1.0));
  g_assert_false (
    engine_solve_loosen (locked, panel->id, corner_id (panel, 2), ENGINE_GRIP_NODE, ENGINE_MOVE_ALIKE, 1.0));
  g_assert_true (
    engine_solve_loosen (locked, panel->id, corner_id (panel, 3), ENGINE_GRIP_NODE, ENGINE_MOVE_ALIKE, 1.0));
  /* A straight piece has no handles to move. */
  g_assert_false (
    engine_solve_loosen (locked, panel->id, corner_id (panel, 0), ENGINE_GRIP_OUT, ENGINE_MOVE_ALIKE, 1.0));
}

/* The fold's corners slide along the fold only. */
static void
test_fold (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = fixture_rectangle (doc, "Front", 0, 0, 100, 50);
  fixture_mirror (panel, MODEL_HALVES_FOLD, MODEL_SIDE_LEFT);
  model_panel_edge (panel, 3)->fold = true; /* x = 0 */
  g_autoptr (EngineSolve) solve = engine_solve_new (doc);
  ModelRun hem = fixture_run (panel, 0, 1);
  engine_solve_loosen (solve, panel->id, corner_id (panel, 0), ENGINE_GRIP_NODE, ENGINE_MOVE_ALIKE, 1.0);
  engine_solve_want (solve, hypot (100.0, 7.0));
  engine_solve_add_run (solve, &hem, MODEL_SIDE_LEFT, 1.0);
  /* From y = 0 the length does not change to first order either way: nothing to begin with. */
  g_assert_false (engine_solve_run (solve, 50.0));
  model_edge_node (model_panel_edge (panel, 1), 0)->at.y = 1.0;
  model_edge_node (model_panel_edge (panel, 1), 0)->in.y = 1.0;
  model_edge_node (model_panel_edge (panel, 1), 0)->out.y = 1.0;
  g_autoptr (EngineSolve) tilted = engine_solve_new (doc);
  engine_solve_loosen (tilted, panel->id, corner_id (panel, 0), ENGINE_GRIP_NODE, ENGINE_MOVE_ALIKE, 1.0);
  engine_solve_want (tilted, hypot (100.0, 7.0));
  engine_solve_add_run (tilted, &hem, MODEL_SIDE_LEFT, 1.0);
  g_assert_true (engine_solve_run (tilted, 50.0));
  fixture_near (corner_at (engine_solve_panel (tilted, panel->id), 0).x, 0.0, 0.0);
  fixture_near (corner_at (engine_solve_panel (tilted, panel->id), 0).y, -6.0, 1e-7);
  g_array_unref (hem.edges);
}

/* Own sides: one side moves, the other stays to the last bit. */
static void
test_one_side (void)
{
  for (int other = 0; other < 2; other++)
  {
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *panel = fixture_rectangle (doc, "Side", 10, 0, 50, 100);
    fixture_mirror (panel, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
    panel->own_sides = true;
    g_autoptr (EngineSolve) solve = engine_solve_new (doc);
    ModelRun run = fixture_run (panel, 1, 1);
    engine_solve_loosen (solve, panel->id, corner_id (panel, 2), ENGINE_GRIP_NODE,
                         other ? ENGINE_MOVE_OTHER : ENGINE_MOVE_DRAWN, 1.0);
    engine_solve_want (solve, 104.0);
    engine_solve_add_run (solve, &run, other ? MODEL_SIDE_RIGHT : MODEL_SIDE_LEFT, 1.0);
    g_assert_true (engine_solve_run (solve, 10.0));
    const ModelPanel *after = engine_solve_panel (solve, panel->id);
    GeomPath drawn, twin;
    geom_path_init (&drawn);
    geom_path_init (&twin);
    model_panel_path (after, &drawn, NULL);
    model_panel_twin_path (after, &twin, NULL);
    fixture_near (geom_cubic_length (&drawn.piece[1], 1e-12), other ? 100.0 : 104.0, 1e-9);
    fixture_near (geom_cubic_length (&twin.piece[1], 1e-12), other ? 104.0 : 100.0, 1e-9);
    g_assert_cmpuint (after->corrections->len, ==, 1);
    geom_path_clear (&drawn);
    geom_path_clear (&twin);
    g_array_unref (run.edges);
  }
}

/* Handles along their own directions: the golden curve B, 96 mm, made 99 long; ends and tangents stay. */
static void
test_in_the_middle (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  GeomCubic cubics[] = { fixture_curve_b, fixture_straight (72, 48, 0, 48), fixture_straight (0, 48, 0, 0) };
  ModelPanel *panel = fixture_panel (doc, "Side", cubics, 3);
  g_autoptr (EngineSolve) solve = engine_solve_new (doc);
  ModelRun run = fixture_run (panel, 0, 1);
  g_assert_true (engine_solve_loosen (solve, panel->id, corner_id (panel, 0), ENGINE_GRIP_OUT_ALONG,
                                      ENGINE_MOVE_ALIKE, 1.0));
  g_assert_true (engine_solve_loosen (solve, panel->id, corner_id (panel, 1), ENGINE_GRIP_IN_ALONG,
                                      ENGINE_MOVE_ALIKE, 1.0));
  engine_solve_want (solve, 99.0);
  engine_solve_add_run (solve, &run, MODEL_SIDE_CENTRE, 1.0);
  g_assert_true (engine_solve_run (solve, 40.0));
  const ModelPanel *after = engine_solve_panel (solve, panel->id);
  const ModelNode *a = model_edge_node (model_panel_edge (after, 0), 0),
                  *b = model_edge_node (model_panel_edge (after, 1), 0);
  fixture_near (edge_mm (after, 0), 99.0, 1e-9);
  g_assert_true (geom_same_point (a->at, fixture_curve_b.p[0])
                 && geom_same_point (b->at, fixture_curve_b.p[3]));
  fixture_near (a->out.y, 0.0, 1e-12); /* as before: level */
  fixture_near (b->in.x, 72.0, 1e-12); /* upright */
  g_assert_true (a->out.x > 48.0 && b->in.y < 24.0);
  g_array_unref (run.edges);
}

/* A direction: the handle turns to 30 degrees by the shortest way, a chord of its circle's tangent: its foot
 * on the wanted ray. */
static void
test_direction (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  GeomCubic cubics[] = { fixture_curve_b, fixture_straight (72, 48, 0, 48), fixture_straight (0, 48, 0, 0) };
  ModelPanel *panel = fixture_panel (doc, "Side", cubics, 3);
  g_autoptr (EngineSolve) solve = engine_solve_new (doc);
  engine_solve_loosen (solve, panel->id, corner_id (panel, 0), ENGINE_GRIP_OUT, ENGINE_MOVE_ALIKE, 1.0);
  engine_solve_want (solve, ENGINE_SOLVE_ARM_MM * G_PI / 6.0);
  g_assert_true (engine_solve_add_direction (solve, panel->id, MODEL_SIDE_CENTRE,
                                             model_panel_edge (panel, 0)->id, false, 1.0));
  g_assert_true (engine_solve_run (solve, 40.0));
  GeomPoint out = model_edge_node (model_panel_edge (engine_solve_panel (solve, panel->id), 0), 0)->out;
  double foot = 48.0 * cos (G_PI / 6.0);
  fixture_near (out.x, foot * cos (G_PI / 6.0), 1e-6);
  fixture_near (out.y, foot * sin (G_PI / 6.0), 1e-6);
}

/* Marks stay where they are seen from the end that did not move. */
static void
test_marks (void)
{
  for (guint moved = 0; moved < 2; moved++)
  {
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *panel = fixture_rectangle (doc, "Front", 0, 0, 100, 50);
    ModelMark mark = { model_document_take_id (doc), model_panel_edge (panel, 0)->id, 40.0, 1 };
    g_array_append_val (panel->marks, mark);
    g_autoptr (EngineSolve) solve = engine_solve_new (doc);
    ModelRun run = fixture_run (panel, 0, 1);
    engine_solve_loosen (solve, panel->id, corner_id (panel, moved), ENGINE_GRIP_NODE, ENGINE_MOVE_ALIKE,
                         1.0);
    engine_solve_want (solve, 94.0);
    engine_solve_add_run (solve, &run, MODEL_SIDE_CENTRE, 1.0);
    g_assert_true (engine_solve_run (solve, 10.0));
    const ModelPanel *after = engine_solve_panel (solve, panel->id);
    fixture_near (g_array_index (after->marks, ModelMark, 0).at_mm, moved == 0 ? 34.0 : 40.0, 1e-6);
    g_array_unref (run.edges);
  }
}

/* A place on a curve is a weighted mean of its control points (Bernstein), so a wanted one is met exactly:
 * the middle of the lower edge comes to a given height, its ends move least and alike. */
static void
test_place (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = fixture_rectangle (doc, "Front", 0, 0, 100, 80);
  guint edge = model_panel_edge (panel, 0)->id, ids[2];
  for (guint i = 0; i < 2; i++)
    ids[i] = model_edge_node (model_panel_edge (panel, i), 0)->id;
  g_autoptr (EngineSolve) solve = engine_solve_new (doc);
  for (guint i = 0; i < 2; i++)
    g_assert_true (engine_solve_loosen (solve, panel->id, ids[i], ENGINE_GRIP_NODE, ENGINE_MOVE_ALIKE, 1.0));
  engine_solve_want (solve, 0.0);
  g_assert_true (
    engine_solve_add_place (solve, panel->id, MODEL_SIDE_CENTRE, edge, 0, 0.5, geom_point (0, 1)));
  g_assert_false (
    engine_solve_add_place (solve, panel->id, MODEL_SIDE_CENTRE, edge, 7, 0.5, geom_point (0, 1)));
  engine_solve_set_target (solve, 3.0);
  g_assert_true (engine_solve_run (solve, 50.0));
  const ModelPanel *after = engine_solve_panel (solve, panel->id);
  for (guint i = 0; i < 2; i++)
  {
    GeomPoint at = model_edge_node (model_panel_edge (after, i), 0)->at;
    fixture_near (at.x, i == 0 ? 0.0 : 100.0, 1e-9);
    fixture_near (at.y, 3.0, 1e-8);
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/solve/two-circles", test_two_circles);
  g_test_add_func ("/engine/solve/shares", test_shares);
  g_test_add_func ("/engine/solve/locked-and-out-of-reach", test_locked_and_out_of_reach);
  g_test_add_func ("/engine/solve/fold", test_fold);
  g_test_add_func ("/engine/solve/one-side", test_one_side);
  g_test_add_func ("/engine/solve/in-the-middle", test_in_the_middle);
  g_test_add_func ("/engine/solve/direction", test_direction);
  g_test_add_func ("/engine/solve/marks", test_marks);
  g_test_add_func ("/engine/solve/place", test_place);
  return g_test_run ();
}
