/* Halves that are meant to be alike must be alike, and a correction of one side must not get lost.
 *
 * Three ways in which a left and a right belong together, one finding each:
 *
 *   mirrored, sides alike      Alike by construction: difference 0.  Corrections that were set aside are
 * told, and hold. mirrored, own sides        They differ on purpose; by how much is told.  That the joins
 * hold on both sides is another check's business (join-length, once a side).  What fails here is a correction
 * whose node is gone: what was learnt at a fitting would be lost without a word. two single panels "Front,
 * left" and "Front, right", one on each side, say by their names that they are alike.  Laid on each other,
 *                              one turned over, in the position in which they agree best, they may differ by
 * ENGINE_ALIKE_MM.
 */
#include "engine/alike.h"
#include "engine/check.h"
#include "engine/remedy.h"
#include "engine/tolerance.h"
#include "engine/words.h"

#include <glib/gi18n.h>

typedef enum What
{
  WHAT_ALIKE,      /* by construction */
  WHAT_SET_ASIDE,  /* alike, with corrections waiting */
  WHAT_OWN,        /* different on purpose */
  WHAT_LOST,       /* a correction without its node */
  WHAT_COUNTERPART /* two single panels */
} What;

static guint
count_lost (const ModelPanel *panel)
{
  guint lost = 0;
  for (guint i = 0; i < panel->corrections->len; i++)
    if (!model_panel_find_node (panel, g_array_index (panel->corrections, ModelCorrection, i).node_id, NULL,
                                NULL))
      lost++;
  return lost;
}

/* The farthest that a node of the other side lies from where the mirror would put it. */
static double
farthest_node (const ModelPanel *panel)
{
  double farthest = 0.0;
  for (guint i = 0; i < panel->corrections->len; i++)
  {
    const ModelCorrection *correction = &g_array_index (panel->corrections, ModelCorrection, i);
    if (model_panel_find_node (panel, correction->node_id, NULL, NULL))
      farthest = fmax (farthest, geom_norm (correction->at));
  }
  return farthest;
}

static void
look_at_mirrored (const ModelPanel *panel, EngineFinding *finding)
{
  guint lost = count_lost (panel);
  finding->holds = lost == 0;
  finding->expected = 0.0;
  if (lost > 0)
  {
    finding->what = WHAT_LOST;
    finding->unit = "count";
    finding->tolerance = 0.0;
    finding->actual = finding->difference = lost;
    return;
  }
  bool corrected = engine_panel_is_corrected (panel);
  finding->what = corrected ? WHAT_OWN : panel->corrections->len > 0 ? WHAT_SET_ASIDE : WHAT_ALIKE;
  finding->actual = finding->difference = corrected ? farthest_node (panel) : 0.0;
}

static void
run (EngineReview *review, guint id, GArray *out)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelPanel *panel = model_document_panel (doc, id);
  EngineFinding finding = engine_finding_blank (&engine_check_twin);
  finding.panel_id = id;
  if (engine_panel_is_mirrored (panel))
  {
    look_at_mirrored (panel, &finding);
    g_array_append_val (out, finding);
    return;
  }
  /* Told once, on the left one. */
  guint other_id = engine_review_counterpart (review, id);
  if (!other_id || panel->side != MODEL_SIDE_LEFT)
    return;
  const ModelPanel *other = model_document_panel (doc, other_id);
  const EnginePiece *piece = engine_review_seam_piece (review, id, panel->side);
  const EnginePiece *other_piece = engine_review_seam_piece (review, other_id, other->side);
  finding.other_panel_id = other_id;
  finding.what = WHAT_COUNTERPART;
  finding.expected = 0.0;
  finding.actual = finding.difference
    = engine_mirrored_distance (&piece->seam, &other_piece->seam, &finding.at);
  finding.tolerance = ENGINE_ALIKE_MM;
  finding.holds = finding.difference <= finding.tolerance;
  finding.has_at = !finding.holds;
  if (finding.holds)
    finding.at = geom_point (0.0, 0.0);
  g_array_append_val (out, finding);
}

