/* Stroke: the outline in one go, as with a pen on paper; the hand's shake is fitted away, the loop is closed.
 */
#include "app/canvas-private.h"

#include "geom/fit.h"

#include <glib/gi18n.h>

#define FIT_MM 0.5
/* Turns sharper than 50 degrees are meant as corners: a bent edge of armour seldom turns so fast within a
 * pen's step. */
#define CORNER_RAD (50.0 * G_PI / 180.0)
#define STEP_PX 2.0
#define MEET_PX 24.0
#define LEAST_POINTS 8
/* A minute of scribbling; more is no outline. */
#define MOST_POINTS 20000

typedef struct StrokeTool
{
  AppTool tool;
  GArray *points; /* GeomPoint */
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
  g_free (tool);
}

static void
stroke_press (AppTool *tool, const AppInput *in)
{
  StrokeTool *self = (StrokeTool *)tool;
  g_array_set_size (self->points, 0);
  if (tool->canvas->session != NULL)
    g_array_append_val (self->points, in->at);
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
  GeomFitOptions options = { .tolerance_mm = FIT_MM, .corner_rad = CORNER_RAD, .closed = gap <= MEET_PX };
  GeomPath path;
  geom_path_init (&path);
  g_autofree size_t *corners = g_new0 (size_t, count);
  size_t corner_count = 0;
  ModelPanel *panel = NULL;
  if (geom_fit_points (points, count, &options, &path, corners, &corner_count))
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
  ModelPanel *panel = self->points->len >= LEAST_POINTS ? panel_of_stroke (self) : NULL;
  bool drew = self->points->len >= 2;
  g_array_set_size (self->points, 0);
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
  g_array_set_size (((StrokeTool *)tool)->points, 0);
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
  output_set_tone (cr, ink, OUTPUT_TONE_INK);
  cairo_set_line_width (cr, ink->cut.width);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_ROUND);
  cairo_stroke (cr);
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
  .hint = N_ ("Draw round the whole panel in one go; the ends are joined when you lift the pen."),
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
