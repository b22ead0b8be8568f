#include "engine/remedy.h"
#include "fixture.h"

/* ---- a cone cut open: what is joined is equally long because the cone says so ---- */

/* The flat shape of a cone's frustum: a piece of a ring, from the angle 0 on.  Edges: outer arc, side, inner
 * arc, side; arcs as cubics of 18 degrees at most, whose length errs by less than 1e-8 of it. */
static ModelPanel *
frustum_panel (ModelDocument *doc, const char *name, double inner, double outer, double angle)
{
  enum
  {
    PARTS = 16
  };
  GeomCubic cubic[2 * PARTS + 2];
  double step = angle / PARTS, k = 4.0 / 3.0 * tan (step / 4.0);
  for (int i = 0; i < PARTS; i++)
  {
    double a = step * i, b = a + step;
    GeomPoint from = { cos (a), sin (a) }, to = { cos (b), sin (b) };
    GeomCubic arc
      = { { from, geom_along (from, k, geom_left_of (from)), geom_along (to, -k, geom_left_of (to)), to } };
    for (int m = 0; m < 4; m++)
      cubic[i].p[m] = geom_scale (arc.p[m], outer);
  }
  GeomPoint end = { cos (angle), sin (angle) };
  cubic[PARTS] = fixture_straight (outer * end.x, outer * end.y, inner * end.x, inner * end.y);
  for (int i = 0; i < PARTS; i++)
  {
    double b = angle - step * i, a = b - step;
    GeomPoint from = { cos (b), sin (b) }, to = { cos (a), sin (a) };
    cubic[PARTS + 1 + i]
      = (GeomCubic) { { geom_scale (from, inner),
                        geom_scale (geom_along (from, -k, geom_left_of (from)), inner),
                        geom_scale (geom_along (to, k, geom_left_of (to)), inner), geom_scale (to, inner) } };
  }
  cubic[2 * PARTS + 1] = fixture_straight (inner, 0, outer, 0);
  ModelPanel *panel = fixture_panel (doc, name, cubic, 2 * PARTS + 2);
  /* The parts of an arc become one edge. */
  for (int arc = 1; arc >= 0; arc--)
  {
    guint first = arc ? PARTS + 1 : 0;
    for (int i = 1; i < PARTS; i++)
    {
      ModelNode node = *model_edge_node (model_panel_edge (panel, first + 1), 0);
      g_array_append_val (model_panel_edge (panel, first)->nodes, node);
      g_ptr_array_remove_index (panel->edges, first + 1);
    }
  }
  return panel;
}

/* Frustum of radii r1, r2 and height h: slant s = sqrt ((r2 - r1)^2 + h^2), flat radii s r1 / (r2 - r1) and s
 * r2 / (r2 - r1), turning through 2 pi (r2 - r1) / s.  Its arcs are as long as the circles they close to. The
 * last two are given by girths: turning (top - bottom) / side. */
typedef struct Frustum
{
  const char *name;
  double inner, outer, angle, top, bottom, side, area;
} Frustum;

static const Frustum frusta[] = {
  { "40, 70, height 40", 66.6666666666667, 116.666666666667, 216 * G_PI / 180, 2 * G_PI * 70, 2 * G_PI * 40,
    50, 17278.7595947439 },
  { "100, 150, height 120", 260, 390, 138.461538461538 * G_PI / 180, 2 * G_PI * 150, 2 * G_PI * 100, 130,
    102101.761241668 },
  { "45, 60, height 112", 339, 452, 47.787610619469 * G_PI / 180, 2 * G_PI * 60, 2 * G_PI * 45, 113, 0 },
  { "girths 1000 and 800, 200 apart", 800, 1000, 1, 1000, 800, 200, 0 },
  { "panel 235 and 190, 200 apart", 844.444444444444, 1044.44444444444, 0.225, 235, 190, 200, 42500 },
  { "panel 250 and 200, 200 apart", 800, 1000, 0.25, 250, 200, 200, 45000 },
};

