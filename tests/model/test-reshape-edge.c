/* Edges by the rule: where corners come to lie is worked out by hand beside each check. */
#include "reshape-fixture.h"

/* Half a turn of rounding of coordinates of a few hundred mm. */
#define EXACT 1e-9

static void
test_move_straight (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_rectangle (ids);
  guint mark = model_shape_add_mark (panel, ids, reshape_edge_id (panel, 0), 0, 0.25, 1);

  /* 200 x 100, the right side 15 mm out: 215 x 100; the hem's mark stays at 50. */
  g_assert_true (
    model_reshape_move_edge (panel, ids, MODEL_SIDE_CENTRE, reshape_edge_id (panel, 1), 15.0, NULL));
  reshape_assert_at (reshape_corner (panel, 1), 215.0, 0.0, EXACT);
  reshape_assert_at (reshape_corner (panel, 2), 215.0, 100.0, EXACT);
  g_assert_cmpfloat_with_epsilon (reshape_area (panel), 21500.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (model_panel_find_mark (panel, mark)->at_mm, 50.0, EXACT);
  g_assert_cmpuint (model_panel_node_count (panel), ==, 4);
  /* Inward again by 30: 185. */
  g_assert_true (
    model_reshape_move_edge (panel, ids, MODEL_SIDE_CENTRE, reshape_edge_id (panel, 1), -30.0, NULL));
  reshape_assert_at (reshape_corner (panel, 1), 185.0, 0.0, EXACT);
}

static void
test_move_between_slants (void)
{
  /* The right side runs along x = 200 - y / 2: 20 below the hem it is at 210. */
  const GeomPoint corners[] = { { 0, 0 }, { 200, 0 }, { 150, 100 }, { 0, 100 } };
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_polygon (ids, corners, 4);

  g_assert_true (
    model_reshape_move_edge (panel, ids, MODEL_SIDE_CENTRE, reshape_edge_id (panel, 0), 20.0, NULL));
  reshape_assert_at (reshape_corner (panel, 0), 0.0, -20.0, EXACT);
  reshape_assert_at (reshape_corner (panel, 1), 210.0, -20.0, EXACT);
  /* 40 inward of there, 20 above the old hem: 190. */
  g_assert_true (
    model_reshape_move_edge (panel, ids, MODEL_SIDE_CENTRE, reshape_edge_id (panel, 0), -40.0, NULL));
  reshape_assert_at (reshape_corner (panel, 1), 190.0, 20.0, EXACT);
}

static void
test_move_beside_curve (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_quarter (ids);
  guint arc_nodes = model_panel_edge (panel, 1)->nodes->len;

  /* The arc leaves 100, 0 straight up, so it is led on straight down: area pi 100^2 / 4 + 100 x 10. */
  g_assert_true (
    model_reshape_move_edge (panel, ids, MODEL_SIDE_CENTRE, reshape_edge_id (panel, 0), 10.0, NULL));
  reshape_assert_at (reshape_corner (panel, 0), 0.0, -10.0, EXACT);
  reshape_assert_at (reshape_corner (panel, 1), 100.0, -10.0, EXACT);
  g_assert_cmpuint (model_panel_edge (panel, 1)->nodes->len, ==, arc_nodes + 1);
  reshape_assert_at (model_edge_node (model_panel_edge (panel, 1), 1)->at, 100.0, 0.0, EXACT);
  /* The arc itself is right to 4.3e-6 of its radius, its area to twice that. */
  g_assert_cmpfloat_with_epsilon (reshape_area (panel), G_PI * 2500.0 + 1000.0, 0.08);
}

static void
test_move_cuts_curve (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_quarter (ids);

  /* y = 10 cuts the circle at sqrt (100^2 - 10^2). */
  g_assert_true (
    model_reshape_move_edge (panel, ids, MODEL_SIDE_CENTRE, reshape_edge_id (panel, 0), -10.0, NULL));
  reshape_assert_at (reshape_corner (panel, 0), 0.0, 10.0, EXACT);
  reshape_assert_at (reshape_corner (panel, 1), sqrt (9900.0), 10.0, 5e-4);
  g_assert_cmpfloat_with_epsilon (reshape_length (panel, 1), 100.0 * acos (0.1), 1e-3);
}

static void
test_move_curve (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_quarter (ids);
  double least, most;

  /* Square to both straight edges, so these run on by 5: a quarter of a disc of 105. */
  g_assert_true (
    model_reshape_move_edge (panel, ids, MODEL_SIDE_CENTRE, reshape_edge_id (panel, 1), 5.0, NULL));
  reshape_assert_at (reshape_corner (panel, 1), 105.0, 0.0, EXACT);
  reshape_assert_at (reshape_corner (panel, 2), 0.0, 105.0, EXACT);
  reshape_distances (panel, 1, geom_point (0, 0), &least, &most);
  /* The promise, and the arc's own error of 4.3e-6 of 105. */
  g_assert_cmpfloat (least, >=, 105.0 - 0.0205);
  g_assert_cmpfloat (most, <=, 105.0 + 0.0205);
  /* Inward beyond its own centre a parallel folds back. */
  {
    g_autoptr (GError) error = NULL;
    char *was = reshape_picture (panel);

    reshape_assert_refused (
      model_reshape_move_edge (panel, ids, MODEL_SIDE_CENTRE, reshape_edge_id (panel, 1), -130.0, &error),
      &error, MODEL_REWORK_ERROR_SHAPE, panel, was);
  }
}

static void
test_extend (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) rectangle = reshape_rectangle (ids);
  g_autoptr (ModelPanel) quarter = reshape_quarter (ids);

  g_assert_true (model_reshape_extend_edge (rectangle, ids, MODEL_SIDE_CENTRE, reshape_edge_id (rectangle, 0),
                                            false, 12.0, NULL));
  reshape_assert_at (reshape_corner (rectangle, 1), 212.0, 0.0, EXACT);
  g_assert_cmpuint (model_panel_node_count (rectangle), ==, 4);
  g_assert_true (model_reshape_extend_edge (rectangle, ids, MODEL_SIDE_CENTRE, reshape_edge_id (rectangle, 0),
                                            true, 8.0, NULL));
  reshape_assert_at (reshape_corner (rectangle, 0), -8.0, 0.0, EXACT);
  /* The arc arrives at 0, 100 to the left: 7 further it is 50 pi + 7 long and ends at -7, 100. */
  g_assert_true (model_reshape_extend_edge (quarter, ids, MODEL_SIDE_CENTRE, reshape_edge_id (quarter, 1),
                                            false, 7.0, NULL));
  reshape_assert_at (reshape_corner (quarter, 2), -7.0, 100.0, EXACT);
  g_assert_cmpfloat_with_epsilon (reshape_length (quarter, 1), 50.0 * G_PI + 7.0, 1e-3);
  /* 17 shorter: 10 of the arc are gone too; its end is 0.1 radians before the top. */
  g_assert_true (model_reshape_extend_edge (quarter, ids, MODEL_SIDE_CENTRE, reshape_edge_id (quarter, 1),
                                            false, -17.0, NULL));
  reshape_assert_at (reshape_corner (quarter, 2), 100.0 * sin (0.1), 100.0 * cos (0.1), 1e-3);
  {
    g_autoptr (GError) error = NULL;
    char *was = reshape_picture (quarter);

    reshape_assert_refused (model_reshape_extend_edge (quarter, ids, MODEL_SIDE_CENTRE,
                                                       reshape_edge_id (quarter, 1), false, -400.0, &error),
                            &error, MODEL_REWORK_ERROR_SHAPE, quarter, was);
  }
}

