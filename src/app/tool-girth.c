/* Girth line: drawn straight across one panel after the other; what it crosses becomes its spans, ended by
 * marks without wedges on the outlines.  A neck opening is drawn from edge to edge along one panel's
 * outline. */
#include "app/canvas-private.h"

#include "engine/words.h"

#include <glib/gi18n.h>

#define ACCURACY_MM 1e-6
#define DRAG_PX 4.0
#define SAME_MARK_MM 0.05
#define LEAST_SPAN_MM 1.0

enum
{
  MAX_CUTS = 64
};

typedef struct GirthTool
{
  AppTool tool;
  guint line_id; /* 0: the first stroke makes it */
  bool has_from, has_over;
  GeomPoint from, over, pressed_at;
  AppPick from_pick, over_pick;
} GirthTool;

/* What a stroke crosses of one panel. */
typedef struct Crossed
{
  double t; /* along the stroke */
  guint panel_id;
  GeomPlace a, b;
} Crossed;

static AppTool *
girth_create (AppCanvas *canvas)
{
  GirthTool *self = g_new0 (GirthTool, 1);
  self->tool = (AppTool) { app_tool_class (APP_TOOL_GIRTH), canvas };
  const ModelLine *line = canvas->session != NULL ? app_canvas_chosen_line (canvas) : NULL;
  if (line != NULL && line->kind != MODEL_LINE_GUIDE && line->kind != MODEL_LINE_LEVEL)
  {
    self->line_id = line->id;
    canvas->line_kind = line->kind;
  }
  else if (canvas->line_kind == MODEL_LINE_GUIDE || canvas->line_kind == MODEL_LINE_LEVEL)
    canvas->line_kind = MODEL_LINE_GIRTH;
  return &self->tool;
}

static void
girth_destroy (AppTool *tool)
{
  g_free (tool);
}

static GeomPoint
caught (AppCanvas *canvas, const AppInput *in, AppPick *pick)
{
  *pick = app_pick_none ();
  GeomPoint at = in->at;
  if ((in->state & GDK_CONTROL_MASK) != 0)
    return at;
  *pick = app_pick_at (canvas->index, in->at, app_canvas_catch_mm (canvas, in), APP_PICK_ALL_POINTS, 0);
  if (pick->kind == APP_PICK_NONE)
    *pick = app_pick_at (canvas->index, in->at, app_canvas_catch_mm (canvas, in), APP_PICK_EDGES, 0);
  if (pick->kind != APP_PICK_NONE)
    return pick->at;
  app_canvas_snap_to_lines (canvas, &at);
  return at;
}

static int
by_t (const void *a, const void *b)
{
  const Crossed *x = a, *y = b;
  return x->t < y->t ? -1 : x->t > y->t;
}

typedef struct Cut
{
  double t;
  GeomPlace place;
} Cut;

static int
cut_by_t (const void *a, const void *b)
{
  const Cut *x = a, *y = b;
  return x->t < y->t ? -1 : x->t > y->t;
}

/* The stretches of A to B inside one outline.  An end that lies on the outline counts as a crossing. */
static void
cross_outline (const AppOutline *outline, GeomPoint a, GeomPoint b, GArray *out)
{
  Cut cuts[MAX_CUTS];
  size_t n = 0;
  GeomCubic stroke = { { a, geom_mix (a, b, 1.0 / 3.0), geom_mix (a, b, 2.0 / 3.0), b } };
  for (size_t k = 0; k < outline->path.count; k++)
  {
    GeomCrossing found[9];
    int count = geom_cubic_crossings (&stroke, &outline->path.piece[k], ACCURACY_MM, found, 9);
    for (int i = 0; i < count && n < MAX_CUTS - 2; i++)
      cuts[n++] = (Cut) { found[i].t, { k, found[i].u } };
  }
  for (int end = 0; end < 2; end++)
  {
    GeomPathNearest near = geom_path_nearest (&outline->path, end ? b : a);
    if (near.distance_mm <= SAME_MARK_MM)
      cuts[n++] = (Cut) { end, near.place };
  }
  qsort (cuts, n, sizeof cuts[0], cut_by_t);
  for (size_t i = 0; i + 1 < n; i++)
  {
    GeomPoint middle = geom_mix (a, b, (cuts[i].t + cuts[i + 1].t) / 2.0);
    if ((cuts[i + 1].t - cuts[i].t) * geom_distance (a, b) < LEAST_SPAN_MM
        || !geom_path_contains (&outline->path, middle))
      continue;
    Crossed crossed = { cuts[i].t, outline->panel_id, cuts[i].place, cuts[i + 1].place };
    g_array_append_val (out, crossed);
  }
}

