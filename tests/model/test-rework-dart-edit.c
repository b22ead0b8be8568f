/* Darts changed, taken away and read.  Figures are plane trigonometry on a rectangle of 300 by 200. */
#include "rework-fixture.h"

static const GeomPoint square[] = { { 0, 0 }, { 300, 0 }, { 300, 200 }, { 0, 200 } };

static double
rad (double deg)
{
  return deg * (G_PI / 180.0);
}

static guint
put_dart (ModelHistory *history, guint id, double intake_mm, guint *leg)
{
  const ModelPanel *panel = model_document_panel (model_history_document (history), id);
  ModelReworkDart dart
    = { .at = { fixture_edge_id (panel, "0"), 0, 0.5 }, .apex = { 150, 120 }, .intake_mm = intake_mm };
  ModelReworkMade made = { 0 };
  guint join;

  g_assert_true (model_rework_add_dart (history, id, dart, &made, NULL));
  *leg = made.edge_id;
  join = made.join_id;
  model_rework_made_clear (&made);
  return join;
}

/* M: the mouth is what was asked for, mouth = 2 l sin (angle / 2); legs, apex and join stay what they were.
 */
static void
test_intake (void)
{
  static const double intakes[] = { 10.0, 24.0, 40.0, 60.0 };

  for (gsize i = 0; i < G_N_ELEMENTS (intakes); i++)
  {
    g_autoptr (ModelHistory) history = rework_fixture (MODEL_HALVES_SINGLE, false);
    ModelDocument *doc = model_history_document (history);
    guint id = rework_polygon (history, "Square", square, 4), leg, join = put_dart (history, id, 24.0, &leg),
          edges;
    g_autofree char *before = NULL;
    ModelReworkDart dart, now;
    const ModelPanel *panel = model_document_panel (doc, id);
    GeomPoint a, b;

    edges = panel->edges->len;
    before = rework_bytes (history);
    g_assert_true (model_rework_read_dart (panel, leg, &dart));
    g_assert_cmpfloat (fabs (dart.intake_mm - 24.0), <=, 1e-8);
    dart.intake_mm = intakes[i];
    dart.intake_deg = 0.0;
    g_assert_true (model_rework_set_dart (history, id, leg, dart, NULL));
    panel = model_document_panel (doc, id);
    g_assert_cmpuint (panel->edges->len, ==, edges);
    g_assert_nonnull (model_document_join (doc, join));
    g_assert_true (model_rework_dart_is_joined (doc, id, leg));
    g_assert_true (model_rework_read_dart (panel, leg, &now));
    g_assert_cmpfloat (fabs (now.intake_mm - intakes[i]), <=, 1e-8);
    g_assert_cmpfloat (geom_distance (now.apex, geom_point (150, 120)), <=, 1e-9);
    a = model_edge_node (model_panel_edge (panel, (guint)model_panel_find_edge (panel, leg)), 0)->at;
    b = now.apex;
    g_assert_cmpfloat (fabs (2.0 * geom_distance (a, b) * sin (rad (now.intake_deg) / 2.0) - intakes[i]), <=,
                       1e-8);
    /* Square to the edge: the mouth's middle stays below the apex. */
    g_assert_cmpfloat (fabs (a.x - (150.0 - intakes[i] / 2.0)), <=, 1e-6);
    rework_check (history);
    rework_check_undo (history, before);
  }
}

/* What the edge's inner angles on both sides of the mouth are short of half a turn, degrees: sewn together,
 * the edge runs on smoothly if it is nothing. */
static double
kink_deg (const ModelPanel *panel, guint leg_1, bool twin)
{
  GeomPath path = { 0 };
  g_autofree size_t *first = g_new0 (size_t, panel->edges->len + 1);
  guint e = (guint)model_panel_find_edge (panel, leg_1);
  double sum = 0.0;

  if (twin)
    model_panel_twin_path (panel, &path, first);
  else
    model_panel_path (panel, &path, first);
  for (guint i = 0; i < 2; i++)
  {
    size_t next = first[(e + 2 * i) % panel->edges->len], last = (next + path.count - 1) % path.count;
    GeomPoint in = geom_cubic_tangent (&path.piece[last], 1.0),
              out = geom_cubic_tangent (&path.piece[next], 0.0);
    /* The twin is the mirror image: it turns the other way. */
    sum += (180.0 - (twin ? -1.0 : 1.0) * atan2 (geom_cross (in, out), geom_dot (in, out)) * (180.0 / G_PI));
  }
  geom_path_clear (&path);
  return sum - 180.0;
}

