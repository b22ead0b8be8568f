/* Where a closed row of samples turns sharply, and where it bends. */
#ifndef TRACE_CORNER_H
#define TRACE_CORNER_H

#include "geom/point.h"

#include <glib.h>

/* A closed row in even steps. */
typedef struct TraceRow
{
  const GeomPoint *sample;
  int count;
  double step_mm;
  double skip_mm; /* so far from a blunt corner the samples are rounded */
} TraceRow;

static inline GeomPoint
trace_row_at (const TraceRow *row, int index)
{
  const int i = index % row->count;
  return row->sample[i < 0 ? i + row->count : i];
}

/* One side of a corner as parabolas in the distance s along the row, s = 0 at the corner: x = x[0] + x[1] s +
 * x[2] s^2. */
typedef struct TraceSide
{
  double x[3], y[3];
} TraceSide;

typedef struct TraceCorner
{
  int index;       /* of the sample beside it */
  GeomPoint point; /* where the sides meet */
  double turn_rad; /* positive to the left */
  double skip_mm;  /* so far from it the samples are not to be trusted; more at a tip */
} TraceCorner;

/* Least squares through samples FROM .. TO (indices may lie beyond either end), s counted from index ZERO. */
TraceSide trace_side_fit (const TraceRow *row, int from, int to, int zero);
GeomPoint trace_side_at (const TraceSide *side, double s_mm);
/* Where two sides meet near s = 0.  False if they run on into one another. */
bool trace_sides_meet (const TraceSide *a, const TraceSide *b, double within_mm, GeomPoint *out);
/* Direction of the best line through samples FROM .. TO, in the row's direction. */
GeomPoint trace_row_direction (const TraceRow *row, int from, int to);

/* TraceCorner in row order: sharp ones. */
GArray *trace_corners_find (const TraceRow *row);
/* int, sample indices between samples FROM and TO (TO > FROM; FROM + count: the whole row) at which rounded
 * corners are parted, in order; WEIGHT, if not NULL, gets a double each: by how much the row turns there. */
GArray *trace_bends_find (const TraceRow *row, int from, int to, GArray *weight);

#endif
