/* Each remedy is an attempt: some nodes are freed, the broken join is wanted right, and every reading that
 * holds and has a part in what may move is wanted as it is.  If that cannot be met, the corners that meet the
 * moved ones on the other panels are freed too, and what hangs on those is wanted as it is, and so on:
 *
 *      front ─┐ ┌─ side        the side's hem corner moves; its hem is joined to the plate,
 *             │ │◄             so either it moves so that the hem keeps its length,
 *      ───────┘ └───────       or the plate's corner follows
 *      plate
 */
#include "engine/settle.h"

#include "engine/remedy.h"
#include "engine/run.h"
#include "engine/solve.h"
#include "engine/tolerance.h"
#include "engine/words.h"

#include <glib/gi18n.h>

enum
{
  MOST_FOLLOWERS = 12,
  DEEPEST = 3, /* rounds of followers */
  MOST_REMEDIES = 4
};

/* Followers move only as far as they must. */
#define FOLLOWER_WEIGHT 4.0
/* A slide this many times as long as the difference is a poor one and goes last; beyond the second figure it
 * is another shape. */
#define POOR_SLIDE 2.5
#define WORST_SLIDE 8.0
/* What a joined neighbour and the end that the marks speak against cost, in slides as long as the difference.
 */
#define JOINED_COST 0.4
#define AGAINST_MARKS_COST 50.0
#define FOLLOWER_COST 0.5
/* Shown with one decimal: less is nothing. */
#define SHOWN_MM 0.05

typedef struct Freed
{
  guint panel_id, node_id; /* NODE_ID may be a mark's */
} Freed;

typedef struct Attempt
{
  EngineReview *review;
  const ModelDocument *doc;
  const ModelJoin *join;
  const EngineJoinReading *reading;
  double difference_mm;
  EngineSolve *solve;
  GArray *freed;  /* Freed */
  GArray *wanted; /* guint: indices of readings already wanted */
} Attempt;

/* ---- runs and corners ---- */

bool
engine_settle_corner (const ModelPanel *panel,
                      const ModelRun *run,
                      bool at_end,
                      guint *edge_index,
                      guint *beside_index,
                      guint *corner_id)
{
  if (!panel || run->edges->len == 0 || engine_run_is_cut (run, at_end))
    return false;
  guint n = panel->edges->len;
  bool drawn_end = at_end != run->reversed;
  int index
    = model_panel_find_edge (panel, g_array_index (run->edges, guint, drawn_end ? run->edges->len - 1 : 0));
  if (index < 0 || n < 2)
    return false;
  *edge_index = (guint)index;
  *beside_index = drawn_end ? (*edge_index + 1) % n : (*edge_index + n - 1) % n;
  *corner_id = model_edge_node (model_panel_edge (panel, drawn_end ? *beside_index : *edge_index), 0)->id;
  return true;
}

static const ModelRun *
run_of (const ModelJoin *join, bool is_b)
{
  return is_b ? &join->b : &join->a;
}

static ModelSide
side_of (const EngineJoinReading *reading, bool is_b)
{
  return is_b ? reading->side_b : reading->side_a;
}

static const ModelPanel *
panel_of (const Attempt *attempt, const ModelRun *run)
{
  return model_document_panel (attempt->doc, run->panel_id);
}

static bool
node_is_in_run (const ModelPanel *panel, const ModelRun *run, guint node_id)
{
  guint edge, node;
  if (!panel || !model_panel_find_node (panel, node_id, &edge, &node))
    return false;
  guint before = (edge + panel->edges->len - 1) % panel->edges->len;
  for (guint i = 0; i < run->edges->len; i++)
  {
    guint id = g_array_index (run->edges, guint, i);
    if (id == model_panel_edge (panel, edge)->id || (node == 0 && id == model_panel_edge (panel, before)->id))
      return true;
  }
  return false;
}

/* What a run ends in: a corner or a mark.  False: neither is there. */
static bool
run_end (const ModelPanel *panel, const ModelRun *run, bool at_end, guint *id)
{
  guint edge, beside;
  if (!engine_run_is_cut (run, at_end))
    return engine_settle_corner (panel, run, at_end, &edge, &beside, id);
  *id = at_end != run->reversed ? run->to_mark_id : run->from_mark_id;
  return panel && model_panel_find_mark (panel, *id);
}

/* How a node of PANEL is to move for the reading's sake. */
static EngineMove
move_on (const ModelPanel *panel, ModelSide side, bool apart)
{
  if (!apart || !engine_panel_is_mirrored (panel) || !panel->own_sides)
    return ENGINE_MOVE_ALIKE;
  return side == MODEL_SIDE_CENTRE || side == engine_panel_drawn_side (panel) ? ENGINE_MOVE_DRAWN
                                                                              : ENGINE_MOVE_OTHER;
}

