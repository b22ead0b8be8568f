/* What is selected, under the pointer, found or previewed, as small nodes over the pieces.
 *
 * Everything here is drawn in shifted px but the looking glass, which looks for a free place in the view.
 */
#include "app/canvas-private.h"

#include <glib/gi18n.h>

#define LENGTH_ACCURACY_MM 1e-4
#define RING_PX 15.0
#define GLASS_PX 92.0
#define POINT_PX 11.0

/* ---- small drawings the tools share ---- */

void
app_canvas_rounded (cairo_t *cr, double x, double y, double width, double height, double radius)
{
  double r = MIN (radius, MIN (width, height) / 2.0);
  cairo_new_sub_path (cr);
  cairo_arc (cr, x + width - r, y + r, r, -G_PI_2, 0.0);
  cairo_arc (cr, x + width - r, y + height - r, r, 0.0, G_PI_2);
  cairo_arc (cr, x + r, y + height - r, r, G_PI_2, G_PI);
  cairo_arc (cr, x + r, y + r, r, G_PI, 1.5 * G_PI);
  cairo_close_path (cr);
}

void
app_canvas_draw_card (cairo_t *cr, const OutputInk *ink, double x, double y, double width, double height)
{
  for (int i = 3; i >= 1; i--)
  {
    app_canvas_rounded (cr, x - i, y - i + 1.5, width + 2 * i, height + 2 * i, 5.0 + i);
    cairo_set_source_rgba (cr, 0.0, 0.0, 0.0, ink->slate ? 0.10 : 0.035);
    cairo_fill (cr);
  }
  app_canvas_rounded (cr, x, y, width, height, 5.0);
  output_set_tone (cr, ink, OUTPUT_TONE_CARD);
  cairo_fill (cr);
}

graphene_rect_t
app_canvas_draw_flag (cairo_t *cr, const OutputInk *ink, double x, double y, const char *text, int tone)
{
  double width, height;
  output_measure_text (cr, 13.0, true, text, &width, &height);
  double w = ceil (width) + 18.0, h = tone >= 0 ? 28.0 : 24.0;
  double left = floor (x - w / 2.0), top = floor (y - h / 2.0);
  app_canvas_draw_card (cr, ink, left, top, w, h);
  output_draw_text (cr, ink, left + w / 2.0, top + (tone >= 0 ? 12.0 : h / 2.0), 0.0, 13.0, true,
                    OUTPUT_TONE_INK, -1, text);
  if (tone >= 0)
  {
    output_set_tone (cr, ink, (OutputTone)tone);
    cairo_rectangle (cr, left + 8.0, top + h - 6.0, w - 16.0, 2.0);
    cairo_fill (cr);
  }
  return GRAPHENE_RECT_INIT ((float)left, (float)top, (float)w, (float)h);
}

void
app_canvas_draw_point (
  cairo_t *cr, const OutputInk *ink, AppPoint what, double x, double y, OutputTone tone, bool filled)
{
  double r = POINT_PX / 2.0;
  cairo_new_path (cr);
  switch (what)
  {
  case APP_POINT_CORNER:
    cairo_rectangle (cr, x - r, y - r, 2.0 * r, 2.0 * r);
    break;
  case APP_POINT_NODE:
    cairo_arc (cr, x, y, r, 0.0, 2.0 * G_PI);
    break;
  case APP_POINT_HANDLE:
    r = POINT_PX / 2.0 - 0.5;
    cairo_move_to (cr, x, y - r);
    cairo_line_to (cr, x + r, y);
    cairo_line_to (cr, x, y + r);
    cairo_line_to (cr, x - r, y);
    cairo_close_path (cr);
    break;
  }
  output_set_tone (cr, ink, filled ? tone : OUTPUT_TONE_CARD);
  cairo_fill_preserve (cr);
  output_set_tone (cr, ink, tone);
  cairo_set_line_width (cr, what == APP_POINT_HANDLE ? 1.4 : 2.0);
  cairo_stroke (cr);
}

/* ---- building ---- */

static void
keep (AppCanvas *self, cairo_t *cr)
{
  GskRenderNode *node = app_canvas_recorded (cr);
  if (node != NULL)
    g_ptr_array_add (self->lit, node);
}

static GeomPoint
on_device (const OutputView *view, GeomPoint at)
{
  return geom_affine_apply (view->to_device, at);
}

