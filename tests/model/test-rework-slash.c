#include "rework-fixture.h"

static double
rad (double deg)
{
  return deg * (G_PI / 180.0);
}

/* A strip W wide and H high; edge "0" below is cut open, edge "2" above holds the hinges. */
static guint
strip (ModelHistory *history, double w, double h)
{
  const GeomPoint corners[] = { { 0, 0 }, { w, 0 }, { w, h }, { 0, h } };

  return rework_polygon (history, "Strip", corners, 4);
}

static double
named_length (const ModelPanel *panel, const char *name)
{
  return fixture_edge_length (panel, fixture_edge_id (panel, name), false);
}

/* CV-3.27 (M): a slash H deep opened by an angle gapes by 2 H sin (angle / 2).  CV-3.29: the hinged edge
 * keeps its length and bends by the sum of the angles. */
static void
test_spread (void)
{
  static const struct
  {
    double h, deg;
    guint count;
    double gap;
  } rows[]
    = { { 200, 10, 1, 34.8622970990633 }, { 200, 5, 3, 17.4477549461344 }, { 150, 6, 4, 15.7007868728832 } };

  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    for (int by_gap = 0; by_gap < 2; by_gap++)
    {
      g_autoptr (ModelHistory) history = model_history_new (model_document_new ());
      ModelDocument *doc = model_history_document (history);
      guint id = strip (history, 400, rows[i].h);
      const ModelPanel *panel = model_document_panel (doc, id);
      ModelReworkSlash slashes[4];
      ModelReworkSpread spread
        = { .angle_deg = by_gap ? 0.0 : rows[i].deg, .gap_mm = by_gap ? rows[i].gap : 0.0 };
      g_autofree char *before = rework_bytes (history);
      g_autoptr (GError) error = NULL;
      GeomPath path = { 0 };
      GeomPoint u, v;

      for (guint k = 0; k < rows[i].count; k++)
      {
        double t = (k + 1.0) / (rows[i].count + 1.0);

        slashes[k] = (ModelReworkSlash) { { fixture_edge_id (panel, "0"), 0, t },
                                          { fixture_edge_id (panel, "2"), 0, 1.0 - t } };
      }
      if (!model_rework_slash (history, id, slashes, rows[i].count, spread, &error))
        g_error ("%s", error->message);
      panel = model_document_panel (doc, id);
      g_assert_cmpfloat (fabs (named_length (panel, "0") - 400.0 - rows[i].count * rows[i].gap), <=,
                         1e-9 * 400.0);
      g_assert_cmpfloat (fabs (named_length (panel, "2") - 400.0), <=, 1e-9);
      g_assert_cmpfloat (fabs (named_length (panel, "1") - rows[i].h), <=, 1e-9);
      g_assert_cmpfloat (fabs (named_length (panel, "3") - rows[i].h), <=, 1e-9);
      /* The sides "1" and "3" were parallel and now stand at the sum of the angles. */
      model_panel_path (panel, &path, NULL);
      u = geom_sub (path.piece[path.count - 1].p[0], path.piece[path.count - 1].p[3]);
      {
        guint e = (guint)model_panel_find_edge (panel, fixture_edge_id (panel, "1"));
        g_autofree size_t *first = g_new (size_t, panel->edges->len);

        model_panel_path (panel, &path, first);
        v = geom_sub (path.piece[first[e]].p[3], path.piece[first[e]].p[0]);
      }
      g_assert_cmpfloat (
        fabs (atan2 (geom_cross (u, v), geom_dot (u, v)) - rad (rows[i].deg) * rows[i].count), <=, 1e-9);
      geom_path_clear (&path);
      /* The wedges are added: each is the triangle of its gap (M: H^2 sin (angle) / 2). */
      g_assert_cmpfloat (fabs (rework_area (panel, false) - 400.0 * rows[i].h
                               - rows[i].count * 0.5 * rows[i].h * rows[i].h * sin (rad (rows[i].deg))),
                         <=, 1e-6);
      rework_check (history);
      rework_check_undo (history, before);
    }
}

