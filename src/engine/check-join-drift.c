/* Match marks must meet: what lies before a mark must be as long on both runs, b's longer by what of the ease
 * lies before it.
 *
 * One finding for each pair of marks and each place of the join.  Expected: the way along a, grown by the
 * ease up to there; actual: the way along b.  A join can be equally long as a whole and still pull askew;
 * that shows here.
 */
#include "engine/check.h"
#include "engine/join-words.h"
#include "engine/remedy.h"
#include "engine/run.h"
#include "engine/words.h"

#include <glib/gi18n.h>

typedef enum What
{
  WHAT_MEASURED,
  WHAT_GONE /* a mark is not on its run */
} What;

static EngineFinding
read_match (EngineReview *review,
            const ModelJoin *join,
            const EngineJoinReading *reading,
            const ModelMatch *match)
{
  EngineFinding finding = engine_finding_blank (&engine_check_join_drift);
  finding.join_id = join->id;
  finding.panel_id = join->a.panel_id;
  finding.other_panel_id = join->b.panel_id;
  finding.mark_id = match->a_mark_id;
  engine_join_set_side (&finding, reading);
  finding.tolerance = reading->tolerance_mm;
  finding.what = WHAT_GONE;
  double a, b;
  if (!engine_review_mark_along (review, &join->a, reading->side_a, match->a_mark_id, &a)
      || !engine_review_mark_along (review, &join->b, reading->side_b, match->b_mark_id, &b))
    return finding;
  finding.what = WHAT_MEASURED;
  finding.expected = a + engine_review_ease_before (review, reading, a);
  finding.actual = b;
  finding.difference = finding.actual - finding.expected;
  finding.holds = fabs (finding.difference) <= finding.tolerance;
  if (!finding.holds)
  {
    GeomPath path;
    geom_path_init (&path);
    finding.has_at = engine_review_run_path (review, &join->b, reading->side_b, &path);
    if (finding.has_at)
      finding.at = geom_path_point (&path, geom_path_place_at (&path, b, finding.tolerance / 10.0 + 1e-3));
    geom_path_clear (&path);
  }
  return finding;
}

static void
run (EngineReview *review, guint id, GArray *out)
{
  const ModelJoin *join = model_document_join (engine_review_document (review), id);
  EngineJoinReading readings[2];
  int n = engine_review_join_readings (review, id, readings);
  for (int i = 0; i < n; i++)
    for (guint k = 0; k < join->matches->len; k++)
    {
      EngineFinding finding
        = read_match (review, join, &readings[i], &g_array_index (join->matches, ModelMatch, k));
      g_array_append_val (out, finding);
    }
}

/* The pair of marks a finding is about, and the place of the join it was read at. */
static const ModelMatch *
match_of (EngineReview *review,
          const EngineFinding *finding,
          const ModelJoin *join,
          EngineJoinReading *reading)
{
  if (!engine_join_reading_of (review, finding, reading))
    return NULL;
  for (guint i = 0; i < join->matches->len; i++)
  {
    const ModelMatch *match = &g_array_index (join->matches, ModelMatch, i);
    if (match->a_mark_id == finding->mark_id)
      return match;
  }
  return NULL;
}

static char *
text (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelJoin *join = model_document_join (doc, finding->join_id);
  if (!join || finding->what == WHAT_GONE)
    return g_strdup (_ ("A match mark has lost its edge."));
  g_autofree char *a = engine_words_run_owner (doc, join, false);
  g_autofree char *b = engine_words_run_owner (doc, join, true);
  if (finding->holds)
    return g_strdup_printf (_ ("The marks on %1$s and %2$s meet."), a, b);
  g_autofree char *length = engine_words_length (doc, fabs (finding->difference));
  /* Translators: panel or edge, length, panel or edge. */
  g_autofree char *sentence = g_strdup_printf (
    finding->difference > 0.0 ? _ ("A mark on %1$s lies %2$s beyond its partner on %3$s.")
                              : _ ("A mark on %1$s lies %2$s short of its partner on %3$s."),
    b, length, a);
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
  if (finding->what == WHAT_GONE)
    return g_steal_pointer (&where);
  EngineJoinReading reading;
  const ModelMatch *match = match_of (review, finding, join, &reading);
  double a = 0.0;
  if (match)
    engine_review_mark_along (review, &join->a, reading.side_a, match->a_mark_id, &a);
  g_autofree char *along_a = engine_words_length (doc, a);
  g_autofree char *along_b = engine_words_length (doc, finding->actual);
  g_autofree char *on_a = engine_words_run_owner (doc, join, false);
  g_autofree char *on_b = engine_words_run_owner (doc, join, true);
  /* Translators: where the two marks lie: length, panel or edge, length, panel or edge. */
  g_autofree char *place
    = g_strdup_printf (_ ("%1$s along on %2$s, %3$s along on %4$s."), along_a, on_a, along_b, on_b);
  return g_strdup_printf ("%s %s", where, place);
}

/* The way by which a's mark must go so that what is expected of b's grows by BY_MM.  False: the ease is such
 * that no way does it. */
