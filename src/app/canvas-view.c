/* Where the paper lies in the widget: zoom, pan, glides and the run-out of a fling.
 *
 * The origin is kept on whole pixels, so that straight lines stay crisp and kept nodes are moved without
 * resampling.
 */
#include "app/canvas-private.h"

#define PX_PER_MM_TRUE (96.0 / 25.4)
#define SCALE_MIN (0.01 * PX_PER_MM_TRUE)
#define SCALE_MAX (64.0 * PX_PER_MM_TRUE)
#define FIT_MARGIN_PX 48.0
#define GLIDE_US 220000.0
#define ZOOM_STEP 1.25
#define WHEEL_PX 60.0
/* A fling loses this share of its speed each second; below the last speed it stands. */
#define FLING_FRICTION 4.0
#define FLING_LEAST_PX_S 12.0

static void
view_changed (AppCanvas *self)
{
  if (self->lit_scale != self->scale)
    self->lit_dirty = true;
  g_signal_emit_by_name (self, "view-changed");
  /* The accessible children lie over their panels. */
  gtk_widget_queue_allocate (GTK_WIDGET (self));
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static double
clamp_scale (double scale)
{
  return isfinite (scale) ? CLAMP (scale, SCALE_MIN, SCALE_MAX) : PX_PER_MM_TRUE;
}

static void
set_view (AppCanvas *self, double scale, double ox, double oy)
{
  if (!isfinite (ox) || !isfinite (oy))
    return;
  self->scale = clamp_scale (scale);
  /* Paper without end would lose its panels: a million px is farther than anybody scrolls. */
  self->ox = CLAMP (round (ox), -1e6, 1e6);
  self->oy = CLAMP (round (oy), -1e6, 1e6);
  self->placed = true;
  self->fitted = false;
  view_changed (self);
}

void
app_canvas_view_init (AppCanvas *self)
{
  self->scale = 0.3 * PX_PER_MM_TRUE;
  self->ox = 120;
  self->oy = 500;
}

bool
app_canvas_animates (AppCanvas *self)
{
  gboolean on = TRUE;
  g_object_get (gtk_widget_get_settings (GTK_WIDGET (self)), "gtk-enable-animations", &on, NULL);
  return on && gtk_widget_get_mapped (GTK_WIDGET (self));
}

void
app_canvas_view_stop (AppCanvas *self)
{
  if (self->glide.tick != 0)
    gtk_widget_remove_tick_callback (GTK_WIDGET (self), self->glide.tick);
  self->glide.tick = 0;
  if (self->kinetic != 0)
    gtk_widget_remove_tick_callback (GTK_WIDGET (self), self->kinetic);
  self->kinetic = 0;
}

double
app_canvas_scale (AppCanvas *self)
{
  return self->scale;
}

double
app_canvas_percent (AppCanvas *self)
{
  return 100.0 * self->scale / PX_PER_MM_TRUE;
}

GeomPoint
app_canvas_to_paper (AppCanvas *self, double x, double y)
{
  return geom_point ((x - self->ox) / self->scale, (self->oy - y) / self->scale);
}

void
app_canvas_to_widget (AppCanvas *self, GeomPoint at, double *x, double *y)
{
  *x = self->ox + at.x * self->scale;
  *y = self->oy - at.y * self->scale;
}

void
app_canvas_pan_by (AppCanvas *self, double dx, double dy)
{
  app_canvas_still_moves (self, false);
  set_view (self, self->scale, self->ox + dx, self->oy + dy);
}

void
app_canvas_zoom_at (AppCanvas *self, double factor, double x, double y)
{
  app_canvas_view_stop (self);
  double scale = clamp_scale (self->scale * factor);
  /* The point under x, y stays there. */
  double k = scale / self->scale;
  app_canvas_still_moves (self, true);
  set_view (self, scale, x - (x - self->ox) * k, y - (y - self->oy) * k);
}

void
app_canvas_set_percent (AppCanvas *self, double percent)
{
  double x = gtk_widget_get_width (GTK_WIDGET (self)) / 2.0,
         y = gtk_widget_get_height (GTK_WIDGET (self)) / 2.0;
  app_canvas_zoom_at (self, percent / 100.0 * PX_PER_MM_TRUE / self->scale, x, y);
}

/* ---- fit ---- */

GeomBox
app_canvas_drawing_box (AppCanvas *self)
{
  GeomBox box = geom_box_empty ();
  if (self->session == NULL)
    return box;
  EngineReview *review = app_session_review (self->session);
  const GPtrArray *pieces = engine_review_pieces (review);
  const ModelDocument *doc = app_canvas_document (self);
  for (guint i = 0; i < pieces->len; i++)
  {
    const EnginePiece *piece = (const EnginePiece *)g_ptr_array_index (pieces, i);
    const ModelPanel *panel = model_document_panel (doc, piece->panel_id);
    bool tracing = panel != NULL && panel->halves == MODEL_HALVES_PAIR && !app_canvas_is_opened (panel)
                   && piece->side != panel->side;
    if (panel != NULL && !panel->hidden && !tracing)
      box = geom_box_union (box, piece->box);
  }
  for (guint i = 0; i < doc->photos->len; i++)
  {
    const ModelPhoto *photo = (const ModelPhoto *)g_ptr_array_index (doc->photos, i);
    if (!photo->hidden)
      box = geom_box_union (box, app_canvas_photo_box (photo));
  }
  return box;
}

static void
view_of_box (AppCanvas *self, GeomBox box, double most_scale, double *scale, GeomPoint *middle)
{
  double width = MAX (gtk_widget_get_width (GTK_WIDGET (self)), 40),
         height = MAX (gtk_widget_get_height (GTK_WIDGET (self)), 40);
  double margin = MIN (FIT_MARGIN_PX, MIN (width, height) / 8.0);
  double sx = (width - 2.0 * margin) / MAX (box.x1 - box.x0, 1.0),
         sy = (height - 2.0 * margin) / MAX (box.y1 - box.y0, 1.0);
  *scale = clamp_scale (MIN (MIN (sx, sy), most_scale));
  *middle = geom_point ((box.x0 + box.x1) / 2.0, (box.y0 + box.y1) / 2.0);
}

static void
place_middle (AppCanvas *self, double scale, GeomPoint middle)
{
  double width = gtk_widget_get_width (GTK_WIDGET (self)), height = gtk_widget_get_height (GTK_WIDGET (self));
  set_view (self, scale, width / 2.0 - middle.x * scale, height / 2.0 + middle.y * scale);
}

static gboolean
glide_on (GtkWidget *widget, GdkFrameClock *clock, gpointer user)
{
  AppCanvas *self = APP_CANVAS (widget);
  AppGlide *glide = &self->glide;
  gint64 now = gdk_frame_clock_get_frame_time (clock);
  if (glide->began_us == 0)
    glide->began_us = now;
  double t = MIN (1.0, (double)(now - glide->began_us) / GLIDE_US);
  double k = 1.0 - pow (1.0 - t, 3.0);
  app_canvas_still_moves (self, true);
  GeomPoint middle
    = geom_mix (geom_point (glide->from_x, glide->from_y), geom_point (glide->to_x, glide->to_y), k);
  place_middle (self, glide->from_scale * pow (glide->to_scale / glide->from_scale, k), middle);
  if (t < 1.0)
    return G_SOURCE_CONTINUE;
  glide->tick = 0;
  return G_SOURCE_REMOVE;
}

static void
go_to (AppCanvas *self, double scale, GeomPoint middle)
{
  app_canvas_view_stop (self);
  if (!app_canvas_animates (self) || !self->placed)
  {
    place_middle (self, scale, middle);
    return;
  }
  GeomPoint from = app_canvas_to_paper (self, gtk_widget_get_width (GTK_WIDGET (self)) / 2.0,
                                        gtk_widget_get_height (GTK_WIDGET (self)) / 2.0);
  self->glide = (AppGlide) { .from_scale = self->scale,
                             .from_x = from.x,
                             .from_y = from.y,
                             .to_scale = scale,
                             .to_x = middle.x,
                             .to_y = middle.y };
  self->glide.tick = gtk_widget_add_tick_callback (GTK_WIDGET (self), glide_on, NULL, NULL);
}

void
app_canvas_fit (AppCanvas *self)
{
  /* Not shown yet: its first size fits all. */
  if (gtk_widget_get_width (GTK_WIDGET (self)) <= 1)
  {
    self->placed = false;
    return;
  }
  GeomBox box = app_canvas_drawing_box (self);
  if (geom_box_is_empty (box))
    box = (GeomBox) { 0.0, 0.0, 420.0, 297.0 };
  double scale;
  GeomPoint middle;
  view_of_box (self, box, 4.0 * PX_PER_MM_TRUE, &scale, &middle);
  go_to (self, scale, middle);
}

void
app_canvas_view_first_size (AppCanvas *self)
{
  if (gtk_widget_get_width (GTK_WIDGET (self)) <= 1 || gtk_widget_get_height (GTK_WIDGET (self)) <= 1)
    return;
  GeomBox box = app_canvas_drawing_box (self);
  if (geom_box_is_empty (box))
    box = (GeomBox) { -60.0, -60.0, 560.0, 400.0 };
  double scale;
  GeomPoint middle;
  view_of_box (self, box, PX_PER_MM_TRUE, &scale, &middle);
  place_middle (self, scale, middle);
  self->placed = self->session != NULL;
  self->fitted = true;
}

void
app_canvas_show_box (AppCanvas *self, GeomBox box)
{
  if (geom_box_is_empty (box))
    return;
  double width = gtk_widget_get_width (GTK_WIDGET (self)), height = gtk_widget_get_height (GTK_WIDGET (self));
  GeomPoint a = app_canvas_to_paper (self, 0.0, height), b = app_canvas_to_paper (self, width, 0.0);
  if (box.x0 >= a.x && box.x1 <= b.x && box.y0 >= a.y && box.y1 <= b.y)
    return;
  double scale;
  GeomPoint middle;
  view_of_box (self, box, self->scale, &scale, &middle);
  go_to (self, scale, middle);
}

/* ---- wheel, pad and fling ---- */

bool
app_canvas_scroll (AppCanvas *self, double dx, double dy, bool pixels, GdkModifierType state)
{
  app_canvas_view_stop (self);
  if ((state & GDK_CONTROL_MASK) != 0)
  {
    double x = self->pointer_in ? self->pointer_x : gtk_widget_get_width (GTK_WIDGET (self)) / 2.0;
    double y = self->pointer_in ? self->pointer_y : gtk_widget_get_height (GTK_WIDGET (self)) / 2.0;
    app_canvas_zoom_at (self, pow (ZOOM_STEP, -(pixels ? dy / WHEEL_PX : dy)), x, y);
    return true;
  }
  double step = pixels ? 1.0 : WHEEL_PX;
  if ((state & GDK_SHIFT_MASK) != 0 && dx == 0.0)
    app_canvas_pan_by (self, -dy * step, 0.0);
  else
    app_canvas_pan_by (self, -dx * step, -dy * step);
  return true;
}

static gboolean
fling_on (GtkWidget *widget, GdkFrameClock *clock, gpointer user)
{
  AppCanvas *self = APP_CANVAS (widget);
  gint64 now = gdk_frame_clock_get_frame_time (clock);
  double seconds = self->kinetic_us == 0 ? 0.0 : CLAMP ((double)(now - self->kinetic_us) / 1e6, 0.0, 0.1);
  self->kinetic_us = now;
  app_canvas_pan_by (self, -self->kinetic_vx * seconds, -self->kinetic_vy * seconds);
  double keep = exp (-FLING_FRICTION * seconds);
  self->kinetic_vx *= keep;
  self->kinetic_vy *= keep;
  if (hypot (self->kinetic_vx, self->kinetic_vy) > FLING_LEAST_PX_S)
    return G_SOURCE_CONTINUE;
  self->kinetic = 0;
  return G_SOURCE_REMOVE;
}

void
app_canvas_fling (AppCanvas *self, double vx, double vy)
{
  if (!app_canvas_animates (self) || hypot (vx, vy) <= FLING_LEAST_PX_S)
    return;
  app_canvas_view_stop (self);
  self->kinetic_vx = vx;
  self->kinetic_vy = vy;
  self->kinetic_us = 0;
  self->kinetic = gtk_widget_add_tick_callback (GTK_WIDGET (self), fling_on, NULL, NULL);
}
