/* The dome from several tapes.  The body is a formula: tapes are laid over it in space, point by point, and
 * their lengths added up; angles by Gauss. */
#include "engine/taped.h"
#include "fixture.h"

#define DEG (180.0 / G_PI)

enum
{
  LINKS = 4800, /* of a tape over the body, an end of one on each tip: short by less than a millionth */
  MOST = 8
};

typedef struct Body
{
  bool pointed;
  double reach_mm, angle_deg; /* a cone's slope, or the angular radius of a cap */
  GeomPoint top;
} Body;

/* How far below the top. */
static double
depth (const Body *body, GeomPoint at)
{
  double r = geom_distance (at, body->top), a = body->angle_deg / DEG, ball = body->reach_mm / sin (a);
  return body->pointed ? r * tan (a) : ball - sqrt (MAX (ball * ball - r * r, 0.0));
}

static double
over_body (const Body *body, GeomPoint a, GeomPoint b)
{
  double sum = 0.0;
  GeomPoint was = a;
  for (int i = 1; i <= LINKS; i++)
  {
    GeomPoint now = geom_mix (a, b, (double)i / LINKS);
    sum += hypot (geom_distance (was, now), depth (body, now) - depth (body, was));
    was = now;
  }
  return sum;
}

typedef struct Tapes
{
  GeomPath way[MOST];
  EngineTaping tape[MOST];
  guint count;
} Tapes;

static void
lay (Tapes *tapes, GeomPoint a, GeomPoint b, double wrap_mm)
{
  GeomCubic line = geom_cubic_line (a, b);
  geom_path_init (&tapes->way[tapes->count]);
  geom_path_append (&tapes->way[tapes->count], &line);
  tapes->tape[tapes->count] = (EngineTaping) { &tapes->way[tapes->count], wrap_mm };
  tapes->count++;
}

static void
gather (Tapes *tapes)
{
  for (guint i = 0; i < tapes->count; i++)
    geom_path_clear (&tapes->way[i]);
}

/* A cone holds 360 (1 - cos slope) over its base, a cap 360 (1 - cos angle). */
static void
test_bodies (void)
{
  static const Body bodies[] = {
    { true, 80.0, 10.0, { 3.0, -2.0 } },  { true, 80.0, 35.0, { -12.0, 9.0 } },
    { true, 80.0, 60.0, { 5.0, 0.0 } },   { false, 80.0, 20.0, { 4.0, 11.0 } },
    { false, 80.0, 45.0, { -7.0, 3.0 } }, { false, 80.0, 75.0, { 2.0, -9.0 } },
  };
  /* Within 80 mm of all tops. */
  static const GeomPoint ends[][2] = { { { -60, 0 }, { 60, 0 } },
                                       { { 0, -55 }, { 0, 60 } },
                                       { { -45, 40 }, { 50, 35 } },
                                       { { -40, -45 }, { 45, -38 } },
                                       { { 45, -40 }, { 48, 35 } } };
  for (guint i = 0; i < G_N_ELEMENTS (bodies); i++)
  {
    const Body *body = &bodies[i];
    Tapes tapes = { .count = 0 };
    for (guint k = 0; k < G_N_ELEMENTS (ends); k++)
      lay (&tapes, ends[k][0], ends[k][1], over_body (body, ends[k][0], ends[k][1]));
    double wedge = 360.0 * (1.0 - cos (body->angle_deg / DEG));

    EngineDomeFit fit = engine_dome_fit (tapes.tape, tapes.count, &body->top, body->pointed);
    g_assert_true (fit.known);
    g_assert_false (fit.contradictory);
    g_assert_cmpfloat_with_epsilon (fit.ring, 1.0, 1e-3);
    g_assert_cmpfloat (fit.worst_mm, <, 1e-3);
    for (guint k = 0; k < tapes.count; k++)
      g_assert_cmpfloat_with_epsilon (engine_dome_fit_length (&fit, tapes.tape[k].way), tapes.tape[k].wrap_mm,
                                      1e-3);
    double cos_rim = body->pointed
                       ? cos (body->angle_deg / DEG)
                       : sqrt (1.0 - pow (fit.reach_mm / body->reach_mm * sin (body->angle_deg / DEG), 2.0));
    g_assert_cmpfloat_with_epsilon (fit.dome.wedge_rad * DEG, 360.0 * (1.0 - cos_rim), 0.01);
    if (body->pointed)
      g_assert_cmpfloat_with_epsilon (fit.dome.wedge_rad * DEG, wedge, 0.01);

    /* Nobody says where the top is. */
    fit = engine_dome_fit (tapes.tape, tapes.count, NULL, body->pointed);
    g_assert_true (fit.apex_placed);
    g_assert_cmpfloat (geom_distance (fit.apex, body->top), <, 0.5);
    g_assert_cmpfloat (fit.error_mm, <, 0.02);

    /* Nor that it is pointed, where that is plain to see: two tapes of unlike length, or more. */
    if (body->pointed && body->angle_deg > 20.0)
      g_assert_true (engine_dome_fit (tapes.tape, tapes.count, &body->top, false).pointed);

    /* A hand that is wrong by a millimetre, to and fro. */
    for (guint k = 0; k < tapes.count; k++)
      tapes.tape[k].wrap_mm += k % 2 ? 1.0 : -1.0;
    fit = engine_dome_fit (tapes.tape, tapes.count, &body->top, body->pointed);
    g_assert_false (fit.contradictory);
    if (body->pointed && body->angle_deg > 20.0)
      g_assert_cmpfloat_with_epsilon (fit.dome.wedge_rad * DEG, wedge, 0.12 * wedge);
    gather (&tapes);
  }
}

