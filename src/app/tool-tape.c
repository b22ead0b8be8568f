/* Tape: straight from point to point, along the edges where both lie on one panel, and the angle at the
 * second point to a third.  Measures; what was measured can be pinned to its panel. */
#include "app/canvas-private.h"

#include <glib/gi18n.h>

#define ACCURACY_MM 1e-4
#define DRAG_PX 4.0
#define ARC_PX 42.0

typedef struct TapeTool
{
  AppTool tool;
  bool has_from, has_to; /* TO follows the pointer until it is set */
  bool angling, has_arm; /* Shift is held: ARM follows the pointer until it is set */
  AppTapeEnd from, to, arm, over;
  bool has_over;
  GeomPoint pressed_at;
} TapeTool;

static AppTool *
tape_create (AppCanvas *canvas)
{
  TapeTool *self = g_new0 (TapeTool, 1);
  self->tool = (AppTool) { app_tool_class (APP_TOOL_TAPE), canvas };
  return &self->tool;
}

static void
tape_destroy (AppTool *tool)
{
  g_free (tool);
}

/* On a point if one is near, else on an edge, else free. */
static AppTapeEnd
end_at (AppCanvas *canvas, const AppInput *in)
{
  AppTapeEnd end = { .at = in->at };
  double catch_mm = app_canvas_catch_mm (canvas, in);
  if ((in->state & GDK_CONTROL_MASK) != 0)
    return end;
  AppPick pick = app_pick_at (canvas->index, in->at, catch_mm, APP_PICK_ALL_POINTS, 0);
  if (pick.kind == APP_PICK_NONE)
    pick = app_pick_at (canvas->index, in->at, catch_mm, APP_PICK_EDGES, 0);
  if (pick.kind == APP_PICK_NONE)
  {
    app_canvas_snap_to_lines (canvas, &end.at);
    return end;
  }
  const AppOutline *outline = app_pick_index_outline (canvas->index, pick.panel_id, pick.side);
  if (outline == NULL)
    return end;
  end.at = pick.at;
  end.on_edge = true;
  end.panel_id = pick.panel_id;
  end.side = pick.side;
  end.place = geom_path_nearest (&outline->path, pick.at).place;
  return end;
}

/* The shorter way along the outline.  PATH, initialised, gets it. */
static bool
along_edges (AppCanvas *canvas, const AppTapeEnd *a, const AppTapeEnd *b, GeomPath *path)
{
  if (!a->on_edge || !b->on_edge || a->panel_id != b->panel_id || a->side != b->side)
    return false;
  const AppOutline *outline = app_pick_index_outline (canvas->index, a->panel_id, a->side);
  if (outline == NULL || a->place.piece >= outline->path.count || b->place.piece >= outline->path.count)
    return false;
  double whole = geom_path_length (&outline->path, ACCURACY_MM);
  double at_a = geom_path_length_to (&outline->path, a->place, ACCURACY_MM),
         at_b = geom_path_length_to (&outline->path, b->place, ACCURACY_MM);
  double there = at_b - at_a < 0.0 ? at_b - at_a + whole : at_b - at_a;
  bool swapped = there > whole / 2.0;
  geom_path_part (&outline->path, swapped ? b->place : a->place, swapped ? a->place : b->place, path);
  return path->count > 0;
}

static void
say_figures (TapeTool *self, const AppTapeEnd *to)
{
  AppCanvas *canvas = self->tool.canvas;
  g_autofree char *straight = app_canvas_length (canvas, geom_distance (self->from.at, to->at));
  g_autofree char *across = app_canvas_length (canvas, fabs (to->at.x - self->from.at.x));
  g_autofree char *up = app_canvas_length (canvas, fabs (to->at.y - self->from.at.y));
  GeomPath path;
  geom_path_init (&path);
  g_autofree char *words = NULL;
  if (along_edges (canvas, &self->from, to, &path))
  {
    g_autofree char *along = app_canvas_length (canvas, geom_path_length (&path, ACCURACY_MM));
    words
      = g_strdup_printf (_ ("Straight %s; along the edge %s; %s across, %s up"), straight, along, across, up);
  }
  else
    words = g_strdup_printf (_ ("Straight %s; %s across, %s up"), straight, across, up);
  geom_path_clear (&path);
  app_canvas_tell (canvas, words);
}

