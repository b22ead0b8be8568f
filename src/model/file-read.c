/* Text to a document, trusting nothing.
 *
 * One function a part, each a chain of "take this member, of this type, within these limits"; the first that
 * fails names its place by the chain of Spots on the stack.  What no function asked for is kept as it is.
 * References are looked up at once, so the order is: materials, measures, panels, joins, lines and the rest,
 * wherever they stand in the text.
 */
#include "model/read-value.h"
#include "model/run.h"

#include <glib/gi18n.h>
#include <string.h>

/* ---- head, materials, measures ---- */

static bool
read_head (ModelReader *r, const ModelSpot *at, ModelValue *v)
{
  ModelHead *head = r->doc->head;
  int unit = (int)head->unit;

  if (!model_need_object (r, at, v) || !model_take_text (r, at, v, "title", &head->title)
      || !model_take_text (r, at, v, "wearer", &head->wearer)
      || !model_take_text (r, at, v, "note", &head->note)
      || !model_take_text (r, at, v, "revision", &head->revision)
      || !model_take_text (r, at, v, "revision_date", &head->revision_date)
      || !model_take_word (r, at, v, "unit", model_unit_words, &unit)
      || !model_take_text (r, at, v, "paper", &head->paper)
      || !model_take_number (r, at, v, "overlap_mm", 0.0, MODEL_MAX_WIDTH_MM, &head->overlap_mm)
      || !model_take_bool (r, at, v, "edge_names", &head->edge_names)
      || !model_take_bool (r, at, v, "seam_lines", &head->seam_lines)
      || !model_take_bool (r, at, v, "open_folds", &head->open_folds)
      || !model_take_bool (r, at, v, "sheet_grid", &head->sheet_grid))
    return false;
  head->unit = (ModelUnit)unit;
  if (!model_paper_is_known (head->paper))
    return model_fail (r, SPOT (at, "paper"),
                       _ ("a4, a3, letter, tabloid or a size such as 420x600 is expected here"));
  model_keep_rest (r, v, &head->extra);
  return true;
}

static bool
read_material (ModelReader *r, const ModelSpot *at, ModelValue *v)
{
  g_autoptr (ModelMaterial) material = model_material_new ();
  int kind = (int)material->kind;

  if (!model_need_object (r, at, v)
      || !model_take_id (r, at, v, (ModelSeen) { MODEL_SEEN_PART, 0, 0 }, &material->id)
      || !model_take_text (r, at, v, "name", &material->name)
      || !model_take_word (r, at, v, "kind", model_material_words, &kind)
      || !model_take_number (r, at, v, "thickness_mm", 0.0, MODEL_MAX_WIDTH_MM, &material->thickness_mm)
      || !model_take_number (r, at, v, "knife_mm", 0.0, MODEL_MAX_WIDTH_MM, &material->knife_mm)
      || !model_take_number (r, at, v, "neutral", 0.0, 1.0, &material->neutral)
      || !model_take_number (r, at, v, "stretch_percent", MODEL_MIN_STRETCH_PERCENT,
                             MODEL_MAX_STRETCH_PERCENT, &material->stretch_percent))
    return false;
  material->kind = (ModelMaterialKind)kind;
  model_keep_rest (r, v, &material->extra);
  model_document_put (r->doc, (ModelPart) { MODEL_PART_MATERIAL, g_steal_pointer (&material) }, -1);
  return true;
}

static bool
read_measure (ModelReader *r, const ModelSpot *at, ModelValue *v)
{
  g_autoptr (ModelMeasure) measure = model_measure_new ();
  int group = (int)measure->group;

  if (!model_need_object (r, at, v)
      || !model_take_id (r, at, v, (ModelSeen) { MODEL_SEEN_PART, 0, 0 }, &measure->id)
      || !model_take_text_or_null (r, at, v, "key", &measure->key)
      || !model_take_text (r, at, v, "name", &measure->name)
      || !model_take_word (r, at, v, "group", model_group_words, &group)
      || !model_take_optional (r, at, v, "wearer_mm", 0.0, MODEL_FILE_MAX_MM, &measure->has_wearer,
                               &measure->wearer_mm)
      || !model_take_optional (r, at, v, "form_mm", 0.0, MODEL_FILE_MAX_MM, &measure->has_form,
                               &measure->form_mm)
      || !model_take_optional (r, at, v, "tolerance_mm", 0.0, MODEL_MAX_WIDTH_MM, &measure->has_tolerance,
                               &measure->tolerance_mm)
      || !model_take_text_or_null (r, at, v, "date", &measure->date))
    return false;
  measure->group = (ModelMeasureGroup)group;
  model_keep_rest (r, v, &measure->extra);
  model_document_put (r->doc, (ModelPart) { MODEL_PART_MEASURE, g_steal_pointer (&measure) }, -1);
  return true;
}

/* ---- panels ---- */

