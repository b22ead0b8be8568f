/* Notes of a fitting as changes.  Rectangles and a trapezium: where each corner must come to lie follows from
 * the lines of its neighbours, and stands beside it. */
#include "engine/fit.h"
#include "engine/remedy.h"
#include "fixture.h"
#include "model/shape.h"

static GeomPoint
corner (const ModelPanel *panel, ModelSide side, guint edge)
{
  GeomPoint at = { NAN, NAN };
  model_shape_where (panel, side, model_edge_node (model_panel_edge (panel, edge), 0)->id, MODEL_HANDLE_NONE,
                     &at);
  return at;
}

static void
at_place (const ModelPanel *panel, ModelSide side, guint edge, double x, double y)
{
  GeomPoint at = corner (panel, side, edge);
  fixture_near (at.x, x, 1e-9);
  fixture_near (at.y, y, 1e-9);
}

/* A trapezium 100 wide at the foot, 60 at the top, 80 high: its sides lean in by 1 in 4, so a foot 8 lower is
 * 2 wider at each end. */
static void
test_neighbours_are_extended (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  GeomPoint points[] = { { 0, 0 }, { 100, 0 }, { 80, 80 }, { 20, 80 } };
  ModelPanel *panel = fixture_polygon (doc, "Front", points, 4);
  guint foot = model_panel_edge (panel, 0)->id;
  g_assert_true (engine_fit_move_edge (panel, MODEL_SIDE_CENTRE, foot, 8.0, false));
  at_place (panel, MODEL_SIDE_CENTRE, 0, -2, -8);
  at_place (panel, MODEL_SIDE_CENTRE, 1, 102, -8);
  at_place (panel, MODEL_SIDE_CENTRE, 2, 80, 80);
  g_assert_true (engine_fit_move_edge (panel, MODEL_SIDE_CENTRE, foot, -8.0, false));
  at_place (panel, MODEL_SIDE_CENTRE, 0, 0, 0);
  at_place (panel, MODEL_SIDE_CENTRE, 1, 100, 0);
  g_assert_false (engine_fit_move_edge (panel, MODEL_SIDE_CENTRE, foot, NAN, false));
  g_assert_false (engine_fit_move_edge (panel, MODEL_SIDE_CENTRE, 9999, 5.0, false));
  model_panel_edge (panel, 0)->locked = true;
  g_assert_false (engine_fit_move_edge (panel, MODEL_SIDE_CENTRE, foot, 5.0, false));
  at_place (panel, MODEL_SIDE_CENTRE, 0, 0, 0);
}

