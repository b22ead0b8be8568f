/* Members of a JSON object by type and limits, each fault named by its place. */
#include "model/read-value.h"

#include <glib/gi18n.h>
#include <string.h>

/* ---- saying where ---- */

static void
put_path (GString *out, const ModelSpot *spot)
{
  if (spot == NULL)
    return;
  put_path (out, spot->up);
  if (spot->member == NULL)
    g_string_append_printf (out, "[%u]", spot->index);
  else
    g_string_append_printf (out, "%s%s", out->len > 0 ? "." : "", spot->member);
}

bool
model_fail_with (ModelReader *r, ModelFileError code, const ModelSpot *spot, const char *why)
{
  g_autoptr (GString) path = g_string_new (NULL);

  put_path (path, spot);
  if (path->len > 0)
    g_set_error (r->error, MODEL_FILE_ERROR, (int)code, "%s: %s", path->str, why);
  else
    g_set_error_literal (r->error, MODEL_FILE_ERROR, (int)code, why);
  return false;
}

bool
model_fail (ModelReader *r, const ModelSpot *spot, const char *why)
{
  return model_fail_with (r, MODEL_FILE_ERROR_CONTENT, spot, why);
}

/* ---- members by type; an absent member leaves *OUT as it is ---- */

bool
model_is_number (ModelValue *v, double *out)
{
  if (v->kind == MODEL_JSON_INTEGER)
    *out = (double)v->integer;
  else if (v->kind == MODEL_JSON_NUMBER)
    *out = v->number;
  else
    return false;
  return true;
}

bool
model_read_number (ModelReader *r, const ModelSpot *spot, ModelValue *v, double min, double max, double *out)
{
  double number;

  if (!model_is_number (v, &number))
    return model_fail (r, spot, _ ("a number is expected here"));
  if (!(number >= min && number <= max))
  {
    char low[G_ASCII_DTOSTR_BUF_SIZE], high[G_ASCII_DTOSTR_BUF_SIZE];
    g_autofree char *why = NULL;

    g_ascii_formatd (low, sizeof low, "%.10g", min);
    g_ascii_formatd (high, sizeof high, "%.10g", max);
    /* Translators: the lowest and the highest number allowed. */
    why = g_strdup_printf (_ ("this number must be between %s and %s"), low, high);
    return model_fail (r, spot, why);
  }
  *out = number;
  return true;
}

bool
model_take_number (ModelReader *r,
                   const ModelSpot *up,
                   ModelValue *object,
                   const char *name,
                   double min,
                   double max,
                   double *out)
{
  ModelValue *v = model_json_member (r->json, object, name);

  return v == NULL || model_read_number (r, SPOT (up, name), v, min, max, out);
}

bool
model_take_optional (ModelReader *r,
                     const ModelSpot *up,
                     ModelValue *object,
                     const char *name,
                     double min,
                     double max,
                     bool *has,
                     double *out)
{
  *has = model_json_member (r->json, object, name) != NULL;
  return model_take_number (r, up, object, name, min, max, out);
}

bool
model_read_whole (ModelReader *r, const ModelSpot *spot, ModelValue *v, guint min, guint max, guint *out)
{
  double number;

  if (!model_is_number (v, &number) || number - trunc (number) < 0.0 || number - trunc (number) > 0.0)
    return model_fail (r, spot, _ ("a whole number is expected here"));
  if (!model_read_number (r, spot, v, min, max, &number))
    return false;
  *out = (guint)number;
  return true;
}

bool
model_missing (ModelReader *r, const ModelSpot *up, const char *name)
{
  return model_fail (r, SPOT (up, name), _ ("this member is missing"));
}

bool
model_take_reference (
  ModelReader *r, const ModelSpot *up, ModelValue *object, const char *name, bool needed, guint *out)
{
  ModelValue *v = model_json_member (r->json, object, name);

  if (v == NULL)
    return !needed || model_missing (r, up, name);
  return model_read_whole (r, SPOT (up, name), v, 1, MODEL_MAX_ID, out);
}

bool
model_take_bool (ModelReader *r, const ModelSpot *up, ModelValue *object, const char *name, bool *out)
{
  ModelValue *v = model_json_member (r->json, object, name);

  if (v == NULL)
    return true;
  if (v->kind != MODEL_JSON_BOOL)
    return model_fail (r, SPOT (up, name), _ ("true or false is expected here"));
  *out = v->truth;
  return true;
}

bool
model_take_text (ModelReader *r, const ModelSpot *up, ModelValue *object, const char *name, char **out)
{
  ModelValue *v = model_json_member (r->json, object, name);

  if (v == NULL)
    return true;
  if (v->kind != MODEL_JSON_STRING)
    return model_fail (r, SPOT (up, name), _ ("a text is expected here"));
  g_free (*out);
  *out = g_strdup (v->text);
  return true;
}

