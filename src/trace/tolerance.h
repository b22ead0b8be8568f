/* Every figure by which tracing decides, with its reason.  Lengths are mm on the sheet. */
#ifndef TRACE_TOLERANCE_H
#define TRACE_TOLERANCE_H

/* Decoded, three bytes a pixel: 300 MB; no telephone makes more. */
#define TRACE_MOST_PIXELS 100000000.0
/* Smaller pictures cannot show 0.5 mm on any sheet. */
#define TRACE_LEAST_SIDE_PX 64
/* The work raster: an eighth of a millimetre is twice as fine as the finest blur met on telephones. */
#define TRACE_RASTER_PX_PER_MM 8.0
#define TRACE_RASTER_MOST_PIXELS 30000000.0
/* From the photo's numbers to the light, near enough to sRGB's curve (IEC 61966-2-1). */
#define TRACE_LIGHT_EXPONENT 2.2
/* Of the raster, so one of the photo: a coarser one cannot show half a millimetre. */
#define TRACE_LEAST_PX_PER_MM 1.2
/* A little finer than the photo, so that resampling costs no sharpness. */
#define TRACE_RASTER_OVER_SOURCE 1.2
/* Sheets between a playing card and a large cutting mat. */
#define TRACE_LEAST_SHEET_MM 40.0
#define TRACE_MOST_SHEET_MM 3000.0
/* Smaller things are crumbs, coins and shadows; common practice, no source. */
#define TRACE_LEAST_PIECE_MM2 100.0
/* Smaller openings are specks of light; a 2 mm punch makes 3.1 mm2. */
#define TRACE_LEAST_HOLE_MM2 2.5
/* A rim of table this wide may show along the sheet's edge: corners are clicked by hand. */
#define TRACE_RIM_MM 5.0
/* Step between samples along an outline. */
#define TRACE_STEP_MM 0.25
/* How near the curves follow the samples unless told otherwise. */
#define TRACE_TOLERANCE_MM 0.2
#define TRACE_LEAST_TOLERANCE_MM 0.05
#define TRACE_MOST_TOLERANCE_MM 5.0
/* A straight side may bend so much: its samples scatter by less, and no ruler shows more. */
#define TRACE_STRAIGHT_MM 0.15
/* A sharper turn within the blur is a corner. */
#define TRACE_CORNER_RAD 0.26
/* A bend tighter than this parts two edges in its middle, if it turns by TRACE_BEND_RAD at least. */
#define TRACE_BEND_RADIUS_MM 25.0
#define TRACE_BEND_RAD 0.6
/* An ordinary piece has no more edges than these; the slightest bends give way first. */
#define TRACE_MOST_EDGES 8

#endif
