/* What stands on the paper as one picture, while the paper moves.
 *
 * Ground, grid, photos and pieces are drawn into a picture that reaches beyond the view, in shifted px, and a
 * frame only copies it.
 *
 *      ┌───────────────────────────┐ picture
 *      │     ┌─────────────┐       │
 *      │     │ view     ──►│       │   the view leaves it on the right: what is still wanted is pushed
 *      │     └─────────────┘       │   aside, and only the strip that came in is drawn
 *      └───────────────────────────┘
 *
 * The picture outlives the motion.  Before it is shown again, the nodes that it was drawn from are compared
 * with those that would be drawn now, and only where they differ it is drawn anew: so an edit, a selection
 * that brings a mirrored half up, or a panel that went need no word of their own.  It is made ready a little
 * after everything has come to rest, so that the first frame of a motion is as quick as any other.
 *
 * While a zoom goes on, the picture is shown smaller or larger than it was drawn; at rest the lines are sharp
 * again, because then it is not shown at all.
 *
 * The pixels are our own memory and not a cairo surface's: cairo copies a surface that is drawn on while a
 * recording still holds it, and the toolkit holds the last frame's.
 */
#include "app/canvas-private.h"

#include "app/theme.h"

#include <string.h>

/* Fewer panels are drawn faster than a picture of them is made. */
#define LEAST_PANELS 24
/* How far the picture reaches beyond the view on each side, as a part of the view. */
#define MARGIN 0.25
/* The strip that is drawn when the view leaves the picture is this much wider than needed: wider strips come
 * seldom, narrow ones take less of a frame. */
#define AHEAD_PX 48
/* Larger it would be too coarse even for a moment, smaller it no longer fills the view. */
#define MOST_LARGER 2.0
#define MOST_SMALLER 1.5
#define REST_MS 180
#define READY_MS 300
/* A picture of 64 MiB: a view of 3840x2160 px with a fifth around it. */
#define MOST_PX (16 << 20)
/* cairo draws a stroke that is cut off a level lighter or darker here and there along its whole length, so a
 * part is drawn with this much round it, of which nothing is kept: pieces of that size come out whole. */
#define CUT_PX 128
/* So many parts cost more than all that lies between them. */
#define MOST_PARTS 6

struct AppStill
{
  guint32 *pixels; /* NULL: nothing is kept */
  cairo_rectangle_int_t box;
  int factor;
  double scale;
  double key[4];
  GPtrArray *drawn;    /* GskRenderNode of the pieces, in the order of painting */
  GskRenderNode *node; /* shows BOX */
  guint rest_timer;    /* runs while the paper moves */
  guint ready_timer;
  bool zooms;
};

static AppStill *
still_of (AppCanvas *self)
{
  if (self->still == NULL)
  {
    self->still = g_new0 (AppStill, 1);
    self->still->drawn = g_ptr_array_new_with_free_func ((GDestroyNotify)gsk_render_node_unref);
  }
  return self->still;
}

void
app_canvas_still_forget (AppCanvas *self)
{
  AppStill *still = self->still;
  if (still == NULL)
    return;
  g_ptr_array_set_size (still->drawn, 0);
  g_clear_pointer (&still->node, gsk_render_node_unref);
  g_clear_pointer (&still->pixels, g_rc_box_release);
}

void
app_canvas_still_clear (AppCanvas *self)
{
  if (self->still == NULL)
    return;
  app_canvas_still_forget (self);
  g_clear_handle_id (&self->still->rest_timer, g_source_remove);
  g_clear_handle_id (&self->still->ready_timer, g_source_remove);
  g_ptr_array_unref (self->still->drawn);
  g_clear_pointer (&self->still, g_free);
}

/* ---- pixels ---- */

static graphene_rect_t
as_rect (const cairo_rectangle_int_t *box)
{
  return GRAPHENE_RECT_INIT ((float)box->x, (float)box->y, (float)box->width, (float)box->height);
}

static void
release_pixels (void *pixels)
{
  g_rc_box_release (pixels);
}

