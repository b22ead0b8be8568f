/* Things that stand on several sheets: the measured squares, the map, the legend, registration marks. */
#include "output/sheet-parts.h"

#include <glib/gi18n.h>

#define NAME_SHRINK_MIN 0.72

void
output_sheet_text (
  const OutputSheet *sheet, double x, double baseline, double size, bool bold, const char *text)
{
  output_set_tone (sheet->cr, sheet->ink, OUTPUT_TONE_INK);
  output_text_line (sheet->cr, x, baseline, size, bold ? OUTPUT_TEXT_BOLD : OUTPUT_TEXT_PLAIN, text);
}

void
output_sheet_text_fit (
  const OutputSheet *sheet, double x, double baseline, double size, bool bold, double width, const char *text)
{
  const int style = bold ? OUTPUT_TEXT_BOLD : OUTPUT_TEXT_PLAIN;
  const double full = output_text_size (sheet->cr, size, style, 0.0, text).width;
  if (full <= width)
  {
    output_sheet_text (sheet, x, baseline, size, bold, text);
    return;
  }
  const double smaller = size * MAX (0.99 * width / full, NAME_SHRINK_MIN);
  g_autofree char *valid = g_utf8_make_valid (text, -1);
  g_autofree char *shown = g_strdup (valid);
  for (glong n = g_utf8_strlen (valid, -1); n > 1; n--)
  {
    if (output_text_size (sheet->cr, smaller, style, 0.0, shown).width <= width)
      break;
    g_autofree char *head = g_utf8_substring (valid, 0, n - 1);
    g_free (shown);
    shown = g_strconcat (g_strchomp (head), "…", NULL);
  }
  output_sheet_text (sheet, x, baseline, smaller, bold, shown);
}

void
output_sheet_middle_fit (
  const OutputSheet *sheet, double x, double y, double size, bool bold, double width, const char *text)
{
  const double full
    = output_text_size (sheet->cr, size, bold ? OUTPUT_TEXT_BOLD : OUTPUT_TEXT_PLAIN, 0.0, text).width;
  output_draw_text (sheet->cr, sheet->ink, x, y, 0.0, size * MIN (1.0, width / MAX (full, 0.1)), bold,
                    OUTPUT_TONE_INK, -1, text);
}

/* ---- squares ---- */

/* How long the tick is at I steps: whole, half and smaller divisions of an inch or of ten millimetres. */
static double
tick_length (int i, bool inches)
{
  if (inches)
    return i % 16 == 0 ? 5.0 : i % 8 == 0 ? 3.4 : i % 4 == 0 ? 2.4 : i % 2 == 0 ? 1.6 : 1.0;
  return i % 10 == 0 ? 3.4 : i % 5 == 0 ? 2.3 : 1.2;
}

void
output_sheet_square (
  const OutputSheet *sheet, double x, double y, double side_mm, bool inches, bool ticks_far)
{
  cairo_t *cr = sheet->cr;
  output_set_tone (cr, sheet->ink, OUTPUT_TONE_INK);
  cairo_set_dash (cr, NULL, 0, 0.0);
  cairo_set_line_width (cr, OUTPUT_SHEET_THIN_MM);
  cairo_rectangle (cr, x, y, side_mm, side_mm);
  cairo_stroke (cr);
  const double step = inches ? 25.4 / 16.0 : 1.0;
  const int n = (int)lround (side_mm / step);
  cairo_set_line_width (cr, 0.12);
  for (int i = 1; i < n; i++)
  {
    const double t = tick_length (i, inches), at = i * step;
    const double level = ticks_far ? y + side_mm : y, upright = ticks_far ? x + side_mm : x;
    const double sign = ticks_far ? -1.0 : 1.0;
    cairo_move_to (cr, x + at, level);
    cairo_line_to (cr, x + at, level + sign * t);
    cairo_move_to (cr, upright, y + at);
    cairo_line_to (cr, upright + sign * t, y + at);
  }
  cairo_stroke (cr);
}

/* ---- map ---- */

static double
map_scale (const EngineSheetPlan *plan, double width, double height, double *plan_w, double *plan_h)
{
  *plan_w = plan->columns * (plan->field_width_mm - plan->overlap_mm) + plan->overlap_mm;
  *plan_h = plan->rows * (plan->field_height_mm - plan->overlap_mm) + plan->overlap_mm;
  return MIN (width / MAX (*plan_w, 1.0), height / MAX (*plan_h, 1.0));
}

GeomPoint
output_sheet_map_size (const EngineSheetPlan *plan, double width, double height)
{
  double w, h;
  const double scale = map_scale (plan, width, height, &w, &h);
  return geom_point (w * scale, h * scale);
}

