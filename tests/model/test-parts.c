/* The parts' life, and looking into a panel. */
#include "model/parts.h"

#include "support/big-document.h"

/* Edges of straight pieces through the corners; node ids 1.. in order, edge ids 101.. */
static ModelPanel *
polygon (const GeomPoint *corner, guint count)
{
  ModelPanel *panel = model_panel_new ();

  for (guint i = 0; i < count; i++)
  {
    ModelEdge *edge = model_edge_new ();
    ModelNode node = { .id = i + 1, .at = corner[i], .in = corner[i], .out = corner[i] };

    edge->id = 101 + i;
    g_array_append_val (edge->nodes, node);
    g_ptr_array_add (panel->edges, edge);
  }
  return panel;
}

static const GeomPoint half_shield[] = { { 0, 0 }, { 30, 0 }, { 30, 40 }, { 0, 40 } };

static void
assert_point (GeomPoint p, double x, double y)
{
  g_assert_cmpfloat_with_epsilon (p.x, x, 1e-12);
  g_assert_cmpfloat_with_epsilon (p.y, y, 1e-12);
}

static void
test_sides (void)
{
  g_assert_cmpint (model_side_other (MODEL_SIDE_LEFT), ==, MODEL_SIDE_RIGHT);
  g_assert_cmpint (model_side_other (MODEL_SIDE_RIGHT), ==, MODEL_SIDE_LEFT);
  g_assert_cmpint (model_side_other (MODEL_SIDE_CENTRE), ==, MODEL_SIDE_CENTRE);
  g_assert_cmpstr (model_side_key (MODEL_SIDE_LEFT), ==, "left");
  g_assert_cmpstr (model_side_key (MODEL_SIDE_CENTRE), ==, "centre");
}

static void
test_finding (void)
{
  g_autoptr (ModelPanel) panel = polygon (half_shield, 4);
  ModelNode more = { .id = 9, .at = { 15, -1 }, .in = { 15, -1 }, .out = { 15, -1 } };
  ModelMark mark = { 20, 102, 5.0, 1 };
  ModelCorrection correction = { .node_id = 3 };
  guint e = 99, n = 99;

  g_array_append_val (model_panel_edge (panel, 0)->nodes, more);
  g_array_append_val (panel->marks, mark);
  g_array_append_val (panel->corrections, correction);
  g_assert_cmpint (model_panel_find_edge (panel, 103), ==, 2);
  g_assert_cmpint (model_panel_find_edge (panel, 3), ==, -1);
  g_assert_true (model_panel_find_node (panel, 9, &e, &n));
  g_assert_cmpuint (e, ==, 0);
  g_assert_cmpuint (n, ==, 1);
  g_assert_true (model_panel_find_node (panel, 4, NULL, NULL));
  g_assert_false (model_panel_find_node (panel, 101, &e, &n));
  g_assert_cmpuint (model_panel_find_mark (panel, 20)->edge_id, ==, 102);
  g_assert_null (model_panel_find_mark (panel, 102));
  g_assert_nonnull (model_panel_find_correction (panel, 3));
  g_assert_null (model_panel_find_correction (panel, 4));
  g_assert_cmpuint (model_panel_node_count (panel), ==, 5);
  g_assert_cmpuint (model_panel_next_node (panel, 0, 0)->id, ==, 9);
  g_assert_cmpuint (model_panel_next_node (panel, 0, 1)->id, ==, 2);
  g_assert_cmpuint (model_panel_next_node (panel, 3, 0)->id, ==, 1);
}

/* Area of a 30 x 40 rectangle, and the pieces' places among the edges. */
static void
test_path (void)
{
  g_autoptr (ModelPanel) panel = polygon (half_shield, 4);
  ModelNode more = { .id = 9, .at = { 15, 0 }, .in = { 15, 0 }, .out = { 15, 0 } };
  GeomPath path;
  size_t first[4];

  g_array_append_val (model_panel_edge (panel, 0)->nodes, more);
  geom_path_init (&path);
  model_panel_path (panel, &path, first);
  g_assert_true (path.closed);
  g_assert_cmpuint (path.count, ==, 5);
  g_assert_cmpuint (first[0], ==, 0);
  g_assert_cmpuint (first[1], ==, 2);
  g_assert_cmpuint (first[3], ==, 4);
  g_assert_cmpfloat_with_epsilon (geom_path_area (&path), 1200.0, 1e-9);
  /* A piece without handles runs at even speed: half of it is half of its length. */
  assert_point (geom_cubic_at (&path.piece[2], 0.25), 30.0, 10.0);
  g_assert_true (geom_same_point (path.piece[4].p[3], path.piece[0].p[0]));
  geom_path_clear (&path);
}

static void
test_empty_panel (void)
{
  g_autoptr (ModelPanel) panel = model_panel_new ();
  GeomPath path;

  geom_path_init (&path);
  model_panel_path (panel, &path, NULL);
  g_assert_cmpuint (path.count, ==, 0);
  model_panel_twin_path (panel, &path, NULL);
  g_assert_cmpuint (path.count, ==, 0);
  g_assert_cmpint (model_panel_fold_edge (panel), ==, -1);
  geom_path_clear (&path);
}

static void
test_mirror (void)
{
  g_autoptr (ModelPanel) panel = polygon (half_shield, 4);
  GeomPoint p = { 7, 11 };

  model_panel_edge (panel, 3)->fold = true;
  assert_point (geom_affine_apply (model_panel_mirror (panel), p), 7, 11);
  g_assert_cmpint (model_panel_fold_edge (panel), ==, -1);
  panel->halves = MODEL_HALVES_FOLD;
  g_assert_cmpint (model_panel_fold_edge (panel), ==, 3);
  assert_point (geom_affine_apply (model_panel_mirror (panel), p), -7, 11);
  /* Folded in its hem, y = 0. */
  model_panel_edge (panel, 3)->fold = false;
  model_panel_edge (panel, 0)->fold = true;
  assert_point (geom_affine_apply (model_panel_mirror (panel), p), 7, -11);
  panel->halves = MODEL_HALVES_PAIR;
  panel->mirror_x_mm = -10;
  assert_point (geom_affine_apply (model_panel_mirror (panel), p), -27, 11);
}

