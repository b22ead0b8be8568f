/* Tapes pinned to panels: a laddered line with a pin at each end and its length beside it.  A tape is chosen
 * by its line or its plate, so that it never takes a press that was meant for an edge. */
#include "app/canvas-private.h"

#include "app/number-entry.h"
#include "engine/words.h"
#include "model/repair.h"
#include "model/tape.h"

#include <glib/gi18n.h>

#define CATCH_PX 5.0
#define LEAST_PX 24.0
#define INSET_PX 8.0 /* of a tape along an edge, into the panel */
#define PLATE_PX 12.0
#define PLATE_OFF_PX 14.0
#define PLATE_GAP_PX 5.0
#define RUNG_PX 3.0
#define ARC_PX 26.0
#define MOST_RUNGS 2000
#define ACCURACY_MM 1e-4

/* ---- words ---- */

static char *
kind_words (const ModelDocument *doc, const ModelTape *tape, const ModelTapeReading *reading)
{
  g_autofree char *mm = engine_words_length (doc, reading->mm);
  switch (tape->kind)
  {
  case MODEL_TAPE_STRAIGHT:
    return g_strdup_printf (_ ("Straight, %s"), mm);
  case MODEL_TAPE_ALONG:
    return g_strdup_printf (_ ("Along the edge, %s"), mm);
  case MODEL_TAPE_ANGLE:
    return g_strdup_printf (_ ("Angle, %.1f°"), reading->deg);
  }
  return g_strdup ("");
}

char *
app_tape_words (const ModelDocument *doc, const ModelPanel *panel, const ModelTape *tape, bool twin)
{
  ModelTapeReading reading;
  if (!model_tape_read (panel, tape, twin, &reading))
    return g_strdup ("");
  g_autofree char *flat = kind_words (doc, tape, &reading);
  if (!reading.has_wrap)
    return g_steal_pointer (&flat);
  g_autofree char *wrap = engine_words_length (doc, tape->wrap_mm),
                  *over = engine_words_length (doc, fabs (reading.over_mm));
  /* Translators: what a tape reads on the panel, what over the wrap, and by how much that is more. */
  return g_strdup_printf (reading.over_mm >= 0.0 ? _ ("%1$s; over the wrap %2$s, %3$s more")
                                                 : _ ("%1$s; over the wrap %2$s, %3$s less"),
                          flat, wrap, over);
}

/* ---- changing ---- */

const ModelTape *
app_canvas_chosen_tape (AppCanvas *self, const ModelPanel **panel)
{
  const AppSelection *s = app_canvas_selection (self);
  const ModelPanel *on = s != NULL && s->tape_id != 0 ? app_canvas_chosen_panel (self) : NULL;
  if (panel != NULL)
    *panel = on;
  return on != NULL ? model_panel_find_tape (on, s->tape_id) : NULL;
}

static void
put (AppCanvas *self, ModelPanel *panel, const char *label)
{
  model_history_begin (app_canvas_history (self), label);
  model_repair_put_panel (app_canvas_history (self), panel);
  model_history_end (app_canvas_history (self));
}

/* A copy of the panel, and the tape in it; NULL: it is gone. */
static ModelPanel *
copy_with (AppCanvas *self, guint panel_id, guint tape_id, ModelTape **tape)
{
  const ModelPanel *was = model_document_panel (app_canvas_document (self), panel_id);
  if (was == NULL || model_panel_find_tape (was, tape_id) == NULL)
    return NULL;
  ModelPanel *panel = model_panel_copy (was);
  *tape = model_panel_find_tape (panel, tape_id);
  return panel;
}

void
app_canvas_set_tape_wrap (AppCanvas *self, guint panel_id, guint tape_id, double mm)
{
  ModelTape *tape;
  ModelPanel *panel = copy_with (self, panel_id, tape_id, &tape);
  if (panel == NULL)
    return;
  tape->has_wrap = mm > 0.0;
  tape->wrap_mm = tape->has_wrap ? mm : 0.0;
  g_autofree char *words = app_tape_words (app_canvas_document (self), panel, tape, false);
  put (self, panel, _ ("Change a taped length"));
  app_canvas_tell (self, words);
}

