/* Sheets as a PDF file: drawn into memory, then written whole. */
#include "output/file-out.h"
#include "output/sheet.h"

#include <cairo-pdf.h>
#include <glib/gi18n.h>

#define POINTS_IN_MM (72.0 / 25.4) /* ISO 32000-1, 8.3.2.3: a unit of the page is 1/72 inch */

/* Four inches, and its line. */
#define SMALLEST_FIELD_MM 102.0

static void
set_up (cairo_surface_t *surface, const ModelHead *head)
{
  g_autofree char *date = output_file_pdf_date (head->revision_date);
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_CREATE_DATE, date);
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_CREATOR, "Panelwright");
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_TITLE,
                                  *head->title != '\0' ? head->title : _ ("Panels"));
}

bool
output_sheet_write_pdf (EngineReview *review, const EngineSheetPlan *plan, const char *path, GError **error)
{
  if (plan->tiles->len == 0)
  {
    g_set_error_literal (error, OUTPUT_ERROR, OUTPUT_ERROR_NOTHING, _ ("There is no panel to draw"));
    return false;
  }
  if (plan->field_width_mm < SMALLEST_FIELD_MM || plan->field_height_mm < SMALLEST_FIELD_MM)
  {
    const int least = (int)ceil (SMALLEST_FIELD_MM + 2.0 * ENGINE_SHEET_MARGIN_MM);
    g_set_error (
      error, OUTPUT_ERROR, OUTPUT_ERROR_PAPER,
      _ ("The paper does not hold the square that shows the scale; the smallest is %1$d × %2$d mm"), least,
      least);
    return false;
  }
  g_autoptr (GByteArray) bytes = g_byte_array_new ();
  const double width = plan->paper.width_mm * POINTS_IN_MM, height = plan->paper.height_mm * POINTS_IN_MM;
  cairo_surface_t *surface = cairo_pdf_surface_create_for_stream (output_file_collect, bytes, width, height);
  set_up (surface, engine_review_document (review)->head);
  cairo_t *cr = cairo_create (surface);
  const guint pages = output_sheet_page_count (plan);
  for (guint page = 0; page < pages; page++)
  {
    g_autofree char *name = output_sheet_page_name (plan, page);
    g_autofree char *to = g_strdup_printf ("page=%u pos=[0 0]", page + 1);
    cairo_pdf_surface_set_page_label (surface, name);
    cairo_pdf_surface_add_outline (surface, CAIRO_PDF_OUTLINE_ROOT, name, to, 0);
    cairo_save (cr);
    cairo_scale (cr, POINTS_IN_MM, POINTS_IN_MM);
    output_sheet_draw (cr, review, plan, page);
    cairo_restore (cr);
    cairo_show_page (cr);
  }
  return output_file_write_surface (surface, cr, bytes, path, error);
}
