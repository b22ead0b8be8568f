/* A piece from its face to its label, and the strokes laid over it while working. */
#include "output/draw-parts.h"

#include "engine/words.h"

#include <glib/gi18n.h>
#include <string.h>

/* Antialiasing costs most of a frame; on screen the quick kind and a quarter of a px of chord error are not
 * seen.  On paper both are. */
#define SCREEN_TOLERANCE_PX 0.25
#define PALE_FACE 0.55

static void
begin (cairo_t *cr, const OutputInk *ink)
{
  cairo_save (cr);
  cairo_new_path (cr);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_BUTT);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_MITER);
  cairo_set_miter_limit (cr, 10.0);
  if (!ink->print)
  {
    cairo_set_antialias (cr, CAIRO_ANTIALIAS_FAST);
    cairo_set_tolerance (cr, SCREEN_TOLERANCE_PX);
  }
}

static void
end (cairo_t *cr)
{
  cairo_new_path (cr);
  cairo_restore (cr);
}

/* Pieces of a path whose ends lie farther apart do not hang together. */
#define APART_MM 1e-3

void
output_trace_part (cairo_t *cr, const OutputView *view, const GeomPath *path, size_t first, size_t count)
{
  for (size_t i = 0; i < count && first + i < path->count; i++)
  {
    const GeomCubic *c = &path->piece[first + i];
    GeomPoint p[4];
    for (int k = 0; k < 4; k++)
      p[k] = output_view_point (view, c->p[k]);
    /* A run over a closed dart goes on beyond the mouth. */
    if (i == 0 || geom_distance (c[-1].p[3], c->p[0]) > APART_MM)
      cairo_move_to (cr, p[0].x, p[0].y);
    const bool straight = geom_same_point (c->p[0], c->p[1]) && geom_same_point (c->p[2], c->p[3]);
    if (straight)
      cairo_line_to (cr, p[3].x, p[3].y);
    else
      cairo_curve_to (cr, p[1].x, p[1].y, p[2].x, p[2].y, p[3].x, p[3].y);
  }
}

void
output_trace_path (cairo_t *cr, const OutputView *view, const GeomPath *path)
{
  if (path->count == 0)
    return;
  output_trace_part (cr, view, path, 0, path->count);
  if (path->closed)
    cairo_close_path (cr);
}

static void
collect (GeomPoint p, void *user)
{
  g_array_append_val ((GArray *)user, p);
}

void
output_flatten (const OutputView *view, const GeomPath *path, double deviation_device, GArray *out)
{
  const guint from = out->len;
  if (path->count == 0)
    return;
  geom_path_flatten (path, MAX (deviation_device / MAX (view->scale, 1e-9), 1e-4), collect, out);
  for (guint i = from; i < out->len; i++)
  {
    GeomPoint *p = &g_array_index (out, GeomPoint, i);
    *p = output_view_point (view, *p);
  }
}

/* ---- the stage ---- */

bool
output_stage_init (OutputStage *stage,
                   cairo_t *cr,
                   const OutputView *view,
                   const OutputInk *ink,
                   EngineReview *review,
                   const EnginePiece *piece,
                   bool half,
                   const GeomBox *window,
                   GArray *plates)
{
  memset (stage, 0, sizeof *stage);
  stage->plates = plates;
  stage->cr = cr;
  stage->view = view;
  stage->ink = ink;
  stage->review = review;
  stage->doc = engine_review_document (review);
  stage->piece = piece;
  stage->panel = piece != NULL ? model_document_panel (stage->doc, piece->panel_id) : NULL;
  if (stage->panel == NULL || piece->edges == NULL || piece->edges->len == 0 || piece->seam.count == 0)
    return false;
  stage->has_window = window != NULL;
  if (window != NULL)
    stage->window = *window;
  const ModelMaterial *material = model_document_material (stage->doc, stage->panel->material_id);
  stage->knife_mm = material != NULL ? material->knife_mm : 0.0;
  const guint n = piece->edges->len;
  stage->edge_count = n;
  if (half && stage->panel->halves == MODEL_HALVES_FOLD)
  {
    /* The drawn edges follow one another round the opened outline; they begin where the mirrored ones end. */
    for (guint i = 0; i < n; i++)
      if (!output_piece_edge (piece, i)->mirrored && output_piece_edge (piece, (i + n - 1) % n)->mirrored)
      {
        guint count = 0;
        while (count < n && !output_piece_edge (piece, (i + count) % n)->mirrored)
          count++;
        stage->half = true;
        stage->edge_first = i;
        stage->edge_count = count;
        break;
      }
  }
  return true;
}

