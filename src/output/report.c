/* Reports as JSON, member for member as the contract has it; "side" of an edge and "letter" of a join are
 * there besides. */
#include "output/report.h"

#include "engine/check.h"
#include "engine/words.h"

#include <json-glib/json-glib.h>
#include <math.h>

static void
add_text (JsonBuilder *b, const char *member, const char *value)
{
  json_builder_set_member_name (b, member);
  g_autofree char *valid = g_utf8_make_valid (value != NULL ? value : "", -1);
  json_builder_add_string_value (b, valid);
}

/* A figure that does not apply is null: JSON has no NaN. */
static void
add_number (JsonBuilder *b, const char *member, double value)
{
  json_builder_set_member_name (b, member);
  if (isfinite (value))
    json_builder_add_double_value (b, value + 0.0);
  else
    json_builder_add_null_value (b);
}

static void
add_side (JsonBuilder *b, bool has, ModelSide side)
{
  json_builder_set_member_name (b, "side");
  if (has)
    json_builder_add_string_value (b, model_side_key (side));
  else
    json_builder_add_null_value (b);
}

static void
add_flag (JsonBuilder *b, const char *member, bool value)
{
  json_builder_set_member_name (b, member);
  json_builder_add_boolean_value (b, value);
}

static void
begin_list (JsonBuilder *b, const char *member)
{
  json_builder_set_member_name (b, member);
  json_builder_begin_array (b);
}

static char *
finish (JsonBuilder *b)
{
  g_autoptr (JsonNode) root = json_builder_get_root (b);
  g_autoptr (JsonGenerator) generator = json_generator_new ();
  json_generator_set_root (generator, root);
  json_generator_set_pretty (generator, TRUE);
  g_autofree char *text = json_generator_to_data (generator, NULL);
  return g_strconcat (text, "\n", NULL);
}

/* ---- check ---- */

static void
add_finding (JsonBuilder *b, EngineReview *review, const EngineFinding *finding)
{
  json_builder_begin_object (b);
  add_text (b, "check", finding->check->name);
  add_flag (b, "holds", finding->holds);
  g_auto (GStrv) where = engine_finding_where (review, finding);
  begin_list (b, "where");
  for (char **name = where; name != NULL && *name != NULL; name++)
    json_builder_add_string_value (b, *name);
  json_builder_end_array (b);
  add_side (b, finding->has_side, finding->side);
  add_number (b, "expected", finding->expected);
  add_number (b, "actual", finding->actual);
  add_number (b, "difference", finding->difference);
  add_number (b, "tolerance", finding->tolerance);
  add_text (b, "unit", finding->unit);
  g_autofree char *text = engine_finding_text (review, finding);
  add_text (b, "text", text);
  begin_list (b, "remedies");
  g_autoptr (GPtrArray) remedies = finding->holds ? NULL : engine_finding_remedies (review, finding);
  for (guint i = 0; remedies != NULL && i < remedies->len; i++)
  {
    const EngineRemedy *remedy = (const EngineRemedy *)g_ptr_array_index (remedies, i);
    json_builder_begin_object (b);
    add_text (b, "text", remedy->text);
    json_builder_end_object (b);
  }
  json_builder_end_array (b);
  if (remedies != NULL && remedies->len == 0)
  {
    g_autofree char *why = engine_finding_why_none (review, finding);
    add_text (b, "no_remedy", why);
  }
  json_builder_end_object (b);
}

char *
output_report_check_json (EngineReview *review, const char *name)
{
  const GPtrArray *findings = engine_review_findings (review);
  g_autoptr (JsonBuilder) b = json_builder_new ();
  json_builder_begin_object (b);
  add_text (b, "document", name);
  add_flag (b, "holds", engine_review_holds (review));
  begin_list (b, "findings");
  for (guint i = 0; i < findings->len; i++)
    add_finding (b, review, (const EngineFinding *)g_ptr_array_index (findings, i));
  json_builder_end_array (b);
  json_builder_end_object (b);
  return finish (b);
}

/* ---- measure ---- */

/* The word of the contract, not of the language. */
static const char *
kind_key (ModelJoinKind kind)
{
  switch (kind)
  {
  case MODEL_JOIN_FLUSH:
    return "flush";
  case MODEL_JOIN_LAPPED:
    return "lapped";
  case MODEL_JOIN_STITCHED:
    return "stitched";
  case MODEL_JOIN_GAP:
    return "gap";
  }
  return "";
}

static const char *
edge_name (const ModelDocument *doc, const EnginePiece *piece, const EnginePieceEdge *edge)
{
  const ModelPanel *panel = model_document_panel (doc, piece->panel_id);
  const int index = panel != NULL ? model_panel_find_edge (panel, edge->edge_id) : -1;
  return index >= 0 ? model_panel_edge (panel, (guint)index)->name : "";
}

static void
add_piece (JsonBuilder *b, const ModelDocument *doc, const EnginePiece *piece)
{
  const ModelPanel *panel = model_document_panel (doc, piece->panel_id);
  json_builder_begin_object (b);
  add_text (b, "name", panel != NULL ? panel->name : "");
  add_side (b, true, piece->side);
  add_number (b, "area_mm2", piece->area_mm2);
  add_number (b, "perimeter_mm", piece->perimeter_mm);
  add_number (b, "cut_area_mm2", piece->cut_area_mm2);
  begin_list (b, "edges");
  for (guint i = 0; i < piece->edges->len; i++)
  {
    const EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, i);
    json_builder_begin_object (b);
    add_text (b, "name", edge_name (doc, piece, edge));
    add_side (b, true, edge->side);
    add_number (b, "length_mm", edge->length_mm);
    add_number (b, "allowance_mm", edge->allowance_mm);
    add_number (b, "cut_length_mm", edge->cut_length_mm);
    json_builder_end_object (b);
  }
  json_builder_end_array (b);
  json_builder_end_object (b);
}

static void
add_reading (JsonBuilder *b, const ModelDocument *doc, const EngineJoinReading *reading)
{
  const ModelJoin *join = model_document_join (doc, reading->join_id);
  if (join == NULL)
    return;
  g_autofree char *name = engine_words_join (doc, join);
  json_builder_begin_object (b);
  add_text (b, "name", name);
  add_text (b, "letter", join->letter);
  add_text (b, "kind", kind_key (join->kind));
  add_side (b, true, reading->side);
  add_number (b, "length_a_mm", reading->length_a_mm);
  add_number (b, "length_b_mm", reading->length_b_mm);
  add_number (b, "difference_mm", reading->difference_mm);
  json_builder_end_object (b);
}

char *
output_report_measure_json (EngineReview *review)
{
  const ModelDocument *doc = engine_review_document (review);
  const GPtrArray *pieces = engine_review_pieces (review);
  const GArray *readings = engine_review_readings (review);
  g_autoptr (JsonBuilder) b = json_builder_new ();
  json_builder_begin_object (b);
  begin_list (b, "panels");
  for (guint i = 0; i < pieces->len; i++)
    add_piece (b, doc, (const EnginePiece *)g_ptr_array_index (pieces, i));
  json_builder_end_array (b);
  begin_list (b, "joins");
  for (guint i = 0; i < readings->len; i++)
    add_reading (b, doc, &g_array_index (readings, EngineJoinReading, i));
  json_builder_end_array (b);
  json_builder_end_object (b);
  return finish (b);
}
