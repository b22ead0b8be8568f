#include "engine/remedy.h"

#include "fixture.h"

/* Front 100, side 106; the hem 106 goes to the side's other edge, so whoever shortens the side breaks
 * nothing, whoever shortens the hem does. */
static ModelDocument *
two_joins (ModelJoin **first, ModelJoin **second, ModelPanel **side)
{
  ModelDocument *doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 50, 100),
             *hem = fixture_rectangle (doc, "Hem", 200, 0, 50, 106);
  *side = fixture_rectangle (doc, "Side", 100, 0, 50, 106);
  *first = fixture_join (doc, MODEL_JOIN_FLUSH, front, 1, *side, 3);
  *second = fixture_join (doc, MODEL_JOIN_FLUSH, *side, 1, hem, 3);
  return doc;
}

static EngineRemedy *
with_ease (const ModelJoin *join, double ease)
{
  ModelJoin *changed = model_join_copy (join);
  changed->ease_mm = ease;
  EngineRemedy *remedy = engine_remedy_new (g_strdup ("Ease in"), NULL);
  engine_remedy_add (remedy, MODEL_PART_JOIN, changed);
  return remedy;
}

static void
test_settles (void)
{
  ModelJoin *first, *second;
  ModelPanel *side;
  g_autoptr (ModelDocument) doc = two_joins (&first, &second, &side);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const EngineFinding *finding = fixture_finding (review, "join-length", 0);
  g_assert_false (finding->holds);
  g_autoptr (GPtrArray) out = g_ptr_array_new_with_free_func ((GDestroyNotify)engine_remedy_free);
  g_assert_true (engine_remedy_offer (review, finding, out, with_ease (first, 6)));
  /* Not enough; the wrong way; nothing at all. */
  g_assert_false (engine_remedy_offer (review, finding, out, with_ease (first, 2)));
  g_assert_false (engine_remedy_offer (review, finding, out, with_ease (first, -6)));
  g_assert_false (engine_remedy_offer (review, finding, out, NULL));
  g_assert_cmpuint (out->len, ==, 1);
  /* Settles its own, breaks the neighbour. */
  EngineRemedy *breaking = with_ease (first, 6);
  ModelJoin *other = model_join_copy (second);
  other->ease_mm = 40;
  engine_remedy_add (breaking, MODEL_PART_JOIN, other);
  g_assert_false (engine_remedy_offer (review, finding, out, breaking));
  /* The document is as it was. */
  fixture_near (first->ease_mm, 0, 0);
  g_assert_false (fixture_finding (review, "join-length", 0)->holds);
}

/* What failed before may go on failing: a remedy need not settle everything. */
static void
test_other_faults_may_stay (void)
{
  ModelJoin *first, *second;
  ModelPanel *side;
  g_autoptr (ModelDocument) doc = two_joins (&first, &second, &side);
  second->ease_mm = 30;
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (GPtrArray) out = g_ptr_array_new_with_free_func ((GDestroyNotify)engine_remedy_free);
  g_assert_true (
    engine_remedy_offer (review, fixture_finding (review, "join-length", 0), out, with_ease (first, 6)));
}

/* Taking a remedy replaces parts in place and adds none. */
static void
test_try (void)
{
  ModelJoin *first, *second;
  ModelPanel *side;
  g_autoptr (ModelDocument) doc = two_joins (&first, &second, &side);
  EngineRemedy *remedy = with_ease (first, 6);
  g_autoptr (ModelDocument) after = engine_remedy_try (doc, remedy);
  g_assert_cmpuint (after->joins->len, ==, doc->joins->len);
  g_assert_cmpuint (((ModelJoin *)g_ptr_array_index (after->joins, 0))->id, ==, first->id);
  fixture_near (model_document_join (after, first->id)->ease_mm, 6, 0);
  fixture_near (model_document_join (doc, first->id)->ease_mm, 0, 0);
  engine_remedy_free (remedy);
  engine_remedy_free (NULL);
}

/* ---- one remedy at least for every mishap ---- */

/* The first open finding of CHECK is offered COUNT remedies; the first begins with TEXT; each settles it and
 * breaks nothing, as a review from nothing sees it. */
