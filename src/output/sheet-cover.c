/* The cover: two squares to measure, what is in the set, how it goes together, what to beware of.
 *
 * Both squares are on the first page of every paper: one above the other, side by side, or, where the paper
 * holds only one, in one another with a common corner.  What is left of the page, and as many more pages as
 * it takes, is filled column by column.
 *
 * How many pages that makes follows from the plan alone, so every block has a height that does not depend on
 * its words.
 */
#include "output/sheet-parts.h"

#include "engine/places.h"
#include "engine/strap.h"
#include "engine/words.h"

#include <glib/gi18n.h>

#define MM_SQUARE 100.0
#define INCH_SQUARE 101.6
#define GAP 7.0
#define HEADER 25.0
#define ROW 10.4 /* one panel in the list */
#define LIST_HEAD 8.5
#define COLUMN_MIN 62.0
#define COLUMN_WISH 84.0
#define AREAS_MAX 16

typedef enum Arrangement
{
  SQUARES_STACKED,
  SQUARES_ABREAST,
  SQUARES_NESTED
} Arrangement;

typedef struct Cover
{
  Arrangement arrangement;
  bool header;             /* room above the squares; else the title stands in the square */
  GeomPoint mm, inch;      /* top left corners */
  GeomBox area[AREAS_MAX]; /* columns on the first page, in the order they are filled */
  int areas;
} Cover;

static void
add_columns (Cover *cover, GeomBox box)
{
  const double width = box.x1 - box.x0;
  if (width < COLUMN_MIN || box.y1 - box.y0 < 30.0)
    return;
  const int n = MAX (1, (int)((width + GAP) / (COLUMN_WISH + GAP)));
  const double each = (width - (n - 1) * GAP) / n;
  for (int i = 0; i < n && cover->areas < AREAS_MAX; i++)
    cover->area[cover->areas++]
      = (GeomBox) { box.x0 + i * (each + GAP), box.y0, box.x0 + i * (each + GAP) + each, box.y1 };
}

static GeomBox
field_of (const EngineSheetPlan *plan)
{
  const double m = ENGINE_SHEET_MARGIN_MM;
  return (GeomBox) { m, m, m + plan->field_width_mm, m + plan->field_height_mm };
}

static void
arrange (const EngineSheetPlan *plan, Cover *cover)
{
  const GeomBox f = field_of (plan);
  const double w = f.x1 - f.x0, h = f.y1 - f.y0;
  *cover = (Cover) { .header = h >= INCH_SQUARE + HEADER };
  const double top = f.y0 + (cover->header ? HEADER : 0.0);
  cover->mm = geom_point (f.x0, top);
  double right = f.x0 + INCH_SQUARE + GAP, bottom;
  if (h >= HEADER + MM_SQUARE + GAP + INCH_SQUARE && w >= INCH_SQUARE + GAP + COLUMN_MIN)
  {
    cover->arrangement = SQUARES_STACKED;
    cover->inch = geom_point (f.x0, top + MM_SQUARE + GAP);
    bottom = cover->inch.y + INCH_SQUARE + GAP;
  }
  else if (w >= MM_SQUARE + GAP + INCH_SQUARE && cover->header)
  {
    cover->arrangement = SQUARES_ABREAST;
    cover->inch = geom_point (f.x0 + MM_SQUARE + GAP, top);
    right = cover->inch.x + INCH_SQUARE + GAP;
    bottom = top + INCH_SQUARE + GAP;
  }
  else
  {
    cover->arrangement = SQUARES_NESTED;
    cover->inch = cover->mm;
    bottom = top + INCH_SQUARE + GAP;
  }
  const bool beside = f.x1 - right >= COLUMN_MIN;
  add_columns (cover, (GeomBox) { right, top, f.x1, f.y1 });
  add_columns (cover, (GeomBox) { f.x0, bottom, beside ? right - GAP : f.x1, f.y1 });
}

/* ---- blocks ---- */

typedef enum BlockKind
{
  BLOCK_MAP,
  BLOCK_TOGETHER,
  BLOCK_CAUTIONS,
  BLOCK_LIST_HEAD,
  BLOCK_PANEL,
  BLOCK_STRAP_HEAD,
  BLOCK_STRAP,
  BLOCK_LEGEND
} BlockKind;

typedef struct Block
{
  BlockKind kind;
  guint part_id; /* the panel, or the join whose straps they are */
} Block;

