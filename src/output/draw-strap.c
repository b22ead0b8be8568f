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
draw_one (const OutputStage *stage, const OutputStrapSpot *spot)
{
  const double half = spot->join->strap_width_mm / 2.0, out = OUT_SHARE * spot->join->gap_mm,
               in = IN_SHARE * spot->join->strap_overlap_mm;
  const GeomPoint at = spot->at, outward = spot->outward, along = geom_left_of (outward);
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

GArray *
output_strap_spots (const OutputStage *stage)
{
  GArray *spots = g_array_new (FALSE, FALSE, sizeof (OutputStrapSpot));
  for (guint i = 0; i < stage->doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (stage->doc->joins, i);
    for (int k = 0; engine_strap_count (join) > 0 && k < 4; k++)
    {
      const bool is_b = k >= 2, mirrored = k % 2 == 1;
      OutputLane lane;
      EngineJoinReading reading;
      if ((is_b ? &join->b : &join->a)->panel_id != stage->panel->id)
        continue;
      output_lane_fill (stage, join, is_b, mirrored, &lane);
      if (!output_lane_reading (stage, &lane, join, is_b, &reading))
        continue;
      g_autoptr (GArray) places = engine_strap_places (stage->review, join, &reading);
      for (guint s = 0; s < places->len; s++)
      {
        const EngineStrapPlace *place = &g_array_index (places, EngineStrapPlace, s);
        OutputStrapSpot spot = { .join = join };
        spot.at = output_lane_at (stage, &lane, is_b ? place->b_mm : place->a_mm, &spot.outward);
        if (geom_norm (spot.outward) > 0.0)
          g_array_append_val (spots, spot);
      }
    }
  }
  return spots;
}

void
output_strap_end (const OutputStrapSpot *spot, GeomPoint corner[4])
{
  const double half = spot->join->strap_width_mm / 2.0, in = IN_SHARE * spot->join->strap_overlap_mm;
  const GeomPoint along = geom_left_of (spot->outward);
  corner[0] = geom_along (spot->at, -half, along);
  corner[1] = geom_along (corner[0], -in, spot->outward);
  corner[3] = geom_along (spot->at, half, along);
  corner[2] = geom_along (corner[3], -in, spot->outward);
}

void
output_draw_straps (const OutputStage *stage)
{
  g_autoptr (GArray) spots = output_strap_spots (stage);
  for (guint i = 0; i < spots->len; i++)
    draw_one (stage, &g_array_index (spots, OutputStrapSpot, i));
}
