/* What was seen at a fitting, turned into a change of the panels: on the side where it was seen and, if the
 * maker wants it, on the other too.
 *
 * Everything that is offered was tried first, and says which joins it would leave unequal.
 */
#ifndef ENGINE_FIT_H
#define ENGINE_FIT_H

#include "engine/review.h"

/* At most so many are offered for one note. */
#define ENGINE_FIT_MOST 4

/* EngineRemedy, the one nearest to what was seen first: each has the changed panels and the note itself with
 * its DONE filled.  Nothing for a note without an amount, of a panel that is gone, or seen as other. */
void engine_fit_offers (EngineReview *review, const ModelFitNote *note, GPtrArray *out);

/* Moves an edge outward by BY_MM (negative: inward), square to its chord: its corners slide on the lines of
 * the neighbours, which are so made longer or shorter; what lies between goes along.  ALONE: the other side
 * of a mirrored panel stays as it is; a corner on the fold, which both sides share, stays then too and the
 * change runs out to nothing there.  False, and nothing changed, if something that would move is locked, or
 * the edge has no chord. */
bool engine_fit_move_edge (ModelPanel *panel, ModelSide side, guint edge_id, double by_mm, bool alone);
/* The edges that bound the panel at both sides, upright ones: 0, 1 or 2, the left one first; of a panel on
 * the fold the one farthest from it. */
int engine_fit_side_edges (const ModelPanel *panel, guint edge_ids[2]);
/* The lowest of the level edges; 0: none. */
guint engine_fit_lower_edge (const ModelPanel *panel);
/* What REMEDY does to the joins and checks: a sentence or two. */
char *engine_fit_consequence (EngineReview *review, const EngineRemedy *remedy);

/* ---- in words (fit-words.c) ---- */

/* "too short by 8 mm", "gaps by 12 mm", "pokes out by 6 mm", "too wide". */
char *engine_fit_words_seen (const ModelDocument *doc, const ModelFitNote *note);
/* "Front, hem, wearer’s right"; "the whole piece". */
char *engine_fit_words_where (const ModelDocument *doc, const ModelFitNote *note);

#endif