static double
block_height (const EngineSheetPlan *plan, const Block *block, double width)
{
  switch (block->kind)
  {
  case BLOCK_MAP:
    return 9.0 + output_sheet_map_size (plan, width, 72.0).y + GAP;
  case BLOCK_TOGETHER:
    return 9.0 + 2400.0 / width + GAP;
  case BLOCK_CAUTIONS:
    return 9.0 + 3000.0 / width + GAP;
  case BLOCK_LIST_HEAD:
  case BLOCK_STRAP_HEAD:
    return LIST_HEAD;
  case BLOCK_PANEL:
  case BLOCK_STRAP:
    return ROW;
  case BLOCK_LEGEND:
    return OUTPUT_SHEET_LEGEND_HEIGHT + 8.0 + GAP;
  }
  return 0.0;
}

static GArray *
list_blocks (const EngineSheetPlan *plan, const Cover *cover)
{
  GArray *blocks = g_array_new (FALSE, TRUE, sizeof (Block));
  const Block map = { BLOCK_MAP, 0 }, cautions = { BLOCK_CAUTIONS, 0 }, together = { BLOCK_TOGETHER, 0 },
              head = { BLOCK_LIST_HEAD, 0 }, legend = { BLOCK_LEGEND, 0 };
  /* Where the first page has little room, what keeps the hands whole comes first. */
  const bool roomy = cover->areas > 0 && cover->area[0].y1 - cover->area[0].y0 > 150.0;
  if (roomy)
    g_array_append_val (blocks, map);
  else
    g_array_append_val (blocks, cautions);
  if (plan->tiles->len > 1)
    g_array_append_val (blocks, together);
  if (roomy)
    g_array_append_val (blocks, cautions);
  else
    g_array_append_val (blocks, map);
  if (cover->arrangement == SQUARES_NESTED)
    g_array_append_val (blocks, legend);
  g_array_append_val (blocks, head);
  for (guint i = 0; i < plan->placed->len; i++)
  {
    const EnginePlacedPiece *placed = (const EnginePlacedPiece *)g_ptr_array_index (plan->placed, i);
    bool seen = false;
    for (guint k = 0; k < i && !seen; k++)
      seen = ((const EnginePlacedPiece *)g_ptr_array_index (plan->placed, k))->piece->panel_id
             == placed->piece->panel_id;
    const Block panel = { BLOCK_PANEL, placed->piece->panel_id };
    if (!seen)
      g_array_append_val (blocks, panel);
  }
  const Block straps = { BLOCK_STRAP_HEAD, 0 };
  if (plan->strapped->len > 0)
    g_array_append_val (blocks, straps);
  for (guint i = 0; i < plan->strapped->len; i++)
  {
    const Block strap = { BLOCK_STRAP, g_array_index (plan->strapped, guint, i) };
    g_array_append_val (blocks, strap);
  }
  return blocks;
}

typedef void (*BlockAt) (const Block *block, guint page, GeomBox box, void *user);

/* The columns of PAGE, filled in turn.  Returns how many pages it took; END gets the page and what is left of
 * its last column. */
static guint
flow (const EngineSheetPlan *plan, const Cover *cover, BlockAt emit, void *user, GeomBox *rest)
{
  g_autoptr (GArray) blocks = list_blocks (plan, cover);
  Cover more = { .areas = 0 };
  GeomBox f = field_of (plan);
  add_columns (&more, (GeomBox) { f.x0, f.y0 + 12.0, f.x1, f.y1 });
  if (more.areas == 0)
    more.area[more.areas++] = (GeomBox) { f.x0, f.y0 + 12.0, f.x1, f.y1 };
  guint page = 0;
  int area = 0;
  double y = cover->areas > 0 ? cover->area[0].y0 : 0.0;
  GeomBox box = cover->areas > 0 ? cover->area[0] : geom_box_empty ();
  for (guint i = 0; i < blocks->len; i++)
  {
    const Block *block = &g_array_index (blocks, Block, i);
    /* At most one fresh page a block: what is higher than a column starts at its top. */
    for (int turn = 0; turn < 2 * AREAS_MAX; turn++)
    {
      const bool none = page == 0 && cover->areas == 0;
      double want = none ? INFINITY : block_height (plan, block, box.x1 - box.x0);
      if (block->kind == BLOCK_LIST_HEAD || block->kind == BLOCK_STRAP_HEAD)
        want += ROW;
      if (y + want <= box.y1 + 1e-9 || (page > 0 && y <= box.y0))
        break;
      const Cover *now = page == 0 ? cover : &more;
      if (area + 1 < now->areas)
        area++;
      else
      {
        page++;
        area = 0;
        now = &more;
      }
      box = now->area[area];
      y = box.y0;
    }
    const double height = block_height (plan, block, box.x1 - box.x0);
    if (emit != NULL)
      emit (block, page, (GeomBox) { box.x0, y, box.x1, MIN (y + height, box.y1) }, user);
    y += height;
  }
  if (rest != NULL)
    *rest = (GeomBox) { box.x0, y, box.x1, box.y1 };
  return page + 1;
}

