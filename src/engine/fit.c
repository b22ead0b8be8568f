#include "engine/fit.h"

#include "engine/join-edit.h"
#include "engine/remedy.h"
#include "engine/settle.h"
#include "engine/tolerance.h"
#include "engine/words.h"
#include "model/file.h"
#include "model/rework.h"
#include "model/shape.h"

#include <glib/gi18n.h>

/* A neighbour flatter to the edge than this (sine) would throw the corner far off: then it goes square. */
#define LEAST_SINE 0.3
/* Shorter than this a chord has no direction a hand could tell. */
#define LEAST_CHORD_MM 1.0
/* Changes beyond this are no correction but another panel. */
#define MOST_MM 500.0
/* Looking through the panel for the depth of a dart. */
#define PROBE_STEP_MM 2.0
#define PROBE_MOST_MM 1200.0
#define LEAST_DART_MM 20.0

/* ---- moving an edge ---- */

static GeomPoint
where (const ModelPanel *panel, ModelSide side, guint node_id, ModelHandle handle)
{
  GeomPoint at = { 0.0, 0.0 };
  model_shape_where (panel, side, node_id, handle, &at);
  return at;
}

static guint
node_id (const ModelPanel *panel, guint edge, guint node)
{
  return model_edge_node (model_panel_edge (panel, edge % panel->edges->len), node)->id;
}

static bool
is_fold_corner (const ModelPanel *panel, guint id)
{
  int fold = model_panel_fold_edge (panel);
  return fold >= 0 && (node_id (panel, (guint)fold, 0) == id || node_id (panel, (guint)fold + 1, 0) == id);
}

/* The direction in which the neighbouring edge arrives at or leaves corner (EDGE, 0). */
static GeomPoint
neighbour_direction (const ModelPanel *panel, ModelSide side, guint edge, bool arriving)
{
  guint count = panel->edges->len;
  const ModelEdge *other = model_panel_edge (panel, (arriving ? edge + count - 1 : edge) % count);
  guint corner = node_id (panel, edge, 0);
  guint beyond_id = arriving ? model_edge_node (other, other->nodes->len - 1)->id
                             : model_panel_next_node (panel, edge % count, 0)->id;
  GeomPoint at = where (panel, side, corner, MODEL_HANDLE_NONE);
  const GeomPoint tries[] = { where (panel, side, corner, arriving ? MODEL_HANDLE_IN : MODEL_HANDLE_OUT),
                              where (panel, side, beyond_id, arriving ? MODEL_HANDLE_OUT : MODEL_HANDLE_IN),
                              where (panel, side, beyond_id, MODEL_HANDLE_NONE) };
  for (guint i = 0; i < G_N_ELEMENTS (tries); i++)
    if (geom_distance (tries[i], at) > ENGINE_TOL_CROSSING_MM)
      return geom_unit (geom_sub (tries[i], at));
  return (GeomPoint) { 0.0, 0.0 };
}

/* How far the corner goes so that it comes BY_MM along NORMAL and stays on its neighbour's line. */
static GeomPoint
corner_step (GeomPoint direction, GeomPoint normal, double by_mm)
{
  double along = geom_dot (direction, normal);
  return fabs (along) < LEAST_SINE ? geom_scale (normal, by_mm) : geom_scale (direction, by_mm / along);
}

static bool
moves_as_asked (ModelPanel *panel, ModelSide side, guint id, GeomPoint by)
{
  GeomPoint to = geom_add (where (panel, side, id, MODEL_HANDLE_NONE), by);
  if (geom_norm (by) > 0.0)
    model_shape_move_nodes (panel, side, &id, 1, by);
  return geom_distance (where (panel, side, id, MODEL_HANDLE_NONE), to) < ENGINE_TOL_CROSSING_MM;
}

static double
drawn_length (const ModelPanel *panel, guint index)
{
  GeomPath path, edge;
  g_autofree size_t *first = g_new (size_t, panel->edges->len);
  geom_path_init (&path);
  geom_path_init (&edge);
  model_panel_path (panel, &path, first);
  size_t end = index + 1 < panel->edges->len ? first[index + 1] : path.count;
  for (size_t k = first[index]; k < end; k++)
    geom_path_append (&edge, &path.piece[k]);
  double length = geom_path_length (&edge, ENGINE_TOL_LENGTH_MM);
  geom_path_clear (&path);
  geom_path_clear (&edge);
  return length;
}

