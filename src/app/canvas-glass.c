/* Where two joined runs differ, and the looking glass that shows it four to eight times larger: the partner
 * is laid against the run as in the finished piece, so that what stands over can be seen; or, where the edges
 * beside a join do not run on smoothly, so that the ends of the seam lie on one another and one sees the
 * kink.
 */
#include "app/canvas-private.h"

#include "engine/check.h"
#include "engine/join-words.h"

#include <glib/gi18n.h>

#define LENGTH_ACCURACY_MM 1e-4
#define GLASS_PX 92.0
#define CAPTION_PX 26.0 /* the line below it */
#define KINK_LARGER 6.0
#define SHOWN_MM 0.05 /* with one decimal less is nothing */

static GeomPoint
device_of (const OutputView *view, GeomPoint at)
{
  return geom_affine_apply (view->to_device, at);
}

bool
app_canvas_side_is_shown (const ModelPanel *panel, ModelSide side)
{
  return panel->halves == MODEL_HALVES_SINGLE || side == MODEL_SIDE_CENTRE || side == panel->side
         || app_canvas_is_opened (panel);
}

bool
app_canvas_reading_is_shown (AppCanvas *self, const ModelJoin *join, const EngineJoinReading *reading)
{
  const ModelPanel *a = model_document_panel (app_canvas_document (self), join->a.panel_id);
  const ModelPanel *b = model_document_panel (app_canvas_document (self), join->b.panel_id);
  return (a != NULL && app_canvas_side_is_shown (a, reading->side_a))
         || (b != NULL && app_canvas_side_is_shown (b, reading->side_b));
}

void
app_differing_clear (AppDiffering *differing)
{
  geom_path_clear (&differing->a);
  geom_path_clear (&differing->b);
}

static int
by_first (gconstpointer a, gconstpointer b)
{
  double x = ((const GeomPoint *)a)->x, y = ((const GeomPoint *)b)->x;
  return x < y ? -1 : x > y ? 1 : 0;
}

/* The runs of the finding's join on the side it is about, if they are shown. */
static bool
find_runs (AppCanvas *self, const EngineFinding *finding, AppDiffering *out, EngineJoinReading *reading)
{
  geom_path_init (&out->a);
  geom_path_init (&out->b);
  const ModelJoin *join
    = finding->join_id != 0 ? model_document_join (app_canvas_document (self), finding->join_id) : NULL;
  if (join == NULL || finding->check == NULL)
    return false;
  EngineReview *review = app_session_review (self->session);
  EngineJoinReading readings[2];
  int count = engine_review_join_readings (review, join->id, readings), which = -1;
  for (int i = 0; i < count; i++)
    if (app_canvas_reading_is_shown (self, join, &readings[i])
        && (which < 0 || (finding->has_side && readings[i].side == finding->side)))
      which = i;
  if (which < 0)
    return false;
  *reading = readings[which];
  out->panel_a = join->a.panel_id;
  out->panel_b = join->b.panel_id;
  out->side_a = reading->side_a;
  out->side_b = reading->side_b;
  return engine_review_run_path (review, &join->a, reading->side_a, &out->a)
         && engine_review_run_path (review, &join->b, reading->side_b, &out->b);
}

bool
app_differing_find (AppCanvas *self, const EngineFinding *finding, AppDiffering *out)
{
  EngineJoinReading reading;
  if (!find_runs (self, finding, out, &reading)
      || (!g_str_equal (finding->check->name, "join-length")
          && !g_str_equal (finding->check->name, "join-drift")))
    return false;
  const ModelJoin *join = model_document_join (app_canvas_document (self), finding->join_id);
  EngineReview *review = app_session_review (self->session);
  const EngineJoinReading *r = &reading;
  g_autoptr (GArray) stops = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  GeomPoint end = { r->length_a_mm, r->length_b_mm };
  for (guint i = 0; i < join->matches->len; i++)
  {
    const ModelMatch *match = &g_array_index (join->matches, ModelMatch, i);
    GeomPoint stop;
    if (engine_review_mark_along (review, &join->a, r->side_a, match->a_mark_id, &stop.x)
        && engine_review_mark_along (review, &join->b, r->side_b, match->b_mark_id, &stop.y))
      g_array_append_val (stops, stop);
  }
  g_array_sort (stops, by_first);
  g_array_append_val (stops, end);
  GeomPoint from = { 0.0, 0.0 };
  double worst = -1.0;
  for (guint i = 0; i < stops->len; i++)
  {
    GeomPoint to = g_array_index (stops, GeomPoint, i);
    double over = (to.y - from.y) - (to.x - from.x);
    if (fabs (over) >= worst)
    {
      worst = fabs (over);
      out->from_a = from.x;
      out->to_a = to.x;
      out->from_b = from.y;
      out->to_b = to.y;
      out->over_mm = over;
    }
    from = to;
  }
  return worst > 0.0;
}

