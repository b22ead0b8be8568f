#include "engine/meet.h"

#include "engine/fit.h"
#include "engine/remedy.h"
#include "engine/settle.h"
#include "engine/words.h"

#include <glib/gi18n.h>

typedef struct Ends
{
  guint join_id;
  ModelReworkMissing left, right;
} Ends;

static bool
make_meet (ModelHistory *history, gconstpointer user, GError **error)
{
  const Ends *ends = user;
  return model_rework_meet_ends (history, ends->join_id, ends->left, ends->right, error);
}

EngineRemedy *
engine_meet_offer (
  EngineReview *review, guint join_id, ModelReworkMissing left, ModelReworkMissing right, GError **error)
{
  const Ends ends = { join_id, left, right };
  EngineRemedy *remedy = engine_remedy_of (engine_review_document (review), make_meet, &ends,
                                           g_strdup (_ ("Make ends meet")), error);
  if (remedy)
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
