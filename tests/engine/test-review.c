#include "fixture.h"
#include "support/big-document.h"

/* ---- the law: told what changed, a review says what a fresh one says, to the last bit ---- */

static bool
same_figure (double a, double b)
{
  return memcmp (&a, &b, sizeof a) == 0;
}

static void
assert_same_findings (EngineReview *kept, EngineReview *fresh)
{
  const GPtrArray *a = engine_review_findings (kept), *b = engine_review_findings (fresh);
  g_assert_cmpuint (a->len, ==, b->len);
  for (guint i = 0; i < a->len; i++)
  {
    const EngineFinding *x = g_ptr_array_index (a, i), *y = g_ptr_array_index (b, i);
    g_assert_true (x->check == y->check);
    if (x->holds != y->holds)
      g_test_message ("%s: panel %u join %u", x->check->name, x->panel_id, x->join_id);
    g_assert_cmpint (x->holds, ==, y->holds);
    g_assert_cmpint (x->has_side, ==, y->has_side);
    g_assert_cmpint (x->side, ==, y->side);
    g_assert_cmpuint (x->panel_id, ==, y->panel_id);
    g_assert_cmpuint (x->edge_id, ==, y->edge_id);
    g_assert_cmpuint (x->other_panel_id, ==, y->other_panel_id);
    g_assert_cmpuint (x->join_id, ==, y->join_id);
    g_assert_cmpuint (x->measure_id, ==, y->measure_id);
    g_assert_cmpint (x->what, ==, y->what);
    g_assert_cmpint (x->has_at, ==, y->has_at);
    g_assert_cmpstr (x->unit, ==, y->unit);
    g_assert_true (same_figure (x->expected, y->expected));
    g_assert_true (same_figure (x->actual, y->actual));
    g_assert_true (same_figure (x->difference, y->difference));
    g_assert_true (same_figure (x->tolerance, y->tolerance));
    g_assert_true (same_figure (x->at.x, y->at.x) && same_figure (x->at.y, y->at.y));
  }
}

static void
assert_same (EngineReview *kept, EngineReview *fresh, bool cuts)
{
  const GArray *r = engine_review_readings (kept), *s = engine_review_readings (fresh);
  g_assert_cmpmem (r->data, r->len * sizeof (EngineJoinReading), s->data,
                   s->len * sizeof (EngineJoinReading));
  assert_same_findings (kept, fresh);
  if (!cuts)
    return;
  const GPtrArray *p = engine_review_pieces (kept), *q = engine_review_pieces (fresh);
  g_assert_cmpuint (p->len, ==, q->len);
  for (guint i = 0; i < p->len; i++)
  {
    const EnginePiece *x = g_ptr_array_index (p, i), *y = g_ptr_array_index (q, i);
    g_assert_cmpuint (x->panel_id, ==, y->panel_id);
    g_assert_cmpmem (x->seam.piece, x->seam.count * sizeof (GeomCubic), y->seam.piece,
                     y->seam.count * sizeof (GeomCubic));
    g_assert_cmpmem (x->cut.piece, x->cut.count * sizeof (GeomCubic), y->cut.piece,
                     y->cut.count * sizeof (GeomCubic));
  }
}

static gpointer
any (const GPtrArray *list)
{
  return g_ptr_array_index (list, g_test_rand_int_range (0, (gint32)list->len));
}

static void
put (ModelDocument *doc, EngineReview *review, ModelPartKind kind, gpointer body)
{
  ModelPart part = { kind, body };
  guint id = model_part_id (part);
  model_document_put (doc, part, -1);
  engine_review_touch (review, kind, id);
}

static void
take (ModelDocument *doc, EngineReview *review, ModelPartKind kind, guint id)
{
  int index;
  ModelPart part = model_document_take (doc, kind, id, &index);
  model_part_clear (&part);
  engine_review_touch (review, kind, id);
}

