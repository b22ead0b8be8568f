/* A white sheet on a darker table mostly shows by itself: its corners need not be set by hand. */
#ifndef TRACE_SHEET_FIND_H
#define TRACE_SHEET_FIND_H

#include "geom/point.h"
#include "trace/photo.h"

/* The corners of the one sheet in the photo, px, clockwise from the one nearest to the picture's top left.
 * False, and CORNER unchanged, if no sheet lies there clearly: a whole light quadrangle, every side seen for
 * the most part, larger than a tenth of the picture.  Which size it has cannot be told.
 * Method: the photo in coarse cells is parted at several levels of whiteness; the hull of the largest part
 * that keeps off the rim is held against the largest quadrangle in it; the best is made exact by
 * trace_corner_near. */
bool trace_sheet_find (const TracePhoto *photo, GeomPoint corner[4]);

#endif
