/* DXF, release 2000 (AC1015): the first with the SPLINE entity in general use, and the least of its tables.
 *
 * A cubic Bezier piece is a SPLINE of degree 3 with the knots 0,0,0,0,1,1,1,1 and its four control points:
 * exact, nothing is approximated.  Straight pieces are LINEs.  Layers: CUT, SEAM, MARK, GRAIN, TEXT.  Group
 * codes: DXF Reference, release 2000.
 */
#include "output/cut-parts.h"
#include "output/file-out.h"

#include <string.h>

typedef struct Dxf
{
  GString *s;
  guint handle; /* the next free one */
} Dxf;

enum
{
  HANDLE_NONE = 0,
  HANDLE_ROOT_DICTIONARY = 0x0C,
  HANDLE_GROUPS = 0x0D,
  HANDLE_BLOCK_TABLE = 0x01,
  HANDLE_MODEL_SPACE = 0x1F,
  HANDLE_PAPER_SPACE = 0x1B,
  HANDLE_FIRST_FREE = 0x100
};

static void
text (Dxf *d, int code, const char *value)
{
  g_string_append_printf (d->s, "%d\r\n%s\r\n", code, value);
}

static void
whole (Dxf *d, int code, int value)
{
  g_string_append_printf (d->s, "%d\r\n%d\r\n", code, value);
}

static void
handle (Dxf *d, int code, guint value)
{
  g_string_append_printf (d->s, "%d\r\n%X\r\n", code, value);
}

static guint
fresh (Dxf *d, int code)
{
  const guint h = d->handle++;
  handle (d, code, h);
  return h;
}

static void
number (Dxf *d, int code, double value)
{
  char buffer[G_ASCII_DTOSTR_BUF_SIZE];
  g_string_append_printf (d->s, "%d\r\n%s\r\n", code,
                          g_ascii_formatd (buffer, sizeof buffer, "%.6f", fabs (value) < 5e-7 ? 0.0 : value));
}

static void
point (Dxf *d, int code, GeomPoint p)
{
  number (d, code, p.x);
  number (d, code + 10, p.y);
  number (d, code + 20, 0.0);
}

/* ---- header and tables ---- */

static void
header (Dxf *d, const OutputCutDrawing *drawing)
{
  text (d, 0, "SECTION");
  text (d, 2, "HEADER");
  text (d, 9, "$ACADVER");
  text (d, 1, "AC1015");
  text (d, 9, "$DWGCODEPAGE");
  text (d, 3, "ANSI_1252");
  text (d, 9, "$INSUNITS");
  whole (d, 70, 4); /* millimetres */
  text (d, 9, "$MEASUREMENT");
  whole (d, 70, 1); /* metric */
  text (d, 9, "$EXTMIN");
  point (d, 10, geom_point (0.0, 0.0));
  text (d, 9, "$EXTMAX");
  point (d, 10, geom_point (drawing->width_mm, drawing->height_mm));
  text (d, 9, "$HANDSEED");
  text (d, 5, "FFFFFF");
  text (d, 0, "ENDSEC");
}

static guint
table_start (Dxf *d, const char *name, guint own, int count)
{
  text (d, 0, "TABLE");
  text (d, 2, name);
  const guint h = own != HANDLE_NONE ? own : d->handle++;
  handle (d, 5, h);
  handle (d, 330, 0);
  text (d, 100, "AcDbSymbolTable");
  whole (d, 70, count);
  return h;
}

static void
record_start (Dxf *d, const char *kind, const char *subclass, guint owner, const char *name)
{
  text (d, 0, kind);
  fresh (d, g_str_equal (kind, "DIMSTYLE") ? 105 : 5);
  handle (d, 330, owner);
  text (d, 100, "AcDbSymbolTableRecord");
  text (d, 100, subclass);
  text (d, 2, name);
  whole (d, 70, 0);
}

