/* Join: the edges of one run, then of the other, then how they meet.
 *
 * An edge next to the run in hand lengthens it; an edge of another panel begins the second run, Enter begins
 * it on the same panel (a dart).  Two marks pressed one after the other take the part between them; a press
 * with Control takes the part of an edge between the marks on either side of it.
 */
#include "app/canvas-private.h"

#include "app/number-entry.h"

#include "engine/join-edit.h"
#include "engine/run.h"
#include "model/run.h"

#include <glib/gi18n.h>

typedef struct JoinRun
{
  guint panel_id;
  ModelSide side;
  GArray *edges;                  /* guint */
  guint from_mark_id, to_mark_id; /* of the part between marks; 0: to the edge's end */
} JoinRun;

typedef struct JoinTool
{
  AppTool tool;
  JoinRun run[2];
  int at;             /* which run the next edge goes to */
  guint held_mark_id; /* pressed as the first of two; 0: none */
  ModelJoinKind kind;
  double figure_mm[4]; /* by kind: what each asks for, as last typed */
  GtkWidget *card, *figure, *figure_label, *over;
} JoinTool;

/* Common practice, no source: a 10 mm lap, 8 mm to stitch through, 12 mm for straps to bridge. */
#define LAP_MM 10.0
#define STITCH_MM 8.0
#define GAP_MM 12.0

static AppTool *
join_create (AppCanvas *canvas)
{
  JoinTool *self = g_new0 (JoinTool, 1);
  self->tool = (AppTool) { app_tool_class (APP_TOOL_JOIN), canvas };
  for (int i = 0; i < 2; i++)
    self->run[i].edges = g_array_new (FALSE, FALSE, sizeof (guint));
  self->figure_mm[MODEL_JOIN_LAPPED] = LAP_MM;
  self->figure_mm[MODEL_JOIN_STITCHED] = STITCH_MM;
  self->figure_mm[MODEL_JOIN_GAP] = GAP_MM;
  return &self->tool;
}

static void
close_card (JoinTool *self)
{
  GtkWidget *card = g_steal_pointer (&self->card);
  if (card == NULL)
    return;
  if (self->tool.canvas->popover == card)
    self->tool.canvas->popover = NULL;
  g_signal_handlers_disconnect_by_data (card, self);
  gtk_widget_grab_focus (GTK_WIDGET (self->tool.canvas));
  app_popover_drop (card);
}

static void
join_destroy (AppTool *tool)
{
  JoinTool *self = (JoinTool *)tool;
  close_card (self);
  for (int i = 0; i < 2; i++)
    g_array_unref (self->run[i].edges);
  g_free (self);
}

static void
clear_run (JoinRun *run)
{
  g_array_set_size (run->edges, 0);
  run->from_mark_id = run->to_mark_id = 0;
}

static void
start_over (JoinTool *self)
{
  close_card (self);
  for (int i = 0; i < 2; i++)
  {
    clear_run (&self->run[i]);
    self->run[i].panel_id = 0;
  }
  self->at = 0;
  self->held_mark_id = 0;
  app_canvas_say (self->tool.canvas, NULL);
}

static int
edge_in_run (const JoinRun *run, guint edge_id)
{
  for (guint i = 0; i < run->edges->len; i++)
    if (g_array_index (run->edges, guint, i) == edge_id)
      return (int)i;
  return -1;
}

static bool
model_run (JoinTool *self, int which, ModelRun *out)
{
  const JoinRun *run = &self->run[which];
  const ModelDocument *doc = app_canvas_document (self->tool.canvas);
  const ModelPanel *panel = model_document_panel (doc, run->panel_id);
  *out = (ModelRun) { .panel_id = run->panel_id };
  if (panel == NULL || run->edges->len == 0
      || !engine_run_from_edges (doc, panel, (const guint *)run->edges->data, run->edges->len, out))
    return false;
  out->from_mark_id = run->from_mark_id;
  out->to_mark_id = run->to_mark_id;
  return true;
}

