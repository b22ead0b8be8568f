/* A run of cubic pieces laid end to end; closed when it is an outline.
 *
 * A GeomPath owns its array.  Pair geom_path_init (or a zeroed struct) with geom_path_clear.
 */
#ifndef GEOM_PATH_H
#define GEOM_PATH_H

#include "geom/cubic.h"

#include <stddef.h>

typedef struct GeomPath
{
  GeomCubic *piece;
  size_t count, room;
  bool closed; /* the last piece ends where the first begins */
} GeomPath;

/* A place on a path: piece index and t there. */
typedef struct GeomPlace
{
  size_t piece;
  double t;
} GeomPlace;

typedef struct GeomPathNearest
{
  GeomPlace place;
  GeomPoint point;
  double distance_mm;
} GeomPathNearest;

void geom_path_init (GeomPath *path);
void geom_path_clear (GeomPath *path);
/* Empty but keep the memory. */
void geom_path_reset (GeomPath *path);
void geom_path_append (GeomPath *path, const GeomCubic *c);
void geom_path_append_line (GeomPath *path, GeomPoint a, GeomPoint b);
void geom_path_append_path (GeomPath *path, const GeomPath *more);
void geom_path_copy (GeomPath *to, const GeomPath *from);
void geom_path_reverse (GeomPath *path);
void geom_path_map (GeomPath *path, GeomAffine map);
GeomBox geom_path_box (const GeomPath *path);
double geom_path_length (const GeomPath *path, double accuracy_mm);
/* Length from the start to PLACE. */
double geom_path_length_to (const GeomPath *path, GeomPlace place, double accuracy_mm);
/* Beyond either end: that end (of a closed path too). */
GeomPlace geom_path_place_at (const GeomPath *path, double along_mm, double accuracy_mm);
GeomPoint geom_path_point (const GeomPath *path, GeomPlace place);
GeomPoint geom_path_tangent (const GeomPath *path, GeomPlace place);
/* OUT, initialised, gets the part from A to B (A before B; on a closed path B before A wraps round). */
void geom_path_part (const GeomPath *path, GeomPlace a, GeomPlace b, GeomPath *out);
GeomPathNearest geom_path_nearest (const GeomPath *path, GeomPoint to);
/* Signed area of a closed path, mm2, positive counter-clockwise. */
double geom_path_area (const GeomPath *path);
/* How often a closed path goes round P, counter-clockwise positive.  P on the path itself: either neighbour's
 * number.  Decided on the curves, not on chords. */
int geom_path_winding (const GeomPath *path, GeomPoint p);
static inline bool
geom_path_contains (const GeomPath *path, GeomPoint p)
{
  return geom_path_winding (path, p) != 0;
}

/* One self-crossing of a path. */
typedef struct GeomSelfCrossing
{
  GeomPlace a, b;
  GeomPoint point;
} GeomSelfCrossing;

/* Places where the path meets itself other than at shared ends of neighbours, ascending.  A piece shorter
 * than half of ACCURACY_MM is passed over: the pieces on either side of it count as neighbours.  Writes at
 * most MAX, returns how many there are in all, at most MAX.  ACCURACY_MM as in geom_cubic_crossings.  Box
 * pruned. */
size_t geom_path_self_crossings (const GeomPath *path, double accuracy_mm, GeomSelfCrossing *out, size_t max);

/* Chords of the path such that none is farther than DEVIATION_MM from it.  Calls EMIT for each point, the
 * first included; for a closed path the first point is not repeated. */
typedef void (*GeomEmitPoint) (GeomPoint p, void *user);
void geom_path_flatten (const GeomPath *path, double deviation_mm, GeomEmitPoint emit, void *user);

#endif
