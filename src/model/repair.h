/* Keeping references sound when a panel's edges change.
 *
 * Joins refer to edges and marks by id.  Splitting an edge, merging two, turning an outline round or removing
 * an edge leaves them pointing at what is no longer there, or at a part of what they meant.  The functions
 * here compare a panel before and after and mend: an edge split by a corner      -> the run takes both parts
 *   an edge merged into the former -> the run lives on in that one if it had it, else loses its edge
 *   an outline turned round        -> the run too, so that it starts at the same corner as before
 *   a run left without an edge     -> its join goes
 *   a mark off its run, or gone    -> its match goes
 * Edges that came between others (legs of a dart) are taken for parts of the edge before them.
 */
#ifndef MODEL_REPAIR_H
#define MODEL_REPAIR_H

#include "model/history.h"

/* Puts PANEL (taken) in place of the one with its id and mends what refers to it, all in one group, or in the
 * open one.  New panels are only put.  Returns the panel's id. */
guint model_repair_put_panel (ModelHistory *history, ModelPanel *panel);
/* The same in two steps, for a panel that was put already: BEFORE is what it was. */
void model_repair_joins (ModelHistory *history, const ModelPanel *before);
/* Drops marks of edges, corrections of nodes and tapes between marks that PANEL does not have.  True if there
 * were any. */
bool model_repair_panel (ModelPanel *panel);

#endif