/* OUT initialised; false, and empty, while there is nothing to see. */
static bool
run_path (JoinTool *self, int which, GeomPath *out)
{
  ModelRun run;
  bool found = model_run (self, which, &run)
               && engine_review_run_path (app_session_review (self->tool.canvas->session), &run,
                                          self->run[which].side, out);
  g_clear_pointer (&run.edges, g_array_unref);
  return found;
}

static double
run_length (JoinTool *self, int which)
{
  GeomPath path;
  geom_path_init (&path);
  run_path (self, which, &path);
  double length = geom_path_length (&path, 1e-4);
  geom_path_clear (&path);
  return length;
}

/* ---- the card ---- */

static void
make_join (JoinTool *self)
{
  AppCanvas *canvas = self->tool.canvas;
  ModelDocument *doc = app_canvas_document (canvas);
  ModelRun a = { 0 }, b = { 0 };
  if (model_run (self, 0, &a) && model_run (self, 1, &b))
  {
    ModelJoin *join = engine_join_new (doc, self->kind, &a, &b);
    double mm = self->figure_mm[self->kind];
    switch (self->kind)
    {
    case MODEL_JOIN_LAPPED:
      join->lap_mm = mm;
      join->b_over = self->over != NULL && gtk_check_button_get_active (GTK_CHECK_BUTTON (self->over));
      break;
    case MODEL_JOIN_STITCHED:
      join->allowance_mm = mm;
      break;
    case MODEL_JOIN_GAP:
      join->gap_mm = mm;
      break;
    case MODEL_JOIN_FLUSH:
      break;
    }
    model_history_begin (app_canvas_history (canvas), _ ("Join edges"));
    guint id = model_history_put_join (app_canvas_history (canvas), join);
    model_history_end (app_canvas_history (canvas));
    start_over (self);
    app_session_select_join (canvas->session, id);
    app_canvas_set_tool (canvas, APP_TOOL_CHOOSE); /* SELF is gone */
  }
  g_clear_pointer (&a.edges, g_array_unref);
  g_clear_pointer (&b.edges, g_array_unref);
}

static void
show_figure (JoinTool *self)
{
  const char *label = NULL;
  switch (self->kind)
  {
  case MODEL_JOIN_LAPPED:
    label = _ ("Lap");
    break;
  case MODEL_JOIN_STITCHED:
    label = _ ("Allowance");
    break;
  case MODEL_JOIN_GAP:
    label = _ ("Gap");
    break;
  case MODEL_JOIN_FLUSH:
    break;
  }
  gtk_widget_set_visible (self->figure, label != NULL);
  gtk_widget_set_visible (self->figure_label, label != NULL);
  gtk_widget_set_visible (self->over, self->kind == MODEL_JOIN_LAPPED);
  if (label == NULL)
    return;
  gtk_label_set_text (GTK_LABEL (self->figure_label), label);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->figure), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
  g_autofree char *text = app_canvas_length (self->tool.canvas, self->figure_mm[self->kind]);
  gtk_editable_set_text (GTK_EDITABLE (self->figure), text);
}

static void
on_kind (GtkToggleButton *button, JoinTool *self)
{
  if (!gtk_toggle_button_get_active (button))
    return;
  self->kind = (ModelJoinKind)GPOINTER_TO_INT (g_object_get_data (G_OBJECT (button), "kind"));
  show_figure (self);
}

static bool
read_figure (JoinTool *self)
{
  double mm;
  if (self->kind == MODEL_JOIN_FLUSH)
    return true;
  if (!model_unit_parse (gtk_editable_get_text (GTK_EDITABLE (self->figure)), self->tool.canvas->unit, &mm,
                         NULL)
      || mm < 0.0 || mm > 200.0)
  {
    gtk_widget_add_css_class (self->figure, "error");
    gtk_accessible_update_state (GTK_ACCESSIBLE (self->figure), GTK_ACCESSIBLE_STATE_INVALID,
                                 GTK_ACCESSIBLE_INVALID_TRUE, -1);
    return false;
  }
  self->figure_mm[self->kind] = mm;
  return true;
}

