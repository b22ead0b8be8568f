/* Free places on a sheet: boxes that cross no line and cover no text. */
#include "output/sheet-parts.h"

#define STEP_MM 4.0
#define FLAT_MM 0.15

void
output_obstacles_init (OutputObstacles *obstacles, GeomAffine to_paper)
{
  obstacles->segments = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  obstacles->plates = g_array_new (FALSE, FALSE, sizeof (OutputPlate));
  obstacles->seams = g_ptr_array_new ();
  obstacles->cuts = g_ptr_array_new ();
  obstacles->to_paper = to_paper;
}

void
output_obstacles_clear (OutputObstacles *obstacles)
{
  g_array_unref (obstacles->segments);
  g_array_unref (obstacles->plates);
  g_ptr_array_unref (obstacles->seams);
  g_ptr_array_unref (obstacles->cuts);
}

static void
add_path (OutputObstacles *obstacles, const GeomPath *path, GeomBox within)
{
  const OutputView view = { obstacles->to_paper, 1.0 };
  g_autoptr (GArray) points = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  output_flatten (&view, path, FLAT_MM, points);
  for (guint i = 0; i < points->len; i++)
  {
    if (i + 1 == points->len && !path->closed)
      break;
    const GeomPoint a = g_array_index (points, GeomPoint, i),
                    b = g_array_index (points, GeomPoint, (i + 1) % points->len);
    const GeomBox box = geom_box_with_point (geom_box_with_point (geom_box_empty (), a), b);
    if (!geom_box_overlaps (box, within))
      continue;
    g_array_append_val (obstacles->segments, a);
    g_array_append_val (obstacles->segments, b);
  }
}

/* The line down the middle of an opened piece. */
static void
add_middle (OutputObstacles *obstacles, const EnginePlacedPiece *placed, const ModelPanel *panel)
{
  const int fold = panel != NULL && panel->halves == MODEL_HALVES_FOLD ? model_panel_fold_edge (panel) : -1;
  if (fold < 0)
    return;
  const GeomAffine map = geom_affine_after (obstacles->to_paper, placed->to_plan);
  const GeomPoint a = geom_affine_apply (map, model_edge_node (model_panel_edge (panel, (guint)fold), 0)->at);
  const GeomPoint b = geom_affine_apply (
    map,
    model_panel_next_node (panel, (guint)fold, model_panel_edge (panel, (guint)fold)->nodes->len - 1)->at);
  g_array_append_val (obstacles->segments, a);
  g_array_append_val (obstacles->segments, b);
}

void
output_obstacles_add_piece (OutputObstacles *obstacles,
                            const EnginePlacedPiece *placed,
                            const ModelPanel *panel,
                            GeomBox within)
{
  add_middle (obstacles, placed, panel);
  add_path (obstacles, &placed->cut, within);
  if (!placed->piece->plain)
    add_path (obstacles, &placed->seam, within);
  g_ptr_array_add (obstacles->seams, (gpointer)&placed->seam);
  g_ptr_array_add (obstacles->cuts, (gpointer)&placed->cut);
}

OutputPlate
output_plate_of_box (GeomBox box)
{
  return (OutputPlate) { geom_point ((box.x0 + box.x1) / 2.0, (box.y0 + box.y1) / 2.0), geom_point (1.0, 0.0),
                         (box.x1 - box.x0) / 2.0, (box.y1 - box.y0) / 2.0 };
}

void
output_obstacles_add_box (OutputObstacles *obstacles, GeomBox box)
{
  const OutputPlate plate = output_plate_of_box (box);
  g_array_append_val (obstacles->plates, plate);
}

/* Does the segment meet the box |x| <= W, |y| <= H?  Clipping parameter against the four sides in turn. */
static bool
segment_meets (GeomPoint a, GeomPoint b, double w, double h)
{
  double t0 = 0.0, t1 = 1.0;
  const GeomPoint d = geom_sub (b, a);
  const double p[4] = { -d.x, d.x, -d.y, d.y }, q[4] = { a.x + w, w - a.x, a.y + h, h - a.y };
  for (int i = 0; i < 4; i++)
  {
    if (!(fabs (p[i]) > 0.0))
    {
      if (q[i] < 0.0)
        return false;
      continue;
    }
    const double t = q[i] / p[i];
    if (p[i] < 0.0)
      t0 = MAX (t0, t);
    else
      t1 = MIN (t1, t);
    if (t0 > t1)
      return false;
  }
  return true;
}

bool
output_obstacles_is_free (const OutputObstacles *obstacles, const OutputPlate *plate, double clear_mm)
{
  OutputPlate grown = *plate;
  grown.half_length += clear_mm;
  grown.half_height += clear_mm;
  const GeomPoint u = plate->along, v = geom_left_of (u);
  for (guint i = 0; i + 1 < obstacles->segments->len; i += 2)
  {
    const GeomPoint a = geom_sub (g_array_index (obstacles->segments, GeomPoint, i), plate->middle);
    const GeomPoint b = geom_sub (g_array_index (obstacles->segments, GeomPoint, i + 1), plate->middle);
    const GeomPoint la = geom_point (geom_dot (a, u), geom_dot (a, v)),
                    lb = geom_point (geom_dot (b, u), geom_dot (b, v));
    if (segment_meets (la, lb, grown.half_length, grown.half_height))
      return false;
  }
  grown.half_length = plate->half_length + MIN (clear_mm, 3.0);
  grown.half_height = plate->half_height + MIN (clear_mm, 3.0);
  return !output_plates_overlap (obstacles->plates, &grown);
}

int
output_obstacles_ground (const OutputObstacles *obstacles, GeomPoint paper)
{
  GeomAffine back;
  if (!geom_affine_inverse (obstacles->to_paper, &back))
    return 0;
  const GeomPoint p = geom_affine_apply (back, paper);
  for (guint i = 0; i < obstacles->cuts->len; i++)
  {
    const bool in_cut = geom_path_contains ((const GeomPath *)g_ptr_array_index (obstacles->cuts, i), p);
    const bool in_seam = geom_path_contains ((const GeomPath *)g_ptr_array_index (obstacles->seams, i), p);
    if (in_seam)
      return 1;
    if (in_cut)
      return 2;
  }
  return 0;
}

static bool
try_at (const OutputObstacles *obstacles, double x, double y, double w, double h, double clear_mm, int want)
{
  const OutputPlate plate = output_plate_of_box ((GeomBox) { x, y, x + w, y + h });
  return output_obstacles_is_free (obstacles, &plate, clear_mm)
         && output_obstacles_ground (obstacles, plate.middle) == want;
}

bool
output_obstacles_find (const OutputObstacles *obstacles,
                       GeomBox area,
                       double w,
                       double h,
                       double clear_mm,
                       bool bare,
                       GeomPoint *at)
{
  const double right = area.x1 - w, bottom = area.y1 - h;
  if (right < area.x0 || bottom < area.y0)
    return false;
  const GeomPoint corner[4]
    = { { area.x0, area.y0 }, { right, area.y0 }, { area.x0, bottom }, { right, bottom } };
  for (int want = 0; want < (bare ? 1 : 2); want++)
  {
    for (int i = 0; i < 4; i++)
      if (try_at (obstacles, corner[i].x, corner[i].y, w, h, clear_mm, want))
      {
        *at = corner[i];
        return true;
      }
    for (double y = area.y0; y <= bottom; y += STEP_MM)
      for (double x = area.x0; x <= right; x += STEP_MM)
        if (try_at (obstacles, x, y, w, h, clear_mm, want))
        {
          *at = geom_point (x, y);
          return true;
        }
  }
  return false;
}
