/* Shape: nodes, handles and the curve itself are taken hold of and moved.
 *
 * Each motion shapes a copy of the panel as it was at the press, so a drag never adds up rounding and a
 * cancel has nothing to undo by hand: the history takes the open group back.
 */
#include "app/canvas-private.h"

#include "engine/join-edit.h"
#include "engine/words.h"
#include "model/repair.h"
#include "model/reshape.h"

#include <glib/gi18n.h>

#define DRAG_PX 3.0
#define DRAG_TOUCH_PX 9.0
#define BAR_PX 150.0
/* The frame of several points, and its turning handle above it. */
#define FRAME_PX 18.0
#define TURN_PX 26.0
#define TURN_STEP_RAD (15.0 * G_PI / 180.0)

/* ---- the drag ---- */

void
app_shape_drag_clear (AppShapeDrag *drag)
{
  g_clear_pointer (&drag->before, model_panel_free);
  g_clear_pointer (&drag->node_ids, g_array_unref);
  *drag = (AppShapeDrag) { 0 };
}

void
app_shape_drag_begin (AppShapeDrag *drag, AppCanvas *canvas, const AppPick *pick, GeomPoint at)
{
  app_shape_drag_clear (drag);
  const ModelPanel *panel = model_document_panel (app_canvas_document (canvas), pick->panel_id);
  int edge_index = panel != NULL ? model_panel_find_edge (panel, pick->edge_id) : -1;
  if (panel == NULL || edge_index < 0 || app_canvas_say_locked (canvas, panel, pick->edge_id))
    return;
  drag->on = true;
  drag->pick = *pick;
  drag->before = model_panel_copy (panel);
  drag->grab_offset = geom_sub (pick->at, at);
  drag->node_ids = g_array_new (FALSE, FALSE, sizeof (guint));
  drag->snap.to = pick->at;
  const AppSelection *s = app_canvas_selection (canvas);
  if (pick->kind == APP_PICK_CORNER || pick->kind == APP_PICK_NODE)
  {
    if (app_selection_has_node (s, pick->node_id))
      g_array_append_vals (drag->node_ids, s->nodes->data, s->nodes->len);
    else
      g_array_append_val (drag->node_ids, pick->node_id);
  }
}

static const char *
drag_label (const AppShapeDrag *drag)
{
  switch (drag->pick.kind)
  {
  case APP_PICK_CORNER:
    return _ ("Move corner");
  case APP_PICK_NODE:
    return _ ("Move node");
  case APP_PICK_HANDLE:
    return _ ("Move handle");
  case APP_PICK_EDGE:
  case APP_PICK_PANEL:
  case APP_PICK_NONE:
    break;
  }
  return _ ("Bend edge");
}

char *
app_shape_join_words (AppCanvas *canvas, guint panel_id, guint edge_id, guint *join_id)
{
  const ModelDocument *doc = app_canvas_document (canvas);
  g_autoptr (GArray) joins = engine_joins_of_edge (doc, panel_id, edge_id);
  if (join_id != NULL)
    *join_id = 0;
  for (guint i = 0; i < joins->len; i++)
  {
    guint id = g_array_index (joins, guint, i);
    const ModelJoin *join = model_document_join (doc, id);
    EngineJoinReading readings[2];
    if (join == NULL || engine_review_join_readings (app_session_review (canvas->session), id, readings) < 1)
      continue;
    if (join_id != NULL)
      *join_id = id;
    const EngineJoinReading *r = &readings[0];
    g_autofree char *a = app_canvas_length (canvas, r->length_a_mm),
                    *b = app_canvas_length (canvas, r->length_b_mm);
    if (r->holds)
      /* Translators: join letter, then the two lengths that must be alike. */
      return g_strdup_printf (_ ("Join %s: %s and %s, agrees"), join->letter, a, b);
    g_autofree char *by = app_canvas_length (canvas, fabs (r->difference_mm));
    return r->difference_mm > 0.0
             ? g_strdup_printf (_ ("Join %s: %s and %s, the second is %s too long"), join->letter, a, b, by)
             : g_strdup_printf (_ ("Join %s: %s and %s, the second is %s too short"), join->letter, a, b, by);
  }
  return NULL;
}

