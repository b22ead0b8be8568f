#include "model/repair.h"

#include "model/tape.h"

#include <glib/gi18n.h>

bool
model_repair_panel (ModelPanel *panel)
{
  bool changed = false;

  for (guint i = panel->marks->len; i-- > 0;)
    if (model_panel_find_edge (panel, g_array_index (panel->marks, ModelMark, i).edge_id) < 0)
    {
      g_array_remove_index (panel->marks, i);
      changed = true;
    }
  for (guint i = panel->corrections->len; i-- > 0;)
    if (!model_panel_find_node (panel, g_array_index (panel->corrections, ModelCorrection, i).node_id, NULL,
                                NULL))
    {
      g_array_remove_index (panel->corrections, i);
      changed = true;
    }
  return model_tapes_repair (panel) || changed;
}

/* ---- was the outline turned round? ---- */

static guint
first_node_id (const ModelPanel *panel, guint edge_index)
{
  return model_edge_node (model_panel_edge (panel, edge_index % panel->edges->len), 0)->id;
}

/* Node ids in the order of the outline. */
static GArray *
node_ids (const ModelPanel *panel)
{
  GArray *ids = g_array_new (FALSE, FALSE, sizeof (guint));

  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++)
      g_array_append_val (ids, model_edge_node (model_panel_edge (panel, e), n)->id);
  return ids;
}

/* Two nodes look alike from both directions; then the edges tell by their first corner.  A loop of two nodes
 * and one edge cannot be told and counts as not turned. */
static bool
is_turned (const ModelPanel *before, const ModelPanel *after)
{
  g_autoptr (GArray) was = node_ids (before);
  g_autoptr (GArray) now = node_ids (after);
  g_autoptr (GHashTable) place = g_hash_table_new (NULL, NULL);
  guint up = 0, down = 0, first = 0, last = 0, common = 0;

  for (guint i = 0; i < was->len; i++)
    g_hash_table_insert (place, GUINT_TO_POINTER (g_array_index (was, guint, i)), GUINT_TO_POINTER (i + 1));
  for (guint i = 0; i < now->len; i++)
  {
    guint at
      = GPOINTER_TO_UINT (g_hash_table_lookup (place, GUINT_TO_POINTER (g_array_index (now, guint, i))));

    if (at == 0)
      continue;
    common++;
    up += last != 0 && at > last;
    down += last != 0 && at < last;
    first = first == 0 ? at : first;
    last = at;
  }
  /* Once round, wherever the lists begin, one step goes against all others. */
  up += first > last;
  down += first < last;
  if (common > 2)
    return down > up;
  for (guint e = 0; e < before->edges->len && before->edges->len > 1; e++)
  {
    int there = model_panel_find_edge (after, model_panel_edge (before, e)->id);
    guint start = first_node_id (before, e), end = first_node_id (before, e + 1);

    if (there >= 0 && start != end && first_node_id (after, (guint)there) == end)
      return first_node_id (after, (guint)there + 1) == start;
  }
  return false;
}

/* ---- what became of each edge ---- */

typedef struct Heirs
{
  guint count;
  bool turned;
  guint *id;    /* the edges there are now, in the direction the outline had */
  guint *owner; /* the former edge each one is, or is part of; 0: none */
} Heirs;

static void
clear_heirs (Heirs *heirs)
{
  g_free (heirs->id);
  g_free (heirs->owner);
}

static Heirs
find_heirs (const ModelPanel *before, const ModelPanel *after)
{
  guint count = after->edges->len, owner = 0;
  Heirs heirs = { .count = count,
                  .turned = is_turned (before, after),
                  .id = g_new0 (guint, count),
                  .owner = g_new0 (guint, count) };

  for (guint i = 0; i < count; i++)
  {
    heirs.id[i] = model_panel_edge (after, heirs.turned ? count - 1 - i : i)->id;
    if (model_panel_find_edge (before, heirs.id[i]) >= 0)
      heirs.owner[i] = heirs.id[i];
  }
  /* Twice round: the list may begin with a part whose owner stands at its end. */
  for (guint i = 0; i < 2 * count; i++)
  {
    if (heirs.owner[i % count] == 0)
      heirs.owner[i % count] = owner;
    owner = heirs.owner[i % count];
  }
  return heirs;
}

static bool
has_id (const GArray *ids, guint id)
{
  for (guint i = 0; i < ids->len; i++)
    if (g_array_index (ids, guint, i) == id)
      return true;
  return false;
}

/* The place among the heirs where the run's first edge still there stands; -1 if none is. */
static int
find_start (const Heirs *heirs, const GArray *edges)
{
  for (guint r = 0; r < edges->len; r++)
    for (guint i = 0; i < heirs->count; i++)
      if (heirs->id[i] == g_array_index (edges, guint, r))
        return (int)i;
  return -1;
}

/* The run's edges and those it leaves out between them, as they were. */
static GArray *
spanned (const ModelPanel *before, const ModelRun *run)
{
  GArray *all = g_array_new (FALSE, FALSE, sizeof (guint));
  guint count = before->edges->len;
  int first = model_panel_find_edge (before, g_array_index (run->edges, guint, 0));
  guint last = g_array_index (run->edges, guint, run->edges->len - 1);

  for (guint i = 0; first >= 0 && i < count; i++)
  {
    guint id = model_panel_edge (before, ((guint)first + i) % count)->id;

    g_array_append_val (all, id);
    if (id == last)
      break;
  }
  return all;
}

