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
#define AMOUNT_PX 20.0
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

/* The figure of one place, off the mark towards the middle of its panel. */
static void
draw_amount (AppCanvas *self,
             cairo_t *cr,
             const OutputView *view,
             const OutputInk *ink,
             const EngineFlatPlace *place,
             const EngineFlatSpot *spot)
{
  const AppOutline *outline = app_pick_index_outline (self->index, spot->panel_id, spot->side);
  if (outline == NULL)
    return;
  GeomPoint middle = { (outline->box.x0 + outline->box.x1) / 2.0, (outline->box.y0 + outline->box.y1) / 2.0 },
            at = geom_affine_apply (view->to_device, spot->at),
            way = geom_unit (geom_sub (geom_affine_apply (view->to_device, middle), at));
  double degrees = fabs (place->angle_rad) * 180.0 / G_PI;
  g_autofree char *text
    = g_strdup_printf (place->angle_rad > 0.0 ? _ ("domes %.1f°") : _ ("saddle %.1f°"), degrees);
  app_canvas_draw_flag (cr, ink, at.x + way.x * AMOUNT_PX * 2.2, at.y + way.y * AMOUNT_PX, text, -1);
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
  for (int pass = 0; pass < 3; pass++)
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
        if (!is_shown (self, spot->panel_id, spot->side))
          continue;
        if (pass == 1)
          draw_mark (cr, ink, geom_affine_apply (view->to_device, spot->at), place->angle_rad > 0.0);
        else if (is_told (s, place, spot))
          draw_amount (self, cr, view, ink, place, spot);
      }
    }
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
  if (found != NULL)
    draw_amount (self, cr, &view, app_canvas_ink (self), found, at);
}
