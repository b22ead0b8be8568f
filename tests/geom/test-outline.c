/* The cut outline against closed formulas and against a plain, densely sampled twin.
 *
 * Corner of two straight edges, interior angle phi, allowances d1, d2 (M: intersection of two shifted lines):
 * |v|^2 = (d1^2 + d2^2 + 2 d1 d2 cos phi) / sin^2 phi, edge 1 grows by (d2 + d1 cos phi) / sin phi, edge 2 by
 * (d1 + d2 cos phi) / sin phi. */
#include "geom/offset.h"

#include <glib.h>

#define ACCURACY_MM 0.01
#define MOST_EDGES 32

static const GeomCutOptions options = { ACCURACY_MM, 5.0 };

typedef struct Cut
{
  GeomPath seam, cut;
  GeomCutEdge edge[MOST_EDGES];
  GeomCutSpan span[MOST_EDGES];
  size_t edge_count;
  GeomCutResult result;
} Cut;

static void
cut_init (Cut *cut)
{
  *cut = (Cut) { .edge_count = 0 };
  geom_path_init (&cut->seam);
  geom_path_init (&cut->cut);
  cut->seam.closed = true;
}

static void
cut_clear (Cut *cut)
{
  geom_path_clear (&cut->seam);
  geom_path_clear (&cut->cut);
}

static void
cut_reset (Cut *cut)
{
  geom_path_reset (&cut->seam);
  cut->seam.closed = true;
  cut->edge_count = 0;
}

/* A further edge of one piece. */
static void
add_edge (Cut *cut, GeomCubic c, double allowance_mm)
{
  cut->edge[cut->edge_count++] = (GeomCutEdge) { cut->seam.count, 1, allowance_mm };
  geom_path_append (&cut->seam, &c);
}

static void
add_polygon (Cut *cut, const double (*xy)[2], size_t count, const double *allowance_mm)
{
  for (size_t i = 0; i < count; i++)
  {
    size_t next = (i + 1) % count;

    add_edge (cut, geom_cubic_line (geom_point (xy[i][0], xy[i][1]), geom_point (xy[next][0], xy[next][1])),
              allowance_mm[i]);
  }
}

static void
run_cut (Cut *cut, const GeomCutOptions *with)
{
  cut->result = geom_cut_outline (&cut->seam, cut->edge, cut->edge_count, with, &cut->cut, cut->span);
}

/* Closed bit for bit, simple, counter-clockwise. */
static void
assert_sound (const Cut *cut, const char *name)
{
  GeomSelfCrossing crossing[4];
  const GeomPath *path = &cut->cut;
  size_t crossings;

  g_test_message ("%s", name);
  g_assert_cmpint (cut->result, ==, GEOM_CUT_OK);
  g_assert_true (path->closed);
  g_assert_cmpuint (path->count, >, 0);
  for (size_t i = 0; i < path->count; i++)
    g_assert_true (geom_same_point (path->piece[i].p[3], path->piece[(i + 1) % path->count].p[0]));
  crossings = geom_path_self_crossings (path, 1e-7, crossing, 4);
  if (crossings > 0)
    g_test_message ("crosses at %.9g %.9g (piece %zu at %.9g, piece %zu at %.9g of %zu)", crossing[0].point.x,
                    crossing[0].point.y, crossing[0].a.piece, crossing[0].a.t, crossing[0].b.piece,
                    crossing[0].b.t, path->count);
  g_assert_cmpuint (crossings, ==, 0);
  g_assert_cmpfloat (geom_path_area (path), >, 0.0);
}

static double
nearest_corner (const GeomPath *path, GeomPoint p)
{
  double best = INFINITY;

  for (size_t i = 0; i < path->count; i++)
    best = MIN (best, geom_distance (path->piece[i].p[0], p));
  return best;
}

/* ---- one corner of two straight edges ---- */

