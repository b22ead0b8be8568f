/* Bringing parts within what a file may hold.
 *
 * The reader refuses what is not sound; a program that has just made it must not lose it at the next start.
 * So whatever enters the document is put right first: by the tools it should be right already, and then
 * nothing happens here.
 *
 * Private to the room.
 */
#ifndef MODEL_SOUND_H
#define MODEL_SOUND_H

#include "model/document.h"

/* Numbers into their limits (NaN: 0); missing ids drawn from IDS; inside a panel: edges without nodes, marks
 * on edges that are not there and corrections of nodes that are not there go, a fold without a sound fold
 * edge becomes a single panel, a panel drawn for two sides gets one. */
void model_part_make_sound (ModelPart part, ModelDocument *ids);

/* All that the join refers to is there, and no edge is joined with itself. */
bool model_join_is_sound (const ModelDocument *doc, const ModelJoin *join);
/* Takes out what is not there.  False if no join is left. */
bool model_join_mend (const ModelDocument *doc, ModelJoin *join);

/* The same for lines and fit notes, which stay whatever they lose. */
bool model_line_is_sound (const ModelDocument *doc, const ModelLine *line);
void model_line_mend (const ModelDocument *doc, ModelLine *line);
bool model_fit_note_is_sound (const ModelDocument *doc, const ModelFitNote *note);
void model_fit_note_mend (const ModelDocument *doc, ModelFitNote *note);

#endif
