/* Several panels in hand: arranging, lining up, hiding, locking, choosing by material, and the clipboard.
 * Real widgets on a virtual screen; the panels are those of support/sample-document.h. */
#include "app/canvas-private.h"

#include "support/sample-document.h"

typedef struct Bench
{
  GtkWidget *window;
  AppCanvas *canvas;
  AppSession *session;
  ModelDocument *doc;
  ModelHistory *history;
} Bench;

static gboolean
count_down (GtkWidget *widget, GdkFrameClock *clock, gpointer user)
{
  int *left = user;
  (*left)--;
  gtk_widget_queue_draw (widget);
  return *left > 0 ? G_SOURCE_CONTINUE : G_SOURCE_REMOVE;
}

static void
paint (GtkWidget *widget)
{
  int left = 3;
  gint64 end = g_get_monotonic_time () + 2 * G_USEC_PER_SEC;
  gtk_widget_add_tick_callback (widget, count_down, &left, NULL);
  while (left > 0 && g_get_monotonic_time () < end)
    g_main_context_iteration (NULL, TRUE);
  g_assert_cmpint (left, <=, 0);
}

static void
set_up (Bench *bench, gconstpointer data)
{
  g_object_set (gtk_settings_get_default (), "gtk-enable-animations", FALSE, NULL);
  bench->session = app_session_new (test_sample_document (), NULL, NULL);
  bench->doc = app_session_document (bench->session);
  bench->history = app_session_history (bench->session);
  bench->window = gtk_window_new ();
  bench->canvas = APP_CANVAS (app_canvas_new ());
  gtk_window_set_child (GTK_WINDOW (bench->window), GTK_WIDGET (bench->canvas));
  gtk_window_set_default_size (GTK_WINDOW (bench->window), 1100, 800);
  app_canvas_set_session (bench->canvas, bench->session);
  gtk_window_present (GTK_WINDOW (bench->window));
  paint (GTK_WIDGET (bench->canvas));
}

static void
tear_down (Bench *bench, gconstpointer data)
{
  gtk_window_destroy (GTK_WINDOW (bench->window));
  g_object_unref (bench->session);
  while (g_main_context_iteration (NULL, FALSE))
    ;
}

static void
choose (Bench *bench, const char *const *names)
{
  g_autoptr (GArray) ids = g_array_new (FALSE, FALSE, sizeof (guint));
  for (; *names != NULL; names++)
    g_array_append_val (ids, test_sample_panel (bench->doc, *names)->id);
  app_session_select_panels (bench->session, (const guint *)ids->data, ids->len);
}

static GeomBox
box_of (Bench *bench, const char *name)
{
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (test_sample_panel (bench->doc, name), &path, NULL);
  GeomBox box = geom_path_box (&path);
  geom_path_clear (&path);
  return box;
}

static char *
bytes (Bench *bench)
{
  return model_document_to_data (bench->doc, NULL);
}

#define assert_near(a, b) g_assert_cmpfloat_with_epsilon ((a), (b), 1e-6)

/* ---- arranging ---- */

static void
test_arrange_is_one_step (Bench *bench, gconstpointer data)
{
  g_autofree char *before = bytes (bench);
  guint steps = model_history_length (bench->history);
  gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "canvas.arrange", NULL);
  g_assert_cmpuint (model_history_length (bench->history), ==, steps + 1);
  const GPtrArray *pieces = engine_review_pieces (app_session_review (bench->session));
  for (guint i = 0; i < pieces->len; i++)
    for (guint k = i + 1; k < pieces->len; k++)
    {
      const EnginePiece *p = g_ptr_array_index (pieces, i), *q = g_ptr_array_index (pieces, k);
      g_assert_false (geom_box_overlaps (geom_box_grown (p->box, 19.9), q->box));
    }
  /* Again: nothing to do, and no step for it. */
  app_canvas_key (bench->canvas, GDK_KEY_A, GDK_CONTROL_MASK | GDK_SHIFT_MASK);
  g_assert_cmpuint (model_history_length (bench->history), ==, steps + 1);
  model_history_undo (bench->history);
  g_autofree char *after = bytes (bench);
  g_assert_cmpstr (before, ==, after);
}