static void
map_cell (const OutputSheet *sheet, GeomBox cell, const EngineTile *tile, bool here)
{
  cairo_t *cr = sheet->cr;
  const double empty[2] = { 0.7, 0.7 };
  cairo_rectangle (cr, cell.x0, cell.y0, cell.x1 - cell.x0, cell.y1 - cell.y0);
  output_set_tone (cr, sheet->ink, OUTPUT_TONE_INK);
  if (here)
  {
    cairo_fill (cr);
    return;
  }
  cairo_set_line_width (cr, 0.15);
  cairo_set_dash (cr, empty, tile == NULL ? 2 : 0, 0.0);
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);
}

static void
map_name (const OutputSheet *sheet, GeomBox cell, const EngineTile *tile)
{
  g_autofree char *name = engine_tile_name (tile);
  const double size = MIN (3.4, 0.32 * MIN (cell.x1 - cell.x0, cell.y1 - cell.y0));
  if (size >= 1.2)
    output_draw_text (sheet->cr, sheet->ink, cell.x0 + 1.5 * size, cell.y0 + 1.1 * size, 0.0, size, true,
                      OUTPUT_TONE_INK, OUTPUT_TONE_FACE, name);
}

void
output_sheet_map (const OutputSheet *sheet, GeomBox box, const EngineTile *here, bool with_names)
{
  const EngineSheetPlan *plan = sheet->plan;
  double plan_w, plan_h;
  const double scale = map_scale (plan, box.x1 - box.x0, box.y1 - box.y0, &plan_w, &plan_h);
  const double step_w = (plan->field_width_mm - plan->overlap_mm) * scale,
               step_h = (plan->field_height_mm - plan->overlap_mm) * scale;
  const double gap = MIN (0.35, 0.08 * MIN (step_w, step_h));
  cairo_t *cr = sheet->cr;
  for (int row = 0; row < plan->rows; row++)
    for (int column = 0; column < plan->columns; column++)
    {
      const EngineTile *tile = output_sheet_tile_at (plan, row, column);
      const double x = box.x0 + column * step_w, y = box.y0 + row * step_h;
      map_cell (sheet, (GeomBox) { x + gap, y + gap, x + step_w - gap, y + step_h - gap }, tile,
                here != NULL && tile == here);
    }
  if (!with_names)
    return;
  const OutputView view = { { scale, 0.0, 0.0, scale, box.x0, box.y0 }, scale };
  for (guint i = 0; i < plan->placed->len; i++)
  {
    const EnginePlacedPiece *placed = (const EnginePlacedPiece *)g_ptr_array_index (plan->placed, i);
    output_trace_path (cr, &view, &placed->cut);
  }
  output_set_tone (cr, sheet->ink, OUTPUT_TONE_INK);
  cairo_set_line_width (cr, 0.25);
  cairo_stroke (cr);
  for (guint i = 0; i < plan->tiles->len; i++)
  {
    const EngineTile *tile = &g_array_index (plan->tiles, EngineTile, i);
    const double x = box.x0 + tile->column * step_w, y = box.y0 + tile->row * step_h;
    map_name (sheet, (GeomBox) { x + gap, y + gap, x + step_w - gap, y + step_h - gap }, tile);
  }
}

char *
output_sheet_where (const EngineSheetPlan *plan, GeomBox on_plan)
{
  const EngineTile *first = NULL, *last = NULL;
  guint count = 0;
  for (guint i = 0; i < plan->tiles->len; i++)
  {
    const EngineTile *tile = &g_array_index (plan->tiles, EngineTile, i);
    const GeomBox own = { tile->x_mm, tile->y_mm, tile->x_mm + plan->field_width_mm - plan->overlap_mm,
                          tile->y_mm + plan->field_height_mm - plan->overlap_mm };
    if (!geom_box_overlaps (own, on_plan))
      continue;
    if (first == NULL)
      first = tile;
    last = tile;
    count++;
  }
  if (first == NULL)
    return g_strdup ("");
  g_autofree char *from = engine_tile_name (first), *to = engine_tile_name (last);
  if (count == 1)
    return g_steal_pointer (&from);
  /* Translators: names of sheets, "A1, A2" and "A1 to B3". */
  return count == 2 ? g_strdup_printf (_ ("%s, %s"), from, to) : g_strdup_printf (_ ("%s to %s"), from, to);
}

/* ---- legend ---- */

static void
legend_line (const OutputSheet *sheet, double x, double y, const OutputStroke *stroke)
{
  output_set_stroke (sheet->cr, stroke);
  cairo_move_to (sheet->cr, x, y);
  cairo_line_to (sheet->cr, x + 12.0, y);
  cairo_stroke (sheet->cr);
  cairo_set_dash (sheet->cr, NULL, 0, 0.0);
}

