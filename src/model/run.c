#include "model/run.h"

static guint
run_edge (const ModelRun *run, guint k)
{
  return g_array_index (run->edges, guint, k);
}

/* The edges of the run are neighbours from FIRST on. */
static bool
lies_from (const ModelPanel *panel, const ModelRun *run, guint first)
{
  for (guint k = 0; k < run->edges->len; k++)
    if (model_panel_edge (panel, (first + k) % panel->edges->len)->id != run_edge (run, k))
      return false;
  return true;
}

bool
model_join_closes_dart (const ModelPanel *panel, const ModelJoin *join, guint *first, guint *count)
{
  const ModelRun *a = &join->a, *b = &join->b;
  guint n = panel->edges->len, legs = a->edges->len + b->edges->len;
  int at;

  if (a->panel_id != panel->id || b->panel_id != panel->id || a->twin || b->twin || a->reversed == b->reversed
      || a->edges->len == 0 || b->edges->len == 0 || legs >= n)
    return false;
  if (a->from_mark_id != 0 || a->to_mark_id != 0 || b->from_mark_id != 0 || b->to_mark_id != 0)
    return false;
  at = model_panel_find_edge (panel, run_edge (a, 0));
  if (at >= 0 && lies_from (panel, a, (guint)at) && !lies_from (panel, b, (guint)at + a->edges->len))
  {
    a = &join->b;
    b = &join->a;
    at = model_panel_find_edge (panel, run_edge (a, 0));
  }
  if (at < 0 || !lies_from (panel, a, (guint)at) || !lies_from (panel, b, (guint)at + a->edges->len))
    return false;
  *first = (guint)at;
  *count = legs;
  return true;
}

bool
model_edges_follow (const ModelDocument *doc, const ModelPanel *panel, guint a, guint b)
{
  guint n = panel->edges->len, at = (a + 1) % n;

  /* Each dart passed takes two edges or more; once round at most. */
  for (guint passed = 1; at != b && passed < n;)
  {
    guint step = 0;

    for (guint i = 0; i < doc->joins->len && step == 0; i++)
    {
      guint first, count;

      if (model_join_closes_dart (panel, g_ptr_array_index (doc->joins, i), &first, &count) && first == at)
        step = count;
    }
    passed += step;
    if (step == 0 || passed >= n)
      return false;
    at = (at + step) % n;
  }
  return at == b;
}

bool
model_runs_are_same (const ModelRun *a, const ModelRun *b)
{
  if (a->panel_id != b->panel_id || a->edges->len != b->edges->len || a->from_mark_id != b->from_mark_id
      || a->to_mark_id != b->to_mark_id)
    return false;
  for (guint i = 0; i < a->edges->len; i++)
    if (run_edge (a, i) != run_edge (b, i))
      return false;
  return true;
}

/* The run covers only a part of its K-th edge. */
static bool
is_cut_short (const ModelRun *run, guint k)
{
  return (k == 0 && run->from_mark_id != 0) || (k + 1 == run->edges->len && run->to_mark_id != 0);
}

bool
model_runs_overlap (const ModelRun *a, const ModelRun *b)
{
  g_autoptr (GHashTable) edges = NULL;

  if (a->panel_id != b->panel_id || a->twin != b->twin)
    return false;
  edges = g_hash_table_new (NULL, NULL);
  for (guint i = 0; i < a->edges->len; i++)
    g_hash_table_insert (edges, GUINT_TO_POINTER (run_edge (a, i)), GUINT_TO_POINTER (i + 1));
  for (guint k = 0; k < b->edges->len; k++)
  {
    guint i = GPOINTER_TO_UINT (g_hash_table_lookup (edges, GUINT_TO_POINTER (run_edge (b, k))));

    /* Where a mark ends one of them there, they may lie side by side. */
    if (i != 0 && !is_cut_short (a, i - 1) && !is_cut_short (b, k))
      return true;
  }
  return model_runs_are_same (a, b);
}
