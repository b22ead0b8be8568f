/* From a photo to panels in the window: a photo of known pieces is opened, its corners are set, it is laid
 * flat, its outlines are found and taken; lengths are held against the truth that was photographed.
 *
 * The camera is tests/trace/photograph.h.  Half a millimetre on A3 is what the program promises of a traced
 * piece.
 */
#include "house.h"

#include "app/canvas-private.h"
#include "app/photo-card.h"
#include "app/unit-entry.h"
#include "model/file.h"
#include "model/store.h"
#include "output/sheet.h"

#include "trace/photograph.h"

#include <gdk-pixbuf/gdk-pixbuf.h>
#include <glib/gstdio.h>
#include <string.h>
#include <sys/stat.h>

#define SECONDS 60
#define PIECES 3
#define PROMISE_MM 0.5

typedef struct Scene
{
  char *folder, *path;
  Camera camera;
  GeomPoint corner[4];
  double perimeter_mm[PIECES];
  GeomPoint middle[PIECES]; /* mm on the sheet */
} Scene;

/* ---- the photo ---- */

static GeomPoint
middle_of (GeomBox box)
{
  return geom_point ((box.x0 + box.x1) / 2.0, (box.y0 + box.y1) / 2.0);
}

static void
scene_init (Scene *scene)
{
  static const Shape shapes[PIECES] = { SHAPE_GUSSET, SHAPE_BRACER, SHAPE_FRONT };
  static const double wanted_mm[PIECES] = { 280.0, 330.0, 300.0 };
  g_autoptr (GError) error = NULL;
  scene->folder = g_dir_make_tmp (NULL, &error);
  g_assert_no_error (error);
  scene->path = g_build_filename (scene->folder, "bracer pieces.jpg", NULL);
  scene->camera = photograph_camera ();
  scene->camera.width = 2400;
  scene->camera.height = 1800;
  scene->camera.blur_px *= 0.6;
  GeomPath path[PIECES];
  Thing things[PIECES];
  for (int i = 0; i < PIECES; i++)
  {
    GeomPoint sharp[8];
    photograph_shape (shapes[i], wanted_mm[i], scene->camera.sheet_width_mm, scene->camera.sheet_height_mm,
                      12.0 * i, &path[i], sharp);
    geom_path_map (&path[i], geom_affine_move (128.0 * (i - 1), 20.0 * (i - 1)));
    scene->perimeter_mm[i] = geom_path_length (&path[i], 1e-6);
    scene->middle[i] = middle_of (geom_path_box (&path[i]));
    things[i] = (Thing) { &path[i], { 112.0, 70.0, 42.0 }, 0.1 };
  }
  photograph_corners (&scene->camera, scene->corner);
  g_autoptr (TracePhoto) photo = photograph_take (&scene->camera, things, PIECES);
  g_assert_true (gdk_pixbuf_save (photo->pixels, scene->path, "jpeg", &error, "quality", "95", NULL));
  for (int i = 0; i < PIECES; i++)
    geom_path_clear (&path[i]);
}

static void
scene_clear (Scene *scene)
{
  if (scene->path == NULL)
    return;
  g_unlink (scene->path);
  g_rmdir (scene->folder);
  g_free (scene->path);
  g_free (scene->folder);
}

/* ---- the window ---- */

typedef struct Bench
{
  Scene scene;
  AppWindow *window;
  AppPhotoRoom *room;
} Bench;

static void
wait_idle (AppPhotoRoom *room)
{
  const gint64 end = g_get_monotonic_time () + SECONDS * G_USEC_PER_SEC;
  while (app_photo_room_is_busy (room) && g_get_monotonic_time () < end)
    g_main_context_iteration (NULL, TRUE);
  g_assert_false (app_photo_room_is_busy (room));
  spin ();
}

static void
open_picture (Bench *bench, const char *path)
{
  g_autoptr (GFile) file = g_file_new_for_path (path);
  app_window_from_photo (bench->window, file);
  wait_idle (bench->room);
}

static void
click (AppPhotoRoom *room, const char *name)
{
  GtkWidget *button = app_photo_room_field (room, name);
  g_assert_nonnull (button);
  g_assert_true (gtk_widget_is_sensitive (button));
  g_signal_emit_by_name (button, "clicked");
  wait_idle (room);
}

