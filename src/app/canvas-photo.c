/* Photos under the panels: multiplied with the paper, or laid thinly on slate, where multiplying would show
 * nothing.
 *
 * A photo is decoded in a thread when it is first seen.  What is in view of it is sampled once for a zoom,
 * with a margin, and kept; moving the paper or the photo only moves that.  Multiplying is folded into the
 * kept picture: for a ground g and a photo's m a pixel of opacity 1 - min m that adds (m - min m) g gives g
 * m, so that the renderer only lays it over, which costs a tenth of a blend mode in software.
 */
#include "app/canvas-private.h"

#include "app/picture.h"
#include "app/theme.h"

#include <glib/gi18n.h>

#define MARGIN 0.15
/* Half of the ring at each corner. */
#define RING_PX 8.0
#define MOST_SIDE_PX 8192.0

typedef struct Shown
{
  GBytes *image;       /* as it was when it was read: another one is read anew */
  AppPicture *picture; /* NULL while it is read, and when it cannot be */
  bool broken;
  GCancellable *cancel;
  GskRenderNode *node; /* shifted px from the photo's own corner */
  graphene_rect_t box; /* of NODE */
  double key[8];
} Shown;

static void
shown_free (gpointer data)
{
  Shown *shown = data;
  if (shown->cancel != NULL)
    g_cancellable_cancel (shown->cancel);
  g_clear_object (&shown->cancel);
  g_clear_pointer (&shown->picture, app_picture_unref);
  g_clear_pointer (&shown->node, gsk_render_node_unref);
  g_bytes_unref (shown->image);
  g_free (shown);
}

GHashTable *
app_canvas_photos_new (void)
{
  return g_hash_table_new_full (NULL, NULL, NULL, shown_free);
}

/* ---- where a photo lies ---- */

GeomAffine
app_canvas_photo_map (const ModelPhoto *photo)
{
  return geom_affine_after (geom_affine_turn (photo->at, photo->turn_deg * G_PI / 180.0),
                            geom_affine_move (photo->at.x, photo->at.y));
}

/* Counter-clockwise from the corner it is placed by. */
static void
corners_of (const ModelPhoto *photo, GeomPoint corner[4])
{
  const GeomAffine map = app_canvas_photo_map (photo);
  const double w = photo->width_px * photo->mm_per_px, h = photo->height_px * photo->mm_per_px;
  const GeomPoint own[4] = { { 0.0, 0.0 }, { w, 0.0 }, { w, h }, { 0.0, h } };
  for (int i = 0; i < 4; i++)
    corner[i] = geom_affine_apply (map, own[i]);
}

GeomBox
app_canvas_photo_box (const ModelPhoto *photo)
{
  GeomPoint corner[4];
  corners_of (photo, corner);
  GeomBox box = geom_box_empty ();
  for (int i = 0; i < 4; i++)
    box = geom_box_with_point (box, corner[i]);
  return box;
}

guint
app_canvas_photo_at (AppCanvas *self, GeomPoint at)
{
  const ModelDocument *doc = app_canvas_document (self);
  for (guint i = doc != NULL ? doc->photos->len : 0; i-- > 0;)
  {
    const ModelPhoto *photo = g_ptr_array_index (doc->photos, i);
    GeomAffine back;
    if (photo->hidden || !geom_affine_inverse (app_canvas_photo_map (photo), &back))
      continue;
    const GeomPoint p = geom_affine_apply (back, at);
    if (p.x >= 0.0 && p.y >= 0.0 && p.x <= photo->width_px * photo->mm_per_px
        && p.y <= photo->height_px * photo->mm_per_px)
      return photo->id;
  }
  return 0;
}

bool
app_canvas_photo_under (AppCanvas *self, GeomBox box)
{
  const ModelDocument *doc = app_canvas_document (self);
  for (guint i = 0; doc != NULL && i < doc->photos->len; i++)
  {
    const ModelPhoto *photo = g_ptr_array_index (doc->photos, i);
    if (!photo->hidden && geom_box_overlaps (app_canvas_photo_box (photo), box))
      return true;
  }
  return false;
}

/* ---- reading ---- */

static void
on_read (GObject *source, GAsyncResult *result, gpointer user)
{
  AppCanvas *self = APP_CANVAS (source);
  g_autoptr (GError) error = NULL;
  g_autoptr (AppPicture) picture = app_picture_finish (result, &error);
  Shown *shown = g_hash_table_lookup (self->photos, user);
  if (shown == NULL || shown->cancel == NULL || shown->cancel != g_task_get_cancellable (G_TASK (result)))
    return;
  g_clear_object (&shown->cancel);
  shown->broken = picture == NULL;
  shown->picture = g_steal_pointer (&picture);
  app_canvas_still_forget (self);
  app_canvas_redraw (self);
}

