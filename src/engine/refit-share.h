/* Who gives how much when a line grows: amounts at the ends of its spans.  Private to engine/refit-field.c.
 */
#ifndef ENGINE_REFIT_SHARE_H
#define ENGINE_REFIT_SHARE_H

#include "engine/refit-field.h"

/* An end of a span as drawn. */
typedef struct EngineRefitRim
{
  guint panel_id, edge_id;
  guint span;    /* index into the line's spans */
  bool at_b;     /* which end of it */
  int sides;     /* on how many sides the span counts */
  double own_mm; /* what the span has inside, one side */
  guint join_id; /* 0: an open edge */
  bool fixed;    /* on a fold, or locked */
  bool loose;    /* no seam, or one whose partner cannot go along: an open edge, one at a gap */
  guint key;     /* rims that must go alike have the same; the join's id, or the edge's */
  double by_mm;  /* found: outward */
} EngineRefitRim;

/* All ends of the line's spans, BY_MM 0. */
GArray *engine_refit_rims (EngineReview *review, const ModelLine *line, const EngineLineReading *reading);
/* Fills BY_MM.  False: every end is fixed. */
bool engine_refit_share_out (GArray *rims, const EngineRefitWidth *width);
/* The runs of a join that is no gap, on which an edge lies; NULL: none. */
const ModelJoin *engine_refit_seam_at (EngineReview *review, guint panel_id, guint edge_id);

#endif
