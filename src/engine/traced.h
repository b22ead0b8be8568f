/* From an outline traced on a photo to a panel: corners become corners, straight pieces lose their handles.
 */
#ifndef ENGINE_TRACED_H
#define ENGINE_TRACED_H

#include "model/document.h"

/* PATH is closed and counter-clockwise, mm; edge e begins with piece EDGE[e], EDGE[0] is 0.  HOLES: openings
 * the photo shows in it, which are not traced and said so in the panel's note.  The panel has ids of DOC but
 * is not in it, and is named "Piece 1" or by the next number no panel of DOC has, from NUMBER on.  NULL when
 * such an outline cannot be a panel. */
ModelPanel *engine_traced_panel (
  ModelDocument *doc, const GeomPath *path, const size_t *edge, size_t edge_count, int holes, guint number);

#endif