static Shown *
shown_of (AppCanvas *self, const ModelPhoto *photo)
{
  gpointer key = GUINT_TO_POINTER (photo->id);
  Shown *shown = g_hash_table_lookup (self->photos, key);
  if (shown != NULL && shown->image == photo->image)
    return shown;
  shown = g_new0 (Shown, 1);
  shown->image = g_bytes_ref (photo->image);
  shown->cancel = g_cancellable_new ();
  g_hash_table_replace (self->photos, key, shown);
  app_picture_read (photo->image, photo->name, G_OBJECT (self), shown->cancel, on_read, key);
  return shown;
}

/* ---- painting ---- */

/* What of the photo's own colour remains at a fade, 0 .. 255, by the colour. */
static void
fade_pixels (cairo_surface_t *surface, double fade, bool slate, const OutputColour *ground)
{
  const int width = cairo_image_surface_get_width (surface),
            height = cairo_image_surface_get_height (surface);
  const gsize stride = (gsize)cairo_image_surface_get_stride (surface);
  const guint g[3]
    = { (guint)(ground->red * 256.0), (guint)(ground->green * 256.0), (guint)(ground->blue * 256.0) };
  guint8 m[256];
  for (int i = 0; i < 256; i++)
    m[i] = (guint8)((slate ? fade * i : 255.0 * (1.0 - fade) + fade * i) + 0.5);
  const guint32 thin = (guint32)(255.0 * fade + 0.5) << 24;
  cairo_surface_flush (surface);
  for (int y = 0; y < height; y++)
  {
    guint32 *row = (guint32 *)(void *)(cairo_image_surface_get_data (surface) + (gsize)y * stride);
    for (int x = 0; x < width; x++)
    {
      if (row[x] == 0)
        continue;
      const guint r = m[row[x] >> 16 & 255], gr = m[row[x] >> 8 & 255], b = m[row[x] & 255];
      if (slate)
      {
        row[x] = thin | r << 16 | gr << 8 | b;
        continue;
      }
      const guint least = MIN (MIN (r, gr), b);
      row[x] = (255u - least) << 24 | ((r - least) * g[0] >> 8) << 16 | ((gr - least) * g[1] >> 8) << 8
               | ((b - least) * g[2] >> 8);
    }
  }
  cairo_surface_mark_dirty (surface);
}

/* From shifted px relative to the photo's corner, y down, to places in PICTURE. */
static GeomAffine
to_picture (AppCanvas *self, const ModelPhoto *photo, const AppPicture *picture)
{
  const double turn = photo->turn_deg * G_PI / 180.0, c = cos (turn), s = sin (turn);
  const double fx = picture->photo->width / (photo->width_px * photo->mm_per_px * self->scale),
               fy = picture->photo->height / (photo->height_px * photo->mm_per_px * self->scale);
  /* (u, -v) turned back, in the photo's px, y down. */
  return (GeomAffine) { c * fx, -s * fx, s * fy, c * fy, -0.5, picture->photo->height - 0.5 };
}

static void
build_node (AppCanvas *self, const ModelPhoto *photo, Shown *shown, const graphene_rect_t *box)
{
  const int factor = gtk_widget_get_scale_factor (GTK_WIDGET (self));
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, (int)box->size.width * factor,
                                                         (int)box->size.height * factor);
  g_clear_pointer (&shown->node, gsk_render_node_unref);
  shown->box = *box;
  if (cairo_surface_status (surface) == CAIRO_STATUS_SUCCESS)
  {
    const double step = 1.0 / factor;
    const GeomAffine pixels
      = { step, 0.0, 0.0, step, box->origin.x + 0.5 * step, box->origin.y + 0.5 * step };
    const GeomAffine map = geom_affine_after (to_picture (self, photo, shown->picture), pixels);
    app_picture_paint (shown->picture, &map, surface);
    fade_pixels (surface, photo->fade, self->slate, &app_canvas_ink (self)->tone[OUTPUT_TONE_CANVAS]);
    shown->node = gsk_cairo_node_new (box);
    cairo_t *cr = gsk_cairo_node_get_draw_context (shown->node);
    cairo_surface_set_device_scale (surface, factor, factor);
    cairo_set_source_surface (cr, surface, box->origin.x, box->origin.y);
    cairo_pattern_set_filter (cairo_get_source (cr), CAIRO_FILTER_NEAREST);
    cairo_paint (cr);
    cairo_destroy (cr);
    self->nodes_built++;
  }
  cairo_surface_destroy (surface);
}

