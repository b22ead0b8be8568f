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

EngineRemedy *
engine_remedy_copy (const EngineRemedy *remedy)
{
  EngineRemedy *copy = engine_remedy_new (g_strdup (remedy->text), g_strdup (remedy->detail));
  for (guint i = 0; i < remedy->parts->len; i++)
  {
    ModelPart part = model_part_copy (g_array_index (remedy->parts, ModelPart, i));
    engine_remedy_add (copy, part.kind, part.body);
  }
  return copy;
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

/* ---- a deed as a remedy ---- */

typedef struct Touched
{
  ModelDocument *doc;
  EngineRemedy *remedy;
  bool removed;
} Touched;

static void
on_touched (ModelHistory *history, int kind, guint id, int touch, gpointer user)
{
  Touched *touched = user;
  touched->removed = touched->removed || touch == MODEL_TOUCH_REMOVED;
  for (guint i = 0; i < touched->remedy->parts->len; i++)
  {
    ModelPart *part = &g_array_index (touched->remedy->parts, ModelPart, i);
    if (part->kind != (ModelPartKind)kind || model_part_id (*part) != id)
      continue;
    model_part_clear (part);
    g_array_remove_index (touched->remedy->parts, i);
    break;
  }
  ModelPart now = model_document_part (touched->doc, (ModelPartKind)kind, id);
  if (now.body)
    engine_remedy_add (touched->remedy, (ModelPartKind)kind, model_part_copy (now).body);
}

static EngineRemedy *
remedy_of (const ModelDocument *doc,
           EngineDeed deed,
           gconstpointer user,
           bool may_remove,
           char *text_taken,
           GError **error)
{
  ModelDocument *copy = model_document_copy (doc);
  g_autoptr (ModelHistory) history = model_history_new (copy);
  Touched touched = { copy, engine_remedy_new (text_taken, NULL), false };
  gulong id = g_signal_connect (history, "touched", G_CALLBACK (on_touched), &touched);
  bool done = deed (history, user, error);
  g_signal_handler_disconnect (history, id);
  if (done && (may_remove || !touched.removed) && touched.remedy->parts->len > 0)
    return touched.remedy;
  engine_remedy_free (touched.remedy);
  return NULL;
}

EngineRemedy *
engine_remedy_of (
  const ModelDocument *doc, EngineDeed deed, gconstpointer user, char *text_taken, GError **error)
{
  return remedy_of (doc, deed, user, false, text_taken, error);
}

EngineRemedy *
engine_remedy_seen (
  const ModelDocument *doc, EngineDeed deed, gconstpointer user, char *text_taken, GError **error)
{
  return remedy_of (doc, deed, user, true, text_taken, error);
}

/* ---- the same finding before and after ---- */

static bool
same_place (const EngineFinding *a, const EngineFinding *b)
{
  return a->check == b->check && a->has_side == b->has_side && (!a->has_side || a->side == b->side)
         && a->panel_id == b->panel_id && a->other_panel_id == b->other_panel_id && a->join_id == b->join_id
         && a->measure_id == b->measure_id && a->line_id == b->line_id && a->other_line_id == b->other_line_id
         && a->mark_id == b->mark_id;
}

static guint
place_hash (gconstpointer key)
{
  const EngineFinding *finding = key;
  guint hash = finding->panel_id * 31u + finding->other_panel_id;
  hash = hash * 31u + finding->join_id;
  hash = hash * 31u + finding->measure_id;
  hash = hash * 31u + finding->line_id;
  hash = hash * 31u + finding->other_line_id;
  hash = hash * 31u + finding->mark_id;
  return hash * 31u + (finding->has_side ? (guint)finding->side + 1u : 0u);
}

static gboolean
place_equal (gconstpointer a, gconstpointer b)
{
  return same_place (a, b);
}

/* Place -> GPtrArray of its findings, in order: several may share one place. */
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

static bool
is_worse (const EngineFinding *now, const EngineFinding *was, const EngineFinding *wanted)
{
  return !now->holds && (!was || was->holds || was == wanted);
}

/* The same places in the same order, as after most changes: then each is compared with its own. */
static bool
in_step (const GPtrArray *before, const GPtrArray *after)
{
  bool same = before->len == after->len;
  for (guint i = 0; i < before->len && same; i++)
    same = same_place (g_ptr_array_index (before, i), g_ptr_array_index (after, i));
  return same;
}

/* What did not hold before may go on so; all else must hold, and the wanted one too. */
static bool
is_better (const GPtrArray *before, const GPtrArray *after, const EngineFinding *wanted)
{
  if (in_step (before, after))
  {
    for (guint i = 0; i < after->len; i++)
      if (is_worse (g_ptr_array_index (after, i), g_ptr_array_index (before, i), wanted))
        return false;
    return true;
  }
  g_autoptr (GHashTable) old = by_place (before), new = by_place (after);
  GHashTableIter iter;
  gpointer key, value;
  g_hash_table_iter_init (&iter, new);
  while (g_hash_table_iter_next (&iter, &key, &value))
  {
    const GPtrArray *now = value, *was = g_hash_table_lookup (old, key);
    for (guint i = 0; i < now->len; i++)
    {
      const EngineFinding *counterpart = was && i < was->len ? g_ptr_array_index (was, i) : NULL;
      if (is_worse (g_ptr_array_index (now, i), counterpart, wanted))
        return false;
    }
  }
  return true;
}

/* ---- trying ---- */

/* A second review over a document that borrows every part, so that a try works out only what the remedy
 * touches.  It lives until the first review is touched. */
typedef struct Trial
{
  ModelDocument *doc;
  EngineReview *review;
} Trial;

static void
trial_free (gpointer data)
{
  Trial *trial = data;
  engine_review_free (trial->review);
  trial->doc->head = NULL;
  model_document_free (trial->doc);
  g_free (trial);
}

static Trial *
trial_of (EngineReview *review)
{
  Trial *trial = engine_review_kept (review);
  if (trial)
    return trial;
  const ModelDocument *doc = engine_review_document (review);
  trial = g_new0 (Trial, 1);
  trial->doc = model_document_new ();
  model_head_free (trial->doc->head);
  trial->doc->head = doc->head;
  for (ModelPartKind kind = MODEL_PART_MATERIAL; kind <= MODEL_PART_LINE; kind++)
  {
    GPtrArray *list = model_document_list (doc, kind);
    g_ptr_array_set_free_func (model_document_list (trial->doc, kind), NULL);
    for (guint i = 0; i < list->len; i++)
      model_document_put (trial->doc, (ModelPart) { kind, g_ptr_array_index (list, i) }, -1);
  }
  trial->review = engine_review_new (trial->doc);
  engine_review_findings (trial->review);
  engine_review_keep (review, trial, trial_free);
  return trial;
}

/* Puts the remedy's parts in, or takes them out again: they change places with those in the document. */
static void
swap_parts (Trial *trial, GArray *parts)
{
  for (guint i = 0; i < parts->len; i++)
  {
    ModelPart *part = &g_array_index (parts, ModelPart, i);
    guint id = model_part_id (*part);
    ModelPart old = model_document_swap (trial->doc, *part);
    if (old.body)
      *part = old;
    engine_review_touch (trial->review, part->kind, id);
  }
}

static bool
replaces_only (const ModelDocument *doc, const EngineRemedy *remedy)
{
  for (guint i = 0; i < remedy->parts->len; i++)
  {
    ModelPart part = g_array_index (remedy->parts, ModelPart, i);
    if (!model_document_part (doc, part.kind, model_part_id (part)).body)
      return false;
  }
  return true;
}

static const EngineFinding *
find_wanted (const GPtrArray *findings, const EngineFinding *finding)
{
  const EngineFinding *wanted = NULL;
  for (guint i = 0; i < findings->len && wanted != finding; i++)
  {
    const EngineFinding *one = g_ptr_array_index (findings, i);
    if (one == finding || (!wanted && same_place (one, finding) && one->what == finding->what && !one->holds))
      wanted = one;
  }
  return wanted;
}

/* A part that is added cannot change places with one that is there: tried on a copy. */
static bool
settles_anew (EngineReview *review,
              const EngineRemedy *remedy,
              const GPtrArray *before,
              const EngineFinding *wanted)
{
  g_autoptr (ModelDocument) tried = engine_remedy_try (engine_review_document (review), remedy);
  g_autoptr (EngineReview) after = engine_review_new (tried);
  return is_better (before, engine_review_findings (after), wanted);
}

bool
engine_remedy_settles (EngineReview *review, const EngineFinding *finding, const EngineRemedy *remedy)
{
  const GPtrArray *before = engine_review_findings (review);
  const EngineFinding *wanted = find_wanted (before, finding);
  if (!wanted)
    return false;
  if (!replaces_only (engine_review_document (review), remedy))
    return settles_anew (review, remedy, before, wanted);
  Trial *trial = trial_of (review);
  g_autoptr (GArray) parts = g_array_new (FALSE, FALSE, sizeof (ModelPart));
  g_array_append_vals (parts, remedy->parts->data, remedy->parts->len);
  swap_parts (trial, parts);
  bool better = is_better (before, engine_review_findings (trial->review), wanted);
  /* Out in the opposite order, for a part may be there twice. */
  for (guint i = 0; i < parts->len / 2; i++)
  {
    ModelPart swap = g_array_index (parts, ModelPart, i);
    g_array_index (parts, ModelPart, i) = g_array_index (parts, ModelPart, parts->len - 1 - i);
    g_array_index (parts, ModelPart, parts->len - 1 - i) = swap;
  }
  swap_parts (trial, parts);
  return better;
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
