/* What to do about a body form that differs from the wearer: where to pad it and how thickly, or at which
 * level to draw differently from what lies on it.
 */
#ifndef ENGINE_FORM_ADVICE_H
#define ENGINE_FORM_ADVICE_H

#include "model/document.h"

typedef enum EngineFormPlace
{
  ENGINE_FORM_ALL_ROUND,
  ENGINE_FORM_EACH_SIDE,
  ENGINE_FORM_NOWHERE /* a length: nothing that is put on makes the form longer */
} EngineFormPlace;

typedef struct EngineFormAdvice
{
  EngineFormPlace place;
  /* How thick a layer to put on there; below 0: to take off.  Round: the difference over 2 pi, since a layer
   * of thickness t outside a closed convex girth makes it 2 pi t longer whatever its shape (Steiner's formula
   * for parallel curves).  Across: half the difference on each side.  A length: 0. */
  double layer_mm;
  double draw_mm; /* instead: by how much longer to draw than the form asks; below 0: shorter */
} EngineFormAdvice;

/* MEASURE has both figures. */
EngineFormAdvice engine_form_advice (const ModelMeasure *measure);
/* "Pad it with a layer of 3.8 mm all round, or draw the panels 24 mm longer along Chest line." */
char *engine_form_advice_words (const ModelDocument *doc, const ModelMeasure *measure);

#endif
