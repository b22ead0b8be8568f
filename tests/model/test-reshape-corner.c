/* Corners by compasses and rule. */
#include "reshape-fixture.h"

#define EXACT 1e-8

static void
test_round_square (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_rectangle (ids);
  guint corner = reshape_node_id (panel, 1, 0);
  double radius, within = 20.0 * 1.01 * model_reshape_arc_error (G_PI / 4.0);

  g_assert_false (model_reshape_corner_radius (panel, MODEL_SIDE_CENTRE, corner, &radius));
  g_assert_true (model_reshape_round_corner (panel, ids, MODEL_SIDE_CENTRE, corner, 20.0, NULL));
  /* Four edges still, the corner in the middle of the arc about 180, 20. */
  g_assert_cmpuint (panel->edges->len, ==, 4);
  g_assert_cmpuint (reshape_node_id (panel, 1, 0), ==, corner);
  reshape_assert_at (reshape_corner (panel, 1), 180.0 + 10.0 * G_SQRT2, 20.0 - 10.0 * G_SQRT2, EXACT);
  /* What is lost: (1 - pi / 4) r^2, but for the arc's error along its length. */
  g_assert_cmpfloat_with_epsilon (reshape_area (panel), 20000.0 - (1.0 - G_PI / 4.0) * 400.0,
                                  within * 10.0 * G_PI);
  /* Each edge: its length less r, and an eighth of a circle. */
  g_assert_cmpfloat_with_epsilon (reshape_length (panel, 0), 180.0 + 5.0 * G_PI, 1e-4);
  g_assert_cmpfloat_with_epsilon (reshape_length (panel, 1), 80.0 + 5.0 * G_PI, 1e-4);
  g_assert_true (model_reshape_corner_radius (panel, MODEL_SIDE_CENTRE, corner, &radius));
  g_assert_cmpfloat_with_epsilon (radius, 20.0, 1e-6);
}

static void
test_round_again (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) once = reshape_rectangle (ids);
  g_autoptr (ModelPanel) twice = model_panel_copy (once);
  guint corner = reshape_node_id (once, 2, 0);

  g_assert_true (model_reshape_round_corner (once, ids, MODEL_SIDE_CENTRE, corner, 30.0, NULL));
  g_assert_true (model_reshape_round_corner (twice, ids, MODEL_SIDE_CENTRE, corner, 12.0, NULL));
  g_assert_true (model_reshape_round_corner (twice, ids, MODEL_SIDE_CENTRE, corner, 30.0, NULL));
  g_assert_cmpfloat (fixture_apart (once, false, twice, false), <=, 1e-6);
  g_assert_cmpuint (model_panel_node_count (once), ==, model_panel_node_count (twice));
}

static void
test_round_slant (void)
{
  /* 60 degrees at 0, 0: the tangent points lie r / tan (30 deg) from it. */
  const GeomPoint corners[] = { { 0, 0 }, { 200, 0 }, { 100, 100 * sqrt (3.0) } };
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_polygon (ids, corners, 3);
  double from = 20.0 / tan (G_PI / 6.0);

  g_assert_true (
    model_reshape_round_corner (panel, ids, MODEL_SIDE_CENTRE, reshape_node_id (panel, 0, 0), 20.0, NULL));
  /* The last node of edge 2's straight part and the first of edge 0's. */
  reshape_assert_at (model_edge_node (model_panel_edge (panel, 2), 1)->at, from / 2.0,
                     from / 2.0 * sqrt (3.0), EXACT);
  /* The turn is 120 degrees: four pieces, two on either edge. */
  reshape_assert_at (model_edge_node (model_panel_edge (panel, 0), 2)->at, from, 0.0, EXACT);
}