/* Marks are kept by the drawn edge's length from its first corner.  Where both sides changed they stay on
 * their place of the leather; where one changed alone they keep their share, for then the other side's stay.
 * MOVED: an edge whose first corner moved. */
static void
keep_marks (ModelPanel *panel, const ModelPanel *before, guint stretched, guint moved, bool alone)
{
  for (guint e = 0; e < panel->edges->len; e++)
  {
    double was = drawn_length (before, e), now = drawn_length (panel, e);
    guint id = model_panel_edge (panel, e)->id;
    if (was <= 0.0)
      continue;
    for (guint i = 0; i < panel->marks->len; i++)
    {
      ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);
      if (mark->edge_id != id)
        continue;
      if (alone || e == stretched)
        mark->at_mm *= now / was;
      else if (e == moved)
        mark->at_mm += now - was;
      mark->at_mm = CLAMP (mark->at_mm, 0.0, now);
    }
  }
}

bool
engine_fit_move_edge (ModelPanel *panel, ModelSide side, guint edge_id, double by_mm, bool alone)
{
  int found = model_panel_find_edge (panel, edge_id);
  guint count = panel->edges->len;
  if (found < 0 || count < 2 || !(fabs (by_mm) <= MOST_MM) || model_panel_edge (panel, (guint)found)->fold)
    return false;
  guint e = (guint)found, next = (e + 1) % count;
  bool mirrored = engine_panel_is_mirrored (panel);
  ModelSide drawn = engine_panel_drawn_side (panel);
  if (!mirrored || side == MODEL_SIDE_CENTRE)
  {
    alone = false;
    side = drawn;
  }
  g_autoptr (ModelPanel) work = model_panel_copy (panel);
  if (alone && !work->own_sides)
  {
    model_shape_clear_corrections (work, 0);
    model_shape_set_own_sides (work, true);
  }
  g_autoptr (ModelPanel) before = model_panel_copy (work);
  guint first_id = node_id (work, e, 0), last_id = node_id (work, next, 0);
  GeomPoint a = where (work, side, first_id, MODEL_HANDLE_NONE),
            b = where (work, side, last_id, MODEL_HANDLE_NONE);
  GeomPoint chord = geom_sub (b, a);
  if (geom_norm (chord) < LEAST_CHORD_MM)
    return false;
  /* As drawn the outline runs counter-clockwise; its mirror image the other way round. */
  bool turned = mirrored && side != drawn;
  GeomPoint normal = geom_unit (turned ? geom_left_of (chord) : geom_right_of (chord));
  GeomPoint from = corner_step (neighbour_direction (work, side, e, true), normal, by_mm);
  GeomPoint to = corner_step (neighbour_direction (work, side, next, false), normal, by_mm);
  if (alone && is_fold_corner (work, first_id))
    from = geom_point (0.0, 0.0);
  if (alone && is_fold_corner (work, last_id))
    to = geom_point (0.0, 0.0);
  const ModelEdge *edge = model_panel_edge (before, e);
  g_autofree double *share = g_new0 (double, edge->nodes->len + 1);
  for (guint n = 1; n <= edge->nodes->len; n++)
    share[n] = share[n - 1]
               + geom_distance (where (before, side, node_id (before, e, n - 1), MODEL_HANDLE_NONE),
                                where (before, side, n < edge->nodes->len ? node_id (before, e, n) : last_id,
                                       MODEL_HANDLE_NONE));
  for (guint n = 0; n <= edge->nodes->len; n++)
  {
    guint id = n < edge->nodes->len ? node_id (before, e, n) : last_id;
    GeomPoint by
      = geom_mix (from, to, share[edge->nodes->len] > 0.0 ? share[n] / share[edge->nodes->len] : 0.0);
    if (!moves_as_asked (work, side, id, by))
      return false;
  }
  if (alone && side == drawn
      && !model_shape_take_side (work, before, model_side_other (drawn), geom_affine_identity ()))
    return false;
  if (!alone || side == drawn)
    keep_marks (work, before, e, next, alone);
  ModelPanel swap = *panel;
  *panel = *work;
  *work = swap;
  return true;
}

/* ---- which edges are meant ---- */

typedef struct Lying
{
  GeomPoint middle;
  bool upright;
} Lying;

