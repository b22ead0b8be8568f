/* What catches a point that is dragged or set: other points, edges, the grid, and what it can be to its
 * neighbours: level, plumb, at a right angle, equally long.  Each catch has a word and a mark of its own form
 * by which it is shown; Ctrl holds all of them off.
 *
 * Points come first, then guides and level lines.  Then two conditions at once, where both are near; then
 * one; then an edge of another panel; the grid takes what is left.
 */
#ifndef APP_SNAP_H
#define APP_SNAP_H

#include "app/canvas.h"

typedef enum AppSnapKind
{
  APP_SNAP_POINT,
  APP_SNAP_LINE, /* a guide or level line, or where two cross */
  APP_SNAP_EDGE,
  APP_SNAP_LEVEL,
  APP_SNAP_PLUMB,
  APP_SNAP_RIGHT_ANGLE,
  APP_SNAP_EQUAL,
  APP_SNAP_GRID
} AppSnapKind;

typedef struct AppCatch
{
  AppSnapKind kind;
  bool has_line;
  GeomPoint from; /* the line runs from here to the caught place */
  /* A right angle lies at CORNER, between ARM and the caught place, equal lengths run from CORNER to both;
   * AT_POINT: the place itself is the corner, between CORNER and ARM.  Of an edge: ARM is a place farther on
   * along it. */
  GeomPoint corner, arm;
  bool at_point;
  int grid; /* of the grid: 1 across, 2 up, 3 both */
} AppCatch;

typedef struct AppSnap
{
  GeomPoint to;
  int count; /* 0: free */
  AppCatch catches[2];
} AppSnap;

/* For a point of PANEL on SIDE that is wanted at WANT: NODE_ID as it was in PANEL; nodes in MOVING (guint) go
 * along and catch nothing. */
AppSnap app_snap_find (AppCanvas *canvas,
                       const ModelPanel *panel,
                       ModelSide side,
                       guint node_id,
                       const GArray *moving,
                       GeomPoint want);
/* For the next corner of an outline of which NODES (ModelNode) are set. */
AppSnap app_snap_find_next (AppCanvas *canvas, const GArray *nodes, GeomPoint want);
/* "level", "right angle" ...: one short word. */
const char *app_snap_word (AppSnapKind kind);
/* SENTENCE (may be NULL) and what has caught, for the line below the canvas; yours.  NULL: neither. */
char *app_snap_words (const AppSnap *snap, const char *sentence);
/* The lines, marks and words of what has caught; CR in widget px. */
void app_snap_draw (AppCanvas *canvas, cairo_t *cr, const AppSnap *snap);

#endif
