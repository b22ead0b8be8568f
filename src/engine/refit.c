#include "engine/refit.h"

#include "engine/check.h"
#include "engine/girth.h"
#include "engine/refit-exact.h"
#include "engine/refit-field.h"
#include "engine/remedy.h"
#include "engine/tolerance.h"
#include "engine/words.h"

#include <glib/gi18n.h>
#include <string.h>

/* Measures are taken to the millimetre; less than this between two is the same. */
#define SAME_MM 0.05
/* Outlines that meet themselves nearer than this do not cross. */
#define CROSSING_MM 1e-3

struct EngineRefit
{
  EngineReview *review;
  GArray *measures;           /* EngineRefitMeasure */
  GArray *proposals;          /* EngineRefitProposal */
  GPtrArray *notes;           /* char */
  GArray *growths, *outcomes; /* of the last work */
  GPtrArray *words, *broken;
};

EngineRefit *
engine_refit_new (EngineReview *review)
{
  EngineRefit *refit = g_new0 (EngineRefit, 1);
  const ModelDocument *doc = engine_review_document (review);
  refit->review = review;
  refit->measures = g_array_new (FALSE, FALSE, sizeof (EngineRefitMeasure));
  refit->proposals = g_array_new (FALSE, FALSE, sizeof (EngineRefitProposal));
  refit->notes = g_ptr_array_new_with_free_func (g_free);
  refit->growths = g_array_new (FALSE, FALSE, sizeof (EngineRefitGrowth));
  refit->outcomes = g_array_new (FALSE, FALSE, sizeof (EngineRefitOutcome));
  refit->words = g_ptr_array_new_with_free_func (g_free);
  refit->broken = g_ptr_array_new_with_free_func (g_free);
  for (guint i = 0; i < doc->measures->len; i++)
  {
    const ModelMeasure *measure = g_ptr_array_index (doc->measures, i);
    EngineRefitMeasure one
      = { measure->id, measure->has_wearer, measure->has_wearer, measure->wearer_mm, measure->wearer_mm };
    g_array_append_val (refit->measures, one);
  }
  return refit;
}

void
engine_refit_free (EngineRefit *refit)
{
  if (!refit)
    return;
  g_array_unref (refit->measures);
  g_array_unref (refit->proposals);
  g_ptr_array_unref (refit->notes);
  g_array_unref (refit->growths);
  g_array_unref (refit->outcomes);
  g_ptr_array_unref (refit->words);
  g_ptr_array_unref (refit->broken);
  g_free (refit);
}

const GArray *
engine_refit_measures (const EngineRefit *refit)
{
  return refit->measures;
}

GArray *
engine_refit_proposals (EngineRefit *refit)
{
  return refit->proposals;
}

const GPtrArray *
engine_refit_notes (EngineRefit *refit)
{
  return refit->notes;
}

const GPtrArray *
engine_refit_words (const EngineRefit *refit)
{
  return refit->words;
}

const GArray *
engine_refit_outcomes (const EngineRefit *refit)
{
  return refit->outcomes;
}

const GPtrArray *
engine_refit_broken (const EngineRefit *refit)
{
  return refit->broken;
}

const GArray *
engine_refit_growths (const EngineRefit *refit)
{
  return refit->growths;
}

EngineReview *
engine_refit_review (const EngineRefit *refit)
{
  return refit->review;
}

static EngineRefitMeasure *
measure_of (const EngineRefit *refit, guint measure_id)
{
  for (guint i = 0; i < refit->measures->len; i++)
    if (g_array_index (refit->measures, EngineRefitMeasure, i).measure_id == measure_id)
      return &g_array_index (refit->measures, EngineRefitMeasure, i);
  return NULL;
}

/* ---- what the new figures ask for ---- */

static bool
differs (const EngineRefitMeasure *measure)
{
  return measure && measure->has_will
         && (!measure->has_was || fabs (measure->will_mm - measure->was_mm) >= SAME_MM);
}

/* A copy of the document with the new wearer's measures. */
static ModelDocument *
with_new_measures (const EngineRefit *refit)
{
  ModelDocument *doc = model_document_copy (engine_review_document (refit->review));
  for (guint i = 0; i < doc->measures->len; i++)
  {
    ModelMeasure *measure = g_ptr_array_index (doc->measures, i);
    const EngineRefitMeasure *new = measure_of (refit, measure->id);
    if (!differs (new))
      continue;
    measure->has_wearer = true;
    measure->wearer_mm = new->will_mm;
  }
  return doc;
}