static GArray *
cross_panels (AppCanvas *canvas, GeomPoint a, GeomPoint b)
{
  GArray *out = g_array_new (FALSE, FALSE, sizeof (Crossed));
  GPtrArray *outlines = app_pick_index_outlines (canvas->index);
  GeomBox box = geom_box_with_point (geom_box_with_point (geom_box_empty (), a), b);
  for (guint i = 0; i < outlines->len; i++)
  {
    const AppOutline *outline = (const AppOutline *)g_ptr_array_index (outlines, i);
    if (!outline->twin && geom_box_overlaps (outline->box, box))
      cross_outline (outline, a, b, out);
  }
  g_array_sort (out, by_t);
  return out;
}

/* A mark without wedges at that place of the outline as drawn; one that is there is used again. */
static guint
mark_at (ModelDocument *doc, ModelPanel *panel, const AppOutline *outline, GeomPlace place)
{
  for (guint e = panel->edges->len; e-- > 0;)
  {
    if (outline->first[e] > place.piece)
      continue;
    GeomPath part;
    geom_path_init (&part);
    for (size_t k = outline->first[e]; k <= place.piece; k++)
      geom_path_append (&part, &outline->path.piece[k]);
    ModelMark mark = { .edge_id = model_panel_edge (panel, e)->id };
    mark.at_mm = geom_path_length_to (&part, (GeomPlace) { part.count - 1, place.t }, ACCURACY_MM);
    geom_path_clear (&part);
    for (guint i = 0; i < panel->marks->len; i++)
    {
      const ModelMark *other = &g_array_index (panel->marks, ModelMark, i);
      if (other->edge_id == mark.edge_id && other->wedges == 0
          && fabs (other->at_mm - mark.at_mm) < SAME_MARK_MM)
        return other->id;
    }
    mark.id = model_document_take_id (doc);
    g_array_append_val (panel->marks, mark);
    return mark.id;
  }
  return 0;
}

static const char *
kind_label (ModelLineKind kind, bool fresh)
{
  switch (kind)
  {
  case MODEL_LINE_REACH:
    return fresh ? _ ("Draw reach limit") : _ ("Go on with reach limit");
  case MODEL_LINE_NECK:
    return fresh ? _ ("Draw neck opening") : _ ("Go on with neck opening");
  case MODEL_LINE_GIRTH:
  case MODEL_LINE_GUIDE:
  case MODEL_LINE_LEVEL:
    break;
  }
  return fresh ? _ ("Draw girth line") : _ ("Go on with girth line");
}