static void
test_straighten (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_quarter (ids);
  guint mark = model_shape_add_mark (panel, ids, reshape_edge_id (panel, 1), 0, 0.0, 1);

  /* A quarter of the arc is a quarter of the chord. */
  model_panel_find_mark (panel, mark)->at_mm = 0.25 * reshape_length (panel, 1);
  g_assert_true (model_reshape_straighten_edge (panel, MODEL_SIDE_CENTRE, reshape_edge_id (panel, 1), NULL));
  g_assert_cmpuint (model_panel_edge (panel, 1)->nodes->len, ==, 1);
  g_assert_cmpfloat_with_epsilon (reshape_length (panel, 1), 100.0 * G_SQRT2, EXACT);
  g_assert_cmpfloat_with_epsilon (reshape_area (panel), 5000.0, 1e-6);
  g_assert_cmpfloat_with_epsilon (model_panel_find_mark (panel, mark)->at_mm, 25.0 * G_SQRT2, 1e-6);
}

static void
test_angle (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_rectangle (ids);
  double deg;

  g_assert_true (model_reshape_edge_angle (panel, MODEL_SIDE_CENTRE, reshape_edge_id (panel, 1), &deg));
  g_assert_cmpfloat_with_epsilon (deg, 90.0, EXACT);
  /* 100 long at 60 degrees from 200, 0. */
  g_assert_true (
    model_reshape_set_edge_angle (panel, MODEL_SIDE_CENTRE, reshape_edge_id (panel, 1), 60.0, false, NULL));
  reshape_assert_at (reshape_corner (panel, 2), 250.0, 50.0 * sqrt (3.0), EXACT);
  g_assert_cmpfloat_with_epsilon (reshape_length (panel, 1), 100.0, EXACT);
  /* About its last corner, upright again: that corner keeps its place. */
  g_assert_true (
    model_reshape_set_edge_angle (panel, MODEL_SIDE_CENTRE, reshape_edge_id (panel, 1), 90.0, true, NULL));
  reshape_assert_at (reshape_corner (panel, 2), 250.0, 50.0 * sqrt (3.0), EXACT);
  reshape_assert_at (reshape_corner (panel, 1), 250.0, 50.0 * sqrt (3.0) - 100.0, EXACT);
}

