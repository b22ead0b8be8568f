#include "rework-fixture.h"

static const GeomPoint square[] = { { 0, 0 }, { 300, 0 }, { 300, 200 }, { 0, 200 } };

static double
rad (double deg)
{
  return deg * (G_PI / 180.0);
}

/* The four points of the dart whose first leg is LEG_1, on one side's shape: A, X, B. */
static void
dart_points (const ModelPanel *panel, guint leg_1, bool twin, GeomPoint out[3])
{
  GeomPath path = { 0 };
  g_autofree size_t *first = g_new (size_t, panel->edges->len);
  guint e = (guint)model_panel_find_edge (panel, leg_1), count = panel->edges->len;

  (twin ? model_panel_twin_path : model_panel_path) (panel, &path, first);
  for (guint i = 0; i < 3; i++)
    out[i] = path.piece[first[(e + i) % count]].p[0];
  geom_path_clear (&path);
}

static double
angle_at (GeomPoint a, GeomPoint x, GeomPoint b)
{
  GeomPoint u = geom_sub (a, x), v = geom_sub (b, x);

  return fabs (atan2 (geom_cross (u, v), geom_dot (u, v)));
}

/* Law: legs equally long, the intake as asked for, on both sides; with the dart sewn the edge runs on without
 * a bend, whether the legs are straight or bent; the legs are joined. */
static void
test_add (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (rework_kinds); k++)
    for (int way = 0; way < 6; way++)
    {
      g_autoptr (ModelHistory) history = rework_fixture (rework_kinds[k].halves, rework_kinds[k].own);
      ModelDocument *doc = model_history_document (history);
      const ModelPanel *panel = rework_panel_named (history, "Front");
      guint id = panel->id;
      g_autofree char *before = rework_bytes (history);
      g_autoptr (GError) error = NULL;
      ModelReworkMade made = { 0 };
      ModelReworkDart dart
        = { .at = { fixture_edge_id (panel, way % 2 ? "side" : "armhole"), 0, way % 2 ? 0.6 : 0.5 },
            .apex = { 100, 200 },
            .intake_mm = way < 2 ? 22.0 : 0.0,
            .intake_deg = 12.0,
            .bulge_mm = way > 3 ? 3.0 : 0.0 };
      const ModelJoin *join;
      guint e, count;

      if (!model_rework_add_dart (history, id, dart, &made, &error))
        g_error ("%s", error->message);
      panel = model_document_panel (doc, id);
      count = panel->edges->len;
      e = (guint)model_panel_find_edge (panel, made.edge_id);
      for (int twin = 0; twin < 2; twin++)
      {
        GeomPoint p[3];
        double leg;
        GeomPath path = { 0 };
        g_autofree size_t *first = g_new (size_t, count);
        GeomPoint arriving, leaving;
        size_t at;

        dart_points (panel, made.edge_id, twin, p);
        leg = geom_distance (p[0], p[1]);
        g_assert_cmpfloat (fabs (leg - geom_distance (p[2], p[1])), <=, 1e-8);
        /* CV-3.23 (M): mouth = 2 l sin (angle / 2). */
        if (way < 2)
          g_assert_cmpfloat (fabs (geom_distance (p[0], p[2]) - 22.0), <=, 1e-8);
        else
          g_assert_cmpfloat (fabs (geom_distance (p[0], p[2]) - 2.0 * leg * sin (rad (6.0))), <=, 1e-8);
        g_assert_cmpfloat (
          fabs (fixture_edge_length (panel, made.edge_id, twin)
                - fixture_edge_length (panel, model_panel_edge (panel, (e + 1) % count)->id, twin)),
          <=, 1e-8);
        if (way > 3)
          g_assert_cmpfloat (fixture_edge_length (panel, made.edge_id, twin), >, leg + 0.05);
        /* Sewn, with the legs' directions at the mouth laid together: the direction in which the edge comes
         * to A is the one it goes on in from B. */
        (twin ? model_panel_twin_path : model_panel_path) (panel, &path, first);
        at = first[(e + count) % count];
        arriving = geom_cubic_tangent (&path.piece[(at + path.count - 1) % path.count], 1.0);
        leaving = geom_cubic_tangent (&path.piece[first[(e + 2) % count]], 0.0);
        {
          GeomPoint u
            = geom_scale (geom_cubic_tangent (&path.piece[at], 0.0), -1.0),
            v = geom_cubic_tangent (&path.piece[(first[(e + 2) % count] + path.count - 1) % path.count], 1.0);
          double turn = -atan2 (geom_cross (u, v), geom_dot (u, v));

          leaving = geom_affine_apply_vector (geom_affine_turn (p[1], turn), leaving);
        }
        g_assert_cmpfloat (geom_distance (arriving, leaving), <=, 1e-7);
        geom_path_clear (&path);
      }
      join = model_document_join (doc, made.join_id);
      g_assert_cmpuint (join->a.panel_id, ==, id);
      g_assert_cmpuint (g_array_index (join->a.edges, guint, 0), ==, made.edge_id);
      g_assert_true (join->a.reversed != join->b.reversed);
      /* The side was joined: now in two parts, none of which has a leg in it. */
      if (way % 2)
      {
        g_assert_nonnull (made.divided);
        g_assert_cmpuint (made.divided->len, ==, 2);
        for (guint i = 0; i < 2; i++)
          g_assert_cmpuint (model_document_join (doc, g_array_index (made.divided, guint, i))->a.edges->len,
                            ==, 1);
      }
      else
        g_assert_null (made.divided);
      rework_check (history);
      rework_check_undo (history, before);
      model_rework_made_clear (&made);
    }
}

