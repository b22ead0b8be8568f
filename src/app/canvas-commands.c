/* The canvas's actions: what menus, keys and buttons do to the selection. */
#include "app/canvas-private.h"

#include "model/repair.h"

#include <glib/gi18n.h>

/* Nudges that follow one another are one step of undo. */
#define NUDGE_KEY "nudge"

/* ---- delete ---- */

static void
delete_nodes (AppCanvas *self, const AppSelection *s)
{
  guint panel_id = g_array_index (s->panels, guint, 0);
  ModelPanel *panel = model_panel_copy (model_document_panel (app_canvas_document (self), panel_id));
  g_autoptr (GArray) ids = g_array_copy (s->nodes);
  guint gone = 0;
  for (guint i = 0; i < ids->len; i++)
    if (model_shape_delete_node (panel, g_array_index (ids, guint, i)))
      gone++;
  if (gone == 0)
  {
    model_panel_free (panel);
    app_canvas_say (self, _ ("These points hold the panel open and cannot go."));
    return;
  }
  model_history_begin (app_canvas_history (self), ngettext ("Delete node", "Delete nodes", gone));
  model_repair_put_panel (app_canvas_history (self), panel);
  model_history_end (app_canvas_history (self));
}

static void
delete_panels (AppCanvas *self, const AppSelection *s)
{
  g_autoptr (GArray) ids = g_array_copy (s->panels);
  ModelHistory *history = app_canvas_history (self);
  model_history_begin (history, ngettext ("Delete panel", "Delete panels", ids->len));
  for (guint i = 0; i < ids->len; i++)
  {
    const ModelPanel *panel
      = model_document_panel (app_canvas_document (self), g_array_index (ids, guint, i));
    if (panel != NULL && !panel->locked)
      model_history_remove_panel (history, panel->id);
  }
  model_history_end (history);
}

void
app_canvas_delete_selection (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  if (s == NULL)
    return;
  if (s->tape_id != 0)
    app_canvas_remove_tape (self, g_array_index (s->panels, guint, 0), s->tape_id);
  else if (s->nodes->len > 0 && s->panels->len == 1)
    delete_nodes (self, s);
  else if (s->edges->len > 0)
    app_canvas_say (self, _ ("An edge cannot go by itself: choose its points, or the whole panel."));
  else if (s->join_id != 0)
  {
    guint join_id = s->join_id;
    model_history_begin (app_canvas_history (self), _ ("Undo join"));
    model_history_remove (app_canvas_history (self), MODEL_PART_JOIN, join_id);
    model_history_end (app_canvas_history (self));
  }
  else if (s->panels->len > 0)
    delete_panels (self, s);
  else if (s->line_id != 0)
    app_canvas_remove_line (self, s->line_id);
  else
    app_canvas_remove_photo (self);
}

/* ---- moving ---- */

static void
map_selected (AppCanvas *self, GeomAffine map)
{
  const AppSelection *s = app_canvas_selection (self);
  for (guint i = 0; i < s->panels->len; i++)
  {
    const ModelPanel *was
      = model_document_panel (app_canvas_document (self), g_array_index (s->panels, guint, i));
    if (was == NULL || was->locked)
      continue;
    ModelPanel *panel = model_panel_copy (was);
    model_shape_map (panel, map);
    model_repair_put_panel (app_canvas_history (self), panel);
  }
}

