/* A sheet on a table is found by itself: the camera's formulas say where its corners are. */
#include "trace/photograph.h"
#include "trace/sheet-find.h"

#include <math.h>

static Camera
small_camera (void)
{
  Camera camera = photograph_camera ();
  camera.width = 1600;
  camera.height = 1200;
  camera.blur_px *= 0.4;
  return camera;
}

/* Of a shot from any side; a piece lies on the sheet, in the last row over its rim. */
static void
test_found (void)
{
  static const struct
  {
    double tilt, towards, roll, fill, lens, piece_mm, x, y;
    Colour table;
  } rows[] = { { 0.0, 0.0, 0.0, 0.85, 0.0, 600.0, 0.0, 0.0, { 120.0, 84.0, 56.0 } },
               { 15.0, 250.0, 2.0, 0.85, 0.0, 800.0, 0.0, 0.0, { 120.0, 84.0, 56.0 } },
               { 32.0, 30.0, -25.0, 0.6, 0.0, 600.0, 0.0, 0.0, { 120.0, 84.0, 56.0 } },
               { 10.0, 100.0, 88.0, 0.6, -0.03, 600.0, 0.0, 0.0, { 60.0, 62.0, 66.0 } },
               { 10.0, 100.0, 45.0, 0.5, 0.03, 300.0, 0.0, 0.0, { 190.0, 170.0, 150.0 } },
               { 15.0, 250.0, 2.0, 0.8, 0.0, 400.0, 0.0, 130.0, { 120.0, 84.0, 56.0 } } };
  for (gsize r = 0; r < G_N_ELEMENTS (rows); r++)
  {
    Camera camera = small_camera ();
    camera.tilt_deg = rows[r].tilt;
    camera.towards_deg = rows[r].towards;
    camera.roll_deg = rows[r].roll;
    camera.fill = rows[r].fill;
    camera.lens_k = rows[r].lens;
    camera.table = rows[r].table;
    GeomPath piece;
    GeomPoint sharp[8], seen[4], found[4] = { { 0.0, 0.0 } };
    photograph_shape (SHAPE_FRONT, rows[r].piece_mm, camera.sheet_width_mm, camera.sheet_height_mm, 90.0,
                      &piece, sharp);
    geom_path_map (&piece, geom_affine_move (rows[r].x, rows[r].y));
    const Thing thing = { &piece, { 112.0, 70.0, 42.0 }, 0.1 };
    g_autoptr (TracePhoto) photo = photograph_take (&camera, &thing, 1);
    geom_path_clear (&piece);
    g_assert_true (trace_sheet_find (photo, found));
    photograph_corners (&camera, seen);
    double worst = 0.0;
    for (int i = 0; i < 4; i++)
    {
      double near = INFINITY;
      for (int k = 0; k < 4; k++)
        near = MIN (near, geom_distance (found[k], seen[i]));
      worst = MAX (worst, near);
      /* Clockwise as seen. */
      const GeomPoint a = found[i], b = found[(i + 1) % 4], c = found[(i + 2) % 4];
      g_assert_cmpfloat ((b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x), >, 0.0);
      g_assert_cmpfloat (found[0].x + found[0].y, <=, found[i].x + found[i].y);
    }
    g_test_message ("row %d: %.2f px", (int)r, worst);
    /* Three pixels are a millimetre here; a corner set by hand misses by more. */
    g_assert_cmpfloat (worst, <=, 0.6);
  }
}

/* Nothing is claimed of a table without a sheet, a sheet that is not whole, a round thing, bare paper. */
static void
test_not_claimed (void)
{
  GeomPoint found[4] = { { -7.0, -7.0 } };
  Camera camera = small_camera ();
  camera.paper = camera.table;
  g_autoptr (TracePhoto) bare = photograph_take (&camera, NULL, 0);
  g_assert_false (trace_sheet_find (bare, found));

  camera = small_camera ();
  camera.fill = 1.3;
  g_autoptr (TracePhoto) over = photograph_take (&camera, NULL, 0);
  g_assert_false (trace_sheet_find (over, found));

  camera = small_camera ();
  camera.paper = camera.table;
  GeomPath disc;
  GeomPoint sharp[8];
  photograph_shape (SHAPE_ELLIPSE, 800.0, camera.sheet_width_mm, camera.sheet_height_mm, 0.0, &disc, sharp);
  const Thing thing = { &disc, { 235.0, 233.0, 228.0 }, 0.0 };
  g_autoptr (TracePhoto) round = photograph_take (&camera, &thing, 1);
  geom_path_clear (&disc);
  g_assert_false (trace_sheet_find (round, found));

  g_autoptr (TracePhoto) black = trace_photo_new (400, 300);
  g_assert_false (trace_sheet_find (black, found));
  g_autoptr (TracePhoto) tiny = trace_photo_new (3, 1);
  g_assert_false (trace_sheet_find (tiny, found));
  g_assert_cmpfloat (found[0].x, ==, -7.0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/trace/sheet/found", test_found);
  g_test_add_func ("/trace/sheet/not-claimed", test_not_claimed);
  return g_test_run ();
}