void
app_canvas_remove_tape (AppCanvas *self, guint panel_id, guint tape_id)
{
  ModelTape *found;
  ModelPanel *panel = copy_with (self, panel_id, tape_id, &found);
  if (panel == NULL)
    return;
  const guint marks[3] = { found->a_mark_id, found->b_mark_id, found->c_mark_id };
  for (guint i = panel->tapes->len; i-- > 0;)
    if (g_array_index (panel->tapes, ModelTape, i).id == tape_id)
      g_array_remove_index (panel->tapes, i);
  for (int k = 0; k < 3; k++)
    for (guint i = panel->marks->len; marks[k] != 0 && i-- > 0;)
      if (g_array_index (panel->marks, ModelMark, i).id == marks[k]
          && !app_mark_is_used (app_canvas_document (self), panel, marks[k]))
        g_array_remove_index (panel->marks, i);
  put (self, panel, _ ("Remove a tape"));
  app_canvas_tell (self, _ ("The tape is removed."));
}

/* ---- pinning ---- */

/* The panel and side under all ends: of an edge its own, else the one around the point. */
static const AppOutline *
outline_under (AppCanvas *self, const AppTapeEnd *ends, int count)
{
  for (int i = 0; i < count; i++)
    if (ends[i].on_edge)
      return app_pick_index_outline (self->index, ends[i].panel_id, ends[i].side);
  AppPick pick = app_pick_at (self->index, ends[0].at, 0.0, APP_PICK_PANELS, 0);
  return pick.kind == APP_PICK_PANEL ? app_pick_index_outline (self->index, pick.panel_id, pick.side) : NULL;
}

static bool
lies_on (const AppOutline *outline, const AppTapeEnd *end)
{
  return end->on_edge ? end->panel_id == outline->panel_id && end->side == outline->side
                      : geom_path_contains (&outline->path, end->at);
}

static double
stretch (const GeomPath *path, size_t first, size_t count)
{
  double sum = 0.0;
  for (size_t i = first; i < first + count; i++)
    sum += geom_cubic_length (&path->piece[i], ACCURACY_MM);
  return sum;
}

/* As a mark, on the drawn edge at the same part of its length, or as a point of the drawn side. */
static bool
fix_end (AppCanvas *self,
         ModelPanel *panel,
         const AppOutline *outline,
         const AppTapeEnd *end,
         guint *mark,
         GeomPoint *at)
{
  *mark = 0;
  if (!end->on_edge)
  {
    *at = outline->twin ? geom_affine_apply (model_panel_mirror (panel), end->at) : end->at;
    return true;
  }
  for (guint e = 0; e < panel->edges->len && e < outline->edge_count; e++)
  {
    size_t first, count, k = end->place.piece;
    app_outline_edge (outline, panel, e, &first, &count);
    if (k < first || k >= first + count)
      continue;
    double along = stretch (&outline->path, first, k - first)
                   + geom_cubic_length_between (&outline->path.piece[k], 0.0, end->place.t, ACCURACY_MM);
    if (outline->twin)
    {
      GeomPath drawn;
      geom_path_init (&drawn);
      model_panel_path (panel, &drawn, NULL);
      double own = stretch (&outline->path, first, count);
      along *= own > 0.0 ? stretch (&drawn, first, count) / own : 0.0;
      geom_path_clear (&drawn);
    }
    *mark = model_tape_mark (panel, app_canvas_document (self), model_panel_edge (panel, e)->id, along);
    return *mark != 0;
  }
  return false;
}

/* The shorter way round: from B to A instead. */
static bool
runs_back (const AppOutline *outline, const AppTapeEnd *a, const AppTapeEnd *b)
{
  double whole = geom_path_length (&outline->path, ACCURACY_MM),
         way = geom_path_length_to (&outline->path, b->place, ACCURACY_MM)
               - geom_path_length_to (&outline->path, a->place, ACCURACY_MM);
  return (way < 0.0 ? way + whole : way) > whole / 2.0;
}