void
app_canvas_nudge (AppCanvas *self, double dx_mm, double dy_mm)
{
  const AppSelection *s = app_canvas_selection (self);
  if (s != NULL && s->panels->len == 0 && app_canvas_nudge_line (self, dx_mm, dy_mm))
    return;
  if (app_canvas_nudge_photo (self, dx_mm, dy_mm))
    return;
  if (s == NULL || s->panels->len == 0)
  {
    /* Nothing in hand: the arrows move the paper. */
    double px = 40.0;
    app_canvas_pan_by (self,
                       dx_mm > 0.0   ? -px
                       : dx_mm < 0.0 ? px
                                     : 0.0,
                       dy_mm > 0.0   ? px
                       : dy_mm < 0.0 ? -px
                                     : 0.0);
    return;
  }
  ModelHistory *history = app_canvas_history (self);
  if (model_history_is_open (history))
    return;
  if (s->nodes->len > 0)
  {
    const guint id = g_array_index (s->panels, guint, 0);
    const ModelPanel *was = model_document_panel (app_canvas_document (self), id);
    if (was == NULL)
      return;
    ModelPanel *panel = model_panel_copy (was);
    model_shape_move_nodes (panel, s->side, (const guint *)s->nodes->data, s->nodes->len,
                            geom_point (dx_mm, dy_mm));
    model_history_begin_merging (history, ngettext ("Nudge node", "Nudge nodes", s->nodes->len),
                                 NUDGE_KEY " nodes");
    model_repair_put_panel (history, panel);
    model_history_end (history);
    GeomPoint at;
    /* Another one: the put freed what was. */
    const ModelPanel *now = model_document_panel (app_canvas_document (self), id);
    if (now != NULL && s->nodes->len == 1
        && model_shape_where (now, s->side, g_array_index (s->nodes, guint, 0), MODEL_HANDLE_NONE, &at))
    {
      g_autofree char *x = app_canvas_length (self, at.x), *y = app_canvas_length (self, at.y);
      g_autofree char *words = g_strdup_printf (_ ("Point at %s, %s"), x, y);
      app_canvas_tell (self, words);
    }
    return;
  }
  model_history_begin_merging (history, ngettext ("Nudge panel", "Nudge panels", s->panels->len),
                               NUDGE_KEY " panels");
  map_selected (self, geom_affine_move (dx_mm, dy_mm));
  model_history_end (history);
}

GeomBox
app_canvas_selected_box (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  GeomBox box = geom_box_empty ();
  for (guint i = 0; i < s->panels->len; i++)
  {
    const AppOutline *outline
      = app_pick_index_outline (self->index, g_array_index (s->panels, guint, i), MODEL_SIDE_CENTRE);
    if (outline != NULL)
      box = geom_box_union (box, outline->box);
  }
  return box;
}

static void
map_about_middle (AppCanvas *self, const char *label, GeomAffine (*map) (GeomPoint, double), double figure)
{
  const AppSelection *s = app_canvas_selection (self);
  if (s == NULL || s->panels->len == 0)
    return;
  GeomBox box = app_canvas_selected_box (self);
  if (geom_box_is_empty (box))
    return;
  model_history_begin (app_canvas_history (self), label);
  map_selected (self, map (geom_point ((box.x0 + box.x1) / 2.0, (box.y0 + box.y1) / 2.0), figure));
  model_history_end (app_canvas_history (self));
}

void
app_canvas_turn (AppCanvas *self, double degrees)
{
  const AppSelection *s = app_canvas_selection (self);
  map_about_middle (self, ngettext ("Turn panel", "Turn panels", s != NULL ? s->panels->len : 1),
                    geom_affine_turn, degrees * G_PI / 180.0);
}

static GeomAffine
mirror_upright (GeomPoint middle, double figure)
{
  return geom_affine_mirror (middle, geom_point (middle.x, middle.y + 1.0));
}

/* ---- walking by keyboard ---- */

static char *
edge_words (AppCanvas *self, const ModelPanel *panel, const ModelEdge *edge)
{
  const AppOutline *outline
    = app_pick_index_outline (self->index, panel->id, app_canvas_selection (self)->side);
  GeomPath path;
  geom_path_init (&path);
  if (outline != NULL)
    app_outline_edge_path (outline, panel, edge->id, &path);
  g_autofree char *length = app_canvas_length (self, geom_path_length (&path, 1e-4));
  geom_path_clear (&path);
  return edge->name[0] != '\0' ? g_strdup_printf (_ ("Edge %s, %s"), edge->name, length)
                               : g_strdup_printf (_ ("Edge without a name, %s"), length);
}

