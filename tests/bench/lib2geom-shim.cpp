// The little of lib2geom that the benchmark needs, callable from C.
#include <2geom/bezier-curve.h>

#include <cstddef>
#include <vector>

extern "C" {

// COUNT cubics, eight coordinates each.
void *
lib2geom_curves_new (const double *xy, std::size_t count)
{
  auto *curves = new std::vector<Geom::CubicBezier> ();
  curves->reserve (count);
  for (std::size_t i = 0; i < count; i++, xy += 8)
    curves->emplace_back (Geom::Point (xy[0], xy[1]),
                          Geom::Point (xy[2], xy[3]),
                          Geom::Point (xy[4], xy[5]),
                          Geom::Point (xy[6], xy[7]));
  return curves;
}

void
lib2geom_curves_free (void *curves)
{
  delete static_cast<std::vector<Geom::CubicBezier> *> (curves);
}

// Parameter on each curve nearest to its own point (two coordinates each).
void
lib2geom_curves_nearest (const void *curves, const double *points, double *t)
{
  for (auto const &curve : *static_cast<const std::vector<Geom::CubicBezier> *> (curves))
    {
      *t++ = curve.nearestTime (Geom::Point (points[0], points[1]));
      points += 2;
    }
}
}
