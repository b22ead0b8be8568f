/* A piece must be something a knife can follow.
 *
 * One finding for each piece.  In this order, the first that fails is told: it has an area and runs the right
 * way round; its seam line does not meet itself; no edge has shrunk to a point; nowhere is it narrower than
 * ENGINE_SLIVER_MM, a sharp corner's tip apart; its cut line does not meet itself and is still there.  An
 * outline is closed by the way a panel is built.
 */
#include "engine/check.h"
#include "engine/outline-scan.h"
#include "engine/remedy.h"
#include "engine/tolerance.h"
#include "engine/words.h"

#include <glib/gi18n.h>

typedef enum What
{
  WHAT_FINE,
  WHAT_NO_AREA,
  WHAT_CLOCKWISE,
  WHAT_CROSSES,
  WHAT_SHORT_EDGE,
  WHAT_THIN, /* narrow all over */
  WHAT_NARROW,
  WHAT_SLIT,
  WHAT_CUT_CROSSES,
  WHAT_CUT_GONE
} What;

static void
set_width (EngineFinding *finding, What what, double width_mm, GeomPoint at)
{
  finding->what = what;
  finding->unit = "mm";
  finding->expected = ENGINE_SLIVER_MM;
  finding->actual = width_mm;
  finding->difference = width_mm - ENGINE_SLIVER_MM;
  finding->tolerance = NAN;
  finding->has_at = true;
  finding->at = at;
}

static void
set_count (EngineFinding *finding, What what, int count)
{
  finding->what = what;
  finding->actual = finding->difference = count;
}

static bool
find_short_edge (const EnginePiece *piece, EngineFinding *finding)
{
  for (guint i = 0; i < piece->edges->len; i++)
  {
    const EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, i);
    if (edge->length_mm >= ENGINE_SHORT_EDGE_MM)
      continue;
    set_width (finding, WHAT_SHORT_EDGE, edge->length_mm, piece->seam.piece[edge->first].p[0]);
    finding->edge_id = edge->edge_id;
    finding->expected = ENGINE_SHORT_EDGE_MM;
    finding->difference = edge->length_mm - ENGINE_SHORT_EDGE_MM;
    return true;
  }
  return false;
}

static bool
find_seam_fault (const EnginePiece *piece, EngineFinding *finding)
{
  GeomPoint start = piece->seam.count > 0 ? piece->seam.piece[0].p[0] : geom_point (0.0, 0.0);
  /* As wide, on the average, as its area over half its way round. */
  double width = piece->perimeter_mm > 0.0 ? 2.0 * piece->area_mm2 / piece->perimeter_mm : 0.0;
  EngineOutlineScan scan = engine_outline_scan (&piece->seam, ENGINE_SLIVER_MM, ENGINE_SLIVER_WAY_MM);
  if (scan.result == ENGINE_SCAN_CROSSES)
  {
    set_count (finding, WHAT_CROSSES, scan.count);
    finding->has_at = true;
    finding->at = scan.at;
    return true;
  }
  if (!(width > ENGINE_NO_WIDTH_MM))
  {
    set_width (finding, WHAT_NO_AREA, width, start);
    return true;
  }
  if (piece->clockwise)
  {
    set_count (finding, WHAT_CLOCKWISE, 1);
    return true;
  }
  if (find_short_edge (piece, finding))
    return true;
  if (width < ENGINE_SLIVER_MM)
  {
    set_width (finding, WHAT_THIN, width, start);
    return true;
  }
  if (scan.result != ENGINE_SCAN_FINE)
  {
    set_width (finding, scan.result == ENGINE_SCAN_NARROW ? WHAT_NARROW : WHAT_SLIT, scan.width_mm, scan.at);
    return true;
  }
  return false;
}

static bool
find_cut_fault (const EnginePiece *piece, EngineFinding *finding)
{
  if (piece->cut_result == GEOM_CUT_EMPTY)
  {
    set_count (finding, WHAT_CUT_GONE, 1);
    return true;
  }
  /* A cut that was not trimmed may be in order all the same: the scan decides. */
  EngineOutlineScan scan = engine_outline_scan (&piece->cut, 0.0, 0.0);
  if (scan.result != ENGINE_SCAN_CROSSES)
    return false;
  set_count (finding, WHAT_CUT_CROSSES, scan.count);
  finding->has_at = true;
  finding->at = scan.at;
  return true;
}

static EngineFinding
look_at (EngineReview *review, const EnginePiece *piece)
{
  EngineFinding finding = engine_finding_blank (&engine_check_outline);
  finding.unit = "count";
  finding.expected = finding.actual = finding.difference = finding.tolerance = 0.0;
  finding.holds = !find_seam_fault (piece, &finding);
  if (finding.holds && !engine_piece_cut_is_sure (piece))
    finding.holds = !find_cut_fault (engine_review_piece (review, piece->panel_id, piece->side), &finding);
  return finding;
}

