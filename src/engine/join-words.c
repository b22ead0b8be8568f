#include "engine/join-words.h"

#include "engine/words.h"

#include <glib/gi18n.h>

void
engine_join_set_side (EngineFinding *finding, const EngineJoinReading *reading)
{
  finding->side = reading->side;
  finding->has_side = reading->side != MODEL_SIDE_CENTRE || reading->side_a != reading->side_b;
}

bool
engine_join_reading_of (EngineReview *review, const EngineFinding *finding, EngineJoinReading *out)
{
  EngineJoinReading readings[2];
  int n = engine_review_join_readings (review, finding->join_id, readings);
  if (n == 0)
    return false;
  *out = n == 2 && readings[1].side == finding->side ? readings[1] : readings[0];
  return true;
}

bool
engine_join_is_over_middle (EngineReview *review, const ModelJoin *join)
{
  EngineJoinReading readings[2];
  int n = engine_review_join_readings (review, join->id, readings);
  return n == 1 && join->a.panel_id == join->b.panel_id && readings[0].side == MODEL_SIDE_CENTRE
         && readings[0].side_a != readings[0].side_b;
}

double
engine_join_step_mm (EngineReview *review, const EngineJoinReading *reading, bool at_end)
{
  const ModelJoin *join = model_document_join (engine_review_document (review), reading->join_id);
  double nearest = at_end ? -INFINITY : INFINITY, over = 0.0;
  for (guint i = 0; join && i < join->matches->len; i++)
  {
    const ModelMatch *match = &g_array_index (join->matches, ModelMatch, i);
    double a, b;
    if (!engine_review_mark_along (review, &join->a, reading->side_a, match->a_mark_id, &a)
        || !engine_review_mark_along (review, &join->b, reading->side_b, match->b_mark_id, &b)
        || (at_end ? a <= nearest : a >= nearest))
      continue;
    nearest = a;
    over = b - a - engine_review_ease_before (review, reading, a);
  }
  return fabs (at_end ? reading->difference_mm - over : over);
}

char *
engine_join_with_side (EngineReview *review, const EngineFinding *finding, const char *sentence)
{
  EngineJoinReading readings[2];
  int n = engine_review_join_readings (review, finding->join_id, readings);
  bool alike = n < 2
               || !(readings[0].difference_mm < readings[1].difference_mm
                    || readings[0].difference_mm > readings[1].difference_mm);
  if (alike || !finding->has_side || finding->side == MODEL_SIDE_CENTRE)
    return g_strdup (sentence);
  /* Translators: %1$s is "wearer’s left" or "wearer’s right", %2$s a whole sentence about that side. */
  return g_strdup_printf (_ ("On the %1$s: %2$s"), engine_words_side (finding->side), sentence);
}

char *
engine_join_words_detail (const ModelDocument *doc, const ModelJoin *join)
{
  g_autofree char *kind = engine_words_join_kind (doc, join);
  /* Translators: join letter, kind of join: "Join C, flush." */
  return g_strdup_printf (_ ("Join %1$s, %2$s."), join->letter, kind);
}
