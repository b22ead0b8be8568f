/* Stroke: the outline in one go, as with a pen on paper; the hand's shake is fitted away, the loop is closed.
 * A stroke that begins and ends on one outline draws the part between anew.
 *
 * A light hand means it: the lighter the pen is pressed, the nearer the curve keeps to it.
 */
#include "app/canvas-private.h"

#include "geom/fit.h"
#include "model/repair.h"
#include "model/reshape.h"

#include <glib/gi18n.h>

#define FIT_MM 0.5
#define FIT_LIGHT_MM 0.15
/* An outline is begun and ended on within the catch, but not from farther than a thumb. */
#define REACH_MOST_MM 15.0
/* Turns sharper than 50 degrees are meant as corners: a bent edge of armour seldom turns so fast within a
 * pen's step. */
#define CORNER_RAD (50.0 * G_PI / 180.0)
#define STEP_PX 1.0
#define MEET_PX 24.0
#define LEAST_POINTS 8
/* A part of an outline is told by less. */
#define LEAST_PART_POINTS 3
/* A minute of scribbling; more is no outline. */
#define MOST_POINTS 20000

typedef struct StrokeTool
{
  AppTool tool;
  GArray *points;      /* GeomPoint */
  double pressed;      /* sum of the pressures at them */
  ModelPanel *redrawn; /* what would come if the pen were lifted now */
  guint panel_id;
  ModelSide side;
} StrokeTool;

static AppTool *
stroke_create (AppCanvas *canvas)
{
  StrokeTool *self = g_new0 (StrokeTool, 1);
  self->tool = (AppTool) { app_tool_class (APP_TOOL_STROKE), canvas };
  self->points = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  return &self->tool;
}

static void
stroke_destroy (AppTool *tool)
{
  g_array_unref (((StrokeTool *)tool)->points);
  g_clear_pointer (&((StrokeTool *)tool)->redrawn, model_panel_free);
  g_free (tool);
}

static void
forget (StrokeTool *self)
{
  g_array_set_size (self->points, 0);
  g_clear_pointer (&self->redrawn, model_panel_free);
  self->pressed = 0.0;
}

static double
tolerance_mm (const StrokeTool *self)
{
  double pressure = self->points->len > 0 ? self->pressed / self->points->len : 1.0;
  return FIT_LIGHT_MM + (FIT_MM - FIT_LIGHT_MM) * CLAMP (pressure, 0.0, 1.0);
}

/* ---- a part of an outline ---- */

/* The outline both ends lie on: a chosen panel's before others, then the nearer one. */
static const AppOutline *
find_outline (StrokeTool *self, double reach_mm)
{
  AppCanvas *canvas = self->tool.canvas;
  const AppSelection *s = app_canvas_selection (canvas);
  GPtrArray *outlines = app_pick_index_outlines (canvas->index);
  GeomPoint a = g_array_index (self->points, GeomPoint, 0),
            b = g_array_index (self->points, GeomPoint, self->points->len - 1);
  const AppOutline *best = NULL;
  double least = INFINITY;
  for (guint i = 0; i < outlines->len; i++)
  {
    const AppOutline *outline = (const AppOutline *)g_ptr_array_index (outlines, i);
    const ModelPanel *panel = model_document_panel (app_canvas_document (canvas), outline->panel_id);
    if (panel == NULL || panel->locked || geom_box_distance (outline->box, a) > reach_mm
        || !model_reshape_touches (panel, outline->side, a, b, reach_mm))
      continue;
    double d
      = geom_path_nearest (&outline->path, a).distance_mm + geom_path_nearest (&outline->path, b).distance_mm;
    if (!app_selection_has_panel (s, outline->panel_id))
      d += 2.0 * reach_mm;
    if (d < least)
    {
      least = d;
      best = outline;
    }
  }
  return best;
}

/* The panel as the stroke so far would make it; NULL: it does not lie on one outline with both ends. */
static ModelPanel *
redraw_part (StrokeTool *self, bool pen, bool keep, GError **error)
{
  AppCanvas *canvas = self->tool.canvas;
  double reach = MIN (app_canvas_catch_mm (canvas, &(AppInput) { .pen = pen }), REACH_MOST_MM);
  const AppOutline *outline = self->points->len >= LEAST_PART_POINTS ? find_outline (self, reach) : NULL;
  if (outline == NULL)
    return NULL;
  self->panel_id = outline->panel_id;
  self->side = outline->side;
  ModelDocument *doc = app_canvas_document (canvas);
  ModelPanel *panel = model_panel_copy (model_document_panel (doc, outline->panel_id));
  ModelRedraw how = { reach, tolerance_mm (self), CORNER_RAD };
  guint next_id = doc->next_id;
  bool done = model_reshape_redraw (panel, doc, self->side, (const GeomPoint *)self->points->data,
                                    self->points->len, how, error);
  /* What is only looked at leaves no trace: its ids are free again. */
  if (!done || !keep)
    doc->next_id = next_id;
  if (done)
    return panel;
  model_panel_free (panel);
  return NULL;
}

