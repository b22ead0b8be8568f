/* Going back to a part of an earlier state: one panel, one side of it, or everything.  Each is one step of
 * undo.  Photos, fit notes and revisions stay as they are, and so does the head.
 */
#ifndef ENGINE_GO_BACK_H
#define ENGINE_GO_BACK_H

#include "model/history.h"

/* Panel PANEL_ID as it is in STATE: brought back if it is gone, taken away if it was not there yet.  Joins
 * that touch it follow its edges; one that would be lost by it is as it was.  False: neither has it. */
bool engine_go_back_panel (ModelHistory *history, const ModelDocument *state, guint panel_id);
/* One side alone; the other stays to the rounding of the mirror, the difference becomes corrections.  False,
 * and nothing changed, where engine_go_back_has_side says no. */
bool engine_go_back_side (ModelHistory *history, const ModelDocument *state, guint panel_id, ModelSide side);
/* The panel has two sides, and the same nodes as then. */
bool engine_go_back_has_side (const ModelDocument *doc, const ModelDocument *state, guint panel_id);
void engine_go_back_all (ModelHistory *history, const ModelDocument *state);

#endif
