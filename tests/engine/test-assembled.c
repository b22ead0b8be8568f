/* Where the assembled piece domes.  Closed forms: angles round a point (Descartes), turning along a seam
 * (Gauss and Bonnet). */
#include "engine/assembled.h"
#include "fixture.h"

#define DEG (180.0 / G_PI)

static double
total (const EngineFlatMap *map, EngineFlatKind kind)
{
  double sum = 0.0;
  for (guint i = 0; i < map->places->len; i++)
    if (g_array_index (map->places, EngineFlatPlace, i).kind == kind)
      sum += g_array_index (map->places, EngineFlatPlace, i).angle_rad;
  return sum;
}

static guint
how_many (const EngineFlatMap *map, EngineFlatKind kind)
{
  guint count = 0;
  for (guint i = 0; i < map->places->len; i++)
    count += g_array_index (map->places, EngineFlatPlace, i).kind == kind;
  return count;
}

/* 4 of 75 are 300 of 360; six of sixty lie flat; seven open like a saddle. */
static void
test_defect (void)
{
  double angles[8];
  static const struct
  {
    guint count;
    double angle_deg, defect_deg;
    bool rim;
  } rows[] = { { 4, 75.0, 60.0, false },
               { 5, 60.0, 60.0, false },
               { 6, 60.0, 0.0, false },
               { 8, 40.0, 40.0, false },
               { 7, 60.0, -60.0, false },
               { 2, 90.0, 0.0, true },
               /* base 100, legs 120: 2 asin (50 / 120) */
               { 4, 49.2486367043282, 163.005453182687, false } };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    for (guint k = 0; k < rows[i].count; k++)
      angles[k] = rows[i].angle_deg / DEG;
    g_assert_cmpfloat_with_epsilon (engine_angle_defect (angles, rows[i].count, rows[i].rim) * DEG,
                                    rows[i].defect_deg, 1e-9);
  }
}

/* N lenses, bulging by their own amounts, sewn into a ball: however they are drawn, points and seams hold
 * 4 pi in all. */
static void
test_gores (void)
{
  for (guint n = 2; n <= 8; n += 2)
  {
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *gore[8];
    for (guint i = 0; i < n; i++)
    {
      double x = 200.0 * i, w = 30.0 + 5.0 * i, v = 45.0 - 3.0 * i;
      GeomCubic lens[] = { { { { x, 0 }, { x + w, 60 }, { x + v, 250 }, { x, 314 } } },
                           { { { x, 314 }, { x - v, 250 }, { x - w, 60 }, { x, 0 } } } };
      gore[i] = fixture_panel (doc, "Gore", lens, 2);
    }
    for (guint i = 0; i < n; i++)
    {
      ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, gore[i], 0, gore[(i + 1) % n], 1);
      join->a.reversed = false;
      join->b.reversed = true;
    }
    g_autoptr (EngineReview) review = engine_review_new (doc);
    g_autoptr (EngineFlatMap) map = engine_flat_map_new (review);
    GArray *places = map->places;
    double sum = 0.0;
    guint points = 0, seams = 0;
    for (guint i = 0; i < places->len; i++)
    {
      const EngineFlatPlace *place = &g_array_index (places, EngineFlatPlace, i);
      sum += place->angle_rad;
      points += place->kind == ENGINE_FLAT_POINT;
      seams += place->kind == ENGINE_FLAT_SEAM;
      if (place->kind == ENGINE_FLAT_POINT)
        g_assert_cmpuint (place->count, ==, n);
    }
    g_assert_cmpuint (points, ==, 2);
    g_assert_cmpuint (seams, >=, n);
    g_assert_cmpfloat_with_epsilon (sum, 4.0 * G_PI, 1e-9);
  }
}

