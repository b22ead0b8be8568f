/* A document as large as the speed figures are promised for, for the tests and benchmarks of all rooms.
 *
 * Every panel is a regular twelve-sided outline of TEST_BIG_RADIUS_MM about its own place on a grid; every
 * edge is one cubic, the same S-shaped wave turned into place.  So all curved edges are equally long by
 * construction, and because the wave looks the same from both ends, any two of them fit together, which is
 * what the joins rely on.
 *
 *   panel i:  i % 3 == 0 single, 1 fold (its edge 0 is straight and lies on the fold), 2 pair
 *             (every tenth of the pairs has its own sides: all nodes of the other side are shifted alike)
 *   join j:   kind j % 4 (flush, lapped, stitched, gap), run b reversed; every fifth joins two edges with
 * two; every third carries a pair of match marks that meet
 *
 * No randomness: the same call gives the same document.
 */
#ifndef TEST_BIG_DOCUMENT_H
#define TEST_BIG_DOCUMENT_H

#include "model/document.h"

#define TEST_BIG_PANELS 200
#define TEST_BIG_EDGES 12
#define TEST_BIG_JOINS 300
#define TEST_BIG_RADIUS_MM 100.0

/* TEST_BIG_PANELS panels of TEST_BIG_EDGES edges and TEST_BIG_JOINS joins.  The caller frees it. */
ModelDocument *test_big_document (void);
/* The same with other counts; at most three joins for two panels, at least two panels. */
ModelDocument *test_big_document_of (guint panels, guint joins);

#endif
