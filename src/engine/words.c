#include "engine/words.h"

#include "model/measure-book.h"
#include "model/run.h"

#include <glib/gi18n.h>

char *
engine_words_length (const ModelDocument *doc, double mm)
{
  return model_unit_text (mm, doc->head->unit, 1);
}

char *
engine_words_edge (const ModelPanel *panel, guint index)
{
  const ModelEdge *edge = model_panel_edge (panel, index);
  if (*edge->name)
    return g_strdup (edge->name);
  /* Translators: an edge that was given no name; %u is its number round the panel. */
  return g_strdup_printf (_ ("edge %u"), index + 1);
}

static const char *
panel_name (const ModelDocument *doc, guint id)
{
  const ModelPanel *panel = model_document_panel (doc, id);
  if (!panel)
    return _ ("a panel that is gone");
  return *panel->name ? panel->name : _ ("a panel without a name");
}

char *
engine_words_panel (const ModelDocument *doc, guint panel_id)
{
  return g_strdup (panel_name (doc, panel_id));
}

char *
engine_words_measure (const ModelMeasure *measure)
{
  if (measure->name && *measure->name)
    return g_strdup (measure->name);
  const ModelMeasureDef *def = model_measure_def (measure->key);
  return g_strdup (def ? _ (def->name) : _ ("a measure without a name"));
}

char *
engine_words_line (const ModelLine *line)
{
  if (line->name && *line->name)
    return g_strdup (line->name);
  switch (line->kind)
  {
  case MODEL_LINE_GUIDE:
    return g_strdup (_ ("guide"));
  case MODEL_LINE_LEVEL:
    return g_strdup (_ ("level line"));
  case MODEL_LINE_GIRTH:
    return g_strdup (_ ("girth line"));
  case MODEL_LINE_REACH:
    return g_strdup (_ ("reach limit"));
  case MODEL_LINE_NECK:
    return g_strdup (_ ("neck opening"));
  }
  return g_strdup ("");
}

char *
engine_words_join (const ModelDocument *doc, const ModelJoin *join)
{
  if (join->name && *join->name)
    return g_strdup (join->name);
  const char *a = panel_name (doc, join->a.panel_id);
  if (join->a.panel_id == join->b.panel_id)
  {
    g_autofree char *run_a = engine_words_run (doc, &join->a);
    g_autofree char *run_b = engine_words_run (doc, &join->b);
    if (model_runs_are_same (&join->a, &join->b))
      /* Translators: a seam that joins an edge of a panel to the same edge on the wearer's other side: panel,
       * edge. */
      return g_strdup_printf (_ ("%s: %s over the middle"), a, run_a);
    /* Translators: a join within one panel: panel, edge, edge. */
    return g_strdup_printf (_ ("%s: %s – %s"), a, run_a, run_b);
  }
  /* Translators: a join between two panels. */
  return g_strdup_printf (_ ("%s – %s"), a, panel_name (doc, join->b.panel_id));
}

char *
engine_words_join_kind (const ModelDocument *doc, const ModelJoin *join)
{
  g_autofree char *length = NULL;
  switch (join->kind)
  {
  case MODEL_JOIN_FLUSH:
    return g_strdup (_ ("flush"));
  case MODEL_JOIN_LAPPED:
  {
    length = engine_words_length (doc, join->lap_mm);
    g_autofree char *over = engine_words_run_owner (doc, join, join->b_over);
    /* Translators: %1$s the lap's width, %2$s the panel or edge that lies over the other. */
    return g_strdup_printf (_ ("lapped %1$s, %2$s over"), length, over);
  }
  case MODEL_JOIN_STITCHED:
    length = engine_words_length (doc, join->allowance_mm);
    return g_strdup_printf (_ ("stitched, allowance %s"), length);
  case MODEL_JOIN_GAP:
    length = engine_words_length (doc, join->gap_mm);
    return g_strdup_printf (_ ("gap %s"), length);
  }
  return g_strdup ("");
}

const char *
engine_words_side (ModelSide side)
{
  switch (side)
  {
  case MODEL_SIDE_CENTRE:
    return "";
  case MODEL_SIDE_LEFT:
    return _ ("wearer’s left");
  case MODEL_SIDE_RIGHT:
    return _ ("wearer’s right");
  }
  return "";
}

char *
engine_words_run (const ModelDocument *doc, const ModelRun *run)
{
  const ModelPanel *panel = model_document_panel (doc, run->panel_id);
  char *words = NULL;
  for (guint i = 0; i < run->edges->len; i++)
  {
    int index = panel ? model_panel_find_edge (panel, g_array_index (run->edges, guint, i)) : -1;
    g_autofree char *name
      = index < 0 ? g_strdup (_ ("an edge that is gone")) : engine_words_edge (panel, (guint)index);
    char *longer;
    if (!words)
      longer = g_strdup (name);
    else if (i + 1 < run->edges->len)
      /* Translators: a list of edges goes on: "hem, side". */
      longer = g_strdup_printf (_ ("%s, %s"), words, name);
    else
      /* Translators: the end of a list of edges: "hem and side". */
      longer = g_strdup_printf (_ ("%s and %s"), words, name);
    g_free (words);
    words = longer;
  }
  if (words && (run->from_mark_id || run->to_mark_id))
  {
    g_autofree char *all = words;
    /* Translators: a join covers an edge only up to a mark: "part of side". */
    words = g_strdup_printf (_ ("part of %s"), all);
  }
  return words ? words : g_strdup ("");
}

char *
engine_words_run_owner (const ModelDocument *doc, const ModelJoin *join, bool is_b)
{
  const ModelRun *run = is_b ? &join->b : &join->a;
  if (join->a.panel_id != join->b.panel_id)
    return g_strdup (panel_name (doc, run->panel_id));
  return engine_words_run (doc, run);
}

char *
engine_words_quantity (const ModelPanel *panel)
{
  unsigned n = (unsigned)MAX (panel->quantity, 1);
  bool corrected = panel->own_sides && panel->corrections->len > 0;
  switch (panel->halves)
  {
  case MODEL_HALVES_SINGLE:
    return g_strdup_printf (_ ("cut %u"), n);
  case MODEL_HALVES_FOLD:
    if (corrected)
      return g_strdup_printf (_ ("cut %u, opened: sides differ"), n);
    return g_strdup_printf (_ ("cut %u on fold"), n);
  case MODEL_HALVES_PAIR:
    if (corrected)
      return g_strdup_printf (_ ("cut %u of each side: sides differ"), n);
    /* Translators: as many as drawn and as many turned over: "cut 1 + 1 mirrored". */
    return g_strdup_printf (_ ("cut %u + %u mirrored"), n, n);
  }
  return g_strdup ("");
}

char *
engine_words_material (const ModelDocument *doc, const ModelPanel *panel)
{
  const ModelMaterial *material
    = panel->material_id ? model_document_material (doc, panel->material_id) : NULL;
  return material ? engine_words_of_material (doc, material) : g_strdup ("");
}

char *
engine_words_of_material (const ModelDocument *doc, const ModelMaterial *material)
{
  g_autofree char *thickness = engine_words_length (doc, material->thickness_mm);
  if (!material->name || !*material->name)
    return g_steal_pointer (&thickness);
  /* Translators: a material and its thickness: "leather 3.5 mm". */
  return g_strdup_printf (_ ("%s %s"), material->name, thickness);
}

char *
engine_words_count (guint open)
{
  if (open == 0)
    return g_strdup (_ ("Everything agrees"));
  return g_strdup_printf (ngettext ("%u place does not agree yet", "%u places do not agree yet", open), open);
}
