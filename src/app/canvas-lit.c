/* What is selected, under the pointer, found or previewed, as small nodes over the pieces, in shifted px. */
#include "app/canvas-private.h"

#include <glib/gi18n.h>

#define LENGTH_ACCURACY_MM 1e-4
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
    /* No halo: it would cover the letters along the outline.  A breath of blue on the face tells it as well.
     */
    const OutputColour *blue = &ink->tone[OUTPUT_TONE_BLUE];
    cairo_set_source_rgba (cr, blue->red, blue->green, blue->blue, 0.06);
    cairo_fill_preserve (cr);
    cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
    output_set_tone (cr, ink, OUTPUT_TONE_BLUE);
    cairo_set_line_width (cr, ink->cut.width + 1.0);
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

/* Marks and letters along a lit run, drawn again over it and in its colour: all of the piece's are drawn, and
 * only what lies along the run is let through. */
static void
light_letters (AppCanvas *self,
               const OutputView *view,
               const OutputInk *ink,
               const ModelPanel *panel,
               ModelSide side,
               const GeomPath *path,
               OutputTone tone)
{
  bool opened = app_canvas_is_opened (panel), fold = panel->halves == MODEL_HALVES_FOLD;
  EngineReview *review = app_session_review (self->session);
  const EnginePiece *piece = engine_review_piece (review, panel->id, fold ? MODEL_SIDE_CENTRE : side);
  if (piece == NULL || !ink->points_allowed)
    return;
  cairo_t *cr = app_canvas_record ();
  OutputInk coloured = *ink;
  coloured.tone[OUTPUT_TONE_INK] = ink->tone[tone];
  double x0, y0, x1, y1;
  output_trace_path (cr, view, path);
  cairo_path_extents (cr, &x0, &y0, &x1, &y1);
  double reach = 2.6 * ink->letter_radius;
  cairo_new_path (cr);
  cairo_rectangle (cr, x0 - reach, y0 - reach, x1 - x0 + 2.0 * reach, y1 - y0 + 2.0 * reach);
  cairo_clip (cr);
  cairo_push_group (cr);
  output_draw_piece (cr, view, &coloured, review, piece, fold && !opened,
                     OUTPUT_DRAW_MARKS | OUTPUT_DRAW_LETTERS);
  cairo_pattern_t *drawn = cairo_pop_group (cr);
  cairo_push_group (cr);
  output_trace_path (cr, view, path);
  cairo_set_line_width (cr, reach);
  cairo_set_source_rgb (cr, 0.0, 0.0, 0.0);
  cairo_stroke (cr);
  cairo_pattern_t *along = cairo_pop_group (cr);
  cairo_set_source (cr, drawn);
  cairo_mask (cr, along);
  cairo_pattern_destroy (drawn);
  cairo_pattern_destroy (along);
  keep (self, cr);
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
        if (pass == 0)
          light_letters (self, view, ink, panel, outline->side, &path, OUTPUT_TONE_BLUE);
      }
      geom_path_clear (&path);
    }
}

/* ---- a join ---- */

/* FLAG: where the first run's figure stands (zero: none yet); the second keeps clear of it.  Returns its own.
 */
static graphene_rect_t
light_run (AppCanvas *self,
           const OutputView *view,
           const OutputInk *ink,
           const ModelRun *run,
           ModelSide side,
           bool second,
           graphene_rect_t other)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), run->panel_id);
  graphene_rect_t flag = other;
  if (panel == NULL || panel->hidden || !app_canvas_side_is_shown (panel, side))
    return flag;
  GeomPath path;
  geom_path_init (&path);
  if (engine_review_run_path (app_session_review (self->session), run, side, &path))
  {
    OutputTone tone = second ? OUTPUT_TONE_OCHRE : OUTPUT_TONE_BLUE;
    cairo_t *cr = app_canvas_record ();
    output_draw_lit (cr, view, ink, &path, second);
    keep (self, cr);
    light_letters (self, view, ink, panel, side, &path, tone);
    cr = app_canvas_record ();
    g_autofree char *figure = app_canvas_figure (self, geom_path_length (&path, LENGTH_ACCURACY_MM));
    /* On the leather: a run that goes the other way round has it on its right. */
    bool mirrored = side != panel->side && panel->halves != MODEL_HALVES_SINGLE && side != MODEL_SIDE_CENTRE;
    double inward = run->reversed != mirrored ? 1.0 : -1.0;
    GeomPoint at = beside_path (view, &path, 0.78, 48.0, inward);
    graphene_rect_t box = GRAPHENE_RECT_INIT ((float)at.x - 34.0f, (float)at.y - 16.0f, 68.0f, 32.0f);
    if (second && graphene_rect_intersection (&box, &other, NULL))
      at.y = other.origin.y + other.size.height + 22.0;
    flag = app_canvas_draw_flag (cr, ink, at.x, at.y, figure, (int)tone);
    keep (self, cr);
  }
  geom_path_clear (&path);
  return flag;
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
    if (app_canvas_reading_is_shown (self, join, &readings[i]))
    {
      graphene_rect_t first
        = light_run (self, view, ink, &join->a, readings[i].side_a, false, (graphene_rect_t) { 0 });
      light_run (self, view, ink, &join->b, readings[i].side_b, true, first);
    }
}

