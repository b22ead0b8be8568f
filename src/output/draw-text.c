/* Text through Pango.  Laying out a string costs six times what showing it does, so layouts are kept, one
 * table a thread: a pure function's results remembered, nothing a caller could notice.
 *
 * A layout belongs to one matrix (a turned or scaled layout chooses other glyph images) and one kind of
 * surface.
 */
#include "output/draw-parts.h"

#include <pango/pangocairo.h>
#include <string.h>

#define KEPT_MAX 3000
/* Half the height of capitals over the font size, for the usual interface fonts; only the centring hangs on
 * it. */
#define CAPITALS_MIDDLE 0.36

typedef struct Kept
{
  char *text;
  int size, wrap, style, surface; /* size and wrap in Pango units */
  int matrix[4];
  PangoLayout *layout;
  OutputTextSize measured;
} Kept;

static guint
kept_hash (gconstpointer data)
{
  const Kept *k = (const Kept *)data;
  guint h = g_str_hash (k->text);
  const int parts[]
    = { k->size, k->wrap, k->style, k->surface, k->matrix[0], k->matrix[1], k->matrix[2], k->matrix[3] };
  for (size_t i = 0; i < G_N_ELEMENTS (parts); i++)
    h = h * 33u + (guint)parts[i];
  return h;
}

static gboolean
kept_equal (gconstpointer a, gconstpointer b)
{
  const Kept *x = (const Kept *)a, *y = (const Kept *)b;
  return x->size == y->size && x->wrap == y->wrap && x->style == y->style && x->surface == y->surface
         && memcmp (x->matrix, y->matrix, sizeof x->matrix) == 0 && g_str_equal (x->text, y->text);
}

static void
kept_free (gpointer data)
{
  Kept *k = (Kept *)data;
  g_free (k->text);
  g_object_unref (k->layout);
  g_free (k);
}

static void
table_free (gpointer table)
{
  g_hash_table_unref ((GHashTable *)table);
}

static GPrivate table_of_thread = G_PRIVATE_INIT (table_free);

static GHashTable *
kept_table (void)
{
  GHashTable *table = (GHashTable *)g_private_get (&table_of_thread);
  if (table == NULL)
  {
    table = g_hash_table_new_full (kept_hash, kept_equal, kept_free, NULL);
    g_private_set (&table_of_thread, table);
  }
  return table;
}

static int
pango_units (double v)
{
  return (int)CLAMP (v * PANGO_SCALE, 0.0, 1e8);
}

static PangoLayout *
layout_new (cairo_t *cr, const Kept *key)
{
  PangoContext *context = pango_cairo_create_context (cr);
  /* On a grid of whole units a text of 3 mm would have its letters 1 mm apart. */
  pango_context_set_round_glyph_positions (context, FALSE);
  PangoLayout *layout = pango_layout_new (context);
  g_object_unref (context);
  PangoFontDescription *font = pango_font_description_from_string ("Sans");
  pango_font_description_set_absolute_size (font, MAX (key->size, 1));
  if (key->style & OUTPUT_TEXT_BOLD)
    pango_font_description_set_weight (font, PANGO_WEIGHT_BOLD);
  if (key->style & OUTPUT_TEXT_ITALIC)
    pango_font_description_set_style (font, PANGO_STYLE_ITALIC);
  pango_layout_set_font_description (layout, font);
  pango_font_description_free (font);
  PangoAttrList *attributes = pango_attr_list_new ();
  pango_attr_list_insert (attributes, pango_attr_font_features_new ("tnum=1"));
  pango_layout_set_attributes (layout, attributes);
  pango_attr_list_unref (attributes);
  if (key->wrap > 0)
  {
    pango_layout_set_width (layout, key->wrap);
    pango_layout_set_wrap (layout, PANGO_WRAP_WORD_CHAR);
    pango_layout_set_line_spacing (layout, 1.12f);
  }
  pango_layout_set_text (layout, key->text, -1);
  return layout;
}

static void
measure (Kept *kept)
{
  PangoRectangle black, logical;
  pango_layout_get_extents (kept->layout, &black, &logical);
  const double unit = 1.0 / PANGO_SCALE;
  kept->measured = (OutputTextSize) { .width = logical.width * unit,
                                      .height = logical.height * unit,
                                      .baseline = pango_layout_get_baseline (kept->layout) * unit,
                                      .ink_x = black.x * unit,
                                      .ink_y = black.y * unit,
                                      .ink_width = black.width * unit,
                                      .ink_height = black.height * unit };
}

