/* Dart: press on an edge and pull inward to the apex, then say how much is taken in; pull on to another edge
 * and it is a slash, hinged there.  A dart that is there already is pulled by its apex or a leg to another
 * place of the outline, with Ctrl half of it.
 *
 * Nothing is changed before the figure is taken: what is shown is the deed on a copy of the document.
 */
#include "app/number-entry.h"
#include "app/relief.h"

#include <glib/gi18n.h>

#define DRAG_PX 6.0
/* Begun with, until the maker says another: a fifth of the dart's depth, at most this. */
#define FIRST_INTAKE_MM 20.0
#define FIRST_SPREAD_MM 20.0
#define FIRST_PART 0.2
/* Bent legs: how far, as a part of the depth. */
#define BULGE_PART 0.04
#define HALF 0.5
/* Begun elsewhere: a mouth keeps off the corners by this part of its edge. */
#define CORNER_PART 0.12
#define ON_EDGE_MM 0.01

typedef enum DartDeed
{
  DEED_NONE,
  DEED_DART,
  DEED_SLASH,
  DEED_MOVE
} DartDeed;

typedef struct DartTool
{
  AppTool tool;
  DartDeed deed;
  bool pulling, asking, bent, half;
  AppSpot from, hinge, over;
  bool has_over;
  GeomPoint apex, pressed_at;
  guint panel_id, dart_edge_id; /* MOVE */
  bool twin;
  double mm, deg; /* the opening; DEG 0: MM holds */
  GtkWidget *popover;
  gulong closed;
  bool tried, done;
  GeomPath before, after;
  GeomPoint figure_at;
  char *why;
} DartTool;

static AppTool *
dart_create (AppCanvas *canvas)
{
  DartTool *self = g_new0 (DartTool, 1);
  self->tool = (AppTool) { app_tool_class (APP_TOOL_DART), canvas };
  return &self->tool;
}

static void
forget_trial (DartTool *self)
{
  geom_path_reset (&self->before);
  geom_path_reset (&self->after);
  g_clear_pointer (&self->why, g_free);
  self->tried = self->done = false;
}

static void
forget_question (DartTool *self)
{
  if (self->popover != NULL)
    g_signal_handler_disconnect (self->popover, self->closed);
  g_clear_object (&self->popover);
  self->asking = false;
}

static void
start_over (DartTool *self)
{
  forget_question (self);
  forget_trial (self);
  self->deed = DEED_NONE;
  self->pulling = false;
}

static void
dart_destroy (AppTool *tool)
{
  DartTool *self = (DartTool *)tool;
  bool asking = self->asking;
  start_over (self);
  if (asking)
    app_number_entry_close (tool->canvas);
  geom_path_clear (&self->before);
  geom_path_clear (&self->after);
  g_free (self);
}

/* ---- the deed ---- */

static bool
run (DartTool *self, ModelHistory *history, ModelReworkMade *made, GError **error)
{
  GeomAffine map = app_spot_map (self->tool.canvas, self->panel_id, self->twin);
  switch (self->deed)
  {
  case DEED_DART:
  {
    GeomPoint apex = geom_affine_apply (map, self->apex);
    ModelReworkDart dart
      = { .at = self->from.place,
          .apex = apex,
          .intake_mm = self->deg > 0.0 ? 0.0 : self->mm,
          .intake_deg = self->deg,
          .bulge_mm = self->bent ? BULGE_PART * geom_distance (self->from.at, self->apex) : 0.0 };
    return model_rework_add_dart (history, self->panel_id, dart, made, error);
  }
  case DEED_SLASH:
  {
    ModelReworkSlash slash = { self->from.place, self->hinge.place };
    ModelReworkSpread spread
      = { .angle_deg = self->deg, .gap_mm = fabs (self->deg) > 0.0 ? 0.0 : self->mm, .blended = true };
    return model_rework_slash (history, self->panel_id, &slash, 1, spread, error);
  }
  case DEED_MOVE:
    return model_rework_move_dart (history, self->panel_id, self->dart_edge_id, self->hinge.place,
                                   self->half ? HALF : 1.0, made, error);
  case DEED_NONE:
    break;
  }
  return false;
}

