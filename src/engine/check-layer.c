/* A layer outside another must reach round it.
 *
 * Two girth lines of one measure go round the body at the same level, so one lies over the other: which one,
 * engine_line_is_outer tells.  From the neutral layer of the inner one to that of the outer one lies the rest
 * of the inner thickness and a part of the outer one: d = (1 - n) t + n' t'.  The outer line must be longer
 * by 2 pi d (Steiner, as in engine/girth.h).
 *
 * One finding for each pair, with the outer line.  Expected: the least length; a longer one holds.
 */
#include "engine/line-remedy.h"
#include "engine/line-words.h"
#include "engine/tolerance.h"
#include "engine/words.h"

#include <glib/gi18n.h>

static void
run (EngineReview *review, guint id, GArray *out)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelLine *line = model_document_line (doc, id);
  const EngineLineReading *outer = engine_review_line (review, id);
  if (line->kind != MODEL_LINE_GIRTH || !outer->has_measure || outer->spans->len == 0)
    return;
  for (guint i = 0; i < doc->lines->len; i++)
  {
    const ModelLine *other = g_ptr_array_index (doc->lines, i);
    if (other->id == id || other->kind != MODEL_LINE_GIRTH || other->measure_id != line->measure_id
        || other->one_side != line->one_side)
      continue;
    const EngineLineReading *inner = engine_review_line (review, other->id);
    if (!inner->has_measure || inner->spans->len == 0 || !engine_line_is_outer (review, outer, inner))
      continue;
    EngineFinding finding = engine_line_finding (&engine_check_layer, line, outer);
    finding.other_line_id = other->id;
    finding.expected = inner->sum_mm + engine_layer_growth_mm (outer, inner);
    finding.actual = outer->sum_mm;
    finding.difference = finding.actual - finding.expected;
    finding.tolerance = ENGINE_TOL_LIMIT_MM;
    finding.holds = finding.difference >= -finding.tolerance;
    g_array_append_val (out, finding);
  }
}

static char *
text (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelLine *line = model_document_line (doc, finding->line_id),
                  *other = model_document_line (doc, finding->other_line_id);
  if (!line || !other)
    return g_strdup (_ ("A girth line is gone."));
  g_autofree char *outer = engine_words_line (line), *inner = engine_words_line (other),
                  *length = engine_words_length (doc, fabs (finding->difference));
  if (finding->holds)
    return g_strdup_printf (_ ("%1$s reaches round %2$s."), outer, inner);
  /* Translators: a line, a length, the line that lies beneath. */
  return g_strdup_printf (_ ("%1$s is %2$s too short to reach round %3$s."), outer, length, inner);
}

static char *
detail (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  const EngineLineReading *outer = engine_review_line (review, finding->line_id),
                          *inner = engine_review_line (review, finding->other_line_id);
  if (!outer || !inner)
    return g_strdup ("");
  g_autofree char *has = engine_words_length (doc, outer->sum_mm),
                  *beneath = engine_words_length (doc, inner->sum_mm),
                  *more = engine_words_length (doc, engine_layer_growth_mm (outer, inner));
  return g_strdup_printf (_ ("It makes %1$s; beneath lie %2$s, and both thicknesses take %3$s more."), has,
                          beneath, more);
}

const EngineCheck engine_check_layer = {
  .name = "layer",
  .subject = ENGINE_SUBJECT_LINE,
  .run = run,
  .text = text,
  .detail = detail,
  .remedies = engine_line_remedies,
};
