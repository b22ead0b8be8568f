#include "engine/form-advice.h"

#include "engine/words.h"

#include <glib/gi18n.h>

EngineFormAdvice
engine_form_advice (const ModelMeasure *measure)
{
  double missing = measure->wearer_mm - measure->form_mm;
  EngineFormAdvice advice = { .draw_mm = missing };
  switch (measure->group)
  {
  case MODEL_MEASURE_ROUND:
    advice.place = ENGINE_FORM_ALL_ROUND;
    advice.layer_mm = missing / (2.0 * G_PI);
    break;
  case MODEL_MEASURE_ACROSS:
    advice.place = ENGINE_FORM_EACH_SIDE;
    advice.layer_mm = missing / 2.0;
    break;
  case MODEL_MEASURE_ALONG:
    advice.place = ENGINE_FORM_NOWHERE;
    break;
  }
  return advice;
}

/* Where panels are made longer for a length of the trunk, NULL for another. */
static const char *
stretch_of (const ModelMeasure *measure)
{
  static const struct
  {
    const char *key, *words;
  } rows[] = {
    { "waist_to_hip", N_ ("between waist and hips") },
    { "side_length", N_ ("between armpit and waist") },
    { "back_waist_length", N_ ("between nape and waist") },
    { "front_waist_length", N_ ("between neck and waist") },
    { "upper_arm_length", N_ ("between shoulder and elbow") },
    { "forearm_length", N_ ("between elbow and wrist") },
  };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    if (g_strcmp0 (measure->key, rows[i].key) == 0)
      return _ (rows[i].words);
  return NULL;
}

/* The line that holds the panels against the measure, or words for its level. */
static char *
level_of (const ModelDocument *doc, const ModelMeasure *measure)
{
  for (guint i = 0; i < doc->lines->len; i++)
  {
    const ModelLine *line = g_ptr_array_index (doc->lines, i);
    if (line->measure_id == measure->id && line->spans->len > 0)
    {
      g_autofree char *name = engine_words_line (line);
      /* Translators: the name of a line. */
      return g_strdup_printf (_ ("along %s"), name);
    }
  }
  const char *stretch = stretch_of (measure);
  return g_strdup (stretch ? stretch : _ ("at this level"));
}

char *
engine_form_advice_words (const ModelDocument *doc, const ModelMeasure *measure)
{
  EngineFormAdvice advice = engine_form_advice (measure);
  bool more = advice.draw_mm > 0.0;
  g_autofree char *layer = engine_words_length (doc, fabs (advice.layer_mm)),
                  *draw = model_unit_text (fabs (advice.draw_mm), doc->head->unit, 0),
                  *level = level_of (doc, measure);
  switch (advice.place)
  {
  case ENGINE_FORM_ALL_ROUND:
    /* Translators: thickness, length, "along Chest line" or "at this level". */
    return g_strdup_printf (
      more ? _ ("Pad it with a layer of %1$s all round, or draw the panels %2$s longer %3$s.")
           : _ ("Take a layer of %1$s off all round, or draw the panels %2$s shorter %3$s."),
      layer, draw, level);
  case ENGINE_FORM_EACH_SIDE:
    /* Translators: thickness, length, "along Chest line" or "at this level". */
    return g_strdup_printf (more ? _ ("Pad it by %1$s on each side, or draw the panels %2$s wider %3$s.")
                                 : _ ("Take %1$s off on each side, or draw the panels %2$s narrower %3$s."),
                            layer, draw, level);
  case ENGINE_FORM_NOWHERE:
    break;
  }
  /* Translators: a length, "between waist and hips" or "at this level". */
  return g_strdup_printf (more ? _ ("Padding makes no form longer: draw the panels %1$s longer %2$s.")
                               : _ ("Draw the panels %1$s shorter %2$s than they lie on the form."),
                          draw, level);
}
