/* The body form must still have the wearer's measures.
 *
 * One finding for each measure taken on both.  Expected: the wearer; actual: the form; tolerance: the
 * measure's own, else how far two careful takings of such a measure may differ.
 */
#include "engine/check.h"
#include "engine/form-advice.h"
#include "engine/remedy.h"
#include "engine/words.h"
#include "model/measure-book.h"

#include <glib/gi18n.h>

static void
run (EngineReview *review, guint id, GArray *out)
{
  const ModelMeasure *measure = model_document_measure (engine_review_document (review), id);
  if (!measure->has_wearer || !measure->has_form)
    return;
  EngineFinding finding = engine_finding_blank (&engine_check_form_against_wearer);
  finding.measure_id = id;
  finding.expected = measure->wearer_mm;
  finding.actual = measure->form_mm;
  finding.difference = measure->form_mm - measure->wearer_mm;
  finding.tolerance = model_measure_tolerance (measure);
  finding.holds = fabs (finding.difference) <= finding.tolerance;
  g_array_append_val (out, finding);
}

/* Bodies are measured to the millimetre; more would be made up. */
static char *
whole_length (const ModelDocument *doc, double mm)
{
  return model_unit_text (mm, doc->head->unit, 0);
}

static char *
text (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelMeasure *measure = model_document_measure (doc, finding->measure_id);
  g_autofree char *name = measure ? engine_words_measure (measure) : g_strdup ("");
  if (finding->holds)
    return g_strdup_printf (_ ("%s: the form and the wearer agree."), name);
  g_autofree char *length = whole_length (doc, fabs (finding->difference));
  return g_strdup_printf (finding->difference < 0.0
                            ? _ ("%1$s: the form measures %2$s less than the wearer.")
                            : _ ("%1$s: the form measures %2$s more than the wearer."),
                          name, length);
}

static char *
detail (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  g_autofree char *wearer = whole_length (doc, finding->expected);
  g_autofree char *form = whole_length (doc, finding->actual);
  g_autofree char *ignored = whole_length (doc, finding->tolerance);
  const ModelMeasure *measure = model_document_measure (doc, finding->measure_id);
  g_autofree char *figures
    = g_strdup_printf (_ ("Wearer %1$s, form %2$s; %3$s may be ignored."), wearer, form, ignored);
  if (finding->holds || !measure)
    return g_steal_pointer (&figures);
  g_autofree char *advice = engine_form_advice_words (doc, measure);
  /* Translators: two sentences, one after the other. */
  return g_strdup_printf (_ ("%1$s %2$s"), figures, advice);
}

/* ---- remedies: only the maker can change the form; what is noted of it can be made to say what was done
 * ---- */

static EngineRemedy *
form_is_made_to_fit (const ModelDocument *doc, const ModelMeasure *measure)
{
  double missing = measure->wearer_mm - measure->form_mm;
  EngineFormAdvice advice = engine_form_advice (measure);
  g_autofree char *length = whole_length (doc, fabs (missing));
  g_autofree char *layer = engine_words_length (doc, fabs (advice.layer_mm));
  g_autofree char *name = engine_words_measure (measure);
  g_autofree char *wearer = whole_length (doc, measure->wearer_mm);
  char *text = NULL;
  switch (advice.place)
  {
  case ENGINE_FORM_ALL_ROUND:
    /* Translators: thickness, measure: "Pad the form by 2.2 mm all round at Chest". */
    text = g_strdup_printf (missing > 0.0 ? _ ("Pad the form by %1$s all round at %2$s")
                                          : _ ("Take %1$s off the form all round at %2$s"),
                            layer, name);
    break;
  case ENGINE_FORM_EACH_SIDE:
    /* Translators: thickness, measure: "Pad the form by 7.0 mm on each side at Shoulder width". */
    text = g_strdup_printf (missing > 0.0 ? _ ("Pad the form by %1$s on each side at %2$s")
                                          : _ ("Take %1$s off the form on each side at %2$s"),
                            layer, name);
    break;
  case ENGINE_FORM_NOWHERE:
    /* Translators: length, measure: "Make the form 10 mm longer at Side". */
    text = g_strdup_printf (missing > 0.0 ? _ ("Make the form %1$s longer at %2$s")
                                          : _ ("Make the form %1$s shorter at %2$s"),
                            length, name);
    break;
  }
  ModelMeasure *copy = model_measure_copy (measure);
  copy->form_mm = measure->wearer_mm;
  EngineRemedy *remedy = engine_remedy_new (
    text, g_strdup_printf (_ ("Then the form is noted as %s, like the wearer."), wearer));
  engine_remedy_add (remedy, MODEL_PART_MEASURE, copy);
  return remedy;
}

static EngineRemedy *
wearer_is_like_form (const ModelDocument *doc, const ModelMeasure *measure)
{
  g_autofree char *form = whole_length (doc, measure->form_mm);
  ModelMeasure *copy = model_measure_copy (measure);
  copy->wearer_mm = measure->form_mm;
  EngineRemedy *remedy = engine_remedy_new (g_strdup_printf (_ ("Take %s for the wearer"), form),
                                            g_strdup (_ ("If measuring again shows it.")));
  engine_remedy_add (remedy, MODEL_PART_MEASURE, copy);
  return remedy;
}

static EngineRemedy *
difference_is_known (const ModelDocument *doc, const ModelMeasure *measure)
{
  double off = ceil (fabs (measure->form_mm - measure->wearer_mm));
  g_autofree char *length = whole_length (doc, off);
  ModelMeasure *copy = model_measure_copy (measure);
  copy->has_tolerance = true;
  copy->tolerance_mm = off;
  EngineRemedy *remedy = engine_remedy_new (g_strdup_printf (_ ("Let the form be off by %s here"), length),
                                            g_strdup (_ ("It is known, and the form is used with care.")));
  engine_remedy_add (remedy, MODEL_PART_MEASURE, copy);
  return remedy;
}

static void
remedies (EngineReview *review, const EngineFinding *finding, GPtrArray *out)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelMeasure *measure = model_document_measure (doc, finding->measure_id);
  if (!measure)
    return;
  engine_remedy_offer (review, finding, out, form_is_made_to_fit (doc, measure));
  engine_remedy_offer (review, finding, out, wearer_is_like_form (doc, measure));
  engine_remedy_offer (review, finding, out, difference_is_known (doc, measure));
}

const EngineCheck engine_check_form_against_wearer = {
  .name = "form-against-wearer",
  .subject = ENGINE_SUBJECT_MEASURE,
  .run = run,
  .text = text,
  .detail = detail,
  .remedies = remedies,
};
