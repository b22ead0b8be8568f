/* Photos of known pieces are traced; what comes out is held against the truth they were made from.
 *
 * The limits are the contract's (lengths within 0.5 mm on A3, outline within 0.25 mm on the average, 1.5 mm
 * in a perimeter of a metre) or tighter where the row says so. */
#include "trace/judge.h"
#include "trace/photograph.h"
#include "trace/piece.h"

#include <string.h>
#include <time.h>

static TraceResult *
trace_sheet (const Camera *camera, const TracePhoto *photo)
{
  GError *error = NULL;
  GeomPoint corner[4];
  TraceView view;
  photograph_corners (camera, corner);
  trace_view_from_corners (corner, camera->sheet_width_mm, camera->sheet_height_mm, camera->width,
                           camera->height, &view, &error);
  g_assert_no_error (error);
  TraceResult *result = trace_pieces_find (
    photo, &view, (GeomBox) { 0.0, 0.0, camera->sheet_width_mm, camera->sheet_height_mm }, 0.0, &error);
  g_assert_no_error (error);
  g_assert_nonnull (result);
  return result;
}

#define RIM_MM 2.0

/* With the corners clicked two millimetres outside the sheet: some table shows beside it. */
static TraceResult *
trace_rim (const Camera *camera, const TracePhoto *photo)
{
  const double out = RIM_MM;
  const GeomPoint clicked[4]
    = { { -out, 297.0 + out }, { 420.0 + out, 297.0 + out }, { 420.0 + out, -out }, { -out, -out } };
  GeomPoint sheet[4];
  for (int i = 0; i < 4; i++)
    sheet[i] = photograph_see (camera, clicked[i]);
  TraceView view;
  GError *error = NULL;
  trace_view_from_corners (sheet, 424.0, 301.0, camera->width, camera->height, &view, &error);
  g_assert_no_error (error);
  TraceResult *result = trace_pieces_find (photo, &view, (GeomBox) { 0.0, 0.0, 424.0, 301.0 }, 0.0, &error);
  g_assert_no_error (error);
  g_assert_nonnull (result);
  return result;
}

static Judged
shoot (const Camera *camera, Shape shape, double perimeter_mm, double turn_deg, Colour colour, double grain)
{
  GeomPath truth;
  GeomPoint corner[8];
  const int corners = photograph_shape (shape, perimeter_mm, camera->sheet_width_mm, camera->sheet_height_mm,
                                        turn_deg, &truth, corner);
  const Thing thing = { &truth, colour, grain };
  g_autoptr (TracePhoto) photo = photograph_take (camera, &thing, 1);
  if (g_getenv ("PHOTOGRAPH_KEEP") != NULL)
    photograph_write_ppm (photo, g_getenv ("PHOTOGRAPH_KEEP"));
  const gint64 began = (gint64)clock ();
  g_autoptr (TraceResult) result = trace_sheet (camera, photo);
  const double seconds = (double)((gint64)clock () - began) * 1e-6;
  const TracePiece *piece = g_ptr_array_index (result->pieces, 0);
  Judged j = judge (&piece->outline, &truth, corner, corners);
  j.pieces = result->pieces->len;
  g_test_message ("%s: %zu piece(s), %zu edges, %zu curves; mean %.3f, worst %.3f, corner %.3f, perimeter "
                  "%+.3f mm; blur %.2f mm; %.2f s",
                  photograph_shape_names[shape], j.pieces, j.edges, piece->outline.path.count, j.mean_mm,
                  j.worst_mm, j.corner_mm, j.perimeter_mm, piece->blur_mm, seconds);
  geom_path_clear (&truth);
  return j;
}

static const Colour brown = { 112.0, 70.0, 42.0 }, pale = { 216.0, 196.0, 164.0 },
                    foam = { 52.0, 52.0, 56.0 };

/* The leaf has two tips only; the bar asks for three edges at least, so one side is parted.
 *
 * The bar: a 12 megapixel photo of one brown piece of one metre round on a white A3 sheet. */