/* A dart square to a straight edge.  Closed, the hem's halves would meet at an angle of 180 + 20 degrees
 * inside, each leg 100 / cos 10 long; an arc touching both, B from the corner, passes it at a distance of B
 * tan (20 / 4) (M: of a circle of radius r, B = r tan 10, r / cos 10 - r = B tan 5), and B is half the intake
 * 2 * 100 sin 10. */
static void
test_add_square (void)
{
  g_autoptr (ModelHistory) history = model_history_new (model_document_new ());
  guint id = rework_polygon (history, "Bracer", square, 4);
  const ModelPanel *panel = model_document_panel (model_history_document (history), id);
  ModelReworkDart dart
    = { .at = { fixture_edge_id (panel, "0"), 0, 0.5 }, .apex = { 150, 100 }, .intake_deg = 20.0 };
  ModelReworkMade made = { 0 };
  GeomPoint p[3];

  g_assert_true (model_rework_add_dart (history, id, dart, &made, NULL));
  panel = model_document_panel (model_history_document (history), id);
  dart_points (panel, made.edge_id, false, p);
  g_assert_cmpfloat (fabs (p[0].x + p[2].x - 300.0), <=, 1e-8);
  g_assert_cmpfloat (
    fabs (geom_distance (p[0], p[1]) - 100.0 / cos (rad (10.0)) - 100.0 * sin (rad (10.0)) * tan (rad (5.0))),
    <=, 1e-6);
  g_assert_cmpfloat (fabs (angle_at (p[0], p[1], p[2]) - rad (20.0)), <=, 1e-12);
  model_rework_made_clear (&made);
  rework_check (history);
}

/* CV-3.25 (M: a rigid turn): moved about its apex, the dart keeps its angle, its mouth is 2 l' sin (angle /
 * 2) of the new leg, every edge that is not cut keeps its length and the piece its area. */
