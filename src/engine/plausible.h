/* Was it typed right?  A body measure held against a survey of bodies.
 *
 * Never a finding: a wearer may well be the one in a hundred.  It is asked once, beside the figure, and most
 * of all where one slip of the hand would explain it.
 */
#ifndef ENGINE_PLAUSIBLE_H
#define ENGINE_PLAUSIBLE_H

#include "model/parts.h"

typedef enum EngineSlip
{
  ENGINE_SLIP_NONE,
  ENGINE_SLIP_TEN_SHORT,  /* centimetres typed as millimetres, or a digit lost */
  ENGINE_SLIP_TEN_OVER,   /* ten times too much */
  ENGINE_SLIP_INCH_AS_MM, /* inches typed as millimetres */
  ENGINE_SLIP_INCH_AS_CM,
  ENGINE_SLIP_CM_AS_INCH,
  ENGINE_SLIP_SWAPPED /* two neighbouring digits */
} EngineSlip;

typedef struct EnginePlausible
{
  bool known;             /* the survey has this measure */
  bool rare;              /* not more than 1 in 100 measure so little, or so much */
  double low_mm, high_mm; /* between these it is not rare; 0 when not known */
  EngineSlip slip;        /* what makes an ordinary measure of a rare one, the first of the above that does */
  double meant_mm;        /* what it would then be; 0 without a slip */
} EnginePlausible;

/* KEY: of the measure book, may be NULL.  UNIT: in which it is typed; digits are those of whole millimetres,
 * and inches have none to swap.  MM not finite or not above 0: nothing is known. */
EnginePlausible engine_plausible (const char *key, double mm, ModelUnit unit);
/* "Rarer than 1 in 100: measured right? With two digits swapped it would be 940 mm."  NULL when it is not
 * rare. */
char *engine_plausible_words (const EnginePlausible *found, ModelUnit unit);

#endif
