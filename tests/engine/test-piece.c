#include "fixture.h"

/* Whole outlines, counter-clockwise, one allowance an edge.  New corners are where the shifted lines meet;
 * areas by the shoelace formula over them, lengths between them. */
typedef struct Row
{
  const char *name;
  guint count;
  GeomPoint point[6];
  double allowance[6];
  double area, cut_area, cut_length[6];
} Row;

static const Row rows[] = {
  { "rectangle, four widths",
    4,
    { { 0, 0 }, { 300, 0 }, { 300, 200 }, { 0, 200 } },
    { 10, 0, 15, 5 },
    60000,
    68625,
    { 305, 225, 305, 225 } },
  { "trapezium",
    4,
    { { 0, 0 }, { 200, 0 }, { 240, 300 }, { -40, 300 } },
    { 0, 10, 12, 10 },
    72000,
    81674.4223153754,
    { 220.176994600562, 314.761115768768, 303.376994600562, 314.761115768768 } },
  { "L with a reflex corner",
    6,
    { { 0, 0 }, { 200, 0 }, { 200, 80 }, { 90, 80 }, { 90, 160 }, { 0, 160 } },
    { 10, 6, 10, 0, 8, 12 },
    23200,
    29756,
    { 218, 100, 116, 78, 102, 178 } },
  { "five-sided",
    5,
    { { 0, 0 }, { 180, 10 }, { 210, 150 }, { 120, 260 }, { -10, 220 } },
    { 0, 10, 6, 0, 10 },
    45250,
    49725.8671296121,
    { 200.644263714332, 140.138902221106, 147.685718275644, 152.823488632835, 217.741704226407 } },
  { "right triangle, hypotenuse alone",
    3,
    { { 0, 0 }, { 400, 0 }, { 0, 300 } },
    { 0, 10, 0 },
    60000,
    65104.1666666667,
    { 416.666666666667, 520.833333333333, 312.5 } },
};

static void
test_polygons (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    const Row *row = &rows[i];
    g_test_message ("%s", row->name);
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *panel = fixture_polygon (doc, "Plate", row->point, row->count);
    for (guint k = 0; k < row->count; k++)
      fixture_allow (panel, k, row->allowance[k]);
    g_autoptr (EnginePiece) piece = engine_piece_new (doc, panel, MODEL_SIDE_CENTRE);
    g_assert_cmpint (piece->cut_result, ==, GEOM_CUT_OK);
    fixture_near (piece->area_mm2, row->area, 1e-6);
    fixture_near (piece->cut_area_mm2, row->cut_area, 1e-3);
    for (guint k = 0; k < row->count; k++)
      fixture_near (g_array_index (piece->edges, EnginePieceEdge, k).cut_length_mm, row->cut_length[k], 1e-4);
  }
}

/* Steiner: a smooth convex outline at distance d has length L + 2 pi d and area A + L d + pi d^2, whatever
 * its shape.  Four cubics for a circle of radius 1: length 6.28406679229542, area 3.14247233265651 (their own
 * integrals, not the circle's). */
static void
test_steiner (void)
{
  const double r = 50, d = 10, k = r * 4.0 * (sqrt (2.0) - 1.0) / 3.0;
  GeomCubic round[] = { { { { r, 0 }, { r, k }, { k, r }, { 0, r } } },
                        { { { 0, r }, { -k, r }, { -r, k }, { -r, 0 } } },
                        { { { -r, 0 }, { -r, -k }, { -k, -r }, { 0, -r } } },
                        { { { 0, -r }, { k, -r }, { r, -k }, { r, 0 } } } };
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = fixture_panel (doc, "Boss", round, 4);
  for (guint i = 0; i < 4; i++)
    fixture_allow (panel, i, d);
  g_autoptr (EnginePiece) piece = engine_piece_new (doc, panel, MODEL_SIDE_CENTRE);
  double length = 6.28406679229542 * r, area = 3.14247233265651 * r * r;
  fixture_near (piece->perimeter_mm, length, 1e-6);
  fixture_near (piece->area_mm2, area, 1e-6);
  double cut_length = 0;
  for (guint i = 0; i < 4; i++)
    cut_length += g_array_index (piece->edges, EnginePieceEdge, i).cut_length_mm;
  /* 0.01 mm off the true parallel changes the length by 2 pi times that, the area by the length times that.
   */
  fixture_near (cut_length, length + 2 * G_PI * d, 0.01 * 2 * G_PI);
  fixture_near (piece->cut_area_mm2, area + length * d + G_PI * d * d, 0.01 * (length + 2 * G_PI * d));
}

