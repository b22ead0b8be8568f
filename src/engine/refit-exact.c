/* Newton's method outside, on the lines as they are measured; inside, engine/solve.h finds the least change
 * that meets the linear equations of the lines and the true ones of the joins.  Two or three rounds do.
 *
 * A width is the sum of its stretches inside the panel, each from where the line enters to where it leaves:
 * both ends count by how far they go along the line.  Where the line crosses an edge askew (a dart's leg),
 * the crossing moves by the edge's way square to itself, over the cosine between both.
 */
#include "engine/refit-exact.h"

#include "engine/refit-body.h"
#include "engine/run.h"
#include "engine/settle.h"
#include "engine/solve.h"
#include "engine/tolerance.h"

enum
{
  MOST_ROUNDS = 40,
  MOST_UNKNOWNS = 6000,
  MOST_CUTS = 64
};

/* So near is exact: a thousandth of what is printed with one decimal, and above what lengths are measured to.
 */
#define EXACT_MM 1e-6
/* Nothing is bent farther than this for exactness' sake. */
#define MOST_MM 120.0
/* A handle's millimetre changes less than a node's. */
#define HANDLE_WEIGHT 0.4
/* A line that runs along an edge has no crossing to speak of: cosine. */
#define LEAST_COSINE 0.2
#define RIM_MM 1e-3
/* A line comes to its sum by such steps: a far way at once bends what is near more than it must. */
#define STEP_MM 12.0
/* A mark this far from its partner is put right. */
#define DRIFT_MM 1e-6

typedef struct Work
{
  EngineReview *before, *review; /* REVIEW: of DOC as it is now */
  ModelDocument *doc;
  const GArray *free, *targets;
  EngineSolve *solve;
} Work;

static bool
is_free (const Work *work, guint panel_id)
{
  for (guint i = 0; i < work->free->len; i++)
    if (g_array_index (work->free, guint, i) == panel_id)
      return true;
  return false;
}

static double
target_of (const EngineRefitTarget *target, const EngineLineReading *reading)
{
  return target->as_wanted && reading->has_measure ? reading->wanted_mm : target->sum_mm;
}

static const EngineJoinReading *
reading_of (EngineReview *review, const EngineJoinReading *like)
{
  const GArray *readings = engine_review_readings (review);
  for (guint i = 0; i < readings->len; i++)
  {
    const EngineJoinReading *one = &g_array_index (readings, EngineJoinReading, i);
    if (one->join_id == like->join_id && one->side == like->side)
      return one;
  }
  return NULL;
}

/* The join held, and something free has a part in it. */
static bool
is_held (const Work *work, const EngineJoinReading *was)
{
  const ModelJoin *join = model_document_join (work->doc, was->join_id);
  return was->holds && join && (is_free (work, join->a.panel_id) || is_free (work, join->b.panel_id));
}

static double
worst_of (const Work *work)
{
  double worst = 0.0;
  for (guint i = 0; i < work->targets->len; i++)
  {
    const EngineRefitTarget *target = &g_array_index (work->targets, EngineRefitTarget, i);
    const EngineLineReading *reading = engine_review_line (work->review, target->line_id);
    if (reading)
      worst = fmax (worst, fabs (reading->sum_mm - target_of (target, reading)));
  }
  const GArray *readings = engine_review_readings (work->before);
  for (guint i = 0; i < readings->len; i++)
  {
    const EngineJoinReading *was = &g_array_index (readings, EngineJoinReading, i), *now;
    if (is_held (work, was) && (now = reading_of (work->review, was)) != NULL)
      worst = fmax (worst, fabs (now->difference_mm - was->difference_mm));
  }
  return worst;
}

/* ---- equations ---- */