static void
put_spans (GirthTool *self, const GArray *crossed)
{
  AppCanvas *canvas = self->tool.canvas;
  ModelDocument *doc = app_canvas_document (canvas);
  ModelHistory *history = app_canvas_history (canvas);
  const ModelLine *was = self->line_id != 0 ? model_document_line (doc, self->line_id) : NULL;
  ModelLine *line = was != NULL ? model_line_copy (was) : model_line_new ();
  if (was == NULL)
    line->kind = canvas->line_kind;
  model_history_begin (history, kind_label (line->kind, was == NULL));
  for (guint i = 0; i < crossed->len; i++)
  {
    const Crossed *one = &g_array_index (crossed, Crossed, i);
    const AppOutline *outline = app_pick_index_outline (canvas->index, one->panel_id, MODEL_SIDE_CENTRE);
    const ModelPanel *panel_was = model_document_panel (doc, one->panel_id);
    if (outline == NULL || panel_was == NULL)
      continue;
    ModelPanel *panel = model_panel_copy (panel_was);
    ModelSpan span = { panel->id, 0, 0 };
    span.a_mark_id = mark_at (doc, panel, outline, one->a);
    span.b_mark_id = mark_at (doc, panel, outline, one->b);
    bool there = false;
    for (guint k = 0; k < line->spans->len; k++)
    {
      const ModelSpan *old = &g_array_index (line->spans, ModelSpan, k);
      there = there
              || (old->panel_id == span.panel_id
                  && (old->a_mark_id == span.a_mark_id || old->a_mark_id == span.b_mark_id)
                  && (old->b_mark_id == span.b_mark_id || old->b_mark_id == span.a_mark_id));
    }
    if (span.a_mark_id != 0 && span.b_mark_id != 0 && span.a_mark_id != span.b_mark_id && !there)
    {
      g_array_append_val (line->spans, span);
      model_history_put_panel (history, panel);
    }
    else
      model_panel_free (panel);
  }
  self->line_id = model_history_put_line (history, line);
  model_history_end (history);
  app_session_select_line (canvas->session, self->line_id);
}

static void
stroke_done (GirthTool *self)
{
  AppCanvas *canvas = self->tool.canvas;
  self->has_from = false;
  g_autoptr (GArray) crossed = NULL;
  if (canvas->line_kind == MODEL_LINE_NECK)
  {
    crossed = g_array_new (FALSE, FALSE, sizeof (Crossed));
    const AppOutline *outline
      = self->from_pick.kind != APP_PICK_NONE && self->from_pick.panel_id == self->over_pick.panel_id
          ? app_pick_index_outline (canvas->index, self->from_pick.panel_id, MODEL_SIDE_CENTRE)
          : NULL;
    if (outline != NULL)
    {
      Crossed one = { 0.0, outline->panel_id, geom_path_nearest (&outline->path, self->from).place,
                      geom_path_nearest (&outline->path, self->over).place };
      g_array_append_val (crossed, one);
    }
  }
  else
    crossed = cross_panels (canvas, self->from, self->over);
  if (crossed->len == 0)
  {
    app_canvas_tell (canvas,
                     canvas->line_kind == MODEL_LINE_NECK
                       ? _ ("Begin and end on edges of the same panel.")
                       : _ ("Nothing was crossed: begin and end on or outside the edges of a panel."));
    return;
  }
  put_spans (self, crossed);
  const ModelLine *line = model_document_line (app_canvas_document (canvas), self->line_id);
  if (line == NULL)
    return;
  g_autofree char *so_far = app_canvas_line_words (canvas, line);
  /* Translators: name and length of the line so far. */
  g_autofree char *words
    = g_strdup_printf (_ ("%s so far. Draw across the next panel; Enter when it is whole."), so_far);
  app_canvas_tell (canvas, words);
}

static void
girth_press (AppTool *tool, const AppInput *in)
{
  GirthTool *self = (GirthTool *)tool;
  if (tool->canvas->session == NULL)
    return;
  self->pressed_at = in->at;
  if (!self->has_from)
  {
    self->from = self->over = caught (tool->canvas, in, &self->from_pick);
    self->over_pick = self->from_pick;
    self->has_from = self->has_over = true;
    return;
  }
  self->over = caught (tool->canvas, in, &self->over_pick);
  stroke_done (self);
}

static void
follow (GirthTool *self, const AppInput *in)
{
  AppPick pick;
  GeomPoint at = caught (self->tool.canvas, in, &pick);
  /* Shift holds it level or upright. */
  if (self->has_from && (in->state & GDK_SHIFT_MASK) != 0)
  {
    bool level = fabs (at.x - self->from.x) >= fabs (at.y - self->from.y);
    at = level ? geom_point (at.x, self->from.y) : geom_point (self->from.x, at.y);
  }
  self->over = at;
  self->over_pick = pick;
  self->has_over = true;
}

static void
girth_motion (AppTool *tool, const AppInput *in)
{
  GirthTool *self = (GirthTool *)tool;
  if (self->has_from && tool->canvas->session != NULL)
    follow (self, in);
}

