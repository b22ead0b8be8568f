/* Guides, level lines and the lines across panels on the paper: drawn, caught, dragged, pulled out of the
 * rules. */
#include "app/canvas-private.h"

#include "engine/girth.h"
#include "engine/words.h"

#include <glib/gi18n.h>

#define SNAP_PX 8.0
#define CATCH_PX 5.0
#define DRAG_PX 3.0
#define LABEL_PX 12.0
#define LABEL_INSET_PX 10.0

static bool
lies_on_paper (const ModelLine *line)
{
  return line->kind == MODEL_LINE_GUIDE || line->kind == MODEL_LINE_LEVEL;
}

GeomPoint
app_line_direction (const ModelLine *line)
{
  double turn = fmod (line->direction_deg, 180.0);
  /* Level and upright to the last bit. */
  if (fabs (turn) < 1e-9 || fabs (fabs (turn) - 180.0) < 1e-9)
    return geom_point (1.0, 0.0);
  if (fabs (fabs (turn) - 90.0) < 1e-9)
    return geom_point (0.0, 1.0);
  return geom_point (cos (turn * G_PI / 180.0), sin (turn * G_PI / 180.0));
}

static GeomPoint
foot_on (const ModelLine *line, GeomPoint at)
{
  GeomPoint way = app_line_direction (line);
  return geom_along (line->at, geom_dot (geom_sub (at, line->at), way), way);
}

const ModelLine *
app_canvas_chosen_line (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  return s != NULL && s->line_id != 0 ? model_document_line (app_canvas_document (self), s->line_id) : NULL;
}

/* ---- catching ---- */

bool
app_canvas_snap_to_lines (AppCanvas *self, GeomPoint *to)
{
  const ModelDocument *doc = app_canvas_document (self);
  double best = SNAP_PX / self->scale;
  const ModelLine *first = NULL;
  GeomPoint want = *to;
  for (guint i = 0; doc != NULL && self->snap && i < doc->lines->len; i++)
  {
    const ModelLine *line = (const ModelLine *)g_ptr_array_index (doc->lines, i);
    if (line->hidden || !lies_on_paper (line) || line->id == self->line_drag.line_id)
      continue;
    GeomPoint foot = foot_on (line, want);
    if (geom_distance (foot, want) >= best)
      continue;
    best = geom_distance (foot, want);
    first = line;
    *to = foot;
  }
  /* Where another one crosses it, if that is near. */
  for (guint i = 0; first != NULL && i < doc->lines->len; i++)
  {
    const ModelLine *line = (const ModelLine *)g_ptr_array_index (doc->lines, i);
    GeomPoint meet;
    if (line == first || line->hidden || !lies_on_paper (line) || line->id == self->line_drag.line_id)
      continue;
    if (geom_line_meet (first->at, geom_add (first->at, app_line_direction (first)), line->at,
                        geom_add (line->at, app_line_direction (line)), &meet)
        && geom_distance (meet, want) < SNAP_PX / self->scale)
      *to = meet;
  }
  return first != NULL;
}

static double
span_distance (AppCanvas *self, const ModelLine *line, GeomPoint at)
{
  double best = INFINITY;
  const EngineLineReading *reading = engine_review_line (app_session_review (self->session), line->id);
  for (guint i = 0; reading != NULL && i < reading->spans->len; i++)
  {
    const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, i);
    if (!span->drawn)
      continue;
    GeomPoint way = geom_sub (span->b, span->a);
    double square = geom_dot (way, way);
    double t = square > 0.0 ? CLAMP (geom_dot (geom_sub (at, span->a), way) / square, 0.0, 1.0) : 0.0;
    best = MIN (best, geom_distance (at, geom_along (span->a, t, way)));
  }
  return best;
}