static void
change_panel (ModelDocument *doc, EngineReview *review)
{
  ModelPanel *panel = model_panel_copy (any (doc->panels));
  ModelEdge *edge = model_panel_edge (panel, (guint)g_test_rand_int_range (0, (gint32)panel->edges->len));
  switch (g_test_rand_int_range (0, 7))
  {
  case 0:
  case 1:
    if (!edge->fold)
    {
      model_edge_node (edge, 0)->at.x += g_test_rand_double_range (-5, 5);
      model_edge_node (edge, 0)->out.y += g_test_rand_double_range (-5, 5);
    }
    break;
  case 2:
    edge->has_allowance = !edge->has_allowance;
    edge->allowance_mm = g_test_rand_double_range (0, 15);
    break;
  case 3:
    panel->own_sides = !panel->own_sides;
    break;
  case 4:
    panel->side = model_side_other (panel->side);
    break;
  case 5:
    panel->hidden = !panel->hidden;
    break;
  default:
    /* Names decide which single panels belong together. */
    g_free (panel->name);
    panel->name
      = g_strdup_printf ("Plate %d, %s", g_test_rand_int_range (0, 4), g_test_rand_bit () ? "left" : "right");
    panel->side = g_test_rand_bit () ? MODEL_SIDE_LEFT : MODEL_SIDE_RIGHT;
    break;
  }
  put (doc, review, MODEL_PART_PANEL, panel);
}

static void
change_join (ModelDocument *doc, EngineReview *review)
{
  ModelJoin *join = model_join_copy (any (doc->joins));
  switch (g_test_rand_int_range (0, 6))
  {
  case 0:
    join->kind = (ModelJoinKind)g_test_rand_int_range (0, 4);
    break;
  case 1:
    join->b_over = !join->b_over;
    break;
  case 2:
    join->only = (ModelSide)g_test_rand_int_range (0, 3);
    break;
  case 3:
    join->ease_mm = g_test_rand_double_range (-5, 5);
    break;
  case 4:
  {
    /* To another panel altogether. */
    const ModelPanel *other = any (doc->panels);
    join->b.panel_id = other->id;
    g_array_set_size (join->b.edges, 1);
    g_array_index (join->b.edges, guint, 0) = model_panel_edge (other, 1)->id;
    g_array_set_size (join->matches, 0);
    break;
  }
  default:
    join->id = model_document_take_id (doc);
    break;
  }
  put (doc, review, MODEL_PART_JOIN, join);
}

static void
change_other (ModelDocument *doc, EngineReview *review)
{
  switch (g_test_rand_int_range (0, 4))
  {
  case 0:
    doc->head->overlap_mm = g_test_rand_double_range (-5, 120);
    engine_review_touch (review, MODEL_PART_HEAD, 0);
    break;
  case 1:
  {
    ModelMeasure *measure = model_measure_new ();
    measure->id = model_document_take_id (doc);
    measure->has_wearer = measure->has_form = true;
    measure->wearer_mm = 900;
    measure->form_mm = g_test_rand_double_range (880, 920);
    put (doc, review, MODEL_PART_MEASURE, measure);
    break;
  }
  case 2:
    if (doc->materials->len > 0)
    {
      ModelMaterial *material = model_material_copy (any (doc->materials));
      material->knife_mm = g_test_rand_double_range (0, 1);
      put (doc, review, MODEL_PART_MATERIAL, material);
    }
    break;
  default:
    if (doc->joins->len > 10)
      take (doc, review, MODEL_PART_JOIN, ((ModelJoin *)any (doc->joins))->id);
    break;
  }
}

/* A panel goes with its joins, as the history does it, and comes back with them, as undoing does. */
static void
remove_panel (ModelDocument *doc, EngineReview *review)
{
  guint id = ((ModelPanel *)any (doc->panels))->id;
  ModelPanel *panel = model_panel_copy (model_document_panel (doc, id));
  g_autoptr (GPtrArray) joins = g_ptr_array_new ();
  for (guint i = doc->joins->len; i-- > 0;)
  {
    const ModelJoin *join = g_ptr_array_index (doc->joins, i);
    if (join->a.panel_id != id && join->b.panel_id != id)
      continue;
    g_ptr_array_add (joins, model_join_copy (join));
    take (doc, review, MODEL_PART_JOIN, join->id);
  }
  take (doc, review, MODEL_PART_PANEL, id);
  g_autoptr (EngineReview) fresh = engine_review_new (doc);
  if (g_test_rand_bit ())
    assert_same (review, fresh, false);
  put (doc, review, MODEL_PART_PANEL, panel);
  for (guint i = 0; i < joins->len; i++)
    put (doc, review, MODEL_PART_JOIN, g_ptr_array_index (joins, i));
}

