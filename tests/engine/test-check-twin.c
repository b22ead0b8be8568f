#include "engine/alike.h"
#include "engine/remedy.h"
#include "engine/twin-name.h"
#include "fixture.h"

static void
test_mirrored (void)
{
  static const ModelHalves kinds[] = { MODEL_HALVES_PAIR, MODEL_HALVES_FOLD };
  for (guint i = 0; i < G_N_ELEMENTS (kinds); i++)
  {
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *panel = fixture_rectangle (doc, "Front", 10, 0, 50, 100);
    fixture_mirror (panel, kinds[i], MODEL_SIDE_LEFT);
    model_panel_edge (panel, 3)->fold = kinds[i] == MODEL_HALVES_FOLD;
    g_autoptr (EngineReview) review = engine_review_new (doc);
    const EngineFinding *finding = fixture_finding (review, "twin", 0);
    g_assert_true (finding->holds);
    fixture_near (finding->difference, 0, 0);
    /* Its own way by 3 and 4: the node lies 5 away. */
    fixture_correct (panel, 1, 3, 4);
    engine_review_touch_all (review);
    finding = fixture_finding (review, "twin", 0);
    g_autofree char *own = engine_finding_text (review, finding);
    g_assert_true (finding->holds);
    fixture_near (finding->difference, 5, 1e-12);
    g_assert_cmpstr (own, ==, "The sides of Front differ by up to 5.0\u2009mm, on purpose.");
    panel->own_sides = false;
    engine_review_touch_all (review);
    finding = fixture_finding (review, "twin", 0);
    g_autofree char *aside = engine_finding_text (review, finding);
    g_assert_true (finding->holds);
    fixture_near (finding->difference, 0, 0);
    g_assert_cmpstr (aside, ==, "Both sides of Front are alike; the corrections of one side are set aside.");
  }
}

/* A correction whose node went: what was learnt at a fitting would be lost without a word. */
static void
test_lost (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = fixture_rectangle (doc, "Front", 10, 0, 50, 100);
  fixture_mirror (panel, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  fixture_correct (panel, 1, 3, 4);
  fixture_correct (panel, 2, 1, 0);
  g_array_index (panel->corrections, ModelCorrection, 0).node_id = 4711;
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const EngineFinding *finding = fixture_finding (review, "twin", 0);
  g_autofree char *text = engine_finding_text (review, finding);
  g_assert_false (finding->holds);
  fixture_near (finding->actual, 1, 0);
  g_assert_cmpstr (text, ==, "Front has 1 correction for one side whose place on the outline is gone.");
  g_autoptr (GPtrArray) remedies = engine_finding_remedies (review, finding);
  g_assert_cmpuint (remedies->len, ==, 1);
  g_autoptr (ModelDocument) after = engine_remedy_try (doc, g_ptr_array_index (remedies, 0));
  g_autoptr (EngineReview) trial = engine_review_new (after);
  g_assert_true (engine_review_holds (trial));
  g_assert_cmpuint (model_document_panel (after, panel->id)->corrections->len, ==, 1);
}

typedef struct NameRow
{
  const char *name;
  ModelSide side;
  const char *key;
} NameRow;

static const NameRow name_rows[] = {
  { "Front, left", MODEL_SIDE_LEFT, "front" },
  { "Left front", MODEL_SIDE_LEFT, "front" },
  { "Front (right)", MODEL_SIDE_RIGHT, "front" },
  { "Side back RIGHT", MODEL_SIDE_RIGHT, "side back" },
  { "Front", MODEL_SIDE_CENTRE, NULL },
  { "Left", MODEL_SIDE_LEFT, NULL },
  { "Front, left", MODEL_SIDE_RIGHT, "front left" },
};

static void
test_names (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (name_rows); i++)
  {
    ModelPanel *panel = model_panel_new ();
    g_free (panel->name);
    panel->name = g_strdup (name_rows[i].name);
    panel->side = name_rows[i].side;
    g_autofree char *key = engine_twin_key (panel);
    g_assert_cmpstr (key, ==, name_rows[i].key);
    panel->halves = MODEL_HALVES_PAIR;
    g_assert_null (engine_twin_key (panel));
    model_panel_free (panel);
  }
}

/* A four-cornered piece without any symmetry, one side curved; the other one is its mirror image, turned by
 * 37 degrees and moved. */
