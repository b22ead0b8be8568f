#include "engine/line-words.h"

#include "engine/words.h"

#include <glib/gi18n.h>

/* Below this nothing is shown of a figure that is added. */
#define SHOWN_MM 0.05

EngineFinding
engine_line_finding (const EngineCheck *check, const ModelLine *line, const EngineLineReading *reading)
{
  EngineFinding finding = engine_finding_blank (check);
  finding.line_id = line->id;
  finding.measure_id = line->measure_id;
  double longest = -1.0;
  for (guint i = 0; i < reading->spans->len; i++)
  {
    const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, i);
    if (!span->drawn || span->inside_mm <= longest)
      continue;
    longest = span->inside_mm;
    finding.has_at = true;
    finding.at = geom_mix (span->a, span->b, 0.5);
    finding.panel_id = span->panel_id;
  }
  return finding;
}

bool
engine_line_of (EngineReview *review,
                const EngineFinding *finding,
                const ModelLine **line,
                const EngineLineReading **reading)
{
  *line = model_document_line (engine_review_document (review), finding->line_id);
  *reading = engine_review_line (review, finding->line_id);
  return *line && *reading && (*reading)->has_measure;
}

char *
engine_line_measure_name (const ModelDocument *doc, const ModelLine *line)
{
  const ModelMeasure *measure = line->measure_id ? model_document_measure (doc, line->measure_id) : NULL;
  return measure ? engine_words_measure (measure) : g_strdup ("");
}

void
engine_line_hold (EngineReview *review,
                  guint id,
                  const EngineCheck *check,
                  ModelLineKind kind,
                  bool at_least,
                  bool at_most,
                  GArray *out)
{
  const ModelLine *line = model_document_line (engine_review_document (review), id);
  const EngineLineReading *reading = engine_review_line (review, id);
  if (line->kind != kind || !reading->has_measure || reading->spans->len == 0)
    return;
  EngineFinding finding = engine_line_finding (check, line, reading);
  finding.expected = reading->wanted_mm;
  finding.actual = reading->sum_mm;
  finding.difference = reading->difference_mm;
  finding.tolerance = reading->tolerance_mm;
  finding.holds = (!at_least || finding.difference >= -finding.tolerance)
                  && (!at_most || finding.difference <= finding.tolerance);
  g_array_append_val (out, finding);
}

char *
engine_line_detail (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelLine *line;
  const EngineLineReading *reading;
  if (!engine_line_of (review, finding, &line, &reading))
    return g_strdup ("");
  g_autofree char *name = engine_line_measure_name (doc, line),
                  *sum = engine_words_length (doc, reading->sum_mm),
                  *wanted = engine_words_length (doc, reading->wanted_mm),
                  *measure = engine_words_length (doc, reading->measure_mm),
                  *between = engine_words_length (doc, reading->between_mm),
                  *thick = engine_words_length (doc, reading->inner_mm);
  bool with_between = fabs (reading->between_mm) >= SHOWN_MM, with_thick = reading->inner_mm >= SHOWN_MM;
  if (with_between && with_thick)
    /* Translators: lengths but for %3$s, the name of a measure. */
    return g_strdup_printf (_ ("The panels make %1$s of %2$s: %3$s %4$s, %5$s for what is worn underneath, "
                               "%6$s for their own thickness."),
                            sum, wanted, name, measure, between, thick);
  if (with_between)
    return g_strdup_printf (
      _ ("The panels make %1$s of %2$s: %3$s %4$s and %5$s for what is worn underneath."), sum, wanted, name,
      measure, between);
  if (with_thick)
    return g_strdup_printf (_ ("The panels make %1$s of %2$s: %3$s %4$s and %5$s for their own thickness."),
                            sum, wanted, name, measure, thick);
  return g_strdup_printf (_ ("The panels make %1$s; %2$s is %3$s."), sum, name, wanted);
}
