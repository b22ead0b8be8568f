/* The menu at the pointer, and the small questions its rows ask. */
#include "app/canvas-private.h"

#include "app/number-entry.h"
#include "app/relief.h"
#include "app/starter-add.h"
#include "engine/words.h"
#include "model/repair.h"

#include <glib/gi18n.h>

/* ---- who is meant ---- */

static const ModelPanel *
chosen_panel (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  return s != NULL && s->panels->len > 0
           ? model_document_panel (app_canvas_document (self), g_array_index (s->panels, guint, 0))
           : NULL;
}

static const ModelEdge *
chosen_edge (AppCanvas *self)
{
  const ModelPanel *panel = chosen_panel (self);
  const AppSelection *s = app_canvas_selection (self);
  int at = panel != NULL && s->edges->len > 0
             ? model_panel_find_edge (panel, g_array_index (s->edges, guint, s->edges->len - 1))
             : -1;
  return at >= 0 ? model_panel_edge (panel, (guint)at) : NULL;
}

static void
put_panel (AppCanvas *self, ModelPanel *panel, const char *label)
{
  model_history_begin (app_canvas_history (self), label);
  model_repair_put_panel (app_canvas_history (self), panel);
  model_history_end (app_canvas_history (self));
}

/* A copy of the chosen panel and the chosen edge in it. */
static ModelPanel *
copy_with_edge (AppCanvas *self, ModelEdge **edge)
{
  const ModelEdge *was = chosen_edge (self);
  if (was == NULL)
    return NULL;
  ModelPanel *panel = model_panel_copy (chosen_panel (self));
  *edge = model_panel_edge (panel, (guint)model_panel_find_edge (panel, was->id));
  return panel;
}

static void
entry_place (AppCanvas *self, GeomPoint at, double *x, double *y)
{
  app_canvas_to_widget (self, at, x, y);
  *x = CLAMP (*x, 20.0, MAX (gtk_widget_get_width (GTK_WIDGET (self)) - 20.0, 20.0));
  *y = CLAMP (*y, 20.0, MAX (gtk_widget_get_height (GTK_WIDGET (self)) - 40.0, 20.0));
}

/* ---- lengths and places ---- */

typedef struct AskedEdge
{
  guint panel_id, edge_id, node_id;
  ModelSide side;
} AskedEdge;

static bool
length_taken (AppCanvas *self, double mm, gpointer user)
{
  const AskedEdge *asked = user;
  const ModelPanel *was = model_document_panel (app_canvas_document (self), asked->panel_id);
  if (was == NULL)
    return true;
  ModelPanel *panel = model_panel_copy (was);
  if (!model_shape_set_edge_length (panel, asked->side, asked->edge_id, mm, false))
  {
    model_panel_free (panel);
    return false;
  }
  put_panel (self, panel, _ ("Change edge length"));
  g_autofree char *words = app_shape_join_words (self, asked->panel_id, asked->edge_id, NULL);
  app_canvas_tell (self, words);
  return true;
}

void
app_canvas_ask_edge_length (AppCanvas *self, guint panel_id, ModelSide side, guint edge_id)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), panel_id);
  const AppOutline *outline = app_pick_index_outline (self->index, panel_id, side);
  GeomPath path;
  geom_path_init (&path);
  if (panel != NULL && outline != NULL && app_outline_edge_path (outline, panel, edge_id, &path))
  {
    double length = geom_path_length (&path, 1e-6), x, y;
    g_autofree char *text = app_canvas_length (self, length);
    AskedEdge *asked = g_new0 (AskedEdge, 1);
    *asked = (AskedEdge) { panel_id, edge_id, 0, outline->side };
    entry_place (self, geom_path_point (&path, geom_path_place_at (&path, length / 2.0, 1e-4)), &x, &y);
    app_number_entry_open (self, x, y, _ ("Edge length"), text, true, self->unit, length_taken, asked);
  }
  geom_path_clear (&path);
}

