/* A drawing of another program, as SVG, read into panels.
 *
 * Read are all shapes of SVG 1.1 and groups of them, transforms, lengths with units, viewBox with
 * preserveAspectRatio and svg within svg.  A closed outline becomes a panel, true to size (96 px to the inch)
 * and upright; its corners are where the tangent breaks.  An open one is closed if its ends are no farther
 * apart than ENGINE_SVG_CLOSE_MM, else left out. Left out as well: holes (loops inside another of the same
 * shape), text, pictures, what is defined to be used elsewhere (defs, symbol, clipPath, mask, pattern,
 * marker, use) and what is not displayed.  Colours, fills and style sheets are not looked at.
 *
 * Where lines carry the class "cut", as in our own cut files, these alone are outlines.
 */
#ifndef ENGINE_SVG_IN_H
#define ENGINE_SVG_IN_H

#include "model/document.h"

#define ENGINE_SVG_CLOSE_MM 0.5
/* A break of the tangent from here on is a corner: less is how a curve looks that was drawn in chords. */
#define ENGINE_SVG_CORNER_DEG 10.0
#define ENGINE_SVG_MOST_BYTES (64 * 1024 * 1024)
#define ENGINE_SVG_MOST_DEPTH 200
#define ENGINE_SVG_MOST_OUTLINES 5000

#define ENGINE_SVG_ERROR (engine_svg_error_quark ())
typedef enum EngineSvgError
{
  ENGINE_SVG_ERROR_SYNTAX,  /* not SVG: "line 3, column 7: ..." */
  ENGINE_SVG_ERROR_TOO_MUCH /* larger or deeper than any drawing of panels */
} EngineSvgError;
GQuark engine_svg_error_quark (void);

/* What came of it, in outlines. */
typedef struct EngineSvgReport
{
  guint panels, closed; /* CLOSED: of these, so many had open ends that met */
  guint open, holes, empty;
  guint others; /* texts, pictures and uses passed over */
} EngineSvgReport;

/* A document with the panels alone, in the order of the drawing, named by what the drawing calls them; it may
 * have none. NULL with ERROR where the text cannot be understood: nothing is half read.  REPORT may be NULL.
 */
ModelDocument *engine_svg_read (const char *data, gsize length, EngineSvgReport *report, GError **error);
/* What came of it, in words: "4 panels came in. 2 open lines were left out." */
char *engine_svg_report_words (const EngineSvgReport *report);
/* True if DATA looks like SVG at a glance: for text on a clipboard. */
bool engine_svg_is_likely (const char *data, gsize length);

#endif
