/* Fitting to another wearer, in words. */
#include "engine/piece.h"
#include "engine/refit-field.h"
#include "engine/refit.h"
#include "engine/words.h"

#include <glib/gi18n.h>

/* Shown with one decimal: less is nothing. */
#define SHOWN_MM 0.05

static char *
line_name (const ModelDocument *doc, guint line_id)
{
  const ModelLine *line = model_document_line (doc, line_id);
  return line ? engine_words_line (line) : g_strdup ("");
}

char *
engine_refit_proposal_words (EngineReview *review, const EngineRefitProposal *proposal)
{
  const ModelDocument *doc = engine_review_document (review);
  bool more = proposal->amount_mm >= 0.0;
  g_autofree char *length = engine_words_length (doc, fabs (proposal->amount_mm));
  if (proposal->line_id)
  {
    g_autofree char *line = line_name (doc, proposal->line_id);
    switch (proposal->kind)
    {
    case ENGINE_REFIT_WIDTH:
      /* Translators: a length, the name of a line. */
      return g_strdup_printf (more ? _ ("Let out %1$s along %2$s") : _ ("Take in %1$s along %2$s"), length,
                              line);
    case ENGINE_REFIT_OPENING:
      /* Translators: the name of a line, a length. */
      return g_strdup_printf (more ? _ ("Open %1$s by %2$s") : _ ("Close %1$s by %2$s"), line, length);
    case ENGINE_REFIT_LENGTH:
      /* Translators: a length, the name of a line. */
      return g_strdup_printf (more ? _ ("Lengthen by %1$s along %2$s") : _ ("Shorten by %1$s along %2$s"),
                              length, line);
    }
  }
  g_autofree char *from = line_name (doc, proposal->from_line_id);
  if (proposal->to_line_id)
  {
    g_autofree char *to = line_name (doc, proposal->to_line_id);
    /* Translators: a length, the names of two lines. */
    return g_strdup_printf (more ? _ ("Lengthen by %1$s between %2$s and %3$s")
                                 : _ ("Shorten by %1$s between %2$s and %3$s"),
                            length, from, to);
  }
  g_autofree char *panel = engine_words_panel (doc, proposal->panel_id),
                  *below = line_name (doc, proposal->below_line_id);
  /* Translators: the name of a panel, a length, the name of a line. */
  return g_strdup_printf (more ? _ ("Lengthen %1$s by %2$s from %3$s to the neck")
                               : _ ("Shorten %1$s by %2$s from %3$s to the neck"),
                          panel, length, below);
}

char *
engine_refit_growth_words (const EngineRefit *refit, guint line_id)
{
  const ModelDocument *doc = engine_review_document (engine_refit_review (refit));
  const GArray *growths = engine_refit_growths (refit);
  const ModelLine *line = model_document_line (doc, line_id);
  g_autoptr (GPtrArray) parts = g_ptr_array_new_with_free_func (g_free);
  for (guint i = 0; line && i < growths->len; i++)
  {
    const EngineRefitGrowth *growth = &g_array_index (growths, EngineRefitGrowth, i);
    const ModelPanel *panel = model_document_panel (doc, growth->panel_id);
    if (growth->line_id != line_id || !panel || fabs (growth->by_mm) < SHOWN_MM)
      continue;
    g_autofree char *name = engine_words_panel (doc, panel->id),
                    *by = model_unit_signed (growth->by_mm, doc->head->unit, 1);
    /* Translators: the name of a panel that is there on both sides, and by how much it grows on each:
     * "Front +5.2 mm a side". */
    g_ptr_array_add (parts, engine_panel_is_mirrored (panel) && !line->one_side
                              ? g_strdup_printf (_ ("%1$s %2$s a side"), name, by)
                              : g_strdup_printf ("%s %s", name, by));
  }
  g_ptr_array_add (parts, NULL);
  return g_strjoinv (", ", (char **)parts->pdata);
}
