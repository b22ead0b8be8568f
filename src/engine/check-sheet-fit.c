/* Everything must fit on the sheets.
 *
 * One finding for the paper: its size and the overlap can be used.  Then, if so, one for each piece that is
 * not hidden: it needs no more rows and columns of tiles than there are letters and figures for, lying either
 * way.  No arrangement is worked out here.
 */
#include "engine/check.h"
#include "engine/remedy.h"
#include "engine/sheet-plan.h"
#include "engine/words.h"

#include <glib/gi18n.h>

/* Common practice, no source: a strip that takes a glue stick. */
#define USUAL_OVERLAP_MM 10.0

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

static EngineRemedy *
with_paper (const ModelDocument *doc, const char *paper, double overlap_mm, char *text_taken)
{
  ModelHead *head = model_head_copy (doc->head);
  g_free (head->paper);
  head->paper = g_strdup (paper);
  head->overlap_mm = overlap_mm;
  EngineRemedy *remedy = engine_remedy_new (text_taken, NULL);
  engine_remedy_add (remedy, MODEL_PART_HEAD, head);
  return remedy;
}

static void
remedies (EngineReview *review, const EngineFinding *finding, GPtrArray *out)
{
  const ModelDocument *doc = engine_review_document (review);
  static const struct
  {
    const char *key, *name;
  } papers[] = {
    { "a4", N_ ("A4") }, { "letter", N_ ("Letter") }, { "a3", N_ ("A3") }, { "tabloid", N_ ("Tabloid") }
  };
  EnginePaper paper, now = { 0.0, 0.0 };
  bool readable = engine_paper_parse (doc->head->paper, &now);
  double overlap = engine_overlap_is_usable (now, doc->head->overlap_mm) && readable ? doc->head->overlap_mm
                                                                                     : USUAL_OVERLAP_MM;
  if (readable && !(doc->head->overlap_mm <= USUAL_OVERLAP_MM && doc->head->overlap_mm >= 0.0))
  {
    g_autofree char *length = engine_words_length (doc, USUAL_OVERLAP_MM);
    engine_remedy_offer (review, finding, out,
                         with_paper (doc, doc->head->paper, USUAL_OVERLAP_MM,
                                     g_strdup_printf (_ ("Let the sheets overlap by %s"), length)));
  }
  bool paper_is_right = finding->what == WHAT_PAPER && out->len > 0;
  for (guint i = 0; i < G_N_ELEMENTS (papers) && !paper_is_right; i++)
  {
    engine_paper_parse (papers[i].key, &paper);
    if (readable && paper.width_mm * paper.height_mm <= now.width_mm * now.height_mm)
      continue;
    engine_remedy_offer (
      review, finding, out,
      with_paper (doc, papers[i].key, overlap, g_strdup_printf (_ ("Print on %s"), _ (papers[i].name))));
  }
  ModelPanel *panel
    = finding->panel_id ? model_panel_copy (model_document_panel (doc, finding->panel_id)) : NULL;
  if (!panel)
    return;
  panel->hidden = true;
  EngineRemedy *remedy = engine_remedy_new (
    g_strdup_printf (_ ("Set %s aside, 1 piece fewer on the sheets"), panel->name), NULL);
  engine_remedy_add (remedy, MODEL_PART_PANEL, panel);
  engine_remedy_offer (review, finding, out, remedy);
}

const EngineCheck engine_check_sheet_fit = {
  .name = "sheet-fit",
  .subject = ENGINE_SUBJECT_DOCUMENT,
  .run = run,
  .text = text,
  .remedies = remedies,
};
