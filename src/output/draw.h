/* Drawing pieces and their marks with cairo, on screen and in print alike.
 *
 * CR is in device units (px or mm of the sheet) with y down; VIEW maps the drawing (mm, y up) onto it.  Every
 * function leaves CR as it found it.
 */
#ifndef OUTPUT_DRAW_H
#define OUTPUT_DRAW_H

#include "engine/review.h"
#include "output/ink.h"

typedef struct OutputView
{
  GeomAffine to_device; /* may flip y and turn; even scale */
  double scale;         /* device units per mm */
} OutputView;

/* Adds a path to CR's current path. */
void output_trace_path (cairo_t *cr, const OutputView *view, const GeomPath *path);
void
output_trace_part (cairo_t *cr, const OutputView *view, const GeomPath *path, size_t first, size_t count);

/* What to leave out or in. */
typedef enum OutputDrawFlags
{
  OUTPUT_DRAW_FACE = 1 << 0,       /* fill of the panel's face */
  OUTPUT_DRAW_ALLOWANCES = 1 << 1, /* hatch, comb, dotted line of the over side */
  OUTPUT_DRAW_SEAM = 1 << 2,
  OUTPUT_DRAW_CUT = 1 << 3,
  OUTPUT_DRAW_MARKS = 1 << 4,   /* match marks, straps */
  OUTPUT_DRAW_LETTERS = 1 << 5, /* join letters */
  OUTPUT_DRAW_GRAIN = 1 << 6,
  OUTPUT_DRAW_FOLD = 1 << 7,
  OUTPUT_DRAW_EDGE_NAMES = 1 << 8,
  OUTPUT_DRAW_LABEL = 1 << 9,        /* name, material, quantity */
  OUTPUT_DRAW_CORRECTIONS = 1 << 10, /* mirrored place dotted, whiskers, flag */
  OUTPUT_DRAW_DARTS = 1 << 11,       /* what darts take out, their middle, tip and width */
  OUTPUT_DRAW_ALL = (1 << 12) - 1,
  OUTPUT_DRAW_TAPES = 1 << 12 /* pinned tapes that are to be printed: not among ALL, the canvas has its own */
} OutputDrawFlags;

/* How a fold panel is shown: HALF the drawn half with its fold line, else opened. */
void output_draw_piece (cairo_t *cr,
                        const OutputView *view,
                        const OutputInk *ink,
                        EngineReview *review,
                        const EnginePiece *piece,
                        bool half,
                        guint flags);

/* A text that stands on the paper: its middle and size in device units, turned by ANGLE_RAD. */
typedef struct OutputTextPlace
{
  GeomPoint middle;
  double angle_rad, width, height;
} OutputTextPlace;

/* Where output_draw_piece writes the name of the piece's panel; false: the piece is too small for it, and it
 * is left out. */
bool output_name_place (cairo_t *cr,
                        const OutputView *view,
                        const OutputInk *ink,
                        EngineReview *review,
                        const EnginePiece *piece,
                        bool half,
                        OutputTextPlace *out);

/* The not-drawn side of a mirrored panel, pale: face at 55 %, fine dashes, "mirrored half, follows". */
void output_draw_ghost (
  cairo_t *cr, const OutputView *view, const OutputInk *ink, EngineReview *review, guint panel_id);

/* One edge (or any path) lit as first (blue, plain) or second (ochre, laddered) run, with halo. */
void output_draw_lit (
  cairo_t *cr, const OutputView *view, const OutputInk *ink, const GeomPath *path, bool second);
/* Long-short dashes in plum. */
void output_draw_preview (cairo_t *cr, const OutputView *view, const OutputInk *ink, const GeomPath *path);
/* Broken heavy madder line over a stretch. */
void
output_draw_disagreeing (cairo_t *cr, const OutputView *view, const OutputInk *ink, const GeomPath *path);

/* Single marks.  AT on the line in drawing coordinates, OUTWARD a unit vector away from the leather (drawing
 * coordinates). */
void output_draw_match_mark (
  cairo_t *cr, const OutputView *view, const OutputInk *ink, GeomPoint at, GeomPoint outward, int wedges);
void output_draw_letter (cairo_t *cr,
                         const OutputView *view,
                         const OutputInk *ink,
                         GeomPoint at,
                         GeomPoint outward,
                         const char *letter,
                         OutputTone tone);
void output_draw_grain (cairo_t *cr,
                        const OutputView *view,
                        const OutputInk *ink,
                        GeomPoint middle,
                        double length_mm,
                        double angle_deg);
/* Text with its middle at AT (device units), on a plate of TONE's ground if PLATE >= 0. ANGLE_RAD turns it.
 */
void output_draw_text (cairo_t *cr,
                       const OutputInk *ink,
                       double x,
                       double y,
                       double angle_rad,
                       double size,
                       bool bold,
                       OutputTone tone,
                       int plate,
                       const char *text);
/* Size of such text in device units. */
void
output_measure_text (cairo_t *cr, double size, bool bold, const char *text, double *width, double *height);
/* A roomy place for a label inside a piece: the centre of the largest circle found (drawing coordinates) and
 * its radius in mm. */
GeomPoint output_label_place (const GeomPath *outline, double *radius_mm);

#endif
