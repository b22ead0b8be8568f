/* What is added outside the seam: hatched where it is sewn, a comb where it goes under, and on the piece
 * above a dotted line showing how far the other reaches.
 *
 * The hatch is worked out, not clipped: lines at 45 degrees cut by the strip's polygon.  So nothing but short
 * lines reaches the page, and a copier, a cutter and the screen see the same.
 */
#include "output/draw-parts.h"

#include <stdlib.h>

#define LINES_MAX 20000 /* of one strip; beyond that a strip is a metre of hatch and the step is wrong */

typedef struct Crossing
{
  int line;
  double x;
} Crossing;

static int
by_line (const void *a, const void *b)
{
  const Crossing *p = (const Crossing *)a, *q = (const Crossing *)b;
  if (p->line != q->line)
    return p->line < q->line ? -1 : 1;
  return p->x < q->x ? -1 : p->x > q->x;
}

/* Fills the polygon with lines rising to the right.  They pass through ORIGIN, so that they go on over a
 * tile's edge. */
static void
hatch (cairo_t *cr, const GArray *polygon, double step, GeomPoint origin)
{
  const guint n = polygon->len;
  if (n < 3 || !(step > 0.0))
    return;
  const double s = G_SQRT2 / 2.0;
  g_autoptr (GArray) crossings = g_array_new (FALSE, FALSE, sizeof (Crossing));
  for (guint i = 0; i < n; i++)
  {
    const GeomPoint a = geom_sub (g_array_index (polygon, GeomPoint, i), origin);
    const GeomPoint b = geom_sub (g_array_index (polygon, GeomPoint, (i + 1) % n), origin);
    /* Turned so that the hatch runs along u: v counts the lines. */
    const double va = s * (a.x + a.y) / step, vb = s * (b.x + b.y) / step;
    const double ua = s * (a.x - a.y), ub = s * (b.x - b.y);
    const double low = MIN (va, vb), high = MAX (va, vb);
    if (!(high - low < LINES_MAX) || !(fabs (low) < 1e8))
      return;
    for (int k = (int)ceil (low); k < high; k++)
    {
      const Crossing c = { k, ua + (ub - ua) * (k - va) / (vb - va) };
      g_array_append_val (crossings, c);
    }
  }
  if (crossings->len == 0)
    return;
  qsort (crossings->data, crossings->len, sizeof (Crossing), by_line);
  for (guint i = 0; i + 1 < crossings->len;)
  {
    const Crossing *c = &g_array_index (crossings, Crossing, i), *d = c + 1;
    if (c->line != d->line)
    {
      i++;
      continue;
    }
    const double v = c->line * step;
    cairo_move_to (cr, origin.x + s * (v + c->x), origin.y + s * (v - c->x));
    cairo_line_to (cr, origin.x + s * (v + d->x), origin.y + s * (v - d->x));
    i += 2;
  }
}

/* The strip between seam and cut line: out along the seam, back along the cut. SEAM_POINTS: how many of the
 * first belong to the seam. */
static void
strip (const OutputStage *stage, guint index, GArray *out, guint *seam_points)
{
  const double fine = stage->ink->print ? 0.02 : 0.4;
  const EnginePiece *piece = stage->piece;
  const GeomPath seam = output_edge_view (piece, index);
  output_flatten (stage->view, &seam, fine, out);
  *seam_points = out->len;
  const GeomCutSpan *span = &piece->spans[index];
  if (span->from.piece == span->to.piece && span->from.t >= span->to.t)
    return;
  GeomPath cut;
  geom_path_init (&cut);
  geom_path_part (&piece->cut, span->from, span->to, &cut);
  geom_path_reverse (&cut);
  output_flatten (stage->view, &cut, fine, out);
  geom_path_clear (&cut);
}

/* How far along the ray from P in direction D (unit) the polygon's part after the seam is met; LIMIT if it is
 * not. */
static double
ray_reach (const GArray *polygon, guint from, GeomPoint p, GeomPoint d, double limit)
{
  double reach = limit;
  const guint n = polygon->len;
  for (guint i = from > 0 ? from - 1 : 0; i < n; i++)
  {
    const GeomPoint a = g_array_index (polygon, GeomPoint, i),
                    b = g_array_index (polygon, GeomPoint, (i + 1) % n);
    const GeomPoint e = geom_sub (b, a), w = geom_sub (a, p);
    const double det = geom_cross (d, e);
    if (!(fabs (det) > 1e-12))
      continue;
    const double t = geom_cross (w, e) / det, u = geom_cross (w, d) / det;
    if (t > 1e-6 && t < reach && u >= 0.0 && u <= 1.0)
      reach = t;
  }
  return reach;
}

