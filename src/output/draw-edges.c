/* What stands along the edges: match marks, join letters, names, the fold, corrections. */
#include "output/lane.h"

#include "engine/run.h"
#include "engine/words.h"

#include <glib/gi18n.h>

/* A node that was moved by less than this is where the mirror puts it. */
#define CORRECTED_MM 0.05
#define WHISKERS_MAX 2000

/* ---- match marks ---- */

/* Where a mark lies on a piece's edge, from the edge's start in the piece's direction.  Marks are kept by the
 * length of the drawn edge; a corrected edge of another length keeps their share of it. */
static double
mark_along (const OutputStage *stage, const EnginePieceEdge *edge, const ModelMark *mark)
{
  double drawn = edge->length_mm;
  if (edge->mirrored && stage->piece->corrected)
  {
    const ModelSide side = engine_panel_drawn_side (stage->panel);
    const bool fold = stage->panel->halves == MODEL_HALVES_FOLD;
    const EnginePiece *piece
      = engine_review_piece (stage->review, stage->panel->id, fold ? MODEL_SIDE_CENTRE : side);
    const int index = piece != NULL ? engine_piece_find_edge (piece, edge->edge_id, side) : -1;
    if (index >= 0)
      drawn = output_piece_edge (piece, (guint)index)->length_mm;
  }
  const double share = drawn > 0.0 ? CLAMP (mark->at_mm / drawn, 0.0, 1.0) : 0.0;
  const double at = share * edge->length_mm;
  return edge->mirrored ? edge->length_mm - at : at;
}

static void
add_round_plate (const OutputStage *stage, GeomPoint middle, double half)
{
  const OutputPlate plate = { middle, geom_point (1.0, 0.0), half, half };
  g_array_append_val (stage->plates, plate);
}

static bool
in_window (const OutputStage *stage, GeomPoint device, double margin)
{
  if (!stage->has_window)
    return true;
  const GeomBox w = stage->window;
  return device.x >= w.x0 + margin && device.x <= w.x1 - margin && device.y >= w.y0 + margin
         && device.y <= w.y1 - margin;
}

GArray *
output_mark_spots (const OutputStage *stage)
{
  GArray *spots = g_array_new (FALSE, FALSE, sizeof (OutputMarkSpot));
  for (guint i = 0; i < stage->edge_count; i++)
  {
    const guint index = output_stage_edge (stage, i);
    const EnginePieceEdge *edge = output_piece_edge (stage->piece, index);
    for (guint k = 0; k < stage->panel->marks->len; k++)
    {
      const ModelMark *mark = &g_array_index (stage->panel->marks, ModelMark, k);
      if (mark->edge_id != edge->edge_id)
        continue;
      if (mark->wedges == 0)
        continue;
      OutputMarkSpot spot = { .wedges = mark->wedges };
      const GeomPoint seam
        = output_edge_at (stage->piece, index, mark_along (stage, edge, mark), &spot.outward);
      spot.at = output_edge_cut_at (stage->piece, index, seam);
      g_array_append_val (spots, spot);
    }
  }
  return spots;
}

void
output_draw_match_marks (const OutputStage *stage)
{
  const double size = stage->ink->mark_size;
  g_autoptr (GArray) spots = output_mark_spots (stage);
  for (guint i = 0; i < spots->len; i++)
  {
    const OutputMarkSpot *spot = &g_array_index (spots, OutputMarkSpot, i);
    output_draw_match_mark (stage->cr, stage->view, stage->ink, spot->at, spot->outward, spot->wedges);
    const GeomPoint in = geom_scale (output_view_vector (stage->view, spot->outward), -1.0);
    add_round_plate (stage, geom_along (output_view_point (stage->view, spot->at), size / 2.0, in),
                     size * (spot->wedges > 1 ? 1.15 : 0.6));
  }
}

/* ---- join letters ---- */

