/* Where whole edges cannot be moved outward, because what lies beside them is joined too: each edge that the
 * line crosses is let out at the line alone, as a gentle bulge between its two ends, which stay.
 *
 *      │        │             Both edges of a join get the same bulge; their lengths are made to agree again
 *      │        ╰╮            with the handles, by solving.
 *      │ line   ─┤
 *      │        ╭╯
 *
 * A neck opening runs along the edges themselves: those are cut deeper until they are long enough.
 */
#include "engine/line-remedy.h"
#include "engine/remedy.h"
#include "engine/run.h"
#include "engine/solve.h"
#include "engine/tolerance.h"
#include "engine/words.h"
#include "model/shape.h"

#include <glib/gi18n.h>

enum
{
  MOST_BULGES = 64
};

/* A new node nearer to a corner than this part of its piece would make a kink. */
#define NEAR_END 0.15
/* Never let out by more, as a part of the edge: another drawing is wanted then. */
#define MOST_SHARE 0.2

typedef struct Bulge
{
  guint panel_id, edge_id, node_index;
  GeomPoint way;
} Bulge;

/* Of our own copy of the document. */
static ModelPanel *
panel_in (ModelDocument *work, guint panel_id)
{
  return model_document_part (work, MODEL_PART_PANEL, panel_id).body;
}

/* Adds a node where the bulge is to be.  AT: the place; NULL: the middle.  False: it cannot be. */
static bool
add_bulge (ModelDocument *work,
           guint panel_id,
           guint edge_id,
           const GeomPoint *at,
           GeomPoint way,
           double by_mm,
           double nudge_mm,
           GArray *out)
{
  ModelPanel *panel = panel_in (work, panel_id);
  int e = panel ? model_panel_find_edge (panel, edge_id) : -1;
  if (e < 0 || panel->locked || out->len >= MOST_BULGES)
    return false;
  for (guint i = 0; i < out->len; i++)
    if (g_array_index (out, Bulge, i).edge_id == edge_id)
      return true;
  GeomPath path;
  geom_path_init (&path);
  g_autofree size_t *first = g_new0 (size_t, panel->edges->len);
  model_panel_path (panel, &path, first);
  const guint count = model_panel_edge (panel, (guint)e)->nodes->len;
  const GeomPath edge = { .piece = path.piece + first[e], .count = count, .room = count };
  const double length = engine_drawn_length_mm (panel, (guint)e);
  GeomPlace place = at ? geom_path_nearest (&edge, *at).place
                       : geom_path_place_at (&edge, 0.5 * length, ENGINE_TOL_CROSSING_MM);
  const double t = CLAMP (place.t, NEAR_END, 1.0 - NEAR_END);
  const GeomPoint inward = geom_left_of (geom_unit (geom_cubic_tangent (&edge.piece[place.piece], t)));
  geom_path_clear (&path);
  guint id = fabs (by_mm) <= MOST_SHARE * length
               ? model_shape_insert_node (panel, work, edge_id, (guint)place.piece, t)
               : 0;
  if (!id)
    return false;
  if (nudge_mm > 0.0)
    model_shape_move_nodes (panel, engine_panel_drawn_side (panel), &id, 1, geom_scale (inward, nudge_mm));
  Bulge bulge = { panel_id, edge_id, (guint)place.piece + 1, way };
  g_array_append_val (out, bulge);
  return true;
}

static void
free_bulge (EngineSolve *solve, const Bulge *bulge)
{
  const ModelPanel *panel = engine_solve_panel (solve, bulge->panel_id);
  const int e = model_panel_find_edge (panel, bulge->edge_id);
  if (e < 0)
    return;
  const guint before = model_edge_node (model_panel_edge (panel, (guint)e), bulge->node_index - 1)->id;
  const guint id = model_edge_node (model_panel_edge (panel, (guint)e), bulge->node_index)->id;
  const guint after = model_panel_next_node (panel, (guint)e, bulge->node_index)->id;
  engine_solve_loosen (solve, panel->id, id, ENGINE_GRIP_NODE, ENGINE_MOVE_ALIKE, 1.0);
  engine_solve_loosen (solve, panel->id, id, ENGINE_GRIP_IN_ALONG, ENGINE_MOVE_ALIKE, 1.0);
  engine_solve_loosen (solve, panel->id, id, ENGINE_GRIP_OUT_ALONG, ENGINE_MOVE_ALIKE, 1.0);
  engine_solve_loosen (solve, panel->id, before, ENGINE_GRIP_OUT_ALONG, ENGINE_MOVE_ALIKE, 1.0);
  engine_solve_loosen (solve, panel->id, after, ENGINE_GRIP_IN_ALONG, ENGINE_MOVE_ALIKE, 1.0);
}

static bool
meets_run (const GArray *bulges, const ModelRun *run)
{
  for (guint i = 0; i < bulges->len; i++)
    for (guint k = 0; k < run->edges->len; k++)
      if (g_array_index (run->edges, guint, k) == g_array_index (bulges, Bulge, i).edge_id)
        return true;
  return false;
}

