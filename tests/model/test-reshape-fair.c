/* A hand that shook, evened. */
#include "reshape-fixture.h"

#define RADIUS 150.0
#define KNOTS 11

/* A third of a circle of 150 about 0, 0 drawn with KNOTS nodes that are off by up to SHAKE_MM, and two
 * straight edges to the middle. */
static ModelPanel *
shaky_arc (ModelDocument *ids, double shake_mm)
{
  ModelNode nodes[KNOTS + 1];
  double step = 2.0 * G_PI / 3.0 / (KNOTS - 1), handle = RADIUS * (4.0 / 3.0) * tan (step / 4.0);

  for (int i = 0; i < KNOTS; i++)
  {
    double w = step * i;
    bool end = i == 0 || i == KNOTS - 1;
    double r = RADIUS + (end ? 0.0 : g_test_rand_double_range (-shake_mm, shake_mm));
    GeomPoint spoke = geom_point (cos (w), sin (w));

    nodes[i]
      = (ModelNode) { .kind = end ? MODEL_NODE_CORNER : MODEL_NODE_SMOOTH, .at = geom_scale (spoke, r) };
    nodes[i].in = geom_along (nodes[i].at, -handle, geom_left_of (spoke));
    nodes[i].out = geom_along (nodes[i].at, handle, geom_left_of (spoke));
  }
  nodes[0].in = nodes[0].at;
  nodes[KNOTS - 1].out = nodes[KNOTS - 1].at;
  nodes[KNOTS] = (ModelNode) { .kind = MODEL_NODE_CORNER };
  return model_shape_new_panel (ids, nodes, KNOTS + 1);
}

static double
worst_radius (const ModelPanel *panel)
{
  double least, most;

  reshape_distances (panel, 0, geom_point (0, 0), &least, &most);
  return fmax (RADIUS - least, most - RADIUS);
}

static double
unevenness (const ModelPanel *panel)
{
  GeomPath path = { 0 };
  double sum;

  reshape_edge_path (panel, 0, &path);
  sum = model_reshape_unevenness (&path);
  geom_path_clear (&path);
  return sum;
}

static void
test_measure (void)
{
  /* A clothoid's curvature rises evenly, from 0 to k over its length: L^3 (k / L)^2 L = L^2 k^2.  On a short
   * parabola y = a x^2 the curvature is 2 a to second order, so its measure all but vanishes; a cubic
   * y = b x^3 has 6 b x, so the measure is L^4 36 b^2, L its length: with b = 1e-6 on 0..50 that is
   * 2.25e-4. */
  GeomPath path = { 0 };
  GeomCubic cubic = { { { 0, 0 }, { 50.0 / 3.0, 0 }, { 100.0 / 3.0, 0 }, { 50.0, 1e-6 * 125000.0 } } };

  geom_path_append (&path, &cubic);
  g_assert_cmpfloat_with_epsilon (model_reshape_unevenness (&path), 2.25e-4, 2.25e-6);
  geom_path_clear (&path);
}

static void
test_shaky_arc (void)
{
  for (int round = 0; round < 8; round++)
  {
    g_autoptr (ModelDocument) ids = model_document_new ();
    g_autoptr (ModelPanel) was = shaky_arc (ids, 0.5);
    g_autoptr (ModelPanel) panel = model_panel_copy (was);
    guint from = reshape_node_id (panel, 0, 0), to = reshape_node_id (panel, 1, 0);
    double moved, before = unevenness (was);
    GeomPath path = { 0 };

    g_assert_true (model_reshape_fair (panel, MODEL_SIDE_CENTRE, from, to, 1.0, &moved, NULL));
    g_test_message ("unevenness %.4g to %.4g, off the circle %.3f to %.3f, moved %.3f", before,
                    unevenness (panel), worst_radius (was), worst_radius (panel), moved);
    /* A hundredth of the unevenness, nearer to the circle than the hand was, and no farther than allowed. */
    g_assert_cmpfloat (unevenness (panel), <=, before / 100.0);
    g_assert_cmpfloat (worst_radius (panel), <=, worst_radius (was));
    g_assert_cmpfloat (moved, <=, 1.0);
    g_assert_cmpfloat (fixture_apart (panel, false, was, false), <=, 1.0 + 1e-9);
    /* Ends and end tangents: a third of a circle from straight up. */
    reshape_edge_path (panel, 0, &path);
    reshape_assert_at (path.piece[0].p[0], RADIUS, 0.0, 1e-9);
    reshape_assert_at (path.piece[path.count - 1].p[3], -RADIUS / 2.0, RADIUS * sqrt (3.0) / 2.0, 1e-9);
    reshape_assert_at (geom_cubic_tangent (&path.piece[0], 0.0), 0.0, 1.0, 1e-9);
    reshape_assert_at (geom_cubic_tangent (&path.piece[path.count - 1], 1.0), -sqrt (3.0) / 2.0, -0.5, 1e-9);
    geom_path_clear (&path);
    g_assert_cmpuint (model_panel_node_count (panel), ==, KNOTS + 1);
  }
}

static void
test_tight_limit (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) was = shaky_arc (ids, 0.5);
  double last = unevenness (was);

  /* The more it may move, the evener it gets. */
  for (double most = 0.05; most <= 0.8; most *= 4.0)
  {
    g_autoptr (ModelPanel) panel = model_panel_copy (was);
    double moved;

    g_assert_true (model_reshape_fair (panel, MODEL_SIDE_CENTRE, reshape_node_id (panel, 0, 0),
                                       reshape_node_id (panel, 1, 0), most, &moved, NULL));
    g_assert_cmpfloat (moved, <=, most);
    g_assert_cmpfloat (fixture_apart (panel, false, was, false), <=, most + 1e-9);
    g_assert_cmpfloat (unevenness (panel), <, last);
    last = unevenness (panel);
  }
}

static void
test_refused (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_rectangle (ids);
  guint a = reshape_node_id (panel, 0, 0), b = reshape_node_id (panel, 1, 0);
  g_autoptr (GError) error = NULL;
  char *was = reshape_picture (panel);

  /* A straight edge is as even as can be. */
  reshape_assert_refused (model_reshape_fair (panel, MODEL_SIDE_CENTRE, a, b, 1.0, NULL, &error), &error,
                          MODEL_REWORK_ERROR_SHAPE, panel, was);
  was = reshape_picture (panel);
  reshape_assert_refused (model_reshape_fair (panel, MODEL_SIDE_CENTRE, a, a, 1.0, NULL, &error), &error,
                          MODEL_REWORK_ERROR_PLACE, panel, was);
  was = reshape_picture (panel);
  reshape_assert_refused (model_reshape_fair (panel, MODEL_SIDE_CENTRE, a, b, NAN, NULL, &error), &error,
                          MODEL_REWORK_ERROR_VALUE, panel, was);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/reshape/fair/measure", test_measure);
  g_test_add_func ("/model/reshape/fair/shaky-arc", test_shaky_arc);
  g_test_add_func ("/model/reshape/fair/tight-limit", test_tight_limit);
  g_test_add_func ("/model/reshape/fair/refused", test_refused);
  return g_test_run ();
}
