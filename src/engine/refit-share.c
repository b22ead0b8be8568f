/* The least sum of squares of what each panel gets more or less than its share, with the sum given:
 *
 *     sum over spans of  sides (growth - share)^2 / width  +  sum over ends of  cost v^2   ->  least
 *     sum over spans of  sides growth = by
 *
 * with one unknown v for all ends that must go alike.  Open edges and gaps cost so much that they stay where
 * a seam can do it. */
#include "engine/refit-share.h"

#include "engine/piece.h"

#include <string.h>

/* Against the sum of squares: a seam is free, what lies open is not. */
#define SEAM_COST 1e-6
#define LOOSE_COST 30.0
#define LOOSE_COST_ALONE 0.1 /* where one panel is to do it by itself */
/* An unknown that costs nothing and changes nothing. */
#define NO_PIVOT 1e-12

static bool
run_has (const ModelRun *run, guint panel_id, guint edge_id)
{
  for (guint i = 0; run->panel_id == panel_id && i < run->edges->len; i++)
    if (g_array_index (run->edges, guint, i) == edge_id)
      return true;
  return false;
}

static const ModelJoin *
join_at (EngineReview *review, guint panel_id, guint edge_id, bool gap)
{
  const GPtrArray *joins = engine_review_joins_of (review, panel_id);
  for (guint i = 0; joins && i < joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (joins, i);
    if ((join->kind == MODEL_JOIN_GAP) == gap
        && (run_has (&join->a, panel_id, edge_id) || run_has (&join->b, panel_id, edge_id)))
      return join;
  }
  return NULL;
}

const ModelJoin *
engine_refit_seam_at (EngineReview *review, guint panel_id, guint edge_id)
{
  return join_at (review, panel_id, edge_id, false);
}

static bool
edge_is_locked (const ModelPanel *panel, guint edge)
{
  if (panel->locked || model_panel_edge (panel, edge)->locked)
    return true;
  const ModelEdge *its = model_panel_edge (panel, edge);
  for (guint n = 0; n < its->nodes->len; n++)
    if (model_edge_node (its, n)->locked)
      return true;
  return model_panel_next_node (panel, edge, its->nodes->len - 1)->locked;
}

static void
add_rim (EngineReview *review, const ModelLine *line, const EngineSpanReading *span, bool at_b, GArray *rims)
{
  const ModelPanel *panel = model_document_panel (engine_review_document (review), span->panel_id);
  guint edge_id = at_b ? span->edge_b_id : span->edge_a_id;
  int edge = panel ? model_panel_find_edge (panel, edge_id) : -1;
  if (edge < 0)
    return;
  EngineRefitRim rim = { .panel_id = panel->id,
                         .edge_id = edge_id,
                         .span = span->index,
                         .at_b = at_b,
                         .sides = engine_panel_is_mirrored (panel) && !line->one_side ? 2 : 1,
                         .own_mm = span->inside_mm,
                         .key = edge_id };
  rim.fixed = edge == model_panel_fold_edge (panel) || edge_is_locked (panel, (guint)edge);
  const ModelJoin *join = join_at (review, panel->id, edge_id, false);
  rim.loose = join == NULL;
  if (!join)
    join = join_at (review, panel->id, edge_id, true);
  if (join)
    rim.key = rim.join_id = join->id;
  g_array_append_val (rims, rim);
}

/* A seam whose partner is held, or not crossed by the line, goes by itself, where nothing else will do: then
 * engine/refit-exact.c has to keep the lengths. */
static void
part_from_held (EngineReview *review, GArray *rims)
{
  const ModelDocument *doc = engine_review_document (review);
  for (guint i = 0; i < rims->len; i++)
  {
    EngineRefitRim *rim = &g_array_index (rims, EngineRefitRim, i);
    const ModelJoin *join = rim->key == rim->edge_id ? NULL : model_document_join (doc, rim->key);
    if (!join)
      continue;
    bool there = join->a.panel_id == join->b.panel_id, held = false;
    guint other = join->a.panel_id == rim->panel_id ? join->b.panel_id : join->a.panel_id;
    for (guint k = 0; k < rims->len; k++)
    {
      const EngineRefitRim *partner = &g_array_index (rims, EngineRefitRim, k);
      if (partner->join_id != rim->join_id || k == i)
        continue;
      there = there || partner->panel_id == other;
      held = held || partner->fixed;
    }
    if (!there || held)
    {
      rim->key = rim->edge_id;
      rim->loose = true;
    }
  }
}

GArray *
engine_refit_rims (EngineReview *review, const ModelLine *line, const EngineLineReading *reading)
{
  GArray *rims = g_array_new (FALSE, FALSE, sizeof (EngineRefitRim));
  for (guint i = 0; i < reading->spans->len; i++)
  {
    const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, i);
    if (!span->drawn)
      continue;
    add_rim (review, line, span, false, rims);
    add_rim (review, line, span, true, rims);
  }
  part_from_held (review, rims);
  return rims;
}

/* ---- the least squares ---- */

