/* One tile: its piece of the plan, what joins it to its neighbours, and blocks of text in the corners that
 * are free.
 *
 *     ┌──────────────────┬───┐   The sheet on the right is trimmed at its frame and laid on the dotted zone;
 * its frame then lies on the │ window           │:::│   dashed line, its marks on the marks there.  So the
 * zone is always right and below, and what is │                  │:::│   written in it will be covered.
 *     ├──────────────────┼───┤
 *     │::::::::::::::::::│:::│
 *     └──────────────────┴───┘
 */
#include "output/sheet-parts.h"

#include "engine/words.h"

#include <glib/gi18n.h>
#include <string.h>

#define ID_WIDTH 25.0
#define ID_HEIGHT 21.0

typedef struct Tile
{
  const OutputSheet *sheet;
  const EngineTile *tile;
  const EngineTile *left, *right, *above, *below;
  GeomBox field, window;
  GeomAffine to_paper;
  OutputObstacles obstacles;
} Tile;

/* ---- the zones and lines between sheets ---- */

/* Dots in rows, as dashes of no length with round ends: a sixtieth of what circles take in the file. */
static void
dot_zone (cairo_t *cr, GeomBox zone)
{
  const double pitch = 2.1, dots[2] = { 0.01, pitch };
  cairo_save (cr);
  cairo_rectangle (cr, zone.x0, zone.y0, zone.x1 - zone.x0, zone.y1 - zone.y0);
  cairo_clip (cr);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_ROUND);
  cairo_set_line_width (cr, 0.38);
  cairo_set_dash (cr, dots, 2, 0.0);
  int row = 0;
  for (double y = zone.y0 + 0.55; y < zone.y1; y += pitch / 2.0, row++)
  {
    cairo_move_to (cr, zone.x0 + 0.55 + (row % 2 ? pitch / 2.0 : 0.0), y);
    cairo_line_to (cr, zone.x1, y);
  }
  cairo_stroke (cr);
  cairo_restore (cr);
}

static void
draw_zones (const Tile *t)
{
  cairo_t *cr = t->sheet->cr;
  const GeomBox f = t->field, w = t->window;
  output_set_tone (cr, t->sheet->ink, OUTPUT_TONE_INK);
  if (t->right != NULL)
    dot_zone (cr, (GeomBox) { w.x1, f.y0, f.x1, f.y1 });
  if (t->below != NULL)
    dot_zone (cr, (GeomBox) { f.x0, w.y1, w.x1, f.y1 });
}

static void
draw_frame (const Tile *t)
{
  cairo_t *cr = t->sheet->cr;
  const GeomBox f = t->field, w = t->window;
  const double dash[2] = { 1.0, 0.7 };
  output_set_tone (cr, t->sheet->ink, OUTPUT_TONE_INK);
  cairo_set_line_width (cr, 0.18);
  cairo_set_dash (cr, NULL, 0, 0.0);
  cairo_rectangle (cr, f.x0, f.y0, f.x1 - f.x0, f.y1 - f.y0);
  cairo_stroke (cr);
  cairo_set_dash (cr, dash, 2, 0.0);
  if (t->right != NULL)
  {
    cairo_move_to (cr, w.x1, f.y0);
    cairo_line_to (cr, w.x1, f.y1);
  }
  if (t->below != NULL)
  {
    cairo_move_to (cr, f.x0, w.y1);
    cairo_line_to (cr, f.x1, w.y1);
  }
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);
}

/* Registration marks sit on the line that two sheets share, at shares of its length that are the same seen
 * from both. */
static void
each_diamond (const Tile *t, void (*draw) (const Tile *, GeomPoint))
{
  const EngineSheetPlan *plan = t->sheet->plan;
  const double step_w = plan->field_width_mm - plan->overlap_mm,
               step_h = plan->field_height_mm - plan->overlap_mm;
  const double share[3] = { 0.13, 0.5, 0.87 };
  for (int i = 0; i < 3; i++)
  {
    const double y = t->field.y0 + share[i] * step_h, x = t->field.x0 + share[i] * step_w;
    if (t->left != NULL)
      draw (t, geom_point (t->field.x0, y));
    if (t->right != NULL)
      draw (t, geom_point (t->window.x1, y));
    if (t->above != NULL)
      draw (t, geom_point (x, t->field.y0));
    if (t->below != NULL)
      draw (t, geom_point (x, t->window.y1));
  }
}

