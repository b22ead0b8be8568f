/* The exact deeds at the chosen edge or points: by the menu, by a letter while shaping, with a figure where
 * one is needed.  While the figure is typed, what would come is drawn over what is.
 */
#include "app/ask.h"

#include "app/number-entry.h"
#include "model/repair.h"
#include "model/reshape.h"

#include <glib/gi18n.h>

#define ENTRY_BELOW_PX 34.0

typedef enum Figure
{
  FIGURE_NONE,
  FIGURE_LENGTH,
  FIGURE_ANGLE,
  FIGURE_SHARE /* per cent */
} Figure;

typedef struct Deed
{
  const char *action, *row, *label, *ask; /* all but the first are words */
  guint key;
  Figure figure;
  double usual; /* stands in the entry the first time */
} Deed;

static const Deed deeds[APP_DEED_COUNT] = {
  [APP_DEED_ROUND]
  = { "round", N_ ("_Round…"), N_ ("Round corner"), N_ ("Radius"), GDK_KEY_r, FIGURE_LENGTH, 20.0 },
  [APP_DEED_CHAMFER]
  = { "chamfer", N_ ("C_hamfer…"), N_ ("Chamfer corner"), N_ ("Cut off"), GDK_KEY_h, FIGURE_LENGTH, 10.0 },
  [APP_DEED_SPLIT]
  = { "split", N_ ("Sp_lit edge here"), N_ ("Split edge"), NULL, GDK_KEY_k, FIGURE_NONE, 0.0 },
  [APP_DEED_MERGE]
  = { "merge", N_ ("_Merge both edges"), N_ ("Merge edges"), NULL, GDK_KEY_m, FIGURE_NONE, 0.0 },
  [APP_DEED_STRAIGHTEN]
  = { "straighten", N_ ("S_traighten edge"), N_ ("Straighten edge"), NULL, GDK_KEY_t, FIGURE_NONE, 0.0 },
  [APP_DEED_LEVEL] = { "level", N_ ("Make le_vel"), N_ ("Make level"), NULL, GDK_KEY_l, FIGURE_NONE, 0.0 },
  [APP_DEED_PLUMB] = { "plumb", N_ ("Ma_ke plumb"), N_ ("Make plumb"), NULL, GDK_KEY_p, FIGURE_NONE, 0.0 },
  [APP_DEED_FAIR] = { "fair", N_ ("Even o_ut the curve…"), N_ ("Even out"), N_ ("Move at most"), GDK_KEY_f,
                      FIGURE_LENGTH, 1.0 },
  [APP_DEED_MOVE_OUT] = { "move-out", N_ ("_Move edge out…"), N_ ("Move edge out"), N_ ("Outward by"),
                          GDK_KEY_o, FIGURE_LENGTH, 10.0 },
  [APP_DEED_EXTEND] = { "extend", N_ ("E_xtend its end…"), N_ ("Extend edge"), N_ ("Longer by"), GDK_KEY_x,
                        FIGURE_LENGTH, 10.0 },
  [APP_DEED_ANGLE]
  = { "angle", N_ ("An_gle…"), N_ ("Set angle"), N_ ("Angle in degrees"), GDK_KEY_a, FIGURE_ANGLE, 0.0 },
  [APP_DEED_RADIUS] = { "radius", N_ ("Make an a_rc…"), N_ ("Make an arc"), N_ ("Radius of the arc"),
                        GDK_KEY_d, FIGURE_LENGTH, 0.0 },
  [APP_DEED_TURN] = { "turn", N_ ("_Turn points…"), N_ ("Turn points"), N_ ("Turn by degrees"), GDK_KEY_w,
                      FIGURE_ANGLE, 90.0 },
  [APP_DEED_SCALE] = { "scale", N_ ("Sc_ale points…"), N_ ("Scale points"), N_ ("Scale to percent"),
                       GDK_KEY_z, FIGURE_SHARE, 100.0 },
};

/* ---- who is meant ---- */

static const ModelPanel *
chosen_panel (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  return s != NULL && s->panels->len == 1
           ? model_document_panel (app_canvas_document (self), g_array_index (s->panels, guint, 0))
           : NULL;
}

static bool
only_node_is_corner (const ModelPanel *panel, const AppSelection *s, bool *corner)
{
  guint edge, node;
  if (s->nodes->len != 1 || !model_panel_find_node (panel, g_array_index (s->nodes, guint, 0), &edge, &node))
    return false;
  *corner = node == 0;
  return true;
}