static bool
wrap_taken (AppCanvas *self, const char *text, gpointer user)
{
  const ModelPanel *panel;
  const ModelTape *tape = app_canvas_chosen_tape (self, &panel);
  g_autofree char *plain = g_strstrip (g_strdup (text));
  double mm = (double)NAN;
  if (tape == NULL || (*plain == '\0' && !tape->has_wrap))
    return true;
  if (*plain != '\0' && (!model_unit_parse (plain, self->unit, &mm, NULL) || !(mm > 0.0)))
    return false;
  app_canvas_set_tape_wrap (self, panel->id, tape->id, mm);
  return true;
}

static void
ask_wrap (AppCanvas *self)
{
  const ModelPanel *panel;
  const ModelTape *tape = app_canvas_chosen_tape (self, &panel);
  const AppSelection *s = app_canvas_selection (self);
  ModelTapeReading reading;
  if (tape == NULL || tape->kind == MODEL_TAPE_ANGLE)
    return;
  const AppOutline *outline = app_pick_index_outline (self->index, panel->id, s->side);
  if (!model_tape_read (panel, tape, outline != NULL && outline->twin, &reading))
    return;
  double x, y;
  app_canvas_entry_place (self, geom_mix (reading.a, reading.b, 0.5), &x, &y);
  g_autofree char *text = tape->has_wrap ? app_canvas_length (self, tape->wrap_mm) : g_strdup ("");
  app_text_entry_open (self, x, y + PLATE_OFF_PX, _ ("Over the wrap"), text, wrap_taken, NULL);
}

bool
app_canvas_pin_tape (AppCanvas *self, ModelTapeKind kind, const AppTapeEnd given[3])
{
  int count = kind == MODEL_TAPE_ANGLE ? 3 : 2;
  AppTapeEnd ends[3] = { given[0], given[1], given[2] };
  const AppOutline *outline = outline_under (self, ends, count);
  const ModelPanel *was
    = outline != NULL ? model_document_panel (app_canvas_document (self), outline->panel_id) : NULL;
  bool there = was != NULL;
  for (int i = 0; there && i < count; i++)
    there = lies_on (outline, &ends[i]) && (kind != MODEL_TAPE_ALONG || ends[i].on_edge);
  if (!there)
  {
    app_canvas_tell (self, _ ("A tape is pinned to one panel: both of its ends must lie on it."));
    return false;
  }
  if (kind == MODEL_TAPE_ALONG && runs_back (outline, &ends[0], &ends[1]))
  {
    ends[0] = given[1];
    ends[1] = given[0];
  }
  ModelPanel *panel = model_panel_copy (was);
  ModelTape tape = { .id = model_document_take_id (app_canvas_document (self)), .kind = kind };
  if (!fix_end (self, panel, outline, &ends[0], &tape.a_mark_id, &tape.a)
      || !fix_end (self, panel, outline, &ends[1], &tape.b_mark_id, &tape.b)
      || (count == 3 && !fix_end (self, panel, outline, &ends[2], &tape.c_mark_id, &tape.c)))
  {
    model_panel_free (panel);
    return false;
  }
  g_array_append_val (panel->tapes, tape);
  guint panel_id = panel->id;
  ModelSide side = outline->side;
  put (self, panel, _ ("Pin a tape"));
  app_session_select_tape (self->session, panel_id, side, tape.id);
  app_canvas_tell (self, kind == MODEL_TAPE_ANGLE
                           ? _ ("The angle is pinned to the panel.")
                           : _ ("Pinned. Type what the tape reads over the wrap, or leave it empty."));
  ask_wrap (self);
  return true;
}

