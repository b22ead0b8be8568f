/* Darts: crossed hatch over what is taken out, its middle dashed, a ring at the tip, the width beside it. The
 * legs are edges of the piece and drawn with it.
 *
 * Only legs that are joined to each other make a dart: a notch may have two equal sides too.
 */
#include "output/draw-parts.h"

#include "engine/words.h"
#include "model/rework.h"

/* The ring's size and how far the middle runs out, in parts of a match mark. */
#define RING_PART 0.34
#define BEYOND_PART 0.5
#define LINES_MAX 4000
#define RING_LEAST 2.2

typedef struct Wedge
{
  GeomPath legs;     /* from mouth corner over the apex to mouth corner */
  GeomPoint a, x, b; /* drawing */
  double width_mm;
} Wedge;

static bool
find_wedge (const OutputStage *stage, guint first, guint second, Wedge *wedge)
{
  GeomPath one = output_edge_view (stage->piece, first), two = output_edge_view (stage->piece, second);
  if (one.count == 0 || two.count == 0)
    return false;
  geom_path_append_path (&wedge->legs, &one);
  geom_path_append_path (&wedge->legs, &two);
  wedge->a = one.piece[0].p[0];
  wedge->x = two.piece[0].p[0];
  wedge->b = two.piece[two.count - 1].p[3];
  wedge->width_mm = geom_distance (wedge->a, wedge->b);
  return wedge->width_mm > 0.0;
}

/* Both ways across, over what neither the piece nor its allowances keep. */
static void
hatch (const OutputStage *stage, const Wedge *wedge, GeomPoint along)
{
  cairo_t *cr = stage->cr;
  double x0, y0, x1, y1, step = stage->ink->hatch_step;
  GeomPoint tip = output_view_point (stage->view, wedge->x);
  cairo_save (cr);
  output_trace_path (cr, stage->view, &wedge->legs);
  cairo_close_path (cr);
  cairo_clip (cr);
  cairo_clip_extents (cr, &x0, &y0, &x1, &y1);
  if (!stage->piece->plain && stage->piece->cut.count > 0)
  {
    cairo_rectangle (cr, x0 - 1.0, y0 - 1.0, x1 - x0 + 2.0, y1 - y0 + 2.0);
    output_trace_path (cr, stage->view, &stage->piece->cut);
    cairo_set_fill_rule (cr, CAIRO_FILL_RULE_EVEN_ODD);
    cairo_clip (cr);
  }
  double reach = hypot (x1 - x0, y1 - y0) + hypot (tip.x - x0, tip.y - y0) + hypot (tip.x - x1, tip.y - y1);
  int lines = step > 0.0 ? (int)MIN (reach / step, LINES_MAX) : 0;
  for (int way = -1; way <= 1; way += 2)
  {
    GeomPoint u
      = geom_affine_apply_vector (geom_affine_turn (geom_point (0.0, 0.0), way * G_PI / 4.0), along);
    GeomPoint v = geom_left_of (u);
    for (int k = -lines; k <= lines; k++)
    {
      GeomPoint at = geom_along (tip, k * step, v), from = geom_along (at, -reach, u),
                to = geom_along (at, reach, u);
      cairo_move_to (cr, from.x, from.y);
      cairo_line_to (cr, to.x, to.y);
    }
  }
  output_set_tone (cr, stage->ink, OUTPUT_TONE_INK_3);
  output_set_stroke (cr, &stage->ink->hatch);
  cairo_stroke (cr);
  cairo_restore (cr);
}