guint
app_canvas_line_at (AppCanvas *self, GeomPoint at, double catch_mm)
{
  const ModelDocument *doc = app_canvas_document (self);
  guint found = 0;
  for (guint i = 0; doc != NULL && i < doc->lines->len; i++)
  {
    const ModelLine *line = (const ModelLine *)g_ptr_array_index (doc->lines, i);
    if (line->hidden)
      continue;
    double d = lies_on_paper (line) ? geom_distance (foot_on (line, at), at) : span_distance (self, line, at);
    if (d > catch_mm)
      continue;
    catch_mm = d;
    found = line->id;
  }
  return found;
}

/* ---- words ---- */

char *
app_canvas_line_words (AppCanvas *self, const ModelLine *line)
{
  g_autofree char *name = engine_words_line (line);
  if (!lies_on_paper (line))
  {
    const EngineLineReading *reading = engine_review_line (app_session_review (self->session), line->id);
    g_autofree char *sum = app_canvas_length (self, reading != NULL ? reading->sum_mm : 0.0);
    if (reading == NULL || !reading->has_measure)
      /* Translators: name of a girth line, its length. */
      return g_strdup_printf (_ ("%1$s, %2$s"), name, sum);
    g_autofree char *wanted = app_canvas_length (self, reading->wanted_mm);
    /* Translators: name of a girth line, its length, the length it should have. */
    return g_strdup_printf (_ ("%1$s, %2$s of %3$s"), name, sum, wanted);
  }
  GeomPoint way = app_line_direction (line);
  g_autofree char *across = app_canvas_length (self, line->at.x), *up = app_canvas_length (self, line->at.y);
  if (fabs (way.y) <= 0.0)
    /* Translators: name of a level guide, how high it lies. */
    return g_strdup_printf (_ ("%1$s, %2$s up"), name, up);
  if (fabs (way.x) <= 0.0)
    /* Translators: name of an upright guide, how far to the right it lies. */
    return g_strdup_printf (_ ("%1$s, %2$s across"), name, across);
  /* Translators: name of a slanting guide, its angle, a point of it. */
  return g_strdup_printf (_ ("%1$s, %2$.1f° through %3$s across, %4$s up"), name, line->direction_deg, across,
                          up);
}

static const char *
move_label (const ModelLine *line)
{
  return line->kind == MODEL_LINE_LEVEL ? _ ("Move level line") : _ ("Move guide");
}

static const char *
remove_label (const ModelLine *line)
{
  switch (line->kind)
  {
  case MODEL_LINE_GUIDE:
    return _ ("Remove guide");
  case MODEL_LINE_LEVEL:
    return _ ("Remove level line");
  case MODEL_LINE_GIRTH:
    return _ ("Remove girth line");
  case MODEL_LINE_REACH:
    return _ ("Remove reach limit");
  case MODEL_LINE_NECK:
    return _ ("Remove neck opening");
  }
  return "";
}

/* ---- deeds ---- */

/* Marks without wedges that only this line used go with it. */
static void
drop_marks (AppCanvas *self, const ModelLine *gone)
{
  ModelHistory *history = app_canvas_history (self);
  const ModelDocument *doc = app_canvas_document (self);
  for (guint i = 0; i < gone->spans->len; i++)
  {
    const ModelSpan *span = &g_array_index (gone->spans, ModelSpan, i);
    const ModelPanel *was = model_document_panel (doc, span->panel_id);
    if (was == NULL)
      continue;
    ModelPanel *panel = NULL;
    for (int end = 0; end < 2; end++)
    {
      guint id = end ? span->b_mark_id : span->a_mark_id;
      if (app_mark_is_used (doc, panel != NULL ? panel : was, id))
        continue;
      if (panel == NULL)
        panel = model_panel_copy (was);
      for (guint k = panel->marks->len; k-- > 0;)
        if (g_array_index (panel->marks, ModelMark, k).id == id)
          g_array_remove_index (panel->marks, k);
    }
    if (panel != NULL)
      model_history_put_panel (history, panel);
  }
}

