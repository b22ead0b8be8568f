/* A recursive reader over one writable copy of the text: strings are unescaped where they stand and closed
 * with a NUL, so that names and strings need no memory of their own. */
#include "model/json-text.h"

#include "model/file.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

/* Up to here pairs of names are compared; beyond, a table. */
#define FEW_MEMBERS 16

typedef struct Parser
{
  ModelJson *json;
  const char *source; /* as it came: for line and column */
  char *at, *end;
  GError **error;
} Parser;

G_DEFINE_QUARK (model - file - error, model_file_error)

/* Lines and columns as an editor counts them: from 1, columns in characters. */
static bool
fail_at (const Parser *p, const char *where, const char *why)
{
  gsize offset = (gsize)(where - p->json->text);
  int line = 1, column = 1;

  for (gsize i = 0; i < offset; i++)
  {
    guchar c = (guchar)p->source[i];

    if (c == '\n')
    {
      line++;
      column = 1;
    }
    else if ((c & 0xc0) != 0x80)
      column++;
  }
  /* Translators: where in a file something is wrong, and what. */
  g_set_error (p->error, MODEL_FILE_ERROR, MODEL_FILE_ERROR_SYNTAX, _ ("line %d, column %d: %s"), line,
               column, why);
  return false;
}

static bool
fail (const Parser *p, const char *why)
{
  return fail_at (p, p->at, p->at == p->end ? _ ("the text ends too early") : why);
}

static void
skip_space (Parser *p)
{
  while (*p->at == ' ' || *p->at == '\n' || *p->at == '\t' || *p->at == '\r')
    p->at++;
}

/* 0 with the error set when there are too many. */
static guint32
new_value (Parser *p, ModelJsonKind kind)
{
  ModelJson *json = p->json;

  if (json->count == json->room)
  {
    if (json->room >= MODEL_JSON_MAX_VALUES)
      return 0;
    json->room = MIN (json->room * 2, MODEL_JSON_MAX_VALUES);
    json->value = g_renew (ModelJsonValue, json->value, json->room);
  }
  json->value[json->count] = (ModelJsonValue) { .kind = (guint8)kind };
  return json->count++;
}

/* ---- strings ---- */

/* Four hexadecimal digits, -1 if they are not. */
static int
hex4 (const char *at)
{
  int v = 0;

  for (int i = 0; i < 4; i++)
  {
    int digit = g_ascii_xdigit_value (at[i]);

    if (digit < 0)
      return -1;
    v = v * 16 + digit;
  }
  return v;
}

/* At the backslash.  Writes to *TO, which never overtakes the reading. */
static bool
read_escape (Parser *p, char **to)
{
  static const char from[] = "\"\\/bfnrt", plain[] = "\"\\/\b\f\n\r\t";
  const char *found;
  int unit, low;
  gunichar c;

  found = p->at[1] != '\0' ? strchr (from, p->at[1]) : NULL;
  if (found != NULL)
  {
    *(*to)++ = plain[found - from];
    p->at += 2;
    return true;
  }
  if (p->at[1] != 'u' || (unit = hex4 (p->at + 2)) < 0)
    return fail (p, _ ("this escape in a string is not one of JSON's"));
  c = (gunichar)unit;
  if (c == 0)
    return fail (p, _ ("a NUL character in a string"));
  if (unit >= 0xd800 && unit < 0xe000)
  {
    low = unit < 0xdc00 && p->at[6] == '\\' && p->at[7] == 'u' ? hex4 (p->at + 8) : -1;
    if (low < 0xdc00 || low >= 0xe000)
      return fail (p, _ ("half of a character in a string"));
    c = 0x10000 + (((gunichar)unit - 0xd800) << 10) + ((gunichar)low - 0xdc00);
    p->at += 6;
  }
  *to += g_unichar_to_utf8 (c, *to);
  p->at += 6;
  return true;
}

/* At the opening quote. */
static bool
read_string (Parser *p, const char **out)
{
  char *start = ++p->at, *to = start;

  for (;;)
  {
    guchar c = (guchar)*p->at;

    if (c == '"')
      break;
    if (c == '\\')
    {
      if (!read_escape (p, &to))
        return false;
    }
    else if (c < 0x20)
      return fail (p, _ ("a control character in a string"));
    else
    {
      *to++ = *p->at++;
    }
  }
  *to = '\0';
  p->at++;
  *out = start;
  return true;
}

/* ---- numbers ---- */

