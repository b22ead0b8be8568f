/* Text to a document, trusting nothing.
 *
 * One function a part, each a chain of "take this member, of this type, within these limits"; the first that
 * fails names its place by the chain of Spots on the stack.  What no function asked for is kept as it is.
 * References are looked up at once, so the order is: materials, measures, panels, joins, lines and the rest,
 * wherever they stand in the text.
 */
#include "model/format.h"
#include "model/json-text.h"
#include "model/run.h"

#include <glib/gi18n.h>
#include <string.h>

/* No document is near this; reading a larger file would only make the machine swap. */
#define MAX_FILE_BYTES (256 * 1024 * 1024)

/* A place in the text, for messages: MEMBER of what UP is, or its element INDEX. */
typedef struct Spot
{
  const struct Spot *up;
  const char *member; /* NULL: an element */
  guint index;
} Spot;

/* What an id stands for. */
typedef enum SeenKind
{
  SEEN_PART,
  SEEN_EDGE,
  SEEN_NODE,
  SEEN_MARK,
  SEEN_TAPE
} SeenKind;

typedef struct Seen
{
  SeenKind kind;
  guint panel_id;
  guint index; /* of the edge or mark in its panel */
} Seen;

typedef struct Reader
{
  ModelJson *json;
  ModelDocument *doc;
  GHashTable *ids; /* id -> index into SEEN, plus one */
  GArray *seen;
  guint max_id, node_count;
  bool leaps; /* some run leaves edges out: whether they are darts shows when all joins are there */
  GError **error;
} Reader;

typedef const ModelJsonValue Value;

#define SPOT(up_, member_) (&(const Spot) { .up = (up_), .member = (member_) })
#define SPOT_AT(up_, index_) (&(const Spot) { .up = (up_), .index = (index_) })

/* ---- saying where ---- */

static void
put_path (GString *out, const Spot *spot)
{
  if (spot == NULL)
    return;
  put_path (out, spot->up);
  if (spot->member == NULL)
    g_string_append_printf (out, "[%u]", spot->index);
  else
    g_string_append_printf (out, "%s%s", out->len > 0 ? "." : "", spot->member);
}

static bool
fail_with (Reader *r, ModelFileError code, const Spot *spot, const char *why)
{
  g_autoptr (GString) path = g_string_new (NULL);

  put_path (path, spot);
  if (path->len > 0)
    g_set_error (r->error, MODEL_FILE_ERROR, (int)code, "%s: %s", path->str, why);
  else
    g_set_error_literal (r->error, MODEL_FILE_ERROR, (int)code, why);
  return false;
}

static bool
fail (Reader *r, const Spot *spot, const char *why)
{
  return fail_with (r, MODEL_FILE_ERROR_CONTENT, spot, why);
}

/* ---- members by type; an absent member leaves *OUT as it is ---- */

static bool
is_number (Value *v, double *out)
{
  if (v->kind == MODEL_JSON_INTEGER)
    *out = (double)v->integer;
  else if (v->kind == MODEL_JSON_NUMBER)
    *out = v->number;
  else
    return false;
  return true;
}

static bool
read_number (Reader *r, const Spot *spot, Value *v, double min, double max, double *out)
{
  double number;

  if (!is_number (v, &number))
    return fail (r, spot, _ ("a number is expected here"));
  if (!(number >= min && number <= max))
  {
    char low[G_ASCII_DTOSTR_BUF_SIZE], high[G_ASCII_DTOSTR_BUF_SIZE];
    g_autofree char *why = NULL;

    g_ascii_formatd (low, sizeof low, "%.10g", min);
    g_ascii_formatd (high, sizeof high, "%.10g", max);
    /* Translators: the lowest and the highest number allowed. */
    why = g_strdup_printf (_ ("this number must be between %s and %s"), low, high);
    return fail (r, spot, why);
  }
  *out = number;
  return true;
}

static bool
take_number (Reader *r, const Spot *up, Value *object, const char *name, double min, double max, double *out)
{
  Value *v = model_json_member (r->json, object, name);

  return v == NULL || read_number (r, SPOT (up, name), v, min, max, out);
}

/* For figures that may be left out: says whether it was there. */
static bool
take_optional (
  Reader *r, const Spot *up, Value *object, const char *name, double min, double max, bool *has, double *out)
{
  *has = model_json_member (r->json, object, name) != NULL;
  return take_number (r, up, object, name, min, max, out);
}

static bool
read_whole (Reader *r, const Spot *spot, Value *v, guint min, guint max, guint *out)
{
  double number;

  if (!is_number (v, &number) || number - trunc (number) < 0.0 || number - trunc (number) > 0.0)
    return fail (r, spot, _ ("a whole number is expected here"));
  if (!read_number (r, spot, v, min, max, &number))
    return false;
  *out = (guint)number;
  return true;
}

static bool
missing (Reader *r, const Spot *up, const char *name)
{
  return fail (r, SPOT (up, name), _ ("this member is missing"));
}

/* A reference to something else: 0 when absent. */
static bool
take_reference (Reader *r, const Spot *up, Value *object, const char *name, bool needed, guint *out)
{
  Value *v = model_json_member (r->json, object, name);

  if (v == NULL)
    return !needed || missing (r, up, name);
  return read_whole (r, SPOT (up, name), v, 1, MODEL_MAX_ID, out);
}

static bool
take_bool (Reader *r, const Spot *up, Value *object, const char *name, bool *out)
{
  Value *v = model_json_member (r->json, object, name);

  if (v == NULL)
    return true;
  if (v->kind != MODEL_JSON_BOOL)
    return fail (r, SPOT (up, name), _ ("true or false is expected here"));
  *out = v->truth;
  return true;
}

static bool
take_text (Reader *r, const Spot *up, Value *object, const char *name, char **out)
{
  Value *v = model_json_member (r->json, object, name);

  if (v == NULL)
    return true;
  if (v->kind != MODEL_JSON_STRING)
    return fail (r, SPOT (up, name), _ ("a text is expected here"));
  g_free (*out);
  *out = g_strdup (v->text);
  return true;
}

/* As take_text; an empty text counts as none. */
static bool
take_text_or_null (Reader *r, const Spot *up, Value *object, const char *name, char **out)
{
  if (!take_text (r, up, object, name, out))
    return false;
  if (*out != NULL && **out == '\0')
    g_clear_pointer (out, g_free);
  return true;
}

static bool
take_word (Reader *r, const Spot *up, Value *object, const char *name, const char *const *words, int *out)
{
  Value *v = model_json_member (r->json, object, name);
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
  return fail (r, SPOT (up, name), why);
}

