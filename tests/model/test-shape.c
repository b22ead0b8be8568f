#include "model/shape.h"

#include "shape-fixture.h"

#include <string.h>

typedef struct Kind
{
  ModelHalves halves;
  bool own;
} Kind;

static const Kind all_kinds[] = { { MODEL_HALVES_SINGLE, false },
                                  { MODEL_HALVES_FOLD, false },
                                  { MODEL_HALVES_FOLD, true },
                                  { MODEL_HALVES_PAIR, false },
                                  { MODEL_HALVES_PAIR, true } };

static GeomPoint
random_vector (double reach)
{
  return geom_point (g_test_rand_double_range (-reach, reach), g_test_rand_double_range (-reach, reach));
}

/* The cubic by its Bernstein sum, in long double: a judge apart from the geometry under it. */
static GeomPoint
bernstein (const GeomCubic *c, double at)
{
  long double t = at, s = 1.0L - t, w[4] = { s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t }, x = 0,
              y = 0;

  for (int i = 0; i < 4; i++)
  {
    x += w[i] * c->p[i].x;
    y += w[i] * c->p[i].y;
  }
  return geom_point ((double)x, (double)y);
}

#define assert_near(a, b, mm) g_assert_cmpfloat (geom_distance ((a), (b)), <=, (mm))

/* ---- new panels ---- */

static void
test_new_panel (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  /* A square clockwise, its second node a smooth one. */
  ModelNode square[] = { { .kind = MODEL_NODE_SMOOTH, .at = { 0, 10 }, .in = { -1, 9 }, .out = { 1, 11 } },
                         { .kind = MODEL_NODE_CORNER, .at = { 10, 10 }, .in = { 10, 10 }, .out = { 10, 10 } },
                         { .kind = MODEL_NODE_CORNER, .at = { 10, 0 }, .in = { 10, 0 }, .out = { 10, 0 } },
                         { .kind = MODEL_NODE_CORNER, .at = { 0, 0 }, .in = { 0, 0 }, .out = { 0, 0 } } };
  g_autoptr (ModelPanel) panel = model_shape_new_panel (ids, square, 4);
  GeomPath path = { 0 };

  g_assert_nonnull (panel);
  g_assert_cmpuint (panel->edges->len, ==, 3);
  fixture_check (panel);
  model_panel_path (panel, &path, NULL);
  g_assert_cmpfloat (geom_path_area (&path), >, 90.0);
  geom_path_clear (&path);
  {
    guint edge, node;
    const ModelNode *smooth = NULL;

    for (edge = 0; edge < 3; edge++)
      for (node = 1; node < model_panel_edge (panel, edge)->nodes->len; node++)
        smooth = model_edge_node (model_panel_edge (panel, edge), node);
    g_assert_nonnull (smooth);
    g_assert_true (geom_same_point (smooth->in, geom_point (1, 11)));
    g_assert_true (geom_same_point (smooth->out, geom_point (-1, 9)));
  }
  g_assert_null (model_shape_new_panel (ids, square, 1));
  g_assert_null (model_shape_new_panel (ids, square + 2, 2));
  square[2].at.x = NAN;
  g_assert_null (model_shape_new_panel (ids, square, 4));
  square[2].at.x = 1e9;
  g_assert_null (model_shape_new_panel (ids, square, 4));
}

static void
test_new_panel_without_corner (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  const double k = 100.0 * 4.0 / 3.0 * (sqrt (2.0) - 1.0); /* M: handle of the quarter circle */
  const ModelNode round[]
    = { { .kind = MODEL_NODE_EVEN, .at = { 100, 0 }, .in = { 100, -k }, .out = { 100, k } },
        { .kind = MODEL_NODE_EVEN, .at = { 0, 100 }, .in = { k, 100 }, .out = { -k, 100 } },
        { .kind = MODEL_NODE_EVEN, .at = { -100, 0 }, .in = { -100, k }, .out = { -100, -k } },
        { .kind = MODEL_NODE_EVEN, .at = { 0, -100 }, .in = { -k, -100 }, .out = { k, -100 } } };
  g_autoptr (ModelPanel) panel = model_shape_new_panel (ids, round, 4);

  g_assert_nonnull (panel);
  g_assert_cmpuint (panel->edges->len, ==, 1);
  fixture_check (panel);
  /* Its corner out: another node becomes the corner. */
  g_assert_true (model_shape_delete_node (panel, model_edge_node (model_panel_edge (panel, 0), 0)->id));
  fixture_check (panel);
  g_assert_cmpuint (model_panel_node_count (panel), ==, 3);
  g_assert_true (model_shape_delete_node (panel, model_edge_node (model_panel_edge (panel, 0), 0)->id));
  g_assert_false (model_shape_delete_node (panel, model_edge_node (model_panel_edge (panel, 0), 0)->id));
}

/* ---- moving ---- */

/* Law: what is asked for is where it then is, on the side it was asked for. */
static void
test_place (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (all_kinds); k++)
    for (int other = 0; other < 2; other++)
    {
      g_autoptr (ModelDocument) ids = model_document_new ();
      g_autoptr (ModelPanel) panel = fixture_panel (ids, all_kinds[k].halves, all_kinds[k].own);
      ModelSide side = other ? model_side_other (panel->side) : panel->side;
      guint id = fixture_node (panel, "side", 1)->id;
      GeomPoint want = geom_point (177.25, 140.5), in, got, in_after;

      g_assert_true (model_shape_where (panel, side, id, MODEL_HANDLE_NONE, &got));
      g_assert_true (model_shape_where (panel, side, id, MODEL_HANDLE_IN, &in));
      in = geom_sub (in, got);
      model_shape_place_node (panel, side, id, want);
      g_assert_true (model_shape_where (panel, side, id, MODEL_HANDLE_NONE, &got));
      g_assert_true (model_shape_where (panel, side, id, MODEL_HANDLE_IN, &in_after));
      assert_near (got, want, 1e-10);
      assert_near (geom_sub (in_after, got), in, 1e-10);
      fixture_check (panel);
      g_assert_false (model_shape_where (panel, side, 999999, MODEL_HANDLE_NONE, &got));
    }
}

static void
test_own_side_leaves_drawn (void)
{
  static const ModelHalves halves[] = { MODEL_HALVES_FOLD, MODEL_HALVES_PAIR };

  for (gsize k = 0; k < G_N_ELEMENTS (halves); k++)
  {
    g_autoptr (ModelDocument) ids = model_document_new ();
    g_autoptr (ModelPanel) panel = fixture_panel (ids, halves[k], true);
    g_autoptr (ModelPanel) was = model_panel_copy (panel);
    guint id = fixture_node (panel, "side", 1)->id;

    model_shape_place_node (panel, MODEL_SIDE_RIGHT, id, geom_point (-180, 133));
    model_shape_place_handle (panel, MODEL_SIDE_RIGHT, id, MODEL_HANDLE_OUT, geom_point (-190, 190));
    model_shape_pull_piece (panel, MODEL_SIDE_RIGHT, fixture_edge_id (panel, "armhole"), 0, 0.4,
                            geom_point (-150, 310));
    g_assert_true (
      model_shape_set_edge_length (panel, MODEL_SIDE_RIGHT, fixture_edge_id (panel, "hem"), 220.0, false));
    for (guint e = 0; e < panel->edges->len; e++)
      g_assert_cmpmem (model_panel_edge (panel, e)->nodes->data,
                       model_panel_edge (panel, e)->nodes->len * sizeof (ModelNode),
                       model_panel_edge (was, e)->nodes->data,
                       model_panel_edge (was, e)->nodes->len * sizeof (ModelNode));
    g_assert_cmpfloat (fixture_apart (panel, true, was, true), >, 1.0);
    fixture_check (panel);
  }
}

