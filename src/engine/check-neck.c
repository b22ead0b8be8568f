/* The opening must be wide enough for the neck.
 *
 * One finding for each neck opening with a measure: the edge along it is at least the measure and what is
 * worn underneath.
 */
#include "engine/line-remedy.h"
#include "engine/line-words.h"
#include "engine/words.h"

#include <glib/gi18n.h>

static void
run (EngineReview *review, guint id, GArray *out)
{
  engine_line_hold (review, id, &engine_check_neck, MODEL_LINE_NECK, true, false, out);
}

static char *
text (EngineReview *review, const EngineFinding *finding)
{
  const ModelLine *line;
  const EngineLineReading *reading;
  if (!engine_line_of (review, finding, &line, &reading))
    return g_strdup (_ ("A neck opening has lost its measure."));
  const ModelDocument *doc = engine_review_document (review);
  g_autofree char *name = engine_words_line (line), *measure = engine_line_measure_name (doc, line),
                  *length = engine_words_length (doc, fabs (finding->difference));
  if (finding->holds)
    return g_strdup_printf (_ ("%1$s: the opening is wide enough for %2$s."), name, measure);
  /* Translators: name of the line, length, name of a measure. */
  return g_strdup_printf (_ ("%1$s: the opening is %2$s tighter than %3$s needs."), name, length, measure);
}

const EngineCheck engine_check_neck = {
  .name = "neck",
  .subject = ENGINE_SUBJECT_LINE,
  .run = run,
  .text = text,
  .detail = engine_line_detail,
  .remedies = engine_line_remedies,
};
