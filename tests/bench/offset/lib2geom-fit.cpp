// lib2geom's stroke fit, callable from C.
#include <2geom/bezier-utils.h>

#include <cstddef>
#include <vector>

extern "C" int
lib2geom_fit (const double *xy, std::size_t count, double tolerance_mm, double *cubics, int most);

// COUNT points, two coordinates each; CUBICS has room for MOST cubics of eight.  Returns how many, -1 when
// too many.
int
lib2geom_fit (const double *xy, std::size_t count, double tolerance_mm, double *cubics, int most)
{
  std::vector<Geom::Point> points, bezier (4 * static_cast<std::size_t> (most));

  points.reserve (count);
  for (std::size_t i = 0; i < count; i++)
    points.emplace_back (xy[2 * i], xy[2 * i + 1]);
  // It compares squared distances.
  int found = Geom::bezier_fit_cubic_r (bezier.data (), points.data (), static_cast<int> (count),
                                        tolerance_mm * tolerance_mm, static_cast<unsigned> (most));
  for (int i = 0; i < 4 * found; i++)
  {
    *cubics++ = bezier[static_cast<std::size_t> (i)][Geom::X];
    *cubics++ = bezier[static_cast<std::size_t> (i)][Geom::Y];
  }
  return found;
}
