/* Why nothing is offered for a finding, and what the maker can do about it. */
#include "engine/check.h"

#include <glib/gi18n.h>

static const ModelPanel *
panel_of (const ModelDocument *doc, guint id)
{
  return id ? model_document_panel (doc, id) : NULL;
}

static bool
has_lock (const ModelPanel *panel)
{
  for (guint e = 0; panel && e < panel->edges->len; e++)
  {
    const ModelEdge *edge = model_panel_edge (panel, e);
    if (edge->locked)
      return true;
    for (guint n = 0; n < edge->nodes->len; n++)
      if (model_edge_node (edge, n)->locked)
        return true;
  }
  return false;
}

/* Joined to something besides what the finding is about. */
static bool
is_held (EngineReview *review, const EngineFinding *finding, const ModelPanel *panel)
{
  const GPtrArray *joins = panel ? engine_review_joins_of (review, panel->id) : NULL;
  for (guint i = 0; joins && i < joins->len; i++)
    if (((const ModelJoin *)g_ptr_array_index (joins, i))->id != finding->join_id)
      return true;
  return false;
}

char *
engine_finding_why_none (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelPanel *panel = panel_of (doc, finding->panel_id),
                   *other = panel_of (doc, finding->other_panel_id);
  if (other == panel)
    other = NULL;
  if (panel && other && panel->locked && other->locked)
    return g_strdup_printf (
      _ ("%1$s and %2$s are both locked. Unlock the one that may change, and it is worked out."), panel->name,
      other->name);
  const ModelPanel *locked = panel && panel->locked ? panel : other && other->locked ? other : NULL;
  if (locked)
    return g_strdup_printf (_ ("%s is locked. Unlock it, and what would settle this is worked out."),
                            locked->name);
  if (has_lock (panel) || has_lock (other))
    return g_strdup_printf (
      _ ("What would have to move on %s is locked: an edge or a node. Unlock it, or change it on the paper."),
      has_lock (panel) ? panel->name : other->name);
  if (is_held (review, finding, panel) || is_held (review, finding, other))
    return g_strdup (_ ("Whatever was tried would break a join that holds now. Let one of them ease, or "
                        "change it on the paper."));
  return g_strdup (_ ("No small change settles it. Change it on the paper; the list follows."));
}