static void
line_type (Dxf *d, guint owner, const char *name, const char *words, double on, double off)
{
  record_start (d, "LTYPE", "AcDbLinetypeTableRecord", owner, name);
  text (d, 3, words);
  whole (d, 72, 65);
  whole (d, 73, on > 0.0 ? 2 : 0);
  number (d, 40, on + off);
  if (on > 0.0)
  {
    number (d, 49, on);
    whole (d, 74, 0);
    number (d, 49, -off);
    whole (d, 74, 0);
  }
}

static void
layer (Dxf *d, guint owner, const char *name, int colour, const char *lines)
{
  record_start (d, "LAYER", "AcDbLayerTableRecord", owner, name);
  whole (d, 62, colour);
  text (d, 6, lines);
  handle (d, 390, 0);
}

static void
end_table (Dxf *d)
{
  text (d, 0, "ENDTAB");
}

static void
view_table (Dxf *d, const OutputCutDrawing *drawing)
{
  const guint h = table_start (d, "VPORT", HANDLE_NONE, 1);
  record_start (d, "VPORT", "AcDbViewportTableRecord", h, "*Active");
  number (d, 10, 0.0);
  number (d, 20, 0.0);
  number (d, 11, 1.0);
  number (d, 21, 1.0);
  number (d, 12, drawing->width_mm / 2.0);
  number (d, 22, drawing->height_mm / 2.0);
  number (d, 40, drawing->height_mm);
  number (d, 41, drawing->width_mm / MAX (drawing->height_mm, 1.0));
  end_table (d);
}

static void
tables (Dxf *d, const OutputCutDrawing *drawing)
{
  text (d, 0, "SECTION");
  text (d, 2, "TABLES");
  view_table (d, drawing);
  guint h = table_start (d, "LTYPE", HANDLE_NONE, 4);
  line_type (d, h, "ByBlock", "", 0.0, 0.0);
  line_type (d, h, "ByLayer", "", 0.0, 0.0);
  line_type (d, h, "Continuous", "", 0.0, 0.0);
  line_type (d, h, "SEAM", "__ __ __", 3.7, 1.6);
  end_table (d);
  h = table_start (d, "LAYER", HANDLE_NONE, 6);
  layer (d, h, "0", 7, "Continuous");
  layer (d, h, "CUT", 7, "Continuous");
  layer (d, h, "SEAM", 8, "SEAM");
  layer (d, h, "MARK", 5, "Continuous");
  layer (d, h, "GRAIN", 3, "Continuous");
  layer (d, h, "TEXT", 8, "Continuous");
  end_table (d);
  h = table_start (d, "STYLE", HANDLE_NONE, 1);
  record_start (d, "STYLE", "AcDbTextStyleTableRecord", h, "Standard");
  number (d, 40, 0.0);
  number (d, 41, 1.0);
  number (d, 50, 0.0);
  whole (d, 71, 0);
  number (d, 42, 2.5);
  text (d, 3, "txt");
  text (d, 4, "");
  end_table (d);
  table_start (d, "VIEW", HANDLE_NONE, 0);
  end_table (d);
  table_start (d, "UCS", HANDLE_NONE, 0);
  end_table (d);
  h = table_start (d, "APPID", HANDLE_NONE, 1);
  record_start (d, "APPID", "AcDbRegAppTableRecord", h, "ACAD");
  end_table (d);
  h = table_start (d, "DIMSTYLE", HANDLE_NONE, 1);
  text (d, 100, "AcDbDimStyleTable");
  record_start (d, "DIMSTYLE", "AcDbDimStyleTableRecord", h, "Standard");
  end_table (d);
  table_start (d, "BLOCK_RECORD", HANDLE_BLOCK_TABLE, 2);
  static const struct
  {
    guint handle;
    const char *name;
  } spaces[] = { { HANDLE_MODEL_SPACE, "*Model_Space" }, { HANDLE_PAPER_SPACE, "*Paper_Space" } };
  for (size_t i = 0; i < G_N_ELEMENTS (spaces); i++)
  {
    text (d, 0, "BLOCK_RECORD");
    handle (d, 5, spaces[i].handle);
    handle (d, 330, HANDLE_BLOCK_TABLE);
    text (d, 100, "AcDbSymbolTableRecord");
    text (d, 100, "AcDbBlockTableRecord");
    text (d, 2, spaces[i].name);
  }
  end_table (d);
  text (d, 0, "ENDSEC");
}

