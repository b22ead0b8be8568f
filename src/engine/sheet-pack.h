/* Boxes laid on a strip of tiles so that few tiles are touched. */
#ifndef ENGINE_SHEET_PACK_H
#define ENGINE_SHEET_PACK_H

#include <glib.h>
#include <stdbool.h>

/* Tiles: fields of FIELD_W by FIELD_H, each STEP_X right of or STEP_Y below the last; what they share is the
 * overlap. */
typedef struct EngineTiling
{
  double field_w, field_h, step_x, step_y;
} EngineTiling;

typedef struct EngineBoxSize
{
  double w, h;
} EngineBoxSize;

typedef struct EngineBoxPlace
{
  double x, y; /* top left corner, y down */
  bool turned; /* by a quarter: w and h change places */
} EngineBoxPlace;

typedef enum EnginePackOrder
{
  ENGINE_PACK_LONGEST_FIRST,
  ENGINE_PACK_LARGEST_FIRST,
  ENGINE_PACK_TALLEST_FIRST
} EnginePackOrder;
#define ENGINE_PACK_ORDERS (ENGINE_PACK_TALLEST_FIRST + 1)

/* Places all boxes on a strip COLUMNS tiles wide, GAP_MM apart.  OUT: one entry a box.  Returns how many
 * tiles the boxes touch, 0 if one of them is too wide both ways.  The same input gives the same places. */
guint engine_pack_boxes (const EngineTiling *tiling,
                         guint columns,
                         const EngineBoxSize *boxes,
                         guint count,
                         double gap_mm,
                         EnginePackOrder order,
                         EngineBoxPlace *out);

/* First and last tile, of those STEP_MM apart and FIELD_MM long, that a stretch from A to B needs. */
void
engine_tiles_of_stretch (double a_mm, double b_mm, double field_mm, double step_mm, int *first, int *last);

#endif
