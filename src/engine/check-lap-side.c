/* A lap belongs on the piece that goes under, and only there.
 *
 * One finding for each place of a lapped join.  What the edges really carry is compared, so an allowance set
 * by hand that contradicts the join is found too.  Expected: the lap, or 0 where the over side is at fault;
 * actual: what the worst edge carries.
 */
#include "engine/check.h"
#include "engine/join-words.h"
#include "engine/remedy.h"
#include "engine/tolerance.h"
#include "engine/words.h"

#include <glib/gi18n.h>

typedef enum What
{
  WHAT_RIGHT,
  WHAT_FORGOTTEN, /* nothing under, nothing over */
  WHAT_ON_OVER,   /* nothing under, something over */
  WHAT_BOTH,      /* something on either */
  WHAT_WIDTH,     /* under, but not as wide as the lap */
  WHAT_GONE
} What;

/* The edge of a run whose allowance is farthest from WANTED_MM. */
static bool
worst_edge (EngineReview *review,
            const ModelRun *run,
            ModelSide side,
            double wanted_mm,
            guint *edge_id,
            double *actual_mm)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelPanel *panel = model_document_panel (doc, run->panel_id);
  if (!panel)
    return false;
  const EnginePiece *piece = engine_panel_is_mirrored (panel)
                               ? engine_review_seam_piece (review, panel->id, side)
                               : engine_review_seam_piece (review, panel->id, panel->side);
  double worst = -1.0;
  for (guint i = 0; piece && i < run->edges->len; i++)
  {
    guint id = g_array_index (run->edges, guint, i);
    int index = engine_piece_find_edge (piece, id, side);
    if (index < 0)
      continue;
    double allowance = g_array_index (piece->edges, EnginePieceEdge, index).allowance_mm;
    if (fabs (allowance - wanted_mm) > worst)
    {
      worst = fabs (allowance - wanted_mm);
      *edge_id = id;
      *actual_mm = allowance;
    }
  }
  return worst >= 0.0;
}

static bool
is_none (double mm)
{
  return fabs (mm) <= ENGINE_TOL_ALLOWANCE_MM;
}

static EngineFinding
read_place (EngineReview *review, const ModelJoin *join, const EngineJoinReading *reading)
{
  const ModelRun *under = join->b_over ? &join->a : &join->b, *over = join->b_over ? &join->b : &join->a;
  ModelSide under_side = join->b_over ? reading->side_a : reading->side_b;
  ModelSide over_side = join->b_over ? reading->side_b : reading->side_a;
  EngineFinding finding = engine_finding_blank (&engine_check_lap_side);
  finding.join_id = join->id;
  finding.panel_id = under->panel_id;
  finding.other_panel_id = over->panel_id;
  finding.tolerance = ENGINE_TOL_ALLOWANCE_MM;
  engine_join_set_side (&finding, reading);
  finding.what = WHAT_GONE;
  guint under_edge, over_edge;
  double on_under, on_over;
  if (!worst_edge (review, under, under_side, join->lap_mm, &under_edge, &on_under)
      || !worst_edge (review, over, over_side, 0.0, &over_edge, &on_over))
    return finding;

  bool none_over = is_none (on_over), none_under = is_none (on_under);
  bool right_under = is_none (on_under - join->lap_mm);
  if (right_under && none_over)
    finding.what = WHAT_RIGHT;
  else if (none_over)
    finding.what = none_under ? WHAT_FORGOTTEN : WHAT_WIDTH;
  else
    finding.what = none_under ? WHAT_ON_OVER : WHAT_BOTH;
  finding.holds = finding.what == WHAT_RIGHT;
  bool blame_over = finding.what == WHAT_BOTH;
  if (finding.what != WHAT_BOTH)
    finding.edge_id = under_edge;
  finding.expected = blame_over ? 0.0 : join->lap_mm;
  finding.actual = blame_over ? on_over : on_under;
  finding.difference = finding.actual - finding.expected;
  finding.has_at = engine_review_run_point (review, blame_over ? over : under,
                                            blame_over ? over_side : under_side, false, &finding.at);
  return finding;
}

static void
run (EngineReview *review, guint id, GArray *out)
{
  const ModelJoin *join = model_document_join (engine_review_document (review), id);
  if (join->kind != MODEL_JOIN_LAPPED)
    return;
  EngineJoinReading readings[2];
  int n = engine_review_join_readings (review, id, readings);
  for (int i = 0; i < n; i++)
  {
    EngineFinding finding = read_place (review, join, &readings[i]);
    g_array_append_val (out, finding);
  }
}

