/* Dart: press on an edge and pull inward to the apex, then say how much is taken in; pull on to another edge
 * and it is a slash, hinged there.  A dart that is there already is pulled by its apex or a leg to another
 * place of the outline, with Ctrl half of it.
 *
 * Nothing is changed before the figure is taken: what is shown is the plan's ghost (app/plan.h).
 */
#include "app/ask.h"
#include "app/number-entry.h"
#include "app/plan.h"

#include <glib/gi18n.h>

#define DRAG_PX 6.0
/* Begun with, until the maker says another: a fifth of the dart's depth, at most this. */
#define FIRST_INTAKE_MM 20.0
#define FIRST_SPREAD_MM 20.0
#define FIRST_PART 0.2
#define HALF 0.5
/* Begun elsewhere: a mouth keeps off the corners by this part of its edge. */
#define CORNER_PART 0.12
#define ON_EDGE_MM 0.01

typedef struct DartTool
{
  AppTool tool;
  AppPlan plan; /* as far as it has come */
  bool pulling, has_over;
  bool shown; /* its ghost is the preview */
  AppSpot over;
  GeomPoint pressed_at;
  char *why; /* tried and refused */
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
  if (self->shown && self->tool.canvas->session != NULL)
    app_session_preview (self->tool.canvas->session, NULL);
  self->shown = false;
  g_clear_pointer (&self->why, g_free);
}

static void
start_over (DartTool *self)
{
  forget_trial (self);
  self->plan.kind = APP_PLAN_NONE;
  self->pulling = false;
}

static void
dart_destroy (AppTool *tool)
{
  DartTool *self = (DartTool *)tool;
  start_over (self);
  if (app_ask_is_open (tool->canvas))
    app_number_entry_close (tool->canvas);
  g_free (self);
}

static void
try_deed (DartTool *self)
{
  g_clear_pointer (&self->why, g_free);
  self->shown = app_plan_show (self->tool.canvas, &self->plan, &self->why);
}

static void
say_trial (DartTool *self)
{
  AppCanvas *canvas = self->tool.canvas;
  const AppPlan *plan = &self->plan;
  g_autofree char *opening = app_opening_text (canvas, plan->mm, plan->deg);
  g_autofree char *words = NULL;
  if (!self->shown)
  {
    app_canvas_say (canvas, self->why);
    return;
  }
  if (plan->kind == APP_PLAN_DART)
  {
    g_autofree char *depth = app_canvas_length (canvas, geom_distance (plan->from.at, plan->apex));
    words = g_strdup_printf (_ ("Dart %s deep, %s taken in. Let go at the apex; with Shift the legs bend."),
                             depth, opening);
  }
  else if (plan->kind == APP_PLAN_SLASH)
    words
      = g_strdup_printf (_ ("Slash with its hinge here, opened by %s. Let go to say by how much."), opening);
  else
    words
      = g_strdup (plan->part < 1.0 ? _ ("Half of the dart moves here.")
                                   : _ ("The dart moves here about its apex; with Ctrl only half of it."));
  app_canvas_say (canvas, words);
}

/* From here on the question has it. */
static void
ask (DartTool *self)
{
  AppPlan plan = self->plan;
  start_over (self);
  app_plan_ask (self->tool.canvas, &plan);
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
  AppPlan *plan = &self->plan;
  *plan = (AppPlan) { .panel_id = panel_id, .side = side, .twin = outline->twin, .apex = apex, .deg = deg };
  g_autoptr (GArray) mouths = list_mouths (canvas, outline, panel, apex);
  for (guint i = 0; i < mouths->len && !self->shown; i++)
  {
    plan->from = g_array_index (mouths, Mouth, i).spot;
    if (deg > 0.0)
    {
      plan->kind = APP_PLAN_DART;
      try_deed (self);
    }
    else
      for (guint k = mouths->len; k-- > 0 && !self->shown;)
      {
        /* Through the apex as far as there is an edge across. */
        plan->hinge = g_array_index (mouths, Mouth, k).spot;
        plan->kind = APP_PLAN_SLASH;
        plan->deg = -deg;
        GeomPoint out = geom_sub (plan->from.at, apex), in = geom_sub (plan->hinge.at, apex);
        if (geom_dot (out, in) < 0.0)
          try_deed (self);
      }
  }
  if (!self->shown)
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
  self->plan = (AppPlan) { .kind = APP_PLAN_MOVE,
                           .panel_id = spot.panel_id,
                           .side = spot.side,
                           .twin = spot.twin,
                           .leg = leg_1,
                           .from = spot,
                           .part = 1.0 };
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
    app_session_select_edge (canvas->session, self->plan.panel_id, self->plan.side, self->plan.leg, false);
    app_canvas_say (canvas, _ ("Pull the dart to where on the outline it shall open."));
    return;
  }
  AppSpot from;
  self->pulling = app_spot_at (canvas, in->at, app_canvas_catch_mm (canvas, in), 0, &from);
  self->plan = (AppPlan) { .panel_id = from.panel_id, .side = from.side, .twin = from.twin, .from = from };
  app_canvas_say (canvas, self->pulling
                            ? _ ("Pull inward to the apex, or on to another edge for a slash hinged there.")
                            : NULL);
}

