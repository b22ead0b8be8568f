/* A canvas in a window of its own with a document on it, and a hand that works it by the canvas's one way in.
 * Shared by the tests of tools; everything here is in millimetres on the paper. */
#ifndef TEST_APP_BENCH_H
#define TEST_APP_BENCH_H

#include "app/canvas-private.h"

typedef struct Bench
{
  GtkWidget *window;
  AppCanvas *canvas;
  AppSession *session;
  ModelDocument *doc;
  ModelHistory *history;
} Bench;

static inline void
run_events (void)
{
  while (g_main_context_iteration (NULL, FALSE))
    ;
}

static inline gboolean
bench_count_down (GtkWidget *widget, GdkFrameClock *clock, gpointer user)
{
  int *left = user;
  (*left)--;
  gtk_widget_queue_draw (widget);
  return *left > 0 ? G_SOURCE_CONTINUE : G_SOURCE_REMOVE;
}

/* Runs the main context until the canvas has painted again. */
static inline void
paint (Bench *bench)
{
  int left = 3;
  gint64 end = g_get_monotonic_time () + 5 * G_USEC_PER_SEC;
  gtk_widget_add_tick_callback (GTK_WIDGET (bench->canvas), bench_count_down, &left, NULL);
  while (left > 0 && g_get_monotonic_time () < end)
    g_main_context_iteration (NULL, TRUE);
  g_assert_cmpint (left, <=, 0);
}

/* Takes DOC. */
static inline void
lay_out (Bench *bench, ModelDocument *doc)
{
  g_object_set (gtk_settings_get_default (), "gtk-enable-animations", FALSE, NULL);
  bench->session = app_session_new (doc, NULL, NULL);
  bench->doc = app_session_document (bench->session);
  bench->history = app_session_history (bench->session);
  bench->window = gtk_window_new ();
  bench->canvas = APP_CANVAS (app_canvas_new ());
  gtk_window_set_child (GTK_WINDOW (bench->window), GTK_WIDGET (bench->canvas));
  gtk_window_set_default_size (GTK_WINDOW (bench->window), 1100, 800);
  app_canvas_set_session (bench->canvas, bench->session);
  gtk_window_present (GTK_WINDOW (bench->window));
  paint (bench);
}

static inline void
tear_down (Bench *bench, gconstpointer data)
{
  gtk_window_destroy (GTK_WINDOW (bench->window));
  g_object_unref (bench->session);
  run_events ();
}

/* ---- a hand ---- */

static inline AppInput
hand (Bench *bench, double x_mm, double y_mm, GdkModifierType state)
{
  double x, y;
  app_canvas_to_widget (bench->canvas, geom_point (x_mm, y_mm), &x, &y);
  AppInput in = app_canvas_input (bench->canvas, x, y);
  in.state = state;
  return in;
}

static inline void
feed (Bench *bench, AppPhase phase, double x_mm, double y_mm, GdkModifierType state)
{
  AppInput in = hand (bench, x_mm, y_mm, state);
  app_canvas_feed (bench->canvas, phase, &in);
}

static inline void
click (Bench *bench, double x_mm, double y_mm, GdkModifierType state)
{
  feed (bench, APP_PHASE_HOVER, x_mm, y_mm, state);
  feed (bench, APP_PHASE_PRESS, x_mm, y_mm, state);
  feed (bench, APP_PHASE_RELEASE, x_mm, y_mm, state);
}

/* Pressed and moved, not let go. */
static inline void
drag_on (Bench *bench, double x0, double y0, double x1, double y1, GdkModifierType state)
{
  feed (bench, APP_PHASE_PRESS, x0, y0, state);
  for (int i = 1; i <= 8; i++)
    feed (bench, APP_PHASE_MOTION, x0 + (x1 - x0) * i / 8.0, y0 + (y1 - y0) * i / 8.0, state);
}

static inline void
drag (Bench *bench, double x0, double y0, double x1, double y1, GdkModifierType state)
{
  drag_on (bench, x0, y0, x1, y1, state);
  feed (bench, APP_PHASE_RELEASE, x1, y1, state);
}

#endif