/* "x, y": two lengths parted by a comma and a space or a semicolon, so that a decimal comma still works. */
static bool
place_taken (AppCanvas *self, const char *text, gpointer user)
{
  const AskedEdge *asked = user;
  const ModelPanel *was = model_document_panel (app_canvas_document (self), asked->panel_id);
  g_auto (GStrv) parts = strchr (text, ';') != NULL ? g_strsplit (text, ";", 2) : g_strsplit (text, ", ", 2);
  GeomPoint to;
  if (was == NULL)
    return true;
  if (g_strv_length (parts) != 2 || !model_unit_parse (g_strstrip (parts[0]), self->unit, &to.x, NULL)
      || !model_unit_parse (g_strstrip (parts[1]), self->unit, &to.y, NULL))
    return false;
  ModelPanel *panel = model_panel_copy (was);
  model_shape_place_node (panel, asked->side, asked->node_id, to);
  put_panel (self, panel, _ ("Place node"));
  return true;
}

void
app_canvas_ask_node_place (AppCanvas *self, guint panel_id, ModelSide side, guint node_id)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), panel_id);
  GeomPoint at;
  if (panel == NULL || !model_shape_where (panel, side, node_id, MODEL_HANDLE_NONE, &at))
    return;
  g_autofree char *x_text = app_canvas_figure (self, at.x), *y_text = app_canvas_figure (self, at.y);
  g_autofree char *text = g_strdup_printf ("%s; %s", x_text, y_text);
  AskedEdge *asked = g_new0 (AskedEdge, 1);
  *asked = (AskedEdge) { panel_id, 0, node_id, side };
  double x, y;
  entry_place (self, at, &x, &y);
  app_text_entry_open (self, x, y, _ ("Across; up"), text, place_taken, asked);
}

/* ---- names ---- */

static bool
edge_name_taken (AppCanvas *self, const char *text, gpointer user)
{
  ModelEdge *edge;
  ModelPanel *panel = copy_with_edge (self, &edge);
  if (panel == NULL)
    return true;
  g_free (edge->name);
  edge->name = g_strstrip (g_strdup (text));
  put_panel (self, panel, _ ("Name edge"));
  return true;
}

static bool
panel_name_taken (AppCanvas *self, const char *text, gpointer user)
{
  g_autofree char *name = g_strstrip (g_strdup (text));
  const ModelPanel *was = chosen_panel (self);
  if (was == NULL)
    return true;
  const ModelPanel *other = model_document_panel_named (app_canvas_document (self), name);
  if (name[0] == '\0' || (other != NULL && other->id != was->id))
    return false;
  ModelPanel *panel = model_panel_copy (was);
  g_free (panel->name);
  panel->name = g_steal_pointer (&name);
  put_panel (self, panel, _ ("Name panel"));
  return true;
}

static void
menu_place (AppCanvas *self, double *x, double *y)
{
  *x = self->menu_x > 0.0 ? self->menu_x : gtk_widget_get_width (GTK_WIDGET (self)) / 2.0;
  *y = self->menu_y > 0.0 ? self->menu_y : gtk_widget_get_height (GTK_WIDGET (self)) / 2.0;
}

void
app_canvas_ask_edge_name (AppCanvas *self)
{
  const ModelPanel *panel = chosen_panel (self);
  const ModelEdge *edge = chosen_edge (self);
  if (panel == NULL)
    return;
  const AppOutline *outline = app_pick_index_outline (self->index, panel->id, MODEL_SIDE_CENTRE);
  double x, y;
  menu_place (self, &x, &y);
  if (outline != NULL)
  {
    GeomPoint at = { (outline->box.x0 + outline->box.x1) / 2.0, (outline->box.y0 + outline->box.y1) / 2.0 };
    GeomPath path;
    geom_path_init (&path);
    if (edge != NULL && app_outline_edge_path (outline, panel, edge->id, &path))
      at = geom_path_point (&path, geom_path_place_at (&path, geom_path_length (&path, 1e-3) / 2.0, 1e-3));
    geom_path_clear (&path);
    entry_place (self, at, &x, &y);
  }
  if (edge != NULL)
    app_text_entry_open (self, x, y, _ ("Edge name"), edge->name, edge_name_taken, NULL);
  else
    app_text_entry_open (self, x, y, _ ("Panel name"), panel->name, panel_name_taken, NULL);
}

/* ---- the rows ---- */

