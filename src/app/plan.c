#include "app/plan.h"

#include "app/ask.h"
#include "engine/remedy.h"
#include "model/rework-meet.h"
#include "model/rework.h"

#include <glib/gi18n.h>
#include <math.h>

/* Bent legs: how far, as a part of the depth. */
#define BULGE_PART 0.04
#define CAPTION_PX 58.0
#define ARROW_PX 22.0
#define DEG (180.0 / G_PI)

/* ---- the deed ---- */

static GeomAffine
map_of (const ModelDocument *doc, const AppPlan *plan)
{
  const ModelPanel *panel = model_document_panel (doc, plan->panel_id);
  return plan->twin && panel != NULL ? model_panel_mirror (panel) : geom_affine_move (0.0, 0.0);
}

/* What lies below a level line goes down, what lies beside an upright one goes to the right. */
static GeomPoint
level_along (const AppPlan *plan)
{
  GeomPoint along = geom_right_of (geom_unit (geom_sub (plan->b, plan->a)));
  bool level = fabs (along.y) > fabs (along.x) * 1e-6;
  return (level ? along.y > 0.0 : along.x < 0.0) ? geom_scale (along, -1.0) : along;
}

static bool
change_dart (ModelHistory *history, const AppPlan *plan, GError **error)
{
  const ModelPanel *panel = model_document_panel (model_history_document (history), plan->panel_id);
  ModelReworkDart dart;
  if (panel == NULL || !model_rework_read_dart (panel, plan->leg, &dart))
  {
    g_set_error_literal (error, MODEL_REWORK_ERROR, MODEL_REWORK_ERROR_PLACE, _ ("The dart is gone."));
    return false;
  }
  if (plan->kind == APP_PLAN_BEND)
    dart.bulge_mm = plan->mm;
  else
  {
    dart.intake_mm = plan->deg > 0.0 ? 0.0 : plan->mm;
    dart.intake_deg = plan->deg;
  }
  return model_rework_set_dart (history, plan->panel_id, plan->leg, dart, error);
}

static bool
run (ModelHistory *history, const AppPlan *plan, ModelReworkMade *made, GError **error)
{
  GeomAffine map = map_of (model_history_document (history), plan);
  switch (plan->kind)
  {
  case APP_PLAN_NONE:
    return false;
  case APP_PLAN_DART:
  {
    ModelReworkDart dart
      = { .at = plan->from.place,
          .apex = geom_affine_apply (map, plan->apex),
          .intake_mm = plan->deg > 0.0 ? 0.0 : plan->mm,
          .intake_deg = plan->deg,
          .bulge_mm = plan->bent ? BULGE_PART * geom_distance (plan->from.at, plan->apex) : 0.0 };
    return model_rework_add_dart (history, plan->panel_id, dart, made, error);
  }
  case APP_PLAN_SLASH:
  {
    ModelReworkSlash slash = { plan->from.place, plan->hinge.place };
    ModelReworkSpread spread
      = { .angle_deg = plan->deg, .gap_mm = fabs (plan->deg) > 0.0 ? 0.0 : plan->mm, .blended = true };
    return model_rework_slash (history, plan->panel_id, &slash, 1, spread, error);
  }
  case APP_PLAN_MOVE:
    return model_rework_move_dart (history, plan->panel_id, plan->leg, plan->hinge.place, plan->part, made,
                                   error);
  case APP_PLAN_INTAKE:
  case APP_PLAN_BEND:
    return change_dart (history, plan, error);
  case APP_PLAN_LEVEL:
    return model_rework_add_along (history, plan->panel_id,
                                   geom_affine_apply (map, geom_mix (plan->a, plan->b, 0.5)),
                                   geom_affine_apply_vector (map, level_along (plan)), plan->mm, true, error);
  case APP_PLAN_MEET:
    return model_rework_meet_ends (history, plan->join_id,
                                   (ModelReworkMissing) { plan->missing_mm[0], plan->missing_mm[1] },
                                   (ModelReworkMissing) { plan->missing_mm[2], plan->missing_mm[3] }, error);
  }
  return false;
}

bool
app_plan_run (ModelHistory *history, gconstpointer plan, GError **error)
{
  ModelReworkMade made = { 0 };
  bool done = run (history, plan, &made, error);
  model_rework_made_clear (&made);
  return done;
}

/* ---- the ghost ---- */

typedef struct Trial
{
  const AppPlan *plan;
  guint *edge_id; /* what it made */
} Trial;