static void
test_round_against_curve (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_quarter (ids);
  double x = sqrt (90.0 * 90.0 - 10.0 * 10.0);

  /* A circle of 10 that touches y = 0 from above and the circle of 100 from within has its centre at height
   * 10, 90 from the middle; it touches right below and where the ray through its centre meets the circle. */
  g_assert_true (
    model_reshape_round_corner (panel, ids, MODEL_SIDE_CENTRE, reshape_node_id (panel, 1, 0), 10.0, NULL));
  reshape_assert_at (model_edge_node (model_panel_edge (panel, 0), 1)->at, x, 0.0, 2e-3);
  {
    ModelEdge *arc = model_panel_edge (panel, 1);
    double least = INFINITY;

    for (guint n = 1; n < arc->nodes->len; n++)
      least = fmin (least,
                    geom_distance (model_edge_node (arc, n)->at, geom_point (x * 10.0 / 9.0, 100.0 / 9.0)));
    g_assert_cmpfloat (least, <=, 2e-3);
  }
}

static void
test_round_inward (void)
{
  /* An L: at 100, 100 the outline turns right. */
  const GeomPoint corners[] = { { 0, 0 }, { 200, 0 }, { 200, 100 }, { 100, 100 }, { 100, 200 }, { 0, 200 } };
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_polygon (ids, corners, 6);

  g_assert_true (
    model_reshape_round_corner (panel, ids, MODEL_SIDE_CENTRE, reshape_node_id (panel, 3, 0), 25.0, NULL));
  /* Here the panel gains (1 - pi / 4) r^2. */
  g_assert_cmpfloat_with_epsilon (reshape_area (panel), 30000.0 + (1.0 - G_PI / 4.0) * 625.0, 1e-2);
}

static void
test_round_refused (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_rectangle (ids);
  guint corner = reshape_node_id (panel, 1, 0);
  static const double odd[] = { NAN, 0.0, -3.0, INFINITY };
  g_autoptr (GError) error = NULL;
  char *was = reshape_picture (panel);

  /* The right side is 100 long. */
  reshape_assert_refused (model_reshape_round_corner (panel, ids, MODEL_SIDE_CENTRE, corner, 120.0, &error),
                          &error, MODEL_REWORK_ERROR_SHAPE, panel, was);
  for (guint i = 0; i < G_N_ELEMENTS (odd); i++)
  {
    was = reshape_picture (panel);
    reshape_assert_refused (
      model_reshape_round_corner (panel, ids, MODEL_SIDE_CENTRE, corner, odd[i], &error), &error,
      MODEL_REWORK_ERROR_VALUE, panel, was);
  }
  was = reshape_picture (panel);
  reshape_assert_refused (model_reshape_round_corner (panel, ids, MODEL_SIDE_CENTRE, 99999, 5.0, &error),
                          &error, MODEL_REWORK_ERROR_PLACE, panel, was);
}

/* A joined run keeps its edges and its letter through rounding. */
static void
test_round_keeps_join (void)
{
  g_autoptr (ModelHistory) history = rework_fixture (MODEL_HALVES_PAIR, true);
  ModelDocument *doc = model_history_document (history);
  ModelPanel *panel = model_panel_copy (rework_panel_named (history, "Front"));
  const ModelJoin *join = g_ptr_array_index (doc->joins, 0);
  guint edge = g_array_index (join->a.edges, guint, 0), letters = doc->joins->len;

  g_assert_true (model_reshape_round_corner (panel, doc, MODEL_SIDE_LEFT, fixture_node (panel, "side", 0)->id,
                                             15.0, NULL));
  model_repair_put_panel (history, panel);
  g_assert_cmpuint (doc->joins->len, ==, letters);
  join = g_ptr_array_index (doc->joins, 0);
  g_assert_cmpuint (join->a.edges->len, ==, 1);
  g_assert_cmpuint (g_array_index (join->a.edges, guint, 0), ==, edge);
  g_assert_cmpuint (join->matches->len, ==, 1);
}

static void
test_round_own_side (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) was = fixture_panel (ids, MODEL_HALVES_PAIR, true);
  g_autoptr (ModelPanel) panel = model_panel_copy (was);

  g_assert_true (model_reshape_round_corner (panel, ids, MODEL_SIDE_RIGHT,
                                             fixture_node (panel, "side", 0)->id, 20.0, NULL));
  g_assert_cmpfloat (fixture_apart (panel, false, was, false), <=, 1e-9);
  g_assert_cmpfloat (fixture_apart (panel, true, was, true), >, 3.0);
}

