/* Trying a remedy before it is offered. */
#ifndef ENGINE_REMEDY_H
#define ENGINE_REMEDY_H

#include "engine/finding.h"

/* A copy of DOC with the remedy taken.  Frees with model_document_free. */
ModelDocument *engine_remedy_try (const ModelDocument *doc, const EngineRemedy *remedy);
/* With the remedy taken, FINDING holds (or is gone) and nothing that held before fails. */
bool engine_remedy_settles (EngineReview *review, const EngineFinding *finding, const EngineRemedy *remedy);
/* Takes REMEDY (NULL: nothing happens): adds it to OUT if it settles FINDING, else frees it.  True if it was
 * added. */
bool engine_remedy_offer (EngineReview *review,
                          const EngineFinding *finding,
                          GPtrArray *out,
                          EngineRemedy *remedy);

#endif