static const struct
{
  double angle_deg, d1, d2, v, s1, s2;
} corner_rows[] = {
  { 90, 10, 0, 10, 0, 10 },
  { 90, 10, 6, 11.6619037896906, 6, 10 },
  { 60, 10, 10, 20, 17.3205080756888, 17.3205080756888 },
  { 60, 10, 0, 11.5470053837925, 5.77350269189626, 11.5470053837925 },
  { 120, 10, 0, 11.5470053837925, -5.77350269189626, 11.5470053837925 },
  { 120, 12, 5, 12.0554275466834, -1.15470053837925, 10.9696551146029 },
  { 150, 10, 0, 20, -17.3205080756888, 20 },
  { 45, 8, 3, 14.6247137063913, 12.2426406871193, 14.3137084989848 },
  { 270, 10, 5, 11.1803398874989, -5, -10 },
  { 30, 10, 10, 38.6370330515627, 37.3205080756888, 37.3205080756888 },
  { 90, 10, 10, 14.1421356237310, 10, 10 },
  { 170, 10, 10, 10.0381983754335, 0.874886635259240, 0.874886635259240 }, /* s = 10 cot 85 */
};

/* Edge 1 comes in along x to the corner at the origin; far away the outline is closed without allowances. */
static void
test_corners (void)
{
  Cut cut;

  cut_init (&cut);
  for (size_t i = 0; i < G_N_ELEMENTS (corner_rows); i++)
    for (int bent = 0; bent < 2; bent++)
    {
      double turn = G_PI - corner_rows[i].angle_deg * G_PI / 180.0;
      GeomPoint dir = geom_point (cos (turn), sin (turn)), end = geom_scale (dir, 300.0);
      GeomPoint v = geom_point (corner_rows[i].s1, -corner_rows[i].d1);
      char *name = g_strdup_printf ("corner %g degrees, %g and %g mm", corner_rows[i].angle_deg,
                                    corner_rows[i].d1, corner_rows[i].d2);

      cut_reset (&cut);
      add_edge (&cut, geom_cubic_line (geom_point (-300, 0), geom_point (0, 0)), corner_rows[i].d1);
      add_edge (&cut, geom_cubic_line (geom_point (0, 0), end), corner_rows[i].d2);
      /* The far side, well clear of the corner. */
      add_edge (&cut, geom_cubic_line (end, geom_point (end.x + 30, 900)), 0);
      add_edge (&cut, geom_cubic_line (geom_point (end.x + 30, 900), geom_point (-330, 900)), 0);
      add_edge (&cut, geom_cubic_line (geom_point (-330, 900), geom_point (-300, 0)), 0);
      run_cut (&cut, &(GeomCutOptions) { ACCURACY_MM, 8.0 });
      assert_sound (&cut, name);
      g_assert_cmpfloat_with_epsilon (geom_norm (v), corner_rows[i].v, 1e-9);
      g_assert_cmpfloat_with_epsilon (nearest_corner (&cut.cut, v), 0.0, 1e-9);
      /* One piece an edge: straight edges stay one line however they grow. */
      g_assert_cmpuint (cut.span[0].from.piece, ==, cut.span[0].to.piece);
      g_assert_cmpuint (cut.span[1].from.piece, ==, cut.span[1].to.piece);
      g_free (name);
    }
  cut_clear (&cut);
}

/* ---- whole outlines of straight edges ---- */

