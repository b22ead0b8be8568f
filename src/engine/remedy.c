#include "engine/remedy.h"

#include "engine/check.h"

EngineRemedy *
engine_remedy_new (char *text_taken, char *detail_taken)
{
  EngineRemedy *remedy = g_new0 (EngineRemedy, 1);
  remedy->text = text_taken;
  remedy->detail = detail_taken;
  remedy->parts = g_array_new (FALSE, FALSE, sizeof (ModelPart));
  g_array_set_clear_func (remedy->parts, (GDestroyNotify)model_part_clear);
  return remedy;
}

void
engine_remedy_add (EngineRemedy *remedy, ModelPartKind kind, gpointer body)
{
  ModelPart part = { kind, body };
  g_array_append_val (remedy->parts, part);
}

void
engine_remedy_free (EngineRemedy *remedy)
{
  if (!remedy)
    return;
  g_free (remedy->text);
  g_free (remedy->detail);
  g_array_unref (remedy->parts);
  g_free (remedy);
}

ModelDocument *
engine_remedy_try (const ModelDocument *doc, const EngineRemedy *remedy)
{
  ModelDocument *copy = model_document_copy (doc);
  for (guint i = 0; i < remedy->parts->len; i++)
    model_document_put (copy, model_part_copy (g_array_index (remedy->parts, ModelPart, i)), -1);
  return copy;
}

/* ---- the same finding before and after ---- */

static bool
same_place (const EngineFinding *a, const EngineFinding *b)
{
  return a->check == b->check && a->has_side == b->has_side && (!a->has_side || a->side == b->side)
         && a->panel_id == b->panel_id && a->other_panel_id == b->other_panel_id && a->join_id == b->join_id
         && a->measure_id == b->measure_id;
}

static guint
place_hash (gconstpointer key)
{
  const EngineFinding *finding = key;
  guint hash = finding->panel_id * 31u + finding->other_panel_id;
  hash = hash * 31u + finding->join_id;
  hash = hash * 31u + finding->measure_id;
  return hash * 31u + (finding->has_side ? (guint)finding->side + 1u : 0u);
}

static gboolean
place_equal (gconstpointer a, gconstpointer b)
{
  return same_place (a, b);
}

/* Place -> GPtrArray of its findings, in order.  Several findings may share one place: the marks of a join.
 */
static GHashTable *
by_place (const GPtrArray *findings)
{
  GHashTable *table
    = g_hash_table_new_full (place_hash, place_equal, NULL, (GDestroyNotify)g_ptr_array_unref);
  for (guint i = 0; i < findings->len; i++)
  {
    EngineFinding *finding = g_ptr_array_index (findings, i);
    GPtrArray *list = g_hash_table_lookup (table, finding);
    if (!list)
    {
      list = g_ptr_array_new ();
      g_hash_table_insert (table, finding, list);
    }
    g_ptr_array_add (list, finding);
  }
  return table;
}

/* What did not hold before may go on so; all else must hold, and the wanted one too. */
static bool
is_better (const GPtrArray *before, const GPtrArray *after, const EngineFinding *wanted)
{
  g_autoptr (GHashTable) old = by_place (before), new = by_place (after);
  GHashTableIter iter;
  gpointer key, value;
  g_hash_table_iter_init (&iter, new);
  while (g_hash_table_iter_next (&iter, &key, &value))
  {
    const GPtrArray *now = value, *was = g_hash_table_lookup (old, key);
    for (guint i = 0; i < now->len; i++)
    {
      const EngineFinding *finding = g_ptr_array_index (now, i);
      const EngineFinding *counterpart = was && i < was->len ? g_ptr_array_index (was, i) : NULL;
      if (!finding->holds && (!counterpart || counterpart->holds || counterpart == wanted))
        return false;
    }
  }
  return true;
}

bool
engine_remedy_settles (EngineReview *review, const EngineFinding *finding, const EngineRemedy *remedy)
{
  g_autoptr (ModelDocument) copy = engine_remedy_try (engine_review_document (review), remedy);
  g_autoptr (EngineReview) trial = engine_review_new (copy);
  const GPtrArray *before = engine_review_findings (review);
  const EngineFinding *wanted = NULL;
  for (guint i = 0; i < before->len && wanted != finding; i++)
  {
    const EngineFinding *one = g_ptr_array_index (before, i);
    if (one == finding || (!wanted && same_place (one, finding) && one->what == finding->what && !one->holds))
      wanted = one;
  }
  return wanted && is_better (before, engine_review_findings (trial), wanted);
}

bool
engine_remedy_offer (EngineReview *review, const EngineFinding *finding, GPtrArray *out, EngineRemedy *remedy)
{
  if (!remedy)
    return false;
  if (!engine_remedy_settles (review, finding, remedy))
  {
    engine_remedy_free (remedy);
    return false;
  }
  g_ptr_array_add (out, remedy);
  return true;
}