static void
test_radius (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_quarter (ids);
  double least, most;
  g_autoptr (GError) error = NULL;
  char *was;

  g_assert_cmpfloat_with_epsilon (reshape_length (panel, 1), 50.0 * G_PI, 1e-3);
  reshape_distances (panel, 1, geom_point (0, 0), &least, &most);
  /* Two pieces of 45 degrees; the error formula is first order, hence the percent. */
  g_assert_cmpfloat (least, >=, 100.0 - 1e-9);
  g_assert_cmpfloat (most, <=, 100.0 * (1.0 + 1.01 * model_reshape_arc_error (G_PI / 4.0)));
  g_assert_cmpfloat (most, >=, 100.0 * (1.0 + 0.99 * model_reshape_arc_error (G_PI / 4.0)));
  /* 2/27 sin^6 (11.25 deg) / cos^2 (11.25 deg), by a pocket calculator. */
  g_assert_cmpfloat_with_epsilon (model_reshape_arc_error (G_PI / 4.0), 4.245e-6, 1e-9);
  was = reshape_picture (panel);
  reshape_assert_refused (
    model_reshape_set_edge_radius (panel, ids, MODEL_SIDE_CENTRE, reshape_edge_id (panel, 1), 70.0, &error),
    &error, MODEL_REWORK_ERROR_VALUE, panel, was);
  /* Half the chord is half a circle: length pi r. */
  g_assert_true (model_reshape_set_edge_radius (panel, ids, MODEL_SIDE_CENTRE, reshape_edge_id (panel, 1),
                                                50.0 * G_SQRT2 + 1e-9, NULL));
  g_assert_cmpfloat_with_epsilon (reshape_length (panel, 1), 50.0 * G_SQRT2 * G_PI, 2e-2);
}

/* A deed on the side that has corrections lands there alone; on the drawn side the other follows. */
static void
test_sides (void)
{
  for (int own = 0; own < 2; own++)
    for (int held = 0; held < 2; held++)
      for (int deed = 0; deed < 5; deed++)
      {
        g_autoptr (ModelDocument) ids = model_document_new ();
        g_autoptr (ModelPanel) was = fixture_panel (ids, MODEL_HALVES_PAIR, own);
        g_autoptr (ModelPanel) panel = model_panel_copy (was);
        ModelSide side = held ? MODEL_SIDE_RIGHT : MODEL_SIDE_LEFT;
        guint hem = fixture_edge_id (panel, "hem"), flank = fixture_edge_id (panel, "side");
        bool done = false;

        switch (deed)
        {
        case 0:
          done = model_reshape_move_edge (panel, ids, side, flank, 3.0, NULL);
          break;
        case 1:
          done = model_reshape_extend_edge (panel, ids, side, flank, false, 9.0, NULL);
          break;
        case 2:
          done = model_reshape_straighten_edge (panel, side, flank, NULL);
          break;
        case 3:
          done = model_reshape_set_edge_angle (panel, side, hem, held ? 180.0 : 0.0, false, NULL);
          break;
        case 4:
          done = model_reshape_set_edge_radius (panel, ids, side, flank, 400.0, NULL);
          break;
        }
        g_test_message ("own %d, held %d, deed %d", own, held, deed);
        g_assert_true (done);
        g_assert_cmpfloat (fixture_apart (panel, held, was, held), >, 1.0);
        if (own && held)
          g_assert_cmpfloat (fixture_apart (panel, false, was, false), <=, 1e-9);
        else
          g_assert_cmpfloat (fixture_apart (panel, true, was, true), >, 1.0);
        if (deed == 3)
        {
          double deg;

          g_assert_true (model_reshape_edge_angle (panel, side, hem, &deg));
          g_assert_cmpfloat_with_epsilon (fabs (deg), held ? 180.0 : 0.0, 1e-9);
        }
      }
}