static bool
allowance_taken (AppCanvas *self, double mm, gpointer user)
{
  ModelEdge *edge;
  ModelPanel *panel = copy_with_edge (self, &edge);
  if (panel == NULL)
    return true;
  if (mm < 0.0 || mm > 500.0)
  {
    model_panel_free (panel);
    return false;
  }
  edge->has_allowance = true;
  edge->allowance_mm = mm;
  put_panel (self, panel, _ ("Change allowance"));
  return true;
}

static bool
quantity_taken (AppCanvas *self, const char *text, gpointer user)
{
  guint64 quantity;
  if (!g_ascii_string_to_unsigned (text, 10, 1, 999, &quantity, NULL))
    return false;
  const ModelPanel *was = chosen_panel (self);
  if (was == NULL)
    return true;
  ModelPanel *panel = model_panel_copy (was);
  panel->quantity = (int)quantity;
  put_panel (self, panel, _ ("Change quantity"));
  return true;
}

static bool
turn_taken (AppCanvas *self, double degrees, gpointer user)
{
  app_canvas_turn (self, degrees);
  return true;
}

/* Where the nearest piece of the chosen edge was pressed. */
static bool
pressed_piece (AppCanvas *self, AppPick *pick)
{
  const ModelEdge *edge = chosen_edge (self);
  *pick = self->menu_pick;
  return edge != NULL && pick->kind == APP_PICK_EDGE && pick->edge_id == edge->id;
}

static void
insert_at_press (AppCanvas *self, bool corner)
{
  AppPick pick;
  if (!pressed_piece (self, &pick))
    return;
  ModelDocument *doc = app_canvas_document (self);
  ModelPanel *panel = model_panel_copy (chosen_panel (self));
  guint made = corner ? model_shape_insert_corner (panel, doc, pick.edge_id, pick.node_index, pick.t)
                      : model_shape_insert_node (panel, doc, pick.edge_id, pick.node_index, pick.t);
  if (made == 0)
  {
    model_panel_free (panel);
    return;
  }
  put_panel (self, panel, corner ? _ ("Add corner") : _ ("Add node"));
}

static void
set_straight (AppCanvas *self, bool straight)
{
  AppPick pick;
  ModelEdge *edge;
  ModelPanel *panel = copy_with_edge (self, &edge);
  if (panel == NULL)
    return;
  if (pressed_piece (self, &pick))
    model_shape_set_piece_straight (panel, pick.edge_id, pick.node_index, straight);
  else
    for (guint i = 0; i < edge->nodes->len; i++)
      model_shape_set_piece_straight (panel, edge->id, i, straight);
  put_panel (self, panel, straight ? _ ("Straighten edge") : _ ("Bend edge"));
}

static void
toggle_fold (AppCanvas *self)
{
  ModelEdge *edge;
  ModelPanel *panel = copy_with_edge (self, &edge);
  if (panel == NULL)
    return;
  if (edge->fold)
  {
    edge->fold = false;
    panel->halves = MODEL_HALVES_SINGLE;
    put_panel (self, panel, _ ("Unfold"));
    return;
  }
  if (!model_shape_make_fold (panel, edge->id))
  {
    model_panel_free (panel);
    app_canvas_say (self, _ ("This edge cannot be a fold."));
    return;
  }
  if (panel->side == MODEL_SIDE_CENTRE)
    panel->side = MODEL_SIDE_LEFT;
  put_panel (self, panel, _ ("Make fold"));
}

static void
set_pair (AppCanvas *self, bool pair)
{
  ModelPanel *panel = model_panel_copy (chosen_panel (self));
  const AppOutline *outline = app_pick_index_outline (self->index, panel->id, MODEL_SIDE_CENTRE);
  panel->halves = pair ? MODEL_HALVES_PAIR : MODEL_HALVES_SINGLE;
  if (pair && panel->side == MODEL_SIDE_CENTRE)
    panel->side = MODEL_SIDE_LEFT;
  if (!pair)
    panel->side = MODEL_SIDE_CENTRE;
  /* The twin lies beside its panel, a thumb's breadth off. */
  if (pair && outline != NULL)
    panel->mirror_x_mm = outline->box.x0 - 20.0;
  put_panel (self, panel, pair ? _ ("Cut as a pair") : _ ("Cut once"));
}

