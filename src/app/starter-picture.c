/* The scale follows the panels, so the picture is always full; the measured stretch below tells how large
 * they are. */
#include "app/starter-picture.h"

#include "app/theme.h"
#include "engine/review.h"
#include "engine/words.h"
#include "output/draw.h"

#include <math.h>

#define SIDE_PX 88.0     /* room for the lengths round the panels */
#define FOOT_PX 44.0     /* and for the measured stretch */
#define TEXT_PX 12.0     /* lengths */
#define SHORTEST_PX 34.0 /* an edge shorter than this has no room for its length */
#define ACCURACY_MM 0.01
#define DART_PX 3.0 /* the narrowest place that is looked for */
#define PALE 0.35

struct _AppStarterPicture
{
  GtkWidget parent;
  ModelDocument *doc;
  EngineReview *review;
  bool pale;
};

G_DEFINE_FINAL_TYPE (AppStarterPicture, app_starter_picture, GTK_TYPE_WIDGET)

/* The edges as drawn: half of an opened panel, and the drawn one of a pair. */
static bool
is_drawn_edge (const EnginePiece *piece, const EnginePieceEdge *edge)
{
  return edge->mirrored == piece->clockwise;
}

static GeomBox
box_of (const EnginePiece *piece)
{
  GeomBox box = geom_box_empty ();
  for (guint i = 0; i < piece->edges->len; i++)
  {
    const EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, i);
    for (size_t k = 0; k < edge->count && is_drawn_edge (piece, edge); k++)
      box = geom_box_union (box, geom_cubic_box (&piece->seam.piece[edge->first + k]));
  }
  return box;
}

static bool
find_view (const GPtrArray *pieces, double width, double height, OutputView *view)
{
  GeomBox box = geom_box_empty ();
  for (guint i = 0; i < pieces->len; i++)
  {
    const EnginePiece *piece = g_ptr_array_index (pieces, i);
    if (piece->drawn && piece->seam.count > 0)
      box = geom_box_union (box, box_of (piece));
  }
  if (geom_box_is_empty (box) || width <= 2 * SIDE_PX || height <= SIDE_PX + FOOT_PX + TEXT_PX)
    return false;
  double across = fmax (box.x1 - box.x0, 1.0), up = fmax (box.y1 - box.y0, 1.0);
  double room = height - SIDE_PX / 2 - FOOT_PX - TEXT_PX;
  double scale = fmin ((width - 2 * SIDE_PX) / across, (room - SIDE_PX / 2) / up);
  if (!(scale > 0.0) || !isfinite (scale))
    return false;
  *view = (OutputView) {
    .to_device = { scale, 0, 0, -scale, width / 2 - scale * (box.x0 + box.x1) / 2,
                   SIDE_PX / 4 + room / 2 + scale * (box.y0 + box.y1) / 2 },
    .scale = scale,
  };
  return true;
}

/* ---- lengths ---- */

/* Lengths already written: no two may lie over each other. */
typedef struct Lengths
{
  const OutputView *view;
  const GPtrArray *pieces;
  GArray *taken; /* GeomBox, device units */
  double width, height;
} Lengths;

static bool
point_lies_free (const Lengths *lengths, double x, double y, const EnginePiece *inside)
{
  const GeomAffine to = lengths->view->to_device;
  GeomPoint at = geom_point ((x - to.x0) / lengths->view->scale, (to.y0 - y) / lengths->view->scale);
  if (inside != NULL)
    return geom_path_contains (&inside->seam, at);
  for (guint i = 0; i < lengths->pieces->len; i++)
  {
    const EnginePiece *piece = g_ptr_array_index (lengths->pieces, i);
    if (piece->drawn && geom_path_contains (&piece->cut, at))
      return false;
  }
  return true;
}

/* All of it in no piece, or all of it in INSIDE; so closely looked at that a dart is not missed. */
static bool
lies_free (const Lengths *lengths, GeomBox box, const EnginePiece *inside)
{
  for (double x = box.x0; x <= box.x1; x += DART_PX)
    for (int row = 0; row < 3; row++)
      if (!point_lies_free (lengths, x, box.y0 + (box.y1 - box.y0) * row / 2, inside))
        return false;
  return true;
}