static void
test_chamfer (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_rectangle (ids);
  guint made = 0, corner = reshape_node_id (panel, 1, 0);

  model_panel_edge (panel, 0)->has_allowance = true;
  model_panel_edge (panel, 0)->allowance_mm = 7.0;
  g_assert_true (model_reshape_chamfer_corner (panel, ids, MODEL_SIDE_CENTRE, corner, 10.0, &made, NULL));
  g_assert_cmpuint (panel->edges->len, ==, 5);
  g_assert_cmpuint (reshape_edge_id (panel, 1), ==, made);
  g_assert_cmpfloat_with_epsilon (reshape_area (panel), 20000.0 - 50.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (reshape_length (panel, 1), 10.0 * G_SQRT2, EXACT);
  g_assert_cmpfloat_with_epsilon (reshape_length (panel, 0), 190.0, EXACT);
  g_assert_cmpfloat_with_epsilon (reshape_length (panel, 2), 90.0, EXACT);
  g_assert_cmpuint (reshape_node_id (panel, 2, 0), ==, corner);
  g_assert_cmpfloat_with_epsilon (model_panel_edge (panel, 1)->allowance_mm, 7.0, EXACT);
}

static void
test_split_and_merge (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) was = fixture_panel (ids, MODEL_HALVES_PAIR, true);
  g_autoptr (ModelPanel) panel = model_panel_copy (was);
  guint node = fixture_node (panel, "side", 1)->id, made = 0,
        mark = model_shape_add_mark (panel, ids, fixture_edge_id (panel, "side"), 1, 0.5, 1);
  double along = model_panel_find_mark (panel, mark)->at_mm;

  g_assert_true (model_reshape_split_edge (panel, ids, node, &made, NULL));
  g_assert_cmpuint (panel->edges->len, ==, 5);
  g_assert_cmpuint (model_panel_find_mark (panel, mark)->edge_id, ==, made);
  g_assert_cmpfloat (fixture_apart (panel, false, was, false), <=, 1e-9);
  g_assert_cmpfloat (fixture_apart (panel, true, was, true), <=, 1e-9);
  g_assert_true (model_reshape_merge_edges (panel, node, NULL));
  g_assert_cmpuint (panel->edges->len, ==, 4);
  g_assert_cmpfloat (fixture_apart (panel, true, was, true), <=, 1e-9);
  g_assert_cmpfloat_with_epsilon (model_panel_find_mark (panel, mark)->at_mm, along, 1e-8);
  g_assert_cmpint (fixture_node (panel, "side", 1)->kind, ==, MODEL_NODE_SMOOTH);
  /* An inner node is no corner, a corner no inner node. */
  g_assert_false (model_reshape_merge_edges (panel, node, NULL));
  g_assert_false (model_reshape_split_edge (panel, ids, fixture_node (panel, "side", 0)->id, NULL, NULL));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/reshape/corner/round-square", test_round_square);
  g_test_add_func ("/model/reshape/corner/round-again", test_round_again);
  g_test_add_func ("/model/reshape/corner/round-slant", test_round_slant);
  g_test_add_func ("/model/reshape/corner/round-against-curve", test_round_against_curve);
  g_test_add_func ("/model/reshape/corner/round-inward", test_round_inward);
  g_test_add_func ("/model/reshape/corner/round-refused", test_round_refused);
  g_test_add_func ("/model/reshape/corner/round-keeps-join", test_round_keeps_join);
  g_test_add_func ("/model/reshape/corner/round-own-side", test_round_own_side);
  g_test_add_func ("/model/reshape/corner/chamfer", test_chamfer);
  g_test_add_func ("/model/reshape/corner/split-and-merge", test_split_and_merge);
  return g_test_run ();
}
