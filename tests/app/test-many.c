/* Several panels in hand: arranging, lining up, hiding, locking, choosing by material, and the clipboard.
 * Real widgets on a virtual screen; the panels are those of support/sample-document.h. */
#include "bench.h"

#include "support/sample-document.h"

static void
set_up (Bench *bench, gconstpointer data)
{
  lay_out (bench, test_sample_document ());
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

/* ---- clipboard ---- */

static void
wait_for_panels (ModelDocument *doc, guint count)
{
  gint64 end = g_get_monotonic_time () + 5 * G_USEC_PER_SEC;
  while (doc->panels->len < count && g_get_monotonic_time () < end)
    g_main_context_iteration (NULL, FALSE);
  g_assert_cmpuint (doc->panels->len, ==, count);
}

typedef struct Fetched
{
  bool done;
  char *text;
  gsize length;
} Fetched;

static void
on_spliced (GObject *source, GAsyncResult *result, gpointer user)
{
  Fetched *fetched = user;
  g_assert_cmpint (g_output_stream_splice_finish (G_OUTPUT_STREAM (source), result, NULL), >=, 0);
  g_autoptr (GBytes) bytes = g_memory_output_stream_steal_as_bytes (G_MEMORY_OUTPUT_STREAM (source));
  fetched->text = g_strndup (g_bytes_get_data (bytes, NULL), g_bytes_get_size (bytes));
  fetched->length = g_bytes_get_size (bytes);
  fetched->done = true;
}

static void
on_offered (GObject *source, GAsyncResult *result, gpointer user)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GInputStream) from = gdk_clipboard_read_finish (GDK_CLIPBOARD (source), result, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (GOutputStream) to = g_memory_output_stream_new_resizable ();
  g_output_stream_splice_async (to, from,
                                G_OUTPUT_STREAM_SPLICE_CLOSE_SOURCE | G_OUTPUT_STREAM_SPLICE_CLOSE_TARGET,
                                G_PRIORITY_DEFAULT, NULL, on_spliced, user);
}

/* What another program would get. */
static char *
fetch (Bench *bench, const char *mime, gsize *length)
{
  Fetched fetched = { false, NULL, 0 };
  const char *mimes[] = { mime, NULL };
  gdk_clipboard_read_async (gtk_widget_get_clipboard (GTK_WIDGET (bench->canvas)), mimes, G_PRIORITY_DEFAULT,
                            NULL, on_offered, &fetched);
  gint64 end = g_get_monotonic_time () + 5 * G_USEC_PER_SEC;
  while (!fetched.done && g_get_monotonic_time () < end)
    g_main_context_iteration (NULL, FALSE);
  g_assert_true (fetched.done);
  *length = fetched.length;
  return fetched.text;
}

static void
offer (Bench *bench, const char *mime, const char *text)
{
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));
  g_autoptr (GdkContentProvider) content = gdk_content_provider_new_for_bytes (mime, bytes);
  gdk_clipboard_set_content (gtk_widget_get_clipboard (GTK_WIDGET (bench->canvas)), content);
}

/* The same canvas with another document. */
static void
other_document (Bench *bench)
{
  g_object_unref (bench->session);
  bench->session = app_session_new (model_document_new (), NULL, NULL);
  bench->doc = app_session_document (bench->session);
  bench->history = app_session_history (bench->session);
  app_canvas_set_session (bench->canvas, bench->session);
  paint (bench);
}

static void
test_to_another_document (Bench *bench, gconstpointer data)
{
  /* A pair of match marks on join A, and a foam of its own for the side. */
  ModelMaterial *foam = model_material_new ();
  g_free (foam->name);
  foam->name = g_strdup ("foam");
  foam->kind = MODEL_MATERIAL_FOAM;
  guint foam_id = model_history_put_material (bench->history, foam);
  ModelPanel *front = model_panel_copy (test_sample_panel (bench->doc, "Front")),
             *side = model_panel_copy (test_sample_panel (bench->doc, "Side"));
  ModelJoin *join = model_join_copy (test_sample_join (bench->doc, "A"));
  side->material_id = foam_id;
  g_autofree char *edge_name = g_strdup (
    model_panel_edge (front, (guint)model_panel_find_edge (front, g_array_index (join->a.edges, guint, 0)))
      ->name);
  ModelMatch match;
  match.a_mark_id
    = model_shape_add_mark (front, bench->doc, g_array_index (join->a.edges, guint, 0), 0, 0.5, 1);
  match.b_mark_id
    = model_shape_add_mark (side, bench->doc, g_array_index (join->b.edges, guint, 0), 0, 0.5, 1);
  join->a.from_mark_id = match.a_mark_id;
  g_array_append_val (join->matches, match);
  model_history_put_panel (bench->history, front);
  model_history_put_panel (bench->history, side);
  model_history_put_join (bench->history, join);
  choose (bench, (const char *const[]) { "Front", "Side", "Belt", NULL });
  gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "canvas.copy", NULL);
  other_document (bench);
  gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "canvas.paste", NULL);
  wait_for_panels (bench->doc, 3);
  /* A and D lie among the three; B and C lost their back. */
  g_assert_cmpuint (bench->doc->joins->len, ==, 2);
  const ModelJoin *a = g_ptr_array_index (bench->doc->joins, 0);
  const ModelPanel *new_front = test_sample_panel (bench->doc, "Front"),
                   *new_side = test_sample_panel (bench->doc, "Side");
  g_assert_cmpuint (a->a.panel_id, ==, new_front->id);
  g_assert_cmpuint (a->b.panel_id, ==, new_side->id);
  g_assert_cmpint (model_panel_find_edge (new_front, g_array_index (a->a.edges, guint, 0)), >=, 0);
  g_assert_cmpuint (a->matches->len, ==, 1);
  const ModelMark *mark_a
    = model_panel_find_mark (new_front, g_array_index (a->matches, ModelMatch, 0).a_mark_id);
  const ModelMark *mark_b
    = model_panel_find_mark (new_side, g_array_index (a->matches, ModelMatch, 0).b_mark_id);
  g_assert_true (mark_a != NULL && mark_b != NULL);
  g_assert_cmpuint (mark_a->edge_id, ==, g_array_index (a->a.edges, guint, 0));
  g_assert_cmpuint (mark_b->edge_id, ==, g_array_index (a->b.edges, guint, 0));
  g_assert_cmpuint (a->a.from_mark_id, ==, mark_a->id);
  g_assert_cmpstr (
    model_panel_edge (new_front, (guint)model_panel_find_edge (new_front, mark_a->edge_id))->name, ==,
    edge_name);
  g_assert_cmpstr (model_document_material (bench->doc, new_side->material_id)->name, ==, "foam");
  g_assert_cmpuint (bench->doc->materials->len, ==, 2);
  model_history_undo (bench->history);
  g_assert_cmpuint (bench->doc->panels->len, ==, 0);
  g_assert_cmpuint (bench->doc->materials->len, ==, 0);
}