/* True if the width was written beside the dart, PART of the way to its tip. */
static bool
write_width_at (const OutputStage *stage, const Wedge *wedge, double part, int sign, const char *text)
{
  const OutputInk *ink = stage->ink;
  const GeomPoint mouth = geom_mix (wedge->a, wedge->b, 0.5),
                  middle = output_view_point (stage->view, geom_mix (mouth, wedge->x, part)),
                  across = output_view_vector (stage->view, geom_sub (wedge->b, wedge->a));
  double width, height, half = 0.5 * (1.0 - part) * wedge->width_mm * stage->view->scale;
  GeomAffine back;
  output_measure_text (stage->cr, ink->text_body, false, text, &width, &height);
  if (!geom_affine_inverse (stage->view->to_device, &back))
    return false;
  /* Upright text is so far from its middle to its rim, going across. */
  const double rim = 0.5 * (width * fabs (across.x) + height * fabs (across.y)) + 0.6 * ink->text_body;
  const GeomPoint at = geom_along (middle, sign * (half + rim), across);
  const OutputPlate plate = { at, geom_point (1.0, 0.0), 0.5 * width, 0.5 * height };
  GeomPoint corner[4];
  if (output_plates_overlap (stage->plates, &plate))
    return false;
  output_plate_corners (&plate, corner);
  for (int i = 0; i < 4; i++)
    if (!geom_path_contains (&stage->piece->seam, geom_affine_apply (back, corner[i]))
        || (stage->has_window
            && (corner[i].x < stage->window.x0 || corner[i].x > stage->window.x1
                || corner[i].y < stage->window.y0 || corner[i].y > stage->window.y1)))
      return false;
  output_draw_text (stage->cr, ink, at.x, at.y, 0.0, ink->text_body, false, OUTPUT_TONE_INK_2, -1, text);
  g_array_append_val (stage->plates, plate);
  return true;
}

/* In the leather on whichever side there is room, clear of what stands there already. */
static void
write_width (const OutputStage *stage, const Wedge *wedge)
{
  static const double parts[] = { 0.4, 0.25, 0.55, 0.1, 0.7, 0.85 };
  g_autofree char *text = engine_words_length (stage->doc, wedge->width_mm);
  for (size_t i = 0; i < G_N_ELEMENTS (parts); i++)
    for (int sign = 1; sign >= -1; sign -= 2)
      if (write_width_at (stage, wedge, parts[i], sign, text))
        return;
}

static void
draw_dart (const OutputStage *stage, const Wedge *wedge)
{
  cairo_t *cr = stage->cr;
  const OutputInk *ink = stage->ink;
  const GeomPoint mouth = output_view_point (stage->view, geom_mix (wedge->a, wedge->b, 0.5)),
                  tip = output_view_point (stage->view, wedge->x), along = geom_unit (geom_sub (mouth, tip));
  const double ring = MAX (RING_PART * ink->mark_size, ink->print ? 0.0 : RING_LEAST);
  if (!(geom_norm (along) > 0.0) || geom_distance (mouth, tip) < 4.0 * ring)
    return;
  hatch (stage, wedge, along);
  const GeomPoint from = geom_along (tip, ring, along),
                  to = geom_along (mouth, BEYOND_PART * ink->mark_size, along);
  cairo_move_to (cr, from.x, from.y);
  cairo_line_to (cr, to.x, to.y);
  output_set_tone (cr, ink, OUTPUT_TONE_INK);
  output_set_stroke (cr, &ink->seam);
  if (ink->seam.width > 0.0)
    cairo_stroke (cr);
  cairo_new_path (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);
  cairo_arc (cr, tip.x, tip.y, ring, 0.0, 2.0 * G_PI);
  output_set_tone (cr, ink, OUTPUT_TONE_FACE);
  cairo_fill_preserve (cr);
  output_set_tone (cr, ink, OUTPUT_TONE_INK);
  cairo_set_line_width (cr, 0.8 * ink->cut.width);
  cairo_stroke (cr);
}

void
output_draw_darts (const OutputStage *stage, bool figures)
{
  for (guint i = 0; i + 1 < stage->edge_count; i++)
  {
    const guint first = output_stage_edge (stage, i), second = output_stage_edge (stage, i + 1);
    const EnginePieceEdge *a = output_piece_edge (stage->piece, first),
                          *b = output_piece_edge (stage->piece, second);
    guint leg_1, leg_2;
    Wedge wedge = { 0 };
    if (a->mirrored != b->mirrored || !model_rework_dart_is_joined (stage->doc, stage->panel->id, a->edge_id)
        || !model_rework_find_dart (stage->panel, a->edge_id, &leg_1, &leg_2, NULL)
        || (a->mirrored ? a->edge_id != leg_2 || b->edge_id != leg_1
                        : a->edge_id != leg_1 || b->edge_id != leg_2))
      continue;
    if (find_wedge (stage, first, second, &wedge))
    {
      if (figures)
        write_width (stage, &wedge);
      else
        draw_dart (stage, &wedge);
    }
    geom_path_clear (&wedge.legs);
  }
}
