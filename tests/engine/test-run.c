/* Runs that are not just whole edges: parts from mark to mark, closed darts, one edge to several, a panel
 * joined to itself and to its twin, rings of panels; and where the ease lies.  Expected figures are worked
 * out beside the rows: lengths of straight edges, and the golden curves of fixture.h with rational lengths.
 */
#include "engine/run.h"

#include "engine/remedy.h"
#include "engine/words.h"
#include "fixture.h"
#include "model/file.h"
#include "model/history.h"
#include "model/run.h"

static guint
add_mark (ModelDocument *doc, ModelPanel *panel, guint edge, double at_mm)
{
  ModelMark mark = { model_document_take_id (doc), model_panel_edge (panel, edge)->id, at_mm, 1 };
  g_array_append_val (panel->marks, mark);
  return mark.id;
}

static EngineJoinReading
only_reading (EngineReview *review, const ModelJoin *join)
{
  EngineJoinReading readings[2];
  g_assert_cmpint (engine_review_join_readings (review, join->id, readings), ==, 1);
  return readings[0];
}

/* ---- one long edge to several short ones ---- */

/* Long's right edge runs up 300; against it stand three panels of 100, 110 and 90, the second 4 too long: the
 * edge is divided at 100 and 206. */
typedef struct Long
{
  ModelDocument *doc;
  ModelPanel *whole, *part[3];
  ModelJoin *join[3];
  guint mark[2];
} Long;

static Long
long_edge (void)
{
  Long l = { .doc = model_document_new () };
  static const double heights[] = { 100, 110, 94 };
  l.whole = fixture_rectangle (l.doc, "Long", 0, 0, 50, 300);
  l.mark[0] = add_mark (l.doc, l.whole, 1, 100);
  l.mark[1] = add_mark (l.doc, l.whole, 1, 206);
  for (int i = 0; i < 3; i++)
  {
    g_autofree char *name = g_strdup_printf ("Short %d", i + 1);
    l.part[i] = fixture_rectangle (l.doc, name, 100 + 80 * i, 0, 50, heights[i]);
    l.join[i] = fixture_join (l.doc, MODEL_JOIN_FLUSH, l.whole, 1, l.part[i], 3);
    l.join[i]->a.from_mark_id = i > 0 ? l.mark[i - 1] : 0;
    l.join[i]->a.to_mark_id = i < 2 ? l.mark[i] : 0;
  }
  return l;
}

static void
test_long_edge (void)
{
  Long l = long_edge ();
  g_autoptr (ModelDocument) doc = l.doc;
  g_autoptr (EngineReview) review = engine_review_new (doc);
  /* 100; 206 - 100; 300 - 206. */
  static const double parts[] = { 100, 106, 94 }, off[] = { 0, 4, 0 };
  for (int i = 0; i < 3; i++)
  {
    EngineJoinReading reading = only_reading (review, l.join[i]);
    fixture_near (reading.length_a_mm, parts[i], 1e-9);
    fixture_near (reading.difference_mm, off[i], 1e-9);
  }
  GeomPoint p;
  g_assert_true (engine_review_run_point (review, &l.join[1]->a, MODEL_SIDE_CENTRE, false, &p));
  fixture_near (geom_distance (p, geom_point (50, 100)), 0, 1e-9);
  g_assert_true (engine_review_run_point (review, &l.join[1]->a, MODEL_SIDE_CENTRE, true, &p));
  fixture_near (geom_distance (p, geom_point (50, 206)), 0, 1e-9);
  GeomPath path;
  geom_path_init (&path);
  g_assert_true (engine_review_run_path (review, &l.join[2]->a, MODEL_SIDE_CENTRE, &path));
  fixture_near (geom_path_length (&path, 1e-9), 94, 1e-7);
  fixture_near (geom_distance (path.piece[0].p[0], geom_point (50, 206)), 0, 1e-7);
  geom_path_clear (&path);
  g_autofree char *words = engine_words_run (doc, &l.join[0]->a);
  g_assert_cmpstr (words, ==, "part of edge b");
  /* A mark is no corner: nothing runs on smoothly or not there. */
  for (guint i = 0;; i++)
  {
    const EngineFinding *finding = fixture_finding (review, "join-truth", i);
    if (!finding)
      break;
    g_assert_cmpuint (finding->join_id, !=, l.join[1]->id);
  }
}