static void
on_make (GtkWidget *widget, JoinTool *self)
{
  if (read_figure (self))
    make_join (self);
}

static void
on_card_closed (GtkPopover *popover, JoinTool *self)
{
  if (self->card == NULL)
    return;
  /* Left by Escape or a press elsewhere: the runs stay lit, the next press goes on. */
  gtk_widget_grab_focus (GTK_WIDGET (self->tool.canvas));
}

static const struct
{
  ModelJoinKind kind;
  const char *name, *icon;
} kinds[] = { { MODEL_JOIN_FLUSH, N_ ("Flush"), "panelwright-join-flush-symbolic" },
              { MODEL_JOIN_LAPPED, N_ ("Lapped"), "panelwright-join-lapped-symbolic" },
              { MODEL_JOIN_STITCHED, N_ ("Stitched"), "panelwright-join-stitched-symbolic" },
              { MODEL_JOIN_GAP, N_ ("Gap"), "panelwright-join-gap-symbolic" } };

static GtkWidget *
kind_buttons (JoinTool *self)
{
  GtkWidget *row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);
  GtkToggleButton *group = NULL;
  gtk_widget_add_css_class (row, "linked");
  for (guint i = 0; i < G_N_ELEMENTS (kinds); i++)
  {
    GtkWidget *button = gtk_toggle_button_new (), *inside = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
    gtk_box_append (GTK_BOX (inside), gtk_image_new_from_icon_name (kinds[i].icon));
    gtk_box_append (GTK_BOX (inside), gtk_label_new (_ (kinds[i].name)));
    gtk_button_set_child (GTK_BUTTON (button), inside);
    gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, _ (kinds[i].name),
                                    -1);
    g_object_set_data (G_OBJECT (button), "kind", GINT_TO_POINTER (kinds[i].kind));
    if (group != NULL)
      gtk_toggle_button_set_group (GTK_TOGGLE_BUTTON (button), group);
    else
      group = GTK_TOGGLE_BUTTON (button);
    gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (button), kinds[i].kind == self->kind);
    g_signal_connect (button, "toggled", G_CALLBACK (on_kind), self);
    gtk_box_append (GTK_BOX (row), button);
  }
  return row;
}

static char *
card_title (JoinTool *self)
{
  AppCanvas *canvas = self->tool.canvas;
  g_autofree char *a = app_canvas_length (canvas, run_length (self, 0)),
                  *b = app_canvas_length (canvas, run_length (self, 1));
  /* Translators: the lengths of the two edges about to be joined. */
  return g_strdup_printf (_ ("Join %s and %s"), a, b);
}

static void
open_card (JoinTool *self, double x, double y)
{
  AppCanvas *canvas = self->tool.canvas;
  close_card (self);
  if (canvas->popover != NULL)
  {
    GtkWidget *old = g_steal_pointer (&canvas->popover);
    app_popover_drop (old);
  }
  g_autofree char *title = card_title (self);
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 12), *head = gtk_label_new (title),
            *row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  GtkWidget *make = gtk_button_new_with_label (_ ("Join"));
  gtk_label_set_xalign (GTK_LABEL (head), 0.0f);
  gtk_widget_add_css_class (head, "heading");
  self->figure_label = gtk_label_new ("");
  self->figure = gtk_entry_new ();
  gtk_editable_set_width_chars (GTK_EDITABLE (self->figure), 9);
  gtk_widget_add_css_class (self->figure, "pw-number");
  self->over = gtk_check_button_new_with_label (_ ("Second lies over"));
  gtk_widget_add_css_class (make, "pw-stamp");
  gtk_widget_set_hexpand (make, TRUE);
  gtk_widget_set_halign (make, GTK_ALIGN_END);
  gtk_box_append (GTK_BOX (row), self->figure_label);
  gtk_box_append (GTK_BOX (row), self->figure);
  gtk_box_append (GTK_BOX (row), make);
  gtk_box_append (GTK_BOX (box), head);
  gtk_box_append (GTK_BOX (box), kind_buttons (self));
  gtk_box_append (GTK_BOX (box), self->over);
  gtk_box_append (GTK_BOX (box), row);
  g_signal_connect (make, "clicked", G_CALLBACK (on_make), self);
  g_signal_connect (self->figure, "activate", G_CALLBACK (on_make), self);

  self->card = gtk_popover_new ();
  gtk_popover_set_child (GTK_POPOVER (self->card), box);
  gtk_popover_set_has_arrow (GTK_POPOVER (self->card), FALSE);
  gtk_popover_set_pointing_to (GTK_POPOVER (self->card), &(GdkRectangle) { (int)x, (int)y + 8, 1, 1 });
  g_signal_connect (self->card, "closed", G_CALLBACK (on_card_closed), self);
  gtk_widget_set_parent (self->card, GTK_WIDGET (canvas));
  canvas->popover = self->card;
  show_figure (self);
  gtk_popover_set_default_widget (GTK_POPOVER (self->card), make);
  gtk_popover_popup (GTK_POPOVER (self->card));
  gtk_widget_grab_focus (make);
}