static void
try_deed (DartTool *self)
{
  g_autoptr (ModelHistory) history = app_trial_new (self->tool.canvas);
  ModelReworkMade made = { 0 };
  g_autoptr (GError) error = NULL;
  forget_trial (self);
  self->tried = true;
  self->done = run (self, history, &made, &error);
  if (self->done)
  {
    const ModelPanel *was = model_document_panel (app_canvas_document (self->tool.canvas), self->panel_id),
                     *now = model_document_panel (model_history_document (history), self->panel_id);
    app_panel_side_path (was, self->twin, &self->before);
    app_panel_side_path (now, self->twin, &self->after);
  }
  else
    self->why = g_strdup (error != NULL ? error->message : "");
  model_rework_made_clear (&made);
}

static void
say_trial (DartTool *self)
{
  AppCanvas *canvas = self->tool.canvas;
  g_autofree char *opening = app_opening_text (canvas, self->mm, self->deg);
  g_autofree char *words = NULL;
  if (self->why != NULL)
  {
    app_canvas_say (canvas, self->why);
    return;
  }
  switch (self->deed)
  {
  case DEED_DART:
  {
    g_autofree char *depth = app_canvas_length (canvas, geom_distance (self->from.at, self->apex));
    words = g_strdup_printf (_ ("Dart %s deep, %s taken in. Let go at the apex; with Shift the legs bend."),
                             depth, opening);
    break;
  }
  case DEED_SLASH:
    words
      = g_strdup_printf (_ ("Slash with its hinge here, opened by %s. Let go to say by how much."), opening);
    break;
  case DEED_MOVE:
    words = g_strdup (self->half ? _ ("Half of the dart moves here.")
                                 : _ ("The dart moves here about its apex; with Ctrl only half of it."));
    break;
  case DEED_NONE:
    break;
  }
  app_canvas_say (canvas, words);
}

static void
take (DartTool *self)
{
  AppCanvas *canvas = self->tool.canvas;
  ModelReworkMade made = { 0 };
  g_autoptr (GError) error = NULL;
  DartDeed deed = self->deed;
  guint panel_id = self->panel_id;
  ModelSide side = self->from.side;
  bool done = run (self, app_canvas_history (canvas), &made, &error);
  guint leg = made.edge_id;
  model_rework_made_clear (&made);
  start_over (self);
  if (!done)
  {
    app_canvas_tell (canvas, error != NULL ? error->message : NULL);
    return;
  }
  if (deed == DEED_SLASH)
    app_canvas_tell (canvas, _ ("The slash is done; the edges run on smoothly."));
  else
  {
    app_session_select_edge (canvas->session, panel_id, side, leg, false);
    app_canvas_tell (canvas, deed == DEED_DART ? _ ("The dart is taken out and its legs are joined.")
                                               : _ ("The dart has moved."));
  }
}

/* ---- the figure ---- */

static bool
read_opening (DartTool *self, const char *text)
{
  double mm, deg;
  if (!app_parse_opening (text, self->tool.canvas->unit, &mm, &deg) || !(fabs (mm) > 0.0 || fabs (deg) > 0.0)
      || (self->deed == DEED_DART && (mm < 0.0 || deg < 0.0)))
    return false;
  self->mm = mm;
  self->deg = deg;
  return true;
}

static DartTool *
asking_tool (AppCanvas *canvas)
{
  DartTool *self = canvas->kind == APP_TOOL_DART ? (DartTool *)canvas->tool : NULL;
  return self != NULL && self->asking ? self : NULL;
}

static bool
opening_taken (AppCanvas *canvas, const char *text, gpointer user)
{
  DartTool *self = asking_tool (canvas);
  if (self == NULL)
    return true;
  if (!read_opening (self, text))
    return false;
  try_deed (self);
  if (!self->done)
  {
    app_canvas_say (canvas, self->why);
    return false;
  }
  take (self);
  return true;
}

static void
on_typed (GtkEditable *field, AppCanvas *canvas)
{
  DartTool *self = asking_tool (canvas);
  if (self == NULL || !read_opening (self, gtk_editable_get_text (field)))
    return;
  try_deed (self);
  if (self->why != NULL)
    app_canvas_say (canvas, self->why);
  app_canvas_redraw (canvas);
}

/* Left without an answer: nothing has happened. */
static void
on_question_closed (GtkPopover *popover, AppCanvas *canvas)
{
  DartTool *self = asking_tool (canvas);
  if (self == NULL || self->popover != GTK_WIDGET (popover))
    return;
  start_over (self);
  app_canvas_say (canvas, NULL);
  app_canvas_redraw (canvas);
}