/* NULL: the panel has no such point. */
static char *
node_words (AppCanvas *self, const ModelPanel *panel, ModelSide side, guint node_id)
{
  guint edge = 0, node = 0;
  GeomPoint place;
  if (!model_panel_find_node (panel, node_id, &edge, &node)
      || !model_shape_where (panel, side, node_id, MODEL_HANDLE_NONE, &place))
    return NULL;
  for (guint e = 0; e < edge; e++)
    node += model_panel_edge (panel, e)->nodes->len;
  g_autofree char *x = app_canvas_length (self, place.x), *y = app_canvas_length (self, place.y);
  /* Translators: number of the point, how many there are, where it lies. */
  return g_strdup_printf (_ ("Point %u of %u at %s, %s"), node + 1, model_panel_node_count (panel), x, y);
}

char *
app_canvas_selection_words (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  const ModelPanel *panel = app_canvas_chosen_panel (self);
  if (s == NULL || panel == NULL)
    return NULL;
  if (s->nodes->len == 1)
    return node_words (self, panel, s->side, g_array_index (s->nodes, guint, 0));
  const ModelEdge *edge = s->nodes->len == 0 ? app_canvas_chosen_edge (self) : NULL;
  return edge != NULL ? edge_words (self, panel, edge) : NULL;
}

static void
tell_selection (AppCanvas *self)
{
  g_autofree char *words = app_canvas_selection_words (self);
  if (words != NULL)
    app_canvas_tell (self, words);
}

static void
walk_edges (AppCanvas *self, const ModelPanel *panel, const AppSelection *s, int step)
{
  int count = (int)panel->edges->len,
      at = s->edges->len > 0 ? model_panel_find_edge (panel, g_array_index (s->edges, guint, 0)) : -1;
  int next = at < 0 ? (step > 0 ? 0 : count - 1) : (at + step + count) % count;
  const ModelEdge *edge = model_panel_edge (panel, (guint)next);
  app_session_select_edge (self->session, panel->id, s->side, edge->id, false);
  tell_selection (self);
}

static void
walk_nodes (AppCanvas *self, const ModelPanel *panel, const AppSelection *s, int step)
{
  guint total = model_panel_node_count (panel), at = 0, k = 0;
  bool found = false;
  g_autofree guint *ids = g_new (guint, MAX (total, 1));
  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len && k < total; n++, k++)
    {
      ids[k] = model_edge_node (model_panel_edge (panel, e), n)->id;
      if (s->nodes->len > 0 && ids[k] == g_array_index (s->nodes, guint, 0))
      {
        at = k;
        found = true;
      }
    }
  if (k == 0)
    return;
  guint next = !found ? (step > 0 ? 0 : k - 1) : (at + k + (guint)step) % k;
  ModelSide side = s->side;
  app_session_select_node (self->session, panel->id, side, ids[next], false);
  tell_selection (self);
}

void
app_canvas_walk (AppCanvas *self, int step)
{
  const AppSelection *s = app_canvas_selection (self);
  if (s == NULL)
    return;
  guint panel_id = s->panels->len > 0 ? g_array_index (s->panels, guint, 0) : app_canvas_focused_panel (self);
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), panel_id);
  if (panel == NULL || panel->edges->len == 0)
    return;
  if (self->kind == APP_TOOL_SHAPE)
    walk_nodes (self, panel, s, step);
  else
    walk_edges (self, panel, s, step);
}

/* Where the walk stands, of how many; -1: not yet among the panel's edges or points. */
static int
walk_place (AppCanvas *self, const ModelPanel *panel, const AppSelection *s, int *count)
{
  if (self->kind != APP_TOOL_SHAPE)
  {
    *count = (int)panel->edges->len;
    return s->edges->len == 1 ? model_panel_find_edge (panel, g_array_index (s->edges, guint, 0)) : -1;
  }
  guint edge = 0, node = 0;
  *count = (int)model_panel_node_count (panel);
  if (s->nodes->len != 1 || !model_panel_find_node (panel, g_array_index (s->nodes, guint, 0), &edge, &node))
    return -1;
  for (guint e = 0; e < edge; e++)
    node += model_panel_edge (panel, e)->nodes->len;
  return (int)node;
}