GeomPath
output_edge_view (const EnginePiece *piece, guint index)
{
  const EnginePieceEdge *edge = output_piece_edge (piece, index);
  GeomPath view = { .piece = piece->seam.piece, .count = 0, .room = 0, .closed = false };
  if (edge->first < piece->seam.count)
  {
    view.piece += edge->first;
    view.count = MIN (edge->count, piece->seam.count - edge->first);
  }
  return view;
}

GeomPoint
output_edge_at (const EnginePiece *piece, guint index, double along_mm, GeomPoint *outward)
{
  const GeomPath view = output_edge_view (piece, index);
  if (view.count == 0)
  {
    *outward = geom_point (0.0, 0.0);
    return *outward;
  }
  const GeomPlace place = geom_path_place_at (&view, along_mm, 1e-4);
  *outward = geom_right_of (geom_path_tangent (&view, place));
  return geom_path_point (&view, place);
}

static void
cut_stretch (const EnginePiece *piece, guint first, guint last, GeomPath *out)
{
  if (piece->spans == NULL || piece->cut.count == 0)
    return;
  geom_path_part (&piece->cut, piece->spans[first].from, piece->spans[last].to, out);
}

GeomPoint
output_edge_cut_at (const EnginePiece *piece, guint index, GeomPoint on_seam)
{
  if (piece->plain || piece->cut.count == 0)
    return on_seam;
  GeomPath stretch;
  geom_path_init (&stretch);
  cut_stretch (piece, index, index, &stretch);
  const GeomPoint found = geom_path_nearest (stretch.count > 0 ? &stretch : &piece->cut, on_seam).point;
  geom_path_clear (&stretch);
  return found;
}

void
output_stage_cut (const OutputStage *stage, GeomPath *out)
{
  if (stage->half)
    cut_stretch (stage->piece, output_stage_edge (stage, 0), output_stage_edge (stage, stage->edge_count - 1),
                 out);
  else
    geom_path_copy (out, &stage->piece->cut);
}

void
output_stage_seam (const OutputStage *stage, GeomPath *out)
{
  for (guint i = 0; i < stage->edge_count; i++)
  {
    const GeomPath view = output_edge_view (stage->piece, output_stage_edge (stage, i));
    geom_path_append_path (out, &view);
  }
  out->closed = !stage->half && out->count > 0;
}

double
output_stage_added_mm (const OutputStage *stage, guint index)
{
  return output_piece_edge (stage->piece, index)->allowance_mm - stage->knife_mm;
}

bool
output_stage_seam_shows (const OutputStage *stage, guint index)
{
  const double apart = fabs (output_stage_added_mm (stage, index)) * stage->view->scale;
  return !stage->piece->plain
         && apart >= (stage->ink->print ? OUTPUT_DRAW_MERGE_PRINT_MM : OUTPUT_DRAW_MERGE_PX);
}

bool
output_run_has_edge (const OutputStage *stage, const ModelJoin *join, bool is_b, const EnginePieceEdge *edge)
{
  const ModelRun *run = is_b ? &join->b : &join->a;
  if (run->panel_id != stage->panel->id)
    return false;
  bool found = false;
  for (guint i = 0; i < run->edges->len && !found; i++)
    found = g_array_index (run->edges, guint, i) == edge->edge_id;
  if (!found || !engine_panel_is_mirrored (stage->panel))
    return found;
  EngineJoinPlace places[2];
  const int n = engine_join_places (stage->doc, join, places);
  for (int i = 0; i < n; i++)
    if ((is_b ? places[i].side_b : places[i].side_a) == edge->side)
      return true;
  /* A join that exists nowhere (its partner is gone) still has its letter. */
  return n == 0;
}

/* ---- plates ---- */