/* ---- picking ---- */

static void
say_run (JoinTool *self)
{
  AppCanvas *canvas = self->tool.canvas;
  g_autofree char *a = app_canvas_length (canvas, run_length (self, 0)), *words = NULL;
  const JoinRun *last = &self->run[self->run[1].edges->len > 0 ? 1 : 0];
  bool part = last->from_mark_id != 0 || last->to_mark_id != 0;
  if (self->held_mark_id != 0)
    words = g_strdup (_ ("From this mark. Now press the mark, or the end of the edge, where the part ends."));
  else if (self->run[0].edges->len == 0)
  {
    app_canvas_say (canvas, NULL);
    return;
  }
  else if (self->run[1].edges->len == 0)
    words = g_strdup_printf (
      part ? _ ("First run %s, from mark to mark. Now press the edge it meets; Enter first if it is on the "
                "same panel.")
           : _ ("First run %s. Now press the edge it meets; Enter first if it is on the same panel."),
      a);
  else
  {
    g_autofree char *b = app_canvas_length (canvas, run_length (self, 1));
    words = g_strdup_printf (
      part ? _ ("First run %s, second %s, from mark to mark.") : _ ("First run %s, second %s."), a, b);
  }
  app_canvas_tell (canvas, words);
}

/* The edge put to the run; if they do not follow one another on the outline, the run begins anew with it. */
static void
extend (const ModelDocument *doc, JoinRun *run, const ModelPanel *panel, const AppPick *pick)
{
  int at = edge_in_run (run, pick->edge_id);
  run->from_mark_id = run->to_mark_id = 0;
  if (at >= 0 && run->panel_id == pick->panel_id)
    g_array_remove_index (run->edges, (guint)at);
  else
    g_array_append_val (run->edges, pick->edge_id);
  ModelRun probe = { 0 };
  bool consecutive
    = run->edges->len > 0
      && engine_run_from_edges (doc, panel, (const guint *)run->edges->data, run->edges->len, &probe);
  if (!consecutive && run->edges->len > 0)
  {
    g_array_set_size (run->edges, 0);
    g_array_append_val (run->edges, pick->edge_id);
  }
  else if (consecutive)
  {
    g_array_set_size (run->edges, 0);
    g_array_append_vals (run->edges, probe.edges->data, probe.edges->len);
  }
  g_clear_pointer (&probe.edges, g_array_unref);
}

/* How far along its edge, as drawn, the pick lies.  The other side's edge may be longer: its share counts. */
static double
along_edge (const AppOutline *outline, const ModelPanel *panel, const AppPick *pick)
{
  int edge = model_panel_find_edge (panel, pick->edge_id);
  double along = 0.0, whole = 0.0;
  size_t first, count;
  if (edge < 0)
    return 0.0;
  app_outline_edge (outline, panel, (guint)edge, &first, &count);
  for (size_t i = 0; i < count; i++)
  {
    const GeomCubic *c = &outline->path.piece[first + i];
    double length = geom_cubic_length (c, 1e-4);
    if (i < pick->node_index)
      along += length;
    else if (i == pick->node_index)
      along += geom_cubic_length_between (c, 0.0, pick->t, 1e-4);
    whole += length;
  }
  return whole > 0.0 ? along / whole * engine_drawn_length_mm (panel, (guint)edge) : 0.0;
}

