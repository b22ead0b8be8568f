/* Darts, slashes' kin and ends that do not meet, from the menu: every deed that the Dart and Cut apart tools
 * do by hand, for the keyboard, and those that need only a figure. */
#include "app/number-entry.h"
#include "app/relief.h"

#include "model/rework-meet.h"

#include <glib/gi18n.h>

#define HALF 0.5

/* ---- who is meant ---- */

bool
app_dart_chosen (AppCanvas *self, guint *panel_id, guint *leg)
{
  const AppSelection *s = app_canvas_selection (self);
  guint legs[2], edge_id = 0;
  if (s == NULL || s->panels->len != 1)
    return false;
  const ModelDocument *doc = app_canvas_document (self);
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

static void
say_outcome (AppCanvas *self, bool done, GError *error, const char *words)
{
  app_canvas_tell (self, done ? words : error != NULL ? error->message : NULL);
}

static void
question_place (AppCanvas *self, GeomPoint at, double *x, double *y)
{
  app_canvas_to_widget (self, at, x, y);
  *x = CLAMP (*x, 20.0, MAX (gtk_widget_get_width (GTK_WIDGET (self)) - 20.0, 20.0));
  *y = CLAMP (*y, 20.0, MAX (gtk_widget_get_height (GTK_WIDGET (self)) - 40.0, 20.0));
}

/* ---- figures of a dart ---- */

bool
app_dart_set (AppCanvas *self, guint panel_id, guint leg, double mm, double deg, double bulge_mm)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), panel_id);
  ModelReworkDart dart;
  g_autoptr (GError) error = NULL;
  if (panel == NULL || !model_rework_read_dart (panel, leg, &dart))
    return false;
  if (mm > 0.0 || deg > 0.0)
  {
    dart.intake_mm = deg > 0.0 ? 0.0 : mm;
    dart.intake_deg = deg;
  }
  if (isfinite (bulge_mm))
    dart.bulge_mm = bulge_mm;
  bool done = model_rework_set_dart (app_canvas_history (self), panel_id, leg, dart, &error);
  say_outcome (self, done, error, _ ("The dart is changed."));
  return done;
}

static bool
intake_taken (AppCanvas *self, const char *text, gpointer user)
{
  guint panel_id, leg;
  double mm, deg;
  if (!app_dart_chosen (self, &panel_id, &leg))
    return true;
  return app_parse_opening (text, self->unit, &mm, &deg) && mm >= 0.0 && deg >= 0.0 && mm + deg > 0.0
         && app_dart_set (self, panel_id, leg, mm, deg, NAN);
}

static bool
bulge_taken (AppCanvas *self, double mm, gpointer user)
{
  guint panel_id, leg;
  return !app_dart_chosen (self, &panel_id, &leg) || app_dart_set (self, panel_id, leg, 0.0, 0.0, mm);
}

static void
ask_dart (AppCanvas *self, guint panel_id, guint leg, bool bulge)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), panel_id);
  ModelReworkDart dart;
  double x, y;
  if (!model_rework_read_dart (panel, leg, &dart))
    return;
  GeomAffine map = app_spot_map (self, panel_id,
                                 panel->halves != MODEL_HALVES_SINGLE && panel->own_sides
                                   && app_canvas_selection (self)->side == model_side_other (panel->side));
  question_place (self, geom_affine_apply (map, dart.apex), &x, &y);
  g_autofree char *text = app_canvas_length (self, bulge ? dart.bulge_mm : dart.intake_mm);
  if (bulge)
    app_number_entry_open (self, x, y, _ ("Legs bend by"), text, true, self->unit, bulge_taken, NULL);
  else
    app_text_entry_open (self, x, y, _ ("Take in"), text, intake_taken, NULL);
}

/* ---- moving, dividing, seams ---- */

static void
move_to (AppCanvas *self, guint panel_id, guint leg, guint edge_id, double part)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), panel_id);
  ModelSide side = app_canvas_selection (self)->side;
  GeomPath path = { 0 };
  ModelReworkMade made = { 0 };
  g_autoptr (GError) error = NULL;
  if (!app_panel_side_edge (panel, false, edge_id, &path))
    return;
  GeomPlace middle = geom_path_place_at (&path, 0.5 * geom_path_length (&path, 1e-6), 1e-6);
  geom_path_clear (&path);
  ModelReworkPlace to = { edge_id, (guint)middle.piece, middle.t };
  bool done = model_rework_move_dart (app_canvas_history (self), panel_id, leg, to, part, &made, &error);
  if (done)
    app_session_select_edge (self->session, panel_id, side, made.edge_id, false);
  model_rework_made_clear (&made);
  say_outcome (self, done, error,
               part < 1.0 ? _ ("Half of the dart has moved about its apex.")
                          : _ ("The dart has moved about its apex."));
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
  say_outcome (self, done, error, _ ("Both darts are one seam now, and the panel two."));
}

