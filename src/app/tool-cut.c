/* Cut apart: a panel becomes two along a line across it, and the two are joined there at once.
 *
 * Two ways of the hand: press and pull from edge to edge (a straight pull cuts straight, any other cuts along
 * the stroke; a pull that begins outside cuts where it goes over the outline), or press at one edge, perhaps
 * at a point inside that the seam must go through, and at the other edge.
 *
 * What is previewed is the deed itself, done on a copy of the document.
 */
#include "app/plan.h"

#include "geom/fit.h"

#include <glib/gi18n.h>

#define STEP_PX 2.0
#define DRAG_PX 6.0
#define MOST_POINTS 4000
/* A pull that nowhere leaves the straight line by more than this was meant straight. */
#define STRAIGHT_PX 5.0
#define STRAIGHT_PART 0.02
#define FIT_MM 0.5
/* Begun elsewhere: so many directions are looked at. */
#define WAYS 24

/* What the cut would make. */
typedef struct CutTrial
{
  bool done;
  GeomPath outline[2], seam;
  char *name[2], *letter;
  GeomPoint label[2];
  char *why; /* not done: the reason */
} CutTrial;

typedef struct CutTool
{
  AppTool tool;
  GArray *points;       /* GeomPoint of the pull, as pressed */
  bool pulling, placed; /* PLACED: the first end stands, the button is up */
  AppSpot from, to, over;
  bool has_over, has_to, has_through;
  bool offered; /* begun elsewhere: both ends stand until the pointer is pressed; Enter takes it */
  GeomPoint through, pressed_at;
  CutTrial trial;
  AppPlan level; /* pulled with Ctrl: kind NONE unless its ghost is shown */
} CutTool;

static AppTool *
cut_create (AppCanvas *canvas)
{
  CutTool *self = g_new0 (CutTool, 1);
  self->tool = (AppTool) { app_tool_class (APP_TOOL_CUT), canvas };
  self->points = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  return &self->tool;
}

static void
trial_clear (CutTrial *trial)
{
  for (int i = 0; i < 2; i++)
  {
    geom_path_clear (&trial->outline[i]);
    g_free (trial->name[i]);
  }
  geom_path_clear (&trial->seam);
  g_free (trial->letter);
  g_free (trial->why);
  *trial = (CutTrial) { 0 };
}

static void
forget_level (CutTool *self)
{
  if (self->level.kind != APP_PLAN_NONE && self->tool.canvas->session != NULL)
    app_session_preview (self->tool.canvas->session, NULL);
  self->level.kind = APP_PLAN_NONE;
}

static void
cut_destroy (AppTool *tool)
{
  CutTool *self = (CutTool *)tool;
  forget_level (self);
  trial_clear (&self->trial);
  g_array_unref (self->points);
  g_free (self);
}

static void
start_over (CutTool *self)
{
  forget_level (self);
  trial_clear (&self->trial);
  g_array_set_size (self->points, 0);
  self->pulling = self->placed = self->has_to = self->has_through = self->offered = false;
  self->from = self->to = (AppSpot) { 0 };
}

/* ---- the deed ---- */

/* The stroke between the ends, smoothed; false where a straight line is meant. */
static bool
stroke_path (CutTool *self, guint from, guint to, GeomPath *out)
{
  GArray *points = self->points;
  double chord = geom_distance (self->from.at, self->to.at), off = 0.0;
  GeomPoint way = geom_unit (geom_sub (self->to.at, self->from.at));
  g_autoptr (GArray) line = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  g_array_append_val (line, self->from.at);
  for (guint i = from; i < to && i < points->len; i++)
  {
    GeomPoint p = g_array_index (points, GeomPoint, i);
    off = MAX (off, fabs (geom_cross (way, geom_sub (p, self->from.at))));
    g_array_append_val (line, p);
  }
  g_array_append_val (line, self->to.at);
  if (off <= MAX (STRAIGHT_PX / self->tool.canvas->scale, STRAIGHT_PART * chord))
    return false;
  GeomFitOptions options = { .tolerance_mm = MAX (FIT_MM, 1.5 / self->tool.canvas->scale) };
  return geom_fit_points ((const GeomPoint *)line->data, line->len, &options, out, NULL, NULL)
         && out->count > 0;
}

