/* What the reader of documents is made of: "take this member, of this type, within these limits", and saying
 * where in the text one was not.
 *
 * Every function returns whether all is well; the first false ends the reading with an error that names the
 * place. A member that is absent leaves *OUT as it is.  OBJECT is what UP names; NAME is its member.
 *
 * Private to the room.
 */
#ifndef MODEL_READ_VALUE_H
#define MODEL_READ_VALUE_H

#include "model/format.h"
#include "model/json-text.h"

/* A place in the text, for messages: MEMBER of what UP is, or its element INDEX. */
typedef struct ModelSpot
{
  const struct ModelSpot *up;
  const char *member; /* NULL: an element */
  guint index;
} ModelSpot;

/* What an id stands for. */
typedef enum ModelSeenKind
{
  MODEL_SEEN_PART,
  MODEL_SEEN_EDGE,
  MODEL_SEEN_NODE,
  MODEL_SEEN_MARK,
  MODEL_SEEN_TAPE
} ModelSeenKind;

typedef struct ModelSeen
{
  ModelSeenKind kind;
  guint panel_id;
  guint index; /* of the edge or mark in its panel */
} ModelSeen;

typedef struct ModelReader
{
  ModelJson *json;
  ModelDocument *doc;
  GHashTable *ids; /* id -> index into SEEN, plus one */
  GArray *seen;
  guint max_id, node_count;
  bool leaps; /* some run leaves edges out: whether they are darts shows when all joins are there */
  GError **error;
} ModelReader;

typedef const ModelJsonValue ModelValue;

#define SPOT(up_, member_) (&(const ModelSpot) { .up = (up_), .member = (member_) })
#define SPOT_AT(up_, index_) (&(const ModelSpot) { .up = (up_), .index = (index_) })

bool model_fail_with (ModelReader *r, ModelFileError code, const ModelSpot *spot, const char *why);
bool model_fail (ModelReader *r, const ModelSpot *spot, const char *why);

bool model_is_number (ModelValue *v, double *out);
bool
model_read_number (ModelReader *r, const ModelSpot *spot, ModelValue *v, double min, double max, double *out);
bool model_take_number (ModelReader *r,
                        const ModelSpot *up,
                        ModelValue *object,
                        const char *name,
                        double min,
                        double max,
                        double *out);
/* For figures that may be left out: says whether it was there. */
bool model_take_optional (ModelReader *r,
                          const ModelSpot *up,
                          ModelValue *object,
                          const char *name,
                          double min,
                          double max,
                          bool *has,
                          double *out);
bool
model_read_whole (ModelReader *r, const ModelSpot *spot, ModelValue *v, guint min, guint max, guint *out);
bool model_missing (ModelReader *r, const ModelSpot *up, const char *name);
/* A reference to something else: 0 when absent. */
bool model_take_reference (
  ModelReader *r, const ModelSpot *up, ModelValue *object, const char *name, bool needed, guint *out);
bool model_take_bool (ModelReader *r, const ModelSpot *up, ModelValue *object, const char *name, bool *out);
bool model_take_text (ModelReader *r, const ModelSpot *up, ModelValue *object, const char *name, char **out);
/* As model_take_text; an empty text counts as none. */
bool model_take_text_or_null (
  ModelReader *r, const ModelSpot *up, ModelValue *object, const char *name, char **out);
bool model_take_word (ModelReader *r,
                      const ModelSpot *up,
                      ModelValue *object,
                      const char *name,
                      const char *const *words,
                      int *out);
/* Absent and NEEDED: an error.  Absent otherwise: *OUT stays. */
bool model_take_point (
  ModelReader *r, const ModelSpot *up, ModelValue *object, const char *name, bool needed, GeomPoint *out);
/* The list NAME of OBJECT; *OUT NULL when it is absent. */
bool model_take_list (
  ModelReader *r, const ModelSpot *up, ModelValue *object, const char *name, bool needed, ModelValue **out);
bool model_need_object (ModelReader *r, const ModelSpot *spot, ModelValue *v);
ModelSeen *model_find_seen (ModelReader *r, guint id);
bool model_take_id (ModelReader *r, const ModelSpot *up, ModelValue *object, ModelSeen seen, guint *out);
void model_keep_rest (ModelReader *r, ModelValue *object, JsonObject **extra);
void model_keep_rest_by_id (ModelReader *r, ModelValue *object, GHashTable **table, guint id);

#endif
