/* Ticks live in a kept node that a new view makes anew; the pointer's wedge is a small node of its own. */
#include "app/ruler.h"

#include "app/canvas-private.h"
#include "app/theme.h"

#include <glib/gi18n.h>

#define LEAST_LABEL_PX 46.0
#define LEAST_TICK_PX 4.0
#define TEXT_PX 11.0
/* The rule keeps its width, so its figures grow only this far. */
#define MOST_TEXT_PX 14.0
#define INCH_MM 25.4

struct _AppRuler
{
  GtkWidget parent_instance;
  AppCanvas *canvas;
  GtkOrientation orientation;
  bool corner;
  GskRenderNode *node;
  double key[6];
  double start_x, start_y;
  bool pulling; /* a guide is on its way out */
};

G_DEFINE_FINAL_TYPE (AppRuler, app_ruler, GTK_TYPE_WIDGET)

/* A division of the rule: every LABEL units a figure, every TICK a small line, the middle ones longer. */
typedef struct Division
{
  double label_mm, tick_mm;
  int middle; /* every so many ticks a longer one */
} Division;

static const Division divisions_mm[]
  = { { 1.0, 0.1, 5 },    { 2.0, 0.2, 5 },      { 5.0, 0.5, 2 },      { 10.0, 1.0, 5 },
      { 20.0, 2.0, 5 },   { 50.0, 5.0, 2 },     { 100.0, 10.0, 5 },   { 200.0, 20.0, 5 },
      { 500.0, 50.0, 2 }, { 1000.0, 100.0, 5 }, { 2000.0, 200.0, 5 }, { 5000.0, 500.0, 2 } };
static const Division divisions_inch[]
  = { { INCH_MM / 8, INCH_MM / 64, 4 },  { INCH_MM / 4, INCH_MM / 32, 4 },  { INCH_MM / 2, INCH_MM / 16, 4 },
      { INCH_MM, INCH_MM / 8, 4 },       { 2 * INCH_MM, INCH_MM / 4, 4 },   { 4 * INCH_MM, INCH_MM / 2, 2 },
      { 6 * INCH_MM, INCH_MM, 3 },       { 12 * INCH_MM, 2 * INCH_MM, 3 },  { 24 * INCH_MM, 4 * INCH_MM, 3 },
      { 60 * INCH_MM, 12 * INCH_MM, 5 }, { 240 * INCH_MM, 48 * INCH_MM, 5 } };

static const Division *
division_for (const AppCanvas *canvas)
{
  const Division *all = canvas->unit == MODEL_UNIT_INCH ? divisions_inch : divisions_mm;
  guint count = canvas->unit == MODEL_UNIT_INCH ? G_N_ELEMENTS (divisions_inch) : G_N_ELEMENTS (divisions_mm);
  for (guint i = 0; i < count; i++)
    if (all[i].label_mm * canvas->scale >= LEAST_LABEL_PX && all[i].tick_mm * canvas->scale >= LEAST_TICK_PX)
      return &all[i];
  return &all[count - 1];
}

static char *
label_text (const AppCanvas *canvas, double mm)
{
  double rounded = fabs (mm) < 1e-9 ? 0.0 : mm;
  return model_unit_figure (rounded, canvas->unit, 0);
}

static double
text_px (void)
{
  return MIN (TEXT_PX * app_theme_text_scale (), MOST_TEXT_PX);
}

static void
draw_steel (cairo_t *cr, const OutputInk *ink, bool upright, double width, double height)
{
  cairo_pattern_t *steel = cairo_pattern_create_linear (0, 0, upright ? width : 0, upright ? 0 : height);
  const OutputColour *a = &ink->tone[OUTPUT_TONE_STEEL], *b = &ink->tone[OUTPUT_TONE_STEEL_2];
  cairo_pattern_add_color_stop_rgb (steel, 0.0, a->red, a->green, a->blue);
  cairo_pattern_add_color_stop_rgb (steel, 1.0, b->red, b->green, b->blue);
  cairo_set_source (cr, steel);
  cairo_paint (cr);
  cairo_pattern_destroy (steel);
  output_set_tone (cr, ink, OUTPUT_TONE_INK_3);
  if (upright)
    cairo_rectangle (cr, width - 1.0, 0.0, 1.0, height);
  else
    cairo_rectangle (cr, 0.0, height - 1.0, width, 1.0);
  cairo_fill (cr);
}