/* Closing takes the triangle of 2 H tan (angle / 2) out of the straight edge (M: half to each side), and a
 * blended opening is smooth and about as long as the limit of many slashes, CV-3.28: w + h * sum of angles in
 * radians. */
static void
test_close_and_blend (void)
{
  g_autoptr (ModelHistory) history = model_history_new (model_document_new ());
  ModelDocument *doc = model_history_document (history);
  guint id = strip (history, 400, 200);
  const ModelPanel *panel = model_document_panel (doc, id);
  ModelReworkSlash slashes[3];
  double limit = 400.0 + 52.3598775598299;

  for (guint k = 0; k < 3; k++)
    slashes[k] = (ModelReworkSlash) { { fixture_edge_id (panel, "0"), 0, 0.25 * (k + 1) },
                                      { fixture_edge_id (panel, "2"), 0, 1.0 - 0.25 * (k + 1) } };
  g_assert_true (
    model_rework_slash (history, id, slashes, 3, (ModelReworkSpread) { .angle_deg = -4.0 }, NULL));
  panel = model_document_panel (doc, id);
  g_assert_cmpfloat (fabs (named_length (panel, "0") - 400.0 + 3.0 * 400.0 * tan (rad (2.0))), <=, 1e-8);
  g_assert_cmpfloat (fabs (named_length (panel, "2") - 400.0), <=, 1e-9);
  g_assert_cmpfloat (fabs (rework_area (panel, false) - 80000.0 + 3.0 * 200.0 * 200.0 * tan (rad (2.0))), <=,
                     1e-6);
  rework_check (history);
  model_history_undo (history);

  g_assert_true (model_rework_slash (history, id, slashes, 3,
                                     (ModelReworkSpread) { .angle_deg = 5.0, .blended = true }, NULL));
  panel = model_document_panel (doc, id);
  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = 1; n < model_panel_edge (panel, e)->nodes->len; n++)
      g_assert_cmpint (model_edge_node (model_panel_edge (panel, e), n)->kind, ==, MODEL_NODE_SMOOTH);
  g_assert_cmpfloat (fabs (named_length (panel, "0") - limit), <=, 0.01 * limit);
  g_assert_cmpfloat (fabs (named_length (panel, "2") - 400.0), <=, 0.01 * 400.0);
  rework_check (history);
}

/* On both sides, with a fold that stays, and joins. */
static void
test_sides (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (rework_kinds); k++)
  {
    g_autoptr (ModelHistory) history = rework_fixture (rework_kinds[k].halves, rework_kinds[k].own);
    ModelDocument *doc = model_history_document (history);
    const ModelPanel *panel = rework_panel_named (history, "Front");
    guint id = panel->id, armhole = fixture_edge_id (panel, "armhole");
    g_autoptr (ModelPanel) was = model_panel_copy (panel);
    g_autofree char *before = rework_bytes (history);
    ModelReworkSlash slash = { { fixture_edge_id (panel, "hem"), 0, 0.5 }, { armhole, 0, 0.5 } };

    g_assert_true (
      model_rework_slash (history, id, &slash, 1, (ModelReworkSpread) { .angle_deg = 8.0 }, NULL));
    panel = model_document_panel (doc, id);
    for (int twin = 0; twin < 2; twin++)
    {
      g_assert_cmpfloat (
        fabs (fixture_edge_length (panel, armhole, twin) - fixture_edge_length (was, armhole, twin)), <=,
        1e-9);
      g_assert_cmpfloat (fixture_edge_length (panel, slash.from.edge_id, twin), >,
                         fixture_edge_length (was, slash.from.edge_id, twin) + 20.0);
    }
    if (panel->halves == MODEL_HALVES_FOLD)
      g_assert_cmpfloat (geom_distance (fixture_node (panel, "middle", 0)->at, geom_point (0, 420)), <=, 0.0);
    rework_check (history);
    rework_check_undo (history, before);
  }
}

