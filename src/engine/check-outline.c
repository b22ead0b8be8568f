/* A piece must be something a knife can follow.
 *
 * One finding for each piece.  In this order, the first that fails is told: it has an area and runs the right
 * way round; its seam line does not meet itself; no edge has shrunk to a point; nowhere is it narrower than
 * ENGINE_SLIVER_MM, a sharp corner's tip apart; its cut line does not meet itself and is still there.  An
 * outline is closed by the way a panel is built.
 */
#include "engine/check.h"
#include "engine/outline-scan.h"
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

const EngineCheck engine_check_outline = {
  .name = "outline",
  .subject = ENGINE_SUBJECT_PANEL,
  .run = run,
  .text = text,
  .detail = detail,
};