bool
app_canvas_deed_applies (AppCanvas *self, AppDeed deed)
{
  const AppSelection *s = app_canvas_selection (self);
  const ModelPanel *panel = chosen_panel (self);
  bool corner = false;
  if (panel == NULL)
    return false;
  switch (deed)
  {
  case APP_DEED_ROUND:
  case APP_DEED_CHAMFER:
    return s->nodes->len > 0;
  case APP_DEED_SPLIT:
    return only_node_is_corner (panel, s, &corner) && !corner;
  case APP_DEED_MERGE:
    return only_node_is_corner (panel, s, &corner) && corner;
  case APP_DEED_LEVEL:
  case APP_DEED_PLUMB:
  case APP_DEED_FAIR:
    return s->nodes->len > 1 || (s->nodes->len == 0 && s->edges->len == 1);
  case APP_DEED_STRAIGHTEN:
  case APP_DEED_MOVE_OUT:
    return s->nodes->len == 0 && s->edges->len > 0;
  case APP_DEED_EXTEND:
  case APP_DEED_ANGLE:
  case APP_DEED_RADIUS:
    return s->nodes->len == 0 && s->edges->len == 1;
  case APP_DEED_TURN:
  case APP_DEED_SCALE:
    return s->nodes->len > 1;
  case APP_DEED_COUNT:
    break;
  }
  return false;
}

/* ---- what is done ---- */

/* Asked once, done many times while the figure is typed. */
typedef struct Asked
{
  AppDeed deed;
  bool at_start;
} Asked;

/* The chosen nodes as a run along the outline: from the first behind the widest gap to the last before it. */
static bool
run_of_nodes (const ModelPanel *panel, const AppSelection *s, guint *from, guint *to)
{
  guint count = model_panel_node_count (panel), index = 0, first = 0, last = 0, seen = 0, widest = 0;
  g_autofree guint *ids = g_new (guint, count), *places = g_new (guint, count);
  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++, index++)
    {
      ids[index] = model_edge_node (model_panel_edge (panel, e), n)->id;
      if (app_selection_has_node (s, ids[index]))
        places[seen++] = index;
    }
  if (seen < 2)
    return false;
  for (guint i = 0; i < seen; i++)
  {
    guint next = places[(i + 1) % seen], gap = (next + count - places[i]) % count;
    if (gap > widest)
    {
      widest = gap;
      last = places[i];
      first = next;
    }
  }
  *from = ids[first];
  *to = ids[last];
  return true;
}

static bool
fair (
  AppCanvas *self, ModelPanel *panel, const AppSelection *s, double most_mm, double *moved, GError **error)
{
  guint from = 0, to = 0;
  if (s->nodes->len > 1)
    run_of_nodes (panel, s, &from, &to);
  else
  {
    int edge = model_panel_find_edge (panel, g_array_index (s->edges, guint, 0));
    if (edge >= 0)
    {
      from = model_edge_node (model_panel_edge (panel, (guint)edge), 0)->id;
      to = model_edge_node (model_panel_edge (panel, ((guint)edge + 1) % panel->edges->len), 0)->id;
    }
  }
  return model_reshape_fair (panel, s->side, from, to, most_mm, moved, error);
}

static GeomPoint
middle_of_nodes (const ModelPanel *panel, const AppSelection *s)
{
  GeomBox box = geom_box_empty ();
  GeomPoint at;
  for (guint i = 0; i < s->nodes->len; i++)
    if (model_shape_where (panel, s->side, g_array_index (s->nodes, guint, i), MODEL_HANDLE_NONE, &at))
      box = geom_box_with_point (box, at);
  return geom_point ((box.x0 + box.x1) / 2.0, (box.y0 + box.y1) / 2.0);
}

