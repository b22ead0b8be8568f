/* The larger deeds of shaping, without a window: cutting a panel apart, darts, slashes, adding along a line.
 *
 * Each deed is one step of undo under its own label (or part of the open group).  True: done.  False: nothing
 * has changed and ERROR says why, in words for the maker.
 *
 * Both sides: a deed is given by places on the drawn outline and done to the other side's own shape as well,
 * at the same places of its outline, so that corrections stay what they were as far as the deed allows.
 * Angles and distances hold on both sides, save where a function says otherwise.
 *
 * Locked panels and what a locked edge holds do not move and are not cut.  A fold stays one straight edge on
 * its axis.  A deed after which an outline would cross itself that did not before is refused.
 *
 * Joins: an edge that is cut in two where it is joined divides the join; the partner gets a corner at the
 * same part of its length, and the second half a letter of its own (ModelReworkMade tells which).  Marks stay
 * where they were on their piece of the outline; those on what was cut away go.
 *
 * Angles in degrees, lengths in mm.
 */
#ifndef MODEL_REWORK_H
#define MODEL_REWORK_H

#include "model/history.h"

typedef enum ModelReworkError
{
  MODEL_REWORK_ERROR_LOCKED, /* something that would change is locked */
  MODEL_REWORK_ERROR_PLACE,  /* no such panel, edge, node or place */
  MODEL_REWORK_ERROR_FOLD,   /* the fold would not stay straight on its axis */
  MODEL_REWORK_ERROR_VALUE,  /* a number that makes no sense here */
  MODEL_REWORK_ERROR_SHAPE   /* the outline does not allow it */
} ModelReworkError;

#define MODEL_REWORK_ERROR (model_rework_error_quark ())
GQuark model_rework_error_quark (void);

/* A place on an outline: at T (0..1) of the piece after node NODE_INDEX of an edge.  Within a thousandth of a
 * millimetre of a node it is that node. */
typedef struct ModelReworkPlace
{
  guint edge_id, node_index;
  double t;
} ModelReworkPlace;

/* What a deed has made; zero it before, clear it afterwards.  May be NULL wherever it is asked for. */
typedef struct ModelReworkMade
{
  guint panel_id;  /* the second panel of a cut */
  guint edge_id;   /* the new edge; of a dart its first leg */
  guint join_id;   /* the new join */
  GArray *divided; /* guint pairs: the join that was divided, and its second half; NULL: none was */
} ModelReworkMade;

void model_rework_made_clear (ModelReworkMade *made);

/* ---- cutting apart (rework-cut.c) ---- */

/* Cuts a panel along PATH from FROM to TO: two panels and a flush join between them with match marks.  PATH
 * is open; it is turned and scaled so that its ends lie on the two places, NULL is the straight line.  A pair
 * becomes two pairs.  Of a panel on the fold, a piece that has a part of the fold stays on it, one that has
 * none becomes a pair.  The piece with the fold, else the larger one, keeps id and name; the other is named
 * after where it lies.  Edges keep their names, allowances, grain and material stay. */
bool model_rework_cut (ModelHistory *history,
                       guint panel_id,
                       ModelReworkPlace from,
                       ModelReworkPlace to,
                       const GeomPath *path,
                       ModelReworkMade *made,
                       GError **error);
/* The same along a smooth line through a point inside the panel. */
bool model_rework_cut_through (ModelHistory *history,
                               guint panel_id,
                               ModelReworkPlace from,
                               ModelReworkPlace to,
                               GeomPoint through,
                               ModelReworkMade *made,
                               GError **error);
/* Makes one seam of two darts: cut apart from apex to apex; each seam run is a leg, the cut, a leg.  A dart
 * is named by either of its legs.  The joins of the legs go. */
bool model_rework_darts_to_seam (ModelHistory *history,
                                 guint panel_id,
                                 guint dart_edge_id,
                                 guint other_dart_edge_id,
                                 ModelReworkMade *made,
                                 GError **error);

/* ---- darts (rework-dart.c, rework-dart-edit.c) ---- */

typedef struct ModelReworkDart
{
  ModelReworkPlace at;
  GeomPoint apex;    /* on the drawn side; the other side's lies the same way from its own place */
  double intake_mm;  /* from mouth corner to mouth corner; 0: INTAKE_DEG holds */
  double intake_deg; /* at the apex, between the legs' chords */
  double bulge_mm;   /* how far the middle of a leg lies from its chord, into the panel; 0: straight legs */
  double blend_mm;   /* how far from the mouth the edge is redrawn; 0: half the intake, at least 5 */
} ModelReworkDart;

