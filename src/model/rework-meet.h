/* Ends of a join that do not meet: what is missing is put on, half to each panel.
 */
#ifndef MODEL_REWORK_MEET_H
#define MODEL_REWORK_MEET_H

#include "model/rework.h"

/* How far the panels are apart where the join begins and where it ends (of a shoulder: at the neck and at the
 * arm), as told at a fitting.  Below 0: they overlap. */
typedef struct ModelReworkMissing
{
  double begin_mm, end_mm;
} ModelReworkMissing;

/* Both runs of the join are moved outward by half of what is missing: each end slides along the direction its
 * neighbouring edge has there, so that the neighbours run on as they did; what lies between the ends goes
 * along by its share.  LEFT and RIGHT are the wearer's.  Where they differ, a mirrored panel gets sides of
 * its own and the difference becomes corrections.  A single panel takes its own side's; one in the middle
 * needs both alike.  Otherwise as all deeds of model/rework.h. */
bool model_rework_meet_ends (
  ModelHistory *history, guint join_id, ModelReworkMissing left, ModelReworkMissing right, GError **error);

#endif