static void
test_frusta (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (frusta); i++)
  {
    const Frustum *row = &frusta[i];
    g_test_message ("%s", row->name);
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *bracer = frustum_panel (doc, "Bracer", row->inner, row->outer, row->angle);
    GeomPoint cuff_points[] = { { 2000, 0 }, { 2000 + row->top, 0 }, { 2000 + row->top, 60 }, { 2000, 60 } };
    ModelPanel *cuff = fixture_polygon (doc, "Cuff", cuff_points, 4);
    fixture_join (doc, MODEL_JOIN_FLUSH, bracer, 1, bracer, 3);
    fixture_join (doc, MODEL_JOIN_FLUSH, bracer, 0, cuff, 2);
    fixture_join (doc, MODEL_JOIN_FLUSH, bracer, 2, cuff, 0);
    g_autoptr (EngineReview) review = engine_review_new (doc);
    const EngineFinding *sides = fixture_finding (review, "join-length", 0),
                        *top = fixture_finding (review, "join-length", 1);
    const EngineFinding *bottom = fixture_finding (review, "join-length", 2);
    g_assert_true (sides->holds);
    fixture_near (sides->expected, row->side, 1e-6);
    fixture_near (sides->difference, 0, 1e-6);
    g_assert_true (top->holds);
    fixture_near (top->expected, row->top, 1e-4);
    g_assert_false (bottom->holds);
    fixture_near (bottom->expected, row->bottom, 1e-4);
    fixture_near (bottom->difference, row->top - row->bottom, 1e-4);
    if (row->area > 0)
      fixture_near (engine_review_piece (review, bracer->id, MODEL_SIDE_CENTRE)->area_mm2, row->area,
                    row->area * 1e-6);
  }
}

/* ---- curves of rational length ---- */

static ModelDocument *
curve_document (ModelJoin **join)
{
  GeomCubic with_a[] = { fixture_curve_a, fixture_straight (0, 66, -80, 66),
                         fixture_straight (-80, 66, -80, 0), fixture_straight (-80, 0, 0, 0) };
  GeomCubic with_b[] = { fixture_curve_b, fixture_straight (72, 48, 0, 48), fixture_straight (0, 48, 0, 0) };
  ModelDocument *doc = model_document_new ();
  ModelPanel *front = fixture_panel (doc, "Front", with_a, 4), *side = fixture_panel (doc, "Side", with_b, 3);
  *join = fixture_join (doc, MODEL_JOIN_FLUSH, front, 0, side, 0);
  return doc;
}

typedef struct EaseRow
{
  double ease, tolerance, difference;
  bool holds;
  const char *text;
} EaseRow;

/* A: 78, B: 96. */
static const EaseRow ease_rows[] = {
  { 0, 1, 18, false, "Side is 18.0\u2009mm longer than Front." },
  { 18, 1, 0, true, "Side is longer than Front by the ease of 18.0\u2009mm." },
  { 17.5, 1, 0.5, true, "Side is longer than Front by the ease of 17.5\u2009mm." },
  { 10, 1, 8, false, "Side is 8.0\u2009mm longer than Front and its ease of 10.0\u2009mm." },
  { 25, 1, -7, false, "Front and its ease of 25.0\u2009mm are 7.0\u2009mm longer than Side." },
  { -4, 1, 22, false, "Side and its ease of 4.0\u2009mm are 22.0\u2009mm longer than Front." },
  { 0, 18.001, 18, true, "Front and Side are equally long." },
  { 0, 17.999, 18, false, "Side is 18.0\u2009mm longer than Front." },
};

static void
test_ease (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (ease_rows); i++)
  {
    const EaseRow *row = &ease_rows[i];
    ModelJoin *join;
    g_autoptr (ModelDocument) doc = curve_document (&join);
    join->ease_mm = row->ease;
    join->tolerance_mm = row->tolerance;
    g_autoptr (EngineReview) review = engine_review_new (doc);
    const EngineFinding *finding = fixture_finding (review, "join-length", 0);
    g_autofree char *text = engine_finding_text (review, finding);
    fixture_near (finding->expected, 78 + row->ease, 1e-6);
    fixture_near (finding->actual, 96, 1e-6);
    fixture_near (finding->difference, row->difference, 1e-6);
    g_assert_cmpint (finding->holds, ==, row->holds);
    g_assert_cmpstr (text, ==, row->text);
    g_assert_null (fixture_finding (review, "join-length", 1));
  }
}

/* ---- both sides ---- */

