/* Making and changing joins: what the tools and the join list do. */
#ifndef ENGINE_JOIN_EDIT_H
#define ENGINE_JOIN_EDIT_H

#include "model/document.h"

/* A join of two runs with a fresh letter; directions are found so that the two start together: opposite ways
 * round the outlines, for a seam over the middle (A and B the same edges of the same panel, or TWIN) the same
 * way.  Id 0 until put. */
ModelJoin *
engine_join_new (const ModelDocument *doc, ModelJoinKind kind, const ModelRun *a, const ModelRun *b);
/* A run from edges picked in any order; false if they do not follow one another on the outline.  Darts
 * between them that DOC has a join for may be left out; DOC may be NULL. */
bool engine_run_from_edges (
  const ModelDocument *doc, const ModelPanel *panel, const guint *edge_ids, guint count, ModelRun *run);
/* Joins that touch the edge, in document order: guint ids. */
GArray *engine_joins_of_edge (const ModelDocument *doc, guint panel_id, guint edge_id);
/* Two match marks at FRACTION of both runs, added to copies of the two panels and to JOIN: returned as
 * ModelParts to put. */
GArray *engine_join_add_match (ModelDocument *doc, const ModelJoin *join, double fraction, int wedges);

#endif