/* The overhanging stretch of the longer run.  OUT initialised. */
void
app_differing_part (const AppDiffering *d, GeomPath *out)
{
  const GeomPath *path = d->over_mm > 0.0 ? &d->b : &d->a;
  double to = d->over_mm > 0.0 ? d->to_b : d->to_a;
  geom_path_part (path, geom_path_place_at (path, MAX (to - fabs (d->over_mm), 0.0), LENGTH_ACCURACY_MM),
                  geom_path_place_at (path, to, LENGTH_ACCURACY_MM), out);
}

/* ---- the looking glass ---- */

static double
overlap (graphene_rect_t a, graphene_rect_t b)
{
  graphene_rect_t both;
  return graphene_rect_intersection (&a, &b, &both) ? (double)both.size.width * both.size.height : 0.0;
}

/* The part of the view under the cover; false when all of it can be seen. */
static bool
covered_part (AppCanvas *self, graphene_rect_t *out)
{
  if (self->cover == NULL || !gtk_revealer_get_reveal_child (self->cover)
      || !gtk_widget_get_mapped (GTK_WIDGET (self->cover)))
    return false;
  return gtk_widget_compute_bounds (GTK_WIDGET (self->cover), GTK_WIDGET (self), out);
}

/* Where a glass of radius R covers least: sixteen directions, five distances, whole in view and clear of the
 * card.  False where there is no such place: half a glass shows nothing. */
static bool
glass_place (AppCanvas *self, GeomPoint place, double radius, GeomPoint *best)
{
  double width = gtk_widget_get_width (GTK_WIDGET (self)), height = gtk_widget_get_height (GTK_WIDGET (self));
  GPtrArray *outlines = app_pick_index_outlines (self->index);
  graphene_rect_t card;
  bool covered = covered_part (self, &card);
  double least = INFINITY;
  for (int ring = 0; ring < 5; ring++)
    for (int i = 0; i < 16; i++)
    {
      double angle = 2.0 * G_PI * i / 16.0, far = radius + 48.0 + 70.0 * ring;
      GeomPoint c = { place.x + far * cos (angle), place.y + far * sin (angle) };
      if (c.x < radius + 14 || c.y < radius + 14 || c.x > width - radius - 14 || c.y > height - radius - 40)
        continue;
      graphene_rect_t box = GRAPHENE_RECT_INIT ((float)(c.x - radius), (float)(c.y - radius),
                                                (float)(2 * radius), (float)(2 * radius));
      graphene_rect_t whole = { box.origin, { box.size.width, box.size.height + CAPTION_PX } };
      if (covered && overlap (whole, card) > 0.0)
        continue;
      double cost = 14.0 * far;
      for (guint k = 0; k < outlines->len; k++)
      {
        GeomBox b = ((const AppOutline *)g_ptr_array_index (outlines, k))->box;
        double x0, y0, x1, y1;
        app_canvas_to_widget (self, geom_point (b.x0, b.y1), &x0, &y0);
        app_canvas_to_widget (self, geom_point (b.x1, b.y0), &x1, &y1);
        cost += overlap (box, GRAPHENE_RECT_INIT ((float)x0, (float)y0, (float)(x1 - x0), (float)(y1 - y0)));
      }
      if (cost < least)
      {
        least = cost;
        *best = c;
      }
    }
  return isfinite (least);
}