static void
run (EngineReview *review, guint id, GArray *out)
{
  const ModelPanel *panel = model_document_panel (engine_review_document (review), id);
  ModelSide sides[2];
  int n = engine_panel_sides (panel, sides);
  const EnginePiece *drawn
    = engine_review_seam_piece (review, id, n == 2 ? engine_panel_drawn_side (panel) : sides[0]);
  EngineFinding found = look_at (review, drawn);
  for (int i = 0; i < n; i++)
  {
    const EnginePiece *piece = engine_review_seam_piece (review, id, sides[i]);
    EngineFinding finding = found;
    if (piece->copied && finding.has_at)
      finding.at = geom_affine_apply (model_panel_mirror (panel), finding.at);
    if (piece != drawn && !piece->copied)
      finding = look_at (review, piece);
    finding.panel_id = id;
    finding.has_side = n == 2;
    finding.side = sides[i];
    g_array_append_val (out, finding);
  }
}

static char *
text (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelPanel *panel = model_document_panel (doc, finding->panel_id);
  g_autofree char *name = engine_words_panel (doc, finding->panel_id);
  int count = isfinite (finding->actual) ? (int)finding->actual : 0;
  switch ((What)finding->what)
  {
  case WHAT_FINE:
    return g_strdup_printf (_ ("%s can be cut."), name);
  case WHAT_NO_AREA:
    return g_strdup_printf (_ ("%s has no area."), name);
  case WHAT_CLOCKWISE:
    return g_strdup_printf (_ ("%s is drawn the wrong way round: its outline must run counter-clockwise."),
                            name);
  case WHAT_CROSSES:
    return g_strdup_printf (ngettext ("The outline of %s meets itself in %d place.",
                                      "The outline of %s meets itself in %d places.", (unsigned long)count),
                            name, count);
  case WHAT_SHORT_EDGE:
  {
    int index = panel ? model_panel_find_edge (panel, finding->edge_id) : -1;
    g_autofree char *edge = index >= 0 ? engine_words_edge (panel, (guint)index) : g_strdup ("");
    return g_strdup_printf (_ ("On %1$s, the %2$s has shrunk to a point."), name, edge);
  }
  case WHAT_THIN:
  case WHAT_NARROW:
  {
    g_autofree char *width = engine_words_length (doc, finding->actual);
    return g_strdup_printf (_ ("%1$s is only %2$s wide there and would tear."), name, width);
  }
  case WHAT_SLIT:
  {
    g_autofree char *width = engine_words_length (doc, finding->actual);
    return g_strdup_printf (_ ("Two stretches of the outline of %1$s are only %2$s apart."), name, width);
  }
  case WHAT_CUT_CROSSES:
    return g_strdup_printf (_ ("The cut line of %s meets itself."), name);
  case WHAT_CUT_GONE:
    return g_strdup_printf (_ ("Nothing is left of %s once the knife’s width is taken off."), name);
  }
  return g_strdup ("");
}

static char *
detail (EngineReview *review, const EngineFinding *finding)
{
  return g_strdup (finding->has_side ? engine_words_side (finding->side) : "");
}

/* ---- remedies ---- */

static EngineRemedy *
with_panel (ModelPanel *panel, char *text_taken, const char *detail)
{
  EngineRemedy *remedy = engine_remedy_new (text_taken, g_strdup (detail));
  engine_remedy_add (remedy, MODEL_PART_PANEL, panel);
  return remedy;
}

/* The same outline the other way round: the nodes from the first backwards, each edge keeping its name and
 * what hangs on it, its marks measured from its other end. */
