/* A part of the outline drawn again. */
#include "reshape-fixture.h"

static const ModelRedraw how = { .reach_mm = 6.0, .tolerance_mm = 0.5, .corner_rad = 50.0 * G_PI / 180.0 };

static void
add (GArray *points, double x, double y)
{
  GeomPoint p = { x, y };

  g_array_append_val (points, p);
}

static bool
draw (ModelPanel *panel, ModelDocument *ids, ModelSide side, GArray *points, GError **error)
{
  return model_reshape_redraw (panel, ids, side, (const GeomPoint *)points->data, points->len, how, error);
}

/* A bump of 20 on the top of the rectangle, from x = 160 to 40: y = 100 + 10 (1 - cos). */
static GArray *
bump (bool back)
{
  GArray *points = g_array_new (FALSE, FALSE, sizeof (GeomPoint));

  for (int i = 0; i <= 60; i++)
  {
    double s = (back ? 60 - i : i) / 60.0;

    add (points, 160.0 - 120.0 * s, 100.0 + 10.0 * (1.0 - cos (2.0 * G_PI * s)));
  }
  return points;
}

static void
test_bump (void)
{
  for (int back = 0; back < 2; back++)
  {
    g_autoptr (ModelDocument) ids = model_document_new ();
    g_autoptr (ModelPanel) was = reshape_rectangle (ids);
    g_autoptr (ModelPanel) panel = model_panel_copy (was);
    g_autoptr (GArray) points = bump (back);
    GeomPath path = { 0 };

    g_assert_true (draw (panel, ids, MODEL_SIDE_CENTRE, points, NULL));
    g_assert_cmpuint (panel->edges->len, ==, 4);
    for (guint e = 0; e < 4; e++)
    {
      g_assert_cmpuint (reshape_edge_id (panel, e), ==, reshape_edge_id (was, e));
      g_assert_cmpuint (reshape_node_id (panel, e, 0), ==, reshape_node_id (was, e, 0));
      reshape_assert_at (reshape_corner (panel, e), reshape_corner (was, e).x, reshape_corner (was, e).y,
                         1e-12);
    }
    /* The bump holds 10 x 120 mm2; within the tolerance along it. */
    g_assert_cmpfloat_with_epsilon (reshape_area (panel), 20000.0 + 1200.0, how.tolerance_mm * 130.0);
    reshape_edge_path (panel, 2, &path);
    for (guint i = 0; i < points->len; i++)
      g_assert_cmpfloat (geom_path_nearest (&path, g_array_index (points, GeomPoint, i)).distance_mm, <=,
                         2.0 * how.tolerance_mm);
    /* It leaves the straight edge in its direction and comes back to it so. */
    for (size_t i = 1; i < path.count; i++)
      reshape_assert_at (geom_cubic_tangent (&path.piece[i], 0.0),
                         geom_cubic_tangent (&path.piece[i - 1], 1.0).x,
                         geom_cubic_tangent (&path.piece[i - 1], 1.0).y, 1e-6);
    geom_path_clear (&path);
  }
}

static void
test_over_a_corner (void)
{
  for (int bend = 0; bend < 2; bend++)
  {
    g_autoptr (ModelDocument) ids = model_document_new ();
    g_autoptr (ModelPanel) was = reshape_rectangle (ids);
    g_autoptr (ModelPanel) panel = model_panel_copy (was);
    g_autoptr (GArray) points = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
    GeomPoint corner;

    model_shape_add_mark (panel, ids, reshape_edge_id (panel, 0), 0, 0.5, 1);
    if (bend)
    {
      /* Over a corner of the stroke's own at 208, 106. */
      for (int i = 0; i <= 30; i++)
        add (points, 200.0 + 8.0 * i / 30.0, 50.0 + 56.0 * i / 30.0);
      for (int i = 1; i <= 30; i++)
        add (points, 208.0 - 68.0 * i / 30.0, 106.0 - 6.0 * i / 30.0);
    }
    else
      /* A quarter of a circle of 50 about 150, 50. */
      for (int i = 0; i <= 40; i++)
        add (points, 150.0 + 50.0 * cos (G_PI / 80.0 * i), 50.0 + 50.0 * sin (G_PI / 80.0 * i));
    g_assert_true (draw (panel, ids, MODEL_SIDE_CENTRE, points, NULL));
    g_assert_cmpuint (panel->edges->len, ==, 4);
    for (guint e = 0; e < 4; e++)
    {
      g_assert_cmpuint (reshape_edge_id (panel, e), ==, reshape_edge_id (was, e));
      g_assert_cmpuint (reshape_node_id (panel, e, 0), ==, reshape_node_id (was, e, 0));
    }
    corner = reshape_corner (panel, 2);
    if (bend)
      reshape_assert_at (corner, 208.0, 106.0, 1.0);
    else
      /* The nearest point of the circle to 200, 100 lies at 45 degrees. */
      reshape_assert_at (corner, 150.0 + 25.0 * G_SQRT2, 50.0 + 25.0 * G_SQRT2, 1.0);
    g_assert_cmpfloat_with_epsilon (g_array_index (panel->marks, ModelMark, 0).at_mm, 100.0, 1e-9);
  }
}