static Lying
lie_of (const ModelPanel *panel, guint e)
{
  GeomPoint a = model_edge_node (model_panel_edge (panel, e), 0)->at,
            b = model_edge_node (model_panel_edge (panel, (e + 1) % panel->edges->len), 0)->at;
  return (Lying) { geom_mix (a, b, 0.5), fabs (b.y - a.y) > fabs (b.x - a.x) };
}

int
engine_fit_side_edges (const ModelPanel *panel, guint edge_ids[2])
{
  int fold = panel->halves == MODEL_HALVES_FOLD ? model_panel_fold_edge (panel) : -1, left = -1, right = -1;
  for (guint e = 0; e < panel->edges->len; e++)
  {
    Lying lie = lie_of (panel, e);
    if (!lie.upright || (int)e == fold)
      continue;
    if (left < 0 || lie.middle.x < lie_of (panel, (guint)left).middle.x)
      left = (int)e;
    if (right < 0 || lie.middle.x > lie_of (panel, (guint)right).middle.x)
      right = (int)e;
  }
  if (left < 0)
    return 0;
  if (fold >= 0)
  {
    double axis = lie_of (panel, (guint)fold).middle.x;
    bool is_left = axis - lie_of (panel, (guint)left).middle.x > lie_of (panel, (guint)right).middle.x - axis;
    edge_ids[0] = model_panel_edge (panel, (guint)(is_left ? left : right))->id;
    return 1;
  }
  edge_ids[0] = model_panel_edge (panel, (guint)left)->id;
  edge_ids[1] = model_panel_edge (panel, (guint)right)->id;
  return left == right ? 1 : 2;
}

guint
engine_fit_lower_edge (const ModelPanel *panel)
{
  int best = -1;
  for (guint e = 0; e < panel->edges->len; e++)
    if (!lie_of (panel, e).upright && !model_panel_edge (panel, e)->fold
        && (best < 0 || lie_of (panel, e).middle.y < lie_of (panel, (guint)best).middle.y))
      best = (int)e;
  return best >= 0 ? model_panel_edge (panel, (guint)best)->id : 0;
}

/* ---- what a change does to others ---- */

static bool
joins_hold (EngineReview *review, guint join_id, ModelSide side, EngineJoinReading *out)
{
  EngineJoinReading both[2];
  int count = engine_review_join_readings (review, join_id, both);
  for (int i = 0; i < count; i++)
    if (both[i].side == side)
    {
      *out = both[i];
      return both[i].holds;
    }
  *out = (EngineJoinReading) { .join_id = join_id };
  return true;
}

/* Joins that held and would not: EngineJoinReading as it would be. */
static GArray *
newly_broken (EngineReview *before, EngineReview *after)
{
  GArray *broken = g_array_new (FALSE, FALSE, sizeof (EngineJoinReading));
  const GArray *readings = engine_review_readings (after);
  for (guint i = 0; i < readings->len; i++)
  {
    EngineJoinReading now = g_array_index (readings, EngineJoinReading, i), was;
    if (!now.holds && joins_hold (before, now.join_id, now.side, &was))
      g_array_append_val (broken, now);
  }
  return broken;
}

char *
engine_fit_consequence (EngineReview *review, const EngineRemedy *remedy)
{
  const ModelDocument *doc = engine_review_document (review);
  g_autoptr (ModelDocument) tried = engine_remedy_try (doc, remedy);
  g_autoptr (EngineReview) after = engine_review_new (tried);
  g_autoptr (GArray) broken = newly_broken (review, after);
  if (broken->len == 0)
    return g_strdup (_ ("No join is broken by it."));
  const EngineJoinReading *first = &g_array_index (broken, EngineJoinReading, 0);
  const ModelJoin *join = model_document_join (tried, first->join_id);
  g_autofree char *by = engine_words_length (doc, fabs (first->difference_mm));
  if (broken->len == 1)
    return g_strdup_printf (_ ("Join %1$s would differ by %2$s."), join->letter, by);
  return g_strdup_printf (ngettext ("Join %1$s would differ by %2$s, and %3$u more.",
                                    "Join %1$s would differ by %2$s, and %3$u more.", broken->len - 1),
                          join->letter, by, broken->len - 1);
}

/* ---- the partners follow ---- */

