/* Mark: match marks on edges; where an edge is joined, its partner gets the same mark at the same share of
 * the run. */
#include "app/canvas-private.h"

#include "engine/join-edit.h"

#include <glib/gi18n.h>

#define ACCURACY_MM 1e-4
#define DRAG_PX 3.0

typedef struct MarkTool
{
  AppTool tool;
  AppPick over;            /* the edge a press would mark */
  guint panel_id, mark_id; /* the mark in hand */
  ModelSide side;
  bool dragging, open;
  GeomPoint from;
  ModelPanel *before;
} MarkTool;

static AppTool *
mark_create (AppCanvas *canvas)
{
  MarkTool *self = g_new0 (MarkTool, 1);
  self->tool = (AppTool) { app_tool_class (APP_TOOL_MARK), canvas };
  self->over = app_pick_none ();
  return &self->tool;
}

static void
mark_destroy (AppTool *tool)
{
  g_clear_pointer (&((MarkTool *)tool)->before, model_panel_free);
  g_free (tool);
}

/* Where a mark lies on a side. */
static bool
mark_place (const AppOutline *outline, const ModelPanel *panel, const ModelMark *mark, GeomPoint *at)
{
  GeomPath path;
  geom_path_init (&path);
  bool found = app_outline_edge_path (outline, panel, mark->edge_id, &path);
  if (found)
    *at = geom_path_point (&path, geom_path_place_at (&path, mark->at_mm, ACCURACY_MM));
  geom_path_clear (&path);
  return found;
}

static bool
mark_near (AppCanvas *canvas, const AppInput *in, guint *panel_id, ModelSide *side, guint *mark_id)
{
  GPtrArray *outlines = app_pick_index_outlines (canvas->index);
  double best = app_canvas_catch_mm (canvas, in) * 0.7;
  bool found = false;
  for (guint i = 0; i < outlines->len; i++)
  {
    const AppOutline *outline = (const AppOutline *)g_ptr_array_index (outlines, i);
    const ModelPanel *panel = model_document_panel (app_canvas_document (canvas), outline->panel_id);
    if (panel == NULL || geom_box_distance (outline->box, in->at) > best)
      continue;
    for (guint k = 0; k < panel->marks->len; k++)
    {
      const ModelMark *mark = &g_array_index (panel->marks, ModelMark, k);
      GeomPoint at;
      if (!mark_place (outline, panel, mark, &at) || geom_distance (at, in->at) > best)
        continue;
      best = geom_distance (at, in->at);
      *panel_id = panel->id;
      *side = outline->side;
      *mark_id = mark->id;
      found = true;
    }
  }
  return found;
}

/* The first join the edge is in, and the share of the run at the place. */
static const ModelJoin *
join_at (AppCanvas *canvas, const AppPick *pick, double *share)
{
  const ModelDocument *doc = app_canvas_document (canvas);
  EngineReview *review = app_session_review (canvas->session);
  g_autoptr (GArray) ids = engine_joins_of_edge (doc, pick->panel_id, pick->edge_id);
  for (guint i = 0; i < ids->len; i++)
  {
    const ModelJoin *join = model_document_join (doc, g_array_index (ids, guint, i));
    EngineJoinReading readings[2];
    if (join == NULL || engine_review_join_readings (review, join->id, readings) < 1)
      continue;
    for (int b = 0; b < 2; b++)
    {
      const ModelRun *run = b == 0 ? &join->a : &join->b;
      if (run->panel_id != pick->panel_id)
        continue;
      GeomPath path;
      geom_path_init (&path);
      bool found = engine_review_run_path (review, run, pick->side, &path);
      GeomPathNearest near = { .distance_mm = INFINITY };
      double length = 0.0;
      if (found && path.count > 0)
      {
        near = geom_path_nearest (&path, pick->at);
        length = geom_path_length (&path, ACCURACY_MM);
        *share = length > 0.0 ? geom_path_length_to (&path, near.place, ACCURACY_MM) / length : 0.0;
      }
      geom_path_clear (&path);
      if (near.distance_mm < 0.01 && length > 0.0)
        return join;
    }
  }
  return NULL;
}

