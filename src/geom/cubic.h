/* One cubic Bezier piece: a value of four control points, parameter t in 0..1. */
#ifndef GEOM_CUBIC_H
#define GEOM_CUBIC_H

#include "geom/point.h"

typedef struct GeomCubic
{
  GeomPoint p[4];
} GeomCubic;

/* Parameters of special points, ascending, each strictly inside 0..1. */
typedef struct GeomParams
{
  int count;
  double t[6];
} GeomParams;

/* A straight piece with even speed. */
GeomCubic geom_cubic_line (GeomPoint a, GeomPoint b);
/* The two control arms lie on the chord and point forward: drawn as a straight line. */
bool geom_cubic_is_straight (const GeomCubic *c, double accuracy_mm);
GeomPoint geom_cubic_at (const GeomCubic *c, double t);
/* Derivative by t, in mm per unit of t. */
GeomPoint geom_cubic_velocity (const GeomCubic *c, double t);
GeomPoint geom_cubic_acceleration (const GeomCubic *c, double t);
/* Unit direction of travel; where the speed is zero, the limit from inside 0..1 (from the right, at
 * t = 1 from the left).  (0, 0) only if all four points coincide. */
GeomPoint geom_cubic_tangent (const GeomCubic *c, double t);
/* Signed curvature in 1/mm, positive turning left; INFINITY at a cusp, 0 for a straight piece. */
double geom_cubic_curvature (const GeomCubic *c, double t);
void geom_cubic_split (const GeomCubic *c, double t, GeomCubic *head, GeomCubic *tail);
/* The part between t0 and t1; t0 > t1 gives it reversed. */
GeomCubic geom_cubic_part (const GeomCubic *c, double t0, double t1);
GeomCubic geom_cubic_reversed (const GeomCubic *c);
GeomCubic geom_cubic_mapped (const GeomCubic *c, GeomAffine map);
/* Tight box, from the extrema. */
GeomBox geom_cubic_box (const GeomCubic *c);
/* Box of the four control points: loose and quick. */
GeomBox geom_cubic_hull_box (const GeomCubic *c);
/* Where x' or y' is zero: at most four. */
GeomParams geom_cubic_extrema (const GeomCubic *c);
/* Where the curvature changes its sign: at most two. */
GeomParams geom_cubic_inflections (const GeomCubic *c);
/* Green's half integral of x dy - y dx along the piece, mm2.  Summed over a closed outline: its area,
 * positive counter-clockwise.  Closed form. */
double geom_cubic_area_term (const GeomCubic *c);
/* Angle the tangent turns through, radians, positive left; not reduced to one turn.  The half turn in an
 * exact cusp or fold has no side and is not counted. */
double geom_cubic_turning (const GeomCubic *c);
/* All t where the piece crosses itself, as a pair t < u; false if it does not.  Ends that coincide close the
 * piece and are no crossing; an end lying on the middle is one. */
bool geom_cubic_self_crossing (const GeomCubic *c, double *t, double *u);

/* ---- length.c ---- */

/* Length along one piece.  ACCURACY_MM: largest error allowed, > 0 (1e-9 is reached).  Returns mm,
 * >= 0; 0 if all four points coincide.  Right on cusps, near-cusps and folds.
 * Method: the speed is |z| of a complex quadratic; its roots decide cut points and order of
 * Gauss-Legendre rules. */
double geom_cubic_length (const GeomCubic *c, double accuracy_mm);
/* Length between t0 and t1; negative when t0 > t1. */
double geom_cubic_length_between (const GeomCubic *c, double t0, double t1, double accuracy_mm);
/* Parameter at which ALONG_MM from the start is reached.  Beyond either end: that end.  A piece of no
 * length: 0. */
double geom_cubic_t_at_length (const GeomCubic *c, double along_mm, double accuracy_mm);

/* ---- nearest.c ---- */

typedef struct GeomNearest
{
  double t, distance_mm;
  GeomPoint point;
} GeomNearest;

/* The nearest point of the whole piece: global, never a local minimum.  Of equally near ones: the lowest t.
 * Method: sign changes of the quintic (c - p).c' isolated in Bernstein form, bracketed Newton in each. */
GeomNearest geom_cubic_nearest (const GeomCubic *c, GeomPoint to);

/* ---- crossing.c ---- */

typedef struct GeomCrossing
{
  double t, u; /* on the first and on the second piece */
  GeomPoint point;
} GeomCrossing;

/* Crossings and touchings of two pieces, ascending in t, at most MAX (9 for two cubics in general
 * position).  Returns how many were found.  Stretches where they run on one another give the two ends
 * of the stretch.  Two points closer than ACCURACY_MM count once.  Pieces touch when they come nearer than
 * GEOM_TOL_TOUCH_MM (geom/tolerance.h), or than ACCURACY_MM if that is less. */
int
geom_cubic_crossings (const GeomCubic *a, const GeomCubic *b, double accuracy_mm, GeomCrossing *out, int max);

/* Where the straight lines a0->a1 and b0->b1, both unbounded, meet.  False when they are parallel (within
 * 1e-12 of the product of their lengths). */
bool geom_line_meet (GeomPoint a0, GeomPoint a1, GeomPoint b0, GeomPoint b1, GeomPoint *out);

#endif