/* Lengthening a slab by D adds D times its width (M), at any level and slant of the line. */
static void
test_lengthen (void)
{
  for (int way = 0; way < 8; way++)
  {
    g_autoptr (ModelHistory) history = model_history_new (model_document_new ());
    ModelDocument *doc = model_history_document (history);
    guint id = strip (history, 400, 200);
    const ModelPanel *panel;
    bool upward = way & 1, blended = way & 2, shorter = way & 4;
    double by = shorter ? -30.0 : 30.0;
    g_autofree char *before = rework_bytes (history);
    g_autoptr (GError) error = NULL;

    if (!model_rework_add_along (history, id, geom_point (120, 80),
                                 upward ? geom_point (0, 3) : geom_point (-1, 0), by, blended, &error))
      g_error ("%s", error->message);
    panel = model_document_panel (doc, id);
    g_assert_cmpfloat (fabs (rework_area (panel, false) - 80000.0 - by * (upward ? 400.0 : 200.0)), <=, 1e-7);
    g_assert_cmpfloat (fabs (named_length (panel, "1") - 200.0 - (upward ? by : 0.0)), <=, 1e-9);
    g_assert_cmpfloat (fabs (named_length (panel, "2") - 400.0 - (upward ? 0.0 : by)), <=, 1e-9);
    rework_check (history);
    rework_check_undo (history, before);
  }
}

/* Marks stay with their pieces, the fold on its axis, both sides get the same. */
static void
test_lengthen_sides (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (rework_kinds); k++)
    for (int blended = 0; blended < 2; blended++)
    {
      g_autoptr (ModelHistory) history = rework_fixture (rework_kinds[k].halves, rework_kinds[k].own);
      ModelDocument *doc = model_history_document (history);
      const ModelPanel *panel = rework_panel_named (history, "Front");
      guint id = panel->id, armhole = fixture_edge_id (panel, "armhole"),
            hem = fixture_edge_id (panel, "hem");
      g_autoptr (ModelPanel) was = model_panel_copy (panel);
      g_autofree char *before = rework_bytes (history);
      guint low = g_array_index (was->marks, ModelMark, 0).id,
            high = g_array_index (was->marks, ModelMark, 2).id;

      g_assert_true (
        model_rework_add_along (history, id, geom_point (0, 100), geom_point (0, 1), 25.0, blended, NULL));
      panel = model_document_panel (doc, id);
      for (int twin = 0; twin < 2; twin++)
      {
        g_assert_cmpfloat (
          fabs (fixture_edge_length (panel, armhole, twin) - fixture_edge_length (was, armhole, twin)), <=,
          1e-9);
        g_assert_cmpfloat (
          fabs (fixture_edge_length (panel, hem, twin) - fixture_edge_length (was, hem, twin)), <=, 1e-9);
        g_assert_cmpfloat (fabs (fixture_edge_length (panel, fixture_edge_id (was, "middle"), twin) - 445.0),
                           <=, 1e-9);
      }
      g_assert_cmpfloat (geom_distance (fixture_mark_point (panel, low), fixture_mark_point (was, low)), <=,
                         1e-8);
      g_assert_cmpfloat (geom_distance (fixture_mark_point (panel, high),
                                        geom_add (fixture_mark_point (was, high), geom_point (0, 25))),
                         <=, 1e-8);
      rework_check (history);
      rework_check_undo (history, before);
      if (panel->halves == MODEL_HALVES_FOLD)
      {
        g_autoptr (GError) error = NULL;

        g_assert_false (model_rework_add_along (history, id, geom_point (0, 100), geom_point (0.1, 1), 25.0,
                                                blended, &error));
        g_assert_error (error, MODEL_REWORK_ERROR, MODEL_REWORK_ERROR_FOLD);
      }
    }
}