static void
blocks (Dxf *d)
{
  text (d, 0, "SECTION");
  text (d, 2, "BLOCKS");
  for (int i = 0; i < 2; i++)
  {
    const guint owner = i == 0 ? HANDLE_MODEL_SPACE : HANDLE_PAPER_SPACE;
    const char *name = i == 0 ? "*Model_Space" : "*Paper_Space";
    text (d, 0, "BLOCK");
    fresh (d, 5);
    handle (d, 330, owner);
    text (d, 100, "AcDbEntity");
    if (i == 1)
      whole (d, 67, 1);
    text (d, 8, "0");
    text (d, 100, "AcDbBlockBegin");
    text (d, 2, name);
    whole (d, 70, 0);
    point (d, 10, geom_point (0.0, 0.0));
    text (d, 3, name);
    text (d, 1, "");
    text (d, 0, "ENDBLK");
    fresh (d, 5);
    handle (d, 330, owner);
    text (d, 100, "AcDbEntity");
    if (i == 1)
      whole (d, 67, 1);
    text (d, 8, "0");
    text (d, 100, "AcDbBlockEnd");
  }
  text (d, 0, "ENDSEC");
}

/* ---- entities ---- */

static void
entity (Dxf *d, const char *kind, const char *on_layer, const char *subclass)
{
  text (d, 0, kind);
  fresh (d, 5);
  handle (d, 330, HANDLE_MODEL_SPACE);
  text (d, 100, "AcDbEntity");
  text (d, 8, on_layer);
  text (d, 100, subclass);
}

static void
line (Dxf *d, const char *on_layer, GeomPoint a, GeomPoint b)
{
  entity (d, "LINE", on_layer, "AcDbLine");
  point (d, 10, a);
  point (d, 11, b);
}

static void
spline (Dxf *d, const char *on_layer, const GeomCubic *c)
{
  entity (d, "SPLINE", on_layer, "AcDbSpline");
  number (d, 210, 0.0);
  number (d, 220, 0.0);
  number (d, 230, 1.0);
  whole (d, 70, 8); /* planar */
  whole (d, 71, 3);
  whole (d, 72, 8);
  whole (d, 73, 4);
  whole (d, 74, 0);
  number (d, 42, 1e-7);
  number (d, 43, 1e-7);
  for (int i = 0; i < 8; i++)
    number (d, 40, i < 4 ? 0.0 : 1.0);
  for (int i = 0; i < 4; i++)
    point (d, 10, c->p[i]);
}

static void
path (Dxf *d, const char *on_layer, const GeomPath *p)
{
  for (size_t i = 0; i < p->count; i++)
  {
    const GeomCubic *c = &p->piece[i];
    if (geom_same_point (c->p[0], c->p[3]) && geom_same_point (c->p[0], c->p[1])
        && geom_same_point (c->p[0], c->p[2]))
      continue; /* no length: nothing to cut, and readers stumble */
    if (geom_cubic_is_straight (c, 1e-6))
      line (d, on_layer, c->p[0], c->p[3]);
    else
      spline (d, on_layer, c);
  }
}

/* A text of one line.  Beyond ASCII: \U+XXXX, as the release has it. */
static void
words (Dxf *d, GeomPoint at, double size, const char *string)
{
  g_autofree char *valid = g_utf8_make_valid (string, -1);
  g_autoptr (GString) plain = g_string_new (NULL);
  for (const char *c = valid; *c != '\0'; c = g_utf8_next_char (c))
  {
    const gunichar u = g_utf8_get_char (c);
    if (u < 0x20 || u == 0x7f)
      g_string_append_c (plain, ' ');
    else if (u < 0x80)
      g_string_append_c (plain, (char)u);
    else
      g_string_append_printf (plain, "\\U+%04X", u > 0xffff ? 0xfffd : u);
  }
  entity (d, "TEXT", "TEXT", "AcDbText");
  point (d, 10, at);
  number (d, 40, size);
  text (d, 1, plain->str);
  whole (d, 72, 1);
  point (d, 11, at);
  text (d, 100, "AcDbText");
}

