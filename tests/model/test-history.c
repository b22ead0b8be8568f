/* The one door, and the way back. */
#include "model/history.h"

#include "model/file.h"
#include "support/big-document.h"

#include <string.h>

/* The document's text but for the counter of ids, which goes on only forwards. */
static char *
state_of (ModelHistory *history)
{
  g_autoptr (ModelDocument) copy = model_document_copy (model_history_document (history));

  copy->next_id = 1;
  return model_document_to_data (copy, NULL);
}

static void
assert_state (ModelHistory *history, const char *want)
{
  g_autofree char *now = state_of (history);

  g_assert_cmpstr (now, ==, want);
}

/* What the door let in can be read again. */
static void
assert_readable (ModelHistory *history)
{
  gsize length = 0;
  g_autofree char *text = model_document_to_data (model_history_document (history), &length);
  g_autoptr (GError) error = NULL;
  g_autoptr (ModelDocument) doc = model_document_from_data (text, length, &error);

  g_assert_no_error (error);
  g_assert_nonnull (doc);
}

static ModelHistory *
small_history (void)
{
  return model_history_new (test_big_document_of (6, 8));
}

static ModelPanel *
panel_at (ModelHistory *history, guint index)
{
  return g_ptr_array_index (model_history_document (history)->panels, index);
}

static ModelJoin *
join_at (ModelHistory *history, guint index)
{
  return g_ptr_array_index (model_history_document (history)->joins, index);
}

static void
nudge (ModelHistory *history, guint index, double by_mm)
{
  ModelPanel *panel = model_panel_copy (panel_at (history, index));

  model_edge_node (model_panel_edge (panel, 2), 0)->at.x += by_mm;
  model_history_put_panel (history, panel);
}

static void
rename_panel (ModelHistory *history, guint index, const char *name)
{
  ModelPanel *panel = model_panel_copy (panel_at (history, index));

  g_free (panel->name);
  panel->name = g_strdup (name);
  model_history_put_panel (history, panel);
}

static void
test_one_step (void)
{
  g_autoptr (ModelHistory) history = small_history ();
  g_autofree char *before = state_of (history), *after = NULL;

  g_assert_false (model_history_can_undo (history) || model_history_can_redo (history));
  g_assert_null (model_history_undo_label (history));
  nudge (history, 0, 3.0);
  after = state_of (history);
  g_assert_cmpstr (before, !=, after);
  g_assert_cmpuint (model_history_length (history), ==, 1);
  g_assert_nonnull (model_history_undo_label (history));
  model_history_undo (history);
  assert_state (history, before);
  g_assert_cmpuint (model_history_position (history), ==, 0);
  g_assert_nonnull (model_history_redo_label (history));
  model_history_redo (history);
  assert_state (history, after);
  model_history_redo (history);
  assert_state (history, after);
}

static void
test_head (void)
{
  g_autoptr (ModelHistory) history = small_history ();
  ModelHead *head = model_head_copy (model_history_document (history)->head);
  g_autofree char *before = state_of (history);

  g_free (head->wearer);
  head->wearer = g_strdup ("wearer B");
  model_history_put_head (history, head);
  g_assert_cmpstr (model_history_document (history)->head->wearer, ==, "wearer B");
  model_history_undo (history);
  assert_state (history, before);
}

/* A drag: many puts, one step, which goes from the first state to the last. */
static void
test_drag_is_one_step (void)
{
  g_autoptr (ModelHistory) history = small_history ();
  g_autofree char *before = state_of (history), *after = NULL;

  model_history_begin (history, "Move node");
  for (int i = 0; i < 50; i++)
    nudge (history, 1, 0.5);
  g_assert_true (model_history_is_open (history));
  g_assert_false (model_history_is_saved (history));
  model_history_end (history);
  after = state_of (history);
  g_assert_cmpuint (model_history_length (history), ==, 1);
  g_assert_cmpstr (model_history_undo_label (history), ==, "Move node");
  model_history_undo (history);
  assert_state (history, before);
  model_history_redo (history);
  assert_state (history, after);
}

static void
test_nesting_and_labels (void)
{
  g_autoptr (ModelHistory) history = small_history ();

  model_history_begin (history, "Outer");
  model_history_begin (history, "Inner");
  nudge (history, 0, 1.0);
  model_history_end (history);
  nudge (history, 1, 1.0);
  g_assert_cmpuint (model_history_length (history), ==, 0);
  model_history_end (history);
  nudge (history, 2, 1.0);
  g_assert_cmpuint (model_history_length (history), ==, 2);
  g_assert_cmpstr (model_history_label (history, 0), ==, "Outer");
  g_assert_null (model_history_label (history, 2));
  model_history_undo (history);
  g_assert_cmpstr (model_history_undo_label (history), ==, "Outer");
}

