/* What each edge gets outside its seam line, and on which sides a join exists.
 *
 * Only the under side of a lapped join grows: growing both would double the leather where it must bend.
 *
 *     over   ─────────┐
 *     under     ══════╪═══►  lap_mm
 */
#include "engine/piece.h"
#include "model/run.h"

ModelSide
engine_panel_drawn_side (const ModelPanel *panel)
{
  if (panel->halves == MODEL_HALVES_SINGLE || panel->side != MODEL_SIDE_CENTRE)
    return panel->side;
  return MODEL_SIDE_LEFT;
}

bool
engine_panel_is_mirrored (const ModelPanel *panel)
{
  switch (panel->halves)
  {
  case MODEL_HALVES_SINGLE:
    return false;
  case MODEL_HALVES_PAIR:
    return true;
  case MODEL_HALVES_FOLD:
    return panel->edges->len > 1 && model_panel_fold_edge (panel) >= 0;
  }
  return false;
}

bool
engine_panel_is_corrected (const ModelPanel *panel)
{
  if (!panel->own_sides || !engine_panel_is_mirrored (panel))
    return false;
  for (guint i = 0; i < panel->corrections->len; i++)
    if (model_panel_find_node (panel, g_array_index (panel->corrections, ModelCorrection, i).node_id, NULL,
                               NULL))
      return true;
  return false;
}

/* One panel lies on one side only: it decides where the join is. */
static EngineJoinPlace
place_beside_single (const ModelPanel *single, const ModelPanel *mirrored, ModelSide only, bool single_is_b)
{
  ModelSide side = single->side;
  if (side == MODEL_SIDE_CENTRE)
    side = only != MODEL_SIDE_CENTRE ? only : engine_panel_drawn_side (mirrored);
  EngineJoinPlace place = { side, side, side };
  if (single_is_b)
    place.side_b = single->side;
  else
    place.side_a = single->side;
  return place;
}

int
engine_join_places (const ModelDocument *doc, const ModelJoin *join, EngineJoinPlace out[2])
{
  const ModelPanel *pa = model_document_panel (doc, join->a.panel_id);
  const ModelPanel *pb
    = join->b.panel_id == join->a.panel_id ? pa : model_document_panel (doc, join->b.panel_id);
  if (!pa || !pb)
    return 0;
  bool two_a = engine_panel_is_mirrored (pa), two_b = pa == pb ? two_a : engine_panel_is_mirrored (pb);
  if (!two_a && !two_b)
  {
    out[0] = (EngineJoinPlace) { MODEL_SIDE_CENTRE, pa->side, pb->side };
    return 1;
  }
  if (!two_a || !two_b)
  {
    out[0] = two_b ? place_beside_single (pa, pb, join->only, false)
                   : place_beside_single (pb, pa, join->only, true);
    return 1;
  }
  if (model_runs_are_same (&join->a, &join->b))
  {
    ModelSide drawn = engine_panel_drawn_side (pa), other = model_side_other (drawn);
    bool a_across = join->a.twin && !join->b.twin;
    out[0] = (EngineJoinPlace) { MODEL_SIDE_CENTRE, a_across ? other : drawn, a_across ? drawn : other };
    return 1;
  }
  bool across = join->a.twin != join->b.twin;
  int n = 0;
  for (int i = 0; i < 2; i++)
  {
    ModelSide side = i == 0 ? MODEL_SIDE_LEFT : MODEL_SIDE_RIGHT, other = model_side_other (side);
    if (join->only == MODEL_SIDE_CENTRE || join->only == side)
      out[n++] = (EngineJoinPlace) { side, across && join->a.twin ? other : side,
                                     across && join->b.twin ? other : side };
  }
  return n;
}

double
engine_join_allowance_mm (const ModelJoin *join, bool is_b)
{
  switch (join->kind)
  {
  case MODEL_JOIN_FLUSH:
  case MODEL_JOIN_GAP:
    return 0.0;
  case MODEL_JOIN_LAPPED:
    return is_b == join->b_over ? 0.0 : join->lap_mm;
  case MODEL_JOIN_STITCHED:
    return join->allowance_mm;
  }
  return 0.0;
}

/* Raises OUT_MM where RUN asks for more. */
static void
raise_run (const ModelPanel *panel, const ModelRun *run, double wanted_mm, double *out_mm)
{
  for (guint i = 0; i < run->edges->len; i++)
  {
    int index = model_panel_find_edge (panel, g_array_index (run->edges, guint, i));
    if (index >= 0 && !model_panel_edge (panel, (guint)index)->has_allowance && out_mm[index] < wanted_mm)
      out_mm[index] = wanted_mm;
  }
}

void
engine_panel_allowances (
  const ModelDocument *doc, const ModelPanel *panel, const GPtrArray *joins, ModelSide side, double *out_mm)
{
  if (!joins)
    joins = doc->joins;
  bool mirrored = engine_panel_is_mirrored (panel);
  for (guint i = 0; i < panel->edges->len; i++)
  {
    const ModelEdge *edge = model_panel_edge (panel, i);
    out_mm[i] = edge->has_allowance ? edge->allowance_mm : 0.0;
  }
  for (guint i = 0; i < joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (joins, i);
    bool on_a = join->a.panel_id == panel->id, on_b = join->b.panel_id == panel->id;
    double want_a = on_a ? engine_join_allowance_mm (join, false) : 0.0;
    double want_b = on_b ? engine_join_allowance_mm (join, true) : 0.0;
    if (want_a <= 0.0 && want_b <= 0.0)
      continue;
    EngineJoinPlace places[2];
    int n = engine_join_places (doc, join, places);
    for (int k = 0; k < n; k++)
    {
      if (want_a > 0.0 && (!mirrored || places[k].side_a == side))
        raise_run (panel, &join->a, want_a, out_mm);
      if (want_b > 0.0 && (!mirrored || places[k].side_b == side))
        raise_run (panel, &join->b, want_b, out_mm);
    }
  }
}

double
engine_allowance_mm (const ModelDocument *doc, const ModelPanel *panel, const ModelEdge *edge, ModelSide side)
{
  if (edge->has_allowance)
    return edge->allowance_mm;
  int index = model_panel_find_edge (panel, edge->id);
  g_return_val_if_fail (index >= 0, 0.0);
  g_autofree double *all = g_new (double, panel->edges->len);
  engine_panel_allowances (doc, panel, NULL, side, all);
  return all[index];
}