static OutputPlate
letter_plate (const OutputStage *stage, GeomPoint at, GeomPoint outward)
{
  const GeomPoint in = geom_scale (output_view_vector (stage->view, outward), -1.0);
  const double r = stage->ink->letter_radius;
  return (OutputPlate) { geom_along (output_view_point (stage->view, at), r / 2.0, in), geom_left_of (in), r,
                         r / 2.0 };
}

static bool
letter_fits (
  const OutputStage *stage, const OutputLane *lane, double along_mm, GeomPoint *at, GeomPoint *outward)
{
  *at = output_lane_at (stage, lane, along_mm, outward);
  if (!(geom_norm (*outward) > 0.0))
    return false;
  const OutputPlate plate = letter_plate (stage, *at, *outward);
  return in_window (stage, plate.middle, stage->ink->letter_radius * 0.8)
         && !output_plates_overlap (stage->plates, &plate);
}

/* In the middle of the run, or as near to it as marks and the sheet's edge allow: later before earlier in the
 * run's direction, so that both halves of a disc move alike. */
static void
draw_lane_letter (const OutputStage *stage, const OutputLane *lane, const char *letter)
{
  if (lane->count == 0 || !(lane->length_mm * stage->view->scale > 2.2 * stage->ink->letter_radius))
    return;
  const double middle = lane->length_mm / 2.0, step = 0.5 * stage->ink->letter_radius / stage->view->scale;
  GeomPoint at, outward;
  const int tries = stage->has_window ? 400 : 12;
  for (int k = 0; k < tries && k * step <= middle - step; k++)
    for (int sign = 1; sign >= -1; sign -= 2)
      if (letter_fits (stage, lane, middle + sign * k * step, &at, &outward))
      {
        const OutputPlate plate = letter_plate (stage, at, outward);
        output_draw_letter (stage->cr, stage->view, stage->ink, at, outward, letter, OUTPUT_TONE_INK);
        g_array_append_val (stage->plates, plate);
        return;
      }
  if (stage->has_window)
    return;
  at = output_lane_at (stage, lane, middle, &outward);
  output_draw_letter (stage->cr, stage->view, stage->ink, at, outward, letter, OUTPUT_TONE_INK);
}

void
output_draw_letters (const OutputStage *stage)
{
  for (guint i = 0; i < stage->doc->joins->len; i++)
  {
    const ModelJoin *join = (const ModelJoin *)g_ptr_array_index (stage->doc->joins, i);
    const ModelRun *runs[2] = { &join->a, &join->b };
    for (int r = 0; r < 2; r++)
    {
      if (runs[r]->panel_id != stage->panel->id)
        continue;
      for (int mirrored = 0; mirrored < 2; mirrored++)
      {
        OutputLane lane;
        output_lane_fill (stage, join, r == 1, mirrored == 1, &lane);
        draw_lane_letter (stage, &lane, join->letter);
      }
    }
  }
}

/* ---- names ---- */

char *
output_edge_note (const OutputStage *stage, guint index)
{
  const EnginePieceEdge *edge = output_piece_edge (stage->piece, index);
  for (guint i = 0; i < stage->doc->joins->len; i++)
  {
    const ModelJoin *join = (const ModelJoin *)g_ptr_array_index (stage->doc->joins, i);
    const bool on_a = output_run_has_edge (stage, join, false, edge);
    const bool on_b = !on_a && output_run_has_edge (stage, join, true, edge);
    if (!on_a && !on_b)
      continue;
    g_autofree char *length = NULL;
    switch (join->kind)
    {
    case MODEL_JOIN_FLUSH:
      continue;
    case MODEL_JOIN_LAPPED:
      if (on_a != join->b_over)
        return g_strdup (_ ("goes over"));
      length = engine_words_length (stage->doc, join->lap_mm);
      /* Translators: on an edge of a sheet; %s is a length. */
      return g_strdup_printf (_ ("lap %s, goes under"), length);
    case MODEL_JOIN_STITCHED:
      length = engine_words_length (stage->doc, join->allowance_mm);
      return g_strdup_printf (_ ("stitched, %s added"), length);
    case MODEL_JOIN_GAP:
      length = engine_words_length (stage->doc, join->gap_mm);
      return g_strdup_printf (_ ("gap %s"), length);
    }
  }
  if (edge->allowance_mm > 0.0)
  {
    g_autofree char *length = engine_words_length (stage->doc, edge->allowance_mm);
    return g_strdup_printf (_ ("%s added"), length);
  }
  return g_strdup ("");
}

