/* What differs between two states.  The panels are rectangles and a circle's quarter, so that lengths and
 * distances follow from a line of geometry, which stands beside each. */
#include "engine/compare.h"
#include "engine/go-back.h"
#include "fixture.h"
#include "model/file.h"
#include "model/repair.h"
#include "model/shape.h"

static const EngineChange *
change_of (const GArray *changes, EngineChangeKind kind, guint edge_id, ModelSide side)
{
  for (guint i = 0; i < changes->len; i++)
  {
    const EngineChange *change = &g_array_index (changes, EngineChange, i);
    if (change->kind == kind && (edge_id == 0 || change->edge_id == edge_id) && change->side == side)
      return change;
  }
  return NULL;
}

static guint
edge_id (const ModelPanel *panel, guint index)
{
  return model_panel_edge (panel, index)->id;
}

/* 100 by 60; the right edge moved out by 5: both level edges 105 long, their ends 5 away; the right edge as
 * long as before and 5 away everywhere. */
static void
test_edge_moved (void)
{
  g_autoptr (ModelDocument) was = model_document_new ();
  ModelPanel *panel = fixture_rectangle (was, "Front", 0, 0, 100, 60);
  g_autoptr (ModelDocument) now = model_document_copy (was);
  ModelPanel *later = model_document_panel (now, panel->id);
  guint nodes[] = { model_edge_node (model_panel_edge (later, 1), 0)->id,
                    model_edge_node (model_panel_edge (later, 2), 0)->id };
  model_shape_move_nodes (later, MODEL_SIDE_CENTRE, nodes, 2, geom_point (5, 0));
  g_autoptr (GArray) changes = engine_compare (was, now);
  g_assert_cmpuint (changes->len, ==, 3);
  const EngineChange *foot = change_of (changes, ENGINE_CHANGE_EDGE, edge_id (panel, 0), MODEL_SIDE_CENTRE);
  g_assert_nonnull (foot);
  fixture_near (foot->was_mm, 100.0, 1e-7);
  fixture_near (foot->now_mm, 105.0, 1e-7);
  fixture_near (foot->apart_mm, 5.0, 1e-9);
  const EngineChange *right = change_of (changes, ENGINE_CHANGE_EDGE, edge_id (panel, 1), MODEL_SIDE_CENTRE);
  g_assert_nonnull (right);
  fixture_near (right->now_mm, 60.0, 1e-7);
  fixture_near (right->apart_mm, 5.0, 1e-9);
  fixture_near (right->at.x, 105.0, 1e-9);
  g_autofree char *words = engine_change_text (was, now, foot);
  g_assert_cmpstr (
    words, ==,
    "5.0\u2009mm longer: 105.0\u2009mm, was 100.0\u2009mm. Lies up to 5.0\u2009mm from where it was.");
  g_autofree char *subject = engine_change_subject (was, now, foot);
  g_assert_cmpstr (subject, ==, "Front: edge a");
}

/* A panel that was only moved and turned on the paper is what it was; one that was also changed differs by
 * the change alone. */
static void
test_lying_elsewhere (void)
{
  g_autoptr (ModelDocument) was = model_document_new ();
  ModelPanel *panel = fixture_rectangle (was, "Front", 0, 0, 100, 60);
  g_autoptr (ModelDocument) now = model_document_copy (was);
  ModelPanel *later = model_document_panel (now, panel->id);
  GeomAffine map
    = geom_affine_after (geom_affine_move (300, -40), geom_affine_turn (geom_point (10, 20), 0.7));
  model_shape_map (later, map);
  g_autoptr (GArray) none = engine_compare (was, now);
  g_assert_cmpuint (none->len, ==, 0);
  /* Corner (100, 60) pulled out along the top by 8: the top is 108, the right edge sqrt(60^2 + 8^2). */
  guint corner = model_edge_node (model_panel_edge (later, 2), 0)->id;
  model_shape_move_nodes (later, MODEL_SIDE_CENTRE, &corner, 1,
                          geom_affine_apply_vector (map, geom_point (8, 0)));
  g_autoptr (GArray) two = engine_compare (was, now);
  g_assert_cmpuint (two->len, ==, 2);
  const EngineChange *right = change_of (two, ENGINE_CHANGE_EDGE, edge_id (panel, 1), MODEL_SIDE_CENTRE);
  g_assert_nonnull (right);
  fixture_near (right->now_mm, sqrt (60.0 * 60.0 + 8.0 * 8.0), 1e-6);
  const EngineChange *top = change_of (two, ENGINE_CHANGE_EDGE, edge_id (panel, 2), MODEL_SIDE_CENTRE);
  g_assert_nonnull (top);
  fixture_near (top->apart_mm, 8.0, 1e-6);
}