static bool
has_sides_apart (const Attempt *attempt)
{
  const ModelPanel *a = panel_of (attempt, &attempt->join->a), *b = panel_of (attempt, &attempt->join->b);
  return (a && a->own_sides) || (b && b->own_sides);
}

/* ---- an attempt ---- */

static Attempt
attempt_on (EngineReview *review, const EngineFinding *finding, const EngineJoinReading *reading)
{
  Attempt attempt = { .review = review, .doc = engine_review_document (review), .reading = reading };
  attempt.join = model_document_join (attempt.doc, finding->join_id);
  attempt.difference_mm = reading->difference_mm;
  return attempt;
}

static void
open_attempt (Attempt *attempt)
{
  attempt->solve = engine_solve_new (attempt->doc);
  attempt->freed = g_array_new (FALSE, FALSE, sizeof (Freed));
  attempt->wanted = g_array_new (FALSE, FALSE, sizeof (guint));
}

static void
close_attempt (Attempt *attempt)
{
  engine_solve_free (attempt->solve);
  g_array_unref (attempt->freed);
  g_array_unref (attempt->wanted);
}

static bool
loosen (Attempt *attempt, guint panel_id, guint node_id, EngineGrip grip, EngineMove move, double weight)
{
  if (!engine_solve_loosen (attempt->solve, panel_id, node_id, grip, move, weight))
    return false;
  Freed freed = { panel_id, node_id };
  g_array_append_val (attempt->freed, freed);
  return true;
}

/* The same for what a run ends in. */
static bool
loosen_end (
  Attempt *attempt, const ModelPanel *panel, const ModelRun *run, bool at_end, EngineMove move, double weight)
{
  guint id;
  if (!run_end (panel, run, at_end, &id))
    return false;
  if (!engine_run_is_cut (run, at_end))
    return loosen (attempt, panel->id, id, ENGINE_GRIP_NODE, move, weight);
  if (!engine_solve_loosen_mark (attempt->solve, panel->id, id, weight))
    return false;
  Freed freed = { panel->id, id };
  g_array_append_val (attempt->freed, freed);
  return true;
}

static bool
touches_run (const Attempt *attempt, const ModelRun *run, guint *node_id)
{
  for (guint i = 0; i < attempt->freed->len; i++)
  {
    const Freed *freed = &g_array_index (attempt->freed, Freed, i);
    if (freed->panel_id != run->panel_id
        || (freed->node_id != run->from_mark_id && freed->node_id != run->to_mark_id
            && !node_is_in_run (panel_of (attempt, run), run, freed->node_id)))
      continue;
    if (node_id)
      *node_id = freed->node_id;
    return true;
  }
  return false;
}

static bool
is_wanted (const Attempt *attempt, guint index)
{
  for (guint i = 0; i < attempt->wanted->len; i++)
    if (g_array_index (attempt->wanted, guint, i) == index)
      return true;
  return false;
}

static void
want_difference (Attempt *attempt, const EngineJoinReading *reading, double difference_mm)
{
  const ModelJoin *join = model_document_join (attempt->doc, reading->join_id);
  double percent = join->ease_in_percent ? join->ease_percent / 100.0 : 0.0;
  engine_solve_want (attempt->solve, (join->ease_in_percent ? 0.0 : join->ease_mm) + difference_mm);
  engine_solve_add_run (attempt->solve, &join->b, reading->side_b, 1.0);
  engine_solve_add_run (attempt->solve, &join->a, reading->side_a, -1.0 - percent);
}

/* Wants every reading that holds and that something freed has a part in to stay as it is.  Own: the broken
 * one, which is wanted by the caller. */
static void
want_the_rest (Attempt *attempt)
{
  const GArray *readings = engine_review_readings (attempt->review);
  for (guint i = 0; i < readings->len; i++)
  {
    const EngineJoinReading *reading = &g_array_index (readings, EngineJoinReading, i);
    if (!reading->holds || is_wanted (attempt, i))
      continue;
    const ModelJoin *join = model_document_join (attempt->doc, reading->join_id);
    if (!join || (!touches_run (attempt, &join->a, NULL) && !touches_run (attempt, &join->b, NULL)))
      continue;
    want_difference (attempt, reading, reading->difference_mm);
    g_array_append_val (attempt->wanted, i);
  }
}