static void
set_material (AppCanvas *self, guint material_id)
{
  const AppSelection *s = app_canvas_selection (self);
  g_autoptr (GArray) ids = g_array_copy (s->panels);
  model_history_begin (app_canvas_history (self), _ ("Change material"));
  for (guint i = 0; i < ids->len; i++)
  {
    const ModelPanel *was = model_document_panel (app_canvas_document (self), g_array_index (ids, guint, i));
    if (was == NULL)
      continue;
    ModelPanel *panel = model_panel_copy (was);
    panel->material_id = material_id;
    model_repair_put_panel (app_canvas_history (self), panel);
  }
  model_history_end (app_canvas_history (self));
}

static void
toggle_edge (AppCanvas *self, bool lock)
{
  ModelEdge *edge;
  ModelPanel *panel = copy_with_edge (self, &edge);
  if (panel == NULL)
    return;
  if (lock)
    edge->locked = !edge->locked;
  else
    edge->has_allowance = false;
  put_panel (self, panel,
             !lock          ? _ ("Allowance by the joins")
             : edge->locked ? _ ("Lock edge")
                            : _ ("Unlock edge"));
}

/* Of all chosen panels, as the first one says. */
static void
lock_or_hide (AppCanvas *self, bool hide)
{
  g_autoptr (GArray) ids = g_array_copy (app_canvas_selection (self)->panels);
  bool lock = !chosen_panel (self)->locked;
  model_history_begin (app_canvas_history (self), hide ? ngettext ("Hide panel", "Hide panels", ids->len)
                                                  : lock
                                                    ? ngettext ("Lock panel", "Lock panels", ids->len)
                                                    : ngettext ("Unlock panel", "Unlock panels", ids->len));
  for (guint i = 0; i < ids->len; i++)
  {
    const ModelPanel *was = model_document_panel (app_canvas_document (self), g_array_index (ids, guint, i));
    if (was == NULL)
      continue;
    ModelPanel *panel = model_panel_copy (was);
    if (hide)
      panel->hidden = true;
    else
      panel->locked = lock;
    model_history_put_panel (app_canvas_history (self), panel);
  }
  model_history_end (app_canvas_history (self));
  if (hide)
    app_session_select_none (self->session);
}

static void
panel_switch (AppCanvas *self, const char *what)
{
  const ModelPanel *was = chosen_panel (self);
  if (was == NULL)
    return;
  if (g_str_equal (what, "panel-lock") || g_str_equal (what, "panel-hide"))
  {
    lock_or_hide (self, g_str_equal (what, "panel-hide"));
    return;
  }
  ModelPanel *panel = model_panel_copy (was);
  if (g_str_equal (what, "own-sides"))
  {
    model_shape_set_own_sides (panel, !panel->own_sides);
    put_panel (self, panel, panel->own_sides ? _ ("Let the sides differ") : _ ("Make both sides alike"));
  }
  else if (g_str_equal (what, "swap-sides"))
  {
    model_shape_swap_sides (panel);
    put_panel (self, panel, _ ("Draw the other side"));
  }
  else if (g_str_equal (what, "clear-corrections"))
  {
    const ModelEdge *edge = chosen_edge (self);
    model_shape_clear_corrections (panel, edge != NULL ? edge->id : 0);
    put_panel (self, panel, _ ("Forget corrections"));
  }
  else if (g_str_equal (what, "grain"))
  {
    panel->has_grain = !panel->has_grain;
    if (panel->has_grain && fabs (panel->grain_deg) <= 0.0)
      panel->grain_deg = 90.0;
    put_panel (self, panel, panel->has_grain ? _ ("Set grain") : _ ("Remove grain"));
  }
  else
    model_panel_free (panel);
}

static bool
grain_taken (AppCanvas *self, double degrees, gpointer user)
{
  const ModelPanel *was = chosen_panel (self);
  if (was == NULL)
    return true;
  ModelPanel *panel = model_panel_copy (was);
  panel->has_grain = true;
  panel->grain_deg = degrees;
  put_panel (self, panel, _ ("Turn grain"));
  return true;
}