static ModelDocument *
counterparts (double shift, ModelPanel **left, ModelPanel **right)
{
  GeomCubic cubic[] = { { { { 0, 0 }, { 48, 0 }, { 72, 24 }, { 72, 48 } } },
                        fixture_straight (72, 48, 60, 130),
                        fixture_straight (60, 130, -20, 110),
                        fixture_straight (-20, 110, 0, 0) };
  ModelDocument *doc = model_document_new ();
  *left = fixture_panel (doc, "Front, left", cubic, 4);
  GeomAffine over = geom_affine_mirror (geom_point (0, 0), geom_point (0, 1));
  GeomAffine map
    = geom_affine_after (geom_affine_move (400, 55),
                         geom_affine_after (geom_affine_turn (geom_point (0, 0), 37 * G_PI / 180), over));
  GeomCubic mirrored[4];
  for (int i = 0; i < 4; i++)
    mirrored[i] = geom_cubic_reversed (&cubic[3 - i]);
  for (int i = 0; i < 4; i++)
    mirrored[i] = geom_cubic_mapped (&mirrored[i], map);
  *right = fixture_panel (doc, "Front, right", mirrored, 4);
  model_edge_node (model_panel_edge (*right, 0), 0)->at.x += shift;
  (*left)->side = MODEL_SIDE_LEFT;
  (*right)->side = MODEL_SIDE_RIGHT;
  return doc;
}

static void
test_counterparts (void)
{
  ModelPanel *left, *right;
  g_autoptr (ModelDocument) doc = counterparts (0, &left, &right);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const EngineFinding *finding = fixture_finding (review, "twin", 0);
  g_assert_cmpuint (finding->panel_id, ==, left->id);
  g_assert_cmpuint (finding->other_panel_id, ==, right->id);
  g_assert_true (finding->holds);
  /* Chords of 0.02 mm on either, and the search for the position. */
  fixture_near (finding->difference, 0, 0.06);
  g_assert_null (fixture_finding (review, "twin", 1));
  /* Without the names they have nothing to do with each other. */
  g_free (right->name);
  right->name = g_strdup ("Collar");
  engine_review_touch (review, MODEL_PART_PANEL, right->id);
  g_assert_null (fixture_finding (review, "twin", 0));
}

/* One corner moved by 8: laid to agree best, the difference is spread, but cannot fall below a quarter nor
 * exceed the move. */
static void
test_counterparts_differ (void)
{
  ModelPanel *left, *right;
  g_autoptr (ModelDocument) doc = counterparts (8, &left, &right);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const EngineFinding *finding = fixture_finding (review, "twin", 0);
  g_assert_false (finding->holds);
  g_assert_cmpfloat (finding->difference, >, 2);
  g_assert_cmpfloat (finding->difference, <, 8);
  g_autoptr (GPtrArray) remedies = engine_finding_remedies (review, finding);
  g_assert_cmpuint (remedies->len, ==, 3);
  g_assert_cmpstr (((EngineRemedy *)g_ptr_array_index (remedies, 0))->text, ==,
                   "Give Front, right the shape of Front, left, turned over");
  for (guint i = 0; i < remedies->len; i++)
  {
    g_autoptr (ModelDocument) after = engine_remedy_try (doc, g_ptr_array_index (remedies, i));
    g_autoptr (EngineReview) trial = engine_review_new (after);
    if (i == 2)
    {
      /* Under another name they are no longer compared. */
      g_assert_null (fixture_finding (trial, "twin", 0));
      continue;
    }
    g_assert_true (fixture_finding (trial, "twin", 0)->holds);
    /* Areas are as near as the shapes are. */
    fixture_near (engine_review_piece (trial, left->id, MODEL_SIDE_LEFT)->area_mm2,
                  engine_review_piece (trial, right->id, MODEL_SIDE_RIGHT)->area_mm2, 1e-6);
  }
}

static void
test_distance_of_nothing (void)
{
  GeomPath none, point;
  GeomPoint at;
  geom_path_init (&none);
  geom_path_init (&point);
  geom_path_append_line (&point, geom_point (3, 3), geom_point (3, 3));
  point.closed = none.closed = true;
  g_assert_true (isinf (engine_mirrored_distance (&point, &point, &at)));
  g_assert_true (isinf (engine_mirrored_distance (&none, &point, &at)));
  geom_path_clear (&point);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/check-twin/mirrored", test_mirrored);
  g_test_add_func ("/engine/check-twin/lost", test_lost);
  g_test_add_func ("/engine/check-twin/names", test_names);
  g_test_add_func ("/engine/check-twin/counterparts", test_counterparts);
  g_test_add_func ("/engine/check-twin/counterparts-differ", test_counterparts_differ);
  g_test_add_func ("/engine/check-twin/distance-of-nothing", test_distance_of_nothing);
  return g_test_run ();
}