static void
draw_leader (cairo_t *cr, const OutputInk *ink, GeomPoint place, GeomPoint c)
{
  GeomPoint d = geom_unit (geom_sub (c, place));
  cairo_move_to (cr, place.x + d.x * APP_FINDING_RING_PX, place.y + d.y * APP_FINDING_RING_PX);
  cairo_line_to (cr, c.x - d.x * GLASS_PX, c.y - d.y * GLASS_PX);
  output_set_tone (cr, ink, OUTPUT_TONE_INK);
  cairo_set_line_width (cr, 1.2);
  cairo_stroke (cr);
}

static void
draw_rim (cairo_t *cr, const OutputInk *ink, GeomPoint c)
{
  cairo_arc (cr, c.x, c.y, GLASS_PX, 0.0, 2.0 * G_PI);
  output_set_tone (cr, ink, OUTPUT_TONE_STEEL_2);
  cairo_set_line_width (cr, 5.0);
  cairo_stroke (cr);
  output_set_tone (cr, ink, OUTPUT_TONE_INK_2);
  cairo_set_line_width (cr, 1.2);
  for (int i = -1; i <= 1; i += 2)
  {
    cairo_arc (cr, c.x, c.y, GLASS_PX + i * 2.5, 0.0, 2.0 * G_PI);
    cairo_stroke (cr);
  }
}

static void
glass_panel (AppCanvas *self,
             cairo_t *cr,
             const OutputInk *ink,
             const OutputView *view,
             guint panel_id,
             ModelSide side,
             const GeomPath *run,
             bool second)
{
  const AppOutline *outline = app_pick_index_outline (self->index, panel_id, side);
  if (outline == NULL)
    outline = app_pick_index_outline (self->index, panel_id, MODEL_SIDE_CENTRE);
  if (outline == NULL)
    return;
  output_trace_path (cr, view, &outline->path);
  output_set_tone (cr, ink, OUTPUT_TONE_FACE);
  cairo_fill_preserve (cr);
  output_set_tone (cr, ink, OUTPUT_TONE_INK);
  cairo_set_line_width (cr, 1.8);
  cairo_stroke (cr);
  if (run != NULL)
  {
    output_trace_path (cr, view, run);
    output_set_tone (cr, ink, second ? OUTPUT_TONE_OCHRE : OUTPUT_TONE_BLUE);
    cairo_set_line_width (cr, 4.0);
    cairo_stroke (cr);
  }
}

/* The partner laid against the run as in the finished piece: its point ALONG_B on ALONG_A, its direction the
 * same, a knife's width apart. */
static GeomAffine
laid_against (const AppDiffering *d, double along_a, double along_b, double apart_mm)
{
  GeomPlace pa = geom_path_place_at (&d->a, along_a, LENGTH_ACCURACY_MM),
            pb = geom_path_place_at (&d->b, along_b, LENGTH_ACCURACY_MM);
  GeomPoint a = geom_path_point (&d->a, pa), b = geom_path_point (&d->b, pb);
  GeomPoint ta = geom_unit (geom_path_tangent (&d->a, pa)), tb = geom_unit (geom_path_tangent (&d->b, pb));
  double turn = atan2 (geom_cross (tb, ta), geom_dot (tb, ta));
  GeomAffine map = geom_affine_after (geom_affine_move (a.x - b.x, a.y - b.y), geom_affine_turn (b, turn));
  GeomPoint off = geom_right_of (ta);
  return geom_affine_after (geom_affine_move (off.x * apart_mm, off.y * apart_mm), map);
}

