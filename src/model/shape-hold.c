#include "model/shape-hold.h"

ModelHold
model_hold (ModelPanel *panel, ModelSide side)
{
  ModelHold hold = { .panel = panel, .mirror = model_panel_mirror (panel), .fold = -1 };

  hold.other = panel->halves != MODEL_HALVES_SINGLE && side != MODEL_SIDE_CENTRE && side != panel->side;
  hold.own = hold.other && panel->own_sides;
  if (panel->halves == MODEL_HALVES_FOLD)
  {
    hold.fold = model_panel_fold_edge (panel);
    if (hold.fold >= 0)
    {
      ModelSeat first = { (guint)hold.fold, 0 };
      ModelSeat end = { ((guint)hold.fold + 1) % panel->edges->len, 0 };

      hold.axis_at = model_hold_node (panel, first)->at;
      hold.axis_dir = geom_unit (geom_sub (model_hold_node (panel, end)->at, hold.axis_at));
    }
  }
  return hold;
}

bool
model_hold_on_axis (const ModelHold *hold, ModelSeat seat)
{
  if (hold->fold < 0)
    return false;
  return seat.edge == (guint)hold->fold
         || (seat.node == 0 && seat.edge == ((guint)hold->fold + 1) % hold->panel->edges->len);
}

/* The mirror leaves the axis where it is; its rounding need not.  Handles that lie on the node go with it. */
static void
settle_on_axis (ModelNode *node, GeomPoint at)
{
  bool no_in = !model_hold_has_handle (node, MODEL_HANDLE_IN);
  bool no_out = !model_hold_has_handle (node, MODEL_HANDLE_OUT);

  node->at = at;
  if (no_in)
    node->in = at;
  if (no_out)
    node->out = at;
}

ModelNode
model_hold_get (const ModelHold *hold, ModelSeat seat)
{
  ModelNode drawn = *model_hold_node (hold->panel, seat);
  ModelNode node = drawn;

  if (hold->own)
    node = model_hold_twin (hold->panel, &hold->mirror, seat);
  else if (hold->other)
    node = model_hold_mapped (drawn, &hold->mirror);
  if (hold->other && model_hold_on_axis (hold, seat))
    settle_on_axis (&node, drawn.at);
  return node;
}

static double
bounded (double v)
{
  return CLAMP (v, -MODEL_FILE_MAX_MM, MODEL_FILE_MAX_MM);
}

bool
model_hold_in_bounds (GeomPoint p)
{
  return fabs (p.x) <= MODEL_FILE_MAX_MM && fabs (p.y) <= MODEL_FILE_MAX_MM;
}

static GeomPoint
bounded_point (GeomPoint p)
{
  return geom_point (bounded (p.x), bounded (p.y));
}

void
model_hold_bound (ModelNode *node)
{
  node->at = bounded_point (node->at);
  /* What the mirror's rounding left of "no handle" is none. */
  node->in = model_hold_has_handle (node, MODEL_HANDLE_IN) ? bounded_point (node->in) : node->at;
  node->out = model_hold_has_handle (node, MODEL_HANDLE_OUT) ? bounded_point (node->out) : node->at;
}

static void
write_drawn (ModelNode *drawn, ModelNode node)
{
  drawn->at = node.at;
  drawn->in = node.in;
  drawn->out = node.out;
  model_hold_bound (drawn);
}

void
model_hold_put (const ModelHold *hold, ModelSeat seat, ModelNode node)
{
  ModelNode *drawn = model_hold_node (hold->panel, seat);
  bool on_axis = model_hold_on_axis (hold, seat);

  if (!model_hold_is_finite (node.at) || !model_hold_is_finite (node.in) || !model_hold_is_finite (node.out))
    return;
  if (!hold->other)
    write_drawn (drawn, node);
  else if (!hold->own)
  {
    ModelNode mirrored = model_hold_mapped (node, &hold->mirror);

    if (on_axis)
      settle_on_axis (&mirrored, node.at);
    write_drawn (drawn, mirrored);
  }
  else
  {
    if (on_axis && !geom_same_point (node.at, drawn->at))
    {
      ModelNode moved = *drawn;

      model_hold_shift (&moved, geom_sub (node.at, drawn->at));
      write_drawn (drawn, moved);
    }
    model_hold_set_twin (hold->panel, &hold->mirror, seat, node);
  }
}

ModelNode
model_hold_twin (const ModelPanel *panel, const GeomAffine *mirror, ModelSeat seat)
{
  ModelNode drawn = *model_hold_node (panel, seat);
  ModelNode twin = model_hold_mapped (drawn, mirror);
  const ModelCorrection *correction = model_panel_find_correction (panel, drawn.id);

  if (correction != NULL)
  {
    twin.at = geom_add (twin.at, correction->at);
    twin.in = geom_add (twin.in, correction->in);
    twin.out = geom_add (twin.out, correction->out);
  }
  return twin;
}