static void
test_incremental (void)
{
  g_autoptr (ModelDocument) doc = test_big_document_of (12, 14);
  ModelMaterial *leather = model_material_new ();
  leather->id = model_document_take_id (doc);
  model_document_put (doc, (ModelPart) { MODEL_PART_MATERIAL, leather }, -1);
  for (guint i = 0; i < doc->panels->len; i += 3)
    ((ModelPanel *)g_ptr_array_index (doc->panels, i))->material_id = leather->id;
  g_autoptr (EngineReview) kept = engine_review_new (doc);
  for (int round = 0; round < 500; round++)
  {
    int changes = g_test_rand_int_range (1, 4);
    for (int i = 0; i < changes; i++)
      switch (g_test_rand_int_range (0, 3))
      {
      case 0:
        change_panel (doc, kept);
        break;
      case 1:
        change_join (doc, kept);
        break;
      default:
        change_other (doc, kept);
        break;
      }
    if (round % 10 == 0)
      remove_panel (doc, kept);
    g_autoptr (EngineReview) fresh = engine_review_new (doc);
    assert_same (kept, fresh, round % 5 == 0);
  }
}

/* ---- questions ---- */

/* The document all speed figures are about agrees by construction: all its curved edges are the same wave. */
static void
test_big_document_agrees (void)
{
  g_autoptr (ModelDocument) doc = test_big_document ();
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const GArray *readings = engine_review_readings (review);
  g_assert_cmpuint (readings->len, >=, TEST_BIG_JOINS);
  double wave = g_array_index (readings, EngineJoinReading, 0).length_a_mm;
  for (guint i = 0; i < readings->len; i++)
  {
    const EngineJoinReading *reading = &g_array_index (readings, EngineJoinReading, i);
    double waves = reading->length_a_mm / wave;
    fixture_near (waves, round (waves), 1e-8);
    fixture_near (reading->length_b_mm, reading->length_a_mm, 1e-6);
    g_assert_true (reading->holds);
  }
}

static void
test_pieces (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *single = fixture_rectangle (doc, "Plate", 0, 0, 50, 50);
  single->side = MODEL_SIDE_LEFT;
  ModelPanel *pair = fixture_rectangle (doc, "Side", 100, 0, 50, 50);
  fixture_mirror (pair, MODEL_HALVES_PAIR, MODEL_SIDE_RIGHT);
  ModelPanel *fold = fixture_rectangle (doc, "Back", 300, 0, 50, 50);
  fixture_mirror (fold, MODEL_HALVES_FOLD, MODEL_SIDE_LEFT);
  model_panel_edge (fold, 3)->fold = true;
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const GPtrArray *pieces = engine_review_pieces (review);
  g_assert_cmpuint (pieces->len, ==, 4);
  const EnginePiece *left = g_ptr_array_index (pieces, 1), *right = g_ptr_array_index (pieces, 2);
  g_assert_cmpint (left->side, ==, MODEL_SIDE_LEFT);
  g_assert_true (left->copied);
  g_assert_true (right->drawn);
  g_assert_true (engine_review_piece (review, pair->id, MODEL_SIDE_LEFT) == left);
  g_assert_null (engine_review_piece (review, pair->id, MODEL_SIDE_CENTRE));
  g_assert_nonnull (engine_review_piece (review, single->id, MODEL_SIDE_LEFT));
  g_assert_nonnull (engine_review_piece (review, single->id, MODEL_SIDE_CENTRE));
  g_assert_null (engine_review_piece (review, single->id, MODEL_SIDE_RIGHT));
  g_assert_nonnull (engine_review_piece (review, fold->id, MODEL_SIDE_RIGHT));
  g_assert_null (engine_review_piece (review, 99999, MODEL_SIDE_CENTRE));
}

