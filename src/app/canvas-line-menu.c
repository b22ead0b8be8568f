/* What the menu offers for lines, and the small questions its rows ask. */
#include "app/canvas-private.h"

#include "app/number-entry.h"
#include "engine/words.h"

#include <glib/gi18n.h>

static void
put_line (AppCanvas *self, ModelLine *line, const char *label)
{
  model_history_begin (app_canvas_history (self), label);
  model_history_put_line (app_canvas_history (self), line);
  model_history_end (app_canvas_history (self));
}

static ModelLine *
copy_chosen (AppCanvas *self)
{
  const ModelLine *line = app_canvas_chosen_line (self);
  return line != NULL ? model_line_copy (line) : NULL;
}

/* ---- answers ---- */

static bool
new_place_taken (AppCanvas *self, double mm, gpointer user)
{
  bool upright = *(const bool *)user;
  app_canvas_add_line (self, MODEL_LINE_GUIDE, "", geom_point (upright ? mm : 0.0, upright ? 0.0 : mm),
                       upright ? 90.0 : 0.0);
  return true;
}

/* "Bust; 320": a name and a height. */
static bool
level_taken (AppCanvas *self, const char *text, gpointer user)
{
  g_auto (GStrv) parts = g_strsplit (text, ";", 2);
  double mm;
  if (g_strv_length (parts) != 2 || !model_unit_parse (g_strstrip (parts[1]), self->unit, &mm, NULL))
    return false;
  app_canvas_add_line (self, MODEL_LINE_LEVEL, g_strstrip (parts[0]), geom_point (0.0, mm), 0.0);
  return true;
}

static bool
moved (AppCanvas *self, ModelLine *line)
{
  put_line (self, line, line->kind == MODEL_LINE_LEVEL ? _ ("Move level line") : _ ("Move guide"));
  return true;
}

static bool
across_taken (AppCanvas *self, double mm, gpointer user)
{
  ModelLine *line = copy_chosen (self);
  if (line == NULL)
    return true;
  line->at.x = mm;
  return moved (self, line);
}

static bool
up_taken (AppCanvas *self, double mm, gpointer user)
{
  ModelLine *line = copy_chosen (self);
  if (line == NULL)
    return true;
  line->at.y = mm;
  return moved (self, line);
}

static bool
point_taken (AppCanvas *self, const char *text, gpointer user)
{
  g_auto (GStrv) parts = g_strsplit (text, ";", 2);
  GeomPoint to;
  if (g_strv_length (parts) != 2 || !model_unit_parse (g_strstrip (parts[0]), self->unit, &to.x, NULL)
      || !model_unit_parse (g_strstrip (parts[1]), self->unit, &to.y, NULL))
    return false;
  ModelLine *line = copy_chosen (self);
  if (line == NULL)
    return true;
  line->at = to;
  return moved (self, line);
}

static bool
direction_taken (AppCanvas *self, double degrees, gpointer user)
{
  ModelLine *line = copy_chosen (self);
  if (line == NULL)
    return true;
  line->direction_deg = degrees;
  put_line (self, line, _ ("Turn guide"));
  return true;
}

static bool
name_taken (AppCanvas *self, const char *text, gpointer user)
{
  ModelLine *line = copy_chosen (self);
  if (line == NULL)
    return true;
  g_free (line->name);
  line->name = g_strstrip (g_strdup (text));
  put_line (self, line, _ ("Name line"));
  return true;
}

/* What is worn underneath is known by its thickness: round the body it adds 2 pi times that. */
static bool
between_taken (AppCanvas *self, double mm, gpointer user)
{
  ModelLine *line = copy_chosen (self);
  bool round = GPOINTER_TO_INT (((gpointer *)user)[0]) != 0;
  if (line == NULL || mm < 0.0)
  {
    g_clear_pointer (&line, model_line_free);
    return mm >= 0.0;
  }
  line->between_mm = round ? 2.0 * G_PI * mm : mm;
  put_line (self, line, _ ("Change what is worn underneath"));
  return true;
}

