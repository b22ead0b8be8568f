#include "trace/judge.h"

#include <glib.h>

/* Mean and largest distance between two paths, both ways, from points a millimetre apart. */
static void
one_way (const GeomPath *from, const GeomPath *to, double *sum, int *count, double *worst)
{
  for (size_t i = 0; i < from->count; i++)
  {
    const double length = geom_cubic_length (&from->piece[i], 1e-4);
    const int steps = MAX ((int)length, 1);
    for (int k = 0; k < steps; k++)
    {
      const GeomPoint p = geom_cubic_at (&from->piece[i], (k + 0.5) / steps);
      const double d = geom_path_nearest (to, p).distance_mm;
      *sum += d;
      *worst = MAX (*worst, d);
      ++*count;
    }
  }
}

Judged
judge (const TraceOutline *outline, const GeomPath *truth, const GeomPoint *corner, int corners)
{
  Judged j = { .edges = outline->edge_count };
  double sum = 0.0;
  int count = 0;
  one_way (&outline->path, truth, &sum, &count, &j.worst_mm);
  one_way (truth, &outline->path, &sum, &count, &j.worst_mm);
  j.mean_mm = sum / count;
  j.perimeter_mm = geom_path_length (&outline->path, 1e-4) - geom_path_length (truth, 1e-4);
  for (int c = 0; c < corners; c++)
  {
    double nearest = INFINITY;
    for (size_t e = 0; e < outline->edge_count; e++)
      nearest = MIN (nearest, geom_distance (corner[c], outline->path.piece[outline->edge[e]].p[0]));
    j.corner_mm = MAX (j.corner_mm, nearest);
  }
  return j;
}