static ModelPanel *
turned_round (const ModelPanel *panel)
{
  ModelPanel *copy = model_panel_copy (panel);
  guint n = panel->edges->len;
  GeomPath path;
  geom_path_init (&path);
  g_autofree size_t *first = g_new0 (size_t, n);
  model_panel_path (panel, &path, first);
  for (guint i = 0; i < copy->marks->len; i++)
  {
    ModelMark *mark = &g_array_index (copy->marks, ModelMark, i);
    int e = model_panel_find_edge (panel, mark->edge_id);
    double length = 0.0;
    for (size_t k = e < 0 ? path.count : first[e]; k < path.count && (e + 1 >= (int)n || k < first[e + 1]);
         k++)
      length += geom_cubic_length (&path.piece[k], ENGINE_TOL_LENGTH_MM);
    mark->at_mm = fmax (length - mark->at_mm, 0.0);
  }
  geom_path_clear (&path);
  for (guint e = 0; e < n; e++)
  {
    ModelEdge *edge = model_panel_edge (copy, n - 1 - e);
    const ModelEdge *was = model_panel_edge (panel, n - 1 - e);
    /* Backwards it starts where the next one started. */
    g_array_set_size (edge->nodes, 0);
    ModelNode start = *model_edge_node (model_panel_edge (panel, (n - e) % n), 0);
    g_array_append_val (edge->nodes, start);
    for (guint k = was->nodes->len; k-- > 1;)
      g_array_append_val (edge->nodes, g_array_index (was->nodes, ModelNode, k));
    for (guint k = 0; k < edge->nodes->len; k++)
    {
      ModelNode *node = model_edge_node (edge, k);
      GeomPoint swap = node->in;
      node->in = node->out;
      node->out = swap;
    }
  }
  for (guint i = 0; i < n / 2; i++)
  {
    gpointer swap = copy->edges->pdata[i];
    copy->edges->pdata[i] = copy->edges->pdata[n - 1 - i];
    copy->edges->pdata[n - 1 - i] = swap;
  }
  for (guint i = 0; i < copy->corrections->len; i++)
  {
    ModelCorrection *correction = &g_array_index (copy->corrections, ModelCorrection, i);
    GeomPoint swap = correction->in;
    correction->in = correction->out;
    correction->out = swap;
  }
  return copy;
}

/* Runs list their edges in the order of the outline, and start where they started. */
static void
turn_runs (EngineRemedy *remedy, const ModelDocument *doc, guint panel_id)
{
  for (guint i = 0; i < doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (doc->joins, i);
    if (join->a.panel_id != panel_id && join->b.panel_id != panel_id)
      continue;
    ModelJoin *copy = model_join_copy (join);
    for (int is_b = 0; is_b < 2; is_b++)
    {
      ModelRun *run = is_b ? &copy->b : &copy->a;
      if (run->panel_id != panel_id)
        continue;
      run->reversed = !run->reversed;
      for (guint k = 0; k < run->edges->len / 2; k++)
      {
        guint *a = &g_array_index (run->edges, guint, k);
        guint *b = &g_array_index (run->edges, guint, run->edges->len - 1 - k), swap = *a;
        *a = *b;
        *b = swap;
      }
    }
    engine_remedy_add (remedy, MODEL_PART_JOIN, copy);
  }
}

static EngineRemedy *
turn_round_remedy (const ModelDocument *doc, const ModelPanel *panel)
{
  g_autofree char *name = engine_words_panel (doc, panel->id);
  EngineRemedy *remedy
    = with_panel (turned_round (panel), g_strdup_printf (_ ("Turn the outline of %s round"), name), NULL);
  turn_runs (remedy, doc, panel->id);
  return remedy;
}

/* Takes out the nodes from edge E0, node N0 (not itself) up to E1, N1, counted as the outline's pieces: only
 * within one edge, so that every edge stays and every join with it. */
static EngineRemedy *
take_loop_out (const ModelDocument *doc, const ModelPanel *panel)
{
  GeomPath path;
  geom_path_init (&path);
  g_autofree size_t *first = g_new0 (size_t, panel->edges->len);
  model_panel_path (panel, &path, first);
  GeomSelfCrossing crossing;
  EngineRemedy *remedy = NULL;
  bool any = geom_path_self_crossings (&path, ENGINE_TOL_CROSSING_MM, &crossing, 1) > 0;
  for (guint e = 0; any && e < panel->edges->len; e++)
  {
    size_t from = first[e], count = model_panel_edge (panel, e)->nodes->len;
    if (crossing.a.piece < from || crossing.b.piece >= from + count || model_panel_edge (panel, e)->locked
        || panel->locked)
      continue;
    ModelPanel *copy = model_panel_copy (panel);
    ModelEdge *edge = model_panel_edge (copy, e);
    guint a = (guint)(crossing.a.piece - from), b = (guint)(crossing.b.piece - from);
    GeomCubic head, tail, unused;
    geom_cubic_split (&path.piece[crossing.a.piece], crossing.a.t, &head, &unused);
    geom_cubic_split (&path.piece[crossing.b.piece], crossing.b.t, &unused, &tail);
    double cut_out = geom_path_length_to (&path, crossing.b, ENGINE_TOL_LENGTH_MM)
                     - geom_path_length_to (&path, crossing.a, ENGINE_TOL_LENGTH_MM);
    ModelNode *start = model_edge_node (edge, a), *end = model_panel_next_node (copy, e, b);
    start->out = head.p[1];
    end->in = tail.p[2];
    if (a == b)
    {
      /* One piece that crosses itself: a plain curve with the same ends. */
      start->out = geom_mix (start->at, crossing.point, 2.0 / 3.0);
      end->in = geom_mix (end->at, crossing.point, 2.0 / 3.0);
    }
    else
    {
      ModelNode *meets = model_edge_node (edge, a + 1);
      meets->kind = MODEL_NODE_CORNER;
      meets->at = crossing.point;
      meets->in = head.p[2];
      meets->out = tail.p[1];
      g_array_remove_range (edge->nodes, a + 2, b - a - 1);
    }
    g_autofree char *length = engine_words_length (doc, cut_out);
    g_autofree char *words = engine_words_edge (panel, e);
    remedy
      = with_panel (copy, g_strdup_printf (_ ("Take the loop of %1$s out of the %2$s"), length, words), NULL);
    break;
  }
  geom_path_clear (&path);
  return remedy;
}

