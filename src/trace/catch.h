/* A place set by hand is a few pixels off; the corner that was meant is where two straight edges meet. */
#ifndef TRACE_CATCH_H
#define TRACE_CATCH_H

#include "geom/point.h"
#include "trace/photo.h"

/* The corner of the two strongest straight edges about NEAR, no further from it than WITHIN_PX.  False, and
 * OUT unchanged, if there is none, or if NEAR is too close to the picture's rim to tell. Method: gradients of
 * the brightness vote for lines (Hough); the two that win are fitted by weighted least squares and crossed.
 */
bool trace_corner_near (const TracePhoto *photo, GeomPoint near, double within_px, GeomPoint *out);

#endif
