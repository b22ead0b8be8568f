/* Colours and line widths: one set for paper, slate and print, so that the canvas and the sheets draw with
 * the same hand.
 */
#ifndef OUTPUT_INK_H
#define OUTPUT_INK_H

#include <cairo.h>
#include <stdbool.h>

/* The tokens of the look; the CSS names are "pw_" and the token. */
typedef enum OutputTone
{
  OUTPUT_TONE_CANVAS,
  OUTPUT_TONE_CARD,
  OUTPUT_TONE_FACE,
  OUTPUT_TONE_LINE,
  OUTPUT_TONE_GRID,
  OUTPUT_TONE_GRID_BOLD,
  OUTPUT_TONE_INK,
  OUTPUT_TONE_INK_2,
  OUTPUT_TONE_INK_3,
  OUTPUT_TONE_TRACE,
  OUTPUT_TONE_BLUE,
  OUTPUT_TONE_OCHRE,
  OUTPUT_TONE_MADDER,
  OUTPUT_TONE_PLUM,
  OUTPUT_TONE_VERDIGRIS,
  OUTPUT_TONE_MOSS,
  OUTPUT_TONE_BLUE_SOFT,
  OUTPUT_TONE_OCHRE_SOFT,
  OUTPUT_TONE_MADDER_SOFT,
  OUTPUT_TONE_PLUM_SOFT,
  OUTPUT_TONE_VERDIGRIS_SOFT,
  OUTPUT_TONE_STEEL,
  OUTPUT_TONE_STEEL_2,
  OUTPUT_TONE_COUNT
} OutputTone;

typedef struct OutputColour
{
  double red, green, blue, alpha; /* 0..1 */
} OutputColour;

/* A stroke: width and dashes in device units (px on screen, mm in print).  DASH_COUNT 0: continuous. */
typedef struct OutputStroke
{
  double width, dash[4];
  int dash_count;
} OutputStroke;

/* What is drawn with, at one zoom.  On screen widths are px and depend on the zoom's step; in print they are
 * mm. */
typedef struct OutputInk
{
  OutputColour tone[OUTPUT_TONE_COUNT];
  bool print; /* black on white, no halos, mm */
  bool slate;
  bool points_allowed; /* below 12 % of true size: no hatch, no grain, no letters */
  OutputStroke cut, seam, fold, grain, hatch, girth, lit, preview, trace, correction;
  double halo_width; /* round a lit run */
  double hatch_step, whisker_step, mark_size, letter_radius, text_name, text_body,
    text_edge; /* device units */
} OutputInk;

/* PERCENT: of true size.  TONES: OUTPUT_TONE_COUNT colours from the theme, or NULL for the built-in paper /
 * slate set. */
void output_ink_screen (OutputInk *ink, double percent, bool slate, const OutputColour *tones);
/* Lines LINES times as heavy, text and letters TEXT times as large: for eyes that need it. */
void output_ink_strengthen (OutputInk *ink, double lines, double text);
/* Widths in mm, black and white. */
void output_ink_print (OutputInk *ink);
const OutputColour *output_ink_tones (bool slate);

void output_set_tone (cairo_t *cr, const OutputInk *ink, OutputTone tone);
void output_set_stroke (cairo_t *cr, const OutputStroke *stroke);

#endif
