/* A deed of relief that is not done yet: where, what, by how much.  It is tried on a copy of the document and
 * shown as the session's preview, asked a figure for, and done, always by the same call of the model: what is
 * seen is what comes.
 */
#ifndef APP_PLAN_H
#define APP_PLAN_H

#include "app/relief.h"

typedef enum AppPlanKind
{
  APP_PLAN_NONE,
  APP_PLAN_DART,   /* taken out from FROM to APEX */
  APP_PLAN_SLASH,  /* from FROM, hinged at HINGE; an opening below 0 closes */
  APP_PLAN_MOVE,   /* the dart to HINGE, PART of its angle */
  APP_PLAN_INTAKE, /* the dart takes in so much */
  APP_PLAN_BEND,   /* its legs bend by MM */
  APP_PLAN_LEVEL,  /* longer by MM at the line from A to B */
  APP_PLAN_MEET    /* the ends of the join are brought together */
} AppPlanKind;

typedef struct AppPlan
{
  AppPlanKind kind;
  guint panel_id, leg, join_id; /* what it is about; LEG: of the dart */
  ModelSide side;
  bool twin; /* all places are on the side that is not drawn */
  AppSpot from, hinge;
  GeomPoint apex, a, b; /* paper */
  bool bent;
  double part;
  double mm, deg;       /* the opening; DEG 0: MM holds */
  double missing_mm[4]; /* MEET: begin and end at the wearer's left, then right */
  /* What it came to when it was last tried. */
  double seen_mm, seen_deg;
} AppPlan;

/* The deed itself, an EngineDeed; PLAN: const AppPlan *. */
bool app_plan_run (ModelHistory *history, gconstpointer plan, GError **error);
/* What it would change, to be shown; NULL with ERROR: it cannot be done. */
EngineRemedy *app_plan_ghost (const ModelDocument *doc, AppPlan *plan, GError **error);
/* Makes the ghost the session's preview.  False: there is none now, and *WHY (to be freed) says the reason.
 */
bool app_plan_show (AppCanvas *canvas, AppPlan *plan, char **why);
/* Does it, chooses what it made and says so.  False: it was said why not. */
bool app_plan_take (AppCanvas *canvas, const AppPlan *plan);
/* Asks for its figure with the ghost following what is typed. */
void app_plan_ask (AppCanvas *canvas, const AppPlan *plan);
/* What stands beside the ghost: mouth, hinge or apex, how wide it opens. */
void app_plan_draw (AppCanvas *canvas, cairo_t *cr, const AppPlan *plan);

#endif
