#include "engine/join-edit.h"

#include "engine/run.h"
#include "model/run.h"

/* ---- runs ---- */

static void
run_copy (ModelRun *to, const ModelRun *from)
{
  guint n = from->edges->len;
  to->panel_id = from->panel_id;
  to->reversed = from->reversed;
  to->twin = from->twin;
  to->from_mark_id = from->from_mark_id;
  to->to_mark_id = from->to_mark_id;
  if (to->edges)
    g_array_unref (to->edges);
  to->edges = g_array_sized_new (FALSE, FALSE, sizeof (guint), n);
  g_array_append_vals (to->edges, from->edges->data, n);
}

static bool
has_edge (const guint *edge_ids, guint count, guint id)
{
  for (guint i = 0; i < count; i++)
    if (edge_ids[i] == id)
      return true;
  return false;
}

/* The edge before I, or beyond darts closed by joins the picked one there. */
static guint
edge_before (const ModelDocument *doc, const ModelPanel *panel, guint i, const guint *edge_ids, guint count)
{
  guint n = panel->edges->len, before = (i + n - 1) % n;
  if (!doc || has_edge (edge_ids, count, model_panel_edge (panel, before)->id))
    return before;
  for (guint back = 2; back < n; back++)
    if (has_edge (edge_ids, count, model_panel_edge (panel, (i + n - back) % n)->id))
      return model_edges_follow (doc, panel, (i + n - back) % n, i) ? (i + n - back) % n : before;
  return before;
}

bool
engine_run_from_edges (
  const ModelDocument *doc, const ModelPanel *panel, const guint *edge_ids, guint count, ModelRun *run)
{
  guint n = panel->edges->len, picked = 0, starts = 0, start = 0;
  for (guint i = 0; i < n; i++)
  {
    bool here = has_edge (edge_ids, count, model_panel_edge (panel, i)->id);
    guint last = here ? edge_before (doc, panel, i, edge_ids, count) : 0;
    bool before = here && has_edge (edge_ids, count, model_panel_edge (panel, last)->id);
    picked += here;
    if (here && !before)
    {
      starts++;
      start = i;
    }
  }
  /* Picked all round there is no start to see: the first edge is as good as any. */
  if (picked == 0 || starts > 1 || picked < count)
    return false;
  *run
    = (ModelRun) { .panel_id = panel->id, .edges = g_array_sized_new (FALSE, FALSE, sizeof (guint), picked) };
  for (guint k = 0; k < n; k++)
  {
    guint id = model_panel_edge (panel, (start + k) % n)->id;
    if (has_edge (edge_ids, count, id))
      g_array_append_val (run->edges, id);
  }
  return true;
}

/* ---- joins ---- */

static bool
over_the_middle (const ModelRun *a, const ModelRun *b)
{
  if (a->twin != b->twin)
    return true;
  return model_runs_are_same (a, b);
}

ModelJoin *
engine_join_new (const ModelDocument *doc, ModelJoinKind kind, const ModelRun *a, const ModelRun *b)
{
  ModelJoin *join = model_join_new ();
  join->id = 0;
  join->kind = kind;
  g_free (join->letter);
  join->letter = model_document_free_letter (doc);
  run_copy (&join->a, a);
  run_copy (&join->b, b);
  bool middle = over_the_middle (a, b);
  /* Seen from outside, two neighbours run past each other along their seam; an edge and its mirror image run
   * alike. */
  join->a.reversed = false;
  join->b.reversed = !middle;
  if (middle && !join->a.twin && !join->b.twin)
  {
    const ModelPanel *panel = model_document_panel (doc, a->panel_id);
    join->b.twin = panel && engine_panel_is_mirrored (panel);
  }
  return join;
}

static bool
run_has_edge (const ModelRun *run, guint panel_id, guint edge_id)
{
  return run->panel_id == panel_id
         && has_edge ((const guint *)(gpointer)run->edges->data, run->edges->len, edge_id);
}

