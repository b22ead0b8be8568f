/* Words that the checks of girth lines, reach limits and neck openings share, and their blank finding. */
#ifndef ENGINE_LINE_WORDS_H
#define ENGINE_LINE_WORDS_H

#include "engine/check.h"
#include "engine/girth.h"

/* A finding about LINE with its place: the middle of its longest span as drawn. */
EngineFinding
engine_line_finding (const EngineCheck *check, const ModelLine *line, const EngineLineReading *reading);
/* For the checks that hold one line against its measure: adds a finding about the line ID if it is of KIND
 * and can be read.  It holds if the sum is at least the wanted length, at most, or both, but for the
 * tolerance. */
void engine_line_hold (EngineReview *review,
                       guint id,
                       const EngineCheck *check,
                       ModelLineKind kind,
                       bool at_least,
                       bool at_most,
                       GArray *out);
/* Their detail: what the line is and what it is made of: "The panels make 894 mm.  Wanted are 900 mm: Chest
 * 880 mm, 9 mm for what is worn underneath, 11 mm for the thickness." */
char *engine_line_detail (EngineReview *review, const EngineFinding *finding);
/* The finding's line and reading; false if either is gone. */
bool engine_line_of (EngineReview *review,
                     const EngineFinding *finding,
                     const ModelLine **line,
                     const EngineLineReading **reading);
/* The name of a line's measure. */
char *engine_line_measure_name (const ModelDocument *doc, const ModelLine *line);

#endif