/* Both ends of the pull as far as it has come.  FIRST, END: the points in between. */
static bool
find_ends (CutTool *self, const AppInput *in, guint *first, guint *end)
{
  AppCanvas *canvas = self->tool.canvas;
  double catch_mm = app_canvas_catch_mm (canvas, in);
  guint index;
  *first = 1;
  *end = self->points->len > 0 ? self->points->len - 1 : 0;
  if (!app_spot_at (canvas, self->pressed_at, catch_mm, 0, &self->from))
  {
    if (!app_spot_crossed (canvas, self->points, 0, false, NULL, 0.0, &self->from, &index))
      return false;
    *first = index + 1;
  }
  self->has_to = app_spot_at (canvas, in->at, catch_mm, self->from.panel_id, &self->to)
                 && self->to.twin == self->from.twin
                 && geom_distance (self->to.at, self->from.at) > 2.0 * catch_mm;
  if (!self->has_to)
  {
    self->has_to = app_spot_crossed (canvas, self->points, self->from.panel_id, true, &self->from.at,
                                     2.0 * catch_mm, &self->to, &index)
                   && self->to.twin == self->from.twin;
    if (self->has_to)
      *end = index + 1;
  }
  return self->has_to;
}

static bool
run (CutTool *self, ModelHistory *history, const GeomPath *path, ModelReworkMade *made, GError **error)
{
  GeomAffine map = app_spot_map (self->tool.canvas, self->from.panel_id, self->from.twin);
  GeomPath drawn = { 0 };
  bool done;
  if (path != NULL)
  {
    geom_path_copy (&drawn, path);
    geom_path_map (&drawn, map);
  }
  if (self->has_through && path == NULL)
    done = model_rework_cut_through (history, self->from.panel_id, self->from.place, self->to.place,
                                     geom_affine_apply (map, self->through), made, error);
  else
    done = model_rework_cut (history, self->from.panel_id, self->from.place, self->to.place,
                             path != NULL ? &drawn : NULL, made, error);
  geom_path_clear (&drawn);
  return done;
}

static void
try_cut (CutTool *self, const GeomPath *path)
{
  CutTrial *trial = &self->trial;
  g_autoptr (ModelHistory) history = app_trial_new (self->tool.canvas);
  ModelReworkMade made = { 0 };
  g_autoptr (GError) error = NULL;
  trial_clear (trial);
  trial->done = run (self, history, path, &made, &error);
  if (!trial->done)
  {
    trial->why = g_strdup (error->message);
    return;
  }
  const ModelDocument *doc = model_history_document (history);
  guint ids[2] = { self->from.panel_id, made.panel_id };
  for (int i = 0; i < 2; i++)
  {
    const ModelPanel *panel = model_document_panel (doc, ids[i]);
    if (panel == NULL)
      continue;
    app_panel_side_path (panel, self->from.twin, &trial->outline[i]);
    trial->name[i] = g_strdup (panel->name);
    trial->label[i] = output_label_place (&trial->outline[i], NULL);
    if (trial->seam.count == 0)
      app_panel_side_edge (panel, self->from.twin, made.edge_id, &trial->seam);
  }
  const ModelJoin *join = model_document_join (doc, made.join_id);
  trial->letter = g_strdup (join != NULL ? join->letter : "");
  model_rework_made_clear (&made);
}

static void
say_trial (CutTool *self)
{
  AppCanvas *canvas = self->tool.canvas;
  const CutTrial *trial = &self->trial;
  if (trial->why != NULL)
  {
    app_canvas_say (canvas, trial->why);
    return;
  }
  if (!trial->done)
    return;
  double mm = geom_path_length (&trial->seam, 1e-3);
  g_autofree char *length = app_canvas_length (canvas, mm);
  /* Translators: the names of both pieces, the letter of their join, how long it is. */
  g_autofree char *words = g_strdup_printf (_ ("“%s” and “%s”, join %s, flush, %s long. Let go to cut."),
                                            trial->name[0], trial->name[1], trial->letter, length);
  app_canvas_say (canvas, words);
}