static bool
tolerance_taken (AppCanvas *self, double mm, gpointer user)
{
  ModelLine *line = copy_chosen (self);
  if (line == NULL || mm < 0.0)
  {
    g_clear_pointer (&line, model_line_free);
    return mm >= 0.0;
  }
  line->has_tolerance = true;
  line->tolerance_mm = mm;
  put_line (self, line, _ ("Change tolerance"));
  return true;
}

/* ---- questions ---- */

void
app_canvas_ask_line_place (AppCanvas *self)
{
  const ModelLine *line = app_canvas_chosen_line (self);
  if (line == NULL || (line->kind != MODEL_LINE_GUIDE && line->kind != MODEL_LINE_LEVEL))
    return;
  double x, y;
  app_canvas_menu_place (self, &x, &y);
  GeomPoint way = app_line_direction (line);
  g_autofree char *across = app_canvas_figure (self, line->at.x), *up = app_canvas_figure (self, line->at.y);
  if (fabs (way.y) <= 0.0)
    app_number_entry_open (self, x, y, _ ("Up"), up, true, self->unit, up_taken, NULL);
  else if (fabs (way.x) <= 0.0)
    app_number_entry_open (self, x, y, _ ("Across"), across, true, self->unit, across_taken, NULL);
  else
  {
    g_autofree char *text = g_strdup_printf ("%s; %s", across, up);
    app_text_entry_open (self, x, y, _ ("Across; up"), text, point_taken, NULL);
  }
}

void
app_canvas_ask_line_name (AppCanvas *self)
{
  const ModelLine *line = app_canvas_chosen_line (self);
  if (line == NULL)
    return;
  double x, y;
  app_canvas_menu_place (self, &x, &y);
  app_text_entry_open (self, x, y, _ ("Name of the line"), line->name, name_taken, NULL);
}

static void
ask_guide (AppCanvas *self, guint upright)
{
  double x, y;
  app_canvas_menu_place (self, &x, &y);
  GeomPoint at = app_canvas_to_paper (self, x, y);
  g_autofree char *text = app_canvas_figure (self, upright ? at.x : at.y);
  bool *wish = g_new0 (bool, 1);
  *wish = upright;
  app_number_entry_open (self, x, y, upright ? _ ("Across") : _ ("Up"), text, true, self->unit,
                         new_place_taken, wish);
}

static void
ask_level (AppCanvas *self, guint arg)
{
  double x, y;
  app_canvas_menu_place (self, &x, &y);
  g_autofree char *up = app_canvas_figure (self, app_canvas_to_paper (self, x, y).y);
  /* Translators: the name a new level line begins with. */
  g_autofree char *text = g_strdup_printf ("%s; %s", _ ("Waist"), up);
  app_text_entry_open (self, x, y, _ ("Name; height"), text, level_taken, NULL);
}

static void
ask_between (AppCanvas *self, guint arg)
{
  const ModelLine *line = app_canvas_chosen_line (self);
  if (line == NULL)
    return;
  double x, y;
  app_canvas_menu_place (self, &x, &y);
  bool round = line->kind == MODEL_LINE_GIRTH;
  g_autofree char *text
    = app_canvas_figure (self, round ? line->between_mm / (2.0 * G_PI) : line->between_mm);
  gpointer *user = g_new0 (gpointer, 1);
  user[0] = GINT_TO_POINTER (round);
  app_number_entry_open (
    self, x, y, round ? _ ("Thickness of what is worn underneath") : _ ("More for what is worn underneath"),
    text, true, self->unit, between_taken, user);
}

static void
ask_tolerance (AppCanvas *self, guint arg)
{
  const ModelLine *line = app_canvas_chosen_line (self);
  if (line == NULL)
    return;
  double x, y;
  app_canvas_menu_place (self, &x, &y);
  const EngineLineReading *reading = engine_review_line (app_session_review (self->session), line->id);
  g_autofree char *text
    = app_canvas_figure (self, line->has_tolerance                       ? line->tolerance_mm
                               : reading != NULL && reading->has_measure ? reading->tolerance_mm
                                                                         : 0.0);
  app_number_entry_open (self, x, y, _ ("How far it may be off"), text, true, self->unit, tolerance_taken,
                         NULL);
}

