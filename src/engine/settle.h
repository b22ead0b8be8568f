/* Remedies that are found by solving (engine/solve.h): the least change of one or two panels with which a
 * join comes out right, while every other join that held goes on holding.
 *
 * What is offered was tried: taken, it settles its finding and breaks nothing.
 */
#ifndef ENGINE_SETTLE_H
#define ENGINE_SETTLE_H

#include "engine/review.h"

/* For a join whose runs differ in length, at most four, the most useful first: an end of the longer run slid,
 * an end of the other, half each, or a run made longer or shorter in its middle; last the difference taken as
 * ease.  Which end is slid: the one beyond the marks between which the runs differ; without marks, one whose
 * neighbour is free. */
void engine_settle_length (EngineReview *review,
                           const EngineFinding *finding,
                           const EngineJoinReading *reading,
                           GPtrArray *out);

/* Last of all: what the longer run has too much, taken out of it in a dart (settle-dart.c). */
void engine_settle_dart (EngineReview *review,
                         const EngineFinding *finding,
                         const EngineJoinReading *reading,
                         GPtrArray *out);

/* For neighbouring edges that do not run on smoothly over the end of a join (AT_END or start): both are
 * turned there, or one of them alone. */
void engine_settle_truth (EngineReview *review,
                          const EngineFinding *finding,
                          const EngineJoinReading *reading,
                          bool at_end,
                          GPtrArray *out);

/* Between which marks the two runs of a reading differ most. */
typedef enum EngineLies
{
  ENGINE_LIES_ANYWHERE, /* no marks to tell by */
  ENGINE_LIES_AT_START,
  ENGINE_LIES_AT_END,
  ENGINE_LIES_BETWEEN
} EngineLies;
EngineLies engine_settle_where (EngineReview *review, const EngineJoinReading *reading);

/* Why engine_settle_length could change nothing: a sentence, or NULL where something can move. */
char *engine_settle_why_not (EngineReview *review, const EngineJoinReading *reading);

/* The edge of a run at its start or end, and its neighbour on the outline beyond that.  *CORNER_ID: the node
 * between.  False: not there, or an outline of one edge. */
bool engine_settle_corner (const ModelPanel *panel,
                           const ModelRun *run,
                           bool at_end,
                           guint *edge_index,
                           guint *beside_index,
                           guint *corner_id);

#endif
