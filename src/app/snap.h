/* What catches a point that is dragged: other points, edges, the grid, and what it can be to its neighbours:
 * level, plumb, at a right angle, equally long.  Each catch has a word and a line by which it is shown.
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
/* "level", "right angle" ...: one short word. */
const char *app_snap_word (AppSnapKind kind);
/* The lines and words of what has caught; CR in widget px. */
void app_snap_draw (AppCanvas *canvas, cairo_t *cr, const AppSnap *snap);

#endif
