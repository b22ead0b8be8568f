#include "engine/fit.h"
#include "engine/words.h"

#include <glib/gi18n.h>

char *
engine_fit_words_seen (const ModelDocument *doc, const ModelFitNote *note)
{
  g_autofree char *mm = note->has_amount ? engine_words_length (doc, note->amount_mm) : NULL;
  switch (note->seen)
  {
  case MODEL_FIT_TOO_SHORT:
    return mm != NULL ? g_strdup_printf (_ ("too short by %s"), mm) : g_strdup (_ ("too short"));
  case MODEL_FIT_TOO_LONG:
    return mm != NULL ? g_strdup_printf (_ ("too long by %s"), mm) : g_strdup (_ ("too long"));
  case MODEL_FIT_GAPS_BY:
    return mm != NULL ? g_strdup_printf (_ ("gaps by %s"), mm) : g_strdup (_ ("gaps"));
  case MODEL_FIT_POKES_OUT:
    return mm != NULL ? g_strdup_printf (_ ("pokes out by %s"), mm) : g_strdup (_ ("pokes out"));
  case MODEL_FIT_TOO_WIDE:
    return mm != NULL ? g_strdup_printf (_ ("too wide by %s"), mm) : g_strdup (_ ("too wide"));
  case MODEL_FIT_TOO_NARROW:
    return mm != NULL ? g_strdup_printf (_ ("too narrow by %s"), mm) : g_strdup (_ ("too narrow"));
  case MODEL_FIT_OTHER:
    return mm != NULL ? g_strdup (mm) : g_strdup (_ ("as noted"));
  }
  return g_strdup ("");
}

char *
engine_fit_words_where (const ModelDocument *doc, const ModelFitNote *note)
{
  const ModelPanel *panel = note->panel_id != 0 ? model_document_panel (doc, note->panel_id) : NULL;
  if (panel == NULL)
    return note->side == MODEL_SIDE_CENTRE
             ? g_strdup (_ ("The whole piece"))
             : g_strdup_printf (_ ("The whole piece, %s"), engine_words_side (note->side));
  g_autofree char *name = engine_words_panel (doc, panel->id);
  int index = model_panel_find_edge (panel, note->edge_id);
  g_autofree char *edge = index >= 0 ? engine_words_edge (panel, (guint)index) : NULL;
  if (edge != NULL && note->side != MODEL_SIDE_CENTRE)
    /* Translators: panel, edge, "wearer’s left". */
    return g_strdup_printf (_ ("%s: %s, %s"), name, edge, engine_words_side (note->side));
  if (edge != NULL)
    /* Translators: panel, edge. */
    return g_strdup_printf (_ ("%s: %s"), name, edge);
  if (note->side != MODEL_SIDE_CENTRE)
    /* Translators: panel, "wearer’s left". */
    return g_strdup_printf (_ ("%s, %s"), name, engine_words_side (note->side));
  return g_steal_pointer (&name);
}
