/* Lengths as people write them. */
#ifndef MODEL_UNIT_H
#define MODEL_UNIT_H

#include "model/parts.h"

/* "38.5 cm", "38,5 cm", "15 1/8 in", "12½\"", "1 ft 3 in", "1 m 75 cm", "412", and sums, differences,
 * brackets, products and quotients by plain numbers of such: "412 + 2 * 6 mm", "1/2 in − 3", "94 cm / 4".
 * Either decimal sign whatever the locale, no thousands marks; units mm, cm, m, in, inch, ft, foot and the
 * signs ' " ′ ″.  A figure without a unit is in UNIT.  Returns mm in *MM; false, *MM untouched, with
 * *ERROR_AT (may be NULL) the byte where it stopped making sense, or 0 where all of it does but is not finite
 * or beyond 1e5 mm. */
bool model_unit_parse (const char *text, ModelUnit unit, double *mm, int *error_at);
/* "412.0", "41.20", "16 1/4": the figure alone, in the locale's way, DECIMALS for mm (one more for cm,
 * sixteenths for inch).  True minus; no minus before a zero.  Not finite: a dash. */
char *model_unit_figure (double mm, ModelUnit unit, int decimals);
/* With the unit, a thin space before it: "412.0 mm", "16 1/4 in". */
char *model_unit_text (double mm, ModelUnit unit, int decimals);
/* As model_unit_figure with a sign always: "+6.2", "−3", "+0.0". */
char *model_unit_signed (double mm, ModelUnit unit, int decimals);
const char *model_unit_key (ModelUnit unit); /* "mm", "cm", "in": file and label */

#endif
