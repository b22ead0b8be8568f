/* What makes a girth line, a reach limit or a neck opening longer or shorter. */
#ifndef ENGINE_LINE_REMEDY_H
#define ENGINE_LINE_REMEDY_H

#include "engine/girth.h"

/* Adds to OUT what makes the finding's line longer or shorter by as much as it is off, and settles FINDING
 * without breaking what held: the joined edges it crosses let out by as much each, the open gaps widened,
 * edges without a join let out, or every panel widened along the line. */
void engine_line_remedies (EngineReview *review, const EngineFinding *finding, GPtrArray *out);
/* The same at the line alone, with all corners where they are (line-bulge.c).  GAIN: by how much the line
 * grows when every edge it crosses goes out by 1 mm; not asked of a neck opening. */
void engine_line_bulge (EngineReview *review,
                        const EngineFinding *finding,
                        const ModelLine *line,
                        const EngineLineReading *reading,
                        double by_mm,
                        double gain,
                        GPtrArray *out);
/* "Let it be off by 6.0 mm": the line's own tolerance is made as large as the difference. */
void engine_line_allow (EngineReview *review, const EngineFinding *finding, GPtrArray *out);

#endif
