#include "rework-fixture.h"

/* Law: both pieces together have the area there was, on both sides; the two cut edges are equally long and
 * run together; edges keep their names; joins that were not cut keep their lengths. */
static void
test_cut (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (rework_kinds); k++)
    for (int way = 0; way < 3; way++)
    {
      g_autoptr (ModelHistory) history = rework_fixture (rework_kinds[k].halves, rework_kinds[k].own);
      ModelDocument *doc = model_history_document (history);
      const ModelPanel *front = rework_panel_named (history, "Front");
      guint id = front->id;
      g_autoptr (ModelPanel) was = model_panel_copy (front);
      g_autofree char *before = rework_bytes (history);
      g_autoptr (GError) error = NULL;
      ModelReworkMade made = { 0 };
      /* From inside the side to the middle (a fold, where there is one); to the hem; to the top corner. */
      ModelReworkPlace from = { fixture_edge_id (front, "side"), 0, 0.5 };
      ModelReworkPlace to = way == 0   ? (ModelReworkPlace) { fixture_edge_id (front, "middle"), 0, 0.7 }
                            : way == 1 ? (ModelReworkPlace) { fixture_edge_id (front, "hem"), 0, 0.4 }
                                       : (ModelReworkPlace) { fixture_edge_id (front, "middle"), 0, 0.0 };
      double areas[2], lengths[2];
      const ModelPanel *a, *b;
      const ModelJoin *join;

      if (!model_rework_cut_through (history, id, from, to, geom_point (140, 120), &made, &error))
        g_error ("%s", error->message);
      g_assert_cmpuint (doc->panels->len, ==, 3);
      a = model_document_panel (doc, id);
      b = model_document_panel (doc, made.panel_id);
      for (int twin = 0; twin < 2; twin++)
      {
        areas[twin] = rework_area (was, twin);
        g_assert_cmpfloat (fabs (rework_area (a, twin) + rework_area (b, twin) - areas[twin]), <=, 1e-7);
      }
      join = model_document_join (doc, made.join_id);
      g_assert_cmpint (join->kind, ==, MODEL_JOIN_FLUSH);
      g_assert_cmpstr (join->letter, !=, "A");
      g_assert_cmpuint (join->matches->len, >=, 1);
      g_assert_true (join->a.reversed != join->b.reversed);
      for (int twin = 0; twin < 2; twin++)
      {
        lengths[0] = rework_run_length (history, &join->a, twin);
        lengths[1] = rework_run_length (history, &join->b, twin);
        g_assert_cmpfloat (fabs (lengths[0] - lengths[1]), <=, 1e-9);
      }
      /* Matched marks lie on one another. */
      for (guint i = 0; i < join->matches->len; i++)
      {
        ModelMatch match = g_array_index (join->matches, ModelMatch, i);
        const ModelPanel *pa = model_document_panel (doc, join->a.panel_id);
        const ModelPanel *pb = model_document_panel (doc, join->b.panel_id);

        g_assert_cmpfloat (
          geom_distance (fixture_mark_point (pa, match.a_mark_id), fixture_mark_point (pb, match.b_mark_id)),
          <=, 1e-8);
      }
      /* The side was joined and is now two edges in two joins; both with partners of their own. */
      g_assert_nonnull (made.divided);
      g_assert_cmpuint (made.divided->len, >=, 2);
      for (guint i = 0; i < made.divided->len; i++)
      {
        const ModelJoin *half = model_document_join (doc, g_array_index (made.divided, guint, i));

        g_assert_nonnull (half);
        g_assert_cmpfloat (
          fabs (rework_run_length (history, &half->a, false) - rework_run_length (history, &half->b, false)),
          <=, 1e-6);
      }
      if (rework_kinds[k].halves == MODEL_HALVES_FOLD)
      {
        g_assert_cmpint (a->halves, ==, MODEL_HALVES_FOLD);
        g_assert_cmpint (b->halves, ==, way == 0 ? MODEL_HALVES_FOLD : MODEL_HALVES_PAIR);
        if (b->halves == MODEL_HALVES_PAIR)
          g_assert_cmpfloat (fabs (b->mirror_x_mm), <=, 1e-9);
      }
      else
      {
        g_assert_cmpint (a->halves, ==, rework_kinds[k].halves);
        g_assert_cmpint (b->halves, ==, rework_kinds[k].halves);
      }
      g_assert_cmpstr (a->name, ==, "Front");
      g_assert_true (g_str_has_prefix (b->name, "Front, "));
      g_assert_cmpfloat (fabs (b->grain_deg - was->grain_deg), <=, 0.0);
      /* Marks of the old panel are all there, at their places. */
      for (guint i = 0; i < was->marks->len; i++)
      {
        guint mark = g_array_index (was->marks, ModelMark, i).id;
        const ModelPanel *there = model_panel_find_mark (a, mark) != NULL ? a : b;

        g_assert_cmpfloat (geom_distance (fixture_mark_point (there, mark), fixture_mark_point (was, mark)),
                           <=, 1e-8);
      }
      rework_check (history);
      rework_check_undo (history, before);
      model_rework_made_clear (&made);
    }
}

