/* Where the panels put together dome: two rings one in the other, as a hill has on a map, and a plain line
 * beside the stretch of seam; where they open like a saddle: two arcs back to back, and a dotted line.  Where
 * there is no mark it lies flat.
 */
#include "app/canvas-private.h"

#include "engine/assembled.h"

#include <glib/gi18n.h>

#define INNER_PX 2.4
#define OUTER_PX 5.6
#define BESIDE_PX 6.0
#define NEAR_PX 14.0
#define AMOUNT_PX 11.0
#define TEXT_PX 12.0
#define LENGTH_MM 1e-2

static void
draw_mark (cairo_t *cr, const OutputInk *ink, GeomPoint at, bool domes)
{
  cairo_new_path (cr);
  cairo_arc (cr, at.x, at.y, OUTER_PX + 2.0, 0.0, 2.0 * G_PI);
  output_set_tone (cr, ink, OUTPUT_TONE_FACE);
  cairo_fill (cr);
  if (domes)
  {
    cairo_arc (cr, at.x, at.y, OUTER_PX, 0.0, 2.0 * G_PI);
    cairo_new_sub_path (cr);
    cairo_arc (cr, at.x, at.y, INNER_PX, 0.0, 2.0 * G_PI);
  }
  else
  {
    cairo_arc (cr, at.x - OUTER_PX - 1.0, at.y, OUTER_PX, -G_PI / 3.0, G_PI / 3.0);
    cairo_new_sub_path (cr);
    cairo_arc (cr, at.x + OUTER_PX + 1.0, at.y, OUTER_PX, 2.0 * G_PI / 3.0, 4.0 * G_PI / 3.0);
  }
  output_set_tone (cr, ink, OUTPUT_TONE_INK);
  cairo_set_line_width (cr, 1.6);
  cairo_stroke (cr);
}

static bool
is_shown (AppCanvas *self, guint panel_id, ModelSide side)
{
  return app_pick_index_outline (self->index, panel_id, side) != NULL;
}

/* The stretch of a seam beside one of its runs, just inside. */
static void
draw_stretch (AppCanvas *self,
              cairo_t *cr,
              const OutputView *view,
              const OutputInk *ink,
              const EngineFlatPlace *place,
              const ModelRun *run,
              ModelSide side)
{
  const AppOutline *outline = app_pick_index_outline (self->index, run->panel_id, side);
  GeomPath path, part;
  geom_path_init (&path);
  geom_path_init (&part);
  if (outline != NULL && engine_review_run_path (app_session_review (self->session), run, side, &path)
      && path.count > 0)
  {
    double length = geom_path_length (&path, LENGTH_MM);
    geom_path_part (&path, geom_path_place_at (&path, length * place->from, LENGTH_MM),
                    geom_path_place_at (&path, length * place->to, LENGTH_MM), &part);
    double inward = (outline->twin != run->reversed ? -1.0 : 1.0) * BESIDE_PX / view->scale;
    const double dots[2] = { 1.0, 5.0 };
    cairo_new_path (cr);
    for (size_t i = 0; i < part.count; i++)
      for (int k = i == 0 ? 0 : 1; k <= 12; k++)
      {
        double t = k / 12.0;
        GeomPoint at = geom_along (geom_cubic_at (&part.piece[i], t), inward,
                                   geom_left_of (geom_cubic_tangent (&part.piece[i], t)));
        at = geom_affine_apply (view->to_device, at);
        cairo_line_to (cr, at.x, at.y);
      }
    cairo_save (cr);
    output_set_tone (cr, ink, OUTPUT_TONE_INK_2);
    cairo_set_line_cap (cr, CAIRO_LINE_CAP_ROUND);
    cairo_set_line_width (cr, place->angle_rad > 0.0 ? 1.4 : 2.2);
    if (place->angle_rad < 0.0)
      cairo_set_dash (cr, dots, 2, 0.0);
    cairo_stroke (cr);
    cairo_restore (cr);
  }
  geom_path_clear (&path);
  geom_path_clear (&part);
}

static void
draw_seam (
  AppCanvas *self, cairo_t *cr, const OutputView *view, const OutputInk *ink, const EngineFlatPlace *place)
{
  const ModelJoin *join = model_document_join (app_canvas_document (self), place->join_id);
  if (join == NULL)
    return;
  draw_stretch (self, cr, view, ink, place, &join->a, place->side_a);
  draw_stretch (self, cr, view, ink, place, &join->b, place->side_b);
}

typedef struct Amount
{
  GeomPoint at; /* middle of its plate, px */
  double angle_rad, width, height;
  char *text;
} Amount;

static void
clear_amount (gpointer data)
{
  g_free (((Amount *)data)->text);
}

