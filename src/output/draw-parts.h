/* What the drawing files of the room share; nobody else includes this. */
#ifndef OUTPUT_DRAW_PARTS_H
#define OUTPUT_DRAW_PARTS_H

#include "output/draw.h"

/* Lines nearer than this to each other, in device units, are drawn as one: the seam beside its cut line. */
#define OUTPUT_DRAW_MERGE_PX 2.0
#define OUTPUT_DRAW_MERGE_PRINT_MM 0.6

/* One piece being drawn, with everything looked up once. */
typedef struct OutputStage
{
  cairo_t *cr;
  const OutputView *view;
  const OutputInk *ink;
  EngineReview *review;
  const ModelDocument *doc;
  const ModelPanel *panel;
  const EnginePiece *piece;
  bool half;       /* only what is drawn, with its fold line */
  bool has_window; /* names and letters keep inside WINDOW and are repeated there */
  GeomBox window;  /* device units */
  double knife_mm;
  GArray *plates;               /* OutputPlate; never NULL */
  guint edge_first, edge_count; /* the edges that are drawn: EDGE_COUNT from EDGE_FIRST on, round the end */
} OutputStage;

/* A turned box on the paper that something stands in: what is placed later keeps off it.  Device units. */
typedef struct OutputPlate
{
  GeomPoint middle, along; /* ALONG: unit vector of its length */
  double half_length, half_height;
} OutputPlate;

bool output_plate_overlaps (const OutputPlate *a, const OutputPlate *b);
bool output_plates_overlap (const GArray *plates, const OutputPlate *plate);
void output_plate_corners (const OutputPlate *plate, GeomPoint corner[4]);

/* False when the piece's panel is gone. */
bool output_stage_init (OutputStage *stage,
                        cairo_t *cr,
                        const OutputView *view,
                        const OutputInk *ink,
                        EngineReview *review,
                        const EnginePiece *piece,
                        bool half,
                        const GeomBox *window,
                        GArray *plates);
/* Draws one piece as output_draw_piece does, its names and letters kept inside WINDOW (device units; may be
 * NULL).  PLATES (may be NULL) gets an OutputPlate for each letter, mark, name and word drawn. */
void output_draw_piece_within (cairo_t *cr,
                               const OutputView *view,
                               const OutputInk *ink,
                               EngineReview *review,
                               const EnginePiece *piece,
                               bool half,
                               guint flags,
                               const GeomBox *window,
                               GArray *plates);

static inline const EnginePieceEdge *
output_piece_edge (const EnginePiece *piece, guint index)
{
  return &g_array_index (piece->edges, EnginePieceEdge, index);
}

/* Index on the piece of the NTH drawn edge. */
static inline guint
output_stage_edge (const OutputStage *stage, guint nth)
{
  return (stage->edge_first + nth) % stage->piece->edges->len;
}

static inline GeomPoint
output_view_point (const OutputView *view, GeomPoint p)
{
  return geom_affine_apply (view->to_device, p);
}

static inline GeomPoint
output_view_vector (const OutputView *view, GeomPoint v)
{
  return geom_unit (geom_affine_apply_vector (view->to_device, v));
}

/* The pieces of an edge as a path that borrows the seam's array: never clear it. */
GeomPath output_edge_view (const EnginePiece *piece, guint index);
/* A place on the seam of an edge, ALONG_MM from its start in the piece's direction; OUTWARD away from the
 * leather. */
GeomPoint output_edge_at (const EnginePiece *piece, guint index, double along_mm, GeomPoint *outward);
/* The same on the cut line: the nearest point of the edge's own stretch. */
GeomPoint output_edge_cut_at (const EnginePiece *piece, guint index, GeomPoint on_seam);
/* The stretch of cut line of the drawn edges of a half (open), or the whole.  OUT initialised. */
void output_stage_cut (const OutputStage *stage, GeomPath *out);
void output_stage_seam (const OutputStage *stage, GeomPath *out);
/* How far the cut line lies from the seam on an edge: the allowance less the knife. */
double output_stage_added_mm (const OutputStage *stage, guint index);
/* Whether the seam is drawn beside the cut line at all. */
bool output_stage_seam_shows (const OutputStage *stage, guint index);
/* Whether run A (or B) of JOIN lies on this edge of this piece. */
bool
output_run_has_edge (const OutputStage *stage, const ModelJoin *join, bool is_b, const EnginePieceEdge *edge);