/* Half drawn, cut whole.  Area term of curve B from its start: 5184/5 (Green); with the straight edge above
 * it the half has 1036.8 + 1728. */
static void
test_fold (void)
{
  GeomCubic half[] = { fixture_curve_b, fixture_straight (72, 48, 0, 48), fixture_straight (0, 48, 0, 0) };
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = fixture_panel (doc, "Collar", half, 3);
  fixture_mirror (panel, MODEL_HALVES_FOLD, MODEL_SIDE_LEFT);
  model_panel_edge (panel, 2)->fold = true;
  g_autoptr (EnginePiece) piece = engine_piece_new (doc, panel, MODEL_SIDE_CENTRE);
  g_assert_cmpint (piece->side, ==, MODEL_SIDE_CENTRE);
  g_assert_cmpuint (piece->edges->len, ==, 4);
  g_assert_cmpuint (piece->seam.count, ==, 4);
  g_assert_false (piece->clockwise);
  fixture_near (piece->area_mm2, 5529.6, 1e-9);
  static const double lengths[] = { 72, 96, 96, 72 };
  for (guint i = 0; i < 4; i++)
  {
    const EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, i);
    fixture_near (edge->length_mm, lengths[i], 1e-6);
    g_assert_cmpint (edge->side, ==, i < 2 ? MODEL_SIDE_RIGHT : MODEL_SIDE_LEFT);
    g_assert_cmpint (edge->mirrored, ==, i < 2);
    GeomPoint end = piece->seam.piece[edge->first + edge->count - 1].p[3];
    GeomPoint next = piece->seam.piece[(edge->first + edge->count) % piece->seam.count].p[0];
    g_assert_true (geom_same_point (end, next));
  }
  g_assert_cmpint (engine_piece_find_edge (piece, model_panel_edge (panel, 0)->id, MODEL_SIDE_LEFT), ==, 2);
  g_assert_cmpint (engine_piece_find_edge (piece, model_panel_edge (panel, 0)->id, MODEL_SIDE_RIGHT), ==, 1);
  g_assert_cmpint (engine_piece_find_edge (piece, model_panel_edge (panel, 2)->id, MODEL_SIDE_LEFT), ==, -1);
}

/* A correction at the fold would tear the opened piece apart there: it stays closed. */
static void
test_fold_stays_closed (void)
{
  GeomCubic half[] = { fixture_curve_b, fixture_straight (72, 48, 0, 48), fixture_straight (0, 48, 0, 0) };
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = fixture_panel (doc, "Collar", half, 3);
  fixture_mirror (panel, MODEL_HALVES_FOLD, MODEL_SIDE_LEFT);
  model_panel_edge (panel, 2)->fold = true;
  for (guint i = 0; i < 3; i++)
    fixture_correct (panel, i, 3, -2);
  g_autoptr (EnginePiece) piece = engine_piece_new (doc, panel, MODEL_SIDE_CENTRE);
  g_assert_true (piece->corrected);
  for (size_t i = 0; i < piece->seam.count; i++)
    g_assert_true (
      geom_same_point (piece->seam.piece[i].p[3], piece->seam.piece[(i + 1) % piece->seam.count].p[0]));
}

/* A mirror image has the same lengths and area and runs the other way; the piece is turned back to
 * counter-clockwise. */
