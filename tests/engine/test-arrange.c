/* Arranging: what must hold is judged here by other means than those of the arranger: cut lines are cut into
 * chords and held against each other as polygons, and shapes are compared by the vectors between their nodes.
 */
#include "engine/arrange.h"
#include "fixture.h"
#include "model/shape.h"
#include "support/big-document.h"

/* Chords stray this far from the curve; the gap is far more. */
#define CHORD_MM 0.05

static void
add_point (GeomPoint p, void *user)
{
  g_array_append_val ((GArray *)user, p);
}

static GArray *
polygon_of (const GeomPath *path)
{
  GArray *points = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  geom_path_flatten (path, CHORD_MM, add_point, points);
  return points;
}

static double
from_segment (GeomPoint p, GeomPoint a, GeomPoint b)
{
  GeomPoint d = geom_sub (b, a);
  double n = geom_dot (d, d), t = n > 0.0 ? CLAMP (geom_dot (geom_sub (p, a), d) / n, 0.0, 1.0) : 0.0;
  return geom_distance (p, geom_along (a, t, d));
}

static double
turn_of (GeomPoint a, GeomPoint b, GeomPoint c)
{
  return geom_cross (geom_sub (b, a), geom_sub (c, a));
}

/* Even-odd count of the edges to the right of P. */
static bool
polygon_holds (const GArray *poly, GeomPoint p)
{
  bool in = false;
  for (guint i = 0; i < poly->len; i++)
  {
    GeomPoint a = g_array_index (poly, GeomPoint, i),
              b = g_array_index (poly, GeomPoint, (i + 1) % poly->len);
    if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) * (b.x - a.x) / (b.y - a.y))
      in = !in;
  }
  return in;
}

/* The least distance of two polygons, 0 if they have anything in common. */
static double
apart (const GArray *p, const GArray *q)
{
  double least = G_MAXDOUBLE;
  if (polygon_holds (p, g_array_index (q, GeomPoint, 0))
      || polygon_holds (q, g_array_index (p, GeomPoint, 0)))
    return 0.0;
  for (guint i = 0; i < p->len; i++)
    for (guint k = 0; k < q->len; k++)
    {
      GeomPoint a = g_array_index (p, GeomPoint, i), b = g_array_index (p, GeomPoint, (i + 1) % p->len);
      GeomPoint c = g_array_index (q, GeomPoint, k), d = g_array_index (q, GeomPoint, (k + 1) % q->len);
      if (turn_of (a, b, c) * turn_of (a, b, d) < 0.0 && turn_of (c, d, a) * turn_of (c, d, b) < 0.0)
        return 0.0;
      least = fmin (least, fmin (fmin (from_segment (a, c, d), from_segment (b, c, d)),
                                 fmin (from_segment (c, a, b), from_segment (d, a, b))));
    }
  return least;
}

static guint
put_changed (ModelDocument *doc, EngineReview *review, GPtrArray *changed)
{
  guint count = changed->len;
  for (guint i = 0; i < count; i++)
  {
    ModelPanel *panel = model_panel_copy (g_ptr_array_index (changed, i));
    ModelPart was = model_document_swap (doc, (ModelPart) { MODEL_PART_PANEL, panel });
    model_part_clear (&was);
    engine_review_touch (review, MODEL_PART_PANEL, panel->id);
  }
  g_ptr_array_unref (changed);
  return count;
}

static guint
arrange (ModelDocument *doc, EngineReview *review, bool by_material)
{
  return put_changed (doc, review, engine_arrange (review, NULL, 0, ENGINE_ARRANGE_GAP_MM, by_material));
}