static void
propose (EngineRefit *refit, EngineRefitProposal proposal)
{
  if (fabs (proposal.needed_mm) < SAME_MM)
    return;
  proposal.amount_mm = proposal.needed_mm;
  proposal.on = true;
  g_array_append_val (refit->proposals, proposal);
}

/* The panel lies on LINE as drawn. */
static bool
line_crosses (const ModelLine *line, guint panel_id)
{
  for (guint i = 0; line && i < line->spans->len; i++)
    if (g_array_index (line->spans, ModelSpan, i).panel_id == panel_id)
      return true;
  return false;
}

static bool
line_measures (const ModelLine *line)
{
  return line->kind == MODEL_LINE_GIRTH || line->kind == MODEL_LINE_REACH || line->kind == MODEL_LINE_NECK;
}

/* Lines of the measure; how many there were, those that already agree too. */
static guint
propose_lines (EngineRefit *refit, EngineReview *ahead, const EngineRefitMeasure *measure)
{
  const ModelDocument *doc = engine_review_document (ahead);
  guint count = 0;
  for (guint i = 0; i < doc->lines->len; i++)
  {
    const ModelLine *line = g_ptr_array_index (doc->lines, i);
    const EngineLineReading *reading = engine_review_line (ahead, line->id);
    if (!line_measures (line) || line->measure_id != measure->measure_id || !reading
        || reading->spans->len == 0)
      continue;
    count++;
    EngineRefitProposal proposal = { .measure_id = measure->measure_id, .line_id = line->id };
    proposal.kind = line->kind == MODEL_LINE_NECK       ? ENGINE_REFIT_OPENING
                    : engine_refit_is_along (doc, line) ? ENGINE_REFIT_LENGTH
                                                        : ENGINE_REFIT_WIDTH;
    /* A girth must come out; a limit keeps the room it had. */
    bool limit = line->kind != MODEL_LINE_GIRTH && measure->has_was;
    proposal.needed_mm = limit ? measure->will_mm - measure->was_mm : -reading->difference_mm;
    propose (refit, proposal);
  }
  return count;
}

/* ---- lengths between levels ---- */

static const EngineRefitMeasure *
measure_by_key (const EngineRefit *refit, const char *key)
{
  const ModelDocument *doc = engine_review_document (refit->review);
  for (guint i = 0; i < doc->measures->len; i++)
  {
    const ModelMeasure *measure = g_ptr_array_index (doc->measures, i);
    if (g_strcmp0 (measure->key, key) == 0)
      return measure_of (refit, measure->id);
  }
  return NULL;
}

static const ModelLine *
level_of (const EngineRefit *refit, const char *key)
{
  const ModelDocument *doc = engine_review_document (refit->review);
  const EngineRefitMeasure *measure = measure_by_key (refit, key);
  for (guint i = 0; measure && i < doc->lines->len; i++)
  {
    const ModelLine *line = g_ptr_array_index (doc->lines, i);
    if (line->kind == MODEL_LINE_GIRTH && line->measure_id == measure->measure_id && line->spans->len > 0)
      return line;
  }
  return NULL;
}

/* The maker's own name for a panel tells front from back: "Front", "Back, left". */
static bool
name_has (const ModelPanel *panel, const char *word)
{
  g_autofree char *name = g_utf8_casefold (panel->name, -1), *folded = g_utf8_casefold (word, -1);
  return strstr (name, folded) != NULL;
}

/* Panels that are named for the side of the body and that chest and waist cross: ids. */
static GArray *
panels_above (const EngineRefit *refit, const char *key)
{
  const ModelDocument *doc = engine_review_document (refit->review);
  const ModelLine *chest = level_of (refit, "chest_girth"), *waist = level_of (refit, "waist_girth");
  GArray *ids = g_array_new (FALSE, FALSE, sizeof (guint));
  bool back = g_strcmp0 (key, "back_waist_length") == 0;
  /* Translators: what a panel's name has in it that lies on the wearer's back; then on the front. */
  const char *word = back ? "back" : "front",
             *shown = back ? C_ ("panel name", "back") : C_ ("panel name", "front");
  for (guint i = 0; chest && waist && i < doc->panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (doc->panels, i);
    if ((name_has (panel, word) || name_has (panel, shown)) && line_crosses (chest, panel->id)
        && line_crosses (waist, panel->id))
      g_array_append_val (ids, panel->id);
  }
  return ids;
}