/* Each remedy settles its finding, keeps the joins of the other parts, and moves nothing that is locked. */
static void
test_long_edge_settled (void)
{
  Long l = long_edge ();
  g_autoptr (ModelDocument) doc = l.doc;
  g_autoptr (EngineReview) review = engine_review_new (doc);
  const EngineFinding *finding = fixture_finding (review, "join-length", 1);
  g_assert_false (finding->holds);
  g_autoptr (GPtrArray) remedies = engine_finding_remedies (review, finding);
  g_assert_cmpuint (remedies->len, >=, 3);
  for (guint i = 0; i < remedies->len; i++)
  {
    const EngineRemedy *remedy = g_ptr_array_index (remedies, i);
    g_autoptr (ModelDocument) after = engine_remedy_try (doc, remedy);
    g_autoptr (EngineReview) then = engine_review_new (after);
    /* A dart's mouth is redrawn as a smooth curve, which is not quite as long as the edge was there. */
    const double near = g_str_has_prefix (remedy->text, "Take ") ? 0.05 : 1e-6;
    for (int k = 0; k < 3; k++)
      fixture_near (only_reading (then, l.join[k]).difference_mm, 0, near);
  }
  l.part[1]->locked = true;
  engine_review_touch_all (review);
  g_autoptr (GPtrArray) fewer = engine_finding_remedies (review, fixture_finding (review, "join-length", 1));
  g_assert_cmpuint (fewer->len, >=, 1);
  for (guint i = 0; i < fewer->len; i++)
  {
    const EngineRemedy *remedy = g_ptr_array_index (fewer, i);
    for (guint k = 0; k < remedy->parts->len; k++)
      g_assert_cmpuint (model_part_id (g_array_index (remedy->parts, ModelPart, k)), !=, l.part[1]->id);
  }
}

/* ---- parts of curves, on both sides ---- */

/* The golden curve b is 96 long and its length from the start is a polynomial; half of it, 48, is a part by
 * its mark.  On a corrected side the mark keeps its share: the edge there is straight and sqrt (72^2 + 48^2)
 * long only if so corrected, so here the share is asked of the length itself. */
