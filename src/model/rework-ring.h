/* What the larger deeds work on: an outline with both sides' shapes laid on one another.  Private to the
 * rework files.
 *
 * A ring holds the nodes of a panel twice: as drawn, and as the other side has them, mirrored back onto the
 * drawn side.  So a deed is a loop over two shapes that share nodes and edges, and corrections come out of
 * the difference when the ring becomes a panel again.  Marks are held by the node their piece starts at and
 * t, and so follow whatever happens to the outline.
 *
 * A deed runs on a copy of the document with a history of its own; only when all of it has succeeded are the
 * changed parts put into the real one.
 */
#ifndef MODEL_REWORK_RING_H
#define MODEL_REWORK_RING_H

#include "model/repair.h"
#include "model/rework.h"
#include "model/shape-hold.h"

#define REWORK_SHAPES 2
/* A place nearer than this to a node is that node. */
#define REWORK_SAME_PLACE_MM 1e-3
/* Edges, legs and gaps shorter than this are not made: no knife follows them. */
#define REWORK_LEAST_MM 0.5

typedef struct ReworkNode
{
  ModelNode shape[REWORK_SHAPES]; /* ids and kinds of both are those of the first */
} ReworkNode;

typedef struct ReworkEdge
{
  ModelEdge *head; /* its nodes are not used */
  GArray *nodes;   /* ReworkNode */
} ReworkEdge;

typedef struct ReworkMark
{
  ModelMark mark; /* id 0: only a place to be remembered */
  guint node_id;
  double t;
} ReworkMark;

typedef struct ReworkRing
{
  ModelPanel *panel; /* everything but edges, marks and corrections */
  GPtrArray *edges;  /* ReworkEdge */
  GArray *marks;     /* ReworkMark */
} ReworkRing;

ReworkRing *rework_ring_new (const ModelPanel *panel);
void rework_ring_free (ReworkRing *ring);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ReworkRing, rework_ring_free)
/* A panel of the ring as it is; marks whose node is gone are left out. */
ModelPanel *rework_ring_panel (const ReworkRing *ring);

static inline ReworkEdge *
rework_ring_edge (const ReworkRing *ring, guint index)
{
  return (ReworkEdge *)g_ptr_array_index (ring->edges, index % ring->edges->len);
}

static inline ReworkNode *
rework_ring_node (const ReworkRing *ring, ModelSeat seat)
{
  return &g_array_index (rework_ring_edge (ring, seat.edge)->nodes, ReworkNode, seat.node);
}

/* -1: none such. */
int rework_ring_find_edge (const ReworkRing *ring, guint edge_id);
bool rework_ring_find_node (const ReworkRing *ring, guint node_id, ModelSeat *seat);
ModelSeat rework_ring_next (const ReworkRing *ring, ModelSeat seat);
ModelSeat rework_ring_previous (const ReworkRing *ring, ModelSeat seat);
guint rework_ring_node_count (const ReworkRing *ring);
GeomCubic rework_ring_piece (const ReworkRing *ring, ModelSeat seat, int shape);
double rework_ring_edge_length (const ReworkRing *ring, guint edge, int shape);
/* The whole outline of a shape; OUT initialised. */
void rework_ring_path (const ReworkRing *ring, int shape, GeomPath *out);
bool rework_ring_is_fold (const ReworkRing *ring, guint edge);
/* A new edge with the header of LIKE (NULL: an empty one), a fresh id and no nodes, put at INDEX. */
ReworkEdge *
rework_ring_insert_edge (ReworkRing *ring, ModelDocument *ids, guint index, const ReworkEdge *like);

/* A node at T of the piece after SEAT, where T holds for both shapes or is given for each.  The curves stay
 * what they are.  Returns its seat. */
ModelSeat rework_ring_split (ReworkRing *ring, ModelDocument *ids, ModelSeat seat, double t);
ModelSeat
rework_ring_split_each (ReworkRing *ring, ModelDocument *ids, ModelSeat seat, const double t[REWORK_SHAPES]);
/* The edge becomes two at an inner node; returns the index of the one that begins there.  At node 0: that
 * edge. */
guint rework_ring_make_corner (ReworkRing *ring, ModelDocument *ids, ModelSeat seat);
/* The seat of the node at PLACE, made if there is none. */
bool rework_ring_node_at (
  ReworkRing *ring, ModelDocument *ids, ModelReworkPlace place, ModelSeat *seat, GError **error);