static Scene shot;

static void
set_up (Bench *bench, gconstpointer data)
{
  /* One photo serves all. */
  if (shot.path == NULL)
    scene_init (&shot);
  bench->scene = shot;
  bench->window = app_window_new (GTK_APPLICATION (application));
  gtk_window_set_default_size (GTK_WINDOW (bench->window), 1440, 900);
  gtk_window_present (GTK_WINDOW (bench->window));
  bench->room = app_window_photo_room (bench->window);
  spin ();
}

static void
tear_down (Bench *bench, gconstpointer data)
{
  if (app_window_session (bench->window) != NULL)
    app_session_discard (app_window_session (bench->window));
  gtk_window_destroy (GTK_WINDOW (bench->window));
  spin ();
}

/* The sheet is A3 and its corners are where the camera saw them. */
static void
open_scene (Bench *bench)
{
  open_picture (bench, bench->scene.path);
  g_assert_cmpstr (app_photo_room_trouble (bench->room), ==, NULL);
  g_assert_cmpint (app_photo_room_way (bench->room), ==, APP_PHOTO_SHEET);
  /* It was found already; three pixels are half a millimetre here. */
  for (int i = 0; i < 4; i++)
    g_assert_cmpfloat (
      geom_distance (app_photo_view_points (app_photo_room_view (bench->room))[i], bench->scene.corner[i]),
      <=, 1.0);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (app_photo_room_field (bench->room, "sheet")), 1);
  app_photo_view_set_points (app_photo_room_view (bench->room), bench->scene.corner, 4);
}

static const ModelPanel *
panel_near (const ModelDocument *doc, GeomPoint middle, double *away)
{
  const ModelPanel *best = NULL;
  for (guint i = 0; i < doc->panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (doc->panels, i);
    GeomPath path;
    geom_path_init (&path);
    model_panel_path (panel, &path, NULL);
    const double d = geom_distance (middle_of (geom_path_box (&path)), middle);
    if (best == NULL || d < *away)
    {
      best = panel;
      *away = d;
    }
    geom_path_clear (&path);
  }
  return best;
}

static void
assert_true_size (const Scene *scene, const ModelDocument *doc, GeomPoint moved)
{
  for (int i = 0; i < PIECES; i++)
  {
    double away = INFINITY;
    const ModelPanel *panel = panel_near (doc, geom_add (scene->middle[i], moved), &away);
    g_assert_nonnull (panel);
    g_assert_cmpfloat (away, <=, PROMISE_MM);
    GeomPath path;
    geom_path_init (&path);
    model_panel_path (panel, &path, NULL);
    g_assert_cmpfloat (fabs (geom_path_length (&path, 1e-4) - scene->perimeter_mm[i]), <=, PROMISE_MM);
    geom_path_clear (&path);
  }
}

/* ---- tests ---- */

static void
test_panels_are_true (Bench *bench, gconstpointer data)
{
  open_scene (bench);
  click (bench->room, "find");
  g_assert_cmpstr (app_photo_room_trouble (bench->room), ==, NULL);
  g_assert_cmpuint (app_photo_room_found (bench->room), ==, PIECES);
  g_assert_null (app_window_session (bench->window)); /* nothing is made before it is taken */
  click (bench->room, "take");
  AppSession *session = app_window_session (bench->window);
  g_assert_nonnull (session);
  const ModelDocument *doc = app_session_document (session);
  g_assert_cmpuint (doc->panels->len, ==, PIECES);
  g_assert_cmpuint (doc->photos->len, ==, 0);
  g_assert_cmpstr (doc->head->title, ==, "bracer pieces");
  assert_true_size (&bench->scene, doc, geom_point (0.0, 0.0));
  g_assert_cmpuint (app_session_selection (session)->panels->len, ==, PIECES);
  ModelHistory *history = app_session_history (session);
  g_assert_cmpuint (model_history_length (history), ==, 1);
  model_history_undo (history);
  g_assert_cmpuint (doc->panels->len, ==, 0);
  model_history_redo (history);
  assert_true_size (&bench->scene, doc, geom_point (0.0, 0.0));
}