static void
test_idle_group_is_dropped (void)
{
  g_autoptr (ModelHistory) history = small_history ();
  ModelDocument *doc = model_history_document (history);
  guint id = panel_at (history, 0)->id, fresh;

  /* There and back. */
  model_history_begin (history, "Move node");
  nudge (history, 0, 4.0);
  nudge (history, 0, -4.0);
  model_history_end (history);
  /* The same again. */
  model_history_put_panel (history, model_panel_copy (panel_at (history, 0)));
  /* Added and removed. */
  model_history_begin (history, "Add measure");
  fresh = model_history_put_measure (history, model_measure_new ());
  model_history_remove (history, MODEL_PART_MEASURE, fresh);
  model_history_end (history);
  /* To another place and back. */
  model_history_begin (history, "Move panel");
  model_history_move (history, MODEL_PART_PANEL, id, 3);
  model_history_move (history, MODEL_PART_PANEL, id, 0);
  model_history_end (history);
  /* Removed and put back: at the end, which is another place. */
  g_assert_cmpuint (model_history_length (history), ==, 0);
  g_assert_true (model_history_is_saved (history));
  model_history_begin (history, "Move measure");
  {
    ModelMeasure *measure = model_measure_copy (g_ptr_array_index (doc->measures, 0));

    model_history_remove (history, MODEL_PART_MEASURE, measure->id);
    model_history_put_measure (history, measure);
  }
  model_history_end (history);
  g_assert_cmpuint (model_history_length (history), ==, 1);
  /* Nothing there to remove. */
  model_history_remove (history, MODEL_PART_MEASURE, 999999);
  model_history_remove (history, MODEL_PART_HEAD, 0);
  g_assert_cmpuint (model_history_length (history), ==, 1);
}

/* A dropped group must not cost the steps that can be redone. */
static void
test_idle_group_keeps_redo (void)
{
  g_autoptr (ModelHistory) history = small_history ();

  nudge (history, 0, 1.0);
  model_history_undo (history);
  model_history_put_panel (history, model_panel_copy (panel_at (history, 0)));
  g_assert_true (model_history_can_redo (history));
  nudge (history, 1, 1.0);
  g_assert_false (model_history_can_redo (history));
}

static void
test_cancel (void)
{
  g_autoptr (ModelHistory) history = small_history ();
  g_autofree char *before = NULL;

  nudge (history, 0, 1.0);
  before = state_of (history);
  model_history_begin (history, "Move");
  model_history_begin (history, "Inner");
  nudge (history, 0, 1.0);
  model_history_remove_panel (history, panel_at (history, 1)->id);
  model_history_cancel (history);
  assert_state (history, before);
  g_assert_false (model_history_is_open (history));
  g_assert_cmpuint (model_history_length (history), ==, 1);
  model_history_cancel (history);
  /* Undo in the middle of a drag takes back the drag alone. */
  model_history_begin (history, "Move");
  nudge (history, 0, 1.0);
  model_history_undo (history);
  assert_state (history, before);
  g_assert_cmpuint (model_history_position (history), ==, 1);
}

static void
test_removal_goes_back_to_its_place (void)
{
  g_autoptr (ModelHistory) history = small_history ();
  ModelDocument *doc = model_history_document (history);
  g_autofree char *before = state_of (history);
  guint joins = doc->joins->len;

  model_history_remove_panel (history, panel_at (history, 2)->id);
  g_assert_cmpuint (doc->panels->len, ==, 5);
  g_assert_cmpuint (doc->joins->len, <, joins);
  assert_readable (history);
  model_history_undo (history);
  assert_state (history, before);
  g_assert_cmpuint (model_history_length (history), ==, 1);
}

/* The order that goes wrong when two moves of one part are taken for one. */
static void
test_moves_in_one_group (void)
{
  g_autoptr (ModelHistory) history = small_history ();
  guint a = panel_at (history, 0)->id, c = panel_at (history, 2)->id;
  g_autofree char *before = state_of (history), *after = NULL;

  model_history_begin (history, "Sort");
  model_history_move (history, MODEL_PART_PANEL, c, 0);
  model_history_remove_panel (history, a);
  model_history_move (history, MODEL_PART_PANEL, c, 99);
  nudge (history, 4, 1.0);
  model_history_end (history);
  g_assert_cmpuint (panel_at (history, 4)->id, ==, c);
  after = state_of (history);
  model_history_undo (history);
  assert_state (history, before);
  model_history_redo (history);
  assert_state (history, after);
}

