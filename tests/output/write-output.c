/* write-output DOCUMENT KIND OUT [PAPER [OVERLAP]]: one output of a document, for the scripts that read it
 * back. KIND: sheets, cut (OUT's ending decides), check-json, check-text, measure-json, measure-text, ink (a
 * PNG of every panel). */
#include "model/file.h"
#include "output/cut-file.h"
#include "output/draw.h"
#include "output/report.h"
#include "output/sheet.h"

#include <locale.h>
#include <stdlib.h>
#include <string.h>

static int
refuse (GError *error)
{
  g_printerr ("%s\n", error != NULL ? error->message : "wrong usage");
  return 2;
}

static int
write_sheets (EngineReview *review, char **argv, int argc)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (EngineSheetPlan) plan = engine_sheet_plan_new (
    review, argc > 4 ? argv[4] : NULL, argc > 5 ? g_ascii_strtod (argv[5], NULL) : NAN, &error);
  if (plan == NULL || !output_sheet_write_pdf (review, plan, argv[3], &error))
    return refuse (error);
  for (guint i = 0; i < plan->tiles->len; i++)
  {
    const EngineTile *tile = &g_array_index (plan->tiles, EngineTile, i);
    g_autofree char *name = engine_tile_name (tile);
    char x[G_ASCII_DTOSTR_BUF_SIZE], y[G_ASCII_DTOSTR_BUF_SIZE];
    g_print ("%s %d %d %s %s %u\n", name, tile->row, tile->column, g_ascii_dtostr (x, sizeof x, tile->x_mm),
             g_ascii_dtostr (y, sizeof y, tile->y_mm),
             output_sheet_page_count (plan) - plan->tiles->len + i + 1);
  }
  return 0;
}

static int
draw_ink (EngineReview *review, const char *path)
{
  const GPtrArray *pieces = engine_review_pieces (review);
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_RGB24, 1600, 1000);
  cairo_t *cr = cairo_create (surface);
  for (int slate = 0; slate < 2; slate++)
  {
    OutputInk ink;
    output_ink_screen (&ink, 40.0, slate == 1, NULL);
    cairo_rectangle (cr, 0.0, 500.0 * slate, 1600.0, 500.0);
    output_set_tone (cr, &ink, OUTPUT_TONE_CANVAS);
    cairo_fill (cr);
    double x = 20.0;
    for (guint i = 0; i < pieces->len; i++)
    {
      const EnginePiece *piece = g_ptr_array_index (pieces, i);
      const double scale = 1.0;
      const OutputView view = { { scale, 0.0, 0.0, -scale, x - piece->box.x0 * scale,
                                  500.0 * slate + 20.0 + piece->box.y1 * scale },
                                scale };
      output_draw_piece (cr, &view, &ink, review, piece, false, OUTPUT_DRAW_ALL);
      if (i % 2 == 0)
      {
        output_draw_lit (cr, &view, &ink, &piece->seam, i % 4 == 0);
        output_draw_ghost (cr, &view, &ink, review, piece->panel_id);
      }
      x += (piece->box.x1 - piece->box.x0) * scale + 30.0;
    }
  }
  const cairo_status_t status = cairo_surface_write_to_png (surface, path);
  cairo_destroy (cr);
  cairo_surface_destroy (surface);
  return status == CAIRO_STATUS_SUCCESS ? 0 : 2;
}

static int
write_report (char *taken, const char *path)
{
  g_autofree char *text = taken;
  g_autoptr (GError) error = NULL;
  return g_file_set_contents (path, text, -1, &error) ? 0 : refuse (error);
}

int
main (int argc, char **argv)
{
  setlocale (LC_ALL, "");
  if (argc < 4)
    return refuse (NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (GFile) file = g_file_new_for_path (argv[1]);
  g_autoptr (ModelDocument) doc = model_document_load (file, NULL, &error);
  if (doc == NULL)
    return refuse (error);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const char *kind = argv[2];
  if (g_str_equal (kind, "sheets"))
    return write_sheets (review, argv, argc);
  if (g_str_equal (kind, "cut"))
    return output_cut_write (review, argc > 4 ? (const char *const *)argv + 4 : NULL, argv[3], &error)
             ? 0
             : refuse (error);
  if (g_str_equal (kind, "ink"))
    return draw_ink (review, argv[3]);
  if (g_str_equal (kind, "check-json"))
    return write_report (output_report_check_json (review, "document"), argv[3]);
  if (g_str_equal (kind, "check-text"))
    return write_report (output_report_check_text (review, "document"), argv[3]);
  if (g_str_equal (kind, "measure-json"))
    return write_report (output_report_measure_json (review), argv[3]);
  if (g_str_equal (kind, "measure-text"))
    return write_report (output_report_measure_text (review), argv[3]);
  return refuse (NULL);
}