/* The edge whose length the maker watches: of a corner, the one that is joined; else the one picked. */
static char *
drag_words (AppShapeDrag *drag, AppCanvas *canvas, guint *join_id)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (canvas), drag->pick.panel_id);
  char *words = app_shape_join_words (canvas, drag->pick.panel_id, drag->pick.edge_id, join_id);
  guint e, n;
  if (words == NULL && panel != NULL && drag->pick.kind == APP_PICK_CORNER
      && model_panel_find_node (panel, drag->pick.node_id, &e, &n))
  {
    words = app_shape_join_words (canvas, panel->id, model_panel_edge (panel, e)->id, join_id);
    if (words == NULL)
      words = app_shape_join_words (
        canvas, panel->id, model_panel_edge (panel, (e + panel->edges->len - 1) % panel->edges->len)->id,
        join_id);
  }
  return words;
}

static void
say_drag (AppShapeDrag *drag, AppCanvas *canvas)
{
  g_autofree char *words = drag_words (drag, canvas, NULL);
  if (words == NULL)
  {
    const ModelPanel *panel = model_document_panel (app_canvas_document (canvas), drag->pick.panel_id);
    const AppOutline *outline
      = panel != NULL ? app_pick_index_outline (canvas->index, panel->id, drag->pick.side) : NULL;
    GeomPath path;
    geom_path_init (&path);
    if (outline != NULL && app_outline_edge_path (outline, panel, drag->pick.edge_id, &path))
    {
      g_autofree char *length = app_canvas_length (canvas, geom_path_length (&path, 1e-4));
      words = g_strdup_printf (_ ("Edge length %s"), length);
    }
    geom_path_clear (&path);
  }
  g_autofree char *all = app_snap_words (&drag->snap, words);
  app_canvas_say (canvas, all);
}

void
app_shape_drag_move (AppShapeDrag *drag, AppCanvas *canvas, const AppInput *in)
{
  if (!drag->on)
    return;
  double moved_px = geom_distance (geom_add (in->at, drag->grab_offset), drag->pick.at) * canvas->scale;
  if (!drag->moved && moved_px < (canvas->touch || in->pen ? DRAG_TOUCH_PX : DRAG_PX))
    return;
  drag->moved = true;
  ModelHistory *history = app_canvas_history (canvas);
  if (!drag->open)
  {
    model_history_begin (history, drag_label (drag));
    drag->open = true;
  }
  GeomPoint to = geom_add (in->at, drag->grab_offset);
  bool point = drag->pick.kind == APP_PICK_CORNER || drag->pick.kind == APP_PICK_NODE;
  drag->snap = (AppSnap) { .to = to };
  if (point && canvas->snap && (in->state & GDK_CONTROL_MASK) == 0)
    drag->snap
      = app_snap_find (canvas, drag->before, drag->pick.side, drag->pick.node_id, drag->node_ids, to);
  to = drag->snap.to;
  ModelPanel *panel = model_panel_copy (drag->before);
  const guint *ids = (const guint *)drag->node_ids->data;
  if (point && drag->node_ids->len > 1)
    model_shape_move_nodes (panel, drag->pick.side, ids, drag->node_ids->len, geom_sub (to, drag->pick.at));
  else if (point)
    model_shape_place_node (panel, drag->pick.side, drag->pick.node_id, to);
  else if (drag->pick.kind == APP_PICK_HANDLE)
    model_shape_place_handle (panel, drag->pick.side, drag->pick.node_id, drag->pick.handle, to);
  else
    model_shape_pull_piece (panel, drag->pick.side, drag->pick.edge_id, drag->pick.node_index, drag->pick.t,
                            to);
  model_history_put_panel (history, panel);
  say_drag (drag, canvas);
}

void
app_shape_drag_end (AppShapeDrag *drag, AppCanvas *canvas)
{
  bool open = drag->open;
  app_shape_drag_clear (drag);
  if (!open)
    return;
  model_history_end (app_canvas_history (canvas));
  app_canvas_say (canvas, NULL);
}