/* Stopped half way nothing is there, and it can be begun anew. */
static void
test_finding_can_be_stopped (Bench *bench, gconstpointer data)
{
  open_scene (bench);
  g_signal_emit_by_name (app_photo_room_field (bench->room, "find"), "clicked");
  g_assert_true (app_photo_room_is_busy (bench->room));
  g_signal_emit_by_name (app_photo_room_field (bench->room, "cancel"), "clicked");
  g_assert_false (app_photo_room_is_busy (bench->room));
  spin ();
  g_assert_cmpuint (app_photo_room_found (bench->room), ==, 0);
  g_assert_cmpstr (app_photo_room_trouble (bench->room), ==, NULL);
  click (bench->room, "find");
  g_assert_cmpuint (app_photo_room_found (bench->room), ==, PIECES);
}

static void
test_only_what_is_ticked (Bench *bench, gconstpointer data)
{
  open_scene (bench);
  click (bench->room, "find");
  gtk_check_button_set_active (GTK_CHECK_BUTTON (app_photo_room_field (bench->room, "tick-1")), FALSE);
  gtk_check_button_set_active (GTK_CHECK_BUTTON (app_photo_room_field (bench->room, "under")), TRUE);
  click (bench->room, "take");
  AppSession *session = app_window_session (bench->window);
  g_assert_cmpuint (app_session_document (session)->panels->len, ==, PIECES - 1);
  g_assert_cmpuint (app_session_document (session)->photos->len, ==, 1);
  g_assert_cmpuint (model_history_length (app_session_history (session)), ==, 1);
  model_history_undo (app_session_history (session));
  g_assert_cmpuint (app_session_document (session)->photos->len, ==, 0);
}

static void
place_scene (Bench *bench)
{
  open_scene (bench);
  click (bench->room, "place");
  g_assert_cmpstr (app_photo_room_trouble (bench->room), ==, NULL);
}

static void
test_placed_photo_is_kept (Bench *bench, gconstpointer data)
{
  place_scene (bench);
  AppSession *session = app_window_session (bench->window);
  const ModelDocument *doc = app_session_document (session);
  g_assert_cmpuint (doc->photos->len, ==, 1);
  const ModelPhoto *photo = g_ptr_array_index (doc->photos, 0);
  g_assert_cmpfloat (photo->mm_per_px, <=, TRACE_FLAT_MOST_MM_PER_PX);
  g_assert_cmpuint (g_bytes_get_size (photo->image), <=, TRACE_FLAT_MOST_BYTES);
  /* A3 is 420 by 297, ISO 216; a row of pixels at the rim may be cut. */
  g_assert_cmpfloat (fabs (photo->width_px * photo->mm_per_px - 420.0), <=, photo->mm_per_px);
  g_assert_cmpfloat (fabs (photo->height_px * photo->mm_per_px - 297.0), <=, photo->mm_per_px);
  g_assert_cmpuint (app_session_selection (session)->photo_id, ==, photo->id);

  g_autofree char *name = g_build_filename (bench->scene.folder, "kept.panelwright", NULL);
  g_autoptr (GFile) file = g_file_new_for_path (name);
  g_autoptr (GError) error = NULL;
  g_assert_true (app_session_save (session, file, false, &error));
  g_assert_no_error (error);
  g_autoptr (ModelDocument) again = model_document_load (file, NULL, &error);
  g_assert_no_error (error);
  const ModelPhoto *kept = g_ptr_array_index (again->photos, 0);
  g_assert_true (g_bytes_equal (kept->image, photo->image));
  g_assert_cmpint (kept->width_px, ==, photo->width_px);
  g_assert_cmpint (kept->height_px, ==, photo->height_px);
  g_autofree char *first = model_document_to_data (doc, NULL), *second = model_document_to_data (again, NULL);
  g_assert_cmpstr (first, ==, second);
  g_unlink (name);
}