/* Runs go where they are said to go, on either side.  Rectangle (100, 0) to (150, 30), mirrored in x = 0. */
static void
test_run_path (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *pair = fixture_rectangle (doc, "Side", 100, 0, 50, 30);
  fixture_mirror (pair, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  ModelMark mark = { model_document_take_id (doc), model_panel_edge (pair, 1)->id, 12, 1 };
  g_array_append_val (pair->marks, mark);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  ModelRun run = fixture_run (pair, 0, 2);
  static const struct
  {
    ModelSide side;
    bool reversed;
    GeomPoint from, to;
    double along;
  } rows[] = {
    { MODEL_SIDE_LEFT, false, { 100, 0 }, { 150, 30 }, 62 },
    { MODEL_SIDE_LEFT, true, { 150, 30 }, { 100, 0 }, 18 },
    { MODEL_SIDE_RIGHT, false, { -100, 0 }, { -150, 30 }, 62 },
    { MODEL_SIDE_RIGHT, true, { -150, 30 }, { -100, 0 }, 18 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    GeomPath path;
    GeomPoint start, end;
    double along;
    geom_path_init (&path);
    run.reversed = rows[i].reversed;
    g_assert_true (engine_review_run_path (review, &run, rows[i].side, &path));
    fixture_near (geom_distance (path.piece[0].p[0], rows[i].from), 0, 1e-9);
    fixture_near (geom_distance (path.piece[path.count - 1].p[3], rows[i].to), 0, 1e-9);
    fixture_near (geom_path_length (&path, 1e-9), 80, 1e-6);
    g_assert_true (engine_review_run_point (review, &run, rows[i].side, false, &start));
    g_assert_true (engine_review_run_point (review, &run, rows[i].side, true, &end));
    fixture_near (geom_distance (start, rows[i].from) + geom_distance (end, rows[i].to), 0, 1e-9);
    g_assert_true (engine_review_mark_along (review, &run, rows[i].side, mark.id, &along));
    fixture_near (along, rows[i].along, 1e-6);
    geom_path_clear (&path);
  }
  double unused;
  g_assert_false (engine_review_mark_along (review, &run, MODEL_SIDE_LEFT, 4711, &unused));
  g_array_index (run.edges, guint, 1) = 4711;
  GeomPath path;
  geom_path_init (&path);
  g_assert_false (engine_review_run_path (review, &run, MODEL_SIDE_LEFT, &path));
  g_array_unref (run.edges);
}

/* A mark at 12 of 30 keeps its share where the other side's edge is longer: 12/30 of 60. */
static void
test_mark_on_corrected_side (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *pair = fixture_rectangle (doc, "Side", 100, 0, 50, 30);
  fixture_mirror (pair, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  ModelMark mark = { model_document_take_id (doc), model_panel_edge (pair, 1)->id, 12, 1 };
  g_array_append_val (pair->marks, mark);
  fixture_correct (pair, 2, 0, 30);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  ModelRun run = fixture_run (pair, 1, 1);
  double left, right;
  g_assert_true (engine_review_mark_along (review, &run, MODEL_SIDE_LEFT, mark.id, &left));
  g_assert_true (engine_review_mark_along (review, &run, MODEL_SIDE_RIGHT, mark.id, &right));
  fixture_near (left, 12, 1e-9);
  fixture_near (right, 24, 1e-9);
  g_array_unref (run.edges);
}

static void
test_worst_first (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *a = fixture_rectangle (doc, "A", 0, 0, 50, 100),
             *b = fixture_rectangle (doc, "B", 100, 0, 50, 103);
  ModelPanel *c = fixture_rectangle (doc, "C", 200, 0, 50, 120);
  ModelJoin *small = fixture_join (doc, MODEL_JOIN_FLUSH, a, 1, b, 3);
  ModelJoin *large = fixture_join (doc, MODEL_JOIN_FLUSH, b, 1, c, 3);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (GPtrArray) open = engine_review_open_findings (review);
  g_assert_cmpuint (open->len, ==, 2);
  g_assert_cmpuint (((EngineFinding *)g_ptr_array_index (open, 0))->join_id, ==, large->id);
  g_assert_cmpuint (((EngineFinding *)g_ptr_array_index (open, 1))->join_id, ==, small->id);
  g_assert_false (engine_review_holds (review));
  small->tolerance_mm = 3.5;
  large->ease_mm = 17;
  engine_review_touch_all (review);
  g_assert_true (engine_review_holds (review));
}

/* Findings come check by check, and in a check in the order of the document. */
static void
test_order (void)
{
  g_autoptr (ModelDocument) doc = test_big_document_of (12, 14);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const GPtrArray *findings = engine_review_findings (review);
  int last = 0;
  guint seen = 0;
  for (guint i = 0; i < findings->len; i++)
  {
    const EngineFinding *finding = g_ptr_array_index (findings, i);
    int rank = 0;
    while (engine_checks ()[rank] != finding->check)
      rank++;
    g_assert_cmpint (rank, >=, last);
    last = rank;
    if (finding->check == &engine_check_join_length)
      while (((ModelJoin *)g_ptr_array_index (doc->joins, seen))->id != finding->join_id)
        g_assert_cmpuint (++seen, <, doc->joins->len);
  }
  g_assert_cmpuint (seen, ==, doc->joins->len - 1);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/review/incremental", test_incremental);
  g_test_add_func ("/engine/review/big-document-agrees", test_big_document_agrees);
  g_test_add_func ("/engine/review/pieces", test_pieces);
  g_test_add_func ("/engine/review/run-path", test_run_path);
  g_test_add_func ("/engine/review/mark-on-corrected-side", test_mark_on_corrected_side);
  g_test_add_func ("/engine/review/worst-first", test_worst_first);
  g_test_add_func ("/engine/review/order", test_order);
  return g_test_run ();
}