/* A half lens on the fold is a whole lens; two of them make a ball as well. */
static void
test_fold (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *half[2];
  for (guint i = 0; i < 2; i++)
  {
    double x = 200.0 * i;
    GeomCubic lens[] = { { { { x, 0 }, { x + 50, 60 }, { x + 40, 250 }, { x, 314 } } },
                         { { { x, 314 }, { x, 314 }, { x, 0 }, { x, 0 } } } };
    half[i] = fixture_panel (doc, "Half", lens, 2);
    model_panel_edge (half[i], 1)->fold = true;
    fixture_mirror (half[i], MODEL_HALVES_FOLD, i ? MODEL_SIDE_RIGHT : MODEL_SIDE_LEFT);
  }
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, half[0], 0, half[1], 0);
  join->a.reversed = join->b.reversed = false;
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (EngineFlatMap) map = engine_flat_map_new (review);
  GArray *places = map->places;
  double sum = 0.0;
  for (guint i = 0; i < places->len; i++)
    sum += g_array_index (places, EngineFlatPlace, i).angle_rad;
  g_assert_cmpfloat_with_epsilon (sum, 4.0 * G_PI, 1e-9);
}

/* Two rectangles make a tube: nothing domes. */
static void
test_tube (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 100, 60),
             *back = fixture_rectangle (doc, "Back", 200, 0, 120, 60);
  for (guint i = 0; i < 2; i++)
  {
    ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, front, i ? 3 : 1, back, i ? 1 : 3);
    join->a.reversed = false;
    join->b.reversed = true;
  }
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (EngineFlatMap) map = engine_flat_map_new (review);
  GArray *places = map->places;
  g_assert_cmpuint (places->len, ==, 4);
  for (guint i = 0; i < places->len; i++)
  {
    const EngineFlatPlace *place = &g_array_index (places, EngineFlatPlace, i);
    g_assert_cmpint (place->kind, ==, ENGINE_FLAT_RIM);
    g_assert_cmpfloat_with_epsilon (place->angle_rad, 0.0, 1e-12);
  }
}

/* A dart of 40 over 100: 2 atan (20 / 100) at its tip. */
static void
test_dart (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  GeomPoint points[]
    = { { 0, 0 }, { 200, 0 }, { 220, 100 }, { 240, 0 }, { 460, 0 }, { 460, 300 }, { 0, 300 } };
  ModelPanel *panel = fixture_polygon (doc, "Darted", points, G_N_ELEMENTS (points));
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, panel, 1, panel, 2);
  join->a.reversed = false;
  join->b.reversed = true;
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (EngineFlatMap) map = engine_flat_map_new (review);
  GArray *places = map->places;
  double tip = 0.0;
  for (guint i = 0; i < places->len; i++)
  {
    const EngineFlatPlace *place = &g_array_index (places, EngineFlatPlace, i);
    if (place->kind == ENGINE_FLAT_POINT)
      tip = place->angle_rad;
  }
  g_assert_cmpfloat_with_epsilon (tip, 2.0 * atan (0.2), 1e-9);
}

/* Triangles of a base and two legs, leg to leg round a point: 360 less their apex angles, 2 asin (base / 2
 * leg) each.  Four equilateral ones are half an octahedron.  With one of the seams left open and laced, and
 * with that seam a join of a panel to itself, it is the same point. */
