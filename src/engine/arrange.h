/* Order on the paper: panels laid out clear of each other, or brought into line.
 *
 * All functions return what would change, as copies (ModelPanel, in document order) to be put in one step of
 * undo; the document stays as it is.  Panels are only moved: never turned, mirrored or reshaped.  Locked
 * panels stay, and hidden ones are left alone.  A panel that is where it should be already is not among the
 * copies.
 */
#ifndef ENGINE_ARRANGE_H
#define ENGINE_ARRANGE_H

#include "engine/review.h"

/* Room for a hand and a label between two cut lines: common practice, no source. */
#define ENGINE_ARRANGE_GAP_MM 20.0

/* Lays the panels out in rows, in document order, from the top left corner of the place they take now, at
 * least GAP_MM between the boxes of any two cut lines.  What is counted is what is cut: a fold opened out,
 * and of a pair both pieces, the twin beside its panel (its mirror line comes along).  BY_MATERIAL: each
 * material begins rows of its own.
 *
 * IDS: the panels wanted, NULL for all.  Unlike those that are wanted, the others stay and are kept clear of:
 * where the rows would lie over one, they go below all of them.  Taken twice in a row, the second changes
 * nothing. Never NULL; free with g_ptr_array_unref. */
GPtrArray *
engine_arrange (EngineReview *review, const guint *ids, guint count, double gap_mm, bool by_material);

typedef enum EngineAlign
{
  ENGINE_ALIGN_LEFT,
  ENGINE_ALIGN_UPRIGHT_MIDDLE, /* middles on one upright line */
  ENGINE_ALIGN_RIGHT,
  ENGINE_ALIGN_TOP,
  ENGINE_ALIGN_LEVEL_MIDDLE, /* middles on one level line */
  ENGINE_ALIGN_BOTTOM
} EngineAlign;

/* Brings the drawn outlines (seam lines) of the panels to the outermost of them, or to the middle of them
 * all.  Locked ones count but stay.  Of a pair only what is drawn is looked at; its twin goes the mirrored
 * way. */
GPtrArray *engine_align (const ModelDocument *doc, const guint *ids, guint count, EngineAlign how);
/* Equal spaces between the drawn outlines, ACROSS from left to right or else up and down; the two outermost
 * stay.  The spaces may be negative.  Fewer than three panels that may move: nothing changes. */
GPtrArray *engine_distribute (const ModelDocument *doc, const guint *ids, guint count, bool across);

#endif