static void
show_all (AppCanvas *self)
{
  const ModelDocument *doc = app_canvas_document (self);
  model_history_begin (app_canvas_history (self), _ ("Show all panels"));
  for (guint i = 0; i < doc->panels->len; i++)
  {
    const ModelPanel *was = (const ModelPanel *)g_ptr_array_index (doc->panels, i);
    if (!was->hidden)
      continue;
    ModelPanel *panel = model_panel_copy (was);
    panel->hidden = false;
    model_repair_put_panel (app_canvas_history (self), panel);
  }
  model_history_end (app_canvas_history (self));
}

static void
ask_allowance (AppCanvas *self, double x, double y)
{
  const ModelPanel *panel = chosen_panel (self);
  const ModelEdge *edge = chosen_edge (self);
  if (edge == NULL)
    return;
  double mm = engine_allowance_mm (app_canvas_document (self), panel, edge, panel->side);
  g_autofree char *text = app_canvas_length (self, mm);
  app_number_entry_open (self, x, y, _ ("Allowance"), text, true, self->unit, allowance_taken, NULL);
}

static void
on_edit (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppCanvas *self = user;
  const char *what = g_action_get_name (G_ACTION (action));
  if (self->session == NULL)
    return;
  const AppSelection *s = app_canvas_selection (self);
  const ModelPanel *panel = chosen_panel (self);
  double x, y;
  menu_place (self, &x, &y);
  if (g_str_equal (what, "show-photos"))
  {
    app_canvas_show_photos (self);
    return;
  }
  if (g_str_equal (what, "show-all"))
    show_all (self);
  else if (panel == NULL)
    return;
  else if (g_str_equal (what, "length") && s->edges->len > 0)
    app_canvas_ask_edge_length (self, panel->id, s->side, g_array_index (s->edges, guint, 0));
  else if (g_str_equal (what, "place") && s->nodes->len > 0)
    app_canvas_ask_node_place (self, panel->id, s->side, g_array_index (s->nodes, guint, 0));
  else if (g_str_equal (what, "name"))
    app_canvas_ask_edge_name (self);
  else if (g_str_equal (what, "fold"))
    toggle_fold (self);
  else if (g_str_equal (what, "allowance"))
    ask_allowance (self, x, y);
  else if (g_str_equal (what, "allowance-auto"))
    toggle_edge (self, false);
  else if (g_str_equal (what, "edge-lock"))
    toggle_edge (self, true);
  else if (g_str_equal (what, "insert-node"))
    insert_at_press (self, false);
  else if (g_str_equal (what, "insert-corner"))
    insert_at_press (self, true);
  else if (g_str_equal (what, "straight"))
    set_straight (self, true);
  else if (g_str_equal (what, "curved"))
    set_straight (self, false);
  else if (g_str_equal (what, "smooth"))
    app_canvas_set_node_kind (self, MODEL_NODE_SMOOTH);
  else if (g_str_equal (what, "corner"))
    app_canvas_set_node_kind (self, MODEL_NODE_CORNER);
  else if (g_str_equal (what, "even"))
    app_canvas_set_node_kind (self, MODEL_NODE_EVEN);
  else if (g_str_equal (what, "quantity"))
  {
    g_autofree char *text = g_strdup_printf ("%d", panel->quantity);
    app_text_entry_open (self, x, y, _ ("Quantity"), text, quantity_taken, NULL);
  }
  else if (g_str_equal (what, "turn"))
    app_angle_entry_open (self, x, y, _ ("Turn by degrees"), turn_taken, NULL);
  else if (g_str_equal (what, "grain-angle"))
    app_angle_entry_open (self, x, y, _ ("Grain direction in degrees"), grain_taken, NULL);
  else if (g_str_equal (what, "pair"))
    set_pair (self, panel->halves != MODEL_HALVES_PAIR);
  else if (g_str_equal (what, "material"))
    set_material (self, g_variant_get_uint32 (parameter));
  else
    panel_switch (self, what);
}

/* ---- the menu ---- */

static void
add_row (GMenu *menu, const char *label, const char *action)
{
  g_menu_append (menu, label, action);
}

