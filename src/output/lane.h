/* One run of a join on one half of a piece that is drawn: where along it something stands.
 *
 * Private to the drawing files of the room.
 */
#ifndef OUTPUT_LANE_H
#define OUTPUT_LANE_H

#include "output/draw-parts.h"

typedef struct OutputLane
{
  guint index[64]; /* edges of the piece; a run of more corners than that ends there */
  guint count;
  bool against;   /* the run goes against the piece's direction */
  double lead_mm; /* what lies on the first edge before the run starts, at a mark */
  double length_mm;
} OutputLane;

/* COUNT 0: the run is not on this half of the piece. */
void output_lane_fill (
  const OutputStage *stage, const ModelJoin *join, bool is_b, bool mirrored, OutputLane *lane);
/* The reading of JOIN that the lane is a run of; false: the join exists nowhere. */
bool output_lane_reading (
  const OutputStage *stage, const OutputLane *lane, const ModelJoin *join, bool is_b, EngineJoinReading *out);
/* A place on the seam, ALONG_MM from the run's start; OUTWARD away from the leather, (0, 0) without a run. */
GeomPoint
output_lane_at (const OutputStage *stage, const OutputLane *lane, double along_mm, GeomPoint *outward);

#endif
