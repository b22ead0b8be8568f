#include "engine/meet.h"

#include "engine/fit.h"
#include "engine/settle.h"
#include "engine/words.h"

#include <glib/gi18n.h>

static void
add_changed (EngineRemedy *remedy, const ModelDocument *doc, guint panel_id)
{
  for (guint i = 0; i < remedy->parts->len; i++)
    if (model_part_id (g_array_index (remedy->parts, ModelPart, i)) == panel_id)
      return;
  const ModelPanel *panel = model_document_panel (doc, panel_id);
  if (panel)
    engine_remedy_add (remedy, MODEL_PART_PANEL, model_panel_copy (panel));
}

EngineRemedy *
engine_meet_offer (
  EngineReview *review, guint join_id, ModelReworkMissing left, ModelReworkMissing right, GError **error)
{
  ModelDocument *doc = model_document_copy (engine_review_document (review));
  g_autoptr (ModelHistory) history = model_history_new (doc);
  if (!model_rework_meet_ends (history, join_id, left, right, error))
    return NULL;
  const ModelJoin *join = model_document_join (doc, join_id);
  EngineRemedy *remedy = engine_remedy_new (g_strdup (_ ("Make ends meet")), NULL);
  add_changed (remedy, doc, join->a.panel_id);
  add_changed (remedy, doc, join->b.panel_id);
  remedy->detail = engine_fit_consequence (review, remedy);
  return remedy;
}

bool
engine_meet_has_sides (const ModelDocument *doc, const ModelJoin *join)
{
  const ModelPanel *a = model_document_panel (doc, join->a.panel_id),
                   *b = model_document_panel (doc, join->b.panel_id);
  return a && b && (engine_panel_is_mirrored (a) || engine_panel_is_mirrored (b));
}

char *
engine_words_meet_end (const ModelDocument *doc, const ModelJoin *join, bool at_end)
{
  const ModelPanel *panel = model_document_panel (doc, join->a.panel_id);
  guint edge, beside, corner;
  return panel && engine_settle_corner (panel, &join->a, at_end, &edge, &beside, &corner)
           ? engine_words_edge (panel, beside)
           : g_strdup (at_end ? _ ("the end") : _ ("the start"));
}
