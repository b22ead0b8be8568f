/* The parts a document is made of.
 *
 * Plain structs: each part knows its id, owns what it holds and keeps the members of the file it did not
 * understand (EXTRA), so that they survive a load and a save.  Ids are unique in the document, never 0, and
 * never reused; all parts and the edges, nodes, marks and tapes in them draw them from one counter.
 *
 * An EXTRA is never changed once it hangs on a part; copies get their own, so that a copy may go to another
 * thread.
 *
 * Lengths in mm, angles in degrees where the name says so, y up, outlines counter-clockwise, seen from
 * outside.
 */
#ifndef MODEL_PARTS_H
#define MODEL_PARTS_H

#include "geom/path.h"

#include <glib.h>
#include <json-glib/json-glib.h>

/* Wearer's sides.  CENTRE is also "not one of a pair". */
typedef enum ModelSide
{
  MODEL_SIDE_CENTRE,
  MODEL_SIDE_LEFT,
  MODEL_SIDE_RIGHT
} ModelSide;

ModelSide model_side_other (ModelSide side); /* centre stays centre */
/* The word in the file and in --json: "centre", "left", "right". */
const char *model_side_key (ModelSide side);

typedef enum ModelHalves
{
  MODEL_HALVES_SINGLE, /* one piece, as drawn */
  MODEL_HALVES_FOLD,   /* drawn half, cut whole: mirrored in its fold edge */
  MODEL_HALVES_PAIR    /* drawn once, cut twice: the twin is mirrored in the upright line x = mirror_x_mm */
} ModelHalves;

typedef enum ModelNodeKind
{
  MODEL_NODE_CORNER, /* handles independent; always so for the first node of an edge */
  MODEL_NODE_SMOOTH, /* handles in one line */
  MODEL_NODE_EVEN    /* handles in one line and equally long */
} ModelNodeKind;

/* An on-curve point with its two handles, all absolute.  A handle lying on AT is "no handle". */
typedef struct ModelNode
{
  guint id;
  ModelNodeKind kind;
  GeomPoint at, in, out; /* IN belongs to the piece that arrives, OUT to the one that leaves */
  bool locked;           /* remedies and shaping leave it where it is */
} ModelNode;

/* From its first node (a corner) to the first node of the next edge. */
typedef struct ModelEdge
{
  guint id;
  char *name;         /* "side", "armhole"; never NULL, may be empty */
  GArray *nodes;      /* ModelNode, at least one */
  bool fold;          /* lies on the mirror axis of a MODEL_HALVES_FOLD panel; straight */
  bool locked;        /* shaping leaves it alone */
  bool has_allowance; /* overrides what the joins ask for */
  double allowance_mm;
  JsonObject *extra; /* NULL when there is none */
} ModelEdge;

/* A place on an edge, by the length from the edge's first corner.  With wedges it is a match mark; without,
 * it only says where a run, a tape or a girth line ends. */
typedef struct ModelMark
{
  guint id, edge_id;
  double at_mm;
  int wedges; /* 0, 1 or 2 */
} ModelMark;

typedef enum ModelTapeKind
{
  MODEL_TAPE_STRAIGHT, /* across the panel */
  MODEL_TAPE_ALONG,    /* along the outline, counter-clockwise from A to B; both ends are marks */
  MODEL_TAPE_ANGLE     /* at B, between A and C */
} ModelTapeKind;

/* A length or an angle measured on a panel and kept.  Each end is a mark (by id) or, id 0, a point of the
 * panel. */
typedef struct ModelTape
{
  guint id;
  ModelTapeKind kind;
  guint a_mark_id, b_mark_id, c_mark_id; /* C of an angle alone */
  GeomPoint a, b, c;
  bool has_wrap;
  double wrap_mm; /* what the tape read over the wrap, where the body domes */
  bool on_sheets; /* printed as a reference */
} ModelTape;

/* What one node of the not-drawn side has over the mirrored shape: vectors in the twin's own coordinates, one
 * for each of the three points.  A node moved with its handles has the same vector three times. */
typedef struct ModelCorrection
{
  guint node_id;
  GeomPoint at, in, out;
} ModelCorrection;