/* Frees what meets NODE_ID, an end of one run of READING, on the other run. */
static bool
free_partner (Attempt *attempt, const EngineJoinReading *reading, bool is_b, guint node_id, bool apart)
{
  const ModelJoin *join = model_document_join (attempt->doc, reading->join_id);
  const ModelRun *run = run_of (join, is_b), *partner = run_of (join, !is_b);
  const ModelPanel *panel = panel_of (attempt, run), *other = panel_of (attempt, partner);
  guint id;
  for (int end = 0; end < 2; end++)
    if (run_end (panel, run, end, &id) && id == node_id)
      return loosen_end (attempt, other, partner, end, move_on (other, side_of (reading, !is_b), apart),
                         FOLLOWER_WEIGHT);
  return false;
}

/* One round of followers.  False: nobody is left that could. */
static bool
free_followers (Attempt *attempt, bool apart)
{
  const GArray *readings = engine_review_readings (attempt->review);
  bool any = false;
  for (guint w = 0; w < attempt->wanted->len; w++)
  {
    const EngineJoinReading *reading
      = &g_array_index (readings, EngineJoinReading, g_array_index (attempt->wanted, guint, w));
    const ModelJoin *join = model_document_join (attempt->doc, reading->join_id);
    guint freed = attempt->freed->len;
    for (int is_b = 0; is_b < 2; is_b++)
      for (guint i = 0; i < freed && attempt->freed->len < MOST_FOLLOWERS; i++)
      {
        Freed one = g_array_index (attempt->freed, Freed, i);
        if (one.panel_id == run_of (join, is_b)->panel_id)
          any = free_partner (attempt, reading, is_b, one.node_id, apart) || any;
      }
  }
  return any;
}

/* Solves; followers join in until it comes out. */
static bool
solve_with_followers (Attempt *attempt, bool apart, double most_mm)
{
  for (int depth = 0; depth <= DEEPEST; depth++)
  {
    want_the_rest (attempt);
    if (engine_solve_run (attempt->solve, most_mm))
      return true;
    if (!free_followers (attempt, apart))
      return false;
  }
  return false;
}

/* A line about the panels that moved without being named: "Hip plate follows by 0.4 mm." */
static char *
words_for_followers (const Attempt *attempt, const GPtrArray *panels, guint *count)
{
  g_autoptr (GString) words = g_string_new (NULL);
  *count = 0;
  for (guint i = 0; i < panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (panels, i);
    double by = engine_solve_moved_mm (attempt->solve, panel->id);
    if (panel->id == attempt->join->a.panel_id || panel->id == attempt->join->b.panel_id || by < SHOWN_MM)
      continue;
    g_autofree char *name = engine_words_panel (attempt->doc, panel->id);
    g_autofree char *length = engine_words_length (attempt->doc, by);
    if (words->len > 0)
      g_string_append_c (words, ' ');
    /* Translators: a panel that must change too so that its join keeps holding, how far. */
    g_string_append_printf (words, _ ("%1$s follows by %2$s."), name, length);
    ++*count;
  }
  return words->len > 0 ? g_string_free (g_steal_pointer (&words), FALSE) : NULL;
}

static EngineRemedy *
remedy_of (const Attempt *attempt, char *text_taken, guint *followers)
{
  g_autoptr (GPtrArray) panels = engine_solve_take_panels (attempt->solve);
  EngineRemedy *remedy = engine_remedy_new (text_taken, words_for_followers (attempt, panels, followers));
  for (guint i = 0; i < panels->len; i++)
    engine_remedy_add (remedy, MODEL_PART_PANEL, model_panel_copy (g_ptr_array_index (panels, i)));
  return remedy;
}

/* ---- the angle at a corner ---- */

static void
add_corner_angle (Attempt *attempt, bool is_b, bool at_end)
{
  const ModelRun *run = run_of (attempt->join, is_b);
  const ModelPanel *panel = panel_of (attempt, run);
  ModelSide side = side_of (attempt->reading, is_b);
  guint edge, beside, corner;
  engine_settle_corner (panel, run, at_end, &edge, &beside, &corner);
  bool drawn_end = at_end != run->reversed;
  guint in = drawn_end ? edge : beside, out = drawn_end ? beside : edge;
  /* The inner angle: half a turn less what the outline turns left.  On the mirrored side all turns are the
   * other way. */
  bool mirrored = engine_panel_is_mirrored (panel) && panel->own_sides && side != MODEL_SIDE_CENTRE
                  && side != engine_panel_drawn_side (panel);
  double way = mirrored ? -1.0 : 1.0;
  engine_solve_add_direction (attempt->solve, panel->id, side, model_panel_edge (panel, in)->id, true, way);
  engine_solve_add_direction (attempt->solve, panel->id, side, model_panel_edge (panel, out)->id, false,
                              -way);
}

/* Wants the inner angle at the corner as it is, and frees what can keep it so: the neighbour's handle there;
 * the far corner of a straight neighbour, which then slides as a whole. */