static void
test_pyramid (void)
{
  static const struct
  {
    guint count;
    double base, leg, defect_deg;
    bool gap;
  } rows[] = { { 4, 100.0, 100.0, 120.0, false },
               { 4, 100.0, 120.0, 163.005453182687, false },
               { 6, 60.0, 90.0, 126.345352386112, false },
               { 5, 80.0, 100.0, 124.218215217982, true },
               /* a cone of one piece: 360 - 2 asin (0.6) */
               { 1, 120.0, 100.0, 286.260204708312, true } };
  for (guint r = 0; r < G_N_ELEMENTS (rows); r++)
  {
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *side[6];
    guint n = rows[r].count;
    for (guint i = 0; i < n; i++)
    {
      double x = 300.0 * i, half = rows[r].base / 2.0,
             height = sqrt (rows[r].leg * rows[r].leg - half * half);
      GeomPoint points[] = { { x - half, 0 }, { x + half, 0 }, { x, height } };
      side[i] = fixture_polygon (doc, "Side", points, 3);
    }
    for (guint i = 0; i < n; i++)
    {
      ModelJoin *join = fixture_join (doc, rows[r].gap && i == 0 ? MODEL_JOIN_GAP : MODEL_JOIN_FLUSH, side[i],
                                      1, side[(i + 1) % n], 2);
      join->a.reversed = false;
      join->b.reversed = true;
    }
    g_autoptr (EngineReview) review = engine_review_new (doc);
    g_autoptr (EngineFlatMap) map = engine_flat_map_new (review);
    g_assert_cmpuint (how_many (map, ENGINE_FLAT_POINT), ==, 1);
    g_assert_cmpuint (how_many (map, ENGINE_FLAT_SEAM), ==, 0);
    const EngineFlatPlace *top = &g_array_index (map->places, EngineFlatPlace, 0);
    for (guint i = 0; top->kind != ENGINE_FLAT_POINT && i < map->places->len; i++)
      top = &g_array_index (map->places, EngineFlatPlace, i);
    g_assert_cmpuint (top->count, ==, n);
    g_assert_cmpfloat_with_epsilon (top->angle_rad * DEG, rows[r].defect_deg, 1e-9);
    g_assert_true (engine_flat_place_shows (top));
    g_autofree char *words = engine_flat_place_words (doc, map, top);
    g_assert_nonnull (strstr (words, "domes"));
    /* A disc: point, seams and rim are one full turn. */
    double rim = total (map, ENGINE_FLAT_RIM);
    g_assert_cmpfloat_with_epsilon (total (map, ENGINE_FLAT_POINT) + rim, 2.0 * G_PI, 1e-9);
  }
}

/* Two panels side by side along the whole of a third: at the mark where they meet half a turn and two right
 * angles make a full one. */
static void
test_mark (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *back = fixture_rectangle (doc, "Back", 0, 0, 100, 60),
             *low = fixture_rectangle (doc, "Low", 200, 0, 50, 20),
             *high = fixture_rectangle (doc, "High", 200, 100, 50, 40);
  ModelMark mark
    = { .id = model_document_take_id (doc), .edge_id = model_panel_edge (back, 1)->id, .at_mm = 20.0 };
  g_array_append_val (back->marks, mark);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, back, 1, low, 3);
  join->a.to_mark_id = mark.id;
  join->b.reversed = true;
  join = fixture_join (doc, MODEL_JOIN_FLUSH, back, 1, high, 3);
  join->a.from_mark_id = mark.id;
  join->b.reversed = true;
  join = fixture_join (doc, MODEL_JOIN_FLUSH, low, 2, high, 0);
  join->b.reversed = true;
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (EngineFlatMap) map = engine_flat_map_new (review);
  g_assert_cmpuint (how_many (map, ENGINE_FLAT_POINT), ==, 1);
  for (guint i = 0; i < map->places->len; i++)
  {
    const EngineFlatPlace *place = &g_array_index (map->places, EngineFlatPlace, i);
    if (place->kind != ENGINE_FLAT_POINT)
      continue;
    g_assert_cmpuint (place->count, ==, 3);
    g_assert_cmpfloat_with_epsilon (place->angle_rad, 0.0, 1e-9);
    g_assert_false (engine_flat_place_shows (place));
  }
}

/* A rectangle whose upper edge is an arc of 60 degrees: it turns by 60 however long it is; bulging it makes a
 * dome, hollow a saddle, bulge in hollow lies flat.  An edge that is both makes one of each. */