static void
test_move (void)
{
  static const struct
  {
    const char *edge;
    double t;
  } rows[] = { { "1", 0.5 }, { "2", 0.4 }, { "3", 0.7 }, { "0", 0.1 } };

  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_autoptr (ModelHistory) history = model_history_new (model_document_new ());
    ModelDocument *doc = model_history_document (history);
    guint id = rework_polygon (history, "Bracer", square, 4);
    const ModelPanel *panel = model_document_panel (doc, id);
    ModelReworkDart dart
      = { .at = { fixture_edge_id (panel, "0"), 0, 0.5 }, .apex = { 150, 110 }, .intake_deg = 15.0 };
    ModelReworkMade made = { 0 }, moved = { 0 };
    g_autofree char *before = NULL;
    g_autoptr (ModelPanel) was = NULL;
    g_autoptr (GError) error = NULL;
    GeomPoint p[3];
    guint joins;

    g_assert_true (model_rework_add_dart (history, id, dart, &made, NULL));
    was = model_panel_copy (model_document_panel (doc, id));
    before = rework_bytes (history);
    joins = doc->joins->len;
    if (!model_rework_move_dart (history, id, made.edge_id,
                                 (ModelReworkPlace) { fixture_edge_id (was, rows[i].edge), 0, rows[i].t },
                                 1.0, &moved, &error))
      g_error ("%s: %s", rows[i].edge, error->message);
    panel = model_document_panel (doc, id);
    dart_points (panel, moved.edge_id, false, p);
    g_assert_cmpfloat (fabs (angle_at (p[0], p[1], p[2]) - rad (15.0)), <=, 1e-11);
    g_assert_cmpfloat (geom_distance (p[1], geom_point (150, 110)), <=, 1e-10);
    g_assert_cmpfloat (fabs (geom_distance (p[0], p[2]) - 2.0 * geom_distance (p[0], p[1]) * sin (rad (7.5))),
                       <=, 1e-9);
    g_assert_cmpfloat (fabs (rework_area (panel, false) - rework_area (was, false)), <=, 1e-7);
    for (guint e = 0; e < was->edges->len; e++)
    {
      const ModelEdge *edge = model_panel_edge (was, e);
      const char *name = edge->name;
      double sums[2] = { 0.0, 0.0 };

      /* Legs apart: the new ones are longer or shorter.  The others by name, for one of them is cut. */
      if (edge->id == made.edge_id
          || model_panel_edge (was, (e + was->edges->len - 1) % was->edges->len)->id == made.edge_id)
        continue;
      for (guint j = 0; j < was->edges->len; j++)
        if (g_str_equal (model_panel_edge (was, j)->name, name))
          sums[0] += fixture_edge_length (was, model_panel_edge (was, j)->id, false);
      for (guint j = 0; j < panel->edges->len; j++)
        if (g_str_equal (model_panel_edge (panel, j)->name, name))
          sums[1] += fixture_edge_length (panel, model_panel_edge (panel, j)->id, false);
      g_assert_cmpfloat (fabs (sums[0] - sums[1]), <=, 1e-9);
    }
    /* The legs keep their join. */
    g_assert_cmpuint (doc->joins->len, ==, joins);
    g_assert_cmpuint (moved.edge_id, ==, made.edge_id);
    rework_check (history);
    rework_check_undo (history, before);
    /* And back: the outline is the one before, wherever it now lies. */
    g_assert_true (model_rework_move_dart (history, id, made.edge_id,
                                           (ModelReworkPlace) { fixture_edge_id (panel, "2"), 0, 0.5 }, 1.0,
                                           NULL, NULL));
    g_assert_cmpfloat (fabs (rework_area (model_document_panel (doc, id), false) - rework_area (was, false)),
                       <=, 1e-7);
    rework_check (history);
    model_rework_made_clear (&made);
    model_rework_made_clear (&moved);
  }
}

/* On both sides of a panel, with joins; the fold stays where it is. */
static void
test_move_sides (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (rework_kinds); k++)
  {
    g_autoptr (ModelHistory) history = rework_fixture (rework_kinds[k].halves, rework_kinds[k].own);
    ModelDocument *doc = model_history_document (history);
    const ModelPanel *panel = rework_panel_named (history, "Front");
    guint id = panel->id;
    ModelReworkDart dart
      = { .at = { fixture_edge_id (panel, "side"), 1, 0.5 }, .apex = { 110, 210 }, .intake_deg = 10.0 };
    ModelReworkMade made = { 0 };
    g_autoptr (ModelPanel) was = NULL;
    g_autofree char *before = NULL;

    g_assert_true (model_rework_add_dart (history, id, dart, &made, NULL));
    was = model_panel_copy (model_document_panel (doc, id));
    before = rework_bytes (history);
    g_assert_true (model_rework_move_dart (history, id, made.edge_id,
                                           (ModelReworkPlace) { fixture_edge_id (was, "armhole"), 0, 0.6 },
                                           1.0, NULL, NULL));
    panel = model_document_panel (doc, id);
    for (int twin = 0; twin < 2; twin++)
    {
      GeomPoint p[3], q[3];

      dart_points (was, made.edge_id, twin, p);
      dart_points (panel, made.edge_id, twin, q);
      g_assert_cmpfloat (fabs (angle_at (p[0], p[1], p[2]) - angle_at (q[0], q[1], q[2])), <=, 1e-9);
      g_assert_cmpfloat (fabs (geom_distance (q[0], q[1]) - geom_distance (q[2], q[1])), <=, 1e-8);
      g_assert_cmpfloat (fabs (rework_area (panel, twin) - rework_area (was, twin)), <=, 1e-6);
      g_assert_cmpfloat (fabs (fixture_edge_length (panel, fixture_edge_id (was, "hem"), twin)
                               - fixture_edge_length (was, fixture_edge_id (was, "hem"), twin)),
                         <=, 1e-9);
    }
    if (panel->halves == MODEL_HALVES_FOLD)
      g_assert_cmpfloat (
        geom_distance (fixture_node (panel, "middle", 0)->at, fixture_node (was, "middle", 0)->at), <=, 0.0);
    rework_check (history);
    rework_check_undo (history, before);
    model_rework_made_clear (&made);
  }
}