void
app_canvas_pin_edge (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  const ModelPanel *panel = app_canvas_chosen_panel (self);
  const ModelEdge *edge = app_canvas_chosen_edge (self);
  const AppOutline *outline = edge != NULL ? app_pick_index_outline (self->index, panel->id, s->side) : NULL;
  if (outline == NULL || panel->edges->len < 2)
    return;
  guint e = (guint)model_panel_find_edge (panel, edge->id);
  ModelPanel *copy = model_panel_copy (panel);
  guint next = model_panel_edge (copy, (e + 1) % copy->edges->len)->id;
  ModelTape tape = { .id = model_document_take_id (app_canvas_document (self)), .kind = MODEL_TAPE_ALONG };
  tape.a_mark_id = model_tape_mark (copy, app_canvas_document (self), edge->id, 0.0);
  tape.b_mark_id = model_tape_mark (copy, app_canvas_document (self), next, 0.0);
  g_array_append_val (copy->tapes, tape);
  guint panel_id = copy->id;
  ModelSide side = outline->side;
  put (self, copy, _ ("Pin a tape"));
  app_session_select_tape (self->session, panel_id, side, tape.id);
  ask_wrap (self);
}

guint
app_canvas_tape_offers (AppCanvas *self)
{
  return app_tape_tool_offers (self);
}

void
app_canvas_pin_measured (AppCanvas *self, ModelTapeKind kind)
{
  app_tape_tool_pin (self, kind);
}

/* ---- where it is drawn ---- */

/* A tape as it lies in the widget: a row of points, px, and its plate. */
typedef struct Drawn
{
  GArray *points;  /* GeomPoint */
  GeomPoint plate; /* its middle */
  double width, height;
  char *text;
  double px;
} Drawn;

static GeomPoint
on_widget (AppCanvas *self, GeomPoint at)
{
  double x, y;
  app_canvas_to_widget (self, at, &x, &y);
  return geom_point (x, y);
}

static char *
plate_words (AppCanvas *self, const ModelTape *tape, const ModelTapeReading *reading)
{
  if (tape->kind == MODEL_TAPE_ANGLE)
    return g_strdup_printf ("%.1f°", reading->deg);
  g_autofree char *flat = app_canvas_length (self, reading->mm);
  if (!reading->has_wrap)
    return g_steal_pointer (&flat);
  g_autofree char *over = model_unit_signed (reading->over_mm, self->unit, 1);
  /* Translators: on a tape: its length on the panel, and by how much it read more over the wrap. */
  return g_strdup_printf (_ ("%1$s, wrap %2$s"), flat, over);
}

static bool
lay_out (AppCanvas *self, const ModelPanel *panel, const ModelTape *tape, bool twin, Drawn *out)
{
  GeomPath way;
  geom_path_init (&way);
  ModelTapeReading reading;
  *out = (Drawn) { .points = g_array_new (FALSE, FALSE, sizeof (GeomPoint)) };
  if (model_tape_read (panel, tape, twin, &reading))
  {
    out->text = plate_words (self, tape, &reading);
    cairo_t *cr = app_canvas_record ();
    output_measure_text (cr, PLATE_PX, false, out->text, &out->width, &out->height);
    cairo_destroy (cr);
  }
  if (out->text != NULL && model_tape_way (panel, tape, twin, &way))
  {
    bool along = tape->kind == MODEL_TAPE_ALONG;
    /* Widget px have y down: what lies left of the way on the paper lies left of it there, too, once turned.
     */
    double inset = along ? (twin ? -INSET_PX : INSET_PX) / self->scale : 0.0;
    for (size_t i = 0; i < way.count; i++)
    {
      int steps = along ? 16 : 1;
      for (int k = i == 0 ? 0 : 1; k <= steps; k++)
      {
        double t = (double)k / steps;
        GeomPoint at = geom_cubic_at (&way.piece[i], t);
        if (along)
          at = geom_along (at, inset, geom_left_of (geom_cubic_tangent (&way.piece[i], t)));
        at = on_widget (self, at);
        if (out->points->len > 0)
          out->px += geom_distance (g_array_index (out->points, GeomPoint, out->points->len - 1), at);
        g_array_append_val (out->points, at);
      }
    }
    GeomPlace middle = geom_path_place_at (&way, geom_path_length (&way, 1e-2) / 2.0, 1e-2);
    GeomPoint across = geom_left_of (geom_path_tangent (&way, middle)), at = geom_path_point (&way, middle);
    across = geom_scale (across, twin && along ? -1.0 : 1.0);
    if (tape->kind == MODEL_TAPE_ANGLE)
    {
      at = way.piece[0].p[3];
      across = geom_unit (geom_sub (geom_mix (way.piece[0].p[0], way.piece[way.count - 1].p[3], 0.5), at));
    }
    GeomPoint px = on_widget (self, at);
    /* A level tape's plate needs its height, an upright one's its width. */
    double off = tape->kind == MODEL_TAPE_ANGLE ? ARC_PX : along ? INSET_PX : 0.0;
    off += PLATE_GAP_PX + fabs (across.x) * out->width / 2.0 + fabs (across.y) * out->height / 2.0;
    out->plate = geom_point (px.x + across.x * off, px.y - across.y * off);
  }
  geom_path_clear (&way);
  return out->points->len > 1 && out->px >= LEAST_PX;
}

