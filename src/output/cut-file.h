/* Full-scale cut files, untiled: one drawing with every piece to be cut, for a cutter or a copy shop.
 */
#ifndef OUTPUT_CUT_FILE_H
#define OUTPUT_CUT_FILE_H

#include "engine/review.h"
#include "output/sheet.h"

/* The ending of PATH decides: .svg, .pdf, .dxf.  PANELS: names, NULL-ended, or NULL for all that are not
 * hidden.  Every piece is drawn, left and right and opened folds alike, side by side.  Whole or not at all.
 */
bool output_cut_write (EngineReview *review, const char *const *panels, const char *path, GError **error);

#endif
