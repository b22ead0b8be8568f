/* Part of a cone laid flat: a sector of a ring.  Shared by the tube and the collar.
 *
 * A cone that goes from girth G1 to G2 over S along its side turns, laid flat, through (G2 - G1) / S in all,
 * whatever the shape of its cross-section; its rims are arcs of radii G1 and G2 over that turning.  A gap of
 * the same width all along takes the same length off both arcs; the arcs stay those of the whole cone, so
 * that the rims still run level when the piece is laced.
 */
#ifndef ENGINE_STARTER_RING_H
#define ENGINE_STARTER_RING_H

#include "engine/starter-draft.h"

typedef struct EngineRing
{
  bool flat;                           /* a cylinder: no arcs */
  double narrow_mm, wide_mm, along_mm; /* girths less the gap; from rim to rim along the whole cone's side */
  double turning_rad;                  /* of the whole cone */
  double narrow_radius_mm, wide_radius_mm;
  double narrow_rad, wide_rad; /* what the piece's arcs turn through */
} EngineRing;

/* NARROW_GIRTH <= WIDE_GIRTH, both greater than GAP_MM, all along the neutral layer.  False: the flat piece
 * would run into itself. */
bool
engine_ring_find (double narrow_girth, double wide_girth, double along_mm, double gap_mm, EngineRing *ring);

#endif