static void
comb (const OutputStage *stage, const GArray *polygon, guint seam_points, double step, double limit)
{
  /* Outward of a counter-clockwise outline is right of its travel; where the view flips y, that is left. */
  const bool flipped = geom_affine_determinant (stage->view->to_device) < 0.0;
  double next = step / 2.0;
  guint drawn = 0;
  for (guint i = 0; i + 1 < seam_points; i++)
  {
    const GeomPoint a = g_array_index (polygon, GeomPoint, i), b = g_array_index (polygon, GeomPoint, i + 1);
    const double length = geom_distance (a, b);
    if (!(length > 0.0))
      continue;
    const GeomPoint along = geom_scale (geom_sub (b, a), 1.0 / length);
    const GeomPoint out = flipped ? geom_left_of (along) : geom_right_of (along);
    for (; next <= length && drawn < LINES_MAX; next += step, drawn++)
    {
      const GeomPoint p = geom_along (a, next, along);
      const GeomPoint q = geom_along (p, ray_reach (polygon, seam_points, p, out, limit), out);
      cairo_move_to (stage->cr, p.x, p.y);
      cairo_line_to (stage->cr, q.x, q.y);
    }
    next -= length;
  }
}

/* The lapped join of an edge, and which side of it lies here. */
static const ModelJoin *
lap_of_edge (const OutputStage *stage, const EnginePieceEdge *edge, bool *under)
{
  for (guint i = 0; i < stage->doc->joins->len; i++)
  {
    const ModelJoin *join = (const ModelJoin *)g_ptr_array_index (stage->doc->joins, i);
    if (join->kind != MODEL_JOIN_LAPPED)
      continue;
    const bool on_a = output_run_has_edge (stage, join, false, edge);
    const bool on_b = !on_a && output_run_has_edge (stage, join, true, edge);
    if (on_a || on_b)
    {
      *under = on_a ? join->b_over : !join->b_over;
      return join;
    }
  }
  return NULL;
}

/* Thin plates along a line: words keep off it. */
static void
note_line (const OutputStage *stage, const GeomPath *line)
{
  const double half = 0.7 * stage->ink->correction.width;
  g_autoptr (GArray) points = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  output_flatten (stage->view, line, half, points);
  for (guint i = 0; i + 1 < points->len; i++)
  {
    const GeomPoint a = g_array_index (points, GeomPoint, i), b = g_array_index (points, GeomPoint, i + 1);
    const OutputPlate plate
      = { geom_mix (a, b, 0.5), geom_unit (geom_sub (b, a)), geom_distance (a, b) / 2.0, half };
    if (geom_norm (plate.along) > 0.0)
      g_array_append_val (stage->plates, plate);
  }
}

/* How far the piece beneath reaches under this edge. */
static void
reach_line (const OutputStage *stage, guint index, double lap_mm)
{
  const GeomPath seam = output_edge_view (stage->piece, index);
  if (!(lap_mm * stage->view->scale > 3.0 * stage->ink->correction.width))
    return;
  GeomPath inner;
  geom_path_init (&inner);
  for (size_t i = 0; i < seam.count; i++)
    geom_offset_cubic (&seam.piece[i], -lap_mm, stage->ink->print ? 0.02 : 0.2, &inner);
  cairo_save (stage->cr);
  output_trace_path (stage->cr, stage->view, &inner);
  output_set_tone (stage->cr, stage->ink, OUTPUT_TONE_INK_2);
  output_set_stroke (stage->cr, &stage->ink->correction);
  cairo_set_line_cap (stage->cr, CAIRO_LINE_CAP_ROUND);
  cairo_stroke (stage->cr);
  cairo_restore (stage->cr);
  note_line (stage, &inner);
  geom_path_clear (&inner);
}

void
output_draw_allowances (const OutputStage *stage)
{
  const OutputInk *ink = stage->ink;
  const GeomPoint origin = output_view_point (stage->view, geom_point (0.0, 0.0));
  g_autoptr (GArray) polygon = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  for (guint i = 0; i < stage->edge_count; i++)
  {
    const guint index = output_stage_edge (stage, i);
    const EnginePieceEdge *edge = output_piece_edge (stage->piece, index);
    bool under = false;
    const ModelJoin *lap = lap_of_edge (stage, edge, &under);
    if (!(edge->allowance_mm > 0.0) || stage->piece->spans == NULL || !output_stage_seam_shows (stage, index)
        || !(ink->hatch.width > 0.0))
      continue;
    guint seam_points = 0;
    g_array_set_size (polygon, 0);
    strip (stage, index, polygon, &seam_points);
    if (lap != NULL && under)
      comb (stage, polygon, seam_points, ink->hatch_step,
            fabs (output_stage_added_mm (stage, index)) * stage->view->scale);
    else
      hatch (stage->cr, polygon, ink->hatch_step, origin);
  }
  output_set_tone (stage->cr, ink, OUTPUT_TONE_INK_3);
  output_set_stroke (stage->cr, &ink->hatch);
  cairo_stroke (stage->cr);
  for (guint i = 0; i < stage->edge_count; i++)
  {
    const guint index = output_stage_edge (stage, i);
    bool under = false;
    const ModelJoin *lap = lap_of_edge (stage, output_piece_edge (stage->piece, index), &under);
    if (lap != NULL && !under)
      reach_line (stage, index, lap->lap_mm);
  }
}
