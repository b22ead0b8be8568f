/* Points and boxes. */
#include "geom/point.h"

GeomPoint
geom_unit (GeomPoint a)
{
  /* Scaled first: the square of a very short vector would vanish, that of a very long one overflow. */
  double largest = fmax (fabs (a.x), fabs (a.y));
  if (!(largest > 0.0) || isinf (largest))
    return geom_point (0.0, 0.0);
  int exponent;
  frexp (largest, &exponent);
  double x = ldexp (a.x, -exponent), y = ldexp (a.y, -exponent);
  double norm = sqrt (x * x + y * y);
  return geom_point (x / norm, y / norm);
}

bool
geom_same_point (GeomPoint a, GeomPoint b)
{
  return a.x <= b.x && a.x >= b.x && a.y <= b.y && a.y >= b.y;
}

GeomBox
geom_box_empty (void)
{
  return (GeomBox) { INFINITY, INFINITY, -INFINITY, -INFINITY };
}

bool
geom_box_is_empty (GeomBox box)
{
  return !(box.x0 <= box.x1 && box.y0 <= box.y1);
}

GeomBox
geom_box_with_point (GeomBox box, GeomPoint p)
{
  return geom_box_union (box, (GeomBox) { p.x, p.y, p.x, p.y });
}

GeomBox
geom_box_union (GeomBox a, GeomBox b)
{
  if (geom_box_is_empty (a))
    return b;
  if (geom_box_is_empty (b))
    return a;
  return (GeomBox) { a.x0 < b.x0 ? a.x0 : b.x0, a.y0 < b.y0 ? a.y0 : b.y0, a.x1 > b.x1 ? a.x1 : b.x1,
                     a.y1 > b.y1 ? a.y1 : b.y1 };
}

GeomBox
geom_box_grown (GeomBox box, double margin_mm)
{
  if (geom_box_is_empty (box))
    return box;
  return (GeomBox) { box.x0 - margin_mm, box.y0 - margin_mm, box.x1 + margin_mm, box.y1 + margin_mm };
}

bool
geom_box_overlaps (GeomBox a, GeomBox b)
{
  if (geom_box_is_empty (a) || geom_box_is_empty (b))
    return false;
  return a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1;
}

bool
geom_box_contains (GeomBox box, GeomPoint p)
{
  return box.x0 <= p.x && p.x <= box.x1 && box.y0 <= p.y && p.y <= box.y1;
}

double
geom_box_distance (GeomBox box, GeomPoint p)
{
  double dx = fmax (0.0, fmax (box.x0 - p.x, p.x - box.x1));
  double dy = fmax (0.0, fmax (box.y0 - p.y, p.y - box.y1));
  return hypot (dx, dy);
}