/* A run cut short by a mark begins, or ends, on the edge the mark lies on now. */
static void
trim_to_marks (const ModelPanel *after, const ModelRun *run, GArray *edges)
{
  const ModelMark *from = run->from_mark_id != 0 ? model_panel_find_mark (after, run->from_mark_id) : NULL;
  const ModelMark *to = run->to_mark_id != 0 ? model_panel_find_mark (after, run->to_mark_id) : NULL;

  if (from != NULL && has_id (edges, from->edge_id))
    while (g_array_index (edges, guint, 0) != from->edge_id)
      g_array_remove_index (edges, 0);
  if (to != NULL && has_id (edges, to->edge_id))
    while (g_array_index (edges, guint, edges->len - 1) != to->edge_id)
      g_array_set_size (edges, edges->len - 1);
}

/* False: nothing is left of the run. */
static bool
mend_run (ModelRun *run, const ModelPanel *before, const ModelPanel *after, const Heirs *heirs, bool *changed)
{
  int found = find_start (heirs, run->edges);
  g_autoptr (GArray) edges = g_array_new (FALSE, TRUE, sizeof (guint));
  g_autoptr (GArray) span = spanned (before, run);
  guint start, back = 0;

  if (found < 0)
    return false;
  start = (guint)found;
  while (back < heirs->count && has_id (run->edges, heirs->owner[(start + heirs->count - 1) % heirs->count]))
  {
    start = (start + heirs->count - 1) % heirs->count;
    back++;
  }
  if (back == heirs->count)
    start = (guint)found; /* all round */
  for (guint i = 0; i < heirs->count; i++)
  {
    guint at = (start + i) % heirs->count;

    if (!has_id (run->edges, heirs->owner[at]))
    {
      if (has_id (span, heirs->owner[at]))
        continue;
      break;
    }
    if (heirs->turned)
      g_array_prepend_val (edges, heirs->id[at]);
    else
      g_array_append_val (edges, heirs->id[at]);
  }
  if (heirs->turned)
  {
    guint swap = run->from_mark_id;

    run->from_mark_id = run->to_mark_id;
    run->to_mark_id = swap;
  }
  trim_to_marks (after, run, edges);
  if (edges->len == run->edges->len
      && memcmp (edges->data, run->edges->data, edges->len * sizeof (guint)) == 0 && !heirs->turned)
    return true;
  *changed = true;
  run->reversed ^= heirs->turned;
  g_array_set_size (run->edges, 0);
  g_array_append_vals (run->edges, edges->data, edges->len);
  return true;
}

/* ---- joins ---- */

static bool
mark_is_on_run (const ModelDocument *doc, const ModelRun *run, guint mark_id)
{
  const ModelPanel *panel = model_document_panel (doc, run->panel_id);
  const ModelMark *mark = panel != NULL ? model_panel_find_mark (panel, mark_id) : NULL;

  return mark != NULL && has_id (run->edges, mark->edge_id);
}

static bool
mend_matches (const ModelDocument *doc, ModelJoin *join)
{
  bool changed = false;

  for (guint i = join->matches->len; i-- > 0;)
  {
    ModelMatch match = g_array_index (join->matches, ModelMatch, i);

    if (mark_is_on_run (doc, &join->a, match.a_mark_id) && mark_is_on_run (doc, &join->b, match.b_mark_id))
      continue;
    g_array_remove_index (join->matches, i);
    changed = true;
  }
  return changed;
}

void
model_repair_joins (ModelHistory *history, const ModelPanel *before)
{
  ModelDocument *doc = model_history_document (history);
  const ModelPanel *after = model_document_panel (doc, before->id);
  g_autoptr (GArray) touched = g_array_new (FALSE, FALSE, sizeof (guint));
  Heirs heirs;

  if (after == NULL)
    return;
  heirs = find_heirs (before, after);
  for (guint i = 0; i < doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (doc->joins, i);

    if (join->a.panel_id == before->id || join->b.panel_id == before->id)
      g_array_append_val (touched, join->id);
  }
  model_history_begin (history, _ ("Reshape panel"));
  for (guint i = 0; i < touched->len; i++)
  {
    guint id = g_array_index (touched, guint, i);
    g_autoptr (ModelJoin) join = model_join_copy (model_document_join (doc, id));
    bool changed = false, alive = true;

    if (join->a.panel_id == before->id)
      alive = mend_run (&join->a, before, after, &heirs, &changed);
    if (alive && join->b.panel_id == before->id)
      alive = mend_run (&join->b, before, after, &heirs, &changed);
    if (!alive)
    {
      model_history_remove (history, MODEL_PART_JOIN, id);
      continue;
    }
    changed |= mend_matches (doc, join);
    if (changed)
      model_history_put_join (history, g_steal_pointer (&join));
  }
  model_history_end (history);
  clear_heirs (&heirs);
}

guint
model_repair_put_panel (ModelHistory *history, ModelPanel *panel)
{
  const ModelPanel *present = model_document_panel (model_history_document (history), panel->id);
  g_autoptr (ModelPanel) before = present != NULL ? model_panel_copy (present) : NULL;
  guint id;

  model_repair_panel (panel);
  model_history_begin (history, before != NULL ? _ ("Reshape panel") : _ ("Add panel"));
  id = model_history_put_panel (history, panel);
  if (before != NULL)
    model_repair_joins (history, before);
  model_history_end (history);
  return id;
}
