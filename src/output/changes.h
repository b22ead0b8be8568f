/* The list of what differs since a revision, as a PDF to lay beside the paper already cut.
 */
#ifndef OUTPUT_CHANGES_H
#define OUTPUT_CHANGES_H

#include "engine/compare.h"
#include "engine/sheet-plan.h"

#include <cairo.h>

/* On A4 or Letter, whichever the document's paper is nearer to.  WAS_NAME: what to call the earlier state. An
 * empty list is a page that says so.  Whole or not at all. */
bool output_changes_write_pdf (const ModelDocument *was,
                               const char *was_name,
                               const ModelDocument *now,
                               const GArray *changes,
                               const char *path,
                               GError **error);

/* The page it is drawn on. */
EnginePaper output_changes_paper (const ModelDocument *now);
guint output_changes_page_count (const ModelDocument *was,
                                 const char *was_name,
                                 const ModelDocument *now,
                                 const GArray *changes);
/* Page PAGE (from 0) of PAGES into CR, whose unit is the millimetre of the whole paper: for a printer. */
void output_changes_draw_page (cairo_t *cr,
                               const ModelDocument *was,
                               const char *was_name,
                               const ModelDocument *now,
                               const GArray *changes,
                               guint page,
                               guint pages);

#endif
