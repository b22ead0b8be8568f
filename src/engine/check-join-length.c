/* Two edges that are joined must be equally long, or differ by the ease.
 *
 * One finding for each place of the join.  Expected: length of a and the ease; actual: length of b.
 */
#include "engine/check.h"
#include "engine/join-words.h"
#include "engine/settle.h"
#include "engine/words.h"

#include <glib/gi18n.h>

typedef enum What
{
  WHAT_MEASURED,
  WHAT_GONE /* a panel or an edge of the join is not there */
} What;

static bool
runs_are_there (EngineReview *review, const ModelJoin *join, const EngineJoinReading *reading)
{
  GeomPoint point;
  return engine_review_run_point (review, &join->a, reading->side_a, true, &point)
         && engine_review_run_point (review, &join->b, reading->side_b, true, &point);
}

static void
run (EngineReview *review, guint id, GArray *out)
{
  const ModelJoin *join = model_document_join (engine_review_document (review), id);
  EngineJoinReading readings[2];
  int n = engine_review_join_readings (review, id, readings);
  EngineFinding finding = engine_finding_blank (&engine_check_join_length);
  finding.join_id = id;
  finding.panel_id = join->a.panel_id;
  finding.other_panel_id = join->b.panel_id;
  for (int i = 0; i < n; i++)
  {
    const EngineJoinReading *reading = &readings[i];
    engine_join_set_side (&finding, reading);
    bool there = runs_are_there (review, join, reading);
    finding.what = there ? WHAT_MEASURED : WHAT_GONE;
    finding.holds = there && reading->holds;
    finding.expected = reading->length_a_mm + reading->ease_mm;
    finding.actual = reading->length_b_mm;
    finding.difference = reading->difference_mm;
    finding.tolerance = reading->tolerance_mm;
    finding.has_at = engine_review_run_point (review, &join->b, reading->side_b, true, &finding.at);
    g_array_append_val (out, finding);
  }
  if (n == 0)
  {
    finding.what = WHAT_GONE;
    g_array_append_val (out, finding);
  }
}

/* ---- words ---- */

static char *
plain_text (const ModelDocument *doc, const ModelJoin *join, bool b_longer, const char *length)
{
  g_autofree char *longer = engine_words_run_owner (doc, join, b_longer);
  g_autofree char *shorter = engine_words_run_owner (doc, join, !b_longer);
  if (join->a.panel_id != join->b.panel_id)
    /* Translators: two panels: "Side is 6.2 mm longer than Front." */
    return g_strdup_printf (_ ("%1$s is %2$s longer than %3$s."), longer, length, shorter);
  g_autofree char *panel = engine_words_panel (doc, join->a.panel_id);
  /* Translators: panel, edge, length, edge: "On Bracer, the upper leg is 2 mm longer than the lower leg." */
  return g_strdup_printf (_ ("On %1$s, the %2$s is %3$s longer than the %4$s."), panel, longer, length,
                          shorter);
}

static char *
ease_text (const ModelDocument *doc, const ModelJoin *join, double ease_mm, bool b_longer, const char *length)
{
  g_autofree char *longer = engine_words_run_owner (doc, join, b_longer);
  g_autofree char *shorter = engine_words_run_owner (doc, join, !b_longer);
  g_autofree char *ease = engine_words_length (doc, fabs (ease_mm));
  /* The ease goes with the side that is wanted shorter. */
  bool ease_with_longer = b_longer == (ease_mm < 0.0);
  if (ease_with_longer)
    /* Translators: panel or edge, ease, length, panel or edge. */
    return g_strdup_printf (_ ("%1$s and its ease of %2$s are %3$s longer than %4$s."), longer, ease, length,
                            shorter);
  /* Translators: panel or edge, length, panel or edge, ease. */
  return g_strdup_printf (_ ("%1$s is %2$s longer than %3$s and its ease of %4$s."), longer, length, shorter,
                          ease);
}

static char *
middle_text (const ModelDocument *doc, const ModelJoin *join, const char *length, bool left_longer)
{
  g_autofree char *panel = engine_words_panel (doc, join->a.panel_id);
  g_autofree char *edges = engine_words_run (doc, &join->a);
  return g_strdup_printf (left_longer
                            ? _ ("On %1$s, the %2$s is %3$s longer on the wearer’s left than on the right.")
                            : _ ("On %1$s, the %2$s is %3$s longer on the wearer’s right than on the left."),
                          panel, edges, length);
}