static bool
read_node (ModelReader *r, const ModelSpot *at, ModelValue *v, ModelPanel *panel, ModelEdge *edge)
{
  ModelNode node = { .id = 0 };
  int kind = MODEL_NODE_CORNER;

  if (!model_need_object (r, at, v)
      || !model_take_id (r, at, v, (ModelSeen) { MODEL_SEEN_NODE, panel->id, 0 }, &node.id)
      || !model_take_word (r, at, v, "kind", model_node_words, &kind)
      || !model_take_point (r, at, v, "at", true, &node.at))
    return false;
  node.kind = (ModelNodeKind)kind;
  if (edge->nodes->len == 0 && node.kind != MODEL_NODE_CORNER)
    return model_fail (r, SPOT (at, "kind"), _ ("the first node of an edge is a corner"));
  node.in = node.out = node.at;
  if (!model_take_point (r, at, v, "in", false, &node.in)
      || !model_take_point (r, at, v, "out", false, &node.out)
      || !model_take_bool (r, at, v, "locked", &node.locked))
    return false;
  if (++r->node_count > MODEL_FILE_MAX_NODES)
    return model_fail (r, at, _ ("the document has too many nodes"));
  model_keep_rest_by_id (r, v, &panel->inner_extra, node.id);
  g_array_append_val (edge->nodes, node);
  return true;
}

static bool
read_edge (ModelReader *r, const ModelSpot *at, ModelValue *v, ModelPanel *panel)
{
  g_autoptr (ModelEdge) edge = model_edge_new ();
  const ModelSpot *list_at = SPOT (at, "nodes");
  ModelValue *nodes;

  if (!model_need_object (r, at, v)
      || !model_take_id (r, at, v, (ModelSeen) { MODEL_SEEN_EDGE, panel->id, panel->edges->len }, &edge->id)
      || !model_take_text (r, at, v, "name", &edge->name) || !model_take_bool (r, at, v, "fold", &edge->fold)
      || !model_take_bool (r, at, v, "locked", &edge->locked)
      || !model_take_optional (r, at, v, "allowance_mm", 0.0, MODEL_MAX_WIDTH_MM, &edge->has_allowance,
                               &edge->allowance_mm)
      || !model_take_list (r, at, v, "nodes", true, &nodes))
    return false;
  for (ModelValue *n = model_json_first (r->json, nodes); n != NULL; n = model_json_next (r->json, n))
    if (!read_node (r, SPOT_AT (list_at, edge->nodes->len), n, panel, edge))
      return false;
  model_keep_rest (r, v, &edge->extra);
  g_ptr_array_add (panel->edges, g_steal_pointer (&edge));
  return true;
}

static bool
read_mark (ModelReader *r, const ModelSpot *at, ModelValue *v, ModelPanel *panel)
{
  ModelMark mark = { .wedges = 1 };
  guint wedges = 1;
  const ModelSeen *edge;
  ModelValue *given;

  if (!model_need_object (r, at, v)
      || !model_take_id (r, at, v, (ModelSeen) { MODEL_SEEN_MARK, panel->id, panel->marks->len }, &mark.id)
      || !model_take_reference (r, at, v, "edge", true, &mark.edge_id))
    return false;
  edge = model_find_seen (r, mark.edge_id);
  if (edge == NULL || edge->kind != MODEL_SEEN_EDGE || edge->panel_id != panel->id)
    return model_fail (r, SPOT (at, "edge"), _ ("this panel has no edge of this id"));
  if (model_json_member (r->json, v, "at_mm") == NULL)
    return model_missing (r, at, "at_mm");
  if (!model_take_number (r, at, v, "at_mm", 0.0, MODEL_MAX_ALONG_MM, &mark.at_mm))
    return false;
  given = model_json_member (r->json, v, "wedges");
  if (given != NULL && !model_read_whole (r, SPOT (at, "wedges"), given, 0, 2, &wedges))
    return false;
  mark.wedges = (int)wedges;
  model_keep_rest_by_id (r, v, &panel->inner_extra, mark.id);
  g_array_append_val (panel->marks, mark);
  return true;
}

static bool
read_correction (ModelReader *r, const ModelSpot *at, ModelValue *v, ModelPanel *panel, GHashTable *corrected)
{
  ModelCorrection more = { .node_id = 0 };
  const ModelSeen *node;

  if (!model_need_object (r, at, v) || !model_take_reference (r, at, v, "node", true, &more.node_id))
    return false;
  node = model_find_seen (r, more.node_id);
  if (node == NULL || node->kind != MODEL_SEEN_NODE || node->panel_id != panel->id)
    return model_fail (r, SPOT (at, "node"), _ ("this panel has no node of this id"));
  if (!g_hash_table_add (corrected, GUINT_TO_POINTER (more.node_id)))
    return model_fail (r, SPOT (at, "node"), _ ("this node has two corrections"));
  if (!model_take_point (r, at, v, "at", true, &more.at))
    return false;
  more.in = more.out = more.at;
  if (!model_take_point (r, at, v, "in", false, &more.in)
      || !model_take_point (r, at, v, "out", false, &more.out))
    return false;
  model_keep_rest_by_id (r, v, &panel->correction_extra, more.node_id);
  g_array_append_val (panel->corrections, more);
  return true;
}