/* True: the stroke was one on an outline, whether it could be taken or not. */
static bool
take_part (StrokeTool *self, bool pen)
{
  AppCanvas *canvas = self->tool.canvas;
  g_autoptr (GError) error = NULL;
  ModelPanel *panel = redraw_part (self, pen, true, &error);
  if (panel == NULL && error == NULL)
    return false;
  guint id = self->panel_id;
  ModelSide side = self->side;
  forget (self);
  if (panel == NULL)
  {
    app_canvas_tell (canvas, error->message);
    return true;
  }
  model_history_begin (app_canvas_history (canvas), _ ("Redraw outline"));
  model_repair_put_panel (app_canvas_history (canvas), panel);
  model_history_end (app_canvas_history (canvas));
  app_session_select_panel (canvas->session, id, side, false);
  app_canvas_say (canvas, NULL);
  return true;
}

static void
stroke_press (AppTool *tool, const AppInput *in)
{
  StrokeTool *self = (StrokeTool *)tool;
  forget (self);
  if (tool->canvas->session == NULL)
    return;
  g_array_append_val (self->points, in->at);
  self->pressed = in->pressure;
}

static void
stroke_motion (AppTool *tool, const AppInput *in)
{
  StrokeTool *self = (StrokeTool *)tool;
  guint count = self->points->len;
  if (count == 0 || count >= MOST_POINTS
      || geom_distance (g_array_index (self->points, GeomPoint, count - 1), in->at) * tool->canvas->scale
           < STEP_PX)
    return;
  g_array_append_val (self->points, in->at);
  self->pressed += in->pressure;
  g_clear_pointer (&self->redrawn, model_panel_free);
  self->redrawn = redraw_part (self, in->pen, false, NULL);
  app_canvas_say (tool->canvas, self->redrawn != NULL
                                  ? _ ("Lift the pen and this part of the outline is drawn anew.")
                                  : NULL);
}

/* Nodes from fitted pieces.  CORNERS: pieces that start at one. */
static GArray *
nodes_of (const GeomPath *path, const size_t *corners, size_t corner_count, bool closed)
{
  GArray *nodes = g_array_new (FALSE, TRUE, sizeof (ModelNode));
  for (size_t i = 0; i < path->count; i++)
  {
    ModelNode node = { .kind = MODEL_NODE_SMOOTH, .at = path->piece[i].p[0], .out = path->piece[i].p[1] };
    node.in = i > 0 ? path->piece[i - 1].p[2] : closed ? path->piece[path->count - 1].p[2] : node.at;
    for (size_t k = 0; k < corner_count; k++)
      if (corners[k] == i)
        node.kind = MODEL_NODE_CORNER;
    if (i == 0 && !closed)
      node.kind = MODEL_NODE_CORNER;
    g_array_append_val (nodes, node);
  }
  if (!closed && path->count > 0)
  {
    const GeomCubic *end = &path->piece[path->count - 1];
    ModelNode node = { .kind = MODEL_NODE_CORNER, .at = end->p[3], .in = end->p[2], .out = end->p[3] };
    g_array_append_val (nodes, node);
  }
  return nodes;
}

static ModelPanel *
panel_of_stroke (StrokeTool *self)
{
  AppCanvas *canvas = self->tool.canvas;
  const GeomPoint *points = (const GeomPoint *)self->points->data;
  guint count = self->points->len;
  double gap = geom_distance (points[0], points[count - 1]) * canvas->scale;
  GeomFitOptions options
    = { .tolerance_mm = tolerance_mm (self), .corner_rad = CORNER_RAD, .closed = gap <= MEET_PX };
  GeomPath path;
  geom_path_init (&path);
  g_autofree size_t *corners = g_new0 (size_t, count);
  size_t corner_count = 0;
  ModelPanel *panel = NULL;
  if (geom_fit_shaken (points, count, &options, &path, corners, &corner_count))
  {
    g_autoptr (GArray) nodes = nodes_of (&path, corners, corner_count, options.closed);
    panel = model_shape_new_panel (app_canvas_document (canvas), &g_array_index (nodes, ModelNode, 0),
                                   nodes->len);
  }
  geom_path_clear (&path);
  return panel;
}