/* Every two cut lines are at least GAP_MM apart. */
static void
assert_clear (EngineReview *review, double gap_mm)
{
  const GPtrArray *pieces = engine_review_pieces (review);
  g_autoptr (GPtrArray) polys = g_ptr_array_new_with_free_func ((GDestroyNotify)g_array_unref);
  for (guint i = 0; i < pieces->len; i++)
  {
    const EnginePiece *piece = g_ptr_array_index (pieces, i);
    GArray *poly = polygon_of (piece->cut.count > 0 ? &piece->cut : &piece->seam);
    g_assert_cmpuint (poly->len, >=, 3);
    g_ptr_array_add (polys, poly);
  }
  for (guint i = 0; i < polys->len; i++)
    for (guint k = i + 1; k < polys->len; k++)
    {
      const EnginePiece *p = g_ptr_array_index (pieces, i), *q = g_ptr_array_index (pieces, k);
      /* Far boxes need no edge by edge. */
      if (!geom_box_overlaps (geom_box_grown (p->box, gap_mm + 1.0), q->box))
        continue;
      g_assert_cmpfloat (apart (g_ptr_array_index (polys, i), g_ptr_array_index (polys, k)), >=,
                         gap_mm - 2.0 * CHORD_MM);
    }
}

static void
assert_same_vector (GeomPoint a, GeomPoint b, GeomPoint by)
{
  fixture_near (b.x - a.x, by.x, 1e-9);
  fixture_near (b.y - a.y, by.y, 1e-9);
}

/* Moved as a whole: every point by the same vector. */
static void
assert_moved_rigidly (const ModelPanel *was, const ModelPanel *now)
{
  g_assert_cmpuint (was->edges->len, ==, now->edges->len);
  GeomPoint by = geom_sub (model_edge_node (model_panel_edge (now, 0), 0)->at,
                           model_edge_node (model_panel_edge (was, 0), 0)->at);
  for (guint e = 0; e < was->edges->len; e++)
  {
    const ModelEdge *a = model_panel_edge (was, e), *b = model_panel_edge (now, e);
    g_assert_cmpuint (a->id, ==, b->id);
    g_assert_cmpuint (a->nodes->len, ==, b->nodes->len);
    for (guint n = 0; n < a->nodes->len; n++)
    {
      assert_same_vector (model_edge_node (a, n)->at, model_edge_node (b, n)->at, by);
      assert_same_vector (model_edge_node (a, n)->in, model_edge_node (b, n)->in, by);
      assert_same_vector (model_edge_node (a, n)->out, model_edge_node (b, n)->out, by);
    }
  }
  GeomPath p, q;
  geom_path_init (&p);
  geom_path_init (&q);
  model_panel_twin_path (was, &p, NULL);
  model_panel_twin_path (now, &q, NULL);
  g_assert_cmpuint (p.count, ==, q.count);
  for (size_t i = 0; i < p.count; i++)
    for (int k = 0; k < 4; k++)
      assert_same_vector (p.piece[i].p[k], q.piece[i].p[k], geom_sub (q.piece[0].p[0], p.piece[0].p[0]));
  geom_path_clear (&p);
  geom_path_clear (&q);
}

static void
test_two_hundred (void)
{
  g_autoptr (ModelDocument) doc = test_big_document ();
  /* All on one heap. */
  for (guint i = 0; i < doc->panels->len; i++)
  {
    ModelPanel *panel = g_ptr_array_index (doc->panels, i);
    double x = model_edge_node (model_panel_edge (panel, 0), 0)->at.x;
    model_shape_map (panel, geom_affine_move (-0.9 * x, 0.0));
    panel->locked = panel->hidden = false;
  }
  g_autoptr (ModelDocument) before = model_document_copy (doc);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_assert_cmpuint (arrange (doc, review, false), >, 100);
  assert_clear (review, ENGINE_ARRANGE_GAP_MM);
  for (guint i = 0; i < doc->panels->len; i++)
    assert_moved_rigidly (g_ptr_array_index (before->panels, i), g_ptr_array_index (doc->panels, i));
  g_assert_cmpuint (arrange (doc, review, false), ==, 0);
}

/* Two rectangles 100 x 50 and a pair 40 x 80, by hand: in document order from the top left corner (0, 500).
 */