static void
test_refused (void)
{
  g_autoptr (ModelHistory) history = rework_fixture (MODEL_HALVES_SINGLE, false);
  const ModelPanel *panel = rework_panel_named (history, "Front");
  guint id = panel->id, hem = fixture_edge_id (panel, "hem"), armhole = fixture_edge_id (panel, "armhole");
  ModelReworkSlash slash = { { hem, 0, 0.5 }, { armhole, 0, 0.5 } },
                   none = { { hem, 0, 0.5 }, { hem, 0, 0.5 } };
  g_autofree char *before = rework_bytes (history), *after = NULL;

  g_assert_false (model_rework_slash (history, id, &slash, 0, (ModelReworkSpread) { .angle_deg = 5 }, NULL));
  g_assert_false (
    model_rework_slash (history, id, &slash, 1, (ModelReworkSpread) { .angle_deg = NAN }, NULL));
  g_assert_false (model_rework_slash (history, id, &slash, 1, (ModelReworkSpread) { .angle_deg = 0 }, NULL));
  g_assert_false (model_rework_slash (history, id, &slash, 1, (ModelReworkSpread) { .gap_mm = 5000 }, NULL));
  g_assert_false (model_rework_slash (history, id, &none, 1, (ModelReworkSpread) { .angle_deg = 5 }, NULL));
  g_assert_false (
    model_rework_add_along (history, id, geom_point (0, 100), geom_point (0, 0), 5, false, NULL));
  g_assert_false (
    model_rework_add_along (history, id, geom_point (0, NAN), geom_point (0, 1), 5, false, NULL));
  g_assert_false (
    model_rework_add_along (history, id, geom_point (0, 100), geom_point (0, 1), NAN, false, NULL));
  /* The strip holds corners: edges would go. */
  g_assert_false (
    model_rework_add_along (history, id, geom_point (0, 280), geom_point (0, 1), -100, false, NULL));
  after = rework_bytes (history);
  g_assert_true (g_str_equal (before, after));
}

static void
test_random (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (rework_kinds); k++)
  {
    g_autoptr (ModelHistory) history = rework_fixture (rework_kinds[k].halves, rework_kinds[k].own);
    ModelDocument *doc = model_history_document (history);
    guint id = rework_panel_named (history, "Front")->id, done = 0;
    g_autofree char *before = rework_bytes (history), *after = NULL;

    for (int deed = 0; deed < 300; deed++)
    {
      const ModelPanel *panel = model_document_panel (doc, id);
      ModelReworkSlash slashes[3];
      guint count = (guint)g_test_rand_int_range (1, 4);

      if (model_panel_node_count (panel) > 60)
        model_history_go_to (history, 0);
      panel = model_document_panel (doc, id);
      for (guint i = 0; i < 2 * count; i++)
      {
        const ModelEdge *edge
          = model_panel_edge (panel, (guint)g_test_rand_int_range (0, (int)panel->edges->len));
        ModelReworkPlace place = { edge->id, (guint)g_test_rand_int_range (0, (int)edge->nodes->len),
                                   g_test_rand_double_range (0, 1) };

        *(i % 2 ? &slashes[i / 2].hinge : &slashes[i / 2].from) = place;
      }
      if (g_test_rand_bit ())
        done += model_rework_slash (history, id, slashes, count,
                                    (ModelReworkSpread) { .angle_deg = g_test_rand_double_range (-12, 12),
                                                          .blended = g_test_rand_bit () },
                                    NULL);
      else
        done += model_rework_add_along (
          history, id, geom_point (g_test_rand_double_range (0, 200), g_test_rand_double_range (0, 400)),
          g_test_rand_bit ()
            ? geom_point (0, g_test_rand_bit () ? 1 : -1)
            : geom_point (g_test_rand_double_range (-1, 1), g_test_rand_double_range (-1, 1)),
          g_test_rand_double_range (-20, 20), g_test_rand_bit (), NULL);
      rework_check (history);
    }
    g_assert_cmpuint (done, >=, 20);
    model_history_go_to (history, 0);
    after = rework_bytes (history);
    g_assert_true (g_str_equal (after, before));
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/rework/slash-spread", test_spread);
  g_test_add_func ("/model/rework/slash-close-and-blend", test_close_and_blend);
  g_test_add_func ("/model/rework/slash-sides", test_sides);
  g_test_add_func ("/model/rework/lengthen", test_lengthen);
  g_test_add_func ("/model/rework/lengthen-sides", test_lengthen_sides);
  g_test_add_func ("/model/rework/slash-refused", test_refused);
  g_test_add_func ("/model/rework/slash-random", test_random);
  return g_test_run ();
}
