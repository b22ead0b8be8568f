/* Outline: corner after corner, or curves drawn out of the point that is set; closing the loop makes the
 * panel.
 *
 *     press            a corner
 *     press and drag   a smooth node; the drag is its handle
 *     press twice      a corner where a curve arrived
 */
#include "app/canvas-private.h"

#include "app/number-entry.h"

#include <glib/gi18n.h>

#define CLOSE_PX 12.0
#define BEND_PX 4.0

typedef struct OutlineTool
{
  AppTool tool;
  GArray *nodes; /* ModelNode */
  bool has_pointer, bending, closing;
  GeomPoint pointer;
  AppSnap snap; /* what has caught the pointer */
} OutlineTool;

static AppTool *
outline_create (AppCanvas *canvas)
{
  OutlineTool *self = g_new0 (OutlineTool, 1);
  self->tool = (AppTool) { app_tool_class (APP_TOOL_OUTLINE), canvas };
  self->nodes = g_array_new (FALSE, TRUE, sizeof (ModelNode));
  return &self->tool;
}

static void
outline_destroy (AppTool *tool)
{
  OutlineTool *self = (OutlineTool *)tool;
  g_array_unref (self->nodes);
  g_free (self);
}

static ModelNode *
last_node (OutlineTool *self)
{
  return self->nodes->len > 0 ? &g_array_index (self->nodes, ModelNode, self->nodes->len - 1) : NULL;
}

static GeomCubic
piece_between (const ModelNode *a, GeomPoint in, GeomPoint at)
{
  GeomCubic c = { { a->at, a->out, in, at } };
  /* Two handles on their points: a line with even speed, as the rest of the program draws it. */
  if (geom_same_point (a->at, a->out) && geom_same_point (in, at))
    c = geom_cubic_line (a->at, at);
  return c;
}

static bool
near_first (OutlineTool *self, GeomPoint at)
{
  if (self->nodes->len < 2)
    return false;
  return geom_distance (g_array_index (self->nodes, ModelNode, 0).at, at) * self->tool.canvas->scale
         <= CLOSE_PX;
}

static GeomPoint
snapped (OutlineTool *self, const AppInput *in)
{
  AppCanvas *canvas = self->tool.canvas;
  self->snap = (AppSnap) { .to = in->at };
  if (canvas->snap && (in->state & GDK_CONTROL_MASK) == 0)
    self->snap = app_snap_find_next (canvas, self->nodes, in->at);
  return self->snap.to;
}

static void
say_step (OutlineTool *self)
{
  AppCanvas *canvas = self->tool.canvas;
  g_autofree char *caught = app_snap_words (&self->snap, NULL);
  if (self->nodes->len < 2)
    app_canvas_say (canvas, caught);
  else
    app_canvas_say (canvas, caught != NULL
                              ? caught
                              : _ ("Press on the first corner or Enter to close. Type a figure for an exact "
                                   "length. Backspace takes the last point back."));
}

static void
finish (OutlineTool *self)
{
  AppCanvas *canvas = self->tool.canvas;
  ModelDocument *doc = app_canvas_document (canvas);
  ModelPanel *panel
    = doc != NULL && self->nodes->len >= 2
        ? model_shape_new_panel (doc, &g_array_index (self->nodes, ModelNode, 0), self->nodes->len)
        : NULL;
  if (panel == NULL)
  {
    app_canvas_say (canvas, _ ("That encloses nothing yet: set one more corner."));
    return;
  }
  g_array_set_size (self->nodes, 0);
  self->closing = self->bending = false;
  g_free (panel->name);
  panel->name = model_document_free_panel_name (doc, _ ("Panel"));
  model_history_begin (app_canvas_history (canvas), _ ("Draw panel"));
  guint id = model_history_put_panel (app_canvas_history (canvas), panel);
  model_history_end (app_canvas_history (canvas));
  const ModelPanel *put = model_document_panel (doc, id);
  app_session_select_panel (canvas->session, id, put != NULL ? put->side : MODEL_SIDE_CENTRE, false);
  say_step (self);
}

