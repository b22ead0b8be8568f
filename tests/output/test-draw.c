/* Drawing: widths by the zoom's step, the roomy place, text that costs no layout, frames in time, odd input.
 */
#include "output/draw.h"
#include "support/big-document.h"

#include <glib.h>
#include <string.h>

/* Rows of the table "Lines": screen px below 12 %, to 60 %, to 200 %, above; print mm. */
static void
test_widths (void)
{
  static const struct
  {
    double percent, cut, seam, fold, lit, halo;
  } rows[] = { { 8, 1.2, 0.0, 1.2, 2.4, 7 },
               { 30, 1.7, 1.1, 1.4, 3.2, 10 },
               { 100, 2.0, 1.3, 1.6, 3.2, 10 },
               { 300, 2.4, 1.5, 1.8, 3.6, 12 } };
  OutputInk ink;
  for (size_t i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    output_ink_screen (&ink, rows[i].percent, false, NULL);
    g_assert_cmpfloat (ink.cut.width, ==, rows[i].cut);
    g_assert_cmpfloat (ink.seam.width, ==, rows[i].seam);
    g_assert_cmpfloat (ink.fold.width, ==, rows[i].fold);
    g_assert_cmpfloat (ink.lit.width, ==, rows[i].lit);
    g_assert_cmpfloat (ink.halo_width, ==, rows[i].halo);
    g_assert_cmpint (ink.points_allowed, ==, rows[i].percent >= 12);
  }
  output_ink_print (&ink);
  g_assert_cmpfloat (ink.cut.width, ==, 0.60);
  g_assert_cmpint (ink.cut.dash_count, ==, 0);
  g_assert_cmpfloat (ink.seam.width, ==, 0.25);
  g_assert_cmpint (ink.seam.dash_count, ==, 2);
  g_assert_cmpfloat (ink.letter_radius, ==, 4.8);
}

/* Relative luminance and contrast: WCAG 2.1, "relative luminance" and "contrast ratio". */
static double
channel (double c)
{
  return c <= 0.04045 ? c / 12.92 : pow ((c + 0.055) / 1.055, 2.4);
}

static double
contrast (OutputColour a, OutputColour b)
{
  const double la = 0.2126 * channel (a.red) + 0.7152 * channel (a.green) + 0.0722 * channel (a.blue);
  const double lb = 0.2126 * channel (b.red) + 0.7152 * channel (b.green) + 0.0722 * channel (b.blue);
  return (MAX (la, lb) + 0.05) / (MIN (la, lb) + 0.05);
}

/* WCAG 2.1: 1.4.3 asks 4.5 of text, 1.4.11 asks 3 of marks that mean something. */
static void
test_contrast (void)
{
  static const OutputTone text[]
    = { OUTPUT_TONE_INK,    OUTPUT_TONE_INK_2, OUTPUT_TONE_BLUE,      OUTPUT_TONE_OCHRE,
        OUTPUT_TONE_MADDER, OUTPUT_TONE_PLUM,  OUTPUT_TONE_VERDIGRIS, OUTPUT_TONE_MOSS };
  static const OutputTone marks[] = { OUTPUT_TONE_INK_3, OUTPUT_TONE_TRACE };
  for (int slate = 0; slate < 2; slate++)
  {
    const OutputColour *tone = output_ink_tones (slate == 1);
    for (size_t i = 0; i < G_N_ELEMENTS (text); i++)
      g_assert_cmpfloat (contrast (tone[text[i]], tone[OUTPUT_TONE_CANVAS]), >=, 4.5);
    for (size_t i = 0; i < G_N_ELEMENTS (marks); i++)
      g_assert_cmpfloat (contrast (tone[marks[i]], tone[OUTPUT_TONE_CANVAS]), >=, 3.0);
  }
}

static void
line_to (GeomPath *path, double x0, double y0, double x1, double y1)
{
  geom_path_append_line (path, geom_point (x0, y0), geom_point (x1, y1));
}

/* The largest circle in a rectangle has half its short side; in an L of bars 60 wide it touches both outer
 * sides and the inner corner: (60 - r) sqrt 2 = r, r = 60 sqrt 2 / (1 + sqrt 2) = 35.147. */
static void
test_label_place (void)
{
  GeomPath path;
  geom_path_init (&path);
  line_to (&path, 0, 0, 200, 0);
  line_to (&path, 200, 0, 200, 60);
  line_to (&path, 200, 60, 0, 60);
  line_to (&path, 0, 60, 0, 0);
  path.closed = true;
  double radius = 0.0;
  GeomPoint at = output_label_place (&path, &radius);
  g_assert_cmpfloat (fabs (radius - 30.0), <, 2.0);
  g_assert_cmpfloat (fabs (at.y - 30.0), <, 2.0);
  geom_path_reset (&path);
  line_to (&path, 0, 0, 200, 0);
  line_to (&path, 200, 0, 200, 60);
  line_to (&path, 200, 60, 60, 60);
  line_to (&path, 60, 60, 60, 200);
  line_to (&path, 60, 200, 0, 200);
  line_to (&path, 0, 200, 0, 0);
  path.closed = true;
  at = output_label_place (&path, &radius);
  g_assert_cmpfloat (radius, >, 35.147 - 2.1);
  g_assert_cmpfloat (radius, <, 35.147 + 0.01);
  g_assert_true (geom_path_contains (&path, at));
  geom_path_reset (&path);
  path.closed = true;
  output_label_place (&path, &radius);
  g_assert_cmpfloat (radius, ==, 0.0);
  line_to (&path, 5, 5, 5, 5);
  output_label_place (&path, &radius);
  g_assert_cmpfloat (radius, ==, 0.0);
  geom_path_clear (&path);
}

