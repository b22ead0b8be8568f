/* A girth line must come to its measure, what is worn underneath and what the thickness takes.
 *
 * One finding for each girth line with a measure.  Expected and actual: engine/girth.h says how both are
 * made up.
 */
#include "engine/line-remedy.h"
#include "engine/line-words.h"
#include "engine/words.h"

#include <glib/gi18n.h>

static void
run (EngineReview *review, guint id, GArray *out)
{
  engine_line_hold (review, id, &engine_check_girth, MODEL_LINE_GIRTH, true, true, out);
}

static char *
text (EngineReview *review, const EngineFinding *finding)
{
  const ModelLine *line;
  const EngineLineReading *reading;
  if (!engine_line_of (review, finding, &line, &reading))
    return g_strdup (_ ("A girth line has lost its measure."));
  const ModelDocument *doc = engine_review_document (review);
  g_autofree char *name = engine_words_line (line), *measure = engine_line_measure_name (doc, line),
                  *length = engine_words_length (doc, fabs (finding->difference));
  if (finding->holds)
    return g_strdup_printf (_ ("%1$s: the panels agree with %2$s."), name, measure);
  /* Translators: name of the line, length, name of a measure. */
  return g_strdup_printf (finding->difference < 0.0
                            ? _ ("%1$s: the panels are %2$s too short to go round %3$s.")
                            : _ ("%1$s: the panels are %2$s longer than they need to go round %3$s."),
                          name, length, measure);
}

static void
remedies (EngineReview *review, const EngineFinding *finding, GPtrArray *out)
{
  engine_line_remedies (review, finding, out);
  engine_line_allow (review, finding, out);
}

const EngineCheck engine_check_girth = {
  .name = "girth",
  .subject = ENGINE_SUBJECT_LINE,
  .run = run,
  .text = text,
  .detail = engine_line_detail,
  .remedies = remedies,
};
