/* Parallel curves and cut outlines.
 *
 * Positive distances go to the right of the direction of travel: outward of a counter-clockwise outline.
 */
#ifndef GEOM_OFFSET_H
#define GEOM_OFFSET_H

#include "geom/path.h"

/* Appends to OUT (initialised) the curve parallel to C at DISTANCE_MM, as few cubics with joined tangents as
 * stay within ACCURACY_MM of the true parallel.  Where 1 + curvature * distance changes its sign the parallel
 * has a cusp and OUT has a node there.  Nothing is trimmed. */
void geom_offset_cubic (const GeomCubic *c, double distance_mm, double accuracy_mm, GeomPath *out);
/* The same, and what is worth knowing about it. */
typedef struct GeomOffsetFacts
{
  bool
    folds; /* some stretch runs backwards (1 + curvature * distance < 0), or the source turns on the spot */
  double error_mm; /* largest distance to the true parallel that was seen */
} GeomOffsetFacts;
/* SHORT_FOLDS: stretches that run backwards are drawn as one line; for callers that cut them away. */
GeomOffsetFacts geom_offset_cubic_facts (
  const GeomCubic *c, double distance_mm, double accuracy_mm, bool short_folds, GeomPath *out);
/* One cubic along a straight LEAD_MM before the parallel, the parallel, and a straight TAIL_MM after it;
 * false when none stays within the accuracy, or the parallel folds. */
bool geom_offset_cubic_with_leads (const GeomCubic *c,
                                   double distance_mm,
                                   double accuracy_mm,
                                   double lead_mm,
                                   double tail_mm,
                                   GeomCubic *out,
                                   double *error_mm);
/* So straight that its parallel is one line piece. */
bool geom_offset_is_line (const GeomCubic *c);

/* One edge of an outline that is to be cut: PIECE_COUNT pieces of the outline from FIRST_PIECE on. */
typedef struct GeomCutEdge
{
  size_t first_piece, piece_count;
  double allowance_mm; /* may be negative (knife compensation) */
} GeomCutEdge;

typedef struct GeomCutOptions
{
  double accuracy_mm; /* 0.01 by the contract */
  double mitre_limit; /* longest corner, as a multiple of the larger allowance; then a blunt end */
} GeomCutOptions;

/* Where each edge's cut ended up on the cut outline. */
typedef struct GeomCutSpan
{
  GeomPlace from, to; /* places on the cut outline, in its direction; from == to: the edge vanished */
  double length_mm;   /* along the cut line, from mitre to mitre */
} GeomCutSpan;

typedef enum GeomCutResult
{
  GEOM_CUT_OK,
  GEOM_CUT_EMPTY,    /* negative allowances ate the whole outline */
  GEOM_CUT_UNTRIMMED /* the seam outline itself crosses; what is returned was not cleaned of loops */
} GeomCutResult;

/* The cut outline of a closed, counter-clockwise, simple SEAM, its edges given in order and covering all its
 * pieces.  Neighbouring parallels with unequal allowances meet where they cross, else where their extensions
 * (along the end tangents) meet; past MITRE_LIMIT a blunt end; at 180 degrees a step square to the edge;
 * loops of tight concave stretches and of narrow places are removed.  CUT (initialised) gets a closed
 * counter-clockwise path; SPANS, when not NULL, EDGE_COUNT entries. */
GeomCutResult geom_cut_outline (const GeomPath *seam,
                                const GeomCutEdge *edges,
                                size_t edge_count,
                                const GeomCutOptions *options,
                                GeomPath *cut,
                                GeomCutSpan *spans);

#endif
