/* The sheet laid flat as a picture of its own: a JPEG of even scale, to be drawn over. */
#ifndef TRACE_FLAT_H
#define TRACE_FLAT_H

#include "trace/photo.h"
#include "trace/view.h"

/* A pixel of it is never wider than this: half a millimetre can still be told. */
#define TRACE_FLAT_MOST_MM_PER_PX 0.3
/* It is kept inside the document and travels with it. */
#define TRACE_FLAT_MOST_BYTES (4u * 1024u * 1024u)

typedef struct TraceFlat
{
  GBytes *jpeg;
  int width, height; /* px */
  double mm_per_px;
  GeomPoint at; /* of its lower left corner, mm of the plane */
} TraceFlat;

/* BOX_MM as fine as the photo shows it, but TRACE_FLAT_MOST_MM_PER_PX at least; coarser where the file would
 * grow over TRACE_FLAT_MOST_BYTES, down to that bound.  What the photo does not show is white.  NULL with
 * ERROR: no memory, a box that is too large or cannot be laid flat.  Runs in any thread; the photo is only
 * read. */
TraceFlat *trace_flat_new (const TracePhoto *photo, const TraceView *view, GeomBox box_mm, GError **error);
void trace_flat_free (TraceFlat *flat);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (TraceFlat, trace_flat_free)

/* The part of the plane a whole picture shows, but no further than twice KNOWN_MM's longer side beyond
 * KNOWN_MM, where the picture's far side comes near the horizon. */
GeomBox trace_flat_whole (const TraceView *view, int picture_width, int picture_height, GeomBox known_mm);

#endif
