/* Holding one side of a panel: nodes read and written in that side's own coordinates.  Private to the shape
 * files.
 *
 * Three ways a deed can land:
 *   drawn side held                 -> on the nodes themselves
 *   other side, mirrored            -> through the mirror onto the nodes
 *   other side, panel has own sides -> in the corrections
 * Corners of a fold belong to both sides: their place is always written to the drawn nodes, whichever side is
 * held, for otherwise the opened panel would gape in the middle.
 */
#ifndef MODEL_SHAPE_HOLD_H
#define MODEL_SHAPE_HOLD_H

#include "model/file.h"
#include "model/shape.h"

/* Closer than this to its node a handle counts as lying on it: a hundred times the rounding at
 * MODEL_FILE_MAX_MM. */
#define MODEL_HOLD_NO_HANDLE_MM 1e-9
/* A correction smaller than this is rounding left by the mirror and is not kept. */
#define MODEL_HOLD_NOISE_MM 1e-10
/* A fold keeps at least this length, for its line is the mirror. */
#define MODEL_HOLD_MIN_FOLD_MM 1.0
/* Lengths measured while shaping. */
#define MODEL_HOLD_LENGTH_ACCURACY_MM 1e-11

typedef struct ModelHold
{
  ModelPanel *panel;
  bool other, own;
  GeomAffine mirror;
  int fold;                    /* index of the fold edge, -1: none */
  GeomPoint axis_at, axis_dir; /* the fold's line from its first corner, DIR of length 1 */
} ModelHold;

/* Node NODE of edge EDGE. */
typedef struct ModelSeat
{
  guint edge, node;
} ModelSeat;

ModelHold model_hold (ModelPanel *panel, ModelSide side);
ModelNode model_hold_get (const ModelHold *hold, ModelSeat seat);
/* NODE's id and kind are not written.  Places beyond what a file can hold are brought to its rim. */
void model_hold_put (const ModelHold *hold, ModelSeat seat, ModelNode node);
bool model_hold_on_axis (const ModelHold *hold, ModelSeat seat);

/* The other side's node with its correction, whether corrections are set aside or not. */
ModelNode model_hold_twin (const ModelPanel *panel, const GeomAffine *mirror, ModelSeat seat);
/* Writes the correction that brings the other side's node to TWIN, or drops it where none is needed. */
void model_hold_set_twin (ModelPanel *panel, const GeomAffine *mirror, ModelSeat seat, ModelNode twin);
bool model_hold_has_correction (const ModelPanel *panel, ModelSeat seat);
void model_hold_drop_correction (ModelPanel *panel, guint node_id);

static inline ModelNode *
model_hold_node (const ModelPanel *panel, ModelSeat seat)
{
  return model_edge_node (model_panel_edge (panel, seat.edge), seat.node);
}

ModelSeat model_hold_next (const ModelPanel *panel, ModelSeat seat);
ModelSeat model_hold_previous (const ModelPanel *panel, ModelSeat seat);
static inline bool
model_hold_same (ModelSeat a, ModelSeat b)
{
  return a.edge == b.edge && a.node == b.node;
}

/* False: the panel has no such node. */
bool model_hold_find (const ModelPanel *panel, guint node_id, ModelSeat *seat);
/* False: the panel has no such edge or that no such node. */
bool model_hold_find_piece (const ModelPanel *panel, guint edge_id, guint node_index, ModelSeat *seat);

/* An end or an inner node of a locked edge, or the panel is locked. */
bool model_hold_is_locked (const ModelPanel *panel, ModelSeat seat);
/* The piece after SEAT may not change its form: locked, or part of a fold. */
bool model_hold_is_fixed_piece (const ModelPanel *panel, ModelSeat seat);

bool model_hold_has_handle (const ModelNode *node, ModelHandle handle);
/* The curve from A to B; even speed where neither handle is there. */
GeomCubic model_hold_cubic (const ModelNode *a, const ModelNode *b);
bool model_hold_is_straight (const ModelNode *a, const ModelNode *b);
/* As held. */
GeomCubic model_hold_piece (const ModelHold *hold, ModelSeat seat);
/* As drawn, and on the other side. */
double model_hold_edge_length (const ModelPanel *panel, guint edge_index);
double model_hold_length (const ModelHold *hold, guint edge_index);

static inline bool
model_hold_is_finite (GeomPoint p)
{
  return isfinite (p.x) && isfinite (p.y);
}
bool model_hold_in_bounds (GeomPoint p);
/* Brings what lies beyond what a file can hold to its rim, and handles that all but lie on the node onto it.
 */
void model_hold_bound (ModelNode *node);

static inline void
model_hold_shift (ModelNode *node, GeomPoint by)
{
  node->at = geom_add (node->at, by);
  node->in = geom_add (node->in, by);
  node->out = geom_add (node->out, by);
}

static inline ModelNode
model_hold_mapped (ModelNode node, const GeomAffine *map)
{
  node.at = geom_affine_apply (*map, node.at);
  node.in = geom_affine_apply (*map, node.in);
  node.out = geom_affine_apply (*map, node.out);
  return node;
}

#endif
