/* Every panel in view can be told by its name, and no text covers another: over the shipped examples, at
 * several zooms, with each panel chosen in turn.  The names come from the documents, the boxes from measuring
 * the texts anew; what is held is a law and has no figures of its own. */
#include "bench.h"

#include "model/file.h"

static const char *const examples[]
  = { "caravan-guard", "caravan-guard-first-draft", "caravan-mantle-fitting", "caravan-bracer" };
static const double percents[] = { 6.0, 12.0, 19.0, 33.0, 60.0, 120.0, 300.0 };

static ModelDocument *
load (const char *name)
{
  g_autofree char *file_name = g_strconcat (name, ".panelwright", NULL);
  g_autofree char *path = g_build_filename (g_getenv ("PW_SOURCE_ROOT"), "data", file_name, NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;
  ModelDocument *doc = model_document_load (file, NULL, &error);
  g_assert_no_error (error);
  return doc;
}

static void
set_up (Bench *bench, gconstpointer data)
{
  lay_out (bench, load (data));
}

static bool
overlap (const GeomBox *a, const GeomBox *b)
{
  return MIN (a->x1, b->x1) > MAX (a->x0, b->x0) && MIN (a->y1, b->y1) > MAX (a->y0, b->y0);
}

static GArray *
texts (Bench *bench)
{
  cairo_surface_t *surface = cairo_recording_surface_create (CAIRO_CONTENT_COLOR_ALPHA, NULL);
  cairo_t *cr = cairo_create (surface);
  OutputView view = app_canvas_shifted_view (bench->canvas);
  GArray *boxes = app_canvas_text_boxes (bench->canvas, cr, &view);
  cairo_destroy (cr);
  cairo_surface_destroy (surface);
  return boxes;
}

static void
hold_apart (const GArray *boxes)
{
  for (guint i = 0; i < boxes->len; i++)
    for (guint k = 0; k < i; k++)
      if (overlap (&g_array_index (boxes, AppTextBox, i).box, &g_array_index (boxes, AppTextBox, k).box))
        g_error ("texts of panels %u and %u overlap (edges %u and %u)",
                 g_array_index (boxes, AppTextBox, i).panel_id, g_array_index (boxes, AppTextBox, k).panel_id,
                 g_array_index (boxes, AppTextBox, i).edge_id, g_array_index (boxes, AppTextBox, k).edge_id);
}

/* How many texts of the panel's name (EDGE_ID 0) or of one of its edges there are. */
static guint
count (const GArray *boxes, guint panel_id, guint edge_id, GeomBox *box)
{
  guint found = 0;
  for (guint i = 0; i < boxes->len; i++)
  {
    const AppTextBox *one = &g_array_index (boxes, AppTextBox, i);
    if (one->panel_id != panel_id || one->edge_id != edge_id)
      continue;
    *box = one->box;
    found++;
  }
  return found;
}

static void
test_laws (Bench *bench, gconstpointer data)
{
  for (size_t z = 0; z < G_N_ELEMENTS (percents); z++)
  {
    guint named = 0;
    app_canvas_set_percent (bench->canvas, percents[z]);
    app_session_select_none (bench->session);
    g_autoptr (GArray) boxes = texts (bench);
    hold_apart (boxes);
    for (guint i = 0; i < bench->doc->panels->len; i++)
    {
      const ModelPanel *panel = g_ptr_array_index (bench->doc->panels, i);
      const AppOutline *outline = app_pick_index_outline (bench->canvas->index, panel->id, MODEL_SIDE_CENTRE);
      GeomBox box;
      g_assert_nonnull (outline);
      double wide = MAX (outline->box.x1 - outline->box.x0, outline->box.y1 - outline->box.y0)
                    * app_canvas_scale (bench->canvas);
      guint of_name = count (boxes, panel->id, 0, &box);
      if (wide >= APP_NAMED_FROM_PX)
        g_assert_cmpuint (of_name, ==, 1);
      g_assert_cmpuint (of_name, <=, 1);
      named += of_name;

      /* Chosen, it tells the length of each of its edges. */
      app_session_select_panel (bench->session, panel->id, outline->side, false);
      g_autoptr (GArray) measured = texts (bench);
      hold_apart (measured);
      for (guint e = 0; wide >= 4.0 * APP_NAMED_FROM_PX && e < panel->edges->len; e++)
        g_assert_cmpuint (count (measured, panel->id, model_panel_edge (panel, e)->id, &box), ==, 1);
    }
    if (percents[z] >= 12.0)
      g_assert_cmpuint (named, ==, bench->doc->panels->len);
  }
}

/* With the whole drawing in view each name is in view as well, and the small ones have a leader from the
 * panel. */
static void
test_in_view (Bench *bench, gconstpointer data)
{
  app_canvas_fit (bench->canvas);
  paint (bench);
  g_autoptr (GArray) boxes = texts (bench);
  g_assert_cmpuint (boxes->len, >=, bench->doc->panels->len);
  for (guint i = 0; i < boxes->len; i++)
  {
    const AppTextBox *one = &g_array_index (boxes, AppTextBox, i);
    g_assert_cmpfloat (one->box.x0 + bench->canvas->ox, >=, 0.0);
    g_assert_cmpfloat (one->box.y0 + bench->canvas->oy, >=, 0.0);
    g_assert_cmpfloat (one->box.x1 + bench->canvas->ox, <=,
                       gtk_widget_get_width (GTK_WIDGET (bench->canvas)));
    g_assert_cmpfloat (one->box.y1 + bench->canvas->oy, <=,
                       gtk_widget_get_height (GTK_WIDGET (bench->canvas)));
    if (one->inside)
      continue;
    const AppOutline *outline
      = app_pick_index_outline (bench->canvas->index, one->panel_id, MODEL_SIDE_CENTRE);
    double scale = app_canvas_scale (bench->canvas);
    g_assert_true (
      geom_path_contains (&outline->path, geom_point (one->from.x / scale, -one->from.y / scale)));
  }
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
  for (size_t i = 0; i < G_N_ELEMENTS (examples); i++)
  {
    g_autofree char *laws = g_strconcat ("/app/names/laws/", examples[i], NULL);
    g_autofree char *view = g_strconcat ("/app/names/in-view/", examples[i], NULL);
    g_test_add (laws, Bench, examples[i], set_up, test_laws, tear_down);
    g_test_add (view, Bench, examples[i], set_up, test_in_view, tear_down);
  }
  return g_test_run ();
}