static void
draw_diamond (const Tile *t, GeomPoint at)
{
  output_sheet_diamond (t->sheet, at.x, at.y);
}

static void
note_diamond (const Tile *t, GeomPoint at)
{
  const double h = OUTPUT_SHEET_DIAMOND_MM / 2.0;
  const OutputPlate plate = output_plate_of_box ((GeomBox) { at.x - h, at.y - h, at.x + h, at.y + h });
  g_array_append_val (t->obstacles.plates, plate);
}

/* A text along a line of the frame, where nothing is drawn; ALONG 0..1 is tried from the middle outward. */
static bool
try_along (Tile *t, GeomPoint from, GeomPoint to, double size, bool on_dots, const char *text)
{
  const OutputSheet *sheet = t->sheet;
  const double width = output_text_size (sheet->cr, size, OUTPUT_TEXT_PLAIN, 0.0, text).width;
  const double length = geom_distance (from, to);
  const GeomPoint along = geom_unit (geom_sub (to, from));
  for (int k = 0; k < 60; k++)
  {
    const double f = 0.32 + (k % 2 ? 1.0 : -1.0) * ((k + 1) / 2) * 0.02;
    if (f * length < width / 2.0 + 4.0 || (1.0 - f) * length < width / 2.0 + 4.0)
      continue;
    const OutputPlate plate = { geom_mix (from, to, f), along, width / 2.0 + 0.8, 0.75 * size };
    if (!output_obstacles_is_free (&t->obstacles, &plate, 0.8))
      continue;
    output_draw_text (sheet->cr, sheet->ink, plate.middle.x, plate.middle.y, atan2 (along.y, along.x), size,
                      false, OUTPUT_TONE_INK, on_dots ? OUTPUT_TONE_FACE : -1, text);
    g_array_append_val (t->obstacles.plates, plate);
    return true;
  }
  return false;
}

static void
draw_along (Tile *t, GeomPoint from, GeomPoint to, double size, bool on_dots, const char *text)
{
  for (int turn = 0; turn < 3; turn++, size *= 0.8)
    if (try_along (t, from, to, size, on_dots, text))
      return;
}

static void
draw_neighbour_words (Tile *t)
{
  const GeomBox f = t->field, w = t->window;
  const double size = 3.2, inside = 3.0;
  const EngineTile *const sides[4] = { t->left, t->above, t->right, t->below };
  for (int i = 0; i < 4; i++)
  {
    if (sides[i] == NULL)
      continue;
    g_autofree char *name = engine_tile_name (sides[i]);
    g_autofree char *text = i < 2 ? g_strdup_printf (_ ("trim here, lay on sheet %s"), name)
                                  : g_strdup_printf (_ ("sheet %s lies here"), name);
    const double right = (w.x1 + f.x1) / 2.0, below = (w.y1 + f.y1) / 2.0;
    const double zone = MIN (size, 0.45 * t->sheet->plan->overlap_mm);
    if (i == 0)
      draw_along (t, geom_point (f.x0 + inside, w.y1), geom_point (f.x0 + inside, f.y0), size, false, text);
    else if (i == 1)
      draw_along (t, geom_point (f.x0, f.y0 + inside), geom_point (w.x1, f.y0 + inside), size, false, text);
    else if (i == 2)
      draw_along (t, geom_point (right, f.y0), geom_point (right, w.y1), zone, true, text);
    else
      draw_along (t, geom_point (f.x0, below), geom_point (w.x1, below), zone, true, text);
  }
  const double overlap = t->sheet->plan->overlap_mm;
  if (t->right != NULL && overlap > 5.0)
  {
    g_autofree char *length = engine_words_length (t->sheet->doc, overlap);
    g_autofree char *text = g_strdup_printf (_ ("glue zone %s"), length);
    const double x = (w.x1 + f.x1) / 2.0;
    draw_along (t, geom_point (x, f.y0 + 0.5 * (w.y1 - f.y0)), geom_point (x, w.y1), size, true, text);
  }
}

/* ---- blocks ---- */

