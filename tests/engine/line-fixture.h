/* Lines across panels for the tests of girth, reach, neck and layer. */
#ifndef TEST_ENGINE_LINE_FIXTURE_H
#define TEST_ENGINE_LINE_FIXTURE_H

#include "engine/girth.h"
#include "engine/remedy.h"
#include "fixture.h"

static inline guint
fixture_mark (ModelDocument *doc, ModelPanel *panel, guint edge, double at_mm)
{
  ModelMark mark = { model_document_take_id (doc), model_panel_edge (panel, edge)->id, at_mm, 0 };
  g_array_append_val (panel->marks, mark);
  return mark.id;
}

static inline ModelMeasure *
fixture_measure (ModelDocument *doc, ModelMeasureGroup group, double wearer_mm)
{
  ModelMeasure *measure = model_measure_new ();
  measure->id = model_document_take_id (doc);
  g_free (measure->name);
  measure->name = g_strdup ("Chest");
  measure->group = group;
  measure->has_wearer = true;
  measure->wearer_mm = wearer_mm;
  model_document_put (doc, (ModelPart) { MODEL_PART_MEASURE, measure }, -1);
  return measure;
}

static inline ModelLine *
fixture_line (ModelDocument *doc, ModelLineKind kind, const ModelMeasure *measure)
{
  ModelLine *line = model_line_new ();
  line->id = model_document_take_id (doc);
  g_free (line->name);
  line->name = g_strdup ("Bust line");
  line->kind = kind;
  line->measure_id = measure ? measure->id : 0;
  line->has_tolerance = true;
  line->tolerance_mm = 0.5;
  model_document_put (doc, (ModelPart) { MODEL_PART_LINE, line }, -1);
  return line;
}

/* From AT_A mm along edge A to AT_B mm along edge B. */
static inline void
fixture_span (
  ModelDocument *doc, ModelLine *line, ModelPanel *panel, guint a, double at_a, guint b, double at_b)
{
  ModelSpan span = { panel->id, fixture_mark (doc, panel, a, at_a), fixture_mark (doc, panel, b, at_b) };
  g_array_append_val (line->spans, span);
}

/* Level across a rectangle of fixture_rectangle, from its left edge to its right one, UP above its foot. */
static inline void
fixture_level_span (ModelDocument *doc, ModelLine *line, ModelPanel *panel, double h, double up)
{
  fixture_span (doc, line, panel, 3, h - up, 1, up);
}

static inline ModelMaterial *
fixture_material (ModelDocument *doc, double thickness_mm, double neutral)
{
  ModelMaterial *material = model_material_new ();
  material->id = model_document_take_id (doc);
  material->thickness_mm = thickness_mm;
  material->neutral = neutral;
  model_document_put (doc, (ModelPart) { MODEL_PART_MATERIAL, material }, -1);
  return material;
}

/* Every remedy of the INDEX-th finding of CHECK settles it; returns how many there are. */
static inline guint
fixture_remedies_settle (EngineReview *review, const char *check, guint index)
{
  const EngineFinding *finding = fixture_finding (review, check, index);
  g_assert_nonnull (finding);
  g_assert_false (finding->holds);
  g_autoptr (GPtrArray) remedies = engine_finding_remedies (review, finding);
  for (guint i = 0; i < remedies->len; i++)
  {
    g_autoptr (ModelDocument) doc
      = engine_remedy_try (engine_review_document (review), g_ptr_array_index (remedies, i));
    g_autoptr (EngineReview) after = engine_review_new (doc);
    g_assert_true (fixture_finding (after, check, index)->holds);
  }
  return remedies->len;
}

#endif