/* On a mirrored panel the other side's deed is the mirrored deed. */
static void
test_mirrored_deeds (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) left = fixture_panel (ids, MODEL_HALVES_PAIR, false);
  g_autoptr (ModelPanel) right = model_panel_copy (left);
  guint id = fixture_node (left, "side", 1)->id, armhole = fixture_edge_id (left, "armhole");

  /* x = -35: 180 lies opposite to -250. */
  model_shape_place_node (left, MODEL_SIDE_LEFT, id, geom_point (180, 133));
  model_shape_place_node (right, MODEL_SIDE_RIGHT, id, geom_point (-250, 133));
  model_shape_place_handle (left, MODEL_SIDE_LEFT, id, MODEL_HANDLE_IN, geom_point (170, 100));
  model_shape_place_handle (right, MODEL_SIDE_RIGHT, id, MODEL_HANDLE_IN, geom_point (-240, 100));
  model_shape_pull_piece (left, MODEL_SIDE_LEFT, armhole, 0, 0.3, geom_point (150, 310));
  model_shape_pull_piece (right, MODEL_SIDE_RIGHT, armhole, 0, 0.3, geom_point (-220, 310));
  g_assert_true (model_shape_set_edge_length (left, MODEL_SIDE_LEFT, armhole, 300.0, true));
  g_assert_true (model_shape_set_edge_length (right, MODEL_SIDE_RIGHT, armhole, 300.0, true));
  g_assert_cmpfloat (fixture_apart (left, false, right, false), <=, 1e-9);
}

static void
test_fold_corner_slides (void)
{
  for (int other = 0; other < 2; other++)
    for (int own = 0; own < 2; own++)
    {
      g_autoptr (ModelDocument) ids = model_document_new ();
      g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_FOLD, own);
      ModelNode *hem = fixture_node (panel, "hem", 0);
      ModelSide side = other ? MODEL_SIDE_RIGHT : MODEL_SIDE_LEFT;

      model_shape_place_node (panel, side, hem->id, geom_point (33, -20));
      g_assert_true (geom_same_point (hem->at, geom_point (0, -20)));
      /* The middle keeps a millimetre: its line is the mirror. */
      model_shape_place_node (panel, side, hem->id, geom_point (0, 5000));
      assert_near (hem->at, geom_point (0, 419), 1e-9);
      fixture_check (panel);
    }
}

static void
test_fold_moves_whole (void)
{
  for (int other = 0; other < 2; other++)
  {
    g_autoptr (ModelDocument) ids = model_document_new ();
    g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_FOLD, true);
    g_autoptr (ModelPanel) was = model_panel_copy (panel);
    guint nodes[16], count = 0;
    GeomPath a = { 0 }, b = { 0 };

    for (guint e = 0; e < panel->edges->len; e++)
      for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++)
        nodes[count++] = model_edge_node (model_panel_edge (panel, e), n)->id;
    model_shape_move_nodes (panel, other ? MODEL_SIDE_RIGHT : MODEL_SIDE_LEFT, nodes, count,
                            geom_point (17, -9));
    for (int twin = 0; twin < 2; twin++)
    {
      (twin ? model_panel_twin_path : model_panel_path) (was, &a, NULL);
      (twin ? model_panel_twin_path : model_panel_path) (panel, &b, NULL);
      geom_path_map (&a, geom_affine_move (17, -9));
      g_assert_cmpfloat (fixture_one_way (&a, &b), <=, 1e-9);
    }
    geom_path_clear (&a);
    geom_path_clear (&b);
  }
}

static void
test_same_node_twice_moves_once (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_SINGLE, false);
  ModelNode *node = fixture_node (panel, "side", 1);
  const guint twice[] = { node->id, node->id };

  model_shape_move_nodes (panel, MODEL_SIDE_CENTRE, twice, 2, geom_point (5, 0));
  assert_near (node->at, geom_point (195, 150), 1e-12);
}

static void
test_locked (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_PAIR, true);
  guint side = fixture_edge_id (panel, "side"), hem = fixture_edge_id (panel, "hem");
  g_autoptr (ModelPanel) was = NULL;

  model_panel_edge (panel, 1)->locked = true;
  was = model_panel_copy (panel);
  for (int other = 0; other < 2; other++)
  {
    ModelSide hand = other ? MODEL_SIDE_RIGHT : MODEL_SIDE_LEFT;

    model_shape_place_node (panel, hand, fixture_node (panel, "side", 0)->id, geom_point (1, 1));
    model_shape_place_node (panel, hand, fixture_node (panel, "side", 1)->id, geom_point (1, 1));
    model_shape_place_node (panel, hand, fixture_node (panel, "armhole", 0)->id, geom_point (1, 1));
    model_shape_place_handle (panel, hand, fixture_node (panel, "side", 0)->id, MODEL_HANDLE_OUT,
                              geom_point (1, 1));
    model_shape_place_handle (panel, hand, fixture_node (panel, "armhole", 0)->id, MODEL_HANDLE_IN,
                              geom_point (1, 1));
    model_shape_pull_piece (panel, hand, side, 0, 0.5, geom_point (1, 1));
    g_assert_false (model_shape_set_edge_length (panel, hand, side, 100.0, false));
    g_assert_false (model_shape_set_edge_length (panel, hand, hem, 100.0, false));
  }
  g_assert_cmpuint (model_shape_insert_node (panel, ids, side, 0, 0.5), ==, 0);
  g_assert_cmpuint (model_shape_insert_corner (panel, ids, side, 0, 0.5), ==, 0);
  g_assert_false (model_shape_delete_node (panel, fixture_node (panel, "side", 1)->id));
  g_assert_false (model_shape_delete_node (panel, fixture_node (panel, "armhole", 0)->id));
  model_shape_set_kind (panel, fixture_node (panel, "side", 1)->id, MODEL_NODE_EVEN);
  model_shape_set_piece_straight (panel, side, 0, true);
  g_assert_cmpfloat (fixture_apart (panel, false, was, false), <=, 1e-11);
  g_assert_cmpfloat (fixture_apart (panel, true, was, true), <=, 1e-11);
  /* The hem's other end is free. */
  g_assert_true (model_shape_set_edge_length (panel, MODEL_SIDE_LEFT, hem, 100.0, true));
}

/* ---- handles ---- */