/* What was joined stays as it was before anything bulged. */
static void
want_joins (EngineReview *review, EngineSolve *solve, const GArray *bulges)
{
  const ModelDocument *doc = engine_review_document (review);
  const GArray *readings = engine_review_readings (review);
  for (guint i = 0; i < readings->len; i++)
  {
    const EngineJoinReading *reading = &g_array_index (readings, EngineJoinReading, i);
    const ModelJoin *join = model_document_join (doc, reading->join_id);
    if (!reading->holds || !join || (!meets_run (bulges, &join->a) && !meets_run (bulges, &join->b)))
      continue;
    const double percent = join->ease_in_percent ? join->ease_percent / 100.0 : 0.0;
    engine_solve_want (solve, (join->ease_in_percent ? 0.0 : join->ease_mm) + reading->difference_mm);
    engine_solve_add_run (solve, &join->b, reading->side_b, 1.0);
    engine_solve_add_run (solve, &join->a, reading->side_a, -1.0 - percent);
  }
}

/* ---- the two ways ---- */

static bool
bulge_across (EngineReview *review,
              const EngineLineReading *reading,
              double each_mm,
              ModelDocument *work,
              EngineSolve *solve,
              GArray *bulges)
{
  const ModelDocument *doc = engine_review_document (review);
  for (guint i = 0; i < reading->spans->len; i++)
  {
    const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, i);
    for (int end = 0; end < 2 && span->drawn; end++)
    {
      const ModelPanel *panel = model_document_panel (doc, span->panel_id);
      const guint edge_id = end ? span->edge_b_id : span->edge_a_id;
      const int e = panel ? model_panel_find_edge (panel, edge_id) : -1;
      const GeomPoint at = end ? span->b : span->a, far = end ? span->a : span->b;
      if (e < 0)
        return false;
      if (model_panel_edge (panel, (guint)e)->fold && panel->halves == MODEL_HALVES_FOLD)
        continue;
      if (!add_bulge (work, panel->id, edge_id, &at, geom_unit (geom_sub (at, far)), each_mm, 0.0, bulges))
        return false;
    }
  }
  for (guint i = 0; i < bulges->len; i++)
    free_bulge (solve, &g_array_index (bulges, Bulge, i));
  for (guint i = 0; i < bulges->len; i++)
  {
    const Bulge *bulge = &g_array_index (bulges, Bulge, i);
    const ModelPanel *panel = engine_solve_panel (solve, bulge->panel_id);
    const ModelEdge *edge = model_panel_edge (panel, (guint)model_panel_find_edge (panel, bulge->edge_id));
    const GeomPoint now = model_edge_node (edge, bulge->node_index)->at;
    engine_solve_want (solve, geom_dot (now, bulge->way) + each_mm);
    engine_solve_add_place (solve, bulge->panel_id, engine_panel_drawn_side (panel), bulge->edge_id,
                            bulge->node_index, 0.0, bulge->way);
  }
  return bulges->len > 0;
}

/* How many edges lie between the two ends of a span, and from which one on: the shorter way. */
static guint
edges_along (const ModelPanel *panel, const EngineSpanReading *span, guint *first)
{
  const int a = model_panel_find_edge (panel, span->edge_a_id),
            b = model_panel_find_edge (panel, span->edge_b_id);
  const guint n = panel->edges->len;
  if (a < 0 || b < 0)
    return 0;
  const guint on = ((guint)b + n - (guint)a) % n, back = ((guint)a + n - (guint)b) % n;
  *first = on <= back ? (guint)a : (guint)b;
  return MIN (on, back) + 1;
}

static bool
bulge_along (EngineReview *review,
             const EngineLineReading *reading,
             double by_mm,
             ModelDocument *work,
             EngineSolve *solve,
             GArray *bulges)
{
  const ModelDocument *doc = engine_review_document (review);
  guint sides = 1, n = 0;
  for (int pass = 0; pass < 2; pass++)
    for (guint i = 0; i < reading->spans->len; i++)
    {
      const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, i);
      if (!span->drawn)
      {
        sides = 2;
        continue;
      }
      const ModelPanel *panel = model_document_panel (doc, span->panel_id);
      guint first = 0, count = panel ? edges_along (panel, span, &first) : 0;
      for (guint k = 0; k < count && n + count < MOST_BULGES; k++)
      {
        const guint e = (first + k) % panel->edges->len;
        if (pass == 0)
        {
          n++;
          continue;
        }
        const double each = by_mm / (sides * MAX (n, 1));
        /* A flat arc of chord c and height h is longer than its chord by 8 h^2 / 3 c. */
        const double nudge = each > 0.0 ? sqrt (0.375 * each * engine_drawn_length_mm (panel, e)) : 0.0;
        if (!add_bulge (work, panel->id, model_panel_edge (panel, e)->id, NULL, geom_point (0.0, 0.0), each,
                        nudge, bulges))
          return false;
      }
    }
  for (guint i = 0; i < bulges->len; i++)
    free_bulge (solve, &g_array_index (bulges, Bulge, i));
  const double each = by_mm / (sides * MAX (bulges->len, 1));
  for (guint i = 0; i < bulges->len; i++)
  {
    const Bulge *bulge = &g_array_index (bulges, Bulge, i);
    const ModelPanel *was = model_document_panel (doc, bulge->panel_id);
    ModelRun run = { .panel_id = bulge->panel_id, .edges = g_array_new (FALSE, FALSE, sizeof (guint)) };
    g_array_append_val (run.edges, bulge->edge_id);
    engine_solve_want (solve, engine_drawn_length_mm (was, (guint)model_panel_find_edge (was, bulge->edge_id))
                                + each);
    engine_solve_add_run (solve, &run, engine_panel_drawn_side (was), 1.0);
    g_array_unref (run.edges);
  }
  return bulges->len > 0;
}