/* ---- merging ---- */

static void
typed (ModelHistory *history, const char *key, double by_mm)
{
  model_history_begin_merging (history, "Set length", key);
  nudge (history, 0, by_mm);
  model_history_end (history);
}

static void
test_merging (void)
{
  g_autoptr (ModelHistory) history = small_history ();
  g_autofree char *before = state_of (history), *after = NULL;

  typed (history, "length", 1.0);
  typed (history, "length", 1.0);
  typed (history, "length", 1.0);
  g_assert_cmpuint (model_history_length (history), ==, 1);
  after = state_of (history);
  model_history_undo (history);
  assert_state (history, before);
  model_history_redo (history);
  assert_state (history, after);
  typed (history, "width", 1.0);
  g_assert_cmpuint (model_history_length (history), ==, 2);
  /* What is on disk stays reachable. */
  model_history_mark_saved (history);
  typed (history, "width", 1.0);
  g_assert_cmpuint (model_history_length (history), ==, 3);
  model_history_undo (history);
  g_assert_true (model_history_is_saved (history));
  /* Not onto a step when others could be redone after it. */
  model_history_undo (history);
  typed (history, "length", 1.0);
  g_assert_cmpuint (model_history_length (history), ==, 2);
  /* Back to where that one began: it is gone. */
  typed (history, "length", -1.0);
  g_assert_cmpuint (model_history_length (history), ==, 1);
  assert_state (history, after);
}

static void
test_merging_ends_after_a_second (void)
{
  g_autoptr (ModelHistory) history = small_history ();

  typed (history, "length", 1.0);
  g_usleep (1050000);
  typed (history, "length", 1.0);
  g_assert_cmpuint (model_history_length (history), ==, 2);
}

/* ---- the mark of what is on disk ---- */

static void
test_saved_mark (void)
{
  g_autoptr (ModelHistory) history = small_history ();

  g_assert_true (model_history_is_saved (history));
  nudge (history, 0, 1.0);
  g_assert_false (model_history_is_saved (history));
  model_history_undo (history);
  g_assert_true (model_history_is_saved (history));
  model_history_redo (history);
  model_history_mark_saved (history);
  g_assert_true (model_history_is_saved (history));
  model_history_undo (history);
  g_assert_false (model_history_is_saved (history));
  /* The saved state is now on a branch that is cut off. */
  nudge (history, 0, 2.0);
  g_assert_false (model_history_is_saved (history));
  model_history_undo (history);
  g_assert_false (model_history_is_saved (history));
  model_history_mark_saved (history);
  g_assert_true (model_history_is_saved (history));
  model_history_mark_unsaved (history);
  g_assert_false (model_history_is_saved (history));
}

static void
test_go_to (void)
{
  g_autoptr (ModelHistory) history = small_history ();
  char *states[6];

  for (guint i = 0; i < 6; i++)
  {
    states[i] = state_of (history);
    if (i < 5)
      nudge (history, i, 1.0 + i);
  }
  for (guint i = 0; i < 40; i++)
  {
    guint to = (guint)g_test_rand_int_range (0, 6);

    model_history_go_to (history, to);
    g_assert_cmpuint (model_history_position (history), ==, to);
    assert_state (history, states[to]);
  }
  model_history_go_to (history, 99);
  g_assert_cmpuint (model_history_position (history), ==, 5);
  for (guint i = 0; i < 6; i++)
    g_free (states[i]);
}

/* ---- signals ---- */

static void
on_touched (ModelHistory *history, int kind, guint id, int touch, GString *log)
{
  g_string_append_printf (log, "%c%d ", "car"[touch], kind);
}

static void
on_settled (ModelHistory *history, GString *log)
{
  g_string_append (log, ". ");
}

static void
assert_log (GString *log, const char *want)
{
  g_assert_cmpstr (log->str, ==, want);
  g_string_truncate (log, 0);
}