/* ---- rows ---- */

static void
toggle_lock (AppCanvas *self, guint arg)
{
  ModelLine *line = copy_chosen (self);
  if (line == NULL)
    return;
  line->locked = !line->locked;
  put_line (self, line, line->locked ? _ ("Lock line") : _ ("Unlock line"));
}

static void
hide (AppCanvas *self, guint arg)
{
  ModelLine *line = copy_chosen (self);
  if (line == NULL)
    return;
  line->hidden = true;
  put_line (self, line, _ ("Hide line"));
  app_session_select_none (self->session);
}

static void
toggle_one_side (AppCanvas *self, guint arg)
{
  ModelLine *line = copy_chosen (self);
  if (line == NULL)
    return;
  line->one_side = !line->one_side;
  put_line (self, line, line->one_side ? _ ("Count the drawn side alone") : _ ("Count both sides"));
}

static void
set_measure (AppCanvas *self, guint measure_id)
{
  ModelLine *line = copy_chosen (self);
  if (line == NULL)
    return;
  line->measure_id = measure_id;
  put_line (self, line, _ ("Choose the measure of a line"));
}

static void
remove_line (AppCanvas *self, guint arg)
{
  const ModelLine *line = app_canvas_chosen_line (self);
  if (line != NULL)
    app_canvas_remove_line (self, line->id);
}

static void
show_lines (AppCanvas *self, guint arg)
{
  const ModelDocument *doc = app_canvas_document (self);
  model_history_begin (app_canvas_history (self), _ ("Show all lines"));
  for (guint i = 0; i < doc->lines->len; i++)
  {
    const ModelLine *was = (const ModelLine *)g_ptr_array_index (doc->lines, i);
    if (!was->hidden)
      continue;
    ModelLine *line = model_line_copy (was);
    line->hidden = false;
    model_history_put_line (app_canvas_history (self), line);
  }
  model_history_end (app_canvas_history (self));
}

static void
draw_kind (AppCanvas *self, guint kind)
{
  app_session_select_none (self->session);
  self->line_kind = (ModelLineKind)kind;
  app_canvas_set_tool (self, APP_TOOL_CHOOSE);
  app_canvas_set_tool (self, APP_TOOL_GIRTH);
}

static void
draw_more (AppCanvas *self, guint arg)
{
  const ModelLine *line = app_canvas_chosen_line (self);
  if (line == NULL)
    return;
  self->line_kind = line->kind;
  app_canvas_set_tool (self, APP_TOOL_GIRTH);
}

static void
ask_place (AppCanvas *self, guint arg)
{
  app_canvas_ask_line_place (self);
}

static void
ask_name (AppCanvas *self, guint arg)
{
  app_canvas_ask_line_name (self);
}

static void
ask_direction (AppCanvas *self, guint arg)
{
  if (app_canvas_chosen_line (self) == NULL)
    return;
  double x, y;
  app_canvas_menu_place (self, &x, &y);
  app_angle_entry_open (self, x, y, _ ("Direction in degrees"), direction_taken, NULL);
}

/* ---- the menu ---- */

static void
measure_rows (AppCanvas *self, GMenu *section)
{
  const ModelDocument *doc = app_canvas_document (self);
  g_autoptr (GMenu) measures = g_menu_new ();
  for (guint i = 0; i < doc->measures->len; i++)
  {
    const ModelMeasure *measure = (const ModelMeasure *)g_ptr_array_index (doc->measures, i);
    if (!measure->has_wearer)
      continue;
    g_autofree char *name = engine_words_measure (measure);
    g_autoptr (GMenuItem) item = g_menu_item_new (name, NULL);
    g_menu_item_set_action_and_target (item, "line.measure", "u", measure->id);
    g_menu_append_item (measures, item);
  }
  if (g_menu_model_get_n_items (G_MENU_MODEL (measures)) > 0)
    g_menu_append_submenu (section, _ ("Its _measure"), G_MENU_MODEL (measures));
}