static const struct
{
  const char *name;
  size_t count;
  double seam[6][2], allowance[6], corner[6][2], area, length[6];
} polygon_rows[] = {
  { "rectangle, four allowances",
    4,
    { { 0, 0 }, { 300, 0 }, { 300, 200 }, { 0, 200 } },
    { 10, 0, 15, 5 },
    { { -5, -10 }, { 300, -10 }, { 300, 215 }, { -5, 215 } },
    68625,
    { 305, 225, 305, 225 } },
  { "trapeze, one edge without",
    4,
    { { 0, 0 }, { 200, 0 }, { 240, 300 }, { -40, 300 } },
    { 0, 10, 12, 10 },
    { { -10.088497300281, 0 },
      { 210.088497300281, 0 },
      { 251.688497300281, 312 },
      { -51.688497300281, 312 } },
    81674.4223153754,
    { 220.176994600562, 314.761115768768, 303.376994600562, 314.761115768768 } },
  { "inner corner",
    6,
    { { 0, 0 }, { 200, 0 }, { 200, 80 }, { 90, 80 }, { 90, 160 }, { 0, 160 } },
    { 10, 6, 10, 0, 8, 12 },
    { { -12, -10 }, { 206, -10 }, { 206, 90 }, { 90, 90 }, { 90, 168 }, { -12, 168 } },
    29756,
    { 218, 100, 116, 78, 102, 178 } },
  { "five edges, two without",
    5,
    { { 0, 0 }, { 180, 10 }, { 210, 150 }, { 120, 260 }, { -10, 220 } },
    { 0, 10, 6, 0, 10 },
    { { -9.98511032291724, -0.55472835127318 },
      { 190.350232093935, 10.5750128941075 },
      { 219.713408572068, 147.603169792063 },
      { 126.193230678643, 261.905609439582 },
      { -19.8722517962789, 216.962384062683 } },
    49725.8671296121,
    { 200.644263714332, 140.138902221106, 147.685718275644, 152.823488632835, 217.741704226407 } },
  { "triangle, long side only",
    3,
    { { 0, 0 }, { 400, 0 }, { 0, 300 } },
    { 0, 10, 0 },
    { { 0, 0 }, { 416.666666666667, 0 }, { 0, 312.5 } },
    65104.1666666667,
    { 416.666666666667, 520.833333333333, 312.5 } },
  { "square, all round",
    4,
    { { 0, 0 }, { 100, 0 }, { 100, 100 }, { 0, 100 } },
    { 10, 10, 10, 10 },
    { { -10, -10 }, { 110, -10 }, { 110, 110 }, { -10, 110 } },
    14400,
    { 120, 120, 120, 120 } },
  { "square, inward",
    4,
    { { 0, 0 }, { 100, 0 }, { 100, 100 }, { 0, 100 } },
    { -10, -10, -10, -10 },
    { { 10, 10 }, { 90, 10 }, { 90, 90 }, { 10, 90 } },
    6400,
    { 80, 80, 80, 80 } },
};

static void
test_polygons (void)
{
  Cut cut;

  cut_init (&cut);
  for (size_t i = 0; i < G_N_ELEMENTS (polygon_rows); i++)
  {
    cut_reset (&cut);
    add_polygon (&cut, polygon_rows[i].seam, polygon_rows[i].count, polygon_rows[i].allowance);
    run_cut (&cut, &options);
    assert_sound (&cut, polygon_rows[i].name);
    g_assert_cmpuint (cut.cut.count, ==, polygon_rows[i].count);
    g_assert_cmpfloat_with_epsilon (geom_path_area (&cut.cut), polygon_rows[i].area, 1e-6);
    for (size_t k = 0; k < polygon_rows[i].count; k++)
    {
      GeomPoint want = geom_point (polygon_rows[i].corner[k][0], polygon_rows[i].corner[k][1]);

      g_assert_cmpfloat (geom_distance (geom_path_point (&cut.cut, cut.span[k].from), want), <, 1e-9);
      g_assert_cmpfloat_with_epsilon (cut.span[k].length_mm, polygon_rows[i].length[k], 1e-9);
    }
  }
  cut_clear (&cut);
}