static void
add_node (OutlineTool *self, GeomPoint at)
{
  ModelNode node = { .kind = MODEL_NODE_CORNER, .at = at, .in = at, .out = at };
  g_array_append_val (self->nodes, node);
  say_step (self);
}

static void
outline_press (AppTool *tool, const AppInput *in)
{
  OutlineTool *self = (OutlineTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (canvas->session == NULL)
    return;
  self->has_pointer = true;
  if (near_first (self, in->at))
  {
    /* The drag from here bends the closing edge. */
    self->closing = true;
    self->pointer = g_array_index (self->nodes, ModelNode, 0).at;
    return;
  }
  ModelNode *last = last_node (self);
  if (in->presses == 2 && last != NULL && geom_distance (last->at, in->at) * canvas->scale <= CLOSE_PX)
  {
    /* The curve ends in a corner: what leaves it starts afresh. */
    last->kind = MODEL_NODE_CORNER;
    last->out = last->at;
    return;
  }
  add_node (self, snapped (self, in));
  self->pointer = last_node (self)->at;
  self->bending = false;
}

/* The handle follows the hand, its partner lies opposite. */
static void
bend (ModelNode *node, GeomPoint to)
{
  node->kind = MODEL_NODE_EVEN;
  node->out = to;
  node->in = geom_sub (geom_scale (node->at, 2.0), to);
}

static void
outline_motion (AppTool *tool, const AppInput *in)
{
  OutlineTool *self = (OutlineTool *)tool;
  ModelNode *node
    = self->closing && self->nodes->len > 0 ? &g_array_index (self->nodes, ModelNode, 0) : last_node (self);
  if (node == NULL)
    return;
  if (!self->bending && geom_distance (node->at, in->at) * tool->canvas->scale < BEND_PX)
    return;
  self->bending = true;
  if (self->closing)
  {
    /* Only the arriving side: the edge that leaves the first corner is drawn already. */
    node->in = geom_sub (geom_scale (node->at, 2.0), in->at);
    self->pointer = node->at;
    return;
  }
  bend (node, in->at);
  self->pointer = in->at;
}

static void
outline_release (AppTool *tool, const AppInput *in)
{
  OutlineTool *self = (OutlineTool *)tool;
  self->bending = false;
  if (self->closing)
    finish (self);
  self->closing = false;
}

static void
outline_hover (AppTool *tool, const AppInput *in)
{
  OutlineTool *self = (OutlineTool *)tool;
  self->has_pointer = in != NULL;
  const AppSnap was = self->snap;
  self->snap.count = 0;
  if (in != NULL)
    self->pointer
      = near_first (self, in->at) ? g_array_index (self->nodes, ModelNode, 0).at : snapped (self, in);
  if (was.count > 0 || self->snap.count > 0)
    say_step (self);
}

static void
outline_cancel (AppTool *tool)
{
  OutlineTool *self = (OutlineTool *)tool;
  self->bending = self->closing = false;
  self->snap.count = 0;
  g_array_set_size (self->nodes, 0);
  say_step (self);
}

/* ---- exact lengths ---- */

static bool
length_taken (AppCanvas *canvas, double mm, gpointer user)
{
  if (canvas->kind != APP_TOOL_OUTLINE || canvas->tool == NULL || mm <= 0.0)
    return false;
  OutlineTool *self = (OutlineTool *)canvas->tool;
  ModelNode *last = last_node (self);
  if (last == NULL)
    return false;
  GeomPoint direction = geom_unit (geom_sub (self->pointer, last->at));
  if (geom_same_point (direction, geom_point (0.0, 0.0)))
    direction = geom_point (1.0, 0.0);
  GeomPoint at = geom_along (last->at, mm, direction);
  add_node (self, at);
  self->pointer = at;
  app_canvas_redraw (canvas);
  return true;
}

static void
ask_length (OutlineTool *self, const char *typed)
{
  AppCanvas *canvas = self->tool.canvas;
  double x, y;
  app_canvas_to_widget (canvas, self->pointer, &x, &y);
  app_number_entry_open (canvas, x, y, _ ("Length to here"), typed, false, canvas->unit, length_taken, NULL);
}

static bool
outline_key (AppTool *tool, guint keyval, GdkModifierType state)
{
  OutlineTool *self = (OutlineTool *)tool;
  if ((state & (GDK_CONTROL_MASK | GDK_ALT_MASK)) != 0 || self->nodes->len == 0)
    return false;
  gunichar c = gdk_keyval_to_unicode (keyval);
  if (g_unichar_isdigit (c))
  {
    char typed[8] = { 0 };
    g_unichar_to_utf8 (c, typed);
    ask_length (self, typed);
    return true;
  }
  switch (keyval)
  {
  case GDK_KEY_Return:
  case GDK_KEY_KP_Enter:
    finish (self);
    return true;
  case GDK_KEY_BackSpace:
  case GDK_KEY_Delete:
    g_array_set_size (self->nodes, self->nodes->len - 1);
    say_step (self);
    return true;
  case GDK_KEY_Escape:
    outline_cancel (tool);
    return true;
  default:
    return false;
  }
}

/* ---- drawing ---- */

static void
draw_stem (AppCanvas *canvas, cairo_t *cr, const OutputInk *ink, GeomPoint at, GeomPoint handle)
{
  if (geom_same_point (at, handle))
    return;
  double x0, y0, x1, y1;
  app_canvas_to_widget (canvas, at, &x0, &y0);
  app_canvas_to_widget (canvas, handle, &x1, &y1);
  cairo_move_to (cr, x0, y0);
  cairo_line_to (cr, x1, y1);
  output_set_tone (cr, ink, OUTPUT_TONE_BLUE);
  cairo_set_line_width (cr, 1.0);
  cairo_stroke (cr);
  app_canvas_draw_point (cr, ink, APP_POINT_HANDLE, x1, y1, OUTPUT_TONE_BLUE, false);
}

static void
draw_pieces (OutlineTool *self,
             cairo_t *cr,
             const OutputInk *ink,
             const OutputView *view,
             double *length_mm,
             double *open_mm)
{
  GeomPath path, open;
  geom_path_init (&path);
  geom_path_init (&open);
  for (guint i = 0; i + 1 < self->nodes->len; i++)
  {
    const ModelNode *b = &g_array_index (self->nodes, ModelNode, i + 1);
    GeomCubic c = piece_between (&g_array_index (self->nodes, ModelNode, i), b->in, b->at);
    geom_path_append (&path, &c);
  }
  ModelNode *last = last_node (self);
  if (self->has_pointer && !self->bending && !geom_same_point (last->at, self->pointer))
  {
    const ModelNode *first = &g_array_index (self->nodes, ModelNode, 0);
    bool closes = geom_same_point (self->pointer, first->at) && self->nodes->len >= 2;
    GeomCubic c = piece_between (last, closes ? first->in : self->pointer, self->pointer);
    geom_path_append (&open, &c);
  }
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_ROUND);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  if (path.count > 0)
  {
    output_trace_path (cr, view, &path);
    output_set_tone (cr, ink, OUTPUT_TONE_INK);
    cairo_set_line_width (cr, ink->cut.width);
    cairo_stroke (cr);
  }
  if (open.count > 0)
  {
    output_trace_path (cr, view, &open);
    output_set_tone (cr, ink, OUTPUT_TONE_BLUE);
    cairo_set_line_width (cr, ink->cut.width);
    cairo_stroke (cr);
  }
  *open_mm = geom_path_length (&open, 1e-3);
  *length_mm = geom_path_length (&path, 1e-3) + *open_mm;
  if (self->bending && path.count > 0)
    *open_mm = geom_cubic_length (&path.piece[path.count - 1], 1e-3);
  geom_path_clear (&path);
  geom_path_clear (&open);
}

