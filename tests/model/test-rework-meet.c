/* Ends of a join that do not meet.  Corners wanted: the old ones plus half of what is missing along the
 * neighbouring edge's direction, worked out by hand on outlines of straight edges. */
#include "model/rework-meet.h"

#include "rework-fixture.h"

/* Edge 2, from (100, 200) to (20, 230), is the shoulder; the arm's edge comes up straight to (100, 200), the
 * neck's leaves (20, 230) along (-3, -4) / 5. */
static const GeomPoint front[]
  = { { 0, 0 }, { 100, 0 }, { 100, 200 }, { 20, 230 }, { -10, 190 }, { 0, 100 } };
/* Edge 0, from (500, 300) to (600, 300); its neighbours are square to it. */
static const GeomPoint back[] = { { 500, 300 }, { 600, 300 }, { 600, 500 }, { 500, 500 } };

static guint
put_join (ModelHistory *history, guint a, guint b)
{
  ModelDocument *doc = model_history_document (history);
  ModelJoin *join = model_join_new ();
  guint edge_a = fixture_edge_id (model_document_panel (doc, a), "2"),
        edge_b = fixture_edge_id (model_document_panel (doc, b), "0");

  g_free (join->letter);
  join->letter = model_document_free_letter (doc);
  join->a.panel_id = a;
  join->b.panel_id = b;
  join->b.reversed = true;
  g_array_append_val (join->a.edges, edge_a);
  g_array_append_val (join->b.edges, edge_b);
  return model_history_put_join (history, join);
}

static void
make_pair (ModelHistory *history, guint id)
{
  ModelPanel *panel = model_panel_copy (model_document_panel (model_history_document (history), id));

  panel->halves = MODEL_HALVES_PAIR;
  panel->side = MODEL_SIDE_LEFT;
  panel->mirror_x_mm = -200.0;
  model_history_put_panel (history, panel);
}

static GeomPoint
corner (ModelHistory *history, guint id, guint edge, bool twin)
{
  const ModelPanel *panel = model_document_panel (model_history_document (history), id);
  GeomPath path = { 0 };
  g_autofree size_t *first = g_new (size_t, panel->edges->len);
  GeomPoint at;

  (twin ? model_panel_twin_path : model_panel_path) (panel, &path, first);
  at = path.piece[first[edge]].p[0];
  geom_path_clear (&path);
  return at;
}

static void
assert_at (GeomPoint at, double x, double y)
{
  g_assert_cmpfloat (geom_distance (at, geom_point (x, y)), <=, 1e-9);
}

/* Begin is the arm of the front (edge 2 starts there) and, the run being reversed, the end (600, 300) of the
 * back's edge. */
static void
test_alike (void)
{
  g_autoptr (ModelHistory) history = rework_fixture (MODEL_HALVES_SINGLE, false);
  guint a = rework_polygon (history, "A", front, 6), b = rework_polygon (history, "B", back, 4),
        join = put_join (history, a, b);
  g_autofree char *before = NULL;
  ModelReworkMissing missing = { 6.0, 10.0 };

  make_pair (history, a);
  before = rework_bytes (history);
  g_assert_true (model_rework_meet_ends (history, join, missing, missing, NULL));
  assert_at (corner (history, a, 2, false), 100.0, 203.0);
  /* 5 mm against (-3, -4) / 5. */
  assert_at (corner (history, a, 3, false), 23.0, 234.0);
  assert_at (corner (history, a, 1, false), 100.0, 0.0);
  assert_at (corner (history, a, 4, false), -10.0, 190.0);
  assert_at (corner (history, b, 1, false), 600.0, 297.0);
  assert_at (corner (history, b, 0, false), 500.0, 295.0);
  g_assert_false (model_document_panel (model_history_document (history), a)->own_sides);
  /* The mirror is x = -200. */
  assert_at (corner (history, a, 2, true), -500.0, 203.0);
  rework_check (history);
  rework_check_undo (history, before);
}

/* Each side by its own: the other side's difference is a correction. */
static void
test_own_amounts (void)
{
  g_autoptr (ModelHistory) history = rework_fixture (MODEL_HALVES_SINGLE, false);
  guint a = rework_polygon (history, "A", front, 6), b = rework_polygon (history, "B", back, 4),
        join = put_join (history, a, b);
  g_autofree char *before = NULL;
  ModelReworkMissing left = { 6.0, 10.0 }, right = { 2.0, 0.0 };
  const ModelPanel *panel;

  make_pair (history, a);
  make_pair (history, b);
  before = rework_bytes (history);
  g_assert_true (model_rework_meet_ends (history, join, left, right, NULL));
  panel = model_document_panel (model_history_document (history), a);
  g_assert_true (panel->own_sides);
  g_assert_cmpuint (panel->corrections->len, ==, 2);
  assert_at (corner (history, a, 2, false), 100.0, 203.0);
  assert_at (corner (history, a, 3, false), 23.0, 234.0);
  assert_at (corner (history, a, 2, true), -500.0, 201.0);
  assert_at (corner (history, a, 3, true), -420.0, 230.0);
  assert_at (corner (history, b, 1, false), 600.0, 297.0);
  assert_at (corner (history, b, 1, true), -1000.0, 299.0);
  assert_at (corner (history, b, 0, true), -900.0, 300.0);
  rework_check (history);
  rework_check_undo (history, before);
}

/* On edges that bend the neighbours keep their directions at the ends, whatever kind of panel. */
static void
test_kinds (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (rework_kinds); k++)
  {
    g_autoptr (ModelHistory) history = rework_fixture (rework_kinds[k].halves, rework_kinds[k].own);
    ModelDocument *doc = model_history_document (history);
    const ModelJoin *join = g_ptr_array_index (doc->joins, 0);
    g_autofree char *before = rework_bytes (history);
    ModelReworkMissing missing = { 3.0, 5.0 };
    g_autoptr (GError) error = NULL;

    g_assert_true (model_rework_meet_ends (history, join->id, missing, missing, &error));
    g_assert_no_error (error);
    rework_check (history);
    rework_check_undo (history, before);
  }
}

static void
test_refused (void)
{
  g_autoptr (ModelHistory) history = rework_fixture (MODEL_HALVES_SINGLE, false);
  guint a = rework_polygon (history, "A", front, 6), b = rework_polygon (history, "B", back, 4),
        join = put_join (history, a, b);
  g_autofree char *before = rework_bytes (history), *after = NULL;
  ModelReworkMissing some = { 4.0, 4.0 }, other = { 5.0, 4.0 }, wrong = { NAN, 1.0 },
                     far = { -300.0, -100.0 };
  g_autoptr (GError) error = NULL;

  g_assert_false (model_rework_meet_ends (history, 9999, some, some, &error));
  g_assert_error (error, MODEL_REWORK_ERROR, MODEL_REWORK_ERROR_PLACE);
  /* Single panels in the middle have one shape: it cannot be two. */
  g_assert_false (model_rework_meet_ends (history, join, some, other, NULL));
  g_assert_false (model_rework_meet_ends (history, join, wrong, wrong, NULL));
  g_assert_false (model_rework_meet_ends (history, join, far, far, NULL));
  after = rework_bytes (history);
  g_assert_cmpstr (after, ==, before);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/rework-meet/both-sides-alike", test_alike);
  g_test_add_func ("/model/rework-meet/each-side-its-own", test_own_amounts);
  g_test_add_func ("/model/rework-meet/every-kind-of-panel", test_kinds);
  g_test_add_func ("/model/rework-meet/refused", test_refused);
  return g_test_run ();
}
