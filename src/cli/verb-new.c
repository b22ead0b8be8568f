/* new: a document from a starter and measures. */
#include "cli/verb.h"
#include "engine/starter.h"
#include "model/store.h"
#include "model/unit.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

/* ---- --list ---- */

/* With a point whatever the locale: what is listed can be given back to --set. */
static void
append_number (GString *to, double value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  g_string_append (to, g_ascii_formatd (text, sizeof text, "%g", value));
}

static void
append_unit (GString *to, EngineValueKind kind)
{
  switch (kind)
  {
  case ENGINE_VALUE_LENGTH:
    g_string_append (to, " mm");
    break;
  case ENGINE_VALUE_COUNT:
  case ENGINE_VALUE_SHARE:
  case ENGINE_VALUE_CHOICE:
    break;
  }
}

/* Each different measure once, and which word of the first choice it goes with. */
static void
append_measures (GString *to, const EngineStarter *starter, const EngineStarterValue *value)
{
  for (int i = 0; i < ENGINE_STARTER_CHOICES; i++)
    if (value->measure[i] != NULL && strcmp (value->measure[i], value->key) != 0)
    {
      const char *word = starter->values[0].choices[i].key;
      if (word != NULL)
        g_string_append_printf (to, "; %s: %s", word, value->measure[i]);
      else
        g_string_append_printf (to, "; %s", value->measure[i]);
    }
}

static void
append_value (GString *to, const EngineStarter *starter, guint index, double start)
{
  const EngineStarterValue *value = &starter->values[index];
  g_string_append_printf (to, "  %s=", value->key);
  if (value->kind == ENGINE_VALUE_CHOICE)
  {
    g_string_append (to, value->choices[(int)start].key);
    g_string_append (to, " (");
    for (int i = 0; i < ENGINE_STARTER_CHOICES && value->choices[i].key != NULL; i++)
      g_string_append_printf (to, "%s%s", i > 0 ? ", " : "", value->choices[i].key);
    g_string_append_c (to, ')');
  }
  else
  {
    append_number (to, start);
    append_unit (to, value->kind);
    g_string_append (to, " (");
    append_number (to, value->min);
    g_string_append (to, " … ");
    append_number (to, value->max);
    g_string_append_c (to, ')');
  }
  g_string_append_printf (to, "  %s", _ (value->name));
  append_measures (to, starter, value);
  g_string_append_c (to, '\n');
}

static CliStatus
list_starters (void)
{
  g_autoptr (GString) text = g_string_new (NULL);
  guint count;
  const EngineStarter *const *starters = engine_starters (&count);
  for (guint i = 0; i < count; i++)
  {
    double values[ENGINE_STARTER_VALUES];
    engine_starter_defaults (starters[i], values);
    g_string_append_printf (text, "%s%s: %s\n", i > 0 ? "\n" : "", starters[i]->key,
                            _ (starters[i]->summary));
    for (guint k = 0; k < starters[i]->value_count; k++)
      append_value (text, starters[i], k, values[k]);
  }
  return cli_print (text->str);
}

/* ---- --set ---- */

static bool
read_number (const char *text, double *value)
{
  char *end;
  *value = g_ascii_strtod (text, &end);
  return end != text && *end == '\0' && isfinite (*value);
}

static bool
read_value (const EngineStarterValue *value, const char *text, double *out)
{
  switch (value->kind)
  {
  case ENGINE_VALUE_LENGTH:
    return model_unit_parse (text, MODEL_UNIT_MM, out, NULL);
  case ENGINE_VALUE_COUNT:
  case ENGINE_VALUE_SHARE:
    return read_number (text, out);
  case ENGINE_VALUE_CHOICE:
    *out = engine_starter_choice (value, text);
    return *out >= 0.0;
  }
  return false;
}

/* FIRST: the choice that decides what the other values mean is taken before all others. */
static bool
take_settings (const EngineStarter *starter, char **settings, bool first, double *values)
{
  for (int i = 0; settings != NULL && settings[i] != NULL; i++)
  {
    const char *equals = strchr (settings[i], '=');
    if (equals == NULL)
    {
      cli_complain (_ ("--set %s: wants NAME=VALUE"), settings[i]);
      return false;
    }
    g_autofree char *name = g_strndup (settings[i], (gsize)(equals - settings[i]));
    int index = engine_starter_find (starter, values, name);
    if (index < 0 && first)
      continue;
    if (index < 0)
    {
      cli_complain (_ ("--set %s: the starter %s has no “%s”; panelwright new --list shows what it has"),
                    settings[i], starter->key, name);
      return false;
    }
    bool decides = index == 0 && starter->values[0].kind == ENGINE_VALUE_CHOICE;
    if (decides != first)
      continue;
    double value;
    if (!read_value (&starter->values[index], equals + 1, &value))
    {
      cli_complain (_ ("--set %s: this value is not understood"), settings[i]);
      return false;
    }
    if (decides)
      engine_starter_defaults_for (starter, (int)value, values);
    else
      values[index] = value;
  }
  return true;
}

static CliStatus
make (const char *key, char **settings, const char *output)
{
  const EngineStarter *starter = engine_starter_named (key);
  if (starter == NULL)
    return cli_complain (_ ("%s: no such starter; panelwright new --list shows them"), key);
  double values[ENGINE_STARTER_VALUES];
  engine_starter_defaults (starter, values);
  if (!take_settings (starter, settings, true, values) || !take_settings (starter, settings, false, values)
      || !cli_output_is_sound (&cli_verb_new, output, ""))
    return CLI_UNUSABLE;
  g_autoptr (GError) error = NULL;
  g_autoptr (ModelDocument) doc = engine_starter_make (starter, values, &error);
  if (doc == NULL)
    return cli_complain ("%s: %s", key, error->message);
  g_autoptr (GFile) file = g_file_new_for_commandline_arg (output);
  if (!model_store_save (doc, file, NULL, &error))
    return cli_complain ("%s: %s", output, error->message);
  return CLI_DONE;
}

static CliStatus
run_new (int argc, char **argv)
{
  g_autofree char *output = NULL, *key = NULL;
  g_auto (GStrv) settings = NULL;
  gboolean list = FALSE;
  const GOptionEntry entries[] = {
    { "set", 0, 0, G_OPTION_ARG_STRING_ARRAY, &settings,
      N_ ("A number, with or without its unit; may be given several times"), "NAME=VALUE" },
    { "output", 'o', 0, G_OPTION_ARG_FILENAME, &output, N_ ("The document to write"), "FILE" },
    { "list", 0, 0, G_OPTION_ARG_NONE, &list, N_ ("Show the starters and what each can be told"), NULL },
    G_OPTION_ENTRY_NULL,
  };
  /* Alone it wants no starter, which the common parser asks for. */
  if (argc == 2 && strcmp (argv[1], "--list") == 0)
    return list_starters ();
  if (!cli_parse (&cli_verb_new, argc, argv, entries, &key))
    return CLI_UNUSABLE;
  if (list)
    return cli_complain (_ ("--list stands alone: panelwright new --list"));
  return make (key, settings, output);
}

const CliVerb cli_verb_new = {
  "new",
  "STARTER [--set NAME=VALUE]... --output FILE",
  N_ ("make a document from a starter and measures; new --list shows the starters"),
  run_new,
};