/* One tape over the top is what a base and a height would say. */
static void
test_one (void)
{
  for (guint i = 1; i <= 8; i++)
    for (int pointed = 0; pointed < 2; pointed++)
    {
      double a = i * 10.0 / DEG, flat = 100.0, wrap = pointed ? flat / cos (a) : flat * a / sin (a);
      Tapes tapes = { .count = 0 };
      lay (&tapes, geom_point (10, 20), geom_point (110, 20), wrap);
      EngineDomeFit fit = engine_dome_fit (tapes.tape, 1, NULL, pointed);
      EngineDome one = engine_dome_taped (flat, wrap, pointed);
      g_assert_cmpfloat_with_epsilon (fit.apex.x, 60.0, 1e-6);
      g_assert_false (fit.apex_placed);
      g_assert_cmpfloat_with_epsilon (fit.dome.wedge_rad * DEG, 360.0 * (1.0 - cos (a)), 1e-5);
      g_assert_cmpfloat_with_epsilon (fit.dome.wedge_rad, one.wedge_rad, 1e-6);
      g_assert_cmpfloat_with_epsilon (fit.dome.height_mm, one.height_mm, 1e-5);
      g_assert_cmpfloat_with_epsilon (fit.short_mm, wrap - flat, 1e-9);
      gather (&tapes);
    }
}

/* A ring of radius R about the top as sixteen pieces: handles of 4/3 tan (1/64 turn) lie within a
 * ten-millionth of the circle. */
static void
ring (GeomPath *out, GeomPoint top, double r)
{
  double step = 2.0 * G_PI / 16.0, handle = 4.0 / 3.0 * tan (step / 4.0) * r;
  for (int i = 0; i < 16; i++)
  {
    GeomCubic c;
    for (int end = 0; end < 2; end++)
    {
      double a = (i + end) * step;
      GeomPoint out_way = { cos (a), sin (a) }, at = geom_along (top, r, out_way);
      c.p[end * 3] = at;
      c.p[end ? 2 : 1] = geom_along (at, end ? -handle : handle, geom_left_of (out_way));
    }
    geom_path_append (out, &c);
  }
}

/* Laid out with its rays as they are, the rim of a cap of a sphere of radius 100 is too long: flat girth,
 * true girth, 360 (1 - cos a).  A cone's is too long by its angle, a saddle's too short. */
static void
test_rings (void)
{
  static const struct
  {
    double radius_mm, girth_mm, wedge_deg;
    bool pointed;
  } rows[] = { { 34.9065850398866, 214.89759393033, 21.710656517073, false },
               { 52.3598775598299, 314.159265358979, 48.2308546376021, false },
               { 78.5398163397448, 444.288293815837, 105.441558772843, false },
               { 100.0, 2.0 * G_PI * 100.0 * 0.9, 36.0, true },
               { 100.0, 2.0 * G_PI * 100.0 * 1.1, -36.0, true } };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    GeomPath way;
    geom_path_init (&way);
    GeomPoint top = { 31.0, 8.0 };
    ring (&way, top, rows[i].radius_mm);
    EngineTaping tape = { &way, rows[i].girth_mm };
    EngineDomeFit fit = engine_dome_fit (&tape, 1, &top, rows[i].pointed);
    g_assert_cmpfloat_with_epsilon (fit.ray, 1.0, 1e-3);
    g_assert_cmpfloat_with_epsilon (fit.dome.wedge_rad * DEG, rows[i].wedge_deg, 0.05);
    g_assert_cmpint (engine_dome_relief (&fit.dome, NULL) == ENGINE_RELIEF_SPREAD, ==,
                     rows[i].wedge_deg < 0.0);
    geom_path_clear (&way);
  }
}

