/* Where a join ends, the edges beside it must run on smoothly from one panel to the other.
 *
 *      ───────┐ ┌───────       Laid together, the two inner angles of the corner make half a turn;
 *       hem  α│ │β  hem        a deviation is a kink in the hem.
 *             │ │
 *
 * One finding for each end of each place of the join at which smoothness can be asked for: both neighbours
 * are edges that one sees (joined to nothing, bridged by a gap, or lying over), or both go on to one and the
 * same third panel.  Edges that go different ways may meet at any angle.  So may edges that deviate by more
 * than CORNER_DEG: that is no slip of the pencil but a corner that is meant; nothing is said about it.  That
 * the corners themselves meet is another check's business (join-length); by how much they do not is told
 * beside the angle, as the step one sees.
 *
 * Expected: 180 degrees; actual: the sum of the two inner angles.
 */
#include "engine/check.h"
#include "engine/join-words.h"
#include "engine/run.h"
#include "engine/settle.h"
#include "engine/words.h"

#include <glib/gi18n.h>

/* Common practice, no source: a kink of a few degrees is rounded off with the knife unasked. */
#define TOLERANCE_DEG 5.0
#define CORNER_DEG 30.0
#define DEG (180.0 / G_PI)
/* Shown with one decimal: less is nothing. */
#define SHOWN_MM 0.05

typedef enum What
{
  WHAT_START,
  WHAT_END
} What;

typedef struct Corner
{
  GeomPoint at;
  double inner_deg;
  guint edge_id, beside_id;
  bool beside_starts; /* as drawn, the edge beside begins at the corner */
} Corner;

/* The corner of a run's end on the piece that is cut.  False: none, for the run ends at a mark, or it lies on
 * a fold. */
static bool
find_corner (EngineReview *review, const ModelRun *run, ModelSide side, bool at_end, Corner *out)
{
  const ModelPanel *panel = model_document_panel (engine_review_document (review), run->panel_id);
  const EnginePiece *piece
    = panel
        ? engine_review_seam_piece (review, panel->id, engine_panel_is_mirrored (panel) ? side : panel->side)
        : NULL;
  if (!piece || piece->edges->len < 2 || run->edges->len == 0 || engine_run_is_cut (run, at_end))
    return false;
  bool drawn_end = at_end != run->reversed;
  out->beside_starts = drawn_end;
  out->edge_id = g_array_index (run->edges, guint, drawn_end ? run->edges->len - 1 : 0);
  int index = engine_piece_find_edge (piece, out->edge_id, side);
  if (index < 0)
    return false;
  guint n = piece->edges->len;
  const EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, index);
  bool piece_end = drawn_end != edge->mirrored;
  guint other = piece_end ? ((guint)index + 1) % n : ((guint)index + n - 1) % n;
  const EnginePieceEdge *beside = &g_array_index (piece->edges, EnginePieceEdge, other);
  out->beside_id = beside->edge_id;
  if (edge->count == 0 || beside->count == 0 || beside->mirrored != edge->mirrored)
    return false;
  size_t next = piece_end ? beside->first : edge->first;
  size_t before = (next + piece->seam.count - 1) % piece->seam.count;
  GeomPoint in = geom_cubic_tangent (&piece->seam.piece[before], 1.0);
  GeomPoint away = geom_cubic_tangent (&piece->seam.piece[next], 0.0);
  out->at = piece->seam.piece[next].p[0];
  out->inner_deg = 180.0 - atan2 (geom_cross (in, away), geom_dot (in, away)) * DEG;
  return true;
}

bool
engine_join_kink_deg (EngineReview *review, const EngineJoinReading *reading, bool at_end, double *deg)
{
  const ModelJoin *join = model_document_join (engine_review_document (review), reading->join_id);
  Corner a, b;
  if (!join || !find_corner (review, &join->a, reading->side_a, at_end, &a)
      || !find_corner (review, &join->b, reading->side_b, at_end, &b))
    return false;
  *deg = a.inner_deg + b.inner_deg - 180.0;
  return true;
}

static bool
has_edge (const ModelRun *run, guint panel_id, guint edge_id)
{
  for (guint i = 0; run->panel_id == panel_id && i < run->edges->len; i++)
    if (g_array_index (run->edges, guint, i) == edge_id)
      return true;
  return false;
}

/* The run covers the edge as far as its start, as drawn, or its end. */
static bool
has_end (const ModelRun *run, guint panel_id, guint edge_id, bool start)
{
  guint n = run->edges->len;
  if (!has_edge (run, panel_id, edge_id))
    return false;
  if (start)
    return run->from_mark_id == 0 || g_array_index (run->edges, guint, 0) != edge_id;
  return run->to_mark_id == 0 || g_array_index (run->edges, guint, n - 1) != edge_id;
}

/* The panel an edge goes on to beside CORNER; 0: it is seen. */
static guint
goes_on_to (EngineReview *review, guint panel_id, const Corner *corner, ModelSide side)
{
  const GPtrArray *joins = engine_review_document (review)->joins;
  for (guint i = 0; i < joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (joins, i);
    if ((join->a.panel_id != panel_id && join->b.panel_id != panel_id) || join->kind == MODEL_JOIN_GAP)
      continue;
    if (join->only != MODEL_SIDE_CENTRE && side != MODEL_SIDE_CENTRE && join->only != side)
      continue;
    bool lapped = join->kind == MODEL_JOIN_LAPPED;
    if (has_end (&join->a, panel_id, corner->beside_id, corner->beside_starts) && !(lapped && !join->b_over))
      return join->b.panel_id;
    if (has_end (&join->b, panel_id, corner->beside_id, corner->beside_starts) && !(lapped && join->b_over))
      return join->a.panel_id;
  }
  return 0;
}