/* ---- lengthening ---- */

typedef struct Level
{
  guint panel_id;
  GeomPoint at, along; /* drawn side */
} Level;

static bool
level_taken (AppCanvas *self, double mm, gpointer user)
{
  const Level *level = user;
  g_autoptr (GError) error = NULL;
  if (!(fabs (mm) > 0.0))
    return false;
  bool done = model_rework_add_along (app_canvas_history (self), level->panel_id, level->at, level->along, mm,
                                      true, &error);
  say_outcome (self, done, error, mm > 0.0 ? _ ("The panel is longer.") : _ ("The panel is shorter."));
  return done;
}

void
app_ask_level (AppCanvas *self, guint panel_id, bool twin, GeomPoint a, GeomPoint b)
{
  GeomAffine map = app_spot_map (self, panel_id, twin);
  GeomPoint along = geom_right_of (geom_unit (geom_sub (b, a))), middle = geom_mix (a, b, 0.5);
  Level *level;
  double x, y;
  /* What lies below a level line goes down, what lies beside an upright one goes to the right. */
  if (along.y > fabs (along.x) * 1e-6 || (fabs (along.y) <= fabs (along.x) * 1e-6 && along.x < 0.0))
    along = geom_scale (along, -1.0);
  if (!(geom_norm (along) > 0.0))
    return;
  level = g_new0 (Level, 1);
  *level = (Level) { panel_id, geom_affine_apply (map, middle), geom_affine_apply_vector (map, along) };
  question_place (self, middle, &x, &y);
  app_number_entry_open (self, x, y, _ ("Longer by"), "10", true, self->unit, level_taken, level);
  app_canvas_say (self, _ ("Type how much longer the panel shall be at this line; less than nothing makes it "
                           "shorter."));
}

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
  app_ask_level (self, panel->id, outline->twin, geom_point (outline->box.x0, at.y),
                 geom_point (outline->box.x1, at.y));
}

/* ---- ends that do not meet ---- */

/* "6; 10" for both sides, "6; 10; 2; 0" for the wearer's left and right. */
static bool
missing_taken (AppCanvas *self, const char *text, gpointer user)
{
  const guint *join_id = user;
  g_auto (GStrv) parts = g_strsplit (text, ";", 5);
  guint count = g_strv_length (parts);
  double mm[4];
  g_autoptr (GError) error = NULL;
  if (count != 2 && count != 4)
    return false;
  for (guint i = 0; i < 4; i++)
    if (!model_unit_parse (g_strstrip (parts[i % count]), self->unit, &mm[i], NULL))
      return false;
  bool done
    = model_rework_meet_ends (app_canvas_history (self), *join_id, (ModelReworkMissing) { mm[0], mm[1] },
                              (ModelReworkMissing) { mm[2], mm[3] }, &error);
  say_outcome (self, done, error, _ ("Both panels reach half of it further: the ends meet."));
  return done;
}

static void
ask_missing (AppCanvas *self, guint panel_id, guint edge_id)
{
  guint join_id = 0;
  g_autofree char *words = app_shape_join_words (self, panel_id, edge_id, &join_id);
  if (words == NULL || join_id == 0)
    return;
  double x = self->menu_x > 0.0 ? self->menu_x : gtk_widget_get_width (GTK_WIDGET (self)) / 2.0,
         y = self->menu_y > 0.0 ? self->menu_y : gtk_widget_get_height (GTK_WIDGET (self)) / 2.0;
  app_text_entry_open (self, x, y, _ ("Missing at each end"), "0; 0", missing_taken,
                       g_memdup2 (&join_id, sizeof join_id));
  app_canvas_say (self,
                  _ ("Begin and end of the join, such as 6; 10. For sides that differ: left and then right, "
                     "such as 6; 10; 2; 0."));
}

/* ---- the menu ---- */

static void
on_dart (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppCanvas *self = user;
  const char *what = g_action_get_name (G_ACTION (action));
  guint panel_id, leg, target = parameter != NULL ? g_variant_get_uint32 (parameter) : 0;
  g_autoptr (GError) error = NULL;
  const AppSelection *s = app_canvas_selection (self);
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
  else if (g_str_equal (what, "intake") || g_str_equal (what, "bulge"))
    ask_dart (self, panel_id, leg, g_str_equal (what, "bulge"));
  else if (g_str_equal (what, "move"))
    move_to (self, panel_id, leg, target, 1.0);
  else if (g_str_equal (what, "divide"))
    move_to (self, panel_id, leg, target, HALF);
  else if (g_str_equal (what, "seam"))
    into_seam (self, panel_id, leg, target);
  else if (g_str_equal (what, "closed"))
  {
    self->dart_closed = self->dart_closed == leg ? 0 : leg;
    app_canvas_say (self, self->dart_closed != 0
                            ? _ ("Shown closed and opened straight across instead; nothing is changed.")
                            : NULL);
    app_canvas_redraw (self);
  }
  else if (g_str_equal (what, "remove"))
  {
    bool done = model_rework_remove_dart (app_canvas_history (self), panel_id, leg, &error);
    say_outcome (self, done, error, _ ("The dart is gone; the edge runs on."));
  }
}

