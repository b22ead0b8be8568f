/* A loop of pixels made exact: each sample is put where the light is half-way between outside and inside. */
#ifndef TRACE_RIM_H
#define TRACE_RIM_H

#include "trace/contrast.h"

typedef struct TraceRim
{
  GArray *sample; /* GeomPoint, mm, even steps of about TRACE_STEP_MM, closed, counter-clockwise */
  double blur_mm; /* spread of the edge: that of a Gaussian with as wide a middle half */
} TraceRim;

/* NULL when the loop is too small to carry samples. */
TraceRim *trace_rim_new (const TraceContrast *contrast, const TraceRaster *raster, const TraceLoop *loop);
void trace_rim_free (TraceRim *rim);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (TraceRim, trace_rim_free)

#endif
