#include "engine/line-remedy.h"

#include "engine/check.h"
#include "engine/line-words.h"
#include "engine/remedy.h"
#include "engine/words.h"
#include "model/rework.h"
#include "model/shape.h"

#include <glib/gi18n.h>

/* Never let out by more: another drawing is wanted then. */
#define MOST_MM 400.0

/* An edge (or a run) of a panel at which the line ends, and the way out. */
typedef struct Rim
{
  guint panel_id, join_id;
  GArray *edges; /* guint */
  GeomPoint out; /* unit vector */
} Rim;

static void
rim_clear (gpointer data)
{
  g_clear_pointer (&((Rim *)data)->edges, g_array_unref);
}

static bool
run_has_edge (const ModelRun *run, guint panel_id, guint edge_id)
{
  for (guint i = 0; run->panel_id == panel_id && i < run->edges->len; i++)
    if (g_array_index (run->edges, guint, i) == edge_id)
      return true;
  return false;
}

/* The run of a join on which an edge lies, NULL if none. */
static const ModelRun *
run_at (EngineReview *review, guint panel_id, guint edge_id, const ModelJoin **join)
{
  const GPtrArray *joins = engine_review_joins_of (review, panel_id);
  for (guint i = 0; joins && i < joins->len; i++)
  {
    *join = g_ptr_array_index (joins, i);
    if (run_has_edge (&(*join)->a, panel_id, edge_id))
      return &(*join)->a;
    if (run_has_edge (&(*join)->b, panel_id, edge_id))
      return &(*join)->b;
  }
  *join = NULL;
  return NULL;
}

static bool
has_rim (const GArray *rims, guint panel_id, guint edge_id)
{
  for (guint i = 0; i < rims->len; i++)
  {
    const Rim *rim = &g_array_index (rims, Rim, i);
    for (guint k = 0; rim->panel_id == panel_id && k < rim->edges->len; k++)
      if (g_array_index (rim->edges, guint, k) == edge_id)
        return true;
  }
  return false;
}

/* Adds the rim at one end of a span.  GAIN: by how much the line grows when all rims go out by 1 mm. */
static void
add_rim (EngineReview *review,
         const EngineSpanReading *span,
         bool at_b,
         int sides,
         GArray *joined,
         GArray *open,
         double gain[2])
{
  const ModelPanel *panel = model_document_panel (engine_review_document (review), span->panel_id);
  guint edge_id = at_b ? span->edge_b_id : span->edge_a_id;
  int index = panel ? model_panel_find_edge (panel, edge_id) : -1;
  if (index < 0 || (model_panel_edge (panel, (guint)index)->fold && panel->halves == MODEL_HALVES_FOLD))
    return;
  const ModelJoin *join;
  const ModelRun *run = run_at (review, panel->id, edge_id, &join);
  bool is_joined = run && join->kind != MODEL_JOIN_GAP;
  GArray *to = is_joined ? joined : open;
  gain[is_joined ? 0 : 1] += sides;
  if (has_rim (to, panel->id, edge_id))
    return;
  Rim rim = { .panel_id = panel->id, .join_id = join ? join->id : 0 };
  rim.edges = g_array_new (FALSE, FALSE, sizeof (guint));
  if (run)
    g_array_append_vals (rim.edges, run->edges->data, run->edges->len);
  else
    g_array_append_val (rim.edges, edge_id);
  rim.out = geom_unit (at_b ? geom_sub (span->b, span->a) : geom_sub (span->a, span->b));
  g_array_append_val (to, rim);
}

/* The names of the edges, each once: "side", "side and shoulder". */
static char *
rim_names (const ModelDocument *doc, const GArray *rims)
{
  g_autoptr (GPtrArray) names = g_ptr_array_new_with_free_func (g_free);
  for (guint i = 0; i < rims->len; i++)
  {
    const Rim *rim = &g_array_index (rims, Rim, i);
    const ModelPanel *panel = model_document_panel (doc, rim->panel_id);
    int index = panel ? model_panel_find_edge (panel, g_array_index (rim->edges, guint, 0)) : -1;
    if (index < 0)
      continue;
    char *name = engine_words_edge (panel, (guint)index);
    if (g_ptr_array_find_with_equal_func (names, name, g_str_equal, NULL))
      g_free (name);
    else
      g_ptr_array_add (names, name);
  }
  char *words = g_strdup (names->len > 0 ? (const char *)names->pdata[0] : "");
  for (guint i = 1; i < names->len; i++)
  {
    char *longer = i + 1 < names->len
                     ? g_strdup_printf (_ ("%s, %s"), words, (const char *)names->pdata[i])
                     : g_strdup_printf (_ ("%s and %s"), words, (const char *)names->pdata[i]);
    g_free (words);
    words = longer;
  }
  return words;
}