/* The figure of one place, off the mark towards the middle of its panel. */
static bool
find_amount (AppCanvas *self,
             cairo_t *cr,
             const OutputView *view,
             const EngineFlatPlace *place,
             const EngineFlatSpot *spot,
             Amount *out)
{
  const AppOutline *outline = app_pick_index_outline (self->index, spot->panel_id, spot->side);
  if (outline == NULL)
    return false;
  GeomPoint middle = { (outline->box.x0 + outline->box.x1) / 2.0, (outline->box.y0 + outline->box.y1) / 2.0 },
            at = geom_affine_apply (view->to_device, spot->at),
            way = geom_unit (geom_sub (geom_affine_apply (view->to_device, middle), at));
  double degrees = fabs (place->angle_rad) * 180.0 / G_PI;
  *out = (Amount) { .angle_rad = place->angle_rad };
  out->text = g_strdup_printf (place->angle_rad > 0.0 ? _ ("domes %.1f°") : _ ("saddle %.1f°"), degrees);
  output_measure_text (cr, TEXT_PX, true, out->text, &out->width, &out->height);
  double off = AMOUNT_PX + fabs (way.x) * out->width / 2.0 + fabs (way.y) * out->height / 2.0;
  out->at = geom_along (at, off, way);
  return true;
}

static void
draw_amount (cairo_t *cr, const OutputInk *ink, const Amount *amount)
{
  output_draw_text (cr, ink, amount->at.x, amount->at.y, 0.0, TEXT_PX, true, OUTPUT_TONE_INK,
                    OUTPUT_TONE_CARD, amount->text);
}

static int
larger_first (gconstpointer a, gconstpointer b)
{
  double x = fabs (((const Amount *)a)->angle_rad), y = fabs (((const Amount *)b)->angle_rad);
  return x > y ? -1 : x < y ? 1 : 0;
}

/* The largest first; one that would lie on another waits for the pointer. */
static void
draw_amounts (cairo_t *cr, const OutputInk *ink, GArray *amounts)
{
  g_array_sort (amounts, larger_first);
  for (guint i = 0; i < amounts->len; i++)
  {
    Amount *one = &g_array_index (amounts, Amount, i);
    bool room = true;
    for (guint k = 0; room && k < i; k++)
    {
      const Amount *other = &g_array_index (amounts, Amount, k);
      room = other->width <= 0.0 || fabs (one->at.x - other->at.x) > (one->width + other->width) / 2.0 + 8.0
             || fabs (one->at.y - other->at.y) > (one->height + other->height) / 2.0 + 4.0;
    }
    if (room)
      draw_amount (cr, ink, one);
    else
      one->width = 0.0; /* it takes no room itself */
  }
}

/* Which places tell their amounts by themselves: those of the one panel or join that is selected. */
static bool
is_told (const AppSelection *s, const EngineFlatPlace *place, const EngineFlatSpot *spot)
{
  return (s->join_id != 0 && s->join_id == place->join_id)
         || (s->panels->len == 1 && app_selection_has_panel (s, spot->panel_id) && s->side == spot->side);
}

void
app_canvas_draw_doming (AppCanvas *self, cairo_t *cr, const OutputView *view, const OutputInk *ink)
{
  const AppSelection *s = app_canvas_selection (self);
  if (s == NULL)
    return;
  g_clear_pointer (&self->flat_map, engine_flat_map_free);
  EngineFlatMap *map = self->flat_map = engine_flat_map_new (app_session_review (self->session));
  g_autoptr (GArray) amounts = g_array_new (FALSE, FALSE, sizeof (Amount));
  g_array_set_clear_func (amounts, clear_amount);
  for (int pass = 0; pass < 2; pass++)
    for (guint i = 0; i < map->places->len; i++)
    {
      const EngineFlatPlace *place = &g_array_index (map->places, EngineFlatPlace, i);
      if (!engine_flat_place_shows (place))
        continue;
      if (pass == 0 && place->kind == ENGINE_FLAT_SEAM)
        draw_seam (self, cr, view, ink, place);
      for (guint k = 0; pass > 0 && k < place->count; k++)
      {
        const EngineFlatSpot *spot = &g_array_index (map->spots, EngineFlatSpot, place->first + k);
        Amount amount;
        if (!is_shown (self, spot->panel_id, spot->side))
          continue;
        draw_mark (cr, ink, geom_affine_apply (view->to_device, spot->at), place->angle_rad > 0.0);
        if (is_told (s, place, spot) && find_amount (self, cr, view, place, spot, &amount))
          g_array_append_val (amounts, amount);
      }
    }
  draw_amounts (cr, ink, amounts);
}

void
app_canvas_draw_doming_amount (AppCanvas *self, cairo_t *cr)
{
  const EngineFlatMap *map = self->flat_map;
  if (!self->doming || map == NULL || self->session == NULL || !self->pointer_in || self->pressed)
    return;
  OutputView view = app_canvas_widget_view (self);
  double best = NEAR_PX;
  const EngineFlatPlace *found = NULL;
  const EngineFlatSpot *at = NULL;
  for (guint i = 0; i < map->places->len; i++)
  {
    const EngineFlatPlace *place = &g_array_index (map->places, EngineFlatPlace, i);
    for (guint k = 0; engine_flat_place_shows (place) && k < place->count; k++)
    {
      const EngineFlatSpot *spot = &g_array_index (map->spots, EngineFlatSpot, place->first + k);
      GeomPoint px = geom_affine_apply (view.to_device, spot->at);
      double away = hypot (px.x - self->pointer_x, px.y - self->pointer_y);
      if (away >= best || !is_shown (self, spot->panel_id, spot->side))
        continue;
      best = away;
      found = place;
      at = spot;
    }
  }
  Amount amount;
  if (found != NULL && find_amount (self, cr, &view, found, at, &amount))
  {
    draw_amount (cr, app_canvas_ink (self), &amount);
    clear_amount (&amount);
  }
}