static void
marks (Dxf *d, const OutputCutDrawing *drawing, const OutputCutPiece *p)
{
  g_autoptr (GArray) list = output_cut_marks (drawing, p);
  for (guint i = 0; i < list->len; i++)
  {
    const OutputCutMark *m = &g_array_index (list, OutputCutMark, i);
    const GeomPoint across = geom_left_of (m->in);
    const int n = CLAMP (m->wedges, 1, 2);
    for (int k = 0; k < n; k++)
    {
      const GeomPoint base = geom_along (m->base, (k - (n - 1) / 2.0) * 1.27 * OUTPUT_CUT_MARK_MM, across);
      const GeomPoint tip = geom_along (base, OUTPUT_CUT_MARK_MM, m->in);
      line (d, "MARK", geom_along (base, -OUTPUT_CUT_MARK_MM / 2.0, across), tip);
      line (d, "MARK", tip, geom_along (base, OUTPUT_CUT_MARK_MM / 2.0, across));
    }
  }
}

static void
grain (Dxf *d, const OutputCutPiece *p)
{
  GeomPoint tail, tip;
  if (!output_cut_grain (p, &tail, &tip))
    return;
  const GeomPoint along = geom_unit (geom_sub (tip, tail)), across = geom_left_of (along),
                  neck = geom_along (tip, -4.0, along);
  line (d, "GRAIN", tail, tip);
  line (d, "GRAIN", geom_along (neck, 1.8, across), tip);
  line (d, "GRAIN", geom_along (neck, -1.8, across), tip);
}

static void
objects (Dxf *d)
{
  text (d, 0, "SECTION");
  text (d, 2, "OBJECTS");
  text (d, 0, "DICTIONARY");
  handle (d, 5, HANDLE_ROOT_DICTIONARY);
  handle (d, 330, 0);
  text (d, 100, "AcDbDictionary");
  whole (d, 281, 1);
  text (d, 3, "ACAD_GROUP");
  handle (d, 350, HANDLE_GROUPS);
  text (d, 0, "DICTIONARY");
  handle (d, 5, HANDLE_GROUPS);
  handle (d, 330, HANDLE_ROOT_DICTIONARY);
  text (d, 100, "AcDbDictionary");
  whole (d, 281, 1);
  text (d, 0, "ENDSEC");
}

bool
output_cut_dxf (const OutputCutDrawing *drawing, const char *path_name, GError **error)
{
  g_autoptr (GString) s = g_string_new (NULL);
  Dxf d = { s, HANDLE_FIRST_FREE };
  header (&d, drawing);
  tables (&d, drawing);
  blocks (&d);
  text (&d, 0, "SECTION");
  text (&d, 2, "ENTITIES");
  for (guint i = 0; i < drawing->pieces->len; i++)
  {
    const OutputCutPiece *p = (const OutputCutPiece *)g_ptr_array_index (drawing->pieces, i);
    path (&d, "CUT", &p->cut);
    g_autoptr (GPtrArray) seams = output_cut_seams (drawing, p);
    for (guint k = 0; k < seams->len; k++)
      path (&d, "SEAM", (const GeomPath *)g_ptr_array_index (seams, k));
    g_autoptr (GPtrArray) straps = output_cut_straps (drawing, p);
    for (guint k = 0; k < straps->len; k++)
      path (&d, "MARK", (const GeomPath *)g_ptr_array_index (straps, k));
    marks (&d, drawing, p);
    grain (&d, p);
    double size = 0.0;
    const GeomPoint at = output_cut_label_at (p, &size);
    words (&d, geom_point (at.x, at.y + 0.4 * size), size, p->label);
    words (&d, geom_point (at.x, at.y - 1.2 * size), 0.7 * size, p->details);
  }
  text (&d, 0, "ENDSEC");
  objects (&d);
  text (&d, 0, "EOF");
  return output_file_write (path_name, s->str, s->len, error);
}