static char *
text (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelJoin *join = model_document_join (doc, finding->join_id);
  EngineJoinReading reading;
  if (!join || finding->what == WHAT_GONE || !engine_join_reading_of (review, finding, &reading))
    return g_strdup (_ ("A join has lost an edge."));
  if (finding->holds)
  {
    g_autofree char *a = engine_words_run_owner (doc, join, false);
    g_autofree char *b = engine_words_run_owner (doc, join, true);
    if (fabs (reading.ease_mm) > 0.0)
    {
      g_autofree char *ease = engine_words_length (doc, fabs (reading.ease_mm));
      return g_strdup_printf (reading.ease_mm > 0.0 ? _ ("%1$s is longer than %2$s by the ease of %3$s.")
                                                    : _ ("%1$s is shorter than %2$s by the ease of %3$s."),
                              b, a, ease);
    }
    if (join->a.panel_id != join->b.panel_id)
      return g_strdup_printf (_ ("%1$s and %2$s are equally long."), a, b);
    g_autofree char *panel = engine_words_panel (doc, join->a.panel_id);
    if (engine_join_is_over_middle (review, join))
      /* Translators: panel, edge: "On Back, the middle seam is equally long on both sides." */
      return g_strdup_printf (_ ("On %1$s, the %2$s is equally long on both sides."), panel, a);
    /* Translators: panel, edge, edge. */
    return g_strdup_printf (_ ("On %1$s, the %2$s and the %3$s are equally long."), panel, a, b);
  }
  g_autofree char *length = engine_words_length (doc, fabs (finding->difference));
  bool b_longer = finding->difference > 0.0;
  if (engine_join_is_over_middle (review, join))
  {
    return middle_text (doc, join, length, (reading.side_b == MODEL_SIDE_LEFT) == b_longer);
  }
  g_autofree char *sentence = fabs (reading.ease_mm) > 0.0
                                ? ease_text (doc, join, reading.ease_mm, b_longer, length)
                                : plain_text (doc, join, b_longer, length);
  return engine_join_with_side (review, finding, sentence);
}

static char *
detail (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelJoin *join = model_document_join (doc, finding->join_id);
  if (!join)
    return g_strdup ("");
  g_autofree char *where = engine_join_words_detail (doc, join);
  if (finding->holds)
    return g_steal_pointer (&where);
  EngineJoinReading readings[2];
  int n = engine_review_join_readings (review, join->id, readings);
  const EngineJoinReading *reading
    = n == 2 && readings[1].side == finding->side ? &readings[1] : &readings[0];
  const char *lies = NULL;
  switch (n > 0 ? engine_settle_where (review, reading) : ENGINE_LIES_ANYWHERE)
  {
  case ENGINE_LIES_ANYWHERE:
    break;
  case ENGINE_LIES_AT_START:
    lies = _ ("Most of it lies before the first mark.");
    break;
  case ENGINE_LIES_AT_END:
    lies = _ ("Most of it lies beyond the last mark.");
    break;
  case ENGINE_LIES_BETWEEN:
    lies = _ ("Most of it lies between the marks.");
    break;
  }
  const GPtrArray *findings = engine_review_findings (review);
  bool agree = true;
  for (guint i = 0; i < findings->len && agree; i++)
  {
    const EngineFinding *other = g_ptr_array_index (findings, i);
    agree = other->check != &engine_check_join_drift || other->join_id != join->id
            || other->side != finding->side || other->holds;
  }
  if (agree && join->matches->len > 0)
    lies = _ ("The marks agree; all of it lies beyond the last mark.");
  g_autofree char *locked = n > 0 ? engine_settle_why_not (review, reading) : NULL;
  if (locked)
    lies = locked;
  return lies ? g_strdup_printf ("%s %s", where, lies) : g_steal_pointer (&where);
}

/* ---- remedies ---- */

static void
remedies (EngineReview *review, const EngineFinding *finding, GPtrArray *out)
{
  EngineJoinReading readings[2];
  int n = engine_review_join_readings (review, finding->join_id, readings);
  if (finding->what == WHAT_GONE || n == 0)
    return;
  const EngineJoinReading *reading
    = n == 2 && readings[1].side == finding->side ? &readings[1] : &readings[0];
  engine_settle_length (review, finding, reading, out);
  engine_settle_dart (review, finding, reading, out);
}

const EngineCheck engine_check_join_length = {
  .name = "join-length",
  .subject = ENGINE_SUBJECT_JOIN,
  .run = run,
  .text = text,
  .detail = detail,
  .remedies = remedies,
};