void
app_canvas_line_rows (AppCanvas *self, GMenu *menu, const ModelLine *line)
{
  bool on_paper = line->kind == MODEL_LINE_GUIDE || line->kind == MODEL_LINE_LEVEL;
  GMenu *section = g_menu_new ();
  g_menu_append (section, _ ("_Name…"), "line.name");
  if (on_paper)
  {
    g_menu_append (section, _ ("_Place…"), "line.place");
    if (line->kind == MODEL_LINE_GUIDE)
      g_menu_append (section, _ ("_Direction…"), "line.turn");
  }
  else
  {
    measure_rows (self, section);
    g_menu_append (section, _ ("Worn _underneath…"), "line.between");
    g_menu_append (section, _ ("_Tolerance…"), "line.tolerance");
    g_menu_append (section, line->one_side ? _ ("Count _both sides") : _ ("Count the drawn side _alone"),
                   "line.one-side");
    g_menu_append (section, _ ("_Go on across panels"), "line.more");
  }
  app_menu_add_section (menu, section);
  section = g_menu_new ();
  g_menu_append (section, line->locked ? _ ("Un_lock line") : _ ("_Lock line"), "line.lock");
  g_menu_append (section, _ ("_Hide line"), "line.hide");
  g_menu_append (section, _ ("_Remove"), "line.remove");
  app_menu_add_section (menu, section);
}

void
app_canvas_new_line_rows (AppCanvas *self, GMenu *menu)
{
  const ModelDocument *doc = app_canvas_document (self);
  g_autoptr (GMenu) lines = g_menu_new ();
  g_menu_append (lines, _ ("Guide, _upright…"), "line.add-upright");
  g_menu_append (lines, _ ("Guide, l_evel…"), "line.add-flat");
  g_menu_append (lines, _ ("Level line with a _name…"), "line.add-level");
  g_menu_append (lines, _ ("_Girth line across panels"), "line.draw-girth");
  g_menu_append (lines, _ ("_Reach limit across panels"), "line.draw-reach");
  g_menu_append (lines, _ ("Neck _opening along edges"), "line.draw-neck");
  for (guint i = 0; i < doc->lines->len; i++)
    if (((const ModelLine *)g_ptr_array_index (doc->lines, i))->hidden)
    {
      g_menu_append (lines, _ ("_Show all lines"), "line.show-all");
      break;
    }
  GMenu *section = g_menu_new ();
  g_menu_append_submenu (section, _ ("_Lines"), G_MENU_MODEL (lines));
  app_menu_add_section (menu, section);
}

void
app_canvas_lines_init (AppCanvas *self)
{
  static const AppCanvasAction rows[] = {
    { "add-upright", ask_guide, true },
    { "add-flat", ask_guide, false },
    { "add-level", ask_level, 0 },
    { "draw-girth", draw_kind, MODEL_LINE_GIRTH },
    { "draw-reach", draw_kind, MODEL_LINE_REACH },
    { "draw-neck", draw_kind, MODEL_LINE_NECK },
    { "show-all", show_lines, 0 },
    { "place", ask_place, 0 },
    { "name", ask_name, 0 },
    { "turn", ask_direction, 0 },
    { "between", ask_between, 0 },
    { "tolerance", ask_tolerance, 0 },
    { "more", draw_more, 0 },
    { "remove", remove_line, 0 },
    { "lock", toggle_lock, 0 },
    { "hide", hide, 0 },
    { "one-side", toggle_one_side, 0 },
    { "measure", set_measure, APP_CANVAS_ARGUMENT },
  };
  app_canvas_add_actions (self, "line", rows, G_N_ELEMENTS (rows));
}
