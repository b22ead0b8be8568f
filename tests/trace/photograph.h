/* A camera made of formulas: photos of pieces on a sheet whose truth is known.
 *
 * Nothing here knows how tracing works.  A pinhole with a position, a direction and a lens looks at the
 * plane; areas are filled with the exact part of each pixel that they cover; then come the lens's blur, the
 * fall of light towards the corners, a lamp on one side, and noise.
 */
#ifndef PHOTOGRAPH_H
#define PHOTOGRAPH_H

#include "geom/path.h"
#include "trace/photo.h"

typedef struct Colour
{
  double r, g, b; /* as written in pictures, 0 .. 255 */
} Colour;

typedef struct Thing
{
  const GeomPath *outline; /* one or more closed loops, mm on the sheet, from its lower left corner, y up */
  Colour colour;
  double grain; /* how much the colour changes from place to place, 0 .. 0.3 */
} Thing;

typedef struct Camera
{
  int width, height; /* px */
  double sheet_width_mm, sheet_height_mm;
  double fill;        /* part of the picture's width or height that the sheet takes */
  double tilt_deg;    /* 0: straight from above */
  double towards_deg; /* to which side it is tilted */
  double roll_deg;
  double lens_k;     /* r becomes r (1 + k r^2), r = 1 at the picture's corner */
  double blur_px;    /* spread of a Gaussian */
  double noise;      /* spread, in steps of 255 */
  double vignetting; /* loss of light in the picture's corner, 0 .. 1 */
  double lamp;       /* light grows by this part from left to right */
  double shadow;     /* darkness of the soft shadow beside each thing, 0 .. 1 */
  bool mix_numbers;  /* blur mixes the written numbers instead of the light */
  unsigned seed;
  Colour paper, table;
} Camera;

/* 4000 x 3000, A3 lying, a moderate everyday shot. */
Camera photograph_camera (void);
/* Where a point of the sheet is seen, in px, (0, 0) the middle of the top left pixel. */
GeomPoint photograph_see (const Camera *camera, GeomPoint mm);
/* The sheet's corners as --corners wants them: clockwise from the top left one. */
void photograph_corners (const Camera *camera, GeomPoint corner[4]);
TracePhoto *photograph_take (const Camera *camera, const Thing *things, int count);
/* Binary PPM. */
void photograph_write_ppm (const TracePhoto *photo, const char *path);

/* ---- shapes: closed, counter-clockwise, corners sharp unless said; scaled to PERIMETER_MM and put in the
 * middle of a WIDTH_MM x HEIGHT_MM sheet ---- */

typedef enum Shape
{
  SHAPE_GUSSET,  /* five straight sides */
  SHAPE_BRACER,  /* a cone cut open: two arcs, two straight sides */
  SHAPE_FRONT,   /* straight sides, a deep armhole, a neckline: six corners */
  SHAPE_POUCH,   /* rectangle, its corners rounded with a tenth of its width */
  SHAPE_ELLIPSE, /* no corner at all */
  SHAPE_LEAF,    /* two sharp tips */
  SHAPE_COUNT
} Shape;

extern const char *const photograph_shape_names[SHAPE_COUNT];
/* OUT is initialised here.  Sharp corners go to CORNER (room for 8); returns how many. */
int photograph_shape (Shape shape,
                      double perimeter_mm,
                      double width_mm,
                      double height_mm,
                      double turn_deg,
                      GeomPath *out,
                      GeomPoint corner[8]);

/* Appends an arc; TO_RAD below FROM_RAD: clockwise. */
void photograph_arc (GeomPath *path, GeomPoint centre, double radius, double from_rad, double to_rad);

#endif
