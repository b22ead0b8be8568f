#include "engine/compare.h"
#include "engine/words.h"

#include <glib/gi18n.h>

/* The edge is looked for where it still is. */
static char *
edge_subject (const ModelDocument *was, const ModelDocument *now, const EngineChange *change)
{
  const ModelPanel *panel = model_document_panel (now, change->panel_id);
  int index = panel != NULL ? model_panel_find_edge (panel, change->edge_id) : -1;
  if (index < 0)
  {
    panel = model_document_panel (was, change->panel_id);
    index = panel != NULL ? model_panel_find_edge (panel, change->edge_id) : -1;
  }
  if (index < 0)
    return engine_words_panel (now, change->panel_id);
  g_autofree char *edge = engine_words_edge (panel, (guint)index);
  g_autofree char *name
    = engine_words_panel (model_document_panel (now, panel->id) != NULL ? now : was, panel->id);
  if (change->side != MODEL_SIDE_CENTRE)
    /* Translators: panel, edge, "wearer’s left". */
    return g_strdup_printf (_ ("%s: %s, %s"), name, edge, engine_words_side (change->side));
  /* Translators: panel, edge. */
  return g_strdup_printf (_ ("%s: %s"), name, edge);
}

static char *
join_subject (const ModelDocument *was, const ModelDocument *now, guint id)
{
  const ModelDocument *in = model_document_join (now, id) != NULL ? now : was;
  const ModelJoin *join = model_document_join (in, id);
  g_autofree char *words = engine_words_join (in, join);
  /* Translators: a join's letter and name. */
  return g_strdup_printf (_ ("Join %s: %s"), join->letter, words);
}

char *
engine_change_subject (const ModelDocument *was, const ModelDocument *now, const EngineChange *change)
{
  if (change->join_id != 0)
    return join_subject (was, now, change->join_id);
  if (change->measure_id != 0)
  {
    const ModelMeasure *m = model_document_measure (now, change->measure_id);
    return engine_words_measure (m != NULL ? m : model_document_measure (was, change->measure_id));
  }
  if (change->edge_id != 0)
    return edge_subject (was, now, change);
  return engine_words_panel (model_document_panel (now, change->panel_id) != NULL ? now : was,
                             change->panel_id);
}

static char *
edge_text (const ModelDocument *now, const EngineChange *change)
{
  g_autofree char *length = engine_words_length (now, change->now_mm),
                  *was = engine_words_length (now, change->was_mm),
                  *apart = engine_words_length (now, change->apart_mm);
  if (g_str_equal (length, was))
    return g_strdup_printf (_ ("%1$s as it was; lies up to %2$s from where it was."), length, apart);
  g_autofree char *by = engine_words_length (now, fabs (change->now_mm - change->was_mm));
  if (change->now_mm > change->was_mm)
    return g_strdup_printf (_ ("%1$s longer: %2$s, was %3$s. Lies up to %4$s from where it was."), by, length,
                            was, apart);
  return g_strdup_printf (_ ("%1$s shorter: %2$s, was %3$s. Lies up to %4$s from where it was."), by, length,
                          was, apart);
}

static char *
cut_text (const ModelDocument *was, const ModelDocument *now, guint id)
{
  const ModelPanel *a = model_document_panel (was, id), *b = model_document_panel (now, id);
  g_autofree char *cut_a = engine_words_quantity (a), *cut_b = engine_words_quantity (b);
  g_autofree char *of_a = engine_words_material (was, a), *of_b = engine_words_material (now, b);
  if (g_str_equal (of_a, of_b))
    return g_strdup_printf (_ ("Now %1$s; was %2$s."), cut_b, cut_a);
  if (g_str_equal (cut_a, cut_b))
    return g_strdup_printf (_ ("Now %1$s; was %2$s."), *of_b != '\0' ? of_b : _ ("no material"),
                            *of_a != '\0' ? of_a : _ ("no material"));
  return g_strdup_printf (_ ("Now %1$s, %2$s; was %3$s, %4$s."), cut_b,
                          *of_b != '\0' ? of_b : _ ("no material"), cut_a,
                          *of_a != '\0' ? of_a : _ ("no material"));
}