static void
follow_move (DartTool *self, const AppInput *in, bool on_edge)
{
  AppCanvas *canvas = self->tool.canvas;
  guint leg_1, leg_2;
  const ModelPanel *panel = model_document_panel (app_canvas_document (canvas), self->plan.panel_id);
  self->plan.part = (in->state & GDK_CONTROL_MASK) != 0 ? HALF : 1.0;
  if (on_edge && panel != NULL
      && !(model_rework_find_dart (panel, self->plan.hinge.place.edge_id, &leg_1, &leg_2, NULL)
           && leg_1 == self->plan.leg))
  {
    try_deed (self);
    say_trial (self);
    return;
  }
  forget_trial (self);
  app_canvas_say (canvas, _ ("Pull the dart to where on the outline it shall open."));
}

static void
follow (DartTool *self, const AppInput *in)
{
  AppCanvas *canvas = self->tool.canvas;
  AppPlan *plan = &self->plan;
  double catch_mm = app_canvas_catch_mm (canvas, in);
  bool on_edge
    = app_spot_at (canvas, in->at, catch_mm, plan->panel_id, &plan->hinge) && plan->hinge.twin == plan->twin;
  if (plan->kind == APP_PLAN_MOVE)
  {
    follow_move (self, in, on_edge);
    return;
  }
  bool slash = on_edge && geom_distance (plan->hinge.at, plan->from.at) > 3.0 * catch_mm;
  plan->apex = in->at;
  plan->bent = (in->state & GDK_SHIFT_MASK) != 0;
  double depth = geom_distance (plan->from.at, slash ? plan->hinge.at : plan->apex);
  plan->kind = slash ? APP_PLAN_SLASH : APP_PLAN_DART;
  plan->mm = MIN (slash ? FIRST_SPREAD_MM : FIRST_INTAKE_MM, FIRST_PART * depth);
  /* A figure that looks chosen, since it stands in the entry. */
  plan->mm = MAX (floor (plan->mm), MIN (plan->mm, 1.0));
  plan->deg = 0.0;
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
    bool moved = self->plan.kind == APP_PLAN_MOVE;
    start_over (self);
    /* A press on a dart chooses it: its card and menu have the rest. */
    app_canvas_say (
      canvas, moved ? _ ("The dart is chosen: pull it to another edge, or change it in its card at the side.")
                    : NULL);
    return;
  }
  follow (self, in);
  if (!self->shown)
  {
    g_autofree char *why = g_steal_pointer (&self->why);
    start_over (self);
    app_canvas_say (canvas, why);
  }
  else if (self->plan.kind == APP_PLAN_MOVE)
  {
    AppPlan plan = self->plan;
    start_over (self);
    app_plan_take (canvas, &plan);
  }
  else
    ask (self);
}

static void
dart_hover (AppTool *tool, const AppInput *in)
{
  DartTool *self = (DartTool *)tool;
  AppCanvas *canvas = tool->canvas;
  self->has_over = in != NULL && canvas->session != NULL && !app_ask_is_open (canvas)
                   && app_spot_at (canvas, in->at, app_canvas_catch_mm (canvas, in), 0, &self->over);
}

static void
dart_cancel (AppTool *tool)
{
  DartTool *self = (DartTool *)tool;
  /* The entry that comes up takes the pointer: that is no cancelling. */
  if (app_ask_is_open (tool->canvas))
    return;
  start_over (self);
  app_canvas_say (tool->canvas, NULL);
}

static bool
dart_key (AppTool *tool, guint keyval, GdkModifierType state)
{
  DartTool *self = (DartTool *)tool;
  bool asking = app_ask_is_open (tool->canvas);
  if (keyval != GDK_KEY_Escape || !(self->pulling || asking))
    return false;
  start_over (self);
  if (asking)
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
  const AppPlan *plan = &self->plan;
  if (self->shown)
    app_plan_draw (canvas, cr, plan);
  else if (self->pulling && plan->kind != APP_PLAN_NONE)
  {
    double x, y;
    cairo_new_path (cr);
    app_canvas_to_widget (canvas, plan->from.at, &x, &y);
    cairo_move_to (cr, x, y);
    cairo_line_to (cr, canvas->pointer_x, canvas->pointer_y);
    output_set_tone (cr, ink, OUTPUT_TONE_PLUM);
    output_set_stroke (cr, &ink->preview);
    cairo_stroke (cr);
    cairo_set_dash (cr, NULL, 0, 0.0);
  }
  if (self->pulling && !self->shown && plan->kind != APP_PLAN_MOVE && plan->from.panel_id != 0)
    app_draw_spot (canvas, cr, &plan->from, true);
  if (!self->pulling && self->has_over && !app_ask_is_open (canvas))
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
