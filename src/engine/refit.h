/* A document used again for another wearer.
 *
 * Two sets of measures: the wearer's in the document, and those of the next one, entered or read from another
 * document.  From the differences follow proposals, one a line or length, each with an amount that may be
 * changed or left out; working them out gives one change (EngineRemedy) that can be previewed, taken as one
 * step and undone.
 *
 *  - A girth line comes out exactly at the new figure, with what is worn underneath and the thickness; what
 *    was not taken stays exactly as it is.
 *  - Reach limits and neck openings keep the room they had.
 *  - Lengths are put on or taken off between levels: the lines of waist, chest and hips.  What front and back
 *    ask for from the waist to the neck goes above the chest, less what the side has given below it.
 *  - Joins that held keep to the last digit what difference they had, on both sides (engine/refit-field.h
 *    says how; engine/solve.h takes what little is left).
 *
 * What cannot be done is said in words.
 */
#ifndef ENGINE_REFIT_H
#define ENGINE_REFIT_H

#include "engine/review.h"

typedef struct EngineRefitMeasure
{
  guint measure_id;
  bool has_was, has_will;
  double was_mm, will_mm;
} EngineRefitMeasure;

typedef enum EngineRefitKind
{
  ENGINE_REFIT_WIDTH,   /* a girth line, or a limit to a width */
  ENGINE_REFIT_OPENING, /* a neck opening */
  ENGINE_REFIT_LENGTH   /* between two levels, or along a length line */
} EngineRefitKind;

/* How the panels that a line crosses share in what it grows.  Both runs of a seam always change alike. */
typedef enum EngineRefitShare
{
  ENGINE_REFIT_BY_WIDTH, /* in proportion to what each has of the line, as near as seams allow */
  ENGINE_REFIT_ALIKE,    /* the same at every seam */
  ENGINE_REFIT_ONLY      /* one panel alone, as near as seams allow */
} EngineRefitShare;

typedef struct EngineRefitProposal
{
  EngineRefitKind kind;
  guint measure_id;
  guint line_id;                                           /* LENGTH between levels: 0 */
  guint from_line_id, to_line_id, below_line_id, panel_id; /* LENGTH, as in engine/refit-field.h */
  double needed_mm;                                        /* what the measures ask for */
  double amount_mm;                                        /* what is done: the maker's choice */
  bool on;
  EngineRefitShare share;
  guint share_panel_id; /* ENGINE_REFIT_ONLY */
} EngineRefitProposal;

/* A line after the work. */
typedef struct EngineRefitOutcome
{
  guint line_id;
  double sum_mm, wanted_mm, difference_mm;
} EngineRefitOutcome;

typedef struct EngineRefit EngineRefit;

/* Borrows REVIEW, which must outlive it.  The new measures are the old ones, and there is nothing to propose
 * yet. */
EngineRefit *engine_refit_new (EngineReview *review);
void engine_refit_free (EngineRefit *refit);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (EngineRefit, engine_refit_free)

/* EngineRefitMeasure, one a measure of the document, in its order. */
const GArray *engine_refit_measures (const EngineRefit *refit);
/* The new wearer's; not finite or not above 0: unknown.  Proposals are made anew. */
void engine_refit_set (EngineRefit *refit, guint measure_id, double mm);
/* Takes the wearer's measures of another document, by key, else by name; those it has not are unknown then.
 * Returns how many there were. */
guint engine_refit_read (EngineRefit *refit, const ModelDocument *other);
/* EngineRefitProposal, those that do something: to be changed in place (amount, on, share). */
GArray *engine_refit_proposals (EngineRefit *refit);
/* Sentences about measures that differ and have nothing to be done with: "There is no line for Neck: draw
 * one."  char *, borrowed. */
const GPtrArray *engine_refit_notes (EngineRefit *refit);

/* Works out what is on.  NULL: nothing would change, or it cannot be done; engine_refit_words says which.
 * The remedy holds the panels, the new measures and, NAME not NULL, the head with its wearer. */
EngineRemedy *engine_refit_work (EngineRefit *refit, const char *name);
/* Of the last work: what could not be done, char *. */
const GPtrArray *engine_refit_words (const EngineRefit *refit);
/* Of the last work: EngineRefitOutcome, one for each line with a measure. */
const GArray *engine_refit_outcomes (const EngineRefit *refit);
/* Of the last work: what held before and holds no more, as the checks say it; char *, empty where nothing
 * broke. */
const GPtrArray *engine_refit_broken (const EngineRefit *refit);

/* EngineRefitGrowth (engine/refit-field.h) of the last work. */
const GArray *engine_refit_growths (const EngineRefit *refit);
EngineReview *engine_refit_review (const EngineRefit *refit);

/* ---- in words (refit-words.c) ---- */

/* "Chest: add 24.0 mm along Chest line", "Side: take 5.0 mm off between Waist and Chest". */
char *engine_refit_proposal_words (EngineReview *review, const EngineRefitProposal *proposal);
/* "Front 5.2 mm, Side 3.1 mm and Back 6.0 mm on each side": of the last work; empty when it did nothing at
 * the line. */
char *engine_refit_growth_words (const EngineRefit *refit, guint line_id);

#endif