/* What is laid flat is at true size: traced again it gives the same panels, lying on it, wherever it lies. */
static void
test_placed_photo_is_traced_again (Bench *bench, gconstpointer data)
{
  place_scene (bench);
  AppSession *session = app_window_session (bench->window);
  ModelHistory *history = app_session_history (session);
  const ModelDocument *doc = app_session_document (session);
  const GeomPoint moved = { 35.0, -20.0 };
  ModelPhoto *photo = model_photo_copy (g_ptr_array_index (doc->photos, 0));
  const guint id = photo->id;
  photo->at = geom_add (photo->at, moved);
  model_history_put_photo (history, photo);
  app_session_select_photo (session, id);
  gtk_widget_activate_action (GTK_WIDGET (bench->window), "win.trace-photo", NULL);
  wait_idle (bench->room);
  g_assert_cmpint (app_photo_room_way (bench->room), ==, APP_PHOTO_FLAT);
  click (bench->room, "find");
  g_assert_cmpuint (app_photo_room_found (bench->room), ==, PIECES);
  click (bench->room, "take");
  assert_true_size (&bench->scene, doc, moved);
}

static void
test_card_and_hand (Bench *bench, gconstpointer data)
{
  place_scene (bench);
  AppSession *session = app_window_session (bench->window);
  const ModelDocument *doc = app_session_document (session);
  AppCanvas *canvas = app_panels_room_canvas (app_window_panels_room (bench->window));
  const ModelPhoto *was = g_ptr_array_index (doc->photos, 0);
  const guint id = was->id;
  const GeomPoint at = was->at;
  const GeomPoint middle = middle_of (app_canvas_photo_box (was));
  double x, y;
  app_canvas_to_widget (canvas, middle, &x, &y);
  /* It is chosen: a drag moves it. */
  AppInput in = app_canvas_input (canvas, x, y);
  app_canvas_feed (canvas, APP_PHASE_PRESS, &in);
  in = app_canvas_input (canvas, x + 30.0, y);
  app_canvas_feed (canvas, APP_PHASE_MOTION, &in);
  app_canvas_feed (canvas, APP_PHASE_RELEASE, &in);
  g_assert_cmpfloat_with_epsilon (model_document_photo (doc, id)->at.x,
                                  at.x + 30.0 / app_canvas_scale (canvas), 1e-6);
  model_history_undo (app_session_history (session));
  g_assert_cmpfloat (model_document_photo (doc, id)->at.x, ==, at.x);
  /* Arrow keys: 1 mm. */
  g_assert_true (app_canvas_key (canvas, GDK_KEY_Up, 0));
  g_assert_cmpfloat_with_epsilon (model_document_photo (doc, id)->at.y, at.y + 1.0, 1e-9);
  model_history_undo (app_session_history (session));
  /* A click on it chooses it, a drag over one that is not chosen leaves it where it is. */
  app_session_select_none (session);
  in = app_canvas_input (canvas, x, y);
  app_canvas_feed (canvas, APP_PHASE_PRESS, &in);
  in = app_canvas_input (canvas, x + 30.0, y);
  app_canvas_feed (canvas, APP_PHASE_MOTION, &in);
  app_canvas_feed (canvas, APP_PHASE_RELEASE, &in);
  g_assert_cmpfloat (model_document_photo (doc, id)->at.x, ==, at.x);
  in = app_canvas_input (canvas, x, y);
  app_canvas_feed (canvas, APP_PHASE_PRESS, &in);
  app_canvas_feed (canvas, APP_PHASE_RELEASE, &in);
  g_assert_cmpuint (app_session_selection (session)->photo_id, ==, id);
  g_assert_true (app_canvas_key (canvas, GDK_KEY_Delete, 0));
  g_assert_cmpuint (doc->photos->len, ==, 0);
  g_assert_cmpuint (app_session_selection (session)->photo_id, ==, 0);
}

static void
write_bytes (const char *path, const void *data, gsize length)
{
  g_autoptr (GError) error = NULL;
  g_file_set_contents (path, data, (gssize)length, &error);
  g_assert_no_error (error);
}

static void
assert_complains (Bench *bench, const char *path, const char *word)
{
  open_picture (bench, path);
  const char *trouble = app_photo_room_trouble (bench->room);
  g_assert_nonnull (trouble);
  g_assert_nonnull (strstr (trouble, word));
  g_assert_null (strchr (trouble, '\n'));
  g_assert_null (app_window_session (bench->window));
}

