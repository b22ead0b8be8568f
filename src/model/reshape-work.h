/* The bench under the exact deeds: a panel taken apart into edges of pieces, both sides' shapes beside one
 * another, and put together again.  Private to the reshape files.
 *
 * A deed takes the pieces of an edge, makes others of them and gives them back; nodes follow from the pieces.
 * Only reshape_close writes to the panel, after everything that must hold was looked at.
 */
#ifndef MODEL_RESHAPE_WORK_H
#define MODEL_RESHAPE_WORK_H

#include "model/reshape.h"
#include "model/rework-ring.h"

/* Handles out of one line by less than this are in it: sine of the angle.  Rounding of a tangent taken from a
 * handle a micrometre long. */
#define RESHAPE_IN_LINE 1e-6
/* Ends nearer than this are one. */
#define RESHAPE_SAME_MM 1e-9
/* What is left of an edge that is cut must be longer: no knife follows less. */
#define RESHAPE_LEAST_MM REWORK_LEAST_MM

typedef struct ReshapePiece
{
  GeomCubic c;
  bool straight; /* no handles */
  guint id;      /* of the node it starts at; 0: a fresh one.  Only that of the first shape counts. */
} ReshapePiece;

/* Equally many pieces in both shapes. */
typedef struct ReshapeEdge
{
  GArray *pieces[REWORK_SHAPES]; /* ReshapePiece */
} ReshapeEdge;

typedef enum ReshapeMarks
{
  RESHAPE_MARKS_PLACE = 1, /* marks stay at their place */
  RESHAPE_MARKS_PART       /* at their part of the length */
} ReshapeMarks;

typedef struct ReshapeWork
{
  ModelPanel *panel;
  ModelDocument *ids; /* NULL where no node is made */
  ReworkRing *ring;
  bool acts[REWORK_SHAPES]; /* the shapes the deed is done to */
  int held;                 /* the shape under the maker's hand */
  GeomAffine onto;          /* between the held side's canvas and the drawn side; its own inverse */
  bool mirrored;            /* ONTO is a reflection */
  GHashTable *dirty;        /* edge id -> ReshapeMarks */
} ReshapeWork;

/* False with an error where the panel is locked. */
bool reshape_open (ReshapeWork *work, ModelPanel *panel, ModelDocument *ids, ModelSide side, GError **error);
/* Looks whether all holds that must, and writes; closes in any case.  CROSSING: an outline that crosses
 * itself is taken. */
bool reshape_close (ReshapeWork *work, bool crossing, GError **error);
/* Closes without a change; sets CODE; false. */
bool reshape_refuse (ReshapeWork *work, ModelReworkError code, GError **error);

ReshapeEdge reshape_edge_take (const ReshapeWork *work, guint edge);
/* Writes the edge's nodes and the next edge's corner with the handle that arrives at it. */
void reshape_edge_give (ReshapeWork *work, guint edge, const ReshapeEdge *from, ReshapeMarks marks);
ReshapeEdge reshape_edge_new (void);
void reshape_edge_clear (ReshapeEdge *edge);
static inline guint
reshape_edge_count (const ReshapeEdge *edge)
{
  return edge->pieces[0]->len;
}
static inline ReshapePiece *
reshape_edge_piece (const ReshapeEdge *edge, int shape, guint index)
{
  return &g_array_index (edge->pieces[shape], ReshapePiece, index);
}
double reshape_edge_length (const ReshapeEdge *edge, int shape);
/* The edge may not be reshaped; what it is refused with. */
bool reshape_edge_is_fixed (const ReshapeWork *work, guint edge, ModelReworkError *code);

ReshapePiece reshape_line (GeomPoint a, GeomPoint b);
ReshapePiece reshape_curve (GeomCubic c);
ReshapePiece reshape_part (const ReshapePiece *piece, double t0, double t1);
ReshapePiece reshape_mapped (const ReshapePiece *piece, const GeomAffine *map);
/* Each piece becomes two at T; both shapes. */
void reshape_edge_split (ReshapeEdge *edge, guint index, const double t[REWORK_SHAPES]);

/* Appends COUNT cubics of the arc about CENTRE from A by TURN (radians, positive counter-clockwise). */
void
reshape_append_arc (GArray *pieces, GeomPoint centre, GeomPoint a, GeomPoint b, double turn, guint count);
/* How many pieces of at most 45 degrees. */
guint reshape_arc_count (double turn);

/* The node's corner comes to TO with its handles; both sides where the fold shares it. */
void reshape_shift_corner (ReshapeWork *work, ModelSeat seat, int shape, GeomPoint to);
/* -pi..pi from direction U to V. */
static inline double
reshape_turn (GeomPoint u, GeomPoint v)
{
  return atan2 (geom_cross (u, v), geom_dot (u, v));
}

#endif