static bool
try_out (ModelHistory *history, gconstpointer user, GError **error)
{
  const Trial *trial = user;
  ModelReworkMade made = { 0 };
  bool done = run (history, trial->plan, &made, error);
  *trial->edge_id = made.edge_id;
  model_rework_made_clear (&made);
  return done;
}

static const ModelPanel *
panel_in (const EngineRemedy *ghost, guint panel_id)
{
  for (guint i = 0; i < ghost->parts->len; i++)
  {
    const ModelPart *part = &g_array_index (ghost->parts, ModelPart, i);
    const ModelPanel *panel = part->kind == MODEL_PART_PANEL ? part->body : NULL;
    if (panel != NULL && panel->id == panel_id)
      return panel;
  }
  return NULL;
}

/* A length and an angle, whichever was said: of a dart as the ghost has it, of a slash by its gap, which is a
 * chord. */
static void
note_opening (const EngineRemedy *ghost, AppPlan *plan, guint made_edge_id)
{
  const ModelPanel *panel = panel_in (ghost, plan->panel_id);
  ModelReworkDart dart;
  guint leg = plan->kind == APP_PLAN_DART ? made_edge_id : plan->leg;
  plan->seen_mm = plan->mm;
  plan->seen_deg = plan->deg;
  if (plan->kind == APP_PLAN_SLASH)
  {
    double twice = 2.0 * geom_distance (plan->from.at, plan->hinge.at);
    if (fabs (plan->deg) > 0.0)
      plan->seen_mm = twice * sin (0.5 * plan->deg / DEG);
    else if (twice > 0.0)
      plan->seen_deg = 2.0 * asin (CLAMP (plan->mm / twice, -1.0, 1.0)) * DEG;
  }
  else if ((plan->kind == APP_PLAN_DART || plan->kind == APP_PLAN_INTAKE) && panel != NULL
           && model_rework_read_dart (panel, leg, &dart))
  {
    plan->seen_mm = dart.intake_mm;
    plan->seen_deg = dart.intake_deg;
  }
}

EngineRemedy *
app_plan_ghost (const ModelDocument *doc, AppPlan *plan, GError **error)
{
  guint edge_id = 0;
  Trial trial = { plan, &edge_id };
  EngineRemedy *ghost = engine_remedy_seen (doc, try_out, &trial, NULL, error);
  if (ghost != NULL)
    note_opening (ghost, plan, edge_id);
  return ghost;
}

static EngineRemedy *
make_ghost (AppCanvas *canvas, AppPlan *plan, char **why)
{
  g_autoptr (GError) error = NULL;
  EngineRemedy *ghost
    = canvas->session != NULL ? app_plan_ghost (app_canvas_document (canvas), plan, &error) : NULL;
  if (ghost == NULL && error != NULL)
    *why = g_strdup (error->message);
  return ghost;
}

bool
app_plan_show (AppCanvas *canvas, AppPlan *plan, char **why)
{
  EngineRemedy *ghost = make_ghost (canvas, plan, why);
  bool shown = ghost != NULL;
  if (canvas->session != NULL)
    app_session_preview (canvas->session, ghost);
  return shown;
}

/* ---- doing it ---- */

static const char *
done_words (const AppPlan *plan)
{
  switch (plan->kind)
  {
  case APP_PLAN_NONE:
    break;
  case APP_PLAN_DART:
    return _ ("The dart is taken out and its legs are joined.");
  case APP_PLAN_SLASH:
    return _ ("The slash is done; the edges run on smoothly.");
  case APP_PLAN_MOVE:
    return plan->part < 1.0 ? _ ("Half of the dart has moved about its apex.")
                            : _ ("The dart has moved about its apex.");
  case APP_PLAN_INTAKE:
  case APP_PLAN_BEND:
    return _ ("The dart is changed.");
  case APP_PLAN_LEVEL:
    return plan->mm > 0.0 ? _ ("The panel is longer.") : _ ("The panel is shorter.");
  case APP_PLAN_MEET:
    return _ ("Both panels reach half of it further: the ends meet.");
  }
  return NULL;
}

bool
app_plan_take (AppCanvas *canvas, const AppPlan *plan)
{
  ModelReworkMade made = { 0 };
  g_autoptr (GError) error = NULL;
  bool done = run (app_canvas_history (canvas), plan, &made, &error);
  if (done && made.edge_id != 0)
    app_session_select_edge (canvas->session, plan->panel_id, plan->side, made.edge_id, false);
  model_rework_made_clear (&made);
  app_canvas_tell (canvas, done ? done_words (plan) : error != NULL ? error->message : NULL);
  return done;
}