typedef void (*EachTape) (AppCanvas *self,
                          const ModelPanel *panel,
                          const AppOutline *outline,
                          const ModelTape *tape,
                          Drawn *drawn,
                          gpointer user);

static void
each_tape (AppCanvas *self, EachTape what, gpointer user)
{
  GPtrArray *outlines = app_pick_index_outlines (self->index);
  for (guint i = 0; i < outlines->len; i++)
  {
    const AppOutline *outline = (const AppOutline *)g_ptr_array_index (outlines, i);
    const ModelPanel *panel = model_document_panel (app_canvas_document (self), outline->panel_id);
    for (guint k = 0; panel != NULL && k < panel->tapes->len; k++)
    {
      const ModelTape *tape = &g_array_index (panel->tapes, ModelTape, k);
      Drawn drawn;
      if (lay_out (self, panel, tape, outline->twin, &drawn))
        what (self, panel, outline, tape, &drawn, user);
      g_array_unref (drawn.points);
      g_free (drawn.text);
    }
  }
}

/* ---- choosing ---- */

typedef struct Near
{
  GeomPoint at; /* px */
  double best_px;
  guint panel_id, tape_id;
  ModelSide side;
  bool plate;
} Near;

static void
look_near (AppCanvas *self,
           const ModelPanel *panel,
           const AppOutline *outline,
           const ModelTape *tape,
           Drawn *drawn,
           gpointer user)
{
  Near *near = user;
  double best = INFINITY;
  bool plate = fabs (near->at.x - drawn->plate.x) <= drawn->width / 2.0 + 4.0
               && fabs (near->at.y - drawn->plate.y) <= drawn->height / 2.0 + 4.0;
  for (guint i = 1; i < drawn->points->len && tape->kind != MODEL_TAPE_ALONG; i++)
  {
    GeomPoint a = g_array_index (drawn->points, GeomPoint, i - 1),
              way = geom_sub (g_array_index (drawn->points, GeomPoint, i), a);
    double square = geom_dot (way, way),
           t = square > 0.0 ? CLAMP (geom_dot (geom_sub (near->at, a), way) / square, 0.0, 1.0) : 0.0;
    best = MIN (best, geom_distance (near->at, geom_along (a, t, way)));
  }
  if (plate)
    best = 0.0;
  if (best >= near->best_px)
    return;
  *near = (Near) { near->at, best, panel->id, tape->id, outline->side, plate };
}