static bool
plate_on_piece (const OutputStage *stage, const OutputPlate *plate)
{
  GeomPoint corner[4];
  GeomAffine back;
  if (!geom_affine_inverse (stage->view->to_device, &back))
    return false;
  OutputPlate roomy = *plate;
  roomy.half_length += 0.5 * stage->ink->text_edge;
  output_plate_corners (&roomy, corner);
  for (int i = 0; i < 4; i++)
    if (!in_window (stage, corner[i], 0.0)
        || !geom_path_contains (&stage->piece->seam, geom_affine_apply (back, corner[i])))
      return false;
  return true;
}

/* A straight text inside the edge, over the stretch of WIDTH round FRACTION; false where the edge bends too
 * much under it. */
static bool
name_plate (
  const OutputStage *stage, guint index, double fraction, double size, double width, OutputPlate *plate)
{
  const EnginePieceEdge *edge = output_piece_edge (stage->piece, index);
  const double half_mm = width / 2.0 / stage->view->scale, at = fraction * edge->length_mm;
  if (at - half_mm < 0.0 || at + half_mm > edge->length_mm)
    return false;
  GeomPoint p[9], outward;
  for (int i = 0; i < 9; i++)
  {
    p[i] = output_view_point (stage->view,
                              output_edge_at (stage->piece, index, at + half_mm * (i - 4) / 4.0, &outward));
    if (i == 4)
      plate->along = output_view_vector (stage->view, outward);
  }
  const GeomPoint in_there = geom_scale (plate->along, -1.0), along = geom_unit (geom_sub (p[8], p[0]));
  if (!(geom_norm (along) > 0.0) || geom_distance (p[8], p[0]) < 0.93 * width)
    return false;
  const GeomPoint in
    = geom_dot (geom_left_of (along), in_there) > 0.0 ? geom_left_of (along) : geom_right_of (along);
  double low = INFINITY, high = -INFINITY;
  for (int i = 0; i < 9; i++)
  {
    const double d = geom_dot (geom_sub (p[i], p[4]), in);
    low = MIN (low, d);
    high = MAX (high, d);
  }
  if (high - low > 1.4 * size)
    return false;
  plate->middle = geom_along (geom_along (p[4], high + 1.15 * size, in),
                              geom_dot (geom_sub (geom_mix (p[0], p[8], 0.5), p[4]), along), along);
  plate->along = along;
  plate->half_length = width / 2.0;
  plate->half_height = 0.62 * size;
  return true;
}

static bool
draw_name (const OutputStage *stage, guint index, double size, const char *text)
{
  static const double fractions[] = { 0.5, 0.4, 0.6, 0.3, 0.7, 0.22, 0.78, 0.15, 0.85, 0.1, 0.9 };
  const double width = output_text_size (stage->cr, size, OUTPUT_TEXT_PLAIN, 0.0, text).width;
  for (size_t i = 0; i < G_N_ELEMENTS (fractions); i++)
  {
    OutputPlate plate;
    if (!name_plate (stage, index, fractions[i], size, width, &plate)
        || output_plates_overlap (stage->plates, &plate) || !plate_on_piece (stage, &plate))
      continue;
    /* Readable with the head to the left at most. */
    double angle = atan2 (plate.along.y, plate.along.x);
    if (angle > G_PI / 2.0 - 1e-6)
      angle -= G_PI;
    else if (angle < -G_PI / 2.0 - 1e-6)
      angle += G_PI;
    output_draw_text (stage->cr, stage->ink, plate.middle.x, plate.middle.y, angle, size, false,
                      OUTPUT_TONE_INK_2, -1, text);
    g_array_append_val (stage->plates, plate);
    return true;
  }
  return false;
}