/* A ring and a way over the top together: a disc of paper scaled by half on the table is the same cone. */
static void
test_both (void)
{
  GeomPath way[2];
  GeomPoint top = { 0.0, 0.0 };
  GeomCubic over = geom_cubic_line (geom_point (-50, 0), geom_point (50, 0));
  geom_path_init (&way[0]);
  geom_path_init (&way[1]);
  ring (&way[0], top, 50.0);
  geom_path_append (&way[1], &over);
  /* Rays 1.2 as long, rings 0.9: 360 (1 - 0.9 / 1.2) = 90. */
  EngineTaping tapes[] = { { &way[0], 2.0 * G_PI * 50.0 * 0.9 }, { &way[1], 120.0 } };
  EngineDomeFit fit = engine_dome_fit (tapes, 2, &top, true);
  g_assert_cmpfloat_with_epsilon (fit.ring, 0.9, 1e-4);
  g_assert_cmpfloat_with_epsilon (fit.ray, 1.2, 1e-4);
  g_assert_cmpfloat_with_epsilon (fit.dome.wedge_rad * DEG, 90.0, 0.05);
  geom_path_clear (&way[0]);
  geom_path_clear (&way[1]);
}

static void
test_odd (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  /* Over the same place, once far too short and once far too long. */
  Tapes tapes = { .count = 0 };
  lay (&tapes, geom_point (-50, 0), geom_point (50, 0), 120.0);
  lay (&tapes, geom_point (0, -50), geom_point (0, 50), 80.0);
  EngineDomeFit fit = engine_dome_fit (tapes.tape, 2, NULL, false);
  g_assert_true (fit.contradictory);
  g_autoptr (GPtrArray) words = engine_dome_fit_words (doc, &fit, NULL);
  g_assert_cmpuint (words->len, ==, 1);
  /* Shorter over the top than flat: a saddle, 360 (1 - 1 / 0.9). */
  fit = engine_dome_fit (&(EngineTaping) { &tapes.way[0], 90.0 }, 1, NULL, true);
  g_assert_cmpfloat_with_epsilon (fit.dome.wedge_rad * DEG, -40.0, 1e-5);
  g_assert_cmpfloat_with_epsilon (fit.short_mm, -10.0, 1e-9);
  /* As long over the top as flat. */
  fit = engine_dome_fit (&(EngineTaping) { &tapes.way[0], 100.0 }, 1, NULL, false);
  g_assert_cmpfloat_with_epsilon (fit.dome.wedge_rad, 0.0, 1e-9);
  g_assert_cmpint (engine_dome_relief (&fit.dome, NULL), ==, ENGINE_RELIEF_NONE);
  /* Steeper than half a ball: 100 across, 200 over. */
  fit = engine_dome_fit (&(EngineTaping) { &tapes.way[0], 200.0 }, 1, NULL, false);
  g_assert_true (fit.pointed);
  g_assert_cmpfloat_with_epsilon (fit.dome.wedge_rad * DEG, 180.0, 1e-5);
  const EngineTaping bad[] = { { NULL, 100.0 }, { &tapes.way[0], NAN }, { &tapes.way[0], 0.0 } };
  g_assert_false (engine_dome_fit (bad, 3, NULL, false).known);
  g_assert_false (engine_dome_fit (NULL, 0, NULL, false).known);
  fit = engine_dome_fit (&(EngineTaping) { &tapes.way[0], 1e7 }, 1, NULL, false);
  g_assert_true (isfinite (fit.dome.wedge_rad));
  gather (&tapes);
}

/* Arcs that turn by a quarter of a turn between them over a chord of 200: 100 tan (90 / 8). */
static void
test_bulge (void)
{
  EngineDome dome = { .slant_mm = 100.0, .wedge_rad = G_PI / 2.0 };
  g_assert_cmpfloat_with_epsilon (engine_dome_seam_bulge_mm (&dome), 100.0 * tan (11.25 / DEG), 1e-9);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/taped/bodies", test_bodies);
  g_test_add_func ("/engine/taped/one", test_one);
  g_test_add_func ("/engine/taped/rings", test_rings);
  g_test_add_func ("/engine/taped/both", test_both);
  g_test_add_func ("/engine/taped/odd", test_odd);
  g_test_add_func ("/engine/taped/bulge", test_bulge);
  return g_test_run ();
}