/* CV-3.26 (M): of a divided dart the angles at the old apex add up to the whole; the mouths are 2 l sin (part
 * / 2). */
static void
test_divide (void)
{
  g_autoptr (ModelHistory) history = model_history_new (model_document_new ());
  ModelDocument *doc = model_history_document (history);
  guint id = rework_polygon (history, "Bracer", square, 4);
  const ModelPanel *panel = model_document_panel (doc, id);
  GeomPoint apex = { 150, 110 }, p[3], q[3];
  ModelReworkDart dart = { .at = { fixture_edge_id (panel, "0"), 0, 0.5 }, .apex = apex, .intake_deg = 18.0 };
  ModelReworkMade made = { 0 }, more = { 0 };

  g_assert_true (model_rework_add_dart (history, id, dart, &made, NULL));
  panel = model_document_panel (doc, id);
  g_assert_true (model_rework_move_dart (history, id, made.edge_id,
                                         (ModelReworkPlace) { fixture_edge_id (panel, "1"), 0, 0.5 },
                                         1.0 / 3.0, &more, NULL));
  panel = model_document_panel (doc, id);
  g_assert_cmpuint (doc->joins->len, ==, 2);
  dart_points (panel, made.edge_id, false, p);
  dart_points (panel, more.edge_id, false, q);
  g_assert_cmpfloat (fabs (angle_at (p[0], apex, p[2]) - rad (12.0)), <=, 1e-10);
  g_assert_cmpfloat (fabs (angle_at (q[0], apex, q[2]) - rad (6.0)), <=, 1e-10);
  g_assert_cmpfloat (fabs (geom_distance (q[0], q[2]) - 2.0 * geom_distance (q[0], apex) * sin (rad (3.0))),
                     <=, 1e-9);
  g_assert_cmpfloat (geom_distance (p[1], q[1]), >, 5.0);
  g_assert_cmpfloat (fabs (geom_distance (q[0], q[1]) - geom_distance (q[2], q[1])), <=, 1e-9);
  g_assert_cmpfloat (fabs (geom_distance (p[0], p[1]) - geom_distance (p[2], p[1])), <=, 1e-9);
  rework_check (history);
  model_rework_made_clear (&made);
  model_rework_made_clear (&more);
}

/* Two darts become one seam: two panels that together have the area there was; both runs equally long. */
static void
test_seam (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (rework_kinds); k++)
  {
    g_autoptr (ModelHistory) history = rework_fixture (rework_kinds[k].halves, rework_kinds[k].own);
    ModelDocument *doc = model_history_document (history);
    const ModelPanel *panel = rework_panel_named (history, "Front");
    guint id = panel->id;
    ModelReworkDart upper
      = { .at = { fixture_edge_id (panel, "armhole"), 0, 0.5 }, .apex = { 110, 250 }, .intake_mm = 18.0 };
    ModelReworkDart lower
      = { .at = { fixture_edge_id (panel, "hem"), 0, 0.5 }, .apex = { 110, 140 }, .intake_mm = 24.0 };
    ModelReworkMade made[2] = { 0 }, seam = { 0 };
    g_autofree char *before = NULL;
    double areas[2];
    const ModelJoin *join;
    guint joins;

    g_assert_true (model_rework_add_dart (history, id, upper, &made[0], NULL));
    g_assert_true (model_rework_add_dart (history, id, lower, &made[1], NULL));
    before = rework_bytes (history);
    joins = doc->joins->len;
    for (int twin = 0; twin < 2; twin++)
      areas[twin] = rework_area (model_document_panel (doc, id), twin);
    g_assert_true (model_rework_darts_to_seam (history, id, made[0].edge_id, made[1].edge_id, &seam, NULL));
    g_assert_cmpuint (doc->joins->len, ==, joins - 1);
    join = model_document_join (doc, seam.join_id);
    g_assert_cmpuint (join->a.edges->len, ==, 3);
    g_assert_cmpuint (join->b.edges->len, ==, 3);
    for (int twin = 0; twin < 2; twin++)
    {
      g_assert_cmpfloat (fabs (rework_area (model_document_panel (doc, id), twin)
                               + rework_area (model_document_panel (doc, seam.panel_id), twin) - areas[twin]),
                         <=, 1e-6);
      g_assert_cmpfloat (
        fabs (rework_run_length (history, &join->a, twin) - rework_run_length (history, &join->b, twin)), <=,
        1e-7);
    }
    rework_check (history);
    rework_check_undo (history, before);
    model_rework_made_clear (&made[0]);
    model_rework_made_clear (&made[1]);
    model_rework_made_clear (&seam);
  }
}