/* At TO, between the tape and the way to ARM: 0..180. */
static double
angle_deg (const TapeTool *self, const AppTapeEnd *arm)
{
  GeomPoint a = geom_sub (self->from.at, self->to.at), b = geom_sub (arm->at, self->to.at);
  return fabs (atan2 (geom_cross (a, b), geom_dot (a, b))) * 180.0 / G_PI;
}

static void
say_angle (TapeTool *self, const AppTapeEnd *arm)
{
  AppCanvas *canvas = self->tool.canvas;
  g_autofree char *long_way = app_canvas_length (canvas, geom_distance (self->to.at, arm->at));
  g_autofree char *words
    = g_strdup_printf (_ ("Angle %.1f degrees; its other side is %s long"), angle_deg (self, arm), long_way);
  app_canvas_tell (canvas, words);
}

static void
tape_press (AppTool *tool, const AppInput *in)
{
  TapeTool *self = (TapeTool *)tool;
  if (tool->canvas->session == NULL)
    return;
  self->pressed_at = in->at;
  AppTapeEnd end = end_at (tool->canvas, in);
  if (self->has_to && (in->state & GDK_SHIFT_MASK) != 0)
  {
    self->angling = self->has_arm = true;
    self->arm = end;
    say_angle (self, &end);
    return;
  }
  if (!self->has_from || self->has_to)
  {
    self->angling = self->has_arm = false;
    self->from = end;
    self->has_from = true;
    self->has_to = false;
    self->over = end;
    self->has_over = true;
    app_canvas_say (tool->canvas, _ ("Press where the tape ends."));
    return;
  }
  self->to = end;
  self->has_to = true;
  say_figures (self, &end);
}

/* Press, pull, let go: the other way to lay a tape. */
static void
tape_motion (AppTool *tool, const AppInput *in)
{
  TapeTool *self = (TapeTool *)tool;
  if (!self->has_from || self->has_to || tool->canvas->session == NULL)
    return;
  self->over = end_at (tool->canvas, in);
  self->has_over = true;
  say_figures (self, &self->over);
}

static void
tape_release (AppTool *tool, const AppInput *in)
{
  TapeTool *self = (TapeTool *)tool;
  if (!self->has_from || self->has_to || tool->canvas->session == NULL
      || geom_distance (self->pressed_at, in->at) * tool->canvas->scale < DRAG_PX)
    return;
  self->to = end_at (tool->canvas, in);
  self->has_to = true;
  say_figures (self, &self->to);
}

static void
tape_hover (AppTool *tool, const AppInput *in)
{
  TapeTool *self = (TapeTool *)tool;
  self->has_over = in != NULL && tool->canvas->session != NULL;
  if (!self->has_over)
    return;
  self->over = end_at (tool->canvas, in);
  if (self->has_from && !self->has_to)
    say_figures (self, &self->over);
  if (self->has_to && !self->has_arm)
  {
    self->angling = (in->state & GDK_SHIFT_MASK) != 0;
    if (self->angling)
      say_angle (self, &self->over);
  }
}

static void
tape_cancel (AppTool *tool)
{
  TapeTool *self = (TapeTool *)tool;
  self->has_from = self->has_to = self->angling = self->has_arm = false;
  app_canvas_say (tool->canvas, NULL);
}

static bool
may_run_along (TapeTool *self)
{
  GeomPath path;
  geom_path_init (&path);
  bool along = along_edges (self->tool.canvas, &self->from, &self->to, &path);
  geom_path_clear (&path);
  return along;
}

guint
app_tape_tool_offers (AppCanvas *canvas)
{
  TapeTool *self = canvas->kind == APP_TOOL_TAPE ? (TapeTool *)canvas->tool : NULL;
  if (self == NULL || canvas->session == NULL || !self->has_to)
    return 0;
  if (self->angling)
    return self->has_arm ? 1u << MODEL_TAPE_ANGLE : 0;
  return 1u << MODEL_TAPE_STRAIGHT | (may_run_along (self) ? 1u << MODEL_TAPE_ALONG : 0);
}

