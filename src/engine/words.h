/* Numbers and places in words for people, in the document's unit.  The one place that puts findings and
 * labels together. */
#ifndef ENGINE_WORDS_H
#define ENGINE_WORDS_H

#include "model/document.h"
#include "model/unit.h"

/* "6.2 mm" in the document's unit (thin space, true minus); one decimal. */
char *engine_words_length (const ModelDocument *doc, double mm);
/* "Front – Side, front", or the join's own name.  Within one panel: "Bracer: upper leg – lower leg". */
char *engine_words_join (const ModelDocument *doc, const ModelJoin *join);
/* "flush", "lapped 10 mm, Front over", "stitched, allowance 8 mm", "gap 12 mm". */
char *engine_words_join_kind (const ModelDocument *doc, const ModelJoin *join);
/* "wearer’s left"; empty for centre. */
const char *engine_words_side (ModelSide side);
/* The names of a run's edges: "side", "hem and side". */
char *engine_words_run (const ModelDocument *doc, const ModelRun *run);
/* An edge's name, or "edge 3". */
char *engine_words_edge (const ModelPanel *panel, guint index);
/* A panel's name, or words for one that has none or is gone. */
char *engine_words_panel (const ModelDocument *doc, guint panel_id);
char *engine_words_measure (const ModelMeasure *measure);
/* A line's name, or what it is: "girth line". */
char *engine_words_line (const ModelLine *line);
/* Who one side of a join is: the panel; within one panel the run's edges. */
char *engine_words_run_owner (const ModelDocument *doc, const ModelJoin *join, bool is_b);
/* "cut 1", "cut 1 + 1 mirrored", "cut 1 on fold", "cut 1, opened: sides differ", "cut 1 of each side: sides
 * differ". */
char *engine_words_quantity (const ModelPanel *panel);
/* "leather 3.5 mm"; empty when the panel has none. */
char *engine_words_material (const ModelDocument *doc, const ModelPanel *panel);
char *engine_words_of_material (const ModelDocument *doc, const ModelMaterial *material);
/* "3 places do not agree yet", "Everything agrees". */
char *engine_words_count (guint open);

#endif