/* The middle of a path, moved out of the leather by PX.  OUTWARD -1 for a path that runs clockwise. */
static GeomPoint
beside_path (const OutputView *view, const GeomPath *path, double share, double px, double outward)
{
  double length = geom_path_length (path, LENGTH_ACCURACY_MM);
  GeomPlace place = geom_path_place_at (path, share * length, LENGTH_ACCURACY_MM);
  GeomPoint at = geom_path_point (path, place),
            normal = geom_unit (geom_right_of (geom_path_tangent (path, place)));
  GeomPoint device = on_device (view, at);
  return geom_point (device.x + outward * px * normal.x, device.y - outward * px * normal.y * 0.6);
}

static bool
side_is_shown (const ModelPanel *panel, ModelSide side)
{
  return panel->halves == MODEL_HALVES_SINGLE || side == MODEL_SIDE_CENTRE || side == panel->side
         || app_canvas_is_opened (panel);
}

static void
light_panels (AppCanvas *self, const OutputView *view, const OutputInk *ink)
{
  const AppSelection *s = app_session_selection (self->session);
  if (s->edges->len > 0 || s->nodes->len > 0 || s->join_id != 0)
    return;
  GPtrArray *outlines = app_pick_index_outlines (self->index);
  for (guint i = 0; i < outlines->len; i++)
  {
    const AppOutline *outline = (const AppOutline *)g_ptr_array_index (outlines, i);
    if (!app_selection_has_panel (s, outline->panel_id))
      continue;
    cairo_t *cr = app_canvas_record ();
    output_trace_path (cr, view, &outline->path);
    cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
    output_set_tone (cr, ink, OUTPUT_TONE_BLUE_SOFT);
    cairo_set_line_width (cr, ink->halo_width * 0.75);
    cairo_stroke_preserve (cr);
    output_set_tone (cr, ink, OUTPUT_TONE_BLUE);
    cairo_set_line_width (cr, ink->cut.width + 0.4);
    cairo_stroke (cr);
    keep (self, cr);
  }
}

static void
draw_stem (cairo_t *cr,
           const OutputView *view,
           const OutputInk *ink,
           const ModelPanel *panel,
           ModelSide side,
           guint node_id,
           ModelHandle handle,
           OutputTone tone)
{
  GeomPoint at, end;
  if (!model_shape_where (panel, side, node_id, MODEL_HANDLE_NONE, &at)
      || !model_shape_where (panel, side, node_id, handle, &end) || geom_same_point (at, end))
    return;
  GeomPoint a = on_device (view, at), b = on_device (view, end);
  cairo_move_to (cr, a.x, a.y);
  cairo_line_to (cr, b.x, b.y);
  output_set_tone (cr, ink, tone);
  cairo_set_line_width (cr, 1.0);
  cairo_stroke (cr);
  app_canvas_draw_point (cr, ink, APP_POINT_HANDLE, b.x, b.y, tone, false);
}

static void
draw_node (cairo_t *cr,
           const OutputView *view,
           const OutputInk *ink,
           const ModelPanel *panel,
           ModelSide side,
           guint node_id,
           bool corner,
           bool chosen,
           OutputTone tone)
{
  GeomPoint at;
  if (!model_shape_where (panel, side, node_id, MODEL_HANDLE_NONE, &at))
    return;
  GeomPoint p = on_device (view, at);
  app_canvas_draw_point (cr, ink, corner ? APP_POINT_CORNER : APP_POINT_NODE, p.x, p.y, tone, chosen);
}

static void
draw_edge_points (AppCanvas *self,
                  cairo_t *cr,
                  const OutputView *view,
                  const OutputInk *ink,
                  const ModelPanel *panel,
                  ModelSide side,
                  guint edge_index)
{
  const AppSelection *s = app_session_selection (self->session);
  const ModelEdge *edge = model_panel_edge (panel, edge_index);
  const ModelNode *last = model_panel_next_node (panel, edge_index, edge->nodes->len - 1);
  OutputTone tone = OUTPUT_TONE_BLUE;
  for (guint i = 0; i < edge->nodes->len; i++)
  {
    const ModelNode *node = model_edge_node (edge, i);
    draw_stem (cr, view, ink, panel, side, node->id, MODEL_HANDLE_OUT, tone);
    if (i > 0)
      draw_stem (cr, view, ink, panel, side, node->id, MODEL_HANDLE_IN, tone);
  }
  draw_stem (cr, view, ink, panel, side, last->id, MODEL_HANDLE_IN, tone);
  for (guint i = 0; i < edge->nodes->len; i++)
  {
    const ModelNode *node = model_edge_node (edge, i);
    draw_node (cr, view, ink, panel, side, node->id, i == 0, app_selection_has_node (s, node->id), tone);
  }
  draw_node (cr, view, ink, panel, side, last->id, true, app_selection_has_node (s, last->id), tone);
}