static void
assert_offers (ModelDocument *doc, const char *check, guint count, const char *text)
{
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (GPtrArray) open = engine_review_open_findings (review);
  const EngineFinding *finding = NULL;
  for (guint i = 0; i < open->len && !finding; i++)
    if (strcmp (((const EngineFinding *)g_ptr_array_index (open, i))->check->name, check) == 0)
      finding = g_ptr_array_index (open, i);
  g_assert_nonnull (finding);
  guint before = open->len;
  g_autoptr (GPtrArray) remedies = engine_finding_remedies (review, finding);
  g_assert_cmpuint (remedies->len, ==, count);
  const char *first = ((EngineRemedy *)g_ptr_array_index (remedies, 0))->text;
  if (!g_str_has_prefix (first, text))
    g_assert_cmpstr (first, ==, text);
  for (guint i = 0; i < count; i++)
  {
    g_autoptr (ModelDocument) after = engine_remedy_try (doc, g_ptr_array_index (remedies, i));
    g_autoptr (EngineReview) trial = engine_review_new (after);
    g_autoptr (GPtrArray) still = engine_review_open_findings (trial);
    g_assert_cmpuint (still->len, <, before);
  }
}

static void
test_loop (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  GeomCubic cubic[] = { { { { 0, 0 }, { 200, 100 }, { -100, 100 }, { 100, 0 } } },
                        fixture_straight (100, 0, 100, -50),
                        fixture_straight (100, -50, 0, -50),
                        fixture_straight (0, -50, 0, 0) };
  for (guint i = 0; i < 4; i++)
    cubic[i] = geom_cubic_mapped (&cubic[i], geom_affine_scale (geom_point (0, 0), 1, -1));
  fixture_panel (doc, "Plate", cubic, 4);
  assert_offers (doc, "outline", 1, "Take the loop of ");
}

/* Its joins keep their ends: the one that held holds, with its marks. */
static void
test_clockwise (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  GeomPoint wrong[] = { { 0, 0 }, { 0, 100 }, { 50, 120 }, { 50, 0 } };
  ModelPanel *plate = fixture_polygon (doc, "Plate", wrong, 4),
             *side = fixture_rectangle (doc, "Side", 100, 0, 50, 100);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, plate, 0, side, 3);
  ModelMark a = { model_document_take_id (doc), model_panel_edge (plate, 0)->id, 30, 1 };
  ModelMark b = { model_document_take_id (doc), model_panel_edge (side, 3)->id, 70, 1 };
  join->a.reversed = false;
  join->b.reversed = true;
  g_array_append_val (plate->marks, a);
  g_array_append_val (side->marks, b);
  ModelMatch match = { a.id, b.id };
  g_array_append_val (join->matches, match);
  assert_offers (doc, "outline", 1, "Turn the outline of Plate round");
}

static void
test_short_edge (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  GeomPoint points[] = { { 0, 0 }, { 100, 0 }, { 100, 0.01 }, { 100, 80 }, { 0, 80 } };
  fixture_polygon (doc, "Plate", points, 5);
  assert_offers (doc, "outline", 1, "Take the edge b out of the outline");
}

static void
test_form (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelMeasure *measure = model_measure_new ();
  measure->id = model_document_take_id (doc);
  g_free (measure->name);
  measure->name = g_strdup ("Shoulder width");
  measure->group = MODEL_MEASURE_ACROSS;
  measure->has_wearer = measure->has_form = true;
  measure->wearer_mm = 365;
  measure->form_mm = 351;
  model_document_put (doc, (ModelPart) { MODEL_PART_MEASURE, measure }, -1);
  assert_offers (doc, "form-against-wearer", 3, "Pad the form by 7.0\u2009mm on each side at Shoulder width");
  measure->form_mm = 380;
  assert_offers (doc, "form-against-wearer", 3,
                 "Take 7.5\u2009mm off the form on each side at Shoulder width");
}