static void
draw_id (const Tile *t, GeomPoint at, double width, double height)
{
  const OutputSheet *sheet = t->sheet;
  cairo_t *cr = sheet->cr;
  g_autofree char *name = engine_tile_name (t->tile);
  output_set_tone (cr, sheet->ink, OUTPUT_TONE_INK);
  cairo_rectangle (cr, at.x, at.y, width, height);
  cairo_fill (cr);
  double size = OUTPUT_SHEET_NAME_MM * height / ID_HEIGHT;
  const OutputTextSize s = output_text_size (cr, size, OUTPUT_TEXT_BOLD, 0.0, name);
  size *= MIN (1.0, 0.86 * width / MAX (s.width, 0.1));
  output_draw_text (cr, sheet->ink, at.x + width / 2.0, at.y + height / 2.0, 0.0, size, true,
                    OUTPUT_TONE_FACE, -1, name);
}

static void
draw_id_words (const Tile *t, double x, double y, double width)
{
  const OutputSheet *sheet = t->sheet;
  const guint total = sheet->plan->tiles->len;
  g_autofree char *paper = output_sheet_paper_name (sheet->plan);
  g_autofree char *name = engine_tile_name (t->tile);
  const size_t letters = strcspn (name, "0123456789");
  g_autofree char *row = g_strndup (name, letters);
  /* Translators: row and column of a sheet, its number, how many there are. */
  g_autofree char *place = g_strdup_printf (_ ("row %1$s, column %2$d; sheet %3$d of %4$u"), row,
                                            t->tile->column + 1, t->tile->number, total);
  g_autofree char *scale = g_strdup_printf (_ ("%s at true size, 100 %%, not “fit to page”"), paper);
  g_autofree char *revision = output_sheet_revision (sheet->doc);
  const char *title = sheet->doc->head->title;
  output_sheet_text_fit (sheet, x, y + 4.6, 5.0, true, width, *title != '\0' ? title : _ ("Panels"));
  output_sheet_text_fit (sheet, x, y + 10.2, 3.4, false, width, place);
  output_sheet_text_fit (sheet, x, y + 15.3, 3.4, false, width, scale);
  output_sheet_text_fit (sheet, x, y + 20.4, 3.4, false, width, revision);
}

static bool
find (Tile *t, double w, double h, bool bare, GeomPoint *at)
{
  GeomBox area = t->window;
  area.x0 += t->left != NULL ? 7.0 : 4.0;
  area.y0 += t->above != NULL ? 7.0 : 4.0;
  area.x1 -= 4.0;
  area.y1 -= 4.0;
  if (!output_obstacles_find (&t->obstacles, area, w, h, 3.0, bare, at))
    return false;
  output_obstacles_add_box (&t->obstacles, (GeomBox) { at->x, at->y, at->x + w, at->y + h });
  return true;
}

static void
place_id (Tile *t)
{
  GeomPoint at;
  const double full = 100.0, narrow = 66.0;
  if (find (t, full, ID_HEIGHT, false, &at))
  {
    draw_id (t, at, ID_WIDTH, ID_HEIGHT);
    draw_id_words (t, at.x + ID_WIDTH + 4.0, at.y, full - ID_WIDTH - 4.0);
  }
  else if (find (t, narrow, 2.0 * ID_HEIGHT + 3.0, false, &at))
  {
    draw_id (t, at, ID_WIDTH, ID_HEIGHT);
    draw_id_words (t, at.x, at.y + ID_HEIGHT + 2.0, narrow);
  }
  else if (find (t, ID_WIDTH, ID_HEIGHT, false, &at))
    draw_id (t, at, ID_WIDTH, ID_HEIGHT);
  else if (find (t, ID_WIDTH * 0.5, ID_HEIGHT * 0.5, false, &at))
    draw_id (t, at, ID_WIDTH * 0.5, ID_HEIGHT * 0.5);
  else
  {
    /* Nothing is free: into the margin, as far from the paper's edge as it goes. */
    g_autofree char *name = engine_tile_name (t->tile);
    output_sheet_text (t->sheet, t->field.x0 + 8.0, t->field.y1 + 4.4, 4.2, true, name);
  }
}