/* A pair mirrored in x = 0: one side's foot 8 lower, the other side where it was, whichever is drawn. */
static void
test_one_side_only (void)
{
  for (int s = 0; s < 2; s++)
  {
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *panel = fixture_rectangle (doc, "Side", 10, 0, 100, 60);
    fixture_mirror (panel, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
    ModelSide side = s == 0 ? MODEL_SIDE_LEFT : MODEL_SIDE_RIGHT, other = model_side_other (side);
    guint foot = model_panel_edge (panel, 0)->id;
    g_assert_true (engine_fit_move_edge (panel, side, foot, 8.0, true));
    double sign = s == 0 ? 1.0 : -1.0;
    at_place (panel, side, 0, sign * 10, -8);
    at_place (panel, side, 1, sign * 110, -8);
    at_place (panel, side, 2, sign * 110, 60);
    at_place (panel, other, 0, -sign * 10, 0);
    at_place (panel, other, 1, -sign * 110, 0);
    g_assert_true (panel->own_sides);
  }
}

/* On the fold: the corner there belongs to both sides and stays, the foot runs out to nothing. */
static void
test_runs_out_at_the_fold (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = fixture_rectangle (doc, "Front", 0, 0, 100, 60);
  fixture_mirror (panel, MODEL_HALVES_FOLD, MODEL_SIDE_LEFT);
  model_panel_edge (panel, 3)->fold = true;
  guint foot = model_panel_edge (panel, 0)->id;
  g_assert_true (engine_fit_move_edge (panel, MODEL_SIDE_RIGHT, foot, 8.0, true));
  at_place (panel, MODEL_SIDE_RIGHT, 0, 0, 0);
  at_place (panel, MODEL_SIDE_RIGHT, 1, -100, -8);
  at_place (panel, MODEL_SIDE_LEFT, 1, 100, 0);
}

static ModelFitNote *
note_of (const ModelPanel *panel, int edge, ModelSide side, ModelFitSeen seen, double mm)
{
  ModelFitNote *note = model_fit_note_new ();
  note->id = 900;
  note->panel_id = panel->id;
  note->edge_id = edge >= 0 ? model_panel_edge (panel, (guint)edge)->id : 0;
  note->side = side;
  note->seen = seen;
  note->has_amount = true;
  note->amount_mm = mm;
  return note;
}

/* Two pairs joined at their upright edges; the foot of one is let down by 8 on the right: the join is 8 out
 * there unless the partner follows.  Both are offered, each says so, and the left is untouched. */
static void
test_partner_follows (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *front = fixture_rectangle (doc, "Front", 10, 0, 100, 60),
             *side = fixture_rectangle (doc, "Side", 200, 0, 100, 60);
  fixture_mirror (front, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  fixture_mirror (side, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  ModelJoin *join = fixture_join (doc, MODEL_JOIN_FLUSH, front, 1, side, 3);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (ModelFitNote) note = note_of (front, 0, MODEL_SIDE_RIGHT, MODEL_FIT_TOO_SHORT, 8.0);
  g_autoptr (GPtrArray) out = g_ptr_array_new_with_free_func ((GDestroyNotify)engine_remedy_free);
  engine_fit_offers (review, note, out);
  g_assert_cmpuint (out->len, ==, 4);
  for (guint i = 0; i < 2; i++)
  {
    const EngineRemedy *remedy = g_ptr_array_index (out, i);
    g_autoptr (ModelDocument) tried = engine_remedy_try (doc, remedy);
    g_autoptr (EngineReview) after = engine_review_new (tried);
    EngineJoinReading both[2];
    g_assert_cmpint (engine_review_join_readings (after, join->id, both), ==, 2);
    for (int k = 0; k < 2; k++)
      fixture_near (fabs (both[k].difference_mm), both[k].side == MODEL_SIDE_RIGHT && i == 1 ? 8.0 : 0.0,
                    1e-6);
    g_assert_cmpstr (remedy->detail, ==,
                     i == 0 ? "No join is broken by it." : "Join A would differ by 8.0\u2009mm.");
    at_place (model_document_panel (tried, front->id), MODEL_SIDE_LEFT, 1, 110, 0);
    at_place (model_document_panel (tried, side->id), MODEL_SIDE_LEFT, 0, 200, 0);
    g_assert_cmpstr (model_document_fit_note (tried, 900)->done, ==, remedy->text);
  }
}

/* 12 too wide, no fold: half at each upright edge. */
static void
test_too_wide (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = fixture_rectangle (doc, "Back", 0, 0, 100, 160);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (ModelFitNote) note = note_of (panel, -1, MODEL_SIDE_CENTRE, MODEL_FIT_TOO_WIDE, 12.0);
  g_autoptr (GPtrArray) out = g_ptr_array_new_with_free_func ((GDestroyNotify)engine_remedy_free);
  engine_fit_offers (review, note, out);
  g_assert_cmpuint (out->len, ==, 1);
  g_autoptr (ModelDocument) tried = engine_remedy_try (doc, g_ptr_array_index (out, 0));
  at_place (model_document_panel (tried, panel->id), MODEL_SIDE_CENTRE, 0, 6, 0);
  at_place (model_document_panel (tried, panel->id), MODEL_SIDE_CENTRE, 1, 94, 0);
  note->has_amount = false;
  g_ptr_array_set_size (out, 0);
  engine_fit_offers (review, note, out);
  g_assert_cmpuint (out->len, ==, 0);
}

/* Pokes out by 10: a dart whose mouth is 10 wide (the chord between its two mouth corners). */
static void
test_dart (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = fixture_rectangle (doc, "Front", 0, 0, 100, 160);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (ModelFitNote) note = note_of (panel, 0, MODEL_SIDE_CENTRE, MODEL_FIT_POKES_OUT, 10.0);
  g_autoptr (GPtrArray) out = g_ptr_array_new_with_free_func ((GDestroyNotify)engine_remedy_free);
  engine_fit_offers (review, note, out);
  g_assert_cmpuint (out->len, ==, 2);
  g_autoptr (ModelDocument) tried = engine_remedy_try (doc, g_ptr_array_index (out, 1));
  const ModelPanel *darted = model_document_panel (tried, panel->id);
  g_assert_cmpuint (darted->edges->len, ==, 7);
  g_assert_cmpuint (tried->joins->len, ==, 1);
  const ModelJoin *join = g_ptr_array_index (tried->joins, 0);
  int first = model_panel_find_edge (darted, g_array_index (join->a.edges, guint, 0)),
      second = model_panel_find_edge (darted, g_array_index (join->b.edges, guint, 0));
  g_assert_cmpint (ABS (first - second), ==, 1);
  guint low = (guint)MIN (first, second);
  GeomPoint from = corner (darted, MODEL_SIDE_CENTRE, low), to = corner (darted, MODEL_SIDE_CENTRE, low + 2);
  fixture_near (geom_distance (from, to), 10.0, 1e-6);
}

/* Each kind of note, seen on one side of a mirrored panel 100 by 60 at 10 from its axis: where the corners
 * of that side come to lie (distance from the axis and height), all of the other side staying.  Both uprights
 * take half of a width. */
typedef struct SideRow
{
  ModelFitSeen seen;
  int edge; /* -1: of the whole panel; 0: the foot, 1: the upright away from the axis */
  double foot_near[2], foot_far[2], top_far[2];
} SideRow;

static const SideRow side_rows[] = {
  { MODEL_FIT_TOO_SHORT, 0, { 10, -8 }, { 110, -8 }, { 110, 60 } },
  { MODEL_FIT_TOO_LONG, 0, { 10, 8 }, { 110, 8 }, { 110, 60 } },
  { MODEL_FIT_TOO_SHORT, -1, { 10, -8 }, { 110, -8 }, { 110, 60 } },
  { MODEL_FIT_POKES_OUT, 0, { 10, 8 }, { 110, 8 }, { 110, 60 } },
  { MODEL_FIT_POKES_OUT, 1, { 10, 0 }, { 102, 0 }, { 102, 60 } },
  { MODEL_FIT_TOO_WIDE, 1, { 10, 0 }, { 102, 0 }, { 102, 60 } },
  { MODEL_FIT_TOO_NARROW, 1, { 10, 0 }, { 118, 0 }, { 118, 60 } },
  { MODEL_FIT_TOO_WIDE, -1, { 14, 0 }, { 106, 0 }, { 106, 60 } },
  { MODEL_FIT_TOO_NARROW, -1, { 6, 0 }, { 114, 0 }, { 114, 60 } },
  { MODEL_FIT_POKES_OUT, -1, { 14, 0 }, { 106, 0 }, { 106, 60 } },
  { MODEL_FIT_GAPS_BY, 1, { 10, 0 }, { 118, 0 }, { 118, 60 } },
};

static void
test_every_kind_on_its_side (void)
{
  for (guint i = 0; i < 4 * G_N_ELEMENTS (side_rows); i++)
  {
    const SideRow *row = &side_rows[i / 4];
    const ModelSide side = i % 2 == 0 ? MODEL_SIDE_LEFT : MODEL_SIDE_RIGHT, other = model_side_other (side);
    const bool joined = i % 4 >= 2;
    const double sign = side == MODEL_SIDE_LEFT ? 1.0 : -1.0;
    g_autoptr (ModelDocument) doc = model_document_new ();
    ModelPanel *panel = fixture_rectangle (doc, "Front", 10, 0, 100, 60),
               *partner = fixture_rectangle (doc, "Side", 200, 0, 100, 60);
    fixture_mirror (panel, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
    fixture_mirror (partner, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
    /* The foot's partner: its width would no longer agree. */
    ModelJoin *join = joined ? fixture_join (doc, MODEL_JOIN_FLUSH, panel, 0, partner, 2) : NULL;
    g_autoptr (EngineReview) review = engine_review_new (doc);
    g_autoptr (ModelFitNote) note = note_of (panel, row->edge, side, row->seen, 8.0);
    g_autoptr (GPtrArray) out = g_ptr_array_new_with_free_func ((GDestroyNotify)engine_remedy_free);
    engine_fit_offers (review, note, out);
    g_assert_cmpuint (out->len, >=, 1);
    /* Without the partner following where it would have to. */
    const EngineRemedy *remedy = NULL;
    for (guint k = 0; k < out->len && remedy == NULL; k++)
    {
      const EngineRemedy *one = g_ptr_array_index (out, k);
      const char *only = side == MODEL_SIDE_LEFT ? "left only" : "right only";
      if (g_str_has_suffix (one->text, only))
        remedy = one;
    }
    g_assert_nonnull (remedy);
    g_autoptr (ModelDocument) tried = engine_remedy_try (doc, remedy);
    const ModelPanel *now = model_document_panel (tried, panel->id);
    at_place (now, side, 0, sign * row->foot_near[0], row->foot_near[1]);
    at_place (now, side, 1, sign * row->foot_far[0], row->foot_far[1]);
    at_place (now, side, 2, sign * row->top_far[0], row->top_far[1]);
    at_place (now, other, 0, -sign * 10, 0);
    at_place (now, other, 1, -sign * 110, 0);
    at_place (now, other, 2, -sign * 110, 60);
    at_place (now, other, 3, -sign * 10, 60);
    if (join == NULL)
      continue;
    /* The foot was 100 long: what it lost or gained is what its join would differ by, and is said. */
    const double by = row->foot_far[0] - row->foot_near[0] - 100.0;
    g_assert_cmpstr (remedy->detail, ==,
                     fabs (by) > 0.0 ? "Join A would differ by 8.0\u2009mm." : "No join is broken by it.");
  }
}

/* A dart is cut on both sides, and the offer says so. */
static void
test_dart_says_both_sides (void)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  ModelPanel *panel = fixture_rectangle (doc, "Front", 10, 0, 100, 160);
  fixture_mirror (panel, MODEL_HALVES_PAIR, MODEL_SIDE_LEFT);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (ModelFitNote) note = note_of (panel, 0, MODEL_SIDE_RIGHT, MODEL_FIT_POKES_OUT, 10.0);
  g_autoptr (GPtrArray) out = g_ptr_array_new_with_free_func ((GDestroyNotify)engine_remedy_free);
  engine_fit_offers (review, note, out);
  g_assert_cmpuint (out->len, ==, 2);
  g_assert_true (
    g_str_has_suffix (((const EngineRemedy *)g_ptr_array_index (out, 1))->text, "on both sides"));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_set_nonfatal_assertions ();
  g_test_add_func ("/engine/fit/neighbours-are-extended", test_neighbours_are_extended);
  g_test_add_func ("/engine/fit/one-side-only", test_one_side_only);
  g_test_add_func ("/engine/fit/runs-out-at-the-fold", test_runs_out_at_the_fold);
  g_test_add_func ("/engine/fit/partner-follows", test_partner_follows);
  g_test_add_func ("/engine/fit/too-wide", test_too_wide);
  g_test_add_func ("/engine/fit/dart", test_dart);
  g_test_add_func ("/engine/fit/every-kind-on-its-side", test_every_kind_on_its_side);
  g_test_add_func ("/engine/fit/dart-says-both-sides", test_dart_says_both_sides);
  return g_test_run ();
}