static void
test_handles_follow (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_SINGLE, false);
  ModelNode *node = fixture_node (panel, "side", 1);

  /* By 3-4-5 triangles: the partner keeps its length of 50 on the opposite ray. */
  node->out = geom_point (node->at.x + 50, node->at.y);
  model_shape_place_handle (panel, MODEL_SIDE_CENTRE, node->id, MODEL_HANDLE_IN,
                            geom_point (node->at.x - 6, node->at.y - 8));
  assert_near (node->out, geom_point (node->at.x + 30, node->at.y + 40), 1e-12);
  node->kind = MODEL_NODE_EVEN;
  model_shape_place_handle (panel, MODEL_SIDE_CENTRE, node->id, MODEL_HANDLE_IN,
                            geom_point (node->at.x - 7, node->at.y - 1));
  assert_near (node->out, geom_point (node->at.x + 7, node->at.y + 1), 1e-12);
  node->kind = MODEL_NODE_CORNER;
  model_shape_place_handle (panel, MODEL_SIDE_CENTRE, node->id, MODEL_HANDLE_IN, geom_point (0, 0));
  assert_near (node->out, geom_point (node->at.x + 7, node->at.y + 1), 1e-12);
}

/* A smooth node between a straight and a curved piece: the handle stays in the straight one's line. */
static void
test_handle_beside_straight (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_SINGLE, false);
  ModelNode *from = fixture_node (panel, "side", 0), *node = fixture_node (panel, "side", 1);

  from->at = from->out = geom_point (210, 0);
  node->at = node->in = geom_point (210, 100);
  node->out = geom_point (210, 150);
  model_shape_place_handle (panel, MODEL_SIDE_CENTRE, node->id, MODEL_HANDLE_OUT, geom_point (260, 170));
  assert_near (node->out, geom_point (210, 170), 1e-12);
  model_shape_place_handle (panel, MODEL_SIDE_CENTRE, node->id, MODEL_HANDLE_OUT, geom_point (260, 20));
  assert_near (node->out, geom_point (210, 100), 1e-12);
}

static void
test_set_kind (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_PAIR, true);
  ModelNode *node = fixture_node (panel, "side", 1), *corner = fixture_node (panel, "side", 0);

  node->kind = MODEL_NODE_CORNER;
  node->in = geom_point (node->at.x - 30, node->at.y);
  node->out = geom_point (node->at.x, node->at.y + 10);
  model_shape_set_kind (panel, node->id, MODEL_NODE_SMOOTH);
  /* The directions were 0 and 90 degrees: now both at 45, lengths kept. */
  assert_near (node->in, geom_along (node->at, -30.0 * sqrt (0.5), geom_point (1, 1)), 1e-12);
  assert_near (node->out, geom_along (node->at, 10.0 * sqrt (0.5), geom_point (1, 1)), 1e-12);
  {
    GeomPoint at, in, out;

    g_assert_true (model_shape_where (panel, MODEL_SIDE_RIGHT, node->id, MODEL_HANDLE_NONE, &at));
    g_assert_true (model_shape_where (panel, MODEL_SIDE_RIGHT, node->id, MODEL_HANDLE_IN, &in));
    g_assert_true (model_shape_where (panel, MODEL_SIDE_RIGHT, node->id, MODEL_HANDLE_OUT, &out));
    g_assert_cmpfloat (fabs (geom_cross (geom_sub (out, at), geom_sub (at, in))), <=, 1e-9);
  }
  model_shape_set_kind (panel, node->id, MODEL_NODE_EVEN);
  g_assert_cmpfloat_with_epsilon (geom_distance (node->at, node->in), 20.0, 1e-12);
  g_assert_cmpfloat_with_epsilon (geom_distance (node->at, node->out), 20.0, 1e-12);
  model_shape_set_kind (panel, corner->id, MODEL_NODE_SMOOTH);
  g_assert_cmpint (corner->kind, ==, MODEL_NODE_CORNER);
}

static void
test_straight (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_PAIR, true);
  guint armhole = fixture_edge_id (panel, "armhole");

  model_shape_set_piece_straight (panel, armhole, 0, true);
  for (int twin = 0; twin < 2; twin++)
  {
    GeomPath path = { 0 };

    (twin ? model_panel_twin_path : model_panel_path) (panel, &path, NULL);
    g_assert_cmpfloat_with_epsilon (fixture_edge_length (panel, armhole, twin),
                                    geom_distance (path.piece[3].p[0], path.piece[3].p[3]), 1e-9);
    geom_path_clear (&path);
  }
  model_shape_set_piece_straight (panel, armhole, 0, false);
  assert_near (
    fixture_node (panel, "armhole", 0)->out,
    geom_mix (fixture_node (panel, "armhole", 0)->at, fixture_node (panel, "middle", 0)->at, 1.0 / 3.0),
    1e-12);
  /* A smooth node that loses its line says that it is a corner. */
  model_shape_set_piece_straight (panel, fixture_edge_id (panel, "side"), 0, true);
  g_assert_cmpint (fixture_node (panel, "side", 1)->kind, ==, MODEL_NODE_CORNER);
}

/* ---- pulling ---- */

static void
test_pull (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (all_kinds); k++)
    for (int round = 0; round < 200; round++)
    {
      g_autoptr (ModelDocument) ids = model_document_new ();
      g_autoptr (ModelPanel) panel = fixture_panel (ids, all_kinds[k].halves, all_kinds[k].own);
      bool twin = g_test_rand_bit ();
      ModelSide side = twin ? model_side_other (panel->side) : panel->side;
      guint piece = (guint)g_test_rand_int_range (0, 4);
      guint edge = piece == 0 ? 0 : piece < 3 ? 1 : 2, node = piece == 2 ? 1 : 0;
      double t = g_test_rand_double_range (0.05, 0.95);
      GeomPath before = { 0 }, after = { 0 };
      GeomPoint to;

      twin = twin && panel->halves != MODEL_HALVES_SINGLE;
      (twin ? model_panel_twin_path : model_panel_path) (panel, &before, NULL);
      to = geom_add (bernstein (&before.piece[piece], t), random_vector (30.0));
      model_shape_pull_piece (panel, side, model_panel_edge (panel, edge)->id, node, t, to);
      (twin ? model_panel_twin_path : model_panel_path) (panel, &after, NULL);
      assert_near (bernstein (&after.piece[piece], t), to, 1e-9);
      assert_near (after.piece[piece].p[0], before.piece[piece].p[0], 1e-10);
      assert_near (after.piece[piece].p[3], before.piece[piece].p[3], 1e-10);
      if (piece == 1 || piece == 2)
      {
        /* The smooth node between stays smooth, its other handle as long as it was. */
        GeomPoint in = geom_sub (after.piece[1].p[3], after.piece[1].p[2]);
        GeomPoint out = geom_sub (after.piece[2].p[1], after.piece[2].p[0]);
        const GeomCubic *was = &before.piece[3 - piece], *now = &after.piece[3 - piece];
        int node_end = piece == 1 ? 0 : 3, handle = piece == 1 ? 1 : 2;

        g_assert_cmpfloat (fabs (geom_cross (geom_unit (in), geom_unit (out))), <=, 1e-9);
        g_assert_cmpfloat (geom_dot (in, out), >, 0.0);
        g_assert_cmpfloat_with_epsilon (geom_distance (now->p[node_end], now->p[handle]),
                                        geom_distance (was->p[node_end], was->p[handle]), 1e-9);
      }
      fixture_check (panel);
      geom_path_clear (&before);
      geom_path_clear (&after);
    }
}

