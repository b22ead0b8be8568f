/* The menu at the pointer: what is under it decides which rows there are. */
#include "app/canvas-private.h"

#include "app/number-entry.h"
#include "app/relief.h"
#include "app/starter-add.h"
#include "engine/words.h"

#include <glib/gi18n.h>

/* ---- rows and their actions ---- */

void
app_menu_add_section (GMenu *menu, GMenu *section)
{
  if (g_menu_model_get_n_items (G_MENU_MODEL (section)) > 0)
    g_menu_append_section (menu, NULL, G_MENU_MODEL (section));
  g_object_unref (section);
}

static void
on_action (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  const AppCanvasAction *row = user;
  AppCanvas *self = g_object_get_data (G_OBJECT (action), "canvas");
  if (self->session != NULL)
    row->run (self, parameter != NULL ? g_variant_get_uint32 (parameter) : row->arg);
}

void
app_canvas_add_actions (AppCanvas *self, const char *group, const AppCanvasAction *rows, guint count)
{
  g_autoptr (GSimpleActionGroup) actions = g_simple_action_group_new ();
  for (guint i = 0; i < count; i++)
  {
    g_autoptr (GSimpleAction) action
      = g_simple_action_new (rows[i].name, rows[i].arg == APP_CANVAS_ARGUMENT ? G_VARIANT_TYPE_UINT32 : NULL);
    g_object_set_data (G_OBJECT (action), "canvas", self);
    g_signal_connect (action, "activate", G_CALLBACK (on_action), (gpointer)&rows[i]);
    g_action_map_add_action (G_ACTION_MAP (actions), G_ACTION (action));
  }
  gtk_widget_insert_action_group (GTK_WIDGET (self), group, G_ACTION_GROUP (actions));
}

void
app_canvas_entry_place (AppCanvas *self, GeomPoint at, double *x, double *y)
{
  app_canvas_to_widget (self, at, x, y);
  *x = CLAMP (*x, 20.0, MAX (gtk_widget_get_width (GTK_WIDGET (self)) - 20.0, 20.0));
  *y = CLAMP (*y, 20.0, MAX (gtk_widget_get_height (GTK_WIDGET (self)) - 40.0, 20.0));
}

void
app_canvas_menu_place (AppCanvas *self, double *x, double *y)
{
  double width = gtk_widget_get_width (GTK_WIDGET (self)), height = gtk_widget_get_height (GTK_WIDGET (self));
  *x = self->menu_x > 0.0 ? self->menu_x : width / 2.0;
  *y = self->menu_y > 0.0 ? self->menu_y : height / 2.0;
  *x = CLAMP (*x, 20.0, MAX (width - 20.0, 20.0));
  *y = CLAMP (*y, 20.0, MAX (height - 40.0, 20.0));
}

/* ---- what there is for what was chosen ---- */

static void
add_row (GMenu *menu, const char *label, const char *action)
{
  g_menu_append (menu, label, action);
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
  app_menu_add_section (menu, section);
  app_canvas_deed_rows (self, menu);
}

static void
edge_rows (AppCanvas *self, GMenu *menu, const ModelEdge *edge)
{
  GMenu *section = g_menu_new ();
  add_row (section, _ ("Edge _name…"), "edit.name");
  add_row (section, _ ("_Length…"), "edit.length");
  add_row (section, _ ("_Pin its length as a tape"), "tape.pin-edge");
  add_row (section, edge->locked ? _ ("Un_lock edge") : _ ("Lock _edge"), "edit.edge-lock");
  app_menu_add_section (menu, section);

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
  app_menu_add_section (menu, section);
  if (!edge->fold)
    app_canvas_deed_rows (self, menu);

  section = g_menu_new ();
  add_row (section, edge->fold ? _ ("Not a _fold") : _ ("Make _fold"), "edit.fold");
  add_row (section, _ ("_Allowance…"), "edit.allowance");
  add_row (section, _ ("Fit note…"), "win.fit-note");
  if (edge->has_allowance)
    add_row (section, _ ("Allowance by the _joins"), "edit.allowance-auto");
  g_autofree char *joined = app_shape_join_words (self, app_canvas_chosen_panel (self)->id, edge->id, NULL);
  if (joined != NULL)
    add_row (section, _ ("Ends _do not meet…"), "dart.meet");
  app_menu_add_section (menu, section);
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
  app_menu_add_section (menu, section);

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
  app_menu_add_section (menu, section);

  section = g_menu_new ();
  add_row (section, _ ("_Duplicate"), "canvas.duplicate");
  add_row (section, _ ("_Mirror"), "canvas.mirror");
  add_row (section, _ ("_Turn…"), "edit.turn");
  add_row (section, panel->has_grain ? _ ("Remove _grain") : _ ("Set _grain"), "edit.grain");
  if (panel->has_grain)
    add_row (section, _ ("Grain d_irection…"), "edit.grain-angle");
  add_row (section, _ ("Longer or shorter _by…"), "dart.level");
  app_menu_add_section (menu, section);

  section = g_menu_new ();
  g_autoptr (GMenuModel) arrange = app_canvas_arrange_menu ();
  g_menu_append_submenu (section, _ ("A_rrange"), arrange);
  app_menu_add_section (menu, section);

  section = g_menu_new ();
  add_row (section, panel->locked ? _ ("Un_lock panel") : _ ("_Lock panel"), "edit.panel-lock");
  add_row (section, _ ("_Hide panel"), "edit.panel-hide");
  add_row (section, _ ("D_elete"), "canvas.delete");
  app_menu_add_section (menu, section);
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
  app_menu_add_section (menu, section);
  section = g_menu_new ();
  g_autoptr (GMenuModel) arrange = app_canvas_arrange_menu ();
  g_menu_append_submenu (section, _ ("A_rrange"), arrange);
  app_menu_add_section (menu, section);
  app_canvas_new_line_rows (self, menu);
  section = g_menu_new ();
  add_row (section, _ ("Curvature com_b"), "win.comb");
  add_row (section, _ ("_Where it domes"), "win.doming");
  add_row (section, _ ("_Fit in view"), "canvas.zoom-fit");
  add_row (section, _ ("_True size"), "canvas.zoom-true");
  app_menu_add_section (menu, section);
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
  if (by_pointer)
  {
    AppInput in = app_canvas_input (self, x, y);
    app_canvas_choose_tape_at (self, &in);
  }
  const AppSelection *s = app_canvas_selection (self);
  const ModelPanel *panel = app_canvas_chosen_panel (self);
  const ModelEdge *edge = app_canvas_chosen_edge (self);
  const ModelTape *tape = app_canvas_chosen_tape (self, NULL);
  const ModelLine *line = panel == NULL ? app_canvas_chosen_line (self) : NULL;
  g_autoptr (GMenu) menu = g_menu_new ();
  if (tape != NULL)
    app_canvas_tape_rows (self, menu, tape);
  else if (panel != NULL && s->nodes->len > 0)
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
  app_canvas_edit_init (self);
  app_dart_menu_init (self);
  app_canvas_tapes_init (self);
}
