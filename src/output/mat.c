#include "output/mat.h"

#include "engine/words.h"
#include "output/file-out.h"
#include "output/sheet.h"

#include <cairo-pdf.h>
#include <glib/gi18n.h>
#include <pango/pangocairo.h>

#define POINTS_IN_MM (72.0 / 25.4) /* ISO 32000-1, 8.3.2.3: a unit of the page is 1/72 inch */
#define TEXT_MM 2.3
/* Between two marks and off the paper's edge. */
#define TEXT_GAP_MM 1.5
/* Grey enough to vanish from the search for pieces, dark enough to lay one by. */
#define FRAME_GREY 0.6
#define FRAME_WIDTH_MM 0.25

/* From FIRST to LAST twelfths of a turn, counter-clockwise on the paper, whose y is down here. */
static void
fill_fields (cairo_t *cr, int first, int last)
{
  const double part = 2.0 * G_PI / TRACE_MARK_FIELDS;
  cairo_new_path (cr);
  cairo_arc_negative (cr, 0.0, 0.0, TRACE_MARK_FIELDS_MM, -first * part, -last * part);
  cairo_arc (cr, 0.0, 0.0, TRACE_MARK_FIELDS_INNER_MM, -last * part, -first * part);
  cairo_close_path (cr);
  cairo_fill (cr);
}

static void
draw_mark (cairo_t *cr, const TraceMatMark *mark, double height_mm)
{
  cairo_save (cr);
  cairo_translate (cr, mark->centre.x, height_mm - mark->centre.y);
  cairo_set_fill_rule (cr, CAIRO_FILL_RULE_EVEN_ODD);
  cairo_new_path (cr);
  cairo_arc (cr, 0.0, 0.0, TRACE_MARK_RING_MM, 0.0, 2.0 * G_PI);
  cairo_new_sub_path (cr);
  cairo_arc (cr, 0.0, 0.0, TRACE_MARK_RING_INNER_MM, 0.0, 2.0 * G_PI);
  cairo_fill (cr);
  /* Black neighbours as one area: a hair of white between them would be printed. */
  for (int i = 0; i < TRACE_MARK_FIELDS; i++)
  {
    const bool black = mark->fields >> i & 1u;
    const bool begins = black && !(mark->fields >> (i + TRACE_MARK_FIELDS - 1) % TRACE_MARK_FIELDS & 1u);
    int end = i;
    while (begins && (mark->fields >> end % TRACE_MARK_FIELDS & 1u))
      end++;
    if (begins)
      fill_fields (cr, i, end);
  }
  cairo_restore (cr);
}

/* Between marks LEFT and RIGHT of a level side. */
static void
draw_text (
  cairo_t *cr, const TraceMat *mat, const TraceMatMark *left, const TraceMatMark *right, const char *text)
{
  const double room = TRACE_MARK_RING_MM + TEXT_GAP_MM;
  const double x0 = MIN (left->centre.x, right->centre.x) + room,
               x1 = MAX (left->centre.x, right->centre.x) - room;
  PangoLayout *layout = pango_cairo_create_layout (cr);
  pango_context_set_round_glyph_positions (pango_layout_get_context (layout), FALSE);
  PangoFontDescription *font = pango_font_description_from_string ("Sans");
  pango_font_description_set_absolute_size (font, TEXT_MM * PANGO_SCALE);
  pango_layout_set_font_description (layout, font);
  pango_font_description_free (font);
  pango_layout_set_width (layout, (int)((x1 - x0) * PANGO_SCALE));
  pango_layout_set_wrap (layout, PANGO_WRAP_WORD_CHAR);
  pango_layout_set_text (layout, text, -1);
  int height = 0;
  pango_layout_get_size (layout, NULL, &height);
  cairo_move_to (cr, x0, mat->height_mm - left->centre.y - 0.5 * height / PANGO_SCALE);
  pango_cairo_show_layout (cr, layout);
  g_object_unref (layout);
}

/* The first marks run along the lower side, from the left. */
static void
draw_texts (cairo_t *cr, const TraceMat *mat)
{
  g_autoptr (ModelDocument) plain = model_document_new ();
  g_autofree char *wide = engine_words_length (plain, mat->width_mm - 2.0 * TRACE_MAT_FRAME_MM);
  g_autofree char *high = engine_words_length (plain, mat->height_mm - 2.0 * TRACE_MAT_FRAME_MM);
  /* Translators: two lengths with their units. */
  g_autofree char *measure
    = g_strdup_printf (_ ("Print at 100 %%. The frame must measure %s by %s."), wide, high);
  const char *text[4]
    = { measure, _ ("Lay the piece flat inside the frame."), _ ("Take the photo from straight above."),
        _ ("All marks should be in view; some may be covered.") };
  for (int i = 0; i < 4; i++)
    draw_text (cr, mat, &mat->mark[i], &mat->mark[i + 1], text[i]);
}

void
output_mat_draw (cairo_t *cr, const TraceMat *mat)
{
  cairo_save (cr);
  cairo_set_source_rgb (cr, 0.0, 0.0, 0.0);
  for (int i = 0; i < mat->count; i++)
    draw_mark (cr, &mat->mark[i], mat->height_mm);
  draw_texts (cr, mat);
  cairo_set_source_rgb (cr, FRAME_GREY, FRAME_GREY, FRAME_GREY);
  cairo_set_line_width (cr, FRAME_WIDTH_MM);
  cairo_set_dash (cr, NULL, 0, 0.0);
  cairo_rectangle (cr, TRACE_MAT_FRAME_MM, TRACE_MAT_FRAME_MM, mat->width_mm - 2.0 * TRACE_MAT_FRAME_MM,
                   mat->height_mm - 2.0 * TRACE_MAT_FRAME_MM);
  cairo_stroke (cr);
  cairo_restore (cr);
}

bool
output_mat_write_pdf (const char *paper, const char *path, GError **error)
{
  TraceMat mat;
  if (!trace_mat_layout (paper, &mat))
  {
    g_set_error (error, OUTPUT_ERROR, OUTPUT_ERROR_PAPER,
                 _ ("There is no mat for paper “%s”; there are a4, a3, letter and tabloid"), paper);
    return false;
  }
  g_autoptr (GByteArray) bytes = g_byte_array_new ();
  cairo_surface_t *surface = cairo_pdf_surface_create_for_stream (
    output_file_collect, bytes, mat.width_mm * POINTS_IN_MM, mat.height_mm * POINTS_IN_MM);
  g_autofree char *date = output_file_pdf_date ("");
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_CREATE_DATE, date);
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_CREATOR, "Panelwright");
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_TITLE, _ ("Mat for photos"));
  cairo_t *cr = cairo_create (surface);
  cairo_scale (cr, POINTS_IN_MM, POINTS_IN_MM);
  output_mat_draw (cr, &mat);
  cairo_show_page (cr);
  return output_file_write_surface (surface, cr, bytes, path, error);
}
