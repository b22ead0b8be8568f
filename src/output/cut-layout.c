/* Pieces in rows, tallest first in no row: the order of the document is kept, so that the maker finds them
 * again. */
#include "output/cut-parts.h"

#include "engine/words.h"

#include <glib/gi18n.h>

#define GAP_MM 10.0
#define BORDER_MM 5.0
/* Rows about as wide as half a sheet of foam; a single wider piece makes its own. */
#define ROW_MM 1000.0
/* In radii of the roomiest circle: where the grain arrow stands, how wide the words may be. */
#define ARROW_BESIDE 0.7
#define LABEL_WIDTH 1.15
#define LETTER_WIDTH 0.66 /* of a bold letter, in font sizes */

static void
piece_free (gpointer data)
{
  OutputCutPiece *p = (OutputCutPiece *)data;
  geom_path_clear (&p->cut);
  geom_path_clear (&p->seam);
  g_free (p->label);
  g_free (p->details);
  g_free (p);
}

void
output_cut_drawing_free (OutputCutDrawing *drawing)
{
  if (drawing == NULL)
    return;
  g_ptr_array_unref (drawing->pieces);
  g_free (drawing);
}

static bool
is_wanted (const char *const *panels, const ModelPanel *panel)
{
  if (panels == NULL)
    return !panel->hidden;
  for (; *panels != NULL; panels++)
    if (g_str_equal (*panels, panel->name))
      return true;
  return false;
}

static bool
names_are_known (const ModelDocument *doc, const char *const *panels, GError **error)
{
  for (; panels != NULL && *panels != NULL; panels++)
    if (model_document_panel_named (doc, *panels) == NULL)
    {
      g_set_error (error, OUTPUT_ERROR, OUTPUT_ERROR_NAME, _ ("There is no panel “%s”"), *panels);
      return false;
    }
  return true;
}

static OutputCutPiece *
piece_new (const ModelDocument *doc, const EnginePiece *piece, const ModelPanel *panel)
{
  OutputCutPiece *p = g_new0 (OutputCutPiece, 1);
  p->piece = piece;
  p->panel = panel;
  geom_path_init (&p->cut);
  geom_path_init (&p->seam);
  const char *side = engine_words_side (piece->side);
  p->label = *side != '\0' ? g_strdup_printf ("%s, %s", panel->name, side) : g_strdup (panel->name);
  g_autofree char *material = engine_words_material (doc, panel);
  const unsigned n = (unsigned)MAX (panel->quantity, 1);
  /* Every piece is drawn by itself, left and right: the number is how often this one is cut. */
  g_autofree char *quantity = g_strdup_printf (_ ("cut %u"), n);
  p->details
    = *material != '\0' ? g_strdup_printf ("%s, %s", quantity, material) : g_steal_pointer (&quantity);
  return p;
}

static void
put_at (OutputCutPiece *p, double x, double y, GeomBox box)
{
  p->to_drawing = geom_affine_move (x - box.x0, y - box.y0);
  geom_path_copy (&p->cut, &p->piece->cut);
  geom_path_copy (&p->seam, &p->piece->seam);
  geom_path_map (&p->cut, p->to_drawing);
  geom_path_map (&p->seam, p->to_drawing);
}

OutputCutDrawing *
output_cut_layout (EngineReview *review, const char *const *panels, GError **error)
{
  const ModelDocument *doc = engine_review_document (review);
  if (!names_are_known (doc, panels, error))
    return NULL;
  g_autoptr (OutputCutDrawing) drawing = g_new0 (OutputCutDrawing, 1);
  drawing->review = review;
  drawing->doc = doc;
  drawing->pieces = g_ptr_array_new_with_free_func (piece_free);
  const GPtrArray *all = engine_review_pieces (review);
  double x = BORDER_MM, y = BORDER_MM, row = 0.0;
  drawing->width_mm = 2.0 * BORDER_MM;
  for (guint i = 0; i < all->len; i++)
  {
    const EnginePiece *piece = (const EnginePiece *)g_ptr_array_index (all, i);
    const ModelPanel *panel = model_document_panel (doc, piece->panel_id);
    if (panel == NULL || piece->cut.count == 0 || !is_wanted (panels, panel))
      continue;
    const GeomBox box = geom_box_union (geom_path_box (&piece->cut), geom_path_box (&piece->seam));
    const double width = box.x1 - box.x0, height = box.y1 - box.y0;
    if (x > BORDER_MM && x + width > ROW_MM)
    {
      x = BORDER_MM;
      y += row + GAP_MM;
      row = 0.0;
    }
    OutputCutPiece *p = piece_new (doc, piece, panel);
    put_at (p, x, y, box);
    g_ptr_array_add (drawing->pieces, p);
    x += width + GAP_MM;
    row = MAX (row, height);
    drawing->width_mm = MAX (drawing->width_mm, x - GAP_MM + BORDER_MM);
  }
  drawing->height_mm = y + row + BORDER_MM;
  if (drawing->pieces->len == 0)
  {
    g_set_error_literal (error, OUTPUT_ERROR, OUTPUT_ERROR_NOTHING, _ ("There is no panel to draw"));
    return NULL;
  }
  return g_steal_pointer (&drawing);
}

