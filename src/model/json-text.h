/* JSON text as a flat tree, by RFC 8259 to the letter.
 *
 * json-glib's own parser takes comments, keeps the last of two members of one name, goes as deep as the text
 * tells it to and makes several small objects of every number.  A document comes from anywhere and is mostly
 * numbers, so: strict, at most MODEL_JSON_MAX_DEPTH deep, no member twice, every number finite, 32 bytes a
 * value.
 *
 * Private to the room.
 */
#ifndef MODEL_JSON_TEXT_H
#define MODEL_JSON_TEXT_H

#include <glib.h>
#include <json-glib/json-glib.h>
#include <stdbool.h>

#define MODEL_JSON_MAX_DEPTH 100
/* Three times what MODEL_FILE_MAX_NODES nodes take. */
#define MODEL_JSON_MAX_VALUES 8000000

typedef enum ModelJsonKind
{
  MODEL_JSON_NULL,
  MODEL_JSON_BOOL,
  MODEL_JSON_INTEGER, /* no fraction, no exponent, fits */
  MODEL_JSON_NUMBER,
  MODEL_JSON_STRING,
  MODEL_JSON_ARRAY,
  MODEL_JSON_OBJECT
} ModelJsonKind;

typedef struct ModelJsonValue
{
  guint8 kind;          /* ModelJsonKind */
  guint8 taken;         /* asked for by model_json_member */
  guint32 next;         /* index of the next sibling, 0: none */
  guint32 first, count; /* children of an array or object; FIRST 0 when there is none */
  const char *name;     /* of a member; NULL for an element */
  union
  {
    bool truth;
    gint64 integer;
    double number;
    const char *text;
  };
} ModelJsonValue;

typedef struct ModelJson
{
  char *text;
  ModelJsonValue *value; /* [0] is the root */
  guint32 count, room;
} ModelJson;

/* NULL with a MODEL_FILE_ERROR_SYNTAX: "line 3, column 7: why".  A byte order mark at the start is passed
 * over. */
ModelJson *model_json_parse (const char *data, gsize length, GError **error);
void model_json_free (ModelJson *json);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelJson, model_json_free)

/* NULL when the object has none of that name.  Marks it as taken. */
const ModelJsonValue *model_json_member (ModelJson *json, const ModelJsonValue *object, const char *name);
/* The members nobody asked for, in their order; NULL when there is none. */
JsonObject *model_json_rest (const ModelJson *json, const ModelJsonValue *object);

static inline const ModelJsonValue *
model_json_first (const ModelJson *json, const ModelJsonValue *value)
{
  return value->first != 0 ? &json->value[value->first] : NULL;
}

static inline const ModelJsonValue *
model_json_next (const ModelJson *json, const ModelJsonValue *value)
{
  return value->next != 0 ? &json->value[value->next] : NULL;
}

#endif