/* Absent and NEEDED: an error.  Absent otherwise: *OUT stays. */
static bool
take_point (Reader *r, const Spot *up, Value *object, const char *name, bool needed, GeomPoint *out)
{
  Value *v = model_json_member (r->json, object, name), *x;
  const Spot *spot = SPOT (up, name);
  GeomPoint p;

  if (v == NULL)
    return !needed || missing (r, up, name);
  if (v->kind != MODEL_JSON_ARRAY || v->count != 2)
    return fail (r, spot, _ ("a list of two numbers, x and y, is expected here"));
  x = model_json_first (r->json, v);
  if (!read_number (r, SPOT_AT (spot, 0), x, -MODEL_FILE_MAX_MM, MODEL_FILE_MAX_MM, &p.x)
      || !read_number (r, SPOT_AT (spot, 1), model_json_next (r->json, x), -MODEL_FILE_MAX_MM,
                       MODEL_FILE_MAX_MM, &p.y))
    return false;
  *out = p;
  return true;
}

/* The list NAME of OBJECT; *OUT NULL when it is absent. */
static bool
take_list (Reader *r, const Spot *up, Value *object, const char *name, bool needed, Value **out)
{
  *out = model_json_member (r->json, object, name);
  if (*out == NULL)
    return !needed || missing (r, up, name);
  if ((*out)->kind != MODEL_JSON_ARRAY)
    return fail (r, SPOT (up, name), _ ("a list is expected here"));
  if (needed && (*out)->count == 0)
    return fail (r, SPOT (up, name), _ ("this list must not be empty"));
  return true;
}

static bool
need_object (Reader *r, const Spot *spot, Value *v)
{
  return v->kind == MODEL_JSON_OBJECT || fail (r, spot, _ ("an object in braces is expected here"));
}

/* ---- ids ---- */

static Seen *
find_seen (Reader *r, guint id)
{
  guint index = GPOINTER_TO_UINT (g_hash_table_lookup (r->ids, GUINT_TO_POINTER (id)));

  return index > 0 ? &g_array_index (r->seen, Seen, index - 1) : NULL;
}

static bool
take_id (Reader *r, const Spot *up, Value *object, Seen seen, guint *out)
{
  Value *v = model_json_member (r->json, object, "id");

  if (v == NULL)
    return missing (r, up, "id");
  if (!read_whole (r, SPOT (up, "id"), v, 1, MODEL_MAX_ID, out))
    return false;
  if (find_seen (r, *out) != NULL)
    return fail (r, SPOT (up, "id"), _ ("this id is used twice"));
  g_array_append_val (r->seen, seen);
  g_hash_table_insert (r->ids, GUINT_TO_POINTER (*out), GUINT_TO_POINTER (r->seen->len));
  r->max_id = MAX (r->max_id, *out);
  return true;
}

/* ---- what was not understood ---- */

static void
keep_rest (Reader *r, Value *object, JsonObject **extra)
{
  *extra = model_json_rest (r->json, object);
}

static void
keep_rest_by_id (Reader *r, Value *object, GHashTable **table, guint id)
{
  JsonObject *rest = model_json_rest (r->json, object);

  if (rest == NULL)
    return;
  if (*table == NULL)
    *table = g_hash_table_new_full (NULL, NULL, NULL, (GDestroyNotify)json_object_unref);
  g_hash_table_insert (*table, GUINT_TO_POINTER (id), rest);
}

/* ---- head, materials, measures ---- */

static bool
read_head (Reader *r, const Spot *at, Value *v)
{
  ModelHead *head = r->doc->head;
  int unit = (int)head->unit;

  if (!need_object (r, at, v) || !take_text (r, at, v, "title", &head->title)
      || !take_text (r, at, v, "wearer", &head->wearer) || !take_text (r, at, v, "note", &head->note)
      || !take_text (r, at, v, "revision", &head->revision)
      || !take_text (r, at, v, "revision_date", &head->revision_date)
      || !take_word (r, at, v, "unit", model_unit_words, &unit)
      || !take_text (r, at, v, "paper", &head->paper)
      || !take_number (r, at, v, "overlap_mm", 0.0, MODEL_MAX_WIDTH_MM, &head->overlap_mm)
      || !take_bool (r, at, v, "edge_names", &head->edge_names)
      || !take_bool (r, at, v, "seam_lines", &head->seam_lines)
      || !take_bool (r, at, v, "open_folds", &head->open_folds)
      || !take_bool (r, at, v, "sheet_grid", &head->sheet_grid))
    return false;
  head->unit = (ModelUnit)unit;
  if (!model_paper_is_known (head->paper))
    return fail (r, SPOT (at, "paper"),
                 _ ("a4, a3, letter, tabloid or a size such as 420x600 is expected here"));
  keep_rest (r, v, &head->extra);
  return true;
}

static bool
read_material (Reader *r, const Spot *at, Value *v)
{
  g_autoptr (ModelMaterial) material = model_material_new ();
  int kind = (int)material->kind;

  if (!need_object (r, at, v) || !take_id (r, at, v, (Seen) { SEEN_PART, 0, 0 }, &material->id)
      || !take_text (r, at, v, "name", &material->name)
      || !take_word (r, at, v, "kind", model_material_words, &kind)
      || !take_number (r, at, v, "thickness_mm", 0.0, MODEL_MAX_WIDTH_MM, &material->thickness_mm)
      || !take_number (r, at, v, "knife_mm", 0.0, MODEL_MAX_WIDTH_MM, &material->knife_mm)
      || !take_number (r, at, v, "neutral", 0.0, 1.0, &material->neutral)
      || !take_number (r, at, v, "stretch_percent", MODEL_MIN_STRETCH_PERCENT, MODEL_MAX_STRETCH_PERCENT,
                       &material->stretch_percent))
    return false;
  material->kind = (ModelMaterialKind)kind;
  keep_rest (r, v, &material->extra);
  model_document_put (r->doc, (ModelPart) { MODEL_PART_MATERIAL, g_steal_pointer (&material) }, -1);
  return true;
}

