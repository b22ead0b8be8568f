/* Which page is what, and the hand that draws it. */
#include "output/sheet-parts.h"

#include <glib/gi18n.h>

const EngineTile *
output_sheet_tile_at (const EngineSheetPlan *plan, int row, int column)
{
  /* They come row by row: halve. */
  guint low = 0, high = plan->tiles->len;
  while (low < high)
  {
    const guint middle = low + (high - low) / 2;
    const EngineTile *tile = &g_array_index (plan->tiles, EngineTile, middle);
    if (tile->row == row && tile->column == column)
      return tile;
    if (tile->row < row || (tile->row == row && tile->column < column))
      low = middle + 1;
    else
      high = middle;
  }
  return NULL;
}

char *
output_sheet_paper_name (const EngineSheetPlan *plan)
{
  static const char *const known[][2]
    = { { "a4", "A4" }, { "a3", "A3" }, { "letter", "Letter" }, { "tabloid", "Tabloid" } };
  for (size_t i = 0; i < G_N_ELEMENTS (known); i++)
  {
    EnginePaper paper;
    if (engine_paper_parse (known[i][0], &paper) && fabs (paper.width_mm - plan->paper.width_mm) < 1e-6
        && fabs (paper.height_mm - plan->paper.height_mm) < 1e-6)
      return g_strdup (known[i][1]);
  }
  char width[G_ASCII_DTOSTR_BUF_SIZE], height[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd (width, sizeof width, "%.6g", plan->paper.width_mm);
  g_ascii_formatd (height, sizeof height, "%.6g", plan->paper.height_mm);
  return g_strdup_printf ("%s × %s mm", width, height);
}

char *
output_sheet_revision (const ModelDocument *doc)
{
  const char *name = doc->head->revision, *date = doc->head->revision_date;
  if (*name != '\0' && *date != '\0')
    return g_strdup_printf ("%s, %s", name, date);
  return g_strdup (*name != '\0' ? name : date);
}

GeomBox
output_sheet_window (const EngineSheetPlan *plan, const EngineTile *tile)
{
  GeomBox box
    = { ENGINE_SHEET_MARGIN_MM, ENGINE_SHEET_MARGIN_MM, ENGINE_SHEET_MARGIN_MM + plan->field_width_mm,
        ENGINE_SHEET_MARGIN_MM + plan->field_height_mm };
  if (output_sheet_tile_at (plan, tile->row, tile->column + 1) != NULL)
    box.x1 -= plan->overlap_mm;
  if (output_sheet_tile_at (plan, tile->row + 1, tile->column) != NULL)
    box.y1 -= plan->overlap_mm;
  return box;
}

GeomAffine
output_sheet_to_paper (const EngineTile *tile)
{
  return geom_affine_move (ENGINE_SHEET_MARGIN_MM - tile->x_mm, ENGINE_SHEET_MARGIN_MM - tile->y_mm);
}

guint
output_sheet_page_count (const EngineSheetPlan *plan)
{
  return output_sheet_cover_count (plan) + plan->tiles->len;
}

char *
output_sheet_page_name (const EngineSheetPlan *plan, guint page)
{
  const guint covers = output_sheet_cover_count (plan);
  if (page >= covers && page - covers < plan->tiles->len)
    return engine_tile_name (&g_array_index (plan->tiles, EngineTile, page - covers));
  if (page == 0)
    return g_strdup (_ ("Cover"));
  return g_strdup_printf (_ ("Cover %u"), page + 1);
}

void
output_sheet_draw (cairo_t *cr, EngineReview *review, const EngineSheetPlan *plan, guint page)
{
  OutputInk ink;
  output_ink_print (&ink);
  const OutputSheet sheet = { cr, &ink, review, engine_review_document (review), plan };
  const guint covers = output_sheet_cover_count (plan);
  cairo_save (cr);
  cairo_new_path (cr);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_MITER);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_BUTT);
  output_set_tone (cr, &ink, OUTPUT_TONE_INK);
  if (page < covers)
    output_sheet_draw_cover (&sheet, page);
  else if (page - covers < plan->tiles->len)
    output_sheet_draw_tile (&sheet, &g_array_index (plan->tiles, EngineTile, page - covers));
  cairo_restore (cr);
}