/* M: an angle asked for is the angle got, whatever the legs; a bulge bends both alike. */
static void
test_angle_and_bulge (void)
{
  g_autoptr (ModelHistory) history = rework_fixture (MODEL_HALVES_SINGLE, false);
  ModelDocument *doc = model_history_document (history);
  guint id = rework_polygon (history, "Square", square, 4), leg, legs[2];
  ModelReworkDart dart, now;

  put_dart (history, id, 24.0, &leg);
  g_assert_true (model_rework_read_dart (model_document_panel (doc, id), leg, &dart));
  dart.intake_mm = 0.0;
  dart.intake_deg = 17.0;
  dart.bulge_mm = 2.5;
  g_assert_true (model_rework_set_dart (history, id, leg, dart, NULL));
  g_assert_true (model_rework_read_dart (model_document_panel (doc, id), leg, &now));
  g_assert_cmpfloat (fabs (now.intake_deg - 17.0), <=, 1e-8);
  g_assert_cmpfloat (fabs (now.bulge_mm - 2.5), <=, 1e-8);
  g_assert_true (model_rework_find_dart (model_document_panel (doc, id), leg, &legs[0], &legs[1], NULL));
  g_assert_cmpfloat (fabs (kink_deg (model_document_panel (doc, id), legs[0], false)), <=, 1e-6);
  g_assert_cmpfloat (fabs (fixture_edge_length (model_document_panel (doc, id), legs[0], false)
                           - fixture_edge_length (model_document_panel (doc, id), legs[1], false)),
                     <=, 1e-8);
  rework_check (history);
}

/* Where P lies along the chord from A to B: parts of its length along it and beside it. */
static GeomPoint
along (GeomPoint p, GeomPoint a, GeomPoint b)
{
  GeomPoint way = geom_unit (geom_sub (b, a)), q = geom_sub (p, a);
  double length = geom_distance (a, b);

  return geom_point (geom_dot (way, q) / length, geom_cross (way, q) / length);
}

/* Legs that were drawn with points of their own keep them: along its chord a leg is what it was, and both
 * stay equally long.  With another bend, or moved about the apex, they are one piece and their marks still
 * meet. */