static void
test_drift (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 50, 100),
             *side = fixture_rectangle (doc, "Side", 100, 0, 50, 100);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, front, 1, side, 3);
  join->a.reversed = false;
  join->b.reversed = true;
  ModelMark a = { model_document_take_id (doc), model_panel_edge (front, 1)->id, 40, 1 };
  ModelMark b = { model_document_take_id (doc), model_panel_edge (side, 3)->id, 57, 1 };
  g_array_append_val (front->marks, a);
  g_array_append_val (side->marks, b);
  ModelMatch match = { a.id, b.id };
  g_array_append_val (join->matches, match);
  assert_offers (doc, "join-drift", 3, "Move the mark on Side by 3.0\u2009mm");
  g_array_set_size (side->marks, 0);
  assert_offers (doc, "join-drift", 1, "Let 1 pair of marks go");
}

static void
test_paper (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  fixture_rectangle (doc, "Front", 0, 0, 50, 100);
  doc->head->overlap_mm = 500;
  assert_offers (doc, "sheet-fit", 1, "Let the sheets overlap by 10.0\u2009mm");
  doc->head->overlap_mm = 10;
  g_free (doc->head->paper);
  doc->head->paper = g_strdup ("a99");
  assert_offers (doc, "sheet-fit", 4, "Print on A4");
}

static void
test_twins (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  GeomPoint five[] = { { 200, 0 }, { 260, 0 }, { 260, 100 }, { 230, 120 }, { 200, 100 } };
  ModelPanel *left = fixture_rectangle (doc, "Front, left", 0, 0, 60, 100),
             *right = fixture_polygon (doc, "Front, right", five, 5);
  left->side = MODEL_SIDE_LEFT;
  right->side = MODEL_SIDE_RIGHT;
  assert_offers (doc, "twin", 1, "Let them differ by ");
}

/* No remedy touches what is locked; where none is left, it says what is in the way. */
static void
test_why_none (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *a = fixture_rectangle (doc, "A", 0, 0, 50, 100),
             *b = fixture_rectangle (doc, "B", 100, 0, 50, 100);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_LAPPED, a, 1, b, 3);
  join->lap_mm = 12;
  fixture_allow (b, 3, 0);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const EngineFinding *finding = fixture_finding (review, "lap-side", 0);
  g_assert_false (finding->holds);
  g_autoptr (GPtrArray) some = engine_finding_remedies (review, finding);
  g_assert_cmpuint (some->len, >=, 1);
  b->locked = true;
  engine_review_touch_all (review);
  finding = fixture_finding (review, "lap-side", 0);
  g_autoptr (GPtrArray) none = engine_finding_remedies (review, finding);
  g_assert_cmpuint (none->len, ==, 0);
  g_autofree char *why = engine_finding_why_none (review, finding);
  g_assert_cmpstr (why, ==, "B is locked. Unlock it, and what would settle this is worked out.");
  a->locked = true;
  g_autofree char *both = engine_finding_why_none (review, finding);
  g_assert_nonnull (strstr (both, "both locked"));
  a->locked = b->locked = false;
  model_panel_edge (a, 2)->locked = true;
  g_autofree char *edge = engine_finding_why_none (review, finding);
  g_assert_nonnull (strstr (edge, "on A is locked"));
  model_panel_edge (a, 2)->locked = false;
  g_autofree char *plain = engine_finding_why_none (review, finding);
  g_assert_nonnull (strstr (plain, "No small change"));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/remedy/settles", test_settles);
  g_test_add_func ("/engine/remedy/other-faults-may-stay", test_other_faults_may_stay);
  g_test_add_func ("/engine/remedy/try", test_try);
  g_test_add_func ("/engine/remedy/loop", test_loop);
  g_test_add_func ("/engine/remedy/clockwise", test_clockwise);
  g_test_add_func ("/engine/remedy/short-edge", test_short_edge);
  g_test_add_func ("/engine/remedy/form", test_form);
  g_test_add_func ("/engine/remedy/drift", test_drift);
  g_test_add_func ("/engine/remedy/paper", test_paper);
  g_test_add_func ("/engine/remedy/why-none", test_why_none);
  g_test_add_func ("/engine/remedy/twins", test_twins);
  return g_test_run ();
}
