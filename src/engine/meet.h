/* Ends that do not meet, as a change to be looked at before it is taken: model/rework-meet.h does it, on a
 * copy. */
#ifndef ENGINE_MEET_H
#define ENGINE_MEET_H

#include "engine/review.h"
#include "model/rework-meet.h"

/* The changed panels, and which joins that held the change would break.  NULL with ERROR set where it cannot
 * be done. */
EngineRemedy *engine_meet_offer (
  EngineReview *review, guint join_id, ModelReworkMissing left, ModelReworkMissing right, GError **error);
/* The sides can differ: one of the panels is mirrored. */
bool engine_meet_has_sides (const ModelDocument *doc, const ModelJoin *join);
/* What lies beyond the end of the join on its first panel: "neck", "armhole".  Free it. */
char *engine_words_meet_end (const ModelDocument *doc, const ModelJoin *join, bool at_end);

#endif