/* c, a, r: changed, added, removed; then the kind: 2 measure, 3 panel, 4 join.  A dot: settled. */
static void
test_signals (void)
{
  g_autoptr (ModelHistory) history = model_history_new (test_big_document_of (2, 1));
  g_autoptr (GString) log = g_string_new (NULL);

  g_signal_connect (history, "touched", G_CALLBACK (on_touched), log);
  g_signal_connect (history, "settled", G_CALLBACK (on_settled), log);
  nudge (history, 0, 1.0);
  assert_log (log, "c3 . ");
  model_history_put_measure (history, model_measure_new ());
  assert_log (log, "a2 . ");
  model_history_remove_panel (history, panel_at (history, 0)->id);
  assert_log (log, "r4 r3 . ");
  model_history_undo (history);
  assert_log (log, "a3 a4 . ");
  model_history_undo (history);
  assert_log (log, "r2 . ");
  model_history_redo (history);
  assert_log (log, "a2 . ");
  model_history_begin (history, "Drag");
  nudge (history, 0, 1.0);
  nudge (history, 0, 1.0);
  assert_log (log, "c3 c3 ");
  model_history_cancel (history);
  assert_log (log, "c3 . ");
}

/* ---- references ---- */

static void
remove_edge (ModelHistory *history, guint panel_id, guint edge_id)
{
  ModelPanel *panel = model_panel_copy (model_document_panel (model_history_document (history), panel_id));

  g_ptr_array_remove_index (panel->edges, (guint)model_panel_find_edge (panel, edge_id));
  model_history_put_panel (history, panel);
}

static void
test_join_loses_its_edges (void)
{
  g_autoptr (ModelHistory) history = small_history ();
  /* Join 4 of the large document joins two edges with two; join 0 has a match. */
  guint two = join_at (history, 4)->id, matched = join_at (history, 0)->id;
  g_autofree char *before = state_of (history), *after = NULL;
  ModelDocument *doc = model_history_document (history);
  const ModelRun *run = &join_at (history, 4)->a;
  guint panel_id = run->panel_id, first = g_array_index (run->edges, guint, 0),
        second = g_array_index (run->edges, guint, 1);
  ModelPanel *panel;

  remove_edge (history, panel_id, second);
  g_assert_cmpuint (model_document_join (doc, two)->a.edges->len, ==, 1);
  assert_readable (history);
  remove_edge (history, panel_id, first);
  g_assert_null (model_document_join (doc, two));
  assert_readable (history);
  panel = model_panel_copy (model_document_panel (doc, model_document_join (doc, matched)->a.panel_id));
  g_array_set_size (panel->marks, 0);
  g_assert_cmpuint (model_document_join (doc, matched)->matches->len, ==, 1);
  model_history_put_panel (history, panel);
  g_assert_cmpuint (model_document_join (doc, matched)->matches->len, ==, 0);
  assert_readable (history);
  g_assert_cmpuint (model_history_length (history), ==, 3);
  after = state_of (history);
  model_history_go_to (history, 0);
  assert_state (history, before);
  model_history_go_to (history, 3);
  assert_state (history, after);
}

static void
test_panel_forgets_its_material (void)
{
  g_autoptr (ModelHistory) history = small_history ();
  ModelDocument *doc = model_history_document (history);
  guint id = panel_at (history, 0)->material_id;
  g_autofree char *before = state_of (history);

  model_history_remove (history, MODEL_PART_MATERIAL, id);
  for (guint i = 0; i < doc->panels->len; i++)
    g_assert_cmpuint (panel_at (history, i)->material_id, ==, 0);
  assert_readable (history);
  model_history_undo (history);
  assert_state (history, before);
}

static void
test_join_with_itself (void)
{
  g_autoptr (ModelHistory) history = small_history ();
  ModelDocument *doc = model_history_document (history);
  ModelJoin *join = model_join_copy (join_at (history, 0));
  guint count = doc->joins->len, id;

  join->id = 0;
  join->b.panel_id = join->a.panel_id;
  g_array_unref (join->b.edges);
  join->b.edges = g_array_copy (join->a.edges);
  g_array_set_size (join->matches, 0);
  id = model_history_put_join (history, model_join_copy (join));
  g_assert_null (model_document_join (doc, id));
  g_assert_cmpuint (model_history_length (history), ==, 0);
  /* A seam over the middle is one edge on both sides. */
  join->b.twin = true;
  model_history_put_join (history, join);
  g_assert_cmpuint (doc->joins->len, ==, count + 1);
  assert_readable (history);
}