void
output_draw_edge_names (const OutputStage *stage)
{
  const double size = stage->ink->text_edge;
  for (guint i = 0; i < stage->edge_count; i++)
  {
    const guint index = output_stage_edge (stage, i);
    const int on_panel
      = model_panel_find_edge (stage->panel, output_piece_edge (stage->piece, index)->edge_id);
    if (on_panel < 0)
      continue;
    const char *name = model_panel_edge (stage->panel, (guint)on_panel)->name;
    g_autofree char *note = stage->ink->print ? output_edge_note (stage, index) : NULL;
    g_autofree char *both = NULL;
    if (note != NULL && *note != '\0')
      both = *name != '\0' ? g_strdup_printf ("%s, %s", name, note) : g_strdup (note);
    const char *wishes[3] = { both, name, note };
    bool done = false;
    for (int k = 0; k < 3 && !done; k++)
      if (wishes[k] != NULL && *wishes[k] != '\0')
        done = draw_name (stage, index, size, wishes[k])
               || (stage->ink->print && k == 0 && draw_name (stage, index, 0.8 * size, wishes[k]));
  }
}

/* ---- the fold ---- */

static void
draw_axis_word (
  const OutputStage *stage, GeomPoint a, GeomPoint b, GeomPoint in, double fraction, const char *word)
{
  const double size = stage->ink->text_body;
  const OutputTextSize s = output_text_size (stage->cr, size, OUTPUT_TEXT_PLAIN, 0.0, word);
  if (geom_distance (a, b) < 1.6 * s.width)
    return;
  OutputPlate plate = { geom_along (geom_mix (a, b, fraction), 1.2 * size, in), geom_unit (geom_sub (b, a)),
                        s.width / 2.0, 0.6 * size };
  double angle = atan2 (plate.along.y, plate.along.x);
  if (angle > G_PI / 2.0 - 1e-6)
    angle -= G_PI;
  else if (angle < -G_PI / 2.0 - 1e-6)
    angle += G_PI;
  output_draw_text (stage->cr, stage->ink, plate.middle.x, plate.middle.y, angle, size, false,
                    OUTPUT_TONE_INK_2, -1, word);
  g_array_append_val (stage->plates, plate);
}

void
output_draw_fold_line (const OutputStage *stage, bool with_word)
{
  const OutputInk *ink = stage->ink;
  if (stage->panel->halves != MODEL_HALVES_FOLD || model_panel_fold_edge (stage->panel) < 0)
    return;
  OutputStage half;
  if (!output_stage_init (&half, stage->cr, stage->view, ink, stage->review, stage->piece, true, NULL,
                          stage->plates)
      || !half.half)
    return;
  GeomPath cut;
  geom_path_init (&cut);
  output_stage_cut (&half, &cut);
  if (cut.count == 0)
  {
    geom_path_clear (&cut);
    return;
  }
  const GeomPoint from = cut.piece[cut.count - 1].p[3], to = cut.piece[0].p[0];
  geom_path_clear (&cut);
  const GeomPoint a = output_view_point (stage->view, from), b = output_view_point (stage->view, to);
  const double length = geom_distance (a, b);
  if (!(length > 0.0))
    return;
  cairo_t *cr = stage->cr;
  output_set_tone (cr, ink, OUTPUT_TONE_INK);
  OutputStroke stroke = ink->fold;
  if (!stage->half)
    stroke.width *= 0.7;
  output_set_stroke (cr, &stroke);
  cairo_move_to (cr, a.x, a.y);
  cairo_line_to (cr, b.x, b.y);
  cairo_stroke (cr);
  /* The leather lies left of the fold edge's direction. */
  const GeomPoint in = output_view_vector (stage->view, geom_left_of (geom_sub (to, from)));
  if (!stage->half)
  {
    if (with_word)
      draw_axis_word (stage, a, b, in, 0.25, _ ("middle"));
    return;
  }
  const double size = ink->mark_size;
  if (length > 6.0 * size)
  {
    for (int i = 0; i < 2; i++)
    {
      const GeomPoint on = geom_mix (a, b, i == 0 ? 0.22 : 0.78);
      const GeomPoint base = geom_along (on, 0.2 * size + 0.85 * size, in);
      output_draw_wedge (cr, base, geom_scale (in, -1.0), size, 0.85 * size);
      add_round_plate (stage, geom_along (on, 0.6 * size, in), 0.6 * size);
    }
    output_set_tone (cr, ink, OUTPUT_TONE_INK);
    cairo_fill (cr);
  }
  if (!with_word)
    return;
  /* On every sheet that the fold crosses, and on screen, where there is room for the word. */
  const char *word = ink->print ? _ ("on fold") : _ ("fold");
  const double width = output_text_size (cr, ink->text_body, OUTPUT_TEXT_PLAIN, 0.0, word).width;
  for (int k = 0; k <= 40; k++)
  {
    const double f = 0.5 + (k % 2 ? -1.0 : 1.0) * ((k + 1) / 2) * 0.022;
    const GeomPoint p = geom_along (geom_mix (a, b, f), ink->text_body, in);
    const OutputPlate plate = { p, geom_unit (geom_sub (b, a)), width / 2.0, ink->text_body };
    if ((!stage->has_window || in_window (stage, p, width / 2.0 + 1.0))
        && !output_plates_overlap (stage->plates, &plate))
    {
      draw_axis_word (stage, a, b, in, f, word);
      break;
    }
  }
}

