/* Every threshold of the room, with its reason. */
#ifndef GEOM_TOLERANCE_H
#define GEOM_TOLERANCE_H

/* A difference of two coordinates below this share of the largest coordinate is rounding, not geometry:
 * three operations of one unit in the last place each, and some room. */
#define GEOM_TOL_ROUNDING 1.8e-15

/* Two pieces nearer than this touch, unless the caller's accuracy is finer: a tenth of what a length may err,
 * and far above the rounding of coordinates the size of a hide (1e-12 mm). */
#define GEOM_TOL_TOUCH_MM 1e-7

/* Lines whose cross product is below this share of the product of their lengths are parallel. */
#define GEOM_TOL_PARALLEL 1e-12

#endif
