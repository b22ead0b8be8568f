/* Corners set by hand fall into the real ones: the camera's formulas say where those are. */
#include "trace/catch.h"
#include "trace/photograph.h"

#include <math.h>

/* A click on a whole photo shown 1000 px wide misses by a px or two of the screen: four to ten of the photo.
 */
static void
test_sheet (void)
{
  static const struct
  {
    double tilt, roll, off_px, within_px, fill;
  } rows[]
    = { { 3.0, 2.0, 6.0, 14.0, 0.7 }, { 20.0, -11.0, 10.0, 20.0, 0.7 }, { 30.0, 47.0, 10.0, 40.0, 0.5 } };
  for (gsize r = 0; r < G_N_ELEMENTS (rows); r++)
  {
    Camera camera = photograph_camera ();
    camera.width = 2400;
    camera.height = 1800;
    camera.blur_px *= 0.6;
    camera.fill = rows[r].fill;
    camera.tilt_deg = rows[r].tilt;
    camera.roll_deg = rows[r].roll;
    g_autoptr (TracePhoto) photo = photograph_take (&camera, NULL, 0);
    GeomPoint corner[4];
    photograph_corners (&camera, corner);
    for (int i = 0; i < 16; i++)
    {
      const double turn = i * 1.7;
      const GeomPoint by = { rows[r].off_px * cos (turn), rows[r].off_px * sin (turn) };
      GeomPoint found = { 0.0, 0.0 };
      g_assert_true (trace_corner_near (photo, geom_add (corner[i % 4], by), rows[r].within_px, &found));
      /* Three or four pixels of such a photo are a millimetre of A3; a hand misses by ten. */
      g_assert_cmpfloat (geom_distance (found, corner[i % 4]), <=, 0.5);
    }
  }
}

/* On bare paper, on one straight edge and at the rim nothing is caught. */
static void
test_nothing (void)
{
  Camera camera = photograph_camera ();
  camera.width = 1600;
  camera.height = 1200;
  camera.fill = 0.7;
  g_autoptr (TracePhoto) photo = photograph_take (&camera, NULL, 0);
  GeomPoint corner[4], found = { -7.0, -7.0 };
  photograph_corners (&camera, corner);
  g_assert_false (trace_corner_near (photo, geom_scale (geom_add (corner[0], corner[2]), 0.5), 12.0, &found));
  g_assert_false (trace_corner_near (photo, geom_scale (geom_add (corner[0], corner[1]), 0.5), 12.0, &found));
  g_assert_false (trace_corner_near (photo, geom_point (2.0, 2.0), 12.0, &found));
  g_assert_false (trace_corner_near (photo, geom_point (NAN, 2.0), 12.0, &found));
  g_assert_false (trace_corner_near (photo, corner[0], 0.0, &found));
  g_assert_cmpfloat (found.x, ==, -7.0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/trace/catch/sheet", test_sheet);
  g_test_add_func ("/trace/catch/nothing", test_nothing);
  return g_test_run ();
}