static void
loosen_panel (Work *work, guint panel_id)
{
  const ModelPanel *panel = model_document_panel (work->doc, panel_id);
  for (guint e = 0; panel && e < panel->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++)
    {
      guint id = model_edge_node (model_panel_edge (panel, e), n)->id;
      engine_solve_loosen (work->solve, panel_id, id, ENGINE_GRIP_NODE, ENGINE_MOVE_ALIKE, 1.0);
      /* At a corner a handle may turn, elsewhere the curve runs on as it did. */
      bool corner = n == 0;
      engine_solve_loosen (work->solve, panel_id, id, corner ? ENGINE_GRIP_IN : ENGINE_GRIP_IN_ALONG,
                           ENGINE_MOVE_ALIKE, HANDLE_WEIGHT);
      engine_solve_loosen (work->solve, panel_id, id, corner ? ENGINE_GRIP_OUT : ENGINE_GRIP_OUT_ALONG,
                           ENGINE_MOVE_ALIKE, HANDLE_WEIGHT);
    }
}

/* Where a line enters or leaves. */
typedef struct Gate
{
  double along; /* 0..1 of the span */
  guint piece;
  double t;
  bool is_end;
} Gate;

static int
by_along (gconstpointer a, gconstpointer b)
{
  const Gate *x = a, *y = b;
  return x->along < y->along ? -1 : x->along > y->along;
}

static void
add_gate (GArray *gates, double along, size_t piece, double t, bool is_end)
{
  for (guint i = 0; i < gates->len; i++)
    if (fabs (g_array_index (gates, Gate, i).along - along) < 1e-9)
      return;
  Gate gate = { along, (guint)piece, t, is_end };
  g_array_append_val (gates, gate);
}

static GArray *
find_gates (const GeomPath *shape, const EngineSpanReading *span)
{
  GArray *gates = g_array_new (FALSE, FALSE, sizeof (Gate));
  GeomPathNearest a = geom_path_nearest (shape, span->a), b = geom_path_nearest (shape, span->b);
  add_gate (gates, 0.0, a.place.piece, a.place.t, true);
  add_gate (gates, 1.0, b.place.piece, b.place.t, true);
  GeomCubic line = geom_cubic_line (span->a, span->b);
  double length = geom_distance (span->a, span->b);
  for (size_t k = 0; k < shape->count && length > 0.0; k++)
  {
    GeomCrossing found[9];
    int count = geom_cubic_crossings (&line, &shape->piece[k], ENGINE_TOL_LENGTH_MM, found, 9);
    for (int i = 0; i < count && gates->len < MOST_CUTS; i++)
      if (found[i].t * length > RIM_MM && (1.0 - found[i].t) * length > RIM_MM)
        add_gate (gates, found[i].t, k, found[i].u, false);
  }
  g_array_sort (gates, by_along);
  return gates;
}

/* The edge and its node of piece K. */
static bool
piece_place (const ModelPanel *panel, guint k, guint *edge_id, guint *node)
{
  for (guint e = 0; e < panel->edges->len; e++)
  {
    guint count = model_panel_edge (panel, e)->nodes->len;
    if (k < count)
    {
      *edge_id = model_panel_edge (panel, e)->id;
      *node = k;
      return true;
    }
    k -= count;
  }
  return false;
}

static bool
is_inside (const GeomPath *shape, GeomPoint p)
{
  return geom_path_contains (shape, p) || geom_path_nearest (shape, p).distance_mm <= RIM_MM;
}

