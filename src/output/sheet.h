/* Full-scale sheets: a cover and the tiles. Drawn in mm of the paper; the PDF writer and the print dialog
 * call the same function.
 */
#ifndef OUTPUT_SHEET_H
#define OUTPUT_SHEET_H

#include "engine/sheet-plan.h"

#include <cairo.h>

#define OUTPUT_ERROR (output_error_quark ())
GQuark output_error_quark (void);
typedef enum OutputError
{
  OUTPUT_ERROR_WRITE,   /* the file could not be written */
  OUTPUT_ERROR_NOTHING, /* no panel to draw */
  OUTPUT_ERROR_PAPER,   /* the paper does not hold the test square, or one page is too large */
  OUTPUT_ERROR_NAME     /* no panel of that name; an ending that is not known */
} OutputError;

/* How many pages: cover pages and tiles. */
guint output_sheet_page_count (const EngineSheetPlan *plan);
/* Draws page PAGE (from 0) with CR in mm of the whole paper, y down, origin at the top left corner of the
 * paper. */
void output_sheet_draw (cairo_t *cr, EngineReview *review, const EngineSheetPlan *plan, guint page);
/* "Cover", "A3". */
char *output_sheet_page_name (const EngineSheetPlan *plan, guint page);
/* Whole or not at all: written beside and renamed. */
bool
output_sheet_write_pdf (EngineReview *review, const EngineSheetPlan *plan, const char *path, GError **error);

#endif