/* False: there is no such panel. */
static bool
propose_above (EngineRefit *refit, const EngineRefitMeasure *measure, const char *key)
{
  g_autoptr (GArray) ids = panels_above (refit, key);
  for (guint i = 0; i < ids->len; i++)
    propose (refit, (EngineRefitProposal) { .kind = ENGINE_REFIT_LENGTH,
                                            .measure_id = measure->measure_id,
                                            .from_line_id = level_of (refit, "chest_girth")->id,
                                            .below_line_id = level_of (refit, "waist_girth")->id,
                                            .panel_id = g_array_index (ids, guint, i),
                                            .needed_mm = measure->will_mm - measure->was_mm });
  return ids->len > 0;
}

static bool
propose_between (EngineRefit *refit, const EngineRefitMeasure *measure, const char *from, const char *to)
{
  const ModelLine *a = level_of (refit, from), *b = level_of (refit, to);
  if (!a || !b)
    return false;
  propose (refit, (EngineRefitProposal) { .kind = ENGINE_REFIT_LENGTH,
                                          .measure_id = measure->measure_id,
                                          .from_line_id = a->id,
                                          .to_line_id = b->id,
                                          .needed_mm = measure->will_mm - measure->was_mm });
  return true;
}

/* The lengths of the trunk that lie between girths.  False: none of them, or a level is not drawn. */
static bool
propose_length (EngineRefit *refit, const EngineRefitMeasure *measure, const char *key)
{
  if (!measure->has_was)
    return false;
  if (g_strcmp0 (key, "waist_to_hip") == 0)
    return propose_between (refit, measure, "waist_girth", "hip_girth");
  if (g_strcmp0 (key, "side_length") == 0)
    return propose_between (refit, measure, "waist_girth", "chest_girth");
  if (g_strcmp0 (key, "back_waist_length") == 0 || g_strcmp0 (key, "front_waist_length") == 0)
    return propose_above (refit, measure, key);
  return false;
}

static bool
lies_between_levels (const char *key)
{
  return g_strcmp0 (key, "waist_to_hip") == 0 || g_strcmp0 (key, "side_length") == 0
         || g_strcmp0 (key, "back_waist_length") == 0 || g_strcmp0 (key, "front_waist_length") == 0;
}

static void
note_missing (EngineRefit *refit, const ModelMeasure *measure)
{
  g_autofree char *name = engine_words_measure (measure);
  char *text;
  if (g_strcmp0 (measure->key, "waist_to_hip") == 0)
    text
      = g_strdup_printf (_ ("%s: draw girth lines at waist and hips; its length lies between them."), name);
  else if (lies_between_levels (measure->key))
    /* Translators: name of a measure. */
    text
      = g_strdup_printf (_ ("%s: draw girth lines at waist and chest; its length is told from them."), name);
  else
    /* Translators: name of a measure. */
    text = g_strdup_printf (_ ("There is no line for %s: draw one."), name);
  g_ptr_array_add (refit->notes, text);
}

static bool
has_line (const ModelDocument *doc, guint measure_id)
{
  for (guint i = 0; i < doc->lines->len; i++)
  {
    const ModelLine *line = g_ptr_array_index (doc->lines, i);
    if (line_measures (line) && line->measure_id == measure_id && line->spans->len > 0)
      return true;
  }
  return false;
}

static void
make_proposals (EngineRefit *refit)
{
  g_array_set_size (refit->proposals, 0);
  g_ptr_array_set_size (refit->notes, 0);
  g_autoptr (ModelDocument) doc = with_new_measures (refit);
  g_autoptr (EngineReview) ahead = engine_review_new (doc);
  for (guint i = 0; i < refit->measures->len; i++)
  {
    const EngineRefitMeasure *measure = &g_array_index (refit->measures, EngineRefitMeasure, i);
    const ModelMeasure *its = model_document_measure (doc, measure->measure_id);
    if (its && measure->has_was && !measure->has_will && has_line (doc, measure->measure_id))
    {
      g_autofree char *name = engine_words_measure (its);
      /* Translators: name of a measure. */
      g_ptr_array_add (refit->notes,
                       g_strdup_printf (_ ("%s is not known of the other wearer: its line stays."), name));
    }
    if (!its || !differs (measure))
      continue;
    if (propose_lines (refit, ahead, measure) == 0 && !propose_length (refit, measure, its->key))
      note_missing (refit, its);
  }
}