bool
app_canvas_choose_tape_at (AppCanvas *self, const AppInput *in)
{
  if (self->kind != APP_TOOL_CHOOSE || self->session == NULL || in->eraser
      || (in->state & (GDK_SHIFT_MASK | GDK_CONTROL_MASK)) != 0)
    return false;
  double factor = app_canvas_catch_mm (self, in) * self->scale / 12.0;
  Near near = { .at = geom_point (in->x, in->y), .best_px = CATCH_PX * factor };
  each_tape (self, look_near, &near);
  if (near.tape_id == 0
      || (!near.plate
          && app_pick_at (self->index, in->at, app_canvas_catch_mm (self, in),
                          APP_PICK_POINTS | APP_PICK_EDGES, 0)
                 .kind
               != APP_PICK_NONE))
    return false;
  bool again = app_canvas_selection (self)->tape_id == near.tape_id;
  app_session_select_tape (self->session, near.panel_id, near.side, near.tape_id);
  const ModelPanel *panel;
  const ModelTape *tape = app_canvas_chosen_tape (self, &panel);
  const AppOutline *outline = app_pick_index_outline (self->index, near.panel_id, near.side);
  if (tape != NULL)
  {
    g_autofree char *words
      = app_tape_words (app_canvas_document (self), panel, tape, outline != NULL && outline->twin);
    app_canvas_tell (self, words);
  }
  if (again && in->presses == 2)
    ask_wrap (self);
  return true;
}

/* ---- painting ---- */

static void
draw_pin (cairo_t *cr, const OutputInk *ink, GeomPoint at, OutputTone tone)
{
  cairo_new_path (cr);
  cairo_arc (cr, at.x, at.y, 3.0, 0.0, 2.0 * G_PI);
  output_set_tone (cr, ink, tone);
  cairo_fill_preserve (cr);
  output_set_tone (cr, ink, OUTPUT_TONE_CARD);
  cairo_set_line_width (cr, 1.0);
  cairo_stroke (cr);
}

/* Rungs to both sides each 10 mm (half an inch), as on a ruler's tape. */
static void
draw_rungs (AppCanvas *self, cairo_t *cr, const Drawn *drawn)
{
  double step = (self->unit == MODEL_UNIT_INCH ? 12.7 : 10.0) * self->scale, next = step, along = 0.0;
  if (!(step >= 5.0) || drawn->px / step > MOST_RUNGS)
    return;
  for (guint i = 1; i < drawn->points->len; i++)
  {
    GeomPoint a = g_array_index (drawn->points, GeomPoint, i - 1),
              b = g_array_index (drawn->points, GeomPoint, i);
    double length = geom_distance (a, b);
    GeomPoint way = geom_unit (geom_sub (b, a)), side = geom_left_of (way);
    for (; next < along + length; next += step)
    {
      GeomPoint at = geom_along (a, next - along, way), p = geom_along (at, -RUNG_PX, side),
                q = geom_along (at, RUNG_PX, side);
      cairo_move_to (cr, p.x, p.y);
      cairo_line_to (cr, q.x, q.y);
    }
    along += length;
  }
}

static void
draw_corner (cairo_t *cr, const Drawn *drawn)
{
  const GeomPoint *p = (const GeomPoint *)(gconstpointer)drawn->points->data;
  double first = atan2 (p[0].y - p[1].y, p[0].x - p[1].x), last = atan2 (p[2].y - p[1].y, p[2].x - p[1].x),
         turn = remainder (last - first, 2.0 * G_PI);
  cairo_new_sub_path (cr);
  if (turn >= 0.0)
    cairo_arc (cr, p[1].x, p[1].y, ARC_PX, first, first + turn);
  else
    cairo_arc_negative (cr, p[1].x, p[1].y, ARC_PX, first, first + turn);
}