static void
test_bar (void)
{
  static const size_t edges[SHAPE_COUNT] = { 5, 4, 6, 4, 4, 3 };
  for (int shape = 0; shape < SHAPE_COUNT; shape++)
    for (int mix = 0; mix < 2; mix++)
    {
      Camera camera = photograph_camera ();
      camera.seed = (unsigned)(10 + shape);
      camera.mix_numbers = mix == 1;
      const Judged j
        = shoot (&camera, (Shape)shape, 1000.0 * (shape == SHAPE_GUSSET || shape == SHAPE_FRONT ? 0.8 : 0.85),
                 7.0 * shape, brown, 0.1);
      g_assert_cmpuint (j.pieces, ==, 1);
      g_assert_cmpuint (j.edges, ==, edges[shape]);
      g_assert_cmpfloat (j.mean_mm, <=, 0.12);
      g_assert_cmpfloat (fabs (j.perimeter_mm), <=, 0.8);
      g_assert_cmpfloat (j.corner_mm, <=, 0.4);
      g_assert_cmpfloat (j.worst_mm, <=, 0.5);
    }
}

/* Other leathers and lights: pale leather hardly differs from paper, foam is nearly black. */
static void
test_lights (void)
{
  static const Shape shapes[] = { SHAPE_BRACER, SHAPE_FRONT, SHAPE_GUSSET };
  for (int i = 0; i < 9; i++)
  {
    Camera camera = photograph_camera ();
    camera.seed = (unsigned)(100 + i);
    /* Half the pixels are the harder photo: the blur in pixels and the noise stay, the piece shrinks. */
    camera.width = 2800;
    camera.height = 2100;
    camera.fill = 0.68;
    camera.tilt_deg = 5.0 + 3.0 * i;
    camera.towards_deg = 77.0 * i;
    camera.roll_deg = 5.0 - 2.0 * i;
    camera.blur_px = 0.8 + 0.25 * i;
    camera.noise = 1.0 + 0.9 * i;
    camera.vignetting = 0.1 + 0.06 * i;
    camera.lamp = 0.4 - 0.1 * i;
    const Colour colours[3] = { pale, foam, brown };
    const Judged j = shoot (&camera, shapes[i / 3], 780.0, 13.0 * i, colours[i % 3], 0.06);
    g_assert_cmpuint (j.pieces, ==, 1);
    g_assert_cmpfloat (j.mean_mm, <=, 0.2);
    g_assert_cmpfloat (fabs (j.perimeter_mm), <=, 1.2);
    g_assert_cmpfloat (j.corner_mm, <=, 0.6);
  }
}

/* Two pieces, a shadow beside each, a coin, crumbs, a punched piece, and a strip of table that shows beside
 * the sheet because the corners were clicked two millimetres outside it. */