static void
test_part_of_curve (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  GeomCubic around[] = { fixture_curve_b, fixture_straight (72, 48, 0, 48), fixture_straight (0, 48, 0, 0) };
  ModelPanel *curved = fixture_panel (doc, "Curved", around, 3);
  ModelPanel *straight = fixture_rectangle (doc, "Straight", 200, 0, 48, 30);
  fixture_mirror (curved, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  fixture_mirror (straight, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  fixture_correct (curved, 1, 5, 2);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, curved, 0, straight, 2);
  join->a.to_mark_id = add_mark (doc, curved, 0, 48);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  EngineJoinReading readings[2];
  g_assert_cmpint (engine_review_join_readings (review, join->id, readings), ==, 2);
  fixture_near (readings[0].length_a_mm, 48, 1e-6);
  const EnginePiece *right = engine_review_seam_piece (review, curved->id, MODEL_SIDE_RIGHT);
  int index = engine_piece_find_edge (right, model_panel_edge (curved, 0)->id, MODEL_SIDE_RIGHT);
  double whole = g_array_index (right->edges, EnginePieceEdge, index).length_mm;
  g_assert_cmpfloat (fabs (whole - 96), >, 1.0);
  fixture_near (readings[1].length_a_mm, whole / 2, 1e-6);
  /* Reversed, the run starts at the mark. */
  join->a.reversed = true;
  engine_review_touch (review, MODEL_PART_JOIN, join->id);
  GeomPoint start, end;
  g_assert_true (engine_review_run_point (review, &join->a, MODEL_SIDE_LEFT, false, &start));
  g_assert_true (engine_review_run_point (review, &join->a, MODEL_SIDE_LEFT, true, &end));
  fixture_near (geom_distance (end, geom_point (0, 0)), 0, 1e-9);
  g_assert_cmpfloat (geom_norm (start), >, 40);
}

/* ---- darts ---- */

/* A hem of 40, a dart with legs of 50 (3-4-5: half the mouth is 30), and a hem of 60, against a straight 100.
 */
typedef struct Darted
{
  ModelDocument *doc;
  ModelPanel *panel, *partner;
  ModelJoin *legs, *hem;
} Darted;

static Darted
darted (void)
{
  Darted d = { .doc = model_document_new () };
  GeomPoint outline[] = { { 0, 0 }, { 40, 0 }, { 70, 40 }, { 100, 0 }, { 160, 0 }, { 160, 200 }, { 0, 200 } };
  d.panel = fixture_polygon (d.doc, "Darted", outline, 7);
  d.partner = fixture_rectangle (d.doc, "Partner", 300, 0, 100, 50);
  d.legs = fixture_join (d.doc, MODEL_JOIN_FLUSH, d.panel, 1, d.panel, 2);
  ModelRun b = fixture_run (d.partner, 2, 1);
  static const guint hems[] = { 0, 3 };
  guint ids[2];
  for (int i = 0; i < 2; i++)
    ids[i] = model_panel_edge (d.panel, hems[i])->id;
  ModelRun a = { 0 };
  g_assert_true (engine_run_from_edges (d.doc, d.panel, ids, 2, &a));
  d.hem = engine_join_new (d.doc, MODEL_JOIN_FLUSH, &a, &b);
  d.hem->id = model_document_take_id (d.doc);
  model_document_put (d.doc, (ModelPart) { MODEL_PART_JOIN, d.hem }, -1);
  g_array_unref (a.edges);
  g_array_unref (b.edges);
  return d;
}

static void
test_over_dart (void)
{
  Darted d = darted ();
  g_autoptr (ModelDocument) doc = d.doc;
  guint first, count;
  g_assert_true (model_join_closes_dart (d.panel, d.legs, &first, &count));
  g_assert_cmpuint (first, ==, 1);
  g_assert_cmpuint (count, ==, 2);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  fixture_near (only_reading (review, d.legs).difference_mm, 0, 1e-9);
  EngineJoinReading reading = only_reading (review, d.hem);
  fixture_near (reading.length_a_mm, 100, 1e-9);
  g_assert_true (reading.holds);

  /* It goes through a file, and back. */
  g_autoptr (GError) error = NULL;
  gsize length;
  g_autofree char *text = model_document_to_data (doc, &length);
  g_autoptr (ModelDocument) again = model_document_from_data (text, length, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (model_document_join (again, d.hem->id)->a.edges->len, ==, 2);
}

/* With the join of the legs the dart is gone, and what ran over it ends before it: the file stays readable.
 */
static void
test_dart_join_goes (void)
{
  Darted d = darted ();
  g_autoptr (ModelHistory) history = model_history_new (d.doc);
  guint hem = d.hem->id;
  model_history_remove (history, MODEL_PART_JOIN, d.legs->id);
  ModelDocument *doc = model_history_document (history);
  g_assert_cmpuint (model_document_join (doc, hem)->a.edges->len, ==, 1);
  g_autoptr (GError) error = NULL;
  gsize length;
  g_autofree char *text = model_document_to_data (doc, &length);
  g_autoptr (ModelDocument) again = model_document_from_data (text, length, &error);
  g_assert_no_error (error);
  g_assert_nonnull (again);
  model_history_undo (history);
  g_assert_cmpuint (model_document_join (doc, hem)->a.edges->len, ==, 2);
}

/* ---- a panel joined to itself ---- */

/* One edge of 200 joined to itself, 0..80 against 110..200, as a strip is rolled up: 10 too long. */
static void
test_joined_to_itself (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *strip = fixture_rectangle (doc, "Strip", 0, 0, 200, 30);
  guint near = add_mark (doc, strip, 0, 80), far = add_mark (doc, strip, 0, 110);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, strip, 0, strip, 0);
  g_assert_true (model_runs_overlap (&join->a, &join->b));
  join->a.to_mark_id = near;
  join->b.from_mark_id = far;
  g_assert_false (model_runs_overlap (&join->a, &join->b));
  g_autoptr (EngineReview) review = engine_review_new (doc);
  EngineJoinReading reading = only_reading (review, join);
  fixture_near (reading.length_a_mm, 80, 1e-9);
  fixture_near (reading.length_b_mm, 90, 1e-9);
  g_autoptr (GPtrArray) remedies
    = engine_finding_remedies (review, fixture_finding (review, "join-length", 0));
  g_assert_cmpuint (remedies->len, >=, 1);
}

/* ---- a ring round the body ---- */

/* Front, side and back of a pair, joined in a ring over both middles: five joins a side and two in the
 * middle.  The side's rear seam is 7 too long; it can only be settled with the ring closed. */
static void
test_ring (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  GeomPoint skew[] = { { 100, 0 }, { 150, -7 }, { 150, 100 }, { 100, 100 } };
  ModelPanel *front = fixture_rectangle (doc, "Front", 10, 0, 50, 100),
             *side = fixture_polygon (doc, "Side", skew, 4),
             *back = fixture_rectangle (doc, "Back", 200, 0, 50, 100);
  ModelPanel *all[] = { front, side, back };
  for (int i = 0; i < 3; i++)
    fixture_mirror (all[i], MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  ModelJoin *joins[] = { fixture_join (doc, MODEL_JOIN_FLUSH, front, 1, side, 3),
                         fixture_join (doc, MODEL_JOIN_FLUSH, side, 1, back, 3),
                         fixture_join (doc, MODEL_JOIN_FLUSH, front, 3, front, 3),
                         fixture_join (doc, MODEL_JOIN_FLUSH, back, 1, back, 1) };
  static const int places[] = { 2, 2, 1, 1 };
  static const double off[] = { 0, -7, 0, 0 };
  g_autoptr (EngineReview) review = engine_review_new (doc);
  for (int i = 0; i < 4; i++)
  {
    EngineJoinReading readings[2];
    g_assert_cmpint (engine_review_join_readings (review, joins[i]->id, readings), ==, places[i]);
    for (int k = 0; k < places[i]; k++)
      fixture_near (readings[k].difference_mm, off[i], 1e-9);
  }
  const EngineFinding *finding = fixture_finding (review, "join-length", 2);
  g_assert_false (finding->holds);
  g_autoptr (GPtrArray) remedies = engine_finding_remedies (review, finding);
  g_assert_cmpuint (remedies->len, >=, 2);
  g_autoptr (ModelDocument) after = engine_remedy_try (doc, g_ptr_array_index (remedies, 0));
  g_autoptr (EngineReview) then = engine_review_new (after);
  const GArray *readings = engine_review_readings (then);
  for (guint i = 0; i < readings->len; i++)
    g_assert_true (g_array_index (readings, EngineJoinReading, i).holds);
}

/* ---- ease ---- */

typedef struct EaseRow
{
  const char *name;
  bool in_percent;
  double ease, from, to; /* marks on a; 0: the run's end */
  double at, expected;   /* on b, of the mark at AT on a */
  double length_b;       /* at which the join holds */
} EaseRow;

/* a is 200 long. */
static const EaseRow ease_rows[] = {
  { "none", false, 0, 0, 0, 50, 50, 200 },
  { "spread over all: a quarter of 12 at a quarter", false, 12, 0, 0, 50, 53, 212 },
  { "3 percent of 200 is 6", true, 3, 0, 0, 50, 51.5, 206 },
  { "all beyond 100: none at 50", false, 12, 100, 0, 50, 50, 212 },
  { "between 40 and 80: a quarter at 50", false, 12, 40, 80, 50, 53, 212 },
  { "between 10 and 30: all before 50", false, 12, 10, 30, 50, 62, 212 },
  { "marks named the other way round", false, 12, 80, 40, 50, 53, 212 },
  { "b wanted shorter, 5 percent, up to 100: half at 50", true, -5, 0, 100, 50, 45, 190 },
};

static void
test_ease (gconstpointer data)
{
  const EaseRow *row = data;
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *a = fixture_rectangle (doc, "A", 0, 0, 50, 200),
             *b = fixture_rectangle (doc, "B", 100, 0, 50, row->length_b);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, a, 1, b, 3);
  join->ease_in_percent = row->in_percent;
  *(row->in_percent ? &join->ease_percent : &join->ease_mm) = row->ease;
  if (row->from > 0)
    join->ease_from_id = add_mark (doc, a, 1, row->from);
  if (row->to > 0)
    join->ease_to_id = add_mark (doc, a, 1, row->to);
  /* Edge 3 of b runs down. */
  ModelMatch match
    = { add_mark (doc, a, 1, row->at), add_mark (doc, b, 3, row->length_b - row->expected - 4) };
  g_array_append_val (join->matches, match);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_assert_true (only_reading (review, join).holds);
  const EngineFinding *drift = fixture_finding (review, "join-drift", 0);
  fixture_near (drift->expected, row->expected, 1e-9);
  fixture_near (drift->difference, 4, 1e-9);
  g_autoptr (GPtrArray) remedies = engine_finding_remedies (review, drift);
  g_assert_cmpuint (remedies->len, >=, 1);
  for (guint i = 0; i < remedies->len; i++)
  {
    g_autoptr (ModelDocument) after = engine_remedy_try (doc, g_ptr_array_index (remedies, i));
    g_autoptr (EngineReview) then = engine_review_new (after);
    fixture_near (fixture_finding (then, "join-drift", 0)->difference, 0, 1e-6);
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/run/long-edge", test_long_edge);
  g_test_add_func ("/engine/run/long-edge-settled", test_long_edge_settled);
  g_test_add_func ("/engine/run/part-of-curve", test_part_of_curve);
  g_test_add_func ("/engine/run/over-a-dart", test_over_dart);
  g_test_add_func ("/engine/run/the-join-of-a-dart-goes", test_dart_join_goes);
  g_test_add_func ("/engine/run/joined-to-itself", test_joined_to_itself);
  g_test_add_func ("/engine/run/ring", test_ring);
  for (guint i = 0; i < G_N_ELEMENTS (ease_rows); i++)
  {
    g_autofree char *path = g_strdup_printf ("/engine/run/ease/%s", ease_rows[i].name);
    g_test_add_data_func (path, &ease_rows[i], test_ease);
  }
  return g_test_run ();
}
