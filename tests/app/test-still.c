/* The picture that is shown while the paper moves, held against a fresh drawing, pixel by pixel.
 *
 * The law: whatever was done before, a frame of a moving paper looks exactly like one of a paper at rest that
 * is drawn from nothing.  Run at one and at two px a unit. */
#include "bench.h"

#include "support/big-document.h"

#include <gdk-pixbuf/gdk-pixbuf.h>

/* More than the picture is thought worth for, and more than are in view. */
#define PANELS 45
#define JOINS 50
#define RIM_PX 6

/* At the fifth panel and its neighbours, large enough that marks, letters and names are drawn. */
static void
look (Bench *bench)
{
  double x, y;
  app_canvas_set_percent (bench->canvas, 17.0);
  app_canvas_to_widget (bench->canvas, geom_point (1200.0, 150.0), &x, &y);
  app_canvas_pan_by (bench->canvas, gtk_widget_get_width (GTK_WIDGET (bench->canvas)) / 2.0 - x,
                     gtk_widget_get_height (GTK_WIDGET (bench->canvas)) / 2.0 - y);
}

static void
set_up (Bench *bench, gconstpointer data)
{
  lay_out (bench, test_big_document_of (PANELS, JOINS));
  gtk_window_set_default_size (GTK_WINDOW (bench->window), 900, 420);
  paint (bench);
  look (bench);
}

static cairo_surface_t *
painted (Bench *bench)
{
  GtkWidget *widget = GTK_WIDGET (bench->canvas);
  const int factor = gtk_widget_get_scale_factor (widget);
  cairo_surface_t *surface = cairo_image_surface_create (
    CAIRO_FORMAT_RGB24, gtk_widget_get_width (widget) * factor, gtk_widget_get_height (widget) * factor);
  cairo_surface_set_device_scale (surface, factor, factor);
  GtkSnapshot *snapshot = gtk_snapshot_new ();
  app_canvas_paint (bench->canvas, snapshot);
  GskRenderNode *node = gtk_snapshot_free_to_node (snapshot);
  cairo_t *cr = cairo_create (surface);
  gsk_render_node_draw (node, cr);
  cairo_destroy (cr);
  gsk_render_node_unref (node);
  cairo_surface_flush (surface);
  return surface;
}

/* How many px inside RIM differ by more than LEVELS of 255 in a colour, and whether there is only bare paper.
 */
static guint
differing (cairo_surface_t *a, cairo_surface_t *b, int rim, int levels, bool *bare)
{
  guint count = 0;
  const int width = cairo_image_surface_get_width (a), height = cairo_image_surface_get_height (a);
  const guint32 first = *(const guint32 *)(const void *)cairo_image_surface_get_data (b) & 0xffffffu;
  *bare = true;
  for (int y = rim; y < height - rim; y++)
  {
    const guint32 *p = (const guint32 *)(const void *)(cairo_image_surface_get_data (a)
                                                       + y * cairo_image_surface_get_stride (a)),
                  *q = (const guint32 *)(const void *)(cairo_image_surface_get_data (b)
                                                       + y * cairo_image_surface_get_stride (b));
    for (int x = rim; x < width - rim; x++)
    {
      int most = 0;
      for (int shift = 0; shift < 24; shift += 8)
        most = MAX (most, ABS ((int)(p[x] >> shift & 255u) - (int)(q[x] >> shift & 255u)));
      count += most > levels;
      *bare &= (q[x] & 0xffffffu) == first;
    }
  }
  return count;
}

static void
forget (Bench *bench)
{
  app_canvas_paint_forget (bench->canvas);
  bench->canvas->lit_dirty = true;
}

/* The paper is moved by a px there and back, so that the picture is shown. */
static cairo_surface_t *
painted_moving (Bench *bench)
{
  app_canvas_pan_by (bench->canvas, 1.0, 1.0);
  app_canvas_pan_by (bench->canvas, -1.0, -1.0);
  return painted (bench);
}

/* The kept picture is just like one made from nothing, and like the paper at rest.  At rest lines are cut off
 * by the view's rim, where cairo rounds them otherwise: in a few px there, and by a level along such a line.
 */
