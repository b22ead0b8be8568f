/* Pinned tapes in print, as a reference: a thin line with a tick at each end and what it measures; a known
 * length on the paper to hold the tape against.  No knife follows it, so it is dotted. */
#include "output/draw-parts.h"

#include "engine/words.h"
#include "model/tape.h"

#include <glib/gi18n.h>

/* Of a tick, in parts of the letters' height, to each side. */
#define TICK_PART 0.6
#define OFF_PART 0.9
/* A tape along an edge would lie under the cut: so far inside, in parts of the letters' height. */
#define INSET_PART 2.2
#define STEPS 16

static void
tick (const OutputStage *stage, GeomPoint at, GeomPoint way)
{
  const double half = TICK_PART * stage->ink->text_edge;
  const GeomPoint across = geom_left_of (way), a = geom_along (at, -half, across),
                  b = geom_along (at, half, across);
  cairo_move_to (stage->cr, a.x, a.y);
  cairo_line_to (stage->cr, b.x, b.y);
}

static char *
text_of (const OutputStage *stage, const ModelTape *tape, const ModelTapeReading *reading)
{
  if (tape->kind == MODEL_TAPE_ANGLE)
    return g_strdup_printf ("%.1f°", reading->deg);
  g_autofree char *flat = engine_words_length (stage->doc, reading->mm);
  if (!reading->has_wrap)
    return g_steal_pointer (&flat);
  g_autofree char *wrap = engine_words_length (stage->doc, tape->wrap_mm);
  /* Translators: printed beside a reference line: its length, and what it read over the body. */
  return g_strdup_printf (_ ("%1$s, over the wrap %2$s"), flat, wrap);
}

static void
draw_one (const OutputStage *stage, const ModelTape *tape, bool twin)
{
  ModelTapeReading reading;
  GeomPath way;
  geom_path_init (&way);
  if (!model_tape_read (stage->panel, tape, twin, &reading)
      || !model_tape_way (stage->panel, tape, twin, &way))
  {
    geom_path_clear (&way);
    return;
  }
  const double letters = stage->ink->text_edge,
               inset = tape->kind == MODEL_TAPE_ALONG
                         ? (twin ? -1.0 : 1.0) * INSET_PART * letters / stage->view->scale
                         : 0.0;
  g_autoptr (GArray) row = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  for (size_t i = 0; i < way.count; i++)
    for (int k = i == 0 ? 0 : 1; k <= STEPS; k++)
    {
      const double t = (double)k / STEPS;
      const GeomPoint at
        = output_view_point (stage->view, geom_along (geom_cubic_at (&way.piece[i], t), inset,
                                                      geom_left_of (geom_cubic_tangent (&way.piece[i], t))));
      g_array_append_val (row, at);
      cairo_line_to (stage->cr, at.x, at.y);
    }
  output_set_tone (stage->cr, stage->ink, OUTPUT_TONE_INK_2);
  output_set_stroke (stage->cr, &stage->ink->girth);
  cairo_stroke (stage->cr);
  const GeomPoint *p = (const GeomPoint *)(gconstpointer)row->data;
  OutputStroke plain = stage->ink->girth;
  plain.dash_count = 0;
  output_set_stroke (stage->cr, &plain);
  tick (stage, p[0], geom_unit (geom_sub (p[1], p[0])));
  tick (stage, p[row->len - 1], geom_unit (geom_sub (p[row->len - 1], p[row->len - 2])));
  cairo_stroke (stage->cr);
  const guint middle = MAX (row->len / 4, 1); /* in the middle tapes cross */
  GeomPoint along = geom_unit (geom_sub (p[middle], p[middle - 1]));
  if (along.x < 0.0) /* read from the left */
    along = geom_scale (along, -1.0);
  const GeomPoint at
    = geom_along (geom_mix (p[middle], p[middle - 1], 0.5), -OFF_PART * letters, geom_left_of (along));
  g_autofree char *text = text_of (stage, tape, &reading);
  output_draw_text (stage->cr, stage->ink, at.x, at.y, atan2 (along.y, along.x), letters, false,
                    OUTPUT_TONE_INK, OUTPUT_TONE_FACE, text);
  geom_path_clear (&way);
}

void
output_draw_tapes (const OutputStage *stage)
{
  const ModelPanel *panel = stage->panel;
  const EnginePiece *piece = stage->piece;
  const bool other = !stage->half && piece->corrected && panel->halves == MODEL_HALVES_FOLD;
  for (guint i = 0; i < panel->tapes->len; i++)
  {
    const ModelTape *tape = &g_array_index (panel->tapes, ModelTape, i);
    if (!tape->on_sheets)
      continue;
    draw_one (stage, tape, !piece->drawn);
    if (other)
      draw_one (stage, tape, true);
  }
}
