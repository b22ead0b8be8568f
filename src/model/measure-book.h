/* The known body measures: names, how each is taken, how far two careful takings may differ.
 *
 * Names and definitions follow ISO 8559-1:2017 in our own words; the differences that may be ignored are
 * those of ISO 20685 (9 mm on large girths, 4 mm on small girths and breadths, 5 mm on lengths between
 * landmarks).
 */
#ifndef MODEL_MEASURE_BOOK_H
#define MODEL_MEASURE_BOOK_H

#include "model/parts.h"

typedef struct ModelMeasureDef
{
  const char *key;    /* "chest_girth": file and starters */
  const char *name;   /* untranslated; show _(name) */
  const char *how;    /* how to take it, one or two sentences, untranslated */
  const char *clause; /* ISO 8559-1:2017 clause, NULL where it was not verified */
  ModelMeasureGroup group;
  double tolerance_mm;
  const char *figure; /* which drawing shows it: "neck", "chest", ... for the body figure */
} ModelMeasureDef;

const ModelMeasureDef *model_measure_book (guint *count);
/* NULL for an unknown or NULL key. */
const ModelMeasureDef *model_measure_def (const char *key);
/* The measure's own tolerance, or the book's, or 5 mm. */
double model_measure_tolerance (const ModelMeasure *measure);

#endif
