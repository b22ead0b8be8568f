/* The map from sheet to picture: against a camera made of formulas, and against corners that make no sense.
 */
#include "trace/photograph.h"
#include "trace/view.h"

#include <string.h>

static void
test_four_corners (void)
{
  for (int i = 0; i < 24; i++)
  {
    Camera camera = photograph_camera ();
    camera.tilt_deg = 1.8 * i;
    camera.towards_deg = 51.0 * i;
    camera.roll_deg = 7.0 * i - 60.0;
    camera.fill = 0.5;
    GeomPoint corner[4];
    photograph_corners (&camera, corner);
    TraceView view;
    GError *error = NULL;
    g_assert_true (
      trace_view_from_corners (corner, 420.0, 297.0, camera.width, camera.height, &view, &error));
    g_assert_no_error (error);
    for (int k = 0; k < 100; k++)
    {
      const GeomPoint p = { 42.0 * (k % 10) + 20.0, 29.0 * (k / 10) + 10.0 };
      g_assert_cmpfloat (geom_distance (trace_view_to_picture (&view, p), photograph_see (&camera, p)), <=,
                         1e-6);
    }
  }
}

/* Marks on a grid through a lens: plane and lens come back; the residual is as small as the pairs are exact.
 */
static void
test_lens (void)
{
  for (int i = -2; i <= 2; i++)
  {
    Camera camera = photograph_camera ();
    camera.lens_k = 0.03 * i;
    camera.fill = 0.7;
    camera.tilt_deg = 18.0;
    GeomPoint plane[30], picture[30], corner[4];
    for (int k = 0; k < 30; k++)
    {
      plane[k] = geom_point (84.0 * (k % 6), 74.25 * (k / 6));
      picture[k] = photograph_see (&camera, plane[k]);
    }
    photograph_corners (&camera, corner);
    TraceView view;
    GError *error = NULL;
    g_assert_true (
      trace_view_from_corners (corner, 420.0, 297.0, camera.width, camera.height, &view, &error));
    g_assert_no_error (error);
    g_assert_cmpfloat (trace_view_refine (&view, plane, picture, 30, true), <=, 1e-4);
    g_assert_cmpfloat (fabs (view.k - camera.lens_k), <=, 1e-6);
  }
}

typedef struct Wrong
{
  const char *what;
  GeomPoint corner[4];
  double width_mm, height_mm;
} Wrong;

static void
test_refused (void)
{
  const double far = 1e300;
  const Wrong rows[] = {
    { "not a number", { { 100, 100 }, { NAN, 100 }, { 900, 700 }, { 100, 700 } }, 420, 297 },
    { "endless", { { 100, 100 }, { INFINITY, 100 }, { 900, 700 }, { 100, 700 } }, 420, 297 },
    { "outside", { { 100, 100 }, { far, 100 }, { 900, 700 }, { 100, 700 } }, 420, 297 },
    { "a little outside", { { -20, 100 }, { 900, 100 }, { 900, 700 }, { 100, 700 } }, 420, 297 },
    { "one place", { { 100, 100 }, { 100, 100 }, { 100, 100 }, { 100, 100 } }, 420, 297 },
    { "in line", { { 100, 100 }, { 500, 100 }, { 900, 100 }, { 100, 700 } }, 420, 297 },
    { "all in line", { { 100, 100 }, { 300, 300 }, { 500, 500 }, { 700, 700 } }, 420, 297 },
    { "folded in", { { 100, 100 }, { 900, 100 }, { 400, 300 }, { 100, 700 } }, 420, 297 },
    { "crossed over", { { 100, 100 }, { 900, 100 }, { 100, 700 }, { 900, 700 } }, 420, 297 },
    { "mirrored", { { 900, 100 }, { 100, 100 }, { 100, 700 }, { 900, 700 } }, 420, 297 },
    { "no size", { { 100, 100 }, { 900, 100 }, { 900, 700 }, { 100, 700 } }, 0, 297 },
    { "negative size", { { 100, 100 }, { 900, 100 }, { 900, 700 }, { 100, 700 } }, -420, 297 },
    { "size not a number", { { 100, 100 }, { 900, 100 }, { 900, 700 }, { 100, 700 } }, NAN, 297 },
    { "huge", { { 100, 100 }, { 900, 100 }, { 900, 700 }, { 100, 700 } }, 1e9, 297 },
    { "exchanged", { { 100, 100 }, { 900, 100 }, { 900, 670 }, { 100, 670 } }, 297, 420 },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    TraceView view;
    GError *error = NULL;
    g_test_message ("%s", rows[i].what);
    g_assert_false (trace_view_from_corners (rows[i].corner, rows[i].width_mm, rows[i].height_mm, 1000, 800,
                                             &view, &error));
    g_assert_error (error, TRACE_ERROR, TRACE_ERROR_CORNERS);
    g_assert_null (strchr (error->message, '\n'));
    g_clear_error (&error);
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/trace/view/four-corners", test_four_corners);
  g_test_add_func ("/trace/view/lens", test_lens);
  g_test_add_func ("/trace/view/refused", test_refused);
  return g_test_run ();
}