static void
draw_pins (cairo_t *cr, const OutputView *view, const OutputInk *ink, const GeomPath *path, double outward)
{
  double length = geom_path_length (path, LENGTH_ACCURACY_MM);
  for (int i = 1; i <= 3; i++)
  {
    GeomPlace place = geom_path_place_at (path, length * i / 4.0, LENGTH_ACCURACY_MM);
    GeomPoint p = on_device (view, geom_path_point (path, place)),
              n = geom_unit (geom_right_of (geom_path_tangent (path, place)));
    double dx = outward * n.x * 9.0, dy = -outward * n.y * 9.0;
    output_set_tone (cr, ink, OUTPUT_TONE_INK);
    cairo_set_line_width (cr, 1.5);
    cairo_move_to (cr, p.x - dx * 0.4, p.y - dy * 0.4);
    cairo_line_to (cr, p.x + dx, p.y + dy);
    cairo_stroke (cr);
    cairo_arc (cr, p.x + dx, p.y + dy, 3.0, 0.0, 2.0 * G_PI);
    cairo_fill (cr);
  }
}

static void
add_flag (AppCanvas *self,
          cairo_t *cr,
          const OutputView *view,
          const OutputInk *ink,
          const AppOutline *outline,
          const ModelEdge *edge,
          const GeomPath *path,
          int tone)
{
  double length = geom_path_length (path, LENGTH_ACCURACY_MM);
  g_autofree char *figure = app_canvas_length (self, length);
  g_autofree char *text = edge->locked ? g_strdup_printf (_ ("%s, locked"), figure) : g_strdup (figure);
  GeomPoint at = beside_path (view, path, 0.5, 46.0, outline->twin ? -1.0 : 1.0);
  AppFlag flag = { .panel_id = outline->panel_id, .edge_id = edge->id, .side = outline->side };
  flag.rect = app_canvas_draw_flag (cr, ink, at.x, at.y, text, tone);
  g_array_append_val (self->flags, flag);
}

static bool
edge_has_selected_node (const AppSelection *s, const ModelPanel *panel, guint edge_index)
{
  const ModelEdge *edge = model_panel_edge (panel, edge_index);
  for (guint i = 0; i < edge->nodes->len; i++)
    if (app_selection_has_node (s, model_edge_node (edge, i)->id))
      return true;
  return app_selection_has_node (s, model_panel_next_node (panel, edge_index, edge->nodes->len - 1)->id);
}

static void
light_edges (AppCanvas *self, const OutputView *view, const OutputInk *ink)
{
  const AppSelection *s = app_session_selection (self->session);
  if (s->panels->len != 1 || (s->edges->len == 0 && s->nodes->len == 0))
    return;
  const ModelPanel *panel
    = model_document_panel (app_canvas_document (self), g_array_index (s->panels, guint, 0));
  if (panel == NULL)
    return;
  const AppOutline *outline = app_pick_index_outline (self->index, panel->id, s->side);
  if (outline == NULL)
    outline = app_pick_index_outline (self->index, panel->id, MODEL_SIDE_CENTRE);
  if (outline == NULL)
    return;
  for (int pass = 0; pass < 3; pass++)
    for (guint e = 0; e < panel->edges->len; e++)
    {
      const ModelEdge *edge = model_panel_edge (panel, e);
      bool chosen = app_selection_has_edge (s, edge->id);
      if (!chosen && !edge_has_selected_node (s, panel, e))
        continue;
      GeomPath path;
      geom_path_init (&path);
      if (app_outline_edge_path (outline, panel, edge->id, &path))
      {
        cairo_t *cr = app_canvas_record ();
        if (pass == 0)
          output_draw_lit (cr, view, ink, &path, false);
        else if (pass == 1 && edge->locked)
          draw_pins (cr, view, ink, &path, outline->twin ? -1.0 : 1.0);
        else if (pass == 1)
          draw_edge_points (self, cr, view, ink, panel, outline->side, e);
        else if (s->edges->len == 0 || chosen)
          add_flag (self, cr, view, ink, outline, edge, &path, OUTPUT_TONE_BLUE);
        keep (self, cr);
      }
      geom_path_clear (&path);
    }
}