static bool
run_uses (const ModelRun *run, guint mark_id)
{
  return run->from_mark_id == mark_id || run->to_mark_id == mark_id;
}

bool
app_mark_is_used (const ModelDocument *doc, const ModelPanel *panel, guint mark_id)
{
  const ModelMark *mark = model_panel_find_mark (panel, mark_id);
  if (mark == NULL || mark->wedges > 0)
    return true;
  for (guint i = 0; i < panel->tapes->len; i++)
  {
    const ModelTape *tape = &g_array_index (panel->tapes, ModelTape, i);
    if (tape->a_mark_id == mark_id || tape->b_mark_id == mark_id || tape->c_mark_id == mark_id)
      return true;
  }
  for (guint i = 0; i < doc->lines->len; i++)
  {
    const ModelLine *line = (const ModelLine *)g_ptr_array_index (doc->lines, i);
    for (guint k = 0; k < line->spans->len; k++)
    {
      const ModelSpan *span = &g_array_index (line->spans, ModelSpan, k);
      if (span->a_mark_id == mark_id || span->b_mark_id == mark_id)
        return true;
    }
  }
  for (guint i = 0; i < doc->joins->len; i++)
  {
    const ModelJoin *join = (const ModelJoin *)g_ptr_array_index (doc->joins, i);
    if (run_uses (&join->a, mark_id) || run_uses (&join->b, mark_id) || join->ease_from_id == mark_id
        || join->ease_to_id == mark_id)
      return true;
    for (guint k = 0; k < join->matches->len; k++)
    {
      const ModelMatch *match = &g_array_index (join->matches, ModelMatch, k);
      if (match->a_mark_id == mark_id || match->b_mark_id == mark_id)
        return true;
    }
  }
  return false;
}

void
app_canvas_remove_line (AppCanvas *self, guint line_id)
{
  const ModelLine *line = model_document_line (app_canvas_document (self), line_id);
  if (line == NULL)
    return;
  if (line->locked)
  {
    app_canvas_tell (self, _ ("This line is locked."));
    return;
  }
  g_autoptr (ModelLine) gone = model_line_copy (line);
  ModelHistory *history = app_canvas_history (self);
  model_history_begin (history, remove_label (gone));
  model_history_remove (history, MODEL_PART_LINE, line_id);
  drop_marks (self, gone);
  model_history_end (history);
}

bool
app_canvas_nudge_line (AppCanvas *self, double dx_mm, double dy_mm)
{
  const ModelLine *line = app_canvas_chosen_line (self);
  if (line == NULL)
    return false;
  if (!lies_on_paper (line) || line->locked)
  {
    app_canvas_tell (self, line->locked ? _ ("This line is locked.")
                                        : _ ("A line across panels moves with their marks."));
    return true;
  }
  ModelLine *copy = model_line_copy (line);
  copy->at = geom_add (copy->at, geom_point (dx_mm, dy_mm));
  model_history_begin_merging (app_canvas_history (self), move_label (line), "nudge line");
  model_history_put_line (app_canvas_history (self), copy);
  model_history_end (app_canvas_history (self));
  g_autofree char *words
    = app_canvas_line_words (self, model_document_line (app_canvas_document (self), copy->id));
  app_canvas_tell (self, words);
  return true;
}

void
app_canvas_walk_lines (AppCanvas *self)
{
  const ModelDocument *doc = app_canvas_document (self);
  const AppSelection *s = app_canvas_selection (self);
  guint count = doc != NULL ? doc->lines->len : 0, from = 0;
  for (guint i = 0; i < count; i++)
    if (((const ModelLine *)g_ptr_array_index (doc->lines, i))->id == s->line_id)
      from = i + 1;
  for (guint k = 0; k < count; k++)
  {
    const ModelLine *line = (const ModelLine *)g_ptr_array_index (doc->lines, (from + k) % count);
    if (line->hidden)
      continue;
    g_autofree char *words = app_canvas_line_words (self, line);
    app_session_select_line (self->session, line->id);
    app_canvas_tell (self, words);
    return;
  }
  app_canvas_tell (self, _ ("There are no lines. Pull a guide out of a rule, or take one from the menu."));
}