static void
keep_true (Attempt *attempt, bool is_b, bool at_end, bool apart)
{
  const ModelRun *run = run_of (attempt->join, is_b);
  const ModelPanel *panel = panel_of (attempt, run);
  EngineMove move = move_on (panel, side_of (attempt->reading, is_b), apart);
  guint edge, beside, corner;
  if (!engine_settle_corner (panel, run, at_end, &edge, &beside, &corner))
    return;
  engine_solve_want_as_is (attempt->solve);
  add_corner_angle (attempt, is_b, at_end);
  bool arrives = at_end == run->reversed; /* the neighbour ends at the corner */
  const ModelEdge *its = model_panel_edge (panel, beside);
  guint far
    = arrives ? model_edge_node (its, its->nodes->len - 1)->id : model_panel_next_node (panel, beside, 0)->id;
  if (!loosen (attempt, panel->id, corner, arrives ? ENGINE_GRIP_IN : ENGINE_GRIP_OUT, move, 1.0))
    loosen (attempt, panel->id, far, ENGINE_GRIP_NODE, move, 1.0);
}

/* ---- which end ---- */

EngineLies
engine_settle_where (EngineReview *review, const EngineJoinReading *reading)
{
  const ModelJoin *join = model_document_join (engine_review_document (review), reading->join_id);
  if (!join || join->matches->len == 0)
    return ENGINE_LIES_ANYWHERE;
  double first = INFINITY, last = -INFINITY, at_first = 0.0, at_last = 0.0;
  for (guint i = 0; i < join->matches->len; i++)
  {
    const ModelMatch *match = &g_array_index (join->matches, ModelMatch, i);
    double a, b;
    if (!engine_review_mark_along (review, &join->a, reading->side_a, match->a_mark_id, &a)
        || !engine_review_mark_along (review, &join->b, reading->side_b, match->b_mark_id, &b))
      continue;
    double over = b - a - engine_review_ease_before (review, reading, a);
    if (a < first)
    {
      first = a;
      at_first = over;
    }
    if (a > last)
    {
      last = a;
      at_last = over;
    }
  }
  if (!isfinite (first))
    return ENGINE_LIES_ANYWHERE;
  double whole = reading->difference_mm, before = fabs (at_first), after = fabs (whole - at_last);
  double between = fabs (at_last - at_first);
  if (between > before && between > after)
    return ENGINE_LIES_BETWEEN;
  return after >= before ? ENGINE_LIES_AT_END : ENGINE_LIES_AT_START;
}

/* ---- slides ---- */

/* Tried in this order: the corner alone; so that its angle stays; and both for one side alone. */
enum
{
  WAY_TRUE = 1,
  WAY_APART = 2,
  WAYS = 4
};

typedef struct Slide
{
  EngineRemedy *remedy; /* NULL: none found */
  double cost;
  bool at_end;
} Slide;

static bool
is_joined (const Attempt *attempt, guint panel_id, guint edge_id)
{
  for (guint i = 0; i < attempt->doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (attempt->doc->joins, i);
    for (int is_b = 0; is_b < 2; is_b++)
    {
      const ModelRun *run = run_of (join, is_b);
      for (guint k = 0; run->panel_id == panel_id && k < run->edges->len; k++)
        if (g_array_index (run->edges, guint, k) == edge_id)
          return true;
    }
  }
  return false;
}

static char *
slide_text (const Attempt *attempt, bool is_b, const ModelPanel *panel, bool at_end, double by_mm)
{
  g_autofree char *length = engine_words_length (attempt->doc, by_mm);
  g_autofree char *who = engine_words_run_owner (attempt->doc, attempt->join, is_b);
  guint edge, beside, corner;
  const char *end = "";
  if (engine_settle_corner (panel, run_of (attempt->join, is_b), at_end, &edge, &beside, &corner))
    end = model_panel_edge (panel, beside)->name;
  else
    /* Translators: a join covers only a part of an edge, up to a mark; panel or edge, how far. */
    return g_strdup_printf (_ ("Move the mark at which the part of %1$s ends by %2$s"), who, length);
  if (*end)
    /* Translators: edge at which it ends, panel or edge that is changed, how far. */
    return g_strdup_printf (_ ("Slide the %1$s end of %2$s by %3$s"), end, who, length);
  return g_strdup_printf (_ ("Slide the end of %1$s by %2$s"), who, length);
}