static ModelPanel *
panel_in (const EngineRemedy *remedy, guint panel_id)
{
  for (guint i = 0; i < remedy->parts->len; i++)
  {
    const ModelPart *part = &g_array_index (remedy->parts, ModelPart, i);
    if (part->kind == MODEL_PART_PANEL && model_part_id (*part) == panel_id)
      return part->body;
  }
  return NULL;
}

/* One end of the run lies on a corner that moved: which. */
static bool
moved_end (const ModelPanel *was, const ModelPanel *now, const ModelRun *run, ModelSide side, bool *at_end)
{
  for (int end = 0; end < 2; end++)
  {
    guint edge, beside, corner;
    if (engine_settle_corner (now, run, end == 1, &edge, &beside, &corner)
        && geom_distance (where (was, side, corner, MODEL_HANDLE_NONE),
                          where (now, side, corner, MODEL_HANDLE_NONE))
             > ENGINE_TOL_CROSSING_MM)
    {
      *at_end = end == 1;
      return true;
    }
  }
  return false;
}

/* Makes the partner's run as long as the reading asks, at the end where the other one moved. */
static bool
follow (const ModelDocument *doc, EngineRemedy *remedy, const EngineJoinReading *reading, bool alone)
{
  const ModelJoin *join = model_document_join (doc, reading->join_id);
  bool ours_is_a = panel_in (remedy, join->a.panel_id) != NULL;
  const ModelRun *ours = ours_is_a ? &join->a : &join->b, *theirs = ours_is_a ? &join->b : &join->a;
  ModelSide our_side = ours_is_a ? reading->side_a : reading->side_b,
            their_side = ours_is_a ? reading->side_b : reading->side_a;
  const ModelPanel *now = panel_in (remedy, ours->panel_id),
                   *was = model_document_panel (doc, ours->panel_id),
                   *partner = model_document_panel (doc, theirs->panel_id);
  bool at_end;
  if (now == NULL || was == NULL || partner == NULL || panel_in (remedy, theirs->panel_id) != NULL
      || !moved_end (was, now, ours, our_side, &at_end))
    return false;
  guint edge_index, beside, corner;
  if (!engine_settle_corner (partner, theirs, at_end, &edge_index, &beside, &corner))
    return false;
  g_autoptr (ModelPanel) panel = model_panel_copy (partner);
  bool mirrored = engine_panel_is_mirrored (panel);
  alone = alone && mirrored && their_side != MODEL_SIDE_CENTRE;
  if (alone && !panel->own_sides)
  {
    model_shape_clear_corrections (panel, 0);
    model_shape_set_own_sides (panel, true);
  }
  g_autoptr (ModelPanel) before = model_panel_copy (panel);
  const ModelEdge *edge = model_panel_edge (panel, edge_index);
  bool start_moves = corner == model_edge_node (edge, 0)->id;
  ModelSide held = mirrored && their_side != MODEL_SIDE_CENTRE ? their_side : engine_panel_drawn_side (panel);
  ModelRun one = { .panel_id = panel->id, .edges = g_array_new (FALSE, FALSE, sizeof (guint)) };
  g_array_append_val (one.edges, edge->id);
  g_autoptr (ModelDocument) with = model_document_copy (doc);
  g_autoptr (EngineReview) review = engine_review_new (with);
  GeomPath path;
  geom_path_init (&path);
  double length = engine_review_run_path (review, &one, their_side, &path)
                    ? geom_path_length (&path, ENGINE_TOL_LENGTH_MM)
                    : 0.0;
  geom_path_clear (&path);
  g_array_unref (one.edges);
  double wanted = length + (ours_is_a ? -reading->difference_mm : reading->difference_mm);
  if (length <= 0.0 || !model_shape_set_edge_length (panel, held, edge->id, wanted, start_moves))
    return false;
  ModelSide drawn = engine_panel_drawn_side (panel);
  if (alone && held == drawn
      && !model_shape_take_side (panel, before, model_side_other (drawn), geom_affine_identity ()))
    return false;
  engine_remedy_add (remedy, MODEL_PART_PANEL, g_steal_pointer (&panel));
  return true;
}

/* ---- the offers ---- */

/* One edge of one panel, moved. */
typedef struct Step
{
  guint panel_id, edge_id;
  ModelSide side;
  double by_mm;
} Step;