static bool
skip_digits (Parser *p)
{
  if (!g_ascii_isdigit (*p->at))
    return fail (p, _ ("a digit is missing here"));
  while (g_ascii_isdigit (*p->at))
    p->at++;
  return true;
}

static bool
read_number (Parser *p, ModelJsonValue *value)
{
  char *start = p->at;
  bool whole = true;

  if (*p->at == '-')
    p->at++;
  if (*p->at == '0' && g_ascii_isdigit (p->at[1]))
    return fail (p, _ ("a number must not begin with 0 and another digit"));
  if (!skip_digits (p))
    return false;
  /* 18 digits always fit. */
  if (p->at - start > 18)
    whole = false;
  if (*p->at == '.')
  {
    whole = false;
    p->at++;
    if (!skip_digits (p))
      return false;
  }
  if (*p->at == 'e' || *p->at == 'E')
  {
    whole = false;
    p->at++;
    if (*p->at == '+' || *p->at == '-')
      p->at++;
    if (!skip_digits (p))
      return false;
  }
  if (whole)
  {
    value->kind = MODEL_JSON_INTEGER;
    value->integer = g_ascii_strtoll (start, NULL, 10);
    return true;
  }
  value->kind = MODEL_JSON_NUMBER;
  value->number = g_ascii_strtod (start, NULL);
  if (!isfinite (value->number))
    return fail_at (p, start, _ ("this number is too large"));
  return true;
}

/* ---- structure ---- */

static bool read_value (Parser *p, guint32 index, int depth);

static bool
names_differ (const Parser *p, guint32 object)
{
  const ModelJson *json = p->json;
  const ModelJsonValue *value = &json->value[object];

  if (value->count <= FEW_MEMBERS)
  {
    for (const ModelJsonValue *a = model_json_first (json, value); a != NULL; a = model_json_next (json, a))
      for (const ModelJsonValue *b = model_json_next (json, a); b != NULL; b = model_json_next (json, b))
        if (strcmp (a->name, b->name) == 0)
          return false;
    return true;
  }
  g_autoptr (GHashTable) seen = g_hash_table_new (g_str_hash, g_str_equal);
  for (const ModelJsonValue *a = model_json_first (json, value); a != NULL; a = model_json_next (json, a))
    if (!g_hash_table_add (seen, (gpointer)a->name))
      return false;
  return true;
}

/* After the opening bracket of the array or object INDEX. */
static bool
read_children (Parser *p, guint32 index, int depth)
{
  bool is_object = p->json->value[index].kind == MODEL_JSON_OBJECT;
  char close = is_object ? '}' : ']';
  char *start = p->at - 1;
  guint32 last = 0;

  if (depth > MODEL_JSON_MAX_DEPTH)
    return fail_at (p, start, _ ("lists and objects are nested too deep"));
  skip_space (p);
  if (*p->at == close)
  {
    p->at++;
    return true;
  }
  for (;;)
  {
    const char *name = NULL;
    guint32 child;

    skip_space (p);
    if (is_object)
    {
      if (*p->at != '"')
        return fail (p, _ ("the name of a member, in double quotes, is expected here"));
      if (!read_string (p, &name))
        return false;
      skip_space (p);
      if (*p->at != ':')
        return fail (p, _ ("a colon is expected here"));
      p->at++;
      skip_space (p);
    }
    child = new_value (p, MODEL_JSON_NULL);
    if (child == 0)
      return fail_at (p, p->at, _ ("there are too many values"));
    p->json->value[child].name = name;
    if (last == 0)
      p->json->value[index].first = child;
    else
      p->json->value[last].next = child;
    last = child;
    p->json->value[index].count++;
    if (!read_value (p, child, depth))
      return false;
    skip_space (p);
    if (*p->at == close)
      break;
    if (*p->at != ',')
      return fail (p, is_object ? _ ("a comma or a closing brace is expected here")
                                : _ ("a comma or a closing bracket is expected here"));
    p->at++;
  }
  p->at++;
  if (is_object && !names_differ (p, index))
    return fail_at (p, start, _ ("this object has two members of the same name"));
  return true;
}

static bool
read_word (Parser *p, const char *word)
{
  gsize length = strlen (word);

  if (strncmp (p->at, word, length) != 0)
    return fail (p, _ ("a value is expected here"));
  p->at += length;
  return true;
}