static bool
read_measure (Reader *r, const Spot *at, Value *v)
{
  g_autoptr (ModelMeasure) measure = model_measure_new ();
  int group = (int)measure->group;

  if (!need_object (r, at, v) || !take_id (r, at, v, (Seen) { SEEN_PART, 0, 0 }, &measure->id)
      || !take_text_or_null (r, at, v, "key", &measure->key) || !take_text (r, at, v, "name", &measure->name)
      || !take_word (r, at, v, "group", model_group_words, &group)
      || !take_optional (r, at, v, "wearer_mm", 0.0, MODEL_FILE_MAX_MM, &measure->has_wearer,
                         &measure->wearer_mm)
      || !take_optional (r, at, v, "form_mm", 0.0, MODEL_FILE_MAX_MM, &measure->has_form, &measure->form_mm)
      || !take_optional (r, at, v, "tolerance_mm", 0.0, MODEL_MAX_WIDTH_MM, &measure->has_tolerance,
                         &measure->tolerance_mm)
      || !take_text_or_null (r, at, v, "date", &measure->date))
    return false;
  measure->group = (ModelMeasureGroup)group;
  keep_rest (r, v, &measure->extra);
  model_document_put (r->doc, (ModelPart) { MODEL_PART_MEASURE, g_steal_pointer (&measure) }, -1);
  return true;
}

/* ---- panels ---- */

static bool
read_node (Reader *r, const Spot *at, Value *v, ModelPanel *panel, ModelEdge *edge)
{
  ModelNode node = { .id = 0 };
  int kind = MODEL_NODE_CORNER;

  if (!need_object (r, at, v) || !take_id (r, at, v, (Seen) { SEEN_NODE, panel->id, 0 }, &node.id)
      || !take_word (r, at, v, "kind", model_node_words, &kind)
      || !take_point (r, at, v, "at", true, &node.at))
    return false;
  node.kind = (ModelNodeKind)kind;
  if (edge->nodes->len == 0 && node.kind != MODEL_NODE_CORNER)
    return fail (r, SPOT (at, "kind"), _ ("the first node of an edge is a corner"));
  node.in = node.out = node.at;
  if (!take_point (r, at, v, "in", false, &node.in) || !take_point (r, at, v, "out", false, &node.out)
      || !take_bool (r, at, v, "locked", &node.locked))
    return false;
  if (++r->node_count > MODEL_FILE_MAX_NODES)
    return fail (r, at, _ ("the document has too many nodes"));
  keep_rest_by_id (r, v, &panel->inner_extra, node.id);
  g_array_append_val (edge->nodes, node);
  return true;
}

static bool
read_edge (Reader *r, const Spot *at, Value *v, ModelPanel *panel)
{
  g_autoptr (ModelEdge) edge = model_edge_new ();
  const Spot *list_at = SPOT (at, "nodes");
  Value *nodes;

  if (!need_object (r, at, v)
      || !take_id (r, at, v, (Seen) { SEEN_EDGE, panel->id, panel->edges->len }, &edge->id)
      || !take_text (r, at, v, "name", &edge->name) || !take_bool (r, at, v, "fold", &edge->fold)
      || !take_bool (r, at, v, "locked", &edge->locked)
      || !take_optional (r, at, v, "allowance_mm", 0.0, MODEL_MAX_WIDTH_MM, &edge->has_allowance,
                         &edge->allowance_mm)
      || !take_list (r, at, v, "nodes", true, &nodes))
    return false;
  for (Value *n = model_json_first (r->json, nodes); n != NULL; n = model_json_next (r->json, n))
    if (!read_node (r, SPOT_AT (list_at, edge->nodes->len), n, panel, edge))
      return false;
  keep_rest (r, v, &edge->extra);
  g_ptr_array_add (panel->edges, g_steal_pointer (&edge));
  return true;
}

static bool
read_mark (Reader *r, const Spot *at, Value *v, ModelPanel *panel)
{
  ModelMark mark = { .wedges = 1 };
  guint wedges = 1;
  const Seen *edge;
  Value *given;

  if (!need_object (r, at, v)
      || !take_id (r, at, v, (Seen) { SEEN_MARK, panel->id, panel->marks->len }, &mark.id)
      || !take_reference (r, at, v, "edge", true, &mark.edge_id))
    return false;
  edge = find_seen (r, mark.edge_id);
  if (edge == NULL || edge->kind != SEEN_EDGE || edge->panel_id != panel->id)
    return fail (r, SPOT (at, "edge"), _ ("this panel has no edge of this id"));
  if (model_json_member (r->json, v, "at_mm") == NULL)
    return missing (r, at, "at_mm");
  if (!take_number (r, at, v, "at_mm", 0.0, MODEL_MAX_ALONG_MM, &mark.at_mm))
    return false;
  given = model_json_member (r->json, v, "wedges");
  if (given != NULL && !read_whole (r, SPOT (at, "wedges"), given, 0, 2, &wedges))
    return false;
  mark.wedges = (int)wedges;
  keep_rest_by_id (r, v, &panel->inner_extra, mark.id);
  g_array_append_val (panel->marks, mark);
  return true;
}

static bool
read_correction (Reader *r, const Spot *at, Value *v, ModelPanel *panel, GHashTable *corrected)
{
  ModelCorrection more = { .node_id = 0 };
  const Seen *node;

  if (!need_object (r, at, v) || !take_reference (r, at, v, "node", true, &more.node_id))
    return false;
  node = find_seen (r, more.node_id);
  if (node == NULL || node->kind != SEEN_NODE || node->panel_id != panel->id)
    return fail (r, SPOT (at, "node"), _ ("this panel has no node of this id"));
  if (!g_hash_table_add (corrected, GUINT_TO_POINTER (more.node_id)))
    return fail (r, SPOT (at, "node"), _ ("this node has two corrections"));
  if (!take_point (r, at, v, "at", true, &more.at))
    return false;
  more.in = more.out = more.at;
  if (!take_point (r, at, v, "in", false, &more.in) || !take_point (r, at, v, "out", false, &more.out))
    return false;
  keep_rest_by_id (r, v, &panel->correction_extra, more.node_id);
  g_array_append_val (panel->corrections, more);
  return true;
}

/* An end of a tape: a mark of this panel, or a point. */
static bool
read_tape_end (Reader *r,
               const Spot *at,
               Value *v,
               const ModelPanel *panel,
               const char *mark_name,
               const char *point_name,
               guint *mark_id,
               GeomPoint *point)
{
  const Seen *mark;

  if (!take_reference (r, at, v, mark_name, false, mark_id))
    return false;
  if (*mark_id == 0)
    return take_point (r, at, v, point_name, true, point);
  mark = find_seen (r, *mark_id);
  if (mark == NULL || mark->kind != SEEN_MARK || mark->panel_id != panel->id)
    return fail (r, SPOT (at, mark_name), _ ("this panel has no match mark of this id"));
  return true;
}