bool
model_take_text_or_null (
  ModelReader *r, const ModelSpot *up, ModelValue *object, const char *name, char **out)
{
  if (!model_take_text (r, up, object, name, out))
    return false;
  if (*out != NULL && **out == '\0')
    g_clear_pointer (out, g_free);
  return true;
}

bool
model_take_word (ModelReader *r,
                 const ModelSpot *up,
                 ModelValue *object,
                 const char *name,
                 const char *const *words,
                 int *out)
{
  ModelValue *v = model_json_member (r->json, object, name);
  g_autofree char *all = NULL, *why = NULL;

  if (v == NULL)
    return true;
  for (int i = 0; v->kind == MODEL_JSON_STRING && words[i] != NULL; i++)
    if (strcmp (v->text, words[i]) == 0)
    {
      *out = i;
      return true;
    }
  all = g_strjoinv (", ", (char **)words);
  /* Translators: %s is a list of words of the file format, which are not translated. */
  why = g_strdup_printf (_ ("one of these words is expected here: %s"), all);
  return model_fail (r, SPOT (up, name), why);
}

bool
model_take_point (
  ModelReader *r, const ModelSpot *up, ModelValue *object, const char *name, bool needed, GeomPoint *out)
{
  ModelValue *v = model_json_member (r->json, object, name), *x;
  const ModelSpot *spot = SPOT (up, name);
  GeomPoint p;

  if (v == NULL)
    return !needed || model_missing (r, up, name);
  if (v->kind != MODEL_JSON_ARRAY || v->count != 2)
    return model_fail (r, spot, _ ("a list of two numbers, x and y, is expected here"));
  x = model_json_first (r->json, v);
  if (!model_read_number (r, SPOT_AT (spot, 0), x, -MODEL_FILE_MAX_MM, MODEL_FILE_MAX_MM, &p.x)
      || !model_read_number (r, SPOT_AT (spot, 1), model_json_next (r->json, x), -MODEL_FILE_MAX_MM,
                             MODEL_FILE_MAX_MM, &p.y))
    return false;
  *out = p;
  return true;
}

bool
model_take_list (
  ModelReader *r, const ModelSpot *up, ModelValue *object, const char *name, bool needed, ModelValue **out)
{
  *out = model_json_member (r->json, object, name);
  if (*out == NULL)
    return !needed || model_missing (r, up, name);
  if ((*out)->kind != MODEL_JSON_ARRAY)
    return model_fail (r, SPOT (up, name), _ ("a list is expected here"));
  if (needed && (*out)->count == 0)
    return model_fail (r, SPOT (up, name), _ ("this list must not be empty"));
  return true;
}

bool
model_need_object (ModelReader *r, const ModelSpot *spot, ModelValue *v)
{
  return v->kind == MODEL_JSON_OBJECT || model_fail (r, spot, _ ("an object in braces is expected here"));
}

/* ---- ids ---- */

ModelSeen *
model_find_seen (ModelReader *r, guint id)
{
  guint index = GPOINTER_TO_UINT (g_hash_table_lookup (r->ids, GUINT_TO_POINTER (id)));

  return index > 0 ? &g_array_index (r->seen, ModelSeen, index - 1) : NULL;
}

bool
model_take_id (ModelReader *r, const ModelSpot *up, ModelValue *object, ModelSeen seen, guint *out)
{
  ModelValue *v = model_json_member (r->json, object, "id");

  if (v == NULL)
    return model_missing (r, up, "id");
  if (!model_read_whole (r, SPOT (up, "id"), v, 1, MODEL_MAX_ID, out))
    return false;
  if (model_find_seen (r, *out) != NULL)
    return model_fail (r, SPOT (up, "id"), _ ("this id is used twice"));
  g_array_append_val (r->seen, seen);
  g_hash_table_insert (r->ids, GUINT_TO_POINTER (*out), GUINT_TO_POINTER (r->seen->len));
  r->max_id = MAX (r->max_id, *out);
  return true;
}

/* ---- what was not understood ---- */

void
model_keep_rest (ModelReader *r, ModelValue *object, JsonObject **extra)
{
  *extra = model_json_rest (r->json, object);
}

void
model_keep_rest_by_id (ModelReader *r, ModelValue *object, GHashTable **table, guint id)
{
  JsonObject *rest = model_json_rest (r->json, object);

  if (rest == NULL)
    return;
  if (*table == NULL)
    *table = g_hash_table_new_full (NULL, NULL, NULL, (GDestroyNotify)json_object_unref);
  g_hash_table_insert (*table, GUINT_TO_POINTER (id), rest);
}
