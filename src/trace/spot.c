#include "trace/spot.h"

#include "trace/tolerance.h"

#include <stdlib.h>
#include <string.h>

#define CELL_MM 0.5
/* A cell that differs from the paper by so many spreads of a cell, and by so much of the paper's light, holds
 * something. */
#define SPREADS 6.0
#define LEAST_DIFFERENCE 0.025
/* The inside is where a cell is at least so far from the rim, as a part of the deepest one's distance. */
#define INSIDE_PART 0.5
/* Pen lines, threads and the smear that a JPEG leaves along the sheet's rim are nowhere so deep. */
#define LEAST_DEPTH_MM 1.5

typedef struct Cells
{
  int columns, rows, side;
  double side_mm;
  float *part; /* three a cell: light as a part of the paper's */
  int *label;  /* 0: paper, -1: something, > 0: spot */
} Cells;

static void
fill_cells (const TraceRaster *raster, const TracePaper *paper, Cells *cells)
{
  cells->side = MAX ((int)(CELL_MM * raster->px_per_mm + 0.5), 1);
  cells->side_mm = cells->side / raster->px_per_mm;
  cells->columns = raster->width / cells->side;
  cells->rows = raster->height / cells->side;
  const gsize count = (gsize)cells->columns * (gsize)cells->rows;
  cells->part = g_new0 (float, 3 * count + 1);
  cells->label = g_new0 (int, count + 1);
  g_autofree float *line = g_new (float, 3 * raster->width);
  const float share = 1.0f / (float)(cells->side * cells->side);
  for (int y = 0; y < cells->rows * cells->side; y++)
  {
    const guint16 *p = raster->light + 3 * (gsize)y * (gsize)raster->width;
    float *row = cells->part + 3 * (gsize)(y / cells->side) * (gsize)cells->columns;
    trace_paper_row (paper, y, 0, raster->width, line);
    for (int c = 0, x = 0; c < cells->columns; c++)
      for (int i = 0; i < cells->side; i++, x++)
        for (int k = 0; k < 3; k++)
          row[3 * c + k] += share * (float)p[3 * x + k] / line[3 * x + k];
  }
}

static void
mark_cells (Cells *cells, const TracePaper *paper)
{
  double limit[3];
  for (int k = 0; k < 3; k++)
    limit[k] = MAX (SPREADS * paper->noise[k] / cells->side * 1.5, LEAST_DIFFERENCE);
  for (int i = 0; i < cells->columns * cells->rows; i++)
    for (int k = 0; k < 3; k++)
      if (fabs (1.0 - (double)cells->part[3 * i + k]) > limit[k])
        cells->label[i] = -1;
}

static int
by_size (const void *a, const void *b)
{
  const float x = *(const float *)a, y = *(const float *)b;
  return (x > y) - (x < y);
}

/* Steps to the nearest cell that is not of the spot, sideways and up and down; the sheet's rim counts as
 * none. */
static void
measure_depth (const Cells *cells, const int *cell, int count, int label, int *depth)
{
  g_autofree int *queue = g_new (int, count), *next = g_new (int, count);
  int waiting = 0;
  for (int m = 0; m < count; m++)
    depth[cell[m]] = 0;
  for (int m = 0; m < count; m++)
  {
    const int at = cell[m], c = at % cells->columns, r = at / cells->columns;
    if (c == 0 || r == 0 || c + 1 == cells->columns || r + 1 == cells->rows || cells->label[at - 1] != label
        || cells->label[at + 1] != label || cells->label[at - cells->columns] != label
        || cells->label[at + cells->columns] != label)
    {
      depth[at] = 1;
      queue[waiting++] = at;
    }
  }
  while (waiting > 0)
  {
    int found = 0;
    for (int q = 0; q < waiting; q++)
    {
      const int at = queue[q], c = at % cells->columns, r = at / cells->columns;
      const int beside[4]
        = { c > 0 ? at - 1 : -1, c + 1 < cells->columns ? at + 1 : -1, r > 0 ? at - cells->columns : -1,
            r + 1 < cells->rows ? at + cells->columns : -1 };
      for (int i = 0; i < 4; i++)
        if (beside[i] >= 0 && cells->label[beside[i]] == label && depth[beside[i]] == 0)
        {
          depth[beside[i]] = depth[at] + 1;
          next[found++] = beside[i];
        }
    }
    memcpy (queue, next, (gsize)found * sizeof *queue);
    waiting = found;
  }
}