static void
draw_scale (AppRuler *self, cairo_t *cr, const OutputInk *ink, double width, double height)
{
  AppCanvas *canvas = self->canvas;
  bool upright = self->orientation == GTK_ORIENTATION_VERTICAL;
  const Division *division = division_for (canvas);
  double length = upright ? height : width, origin = upright ? canvas->oy : canvas->ox,
         deep = upright ? width : height;
  double tick = division->tick_mm * canvas->scale;
  int per_label = (int)lround (division->label_mm / division->tick_mm);
  double first = ceil (-origin / tick) - per_label, last = floor ((length - origin) / tick) + per_label;
  if (last - first > 4000.0)
    return;
  output_set_tone (cr, ink, OUTPUT_TONE_INK);
  for (double k = first; k <= last; k += 1.0)
  {
    double at = floor (origin + k * tick);
    bool labelled = fmod (fabs (k), per_label) < 0.5, middle = fmod (fabs (k), division->middle) < 0.5;
    double tall = labelled ? 11.0 : middle ? 7.0 : 4.0;
    if (upright)
      cairo_rectangle (cr, deep - 1.0 - tall, at, tall, 1.0);
    else
      cairo_rectangle (cr, at, deep - 1.0 - tall, 1.0, tall);
  }
  cairo_fill (cr);
  for (double k = per_label * ceil (first / per_label); k <= last; k += per_label)
  {
    /* The paper's y goes up, the widget's down. */
    g_autofree char *text = label_text (canvas, (upright ? -k : k) * division->tick_mm);
    double text_width, text_height, at = floor (origin + k * tick);
    output_measure_text (cr, text_px (), false, text, &text_width, &text_height);
    if (upright)
      output_draw_text (cr, ink, 7.0, at - text_width / 2.0 - 3.0, -G_PI_2, text_px (), false,
                        OUTPUT_TONE_INK, -1, text);
    else
      output_draw_text (cr, ink, at + text_width / 2.0 + 3.0, 7.0, 0.0, text_px (), false, OUTPUT_TONE_INK,
                        -1, text);
  }
}

static void
draw_wedge (cairo_t *cr, const OutputInk *ink, bool upright, double at, double deep)
{
  if (upright)
  {
    cairo_move_to (cr, deep - 1.0, at);
    cairo_line_to (cr, deep - 8.0, at - 5.0);
    cairo_line_to (cr, deep - 8.0, at + 5.0);
  }
  else
  {
    cairo_move_to (cr, at, deep - 1.0);
    cairo_line_to (cr, at - 5.0, deep - 8.0);
    cairo_line_to (cr, at + 5.0, deep - 8.0);
  }
  cairo_close_path (cr);
  output_set_tone (cr, ink, OUTPUT_TONE_MADDER);
  cairo_fill (cr);
}

static void
app_ruler_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  AppRuler *self = APP_RULER (widget);
  AppCanvas *canvas = self->canvas;
  int width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget);
  if (canvas == NULL || width <= 0 || height <= 0)
    return;
  const OutputInk *ink = app_canvas_ink (canvas);
  bool upright = self->orientation == GTK_ORIENTATION_VERTICAL;
  double key[6] = { canvas->scale,        upright ? canvas->oy : canvas->ox,
                    width * 1e5 + height, canvas->unit,
                    canvas->slate,        app_theme_serial () };
  if (self->node == NULL || memcmp (key, self->key, sizeof key) != 0)
  {
    memcpy (self->key, key, sizeof key);
    g_clear_pointer (&self->node, gsk_render_node_unref);
    self->node = gsk_cairo_node_new (&GRAPHENE_RECT_INIT (0, 0, width, height));
    cairo_t *cr = gsk_cairo_node_get_draw_context (self->node);
    draw_steel (cr, ink, upright && !self->corner, width, height);
    if (self->corner)
      output_draw_text (cr, ink, width / 2.0, height / 2.0, 0.0, text_px (), false, OUTPUT_TONE_INK, -1,
                        model_unit_key (canvas->unit));
    else
      draw_scale (self, cr, ink, width, height);
    cairo_destroy (cr);
  }
  gtk_snapshot_push_clip (snapshot, &GRAPHENE_RECT_INIT (0, 0, width, height));
  gtk_snapshot_append_node (snapshot, self->node);
  if (!self->corner && canvas->pointer_in)
  {
    double at = upright ? canvas->pointer_y : canvas->pointer_x;
    graphene_rect_t bounds = upright ? GRAPHENE_RECT_INIT (0, (float)floor (at) - 7, width, 14)
                                     : GRAPHENE_RECT_INIT ((float)floor (at) - 7, 0, 14, height);
    cairo_t *cr = gtk_snapshot_append_cairo (snapshot, &bounds);
    draw_wedge (cr, ink, upright, at, upright ? width : height);
    cairo_destroy (cr);
  }
  gtk_snapshot_pop (snapshot);
}

static void
app_ruler_measure (GtkWidget *widget,
                   GtkOrientation orientation,
                   int for_size,
                   int *minimum,
                   int *natural,
                   int *min_base,
                   int *nat_base)
{
  AppRuler *self = APP_RULER (widget);
  *minimum = *natural = self->corner || orientation != self->orientation ? APP_RULER_PX : 40;
}

