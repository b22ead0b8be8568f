/* Trying a remedy before it is offered. */
#ifndef ENGINE_REMEDY_H
#define ENGINE_REMEDY_H

#include "engine/finding.h"
#include "model/history.h"

/* A copy of DOC with the remedy taken.  Frees with model_document_free. */
ModelDocument *engine_remedy_try (const ModelDocument *doc, const EngineRemedy *remedy);
/* A deed of the model's, done to a copy of the document; USER is the caller's. */
typedef bool (*EngineDeed) (ModelHistory *history, gconstpointer user, GError **error);
/* All that DEED changes and adds, as a remedy.  Takes TEXT.  NULL with ERROR set where it cannot be done;
 * NULL alone where it takes a part away, which no remedy can. */
EngineRemedy *engine_remedy_of (
  const ModelDocument *doc, EngineDeed deed, gconstpointer user, char *text_taken, GError **error);
/* The same to be looked at and not to be taken: what DEED takes away is left out. */
EngineRemedy *engine_remedy_seen (
  const ModelDocument *doc, EngineDeed deed, gconstpointer user, char *text_taken, GError **error);
/* With the remedy taken, FINDING holds (or is gone) and nothing that held before fails. */
bool engine_remedy_settles (EngineReview *review, const EngineFinding *finding, const EngineRemedy *remedy);
/* Takes REMEDY (NULL: nothing happens): adds it to OUT if it settles FINDING, else frees it.  True if it was
 * added. */
bool engine_remedy_offer (EngineReview *review,
                          const EngineFinding *finding,
                          GPtrArray *out,
                          EngineRemedy *remedy);

#endif