static void
ask (DartTool *self)
{
  AppCanvas *canvas = self->tool.canvas;
  bool slash = self->deed == DEED_SLASH;
  g_autofree char *text = app_opening_text (canvas, self->mm, self->deg);
  double x, y;
  app_canvas_to_widget (canvas, self->from.at, &x, &y);
  self->asking = true;
  app_text_entry_open (canvas, x, y + 10.0, slash ? _ ("Open by") : _ ("Take in"), text, opening_taken, NULL);
  self->popover = g_object_ref (canvas->popover);
  self->closed = g_signal_connect (self->popover, "closed", G_CALLBACK (on_question_closed), canvas);
  g_signal_connect_object (app_number_entry_field (canvas), "changed", G_CALLBACK (on_typed), canvas, 0);
  app_canvas_say (canvas, slash ? _ ("Type a length or an angle, such as 20 or 8°; less than nothing closes. "
                                     "Enter takes it, Escape leaves.")
                                : _ ("Type a length or an angle, such as 20 or 12°. Enter takes it, Escape "
                                     "leaves."));
}

/* ---- begun elsewhere ---- */

/* The place of an edge nearest to the apex, or its middle if that is near a corner. */
static GeomPoint
mouth_on (const GeomPath *edge, GeomPoint apex)
{
  double length = geom_path_length (edge, 1e-3),
         at = geom_path_length_to (edge, geom_path_nearest (edge, apex).place, 1e-3);
  if (at < CORNER_PART * length || at > (1.0 - CORNER_PART) * length)
    at = length / 2.0;
  return geom_path_point (edge, geom_path_place_at (edge, at, 1e-3));
}

typedef struct Mouth
{
  AppSpot spot;
  double away_mm;
} Mouth;

static int
nearer_first (gconstpointer a, gconstpointer b)
{
  double x = ((const Mouth *)a)->away_mm, y = ((const Mouth *)b)->away_mm;
  return x < y ? -1 : x > y ? 1 : 0;
}

static GArray *
list_mouths (AppCanvas *canvas, const AppOutline *outline, const ModelPanel *panel, GeomPoint apex)
{
  GArray *mouths = g_array_new (FALSE, FALSE, sizeof (Mouth));
  for (guint e = 0; e < panel->edges->len; e++)
  {
    const ModelEdge *edge = model_panel_edge (panel, e);
    Mouth mouth;
    GeomPath path;
    geom_path_init (&path);
    if (!edge->fold && !edge->locked && app_outline_edge_path (outline, panel, edge->id, &path)
        && app_spot_at (canvas, mouth_on (&path, apex), ON_EDGE_MM, panel->id, &mouth.spot)
        && mouth.spot.twin == outline->twin)
    {
      mouth.away_mm = geom_distance (mouth.spot.at, apex);
      g_array_append_val (mouths, mouth);
    }
    geom_path_clear (&path);
  }
  g_array_sort (mouths, nearer_first);
  return mouths;
}

bool
app_dart_begin (AppCanvas *canvas, guint panel_id, ModelSide side, GeomPoint apex, double deg)
{
  const ModelPanel *panel = model_document_panel (app_canvas_document (canvas), panel_id);
  const AppOutline *outline = app_pick_index_outline (canvas->index, panel_id, side);
  if (panel == NULL || outline == NULL)
    return false;
  app_canvas_set_tool (canvas, APP_TOOL_DART);
  DartTool *self = (DartTool *)canvas->tool;
  start_over (self);
  self->panel_id = panel_id;
  self->twin = outline->twin;
  self->apex = apex;
  self->mm = 0.0;
  self->deg = deg;
  g_autoptr (GArray) mouths = list_mouths (canvas, outline, panel, apex);
  for (guint i = 0; i < mouths->len && !self->done; i++)
  {
    self->from = g_array_index (mouths, Mouth, i).spot;
    if (deg > 0.0)
    {
      self->deed = DEED_DART;
      try_deed (self);
    }
    else
      for (guint k = mouths->len; k-- > 0 && !self->done;)
      {
        /* Through the apex as far as there is an edge across. */
        self->hinge = g_array_index (mouths, Mouth, k).spot;
        self->deed = DEED_SLASH;
        self->deg = -deg;
        GeomPoint out = geom_sub (self->from.at, apex), in = geom_sub (self->hinge.at, apex);
        if (geom_dot (out, in) < 0.0)
          try_deed (self);
      }
  }
  if (!self->done)
  {
    g_autofree char *why = g_steal_pointer (&self->why);
    start_over (self);
    app_canvas_tell (canvas, why != NULL && *why != '\0' ? why : _ ("No edge of the panel can open there."));
    return false;
  }
  ask (self);
  return true;
}

