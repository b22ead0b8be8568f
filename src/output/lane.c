#include "output/lane.h"

#include "engine/run.h"

void
output_lane_fill (const OutputStage *stage, const ModelJoin *join, bool is_b, bool mirrored, OutputLane *lane)
{
  const ModelRun *run = is_b ? &join->b : &join->a;
  const bool fold = stage->panel->halves == MODEL_HALVES_FOLD;
  const EnginePiece *drawn = engine_review_seam_piece (
    stage->review, stage->panel->id, fold ? MODEL_SIDE_CENTRE : engine_panel_drawn_side (stage->panel));
  lane->count = 0;
  lane->length_mm = lane->lead_mm = 0.0;
  lane->against = run->reversed != mirrored;
  for (guint e = 0; e < run->edges->len && lane->count < G_N_ELEMENTS (lane->index); e++)
  {
    const guint nth = run->reversed ? run->edges->len - 1 - e : e;
    const guint id = g_array_index (run->edges, guint, nth);
    for (guint i = 0; i < stage->edge_count; i++)
    {
      const guint index = output_stage_edge (stage, i);
      const EnginePieceEdge *edge = output_piece_edge (stage->piece, index);
      if (edge->edge_id != id || edge->mirrored != mirrored || !output_run_has_edge (stage, join, is_b, edge))
        continue;
      const EngineShare share = engine_run_share (stage->panel, run, nth, drawn);
      if (lane->count == 0)
        lane->lead_mm = edge->length_mm * (run->reversed ? 1.0 - share.to : share.from);
      lane->index[lane->count++] = index;
      lane->length_mm += edge->length_mm * (share.to - share.from);
      break;
    }
  }
}

bool
output_lane_reading (
  const OutputStage *stage, const OutputLane *lane, const ModelJoin *join, bool is_b, EngineJoinReading *out)
{
  EngineJoinReading both[2];
  const int n = engine_review_join_readings (stage->review, join->id, both);
  if (n == 0 || lane->count == 0)
    return false;
  const ModelSide side = output_piece_edge (stage->piece, lane->index[0])->side;
  *out = n == 2 && (is_b ? both[1].side_b : both[1].side_a) == side ? both[1] : both[0];
  return true;
}

GeomPoint
output_lane_at (const OutputStage *stage, const OutputLane *lane, double along_mm, GeomPoint *outward)
{
  double left = along_mm + lane->lead_mm;
  for (guint i = 0; i < lane->count; i++)
  {
    const EnginePieceEdge *edge = output_piece_edge (stage->piece, lane->index[i]);
    if (left <= edge->length_mm || i + 1 == lane->count)
    {
      const double at = CLAMP (left, 0.0, edge->length_mm);
      return output_edge_at (stage->piece, lane->index[i], lane->against ? edge->length_mm - at : at,
                             outward);
    }
    left -= edge->length_mm;
  }
  *outward = geom_point (0.0, 0.0);
  return *outward;
}