/* M: at t = 1/2 both weights are 3/8, so each handle moves by d (3/8) / (2 (3/8)^2) = 4/3 d; at t = 1/4 they
 * are 27/64 and 9/64, so the near handle moves three times as far. */
static void
test_pull_least (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_SINGLE, false);
  ModelNode *a = fixture_node (panel, "armhole", 0), *b = fixture_node (panel, "middle", 0);
  ModelNode was_a = *a, was_b = *b;
  GeomCubic c = { { a->at, a->out, b->in, b->at } };
  guint id = fixture_edge_id (panel, "armhole");

  model_shape_pull_piece (panel, MODEL_SIDE_CENTRE, id, 0, 0.5,
                          geom_add (bernstein (&c, 0.5), geom_point (3, 6)));
  assert_near (a->out, geom_add (was_a.out, geom_point (4, 8)), 1e-10);
  assert_near (b->in, geom_add (was_b.in, geom_point (4, 8)), 1e-10);
  *a = was_a;
  *b = was_b;
  model_shape_pull_piece (panel, MODEL_SIDE_CENTRE, id, 0, 0.25,
                          geom_add (bernstein (&c, 0.25), geom_point (3, 6)));
  assert_near (geom_sub (a->out, was_a.out), geom_scale (geom_sub (b->in, was_b.in), 3.0), 1e-10);
}

/* ---- in and out ---- */

static void
check_split (const ModelPanel *was, const ModelPanel *panel, size_t piece, double t)
{
  for (int twin = 0; twin < 2; twin++)
  {
    GeomPath a = { 0 }, b = { 0 };
    bool line;

    (twin ? model_panel_twin_path : model_panel_path) (was, &a, NULL);
    (twin ? model_panel_twin_path : model_panel_path) (panel, &b, NULL);
    g_assert_cmpuint (b.count, ==, a.count + 1);
    line = geom_cubic_is_straight (&a.piece[piece], 1e-9);
    for (int k = 0; k <= 10; k++)
    {
      double s = k / 10.0;

      assert_near (bernstein (&b.piece[piece], s), bernstein (&a.piece[piece], s * t), 1e-9);
      assert_near (bernstein (&b.piece[piece + 1], s), bernstein (&a.piece[piece], t + s * (1.0 - t)), 1e-9);
    }
    for (size_t i = 0; i < a.count && !line; i++)
      for (int p = 0; p < 4; p++)
        if (i != piece)
          assert_near (a.piece[i].p[p], b.piece[i < piece ? i : i + 1].p[p], 1e-10);
    geom_path_clear (&a);
    geom_path_clear (&b);
  }
}

static void
test_insert (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (all_kinds); k++)
    for (int round = 0; round < 60; round++)
    {
      g_autoptr (ModelDocument) ids = model_document_new ();
      g_autoptr (ModelPanel) panel = fixture_panel (ids, all_kinds[k].halves, all_kinds[k].own);
      guint piece = (guint)g_test_rand_int_range (0, 4);
      guint edge = piece == 0 ? 0 : piece < 3 ? 1 : 2, node = piece == 2 ? 1 : 0;
      guint edge_id = model_panel_edge (panel, edge)->id;
      double t = g_test_rand_double_range (0.01, 0.99);
      g_autoptr (ModelPanel) was = NULL;
      guint mark;
      GeomPoint mark_at;

      if (panel->own_sides && g_test_rand_bit ())
        model_shape_set_own_sides (panel, false);
      mark = model_shape_add_mark (panel, ids, edge_id, node, 0.6, 1);
      mark_at = fixture_mark_point (panel, mark);
      was = model_panel_copy (panel);
      if (g_test_rand_bit ())
      {
        guint id = model_shape_insert_corner (panel, ids, edge_id, node, t);

        g_assert_cmpuint (id, !=, 0);
        g_assert_cmpint (model_panel_find_edge (panel, id), ==, (int)edge + 1);
        g_assert_cmpstr (model_panel_edge (panel, edge + 1)->name, ==, model_panel_edge (panel, edge)->name);
      }
      else
        g_assert_cmpuint (model_shape_insert_node (panel, ids, edge_id, node, t), !=, 0);
      fixture_check (panel);
      check_split (was, panel, piece, t);
      assert_near (fixture_mark_point (panel, mark), mark_at, 1e-8);
      /* What was set aside is still what it was. */
      panel->own_sides = was->own_sides = all_kinds[k].own;
      check_split (was, panel, piece, t);
    }
}

static void
test_insert_refused (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_FOLD, false);
  guint fold = fixture_edge_id (panel, "middle"), side = fixture_edge_id (panel, "side");

  g_assert_cmpuint (model_shape_insert_corner (panel, ids, fold, 0, 0.5), ==, 0);
  g_assert_cmpuint (model_shape_insert_node (panel, ids, fold, 0, 0.5), ==, 0);
  g_assert_cmpuint (model_shape_insert_node (panel, ids, side, 0, 0.0), ==, 0);
  g_assert_cmpuint (model_shape_insert_node (panel, ids, side, 0, 1.0), ==, 0);
  g_assert_cmpuint (model_shape_insert_node (panel, ids, side, 0, NAN), ==, 0);
  g_assert_cmpuint (model_shape_insert_node (panel, ids, side, 2, 0.5), ==, 0);
  g_assert_cmpuint (model_shape_insert_node (panel, ids, 999999, 0, 0.5), ==, 0);
  g_assert_cmpuint (model_panel_node_count (panel), ==, 5);
}

/* Law: in and out again is nothing, on both sides, marks and names included. */
static void
test_insert_delete (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (all_kinds); k++)
    for (int round = 0; round < 60; round++)
    {
      g_autoptr (ModelDocument) ids = model_document_new ();
      g_autoptr (ModelPanel) panel = fixture_panel (ids, all_kinds[k].halves, all_kinds[k].own);
      g_autoptr (ModelPanel) was = NULL;
      guint piece = (guint)g_test_rand_int_range (0, 4);
      guint edge = piece == 0 ? 0 : piece < 3 ? 1 : 2, node = piece == 2 ? 1 : 0;
      guint edge_id = model_panel_edge (panel, edge)->id, id;
      double t = g_test_rand_double_range (0.05, 0.95);
      guint mark = model_shape_add_mark (panel, ids, edge_id, node, g_test_rand_double (), 2);
      GeomPoint mark_at = fixture_mark_point (panel, mark);

      was = model_panel_copy (panel);
      if (g_test_rand_bit ())
      {
        id = model_shape_insert_corner (panel, ids, edge_id, node, t);
        id = model_edge_node (model_panel_edge (panel, (guint)model_panel_find_edge (panel, id)), 0)->id;
      }
      else
        id = model_shape_insert_node (panel, ids, edge_id, node, t);
      g_assert_true (model_shape_delete_node (panel, id));
      fixture_check (panel);
      g_assert_cmpuint (panel->edges->len, ==, was->edges->len);
      g_assert_cmpfloat (fixture_apart (panel, false, was, false), <=, 1e-8);
      g_assert_cmpfloat (fixture_apart (panel, true, was, true), <=, 1e-8);
      assert_near (fixture_mark_point (panel, mark), mark_at, 1e-6);
    }
}

