/* The widget and its one way in for input.
 *
 * A drag gesture takes mouse, pen and touch alike; the pen's axes are read from the event.  The panels'
 * accessible children are invisible and let every click through to here.
 */
#include "app/canvas-private.h"

#include "engine/assembled.h"

#include "engine/words.h"

#include <glib/gi18n.h>

G_DEFINE_FINAL_TYPE (AppCanvas, app_canvas, GTK_TYPE_WIDGET)

enum
{
  TOOL_CHANGED,
  VIEW_CHANGED,
  POINTER_CHANGED,
  STATUS_CHANGED,
  SIGNAL_COUNT
};
static guint signals[SIGNAL_COUNT];

#define CATCH_MOUSE_PX 12.0
#define CATCH_PEN_PX 20.0
#define CATCH_TOUCH_PX 24.0
#define FLAG_DELAY_MS 250
#define PRESS_AGAIN_US 400000
#define PRESS_AGAIN_PX 6.0
#define HISTORY_SLACK_PX 24.0

/* ---- asked by the tools ---- */

ModelDocument *
app_canvas_document (AppCanvas *self)
{
  return self->session != NULL ? app_session_document (self->session) : NULL;
}

ModelHistory *
app_canvas_history (AppCanvas *self)
{
  return self->session != NULL ? app_session_history (self->session) : NULL;
}

const AppSelection *
app_canvas_selection (AppCanvas *self)
{
  return self->session != NULL ? app_session_selection (self->session) : NULL;
}

char *
app_canvas_figure (AppCanvas *self, double mm)
{
  return model_unit_figure (mm, self->unit, 1);
}

char *
app_canvas_length (AppCanvas *self, double mm)
{
  return model_unit_text (mm, self->unit, 1);
}

double
app_canvas_catch_mm (AppCanvas *self, const AppInput *in)
{
  double px = in != NULL && in->pen ? CATCH_PEN_PX : self->touch ? CATCH_TOUCH_PX : CATCH_MOUSE_PX;
  return px / self->scale;
}