guint
output_sheet_cover_count (const EngineSheetPlan *plan)
{
  Cover cover;
  arrange (plan, &cover);
  return flow (plan, &cover, NULL, NULL, NULL);
}

/* ---- drawing ---- */

static void
heading (const OutputSheet *sheet, double x, double y, const char *text)
{
  output_sheet_text (sheet, x, y + 4.0, 4.6, true, text);
}

static void
draw_map (const OutputSheet *sheet, GeomBox box)
{
  const EngineSheetPlan *plan = sheet->plan;
  const guint n = plan->tiles->len;
  g_autofree char *paper = output_sheet_paper_name (plan);
  g_autofree char *text
    = g_strdup_printf (ngettext ("%1$u sheet of %2$s", "%1$u sheets of %2$s", n), n, paper);
  heading (sheet, box.x0, box.y0, text);
  const GeomPoint size = output_sheet_map_size (plan, box.x1 - box.x0, MIN (72.0, box.y1 - box.y0 - 9.0));
  output_sheet_map (sheet, (GeomBox) { box.x0, box.y0 + 8.0, box.x0 + size.x, box.y0 + 8.0 + size.y }, NULL,
                    true);
}

/* A heading and paragraphs in a block of fixed height: the letters shrink before a line is lost. */
static void
draw_paragraphs (
  const OutputSheet *sheet, GeomBox box, const char *title, const char *const *lines, size_t count)
{
  heading (sheet, box.x0, box.y0, title);
  const double top = box.y0 + 7.2, room = box.y1 - GAP - top, width = box.x1 - box.x0;
  double size = 3.4;
  for (int turn = 0; turn < 10; turn++, size *= 0.94)
  {
    double height = 0.0;
    for (size_t i = 0; i < count; i++)
      height += output_text_size (sheet->cr, size, OUTPUT_TEXT_PLAIN, width, _ (lines[i])).height + 1.4;
    if (height <= room + 2.5)
      break;
  }
  double y = top;
  for (size_t i = 0; i < count; i++)
    y += output_text_show (sheet->cr, box.x0, y, size, OUTPUT_TEXT_PLAIN, width, _ (lines[i])) + 1.4;
}

static void
draw_cautions (const OutputSheet *sheet, GeomBox box)
{
  static const char *const lines[] = {
    N_ ("Costume armour, not protective equipment. The event’s rules and the law of the place decide what "
        "may be worn and struck."),
    N_ ("Cut away from the hand that holds, with a sharp blade, in several light strokes."),
    N_ ("Contact cement, dyes and heated foam need open windows."),
  };
  draw_paragraphs (sheet, box, _ ("Before you cut"), lines, G_N_ELEMENTS (lines));
}

static void
draw_together (const OutputSheet *sheet, GeomBox box)
{
  static const char *const lines[] = {
    N_ ("Trim each sheet at its left and upper frame, where it says so. Lay it on the dotted zone of the "
        "sheet before it, diamonds on diamonds, and glue."),
    N_ ("One row after another, then the rows. Edges with the same letter meet."),
  };
  draw_paragraphs (sheet, box, _ ("Putting the sheets together"), lines, G_N_ELEMENTS (lines));
}

/* Between two rows of a list. */
static void
rule_below (const OutputSheet *sheet, GeomBox box)
{
  output_set_tone (sheet->cr, sheet->ink, OUTPUT_TONE_INK);
  cairo_set_line_width (sheet->cr, 0.1);
  cairo_move_to (sheet->cr, box.x0, box.y0 + 9.6);
  cairo_line_to (sheet->cr, box.x1, box.y0 + 9.6);
  cairo_stroke (sheet->cr);
}