static void
test_by_hand (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *a = fixture_rectangle (doc, "Collar", 0, 0, 100, 50);
  ModelPanel *b = fixture_rectangle (doc, "Bracer", 300, 420, 40, 80);
  ModelPanel *c = fixture_rectangle (doc, "Strap", 10, 10, 100, 50);
  guint ids[] = { a->id, b->id, c->id };
  fixture_mirror (b, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  b->mirror_x_mm = 200; /* the twin at 60 .. 100 */
  g_autoptr (EngineReview) review = engine_review_new (doc);
  arrange (doc, review, false);
  /* Areas with the gap: 120 x 70 twice and 120 x 100 = 28 800; row width sqrt (1.6 x 28 800) = 214.7.  Collar
   * and the pair together are 100 + 20 + 100 = 220 wide: the pair begins the second row, the strap the third.
   */
  const struct
  {
    guint id;
    double x0, y1;
  } wanted[] = { { ids[0], 0, 500 }, { ids[1], 60, 430 }, { ids[2], 0, 330 } };
  for (guint i = 0; i < 3; i++)
  {
    GeomPath path;
    geom_path_init (&path);
    model_panel_path (model_document_panel (doc, wanted[i].id), &path, NULL);
    GeomBox box = geom_path_box (&path);
    fixture_near (box.x0, wanted[i].x0, 1e-9);
    fixture_near (box.y1, wanted[i].y1, 1e-9);
    geom_path_clear (&path);
  }
  /* Twin 0 .. 40, panel 60 .. 100. */
  fixture_near (model_document_panel (doc, ids[1])->mirror_x_mm, 50.0, 1e-9);
  assert_clear (review, ENGINE_ARRANGE_GAP_MM);
}

static void
test_materials_begin_rows (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  guint materials[2];
  for (guint i = 0; i < 2; i++)
  {
    ModelMaterial *m = model_material_new ();
    materials[i] = m->id = model_document_take_id (doc);
    model_document_put (doc, (ModelPart) { MODEL_PART_MATERIAL, m }, -1);
  }
  for (guint i = 0; i < 6; i++)
    fixture_rectangle (doc, "Bracer", 0, 0, 60, 30)->material_id = i % 3 == 2 ? 0 : materials[1 - i % 3];
  g_autoptr (EngineReview) review = engine_review_new (doc);
  arrange (doc, review, true);
  assert_clear (review, ENGINE_ARRANGE_GAP_MM);
  for (guint i = 0; i < 6; i++)
    for (guint k = 0; k < 6; k++)
    {
      const ModelPanel *p = g_ptr_array_index (doc->panels, i), *q = g_ptr_array_index (doc->panels, k);
      double yp = model_edge_node (model_panel_edge (p, 0), 0)->at.y,
             yq = model_edge_node (model_panel_edge (q, 0), 0)->at.y;
      if (p->material_id != q->material_id)
        g_assert_cmpfloat (fabs (yp - yq), >, 30.0);
    }
  g_assert_cmpuint (arrange (doc, review, true), ==, 0);
}

static void
test_others_stay_and_are_kept_clear_of (void)
{
  g_autoptr (ModelDocument) doc = test_big_document_of (30, 20);
  for (guint i = 0; i < doc->panels->len; i++)
    model_shape_map (g_ptr_array_index (doc->panels, i), geom_affine_move (0.0, 0.0));
  g_autoptr (EngineReview) review = engine_review_new (doc);
  arrange (doc, review, false);
  /* Three of them are pushed onto their neighbours; one is locked, one hidden. */
  guint ids[3];
  for (guint i = 0; i < 3; i++)
  {
    ModelPanel *panel = g_ptr_array_index (doc->panels, 4 + 2 * i);
    model_shape_map (panel, geom_affine_move (90.0, -40.0));
    ids[i] = panel->id;
  }
  ((ModelPanel *)g_ptr_array_index (doc->panels, 20))->locked = true;
  ((ModelPanel *)g_ptr_array_index (doc->panels, 21))->hidden = true;
  engine_review_touch_all (review);
  g_autoptr (ModelDocument) before = model_document_copy (doc);
  g_assert_cmpuint (put_changed (doc, review, engine_arrange (review, ids, 3, ENGINE_ARRANGE_GAP_MM, false)),
                    ==, 3);
  assert_clear (review, ENGINE_ARRANGE_GAP_MM);
  for (guint i = 0; i < doc->panels->len; i++)
  {
    const ModelPanel *was = g_ptr_array_index (before->panels, i), *now = g_ptr_array_index (doc->panels, i);
    assert_moved_rigidly (was, now);
    if (now->id != ids[0] && now->id != ids[1] && now->id != ids[2])
      assert_same_vector (model_edge_node (model_panel_edge (was, 0), 0)->at,
                          model_edge_node (model_panel_edge (now, 0), 0)->at, geom_point (0, 0));
  }
  g_assert_cmpuint (put_changed (doc, review, engine_arrange (review, ids, 3, ENGINE_ARRANGE_GAP_MM, false)),
                    ==, 0);
  /* Arranging all: the locked one stays, the rest keep clear of it. */
  ((ModelPanel *)g_ptr_array_index (doc->panels, 21))->hidden = false;
  engine_review_touch_all (review);
  arrange (doc, review, false);
  assert_clear (review, ENGINE_ARRANGE_GAP_MM);
  assert_same_vector (model_edge_node (model_panel_edge (g_ptr_array_index (before->panels, 20), 0), 0)->at,
                      model_edge_node (model_panel_edge (g_ptr_array_index (doc->panels, 20), 0), 0)->at,
                      geom_point (0, 0));
}

/* A lap makes the cut line larger than the outline: it is the cut lines that keep the gap. */
static void
test_allowances_count (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  for (guint i = 0; i < 4; i++)
  {
    ModelPanel *panel = fixture_rectangle (doc, "Bracer", 0, 0, 60, 30);
    for (guint e = 0; e < 4; e++)
      fixture_allow (panel, e, 15.0);
  }
  g_autoptr (EngineReview) review = engine_review_new (doc);
  arrange (doc, review, false);
  assert_clear (review, ENGINE_ARRANGE_GAP_MM);
  /* 60 + 2 x 15 + 20: the second outline begins 110 mm after the first. */
  fixture_near (model_edge_node (model_panel_edge (g_ptr_array_index (doc->panels, 1), 0), 0)->at.x
                  - model_edge_node (model_panel_edge (g_ptr_array_index (doc->panels, 0), 0), 0)->at.x,
                110.0, 1e-3);
}

static void
test_nothing_to_arrange (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_assert_cmpuint (arrange (doc, review, true), ==, 0);
  ModelPanel *empty = model_panel_new ();
  empty->id = model_document_take_id (doc);
  model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, empty }, -1);
  engine_review_touch_all (review);
  g_assert_cmpuint (arrange (doc, review, false), ==, 0);
  g_assert_cmpuint (put_changed (doc, review, engine_arrange (review, NULL, 0, NAN, false)), ==, 0);
}