/* In-radius of the 300-400-500 triangle: 100 (M: area over half the perimeter); a square's: half its side. */
static void
test_inset_vanishes (void)
{
  static const struct
  {
    size_t count;
    double seam[4][2], allowance_mm;
    bool left;
    double area;
  } rows[] = {
    { 3, { { 0, 0 }, { 400, 0 }, { 0, 300 } }, -99.0, true, 60000.0 * 0.01 * 0.01 },
    { 3, { { 0, 0 }, { 400, 0 }, { 0, 300 } }, -101.0, false, 0.0 },
    { 3, { { 0, 0 }, { 400, 0 }, { 0, 300 } }, -150.0, false, 0.0 },
    { 3, { { 0, 0 }, { 400, 0 }, { 0, 300 } }, -5000.0, false, 0.0 },
    { 4, { { 0, 0 }, { 100, 0 }, { 100, 100 }, { 0, 100 } }, -49.0, true, 4.0 },
    { 4, { { 0, 0 }, { 100, 0 }, { 100, 100 }, { 0, 100 } }, -51.0, false, 0.0 },
    { 4, { { 0, 0 }, { 100, 0 }, { 100, 100 }, { 0, 100 } }, -75.0, false, 0.0 },
    { 4, { { 0, 0 }, { 300, 0 }, { 300, 40 }, { 0, 40 } }, -19.0, true, 262.0 * 2.0 },
    { 4, { { 0, 0 }, { 300, 0 }, { 300, 40 }, { 0, 40 } }, -21.0, false, 0.0 },
  };
  Cut cut;

  cut_init (&cut);
  for (size_t i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    double d = rows[i].allowance_mm, all[4] = { d, d, d, d };

    g_test_message ("inset %g of %zu edges", d, rows[i].count);
    cut_reset (&cut);
    add_polygon (&cut, rows[i].seam, rows[i].count, all);
    run_cut (&cut, &options);
    if (rows[i].left)
    {
      assert_sound (&cut, "inset");
      g_assert_cmpfloat_with_epsilon (geom_path_area (&cut.cut), rows[i].area, 1e-6);
    }
    else
      g_assert_cmpint (cut.result, ==, GEOM_CUT_EMPTY);
  }
  cut_clear (&cut);
}

/* A slot in the upper side of a 200 x 100 rectangle, WIDTH wide, 60 deep, is filled by an allowance of half
 * the width or more (M: every point of it is nearer); narrower allowances leave a slot narrower by twice the
 * allowance. */
static void
test_slot (void)
{
  static const struct
  {
    double width, allowance_mm, area;
  } rows[] = {
    { 20, 6, 212.0 * 112.0 - 8.0 * 60.0 },
    { 20, 9.5, 219.0 * 119.0 - 1.0 * 60.0 },
    { 20, 10.5, 221.0 * 121.0 },
    { 20, 12, 224.0 * 124.0 },
    { 4, 10, 220.0 * 120.0 },
    { 0.5, 10, 220.0 * 120.0 },
    { 20, 10, 220.0 * 120.0 },
    { 20, 70, 340.0 * 240.0 },
    { 20, 300, 800.0 * 700.0 },
  };
  Cut cut;

  cut_init (&cut);
  for (size_t i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    double w = 0.5 * rows[i].width, d = rows[i].allowance_mm, all[8] = { d, d, d, d, d, d, d, d };
    const double xy[8][2] = { { 0, 0 },        { 200, 0 },      { 200, 100 },     { 100 + w, 100 },
                              { 100 + w, 40 }, { 100 - w, 40 }, { 100 - w, 100 }, { 0, 100 } };
    char *name = g_strdup_printf ("slot %g wide, allowance %g", rows[i].width, d);

    cut_reset (&cut);
    add_polygon (&cut, xy, 8, all);
    run_cut (&cut, &options);
    assert_sound (&cut, name);
    g_assert_cmpfloat_with_epsilon (geom_path_area (&cut.cut), rows[i].area, 0.5);
    g_free (name);
  }
  cut_clear (&cut);
}