static bool
may_lie (const Lengths *lengths, GeomBox box, const EnginePiece *inside)
{
  if (box.x0 < 0 || box.y0 < 0 || box.x1 > lengths->width || box.y1 > lengths->height - FOOT_PX)
    return false;
  for (guint i = 0; i < lengths->taken->len; i++)
  {
    const GeomBox *other = &g_array_index (lengths->taken, GeomBox, i);
    if (box.x0 < other->x1 && other->x0 < box.x1 && box.y0 < other->y1 && other->y0 < box.y1)
      return false;
  }
  return lies_free (lengths, box, inside);
}

/* Beside the middle of the edge, level, outside where there is room, else inside, else nowhere. */
static void
draw_length (cairo_t *cr,
             const OutputInk *ink,
             Lengths *lengths,
             const ModelDocument *doc,
             const EnginePiece *piece,
             const EnginePieceEdge *edge)
{
  if (edge->length_mm * lengths->view->scale < SHORTEST_PX)
    return;
  GeomPath path;
  geom_path_init (&path);
  for (size_t k = 0; k < edge->count; k++)
    geom_path_append (&path, &piece->seam.piece[edge->first + k]);
  GeomPlace middle = geom_path_place_at (&path, geom_path_length (&path, ACCURACY_MM) / 2, ACCURACY_MM);
  GeomPoint at = geom_affine_apply (lengths->view->to_device, geom_path_point (&path, middle));
  GeomPoint along = geom_affine_apply_vector (lengths->view->to_device, geom_path_tangent (&path, middle));
  geom_path_clear (&path);
  double size = hypot (along.x, along.y);
  if (!(size > 0.0))
    return;
  g_autofree char *text = engine_words_length (doc, edge->length_mm);
  double w = 0, h = 0;
  output_measure_text (cr, TEXT_PX, true, text, &w, &h);
  h = fmax (h, TEXT_PX * 1.2);
  /* The outline runs counter-clockwise: outside is at the right hand; y points down here. */
  double out_x = -along.y / size, out_y = along.x / size;
  double near = (w * fabs (out_x) + h * fabs (out_y)) / 2 + 6;
  const double ways[] = { near, near + 8, near + 20, -near, -near - 8 };
  for (guint i = 0; i < G_N_ELEMENTS (ways); i++)
  {
    double x = at.x + ways[i] * out_x, y = at.y + ways[i] * out_y;
    GeomBox box = { x - w / 2 - 3, y - h / 2, x + w / 2 + 3, y + h / 2 };
    bool inside = ways[i] < 0;
    if (!may_lie (lengths, box, inside ? piece : NULL))
      continue;
    g_array_append_val (lengths->taken, box);
    output_draw_text (cr, ink, x, y, 0, TEXT_PX, true, OUTPUT_TONE_INK,
                      inside ? OUTPUT_TONE_FACE : OUTPUT_TONE_CANVAS, text);
    return;
  }
}

static void
draw_lengths (cairo_t *cr,
              const OutputView *view,
              const OutputInk *ink,
              const ModelDocument *doc,
              const GPtrArray *pieces,
              double width,
              double height)
{
  g_autoptr (GArray) taken = g_array_new (FALSE, FALSE, sizeof (GeomBox));
  Lengths lengths = { view, pieces, taken, width, height };
  for (guint i = 0; i < pieces->len; i++)
  {
    const EnginePiece *piece = g_ptr_array_index (pieces, i);
    for (guint k = 0; piece->drawn && k < piece->edges->len; k++)
    {
      const EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, k);
      if (is_drawn_edge (piece, edge))
        draw_length (cr, ink, &lengths, doc, piece, edge);
    }
  }
}

