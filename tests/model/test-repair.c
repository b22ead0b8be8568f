#include "model/repair.h"

#include "shape-fixture.h"

/* Two panels and a join between their sides; the second one's side is taken from its other end. */
typedef struct Bench
{
  ModelHistory *history;
  ModelDocument *doc;
  guint front, back, join;
} Bench;

static void
take_edges (ModelRun *run, const ModelPanel *panel, const char *const *names)
{
  run->panel_id = panel->id;
  for (; *names != NULL; names++)
  {
    guint id = fixture_edge_id (panel, *names);

    g_array_append_val (run->edges, id);
  }
}

static Bench
bench_new (const char *const *front_edges, const char *const *back_edges)
{
  Bench bench = { 0 };
  ModelPanel *front, *back;
  ModelJoin *join = model_join_new ();

  bench.doc = model_document_new ();
  front = fixture_panel (bench.doc, MODEL_HALVES_PAIR, true);
  back = fixture_panel (bench.doc, MODEL_HALVES_FOLD, false);
  g_free (back->name);
  back->name = g_strdup ("Back");
  g_free (join->letter);
  join->letter = g_strdup ("A");
  take_edges (&join->a, front, front_edges);
  take_edges (&join->b, back, back_edges);
  join->b.reversed = true;
  bench.front = front->id;
  bench.back = back->id;
  bench.history = model_history_new (bench.doc);
  model_history_put_panel (bench.history, front);
  model_history_put_panel (bench.history, back);
  bench.join = model_history_put_join (bench.history, join);
  return bench;
}

static void
bench_clear (Bench *bench)
{
  g_clear_object (&bench->history);
}

static const char *const just_side[] = { "side", NULL };
static const char *const hem_and_side[] = { "hem", "side", NULL };

static ModelPanel *
front_copy (const Bench *bench)
{
  return model_panel_copy (model_document_panel (bench->doc, bench->front));
}

static void
check_sound (const Bench *bench)
{
  g_autofree char *data = NULL;
  gsize length = 0;
  g_autoptr (GError) error = NULL;
  g_autoptr (ModelDocument) back = NULL;

  data = model_document_to_data (bench->doc, &length);
  back = model_document_from_data (data, length, &error);
  g_assert_no_error (error);
}

static void
assert_run (const ModelRun *run, guint count, const guint *ids)
{
  g_assert_cmpuint (run->edges->len, ==, count);
  for (guint i = 0; i < count; i++)
    g_assert_cmpuint (g_array_index (run->edges, guint, i), ==, ids[i]);
}

/* Where the run starts and ends as drawn. */
static void
run_ends (const Bench *bench, const ModelRun *run, GeomPoint *start, GeomPoint *end)
{
  const ModelPanel *panel = model_document_panel (bench->doc, run->panel_id);
  guint first = (guint)model_panel_find_edge (panel, g_array_index (run->edges, guint, 0));
  guint last = (guint)model_panel_find_edge (panel, g_array_index (run->edges, guint, run->edges->len - 1));
  GeomPoint a = model_edge_node (model_panel_edge (panel, first), 0)->at;
  GeomPoint b = model_edge_node (model_panel_edge (panel, (last + 1) % panel->edges->len), 0)->at;

  *start = run->reversed ? b : a;
  *end = run->reversed ? a : b;
}

static void
test_split_edge (void)
{
  Bench bench = bench_new (just_side, just_side);
  ModelPanel *panel = front_copy (&bench);
  guint side = fixture_edge_id (panel, "side"), more;
  const ModelJoin *join;

  more = model_shape_insert_corner (panel, bench.doc, side, 0, 0.5);
  model_repair_put_panel (bench.history, panel);
  join = model_document_join (bench.doc, bench.join);
  assert_run (&join->a, 2, (const guint[]) { side, more });
  check_sound (&bench);
  /* One step of undo takes both back. */
  model_history_undo (bench.history);
  join = model_document_join (bench.doc, bench.join);
  assert_run (&join->a, 1, &side);
  g_assert_cmpint (model_panel_find_edge (model_document_panel (bench.doc, bench.front), more), ==, -1);
  bench_clear (&bench);
}

static void
test_split_other_edge (void)
{
  Bench bench = bench_new (just_side, just_side);
  ModelPanel *panel = front_copy (&bench);
  guint side = fixture_edge_id (panel, "side");

  model_shape_insert_corner (panel, bench.doc, fixture_edge_id (panel, "armhole"), 0, 0.5);
  model_shape_insert_corner (panel, bench.doc, fixture_edge_id (panel, "hem"), 0, 0.5);
  model_repair_put_panel (bench.history, panel);
  assert_run (&model_document_join (bench.doc, bench.join)->a, 1, &side);
  check_sound (&bench);
  bench_clear (&bench);
}