static char *
text (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelJoin *join = model_document_join (doc, finding->join_id);
  if (!join)
    return g_strdup (_ ("A lapped join has lost an edge."));
  g_autofree char *under = engine_words_run_owner (doc, join, !join->b_over);
  g_autofree char *over = engine_words_run_owner (doc, join, join->b_over);
  g_autofree char *lap = engine_words_length (doc, join->lap_mm);
  g_autofree char *actual
    = isfinite (finding->actual) ? engine_words_length (doc, finding->actual) : g_strdup ("");
  switch ((What)finding->what)
  {
  case WHAT_RIGHT:
    return g_strdup_printf (_ ("%1$s goes under and carries the lap of %2$s."), under, lap);
  case WHAT_FORGOTTEN:
    return g_strdup_printf (_ ("The lap of %1$s is missing on %2$s, which goes under %3$s."), lap, under,
                            over);
  case WHAT_ON_OVER:
    return g_strdup_printf (_ ("The lap is on %1$s, which lies over; %2$s goes under and needs %3$s."), over,
                            under, lap);
  case WHAT_BOTH:
    return g_strdup_printf (_ ("%1$s lies over %2$s and carries %3$s; only what goes under needs a lap."),
                            over, under, actual);
  case WHAT_WIDTH:
    return g_strdup_printf (_ ("The lap on %1$s is %2$s wide instead of %3$s."), under, actual, lap);
  case WHAT_GONE:
    return g_strdup (_ ("A lapped join has lost an edge."));
  }
  return g_strdup ("");
}

static char *
detail (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelJoin *join = model_document_join (doc, finding->join_id);
  return join ? engine_join_words_detail (doc, join) : g_strdup ("");
}

/* ---- remedies ---- */

static ModelPanel *
panel_in (EngineRemedy *remedy, const ModelDocument *doc, guint id)
{
  for (guint i = 0; i < remedy->parts->len; i++)
  {
    ModelPart *part = &g_array_index (remedy->parts, ModelPart, i);
    if (part->kind == MODEL_PART_PANEL && model_part_id (*part) == id)
      return part->body;
  }
  ModelPanel *panel = model_panel_copy (model_document_panel (doc, id));
  engine_remedy_add (remedy, MODEL_PART_PANEL, panel);
  return panel;
}

/* FORCE: sets WANTED_MM by hand; else the joins decide again. */
static void
settle_run (EngineRemedy *remedy, const ModelDocument *doc, const ModelRun *run, double wanted_mm, bool force)
{
  ModelPanel *panel = panel_in (remedy, doc, run->panel_id);
  for (guint i = 0; i < run->edges->len; i++)
  {
    int index = model_panel_find_edge (panel, g_array_index (run->edges, guint, i));
    if (index < 0)
      continue;
    ModelEdge *edge = model_panel_edge (panel, (guint)index);
    edge->has_allowance = force;
    edge->allowance_mm = force ? wanted_mm : 0.0;
  }
}

static EngineRemedy *
put_lap_right (const ModelDocument *doc, const ModelJoin *join, bool force_under, bool force_over)
{
  const ModelRun *under = join->b_over ? &join->a : &join->b, *over = join->b_over ? &join->b : &join->a;
  g_autofree char *lap = engine_words_length (doc, join->lap_mm);
  g_autofree char *who = engine_words_run_owner (doc, join, !join->b_over);
  EngineRemedy *remedy
    = engine_remedy_new (g_strdup_printf (_ ("Put the lap of %1$s on the under side, %2$s"), lap, who), NULL);
  settle_run (remedy, doc, over, 0.0, force_over);
  settle_run (remedy, doc, under, join->lap_mm, force_under);
  return remedy;
}

static EngineRemedy *
turn_over (const ModelDocument *doc, const ModelJoin *join)
{
  ModelJoin *turned = model_join_copy (join);
  turned->b_over = !join->b_over;
  g_autofree char *lap = engine_words_length (doc, join->lap_mm);
  g_autofree char *who = engine_words_run_owner (doc, join, join->b_over);
  EngineRemedy *remedy
    = engine_remedy_new (g_strdup_printf (_ ("Let %1$s go under, with its lap of %2$s"), who, lap), NULL);
  engine_remedy_add (remedy, MODEL_PART_JOIN, turned);
  return remedy;
}

static EngineRemedy *
take_width (const ModelDocument *doc, const ModelJoin *join, double width_mm)
{
  ModelJoin *changed = model_join_copy (join);
  changed->lap_mm = width_mm;
  g_autofree char *width = engine_words_length (doc, width_mm);
  EngineRemedy *remedy
    = engine_remedy_new (g_strdup_printf (_ ("Make the lap %s wide, as it is drawn"), width), NULL);
  engine_remedy_add (remedy, MODEL_PART_JOIN, changed);
  return remedy;
}

static void
remedies (EngineReview *review, const EngineFinding *finding, GPtrArray *out)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelJoin *join = model_document_join (doc, finding->join_id);
  if (!join || finding->what == WHAT_GONE)
    return;
  /* Leaving it to the joins is best; where another join on the same edges asks for something else, it is set
   * by hand. */
  for (int way = 0; way < 4; way++)
    if (engine_remedy_offer (review, finding, out, put_lap_right (doc, join, way & 1, way & 2)))
      break;
  if (finding->what == WHAT_ON_OVER)
    engine_remedy_offer (review, finding, out, turn_over (doc, join));
  if (finding->what == WHAT_WIDTH && finding->actual > 0.0)
    engine_remedy_offer (review, finding, out, take_width (doc, join, finding->actual));
}

const EngineCheck engine_check_lap_side = {
  .name = "lap-side",
  .subject = ENGINE_SUBJECT_JOIN,
  .run = run,
  .text = text,
  .detail = detail,
  .remedies = remedies,
};