/* M: two eighths of a circle merged.  The best cubic quarter of a circle with its tangents kept errs by about
 * 2e-4 of the radius (1.96e-4 for the least largest error, 2.73e-4 for the usual handle 4/3 (sqrt 2 - 1));
 * least squares lies between. */
static void
test_delete_arc (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  const double r = 100.0, h = 4.0 / 3.0 * tan (G_PI / 16.0) * r, q = sqrt (0.5);
  const ModelNode nodes[] = {
    { .kind = MODEL_NODE_CORNER, .at = { 0, 0 }, .in = { 0, 0 }, .out = { 0, 0 } },
    { .kind = MODEL_NODE_CORNER, .at = { r, 0 }, .in = { r, 0 }, .out = { r, h } },
    { .kind = MODEL_NODE_EVEN,
      .at = { r * q, r * q },
      .in = { r * q + h * q, r * q - h * q },
      .out = { r * q - h * q, r * q + h * q } },
    { .kind = MODEL_NODE_CORNER, .at = { 0, r }, .in = { h, r }, .out = { 0, r } },
  };
  g_autoptr (ModelPanel) panel = model_shape_new_panel (ids, nodes, G_N_ELEMENTS (nodes));
  GeomPath path = { 0 };
  double worst = 0.0;

  g_assert_true (model_shape_delete_node (panel, model_edge_node (model_panel_edge (panel, 1), 1)->id));
  model_panel_path (panel, &path, NULL);
  for (int k = 0; k <= 100; k++)
    worst = fmax (worst, fabs (geom_norm (bernstein (&path.piece[1], k / 100.0)) - r));
  g_assert_cmpfloat (worst, <=, 2.8e-4 * r);
  g_assert_cmpfloat (worst, >, 1.9e-4 * r);
  /* Tangents kept. */
  g_assert_cmpfloat (path.piece[1].p[1].x, ==, r);
  g_assert_cmpfloat (path.piece[1].p[2].y, ==, r);
  geom_path_clear (&path);
}

static void
test_delete_corner (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_FOLD, true);
  guint hem = fixture_edge_id (panel, "hem"), side = fixture_edge_id (panel, "side");
  guint mark = model_shape_add_mark (panel, ids, side, 1, 0.5, 1);
  GeomPoint at = fixture_mark_point (panel, mark);

  /* The ends of the fold stay. */
  g_assert_false (model_shape_delete_node (panel, fixture_node (panel, "hem", 0)->id));
  g_assert_false (model_shape_delete_node (panel, fixture_node (panel, "middle", 0)->id));
  g_assert_true (model_shape_delete_node (panel, fixture_node (panel, "side", 0)->id));
  fixture_check (panel);
  g_assert_cmpint (model_panel_find_edge (panel, side), ==, -1);
  g_assert_cmpint (model_panel_find_edge (panel, hem), ==, 0);
  g_assert_cmpstr (model_panel_edge (panel, 0)->name, ==, "hem");
  /* The mark's own piece did not change: it stays where it was, now on the hem. */
  g_assert_cmpuint (model_panel_find_mark (panel, mark)->edge_id, ==, hem);
  assert_near (fixture_mark_point (panel, mark), at, 1e-8);
}

static void
test_delete_refused (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  const ModelNode triangle[] = { { .at = { 0, 0 } },
                                 { .at = { 50, 0 }, .in = { 50, 0 }, .out = { 50, 0 } },
                                 { .at = { 0, 50 }, .in = { 0, 50 }, .out = { 0, 50 } } };
  g_autoptr (ModelPanel) panel = model_shape_new_panel (ids, triangle, 3);

  for (guint e = 0; e < 3; e++)
    g_assert_false (model_shape_delete_node (panel, model_edge_node (model_panel_edge (panel, e), 0)->id));
  g_assert_false (model_shape_delete_node (panel, 999999));
  g_assert_cmpuint (panel->edges->len, ==, 3);
}

/* ---- lengths ---- */

/* Law: the length is what was asked for, the fixed end stays, the shape is similar. */
static void
test_edge_length (void)
{
  static const char *const names[] = { "hem", "side", "armhole", "middle" };

  for (gsize k = 0; k < G_N_ELEMENTS (all_kinds); k++)
    for (int round = 0; round < 200; round++)
    {
      g_autoptr (ModelDocument) ids = model_document_new ();
      g_autoptr (ModelPanel) panel = fixture_panel (ids, all_kinds[k].halves, all_kinds[k].own);
      g_autoptr (ModelPanel) was = NULL;
      const char *name = names[g_test_rand_int_range (0, 4)];
      guint id = fixture_edge_id (panel, name), e = (guint)model_panel_find_edge (panel, id);
      bool twin = g_test_rand_bit () && panel->halves != MODEL_HALVES_SINGLE, keep_end = g_test_rand_bit ();
      ModelSide side = twin ? model_side_other (panel->side) : panel->side;
      guint mark = model_shape_add_mark (panel, ids, id, 0, 0.37, 1);
      double length = fixture_edge_length (panel, id, twin),
             want = length * g_test_rand_double_range (0.8, 1.4);
      double at = model_panel_find_mark (panel, mark)->at_mm;
      GeomPath a = { 0 }, b = { 0 };
      g_autofree size_t *first = g_new (size_t, panel->edges->len);
      size_t from, to;
      GeomPoint old_chord, new_chord;

      was = model_panel_copy (panel);
      if (!model_shape_set_edge_length (panel, side, id, want, keep_end))
      {
        /* Only a fold's line can be out of reach here. */
        g_assert_cmpint (panel->halves, ==, MODEL_HALVES_FOLD);
        g_assert_cmpfloat (fixture_apart (panel, false, was, false), <=, 1e-11);
        continue;
      }
      fixture_check (panel);
      g_assert_cmpfloat (fabs (fixture_edge_length (panel, id, twin) - want), <=, 1e-9);
      if (!twin || !panel->own_sides)
        g_assert_cmpfloat_with_epsilon (model_panel_find_mark (panel, mark)->at_mm, at * want / length, 1e-9);

      (twin ? model_panel_twin_path : model_panel_path) (was, &a, first);
      (twin ? model_panel_twin_path : model_panel_path) (panel, &b, NULL);
      from = first[e];
      to = e + 1 < panel->edges->len ? first[e + 1] - 1 : a.count - 1;
      if (keep_end)
        assert_near (a.piece[to].p[3], b.piece[to].p[3], 1e-10);
      else
        assert_near (a.piece[from].p[0], b.piece[from].p[0], 1e-10);
      old_chord = geom_sub (a.piece[to].p[3], a.piece[from].p[0]);
      new_chord = geom_sub (b.piece[to].p[3], b.piece[from].p[0]);
      for (size_t i = from; i <= to; i++)
        for (int p = 0; p < 4; p++)
        {
          /* Coordinates along and across the chord, in chords. */
          GeomPoint u = geom_sub (a.piece[i].p[p], a.piece[from].p[0]),
                    v = geom_sub (b.piece[i].p[p], b.piece[from].p[0]);
          double n = geom_dot (old_chord, old_chord), m = geom_dot (new_chord, new_chord);

          g_assert_cmpfloat_with_epsilon (geom_dot (u, old_chord) / n, geom_dot (v, new_chord) / m, 1e-10);
          g_assert_cmpfloat_with_epsilon (geom_cross (old_chord, u) / n, geom_cross (new_chord, v) / m,
                                          1e-10);
        }
      if (panel->halves != MODEL_HALVES_FOLD)
        /* The chord keeps its direction. */
        g_assert_cmpfloat (fabs (geom_cross (geom_unit (old_chord), geom_unit (new_chord))), <=, 1e-12);
      geom_path_clear (&a);
      geom_path_clear (&b);
    }
}

