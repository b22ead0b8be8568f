/* Two edges that are joined must be equally long, or differ by the ease.
 *
 * One finding for each place of the join.  Expected: length of a and the ease; actual: length of b.  Where
 * the straps over a gap do not lie beside each other there is one more: expected, what they take together;
 * actual, the shorter run.
 */
#include "engine/check.h"
#include "engine/join-words.h"
#include "engine/remedy.h"
#include "engine/settle.h"
#include "engine/strap.h"
#include "engine/words.h"

#include <glib/gi18n.h>

typedef enum What
{
  WHAT_MEASURED,
  WHAT_GONE,   /* a panel or an edge of the join is not there */
  WHAT_STRAPS, /* they lie on each other */
} What;

static bool
runs_are_there (EngineReview *review, const ModelJoin *join, const EngineJoinReading *reading)
{
  GeomPoint point;
  return engine_review_run_point (review, &join->a, reading->side_a, true, &point)
         && engine_review_run_point (review, &join->b, reading->side_b, true, &point);
}

/* ABOUT: the finding about the same place of the join. */
static void
read_straps (const ModelJoin *join, const EngineJoinReading *reading, EngineFinding about, GArray *out)
{
  const double run_mm = MIN (reading->length_a_mm, reading->length_b_mm),
               wanted_mm = engine_strap_count (join) * join->strap_width_mm;
  if (!(run_mm < wanted_mm))
    return;
  about.what = WHAT_STRAPS;
  about.holds = false;
  about.expected = wanted_mm;
  about.actual = run_mm;
  about.difference = run_mm - wanted_mm;
  g_array_append_val (out, about);
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
    if (there)
      read_straps (join, reading, finding, out);
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
straps_text (EngineReview *review, const ModelJoin *join, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  const guint count = engine_strap_count (join);
  g_autofree char *wanted = engine_words_length (doc, finding->expected),
                  *there = engine_words_length (doc, finding->actual);
  g_autofree char *sentence
    /* Translators: a count, then two lengths: "8 straps side by side take 160 mm; the gap is 90 mm long." */
    = g_strdup_printf (ngettext ("%1$u strap takes %2$s; the gap is %3$s long.",
                                 "%1$u straps side by side take %2$s; the gap is %3$s long.", count),
                       count, wanted, there);
  return engine_join_with_side (review, finding, sentence);
}

static char *
text (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelJoin *join = model_document_join (doc, finding->join_id);
  EngineJoinReading reading;
  if (!join || finding->what == WHAT_GONE || !engine_join_reading_of (review, finding, &reading))
    return g_strdup (_ ("A join has lost an edge."));
  if (finding->what == WHAT_STRAPS)
    return straps_text (review, join, finding);
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
  if (finding->holds || finding->what == WHAT_STRAPS)
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

/* As many as lie beside each other, and as wide as so many can be. */
static void
settle_straps (EngineReview *review, const EngineFinding *finding, GPtrArray *out)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelJoin *join = model_document_join (doc, finding->join_id);
  const double most = join != NULL ? floor (finding->actual / join->strap_width_mm) : 0.0;
  if (join == NULL)
    return;
  if (most >= 1.0 && most < join->straps)
  {
    ModelJoin *fewer = model_join_copy (join);
    fewer->straps = (int)most;
    EngineRemedy *remedy = engine_remedy_new (
      g_strdup_printf (ngettext ("Take %d strap", "Take %d straps", fewer->straps), fewer->straps), NULL);
    engine_remedy_add (remedy, MODEL_PART_JOIN, fewer);
    engine_remedy_offer (review, finding, out, remedy);
  }
  const double width = floor (finding->actual / join->straps);
  if (width >= 1.0)
  {
    ModelJoin *narrower = model_join_copy (join);
    narrower->strap_width_mm = width;
    g_autofree char *words = engine_words_length (doc, width);
    EngineRemedy *remedy = engine_remedy_new (g_strdup_printf (_ ("Make the straps %s wide"), words), NULL);
    engine_remedy_add (remedy, MODEL_PART_JOIN, narrower);
    engine_remedy_offer (review, finding, out, remedy);
  }
}

static void
remedies (EngineReview *review, const EngineFinding *finding, GPtrArray *out)
{
  EngineJoinReading readings[2];
  int n = engine_review_join_readings (review, finding->join_id, readings);
  if (finding->what == WHAT_STRAPS)
    settle_straps (review, finding, out);
  if (finding->what != WHAT_MEASURED || n == 0)
    return;
  const EngineJoinReading *reading
    = n == 2 && readings[1].side == finding->side ? &readings[1] : &readings[0];
  engine_settle_length (review, finding, reading, out);
  engine_settle_dart (review, finding, reading, out);
}

bool
engine_finding_is_about_straps (const EngineFinding *finding)
{
  return finding->check == &engine_check_join_length && finding->what == WHAT_STRAPS;
}

const EngineCheck engine_check_join_length = {
  .name = "join-length",
  .subject = ENGINE_SUBJECT_JOIN,
  .run = run,
  .text = text,
  .detail = detail,
  .remedies = remedies,
};
