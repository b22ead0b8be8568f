/* Reshaping one panel: the deeds of the drawing tools, without a window.
 *
 * All functions change PANEL in place: work on a copy and put it with model_repair_put_panel
 * (model/repair.h), which mends the joins of edges that were split, merged or turned round.
 *
 * SIDE says which side the maker has hold of: the drawn one or, where the panel has own sides, the other;
 * then the deed lands in the corrections.  On a mirrored panel the other side's deed is mirrored onto the
 * drawn one.  Positions are those of that side on the canvas. CENTRE, and any side of a single panel, is the
 * drawn one.
 *
 * Locked panels, locked edges and the end corners of locked edges do not move.  A fold stays straight and on
 * its axis: its two corners only slide along it, it keeps at least a millimetre, and both sides share the
 * corners, so that a slide on either side is a slide of both.  Moving all nodes of a fold panel moves its
 * axis along.
 *
 * Deeds that change the outline's nodes keep marks where they were, and keep the other side's own shape,
 * whether corrections are set aside or not.  Deeds that reshape an edge leave its marks at their length from
 * its first corner.  Places beyond what a file can hold (MODEL_FILE_MAX_MM) are brought to its rim; a deed on
 * the whole panel that would go beyond does nothing.  NaN does nothing.
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

/* Where a node (or one of its handles) lies on SIDE.  False: no such node. */
bool
model_shape_where (const ModelPanel *panel, ModelSide side, guint node_id, ModelHandle handle, GeomPoint *at);
/* Moves nodes with their handles by a vector.  Unknown ids are passed over, an id given twice counts once. */
void
model_shape_move_nodes (ModelPanel *panel, ModelSide side, const guint *node_ids, guint count, GeomPoint by);
/* Puts one node at TO. */
void model_shape_place_node (ModelPanel *panel, ModelSide side, guint node_id, GeomPoint to);
/* Puts a handle at TO; the partner follows by the node's kind.  Beside a piece without a handle at this node
 * a smooth node's handle stays in that piece's line. */
void
model_shape_place_handle (ModelPanel *panel, ModelSide side, guint node_id, ModelHandle handle, GeomPoint to);
/* Pulls the curve itself: the piece after node (EDGE, NODE) so that its point at T comes to TO.  Ends stay;
 * of all changes of the two handles the smallest is made, so near an end mostly that end's handle moves;
 * smooth and even nodes keep their kind, and where that binds both handles the point comes as near as it can.
 * T must lie in 0.0001 .. 0.9999. */
void model_shape_pull_piece (
  ModelPanel *panel, ModelSide side, guint edge_id, guint node_index, double t, GeomPoint to);
/* A new node at T of a piece, strictly inside 0..1; both sides' curves stay what they are.  Returns its id;
 * 0, and nothing changed, if there is no such piece or it is locked or part of a fold.  Even neighbours
 * become smooth ones. */
guint
model_shape_insert_node (ModelPanel *panel, ModelDocument *ids, guint edge_id, guint node_index, double t);
/* The same, as a corner: the edge becomes two; the second is named like the first.  Returns the new edge's
 * id, or 0 as above. */
guint
model_shape_insert_corner (ModelPanel *panel, ModelDocument *ids, guint edge_id, guint node_index, double t);
/* Takes a node out; its neighbours' handles are fitted so that the curve stays near on both sides, with its
 * end tangents.  What was put in by insert_node goes out without a trace.  A corner merges its two edges (the
 * earlier one's name and id stay); the only corner of a loop hands its office to the next node.  False, and
 * nothing changed, if fewer than two nodes would remain, or two with straight pieces between them, or if a
 * fold or a locked edge ends there. */
bool model_shape_delete_node (ModelPanel *panel, guint node_id);
/* Smooth: handles into one line, the direction between their own; even: and to their mean length.  Missing
 * handles are made.  On both sides.  The first node of an edge stays a corner. */
void model_shape_set_kind (ModelPanel *panel, guint node_id, ModelNodeKind kind);
/* Straight piece after the node, or curved with handles at the thirds, on both sides.  A smooth node that is
 * no longer smooth for it becomes a corner by kind. */
void model_shape_set_piece_straight (ModelPanel *panel, guint edge_id, guint node_index, bool straight);
/* Changes an edge's length to MM (to 1e-9), keeping its shape and its first corner (or its last, KEEP_END):
 * scaled about that corner, the handle of the neighbouring edge at the other one goes along; marks keep their
 * part of the edge.  Where the moving corner may only slide on a fold, the edge is turned about the fixed one
 * as well, so that both hold.  False, and nothing changed, if the edge has no length or is locked, the moving
 * corner is held by a locked neighbour or the fold is out of reach, or MM is not positive. */
bool model_shape_set_edge_length (ModelPanel *panel, ModelSide side, guint edge_id, double mm, bool keep_end);
/* The whole panel through a map without shear (move, turn, mirror, scale), locked or not.  A reflection turns
 * the outline round so that it stays counter-clockwise.  A fold's axis and other side go along; a pair's
 * mirror line stays, so its twin goes the mirrored way. */
void model_shape_map (ModelPanel *panel, GeomAffine map);
/* Turns a copy into a panel of its own: fresh ids for itself, edges, nodes and marks. */
void model_shape_renew_ids (ModelPanel *panel, ModelDocument *ids);
/* Drawn on the other side from now on: what was the other side, as shown, is now the drawn shape, and the
 * corrections are turned round so that the other side is what was drawn.  Marks keep their part of the drawn
 * edge.  Twice is nothing.  Does nothing on a single panel. */
void model_shape_swap_sides (ModelPanel *panel);
/* Own sides on or off; corrections are set aside, not lost.  Does nothing on a single panel. */
void model_shape_set_own_sides (ModelPanel *panel, bool own);
/* Gives SIDE the shape it has in FROM, an earlier or later state of the same panel, laid through MAP; the
 * other side stays as it is, to the rounding of the mirror, and what differs becomes a correction.  The
 * corners of a fold, which both sides share, stay.  A single panel is taken whole.  False, and nothing
 * changed, where the two have not the same nodes, or are not halved alike. */
bool model_shape_take_side (ModelPanel *panel, const ModelPanel *from, ModelSide side, GeomAffine map);
/* Forgets the corrections of all nodes, or of one edge's nodes (its two corners included). */
void model_shape_clear_corrections (ModelPanel *panel, guint edge_id_or_0);
/* A new panel from corners and curves drawn by hand: NODES closed, in either direction; each one of kind
 * CORNER begins an edge, without any the first does.  Gives ids; edges are named "".  NULL if fewer than two
 * nodes, no area, or a place beyond what a file can hold. */
ModelPanel *model_shape_new_panel (ModelDocument *ids, const ModelNode *nodes, guint count);
/* Makes EDGE the fold: one straight piece on the upright or level line through its chord's middle, or on the
 * chord's own line if neither is within one degree of it; halves = FOLD.  A side is given to a panel that had
 * none: left if the panel lies to the right of its fold.  False if the edge is the only one, locked, shorter
 * than a millimetre, or would have to move a locked corner. */
bool model_shape_make_fold (ModelPanel *panel, guint edge_id);
/* A mark at T (0..1) of a piece, one wedge or two.  Returns its id, 0 if there is no such piece. */
guint model_shape_add_mark (
  ModelPanel *panel, ModelDocument *ids, guint edge_id, guint node_index, double t, int wedges);

#endif