static void
assert_same (Bench *bench, const char *what)
{
  bool bare;
  cairo_surface_t *kept = painted_moving (bench);
  forget (bench);
  cairo_surface_t *anew = painted_moving (bench);
  forget (bench);
  cairo_surface_t *rest = painted (bench);
  const guint old = differing (kept, anew, 0, 0, &bare), moving = differing (anew, rest, RIM_PX, 1, &bare);
  g_test_message ("%s: %u px, %u px", what, old, moving);
  g_assert_cmpuint (old, ==, 0);
  g_assert_cmpuint (moving, ==, 0);
  g_assert_false (bare);
  cairo_surface_destroy (kept);
  cairo_surface_destroy (anew);
  cairo_surface_destroy (rest);
}

/* Without a comparison in between, the picture goes through all of it and is never made anew. */
static void
show_moving (Bench *bench, double dx, double dy)
{
  app_canvas_pan_by (bench->canvas, dx, dy);
  cairo_surface_destroy (painted (bench));
}

/* ---- the paper is moved ---- */

static void
test_odd_ways (Bench *bench, gconstpointer data)
{
  static const double ways[][2] = { { -37, 13 }, { 211, -90 }, { -1, 0 },     { 0, 397 },
                                    { 503, -7 }, { -9, -11 },  { -700, 333 }, { 5000, 0 } };
  for (guint stop = 2; stop <= G_N_ELEMENTS (ways); stop += 3)
  {
    for (guint i = 0; i < stop; i++)
      show_moving (bench, ways[i][0], ways[i][1]);
    /* Back to where there is something to see. */
    look (bench);
    for (guint i = 0; i < 5; i++)
      show_moving (bench, 67, i % 2 == 0 ? -41 : 23);
    assert_same (bench, "moved");
  }
}

static void
test_zoomed (Bench *bench, gconstpointer data)
{
  static const double factors[] = { 1.25, 1.03, 0.8, 3.7, 0.11, 1.9 };
  for (guint i = 0; i < G_N_ELEMENTS (factors); i++)
  {
    look (bench);
    show_moving (bench, 3, -5);
    app_canvas_zoom_at (bench->canvas, factors[i], 311, 207);
    cairo_surface_destroy (painted (bench));
    assert_same (bench, "zoomed");
  }
}

/* ---- and something else happens meanwhile ---- */

static const ModelPanel *
panel_at (Bench *bench, guint i)
{
  return g_ptr_array_index (bench->doc->panels, i);
}

static void
do_move_node (Bench *bench)
{
  ModelPanel *panel = model_panel_copy (panel_at (bench, 4));
  ModelNode *node = model_edge_node (model_panel_edge (panel, 5), 0);
  node->at = geom_add (node->at, geom_point (31.0, -17.0));
  model_history_put_panel (bench->history, panel);
}

static void
do_undo (Bench *bench)
{
  model_history_undo (bench->history);
}

static void
do_hide (Bench *bench)
{
  ModelPanel *panel = model_panel_copy (panel_at (bench, 5));
  panel->hidden = true;
  model_history_put_panel (bench->history, panel);
}

static void
do_remove (Bench *bench)
{
  model_history_remove (bench->history, MODEL_PART_PANEL, panel_at (bench, 24)->id);
}

/* A pair's other half comes up. */
static void
do_select (Bench *bench)
{
  const ModelPanel *panel = panel_at (bench, 2);
  app_session_select_panel (bench->session, panel->id, panel->side, false);
}

static void
do_select_none (Bench *bench)
{
  app_session_select_none (bench->session);
}

static void
do_slate (Bench *bench)
{
  app_canvas_set_slate (bench->canvas, !bench->canvas->slate);
}

static void
do_grid (Bench *bench)
{
  app_canvas_set_grid (bench->canvas, !bench->canvas->grid);
}

static void
do_unit (Bench *bench)
{
  app_canvas_set_unit (bench->canvas, MODEL_UNIT_INCH);
}

/* Every panel is drawn anew. */
static void
do_remove_join (Bench *bench)
{
  model_history_remove (bench->history, MODEL_PART_JOIN,
                        ((const ModelJoin *)g_ptr_array_index (bench->doc->joins, 2))->id);
}

static void
do_rename (Bench *bench)
{
  ModelPanel *panel = model_panel_copy (panel_at (bench, 3));
  g_free (panel->name);
  panel->name = g_strdup ("Gorget");
  model_history_put_panel (bench->history, panel);
}