void
output_plate_corners (const OutputPlate *plate, GeomPoint corner[4])
{
  const GeomPoint u = geom_scale (plate->along, plate->half_length);
  const GeomPoint v = geom_scale (geom_left_of (plate->along), plate->half_height);
  corner[0] = geom_sub (geom_sub (plate->middle, u), v);
  corner[1] = geom_sub (geom_add (plate->middle, u), v);
  corner[2] = geom_add (geom_add (plate->middle, u), v);
  corner[3] = geom_add (geom_sub (plate->middle, u), v);
}

/* Apart along one of A's two directions? */
static bool
parted (const OutputPlate *a, const GeomPoint corner[4])
{
  const GeomPoint axes[2] = { a->along, geom_left_of (a->along) };
  const double halves[2] = { a->half_length, a->half_height };
  for (int k = 0; k < 2; k++)
  {
    double low = INFINITY, high = -INFINITY;
    for (int i = 0; i < 4; i++)
    {
      const double d = geom_dot (geom_sub (corner[i], a->middle), axes[k]);
      low = MIN (low, d);
      high = MAX (high, d);
    }
    if (low > halves[k] || high < -halves[k])
      return true;
  }
  return false;
}

bool
output_plate_overlaps (const OutputPlate *a, const OutputPlate *b)
{
  GeomPoint ca[4], cb[4];
  output_plate_corners (a, ca);
  output_plate_corners (b, cb);
  return !parted (a, cb) && !parted (b, ca);
}

bool
output_plates_overlap (const GArray *plates, const OutputPlate *plate)
{
  for (guint i = 0; i < plates->len; i++)
    if (output_plate_overlaps (&g_array_index (plates, OutputPlate, i), plate))
      return true;
  return false;
}

/* ---- a piece ---- */

static void
draw_face (const OutputStage *stage, double alpha)
{
  const OutputColour c = stage->ink->tone[OUTPUT_TONE_FACE];
  GeomPath half;
  geom_path_init (&half);
  if (stage->half)
    output_stage_cut (stage, &half);
  const GeomPath *shape = stage->half ? &half : &stage->piece->cut;
  cairo_t *cr = stage->cr;
  if (!stage->ink->print && !stage->ink->slate && alpha >= 1.0)
  {
    /* One soft step of shadow: a sheet lying on the bench. */
    cairo_save (cr);
    cairo_translate (cr, 1.5, 2.0);
    output_trace_path (cr, stage->view, shape);
    cairo_restore (cr);
    const OutputColour ink = stage->ink->tone[OUTPUT_TONE_INK];
    cairo_set_source_rgba (cr, ink.red, ink.green, ink.blue, 0.10);
    cairo_fill (cr);
  }
  output_trace_path (cr, stage->view, shape);
  cairo_set_source_rgba (cr, c.red, c.green, c.blue, c.alpha * alpha);
  cairo_fill (cr);
  geom_path_clear (&half);
}

static void
draw_seam (const OutputStage *stage)
{
  if (!(stage->ink->seam.width > 0.0))
    return;
  for (guint i = 0; i < stage->edge_count; i++)
  {
    const guint index = output_stage_edge (stage, i);
    if (!output_stage_seam_shows (stage, index))
      continue;
    const EnginePieceEdge *edge = output_piece_edge (stage->piece, index);
    output_trace_part (stage->cr, stage->view, &stage->piece->seam, edge->first, edge->count);
  }
  output_set_tone (stage->cr, stage->ink, OUTPUT_TONE_INK);
  output_set_stroke (stage->cr, &stage->ink->seam);
  cairo_stroke (stage->cr);
}

static void
draw_cut (const OutputStage *stage)
{
  if (stage->half)
  {
    GeomPath open;
    geom_path_init (&open);
    output_stage_cut (stage, &open);
    output_trace_path (stage->cr, stage->view, &open);
    geom_path_clear (&open);
  }
  else
    output_trace_path (stage->cr, stage->view, &stage->piece->cut);
  output_set_tone (stage->cr, stage->ink, OUTPUT_TONE_INK);
  output_set_stroke (stage->cr, &stage->ink->cut);
  cairo_stroke (stage->cr);
}

