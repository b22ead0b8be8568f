/* The two grounds of the screen and the one of paper; widths by the step of the zoom. */
#include "output/ink.h"

#include <string.h>

#define RGB(hex)                                                                                             \
  {                                                                                                          \
    ((hex) >> 16 & 0xff) / 255.0, ((hex) >> 8 & 0xff) / 255.0, ((hex)&0xff) / 255.0, 1.0                     \
  }

static const OutputColour paper_tones[OUTPUT_TONE_COUNT] = {
  [OUTPUT_TONE_CANVAS] = RGB (0xF8F2E4),
  [OUTPUT_TONE_CARD] = RGB (0xFFFCF5),
  [OUTPUT_TONE_FACE] = RGB (0xFFFDF7),
  [OUTPUT_TONE_LINE] = RGB (0xCDBFA5),
  [OUTPUT_TONE_GRID] = RGB (0xE6DBC4),
  [OUTPUT_TONE_GRID_BOLD] = RGB (0xD8CAAE),
  [OUTPUT_TONE_INK] = RGB (0x2A2622),
  [OUTPUT_TONE_INK_2] = RGB (0x5C5347),
  [OUTPUT_TONE_INK_3] = RGB (0x857A69),
  [OUTPUT_TONE_TRACE] = RGB (0x95876C),
  [OUTPUT_TONE_BLUE] = RGB (0x1B5A8A),
  [OUTPUT_TONE_OCHRE] = RGB (0x8A5B00),
  [OUTPUT_TONE_MADDER] = RGB (0xA23A1B),
  [OUTPUT_TONE_PLUM] = RGB (0x73397F),
  [OUTPUT_TONE_VERDIGRIS] = RGB (0x17685A),
  [OUTPUT_TONE_MOSS] = RGB (0x3E6B2F),
  [OUTPUT_TONE_BLUE_SOFT] = RGB (0xD3E2EC),
  [OUTPUT_TONE_OCHRE_SOFT] = RGB (0xF3E2B8),
  [OUTPUT_TONE_MADDER_SOFT] = RGB (0xF6DCCF),
  [OUTPUT_TONE_PLUM_SOFT] = RGB (0xEADDEE),
  [OUTPUT_TONE_VERDIGRIS_SOFT] = RGB (0xD3E8E1),
  [OUTPUT_TONE_STEEL] = RGB (0xD5D9DB),
  [OUTPUT_TONE_STEEL_2] = RGB (0xC2C8CB),
};

static const OutputColour slate_tones[OUTPUT_TONE_COUNT] = {
  [OUTPUT_TONE_CANVAS] = RGB (0x20282B),
  [OUTPUT_TONE_CARD] = RGB (0x313A3F),
  [OUTPUT_TONE_FACE] = RGB (0x2A3438),
  [OUTPUT_TONE_LINE] = RGB (0x465055),
  [OUTPUT_TONE_GRID] = RGB (0x2A3337),
  [OUTPUT_TONE_GRID_BOLD] = RGB (0x364146),
  [OUTPUT_TONE_INK] = RGB (0xF1EDE2),
  [OUTPUT_TONE_INK_2] = RGB (0xBFC2B9),
  [OUTPUT_TONE_INK_3] = RGB (0x8D948F),
  [OUTPUT_TONE_TRACE] = RGB (0x84928D),
  [OUTPUT_TONE_BLUE] = RGB (0x8DC6EC),
  [OUTPUT_TONE_OCHRE] = RGB (0xEABF6C),
  [OUTPUT_TONE_MADDER] = RGB (0xFF9C7A),
  [OUTPUT_TONE_PLUM] = RGB (0xDCAAE9),
  [OUTPUT_TONE_VERDIGRIS] = RGB (0x7DD4BC),
  [OUTPUT_TONE_MOSS] = RGB (0xA8D08A),
  [OUTPUT_TONE_BLUE_SOFT] = RGB (0x274355),
  [OUTPUT_TONE_OCHRE_SOFT] = RGB (0x4B4025),
  [OUTPUT_TONE_MADDER_SOFT] = RGB (0x54342A),
  [OUTPUT_TONE_PLUM_SOFT] = RGB (0x46324C),
  [OUTPUT_TONE_VERDIGRIS_SOFT] = RGB (0x23463F),
  [OUTPUT_TONE_STEEL] = RGB (0x4A5459),
  [OUTPUT_TONE_STEEL_2] = RGB (0x3E474C),
};

const OutputColour *
output_ink_tones (bool slate)
{
  return slate ? slate_tones : paper_tones;
}

static OutputStroke
plain (double width)
{
  return (OutputStroke) { .width = width };
}

static OutputStroke
dashed (double width, double on, double off)
{
  return (OutputStroke) { .width = width, .dash = { on, off }, .dash_count = 2 };
}

static OutputStroke
chain (double width, double on, double off, double dot, double off_2)
{
  return (OutputStroke) { .width = width, .dash = { on, off, dot, off_2 }, .dash_count = 4 };
}

/* The four steps of the zoom: below 12 %, to 60 %, to 200 %, above. */
static int
zoom_step (double percent)
{
  if (percent < 12.0)
    return 0;
  if (percent < 60.0)
    return 1;
  return percent <= 200.0 ? 2 : 3;
}