static void
stroke_release (AppTool *tool, const AppInput *in)
{
  StrokeTool *self = (StrokeTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (self->points->len >= LEAST_PART_POINTS && take_part (self, in->pen))
    return;
  ModelPanel *panel = self->points->len >= LEAST_POINTS ? panel_of_stroke (self) : NULL;
  bool drew = self->points->len >= 2;
  forget (self);
  if (panel == NULL)
  {
    app_canvas_say (
      canvas, drew ? _ ("That encloses nothing: draw round the whole panel before you lift the pen.") : NULL);
    return;
  }
  ModelDocument *doc = app_canvas_document (canvas);
  g_free (panel->name);
  panel->name = model_document_free_panel_name (doc, _ ("Panel"));
  model_history_begin (app_canvas_history (canvas), _ ("Draw panel"));
  guint id = model_history_put_panel (app_canvas_history (canvas), panel);
  model_history_end (app_canvas_history (canvas));
  const ModelPanel *put = model_document_panel (doc, id);
  app_session_select_panel (canvas->session, id, put != NULL ? put->side : MODEL_SIDE_CENTRE, false);
  app_canvas_say (canvas, NULL);
}

static void
stroke_cancel (AppTool *tool)
{
  forget ((StrokeTool *)tool);
}

static bool
same_edge (const ModelEdge *a, const ModelEdge *b)
{
  if (a->nodes->len != b->nodes->len)
    return false;
  for (guint n = 0; n < a->nodes->len; n++)
    if (!geom_same_point (model_edge_node (a, n)->at, model_edge_node (b, n)->at)
        || !geom_same_point (model_edge_node (a, n)->out, model_edge_node (b, n)->out))
      return false;
  return true;
}

/* The edges that would be others. */
static void
draw_part (StrokeTool *self, cairo_t *cr)
{
  AppCanvas *canvas = self->tool.canvas;
  const ModelPanel *will = self->redrawn,
                   *was = will != NULL ? model_document_panel (app_canvas_document (canvas), will->id) : NULL;
  if (was == NULL)
    return;
  bool twin
    = self->side != MODEL_SIDE_CENTRE && self->side != will->side && will->halves != MODEL_HALVES_SINGLE;
  OutputView view = app_canvas_widget_view (canvas);
  g_autofree size_t *first = g_new0 (size_t, will->edges->len + 1);
  GeomPath path, edge;
  geom_path_init (&path);
  geom_path_init (&edge);
  (twin ? model_panel_twin_path : model_panel_path) (will, &path, first);
  first[will->edges->len] = path.count;
  for (guint e = 0; e < will->edges->len; e++)
  {
    int k = model_panel_find_edge (was, model_panel_edge (will, e)->id);
    if (k >= 0 && !twin && same_edge (model_panel_edge (was, (guint)k), model_panel_edge (will, e)))
      continue;
    geom_path_reset (&edge);
    for (size_t i = first[e]; i < first[e + 1]; i++)
      geom_path_append (&edge, &path.piece[i]);
    output_draw_preview (cr, &view, app_canvas_ink (canvas), &edge);
  }
  geom_path_clear (&edge);
  geom_path_clear (&path);
}

static void
stroke_draw (AppTool *tool, cairo_t *cr)
{
  StrokeTool *self = (StrokeTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (self->points->len < 2)
    return;
  const OutputInk *ink = app_canvas_ink (canvas);
  double x, y, first_x, first_y;
  for (guint i = 0; i < self->points->len; i++)
  {
    app_canvas_to_widget (canvas, g_array_index (self->points, GeomPoint, i), &x, &y);
    cairo_line_to (cr, x, y);
  }
  /* Under what would come the stroke itself steps back. */
  output_set_tone (cr, ink, self->redrawn != NULL ? OUTPUT_TONE_INK_3 : OUTPUT_TONE_INK);
  cairo_set_line_width (cr, self->redrawn != NULL ? ink->hatch.width : ink->cut.width);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_ROUND);
  cairo_stroke (cr);
  draw_part (self, cr);
  if (self->redrawn != NULL)
    return;
  app_canvas_to_widget (canvas, g_array_index (self->points, GeomPoint, 0), &first_x, &first_y);
  bool meets = self->points->len >= LEAST_POINTS && hypot (x - first_x, y - first_y) <= MEET_PX;
  cairo_arc (cr, first_x, first_y, 12.0, 0.0, 2.0 * G_PI);
  output_set_tone (cr, ink, meets ? OUTPUT_TONE_BLUE : OUTPUT_TONE_INK_2);
  cairo_set_line_width (cr, meets ? 2.2 : 1.2);
  cairo_stroke (cr);
  if (!meets)
  {
    const double dots[2] = { 1.5, 4.0 };
    cairo_move_to (cr, x, y);
    cairo_line_to (cr, first_x, first_y);
    cairo_set_dash (cr, dots, 2, 0.0);
    cairo_stroke (cr);
    cairo_set_dash (cr, NULL, 0, 0.0);
  }
}

extern const AppToolClass app_tool_stroke;
const AppToolClass app_tool_stroke = {
  .kind = APP_TOOL_STROKE,
  .key = "stroke",
  .name = N_ ("Stroke"),
  .hint = N_ ("Draw round a whole panel, or begin and end on an outline to draw that part of it anew."),
  .icon = "panelwright-stroke-symbolic",
  .accel = "F5",
  .create = stroke_create,
  .destroy = stroke_destroy,
  .press = stroke_press,
  .motion = stroke_motion,
  .release = stroke_release,
  .cancel = stroke_cancel,
  .draw = stroke_draw,
};