typedef struct ModelPanel
{
  guint id;
  char *name;
  guint material_id; /* 0: none said */
  ModelHalves halves;
  ModelSide side;     /* of what is drawn.  FOLD and PAIR: left or right */
  bool own_sides;     /* the other side carries its corrections; when false they are set aside, not lost */
  double mirror_x_mm; /* PAIR */
  int quantity;       /* how many of each side, >= 1 */
  bool has_grain;
  double grain_deg; /* direction of the grain arrow, counter-clockwise from +x */
  double grain_tolerance_deg;
  bool locked, hidden;
  char *note;          /* NULL when there is none */
  GPtrArray *edges;    /* ModelEdge, in counter-clockwise order */
  GArray *marks;       /* ModelMark */
  GArray *corrections; /* ModelCorrection, at most one a node */
  GArray *tapes;       /* ModelTape */
  JsonObject *extra;
  /* Unknown members of the small things inside, each table NULL when there are none: id -> JsonObject.  An id
   * that is no longer there is passed over. */
  GHashTable *inner_extra;      /* by node, mark and tape id */
  GHashTable *correction_extra; /* by node id */
} ModelPanel;

typedef enum ModelMaterialKind
{
  MODEL_MATERIAL_LEATHER,
  MODEL_MATERIAL_FOAM,
  MODEL_MATERIAL_CLOTH,
  MODEL_MATERIAL_OTHER
} ModelMaterialKind;

typedef struct ModelMaterial
{
  guint id;
  char *name;
  ModelMaterialKind kind;
  double thickness_mm;
  double knife_mm; /* how much the knife or the line adds outside; taken off the cut line */
  double neutral;  /* 0..1: where in the thickness the length stays the same */
  double stretch_percent;
  JsonObject *extra;
} ModelMaterial;

typedef enum ModelMeasureGroup
{
  MODEL_MEASURE_ROUND,
  MODEL_MEASURE_ACROSS,
  MODEL_MEASURE_ALONG
} ModelMeasureGroup;

/* A named body measure.  KEY names a known definition (model/measure-book.h) or is NULL for one of the
 * maker's own. */
typedef struct ModelMeasure
{
  guint id;
  char *key, *name;
  ModelMeasureGroup group;
  bool has_wearer, has_form, has_tolerance;
  double wearer_mm, form_mm;
  double
    tolerance_mm; /* how far the form may be off; without it the book's figure for this kind of measure */
  char *date;     /* ISO 8601 date or NULL */
  JsonObject *extra;
} ModelMeasure;

typedef enum ModelJoinKind
{
  MODEL_JOIN_FLUSH,
  MODEL_JOIN_LAPPED,
  MODEL_JOIN_STITCHED,
  MODEL_JOIN_GAP
} ModelJoinKind;

/* Consecutive edges of one panel, in the order of its outline.  The run starts where the first edge starts,
 * or, REVERSED, where the last one ends.  The two runs of a join start together.  FROM_MARK_ID on the first
 * edge and TO_MARK_ID on the last one, if not 0, cut the run short there, in the order of the outline. */
typedef struct ModelRun
{
  guint panel_id;
  GArray *edges; /* guint, at least one */
  guint from_mark_id, to_mark_id;
  bool reversed;
  bool twin; /* on the other side than the other run: a seam over the middle */
  JsonObject *extra;
} ModelRun;

/* Two match marks that must meet. */
typedef struct ModelMatch
{
  guint a_mark_id, b_mark_id;
} ModelMatch;

typedef struct ModelJoin
{
  guint id;
  char *letter; /* "A", "B" ... "Z", "AA" */
  char *name;   /* may be empty: then named by its panels */
  ModelJoinKind kind;
  ModelRun a, b;
  ModelSide only;      /* CENTRE: on both sides; else on this side alone */
  bool b_over;         /* LAPPED: b lies over a; else a over b */
  double lap_mm;       /* LAPPED */
  double allowance_mm; /* STITCHED */
  double gap_mm;       /* GAP */
  double ease_mm;      /* by how much b is wanted longer than a; may be negative */
  bool ease_in_percent;
  double ease_percent;            /* the same in percent of a; counts when EASE_IN_PERCENT */
  guint ease_from_id, ease_to_id; /* marks on a between which all of the ease lies; 0: the run's end */
  int straps;                     /* GAP: how many bands bridge it */
  double strap_width_mm;
  double strap_overlap_mm; /* what each strap has over the gap, for fastening it at both ends */
  double tolerance_mm;     /* >= 0; 1 unless said */
  GArray *matches;         /* ModelMatch */
  JsonObject *extra;
  GHashTable *match_extra; /* a_mark_id -> JsonObject, NULL when there are none */
} ModelJoin;