guint
app_canvas_add_line (
  AppCanvas *self, ModelLineKind kind, const char *name, GeomPoint at, double direction_deg)
{
  ModelLine *line = model_line_new ();
  line->kind = kind;
  line->at = at;
  line->direction_deg = direction_deg;
  g_free (line->name);
  line->name = g_strdup (name);
  model_history_begin (app_canvas_history (self),
                       kind == MODEL_LINE_LEVEL ? _ ("Add level line") : _ ("Add guide"));
  guint id = model_history_put_line (app_canvas_history (self), line);
  model_history_end (app_canvas_history (self));
  app_session_select_line (self->session, id);
  return id;
}

/* ---- dragging ---- */

static void
drag_to (AppCanvas *self, const AppInput *in)
{
  AppLineDrag *drag = &self->line_drag;
  const ModelLine *was = model_document_line (app_canvas_document (self), drag->line_id);
  if (was == NULL)
    return;
  GeomPoint to = geom_add (in->at, drag->grab);
  if (self->snap && (in->state & GDK_CONTROL_MASK) == 0)
  {
    AppPick pick = app_pick_at (self->index, in->at, SNAP_PX / self->scale, APP_PICK_ALL_POINTS, 0);
    if (pick.kind != APP_PICK_NONE)
      to = pick.at;
  }
  ModelLine *line = model_line_copy (was);
  /* Along itself a line does not move: its point slides only square to it. */
  GeomPoint way = app_line_direction (was);
  line->at = geom_along (to, geom_dot (geom_sub (was->at, to), way), way);
  model_history_put_line (app_canvas_history (self), line);
  g_autofree char *words
    = app_canvas_line_words (self, model_document_line (app_canvas_document (self), drag->line_id));
  app_canvas_say (self, words);
}

static bool
is_over_rule (const AppInput *in)
{
  return in->x < 0.0 || in->y < 0.0;
}

static void
drag_end (AppCanvas *self, const AppInput *in)
{
  AppLineDrag *drag = &self->line_drag;
  guint id = drag->line_id;
  bool open = drag->open;
  const ModelLine *line = model_document_line (app_canvas_document (self), id);
  *drag = (AppLineDrag) { 0 };
  if (!open || line == NULL)
    return;
  /* Back onto a rule: it goes. */
  if (is_over_rule (in))
    model_history_remove (app_canvas_history (self), MODEL_PART_LINE, id);
  model_history_end (app_canvas_history (self));
  if (model_document_line (app_canvas_document (self), id) == NULL)
    app_canvas_say (self, NULL);
}

static void
drag_cancel (AppCanvas *self)
{
  bool open = self->line_drag.open;
  self->line_drag = (AppLineDrag) { 0 };
  if (open)
    model_history_cancel (app_canvas_history (self));
  app_canvas_say (self, NULL);
}

static bool
press_line (AppCanvas *self, const AppInput *in)
{
  if (self->kind != APP_TOOL_CHOOSE || self->session == NULL || in->button != GDK_BUTTON_PRIMARY || in->eraser
      || (in->state & GDK_SHIFT_MASK) != 0)
    return false;
  double factor = app_canvas_catch_mm (self, in) * self->scale / 12.0; /* a finger needs more than a mouse */
  guint id = app_canvas_line_at (self, in->at, CATCH_PX * factor / self->scale);
  const ModelLine *line = id != 0 ? model_document_line (app_canvas_document (self), id) : NULL;
  if (line == NULL)
    return false;
  /* Points and edges come first: they are what is mostly meant. */
  if (app_pick_at (self->index, in->at, app_canvas_catch_mm (self, in), APP_PICK_POINTS | APP_PICK_EDGES, 0)
        .kind
      != APP_PICK_NONE)
    return false;
  app_session_select_line (self->session, id);
  g_autofree char *words = app_canvas_line_words (self, line);
  app_canvas_tell (self, words);
  self->line_drag = (AppLineDrag) { .on = true, .line_id = id, .pressed_x = in->x, .pressed_y = in->y };
  self->line_drag.held = line->locked || !lies_on_paper (line);
  self->line_drag.grab
    = lies_on_paper (line) ? geom_sub (foot_on (line, in->at), in->at) : geom_point (0.0, 0.0);
  return true;
}

