/* One spot as a single number a pixel: 0 is paper, 1 the inside of the piece; and the loops round what is
 * over one half. */
#ifndef TRACE_CONTRAST_H
#define TRACE_CONTRAST_H

#include "trace/spot.h"

/* Pixel (i, j) of VALUE is pixel (x0 + i, y0 + j) of the raster. */
typedef struct TraceContrast
{
  int x0, y0, width, height;
  float *value;
  /* What VALUE would be a quarter, a half and three quarters of the way over the edge, from the paper on, if
   * the camera had mixed its written numbers and not the light: sharpening and tone curves do that. */
  double numbers[3];
} TraceContrast;

/* The three colours' differences from the paper, weighed by how far the piece stands out of the noise in
 * each, then smoothed as much as the noise asks for. */
TraceContrast *trace_contrast_new (const TraceRaster *raster, const TracePaper *paper, const TraceSpot *spot);
void trace_contrast_free (TraceContrast *contrast);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (TraceContrast, trace_contrast_free)

/* Between the four nearest pixels, in raster px (middles at halves); beyond the rim: the rim's. */
double trace_contrast_at (const TraceContrast *contrast, GeomPoint px);

typedef struct TraceLoop
{
  GArray *corner;  /* GeomPoint, raster px: pixel corners round the piece, counter-clockwise on the sheet */
  int holes;       /* openings in it */
  double area_px;  /* without its holes */
  bool cut_off;    /* reaches over the rim of the raster */
  double depth_px; /* CUT_OFF: how far in from that rim it comes */
} TraceLoop;

void trace_loop_free (TraceLoop *loop);
/* TraceLoop, one for each thing of LEAST_PX pixels or more, from the top left on.  Openings of fewer pixels
 * than LEAST_HOLE_PX are not counted. */
GPtrArray *trace_loops_find (const TraceContrast *contrast,
                             const TraceRaster *raster,
                             double least_px,
                             double least_hole_px);

#endif
