/* How far a traced outline is from the truth. */
#ifndef JUDGE_H
#define JUDGE_H

#include "trace/outline.h"

typedef struct Judged
{
  double mean_mm, worst_mm, perimeter_mm, corner_mm;
  size_t edges, pieces;
} Judged;

/* Distances both ways; CORNER: the truth's sharp corners. */
Judged judge (const TraceOutline *outline, const GeomPath *truth, const GeomPoint *corner, int corners);

#endif