static void
take (CutTool *self, const GeomPath *path)
{
  AppCanvas *canvas = self->tool.canvas;
  ModelReworkMade made = { 0 };
  g_autoptr (GError) error = NULL;
  g_autofree char *words = NULL;
  if (run (self, app_canvas_history (canvas), path, &made, &error))
  {
    const ModelDocument *doc = app_canvas_document (canvas);
    const ModelPanel *kept = model_document_panel (doc, self->from.panel_id),
                     *new_one = model_document_panel (doc, made.panel_id);
    const ModelJoin *join = model_document_join (doc, made.join_id);
    if (kept != NULL && new_one != NULL && join != NULL)
      words = g_strdup_printf (_ ("Cut into “%s” and “%s”; join %s holds them together."), kept->name,
                               new_one->name, join->letter);
    if (join != NULL)
      app_session_select_join (canvas->session, made.join_id);
    model_rework_made_clear (&made);
  }
  else
    words = g_strdup (error->message);
  start_over (self);
  app_canvas_tell (canvas, words);
}

/* ---- begun elsewhere ---- */

/* Of all straight ways through the point the shortest that can be cut. */
bool
app_cut_begin (AppCanvas *canvas, guint panel_id, ModelSide side, GeomPoint through)
{
  const AppOutline *outline = app_pick_index_outline (canvas->index, panel_id, side);
  if (outline == NULL || !geom_path_contains (&outline->path, through))
    return false;
  app_canvas_set_tool (canvas, APP_TOOL_CUT);
  CutTool *self = (CutTool *)canvas->tool;
  double reach = hypot (outline->box.x1 - outline->box.x0, outline->box.y1 - outline->box.y0),
         best = INFINITY;
  AppSpot from = { 0 }, to = { 0 };
  g_autoptr (GArray) way = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  g_array_set_size (way, 2);
  start_over (self);
  for (int i = 0; i < WAYS; i++)
  {
    AppSpot ends[2];
    bool there = true;
    for (int end = 0; there && end < 2; end++)
    {
      guint index;
      double angle = G_PI * i / WAYS + G_PI * end;
      g_array_index (way, GeomPoint, 0) = through;
      g_array_index (way, GeomPoint, 1) = geom_along (through, reach, geom_point (cos (angle), sin (angle)));
      there = app_spot_crossed (canvas, way, panel_id, false, NULL, 0.0, &ends[end], &index)
              && ends[end].twin == outline->twin;
    }
    double length = there ? geom_distance (ends[0].at, ends[1].at) : INFINITY;
    if (length >= best)
      continue;
    self->from = ends[0];
    self->to = ends[1];
    self->has_through = true;
    self->through = through;
    try_cut (self, NULL);
    if (!self->trial.done)
      continue;
    best = length;
    from = ends[0];
    to = ends[1];
  }
  if (!isfinite (best))
  {
    start_over (self);
    app_canvas_tell (canvas, _ ("The panel cannot be cut apart there."));
    return false;
  }
  self->from = from;
  self->to = to;
  self->placed = self->has_to = self->offered = true;
  try_cut (self, NULL);
  app_canvas_tell (canvas, _ ("Enter cuts apart here; press at another edge to end the cut there, Escape "
                              "leaves."));
  gtk_widget_grab_focus (GTK_WIDGET (canvas));
  app_canvas_redraw (canvas);
  return true;
}

/* ---- the hand ---- */

/* What a press more or less at this line would do, by a figure to begin with. */
static void
pull_level (CutTool *self, bool commit)
{
  AppCanvas *canvas = self->tool.canvas;
  AppPlan plan = { .kind = APP_PLAN_LEVEL,
                   .panel_id = self->from.panel_id,
                   .side = self->from.side,
                   .twin = self->from.twin,
                   .a = self->from.at,
                   .b = self->to.at,
                   .mm = APP_FIRST_LONGER_MM };
  g_autofree char *why = NULL;
  if (commit)
  {
    start_over (self);
    app_plan_ask (canvas, &plan);
    return;
  }
  self->level = plan;
  if (!app_plan_show (canvas, &plan, &why))
    self->level.kind = APP_PLAN_NONE;
  app_canvas_say (
    canvas, why != NULL ? why : _ ("Let go to say how much longer or shorter the panel shall be here."));
}