/* ---- a finding ---- */

/* The way from the middle of the panel at the place to the place: there the paper is bare. */
static GeomPoint
away_from_leather (AppCanvas *self, const OutputView *view, const EngineFinding *finding)
{
  AppPick pick = app_pick_at (self->index, finding->at, 2.0, APP_PICK_EDGES, 0);
  const AppOutline *outline
    = pick.kind == APP_PICK_EDGE ? app_pick_index_outline (self->index, pick.panel_id, pick.side) : NULL;
  if (outline == NULL)
    return geom_point (0.0, 1.0);
  GeomBox box = outline->box;
  GeomPoint middle = on_device (view, geom_point ((box.x0 + box.x1) / 2.0, (box.y0 + box.y1) / 2.0));
  return geom_unit (geom_sub (on_device (view, finding->at), middle));
}

static void
light_finding (AppCanvas *self, const OutputView *view, const OutputInk *ink)
{
  const AppSelection *s = app_session_selection (self->session);
  if (!s->has_finding)
    return;
  const EngineFinding *finding = &s->finding;
  cairo_t *cr = app_canvas_record ();
  AppDiffering differing = { 0 };
  if (app_differing_find (self, finding, &differing) && finding->unit != NULL
      && g_str_equal (finding->unit, "mm"))
  {
    GeomPath part;
    geom_path_init (&part);
    app_differing_part (&differing, &part);
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
  app_differing_clear (&differing);
  if (finding->has_at)
  {
    GeomPoint p = on_device (view, finding->at);
    cairo_arc (cr, p.x, p.y, APP_FINDING_RING_PX, 0.0, 2.0 * G_PI);
    output_set_tone (cr, ink, OUTPUT_TONE_INK);
    cairo_set_line_width (cr, 1.4);
    cairo_stroke (cr);
    if (isfinite (finding->difference) && finding->unit != NULL && g_str_equal (finding->unit, "mm"))
    {
      g_autofree char *figure = app_canvas_figure (self, fabs (finding->difference));
      GeomPoint away = away_from_leather (self, view, finding);
      output_draw_text (cr, ink, p.x + away.x * 34.0, p.y + away.y * 28.0, 0.0, 13.0, true,
                        OUTPUT_TONE_MADDER, OUTPUT_TONE_CANVAS, figure);
    }
  }
  keep (self, cr);
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

/* All that only one of the two outlines has, lightly hatched: what would be gained and what would go. */
static void
hatch_between (
  cairo_t *cr, const OutputView *view, const OutputInk *ink, const GeomPath *was, const GeomPath *will)
{
  double x0, y0, x1, y1;
  cairo_save (cr);
  output_trace_path (cr, view, was);
  output_trace_path (cr, view, will);
  cairo_set_fill_rule (cr, CAIRO_FILL_RULE_EVEN_ODD);
  cairo_clip (cr);
  cairo_clip_extents (cr, &x0, &y0, &x1, &y1);
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
}

static void
preview_edge (AppCanvas *self,
              cairo_t *cr,
              const OutputView *view,
              const OutputInk *ink,
              const GeomPath *was,
              GeomPath *will)
{
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
  if (old_path.count > 0 && new_path.count > 0 && self->preview_shown >= 1.0)
    hatch_between (cr, view, ink, &old_path, &new_path);
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
    if (self->hover_flag && (self->kind == APP_TOOL_CHOOSE || self->kind == APP_TOOL_SHAPE))
    {
      cr = app_canvas_record ();
      add_flag (self, cr, view, ink, outline, edge, &path, -1);
      keep (self, cr);
    }
  }
  geom_path_clear (&path);
}

static void
light_comb (AppCanvas *self, const OutputView *view, const OutputInk *ink)
{
  if (!self->comb)
    return;
  cairo_t *cr = app_canvas_record ();
  app_canvas_draw_comb (self, cr, view, ink);
  keep (self, cr);
}

static void
light_doming (AppCanvas *self, const OutputView *view, const OutputInk *ink)
{
  if (!self->doming)
    return;
  cairo_t *cr = app_canvas_record ();
  app_canvas_draw_doming (self, cr, view, ink);
  keep (self, cr);
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
  light_comb (self, &view, ink);
  light_doming (self, &view, ink);
  light_hover (self, &view, ink);
}