static char *
text (EngineReview *review, const EngineFinding *finding)
{
  const ModelDocument *doc = engine_review_document (review);
  g_autofree char *name = engine_words_panel (doc, finding->panel_id);
  g_autofree char *by = engine_words_length (doc, isfinite (finding->difference) ? finding->difference : 0.0);
  switch ((What)finding->what)
  {
  case WHAT_ALIKE:
    return g_strdup_printf (_ ("Both sides of %s are alike."), name);
  case WHAT_SET_ASIDE:
    return g_strdup_printf (_ ("Both sides of %s are alike; the corrections of one side are set aside."),
                            name);
  case WHAT_OWN:
    return g_strdup_printf (_ ("The sides of %1$s differ by up to %2$s, on purpose."), name, by);
  case WHAT_LOST:
  {
    int lost = (int)finding->actual;
    return g_strdup_printf (
      ngettext ("%1$s has %2$d correction for one side whose place on the outline is gone.",
                "%1$s has %2$d corrections for one side whose places on the outline are gone.",
                (unsigned long)lost),
      name, lost);
  }
  case WHAT_COUNTERPART:
  {
    g_autofree char *other = engine_words_panel (doc, finding->other_panel_id);
    if (finding->holds)
      return g_strdup_printf (_ ("%1$s and %2$s are alike."), name, other);
    return g_strdup_printf (_ ("%1$s and %2$s differ by up to %3$s."), name, other, by);
  }
  }
  return g_strdup ("");
}

static char *
detail (EngineReview *review, const EngineFinding *finding)
{
  if (finding->what == WHAT_COUNTERPART && !finding->holds)
    return g_strdup (_ ("Turned over and laid on each other where they agree best."));
  return g_strdup ("");
}

static EngineRemedy *
forget_lost (const ModelPanel *panel)
{
  ModelPanel *copy = model_panel_copy (panel);
  guint lost = 0;
  for (guint i = copy->corrections->len; i-- > 0;)
    if (!model_panel_find_node (copy, g_array_index (copy->corrections, ModelCorrection, i).node_id, NULL,
                                NULL))
    {
      g_array_remove_index (copy->corrections, i);
      lost++;
    }
  EngineRemedy *remedy = engine_remedy_new (
    g_strdup_printf (ngettext ("Let %u lost correction go", "Let %u lost corrections go", lost), lost), NULL);
  engine_remedy_add (remedy, MODEL_PART_PANEL, copy);
  return remedy;
}

/* The shape of FROM, turned over and laid where TO lies; TO keeps its ids, names and joins.  NULL where their
 * corners do not correspond. */
static EngineRemedy *
make_alike (const ModelDocument *doc, const EnginePiece *from_piece, const EnginePiece *to_piece)
{
  const ModelPanel *from = model_document_panel (doc, from_piece->panel_id);
  ModelPanel *to = model_panel_copy (model_document_panel (doc, to_piece->panel_id));
  if (!engine_lay_mirrored (from, &from_piece->seam, to, &to_piece->seam))
  {
    model_panel_free (to);
    return NULL;
  }
  EngineRemedy *remedy = engine_remedy_new (
    g_strdup_printf (_ ("Give %1$s the shape of %2$s, turned over"), to->name, from->name), NULL);
  engine_remedy_add (remedy, MODEL_PART_PANEL, to);
  return remedy;
}

/* Under another name it is nobody's counterpart. */
static EngineRemedy *
let_differ (const ModelDocument *doc, const ModelPanel *panel, double by_mm)
{
  ModelPanel *copy = model_panel_copy (panel);
  /* Translators: a panel that is on purpose not like its counterpart on the other side. */
  g_autofree char *wish = g_strdup_printf (_ ("%s, own shape"), panel->name);
  g_autofree char *by = engine_words_length (doc, by_mm);
  g_free (copy->name);
  copy->name = model_document_free_panel_name (doc, wish);
  EngineRemedy *remedy = engine_remedy_new (
    g_strdup_printf (_ ("Let them differ by %1$s, and call it “%2$s”"), by, copy->name), NULL);
  engine_remedy_add (remedy, MODEL_PART_PANEL, copy);
  return remedy;
}

static void
remedies (EngineReview *review, const EngineFinding *finding, GPtrArray *out)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelPanel *panel = model_document_panel (doc, finding->panel_id);
  if (finding->what == WHAT_LOST)
    engine_remedy_offer (review, finding, out, forget_lost (panel));
  if (finding->what != WHAT_COUNTERPART)
    return;
  const ModelPanel *other = model_document_panel (doc, finding->other_panel_id);
  const EnginePiece *piece = engine_review_seam_piece (review, panel->id, panel->side);
  const EnginePiece *other_piece = engine_review_seam_piece (review, other->id, other->side);
  engine_remedy_offer (review, finding, out, make_alike (doc, piece, other_piece));
  engine_remedy_offer (review, finding, out, make_alike (doc, other_piece, piece));
  engine_remedy_offer (review, finding, out, let_differ (doc, other, finding->difference));
}

const EngineCheck engine_check_twin = {
  .name = "twin",
  .subject = ENGINE_SUBJECT_PANEL,
  .run = run,
  .text = text,
  .detail = detail,
  .remedies = remedies,
};