static void
test_fold_and_locks (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_FOLD, false);
  g_autoptr (GError) error = NULL;
  char *was = reshape_picture (panel);

  reshape_assert_refused (
    model_reshape_move_edge (panel, ids, MODEL_SIDE_LEFT, fixture_edge_id (panel, "middle"), 5.0, &error),
    &error, MODEL_REWORK_ERROR_FOLD, panel, was);
  /* The hem's end would leave the fold's axis. */
  was = reshape_picture (panel);
  reshape_assert_refused (model_reshape_extend_edge (panel, ids, MODEL_SIDE_LEFT,
                                                     fixture_edge_id (panel, "hem"), true, 5.0, &error),
                          &error, MODEL_REWORK_ERROR_FOLD, panel, was);
  /* Moved down, it slides along it. */
  g_assert_true (
    model_reshape_move_edge (panel, ids, MODEL_SIDE_LEFT, fixture_edge_id (panel, "hem"), 5.0, &error));
  g_assert_cmpfloat_with_epsilon (reshape_corner (panel, 0).x, 0.0, EXACT);
  model_panel_edge (panel, 1)->locked = true;
  was = reshape_picture (panel);
  reshape_assert_refused (
    model_reshape_move_edge (panel, ids, MODEL_SIDE_LEFT, fixture_edge_id (panel, "hem"), 5.0, &error),
    &error, MODEL_REWORK_ERROR_LOCKED, panel, was);
}

static void
test_odd_input (void)
{
  static const double odd[] = { NAN, INFINITY, -INFINITY, 1e300 };
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = reshape_quarter (ids);
  g_autofree char *was = reshape_picture (panel);
  g_autofree char *now = NULL;

  for (guint i = 0; i < G_N_ELEMENTS (odd); i++)
  {
    guint edge = reshape_edge_id (panel, 1);

    g_assert_false (model_reshape_move_edge (panel, ids, MODEL_SIDE_CENTRE, edge, odd[i], NULL));
    g_assert_false (model_reshape_extend_edge (panel, ids, MODEL_SIDE_CENTRE, edge, true, odd[i], NULL));
    g_assert_false (model_reshape_set_edge_radius (panel, ids, MODEL_SIDE_CENTRE, edge, odd[i], NULL));
    if (!isfinite (odd[i]))
      g_assert_false (model_reshape_set_edge_angle (panel, MODEL_SIDE_CENTRE, edge, odd[i], false, NULL));
    g_assert_false (model_reshape_move_edge (panel, ids, MODEL_SIDE_CENTRE, 99999, 1.0, NULL));
  }
  now = reshape_picture (panel);
  g_assert_cmpstr (now, ==, was);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/reshape/edge/move-straight", test_move_straight);
  g_test_add_func ("/model/reshape/edge/move-between-slants", test_move_between_slants);
  g_test_add_func ("/model/reshape/edge/move-beside-curve", test_move_beside_curve);
  g_test_add_func ("/model/reshape/edge/move-cuts-curve", test_move_cuts_curve);
  g_test_add_func ("/model/reshape/edge/move-curve", test_move_curve);
  g_test_add_func ("/model/reshape/edge/extend", test_extend);
  g_test_add_func ("/model/reshape/edge/straighten", test_straighten);
  g_test_add_func ("/model/reshape/edge/angle", test_angle);
  g_test_add_func ("/model/reshape/edge/radius", test_radius);
  g_test_add_func ("/model/reshape/edge/sides", test_sides);
  g_test_add_func ("/model/reshape/edge/fold-and-locks", test_fold_and_locks);
  g_test_add_func ("/model/reshape/edge/odd-input", test_odd_input);
  return g_test_run ();
}