/* What the span counts, as the open equation; *NOW gets what that is at present. */
static void
add_span (Work *work, const EngineSpanReading *span, double *now)
{
  const ModelPanel *panel = model_document_panel (work->doc, span->panel_id);
  if (!panel)
    return;
  GeomPath shape;
  geom_path_init (&shape);
  /* Where both sides are alike, the drawn one stands for the other. */
  bool drawn = span->drawn || !panel->own_sides;
  GeomAffine mirror = model_panel_mirror (panel);
  EngineSpanReading as = *span;
  if (!span->drawn && drawn)
  {
    as.a = geom_affine_apply (mirror, span->a);
    as.b = geom_affine_apply (mirror, span->b);
  }
  engine_line_shape (panel, drawn, &shape, NULL);
  g_autoptr (GArray) gates = find_gates (&shape, &as);
  GeomPoint way = geom_unit (geom_sub (as.b, as.a));
  for (guint i = 0; i + 1 < gates->len; i++)
  {
    const Gate *pair[2] = { &g_array_index (gates, Gate, i), &g_array_index (gates, Gate, i + 1) };
    if (!is_inside (&shape, geom_mix (as.a, as.b, (pair[0]->along + pair[1]->along) / 2.0)))
      continue;
    for (int k = 0; k < 2; k++)
    {
      const GeomCubic *c = &shape.piece[pair[k]->piece];
      GeomPoint by = way, normal = geom_right_of (geom_cubic_tangent (c, pair[k]->t));
      double cosine = geom_dot (normal, way);
      if (!pair[k]->is_end && fabs (cosine) > LEAST_COSINE)
        by = geom_scale (normal, 1.0 / cosine);
      by = geom_scale (by, k == 0 ? -1.0 : 1.0);
      guint edge, node;
      if (!piece_place (panel, pair[k]->piece, &edge, &node))
        continue;
      *now += geom_dot (by, geom_cubic_at (c, pair[k]->t));
      engine_solve_add_place (work->solve, panel->id, span->side, edge, node, pair[k]->t, by);
    }
  }
  geom_path_clear (&shape);
}

/* What is wanted, one more at each. */
typedef enum Wish
{
  WISH_LINES,
  WISH_JOINS,
  WISH_HEIGHTS, /* levels stay where the lengths have put them */
  WISH_ANGLES
} Wish;

/* Adds both ends of a span to the open equation, across it: with the signs, how much it slopes or, twice, how
 * high it lies. */
static void
add_ends (Work *work, const EngineSpanReading *span, const GeomPath *shape, double a_sign)
{
  const ModelPanel *panel = model_document_panel (work->doc, span->panel_id);
  GeomPoint normal = geom_left_of (geom_unit (geom_sub (span->b, span->a)));
  for (int k = 0; k < 2; k++)
  {
    GeomPlace place = geom_path_nearest (shape, k == 0 ? span->a : span->b).place;
    guint edge, node;
    if (piece_place (panel, (guint)place.piece, &edge, &node))
      engine_solve_add_place (work->solve, panel->id, span->side, edge, node, place.t,
                              geom_scale (normal, k == 0 ? a_sign : 1.0));
  }
}

/* Both ends of a span stay at one height, and at theirs. */
static void
keep_level (Work *work, const EngineSpanReading *span, Wish wish)
{
  const ModelPanel *panel = model_document_panel (work->doc, span->panel_id);
  if (!panel || !span->drawn || !is_free (work, span->panel_id))
    return;
  GeomPath shape;
  geom_path_init (&shape);
  engine_line_shape (panel, true, &shape, NULL);
  engine_solve_want_as_is (work->solve);
  add_ends (work, span, &shape, -1.0);
  if (wish >= WISH_HEIGHTS)
  {
    engine_solve_want_as_is (work->solve);
    add_ends (work, span, &shape, 1.0);
  }
  geom_path_clear (&shape);
}

static bool
is_middle (const Work *work, const ModelPanel *panel, guint edge)
{
  if ((int)edge == model_panel_fold_edge (panel))
    return true;
  const GPtrArray *joins = engine_review_joins_of (work->review, panel->id);
  for (guint i = 0; joins && i < joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (joins, i);
    if (join->kind != MODEL_JOIN_GAP || join->a.panel_id != join->b.panel_id)
      continue;
    for (guint k = 0; k < join->a.edges->len; k++)
      if (g_array_index (join->a.edges, guint, k) == model_panel_edge (panel, edge)->id)
        return true;
  }
  return false;
}

/* Where the neck meets the middle of front or back it stays: that length was put there, and the gap is what
 * it was. */
