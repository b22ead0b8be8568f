/* Darts, slashes' kin and ends that do not meet, from the menu: every deed that the Dart and Cut apart tools
 * do by hand, for the keyboard, and those that need only a figure. */
#include "app/ask.h"
#include "app/dart.h"
#include "app/plan.h"
#include "engine/words.h"

#include <glib/gi18n.h>

#define HALF 0.5

/* ---- who is meant ---- */

bool
app_dart_of_selection (const ModelDocument *doc, const AppSelection *s, guint *panel_id, guint *leg)
{
  guint legs[2], edge_id = 0;
  if (s == NULL || s->panels->len != 1)
    return false;
  const ModelPanel *panel = model_document_panel (doc, g_array_index (s->panels, guint, 0));
  if (panel == NULL)
    return false;
  if (s->nodes->len == 1)
  {
    /* The apex is where the second leg begins. */
    guint edge, node;
    if (model_panel_find_node (panel, g_array_index (s->nodes, guint, 0), &edge, &node) && node == 0)
      edge_id = model_panel_edge (panel, edge)->id;
    if (edge_id == 0 || !model_rework_find_dart (panel, edge_id, &legs[0], &legs[1], NULL)
        || legs[1] != edge_id)
      return false;
  }
  else if (s->edges->len > 0)
    edge_id = g_array_index (s->edges, guint, s->edges->len - 1);
  if (edge_id == 0 || !model_rework_dart_is_joined (doc, panel->id, edge_id)
      || !model_rework_find_dart (panel, edge_id, &legs[0], &legs[1], NULL))
    return false;
  *panel_id = panel->id;
  *leg = legs[0];
  return true;
}

bool
app_dart_chosen (AppCanvas *self, guint *panel_id, guint *leg)
{
  return self->session != NULL
         && app_dart_of_selection (app_canvas_document (self), app_canvas_selection (self), panel_id, leg);
}

static bool
holds_other_side (AppCanvas *self, const ModelPanel *panel)
{
  return panel->halves != MODEL_HALVES_SINGLE && panel->own_sides
         && app_canvas_selection (self)->side == model_side_other (panel->side);
}

static void
ask_dart (AppCanvas *self, guint panel_id, guint leg, AppPlanKind kind)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), panel_id);
  ModelReworkDart dart;
  if (!model_rework_read_dart (panel, leg, &dart))
    return;
  AppPlan plan = { .kind = kind,
                   .panel_id = panel_id,
                   .leg = leg,
                   .twin = holds_other_side (self, panel),
                   .mm = kind == APP_PLAN_BEND ? dart.bulge_mm : dart.intake_mm };
  app_plan_ask (self, &plan);
}

/* ---- moving, dividing, seams ---- */

static void
move_to (AppCanvas *self, guint panel_id, guint leg, guint edge_id, double part)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), panel_id);
  GeomPath path = { 0 };
  if (!app_panel_side_edge (panel, false, edge_id, &path))
    return;
  GeomPlace middle = geom_path_place_at (&path, 0.5 * geom_path_length (&path, 1e-6), 1e-6);
  geom_path_clear (&path);
  AppPlan plan = { .kind = APP_PLAN_MOVE,
                   .panel_id = panel_id,
                   .leg = leg,
                   .side = app_canvas_selection (self)->side,
                   .hinge.place = { edge_id, (guint)middle.piece, middle.t },
                   .part = part };
  app_plan_take (self, &plan);
}

static void
into_seam (AppCanvas *self, guint panel_id, guint leg, guint other)
{
  ModelReworkMade made = { 0 };
  g_autoptr (GError) error = NULL;
  bool done = model_rework_darts_to_seam (app_canvas_history (self), panel_id, leg, other, &made, &error);
  if (done)
    app_session_select_join (self->session, made.join_id);
  model_rework_made_clear (&made);
  app_canvas_tell (self, done            ? _ ("Both darts are one seam now, and the panel two.")
                         : error != NULL ? error->message
                                         : NULL);
}

static void
remove_dart (AppCanvas *self, guint panel_id, guint leg)
{
  g_autoptr (GError) error = NULL;
  bool done = model_rework_remove_dart (app_canvas_history (self), panel_id, leg, &error);
  app_canvas_tell (self, done            ? _ ("The dart is gone; the edge runs on.")
                         : error != NULL ? error->message
                                         : NULL);
}

/* ---- lengthening, ends that do not meet ---- */

static void
ask_level_here (AppCanvas *self, const ModelPanel *panel)
{
  ModelSide side = app_canvas_selection (self)->side;
  const AppOutline *outline = app_pick_index_outline (self->index, panel->id, side);
  if (outline == NULL)
    outline = app_pick_index_outline (self->index, panel->id, MODEL_SIDE_CENTRE);
  if (outline == NULL)
    return;
  GeomPoint at = app_canvas_to_paper (self, self->menu_x, self->menu_y);
  if (self->menu_pick.kind == APP_PICK_NONE || at.y <= outline->box.y0 || at.y >= outline->box.y1)
    at.y = 0.5 * (outline->box.y0 + outline->box.y1);
  AppPlan plan = { .kind = APP_PLAN_LEVEL,
                   .panel_id = panel->id,
                   .side = side,
                   .twin = outline->twin,
                   .a = geom_point (outline->box.x0, at.y),
                   .b = geom_point (outline->box.x1, at.y),
                   .mm = APP_FIRST_LONGER_MM };
  app_plan_ask (self, &plan);
}