static void
test_align_by_key (Bench *bench, gconstpointer data)
{
  choose (bench, (const char *const[]) { "Side", "Belt", NULL });
  double left = fmin (box_of (bench, "Side").x0, box_of (bench, "Belt").x0);
  GeomBox front = box_of (bench, "Front");
  g_assert_true (app_canvas_key (bench->canvas, GDK_KEY_Left, GDK_ALT_MASK | GDK_SHIFT_MASK));
  assert_near (box_of (bench, "Side").x0, left);
  assert_near (box_of (bench, "Belt").x0, left);
  assert_near (box_of (bench, "Front").x0, front.x0);
  double top = fmax (box_of (bench, "Side").y1, box_of (bench, "Belt").y1);
  g_assert_true (app_canvas_key (bench->canvas, GDK_KEY_Up, GDK_ALT_MASK | GDK_SHIFT_MASK));
  assert_near (box_of (bench, "Side").y1, top);
  assert_near (box_of (bench, "Belt").y1, top);
}

static void
test_one_panel_is_not_aligned (Bench *bench, gconstpointer data)
{
  choose (bench, (const char *const[]) { "Side", NULL });
  guint steps = model_history_length (bench->history);
  app_canvas_key (bench->canvas, GDK_KEY_Left, GDK_ALT_MASK | GDK_SHIFT_MASK);
  g_assert_cmpuint (model_history_length (bench->history), ==, steps);
}

static void
test_locked_panel_stays_and_says_so (Bench *bench, gconstpointer data)
{
  choose (bench, (const char *const[]) { "Belt", NULL });
  gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "edit.panel-lock", NULL);
  g_assert_true (test_sample_panel (bench->doc, "Belt")->locked);
  GeomBox belt = box_of (bench, "Belt");
  gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "canvas.arrange", NULL);
  GeomBox now = box_of (bench, "Belt");
  assert_near (now.x0, belt.x0);
  assert_near (now.y0, belt.y0);
  g_assert_nonnull (strstr (app_canvas_status (bench->canvas), "locked"));
}

static void
test_lock_and_hide_all_that_are_chosen (Bench *bench, gconstpointer data)
{
  choose (bench, (const char *const[]) { "Side", "Back", NULL });
  guint steps = model_history_length (bench->history);
  gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "edit.panel-lock", NULL);
  g_assert_true (test_sample_panel (bench->doc, "Side")->locked);
  g_assert_true (test_sample_panel (bench->doc, "Back")->locked);
  gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "edit.panel-hide", NULL);
  g_assert_true (test_sample_panel (bench->doc, "Side")->hidden);
  g_assert_true (test_sample_panel (bench->doc, "Back")->hidden);
  g_assert_cmpuint (model_history_length (bench->history), ==, steps + 2);
}

/* ---- material ---- */

static void
test_choose_all_of_a_material (Bench *bench, gconstpointer data)
{
  ModelMaterial *foam = model_material_new ();
  g_free (foam->name);
  foam->name = g_strdup ("foam");
  guint id = model_history_put_material (bench->history, foam);
  const char *const soft[] = { "Side", "Belt", "Back" };
  for (guint i = 0; i < 3; i++)
  {
    ModelPanel *panel = model_panel_copy (test_sample_panel (bench->doc, soft[i]));
    panel->material_id = id;
    panel->hidden = i == 2;
    model_history_put_panel (bench->history, panel);
  }
  choose (bench, (const char *const[]) { "Belt", NULL });
  gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "canvas.select-material", NULL);
  const AppSelection *s = app_session_selection (bench->session);
  g_assert_cmpuint (s->panels->len, ==, 2); /* the hidden one cannot be chosen */
  g_assert_true (app_selection_has_panel (s, test_sample_panel (bench->doc, "Side")->id));
  g_assert_true (app_selection_has_panel (s, test_sample_panel (bench->doc, "Belt")->id));
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
    { "arrange-is-one-step", test_arrange_is_one_step },
    { "align-by-key", test_align_by_key },
    { "one-panel-is-not-aligned", test_one_panel_is_not_aligned },
    { "locked-panel-stays-and-says-so", test_locked_panel_stays_and_says_so },
    { "lock-and-hide-all-that-are-chosen", test_lock_and_hide_all_that_are_chosen },
    { "choose-all-of-a-material", test_choose_all_of_a_material },
  };
  for (guint i = 0; i < G_N_ELEMENTS (tests); i++)
  {
    g_autofree char *path = g_strconcat ("/app/many/", tests[i].name, NULL);
    g_test_add (path, Bench, NULL, set_up, tests[i].test, tear_down);
  }
  return g_test_run ();
}