static void
keep_middle (Work *work, const EngineSpanReading *span)
{
  const ModelPanel *panel = model_document_panel (work->doc, span->panel_id);
  guint n = panel ? panel->edges->len : 0;
  for (guint e = 0; e < n && span->drawn && is_free (work, span->panel_id); e++)
    for (int end = 0; is_middle (work, panel, e) && end < 2; end++)
    {
      guint at = (e + (guint)end) % n;
      GeomPoint from = model_edge_node (model_panel_edge (panel, e), 0)->at,
                to = model_edge_node (model_panel_edge (panel, (e + 1) % n), 0)->at, p = end ? to : from;
      if (geom_distance (p, span->a) > RIM_MM && geom_distance (p, span->b) > RIM_MM)
        continue;
      /* On a fold it cannot go sideways anyway. */
      GeomPoint along = geom_unit (geom_sub (to, from)), ways[2] = { along, geom_left_of (along) };
      for (int k = 0; k < ((int)e == model_panel_fold_edge (panel) ? 1 : 2); k++)
      {
        engine_solve_want_as_is (work->solve);
        engine_solve_add_place (work->solve, panel->id, span->side, model_panel_edge (panel, at)->id, 0, 0.0,
                                ways[k]);
      }
    }
}

/* A neck opening's span as a run, the shorter way round.  Frees with g_array_unref (run.edges). */
static bool
span_as_run (const ModelPanel *panel, const ModelSpan *span, ModelRun *run)
{
  const ModelMark *a = model_panel_find_mark (panel, span->a_mark_id),
                  *b = model_panel_find_mark (panel, span->b_mark_id);
  int from = a ? model_panel_find_edge (panel, a->edge_id) : -1,
      to = b ? model_panel_find_edge (panel, b->edge_id) : -1;
  guint n = panel->edges->len;
  if (from < 0 || to < 0)
    return false;
  double whole = 0.0, at_a = a->at_mm, at_b = b->at_mm;
  for (guint e = 0; e < n; e++)
  {
    at_a += (int)e < from ? engine_drawn_length_mm (panel, e) : 0.0;
    at_b += (int)e < to ? engine_drawn_length_mm (panel, e) : 0.0;
    whole += engine_drawn_length_mm (panel, e);
  }
  double ahead = at_b >= at_a ? at_b - at_a : at_b - at_a + whole;
  bool forward = ahead <= whole / 2.0;
  guint first = (guint)(forward ? from : to), last = (guint)(forward ? to : from);
  *run = (ModelRun) { .panel_id = panel->id, .edges = g_array_new (FALSE, FALSE, sizeof (guint)) };
  run->from_mark_id = forward ? a->id : b->id;
  run->to_mark_id = forward ? b->id : a->id;
  for (guint i = 0; i < n; i++)
  {
    guint e = (first + i) % n, id = model_panel_edge (panel, e)->id;
    g_array_append_val (run->edges, id);
    if (e == last)
      break;
  }
  return true;
}

static void
want_line (Work *work, const EngineRefitTarget *target, Wish wish)
{
  const ModelLine *line = model_document_line (work->doc, target->line_id);
  const EngineLineReading *reading = engine_review_line (work->review, target->line_id);
  bool any = false;
  for (guint i = 0; line && reading && i < reading->spans->len; i++)
    any = any || is_free (work, g_array_index (reading->spans, EngineSpanReading, i).panel_id);
  if (!any)
    return;
  double now = 0.0, over = CLAMP (reading->sum_mm - target_of (target, reading), -STEP_MM, STEP_MM);
  engine_solve_want (work->solve, 0.0);
  for (guint i = 0; i < reading->spans->len; i++)
  {
    const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, i);
    if (line->kind != MODEL_LINE_NECK)
    {
      add_span (work, span, &now);
      continue;
    }
    ModelRun run;
    const ModelPanel *panel = model_document_panel (work->doc, span->panel_id);
    if (!panel || !span_as_run (panel, &g_array_index (line->spans, ModelSpan, span->index), &run))
      continue;
    engine_solve_add_run (work->solve, &run, span->side, 1.0);
    now += span->inside_mm;
    g_array_unref (run.edges);
  }
  engine_solve_set_target (work->solve, now - over);
  for (guint i = 0; i < reading->spans->len; i++)
  {
    const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, i);
    if (line->kind != MODEL_LINE_NECK)
      keep_level (work, span, wish);
    else if (wish >= WISH_HEIGHTS)
      keep_middle (work, span);
  }
}