bool
app_canvas_walk_on (AppCanvas *self, int step)
{
  const AppSelection *s = app_canvas_selection (self);
  if (s == NULL || s->panels->len != 1)
    return false;
  const ModelPanel *panel
    = model_document_panel (app_canvas_document (self), g_array_index (s->panels, guint, 0));
  int count = 0, at = panel != NULL ? walk_place (self, panel, s, &count) : -1;
  if (at < 0)
    return false;
  if (at + step < 0 || at + step >= count)
  {
    app_session_select_panel (self->session, panel->id, s->side, false);
    return false;
  }
  app_canvas_walk (self, step);
  return true;
}

bool
app_canvas_step_in (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  if (s == NULL || s->panels->len != 1 || s->edges->len > 0 || s->nodes->len > 0)
    return false;
  app_canvas_walk (self, 1);
  return true;
}

void
app_canvas_step_out (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  if (s != NULL && s->panels->len == 1 && (s->edges->len > 0 || s->nodes->len > 0))
    app_session_select_panel (self->session, g_array_index (s->panels, guint, 0), s->side, false);
  else
    app_session_select_none (self->session);
}

/* ---- kinds of nodes ---- */

void
app_canvas_set_node_kind (AppCanvas *self, ModelNodeKind kind)
{
  const AppSelection *s = app_canvas_selection (self);
  if (s == NULL || s->panels->len != 1 || s->nodes->len == 0)
    return;
  const ModelPanel *was
    = model_document_panel (app_canvas_document (self), g_array_index (s->panels, guint, 0));
  if (was == NULL)
    return;
  ModelPanel *panel = model_panel_copy (was);
  for (guint i = 0; i < s->nodes->len; i++)
    model_shape_set_kind (panel, g_array_index (s->nodes, guint, i), kind);
  const char *label = _ ("Make corner");
  switch (kind)
  {
  case MODEL_NODE_SMOOTH:
    label = _ ("Make smooth");
    break;
  case MODEL_NODE_EVEN:
    label = _ ("Make even");
    break;
  case MODEL_NODE_CORNER:
    break;
  }
  model_history_begin (app_canvas_history (self), label);
  model_repair_put_panel (app_canvas_history (self), panel);
  model_history_end (app_canvas_history (self));
}

/* ---- panels ---- */

static void
duplicate (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  if (s == NULL || s->panels->len == 0)
    return;
  g_autoptr (ModelDocument) part
    = model_document_excerpt (app_canvas_document (self), (const guint *)s->panels->data, s->panels->len);
  if (part != NULL)
    app_canvas_put_panels (self, part, false,
                           ngettext ("Duplicate panel", "Duplicate panels", s->panels->len));
}

static void
select_all (AppCanvas *self)
{
  const ModelDocument *doc = app_canvas_document (self);
  if (doc == NULL)
    return;
  g_autoptr (GArray) ids = g_array_new (FALSE, FALSE, sizeof (guint));
  for (guint i = 0; i < doc->panels->len; i++)
  {
    const ModelPanel *panel = (const ModelPanel *)g_ptr_array_index (doc->panels, i);
    if (!panel->hidden)
      g_array_append_val (ids, panel->id);
  }
  if (ids->len > 0)
    app_session_select_panels (self->session, (const guint *)ids->data, ids->len);
}

/* ---- actions ---- */