static char *
join_text (const ModelDocument *was, const ModelDocument *now, guint id)
{
  const ModelJoin *a = model_document_join (was, id), *b = model_document_join (now, id);
  g_autofree char *kind_a = engine_words_join_kind (was, a), *kind_b = engine_words_join_kind (now, b);
  if (!g_str_equal (kind_a, kind_b))
    return g_strdup_printf (_ ("Now %1$s; was %2$s."), kind_b, kind_a);
  g_autofree char *ease_a = engine_words_length (now, a->ease_mm),
                  *ease_b = engine_words_length (now, b->ease_mm);
  if (!g_str_equal (ease_a, ease_b))
    return g_strdup_printf (_ ("Ease now %1$s; was %2$s."), ease_b, ease_a);
  if (b->kind == MODEL_JOIN_GAP)
    return g_strdup (_ ("The straps are changed."));
  return g_strdup (_ ("The ease is changed."));
}

static char *
figure (const ModelDocument *now, double mm)
{
  return isnan (mm) ? g_strdup (_ ("not taken")) : engine_words_length (now, mm);
}

char *
engine_change_text (const ModelDocument *was, const ModelDocument *now, const EngineChange *change)
{
  g_autofree char *after = figure (now, change->now_mm), *before = figure (now, change->was_mm);
  switch (change->kind)
  {
  case ENGINE_CHANGE_PANEL_ADDED:
    return g_strdup (_ ("A new panel."));
  case ENGINE_CHANGE_PANEL_GONE:
    return g_strdup (_ ("The panel is gone."));
  case ENGINE_CHANGE_PANEL_CUT:
    return cut_text (was, now, change->panel_id);
  case ENGINE_CHANGE_EDGE:
    return edge_text (now, change);
  case ENGINE_CHANGE_EDGE_ADDED:
    return g_strdup (_ ("A new edge."));
  case ENGINE_CHANGE_EDGE_GONE:
    return g_strdup (_ ("The edge is gone."));
  case ENGINE_CHANGE_ALLOWANCE:
    return g_strdup_printf (_ ("Allowance %1$s; was %2$s."), after, before);
  case ENGINE_CHANGE_JOIN_ADDED:
    return g_strdup (_ ("A new join."));
  case ENGINE_CHANGE_JOIN_GONE:
    return g_strdup (_ ("The join is gone."));
  case ENGINE_CHANGE_JOIN:
    return join_text (was, now, change->join_id);
  case ENGINE_CHANGE_MEASURE_ADDED:
    return g_strdup (_ ("A new measure."));
  case ENGINE_CHANGE_MEASURE_GONE:
    return g_strdup (_ ("The measure is gone."));
  case ENGINE_CHANGE_WEARER:
    return g_strdup_printf (_ ("Wearer %1$s; was %2$s."), after, before);
  case ENGINE_CHANGE_FORM:
    return g_strdup_printf (_ ("Form %1$s; was %2$s."), after, before);
  }
  return g_strdup ("");
}

char *
engine_changes_count (guint count)
{
  if (count == 0)
    return g_strdup (_ ("No difference"));
  return g_strdup_printf (ngettext ("%u difference", "%u differences", count), count);
}

char *
engine_changes_text (const ModelDocument *was,
                     const char *was_name,
                     const ModelDocument *now,
                     const GArray *changes)
{
  g_autofree char *count = engine_changes_count (changes->len);
  GString *text = g_string_new (NULL);
  /* Translators: the document's title, "4 differences", the name of an earlier revision. */
  g_string_append_printf (text, _ ("%1$s: %2$s since “%3$s”"),
                          now->head->title[0] != '\0' ? now->head->title : _ ("Panels"), count, was_name);
  g_string_append (text, "\n\n");
  for (guint i = 0; i < changes->len; i++)
  {
    const EngineChange *change = &g_array_index (changes, EngineChange, i);
    g_autofree char *subject = engine_change_subject (was, now, change),
                    *words = engine_change_text (was, now, change);
    g_string_append_printf (text, "%s\n    %s\n", subject, words);
  }
  return g_string_free (text, FALSE);
}