/* At 180 degrees there is no corner: a step square to the edge.  Area: two strips. */
static void
test_step (void)
{
  const double xy[5][2] = { { 0, 0 }, { 100, 0 }, { 200, 0 }, { 200, 100 }, { 0, 100 } };
  const double all[5] = { 10, 4, 0, 0, 0 };
  Cut cut;

  cut_init (&cut);
  add_polygon (&cut, xy, 5, all);
  run_cut (&cut, &options);
  assert_sound (&cut, "step");
  g_assert_cmpfloat_with_epsilon (geom_path_area (&cut.cut), 20000.0 + 1000.0 + 400.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (nearest_corner (&cut.cut, geom_point (100, -10)), 0.0, 1e-12);
  g_assert_cmpfloat_with_epsilon (nearest_corner (&cut.cut, geom_point (100, -4)), 0.0, 1e-12);
  g_assert_cmpfloat_with_epsilon (cut.span[0].length_mm, 100.0, 1e-12);
  g_assert_cmpfloat_with_epsilon (cut.span[1].length_mm, 100.0, 1e-12);
  cut_clear (&cut);
}

/* A corner of ANGLE past the mitre limit ends square to its bisector at limit times the allowance. */
static void
test_blunt (void)
{
  Cut cut;

  cut_init (&cut);
  for (double angle = 5.0; angle < 25.0; angle += 5.0)
  {
    double half = 0.5 * angle * G_PI / 180.0, d = 10.0, all[3] = { d, d, d };
    const double xy[3][2] = { { 0, 0 }, { 400, -400 * tan (half) }, { 400, 400 * tan (half) } };
    GeomBox box;

    cut_reset (&cut);
    add_polygon (&cut, xy, 3, all);
    run_cut (&cut, &(GeomCutOptions) { ACCURACY_MM, 4.0 });
    assert_sound (&cut, "blunt");
    g_assert_cmpuint (cut.cut.count, ==, 4);
    box = geom_path_box (&cut.cut);
    g_assert_cmpfloat_with_epsilon (box.x0, -4.0 * d, 1e-9);
    g_assert_cmpfloat_with_epsilon (box.x1, 410.0, 1e-9);
  }
  cut_clear (&cut);
}

/* ---- smooth outlines: Steiner's formulas ---- */

/* A closed convex outline without corners: length + 2 pi d, area + length d + pi d^2 (M, Steiner).  Stadium
 * of two 200 mm edges and two half circles of 50 mm radius in four quarter cubics; the cubic's own radial
 * error is 2.7e-4. */
static void
test_stadium (void)
{
  static const double allowances[] = { 10, 3, 0.2, -10, -0.2, -49 };
  double k = 50.0 * 4.0 / 3.0 * tan (G_PI / 8.0);
  Cut cut;

  cut_init (&cut);
  for (size_t i = 0; i < G_N_ELEMENTS (allowances); i++)
  {
    double d = allowances[i], length, area;

    cut_reset (&cut);
    add_edge (&cut, geom_cubic_line (geom_point (0, -50), geom_point (200, -50)), d);
    add_edge (&cut, (GeomCubic) { { { 200, -50 }, { 200 + k, -50 }, { 250, -k }, { 250, 0 } } }, d);
    add_edge (&cut, (GeomCubic) { { { 250, 0 }, { 250, k }, { 200 + k, 50 }, { 200, 50 } } }, d);
    add_edge (&cut, geom_cubic_line (geom_point (200, 50), geom_point (0, 50)), d);
    add_edge (&cut, (GeomCubic) { { { 0, 50 }, { -k, 50 }, { -50, k }, { -50, 0 } } }, d);
    add_edge (&cut, (GeomCubic) { { { -50, 0 }, { -50, -k }, { -k, -50 }, { 0, -50 } } }, d);
    run_cut (&cut, &options);
    assert_sound (&cut, "stadium");
    length = geom_path_length (&cut.seam, 1e-9);
    area = geom_path_area (&cut.seam);
    g_assert_cmpfloat_with_epsilon (geom_path_length (&cut.cut, 1e-9), length + 2 * G_PI * d, 0.06);
    g_assert_cmpfloat_with_epsilon (geom_path_area (&cut.cut), area + length * d + G_PI * d * d,
                                    ACCURACY_MM * length);
  }
  cut_clear (&cut);
}

/* Allowance 0 copies the edge, bit for bit. */
static void
test_copies (void)
{
  GeomCubic curve = { { { 180, 150 }, { 120, 160 }, { 90, 210 }, { 90, 280 } } };
  Cut cut;

  cut_init (&cut);
  for (int with = 0; with < 2; with++)
  {
    cut_reset (&cut);
    add_edge (&cut, geom_cubic_line (geom_point (0, 0), geom_point (180, 0)), 10.0 * with);
    add_edge (&cut, geom_cubic_line (geom_point (180, 0), geom_point (180, 150)), 0.0);
    add_edge (&cut, curve, 0.0);
    add_edge (&cut, geom_cubic_line (geom_point (90, 280), geom_point (0, 280)), 0.0);
    add_edge (&cut, geom_cubic_line (geom_point (0, 280), geom_point (0, 0)), 0.0);
    run_cut (&cut, &options);
    assert_sound (&cut, "copies");
    g_assert_cmpuint (cut.cut.count, ==, 5);
    for (int i = 0; i < 4; i++)
      g_assert_true (geom_same_point (cut.cut.piece[cut.span[2].from.piece].p[i], curve.p[i]));
    /* Area by closed form (M): 41220; the strip below is 180 x 10. */
    g_assert_cmpfloat_with_epsilon (geom_path_area (&cut.cut), 41220.0 + 1800.0 * with, 1e-8);
  }
  cut_clear (&cut);
}

/* ---- the plain twin ---- */

static void
collect (GeomPoint p, void *user)
{
  g_array_append_val ((GArray *)user, p);
}

/* Distance to the chords of a fine polyline: plain and slow. */
static double
plain_distance (const GArray *line, GeomPoint p)
{
  double best = INFINITY;

  for (guint i = 0; i < line->len; i++)
  {
    GeomPoint a = g_array_index (line, GeomPoint, i),
              b = g_array_index (line, GeomPoint, (i + 1) % line->len);
    GeomPoint ab = geom_sub (b, a), ap = geom_sub (p, a);
    double l2 = geom_dot (ab, ab), t = l2 > 0.0 ? CLAMP (geom_dot (ap, ab) / l2, 0.0, 1.0) : 0.0;

    best = MIN (best, geom_distance (p, geom_along (a, t, ab)));
  }
  return best;
}

/* One allowance all round: no point of the cut is nearer to the seam than it, none farther than the mitre
 * allows, and every point of a parallel that keeps its distance is on the cut or beneath it. */
static void
assert_like_twin (const Cut *cut, double d, double mitre_limit)
{
  g_autoptr (GArray) seam = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  g_autoptr (GArray) line = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  double slack = 0.0105, miss = 0.0, near = INFINITY, far = 0.0;

  geom_path_flatten (&cut->seam, 0.0005, collect, seam);
  geom_path_flatten (&cut->cut, 0.0005, collect, line);
  for (guint i = 0; i < line->len; i += 3)
  {
    double distance = plain_distance (seam, g_array_index (line, GeomPoint, i));

    near = MIN (near, distance);
    far = MAX (far, distance);
  }
  for (size_t i = 0; i < cut->seam.count; i++)
    for (int k = 1; k < 40; k++)
    {
      const GeomCubic *c = &cut->seam.piece[i];
      double t = k / 40.0;
      GeomPoint q = geom_along (geom_cubic_at (c, t), d, geom_right_of (geom_cubic_tangent (c, t)));

      /* Inside, it may lie beneath the mitre of another corner. */
      if (geom_path_nearest (&cut->seam, q).distance_mm >= fabs (d) - 1e-6
          && !geom_path_contains (&cut->cut, q))
        miss = MAX (miss, plain_distance (line, q));
    }
  g_assert_cmpfloat (near, >=, fabs (d) - slack);
  /* The two corners of a blunt end lie a little beyond its middle. */
  g_assert_cmpfloat (far, <=, 1.1 * mitre_limit * fabs (d) + slack);
  g_assert_cmpfloat (miss, <=, slack);
}

/* A star-shaped outline of COUNT cubics with corners, hollows and smooth joints. */
static void
random_outline (Cut *cut, GRand *rand, size_t count, double radius_mm, double wild, double d)
{
  GeomPoint node[MOST_EDGES];

  cut_reset (cut);
  for (size_t i = 0; i < count; i++)
  {
    double a = 2.0 * G_PI * (i + g_rand_double_range (rand, -0.2, 0.2)) / count;
    double r = radius_mm * (1.0 + wild * g_rand_double_range (rand, -1.0, 1.0));

    node[i] = geom_point (r * cos (a), r * sin (a));
  }
  for (size_t i = 0; i < count; i++)
  {
    GeomPoint a = node[i], b = node[(i + 1) % count], chord = geom_sub (b, a), side = geom_left_of (chord);
    double h = g_rand_double_range (rand, 0.2, 0.45), bulge = wild * g_rand_double_range (rand, -0.6, 0.6);
    double skew = wild * g_rand_double_range (rand, -0.4, 0.4);

    if (g_rand_double (rand) < 0.3)
      add_edge (cut, geom_cubic_line (a, b), d);
    else
      add_edge (cut,
                (GeomCubic) { { a, geom_along (geom_along (a, h, chord), bulge + skew, side),
                                geom_along (geom_along (b, -h, chord), bulge - skew, side), b } },
                d);
  }
}

static bool
seam_is_simple (const Cut *cut)
{
  GeomSelfCrossing one;

  return geom_path_self_crossings (&cut->seam, 1e-7, &one, 1) == 0;
}

static void
test_twin (void)
{
  static const double allowances[] = { 10, 4, 1.5, -2, -6, 25 };
  g_autoptr (GRand) rand = g_rand_new_with_seed (20);
  int tried = 0, empty = 0;
  Cut cut;

  cut_init (&cut);
  for (int i = 0; i < 240; i++)
  {
    double d = allowances[i % G_N_ELEMENTS (allowances)];
    char *name = g_strdup_printf ("random outline %d, allowance %g", i, d);

    random_outline (&cut, rand, 5 + i % 8, 60.0 + i % 5 * 40.0, 0.15 + 0.1 * (i % 4), d);
    if (seam_is_simple (&cut))
    {
      run_cut (&cut, &options);
      tried++;
      if (cut.result == GEOM_CUT_EMPTY && d < 0.0)
        empty++;
      else
      {
        assert_sound (&cut, name);
        /* An inset may fall apart; then only the largest piece is kept and parallels elsewhere are missed. */
        if (d > 0.0)
          assert_like_twin (&cut, d, options.mitre_limit);
      }
    }
    g_free (name);
  }
  g_assert_cmpint (tried, >, 150);
  g_assert_cmpint (empty, <, 10);
  cut_clear (&cut);
}

/* Unequal allowances, also wild and absurd ones: sound or empty, never a hang; spans add up. */
static void
test_unequal (void)
{
  static const double choice[] = { 0, 0, 10, 10, 5, 12, 20, 0.3, -1, 3 };
  g_autoptr (GRand) rand = g_rand_new_with_seed (21);
  Cut cut;

  cut_init (&cut);
  for (int i = 0; i < 600; i++)
  {
    char *name = g_strdup_printf ("unequal outline %d", i);
    double inside, whole;

    random_outline (&cut, rand, 4 + i % 9, 60.0 + i % 5 * 40.0, 0.1 + 0.1 * (i % 4), 0.0);
    for (size_t e = 0; e < cut.edge_count; e++)
      cut.edge[e].allowance_mm = choice[g_rand_int_range (rand, 0, G_N_ELEMENTS (choice))];
    if (seam_is_simple (&cut))
    {
      run_cut (&cut, &options);
      assert_sound (&cut, name);
      inside = 0.0;
      for (size_t e = 0; e < cut.edge_count; e++)
        inside += cut.span[e].length_mm;
      whole = geom_path_length (&cut.cut, 1e-6);
      g_assert_cmpfloat (inside, <=, whole + 1e-3);
      g_assert_cmpfloat (inside, >=, 0.5 * whole);
    }
    g_free (name);
  }
  cut_clear (&cut);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/geom/outline/corners", test_corners);
  g_test_add_func ("/geom/outline/polygons", test_polygons);
  g_test_add_func ("/geom/outline/inset-vanishes", test_inset_vanishes);
  g_test_add_func ("/geom/outline/slot", test_slot);
  g_test_add_func ("/geom/outline/step", test_step);
  g_test_add_func ("/geom/outline/blunt", test_blunt);
  g_test_add_func ("/geom/outline/stadium", test_stadium);
  g_test_add_func ("/geom/outline/copies", test_copies);
  g_test_add_func ("/geom/outline/twin", test_twin);
  g_test_add_func ("/geom/outline/unequal", test_unequal);
  return g_test_run ();
}