static bool
read_tape (Reader *r, const Spot *at, Value *v, ModelPanel *panel)
{
  ModelTape tape = { .id = 0 };
  int kind = MODEL_TAPE_STRAIGHT;

  if (!need_object (r, at, v) || !take_id (r, at, v, (Seen) { SEEN_TAPE, panel->id, 0 }, &tape.id)
      || !take_word (r, at, v, "kind", model_tape_words, &kind)
      || !read_tape_end (r, at, v, panel, "a", "a_at", &tape.a_mark_id, &tape.a)
      || !read_tape_end (r, at, v, panel, "b", "b_at", &tape.b_mark_id, &tape.b)
      || !take_optional (r, at, v, "wrap_mm", 0.0, MODEL_FILE_MAX_MM, &tape.has_wrap, &tape.wrap_mm))
    return false;
  tape.kind = (ModelTapeKind)kind;
  if (tape.kind == MODEL_TAPE_ALONG && (tape.a_mark_id == 0 || tape.b_mark_id == 0))
    return fail (r, SPOT (at, "kind"), _ ("a tape along the outline goes from mark to mark"));
  keep_rest_by_id (r, v, &panel->inner_extra, tape.id);
  g_array_append_val (panel->tapes, tape);
  return true;
}

/* Edges first: marks and corrections refer to them and to their nodes, tapes to marks. */
static bool
read_panel_lists (Reader *r, const Spot *at, Value *v, ModelPanel *panel)
{
  g_autoptr (GHashTable) corrected = g_hash_table_new (NULL, NULL);
  const Spot *list_at = SPOT (at, "edges");
  Value *list;

  if (!take_list (r, at, v, "edges", true, &list))
    return false;
  for (Value *e = model_json_first (r->json, list); e != NULL; e = model_json_next (r->json, e))
    if (!read_edge (r, SPOT_AT (list_at, panel->edges->len), e, panel))
      return false;
  list_at = SPOT (at, "marks");
  if (!take_list (r, at, v, "marks", false, &list))
    return false;
  for (Value *m = list != NULL ? model_json_first (r->json, list) : NULL; m != NULL;
       m = model_json_next (r->json, m))
    if (!read_mark (r, SPOT_AT (list_at, panel->marks->len), m, panel))
      return false;
  list_at = SPOT (at, "corrections");
  if (!take_list (r, at, v, "corrections", false, &list))
    return false;
  for (Value *c = list != NULL ? model_json_first (r->json, list) : NULL; c != NULL;
       c = model_json_next (r->json, c))
    if (!read_correction (r, SPOT_AT (list_at, panel->corrections->len), c, panel, corrected))
      return false;
  list_at = SPOT (at, "tapes");
  if (!take_list (r, at, v, "tapes", false, &list))
    return false;
  for (Value *t = list != NULL ? model_json_first (r->json, list) : NULL; t != NULL;
       t = model_json_next (r->json, t))
    if (!read_tape (r, SPOT_AT (list_at, panel->tapes->len), t, panel))
      return false;
  return true;
}

static bool
read_panel (Reader *r, const Spot *at, Value *v)
{
  g_autoptr (ModelPanel) panel = model_panel_new ();
  int halves = MODEL_HALVES_SINGLE, side = MODEL_SIDE_CENTRE;
  guint quantity = 1;
  Value *given;

  if (!need_object (r, at, v) || !take_id (r, at, v, (Seen) { SEEN_PART, 0, 0 }, &panel->id)
      || !take_text (r, at, v, "name", &panel->name)
      || !take_reference (r, at, v, "material", false, &panel->material_id)
      || !take_word (r, at, v, "halves", model_halves_words, &halves)
      || !take_word (r, at, v, "side", model_side_words, &side)
      || !take_bool (r, at, v, "own_sides", &panel->own_sides)
      || !take_number (r, at, v, "mirror_x_mm", -MODEL_FILE_MAX_MM, MODEL_FILE_MAX_MM, &panel->mirror_x_mm)
      || !take_optional (r, at, v, "grain_deg", -MODEL_MAX_ANGLE_DEG, MODEL_MAX_ANGLE_DEG, &panel->has_grain,
                         &panel->grain_deg)
      || !take_number (r, at, v, "grain_tolerance_deg", 0.0, 360.0, &panel->grain_tolerance_deg)
      || !take_bool (r, at, v, "locked", &panel->locked) || !take_bool (r, at, v, "hidden", &panel->hidden)
      || !take_text_or_null (r, at, v, "note", &panel->note))
    return false;
  given = model_json_member (r->json, v, "quantity");
  if (given != NULL && !read_whole (r, SPOT (at, "quantity"), given, 1, MODEL_MAX_QUANTITY, &quantity))
    return false;
  panel->quantity = (int)quantity;
  if (panel->material_id != 0 && model_document_material (r->doc, panel->material_id) == NULL)
    return fail (r, SPOT (at, "material"), _ ("there is no material of this id"));
  panel->halves = (ModelHalves)halves;
  panel->side = (ModelSide)side;
  if (panel->halves != MODEL_HALVES_SINGLE && panel->side == MODEL_SIDE_CENTRE)
  {
    if (model_json_member (r->json, v, "side") != NULL)
      return fail (r, SPOT (at, "side"),
                   _ ("a panel drawn for two sides is drawn on the left or on the right"));
    panel->side = MODEL_SIDE_RIGHT;
  }
  if (!read_panel_lists (r, at, v, panel))
    return false;
  if (!model_panel_fold_is_sound (panel))
    return fail (r, SPOT (at, "halves"),
                 _ ("a panel cut on the fold needs exactly one fold edge, one straight piece"));
  keep_rest (r, v, &panel->extra);
  model_document_put (r->doc, (ModelPart) { MODEL_PART_PANEL, g_steal_pointer (&panel) }, -1);
  return true;
}

/* ---- joins ---- */

/* A mark that cuts a run short lies on the run's first or last edge: EDGE_ID. */
static bool
read_run_mark (
  Reader *r, const Spot *at, Value *v, const char *name, const ModelPanel *panel, guint edge_id, guint *out)
{
  const Seen *seen;

  if (!take_reference (r, at, v, name, false, out) || *out == 0)
    return *out == 0;
  seen = find_seen (r, *out);
  if (seen == NULL || seen->kind != SEEN_MARK || seen->panel_id != panel->id
      || g_array_index (panel->marks, ModelMark, seen->index).edge_id != edge_id)
    return fail (r, SPOT (at, name), _ ("a run ends at a mark on its own first or last edge"));
  return true;
}