/* ---- marks, moved ---- */

static bool
stage_of (const OutputCutDrawing *drawing,
          const OutputCutPiece *p,
          const OutputInk *ink,
          const OutputView *view,
          OutputStage *stage)
{
  return output_stage_init (stage, NULL, view, ink, drawing->review, p->piece, false, NULL, NULL);
}

GArray *
output_cut_marks (const OutputCutDrawing *drawing, const OutputCutPiece *p)
{
  GArray *out = g_array_new (FALSE, FALSE, sizeof (OutputCutMark));
  OutputInk ink;
  output_ink_print (&ink);
  const OutputView view = { p->to_drawing, 1.0 };
  OutputStage stage;
  if (!stage_of (drawing, p, &ink, &view, &stage))
    return out;
  g_autoptr (GArray) spots = output_mark_spots (&stage);
  for (guint i = 0; i < spots->len; i++)
  {
    const OutputMarkSpot *spot = &g_array_index (spots, OutputMarkSpot, i);
    const OutputCutMark mark
      = { geom_affine_apply (p->to_drawing, spot->at), geom_scale (spot->outward, -1.0), spot->wedges };
    g_array_append_val (out, mark);
  }
  return out;
}

static void
path_free (gpointer data)
{
  geom_path_clear ((GeomPath *)data);
  g_free (data);
}

GPtrArray *
output_cut_seams (const OutputCutDrawing *drawing, const OutputCutPiece *p)
{
  GPtrArray *out = g_ptr_array_new_with_free_func (path_free);
  OutputInk ink;
  output_ink_print (&ink);
  const OutputView view = { p->to_drawing, 1.0 };
  OutputStage stage;
  if (!stage_of (drawing, p, &ink, &view, &stage))
    return out;
  for (guint i = 0; i < stage.edge_count; i++)
  {
    if (!output_stage_seam_shows (&stage, i))
      continue;
    const EnginePieceEdge *edge = output_piece_edge (p->piece, i);
    GeomPath *path = g_new (GeomPath, 1);
    geom_path_init (path);
    for (size_t k = edge->first; k < edge->first + edge->count && k < p->seam.count; k++)
      geom_path_append (path, &p->seam.piece[k]);
    g_ptr_array_add (out, path);
  }
  return out;
}

GPtrArray *
output_cut_straps (const OutputCutDrawing *drawing, const OutputCutPiece *p)
{
  GPtrArray *out = g_ptr_array_new_with_free_func (path_free);
  OutputInk ink;
  output_ink_print (&ink);
  const OutputView view = { p->to_drawing, 1.0 };
  OutputStage stage;
  if (!stage_of (drawing, p, &ink, &view, &stage))
    return out;
  g_autoptr (GArray) spots = output_strap_spots (&stage);
  for (guint i = 0; i < spots->len; i++)
  {
    GeomPoint corner[4];
    GeomPath *path = g_new (GeomPath, 1);
    geom_path_init (path);
    output_strap_end (&g_array_index (spots, OutputStrapSpot, i), corner);
    for (int k = 0; k < 3; k++)
      geom_path_append_line (path, corner[k], corner[k + 1]);
    geom_path_map (path, p->to_drawing);
    g_ptr_array_add (out, path);
  }
  return out;
}

bool
output_cut_grain (const OutputCutPiece *p, GeomPoint *tail, GeomPoint *tip)
{
  if (!p->panel->has_grain)
    return false;
  double radius = 0.0;
  const GeomPoint place = output_piece_label_place (p->panel, p->piece, &radius);
  /* The other one of a pair is mirrored, and its grain with it. */
  const double rad = p->panel->grain_deg * G_PI / 180.0;
  GeomPoint along = { cos (rad), sin (rad) };
  if (p->panel->halves == MODEL_HALVES_PAIR && !p->piece->drawn)
    along = geom_affine_apply_vector (model_panel_mirror (p->panel), along);
  /* Beside the words, in the same circle. */
  GeomPoint across = geom_left_of (along);
  if (across.y > 0.5)
    across = geom_scale (across, -1.0);
  const GeomPoint at = geom_along (geom_affine_apply (p->to_drawing, place), ARROW_BESIDE * radius, across);
  const double half = MIN (0.55 * radius, 50.0);
  *tail = geom_along (at, -half, along);
  *tip = geom_along (at, half, along);
  return half > 0.0;
}

GeomPoint
output_cut_label_at (const OutputCutPiece *p, double *size_mm)
{
  double radius = 0.0;
  const GeomPoint at = output_piece_label_place (p->panel, p->piece, &radius);
  const glong letters
    = MAX (MAX (g_utf8_strlen (p->label, -1), (g_utf8_strlen (p->details, -1) * 7 + 9) / 10), 6);
  *size_mm = CLAMP (LABEL_WIDTH * radius / (LETTER_WIDTH * letters), 1.0, 6.0);
  return geom_affine_apply (p->to_drawing, at);
}

void
output_cut_number (GString *to, double v)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  g_string_append (to, g_ascii_formatd (text, sizeof text, "%.4f", fabs (v) < 0.00005 ? 0.0 : v));
}
