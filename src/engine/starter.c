/* The table of starters, and what is the same for all of them: limits, defaults, measures. */
#include "engine/starter.h"

#include "engine/outline-scan.h"
#include "engine/starter-draft.h"
#include "engine/tolerance.h"
#include "model/measure-book.h"
#include "model/unit.h"

#include <glib/gi18n.h>
#include <string.h>

G_DEFINE_QUARK (engine - starter - error - quark, engine_starter_error)

static const EngineStarter *const starters[] = {
  &engine_starter_tube,  &engine_starter_collar,    &engine_starter_torso,
  &engine_starter_strap, &engine_starter_rectangle,
};

const EngineStarter *const *
engine_starters (guint *count)
{
  if (count != NULL)
    *count = G_N_ELEMENTS (starters);
  return starters;
}

const EngineStarter *
engine_starter_named (const char *key)
{
  for (guint i = 0; key != NULL && i < G_N_ELEMENTS (starters); i++)
    if (strcmp (starters[i]->key, key) == 0)
      return starters[i];
  return NULL;
}

/* Which word of the first choice is taken; 0 where there is no such choice. */
static guint
first_choice (const EngineStarter *starter, const double *values)
{
  if (starter->value_count == 0 || starter->values[0].kind != ENGINE_VALUE_CHOICE)
    return 0;
  return values[0] >= 0.0 && values[0] <= starter->values[0].max ? (guint)values[0] : 0;
}

const char *
engine_starter_measure (const EngineStarter *starter, const double *values, guint index)
{
  g_return_val_if_fail (index < starter->value_count, NULL);
  return starter->values[index].measure[first_choice (starter, values)];
}

double
engine_starter_start (const EngineStarter *starter, const double *values, guint index)
{
  g_return_val_if_fail (index < starter->value_count, 0.0);
  const EngineStarterValue *value = &starter->values[index];
  double by_choice = value->start_by_choice[first_choice (starter, values)];
  return by_choice > 0.0 ? by_choice : value->start;
}

int
engine_starter_find (const EngineStarter *starter, const double *values, const char *name)
{
  for (guint i = 0; i < starter->value_count; i++)
    if (strcmp (starter->values[i].key, name) == 0)
      return (int)i;
  for (guint i = 0; i < starter->value_count; i++)
    if (g_strcmp0 (engine_starter_measure (starter, values, i), name) == 0)
      return (int)i;
  return -1;
}

void
engine_starter_defaults (const EngineStarter *starter, double *values)
{
  engine_starter_defaults_for (starter, 0, values);
}

void
engine_starter_defaults_for (const EngineStarter *starter, int first, double *values)
{
  bool chooses = starter->value_count > 0 && starter->values[0].kind == ENGINE_VALUE_CHOICE;
  /* The first value decides what the others are. */
  for (guint i = 0; i < starter->value_count; i++)
    values[i] = i == 0 && chooses ? first : engine_starter_start (starter, values, i);
}

void
engine_starter_defaults_from (const EngineStarter *starter,
                              int first,
                              const ModelDocument *doc,
                              double *values)
{
  engine_starter_defaults_for (starter, first, values);
  for (guint i = 0; i < starter->value_count; i++)
  {
    const char *key = engine_starter_measure (starter, values, i);
    for (guint k = 0; key != NULL && k < doc->measures->len; k++)
    {
      const ModelMeasure *measure = g_ptr_array_index (doc->measures, k);
      const EngineStarterValue *value = &starter->values[i];
      if (measure->has_wearer && g_strcmp0 (measure->key, key) == 0 && measure->wearer_mm >= value->min
          && measure->wearer_mm <= value->max)
        values[i] = measure->wearer_mm;
    }
  }
}

int
engine_starter_choice (const EngineStarterValue *value, const char *key)
{
  for (int i = 0; i < ENGINE_STARTER_CHOICES && value->choices[i].key != NULL; i++)
    if (strcmp (value->choices[i].key, key) == 0)
      return i;
  return -1;
}

/* ---- making ---- */

static char *
value_text (const EngineStarterValue *value, double v)
{
  if (value->kind == ENGINE_VALUE_LENGTH)
    return engine_draft_length (v);
  return g_strdup_printf ("%g", v);
}

static bool
is_within (const EngineStarterValue *value, double v)
{
  if (!(v >= value->min && v <= value->max))
    return false;
  switch (value->kind)
  {
  case ENGINE_VALUE_LENGTH:
  case ENGINE_VALUE_SHARE:
    return true;
  case ENGINE_VALUE_COUNT:
  case ENGINE_VALUE_CHOICE:
    return floor (v) >= v;
  }
  return false;
}

static bool
check_values (const EngineStarter *starter, const double *values, GError **error)
{
  for (guint i = 0; i < starter->value_count; i++)
  {
    const EngineStarterValue *value = &starter->values[i];
    if (is_within (value, values[i]))
      continue;
    g_autofree char *from = value_text (value, value->min), *to = value_text (value, value->max);
    g_autofree char *is = value_text (value, values[i]);
    /* Translators: the name of a number the maker gave, its limits, and what it is. */
    g_set_error (error, ENGINE_STARTER_ERROR, ENGINE_STARTER_ERROR_VALUE,
                 _ ("“%s” must lie between %s and %s; it is %s."), _ (value->name), from, to, is);
    return false;
  }
  return true;
}

static void
put_measures (EngineDraft *draft, const EngineStarter *starter, const double *values)
{
  for (guint i = 0; i < starter->value_count; i++)
  {
    const char *key = engine_starter_measure (starter, values, i);
    const ModelMeasureDef *def = model_measure_def (key);
    if (def == NULL)
      continue;
    ModelMeasure *measure = model_measure_new ();
    measure->id = model_document_take_id (draft->doc);
    measure->key = g_strdup (key);
    g_free (measure->name);
    measure->name = g_strdup (_ (def->name));
    measure->group = def->group;
    measure->has_wearer = true;
    measure->wearer_mm = values[i];
    model_document_put (draft->doc, (ModelPart) { MODEL_PART_MEASURE, measure }, -1);
  }
}

/* The last word: numbers of a body that nobody has may bend an outline over itself. */
static bool
check_outlines (const ModelDocument *doc, GError **error)
{
  for (guint i = 0; i < doc->panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (doc->panels, i);
    GeomPath path;
    geom_path_init (&path);
    model_panel_path (panel, &path, NULL);
    EngineOutlineScan scan = engine_outline_scan (&path, ENGINE_SLIVER_MM, ENGINE_SLIVER_WAY_MM);
    geom_path_clear (&path);
    if (scan.result != ENGINE_SCAN_FINE)
      return engine_draft_refuse (
        error, _ ("These numbers do not go together: the outline of “%s” would meet itself. Measure again."),
        panel->name);
  }
  return true;
}

ModelDocument *
engine_starter_make (const EngineStarter *starter, const double *values, GError **error)
{
  if (!check_values (starter, values, error))
    return NULL;
  g_autoptr (ModelDocument) doc = model_document_new ();
  EngineDraft draft = { .doc = doc };
  engine_draft_head (&draft, _ (starter->name), "");
  put_measures (&draft, starter, values);
  if (!starter->draw (&draft, values, error) || !check_outlines (doc, error))
    return NULL;
  return g_steal_pointer (&doc);
}
