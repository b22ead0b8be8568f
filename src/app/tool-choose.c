/* Choose: panels and edges are picked, moved and turned; points of a selected edge can be taken hold of
 * without changing the tool. */
#include "app/canvas-private.h"

#include "app/number-entry.h"
#include "model/repair.h"

#include <glib/gi18n.h>

#define DRAG_PX 3.0
#define DRAG_TOUCH_PX 9.0
#define TURN_OUT_PX 22.0
#define TURN_STEP_DEG 15.0

typedef enum Doing
{
  DOING_NOTHING,
  DOING_PENDING, /* pressed on a panel, not moved yet */
  DOING_MOVE,
  DOING_TURN,
  DOING_SHAPE,
  DOING_BOX,
  DOING_PHOTO
} Doing;

typedef struct ChooseTool
{
  AppTool tool;
  Doing doing;
  AppShapeDrag drag;
  GPtrArray *before; /* ModelPanel, as they were at the press */
  guint photo_id;    /* under the press, where no panel was */
  GeomPoint photo_at;
  GeomPoint from, to, centre;
  double turned_deg;
  bool open, adds;
} ChooseTool;

static AppTool *
choose_create (AppCanvas *canvas)
{
  ChooseTool *self = g_new0 (ChooseTool, 1);
  self->tool = (AppTool) { app_tool_class (APP_TOOL_CHOOSE), canvas };
  self->before = g_ptr_array_new_with_free_func ((GDestroyNotify)model_panel_free);
  return &self->tool;
}

static void
choose_destroy (AppTool *tool)
{
  ChooseTool *self = (ChooseTool *)tool;
  app_shape_drag_clear (&self->drag);
  g_ptr_array_unref (self->before);
  g_free (self);
}

/* The box of all selected panels, as far as they are shown; empty when an edge or a node is in hand. */
static GeomBox
selected_box (AppCanvas *canvas)
{
  GeomBox box = geom_box_empty ();
  const AppSelection *s = app_canvas_selection (canvas);
  if (s == NULL || s->panels->len == 0 || s->edges->len > 0 || s->nodes->len > 0)
    return box;
  GPtrArray *outlines = app_pick_index_outlines (canvas->index);
  for (guint i = 0; i < outlines->len; i++)
  {
    const AppOutline *outline = (const AppOutline *)g_ptr_array_index (outlines, i);
    if (app_selection_has_panel (s, outline->panel_id))
      box = geom_box_union (box, outline->box);
  }
  return box;
}

static bool
turn_handle (AppCanvas *canvas, double *x, double *y)
{
  GeomBox box = selected_box (canvas);
  if (geom_box_is_empty (box))
    return false;
  app_canvas_to_widget (canvas, geom_point (box.x1, box.y1), x, y);
  *x += TURN_OUT_PX * 0.75;
  *y -= TURN_OUT_PX * 0.75;
  return true;
}

static void
hold_selected (ChooseTool *self)
{
  AppCanvas *canvas = self->tool.canvas;
  const AppSelection *s = app_canvas_selection (canvas);
  g_ptr_array_set_size (self->before, 0);
  for (guint i = 0; i < s->panels->len; i++)
  {
    const ModelPanel *panel
      = model_document_panel (app_canvas_document (canvas), g_array_index (s->panels, guint, i));
    if (panel != NULL && !panel->locked)
      g_ptr_array_add (self->before, model_panel_copy (panel));
  }
}

/* A length flag is a button: pressing it asks for another length. */
static bool
press_flag (AppCanvas *canvas, const AppInput *in)
{
  for (guint i = 0; i < canvas->flags->len; i++)
  {
    AppFlag flag = g_array_index (canvas->flags, AppFlag, i);
    graphene_point_t at = GRAPHENE_POINT_INIT ((float)(in->x - canvas->ox), (float)(in->y - canvas->oy));
    const AppSelection *s = app_canvas_selection (canvas);
    if (!app_selection_has_edge (s, flag.edge_id) || !graphene_rect_contains_point (&flag.rect, &at))
      continue;
    app_canvas_ask_edge_length (canvas, flag.panel_id, flag.side, flag.edge_id);
    return true;
  }
  return false;
}

static void
press_panel (ChooseTool *self, const AppPick *pick, bool toggle)
{
  AppCanvas *canvas = self->tool.canvas;
  const AppSelection *s = app_canvas_selection (canvas);
  bool whole = app_selection_has_panel (s, pick->panel_id) && s->edges->len == 0 && s->nodes->len == 0;
  if (pick->kind == APP_PICK_EDGE && (!whole || s->panels->len == 1))
  {
    if (toggle || !app_selection_has_edge (s, pick->edge_id) || s->edges->len > 1 || s->side != pick->side)
      app_session_select_edge (canvas->session, pick->panel_id, pick->side, pick->edge_id, toggle);
  }
  else if (toggle || !whole)
    app_session_select_panel (canvas->session, pick->panel_id, pick->side, toggle);
  self->doing = DOING_PENDING;
  hold_selected (self);
}