static void
app_ruler_dispose (GObject *object)
{
  AppRuler *self = APP_RULER (object);
  g_clear_weak_pointer (&self->canvas);
  g_clear_pointer (&self->node, gsk_render_node_unref);
  G_OBJECT_CLASS (app_ruler_parent_class)->dispose (object);
}

static void
app_ruler_class_init (AppRulerClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  G_OBJECT_CLASS (klass)->dispose = app_ruler_dispose;
  widget_class->measure = app_ruler_measure;
  widget_class->snapshot = app_ruler_snapshot;
  gtk_widget_class_set_css_name (widget_class, "pwruler");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_PRESENTATION);
}

static void
app_ruler_init (AppRuler *self)
{
  gtk_widget_set_direction (GTK_WIDGET (self), GTK_TEXT_DIR_LTR);
}

/* ---- a guide is pulled out ---- */

static bool
on_canvas (AppRuler *self, double dx, double dy, double *x, double *y)
{
  graphene_point_t from = GRAPHENE_POINT_INIT ((float)(self->start_x + dx), (float)(self->start_y + dy)), to;
  if (self->canvas == NULL
      || !gtk_widget_compute_point (GTK_WIDGET (self), GTK_WIDGET (self->canvas), &from, &to))
    return false;
  *x = to.x;
  *y = to.y;
  return true;
}

static void
on_pull_begin (GtkGestureDrag *drag, double x, double y, AppRuler *self)
{
  self->start_x = x;
  self->start_y = y;
  self->pulling = false;
}

static void
on_pull (GtkGestureDrag *drag, double dx, double dy, AppRuler *self)
{
  double x, y;
  if (!on_canvas (self, dx, dy, &x, &y))
    return;
  if (self->pulling)
  {
    AppInput in = app_canvas_input (self->canvas, x, y);
    in.state = gtk_event_controller_get_current_event_state (GTK_EVENT_CONTROLLER (drag));
    app_canvas_feed (self->canvas, APP_PHASE_MOTION, &in);
    return;
  }
  if (x < 0.0 || y < 0.0)
    return;
  app_canvas_pull_line (self->canvas, self->orientation == GTK_ORIENTATION_VERTICAL, x, y);
  self->pulling = self->canvas->line_drag.on;
}

static void
on_pull_end (GtkGestureDrag *drag, double dx, double dy, AppRuler *self)
{
  double x, y;
  if (!self->pulling || !on_canvas (self, dx, dy, &x, &y))
    return;
  self->pulling = false;
  AppInput in = app_canvas_input (self->canvas, x, y);
  in.state = gtk_event_controller_get_current_event_state (GTK_EVENT_CONTROLLER (drag));
  app_canvas_feed (self->canvas, APP_PHASE_RELEASE, &in);
}

static void
on_pull_cancel (GtkGesture *drag, GdkEventSequence *sequence, AppRuler *self)
{
  if (self->pulling && self->canvas != NULL)
    app_canvas_feed (self->canvas, APP_PHASE_CANCEL, NULL);
  self->pulling = false;
}

static void
add_pull (AppRuler *self)
{
  GtkGesture *drag = gtk_gesture_drag_new ();
  g_signal_connect (drag, "drag-begin", G_CALLBACK (on_pull_begin), self);
  g_signal_connect (drag, "drag-update", G_CALLBACK (on_pull), self);
  g_signal_connect (drag, "drag-end", G_CALLBACK (on_pull_end), self);
  g_signal_connect (drag, "cancel", G_CALLBACK (on_pull_cancel), self);
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (drag));
  gtk_widget_set_tooltip_text (GTK_WIDGET (self), _ ("Rule. Pull a guide out of it onto the paper."));
}

static GtkWidget *
ruler_new (AppCanvas *canvas, GtkOrientation orientation, bool corner)
{
  AppRuler *self = g_object_new (APP_TYPE_RULER, NULL);
  g_set_weak_pointer (&self->canvas, canvas);
  self->orientation = orientation;
  self->corner = corner;
  gtk_widget_set_hexpand (GTK_WIDGET (self), !corner && orientation == GTK_ORIENTATION_HORIZONTAL);
  gtk_widget_set_vexpand (GTK_WIDGET (self), !corner && orientation == GTK_ORIENTATION_VERTICAL);
  g_signal_connect_object (canvas, "view-changed", G_CALLBACK (gtk_widget_queue_draw), self,
                           G_CONNECT_SWAPPED);
  if (!corner)
    add_pull (self);
  if (!corner)
    g_signal_connect_object (canvas, "pointer-changed", G_CALLBACK (gtk_widget_queue_draw), self,
                             G_CONNECT_SWAPPED);
  return GTK_WIDGET (self);
}

GtkWidget *
app_ruler_new (AppCanvas *canvas, GtkOrientation orientation)
{
  return ruler_new (canvas, orientation, false);
}

GtkWidget *
app_ruler_corner_new (AppCanvas *canvas)
{
  return ruler_new (canvas, GTK_ORIENTATION_HORIZONTAL, true);
}