static void
draw_first (OutlineTool *self, cairo_t *cr, const OutputInk *ink)
{
  double x, y;
  app_canvas_to_widget (self->tool.canvas, g_array_index (self->nodes, ModelNode, 0).at, &x, &y);
  if (self->nodes->len >= 2)
  {
    bool meets = geom_same_point (self->pointer, g_array_index (self->nodes, ModelNode, 0).at);
    cairo_arc (cr, x, y, 14.0, 0.0, 2.0 * G_PI);
    output_set_tone (cr, ink, meets ? OUTPUT_TONE_BLUE : OUTPUT_TONE_INK_2);
    cairo_set_line_width (cr, meets ? 2.2 : 1.2);
    cairo_stroke (cr);
    output_draw_text (cr, ink, x, y - 26.0, 0.0, 12.0, false, OUTPUT_TONE_INK_2, OUTPUT_TONE_CANVAS,
                      _ ("press to close"));
  }
}

static void
outline_draw (AppTool *tool, cairo_t *cr)
{
  OutlineTool *self = (OutlineTool *)tool;
  AppCanvas *canvas = tool->canvas;
  const OutputInk *ink = app_canvas_ink (canvas);
  double x, y;
  bool caught = self->has_pointer && !self->bending;
  if (self->nodes->len == 0)
  {
    if (caught)
      app_snap_draw (canvas, cr, &self->snap);
    return;
  }
  OutputView view = app_canvas_widget_view (canvas);
  double length, open;
  draw_pieces (self, cr, ink, &view, &length, &open);
  ModelNode *last = last_node (self);
  draw_stem (canvas, cr, ink, last->at, last->in);
  draw_stem (canvas, cr, ink, last->at, last->out);
  for (guint i = 0; i < self->nodes->len; i++)
  {
    const ModelNode *node = &g_array_index (self->nodes, ModelNode, i);
    app_canvas_to_widget (canvas, node->at, &x, &y);
    app_canvas_draw_point (cr, ink, node->kind == MODEL_NODE_CORNER ? APP_POINT_CORNER : APP_POINT_NODE, x, y,
                           i + 1 == self->nodes->len ? OUTPUT_TONE_BLUE : OUTPUT_TONE_INK,
                           i + 1 == self->nodes->len && i > 0);
  }
  draw_first (self, cr, ink);
  if (caught)
    app_snap_draw (canvas, cr, &self->snap);
  if ((!self->has_pointer && !self->bending) || open <= 0.0)
    return;
  app_canvas_to_widget (canvas, self->pointer, &x, &y);
  g_autofree char *figure = app_canvas_length (canvas, open);
  app_canvas_draw_flag (cr, ink, x + 52.0, y + 30.0, figure, OUTPUT_TONE_BLUE);
  if (self->nodes->len >= 2)
  {
    g_autofree char *whole = app_canvas_length (canvas, length);
    /* Translators: the length of everything drawn so far. */
    g_autofree char *words = g_strdup_printf (_ ("%s so far"), whole);
    output_draw_text (cr, ink, x + 52.0, y + 54.0, 0.0, 12.0, false, OUTPUT_TONE_INK_2, OUTPUT_TONE_CANVAS,
                      words);
  }
}

static guint
outline_begun (const AppTool *tool)
{
  return ((const OutlineTool *)tool)->nodes->len;
}

extern const AppToolClass app_tool_outline;
const AppToolClass app_tool_outline = {
  .kind = APP_TOOL_OUTLINE,
  .key = "outline",
  .name = N_ ("Outline"),
  .hint = N_ ("Press for a corner, press and drag to bend the edge. Press twice for a corner in a curve. "
              "Ctrl holds off what catches it."),
  .icon = "panelwright-outline-symbolic",
  .accel = "F4",
  .create = outline_create,
  .destroy = outline_destroy,
  .press = outline_press,
  .motion = outline_motion,
  .release = outline_release,
  .hover = outline_hover,
  .cancel = outline_cancel,
  .key_pressed = outline_key,
  .begun = outline_begun,
  .draw = outline_draw,
};