static void
add_note (EngineRemedy *remedy, const ModelFitNote *note)
{
  ModelFitNote *done = model_fit_note_copy (note);
  g_free (done->done);
  done->done = g_strdup (remedy->text);
  engine_remedy_add (remedy, MODEL_PART_FIT_NOTE, done);
}

/* The remedy without its words; NULL where it cannot be. */
static EngineRemedy *
steps_taken (const ModelDocument *doc, const Step *steps, int count, bool alone)
{
  EngineRemedy *remedy = engine_remedy_new (NULL, NULL);
  bool good = true;
  for (int i = 0; good && i < count; i++)
  {
    ModelPanel *panel = panel_in (remedy, steps[i].panel_id);
    if (panel == NULL)
    {
      const ModelPanel *was = model_document_panel (doc, steps[i].panel_id);
      if (was == NULL)
      {
        good = false;
        break;
      }
      panel = model_panel_copy (was);
      engine_remedy_add (remedy, MODEL_PART_PANEL, panel);
    }
    good = engine_fit_move_edge (panel, steps[i].side, steps[i].edge_id, steps[i].by_mm, alone);
  }
  if (good)
    return remedy;
  engine_remedy_free (remedy);
  return NULL;
}

static char *
edge_name (const ModelDocument *doc, const Step *step)
{
  const ModelPanel *panel = model_document_panel (doc, step->panel_id);
  return engine_words_edge (panel, (guint)model_panel_find_edge (panel, step->edge_id));
}

/* "Move the hem out by 8 mm", and where. */
static char *
steps_text (const ModelDocument *doc, const Step *steps, int count, bool alone)
{
  g_autofree char *mm = engine_words_length (doc, fabs (steps[0].by_mm)), *a = edge_name (doc, &steps[0]);
  bool out = steps[0].by_mm > 0.0;
  g_autofree char *words = NULL;
  if (count == 1)
    words = g_strdup_printf (out ? _ ("Move “%1$s” out by %2$s") : _ ("Take “%1$s” in by %2$s"), a, mm);
  else
  {
    g_autofree char *b = edge_name (doc, &steps[1]);
    words = g_strdup_printf (out ? _ ("Move “%1$s” and “%2$s” out by %3$s each")
                                 : _ ("Take “%1$s” and “%2$s” in by %3$s each"),
                             a, b, mm);
  }
  if (!alone)
    return g_steal_pointer (&words);
  /* Translators: a change, then "wearer’s left". */
  return g_strdup_printf (_ ("%1$s, %2$s only"), words, engine_words_side (steps[0].side));
}

static void
offer (EngineReview *review, const ModelFitNote *note, EngineRemedy *remedy, char *text_taken, GPtrArray *out)
{
  remedy->text = text_taken;
  remedy->detail = engine_fit_consequence (review, remedy);
  add_note (remedy, note);
  g_ptr_array_add (out, remedy);
}

/* The steps as they are, and with the partners they would leave behind. */
static void
offer_steps (
  EngineReview *review, const ModelFitNote *note, const Step *steps, int count, bool alone, GPtrArray *out)
{
  const ModelDocument *doc = engine_review_document (review);
  EngineRemedy *plain = steps_taken (doc, steps, count, alone);
  if (plain == NULL)
    return;
  g_autoptr (ModelDocument) tried = engine_remedy_try (doc, plain);
  g_autoptr (EngineReview) after = engine_review_new (tried);
  g_autoptr (GArray) broken = newly_broken (review, after);
  g_autofree char *text = steps_text (doc, steps, count, alone);
  EngineRemedy *whole = broken->len > 0 ? steps_taken (doc, steps, count, alone) : NULL;
  bool all = whole != NULL;
  for (guint i = 0; all && i < broken->len; i++)
  {
    const EngineJoinReading *reading = &g_array_index (broken, EngineJoinReading, i);
    /* Alike on both sides, one of the two readings stands for both. */
    if (!alone && i > 0 && g_array_index (broken, EngineJoinReading, i - 1).join_id == reading->join_id)
      continue;
    all = follow (doc, whole, reading, alone);
  }
  if (all)
  {
    const ModelPart *last = &g_array_index (whole->parts, ModelPart, whole->parts->len - 1);
    g_autofree char *partner = engine_words_panel (doc, model_part_id (*last));
    offer (review, note, whole, g_strdup_printf (_ ("%1$s, and let %2$s follow"), text, partner), out);
  }
  else
    engine_remedy_free (whole);
  offer (review, note, plain, g_steal_pointer (&text), out);
}

