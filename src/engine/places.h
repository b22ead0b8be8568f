/* What does not agree, as people count it: the same finding on both sides is one place.
 */
#ifndef ENGINE_PLACES_H
#define ENGINE_PLACES_H

#include "engine/review.h"

typedef struct EnginePlace
{
  const EngineFinding *finding; /* borrowed, lives until the next touch */
  const EngineFinding *twin;    /* the same on the other side; NULL if there is none */
} EnginePlace;

/* Those that do not hold, worst first: EnginePlace.  New array. */
GArray *engine_review_open_places (EngineReview *review);
/* "both sides", "wearer’s left", or empty. */
const char *engine_place_side (const EnginePlace *place);

#endif
