/* Where each piece lies on the sheets: one big paper cut into tiles that overlap.  Geometry only; output/
 * draws it.
 *
 * Tiles are lettered by row from the top (A, B ...) and numbered by column from the left (1, 2 ...).  Plan
 * coordinates: mm, origin at the top left corner of tile A1's printed field, x right, y DOWN, since it is
 * paper.
 */
#ifndef ENGINE_SHEET_PLAN_H
#define ENGINE_SHEET_PLAN_H

#include "engine/review.h"

#define ENGINE_SHEET_MARGIN_MM 10.0 /* common practice: home printers leave 4 to 7 mm blank */
#define ENGINE_SHEET_MAX_MM 5080.0  /* 200 in: the largest PDF page that older readers take */
#define ENGINE_SHEET_GAP_MM 5.0     /* between two pieces: scissors need room */
#define ENGINE_SHEET_MAX_ROWS 702   /* A to ZZ */
#define ENGINE_SHEET_MAX_COLUMNS 999
#define ENGINE_SHEET_PIECE_MM                                                                                \
  6000.0                            /* twice a whole hide; a larger piece is a slip of the pen, not armour   \
                                     */
#define ENGINE_SHEET_MAX_TILES 2000 /* four packs of paper */

typedef struct EnginePaper
{
  double width_mm, height_mm;
} EnginePaper;

/* "a4", "a3", "letter", "tabloid", or "210x297" (mm).  Sizes: ISO 216, ASME Y14.1.  False for anything else,
 * for less than what holds the test square (130 mm each way) and for more than ENGINE_SHEET_MAX_MM. */
bool engine_paper_parse (const char *text, EnginePaper *paper);
/* Not negative, and no more than half of the field either way: every tile must bring something new. */
bool engine_overlap_is_usable (EnginePaper paper, double overlap_mm);
/* Something of this size can be numbered on tiles of usable paper and overlap, lying one way or the other. */
bool engine_box_fits_sheets (EnginePaper paper, double overlap_mm, GeomBox box);

typedef struct EnginePlacedPiece
{
  const EnginePiece *piece;
  bool half; /* a fold panel printed as drawn, on its fold */
  /* From the canvas to the plan; turns and moves, never mirrors (besides the flip of y). */
  GeomAffine to_plan;
  GeomPath seam, cut; /* on the plan; of a half: closed along the fold */
  /* On the plan: room kept beside a piece too small to hold its label; empty where it goes inside. */
  GeomBox label;
} EnginePlacedPiece;

typedef struct EngineTile
{
  int row, column;   /* from 0 */
  double x_mm, y_mm; /* the top left corner of its field on the plan */
  int number;        /* 1.. in print order, the cover not counted */
} EngineTile;

typedef struct EngineSheetPlan
{
  EnginePaper paper;
  double overlap_mm, field_width_mm, field_height_mm; /* field: the paper less margins */
  int rows, columns;
  GPtrArray *placed; /* EnginePlacedPiece */
  GArray *tiles;     /* EngineTile: those that something is on, row by row */
  GArray *strapped;  /* guint: joins whose straps are listed on the cover */
} EngineSheetPlan;

typedef enum EngineSheetError
{
  ENGINE_SHEET_ERROR_PAPER,  /* paper or overlap cannot be used */
  ENGINE_SHEET_ERROR_TOO_BIG /* a piece needs more rows or columns than there are letters and figures */
} EngineSheetError;
#define ENGINE_SHEET_ERROR (engine_sheet_error_quark ())
GQuark engine_sheet_error_quark (void);

/* Panels not hidden, in an arrangement that needs few tiles.  A mirrored pair is printed once (the drawn
 * side), a pair with corrections twice, a fold panel half unless head->open_folds or it has corrections.
 * PAPER_TEXT NULL: the head's; OVERLAP_MM NAN: the head's. */
EngineSheetPlan *
engine_sheet_plan_new (EngineReview *review, const char *paper_text, double overlap_mm, GError **error);
void engine_sheet_plan_free (EngineSheetPlan *plan);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (EngineSheetPlan, engine_sheet_plan_free)
/* "A3".  Beyond Z: "AA". */
char *engine_tile_name (const EngineTile *tile);

#endif
