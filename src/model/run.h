/* Which edges follow one another in a run.
 *
 * A run is drawn as the finished piece has it: darts closed.  So two edges follow one another if they are
 * neighbours in the outline, or if all that lies between them is darts:
 *
 *     ___e1___   ___e2___        e1 and e2 follow one another, the legs are left out
 *             \ /
 *              V                 a join of the two legs, meeting at the apex
 */
#ifndef MODEL_RUN_H
#define MODEL_RUN_H

#include "model/document.h"

/* JOIN closes a dart of PANEL: both its runs lie on it, on the same side, whole, next to one another, and are
 * folded together at the corner between them.  *FIRST: the index of the dart's first edge; *COUNT: how many
 * edges it has. */
bool model_join_closes_dart (const ModelPanel *panel, const ModelJoin *join, guint *first, guint *count);
/* The edges at the places A and B of PANEL follow one another, in this order. */
bool model_edges_follow (const ModelDocument *doc, const ModelPanel *panel, guint a, guint b);
/* Both runs cover the same stretch of the same edges. */
bool model_runs_are_same (const ModelRun *a, const ModelRun *b);
/* The runs have an edge in common of which neither covers a marked part alone. */
bool model_runs_overlap (const ModelRun *a, const ModelRun *b);

#endif