static void
test_pair (void)
{
  GeomCubic drawn[] = { fixture_curve_a, fixture_straight (0, 66, -80, 66),
                        fixture_straight (-80, 66, -80, 0), fixture_straight (-80, 0, 0, 0) };
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = fixture_panel (doc, "Side", drawn, 4);
  fixture_mirror (panel, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  panel->mirror_x_mm = 100;
  fixture_allow (panel, 0, 8);
  g_autoptr (EnginePiece) left = engine_piece_new (doc, panel, MODEL_SIDE_LEFT);
  g_autoptr (EnginePiece) right = engine_piece_new_seam (doc, panel, MODEL_SIDE_RIGHT, NULL, left);
  engine_piece_add_cut (right, panel, left);
  g_autoptr (EnginePiece) afresh = engine_piece_new (doc, panel, MODEL_SIDE_RIGHT);
  g_assert_true (left->drawn);
  g_assert_true (right->copied);
  g_assert_false (afresh->copied);
  /* Area term of curve A: 4104/5; the rest of the outline is a rectangle 80 by 66 left of it. */
  fixture_near (left->area_mm2, 820.8 + 80 * 66, 1e-9);
  fixture_near (geom_path_area (&right->seam), left->area_mm2, 1e-9);
  fixture_near (afresh->area_mm2, right->area_mm2, 1e-9);
  fixture_near (afresh->cut_area_mm2, right->cut_area_mm2, 0.01 * left->perimeter_mm);
  fixture_near (right->box.x0 + left->box.x1, 200, 1e-9);
  for (guint i = 0; i < 4; i++)
  {
    const EnginePieceEdge *r = &g_array_index (right->edges, EnginePieceEdge, i);
    const EnginePieceEdge *l = &g_array_index (left->edges, EnginePieceEdge,
                                               engine_piece_find_edge (left, r->edge_id, MODEL_SIDE_LEFT));
    const EnginePieceEdge *f = &g_array_index (afresh->edges, EnginePieceEdge, i);
    g_assert_true (r->mirrored);
    fixture_near (r->length_mm, l->length_mm, 0);
    fixture_near (r->cut_length_mm, l->cut_length_mm, 0);
    g_assert_cmpuint (f->edge_id, ==, r->edge_id);
    fixture_near (f->length_mm, r->length_mm, 1e-9);
    fixture_near (geom_distance (geom_path_point (&right->cut, right->spans[i].from),
                                 geom_path_point (&afresh->cut, afresh->spans[i].from)),
                  0, 0.02);
  }
  fixture_near (g_array_index (left->edges, EnginePieceEdge, 0).length_mm, 78, 1e-6);
}

static void
test_corrected_pair (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = fixture_rectangle (doc, "Side", 10, 0, 100, 50);
  fixture_mirror (panel, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  /* The corner at (110, 0), mirrored to (-110, 0), moved outward by 20: the right piece gets a triangle of 20
   * by 50 more. */
  fixture_correct (panel, 1, -20, 0);
  g_autoptr (EnginePiece) left = engine_piece_new (doc, panel, MODEL_SIDE_LEFT);
  g_autoptr (EnginePiece) right = engine_piece_new_seam (doc, panel, MODEL_SIDE_RIGHT, NULL, left);
  g_assert_false (right->copied);
  fixture_near (left->area_mm2, 5000, 1e-9);
  fixture_near (right->area_mm2, 5500, 1e-9);
  panel->own_sides = false;
  g_autoptr (EnginePiece) alike = engine_piece_new (doc, panel, MODEL_SIDE_RIGHT);
  fixture_near (alike->area_mm2, 5000, 1e-9);
}

/* Cutting outside a traced line by the knife's width makes a square of 100 one of 102; so the line is drawn
 * for 98. */
static void
test_knife (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelMaterial *foam = model_material_new ();
  foam->id = model_document_take_id (doc);
  foam->knife_mm = 1;
  model_document_put (doc, (ModelPart) { MODEL_PART_MATERIAL, foam }, -1);
  ModelPanel *panel = fixture_rectangle (doc, "Plate", 0, 0, 100, 100);
  panel->material_id = foam->id;
  g_autoptr (EnginePiece) piece = engine_piece_new (doc, panel, MODEL_SIDE_CENTRE);
  g_assert_false (piece->plain);
  fixture_near (piece->cut_area_mm2, 98.0 * 98.0, 1e-3);
  fixture_near (g_array_index (piece->edges, EnginePieceEdge, 0).allowance_mm, 0, 0);
  foam->knife_mm = 0;
  g_autoptr (EnginePiece) plain = engine_piece_new (doc, panel, MODEL_SIDE_CENTRE);
  g_assert_true (plain->plain);
  fixture_near (plain->cut_area_mm2, 10000, 1e-9);
}

/* Bad outlines give a piece all the same, with its fault told. */
static void
test_bad_outlines (void)
{
  static const GeomPoint clockwise[] = { { 0, 0 }, { 0, 50 }, { 100, 50 }, { 100, 0 } };
  static const GeomPoint bow[] = { { 0, 0 }, { 100, 50 }, { 100, 0 }, { 0, 50 } };
  static const GeomPoint flat[] = { { 0, 0 }, { 100, 0 } };
  static const GeomPoint same[] = { { 7, 7 }, { 7, 7 }, { 7, 7 } };
  static const struct
  {
    const GeomPoint *point;
    guint count;
    bool clockwise, ok;
  } bad[] = { { clockwise, 4, true, true },
              { bow, 4, false, false },
              { flat, 2, false, false },
              { same, 3, false, false } };
  for (guint i = 0; i < G_N_ELEMENTS (bad); i++)
    for (int halves = MODEL_HALVES_SINGLE; halves <= MODEL_HALVES_PAIR; halves++)
    {
      g_autoptr (ModelDocument) doc = model_document_new ();
      ModelPanel *panel = fixture_polygon (doc, "Bad", bad[i].point, bad[i].count);
      fixture_mirror (panel, halves, MODEL_SIDE_LEFT);
      model_panel_edge (panel, 0)->fold = halves == MODEL_HALVES_FOLD;
      fixture_allow (panel, 1, 5);
      ModelSide sides[2];
      int n = engine_panel_sides (panel, sides);
      for (int k = 0; k < n; k++)
      {
        g_autoptr (EnginePiece) piece = engine_piece_new (doc, panel, sides[k]);
        g_assert_true (isfinite (piece->area_mm2) && isfinite (piece->perimeter_mm)
                       && isfinite (piece->cut_area_mm2));
        g_assert_cmpfloat (piece->area_mm2, >=, 0);
        if (halves == MODEL_HALVES_SINGLE)
        {
          g_assert_cmpint (piece->clockwise, ==, bad[i].clockwise);
          g_assert_cmpint (piece->cut_result == GEOM_CUT_OK, ==, bad[i].ok);
        }
      }
    }
}

/* What is said of the cut without the cut must be so with it. */
static void
test_sure_cut (void)
{
  for (int round = 0; round < 300; round++)
  {
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelMaterial *foam = model_material_new ();
    foam->id = model_document_take_id (doc);
    foam->knife_mm = g_test_rand_double_range (0, 6);
    model_document_put (doc, (ModelPart) { MODEL_PART_MATERIAL, foam }, -1);
    GeomPoint star[8];
    for (int i = 0; i < 8; i++)
    {
      double angle = 2 * G_PI * i / 8, r = g_test_rand_double_range (4, 60);
      star[i] = geom_point (r * cos (angle), r * sin (angle));
    }
    ModelPanel *panel = fixture_polygon (doc, "Star", star, 8);
    panel->material_id = foam->id;
    for (guint i = 0; i < 8; i++)
      fixture_allow (panel, i, g_test_rand_bit () ? g_test_rand_double_range (0, 12) : 0);
    g_autoptr (EnginePiece) piece = engine_piece_new (doc, panel, MODEL_SIDE_CENTRE);
    if (!engine_piece_cut_is_sure (piece))
      continue;
    g_assert_cmpint (piece->cut_result, ==, GEOM_CUT_OK);
    g_assert_cmpfloat (piece->cut_area_mm2, >, 0);
    GeomSelfCrossing crossing[4];
    g_assert_cmpuint (geom_path_self_crossings (&piece->cut, 1e-3, crossing, 4), ==, 0);
    GeomBox box = geom_path_box (&piece->cut);
    g_assert_true (box.x0 >= piece->bound.x0 - 0.01 && box.x1 <= piece->bound.x1 + 0.01);
    g_assert_true (box.y0 >= piece->bound.y0 - 0.01 && box.y1 <= piece->bound.y1 + 0.01);
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/piece/polygons", test_polygons);
  g_test_add_func ("/engine/piece/steiner", test_steiner);
  g_test_add_func ("/engine/piece/fold", test_fold);
  g_test_add_func ("/engine/piece/fold-stays-closed", test_fold_stays_closed);
  g_test_add_func ("/engine/piece/pair", test_pair);
  g_test_add_func ("/engine/piece/corrected-pair", test_corrected_pair);
  g_test_add_func ("/engine/piece/knife", test_knife);
  g_test_add_func ("/engine/piece/bad-outlines", test_bad_outlines);
  g_test_add_func ("/engine/piece/sure-cut", test_sure_cut);
  return g_test_run ();
}