/* Slides one end of one run until the lengths agree. */
static bool
try_slide (Attempt *attempt, const EngineFinding *finding, bool is_b, bool at_end, int way, Slide *out)
{
  const ModelRun *run = run_of (attempt->join, is_b);
  const ModelPanel *panel = panel_of (attempt, run);
  guint edge, beside, corner, followers = 0;
  bool apart = way & WAY_APART;
  if (!run_end (panel, run, at_end, &corner) || ((way & WAY_TRUE) && engine_run_is_cut (run, at_end)))
    return false;
  open_attempt (attempt);
  want_difference (attempt, attempt->reading, 0.0);
  double size = fabs (attempt->difference_mm);
  bool found
    = loosen_end (attempt, panel, run, at_end, move_on (panel, side_of (attempt->reading, is_b), apart), 1.0);
  if (found && (way & WAY_TRUE))
    keep_true (attempt, is_b, at_end, apart);
  found = found && solve_with_followers (attempt, apart, WORST_SLIDE * size);
  if (found)
  {
    double by = engine_solve_moved_mm (attempt->solve, panel->id);
    out->remedy = remedy_of (attempt, slide_text (attempt, is_b, panel, at_end, by), &followers);
    out->at_end = at_end;
    out->cost = by / size + FOLLOWER_COST * followers;
    if (engine_settle_corner (panel, run, at_end, &edge, &beside, &corner)
        && is_joined (attempt, panel->id, model_panel_edge (panel, beside)->id))
      out->cost += JOINED_COST;
    found = engine_remedy_settles (attempt->review, finding, out->remedy);
    if (!found)
      g_clear_pointer (&out->remedy, engine_remedy_free);
  }
  close_attempt (attempt);
  return found;
}

static Slide
best_slide (Attempt *attempt, const EngineFinding *finding, bool is_b, EngineLies lies)
{
  Slide best = { .cost = INFINITY };
  bool wanted_end = lies != ENGINE_LIES_AT_START;
  for (int turn = 0; turn < 2; turn++)
  {
    bool at_end = turn == 0 ? wanted_end : !wanted_end;
    Slide slide = { 0 };
    bool found = false;
    for (int way = 0; way < WAYS && !found; way++)
      found = (!(way & WAY_APART) || has_sides_apart (attempt))
              && try_slide (attempt, finding, is_b, at_end, way, &slide);
    if (!found)
      continue;
    if (lies != ENGINE_LIES_ANYWHERE && (lies == ENGINE_LIES_BETWEEN || at_end != wanted_end))
      slide.cost += AGAINST_MARKS_COST;
    if (slide.cost < best.cost)
    {
      engine_remedy_free (best.remedy);
      best = slide;
    }
    else
      engine_remedy_free (slide.remedy);
    if (best.remedy && lies != ENGINE_LIES_ANYWHERE && lies != ENGINE_LIES_BETWEEN)
      break;
  }
  return best;
}

/* Both runs, each by half. */
static EngineRemedy *
half_each (Attempt *attempt, const EngineFinding *finding, bool end_a, bool end_b, int way)
{
  const ModelJoin *join = attempt->join;
  const EngineJoinReading *reading = attempt->reading;
  const ModelPanel *pa = panel_of (attempt, &join->a), *pb = panel_of (attempt, &join->b);
  guint followers;
  if (!pa || !pb)
    return NULL;
  /* Where the ease is a part of a, b is wanted longer with it. */
  double percent = join->ease_in_percent ? join->ease_percent / 100.0 : 0.0,
         half = attempt->difference_mm / 2.0;
  bool apart = way & WAY_APART;
  EngineRemedy *remedy = NULL;
  open_attempt (attempt);
  engine_solve_want (attempt->solve, reading->length_a_mm + half / (percent > -0.5 ? 1.0 + percent : 1.0));
  engine_solve_add_run (attempt->solve, &join->a, reading->side_a, 1.0);
  engine_solve_want (attempt->solve, reading->length_b_mm - half);
  engine_solve_add_run (attempt->solve, &join->b, reading->side_b, 1.0);
  bool found = loosen_end (attempt, pa, &join->a, end_a, move_on (pa, reading->side_a, apart), 1.0)
               && loosen_end (attempt, pb, &join->b, end_b, move_on (pb, reading->side_b, apart), 1.0);
  if (found && (way & WAY_TRUE))
  {
    keep_true (attempt, false, end_a, apart);
    keep_true (attempt, true, end_b, apart);
  }
  if (found && solve_with_followers (attempt, apart, POOR_SLIDE * fabs (attempt->difference_mm)))
  {
    g_autofree char *length = engine_words_length (attempt->doc, fabs (half));
    /* Translators: both sides of the join are changed by these amounts, which are equal. */
    remedy
      = remedy_of (attempt, g_strdup_printf (_ ("Half each, %1$s and %2$s"), length, length), &followers);
    if (!engine_remedy_settles (attempt->review, finding, remedy))
      g_clear_pointer (&remedy, engine_remedy_free);
  }
  close_attempt (attempt);
  return remedy;
}

