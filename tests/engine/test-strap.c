/* Straps over a gap: counted, placed and cut as the arithmetic beside each row says. */
#include "fixture.h"

#include "engine/check.h"
#include "engine/remedy.h"
#include "engine/strap.h"

/* Rectangles 90 high; the mirrored pair has its gap on both sides. */
static ModelJoin *
gap_of (ModelDocument *doc, int straps, double width_mm, double gap_mm, double overlap_mm, bool pair)
{
  ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 60, 90),
             *back = fixture_rectangle (doc, "Back", 100, 0, 60, 90);
  if (pair)
  {
    fixture_mirror (front, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
    fixture_mirror (back, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  }
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_GAP, front, 1, back, 3);
  join->straps = straps;
  join->strap_width_mm = width_mm;
  join->gap_mm = gap_mm;
  join->strap_overlap_mm = overlap_mm;
  return join;
}

typedef struct Row
{
  int straps;
  double width_mm, gap_mm, overlap_mm;
  bool pair;
  double length_mm;         /* gap + overlap */
  guint total;              /* on both sides of a pair */
  bool fit;                 /* straps * width <= 90 */
  double first_mm, last_mm; /* 90 (i + 1/2) / straps */
} Row;

static const Row rows[] = {
  { 3, 20, 24, 60, false, 84, 3, true, 15, 75 },  { 3, 20, 24, 60, true, 84, 6, true, 15, 75 },
  { 1, 25, 0, 120, false, 120, 1, true, 45, 45 }, { 5, 18, 40, 0, false, 40, 5, true, 9, 81 },
  { 5, 18.5, 40, 0, false, 40, 5, false, 9, 81 }, { 100, 20, 40, 10, true, 50, 200, false, 0.45, 89.55 },
};

static void
test_rows (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    const Row *row = &rows[i];
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelJoin *join = gap_of (doc, row->straps, row->width_mm, row->gap_mm, row->overlap_mm, row->pair);
    g_autoptr (EngineReview) review = engine_review_new (doc);
    g_assert_cmpuint (engine_strap_count (join), ==, row->straps);
    g_assert_cmpuint (engine_strap_total (review, join), ==, row->total);
    fixture_near (engine_strap_length_mm (join), row->length_mm, 1e-12);
    EngineJoinReading readings[2];
    const int n = engine_review_join_readings (review, join->id, readings);
    g_assert_cmpint (n, ==, row->pair ? 2 : 1);
    for (int k = 0; k < n; k++)
    {
      g_autoptr (GArray) places = engine_strap_places (review, join, &readings[k]);
      g_assert_cmpuint (places->len, ==, row->straps);
      const EngineStrapPlace *first = &g_array_index (places, EngineStrapPlace, 0),
                             *last = &g_array_index (places, EngineStrapPlace, places->len - 1);
      fixture_near (first->a_mm, row->first_mm, 1e-9);
      fixture_near (last->a_mm, row->last_mm, 1e-9);
      if (row->fit)
      {
        fixture_near (first->b_mm, row->first_mm, 1e-9);
        fixture_near (last->b_mm, row->last_mm, 1e-9);
      }
    }
    g_assert_true (engine_straps_fit (review, join) == row->fit);
  }
}

static void
test_words (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelJoin *join = gap_of (doc, 3, 20, 40, 120, true);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autofree char *words = engine_words_straps (review, join);
  g_assert_cmpstr (words, ==, "6 straps, 20.0\u2009mm × 160.0\u2009mm");
}

/* Only a gap has straps, whatever figures an other kind of join carries. */
static void
test_only_gaps (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelJoin *join = gap_of (doc, 3, 20, 40, 120, false);
  g_autoptr (GArray) one = engine_strapped_joins (doc);
  g_assert_cmpuint (one->len, ==, 1);
  g_assert_cmpuint (g_array_index (one, guint, 0), ==, join->id);
  join->kind = MODEL_JOIN_LAPPED;
  g_autoptr (GArray) none = engine_strapped_joins (doc);
  g_assert_cmpuint (none->len, ==, 0);
  g_assert_cmpuint (engine_strap_count (join), ==, 0);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_assert_true (engine_straps_fit (review, join));
  fixture_near (engine_strap_room_mm (join, 90), 0, 0);
}

/* ---- places beside match marks, and with ease ---- */