static void
draw_panel_row (const OutputSheet *sheet, const Block *block, GeomBox box)
{
  const ModelPanel *panel = model_document_panel (sheet->doc, block->part_id);
  if (panel == NULL)
    return;
  GeomBox on_plan = geom_box_empty ();
  ModelSide side = MODEL_SIDE_CENTRE;
  guint pieces = 0;
  for (guint i = 0; i < sheet->plan->placed->len; i++)
  {
    const EnginePlacedPiece *placed = (const EnginePlacedPiece *)g_ptr_array_index (sheet->plan->placed, i);
    if (placed->piece->panel_id != block->part_id)
      continue;
    on_plan = geom_box_union (on_plan, geom_path_box (&placed->cut));
    side = placed->piece->side;
    pieces++;
  }
  g_autofree char *where = output_sheet_where (sheet->plan, on_plan);
  const double where_width = output_text_size (sheet->cr, 3.2, OUTPUT_TEXT_PLAIN, 0.0, where).width,
               width = box.x1 - box.x0;
  output_sheet_text_fit (sheet, box.x0, box.y0 + 3.6, 3.8, true, width - where_width - 3.0, panel->name);
  output_sheet_text (sheet, box.x1 - where_width, box.y0 + 3.6, 3.2, false, where);
  g_autofree char *quantity = engine_words_quantity (panel),
                  *material = engine_words_material (sheet->doc, panel);
  g_autoptr (GString) line = g_string_new (quantity);
  if (*material != '\0')
    g_string_append_printf (line, "; %s", material);
  if (pieces == 1 && panel->halves == MODEL_HALVES_SINGLE && side != MODEL_SIDE_CENTRE)
    g_string_append_printf (line, "; %s", engine_words_side (side));
  output_sheet_text_fit (sheet, box.x0, box.y0 + 8.0, 3.1, false, width, line->str);
  rule_below (sheet, box);
}

/* How many straps to cut, how wide and long, and which edges they bridge. */
static void
draw_strap_row (const OutputSheet *sheet, const Block *block, GeomBox box)
{
  const ModelJoin *join = model_document_join (sheet->doc, block->part_id);
  if (join == NULL)
    return;
  g_autofree char *words = engine_words_straps (sheet->review, join),
                  *name = engine_words_join (sheet->doc, join);
  g_autofree char *where
    = *join->letter != '\0' ? g_strdup_printf ("%s: %s", join->letter, name) : g_strdup (name);
  output_sheet_text_fit (sheet, box.x0, box.y0 + 3.6, 3.8, true, box.x1 - box.x0, words);
  output_sheet_text_fit (sheet, box.x0, box.y0 + 8.0, 3.1, false, box.x1 - box.x0, where);
  rule_below (sheet, box);
}

typedef struct Drawing
{
  const OutputSheet *sheet;
  guint page;
} Drawing;

static void
draw_block (const Block *block, guint page, GeomBox box, void *user)
{
  const Drawing *drawing = (const Drawing *)user;
  if (page != drawing->page)
    return;
  switch (block->kind)
  {
  case BLOCK_MAP:
    draw_map (drawing->sheet, box);
    return;
  case BLOCK_TOGETHER:
    draw_together (drawing->sheet, box);
    return;
  case BLOCK_CAUTIONS:
    draw_cautions (drawing->sheet, box);
    return;
  case BLOCK_LIST_HEAD:
    heading (drawing->sheet, box.x0, box.y0, _ ("Panels"));
    return;
  case BLOCK_PANEL:
    draw_panel_row (drawing->sheet, block, box);
    return;
  case BLOCK_STRAP_HEAD:
    heading (drawing->sheet, box.x0, box.y0, _ ("Straps"));
    return;
  case BLOCK_STRAP:
    draw_strap_row (drawing->sheet, block, box);
    return;
  case BLOCK_LEGEND:
    output_sheet_legend (drawing->sheet, box.x0, box.y0);
    return;
  }
}

/* What does not agree yet, as much of it as the rest of the last column holds. */
static void
draw_open_findings (const OutputSheet *sheet, GeomBox box)
{
  g_autoptr (GArray) open = engine_review_open_places (sheet->review);
  const double width = box.x1 - box.x0, size = 3.1;
  double y = box.y0 + 5.0;
  if (open->len == 0 || y + 16.0 > box.y1)
    return;
  g_autofree char *count = engine_words_count (open->len);
  heading (sheet, box.x0, y, count);
  y += 7.2;
  for (guint i = 0; i < open->len; i++)
  {
    g_autofree char *text = engine_finding_text (sheet->review, g_array_index (open, EnginePlace, i).finding);
    const double height = output_text_size (sheet->cr, size, OUTPUT_TEXT_PLAIN, width, text).height;
    const bool last = i + 1 == open->len;
    if (y + height + (last ? 0.0 : 5.2) > box.y1)
    {
      const guint more = open->len - i;
      g_autofree char *rest = g_strdup_printf (ngettext ("and %u more", "and %u more", more), more);
      output_sheet_text (sheet, box.x0, y + 3.2, size, false, rest);
      break;
    }
    y += output_text_show (sheet->cr, box.x0, y, size, OUTPUT_TEXT_PLAIN, width, text) + 1.2;
  }
}