void
app_canvas_redraw (AppCanvas *self)
{
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

const char *
app_canvas_status (AppCanvas *self)
{
  return self->status != NULL ? self->status : "";
}

void
app_canvas_say (AppCanvas *self, const char *text)
{
  const AppToolClass *klass = app_tool_class (self->kind);
  const char *words = text != NULL ? text : klass != NULL && klass->hint != NULL ? _ (klass->hint) : "";
  self->live_status = text != NULL;
  if (g_strcmp0 (words, self->status) == 0)
    return;
  g_free (self->status);
  self->status = g_strdup (words);
  g_signal_emit (self, signals[STATUS_CHANGED], 0);
  app_canvas_redraw (self);
}

void
app_canvas_tell (AppCanvas *self, const char *text)
{
  app_canvas_say (self, text);
  app_canvas_items_tell (self, text);
}

bool
app_canvas_say_locked (AppCanvas *self, const ModelPanel *panel, guint edge_id)
{
  int at = panel != NULL ? model_panel_find_edge (panel, edge_id) : -1;
  if (panel == NULL || (!panel->locked && (at < 0 || !model_panel_edge (panel, (guint)at)->locked)))
    return false;
  g_autofree char *words
    = panel->locked ? g_strdup_printf (
        _ ("“%s” is locked, so nothing moves. Right-click it, or press the Menu key, and take "
           "the lock off."),
        panel->name)
                    : g_strdup_printf (
                      _ ("This edge of “%s” is locked, so it stays. Take its lock off in the panel’s card, "
                         "or in its menu."),
                      panel->name);
  app_canvas_tell (self, words);
  return true;
}

/* ---- hover ---- */

static gboolean
hover_flag_due (gpointer user)
{
  AppCanvas *self = user;
  self->hover_timer = 0;
  self->hover_flag = true;
  self->lit_dirty = true;
  app_canvas_redraw (self);
  return G_SOURCE_REMOVE;
}

static void
set_hover (AppCanvas *self, AppPick pick)
{
  if (app_pick_same (&pick, &self->hover))
  {
    self->hover = pick;
    return;
  }
  self->hover = pick;
  self->hover_flag = false;
  self->lit_dirty = true;
  g_clear_handle_id (&self->hover_timer, g_source_remove);
  if (pick.kind == APP_PICK_EDGE)
    self->hover_timer = g_timeout_add (FLAG_DELAY_MS, hover_flag_due, self);
  app_canvas_pointer_shape (self);
  app_canvas_redraw (self);
}

static void
hover_at (AppCanvas *self, const AppInput *in)
{
  if (self->index == NULL || in == NULL || self->kind == APP_TOOL_OUTLINE || self->kind == APP_TOOL_STROKE)
  {
    set_hover (self, app_pick_none ());
    return;
  }
  set_hover (self, app_pick_at (self->index, in->at, app_canvas_catch_mm (self, in),
                                APP_PICK_POINTS | APP_PICK_EDGES | APP_PICK_PANELS, 0));
}

/* ---- the way in ---- */

AppInput
app_canvas_input (AppCanvas *self, double x, double y)
{
  return (AppInput) {
    .x = x, .y = y, .at = app_canvas_to_paper (self, x, y), .pressure = 1.0, .button = 1, .presses = 1
  };
}

static void
follow_pointer (AppCanvas *self, double x, double y)
{
  self->pointer_in = true;
  self->pointer_x = x;
  self->pointer_y = y;
  g_signal_emit (self, signals[POINTER_CHANGED], 0);
}

void
app_canvas_feed (AppCanvas *self, AppPhase phase, const AppInput *in)
{
  AppTool *tool = self->tool;
  if (tool == NULL)
    return;
  const AppToolClass *klass = tool->klass;
  if (in != NULL)
    follow_pointer (self, in->x, in->y);
  if ((phase == APP_PHASE_PRESS && app_canvas_choose_tape_at (self, in))
      || app_canvas_lines_feed (self, phase, in))
  {
    app_canvas_redraw (self);
    return;
  }
  switch (phase)
  {
  case APP_PHASE_PRESS:
    self->pressed = true;
    self->fitted = false; /* the paper stays put under a hand at work */
    g_clear_handle_id (&self->hover_timer, g_source_remove);
    if (app_eraser_begin (self, in))
      break;
    if (klass->press != NULL)
      klass->press (tool, in);
    break;
  case APP_PHASE_MOTION:
    if (self->pressed && self->erasing != NULL)
      app_eraser_move (self, in);
    else if (self->pressed && klass->motion != NULL)
      klass->motion (tool, in);
    break;
  case APP_PHASE_RELEASE:
  {
    /* First: a card that comes up takes the pointer, and the gesture then tells of a lost grab. */
    bool pressed = self->pressed, erasing = self->erasing != NULL;
    self->pressed = false;
    app_eraser_end (self, true);
    if (pressed && !erasing && klass->release != NULL)
      klass->release (tool, in);
    hover_at (self, in);
    break;
  }
  case APP_PHASE_HOVER:
    hover_at (self, in);
    if (klass->hover != NULL)
      klass->hover (tool, in);
    break;
  case APP_PHASE_LEAVE:
    self->pointer_in = false;
    set_hover (self, app_pick_none ());
    if (klass->hover != NULL)
      klass->hover (tool, NULL);
    g_signal_emit (self, signals[POINTER_CHANGED], 0);
    break;
  case APP_PHASE_CANCEL:
    self->pressed = false;
    app_eraser_end (self, false);
    if (klass->cancel != NULL)
      klass->cancel (tool);
    break;
  }
  app_canvas_redraw (self);
}

static AppInput
input_from (AppCanvas *self, GtkEventController *controller, double x, double y)
{
  AppInput in = app_canvas_input (self, x, y);
  in.state = gtk_event_controller_get_current_event_state (controller);
  in.button = self->press_button;
  in.presses = self->presses;
  GdkEvent *event = gtk_event_controller_get_current_event (controller);
  if (event == NULL)
    return in;
  GdkDeviceTool *device_tool = gdk_event_get_device_tool (event);
  if (device_tool != NULL && gdk_device_tool_get_tool_type (device_tool) != GDK_DEVICE_TOOL_TYPE_MOUSE)
  {
    in.pen = true;
    in.eraser = gdk_device_tool_get_tool_type (device_tool) == GDK_DEVICE_TOOL_TYPE_ERASER;
    if (!gdk_event_get_axis (event, GDK_AXIS_PRESSURE, &in.pressure))
      in.pressure = 1.0;
  }
  GdkEventType type = gdk_event_get_event_type (event);
  self->touch = type == GDK_TOUCH_BEGIN || type == GDK_TOUCH_UPDATE || type == GDK_TOUCH_END;
  return in;
}

static void
count_presses (AppCanvas *self, guint button, double x, double y)
{
  gint64 now = g_get_monotonic_time ();
  bool again = button == self->press_button && now - self->press_us < PRESS_AGAIN_US
               && hypot (x - self->press_x, y - self->press_y) <= PRESS_AGAIN_PX;
  self->presses = again ? self->presses + 1 : 1;
  self->press_button = button;
  self->press_us = now;
  self->press_x = x;
  self->press_y = y;
}

static void
begin_pan (AppCanvas *self)
{
  self->panning = true;
  self->space_used = true;
  self->pan_ox = self->ox;
  self->pan_oy = self->oy;
  app_canvas_view_stop (self);
  gtk_widget_set_cursor_from_name (GTK_WIDGET (self), "grabbing");
}

static void
on_drag_begin (GtkGestureDrag *drag, double x, double y, AppCanvas *self)
{
  guint button = gtk_gesture_single_get_current_button (GTK_GESTURE_SINGLE (drag));
  if (button == 0)
    button = 1;
  gtk_widget_grab_focus (GTK_WIDGET (self));
  count_presses (self, button, x, y);
  if (button == GDK_BUTTON_MIDDLE || (button == GDK_BUTTON_PRIMARY && self->space))
  {
    begin_pan (self);
    return;
  }
  AppInput in = input_from (self, GTK_EVENT_CONTROLLER (drag), x, y);
  if (button == GDK_BUTTON_SECONDARY)
  {
    gtk_gesture_set_state (GTK_GESTURE (drag), GTK_EVENT_SEQUENCE_CLAIMED);
    follow_pointer (self, x, y);
    app_canvas_menu_open (self, x, y);
    return;
  }
  app_canvas_feed (self, APP_PHASE_PRESS, &in);
}

/* Where the pointer was since the last motion that came through: a frame may take up several, and a stroke is
 * made of all of them.  A place that does not lie about between both is none: some devices tell theirs in
 * another measure. */
static void
feed_history (AppCanvas *self, GtkEventController *controller, double to_x, double to_y)
{
  GdkEvent *event = gtk_event_controller_get_current_event (controller);
  GtkNative *native = gtk_widget_get_native (GTK_WIDGET (self));
  guint count = 0;
  double shift_x = 0.0, shift_y = 0.0, from_x = self->pointer_x, from_y = self->pointer_y;
  if (event == NULL || native == NULL || gdk_event_get_event_type (event) != GDK_MOTION_NOTIFY)
    return;
  g_autofree GdkTimeCoord *history = gdk_event_get_history (event, &count);
  gtk_native_get_surface_transform (native, &shift_x, &shift_y);
  for (guint i = 0; i < count; i++)
  {
    double x, y, slack = HISTORY_SLACK_PX + 0.5 * hypot (to_x - from_x, to_y - from_y);
    if ((history[i].flags & GDK_AXIS_FLAG_X) == 0 || (history[i].flags & GDK_AXIS_FLAG_Y) == 0
        || !gtk_widget_translate_coordinates (GTK_WIDGET (native), GTK_WIDGET (self),
                                              history[i].axes[GDK_AXIS_X] - shift_x,
                                              history[i].axes[GDK_AXIS_Y] - shift_y, &x, &y)
        || !(x >= MIN (from_x, to_x) - slack && x <= MAX (from_x, to_x) + slack
             && y >= MIN (from_y, to_y) - slack && y <= MAX (from_y, to_y) + slack))
      continue;
    AppInput in = input_from (self, controller, x, y);
    if (in.pen && (history[i].flags & GDK_AXIS_FLAG_PRESSURE) != 0)
      in.pressure = history[i].axes[GDK_AXIS_PRESSURE];
    app_canvas_feed (self, APP_PHASE_MOTION, &in);
  }
}

static void
on_drag_update (GtkGestureDrag *drag, double dx, double dy, AppCanvas *self)
{
  double x, y;
  if (!gtk_gesture_drag_get_start_point (drag, &x, &y))
  {
    x = self->press_x;
    y = self->press_y;
  }
  if (self->panning)
  {
    app_canvas_pan_by (self, self->pan_ox + dx - self->ox, self->pan_oy + dy - self->oy);
    return;
  }
  if (!self->pressed)
    return;
  if (self->kind == APP_TOOL_STROKE || self->erasing != NULL)
    feed_history (self, GTK_EVENT_CONTROLLER (drag), x + dx, y + dy);
  AppInput in = input_from (self, GTK_EVENT_CONTROLLER (drag), x + dx, y + dy);
  app_canvas_feed (self, APP_PHASE_MOTION, &in);
}

static void
end_pan (AppCanvas *self)
{
  self->panning = false;
  app_canvas_pointer_shape (self);
}

static void
on_drag_end (GtkGestureDrag *drag, double dx, double dy, AppCanvas *self)
{
  double x, y;
  if (!gtk_gesture_drag_get_start_point (drag, &x, &y))
  {
    x = self->press_x;
    y = self->press_y;
  }
  if (self->panning)
  {
    end_pan (self);
    return;
  }
  if (!self->pressed)
    return;
  AppInput in = input_from (self, GTK_EVENT_CONTROLLER (drag), x + dx, y + dy);
  app_canvas_feed (self, APP_PHASE_RELEASE, &in);
}

static void
on_drag_cancel (GtkGesture *drag, GdkEventSequence *sequence, AppCanvas *self)
{
  if (self->panning)
    end_pan (self);
  else if (self->pressed)
    app_canvas_feed (self, APP_PHASE_CANCEL, NULL);
}

static void
on_pointer (GtkEventControllerMotion *controller, double x, double y, AppCanvas *self)
{
  /* GTK sends motion again after each frame that moved a widget; a pointer that stands still has nothing new
   * to say. */
  if (self->pressed || self->panning || (self->pointer_in && self->pointer_x == x && self->pointer_y == y))
    return;
  AppInput in = input_from (self, GTK_EVENT_CONTROLLER (controller), x, y);
  in.presses = 0;
  app_canvas_feed (self, APP_PHASE_HOVER, &in);
}

static void
on_pointer_leave (GtkEventControllerMotion *controller, AppCanvas *self)
{
  if (!self->pressed)
    app_canvas_feed (self, APP_PHASE_LEAVE, NULL);
}

static gboolean
on_scroll (GtkEventControllerScroll *controller, double dx, double dy, AppCanvas *self)
{
  bool pixels = gtk_event_controller_scroll_get_unit (controller) == GDK_SCROLL_UNIT_SURFACE;
  return app_canvas_scroll (self, dx, dy, pixels,
                            gtk_event_controller_get_current_event_state (GTK_EVENT_CONTROLLER (controller)));
}

static void
on_decelerate (GtkEventControllerScroll *controller, double vx, double vy, AppCanvas *self)
{
  app_canvas_fling (self, vx, vy);
}

static void
on_pinch_begin (GtkGesture *pinch, GdkEventSequence *sequence, AppCanvas *self)
{
  /* The first finger may have begun something. */
  if (self->pressed)
    app_canvas_feed (self, APP_PHASE_CANCEL, NULL);
  self->pinch_scale = self->scale;
}

static void
on_pinch (GtkGestureZoom *pinch, double factor, AppCanvas *self)
{
  double x = gtk_widget_get_width (GTK_WIDGET (self)) / 2.0,
         y = gtk_widget_get_height (GTK_WIDGET (self)) / 2.0;
  gtk_gesture_get_bounding_box_center (GTK_GESTURE (pinch), &x, &y);
  app_canvas_zoom_at (self, self->pinch_scale * factor / self->scale, x, y);
}

static void
on_long_press (GtkGestureLongPress *gesture, double x, double y, AppCanvas *self)
{
  if (self->pressed)
    app_canvas_feed (self, APP_PHASE_CANCEL, NULL);
  app_canvas_menu_open (self, x, y);
}

/* ---- keys ---- */

static double
nudge_step_mm (GdkModifierType state)
{
  return (state & GDK_SHIFT_MASK) != 0 ? 10.0 : (state & GDK_ALT_MASK) != 0 ? 0.1 : 1.0;
}

static void
escape (AppCanvas *self)
{
  if (self->session == NULL)
    return;
  if (self->pressed)
    app_canvas_feed (self, APP_PHASE_CANCEL, NULL);
  else if (app_session_previewed (self->session) != NULL)
    app_session_preview (self->session, NULL);
  else
    app_canvas_step_out (self);
}

static bool
enter (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  if (app_canvas_chosen_line (self) != NULL && s->panels->len == 0)
  {
    app_canvas_ask_line_place (self);
    return true;
  }
  if (s == NULL || s->panels->len != 1)
    return false;
  guint panel_id = g_array_index (s->panels, guint, 0);
  if (s->nodes->len == 1)
    app_canvas_ask_node_place (self, panel_id, s->side, g_array_index (s->nodes, guint, 0));
  else if (s->edges->len == 1)
    app_canvas_ask_edge_length (self, panel_id, s->side, g_array_index (s->edges, guint, 0));
  else
    return app_canvas_step_in (self);
  return true;
}

static bool
general_key (AppCanvas *self, guint keyval, GdkModifierType state)
{
  double step = nudge_step_mm (state);
  switch (keyval)
  {
  case GDK_KEY_Left:
  case GDK_KEY_KP_Left:
    app_canvas_nudge (self, -step, 0.0);
    return true;
  case GDK_KEY_Right:
  case GDK_KEY_KP_Right:
    app_canvas_nudge (self, step, 0.0);
    return true;
  case GDK_KEY_Up:
  case GDK_KEY_KP_Up:
    app_canvas_nudge (self, 0.0, step);
    return true;
  case GDK_KEY_Down:
  case GDK_KEY_KP_Down:
    app_canvas_nudge (self, 0.0, -step);
    return true;
  case GDK_KEY_Escape:
    escape (self);
    return true;
  case GDK_KEY_Delete:
  case GDK_KEY_KP_Delete:
  case GDK_KEY_BackSpace:
    app_canvas_delete_selection (self);
    return true;
  case GDK_KEY_Tab:
  case GDK_KEY_KP_Tab:
    return app_canvas_walk_on (self, 1);
  case GDK_KEY_ISO_Left_Tab:
    return app_canvas_walk_on (self, -1);
  case GDK_KEY_bracketleft:
    app_canvas_walk (self, -1);
    return true;
  case GDK_KEY_bracketright:
    app_canvas_walk (self, 1);
    return true;
  case GDK_KEY_Return:
  case GDK_KEY_KP_Enter:
    return enter (self);
  case GDK_KEY_g:
  case GDK_KEY_G:
    app_canvas_walk_lines (self);
    return true;
  case GDK_KEY_F2:
    if (app_canvas_chosen_line (self) != NULL && app_canvas_selection (self)->panels->len == 0)
      app_canvas_ask_line_name (self);
    else
      app_canvas_ask_edge_name (self);
    return true;
  case GDK_KEY_Menu:
  {
    double x = self->pointer_x, y = self->pointer_y;
    if (!self->pointer_in)
    {
      x = gtk_widget_get_width (GTK_WIDGET (self)) / 2.0;
      y = gtk_widget_get_height (GTK_WIDGET (self)) / 2.0;
    }
    app_canvas_menu_open (self, x, y);
    return true;
  }
  default:
    return false;
  }
}

bool
app_canvas_key (AppCanvas *self, guint keyval, GdkModifierType state)
{
  if (self->session == NULL || self->tool == NULL)
    return false;
  /* Before the tool: with Alt and Shift the arrows mean something else than a nudge. */
  if (!self->pressed && app_canvas_arrange_key (self, keyval, state))
    return true;
  if (keyval == GDK_KEY_space && (state & GDK_CONTROL_MASK) == 0)
  {
    if (!self->space)
    {
      self->space = true;
      self->space_used = false;
      gtk_widget_set_cursor_from_name (GTK_WIDGET (self), "grab");
    }
    return true;
  }
  if (self->tool->klass->key_pressed != NULL && self->tool->klass->key_pressed (self->tool, keyval, state))
  {
    app_canvas_redraw (self);
    return true;
  }
  if (keyval == GDK_KEY_F10 && (state & GDK_SHIFT_MASK) != 0)
    return general_key (self, GDK_KEY_Menu, 0);
  /* Letters with Ctrl belong to actions. */
  if ((state & GDK_CONTROL_MASK) != 0)
    return false;
  return general_key (self, keyval, state);
}

/* Ctrl holds off what catches, at once: the hand that presses it does not move the pointer. */
static void
follow_ctrl (AppCanvas *self, guint keyval, GdkModifierType state, bool down)
{
  if ((keyval != GDK_KEY_Control_L && keyval != GDK_KEY_Control_R) || !self->pointer_in || self->panning
      || (self->kind != APP_TOOL_SHAPE && self->kind != APP_TOOL_CHOOSE && self->kind != APP_TOOL_OUTLINE))
    return;
  AppInput in = app_canvas_input (self, self->pointer_x, self->pointer_y);
  in.state = down ? state | GDK_CONTROL_MASK : state & ~GDK_CONTROL_MASK;
  app_canvas_feed (self, self->pressed ? APP_PHASE_MOTION : APP_PHASE_HOVER, &in);
}

static gboolean
on_key (
  GtkEventControllerKey *controller, guint keyval, guint keycode, GdkModifierType state, AppCanvas *self)
{
  follow_ctrl (self, keyval, state, true);
  return app_canvas_key (self, keyval, state);
}

static void
space_up (AppCanvas *self)
{
  self->space = false;
  if (!self->panning)
    app_canvas_pointer_shape (self);
}

static void
on_key_released (
  GtkEventControllerKey *controller, guint keyval, guint keycode, GdkModifierType state, AppCanvas *self)
{
  follow_ctrl (self, keyval, state, false);
  if (keyval == GDK_KEY_space && self->space)
    space_up (self);
}

static void
on_focus_leave (GtkEventControllerFocus *controller, AppCanvas *self)
{
  /* The release of a key held while the window changes never comes. */
  if (self->space)
    space_up (self);
}

/* ---- the session ---- */

static void
touch_joins_panels (AppCanvas *self, guint panel_id)
{
  app_canvas_paint_touch (self, panel_id);
}

static void
on_touched (AppSession *session, guint kind, guint id, guint touch, AppCanvas *self)
{
  switch ((ModelPartKind)kind)
  {
  case MODEL_PART_PANEL:
    app_pick_index_touch (self->index, touch == MODEL_TOUCH_CHANGED ? id : 0);
    touch_joins_panels (self, touch == MODEL_TOUCH_CHANGED ? id : 0);
    break;
  case MODEL_PART_JOIN:
    /* Which panels it left is no longer known; joins change seldom. */
    app_canvas_paint_touch (self, 0);
    break;
  case MODEL_PART_HEAD:
  case MODEL_PART_MATERIAL:
    app_canvas_paint_touch (self, 0);
    break;
  case MODEL_PART_PHOTO:
    app_canvas_still_forget (self);
    break;
  case MODEL_PART_LINE:
    break;
  case MODEL_PART_MEASURE:
  case MODEL_PART_FIT_NOTE:
  case MODEL_PART_REVISION:
    return;
  }
  self->lit_dirty = true;
  app_canvas_redraw (self);
}

static void
on_settled (AppSession *session, AppCanvas *self)
{
  self->hover = app_pick_none ();
  self->lit_dirty = true;
  app_canvas_beneath_touch (self);
  app_canvas_items_sync (self);
  app_canvas_commands_refresh (self);
  app_canvas_redraw (self);
}

static void
on_selection_changed (AppSession *session, AppCanvas *self)
{
  self->lit_dirty = true;
  app_canvas_items_selection (self);
  app_canvas_commands_refresh (self);
  app_canvas_redraw (self);
}

static gboolean
preview_grows (GtkWidget *widget, GdkFrameClock *clock, gpointer user)
{
  AppCanvas *self = APP_CANVAS (widget);
  gint64 now = gdk_frame_clock_get_frame_time (clock);
  if (self->preview_us == 0)
    self->preview_us = now;
  self->preview_shown = MIN (1.0, (double)(now - self->preview_us) / 160000.0);
  self->lit_dirty = true;
  app_canvas_redraw (self);
  if (self->preview_shown < 1.0)
    return G_SOURCE_CONTINUE;
  self->preview_tick = 0;
  return G_SOURCE_REMOVE;
}

static void
on_preview_changed (AppSession *session, AppCanvas *self)
{
  if (self->preview_tick != 0)
    gtk_widget_remove_tick_callback (GTK_WIDGET (self), self->preview_tick);
  self->preview_tick = 0;
  self->preview_us = 0;
  self->preview_shown = 1.0;
  /* Once: what follows the hand or the typing follows it in the same frame. */
  bool anew = !self->previews && !self->pressed;
  self->previews = app_session_previewed (session) != NULL;
  if (self->previews && anew && app_canvas_animates (self))
  {
    self->preview_shown = 0.0;
    self->preview_tick = gtk_widget_add_tick_callback (GTK_WIDGET (self), preview_grows, NULL, NULL);
  }
  self->lit_dirty = true;
  app_canvas_redraw (self);
}

static void
drop_session (AppCanvas *self)
{
  if (self->session == NULL)
    return;
  if (self->pressed)
    app_canvas_feed (self, APP_PHASE_CANCEL, NULL);
  for (guint i = 0; i < G_N_ELEMENTS (self->handlers); i++)
    g_clear_signal_handler (&self->handlers[i], self->session);
  g_clear_pointer (&self->index, app_pick_index_free);
  g_clear_object (&self->session);
  app_canvas_items_clear (self);
}

void
app_canvas_set_session (AppCanvas *self, AppSession *session)
{
  if (session == self->session)
    return;
  AppToolKind kind = self->kind;
  /* A question is about the document that goes. */
  if (self->popover != NULL)
    gtk_popover_popdown (GTK_POPOVER (self->popover));
  drop_session (self);
  app_canvas_beneath_clear (self);
  g_clear_pointer (&self->flat_map, engine_flat_map_free);
  app_canvas_paint_forget (self);
  g_hash_table_remove_all (self->photos);
  app_canvas_names_clear (self->names);
  self->hover = app_pick_none ();
  self->lit_dirty = true;
  self->placed = false;
  if (session != NULL)
  {
    self->session = g_object_ref (session);
    self->index = app_pick_index_new (session);
    self->unit = app_session_document (session)->head->unit;
    self->handlers[0] = g_signal_connect (session, "touched", G_CALLBACK (on_touched), self);
    self->handlers[1] = g_signal_connect (session, "settled", G_CALLBACK (on_settled), self);
    self->handlers[2]
      = g_signal_connect (session, "selection-changed", G_CALLBACK (on_selection_changed), self);
    self->handlers[3] = g_signal_connect (session, "preview-changed", G_CALLBACK (on_preview_changed), self);
    app_canvas_items_sync (self);
    app_canvas_view_first_size (self);
  }
  /* A tool may remember things of the document that went. */
  app_canvas_set_tool (self, APP_TOOL_COUNT);
  app_canvas_set_tool (self, kind);
  app_canvas_commands_refresh (self);
  app_canvas_redraw (self);
}

AppSession *
app_canvas_session (AppCanvas *self)
{
  return self->session;
}

void
app_canvas_set_tool (AppCanvas *self, AppToolKind kind)
{
  if (self->tool != NULL && self->kind == kind)
    return;
  if (self->tool != NULL)
  {
    if (self->tool->klass->cancel != NULL)
      self->tool->klass->cancel (self->tool);
    self->tool->klass->destroy (self->tool);
    self->tool = NULL;
    self->pressed = false;
  }
  const AppToolClass *klass = app_tool_class (kind);
  if (klass == NULL)
    return;
  self->kind = kind;
  self->tool = klass->create (self);
  app_canvas_say (self, NULL);
  app_canvas_pointer_shape (self);
  g_signal_emit (self, signals[TOOL_CHANGED], 0);
  app_canvas_redraw (self);
}

AppToolKind
app_canvas_tool (AppCanvas *self)
{
  return self->kind;
}

/* ---- settings ---- */

void
app_canvas_set_grid (AppCanvas *self, bool on)
{
  self->grid = on;
  app_canvas_redraw (self);
}

void
app_canvas_set_slate (AppCanvas *self, bool slate)
{
  self->slate = slate;
  app_canvas_paint_forget (self);
  app_canvas_pointer_shape (self);
  self->lit_dirty = true;
  g_signal_emit (self, signals[VIEW_CHANGED], 0);
  app_canvas_redraw (self);
}

void
app_canvas_set_unit (AppCanvas *self, ModelUnit unit)
{
  self->unit = unit;
  app_canvas_paint_forget (self);
  self->lit_dirty = true;
  g_signal_emit (self, signals[VIEW_CHANGED], 0);
  app_canvas_redraw (self);
}

void
app_canvas_set_snap (AppCanvas *self, bool on)
{
  self->snap = on;
}

void
app_canvas_set_doming (AppCanvas *self, bool on)
{
  self->doming = on;
  self->lit_dirty = true;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

void
app_canvas_set_comb (AppCanvas *self, bool on)
{
  self->comb = on;
  self->lit_dirty = true;
  app_canvas_redraw (self);
}

void
app_canvas_set_beckon (AppCanvas *self, const GeomPoint *at)
{
  if (at == NULL && !self->beckons)
    return;
  self->beckons = at != NULL;
  if (at != NULL)
    self->beckon = *at;
  app_canvas_redraw (self);
}

void
app_canvas_set_cover (AppCanvas *self, GtkRevealer *cover)
{
  g_set_weak_pointer (&self->cover, cover);
}

bool
app_canvas_pointer (AppCanvas *self, GeomPoint *at)
{
  if (self->pointer_in && at != NULL)
    *at = app_canvas_to_paper (self, self->pointer_x, self->pointer_y);
  return self->pointer_in;
}

/* ---- the widget ---- */

static void
app_canvas_measure (GtkWidget *widget,
                    GtkOrientation orientation,
                    int for_size,
                    int *minimum,
                    int *natural,
                    int *min_base,
                    int *nat_base)
{
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    if (!GTK_IS_NATIVE (child))
      gtk_widget_measure (child, orientation, -1, NULL, NULL, NULL, NULL);
  *minimum = 120;
  *natural = orientation == GTK_ORIENTATION_HORIZONTAL ? 820 : 640;
}

static void
app_canvas_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  AppCanvas *self = APP_CANVAS (widget);
  bool other_size = width != self->seen_width || height != self->seen_height;
  self->seen_width = width;
  self->seen_height = height;
  if ((!self->placed || (self->fitted && other_size)) && width > 1 && height > 1)
    app_canvas_view_first_size (self);
  app_canvas_items_allocate (self);
  if (self->popover != NULL)
    gtk_popover_present (GTK_POPOVER (self->popover));
  if (self->menu != NULL)
    gtk_popover_present (GTK_POPOVER (self->menu));
}

static void
app_canvas_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  app_canvas_paint (APP_CANVAS (widget), snapshot);
}