static void
take_colour (const Cells *cells, const int *cell, int count, const int *depth, TraceSpot *spot)
{
  int deepest = 0;
  for (int m = 0; m < count; m++)
    deepest = MAX (deepest, depth[cell[m]]);
  g_autofree float *value = g_new (float, count);
  for (int k = 0; k < 3; k++)
  {
    int n = 0;
    for (int m = 0; m < count; m++)
      if (depth[cell[m]] >= INSIDE_PART * deepest)
        value[n++] = cells->part[3 * cell[m] + k];
    qsort (value, (size_t)n, sizeof *value, by_size);
    spot->colour[k] = (double)value[n / 2];
  }
}

static int
collect (const Cells *cells, int from, int label, int *cell)
{
  int count = 0;
  cells->label[from] = label;
  cell[count++] = from;
  for (int head = 0; head < count; head++)
  {
    const int c = cell[head] % cells->columns, r = cell[head] / cells->columns;
    for (int i = 0; i < 9; i++)
    {
      const int nc = c + i % 3 - 1, nr = r + i / 3 - 1, at = nr * cells->columns + nc;
      if (nc < 0 || nr < 0 || nc >= cells->columns || nr >= cells->rows || cells->label[at] != -1)
        continue;
      cells->label[at] = label;
      cell[count++] = at;
    }
  }
  return count;
}

static bool
is_crumb (const Cells *cells, int count)
{
  return count * cells->side_mm * cells->side_mm < TRACE_LEAST_PIECE_MM2;
}

/* The strip of table that shows where a corner was clicked a little outside, and lines that run into it: to
 * be a piece it must be thick somewhere off the rim. */
static bool
is_thin (const Cells *cells, const int *cell, int count, const int *depth)
{
  for (int m = 0; m < count; m++)
  {
    const int c = cell[m] % cells->columns, r = cell[m] / cells->columns;
    const int from_rim = MIN (MIN (c, cells->columns - 1 - c), MIN (r, cells->rows - 1 - r));
    if (from_rim * cells->side_mm >= TRACE_RIM_MM && depth[cell[m]] * cells->side_mm >= LEAST_DEPTH_MM)
      return false;
  }
  return true;
}

TraceSpots *
trace_spots_find (const TraceRaster *raster, const TracePaper *paper)
{
  TraceSpots *spots = g_new0 (TraceSpots, 1);
  spots->spot = g_array_new (FALSE, FALSE, sizeof (TraceSpot));
  Cells cells = { 0 };
  fill_cells (raster, paper, &cells);
  mark_cells (&cells, paper);
  const int all = cells.columns * cells.rows;
  g_autofree int *cell = g_new (int, all + 1), *depth = g_new0 (int, all + 1);
  int label = 0;
  for (int i = 0; i < all; i++)
  {
    if (cells.label[i] != -1)
      continue;
    const int count = collect (&cells, i, ++label, cell);
    if (is_crumb (&cells, count))
      continue;
    measure_depth (&cells, cell, count, label, depth);
    if (is_thin (&cells, cell, count, depth))
      continue;
    TraceSpot spot = { raster->width, raster->height, 0, 0, { 0.0 }, label };
    for (int m = 0; m < count; m++)
    {
      const int x = cell[m] % cells.columns * cells.side, y = cell[m] / cells.columns * cells.side;
      spot.x0 = MIN (spot.x0, x);
      spot.y0 = MIN (spot.y0, y);
      spot.x1 = MAX (spot.x1, x + cells.side);
      spot.y1 = MAX (spot.y1, y + cells.side);
    }
    take_colour (&cells, cell, count, depth, &spot);
    g_array_append_val (spots->spot, spot);
  }
  g_free (cells.part);
  spots->columns = cells.columns;
  spots->rows = cells.rows;
  spots->side = cells.side;
  spots->label = cells.label;
  return spots;
}

void
trace_spots_free (TraceSpots *spots)
{
  if (spots == NULL)
    return;
  g_array_unref (spots->spot);
  g_free (spots->label);
  g_free (spots);
}

bool
trace_spot_holds (const TraceSpots *spots, const TraceSpot *spot, const GeomPoint *px, guint count)
{
  guint in = 0, out = 0;
  for (guint i = 0; i < count && spots->columns > 0 && spots->rows > 0; i++)
  {
    const int c = CLAMP ((int)px[i].x / spots->side, 0, spots->columns - 1);
    const int r = CLAMP ((int)px[i].y / spots->side, 0, spots->rows - 1);
    const int label = spots->label[r * spots->columns + c];
    in += label == spot->label ? 1 : 0;
    out += label != spot->label && label > 0 ? 1 : 0;
  }
  return in > out;
}
