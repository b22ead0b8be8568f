/* Tapes pinned to a panel: where they lie and what they read.
 *
 * An end that is a mark goes with its edge however that is reshaped; an end that is a point goes with the
 * panel as a whole.  A tape lies on both sides of a mirrored panel: on the side that is not drawn at the same
 * parts of that side's own edges.
 */
#ifndef MODEL_TAPE_H
#define MODEL_TAPE_H

#include "model/document.h"

typedef struct ModelTapeReading
{
  GeomPoint a, b, c; /* C of an angle alone */
  double mm;         /* straight, or along; of an angle the length from A to B */
  double deg;        /* of an angle: 0..180 at B */
  bool has_wrap;
  double over_mm; /* by how much the wrap read more */
} ModelTapeReading;

/* TWIN: on the side that is not drawn.  False: a mark it ends at is gone. */
bool model_tape_read (const ModelPanel *panel, const ModelTape *tape, bool twin, ModelTapeReading *out);
/* The way it takes, from A to B, of an angle on to C.  OUT initialised; false as above, or no length. */
bool model_tape_way (const ModelPanel *panel, const ModelTape *tape, bool twin, GeomPath *out);
/* The mark without wedges, or with them, at ALONG_MM of an edge as drawn; a new one if there is none. 0: no
 * such edge. */
guint model_tape_mark (ModelPanel *panel, ModelDocument *ids, guint edge_id, double along_mm);
/* Drops tapes whose marks are gone.  True if there were any. */
bool model_tapes_repair (ModelPanel *panel);
/* After a panel was cut apart: drops tapes that are not wholly on this part. */
void model_tapes_keep_inside (ModelPanel *panel);

#endif
