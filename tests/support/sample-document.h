/* A small jerkin whose lengths can be told from its corners: straight edges on whole millimetres, one join of
 * each kind.
 *
 *   Front  fold on x = 0, its side from (150, 0) to (150, 300): 300 mm
 *   Side   a pair, its front from (200, 306.2) to (200, 0): 306.2 mm
 *   Back   fold on x = 600
 *   Belt   a single panel below the front
 *
 *   A  flush     Front side – Side front: 6.2 mm too long, the only join that does not agree
 *   B  gap       Side back – Back side, 12 mm
 *   C  stitched  Front shoulder – Back shoulder, 8 mm
 *   D  lapped    Front hem – Belt top, 10 mm, Front over
 */
#ifndef TEST_SAMPLE_DOCUMENT_H
#define TEST_SAMPLE_DOCUMENT_H

#include "model/document.h"

ModelDocument *test_sample_document (void);
/* NULL if there is none. */
ModelPanel *test_sample_panel (const ModelDocument *doc, const char *name);
ModelEdge *test_sample_edge (const ModelDocument *doc, const char *panel, const char *edge);
ModelJoin *test_sample_join (const ModelDocument *doc, const char *letter);

#endif
