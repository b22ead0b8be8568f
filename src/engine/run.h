/* What a run covers of its edges: all of each, save where a mark ends it. */
#ifndef ENGINE_RUN_H
#define ENGINE_RUN_H

#include "engine/piece.h"

/* A stretch of an edge in shares 0..1 of its length, in the direction in which it was drawn. */
typedef struct EngineShare
{
  double from, to;
} EngineShare;

/* What RUN covers of its K-th edge.  DRAWN: the piece that holds the panel as drawn, by whose lengths marks
 * are kept; a mark beyond its edge counts as at the edge's end.  Two marks of one edge that have changed
 * places still end the part between them.  All of the edge where a mark or the edge is gone. */
EngineShare
engine_run_share (const ModelPanel *panel, const ModelRun *run, guint k, const EnginePiece *drawn);
/* Where a mark lies on its edge, 0..1.  False: no such mark, or its edge is gone. */
bool engine_mark_share (const ModelPanel *panel, guint mark_id, const EnginePiece *drawn, double *share);
/* Moves a mark of PANEL, a copy, along the run, over corners if need be; not beyond the ends of its first and
 * last edge.  False: it is not on the run, or locked. */
bool engine_mark_move_along (ModelPanel *panel, const ModelRun *run, guint mark_id, double by_mm);
/* The length of an edge as drawn. */
double engine_drawn_length_mm (const ModelPanel *panel, guint edge_index);
/* The run does not begin (AT_END: end) where an edge does; both as the run goes, after REVERSED. */
static inline bool
engine_run_is_cut (const ModelRun *run, bool at_end)
{
  return (at_end != run->reversed ? run->to_mark_id : run->from_mark_id) != 0;
}
/* Ease of a join whose run a is so long. */
double engine_join_ease_mm (const ModelJoin *join, double length_a_mm);

#endif
