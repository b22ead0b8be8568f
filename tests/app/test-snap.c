/* What catches a point: which kind, where exactly, by what mark and word it is shown, and that Ctrl holds it
 * off.
 *
 * The places follow from the figure by elementary geometry and are worked out beside each row; none is read
 * from the program.
 *
 *            D (-20, 120)
 *           /            \        Back: x 300 to 400, y 40 to 140
 *      A (0, 0)           C       a guide: upright at x = 240
 *           \            /
 *            B (150, 40)
 */
#include "bench.h"

#include <string.h>

#define MM_EXACT 1e-6
#define PERCENT 62.0
/* No catch reaches farther, and no mark is smaller. */
#define OFF_PX 2.0
#define MARK_PX 26
#define LEAST_MARK_PX 12

static const GeomPoint A = { 0.0, 0.0 }, B = { 150.0, 40.0 }, C = { 190.0, 165.0 }, D = { -20.0, 120.0 };

static void
add_panel (ModelDocument *doc, const char *name, const GeomPoint at[4])
{
  ModelNode nodes[4] = { { 0 } };
  for (int k = 0; k < 4; k++)
    nodes[k].at = nodes[k].in = nodes[k].out = at[k];
  ModelPanel *panel = model_shape_new_panel (doc, nodes, 4);
  g_free (panel->name);
  panel->name = g_strdup (name);
  model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, panel }, -1);
}

static void
set_up (Bench *bench, gconstpointer data)
{
  ModelDocument *doc = model_document_new ();
  const GeomPoint front[4] = { A, B, C, D },
                  back[4] = { { 300, 40 }, { 400, 40 }, { 400, 140 }, { 300, 140 } };
  add_panel (doc, "Front", front);
  add_panel (doc, "Back", back);
  lay_out (bench, doc);
  app_canvas_set_percent (bench->canvas, PERCENT);
  app_canvas_set_grid (bench->canvas, false);
  app_canvas_add_line (bench->canvas, MODEL_LINE_GUIDE, "", geom_point (240.0, 0.0), 90.0);
  app_canvas_set_tool (bench->canvas, APP_TOOL_SHAPE);
  /* So that the fit of the first size does not move the paper under the hand. */
  paint (bench);
}

/* A place on a circle and the way out of it. */
static GeomPoint
round_about (GeomPoint middle, double radius, double degrees)
{
  return geom_point (middle.x + radius * cos (degrees * G_PI / 180.0),
                     middle.y + radius * sin (degrees * G_PI / 180.0));
}

typedef struct Row
{
  const char *name;
  GeomPoint to;   /* where it must lie */
  GeomPoint from; /* where the hand is, in px of the widget's directions from there, y up */
  int count;
  AppSnapKind kinds[2];
  bool grid;
} Row;

/* At 62 % the fine lines lie 5 mm apart (look of the grid: 60 to 200 %). */
#define GRID_MM 5.0