/* The mark of the picked edge within the catch; NULL: none. */
static const ModelMark *
mark_near (const ModelPanel *panel, const AppPick *pick, double along_mm, double catch_mm)
{
  const ModelMark *nearest = NULL;
  for (guint i = 0; i < panel->marks->len; i++)
  {
    const ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);
    if (mark->edge_id == pick->edge_id && fabs (mark->at_mm - along_mm) <= catch_mm
        && (nearest == NULL || fabs (mark->at_mm - along_mm) < fabs (nearest->at_mm - along_mm)))
      nearest = mark;
  }
  return nearest;
}

/* The part of the picked edge between the marks on either side of the place. */
static void
take_between (JoinRun *run, const ModelPanel *panel, const AppPick *pick, double along_mm)
{
  const ModelMark *before = NULL, *after = NULL;
  for (guint i = 0; i < panel->marks->len; i++)
  {
    const ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);
    if (mark->edge_id != pick->edge_id)
      continue;
    if (mark->at_mm <= along_mm && (before == NULL || mark->at_mm > before->at_mm))
      before = mark;
    if (mark->at_mm > along_mm && (after == NULL || mark->at_mm < after->at_mm))
      after = mark;
  }
  clear_run (run);
  g_array_append_val (run->edges, pick->edge_id);
  run->from_mark_id = before != NULL ? before->id : 0;
  run->to_mark_id = after != NULL ? after->id : 0;
}

/* Edges from FROM on to TO, both counted, in the order of the outline, darts that are closed left out. */
static GArray *
edges_between (const ModelDocument *doc, const ModelPanel *panel, guint from, guint to)
{
  GArray *edges = g_array_new (FALSE, FALSE, sizeof (guint));
  guint n = panel->edges->len, at = from;
  for (guint rounds = 0; rounds < n; rounds++)
  {
    g_array_append_val (edges, model_panel_edge (panel, at)->id);
    if (at == to)
      break;
    guint next = (at + 1) % n;
    /* The farthest edge up to TO that follows at once: over a dart, not along its legs. */
    for (guint far = n - 1; far > 1; far--)
      if ((to + n - at) % n >= far && model_edges_follow (doc, panel, at, (at + far) % n))
      {
        next = (at + far) % n;
        break;
      }
    at = next;
  }
  return edges;
}

/* The part from the mark in hand to the picked mark, or to the end of the picked edge beyond it: the way with
 * fewer edges. */
static bool
take_from_mark (const ModelDocument *doc,
                JoinRun *run,
                const ModelPanel *panel,
                const ModelMark *held,
                const ModelMark *mark,
                const AppPick *pick,
                double along_mm)
{
  int from = model_panel_find_edge (panel, held->edge_id), to = model_panel_find_edge (panel, pick->edge_id);
  if (from < 0 || to < 0 || (mark != NULL && mark->id == held->id))
    return false;
  bool onward;
  g_autoptr (GArray) there = edges_between (doc, panel, (guint)from, (guint)to),
                     back = edges_between (doc, panel, (guint)to, (guint)from);
  if (from == to)
    onward = (mark != NULL ? mark->at_mm : along_mm) >= held->at_mm;
  else
    onward = there->len <= back->len;
  clear_run (run);
  const GArray *edges = onward ? there : back;
  if (from == to)
    g_array_append_val (run->edges, pick->edge_id);
  else
    g_array_append_vals (run->edges, edges->data, edges->len);
  run->from_mark_id = onward ? held->id : mark != NULL ? mark->id : 0;
  run->to_mark_id = onward ? (mark != NULL ? mark->id : 0) : held->id;
  return true;
}

