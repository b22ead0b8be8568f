/* Points, boxes, maps and the turn predicate. */
#include "geom/point.h"

#include "curves.h"

#include <float.h>
#include <glib.h>

static void
unit_of_any_size (void)
{
  static const struct
  {
    const char *why;
    GeomPoint of, want;
  } rows[] = {
    { "3-4-5 triangle", { 3, 4 }, { 0.6, 0.8 } },
    { "squares would vanish", { 3e-200, 4e-200 }, { 0.6, 0.8 } },
    { "squares would overflow", { -3e200, 4e200 }, { -0.6, 0.8 } },
    { "no length: stated in the header", { 0, 0 }, { 0, 0 } },
  };
  for (size_t i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    GeomPoint got = geom_unit (rows[i].of);
    g_test_message ("%s", rows[i].why);
    g_assert_cmpfloat_with_epsilon (got.x, rows[i].want.x, 4 * DBL_EPSILON);
    g_assert_cmpfloat_with_epsilon (got.y, rows[i].want.y, 4 * DBL_EPSILON);
  }
}

static void
same_point_ignores_sign_of_zero (void)
{
  g_assert_true (geom_same_point (geom_point (0.0, -0.0), geom_point (-0.0, 0.0)));
  g_assert_false (geom_same_point (geom_point (0.0, DBL_TRUE_MIN), geom_point (0.0, 0.0)));
}

static void
turn_rows (void)
{
  /* Worked by hand: the determinant (a - p) x (b - p), exactly. */
  static const struct
  {
    const char *why;
    GeomPoint a, b, p;
    int want;
  } rows[] = {
    { "left", { 0, 0 }, { 1, 0 }, { 0, 1 }, 1 },
    { "right", { 0, 0 }, { 1, 0 }, { 0, -1 }, -1 },
    { "on", { 0, 0 }, { 3, 3 }, { 7, 7 }, 0 },
    { "a equals b", { 2, 1 }, { 2, 1 }, { 7, 7 }, 0 },
    { "on a diagonal, all multiples of 0.1 + one bit", { 0.5, 0.5 }, { 12, 12 }, { 24, 24 }, 0 },
    { "one bit off the diagonal: 12 (0.5 + 2^-53 - 0.5) > 0",
      { 12, 12 },
      { 24, 24 },
      { 0.5, 0.5 + 0x1p-53 },
      1 },
    { "one bit the other way", { 12, 12 }, { 24, 24 }, { 0.5 + 0x1p-53, 0.5 }, -1 },
    { "products vanish in doubles: 1e-200 * 1e-200", { 0, 0 }, { 1e-200, 0 }, { 0, 1e-200 }, 1 },
    { "products overflow in doubles", { 0, 0 }, { 1e200, 0 }, { 0, -1e200 }, -1 },
    { "huge and one bit off", { -1e160, -1e160 }, { 1e160, 1e160 }, { 0, -DBL_TRUE_MIN * 0x1p60 }, -1 },
  };
  for (size_t i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_test_message ("%s", rows[i].why);
    g_assert_cmpint (geom_turn (rows[i].a, rows[i].b, rows[i].p), ==, rows[i].want);
  }
}

/* Integer coordinates so close to a line that doubles cannot tell; 128-bit integers can. */
static void
turn_agrees_with_integers (void)
{
  uint64_t state = 17;
  int wrong_in_doubles = 0;
  for (int i = 0; i < 200000; i++)
  {
    gint64 ax = (gint64)(next_random (&state) * 0x1p50), ay = (gint64)(next_random (&state) * 0x1p50);
    gint64 dx = (gint64)(next_random (&state) * 0x1p48), dy = (gint64)(next_random (&state) * 0x1p48);
    gint64 bx = ax + dx, by = ay + dy;
    gint64 px = ax + 3 * dx + (gint64)(next_random (&state) * 3.0) - 1;
    gint64 py = ay + 3 * dy + (gint64)(next_random (&state) * 3.0) - 1;
    __extension__ __int128 det = (__int128)(ax - px) * (by - py) - (__int128)(ay - py) * (bx - px);
    int want = (det > 0) - (det < 0);
    GeomPoint a = { (double)ax, (double)ay }, b = { (double)bx, (double)by }, p = { (double)px, (double)py };
    g_assert_cmpint (geom_turn (a, b, p), ==, want);
    g_assert_cmpint (geom_turn (b, a, p), ==, -want);
    g_assert_cmpint (geom_turn (b, p, a), ==, want);
    double plain = (a.x - p.x) * (b.y - p.y) - (a.y - p.y) * (b.x - p.x);
    wrong_in_doubles += (plain > 0) - (plain < 0) != want;
  }
  /* Otherwise the rows would not test what they are for. */
  g_assert_cmpint (wrong_in_doubles, >, 1000);
}

