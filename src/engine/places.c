#include "engine/places.h"

#include "engine/words.h"

#include <glib/gi18n.h>
#include <math.h>

/* Half of what is shown: two sides that are off by as much read alike. */
#define SAME_MM 0.05

static bool
is_same_on_other_side (const EngineFinding *a, const EngineFinding *b)
{
  if (a->check != b->check || !a->has_side || !b->has_side || a->side == b->side || a->what != b->what)
    return false;
  if (a->join_id != b->join_id || a->panel_id != b->panel_id || a->edge_id != b->edge_id
      || a->measure_id != b->measure_id || a->line_id != b->line_id || a->other_line_id != b->other_line_id)
    return false;
  return fabs (a->difference - b->difference) < SAME_MM || (isnan (a->difference) && isnan (b->difference));
}

GArray *
engine_review_open_places (EngineReview *review)
{
  g_autoptr (GPtrArray) open = engine_review_open_findings (review);
  GArray *places = g_array_new (FALSE, FALSE, sizeof (EnginePlace));
  for (guint i = 0; i < open->len; i++)
  {
    EnginePlace fresh = { g_ptr_array_index (open, i), NULL };
    bool merged = false;
    for (guint k = 0; k < places->len && !merged; k++)
    {
      EnginePlace *place = &g_array_index (places, EnginePlace, k);
      merged = place->twin == NULL && is_same_on_other_side (place->finding, fresh.finding);
      if (merged)
        place->twin = fresh.finding;
    }
    if (!merged)
      g_array_append_val (places, fresh);
  }
  return places;
}

const char *
engine_place_side (const EnginePlace *place)
{
  if (place->twin != NULL)
    return _ ("both sides");
  return place->finding->has_side ? engine_words_side (place->finding->side) : "";
}