static void
follow_pull (CutTool *self, const AppInput *in, bool commit)
{
  guint first, end;
  GeomPath path = { 0 };
  trial_clear (&self->trial);
  bool found = find_ends (self, in, &first, &end);
  bool bent = found && (in->state & GDK_SHIFT_MASK) == 0 && stroke_path (self, first, end, &path);
  bool level = (in->state & GDK_CONTROL_MASK) != 0;
  if (!(found && level))
    forget_level (self);
  if (found && level)
    pull_level (self, commit);
  else if (commit && found)
    take (self, bent ? &path : NULL);
  else if (found)
  {
    try_cut (self, bent ? &path : NULL);
    say_trial (self);
  }
  else if (commit)
  {
    start_over (self);
    app_canvas_say (self->tool.canvas,
                    _ ("That does not go across a panel: pull from one of its edges to another."));
  }
  else
    app_canvas_say (self->tool.canvas,
                    _ ("Pull to another edge; Shift cuts straight, Ctrl lengthens instead."));
  geom_path_clear (&path);
}

static void
say_placed (CutTool *self)
{
  app_canvas_say (self->tool.canvas, self->has_through
                                       ? _ ("Now press where the cut ends. Escape begins again.")
                                       : _ ("Press where the cut ends, or first on a point inside that it "
                                            "must go through. Escape begins again."));
}