/* ---- corrections ---- */

/* The edge as the mirror alone would put it, in the piece's direction. */
static void
mirrored_edge (const OutputStage *stage, const EnginePieceEdge *edge, GeomPath *out)
{
  const ModelPanel *panel = stage->panel;
  const int at = model_panel_find_edge (panel, edge->edge_id);
  if (at < 0)
    return;
  GeomPath drawn;
  geom_path_init (&drawn);
  g_autofree size_t *first = g_new0 (size_t, panel->edges->len + 1);
  model_panel_path (panel, &drawn, first);
  const size_t from = first[at], to = (guint)at + 1 < panel->edges->len ? first[at + 1] : drawn.count;
  for (size_t i = from; i < to; i++)
    geom_path_append (out, &drawn.piece[i]);
  geom_path_clear (&drawn);
  geom_path_map (out, model_panel_mirror (panel));
  geom_path_reverse (out);
}

static double
apart_mm (const GeomPath *own, const GeomPath *mirrored, GeomPoint *worst)
{
  double most = 0.0;
  *worst = geom_point (0.0, 0.0);
  for (size_t i = 0; i < own->count && i < mirrored->count; i++)
    for (int k = 0; k <= 4; k++)
    {
      const GeomPoint d
        = geom_sub (geom_cubic_at (&own->piece[i], k / 4.0), geom_cubic_at (&mirrored->piece[i], k / 4.0));
      if (geom_norm (d) > most)
      {
        most = geom_norm (d);
        *worst = d;
      }
    }
  return most;
}

/* "right 7.5 mm lower". OUT_SIGN: +1 where larger x is away from the middle. */
static char *
correction_words (const OutputStage *stage, ModelSide side, GeomPoint by, double out_sign)
{
  const bool upright = fabs (by.y) >= fabs (by.x);
  g_autofree char *length = engine_words_length (stage->doc, upright ? fabs (by.y) : fabs (by.x));
  const bool left = side == MODEL_SIDE_LEFT;
  if (upright && by.y < 0.0)
    return g_strdup_printf (left ? _ ("left %s lower") : _ ("right %s lower"), length);
  if (upright)
    return g_strdup_printf (left ? _ ("left %s higher") : _ ("right %s higher"), length);
  if (by.x * out_sign > 0.0)
    return g_strdup_printf (left ? _ ("left %s further out") : _ ("right %s further out"), length);
  return g_strdup_printf (left ? _ ("left %s further in") : _ ("right %s further in"), length);
}