/* ---- its figure ---- */

static bool
takes_opening (const AppPlan *plan)
{
  return plan->kind == APP_PLAN_DART || plan->kind == APP_PLAN_SLASH || plan->kind == APP_PLAN_INTAKE;
}

/* "6; 10" for both sides, "6; 10; 2; 0" for the wearer's left and right. */
static bool
read_missing (const char *text, ModelUnit unit, double mm[4])
{
  g_auto (GStrv) parts = g_strsplit (text, ";", 5);
  guint count = g_strv_length (parts);
  bool good = count == 2 || count == 4;
  for (guint i = 0; i < 4 && good; i++)
    good = model_unit_parse (g_strstrip (parts[i % count]), unit, &mm[i], NULL);
  return good && (fabs (mm[0]) > 0.0 || fabs (mm[1]) > 0.0 || fabs (mm[2]) > 0.0 || fabs (mm[3]) > 0.0);
}

static bool
read_figure (AppCanvas *canvas, const char *text, AppPlan *plan)
{
  double mm = 0.0, deg = 0.0;
  if (plan->kind == APP_PLAN_MEET)
    return read_missing (text, canvas->unit, plan->missing_mm);
  if (takes_opening (plan) ? !app_parse_opening (text, canvas->unit, &mm, &deg)
                           : !model_unit_parse (text, canvas->unit, &mm, NULL))
    return false;
  bool some = fabs (mm) > 0.0 || fabs (deg) > 0.0, less = mm < 0.0 || deg < 0.0;
  if ((!some && plan->kind != APP_PLAN_BEND)
      || (less && (plan->kind == APP_PLAN_DART || plan->kind == APP_PLAN_INTAKE)))
    return false;
  plan->mm = mm;
  plan->deg = deg;
  return true;
}

static EngineRemedy *
ghost_of_text (AppCanvas *canvas, const char *text, gpointer user, char **why)
{
  return read_figure (canvas, text, user) ? make_ghost (canvas, user, why) : NULL;
}

static bool
take_text (AppCanvas *canvas, const char *text, gpointer user)
{
  return read_figure (canvas, text, user) && app_plan_take (canvas, user);
}

static char *
step_text (AppCanvas *canvas, const char *text, double steps, gpointer user)
{
  const AppPlan *plan = user;
  double mm, deg;
  if (plan->kind == APP_PLAN_MEET || !app_parse_opening (text, canvas->unit, &mm, &deg))
    return NULL;
  bool angle = strstr (text, "deg") != NULL || strstr (text, "°") != NULL;
  /* Past nothing the other way: 0 would be no opening at all. */
  double *figure = angle ? &deg : &mm;
  *figure += fabs (*figure + steps) < 1e-6 ? 2.0 * steps : steps;
  return app_opening_text (canvas, mm, deg);
}

static void
draw_user (AppCanvas *canvas, cairo_t *cr, gconstpointer user)
{
  app_plan_draw (canvas, cr, user);
}

static const AppAskClass asked = {
  .ghost = ghost_of_text,
  .take = take_text,
  .step = step_text,
  .draw = draw_user,
};

/* The paper's place of the dart's apex or of the join's first end; false: it is gone. */
static bool
find_anchor (AppCanvas *canvas, const AppPlan *plan, GeomPoint *at)
{
  const ModelDocument *doc = app_canvas_document (canvas);
  const ModelPanel *panel = model_document_panel (doc, plan->panel_id);
  ModelReworkDart dart;
  if (panel == NULL || !model_rework_read_dart (panel, plan->leg, &dart))
    return false;
  *at = geom_affine_apply (map_of (doc, plan), dart.apex);
  return true;
}