/* Rectangles at x 0..100, 150..170, 400..460 and y 0..50, 100..140, 20..30: where each comes to, by hand. */
static void
test_align (void)
{
  const struct
  {
    EngineAlign how;
    double x[3], y[3];
  } rows[] = {
    { ENGINE_ALIGN_LEFT, { 0, 0, 0 }, { 0, 100, 20 } },
    { ENGINE_ALIGN_RIGHT, { 360, 440, 400 }, { 0, 100, 20 } },
    { ENGINE_ALIGN_UPRIGHT_MIDDLE, { 180, 220, 200 }, { 0, 100, 20 } },
    { ENGINE_ALIGN_TOP, { 0, 150, 400 }, { 90, 100, 130 } },
    { ENGINE_ALIGN_BOTTOM, { 0, 150, 400 }, { 0, 0, 0 } },
    { ENGINE_ALIGN_LEVEL_MIDDLE, { 0, 150, 400 }, { 45, 50, 65 } },
  };
  for (guint r = 0; r < G_N_ELEMENTS (rows); r++)
  {
    g_autoptr (ModelDocument) doc = model_document_new ();
    fixture_rectangle (doc, "Collar", 0, 0, 100, 50);
    fixture_rectangle (doc, "Strap", 150, 100, 20, 40);
    fixture_rectangle (doc, "Bracer", 400, 20, 60, 10);
    g_autoptr (EngineReview) review = engine_review_new (doc);
    put_changed (doc, review, engine_align (doc, NULL, 0, rows[r].how));
    for (guint i = 0; i < 3; i++)
    {
      GeomPoint at = model_edge_node (model_panel_edge (g_ptr_array_index (doc->panels, i), 0), 0)->at;
      fixture_near (at.x, rows[r].x[i], 1e-9);
      fixture_near (at.y, rows[r].y[i], 1e-9);
    }
    g_assert_cmpuint (put_changed (doc, review, engine_align (doc, NULL, 0, rows[r].how)), ==, 0);
  }
}