static void
app_canvas_dispose (GObject *object)
{
  AppCanvas *self = APP_CANVAS (object);
  g_clear_weak_pointer (&self->cover);
  app_canvas_view_stop (self);
  g_clear_handle_id (&self->hover_timer, g_source_remove);
  if (self->tool != NULL)
    self->tool->klass->destroy (self->tool);
  self->tool = NULL;
  self->pressed = false;
  drop_session (self);
  app_canvas_beneath_clear (self);
  g_clear_pointer (&self->flat_map, engine_flat_map_free);
  app_canvas_paint_forget (self);
  g_hash_table_remove_all (self->photos);
  g_clear_pointer (&self->popover, gtk_widget_unparent);
  g_clear_pointer (&self->menu, gtk_widget_unparent);
  GtkWidget *child;
  while ((child = gtk_widget_get_first_child (GTK_WIDGET (self))) != NULL)
    gtk_widget_unparent (child);
  G_OBJECT_CLASS (app_canvas_parent_class)->dispose (object);
}

static void
app_canvas_finalize (GObject *object)
{
  AppCanvas *self = APP_CANVAS (object);
  g_free (self->status);
  g_hash_table_unref (self->kept);
  g_hash_table_unref (self->photos);
  app_canvas_names_free (self->names);
  g_ptr_array_unref (self->lit);
  g_ptr_array_unref (self->items);
  g_array_unref (self->flags);
  G_OBJECT_CLASS (app_canvas_parent_class)->finalize (object);
}