/* A JPEG's first bytes say 65535 x 65535 (ITU-T T.81, B.2.2); nothing may be taken for it. */
static void
test_bad_pictures (Bench *bench, gconstpointer data)
{
  static const guint8 huge[] = { 0xff, 0xd8, 0xff, 0xe0, 0, 16, 'J',  'F',  'I', 'F',  0, 1,    1,    0,
                                 0,    1,    0,    1,    0, 0,  0xff, 0xc0, 0,   17,   8, 0xff, 0xff, 0xff,
                                 0xff, 3,    1,    0x11, 0, 2,  0x11, 1,    3,   0x11, 1, 0xff, 0xd9 };
  g_autofree char *path = g_build_filename (bench->scene.folder, "bad.jpg", NULL);
  write_bytes (path, "not a picture at all", 20);
  assert_complains (bench, path, "neither a JPEG nor a PNG");
  write_bytes (path, huge, sizeof huge);
  assert_complains (bench, path, "broken");
  g_autofree char *whole = NULL;
  gsize length;
  g_assert_true (g_file_get_contents (bench->scene.path, &whole, &length, NULL));
  write_bytes (path, whole, length / 2);
  assert_complains (bench, path, "cut off");
  g_autoptr (GdkPixbuf) dot = gdk_pixbuf_new (GDK_COLORSPACE_RGB, FALSE, 8, 1, 1);
  gdk_pixbuf_fill (dot, 0xffffffff);
  g_assert_true (gdk_pixbuf_save (dot, path, "jpeg", NULL, NULL));
  assert_complains (bench, path, "too few");
  g_unlink (path);
  assert_complains (bench, path, "no such file");
  /* Nobody writes into this one: it would be waited for without end. */
  g_assert_cmpint (mkfifo (path, 0600), ==, 0);
  assert_complains (bench, path, "neither a JPEG nor a PNG");
  g_unlink (path);
}

static void
test_bad_corners (Bench *bench, gconstpointer data)
{
  open_scene (bench);
  GeomPoint crossed[4]
    = { bench->scene.corner[0], bench->scene.corner[2], bench->scene.corner[1], bench->scene.corner[3] };
  app_photo_view_set_points (app_photo_room_view (bench->room), crossed, 4);
  click (bench->room, "find");
  g_assert_nonnull (app_photo_room_trouble (bench->room));
  g_assert_cmpuint (app_photo_room_found (bench->room), ==, 0);
  /* Moving one forgets the complaint. */
  g_assert_true (app_photo_view_key (app_photo_room_view (bench->room), GDK_KEY_Left, 0));
  g_assert_null (app_photo_room_trouble (bench->room));
}

static void
test_corner_by_keys (Bench *bench, gconstpointer data)
{
  open_scene (bench);
  AppPhotoView *view = app_photo_room_view (bench->room);
  const GeomPoint was = app_photo_view_points (view)[2];
  g_assert_true (app_photo_view_key (view, GDK_KEY_3, 0));
  g_assert_cmpint (app_photo_view_chosen_point (view), ==, 2);
  g_assert_true (app_photo_view_key (view, GDK_KEY_Left, GDK_SHIFT_MASK));
  g_assert_true (app_photo_view_key (view, GDK_KEY_Down, GDK_ALT_MASK));
  g_assert_cmpfloat_with_epsilon (app_photo_view_points (view)[2].x, was.x - 10.0, 1e-9);
  g_assert_cmpfloat_with_epsilon (app_photo_view_points (view)[2].y, was.y + 0.1, 1e-9);
  g_assert_false (app_photo_view_key (view, GDK_KEY_5, 0));
}