/* While it is read, and where it cannot be: an empty sheet of its size. */
static void
paint_blank (AppCanvas *self, GtkSnapshot *snapshot, const ModelPhoto *photo, bool broken)
{
  GeomPoint corner[4];
  corners_of (photo, corner);
  const OutputView view = app_canvas_shifted_view (self);
  const OutputInk *ink = app_canvas_ink (self);
  cairo_t *cr = app_canvas_record ();
  for (int i = 0; i < 4; i++)
  {
    const GeomPoint at = geom_affine_apply (view.to_device, corner[i]);
    cairo_line_to (cr, at.x, at.y);
  }
  cairo_close_path (cr);
  output_set_tone (cr, ink, OUTPUT_TONE_GRID_BOLD);
  cairo_set_line_width (cr, 1.0);
  cairo_stroke (cr);
  const GeomPoint middle = geom_affine_apply (
    view.to_device, geom_point ((corner[0].x + corner[2].x) / 2.0, (corner[0].y + corner[2].y) / 2.0));
  output_draw_text (cr, ink, middle.x, middle.y, 0.0, 13.0, false, OUTPUT_TONE_INK_2, OUTPUT_TONE_CANVAS,
                    broken ? _ ("This photo cannot be read.") : _ ("Reading the photo…"));
  GskRenderNode *node = app_canvas_recorded (cr);
  if (node != NULL)
    gtk_snapshot_append_node (snapshot, node);
  g_clear_pointer (&node, gsk_render_node_unref);
}

static void
paint_photo (AppCanvas *self, GtkSnapshot *snapshot, const ModelPhoto *photo, const graphene_rect_t *seen)
{
  const GeomBox mm = app_canvas_photo_box (photo);
  const double scale = self->scale, x0 = photo->at.x * scale, y0 = -photo->at.y * scale;
  graphene_rect_t whole
    = GRAPHENE_RECT_INIT ((float)(mm.x0 * scale - x0), (float)(-mm.y1 * scale - y0),
                          (float)((mm.x1 - mm.x0) * scale), (float)((mm.y1 - mm.y0) * scale));
  graphene_rect_t view = GRAPHENE_RECT_INIT ((float)(seen->origin.x - x0), (float)(seen->origin.y - y0),
                                             seen->size.width, seen->size.height);
  graphene_rect_t part;
  if (!graphene_rect_intersection (&whole, &view, &part))
    return;
  Shown *shown = shown_of (self, photo);
  if (shown->picture == NULL)
  {
    paint_blank (self, snapshot, photo, shown->broken);
    return;
  }
  const double key[8] = { scale,
                          photo->turn_deg,
                          photo->mm_per_px,
                          photo->fade,
                          self->slate,
                          app_theme_serial (),
                          photo->width_px * 65536.0 + photo->height_px,
                          gtk_widget_get_scale_factor (GTK_WIDGET (self)) };
  if (shown->node == NULL || memcmp (key, shown->key, sizeof key) != 0
      || !graphene_rect_contains_rect (&shown->box, &part))
  {
    memcpy (shown->key, key, sizeof key);
    graphene_rect_t box = view;
    graphene_rect_inset (&box, (float)(-MARGIN * view.size.width), (float)(-MARGIN * view.size.height));
    graphene_rect_intersection (&box, &whole, &box);
    graphene_rect_round_extents (&box, &box);
    if (box.size.width < 1.0f || box.size.height < 1.0f || box.size.width > MOST_SIDE_PX
        || box.size.height > MOST_SIDE_PX)
      return;
    build_node (self, photo, shown, &box);
  }
  if (shown->node == NULL)
    return;
  /* Whole px: between them the renderer would blur it and take ten times as long. */
  gtk_snapshot_save (snapshot);
  gtk_snapshot_translate (snapshot, &GRAPHENE_POINT_INIT ((float)(floor (x0 + self->ox + 0.5) - self->ox),
                                                          (float)(floor (y0 + self->oy + 0.5) - self->oy)));
  gtk_snapshot_append_node (snapshot, shown->node);
  gtk_snapshot_restore (snapshot);
}

void
app_canvas_paint_photos (AppCanvas *self, GtkSnapshot *snapshot, graphene_rect_t seen)
{
  const ModelDocument *doc = app_canvas_document (self);
  for (guint i = 0; i < doc->photos->len; i++)
  {
    const ModelPhoto *photo = g_ptr_array_index (doc->photos, i);
    if (!photo->hidden && photo->image != NULL)
      paint_photo (self, snapshot, photo, &seen);
  }
}