static void
ask_missing (AppCanvas *self, guint panel_id, guint edge_id)
{
  AppPlan plan = { .kind = APP_PLAN_MEET, .panel_id = panel_id };
  g_autofree char *words = app_shape_join_words (self, panel_id, edge_id, &plan.join_id);
  if (words != NULL && plan.join_id != 0)
    app_plan_ask (self, &plan);
}

/* ---- the menu ---- */

static void
on_dart (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppCanvas *self = user;
  const char *what = g_action_get_name (G_ACTION (action));
  guint panel_id, leg, target = parameter != NULL ? g_variant_get_uint32 (parameter) : 0;
  const AppSelection *s = self->session != NULL ? app_canvas_selection (self) : NULL;
  if (s == NULL || s->panels->len == 0)
    return;
  const ModelPanel *panel
    = model_document_panel (app_canvas_document (self), g_array_index (s->panels, guint, 0));
  if (panel == NULL)
    return;
  if (g_str_equal (what, "level"))
    ask_level_here (self, panel);
  else if (g_str_equal (what, "meet") && s->edges->len > 0)
    ask_missing (self, panel->id, g_array_index (s->edges, guint, s->edges->len - 1));
  else if (!app_dart_chosen (self, &panel_id, &leg))
    app_canvas_say (self, _ ("Choose a leg of a dart first."));
  else if (g_str_equal (what, "intake"))
    ask_dart (self, panel_id, leg, APP_PLAN_INTAKE);
  else if (g_str_equal (what, "bulge"))
    ask_dart (self, panel_id, leg, APP_PLAN_BEND);
  else if (g_str_equal (what, "move"))
    move_to (self, panel_id, leg, target, 1.0);
  else if (g_str_equal (what, "divide"))
    move_to (self, panel_id, leg, target, HALF);
  else if (g_str_equal (what, "seam"))
    into_seam (self, panel_id, leg, target);
  else if (g_str_equal (what, "remove"))
    remove_dart (self, panel_id, leg);
}

char *
app_dart_words (const ModelPanel *panel, guint leg)
{
  guint legs[2], count = panel->edges->len;
  if (!model_rework_find_dart (panel, leg, &legs[0], &legs[1], NULL))
    return NULL;
  guint first = (guint)model_panel_find_edge (panel, legs[0]), before = (first + count - 1) % count,
        after = (first + 2) % count;
  g_autofree char *a = engine_words_edge (panel, before), *b = engine_words_edge (panel, after);
  return before == after || g_str_equal (a, b) ? g_steal_pointer (&a)
                                               /* Translators: two edges: "hem and side". */
                                               : g_strdup_printf (_ ("%s and %s"), a, b);
}

/* Its name, with its length where another edge has the same. */
static char *
target_words (const ModelDocument *doc, const ModelPanel *panel, guint index)
{
  g_autofree char *name = engine_words_edge (panel, index);
  for (guint e = 0; e < panel->edges->len; e++)
    if (e != index && g_str_equal (model_panel_edge (panel, e)->name, name))
    {
      GeomPath path = { 0 };
      double mm = app_panel_side_edge (panel, false, model_panel_edge (panel, index)->id, &path)
                    ? geom_path_length (&path, 1e-3)
                    : 0.0;
      geom_path_clear (&path);
      g_autofree char *length = engine_words_length (doc, mm);
      /* Translators: an edge and how long it is, where two have the same name. */
      return g_strdup_printf (_ ("%s, %s long"), name, length);
    }
  return g_steal_pointer (&name);
}

static void
change_closed (GSimpleAction *action, GVariant *value, gpointer user)
{
  AppCanvas *self = user;
  g_simple_action_set_state (action, value);
  self->dart_closed = g_variant_get_boolean (value);
  app_canvas_say (self, self->dart_closed
                          ? _ ("Shown closed and opened straight across instead; nothing is changed.")
                          : NULL);
  app_canvas_redraw (self);
}

static void
add_target (GMenu *menu, const char *label, const char *action, guint id)
{
  /* A name may have an underline: doubled, it is none of the menu's. */
  g_auto (GStrv) parts = g_strsplit (label, "_", -1);
  g_autofree char *plain = g_strjoinv ("__", parts);
  GMenuItem *item = g_menu_item_new (plain, NULL);
  g_menu_item_set_action_and_target (item, action, "u", id);
  g_menu_append_item (menu, item);
  g_object_unref (item);
}

