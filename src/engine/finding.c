#include "engine/check.h"
#include "engine/words.h"

#include <glib/gi18n.h>
#include <string.h>

/* A count or a yes/no that does not hold: worse than a length ten times over its tolerance would be too much
 * to say. */
#define PLAIN_WEIGHT 10.0

char *
engine_finding_text (EngineReview *review, const EngineFinding *finding)
{
  return finding->check->text (review, finding);
}

char *
engine_finding_detail (EngineReview *review, const EngineFinding *finding)
{
  return finding->check->detail ? finding->check->detail (review, finding) : g_strdup ("");
}

static void
add_panel_name (GPtrArray *names, const ModelDocument *doc, guint id)
{
  const ModelPanel *panel = id ? model_document_panel (doc, id) : NULL;
  if (panel)
    g_ptr_array_add (names, g_strdup (panel->name));
}

char **
engine_finding_where (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  GPtrArray *names = g_ptr_array_new ();
  add_panel_name (names, doc, finding->panel_id);
  const ModelPanel *panel
    = finding->edge_id && finding->panel_id ? model_document_panel (doc, finding->panel_id) : NULL;
  int index = panel ? model_panel_find_edge (panel, finding->edge_id) : -1;
  if (index >= 0)
    g_ptr_array_add (names, engine_words_edge (panel, (guint)index));
  if (finding->other_panel_id != finding->panel_id)
    add_panel_name (names, doc, finding->other_panel_id);
  const ModelJoin *join = finding->join_id ? model_document_join (doc, finding->join_id) : NULL;
  if (join)
    g_ptr_array_add (names, engine_words_join (doc, join));
  for (guint i = 0; join && finding->mark_id && i < join->matches->len; i++)
    if (g_array_index (join->matches, ModelMatch, i).a_mark_id == finding->mark_id)
      /* Translators: a pair of match marks of a join, counted. */
      g_ptr_array_add (names, g_strdup_printf (_ ("mark %u"), i + 1));
  for (int i = 0; i < 2; i++)
  {
    guint id = i == 0 ? finding->line_id : finding->other_line_id;
    const ModelLine *line = id ? model_document_line (doc, id) : NULL;
    if (line)
      g_ptr_array_add (names, engine_words_line (line));
  }
  const ModelMeasure *measure
    = finding->measure_id ? model_document_measure (doc, finding->measure_id) : NULL;
  if (measure)
    g_ptr_array_add (names, engine_words_measure (measure));
  g_ptr_array_add (names, NULL);
  return (char **)g_ptr_array_free (names, FALSE);
}

/* A locked panel is left as it is, whatever would be settled by changing it. */
static bool
changes_locked (const ModelDocument *doc, const EngineRemedy *remedy)
{
  for (guint i = 0; i < remedy->parts->len; i++)
  {
    const ModelPart *part = &g_array_index (remedy->parts, ModelPart, i);
    const ModelPanel *panel
      = part->kind == MODEL_PART_PANEL ? model_document_panel (doc, model_part_id (*part)) : NULL;
    if (panel && panel->locked)
      return true;
  }
  return false;
}

GPtrArray *
engine_finding_remedies (EngineReview *review, const EngineFinding *finding)
{
  GPtrArray *out = g_ptr_array_new_with_free_func ((GDestroyNotify)engine_remedy_free);
  if (!finding->holds && finding->check->remedies)
    finding->check->remedies (review, finding, out);
  for (guint i = out->len; i-- > 0;)
    if (changes_locked (engine_review_document (review), g_ptr_array_index (out, i)))
      g_ptr_array_remove_index (out, i);
  return out;
}

double
engine_finding_weight (const EngineFinding *finding)
{
  if (finding->holds)
    return 0.0;
  bool measured
    = isfinite (finding->difference) && finding->tolerance > 0.0 && strcmp (finding->unit, "count") != 0;
  return measured ? fabs (finding->difference) / finding->tolerance : PLAIN_WEIGHT;
}
