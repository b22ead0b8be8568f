/* Places on the sheet where something lies: found coarsely, so that faint things are seen above the noise. */
#ifndef TRACE_SPOT_H
#define TRACE_SPOT_H

#include "trace/paper.h"

typedef struct TraceSpot
{
  int x0, y0, x1, y1; /* raster px; x1 and y1 not included */
  double colour[3];   /* of its inside, as parts of the paper's light there */
} TraceSpot;

/* TraceSpot, from the top left on; without crumbs and without what only shows along the sheet's rim. */
GArray *trace_spots_find (const TraceRaster *raster, const TracePaper *paper);

#endif