static GPtrArray *
rows_new (void)
{
  const double ab = hypot (150.0, 40.0), bd = hypot (170.0, 80.0);
  const GeomPoint along_ab = { 150.0 / ab, 40.0 / ab }, square_ab = { -40.0 / ab, 150.0 / ab },
                  along_bd = { -170.0 / bd, 80.0 / bd }, square_bd = { 80.0 / bd, 170.0 / bd },
                  middle = { 65.0, 80.0 }; /* of B and D */
  const Row rows[] = {
    { "free", { 205.0, 75.0 }, { 0, 0 }, 0, { 0 }, false },
    { "point: a corner of Back", { 300, 140 }, { 3, 3 }, 1, { APP_SNAP_POINT }, false },
    { "edge: the left one of Back", { 300, 100 }, { -4, 0 }, 1, { APP_SNAP_EDGE }, false },
    { "line: the guide", { 240, 91 }, { 3, 0 }, 1, { APP_SNAP_LINE }, false },
    { "level: with D", { 93, 120 }, { 0, OFF_PX }, 1, { APP_SNAP_LEVEL }, false },
    { "plumb: above B", { 150, 97 }, { OFF_PX, 0 }, 1, { APP_SNAP_PLUMB }, false },
    /* Square to A B at B: B and 60 mm along the normal. */
    { "right angle: at B",
      { 150 + 60 * square_ab.x, 40 + 60 * square_ab.y },
      { OFF_PX * along_ab.x, OFF_PX * along_ab.y },
      1,
      { APP_SNAP_RIGHT_ANGLE },
      false },
    /* Thales: on the circle over B D the angle is right. */
    { "right angle: at the point itself",
      round_about (middle, bd / 2.0, 60.0),
      { OFF_PX * cos (G_PI / 3.0), OFF_PX * sin (G_PI / 3.0) },
      1,
      { APP_SNAP_RIGHT_ANGLE },
      false },
    /* As long as A B, on the circle about B. */
    { "equal length: B to C as A to B",
      round_about (B, ab, 65.0),
      { OFF_PX * cos (65.0 * G_PI / 180.0), OFF_PX * sin (65.0 * G_PI / 180.0) },
      1,
      { APP_SNAP_EQUAL },
      false },
    /* As far from B as from D: on the line square to B D through its middle. */
    { "equal length: both edges at the point",
      { 65 + 60 * square_bd.x, 80 + 60 * square_bd.y },
      { OFF_PX * along_bd.x, OFF_PX * along_bd.y },
      1,
      { APP_SNAP_EQUAL },
      false },
    { "level and plumb at once",
      { 150, 120 },
      { OFF_PX, OFF_PX },
      2,
      { APP_SNAP_PLUMB, APP_SNAP_LEVEL },
      false },
    { "grid: a crossing", { 215, 85 }, { 1, 1 }, 1, { APP_SNAP_GRID }, true },
    { "level, and the grid across", { 95, 120 }, { 1, OFF_PX }, 2, { APP_SNAP_LEVEL, APP_SNAP_GRID }, true },
    /* Which wins. */
    { "a point over the edges that meet there", { 300, 40 }, { -2, 4 }, 1, { APP_SNAP_POINT }, false },
    { "a guide over level", { 240, 120 + 0.5 }, { 3, 0 }, 1, { APP_SNAP_LINE }, false },
    { "level over an edge", { 300 - 1.0, 120 }, { 0, OFF_PX }, 1, { APP_SNAP_LEVEL }, false },
    { "an edge over the grid", { 300, 105 }, { -1, 0 }, 1, { APP_SNAP_EDGE }, true },
    { "plumb over the grid's upright", { 150, 96.7 }, { 1, 0 }, 1, { APP_SNAP_PLUMB }, true },
  };
  GPtrArray *all = g_ptr_array_new_with_free_func (g_free);
  for (size_t i = 0; i < G_N_ELEMENTS (rows); i++)
    g_ptr_array_add (all, g_memdup2 (&rows[i], sizeof (Row)));
  return all;
}

static GeomPoint
corner_c (Bench *bench)
{
  const ModelPanel *front = model_document_panel_named (bench->doc, "Front");
  return model_edge_node (model_panel_edge (front, 2), 0)->at;
}

static cairo_surface_t *
blank (void)
{
  return cairo_image_surface_create (CAIRO_FORMAT_A8, 1200, 900);
}

/* Pixels drawn within MARK_PX of AT, right of the words, which stand above and at the left. */
static int
inked (cairo_surface_t *surface, double x, double y)
{
  int count = 0, stride = cairo_image_surface_get_stride (surface);
  cairo_surface_flush (surface);
  const guchar *data = cairo_image_surface_get_data (surface);
  for (int v = (int)y - MARK_PX; v <= (int)y + MARK_PX; v++)
    for (int u = (int)x - 14; u <= (int)x + MARK_PX; u++)
      if (u >= 0 && v >= 0 && u < 1200 && v < 900 && data[v * stride + u] > 60)
        count++;
  return count;
}

/* What the tool in hand draws over the pieces now, near AT. */
static int
shown_at (Bench *bench, GeomPoint at)
{
  double x, y;
  cairo_surface_t *surface = blank ();
  cairo_t *cr = cairo_create (surface);
  bench->canvas->tool->klass->draw (bench->canvas->tool, cr);
  cairo_destroy (cr);
  app_canvas_to_widget (bench->canvas, at, &x, &y);
  int count = inked (surface, x, y);
  cairo_surface_destroy (surface);
  return count;
}