/* The corner at PLACE, made if there is none; the edge that begins there. */
bool rework_ring_corner_at (
  ReworkRing *ring, ModelDocument *ids, ModelReworkPlace place, guint *edge_id, GError **error);
/* Remembers a place; its index among the marks. */
bool rework_ring_remember (ReworkRing *ring, ModelReworkPlace place, guint *mark, GError **error);
/* The place a remembered mark has now. */
ModelReworkPlace rework_ring_place_of (const ReworkRing *ring, guint mark);

/* NODES (ReworkNode) of an edge are to become its first one alone: their marks stay at about the same part of
 * it. */
void rework_ring_gather_marks (ReworkRing *ring, const GArray *nodes);
/* The node at SEAT of both shapes through maps. */
void rework_node_map (ReworkNode *node, const GeomAffine map[REWORK_SHAPES]);
/* Where, going along the edge from SEAT (FORWARD or back to its corner), the drawn outline is first seen from
 * CENTRE at ANGLE (radians, signed) from the direction of SEAT's node. */
bool rework_ring_find_angle (const ReworkRing *ring,
                             ModelSeat seat,
                             GeomPoint centre,
                             double angle,
                             bool forward,
                             ModelSeat *piece,
                             double *t);

/* ---- the deed ---- */

typedef struct Rework
{
  ModelHistory *real;
  ModelHistory *history; /* of the copy */
  ModelDocument *doc;    /* the copy */
  GArray *touched;       /* Touched */
  ModelReworkMade made;
} Rework;

void rework_open (Rework *rework, ModelHistory *history);
/* Puts what has changed into the real history as one step and hands over MADE; closes. */
bool rework_commit (Rework *rework, const char *label, ModelReworkMade *made);
/* Closes without a change; false. */
bool rework_abandon (Rework *rework);

/* The panel, unless there is none or it is locked. */
const ModelPanel *rework_panel (const Rework *rework, guint panel_id, GError **error);
/* Both shapes are within what a file can hold, counter-clockwise, and do not cross themselves unless BEFORE
 * did. */
bool rework_is_sound (const ModelPanel *before, const ModelPanel *after, GError **error);
/* Checks the ring's panel against the present one and puts it, MEND as model_repair_put_panel. */
bool rework_put_ring (Rework *rework, const ReworkRing *ring, bool mend, GError **error);

/* Divides every join that runs on over the corner where EDGE of PANEL begins.  FIRST_MM, REST_MM: how long
 * the edge before and the edge are to be counted; below 0: as they are. */
bool rework_divide_joins (
  Rework *rework, guint panel_id, guint edge_id, double before_mm, double edge_mm, GError **error);
/* A flush join between two runs of one edge each that start together, with a fresh letter and match marks
 * already on both panels (MARKS: pairs; may be NULL).  Returns its id. */
guint
rework_put_join (Rework *rework, guint panel_a, guint edge_a, guint panel_b, guint edge_b, GArray *matches);
bool rework_edge_is_joined (const ModelDocument *doc, guint panel_id, guint edge_id);

void rework_set_error (GError **error, ModelReworkError code, const char *panel_name);

/* The dart between the edge that begins with EDGE_ID and the one before it (rework-dart.c).  BEND: by how
 * much the legs' directions at the closed mouth will differ on each shape, anticlockwise, radians; NULL: as
 * the dart's bulge makes them.  *LEG_1: its first leg. */
bool rework_lay_dart (ReworkRing *ring,
                      ModelDocument *ids,
                      guint edge_id,
                      const ModelReworkDart *dart,
                      const double *bend,
                      guint *leg_1,
                      GError **error);
/* On the fold or locked: then with an error. */
bool rework_edge_is_fixed (const ReworkRing *ring, guint edge, GError **error);

static inline double
rework_radians (double deg)
{
  return deg * (G_PI / 180.0);
}

/* From A to B as seen from CENTRE, -pi..pi. */
static inline double
rework_angle (GeomPoint centre, GeomPoint a, GeomPoint b)
{
  GeomPoint u = geom_sub (a, centre), v = geom_sub (b, centre);

  return atan2 (geom_cross (u, v), geom_dot (u, v));
}

/* A cubic from A to B with unit tangents U and V there, as near a circle's arc as its ends allow. */
GeomCubic rework_arc (GeomPoint a, GeomPoint u, GeomPoint b, GeomPoint v);

#endif