/* From edge 1 the long way over the corner of edge 0: the list of edges begins inside the part. */
static void
test_round_the_first_corner (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) was = reshape_rectangle (ids);
  g_autoptr (ModelPanel) panel = model_panel_copy (was);
  g_autoptr (GArray) points = g_array_new (FALSE, FALSE, sizeof (GeomPoint));

  for (int i = 0; i <= 40; i++)
    add (points, 40.0 - 40.0 * cos (G_PI / 80.0 * i), 40.0 - 40.0 * sin (G_PI / 80.0 * i));
  g_assert_true (draw (panel, ids, MODEL_SIDE_CENTRE, points, NULL));
  g_assert_cmpuint (panel->edges->len, ==, 4);
  g_assert_cmpuint (reshape_node_id (panel, 0, 0), ==, reshape_node_id (was, 0, 0));
  g_assert_cmpfloat_with_epsilon (reshape_area (panel), 20000.0 - (1.0 - G_PI / 4.0) * 1600.0, 40.0);
}

static void
test_joins_stay (void)
{
  g_autoptr (ModelHistory) history = rework_fixture (MODEL_HALVES_PAIR, true);
  ModelDocument *doc = model_history_document (history);
  ModelPanel *panel = model_panel_copy (rework_panel_named (history, "Front"));
  g_autoptr (ModelPanel) was = model_panel_copy (panel);
  g_autoptr (GArray) points = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  GeomPath path = { 0 };

  /* Beside the side edge, up to 6 inward of where it is. */
  reshape_edge_path (panel, 1, &path);
  for (int i = 0; i <= 60; i++)
  {
    double s = 0.1 + 0.8 * i / 60.0, length = geom_path_length (&path, 1e-6);
    GeomPlace place = geom_path_place_at (&path, s * length, 1e-6);
    GeomPoint p = geom_along (geom_path_point (&path, place), 6.0 * sin (G_PI * i / 60.0),
                              geom_left_of (geom_path_tangent (&path, place)));

    g_array_append_val (points, p);
  }
  geom_path_clear (&path);
  g_assert_true (draw (panel, doc, MODEL_SIDE_LEFT, points, NULL));
  g_assert_cmpfloat (fixture_apart (panel, false, was, false), >, 4.0);
  /* The corrections go along: the other side moves as well. */
  g_assert_cmpfloat (fixture_apart (panel, true, was, true), >, 4.0);
  model_repair_put_panel (history, panel);
  g_assert_cmpuint (doc->joins->len, ==, 2);
  g_assert_cmpuint (((ModelJoin *)g_ptr_array_index (doc->joins, 0))->matches->len, ==, 1);
}

static void
test_own_side (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) was = fixture_panel (ids, MODEL_HALVES_PAIR, true);
  g_autoptr (ModelPanel) panel = model_panel_copy (was);
  g_autoptr (GArray) points = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  GeomPoint a = { 50, 50.0 * 12.0 / 210.0 }, b = { 160, 160.0 * 12.0 / 210.0 };

  /* The hem of the right side, mirrored in x = -35: 8 lower in the middle. */
  for (int i = 0; i <= 40; i++)
  {
    GeomPoint p = geom_mix (a, b, i / 40.0);

    add (points, -70.0 - p.x, p.y - 8.0 * sin (G_PI * i / 40.0));
  }
  g_assert_true (draw (panel, ids, MODEL_SIDE_RIGHT, points, NULL));
  g_assert_cmpfloat (fixture_apart (panel, false, was, false), <=, 1e-9);
  g_assert_cmpfloat (fixture_apart (panel, true, was, true), >, 5.0);
}