/* An end of a tape: a mark of this panel, or a point. */
static bool
read_tape_end (ModelReader *r,
               const ModelSpot *at,
               ModelValue *v,
               const ModelPanel *panel,
               const char *mark_name,
               const char *point_name,
               guint *mark_id,
               GeomPoint *point)
{
  const ModelSeen *mark;

  if (!model_take_reference (r, at, v, mark_name, false, mark_id))
    return false;
  if (*mark_id == 0)
    return model_take_point (r, at, v, point_name, true, point);
  mark = model_find_seen (r, *mark_id);
  if (mark == NULL || mark->kind != MODEL_SEEN_MARK || mark->panel_id != panel->id)
    return model_fail (r, SPOT (at, mark_name), _ ("this panel has no match mark of this id"));
  return true;
}

static bool
read_tape (ModelReader *r, const ModelSpot *at, ModelValue *v, ModelPanel *panel)
{
  ModelTape tape = { .id = 0 };
  int kind = MODEL_TAPE_STRAIGHT;

  if (!model_need_object (r, at, v)
      || !model_take_id (r, at, v, (ModelSeen) { MODEL_SEEN_TAPE, panel->id, 0 }, &tape.id)
      || !model_take_word (r, at, v, "kind", model_tape_words, &kind)
      || !read_tape_end (r, at, v, panel, "a", "a_at", &tape.a_mark_id, &tape.a)
      || !read_tape_end (r, at, v, panel, "b", "b_at", &tape.b_mark_id, &tape.b)
      || !model_take_optional (r, at, v, "wrap_mm", 0.0, MODEL_FILE_MAX_MM, &tape.has_wrap, &tape.wrap_mm)
      || !model_take_bool (r, at, v, "on_sheets", &tape.on_sheets))
    return false;
  tape.kind = (ModelTapeKind)kind;
  if (tape.kind == MODEL_TAPE_ANGLE
      && !read_tape_end (r, at, v, panel, "c", "c_at", &tape.c_mark_id, &tape.c))
    return false;
  if (tape.kind == MODEL_TAPE_ALONG && (tape.a_mark_id == 0 || tape.b_mark_id == 0))
    return model_fail (r, SPOT (at, "kind"), _ ("a tape along the outline goes from mark to mark"));
  model_keep_rest_by_id (r, v, &panel->inner_extra, tape.id);
  g_array_append_val (panel->tapes, tape);
  return true;
}

/* Edges first: marks and corrections refer to them and to their nodes, tapes to marks. */
static bool
read_panel_lists (ModelReader *r, const ModelSpot *at, ModelValue *v, ModelPanel *panel)
{
  g_autoptr (GHashTable) corrected = g_hash_table_new (NULL, NULL);
  const ModelSpot *list_at = SPOT (at, "edges");
  ModelValue *list;

  if (!model_take_list (r, at, v, "edges", true, &list))
    return false;
  for (ModelValue *e = model_json_first (r->json, list); e != NULL; e = model_json_next (r->json, e))
    if (!read_edge (r, SPOT_AT (list_at, panel->edges->len), e, panel))
      return false;
  list_at = SPOT (at, "marks");
  if (!model_take_list (r, at, v, "marks", false, &list))
    return false;
  for (ModelValue *m = list != NULL ? model_json_first (r->json, list) : NULL; m != NULL;
       m = model_json_next (r->json, m))
    if (!read_mark (r, SPOT_AT (list_at, panel->marks->len), m, panel))
      return false;
  list_at = SPOT (at, "corrections");
  if (!model_take_list (r, at, v, "corrections", false, &list))
    return false;
  for (ModelValue *c = list != NULL ? model_json_first (r->json, list) : NULL; c != NULL;
       c = model_json_next (r->json, c))
    if (!read_correction (r, SPOT_AT (list_at, panel->corrections->len), c, panel, corrected))
      return false;
  list_at = SPOT (at, "tapes");
  if (!model_take_list (r, at, v, "tapes", false, &list))
    return false;
  for (ModelValue *t = list != NULL ? model_json_first (r->json, list) : NULL; t != NULL;
       t = model_json_next (r->json, t))
    if (!read_tape (r, SPOT_AT (list_at, panel->tapes->len), t, panel))
      return false;
  return true;
}

