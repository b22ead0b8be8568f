/* The parts a document is made of.
 *
 * Plain structs: each part knows its id, owns what it holds and keeps the members of the file it did not
 * understand (EXTRA), so that they survive a load and a save.  Ids are unique in the document, never 0, and
 * never reused; panels, edges, nodes, marks, joins, measures and materials draw them from one counter.
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

/* A match mark: a place on an edge, by the length from the edge's first corner. */
typedef struct ModelMark
{
  guint id, edge_id;
  double at_mm;
  int wedges; /* 1 or 2 */
} ModelMark;

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
  JsonObject *extra;
  /* Unknown members of the small things inside, each table NULL when there are none: id -> JsonObject.  An id
   * that is no longer there is passed over. */
  GHashTable *inner_extra;      /* by node id and mark id */
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
 * or, REVERSED, where the last one ends.  The two runs of a join start together. */
typedef struct ModelRun
{
  guint panel_id;
  GArray *edges; /* guint, at least one */
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
  double tolerance_mm; /* >= 0; 1 unless said */
  GArray *matches;     /* ModelMatch */
  JsonObject *extra;
  GHashTable *match_extra; /* a_mark_id -> JsonObject, NULL when there are none */
} ModelJoin;

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

/* A deep copy; NULL for NULL. */
JsonObject *model_extra_copy (JsonObject *extra);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelHead, model_head_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelMaterial, model_material_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelMeasure, model_measure_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelEdge, model_edge_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelPanel, model_panel_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelJoin, model_join_free)

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