/* The edge that shrank to a point becomes part of its neighbour, if no join needs it. */
static EngineRemedy *
drop_short_edge (const ModelDocument *doc, const ModelPanel *panel, guint edge_id)
{
  int index = model_panel_find_edge (panel, edge_id);
  if (index < 0 || panel->locked || panel->edges->len < 3)
    return NULL;
  for (guint i = 0; i < doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (doc->joins, i);
    for (int is_b = 0; is_b < 2; is_b++)
    {
      const ModelRun *run = is_b ? &join->b : &join->a;
      for (guint k = 0; run->panel_id == panel->id && k < run->edges->len; k++)
        if (g_array_index (run->edges, guint, k) == edge_id)
          return NULL;
    }
  }
  ModelPanel *copy = model_panel_copy (panel);
  ModelEdge *edge = model_panel_edge (copy, (guint)index);
  if (edge->fold || edge->locked)
  {
    model_panel_free (copy);
    return NULL;
  }
  g_autofree char *name = engine_words_edge (panel, (guint)index);
  ModelNode before = *model_edge_node (edge, 0);
  ModelNode *after = model_edge_node (model_panel_edge (copy, ((guint)index + 1) % copy->edges->len), 0);
  after->in = geom_add (after->at, geom_sub (before.in, before.at));
  for (guint i = copy->marks->len; i-- > 0;)
    if (g_array_index (copy->marks, ModelMark, i).edge_id == edge_id)
      g_array_remove_index (copy->marks, i);
  for (guint i = copy->corrections->len; i-- > 0;)
    for (guint k = 0; k < edge->nodes->len; k++)
      if (g_array_index (copy->corrections, ModelCorrection, i).node_id == model_edge_node (edge, k)->id)
      {
        g_array_remove_index (copy->corrections, i);
        break;
      }
  g_ptr_array_remove_index (copy->edges, (guint)index);
  return with_panel (copy, g_strdup_printf (_ ("Take the %s out of the outline, 1 edge fewer"), name), NULL);
}

/* Allowances set by hand that spoil the cut line are given back to the joins. */
static EngineRemedy *
drop_overrides (const ModelDocument *doc, const ModelPanel *panel)
{
  ModelPanel *copy = model_panel_copy (panel);
  guint dropped = 0;
  for (guint e = 0; e < copy->edges->len; e++)
  {
    ModelEdge *edge = model_panel_edge (copy, e);
    dropped += edge->has_allowance;
    edge->has_allowance = false;
    edge->allowance_mm = 0.0;
  }
  (void)doc;
  return with_panel (copy,
                     g_strdup_printf (ngettext ("Let the joins decide %u allowance again",
                                                "Let the joins decide %u allowances again", dropped),
                                      dropped),
                     NULL);
}

static void
remedies (EngineReview *review, const EngineFinding *finding, GPtrArray *out)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelPanel *panel = model_document_panel (doc, finding->panel_id);
  if (!panel)
    return;
  switch ((What)finding->what)
  {
  case WHAT_CLOCKWISE:
    engine_remedy_offer (review, finding, out, turn_round_remedy (doc, panel));
    break;
  case WHAT_CROSSES:
    engine_remedy_offer (review, finding, out, take_loop_out (doc, panel));
    break;
  case WHAT_SHORT_EDGE:
    engine_remedy_offer (review, finding, out, drop_short_edge (doc, panel, finding->edge_id));
    break;
  case WHAT_CUT_CROSSES:
  case WHAT_CUT_GONE:
    engine_remedy_offer (review, finding, out, drop_overrides (doc, panel));
    break;
  case WHAT_FINE:
  case WHAT_NO_AREA:
  case WHAT_THIN:
  case WHAT_NARROW:
  case WHAT_SLIT:
    break;
  }
}

const EngineCheck engine_check_outline = {
  .name = "outline",
  .subject = ENGINE_SUBJECT_PANEL,
  .run = run,
  .text = text,
  .detail = detail,
  .remedies = remedies,
};