void
model_hold_set_twin (ModelPanel *panel, const GeomAffine *mirror, ModelSeat seat, ModelNode twin)
{
  const ModelNode *drawn = model_hold_node (panel, seat);
  ModelNode plain = model_hold_mapped (*drawn, mirror);
  ModelCorrection correction = { .node_id = drawn->id,
                                 .at = bounded_point (geom_sub (twin.at, plain.at)),
                                 .in = bounded_point (geom_sub (twin.in, plain.in)),
                                 .out = bounded_point (geom_sub (twin.out, plain.out)) };
  ModelCorrection *present = model_panel_find_correction (panel, drawn->id);
  int fold = panel->halves == MODEL_HALVES_FOLD ? model_panel_fold_edge (panel) : -1;

  if (fold >= 0)
  {
    bool in_fold = seat.edge == (guint)fold;
    bool after_fold = seat.node == 0 && seat.edge == ((guint)fold + 1) % panel->edges->len;

    if (in_fold || after_fold)
      correction.at = geom_point (0.0, 0.0);
    if (in_fold)
      correction.out = geom_point (0.0, 0.0);
    if (after_fold || (in_fold && seat.node > 0))
      correction.in = geom_point (0.0, 0.0);
  }
  if (geom_norm (correction.at) <= MODEL_HOLD_NOISE_MM && geom_norm (correction.in) <= MODEL_HOLD_NOISE_MM
      && geom_norm (correction.out) <= MODEL_HOLD_NOISE_MM)
    model_hold_drop_correction (panel, drawn->id);
  else if (present != NULL)
    *present = correction;
  else
    g_array_append_val (panel->corrections, correction);
}

bool
model_hold_has_correction (const ModelPanel *panel, ModelSeat seat)
{
  return model_panel_find_correction (panel, model_hold_node (panel, seat)->id) != NULL;
}

void
model_hold_drop_correction (ModelPanel *panel, guint node_id)
{
  for (guint i = panel->corrections->len; i-- > 0;)
    if (g_array_index (panel->corrections, ModelCorrection, i).node_id == node_id)
      g_array_remove_index (panel->corrections, i);
}

ModelSeat
model_hold_next (const ModelPanel *panel, ModelSeat seat)
{
  if (seat.node + 1 < model_panel_edge (panel, seat.edge)->nodes->len)
    return (ModelSeat) { seat.edge, seat.node + 1 };
  return (ModelSeat) { (seat.edge + 1) % panel->edges->len, 0 };
}

ModelSeat
model_hold_previous (const ModelPanel *panel, ModelSeat seat)
{
  guint edge = (seat.edge + panel->edges->len - 1) % panel->edges->len;

  if (seat.node > 0)
    return (ModelSeat) { seat.edge, seat.node - 1 };
  return (ModelSeat) { edge, model_panel_edge (panel, edge)->nodes->len - 1 };
}

bool
model_hold_find (const ModelPanel *panel, guint node_id, ModelSeat *seat)
{
  return model_panel_find_node (panel, node_id, &seat->edge, &seat->node);
}

bool
model_hold_find_piece (const ModelPanel *panel, guint edge_id, guint node_index, ModelSeat *seat)
{
  int edge = model_panel_find_edge (panel, edge_id);

  if (edge < 0 || node_index >= model_panel_edge (panel, (guint)edge)->nodes->len)
    return false;
  *seat = (ModelSeat) { (guint)edge, node_index };
  return true;
}

bool
model_hold_is_locked (const ModelPanel *panel, ModelSeat seat)
{
  if (panel->locked || model_panel_edge (panel, seat.edge)->locked)
    return true;
  return seat.node == 0 && model_panel_edge (panel, model_hold_previous (panel, seat).edge)->locked;
}

bool
model_hold_is_fixed_piece (const ModelPanel *panel, ModelSeat seat)
{
  const ModelEdge *edge = model_panel_edge (panel, seat.edge);

  return panel->locked || edge->locked || (edge->fold && panel->halves == MODEL_HALVES_FOLD);
}

bool
model_hold_has_handle (const ModelNode *node, ModelHandle handle)
{
  switch (handle)
  {
  case MODEL_HANDLE_NONE:
    return false;
  case MODEL_HANDLE_IN:
    return geom_distance (node->at, node->in) > MODEL_HOLD_NO_HANDLE_MM;
  case MODEL_HANDLE_OUT:
    return geom_distance (node->at, node->out) > MODEL_HOLD_NO_HANDLE_MM;
  }
  return false;
}

bool
model_hold_is_straight (const ModelNode *a, const ModelNode *b)
{
  return !model_hold_has_handle (a, MODEL_HANDLE_OUT) && !model_hold_has_handle (b, MODEL_HANDLE_IN);
}

GeomCubic
model_hold_cubic (const ModelNode *a, const ModelNode *b)
{
  if (model_hold_is_straight (a, b))
    return geom_cubic_line (a->at, b->at);
  return (GeomCubic) { { a->at, a->out, b->in, b->at } };
}

GeomCubic
model_hold_piece (const ModelHold *hold, ModelSeat seat)
{
  ModelNode a = model_hold_get (hold, seat);
  ModelNode b = model_hold_get (hold, model_hold_next (hold->panel, seat));

  return model_hold_cubic (&a, &b);
}

double
model_hold_length (const ModelHold *hold, guint edge_index)
{
  guint count = model_panel_edge (hold->panel, edge_index)->nodes->len;
  double length = 0.0;

  for (guint i = 0; i < count; i++)
  {
    GeomCubic c = model_hold_piece (hold, (ModelSeat) { edge_index, i });

    length += geom_cubic_length (&c, MODEL_HOLD_LENGTH_ACCURACY_MM);
  }
  return length;
}

double
model_hold_edge_length (const ModelPanel *panel, guint edge_index)
{
  ModelHold hold = { .panel = (ModelPanel *)panel, .fold = -1 }; /* only read */

  return model_hold_length (&hold, edge_index);
}