static void
legend_strip (const OutputSheet *sheet, double x, double y, bool comb)
{
  cairo_t *cr = sheet->cr;
  cairo_set_line_width (cr, sheet->ink->hatch.width);
  cairo_save (cr);
  cairo_rectangle (cr, x, y - 1.6, 12.0, 3.2);
  cairo_clip (cr);
  for (double at = -3.2; at < 12.0; at += comb ? 1.5 : 2.4)
  {
    cairo_move_to (cr, x + at + (comb ? 0.75 : 0.0), y + 1.6);
    cairo_line_to (cr, x + at + (comb ? 0.75 : 3.2), y - 1.6);
  }
  cairo_stroke (cr);
  cairo_restore (cr);
  cairo_rectangle (cr, x, y - 1.6, 12.0, 3.2);
  cairo_set_line_width (cr, 0.15);
  cairo_stroke (cr);
}

double
output_sheet_legend (const OutputSheet *sheet, double x, double y)
{
  cairo_t *cr = sheet->cr;
  const OutputInk *ink = sheet->ink;
  const OutputView view = { { 1.0, 0.0, 0.0, -1.0, 0.0, 0.0 }, 1.0 };
  const char *const words[]
    = { _ ("cut: its middle"), _ ("seam"),    _ ("grain"),           _ ("fold"),         _ ("match mark"),
        _ ("join letter"),     _ ("sewn on"), _ ("lap, goes under"), _ ("reach beneath") };
  output_sheet_text (sheet, x, y + 3.6, 4.2, true, _ ("Lines"));
  double row = y + 10.0;
  for (size_t i = 0; i < G_N_ELEMENTS (words); i++, row += 6.9)
  {
    output_set_tone (cr, ink, OUTPUT_TONE_INK);
    const GeomPoint middle = { x + 6.0, -row };
    switch (i)
    {
    case 0:
      legend_line (sheet, x, row, &ink->cut);
      break;
    case 1:
      legend_line (sheet, x, row, &ink->seam);
      break;
    case 2:
      output_draw_grain (cr, &view, ink, middle, 12.0, 0.0);
      break;
    case 3:
      legend_line (sheet, x - 0.0, row, &ink->fold);
      break;
    case 4:
      legend_line (sheet, x, row - 1.8, &ink->cut);
      output_draw_match_mark (cr, &view, ink, geom_point (middle.x, middle.y + 1.8), geom_point (0.0, 1.0),
                              1);
      break;
    case 5:
      legend_line (sheet, x, row - 2.0, &ink->cut);
      output_draw_letter (cr, &view, ink, geom_point (middle.x, middle.y + 2.0), geom_point (0.0, 1.0), "A",
                          OUTPUT_TONE_INK);
      break;
    case 6:
      legend_strip (sheet, x, row, false);
      break;
    case 7:
      legend_strip (sheet, x, row, true);
      break;
    default:
      cairo_save (cr);
      cairo_set_line_cap (cr, CAIRO_LINE_CAP_ROUND);
      legend_line (sheet, x, row, &ink->correction);
      cairo_restore (cr);
      break;
    }
    output_sheet_text (sheet, x + 15.0, row + 1.2, 3.4, false, words[i]);
  }
  return row - y;
}

/* ---- registration ---- */

void
output_sheet_diamond (const OutputSheet *sheet, double x, double y)
{
  cairo_t *cr = sheet->cr;
  const double h = OUTPUT_SHEET_DIAMOND_MM / 2.0;
  output_set_tone (cr, sheet->ink, OUTPUT_TONE_FACE);
  cairo_move_to (cr, x, y - h);
  cairo_line_to (cr, x + h, y);
  cairo_line_to (cr, x, y + h);
  cairo_line_to (cr, x - h, y);
  cairo_close_path (cr);
  cairo_fill_preserve (cr);
  output_set_tone (cr, sheet->ink, OUTPUT_TONE_INK);
  cairo_set_line_width (cr, OUTPUT_SHEET_THIN_MM);
  cairo_set_dash (cr, NULL, 0, 0.0);
  cairo_stroke (cr);
  /* Two of the four quarters: their common point is the one to lay on the other sheet's. */
  cairo_move_to (cr, x, y - h);
  cairo_line_to (cr, x + h, y);
  cairo_line_to (cr, x, y);
  cairo_close_path (cr);
  cairo_move_to (cr, x, y + h);
  cairo_line_to (cr, x - h, y);
  cairo_line_to (cr, x, y);
  cairo_close_path (cr);
  cairo_fill (cr);
}
