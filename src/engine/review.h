/* A document as reviewed: its pieces, its joins measured on each side, its findings.  Kept up to date by
 * being told what changed; works out again only what depends on it.
 */
#ifndef ENGINE_REVIEW_H
#define ENGINE_REVIEW_H

#include "engine/finding.h"
#include "engine/piece.h"

/* One side of one join. */
typedef struct EngineJoinReading
{
  guint join_id;
  /* CENTRE: the join exists once (single panels, a seam over the middle, a dart of a single panel). */
  ModelSide side;
  ModelSide side_a, side_b; /* which piece each run lies on */
  double length_a_mm, length_b_mm;
  double ease_mm;       /* by how much b is wanted longer here */
  double difference_mm; /* b - a - ease: what is not wanted; positive: b too long */
  double tolerance_mm;
  bool holds;
} EngineJoinReading;

/* Borrows DOC, which must outlive the review. */
EngineReview *engine_review_new (ModelDocument *doc);
void engine_review_free (EngineReview *review);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (EngineReview, engine_review_free)

ModelDocument *engine_review_document (const EngineReview *review);
/* The part (KIND, ID) was changed, added or removed. Cheap; the work is done at the next question. */
void engine_review_touch (EngineReview *review, ModelPartKind kind, guint id);
void engine_review_touch_all (EngineReview *review);

/* Something that is kept with the review until the next touch, then dropped with DROP.  For engine/remedy.c,
 * which keeps a second review to try changes in.  NULL: nothing is kept. */
void engine_review_keep (EngineReview *review, gpointer kept, GDestroyNotify drop);
gpointer engine_review_kept (const EngineReview *review);

/* Pieces of a panel; NULL when it has none on that side (CENTRE finds the only piece).  Lives until the next
 * touch. */
const EnginePiece *engine_review_piece (EngineReview *review, guint panel_id, ModelSide side);
/* All pieces in document order, left before right: EnginePiece, borrowed. */
const GPtrArray *engine_review_pieces (EngineReview *review);
/* The same for checks that can do without the cut line: pieces that may lack it (piece->has_cut).  It is the
 * costly half of a piece, and is worked out when somebody draws it. */
const EnginePiece *engine_review_seam_piece (EngineReview *review, guint panel_id, ModelSide side);
const GPtrArray *engine_review_seam_pieces (EngineReview *review);
/* All readings in the order of joins, left before right: EngineJoinReading. */
const GArray *engine_review_readings (EngineReview *review);
/* The readings of one join: writes at most 2, returns how many. */
int engine_review_join_readings (EngineReview *review, guint join_id, EngineJoinReading out[2]);
/* All findings, those that hold too, in the fixed order of `check --json`: EngineFinding, borrowed. */
const GPtrArray *engine_review_findings (EngineReview *review);
/* Those that do not hold, worst first (largest difference over tolerance). New array, borrowed findings. */
GPtrArray *engine_review_open_findings (EngineReview *review);
bool engine_review_holds (EngineReview *review);

/* The path of a run on a side, from the run's start to its end.  OUT initialised; false if the run's panel or
 * edges are not there. */
bool engine_review_run_path (EngineReview *review, const ModelRun *run, ModelSide side, GeomPath *out);
/* Where a run begins (AT_END: ends) on a side; false as above. */
bool engine_review_run_point (
  EngineReview *review, const ModelRun *run, ModelSide side, bool at_end, GeomPoint *out);
/* How far along the run a mark lies on that side; false if it is on none of its edges.  Below 0 and beyond
 * the run's length where the mark lies outside the part that the run covers.  Marks are kept by the length of
 * the drawn edge; where the other side's edge has another length, the mark keeps its share of it. */
bool engine_review_mark_along (
  EngineReview *review, const ModelRun *run, ModelSide side, guint mark_id, double *along_mm);

/* A girth line, reach limit or neck opening as it measures (engine/girth.h); NULL: no such line.  Lives until
 * the next touch. */
const EngineLineReading *engine_review_line (EngineReview *review, guint line_id);
/* The joins that touch a panel: ModelJoin, borrowed, of the last time figures were worked out. */
const GPtrArray *engine_review_joins_of (EngineReview *review, guint panel_id);
/* How much of the ease lies before ALONG_A_MM of run a: all of it lies evenly between the join's two ease
 * marks, or the run's ends. */
double engine_review_ease_before (EngineReview *review, const EngineJoinReading *reading, double along_a_mm);

/* The single panel that is this one's counterpart of the other side by its name (engine/twin-name.h); 0:
 * none. */
guint engine_review_counterpart (EngineReview *review, guint panel_id);

#endif