void
app_plan_ask (AppCanvas *canvas, const AppPlan *plan)
{
  const char *title = NULL,
             *hint = _ ("Preview; nothing is changed yet. Up and Down change it, Enter takes it, Escape "
                        "leaves it.");
  g_autofree char *text = NULL;
  GeomPoint at = plan->from.at;
  double x = 0.0, y = 0.0;
  switch (plan->kind)
  {
  case APP_PLAN_NONE:
  case APP_PLAN_MOVE:
    return;
  case APP_PLAN_DART:
    title = _ ("Take in");
    hint = _ ("Type a length or an angle, such as 20 or 12°. Enter takes it, Escape leaves.");
    text = app_opening_text (canvas, plan->mm, plan->deg);
    break;
  case APP_PLAN_SLASH:
    title = _ ("Open by");
    hint = _ ("Type a length or an angle, such as 20 or 8°; less than nothing closes. "
              "Enter takes it, Escape leaves.");
    text = app_opening_text (canvas, plan->mm, plan->deg);
    break;
  case APP_PLAN_INTAKE:
  case APP_PLAN_BEND:
    if (!find_anchor (canvas, plan, &at))
      return;
    title = plan->kind == APP_PLAN_BEND ? _ ("Legs bend by") : _ ("Take in");
    text = app_canvas_length (canvas, plan->mm);
    break;
  case APP_PLAN_LEVEL:
    title = _ ("Longer by");
    hint = _ ("Type how much longer the panel shall be at this line; less than nothing makes it "
              "shorter.");
    text = app_canvas_length (canvas, plan->mm);
    at = geom_mix (plan->a, plan->b, 0.5);
    break;
  case APP_PLAN_MEET:
    title = _ ("Missing at each end");
    hint = _ ("Begin and end of the join, such as 6; 10. For sides that differ: left and then right, "
              "such as 6; 10; 2; 0.");
    text = g_strdup ("0; 0");
    break;
  }
  if (plan->kind == APP_PLAN_MEET)
    app_canvas_menu_place (canvas, &x, &y);
  else
    app_canvas_entry_place (canvas, at, &x, &y);
  app_ask_open (canvas, &asked, x, y + 10.0, title, text, hint, g_memdup2 (plan, sizeof *plan));
}

/* ---- drawing ---- */

static void
plum_line (AppCanvas *canvas, cairo_t *cr, GeomPoint a, GeomPoint b, bool dashed)
{
  const OutputInk *ink = app_canvas_ink (canvas);
  double x, y;
  cairo_new_path (cr);
  app_canvas_to_widget (canvas, a, &x, &y);
  cairo_move_to (cr, x, y);
  app_canvas_to_widget (canvas, b, &x, &y);
  cairo_line_to (cr, x, y);
  output_set_tone (cr, ink, OUTPUT_TONE_PLUM);
  if (dashed)
    output_set_stroke (cr, &ink->preview);
  else
  {
    cairo_set_dash (cr, NULL, 0, 0.0);
    cairo_set_line_width (cr, 1.4);
  }
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);
}

/* From AT (paper) along WAY (paper, unit); IN: pointing at it, else away from it. */
static void
arrow (AppCanvas *canvas, cairo_t *cr, GeomPoint at, GeomPoint way, bool in)
{
  double x, y, dx = way.x, dy = -way.y, near = 8.0, far = near + ARROW_PX;
  app_canvas_to_widget (canvas, at, &x, &y);
  double tip = in ? near : far, tail = in ? far : near, back = in ? 6.0 : -6.0;
  cairo_new_path (cr);
  cairo_move_to (cr, x + dx * tail, y + dy * tail);
  cairo_line_to (cr, x + dx * tip, y + dy * tip);
  for (int side = -1; side <= 1; side += 2)
  {
    cairo_move_to (cr, x + dx * (tip + back) - side * dy * 4.5, y + dy * (tip + back) + side * dx * 4.5);
    cairo_line_to (cr, x + dx * tip, y + dy * tip);
  }
  output_set_tone (cr, app_canvas_ink (canvas), OUTPUT_TONE_PLUM);
  cairo_set_line_width (cr, 1.6);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_ROUND);
  cairo_stroke (cr);
}

/* On the right of the line from A to B as the paper is seen, clear of it. */
static void
caption_beside (AppCanvas *canvas, cairo_t *cr, GeomPoint a, GeomPoint b, const char *text)
{
  GeomPoint beside = geom_unit (geom_right_of (geom_sub (b, a)));
  if (beside.x < 0.0)
    beside = geom_scale (beside, -1.0);
  app_draw_caption (canvas, cr, geom_mix (a, b, 0.4), CAPTION_PX * beside.x, -0.5 * CAPTION_PX * beside.y,
                    text);
}

static char *
opening_words (AppCanvas *canvas, const AppPlan *plan)
{
  g_autofree char *mm = app_canvas_length (canvas, plan->seen_mm),
                  *deg = app_opening_text (canvas, 0.0, plan->seen_deg);
  return fabs (plan->seen_deg) > 0.0 ? g_strdup_printf ("%s · %s", mm, deg) : g_strdup (mm);
}