/* Looked at closed: as much area as open, and the mouth is gone. */
static void
test_closed (void)
{
  g_autoptr (ModelHistory) history = model_history_new (model_document_new ());
  guint id = rework_polygon (history, "Bracer", square, 4);
  const ModelPanel *panel = model_document_panel (model_history_document (history), id);
  ModelReworkDart dart
    = { .at = { fixture_edge_id (panel, "0"), 0, 0.5 }, .apex = { 150, 100 }, .intake_deg = 20.0 };
  ModelReworkMade made = { 0 };
  GeomPath path = { 0 };
  GeomPoint p[3];

  g_assert_false (model_rework_dart_closed (panel, fixture_edge_id (panel, "1"), &path));
  g_assert_cmpuint (path.count, ==, 0);
  g_assert_true (model_rework_add_dart (history, id, dart, &made, NULL));
  panel = model_document_panel (model_history_document (history), id);
  g_assert_true (model_rework_dart_closed (panel, made.edge_id, &path));
  g_assert_cmpfloat (fabs (geom_path_area (&path) - rework_area (panel, false)), <=, 1e-7);
  /* One of the mouth's corners stayed, the other has come to it: the closed path no longer passes it. */
  dart_points (panel, made.edge_id, false, p);
  g_assert_cmpfloat (
    fmin (geom_path_nearest (&path, p[0]).distance_mm, geom_path_nearest (&path, p[2]).distance_mm), <=,
    1e-9);
  g_assert_cmpfloat (
    fmax (geom_path_nearest (&path, p[0]).distance_mm, geom_path_nearest (&path, p[2]).distance_mm), >, 5.0);
  geom_path_clear (&path);
  model_rework_made_clear (&made);
}

static void
test_refused (void)
{
  g_autoptr (ModelHistory) history = rework_fixture (MODEL_HALVES_FOLD, true);
  ModelDocument *doc = model_history_document (history);
  const ModelPanel *panel = rework_panel_named (history, "Front");
  guint id = panel->id, side = fixture_edge_id (panel, "side"), middle = fixture_edge_id (panel, "middle");
  g_autofree char *before = rework_bytes (history);
  const struct
  {
    ModelReworkDart dart;
    ModelReworkError code;
  } rows[] = {
    { { .at = { side, 0, 0.5 }, .apex = { 100, 200 }, .intake_deg = 0.0 }, MODEL_REWORK_ERROR_VALUE },
    { { .at = { side, 0, 0.5 }, .apex = { 100, 200 }, .intake_mm = 900.0 }, MODEL_REWORK_ERROR_VALUE },
    { { .at = { side, 0, 0.5 }, .apex = { NAN, 200 }, .intake_deg = 10.0 }, MODEL_REWORK_ERROR_VALUE },
    { { .at = { side, 0, 0.5 }, .apex = { 400, 200 }, .intake_deg = 10.0 }, MODEL_REWORK_ERROR_SHAPE },
    { { .at = { side, 0, 0.5 }, .apex = { 20, 100 }, .intake_deg = 150.0 }, MODEL_REWORK_ERROR_SHAPE },
    { { .at = { middle, 0, 0.5 }, .apex = { 100, 200 }, .intake_deg = 10.0 }, MODEL_REWORK_ERROR_FOLD },
    { { .at = { 9999, 0, 0.5 }, .apex = { 100, 200 }, .intake_deg = 10.0 }, MODEL_REWORK_ERROR_PLACE },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_autoptr (GError) error = NULL;
    g_autofree char *after = NULL;

    g_assert_false (model_rework_add_dart (history, id, rows[i].dart, NULL, &error));
    g_assert_error (error, MODEL_REWORK_ERROR, (int)rows[i].code);
    after = rework_bytes (history);
    g_assert_true (g_str_equal (after, before));
  }
  {
    ModelPanel *locked = model_panel_copy (panel);
    g_autoptr (GError) error = NULL;

    locked->locked = true;
    model_history_put_panel (history, locked);
    g_assert_false (model_rework_add_dart (
      history, id, (ModelReworkDart) { .at = { side, 0, 0.5 }, .apex = { 100, 200 }, .intake_deg = 10.0 },
      NULL, &error));
    g_assert_error (error, MODEL_REWORK_ERROR, MODEL_REWORK_ERROR_LOCKED);
  }
  g_assert_false (
    model_rework_move_dart (history, id, side, (ModelReworkPlace) { side, 0, 0.1 }, 1.0, NULL, NULL));
  g_assert_cmpuint (doc->panels->len, ==, 2);
}