static void
join_press (AppTool *tool, const AppInput *in)
{
  JoinTool *self = (JoinTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (canvas->session == NULL)
    return;
  double catch_mm = app_canvas_catch_mm (canvas, in);
  AppPick pick = app_pick_at (canvas->index, in->at, catch_mm, APP_PICK_EDGES, 0);
  if (pick.kind != APP_PICK_EDGE)
    return;
  const ModelDocument *doc = app_canvas_document (canvas);
  const ModelPanel *panel = model_document_panel (doc, pick.panel_id);
  int edge_index = panel != NULL ? model_panel_find_edge (panel, pick.edge_id) : -1;
  if (edge_index < 0)
    return;
  if (model_panel_edge (panel, (guint)edge_index)->fold)
  {
    app_canvas_say (canvas, _ ("The fold is not cut: there is nothing to join there."));
    return;
  }
  const AppOutline *outline = app_pick_index_outline (canvas->index, pick.panel_id, pick.side);
  double along_mm = outline != NULL ? along_edge (outline, panel, &pick) : 0.0;
  const ModelMark *mark = outline != NULL ? mark_near (panel, &pick, along_mm, catch_mm) : NULL;
  const ModelMark *held = self->held_mark_id != 0 ? model_panel_find_mark (panel, self->held_mark_id) : NULL;
  bool between = (in->state & GDK_CONTROL_MASK) != 0;
  JoinRun *first = &self->run[0];
  /* Another panel's edge begins the second run. */
  if (self->at == 0 && first->edges->len > 0 && first->panel_id != pick.panel_id)
    self->at = 1;
  else if (self->at == 1 && self->run[1].edges->len == 0 && first->panel_id == pick.panel_id
           && edge_in_run (first, pick.edge_id) >= 0 && panel->halves == MODEL_HALVES_SINGLE && mark == NULL
           && held == NULL && !between)
    return;
  JoinRun *run = &self->run[self->at];
  if (run->panel_id != pick.panel_id || run->side != pick.side)
    clear_run (run);
  run->panel_id = pick.panel_id;
  run->side = pick.side;
  if (held != NULL)
  {
    self->held_mark_id = 0;
    if (!take_from_mark (doc, run, panel, held, mark, &pick, along_mm))
      clear_run (run);
  }
  else if (between)
    take_between (run, panel, &pick, along_mm);
  else if (mark != NULL)
  {
    clear_run (run);
    self->held_mark_id = mark->id;
  }
  else
    extend (doc, run, panel, &pick);
  say_run (self);
  close_card (self);
}

static void
join_release (AppTool *tool, const AppInput *in)
{
  JoinTool *self = (JoinTool *)tool;
  /* Shift gathers more edges before the card comes up. */
  if (self->at == 1 && self->run[1].edges->len > 0 && self->card == NULL && (in->state & GDK_SHIFT_MASK) == 0)
    open_card (self, in->x, in->y);
}

static void
join_cancel (AppTool *tool)
{
  start_over ((JoinTool *)tool);
}

static bool
join_key (AppTool *tool, guint keyval, GdkModifierType state)
{
  JoinTool *self = (JoinTool *)tool;
  if (self->run[0].edges->len == 0 && self->held_mark_id == 0)
    return false;
  switch (keyval)
  {
  case GDK_KEY_Return:
  case GDK_KEY_KP_Enter:
    if (self->held_mark_id != 0)
      return true;
    if (self->at == 0)
    {
      self->at = 1;
      app_canvas_say (tool->canvas, _ ("Now press the edge it meets."));
    }
    else if (self->run[1].edges->len > 0)
      open_card (self, tool->canvas->pointer_x, tool->canvas->pointer_y);
    return true;
  case GDK_KEY_BackSpace:
  case GDK_KEY_Delete:
  case GDK_KEY_Escape:
    if (self->held_mark_id != 0)
      self->held_mark_id = 0;
    else if (self->at == 1 && self->run[1].edges->len > 0 && keyval != GDK_KEY_Escape)
      clear_run (&self->run[1]);
    else
      start_over (self);
    say_run (self);
    return true;
  default:
    return false;
  }
}

/* A ring round the mark in hand, in the colour of the run it will begin. */
static void
draw_held (JoinTool *self,
           cairo_t *cr,
           const OutputView *view,
           const OutputInk *ink,
           int which,
           const AppOutline *outline)
{
  AppCanvas *canvas = self->tool.canvas;
  const ModelPanel *panel = model_document_panel (app_canvas_document (canvas), self->run[which].panel_id);
  const ModelMark *mark
    = self->held_mark_id != 0 && panel != NULL ? model_panel_find_mark (panel, self->held_mark_id) : NULL;
  GeomPath path;
  if (which != self->at || mark == NULL || outline == NULL)
    return;
  int edge = model_panel_find_edge (panel, mark->edge_id);
  geom_path_init (&path);
  if (edge >= 0 && app_outline_edge_path (outline, panel, mark->edge_id, &path))
  {
    double drawn = engine_drawn_length_mm (panel, (guint)edge), whole = geom_path_length (&path, 1e-4), x, y;
    double along = drawn > 0.0 ? mark->at_mm / drawn * whole : 0.0;
    app_canvas_to_widget (canvas, geom_path_point (&path, geom_path_place_at (&path, along, 1e-4)), &x, &y);
    cairo_new_path (cr);
    cairo_arc (cr, x, y, 9.0, 0.0, 2.0 * G_PI);
    output_set_tone (cr, ink, which == 1 ? OUTPUT_TONE_OCHRE : OUTPUT_TONE_BLUE);
    cairo_set_line_width (cr, 2.4);
    cairo_stroke (cr);
  }
  geom_path_clear (&path);
}

static void
join_draw (AppTool *tool, cairo_t *cr)
{
  JoinTool *self = (JoinTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (canvas->session == NULL)
    return;
  OutputView view = app_canvas_widget_view (canvas);
  const OutputInk *ink = app_canvas_ink (canvas);
  for (int i = 0; i < 2; i++)
  {
    const JoinRun *run = &self->run[i];
    const AppOutline *outline
      = run->panel_id != 0 ? app_pick_index_outline (canvas->index, run->panel_id, run->side) : NULL;
    GeomPath path;
    geom_path_init (&path);
    if (outline != NULL)
      run_path (self, i, &path);
    draw_held (self, cr, &view, ink, i, outline);
    if (path.count > 0)
    {
      output_draw_lit (cr, &view, ink, &path, i == 1);
      double length = geom_path_length (&path, 1e-4), x, y;
      GeomPlace middle = geom_path_place_at (&path, length / 2.0, 1e-4);
      GeomPoint normal = geom_scale (geom_unit (geom_right_of (geom_path_tangent (&path, middle))),
                                     outline->twin ? -1.0 : 1.0);
      app_canvas_to_widget (canvas, geom_path_point (&path, middle), &x, &y);
      g_autofree char *figure = app_canvas_figure (canvas, length);
      app_canvas_draw_flag (cr, ink, x + normal.x * 48.0, y - normal.y * 32.0, figure,
                            i == 1 ? OUTPUT_TONE_OCHRE : OUTPUT_TONE_BLUE);
    }
    geom_path_clear (&path);
  }
}

static guint
join_begun (const AppTool *tool)
{
  const JoinTool *self = (const JoinTool *)tool;
  return (self->run[0].edges->len > 0 ? 1 : 0) + (self->run[1].edges->len > 0 ? 1 : 0);
}

extern const AppToolClass app_tool_join;
const AppToolClass app_tool_join = {
  .kind = APP_TOOL_JOIN,
  .key = "join",
  .name = N_ ("Join"),
  .hint = N_ ("Press the edges of the first run, then those of the second on the other panel. Two marks take "
              "the part between them."),
  .icon = "panelwright-join-flush-symbolic",
  .accel = "F9",
  .create = join_create,
  .destroy = join_destroy,
  .press = join_press,
  .release = join_release,
  .cancel = join_cancel,
  .key_pressed = join_key,
  .begun = join_begun,
  .draw = join_draw,
};
