#include "engine/go-back.h"

#include "engine/compare.h"
#include "engine/piece.h"
#include "model/repair.h"
#include "model/shape.h"

#include <glib/gi18n.h>

/* ---- one panel ---- */

static bool
has_match (const ModelJoin *join, ModelMatch match)
{
  for (guint i = 0; i < join->matches->len; i++)
  {
    const ModelMatch *m = &g_array_index (join->matches, ModelMatch, i);
    if (m->a_mark_id == match.a_mark_id && m->b_mark_id == match.b_mark_id)
      return true;
  }
  return false;
}

/* The run's edges and ends as they were.  False: they are so already. */
static bool
take_run (ModelRun *run, const ModelRun *was)
{
  bool same = run->edges->len == was->edges->len && run->from_mark_id == was->from_mark_id
              && run->to_mark_id == was->to_mark_id && run->reversed == was->reversed;
  for (guint i = 0; same && i < was->edges->len; i++)
    same = g_array_index (run->edges, guint, i) == g_array_index (was->edges, guint, i);
  if (same)
    return false;
  g_array_set_size (run->edges, 0);
  g_array_append_vals (run->edges, was->edges->data, was->edges->len);
  run->from_mark_id = was->from_mark_id;
  run->to_mark_id = was->to_mark_id;
  run->reversed = was->reversed;
  return true;
}

/* JOIN, which there is still, meets the panel where it did then; matches with marks of then come back. */
static void
mend_join (ModelHistory *history, const ModelJoin *was, guint panel_id)
{
  const ModelDocument *doc = model_history_document (history);
  const ModelJoin *present = model_document_join (doc, was->id);
  g_autoptr (ModelJoin) join = model_join_copy (present);
  bool changed = false;
  if (was->a.panel_id == panel_id && join->a.panel_id == panel_id)
    changed |= take_run (&join->a, &was->a);
  if (was->b.panel_id == panel_id && join->b.panel_id == panel_id)
    changed |= take_run (&join->b, &was->b);
  const ModelPanel *pa = model_document_panel (doc, join->a.panel_id),
                   *pb = model_document_panel (doc, join->b.panel_id);
  for (guint i = 0; pa != NULL && pb != NULL && i < was->matches->len; i++)
  {
    ModelMatch match = g_array_index (was->matches, ModelMatch, i);
    if (!has_match (join, match) && model_panel_find_mark (pa, match.a_mark_id) != NULL
        && model_panel_find_mark (pb, match.b_mark_id) != NULL)
    {
      g_array_append_val (join->matches, match);
      changed = true;
    }
  }
  if (changed)
    model_history_put_join (history, g_steal_pointer (&join));
}

static bool
touches (const ModelJoin *join, guint panel_id)
{
  return join->a.panel_id == panel_id || join->b.panel_id == panel_id;
}

static void
put_material (ModelHistory *history, const ModelDocument *state, guint id)
{
  const ModelMaterial *material = id != 0 ? model_document_material (state, id) : NULL;
  if (material != NULL && model_document_material (model_history_document (history), id) == NULL)
    model_history_put_material (history, model_material_copy (material));
}

bool
engine_go_back_panel (ModelHistory *history, const ModelDocument *state, guint panel_id)
{
  const ModelDocument *doc = model_history_document (history);
  const ModelPanel *was = model_document_panel (state, panel_id);
  bool present = model_document_panel (doc, panel_id) != NULL;
  if (was == NULL && !present)
    return false;
  /* Joins the maker has taken away since stay away, unless they went with the panel. */
  g_autoptr (GArray) wanted = g_array_new (FALSE, FALSE, sizeof (guint));
  for (guint i = 0; i < state->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (state->joins, i);
    if (touches (join, panel_id) && (!present || model_document_join (doc, join->id) != NULL))
      g_array_append_val (wanted, join->id);
  }
  model_history_begin (history, _ ("Go back to an earlier panel"));
  if (was == NULL)
    model_history_remove_panel (history, panel_id);
  else
  {
    put_material (history, state, was->material_id);
    model_repair_put_panel (history, model_panel_copy (was));
  }
  for (guint i = 0; was != NULL && i < wanted->len; i++)
  {
    const ModelJoin *join = model_document_join (state, g_array_index (wanted, guint, i));
    if (model_document_join (doc, join->id) != NULL)
      mend_join (history, join, panel_id);
    else if (model_document_panel (doc, join->a.panel_id) != NULL
             && model_document_panel (doc, join->b.panel_id) != NULL)
      model_history_put_join (history, model_join_copy (join));
  }
  model_history_end (history);
  return true;
}

/* ---- one side ---- */

bool
engine_go_back_has_side (const ModelDocument *doc, const ModelDocument *state, guint panel_id)
{
  const ModelPanel *now = model_document_panel (doc, panel_id), *was = model_document_panel (state, panel_id);
  if (now == NULL || was == NULL || !engine_panel_is_mirrored (now))
    return false;
  g_autoptr (ModelPanel) tried = model_panel_copy (now);
  return model_shape_take_side (tried, was, now->side, geom_affine_identity ());
}

bool
engine_go_back_side (ModelHistory *history, const ModelDocument *state, guint panel_id, ModelSide side)
{
  const ModelDocument *doc = model_history_document (history);
  if (!engine_go_back_has_side (doc, state, panel_id))
    return false;
  const ModelPanel *was = model_document_panel (state, panel_id);
  g_autoptr (ModelPanel) panel = model_panel_copy (model_document_panel (doc, panel_id));
  GeomAffine laid = engine_compare_laid (was, panel, side);
  if (!model_shape_take_side (panel, was, side, laid))
    return false;
  model_history_begin (history, side == MODEL_SIDE_LEFT ? _ ("Go back on the wearer’s left")
                                                        : _ ("Go back on the wearer’s right"));
  model_repair_put_panel (history, g_steal_pointer (&panel));
  model_history_end (history);
  return true;
}

/* ---- everything ---- */

/* In this order a part finds what it refers to. */
static const ModelPartKind kinds[]
  = { MODEL_PART_MATERIAL, MODEL_PART_MEASURE, MODEL_PART_PANEL, MODEL_PART_JOIN, MODEL_PART_LINE };

void
engine_go_back_all (ModelHistory *history, const ModelDocument *state)
{
  ModelDocument *doc = model_history_document (history);
  model_history_begin (history, _ ("Go back to an earlier revision"));
  for (guint k = G_N_ELEMENTS (kinds); k-- > 0;)
  {
    GPtrArray *list = model_document_list (doc, kinds[k]);
    for (guint i = list->len; i-- > 0;)
    {
      guint id = model_part_id ((ModelPart) { kinds[k], g_ptr_array_index (list, i) });
      if (model_document_part (state, kinds[k], id).body == NULL)
        model_history_remove (history, kinds[k], id);
    }
  }
  for (guint k = 0; k < G_N_ELEMENTS (kinds); k++)
  {
    GPtrArray *list = model_document_list (state, kinds[k]);
    for (guint i = 0; i < list->len; i++)
    {
      ModelPart part = { kinds[k], g_ptr_array_index (list, i) };
      model_history_put (history, model_part_copy (part));
    }
    for (guint i = 0; i < list->len; i++)
      model_history_move (history, kinds[k],
                          model_part_id ((ModelPart) { kinds[k], g_ptr_array_index (list, i) }), i);
  }
  model_history_end (history);
}