/* How far the edge at INDEX lies behind the run's first one, going round. */
static guint
place_in_run (const ModelPanel *panel, guint first, guint index)
{
  return (index + panel->edges->len - first) % panel->edges->len;
}

/* The run's edges lie in the order of the outline, so they can be searched by halves: a document from
 * anywhere may have very many. */
static bool
is_in_run (Reader *r, const ModelPanel *panel, const ModelRun *run, guint first, guint index)
{
  guint wanted = place_in_run (panel, first, index), low = 0, high = run->edges->len;

  while (low < high)
  {
    guint middle = low + (high - low) / 2;
    guint way = place_in_run (panel, first, find_seen (r, g_array_index (run->edges, guint, middle))->index);

    if (way == wanted)
      return true;
    if (way < wanted)
      low = middle + 1;
    else
      high = middle;
  }
  return false;
}

/* *FIRST: the place of the run's first edge in its panel. */
static bool
read_run (Reader *r, const Spot *up, Value *object, const char *name, ModelRun *run, guint *first)
{
  const Spot *at = SPOT (up, name), *list_at = SPOT (at, "edges");
  Value *v = model_json_member (r->json, object, name);
  const ModelPanel *panel;
  guint last = 0, way;
  Value *list;

  if (v == NULL)
    return missing (r, up, name);
  if (!need_object (r, at, v) || !take_reference (r, at, v, "panel", true, &run->panel_id))
    return false;
  panel = model_document_panel (r->doc, run->panel_id);
  if (panel == NULL)
    return fail (r, SPOT (at, "panel"), _ ("there is no panel of this id"));
  if (!take_list (r, at, v, "edges", true, &list))
    return false;
  for (Value *e = model_json_first (r->json, list); e != NULL; e = model_json_next (r->json, e))
  {
    const Spot *edge_at = SPOT_AT (list_at, run->edges->len);
    const Seen *seen;
    guint id;

    if (!read_whole (r, edge_at, e, 1, MODEL_MAX_ID, &id))
      return false;
    seen = find_seen (r, id);
    if (seen == NULL || seen->kind != SEEN_EDGE || seen->panel_id != panel->id)
      return fail (r, edge_at, _ ("the panel of this run has no edge of this id"));
    if (run->edges->len == 0)
      *first = seen->index;
    way = place_in_run (panel, *first, seen->index);
    if (run->edges->len > 0 && way <= last)
      return fail (r, edge_at, _ ("the edges of a run must follow one another in the outline"));
    r->leaps = r->leaps || way > last + 1;
    last = way;
    g_array_append_val (run->edges, id);
  }
  if (!take_bool (r, at, v, "reversed", &run->reversed) || !take_bool (r, at, v, "twin", &run->twin)
      || !read_run_mark (r, at, v, "from_mark", panel, g_array_index (run->edges, guint, 0),
                         &run->from_mark_id)
      || !read_run_mark (r, at, v, "to_mark", panel, g_array_index (run->edges, guint, run->edges->len - 1),
                         &run->to_mark_id))
    return false;
  keep_rest (r, v, &run->extra);
  return true;
}

static bool
read_match_end (
  Reader *r, const Spot *at, Value *v, const char *name, const ModelRun *run, guint first, guint *out)
{
  const ModelPanel *panel = model_document_panel (r->doc, run->panel_id);
  const Seen *seen, *edge;

  if (!take_reference (r, at, v, name, true, out))
    return false;
  seen = find_seen (r, *out);
  if (seen == NULL || seen->kind != SEEN_MARK || seen->panel_id != panel->id)
    return fail (r, SPOT (at, name), _ ("the panel of this run has no match mark of this id"));
  edge = find_seen (r, g_array_index (panel->marks, ModelMark, seen->index).edge_id);
  if (!is_in_run (r, panel, run, first, edge->index))
    return fail (r, SPOT (at, name), _ ("this match mark is not on the run"));
  return true;
}

static bool
read_matches (Reader *r, const Spot *at, Value *v, ModelJoin *join, guint first_a, guint first_b)
{
  const Spot *list_at = SPOT (at, "matches");
  Value *list;

  if (!take_list (r, at, v, "matches", false, &list))
    return false;
  for (Value *m = list != NULL ? model_json_first (r->json, list) : NULL; m != NULL;
       m = model_json_next (r->json, m))
  {
    const Spot *match_at = SPOT_AT (list_at, join->matches->len);
    ModelMatch match = { 0, 0 };

    if (!need_object (r, match_at, m)
        || !read_match_end (r, match_at, m, "a", &join->a, first_a, &match.a_mark_id)
        || !read_match_end (r, match_at, m, "b", &join->b, first_b, &match.b_mark_id))
      return false;
    keep_rest_by_id (r, m, &join->match_extra, match.a_mark_id);
    g_array_append_val (join->matches, match);
  }
  return true;
}

/* Ease in percent and between marks of run a; straps. */
static bool
read_join_more (Reader *r, const Spot *at, Value *v, ModelJoin *join, guint first_a)
{
  Value *given = model_json_member (r->json, v, "straps");
  guint straps = 0;

  if (!take_optional (r, at, v, "ease_percent", -MODEL_MAX_EASE_PERCENT, MODEL_MAX_EASE_PERCENT,
                      &join->ease_in_percent, &join->ease_percent)
      || !take_number (r, at, v, "strap_width_mm", 0.0, MODEL_MAX_WIDTH_MM, &join->strap_width_mm)
      || !take_number (r, at, v, "strap_overlap_mm", 0.0, MODEL_MAX_WIDTH_MM, &join->strap_overlap_mm)
      || (given != NULL && !read_whole (r, SPOT (at, "straps"), given, 0, MODEL_MAX_STRAPS, &straps)))
    return false;
  join->straps = (int)straps;
  if (model_json_member (r->json, v, "ease_from") != NULL
      && !read_match_end (r, at, v, "ease_from", &join->a, first_a, &join->ease_from_id))
    return false;
  return model_json_member (r->json, v, "ease_to") == NULL
         || read_match_end (r, at, v, "ease_to", &join->a, first_a, &join->ease_to_id);
}

