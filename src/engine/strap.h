/* Straps over a gap: how many, where along the two edges, how long each is cut.
 *
 *      A ▐█████████   gap   █████████▌ B      Cut length: the gap, and what a strap has over it for being
 *        ▐    overlap ◂───▸ overlap  ▌        fastened at both ends (overlap, both ends together).
 *
 * They stand evenly: each run is cut into as many equal parts as there are straps, and one lies over the
 * middle of each (common practice, no source).  Since both runs start together, the nth strap of one faces
 * the nth of the other, whichever of them is longer.
 */
#ifndef ENGINE_STRAP_H
#define ENGINE_STRAP_H

#include "engine/review.h"

/* How many bridge each place of the join; 0 for any join that is no gap. */
guint engine_strap_count (const ModelJoin *join);
/* What one is cut to. */
double engine_strap_length_mm (const ModelJoin *join);
/* From a run's start to the middle of strap INDEX, on a run so long. */
double engine_strap_along_mm (const ModelJoin *join, guint index, double run_mm);
/* The widest that does not touch its neighbour on a run so long; 0 without straps. */
double engine_strap_room_mm (const ModelJoin *join, double run_mm);
/* All of them: on both sides where the join is on both. */
guint engine_strap_total (EngineReview *review, const ModelJoin *join);
/* On the shorter of all its runs they lie beside each other. */
bool engine_straps_fit (EngineReview *review, const ModelJoin *join);
/* The joins that have straps, in the document's order: guint. */
GArray *engine_strapped_joins (const ModelDocument *doc);
/* "6 straps, 20.0 mm × 160.0 mm".  Free it. */
char *engine_words_straps (EngineReview *review, const ModelJoin *join);

#endif
