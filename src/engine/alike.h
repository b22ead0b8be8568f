/* Two outlines laid on each other, one turned over. */
#ifndef ENGINE_ALIKE_H
#define ENGINE_ALIKE_H

#include "model/document.h"

/* The farthest that the outline A, turned over and laid on B in the position in which they agree best, lies
 * from B, or B from it. *AT: where, on B.  Both closed and of the same direction.  INFINITY if either has no
 * length. */
double engine_mirrored_distance (const GeomPath *a, const GeomPath *b, GeomPoint *at);

/* Gives TO the shape of FROM, turned over and laid where TO lies; their seam lines as pieces have them.  TO
 * keeps its ids, names and marks. False, and TO untouched, where the two have not the same edges and nodes
 * one for one. */
bool engine_lay_mirrored (const ModelPanel *from,
                          const GeomPath *from_seam,
                          ModelPanel *to,
                          const GeomPath *to_seam);

#endif