static void
glass_dimension (AppCanvas *self, cairo_t *cr, const OutputInk *ink, GeomPoint p, GeomPoint q, double mm)
{
  /* Measured along the two ends, drawn left of both. */
  double x = MIN (p.x, q.x) - 22.0;
  GeomPoint d = geom_unit (geom_sub (q, p));
  bool upright = fabs (d.y) >= fabs (d.x);
  const double dots[2] = { 1.5, 3.0 };
  output_set_tone (cr, ink, OUTPUT_TONE_INK);
  cairo_set_line_width (cr, 1.2);
  cairo_set_dash (cr, dots, 2, 0.0);
  GeomPoint a, b;
  if (upright)
  {
    a = geom_point (x, p.y);
    b = geom_point (x, q.y);
  }
  else
  {
    double y = MIN (p.y, q.y) - 22.0;
    a = geom_point (p.x, y);
    b = geom_point (q.x, y);
  }
  cairo_move_to (cr, p.x, p.y);
  cairo_line_to (cr, a.x, a.y);
  cairo_move_to (cr, q.x, q.y);
  cairo_line_to (cr, b.x, b.y);
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);
  cairo_move_to (cr, a.x, a.y);
  cairo_line_to (cr, b.x, b.y);
  cairo_stroke (cr);
  GeomPoint along = geom_unit (geom_sub (b, a));
  for (int end = 0; end < 2; end++)
  {
    GeomPoint tip = end == 0 ? a : b, back = geom_scale (along, end == 0 ? 6.0 : -6.0),
              across = geom_scale (geom_left_of (along), 3.0);
    cairo_move_to (cr, tip.x, tip.y);
    cairo_line_to (cr, tip.x + back.x + across.x, tip.y + back.y + across.y);
    cairo_line_to (cr, tip.x + back.x - across.x, tip.y + back.y - across.y);
    cairo_fill (cr);
  }
  g_autofree char *figure = app_canvas_figure (self, mm);
  double width, height;
  output_measure_text (cr, 13.0, true, figure, &width, &height);
  GeomPoint middle = geom_mix (a, b, 0.5);
  if (upright)
    middle.x -= width / 2.0 + 8.0;
  else
    middle.y -= 12.0;
  output_draw_text (cr, ink, middle.x, middle.y, 0.0, 13.0, true, OUTPUT_TONE_INK, -1, figure);
}

static void
glass_content (
  AppCanvas *self, cairo_t *cr, const OutputInk *ink, const AppDiffering *d, GeomPoint c, double larger)
{
  double scale = self->scale * larger;
  OutputView view = { .scale = scale };
  double shorter = MIN (d->to_a - d->from_a, d->to_b - d->from_b),
         back = MIN (GLASS_PX * 0.7 / scale, shorter);
  GeomAffine lay = laid_against (d, d->from_a + shorter - back, d->from_b + shorter - back, 14.0 / scale);
  GeomPoint end_a = geom_path_point (&d->a, geom_path_place_at (&d->a, d->to_a, LENGTH_ACCURACY_MM));
  GeomPoint end_b = geom_affine_apply (
    lay, geom_path_point (&d->b, geom_path_place_at (&d->b, d->to_b, LENGTH_ACCURACY_MM)));
  GeomPoint middle = geom_mix (end_a, end_b, 0.5);
  view.to_device = (GeomAffine) { scale, 0.0, 0.0, -scale, c.x - middle.x * scale, c.y + middle.y * scale };
  OutputView partner = view;
  partner.to_device = geom_affine_after (view.to_device, lay);
  glass_panel (self, cr, ink, &view, d->panel_a, d->side_a, &d->a, false);
  glass_panel (self, cr, ink, &partner, d->panel_b, d->side_b, &d->b, true);
  GeomPath part;
  geom_path_init (&part);
  app_differing_part (d, &part);
  output_draw_disagreeing (cr, d->over_mm > 0.0 ? &partner : &view, ink, &part);
  geom_path_clear (&part);
  glass_dimension (self, cr, ink, device_of (&view, end_a), device_of (&view, end_b), fabs (d->over_mm));
}

/* ---- a kink ---- */

/* The way in which the edge beside the seam leaves CORNER; SEAM: the way in which the seam does.  False:
 * there is no corner of the outline there. */
