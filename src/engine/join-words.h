/* What the checks of joins share: sides and places in words. */
#ifndef ENGINE_JOIN_WORDS_H
#define ENGINE_JOIN_WORDS_H

#include "engine/review.h"

/* Sets side and has_side: none where both panels lie on one side only. */
void engine_join_set_side (EngineFinding *finding, const EngineJoinReading *reading);
/* The reading a finding about a join was made from; the first one where that is gone.  False: none. */
bool engine_join_reading_of (EngineReview *review, const EngineFinding *finding, EngineJoinReading *out);
/* An edge of a mirrored panel joined to itself on the other side. */
bool engine_join_is_over_middle (EngineReview *review, const ModelJoin *join);
/* How far apart the two runs end, or start, with the runs laid together from the match mark nearest to there
 * on; without marks from their start on.  What is eased in does not count.  mm, >= 0. */
double engine_join_step_mm (EngineReview *review, const EngineJoinReading *reading, bool at_end);
/* By how much the edges beside that end of the runs are off half a turn, laid together: below 0 a peak, above
 * a dent.  False: there is no corner, for a run ends at a mark or on a fold. */
bool engine_join_kink_deg (EngineReview *review, const EngineJoinReading *reading, bool at_end, double *deg);
/* Of a finding of the neighbours' angles: it is about the end of the runs, not their start. */
bool engine_join_truth_is_at_end (const EngineFinding *finding);
/* SENTENCE, led by the side where the two sides of the join do not read alike.  New string. */
char *engine_join_with_side (EngineReview *review, const EngineFinding *finding, const char *sentence);
/* "Join C, flush." */
char *engine_join_words_detail (const ModelDocument *doc, const ModelJoin *join);

#endif