/* A square cut straight across at a third: 300 x 300 into 300 x 100 and 300 x 200 (M). */
static void
test_square (void)
{
  static const GeomPoint corners[] = { { 0, 0 }, { 300, 0 }, { 300, 300 }, { 0, 300 } };
  g_autoptr (ModelHistory) history = model_history_new (model_document_new ());
  guint id = rework_polygon (history, "Bracer", corners, 4);
  const ModelPanel *panel = rework_panel_named (history, "Bracer"), *lower;
  ModelReworkPlace from = { fixture_edge_id (panel, "1"), 0, 1.0 / 3.0 },
                   to = { fixture_edge_id (panel, "3"), 0, 2.0 / 3.0 };
  ModelReworkMade made = { 0 };

  g_assert_true (model_rework_cut (history, id, from, to, NULL, &made, NULL));
  lower = rework_panel_named (history, "Bracer, lower");
  g_assert_cmpuint (lower->id, ==, made.panel_id);
  g_assert_cmpfloat (fabs (rework_area (lower, false) - 30000.0), <=, 1e-7);
  g_assert_cmpfloat (fabs (rework_area (rework_panel_named (history, "Bracer"), false) - 60000.0), <=, 1e-7);
  g_assert_cmpfloat (fabs (fixture_edge_length (model_document_panel (model_history_document (history), id),
                                                made.edge_id, false)
                           - 300.0),
                     <=, 1e-9);
  g_assert_null (made.divided);
  model_rework_made_clear (&made);
  rework_check (history);
}