static char *
edge_words (const ModelPanel *panel, guint index)
{
  const ModelEdge *edge = model_panel_edge (panel, index);
  return edge->name[0] != '\0' ? g_strdup (edge->name) : g_strdup_printf (_ ("edge %d"), (int)index + 1);
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
app_dart_rows (AppCanvas *self, GMenu *menu)
{
  guint panel_id, leg, leg_2 = 0, first;
  if (!app_dart_chosen (self, &panel_id, &leg))
    return;
  const ModelDocument *doc = app_canvas_document (self);
  const ModelPanel *panel = model_document_panel (doc, panel_id);
  g_autoptr (GMenu) section = g_menu_new ();
  g_autoptr (GMenu) move = g_menu_new ();
  g_autoptr (GMenu) divide = g_menu_new ();
  g_autoptr (GMenu) seam = g_menu_new ();
  model_rework_find_dart (panel, leg, &first, &leg_2, NULL);
  for (guint e = 0; e < panel->edges->len; e++)
  {
    const ModelEdge *edge = model_panel_edge (panel, e);
    g_autofree char *words = edge_words (panel, e);
    guint other_1, other_2;
    if (edge->id == leg || edge->id == leg_2 || edge->fold || edge->locked)
      continue;
    if (model_rework_dart_is_joined (doc, panel_id, edge->id)
        && model_rework_find_dart (panel, edge->id, &other_1, &other_2, NULL))
    {
      if (other_1 == edge->id)
        add_target (seam, words, "dart.seam", edge->id);
      continue;
    }
    add_target (move, words, "dart.move", edge->id);
    add_target (divide, words, "dart.divide", edge->id);
  }
  g_menu_append (section, _ ("_Take in…"), "dart.intake");
  g_menu_append (section, _ ("Bend the l_egs…"), "dart.bulge");
  g_menu_append_submenu (section, _ ("_Move dart to"), G_MENU_MODEL (move));
  g_menu_append_submenu (section, _ ("Di_vide dart with"), G_MENU_MODEL (divide));
  if (g_menu_model_get_n_items (G_MENU_MODEL (seam)) > 0)
    g_menu_append_submenu (section, _ ("One _seam with"), G_MENU_MODEL (seam));
  g_menu_append (section, self->dart_closed == leg ? _ ("Show _open again") : _ ("Show cl_osed"),
                 "dart.closed");
  g_menu_append (section, _ ("_Remove dart"), "dart.remove");
  g_autoptr (GMenu) holder = g_menu_new ();
  g_menu_append_submenu (holder, _ ("Dar_t"), G_MENU_MODEL (section));
  g_menu_append_section (menu, NULL, G_MENU_MODEL (holder));
}

/* The outline as it would lie with the dart closed, while its leg or apex is chosen. */
void
app_dart_draw_closed (AppCanvas *self, cairo_t *cr)
{
  guint panel_id, leg;
  GeomPath path = { 0 };
  if (self->dart_closed == 0 || self->session == NULL || !app_dart_chosen (self, &panel_id, &leg)
      || leg != self->dart_closed)
    return;
  const ModelPanel *panel = model_document_panel (app_canvas_document (self), panel_id);
  if (model_rework_dart_closed (panel, leg, &path))
    app_draw_outline (self, cr, &path);
  geom_path_clear (&path);
}

void
app_dart_menu_init (AppCanvas *self)
{
  static const struct
  {
    const char *name;
    bool target;
  } rows[]
    = { { "level", false }, { "meet", false }, { "intake", false }, { "bulge", false }, { "move", true },
        { "divide", true }, { "seam", true },  { "closed", false }, { "remove", false } };
  g_autoptr (GSimpleActionGroup) group = g_simple_action_group_new ();
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_autoptr (GSimpleAction) action
      = g_simple_action_new (rows[i].name, rows[i].target ? G_VARIANT_TYPE_UINT32 : NULL);
    g_signal_connect (action, "activate", G_CALLBACK (on_dart), self);
    g_action_map_add_action (G_ACTION_MAP (group), G_ACTION (action));
  }
  gtk_widget_insert_action_group (GTK_WIDGET (self), "dart", G_ACTION_GROUP (group));
}