static bool
read_panel (ModelReader *r, const ModelSpot *at, ModelValue *v)
{
  g_autoptr (ModelPanel) panel = model_panel_new ();
  int halves = MODEL_HALVES_SINGLE, side = MODEL_SIDE_CENTRE;
  guint quantity = 1;
  ModelValue *given;

  if (!model_need_object (r, at, v)
      || !model_take_id (r, at, v, (ModelSeen) { MODEL_SEEN_PART, 0, 0 }, &panel->id)
      || !model_take_text (r, at, v, "name", &panel->name)
      || !model_take_reference (r, at, v, "material", false, &panel->material_id)
      || !model_take_word (r, at, v, "halves", model_halves_words, &halves)
      || !model_take_word (r, at, v, "side", model_side_words, &side)
      || !model_take_bool (r, at, v, "own_sides", &panel->own_sides)
      || !model_take_number (r, at, v, "mirror_x_mm", -MODEL_FILE_MAX_MM, MODEL_FILE_MAX_MM,
                             &panel->mirror_x_mm)
      || !model_take_optional (r, at, v, "grain_deg", -MODEL_MAX_ANGLE_DEG, MODEL_MAX_ANGLE_DEG,
                               &panel->has_grain, &panel->grain_deg)
      || !model_take_number (r, at, v, "grain_tolerance_deg", 0.0, 360.0, &panel->grain_tolerance_deg)
      || !model_take_bool (r, at, v, "locked", &panel->locked)
      || !model_take_bool (r, at, v, "hidden", &panel->hidden)
      || !model_take_text_or_null (r, at, v, "note", &panel->note))
    return false;
  given = model_json_member (r->json, v, "quantity");
  if (given != NULL && !model_read_whole (r, SPOT (at, "quantity"), given, 1, MODEL_MAX_QUANTITY, &quantity))
    return false;
  panel->quantity = (int)quantity;
  if (panel->material_id != 0 && model_document_material (r->doc, panel->material_id) == NULL)
    return model_fail (r, SPOT (at, "material"), _ ("there is no material of this id"));
  panel->halves = (ModelHalves)halves;
  panel->side = (ModelSide)side;
  if (panel->halves != MODEL_HALVES_SINGLE && panel->side == MODEL_SIDE_CENTRE)
  {
    if (model_json_member (r->json, v, "side") != NULL)
      return model_fail (r, SPOT (at, "side"),
                         _ ("a panel drawn for two sides is drawn on the left or on the right"));
    panel->side = MODEL_SIDE_RIGHT;
  }
  if (!read_panel_lists (r, at, v, panel))
    return false;
  if (!model_panel_fold_is_sound (panel))
    return model_fail (r, SPOT (at, "halves"),
                       _ ("a panel cut on the fold needs exactly one fold edge, one straight piece"));
  model_keep_rest (r, v, &panel->extra);
  model_document_put (r->doc, (ModelPart) { MODEL_PART_PANEL, g_steal_pointer (&panel) }, -1);
  return true;
}

/* ---- joins ---- */