static bool
way_beside (const AppOutline *outline, GeomPoint corner, GeomPoint seam, GeomPoint *way)
{
  size_t count = outline->path.count;
  for (size_t i = 0; i < count; i++)
  {
    const GeomCubic *next = &outline->path.piece[i], *before = &outline->path.piece[(i + count - 1) % count];
    if (geom_distance (next->p[0], corner) > SHOWN_MM)
      continue;
    GeomPoint on = geom_unit (geom_cubic_tangent (next, 0.0));
    GeomPoint back = geom_scale (geom_unit (geom_cubic_tangent (before, 1.0)), -1.0);
    *way = geom_dot (on, seam) > geom_dot (back, seam) ? back : on;
    return true;
  }
  return false;
}

static const AppOutline *
outline_of (AppCanvas *self, guint panel_id, ModelSide side)
{
  const AppOutline *outline = app_pick_index_outline (self->index, panel_id, side);
  return outline != NULL ? outline : app_pick_index_outline (self->index, panel_id, MODEL_SIDE_CENTRE);
}

/* How the seam leaves its end into the runs. */
static GeomPoint
seam_way (const GeomPath *run, bool at_end)
{
  const GeomCubic *c = &run->piece[at_end ? run->count - 1 : 0];
  GeomPoint way = geom_unit (geom_cubic_tangent (c, at_end ? 1.0 : 0.0));
  return at_end ? geom_scale (way, -1.0) : way;
}

/* A's edge goes on as dots, B's really goes where the arc ends. */
static void
kink_angle (AppCanvas *self,
            cairo_t *cr,
            const OutputInk *ink,
            const AppDiffering *d,
            bool at_end,
            GeomAffine lay,
            GeomPoint corner_a,
            GeomPoint c)
{
  const AppOutline *a = outline_of (self, d->panel_a, d->side_a),
                   *b = outline_of (self, d->panel_b, d->side_b);
  GeomPoint corner_b = at_end ? d->b.piece[d->b.count - 1].p[3] : d->b.piece[0].p[0], way_a, way_b;
  if (a == NULL || b == NULL || !way_beside (a, corner_a, seam_way (&d->a, at_end), &way_a)
      || !way_beside (b, corner_b, seam_way (&d->b, at_end), &way_b))
    return;
  way_b = geom_affine_apply_vector (lay, way_b);
  const double dots[2] = { 1.5, 3.0 }, far = GLASS_PX * 0.72;
  output_set_tone (cr, ink, OUTPUT_TONE_INK);
  cairo_set_line_width (cr, 1.4);
  cairo_set_dash (cr, dots, 2, 0.0);
  cairo_move_to (cr, c.x, c.y);
  cairo_line_to (cr, c.x - way_a.x * far, c.y + way_a.y * far);
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);
  double from = atan2 (way_a.y, -way_a.x), to = atan2 (-way_b.y, way_b.x),
         turn = remainder (to - from, 2.0 * G_PI);
  cairo_new_path (cr);
  if (turn >= 0.0)
    cairo_arc (cr, c.x, c.y, far * 0.85, from, from + turn);
  else
    cairo_arc_negative (cr, c.x, c.y, far * 0.85, from, from + turn);
  output_set_tone (cr, ink, OUTPUT_TONE_MADDER);
  cairo_set_line_width (cr, 3.0);
  cairo_stroke (cr);
}

static void
kink_content (
  AppCanvas *self, cairo_t *cr, const OutputInk *ink, const AppDiffering *d, bool at_end, GeomPoint c)
{
  double scale = self->scale * KINK_LARGER;
  GeomPoint corner = at_end ? d->a.piece[d->a.count - 1].p[3] : d->a.piece[0].p[0];
  GeomAffine lay = laid_against (d, at_end ? geom_path_length (&d->a, LENGTH_ACCURACY_MM) : 0.0,
                                 at_end ? geom_path_length (&d->b, LENGTH_ACCURACY_MM) : 0.0, 0.0);
  OutputView view = { .scale = scale }, partner = view;
  view.to_device = (GeomAffine) { scale, 0.0, 0.0, -scale, c.x - corner.x * scale, c.y + corner.y * scale };
  partner.to_device = geom_affine_after (view.to_device, lay);
  glass_panel (self, cr, ink, &view, d->panel_a, d->side_a, &d->a, false);
  glass_panel (self, cr, ink, &partner, d->panel_b, d->side_b, &d->b, true);
  kink_angle (self, cr, ink, d, at_end, lay, corner, c);
}

