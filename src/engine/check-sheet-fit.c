/* Everything must fit on the sheets.
 *
 * One finding for the paper: its size and the overlap can be used.  Then, if so, one for each piece that is
 * not hidden: it needs no more rows and columns of tiles than there are letters and figures for, lying either
 * way.  No arrangement is worked out here.
 */
#include "engine/check.h"
#include "engine/sheet-plan.h"
#include "engine/words.h"

#include <glib/gi18n.h>

typedef enum What
{
  WHAT_PAPER,
  WHAT_PIECE
} What;

static void
run (EngineReview *review, guint id, GArray *out)
{
  const ModelDocument *doc = engine_review_document (review);
  EnginePaper paper;
  EngineFinding finding = engine_finding_blank (&engine_check_sheet_fit);
  finding.what = WHAT_PAPER;
  finding.unit = "count";
  finding.holds = engine_paper_parse (doc->head->paper, &paper)
                  && engine_overlap_is_usable (paper, doc->head->overlap_mm);
  g_array_append_val (out, finding);
  if (!finding.holds)
    return;
  finding.what = WHAT_PIECE;
  finding.expected = finding.tolerance = 0.0;
  const GPtrArray *pieces = engine_review_seam_pieces (review);
  const ModelPanel *panel = NULL;
  for (guint i = 0; i < pieces->len; i++)
  {
    const EnginePiece *piece = g_ptr_array_index (pieces, i);
    if (!panel || panel->id != piece->panel_id)
      panel = model_document_panel (doc, piece->panel_id);
    if (panel->hidden)
      continue;
    finding.panel_id = piece->panel_id;
    finding.side = piece->side;
    finding.has_side = piece->side != MODEL_SIDE_CENTRE;
    finding.holds = engine_box_fits_sheets (paper, doc->head->overlap_mm, piece->bound)
                    || engine_box_fits_sheets (paper, doc->head->overlap_mm,
                                               engine_review_piece (review, panel->id, piece->side)->box);
    finding.actual = finding.difference = finding.holds ? 0.0 : 1.0;
    g_array_append_val (out, finding);
  }
}

static char *
text (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  if (finding->what == WHAT_PAPER)
  {
    g_autofree char *overlap = engine_words_length (doc, doc->head->overlap_mm);
    return g_strdup_printf (finding->holds ? _ ("Paper %1$s with an overlap of %2$s can be used.")
                                           : _ ("Paper %1$s with an overlap of %2$s cannot be used."),
                            doc->head->paper, overlap);
  }
  g_autofree char *name = engine_words_panel (doc, finding->panel_id);
  return g_strdup_printf (finding->holds
                            ? _ ("%s fits on the sheets.")
                            : _ ("%s is too large for sheets of paper; is a corner out of place?"),
                          name);
}

const EngineCheck engine_check_sheet_fit = {
  .name = "sheet-fit",
  .subject = ENGINE_SUBJECT_DOCUMENT,
  .run = run,
  .text = text,
};