/* A surface over BOX's pixels that takes shifted px; yours.  It keeps the pixels alive. */
static cairo_surface_t *
surface_over (guint32 *pixels, const cairo_rectangle_int_t *box, int factor)
{
  static const cairo_user_data_key_t key;
  cairo_surface_t *surface
    = cairo_image_surface_create_for_data ((guint8 *)pixels, CAIRO_FORMAT_RGB24, box->width * factor,
                                           box->height * factor, box->width * factor * (int)sizeof *pixels);
  if (cairo_surface_set_user_data (surface, &key, g_rc_box_acquire (pixels), release_pixels)
      != CAIRO_STATUS_SUCCESS)
    g_rc_box_release (pixels);
  cairo_surface_set_device_scale (surface, factor, factor);
  cairo_surface_set_device_offset (surface, -(double)box->x * factor, -(double)box->y * factor);
  return surface;
}

static guint32 *
new_pixels (const cairo_rectangle_int_t *box, int factor)
{
  return g_rc_box_alloc (sizeof (guint32) * (gsize)box->width * (gsize)factor * (gsize)box->height
                         * (gsize)factor);
}

/* What both boxes have in common, from FROM's pixels into TO's; they may be the same memory. */
static void
copy_common (const guint32 *from,
             const cairo_rectangle_int_t *from_box,
             guint32 *to,
             const cairo_rectangle_int_t *to_box,
             const cairo_rectangle_int_t *common,
             int factor)
{
  const gsize from_row = (gsize)from_box->width * (gsize)factor,
              to_row = (gsize)to_box->width * (gsize)factor, count = (gsize)common->width * (gsize)factor,
              rows = (gsize)common->height * (gsize)factor;
  from
    += (gsize)((common->y - from_box->y) * factor) * from_row + (gsize)((common->x - from_box->x) * factor);
  to += (gsize)((common->y - to_box->y) * factor) * to_row + (gsize)((common->x - to_box->x) * factor);
  /* Never over rows that are yet to be read. */
  const bool upward = to > from;
  for (gsize i = 0; i < rows; i++)
  {
    const gsize row = upward ? rows - 1 - i : i;
    memmove (to + row * to_row, from + row * from_row, count * sizeof *to);
  }
}

/* ---- what is drawn ---- */

/* The pieces' nodes about BOX, in the order of painting; yours. */
static GPtrArray *
pieces_about (AppCanvas *self, const cairo_rectangle_int_t *box)
{
  GPtrArray *nodes = g_ptr_array_new_with_free_func ((GDestroyNotify)gsk_render_node_unref);
  GtkSnapshot *snapshot = gtk_snapshot_new ();
  app_canvas_paint_pieces (self, snapshot, as_rect (box));
  GskRenderNode *all = gtk_snapshot_free_to_node (snapshot);
  if (all != NULL && gsk_render_node_get_node_type (all) == GSK_CONTAINER_NODE)
    for (guint i = 0; i < gsk_container_node_get_n_children (all); i++)
      g_ptr_array_add (nodes, gsk_render_node_ref (gsk_container_node_get_child (all, i)));
  else if (all != NULL)
    g_ptr_array_add (nodes, gsk_render_node_ref (all));
  g_clear_pointer (&all, gsk_render_node_unref);
  return nodes;
}

static cairo_rectangle_int_t
reach_of (GskRenderNode *node)
{
  graphene_rect_t bounds;
  gsk_render_node_get_bounds (node, &bounds);
  graphene_rect_round_extents (&bounds, &bounds);
  return (cairo_rectangle_int_t) { (int)bounds.origin.x, (int)bounds.origin.y, (int)bounds.size.width,
                                   (int)bounds.size.height };
}

static void
add_missing (const GPtrArray *nodes, GHashTable *among, cairo_region_t *differs)
{
  for (guint i = 0; i < nodes->len; i++)
    if (!g_hash_table_contains (among, g_ptr_array_index (nodes, i)))
    {
      const cairo_rectangle_int_t reach = reach_of (g_ptr_array_index (nodes, i));
      cairo_region_union_rectangle (differs, &reach);
    }
}