void
app_dart_targets (
  const ModelDocument *doc, guint panel_id, guint leg, GMenu *move, GMenu *divide, GMenu *seam)
{
  const ModelPanel *panel = model_document_panel (doc, panel_id);
  guint leg_1, leg_2;
  if (panel == NULL || !model_rework_find_dart (panel, leg, &leg_1, &leg_2, NULL))
    return;
  for (guint e = 0; e < panel->edges->len; e++)
  {
    const ModelEdge *edge = model_panel_edge (panel, e);
    g_autofree char *words = target_words (doc, panel, e);
    guint other_1, other_2;
    if (edge->id == leg_1 || edge->id == leg_2 || edge->fold || edge->locked)
      continue;
    if (model_rework_dart_is_joined (doc, panel_id, edge->id)
        && model_rework_find_dart (panel, edge->id, &other_1, &other_2, NULL))
    {
      g_autofree char *stands = other_1 == edge->id ? app_dart_words (panel, edge->id) : NULL;
      if (stands != NULL)
        add_target (seam, stands, "dart.seam", edge->id);
      continue;
    }
    add_target (move, words, "dart.move", edge->id);
    add_target (divide, words, "dart.divide", edge->id);
  }
}

void
app_dart_rows (AppCanvas *self, GMenu *menu)
{
  guint panel_id, leg;
  if (!app_dart_chosen (self, &panel_id, &leg))
    return;
  g_autoptr (GMenu) section = g_menu_new ();
  g_autoptr (GMenu) move = g_menu_new ();
  g_autoptr (GMenu) divide = g_menu_new ();
  g_autoptr (GMenu) seam = g_menu_new ();
  app_dart_targets (app_canvas_document (self), panel_id, leg, move, divide, seam);
  g_menu_append (section, _ ("_Take in…"), "dart.intake");
  g_menu_append (section, _ ("Bend the l_egs…"), "dart.bulge");
  g_menu_append_submenu (section, _ ("_Move dart to"), G_MENU_MODEL (move));
  g_menu_append_submenu (section, _ ("Di_vide dart with"), G_MENU_MODEL (divide));
  if (g_menu_model_get_n_items (G_MENU_MODEL (seam)) > 0)
    g_menu_append_submenu (section, _ ("One _seam with"), G_MENU_MODEL (seam));
  g_menu_append (section, _ ("Show cl_osed"), "dart.closed");
  g_menu_append (section, _ ("_Remove dart"), "dart.remove");
  g_autoptr (GMenu) holder = g_menu_new ();
  g_menu_append_submenu (holder, _ ("Dar_t"), G_MENU_MODEL (section));
  g_menu_append_section (menu, NULL, G_MENU_MODEL (holder));
}

/* The outline as it would lie with the dart closed, while its leg or apex is chosen. */
static void
draw_closed (AppCanvas *self, cairo_t *cr)
{
  guint panel_id, leg;
  GeomPath path = { 0 };
  if (!self->dart_closed || app_ask_is_open (self) || !app_dart_chosen (self, &panel_id, &leg))
    return;
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), panel_id);
  if (model_rework_dart_closed (panel, leg, &path))
  {
    if (holds_other_side (self, panel))
      geom_path_map (&path, model_panel_mirror (panel));
    app_draw_outline (self, cr, &path);
  }
  geom_path_clear (&path);
}

void
app_relief_draw (AppCanvas *self, cairo_t *cr)
{
  draw_closed (self, cr);
  app_ask_draw (self, cr);
}

void
app_dart_menu_init (AppCanvas *self)
{
  static const struct
  {
    const char *name;
    bool target;
  } rows[] = { { "level", false }, { "meet", false },  { "intake", false }, { "bulge", false },
               { "move", true },   { "divide", true }, { "seam", true },    { "remove", false } };
  g_autoptr (GSimpleActionGroup) group = g_simple_action_group_new ();
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_autoptr (GSimpleAction) action
      = g_simple_action_new (rows[i].name, rows[i].target ? G_VARIANT_TYPE_UINT32 : NULL);
    g_signal_connect (action, "activate", G_CALLBACK (on_dart), self);
    g_action_map_add_action (G_ACTION_MAP (group), G_ACTION (action));
  }
  g_autoptr (GSimpleAction) closed
    = g_simple_action_new_stateful ("closed", NULL, g_variant_new_boolean (FALSE));
  g_signal_connect (closed, "change-state", G_CALLBACK (change_closed), self);
  g_action_map_add_action (G_ACTION_MAP (group), G_ACTION (closed));
  gtk_widget_insert_action_group (GTK_WIDGET (self), "dart", G_ACTION_GROUP (group));
  g_object_set_data_full (G_OBJECT (self), "dart-actions", g_object_ref (group), g_object_unref);
}

void
app_dart_actions_share (AppCanvas *self, GtkWidget *with)
{
  gtk_widget_insert_action_group (with, "dart", g_object_get_data (G_OBJECT (self), "dart-actions"));
}
