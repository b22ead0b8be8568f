/* Cubics through noisy points: a drawn stroke, a traced outline. */
#ifndef GEOM_FIT_H
#define GEOM_FIT_H

#include "geom/path.h"

typedef struct GeomFitOptions
{
  double tolerance_mm; /* largest distance of a (smoothed) sample to the result */
  double corner_rad;   /* a turn sharper than this within the sampling scale is a corner; 0: no corners */
  bool closed;
} GeomFitOptions;

/* Appends to OUT (initialised) a path through the COUNT points in order; tangents are joined except at
 * corners. CORNERS, when not NULL, has room for COUNT entries and gets the indices in OUT of pieces that
 * start at a corner; *CORNER_COUNT how many.  Fewer than two distinct points: nothing is appended and false
 * is returned. */
bool geom_fit_points (const GeomPoint *points,
                      size_t count,
                      const GeomFitOptions *options,
                      GeomPath *out,
                      size_t *corners,
                      size_t *corner_count);
/* The same for a trembling hand: up to twice as far off where that takes far fewer pieces with the same
 * corners, for then it was the shake that they followed.  A curve that is meant needs hardly fewer. */
bool geom_fit_shaken (const GeomPoint *points,
                      size_t count,
                      const GeomFitOptions *options,
                      GeomPath *out,
                      size_t *corners,
                      size_t *corner_count);

#endif