/* Nothing of the piece, its shadow included, is inside what is being drawn. */
static bool
is_out_of_sight (const OutputStage *stage)
{
  double x0, y0, x1, y1;
  cairo_clip_extents (stage->cr, &x0, &y0, &x1, &y1);
  const GeomBox b = stage->piece->box;
  const GeomPoint corner[4] = { { b.x0, b.y0 }, { b.x1, b.y0 }, { b.x1, b.y1 }, { b.x0, b.y1 } };
  GeomBox device = geom_box_empty ();
  for (int i = 0; i < 4; i++)
    device = geom_box_with_point (device, output_view_point (stage->view, corner[i]));
  device = geom_box_grown (device, 2.0 * stage->ink->mark_size);
  return !geom_box_overlaps (device, (GeomBox) { x0, y0, x1, y1 });
}

void
output_draw_piece_within (cairo_t *cr,
                          const OutputView *view,
                          const OutputInk *ink,
                          EngineReview *review,
                          const EnginePiece *piece,
                          bool half,
                          guint flags,
                          const GeomBox *window,
                          GArray *plates)
{
  OutputStage stage;
  g_autoptr (GArray) own
    = plates == NULL ? g_array_new (FALSE, FALSE, sizeof (OutputPlate)) : g_array_ref (plates);
  if (!(view->scale > 0.0) || !output_stage_init (&stage, cr, view, ink, review, piece, half, window, own)
      || is_out_of_sight (&stage))
    return;
  begin (cr, ink);
  if (flags & OUTPUT_DRAW_FACE)
    draw_face (&stage, 1.0);
  if ((flags & OUTPUT_DRAW_ALLOWANCES) && ink->points_allowed)
    output_draw_allowances (&stage);
  if (flags & OUTPUT_DRAW_SEAM)
    draw_seam (&stage);
  if (flags & OUTPUT_DRAW_CUT)
    draw_cut (&stage);
  if ((flags & OUTPUT_DRAW_CORRECTIONS) && piece->corrected)
    output_draw_corrections (&stage);
  if ((flags & OUTPUT_DRAW_DARTS) && ink->points_allowed)
    output_draw_darts (&stage, false);
  if (flags & (OUTPUT_DRAW_LABEL | OUTPUT_DRAW_GRAIN))
    output_draw_label (&stage, (flags & OUTPUT_DRAW_LABEL) != 0, (flags & OUTPUT_DRAW_GRAIN) != 0);
  /* After the label: the fold's word finds a place beside it. */
  if (flags & OUTPUT_DRAW_FOLD)
    output_draw_fold_line (&stage, ink->points_allowed);
  if (ink->points_allowed)
  {
    if (flags & OUTPUT_DRAW_MARKS)
    {
      output_draw_match_marks (&stage);
      output_draw_straps (&stage);
    }
    if (flags & OUTPUT_DRAW_LETTERS)
      output_draw_letters (&stage);
    if (flags & OUTPUT_DRAW_DARTS)
      output_draw_darts (&stage, true);
    if (flags & OUTPUT_DRAW_EDGE_NAMES)
      output_draw_edge_names (&stage);
    if (flags & OUTPUT_DRAW_TAPES)
      output_draw_tapes (&stage);
  }
  end (cr);
}

void
output_draw_piece (cairo_t *cr,
                   const OutputView *view,
                   const OutputInk *ink,
                   EngineReview *review,
                   const EnginePiece *piece,
                   bool half,
                   guint flags)
{
  output_draw_piece_within (cr, view, ink, review, piece, half, flags, NULL, NULL);
}

/* ---- the other half ---- */

/* The mirrored half of a fold panel: the stretch of cut that belongs to mirrored edges. */
static void
mirrored_cut (const OutputStage *stage, GeomPath *out)
{
  const EnginePiece *piece = stage->piece;
  const guint n = piece->edges->len;
  if (!stage->half)
  {
    geom_path_copy (out, &piece->cut);
    return;
  }
  if (stage->edge_count < n)
    cut_stretch (piece, (stage->edge_first + stage->edge_count) % n, (stage->edge_first + n - 1) % n, out);
}