static void
add_mark (AppCanvas *canvas, const AppPick *pick, int wedges)
{
  ModelDocument *doc = app_canvas_document (canvas);
  ModelHistory *history = app_canvas_history (canvas);
  double share = 0.0;
  const ModelJoin *join = join_at (canvas, pick, &share);
  if (join != NULL)
  {
    g_autoptr (GArray) parts = engine_join_add_match (doc, join, share, wedges);
    if (parts->len > 0)
    {
      model_history_begin (history, _ ("Add match marks"));
      for (guint i = 0; i < parts->len; i++)
        model_history_put (history, model_part_copy (g_array_index (parts, ModelPart, i)));
      model_history_end (history);
      app_canvas_say (canvas, _ ("Marked on both edges of the join."));
      return;
    }
  }
  ModelPanel *panel = model_panel_copy (model_document_panel (doc, pick->panel_id));
  if (model_shape_add_mark (panel, doc, pick->edge_id, pick->node_index, pick->t, wedges) == 0)
  {
    model_panel_free (panel);
    return;
  }
  model_history_begin (history, _ ("Add match mark"));
  model_history_put_panel (history, panel);
  model_history_end (history);
}

static void
remove_mark (AppCanvas *canvas, guint panel_id, guint mark_id)
{
  const ModelDocument *doc = app_canvas_document (canvas);
  ModelHistory *history = app_canvas_history (canvas);
  const ModelPanel *was = model_document_panel (doc, panel_id);
  if (was == NULL || model_panel_find_mark (was, mark_id) == NULL)
    return;
  model_history_begin (history, _ ("Remove match mark"));
  ModelPanel *panel = model_panel_copy (was);
  for (guint i = panel->marks->len; i > 0; i--)
    if (g_array_index (panel->marks, ModelMark, i - 1).id == mark_id)
      g_array_remove_index (panel->marks, i - 1);
  model_history_put_panel (history, panel);
  /* Its partner stays as a mark; what goes is that the two must meet. */
  for (guint i = 0; i < doc->joins->len; i++)
  {
    const ModelJoin *join = (const ModelJoin *)g_ptr_array_index (doc->joins, i);
    ModelJoin *changed = NULL;
    for (guint k = join->matches->len; k > 0; k--)
    {
      const ModelMatch *match = &g_array_index (join->matches, ModelMatch, k - 1);
      if (match->a_mark_id != mark_id && match->b_mark_id != mark_id)
        continue;
      if (changed == NULL)
        changed = model_join_copy (join);
      g_array_remove_index (changed->matches, k - 1);
    }
    if (changed != NULL)
      model_history_put_join (history, changed);
  }
  model_history_end (history);
}