void
engine_refit_set (EngineRefit *refit, guint measure_id, double mm)
{
  EngineRefitMeasure *measure = measure_of (refit, measure_id);
  if (!measure)
    return;
  measure->has_will = isfinite (mm) && mm > 0.0;
  measure->will_mm = measure->has_will ? mm : 0.0;
  make_proposals (refit);
}

static const ModelMeasure *
same_measure (const ModelDocument *other, const ModelMeasure *measure)
{
  for (guint i = 0; i < other->measures->len; i++)
  {
    const ModelMeasure *one = g_ptr_array_index (other->measures, i);
    bool same = measure->key || one->key
                  ? g_strcmp0 (measure->key, one->key) == 0
                  : g_utf8_collate (measure->name ? measure->name : "", one->name ? one->name : "") == 0;
    if (same && one->has_wearer && one->wearer_mm > 0.0)
      return one;
  }
  return NULL;
}

guint
engine_refit_read (EngineRefit *refit, const ModelDocument *other)
{
  const ModelDocument *doc = engine_review_document (refit->review);
  guint count = 0;
  for (guint i = 0; i < doc->measures->len; i++)
  {
    const ModelMeasure *measure = g_ptr_array_index (doc->measures, i), *same = same_measure (other, measure);
    EngineRefitMeasure *one = measure_of (refit, measure->id);
    if (!one)
      continue;
    one->has_will = same != NULL;
    one->will_mm = same ? same->wearer_mm : 0.0;
    count += one->has_will;
  }
  make_proposals (refit);
  return count;
}

/* ---- the work ---- */

static const EngineRefitProposal *
proposal_for (const EngineRefit *refit, guint line_id)
{
  for (guint i = 0; i < refit->proposals->len; i++)
  {
    const EngineRefitProposal *one = &g_array_index (refit->proposals, EngineRefitProposal, i);
    if (one->line_id == line_id && one->on)
      return one;
  }
  return NULL;
}

/* What front and back get above the chest: their own length less what the side gives them below it. */
static void
list_above (const EngineRefit *refit, const char *key, GArray *lengths)
{
  const EngineRefitMeasure *measure = measure_by_key (refit, key),
                           *side = measure_by_key (refit, "side_length");
  if (!measure || !measure->has_was)
    return;
  g_autoptr (GArray) ids = panels_above (refit, key);
  for (guint i = 0; i < ids->len; i++)
  {
    EngineRefitLength length = { .from_line_id = level_of (refit, "chest_girth")->id,
                                 .below_line_id = level_of (refit, "waist_girth")->id,
                                 .panel_id = g_array_index (ids, guint, i) };
    for (guint k = 0; k < refit->proposals->len; k++)
    {
      const EngineRefitProposal *one = &g_array_index (refit->proposals, EngineRefitProposal, k);
      if (!one->on || one->kind != ENGINE_REFIT_LENGTH || one->line_id != 0)
        continue;
      if (one->measure_id == measure->measure_id && one->panel_id == length.panel_id)
        length.by_mm += one->amount_mm;
      else if (side && one->measure_id == side->measure_id)
        length.by_mm -= one->amount_mm;
    }
    g_array_append_val (lengths, length);
  }
}

