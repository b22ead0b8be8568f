/* The smooth change with which panels follow another wearer: how far every point of every outline goes.
 *
 * Each panel has a frame: ACROSS, the way its width lines go, and UP, square to it (on the fold: along it).
 *
 *            w(up) ◄── left │        │ right ──► w(up)        hip, waist, chest: one amount each,
 *        chest ─────────────┼────────┼─────────────           a smooth curve over the level in between
 *        waist ───────────────┼────┼───────────────
 *
 *  - The edges at which width lines end go outward, by an amount that is a smooth curve over the level
 *    (monotone cubic interpolation, F. N. Fritsch and R. E. Carlson, SIAM J. Numer. Anal. 17, 1980), level at
 *    both ends so that corners keep their angles.  Both runs of a seam get the same amounts at the same
 *    levels, so that mirror images stay mirror images and their lengths equal.
 *  - Joined edges that no width line ends on, a shoulder, keep their shape; the seam edge runs out to nothing
 *    towards them.  A fold stays on its axis.
 *  - What lies between, hem and armhole, follows by its share of the way along the outline.
 *  - A dart goes along as a whole, so that its legs stay equal.
 *  - Lengths: between two levels everything is drawn out or pushed together, evenly at each height.
 *
 * The other side of a mirrored panel goes the mirrored way; its corrections stay what they are.
 *
 * Private to engine/refit.c.
 */
#ifndef ENGINE_REFIT_FIELD_H
#define ENGINE_REFIT_FIELD_H

#include "engine/girth.h"
#include "engine/refit.h"

typedef struct EngineRefitWidth
{
  guint line_id;
  double by_mm; /* the whole line, all spans and sides */
  EngineRefitShare share;
  guint panel_id; /* ENGINE_REFIT_ONLY */
} EngineRefitWidth;

typedef struct EngineRefitLength
{
  /* Between two levels; TO 0: from FROM, away from BELOW, up to the neck and the shoulder; FROM 0: along the
   * length line ALONG. */
  guint from_line_id, to_line_id, below_line_id, along_line_id;
  guint panel_id; /* 0: all that the levels cross */
  double by_mm;
} EngineRefitLength;

/* By how much one panel grows at a line, one side of it. */
typedef struct EngineRefitGrowth
{
  guint line_id, panel_id;
  double by_mm;
} EngineRefitGrowth;

/* The panels that change, as they would be: ModelPanel, owned.  Outlines get nodes where a level crosses a
 * curve, so that it can bend there.  GROWTHS (EngineRefitGrowth) and WORDS (char *, what could not be done
 * and why) are added to. */
GPtrArray *engine_refit_field (
  EngineReview *review, const GArray *widths, const GArray *lengths, GArray *growths, GPtrArray *words);
/* A line that runs along the body rather than across it: of a measure taken along. */
bool engine_refit_is_along (const ModelDocument *doc, const ModelLine *line);

#endif