static void
whiskers (const OutputStage *stage, const GeomPath *own, const GeomPath *mirrored)
{
  const double length = geom_path_length (own, 1e-3) * stage->view->scale;
  const int n = (int)CLAMP (length / stage->ink->whisker_step, 1.0, WHISKERS_MAX);
  const double own_mm = length / stage->view->scale, other_mm = geom_path_length (mirrored, 1e-3);
  for (int i = 0; i < n; i++)
  {
    const double f = (i + 0.5) / n;
    const GeomPoint p
      = output_view_point (stage->view, geom_path_point (own, geom_path_place_at (own, f * own_mm, 1e-3)));
    const GeomPoint q = output_view_point (
      stage->view, geom_path_point (mirrored, geom_path_place_at (mirrored, f * other_mm, 1e-3)));
    cairo_move_to (stage->cr, p.x, p.y);
    cairo_line_to (stage->cr, q.x, q.y);
  }
}

static void
draw_correction (const OutputStage *stage, guint index)
{
  const EnginePieceEdge *edge = output_piece_edge (stage->piece, index);
  if (edge->side == engine_panel_drawn_side (stage->panel) || edge->side == MODEL_SIDE_CENTRE)
    return;
  const OutputInk *ink = stage->ink;
  cairo_t *cr = stage->cr;
  const GeomPath own = output_edge_view (stage->piece, index);
  GeomPath mirrored;
  geom_path_init (&mirrored);
  mirrored_edge (stage, edge, &mirrored);
  GeomPoint worst;
  if (own.count > 0 && mirrored.count == own.count && apart_mm (&own, &mirrored, &worst) > CORRECTED_MM)
  {
    cairo_save (cr);
    output_set_tone (cr, ink, OUTPUT_TONE_VERDIGRIS);
    if (!ink->print)
    {
      output_trace_path (cr, stage->view, &own);
      cairo_set_line_width (cr, 1.65 * ink->cut.width);
      cairo_set_dash (cr, NULL, 0, 0.0);
      cairo_stroke (cr);
    }
    whiskers (stage, &own, &mirrored);
    cairo_set_line_width (cr, ink->print ? 0.25 : 1.2);
    cairo_set_dash (cr, NULL, 0, 0.0);
    cairo_stroke (cr);
    output_trace_path (cr, stage->view, &mirrored);
    output_set_stroke (cr, &ink->correction);
    cairo_set_line_cap (cr, CAIRO_LINE_CAP_ROUND);
    cairo_stroke (cr);
    cairo_restore (cr);

    const GeomBox box = stage->piece->box;
    GeomPoint outward;
    const GeomPoint at = output_edge_at (stage->piece, index, edge->length_mm / 2.0, &outward);
    const GeomAffine mirror = model_panel_mirror (stage->panel);
    const double away = at.x - geom_affine_apply (mirror, at).x;
    g_autofree char *words = correction_words (stage, edge->side, worst, away >= 0.0 ? 1.0 : -1.0);
    const double size = ink->text_body;
    const OutputTextSize s = output_text_size (cr, size, OUTPUT_TEXT_BOLD, 0.0, words);
    const GeomPoint in = geom_scale (output_view_vector (stage->view, outward), -1.0);
    /* Far enough inside that a level text clears the edge whichever way that runs, and its letter. */
    const double off = ink->letter_radius * 1.3 + size + fabs (in.x) * s.width / 2.0;
    const OutputPlate plate = { geom_along (output_view_point (stage->view, at), off, in),
                                geom_point (1.0, 0.0), s.width / 2.0 + 0.3 * size, 0.75 * size };
    if (s.width < (box.x1 - box.x0) * stage->view->scale && in_window (stage, plate.middle, plate.half_length)
        && !output_plates_overlap (stage->plates, &plate))
    {
      output_draw_text (cr, ink, plate.middle.x, plate.middle.y, 0.0, size, true, OUTPUT_TONE_INK,
                        OUTPUT_TONE_FACE, words);
      g_array_append_val (stage->plates, plate);
    }
  }
  geom_path_clear (&mirrored);
}

void
output_draw_corrections (const OutputStage *stage)
{
  for (guint i = 0; i < stage->edge_count; i++)
    draw_correction (stage, output_stage_edge (stage, i));
}
