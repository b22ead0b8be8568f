/* Single marks: wedges, half discs, the grain arrow. */
#include "output/draw-parts.h"

#include <string.h>

/* Two wedges of one mark: their middles are this many widths apart. */
#define WEDGE_APART 1.27

void
output_draw_wedge (cairo_t *cr, GeomPoint base_middle, GeomPoint pointing, double width, double height)
{
  const GeomPoint across = geom_left_of (pointing);
  const GeomPoint a = geom_along (base_middle, -width / 2.0, across),
                  b = geom_along (base_middle, width / 2.0, across);
  const GeomPoint tip = geom_along (base_middle, height, pointing);
  cairo_move_to (cr, a.x, a.y);
  cairo_line_to (cr, b.x, b.y);
  cairo_line_to (cr, tip.x, tip.y);
  cairo_close_path (cr);
}

void
output_draw_match_mark (
  cairo_t *cr, const OutputView *view, const OutputInk *ink, GeomPoint at, GeomPoint outward, int wedges)
{
  const GeomPoint middle = output_view_point (view, at);
  const GeomPoint in = geom_scale (output_view_vector (view, outward), -1.0), across = geom_left_of (in);
  const double size = ink->mark_size;
  cairo_save (cr);
  cairo_new_path (cr);
  const int n = CLAMP (wedges, 1, 2);
  for (int i = 0; i < n; i++)
    output_draw_wedge (cr, geom_along (middle, (i - (n - 1) / 2.0) * WEDGE_APART * size, across), in, size,
                       size);
  output_set_tone (cr, ink, OUTPUT_TONE_INK);
  cairo_fill (cr);
  cairo_restore (cr);
}

void
output_draw_letter (cairo_t *cr,
                    const OutputView *view,
                    const OutputInk *ink,
                    GeomPoint at,
                    GeomPoint outward,
                    const char *letter,
                    OutputTone tone)
{
  const GeomPoint p = output_view_point (view, at),
                  in = geom_scale (output_view_vector (view, outward), -1.0);
  if (!(geom_norm (in) > 0.0))
    return;
  const double r = ink->letter_radius, angle = atan2 (in.y, in.x);
  cairo_save (cr);
  cairo_new_path (cr);
  cairo_arc (cr, p.x, p.y, r, angle - G_PI / 2.0, angle + G_PI / 2.0);
  cairo_close_path (cr);
  output_set_tone (cr, ink, tone);
  cairo_fill (cr);
  if (letter != NULL && *letter != '\0')
  {
    /* Upright, its black in the middle of the half disc.  The room of a letter in a half disc of radius r is
     * about 0.8 r high. */
    const double size = r * (strlen (letter) > 1 ? 0.66 : 0.88);
    const OutputTextSize s = output_text_size (cr, size, OUTPUT_TEXT_BOLD, 0.0, letter);
    const GeomPoint middle = geom_along (p, 0.45 * r, in);
    output_set_tone (cr, ink, OUTPUT_TONE_FACE);
    output_text_line (cr, middle.x - s.ink_x - s.ink_width / 2.0,
                      middle.y - (s.ink_y + s.ink_height / 2.0) + s.baseline, size, OUTPUT_TEXT_BOLD, letter);
  }
  cairo_restore (cr);
}

void
output_draw_grain (cairo_t *cr,
                   const OutputView *view,
                   const OutputInk *ink,
                   GeomPoint middle,
                   double length_mm,
                   double angle_deg)
{
  const double length = length_mm * view->scale, rad = angle_deg * G_PI / 180.0;
  if (!(length > 0.0) || !(ink->grain.width > 0.0))
    return;
  const GeomPoint m = output_view_point (view, middle);
  const GeomPoint along = output_view_vector (view, geom_point (cos (rad), sin (rad))),
                  across = geom_left_of (along);
  /* On paper the head is as long as a match mark is high; on screen 8 px. */
  const double head = MIN (ink->print ? 5.0 : 8.0, length / 3.0), half_head = 0.45 * head,
               feather = 0.62 * head;
  const GeomPoint tip = geom_along (m, length / 2.0, along), tail = geom_along (m, -length / 2.0, along);
  cairo_save (cr);
  cairo_new_path (cr);
  output_set_tone (cr, ink, OUTPUT_TONE_INK_2);
  output_set_stroke (cr, &ink->grain);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  const GeomPoint neck = geom_along (tip, -head, along);
  cairo_move_to (cr, tail.x, tail.y);
  cairo_line_to (cr, neck.x, neck.y);
  for (int i = 0; i < 3; i++)
  {
    const GeomPoint root = geom_along (tail, i * feather, along);
    const GeomPoint forward = geom_along (root, feather, along);
    const GeomPoint a = geom_along (forward, feather, across), b = geom_along (forward, -feather, across);
    cairo_move_to (cr, a.x, a.y);
    cairo_line_to (cr, root.x, root.y);
    cairo_line_to (cr, b.x, b.y);
  }
  cairo_stroke (cr);
  output_draw_wedge (cr, neck, along, 2.0 * half_head, head);
  cairo_fill (cr);
  cairo_restore (cr);
}