static void
run_action (GtkWidget *widget, const char *name, GVariant *parameter)
{
  AppCanvas *self = APP_CANVAS (widget);
  double x = gtk_widget_get_width (widget) / 2.0, y = gtk_widget_get_height (widget) / 2.0;
  const char *what = name + strlen ("canvas.");
  if (g_str_equal (what, "zoom-in"))
    app_canvas_zoom_at (self, 1.25, x, y);
  else if (g_str_equal (what, "zoom-out"))
    app_canvas_zoom_at (self, 1.0 / 1.25, x, y);
  else if (g_str_equal (what, "zoom-fit"))
    app_canvas_fit (self);
  else if (g_str_equal (what, "zoom-true"))
    app_canvas_set_percent (self, 100.0);
  else if (self->session == NULL)
    return;
  else if (g_str_equal (what, "delete"))
    app_canvas_delete_selection (self);
  else if (g_str_equal (what, "duplicate"))
    duplicate (self);
  else if (g_str_equal (what, "select-all"))
    select_all (self);
  else if (g_str_equal (what, "copy"))
    app_canvas_copy (self);
  else if (g_str_equal (what, "cut"))
  {
    app_canvas_copy (self);
    app_canvas_delete_selection (self);
  }
  else if (g_str_equal (what, "paste"))
    app_canvas_paste (self);
  else if (g_str_equal (what, "mirror"))
    map_about_middle (self, _ ("Mirror"), mirror_upright, 0.0);
  else if (g_str_equal (what, "turn-left"))
    app_canvas_turn (self, 90.0);
  else if (g_str_equal (what, "turn-right"))
    app_canvas_turn (self, -90.0);
  else if (g_str_equal (what, "cancel"))
    app_canvas_key (self, GDK_KEY_Escape, 0);
}

static const char *const action_names[]
  = { "zoom-in", "zoom-out", "zoom-fit", "zoom-true", "delete",    "duplicate",  "select-all",
      "copy",    "cut",      "paste",    "mirror",    "turn-left", "turn-right", "cancel" };

void
app_canvas_commands_class (GtkWidgetClass *klass)
{
  for (guint i = 0; i < G_N_ELEMENTS (action_names); i++)
  {
    g_autofree char *name = g_strconcat ("canvas.", action_names[i], NULL);
    gtk_widget_class_install_action (klass, name, NULL, run_action);
  }
  const struct
  {
    guint key;
    GdkModifierType state;
    const char *action;
  } keys[] = { { GDK_KEY_c, GDK_CONTROL_MASK, "canvas.copy" },
               { GDK_KEY_x, GDK_CONTROL_MASK, "canvas.cut" },
               { GDK_KEY_v, GDK_CONTROL_MASK, "canvas.paste" },
               { GDK_KEY_d, GDK_CONTROL_MASK, "canvas.duplicate" },
               { GDK_KEY_a, GDK_CONTROL_MASK, "canvas.select-all" },
               { GDK_KEY_plus, GDK_CONTROL_MASK, "canvas.zoom-in" },
               { GDK_KEY_equal, GDK_CONTROL_MASK, "canvas.zoom-in" },
               { GDK_KEY_KP_Add, GDK_CONTROL_MASK, "canvas.zoom-in" },
               { GDK_KEY_minus, GDK_CONTROL_MASK, "canvas.zoom-out" },
               { GDK_KEY_KP_Subtract, GDK_CONTROL_MASK, "canvas.zoom-out" },
               { GDK_KEY_0, GDK_CONTROL_MASK, "canvas.zoom-fit" },
               { GDK_KEY_1, GDK_CONTROL_MASK, "canvas.zoom-true" } };
  for (guint i = 0; i < G_N_ELEMENTS (keys); i++)
    gtk_widget_class_add_binding_action (klass, keys[i].key, keys[i].state, keys[i].action, NULL);
}

void
app_canvas_commands_refresh (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  bool panels = s != NULL && s->panels->len > 0,
       any = panels || (s != NULL && (s->join_id != 0 || s->line_id != 0));
  const char *const on_panels[] = { "canvas.duplicate", "canvas.copy",      "canvas.cut",
                                    "canvas.mirror",    "canvas.turn-left", "canvas.turn-right" };
  for (guint i = 0; i < G_N_ELEMENTS (on_panels); i++)
    gtk_widget_action_set_enabled (GTK_WIDGET (self), on_panels[i], panels);
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "canvas.delete", any);
  app_canvas_arrange_refresh (self);
}