static void
test_merge_within_run (void)
{
  Bench bench = bench_new (hem_and_side, just_side);
  ModelPanel *panel = front_copy (&bench);
  guint hem = fixture_edge_id (panel, "hem");

  g_assert_true (model_shape_delete_node (panel, fixture_node (panel, "side", 0)->id));
  model_repair_put_panel (bench.history, panel);
  assert_run (&model_document_join (bench.doc, bench.join)->a, 1, &hem);
  check_sound (&bench);
  bench_clear (&bench);
}

static void
test_merge_out_of_run (void)
{
  Bench bench = bench_new (just_side, just_side);
  ModelPanel *panel = front_copy (&bench);

  g_assert_true (model_shape_delete_node (panel, fixture_node (panel, "side", 0)->id));
  model_repair_put_panel (bench.history, panel);
  g_assert_null (model_document_join (bench.doc, bench.join));
  check_sound (&bench);
  model_history_undo (bench.history);
  g_assert_nonnull (model_document_join (bench.doc, bench.join));
  bench_clear (&bench);
}

/* Mirrored or swapped: the outline runs the other way, the run still starts at the same corner. */
static void
test_turned (void)
{
  for (int swap = 0; swap < 2; swap++)
    for (int reversed = 0; reversed < 2; reversed++)
    {
      Bench bench = bench_new (hem_and_side, just_side);
      ModelPanel *panel = front_copy (&bench);
      guint hem = fixture_edge_id (panel, "hem"), side = fixture_edge_id (panel, "side");
      ModelJoin *join = model_join_copy (model_document_join (bench.doc, bench.join));
      GeomPoint start, end, now_start, now_end;
      GeomAffine map = geom_affine_mirror (geom_point (0, 0), geom_point (3, 1));

      join->a.reversed = reversed;
      model_history_put_join (bench.history, join);
      if (swap)
      {
        panel->own_sides = false;
        map = model_panel_mirror (panel);
      }
      run_ends (&bench, &model_document_join (bench.doc, bench.join)->a, &start, &end);
      if (swap)
        model_shape_swap_sides (panel);
      else
        model_shape_map (panel, map);
      model_repair_put_panel (bench.history, panel);
      assert_run (&model_document_join (bench.doc, bench.join)->a, 2, (const guint[]) { side, hem });
      g_assert_cmpint (model_document_join (bench.doc, bench.join)->a.reversed, ==, !reversed);
      run_ends (&bench, &model_document_join (bench.doc, bench.join)->a, &now_start, &now_end);
      g_assert_cmpfloat (geom_distance (now_start, geom_affine_apply (map, start)), <=, 1e-9);
      g_assert_cmpfloat (geom_distance (now_end, geom_affine_apply (map, end)), <=, 1e-9);
      check_sound (&bench);
      bench_clear (&bench);
    }
}

static void
test_matches (void)
{
  Bench bench = bench_new (just_side, just_side);
  ModelPanel *front = front_copy (&bench);
  ModelPanel *back = model_panel_copy (model_document_panel (bench.doc, bench.back));
  ModelJoin *join = model_join_copy (model_document_join (bench.doc, bench.join));
  ModelMatch kept, lost;
  guint side = fixture_edge_id (front, "side");

  kept.a_mark_id = model_shape_add_mark (front, bench.doc, side, 0, 0.3, 1);
  lost.a_mark_id = model_shape_add_mark (front, bench.doc, side, 1, 0.6, 1);
  kept.b_mark_id = model_shape_add_mark (back, bench.doc, fixture_edge_id (back, "side"), 0, 0.3, 1);
  lost.b_mark_id = model_shape_add_mark (back, bench.doc, fixture_edge_id (back, "side"), 1, 0.6, 1);
  g_array_append_val (join->matches, kept);
  g_array_append_val (join->matches, lost);
  model_history_put_panel (bench.history, front);
  model_history_put_panel (bench.history, back);
  model_history_put_join (bench.history, join);

  /* A corner between the two marks: both still on the run. */
  front = front_copy (&bench);
  model_shape_insert_corner (front, bench.doc, side, 0, 0.9);
  model_repair_put_panel (bench.history, front);
  g_assert_cmpuint (model_document_join (bench.doc, bench.join)->matches->len, ==, 2);
  check_sound (&bench);
  /* A mark taken away takes its match along. */
  front = front_copy (&bench);
  for (guint i = 0; i < front->marks->len; i++)
    if (g_array_index (front->marks, ModelMark, i).id == lost.a_mark_id)
    {
      g_array_remove_index (front->marks, i);
      break;
    }
  model_repair_put_panel (bench.history, front);
  g_assert_cmpuint (model_document_join (bench.doc, bench.join)->matches->len, ==, 1);
  g_assert_cmpuint (
    g_array_index (model_document_join (bench.doc, bench.join)->matches, ModelMatch, 0).a_mark_id, ==,
    kept.a_mark_id);
  check_sound (&bench);
  bench_clear (&bench);
}