/* M: a circle of four cubics, scaled about its one corner. */
static void
test_edge_length_loop (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  const double k = 100.0 * 4.0 / 3.0 * (sqrt (2.0) - 1.0);
  const ModelNode round[]
    = { { .kind = MODEL_NODE_CORNER, .at = { 100, 0 }, .in = { 100, -k }, .out = { 100, k } },
        { .kind = MODEL_NODE_EVEN, .at = { 0, 100 }, .in = { k, 100 }, .out = { -k, 100 } },
        { .kind = MODEL_NODE_EVEN, .at = { -100, 0 }, .in = { -100, k }, .out = { -100, -k } },
        { .kind = MODEL_NODE_EVEN, .at = { 0, -100 }, .in = { -k, -100 }, .out = { k, -100 } } };
  g_autoptr (ModelPanel) panel = model_shape_new_panel (ids, round, 4);
  guint id = model_panel_edge (panel, 0)->id;
  double factor = 1000.0 / fixture_edge_length (panel, id, false);

  g_assert_true (model_shape_set_edge_length (panel, MODEL_SIDE_CENTRE, id, 1000.0, false));
  g_assert_cmpfloat (fabs (fixture_edge_length (panel, id, false) - 1000.0), <=, 1e-9);
  assert_near (model_edge_node (model_panel_edge (panel, 0), 0)->at, geom_point (100, 0), 1e-12);
  assert_near (model_edge_node (model_panel_edge (panel, 0), 2)->at, geom_point (100 - 200 * factor, 0),
               1e-9);
  fixture_check (panel);
}

/* M: from (210, 12) the fold's line is 210 away; nearer it cannot come, and at 220 it meets it sqrt (220^2 -
 * 210^2) above or below. */
static void
test_edge_length_fold (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_FOLD, false);
  guint hem = fixture_edge_id (panel, "hem");

  g_assert_false (model_shape_set_edge_length (panel, MODEL_SIDE_LEFT, hem, 209.0, true));
  g_assert_true (model_shape_set_edge_length (panel, MODEL_SIDE_LEFT, hem, 220.0, true));
  assert_near (fixture_node (panel, "hem", 0)->at,
               geom_point (0, 12.0 - sqrt (220.0 * 220.0 - 210.0 * 210.0)), 1e-9);
}

static void
test_edge_length_refused (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_SINGLE, false);
  g_autoptr (ModelPanel) was = model_panel_copy (panel);
  guint hem = fixture_edge_id (panel, "hem");
  const double odd[] = { 0.0, -5.0, NAN, INFINITY, 1e9, 99999.99 };

  for (gsize i = 0; i < G_N_ELEMENTS (odd) - 1; i++)
    g_assert_false (model_shape_set_edge_length (panel, MODEL_SIDE_CENTRE, hem, odd[i], false));
  g_assert_false (model_shape_set_edge_length (panel, MODEL_SIDE_CENTRE, 999999, 10.0, false));
  g_assert_cmpfloat (fixture_apart (panel, false, was, false), <=, 1e-11);
}

/* ---- sides ---- */

static void
test_swap (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (all_kinds); k++)
  {
    g_autoptr (ModelDocument) ids = model_document_new ();
    g_autoptr (ModelPanel) panel = fixture_panel (ids, all_kinds[k].halves, all_kinds[k].own);
    guint mark = model_shape_add_mark (panel, ids, fixture_edge_id (panel, "side"), 1, 0.25, 1);
    double at = model_panel_find_mark (panel, mark)->at_mm;
    g_autoptr (ModelPanel) was = model_panel_copy (panel);
    GeomPath path = { 0 };

    model_shape_swap_sides (panel);
    fixture_check (panel);
    if (panel->halves == MODEL_HALVES_SINGLE)
      continue;
    g_assert_cmpint (panel->side, ==, MODEL_SIDE_RIGHT);
    g_assert_cmpfloat (fixture_apart (panel, false, was, true), <=, 1e-9);
    g_assert_cmpfloat (fixture_apart (panel, true, was, false), <=, 1e-9);
    model_panel_path (panel, &path, NULL);
    g_assert_cmpfloat (geom_path_area (&path), >, 0.0);
    geom_path_clear (&path);
    if (!panel->own_sides)
    {
      GeomPoint opposite = geom_affine_apply (model_panel_mirror (was), fixture_mark_point (was, mark));

      assert_near (fixture_mark_point (panel, mark), opposite, 1e-8);
    }

    model_shape_swap_sides (panel);
    fixture_check (panel);
    g_assert_cmpfloat (fixture_apart (panel, false, was, false), <=, 1e-9);
    g_assert_cmpfloat (fixture_apart (panel, true, was, true), <=, 1e-9);
    g_assert_cmpfloat_with_epsilon (model_panel_find_mark (panel, mark)->at_mm, at, 1e-9);
    g_assert_cmpuint (model_panel_edge (panel, 0)->id, ==, model_panel_edge (was, 0)->id);
  }
}

static void
test_set_aside (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_PAIR, true);
  g_autoptr (ModelPanel) single = fixture_panel (ids, MODEL_HALVES_SINGLE, false);
  g_autoptr (ModelPanel) was = model_panel_copy (panel);

  model_shape_set_own_sides (panel, false);
  g_assert_cmpfloat (fixture_apart (panel, true, was, true), >, 1.0);
  model_shape_set_own_sides (panel, true);
  g_assert_cmpfloat (fixture_apart (panel, true, was, true), <=, 1e-11);
  model_shape_set_own_sides (single, true);
  g_assert_false (single->own_sides);
}

static void
test_clear_corrections (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_PAIR, true);

  model_shape_clear_corrections (panel, fixture_edge_id (panel, "armhole"));
  g_assert_null (model_panel_find_correction (panel, fixture_node (panel, "armhole", 0)->id));
  g_assert_nonnull (model_panel_find_correction (panel, fixture_node (panel, "side", 1)->id));
  model_shape_clear_corrections (panel, 0);
  g_assert_cmpuint (panel->corrections->len, ==, 0);
}

/* ---- the whole panel ---- */