/* A photo is the ground of all drawing, so a drag over it draws a box as on bare paper; only the chosen one
 * moves. */
static void
press_paper (ChooseTool *self, const AppInput *in)
{
  AppCanvas *canvas = self->tool.canvas;
  self->doing = DOING_BOX;
  self->photo_id = app_canvas_photo_at (canvas, in->at);
  const ModelPhoto *photo
    = self->photo_id != 0 ? model_document_photo (app_canvas_document (canvas), self->photo_id) : NULL;
  if (photo == NULL || photo->locked || app_canvas_selection (canvas)->photo_id != self->photo_id)
    return;
  self->photo_at = photo->at;
  self->doing = DOING_PHOTO;
}

static void
choose_press (AppTool *tool, const AppInput *in)
{
  ChooseTool *self = (ChooseTool *)tool;
  AppCanvas *canvas = tool->canvas;
  self->doing = DOING_NOTHING;
  if (canvas->session == NULL)
    return;
  self->from = self->to = in->at;
  app_canvas_say (canvas, NULL);
  bool toggle = (in->state & GDK_SHIFT_MASK) != 0;
  double x, y;
  if (turn_handle (canvas, &x, &y)
      && hypot (in->x - x, in->y - y) <= app_canvas_catch_mm (canvas, in) * canvas->scale)
  {
    GeomBox box = selected_box (canvas);
    self->centre = geom_point ((box.x0 + box.x1) / 2.0, (box.y0 + box.y1) / 2.0);
    self->doing = DOING_TURN;
    hold_selected (self);
    return;
  }
  if (press_flag (canvas, in))
    return;
  AppPick pick = app_pick_at (canvas->index, in->at, app_canvas_catch_mm (canvas, in),
                              APP_PICK_POINTS | APP_PICK_EDGES | APP_PICK_PANELS, 0);
  if (in->eraser && pick.kind == APP_PICK_NONE)
    return;
  switch (pick.kind)
  {
  case APP_PICK_CORNER:
  case APP_PICK_NODE:
  case APP_PICK_HANDLE:
    self->doing = DOING_SHAPE;
    if (pick.kind != APP_PICK_HANDLE
        && (toggle || !app_selection_has_node (app_canvas_selection (canvas), pick.node_id)))
      app_session_select_node (canvas->session, pick.panel_id, pick.side, pick.node_id, toggle);
    app_shape_drag_begin (&self->drag, canvas, &pick, in->at);
    break;
  case APP_PICK_EDGE:
  case APP_PICK_PANEL:
    press_panel (self, &pick, toggle);
    if (pick.kind == APP_PICK_EDGE && in->presses == 2)
    {
      self->doing = DOING_NOTHING;
      app_canvas_set_tool (canvas, APP_TOOL_SHAPE);
      return; /* SELF is gone */
    }
    break;
  case APP_PICK_NONE:
    self->adds = toggle;
    press_paper (self, in);
    break;
  }
  if (in->eraser)
  {
    self->doing = DOING_NOTHING;
    app_canvas_delete_selection (canvas);
  }
}

static void
put_mapped (ChooseTool *self, GeomAffine map, const char *label)
{
  ModelHistory *history = app_canvas_history (self->tool.canvas);
  if (!self->open)
  {
    model_history_begin (history, label);
    self->open = true;
  }
  for (guint i = 0; i < self->before->len; i++)
  {
    ModelPanel *panel = model_panel_copy ((const ModelPanel *)g_ptr_array_index (self->before, i));
    model_shape_map (panel, map);
    model_repair_put_panel (history, panel);
  }
}

static void
move_panels (ChooseTool *self, const AppInput *in)
{
  AppCanvas *canvas = self->tool.canvas;
  GeomPoint by = geom_sub (in->at, self->from);
  /* Shift after the press: straight along or across. */
  if ((in->state & GDK_SHIFT_MASK) != 0)
  {
    if (fabs (by.x) > fabs (by.y))
      by.y = 0.0;
    else
      by.x = 0.0;
  }
  put_mapped (self, geom_affine_move (by.x, by.y), ngettext ("Move panel", "Move panels", self->before->len));
  g_autofree char *dx = model_unit_signed (by.x, canvas->unit, 1),
                  *dy = model_unit_signed (by.y, canvas->unit, 1);
  /* Translators: how far a panel was moved across and up. */
  g_autofree char *words = g_strdup_printf (_ ("Moved %s across, %s up"), dx, dy);
  app_canvas_say (canvas, words);
}