static void
want_join (Work *work, const EngineJoinReading *was)
{
  const ModelJoin *join = model_document_join (work->doc, was->join_id);
  double percent = join->ease_in_percent ? join->ease_percent / 100.0 : 0.0;
  engine_solve_want (work->solve, (join->ease_in_percent ? 0.0 : join->ease_mm) + was->difference_mm);
  engine_solve_add_run (work->solve, &join->b, was->side_b, 1.0);
  engine_solve_add_run (work->solve, &join->a, was->side_a, -1.0 - percent);
}

/* The inner angle at an end of a run, less half a turn, with its sign on that side. */
static bool
add_angle (Work *work, const ModelRun *run, ModelSide side, bool at_end)
{
  const ModelPanel *panel = model_document_panel (work->doc, run->panel_id);
  guint edge, beside, corner;
  if (!engine_settle_corner (panel, run, at_end, &edge, &beside, &corner))
    return false;
  bool drawn_end = at_end != run->reversed;
  guint in = drawn_end ? edge : beside, out = drawn_end ? beside : edge;
  bool mirrored = engine_panel_is_mirrored (panel) && panel->own_sides && side != MODEL_SIDE_CENTRE
                  && side != engine_panel_drawn_side (panel);
  double way = mirrored ? -1.0 : 1.0;
  return engine_solve_add_direction (work->solve, panel->id, side, model_panel_edge (panel, in)->id, true,
                                     way)
         && engine_solve_add_direction (work->solve, panel->id, side, model_panel_edge (panel, out)->id,
                                        false, -way);
}

/* What lies beside a seam runs on over it as it did. */
static void
keep_true (Work *work, const EngineJoinReading *was)
{
  const ModelJoin *join = model_document_join (work->doc, was->join_id);
  for (int end = 0; end < 2 && join->kind != MODEL_JOIN_GAP; end++)
  {
    guint a, b, edge, beside;
    if (!engine_settle_corner (model_document_panel (work->doc, join->a.panel_id), &join->a, end, &edge,
                               &beside, &a)
        || !engine_settle_corner (model_document_panel (work->doc, join->b.panel_id), &join->b, end, &edge,
                                  &beside, &b)
        || a == b) /* the tip of a dart */
      continue;
    engine_solve_want_as_is (work->solve);
    add_angle (work, &join->a, was->side_a, end);
    add_angle (work, &join->b, was->side_b, end);
  }
}

static void
put_panels (Work *work)
{
  g_autoptr (GPtrArray) panels = engine_solve_take_panels (work->solve);
  for (guint i = 0; i < panels->len; i++)
  {
    ModelPanel *panel = model_panel_copy (g_ptr_array_index (panels, i));
    g_autoptr (GArray) marks = engine_refit_hold_marks (model_document_panel (work->doc, panel->id));
    engine_refit_put_marks (panel, marks);
    ModelPart part = model_document_swap (work->doc, (ModelPart) { MODEL_PART_PANEL, panel });
    model_part_clear (&part);
    engine_review_touch (work->review, MODEL_PART_PANEL, panel->id);
  }
}

static bool
one_round (Work *work, Wish wish)
{
  work->solve = engine_solve_new (work->doc);
  engine_solve_allow (work->solve, MOST_UNKNOWNS);
  for (guint i = 0; i < work->free->len; i++)
    loosen_panel (work, g_array_index (work->free, guint, i));
  for (guint i = 0; i < work->targets->len; i++)
    want_line (work, &g_array_index (work->targets, EngineRefitTarget, i), wish);
  const GArray *readings = engine_review_readings (work->before);
  for (guint i = 0; i < readings->len && wish >= WISH_JOINS; i++)
  {
    const EngineJoinReading *was = &g_array_index (readings, EngineJoinReading, i);
    if (!is_held (work, was))
      continue;
    want_join (work, was);
    if (wish >= WISH_ANGLES)
      keep_true (work, was);
  }
  bool solved = engine_solve_run (work->solve, MOST_MM);
  if (solved)
    put_panels (work);
  g_clear_pointer (&work->solve, engine_solve_free);
  return solved;
}