static void
mark_press (AppTool *tool, const AppInput *in)
{
  MarkTool *self = (MarkTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (canvas->session == NULL)
    return;
  self->from = in->at;
  self->over = app_pick_none ();
  if (mark_near (canvas, in, &self->panel_id, &self->side, &self->mark_id))
  {
    if (in->eraser)
    {
      remove_mark (canvas, self->panel_id, self->mark_id);
      self->mark_id = 0;
      return;
    }
    g_clear_pointer (&self->before, model_panel_free);
    self->before = model_panel_copy (model_document_panel (app_canvas_document (canvas), self->panel_id));
    self->dragging = true;
    app_canvas_say (canvas, _ ("Drag to slide the mark along its edge. Delete takes it away."));
    return;
  }
  self->mark_id = 0;
  AppPick pick = app_pick_at (canvas->index, in->at, app_canvas_catch_mm (canvas, in), APP_PICK_EDGES, 0);
  if (pick.kind == APP_PICK_EDGE && !in->eraser)
    add_mark (canvas, &pick, (in->state & GDK_SHIFT_MASK) != 0 ? 2 : 1);
}

static void
mark_motion (AppTool *tool, const AppInput *in)
{
  MarkTool *self = (MarkTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (!self->dragging || (!self->open && geom_distance (self->from, in->at) * canvas->scale < DRAG_PX))
    return;
  ModelPanel *panel = model_panel_copy (self->before);
  ModelMark *mark = model_panel_find_mark (panel, self->mark_id);
  const AppOutline *outline = app_pick_index_outline (canvas->index, self->panel_id, self->side);
  GeomPath path;
  geom_path_init (&path);
  if (mark == NULL || outline == NULL || !app_outline_edge_path (outline, panel, mark->edge_id, &path))
  {
    geom_path_clear (&path);
    model_panel_free (panel);
    return;
  }
  if (!self->open)
    model_history_begin (app_canvas_history (canvas), _ ("Slide match mark"));
  self->open = true;
  mark->at_mm = geom_path_length_to (&path, geom_path_nearest (&path, in->at).place, ACCURACY_MM);
  g_autofree char *length = app_canvas_length (canvas, mark->at_mm);
  geom_path_clear (&path);
  model_history_put_panel (app_canvas_history (canvas), panel);
  g_autofree char *words = g_strdup_printf (_ ("%s from the corner"), length);
  app_canvas_say (canvas, words);
}

static void
mark_end (MarkTool *self, bool keep)
{
  bool open = self->open;
  self->open = self->dragging = false;
  g_clear_pointer (&self->before, model_panel_free);
  if (!open)
    return;
  if (keep)
    model_history_end (app_canvas_history (self->tool.canvas));
  else
    model_history_cancel (app_canvas_history (self->tool.canvas));
  app_canvas_say (self->tool.canvas, NULL);
}

static void
mark_release (AppTool *tool, const AppInput *in)
{
  mark_end ((MarkTool *)tool, true);
}

static void
mark_cancel (AppTool *tool)
{
  mark_end ((MarkTool *)tool, false);
}

static void
mark_hover (AppTool *tool, const AppInput *in)
{
  MarkTool *self = (MarkTool *)tool;
  AppCanvas *canvas = tool->canvas;
  self->over = in != NULL && canvas->session != NULL
                 ? app_pick_at (canvas->index, in->at, app_canvas_catch_mm (canvas, in), APP_PICK_EDGES, 0)
                 : app_pick_none ();
}

static bool
mark_key (AppTool *tool, guint keyval, GdkModifierType state)
{
  MarkTool *self = (MarkTool *)tool;
  if (self->mark_id == 0
      || (keyval != GDK_KEY_Delete && keyval != GDK_KEY_KP_Delete && keyval != GDK_KEY_BackSpace))
    return false;
  mark_end (self, true);
  remove_mark (tool->canvas, self->panel_id, self->mark_id);
  self->mark_id = 0;
  return true;
}

static void
mark_draw (AppTool *tool, cairo_t *cr)
{
  MarkTool *self = (MarkTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (canvas->session == NULL)
    return;
  const OutputInk *ink = app_canvas_ink (canvas);
  OutputView view = app_canvas_widget_view (canvas);
  const ModelPanel *panel
    = self->mark_id != 0 ? model_document_panel (app_canvas_document (canvas), self->panel_id) : NULL;
  const ModelMark *mark = panel != NULL ? model_panel_find_mark (panel, self->mark_id) : NULL;
  const AppOutline *outline
    = mark != NULL ? app_pick_index_outline (canvas->index, self->panel_id, self->side) : NULL;
  GeomPoint at;
  double x, y;
  if (outline != NULL && mark_place (outline, panel, mark, &at))
  {
    app_canvas_to_widget (canvas, at, &x, &y);
    cairo_arc (cr, x, y, 11.0, 0.0, 2.0 * G_PI);
    output_set_tone (cr, ink, OUTPUT_TONE_BLUE);
    cairo_set_line_width (cr, 1.6);
    cairo_stroke (cr);
  }
  if (self->over.kind != APP_PICK_EDGE || self->dragging)
    return;
  panel = model_document_panel (app_canvas_document (canvas), self->over.panel_id);
  outline = panel != NULL ? app_pick_index_outline (canvas->index, panel->id, self->over.side) : NULL;
  GeomPath path;
  geom_path_init (&path);
  if (outline != NULL && app_outline_edge_path (outline, panel, self->over.edge_id, &path)
      && self->over.node_index < path.count)
  {
    GeomPlace place = { self->over.node_index, self->over.t };
    GeomPoint outward
      = geom_scale (geom_unit (geom_right_of (geom_path_tangent (&path, place))), outline->twin ? -1.0 : 1.0);
    output_draw_match_mark (cr, &view, ink, self->over.at, outward, 1);
    g_autofree char *figure = app_canvas_length (canvas, geom_path_length_to (&path, place, ACCURACY_MM));
    app_canvas_to_widget (canvas, self->over.at, &x, &y);
    app_canvas_draw_flag (cr, ink, x + outward.x * 52.0, y - outward.y * 34.0, figure, -1);
  }
  geom_path_clear (&path);
}

extern const AppToolClass app_tool_mark;
const AppToolClass app_tool_mark = {
  .kind = APP_TOOL_MARK,
  .key = "mark",
  .name = N_ ("Mark"),
  .hint
  = N_ ("Press on an edge for a match mark, with Shift for two wedges. On a join both edges are marked."),
  .icon = "panelwright-mark-symbolic",
  .accel = "F7",
  .create = mark_create,
  .destroy = mark_destroy,
  .press = mark_press,
  .motion = mark_motion,
  .release = mark_release,
  .hover = mark_hover,
  .cancel = mark_cancel,
  .key_pressed = mark_key,
  .draw = mark_draw,
};