static bool
is_of_join (const ModelJoin *join, guint panel_id, guint edge_id)
{
  return has_edge (&join->a, panel_id, edge_id) || has_edge (&join->b, panel_id, edge_id);
}

static bool
look_at (EngineReview *review,
         const ModelJoin *join,
         const EngineJoinReading *reading,
         bool at_end,
         EngineFinding *finding)
{
  Corner a, b;
  if (!find_corner (review, &join->a, reading->side_a, at_end, &a)
      || !find_corner (review, &join->b, reading->side_b, at_end, &b))
    return false;
  double off = a.inner_deg + b.inner_deg - 180.0;
  if (!(fabs (off) <= CORNER_DEG) || is_of_join (join, join->a.panel_id, a.beside_id)
      || is_of_join (join, join->b.panel_id, b.beside_id))
    return false;
  guint on_a = goes_on_to (review, join->a.panel_id, &a, reading->side_a);
  guint on_b = goes_on_to (review, join->b.panel_id, &b, reading->side_b);
  if (on_a != on_b || (on_a != 0 && (on_a == join->a.panel_id || on_a == join->b.panel_id)))
    return false;
  finding->what = at_end ? WHAT_END : WHAT_START;
  finding->edge_id = a.beside_id;
  finding->expected = 180.0;
  finding->actual = a.inner_deg + b.inner_deg;
  finding->difference = off;
  finding->tolerance = TOLERANCE_DEG;
  finding->holds = fabs (off) <= TOLERANCE_DEG;
  finding->has_at = true;
  finding->at = a.at;
  return true;
}

static void
run (EngineReview *review, guint id, GArray *out)
{
  const ModelJoin *join = model_document_join (engine_review_document (review), id);
  if (join->kind == MODEL_JOIN_GAP)
    return;
  EngineJoinReading readings[2];
  int n = engine_review_join_readings (review, id, readings);
  for (int i = 0; i < n; i++)
    for (int at_end = 0; at_end < 2; at_end++)
    {
      EngineFinding finding = engine_finding_blank (&engine_check_join_truth);
      finding.join_id = id;
      finding.panel_id = join->a.panel_id;
      finding.other_panel_id = join->b.panel_id;
      finding.unit = "deg";
      engine_join_set_side (&finding, &readings[i]);
      if (look_at (review, join, &readings[i], at_end, &finding))
        g_array_append_val (out, finding);
    }
}

static char *
edge_name (const ModelDocument *doc, const EngineFinding *finding)
{
  const ModelPanel *panel = model_document_panel (doc, finding->panel_id);
  int index = panel ? model_panel_find_edge (panel, finding->edge_id) : -1;
  return index < 0 ? g_strdup ("") : engine_words_edge (panel, (guint)index);
}

bool
engine_join_truth_is_at_end (const EngineFinding *finding)
{
  return finding->what == WHAT_END;
}

static double
step_of (EngineReview *review, const EngineFinding *finding)
{
  EngineJoinReading reading;
  return engine_join_reading_of (review, finding, &reading)
           ? engine_join_step_mm (review, &reading, finding->what == WHAT_END)
           : 0.0;
}

static char *
text (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelJoin *join = model_document_join (doc, finding->join_id);
  if (!join)
    return g_strdup (_ ("A join has lost an edge."));
  g_autofree char *a = engine_words_run_owner (doc, join, false);
  g_autofree char *b = engine_words_run_owner (doc, join, true);
  g_autofree char *edge = edge_name (doc, finding);
  if (finding->holds)
    /* Translators: edge, panel or edge, panel or edge: "The hem runs on smoothly from Front to Side." */
    return g_strdup_printf (_ ("The %1$s runs on smoothly from %2$s to %3$s."), edge, a, b);
  g_autofree char *angle = g_strdup_printf ("%.1f°", fabs (finding->difference));
  double step = step_of (review, finding);
  if (step >= SHOWN_MM)
  {
    g_autofree char *length = engine_words_length (doc, step);
    return g_strdup_printf (
      finding->difference < 0.0
        /* Translators: edge, degrees, panel or edge, panel or edge, length. */
        ? _ ("The %1$s has a peak of %2$s and a step of %5$s where %3$s and %4$s meet.")
        : _ ("The %1$s has a dent of %2$s and a step of %5$s where %3$s and %4$s meet."),
      edge, angle, a, b, length);
  }
  return g_strdup_printf (finding->difference < 0.0
                            ? _ ("The %1$s has a peak of %2$s where %3$s and %4$s meet.")
                            : _ ("The %1$s has a dent of %2$s where %3$s and %4$s meet."),
                          edge, angle, a, b);
}

static char *
detail (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelJoin *join = model_document_join (doc, finding->join_id);
  if (!join)
    return g_strdup ("");
  g_autofree char *where = engine_join_words_detail (doc, join);
  double step = finding->holds ? step_of (review, finding) : 0.0;
  if (step < SHOWN_MM)
    return g_steal_pointer (&where);
  g_autofree char *length = engine_words_length (doc, step);
  /* Translators: which join and how, then the distance between the ends of the two edges beside it. */
  return g_strdup_printf (_ ("%1$s The ends beside it stand %2$s apart."), where, length);
}

static void
remedies (EngineReview *review, const EngineFinding *finding, GPtrArray *out)
{
  EngineJoinReading reading;
  if (engine_join_reading_of (review, finding, &reading))
    engine_settle_truth (review, finding, &reading, finding->what == WHAT_END, out);
}

const EngineCheck engine_check_join_truth = {
  .name = "join-truth",
  .subject = ENGINE_SUBJECT_JOIN,
  .run = run,
  .text = text,
  .detail = detail,
  .remedies = remedies,
};