/* ---- a join ---- */

static void
light_run (AppCanvas *self,
           const OutputView *view,
           const OutputInk *ink,
           const ModelRun *run,
           ModelSide side,
           bool second,
           bool with_flag)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), run->panel_id);
  if (panel == NULL || panel->hidden || !side_is_shown (panel, side))
    return;
  GeomPath path;
  geom_path_init (&path);
  if (engine_review_run_path (app_session_review (self->session), run, side, &path))
  {
    cairo_t *cr = app_canvas_record ();
    output_draw_lit (cr, view, ink, &path, second);
    keep (self, cr);
    if (with_flag)
    {
      cr = app_canvas_record ();
      g_autofree char *figure = app_canvas_figure (self, geom_path_length (&path, LENGTH_ACCURACY_MM));
      /* Outside the leather: a run that goes the other way round has it on its right. */
      bool mirrored
        = side != panel->side && panel->halves != MODEL_HALVES_SINGLE && side != MODEL_SIDE_CENTRE;
      double outward = run->reversed != mirrored ? -1.0 : 1.0;
      GeomPoint at = beside_path (view, &path, 0.78, second ? 44.0 : 44.0, outward);
      app_canvas_draw_flag (cr, ink, at.x, at.y, figure, second ? OUTPUT_TONE_OCHRE : OUTPUT_TONE_BLUE);
      keep (self, cr);
    }
  }
  geom_path_clear (&path);
}

static bool
reading_is_shown (AppCanvas *self, const ModelJoin *join, const EngineJoinReading *reading)
{
  const ModelPanel *a = model_document_panel (app_canvas_document (self), join->a.panel_id);
  const ModelPanel *b = model_document_panel (app_canvas_document (self), join->b.panel_id);
  return (a != NULL && side_is_shown (a, reading->side_a))
         || (b != NULL && side_is_shown (b, reading->side_b));
}

static void
light_join (AppCanvas *self, const OutputView *view, const OutputInk *ink)
{
  const AppSelection *s = app_session_selection (self->session);
  guint join_id = s->join_id != 0 ? s->join_id : s->has_finding ? s->finding.join_id : 0;
  const ModelJoin *join = join_id != 0 ? model_document_join (app_canvas_document (self), join_id) : NULL;
  if (join == NULL)
    return;
  EngineJoinReading readings[2];
  int count = engine_review_join_readings (app_session_review (self->session), join_id, readings);
  for (int i = 0; i < count; i++)
    if (reading_is_shown (self, join, &readings[i]))
    {
      light_run (self, view, ink, &join->a, readings[i].side_a, false, true);
      light_run (self, view, ink, &join->b, readings[i].side_b, true, true);
    }
}

/* ---- a finding ---- */

/* The stretch in which two runs differ most, from one match mark (or start) to the next (or end), and the
 * overhang at its end. */
typedef struct Differing
{
  GeomPath a, b; /* the runs */
  double from_a, to_a, from_b, to_b;
  double over_mm; /* b longer than a in that stretch; negative: a */
  guint panel_a, panel_b;
  ModelSide side_a, side_b;
} Differing;

static void
differing_clear (Differing *differing)
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