static void
app_canvas_class_init (AppCanvasClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  G_OBJECT_CLASS (klass)->dispose = app_canvas_dispose;
  G_OBJECT_CLASS (klass)->finalize = app_canvas_finalize;
  widget_class->measure = app_canvas_measure;
  widget_class->size_allocate = app_canvas_size_allocate;
  widget_class->snapshot = app_canvas_snapshot;
  gtk_widget_class_set_css_name (widget_class, "pwcanvas");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_LIST);
  app_canvas_commands_class (widget_class);
  app_canvas_arrange_class (widget_class);

  GType type = G_TYPE_FROM_CLASS (klass);
  signals[TOOL_CHANGED]
    = g_signal_new ("tool-changed", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
  signals[VIEW_CHANGED]
    = g_signal_new ("view-changed", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
  signals[POINTER_CHANGED]
    = g_signal_new ("pointer-changed", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
  signals[STATUS_CHANGED]
    = g_signal_new ("status-changed", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
}

static void
add_controllers (AppCanvas *self)
{
  GtkWidget *widget = GTK_WIDGET (self);

  self->drag = gtk_gesture_drag_new ();
  gtk_gesture_single_set_button (GTK_GESTURE_SINGLE (self->drag), 0);
  g_signal_connect (self->drag, "drag-begin", G_CALLBACK (on_drag_begin), self);
  g_signal_connect (self->drag, "drag-update", G_CALLBACK (on_drag_update), self);
  g_signal_connect (self->drag, "drag-end", G_CALLBACK (on_drag_end), self);
  g_signal_connect (self->drag, "cancel", G_CALLBACK (on_drag_cancel), self);
  gtk_widget_add_controller (widget, GTK_EVENT_CONTROLLER (self->drag));

  GtkEventController *motion = gtk_event_controller_motion_new ();
  g_signal_connect (motion, "enter", G_CALLBACK (on_pointer), self);
  g_signal_connect (motion, "motion", G_CALLBACK (on_pointer), self);
  g_signal_connect (motion, "leave", G_CALLBACK (on_pointer_leave), self);
  gtk_widget_add_controller (widget, motion);

  GtkEventController *scroll = gtk_event_controller_scroll_new (GTK_EVENT_CONTROLLER_SCROLL_BOTH_AXES
                                                                | GTK_EVENT_CONTROLLER_SCROLL_KINETIC);
  g_signal_connect (scroll, "scroll", G_CALLBACK (on_scroll), self);
  g_signal_connect (scroll, "decelerate", G_CALLBACK (on_decelerate), self);
  gtk_widget_add_controller (widget, scroll);

  GtkGesture *pinch = gtk_gesture_zoom_new ();
  g_signal_connect (pinch, "begin", G_CALLBACK (on_pinch_begin), self);
  g_signal_connect (pinch, "scale-changed", G_CALLBACK (on_pinch), self);
  gtk_widget_add_controller (widget, GTK_EVENT_CONTROLLER (pinch));

  GtkGesture *hold = gtk_gesture_long_press_new ();
  gtk_gesture_single_set_touch_only (GTK_GESTURE_SINGLE (hold), TRUE);
  g_signal_connect (hold, "pressed", G_CALLBACK (on_long_press), self);
  gtk_widget_add_controller (widget, GTK_EVENT_CONTROLLER (hold));

  GtkEventController *key = gtk_event_controller_key_new ();
  g_signal_connect (key, "key-pressed", G_CALLBACK (on_key), self);
  g_signal_connect (key, "key-released", G_CALLBACK (on_key_released), self);
  gtk_widget_add_controller (widget, key);

  GtkEventController *focus = gtk_event_controller_focus_new ();
  g_signal_connect (focus, "leave", G_CALLBACK (on_focus_leave), self);
  gtk_widget_add_controller (widget, focus);
}

static void
app_canvas_init (AppCanvas *self)
{
  gtk_widget_set_focusable (GTK_WIDGET (self), TRUE);
  gtk_widget_set_hexpand (GTK_WIDGET (self), TRUE);
  gtk_widget_set_vexpand (GTK_WIDGET (self), TRUE);
  gtk_widget_set_overflow (GTK_WIDGET (self), GTK_OVERFLOW_HIDDEN);
  /* Paper is not mirrored for right-to-left writing: left and right are the wearer's. */
  gtk_widget_set_direction (GTK_WIDGET (self), GTK_TEXT_DIR_LTR);
  self->grid = true;
  self->snap = true;
  self->preview_shown = 1.0;
  self->hover = self->menu_pick = app_pick_none ();
  self->kept = app_canvas_kept_new ();
  self->photos = app_canvas_photos_new ();
  self->names = app_canvas_names_new ();
  self->lit = g_ptr_array_new_with_free_func ((GDestroyNotify)gsk_render_node_unref);
  self->items = g_ptr_array_new ();
  self->flags = g_array_new (FALSE, FALSE, sizeof (AppFlag));
  self->lit_dirty = true;
  app_canvas_view_init (self);
  app_canvas_menu_init (self);
  app_canvas_deeds_init (self);
  app_canvas_lines_init (self);
  add_controllers (self);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("Panels on the working paper"), -1);
  app_canvas_set_tool (self, APP_TOOL_CHOOSE);
}

GtkWidget *
app_canvas_new (void)
{
  return g_object_new (APP_TYPE_CANVAS, NULL);
}