static void
place_square (Tile *t)
{
  const OutputSheet *sheet = t->sheet;
  GeomPoint at;
  const double side = OUTPUT_SHEET_SQUARE_MM;
  if (!find (t, side, side, false, &at))
    return;
  output_sheet_square (sheet, at.x, at.y, side, false, false);
  const double x = at.x + side / 2.0 + 1.2;
  g_autofree char *length = model_unit_text (side, MODEL_UNIT_MM, 0);
  output_sheet_middle_fit (sheet, x, at.y + 17.5, 7.6, true, 38.0, length);
  output_sheet_middle_fit (sheet, x, at.y + 26.0, 3.4, false, 38.0, _ ("each way, on paper."));
  output_sheet_middle_fit (sheet, x, at.y + 31.4, 3.4, false, 38.0, _ ("Measure before you cut."));
  output_sheet_middle_fit (sheet, x, at.y + 39.2, 2.9, false, 38.0, _ ("48.5 means 97 %: print again."));
}

static void
place_map (Tile *t)
{
  const OutputSheet *sheet = t->sheet;
  const EngineSheetPlan *plan = sheet->plan;
  if (plan->tiles->len < 2)
    return;
  const GeomPoint size = output_sheet_map_size (plan, 32.0, 24.0);
  const guint places = (guint)(plan->rows * plan->columns), empty = places - MIN (places, plan->tiles->len);
  g_autofree char *first = g_strdup (_ ("all sheets"));
  g_autofree char *second
    = empty > 0 ? g_strdup_printf (ngettext ("%u place stays empty", "%u places stay empty", empty), empty)
                : g_strdup ("");
  const double words = MAX (output_text_size (sheet->cr, 2.9, OUTPUT_TEXT_PLAIN, 0.0, first).width,
                            output_text_size (sheet->cr, 2.9, OUTPUT_TEXT_PLAIN, 0.0, second).width);
  GeomPoint at;
  if (find (t, size.x + 3.0 + words, MAX (size.y, 9.0), false, &at))
  {
    output_sheet_text (sheet, at.x + size.x + 3.0, at.y + 3.6, 2.9, false, first);
    output_sheet_text (sheet, at.x + size.x + 3.0, at.y + 8.0, 2.9, false, second);
  }
  else if (!find (t, size.x, size.y, false, &at))
    return;
  output_sheet_map (sheet, (GeomBox) { at.x, at.y, at.x + size.x, at.y + size.y }, t->tile, false);
}

static void
place_caution (Tile *t)
{
  const OutputSheet *sheet = t->sheet;
  const char *bold = _ ("Costume armour, not protective equipment."),
             *plain = _ ("Cut away from the hand. Glue and dye with the window open.");
  const double w = MAX (output_text_size (sheet->cr, 3.4, OUTPUT_TEXT_BOLD, 0.0, bold).width,
                        output_text_size (sheet->cr, 3.4, OUTPUT_TEXT_PLAIN, 0.0, plain).width);
  GeomPoint at;
  if (!find (t, w, 9.2, false, &at))
    return;
  output_sheet_text (sheet, at.x, at.y + 3.0, 3.4, true, bold);
  output_sheet_text (sheet, at.x, at.y + 8.3, 3.4, false, plain);
}

static void
place_legend (Tile *t)
{
  GeomPoint at;
  if (find (t, OUTPUT_SHEET_LEGEND_WIDTH, OUTPUT_SHEET_LEGEND_HEIGHT, true, &at))
    output_sheet_legend (t->sheet, at.x, at.y);
}

/* ---- the drawing ---- */

static void
draw_grid (const Tile *t)
{
  cairo_t *cr = t->sheet->cr;
  const double dots[2] = { 0.1, 0.9 };
  const double first_x = ceil (t->tile->x_mm / 10.0) * 10.0, first_y = ceil (t->tile->y_mm / 10.0) * 10.0;
  for (double x = first_x; x <= t->tile->x_mm + t->sheet->plan->field_width_mm; x += 10.0)
  {
    cairo_move_to (cr, x + t->to_paper.x0, t->field.y0);
    cairo_line_to (cr, x + t->to_paper.x0, t->field.y1);
  }
  for (double y = first_y; y <= t->tile->y_mm + t->sheet->plan->field_height_mm; y += 10.0)
  {
    cairo_move_to (cr, t->field.x0, y + t->to_paper.y0);
    cairo_line_to (cr, t->field.x1, y + t->to_paper.y0);
  }
  output_set_tone (cr, t->sheet->ink, OUTPUT_TONE_INK);
  cairo_set_line_width (cr, 0.1);
  cairo_set_dash (cr, dots, 2, 0.0);
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);
}

