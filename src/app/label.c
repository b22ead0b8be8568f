/* Small constructors: no rule of the document is known here. */
#include "app/label.h"

#include <string.h>

void
app_add_classes (GtkWidget *widget, const char *classes)
{
  if (classes == NULL)
    return;
  g_auto (GStrv) names = g_strsplit (classes, " ", -1);
  for (guint i = 0; names[i] != NULL; i++)
    if (names[i][0] != '\0')
      gtk_widget_add_css_class (widget, names[i]);
}

GtkWidget *
app_label_new (const char *text, const char *classes)
{
  GtkWidget *label = gtk_label_new (text);
  gtk_label_set_xalign (GTK_LABEL (label), 0.0F);
  gtk_label_set_ellipsize (GTK_LABEL (label), PANGO_ELLIPSIZE_END);
  app_add_classes (label, classes);
  return label;
}

GtkWidget *
app_prose_new (const char *text, const char *classes)
{
  GtkWidget *label = gtk_label_new (text);
  gtk_label_set_xalign (GTK_LABEL (label), 0.0F);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_wrap_mode (GTK_LABEL (label), PANGO_WRAP_WORD_CHAR);
  app_add_classes (label, classes);
  return label;
}

/* ---- upright ---- */

#define APP_TYPE_UPRIGHT (app_upright_get_type ())
G_DECLARE_FINAL_TYPE (AppUpright, app_upright, APP, UPRIGHT, GtkWidget)

struct _AppUpright
{
  GtkWidget parent;
  PangoLayout *layout;
};

G_DEFINE_FINAL_TYPE (AppUpright, app_upright, GTK_TYPE_WIDGET)

static void
app_upright_measure (GtkWidget *widget,
                     GtkOrientation orientation,
                     int for_size,
                     int *minimum,
                     int *natural,
                     int *minimum_baseline,
                     int *natural_baseline)
{
  int width, height;
  pango_layout_get_pixel_size (APP_UPRIGHT (widget)->layout, &width, &height);
  *minimum = *natural = orientation == GTK_ORIENTATION_HORIZONTAL ? height : width;
}

static void
app_upright_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  AppUpright *self = APP_UPRIGHT (widget);
  int width, height;
  pango_layout_get_pixel_size (self->layout, &width, &height);
  GdkRGBA colour;
  gtk_style_context_get_color (gtk_widget_get_style_context (widget), &colour);
  gtk_snapshot_translate (snapshot,
                          &GRAPHENE_POINT_INIT ((float)(gtk_widget_get_width (widget) - height) / 2.0F,
                                                (float)(gtk_widget_get_height (widget) + width) / 2.0F));
  gtk_snapshot_rotate (snapshot, -90);
  gtk_snapshot_append_layout (snapshot, self->layout, &colour);
}

static void
app_upright_css_changed (GtkWidget *widget, GtkCssStyleChange *style_change)
{
  GTK_WIDGET_CLASS (app_upright_parent_class)->css_changed (widget, style_change);
  pango_layout_context_changed (APP_UPRIGHT (widget)->layout);
  gtk_widget_queue_resize (widget);
}

static void
app_upright_dispose (GObject *object)
{
  g_clear_object (&APP_UPRIGHT (object)->layout);
  G_OBJECT_CLASS (app_upright_parent_class)->dispose (object);
}

static void
app_upright_class_init (AppUprightClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_upright_dispose;
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  widget_class->measure = app_upright_measure;
  widget_class->snapshot = app_upright_snapshot;
  widget_class->css_changed = app_upright_css_changed;
}

static void
app_upright_init (AppUpright *self)
{
  self->layout = gtk_widget_create_pango_layout (GTK_WIDGET (self), NULL);
}

GtkWidget *
app_upright_label_new (const char *text)
{
  AppUpright *self = g_object_new (APP_TYPE_UPRIGHT, NULL);
  pango_layout_set_text (self->layout, text, -1);
  return GTK_WIDGET (self);
}

void
app_label_set (GtkWidget *label, const char *text)
{
  if (g_strcmp0 (gtk_label_get_text (GTK_LABEL (label)), text != NULL ? text : "") != 0)
    gtk_label_set_text (GTK_LABEL (label), text);
}

void
app_set_class (GtkWidget *widget, const char *name, bool on)
{
  if (on != gtk_widget_has_css_class (widget, name))
  {
    if (on)
      gtk_widget_add_css_class (widget, name);
    else
      gtk_widget_remove_css_class (widget, name);
  }
}

GtkWidget *
app_button_new (const char *label, const char *classes, const char *action)
{
  GtkWidget *button = gtk_button_new_with_mnemonic (label);
  app_add_classes (button, classes);
  if (action != NULL)
    gtk_actionable_set_action_name (GTK_ACTIONABLE (button), action);
  return button;
}

GtkWidget *
app_icon_button_new (
  const char *icon, const char *classes, const char *name, const char *tip, const char *action)
{
  GtkWidget *button = gtk_button_new_from_icon_name (icon);
  app_add_classes (button, classes);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  gtk_widget_set_tooltip_text (button, tip != NULL ? tip : name);
  if (action != NULL)
    gtk_actionable_set_action_name (GTK_ACTIONABLE (button), action);
  return button;
}

GtkWidget *
app_field_new (const char *caption, GtkWidget *widget)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  GtkWidget *label = app_label_new (caption, NULL);
  gtk_widget_set_hexpand (label, TRUE);
  gtk_box_append (GTK_BOX (box), label);
  gtk_box_append (GTK_BOX (box), widget);
  gtk_widget_set_valign (widget, GTK_ALIGN_CENTER);
  return box;
}

void
app_queue_refresh (GtkWidget *widget, guint *id, GtkTickCallback refresh)
{
  if (*id == 0)
    *id = gtk_widget_add_tick_callback (widget, refresh, NULL, NULL);
}
