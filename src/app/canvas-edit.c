/* What the rows of the menu do to a panel, an edge or a node, and the small questions they ask. */
#include "app/canvas-private.h"

#include "app/number-entry.h"
#include "app/relief.h"
#include "engine/words.h"
#include "model/repair.h"

#include <glib/gi18n.h>

/* ---- who is meant ---- */

const ModelPanel *
app_canvas_chosen_panel (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  return s != NULL && s->panels->len > 0
           ? model_document_panel (app_canvas_document (self), g_array_index (s->panels, guint, 0))
           : NULL;
}

const ModelEdge *
app_canvas_chosen_edge (AppCanvas *self)
{
  const ModelPanel *panel = app_canvas_chosen_panel (self);
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

static ModelPanel *
copy_panel (AppCanvas *self)
{
  const ModelPanel *was = app_canvas_chosen_panel (self);
  return was != NULL ? model_panel_copy (was) : NULL;
}

/* A copy of the chosen panel and the chosen edge in it. */
static ModelPanel *
copy_with_edge (AppCanvas *self, ModelEdge **edge)
{
  const ModelEdge *was = app_canvas_chosen_edge (self);
  if (was == NULL)
    return NULL;
  ModelPanel *panel = model_panel_copy (app_canvas_chosen_panel (self));
  *edge = model_panel_edge (panel, (guint)model_panel_find_edge (panel, was->id));
  return panel;
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
    app_canvas_entry_place (self, geom_path_point (&path, geom_path_place_at (&path, length / 2.0, 1e-4)), &x,
                            &y);
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
  app_canvas_entry_place (self, at, &x, &y);
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
  const ModelPanel *panel = app_canvas_chosen_panel (self);
  return panel == NULL || app_session_name_panel (self->session, panel->id, text);
}

void
app_canvas_ask_edge_name (AppCanvas *self)
{
  const ModelPanel *panel = app_canvas_chosen_panel (self);
  const ModelEdge *edge = app_canvas_chosen_edge (self);
  if (panel == NULL)
    return;
  const AppOutline *outline = app_pick_index_outline (self->index, panel->id, MODEL_SIDE_CENTRE);
  double x, y;
  app_canvas_menu_place (self, &x, &y);
  if (outline != NULL)
  {
    GeomPoint at = { (outline->box.x0 + outline->box.x1) / 2.0, (outline->box.y0 + outline->box.y1) / 2.0 };
    GeomPath path;
    geom_path_init (&path);
    if (edge != NULL && app_outline_edge_path (outline, panel, edge->id, &path))
      at = geom_path_point (&path, geom_path_place_at (&path, geom_path_length (&path, 1e-3) / 2.0, 1e-3));
    geom_path_clear (&path);
    app_canvas_entry_place (self, at, &x, &y);
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
  const ModelPanel *was = app_canvas_chosen_panel (self);
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
  const ModelEdge *edge = app_canvas_chosen_edge (self);
  *pick = self->menu_pick;
  return edge != NULL && pick->kind == APP_PICK_EDGE && pick->edge_id == edge->id;
}

static void
insert_at_press (AppCanvas *self, guint corner)
{
  AppPick pick;
  if (!pressed_piece (self, &pick))
    return;
  ModelDocument *doc = app_canvas_document (self);
  ModelPanel *panel = model_panel_copy (app_canvas_chosen_panel (self));
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
set_straight (AppCanvas *self, guint straight)
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
toggle_fold (AppCanvas *self, guint arg)
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
toggle_pair (AppCanvas *self, guint arg)
{
  ModelPanel *panel = copy_panel (self);
  if (panel == NULL)
    return;
  bool pair = panel->halves != MODEL_HALVES_PAIR;
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
toggle_edge (AppCanvas *self, guint lock)
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
lock_or_hide (AppCanvas *self, guint hide)
{
  if (app_canvas_chosen_panel (self) == NULL)
    return;
  g_autoptr (GArray) ids = g_array_copy (app_canvas_selection (self)->panels);
  bool lock = !app_canvas_chosen_panel (self)->locked;
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
toggle_own_sides (AppCanvas *self, guint arg)
{
  ModelPanel *panel = copy_panel (self);
  if (panel == NULL)
    return;
  model_shape_set_own_sides (panel, !panel->own_sides);
  put_panel (self, panel, panel->own_sides ? _ ("Let the sides differ") : _ ("Make both sides alike"));
}

static void
swap_sides (AppCanvas *self, guint arg)
{
  ModelPanel *panel = copy_panel (self);
  if (panel == NULL)
    return;
  model_shape_swap_sides (panel);
  put_panel (self, panel, _ ("Draw the other side"));
}

static void
clear_corrections (AppCanvas *self, guint arg)
{
  const ModelEdge *edge = app_canvas_chosen_edge (self);
  ModelPanel *panel = copy_panel (self);
  if (panel == NULL)
    return;
  model_shape_clear_corrections (panel, edge != NULL ? edge->id : 0);
  put_panel (self, panel, _ ("Forget corrections"));
}

static void
toggle_grain (AppCanvas *self, guint arg)
{
  ModelPanel *panel = copy_panel (self);
  if (panel == NULL)
    return;
  panel->has_grain = !panel->has_grain;
  if (panel->has_grain && fabs (panel->grain_deg) <= 0.0)
    panel->grain_deg = 90.0;
  put_panel (self, panel, panel->has_grain ? _ ("Set grain") : _ ("Remove grain"));
}

static bool
grain_taken (AppCanvas *self, double degrees, gpointer user)
{
  const ModelPanel *was = app_canvas_chosen_panel (self);
  if (was == NULL)
    return true;
  ModelPanel *panel = model_panel_copy (was);
  panel->has_grain = true;
  panel->grain_deg = degrees;
  put_panel (self, panel, _ ("Turn grain"));
  return true;
}

static void
show_all (AppCanvas *self, guint arg)
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
ask_allowance (AppCanvas *self, guint arg)
{
  const ModelPanel *panel = app_canvas_chosen_panel (self);
  const ModelEdge *edge = app_canvas_chosen_edge (self);
  if (edge == NULL)
    return;
  double mm = engine_allowance_mm (app_canvas_document (self), panel, edge, panel->side);
  g_autofree char *text = app_canvas_length (self, mm);
  double x, y;
  app_canvas_menu_place (self, &x, &y);
  app_number_entry_open (self, x, y, _ ("Allowance"), text, true, self->unit, allowance_taken, NULL);
}

static void
ask_length (AppCanvas *self, guint arg)
{
  const AppSelection *s = app_canvas_selection (self);
  const ModelPanel *panel = app_canvas_chosen_panel (self);
  if (panel != NULL && s->edges->len > 0)
    app_canvas_ask_edge_length (self, panel->id, s->side, g_array_index (s->edges, guint, 0));
}

static void
ask_place (AppCanvas *self, guint arg)
{
  const AppSelection *s = app_canvas_selection (self);
  const ModelPanel *panel = app_canvas_chosen_panel (self);
  if (panel != NULL && s->nodes->len > 0)
    app_canvas_ask_node_place (self, panel->id, s->side, g_array_index (s->nodes, guint, 0));
}

static void
ask_name (AppCanvas *self, guint arg)
{
  app_canvas_ask_edge_name (self);
}

static void
ask_quantity (AppCanvas *self, guint arg)
{
  const ModelPanel *panel = app_canvas_chosen_panel (self);
  if (panel == NULL)
    return;
  g_autofree char *text = g_strdup_printf ("%d", panel->quantity);
  double x, y;
  app_canvas_menu_place (self, &x, &y);
  app_text_entry_open (self, x, y, _ ("Quantity"), text, quantity_taken, NULL);
}

static void
ask_angle (AppCanvas *self, guint grain)
{
  if (app_canvas_chosen_panel (self) == NULL)
    return;
  double x, y;
  app_canvas_menu_place (self, &x, &y);
  app_angle_entry_open (self, x, y, grain ? _ ("Grain direction in degrees") : _ ("Turn by degrees"),
                        grain ? grain_taken : turn_taken, NULL);
}

static void
set_node_kind (AppCanvas *self, guint kind)
{
  app_canvas_set_node_kind (self, (ModelNodeKind)kind);
}

static void
show_photos (AppCanvas *self, guint arg)
{
  app_canvas_show_photos (self);
}

void
app_canvas_edit_init (AppCanvas *self)
{
  static const AppCanvasAction rows[] = {
    { "length", ask_length, 0 },
    { "place", ask_place, 0 },
    { "name", ask_name, 0 },
    { "fold", toggle_fold, 0 },
    { "allowance", ask_allowance, 0 },
    { "allowance-auto", toggle_edge, false },
    { "edge-lock", toggle_edge, true },
    { "insert-node", insert_at_press, false },
    { "insert-corner", insert_at_press, true },
    { "straight", set_straight, true },
    { "curved", set_straight, false },
    { "smooth", set_node_kind, MODEL_NODE_SMOOTH },
    { "corner", set_node_kind, MODEL_NODE_CORNER },
    { "even", set_node_kind, MODEL_NODE_EVEN },
    { "quantity", ask_quantity, 0 },
    { "turn", ask_angle, false },
    { "grain-angle", ask_angle, true },
    { "grain", toggle_grain, 0 },
    { "pair", toggle_pair, 0 },
    { "panel-lock", lock_or_hide, false },
    { "panel-hide", lock_or_hide, true },
    { "own-sides", toggle_own_sides, 0 },
    { "swap-sides", swap_sides, 0 },
    { "clear-corrections", clear_corrections, 0 },
    { "material", set_material, APP_CANVAS_ARGUMENT },
    { "show-all", show_all, 0 },
    { "show-photos", show_photos, 0 },
  };
  app_canvas_add_actions (self, "edit", rows, G_N_ELEMENTS (rows));
}