static void
test_panel_dregs (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_PAIR, true);
  ModelMark mark = { .id = 900, .edge_id = 901, .wedges = 1 };
  ModelCorrection correction = { .node_id = 902 };

  g_assert_false (model_repair_panel (panel));
  g_array_append_val (panel->marks, mark);
  g_array_append_val (panel->corrections, correction);
  g_assert_true (model_repair_panel (panel));
  fixture_check (panel);
}

/* Law: whatever is done, the document loads again, a run's edges follow one another, and undo leads back to
 * the first bytes. */
static void
test_random_deeds (void)
{
  for (int story = 0; story < 40; story++)
  {
    Bench bench = bench_new (hem_and_side, just_side);
    g_autofree char *first = model_document_to_data (bench.doc, NULL), *last = NULL;
    guint position = model_history_position (bench.history), start_id = bench.doc->next_id;

    for (int deed = 0; deed < 50; deed++)
    {
      guint id = g_test_rand_bit () ? bench.front : bench.back;
      ModelPanel *panel = model_panel_copy (model_document_panel (bench.doc, id));
      guint e = (guint)g_test_rand_int_range (0, (gint)panel->edges->len);
      guint n = (guint)g_test_rand_int_range (0, (gint)model_panel_edge (panel, e)->nodes->len);
      guint edge_id = model_panel_edge (panel, e)->id;
      guint node_id = model_edge_node (model_panel_edge (panel, e), n)->id;

      switch (g_test_rand_int_range (0, 5))
      {
      case 0:
        model_shape_insert_corner (panel, bench.doc, edge_id, n, g_test_rand_double ());
        break;
      case 1:
        model_shape_delete_node (panel, node_id);
        break;
      case 2:
        model_shape_swap_sides (panel);
        break;
      case 3:
        model_shape_insert_node (panel, bench.doc, edge_id, n, g_test_rand_double ());
        break;
      case 4:
        model_shape_map (panel, geom_affine_mirror (geom_point (10, 0), geom_point (10, 5)));
        break;
      default:
        g_assert_not_reached ();
      }
      model_repair_put_panel (bench.history, panel);
      check_sound (&bench);
      for (guint i = 0; i < bench.doc->joins->len; i++)
      {
        const ModelJoin *join = g_ptr_array_index (bench.doc->joins, i);
        const ModelRun *runs[] = { &join->a, &join->b };

        for (guint r = 0; r < G_N_ELEMENTS (runs); r++)
        {
          const ModelPanel *of = model_document_panel (bench.doc, runs[r]->panel_id);

          g_assert_cmpuint (runs[r]->edges->len, >, 0);
          for (guint k = 1; k < runs[r]->edges->len; k++)
            g_assert_cmpint (model_panel_find_edge (of, g_array_index (runs[r]->edges, guint, k)), ==,
                             (model_panel_find_edge (of, g_array_index (runs[r]->edges, guint, k - 1)) + 1)
                               % (int)of->edges->len);
        }
      }
    }
    model_history_go_to (bench.history, position);
    /* The counter of ids never goes back; all else does. */
    bench.doc->next_id = start_id;
    last = model_document_to_data (bench.doc, NULL);
    g_assert_cmpstr (last, ==, first);
    bench_clear (&bench);
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/repair/split-edge", test_split_edge);
  g_test_add_func ("/model/repair/split-other-edge", test_split_other_edge);
  g_test_add_func ("/model/repair/merge-within-run", test_merge_within_run);
  g_test_add_func ("/model/repair/merge-out-of-run", test_merge_out_of_run);
  g_test_add_func ("/model/repair/turned", test_turned);
  g_test_add_func ("/model/repair/matches", test_matches);
  g_test_add_func ("/model/repair/panel-dregs", test_panel_dregs);
  g_test_add_func ("/model/repair/random-deeds", test_random_deeds);
  return g_test_run ();
}