static bool
read_join (Reader *r, const Spot *at, Value *v)
{
  g_autoptr (ModelJoin) join = model_join_new ();
  int kind = (int)join->kind, only = (int)join->only;
  guint first_a = 0, first_b = 0;

  if (!need_object (r, at, v) || !take_id (r, at, v, (Seen) { SEEN_PART, 0, 0 }, &join->id)
      || !take_text (r, at, v, "letter", &join->letter) || !take_text (r, at, v, "name", &join->name)
      || !take_word (r, at, v, "kind", model_join_words, &kind)
      || !take_word (r, at, v, "only", model_side_words, &only)
      || !take_bool (r, at, v, "b_over", &join->b_over)
      || !take_number (r, at, v, "lap_mm", 0.0, MODEL_MAX_WIDTH_MM, &join->lap_mm)
      || !take_number (r, at, v, "allowance_mm", 0.0, MODEL_MAX_WIDTH_MM, &join->allowance_mm)
      || !take_number (r, at, v, "gap_mm", 0.0, MODEL_MAX_WIDTH_MM, &join->gap_mm)
      || !take_number (r, at, v, "ease_mm", -MODEL_FILE_MAX_MM, MODEL_FILE_MAX_MM, &join->ease_mm)
      || !take_number (r, at, v, "tolerance_mm", 0.0, MODEL_MAX_WIDTH_MM, &join->tolerance_mm)
      || !read_run (r, at, v, "a", &join->a, &first_a) || !read_run (r, at, v, "b", &join->b, &first_b))
    return false;
  join->kind = (ModelJoinKind)kind;
  join->only = (ModelSide)only;
  if (model_runs_overlap (&join->a, &join->b))
    return fail (r, SPOT (at, "b"), _ ("a join must not join an edge with itself"));
  if (!read_matches (r, at, v, join, first_a, first_b) || !read_join_more (r, at, v, join, first_a))
    return false;
  keep_rest (r, v, &join->extra);
  model_document_put (r->doc, (ModelPart) { MODEL_PART_JOIN, g_steal_pointer (&join) }, -1);
  return true;
}

/* What runs leave out is darts. */
static bool
check_leaps (Reader *r, const Spot *up)
{
  const Spot *list_at = SPOT (up, "joins");

  for (guint i = 0; r->leaps && i < r->doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (r->doc->joins, i);
    const ModelRun *runs[] = { &join->a, &join->b };

    for (guint k = 0; k < G_N_ELEMENTS (runs); k++)
    {
      const ModelPanel *panel = model_document_panel (r->doc, runs[k]->panel_id);

      for (guint e = 1; e < runs[k]->edges->len; e++)
      {
        guint a = find_seen (r, g_array_index (runs[k]->edges, guint, e - 1))->index;
        guint b = find_seen (r, g_array_index (runs[k]->edges, guint, e))->index;

        if ((a + 1) % panel->edges->len != b && !model_edges_follow (r->doc, panel, a, b))
          return fail (r, SPOT_AT (SPOT (SPOT (SPOT_AT (list_at, i), k == 0 ? "a" : "b"), "edges"), e),
                       _ ("a run leaves out only darts whose legs are joined to each other"));
      }
    }
  }
  return true;
}

/* ---- lines, photos, fit notes ---- */

static bool
read_span (Reader *r, const Spot *at, Value *v, ModelLine *line)
{
  static const char *const names[] = { "a", "b" };
  ModelSpan span = { 0, 0, 0 };
  guint *ends[] = { &span.a_mark_id, &span.b_mark_id };

  if (!need_object (r, at, v) || !take_reference (r, at, v, "panel", true, &span.panel_id))
    return false;
  if (model_document_panel (r->doc, span.panel_id) == NULL)
    return fail (r, SPOT (at, "panel"), _ ("there is no panel of this id"));
  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
  {
    const Seen *seen;

    if (!take_reference (r, at, v, names[i], true, ends[i]))
      return false;
    seen = find_seen (r, *ends[i]);
    if (seen == NULL || seen->kind != SEEN_MARK || seen->panel_id != span.panel_id)
      return fail (r, SPOT (at, names[i]), _ ("this panel has no match mark of this id"));
  }
  g_array_append_val (line->spans, span);
  return true;
}

static bool
read_line (Reader *r, const Spot *at, Value *v)
{
  g_autoptr (ModelLine) line = model_line_new ();
  const Spot *list_at = SPOT (at, "spans");
  int kind = (int)line->kind;
  Value *list;

  if (!need_object (r, at, v) || !take_id (r, at, v, (Seen) { SEEN_PART, 0, 0 }, &line->id)
      || !take_text (r, at, v, "name", &line->name) || !take_word (r, at, v, "kind", model_line_words, &kind)
      || !take_point (r, at, v, "at", false, &line->at)
      || !take_number (r, at, v, "direction_deg", -MODEL_MAX_ANGLE_DEG, MODEL_MAX_ANGLE_DEG,
                       &line->direction_deg)
      || !take_bool (r, at, v, "one_side", &line->one_side)
      || !take_reference (r, at, v, "measure", false, &line->measure_id)
      || !take_number (r, at, v, "between_mm", -MODEL_MAX_WIDTH_MM, MODEL_MAX_WIDTH_MM, &line->between_mm)
      || !take_optional (r, at, v, "tolerance_mm", 0.0, MODEL_MAX_WIDTH_MM, &line->has_tolerance,
                         &line->tolerance_mm)
      || !take_bool (r, at, v, "locked", &line->locked) || !take_bool (r, at, v, "hidden", &line->hidden)
      || !take_list (r, at, v, "spans", false, &list))
    return false;
  line->kind = (ModelLineKind)kind;
  if (line->measure_id != 0 && model_document_measure (r->doc, line->measure_id) == NULL)
    return fail (r, SPOT (at, "measure"), _ ("there is no measure of this id"));
  for (Value *s = list != NULL ? model_json_first (r->json, list) : NULL; s != NULL;
       s = model_json_next (r->json, s))
    if (!read_span (r, SPOT_AT (list_at, line->spans->len), s, line))
      return false;
  keep_rest (r, v, &line->extra);
  model_document_put (r->doc, (ModelPart) { MODEL_PART_LINE, g_steal_pointer (&line) }, -1);
  return true;
}

/* What the image is is for the picture loader to say; here it must only be a PNG or JPEG file at its head. */
static bool
is_picture (const guchar *data, gsize length)
{
  static const guchar png[] = { 0x89, 'P', 'N', 'G' }, jpeg[] = { 0xff, 0xd8, 0xff };

  return (length > sizeof png && memcmp (data, png, sizeof png) == 0)
         || (length > sizeof jpeg && memcmp (data, jpeg, sizeof jpeg) == 0);
}