static void
test_map (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (all_kinds); k++)
    for (int round = 0; round < 40; round++)
    {
      g_autoptr (ModelDocument) ids = model_document_new ();
      g_autoptr (ModelPanel) panel = fixture_panel (ids, all_kinds[k].halves, all_kinds[k].own);
      g_autoptr (ModelPanel) was = NULL;
      guint mark = model_shape_add_mark (panel, ids, fixture_edge_id (panel, "armhole"), 0, 0.3, 1);
      double scale = g_test_rand_double_range (0.5, 2.0);
      GeomAffine map = geom_affine_turn (random_vector (100.0), g_test_rand_double_range (-3.0, 3.0)),
                 of_twin;
      GeomPath a = { 0 }, b = { 0 };
      double area;

      map = geom_affine_after (geom_affine_scale (random_vector (50.0), scale, scale), map);
      if (g_test_rand_bit ())
        map = geom_affine_after (map, geom_affine_mirror (random_vector (10.0), geom_point (50.0, 60.0)));
      was = model_panel_copy (panel);
      model_shape_map (panel, map);
      fixture_check (panel);
      model_panel_path (was, &a, NULL);
      model_panel_path (panel, &b, NULL);
      area = geom_path_area (&a);
      g_assert_cmpfloat_with_epsilon (geom_path_area (&b), area * scale * scale, 1e-6);
      geom_path_map (&a, map);
      g_assert_cmpfloat (fixture_one_way (&a, &b), <=, 1e-9);
      assert_near (fixture_mark_point (panel, mark), geom_affine_apply (map, fixture_mark_point (was, mark)),
                   1e-7);
      /* A fold takes its other side along; a pair's twin goes the mirrored way. */
      of_twin = map;
      if (panel->halves == MODEL_HALVES_PAIR)
        of_twin
          = geom_affine_after (model_panel_mirror (was), geom_affine_after (map, model_panel_mirror (was)));
      model_panel_twin_path (was, &a, NULL);
      model_panel_twin_path (panel, &b, NULL);
      geom_path_map (&a, of_twin);
      g_assert_cmpfloat (fixture_one_way (&a, &b), <=, 1e-8);
      geom_path_clear (&a);
      geom_path_clear (&b);
    }
}

static void
test_map_grain (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_SINGLE, false);

  panel->has_grain = true;
  panel->grain_deg = 60.0;
  model_shape_map (panel, geom_affine_turn (geom_point (3, 4), G_PI / 6.0));
  g_assert_cmpfloat_with_epsilon (panel->grain_deg, 90.0, 1e-9);
  /* Mirrored left to right: 30 degrees becomes 150. */
  panel->grain_deg = 30.0;
  model_shape_map (panel, geom_affine_mirror (geom_point (0, 0), geom_point (0, 1)));
  g_assert_cmpfloat_with_epsilon (panel->grain_deg, 150.0, 1e-9);
}

static void
test_map_refused (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_PAIR, true);
  g_autoptr (ModelPanel) was = model_panel_copy (panel);

  model_shape_map (panel, geom_affine_move (1e9, 0));
  model_shape_map (panel, geom_affine_move (NAN, 0));
  model_shape_map (panel, geom_affine_scale (geom_point (0, 0), 0.0, 0.0));
  g_assert_cmpfloat (fixture_apart (panel, false, was, false), <=, 1e-11);
}

static void
test_renew_ids (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_PAIR, true);
  g_autoptr (ModelPanel) was = NULL;
  guint highest;

  model_shape_add_mark (panel, ids, fixture_edge_id (panel, "side"), 0, 0.5, 1);
  was = model_panel_copy (panel);
  highest = ids->next_id;
  model_shape_renew_ids (panel, ids);
  fixture_check (panel);
  g_assert_cmpuint (panel->id, >=, highest);
  g_assert_cmpuint (g_array_index (panel->marks, ModelMark, 0).id, >=, highest);
  g_assert_cmpfloat (fixture_apart (panel, true, was, true), <=, 1e-11);
}

/* Pasted into another document, marks sat on other edges: a fresh id was one that a later edge had before. */
static void
test_renew_ids_in_another_document (void)
{
  g_autoptr (ModelDocument) from = model_document_new (), to = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (from, MODEL_HALVES_PAIR, true);
  g_autoptr (ModelPanel) was = NULL;

  for (guint e = 0; e < panel->edges->len; e++)
    g_assert_cmpuint (model_shape_add_mark (panel, from, model_panel_edge (panel, e)->id, 0, 0.5, 1), !=, 0);
  was = model_panel_copy (panel);
  /* The fresh ids run into the old ones at every offset. */
  for (guint offset = 0; offset < 40; offset++)
  {
    g_autoptr (ModelPanel) copy = model_panel_copy (was);

    to->next_id = offset + 1;
    model_shape_renew_ids (copy, to);
    for (guint i = 0; i < was->marks->len; i++)
      g_assert_cmpint (model_panel_find_edge (was, g_array_index (was->marks, ModelMark, i).edge_id), ==,
                       model_panel_find_edge (copy, g_array_index (copy->marks, ModelMark, i).edge_id));
    g_assert_cmpfloat (fixture_apart (copy, true, was, true), <=, 1e-11);
  }
}

static void
test_make_fold (void)
{
  g_autoptr (ModelDocument) ids = model_document_new ();
  g_autoptr (ModelPanel) panel = fixture_panel (ids, MODEL_HALVES_SINGLE, false);
  guint middle = fixture_edge_id (panel, "middle"), armhole = fixture_edge_id (panel, "armhole");

  fixture_node (panel, "middle", 0)->at.x = 4.0; /* 0.55 degrees off upright over 420 mm */
  g_assert_cmpuint (model_shape_insert_node (panel, ids, middle, 0, 0.4), !=, 0);
  g_assert_true (model_shape_make_fold (panel, middle));
  fixture_check (panel);
  g_assert_cmpint (panel->halves, ==, MODEL_HALVES_FOLD);
  /* The panel lies to the right of it, as the wearer's left of a front does. */
  g_assert_cmpint (panel->side, ==, MODEL_SIDE_LEFT);
  g_assert_cmpfloat (fixture_node (panel, "middle", 0)->at.x, ==, 2.0);
  g_assert_cmpfloat (fixture_node (panel, "hem", 0)->at.x, ==, 2.0);
  /* A slanting one keeps its line. */
  g_assert_true (model_shape_make_fold (panel, armhole));
  g_assert_cmpint (model_panel_fold_edge (panel), ==, model_panel_find_edge (panel, armhole));
  assert_near (fixture_node (panel, "armhole", 0)->at, geom_point (230, 290), 0.0);
  fixture_check (panel);
  g_assert_false (model_shape_make_fold (panel, 999999));
}

/* ---- anything at all ---- */

static guint
random_edge (const ModelPanel *panel)
{
  return (guint)g_test_rand_int_range (0, (gint)panel->edges->len);
}

