/* One side of a panel as it was elsewhere, the other as it is.  Both shapes are read first and written
 * afterwards: the other side is kept as mirror image plus correction, so whatever happens to the drawn shape
 * would carry it along. */
#include "model/shape-hold.h"

static bool
same_nodes (const ModelPanel *a, const ModelPanel *b)
{
  if (a->edges->len != b->edges->len)
    return false;
  for (guint e = 0; e < a->edges->len; e++)
  {
    const ModelEdge *ea = model_panel_edge (a, e), *eb = model_panel_edge (b, e);
    if (ea->id != eb->id || ea->nodes->len != eb->nodes->len)
      return false;
    for (guint n = 0; n < ea->nodes->len; n++)
      if (model_edge_node (ea, n)->id != model_edge_node (eb, n)->id)
        return false;
  }
  return true;
}

/* A side's nodes in outline order. */
static GArray *
side_nodes (const ModelPanel *panel, ModelSide side)
{
  ModelHold hold = model_hold ((ModelPanel *)panel, side); /* only read */
  GArray *nodes = g_array_new (FALSE, FALSE, sizeof (ModelNode));
  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++)
    {
      ModelNode node = model_hold_get (&hold, (ModelSeat) { e, n });
      g_array_append_val (nodes, node);
    }
  return nodes;
}

bool
model_shape_take_side (ModelPanel *panel, const ModelPanel *from, ModelSide side, GeomAffine map)
{
  if (!same_nodes (panel, from) || panel->halves != from->halves || panel->side != from->side)
    return false;
  bool single = panel->halves == MODEL_HALVES_SINGLE;
  bool other = !single && side != MODEL_SIDE_CENTRE && side != panel->side;
  ModelSide drawn_side = single ? MODEL_SIDE_CENTRE : panel->side;
  g_autoptr (GArray) drawn = side_nodes (panel, drawn_side);
  g_autoptr (GArray) twin = side_nodes (panel, model_side_other (panel->side));
  g_autoptr (GArray) taken = side_nodes (from, other ? model_side_other (panel->side) : drawn_side);
  ModelHold hold = model_hold (panel, MODEL_SIDE_CENTRE);
  GeomAffine mirror = model_panel_mirror (panel);
  GArray *to = other ? twin : drawn;
  guint i = 0;
  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++, i++)
    {
      ModelNode *place = &g_array_index (to, ModelNode, i);
      ModelNode node = model_hold_mapped (g_array_index (taken, ModelNode, i), &map);
      /* Both sides share the fold's corners: they stay. */
      if (model_hold_on_axis (&hold, (ModelSeat) { e, n }))
        model_hold_shift (&node, geom_sub (place->at, node.at));
      place->at = node.at;
      place->in = node.in;
      place->out = node.out;
      model_hold_bound (place);
    }
  i = 0;
  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++, i++)
    {
      const ModelNode *node = &g_array_index (drawn, ModelNode, i);
      ModelNode *seat = model_hold_node (panel, (ModelSeat) { e, n });
      seat->at = node->at;
      seat->in = node->in;
      seat->out = node->out;
    }
  if (single)
    return true;
  i = 0;
  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++, i++)
      model_hold_set_twin (panel, &mirror, (ModelSeat) { e, n }, g_array_index (twin, ModelNode, i));
  panel->own_sides = panel->corrections->len > 0;
  return true;
}