GArray *
engine_joins_of_edge (const ModelDocument *doc, guint panel_id, guint edge_id)
{
  GArray *ids = g_array_new (FALSE, FALSE, sizeof (guint));
  for (guint i = 0; i < doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (doc->joins, i);
    if (run_has_edge (&join->a, panel_id, edge_id) || run_has_edge (&join->b, panel_id, edge_id))
      g_array_append_val (ids, join->id);
  }
  return ids;
}

/* ---- match marks ---- */

/* Puts a mark at FRACTION of the run on PANEL, a copy.  Returns its id, 0 if the run's edges are not there.
 */
static guint
add_mark (ModelDocument *doc, ModelPanel *panel, const ModelRun *run, double fraction, int wedges)
{
  guint n = run->edges->len;
  g_autofree double *length = g_new0 (double, n + 1);
  double total = 0.0;
  for (guint i = 0; i < n; i++)
  {
    int index = model_panel_find_edge (panel, g_array_index (run->edges, guint, i));
    if (index < 0)
      return 0;
    length[i] = engine_drawn_length_mm (panel, (guint)index);
    total += length[i];
  }
  if (n == 0)
    return 0;
  const ModelMark *from = run->from_mark_id ? model_panel_find_mark (panel, run->from_mark_id) : NULL;
  const ModelMark *to = run->to_mark_id ? model_panel_find_mark (panel, run->to_mark_id) : NULL;
  double start = from ? CLAMP (from->at_mm, 0.0, length[0]) : 0.0;
  double end = to ? total - length[n - 1] + CLAMP (to->at_mm, 0.0, length[n - 1]) : total;
  double along = start + (end - start) * (run->reversed ? 1.0 - fraction : fraction);
  guint k = 0;
  while (k + 1 < n && along > length[k])
    along -= length[k++];
  ModelMark mark = { .id = model_document_take_id (doc),
                     .edge_id = g_array_index (run->edges, guint, k),
                     .at_mm = CLAMP (along, 0.0, length[k]),
                     .wedges = wedges };
  g_array_append_val (panel->marks, mark);
  return mark.id;
}

GArray *
engine_join_add_match (ModelDocument *doc, const ModelJoin *join, double fraction, int wedges)
{
  GArray *parts = g_array_new (FALSE, FALSE, sizeof (ModelPart));
  g_array_set_clear_func (parts, (GDestroyNotify)model_part_clear);
  const ModelPanel *pa = model_document_panel (doc, join->a.panel_id);
  const ModelPanel *pb = model_document_panel (doc, join->b.panel_id);
  if (!pa || !pb || !isfinite (fraction))
    return parts;
  fraction = CLAMP (fraction, 0.0, 1.0);
  ModelPanel *a = model_panel_copy (pa), *b = pa == pb ? a : model_panel_copy (pb);
  ModelMatch match = { .a_mark_id = add_mark (doc, a, &join->a, fraction, wedges) };
  /* A seam over the middle meets its own mirror image: one mark serves both sides. */
  bool own_image = pa == pb && over_the_middle (&join->a, &join->b)
                   && g_array_index (join->a.edges, guint, 0) == g_array_index (join->b.edges, guint, 0);
  match.b_mark_id = own_image ? match.a_mark_id : add_mark (doc, b, &join->b, fraction, wedges);
  bool made = match.a_mark_id && match.b_mark_id;
  if (made)
  {
    ModelPart part = { MODEL_PART_PANEL, a };
    g_array_append_val (parts, part);
    if (b != a)
    {
      part.body = b;
      g_array_append_val (parts, part);
    }
    part = (ModelPart) { MODEL_PART_JOIN, model_join_copy (join) };
    g_array_append_val (((ModelJoin *)part.body)->matches, match);
    g_array_append_val (parts, part);
  }
  else
  {
    model_panel_free (a);
    if (b != a)
      model_panel_free (b);
  }
  return parts;
}
