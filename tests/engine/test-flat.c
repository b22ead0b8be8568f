/* Will it lie flat?  Closed forms: cone and cap by their angles (Gauss), gores by Gauss and Bonnet. */
#include "engine/flat.h"
#include "fixture.h"

#define PI 3.14159265358979323846
#define DEG (180.0 / PI)

/* A cone of radius 60 and height 80 has a slant of 100; half apex angle b with sin b = 0.6. */
static void
test_cone (void)
{
  EngineDome cone = engine_dome_cone (60.0, 80.0);
  g_assert_cmpfloat_with_epsilon (cone.slant_mm, 100.0, 1e-12);
  g_assert_cmpfloat_with_epsilon (cone.wedge_rad * DEG, 144.0, 1e-9); /* 360 (1 - 0.6) */
  g_assert_cmpfloat_with_epsilon (cone.short_mm, 80.0, 1e-9);         /* 2 100 - 2 60 */
  EngineDome taped = engine_dome_taped (120.0, 200.0, true);
  g_assert_cmpfloat_with_epsilon (taped.wedge_rad * DEG, 144.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (taped.height_mm, 80.0, 1e-9);
}

/* A sphere of radius 100.  360 (1 - cos a); base 2 R sin a, over it 2 R a; (p - 1) / (p + 1), p = a / sin a.
 */
static void
test_cap (void)
{
  static const struct
  {
    double opening_deg, wedge_deg, ratio; /* ratio: a / sin a */
  } rows[] = {
    { 10.0, 5.4692089156051, 1.00509505797521 },
    { 20.0, 21.710656517073, 1.02060026934287 },
    { 30.0, 48.2308546376021, 1.04719755119660 },
    { 45.0, 105.441558772843, 1.11072073453959 },
    { 60.0, 180.0, 1.20919957615615 },
    { 90.0, 360.0, 1.57079632679490 },
  };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    double a = rows[i].opening_deg / DEG;
    EngineDome cap = engine_dome_cap (100.0 * sin (a), 100.0 * (1.0 - cos (a)));
    g_assert_cmpfloat_with_epsilon (cap.wedge_rad * DEG, rows[i].wedge_deg, 1e-9);
    g_assert_cmpfloat_with_epsilon (cap.least_strain, (rows[i].ratio - 1.0) / (rows[i].ratio + 1.0), 1e-12);
    g_assert_cmpfloat_with_epsilon (cap.short_mm, 200.0 * (a - sin (a)), 1e-9);
    EngineDome taped = engine_dome_taped (200.0 * sin (a), 200.0 * a, false);
    g_assert_cmpfloat_with_epsilon (taped.wedge_rad * DEG, rows[i].wedge_deg, 1e-7);
  }
}

static void
test_no_dome (void)
{
  static const double odd[][2] = { { 0.0, 10.0 }, { 10.0, 0.0 },     { -1.0, 5.0 },    { NAN, 5.0 },
                                   { 5.0, NAN },  { INFINITY, 5.0 }, { 5.0, INFINITY } };
  for (guint i = 0; i < G_N_ELEMENTS (odd); i++)
  {
    g_assert_cmpfloat (engine_dome_cone (odd[i][0], odd[i][1]).wedge_rad, ==, 0.0);
    g_assert_cmpfloat (engine_dome_cap (odd[i][0], odd[i][1]).wedge_rad, ==, 0.0);
  }
  g_assert_cmpfloat (engine_dome_taped (100.0, 100.0, false).wedge_rad, ==, 0.0);
  g_assert_cmpfloat (engine_dome_taped (100.0, 90.0, true).wedge_rad, ==, 0.0);
  g_assert_cmpfloat (engine_dome_taped (NAN, 90.0, false).wedge_rad, ==, 0.0);
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
    g_autoptr (GArray) places = engine_flat_places (review);
    double sum = 0.0;
    guint points = 0, seams = 0;
    for (guint i = 0; i < places->len; i++)
    {
      const EngineFlatPlace *place = &g_array_index (places, EngineFlatPlace, i);
      sum += place->angle_rad;
      points += place->kind == ENGINE_FLAT_POINT;
      seams += place->kind == ENGINE_FLAT_SEAM;
      if (place->kind == ENGINE_FLAT_POINT)
        g_assert_cmpuint (place->corners, ==, n);
    }
    g_assert_cmpuint (points, ==, 2);
    g_assert_cmpuint (seams, ==, n);
    g_assert_cmpfloat_with_epsilon (sum, 4.0 * PI, 1e-9);
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
  g_autoptr (GArray) places = engine_flat_places (review);
  double sum = 0.0;
  for (guint i = 0; i < places->len; i++)
    sum += g_array_index (places, EngineFlatPlace, i).angle_rad;
  g_assert_cmpfloat_with_epsilon (sum, 4.0 * PI, 1e-9);
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
  g_autoptr (GArray) places = engine_flat_places (review);
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
  g_autoptr (GArray) places = engine_flat_places (review);
  double tip = 0.0;
  for (guint i = 0; i < places->len; i++)
  {
    const EngineFlatPlace *place = &g_array_index (places, EngineFlatPlace, i);
    if (place->kind == ENGINE_FLAT_POINT)
      tip = place->angle_rad;
  }
  g_assert_cmpfloat_with_epsilon (tip, 2.0 * atan (0.2), 1e-9);
}

static void
test_relief (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  g_autoptr (ModelMaterial) leather = model_material_new ();
  leather->kind = MODEL_MATERIAL_LEATHER;
  struct
  {
    double opening_deg;
    EngineRelief relief;
  } rows[] = { { 20.0, ENGINE_RELIEF_NONE },   /* 1.0 % */
               { 30.0, ENGINE_RELIEF_FORM },   /* 2.3 % */
               { 90.0, ENGINE_RELIEF_SEAM } }; /* 22 %, 360 degrees */
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    double a = rows[i].opening_deg / DEG;
    EngineDome cap = engine_dome_cap (100.0 * sin (a), 100.0 * (1.0 - cos (a)));
    g_assert_cmpint (engine_dome_relief (&cap, leather), ==, rows[i].relief);
    g_autofree char *words = engine_dome_words (doc, &cap, leather);
    g_assert_cmpuint (strlen (words), >, 20);
  }
  leather->kind = MODEL_MATERIAL_CLOTH;
  EngineDome cap = engine_dome_cap (100.0 * sin (25.0 / DEG), 100.0 * (1.0 - cos (25.0 / DEG)));
  g_assert_cmpint (engine_dome_relief (&cap, leather), ==, ENGINE_RELIEF_NONE);
  leather->kind = MODEL_MATERIAL_OTHER;
  g_assert_cmpint (engine_dome_relief (&cap, leather), ==, ENGINE_RELIEF_DART);
  leather->stretch_percent = 10.0;
  g_assert_cmpint (engine_dome_relief (&cap, leather), ==, ENGINE_RELIEF_NONE);
  g_assert_cmpint (engine_dome_relief (&cap, NULL), ==, ENGINE_RELIEF_DART);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/flat/cone", test_cone);
  g_test_add_func ("/engine/flat/cap", test_cap);
  g_test_add_func ("/engine/flat/no-dome", test_no_dome);
  g_test_add_func ("/engine/flat/defect", test_defect);
  g_test_add_func ("/engine/flat/gores", test_gores);
  g_test_add_func ("/engine/flat/fold", test_fold);
  g_test_add_func ("/engine/flat/tube", test_tube);
  g_test_add_func ("/engine/flat/dart", test_dart);
  g_test_add_func ("/engine/flat/relief", test_relief);
  return g_test_run ();
}