static void
test_seam (void)
{
  /* Tangents at 30 degrees to the chord at both ends: the edge turns by 60. */
  double rise = 30.0 * tan (30.0 / DEG);
  GeomCubic straight = { { { 100, 50 }, { 70, 50 }, { 30, 50 }, { 0, 50 } } },
            bulge = { { { 100, 50 }, { 70, 50 + rise }, { 30, 50 + rise }, { 0, 50 } } },
            hollow = { { { 100, 50 }, { 70, 50 - rise }, { 30, 50 - rise }, { 0, 50 } } },
            wave = { { { 100, 50 }, { 70, 50 + rise }, { 30, 50 - rise }, { 0, 50 } } };
  const struct
  {
    GeomCubic a, b;
    guint count;
    double first_deg, sum_deg; /* 0: not looked at */
  } rows[] = { { bulge, straight, 1, 60.0, 60.0 },  { hollow, straight, 1, -60.0, -60.0 },
               { bulge, hollow, 0, 0.0, 0.0 },      { bulge, bulge, 1, 120.0, 120.0 },
               { straight, straight, 0, 0.0, 0.0 }, { wave, straight, 2, 0.0, 0.0 } };
  for (guint r = 0; r < G_N_ELEMENTS (rows); r++)
  {
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *panel[2];
    for (guint i = 0; i < 2; i++)
    {
      GeomCubic outline[] = { fixture_straight (0, 0, 100, 0), fixture_straight (100, 0, 100, 50),
                              i ? rows[r].b : rows[r].a, fixture_straight (0, 50, 0, 0) };
      panel[i] = fixture_panel (doc, i ? "Back" : "Front", outline, 4);
    }
    ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, panel[0], 2, panel[1], 2);
    join->a.reversed = false;
    join->b.reversed = true;
    g_autoptr (EngineReview) review = engine_review_new (doc);
    g_autoptr (EngineFlatMap) map = engine_flat_map_new (review);
    g_assert_cmpuint (how_many (map, ENGINE_FLAT_SEAM), ==, rows[r].count);
    g_assert_cmpfloat_with_epsilon (total (map, ENGINE_FLAT_SEAM) * DEG, rows[r].sum_deg, 1e-6);
    for (guint i = 0; i < map->places->len; i++)
    {
      const EngineFlatPlace *place = &g_array_index (map->places, EngineFlatPlace, i);
      if (place->kind != ENGINE_FLAT_SEAM)
        continue;
      g_assert_cmpuint (place->count, ==, 2);
      g_assert_true (engine_flat_place_touches (map, place, panel[0]->id));
      if (rows[r].count == 2)
      {
        /* It turns by 30 more than it must on the one half, and back on the other. */
        g_assert_cmpfloat (fabs (place->angle_rad) * DEG, >, 30.0);
        g_assert_cmpfloat (place->to - place->from, <, 0.7);
      }
    }
  }
}

/* A run that closes a dart over turns at the mouth as the closed dart does; the tip has the dart's angle. */
static void
test_closed_mouth (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  GeomPoint points[]
    = { { 0, 0 }, { 200, 0 }, { 220, 100 }, { 240, 0 }, { 440, 0 }, { 440, 300 }, { 0, 300 } };
  ModelPanel *panel = fixture_polygon (doc, "Darted", points, G_N_ELEMENTS (points)),
             *band = fixture_rectangle (doc, "Band", 0, -100, 400, 40);
  ModelJoin *legs = fixture_join (doc, MODEL_JOIN_FLUSH, panel, 1, panel, 2);
  legs->a.reversed = false;
  legs->b.reversed = true;
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, panel, 0, band, 2);
  guint other = model_panel_edge (panel, 3)->id;
  g_array_append_val (join->a.edges, other);
  join->a.reversed = false;
  join->b.reversed = true;
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (EngineFlatMap) map = engine_flat_map_new (review);
  double dart = 2.0 * atan (0.2);
  g_assert_cmpfloat_with_epsilon (total (map, ENGINE_FLAT_POINT), dart, 1e-9);
  g_assert_cmpfloat_with_epsilon (total (map, ENGINE_FLAT_SEAM), -dart, 1e-9);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/assembled/defect", test_defect);
  g_test_add_func ("/engine/assembled/gores", test_gores);
  g_test_add_func ("/engine/assembled/fold", test_fold);
  g_test_add_func ("/engine/assembled/tube", test_tube);
  g_test_add_func ("/engine/assembled/dart", test_dart);
  g_test_add_func ("/engine/assembled/pyramid", test_pyramid);
  g_test_add_func ("/engine/assembled/mark", test_mark);
  g_test_add_func ("/engine/assembled/seam", test_seam);
  g_test_add_func ("/engine/assembled/closed-mouth", test_closed_mouth);
  return g_test_run ();
}