static void
test_align_leaves_locked (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  fixture_rectangle (doc, "Collar", 40, 0, 100, 50)->locked = true;
  fixture_rectangle (doc, "Strap", 10, 100, 20, 40);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_assert_cmpuint (put_changed (doc, review, engine_align (doc, NULL, 0, ENGINE_ALIGN_RIGHT)), ==, 1);
  fixture_near (model_edge_node (model_panel_edge (g_ptr_array_index (doc->panels, 1), 0), 0)->at.x, 120.0,
                1e-9);
  g_assert_cmpuint (put_changed (doc, review, engine_align (doc, NULL, 0, ENGINE_ALIGN_LEFT)), ==, 1);
  fixture_near (model_edge_node (model_panel_edge (g_ptr_array_index (doc->panels, 1), 0), 0)->at.x, 40.0,
                1e-9);
}

/* From 0 to 460 with 100 + 20 + 60 of panels: two spaces of (460 - 180) / 2 = 140. */
static void
test_distribute (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  fixture_rectangle (doc, "Bracer", 400, 20, 60, 10);
  fixture_rectangle (doc, "Collar", 0, 0, 100, 50);
  fixture_rectangle (doc, "Strap", 150, 100, 20, 40);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_assert_cmpuint (put_changed (doc, review, engine_distribute (doc, NULL, 0, true)), ==, 1);
  fixture_near (model_edge_node (model_panel_edge (g_ptr_array_index (doc->panels, 2), 0), 0)->at.x, 240.0,
                1e-9);
  /* Upwards by their middles (25, 25, 120): bracer 20..30 comes first in the document and so is lowest, the
   * strap highest: 20..140 less 10 + 50 + 40 leaves two spaces of 10; the collar begins at 20 + 10 + 10. */
  g_assert_cmpuint (put_changed (doc, review, engine_distribute (doc, NULL, 0, false)), ==, 1);
  fixture_near (model_edge_node (model_panel_edge (g_ptr_array_index (doc->panels, 1), 0), 0)->at.y, 40.0,
                1e-9);
  guint two[] = { ((ModelPanel *)g_ptr_array_index (doc->panels, 0))->id,
                  ((ModelPanel *)g_ptr_array_index (doc->panels, 1))->id };
  g_assert_cmpuint (put_changed (doc, review, engine_distribute (doc, two, 2, true)), ==, 0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/arrange/two-hundred-panels-on-a-heap", test_two_hundred);
  g_test_add_func ("/engine/arrange/by-hand", test_by_hand);
  g_test_add_func ("/engine/arrange/materials-begin-rows", test_materials_begin_rows);
  g_test_add_func ("/engine/arrange/others-stay-and-are-kept-clear-of",
                   test_others_stay_and_are_kept_clear_of);
  g_test_add_func ("/engine/arrange/allowances-count", test_allowances_count);
  g_test_add_func ("/engine/arrange/nothing-to-arrange", test_nothing_to_arrange);
  g_test_add_func ("/engine/align/by-hand", test_align);
  g_test_add_func ("/engine/align/locked-panels-stay", test_align_leaves_locked);
  g_test_add_func ("/engine/distribute/by-hand", test_distribute);
  return g_test_run ();
}