static void
test_refused (void)
{
  g_autoptr (ModelHistory) history = rework_fixture (MODEL_HALVES_FOLD, true);
  const ModelPanel *front = rework_panel_named (history, "Front");
  guint id = front->id, side = fixture_edge_id (front, "side"), hem = fixture_edge_id (front, "hem"),
        middle = fixture_edge_id (front, "middle");
  g_autofree char *before = rework_bytes (history);
  const struct
  {
    ModelReworkPlace from, to;
    GeomPoint through;
    ModelReworkError code;
  } rows[] = {
    { { side, 0, 0.5 }, { side, 0, 0.5 }, { 100, 100 }, MODEL_REWORK_ERROR_PLACE },
    { { side, 7, 0.5 }, { hem, 0, 0.5 }, { 100, 100 }, MODEL_REWORK_ERROR_PLACE },
    { { side, 0, NAN }, { hem, 0, 0.5 }, { 100, 100 }, MODEL_REWORK_ERROR_PLACE },
    { { side, 0, 0.5 }, { hem, 0, 0.5 }, { 100, NAN }, MODEL_REWORK_ERROR_VALUE },
    { { side, 0, 0.5 }, { hem, 0, 0.5 }, { 100, -500 }, MODEL_REWORK_ERROR_SHAPE },
    { { middle, 0, 0.2 }, { middle, 0, 0.8 }, { 100, 100 }, MODEL_REWORK_ERROR_FOLD },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_autoptr (GError) error = NULL;
    g_autofree char *after = NULL;

    g_assert_false (
      model_rework_cut_through (history, id, rows[i].from, rows[i].to, rows[i].through, NULL, &error));
    g_assert_error (error, MODEL_REWORK_ERROR, (int)rows[i].code);
    after = rework_bytes (history);
    g_assert_true (g_str_equal (after, before));
    g_assert_false (model_history_can_undo (history));
  }
  {
    ModelPanel *locked = model_panel_copy (front);
    g_autoptr (GError) error = NULL;

    model_panel_edge (locked, 1)->locked = true;
    model_history_put_panel (history, locked);
    g_assert_false (
      model_rework_cut_through (history, id, rows[4].from, rows[4].to, geom_point (150, 80), NULL, &error));
    g_assert_error (error, MODEL_REWORK_ERROR, MODEL_REWORK_ERROR_LOCKED);
    model_history_undo (history);
    g_clear_error (&error);
    /* The partner that would need a corner is locked. */
    locked = model_panel_copy (rework_panel_named (history, "Back"));
    locked->locked = true;
    model_history_put_panel (history, locked);
    g_assert_false (
      model_rework_cut_through (history, id, rows[4].from, rows[4].to, geom_point (150, 80), NULL, &error));
    g_assert_error (error, MODEL_REWORK_ERROR, MODEL_REWORK_ERROR_LOCKED);
  }
}

/* Random cuts, one after the other, in pieces of pieces. */
static void
test_random (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (rework_kinds); k++)
  {
    g_autoptr (ModelHistory) history = rework_fixture (rework_kinds[k].halves, rework_kinds[k].own);
    ModelDocument *doc = model_history_document (history);
    g_autofree char *before = rework_bytes (history);
    guint done = 0;

    for (int deed = 0; deed < 120 && doc->panels->len < 14; deed++)
    {
      const ModelPanel *panel
        = g_ptr_array_index (doc->panels, (guint)g_test_rand_int_range (0, (int)doc->panels->len));
      const ModelEdge *a = model_panel_edge (panel, (guint)g_test_rand_int_range (0, (int)panel->edges->len));
      const ModelEdge *b = model_panel_edge (panel, (guint)g_test_rand_int_range (0, (int)panel->edges->len));
      ModelReworkPlace from
        = { a->id, (guint)g_test_rand_int_range (0, (int)a->nodes->len), g_test_rand_double_range (0, 1) };
      ModelReworkPlace to
        = { b->id, (guint)g_test_rand_int_range (0, (int)b->nodes->len), g_test_rand_double_range (0, 1) };
      double areas[2] = { rework_area (panel, false), rework_area (panel, true) };
      guint id = panel->id;
      ModelReworkMade made = { 0 };

      if (!model_rework_cut (history, id, from, to, NULL, &made, NULL))
        continue;
      done++;
      for (int twin = 0; twin < 2; twin++)
        g_assert_cmpfloat (fabs (rework_area (model_document_panel (doc, id), twin)
                                 + rework_area (model_document_panel (doc, made.panel_id), twin)
                                 - areas[twin]),
                           <=, 1e-6);
      rework_check (history);
      model_rework_made_clear (&made);
    }
    g_assert_cmpuint (done, >=, 5);
    g_assert_cmpuint (model_history_length (history), ==, done);
    model_history_go_to (history, 0);
    {
      g_autofree char *after = rework_bytes (history);

      g_assert_true (g_str_equal (after, before));
    }
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/rework/cut", test_cut);
  g_test_add_func ("/model/rework/cut-square", test_square);
  g_test_add_func ("/model/rework/cut-refused", test_refused);
  g_test_add_func ("/model/rework/cut-random", test_random);
  return g_test_run ();
}