/* 100 mm or 4 in; a tenth or ten times as much where that would not be seen or not fit. */
static void
draw_stretch (
  cairo_t *cr, const OutputView *view, const OutputInk *ink, const ModelDocument *doc, double height)
{
  double mm = doc->head->unit == MODEL_UNIT_INCH ? 101.6 : 100.0;
  if (mm * view->scale > 240)
    mm /= doc->head->unit == MODEL_UNIT_INCH ? 4 : 10;
  else if (mm * view->scale < 24)
    mm *= 10;
  double x0 = 24.5, x1 = x0 + mm * view->scale, y = floor (height - 20) + 0.5;
  g_autofree char *text = model_unit_text (mm, doc->head->unit, 0);
  output_set_tone (cr, ink, OUTPUT_TONE_INK_2);
  cairo_set_line_width (cr, 1);
  cairo_move_to (cr, x0, y - 5);
  cairo_line_to (cr, x0, y + 5);
  cairo_move_to (cr, x0, y);
  cairo_line_to (cr, x1, y);
  cairo_move_to (cr, x1, y - 5);
  cairo_line_to (cr, x1, y + 5);
  cairo_stroke (cr);
  double w = 0, h = 0;
  output_measure_text (cr, TEXT_PX, false, text, &w, &h);
  output_draw_text (cr, ink, x1 + 10 + w / 2, y, 0, TEXT_PX, false, OUTPUT_TONE_INK_2, -1, text);
}

static void
paint (AppStarterPicture *self, cairo_t *cr, double width, double height)
{
  const GPtrArray *pieces = engine_review_pieces (self->review);
  OutputView view;
  if (!find_view (pieces, width, height, &view))
    return;
  OutputInk ink;
  output_ink_screen (&ink, CLAMP (view.scale * 25.4 / 96 * 100, 12, 100), app_theme_is_slate (),
                     app_theme_tones ());
  for (guint i = 0; i < pieces->len; i++)
  {
    const EnginePiece *piece = g_ptr_array_index (pieces, i);
    if (piece->drawn && piece->seam.count > 0)
      output_draw_piece (cr, &view, &ink, self->review, piece, true,
                         OUTPUT_DRAW_FACE | OUTPUT_DRAW_ALLOWANCES | OUTPUT_DRAW_SEAM | OUTPUT_DRAW_CUT
                           | OUTPUT_DRAW_MARKS | OUTPUT_DRAW_FOLD | OUTPUT_DRAW_GRAIN);
  }
  draw_lengths (cr, &view, &ink, self->doc, pieces, width, height);
  draw_stretch (cr, &view, &ink, self->doc, height);
}

static void
app_starter_picture_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  AppStarterPicture *self = APP_STARTER_PICTURE (widget);
  int width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget);
  if (self->review == NULL || width < 1 || height < 1)
    return;
  if (self->pale)
    gtk_snapshot_push_opacity (snapshot, PALE);
  cairo_t *cr = gtk_snapshot_append_cairo (snapshot, &GRAPHENE_RECT_INIT (0, 0, (float)width, (float)height));
  paint (self, cr, width, height);
  cairo_destroy (cr);
  if (self->pale)
    gtk_snapshot_pop (snapshot);
}

static void
app_starter_picture_measure (GtkWidget *widget,
                             GtkOrientation orientation,
                             int for_size,
                             int *minimum,
                             int *natural,
                             int *minimum_baseline,
                             int *natural_baseline)
{
  *minimum = 280;
  *natural = 480;
}

static void
drop (AppStarterPicture *self)
{
  g_clear_pointer (&self->review, engine_review_free);
  g_clear_pointer (&self->doc, model_document_free);
}

static void
app_starter_picture_finalize (GObject *object)
{
  drop (APP_STARTER_PICTURE (object));
  G_OBJECT_CLASS (app_starter_picture_parent_class)->finalize (object);
}

static void
app_starter_picture_class_init (AppStarterPictureClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = app_starter_picture_finalize;
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  widget_class->snapshot = app_starter_picture_snapshot;
  widget_class->measure = app_starter_picture_measure;
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
app_starter_picture_init (AppStarterPicture *self)
{
  gtk_widget_set_overflow (GTK_WIDGET (self), GTK_OVERFLOW_HIDDEN);
}

GtkWidget *
app_starter_picture_new (void)
{
  return g_object_new (APP_TYPE_STARTER_PICTURE, NULL);
}

void
app_starter_picture_set (AppStarterPicture *self, ModelDocument *doc)
{
  self->pale = doc == NULL;
  if (doc != NULL)
  {
    drop (self);
    self->doc = doc;
    self->review = engine_review_new (doc);
  }
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

ModelDocument *
app_starter_picture_document (AppStarterPicture *self)
{
  return self->pale ? NULL : self->doc;
}