/* The remedy's own copy of a panel, made at the first question. */
static ModelPanel *
panel_in (const ModelDocument *doc, EngineRemedy *remedy, guint panel_id)
{
  for (guint i = 0; i < remedy->parts->len; i++)
  {
    ModelPart part = g_array_index (remedy->parts, ModelPart, i);
    if (part.kind == MODEL_PART_PANEL && model_part_id (part) == panel_id)
      return part.body;
  }
  const ModelPanel *was = model_document_panel (doc, panel_id);
  ModelPanel *copy = was ? model_panel_copy (was) : NULL;
  if (copy)
    engine_remedy_add (remedy, MODEL_PART_PANEL, copy);
  return copy;
}

static void
push_node (GArray *ids, guint id)
{
  for (guint i = 0; i < ids->len; i++)
    if (g_array_index (ids, guint, i) == id)
      return;
  g_array_append_val (ids, id);
}

/* All points of the edges, corners at both ends included, go out by BY_MM. */
static void
move_rim (ModelPanel *panel, const Rim *rim, double by_mm)
{
  g_autoptr (GArray) ids = g_array_new (FALSE, FALSE, sizeof (guint));
  for (guint i = 0; i < rim->edges->len; i++)
  {
    int index = model_panel_find_edge (panel, g_array_index (rim->edges, guint, i));
    if (index < 0)
      continue;
    const ModelEdge *edge = model_panel_edge (panel, (guint)index);
    for (guint n = 0; n < edge->nodes->len; n++)
      push_node (ids, model_edge_node (edge, n)->id);
    push_node (ids, model_panel_next_node (panel, (guint)index, edge->nodes->len - 1)->id);
  }
  model_shape_move_nodes (panel, engine_panel_drawn_side (panel), (const guint *)(gconstpointer)ids->data,
                          ids->len, geom_scale (rim->out, by_mm));
}

static EngineRemedy *
move_rims (const ModelDocument *doc, const GArray *rims, double gain, double by_mm, bool joined)
{
  if (rims->len == 0 || !(gain > 0.0) || fabs (by_mm / gain) > MOST_MM)
    return NULL;
  double each = by_mm / gain;
  g_autofree char *length = engine_words_length (doc, fabs (each)), *names = rim_names (doc, rims);
  char *text;
  if (joined)
    /* Translators: edges, length: "Let out at the side by 3.1 mm each". */
    text = g_strdup_printf (each > 0.0 ? _ ("Let out at the %1$s by %2$s each")
                                       : _ ("Take in at the %1$s by %2$s each"),
                            names, length);
  else
    /* Translators: edges that have no join, length. */
    text = g_strdup_printf (
      each > 0.0 ? _ ("Let out the open %1$s by %2$s") : _ ("Take in the open %1$s by %2$s"), names, length);
  EngineRemedy *remedy = engine_remedy_new (
    text, joined ? g_strdup (_ ("Joined edges move alike and keep their lengths.")) : NULL);
  for (guint i = 0; i < rims->len; i++)
  {
    const Rim *rim = &g_array_index (rims, Rim, i);
    ModelPanel *panel = panel_in (doc, remedy, rim->panel_id);
    if (panel)
      move_rim (panel, rim, each);
  }
  return remedy;
}

/* ---- gaps ---- */

static EngineRemedy *
open_gaps (EngineReview *review, const EngineLineReading *reading, double by_mm)
{
  const ModelDocument *doc = engine_review_document (review);
  if (!(reading->gap_ends > 0.0))
    return NULL;
  double each = by_mm / reading->gap_ends;
  g_autofree char *length = engine_words_length (doc, fabs (each));
  g_autoptr (GArray) ids = g_array_new (FALSE, FALSE, sizeof (guint));
  for (guint i = 0; i < reading->spans->len; i++)
  {
    const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, i);
    for (int end = 0; end < 2; end++)
    {
      const ModelJoin *join;
      if (run_at (review, span->panel_id, end ? span->edge_b_id : span->edge_a_id, &join)
          && join->kind == MODEL_JOIN_GAP)
        push_node (ids, join->id);
    }
  }
  /* Translators: %s is a length. */
  char *text
    = each > 0.0
        ? g_strdup_printf (ngettext ("Open the gap by %s", "Open each gap by %s", ids->len), length)
        : g_strdup_printf (ngettext ("Close the gap by %s", "Close each gap by %s", ids->len), length);
  EngineRemedy *remedy = engine_remedy_new (text, g_strdup (_ ("The straps bridge the rest.")));
  for (guint i = 0; i < ids->len; i++)
  {
    ModelJoin *join = model_join_copy (model_document_join (doc, g_array_index (ids, guint, i)));
    join->gap_mm += each;
    bool sound = join->gap_mm >= 0.0;
    engine_remedy_add (remedy, MODEL_PART_JOIN, join);
    if (!sound)
    {
      engine_remedy_free (remedy);
      return NULL;
    }
  }
  return remedy;
}

/* ---- every panel ---- */

/* The span's way in which a panel may grow: away from its fold. */
static GeomPoint
way_of (const ModelPanel *panel, const EngineSpanReading *span)
{
  int fold = model_panel_fold_edge (panel);
  bool from_b = fold >= 0 && model_panel_edge (panel, (guint)fold)->id == span->edge_b_id;
  return from_b ? geom_sub (span->a, span->b) : geom_sub (span->b, span->a);
}