static const Kept *
kept_layout (cairo_t *cr, double size, int style, double wrap_width, const char *text)
{
  cairo_matrix_t m;
  cairo_get_matrix (cr, &m);
  const double fine = 4096.0;
  Kept key
    = { .text = (char *)text,
        .size = pango_units (size),
        .wrap = pango_units (wrap_width),
        .style = style,
        .surface = (int)cairo_surface_get_type (cairo_get_target (cr)),
        .matrix
        = { (int)lround (CLAMP (m.xx * fine, -1e9, 1e9)), (int)lround (CLAMP (m.xy * fine, -1e9, 1e9)),
            (int)lround (CLAMP (m.yx * fine, -1e9, 1e9)), (int)lround (CLAMP (m.yy * fine, -1e9, 1e9)) } };
  GHashTable *table = kept_table ();
  Kept *kept = (Kept *)g_hash_table_lookup (table, &key);
  if (kept != NULL)
    return kept;
  if (g_hash_table_size (table) >= KEPT_MAX)
    g_hash_table_remove_all (table);
  kept = g_new (Kept, 1);
  *kept = key;
  kept->text = g_utf8_make_valid (text, -1);
  kept->layout = layout_new (cr, kept);
  measure (kept);
  g_hash_table_add (table, kept);
  return kept;
}

OutputTextSize
output_text_size (cairo_t *cr, double size, int style, double wrap_width, const char *text)
{
  return kept_layout (cr, size, style, wrap_width, text)->measured;
}

double
output_text_show (
  cairo_t *cr, double x, double y, double size, int style, double wrap_width, const char *text)
{
  const Kept *kept = kept_layout (cr, size, style, wrap_width, text);
  cairo_move_to (cr, x, y);
  pango_cairo_show_layout (cr, kept->layout);
  cairo_new_path (cr); /* showing leaves a current point */
  return kept->measured.height;
}

void
output_text_line (cairo_t *cr, double x, double y, double size, int style, const char *text)
{
  const Kept *kept = kept_layout (cr, size, style, 0.0, text);
  cairo_move_to (cr, x, y - kept->measured.baseline);
  pango_cairo_show_layout (cr, kept->layout);
  cairo_new_path (cr); /* showing leaves a current point */
}

void
output_text_middle (
  cairo_t *cr, double x, double y, double angle_rad, double size, int style, const char *text)
{
  cairo_save (cr);
  cairo_translate (cr, x, y);
  cairo_rotate (cr, angle_rad);
  const Kept *kept = kept_layout (cr, size, style, 0.0, text);
  cairo_move_to (cr, -kept->measured.width / 2.0, CAPITALS_MIDDLE * size - kept->measured.baseline);
  pango_cairo_show_layout (cr, kept->layout);
  cairo_new_path (cr); /* showing leaves a current point */
  cairo_restore (cr);
}

void
output_draw_text (cairo_t *cr,
                  const OutputInk *ink,
                  double x,
                  double y,
                  double angle_rad,
                  double size,
                  bool bold,
                  OutputTone tone,
                  int plate,
                  const char *text)
{
  if (text == NULL || *text == '\0')
    return;
  const int style = bold ? OUTPUT_TEXT_BOLD : OUTPUT_TEXT_PLAIN;
  cairo_save (cr);
  cairo_translate (cr, x, y);
  cairo_rotate (cr, angle_rad);
  if (plate >= 0 && plate < OUTPUT_TONE_COUNT)
  {
    const OutputTextSize s = output_text_size (cr, size, style, 0.0, text);
    const double pad = 0.3 * size;
    cairo_new_path (cr);
    cairo_rectangle (cr, -s.width / 2.0 - pad, -0.75 * size, s.width + 2.0 * pad, 1.5 * size);
    output_set_tone (cr, ink, (OutputTone)plate);
    cairo_fill (cr);
  }
  output_set_tone (cr, ink, tone);
  output_text_middle (cr, 0.0, 0.0, 0.0, size, style, text);
  cairo_restore (cr);
}

void
output_measure_text (cairo_t *cr, double size, bool bold, const char *text, double *width, double *height)
{
  const OutputTextSize s
    = output_text_size (cr, size, bold ? OUTPUT_TEXT_BOLD : OUTPUT_TEXT_PLAIN, 0.0, text);
  if (width != NULL)
    *width = s.width;
  if (height != NULL)
    *height = s.height;
}
