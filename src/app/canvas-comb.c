/* The curvature comb: a tooth square to the curve every few px, as long as the curve bends there, and a line
 * over their ends.  A fair curve has an even line; a kink in a curve that looks smooth stands out of it.
 */
#include "app/canvas-private.h"

#define TOOTH_APART_PX 6.0
#define LONGEST_PX 40.0
/* A few very tight places must not flatten all others: the length is fitted to this part of the teeth, longer
 * ones are cut off at twice that. */
#define FITTED_PART 0.9
#define MOST_TEETH 6000
/* Bends of a larger radius are straight to a hand. */
#define FLATTEST_MM 1e4

typedef struct Tooth
{
  GeomPoint at, outward; /* paper */
  double curvature;
  bool begins; /* after a corner: the line over the ends starts anew */
} Tooth;

static int
by_size (gconstpointer a, gconstpointer b)
{
  double x = *(const double *)a, y = *(const double *)b;
  return x < y ? -1 : x > y ? 1 : 0;
}

static void
add_teeth (GArray *teeth, const GeomPath *path, double apart_mm, double outward)
{
  for (size_t i = 0; i < path->count; i++)
  {
    const GeomCubic *c = &path->piece[i];
    double length = geom_cubic_length (c, 1e-2);
    int steps = (int)CLAMP (ceil (length / apart_mm), 2.0, 400.0);
    bool bend
      = i == 0
        || geom_dot (geom_cubic_tangent (&path->piece[i - 1], 1.0), geom_cubic_tangent (c, 0.0)) < 0.999;
    for (int k = 0; k <= steps && teeth->len < MOST_TEETH; k++)
    {
      double t = geom_cubic_t_at_length (c, length * k / steps, 1e-2);
      Tooth tooth = { geom_cubic_at (c, t), geom_scale (geom_right_of (geom_cubic_tangent (c, t)), outward),
                      outward * geom_cubic_curvature (c, t), bend && k == 0 };
      if (!isfinite (tooth.curvature))
        tooth.curvature = 0.0;
      g_array_append_val (teeth, tooth);
    }
  }
}

/* px of tooth for a curvature of 1 a mm; 0: all is straight. */
static double
tooth_scale (const GArray *teeth)
{
  if (teeth->len == 0)
    return 0.0;
  g_autofree double *sizes = g_new (double, teeth->len);
  for (guint i = 0; i < teeth->len; i++)
    sizes[i] = fabs (g_array_index (teeth, Tooth, i).curvature);
  qsort (sizes, teeth->len, sizeof (double), by_size);
  double fitted = sizes[(guint)(FITTED_PART * (teeth->len - 1))];
  if (!(fitted > 1.0 / FLATTEST_MM))
    fitted = sizes[teeth->len - 1];
  return fitted > 1.0 / FLATTEST_MM ? LONGEST_PX / fitted : 0.0;
}

static void
draw_teeth (cairo_t *cr, const OutputView *view, const OutputInk *ink, const GArray *teeth)
{
  double scale = tooth_scale (teeth);
  g_autofree GeomPoint *tips = g_new (GeomPoint, teeth->len + 1);
  if (!(scale > 0.0))
    return;
  for (guint i = 0; i < teeth->len; i++)
  {
    const Tooth *tooth = &g_array_index (teeth, Tooth, i);
    GeomPoint p = geom_affine_apply (view->to_device, tooth->at);
    double px = CLAMP (tooth->curvature * scale, -2.0 * LONGEST_PX, 2.0 * LONGEST_PX);
    tips[i] = geom_point (p.x + tooth->outward.x * px, p.y - tooth->outward.y * px);
    cairo_move_to (cr, p.x, p.y);
    cairo_line_to (cr, tips[i].x, tips[i].y);
  }
  output_set_tone (cr, ink, OUTPUT_TONE_INK_3);
  output_set_stroke (cr, &ink->hatch);
  cairo_stroke (cr);
  for (guint i = 0; i < teeth->len; i++)
    if (g_array_index (teeth, Tooth, i).begins)
      cairo_move_to (cr, tips[i].x, tips[i].y);
    else
      cairo_line_to (cr, tips[i].x, tips[i].y);
  output_set_tone (cr, ink, OUTPUT_TONE_INK_2);
  cairo_set_line_width (cr, ink->hatch.width + 0.4);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  cairo_stroke (cr);
}

void
app_canvas_draw_comb (AppCanvas *self, cairo_t *cr, const OutputView *view, const OutputInk *ink)
{
  const AppSelection *s = app_canvas_selection (self);
  GPtrArray *outlines = app_pick_index_outlines (self->index);
  /* Below, hatch and comb are off in the line table. */
  if (s == NULL || !ink->points_allowed)
    return;
  for (guint i = 0; i < outlines->len; i++)
  {
    const AppOutline *outline = (const AppOutline *)g_ptr_array_index (outlines, i);
    const ModelPanel *panel = model_document_panel (app_canvas_document (self), outline->panel_id);
    if (panel == NULL || !app_selection_has_panel (s, panel->id))
      continue;
    g_autoptr (GArray) teeth = g_array_new (FALSE, FALSE, sizeof (Tooth));
    for (guint e = 0; e < panel->edges->len; e++)
    {
      guint edge_id = model_panel_edge (panel, e)->id;
      GeomPath path;
      if (s->edges->len > 0 && !app_selection_has_edge (s, edge_id))
        continue;
      geom_path_init (&path);
      if (app_outline_edge_path (outline, panel, edge_id, &path))
        add_teeth (teeth, &path, TOOTH_APART_PX / view->scale, outline->twin ? -1.0 : 1.0);
      geom_path_clear (&path);
    }
    draw_teeth (cr, view, ink, teeth);
  }
}