/* Random stories: darts in, moved, divided, made seams; what was is back at the end. */
static void
test_random (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (rework_kinds); k++)
  {
    g_autoptr (ModelHistory) history = rework_fixture (rework_kinds[k].halves, rework_kinds[k].own);
    ModelDocument *doc = model_history_document (history);
    g_autofree char *before = rework_bytes (history), *after = NULL;
    guint done = 0;

    for (int deed = 0; deed < 300; deed++)
    {
      const ModelPanel *panel
        = g_ptr_array_index (doc->panels, (guint)g_test_rand_int_range (0, (int)doc->panels->len));
      const ModelEdge *edge
        = model_panel_edge (panel, (guint)g_test_rand_int_range (0, (int)panel->edges->len));
      const ModelEdge *other
        = model_panel_edge (panel, (guint)g_test_rand_int_range (0, (int)panel->edges->len));
      ModelReworkPlace at = { edge->id, (guint)g_test_rand_int_range (0, (int)edge->nodes->len),
                              g_test_rand_double_range (0, 1) };
      guint id = panel->id;
      double area = rework_area (panel, false);
      ModelReworkMade made = { 0 };

      switch (panel->edges->len < 24 ? g_test_rand_int_range (0, 5) : 3)
      {
      case 0:
      case 1:
      {
        GeomPath path = { 0 };
        GeomBox box;
        ModelReworkDart dart = { .at = at,
                                 .intake_mm = g_test_rand_bit () ? g_test_rand_double_range (1, 40) : 0.0,
                                 .intake_deg = g_test_rand_double_range (1, 40),
                                 .bulge_mm = g_test_rand_bit () ? g_test_rand_double_range (-4, 4) : 0.0 };

        model_panel_path (panel, &path, NULL);
        box = geom_path_box (&path);
        geom_path_clear (&path);
        dart.apex
          = geom_point (g_test_rand_double_range (box.x0, box.x1), g_test_rand_double_range (box.y0, box.y1));
        done += model_rework_add_dart (history, id, dart, &made, NULL);
        break;
      }
      case 2:
        done += model_rework_move_dart (history, id, other->id, at, 1.0, &made, NULL);
        break;
      case 3:
        if (model_rework_darts_to_seam (history, id, edge->id, other->id, &made, NULL))
        {
          done++;
          g_assert_cmpfloat (fabs (rework_area (model_document_panel (doc, id), false)
                                   + rework_area (model_document_panel (doc, made.panel_id), false) - area),
                             <=, 1e-6);
        }
        break;
      default:
        done += model_rework_move_dart (history, id, other->id, at, g_test_rand_double_range (0.1, 0.9),
                                        &made, NULL);
        break;
      }
      rework_check (history);
      model_rework_made_clear (&made);
    }
    g_assert_cmpuint (done, >=, 3); /* the seed decides how many are refused */
    g_assert_cmpuint (model_history_length (history), ==, done);
    model_history_go_to (history, 0);
    after = rework_bytes (history);
    g_assert_true (g_str_equal (after, before));
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/rework/dart-add", test_add);
  g_test_add_func ("/model/rework/dart-add-square", test_add_square);
  g_test_add_func ("/model/rework/dart-move", test_move);
  g_test_add_func ("/model/rework/dart-move-sides", test_move_sides);
  g_test_add_func ("/model/rework/dart-divide", test_divide);
  g_test_add_func ("/model/rework/darts-to-seam", test_seam);
  g_test_add_func ("/model/rework/dart-closed", test_closed);
  g_test_add_func ("/model/rework/dart-refused", test_refused);
  g_test_add_func ("/model/rework/dart-random", test_random);
  return g_test_run ();
}
