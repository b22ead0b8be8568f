/* The bare sheet as it would look with nothing on it: three smooth surfaces, one a colour.
 *
 * Lenses darken towards the picture's corners and a lamp stands on one side, so white paper is anything but
 * one number.  Both change slowly; the edge of a piece does not.
 */
#ifndef TRACE_PAPER_H
#define TRACE_PAPER_H

#include "trace/raster.h"

#define TRACE_PAPER_TERMS 15 /* a polynomial of the fourth order in two variables */

typedef struct TracePaper
{
  double width, height; /* of the raster, px */
  int order;
  double surface[3][TRACE_PAPER_TERMS];
  double noise[3]; /* spread of one pixel of bare paper, as a part of the paper's light */
} TracePaper;

/* False (TRACE_ERROR_PIECE) if there is no even ground along the sheet's rim from which to start.
 * Method: a robust surface through blocks of 2 mm along the rim; from there over all blocks that join on
 * without a step; a robust surface of higher order through those. */
bool trace_paper_find (const TraceRaster *raster, TracePaper *paper, GError **error);
/* The paper's light at pixels X0 .. X0 + COUNT - 1 of row Y, interleaved; never less than 1. */
void trace_paper_row (const TracePaper *paper, int y, int x0, int count, float *light);

#endif
