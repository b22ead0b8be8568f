/* Lengths as people write them. */
#ifndef MODEL_UNIT_H
#define MODEL_UNIT_H

#include "model/parts.h"

/* "38.5 cm", "15 1/8 in", "12 1/2\"", "1 ft 3 in", "412", "38,5 cm", and sums and differences, products and quotients by plain numbers of
 * such: "412 + 2 * 6 mm", "1/2 in - 3".  A figure without a unit is in UNIT.  Returns mm in *MM; false with *ERROR_AT (may be NULL) the byte where it
 * stopped making sense.  Not finite or beyond 1e5 mm: false. */
bool model_unit_parse (const char *text, ModelUnit unit, double *mm, int *error_at);
/* "412.0", "41.2", "16 1/4": the figure alone, in the locale's way, DECIMALS for mm (one more for cm, sixteenths for inch). True minus. */
char *model_unit_figure (double mm, ModelUnit unit, int decimals);
/* With the unit: "412.0 mm", thin space before it (inch: "16 1/4 in"). */
char *model_unit_text (double mm, ModelUnit unit, int decimals);
/* As model_unit_figure with a sign always: "+6.2", "−3". */
char *model_unit_signed (double mm, ModelUnit unit, int decimals);
const char *model_unit_key (ModelUnit unit);    /* "mm", "cm", "in": file and label */

#endif