static void
paint_one (AppCanvas *self,
           const ModelPanel *panel,
           const AppOutline *outline,
           const ModelTape *tape,
           Drawn *drawn,
           gpointer user)
{
  GtkSnapshot *snapshot = user;
  const AppSelection *s = app_canvas_selection (self);
  const OutputInk *ink = app_canvas_ink (self);
  bool chosen = s->tape_id == tape->id && s->side == outline->side && app_selection_has_panel (s, panel->id);
  OutputTone tone = chosen ? OUTPUT_TONE_BLUE : OUTPUT_TONE_OCHRE;
  cairo_t *cr = app_canvas_record ();
  for (guint i = 0; i < drawn->points->len; i++)
  {
    GeomPoint p = g_array_index (drawn->points, GeomPoint, i);
    cairo_line_to (cr, p.x, p.y);
  }
  if (tape->kind == MODEL_TAPE_ANGLE)
    draw_corner (cr, drawn);
  else
    draw_rungs (self, cr, drawn);
  output_set_tone (cr, ink, tone);
  cairo_set_line_width (cr, chosen ? 2.2 : 1.2);
  cairo_stroke (cr);
  draw_pin (cr, ink, g_array_index (drawn->points, GeomPoint, 0), tone);
  draw_pin (cr, ink, g_array_index (drawn->points, GeomPoint, drawn->points->len - 1), tone);
  if (chosen || drawn->px >= 1.2 * drawn->width)
    output_draw_text (cr, ink, drawn->plate.x, drawn->plate.y, 0.0, PLATE_PX, chosen, tone, OUTPUT_TONE_FACE,
                      drawn->text);
  GskRenderNode *node = app_canvas_recorded (cr);
  if (node != NULL)
  {
    gtk_snapshot_append_node (snapshot, node);
    gsk_render_node_unref (node);
  }
}

void
app_canvas_paint_tapes (AppCanvas *self, GtkSnapshot *snapshot)
{
  each_tape (self, paint_one, snapshot);
}

/* ---- the menu ---- */

static void
on_wrap (AppCanvas *self, guint arg)
{
  ask_wrap (self);
}

static void
on_no_wrap (AppCanvas *self, guint arg)
{
  const ModelPanel *panel;
  const ModelTape *tape = app_canvas_chosen_tape (self, &panel);
  if (tape != NULL)
    app_canvas_set_tape_wrap (self, panel->id, tape->id, (double)NAN);
}

static void
on_sheets (AppCanvas *self, guint arg)
{
  const ModelPanel *on;
  const ModelTape *chosen = app_canvas_chosen_tape (self, &on);
  ModelTape *tape;
  ModelPanel *panel = chosen != NULL ? copy_with (self, on->id, chosen->id, &tape) : NULL;
  if (panel == NULL)
    return;
  tape->on_sheets = !tape->on_sheets;
  put (self, panel, tape->on_sheets ? _ ("Print a tape") : _ ("Leave a tape off the sheets"));
}

static void
on_remove (AppCanvas *self, guint arg)
{
  const ModelPanel *panel;
  const ModelTape *tape = app_canvas_chosen_tape (self, &panel);
  if (tape != NULL)
    app_canvas_remove_tape (self, panel->id, tape->id);
}

static void
on_pin_edge (AppCanvas *self, guint arg)
{
  app_canvas_pin_edge (self);
}

void
app_canvas_tapes_init (AppCanvas *self)
{
  static const AppCanvasAction rows[] = { { "wrap", on_wrap, 0 },
                                          { "no-wrap", on_no_wrap, 0 },
                                          { "on-sheets", on_sheets, 0 },
                                          { "remove", on_remove, 0 },
                                          { "pin-edge", on_pin_edge, 0 } };
  app_canvas_add_actions (self, "tape", rows, G_N_ELEMENTS (rows));
}

void
app_canvas_tape_rows (AppCanvas *self, GMenu *menu, const ModelTape *tape)
{
  GMenu *section = g_menu_new ();
  if (tape->kind != MODEL_TAPE_ANGLE)
  {
    g_menu_append (section, _ ("Length over the _wrap…"), "tape.wrap");
    if (tape->has_wrap)
      g_menu_append (section, _ ("_Forget the wrap"), "tape.no-wrap");
  }
  g_menu_append (section, tape->on_sheets ? _ ("Leave off the _sheets") : _ ("Print on the _sheets"),
                 "tape.on-sheets");
  app_menu_add_section (menu, section);
  section = g_menu_new ();
  g_menu_append (section, _ ("_Remove the tape"), "tape.remove");
  app_menu_add_section (menu, section);
}