/* A x = b, N x N, row pivots; columns without one get 0. */
static void
solve_square (double *a, double *b, guint n)
{
  g_autofree guint *column_of = g_new0 (guint, n + 1);
  guint rank = 0;
  for (guint c = 0; c < n && rank < n; c++)
  {
    guint best = rank;
    for (guint r = rank + 1; r < n; r++)
      if (fabs (a[r * n + c]) > fabs (a[best * n + c]))
        best = r;
    if (fabs (a[best * n + c]) <= NO_PIVOT)
      continue;
    for (guint k = 0; k < n; k++)
    {
      double swap = a[rank * n + k];
      a[rank * n + k] = a[best * n + k];
      a[best * n + k] = swap;
    }
    double swap = b[rank];
    b[rank] = b[best];
    b[best] = swap;
    for (guint r = 0; r < n; r++)
    {
      double share = r == rank ? 0.0 : a[r * n + c] / a[rank * n + c];
      if (!(fabs (share) > 0.0))
        continue;
      for (guint k = 0; k < n; k++)
        a[r * n + k] -= share * a[rank * n + k];
      b[r] -= share * b[rank];
    }
    column_of[rank++] = c;
  }
  g_autofree double *x = g_new0 (double, n + 1);
  for (guint r = 0; r < rank; r++)
    x[column_of[r]] = b[r] / a[r * n + column_of[r]];
  memcpy (b, x, n * sizeof *b);
}

static int
unknown_of (const GArray *keys, const EngineRefitRim *rim)
{
  for (guint i = 0; i < keys->len; i++)
    if (g_array_index (keys, guint, i) == rim->key)
      return (int)i;
  return -1;
}

/* What the span of RIM is to grow by on each side. */
static double
share_of (const EngineRefitRim *rim, const EngineRefitWidth *width, double whole_mm, double chosen_mm)
{
  switch (width->share)
  {
  case ENGINE_REFIT_BY_WIDTH:
  case ENGINE_REFIT_ALIKE:
    return whole_mm > 0.0 ? width->by_mm * rim->own_mm / whole_mm : 0.0;
  case ENGINE_REFIT_ONLY:
    return rim->panel_id == width->panel_id && chosen_mm > 0.0 ? width->by_mm * rim->own_mm / chosen_mm : 0.0;
  }
  return 0.0;
}

bool
engine_refit_share_out (GArray *rims, const EngineRefitWidth *width)
{
  g_autoptr (GArray) keys = g_array_new (FALSE, FALSE, sizeof (guint));
  double whole = 0.0, chosen = 0.0, mean = 0.0;
  bool seam = false;
  for (guint i = 0; i < rims->len; i++)
  {
    EngineRefitRim *rim = &g_array_index (rims, EngineRefitRim, i);
    rim->by_mm = 0.0;
    if (!rim->at_b)
    {
      whole += rim->sides * rim->own_mm;
      chosen += rim->panel_id == width->panel_id ? rim->sides * rim->own_mm : 0.0;
    }
    mean += rim->own_mm / rims->len;
    if (!rim->fixed && unknown_of (keys, rim) < 0)
      g_array_append_val (keys, rim->key);
    seam = seam || (!rim->fixed && !rim->loose);
  }
  guint m = keys->len, n = m + 1;
  if (m == 0 || !(mean > 0.0))
    return false;
  g_autofree double *a = g_new0 (double, (gsize)n *n), *b = g_new0 (double, n), *row = g_new0 (double, m);
  double loose = !seam ? SEAM_COST : width->share == ENGINE_REFIT_ONLY ? LOOSE_COST_ALONE : LOOSE_COST;
  for (guint i = 0; i < rims->len; i++)
  {
    const EngineRefitRim *rim = &g_array_index (rims, EngineRefitRim, i);
    int own = rim->fixed ? -1 : unknown_of (keys, rim);
    if (own >= 0)
      a[(guint)own * n + (guint)own] += (width->share == ENGINE_REFIT_ALIKE ? 1.0
                                         : rim->loose                       ? loose
                                                                            : SEAM_COST)
                                        / mean
                                        * (width->share == ENGINE_REFIT_ALIKE && rim->loose ? loose : 1.0);
    if (rim->at_b)
      continue;
    /* Both ends of this span. */
    memset (row, 0, m * sizeof *row);
    for (guint k = 0; k < rims->len; k++)
    {
      const EngineRefitRim *end = &g_array_index (rims, EngineRefitRim, k);
      int index = end->span == rim->span && !end->fixed ? unknown_of (keys, end) : -1;
      if (index >= 0)
        row[index] += 1.0;
    }
    double weight = width->share == ENGINE_REFIT_ALIKE ? 0.0 : rim->sides / fmax (rim->own_mm, 1.0);
    double share = share_of (rim, width, whole, chosen);
    for (guint k = 0; k < m; k++)
    {
      for (guint l = 0; l < m; l++)
        a[k * n + l] += weight * row[k] * row[l];
      b[k] += weight * share * row[k];
      a[k * n + m] += rim->sides * row[k];
      a[m * n + k] += rim->sides * row[k];
    }
  }
  b[m] = width->by_mm;
  solve_square (a, b, n);
  for (guint i = 0; i < rims->len; i++)
  {
    EngineRefitRim *rim = &g_array_index (rims, EngineRefitRim, i);
    int index = rim->fixed ? -1 : unknown_of (keys, rim);
    rim->by_mm = index < 0 ? 0.0 : b[index];
  }
  return true;
}
