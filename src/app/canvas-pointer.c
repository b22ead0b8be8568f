/* Pointers: small rings that leave the point itself open, drawn here so that they have the theme's two inks.
 */
#include "app/canvas-private.h"

#define SIZE_PX 32
#define MIDDLE (SIZE_PX / 2.0)

typedef enum Shape
{
  SHAPE_ARROW,
  SHAPE_POINT,
  SHAPE_RING,
  SHAPE_CUT,
  SHAPE_DART,
  SHAPE_MARK,
  SHAPE_TAPE,
  SHAPE_LOCKED
} Shape;

static void
outline_and_ink (cairo_t *cr, double width)
{
  /* A light rim keeps the ring readable over ink. */
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_ROUND);
  cairo_set_source_rgba (cr, 1.0, 1.0, 1.0, 0.85);
  cairo_set_line_width (cr, width + 2.0);
  cairo_stroke_preserve (cr);
  cairo_set_source_rgb (cr, 0.16, 0.15, 0.13);
  cairo_set_line_width (cr, width);
  cairo_stroke (cr);
}

static void
draw_shape (cairo_t *cr, Shape shape)
{
  double r = shape == SHAPE_POINT ? 7.5 : 5.0;
  cairo_arc (cr, MIDDLE, MIDDLE, r, 0.0, 2.0 * G_PI);
  outline_and_ink (cr, 1.4);
  if (shape != SHAPE_POINT)
  {
    cairo_arc (cr, MIDDLE, MIDDLE, 0.8, 0.0, 2.0 * G_PI);
    cairo_set_source_rgb (cr, 0.16, 0.15, 0.13);
    cairo_fill (cr);
  }
  if (shape == SHAPE_CUT)
    for (int sign = -1; sign <= 1; sign += 2)
    {
      cairo_move_to (cr, MIDDLE, MIDDLE + 7.0 * sign);
      cairo_line_to (cr, MIDDLE, MIDDLE + 12.0 * sign);
      outline_and_ink (cr, 1.4);
    }
  if (shape == SHAPE_DART)
  {
    cairo_move_to (cr, MIDDLE - 4.0, MIDDLE + 7.5);
    cairo_line_to (cr, MIDDLE, MIDDLE + 14.5);
    cairo_line_to (cr, MIDDLE + 4.0, MIDDLE + 7.5);
    outline_and_ink (cr, 1.3);
  }
  if (shape == SHAPE_MARK)
  {
    cairo_move_to (cr, MIDDLE - 4.0, MIDDLE + 8.0);
    cairo_line_to (cr, MIDDLE + 4.0, MIDDLE + 8.0);
    cairo_line_to (cr, MIDDLE, MIDDLE + 13.0);
    cairo_close_path (cr);
    cairo_fill (cr);
  }
  if (shape == SHAPE_TAPE)
    for (int i = 0; i < 4; i++)
    {
      cairo_move_to (cr, MIDDLE + 8.0, MIDDLE - 4.5 + 3.0 * i);
      cairo_line_to (cr, MIDDLE + (i % 2 == 0 ? 13.0 : 11.0), MIDDLE - 4.5 + 3.0 * i);
      outline_and_ink (cr, 1.2);
    }
  if (shape == SHAPE_LOCKED)
  {
    cairo_move_to (cr, MIDDLE - 7.0, MIDDLE + 7.0);
    cairo_line_to (cr, MIDDLE + 7.0, MIDDLE - 7.0);
    outline_and_ink (cr, 1.4);
  }
}

static GdkCursor *
ring_cursor (Shape shape)
{
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, SIZE_PX, SIZE_PX);
  cairo_t *cr = cairo_create (surface);
  draw_shape (cr, shape);
  cairo_destroy (cr);
  cairo_surface_flush (surface);
  gsize stride = (gsize)cairo_image_surface_get_stride (surface);
  g_autoptr (GBytes) bytes = g_bytes_new (cairo_image_surface_get_data (surface), stride * SIZE_PX);
  cairo_surface_destroy (surface);
  g_autoptr (GdkTexture) texture
    = gdk_memory_texture_new (SIZE_PX, SIZE_PX, GDK_MEMORY_DEFAULT, bytes, stride);
  g_autoptr (GdkCursor) fallback = gdk_cursor_new_from_name ("crosshair", NULL);
  return gdk_cursor_new_from_texture (texture, SIZE_PX / 2, SIZE_PX / 2, fallback);
}

static bool
is_locked (AppCanvas *self, const AppPick *pick)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), pick->panel_id);
  if (panel == NULL)
    return false;
  int edge_index = pick->edge_id != 0 ? model_panel_find_edge (panel, pick->edge_id) : -1;
  return panel->locked || (edge_index >= 0 && model_panel_edge (panel, (guint)edge_index)->locked);
}

static Shape
shape_for (AppCanvas *self)
{
  const AppPick *pick = &self->hover;
  bool point = pick->kind == APP_PICK_CORNER || pick->kind == APP_PICK_NODE || pick->kind == APP_PICK_HANDLE;
  switch (self->kind)
  {
  case APP_TOOL_OUTLINE:
  case APP_TOOL_STROKE:
    return SHAPE_RING;
  case APP_TOOL_CUT:
  case APP_TOOL_DART:
    if (self->session != NULL && pick->kind == APP_PICK_EDGE && is_locked (self, pick))
      return SHAPE_LOCKED;
    return self->kind == APP_TOOL_CUT ? SHAPE_CUT : SHAPE_DART;
  case APP_TOOL_MARK:
    return SHAPE_MARK;
  case APP_TOOL_TAPE:
  case APP_TOOL_GIRTH:
    return SHAPE_TAPE;
  case APP_TOOL_CHOOSE:
  case APP_TOOL_SHAPE:
    if (self->session != NULL && (point || (self->kind == APP_TOOL_SHAPE && pick->kind == APP_PICK_EDGE))
        && is_locked (self, pick))
      return SHAPE_LOCKED;
    return point ? SHAPE_POINT : SHAPE_ARROW;
  case APP_TOOL_JOIN:
  case APP_TOOL_COUNT:
    break;
  }
  return SHAPE_ARROW;
}

void
app_canvas_pointer_shape (AppCanvas *self)
{
  if (self->panning)
    return;
  if (self->space)
  {
    gtk_widget_set_cursor_from_name (GTK_WIDGET (self), "grab");
    return;
  }
  Shape shape = shape_for (self);
  if (shape == SHAPE_ARROW)
  {
    gtk_widget_set_cursor (GTK_WIDGET (self), NULL);
    return;
  }
  g_autoptr (GdkCursor) cursor = ring_cursor (shape);
  gtk_widget_set_cursor (GTK_WIDGET (self), cursor);
}