/* A scan of 254 pixels an inch has ten to the millimetre. */
static void
test_scan_has_its_own_scale (Bench *bench, gconstpointer data)
{
  g_autofree char *path = g_build_filename (bench->scene.folder, "scan.png", NULL);
  g_autoptr (GdkPixbuf) scan = gdk_pixbuf_new (GDK_COLORSPACE_RGB, FALSE, 8, 1200, 900);
  gdk_pixbuf_fill (scan, 0xf4f2eeff);
  g_autoptr (GdkPixbuf) piece = gdk_pixbuf_new_subpixbuf (scan, 200, 200, 600, 400);
  gdk_pixbuf_fill (piece, 0x5a3c28ff);
  g_assert_true (gdk_pixbuf_save (scan, path, "png", NULL, "x-dpi", "254", "y-dpi", "254", NULL));
  open_picture (bench, path);
  g_assert_cmpfloat_with_epsilon (
    gtk_spin_button_get_value (GTK_SPIN_BUTTON (app_photo_room_field (bench->room, "dpi"))), 254.0, 0.5);
  g_assert_cmpint (app_photo_room_way (bench->room), ==, APP_PHOTO_SCAN);
  click (bench->room, "find");
  g_assert_cmpstr (app_photo_room_trouble (bench->room), ==, NULL);
  click (bench->room, "take");
  const ModelDocument *doc = app_session_document (app_window_session (bench->window));
  g_assert_cmpuint (doc->panels->len, ==, 1);
  GeomPath outline;
  geom_path_init (&outline);
  model_panel_path (g_ptr_array_index (doc->panels, 0), &outline, NULL);
  const GeomBox box = geom_path_box (&outline);
  g_assert_cmpfloat_with_epsilon (box.x1 - box.x0, 60.0, 0.1);
  g_assert_cmpfloat_with_epsilon (box.y1 - box.y0, 40.0, 0.1);
  g_assert_cmpfloat_with_epsilon (box.x0, 20.0, 0.1);
  g_assert_cmpfloat_with_epsilon (box.y1, 70.0, 0.1);
  geom_path_clear (&outline);
  g_unlink (path);
}

/* The document's sheets show the panels and nothing that lies under them. */
static void
test_sheets_without_photos (Bench *bench, gconstpointer data)
{
  open_scene (bench);
  click (bench->room, "find");
  gtk_check_button_set_active (GTK_CHECK_BUTTON (app_photo_room_field (bench->room, "under")), TRUE);
  click (bench->room, "take");
  AppSession *session = app_window_session (bench->window);
  const ModelDocument *doc = app_session_document (session);
  char *pdf[2] = { NULL, NULL };
  gsize length[2];
  g_autofree char *path = g_build_filename (bench->scene.folder, "sheets.pdf", NULL);
  for (int i = 0; i < 2; i++)
  {
    EngineReview *review = app_session_review (session);
    g_autoptr (GError) error = NULL;
    g_autoptr (EngineSheetPlan) plan = engine_sheet_plan_new (review, "a4", 12.0, &error);
    g_assert_true (output_sheet_write_pdf (review, plan, path, &error));
    g_assert_no_error (error);
    g_assert_true (g_file_get_contents (path, &pdf[i], &length[i], NULL));
    if (i == 0)
      model_history_remove (app_session_history (session), MODEL_PART_PHOTO,
                            ((ModelPhoto *)g_ptr_array_index (doc->photos, 0))->id);
  }
  g_assert_cmpmem (pdf[0], length[0], pdf[1], length[1]);
  g_free (pdf[0]);
  g_free (pdf[1]);
  g_unlink (path);
}

int
main (int argc, char **argv)
{
  house_open (&argc, &argv);
  const struct
  {
    const char *name;
    void (*test) (Bench *, gconstpointer);
  } tests[] = {
    { "panels-are-true", test_panels_are_true },
    { "finding-can-be-stopped", test_finding_can_be_stopped },
    { "only-what-is-ticked", test_only_what_is_ticked },
    { "placed-photo-is-kept", test_placed_photo_is_kept },
    { "placed-photo-is-traced-again", test_placed_photo_is_traced_again },
    { "card-and-hand", test_card_and_hand },
    { "bad-pictures", test_bad_pictures },
    { "bad-corners", test_bad_corners },
    { "corner-by-keys", test_corner_by_keys },
    { "scan-has-its-own-scale", test_scan_has_its_own_scale },
    { "sheets-without-photos", test_sheets_without_photos },
  };
  for (guint i = 0; i < G_N_ELEMENTS (tests); i++)
  {
    g_autofree char *path = g_strconcat ("/app/photo/", tests[i].name, NULL);
    g_test_add (path, Bench, NULL, set_up, tests[i].test, tear_down);
  }
  int status = house_run ();
  scene_clear (&shot);
  return status;
}