static void
move_photo (ChooseTool *self, const AppInput *in)
{
  AppCanvas *canvas = self->tool.canvas;
  const ModelPhoto *was = model_document_photo (app_canvas_document (canvas), self->photo_id);
  if (was == NULL || (!self->open && geom_distance (self->from, in->at) * canvas->scale < DRAG_PX))
    return;
  ModelHistory *history = app_canvas_history (canvas);
  if (!self->open)
    model_history_begin (history, _ ("Move photo"));
  self->open = true;
  ModelPhoto *photo = model_photo_copy (was);
  photo->at = geom_add (self->photo_at, geom_sub (in->at, self->from));
  model_history_put_photo (history, photo);
}

static void
turn_panels (ChooseTool *self, const AppInput *in)
{
  AppCanvas *canvas = self->tool.canvas;
  GeomPoint a = geom_sub (self->from, self->centre), b = geom_sub (in->at, self->centre);
  double degrees = atan2 (geom_cross (a, b), geom_dot (a, b)) * 180.0 / G_PI;
  if ((in->state & GDK_SHIFT_MASK) != 0)
    degrees = TURN_STEP_DEG * round (degrees / TURN_STEP_DEG);
  self->turned_deg = degrees;
  put_mapped (self, geom_affine_turn (self->centre, degrees * G_PI / 180.0),
              ngettext ("Turn panel", "Turn panels", self->before->len));
  g_autofree char *words = g_strdup_printf (_ ("Turned by %.1f°. Shift turns in steps of 15°."), degrees);
  app_canvas_say (canvas, words);
}

static void
choose_motion (AppTool *tool, const AppInput *in)
{
  ChooseTool *self = (ChooseTool *)tool;
  AppCanvas *canvas = tool->canvas;
  self->to = in->at;
  if (self->doing == DOING_PENDING
      && geom_distance (self->from, in->at) * canvas->scale
           >= (in->pen || canvas->touch ? DRAG_TOUCH_PX : DRAG_PX))
  {
    self->doing = self->before->len > 0 ? DOING_MOVE : DOING_NOTHING;
    const AppSelection *s = app_canvas_selection (canvas);
    if (self->doing == DOING_NOTHING && s->panels->len > 0)
      app_canvas_say_locked (
        canvas, model_document_panel (app_canvas_document (canvas), g_array_index (s->panels, guint, 0)), 0);
  }
  switch (self->doing)
  {
  case DOING_MOVE:
    move_panels (self, in);
    break;
  case DOING_TURN:
    turn_panels (self, in);
    break;
  case DOING_SHAPE:
    app_shape_drag_move (&self->drag, canvas, in);
    break;
  case DOING_PHOTO:
    move_photo (self, in);
    break;
  case DOING_NOTHING:
  case DOING_PENDING:
  case DOING_BOX:
    break;
  }
}

static void
choose_in_box (ChooseTool *self)
{
  AppCanvas *canvas = self->tool.canvas;
  GeomBox box = geom_box_with_point (geom_box_with_point (geom_box_empty (), self->from), self->to);
  g_autoptr (GArray) ids = g_array_new (FALSE, FALSE, sizeof (guint));
  const AppSelection *s = app_canvas_selection (canvas);
  if (self->adds)
    g_array_append_vals (ids, s->panels->data, s->panels->len);
  GPtrArray *outlines = app_pick_index_outlines (canvas->index);
  for (guint i = 0; i < outlines->len; i++)
  {
    const AppOutline *outline = (const AppOutline *)g_ptr_array_index (outlines, i);
    GeomPoint a = { outline->box.x0, outline->box.y0 }, b = { outline->box.x1, outline->box.y1 };
    if (outline->twin || !geom_box_contains (box, a) || !geom_box_contains (box, b)
        || (self->adds && app_selection_has_panel (s, outline->panel_id)))
      continue;
    g_array_append_val (ids, outline->panel_id);
  }
  if (ids->len == 0)
    app_session_select_none (canvas->session);
  else
    app_session_select_panels (canvas->session, (const guint *)ids->data, ids->len);
}

static void
close_group (ChooseTool *self)
{
  if (self->open)
  {
    self->open = false;
    model_history_end (app_canvas_history (self->tool.canvas));
    app_canvas_say (self->tool.canvas, NULL);
  }
  g_ptr_array_set_size (self->before, 0);
}

static void
choose_release (AppTool *tool, const AppInput *in)
{
  ChooseTool *self = (ChooseTool *)tool;
  AppCanvas *canvas = tool->canvas;
  Doing doing = self->doing;
  self->doing = DOING_NOTHING;
  switch (doing)
  {
  case DOING_SHAPE:
    app_shape_drag_end (&self->drag, canvas);
    break;
  case DOING_BOX:
    if (geom_distance (self->from, self->to) * canvas->scale > DRAG_PX)
      choose_in_box (self);
    else if (!self->adds && self->photo_id != 0)
      app_session_select_photo (canvas->session, self->photo_id);
    else if (!self->adds)
      app_session_select_none (canvas->session);
    break;
  case DOING_PHOTO:
  case DOING_TURN:
  case DOING_MOVE:
  case DOING_NOTHING:
  case DOING_PENDING:
    break;
  }
  close_group (self);
}