static bool
read_value (Parser *p, guint32 index, int depth)
{
  ModelJsonValue *value = &p->json->value[index];

  switch (*p->at)
  {
  case '{':
  case '[':
    value->kind = *p->at == '{' ? MODEL_JSON_OBJECT : MODEL_JSON_ARRAY;
    p->at++;
    return read_children (p, index, depth + 1);
  case '"':
    value->kind = MODEL_JSON_STRING;
    return read_string (p, &value->text);
  case 't':
    value->kind = MODEL_JSON_BOOL;
    value->truth = true;
    return read_word (p, "true");
  case 'f':
    value->kind = MODEL_JSON_BOOL;
    return read_word (p, "false");
  case 'n':
    return read_word (p, "null");
  default:
    if (*p->at == '-' || g_ascii_isdigit (*p->at))
      return read_number (p, value);
    return fail (p, _ ("a value is expected here"));
  }
}

ModelJson *
model_json_parse (const char *data, gsize length, GError **error)
{
  g_autoptr (ModelJson) json = g_new0 (ModelJson, 1);
  Parser p = { .json = json, .source = data, .error = error };
  const char *bad;

  json->text = g_malloc (length + 1);
  if (length > 0)
    memcpy (json->text, data, length);
  json->text[length] = '\0';
  p.at = json->text;
  p.end = json->text + length;
  if (!g_utf8_validate_len (json->text, length, &bad))
  {
    fail_at (&p, bad, *bad == '\0' ? _ ("a NUL byte; this is not a text") : _ ("this is not UTF-8 text"));
    return NULL;
  }
  json->room = 1024;
  json->value = g_new (ModelJsonValue, json->room);
  if (g_str_has_prefix (p.at, "\xef\xbb\xbf"))
    p.at += 3;
  skip_space (&p);
  new_value (&p, MODEL_JSON_NULL);
  if (p.at == p.end)
  {
    fail_at (&p, p.at, _ ("the file is empty"));
    return NULL;
  }
  if (!read_value (&p, 0, 0))
    return NULL;
  skip_space (&p);
  if (p.at != p.end)
  {
    fail_at (&p, p.at, _ ("there is more text after the end of the document"));
    return NULL;
  }
  return g_steal_pointer (&json);
}

void
model_json_free (ModelJson *json)
{
  if (json == NULL)
    return;
  g_free (json->text);
  g_free (json->value);
  g_free (json);
}

/* ---- looking into it ---- */

const ModelJsonValue *
model_json_member (ModelJson *json, const ModelJsonValue *object, const char *name)
{
  for (guint32 i = object->first; i != 0; i = json->value[i].next)
    if (strcmp (json->value[i].name, name) == 0)
    {
      json->value[i].taken = TRUE;
      return &json->value[i];
    }
  return NULL;
}

static JsonNode *
to_node (const ModelJson *json, const ModelJsonValue *value)
{
  JsonNode *node;

  switch ((ModelJsonKind)value->kind)
  {
  case MODEL_JSON_NULL:
    return json_node_new (JSON_NODE_NULL);
  case MODEL_JSON_BOOL:
    return json_node_init_boolean (json_node_alloc (), value->truth);
  case MODEL_JSON_INTEGER:
    return json_node_init_int (json_node_alloc (), value->integer);
  case MODEL_JSON_NUMBER:
    return json_node_init_double (json_node_alloc (), value->number);
  case MODEL_JSON_STRING:
    return json_node_init_string (json_node_alloc (), value->text);
  case MODEL_JSON_ARRAY:
  {
    JsonArray *array = json_array_sized_new (value->count);

    for (const ModelJsonValue *v = model_json_first (json, value); v != NULL; v = model_json_next (json, v))
      json_array_add_element (array, to_node (json, v));
    node = json_node_new (JSON_NODE_ARRAY);
    json_node_take_array (node, array);
    return node;
  }
  case MODEL_JSON_OBJECT:
  {
    JsonObject *object = json_object_new ();

    for (const ModelJsonValue *v = model_json_first (json, value); v != NULL; v = model_json_next (json, v))
      json_object_set_member (object, v->name, to_node (json, v));
    node = json_node_new (JSON_NODE_OBJECT);
    json_node_take_object (node, object);
    return node;
  }
  }
  g_return_val_if_reached (json_node_new (JSON_NODE_NULL));
}

JsonObject *
model_json_rest (const ModelJson *json, const ModelJsonValue *object)
{
  JsonObject *rest = NULL;

  for (const ModelJsonValue *v = model_json_first (json, object); v != NULL; v = model_json_next (json, v))
  {
    if (v->taken)
      continue;
    if (rest == NULL)
      rest = json_object_new ();
    json_object_set_member (rest, v->name, to_node (json, v));
  }
  return rest;
}