/* True if the deed promises to leave both sides' shapes as they are. */
static bool
random_deed (ModelPanel *panel, ModelDocument *ids)
{
  guint e = random_edge (panel),
        n = (guint)g_test_rand_int_range (0, (gint)model_panel_edge (panel, e)->nodes->len);
  guint edge_id = model_panel_edge (panel, e)->id,
        node_id = model_edge_node (model_panel_edge (panel, e), n)->id;
  ModelSide side = (ModelSide)g_test_rand_int_range (0, 3);
  double t = g_test_rand_double (), reach = g_test_rand_int_range (0, 40) == 0 ? 1e6 : 25.0;
  GeomPoint at = { 0 };

  model_shape_where (panel, side, node_id, MODEL_HANDLE_NONE, &at);
  switch (g_test_rand_int_range (0, 20))
  {
  case 0:
  case 1:
    model_shape_place_node (panel, side, node_id, geom_add (at, random_vector (reach)));
    break;
  case 2:
    model_shape_place_handle (panel, side, node_id, g_test_rand_bit () ? MODEL_HANDLE_IN : MODEL_HANDLE_OUT,
                              geom_add (at, random_vector (2.0 * reach)));
    break;
  case 3:
    model_shape_pull_piece (panel, side, edge_id, n, t, geom_add (at, random_vector (reach)));
    break;
  case 4:
    model_shape_insert_node (panel, ids, edge_id, n, t);
    return true;
  case 5:
    model_shape_insert_corner (panel, ids, edge_id, n, t);
    return true;
  case 6:
  case 7:
  case 8:
    model_shape_delete_node (panel, node_id);
    break;
  case 9:
    model_shape_set_kind (panel, node_id, (ModelNodeKind)g_test_rand_int_range (0, 3));
    break;
  case 10:
    model_shape_set_piece_straight (panel, edge_id, n, g_test_rand_bit ());
    break;
  case 11:
    model_shape_set_edge_length (panel, side, edge_id,
                                 fixture_edge_length (panel, edge_id, false) * (0.6 + t), g_test_rand_bit ());
    break;
  case 12:
    model_shape_swap_sides (panel);
    break;
  case 13:
    model_shape_set_own_sides (panel, g_test_rand_bit ());
    break;
  case 14:
    if (panel->marks->len < 12)
      model_shape_add_mark (panel, ids, edge_id, n, t, 1);
    break;
  case 16:
    if (g_test_rand_int_range (0, 20) == 0)
      model_shape_make_fold (panel, edge_id);
    break;
  case 17:
    model_shape_clear_corrections (panel, g_test_rand_int_range (0, 8) == 0 ? 0 : edge_id);
    break;
  case 18:
    model_shape_renew_ids (panel, ids);
    return true;
  case 19:
  {
    bool own = panel->own_sides;

    model_shape_set_own_sides (panel, !own);
    model_shape_set_own_sides (panel, own);
    return true;
  }
  case 15:
    model_shape_map (panel, g_test_rand_bit () ? geom_affine_turn (at, t)
                                               : geom_affine_mirror (at, geom_add (at, geom_point (1.0, t))));
    break;
  default:
    g_assert_not_reached ();
  }
  return false;
}

static void
check_reloads (ModelDocument *doc, const ModelPanel *panel)
{
  g_autoptr (ModelDocument) back = NULL;
  g_autoptr (GError) error = NULL;
  g_autofree char *data = NULL, *again = NULL;
  gsize length = 0;

  model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, model_panel_copy (panel) }, -1);
  data = model_document_to_data (doc, &length);
  back = model_document_from_data (data, length, &error);
  g_assert_no_error (error);
  again = model_document_to_data (back, NULL);
  g_assert_cmpstr (again, ==, data);
}

static void
test_random_deeds (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (all_kinds); k++)
  {
    g_autoptr (ModelDocument) ids = model_document_new ();
    g_autoptr (ModelPanel) panel = fixture_panel (ids, all_kinds[k].halves, all_kinds[k].own);

    for (int deed = 0; deed < 2000; deed++)
    {
      g_autoptr (ModelPanel) was = model_panel_copy (panel);
      GeomPath path = { 0 };
      GeomBox box;

      model_panel_twin_path (panel, &path, NULL);
      box = geom_path_box (&path);
      geom_path_clear (&path);
      if (random_deed (panel, ids)
          && fmax (fabs (box.x0), fabs (box.x1)) + fmax (fabs (box.y0), fabs (box.y1)) < 1e4)
      {
        g_assert_cmpfloat (fixture_apart (panel, false, was, false), <=, 1e-8);
        g_assert_cmpfloat (fixture_apart (panel, true, was, true), <=, 1e-8);
      }
      fixture_check (panel);
      if (deed % 50 == 0)
        check_reloads (ids, panel);
    }
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/shape/new-panel", test_new_panel);
  g_test_add_func ("/model/shape/new-panel-without-corner", test_new_panel_without_corner);
  g_test_add_func ("/model/shape/place", test_place);
  g_test_add_func ("/model/shape/own-side-leaves-drawn", test_own_side_leaves_drawn);
  g_test_add_func ("/model/shape/mirrored-deeds", test_mirrored_deeds);
  g_test_add_func ("/model/shape/fold-corner-slides", test_fold_corner_slides);
  g_test_add_func ("/model/shape/fold-moves-whole", test_fold_moves_whole);
  g_test_add_func ("/model/shape/same-node-twice-moves-once", test_same_node_twice_moves_once);
  g_test_add_func ("/model/shape/locked", test_locked);
  g_test_add_func ("/model/shape/handles-follow", test_handles_follow);
  g_test_add_func ("/model/shape/handle-beside-straight", test_handle_beside_straight);
  g_test_add_func ("/model/shape/set-kind", test_set_kind);
  g_test_add_func ("/model/shape/straight", test_straight);
  g_test_add_func ("/model/shape/pull", test_pull);
  g_test_add_func ("/model/shape/pull-least", test_pull_least);
  g_test_add_func ("/model/shape/insert", test_insert);
  g_test_add_func ("/model/shape/insert-refused", test_insert_refused);
  g_test_add_func ("/model/shape/insert-delete", test_insert_delete);
  g_test_add_func ("/model/shape/delete-arc", test_delete_arc);
  g_test_add_func ("/model/shape/delete-corner", test_delete_corner);
  g_test_add_func ("/model/shape/delete-refused", test_delete_refused);
  g_test_add_func ("/model/shape/edge-length", test_edge_length);
  g_test_add_func ("/model/shape/edge-length-loop", test_edge_length_loop);
  g_test_add_func ("/model/shape/edge-length-fold", test_edge_length_fold);
  g_test_add_func ("/model/shape/edge-length-refused", test_edge_length_refused);
  g_test_add_func ("/model/shape/swap", test_swap);
  g_test_add_func ("/model/shape/set-aside", test_set_aside);
  g_test_add_func ("/model/shape/clear-corrections", test_clear_corrections);
  g_test_add_func ("/model/shape/map", test_map);
  g_test_add_func ("/model/shape/map-grain", test_map_grain);
  g_test_add_func ("/model/shape/map-refused", test_map_refused);
  g_test_add_func ("/model/shape/renew-ids", test_renew_ids);
  g_test_add_func ("/model/shape/renew-ids-in-another-document", test_renew_ids_in_another_document);
  g_test_add_func ("/model/shape/make-fold", test_make_fold);
  g_test_add_func ("/model/shape/random-deeds", test_random_deeds);
  return g_test_run ();
}