/* ---- match marks ---- */

/* Nothing else ends at the mark. */
static bool
mark_is_its_own (const ModelDocument *doc, guint mark_id)
{
  guint uses = 0;
  for (guint i = 0; i < doc->lines->len; i++)
  {
    const ModelLine *line = g_ptr_array_index (doc->lines, i);
    for (guint k = 0; k < line->spans->len; k++)
    {
      const ModelSpan *span = &g_array_index (line->spans, ModelSpan, k);
      uses += span->a_mark_id == mark_id || span->b_mark_id == mark_id ? 2u : 0u;
    }
  }
  for (guint i = 0; i < doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (doc->joins, i);
    const ModelRun *runs[2] = { &join->a, &join->b };
    for (int r = 0; r < 2; r++)
      uses += runs[r]->from_mark_id == mark_id || runs[r]->to_mark_id == mark_id ? 2u : 0u;
    for (guint k = 0; k < join->matches->len; k++)
    {
      const ModelMatch *match = &g_array_index (join->matches, ModelMatch, k);
      uses += match->a_mark_id == mark_id || match->b_mark_id == mark_id ? 1u : 0u;
    }
  }
  return uses <= 1;
}

static bool
drift_of (EngineReview *review,
          const ModelJoin *join,
          const EngineJoinReading *reading,
          const ModelMatch *match,
          double *drift)
{
  double a, b;
  if (!engine_review_mark_along (review, &join->a, reading->side_a, match->a_mark_id, &a)
      || !engine_review_mark_along (review, &join->b, reading->side_b, match->b_mark_id, &b))
    return false;
  *drift = b - a - engine_review_ease_before (review, reading, a);
  return true;
}

/* Both runs' marks drift as they did: the one on b, else that on a, moves along its run. */
static void
settle_marks (Work *work, const EngineJoinReading *was)
{
  const ModelJoin *join = model_document_join (work->doc, was->join_id);
  for (guint k = 0; join && k < join->matches->len; k++)
  {
    const ModelMatch *match = &g_array_index (join->matches, ModelMatch, k);
    const EngineJoinReading *now = reading_of (work->review, was);
    double before, after;
    if (!now || !drift_of (work->before, join, was, match, &before)
        || !drift_of (work->review, join, now, match, &after) || fabs (after - before) <= DRIFT_MM)
      continue;
    bool b = mark_is_its_own (work->doc, match->b_mark_id);
    const ModelRun *run = b ? &join->b : &join->a;
    ModelPanel *panel = model_document_panel (work->doc, run->panel_id);
    if (!panel || (!b && !mark_is_its_own (work->doc, match->a_mark_id)))
      continue;
    engine_mark_move_along (panel, run, b ? match->b_mark_id : match->a_mark_id,
                            b ? before - after : after - before);
    engine_review_touch (work->review, MODEL_PART_PANEL, panel->id);
  }
}

bool
engine_refit_exact (EngineReview *before, ModelDocument *doc, const GArray *free, const GArray *targets)
{
  Work work = { .before = before, .doc = doc, .free = free, .targets = targets };
  work.review = engine_review_new (doc);
  bool exact = worst_of (&work) <= EXACT_MM;
  int wish = WISH_ANGLES;
  for (int round = 0; round < MOST_ROUNDS && !exact && wish >= WISH_LINES; round++)
  {
    if (one_round (&work, (Wish)wish))
      exact = worst_of (&work) <= EXACT_MM;
    else
      wish--;
  }
  const GArray *readings = engine_review_readings (before);
  for (guint i = 0; i < readings->len; i++)
  {
    EngineJoinReading was = g_array_index (readings, EngineJoinReading, i);
    if (is_held (&work, &was))
      settle_marks (&work, &was);
  }
  engine_review_free (work.review);
  return exact;
}