/* The same end of both first. */
static EngineRemedy *
best_half (Attempt *attempt, const EngineFinding *finding, const Slide *a, const Slide *b, EngineLies lies)
{
  bool end = lies == ENGINE_LIES_AT_START ? false : b->remedy ? b->at_end : a->remedy ? a->at_end : true;
  const bool ends[4][2] = { { end, end }, { a->at_end, b->at_end }, { !end, !end }, { !end, end } };
  int apart = has_sides_apart (attempt);
  for (int i = 0; i < (lies == ENGINE_LIES_ANYWHERE ? 4 : 2); i++)
    for (int way = 0; way < (apart ? WAYS : WAY_APART); way++)
    {
      EngineRemedy *remedy = half_each (attempt, finding, ends[i][0], ends[i][1], way);
      if (remedy)
        return remedy;
    }
  return NULL;
}

/* ---- in the middle ---- */

/* The run's ends and the tangents there stay; marks that end it go along with their edge as they must. */
static void
loosen_middle (Attempt *attempt, const ModelRun *run, const ModelPanel *panel, EngineMove move)
{
  for (int end = 0; end < 2; end++)
    if (engine_run_is_cut (run, end))
      loosen_end (attempt, panel, run, end, move, 1.0);
  for (guint i = 0; i < run->edges->len; i++)
  {
    int index = model_panel_find_edge (panel, g_array_index (run->edges, guint, i));
    if (index < 0)
      continue;
    const ModelEdge *edge = model_panel_edge (panel, (guint)index);
    guint next = model_edge_node (model_panel_edge (panel, ((guint)index + 1) % panel->edges->len), 0)->id;
    for (guint k = 0; k < edge->nodes->len; k++)
    {
      guint node = model_edge_node (edge, k)->id;
      if (k > 0)
      {
        loosen (attempt, panel->id, node, ENGINE_GRIP_NODE, move, 1.0);
        loosen (attempt, panel->id, node, ENGINE_GRIP_IN_ALONG, move, 1.0);
      }
      loosen (attempt, panel->id, node, ENGINE_GRIP_OUT_ALONG, move, 1.0);
    }
    loosen (attempt, panel->id, next, ENGINE_GRIP_IN_ALONG, move, 1.0);
  }
}

static EngineRemedy *
in_the_middle (Attempt *attempt, const EngineFinding *finding, bool is_b, bool apart)
{
  const ModelRun *run = run_of (attempt->join, is_b);
  const ModelPanel *panel = panel_of (attempt, run);
  if (!panel)
    return NULL;
  guint followers;
  EngineRemedy *remedy = NULL;
  double size = fabs (attempt->difference_mm);
  open_attempt (attempt);
  want_difference (attempt, attempt->reading, 0.0);
  loosen_middle (attempt, run, panel, move_on (panel, side_of (attempt->reading, is_b), apart));
  want_the_rest (attempt);
  if (engine_solve_run (attempt->solve, WORST_SLIDE * size))
  {
    g_autofree char *length = engine_words_length (attempt->doc, size);
    g_autofree char *who = engine_words_run_owner (attempt->doc, attempt->join, is_b);
    bool longer = (attempt->difference_mm > 0.0) != is_b;
    remedy = remedy_of (attempt,
                        g_strdup_printf (longer ? _ ("Lengthen %1$s in the middle by %2$s")
                                                : _ ("Shorten %1$s in the middle by %2$s"),
                                         who, length),
                        &followers);
    if (!engine_remedy_settles (attempt->review, finding, remedy))
      g_clear_pointer (&remedy, engine_remedy_free);
  }
  close_attempt (attempt);
  return remedy;
}

static EngineRemedy *
best_middle (Attempt *attempt, const EngineFinding *finding, bool is_b)
{
  EngineRemedy *remedy = in_the_middle (attempt, finding, is_b, false);
  return remedy || !has_sides_apart (attempt) ? remedy : in_the_middle (attempt, finding, is_b, true);
}

/* ---- ease ---- */

/* Where b's marks must go so that each gets its share of the ease. */
static ModelPanel *
marks_at_their_share (const Attempt *attempt)
{
  const ModelJoin *join = attempt->join;
  const EngineJoinReading *reading = attempt->reading;
  EngineJoinReading eased = *reading;
  eased.ease_mm += reading->difference_mm;
  ModelPanel *panel = model_panel_copy (panel_of (attempt, &join->b));
  for (guint i = 0; i < join->matches->len; i++)
  {
    const ModelMatch *match = &g_array_index (join->matches, ModelMatch, i);
    ModelMark *mark = model_panel_find_mark (panel, match->b_mark_id);
    double a, b;
    if (!mark || !(reading->length_a_mm > 0.0)
        || !engine_review_mark_along (attempt->review, &join->a, reading->side_a, match->a_mark_id, &a)
        || !engine_review_mark_along (attempt->review, &join->b, reading->side_b, match->b_mark_id, &b))
      continue;
    double by = a + engine_review_ease_before (attempt->review, &eased, a) - b;
    mark->at_mm = fmax (mark->at_mm + (join->b.reversed ? -by : by), 0.0);
  }
  return panel;
}