static void
choose_cancel (AppTool *tool)
{
  ChooseTool *self = (ChooseTool *)tool;
  self->doing = DOING_NOTHING;
  app_shape_drag_cancel (&self->drag, tool->canvas);
  if (self->open)
  {
    self->open = false;
    model_history_cancel (app_canvas_history (tool->canvas));
    app_canvas_say (tool->canvas, NULL);
  }
  g_ptr_array_set_size (self->before, 0);
}

/* ---- drawing ---- */

static void
draw_box (ChooseTool *self, cairo_t *cr, const OutputInk *ink)
{
  AppCanvas *canvas = self->tool.canvas;
  double x0, y0, x1, y1;
  app_canvas_to_widget (canvas, self->from, &x0, &y0);
  app_canvas_to_widget (canvas, self->to, &x1, &y1);
  const OutputColour *c = &ink->tone[OUTPUT_TONE_BLUE];
  cairo_rectangle (cr, floor (MIN (x0, x1)) + 0.5, floor (MIN (y0, y1)) + 0.5, floor (fabs (x1 - x0)),
                   floor (fabs (y1 - y0)));
  cairo_set_source_rgba (cr, c->red, c->green, c->blue, 0.07);
  cairo_fill_preserve (cr);
  output_set_tone (cr, ink, OUTPUT_TONE_BLUE);
  cairo_set_line_width (cr, 1.0);
  cairo_stroke (cr);
}

/* A ring with a short arc: turn here. */
static void
draw_turn_handle (cairo_t *cr, const OutputInk *ink, double x, double y)
{
  app_canvas_draw_point (cr, ink, APP_POINT_NODE, x, y, OUTPUT_TONE_BLUE, false);
  output_set_tone (cr, ink, OUTPUT_TONE_BLUE);
  cairo_set_line_width (cr, 1.4);
  cairo_arc (cr, x, y, 10.0, -1.25 * G_PI_2, 0.25 * G_PI_2);
  cairo_stroke (cr);
  for (int end = 0; end < 2; end++)
  {
    double angle = end == 0 ? -1.25 * G_PI_2 : 0.25 * G_PI_2;
    double ex = x + 10.0 * cos (angle), ey = y + 10.0 * sin (angle);
    double tx = end == 0 ? sin (angle) : -sin (angle), ty = end == 0 ? -cos (angle) : cos (angle);
    cairo_move_to (cr, ex + tx * 4.0, ey + ty * 4.0);
    cairo_line_to (cr, ex + ty * 3.0, ey - tx * 3.0);
    cairo_line_to (cr, ex - ty * 3.0, ey + tx * 3.0);
    cairo_close_path (cr);
    cairo_fill (cr);
  }
}

static void
choose_draw (AppTool *tool, cairo_t *cr)
{
  ChooseTool *self = (ChooseTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (canvas->session == NULL)
    return;
  const OutputInk *ink = app_canvas_ink (canvas);
  double x, y;
  if (self->doing == DOING_TURN && self->open)
  {
    app_canvas_to_widget (canvas, self->centre, &x, &y);
    cairo_arc (cr, x, y, 3.0, 0.0, 2.0 * G_PI);
    output_set_tone (cr, ink, OUTPUT_TONE_BLUE);
    cairo_fill (cr);
    app_canvas_to_widget (canvas, self->to, &x, &y);
    g_autofree char *figure = g_strdup_printf ("%.1f°", self->turned_deg);
    app_canvas_draw_flag (cr, ink, x + 40.0, y - 20.0, figure, -1);
  }
  else if (self->doing != DOING_MOVE && turn_handle (canvas, &x, &y))
    draw_turn_handle (cr, ink, x, y);
  if (self->doing == DOING_SHAPE)
    app_shape_drag_draw (&self->drag, canvas, cr);
  if (self->doing == DOING_BOX && geom_distance (self->from, self->to) * canvas->scale > DRAG_PX)
    draw_box (self, cr, ink);
}

extern const AppToolClass app_tool_choose;
const AppToolClass app_tool_choose = {
  .kind = APP_TOOL_CHOOSE,
  .key = "choose",
  .name = N_ ("Choose"),
  .hint = NULL,
  .icon = "panelwright-choose-symbolic",
  .accel = "F3",
  .create = choose_create,
  .destroy = choose_destroy,
  .press = choose_press,
  .motion = choose_motion,
  .release = choose_release,
  .cancel = choose_cancel,
  .draw = choose_draw,
};