static bool
read_photo (Reader *r, const Spot *at, Value *v)
{
  g_autoptr (ModelPhoto) photo = model_photo_new ();
  Value *image = model_json_member (r->json, v, "image");
  Value *width = model_json_member (r->json, v, "width_px"),
        *height = model_json_member (r->json, v, "height_px");
  guint width_px = 0, height_px = 0;
  guchar *data;
  gsize length = 0;

  if (!need_object (r, at, v) || !take_id (r, at, v, (Seen) { SEEN_PART, 0, 0 }, &photo->id)
      || !take_text (r, at, v, "name", &photo->name) || !take_point (r, at, v, "at", false, &photo->at)
      || !take_number (r, at, v, "turn_deg", -MODEL_MAX_ANGLE_DEG, MODEL_MAX_ANGLE_DEG, &photo->turn_deg)
      || !take_number (r, at, v, "mm_per_px", MODEL_MIN_MM_PER_PX, MODEL_MAX_MM_PER_PX, &photo->mm_per_px)
      || !take_number (r, at, v, "fade", 0.0, 1.0, &photo->fade)
      || !take_bool (r, at, v, "locked", &photo->locked) || !take_bool (r, at, v, "hidden", &photo->hidden))
    return false;
  if (width == NULL || height == NULL || image == NULL)
    return missing (r, at, width == NULL ? "width_px" : height == NULL ? "height_px" : "image");
  if (!read_whole (r, SPOT (at, "width_px"), width, 1, MODEL_MAX_PHOTO_PX, &width_px)
      || !read_whole (r, SPOT (at, "height_px"), height, 1, MODEL_MAX_PHOTO_PX, &height_px))
    return false;
  photo->width_px = (int)width_px;
  photo->height_px = (int)height_px;
  if (image->kind != MODEL_JSON_STRING)
    return fail (r, SPOT (at, "image"), _ ("a text is expected here"));
  data = g_base64_decode (image->text, &length);
  photo->image = g_bytes_new_take (data, length);
  if (!is_picture (data, length))
    return fail (r, SPOT (at, "image"), _ ("a PNG or JPEG file in base64 is expected here"));
  keep_rest (r, v, &photo->extra);
  model_document_put (r->doc, (ModelPart) { MODEL_PART_PHOTO, g_steal_pointer (&photo) }, -1);
  return true;
}

static bool
read_fit_note (Reader *r, const Spot *at, Value *v)
{
  g_autoptr (ModelFitNote) note = model_fit_note_new ();
  int side = (int)note->side, seen = (int)note->seen;
  const Seen *edge;

  if (!need_object (r, at, v) || !take_id (r, at, v, (Seen) { SEEN_PART, 0, 0 }, &note->id)
      || !take_text (r, at, v, "date", &note->date) || !take_text (r, at, v, "revision", &note->revision)
      || !take_reference (r, at, v, "panel", false, &note->panel_id)
      || !take_reference (r, at, v, "edge", false, &note->edge_id)
      || !take_word (r, at, v, "side", model_side_words, &side)
      || !take_word (r, at, v, "seen", model_fit_words, &seen)
      || !take_optional (r, at, v, "amount_mm", -MODEL_FILE_MAX_MM, MODEL_FILE_MAX_MM, &note->has_amount,
                         &note->amount_mm)
      || !take_text (r, at, v, "text", &note->text) || !take_text (r, at, v, "done", &note->done))
    return false;
  note->side = (ModelSide)side;
  note->seen = (ModelFitSeen)seen;
  if (note->panel_id != 0 && model_document_panel (r->doc, note->panel_id) == NULL)
    return fail (r, SPOT (at, "panel"), _ ("there is no panel of this id"));
  edge = find_seen (r, note->edge_id);
  if (note->edge_id != 0 && (edge == NULL || edge->kind != SEEN_EDGE || edge->panel_id != note->panel_id))
    return fail (r, SPOT (at, "edge"), _ ("this panel has no edge of this id"));
  keep_rest (r, v, &note->extra);
  model_document_put (r->doc, (ModelPart) { MODEL_PART_FIT_NOTE, g_steal_pointer (&note) }, -1);
  return true;
}

/* ---- the whole ---- */

static bool
read_version (Reader *r, Value *root)
{
  Value *format, *version;
  double number;

  if (root->kind != MODEL_JSON_OBJECT)
    return fail (r, NULL, _ ("this is JSON, but not a Panelwright document"));
  format = model_json_member (r->json, root, "format");
  if (format == NULL || format->kind != MODEL_JSON_STRING || strcmp (format->text, MODEL_FILE_FORMAT) != 0)
    return fail (r, SPOT (NULL, "format"), _ ("this is JSON, but not a Panelwright document"));
  version = model_json_member (r->json, root, "version");
  if (version == NULL)
    return missing (r, NULL, "version");
  if (is_number (version, &number) && number > MODEL_FILE_VERSION)
  {
    g_autofree char *why = NULL;
    char text[G_ASCII_DTOSTR_BUF_SIZE];

    g_ascii_formatd (text, sizeof text, "%.10g", number);
    /* Translators: both are numbers of the file format, such as 2 and 1. */
    why = g_strdup_printf (_ ("the document is of format %s, newer than this program, which reads format %d"),
                           text, MODEL_FILE_VERSION);
    return fail_with (r, MODEL_FILE_ERROR_NEWER, SPOT (NULL, "version"), why);
  }
  return read_whole (r, SPOT (NULL, "version"), version, 1, MODEL_FILE_VERSION, &(guint) { 0 });
}

static bool
read_list (Reader *r,
           const Spot *up,
           Value *object,
           const char *name,
           bool (*read_part) (Reader *, const Spot *, Value *))
{
  const Spot *at = SPOT (up, name);
  Value *list;
  guint index = 0;

  if (!take_list (r, up, object, name, false, &list))
    return false;
  for (Value *v = list != NULL ? model_json_first (r->json, list) : NULL; v != NULL;
       v = model_json_next (r->json, v))
    if (!read_part (r, SPOT_AT (at, index++), v))
      return false;
  return true;
}

/* What a document and a revision's state have in common. */
static bool
read_parts (Reader *r, const Spot *at, Value *v, guint *next_id)
{
  Value *head = model_json_member (r->json, v, "head"), *counter = model_json_member (r->json, v, "next_id");

  if (counter != NULL && !read_whole (r, SPOT (at, "next_id"), counter, 1, MODEL_MAX_ID + 1, next_id))
    return false;
  if (head != NULL && !read_head (r, SPOT (at, "head"), head))
    return false;
  return read_list (r, at, v, "materials", read_material) && read_list (r, at, v, "measures", read_measure)
         && read_list (r, at, v, "panels", read_panel) && read_list (r, at, v, "joins", read_join)
         && check_leaps (r, at) && read_list (r, at, v, "lines", read_line);
}

