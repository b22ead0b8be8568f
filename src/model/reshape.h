/* Exact deeds on an outline: what a maker does with a rule, a pair of compasses and a pencil.
 *
 * Each function works on PANEL in place, all or nothing: false, and nothing changed, with ERROR (of
 * MODEL_REWORK_ERROR, in words for the maker) where it cannot be done.  Work on a copy and put it with
 * model_repair_put_panel, which mends joins.
 *
 * SIDE is the side the maker has hold of, as in model/shape.h; places and angles are those of that side.  A
 * deed on the drawn side is done to the other side's own shape as well, each from where its own nodes lie; a
 * deed on a side with corrections lands in the corrections alone.  Where a deed changes the number of nodes,
 * the shape that is not held keeps its curve, split at the same places.
 *
 * What is locked does not move, and a deed that would move it is refused; a fold stays straight, on its axis,
 * and its corners stay shared by both sides.  An outline that would cross itself is refused.  Nodes and edges
 * that outlast a deed keep their ids.  Marks stay where they were, or as near as the new edge comes; where an
 * edge is turned, scaled or drawn anew as a whole they keep their part of its length.
 *
 * Lengths in mm, angles in degrees, counter-clockwise from +x.
 */
#ifndef MODEL_RESHAPE_H
#define MODEL_RESHAPE_H

#include "model/rework.h"
#include "model/shape.h"

/* ---- edges (reshape-edge.c) ---- */

/* Moves an edge outward by BY_MM (below 0: inward), parallel to itself: a straight one exactly, a curved one
 * within 0.02 mm, with nodes added where that asks for them.  Its neighbours are cut where they cross it or
 * run on straight along their tangents to meet it, and so does the edge itself; straight pieces just become
 * longer.  Of several crossings the one with the least way along both counts.  Refused where an end and its
 * neighbour do not meet (the neighbour runs on in line with the edge), where the parallel folds back on
 * itself, or where nothing would be left of a neighbour. */
bool model_reshape_move_edge (
  ModelPanel *panel, ModelDocument *ids, ModelSide side, guint edge_id, double by_mm, GError **error);
/* Moves the edge's last corner (AT_START: its first) on along the tangent there by BY_MM: a straight end
 * piece becomes longer, a curved one gets a straight piece.  Below 0: the edge loses that length, measured
 * along it.  The neighbour's corner comes along with its handle. */
bool model_reshape_extend_edge (ModelPanel *panel,
                                ModelDocument *ids,
                                ModelSide side,
                                guint edge_id,
                                bool at_start,
                                double by_mm,
                                GError **error);
/* One straight piece from corner to corner; inner nodes go. */
bool model_reshape_straighten_edge (ModelPanel *panel, ModelSide side, guint edge_id, GError **error);
/* Turns an edge about its first corner (KEEP_END: its last) until its chord, from its first corner to its
 * last, points to DEG; form and length stay.  The neighbour at the other corner comes along. */
bool model_reshape_set_edge_angle (
  ModelPanel *panel, ModelSide side, guint edge_id, double deg, bool keep_end, GError **error);
/* The direction of the chord, -180..180.  False: no such edge, or its corners lie on one another. */
bool model_reshape_edge_angle (const ModelPanel *panel, ModelSide side, guint edge_id, double *deg);
/* Makes an edge the shorter arc of a circle of RADIUS_MM through its corners, to the side it bulges to now,
 * outward if it is straight.  Drawn as cubics of at most 45 degrees: within 4.3e-6 of the radius (see
 * model_reshape_arc_error).  Refused below half the chord. */
bool model_reshape_set_edge_radius (
  ModelPanel *panel, ModelDocument *ids, ModelSide side, guint edge_id, double radius_mm, GError **error);
/* How far at most a cubic with handles of (4/3) tan (w/4) radii lies outside the arc of W_RAD it stands for,
 * as a part of the radius: (2/27) sin^6 (w/4) / cos^2 (w/4), to first order.
 * Source: M. Goldapp, Approximation of circular arcs by cubic polynomials, Comput. Aided Geom. Design 8
 * (1991). */
double model_reshape_arc_error (double w_rad);

/* ---- corners (reshape-corner.c) ---- */

/* Rounds a corner, or a bend inside an edge, with an arc of RADIUS_MM that touches both curves (found on the
 * curves, not on their tangents).  The corner itself moves to the middle of the arc, so that each edge gets
 * half of it and joins keep their runs.  A corner that was rounded so before gets the new radius.  The arc is
 * drawn as in model_reshape_set_edge_radius.  Refused where there is no bend, or where an edge is too short
 * for the radius. */