/* On PANEL, a copy.  MOVED: what fairing moved. */
static bool
perform (AppCanvas *self, ModelPanel *panel, Asked asked, double figure, double *moved, GError **error)
{
  const AppSelection *s = app_canvas_selection (self);
  ModelDocument *doc = app_canvas_document (self);
  const guint *nodes = (const guint *)s->nodes->data, *edges = (const guint *)s->edges->data;
  GeomPoint middle = middle_of_nodes (panel, s);
  bool done = true;
  switch (asked.deed)
  {
  case APP_DEED_ROUND:
    for (guint i = 0; i < s->nodes->len && done; i++)
      done = model_reshape_round_corner (panel, doc, s->side, nodes[i], figure, error);
    return done;
  case APP_DEED_CHAMFER:
    for (guint i = 0; i < s->nodes->len && done; i++)
      done = model_reshape_chamfer_corner (panel, doc, s->side, nodes[i], figure, NULL, error);
    return done;
  case APP_DEED_SPLIT:
    return model_reshape_split_edge (panel, doc, nodes[0], NULL, error);
  case APP_DEED_MERGE:
    return model_reshape_merge_edges (panel, nodes[0], error);
  case APP_DEED_STRAIGHTEN:
    for (guint i = 0; i < s->edges->len && done; i++)
      done = model_reshape_straighten_edge (panel, s->side, edges[i], error);
    return done;
  case APP_DEED_LEVEL:
  case APP_DEED_PLUMB:
    if (s->nodes->len > 1)
      return model_reshape_level_nodes (panel, s->side, nodes, s->nodes->len, asked.deed == APP_DEED_PLUMB,
                                        error);
    return model_reshape_level_edge (panel, s->side, edges[0], asked.deed == APP_DEED_PLUMB, error);
  case APP_DEED_FAIR:
    return fair (self, panel, s, figure, moved, error);
  case APP_DEED_MOVE_OUT:
    for (guint i = 0; i < s->edges->len && done; i++)
      done = model_reshape_move_edge (panel, doc, s->side, edges[i], figure, error);
    return done;
  case APP_DEED_EXTEND:
    return model_reshape_extend_edge (panel, doc, s->side, edges[0], asked.at_start, figure, error);
  case APP_DEED_ANGLE:
    return model_reshape_set_edge_angle (panel, s->side, edges[0], figure, asked.at_start, error);
  case APP_DEED_RADIUS:
    return model_reshape_set_edge_radius (panel, doc, s->side, edges[0], figure, error);
  case APP_DEED_TURN:
    return model_reshape_map_nodes (panel, s->side, nodes, s->nodes->len,
                                    geom_affine_turn (middle, figure * G_PI / 180.0), error);
  case APP_DEED_SCALE:
    return model_reshape_map_nodes (panel, s->side, nodes, s->nodes->len,
                                    geom_affine_scale (middle, figure / 100.0, figure / 100.0), error);
  case APP_DEED_COUNT:
    break;
  }
  return false;
}

/* The same on a panel that may come to nothing: then the ids it took are free again, for nobody saw them, and
 * a document that is only looked at stays what it is. */
static bool
try_out (
  AppCanvas *self, ModelPanel *panel, Asked asked, double figure, double *moved, bool keep, GError **error)
{
  ModelDocument *doc = app_canvas_document (self);
  guint next_id = doc->next_id;
  bool done = perform (self, panel, asked, figure, moved, error);
  if (!done || !keep)
    doc->next_id = next_id;
  return done;
}

static bool
carry_out (AppCanvas *self, Asked asked, double figure)
{
  const ModelPanel *was = chosen_panel (self);
  g_autoptr (GError) error = NULL;
  double moved = 0.0;
  app_session_preview (self->session, NULL);
  if (was == NULL || !app_canvas_deed_applies (self, asked.deed))
    return true;
  ModelPanel *panel = model_panel_copy (was);
  if (!try_out (self, panel, asked, figure, &moved, true, &error))
  {
    model_panel_free (panel);
    app_canvas_tell (self, asked.deed == APP_DEED_FAIR && error != NULL
                               && g_error_matches (error, MODEL_REWORK_ERROR, MODEL_REWORK_ERROR_SHAPE)
                             ? _ ("This curve is even already.")
                           : error != NULL ? error->message
                                           : NULL);
    return false;
  }
  self->deed_figure[asked.deed] = figure;
  model_history_begin (app_canvas_history (self), _ (deeds[asked.deed].label));
  model_repair_put_panel (app_canvas_history (self), panel);
  model_history_end (app_canvas_history (self));
  const AppSelection *s = app_canvas_selection (self);
  g_autofree char *words = NULL;
  if (asked.deed == APP_DEED_FAIR)
  {
    g_autofree char *most = model_unit_text (moved, self->unit, 2);
    words = g_strdup_printf (_ ("The curve is even; no point of it moved farther than %s."), most);
  }
  else if (s->panels->len == 1 && s->edges->len > 0)
    words = app_shape_join_words (self, g_array_index (s->panels, guint, 0),
                                  g_array_index (s->edges, guint, 0), NULL);
  app_canvas_tell (self, words);
  return true;
}

