#include "engine/twin-name.h"

#include <glib/gi18n.h>
#include <string.h>

static bool
is_side_word (const char *word, ModelSide side)
{
  /* Translators: the wearer's side as makers put it into a panel's name, lower case: "Front, left". */
  const char *own = side == MODEL_SIDE_LEFT ? C_ ("panel name", "left") : C_ ("panel name", "right");
  return strcmp (word, model_side_key (side)) == 0 || strcmp (word, own) == 0;
}

char *
engine_twin_key (const ModelPanel *panel)
{
  if (panel->halves != MODEL_HALVES_SINGLE || panel->side == MODEL_SIDE_CENTRE)
    return NULL;
  g_autofree char *lower = g_utf8_strdown (panel->name, -1);
  g_auto (GStrv) words = g_strsplit_set (lower, " ,;:()[]-_", -1);
  g_autoptr (GString) key = g_string_new (NULL);
  for (guint i = 0; words[i]; i++)
  {
    if (!*words[i] || is_side_word (words[i], panel->side))
      continue;
    if (key->len > 0)
      g_string_append_c (key, ' ');
    g_string_append (key, words[i]);
  }
  return key->len > 0 ? g_string_free (g_steal_pointer (&key), FALSE) : NULL;
}