/* Out as a drawing and in again: the belt's cut line comes back as an outline, true to size. */
static void
test_drawing_round_trip (Bench *bench, gconstpointer data)
{
  choose (bench, (const char *const[]) { "Belt", NULL });
  const EnginePiece *piece = engine_review_piece (
    app_session_review (bench->session), test_sample_panel (bench->doc, "Belt")->id, MODEL_SIDE_CENTRE);
  double area = fabs (geom_path_area (&piece->cut)), w = piece->box.x1 - piece->box.x0,
         h = piece->box.y1 - piece->box.y0;
  gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "canvas.copy", NULL);
  const char *const mimes[] = { "image/svg+xml", "text/plain;charset=utf-8" };
  char *texts[2];
  gsize length;
  for (guint i = 0; i < 2; i++)
  {
    texts[i] = fetch (bench, mimes[i], &length);
    g_assert_nonnull (strstr (texts[i], "mm\""));
  }
  other_document (bench);
  for (guint i = 0; i < 2; i++)
  {
    offer (bench, mimes[i], texts[i]);
    gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "canvas.paste", NULL);
    wait_for_panels (bench->doc, i + 1);
    const ModelPanel *panel = g_ptr_array_index (bench->doc->panels, i);
    GeomPath path;
    geom_path_init (&path);
    model_panel_path (panel, &path, NULL);
    GeomBox box = geom_path_box (&path);
    /* 0.005 mm is promised of what is written; on both sides of a length, and along the rim of an area. */
    g_assert_cmpfloat (fabs (box.x1 - box.x0 - w), <=, 0.01);
    g_assert_cmpfloat (fabs (box.y1 - box.y0 - h), <=, 0.01);
    g_assert_cmpfloat (fabs (geom_path_area (&path) - area), <=, 0.005 * 2.0 * (w + h));
    geom_path_clear (&path);
  }
  g_free (texts[0]);
  g_free (texts[1]);
}

static void
test_other_programs (Bench *bench, gconstpointer data)
{
  guint panels = bench->doc->panels->len, steps = model_history_length (bench->history);
  offer (bench, "image/svg+xml",
         "<svg width=\"50mm\" height=\"50mm\" viewBox=\"0 0 50 50\"><title>Sheet</title>"
         "<path id=\"Gorget\" d=\"M0 0h50v40h-50z\"/><path d=\"M1 1h5\"/></svg>");
  gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "canvas.paste", NULL);
  wait_for_panels (bench->doc, panels + 1);
  const ModelPanel *panel = model_document_panel_named (bench->doc, "Gorget");
  g_assert_nonnull (panel);
  g_assert_cmpuint (panel->edges->len, ==, 4);
  g_assert_cmpuint (model_history_length (bench->history), ==, steps + 1);
  g_assert_true (app_selection_has_panel (app_session_selection (bench->session), panel->id));
  g_assert_nonnull (strstr (app_canvas_status (bench->canvas), "open line"));
  /* Neither of these is a drawing; nothing comes of them but words. */
  const char *const others[][2] = { { "text/plain;charset=utf-8", "a letter home" },
                                    { "image/svg+xml", "<svg><path d=\"M0\"/></svg>" },
                                    { "application/x-panelwright+json", "{" } };
  for (guint i = 0; i < G_N_ELEMENTS (others); i++)
  {
    app_canvas_say (bench->canvas, NULL);
    g_autofree char *hint = g_strdup (app_canvas_status (bench->canvas));
    offer (bench, others[i][0], others[i][1]);
    gtk_widget_activate_action (GTK_WIDGET (bench->canvas), "canvas.paste", NULL);
    gint64 end = g_get_monotonic_time () + 5 * G_USEC_PER_SEC;
    while (g_strcmp0 (app_canvas_status (bench->canvas), hint) == 0 && g_get_monotonic_time () < end)
      g_main_context_iteration (NULL, FALSE);
    g_assert_cmpstr (app_canvas_status (bench->canvas), !=, hint);
    g_assert_cmpuint (bench->doc->panels->len, ==, panels + 1);
  }
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
    { "to-another-document", test_to_another_document },
    { "drawing-round-trip", test_drawing_round_trip },
    { "other-programs", test_other_programs },
  };
  for (guint i = 0; i < G_N_ELEMENTS (tests); i++)
  {
    g_autofree char *path = g_strconcat ("/app/many/", tests[i].name, NULL);
    g_test_add (path, Bench, NULL, set_up, tests[i].test, tear_down);
  }
  return g_test_run ();
}