/* Every line across has its amount, if it is 0: what lies between two of them must keep to both. */
static void
list_changes (const EngineRefit *refit, GArray *widths, GArray *lengths, GArray *targets)
{
  const ModelDocument *doc = engine_review_document (refit->review);
  for (guint i = 0; i < doc->lines->len; i++)
  {
    const ModelLine *line = g_ptr_array_index (doc->lines, i);
    const EngineLineReading *reading = engine_review_line (refit->review, line->id);
    if (!line_measures (line) || !reading || reading->spans->len == 0)
      continue;
    const EngineRefitProposal *proposal = proposal_for (refit, line->id);
    double by = proposal ? proposal->amount_mm : 0.0;
    EngineRefitTarget target = { line->id, false, reading->sum_mm + by };
    target.as_wanted = proposal && line->kind == MODEL_LINE_GIRTH
                       && fabs (proposal->amount_mm - proposal->needed_mm) < SAME_MM / 2.0;
    g_array_append_val (targets, target);
    if (line->kind == MODEL_LINE_NECK)
      continue;
    if (engine_refit_is_along (doc, line))
    {
      EngineRefitLength length = { .along_line_id = line->id, .by_mm = by };
      double sides = 0.0;
      for (guint k = 0; k < reading->spans->len; k++)
        sides += 1.0;
      length.by_mm /= sides;
      g_array_append_val (lengths, length);
      continue;
    }
    EngineRefitWidth width = { line->id, by, proposal ? proposal->share : ENGINE_REFIT_BY_WIDTH,
                               proposal ? proposal->share_panel_id : 0 };
    g_array_append_val (widths, width);
  }
  for (guint i = 0; i < refit->proposals->len; i++)
  {
    const EngineRefitProposal *one = &g_array_index (refit->proposals, EngineRefitProposal, i);
    if (one->kind != ENGINE_REFIT_LENGTH || one->line_id != 0 || one->to_line_id == 0 || !one->on)
      continue;
    EngineRefitLength length
      = { .from_line_id = one->from_line_id, .to_line_id = one->to_line_id, .by_mm = one->amount_mm };
    g_array_append_val (lengths, length);
  }
  list_above (refit, "back_waist_length", lengths);
  list_above (refit, "front_waist_length", lengths);
}

static void
add_free (GArray *free, const ModelDocument *doc, guint panel_id)
{
  const ModelPanel *panel = model_document_panel (doc, panel_id);
  if (!panel || panel->locked)
    return;
  for (guint i = 0; i < free->len; i++)
    if (g_array_index (free, guint, i) == panel_id)
      return;
  g_array_append_val (free, panel_id);
}

/* Panels that have moved, and those along a neck opening that is to change. */
static GArray *
free_panels (const EngineRefit *refit, const GPtrArray *moved)
{
  const ModelDocument *doc = engine_review_document (refit->review);
  GArray *free = g_array_new (FALSE, FALSE, sizeof (guint));
  for (guint i = 0; i < moved->len; i++)
    add_free (free, doc, ((const ModelPanel *)g_ptr_array_index (moved, i))->id);
  for (guint i = 0; i < refit->proposals->len; i++)
  {
    const EngineRefitProposal *one = &g_array_index (refit->proposals, EngineRefitProposal, i);
    const ModelLine *line = one->line_id && one->on ? model_document_line (doc, one->line_id) : NULL;
    for (guint k = 0; line && k < line->spans->len; k++)
      add_free (free, doc, g_array_index (line->spans, ModelSpan, k).panel_id);
  }
  return free;
}

static bool
crosses_itself (const ModelPanel *panel)
{
  bool crosses = false;
  for (int other = 0; other < (panel->own_sides ? 2 : 1) && !crosses; other++)
  {
    GeomPath path;
    geom_path_init (&path);
    engine_line_shape (panel, other == 0, &path, NULL);
    GeomSelfCrossing found;
    crosses = geom_path_self_crossings (&path, CROSSING_MM, &found, 1) > 0;
    geom_path_clear (&path);
  }
  return crosses;
}

/* False, with words, if an outline meets itself that did not. */
static bool
outlines_are_sound (EngineRefit *refit, const ModelDocument *after, const GArray *free)
{
  const ModelDocument *doc = engine_review_document (refit->review);
  bool sound = true;
  for (guint i = 0; i < free->len; i++)
  {
    guint id = g_array_index (free, guint, i);
    if (!crosses_itself (model_document_panel (after, id)) || crosses_itself (model_document_panel (doc, id)))
      continue;
    g_autofree char *name = engine_words_panel (doc, id);
    g_ptr_array_add (refit->words,
                     g_strdup_printf (_ ("%s would cross itself: change less, or draw it anew."), name));
    sound = false;
  }
  return sound;
}

static void
list_outcomes (EngineRefit *refit, EngineReview *after)
{
  const ModelDocument *doc = engine_review_document (after);
  for (guint i = 0; i < doc->lines->len; i++)
  {
    const ModelLine *line = g_ptr_array_index (doc->lines, i);
    const EngineLineReading *reading = engine_review_line (after, line->id);
    if (!line_measures (line) || !reading || !reading->has_measure || reading->spans->len == 0)
      continue;
    EngineRefitOutcome outcome = { line->id, reading->sum_mm, reading->wanted_mm, reading->difference_mm };
    g_array_append_val (refit->outcomes, outcome);
  }
}