/* A state has ids of its own time: they are unique in it, and may be those of the present parts. */
static bool
read_state (Reader *r, const Spot *at, Value *v, ModelRevision *revision)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  g_autoptr (GHashTable) ids = g_hash_table_new (NULL, NULL);
  g_autoptr (GArray) seen = g_array_new (FALSE, FALSE, sizeof (Seen));
  Reader inner = *r;
  guint next_id = 1;
  bool ok;

  if (!need_object (r, at, v))
    return false;
  inner.doc = doc;
  inner.ids = ids;
  inner.seen = seen;
  inner.max_id = 0;
  inner.leaps = false;
  ok = read_parts (&inner, at, v, &next_id);
  r->node_count = inner.node_count;
  if (!ok)
    return false;
  doc->next_id = MAX (next_id, inner.max_id + 1);
  /* Something brought back from it must not meet a newer thing of the same id. */
  r->max_id = MAX (r->max_id, inner.max_id);
  keep_rest (r, v, &doc->extra);
  revision->state = model_state_take (g_steal_pointer (&doc));
  return true;
}

static bool
read_revision (Reader *r, const Spot *at, Value *v)
{
  g_autoptr (ModelRevision) revision = model_revision_new ();
  Value *state = model_json_member (r->json, v, "state");

  if (!need_object (r, at, v) || !take_id (r, at, v, (Seen) { SEEN_PART, 0, 0 }, &revision->id)
      || !take_text (r, at, v, "name", &revision->name) || !take_text (r, at, v, "date", &revision->date)
      || !take_text (r, at, v, "note", &revision->note))
    return false;
  if (state == NULL)
    return missing (r, at, "state");
  if (!read_state (r, SPOT (at, "state"), state, revision))
    return false;
  keep_rest (r, v, &revision->extra);
  model_document_put (r->doc, (ModelPart) { MODEL_PART_REVISION, g_steal_pointer (&revision) }, -1);
  return true;
}

static bool
read_document (Reader *r)
{
  Value *root = &r->json->value[0];
  guint next_id = 1;

  if (!read_version (r, root) || !read_parts (r, NULL, root, &next_id)
      || !read_list (r, NULL, root, "photos", read_photo)
      || !read_list (r, NULL, root, "fit_notes", read_fit_note)
      || !read_list (r, NULL, root, "revisions", read_revision))
    return false;
  /* A counter that lags behind, as after an edit by hand, would hand out ids a second time. */
  r->doc->next_id = MAX (next_id, r->max_id + 1);
  keep_rest (r, root, &r->doc->extra);
  return true;
}

ModelDocument *
model_document_from_data (const char *data, gsize length, GError **error)
{
  g_autoptr (ModelDocument) doc = NULL;
  g_autoptr (ModelJson) json = model_json_parse (data, length, error);
  g_autoptr (GHashTable) ids = NULL;
  g_autoptr (GArray) seen = NULL;
  Reader r = { .json = json, .error = error };

  if (json == NULL)
    return NULL;
  r.doc = doc = model_document_new ();
  r.ids = ids = g_hash_table_new (NULL, NULL);
  r.seen = seen = g_array_new (FALSE, FALSE, sizeof (Seen));
  if (!read_document (&r))
    return NULL;
  return g_steal_pointer (&doc);
}

/* ---- from a file ---- */

/* A short reason in our own words for the usual troubles; GIO's own text names the file a second time. */
static const char *
reason_for (const GError *error)
{
  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND))
    return _ ("there is no such file");
  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_PERMISSION_DENIED))
    return _ ("you may not read this file");
  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_IS_DIRECTORY))
    return _ ("this is a folder");
  return error->message;
}

/* Puts the file's name before the message and keeps it on one line whatever the name holds. */
static void
name_file (GError **error, GFile *file, const char *reason)
{
  g_autofree char *name = g_file_get_parse_name (file);
  g_autofree char *message = g_strdup_printf ("%s: %s", name, reason);
  GQuark domain = (*error)->domain;
  int code = (*error)->code;

  for (char *c = message; *c != '\0'; c++)
    if (g_ascii_iscntrl (*c))
      *c = ' ';
  g_clear_error (error);
  g_set_error_literal (error, domain, code, message);
}

static bool
is_readable (GFile *file, GError **error)
{
  g_autoptr (GFileInfo) info
    = g_file_query_info (file, G_FILE_ATTRIBUTE_STANDARD_TYPE "," G_FILE_ATTRIBUTE_STANDARD_SIZE,
                         G_FILE_QUERY_INFO_NONE, NULL, error);
  GFileType type;

  if (info == NULL)
    return false;
  type = g_file_info_get_file_type (info);
  if (type == G_FILE_TYPE_DIRECTORY)
    g_set_error_literal (error, G_IO_ERROR, G_IO_ERROR_IS_DIRECTORY, "");
  /* A pipe or a device may never end. */
  else if (type == G_FILE_TYPE_SPECIAL)
    g_set_error_literal (error, G_IO_ERROR, G_IO_ERROR_NOT_REGULAR_FILE, _ ("this is not an ordinary file"));
  else if (g_file_info_has_attribute (info, G_FILE_ATTRIBUTE_STANDARD_SIZE)
           && g_file_info_get_size (info) > MAX_FILE_BYTES)
    g_set_error_literal (error, G_IO_ERROR, G_IO_ERROR_FAILED, _ ("the file is too large to be a document"));
  else
    return true;
  return false;
}

ModelDocument *
model_document_load (GFile *file, char **etag, GError **error)
{
  g_autoptr (GError) trouble = NULL;
  g_autofree char *data = NULL, *read_etag = NULL;
  ModelDocument *doc = NULL;
  gsize length = 0;

  if (is_readable (file, &trouble) && g_file_load_contents (file, NULL, &data, &length, &read_etag, &trouble))
    doc = model_document_from_data (data, length, &trouble);
  if (doc == NULL)
  {
    g_autofree char *reason = g_strdup (reason_for (trouble));

    name_file (&trouble, file, reason);
    g_propagate_error (error, g_steal_pointer (&trouble));
    return NULL;
  }
  if (etag != NULL)
  {
    g_free (*etag);
    *etag = g_steal_pointer (&read_etag);
  }
  return doc;
}
