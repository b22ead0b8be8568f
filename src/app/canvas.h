/* The working paper: shows the panels at any zoom and hands the pointer to the chosen tool.
 *
 * Keeps one render node a piece, so that a drag redraws only what moves; what follows the pointer has a small
 * node of its own.
 */
#ifndef APP_CANVAS_H
#define APP_CANVAS_H

#include "app/session.h"

#include <gtk/gtk.h>

#define APP_TYPE_CANVAS (app_canvas_get_type ())
G_DECLARE_FINAL_TYPE (AppCanvas, app_canvas, APP, CANVAS, GtkWidget)

typedef enum AppToolKind
{
  APP_TOOL_CHOOSE,
  APP_TOOL_OUTLINE,
  APP_TOOL_STROKE,
  APP_TOOL_SHAPE,
  APP_TOOL_CUT,
  APP_TOOL_DART,
  APP_TOOL_MARK,
  APP_TOOL_TAPE,
  APP_TOOL_JOIN,
  APP_TOOL_GIRTH,
  APP_TOOL_COUNT
} AppToolKind;

/* Signals:
 *   "tool-changed" ()
 *   "view-changed" (): zoom or place; rulers redraw.
 *   "pointer-changed" (): the pointer's place on the paper; rulers and status follow.
 *   "status-changed" (): what app_canvas_status returns.
 * Actions installed on the class: "canvas.zoom-in", "canvas.zoom-out", "canvas.zoom-fit", "canvas.zoom-true",
 * "canvas.delete", "canvas.duplicate", "canvas.select-all", "canvas.copy", "canvas.cut", "canvas.paste",
 * "canvas.mirror", "canvas.turn-left", "canvas.turn-right", "canvas.cancel"; "canvas.arrange",
 * "canvas.arrange-by-material", "canvas.align-left", "-right", "-top", "-bottom", "-upright-middle",
 * "-level-middle", "canvas.distribute-across", "-up", "canvas.select-material". */

GtkWidget *app_canvas_new (void);
/* NULL: empty paper. */
void app_canvas_set_session (AppCanvas *self, AppSession *session);
AppSession *app_canvas_session (AppCanvas *self);

void app_canvas_set_tool (AppCanvas *self, AppToolKind tool);
AppToolKind app_canvas_tool (AppCanvas *self);

/* ---- view ---- */
double app_canvas_percent (AppCanvas *self); /* of true size */
void app_canvas_set_percent (AppCanvas *self, double percent);
void app_canvas_zoom_at (AppCanvas *self, double factor, double x, double y);
void app_canvas_fit (AppCanvas *self);
/* Brings a box (mm) into view, gliding, only if it is not already whole in view. */
void app_canvas_show_box (AppCanvas *self, GeomBox box);
/* px per mm, and where the paper's origin lies in the widget. */
double app_canvas_scale (AppCanvas *self);
GeomPoint app_canvas_to_paper (AppCanvas *self, double x, double y);
void app_canvas_to_widget (AppCanvas *self, GeomPoint at, double *x, double *y);
/* False when the pointer is elsewhere. */
bool app_canvas_pointer (AppCanvas *self, GeomPoint *at);

/* What the status line says: the next step, or the live length. */
const char *app_canvas_status (AppCanvas *self);

/* Adds the panels of DOC, with fresh ids and free names, their joins and materials, moved BY mm; chooses
 * them. Within a step of undo that is open, or as one of its own. */
void app_canvas_add_document (AppCanvas *self, const ModelDocument *doc, const char *label, GeomPoint by);

/* As what the tape in hand can be pinned to its panel, as bits of ModelTapeKind; 0: nothing is measured. */
guint app_canvas_tape_offers (AppCanvas *self);
void app_canvas_pin_measured (AppCanvas *self, ModelTapeKind kind);

/* Settings; they redraw. */
void app_canvas_set_grid (AppCanvas *self, bool on);
void app_canvas_set_slate (AppCanvas *self, bool slate);
void app_canvas_set_unit (AppCanvas *self, ModelUnit unit);
void app_canvas_set_snap (AppCanvas *self, bool on);
/* The curvature comb on the chosen edges. */
void app_canvas_set_comb (AppCanvas *self, bool on);
/* Where the panels put together dome, or open like a saddle. */
void app_canvas_set_doming (AppCanvas *self, bool on);
/* Puts the outlines of an SVG drawing into the document as panels, one step with LABEL, and says what came of
 * it.  False with ERROR if it cannot be read.  A session must be there. */
bool app_canvas_take_svg (AppCanvas *self, const char *data, gsize length, const char *label, GError **error);
/* The keys of arranging and of choosing by material, for the panes beside the paper.  True if it was one. */
bool app_canvas_arrange_key (AppCanvas *self, guint keyval, GdkModifierType state);
/* Panels to be shown dotted with the present ones, called NAME.  LAID: of an earlier state of this document,
 * each laid on its present panel, those that are alike left out.  STATE NULL: none; it is borrowed until the
 * next call. */
void app_canvas_set_beneath (AppCanvas *self, const ModelDocument *state, const char *name, bool laid);
/* How many outlines it shows. */
guint app_canvas_beneath_count (AppCanvas *self);
/* A place on the paper that something outside speaks of carries a dashed ring; NULL: none. */
void app_canvas_set_beckon (AppCanvas *self, const GeomPoint *at);
/* What may lie over the paper, a sibling: the looking glass keeps clear of it while it is revealed. */
void app_canvas_set_cover (AppCanvas *self, GtkRevealer *cover);

#endif