bool
app_canvas_lines_feed (AppCanvas *self, AppPhase phase, const AppInput *in)
{
  AppLineDrag *drag = &self->line_drag;
  switch (phase)
  {
  case APP_PHASE_PRESS:
    if (!press_line (self, in))
      return false;
    self->pressed = true;
    self->fitted = false;
    return true;
  case APP_PHASE_MOTION:
    if (!drag->on)
      return false;
    if (drag->held || (!drag->open && hypot (in->x - drag->pressed_x, in->y - drag->pressed_y) < DRAG_PX))
      return true;
    if (!drag->open)
    {
      model_history_begin (app_canvas_history (self),
                           move_label (model_document_line (app_canvas_document (self), drag->line_id)));
      drag->open = true;
    }
    drag_to (self, in);
    return true;
  case APP_PHASE_RELEASE:
    if (!drag->on)
      return false;
    self->pressed = false;
    drag_end (self, in);
    return true;
  case APP_PHASE_CANCEL:
    if (!drag->on)
      return false;
    self->pressed = false;
    drag_cancel (self);
    return true;
  case APP_PHASE_HOVER:
  case APP_PHASE_LEAVE:
    return false;
  }
  return false;
}

/* ---- out of the rules ---- */

void
app_canvas_pull_line (AppCanvas *self, bool upright, double x, double y)
{
  if (self->session == NULL || self->pressed || model_history_is_open (app_canvas_history (self)))
    return;
  AppInput in = app_canvas_input (self, x, y);
  model_history_begin (app_canvas_history (self), _ ("Add guide"));
  ModelLine *line = model_line_new ();
  line->at = in.at;
  line->direction_deg = upright ? 90.0 : 0.0;
  guint id = model_history_put_line (app_canvas_history (self), line);
  app_session_select_line (self->session, id);
  self->line_drag = (AppLineDrag) { .on = true, .open = true, .line_id = id };
  self->pressed = true;
  self->fitted = false;
  drag_to (self, &in);
}

/* ---- drawing ---- */

/* The part of an endless line that is in view, widget px.  False: none. */
static bool
clip_line (AppCanvas *self,
           const ModelLine *line,
           double width,
           double height,
           double *x0,
           double *y0,
           double *x1,
           double *y1)
{
  double ax, ay;
  app_canvas_to_widget (self, line->at, &ax, &ay);
  GeomPoint way = app_line_direction (line);
  double dx = way.x, dy = -way.y, from = -1e9, to = 1e9;
  const double p[4] = { -dx, dx, -dy, dy }, q[4] = { ax, width - ax, ay, height - ay };
  for (int i = 0; i < 4; i++)
  {
    if (fabs (p[i]) <= 0.0)
    {
      if (q[i] < 0.0)
        return false;
      continue;
    }
    double t = q[i] / p[i];
    if (p[i] < 0.0)
      from = MAX (from, t);
    else
      to = MIN (to, t);
  }
  *x0 = ax + from * dx;
  *y0 = ay + from * dy;
  *x1 = ax + to * dx;
  *y1 = ay + to * dy;
  return from < to;
}