void
app_shape_drag_cancel (AppShapeDrag *drag, AppCanvas *canvas)
{
  bool open = drag->open;
  app_shape_drag_clear (drag);
  if (!open)
    return;
  model_history_cancel (app_canvas_history (canvas));
  app_canvas_say (canvas, NULL);
}

/* ---- what follows the pointer ---- */

/* Two tapes from the same point: what must be equally long. */
static void
draw_gauge (AppCanvas *canvas, cairo_t *cr, const OutputInk *ink, double x, double y, guint join_id)
{
  EngineJoinReading r[2];
  const ModelJoin *join = model_document_join (app_canvas_document (canvas), join_id);
  if (join == NULL || engine_review_join_readings (app_session_review (canvas->session), join_id, r) < 1)
    return;
  double width = gtk_widget_get_width (GTK_WIDGET (canvas)),
         height = gtk_widget_get_height (GTK_WIDGET (canvas));
  double w = BAR_PX + 28.0, h = 66.0;
  double left = x + 26.0 + w > width ? x - 26.0 - w : x + 26.0,
         top = y + 26.0 + h > height ? y - 26.0 - h : y + 26.0;
  app_canvas_draw_card (cr, ink, left, top, w, h);
  double longest = MAX (MAX (r[0].length_a_mm, r[0].length_b_mm), 1e-6), k = BAR_PX / longest;
  g_autofree char *difference
    = r[0].holds ? g_strdup (_ ("agrees")) : model_unit_signed (r[0].difference_mm, canvas->unit, 1);
  double text_width, text_height;
  output_measure_text (cr, 13.0, true, difference, &text_width, &text_height);
  output_draw_letter (cr, &(OutputView) { .to_device = geom_affine_identity (), .scale = 1.0 }, ink,
                      geom_point (left + 22.0, top + 14.0), geom_point (0.0, -1.0), join->letter,
                      OUTPUT_TONE_INK);
  output_draw_text (cr, ink, left + w - 14.0 - text_width / 2.0, top + 18.0, 0.0, 13.0, true,
                    r[0].holds ? OUTPUT_TONE_MOSS : OUTPUT_TONE_MADDER, -1, difference);
  double bars = top + 38.0;
  output_set_tone (cr, ink, OUTPUT_TONE_BLUE);
  cairo_rectangle (cr, left + 14.0, bars, r[0].length_a_mm * k, 7.0);
  cairo_fill (cr);
  output_set_tone (cr, ink, OUTPUT_TONE_OCHRE);
  cairo_rectangle (cr, left + 14.0, bars + 9.0, r[0].length_b_mm * k, 7.0);
  cairo_fill (cr);
  if (!r[0].holds)
  {
    /* The overhang never vanishes to nothing: three px at least. */
    double shorter = MIN (r[0].length_a_mm, r[0].length_b_mm) * k, over = MAX (BAR_PX - shorter, 3.0);
    output_set_tone (cr, ink, OUTPUT_TONE_MADDER);
    cairo_rectangle (cr, left + 14.0 + BAR_PX - over, r[0].length_b_mm > r[0].length_a_mm ? bars + 9.0 : bars,
                     over, 7.0);
    cairo_fill (cr);
  }
  output_set_tone (cr, ink, OUTPUT_TONE_INK);
  cairo_rectangle (cr, left + 12.0, bars - 3.0, 2.0, 22.0);
  cairo_fill (cr);
}

void
app_shape_drag_draw (AppShapeDrag *drag, AppCanvas *canvas, cairo_t *cr)
{
  if (!drag->on || !drag->moved)
    return;
  const OutputInk *ink = app_canvas_ink (canvas);
  app_snap_draw (canvas, cr, &drag->snap);
  guint join_id = 0;
  double x, y;
  g_free (drag_words (drag, canvas, &join_id));
  app_canvas_to_widget (canvas, drag->snap.to, &x, &y);
  if (join_id != 0)
    draw_gauge (canvas, cr, ink, x, y, join_id);
}

/* ---- the tool ---- */

/* Several chosen points in one hand. */
typedef enum Group
{
  GROUP_NONE,
  GROUP_MOVE,
  GROUP_TURN,
  GROUP_SCALE
} Group;