static void
cut_press (AppTool *tool, const AppInput *in)
{
  CutTool *self = (CutTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (canvas->session == NULL)
    return;
  self->pressed_at = in->at;
  if (self->placed)
    return;
  start_over (self);
  self->pulling = true;
  g_array_append_val (self->points, in->at);
  app_canvas_say (canvas, _ ("Pull to another edge; Shift cuts straight, Ctrl lengthens instead."));
}

static void
cut_motion (AppTool *tool, const AppInput *in)
{
  CutTool *self = (CutTool *)tool;
  if (!self->pulling || self->points->len == 0)
    return;
  GeomPoint last = g_array_index (self->points, GeomPoint, self->points->len - 1);
  if (self->points->len < MOST_POINTS && geom_distance (last, in->at) * tool->canvas->scale >= STEP_PX)
    g_array_append_val (self->points, in->at);
  if (geom_distance (self->pressed_at, in->at) * tool->canvas->scale >= DRAG_PX)
    follow_pull (self, in, false);
}

/* With the first end placed: the end under the pointer. */
static void
aim (CutTool *self, const AppInput *in)
{
  AppCanvas *canvas = self->tool.canvas;
  double catch_mm = app_canvas_catch_mm (canvas, in);
  self->has_to = app_spot_at (canvas, in->at, catch_mm, self->from.panel_id, &self->to)
                 && self->to.twin == self->from.twin && geom_distance (self->to.at, self->from.at) > catch_mm;
  trial_clear (&self->trial);
  if (self->has_to)
  {
    try_cut (self, NULL);
    say_trial (self);
  }
  else
    say_placed (self);
}

static void
cut_release (AppTool *tool, const AppInput *in)
{
  CutTool *self = (CutTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (canvas->session == NULL)
    return;
  if (self->placed)
  {
    self->offered = false;
    aim (self, in);
    if (self->has_to)
      take (self, NULL);
    else
    {
      const AppOutline *outline
        = app_pick_index_outline (canvas->index, self->from.panel_id, self->from.side);
      self->has_through = outline != NULL && geom_path_contains (&outline->path, in->at);
      self->through = in->at;
      say_placed (self);
    }
    return;
  }
  if (!self->pulling)
    return;
  self->pulling = false;
  if (geom_distance (self->pressed_at, in->at) * canvas->scale >= DRAG_PX)
  {
    if (self->points->len < MOST_POINTS)
      g_array_append_val (self->points, in->at);
    follow_pull (self, in, true);
    return;
  }
  self->placed = app_spot_at (canvas, in->at, app_canvas_catch_mm (canvas, in), 0, &self->from);
  if (self->placed)
    say_placed (self);
  else
    app_canvas_say (canvas, NULL);
}

static void
cut_hover (AppTool *tool, const AppInput *in)
{
  CutTool *self = (CutTool *)tool;
  AppCanvas *canvas = tool->canvas;
  self->has_over = in != NULL && canvas->session != NULL
                   && app_spot_at (canvas, in->at, app_canvas_catch_mm (canvas, in),
                                   self->placed ? self->from.panel_id : 0, &self->over);
  if (self->placed && !self->offered && in != NULL)
    aim (self, in);
}

static void
cut_cancel (AppTool *tool)
{
  start_over ((CutTool *)tool);
  app_canvas_say (tool->canvas, NULL);
}

static bool
cut_key (AppTool *tool, guint keyval, GdkModifierType state)
{
  CutTool *self = (CutTool *)tool;
  if ((keyval == GDK_KEY_Return || keyval == GDK_KEY_KP_Enter) && self->placed && self->trial.done)
  {
    take (self, NULL);
    app_canvas_redraw (tool->canvas);
    return true;
  }
  if (keyval != GDK_KEY_Escape || !(self->pulling || self->placed))
    return false;
  cut_cancel (tool);
  return true;
}

/* ---- drawing ---- */

static void
draw_trial (CutTool *self, cairo_t *cr)
{
  AppCanvas *canvas = self->tool.canvas;
  const OutputInk *ink = app_canvas_ink (canvas);
  OutputView view = app_canvas_widget_view (canvas);
  const CutTrial *trial = &self->trial;
  app_draw_outline (canvas, cr, &trial->seam);
  if (trial->seam.count > 0)
  {
    GeomPlace middle = geom_path_place_at (&trial->seam, 0.5 * geom_path_length (&trial->seam, 1e-2), 1e-2);
    GeomPoint at = geom_path_point (&trial->seam, middle),
              out = geom_left_of (geom_path_tangent (&trial->seam, middle));
    output_draw_letter (cr, &view, ink, at, out, trial->letter, OUTPUT_TONE_PLUM);
    output_draw_letter (cr, &view, ink, at, geom_scale (out, -1.0), trial->letter, OUTPUT_TONE_PLUM);
  }
  for (int i = 0; i < 2; i++)
    if (trial->name[i] != NULL)
      app_draw_caption (canvas, cr, trial->label[i], 0.0, 0.0, trial->name[i]);
}

static void
draw_pull (CutTool *self, cairo_t *cr)
{
  AppCanvas *canvas = self->tool.canvas;
  double x, y;
  cairo_new_path (cr);
  for (guint i = 0; i < self->points->len; i++)
  {
    app_canvas_to_widget (canvas, g_array_index (self->points, GeomPoint, i), &x, &y);
    cairo_line_to (cr, x, y);
  }
  output_set_tone (cr, app_canvas_ink (canvas), OUTPUT_TONE_INK_2);
  cairo_set_line_width (cr, 1.2);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  cairo_stroke (cr);
}

static void
cut_draw (AppTool *tool, cairo_t *cr)
{
  CutTool *self = (CutTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (canvas->session == NULL)
    return;
  if (self->level.kind != APP_PLAN_NONE)
    app_plan_draw (canvas, cr, &self->level);
  else if (self->trial.done)
    draw_trial (self, cr);
  else if (self->pulling)
    draw_pull (self, cr);
  else if (self->placed && canvas->pointer_in)
  {
    double x, y;
    cairo_new_path (cr);
    app_canvas_to_widget (canvas, self->from.at, &x, &y);
    cairo_move_to (cr, x, y);
    if (self->has_through)
    {
      app_canvas_to_widget (canvas, self->through, &x, &y);
      cairo_line_to (cr, x, y);
    }
    cairo_line_to (cr, canvas->pointer_x, canvas->pointer_y);
    output_set_tone (cr, app_canvas_ink (canvas), OUTPUT_TONE_PLUM);
    output_set_stroke (cr, &app_canvas_ink (canvas)->preview);
    cairo_stroke (cr);
    cairo_set_dash (cr, NULL, 0, 0.0);
  }
  bool begun = self->placed || self->pulling;
  if (begun && self->from.panel_id != 0)
    app_draw_spot (canvas, cr, &self->from, true);
  if (self->has_through)
    app_draw_spot (canvas, cr, &(AppSpot) { .at = self->through }, true);
  if (begun && self->has_to)
    app_draw_spot (canvas, cr, &self->to, true);
  else if (!self->pulling && self->has_over)
    app_draw_spot (canvas, cr, &self->over, false);
}

extern const AppToolClass app_tool_cut;
const AppToolClass app_tool_cut = {
  .kind = APP_TOOL_CUT,
  .key = "cut-apart",
  .name = N_ ("Cut apart"),
  .hint = N_ ("Pull from one edge of a panel across to another: the panel becomes two, already joined."),
  .icon = "panelwright-cut-apart-symbolic",
  .accel = "<Shift>F7",
  .create = cut_create,
  .destroy = cut_destroy,
  .press = cut_press,
  .motion = cut_motion,
  .release = cut_release,
  .hover = cut_hover,
  .cancel = cut_cancel,
  .key_pressed = cut_key,
  .draw = cut_draw,
};