/* Adds where the two would look different.  False: they are painted in another order, anything may. */
static bool
compare (const GPtrArray *was, const GPtrArray *now, cairo_region_t *differs)
{
  g_autoptr (GHashTable) before = g_hash_table_new (NULL, NULL), after = g_hash_table_new (NULL, NULL);
  for (guint i = 0; i < was->len; i++)
    g_hash_table_add (before, g_ptr_array_index (was, i));
  for (guint i = 0; i < now->len; i++)
    g_hash_table_add (after, g_ptr_array_index (now, i));
  add_missing (was, after, differs);
  add_missing (now, before, differs);
  guint k = 0;
  for (guint i = 0; i < was->len; i++)
  {
    if (!g_hash_table_contains (after, g_ptr_array_index (was, i)))
      continue;
    while (!g_hash_table_contains (before, g_ptr_array_index (now, k)))
      k++;
    if (g_ptr_array_index (was, i) != g_ptr_array_index (now, k))
      return false;
    k++;
  }
  return true;
}

/* Right inside PART, on a SURFACE over GROWN. */
static void
draw_nodes (AppCanvas *self,
            cairo_surface_t *surface,
            const cairo_rectangle_int_t *grown,
            const cairo_rectangle_int_t *part,
            GskRenderNode *photos,
            const GPtrArray *pieces)
{
  const graphene_rect_t rect = as_rect (part), all = as_rect (grown);
  cairo_t *cr = cairo_create (surface);
  app_canvas_draw_ground (self, cr, &all);
  if (photos != NULL)
    gsk_render_node_draw (photos, cr);
  for (guint i = 0; i < pieces->len; i++)
  {
    graphene_rect_t bounds;
    GskRenderNode *node = g_ptr_array_index (pieces, i);
    gsk_render_node_get_bounds (node, &bounds);
    if (graphene_rect_intersection (&bounds, &rect, NULL))
      gsk_render_node_draw (node, cr);
  }
  cairo_destroy (cr);
}

/* WANTED in shifted px, inside the picture. */
static void
draw_region (AppCanvas *self, const cairo_region_t *wanted, const GPtrArray *pieces)
{
  AppStill *still = self->still;
  GtkSnapshot *snapshot = gtk_snapshot_new ();
  app_canvas_paint_photos (self, snapshot, as_rect (&still->box));
  GskRenderNode *photos = gtk_snapshot_free_to_node (snapshot);
  for (int i = 0; i < cairo_region_num_rectangles (wanted); i++)
  {
    cairo_rectangle_int_t part;
    cairo_region_get_rectangle (wanted, i, &part);
    const cairo_rectangle_int_t grown
      = { part.x - CUT_PX, part.y - CUT_PX, part.width + 2 * CUT_PX, part.height + 2 * CUT_PX };
    guint32 *pixels = new_pixels (&grown, still->factor);
    cairo_surface_t *surface = surface_over (pixels, &grown, still->factor);
    draw_nodes (self, surface, &grown, &part, photos, pieces);
    cairo_surface_flush (surface);
    copy_common (pixels, &grown, still->pixels, &still->box, &part, still->factor);
    cairo_surface_destroy (surface);
    g_rc_box_release (pixels);
  }
  g_clear_pointer (&photos, gsk_render_node_unref);
}

/* ---- keeping it ---- */

/* On one side of the view: WANT px kept ready, SHORT: how far the view has gone beyond the picture. */
static int
pushed (int view_from, int view_to, int box_from, int box_to, int margin)
{
  const int ahead = MIN (AHEAD_PX, margin);
  if (view_from < box_from)
    return view_from - ahead - box_from;
  return view_to > box_to ? view_to + ahead - box_to : 0;
}

