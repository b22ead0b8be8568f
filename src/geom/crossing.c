/* Where lines and pieces meet. */
#include "geom/path.h"

#include "geom/tolerance.h"

bool
geom_line_meet (GeomPoint a0, GeomPoint a1, GeomPoint b0, GeomPoint b1, GeomPoint *out)
{
  GeomPoint a = geom_sub (a1, a0), b = geom_sub (b1, b0);
  double cross = geom_cross (a, b);
  if (!(fabs (cross) > GEOM_TOL_PARALLEL * geom_norm (a) * geom_norm (b)))
    return false;
  *out = geom_along (a0, geom_cross (geom_sub (b0, a0), b) / cross, a);
  return true;
}