static void
stroke_dots (cairo_t *cr, const OutputInk *ink, OutputTone tone, bool chosen, double phase)
{
  output_set_tone (cr, ink, tone);
  output_set_stroke (cr, &ink->girth);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_ROUND);
  const double dots[2] = { 0.01, ink->girth.width + 4.0 };
  cairo_set_dash (cr, dots, 2, phase);
  cairo_set_line_width (cr, ink->girth.width + 0.6);
  if (chosen)
  {
    /* In hand: continuous, like an edge. */
    cairo_set_dash (cr, NULL, 0, 0.0);
    cairo_set_line_width (cr, 1.6);
  }
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);
}

static void
append (GtkSnapshot *snapshot, cairo_t *cr)
{
  GskRenderNode *node = app_canvas_recorded (cr);
  if (node == NULL)
    return;
  gtk_snapshot_append_node (snapshot, node);
  gsk_render_node_unref (node);
}

static void
draw_pin (cairo_t *cr, const OutputInk *ink, double x, double y)
{
  cairo_arc (cr, x, y - 7.0, 2.2, 0.0, 2.0 * G_PI);
  output_set_tone (cr, ink, OUTPUT_TONE_INK);
  cairo_fill (cr);
  cairo_move_to (cr, x, y - 5.0);
  cairo_line_to (cr, x, y);
  cairo_set_line_width (cr, 1.2);
  cairo_stroke (cr);
}

static void
paint_paper_line (
  AppCanvas *self, GtkSnapshot *snapshot, const ModelLine *line, bool chosen, int width, int height)
{
  double x0, y0, x1, y1;
  if (!clip_line (self, line, width, height, &x0, &y0, &x1, &y1))
    return;
  const OutputInk *ink = app_canvas_ink (self);
  cairo_t *cr = app_canvas_record ();
  double ax, ay;
  app_canvas_to_widget (self, line->at, &ax, &ay);
  bool level = fabs (x1 - x0) >= fabs (y1 - y0);
  if (fabs (x1 - x0) <= 0.0 || fabs (y1 - y0) <= 0.0)
  {
    /* On whole pixels: a hairline, not a smear. */
    x0 = level ? x0 : floor (x0) + 0.5;
    x1 = level ? x1 : x0;
    y0 = level ? floor (y0) + 0.5 : y0;
    y1 = level ? y0 : y1;
  }
  cairo_move_to (cr, x0, y0);
  cairo_line_to (cr, x1, y1);
  OutputTone tone = chosen                           ? OUTPUT_TONE_BLUE
                    : line->kind == MODEL_LINE_LEVEL ? OUTPUT_TONE_INK_2
                                                     : OUTPUT_TONE_INK_3;
  stroke_dots (cr, ink, tone, chosen, fmod (hypot (x0 - ax, y0 - ay), ink->girth.width + 4.0));
  if (line->locked)
    for (int k = 1; k <= 3; k++)
      draw_pin (cr, ink, x0 + (x1 - x0) * k / 4.0, y0 + (y1 - y0) * k / 4.0);
  append (snapshot, cr);
  g_autofree char *text = chosen                           ? app_canvas_line_words (self, line)
                          : *line->name != '\0'            ? g_strdup (line->name)
                          : line->kind == MODEL_LINE_LEVEL ? engine_words_line (line)
                                                           : NULL;
  if (text == NULL)
    return;
  cr = app_canvas_record ();
  double text_width, text_height;
  output_measure_text (cr, LABEL_PX, false, text, &text_width, &text_height);
  double x = level ? MAX (x0, x1) - text_width / 2.0 - LABEL_INSET_PX : x0,
         y = level ? (x1 > x0 ? y1 : y0) - text_height / 2.0 - 3.0
                   : MIN (y0, y1) + text_height / 2.0 + LABEL_INSET_PX;
  if (!level)
    x = CLAMP (x, text_width / 2.0 + 4.0, MAX (width - text_width / 2.0 - 4.0, text_width / 2.0 + 4.0));
  output_draw_text (cr, ink, x, MAX (y, text_height / 2.0 + 2.0), 0.0, LABEL_PX, chosen,
                    chosen ? OUTPUT_TONE_BLUE : OUTPUT_TONE_INK_2, OUTPUT_TONE_CANVAS, text);
  append (snapshot, cr);
}