/* Where the picture is to lie for SEEN; false: it would be too large. */
static bool
place (const AppStill *still, const graphene_rect_t *seen, int factor, cairo_rectangle_int_t *box)
{
  const int x = (int)seen->origin.x, y = (int)seen->origin.y, width = (int)seen->size.width,
            height = (int)seen->size.height;
  const double px = (double)width * height * factor * factor;
  double margin = MARGIN;
  if (px * (1.0 + 2.0 * margin) * (1.0 + 2.0 * margin) > MOST_PX)
    margin = 0.5 * (sqrt (MOST_PX / px) - 1.0);
  if (!(margin > 0.0))
    return false;
  const int more_x = (int)(margin * width), more_y = (int)(margin * height);
  *box = (cairo_rectangle_int_t) { x - more_x, y - more_y, width + 2 * more_x, height + 2 * more_y };
  if (still->pixels == NULL || still->box.width != box->width || still->box.height != box->height)
    return true;
  box->x = still->box.x + pushed (x, x + width, still->box.x, still->box.x + box->width, more_x);
  box->y = still->box.y + pushed (y, y + height, still->box.y, still->box.y + box->height, more_y);
  return true;
}

static void
fill_key (AppCanvas *self, double key[4])
{
  app_canvas_ink (self); /* brings the serial up to date */
  key[0] = app_theme_serial ();
  key[1] = self->slate;
  key[2] = self->unit;
  key[3] = self->grid;
}

static bool
is_of_this_look (AppCanvas *self, const AppStill *still)
{
  double key[4];
  fill_key (self, key);
  return still->pixels != NULL && still->factor == gtk_widget_get_scale_factor (GTK_WIDGET (self))
         && memcmp (key, still->key, sizeof key) == 0;
}

static void
show_picture (AppStill *still)
{
  const graphene_rect_t bounds = as_rect (&still->box);
  g_clear_pointer (&still->node, gsk_render_node_unref);
  still->node = gsk_cairo_node_new (&bounds);
  cairo_t *cr = gsk_cairo_node_get_draw_context (still->node);
  cairo_surface_t *surface = surface_over (still->pixels, &still->box, still->factor);
  cairo_set_source_surface (cr, surface, 0.0, 0.0);
  cairo_pattern_set_filter (cairo_get_source (cr), CAIRO_FILTER_NEAREST);
  cairo_paint (cr);
  cairo_destroy (cr);
  cairo_surface_destroy (surface);
}

/* Makes the picture cover SEEN and show what there is.  False: no picture of it is kept. */
static bool
bring_up_to_date (AppCanvas *self, const graphene_rect_t *seen)
{
  AppStill *still = still_of (self);
  const int factor = gtk_widget_get_scale_factor (GTK_WIDGET (self));
  cairo_rectangle_int_t box;
  if (!is_of_this_look (self, still) || still->scale != self->scale)
    app_canvas_still_forget (self);
  if (!place (still, seen, factor, &box))
  {
    app_canvas_still_forget (self);
    return false;
  }
  cairo_region_t *wanted = cairo_region_create_rectangle (&box);
  if (still->pixels != NULL && (still->box.width != box.width || still->box.height != box.height))
    app_canvas_still_forget (self);
  if (still->pixels == NULL)
  {
    still->pixels = new_pixels (&box, factor);
    still->factor = factor;
    still->scale = self->scale;
    fill_key (self, still->key);
  }
  else
  {
    cairo_rectangle_int_t common;
    cairo_region_t *kept = cairo_region_create_rectangle (&still->box);
    cairo_region_intersect_rectangle (kept, &box);
    cairo_region_get_extents (kept, &common);
    if (!cairo_region_is_empty (kept) && (box.x != still->box.x || box.y != still->box.y))
      copy_common (still->pixels, &still->box, still->pixels, &box, &common, factor);
    cairo_region_subtract (wanted, kept);
    cairo_region_destroy (kept);
  }
  const bool moved = box.x != still->box.x || box.y != still->box.y;
  still->box = box;
  GPtrArray *now = pieces_about (self, &box);
  if (!compare (still->drawn, now, wanted))
    cairo_region_union_rectangle (wanted, &box);
  cairo_region_intersect_rectangle (wanted, &box);
  if (cairo_region_num_rectangles (wanted) > MOST_PARTS)
  {
    cairo_rectangle_int_t around;
    cairo_region_get_extents (wanted, &around);
    cairo_region_union_rectangle (wanted, &around);
  }
  draw_region (self, wanted, now);
  g_ptr_array_unref (still->drawn);
  still->drawn = now;
  if (still->node == NULL || moved || !cairo_region_is_empty (wanted))
    show_picture (still);
  cairo_region_destroy (wanted);
  return true;
}