bool
app_tape_tool_pin (AppCanvas *canvas, ModelTapeKind kind)
{
  if ((app_tape_tool_offers (canvas) & 1u << kind) == 0)
    return false;
  TapeTool *self = (TapeTool *)canvas->tool;
  const AppTapeEnd ends[3] = { self->from, self->to, self->arm };
  bool pinned = app_canvas_pin_tape (canvas, kind, ends);
  if (pinned)
    self->has_from = self->has_to = self->angling = self->has_arm = false;
  app_canvas_redraw (canvas);
  return pinned;
}

/* P pins; with Shift along the edge. */
static bool
pin_by_key (TapeTool *self, GdkModifierType state)
{
  AppCanvas *canvas = self->tool.canvas;
  guint offers = app_tape_tool_offers (canvas);
  ModelTapeKind kind = offers & 1u << MODEL_TAPE_ANGLE ? MODEL_TAPE_ANGLE
                       : (state & GDK_SHIFT_MASK) != 0 ? MODEL_TAPE_ALONG
                                                       : MODEL_TAPE_STRAIGHT;
  if (offers == 0)
    return false;
  if (!app_tape_tool_pin (canvas, kind) && kind == MODEL_TAPE_ALONG)
    app_canvas_tell (canvas, _ ("Along an edge both ends must lie on the outline of one panel."));
  return true;
}

static bool
tape_key (AppTool *tool, guint keyval, GdkModifierType state)
{
  TapeTool *self = (TapeTool *)tool;
  if ((keyval == GDK_KEY_p || keyval == GDK_KEY_P) && (state & (GDK_CONTROL_MASK | GDK_ALT_MASK)) == 0)
    return pin_by_key (self, state);
  if (keyval != GDK_KEY_Escape || !self->has_from)
    return false;
  tape_cancel (tool);
  return true;
}

/* ---- drawing ---- */

static void
draw_end (cairo_t *cr, const OutputInk *ink, double x, double y, bool caught)
{
  cairo_arc (cr, x, y, caught ? 5.0 : 3.5, 0.0, 2.0 * G_PI);
  output_set_tone (cr, ink, OUTPUT_TONE_CARD);
  cairo_fill_preserve (cr);
  output_set_tone (cr, ink, OUTPUT_TONE_OCHRE);
  cairo_set_line_width (cr, 2.0);
  cairo_stroke (cr);
}

/* A band with ticks each 10 mm, longer ones each 50, as far as there is room for them. */
static void
draw_band (AppCanvas *canvas, cairo_t *cr, const OutputInk *ink, double x0, double y0, double x1, double y1)
{
  double length = hypot (x1 - x0, y1 - y0);
  if (length < 1.0)
    return;
  double step = (canvas->unit == MODEL_UNIT_INCH ? 12.7 : 10.0) * canvas->scale;
  cairo_save (cr);
  cairo_translate (cr, x0, y0);
  cairo_rotate (cr, atan2 (y1 - y0, x1 - x0));
  output_set_tone (cr, ink, OUTPUT_TONE_OCHRE_SOFT);
  cairo_rectangle (cr, 0.0, -5.0, length, 10.0);
  cairo_fill_preserve (cr);
  output_set_tone (cr, ink, OUTPUT_TONE_OCHRE);
  cairo_set_line_width (cr, 1.2);
  cairo_stroke (cr);
  if (step >= 4.0 && length / step < 2000.0)
  {
    int k = 1;
    for (double x = step; x < length; x += step, k++)
    {
      cairo_move_to (cr, x, -5.0);
      cairo_line_to (cr, x, k % 5 == 0 ? 1.5 : -1.5);
    }
    cairo_set_line_width (cr, 1.0);
    cairo_stroke (cr);
  }
  cairo_restore (cr);
}