typedef struct ShapeTool
{
  AppTool tool;
  AppShapeDrag drag;
  bool boxing;
  GeomPoint box_from, box_to;
  Group group;
  bool group_open;
  ModelPanel *group_before;
  GeomPoint group_from, group_middle;
} ShapeTool;

static AppTool *
shape_create (AppCanvas *canvas)
{
  ShapeTool *self = g_new0 (ShapeTool, 1);
  self->tool = (AppTool) { app_tool_class (APP_TOOL_SHAPE), canvas };
  return &self->tool;
}

static void
shape_destroy (AppTool *tool)
{
  ShapeTool *self = (ShapeTool *)tool;
  app_shape_drag_clear (&self->drag);
  g_clear_pointer (&self->group_before, model_panel_free);
  g_free (tool);
}

/* ---- several points: a frame with three handles ---- */

/* The box of the chosen points; false with fewer than two. */
static bool
group_box (AppCanvas *canvas, const ModelPanel **panel, GeomBox *box)
{
  const AppSelection *s = app_canvas_selection (canvas);
  *box = geom_box_empty ();
  if (s == NULL || s->panels->len != 1 || s->nodes->len < 2)
    return false;
  *panel = model_document_panel (app_canvas_document (canvas), g_array_index (s->panels, guint, 0));
  for (guint i = 0; *panel != NULL && i < s->nodes->len; i++)
  {
    GeomPoint at;
    if (model_shape_where (*panel, s->side, g_array_index (s->nodes, guint, i), MODEL_HANDLE_NONE, &at))
      *box = geom_box_with_point (*box, at);
  }
  return *panel != NULL && !geom_box_is_empty (*box);
}

/* In widget px, a little wider than the points. */
static graphene_rect_t
group_frame (AppCanvas *canvas, GeomBox box)
{
  double x0, y0, x1, y1;
  app_canvas_to_widget (canvas, geom_point (box.x0, box.y1), &x0, &y0);
  app_canvas_to_widget (canvas, geom_point (box.x1, box.y0), &x1, &y1);
  return GRAPHENE_RECT_INIT ((float)(x0 - FRAME_PX), (float)(y0 - FRAME_PX),
                             (float)(x1 - x0 + 2.0 * FRAME_PX), (float)(y1 - y0 + 2.0 * FRAME_PX));
}

static GeomPoint
group_handle (graphene_rect_t frame, Group group)
{
  double left = frame.origin.x, top = frame.origin.y, width = frame.size.width, height = frame.size.height;
  switch (group)
  {
  case GROUP_TURN:
    return geom_point (left + width / 2.0, top - TURN_PX);
  case GROUP_SCALE:
    return geom_point (left + width, top + height);
  case GROUP_MOVE:
  case GROUP_NONE:
    break;
  }
  return geom_point (left, top + height);
}

static bool
group_press (ShapeTool *self, const AppInput *in)
{
  AppCanvas *canvas = self->tool.canvas;
  const ModelPanel *panel;
  GeomBox box;
  if (!group_box (canvas, &panel, &box) || panel->locked || in->eraser)
    return false;
  graphene_rect_t frame = group_frame (canvas, box);
  for (int g = GROUP_MOVE; g <= GROUP_SCALE; g++)
  {
    GeomPoint at = group_handle (frame, (Group)g);
    if (hypot (in->x - at.x, in->y - at.y) > app_canvas_catch_mm (canvas, in) * canvas->scale)
      continue;
    self->group = (Group)g;
    self->group_before = model_panel_copy (panel);
    self->group_from = in->at;
    self->group_middle = geom_point ((box.x0 + box.x1) / 2.0, (box.y0 + box.y1) / 2.0);
    return true;
  }
  return false;
}

