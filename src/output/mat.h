/* The mat on paper: marks, frame, a length to check the printer by, and how it is used. */
#ifndef OUTPUT_MAT_H
#define OUTPUT_MAT_H

#include "trace/mat.h"

#include <cairo.h>

/* Draws one page.  CR is in mm of the paper with y DOWN from its top left corner, and is left as it was
 * found. */
void output_mat_draw (cairo_t *cr, const TraceMat *mat);
/* A PDF of that one page, full scale.  PAPER: "a4", "a3", "letter", "tabloid".  Written whole or not at all.
 */
bool output_mat_write_pdf (const char *paper, const char *path, GError **error);

#endif