static void
draw_angle (TapeTool *self, cairo_t *cr, const OutputInk *ink)
{
  AppCanvas *canvas = self->tool.canvas;
  const AppTapeEnd *arm = self->has_arm ? &self->arm : &self->over;
  double x, y, x0, y0, x1, y1;
  app_canvas_to_widget (canvas, self->to.at, &x, &y);
  app_canvas_to_widget (canvas, self->from.at, &x0, &y0);
  app_canvas_to_widget (canvas, arm->at, &x1, &y1);
  double first = atan2 (y0 - y, x0 - x), last = atan2 (y1 - y, x1 - x),
         turn = remainder (last - first, 2.0 * G_PI);
  double radius = MIN (ARC_PX, 0.6 * hypot (x1 - x, y1 - y));
  if (!(radius > 2.0))
    return;
  cairo_move_to (cr, x, y);
  cairo_line_to (cr, x1, y1);
  output_set_tone (cr, ink, OUTPUT_TONE_OCHRE);
  cairo_set_line_width (cr, 2.0);
  cairo_stroke (cr);
  if (turn >= 0.0)
    cairo_arc (cr, x, y, radius, first, first + turn);
  else
    cairo_arc_negative (cr, x, y, radius, first, first + turn);
  cairo_set_line_width (cr, 1.4);
  cairo_stroke (cr);
  draw_end (cr, ink, x1, y1, arm->on_edge);
  g_autofree char *figure = g_strdup_printf ("%.1f°", angle_deg (self, arm));
  app_canvas_draw_flag (cr, ink, x + (radius + 34.0) * cos (first + turn / 2.0),
                        y + (radius + 20.0) * sin (first + turn / 2.0), figure, OUTPUT_TONE_OCHRE);
}

static void
tape_draw (AppTool *tool, cairo_t *cr)
{
  TapeTool *self = (TapeTool *)tool;
  AppCanvas *canvas = tool->canvas;
  const OutputInk *ink = app_canvas_ink (canvas);
  double x0, y0, x1, y1;
  if (self->has_over && (!self->has_from || self->has_to) && self->over.on_edge)
  {
    app_canvas_to_widget (canvas, self->over.at, &x0, &y0);
    draw_end (cr, ink, x0, y0, true);
  }
  if (!self->has_from || canvas->session == NULL || (!self->has_to && !self->has_over))
    return;
  const AppTapeEnd *to = self->has_to ? &self->to : &self->over;
  app_canvas_to_widget (canvas, self->from.at, &x0, &y0);
  app_canvas_to_widget (canvas, to->at, &x1, &y1);
  GeomPath path;
  geom_path_init (&path);
  bool along = along_edges (canvas, &self->from, to, &path);
  if (along)
  {
    OutputView view = app_canvas_widget_view (canvas);
    output_draw_lit (cr, &view, ink, &path, true);
  }
  draw_band (canvas, cr, ink, x0, y0, x1, y1);
  draw_end (cr, ink, x0, y0, self->from.on_edge);
  draw_end (cr, ink, x1, y1, to->on_edge);
  g_autofree char *straight = app_canvas_length (canvas, geom_distance (self->from.at, to->at));
  GeomPoint middle = { (x0 + x1) / 2.0, (y0 + y1) / 2.0 },
            across = geom_left_of (geom_unit (geom_point (x1 - x0, y1 - y0)));
  if (along)
  {
    double length = geom_path_length (&path, ACCURACY_MM), x, y;
    app_canvas_to_widget (
      canvas, geom_path_point (&path, geom_path_place_at (&path, length / 2.0, ACCURACY_MM)), &x, &y);
    /* The edge's figure on the edge's side of the straight tape, the tape's own on the other. */
    if (geom_dot (across, geom_sub (geom_point (x, y), middle)) > 0.0)
      across = geom_scale (across, -1.0);
    g_autofree char *figure = app_canvas_length (canvas, length);
    app_canvas_draw_flag (cr, ink, x - across.x * 56.0, y - across.y * 34.0, figure, OUTPUT_TONE_OCHRE);
  }
  if (hypot (x1 - x0, y1 - y0) > 2.0)
    app_canvas_draw_flag (cr, ink, middle.x + across.x * 56.0, middle.y + across.y * 30.0, straight, -1);
  geom_path_clear (&path);
  if (self->has_to && self->angling && (self->has_arm || self->has_over))
    draw_angle (self, cr, ink);
}

extern const AppToolClass app_tool_tape;
const AppToolClass app_tool_tape = {
  .kind = APP_TOOL_TAPE,
  .key = "tape",
  .name = N_ ("Tape"),
  .hint
  = N_ ("Press where the tape begins. Points and edges catch it; Ctrl lets it lie free. With Shift a third "
        "point gives the angle. P pins it to the panel."),
  .icon = "panelwright-tape-symbolic",
  .accel = "F8",
  .create = tape_create,
  .destroy = tape_destroy,
  .press = tape_press,
  .motion = tape_motion,
  .release = tape_release,
  .hover = tape_hover,
  .cancel = tape_cancel,
  .key_pressed = tape_key,
  .draw = tape_draw,
};
