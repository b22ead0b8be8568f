/* Will it lie flat?  Closed forms: cone and cap by their angles (Gauss). */
#include "engine/flat.h"
#include "fixture.h"

#define DEG (180.0 / G_PI)

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
  g_test_add_func ("/engine/flat/relief", test_relief);
  return g_test_run ();
}