static void
test_rows (Bench *bench, gconstpointer data)
{
  g_autoptr (GPtrArray) rows = rows_new ();
  const double scale = app_canvas_scale (bench->canvas);
  g_assert_cmpfloat_with_epsilon (app_canvas_grid_step (bench->canvas), GRID_MM, 1e-12);
  for (guint i = 0; i < rows->len; i++)
  {
    const Row *row = g_ptr_array_index (rows, i);
    const GeomPoint hand_at = geom_point (row->to.x + row->from.x / scale, row->to.y + row->from.y / scale);
    const ModelPanel *front = model_document_panel_named (bench->doc, "Front");
    const guint node_id = model_edge_node (model_panel_edge (front, 2), 0)->id;
    g_test_message ("%s", row->name);
    app_canvas_set_grid (bench->canvas, row->grid);
    AppSnap snap = app_snap_find (bench->canvas, front, MODEL_SIDE_RIGHT, node_id, NULL, hand_at);
    g_assert_cmpint (snap.count, ==, row->count);
    for (int k = 0; k < row->count; k++)
      g_assert_cmpint (snap.catches[k].kind, ==, row->kinds[k]);

    drag_on (bench, C.x, C.y, hand_at.x, hand_at.y, 0);
    g_assert_cmpfloat (geom_distance (corner_c (bench), row->to), <, MM_EXACT);
    const int marked = shown_at (bench, row->to);
    const char *status = app_canvas_status (bench->canvas);
    g_assert_cmpint (strstr (status, "Ctrl lets it go") != NULL, ==, row->count > 0);
    for (int k = 0; k < row->count; k++)
      g_assert_nonnull (strstr (status, app_snap_word (row->kinds[k])));
    if (row->count > 0)
      g_assert_cmpint (marked, >, LEAST_MARK_PX);

    /* The key goes down, the hand stays: it lies where the hand is, and nothing is claimed. */
    feed (bench, APP_PHASE_MOTION, hand_at.x, hand_at.y, GDK_CONTROL_MASK);
    g_assert_cmpfloat (geom_distance (corner_c (bench), hand_at), <, MM_EXACT);
    g_assert_null (strstr (app_canvas_status (bench->canvas), "Caught"));
    g_assert_cmpint (shown_at (bench, hand_at), ==, 0);

    feed (bench, APP_PHASE_CANCEL, hand_at.x, hand_at.y, 0);
    g_assert_cmpfloat (geom_distance (corner_c (bench), C), <, MM_EXACT);
  }
  /* The setting switches all of it off. */
  app_canvas_set_snap (bench->canvas, false);
  for (guint i = 0; i < rows->len; i++)
  {
    const Row *row = g_ptr_array_index (rows, i);
    const GeomPoint hand_at = geom_point (row->to.x + row->from.x / scale, row->to.y + row->from.y / scale);
    drag_on (bench, C.x, C.y, hand_at.x, hand_at.y, 0);
    g_assert_cmpfloat (geom_distance (corner_c (bench), hand_at), <, MM_EXACT);
    feed (bench, APP_PHASE_CANCEL, hand_at.x, hand_at.y, 0);
  }
}

