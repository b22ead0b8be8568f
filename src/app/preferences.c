/* Lists and switches bound to the settings; where no schema is installed the window says so instead of
 * pretending. */
#include "app/preferences.h"

#include "app/label.h"
#include "app/settings.h"

#include <glib/gi18n.h>
#include <string.h>

#define WINDOW_DATA "app-preferences"

/* A setting with a few values: keys in the file, words for people. */
typedef struct Choice
{
  const char *key, *words;
} Choice;

static const Choice units[] = {
  { "auto", N_ ("as the locale says") },
  { "mm", N_ ("millimetres") },
  { "cm", N_ ("centimetres") },
  { "in", N_ ("inches and sixteenths") },
};
static const Choice papers[] = {
  { "auto", N_ ("as the locale says") }, { "a4", N_ ("A4") },           { "a3", N_ ("A3") },
  { "letter", N_ ("Letter") },           { "tabloid", N_ ("Tabloid") },
};
static const Choice themes[] = {
  { "system", N_ ("as the desktop prefers") },
  { "paper", N_ ("paper, dark on light") },
  { "slate", N_ ("slate, light on dark") },
};

typedef struct Bound
{
  const Choice *choices;
  guint count;
} Bound;

static gboolean
index_of_key (GValue *value, GVariant *variant, gpointer user)
{
  const Bound *bound = user;
  const char *key = g_variant_get_string (variant, NULL);
  for (guint i = 0; i < bound->count; i++)
    if (strcmp (bound->choices[i].key, key) == 0)
    {
      g_value_set_uint (value, i);
      return TRUE;
    }
  return FALSE; /* a paper of the maker's own: the list stays as it is */
}

static GVariant *
key_of_index (const GValue *value, const GVariantType *type, gpointer user)
{
  const Bound *bound = user;
  guint index = g_value_get_uint (value);
  return index < bound->count ? g_variant_new_string (bound->choices[index].key) : NULL;
}

static GtkWidget *
list_row (GtkWidget *group, const char *caption, const char *key, const Choice *choices, guint count)
{
  g_autoptr (GtkStringList) words = gtk_string_list_new (NULL);
  for (guint i = 0; i < count; i++)
    gtk_string_list_append (words, _ (choices[i].words));
  GtkWidget *list = gtk_drop_down_new (G_LIST_MODEL (g_steal_pointer (&words)), NULL);
  gtk_accessible_update_property (GTK_ACCESSIBLE (list), GTK_ACCESSIBLE_PROPERTY_LABEL, caption, -1);
  gtk_box_append (GTK_BOX (group), app_field_new (caption, list));
  if (app_settings () == NULL)
    return list;
  Bound *bound = g_new (Bound, 1);
  *bound = (Bound) { choices, count };
  g_settings_bind_with_mapping (app_settings (), key, list, "selected", G_SETTINGS_BIND_DEFAULT, index_of_key,
                                key_of_index, bound, g_free);
  return list;
}

static void
switch_row (GtkWidget *group, const char *caption, const char *key)
{
  GtkWidget *button = gtk_switch_new ();
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, caption, -1);
  gtk_box_append (GTK_BOX (group), app_field_new (caption, button));
  if (app_settings () != NULL)
    g_settings_bind (app_settings (), key, button, "active", G_SETTINGS_BIND_DEFAULT);
}

static GtkWidget *
group_new (GtkWidget *page, const char *heading)
{
  gtk_box_append (GTK_BOX (page), app_label_new (heading, "pw-heading"));
  GtkWidget *group = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  app_add_classes (group, "pw-group");
  gtk_widget_set_margin_bottom (group, 12);
  gtk_box_append (GTK_BOX (page), group);
  return group;
}

static void
reset_widths (GtkButton *button, gpointer user)
{
  app_settings_set_number ("left-width", 0);
  app_settings_set_number ("right-width", 0);
}

static GtkWidget *
page_new (void)
{
  GtkWidget *page = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8);
  gtk_widget_set_margin_start (page, 24);
  gtk_widget_set_margin_end (page, 24);
  gtk_widget_set_margin_top (page, 16);
  gtk_widget_set_margin_bottom (page, 16);
  if (app_settings () == NULL)
    gtk_box_append (
      GTK_BOX (page),
      app_prose_new (_ ("The settings are not installed, so nothing chosen here is kept."), "pw-madder"));

  GtkWidget *fresh = group_new (page, _ ("New documents"));
  list_row (fresh, _ ("Lengths in"), "unit", units, G_N_ELEMENTS (units));
  list_row (fresh, _ ("Printed on"), "paper", papers, G_N_ELEMENTS (papers));
  GtkWidget *paper = group_new (page, _ ("Working paper"));
  switch_row (paper, _ ("Grid"), "grid");
  switch_row (paper, _ ("Catch corners, edges and upright lines"), "snap");
  GtkWidget *window = group_new (page, _ ("Window"));
  switch_row (window, _ ("Hints where a first piece often stops"), "hints");
  list_row (window, _ ("Look"), "theme", themes, G_N_ELEMENTS (themes));
  GtkWidget *reset = app_button_new (_ ("By the window’s width"), "pw-plain pw-low", NULL);
  g_signal_connect (reset, "clicked", G_CALLBACK (reset_widths), NULL);
  gtk_box_append (GTK_BOX (window), app_field_new (_ ("Widths of the sides"), reset));
  return page;
}

static gboolean
on_key (GtkEventControllerKey *keys, guint keyval, guint code, GdkModifierType state, GtkWindow *window)
{
  if (keyval != GDK_KEY_Escape)
    return GDK_EVENT_PROPAGATE;
  gtk_window_close (window);
  return GDK_EVENT_STOP;
}

void
app_preferences_show (GtkWindow *parent)
{
  GtkWindow *window = g_object_get_data (G_OBJECT (parent), WINDOW_DATA);
  if (window == NULL)
  {
    window = GTK_WINDOW (gtk_window_new ());
    app_add_classes (GTK_WIDGET (window), "pw");
    gtk_window_set_title (window, _ ("Preferences"));
    gtk_window_set_transient_for (window, parent);
    gtk_window_set_destroy_with_parent (window, TRUE);
    gtk_window_set_hide_on_close (window, TRUE);
    gtk_window_set_resizable (window, FALSE);
    gtk_window_set_default_size (window, 460, -1);
    gtk_window_set_child (window, page_new ());
    GtkEventController *keys = gtk_event_controller_key_new ();
    g_signal_connect (keys, "key-pressed", G_CALLBACK (on_key), window);
    gtk_widget_add_controller (GTK_WIDGET (window), keys);
    g_object_set_data (G_OBJECT (parent), WINDOW_DATA, window);
  }
  gtk_window_present (window);
}