static void
draw_header (const OutputSheet *sheet, GeomBox f)
{
  const ModelHead *head = sheet->doc->head;
  const double width = f.x1 - f.x0;
  g_autofree char *revision = output_sheet_revision (sheet->doc);
  g_autoptr (GString) line = g_string_new (revision);
  if (*head->wearer != '\0')
    g_string_append_printf (line, "%s%s", line->len > 0 ? "; " : "", head->wearer);
  g_autofree char *paper = output_sheet_paper_name (sheet->plan);
  g_autofree char *scale = g_strdup_printf (
    _ ("Print on %s at true size, 100 %%, not “fit to page”; then measure both squares."), paper);
  output_sheet_text_fit (sheet, f.x0, f.y0 + 7.2, 8.4, true, width,
                         *head->title != '\0' ? head->title : _ ("Panels"));
  output_sheet_text_fit (sheet, f.x0, f.y0 + 14.2, 4.0, false, width, line->str);
  output_sheet_text_fit (sheet, f.x0, f.y0 + 19.8, 3.4, false, width, scale);
}

static double
paragraph (const OutputSheet *sheet, double x, double y, double width, const char *text)
{
  output_set_tone (sheet->cr, sheet->ink, OUTPUT_TONE_INK);
  return y + output_text_show (sheet->cr, x, y, 3.4, OUTPUT_TEXT_PLAIN, width, text) + 1.8;
}

static void
draw_squares (const OutputSheet *sheet, const Cover *cover)
{
  const bool nested = cover->arrangement == SQUARES_NESTED;
  output_sheet_square (sheet, cover->mm.x, cover->mm.y, MM_SQUARE, false, false);
  output_sheet_square (sheet, cover->inch.x, cover->inch.y, INCH_SQUARE, true, nested);
  const double x = cover->mm.x + MM_SQUARE / 2.0 + 1.0, y = cover->mm.y;
  g_autofree char *mm = model_unit_text (MM_SQUARE, MODEL_UNIT_MM, 0),
                  *inch = model_unit_text (INCH_SQUARE, MODEL_UNIT_INCH, 0);
  const double left = cover->mm.x + 13.0, width = 76.0;
  if (!nested)
  {
    output_sheet_middle_fit (sheet, x, y + 24.0, 13.0, true, 80.0, mm);
    output_sheet_middle_fit (sheet, x, y + 36.5, 3.8, false, 80.0, _ ("each way, on paper"));
  }
  else
  {
    g_autofree char *both = g_strdup_printf (_ ("inner %s, outer %s"), mm, inch);
    output_sheet_middle_fit (sheet, x, y + 18.0, 6.4, true, 80.0, both);
    output_sheet_middle_fit (sheet, x, y + 26.5, 3.6, false, 80.0,
                             cover->header ? _ ("each way, from the top left corner")
                                           : sheet->doc->head->title);
  }
  double row = y + (nested ? 36.0 : 47.0);
  row = paragraph (sheet, left, row, width,
                   _ ("Lay a steel rule on the square, along and across. Each side must measure 100 mm, half "
                      "a millimetre more or less."));
  row = paragraph (sheet, left, row, width,
                   _ ("What you measure in millimetres is the scale in percent: 97 means 97 %, and every "
                      "panel would come out small. Turn off “fit to page” and print again."));
  paragraph (sheet, left, row, width,
             _ ("Two sides that differ: the printer stretches one way. Use another one."));
  if (nested)
    return;
  output_sheet_middle_fit (sheet, cover->inch.x + INCH_SQUARE / 2.0 + 1.5, cover->inch.y + 15.0, 7.6, true,
                           80.0, inch);
  output_sheet_legend (sheet, cover->inch.x + 29.0, cover->inch.y + 23.0);
}

void
output_sheet_draw_cover (const OutputSheet *sheet, guint page)
{
  Cover cover;
  arrange (sheet->plan, &cover);
  const GeomBox f = field_of (sheet->plan);
  if (page == 0)
  {
    if (cover.header)
      draw_header (sheet, f);
    draw_squares (sheet, &cover);
  }
  else
  {
    const char *title = sheet->doc->head->title;
    g_autofree char *name = output_sheet_page_name (sheet->plan, page);
    g_autofree char *line = g_strdup_printf ("%s; %s", *title != '\0' ? title : _ ("Panels"), name);
    output_sheet_text_fit (sheet, f.x0, f.y0 + 4.6, 4.6, true, f.x1 - f.x0, line);
  }
  output_set_tone (sheet->cr, sheet->ink, OUTPUT_TONE_INK);
  Drawing drawing = { sheet, page };
  GeomBox rest;
  const guint pages = flow (sheet->plan, &cover, draw_block, &drawing, &rest);
  if (page + 1 == pages)
    draw_open_findings (sheet, rest);
}