static void
test_refused (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_rectangle (ids);
  g_autoptr (GArray) away = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  g_autoptr (GArray) points = bump (false);
  g_autoptr (GError) error = NULL;
  char *was = reshape_picture (panel);

  add (away, 20.0, 130.0);
  add (away, 100.0, 130.0);
  reshape_assert_refused (draw (panel, ids, MODEL_SIDE_CENTRE, away, &error), &error,
                          MODEL_REWORK_ERROR_PLACE, panel, was);
  g_assert_false (
    model_reshape_touches (panel, MODEL_SIDE_CENTRE, geom_point (20, 130), geom_point (100, 130), 6.0));
  g_assert_true (
    model_reshape_touches (panel, MODEL_SIDE_CENTRE, geom_point (20, 104), geom_point (100, 97), 6.0));
  g_assert_false (
    model_reshape_touches (panel, MODEL_SIDE_CENTRE, geom_point (20, 104), geom_point (22, 97), 6.0));
  g_array_index (points, GeomPoint, 20).x = NAN;
  was = reshape_picture (panel);
  reshape_assert_refused (draw (panel, ids, MODEL_SIDE_CENTRE, points, &error), &error,
                          MODEL_REWORK_ERROR_VALUE, panel, was);
  model_panel_edge (panel, 2)->locked = true;
  g_array_index (points, GeomPoint, 20).x = 120.0;
  was = reshape_picture (panel);
  reshape_assert_refused (draw (panel, ids, MODEL_SIDE_CENTRE, points, &error), &error,
                          MODEL_REWORK_ERROR_LOCKED, panel, was);
}

/* Scribbles of any kind leave a panel that can be saved, or none of it. */
static void
test_scribbles (void)
{
  for (int round = 0; round < 200; round++)
  {
    g_autoptr (ModelDocument) ids = model_document_new ();
    g_autoptr (ModelPanel) panel
      = fixture_panel (ids, round % 3 == 0 ? MODEL_HALVES_FOLD : MODEL_HALVES_PAIR, round % 2);
    g_autoptr (GArray) points = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
    GeomPath path = { 0 };
    double angle = g_test_rand_double_range (0.0, 2.0 * G_PI);
    GeomPoint p;

    model_panel_path (panel, &path, NULL);
    p = geom_cubic_at (&path.piece[g_test_rand_int_range (0, (int)path.count)], g_test_rand_double ());
    geom_path_clear (&path);
    for (int i = 0; i < 60; i++)
    {
      add (points, p.x, p.y);
      angle += g_test_rand_double_range (-0.6, 0.6);
      p = geom_along (p, 6.0, geom_point (cos (angle), sin (angle)));
    }
    model_reshape_redraw (panel, ids, round % 5 == 0 ? MODEL_SIDE_RIGHT : MODEL_SIDE_LEFT,
                          (const GeomPoint *)points->data, points->len,
                          (ModelRedraw) { .reach_mm = 80.0, .tolerance_mm = 0.5, .corner_rad = 0.9 }, NULL);
    g_assert_cmpuint (panel->edges->len, ==, 4);
    g_assert_false (model_repair_panel (panel));
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/reshape/redraw/bump", test_bump);
  g_test_add_func ("/model/reshape/redraw/over-a-corner", test_over_a_corner);
  g_test_add_func ("/model/reshape/redraw/round-the-first-corner", test_round_the_first_corner);
  g_test_add_func ("/model/reshape/redraw/joins-stay", test_joins_stay);
  g_test_add_func ("/model/reshape/redraw/own-side", test_own_side);
  g_test_add_func ("/model/reshape/redraw/refused", test_refused);
  g_test_add_func ("/model/reshape/redraw/scribbles", test_scribbles);
  return g_test_run ();
}