/* A mark that cuts a run short lies on the run's first or last edge: EDGE_ID. */
static bool
read_run_mark (ModelReader *r,
               const ModelSpot *at,
               ModelValue *v,
               const char *name,
               const ModelPanel *panel,
               guint edge_id,
               guint *out)
{
  const ModelSeen *seen;

  if (!model_take_reference (r, at, v, name, false, out) || *out == 0)
    return *out == 0;
  seen = model_find_seen (r, *out);
  if (seen == NULL || seen->kind != MODEL_SEEN_MARK || seen->panel_id != panel->id
      || g_array_index (panel->marks, ModelMark, seen->index).edge_id != edge_id)
    return model_fail (r, SPOT (at, name), _ ("a run ends at a mark on its own first or last edge"));
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
is_in_run (ModelReader *r, const ModelPanel *panel, const ModelRun *run, guint first, guint index)
{
  guint wanted = place_in_run (panel, first, index), low = 0, high = run->edges->len;

  while (low < high)
  {
    guint middle = low + (high - low) / 2;
    guint way
      = place_in_run (panel, first, model_find_seen (r, g_array_index (run->edges, guint, middle))->index);

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
read_run (
  ModelReader *r, const ModelSpot *up, ModelValue *object, const char *name, ModelRun *run, guint *first)
{
  const ModelSpot *at = SPOT (up, name), *list_at = SPOT (at, "edges");
  ModelValue *v = model_json_member (r->json, object, name);
  const ModelPanel *panel;
  guint last = 0, way;
  ModelValue *list;

  if (v == NULL)
    return model_missing (r, up, name);
  if (!model_need_object (r, at, v) || !model_take_reference (r, at, v, "panel", true, &run->panel_id))
    return false;
  panel = model_document_panel (r->doc, run->panel_id);
  if (panel == NULL)
    return model_fail (r, SPOT (at, "panel"), _ ("there is no panel of this id"));
  if (!model_take_list (r, at, v, "edges", true, &list))
    return false;
  for (ModelValue *e = model_json_first (r->json, list); e != NULL; e = model_json_next (r->json, e))
  {
    const ModelSpot *edge_at = SPOT_AT (list_at, run->edges->len);
    const ModelSeen *seen;
    guint id;

    if (!model_read_whole (r, edge_at, e, 1, MODEL_MAX_ID, &id))
      return false;
    seen = model_find_seen (r, id);
    if (seen == NULL || seen->kind != MODEL_SEEN_EDGE || seen->panel_id != panel->id)
      return model_fail (r, edge_at, _ ("the panel of this run has no edge of this id"));
    if (run->edges->len == 0)
      *first = seen->index;
    way = place_in_run (panel, *first, seen->index);
    if (run->edges->len > 0 && way <= last)
      return model_fail (r, edge_at, _ ("the edges of a run must follow one another in the outline"));
    r->leaps = r->leaps || way > last + 1;
    last = way;
    g_array_append_val (run->edges, id);
  }
  if (!model_take_bool (r, at, v, "reversed", &run->reversed)
      || !model_take_bool (r, at, v, "twin", &run->twin)
      || !read_run_mark (r, at, v, "from_mark", panel, g_array_index (run->edges, guint, 0),
                         &run->from_mark_id)
      || !read_run_mark (r, at, v, "to_mark", panel, g_array_index (run->edges, guint, run->edges->len - 1),
                         &run->to_mark_id))
    return false;
  model_keep_rest (r, v, &run->extra);
  return true;
}

static bool
read_match_end (ModelReader *r,
                const ModelSpot *at,
                ModelValue *v,
                const char *name,
                const ModelRun *run,
                guint first,
                guint *out)
{
  const ModelPanel *panel = model_document_panel (r->doc, run->panel_id);
  const ModelSeen *seen, *edge;

  if (!model_take_reference (r, at, v, name, true, out))
    return false;
  seen = model_find_seen (r, *out);
  if (seen == NULL || seen->kind != MODEL_SEEN_MARK || seen->panel_id != panel->id)
    return model_fail (r, SPOT (at, name), _ ("the panel of this run has no match mark of this id"));
  edge = model_find_seen (r, g_array_index (panel->marks, ModelMark, seen->index).edge_id);
  if (!is_in_run (r, panel, run, first, edge->index))
    return model_fail (r, SPOT (at, name), _ ("this match mark is not on the run"));
  return true;
}

static bool
read_matches (
  ModelReader *r, const ModelSpot *at, ModelValue *v, ModelJoin *join, guint first_a, guint first_b)
{
  const ModelSpot *list_at = SPOT (at, "matches");
  ModelValue *list;

  if (!model_take_list (r, at, v, "matches", false, &list))
    return false;
  for (ModelValue *m = list != NULL ? model_json_first (r->json, list) : NULL; m != NULL;
       m = model_json_next (r->json, m))
  {
    const ModelSpot *match_at = SPOT_AT (list_at, join->matches->len);
    ModelMatch match = { 0, 0 };

    if (!model_need_object (r, match_at, m)
        || !read_match_end (r, match_at, m, "a", &join->a, first_a, &match.a_mark_id)
        || !read_match_end (r, match_at, m, "b", &join->b, first_b, &match.b_mark_id))
      return false;
    model_keep_rest_by_id (r, m, &join->match_extra, match.a_mark_id);
    g_array_append_val (join->matches, match);
  }
  return true;
}

/* Ease in percent and between marks of run a; straps. */
static bool
read_join_more (ModelReader *r, const ModelSpot *at, ModelValue *v, ModelJoin *join, guint first_a)
{
  ModelValue *given = model_json_member (r->json, v, "straps");
  guint straps = 0;

  if (!model_take_optional (r, at, v, "ease_percent", -MODEL_MAX_EASE_PERCENT, MODEL_MAX_EASE_PERCENT,
                            &join->ease_in_percent, &join->ease_percent)
      || !model_take_number (r, at, v, "strap_width_mm", 0.0, MODEL_MAX_WIDTH_MM, &join->strap_width_mm)
      || !model_take_number (r, at, v, "strap_overlap_mm", 0.0, MODEL_MAX_WIDTH_MM, &join->strap_overlap_mm)
      || (given != NULL && !model_read_whole (r, SPOT (at, "straps"), given, 0, MODEL_MAX_STRAPS, &straps)))
    return false;
  join->straps = (int)straps;
  if (model_json_member (r->json, v, "ease_from") != NULL
      && !read_match_end (r, at, v, "ease_from", &join->a, first_a, &join->ease_from_id))
    return false;
  return model_json_member (r->json, v, "ease_to") == NULL
         || read_match_end (r, at, v, "ease_to", &join->a, first_a, &join->ease_to_id);
}

static bool
read_join (ModelReader *r, const ModelSpot *at, ModelValue *v)
{
  g_autoptr (ModelJoin) join = model_join_new ();
  int kind = (int)join->kind, only = (int)join->only;
  guint first_a = 0, first_b = 0;

  if (!model_need_object (r, at, v)
      || !model_take_id (r, at, v, (ModelSeen) { MODEL_SEEN_PART, 0, 0 }, &join->id)
      || !model_take_text (r, at, v, "letter", &join->letter)
      || !model_take_text (r, at, v, "name", &join->name)
      || !model_take_word (r, at, v, "kind", model_join_words, &kind)
      || !model_take_word (r, at, v, "only", model_side_words, &only)
      || !model_take_bool (r, at, v, "b_over", &join->b_over)
      || !model_take_number (r, at, v, "lap_mm", 0.0, MODEL_MAX_WIDTH_MM, &join->lap_mm)
      || !model_take_number (r, at, v, "allowance_mm", 0.0, MODEL_MAX_WIDTH_MM, &join->allowance_mm)
      || !model_take_number (r, at, v, "gap_mm", 0.0, MODEL_MAX_WIDTH_MM, &join->gap_mm)
      || !model_take_number (r, at, v, "ease_mm", -MODEL_FILE_MAX_MM, MODEL_FILE_MAX_MM, &join->ease_mm)
      || !model_take_number (r, at, v, "tolerance_mm", 0.0, MODEL_MAX_WIDTH_MM, &join->tolerance_mm)
      || !read_run (r, at, v, "a", &join->a, &first_a) || !read_run (r, at, v, "b", &join->b, &first_b))
    return false;
  join->kind = (ModelJoinKind)kind;
  join->only = (ModelSide)only;
  if (model_runs_overlap (&join->a, &join->b))
    return model_fail (r, SPOT (at, "b"), _ ("a join must not join an edge with itself"));
  if (!read_matches (r, at, v, join, first_a, first_b) || !read_join_more (r, at, v, join, first_a))
    return false;
  model_keep_rest (r, v, &join->extra);
  model_document_put (r->doc, (ModelPart) { MODEL_PART_JOIN, g_steal_pointer (&join) }, -1);
  return true;
}

/* What runs leave out is darts. */
static bool
check_leaps (ModelReader *r, const ModelSpot *up)
{
  const ModelSpot *list_at = SPOT (up, "joins");

  for (guint i = 0; r->leaps && i < r->doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (r->doc->joins, i);
    const ModelRun *runs[] = { &join->a, &join->b };

    for (guint k = 0; k < G_N_ELEMENTS (runs); k++)
    {
      const ModelPanel *panel = model_document_panel (r->doc, runs[k]->panel_id);

      for (guint e = 1; e < runs[k]->edges->len; e++)
      {
        guint a = model_find_seen (r, g_array_index (runs[k]->edges, guint, e - 1))->index;
        guint b = model_find_seen (r, g_array_index (runs[k]->edges, guint, e))->index;

        if ((a + 1) % panel->edges->len != b && !model_edges_follow (r->doc, panel, a, b))
          return model_fail (r, SPOT_AT (SPOT (SPOT (SPOT_AT (list_at, i), k == 0 ? "a" : "b"), "edges"), e),
                             _ ("a run leaves out only darts whose legs are joined to each other"));
      }
    }
  }
  return true;
}

/* ---- lines, photos, fit notes ---- */

static bool
read_span (ModelReader *r, const ModelSpot *at, ModelValue *v, ModelLine *line)
{
  static const char *const names[] = { "a", "b" };
  ModelSpan span = { 0, 0, 0 };
  guint *ends[] = { &span.a_mark_id, &span.b_mark_id };

  if (!model_need_object (r, at, v) || !model_take_reference (r, at, v, "panel", true, &span.panel_id))
    return false;
  if (model_document_panel (r->doc, span.panel_id) == NULL)
    return model_fail (r, SPOT (at, "panel"), _ ("there is no panel of this id"));
  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
  {
    const ModelSeen *seen;

    if (!model_take_reference (r, at, v, names[i], true, ends[i]))
      return false;
    seen = model_find_seen (r, *ends[i]);
    if (seen == NULL || seen->kind != MODEL_SEEN_MARK || seen->panel_id != span.panel_id)
      return model_fail (r, SPOT (at, names[i]), _ ("this panel has no match mark of this id"));
  }
  g_array_append_val (line->spans, span);
  return true;
}

static bool
read_line (ModelReader *r, const ModelSpot *at, ModelValue *v)
{
  g_autoptr (ModelLine) line = model_line_new ();
  const ModelSpot *list_at = SPOT (at, "spans");
  int kind = (int)line->kind;
  ModelValue *list;

  if (!model_need_object (r, at, v)
      || !model_take_id (r, at, v, (ModelSeen) { MODEL_SEEN_PART, 0, 0 }, &line->id)
      || !model_take_text (r, at, v, "name", &line->name)
      || !model_take_word (r, at, v, "kind", model_line_words, &kind)
      || !model_take_point (r, at, v, "at", false, &line->at)
      || !model_take_number (r, at, v, "direction_deg", -MODEL_MAX_ANGLE_DEG, MODEL_MAX_ANGLE_DEG,
                             &line->direction_deg)
      || !model_take_bool (r, at, v, "one_side", &line->one_side)
      || !model_take_reference (r, at, v, "measure", false, &line->measure_id)
      || !model_take_number (r, at, v, "between_mm", -MODEL_MAX_WIDTH_MM, MODEL_MAX_WIDTH_MM,
                             &line->between_mm)
      || !model_take_optional (r, at, v, "tolerance_mm", 0.0, MODEL_MAX_WIDTH_MM, &line->has_tolerance,
                               &line->tolerance_mm)
      || !model_take_bool (r, at, v, "locked", &line->locked)
      || !model_take_bool (r, at, v, "hidden", &line->hidden)
      || !model_take_list (r, at, v, "spans", false, &list))
    return false;
  line->kind = (ModelLineKind)kind;
  if (line->measure_id != 0 && model_document_measure (r->doc, line->measure_id) == NULL)
    return model_fail (r, SPOT (at, "measure"), _ ("there is no measure of this id"));
  for (ModelValue *s = list != NULL ? model_json_first (r->json, list) : NULL; s != NULL;
       s = model_json_next (r->json, s))
    if (!read_span (r, SPOT_AT (list_at, line->spans->len), s, line))
      return false;
  model_keep_rest (r, v, &line->extra);
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
read_photo (ModelReader *r, const ModelSpot *at, ModelValue *v)
{
  g_autoptr (ModelPhoto) photo = model_photo_new ();
  ModelValue *image = model_json_member (r->json, v, "image");
  ModelValue *width = model_json_member (r->json, v, "width_px"),
             *height = model_json_member (r->json, v, "height_px");
  guint width_px = 0, height_px = 0;
  guchar *data;
  gsize length = 0;

  if (!model_need_object (r, at, v)
      || !model_take_id (r, at, v, (ModelSeen) { MODEL_SEEN_PART, 0, 0 }, &photo->id)
      || !model_take_text (r, at, v, "name", &photo->name)
      || !model_take_point (r, at, v, "at", false, &photo->at)
      || !model_take_number (r, at, v, "turn_deg", -MODEL_MAX_ANGLE_DEG, MODEL_MAX_ANGLE_DEG,
                             &photo->turn_deg)
      || !model_take_number (r, at, v, "mm_per_px", MODEL_MIN_MM_PER_PX, MODEL_MAX_MM_PER_PX,
                             &photo->mm_per_px)
      || !model_take_number (r, at, v, "fade", 0.0, 1.0, &photo->fade)
      || !model_take_bool (r, at, v, "locked", &photo->locked)
      || !model_take_bool (r, at, v, "hidden", &photo->hidden))
    return false;
  if (width == NULL || height == NULL || image == NULL)
    return model_missing (r, at, width == NULL ? "width_px" : height == NULL ? "height_px" : "image");
  if (!model_read_whole (r, SPOT (at, "width_px"), width, 1, MODEL_MAX_PHOTO_PX, &width_px)
      || !model_read_whole (r, SPOT (at, "height_px"), height, 1, MODEL_MAX_PHOTO_PX, &height_px))
    return false;
  photo->width_px = (int)width_px;
  photo->height_px = (int)height_px;
  if (image->kind != MODEL_JSON_STRING)
    return model_fail (r, SPOT (at, "image"), _ ("a text is expected here"));
  data = g_base64_decode (image->text, &length);
  photo->image = g_bytes_new_take (data, length);
  if (!is_picture (data, length))
    return model_fail (r, SPOT (at, "image"), _ ("a PNG or JPEG file in base64 is expected here"));
  model_keep_rest (r, v, &photo->extra);
  model_document_put (r->doc, (ModelPart) { MODEL_PART_PHOTO, g_steal_pointer (&photo) }, -1);
  return true;
}

static bool
read_fit_note (ModelReader *r, const ModelSpot *at, ModelValue *v)
{
  g_autoptr (ModelFitNote) note = model_fit_note_new ();
  int side = (int)note->side, seen = (int)note->seen;
  const ModelSeen *edge;

  if (!model_need_object (r, at, v)
      || !model_take_id (r, at, v, (ModelSeen) { MODEL_SEEN_PART, 0, 0 }, &note->id)
      || !model_take_text (r, at, v, "date", &note->date)
      || !model_take_text (r, at, v, "revision", &note->revision)
      || !model_take_reference (r, at, v, "panel", false, &note->panel_id)
      || !model_take_reference (r, at, v, "edge", false, &note->edge_id)
      || !model_take_word (r, at, v, "side", model_side_words, &side)
      || !model_take_word (r, at, v, "seen", model_fit_words, &seen)
      || !model_take_optional (r, at, v, "amount_mm", -MODEL_FILE_MAX_MM, MODEL_FILE_MAX_MM,
                               &note->has_amount, &note->amount_mm)
      || !model_take_text (r, at, v, "text", &note->text) || !model_take_text (r, at, v, "done", &note->done))
    return false;
  note->side = (ModelSide)side;
  note->seen = (ModelFitSeen)seen;
  if (note->panel_id != 0 && model_document_panel (r->doc, note->panel_id) == NULL)
    return model_fail (r, SPOT (at, "panel"), _ ("there is no panel of this id"));
  edge = model_find_seen (r, note->edge_id);
  if (note->edge_id != 0
      && (edge == NULL || edge->kind != MODEL_SEEN_EDGE || edge->panel_id != note->panel_id))
    return model_fail (r, SPOT (at, "edge"), _ ("this panel has no edge of this id"));
  model_keep_rest (r, v, &note->extra);
  model_document_put (r->doc, (ModelPart) { MODEL_PART_FIT_NOTE, g_steal_pointer (&note) }, -1);
  return true;
}

/* ---- the whole ---- */

static bool
read_version (ModelReader *r, ModelValue *root)
{
  ModelValue *format, *version;
  double number;

  if (root->kind != MODEL_JSON_OBJECT)
    return model_fail (r, NULL, _ ("this is JSON, but not a Panelwright document"));
  format = model_json_member (r->json, root, "format");
  if (format == NULL || format->kind != MODEL_JSON_STRING || strcmp (format->text, MODEL_FILE_FORMAT) != 0)
    return model_fail (r, SPOT (NULL, "format"), _ ("this is JSON, but not a Panelwright document"));
  version = model_json_member (r->json, root, "version");
  if (version == NULL)
    return model_missing (r, NULL, "version");
  if (model_is_number (version, &number) && number > MODEL_FILE_VERSION)
  {
    g_autofree char *why = NULL;
    char text[G_ASCII_DTOSTR_BUF_SIZE];

    g_ascii_formatd (text, sizeof text, "%.10g", number);
    /* Translators: both are numbers of the file format, such as 2 and 1. */
    why = g_strdup_printf (_ ("the document is of format %s, newer than this program, which reads format %d"),
                           text, MODEL_FILE_VERSION);
    return model_fail_with (r, MODEL_FILE_ERROR_NEWER, SPOT (NULL, "version"), why);
  }
  return model_read_whole (r, SPOT (NULL, "version"), version, 1, MODEL_FILE_VERSION, &(guint) { 0 });
}

static bool
read_list (ModelReader *r,
           const ModelSpot *up,
           ModelValue *object,
           const char *name,
           bool (*read_part) (ModelReader *, const ModelSpot *, ModelValue *))
{
  const ModelSpot *at = SPOT (up, name);
  ModelValue *list;
  guint index = 0;

  if (!model_take_list (r, up, object, name, false, &list))
    return false;
  for (ModelValue *v = list != NULL ? model_json_first (r->json, list) : NULL; v != NULL;
       v = model_json_next (r->json, v))
    if (!read_part (r, SPOT_AT (at, index++), v))
      return false;
  return true;
}

/* What a document and a revision's state have in common. */
static bool
read_parts (ModelReader *r, const ModelSpot *at, ModelValue *v, guint *next_id)
{
  ModelValue *head = model_json_member (r->json, v, "head"),
             *counter = model_json_member (r->json, v, "next_id");

  if (counter != NULL && !model_read_whole (r, SPOT (at, "next_id"), counter, 1, MODEL_MAX_ID + 1, next_id))
    return false;
  if (head != NULL && !read_head (r, SPOT (at, "head"), head))
    return false;
  return read_list (r, at, v, "materials", read_material) && read_list (r, at, v, "measures", read_measure)
         && read_list (r, at, v, "panels", read_panel) && read_list (r, at, v, "joins", read_join)
         && check_leaps (r, at) && read_list (r, at, v, "lines", read_line);
}

/* A state has ids of its own time: they are unique in it, and may be those of the present parts. */
static bool
read_state (ModelReader *r, const ModelSpot *at, ModelValue *v, ModelRevision *revision)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  g_autoptr (GHashTable) ids = g_hash_table_new (NULL, NULL);
  g_autoptr (GArray) seen = g_array_new (FALSE, FALSE, sizeof (ModelSeen));
  ModelReader inner = *r;
  guint next_id = 1;
  bool ok;

  if (!model_need_object (r, at, v))
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
  model_keep_rest (r, v, &doc->extra);
  revision->state = model_state_take (g_steal_pointer (&doc));
  return true;
}

static bool
read_revision (ModelReader *r, const ModelSpot *at, ModelValue *v)
{
  g_autoptr (ModelRevision) revision = model_revision_new ();
  ModelValue *state = model_json_member (r->json, v, "state");

  if (!model_need_object (r, at, v)
      || !model_take_id (r, at, v, (ModelSeen) { MODEL_SEEN_PART, 0, 0 }, &revision->id)
      || !model_take_text (r, at, v, "name", &revision->name)
      || !model_take_text (r, at, v, "date", &revision->date)
      || !model_take_text (r, at, v, "note", &revision->note))
    return false;
  if (state == NULL)
    return model_missing (r, at, "state");
  if (!read_state (r, SPOT (at, "state"), state, revision))
    return false;
  model_keep_rest (r, v, &revision->extra);
  model_document_put (r->doc, (ModelPart) { MODEL_PART_REVISION, g_steal_pointer (&revision) }, -1);
  return true;
}

static bool
read_document (ModelReader *r)
{
  ModelValue *root = &r->json->value[0];
  guint next_id = 1;

  if (!read_version (r, root) || !read_parts (r, NULL, root, &next_id)
      || !read_list (r, NULL, root, "photos", read_photo)
      || !read_list (r, NULL, root, "fit_notes", read_fit_note)
      || !read_list (r, NULL, root, "revisions", read_revision))
    return false;
  /* A counter that lags behind, as after an edit by hand, would hand out ids a second time. */
  r->doc->next_id = MAX (next_id, r->max_id + 1);
  model_keep_rest (r, root, &r->doc->extra);
  return true;
}

ModelDocument *
model_document_from_data (const char *data, gsize length, GError **error)
{
  g_autoptr (ModelDocument) doc = NULL;
  g_autoptr (ModelJson) json = model_json_parse (data, length, error);
  g_autoptr (GHashTable) ids = NULL;
  g_autoptr (GArray) seen = NULL;
  ModelReader r = { .json = json, .error = error };

  if (json == NULL)
    return NULL;
  r.doc = doc = model_document_new ();
  r.ids = ids = g_hash_table_new (NULL, NULL);
  r.seen = seen = g_array_new (FALSE, FALSE, sizeof (ModelSeen));
  if (!read_document (&r))
    return NULL;
  return g_steal_pointer (&doc);
}
