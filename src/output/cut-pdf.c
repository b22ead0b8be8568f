/* One page as large as the pieces need, drawn as on the sheets. */
#include "output/cut-parts.h"
#include "output/file-out.h"

#include "engine/sheet-plan.h"
#include "engine/words.h"

#include <cairo-pdf.h>
#include <glib/gi18n.h>

#define POINTS_IN_MM (72.0 / 25.4)

static void
draw_piece (cairo_t *cr, const OutputCutDrawing *drawing, const OutputInk *ink, const OutputCutPiece *p)
{
  const GeomAffine flip = { 1.0, 0.0, 0.0, -1.0, 0.0, drawing->height_mm };
  const OutputView view = { geom_affine_after (flip, p->to_drawing), 1.0 };
  guint flags = OUTPUT_DRAW_ALL & ~(guint)(OUTPUT_DRAW_FACE | OUTPUT_DRAW_LABEL | OUTPUT_DRAW_DARTS);
  if (!drawing->doc->head->edge_names)
    flags &= ~(guint)OUTPUT_DRAW_EDGE_NAMES;
  double size = 0.0;
  const GeomPoint at = geom_affine_apply (flip, output_cut_label_at (p, &size));
  output_draw_piece (cr, &view, ink, drawing->review, p->piece, false, flags & ~(guint)OUTPUT_DRAW_GRAIN);
  output_draw_text (cr, ink, at.x, at.y - 0.8 * size, 0.0, size, true, OUTPUT_TONE_INK, -1, p->label);
  output_draw_text (cr, ink, at.x, at.y + 0.8 * size, 0.0, 0.7 * size, false, OUTPUT_TONE_INK, -1,
                    p->details);
  GeomPoint tail, tip;
  if (output_cut_grain (p, &tail, &tip))
  {
    const OutputView placed = { flip, 1.0 };
    const GeomPoint d = geom_sub (tip, tail);
    output_draw_grain (cr, &placed, ink, geom_mix (tail, tip, 0.5), geom_norm (d),
                       atan2 (d.y, d.x) * 180.0 / G_PI);
  }
}

bool
output_cut_pdf (const OutputCutDrawing *drawing, const char *path, GError **error)
{
  if (drawing->width_mm > ENGINE_SHEET_MAX_MM || drawing->height_mm > ENGINE_SHEET_MAX_MM)
  {
    g_set_error (
      error, OUTPUT_ERROR, OUTPUT_ERROR_PAPER,
      _ ("The pieces need a page of %1$.0f × %2$.0f mm; a PDF page ends at %3$.0f mm. Name fewer panels"),
      drawing->width_mm, drawing->height_mm, ENGINE_SHEET_MAX_MM);
    return false;
  }
  g_autoptr (GByteArray) bytes = g_byte_array_new ();
  cairo_surface_t *surface = cairo_pdf_surface_create_for_stream (
    output_file_collect, bytes, drawing->width_mm * POINTS_IN_MM, drawing->height_mm * POINTS_IN_MM);
  const ModelHead *head = drawing->doc->head;
  g_autofree char *date = output_file_pdf_date (head->revision_date);
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_CREATE_DATE, date);
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_CREATOR, "Panelwright");
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_TITLE,
                                  *head->title != '\0' ? head->title : _ ("Panels"));
  cairo_t *cr = cairo_create (surface);
  cairo_scale (cr, POINTS_IN_MM, POINTS_IN_MM);
  OutputInk ink;
  output_ink_print (&ink);
  for (guint i = 0; i < drawing->pieces->len; i++)
    draw_piece (cr, drawing, &ink, (const OutputCutPiece *)g_ptr_array_index (drawing->pieces, i));
  cairo_show_page (cr);
  return output_file_write_surface (surface, cr, bytes, path, error);
}
