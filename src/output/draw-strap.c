/* Where straps lie on a piece: two ticks out of its edge, as far apart as the strap is wide, and dashed
 * inward where the strap lies on the leather. */
#include "output/lane.h"

#include "engine/strap.h"

/* Half of the gap at most: what is drawn outside belongs to the other piece from there on. */
#define OUT_SHARE 0.5
/* The strap's ends lie on both pieces, half of what it has over the gap on each. */
#define IN_SHARE 0.5

static void
line (const OutputStage *stage, GeomPoint from, GeomPoint to)
{
  const GeomPoint a = output_view_point (stage->view, from), b = output_view_point (stage->view, to);
  cairo_move_to (stage->cr, a.x, a.y);
  cairo_line_to (stage->cr, b.x, b.y);
}

static void
draw_one (const OutputStage *stage, const ModelJoin *join, GeomPoint at, GeomPoint outward)
{
  const double half = join->strap_width_mm / 2.0, out = OUT_SHARE * join->gap_mm,
               in = IN_SHARE * join->strap_overlap_mm;
  const GeomPoint along = geom_left_of (outward);
  const GeomPoint ends[2] = { geom_along (at, -half, along), geom_along (at, half, along) };
  output_set_tone (stage->cr, stage->ink, OUTPUT_TONE_INK_3);
  output_set_stroke (stage->cr, &stage->ink->seam);
  for (int i = 0; i < 2; i++)
    line (stage, ends[i], geom_along (ends[i], -in, outward));
  line (stage, geom_along (ends[0], -in, outward), geom_along (ends[1], -in, outward));
  cairo_stroke (stage->cr);
  output_set_tone (stage->cr, stage->ink, OUTPUT_TONE_INK);
  OutputStroke tick = stage->ink->seam;
  tick.dash_count = 0;
  output_set_stroke (stage->cr, &tick);
  for (int i = 0; i < 2; i++)
    line (stage, ends[i], geom_along (ends[i], out, outward));
  cairo_stroke (stage->cr);
  /* Words and letters stand beside it. */
  const OutputPlate plate
    = { output_view_point (stage->view, geom_along (at, -in / 2.0, outward)),
        output_view_vector (stage->view, along), half * stage->view->scale, in / 2.0 * stage->view->scale };
  g_array_append_val (stage->plates, plate);
}

void
output_draw_straps (const OutputStage *stage)
{
  for (guint i = 0; i < stage->doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (stage->doc->joins, i);
    const guint count = engine_strap_count (join);
    for (int k = 0; count > 0 && k < 4; k++)
    {
      const bool is_b = k >= 2, mirrored = k % 2 == 1;
      if ((is_b ? &join->b : &join->a)->panel_id != stage->panel->id)
        continue;
      OutputLane lane;
      output_lane_fill (stage, join, is_b, mirrored, &lane);
      for (guint s = 0; lane.count > 0 && s < count; s++)
      {
        GeomPoint outward;
        const GeomPoint at
          = output_lane_at (stage, &lane, engine_strap_along_mm (join, s, lane.length_mm), &outward);
        if (geom_norm (outward) > 0.0)
          draw_one (stage, join, at, outward);
      }
    }
  }
}