/* The middle of the label: the roomiest place; of an opened piece in its drawn half, clear of the line down
 * the middle. */
GeomPoint output_piece_label_place (const ModelPanel *panel, const EnginePiece *piece, double *radius_mm);

/* Points of a path in device units; GArray of GeomPoint. */
void output_flatten (const OutputView *view, const GeomPath *path, double deviation_device, GArray *out);

/* ---- draw-allowance.c ---- */
void output_draw_allowances (const OutputStage *stage);

/* ---- draw-edges.c ---- */

/* A match mark on a piece, drawing coordinates: AT on the cut line. */
typedef struct OutputMarkSpot
{
  GeomPoint at, outward;
  int wedges;
} OutputMarkSpot;

/* OutputMarkSpot of each mark on each drawn edge. */
GArray *output_mark_spots (const OutputStage *stage);
void output_draw_match_marks (const OutputStage *stage);
void output_draw_letters (const OutputStage *stage);
void output_draw_edge_names (const OutputStage *stage);
void output_draw_fold_line (const OutputStage *stage, bool with_word);
void output_draw_corrections (const OutputStage *stage);
/* What the edge's join asks for, in words: "lap 10 mm, goes under".  Empty when nothing. */
char *output_edge_note (const OutputStage *stage, guint index);

/* ---- draw-label.c ---- */
/* Name, material, quantity and the grain's arrow: as much as the piece holds. */
void output_draw_label (const OutputStage *stage, bool label, bool grain);

/* ---- draw-dart.c ---- */
/* FIGURES: only the widths, which find their place beside all else. */
void output_draw_darts (const OutputStage *stage, bool figures);

/* ---- draw-strap.c ---- */

/* Where one strap crosses an edge: the middle of it, on the seam. */
typedef struct OutputStrapSpot
{
  const ModelJoin *join;
  GeomPoint at, outward;
} OutputStrapSpot;

/* OutputStrapSpot of each strap on the piece. */
GArray *output_strap_spots (const OutputStage *stage);
/* The stretch of strap that lies on the leather: from the seam in, across, and out again. */
void output_strap_end (const OutputStrapSpot *spot, GeomPoint corner[4]);
void output_draw_straps (const OutputStage *stage);

/* ---- draw-tape.c ---- */
void output_draw_tapes (const OutputStage *stage);

/* ---- draw-text.c ---- */

typedef enum OutputTextStyle
{
  OUTPUT_TEXT_PLAIN = 0,
  OUTPUT_TEXT_BOLD = 1,
  OUTPUT_TEXT_ITALIC = 2
} OutputTextStyle;

typedef struct OutputTextSize
{
  double width, height, baseline;             /* baseline: below the top */
  double ink_x, ink_y, ink_width, ink_height; /* of the black itself, from the top left corner */
} OutputTextSize;

OutputTextSize output_text_size (cairo_t *cr, double size, int style, double wrap_width, const char *text);
/* Top left corner at (X, Y); wraps at WRAP_WIDTH if > 0.  Source colour as set. Returns the height. */
double output_text_show (
  cairo_t *cr, double x, double y, double size, int style, double wrap_width, const char *text);
/* Left end of the baseline at (X, Y). */
void output_text_line (cairo_t *cr, double x, double y, double size, int style, const char *text);
/* Middle of the baseline's capitals at (X, Y). */
void output_text_middle (
  cairo_t *cr, double x, double y, double angle_rad, double size, int style, const char *text);

/* ---- draw-marks.c ---- */
void output_draw_wedge (cairo_t *cr, GeomPoint base_middle, GeomPoint pointing, double width, double height);

#endif