static void
draw_span (AppCanvas *self, cairo_t *cr, const ModelLine *line, const EngineSpanReading *span)
{
  double x0, y0, x1, y1;
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), span->panel_id);
  const AppOutline *outline = app_pick_index_outline (self->index, span->panel_id, span->side);
  if (line->kind == MODEL_LINE_NECK && panel != NULL && outline != NULL)
  {
    /* Along the outline, the shorter way. */
    GeomPlace a = geom_path_nearest (&outline->path, span->a).place,
              b = geom_path_nearest (&outline->path, span->b).place;
    GeomPath there, back;
    geom_path_init (&there);
    geom_path_init (&back);
    geom_path_part (&outline->path, a, b, &there);
    geom_path_part (&outline->path, b, a, &back);
    bool shorter = geom_path_length (&there, 1e-2) <= geom_path_length (&back, 1e-2);
    OutputView view = app_canvas_widget_view (self);
    output_trace_path (cr, &view, shorter ? &there : &back);
    geom_path_clear (&there);
    geom_path_clear (&back);
    return;
  }
  app_canvas_to_widget (self, span->a, &x0, &y0);
  app_canvas_to_widget (self, span->b, &x1, &y1);
  cairo_move_to (cr, x0, y0);
  cairo_line_to (cr, x1, y1);
}

static void
paint_spans (AppCanvas *self, GtkSnapshot *snapshot, const ModelLine *line, bool chosen)
{
  const EngineLineReading *reading = engine_review_line (app_session_review (self->session), line->id);
  const OutputInk *ink = app_canvas_ink (self);
  double longest = 0.0, lx = 0.0, ly = 0.0;
  for (guint i = 0; reading != NULL && i < reading->spans->len; i++)
  {
    const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, i);
    const ModelPanel *panel = model_document_panel (app_canvas_document (self), span->panel_id);
    if (panel == NULL || panel->hidden || (!span->drawn && !app_canvas_is_opened (panel)))
      continue;
    cairo_t *cr = app_canvas_record ();
    draw_span (self, cr, line, span);
    stroke_dots (cr, ink, chosen ? OUTPUT_TONE_BLUE : OUTPUT_TONE_INK_2, chosen, 0.0);
    append (snapshot, cr);
    if (span->inside_mm > longest)
    {
      longest = span->inside_mm;
      app_canvas_to_widget (self, geom_mix (span->a, span->b, 0.5), &lx, &ly);
    }
  }
  if (longest * self->scale < 60.0)
    return;
  g_autofree char *text = chosen ? app_canvas_line_words (self, line) : engine_words_line (line);
  cairo_t *cr = app_canvas_record ();
  output_draw_text (cr, ink, lx, ly - 11.0, 0.0, LABEL_PX, chosen,
                    chosen ? OUTPUT_TONE_BLUE : OUTPUT_TONE_INK_2, OUTPUT_TONE_FACE, text);
  append (snapshot, cr);
}

void
app_canvas_paint_lines (AppCanvas *self, GtkSnapshot *snapshot, bool on_paper, int width, int height)
{
  const ModelDocument *doc = app_canvas_document (self);
  const AppSelection *s = app_canvas_selection (self);
  for (guint i = 0; doc != NULL && i < doc->lines->len; i++)
  {
    const ModelLine *line = (const ModelLine *)g_ptr_array_index (doc->lines, i);
    if (line->hidden || lies_on_paper (line) != on_paper)
      continue;
    if (on_paper)
      paint_paper_line (self, snapshot, line, s->line_id == line->id, width, height);
    else
      paint_spans (self, snapshot, line, s->line_id == line->id);
  }
}