/* ---- painting ---- */

/* The picture at another size than it was drawn; false: it does not cover SEEN, or is too coarse. */
static bool
paint_scaled (AppCanvas *self, GtkSnapshot *snapshot, const graphene_rect_t *seen)
{
  const AppStill *still = self->still;
  if (!still->zooms || !is_of_this_look (self, still) || still->scale == self->scale)
    return false;
  const double k = self->scale / still->scale;
  if (k > MOST_LARGER || k < 1.0 / MOST_SMALLER || seen->origin.x < still->box.x * k
      || seen->origin.y < still->box.y * k
      || seen->origin.x + seen->size.width > (still->box.x + still->box.width) * k
      || seen->origin.y + seen->size.height > (still->box.y + still->box.height) * k)
    return false;
  GskRenderNode *node = gsk_cairo_node_new (seen);
  cairo_t *cr = gsk_cairo_node_get_draw_context (node);
  cairo_surface_t *surface = surface_over (still->pixels, &still->box, still->factor);
  cairo_scale (cr, k, k);
  cairo_set_source_surface (cr, surface, 0.0, 0.0);
  /* The better filters cost more than drawing all anew. */
  cairo_pattern_set_filter (cairo_get_source (cr), CAIRO_FILTER_BILINEAR);
  cairo_pattern_set_extend (cairo_get_source (cr), CAIRO_EXTEND_PAD);
  cairo_paint (cr);
  cairo_destroy (cr);
  cairo_surface_destroy (surface);
  gtk_snapshot_append_node (snapshot, node);
  gsk_render_node_unref (node);
  return true;
}

static bool
is_worth_it (AppCanvas *self)
{
  const ModelDocument *doc = app_canvas_document (self);
  return doc != NULL && doc->panels->len >= LEAST_PANELS && !self->pressed;
}

static gboolean
make_ready (gpointer user)
{
  AppCanvas *self = user;
  self->still->ready_timer = 0;
  const int width = gtk_widget_get_width (GTK_WIDGET (self)),
            height = gtk_widget_get_height (GTK_WIDGET (self));
  if (is_worth_it (self) && gtk_widget_get_mapped (GTK_WIDGET (self)) && width > 1 && height > 1)
    bring_up_to_date (self, &GRAPHENE_RECT_INIT ((float)-self->ox, (float)-self->oy, width, height));
  return G_SOURCE_REMOVE;
}

static gboolean
paper_rests (gpointer user)
{
  AppCanvas *self = user;
  self->still->rest_timer = 0;
  self->still->zooms = false;
  app_canvas_redraw (self);
  return G_SOURCE_REMOVE;
}

void
app_canvas_still_moves (AppCanvas *self, bool zooms)
{
  AppStill *still = still_of (self);
  g_clear_handle_id (&still->rest_timer, g_source_remove);
  still->rest_timer = g_timeout_add (REST_MS, paper_rests, self);
  still->zooms = zooms;
}

bool
app_canvas_still_paint (AppCanvas *self, GtkSnapshot *snapshot, const graphene_rect_t *seen)
{
  AppStill *still = still_of (self);
  g_clear_handle_id (&still->ready_timer, g_source_remove);
  if (!is_worth_it (self))
    return false;
  if (still->rest_timer == 0)
  {
    still->ready_timer = g_timeout_add_full (G_PRIORITY_LOW, READY_MS, make_ready, self, NULL);
    return false;
  }
  if (paint_scaled (self, snapshot, seen))
    return true;
  if (!bring_up_to_date (self, seen))
    return false;
  gtk_snapshot_append_node (snapshot, still->node);
  return true;
}
