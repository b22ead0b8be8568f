#include "engine/strap.h"

#include "engine/words.h"

#include <glib/gi18n.h>

guint
engine_strap_count (const ModelJoin *join)
{
  return join->kind == MODEL_JOIN_GAP && join->straps > 0 ? (guint)join->straps : 0;
}

double
engine_strap_length_mm (const ModelJoin *join)
{
  return join->gap_mm + join->strap_overlap_mm;
}

double
engine_strap_along_mm (const ModelJoin *join, guint index, double run_mm)
{
  return run_mm * (index + 0.5) / MAX (engine_strap_count (join), 1);
}

double
engine_strap_room_mm (const ModelJoin *join, double run_mm)
{
  const guint count = engine_strap_count (join);
  return count > 0 ? run_mm / count : 0.0;
}

guint
engine_strap_total (EngineReview *review, const ModelJoin *join)
{
  EngineJoinReading readings[2];
  return engine_strap_count (join) * (guint)engine_review_join_readings (review, join->id, readings);
}

bool
engine_straps_fit (EngineReview *review, const ModelJoin *join)
{
  EngineJoinReading readings[2];
  int n = engine_review_join_readings (review, join->id, readings);
  if (engine_strap_count (join) == 0)
    return true;
  for (int i = 0; i < n; i++)
    if (engine_strap_room_mm (join, MIN (readings[i].length_a_mm, readings[i].length_b_mm))
        < join->strap_width_mm)
      return false;
  return true;
}

GArray *
engine_strapped_joins (const ModelDocument *doc)
{
  GArray *ids = g_array_new (FALSE, FALSE, sizeof (guint));
  for (guint i = 0; i < doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (doc->joins, i);
    if (engine_strap_count (join) > 0)
      g_array_append_val (ids, join->id);
  }
  return ids;
}

char *
engine_words_straps (EngineReview *review, const ModelJoin *join)
{
  const ModelDocument *doc = engine_review_document (review);
  const guint total = engine_strap_total (review, join);
  g_autofree char *width = engine_words_length (doc, join->strap_width_mm);
  g_autofree char *length = engine_words_length (doc, engine_strap_length_mm (join));
  /* Translators: how many, how wide, how long each is cut. */
  return g_strdup_printf (ngettext ("%1$u strap, %2$s × %3$s", "%1$u straps, %2$s × %3$s", total), total,
                          width, length);
}
