/* Places on the sheet where something lies: found coarsely, so that faint things are seen above the noise. */
#ifndef TRACE_SPOT_H
#define TRACE_SPOT_H

#include "trace/paper.h"

typedef struct TraceSpot
{
  int x0, y0, x1, y1; /* raster px; x1 and y1 not included */
  double colour[3];   /* of its inside, as parts of the paper's light there */
  int label;
} TraceSpot;

/* LABEL: which spot a cell of SIDE x SIDE raster px belongs to, 0: none. */
typedef struct TraceSpots
{
  GArray *spot; /* TraceSpot, from the top left on; without crumbs, lines and what shows along the rim */
  int columns, rows, side;
  int *label;
} TraceSpots;

TraceSpots *trace_spots_find (const TraceRaster *raster, const TracePaper *paper);
void trace_spots_free (TraceSpots *spots);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (TraceSpots, trace_spots_free)
/* Whether most of the COUNT places, raster px, lie in SPOT's cells: a small piece may lie in the box of a
 * large one. */
bool trace_spot_holds (const TraceSpots *spots, const TraceSpot *spot, const GeomPoint *px, guint count);

#endif
