/* Places: what a person counts.  The expected numbers follow from how the document is built here: a pair has
 * two sides, a correction moves one. */
#include "engine/places.h"
#include "model/file.h"

static ModelDocument *
draft (void)
{
  g_autofree char *path
    = g_build_filename (g_getenv ("PW_SOURCE_ROOT"), "data", "caravan-guard-first-draft.panelwright", NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;
  ModelDocument *doc = model_document_load (file, NULL, &error);
  g_assert_no_error (error);
  return doc;
}

/* Every open finding is in exactly one place, and twins differ in their side alone. */
static void
test_each_finding_once (void)
{
  g_autoptr (ModelDocument) doc = draft ();
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (GPtrArray) open = engine_review_open_findings (review);
  g_autoptr (GArray) places = engine_review_open_places (review);
  guint found = 0;
  for (guint i = 0; i < places->len; i++)
  {
    const EnginePlace *place = &g_array_index (places, EnginePlace, i);
    found += place->twin != NULL ? 2 : 1;
    g_assert_false (place->finding->holds);
    if (place->twin == NULL)
      continue;
    g_assert_true (place->twin->check == place->finding->check);
    g_assert_cmpuint (place->twin->join_id, ==, place->finding->join_id);
    g_assert_cmpint (place->twin->side, !=, place->finding->side);
    g_assert_cmpstr (engine_place_side (place), ==, "both sides");
  }
  g_assert_cmpuint (found, ==, open->len);
  g_assert_cmpuint (places->len, <, open->len);
}

/* A correction on one side parts what was one place. */
static void
test_a_correction_parts_a_place (void)
{
  g_autoptr (ModelDocument) doc = draft ();
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (GArray) before = engine_review_open_places (review);
  guint places_before = before->len;
  ModelPanel *side = model_document_panel_named (doc, "Side");
  g_assert_nonnull (side);
  int seam = -1;
  for (guint i = 0; i < side->edges->len; i++)
    if (g_strcmp0 (model_panel_edge (side, i)->name, "front seam") == 0)
      seam = (int)i;
  g_assert_cmpint (seam, >=, 0);
  /* The end of the front seam, the first node of the edge after it, is let down by 4 mm on the other side
   * only. */
  const ModelEdge *next = model_panel_edge (side, ((guint)seam + 1) % side->edges->len);
  ModelCorrection down = { model_edge_node (next, 0)->id, { 0, -4 }, { 0, -4 }, { 0, -4 } };
  ModelPanel *own = model_panel_copy (side);
  own->own_sides = true;
  g_array_append_val (own->corrections, down);
  guint id = own->id;
  model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, own }, -1);
  engine_review_touch (review, MODEL_PART_PANEL, id);
  g_autoptr (GArray) after = engine_review_open_places (review);
  g_assert_cmpuint (after->len, >, places_before);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_set_nonfatal_assertions ();
  g_test_add_func ("/engine/places/each-finding-once", test_each_finding_once);
  g_test_add_func ("/engine/places/a-correction-parts-a-place", test_a_correction_parts_a_place);
  return g_test_run ();
}
