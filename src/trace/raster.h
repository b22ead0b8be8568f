/* The sheet laid flat: the photo as a camera straight above would have seen it. */
#ifndef TRACE_RASTER_H
#define TRACE_RASTER_H

#include "trace/photo.h"
#include "trace/view.h"

/* Row 0 is the TOP row; the middle of pixel (i, j) is (x0 + (i + 0.5) / px_per_mm, y1 - (j + 0.5) /
 * px_per_mm) of BOX. LIGHT: red, green, blue interleaved, in proportion to the light (not to the photo's
 * numbers), white 65535: blur and mixed pixels are averages of light. */
typedef struct TraceRaster
{
  int width, height;
  double px_per_mm;
  GeomBox box_mm;
  guint16 *light;
} TraceRaster;

/* BOX_MM of the sheet, as fine as the photo gives and TRACE_RASTER_PX_PER_MM allows.  Where the photo is
 * finer, several of its pixels are averaged.  What lies outside the photo repeats its rim.  NULL if there is
 * no memory for it. */
TraceRaster *trace_raster_new (const TracePhoto *photo, const TraceView *view, GeomBox box_mm);
/* The same, PX_PER_MM fine whatever the photo gives. */
TraceRaster *
trace_raster_new_at (const TracePhoto *photo, const TraceView *view, GeomBox box_mm, double px_per_mm);
/* How fine the photo shows BOX_MM: pixels a millimetre, in the mean over it.  0 if it cannot be laid flat. */
double trace_raster_source_px_per_mm (const TraceView *view, GeomBox box_mm);
void trace_raster_free (TraceRaster *raster);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (TraceRaster, trace_raster_free)

/* Place on the sheet of raster coordinates (pixel middles at halves) and back. */
static inline GeomPoint
trace_raster_to_mm (const TraceRaster *raster, GeomPoint px)
{
  return geom_point (raster->box_mm.x0 + px.x / raster->px_per_mm,
                     raster->box_mm.y1 - px.y / raster->px_per_mm);
}

static inline GeomPoint
trace_raster_from_mm (const TraceRaster *raster, GeomPoint mm)
{
  return geom_point ((mm.x - raster->box_mm.x0) * raster->px_per_mm,
                     (raster->box_mm.y1 - mm.y) * raster->px_per_mm);
}

#endif