static void
test_kitchen_table (void)
{
  Camera camera = photograph_camera ();
  camera.seed = 77;
  camera.shadow = 0.25;
  GeomPath large, small, coin, crumb, hole;
  GeomPoint corner[8];
  photograph_shape (SHAPE_BRACER, 600.0, 420.0, 250.0, 0.0, &large, corner);
  photograph_shape (SHAPE_GUSSET, 220.0, 130.0, 500.0, 0.0, &small, corner);
  geom_path_init (&coin);
  geom_path_init (&crumb);
  geom_path_init (&hole);
  photograph_arc (&coin, geom_point (380.0, 270.0), 5.0, 0.0, 2.0 * G_PI);
  for (int i = 0; i < 12; i++)
    photograph_arc (&crumb, geom_point (30.0 + 30.0 * i, 18.0 + 3.0 * (i % 3)), 0.4 + 0.1 * i, 0.0,
                    2.0 * G_PI);
  for (int i = 0; i < 3; i++)
    photograph_arc (&hole, geom_point (190.0 + 15.0 * i, 125.0), 2.0, 0.0, 2.0 * G_PI);
  const Thing things[] = { { &large, brown, 0.1 },
                           { &small, pale, 0.05 },
                           { &coin, foam, 0.0 },
                           { &crumb, foam, 0.0 },
                           { &hole, camera.paper, 0.0 } };
  g_autoptr (TracePhoto) photo = photograph_take (&camera, things, 5);
  if (g_getenv ("PHOTOGRAPH_KEEP") != NULL)
    photograph_write_ppm (photo, g_getenv ("PHOTOGRAPH_KEEP"));
  g_autoptr (TraceResult) result = trace_rim (&camera, photo);
  g_assert_cmpuint (result->pieces->len, ==, 2);
  g_assert_cmpint (result->cut_off, ==, 0);
  const GeomAffine shift = geom_affine_move (RIM_MM, RIM_MM);
  geom_path_map (&large, shift);
  geom_path_map (&small, shift);
  const GeomPath *truth[2] = { &small, &large };
  int holes = 0;
  for (int i = 0; i < 2; i++)
  {
    const TracePiece *piece = g_ptr_array_index (result->pieces, i);
    const bool is_large = piece->area_mm2 > 6000.0;
    const Judged j = judge (&piece->outline, truth[is_large], NULL, 0);
    g_test_message ("mean %.3f, worst %.3f, perimeter %+.3f mm, %zu edges, %d holes", j.mean_mm, j.worst_mm,
                    j.perimeter_mm, j.edges, piece->holes);
    g_assert_cmpfloat (j.mean_mm, <=, 0.25);
    g_assert_cmpfloat (fabs (j.perimeter_mm), <=, 1.0);
    g_assert_cmpuint (j.edges, ==, is_large ? 4 : 5);
    holes += piece->holes;
  }
  g_assert_cmpint (holes, ==, 3);
  geom_path_clear (&large);
  geom_path_clear (&small);
  geom_path_clear (&coin);
  geom_path_clear (&crumb);
  geom_path_clear (&hole);
}

/* A lying piece that hangs over the sheet's edge would come out short: it is refused. */
static void
test_hangs_over (void)
{
  Camera camera = photograph_camera ();
  camera.width = 2000;
  camera.height = 1500;
  GeomPath truth;
  GeomPoint corner[8];
  photograph_shape (SHAPE_POUCH, 700.0, 660.0, 297.0, 0.0, &truth, corner);
  const Thing thing = { &truth, brown, 0.0 };
  g_autoptr (TracePhoto) photo = photograph_take (&camera, &thing, 1);
  GeomPoint sheet[4];
  photograph_corners (&camera, sheet);
  TraceView view;
  GError *error = NULL;
  trace_view_from_corners (sheet, 420.0, 297.0, camera.width, camera.height, &view, &error);
  g_assert_no_error (error);
  g_assert_null (trace_pieces_find (photo, &view, (GeomBox) { 0.0, 0.0, 420.0, 297.0 }, 0.0, &error));
  g_assert_error (error, TRACE_ERROR, TRACE_ERROR_PIECE);
  g_clear_error (&error);
  geom_path_clear (&truth);
}

static void
add_cubic (GeomPath *path, GeomPoint a, GeomPoint b, GeomPoint c, GeomPoint d)
{
  const GeomCubic cubic = { { a, b, c, d } };
  geom_path_append (path, &cubic);
}

/* A fin with a tip of 32 degrees, from its lower left corner on: such tips came out up to three millimetres
 * long.
 */
static void
make_fin (GeomPath *out, GeomPoint corner[3])
{
  const GeomPoint foot = { 60.0, 60.0 }, tip = { 300.0, 90.0 }, top = { 80.0, 170.0 };
  geom_path_init (out);
  add_cubic (out, foot, geom_point (120.0, 50.0), geom_point (210.0, 55.0), tip);
  add_cubic (out, tip, geom_point (220.0, 105.0), geom_point (140.0, 120.0), top);
  geom_path_append_line (out, top, foot);
  out->closed = true;
  corner[0] = foot;
  corner[1] = tip;
  corner[2] = top;
}

