#include "app/lazy-row.h"

#include <stdbool.h>

/* Rows this near to the view are drawn already, so that a scroll finds them. */
#define NEAR_PX 200.0
/* On the list: it will look at the next frame. */
#define LOOKS "app-lazy-rows-look"

struct _AppLazyRow
{
  GtkListBoxRow parent_instance;
  bool away;
};

G_DEFINE_FINAL_TYPE (AppLazyRow, app_lazy_row, GTK_TYPE_LIST_BOX_ROW)

static void
app_lazy_row_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  if (!APP_LAZY_ROW (widget)->away)
    GTK_WIDGET_CLASS (app_lazy_row_parent_class)->snapshot (widget, snapshot);
}

static void
app_lazy_row_class_init (AppLazyRowClass *klass)
{
  GTK_WIDGET_CLASS (klass)->snapshot = app_lazy_row_snapshot;
}

static void
app_lazy_row_init (AppLazyRow *self)
{
}

GtkWidget *
app_lazy_row_new (void)
{
  return g_object_new (APP_TYPE_LAZY_ROW, NULL);
}

/* Places in what is scrolled do not change with the scrolling, so they hold before the next layout too. */
static gboolean
look (GtkWidget *list, GdkFrameClock *clock, gpointer user)
{
  GtkWidget *scroller = gtk_widget_get_ancestor (list, GTK_TYPE_SCROLLED_WINDOW);
  GtkWidget *viewport = gtk_widget_get_ancestor (list, GTK_TYPE_VIEWPORT);
  GtkWidget *inner = viewport != NULL ? gtk_viewport_get_child (GTK_VIEWPORT (viewport)) : NULL;
  g_object_set_data (G_OBJECT (list), LOOKS, NULL);
  if (scroller == NULL || inner == NULL)
    return G_SOURCE_REMOVE;
  GtkAdjustment *at = gtk_scrolled_window_get_vadjustment (GTK_SCROLLED_WINDOW (scroller));
  double top = gtk_adjustment_get_value (at) - NEAR_PX;
  double foot = gtk_adjustment_get_value (at) + gtk_adjustment_get_page_size (at) + NEAR_PX;
  for (GtkWidget *child = gtk_widget_get_first_child (list); child != NULL;
       child = gtk_widget_get_next_sibling (child))
  {
    graphene_rect_t bounds;
    if (!APP_IS_LAZY_ROW (child) || !gtk_widget_compute_bounds (child, inner, &bounds))
      continue;
    bool away = bounds.origin.y > foot || bounds.origin.y + bounds.size.height < top;
    if (away == APP_LAZY_ROW (child)->away)
      continue;
    APP_LAZY_ROW (child)->away = away;
    gtk_widget_queue_draw (child);
  }
  return G_SOURCE_REMOVE;
}

static void
on_moved (GtkAdjustment *adjustment, GtkWidget *list)
{
  if (g_object_get_data (G_OBJECT (list), LOOKS) != NULL)
    return;
  g_object_set_data (G_OBJECT (list), LOOKS, list);
  gtk_widget_add_tick_callback (list, look, NULL, NULL);
}

void
app_lazy_rows_follow (GtkListBox *list, GtkScrolledWindow *scroller)
{
  GtkAdjustment *at = gtk_scrolled_window_get_vadjustment (scroller);
  g_signal_connect_object (at, "value-changed", G_CALLBACK (on_moved), list, 0);
  g_signal_connect_object (at, "changed", G_CALLBACK (on_moved), list, 0);
}