static guint
put_mark (ModelDocument *doc, ModelPanel *panel, guint edge, double at_mm)
{
  const ModelMark mark = { .id = model_document_take_id (doc),
                           .edge_id = model_panel_edge (panel, edge)->id,
                           .at_mm = at_mm,
                           .wedges = 1 };
  g_array_append_val (panel->marks, mark);
  return mark.id;
}

typedef struct MarkRow
{
  double mark_mm; /* on run a; the second run is reversed, so its marks are measured from the run's far end */
  bool on_b;
  double wanted_mm; /* of the strap in the part 30..60 of 90, whose middle is 45 and which is 20 wide: */
  bool met;
} MarkRow;

/* A strap 20 wide needs 10 + 3 on either side of its middle clear of marks and must keep inside its part
 * 30..60: its middle inside 40..50. */
static const MarkRow mark_rows[] = {
  { 30, false, 45, false },                              /* 15 away: clear as it is */
  { 33, false, 46, false },    { 57, false, 44, false }, /* 12 away: gives way by 1 */
  { 33, true, 46, false },     { 36.5, false, 49.5, false },
  { 53.5, true, 40.5, false }, { 45, false, 45, true }, /* would have to give way by 13 */
};

static void
test_beside_marks (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (mark_rows); i++)
  {
    const MarkRow *row = &mark_rows[i];
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelJoin *join = gap_of (doc, 3, 20, 24, 60, true);
    const ModelRun *run = row->on_b ? &join->b : &join->a;
    put_mark (doc, model_document_panel (doc, run->panel_id), row->on_b ? 3 : 1,
              run->reversed ? 90 - row->mark_mm : row->mark_mm);
    g_autoptr (EngineReview) review = engine_review_new (doc);
    EngineJoinReading readings[2];
    g_assert_cmpint (engine_review_join_readings (review, join->id, readings), ==, 2);
    for (int k = 0; k < 2; k++)
    {
      g_autoptr (GArray) places = engine_strap_places (review, join, &readings[k]);
      const EngineStrapPlace *middle = &g_array_index (places, EngineStrapPlace, 1);
      fixture_near (middle->a_mm, row->wanted_mm, 1e-9);
      fixture_near (middle->b_mm, row->wanted_mm, 1e-9);
      fixture_near (g_array_index (places, EngineStrapPlace, 0).a_mm, 15, 1e-9);
      fixture_near (g_array_index (places, EngineStrapPlace, 2).a_mm, 75, 1e-9);
      g_assert_true (middle->on_mark == row->met);
    }
    g_assert_true (engine_straps_meet_marks (review, join) == row->met);
  }
}

/* Run b is 6 longer and all of it is eased in between 30 and 60 of a: what lies before is as far along on
 * both, the middle strap (45) has half of it before itself, what lies beyond has all of it. */
static void
test_with_ease (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 0, 0, 60, 90),
             *back = fixture_rectangle (doc, "Back", 100, 0, 60, 96);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_GAP, front, 1, back, 3);
  join->straps = 3;
  join->strap_width_mm = 4;
  join->ease_mm = 6;
  join->ease_from_id = put_mark (doc, front, 1, 30);
  join->ease_to_id = put_mark (doc, front, 1, 60);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  EngineJoinReading readings[2];
  g_assert_cmpint (engine_review_join_readings (review, join->id, readings), ==, 1);
  g_autoptr (GArray) places = engine_strap_places (review, join, &readings[0]);
  const double wanted[3][2] = { { 15, 15 }, { 45, 48 }, { 75, 81 } };
  for (guint i = 0; i < 3; i++)
  {
    fixture_near (g_array_index (places, EngineStrapPlace, i).a_mm, wanted[i][0], 1e-6);
    fixture_near (g_array_index (places, EngineStrapPlace, i).b_mm, wanted[i][1], 1e-6);
  }
}

/* ---- too many of them ---- */

static EngineFinding *
about_straps (EngineReview *review)
{
  const GPtrArray *findings = engine_review_findings (review);
  for (guint i = 0; i < findings->len; i++)
    if (engine_finding_is_about_straps (g_ptr_array_index (findings, i)))
      return g_ptr_array_index (findings, i);
  return NULL;
}

