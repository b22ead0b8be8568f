/* SVG in millimetres: the page has its true size, a unit of the drawing is 1 mm.  Cutters tell lines apart by
 * group and colour: the knife follows class "cut" alone. */
#include "output/cut-parts.h"
#include "output/file-out.h"

#include <glib/gi18n.h>
#include <string.h>

static void
add_point (GString *s, const OutputCutDrawing *drawing, GeomPoint p)
{
  output_cut_number (s, p.x);
  g_string_append_c (s, ',');
  output_cut_number (s, drawing->height_mm - p.y);
}

/* Path data in absolute commands. */
static void
add_path (GString *s, const OutputCutDrawing *drawing, const GeomPath *path)
{
  for (size_t i = 0; i < path->count; i++)
  {
    const GeomCubic *c = &path->piece[i];
    if (i == 0)
    {
      g_string_append_c (s, 'M');
      add_point (s, drawing, c->p[0]);
    }
    g_string_append (s, " C");
    for (int k = 1; k < 4; k++)
    {
      if (k > 1)
        g_string_append_c (s, ' ');
      add_point (s, drawing, c->p[k]);
    }
  }
  if (path->closed)
    g_string_append (s, " Z");
}

/* Text of XML 1.0: the five that mean something, and none of the control characters that it forbids. */
static void
add_escaped (GString *s, const char *text)
{
  g_autofree char *valid = g_utf8_make_valid (text, -1);
  g_autoptr (GString) clean = g_string_new (NULL);
  for (const char *c = valid; *c != '\0'; c = g_utf8_next_char (c))
  {
    const gunichar u = g_utf8_get_char (c);
    const bool allowed = u == '\t' || u == '\n' || u == '\r' || (u >= 0x20 && u != 0xfffe && u != 0xffff);
    g_string_append_unichar (clean, allowed ? u : 0xfffd);
  }
  g_autofree char *escaped = g_markup_escape_text (clean->str, (gssize)clean->len);
  g_string_append (s, escaped);
}

static void
add_marks (GString *s, const OutputCutDrawing *drawing, const OutputCutPiece *p)
{
  g_autoptr (GArray) marks = output_cut_marks (drawing, p);
  for (guint i = 0; i < marks->len; i++)
  {
    const OutputCutMark *m = &g_array_index (marks, OutputCutMark, i);
    const GeomPoint across = geom_left_of (m->in);
    const int n = CLAMP (m->wedges, 1, 2);
    for (int k = 0; k < n; k++)
    {
      const GeomPoint base = geom_along (m->base, (k - (n - 1) / 2.0) * 1.27 * OUTPUT_CUT_MARK_MM, across);
      g_string_append (s, "    <path class=\"mark\" d=\"M");
      add_point (s, drawing, geom_along (base, -OUTPUT_CUT_MARK_MM / 2.0, across));
      g_string_append (s, " L");
      add_point (s, drawing, geom_along (base, OUTPUT_CUT_MARK_MM, m->in));
      g_string_append (s, " L");
      add_point (s, drawing, geom_along (base, OUTPUT_CUT_MARK_MM / 2.0, across));
      g_string_append (s, "\"/>\n");
    }
  }
}

static void
add_grain (GString *s, const OutputCutDrawing *drawing, const OutputCutPiece *p)
{
  GeomPoint tail, tip;
  if (!output_cut_grain (p, &tail, &tip))
    return;
  const GeomPoint along = geom_unit (geom_sub (tip, tail)), across = geom_left_of (along),
                  neck = geom_along (tip, -4.0, along);
  g_string_append (s, "    <path class=\"grain\" d=\"M");
  add_point (s, drawing, tail);
  g_string_append (s, " L");
  add_point (s, drawing, tip);
  g_string_append (s, " M");
  add_point (s, drawing, geom_along (neck, 1.8, across));
  g_string_append (s, " L");
  add_point (s, drawing, tip);
  g_string_append (s, " L");
  add_point (s, drawing, geom_along (neck, -1.8, across));
  g_string_append (s, "\"/>\n");
}

static void
add_text (GString *s, const OutputCutDrawing *drawing, GeomPoint at, double size, const char *text)
{
  g_string_append (s, "    <text x=\"");
  output_cut_number (s, at.x);
  g_string_append (s, "\" y=\"");
  output_cut_number (s, drawing->height_mm - at.y);
  g_string_append (s, "\" font-size=\"");
  output_cut_number (s, size);
  g_string_append (s, "\">");
  add_escaped (s, text);
  g_string_append (s, "</text>\n");
}

static void
add_piece (GString *s, const OutputCutDrawing *drawing, const OutputCutPiece *p)
{
  g_string_append_printf (s, "  <g id=\"piece-%u-%s\" data-label=\"", p->panel->id,
                          model_side_key (p->piece->side));
  add_escaped (s, p->label);
  g_string_append (s, "\">\n    <title>");
  add_escaped (s, p->label);
  g_string_append (s, "</title>\n    <path class=\"cut\" d=\"");
  add_path (s, drawing, &p->cut);
  g_string_append (s, "\"/>\n");
  g_autoptr (GPtrArray) seams = output_cut_seams (drawing, p);
  for (guint i = 0; i < seams->len; i++)
  {
    g_string_append (s, "    <path class=\"seam\" d=\"");
    add_path (s, drawing, (const GeomPath *)g_ptr_array_index (seams, i));
    g_string_append (s, "\"/>\n");
  }
  g_autoptr (GPtrArray) straps = output_cut_straps (drawing, p);
  for (guint i = 0; i < straps->len; i++)
  {
    g_string_append (s, "    <path class=\"strap\" d=\"");
    add_path (s, drawing, (const GeomPath *)g_ptr_array_index (straps, i));
    g_string_append (s, "\"/>\n");
  }
  add_marks (s, drawing, p);
  add_grain (s, drawing, p);
  double size = 0.0;
  const GeomPoint at = output_cut_label_at (p, &size);
  add_text (s, drawing, geom_point (at.x, at.y + 0.4 * size), size, p->label);
  add_text (s, drawing, geom_point (at.x, at.y - 1.0 * size), 0.7 * size, p->details);
  g_string_append (s, "  </g>\n");
}

bool
output_cut_svg (const OutputCutDrawing *drawing, const char *path, GError **error)
{
  g_autoptr (GString) s = g_string_new (
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"");
  output_cut_number (s, drawing->width_mm);
  g_string_append (s, "mm\" height=\"");
  output_cut_number (s, drawing->height_mm);
  g_string_append (s, "mm\" viewBox=\"0 0 ");
  output_cut_number (s, drawing->width_mm);
  g_string_append_c (s, ' ');
  output_cut_number (s, drawing->height_mm);
  g_string_append (s, "\">\n  <title>");
  const ModelHead *head = drawing->doc->head;
  add_escaped (s, *head->title != '\0' ? head->title : _ ("Panels"));
  g_string_append (s, "</title>\n"
                      "  <style>\n"
                      "    path { fill: none; stroke: #000; }\n"
                      "    .cut { stroke-width: 0.3; }\n"
                      "    .seam { stroke-width: 0.2; stroke-dasharray: 3.7 1.6; }\n"
                      "    .mark, .grain, .strap { stroke-width: 0.2; }\n"
                      "    text { font-family: sans-serif; text-anchor: middle; }\n"
                      "  </style>\n");
  for (guint i = 0; i < drawing->pieces->len; i++)
    add_piece (s, drawing, (const OutputCutPiece *)g_ptr_array_index (drawing->pieces, i));
  g_string_append (s, "</svg>\n");
  return output_file_write (path, s->str, s->len, error);
}
