#include "engine/starter-ring.h"

/* Rims that differ by less are straight: on a girth of half a metre their arcs rise by less than a
 * thousandth. */
#define FLAT_MM 1e-3
/* Of a ring nearly closed the two ends are neighbours already on the sheet. */
#define MOST_TURNING_RAD (5.0 / 3.0 * G_PI)

bool
engine_ring_find (double narrow_girth, double wide_girth, double along_mm, double gap_mm, EngineRing *ring)
{
  *ring = (EngineRing) { .narrow_mm = narrow_girth - gap_mm,
                         .wide_mm = wide_girth - gap_mm,
                         .along_mm = along_mm,
                         .flat = wide_girth - narrow_girth < FLAT_MM };
  if (ring->flat)
    return true;
  ring->turning_rad = (wide_girth - narrow_girth) / along_mm;
  ring->narrow_radius_mm = narrow_girth / ring->turning_rad;
  ring->wide_radius_mm = wide_girth / ring->turning_rad;
  ring->narrow_rad = ring->narrow_mm / ring->narrow_radius_mm;
  ring->wide_rad = ring->wide_mm / ring->wide_radius_mm;
  return ring->turning_rad <= MOST_TURNING_RAD;
}