/* The chosen photo: its rim, and a ring at each corner. */
void
app_canvas_paint_photo_chosen (AppCanvas *self, GtkSnapshot *snapshot)
{
  const AppSelection *s = app_canvas_selection (self);
  const ModelPhoto *photo
    = s->photo_id != 0 ? model_document_photo (app_canvas_document (self), s->photo_id) : NULL;
  if (photo == NULL || photo->hidden)
    return;
  GeomPoint corner[4];
  corners_of (photo, corner);
  const OutputInk *ink = app_canvas_ink (self);
  const OutputView view = app_canvas_widget_view (self);
  cairo_t *cr = app_canvas_record ();
  output_set_tone (cr, ink, OUTPUT_TONE_BLUE);
  for (int i = 0; i < 4; i++)
  {
    corner[i] = geom_affine_apply (view.to_device, corner[i]);
    cairo_line_to (cr, corner[i].x, corner[i].y);
  }
  cairo_close_path (cr);
  cairo_set_line_width (cr, 1.2);
  cairo_stroke (cr);
  for (int i = 0; i < 4; i++)
  {
    cairo_new_path (cr);
    cairo_arc (cr, corner[i].x, corner[i].y, RING_PX, 0.0, 2.0 * G_PI);
    output_set_tone (cr, ink, OUTPUT_TONE_CANVAS);
    cairo_set_line_width (cr, 4.4);
    cairo_stroke_preserve (cr);
    output_set_tone (cr, ink, OUTPUT_TONE_BLUE);
    cairo_set_line_width (cr, 2.0);
    cairo_stroke (cr);
    /* Three pins: it is locked. */
    for (int pin = -1; pin <= 1 && photo->locked; pin++)
    {
      cairo_arc (cr, corner[i].x + 4.0 * pin, corner[i].y, 1.2, 0.0, 2.0 * G_PI);
      cairo_fill (cr);
    }
  }
  GskRenderNode *node = app_canvas_recorded (cr);
  if (node != NULL)
    gtk_snapshot_append_node (snapshot, node);
  g_clear_pointer (&node, gsk_render_node_unref);
}

/* ---- deeds ---- */

static ModelPhoto *
chosen_copy (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  const ModelPhoto *photo
    = s != NULL && s->photo_id != 0 ? model_document_photo (app_canvas_document (self), s->photo_id) : NULL;
  return photo != NULL ? model_photo_copy (photo) : NULL;
}

bool
app_canvas_nudge_photo (AppCanvas *self, double dx_mm, double dy_mm)
{
  g_autoptr (ModelPhoto) photo = chosen_copy (self);
  ModelHistory *history = app_canvas_history (self);
  if (photo == NULL || model_history_is_open (history))
    return false;
  if (photo->locked)
  {
    app_canvas_tell (self, _ ("This photo is locked."));
    return true;
  }
  photo->at = geom_add (photo->at, geom_point (dx_mm, dy_mm));
  model_history_begin_merging (history, _ ("Nudge photo"), "nudge photo");
  model_history_put_photo (history, g_steal_pointer (&photo));
  model_history_end (history);
  return true;
}

void
app_canvas_remove_photo (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  if (s == NULL || s->photo_id == 0)
    return;
  ModelHistory *history = app_canvas_history (self);
  const guint photo_id = s->photo_id;
  model_history_begin (history, _ ("Remove photo"));
  model_history_remove (history, MODEL_PART_PHOTO, photo_id);
  model_history_end (history);
}

void
app_canvas_show_photos (AppCanvas *self)
{
  const ModelDocument *doc = app_canvas_document (self);
  ModelHistory *history = app_canvas_history (self);
  model_history_begin (history, _ ("Show photos"));
  for (guint i = 0; i < doc->photos->len; i++)
  {
    const ModelPhoto *was = g_ptr_array_index (doc->photos, i);
    if (!was->hidden)
      continue;
    ModelPhoto *photo = model_photo_copy (was);
    photo->hidden = false;
    model_history_put_photo (history, photo);
  }
  model_history_end (history);
}

bool
app_canvas_has_hidden_photo (AppCanvas *self)
{
  const ModelDocument *doc = app_canvas_document (self);
  for (guint i = 0; i < doc->photos->len; i++)
    if (((const ModelPhoto *)g_ptr_array_index (doc->photos, i))->hidden)
      return true;
  return false;
}
