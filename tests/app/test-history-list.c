/* The list of steps: what it says is what the history says, and a row is the way back to it. */
#include "house.h"

#include "app/history-list.h"

#include <glib/gstdio.h>

/* COUNT steps, each another title: labels "step 1", "step 2", ... */
static AppSession *
session_with_steps (guint count)
{
  AppSession *session = app_session_new (model_document_new (), NULL, NULL);
  ModelHistory *history = app_session_history (session);
  for (guint i = 1; i <= count; i++)
  {
    g_autofree char *label = g_strdup_printf ("step %u", i);
    ModelHead *head = model_head_copy (app_session_document (session)->head);
    g_free (head->title);
    head->title = g_strdup (label);
    model_history_begin (history, label);
    model_history_put_head (history, head);
    model_history_end (history);
  }
  return session;
}

static GtkWidget *
descendant (GtkWidget *widget, GType type)
{
  if (G_TYPE_CHECK_INSTANCE_TYPE (widget, type))
    return widget;
  for (GtkWidget *child = gtk_widget_get_first_child (widget); child != NULL;
       child = gtk_widget_get_next_sibling (child))
  {
    GtkWidget *found = descendant (child, type);
    if (found != NULL)
      return found;
  }
  return NULL;
}

static AppWindow *
window_with (AppSession *session)
{
  AppWindow *window = app_window_new (GTK_APPLICATION (application));
  gtk_window_present (GTK_WINDOW (window));
  app_window_set_session (window, session);
  spin ();
  return window;
}

static AppHistoryList *
list_of (AppWindow *window)
{
  GtkWidget *list = descendant (gtk_window_get_titlebar (GTK_WINDOW (window)), APP_TYPE_HISTORY_LIST);
  g_assert_nonnull (list);
  return APP_HISTORY_LIST (list);
}

/* What a row says first: its step. */
static const char *
words_of (AppHistoryList *list, int index)
{
  GtkListBoxRow *row = gtk_list_box_get_row_at_index (app_history_list_box (list), index);
  return row != NULL ? gtk_label_get_text (GTK_LABEL (descendant (GTK_WIDGET (row), GTK_TYPE_LABEL))) : NULL;
}

static int
row_count (AppHistoryList *list)
{
  int count = 0;
  while (gtk_list_box_get_row_at_index (app_history_list_box (list), count) != NULL)
    count++;
  return count;
}

static void
open_list (AppWindow *window)
{
  gtk_widget_activate_action (GTK_WIDGET (window), "win.steps", NULL);
  spin ();
  g_assert_true (app_history_list_is_open (list_of (window)));
}

static void
go_to_row (AppWindow *window, int index)
{
  GtkListBox *box = app_history_list_box (list_of (window));
  g_signal_emit_by_name (box, "row-activated", gtk_list_box_get_row_at_index (box, index));
  spin ();
}

static void
test_rows (void)
{
  g_autoptr (AppSession) session = session_with_steps (3);
  AppWindow *window = window_with (session);
  AppHistoryList *list = list_of (window);
  open_list (window);
  static const char *const wanted[] = { "step 3", "step 2", "step 1", "As it was opened" };
  g_assert_cmpint (row_count (list), ==, 4);
  for (int i = 0; i < 4; i++)
    g_assert_cmpstr (words_of (list, i), ==, wanted[i]);
  /* The present one is chosen and has the keyboard. */
  GtkListBoxRow *here = gtk_list_box_get_selected_row (app_history_list_box (list));
  g_assert_cmpint (gtk_list_box_row_get_index (here), ==, 0);
  g_assert_true (gtk_window_get_focus (GTK_WINDOW (window)) == GTK_WIDGET (here));
  for (int i = 0; i < 4; i++)
    g_assert_true (gtk_test_accessible_has_property (
      GTK_ACCESSIBLE (gtk_list_box_get_row_at_index (app_history_list_box (list), i)),
      GTK_ACCESSIBLE_PROPERTY_LABEL));
  drop_window (window);
}

/* Any row, there and back again; the document is the one of that step. */
static void
test_go_to (void)
{
  g_autoptr (AppSession) session = session_with_steps (3);
  AppWindow *window = window_with (session);
  ModelHistory *history = app_session_history (session);
  static const int rows[] = { 3, 1, 2, 0, 3, 0 };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    open_list (window);
    go_to_row (window, rows[i]);
    g_assert_false (app_history_list_is_open (list_of (window)));
    g_assert_cmpuint (model_history_position (history), ==, 3 - (guint)rows[i]);
    g_autofree char *wanted = rows[i] < 3 ? g_strdup_printf ("step %d", 3 - rows[i]) : g_strdup ("");
    g_assert_cmpstr (app_session_document (session)->head->title, ==, wanted);
    g_assert_cmpuint (model_history_length (history), ==, 3);
  }
  drop_window (window);
}

/* A step done while it is open, or one taken back, is seen at once. */
static void
test_follows (void)
{
  g_autoptr (AppSession) session = session_with_steps (1);
  AppWindow *window = window_with (session);
  open_list (window);
  model_history_undo (app_session_history (session));
  spin ();
  GtkListBox *box = app_history_list_box (list_of (window));
  g_assert_cmpint (gtk_list_box_row_get_index (gtk_list_box_get_selected_row (box)), ==, 1);
  ModelHead *head = model_head_copy (app_session_document (session)->head);
  g_free (head->title);
  head->title = g_strdup ("Mantle");
  model_history_begin (app_session_history (session), "another");
  model_history_put_head (app_session_history (session), head);
  model_history_end (app_session_history (session));
  spin ();
  g_assert_cmpint (row_count (list_of (window)), ==, 2);
  g_assert_cmpstr (words_of (list_of (window), 0), ==, "another");
  drop_window (window);
}

/* Nothing done: nothing to open. */
static void
test_empty (void)
{
  g_autoptr (AppSession) session = session_with_steps (0);
  AppWindow *window = window_with (session);
  gtk_widget_activate_action (GTK_WIDGET (window), "win.steps", NULL);
  spin ();
  g_assert_false (app_history_list_is_open (list_of (window)));
  drop_window (window);
}

/* A long evening: a bounded list that still has the present place in it. */
static void
test_long (void)
{
  g_autoptr (AppSession) session = session_with_steps (1500);
  AppWindow *window = window_with (session);
  ModelHistory *history = app_session_history (session);
  static const guint places[] = { 1500, 3 };
  for (guint i = 0; i < G_N_ELEMENTS (places); i++)
  {
    model_history_go_to (history, places[i]);
    open_list (window);
    g_assert_cmpint (row_count (list_of (window)), <=, 400);
    GtkListBoxRow *here = gtk_list_box_get_selected_row (app_history_list_box (list_of (window)));
    g_assert_nonnull (here);
    g_autofree char *wanted
      = places[i] > 0 ? g_strdup_printf ("step %u", places[i]) : g_strdup ("As it was opened");
    g_assert_cmpstr (words_of (list_of (window), gtk_list_box_row_get_index (here)), ==, wanted);
    go_to_row (window, gtk_list_box_row_get_index (here));
  }
  drop_window (window);
}

int
main (int argc, char **argv)
{
  house_open (&argc, &argv);
  g_test_add_func ("/app/history-list/rows", test_rows);
  g_test_add_func ("/app/history-list/go-to", test_go_to);
  g_test_add_func ("/app/history-list/follows", test_follows);
  g_test_add_func ("/app/history-list/empty", test_empty);
  g_test_add_func ("/app/history-list/long", test_long);
  return house_run ();
}