static void
group_motion (ShapeTool *self, const AppInput *in)
{
  AppCanvas *canvas = self->tool.canvas;
  const AppSelection *s = app_canvas_selection (canvas);
  const guint *ids = (const guint *)s->nodes->data;
  GeomPoint by = geom_sub (in->at, self->group_from), was = geom_sub (self->group_from, self->group_middle),
            now = geom_sub (in->at, self->group_middle);
  bool steps = (in->state & GDK_SHIFT_MASK) != 0;
  const char *label = _ ("Move points");
  g_autofree char *words = NULL;
  ModelPanel *panel = model_panel_copy (self->group_before);
  switch (self->group)
  {
  case GROUP_TURN:
  {
    double turn = atan2 (geom_cross (was, now), geom_dot (was, now));
    if (steps)
      turn = round (turn / TURN_STEP_RAD) * TURN_STEP_RAD;
    model_reshape_map_nodes (panel, s->side, ids, s->nodes->len, geom_affine_turn (self->group_middle, turn),
                             NULL);
    words = g_strdup_printf (_ ("Turned by %.1f degrees; Shift turns in steps."), turn * 180.0 / G_PI);
    label = _ ("Turn points");
    break;
  }
  case GROUP_SCALE:
  {
    double size = geom_norm (was) > 0.0 ? CLAMP (geom_norm (now) / geom_norm (was), 0.02, 50.0) : 1.0;
    if (steps)
      size = MAX (round (size * 20.0) / 20.0, 0.05);
    model_reshape_map_nodes (panel, s->side, ids, s->nodes->len,
                             geom_affine_scale (self->group_middle, size, size), NULL);
    words = g_strdup_printf (_ ("Scaled to %.1f %%; Shift scales in steps."), size * 100.0);
    label = _ ("Scale points");
    break;
  }
  case GROUP_MOVE:
  case GROUP_NONE:
  {
    if (steps)
      by = fabs (by.x) >= fabs (by.y) ? geom_point (by.x, 0.0) : geom_point (0.0, by.y);
    model_shape_move_nodes (panel, s->side, ids, s->nodes->len, by);
    g_autofree char *across = app_canvas_length (canvas, by.x), *up = app_canvas_length (canvas, by.y);
    words = g_strdup_printf (_ ("Moved %s across, %s up; Shift keeps it straight."), across, up);
    break;
  }
  }
  if (!self->group_open)
    model_history_begin (app_canvas_history (canvas), label);
  self->group_open = true;
  model_history_put_panel (app_canvas_history (canvas), panel);
  app_canvas_say (canvas, words);
}

static void
group_end (ShapeTool *self, bool keep)
{
  AppCanvas *canvas = self->tool.canvas;
  bool open = self->group_open;
  self->group = GROUP_NONE;
  self->group_open = false;
  g_clear_pointer (&self->group_before, model_panel_free);
  if (!open)
    return;
  if (keep)
    model_history_end (app_canvas_history (canvas));
  else
    model_history_cancel (app_canvas_history (canvas));
  app_canvas_say (canvas, NULL);
}

static void
group_draw (AppCanvas *canvas, cairo_t *cr)
{
  const OutputInk *ink = app_canvas_ink (canvas);
  const ModelPanel *panel;
  const double dots[2] = { 1.5, 4.0 };
  GeomBox box;
  if (!group_box (canvas, &panel, &box) || panel->locked)
    return;
  graphene_rect_t frame = group_frame (canvas, box);
  GeomPoint turn = group_handle (frame, GROUP_TURN), scale = group_handle (frame, GROUP_SCALE),
            move = group_handle (frame, GROUP_MOVE);
  cairo_rectangle (cr, floor (frame.origin.x) + 0.5, floor (frame.origin.y) + 0.5, floor (frame.size.width),
                   floor (frame.size.height));
  cairo_move_to (cr, turn.x, turn.y);
  cairo_line_to (cr, turn.x, turn.y + TURN_PX);
  output_set_tone (cr, ink, OUTPUT_TONE_BLUE);
  cairo_set_line_width (cr, 1.0);
  cairo_set_dash (cr, dots, 2, 0.0);
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);
  app_canvas_draw_point (cr, ink, APP_POINT_NODE, turn.x, turn.y, OUTPUT_TONE_BLUE, false);
  app_canvas_draw_point (cr, ink, APP_POINT_HANDLE, scale.x, scale.y, OUTPUT_TONE_BLUE, true);
  app_canvas_draw_point (cr, ink, APP_POINT_CORNER, move.x, move.y, OUTPUT_TONE_BLUE, false);
  /* A cross in the square: it goes any way. */
  cairo_move_to (cr, move.x - 4.0, move.y);
  cairo_line_to (cr, move.x + 4.0, move.y);
  cairo_move_to (cr, move.x, move.y - 4.0);
  cairo_line_to (cr, move.x, move.y + 4.0);
  cairo_set_line_width (cr, 1.2);
  cairo_stroke (cr);
}

