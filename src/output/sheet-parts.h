/* What the sheet files share; nobody else includes this.  All in mm of the paper, y down. */
#ifndef OUTPUT_SHEET_PARTS_H
#define OUTPUT_SHEET_PARTS_H

#include "output/draw-parts.h"
#include "output/sheet.h"

#define OUTPUT_SHEET_THIN_MM 0.2    /* frames, squares, ticks */
#define OUTPUT_SHEET_DIAMOND_MM 6.4 /* a registration mark from tip to tip */
#define OUTPUT_SHEET_SQUARE_MM 50.0 /* on every tile with room */
#define OUTPUT_SHEET_NAME_MM 15.0

typedef struct OutputSheet
{
  cairo_t *cr;
  const OutputInk *ink;
  EngineReview *review;
  const ModelDocument *doc;
  const EngineSheetPlan *plan;
} OutputSheet;

/* ---- sheet.c ---- */
/* The tile in a place of the plan, NULL when nothing is printed there. */
const EngineTile *output_sheet_tile_at (const EngineSheetPlan *plan, int row, int column);
/* "A4", "Letter", "210 × 300 mm". */
char *output_sheet_paper_name (const EngineSheetPlan *plan);
/* "revision 4, before the fitting, 2026-03-14"; empty when none was named. */
char *output_sheet_revision (const ModelDocument *doc);
guint output_sheet_cover_count (const EngineSheetPlan *plan);
/* The part of TILE's field that no other sheet is laid on, in mm of the paper. */
GeomBox output_sheet_window (const EngineSheetPlan *plan, const EngineTile *tile);
/* From the plan to the paper of TILE. */
GeomAffine output_sheet_to_paper (const EngineTile *tile);

/* ---- sheet-place.c ---- */

/* What must not be written over. */
typedef struct OutputObstacles
{
  GArray *segments;        /* pairs of GeomPoint */
  GArray *plates;          /* OutputPlate */
  GPtrArray *seams, *cuts; /* GeomPath on the plan, borrowed */
  GeomAffine to_paper;
} OutputObstacles;

void output_obstacles_init (OutputObstacles *obstacles, GeomAffine to_paper);
void output_obstacles_clear (OutputObstacles *obstacles);
/* The lines of a placed piece that come near WITHIN. */
void output_obstacles_add_piece (OutputObstacles *obstacles,
                                 const EnginePlacedPiece *placed,
                                 const ModelPanel *panel,
                                 GeomBox within);
void output_obstacles_add_box (OutputObstacles *obstacles, GeomBox box);
/* True when no line comes nearer than CLEAR_MM to the plate and no other plate does. */
bool output_obstacles_is_free (const OutputObstacles *obstacles, const OutputPlate *plate, double clear_mm);
/* A free place for a box of W x H inside AREA: its corners first, then row by row; bare paper before the
 * inside of a panel.  AT: top left. */
bool output_obstacles_find (const OutputObstacles *obstacles,
                            GeomBox area,
                            double w,
                            double h,
                            double clear_mm,
                            bool bare,
                            GeomPoint *at);
/* 0 on bare paper, 1 in a panel, 2 in an allowance, where the hatch is. */
int output_obstacles_ground (const OutputObstacles *obstacles, GeomPoint paper);
OutputPlate output_plate_of_box (GeomBox box);

/* ---- sheet-label.c ---- */
/* Places and draws the labels and grain arrows that lie on TILE; their plates go into PLATES.  OUTSIDE gets
 * the EnginePlacedPiece whose label found no room in any of its sheets and which begin on this one. */
void
output_sheet_labels (const OutputSheet *sheet, const EngineTile *tile, GArray *plates, GPtrArray *outside);
/* Such a label beside its panel, on free paper in AREA, with a line to it. */
void output_sheet_label_outside (const OutputSheet *sheet,
                                 const EnginePlacedPiece *placed,
                                 OutputObstacles *obstacles,
                                 GeomBox area);

/* ---- sheet-marks.c ---- */
void output_sheet_text (
  const OutputSheet *sheet, double x, double baseline, double size, bool bold, const char *text);
/* As above, made narrower until it is at most WIDTH: first smaller, then cut off. */
void output_sheet_text_fit (const OutputSheet *sheet,
                            double x,
                            double baseline,
                            double size,
                            bool bold,
                            double width,
                            const char *text);
/* Its middle at (X, Y), smaller if it would be wider than WIDTH. */
void output_sheet_middle_fit (
  const OutputSheet *sheet, double x, double y, double size, bool bold, double width, const char *text);
/* One closed rectangle and ticks inside it.  INCHES: sixteenths, else millimetres. */
void output_sheet_square (
  const OutputSheet *sheet, double x, double y, double side_mm, bool inches, bool ticks_far);
void output_sheet_map (const OutputSheet *sheet, GeomBox box, const EngineTile *here, bool with_names);
GeomPoint output_sheet_map_size (const EngineSheetPlan *plan, double width, double height);
double output_sheet_legend (const OutputSheet *sheet, double x, double y);
#define OUTPUT_SHEET_LEGEND_WIDTH 42.0
#define OUTPUT_SHEET_LEGEND_HEIGHT 66.0
void output_sheet_diamond (const OutputSheet *sheet, double x, double y);
/* Which sheets a box of the plan lies on: "A1", "A1 to B3". */
char *output_sheet_where (const EngineSheetPlan *plan, GeomBox on_plan);

/* ---- sheet-cover.c, sheet-tile.c ---- */
void output_sheet_draw_cover (const OutputSheet *sheet, guint page);
void output_sheet_draw_tile (const OutputSheet *sheet, const EngineTile *tile);

#endif