static void
add_section (GMenu *menu, GMenu *section)
{
  if (g_menu_model_get_n_items (G_MENU_MODEL (section)) > 0)
    g_menu_append_section (menu, NULL, G_MENU_MODEL (section));
  g_object_unref (section);
}

static void
node_rows (AppCanvas *self, GMenu *menu)
{
  GMenu *section = g_menu_new ();
  add_row (section, _ ("_Place…"), "edit.place");
  add_row (section, _ ("_Smooth"), "edit.smooth");
  add_row (section, _ ("_Corner"), "edit.corner");
  add_row (section, _ ("_Even"), "edit.even");
  add_row (section, _ ("_Delete"), "canvas.delete");
  add_section (menu, section);
  app_canvas_deed_rows (self, menu);
}

static void
edge_rows (AppCanvas *self, GMenu *menu, const ModelEdge *edge)
{
  GMenu *section = g_menu_new ();
  add_row (section, _ ("Edge _name…"), "edit.name");
  add_row (section, _ ("_Length…"), "edit.length");
  add_row (section, edge->locked ? _ ("Un_lock edge") : _ ("Lock _edge"), "edit.edge-lock");
  add_section (menu, section);

  section = g_menu_new ();
  if (self->menu_pick.kind == APP_PICK_EDGE && !edge->fold)
  {
    add_row (section, _ ("Add n_ode here"), "edit.insert-node");
    add_row (section, _ ("Add _corner here"), "edit.insert-corner");
  }
  if (!edge->fold)
  {
    if (self->menu_pick.kind == APP_PICK_EDGE && edge->nodes->len > 1)
      add_row (section, _ ("_Straighten this piece"), "edit.straight");
    add_row (section, _ ("_Bend"), "edit.curved");
  }
  add_section (menu, section);
  if (!edge->fold)
    app_canvas_deed_rows (self, menu);

  section = g_menu_new ();
  add_row (section, edge->fold ? _ ("Not a _fold") : _ ("Make _fold"), "edit.fold");
  add_row (section, _ ("_Allowance…"), "edit.allowance");
  add_row (section, _ ("Fit note…"), "win.fit-note");
  if (edge->has_allowance)
    add_row (section, _ ("Allowance by the _joins"), "edit.allowance-auto");
  g_autofree char *joined = app_shape_join_words (self, chosen_panel (self)->id, edge->id, NULL);
  if (joined != NULL)
    add_row (section, _ ("Ends _do not meet…"), "dart.meet");
  add_section (menu, section);
  app_dart_rows (self, menu);
}

static void
material_rows (AppCanvas *self, GMenu *menu)
{
  const ModelDocument *doc = app_canvas_document (self);
  GMenu *materials = g_menu_new ();
  for (guint i = 0; i < doc->materials->len; i++)
  {
    const ModelMaterial *material = (const ModelMaterial *)g_ptr_array_index (doc->materials, i);
    g_autofree char *words = engine_words_of_material (doc, material);
    GMenuItem *item = g_menu_item_new (words, NULL);
    g_menu_item_set_action_and_target (item, "edit.material", "u", material->id);
    g_menu_append_item (materials, item);
    g_object_unref (item);
  }
  if (doc->materials->len > 0)
    g_menu_append_submenu (menu, _ ("_Material"), G_MENU_MODEL (materials));
  g_object_unref (materials);
}