/* The line's own marks go along: to the top of the bulge, or, along the edge, to their share of it. */
static void
carry_marks (const ModelDocument *doc, const ModelLine *line, const GArray *bulges, ModelPanel *panel)
{
  for (guint i = 0; i < bulges->len; i++)
  {
    const Bulge *bulge = &g_array_index (bulges, Bulge, i);
    const ModelPanel *was = model_document_panel (doc, panel->id);
    const int e = model_panel_find_edge (panel, bulge->edge_id),
              before = was ? model_panel_find_edge (was, bulge->edge_id) : -1;
    if (bulge->panel_id != panel->id || e < 0 || before < 0)
      continue;
    GeomPath path;
    geom_path_init (&path);
    g_autofree size_t *first = g_new0 (size_t, panel->edges->len);
    model_panel_path (panel, &path, first);
    double top = 0.0;
    for (guint k = 0; k < bulge->node_index; k++)
      top += geom_cubic_length (&path.piece[first[e] + k], ENGINE_TOL_LENGTH_MM);
    geom_path_clear (&path);
    const double old = engine_drawn_length_mm (was, (guint)before);
    const double share = old > 0.0 ? engine_drawn_length_mm (panel, (guint)e) / old : 1.0;
    for (guint k = 0; k < line->spans->len; k++)
    {
      const ModelSpan *span = &g_array_index (line->spans, ModelSpan, k);
      for (int end = 0; end < 2 && span->panel_id == panel->id; end++)
      {
        const guint id = end ? span->b_mark_id : span->a_mark_id;
        ModelMark *mark = model_panel_find_mark (panel, id);
        const ModelMark *from = model_panel_find_mark (was, id);
        if (mark && from && mark->edge_id == bulge->edge_id)
          mark->at_mm = line->kind == MODEL_LINE_NECK ? from->at_mm * share : top;
      }
    }
  }
}

void
engine_line_bulge (EngineReview *review,
                   const EngineFinding *finding,
                   const ModelLine *line,
                   const EngineLineReading *reading,
                   double by_mm,
                   double gain,
                   GPtrArray *out)
{
  const ModelDocument *doc = engine_review_document (review);
  const bool along = line->kind == MODEL_LINE_NECK;
  if (!along && !(gain > 0.0))
    return;
  /* The solver borrows it, and the nodes that are added. */
  g_autoptr (ModelDocument) work = model_document_copy (doc);
  g_autoptr (EngineSolve) solve = engine_solve_new (work);
  g_autoptr (GArray) bulges = g_array_new (FALSE, FALSE, sizeof (Bulge));
  engine_solve_allow (solve, MOST_BULGES * 6);
  const double each = along ? by_mm : by_mm / gain;
  if (!(along ? bulge_along (review, reading, by_mm, work, solve, bulges)
              : bulge_across (review, reading, each, work, solve, bulges)))
    return;
  want_joins (review, solve, bulges);
  if (!engine_solve_run (solve, 8.0 * fabs (by_mm) + 20.0))
    return;
  g_autofree char *length = engine_words_length (doc, fabs (each)), *name = engine_words_line (line);
  char *text;
  if (along)
    /* Translators: name of a neck opening, length. */
    text = g_strdup_printf (each > 0.0 ? _ ("Cut %1$s deeper, %2$s longer in all")
                                       : _ ("Cut %1$s less deep, %2$s shorter in all"),
                            name, length);
  else
    /* Translators: length, name of a line. */
    text = g_strdup_printf (each > 0.0 ? _ ("Let out each edge by %1$s at %2$s")
                                       : _ ("Take in each edge by %1$s at %2$s"),
                            length, name);
  EngineRemedy *remedy = engine_remedy_new (text, g_strdup (_ ("Corners stay, joined edges keep agreeing.")));
  g_autoptr (GPtrArray) panels = engine_solve_take_panels (solve);
  for (guint i = 0; i < panels->len; i++)
  {
    ModelPanel *panel = model_panel_copy (g_ptr_array_index (panels, i));
    carry_marks (doc, line, bulges, panel);
    engine_remedy_add (remedy, MODEL_PART_PANEL, panel);
  }
  engine_remedy_offer (review, finding, out, remedy);
}