static void
test_drawn_legs (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (rework_kinds); k++)
  {
    g_autoptr (ModelHistory) history = rework_fixture (rework_kinds[k].halves, rework_kinds[k].own);
    ModelDocument *doc = model_history_document (history);
    guint id = rework_panel_named (history, "Front")->id, legs[2];
    ModelReworkDart dart = { .at = { fixture_edge_id (model_document_panel (doc, id), "side"), 0, 0.6 },
                             .apex = { 100, 95 },
                             .intake_mm = 18.0,
                             .bulge_mm = 1.5 },
                    now;
    ModelReworkMade made = { 0 };
    GeomPoint was[2];

    g_assert_true (model_rework_add_dart (history, id, dart, &made, NULL));
    g_assert_true (
      model_rework_find_dart (model_document_panel (doc, id), made.edge_id, &legs[0], &legs[1], NULL));
    ModelPanel *panel = model_panel_copy (model_document_panel (doc, id));
    /* Mirror images of each other: at 0.3 from the mouth and at 0.3 from it. */
    model_shape_insert_node (panel, doc, legs[0], 0, 0.3);
    model_shape_insert_node (panel, doc, legs[1], 0, 0.7);
    model_history_put_panel (history, panel);
    for (int i = 0; i < 2; i++)
    {
      const ModelPanel *p = model_document_panel (doc, id);
      guint e = (guint)model_panel_find_edge (p, legs[i]);
      was[i] = along (model_edge_node (model_panel_edge (p, e), 1)->at,
                      model_edge_node (model_panel_edge (p, e), 0)->at, model_panel_next_node (p, e, 1)->at);
    }
    g_assert_true (model_rework_read_dart (model_document_panel (doc, id), legs[0], &dart));
    g_assert_cmpfloat (fabs (dart.bulge_mm - 1.5), <=, 1e-3);
    g_autofree char *before = rework_bytes (history);
    dart.intake_mm = 11.0;
    g_autoptr (GError) error = NULL;
    model_rework_set_dart (history, id, legs[0], dart, &error);
    g_assert_no_error (error);
    rework_check (history);
    const ModelPanel *p = model_document_panel (doc, id);
    g_assert_true (model_rework_read_dart (p, legs[0], &now));
    g_assert_cmpfloat (fabs (now.intake_mm - 11.0), <=, 1e-8);
    for (int i = 0; i < 2; i++)
    {
      guint e = (guint)model_panel_find_edge (p, legs[i]);
      g_assert_cmpuint (model_panel_edge (p, e)->nodes->len, ==, 2);
      GeomPoint is
        = along (model_edge_node (model_panel_edge (p, e), 1)->at,
                 model_edge_node (model_panel_edge (p, e), 0)->at, model_panel_next_node (p, e, 1)->at);
      g_assert_cmpfloat (geom_distance (is, was[i]), <=, 1e-9);
    }
    for (int twin = 0; twin < (rework_kinds[k].own ? 2 : 1); twin++)
    {
      g_assert_cmpfloat (
        fabs (fixture_edge_length (p, legs[0], twin) - fixture_edge_length (p, legs[1], twin)), <=, 1e-6);
      g_assert_cmpfloat (fabs (kink_deg (p, legs[0], twin)), <=, 1e-6);
    }
    rework_check_undo (history, before);

    guint marks = model_document_panel (doc, id)->marks->len;
    dart.bulge_mm = 3.0;
    model_rework_set_dart (history, id, legs[0], dart, &error);
    g_assert_no_error (error);
    rework_check (history);
    p = model_document_panel (doc, id);
    g_assert_cmpuint (model_panel_edge (p, (guint)model_panel_find_edge (p, legs[0]))->nodes->len, ==, 1);
    g_assert_cmpuint (p->marks->len, ==, marks);
    g_assert_cmpfloat (fabs (kink_deg (p, legs[0], false)), <=, 1e-6);
    model_history_undo (history);
    model_rework_made_clear (&made);

    ModelReworkPlace to = { fixture_edge_id (model_document_panel (doc, id), "hem"), 0, 0.5 };
    g_assert_true (model_rework_read_dart (model_document_panel (doc, id), legs[0], &now));
    double deg = now.intake_deg;
    g_assert_true (model_rework_move_dart (history, id, legs[0], to, 1.0, &made, NULL));
    rework_check (history);
    p = model_document_panel (doc, id);
    g_assert_cmpuint (p->marks->len, ==, marks);
    g_assert_true (model_rework_read_dart (p, legs[0], &now));
    g_assert_cmpfloat (fabs (now.intake_deg - deg), <=, 1e-8);
    model_rework_made_clear (&made);
  }
}

/* A dart put into a straight edge and taken out again leaves the rectangle: 300 by 200. */
static void
test_remove (void)
{
  g_autoptr (ModelHistory) history = rework_fixture (MODEL_HALVES_SINGLE, false);
  ModelDocument *doc = model_history_document (history);
  guint id = rework_polygon (history, "Square", square, 4), leg, join, joins = doc->joins->len;
  g_autofree char *before = NULL;
  const ModelPanel *panel;

  join = put_dart (history, id, 30.0, &leg);
  before = rework_bytes (history);
  g_assert_true (model_rework_remove_dart (history, id, leg, NULL));
  panel = model_document_panel (doc, id);
  g_assert_cmpuint (panel->edges->len, ==, 4);
  g_assert_cmpuint (panel->marks->len, ==, 0);
  g_assert_null (model_document_join (doc, join));
  g_assert_cmpuint (doc->joins->len, ==, joins);
  g_assert_cmpfloat (fabs (rework_area (panel, false) - 60000.0), <=, 1e-6);
  g_assert_cmpfloat (fabs (fixture_edge_length (panel, fixture_edge_id (panel, "0"), false) - 300.0), <=,
                     1e-8);
  rework_check (history);
  rework_check_undo (history, before);
}