static void
panel_rows (AppCanvas *self, GMenu *menu, const ModelPanel *panel, bool edge_chosen)
{
  GMenu *section = g_menu_new ();
  if (!edge_chosen)
    add_row (section, _ ("Panel _name…"), "edit.name");
  material_rows (self, section);
  add_row (section, _ ("_Quantity…"), "edit.quantity");
  add_row (section, _ ("Fit note…"), "win.fit-note");
  add_section (menu, section);

  section = g_menu_new ();
  if (panel->halves != MODEL_HALVES_FOLD)
    add_row (section, panel->halves == MODEL_HALVES_PAIR ? _ ("Cut _once") : _ ("Cut as a _pair"),
             "edit.pair");
  if (panel->halves != MODEL_HALVES_SINGLE)
  {
    add_row (section, panel->own_sides ? _ ("Both sides _alike") : _ ("Let the _sides differ"),
             "edit.own-sides");
    add_row (section, _ ("Draw the _other side"), "edit.swap-sides");
  }
  if (panel->corrections->len > 0)
    add_row (section, _ ("_Forget corrections"), "edit.clear-corrections");
  add_section (menu, section);

  section = g_menu_new ();
  add_row (section, _ ("_Duplicate"), "canvas.duplicate");
  add_row (section, _ ("_Mirror"), "canvas.mirror");
  add_row (section, _ ("_Turn…"), "edit.turn");
  add_row (section, panel->has_grain ? _ ("Remove _grain") : _ ("Set _grain"), "edit.grain");
  if (panel->has_grain)
    add_row (section, _ ("Grain d_irection…"), "edit.grain-angle");
  add_row (section, _ ("Longer or shorter _by…"), "dart.level");
  add_section (menu, section);

  section = g_menu_new ();
  g_autoptr (GMenuModel) arrange = app_canvas_arrange_menu ();
  g_menu_append_submenu (section, _ ("A_rrange"), arrange);
  add_section (menu, section);

  section = g_menu_new ();
  add_row (section, panel->locked ? _ ("Un_lock panel") : _ ("_Lock panel"), "edit.panel-lock");
  add_row (section, _ ("_Hide panel"), "edit.panel-hide");
  add_row (section, _ ("D_elete"), "canvas.delete");
  add_section (menu, section);
}

static void
paper_rows (AppCanvas *self, GMenu *menu)
{
  GMenu *section = g_menu_new ();
  add_row (section, _ ("_Paste"), "canvas.paste");
  add_row (section, _ ("Choose _all"), "canvas.select-all");
  const ModelDocument *doc = app_canvas_document (self);
  for (guint i = 0; i < doc->panels->len; i++)
    if (((const ModelPanel *)g_ptr_array_index (doc->panels, i))->hidden)
    {
      add_row (section, _ ("_Show all panels"), "edit.show-all");
      break;
    }
  g_autoptr (GMenuModel) starters = app_starter_menu ();
  g_menu_append_submenu (section, _ ("Add a s_tarter"), starters);
  add_row (section, _ ("Add a p_hoto…"), "win.add-photo");
  if (app_canvas_has_hidden_photo (self))
    add_row (section, _ ("Show the phot_os"), "edit.show-photos");
  add_section (menu, section);
  section = g_menu_new ();
  g_autoptr (GMenuModel) arrange = app_canvas_arrange_menu ();
  g_menu_append_submenu (section, _ ("A_rrange"), arrange);
  add_section (menu, section);
  app_canvas_new_line_rows (self, menu);
  section = g_menu_new ();
  add_row (section, _ ("Curvature com_b"), "win.comb");
  add_row (section, _ ("_Fit in view"), "canvas.zoom-fit");
  add_row (section, _ ("_True size"), "canvas.zoom-true");
  add_section (menu, section);
}

/* What is under the pointer becomes the selection, unless it is part of it already. */
static void
choose_for_menu (AppCanvas *self)
{
  const AppPick *pick = &self->menu_pick;
  const AppSelection *s = app_canvas_selection (self);
  switch (pick->kind)
  {
  case APP_PICK_CORNER:
  case APP_PICK_NODE:
  case APP_PICK_HANDLE:
    if (!app_selection_has_node (s, pick->node_id))
      app_session_select_node (self->session, pick->panel_id, pick->side, pick->node_id, false);
    break;
  case APP_PICK_EDGE:
    if (!app_selection_has_edge (s, pick->edge_id) || s->nodes->len > 0)
      app_session_select_edge (self->session, pick->panel_id, pick->side, pick->edge_id, false);
    break;
  case APP_PICK_PANEL:
    if (!app_selection_has_panel (s, pick->panel_id) || s->edges->len > 0)
      app_session_select_panel (self->session, pick->panel_id, pick->side, false);
    break;
  case APP_PICK_NONE:
    app_session_select_none (self->session);
    break;
  }
}

