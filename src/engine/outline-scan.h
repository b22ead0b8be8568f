/* Whether a closed outline meets itself or comes too near itself.
 *
 * Most outlines do neither, and that is shown quickly: two pieces whose control points can be parted by a
 * line cannot meet.  Only pairs that cannot be parted so are looked at closely.
 */
#ifndef ENGINE_OUTLINE_SCAN_H
#define ENGINE_OUTLINE_SCAN_H

#include "geom/path.h"

typedef enum EngineScanResult
{
  ENGINE_SCAN_FINE,
  ENGINE_SCAN_CROSSES,
  ENGINE_SCAN_NARROW, /* what is inside is narrower than asked for */
  ENGINE_SCAN_SLIT    /* what is left outside between two stretches is */
} EngineScanResult;

typedef struct EngineOutlineScan
{
  EngineScanResult result;
  GeomPoint at;
  int count;       /* CROSSES: how many, at most 64 */
  double width_mm; /* NARROW, SLIT */
} EngineOutlineScan;

/* NARROW_MM 0: crossings alone.  A corner is narrow by nature: two places count only if the way between them
 * along the outline is longer than WAY_MM. */
EngineOutlineScan engine_outline_scan (const GeomPath *path, double narrow_mm, double way_mm);

#endif