static void
insert_node (AppCanvas *canvas, const AppPick *pick)
{
  ModelDocument *doc = app_canvas_document (canvas);
  ModelPanel *panel = model_panel_copy (model_document_panel (doc, pick->panel_id));
  guint id = model_shape_insert_node (panel, doc, pick->edge_id, pick->node_index, pick->t);
  if (id == 0)
  {
    model_panel_free (panel);
    return;
  }
  model_history_begin (app_canvas_history (canvas), _ ("Add node"));
  model_repair_put_panel (app_canvas_history (canvas), panel);
  model_history_end (app_canvas_history (canvas));
  app_session_select_node (canvas->session, pick->panel_id, pick->side, id, false);
}

static void
shape_press (AppTool *tool, const AppInput *in)
{
  ShapeTool *self = (ShapeTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (canvas->session == NULL)
    return;
  app_canvas_say (canvas, NULL);
  if (group_press (self, in))
    return;
  AppPick pick = app_pick_at (canvas->index, in->at, app_canvas_catch_mm (canvas, in),
                              APP_PICK_POINTS | APP_PICK_ALL_POINTS | APP_PICK_EDGES | APP_PICK_PANELS, 0);
  bool toggle = (in->state & GDK_SHIFT_MASK) != 0;
  const AppSelection *s = app_canvas_selection (canvas);
  switch (pick.kind)
  {
  case APP_PICK_CORNER:
  case APP_PICK_NODE:
    if (toggle || !app_selection_has_node (s, pick.node_id))
      app_session_select_node (canvas->session, pick.panel_id, pick.side, pick.node_id, toggle);
    if (!toggle)
      app_shape_drag_begin (&self->drag, canvas, &pick, in->at);
    break;
  case APP_PICK_HANDLE:
    app_shape_drag_begin (&self->drag, canvas, &pick, in->at);
    break;
  case APP_PICK_EDGE:
    if (in->presses == 2)
    {
      insert_node (canvas, &pick);
      break;
    }
    if (toggle || !app_selection_has_edge (s, pick.edge_id) || s->nodes->len > 0)
      app_session_select_edge (canvas->session, pick.panel_id, pick.side, pick.edge_id, toggle);
    if (!toggle)
      app_shape_drag_begin (&self->drag, canvas, &pick, in->at);
    break;
  case APP_PICK_PANEL:
  case APP_PICK_NONE:
    if (pick.kind == APP_PICK_PANEL && !app_selection_has_panel (s, pick.panel_id))
      app_session_select_panel (canvas->session, pick.panel_id, pick.side, false);
    else if (pick.kind == APP_PICK_NONE && !toggle)
      app_session_select_none (canvas->session);
    self->boxing = true;
    self->box_from = self->box_to = in->at;
    break;
  }
}

static void
shape_motion (AppTool *tool, const AppInput *in)
{
  ShapeTool *self = (ShapeTool *)tool;
  if (self->group != GROUP_NONE)
    group_motion (self, in);
  else if (self->boxing)
    self->box_to = in->at;
  else
    app_shape_drag_move (&self->drag, tool->canvas, in);
}

static void
choose_nodes_in (AppCanvas *canvas, GeomBox box)
{
  const AppSelection *s = app_canvas_selection (canvas);
  GPtrArray *outlines = app_pick_index_outlines (canvas->index);
  g_autoptr (GArray) ids = g_array_new (FALSE, FALSE, sizeof (guint));
  guint wanted = s->panels->len == 1 ? g_array_index (s->panels, guint, 0) : 0;
  for (guint i = 0; i < outlines->len && ids->len == 0; i++)
  {
    const AppOutline *outline = (const AppOutline *)g_ptr_array_index (outlines, i);
    const ModelPanel *panel = model_document_panel (app_canvas_document (canvas), outline->panel_id);
    if (panel == NULL || (wanted != 0 && panel->id != wanted) || !geom_box_overlaps (outline->box, box))
      continue;
    for (guint e = 0; e < panel->edges->len; e++)
      for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++)
      {
        guint id = model_edge_node (model_panel_edge (panel, e), n)->id;
        GeomPoint at;
        if (model_shape_where (panel, outline->side, id, MODEL_HANDLE_NONE, &at)
            && geom_box_contains (box, at))
          g_array_append_val (ids, id);
      }
    if (ids->len > 0)
      app_session_select_nodes (canvas->session, panel->id, outline->side, (const guint *)ids->data,
                                ids->len);
  }
}