static guint
dark_pixels (cairo_surface_t *surface)
{
  cairo_surface_flush (surface);
  const unsigned char *data = cairo_image_surface_get_data (surface);
  const int stride = cairo_image_surface_get_stride (surface), w = cairo_image_surface_get_width (surface),
            h = cairo_image_surface_get_height (surface);
  guint dark = 0;
  for (int y = 0; y < h; y++)
    for (int x = 0; x < w; x++)
      dark += data[y * stride + 4 * x + 1] < 100 ? 1 : 0;
  return dark;
}

/* All panels of the document of the promised figures; the bench has its time. */
static void
test_frame (void)
{
  g_autoptr (ModelDocument) doc = test_big_document ();
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const GPtrArray *pieces = engine_review_pieces (review);
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_RGB24, 1600, 1000);
  cairo_t *cr = cairo_create (surface);
  GeomBox all = geom_box_empty ();
  for (guint i = 0; i < pieces->len; i++)
    all = geom_box_union (all, ((const EnginePiece *)g_ptr_array_index (pieces, i))->box);
  const double scale = MIN (1600.0 / (all.x1 - all.x0), 1000.0 / (all.y1 - all.y0));
  const OutputView view = { { scale, 0.0, 0.0, -scale, -all.x0 * scale, all.y1 * scale }, scale };
  OutputInk ink;
  output_ink_screen (&ink, scale * 25.4 / 96.0 * 100.0, false, NULL);
  cairo_set_source_rgb (cr, 1, 1, 1);
  cairo_paint (cr);
  for (guint i = 0; i < pieces->len; i++)
    output_draw_piece (cr, &view, &ink, review, g_ptr_array_index (pieces, i), false, OUTPUT_DRAW_ALL);
  g_assert_cmpuint (dark_pixels (surface), >, 2000);
  g_assert_cmpint (cairo_status (cr), ==, CAIRO_STATUS_SUCCESS);
  cairo_destroy (cr);
  cairo_surface_destroy (surface);
}

/* A cr comes back as it went in. */
static void
test_leaves_cr (void)
{
  g_autoptr (ModelDocument) doc = test_big_document_of (3, 3);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_RGB24, 300, 300);
  cairo_t *cr = cairo_create (surface);
  cairo_set_line_width (cr, 7.25);
  cairo_translate (cr, 3.0, 4.0);
  const OutputView view = { { 1.0, 0.0, 0.0, -1.0, 100.0, 100.0 }, 1.0 };
  OutputInk ink;
  output_ink_screen (&ink, 30.0, true, NULL);
  const GPtrArray *pieces = engine_review_pieces (review);
  for (guint i = 0; i < pieces->len; i++)
  {
    const EnginePiece *piece = g_ptr_array_index (pieces, i);
    output_draw_piece (cr, &view, &ink, review, piece, true, OUTPUT_DRAW_ALL);
    output_draw_ghost (cr, &view, &ink, review, piece->panel_id);
    output_draw_lit (cr, &view, &ink, &piece->seam, true);
    output_draw_preview (cr, &view, &ink, &piece->seam);
    output_draw_disagreeing (cr, &view, &ink, &piece->seam);
  }
  output_draw_ghost (cr, &view, &ink, review, 999999);
  output_draw_text (cr, &ink, 10, 10, 0.3, 12, true, OUTPUT_TONE_INK, OUTPUT_TONE_FACE, "\xff not UTF-8");
  cairo_matrix_t m;
  cairo_get_matrix (cr, &m);
  g_assert_cmpfloat (m.x0, ==, 3.0);
  g_assert_cmpfloat (m.xx, ==, 1.0);
  g_assert_cmpfloat (cairo_get_line_width (cr), ==, 7.25);
  g_assert_cmpint (cairo_get_dash_count (cr), ==, 0);
  g_assert_cmpint (cairo_has_current_point (cr), ==, 0);
  g_assert_cmpint (cairo_status (cr), ==, CAIRO_STATUS_SUCCESS);
  cairo_destroy (cr);
  cairo_surface_destroy (surface);
}

static void
test_text_size (void)
{
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_A8, 10, 10);
  cairo_t *cr = cairo_create (surface);
  double narrow, wide, one, height;
  output_measure_text (cr, 12.0, false, "111", &narrow, &height);
  output_measure_text (cr, 12.0, false, "888", &wide, NULL);
  output_measure_text (cr, 24.0, false, "888", &one, NULL);
  /* Tabular figures; twice the size is twice the width. */
  g_assert_cmpfloat (fabs (narrow - wide), <, 0.05);
  g_assert_cmpfloat (fabs (one - 2.0 * wide), <, 0.05 * one);
  g_assert_cmpfloat (height, >, 12.0);
  cairo_destroy (cr);
  cairo_surface_destroy (surface);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/output/draw/widths", test_widths);
  g_test_add_func ("/output/draw/contrast", test_contrast);
  g_test_add_func ("/output/draw/label-place", test_label_place);
  g_test_add_func ("/output/draw/text-size", test_text_size);
  g_test_add_func ("/output/draw/leaves-cr", test_leaves_cr);
  g_test_add_func ("/output/draw/frame", test_frame);
  return g_test_run ();
}
