#include "app/aside.h"

#include "app/fitting-pane.h"
#include "app/label.h"
#include "app/list-pane.h"
#include "app/refit-pane.h"
#include "app/revisions-pane.h"

#include <glib/gi18n.h>

#define WIDTH_PX 320

struct _AppAside
{
  GtkWidget parent;
  GtkWidget *box, *title, *close, *stack, *revisions, *fitting, *panels, *refit, *before;
  const char *shown; /* one of the names below */
};

G_DEFINE_FINAL_TYPE (AppAside, app_aside, GTK_TYPE_WIDGET)

static const struct
{
  const char *name, *title;
} pages[] = { { "revisions", N_ ("Revisions") },
              { "fitting", N_ ("Fitting") },
              { "panel-list", N_ ("Panels") },
              { "refit", N_ ("Fit to another wearer") } };

void
app_aside_set_session (AppAside *self, AppSession *session)
{
  app_aside_show (self, NULL);
  app_revisions_pane_set_session (APP_REVISIONS_PANE (self->revisions), session);
  app_fitting_pane_set_session (APP_FITTING_PANE (self->fitting), session);
  app_list_pane_set_session (APP_LIST_PANE (self->panels), session);
  app_refit_pane_set_session (APP_REFIT_PANE (self->refit), session);
}

void
app_aside_show (AppAside *self, const char *which)
{
  const char *was = self->shown;
  self->shown = NULL;
  for (guint i = 0; which != NULL && i < G_N_ELEMENTS (pages); i++)
    if (g_str_equal (pages[i].name, which))
    {
      self->shown = pages[i].name;
      app_label_set (self->title, _ (pages[i].title));
      gtk_accessible_update_property (GTK_ACCESSIBLE (self->box), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                      _ (pages[i].title), -1);
      gtk_stack_set_visible_child_name (GTK_STACK (self->stack), which);
    }
  GtkRoot *root = gtk_widget_get_root (GTK_WIDGET (self));
  if (was == NULL && self->shown != NULL && root != NULL)
    g_set_weak_pointer (&self->before, gtk_root_get_focus (root));
  /* The keyboard goes back to where it was, not to the start of the window. */
  if (self->shown == NULL && was != NULL && self->before != NULL && root != NULL
      && gtk_widget_is_ancestor (gtk_root_get_focus (root) != NULL ? gtk_root_get_focus (root) : self->box,
                                 self->box))
    gtk_widget_grab_focus (self->before);
  gtk_widget_set_visible (GTK_WIDGET (self), self->shown != NULL);
  app_refit_pane_set_open (APP_REFIT_PANE (self->refit), g_strcmp0 (self->shown, "refit") == 0);
  app_list_pane_set_open (APP_LIST_PANE (self->panels), g_strcmp0 (self->shown, "panel-list") == 0);
  app_fitting_pane_set_open (APP_FITTING_PANE (self->fitting), g_strcmp0 (self->shown, "fitting") == 0);
  if (self->shown != NULL)
    gtk_widget_child_focus (gtk_stack_get_visible_child (GTK_STACK (self->stack)), GTK_DIR_TAB_FORWARD);
  app_revisions_pane_set_open (APP_REVISIONS_PANE (self->revisions),
                               g_strcmp0 (self->shown, "revisions") == 0);
}

const char *
app_aside_shown (AppAside *self)
{
  return self->shown;
}

GtkWidget *
app_aside_pane (AppAside *self, const char *which)
{
  return gtk_stack_get_child_by_name (GTK_STACK (self->stack), which);
}

static void
on_close (AppAside *self)
{
  app_aside_show (self, NULL);
}

static gboolean
on_key (GtkEventControllerKey *keys, guint keyval, guint code, GdkModifierType state, AppAside *self)
{
  if (keyval != GDK_KEY_Escape)
    return GDK_EVENT_PROPAGATE;
  app_aside_show (self, NULL);
  return GDK_EVENT_STOP;
}

static void
app_aside_dispose (GObject *object)
{
  AppAside *self = APP_ASIDE (object);
  g_clear_weak_pointer (&self->before);
  g_clear_pointer (&self->box, gtk_widget_unparent);
  G_OBJECT_CLASS (app_aside_parent_class)->dispose (object);
}

/* One width whatever the height: asked for the width of a given height, a wrapped sentence would want to be
 * one line and take the paper's room. */
static void
app_aside_measure (GtkWidget *widget,
                   GtkOrientation orientation,
                   int for_size,
                   int *minimum,
                   int *natural,
                   int *minimum_baseline,
                   int *natural_baseline)
{
  *minimum = *natural = WIDTH_PX;
  if (orientation == GTK_ORIENTATION_VERTICAL)
    gtk_widget_measure (APP_ASIDE (widget)->box, orientation, WIDTH_PX, minimum, natural, NULL, NULL);
}

static void
app_aside_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  gtk_widget_size_allocate (APP_ASIDE (widget)->box, &(GtkAllocation) { 0, 0, width, height }, baseline);
}

static void
app_aside_class_init (AppAsideClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_aside_dispose;
  GTK_WIDGET_CLASS (klass)->measure = app_aside_measure;
  GTK_WIDGET_CLASS (klass)->size_allocate = app_aside_size_allocate;
}

static void
app_aside_init (AppAside *self)
{
  self->box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8);
  app_add_classes (self->box, "pw-aside");
  GtkWidget *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  self->title = app_label_new (NULL, "pw-heading");
  gtk_widget_set_hexpand (self->title, TRUE);
  self->close
    = app_icon_button_new ("window-close-symbolic", "pw-icon", _ ("Close"), _ ("Close. Escape"), NULL);
  g_signal_connect_swapped (self->close, "clicked", G_CALLBACK (on_close), self);
  gtk_box_append (GTK_BOX (head), self->title);
  gtk_box_append (GTK_BOX (head), self->close);
  gtk_box_append (GTK_BOX (self->box), head);
  self->stack = gtk_stack_new ();
  gtk_stack_set_vhomogeneous (GTK_STACK (self->stack), FALSE);
  gtk_widget_set_vexpand (self->stack, TRUE);
  gtk_box_append (GTK_BOX (self->box), self->stack);
  gtk_widget_set_hexpand (GTK_WIDGET (self), FALSE);
  gtk_widget_set_parent (self->box, GTK_WIDGET (self));
  GtkEventController *keys = gtk_event_controller_key_new ();
  g_signal_connect (keys, "key-pressed", G_CALLBACK (on_key), self);
  gtk_widget_add_controller (GTK_WIDGET (self), keys);
  gtk_widget_set_visible (GTK_WIDGET (self), FALSE);
}

GtkWidget *
app_aside_new (AppCanvas *canvas)
{
  AppAside *self = g_object_new (APP_TYPE_ASIDE, NULL);
  self->revisions = app_revisions_pane_new (canvas);
  self->fitting = app_fitting_pane_new (canvas);
  gtk_stack_add_named (GTK_STACK (self->stack), self->revisions, "revisions");
  gtk_stack_add_named (GTK_STACK (self->stack), self->fitting, "fitting");
  self->panels = app_list_pane_new (canvas);
  gtk_stack_add_named (GTK_STACK (self->stack), self->panels, "panel-list");
  self->refit = app_refit_pane_new ();
  gtk_stack_add_named (GTK_STACK (self->stack), self->refit, "refit");
  return GTK_WIDGET (self);
}
