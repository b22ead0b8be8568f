/* From a photo to the outlines of the pieces on it: the whole of tracing in one call. */
#ifndef TRACE_PIECE_H
#define TRACE_PIECE_H

#include "trace/outline.h"
#include "trace/photo.h"
#include "trace/view.h"

typedef struct TracePiece
{
  TraceOutline outline; /* mm on the sheet, y up */
  int holes;            /* openings in it, not traced */
  double area_mm2;      /* as counted, without its openings */
  double blur_mm;       /* of its rim in the photo */
} TracePiece;

typedef struct TraceResult
{
  GPtrArray *pieces; /* TracePiece, from the top left on */
  int cut_off;       /* things that reach over the rim of the sheet: not traced */
  double px_per_mm;  /* of the raster that was measured on */
} TraceResult;

/* BOX_MM: the part of the sheet to look at; all of its rim must be bare.  TOLERANCE_MM: how near the curves
 * follow, 0 for the usual TRACE_TOLERANCE_MM.  NULL with ERROR: no ground, no piece, no memory, the sheet too
 * small in the picture.  Runs in any thread; the photo is only read. */
TraceResult *trace_pieces_find (
  const TracePhoto *photo, const TraceView *view, GeomBox box_mm, double tolerance_mm, GError **error);
/* The same, telling how far it is; stops early with ERROR where PROGRESS says no.  PROGRESS runs in the
 * thread of the call. */
typedef bool (*TraceProgress) (double done, void *user); /* 0 .. 1 */
TraceResult *trace_pieces_find_watched (const TracePhoto *photo,
                                        const TraceView *view,
                                        GeomBox box_mm,
                                        double tolerance_mm,
                                        TraceProgress progress,
                                        void *user,
                                        GError **error);
void trace_result_free (TraceResult *result);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (TraceResult, trace_result_free)

#endif