bool model_reshape_round_corner (
  ModelPanel *panel, ModelDocument *ids, ModelSide side, guint node_id, double radius_mm, GError **error);
/* The radius a corner was rounded with; false where it is not rounded. */
bool model_reshape_corner_radius (const ModelPanel *panel, ModelSide side, guint node_id, double *radius_mm);
/* Cuts a corner off straight, BY_MM from it along both edges.  The cut is an edge of its own, with the name
 * and the allowance of the one before it; *MADE (may be NULL) gets its id, 0 for a bend inside an edge, where
 * it is a piece. */
bool model_reshape_chamfer_corner (ModelPanel *panel,
                                   ModelDocument *ids,
                                   ModelSide side,
                                   guint node_id,
                                   double by_mm,
                                   guint *made,
                                   GError **error);
/* An inner node becomes a corner: the edge becomes two, the second named like the first.  *MADE (may be NULL)
 * gets the second's id. */
bool
model_reshape_split_edge (ModelPanel *panel, ModelDocument *ids, guint node_id, guint *made, GError **error);
/* A corner becomes an inner node: its two edges become one, with the earlier one's id, name and allowance.
 * Refused at a fold, a lock, and where there is one edge only. */
bool model_reshape_merge_edges (ModelPanel *panel, guint node_id, GError **error);

/* ---- nodes (reshape-nodes.c) ---- */

/* Nodes with their handles through a map about a point (move, turn, scale).  Locked nodes stay; corners of
 * the fold go as far as its axis lets them.  All nodes of a panel: model_shape_map.  The outline may cross
 * itself: a hand is still moving it. */
bool model_reshape_map_nodes (
  ModelPanel *panel, ModelSide side, const guint *node_ids, guint count, GeomAffine map, GError **error);
/* Brings nodes to one height (PLUMB: one above another) with the least moving: the mean of all, or where
 * locked nodes and corners of a fold hold them.  Refused where two such do not agree. */
bool model_reshape_level_nodes (
  ModelPanel *panel, ModelSide side, const guint *node_ids, guint count, bool plumb, GError **error);
/* The same for both corners of an edge; what lies between follows turned and scaled. */
bool model_reshape_level_edge (ModelPanel *panel, ModelSide side, guint edge_id, bool plumb, GError **error);

/* ---- fairing (reshape-fair.c) ---- */

/* Evens the curvature from one node to another, in the direction of the outline (the same node twice, or 0
 * twice with an edge: not possible; give the edge's corners): of all near shapes with the same ends and end
 * tangents the one with the least
 *     L^3 integral (d curvature / d length)^2  +  weight * sum (displacement / L)^2
 * by Gauss-Newton steps on the inner nodes' places (across the curve), tangents and handles; the weight is
 * the least, of a falling row, with which nothing moves farther than MOST_MM.  Bends of more than 30 degrees
 * inside stay where they are and end a stretch.
 * Source of the measure: H. P. Moreton and C. H. Sequin, Functional optimization for fair surface design,
 * SIGGRAPH 1992 (minimum variation curve); of the steps: Levenberg-Marquardt.
 * *MOVED_MM (may be NULL) gets how far the farthest point moved.  Refused where there is nothing to even. */
bool model_reshape_fair (ModelPanel *panel,
                         ModelSide side,
                         guint from_node_id,
                         guint to_node_id,
                         double most_mm,
                         double *moved_mm,
                         GError **error);
/* The measure alone, L^3 integral (d curvature / d length)^2, of a path without its bends. */
double model_reshape_unevenness (const GeomPath *path);

/* ---- redrawing (reshape-redraw.c) ---- */

typedef struct ModelRedraw
{
  double reach_mm;     /* how near to the outline the stroke must begin and end */
  double tolerance_mm; /* how near to the stroke the new outline stays */
  double corner_rad;   /* a sharper turn of the stroke is a corner; 0: none is */
} ModelRedraw;

/* Replaces the part of the outline between the stroke's two ends by the stroke, in whichever direction it was
 * drawn.  Of the two parts the one that lies nearer to the stroke goes.  Where the stroke leaves the outline
 * at less than CORNER_RAD the new curve takes up its direction.  Corners inside the part lie on the new
 * curve: at the stroke's own corner where there is one within three reaches, else at its nearest point, in
 * order. */
bool model_reshape_redraw (ModelPanel *panel,
                           ModelDocument *ids,
                           ModelSide side,
                           const GeomPoint *points,
                           guint count,
                           ModelRedraw how,
                           GError **error);
/* Whether a stroke from A to B would be taken for one: both ends within reach of the outline of that side,
 * and apart. */
bool
model_reshape_touches (const ModelPanel *panel, ModelSide side, GeomPoint a, GeomPoint b, double reach_mm);

#endif