/* On every kind of panel, where the edge is joined: both sides come along and what refers to it stays sound.
 */
static void
test_kinds (void)
{
  for (gsize k = 0; k < G_N_ELEMENTS (rework_kinds); k++)
  {
    g_autoptr (ModelHistory) history = rework_fixture (rework_kinds[k].halves, rework_kinds[k].own);
    ModelDocument *doc = model_history_document (history);
    guint id = rework_panel_named (history, "Front")->id, edges;
    ModelReworkMade made = { 0 };
    ModelReworkDart dart = { .at = { fixture_edge_id (model_document_panel (doc, id), "side"), 0, 0.6 },
                             .apex = { 100, 200 },
                             .intake_mm = 18.0 },
                    now;

    g_assert_true (model_rework_add_dart (history, id, dart, &made, NULL));
    edges = model_document_panel (doc, id)->edges->len;
    g_assert_true (model_rework_read_dart (model_document_panel (doc, id), made.edge_id, &dart));
    dart.intake_mm = 11.0;
    g_assert_true (model_rework_set_dart (history, id, made.edge_id, dart, NULL));
    rework_check (history);
    g_assert_true (model_rework_read_dart (model_document_panel (doc, id), made.edge_id, &now));
    g_assert_cmpfloat (fabs (now.intake_mm - 11.0), <=, 1e-8);
    g_assert_true (model_rework_remove_dart (history, id, made.edge_id, NULL));
    rework_check (history);
    /* The side's join was divided at the dart, so its two edges stay. */
    g_assert_cmpuint (model_document_panel (doc, id)->edges->len, ==, edges - 2);
    model_rework_made_clear (&made);
  }
}

static void
test_refused (void)
{
  g_autoptr (ModelHistory) history = rework_fixture (MODEL_HALVES_SINGLE, false);
  ModelDocument *doc = model_history_document (history);
  guint id = rework_polygon (history, "Square", square, 4), leg;
  g_autofree char *before = NULL, *after = NULL;
  ModelReworkDart dart;
  g_autoptr (GError) error = NULL;

  g_assert_false (
    model_rework_remove_dart (history, id, fixture_edge_id (model_document_panel (doc, id), "2"), &error));
  g_assert_error (error, MODEL_REWORK_ERROR, MODEL_REWORK_ERROR_PLACE);
  put_dart (history, id, 24.0, &leg);
  before = rework_bytes (history);
  g_assert_true (model_rework_read_dart (model_document_panel (doc, id), leg, &dart));
  dart.intake_mm = NAN;
  g_assert_false (model_rework_set_dart (history, id, leg, dart, NULL));
  dart.intake_mm = 900.0;
  g_assert_false (model_rework_set_dart (history, id, leg, dart, NULL));
  dart.intake_mm = 20.0;
  dart.apex = geom_point (INFINITY, 0.0);
  g_assert_false (model_rework_set_dart (history, id, leg, dart, NULL));
  after = rework_bytes (history);
  g_assert_cmpstr (after, ==, before);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/rework-dart-edit/intake", test_intake);
  g_test_add_func ("/model/rework-dart-edit/angle-and-bulge", test_angle_and_bulge);
  g_test_add_func ("/model/rework-dart-edit/drawn-legs", test_drawn_legs);
  g_test_add_func ("/model/rework-dart-edit/taken-away", test_remove);
  g_test_add_func ("/model/rework-dart-edit/every-kind-of-panel", test_kinds);
  g_test_add_func ("/model/rework-dart-edit/refused", test_refused);
  return g_test_run ();
}