static void
draw_slash (AppCanvas *canvas, cairo_t *cr, const AppPlan *plan)
{
  g_autofree char *words = opening_words (canvas, plan);
  GeomPoint across = geom_unit (geom_right_of (geom_sub (plan->hinge.at, plan->from.at)));
  bool closes = plan->mm < 0.0 || plan->deg < 0.0;
  plum_line (canvas, cr, plan->from.at, plan->hinge.at, false);
  arrow (canvas, cr, plan->from.at, across, closes);
  arrow (canvas, cr, plan->from.at, geom_scale (across, -1.0), closes);
  app_draw_spot (canvas, cr, &plan->from, false);
  /* The hinge stays where it is: the filled one. */
  app_draw_spot (canvas, cr, &plan->hinge, true);
  caption_beside (canvas, cr, plan->from.at, plan->hinge.at, words);
}

static void
draw_level (AppCanvas *canvas, cairo_t *cr, const AppPlan *plan)
{
  g_autofree char *words = app_canvas_length (canvas, plan->mm);
  GeomPoint along = level_along (plan);
  plum_line (canvas, cr, plan->a, plan->b, true);
  arrow (canvas, cr, geom_mix (plan->a, plan->b, 0.08), along, plan->mm < 0.0);
  arrow (canvas, cr, geom_mix (plan->a, plan->b, 0.92), along, plan->mm < 0.0);
  app_draw_caption (canvas, cr, geom_mix (plan->a, plan->b, 0.5), 0.0, -20.0, words);
}

/* How much each side's first panel reaches further, at both ends of the join. */
static void
draw_meet (AppCanvas *canvas, cairo_t *cr, const AppPlan *plan)
{
  const ModelJoin *join = model_document_join (app_canvas_document (canvas), plan->join_id);
  EngineJoinReading readings[2];
  int count = join != NULL
                ? engine_review_join_readings (app_session_review (canvas->session), plan->join_id, readings)
                : 0;
  for (int i = 0; i < count; i++)
  {
    GeomPath path;
    geom_path_init (&path);
    if (app_canvas_reading_is_shown (canvas, join, &readings[i])
        && engine_review_run_path (app_session_review (canvas->session), &join->a, readings[i].side_a, &path)
        && path.count > 0)
    {
      guint right = readings[i].side == MODEL_SIDE_RIGHT ? 2 : 0;
      GeomPoint ends[2] = { path.piece[0].p[0], path.piece[path.count - 1].p[3] };
      for (guint end = 0; end < 2; end++)
        if (fabs (plan->missing_mm[right + end]) > 0.0)
        {
          g_autofree char *words = app_canvas_length (canvas, 0.5 * plan->missing_mm[right + end]);
          /* Beyond the end, where the edge itself is not. */
          GeomPoint out = geom_unit (geom_sub (ends[end], ends[1 - end]));
          app_draw_caption (canvas, cr, ends[end], 48.0 * out.x, -28.0 * out.y, words);
        }
    }
    geom_path_clear (&path);
  }
}

static void
draw_intake (AppCanvas *canvas, cairo_t *cr, const AppPlan *plan)
{
  g_autofree char *words
    = plan->kind == APP_PLAN_BEND ? app_canvas_length (canvas, plan->mm) : opening_words (canvas, plan);
  GeomPoint apex;
  if (!find_anchor (canvas, plan, &apex))
    return;
  app_draw_spot (canvas, cr, &(AppSpot) { .at = apex }, true);
  app_draw_caption (canvas, cr, apex, 0.0, -24.0, words);
}

void
app_plan_draw (AppCanvas *canvas, cairo_t *cr, const AppPlan *plan)
{
  switch (plan->kind)
  {
  case APP_PLAN_NONE:
    break;
  case APP_PLAN_DART:
  {
    g_autofree char *words = opening_words (canvas, plan);
    app_draw_spot (canvas, cr, &plan->from, true);
    app_draw_spot (canvas, cr, &(AppSpot) { .at = plan->apex }, false);
    caption_beside (canvas, cr, plan->from.at, plan->apex, words);
    break;
  }
  case APP_PLAN_SLASH:
    draw_slash (canvas, cr, plan);
    break;
  case APP_PLAN_MOVE:
    app_draw_spot (canvas, cr, &plan->hinge, true);
    break;
  case APP_PLAN_INTAKE:
  case APP_PLAN_BEND:
    draw_intake (canvas, cr, plan);
    break;
  case APP_PLAN_LEVEL:
    draw_level (canvas, cr, plan);
    break;
  case APP_PLAN_MEET:
    draw_meet (canvas, cr, plan);
    break;
  }
}