static bool
differing_find (AppCanvas *self, const EngineFinding *finding, Differing *out)
{
  geom_path_init (&out->a);
  geom_path_init (&out->b);
  const ModelJoin *join
    = finding->join_id != 0 ? model_document_join (app_canvas_document (self), finding->join_id) : NULL;
  if (join == NULL)
    return false;
  EngineReview *review = app_session_review (self->session);
  EngineJoinReading readings[2];
  int count = engine_review_join_readings (review, join->id, readings), which = -1;
  for (int i = 0; i < count; i++)
    if (reading_is_shown (self, join, &readings[i])
        && (which < 0 || (finding->has_side && readings[i].side == finding->side)))
      which = i;
  if (which < 0)
    return false;
  const EngineJoinReading *r = &readings[which];
  out->panel_a = join->a.panel_id;
  out->panel_b = join->b.panel_id;
  out->side_a = r->side_a;
  out->side_b = r->side_b;
  if (!engine_review_run_path (review, &join->a, r->side_a, &out->a)
      || !engine_review_run_path (review, &join->b, r->side_b, &out->b))
    return false;
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
static void
differing_part (const Differing *d, GeomPath *out)
{
  const GeomPath *path = d->over_mm > 0.0 ? &d->b : &d->a;
  double to = d->over_mm > 0.0 ? d->to_b : d->to_a;
  geom_path_part (path, geom_path_place_at (path, MAX (to - fabs (d->over_mm), 0.0), LENGTH_ACCURACY_MM),
                  geom_path_place_at (path, to, LENGTH_ACCURACY_MM), out);
}

static void
light_finding (AppCanvas *self, const OutputView *view, const OutputInk *ink)
{
  const AppSelection *s = app_session_selection (self->session);
  if (!s->has_finding)
    return;
  const EngineFinding *finding = &s->finding;
  cairo_t *cr = app_canvas_record ();
  Differing differing = { 0 };
  if (differing_find (self, finding, &differing) && finding->unit != NULL
      && g_str_equal (finding->unit, "mm"))
  {
    GeomPath part;
    geom_path_init (&part);
    differing_part (&differing, &part);
    output_draw_disagreeing (cr, view, ink, &part);
    geom_path_clear (&part);
  }
  else if (finding->join_id == 0 && finding->panel_id != 0 && finding->edge_id != 0)
  {
    const ModelPanel *panel = model_document_panel (app_canvas_document (self), finding->panel_id);
    const AppOutline *outline
      = panel != NULL ? app_pick_index_outline (self->index, panel->id, MODEL_SIDE_CENTRE) : NULL;
    GeomPath path;
    geom_path_init (&path);
    if (outline != NULL && app_outline_edge_path (outline, panel, finding->edge_id, &path))
      output_draw_disagreeing (cr, view, ink, &path);
    geom_path_clear (&path);
  }
  differing_clear (&differing);
  if (finding->has_at)
  {
    GeomPoint p = on_device (view, finding->at);
    cairo_arc (cr, p.x, p.y, RING_PX, 0.0, 2.0 * G_PI);
    output_set_tone (cr, ink, OUTPUT_TONE_INK);
    cairo_set_line_width (cr, 1.4);
    cairo_stroke (cr);
    if (isfinite (finding->difference) && finding->unit != NULL && g_str_equal (finding->unit, "mm"))
    {
      g_autofree char *figure = app_canvas_figure (self, fabs (finding->difference));
      output_draw_text (cr, ink, p.x, p.y + RING_PX + 13.0, 0.0, 13.0, true, OUTPUT_TONE_MADDER,
                        OUTPUT_TONE_CANVAS, figure);
    }
  }
  keep (self, cr);
}

/* ---- the looking glass ---- */

static double
overlap (graphene_rect_t a, graphene_rect_t b)
{
  graphene_rect_t both;
  return graphene_rect_intersection (&a, &b, &both) ? (double)both.size.width * both.size.height : 0.0;
}

/* Where a glass of radius R covers least: eight directions, three distances, in the view, away from the foot
 * where the card lies. */
static GeomPoint
glass_place (AppCanvas *self, GeomPoint place, double radius)
{
  double width = gtk_widget_get_width (GTK_WIDGET (self)), height = gtk_widget_get_height (GTK_WIDGET (self));
  GPtrArray *outlines = app_pick_index_outlines (self->index);
  GeomPoint best = { CLAMP (place.x, radius + 16, width - radius - 16), radius + 16 };
  double least = INFINITY;
  for (int ring = 0; ring < 3; ring++)
    for (int i = 0; i < 16; i++)
    {
      double angle = 2.0 * G_PI * i / 16.0, far = radius + 48.0 + 70.0 * ring;
      GeomPoint c = { place.x + far * cos (angle), place.y + far * sin (angle) };
      if (c.x < radius + 14 || c.y < radius + 14 || c.x > width - radius - 14 || c.y > height - radius - 40)
        continue;
      graphene_rect_t box = GRAPHENE_RECT_INIT ((float)(c.x - radius), (float)(c.y - radius),
                                                (float)(2 * radius), (float)(2 * radius));
      double cost = 14.0 * far;
      for (guint k = 0; k < outlines->len; k++)
      {
        GeomBox b = ((const AppOutline *)g_ptr_array_index (outlines, k))->box;
        double x0, y0, x1, y1;
        app_canvas_to_widget (self, geom_point (b.x0, b.y1), &x0, &y0);
        app_canvas_to_widget (self, geom_point (b.x1, b.y0), &x1, &y1);
        cost += overlap (box, GRAPHENE_RECT_INIT ((float)x0, (float)y0, (float)(x1 - x0), (float)(y1 - y0)));
      }
      /* The card is at most 680 wide and 160 high in the middle of the foot. */
      double card = MIN (680.0, width - 32.0);
      cost += 1.5
              * overlap (box, GRAPHENE_RECT_INIT ((float)(width / 2.0 - card / 2.0), (float)(height - 180.0),
                                                  (float)card, 180.0f));
      if (cost < least)
      {
        least = cost;
        best = c;
      }
    }
  return best;
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
laid_against (const Differing *d, double along_a, double along_b, double apart_mm)
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
glass_content (AppCanvas *self,
               cairo_t *cr,
               const OutputInk *ink,
               const EngineFinding *finding,
               GeomPoint c,
               double larger)
{
  double scale = self->scale * larger;
  OutputView view = { .scale = scale };
  Differing d = { 0 };
  if (differing_find (self, finding, &d) && finding->unit != NULL && g_str_equal (finding->unit, "mm"))
  {
    double shorter = MIN (d.to_a - d.from_a, d.to_b - d.from_b), back = MIN (GLASS_PX * 0.7 / scale, shorter);
    GeomAffine lay = laid_against (&d, d.from_a + shorter - back, d.from_b + shorter - back, 14.0 / scale);
    GeomPoint end_a = geom_path_point (&d.a, geom_path_place_at (&d.a, d.to_a, LENGTH_ACCURACY_MM));
    GeomPoint end_b = geom_affine_apply (
      lay, geom_path_point (&d.b, geom_path_place_at (&d.b, d.to_b, LENGTH_ACCURACY_MM)));
    GeomPoint middle = geom_mix (end_a, end_b, 0.5);
    view.to_device = (GeomAffine) { scale, 0.0, 0.0, -scale, c.x - middle.x * scale, c.y + middle.y * scale };
    OutputView partner = view;
    partner.to_device = geom_affine_after (view.to_device, lay);
    glass_panel (self, cr, ink, &view, d.panel_a, d.side_a, &d.a, false);
    glass_panel (self, cr, ink, &partner, d.panel_b, d.side_b, &d.b, true);
    GeomPath part;
    geom_path_init (&part);
    differing_part (&d, &part);
    output_draw_disagreeing (cr, d.over_mm > 0.0 ? &partner : &view, ink, &part);
    geom_path_clear (&part);
    glass_dimension (self, cr, ink, on_device (&view, end_a), on_device (&view, end_b), fabs (d.over_mm));
  }
  else
  {
    view.to_device
      = (GeomAffine) { scale, 0.0, 0.0, -scale, c.x - finding->at.x * scale, c.y + finding->at.y * scale };
    GPtrArray *outlines = app_pick_index_outlines (self->index);
    for (guint i = 0; i < outlines->len; i++)
    {
      const AppOutline *outline = (const AppOutline *)g_ptr_array_index (outlines, i);
      if (geom_box_distance (outline->box, finding->at) < GLASS_PX / scale)
        glass_panel (self, cr, ink, &view, outline->panel_id, outline->side, NULL, false);
    }
    cairo_arc (cr, c.x, c.y, 9.0, 0.0, 2.0 * G_PI);
    output_set_tone (cr, ink, OUTPUT_TONE_MADDER);
    cairo_set_line_width (cr, 2.0);
    cairo_stroke (cr);
  }
  differing_clear (&d);
}

void
app_canvas_draw_glass (AppCanvas *self, cairo_t *cr)
{
  const EngineFinding *finding = &app_session_selection (self->session)->finding;
  double width = gtk_widget_get_width (GTK_WIDGET (self)), height = gtk_widget_get_height (GTK_WIDGET (self));
  GeomPoint place;
  app_canvas_to_widget (self, finding->at, &place.x, &place.y);
  if (width < 600.0 || height < 420.0 || place.x < 0.0 || place.y < 0.0 || place.x > width
      || place.y > height)
    return;
  const OutputInk *ink = app_canvas_ink (self);
  bool sized = isfinite (finding->difference) && finding->unit != NULL && g_str_equal (finding->unit, "mm");
  double larger = sized ? CLAMP (34.0 / MAX (fabs (finding->difference) * self->scale, 1e-6), 4.0, 8.0) : 4.0;
  GeomPoint c = glass_place (self, place, GLASS_PX);
  GeomPoint d = geom_unit (geom_sub (c, place));
  cairo_move_to (cr, place.x + d.x * RING_PX, place.y + d.y * RING_PX);
  cairo_line_to (cr, c.x - d.x * GLASS_PX, c.y - d.y * GLASS_PX);
  output_set_tone (cr, ink, OUTPUT_TONE_INK);
  cairo_set_line_width (cr, 1.2);
  cairo_stroke (cr);

  cairo_save (cr);
  cairo_arc (cr, c.x, c.y, GLASS_PX, 0.0, 2.0 * G_PI);
  output_set_tone (cr, ink, ink->slate ? OUTPUT_TONE_CANVAS : OUTPUT_TONE_GRID);
  cairo_fill_preserve (cr);
  cairo_clip (cr);
  glass_content (self, cr, ink, finding, c, larger);
  cairo_restore (cr);

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
  g_autofree char *caption = g_strdup_printf (
    ngettext ("%d times larger", "%d times larger", (int)lround (larger)), (int)lround (larger));
  output_draw_text (cr, ink, c.x, c.y + GLASS_PX + 15.0, 0.0, 12.0, false, OUTPUT_TONE_INK_2,
                    OUTPUT_TONE_CANVAS, caption);
}

/* ---- preview ---- */

static bool
same_stretch (
  const GeomPath *a, size_t first_a, size_t count_a, const GeomPath *b, size_t first_b, size_t count_b)
{
  if (count_a != count_b)
    return false;
  for (size_t i = 0; i < count_a; i++)
    for (int k = 0; k < 4; k++)
      if (geom_distance (a->piece[first_a + i].p[k], b->piece[first_b + i].p[k]) > 1e-6)
        return false;
  return true;
}

/* The band between what is and what would be, lightly hatched. */
static void
hatch_between (
  cairo_t *cr, const OutputView *view, const OutputInk *ink, const GeomPath *was, const GeomPath *will)
{
  GeomPath loop;
  geom_path_init (&loop);
  geom_path_copy (&loop, will);
  geom_path_reverse (&loop);
  cairo_save (cr);
  output_trace_path (cr, view, was);
  GeomPoint p = on_device (view, loop.piece[0].p[0]);
  cairo_line_to (cr, p.x, p.y);
  for (size_t i = 0; i < loop.count; i++)
  {
    GeomPoint q[4];
    for (int k = 1; k < 4; k++)
      q[k] = on_device (view, loop.piece[i].p[k]);
    cairo_curve_to (cr, q[1].x, q[1].y, q[2].x, q[2].y, q[3].x, q[3].y);
  }
  cairo_close_path (cr);
  double x0, y0, x1, y1;
  cairo_path_extents (cr, &x0, &y0, &x1, &y1);
  cairo_clip (cr);
  output_set_tone (cr, ink, OUTPUT_TONE_PLUM);
  cairo_set_line_width (cr, 1.0);
  double height = y1 - y0;
  if (isfinite (height) && x1 - x0 < 1e5 && height < 1e5)
    for (double x = x0 - height; x < x1; x += 6.0)
    {
      cairo_move_to (cr, x, y1);
      cairo_line_to (cr, x + height, y0);
    }
  cairo_stroke (cr);
  cairo_restore (cr);
  geom_path_clear (&loop);
}

static void
preview_edge (AppCanvas *self,
              cairo_t *cr,
              const OutputView *view,
              const OutputInk *ink,
              const GeomPath *was,
              GeomPath *will)
{
  if (was->count > 0 && will->count > 0 && self->preview_shown >= 1.0)
    hatch_between (cr, view, ink, was, will);
  if (self->preview_shown >= 1.0 || was->count == 0)
  {
    output_draw_preview (cr, view, ink, will);
    return;
  }
  /* Drawn once, from the end that stays to the end that moves. */
  double start = geom_distance (was->piece[0].p[0], will->piece[0].p[0]);
  double end = geom_distance (was->piece[was->count - 1].p[3], will->piece[will->count - 1].p[3]);
  if (end < start)
    geom_path_reverse (will);
  double length = geom_path_length (will, LENGTH_ACCURACY_MM);
  GeomPath shown;
  geom_path_init (&shown);
  geom_path_part (will, (GeomPlace) { 0, 0.0 },
                  geom_path_place_at (will, length * self->preview_shown, LENGTH_ACCURACY_MM), &shown);
  output_draw_preview (cr, view, ink, &shown);
  geom_path_clear (&shown);
}

static void
light_preview_panel (AppCanvas *self,
                     cairo_t *cr,
                     const OutputView *view,
                     const OutputInk *ink,
                     const ModelPanel *will,
                     bool twin)
{
  const ModelPanel *was = model_document_panel (app_canvas_document (self), will->id);
  GeomPath old_path, new_path;
  geom_path_init (&old_path);
  geom_path_init (&new_path);
  g_autofree size_t *old_first = g_new0 (size_t, was != NULL ? was->edges->len + 1 : 1);
  g_autofree size_t *new_first = g_new0 (size_t, will->edges->len + 1);
  void (*trace) (const ModelPanel *, GeomPath *, size_t *) = twin ? model_panel_twin_path : model_panel_path;
  if (was != NULL)
  {
    trace (was, &old_path, old_first);
    old_first[was->edges->len] = old_path.count;
  }
  trace (will, &new_path, new_first);
  new_first[will->edges->len] = new_path.count;
  for (guint e = 0; e < will->edges->len; e++)
  {
    int k = was != NULL ? model_panel_find_edge (was, model_panel_edge (will, e)->id) : -1;
    size_t first = new_first[e], count = new_first[e + 1] - first;
    if (k >= 0
        && same_stretch (&old_path, old_first[k], old_first[k + 1] - old_first[k], &new_path, first, count))
      continue;
    GeomPath a, b;
    geom_path_init (&a);
    geom_path_init (&b);
    for (size_t i = k >= 0 ? old_first[k] : 0; k >= 0 && i < old_first[k + 1]; i++)
      geom_path_append (&a, &old_path.piece[i]);
    for (size_t i = first; i < first + count; i++)
      geom_path_append (&b, &new_path.piece[i]);
    if (b.count > 0)
      preview_edge (self, cr, view, ink, &a, &b);
    geom_path_clear (&a);
    geom_path_clear (&b);
  }
  geom_path_clear (&old_path);
  geom_path_clear (&new_path);
}

static void
light_preview (AppCanvas *self, const OutputView *view, const OutputInk *ink)
{
  const EngineRemedy *remedy = app_session_previewed (self->session);
  if (remedy == NULL)
    return;
  cairo_t *cr = app_canvas_record ();
  for (guint i = 0; i < remedy->parts->len; i++)
  {
    const ModelPart *part = &g_array_index (remedy->parts, ModelPart, i);
    if (part->kind != MODEL_PART_PANEL)
      continue;
    const ModelPanel *panel = part->body;
    light_preview_panel (self, cr, view, ink, panel, false);
    if (app_canvas_is_opened (panel))
      light_preview_panel (self, cr, view, ink, panel, true);
  }
  keep (self, cr);
}

/* ---- hover ---- */

static void
light_hover (AppCanvas *self, const OutputView *view, const OutputInk *ink)
{
  const AppPick *pick = &self->hover;
  if (pick->kind != APP_PICK_EDGE || self->pressed)
    return;
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), pick->panel_id);
  const AppOutline *outline
    = panel != NULL ? app_pick_index_outline (self->index, pick->panel_id, pick->side) : NULL;
  const AppSelection *s = app_session_selection (self->session);
  if (outline == NULL
      || (app_selection_has_panel (s, pick->panel_id) && app_selection_has_edge (s, pick->edge_id)
          && s->side == pick->side))
    return;
  int edge_index = model_panel_find_edge (panel, pick->edge_id);
  GeomPath path;
  geom_path_init (&path);
  if (edge_index >= 0 && app_outline_edge_path (outline, panel, pick->edge_id, &path))
  {
    cairo_t *cr = app_canvas_record ();
    output_trace_path (cr, view, &path);
    output_set_tone (cr, ink, OUTPUT_TONE_INK);
    cairo_set_line_width (cr, ink->cut.width + 1.0);
    cairo_stroke (cr);
    const ModelEdge *edge = model_panel_edge (panel, (guint)edge_index);
    if (edge->locked)
      draw_pins (cr, view, ink, &path, outline->twin ? -1.0 : 1.0);
    keep (self, cr);
    if (self->hover_flag)
    {
      cr = app_canvas_record ();
      add_flag (self, cr, view, ink, outline, edge, &path, -1);
      keep (self, cr);
    }
  }
  geom_path_clear (&path);
}

void
app_canvas_lit_build (AppCanvas *self)
{
  OutputView view = app_canvas_shifted_view (self);
  const OutputInk *ink = app_canvas_ink (self);
  light_panels (self, &view, ink);
  light_join (self, &view, ink);
  light_edges (self, &view, ink);
  light_finding (self, &view, ink);
  light_preview (self, &view, ink);
  light_hover (self, &view, ink);
}
