/* What the smooth change leaves is taken up exactly: lines at their sums, joins at the differences they had.
 * Private to engine/refit.c. */
#ifndef ENGINE_REFIT_EXACT_H
#define ENGINE_REFIT_EXACT_H

#include "engine/girth.h"
#include "engine/refit.h"

typedef struct EngineRefitTarget
{
  guint line_id;
  bool as_wanted; /* what the line then asks for; else SUM_MM */
  double sum_mm;
} EngineRefitTarget;

/* Changes the panels named by FREE (guint) of DOC, a copy with the new measures in which the panels have
 * changed already.  BEFORE: the review of what was.  TARGETS: EngineRefitTarget.  False: it does not come
 * out, and what comes nearest is there. */
bool engine_refit_exact (EngineReview *before, ModelDocument *doc, const GArray *free, const GArray *targets);

#endif