/* Takes a dart out of an edge.  The legs are equally long and joined to each other.  The edge beside the
 * mouth is drawn with the dart closed, as one curve over the leg line, and opened again: so the closed edge
 * runs on smoothly.  The edge becomes two, the dart's legs lie between them. */
bool model_rework_add_dart (
  ModelHistory *history, guint panel_id, ModelReworkDart dart, ModelReworkMade *made, GError **error);
/* Moves a dart to another place of the outline about its apex, or PART (0..1) of its angle: the outline
 * between the old and the new mouth turns (where a fold or a lock is in the way, the rest does).  At PART 1
 * edges keep their lengths and a dart with straight legs leaves the area as it was; the legs keep their ids
 * and their join, the old mouth's edges become one if neither is joined.  Below 1 a second dart is made; both
 * apexes are drawn back by a tenth of the shorter leg, that the panel holds together between them; the mouths
 * are 2 l sin(angle / 2) of their leg l before that. */
bool model_rework_move_dart (ModelHistory *history,
                             guint panel_id,
                             guint dart_edge_id,
                             ModelReworkPlace to,
                             double part,
                             ModelReworkMade *made,
                             GError **error);
/* Changes a dart where it is: DART.at is not looked at, the rest as in model_rework_add_dart.  The mouth lies
 * about where the line from the middle of the old one to the old apex meets the edge.  Edges, legs, the
 * corners and the join keep their ids. */
bool model_rework_set_dart (
  ModelHistory *history, guint panel_id, guint dart_edge_id, ModelReworkDart dart, GError **error);
/* Takes a dart away: the edge is drawn over its mouth as one curve between the nodes on either side, the legs
 * and their join go.  The edge's two parts become one unless a join or a name tells them apart. */
bool model_rework_remove_dart (ModelHistory *history, guint panel_id, guint dart_edge_id, GError **error);
/* What the dart is like on the drawn side; `at` is its first leg's first node.  False: there is none. */
bool model_rework_read_dart (const ModelPanel *panel, guint dart_edge_id, ModelReworkDart *out);
/* True if the legs of the dart are joined to each other: it is a dart by the maker's own word. */
bool model_rework_dart_is_joined (const ModelDocument *doc, guint panel_id, guint dart_edge_id);
/* To look at: the drawn outline with the dart closed and opened instead straight across from it.  OUT
 * (initialised) gets a closed path.  False, and OUT empty, if the edge is no leg of a dart. */
bool model_rework_dart_closed (const ModelPanel *panel, guint dart_edge_id, GeomPath *out);
/* The dart that has EDGE as a leg: two neighbouring edges, equally long within a millimetre, that meet inside
 * the panel at an angle below a half turn.  False: there is none. */
bool model_rework_find_dart (
  const ModelPanel *panel, guint edge_id, guint *leg_1, guint *leg_2, double *angle_deg);

/* ---- slashes (rework-slash.c) and adding along a line (rework-add.c) ---- */

typedef struct ModelReworkSlash
{
  ModelReworkPlace from; /* opens */
  ModelReworkPlace hinge;
} ModelReworkSlash;

typedef struct ModelReworkSpread
{
  double angle_deg; /* of each slash; negative closes */
  double gap_mm;    /* instead, the gap at FROM, as a chord; 0: ANGLE_DEG holds */
  bool blended;     /* one smooth curve over each gap and at each hinge; else straight across and a bend */
} ModelReworkSpread;

/* Opens (or closes) slashes that do not cross one another: what lies beyond each one turns about its hinge.
 * The hinged edge keeps its length (BLENDED: about so) and bends; the cut edge gets the gaps.  Closing takes
 * the same angle out of the edge, half to each side of the slash. */
bool model_rework_slash (ModelHistory *history,
                         guint panel_id,
                         const ModelReworkSlash *slashes,
                         guint count,
                         ModelReworkSpread spread,
                         GError **error);
/* Makes the piece longer by BY_MM at the line through AT, square to the direction ALONG (any length): all
 * that lies beyond the line moves by BY_MM along ALONG.  Edges that cross it get a straight insert, or,
 * BLENDED, their crossing piece is stretched.  BY_MM below 0 shortens: the strip beyond the line is taken
 * out. */
bool model_rework_add_along (ModelHistory *history,
                             guint panel_id,
                             GeomPoint at,
                             GeomPoint along,
                             double by_mm,
                             bool blended,
                             GError **error);

#endif