/* ---- the hand ---- */

/* The dart whose apex or leg is near. */
static bool
dart_near (DartTool *self, const AppInput *in)
{
  AppCanvas *canvas = self->tool.canvas;
  AppSpot spot;
  guint leg_1, leg_2;
  if (!app_spot_at (canvas, in->at, app_canvas_catch_mm (canvas, in), 0, &spot))
    return false;
  const ModelPanel *panel = model_document_panel (app_canvas_document (canvas), spot.panel_id);
  if (panel == NULL || !model_rework_find_dart (panel, spot.place.edge_id, &leg_1, &leg_2, NULL)
      || !model_rework_dart_is_joined (app_canvas_document (canvas), spot.panel_id, leg_1))
    return false;
  self->from = spot;
  self->panel_id = spot.panel_id;
  self->twin = spot.twin;
  self->dart_edge_id = leg_1;
  return true;
}

static void
dart_press (AppTool *tool, const AppInput *in)
{
  DartTool *self = (DartTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (canvas->session == NULL)
    return;
  start_over (self);
  self->pressed_at = in->at;
  if (dart_near (self, in))
  {
    self->pulling = true;
    self->deed = DEED_MOVE;
    app_session_select_edge (canvas->session, self->panel_id, self->from.side, self->dart_edge_id, false);
    app_canvas_say (canvas, _ ("Pull the dart to where on the outline it shall open."));
    return;
  }
  self->pulling = app_spot_at (canvas, in->at, app_canvas_catch_mm (canvas, in), 0, &self->from);
  self->deed = DEED_NONE;
  self->panel_id = self->from.panel_id;
  self->twin = self->from.twin;
  self->mm = self->deg = 0.0;
  app_canvas_say (canvas, self->pulling
                            ? _ ("Pull inward to the apex, or on to another edge for a slash hinged there.")
                            : NULL);
}

static void
follow (DartTool *self, const AppInput *in)
{
  AppCanvas *canvas = self->tool.canvas;
  double catch_mm = app_canvas_catch_mm (canvas, in), depth;
  bool on_edge
    = app_spot_at (canvas, in->at, catch_mm, self->panel_id, &self->hinge) && self->hinge.twin == self->twin;
  forget_trial (self);
  if (self->deed == DEED_MOVE)
  {
    self->half = (in->state & GDK_CONTROL_MASK) != 0;
    guint leg_1, leg_2;
    const ModelPanel *panel = model_document_panel (app_canvas_document (canvas), self->panel_id);
    if (on_edge && panel != NULL
        && !(model_rework_find_dart (panel, self->hinge.place.edge_id, &leg_1, &leg_2, NULL)
             && leg_1 == self->dart_edge_id))
    {
      try_deed (self);
      say_trial (self);
    }
    else
      app_canvas_say (canvas, _ ("Pull the dart to where on the outline it shall open."));
    return;
  }
  bool slash = on_edge && geom_distance (self->hinge.at, self->from.at) > 3.0 * catch_mm;
  self->apex = in->at;
  self->bent = (in->state & GDK_SHIFT_MASK) != 0;
  depth = geom_distance (self->from.at, slash ? self->hinge.at : self->apex);
  self->deed = slash ? DEED_SLASH : DEED_DART;
  self->mm = MIN (slash ? FIRST_SPREAD_MM : FIRST_INTAKE_MM, FIRST_PART * depth);
  /* A figure that looks chosen, since it stands in the entry. */
  self->mm = MAX (floor (self->mm), MIN (self->mm, 1.0));
  self->deg = 0.0;
  try_deed (self);
  say_trial (self);
}

static void
dart_motion (AppTool *tool, const AppInput *in)
{
  DartTool *self = (DartTool *)tool;
  if (self->pulling && geom_distance (self->pressed_at, in->at) * tool->canvas->scale >= DRAG_PX)
    follow (self, in);
}

static void
dart_release (AppTool *tool, const AppInput *in)
{
  DartTool *self = (DartTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (!self->pulling)
    return;
  self->pulling = false;
  if (geom_distance (self->pressed_at, in->at) * canvas->scale < DRAG_PX)
  {
    bool moved = self->deed == DEED_MOVE;
    start_over (self);
    /* A press on a dart chooses it: its card and menu have the rest. */
    app_canvas_say (
      canvas, moved ? _ ("The dart is chosen: pull it to another edge, or change it from its menu.") : NULL);
    return;
  }
  follow (self, in);
  if (!self->done)
  {
    g_autofree char *why = g_steal_pointer (&self->why);
    start_over (self);
    app_canvas_say (canvas, why);
  }
  else if (self->deed == DEED_MOVE)
    take (self);
  else
    ask (self);
}

static void
dart_hover (AppTool *tool, const AppInput *in)
{
  DartTool *self = (DartTool *)tool;
  AppCanvas *canvas = tool->canvas;
  self->has_over = in != NULL && canvas->session != NULL && !self->asking
                   && app_spot_at (canvas, in->at, app_canvas_catch_mm (canvas, in), 0, &self->over);
}

static void
dart_cancel (AppTool *tool)
{
  DartTool *self = (DartTool *)tool;
  /* The entry that comes up takes the pointer: that is no cancelling. */
  if (self->asking)
    return;
  start_over (self);
  app_canvas_say (tool->canvas, NULL);
}

static bool
dart_key (AppTool *tool, guint keyval, GdkModifierType state)
{
  DartTool *self = (DartTool *)tool;
  if (keyval != GDK_KEY_Escape || !(self->pulling || self->asking))
    return false;
  start_over (self);
  app_number_entry_close (tool->canvas);
  app_canvas_say (tool->canvas, NULL);
  return true;
}

/* ---- drawing ---- */

static void
dart_draw (AppTool *tool, cairo_t *cr)
{
  DartTool *self = (DartTool *)tool;
  AppCanvas *canvas = tool->canvas;
  if (canvas->session == NULL)
    return;
  const OutputInk *ink = app_canvas_ink (canvas);
  bool busy = self->pulling || self->asking;
  if (self->done)
  {
    app_draw_outline (canvas, cr, &self->after);
    if (self->deed != DEED_MOVE)
    {
      g_autofree char *text = app_opening_text (canvas, self->mm, self->deg);
      GeomPoint inner = self->deed == DEED_SLASH ? self->hinge.at : self->apex;
      app_draw_caption (canvas, cr, geom_mix (self->from.at, inner, 0.4), 52.0, 0.0, text);
    }
  }
  else if (self->pulling && self->deed != DEED_NONE)
  {
    double x, y;
    cairo_new_path (cr);
    app_canvas_to_widget (canvas, self->from.at, &x, &y);
    cairo_move_to (cr, x, y);
    cairo_line_to (cr, canvas->pointer_x, canvas->pointer_y);
    output_set_tone (cr, ink, OUTPUT_TONE_PLUM);
    output_set_stroke (cr, &ink->preview);
    cairo_stroke (cr);
    cairo_set_dash (cr, NULL, 0, 0.0);
  }
  if (busy && self->deed != DEED_MOVE && self->from.panel_id != 0)
    app_draw_spot (canvas, cr, &self->from, true);
  if (busy && (self->deed == DEED_SLASH || (self->deed == DEED_MOVE && self->done)))
    app_draw_spot (canvas, cr, &self->hinge, true);
  else if (busy && self->deed == DEED_DART)
    app_draw_spot (canvas, cr, &(AppSpot) { .at = self->apex }, false);
  if (!busy && self->has_over)
    app_draw_spot (canvas, cr, &self->over, false);
}

extern const AppToolClass app_tool_dart;
const AppToolClass app_tool_dart = {
  .kind = APP_TOOL_DART,
  .key = "dart",
  .name = N_ ("Dart"),
  .hint = N_ ("Press on an edge and pull to the apex; pull on to another edge for a slash."),
  .icon = "panelwright-dart-symbolic",
  .accel = "<Shift>F8",
  .create = dart_create,
  .destroy = dart_destroy,
  .press = dart_press,
  .motion = dart_motion,
  .release = dart_release,
  .hover = dart_hover,
  .cancel = dart_cancel,
  .key_pressed = dart_key,
  .draw = dart_draw,
};