static EngineRemedy *
widen_panels (EngineReview *review, const EngineLineReading *reading, double by_mm)
{
  const ModelDocument *doc = engine_review_document (review);
  if (reading->spans->len == 0)
    return NULL;
  double each = by_mm / reading->spans->len;
  if (fabs (each) > MOST_MM)
    return NULL;
  g_autoptr (ModelHistory) history = NULL;
  g_autofree char *length = engine_words_length (doc, fabs (each));
  EngineRemedy *remedy
    = engine_remedy_new (g_strdup_printf (each > 0.0 ? _ ("Widen each panel by %s along the line")
                                                     : _ ("Narrow each panel by %s along the line"),
                                          length),
                         NULL);
  bool done = true;
  for (guint i = 0; i < reading->spans->len && done; i++)
  {
    const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, i);
    if (!span->drawn)
      continue;
    if (!history)
    {
      g_autoptr (GArray) ids = g_array_new (FALSE, FALSE, sizeof (guint));
      for (guint k = 0; k < reading->spans->len; k++)
        push_node (ids, g_array_index (reading->spans, EngineSpanReading, k).panel_id);
      history
        = model_history_new (model_document_excerpt (doc, (const guint *)(gconstpointer)ids->data, ids->len));
    }
    const ModelPanel *panel = model_document_panel (model_history_document (history), span->panel_id);
    GeomPoint way = panel ? way_of (panel, span) : geom_point (0.0, 0.0);
    done = panel
           && model_rework_add_along (history, span->panel_id, geom_mix (span->a, span->b, 0.5), way, each,
                                      true, NULL);
  }
  for (guint i = 0; i < reading->spans->len && done; i++)
  {
    guint id = g_array_index (reading->spans, EngineSpanReading, i).panel_id;
    ModelPanel *panel = panel_in (doc, remedy, id);
    const ModelPanel *now = model_document_panel (model_history_document (history), id);
    if (!panel || !now)
      continue;
    for (guint k = 0; k < remedy->parts->len; k++)
    {
      ModelPart *part = &g_array_index (remedy->parts, ModelPart, k);
      if (part->body != panel)
        continue;
      model_part_clear (part);
      *part = (ModelPart) { MODEL_PART_PANEL, model_panel_copy (now) };
    }
  }
  if (!done)
    g_clear_pointer (&remedy, engine_remedy_free);
  return remedy;
}

void
engine_line_remedies (EngineReview *review, const EngineFinding *finding, GPtrArray *out)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelLine *line;
  const EngineLineReading *reading;
  const double by_mm = -finding->difference;
  if (!engine_line_of (review, finding, &line, &reading) || !isfinite (by_mm))
    return;
  g_autoptr (GArray) joined = g_array_new (FALSE, FALSE, sizeof (Rim)),
                     open = g_array_new (FALSE, FALSE, sizeof (Rim));
  g_array_set_clear_func (joined, rim_clear);
  g_array_set_clear_func (open, rim_clear);
  double gain[2] = { 0.0, 0.0 };
  for (guint i = 0; i < reading->spans->len; i++)
  {
    const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, i);
    if (!span->drawn)
      continue;
    const ModelPanel *panel = model_document_panel (doc, span->panel_id);
    int sides = panel && engine_panel_is_mirrored (panel) && !line->one_side ? 2 : 1;
    add_rim (review, span, false, sides, joined, open, gain);
    add_rim (review, span, true, sides, joined, open, gain);
  }
  engine_remedy_offer (review, finding, out, move_rims (doc, joined, gain[0], by_mm, true));
  engine_remedy_offer (review, finding, out, open_gaps (review, reading, by_mm));
  engine_remedy_offer (review, finding, out, move_rims (doc, open, gain[1], by_mm, false));
  if (line->kind != MODEL_LINE_NECK)
    engine_remedy_offer (review, finding, out, widen_panels (review, reading, by_mm));
  if (out->len == 0)
    engine_line_bulge (review, finding, line, reading, by_mm, gain[0] + gain[1], out);
}

void
engine_line_allow (EngineReview *review, const EngineFinding *finding, GPtrArray *out)
{
  const ModelLine *line;
  const EngineLineReading *reading;
  if (!engine_line_of (review, finding, &line, &reading))
    return;
  ModelLine *copy = model_line_copy (line);
  copy->has_tolerance = true;
  copy->tolerance_mm = ceil (fabs (reading->difference_mm) * 10.0) / 10.0;
  g_autofree char *length = engine_words_length (engine_review_document (review), copy->tolerance_mm);
  EngineRemedy *remedy
    = engine_remedy_new (g_strdup_printf (_ ("Let it be off by %s"), length),
                         g_strdup (_ ("It is wanted so: for ease, or for what stretches.")));
  engine_remedy_add (remedy, MODEL_PART_LINE, copy);
  engine_remedy_offer (review, finding, out, remedy);
}