static void
test_twin_path (void)
{
  g_autoptr (ModelPanel) panel = polygon (half_shield, 4);
  ModelCorrection more = { 3, { 2, 1 }, { 2, 1 }, { 2, 1 } };
  GeomPath path;

  panel->halves = MODEL_HALVES_PAIR;
  g_array_append_val (panel->corrections, more);
  geom_path_init (&path);
  model_panel_twin_path (panel, &path, NULL);
  /* Same order, other direction. */
  assert_point (path.piece[1].p[0], -30, 0);
  assert_point (path.piece[2].p[0], -30, 40);
  g_assert_cmpfloat_with_epsilon (geom_path_area (&path), -1200.0, 1e-9);
  panel->own_sides = true;
  model_panel_twin_path (panel, &path, NULL);
  assert_point (path.piece[2].p[0], -28, 41);
  assert_point (path.piece[1].p[3], -28, 41);
  assert_point (path.piece[3].p[0], 0, 40);
  geom_path_clear (&path);
}

/* Many corrections are looked up in another way; both must say the same. */
static void
test_many_corrections (void)
{
  g_autoptr (ModelPanel) panel = model_panel_new ();
  GeomPath many, few;
  enum
  {
    NODES = 40
  };

  for (guint i = 0; i < NODES; i++)
  {
    ModelEdge *edge = model_edge_new ();
    GeomPoint at = { cos (i * 2.0 * G_PI / NODES), sin (i * 2.0 * G_PI / NODES) };
    ModelNode node = { .id = i + 1, .at = at, .in = at, .out = at };
    ModelCorrection more = { NODES - i, { (double)(NODES - i), 0.5 }, { 1, 1 }, { 2, 2 } };

    g_array_append_val (edge->nodes, node);
    g_ptr_array_add (panel->edges, edge);
    g_array_append_val (panel->corrections, more);
  }
  panel->halves = MODEL_HALVES_PAIR;
  panel->own_sides = true;
  geom_path_init (&many);
  geom_path_init (&few);
  model_panel_twin_path (panel, &many, NULL);
  for (guint i = 0; i < NODES; i++)
  {
    g_autoptr (ModelPanel) single = model_panel_copy (panel);
    ModelCorrection only = *model_panel_find_correction (panel, i + 1);

    g_array_set_size (single->corrections, 0);
    g_array_append_val (single->corrections, only);
    model_panel_twin_path (single, &few, NULL);
    g_assert_true (geom_same_point (many.piece[i].p[0], few.piece[i].p[0]));
    g_assert_true (geom_same_point (many.piece[i].p[1], few.piece[i].p[1]));
  }
  geom_path_clear (&many);
  geom_path_clear (&few);
}

/* What the other rooms' tests rest on: all curved edges of the large document are equally long. */
static void
test_big_document_lengths (void)
{
  g_autoptr (ModelDocument) doc = test_big_document ();
  GeomPath path;
  double want_mm = 0.0;
  guint edges = 0;

  geom_path_init (&path);
  for (guint i = 0; i < doc->panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (doc->panels, i);

    model_panel_path (panel, &path, NULL);
    g_assert_cmpuint (path.count, ==, TEST_BIG_EDGES);
    g_assert_cmpfloat (geom_path_area (&path), >, 0.0);
    for (guint e = 0; e < panel->edges->len; e++, edges++)
    {
      double mm = geom_cubic_length (&path.piece[e], 1e-9);

      if (model_panel_edge (panel, e)->fold)
        continue;
      if (want_mm <= 0.0)
        want_mm = mm;
      g_assert_cmpfloat_with_epsilon (mm, want_mm, 1e-8);
    }
  }
  g_assert_cmpuint (edges, ==, TEST_BIG_PANELS * TEST_BIG_EDGES);
  /* Longer than the side of the regular twelve-gon, 2 R sin 15 degrees. */
  g_assert_cmpfloat (want_mm, >, 2.0 * TEST_BIG_RADIUS_MM * sin (G_PI / 12.0));
  geom_path_clear (&path);
}

static void
test_extra_copy_is_deep (void)
{
  JsonObject *inner = json_object_new (), *extra = json_object_new ();
  g_autoptr (JsonObject) copy = NULL;

  json_object_set_int_member (inner, "pitch", 5);
  json_object_set_object_member (extra, "holes", inner);
  copy = model_extra_copy (extra);
  json_object_set_int_member (inner, "pitch", 6);
  g_assert_cmpint (json_object_get_int_member (json_object_get_object_member (copy, "holes"), "pitch"), ==,
                   5);
  json_object_unref (extra);
  g_assert_null (model_extra_copy (NULL));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/parts/sides", test_sides);
  g_test_add_func ("/model/parts/finding", test_finding);
  g_test_add_func ("/model/parts/path", test_path);
  g_test_add_func ("/model/parts/empty-panel", test_empty_panel);
  g_test_add_func ("/model/parts/mirror", test_mirror);
  g_test_add_func ("/model/parts/twin-path", test_twin_path);
  g_test_add_func ("/model/parts/many-corrections", test_many_corrections);
  g_test_add_func ("/model/parts/big-document-lengths", test_big_document_lengths);
  g_test_add_func ("/model/parts/extra-copy-is-deep", test_extra_copy_is_deep);
  return g_test_run ();
}