/* Eight straps of 20 need 160 of the 90 there are: four do (80), or eight of 11 (88). */
static void
test_crowded (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelJoin *join = gap_of (doc, 8, 20, 24, 60, true);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const EngineFinding *finding = about_straps (review);
  g_assert_nonnull (finding);
  g_assert_false (finding->holds);
  fixture_near (finding->expected, 160, 1e-9);
  fixture_near (finding->actual, 90, 1e-9);
  g_autofree char *words = engine_finding_text (review, finding);
  g_assert_cmpstr (words, ==, "8 straps side by side take 160.0\u2009mm; the gap is 90.0\u2009mm long.");
  g_autoptr (GPtrArray) remedies = engine_finding_remedies (review, finding);
  g_assert_cmpuint (remedies->len, ==, 2);
  for (guint i = 0; i < 2; i++)
  {
    const EngineRemedy *remedy = g_ptr_array_index (remedies, i);
    g_autoptr (ModelDocument) tried = engine_remedy_try (doc, remedy);
    g_autoptr (EngineReview) after = engine_review_new (tried);
    const ModelJoin *now = model_document_join (tried, join->id);
    g_assert_null (about_straps (after));
    g_assert_cmpint (now->straps, ==, i == 0 ? 4 : 8);
    fixture_near (now->strap_width_mm, i == 0 ? 20 : 11, 1e-9);
  }
  join->straps = 4;
  engine_review_touch (review, MODEL_PART_JOIN, join->id);
  g_assert_null (about_straps (review));
  g_assert_true (engine_review_holds (review));
}

/* ---- the strap as a panel ---- */

/* 24 + 60 long, 20 wide, one for each place on both sides; folded 30 from the buckle end. */
static void
test_panel (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelJoin *join = gap_of (doc, 3, 20, 24, 60, true);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (ModelPanel) panel = engine_strap_panel (review, join, geom_point (5, -7));
  g_assert_nonnull (panel);
  g_assert_cmpint (panel->quantity, ==, 6);
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (panel, &path, NULL);
  const GeomBox box = geom_path_box (&path);
  geom_path_clear (&path);
  fixture_near (box.x0, 5, 1e-12);
  fixture_near (box.y0, -7, 1e-12);
  fixture_near (box.x1 - box.x0, 84, 1e-12);
  fixture_near (box.y1 - box.y0, 20, 1e-12);
  g_assert_cmpuint (panel->marks->len, ==, 2);
  fixture_near (g_array_index (panel->marks, ModelMark, 0).at_mm, 54, 1e-12);
  fixture_near (g_array_index (panel->marks, ModelMark, 1).at_mm, 30, 1e-12);
  join->gap_mm = join->strap_overlap_mm = 0;
  g_assert_null (engine_strap_panel (review, join, geom_point (0, 0)));
  join->kind = MODEL_JOIN_FLUSH;
  g_assert_null (engine_strap_panel (review, join, geom_point (0, 0)));
}

/* A run that is gone, and figures that no file could hold. */
static void
test_hostile (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelJoin *join = gap_of (doc, 100, INFINITY, NAN, 60, true);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  EngineJoinReading readings[2];
  g_assert_cmpint (engine_review_join_readings (review, join->id, readings), ==, 2);
  g_autoptr (GArray) places = engine_strap_places (review, join, &readings[0]);
  g_assert_cmpuint (places->len, ==, 100);
  g_assert_null (engine_strap_panel (review, join, geom_point (0, 0)));
  readings[0].length_a_mm = NAN;
  g_autoptr (GArray) none = engine_strap_places (review, join, &readings[0]);
  g_assert_cmpuint (none->len, ==, 0);
  join->a.panel_id = 4711;
  engine_review_touch (review, MODEL_PART_JOIN, join->id);
  g_assert_cmpuint (engine_strap_total (review, join), ==, 0);
  g_assert_false (engine_straps_meet_marks (review, join));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_set_nonfatal_assertions ();
  g_test_add_func ("/engine/strap/rows", test_rows);
  g_test_add_func ("/engine/strap/words", test_words);
  g_test_add_func ("/engine/strap/only-gaps", test_only_gaps);
  g_test_add_func ("/engine/strap/beside-marks", test_beside_marks);
  g_test_add_func ("/engine/strap/with-ease", test_with_ease);
  g_test_add_func ("/engine/strap/crowded", test_crowded);
  g_test_add_func ("/engine/strap/panel", test_panel);
  g_test_add_func ("/engine/strap/hostile", test_hostile);
  return g_test_run ();
}