static bool
same_place (const EngineFinding *a, const EngineFinding *b)
{
  return a->check == b->check && a->side == b->side && a->panel_id == b->panel_id
         && a->other_panel_id == b->other_panel_id && a->join_id == b->join_id && a->line_id == b->line_id
         && a->other_line_id == b->other_line_id && a->measure_id == b->measure_id;
}

/* What holds no more.  The form has not changed: that it differs from another wearer is no news. */
static void
list_broken (EngineRefit *refit, EngineReview *after)
{
  const GPtrArray *was = engine_review_findings (refit->review), *now = engine_review_findings (after);
  for (guint i = 0; i < now->len; i++)
  {
    const EngineFinding *finding = g_ptr_array_index (now, i);
    bool held = false, failed = false;
    if (finding->holds || finding->check == &engine_check_form_against_wearer)
      continue;
    for (guint k = 0; k < was->len; k++)
    {
      const EngineFinding *old = g_ptr_array_index (was, k);
      held = held || (old->holds && same_place (old, finding));
      failed = failed || (!old->holds && same_place (old, finding));
    }
    if (held && !failed)
      g_ptr_array_add (refit->broken, engine_finding_text (after, finding));
  }
}

static EngineRemedy *
as_remedy (const EngineRefit *refit, const ModelDocument *after, const GArray *free, const char *name)
{
  const ModelDocument *doc = engine_review_document (refit->review);
  EngineRemedy *remedy = engine_remedy_new (g_strdup (_ ("Fit to another wearer")), NULL);
  for (guint i = 0; i < free->len; i++)
    engine_remedy_add (remedy, MODEL_PART_PANEL,
                       model_panel_copy (model_document_panel (after, g_array_index (free, guint, i))));
  for (guint i = 0; i < refit->measures->len; i++)
  {
    const EngineRefitMeasure *measure = &g_array_index (refit->measures, EngineRefitMeasure, i);
    if (differs (measure))
      engine_remedy_add (remedy, MODEL_PART_MEASURE,
                         model_measure_copy (model_document_measure (after, measure->measure_id)));
  }
  if (name && strcmp (name, doc->head->wearer) != 0)
  {
    ModelHead *head = model_head_copy (doc->head);
    g_free (head->wearer);
    head->wearer = g_strdup (name);
    engine_remedy_add (remedy, MODEL_PART_HEAD, head);
  }
  return remedy;
}

EngineRemedy *
engine_refit_work (EngineRefit *refit, const char *name)
{
  g_array_set_size (refit->growths, 0);
  g_array_set_size (refit->outcomes, 0);
  g_ptr_array_set_size (refit->words, 0);
  g_ptr_array_set_size (refit->broken, 0);
  bool any = false;
  for (guint i = 0; i < refit->measures->len; i++)
    any = any || differs (&g_array_index (refit->measures, EngineRefitMeasure, i));
  if (!any)
  {
    g_ptr_array_add (refit->words, g_strdup (_ ("Both wearers have the same measures.")));
    return NULL;
  }
  g_autoptr (GArray) widths = g_array_new (FALSE, FALSE, sizeof (EngineRefitWidth)),
                     lengths = g_array_new (FALSE, FALSE, sizeof (EngineRefitLength)),
                     targets = g_array_new (FALSE, FALSE, sizeof (EngineRefitTarget));
  list_changes (refit, widths, lengths, targets);
  g_autoptr (GPtrArray) moved
    = engine_refit_field (refit->review, widths, lengths, refit->growths, refit->words);
  g_autoptr (GArray) free = free_panels (refit, moved);
  g_autoptr (ModelDocument) after = with_new_measures (refit);
  for (guint i = 0; i < moved->len; i++)
  {
    ModelPart part = { MODEL_PART_PANEL, model_panel_copy (g_ptr_array_index (moved, i)) };
    ModelPart old = model_document_swap (after, part);
    model_part_clear (&old);
  }
  bool exact = engine_refit_exact (refit->review, after, free, targets);
  if (!outlines_are_sound (refit, after, free))
    return NULL;
  if (!exact)
    g_ptr_array_add (refit->words,
                     g_strdup (_ ("Not everything comes out at once: something that is locked, or "
                                  "a panel without lines, holds on.")));
  g_autoptr (EngineReview) review = engine_review_new (after);
  list_outcomes (refit, review);
  list_broken (refit, review);
  return as_remedy (refit, after, free, name);
}