static void
do_photo (Bench *bench)
{
  g_autoptr (GdkPixbuf) pixels = gdk_pixbuf_new (GDK_COLORSPACE_RGB, FALSE, 8, 90, 70);
  gdk_pixbuf_fill (pixels, 0x7a5a3cff);
  char *data = NULL;
  gsize size = 0;
  gdk_pixbuf_save_to_buffer (pixels, &data, &size, "png", NULL, NULL);
  ModelPhoto *photo = model_photo_new ();
  photo->image = g_bytes_new_take (data, size);
  photo->width_px = 90;
  photo->height_px = 70;
  photo->at = geom_point (877.7, 33.3);
  photo->turn_deg = 11.0;
  photo->mm_per_px = 9.0;
  model_history_put_photo (bench->history, photo);
}

/* The photo has been read when this comes. */
static void
do_wait (Bench *bench)
{
  gint64 end = g_get_monotonic_time () + G_USEC_PER_SEC / 2;
  while (g_get_monotonic_time () < end)
    if (!g_main_context_iteration (NULL, FALSE))
      g_usleep (2000);
}

typedef struct Deed
{
  const char *what;
  void (*run) (Bench *bench);
} Deed;

static const Deed deeds[] = {
  { "a node moved", do_move_node },
  { "undone", do_undo },
  { "a panel hidden", do_hide },
  { "a panel taken out", do_remove },
  { "a join taken out", do_remove_join },
  { "renamed", do_rename },
  { "a panel chosen", do_select },
  { "nothing chosen", do_select_none },
  { "slate", do_slate },
  { "no slate", do_slate },
  { "no grid", do_grid },
  { "grid", do_grid },
  { "inches", do_unit },
  { "a photo placed", do_photo },
  { "the photo read", do_wait },
  { "a node moved over the photo", do_move_node },
};

/* The picture lives through each deed, and is compared after it. */
static void
test_deeds (Bench *bench, gconstpointer data)
{
  for (guint i = 0; i < G_N_ELEMENTS (deeds); i++)
  {
    show_moving (bench, i % 2 == 0 ? 17 : -17, 3);
    deeds[i].run (bench);
    assert_same (bench, deeds[i].what);
  }
}

/* And through all of them together. */
static void
test_deeds_in_a_row (Bench *bench, gconstpointer data)
{
  for (guint i = 0; i < G_N_ELEMENTS (deeds); i++)
  {
    deeds[i].run (bench);
    show_moving (bench, i % 2 == 0 ? 19 : -23, i % 3 == 0 ? 7 : -5);
  }
  assert_same (bench, "all");
}

/* At rest nothing of the picture is shown: lines are as sharp as if there had been no zoom. */
static void
test_rest (Bench *bench, gconstpointer data)
{
  bool bare;
  show_moving (bench, 5, 5);
  app_canvas_zoom_at (bench->canvas, 1.2, 400, 300);
  cairo_surface_t *zooming = painted (bench);
  do_wait (bench);
  cairo_surface_t *rest = painted (bench);
  forget (bench);
  cairo_surface_t *fresh = painted (bench);
  g_assert_cmpuint (differing (rest, fresh, 0, 0, &bare), ==, 0);
  g_assert_false (bare);
  /* While it went on, the picture was shown larger: else this test would say nothing. */
  g_assert_cmpuint (differing (zooming, fresh, 0, 16, &bare), >, 0);
  cairo_surface_destroy (zooming);
  cairo_surface_destroy (rest);
  cairo_surface_destroy (fresh);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
  const struct
  {
    const char *name;
    void (*test) (Bench *, gconstpointer);
  } tests[] = {
    { "moved-by-odd-ways", test_odd_ways },
    { "zoomed-and-moved-on", test_zoomed },
    { "each-deed", test_deeds },
    { "deeds-in-a-row", test_deeds_in_a_row },
    { "sharp-at-rest", test_rest },
  };
  for (guint i = 0; i < G_N_ELEMENTS (tests); i++)
  {
    g_autofree char *path = g_strconcat ("/app/still/", tests[i].name, NULL);
    g_test_add (path, Bench, NULL, set_up, tests[i].test, tear_down);
  }
  return g_test_run ();
}