typedef enum ModelLineKind
{
  MODEL_LINE_GUIDE, /* a help for drawing */
  MODEL_LINE_LEVEL, /* a level of the body: bust, waist, hem */
  MODEL_LINE_GIRTH, /* what its spans sum up to must be as long as a measure and what lies between */
  MODEL_LINE_REACH, /* the same, but at most as long: the width past which the arms must come */
  MODEL_LINE_NECK   /* the same, but at least as long: the opening for the neck */
} ModelLineKind;

/* A stretch of a line across one panel as drawn, straight from mark to mark; of a neck opening along the
 * outline, the shorter way.  Its other side counts as well: a line goes round the body on both sides. */
typedef struct ModelSpan
{
  guint panel_id, a_mark_id, b_mark_id;
} ModelSpan;

/* A line over the paper or across panels.  GUIDE and LEVEL lie on the paper: endless, through AT.  The other
 * kinds have spans. */
typedef struct ModelLine
{
  guint id;
  char *name;
  ModelLineKind kind;
  GeomPoint at;
  double direction_deg;
  GArray *spans;     /* ModelSpan, round the body in order */
  bool one_side;     /* the spans are not mirrored: what is drawn is all there is */
  guint measure_id;  /* 0: none said */
  double between_mm; /* what is worn underneath: added to the measure */
  bool has_tolerance;
  double tolerance_mm;
  bool locked, hidden;
  JsonObject *extra;
} ModelLine;

/* A picture under the panels, already laid flat: its lower left corner at AT, turned by TURN_DEG. */
typedef struct ModelPhoto
{
  guint id;
  char *name;
  GBytes *image; /* a PNG or JPEG file, shared by copies; never NULL */
  int width_px, height_px;
  GeomPoint at;
  double turn_deg, mm_per_px;
  double fade; /* 0 not seen .. 1 as it is */
  bool locked, hidden;
  JsonObject *extra;
} ModelPhoto;

typedef enum ModelFitSeen
{
  MODEL_FIT_TOO_SHORT,
  MODEL_FIT_TOO_LONG,
  MODEL_FIT_GAPS_BY,
  MODEL_FIT_POKES_OUT,
  MODEL_FIT_TOO_WIDE,
  MODEL_FIT_TOO_NARROW,
  MODEL_FIT_OTHER
} ModelFitSeen;

/* One observation at a fitting, with the change that was made for it. */
typedef struct ModelFitNote
{
  guint id;
  char *date, *revision;   /* ISO 8601 date; name of the revision that was worn; never NULL */
  guint panel_id, edge_id; /* 0: of the whole piece, of the whole panel */
  ModelSide side;          /* the wearer's; CENTRE: both */
  ModelFitSeen seen;
  bool has_amount;
  double amount_mm;
  char *text, *done; /* what was seen, what was changed for it (empty: nothing yet); never NULL */
  JsonObject *extra;
} ModelFitNote;

struct ModelDocument;

/* The panels, joins, materials and measures of a named moment.  The state is shared by all copies and never
 * changed. */
typedef struct ModelRevision
{
  guint id;
  char *name, *date, *note;    /* never NULL */
  struct ModelDocument *state; /* by model_state_ref; never NULL */
  JsonObject *extra;
} ModelRevision;

typedef enum ModelUnit
{
  MODEL_UNIT_MM,
  MODEL_UNIT_CM,
  MODEL_UNIT_INCH
} ModelUnit;

/* What belongs to the document as a whole. */
typedef struct ModelHead
{
  char *title, *wearer, *note;    /* never NULL */
  char *revision, *revision_date; /* name of the present revision; ISO 8601 date; never NULL */
  ModelUnit unit;                 /* the unit the maker reads */
  char *paper;                    /* "a4", "a3", "letter", "tabloid" or "WxH" in mm */
  double overlap_mm;              /* glue zone of the sheets */
  bool edge_names, seam_lines, open_folds, sheet_grid; /* on the sheets */
  JsonObject *extra;
} ModelHead;