static void
test_sides_apart (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 10, 0, 50, 100),
             *side = fixture_rectangle (doc, "Side", 100, 0, 50, 100);
  fixture_mirror (front, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  fixture_mirror (side, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  fixture_correct (side, 3, 0, 4);
  fixture_join (doc, MODEL_JOIN_FLUSH, front, 1, side, 3);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const EngineFinding *left = fixture_finding (review, "join-length", 0),
                      *right = fixture_finding (review, "join-length", 1);
  g_assert_true (left->has_side && right->has_side);
  g_assert_cmpint (left->side, ==, MODEL_SIDE_LEFT);
  g_assert_cmpint (right->side, ==, MODEL_SIDE_RIGHT);
  g_assert_true (left->holds);
  fixture_near (right->difference, 4, 1e-9);
  g_autofree char *text = engine_finding_text (review, right);
  g_assert_cmpstr (text, ==, "On the wearer’s right: Side is 4.0\u2009mm longer than Front.");
}

static void
test_over_the_middle (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *back = fixture_rectangle (doc, "Back", 10, 0, 50, 100);
  fixture_mirror (back, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  fixture_join (doc, MODEL_JOIN_STITCHED, back, 3, back, 3);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autofree char *alike = engine_finding_text (review, fixture_finding (review, "join-length", 0));
  g_assert_true (fixture_finding (review, "join-length", 0)->holds);
  g_assert_cmpstr (alike, ==, "On Back, the edge d is equally long on both sides.");
  g_assert_null (fixture_finding (review, "join-length", 1));
  fixture_correct (back, 3, 0, 5);
  engine_review_touch (review, MODEL_PART_PANEL, back->id);
  const EngineFinding *finding = fixture_finding (review, "join-length", 0);
  g_assert_false (finding->holds);
  g_assert_true (finding->has_side);
  g_assert_cmpint (finding->side, ==, MODEL_SIDE_CENTRE);
  g_autofree char *text = engine_finding_text (review, finding);
  g_assert_cmpstr (text, ==,
                   "On Back, the edge d is 5.0\u2009mm longer on the wearer’s right than on the left.");
}

/* ---- remedies ---- */

/* Taken, a remedy makes its finding hold, and nothing else fails. */
static void
assert_settles (ModelDocument *doc, const EngineRemedy *remedy)
{
  g_autoptr (ModelDocument) after = engine_remedy_try (doc, remedy);
  g_autoptr (EngineReview) review = engine_review_new (after);
  g_assert_true (engine_review_holds (review));
}

static void
test_remedies (void)
{
  ModelJoin *join;
  g_autoptr (ModelDocument) doc = curve_document (&join);
  join->ease_mm = 12;
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const EngineFinding *finding = fixture_finding (review, "join-length", 0);
  g_autoptr (GPtrArray) remedies = engine_finding_remedies (review, finding);
  /* Front is 6 mm too short, Side as much too long. */
  static const char *const wanted[]
    = { "Slide the edge c end of Side by ", "Slide the edge b end of Front by ",
        "Half each, 3.0\u2009mm and 3.0\u2009mm", "Ease in 6.0\u2009mm, on purpose",
        "Take 6.0\u2009mm out of Side in a dart" };
  g_assert_cmpuint (remedies->len, ==, G_N_ELEMENTS (wanted));
  for (guint i = 0; i < remedies->len; i++)
    g_assert_true (g_str_has_prefix (((EngineRemedy *)g_ptr_array_index (remedies, i))->text, wanted[i]));
  for (guint i = 0; i < remedies->len; i++)
    assert_settles (doc, g_ptr_array_index (remedies, i));
}

/* Where the neighbour's join would break, no slide is offered; where an edge is locked neither. */
static void
test_remedies_break_nothing (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 50, 100),
             *side = fixture_rectangle (doc, "Side", 100, 0, 50, 106);
  ModelPanel *hem = fixture_rectangle (doc, "Hem", 200, 0, 50, 30),
             *yoke = fixture_rectangle (doc, "Yoke", 300, 0, 50, 30);
  fixture_join (doc, MODEL_JOIN_FLUSH, front, 1, side, 3);
  fixture_join (doc, MODEL_JOIN_FLUSH, side, 0, hem, 2);
  fixture_join (doc, MODEL_JOIN_FLUSH, side, 2, yoke, 0);
  for (guint i = 0; i < front->edges->len; i++)
    model_panel_edge (front, i)->locked = true;
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const EngineFinding *finding = fixture_finding (review, "join-length", 0);
  fixture_near (finding->difference, 6, 1e-9);
  g_autoptr (GPtrArray) remedies = engine_finding_remedies (review, finding);
  for (guint i = 0; i < remedies->len; i++)
  {
    g_autoptr (ModelDocument) after = engine_remedy_try (doc, g_ptr_array_index (remedies, i));
    g_autoptr (EngineReview) trial = engine_review_new (after);
    g_assert_true (engine_review_holds (trial));
  }
  g_assert_cmpuint (remedies->len, >=, 1);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/check-join-length/frusta", test_frusta);
  g_test_add_func ("/engine/check-join-length/ease", test_ease);
  g_test_add_func ("/engine/check-join-length/sides-apart", test_sides_apart);
  g_test_add_func ("/engine/check-join-length/over-the-middle", test_over_the_middle);
  g_test_add_func ("/engine/check-join-length/remedies", test_remedies);
  g_test_add_func ("/engine/check-join-length/remedies-break-nothing", test_remedies_break_nothing);
  return g_test_run ();
}