/* ---- the figure ---- */

static bool
read_figure (AppCanvas *self, AppDeed deed, const char *text, double *figure)
{
  return deeds[deed].figure == FIGURE_LENGTH ? model_unit_parse (text, self->unit, figure, NULL)
                                             : app_angle_parse (text, figure);
}

static char *
figure_text (AppCanvas *self, AppDeed deed, double figure)
{
  char plain[G_ASCII_DTOSTR_BUF_SIZE];
  return deeds[deed].figure == FIGURE_LENGTH
           ? app_canvas_length (self, figure)
           : g_strdup (g_ascii_formatd (plain, sizeof plain, "%.6g", figure));
}

static bool
take (AppCanvas *self, const char *text, gpointer user)
{
  const Asked *asked = user;
  double figure;
  return read_figure (self, asked->deed, text, &figure) && carry_out (self, *asked, figure);
}

static char *
step (AppCanvas *self, const char *text, double steps, gpointer user)
{
  const Asked *asked = user;
  double figure;
  return read_figure (self, asked->deed, text, &figure) ? figure_text (self, asked->deed, figure + steps)
                                                        : NULL;
}

/* What would come, over what is. */
static EngineRemedy *
ghost (AppCanvas *self, const char *text, gpointer user, char **why)
{
  const Asked *asked = user;
  const ModelPanel *was = chosen_panel (self);
  double figure, moved;
  g_autoptr (GError) error = NULL;
  ModelPanel *panel
    = was != NULL && read_figure (self, asked->deed, text, &figure) ? model_panel_copy (was) : NULL;
  if (panel == NULL)
    return NULL;
  if (!try_out (self, panel, *asked, figure, &moved, false, &error))
  {
    model_panel_free (panel);
    *why = error != NULL ? g_strdup (error->message) : NULL;
    return NULL;
  }
  EngineRemedy *remedy = engine_remedy_new (g_strdup (_ (deeds[asked->deed].label)), NULL);
  engine_remedy_add (remedy, MODEL_PART_PANEL, panel);
  return remedy;
}

static const AppAskClass asking = { .ghost = ghost, .take = take, .step = step };

/* The figure as it is now, where there is one. */
static double
present_figure (AppCanvas *self, const ModelPanel *panel, AppDeed deed)
{
  const AppSelection *s = app_canvas_selection (self);
  double figure = self->deed_figure[deed] != 0.0 ? self->deed_figure[deed] : deeds[deed].usual, mm;
  if (deed == APP_DEED_ROUND
      && model_reshape_corner_radius (panel, s->side, g_array_index (s->nodes, guint, 0), &mm))
    return mm;
  if (deed == APP_DEED_ANGLE)
    model_reshape_edge_angle (panel, s->side, g_array_index (s->edges, guint, 0), &figure);
  if (deed == APP_DEED_RADIUS && !(self->deed_figure[deed] > 0.0))
  {
    /* As wide as the edge: a gentle bend to begin with. */
    int edge = model_panel_find_edge (panel, g_array_index (s->edges, guint, 0));
    if (edge >= 0)
      figure = ceil (geom_distance (
        model_edge_node (model_panel_edge (panel, (guint)edge), 0)->at,
        model_edge_node (model_panel_edge (panel, ((guint)edge + 1) % panel->edges->len), 0)->at));
  }
  return figure;
}

/* Beside the chosen edge's middle or point, and whether the pointer is nearer to the edge's first end. */
static void
find_place (AppCanvas *self, const ModelPanel *panel, double *x, double *y, bool *near_start)
{
  const AppSelection *s = app_canvas_selection (self);
  const AppOutline *outline = app_pick_index_outline (self->index, panel->id, s->side);
  GeomPoint at = { 0 };
  GeomPath path;
  geom_path_init (&path);
  if (s->nodes->len > 0)
    at = middle_of_nodes (panel, s);
  else if (outline != NULL && s->edges->len > 0
           && app_outline_edge_path (outline, panel, g_array_index (s->edges, guint, 0), &path))
  {
    at = geom_path_point (&path, geom_path_place_at (&path, geom_path_length (&path, 1e-3) / 2.0, 1e-3));
    if (self->pointer_in && path.count > 0)
    {
      GeomPoint to = app_canvas_to_paper (self, self->pointer_x, self->pointer_y);
      *near_start
        = geom_distance (to, path.piece[0].p[0]) < geom_distance (to, path.piece[path.count - 1].p[3]);
    }
  }
  geom_path_clear (&path);
  app_canvas_to_widget (self, at, x, y);
  *x = CLAMP (*x, 20.0, MAX (gtk_widget_get_width (GTK_WIDGET (self)) - 20.0, 20.0));
  /* Clear of the place itself, where the preview is. */
  *y += ENTRY_BELOW_PX;
  *y = CLAMP (*y, 20.0, MAX (gtk_widget_get_height (GTK_WIDGET (self)) - 40.0, 20.0));
}