static bool
way_on_a (
  EngineReview *review, const EngineJoinReading *reading, double along_a, double by_mm, double *way_mm)
{
  enum
  {
    ROUNDS = 60
  };
  double start = along_a + engine_review_ease_before (review, reading, along_a);
  double low = along_a - 8.0 * fabs (by_mm), high = along_a + 8.0 * fabs (by_mm), wanted = start + by_mm;
  if (!(low + engine_review_ease_before (review, reading, low) <= wanted)
      || !(high + engine_review_ease_before (review, reading, high) >= wanted))
    return false;
  for (int i = 0; i < ROUNDS; i++)
  {
    double middle = 0.5 * (low + high);
    if (middle + engine_review_ease_before (review, reading, middle) < wanted)
      low = middle;
    else
      high = middle;
  }
  *way_mm = 0.5 * (low + high) - along_a;
  return true;
}

/* Moves the marks towards each other: b's takes SHARE_B of the way. */
static EngineRemedy *
move_marks (EngineReview *review,
            const EngineFinding *finding,
            const ModelJoin *join,
            const ModelMatch *match,
            const EngineJoinReading *reading,
            double share_b)
{
  const ModelDocument *doc = engine_review_document (review);
  bool moves_a = share_b<1.0, moves_b = share_b> 0.0, same = join->a.panel_id == join->b.panel_id;
  double by_b = -finding->difference * share_b, by_a = 0.0, along_a;
  if (moves_a
      && (!engine_review_mark_along (review, &join->a, reading->side_a, match->a_mark_id, &along_a)
          || !way_on_a (review, reading, along_a, finding->difference * (1.0 - share_b), &by_a)))
    return NULL;
  g_autoptr (ModelPanel) a
    = moves_a || same ? model_panel_copy (model_document_panel (doc, join->a.panel_id)) : NULL;
  g_autoptr (ModelPanel) b
    = moves_b && !same ? model_panel_copy (model_document_panel (doc, join->b.panel_id)) : NULL;
  if ((moves_a && !engine_mark_move_along (a, &join->a, match->a_mark_id, by_a))
      || (moves_b && !engine_mark_move_along (same ? a : b, &join->b, match->b_mark_id, by_b)))
    return NULL;
  g_autofree char *length_a = engine_words_length (doc, fabs (by_a));
  g_autofree char *length_b = engine_words_length (doc, fabs (by_b));
  g_autofree char *owner = engine_words_run_owner (doc, join, moves_b);
  char *words = moves_a && moves_b ? g_strdup_printf (_ ("Half each, %1$s and %2$s"), length_a, length_b)
                                   : g_strdup_printf (_ ("Move the mark on %1$s by %2$s"), owner,
                                                      moves_b ? length_b : length_a);
  EngineRemedy *remedy = engine_remedy_new (words, NULL);
  if (a)
    engine_remedy_add (remedy, MODEL_PART_PANEL, g_steal_pointer (&a));
  if (b)
    engine_remedy_add (remedy, MODEL_PART_PANEL, g_steal_pointer (&b));
  return remedy;
}

/* The join without the pairs of marks that are no longer on its runs. */
static EngineRemedy *
drop_lost (EngineReview *review, const ModelJoin *join)
{
  EngineJoinReading readings[2];
  if (engine_review_join_readings (review, join->id, readings) == 0)
    return NULL;
  ModelJoin *copy = model_join_copy (join);
  guint lost = 0;
  for (guint i = copy->matches->len; i-- > 0;)
  {
    const ModelMatch *match = &g_array_index (copy->matches, ModelMatch, i);
    double along;
    if (engine_review_mark_along (review, &join->a, readings[0].side_a, match->a_mark_id, &along)
        && engine_review_mark_along (review, &join->b, readings[0].side_b, match->b_mark_id, &along))
      continue;
    g_array_remove_index (copy->matches, i);
    lost++;
  }
  EngineRemedy *remedy = engine_remedy_new (
    g_strdup_printf (ngettext ("Let %u pair of marks go", "Let %u pairs of marks go", lost), lost), NULL);
  engine_remedy_add (remedy, MODEL_PART_JOIN, copy);
  return remedy;
}

static void
remedies (EngineReview *review, const EngineFinding *finding, GPtrArray *out)
{
  const ModelJoin *join = model_document_join (engine_review_document (review), finding->join_id);
  if (!join)
    return;
  if (finding->what == WHAT_GONE)
  {
    engine_remedy_offer (review, finding, out, drop_lost (review, join));
    return;
  }
  EngineJoinReading reading;
  const ModelMatch *match = match_of (review, finding, join, &reading);
  if (!match)
    return;
  static const double shares[] = { 1.0, 0.0, 0.5 };
  for (guint i = 0; i < G_N_ELEMENTS (shares); i++)
    engine_remedy_offer (review, finding, out,
                         move_marks (review, finding, join, match, &reading, shares[i]));
}

const EngineCheck engine_check_join_drift = {
  .name = "join-drift",
  .subject = ENGINE_SUBJECT_JOIN,
  .run = run,
  .text = text,
  .detail = detail,
  .remedies = remedies,
};