/* A chord of 80 bent: the parabola through its middle, control height h at the quadratic's control point,
 * rises h / 2; as a cubic the handles lie at two thirds of the way to the control point.  Its greatest
 * distance from the chord is therefore h / 2, at the middle. */
static void
test_bent_edge (void)
{
  GeomPath chord, bent;
  geom_path_init (&chord);
  geom_path_init (&bent);
  geom_path_append_line (&chord, geom_point (0, 0), geom_point (80, 0));
  double h = 30.0;
  GeomCubic c = { { { 0, 0 }, { 80.0 / 3.0, 2.0 * h / 3.0 }, { 160.0 / 3.0, 2.0 * h / 3.0 }, { 80, 0 } } };
  geom_path_append (&bent, &c);
  GeomPoint at;
  fixture_near (engine_compare_apart (&chord, &bent, &at), h / 2.0, 1e-9);
  fixture_near (at.x, 40.0, 1e-4);
  fixture_near (at.y, h / 2.0, 1e-9);
  GeomPath empty;
  geom_path_init (&empty);
  g_assert_true (isinf (engine_compare_apart (&chord, &empty, NULL)));
  geom_path_clear (&chord);
  geom_path_clear (&bent);
  geom_path_clear (&empty);
}

/* A pair: alike on both sides is said once; a correction is said of its side alone. */
static void
test_sides (void)
{
  g_autoptr (ModelDocument) was = model_document_new ();
  ModelPanel *panel = fixture_rectangle (was, "Side", 10, 0, 100, 60);
  fixture_mirror (panel, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  g_autoptr (ModelDocument) now = model_document_copy (was);
  ModelPanel *later = model_document_panel (now, panel->id);
  fixture_correct (later, 2, 0, 4); /* corner (100, 60) of the right side up by 4 */
  g_autoptr (GArray) changes = engine_compare (was, now);
  g_assert_null (change_of (changes, ENGINE_CHANGE_EDGE, edge_id (panel, 1), MODEL_SIDE_LEFT));
  const EngineChange *right = change_of (changes, ENGINE_CHANGE_EDGE, edge_id (panel, 1), MODEL_SIDE_RIGHT);
  g_assert_nonnull (right);
  fixture_near (right->now_mm, 64.0, 1e-7);
  model_shape_clear_corrections (later, 0);
  guint corner = model_edge_node (model_panel_edge (later, 2), 0)->id;
  model_shape_move_nodes (later, MODEL_SIDE_LEFT, &corner, 1, geom_point (0, 4));
  g_autoptr (GArray) both = engine_compare (was, now);
  g_assert_cmpuint (both->len, ==, 2);
  g_assert_nonnull (change_of (both, ENGINE_CHANGE_EDGE, edge_id (panel, 1), MODEL_SIDE_CENTRE));
}

static void
test_joins_and_measures (void)
{
  g_autoptr (ModelDocument) was = model_document_new ();
  ModelPanel *a = fixture_rectangle (was, "Front", 0, 0, 100, 60),
             *b = fixture_rectangle (was, "Side", 200, 0, 100, 60);
  ModelJoin *join = fixture_join (was, MODEL_JOIN_LAPPED, a, 1, b, 3);
  join->lap_mm = 10.0;
  ModelMeasure *chest = model_measure_new ();
  chest->id = model_document_take_id (was);
  chest->has_wearer = true;
  chest->wearer_mm = 940.0;
  model_document_put (was, (ModelPart) { MODEL_PART_MEASURE, chest }, -1);
  g_autoptr (ModelDocument) now = model_document_copy (was);
  model_document_join (now, join->id)->lap_mm = 14.0;
  model_document_measure (now, chest->id)->wearer_mm = 955.0;
  fixture_rectangle (now, "Collar", 0, 200, 40, 30);
  g_autoptr (GArray) changes = engine_compare (was, now);
  const EngineChange *wider = change_of (changes, ENGINE_CHANGE_JOIN, 0, MODEL_SIDE_CENTRE);
  g_assert_nonnull (wider);
  fixture_near (wider->was_mm, 10.0, 0.0);
  fixture_near (wider->now_mm, 14.0, 0.0);
  /* The under side alone carries the lap: one allowance follows. */
  const EngineChange *allowance = change_of (changes, ENGINE_CHANGE_ALLOWANCE, 0, MODEL_SIDE_CENTRE);
  g_assert_nonnull (allowance);
  fixture_near (allowance->now_mm, 14.0, 0.0);
  const EngineChange *more = change_of (changes, ENGINE_CHANGE_WEARER, 0, MODEL_SIDE_CENTRE);
  g_assert_nonnull (more);
  fixture_near (more->now_mm, 955.0, 0.0);
  g_assert_nonnull (change_of (changes, ENGINE_CHANGE_PANEL_ADDED, 0, MODEL_SIDE_CENTRE));
  g_assert_cmpuint (changes->len, ==, 4);
  g_autoptr (GArray) back = engine_compare (now, was);
  g_assert_nonnull (change_of (back, ENGINE_CHANGE_PANEL_GONE, 0, MODEL_SIDE_CENTRE));
  g_autofree char *list = engine_changes_text (was, "3", now, changes);
  g_assert_nonnull (strstr (list, "4 differences since “3”"));
  g_assert_nonnull (strstr (list, "Now lapped 14.0\u2009mm"));
}

/* ---- going back ---- */

static ModelHistory *
two_panels (ModelDocument **doc, guint ids[3])
{
  *doc = model_document_new ();
  ModelPanel *a = fixture_rectangle (*doc, "Front", 10, 0, 100, 60),
             *b = fixture_rectangle (*doc, "Side", 200, 0, 100, 60);
  fixture_mirror (a, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  fixture_mirror (b, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  ids[0] = a->id;
  ids[1] = b->id;
  ids[2] = fixture_join (*doc, MODEL_JOIN_FLUSH, a, 1, b, 3)->id;
  return model_history_new (*doc);
}

static char *
text_of (const ModelDocument *doc)
{
  return model_document_to_data (doc, NULL);
}

static void
test_back_all (void)
{
  ModelDocument *doc;
  guint ids[3];
  g_autoptr (ModelHistory) history = two_panels (&doc, ids);
  ModelDocument *state = model_state_new (doc);
  model_history_begin (history, "x");
  model_history_remove_panel (history, ids[0]);
  ModelPanel *b = model_panel_copy (model_document_panel (doc, ids[1]));
  guint corner = model_edge_node (model_panel_edge (b, 2), 0)->id;
  model_shape_move_nodes (b, MODEL_SIDE_LEFT, &corner, 1, geom_point (3, 3));
  model_repair_put_panel (history, b);
  model_history_end (history);
  g_autofree char *changed = text_of (doc);
  guint steps = model_history_length (history);
  engine_go_back_all (history, state);
  g_assert_cmpuint (model_history_length (history), ==, steps + 1);
  g_autoptr (GArray) changes = engine_compare (state, doc);
  g_assert_cmpuint (changes->len, ==, 0);
  g_assert_cmpuint (((ModelPanel *)g_ptr_array_index (doc->panels, 0))->id, ==, ids[0]);
  g_assert_nonnull (model_document_join (doc, ids[2]));
  model_history_undo (history);
  g_autofree char *undone = text_of (doc);
  g_assert_cmpstr (undone, ==, changed);
  model_state_unref (state);
}

/* An edge split since, so that the join took both parts: going back, it has the one edge again. */
static void
test_back_panel_mends_its_join (void)
{
  ModelDocument *doc;
  guint ids[3];
  g_autoptr (ModelHistory) history = two_panels (&doc, ids);
  ModelDocument *state = model_state_new (doc);
  ModelPanel *a = model_panel_copy (model_document_panel (doc, ids[0]));
  guint joined = edge_id (a, 1);
  g_assert_cmpuint (model_shape_insert_corner (a, doc, joined, 0, 0.5), !=, 0);
  model_repair_put_panel (history, a);
  g_assert_cmpuint (model_document_join (doc, ids[2])->a.edges->len, ==, 2);
  g_assert_true (engine_go_back_panel (history, state, ids[0]));
  const ModelJoin *join = model_document_join (doc, ids[2]);
  g_assert_nonnull (join);
  g_assert_cmpuint (join->a.edges->len, ==, 1);
  g_assert_cmpuint (g_array_index (join->a.edges, guint, 0), ==, joined);
  g_assert_cmpuint (model_document_panel (doc, ids[0])->edges->len, ==, 4);
  /* Gone with its join, and brought back with it. */
  model_history_remove_panel (history, ids[0]);
  g_assert_null (model_document_join (doc, ids[2]));
  g_assert_true (engine_go_back_panel (history, state, ids[0]));
  g_assert_nonnull (model_document_join (doc, ids[2]));
  g_assert_false (engine_go_back_panel (history, state, 9999));
  model_state_unref (state);
}

static GeomPoint
where (const ModelPanel *panel, ModelSide side, guint edge)
{
  GeomPoint at = { NAN, NAN };
  model_shape_where (panel, side, model_edge_node (model_panel_edge (panel, edge), 0)->id, MODEL_HANDLE_NONE,
                     &at);
  return at;
}

/* Both sides moved by (3, 4) since; then one goes back: that one lies where it lay, the other where it lies.
 */
static void
test_back_side (void)
{
  for (int s = 0; s < 2; s++)
  {
    ModelSide side = s == 0 ? MODEL_SIDE_LEFT : MODEL_SIDE_RIGHT, other = model_side_other (side);
    ModelDocument *doc;
    guint ids[3];
    g_autoptr (ModelHistory) history = two_panels (&doc, ids);
    ModelDocument *state = model_state_new (doc);
    ModelPanel *a = model_panel_copy (model_document_panel (doc, ids[0]));
    guint corner = model_edge_node (model_panel_edge (a, 2), 0)->id;
    model_shape_move_nodes (a, MODEL_SIDE_LEFT, &corner, 1, geom_point (3, 4));
    model_repair_put_panel (history, a);
    GeomPoint kept = where (model_document_panel (doc, ids[0]), other, 2);
    g_assert_true (engine_go_back_side (history, state, ids[0], side));
    const ModelPanel *now = model_document_panel (doc, ids[0]);
    fixture_near (geom_distance (where (now, other, 2), kept), 0.0, 1e-9);
    /* (110, 60) as drawn, (-110, 60) in the mirror line x = 0 of the fixture. */
    fixture_near (geom_distance (where (now, side, 2), geom_point (s == 0 ? 110 : -110, 60)), 0.0, 1e-9);
    g_assert_true (now->own_sides);
    g_assert_cmpuint (now->corrections->len, ==, 1);
    /* The other one too: alike again, and nothing differs. */
    g_assert_true (engine_go_back_side (history, state, ids[0], other));
    g_autoptr (GArray) none = engine_compare (state, doc);
    g_assert_cmpuint (none->len, ==, 0);
    g_assert_cmpuint (model_document_panel (doc, ids[0])->corrections->len, ==, 0);
    model_state_unref (state);
  }
}

/* The shipped jerkin against itself, and against its first draft with other ids: no crash, and itself is
 * alike. */
static void
test_shipped (void)
{
  const char *names[] = { "caravan-guard.panelwright", "caravan-guard-first-draft.panelwright" };
  ModelDocument *docs[2];
  for (int i = 0; i < 2; i++)
  {
    g_autofree char *path = g_build_filename (g_getenv ("PW_SOURCE_ROOT"), "data", names[i], NULL);
    g_autoptr (GFile) file = g_file_new_for_path (path);
    docs[i] = model_document_load (file, NULL, NULL);
    g_assert_nonnull (docs[i]);
    g_autoptr (ModelDocument) copy = model_document_copy (docs[i]);
    g_autoptr (GArray) none = engine_compare (docs[i], copy);
    g_assert_cmpuint (none->len, ==, 0);
  }
  g_autoptr (GArray) changes = engine_compare (docs[1], docs[0]);
  g_autofree char *list = engine_changes_text (docs[1], "first draft", docs[0], changes);
  g_assert_cmpuint (changes->len, >, 0);
  g_assert_true (g_utf8_validate (list, -1, NULL));
  model_document_free (docs[0]);
  model_document_free (docs[1]);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_set_nonfatal_assertions ();
  g_test_add_func ("/engine/compare/edge-moved", test_edge_moved);
  g_test_add_func ("/engine/compare/lying-elsewhere", test_lying_elsewhere);
  g_test_add_func ("/engine/compare/bent-edge", test_bent_edge);
  g_test_add_func ("/engine/compare/sides", test_sides);
  g_test_add_func ("/engine/compare/joins-and-measures", test_joins_and_measures);
  g_test_add_func ("/engine/compare/back-all", test_back_all);
  g_test_add_func ("/engine/compare/back-panel-mends-its-join", test_back_panel_mends_its_join);
  g_test_add_func ("/engine/compare/back-side", test_back_side);
  g_test_add_func ("/engine/compare/shipped", test_shipped);
  return g_test_run ();
}