/* On the side alone first; then alike on both. */
static void
offer_sides (EngineReview *review, const ModelFitNote *note, Step *steps, int count, GPtrArray *out)
{
  const ModelPanel *panel = model_document_panel (engine_review_document (review), note->panel_id);
  bool one_side = note->side != MODEL_SIDE_CENTRE && engine_panel_is_mirrored (panel);
  if (one_side)
    offer_steps (review, note, steps, count, true, out);
  for (int i = 0; i < count; i++)
    steps[i].side = MODEL_SIDE_CENTRE;
  offer_steps (review, note, steps, count, false, out);
}

static double
depth_of (const ModelPanel *panel, GeomPoint at, GeomPoint inward)
{
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (panel, &path, NULL);
  double depth = PROBE_STEP_MM;
  while (depth < PROBE_MOST_MM && geom_path_contains (&path, geom_along (at, depth, inward)))
    depth += PROBE_STEP_MM;
  geom_path_clear (&path);
  return depth;
}

/* A dart from the edge's middle to half way through the panel, which is common practice, no source.  It is
 * cut on both sides: they share their edges. */
static void
offer_dart (EngineReview *review, const ModelFitNote *note, guint edge_id, GPtrArray *out)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelPanel *panel = model_document_panel (doc, note->panel_id);
  int index = model_panel_find_edge (panel, edge_id);
  if (index < 0)
    return;
  const ModelEdge *edge = model_panel_edge (panel, (guint)index);
  guint n = edge->nodes->len / 2;
  ModelReworkDart dart = { .at = { edge_id, n, 0.5 }, .intake_mm = note->amount_mm };
  if (edge->nodes->len % 2 == 0)
    dart.at.t = 0.0;
  GeomPath path;
  g_autofree size_t *first = g_new (size_t, panel->edges->len);
  geom_path_init (&path);
  model_panel_path (panel, &path, first);
  GeomPlace place = { first[index] + n, dart.at.t };
  GeomPoint at = geom_path_point (&path, place), inward = geom_left_of (geom_path_tangent (&path, place));
  geom_path_clear (&path);
  double depth = depth_of (panel, at, inward) / 2.0;
  if (depth < LEAST_DART_MM)
    return;
  dart.apex = geom_along (at, depth, inward);
  g_autoptr (ModelHistory) history = model_history_new (model_document_copy (doc));
  if (!model_rework_add_dart (history, panel->id, dart, NULL, NULL))
    return;
  const ModelDocument *made = model_history_document (history);
  EngineRemedy *remedy = engine_remedy_new (NULL, NULL);
  const ModelPartKind kinds[] = { MODEL_PART_PANEL, MODEL_PART_JOIN };
  for (guint k = 0; k < G_N_ELEMENTS (kinds); k++)
  {
    GPtrArray *list = model_document_list (made, kinds[k]);
    for (guint i = 0; i < list->len; i++)
    {
      ModelPart part = { kinds[k], g_ptr_array_index (list, i) };
      ModelPart was = model_document_part (doc, kinds[k], model_part_id (part));
      g_autofree char *now_text = model_part_to_data (part, NULL);
      g_autofree char *was_text = was.body != NULL ? model_part_to_data (was, NULL) : NULL;
      if (g_strcmp0 (now_text, was_text) != 0)
        engine_remedy_add (remedy, kinds[k], model_part_copy (part).body);
    }
  }
  g_autofree char *mm = engine_words_length (doc, note->amount_mm), *deep = engine_words_length (doc, depth),
                  *name = engine_words_edge (panel, (guint)index);
  /* A correction moves what is there and cannot add a dart. */
  const bool more = note->side != MODEL_SIDE_CENTRE && engine_panel_is_mirrored (panel);
  offer (review, note, remedy,
         g_strdup_printf (more ? _ ("Take a dart of %1$s out of “%2$s”, %3$s deep, on both sides")
                               : _ ("Take a dart of %1$s out of “%2$s”, %3$s deep"),
                          mm, name, deep),
         out);
}

