/* Reshaping one panel: the deeds of the drawing tools, without a window.
 *
 * All functions change PANEL in place (work on a copy and put it into the history).  SIDE says which side the maker has hold of: the drawn one, or,
 * where the panel has own sides, the other, and then the deed lands in the corrections.  On a mirrored panel the other side's deed is mirrored onto the
 * drawn one.  Positions are those of that side on the canvas.  Locked edges and their end corners do not move.  Fold edges stay straight and on their axis.
 * Deeds that change the outline keep marks at the place on the edge where they were, and keep the other side's own shape.
 */
#ifndef MODEL_SHAPE_H
#define MODEL_SHAPE_H

#include "model/document.h"

typedef enum ModelHandle
{
  MODEL_HANDLE_NONE, /* the node itself */
  MODEL_HANDLE_IN,
  MODEL_HANDLE_OUT
} ModelHandle;

/* Where a node (or one of its handles) lies on SIDE. */
bool model_shape_where (const ModelPanel *panel, ModelSide side, guint node_id, ModelHandle handle, GeomPoint *at);
/* Moves nodes with their handles by a vector. */
void model_shape_move_nodes (ModelPanel *panel, ModelSide side, const guint *node_ids, guint count, GeomPoint by);
/* Puts one node at TO. */
void model_shape_place_node (ModelPanel *panel, ModelSide side, guint node_id, GeomPoint to);
/* Puts a handle at TO; the partner follows by the node's kind. */
void model_shape_place_handle (ModelPanel *panel, ModelSide side, guint node_id, ModelHandle handle, GeomPoint to);
/* Pulls the curve itself: the piece after node (EDGE, NODE) so that its point at T comes to TO; ends stay; near an end mostly that end's handle moves. */
void model_shape_pull_piece (ModelPanel *panel, ModelSide side, guint edge_id, guint node_index, double t, GeomPoint to);
/* A new node at T of a piece; the shape stays to the last bit it can.  Returns its id. */
guint model_shape_insert_node (ModelPanel *panel, ModelDocument *ids, guint edge_id, guint node_index, double t);
/* The same, as a corner: the edge becomes two; the second is named like the first.  Returns the new edge's id, 0 if the edge is a fold. */
guint model_shape_insert_corner (ModelPanel *panel, ModelDocument *ids, guint edge_id, guint node_index, double t);
/* Takes a node out; its neighbours' handles are fitted so that the curve stays near.  A corner merges its two edges (the earlier one's name stays).
 * False, and nothing changed, if fewer than two nodes would remain, if two nodes with straight pieces would, or if a fold edge would go. */
bool model_shape_delete_node (ModelPanel *panel, guint node_id);
void model_shape_set_kind (ModelPanel *panel, guint node_id, ModelNodeKind kind);
/* Straight piece after the node, or curved with handles at the thirds. */
void model_shape_set_piece_straight (ModelPanel *panel, guint edge_id, guint node_index, bool straight);
/* Changes an edge's length to MM, keeping its shape and its first corner (or its last, KEEP_END): scaled along its chord, the neighbour's end follows.
 * False if the edge has no length, is locked or MM is not positive. */
bool model_shape_set_edge_length (ModelPanel *panel, ModelSide side, guint edge_id, double mm, bool keep_end);
/* The whole panel through a map without shear (move, turn, mirror, scale).  A reflection reverses the outline so that it stays counter-clockwise. */
void model_shape_map (ModelPanel *panel, GeomAffine map);
/* Turns a copy into a panel of its own: fresh ids for itself, edges, nodes and marks. */
void model_shape_renew_ids (ModelPanel *panel, ModelDocument *ids);
/* Drawn on the other side from now on: what was the twin is now the drawn shape and the corrections are turned round. */
void model_shape_swap_sides (ModelPanel *panel);
/* Own sides on or off; corrections are set aside, not lost.  Does nothing on a single panel. */
void model_shape_set_own_sides (ModelPanel *panel, bool own);
/* Forgets the corrections of all nodes, or of one edge's nodes (its two corners included). */
void model_shape_clear_corrections (ModelPanel *panel, guint edge_id_or_0);
/* A new panel from corners and curves drawn by hand: NODES closed, in either direction, corners marked by kind.  Gives it ids and edges named "". NULL if fewer
 * than two nodes or no area. */
ModelPanel *model_shape_new_panel (ModelDocument *ids, const ModelNode *nodes, guint count);
/* Makes EDGE the fold: straightened onto the upright or level line nearest to its chord (its chord's own line if neither is within one degree), halves = FOLD. */
bool model_shape_make_fold (ModelPanel *panel, guint edge_id);
/* A mark at T of a piece. Returns its id. */
guint model_shape_add_mark (ModelPanel *panel, ModelDocument *ids, guint edge_id, guint node_index, double t, int wedges);

#endif