static void
girth_release (AppTool *tool, const AppInput *in)
{
  GirthTool *self = (GirthTool *)tool;
  if (!self->has_from || tool->canvas->session == NULL
      || geom_distance (self->pressed_at, in->at) * tool->canvas->scale < DRAG_PX)
    return;
  follow (self, in);
  stroke_done (self);
}

static void
girth_hover (AppTool *tool, const AppInput *in)
{
  GirthTool *self = (GirthTool *)tool;
  self->has_over = in != NULL && tool->canvas->session != NULL;
  if (self->has_over)
    follow (self, in);
}

static void
girth_cancel (AppTool *tool)
{
  ((GirthTool *)tool)->has_from = false;
}

static bool
girth_key (AppTool *tool, guint keyval, GdkModifierType state)
{
  GirthTool *self = (GirthTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (keyval == GDK_KEY_Escape && self->has_from)
  {
    girth_cancel (tool);
    return true;
  }
  if (keyval != GDK_KEY_Return && keyval != GDK_KEY_KP_Enter && keyval != GDK_KEY_Escape)
    return false;
  guint line_id = self->line_id;
  app_canvas_set_tool (canvas, APP_TOOL_CHOOSE); /* SELF is gone */
  const ModelLine *line = line_id != 0 ? model_document_line (app_canvas_document (canvas), line_id) : NULL;
  if (line == NULL)
    return true;
  app_session_select_line (canvas->session, line_id);
  if (line->measure_id == 0)
    app_canvas_tell (canvas, _ ("Choose the line’s measure in its menu: then it is checked."));
  return true;
}

static void
girth_draw (AppTool *tool, cairo_t *cr)
{
  GirthTool *self = (GirthTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (!self->has_from || !self->has_over || canvas->session == NULL)
    return;
  const OutputInk *ink = app_canvas_ink (canvas);
  double x0, y0, x1, y1;
  app_canvas_to_widget (canvas, self->from, &x0, &y0);
  app_canvas_to_widget (canvas, self->over, &x1, &y1);
  output_set_tone (cr, ink, OUTPUT_TONE_BLUE);
  cairo_set_line_width (cr, 1.2);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_ROUND);
  const double dots[2] = { 0.01, 5.0 };
  cairo_set_dash (cr, dots, 2, 0.0);
  cairo_move_to (cr, x0, y0);
  cairo_line_to (cr, x1, y1);
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);
  for (int end = 0; end < 2; end++)
    app_canvas_draw_point (cr, ink, APP_POINT_NODE, end ? x1 : x0, end ? y1 : y0, OUTPUT_TONE_BLUE, false);
  if (canvas->line_kind == MODEL_LINE_NECK)
    return;
  g_autoptr (GArray) crossed = cross_panels (canvas, self->from, self->over);
  double sum = 0.0;
  for (guint i = 0; i < crossed->len; i++)
  {
    const Crossed *one = &g_array_index (crossed, Crossed, i);
    const AppOutline *outline = app_pick_index_outline (canvas->index, one->panel_id, MODEL_SIDE_CENTRE);
    if (outline != NULL)
      sum
        += geom_distance (geom_path_point (&outline->path, one->a), geom_path_point (&outline->path, one->b));
  }
  g_autofree char *figure = app_canvas_length (canvas, sum);
  if (sum > 0.0)
    app_canvas_draw_flag (cr, ink, (x0 + x1) / 2.0, (y0 + y1) / 2.0 - 24.0, figure, -1);
}

extern const AppToolClass app_tool_girth;
const AppToolClass app_tool_girth = {
  .kind = APP_TOOL_GIRTH,
  .key = "girth",
  .name = N_ ("Girth line"),
  .hint
  = N_ ("Draw straight across a panel, then across the next. Shift keeps it level; Enter ends the line."),
  .icon = "panelwright-girth-symbolic",
  .create = girth_create,
  .destroy = girth_destroy,
  .press = girth_press,
  .motion = girth_motion,
  .release = girth_release,
  .hover = girth_hover,
  .cancel = girth_cancel,
  .key_pressed = girth_key,
  .draw = girth_draw,
};