static void
boxes (void)
{
  GeomBox none = geom_box_empty (), unit = { 0, 0, 1, 1 };
  g_assert_true (geom_box_is_empty (none));
  g_assert_true (geom_box_is_empty (geom_box_grown (none, 5.0)));
  g_assert_false (geom_box_overlaps (none, unit));
  g_assert_true (geom_box_overlaps (unit, (GeomBox) { 1, 1, 2, 2 }));
  g_assert_false (geom_box_overlaps (unit, (GeomBox) { 1.0 + DBL_EPSILON, 0, 2, 2 }));
  g_assert_true (geom_box_contains (unit, geom_point (1, 0)));
  g_assert_cmpfloat (geom_box_distance (unit, geom_point (0.5, 0.5)), ==, 0.0);
  g_assert_cmpfloat_with_epsilon (geom_box_distance (unit, geom_point (4, 5)), 5.0, 1e-15);
  GeomBox both = geom_box_union (none, geom_box_with_point (none, geom_point (-3, 2)));
  g_assert_cmpfloat (both.x0, ==, -3.0);
  g_assert_cmpfloat (both.y1, ==, 2.0);
}

static void
maps_undo_themselves (void)
{
  uint64_t state = 3;
  for (int i = 0; i < 1000; i++)
  {
    GeomPoint a = random_point (&state), b = random_point (&state), p = random_point (&state);
    GeomAffine map = geom_affine_after (geom_affine_turn (a, random_between (&state, -4, 4)),
                                        geom_affine_scale (b, random_between (&state, 0.5, 2), -1.5));
    GeomAffine back;
    g_assert_true (geom_affine_inverse (map, &back));
    GeomPoint again = geom_affine_apply (back, geom_affine_apply (map, p));
    g_assert_cmpfloat (geom_distance (again, p), <, 1e-10);
    /* A reflection is its own inverse, keeps its axis, and turns the plane over. */
    GeomAffine mirror = geom_affine_mirror (a, b);
    g_assert_cmpfloat (geom_distance (geom_affine_apply (mirror, geom_affine_apply (mirror, p)), p), <,
                       1e-10);
    g_assert_cmpfloat (geom_distance (geom_affine_apply (mirror, b), b), <, 1e-10);
    g_assert_cmpfloat_with_epsilon (geom_affine_determinant (mirror), -1.0, 1e-14);
  }
}

static void
maps_by_hand (void)
{
  /* A quarter turn about (1, 1) takes (2, 1) to (1, 2); the mirror in x = y swaps coordinates. */
  GeomPoint p = geom_affine_apply (geom_affine_turn (geom_point (1, 1), M_PI / 2), geom_point (2, 1));
  g_assert_cmpfloat_with_epsilon (p.x, 1.0, 1e-15);
  g_assert_cmpfloat_with_epsilon (p.y, 2.0, 1e-15);
  p = geom_affine_apply (geom_affine_mirror (geom_point (0, 0), geom_point (5, 5)), geom_point (3, -7));
  g_assert_cmpfloat_with_epsilon (p.x, -7.0, 1e-14);
  g_assert_cmpfloat_with_epsilon (p.y, 3.0, 1e-14);
  /* First inner, then outer: scaled by 2, then moved by 10. */
  GeomAffine both = geom_affine_after (geom_affine_move (10, 0), geom_affine_scale (geom_point (0, 0), 2, 2));
  g_assert_cmpfloat (geom_affine_apply (both, geom_point (3, 0)).x, ==, 16.0);
  GeomAffine kept = geom_affine_identity (), flat = { 1, 2, 2, 4, 0, 0 };
  g_assert_false (geom_affine_inverse (flat, &kept));
  g_assert_cmpfloat (kept.xx, ==, 1.0);
  g_assert_cmpfloat (geom_affine_mirror (geom_point (2, 2), geom_point (2, 2)).yy, ==, 1.0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/geom/point/unit-of-any-size", unit_of_any_size);
  g_test_add_func ("/geom/point/same-point-ignores-sign-of-zero", same_point_ignores_sign_of_zero);
  g_test_add_func ("/geom/point/turn-rows", turn_rows);
  g_test_add_func ("/geom/point/turn-agrees-with-integers", turn_agrees_with_integers);
  g_test_add_func ("/geom/point/boxes", boxes);
  g_test_add_func ("/geom/point/maps-undo-themselves", maps_undo_themselves);
  g_test_add_func ("/geom/point/maps-by-hand", maps_by_hand);
  return g_test_run ();
}