static void
draw_pieces (Tile *t)
{
  const OutputSheet *sheet = t->sheet;
  const ModelHead *head = sheet->doc->head;
  guint flags = OUTPUT_DRAW_ALLOWANCES | OUTPUT_DRAW_CUT | OUTPUT_DRAW_MARKS | OUTPUT_DRAW_LETTERS
                | OUTPUT_DRAW_FOLD | OUTPUT_DRAW_CORRECTIONS | OUTPUT_DRAW_DARTS | OUTPUT_DRAW_TAPES;
  if (head->seam_lines)
    flags |= OUTPUT_DRAW_SEAM;
  if (head->edge_names)
    flags |= OUTPUT_DRAW_EDGE_NAMES;
  const GeomBox reach = geom_box_grown (t->field, 12.0), names = geom_box_grown (t->window, -1.0);
  for (guint i = 0; i < sheet->plan->placed->len; i++)
  {
    const EnginePlacedPiece *placed = (const EnginePlacedPiece *)g_ptr_array_index (sheet->plan->placed, i);
    GeomBox box = geom_path_box (&placed->cut);
    box = (GeomBox) { box.x0 + t->to_paper.x0, box.y0 + t->to_paper.y0, box.x1 + t->to_paper.x0,
                      box.y1 + t->to_paper.y0 };
    if (!geom_box_overlaps (box, reach))
      continue;
    output_obstacles_add_piece (&t->obstacles, placed,
                                model_document_panel (sheet->doc, placed->piece->panel_id), reach);
    const OutputView view = { geom_affine_after (t->to_paper, placed->to_plan), 1.0 };
    output_draw_piece_within (sheet->cr, &view, sheet->ink, sheet->review, placed->piece, placed->half, flags,
                              &names, t->obstacles.plates);
  }
}

void
output_sheet_draw_tile (const OutputSheet *sheet, const EngineTile *tile)
{
  const EngineSheetPlan *plan = sheet->plan;
  Tile t = { .sheet = sheet,
             .tile = tile,
             .left = tile->column > 0 ? output_sheet_tile_at (plan, tile->row, tile->column - 1) : NULL,
             .right = output_sheet_tile_at (plan, tile->row, tile->column + 1),
             .above = tile->row > 0 ? output_sheet_tile_at (plan, tile->row - 1, tile->column) : NULL,
             .below = output_sheet_tile_at (plan, tile->row + 1, tile->column),
             .window = output_sheet_window (plan, tile),
             .to_paper = output_sheet_to_paper (tile) };
  t.field = (GeomBox) { ENGINE_SHEET_MARGIN_MM, ENGINE_SHEET_MARGIN_MM,
                        ENGINE_SHEET_MARGIN_MM + plan->field_width_mm,
                        ENGINE_SHEET_MARGIN_MM + plan->field_height_mm };
  output_obstacles_init (&t.obstacles, t.to_paper);
  cairo_t *cr = sheet->cr;
  cairo_save (cr);
  /* A line that runs along the frame keeps its whole width. */
  const GeomBox clip = geom_box_grown (t.field, sheet->ink->cut.width);
  cairo_rectangle (cr, clip.x0, clip.y0, clip.x1 - clip.x0, clip.y1 - clip.y0);
  cairo_clip (cr);
  if (sheet->doc->head->sheet_grid)
    draw_grid (&t);
  draw_zones (&t);
  g_autoptr (GPtrArray) outside = g_ptr_array_new ();
  output_sheet_labels (sheet, tile, t.obstacles.plates, outside);
  draw_pieces (&t);
  cairo_restore (cr);
  each_diamond (&t, note_diamond);
  for (guint i = 0; i < outside->len; i++)
    output_sheet_label_outside (sheet, (const EnginePlacedPiece *)g_ptr_array_index (outside, i),
                                &t.obstacles, geom_box_grown (t.window, -4.0));
  draw_neighbour_words (&t);
  place_id (&t);
  place_square (&t);
  place_map (&t);
  place_caution (&t);
  if (plan->tiles->len < 2 || tile->number == 1)
    place_legend (&t);
  draw_frame (&t);
  each_diamond (&t, draw_diamond);
  output_obstacles_clear (&t.obstacles);
}
