/* Samples round a piece become edges: corners are kept, straight sides are straight, the rest is few cubics.
 *
 *        rounded corner: parted in its middle, smooth
 *             ╭────·────╮
 *             │         ╲            sharp corner: where the two sides, followed to it, meet;
 *             │          ╲           the samples there are rounded by blur and not asked
 *             └───────────╲
 */
#ifndef TRACE_OUTLINE_H
#define TRACE_OUTLINE_H

#include "geom/path.h"

/* PATH is closed and counter-clockwise; edge e begins with piece edge[e]; edge[0] is 0. */
typedef struct TraceOutline
{
  GeomPath path;
  size_t *edge;
  size_t edge_count;
} TraceOutline;

/* SAMPLE: COUNT points in even steps, closed, counter-clockwise.  BLUR_MM: how wide the photo's blur is, so
 * how far from a corner the samples are rounded.  TOLERANCE_MM: largest distance of a curve from the
 * (smoothed) samples. False, and OUT empty, if they enclose nothing. */
bool trace_outline_fit (
  const GeomPoint *sample, size_t count, double blur_mm, double tolerance_mm, TraceOutline *out);
void trace_outline_clear (TraceOutline *outline);

#endif