/* Numbers no file may hold do not come in. */
static void
test_absurd_numbers (void)
{
  g_autoptr (ModelHistory) history = small_history ();
  ModelPanel *panel = model_panel_copy (panel_at (history, 0));
  ModelJoin *join = model_join_copy (join_at (history, 0));
  ModelHead *head = model_head_copy (model_history_document (history)->head);
  ModelMaterial *material = model_material_new ();
  ModelMeasure *measure = model_measure_new ();

  model_edge_node (model_panel_edge (panel, 0), 0)->at = geom_point (NAN, INFINITY);
  model_edge_node (model_panel_edge (panel, 0), 0)->kind = MODEL_NODE_EVEN;
  model_edge_node (model_panel_edge (panel, 1), 0)->in = geom_point (-1e300, 1e6);
  panel->quantity = -4;
  panel->grain_deg = NAN;
  panel->halves = MODEL_HALVES_PAIR;
  panel->side = MODEL_SIDE_CENTRE;
  join->tolerance_mm = -1.0;
  join->ease_mm = NAN;
  head->overlap_mm = 1e9;
  g_free (head->paper);
  head->paper = g_strdup ("papyrus");
  material->neutral = 7.0;
  measure->has_wearer = true;
  measure->wearer_mm = -3.0;
  model_history_put_panel (history, panel);
  model_history_put_join (history, join);
  model_history_put_head (history, head);
  model_history_put_material (history, material);
  model_history_put_measure (history, measure);
  assert_readable (history);
  g_assert_cmpint (panel_at (history, 0)->side, ==, MODEL_SIDE_RIGHT);
  g_assert_cmpint (panel_at (history, 0)->quantity, ==, 1);
  /* A fold without its edge. */
  panel = model_panel_copy (panel_at (history, 1));
  g_assert_cmpint (panel->halves, ==, MODEL_HALVES_FOLD);
  model_panel_edge (panel, 0)->fold = false;
  model_history_put_panel (history, panel);
  g_assert_cmpint (panel_at (history, 1)->halves, ==, MODEL_HALVES_SINGLE);
  assert_readable (history);
}

/* ---- the law: all the way back and all the way on ---- */

static void
some_edit (ModelHistory *history)
{
  ModelDocument *doc = model_history_document (history);
  guint panels = doc->panels->len, joins = doc->joins->len;
  guint at = panels > 0 ? (guint)g_test_rand_int_range (0, (gint32)panels) : 0;
  ModelPanel *panel;
  ModelMark mark;

  switch (g_test_rand_int_range (0, 14))
  {
  case 0:
    if (panels > 2)
      model_history_remove_panel (history, panel_at (history, at)->id);
    break;
  case 1:
    if (joins > 0)
      model_history_remove (history, MODEL_PART_JOIN, join_at (history, at % joins)->id);
    break;
  case 2:
    if (panels > 0)
      model_history_move (history, MODEL_PART_PANEL, panel_at (history, at)->id,
                          (guint)g_test_rand_int_range (0, 9));
    break;
  case 3:
    model_history_put_measure (history, model_measure_new ());
    break;
  case 4:
    if (doc->measures->len > 0)
      model_history_remove (history, MODEL_PART_MEASURE,
                            ((ModelMeasure *)g_ptr_array_index (doc->measures, 0))->id);
    break;
  case 5:
    if (doc->materials->len > 0)
      model_history_remove (history, MODEL_PART_MATERIAL,
                            ((ModelMaterial *)g_ptr_array_index (doc->materials, 0))->id);
    else
      model_history_put_material (history, model_material_new ());
    break;
  case 6:
    if (panels > 0 && panel_at (history, at)->edges->len > 4)
      remove_edge (history, panel_at (history, at)->id, model_panel_edge (panel_at (history, at), 3)->id);
    break;
  case 7:
    if (panels > 0)
    {
      panel = model_panel_copy (panel_at (history, at));
      mark = (ModelMark) { 0, model_panel_edge (panel, 1)->id, 7.0, 1 };
      g_array_append_val (panel->marks, mark);
      model_history_put_panel (history, panel);
    }
    break;
  case 8:
    if (panels > 0)
      rename_panel (history, at, g_test_rand_bit () ? "Back" : "Front");
    break;
  case 9:
    if (joins > 0)
    {
      ModelJoin *join = model_join_copy (join_at (history, at % joins));

      join->kind = (ModelJoinKind)g_test_rand_int_range (0, 4);
      model_history_put_join (history, join);
    }
    break;
  case 10:
    /* There and back by chance. */
    if (panels > 0)
    {
      model_history_begin (history, "There and back");
      nudge (history, at, 1.0);
      nudge (history, at, -1.0);
      model_history_end (history);
    }
    break;
  case 11:
    /* Removed and put back under the same id. */
    if (doc->measures->len > 0)
    {
      ModelMeasure *measure = model_measure_copy (g_ptr_array_index (doc->measures, 0));

      model_history_begin (history, "Out and in");
      model_history_remove (history, MODEL_PART_MEASURE, measure->id);
      model_history_put_measure (history, measure);
      model_history_end (history);
    }
    break;
  default:
    if (panels > 0 && panel_at (history, at)->edges->len > 2)
      nudge (history, at, g_test_rand_double_range (-5.0, 5.0));
    break;
  }
}