void
output_ink_screen (OutputInk *ink, double percent, bool slate, const OutputColour *tones)
{
  const int step = zoom_step (percent);
  static const double cut[4] = { 1.2, 1.7, 2.0, 2.4 }, seam[4] = { 0.0, 1.1, 1.3, 1.5 };
  static const double seam_on[4] = { 5, 5, 6, 8 }, seam_off[4] = { 3, 3, 3, 4 };
  static const double fold[4] = { 1.2, 1.4, 1.6, 1.8 }, grain[4] = { 0.0, 1.2, 1.2, 1.4 };
  static const double girth[4] = { 1.0, 1.0, 1.2, 1.2 }, lit[4] = { 2.4, 3.2, 3.2, 3.6 };
  static const double halo[4] = { 7, 10, 10, 12 }, preview[4] = { 1.8, 2.2, 2.4, 2.8 };
  static const double mark[4] = { 7, 9, 10, 11 }, letter[4] = { 7, 9, 10, 11 };
  memset (ink, 0, sizeof *ink);
  memcpy (ink->tone, tones != NULL ? tones : output_ink_tones (slate), sizeof ink->tone);
  ink->slate = slate;
  ink->points_allowed = step > 0;
  ink->cut = plain (cut[step]);
  ink->seam = dashed (seam[step], seam_on[step], seam_off[step]);
  ink->fold = step == 0 ? chain (fold[0], 10, 3, 2, 3) : chain (fold[step], 14, 4, 2, 4);
  ink->grain = plain (grain[step]);
  ink->hatch = plain (step > 0 ? 1.0 : 0.0);
  ink->girth = dashed (girth[step], 1, 5);
  ink->lit = plain (lit[step]);
  ink->preview = chain (preview[step], 9, 3, 2, 3);
  ink->trace = dashed (1.0, 2, 3);
  ink->correction = dashed (1.3, 1.5, 4);
  ink->halo_width = halo[step];
  ink->hatch_step = 6.0;
  ink->whisker_step = 10.0;
  ink->mark_size = mark[step];
  ink->letter_radius = letter[step];
  ink->text_name = 13.0;
  ink->text_body = 12.0;
  ink->text_edge = 12.0;
}

void
output_ink_strengthen (OutputInk *ink, double lines, double text)
{
  OutputStroke *const strokes[] = { &ink->cut,   &ink->seam, &ink->fold,    &ink->grain, &ink->hatch,
                                    &ink->girth, &ink->lit,  &ink->preview, &ink->trace, &ink->correction };
  for (size_t i = 0; i < sizeof strokes / sizeof *strokes; i++)
    strokes[i]->width *= lines;
  ink->halo_width *= lines;
  ink->mark_size *= lines;
  ink->letter_radius *= text;
  ink->text_name *= text;
  ink->text_body *= text;
  ink->text_edge *= text;
}

void
output_ink_print (OutputInk *ink)
{
  memset (ink, 0, sizeof *ink);
  for (int i = 0; i < OUTPUT_TONE_COUNT; i++)
    ink->tone[i] = (OutputColour) { 0.0, 0.0, 0.0, 1.0 };
  /* What is a ground on screen is bare paper in print; a copier knows no greys. */
  static const OutputTone grounds[] = {
    OUTPUT_TONE_CANVAS,     OUTPUT_TONE_CARD,        OUTPUT_TONE_FACE,      OUTPUT_TONE_BLUE_SOFT,
    OUTPUT_TONE_OCHRE_SOFT, OUTPUT_TONE_MADDER_SOFT, OUTPUT_TONE_PLUM_SOFT, OUTPUT_TONE_VERDIGRIS_SOFT,
    OUTPUT_TONE_STEEL,      OUTPUT_TONE_STEEL_2,
  };
  for (size_t i = 0; i < sizeof grounds / sizeof *grounds; i++)
    ink->tone[grounds[i]] = (OutputColour) { 1.0, 1.0, 1.0, 1.0 };
  ink->print = true;
  ink->points_allowed = true;
  ink->cut = plain (0.60);
  ink->seam = dashed (0.25, 3.7, 1.6);
  ink->fold = chain (0.42, 8, 2, 1, 2);
  ink->grain = plain (0.32);
  ink->hatch = plain (0.18);
  ink->girth = dashed (0.32, 0.32, 1.6);
  ink->lit = plain (0.60);
  ink->preview = chain (0.42, 3, 1, 0.7, 1);
  ink->trace = dashed (0.25, 0.7, 1.0);
  ink->correction = dashed (0.32, 0.4, 1.3);
  ink->halo_width = 0.0;
  ink->hatch_step = 2.4;
  ink->whisker_step = 10.0;
  ink->mark_size = 4.4;
  ink->letter_radius = 4.8;
  ink->text_name = 5.5;
  ink->text_body = 3.4;
  ink->text_edge = 3.2;
}

void
output_set_tone (cairo_t *cr, const OutputInk *ink, OutputTone tone)
{
  const OutputColour *c = &ink->tone[tone];
  cairo_set_source_rgba (cr, c->red, c->green, c->blue, c->alpha);
}

void
output_set_stroke (cairo_t *cr, const OutputStroke *stroke)
{
  cairo_set_line_width (cr, stroke->width);
  cairo_set_dash (cr, stroke->dash, stroke->dash_count, 0.0);
}
