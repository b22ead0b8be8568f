/* Thumbnails show outlines only: at this size a hatch or a letter would be dirt. */
#include "app/thumb.h"

#include "app/theme.h"
#include "engine/review.h"
#include "output/draw.h"

#define MARGIN_PX 10.0

typedef struct Thumb
{
  ModelDocument *doc;
  EngineReview *review;
} Thumb;

static void
thumb_free (gpointer data)
{
  Thumb *thumb = data;
  g_clear_pointer (&thumb->review, engine_review_free);
  g_clear_pointer (&thumb->doc, model_document_free);
  g_free (thumb);
}

/* The drawn pieces alone: a twin would make everything half as large. */
static bool
is_shown (const EnginePiece *piece)
{
  return piece->drawn && piece->seam.count > 0;
}

static void
draw (GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer data)
{
  Thumb *thumb = data;
  if (thumb->review == NULL)
    return;
  const GPtrArray *pieces = engine_review_pieces (thumb->review);
  GeomBox box = geom_box_empty ();
  for (guint i = 0; i < pieces->len; i++)
  {
    const EnginePiece *piece = g_ptr_array_index (pieces, i);
    if (is_shown (piece))
      box = geom_box_union (box, geom_path_box (&piece->seam));
  }
  if (geom_box_is_empty (box))
    return;
  double across = MAX (box.x1 - box.x0, 1.0), up = MAX (box.y1 - box.y0, 1.0);
  double scale = MIN ((width - 2 * MARGIN_PX) / across, (height - 2 * MARGIN_PX) / up);
  OutputView view = {
    .to_device = { scale, 0, 0, -scale, width / 2.0 - scale * (box.x0 + box.x1) / 2,
                   height / 2.0 + scale * (box.y0 + box.y1) / 2 },
    .scale = scale,
  };
  OutputInk ink;
  app_theme_ink (&ink, 1.0);
  for (guint i = 0; i < pieces->len; i++)
  {
    const EnginePiece *piece = g_ptr_array_index (pieces, i);
    if (!is_shown (piece))
      continue;
    output_trace_path (cr, &view, &piece->seam);
    output_set_tone (cr, &ink, OUTPUT_TONE_FACE);
    cairo_fill_preserve (cr);
    output_set_tone (cr, &ink, OUTPUT_TONE_INK);
    cairo_set_line_width (cr, 1.3);
    cairo_stroke (cr);
  }
}

GtkWidget *
app_thumb_new (ModelDocument *doc, int width, int height)
{
  GtkWidget *area = gtk_drawing_area_new ();
  Thumb *thumb = g_new0 (Thumb, 1);
  thumb->doc = doc;
  thumb->review = doc != NULL ? engine_review_new (doc) : NULL;
  gtk_drawing_area_set_content_width (GTK_DRAWING_AREA (area), width);
  gtk_drawing_area_set_content_height (GTK_DRAWING_AREA (area), height);
  gtk_drawing_area_set_draw_func (GTK_DRAWING_AREA (area), draw, thumb, thumb_free);
  gtk_widget_set_can_target (area, FALSE);
  return area;
}