static char *
kink_caption (AppCanvas *self, const EngineFinding *finding, const EngineJoinReading *reading)
{
  double off = fabs (finding->difference);
  double step = engine_join_step_mm (app_session_review (self->session), reading,
                                     engine_join_truth_is_at_end (finding));
  if (step < SHOWN_MM)
    /* Translators: below a looking glass: an angle, how much larger. */
    return g_strdup_printf (_ ("laid together: %1$.1f°, %2$d times larger"), off, (int)KINK_LARGER);
  g_autofree char *length = app_canvas_length (self, step);
  /* Translators: below a looking glass: an angle, a length, how much larger. */
  return g_strdup_printf (_ ("laid together: %1$.1f° and a step of %2$s, %3$d times larger"), off, length,
                          (int)KINK_LARGER);
}

/* ---- the glass as a whole ---- */

static void
draw_caption (cairo_t *cr, const OutputInk *ink, GeomPoint c, const char *caption)
{
  output_draw_text (cr, ink, c.x, c.y + GLASS_PX + 15.0, 0.0, 12.0, false, OUTPUT_TONE_INK_2,
                    OUTPUT_TONE_CANVAS, caption);
}

static void
open_glass (cairo_t *cr, const OutputInk *ink, GeomPoint place, GeomPoint c)
{
  draw_leader (cr, ink, place, c);
  cairo_save (cr);
  cairo_arc (cr, c.x, c.y, GLASS_PX, 0.0, 2.0 * G_PI);
  output_set_tone (cr, ink, ink->slate ? OUTPUT_TONE_CANVAS : OUTPUT_TONE_GRID);
  cairo_fill_preserve (cr);
  cairo_clip (cr);
}

static void
close_glass (cairo_t *cr, const OutputInk *ink, GeomPoint c)
{
  cairo_restore (cr);
  draw_rim (cr, ink, c);
}

void
app_canvas_draw_glass (AppCanvas *self, cairo_t *cr)
{
  const EngineFinding *finding = &app_session_selection (self->session)->finding;
  double width = gtk_widget_get_width (GTK_WIDGET (self)), height = gtk_widget_get_height (GTK_WIDGET (self));
  GeomPoint place;
  app_canvas_to_widget (self, finding->at, &place.x, &place.y);
  bool room = width >= 600.0 && height >= 420.0 && place.x >= 0.0 && place.y >= 0.0 && place.x <= width
              && place.y <= height;
  GeomPoint c = place;
  if (!room || finding->check == NULL)
    return;
  const OutputInk *ink = app_canvas_ink (self);
  AppDiffering differing = { 0 };
  EngineJoinReading reading;
  if (g_str_equal (finding->check->name, "join-truth"))
  {
    if (find_runs (self, finding, &differing, &reading) && glass_place (self, place, GLASS_PX + 5.0, &c))
    {
      open_glass (cr, ink, place, c);
      kink_content (self, cr, ink, &differing, engine_join_truth_is_at_end (finding), c);
      close_glass (cr, ink, c);
      g_autofree char *caption = kink_caption (self, finding, &reading);
      draw_caption (cr, ink, c, caption);
    }
  }
  else if (app_differing_find (self, finding, &differing) && glass_place (self, place, GLASS_PX + 5.0, &c))
  {
    double larger = CLAMP (34.0 / MAX (fabs (differing.over_mm) * self->scale, 1e-6), 4.0, 8.0);
    open_glass (cr, ink, place, c);
    glass_content (self, cr, ink, &differing, c, larger);
    close_glass (cr, ink, c);
    int times = (int)lround (larger);
    g_autofree char *caption
      = g_strdup_printf (ngettext ("%d times larger", "%d times larger", times), times);
    draw_caption (cr, ink, c, caption);
  }
  app_differing_clear (&differing);
}
