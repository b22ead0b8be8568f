/* The picture is painted once a view into a surface of the widget's size; what moves over it is drawn with
 * cairo each frame. */
#include "app/photo-view.h"

#include "app/canvas-private.h"
#include "app/theme.h"
#include "trace/catch.h"

#include <glib/gi18n.h>
#include <math.h>

#define MARGIN_PX 24.0
#define CATCH_PX 14.0
#define RING_PX 9.0
#define GLASS_PX 76.0
/* The middle of the glass from the point. */
#define GLASS_OUT_PX 130.0
#define GLASS_LARGER 4.0
#define MOST_ZOOM 24.0
/* A ring let go this near a corner falls into it. */
#define CATCH_CORNER_PX 10.0
#define WHEEL_STEP 1.2
#define KEY_ZOOM 1.4

typedef struct Outline
{
  GArray *px; /* GeomPoint */
  char *name;
  bool wanted;
} Outline;

struct _AppPhotoView
{
  GtkWidget parent;
  AppPicture *picture;
  double zoom, ox, oy; /* widget px a photo px; where the photo's top left rim lies */
  bool placed;         /* the maker chose the view; until then it shows all */
  int seen_width, seen_height;
  GeomPoint point[APP_PHOTO_MOST_POINTS];
  int count, chosen;
  bool dragging, panning, space, glass;
  double press_ox, press_oy, pinch_zoom, pointer_x, pointer_y;
  GeomPoint grab; /* from the pointer to the point, photo px */
  GPtrArray *outlines;
  GArray *frame;
  cairo_surface_t *painted;
  double painted_key[5];
};

G_DEFINE_FINAL_TYPE (AppPhotoView, app_photo_view, GTK_TYPE_WIDGET)

enum
{
  POINTS_CHANGED,
  CHOSEN_CHANGED,
  SIGNAL_COUNT
};
static guint signals[SIGNAL_COUNT];

static void
outline_free (gpointer data)
{
  Outline *outline = data;
  g_array_unref (outline->px);
  g_free (outline->name);
  g_free (outline);
}

/* ---- view ---- */

static GeomPoint
to_widget (AppPhotoView *self, GeomPoint px)
{
  return geom_point (self->ox + (px.x + 0.5) * self->zoom, self->oy + (px.y + 0.5) * self->zoom);
}

static GeomPoint
to_photo (AppPhotoView *self, double x, double y)
{
  return geom_point ((x - self->ox) / self->zoom - 0.5, (y - self->oy) / self->zoom - 0.5);
}

void
app_photo_view_to_widget (AppPhotoView *self, GeomPoint px, double *x, double *y)
{
  const GeomPoint at = to_widget (self, px);
  *x = at.x;
  *y = at.y;
}

static double
zoom_of_all (AppPhotoView *self)
{
  const double width = gtk_widget_get_width (GTK_WIDGET (self)) - 2.0 * MARGIN_PX;
  const double height = gtk_widget_get_height (GTK_WIDGET (self)) - 2.0 * MARGIN_PX;
  if (self->picture == NULL || width < 1.0 || height < 1.0)
    return 1.0;
  return MIN (MIN (width / self->picture->photo->width, height / self->picture->photo->height), 2.0);
}