/* The same for a corner that is to be set: E and F are, the next is wanted. */
static void
test_outline (Bench *bench, gconstpointer data)
{
  const GeomPoint e = { 20.0, 200.0 }, f = { 110.0, 230.0 };
  const double ef = hypot (90.0, 30.0);
  const GeomPoint along = { 90.0 / ef, 30.0 / ef };
  const Row rows[] = {
    { "point", { 300, 140 }, { 3, 3 }, 1, { APP_SNAP_POINT }, false },
    { "edge", { 300, 84 }, { -4, 0 }, 1, { APP_SNAP_EDGE }, false },
    { "line", { 240, 91 }, { 3, 0 }, 1, { APP_SNAP_LINE }, false },
    { "level with the first", { 170, 200 }, { 0, OFF_PX }, 1, { APP_SNAP_LEVEL }, false },
    { "plumb below the last", { 110, 191 }, { OFF_PX, 0 }, 1, { APP_SNAP_PLUMB }, false },
    { "square to the last piece",
      { 110 + 55 * along.y, 230 - 55 * along.x },
      { OFF_PX * along.x, OFF_PX * along.y },
      1,
      { APP_SNAP_RIGHT_ANGLE },
      false },
    { "as long as the last piece",
      round_about (f, ef, -20.0),
      { OFF_PX * cos (G_PI / 9.0), -OFF_PX * sin (G_PI / 9.0) },
      1,
      { APP_SNAP_EQUAL },
      false },
    { "grid", { 205, 95 }, { 1, 1 }, 1, { APP_SNAP_GRID }, true },
  };
  const double scale = app_canvas_scale (bench->canvas);
  app_canvas_set_tool (bench->canvas, APP_TOOL_OUTLINE);
  click (bench, e.x, e.y, GDK_CONTROL_MASK);
  click (bench, f.x, f.y, GDK_CONTROL_MASK);
  for (size_t i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    const Row *row = &rows[i];
    const GeomPoint at = { row->to.x + row->from.x / scale, row->to.y + row->from.y / scale };
    g_test_message ("%s", row->name);
    app_canvas_set_grid (bench->canvas, row->grid);
    feed (bench, APP_PHASE_HOVER, at.x, at.y, 0);
    g_assert_nonnull (strstr (app_canvas_status (bench->canvas), app_snap_word (row->kinds[0])));
    const int caught = shown_at (bench, row->to);
    feed (bench, APP_PHASE_HOVER, at.x, at.y, GDK_CONTROL_MASK);
    g_assert_null (strstr (app_canvas_status (bench->canvas), "Caught"));
    g_assert_cmpint (caught, >, shown_at (bench, at) + LEAST_MARK_PX);
    /* Set there, told by the length that is asked of the panel, and taken back. */
    click (bench, at.x, at.y, 0);
    app_canvas_key (bench->canvas, GDK_KEY_Return, 0);
    const ModelPanel *panel = g_ptr_array_index (bench->doc->panels, bench->doc->panels->len - 1);
    g_assert_cmpuint (bench->doc->panels->len, ==, 3);
    double nearest = INFINITY;
    for (guint k = 0; k < panel->edges->len; k++)
      nearest = MIN (nearest, geom_distance (model_edge_node (model_panel_edge (panel, k), 0)->at, row->to));
    g_assert_cmpfloat (nearest, <, MM_EXACT);
    model_history_undo (bench->history);
    click (bench, e.x, e.y, GDK_CONTROL_MASK);
    click (bench, f.x, f.y, GDK_CONTROL_MASK);
  }
  /* Level with the last one and plumb above it lies on it: nothing catches there. */
  g_autoptr (GArray) nodes = g_array_new (FALSE, TRUE, sizeof (ModelNode));
  const ModelNode set[2] = { { .at = e }, { .at = f } };
  g_array_append_vals (nodes, set, 2);
  AppSnap snap = app_snap_find_next (bench->canvas, nodes, geom_point (f.x + 1.0, f.y + 1.0));
  g_assert_cmpfloat (geom_distance (snap.to, f), >, 1e-3);
}

/* Drawn in one colour, no two kinds look alike. */
static void
test_forms (Bench *bench, gconstpointer data)
{
  const GeomPoint at = { 205.0, 75.0 }, from = { 235.0, 75.0 }, arm = { 235.0, 55.0 };
  cairo_surface_t *pictures[APP_SNAP_GRID + 1];
  double x, y;
  app_canvas_to_widget (bench->canvas, at, &x, &y);
  for (int k = 0; k <= APP_SNAP_GRID; k++)
  {
    const AppSnap snap = { at, 1, { { (AppSnapKind)k, false, from, from, arm, false, 3 } } };
    pictures[k] = blank ();
    cairo_t *cr = cairo_create (pictures[k]);
    app_snap_draw (bench->canvas, cr, &snap);
    cairo_destroy (cr);
    cairo_surface_flush (pictures[k]);
    g_assert_cmpstr (app_snap_word ((AppSnapKind)k), !=, "");
  }
  for (int k = 0; k <= APP_SNAP_GRID; k++)
    for (int other = 0; other < k; other++)
    {
      int differ = 0, stride = cairo_image_surface_get_stride (pictures[k]);
      const guchar *a = cairo_image_surface_get_data (pictures[k]),
                   *b = cairo_image_surface_get_data (pictures[other]);
      g_assert_cmpstr (app_snap_word ((AppSnapKind)k), !=, app_snap_word ((AppSnapKind)other));
      /* Right of the words, as far as the place the lines come from. */
      for (int v = (int)y - 60; v < (int)y + 60; v++)
        for (int u = (int)x - 14; u < (int)x + 110; u++)
          differ += abs (a[v * stride + u] - b[v * stride + u]) > 60;
      g_assert_cmpint (differ, >, LEAST_MARK_PX);
    }
  for (int k = 0; k <= APP_SNAP_GRID; k++)
    cairo_surface_destroy (pictures[k]);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
  g_test_add ("/app/snap/rows", Bench, NULL, set_up, test_rows, tear_down);
  g_test_add ("/app/snap/outline", Bench, NULL, set_up, test_outline, tear_down);
  g_test_add ("/app/snap/forms", Bench, NULL, set_up, test_forms, tear_down);
  return g_test_run ();
}
