/* Girth lines, reach limits and neck openings, measured.
 *
 * A line is the sum of its spans, on every side they lie on, and of the open gaps it crosses.
 *
 *  - A span counts what lies inside the panel: the opening of a dart it crosses is not leather, and when the
 *    dart is closed the two sides of it meet.  Of a neck opening the outline itself counts, from mark to mark
 *    the shorter way, since the edge goes round the neck.
 *  - A mirrored panel counts twice, the other side by its own shape; not so on a line of one side.
 *  - Where a span ends on a run of a gap join, half of that gap is added: the partner adds the other half.
 *
 * What it must come to (a girth line) is the measure, what is worn underneath, and what the panels' own
 * thickness takes: they are as long as drawn in their neutral layer only, which lies NEUTRAL t outside the
 * body, and a closed loop that lies d outside another is longer by 2 pi d, whatever its shape (Steiner's
 * formula for parallel curves).  Panels of different thickness count by their part of the line.  Nothing is
 * added for thickness where the measure does not go round the body, nor for reach and neck: these are limits
 * to a width and to an opening.
 */
#ifndef ENGINE_GIRTH_H
#define ENGINE_GIRTH_H

#include "engine/review.h"

/* One span on one side. */
typedef struct EngineSpanReading
{
  guint panel_id, index; /* which of the line's spans */
  guint edge_a_id, edge_b_id;
  ModelSide side;
  bool drawn;
  GeomPoint a, b;   /* where it ends, on that side's own shape */
  double inside_mm; /* what counts */
  double gap_mm;    /* what both ends add */
} EngineSpanReading;

struct EngineLineReading
{
  guint line_id;
  GArray *spans; /* EngineSpanReading: each as drawn and, next to it, its other side */
  double inside_mm, gaps_mm, sum_mm;
  /* Spans that end on gaps, and how often each join is met: what opening all gaps by 1 mm adds. */
  double gap_ends;
  bool has_measure; /* the rest is there */
  double measure_mm, between_mm;
  double inner_mm, outer_mm; /* 2 pi t inside and outside of the neutral layer */
  double wanted_mm;          /* measure + between + inner */
  double difference_mm;      /* sum - wanted */
  double tolerance_mm;
};

/* OUT is zeroed before or cleared.  The spans that have lost their panel or marks are passed over. */
void engine_line_read (EngineReview *review, const ModelLine *line, EngineLineReading *out);
void engine_line_reading_clear (EngineLineReading *reading);

/* The shape of a panel on a side as lines are measured: drawn, or the other one as it lies, which may be
 * clockwise.  OUT initialised. */
void engine_line_shape (const ModelPanel *panel, bool drawn, GeomPath *out, size_t *first);
/* Where a mark lies on such a shape: kept by its length on the drawn edge, elsewhere by its share of it. */
bool engine_line_mark_point (
  const ModelPanel *panel, const ModelMark *mark, bool drawn, const GeomPath *shape, GeomPoint *at);
/* How much of the straight line from A to B lies inside a closed path, its rim included. */
double engine_inside_length (const GeomPath *outline, GeomPoint a, GeomPoint b);

/* Two girth lines of one measure lie over one another.  The outer one is that with more worn underneath; of
 * two with equal figures the longer one, else the later in the document.  True if OUTER is the outer one. */
bool
engine_line_is_outer (EngineReview *review, const EngineLineReading *outer, const EngineLineReading *inner);
/* By how much it must be longer than the inner one, from neutral layer to neutral layer. */
double engine_layer_growth_mm (const EngineLineReading *outer, const EngineLineReading *inner);

#endif
