/* Numbers, lengths, transforms and path data as SVG 1.1 writes them, read into outlines.
 *
 * Everything here reads to the end or says where it stopped: AT, in bytes from the text's start.  Numbers
 * that are no numbers, not finite or larger than ENGINE_SVG_MOST are faults.
 */
#ifndef ENGINE_SVG_PATH_H
#define ENGINE_SVG_PATH_H

#include "geom/path.h"

#include <glib.h>

/* No drawing of a thing that is worn comes near; beyond it doubles lose the hundredth of a millimetre. */
#define ENGINE_SVG_MOST 1e9
/* In all of a file: more is a picture of something else, or meant to do harm. */
#define ENGINE_SVG_MOST_PIECES 500000
/* How far an arc may stray from its circle. */
#define ENGINE_SVG_ARC_MM 0.001

/* Path data, or what rect, circle and so on stand for, piece by piece. */
typedef struct EngineSvgPen
{
  GPtrArray *loops;   /* GeomPath, in user units as written; CLOSED as written */
  double mm_per_unit; /* at most: for the accuracy of arcs */
  gsize pieces;       /* drawn so far */
  GeomPoint at, start, last_control;
  char last; /* command, upper case */
} EngineSvgPen;

void engine_svg_pen_init (EngineSvgPen *pen, double mm_per_unit);
void engine_svg_pen_clear (EngineSvgPen *pen);
void engine_svg_pen_move (EngineSvgPen *pen, GeomPoint to);
void engine_svg_pen_line (EngineSvgPen *pen, GeomPoint to);
void engine_svg_pen_cubic (EngineSvgPen *pen, GeomPoint a, GeomPoint b, GeomPoint to);
/* The elliptic arc of the path data's A.  Source: SVG 1.1, F.6 (from ends to middle; radii out of range).  As
 * cubics of equal angle, as many as keep the largest error of the standard cubic arc, (2/27) r sin^6(a/4) /
 * cos^2(a/4) for the angle A, under ENGINE_SVG_ARC_MM. */
void engine_svg_pen_arc (
  EngineSvgPen *pen, double rx, double ry, double turn_deg, bool large, bool sweep, GeomPoint to);
void engine_svg_pen_close (EngineSvgPen *pen);

/* All commands of SVG 1.1.  False at the first fault; what came before it is in the pen. */
bool engine_svg_path_data (const char *text, EngineSvgPen *pen, gsize *at);
/* "10,20 30,40": appended to POINTS (GeomPoint). */
bool engine_svg_points (const char *text, GArray *points, gsize *at);
/* matrix, translate, scale, rotate, skewX, skewY, in any number.  The first is the outermost. */
bool engine_svg_transform (const char *text, GeomAffine *map, gsize *at);
/* N numbers and nothing else. */
bool engine_svg_numbers (const char *text, double *out, guint n);
/* A length in user units: px are units, 96 to the inch; in, cm, mm, pt, pc by their inch; em and ex of a 16
 * px letter (common practice, no source); percent of WHOLE. */
bool engine_svg_length (const char *text, double whole, double *out);

#endif