static void
on_menu_closed (GtkPopover *menu, AppCanvas *self)
{
  if (self->menu != GTK_WIDGET (menu))
    return;
  self->menu = NULL;
  /* The row's action still runs after this. */
  app_popover_drop (GTK_WIDGET (menu));
}

void
app_canvas_menu_open (AppCanvas *self, double x, double y)
{
  if (self->session == NULL)
    return;
  self->menu_x = x;
  self->menu_y = y;
  bool by_pointer = self->pointer_in && fabs (self->pointer_x - x) < 1.0 && fabs (self->pointer_y - y) < 1.0;
  self->menu_pick = app_pick_none ();
  if (by_pointer)
  {
    AppInput in = app_canvas_input (self, x, y);
    self->menu_pick = app_pick_at (self->index, in.at, app_canvas_catch_mm (self, &in),
                                   APP_PICK_POINTS | APP_PICK_EDGES | APP_PICK_PANELS, 0);
    choose_for_menu (self);
  }
  if (by_pointer && (self->menu_pick.kind == APP_PICK_NONE || self->menu_pick.kind == APP_PICK_PANEL))
  {
    AppInput in = app_canvas_input (self, x, y);
    guint line_id = app_canvas_line_at (self, in.at, app_canvas_catch_mm (self, &in) / 2.0);
    if (line_id != 0)
      app_session_select_line (self->session, line_id);
  }
  const AppSelection *s = app_canvas_selection (self);
  const ModelPanel *panel = chosen_panel (self);
  const ModelEdge *edge = chosen_edge (self);
  const ModelLine *line = panel == NULL ? app_canvas_chosen_line (self) : NULL;
  g_autoptr (GMenu) menu = g_menu_new ();
  if (panel != NULL && s->nodes->len > 0)
    node_rows (self, menu);
  else if (panel != NULL && edge != NULL)
    edge_rows (self, menu, edge);
  else if (panel != NULL)
    panel_rows (self, menu, panel, false);
  else if (line != NULL)
    app_canvas_line_rows (self, menu, line);
  else
    paper_rows (self, menu);
  if (self->menu != NULL)
  {
    GtkWidget *old = g_steal_pointer (&self->menu);
    app_popover_drop (old);
  }
  self->menu = gtk_popover_menu_new_from_model (G_MENU_MODEL (menu));
  gtk_popover_set_has_arrow (GTK_POPOVER (self->menu), FALSE);
  gtk_widget_set_halign (self->menu, GTK_ALIGN_START);
  gtk_popover_set_pointing_to (GTK_POPOVER (self->menu), &(GdkRectangle) { (int)x, (int)y, 1, 1 });
  g_signal_connect (self->menu, "closed", G_CALLBACK (on_menu_closed), self);
  gtk_widget_set_parent (self->menu, GTK_WIDGET (self));
  gtk_popover_popup (GTK_POPOVER (self->menu));
}

void
app_canvas_menu_init (AppCanvas *self)
{
  static const char *const names[]
    = { "length",    "place",       "name",          "fold",      "allowance",  "allowance-auto",
        "edge-lock", "insert-node", "insert-corner", "straight",  "curved",     "smooth",
        "corner",    "even",        "quantity",      "turn",      "grain",      "grain-angle",
        "pair",      "panel-lock",  "panel-hide",    "own-sides", "swap-sides", "clear-corrections",
        "show-all",  "show-photos" };
  g_autoptr (GSimpleActionGroup) group = g_simple_action_group_new ();
  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
  {
    g_autoptr (GSimpleAction) action = g_simple_action_new (names[i], NULL);
    g_signal_connect (action, "activate", G_CALLBACK (on_edit), self);
    g_action_map_add_action (G_ACTION_MAP (group), G_ACTION (action));
  }
  g_autoptr (GSimpleAction) material = g_simple_action_new ("material", G_VARIANT_TYPE_UINT32);
  g_signal_connect (material, "activate", G_CALLBACK (on_edit), self);
  g_action_map_add_action (G_ACTION_MAP (group), G_ACTION (material));
  gtk_widget_insert_action_group (GTK_WIDGET (self), "edit", G_ACTION_GROUP (group));
  app_dart_menu_init (self);
}