static bool
offer_ease (const Attempt *attempt, const EngineFinding *finding, GPtrArray *out)
{
  for (int with_marks = 0; with_marks < 2; with_marks++)
  {
    ModelJoin *join = model_join_copy (attempt->join);
    g_autofree char *length = engine_words_length (attempt->doc, fabs (attempt->difference_mm));
    g_autofree char *who = engine_words_run_owner (attempt->doc, join, true);
    if (join->ease_in_percent)
      join->ease_percent
        = 100.0 * (attempt->reading->ease_mm + attempt->difference_mm) / attempt->reading->length_a_mm;
    else
      join->ease_mm += attempt->difference_mm;
    EngineRemedy *remedy = engine_remedy_new (
      g_strdup_printf (_ ("Ease in %s, on purpose"), length),
      with_marks ? g_strdup_printf (_ ("The marks on %s move to their share."), who) : NULL);
    engine_remedy_add (remedy, MODEL_PART_JOIN, join);
    if (with_marks)
      engine_remedy_add (remedy, MODEL_PART_PANEL, marks_at_their_share (attempt));
    if (engine_remedy_offer (attempt->review, finding, out, remedy))
      return true;
    if (attempt->join->matches->len == 0)
      return false;
  }
  return false;
}

/* ---- all of them ---- */

static void
add (GPtrArray *list, EngineRemedy *remedy)
{
  if (remedy)
    g_ptr_array_add (list, remedy);
}

void
engine_settle_length (EngineReview *review,
                      const EngineFinding *finding,
                      const EngineJoinReading *reading,
                      GPtrArray *out)
{
  Attempt attempt = attempt_on (review, finding, reading);
  if (!attempt.join || !isfinite (attempt.difference_mm))
    return;
  bool b_longer = attempt.difference_mm > 0.0;
  EngineLies lies = engine_settle_where (review, reading);
  Slide slides[2]; /* the longer run's, the other's */
  for (int i = 0; i < 2; i++)
    slides[i] = best_slide (&attempt, finding, i == 0 ? b_longer : !b_longer, lies);
  const Slide *a = &slides[b_longer ? 1 : 0], *b = &slides[b_longer ? 0 : 1];
  EngineRemedy *half = best_half (&attempt, finding, a, b, lies);

  g_autoptr (GPtrArray) good = g_ptr_array_new (), poor = g_ptr_array_new ();
  bool other_is_better = slides[1].cost < POOR_SLIDE && slides[0].cost >= POOR_SLIDE;
  for (int i = 0; i < 2; i++)
  {
    const Slide *slide = &slides[other_is_better ? 1 - i : i];
    add (slide->cost < POOR_SLIDE ? good : poor, slide->remedy);
  }
  add (good, half);
  for (int i = 0; i < 2 && good->len + 1 < MOST_REMEDIES; i++)
    add (good, best_middle (&attempt, finding, i == 0 ? b_longer : !b_longer));
  for (guint i = 0; i < good->len; i++)
    g_ptr_array_add (out, g_ptr_array_index (good, i));
  offer_ease (&attempt, finding, out);
  for (guint i = 0; i < poor->len; i++)
    if (out->len < MOST_REMEDIES)
      g_ptr_array_add (out, g_ptr_array_index (poor, i));
    else
      engine_remedy_free (g_ptr_array_index (poor, i));
}

static bool
run_is_locked (const ModelPanel *panel, const ModelRun *run)
{
  if (!panel || panel->locked)
    return true;
  for (guint i = 0; i < run->edges->len; i++)
  {
    int index = model_panel_find_edge (panel, g_array_index (run->edges, guint, i));
    if (index >= 0 && !model_panel_edge (panel, (guint)index)->locked)
      return false;
  }
  return true;
}

char *
engine_settle_why_not (EngineReview *review, const EngineJoinReading *reading)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelJoin *join = model_document_join (doc, reading->join_id);
  if (!join || !run_is_locked (model_document_panel (doc, join->a.panel_id), &join->a)
      || !run_is_locked (model_document_panel (doc, join->b.panel_id), &join->b))
    return NULL;
  return g_strdup (_ ("Both are locked: neither can be made to fit the other."));
}

/* ---- truth ---- */

