/* Affine maps of the plane. */
#include "geom/point.h"

GeomAffine
geom_affine_identity (void)
{
  return (GeomAffine) { 1.0, 0.0, 0.0, 1.0, 0.0, 0.0 };
}

GeomAffine
geom_affine_move (double dx, double dy)
{
  return (GeomAffine) { 1.0, 0.0, 0.0, 1.0, dx, dy };
}

/* The linear part of MAP with CENTRE left where it is. */
static GeomAffine
fix_centre (GeomAffine map, GeomPoint centre)
{
  GeomPoint moved = geom_affine_apply_vector (map, centre);
  map.x0 = centre.x - moved.x;
  map.y0 = centre.y - moved.y;
  return map;
}

GeomAffine
geom_affine_turn (GeomPoint centre, double angle_rad)
{
  double c = cos (angle_rad), s = sin (angle_rad);
  return fix_centre ((GeomAffine) { c, -s, s, c, 0.0, 0.0 }, centre);
}

GeomAffine
geom_affine_scale (GeomPoint centre, double sx, double sy)
{
  return fix_centre ((GeomAffine) { sx, 0.0, 0.0, sy, 0.0, 0.0 }, centre);
}

GeomAffine
geom_affine_mirror (GeomPoint a, GeomPoint b)
{
  GeomPoint u = geom_unit (geom_sub (b, a));
  if (geom_same_point (u, geom_point (0.0, 0.0)))
    return geom_affine_identity ();
  double c = u.x * u.x - u.y * u.y, s = 2.0 * u.x * u.y;
  return fix_centre ((GeomAffine) { c, s, s, -c, 0.0, 0.0 }, a);
}

GeomAffine
geom_affine_after (GeomAffine outer, GeomAffine inner)
{
  GeomPoint shift = geom_affine_apply (outer, geom_point (inner.x0, inner.y0));
  return (GeomAffine) { outer.xx * inner.xx + outer.xy * inner.yx,
                        outer.xx * inner.xy + outer.xy * inner.yy,
                        outer.yx * inner.xx + outer.yy * inner.yx,
                        outer.yx * inner.xy + outer.yy * inner.yy,
                        shift.x,
                        shift.y };
}

double
geom_affine_determinant (GeomAffine map)
{
  return map.xx * map.yy - map.xy * map.yx;
}

bool
geom_affine_inverse (GeomAffine map, GeomAffine *out)
{
  double det = geom_affine_determinant (map);
  double inverse_det = 1.0 / det;
  if (!isfinite (inverse_det) || !isfinite (det))
    return false;
  GeomAffine r
    = { map.yy * inverse_det, -map.xy * inverse_det, -map.yx * inverse_det, map.xx * inverse_det, 0.0, 0.0 };
  GeomPoint shift = geom_affine_apply_vector (r, geom_point (map.x0, map.y0));
  r.x0 = -shift.x;
  r.y0 = -shift.y;
  *out = r;
  return true;
}