static void
some_group (ModelHistory *history)
{
  int kind = g_test_rand_int_range (0, 10);

  if (kind < 4)
  {
    some_edit (history);
    return;
  }
  if (kind == 9)
    model_history_begin_merging (history, "Merging", g_test_rand_bit () ? "a" : "b");
  else
    model_history_begin (history, "Group");
  for (int n = g_test_rand_int_range (0, 9); n > 0; n--)
    some_edit (history);
  if (kind == 4)
    model_history_cancel (history);
  else
    model_history_end (history);
}

/* STATES[p] is the text at position p.  Whatever happens in between, going back and on must give the same
 * texts. */
static void
test_all_the_way_back (void)
{
  for (int round = 0; round < 40; round++)
  {
    g_autoptr (ModelHistory) history = small_history ();
    g_autoptr (GPtrArray) states = g_ptr_array_new_with_free_func (g_free);

    g_ptr_array_add (states, state_of (history));
    for (int i = 0; i < 60; i++)
    {
      guint position;

      some_group (history);
      assert_readable (history);
      position = model_history_position (history);
      /* One more, the same again, or (merged and idle) one less. */
      g_assert_cmpuint (position, <=, states->len);
      if (model_history_length (history) == position)
      {
        g_ptr_array_set_size (states, (int)position);
        g_ptr_array_add (states, state_of (history));
      }
      else
        assert_state (history, states->pdata[position]);
      if (g_test_rand_int_range (0, 12) == 0)
        model_history_undo (history);
    }
    g_assert_cmpuint (states->len, ==, model_history_length (history) + 1);
    model_history_go_to (history, model_history_length (history));
    for (guint p = states->len - 1; p > 0; p--)
    {
      assert_state (history, states->pdata[p]);
      model_history_undo (history);
    }
    assert_state (history, states->pdata[0]);
    g_assert_false (model_history_can_undo (history));
    for (guint p = 1; p < states->len; p++)
    {
      model_history_redo (history);
      assert_state (history, states->pdata[p]);
    }
    g_assert_false (model_history_can_redo (history));
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/history/one-step", test_one_step);
  g_test_add_func ("/model/history/head", test_head);
  g_test_add_func ("/model/history/drag-is-one-step", test_drag_is_one_step);
  g_test_add_func ("/model/history/nesting-and-labels", test_nesting_and_labels);
  g_test_add_func ("/model/history/idle-group-is-dropped", test_idle_group_is_dropped);
  g_test_add_func ("/model/history/idle-group-keeps-redo", test_idle_group_keeps_redo);
  g_test_add_func ("/model/history/cancel", test_cancel);
  g_test_add_func ("/model/history/removal-goes-back-to-its-place", test_removal_goes_back_to_its_place);
  g_test_add_func ("/model/history/moves-in-one-group", test_moves_in_one_group);
  g_test_add_func ("/model/history/merging", test_merging);
  g_test_add_func ("/model/history/merging-ends-after-a-second", test_merging_ends_after_a_second);
  g_test_add_func ("/model/history/saved-mark", test_saved_mark);
  g_test_add_func ("/model/history/go-to", test_go_to);
  g_test_add_func ("/model/history/signals", test_signals);
  g_test_add_func ("/model/history/join-loses-its-edges", test_join_loses_its_edges);
  g_test_add_func ("/model/history/panel-forgets-its-material", test_panel_forgets_its_material);
  g_test_add_func ("/model/history/join-with-itself", test_join_with_itself);
  g_test_add_func ("/model/history/absurd-numbers", test_absurd_numbers);
  g_test_add_func ("/model/history/all-the-way-back", test_all_the_way_back);
  return g_test_run ();
}