static void
begin (AppCanvas *self, AppDeed deed, bool other_end)
{
  const ModelPanel *panel = chosen_panel (self);
  Asked asked = { deed, false };
  double x, y;
  /* Not in the middle of a drag, which would take it into its own step. */
  if (panel == NULL || !app_canvas_deed_applies (self, deed) || self->pressed
      || model_history_is_open (app_canvas_history (self)))
    return;
  if (deeds[deed].figure == FIGURE_NONE)
  {
    carry_out (self, asked, 0.0);
    return;
  }
  find_place (self, panel, &x, &y, &asked.at_start);
  asked.at_start ^= other_end;
  /* An angle is set about the far end: the near one moves, as it does when it is dragged. */
  double figure = present_figure (self, panel, deed);
  g_autofree char *text = figure_text (self, deed, figure);
  app_ask_open (self, &asking, x, y, _ (deeds[deed].ask), text,
                _ ("Preview; nothing is changed yet. Enter takes it, Escape leaves it."),
                g_memdup2 (&asked, sizeof asked));
}

void
app_canvas_deed (AppCanvas *self, AppDeed deed)
{
  begin (self, deed, false);
}

bool
app_canvas_deed_key (AppCanvas *self, guint keyval, GdkModifierType state)
{
  guint key = gdk_keyval_to_lower (keyval);
  if ((state & (GDK_CONTROL_MASK | GDK_ALT_MASK)) != 0)
    return false;
  for (int i = 0; i < APP_DEED_COUNT; i++)
    if (deeds[i].key == key)
    {
      if (app_canvas_deed_applies (self, (AppDeed)i))
        begin (self, (AppDeed)i, (state & GDK_SHIFT_MASK) != 0);
      else
        app_canvas_tell (self, _ ("Choose an edge or points for that first."));
      return true;
    }
  return false;
}

/* ---- the menu ---- */

static void
on_deed (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  for (int i = 0; i < APP_DEED_COUNT; i++)
    if (g_str_equal (g_action_get_name (G_ACTION (action)), deeds[i].action))
      app_canvas_deed (user, (AppDeed)i);
}

void
app_canvas_deed_rows (AppCanvas *self, GMenu *menu)
{
  GMenu *section = g_menu_new ();
  for (int i = 0; i < APP_DEED_COUNT; i++)
  {
    if (!app_canvas_deed_applies (self, (AppDeed)i))
      continue;
    g_autofree char *action = g_strconcat ("deed.", deeds[i].action, NULL);
    g_autoptr (GMenuItem) item = g_menu_item_new (_ (deeds[i].row), action);
    /* The letter works while Shape is in hand; there it is shown. */
    if (self->kind == APP_TOOL_SHAPE)
    {
      g_autofree char *accel = gtk_accelerator_name (deeds[i].key, 0);
      g_menu_item_set_attribute (item, "accel", "s", accel);
    }
    g_menu_append_item (section, item);
  }
  if (g_menu_model_get_n_items (G_MENU_MODEL (section)) > 0)
    g_menu_append_section (menu, NULL, G_MENU_MODEL (section));
  g_object_unref (section);
}

void
app_canvas_deeds_init (AppCanvas *self)
{
  g_autoptr (GSimpleActionGroup) group = g_simple_action_group_new ();
  for (int i = 0; i < APP_DEED_COUNT; i++)
  {
    g_autoptr (GSimpleAction) action = g_simple_action_new (deeds[i].action, NULL);
    g_signal_connect (action, "activate", G_CALLBACK (on_deed), self);
    g_action_map_add_action (G_ACTION_MAP (group), G_ACTION (action));
  }
  gtk_widget_insert_action_group (GTK_WIDGET (self), "deed", G_ACTION_GROUP (group));
}