/* Gives a straight piece at the corner handles at its thirds, so that it can be turned. */
static void
give_handles (ModelPanel *panel, guint edge_index, bool at_end)
{
  ModelEdge *edge = model_panel_edge (panel, edge_index);
  guint last = edge->nodes->len - 1;
  ModelNode *a = model_edge_node (edge, at_end ? last : 0);
  ModelNode *b = model_panel_next_node (panel, edge_index, at_end ? last : 0);
  if (panel->locked || edge->locked || (edge->fold && panel->halves == MODEL_HALVES_FOLD))
    return;
  bool bare_a = geom_same_point (a->out, a->at), bare_b = geom_same_point (b->in, b->at);
  if (!bare_a && !bare_b)
    return;
  GeomPoint from = a->at, to = b->at;
  if (bare_a)
    a->out = geom_mix (from, bare_b ? to : b->in, 1.0 / 3.0);
  if (bare_b)
    b->in = geom_mix (to, bare_a ? from : a->out, 1.0 / 3.0);
}

/* The neighbour of one run, turned at the corner; its far handle gives way where its length is wanted. */
static bool
loosen_neighbour (Attempt *attempt, bool is_b, bool at_end, bool apart, bool turns)
{
  const ModelRun *run = run_of (attempt->join, is_b);
  ModelPanel *panel = engine_solve_panel (attempt->solve, run->panel_id);
  guint edge, beside, corner;
  if (!engine_settle_corner (panel, run, at_end, &edge, &beside, &corner))
    return false;
  bool arrives = at_end == run->reversed; /* the neighbour ends at the corner */
  if (!turns)
    return true;
  give_handles (panel, beside, arrives);
  EngineMove move = move_on (panel, side_of (attempt->reading, is_b), apart);
  const ModelEdge *its = model_panel_edge (panel, beside);
  guint near = corner, far;
  if (arrives)
    far = model_edge_node (its, its->nodes->len - 1)->id;
  else
    far = model_panel_next_node (panel, beside, 0)->id;
  bool any = loosen (attempt, panel->id, near, arrives ? ENGINE_GRIP_IN : ENGINE_GRIP_OUT, move, 1.0);
  if (any)
    loosen (attempt, panel->id, far, arrives ? ENGINE_GRIP_OUT_ALONG : ENGINE_GRIP_IN_ALONG, move, 1.0);
  return any;
}

/* Turns the neighbours named until the two inner angles make half a turn. */
static EngineRemedy *
turn_neighbours (
  Attempt *attempt, const EngineFinding *finding, bool at_end, bool turn_a, bool turn_b, bool apart)
{
  EngineRemedy *remedy = NULL;
  guint followers;
  open_attempt (attempt);
  bool can = loosen_neighbour (attempt, false, at_end, apart, turn_a)
             && loosen_neighbour (attempt, true, at_end, apart, turn_b);
  if (can)
  {
    engine_solve_want (attempt->solve, ENGINE_SOLVE_ARM_MM * G_PI);
    add_corner_angle (attempt, false, at_end);
    add_corner_angle (attempt, true, at_end);
    /* The runs of the join itself do not change: their own handles stay. */
    want_the_rest (attempt);
    can = engine_solve_run (attempt->solve, ENGINE_SOLVE_ARM_MM);
  }
  if (can)
  {
    g_autofree char *a = engine_words_run_owner (attempt->doc, attempt->join, false);
    g_autofree char *b = engine_words_run_owner (attempt->doc, attempt->join, true);
    double half = fabs (finding->difference) / 2.0;
    char *text;
    if (turn_a && turn_b)
      /* Translators: both neighbouring edges are turned at the corner, together by this angle: panel or edge,
       * panel or edge, degrees. */
      text = g_strdup_printf (_ ("True %1$s and %2$s, together by %3$.1f°"), a, b, 2.0 * half);
    else
      text = g_strdup_printf (_ ("True %1$s alone, by %2$.1f°"), turn_a ? a : b, 2.0 * half);
    remedy = remedy_of (attempt, text, &followers);
    if (!engine_remedy_settles (attempt->review, finding, remedy))
      g_clear_pointer (&remedy, engine_remedy_free);
  }
  close_attempt (attempt);
  return remedy;
}

void
engine_settle_truth (EngineReview *review,
                     const EngineFinding *finding,
                     const EngineJoinReading *reading,
                     bool at_end,
                     GPtrArray *out)
{
  Attempt attempt = attempt_on (review, finding, reading);
  if (!attempt.join)
    return;
  static const bool who[3][2] = { { true, true }, { true, false }, { false, true } };
  int apart = has_sides_apart (&attempt);
  for (guint i = 0; i < G_N_ELEMENTS (who); i++)
    for (int one = 0; one <= apart; one++)
    {
      EngineRemedy *remedy = turn_neighbours (&attempt, finding, at_end, who[i][0], who[i][1], one);
      if (!remedy)
        continue;
      g_ptr_array_add (out, remedy);
      break;
    }
}
