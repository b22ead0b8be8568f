/* Points, vectors and boxes of the plane.
 *
 * Millimetres, y up.  A vector is a GeomPoint too.  All functions are pure and take finite input;
 * the file readers refuse NaN and infinities before they get here.
 */
#ifndef GEOM_POINT_H
#define GEOM_POINT_H

#include <math.h>
#include <stdbool.h>

typedef struct GeomPoint
{
  double x, y;
} GeomPoint;

/* An axis-parallel box.  Empty when x0 > x1. */
typedef struct GeomBox
{
  double x0, y0, x1, y1;
} GeomBox;

/* x' = xx x + xy y + x0;  y' = yx x + yy y + y0. */
typedef struct GeomAffine
{
  double xx, xy, yx, yy, x0, y0;
} GeomAffine;

static inline GeomPoint
geom_point (double x, double y)
{
  return (GeomPoint) { x, y };
}

static inline GeomPoint
geom_add (GeomPoint a, GeomPoint b)
{
  return (GeomPoint) { a.x + b.x, a.y + b.y };
}

/* a - b: the vector from b to a. */
static inline GeomPoint
geom_sub (GeomPoint a, GeomPoint b)
{
  return (GeomPoint) { a.x - b.x, a.y - b.y };
}

static inline GeomPoint
geom_scale (GeomPoint a, double s)
{
  return (GeomPoint) { a.x * s, a.y * s };
}

/* a + s b. */
static inline GeomPoint
geom_along (GeomPoint a, double s, GeomPoint b)
{
  return (GeomPoint) { a.x + s * b.x, a.y + s * b.y };
}

/* Straight mix: a at t = 0, b at t = 1; exact at both ends. */
static inline GeomPoint
geom_mix (GeomPoint a, GeomPoint b, double t)
{
  return (GeomPoint) { (1.0 - t) * a.x + t * b.x, (1.0 - t) * a.y + t * b.y };
}

static inline double
geom_dot (GeomPoint a, GeomPoint b)
{
  return a.x * b.x + a.y * b.y;
}

static inline double
geom_cross (GeomPoint a, GeomPoint b)
{
  return a.x * b.y - a.y * b.x;
}

static inline double
geom_norm (GeomPoint a)
{
  return hypot (a.x, a.y);
}

static inline double
geom_distance (GeomPoint a, GeomPoint b)
{
  return hypot (a.x - b.x, a.y - b.y);
}

/* Quarter turn to the left. */
static inline GeomPoint
geom_left_of (GeomPoint a)
{
  return (GeomPoint) { -a.y, a.x };
}

/* Quarter turn to the right: outward of a counter-clockwise outline. */
static inline GeomPoint
geom_right_of (GeomPoint a)
{
  return (GeomPoint) { a.y, -a.x };
}

/* Unit vector of A; (0, 0) where A has no length. */
GeomPoint geom_unit (GeomPoint a);

/* The same point bit for bit, -0 and 0 taken as equal. */
bool geom_same_point (GeomPoint a, GeomPoint b);

/* Which side of the directed line A->B the point P lies on: 1 left, -1 right, 0 exactly on it.
 * Right for all finite doubles that do not overflow in a product: a floating-point filter,
 * then exact expansion arithmetic.  Source: J. R. Shewchuk, Adaptive Precision Floating-Point
 * Arithmetic and Fast Robust Geometric Predicates, Discrete Comput. Geom. 18 (1997). */
int geom_turn (GeomPoint a, GeomPoint b, GeomPoint p);

/* ---- boxes ---- */

GeomBox geom_box_empty (void);
bool geom_box_is_empty (GeomBox box);
GeomBox geom_box_with_point (GeomBox box, GeomPoint p);
GeomBox geom_box_union (GeomBox a, GeomBox b);
/* Larger by MARGIN_MM on all four sides; an empty box stays empty. */
GeomBox geom_box_grown (GeomBox box, double margin_mm);
/* Touching counts. */
bool geom_box_overlaps (GeomBox a, GeomBox b);
bool geom_box_contains (GeomBox box, GeomPoint p);
/* 0 inside. */
double geom_box_distance (GeomBox box, GeomPoint p);

/* ---- maps ---- */

GeomAffine geom_affine_identity (void);
GeomAffine geom_affine_move (double dx, double dy);
/* Turn counter-clockwise by ANGLE_RAD about CENTRE. */
GeomAffine geom_affine_turn (GeomPoint centre, double angle_rad);
GeomAffine geom_affine_scale (GeomPoint centre, double sx, double sy);
/* Reflection in the line through A and B; the identity when A equals B. */
GeomAffine geom_affine_mirror (GeomPoint a, GeomPoint b);
/* First INNER, then OUTER. */
GeomAffine geom_affine_after (GeomAffine outer, GeomAffine inner);
/* False (and *OUT untouched) when the map has no inverse. */
bool geom_affine_inverse (GeomAffine map, GeomAffine *out);
double geom_affine_determinant (GeomAffine map);

static inline GeomPoint
geom_affine_apply (GeomAffine m, GeomPoint p)
{
  return (GeomPoint) { m.xx * p.x + m.xy * p.y + m.x0, m.yx * p.x + m.yy * p.y + m.y0 };
}

/* A vector: without the shift. */
static inline GeomPoint
geom_affine_apply_vector (GeomAffine m, GeomPoint v)
{
  return (GeomPoint) { m.xx * v.x + m.xy * v.y, m.yx * v.x + m.yy * v.y };
}

#endif
