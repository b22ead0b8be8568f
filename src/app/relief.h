/* What the tools of relief (Cut apart, Dart) and the dart's card have in common: places on outlines, openings
 * as they are written, small drawings.
 */
#ifndef APP_RELIEF_H
#define APP_RELIEF_H

#include "app/canvas-private.h"

#include "model/rework.h"

/* A place on the outline of one side of a panel. */
typedef struct AppSpot
{
  guint panel_id; /* 0: none */
  ModelSide side;
  bool twin; /* on the side that is not drawn */
  ModelReworkPlace place;
  GeomPoint at; /* paper */
} AppSpot;

/* The nearest corner, node or match mark within CATCH_MM, else the nearest place of an edge.  PANEL_ID 0: of
 * any panel.  False: nothing is near. */
bool app_spot_at (AppCanvas *canvas, GeomPoint at, double catch_mm, guint panel_id, AppSpot *spot);
/* Where the way along POINTS first (LAST: finally) goes over an outline, more than APART_MM away from AVOID
 * (NULL: anywhere).  INDEX gets the point before it. */
bool app_spot_crossed (AppCanvas *canvas,
                       const GArray *points,
                       guint panel_id,
                       bool last,
                       const GeomPoint *avoid,
                       double apart_mm,
                       AppSpot *spot,
                       guint *index);
/* The map between a side as it lies on the paper and the drawn one; both ways the same. */
GeomAffine app_spot_map (AppCanvas *canvas, guint panel_id, bool twin);
/* One side of a panel of DOC as it lies on the paper; OUT initialised. */
void app_panel_side_path (const ModelPanel *panel, bool twin, GeomPath *out);
/* One edge of it; false if it has none such. */
bool app_panel_side_edge (const ModelPanel *panel, bool twin, guint edge_id, GeomPath *out);

/* A copy of the document to try a deed on: yours. */
ModelHistory *app_trial_new (AppCanvas *canvas);

/* "12°" or "12 deg" is an angle, all else a length in UNIT.  False: neither. */
bool app_parse_opening (const char *text, ModelUnit unit, double *mm, double *deg);
/* How such an opening is written: a length unless DEG is not 0. */
char *app_opening_text (AppCanvas *canvas, double mm, double deg);

/* A small ring where a press would begin or end something. */
void app_draw_spot (AppCanvas *canvas, cairo_t *cr, const AppSpot *spot, bool set);
/* Text on a plate with its middle at AT (paper) plus px, in plum: part of a preview. */
void app_draw_caption (AppCanvas *canvas, cairo_t *cr, GeomPoint at, double dx, double dy, const char *text);
/* ---- dart-menu.c ---- */

/* What an added length begins with. */
#define APP_FIRST_LONGER_MM 10.0

/* The dart one of whose legs, or whose apex, is chosen. */
bool app_dart_chosen (AppCanvas *canvas, guint *panel_id, guint *leg);
/* Adds the rows of the chosen dart, if one is. */
void app_dart_rows (AppCanvas *canvas, GMenu *menu);
void app_dart_menu_init (AppCanvas *canvas);
/* What of relief follows no tool: the dart shown closed, what stands beside a ghost. */
void app_relief_draw (AppCanvas *canvas, cairo_t *cr);

/* ---- begun elsewhere, by the dome's card ---- */

typedef enum AppReliefDeed
{
  APP_RELIEF_DART,
  APP_RELIEF_SEAM,
  APP_RELIEF_SPREAD,
  APP_RELIEF_FORM
} AppReliefDeed;

/* The dart, or with DEG below 0 the slash, is previewed with that angle at APEX (paper), from the nearest
 * edge that allows it, and its figure asked for.  False, and said why: none does. */
bool app_dart_begin (AppCanvas *canvas, guint panel_id, ModelSide side, GeomPoint apex, double deg);
/* The cut apart is previewed the shortest way through a point; Enter takes it. */
bool app_cut_begin (AppCanvas *canvas, guint panel_id, ModelSide side, GeomPoint through);
/* What the dome's card proposes for the chosen panel, begun. */
void app_relief_begin (AppCanvas *canvas, AppReliefDeed deed, GeomPoint apex, double deg);

/* A line of a preview. */
void app_draw_outline (AppCanvas *canvas, cairo_t *cr, const GeomPath *path);

#endif
