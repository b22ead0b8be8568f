/* Closed runs of pieces laid for cutting: do they cross themselves, and what is left when their loops go.
 *
 * Inside geom only: offset.h is the door.
 */
#ifndef GEOM_LOOPS_H
#define GEOM_LOOPS_H

#include "geom/path.h"

/* Belongs to no edge: a blunt end or a step. */
#define GEOM_RUN_NO_EDGE (-1)

/* A closed run: piece i ends where piece i + 1 begins, the last where the first begins.  EDGE tells whose cut
 * a piece is.  Holds SMALL pieces without asking for memory. */
#define GEOM_RUN_SMALL 96
typedef struct GeomRun
{
  GeomCubic *piece;
  int *edge;
  size_t count, room;
  GeomCubic small_piece[GEOM_RUN_SMALL];
  int small_edge[GEOM_RUN_SMALL];
} GeomRun;

void geom_run_init (GeomRun *run);
void geom_run_clear (GeomRun *run);
void geom_run_push (GeomRun *run, const GeomCubic *c, int edge);

/* False: the closed run COUNT pieces long surely does not meet itself.  True: it may.  Boxes, cones of
 * direction and dividing lines only, a few subdivisions deep.
 */
bool geom_run_may_cross (const GeomCubic *piece, size_t count);

/* Which pieces of a run may stay, apart from their winding: asked at a point of a piece of EDGE. */
typedef bool (*GeomRunKeep) (GeomPoint p, int edge, void *user);

/* The outer boundary of what RAW goes round: raw is cut where it crosses itself, parts with winding > 0 on
 * the left and <= 0 on the right and not refused by KEEP (may be NULL) are joined up, and the loop of the
 * largest area is appended to OUT (initialised).  1: done; 0: nothing is left; -1: the parts do not join up.
 */
int geom_run_clean (const GeomRun *raw, GeomRunKeep keep, void *user, GeomRun *out);

#endif
