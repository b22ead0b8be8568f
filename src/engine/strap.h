/* Straps over a gap: how many, where along the two edges, how long each is cut.
 *
 *      A ▐█████████   gap   █████████▌ B      Cut length: the gap, and what a strap has over it for being
 *        ▐    overlap ◂───▸ overlap  ▌        fastened at both ends (overlap, both ends together).
 *
 * They stand evenly: the first run is cut into as many equal parts as there are straps, and one lies over the
 * middle of each (common practice, no source).  Where a match mark would be under it, it gives way within its
 * own part, so that straps never come nearer to each other or to the ends than an evenly spaced one could.
 * On the second run each lies as far along the seam, what is eased in up to there added: sewn together, the
 * two places face each other.
 */
#ifndef ENGINE_STRAP_H
#define ENGINE_STRAP_H

#include "engine/review.h"

/* How many bridge each place of the join; 0 for any join that is no gap. */
guint engine_strap_count (const ModelJoin *join);
/* What one is cut to. */
double engine_strap_length_mm (const ModelJoin *join);
/* Where the middle of one strap lies, from the start of each run. */
typedef struct EngineStrapPlace
{
  double a_mm, b_mm;
  bool on_mark; /* there was no room beside the match marks */
} EngineStrapPlace;

/* EngineStrapPlace, in the order of the runs, on one side of the join; none where a run has no length. */
GArray *engine_strap_places (EngineReview *review, const ModelJoin *join, const EngineJoinReading *reading);
/* The widest that does not touch its neighbour on a run so long; 0 without straps. */
double engine_strap_room_mm (const ModelJoin *join, double run_mm);
/* All of them: on both sides where the join is on both. */
guint engine_strap_total (EngineReview *review, const ModelJoin *join);
/* On the shorter of all its runs they lie beside each other. */
bool engine_straps_fit (EngineReview *review, const ModelJoin *join);
/* Of check "join-length": that the straps do not lie beside each other, not that the runs differ. */
bool engine_finding_is_about_straps (const EngineFinding *finding);
/* One of them lies on a match mark, on either side. */
bool engine_straps_meet_marks (EngineReview *review, const ModelJoin *join);
/* The strap as a panel to be cut, which belongs to nobody yet: as long as it is cut, level, its lower left
 * corner at AT, as many as there are.  Where it is folded round the buckle, half of what it has over the gap
 * from its right end, match marks stand on both long edges.  NULL without straps, or where one has no size.
 */
ModelPanel *engine_strap_panel (EngineReview *review, const ModelJoin *join, GeomPoint at);
/* The joins that have straps, in the document's order: guint. */
GArray *engine_strapped_joins (const ModelDocument *doc);
/* "6 straps, 20.0 mm × 160.0 mm".  Free it. */
char *engine_words_straps (EngineReview *review, const ModelJoin *join);

#endif
