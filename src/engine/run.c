#include "engine/run.h"

#include "engine/tolerance.h"

bool
engine_mark_share (const ModelPanel *panel, guint mark_id, const EnginePiece *drawn, double *share)
{
  const ModelMark *mark = mark_id != 0 ? model_panel_find_mark (panel, mark_id) : NULL;
  int index
    = mark && drawn ? engine_piece_find_edge (drawn, mark->edge_id, engine_panel_drawn_side (panel)) : -1;
  if (index < 0)
    return false;
  double length = g_array_index (drawn->edges, EnginePieceEdge, index).length_mm;
  *share = length > 0.0 ? CLAMP (mark->at_mm / length, 0.0, 1.0) : 0.0;
  return true;
}

EngineShare
engine_run_share (const ModelPanel *panel, const ModelRun *run, guint k, const EnginePiece *drawn)
{
  EngineShare share = { 0.0, 1.0 };
  if (k == 0 && run->from_mark_id != 0)
    engine_mark_share (panel, run->from_mark_id, drawn, &share.from);
  if (k + 1 == run->edges->len && run->to_mark_id != 0)
    engine_mark_share (panel, run->to_mark_id, drawn, &share.to);
  if (share.from > share.to)
    share = (EngineShare) { share.to, share.from };
  return share;
}

double
engine_join_ease_mm (const ModelJoin *join, double length_a_mm)
{
  return join->ease_in_percent ? join->ease_percent / 100.0 * length_a_mm : join->ease_mm;
}

double
engine_drawn_length_mm (const ModelPanel *panel, guint edge_index)
{
  GeomPath path;
  g_autofree size_t *first = g_new0 (size_t, panel->edges->len);
  geom_path_init (&path);
  model_panel_path (panel, &path, first);
  size_t end = edge_index + 1 < panel->edges->len ? first[edge_index + 1] : path.count;
  double sum = 0.0;
  for (size_t i = first[edge_index]; i < end; i++)
    sum += geom_cubic_length (&path.piece[i], ENGINE_TOL_LENGTH_MM);
  geom_path_clear (&path);
  return sum;
}

/* The place in the run of the edge a mark lies on; -1: none. */
static int
place_of_mark (const ModelRun *run, const ModelMark *mark)
{
  for (guint k = 0; k < run->edges->len; k++)
    if (g_array_index (run->edges, guint, k) == mark->edge_id)
      return (int)k;
  return -1;
}

bool
engine_mark_move_along (ModelPanel *panel, const ModelRun *run, guint mark_id, double by_mm)
{
  ModelMark *mark = panel ? model_panel_find_mark (panel, mark_id) : NULL;
  int at = mark ? place_of_mark (run, mark) : -1;
  if (at < 0 || panel->locked || !isfinite (by_mm))
    return false;
  double along = mark->at_mm + (run->reversed ? -by_mm : by_mm), length = 0.0;
  for (guint rounds = 0; rounds <= run->edges->len; rounds++)
  {
    int edge = model_panel_find_edge (panel, g_array_index (run->edges, guint, (guint)at));
    if (edge < 0 || model_panel_edge (panel, (guint)edge)->locked)
      return false;
    length = engine_drawn_length_mm (panel, (guint)edge);
    if (along < 0.0 && at > 0)
    {
      int before = model_panel_find_edge (panel, g_array_index (run->edges, guint, (guint)--at));
      along += before < 0 ? 0.0 : engine_drawn_length_mm (panel, (guint)before);
    }
    else if (along > length && (guint)at + 1 < run->edges->len)
    {
      along -= length;
      at++;
    }
    else
      break;
  }
  mark->edge_id = g_array_index (run->edges, guint, (guint)at);
  mark->at_mm = CLAMP (along, 0.0, length);
  return true;
}
