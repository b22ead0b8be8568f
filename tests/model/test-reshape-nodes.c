/* Some nodes turned, scaled, levelled. */
#include "reshape-fixture.h"

#define EXACT 1e-9

static void
test_map (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_rectangle (ids);
  guint top[] = { reshape_node_id (panel, 2, 0), reshape_node_id (panel, 3, 0), 99999 };

  /* A quarter turn about 100, 100 lays 200, 100 at 100, 200 and 0, 100 at 100, 0. */
  g_assert_true (model_reshape_map_nodes (panel, MODEL_SIDE_CENTRE, top, 3,
                                          geom_affine_turn (geom_point (100, 100), G_PI / 2.0), NULL));
  reshape_assert_at (reshape_corner (panel, 2), 100.0, 200.0, EXACT);
  reshape_assert_at (reshape_corner (panel, 3), 100.0, 0.0, EXACT);
  reshape_assert_at (reshape_corner (panel, 1), 200.0, 0.0, EXACT);
  g_assert_true (model_reshape_map_nodes (panel, MODEL_SIDE_CENTRE, top, 1,
                                          geom_affine_scale (geom_point (0, 0), 1.5, 0.5), NULL));
  reshape_assert_at (reshape_corner (panel, 2), 150.0, 100.0, EXACT);
  g_assert_false (model_reshape_map_nodes (panel, MODEL_SIDE_CENTRE, top, 1,
                                           geom_affine_scale (geom_point (0, 0), NAN, 1.0), NULL));
}

/* The other side of a pair is held where it lies: its map is its own. */
static void
test_map_other_side (void)
{
  for (int own = 0; own < 2; own++)
  {
    g_autoptr (ModelDocument) ids = model_document_new ();
    g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_PAIR, own);
    guint node = fixture_node (panel, "armhole", 0)->id;
    GeomPoint was, now, drawn = fixture_node (panel, "armhole", 0)->at;

    g_assert_true (model_shape_where (panel, MODEL_SIDE_RIGHT, node, MODEL_HANDLE_NONE, &was));
    g_assert_true (
      model_reshape_map_nodes (panel, MODEL_SIDE_RIGHT, &node, 1, geom_affine_move (3.0, -7.0), NULL));
    g_assert_true (model_shape_where (panel, MODEL_SIDE_RIGHT, node, MODEL_HANDLE_NONE, &now));
    reshape_assert_at (now, was.x + 3.0, was.y - 7.0, EXACT);
    reshape_assert_at (fixture_node (panel, "armhole", 0)->at, own ? drawn.x : drawn.x - 3.0,
                       own ? drawn.y : drawn.y - 7.0, EXACT);
  }
}

static void
test_level (void)
{
  const GeomPoint corners[] = { { 0, 0 }, { 200, 8 }, { 190, 100 }, { 0, 96 } };
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_polygon (ids, corners, 4);
  guint right[] = { reshape_node_id (panel, 1, 0), reshape_node_id (panel, 2, 0) };

  /* Each end half the difference. */
  g_assert_true (
    model_reshape_level_edge (panel, MODEL_SIDE_CENTRE, reshape_edge_id (panel, 0), false, NULL));
  reshape_assert_at (reshape_corner (panel, 0), 0.0, 4.0, EXACT);
  reshape_assert_at (reshape_corner (panel, 1), 200.0, 4.0, EXACT);
  g_assert_true (model_reshape_level_nodes (panel, MODEL_SIDE_CENTRE, right, 2, true, NULL));
  reshape_assert_at (reshape_corner (panel, 1), 195.0, 4.0, EXACT);
  reshape_assert_at (reshape_corner (panel, 2), 195.0, 100.0, EXACT);
  /* A locked edge's corner holds: the other comes all the way. */
  model_panel_edge (panel, 3)->locked = true;
  g_assert_true (model_reshape_level_nodes (
    panel, MODEL_SIDE_CENTRE,
    (const guint[]) { reshape_node_id (panel, 2, 0), reshape_node_id (panel, 3, 0) }, 2, false, NULL));
  reshape_assert_at (reshape_corner (panel, 2), 195.0, 96.0, EXACT);
  /* Two that are locked apart cannot. */
  {
    g_autoptr (GError) error = NULL;
    char *was = reshape_picture (panel);

    reshape_assert_refused (model_reshape_level_nodes (panel, MODEL_SIDE_CENTRE,
                                                       (const guint[]) { reshape_node_id (panel, 0, 0),
                                                                         reshape_node_id (panel, 3, 0) },
                                                       2, false, &error),
                            &error, MODEL_REWORK_ERROR_LOCKED, panel, was);
  }
}

static void
test_level_on_fold (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_FOLD, false);

  /* The fold is upright: its corner may come to a height, half of 12, but not across. */
  g_assert_true (
    model_reshape_level_edge (panel, MODEL_SIDE_LEFT, fixture_edge_id (panel, "hem"), false, NULL));
  reshape_assert_at (reshape_corner (panel, 0), 0.0, 6.0, EXACT);
  reshape_assert_at (reshape_corner (panel, 1), 210.0, 6.0, EXACT);
  {
    g_autoptr (GError) error = NULL;
    char *was = reshape_picture (panel);

    /* Plumb, the hem's other end would come right above the one that cannot leave the fold. */
    reshape_assert_refused (
      model_reshape_level_edge (panel, MODEL_SIDE_LEFT, fixture_edge_id (panel, "hem"), true, &error), &error,
      MODEL_REWORK_ERROR_SHAPE, panel, was);
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/reshape/nodes/map", test_map);
  g_test_add_func ("/model/reshape/nodes/map-other-side", test_map_other_side);
  g_test_add_func ("/model/reshape/nodes/level", test_level);
  g_test_add_func ("/model/reshape/nodes/level-on-fold", test_level_on_fold);
  return g_test_run ();
}