static void
test_tip_comes_out_too_long (void)
{
  for (int i = 0; i < 3; i++)
  {
    Camera camera = photograph_camera ();
    camera.width = 2400;
    camera.height = 1800;
    camera.seed = (unsigned)(300 + i);
    camera.blur_px = 0.8 + 0.4 * i;
    camera.noise = 8.0 - 2.0 * i;
    GeomPath truth;
    GeomPoint corner[3];
    make_fin (&truth, corner);
    const Thing thing = { &truth, i == 1 ? foam : brown, 0.1 };
    g_autoptr (TracePhoto) photo = photograph_take (&camera, &thing, 1);
    g_autoptr (TraceResult) result = trace_sheet (&camera, photo);
    g_assert_cmpuint (result->pieces->len, ==, 1);
    const TracePiece *piece = g_ptr_array_index (result->pieces, 0);
    const Judged j = judge (&piece->outline, &truth, corner, 3);
    g_test_message ("%zu edges, %zu curves; mean %.3f, worst %.3f, corner %.3f, perimeter %+.3f mm", j.edges,
                    piece->outline.path.count, j.mean_mm, j.worst_mm, j.corner_mm, j.perimeter_mm);
    g_assert_cmpuint (j.edges, ==, 3);
    g_assert_cmpfloat (j.mean_mm, <=, 0.12);
    g_assert_cmpfloat (j.corner_mm, <=, 0.6);
    g_assert_cmpfloat (fabs (j.perimeter_mm), <=, 0.8);
    geom_path_clear (&truth);
  }
}

static void
make_loop (GeomPath *out, const GeomPoint *corner, int count)
{
  geom_path_init (out);
  for (int i = 0; i < count; i++)
    geom_path_append_line (out, corner[i], corner[(i + 1) % count]);
  out->closed = true;
}

/* A pouch lies in the angle of a larger piece, so in its box, and was found twice; a pen line that runs from
 * the sheet over its rim, where some table shows, made the whole rim a piece. */
static void
test_found_twice (void)
{
  static const GeomPoint angle[]
    = { { 60, 40 }, { 340, 40 }, { 340, 90 }, { 120, 90 }, { 120, 250 }, { 60, 250 } },
    pouch[] = { { 180, 140 }, { 260, 140 }, { 260, 210 }, { 180, 210 } },
    pen[] = { { 330, 270 }, { 331, 270 }, { 345, 310 }, { 344, 310 } };
  Camera camera = photograph_camera ();
  camera.width = 2000;
  camera.height = 1500;
  camera.seed = 400;
  GeomPath large, small, line;
  make_loop (&large, angle, G_N_ELEMENTS (angle));
  make_loop (&small, pouch, G_N_ELEMENTS (pouch));
  make_loop (&line, pen, G_N_ELEMENTS (pen));
  const Thing things[]
    = { { &large, brown, 0.1 }, { &small, foam, 0.05 }, { &line, { 40.0, 50.0, 140.0 }, 0.0 } };
  g_autoptr (TracePhoto) photo = photograph_take (&camera, things, 3);
  g_autoptr (TraceResult) result = trace_rim (&camera, photo);
  g_assert_cmpuint (result->pieces->len, ==, 2);
  for (int i = 0; i < 2; i++)
  {
    const TracePiece *piece = g_ptr_array_index (result->pieces, i);
    const bool is_large = piece->area_mm2 > 10000.0;
    /* Sums of the sides above: 280 + 50 + 220 + 160 + 60 + 210 and 2 (80 + 70). */
    g_assert_cmpuint (piece->outline.edge_count, ==, is_large ? 6 : 4);
    g_assert_cmpfloat_with_epsilon (geom_path_length (&piece->outline.path, 1e-3), is_large ? 980.0 : 300.0,
                                    0.8);
  }
  geom_path_clear (&large);
  geom_path_clear (&small);
  geom_path_clear (&line);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/trace/piece/bar", test_bar);
  g_test_add_func ("/trace/piece/lights", test_lights);
  g_test_add_func ("/trace/piece/kitchen-table", test_kitchen_table);
  g_test_add_func ("/trace/piece/hangs-over", test_hangs_over);
  g_test_add_func ("/trace/piece/tip-comes-out-too-long", test_tip_comes_out_too_long);
  g_test_add_func ("/trace/piece/found-twice", test_found_twice);
  return g_test_run ();
}