/* ---- life of the parts: _new gives sound defaults and id 0, _copy is deep, _free takes NULL ---- */

ModelHead *model_head_new (void);
ModelHead *model_head_copy (const ModelHead *head);
void model_head_free (ModelHead *head);
ModelMaterial *model_material_new (void);
ModelMaterial *model_material_copy (const ModelMaterial *material);
void model_material_free (ModelMaterial *material);
ModelMeasure *model_measure_new (void);
ModelMeasure *model_measure_copy (const ModelMeasure *measure);
void model_measure_free (ModelMeasure *measure);
ModelEdge *model_edge_new (void);
ModelEdge *model_edge_copy (const ModelEdge *edge);
void model_edge_free (ModelEdge *edge);
ModelPanel *model_panel_new (void);
ModelPanel *model_panel_copy (const ModelPanel *panel);
void model_panel_free (ModelPanel *panel);
ModelJoin *model_join_new (void);
ModelJoin *model_join_copy (const ModelJoin *join);
void model_join_free (ModelJoin *join);
ModelLine *model_line_new (void);
ModelLine *model_line_copy (const ModelLine *line);
void model_line_free (ModelLine *line);
/* Has no image yet. */
ModelPhoto *model_photo_new (void);
ModelPhoto *model_photo_copy (const ModelPhoto *photo);
void model_photo_free (ModelPhoto *photo);
ModelFitNote *model_fit_note_new (void);
ModelFitNote *model_fit_note_copy (const ModelFitNote *note);
void model_fit_note_free (ModelFitNote *note);
/* Has no state yet. */
ModelRevision *model_revision_new (void);
ModelRevision *model_revision_copy (const ModelRevision *revision);
void model_revision_free (ModelRevision *revision);

/* A deep copy; NULL for NULL. */
JsonObject *model_extra_copy (JsonObject *extra);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelHead, model_head_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelMaterial, model_material_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelMeasure, model_measure_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelEdge, model_edge_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelPanel, model_panel_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelJoin, model_join_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelLine, model_line_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelPhoto, model_photo_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelFitNote, model_fit_note_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelRevision, model_revision_free)

/* ---- looking into a panel ---- */

static inline ModelEdge *
model_panel_edge (const ModelPanel *panel, guint index)
{
  return (ModelEdge *)g_ptr_array_index (panel->edges, index);
}

static inline ModelNode *
model_edge_node (const ModelEdge *edge, guint index)
{
  return &g_array_index (edge->nodes, ModelNode, index);
}

/* Index of an edge by id, -1 if the panel has none such. */
int model_panel_find_edge (const ModelPanel *panel, guint edge_id);
/* Where a node is; false if the panel has none such.  Either out pointer may be NULL. */
bool model_panel_find_node (const ModelPanel *panel, guint node_id, guint *edge_index, guint *node_index);
ModelMark *model_panel_find_mark (const ModelPanel *panel, guint mark_id);
ModelCorrection *model_panel_find_correction (const ModelPanel *panel, guint node_id);
ModelTape *model_panel_find_tape (const ModelPanel *panel, guint tape_id);
guint model_panel_node_count (const ModelPanel *panel);
/* The node after (EDGE, NODE) on the outline, which is the first node of the next edge at an edge's end. */
ModelNode *model_panel_next_node (const ModelPanel *panel, guint edge_index, guint node_index);
/* The index of the fold edge, -1 if none or if the panel is not cut on the fold. */
int model_panel_fold_edge (const ModelPanel *panel);
/* The map from the drawn side onto the other: FOLD in the fold edge's line, PAIR in x = mirror_x_mm, SINGLE
 * identity. */
GeomAffine model_panel_mirror (const ModelPanel *panel);

/* The seam line as drawn: a closed path, piece k from node k to node k + 1 in outline order.  OUT
 * initialised.  FIRST, if not NULL, gets for each edge its first piece (edges->len entries). */
void model_panel_path (const ModelPanel *panel, GeomPath *out, size_t *first);
/* The same for the other side: mirrored, corrected if own_sides; piece order as drawn, so clockwise. */
void model_panel_twin_path (const ModelPanel *panel, GeomPath *out, size_t *first);

#endif