static void
shape_release (AppTool *tool, const AppInput *in)
{
  ShapeTool *self = (ShapeTool *)tool;
  if (self->group != GROUP_NONE)
  {
    group_end (self, true);
    return;
  }
  if (self->boxing)
  {
    self->boxing = false;
    if (geom_distance (self->box_from, self->box_to) * tool->canvas->scale > DRAG_PX)
      choose_nodes_in (
        tool->canvas,
        geom_box_with_point (geom_box_with_point (geom_box_empty (), self->box_from), self->box_to));
    return;
  }
  app_shape_drag_end (&self->drag, tool->canvas);
}

static void
shape_cancel (AppTool *tool)
{
  ShapeTool *self = (ShapeTool *)tool;
  self->boxing = false;
  group_end (self, false);
  app_shape_drag_cancel (&self->drag, tool->canvas);
}

static bool
shape_key (AppTool *tool, guint keyval, GdkModifierType state)
{
  if ((state & (GDK_CONTROL_MASK | GDK_ALT_MASK)) != 0)
    return false;
  switch (gdk_keyval_to_lower (keyval))
  {
  case GDK_KEY_s:
    app_canvas_set_node_kind (tool->canvas, MODEL_NODE_SMOOTH);
    return true;
  case GDK_KEY_c:
    app_canvas_set_node_kind (tool->canvas, MODEL_NODE_CORNER);
    return true;
  case GDK_KEY_e:
    app_canvas_set_node_kind (tool->canvas, MODEL_NODE_EVEN);
    return true;
  default:
    return app_canvas_deed_key (tool->canvas, keyval, state);
  }
}

static void
shape_draw (AppTool *tool, cairo_t *cr)
{
  ShapeTool *self = (ShapeTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (!self->drag.moved)
    group_draw (canvas, cr);
  app_shape_drag_draw (&self->drag, canvas, cr);
  if (!self->boxing)
    return;
  double x0, y0, x1, y1;
  app_canvas_to_widget (canvas, self->box_from, &x0, &y0);
  app_canvas_to_widget (canvas, self->box_to, &x1, &y1);
  const OutputInk *ink = app_canvas_ink (canvas);
  const OutputColour *c = &ink->tone[OUTPUT_TONE_BLUE];
  cairo_rectangle (cr, floor (MIN (x0, x1)) + 0.5, floor (MIN (y0, y1)) + 0.5, floor (fabs (x1 - x0)),
                   floor (fabs (y1 - y0)));
  cairo_set_source_rgba (cr, c->red, c->green, c->blue, 0.07);
  cairo_fill_preserve (cr);
  output_set_tone (cr, ink, OUTPUT_TONE_BLUE);
  cairo_set_line_width (cr, 1.0);
  cairo_stroke (cr);
}

extern const AppToolClass app_tool_shape;
const AppToolClass app_tool_shape = {
  .kind = APP_TOOL_SHAPE,
  .key = "shape",
  .name = N_ ("Shape"),
  .hint = N_ ("Drag a point or the edge; Ctrl holds off what catches it. Twice: a new node. "
              "S, C, E, R: smooth, corner, even, round."),
  .icon = "panelwright-shape-symbolic",
  .accel = "F6",
  .create = shape_create,
  .destroy = shape_destroy,
  .press = shape_press,
  .motion = shape_motion,
  .release = shape_release,
  .cancel = shape_cancel,
  .key_pressed = shape_key,
  .draw = shape_draw,
};