static void
show_all (AppPhotoView *self)
{
  self->placed = false;
  if (self->picture == NULL)
    return;
  self->zoom = zoom_of_all (self);
  self->ox = (gtk_widget_get_width (GTK_WIDGET (self)) - self->picture->photo->width * self->zoom) / 2.0;
  self->oy = (gtk_widget_get_height (GTK_WIDGET (self)) - self->picture->photo->height * self->zoom) / 2.0;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
zoom_at (AppPhotoView *self, double factor, double x, double y)
{
  if (self->picture == NULL)
    return;
  const double least = zoom_of_all (self) * 0.5, zoom = CLAMP (self->zoom * factor, least, MOST_ZOOM);
  self->ox = x - (x - self->ox) * zoom / self->zoom;
  self->oy = y - (y - self->oy) * zoom / self->zoom;
  self->zoom = zoom;
  self->placed = true;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
pan_to (AppPhotoView *self, double ox, double oy)
{
  /* A corner of the picture stays in reach. */
  const double width = gtk_widget_get_width (GTK_WIDGET (self)),
               height = gtk_widget_get_height (GTK_WIDGET (self));
  const double least_x = MARGIN_PX * 2.0 - self->picture->photo->width * self->zoom,
               least_y = MARGIN_PX * 2.0 - self->picture->photo->height * self->zoom;
  self->ox = CLAMP (ox, MIN (least_x, 0.0), MAX (width - 2.0 * MARGIN_PX, 0.0));
  self->oy = CLAMP (oy, MIN (least_y, 0.0), MAX (height - 2.0 * MARGIN_PX, 0.0));
  self->placed = true;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

/* ---- points ---- */

static GeomPoint
held_inside (AppPhotoView *self, GeomPoint px)
{
  return geom_point (CLAMP (px.x, -0.5, self->picture->photo->width - 0.5),
                     CLAMP (px.y, -0.5, self->picture->photo->height - 0.5));
}

static void
guess (AppPhotoView *self)
{
  const double w = self->picture->photo->width, h = self->picture->photo->height;
  if (self->count == 2)
  {
    self->point[0] = geom_point (0.3 * w, 0.5 * h);
    self->point[1] = geom_point (0.7 * w, 0.5 * h);
    return;
  }
  if (self->picture->has_sheet)
  {
    memcpy (self->point, self->picture->sheet, sizeof self->picture->sheet);
    return;
  }
  const double x[4] = { 0.14, 0.86, 0.86, 0.14 }, y[4] = { 0.14, 0.14, 0.86, 0.86 };
  for (int i = 0; i < 4; i++)
    self->point[i] = geom_point (x[i] * w, y[i] * h);
}

void
app_photo_view_set_picture (AppPhotoView *self, AppPicture *picture)
{
  g_clear_pointer (&self->picture, app_picture_unref);
  g_clear_pointer (&self->painted, cairo_surface_destroy);
  app_photo_view_clear_outlines (self);
  app_photo_view_set_frame (self, NULL, 0);
  self->glass = self->dragging = self->panning = false;
  if (picture != NULL)
  {
    self->picture = app_picture_ref (picture);
    guess (self);
  }
  show_all (self);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

void
app_photo_view_set_point_count (AppPhotoView *self, int count)
{
  if (count == self->count)
    return;
  self->count = count;
  self->chosen = 0;
  self->glass = false;
  if (self->picture != NULL)
    guess (self);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

void
app_photo_view_set_points (AppPhotoView *self, const GeomPoint *point, int count)
{
  for (int i = 0; i < MIN (count, APP_PHOTO_MOST_POINTS); i++)
    self->point[i] = point[i];
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

const GeomPoint *
app_photo_view_points (AppPhotoView *self)
{
  return self->point;
}

static const char *
point_name (AppPhotoView *self, int index)
{
  static const char *const corners[] = { N_ ("top left corner"), N_ ("top right corner"),
                                         N_ ("lower right corner"), N_ ("lower left corner") };
  static const char *const ends[] = { N_ ("first point"), N_ ("second point") };
  return self->count == 2 ? _ (ends[index & 1]) : _ (corners[index & 3]);
}

void
app_photo_view_choose_point (AppPhotoView *self, int index)
{
  if (index < 0 || index >= self->count)
    return;
  self->chosen = index;
  self->glass = true;
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                  point_name (self, index), -1);
  g_signal_emit (self, signals[CHOSEN_CHANGED], 0);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

int
app_photo_view_chosen_point (AppPhotoView *self)
{
  return self->chosen;
}

static void
move_point (AppPhotoView *self, GeomPoint to)
{
  self->point[self->chosen] = held_inside (self, to);
  g_signal_emit (self, signals[POINTS_CHANGED], 0);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

/* With Ctrl it stays where it was put. */
static void
catch_corner (AppPhotoView *self, GtkGesture *gesture)
{
  GeomPoint corner;
  const GdkModifierType state = gtk_event_controller_get_current_event_state (GTK_EVENT_CONTROLLER (gesture));
  if (self->count == 4 && (state & GDK_CONTROL_MASK) == 0
      && trace_corner_near (self->picture->photo, self->point[self->chosen], CATCH_CORNER_PX / self->zoom,
                            &corner))
    move_point (self, corner);
}

/* The nearest point within reach, -1 if there is none. */
static int
point_near (AppPhotoView *self, double x, double y)
{
  int best = -1;
  double least = CATCH_PX;
  for (int i = 0; i < self->count; i++)
  {
    const double away = geom_distance (to_widget (self, self->point[i]), geom_point (x, y));
    if (away < least)
    {
      least = away;
      best = i;
    }
  }
  return best;
}

/* ---- outlines ---- */

void
app_photo_view_clear_outlines (AppPhotoView *self)
{
  g_ptr_array_set_size (self->outlines, 0);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

void
app_photo_view_add_outline (AppPhotoView *self, const GeomPoint *px, guint count, const char *name)
{
  Outline *outline = g_new0 (Outline, 1);
  outline->px = g_array_sized_new (FALSE, FALSE, sizeof (GeomPoint), count);
  g_array_append_vals (outline->px, px, count);
  outline->name = g_strdup (name);
  outline->wanted = true;
  g_ptr_array_add (self->outlines, outline);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

void
app_photo_view_want_outline (AppPhotoView *self, guint index, bool wanted)
{
  if (index < self->outlines->len)
    ((Outline *)g_ptr_array_index (self->outlines, index))->wanted = wanted;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

void
app_photo_view_set_frame (AppPhotoView *self, const GeomPoint *px, guint count)
{
  g_array_set_size (self->frame, 0);
  g_array_append_vals (self->frame, px, count);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

/* ---- drawing ---- */

static cairo_surface_t *
paint_part (AppPhotoView *self, double x, double y, double zoom, int width, int height, int factor)
{
  cairo_surface_t *surface
    = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, width * factor, height * factor);
  if (cairo_surface_status (surface) != CAIRO_STATUS_SUCCESS)
    return surface;
  cairo_surface_set_device_scale (surface, factor, factor);
  /* Pixel (i, j) of the surface lies at ((i + 0.5) / factor, ...) of the part. */
  const double step = 1.0 / (zoom * factor);
  const GeomAffine map = { step, 0.0, 0.0, step, x + 0.5 * step - 0.5, y + 0.5 * step - 0.5 };
  app_picture_paint (self->picture, &map, surface);
  return surface;
}

static void
paint_picture (AppPhotoView *self, cairo_t *cr, int width, int height)
{
  const int factor = gtk_widget_get_scale_factor (GTK_WIDGET (self));
  const double key[5] = { self->zoom, self->ox, self->oy, width * 1e5 + height, factor };
  if (self->painted == NULL || memcmp (key, self->painted_key, sizeof key) != 0)
  {
    memcpy (self->painted_key, key, sizeof key);
    g_clear_pointer (&self->painted, cairo_surface_destroy);
    self->painted
      = paint_part (self, -self->ox / self->zoom, -self->oy / self->zoom, self->zoom, width, height, factor);
  }
  cairo_set_source_surface (cr, self->painted, 0.0, 0.0);
  cairo_paint (cr);
}

/* A light line in a dark one: seen on any picture. */
static void
stroke_both (cairo_t *cr, const OutputInk *ink, OutputTone tone, double width)
{
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  cairo_set_source_rgba (cr, 1.0, 1.0, 1.0, 0.85);
  cairo_set_line_width (cr, width + 2.4);
  cairo_stroke_preserve (cr);
  output_set_tone (cr, ink, tone);
  cairo_set_line_width (cr, width);
  cairo_stroke (cr);
}

static void
trace_row (AppPhotoView *self, cairo_t *cr, const GArray *px)
{
  cairo_new_path (cr);
  for (guint i = 0; i < px->len; i++)
  {
    const GeomPoint at = to_widget (self, g_array_index (px, GeomPoint, i));
    cairo_line_to (cr, at.x, at.y);
  }
  cairo_close_path (cr);
}

static void
draw_outlines (AppPhotoView *self, cairo_t *cr, const OutputInk *ink)
{
  const double dash[2] = { 5.0, 4.0 };
  for (guint i = 0; i < self->outlines->len; i++)
  {
    const Outline *outline = g_ptr_array_index (self->outlines, i);
    GeomBox box = geom_box_empty ();
    for (guint k = 0; k < outline->px->len; k++)
      box = geom_box_with_point (box, to_widget (self, g_array_index (outline->px, GeomPoint, k)));
    trace_row (self, cr, outline->px);
    if (outline->wanted)
    {
      const OutputColour *c = &ink->tone[OUTPUT_TONE_BLUE];
      cairo_set_source_rgba (cr, c->red, c->green, c->blue, 0.14);
      cairo_fill_preserve (cr);
    }
    else
      cairo_set_dash (cr, dash, 2, 0.0);
    stroke_both (cr, ink, outline->wanted ? OUTPUT_TONE_BLUE : OUTPUT_TONE_INK_3,
                 outline->wanted ? 2.0 : 1.2);
    cairo_set_dash (cr, NULL, 0, 0.0);
    if (outline->name != NULL && !geom_box_is_empty (box))
      app_canvas_draw_flag (cr, ink, (box.x0 + box.x1) / 2.0, (box.y0 + box.y1) / 2.0, outline->name, -1);
  }
}

static void
draw_ring (cairo_t *cr, const OutputInk *ink, GeomPoint at, bool chosen)
{
  cairo_new_path (cr);
  cairo_arc (cr, at.x, at.y, RING_PX, 0.0, 2.0 * G_PI);
  stroke_both (cr, ink, OUTPUT_TONE_MADDER, chosen ? 3.0 : 2.0);
  cairo_new_path (cr);
  cairo_arc (cr, at.x, at.y, 1.2, 0.0, 2.0 * G_PI);
  output_set_tone (cr, ink, OUTPUT_TONE_MADDER);
  cairo_fill (cr);
}

static void
draw_points (AppPhotoView *self, cairo_t *cr, const OutputInk *ink)
{
  const double dash[2] = { 7.0, 4.0 };
  cairo_new_path (cr);
  for (int i = 0; i < self->count; i++)
  {
    const GeomPoint at = to_widget (self, self->point[i]);
    cairo_line_to (cr, at.x, at.y);
  }
  if (self->count > 2)
    cairo_close_path (cr);
  cairo_set_dash (cr, dash, 2, 0.0);
  stroke_both (cr, ink, OUTPUT_TONE_MADDER, 1.2);
  cairo_set_dash (cr, NULL, 0, 0.0);
  for (int i = 0; i < self->count; i++)
    draw_ring (cr, ink, to_widget (self, self->point[i]), i == self->chosen);
}

/* Towards the middle of the table, so that the glass is whole and no other point lies under it. */
static GeomPoint
glass_place (AppPhotoView *self, GeomPoint at, int width, int height)
{
  GeomPoint to = geom_sub (geom_point (width / 2.0, height / 2.0), at);
  const double far = geom_norm (to);
  to = far > 1.0 ? geom_scale (to, GLASS_OUT_PX / far) : geom_point (GLASS_OUT_PX, 0.0);
  const GeomPoint middle = geom_add (at, to);
  return geom_point (CLAMP (middle.x, GLASS_PX + 8.0, MAX (width - GLASS_PX - 8.0, GLASS_PX + 8.0)),
                     CLAMP (middle.y, GLASS_PX + 8.0, MAX (height - GLASS_PX - 8.0, GLASS_PX + 8.0)));
}

static void
draw_glass (AppPhotoView *self, cairo_t *cr, const OutputInk *ink, int width, int height)
{
  const GeomPoint px = self->point[self->chosen], at = to_widget (self, px);
  const GeomPoint middle = glass_place (self, at, width, height);
  const double zoom = CLAMP (self->zoom * GLASS_LARGER, 1.5, 16.0);
  const int side = (int)(2.0 * GLASS_PX);
  const GeomPoint away = geom_sub (middle, at);
  const double far = geom_norm (away);
  if (far > GLASS_PX + RING_PX)
  {
    cairo_new_path (cr);
    cairo_move_to (cr, at.x + away.x * RING_PX / far, at.y + away.y * RING_PX / far);
    cairo_line_to (cr, middle.x - away.x * GLASS_PX / far, middle.y - away.y * GLASS_PX / far);
    stroke_both (cr, ink, OUTPUT_TONE_INK, 1.2);
  }
  cairo_surface_t *part = paint_part (self, px.x + 0.5 - GLASS_PX / zoom, px.y + 0.5 - GLASS_PX / zoom, zoom,
                                      side, side, gtk_widget_get_scale_factor (GTK_WIDGET (self)));
  cairo_save (cr);
  cairo_new_path (cr);
  cairo_arc (cr, middle.x, middle.y, GLASS_PX, 0.0, 2.0 * G_PI);
  cairo_clip (cr);
  output_set_tone (cr, ink, OUTPUT_TONE_CANVAS);
  cairo_paint (cr);
  cairo_set_source_surface (cr, part, middle.x - GLASS_PX, middle.y - GLASS_PX);
  cairo_paint (cr);
  cairo_new_path (cr);
  for (int i = 0; i < 4; i++)
  {
    const double dx = (i == 0) - (i == 1), dy = (i == 2) - (i == 3);
    cairo_move_to (cr, middle.x + 5.0 * dx, middle.y + 5.0 * dy);
    cairo_line_to (cr, middle.x + GLASS_PX * dx, middle.y + GLASS_PX * dy);
  }
  stroke_both (cr, ink, OUTPUT_TONE_MADDER, 1.0);
  cairo_restore (cr);
  cairo_surface_destroy (part);
  cairo_new_path (cr);
  cairo_arc (cr, middle.x, middle.y, GLASS_PX, 0.0, 2.0 * G_PI);
  stroke_both (cr, ink, OUTPUT_TONE_INK, 2.0);
}

static void
app_photo_view_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  AppPhotoView *self = APP_PHOTO_VIEW (widget);
  const int width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget);
  if (width <= 0 || height <= 0)
    return;
  OutputInk ink;
  app_theme_ink (&ink, 100.0);
  cairo_t *cr = gtk_snapshot_append_cairo (snapshot, &GRAPHENE_RECT_INIT (0, 0, width, height));
  output_set_tone (cr, &ink, OUTPUT_TONE_CANVAS);
  cairo_paint (cr);
  if (self->picture != NULL)
  {
    paint_picture (self, cr, width, height);
    if (self->frame->len > 0)
    {
      const double dash[2] = { 7.0, 4.0 };
      trace_row (self, cr, self->frame);
      cairo_set_dash (cr, dash, 2, 0.0);
      stroke_both (cr, &ink, OUTPUT_TONE_MADDER, 1.2);
      cairo_set_dash (cr, NULL, 0, 0.0);
    }
    draw_outlines (self, cr, &ink);
    if (self->count > 0)
    {
      draw_points (self, cr, &ink);
      if (self->glass && self->outlines->len == 0)
        draw_glass (self, cr, &ink, width, height);
    }
  }
  cairo_destroy (cr);
}

/* ---- hands ---- */

static void
on_drag_begin (GtkGestureDrag *drag, double x, double y, AppPhotoView *self)
{
  gtk_widget_grab_focus (GTK_WIDGET (self));
  if (self->picture == NULL)
    return;
  const guint button = gtk_gesture_single_get_current_button (GTK_GESTURE_SINGLE (drag));
  const int near = button == GDK_BUTTON_MIDDLE || self->space ? -1 : point_near (self, x, y);
  self->press_ox = self->ox;
  self->press_oy = self->oy;
  self->dragging = near >= 0;
  self->panning = !self->dragging;
  if (self->dragging)
  {
    self->grab = geom_sub (self->point[near], to_photo (self, x, y));
    app_photo_view_choose_point (self, near);
  }
}

static void
on_drag_update (GtkGestureDrag *drag, double dx, double dy, AppPhotoView *self)
{
  double x, y;
  if (self->picture == NULL || !gtk_gesture_drag_get_start_point (drag, &x, &y))
    return;
  if (self->dragging)
    move_point (self, geom_add (to_photo (self, x + dx, y + dy), self->grab));
  else if (self->panning)
    pan_to (self, self->press_ox + dx, self->press_oy + dy);
}

static void
on_drag_end (GtkGestureDrag *drag, double dx, double dy, AppPhotoView *self)
{
  double x, y;
  const bool click = hypot (dx, dy) < 3.0 && self->panning;
  if (self->dragging && self->picture != NULL && hypot (dx, dy) >= 3.0)
    catch_corner (self, GTK_GESTURE (drag));
  self->dragging = self->panning = false;
  /* A click off the points puts the one in hand there, and the next is taken in hand. */
  if (!click || self->picture == NULL || self->count == 0 || self->outlines->len > 0
      || gtk_gesture_single_get_current_button (GTK_GESTURE_SINGLE (drag)) != GDK_BUTTON_PRIMARY
      || !gtk_gesture_drag_get_start_point (drag, &x, &y))
    return;
  const GeomPoint px = to_photo (self, x, y), held = held_inside (self, px);
  if (geom_distance (px, held) > 0.0)
    return;
  move_point (self, px);
  catch_corner (self, GTK_GESTURE (drag));
  app_photo_view_choose_point (self, (self->chosen + 1) % self->count);
}

static gboolean
on_scroll (GtkEventControllerScroll *controller, double dx, double dy, AppPhotoView *self)
{
  double x = self->pointer_x, y = self->pointer_y;
  zoom_at (self, pow (WHEEL_STEP, -dy), x, y);
  return GDK_EVENT_STOP;
}

static void
on_motion (GtkEventControllerMotion *controller, double x, double y, AppPhotoView *self)
{
  self->pointer_x = x;
  self->pointer_y = y;
  const bool near = self->picture != NULL && point_near (self, x, y) >= 0;
  gtk_widget_set_cursor_from_name (GTK_WIDGET (self), near ? "move" : self->count > 0 ? "crosshair" : "grab");
}

static void
on_pinch_begin (GtkGesture *pinch, GdkEventSequence *sequence, AppPhotoView *self)
{
  self->pinch_zoom = self->zoom;
}

static void
on_pinch (GtkGestureZoom *pinch, double factor, AppPhotoView *self)
{
  double x = 0.0, y = 0.0;
  gtk_gesture_get_bounding_box_center (GTK_GESTURE (pinch), &x, &y);
  zoom_at (self, self->pinch_zoom * factor / self->zoom, x, y);
}

bool
app_photo_view_key (AppPhotoView *self, guint keyval, GdkModifierType state)
{
  if (self->picture == NULL || (state & GDK_CONTROL_MASK) != 0)
    return false;
  const double step = (state & GDK_SHIFT_MASK) != 0 ? 10.0 : (state & GDK_ALT_MASK) != 0 ? 0.1 : 1.0;
  const double x = gtk_widget_get_width (GTK_WIDGET (self)) / 2.0,
               y = gtk_widget_get_height (GTK_WIDGET (self)) / 2.0;
  GeomPoint by = { 0.0, 0.0 };
  switch (keyval)
  {
  case GDK_KEY_plus:
  case GDK_KEY_equal:
  case GDK_KEY_KP_Add:
    zoom_at (self, KEY_ZOOM, x, y);
    return true;
  case GDK_KEY_minus:
  case GDK_KEY_KP_Subtract:
    zoom_at (self, 1.0 / KEY_ZOOM, x, y);
    return true;
  case GDK_KEY_0:
  case GDK_KEY_KP_0:
    show_all (self);
    return true;
  case GDK_KEY_Left:
  case GDK_KEY_KP_Left:
    by.x = -step;
    break;
  case GDK_KEY_Right:
  case GDK_KEY_KP_Right:
    by.x = step;
    break;
  case GDK_KEY_Up:
  case GDK_KEY_KP_Up:
    by.y = -step;
    break;
  case GDK_KEY_Down:
  case GDK_KEY_KP_Down:
    by.y = step;
    break;
  default:
    if (keyval >= GDK_KEY_1 && keyval < GDK_KEY_1 + (guint)self->count)
    {
      app_photo_view_choose_point (self, (int)(keyval - GDK_KEY_1));
      return true;
    }
    return false;
  }
  if (self->count == 0)
    pan_to (self, self->ox - 8.0 * by.x, self->oy - 8.0 * by.y);
  else
  {
    self->glass = true;
    move_point (self, geom_add (self->point[self->chosen], by));
  }
  return true;
}

static gboolean
on_key (
  GtkEventControllerKey *controller, guint keyval, guint code, GdkModifierType state, AppPhotoView *self)
{
  if (keyval == GDK_KEY_space)
  {
    self->space = true;
    return GDK_EVENT_STOP;
  }
  return app_photo_view_key (self, keyval, state);
}

static void
on_key_released (
  GtkEventControllerKey *controller, guint keyval, guint code, GdkModifierType state, AppPhotoView *self)
{
  if (keyval == GDK_KEY_space)
    self->space = false;
}

/* ---- the widget ---- */

static void
app_photo_view_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  AppPhotoView *self = APP_PHOTO_VIEW (widget);
  if (!self->placed && (width != self->seen_width || height != self->seen_height))
    show_all (self);
  self->seen_width = width;
  self->seen_height = height;
}

static void
app_photo_view_measure (GtkWidget *widget,
                        GtkOrientation orientation,
                        int for_size,
                        int *minimum,
                        int *natural,
                        int *min_base,
                        int *nat_base)
{
  *minimum = 200;
  *natural = orientation == GTK_ORIENTATION_HORIZONTAL ? 820 : 640;
}

static void
app_photo_view_finalize (GObject *object)
{
  AppPhotoView *self = APP_PHOTO_VIEW (object);
  g_clear_pointer (&self->picture, app_picture_unref);
  g_clear_pointer (&self->painted, cairo_surface_destroy);
  g_ptr_array_unref (self->outlines);
  g_array_unref (self->frame);
  G_OBJECT_CLASS (app_photo_view_parent_class)->finalize (object);
}

static void
app_photo_view_class_init (AppPhotoViewClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  G_OBJECT_CLASS (klass)->finalize = app_photo_view_finalize;
  widget_class->snapshot = app_photo_view_snapshot;
  widget_class->size_allocate = app_photo_view_size_allocate;
  widget_class->measure = app_photo_view_measure;
  gtk_widget_class_set_css_name (widget_class, "pwphoto");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
  GType type = G_TYPE_FROM_CLASS (klass);
  signals[POINTS_CHANGED]
    = g_signal_new ("points-changed", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
  signals[CHOSEN_CHANGED]
    = g_signal_new ("chosen-changed", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
}

static void
app_photo_view_init (AppPhotoView *self)
{
  GtkWidget *widget = GTK_WIDGET (self);
  self->zoom = 1.0;
  self->outlines = g_ptr_array_new_with_free_func (outline_free);
  self->frame = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  gtk_widget_set_focusable (widget, TRUE);
  gtk_widget_set_overflow (widget, GTK_OVERFLOW_HIDDEN);
  /* A picture is not mirrored for right-to-left writing. */
  gtk_widget_set_direction (widget, GTK_TEXT_DIR_LTR);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("The photo, with the points set on something known"), -1);

  GtkGesture *drag = gtk_gesture_drag_new ();
  gtk_gesture_single_set_button (GTK_GESTURE_SINGLE (drag), 0);
  g_signal_connect (drag, "drag-begin", G_CALLBACK (on_drag_begin), self);
  g_signal_connect (drag, "drag-update", G_CALLBACK (on_drag_update), self);
  g_signal_connect (drag, "drag-end", G_CALLBACK (on_drag_end), self);
  gtk_widget_add_controller (widget, GTK_EVENT_CONTROLLER (drag));

  GtkEventController *scroll = gtk_event_controller_scroll_new (GTK_EVENT_CONTROLLER_SCROLL_VERTICAL);
  g_signal_connect (scroll, "scroll", G_CALLBACK (on_scroll), self);
  gtk_widget_add_controller (widget, scroll);

  GtkEventController *motion = gtk_event_controller_motion_new ();
  g_signal_connect (motion, "motion", G_CALLBACK (on_motion), self);
  gtk_widget_add_controller (widget, motion);

  GtkGesture *pinch = gtk_gesture_zoom_new ();
  g_signal_connect (pinch, "begin", G_CALLBACK (on_pinch_begin), self);
  g_signal_connect (pinch, "scale-changed", G_CALLBACK (on_pinch), self);
  gtk_widget_add_controller (widget, GTK_EVENT_CONTROLLER (pinch));

  GtkEventController *key = gtk_event_controller_key_new ();
  g_signal_connect (key, "key-pressed", G_CALLBACK (on_key), self);
  g_signal_connect (key, "key-released", G_CALLBACK (on_key_released), self);
  gtk_widget_add_controller (widget, key);
}

GtkWidget *
app_photo_view_new (void)
{
  return g_object_new (APP_TYPE_PHOTO_VIEW, NULL);
}