void
output_draw_ghost (
  cairo_t *cr, const OutputView *view, const OutputInk *ink, EngineReview *review, guint panel_id)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelPanel *panel = model_document_panel (doc, panel_id);
  if (panel == NULL || panel->halves == MODEL_HALVES_SINGLE || !(view->scale > 0.0))
    return;
  const bool fold = panel->halves == MODEL_HALVES_FOLD;
  const EnginePiece *piece = engine_review_piece (
    review, panel_id, fold ? MODEL_SIDE_CENTRE : model_side_other (engine_panel_drawn_side (panel)));
  OutputStage stage;
  if (piece == NULL || !output_stage_init (&stage, cr, view, ink, review, piece, fold, NULL, NULL))
    return;
  GeomPath shape;
  geom_path_init (&shape);
  mirrored_cut (&stage, &shape);
  if (shape.count > 0)
  {
    begin (cr, ink);
    const OutputColour c = ink->tone[OUTPUT_TONE_FACE];
    output_trace_path (cr, view, &shape);
    cairo_set_source_rgba (cr, c.red, c.green, c.blue, c.alpha * PALE_FACE);
    cairo_fill_preserve (cr);
    output_set_tone (cr, ink, OUTPUT_TONE_TRACE);
    output_set_stroke (cr, &ink->trace);
    cairo_stroke (cr);
    if (ink->points_allowed)
    {
      if (fold)
      {
        geom_path_append_line (&shape, shape.piece[shape.count - 1].p[3], shape.piece[0].p[0]);
        shape.closed = true;
      }
      double radius_mm = 0.0;
      const GeomPoint at = output_view_point (view, output_label_place (&shape, &radius_mm));
      const char *first = _ ("mirrored half"), *second = _ ("follows");
      const OutputTextSize size = output_text_size (cr, ink->text_body, OUTPUT_TEXT_ITALIC, 0.0, first);
      if (size.width < 1.9 * radius_mm * view->scale)
      {
        output_set_tone (cr, ink, OUTPUT_TONE_INK_2);
        output_text_middle (cr, at.x, at.y - 0.7 * ink->text_body, 0.0, ink->text_body, OUTPUT_TEXT_ITALIC,
                            first);
        output_text_middle (cr, at.x, at.y + 0.7 * ink->text_body, 0.0, ink->text_body, OUTPUT_TEXT_ITALIC,
                            second);
      }
    }
    end (cr);
  }
  geom_path_clear (&shape);
}

/* ---- laid over ---- */

void
output_draw_lit (cairo_t *cr, const OutputView *view, const OutputInk *ink, const GeomPath *path, bool second)
{
  if (path->count == 0)
    return;
  begin (cr, ink);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_ROUND);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  output_trace_path (cr, view, path);
  if (ink->halo_width > 0.0)
  {
    output_set_tone (cr, ink, second ? OUTPUT_TONE_OCHRE_SOFT : OUTPUT_TONE_BLUE_SOFT);
    cairo_set_line_width (cr, ink->halo_width);
    cairo_stroke_preserve (cr);
  }
  output_set_tone (cr, ink, second ? OUTPUT_TONE_OCHRE : OUTPUT_TONE_BLUE);
  cairo_set_line_width (cr, second ? ink->lit.width * 1.35 : ink->lit.width);
  cairo_stroke_preserve (cr);
  if (second)
  {
    /* Rungs: told from the first run without any colour. */
    const double rung[2] = { 1.6, 4.4 };
    cairo_set_line_cap (cr, CAIRO_LINE_CAP_BUTT);
    output_set_tone (cr, ink, OUTPUT_TONE_OCHRE_SOFT);
    cairo_set_line_width (cr, ink->lit.width * 0.62);
    cairo_set_dash (cr, rung, 2, 0.0);
    cairo_stroke_preserve (cr);
  }
  end (cr);
}

void
output_draw_preview (cairo_t *cr, const OutputView *view, const OutputInk *ink, const GeomPath *path)
{
  begin (cr, ink);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  output_trace_path (cr, view, path);
  output_set_tone (cr, ink, OUTPUT_TONE_PLUM);
  output_set_stroke (cr, &ink->preview);
  cairo_stroke (cr);
  end (cr);
}

void
output_draw_disagreeing (cairo_t *cr, const OutputView *view, const OutputInk *ink, const GeomPath *path)
{
  begin (cr, ink);
  output_trace_path (cr, view, path);
  const double wide = 2.4 * ink->lit.width, broken[2] = { wide * 0.42, wide * 0.24 };
  output_set_tone (cr, ink, OUTPUT_TONE_MADDER);
  cairo_set_line_width (cr, wide);
  cairo_set_dash (cr, broken, 2, 0.0);
  cairo_stroke (cr);
  end (cr);
}