/* The edge of the partner that meets this one, where both runs are of one edge. */
static bool
partner_step (EngineReview *review, const Step *step, Step *partner)
{
  const ModelDocument *doc = engine_review_document (review);
  for (guint i = 0; i < doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (doc->joins, i);
    for (int k = 0; k < 2; k++)
    {
      const ModelRun *run = k == 0 ? &join->a : &join->b, *other = k == 0 ? &join->b : &join->a;
      if (run->panel_id != step->panel_id || other->panel_id == run->panel_id || run->edges->len != 1
          || other->edges->len != 1 || g_array_index (run->edges, guint, 0) != step->edge_id)
        continue;
      bool across = run->twin != other->twin;
      *partner = (Step) { other->panel_id, g_array_index (other->edges, guint, 0),
                          across ? model_side_other (step->side) : step->side, step->by_mm };
      return true;
    }
  }
  return false;
}

static void
offer_width (EngineReview *review, const ModelFitNote *note, double by_mm, GPtrArray *out)
{
  const ModelPanel *panel = model_document_panel (engine_review_document (review), note->panel_id);
  guint ids[2];
  int count = engine_fit_side_edges (panel, ids);
  if (count == 0)
    return;
  /* A panel on the fold has its other side edge on the other side: noted there alone, all of it lies here. */
  bool all = count == 1 && !(panel->halves == MODEL_HALVES_FOLD && note->side == MODEL_SIDE_CENTRE);
  Step steps[2];
  for (int i = 0; i < count; i++)
    steps[i] = (Step) { panel->id, ids[i], note->side, all ? by_mm : by_mm / 2.0 };
  offer_sides (review, note, steps, count, out);
}

void
engine_fit_offers (EngineReview *review, const ModelFitNote *note, GPtrArray *out)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelPanel *panel = model_document_panel (doc, note->panel_id);
  if (panel == NULL || !note->has_amount || !(note->amount_mm > 0.0) || note->amount_mm > MOST_MM)
    return;
  guint start = out->len;
  bool has_edge = model_panel_find_edge (panel, note->edge_id) >= 0;
  guint edge = has_edge ? note->edge_id : 0;
  Step steps[2] = { { panel->id, edge, note->side, note->amount_mm } };
  switch (note->seen)
  {
  case MODEL_FIT_TOO_SHORT:
  case MODEL_FIT_TOO_LONG:
    steps[0].edge_id = has_edge ? edge : engine_fit_lower_edge (panel);
    steps[0].by_mm *= note->seen == MODEL_FIT_TOO_LONG ? -1.0 : 1.0;
    offer_sides (review, note, steps, 1, out);
    break;
  case MODEL_FIT_GAPS_BY:
    if (!has_edge)
      break;
    if (partner_step (review, &steps[0], &steps[1]))
    {
      Step half[2] = { steps[0], steps[1] }, both = steps[0];
      half[0].by_mm = half[1].by_mm = note->amount_mm / 2.0;
      offer_steps (review, note, steps, 1, note->side != MODEL_SIDE_CENTRE, out);
      offer_steps (review, note, half, 2, note->side != MODEL_SIDE_CENTRE, out);
      both.side = MODEL_SIDE_CENTRE;
      if (note->side != MODEL_SIDE_CENTRE)
        offer_steps (review, note, &both, 1, false, out);
    }
    if (out->len == start)
      offer_sides (review, note, steps, 1, out);
    break;
  case MODEL_FIT_TOO_WIDE:
  case MODEL_FIT_TOO_NARROW:
    steps[0].by_mm *= note->seen == MODEL_FIT_TOO_WIDE ? -1.0 : 1.0;
    if (has_edge)
      offer_sides (review, note, steps, 1, out);
    else
      offer_width (review, note, steps[0].by_mm, out);
    break;
  case MODEL_FIT_POKES_OUT:
    steps[0].by_mm *= -1.0;
    if (has_edge)
    {
      offer_steps (review, note, steps, 1,
                   note->side != MODEL_SIDE_CENTRE && engine_panel_is_mirrored (panel), out);
      offer_dart (review, note, edge, out);
    }
    else
    {
      offer_width (review, note, steps[0].by_mm, out);
      offer_dart (review, note, engine_fit_lower_edge (panel), out);
    }
    break;
  case MODEL_FIT_OTHER:
    break;
  }
  if (out->len > start + ENGINE_FIT_MOST)
    g_ptr_array_set_size (out, (int)(start + ENGINE_FIT_MOST));
}
