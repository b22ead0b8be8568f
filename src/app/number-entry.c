/* A popover without a bubble's fuss: title, field, Return takes, Escape leaves. */
#include "app/number-entry.h"

#include "app/canvas-private.h"

#include <glib/gi18n.h>

typedef enum Wanted
{
  WANTED_LENGTH,
  WANTED_ANGLE,
  WANTED_TEXT
} Wanted;

typedef struct Asking
{
  AppCanvas *canvas;
  GtkWidget *popover, *entry;
  Wanted wanted;
  ModelUnit unit;
  AppNumberTaken number_taken;
  AppTextTaken text_taken;
  gpointer user;
} Asking;

static void
asking_free (gpointer data)
{
  Asking *asking = data;
  g_free (asking->user);
  g_free (asking);
}

static gboolean
unparent_later (gpointer data)
{
  GtkWidget *popover = data;
  if (gtk_widget_get_parent (popover) != NULL)
    gtk_widget_unparent (popover);
  g_object_unref (popover);
  return G_SOURCE_REMOVE;
}

void
app_popover_drop (GtkWidget *popover)
{
  /* Unparented with the grab still on it, it would leave the window deaf to keys. */
  gtk_popover_popdown (GTK_POPOVER (popover));
  g_idle_add (unparent_later, g_object_ref (popover));
}

static void
on_closed (GtkPopover *popover, AppCanvas *canvas)
{
  if (canvas->popover != GTK_WIDGET (popover))
    return;
  canvas->popover = NULL;
  gtk_widget_grab_focus (GTK_WIDGET (canvas));
  app_popover_drop (GTK_WIDGET (popover));
}

void
app_number_entry_close (AppCanvas *canvas)
{
  if (canvas->popover != NULL)
    gtk_popover_popdown (GTK_POPOVER (canvas->popover));
}

GtkWidget *
app_number_entry_field (AppCanvas *canvas)
{
  return canvas->popover != NULL ? g_object_get_data (G_OBJECT (canvas->popover), "field") : NULL;
}

bool
app_angle_parse (const char *text, double *degrees)
{
  /* The reader of lengths knows sums and both decimal signs; in its own unit a figure is just a figure. */
  g_auto (GStrv) parts = g_strsplit (text, "°", -1);
  g_autofree char *plain = g_strjoinv ("", parts);
  return strpbrk (plain, "mMiIcCfF'\"") == NULL && model_unit_parse (plain, MODEL_UNIT_MM, degrees, NULL)
         && fabs (*degrees) <= 36000.0;
}

static void
on_activate (GtkEntry *entry, Asking *asking)
{
  const char *text = gtk_editable_get_text (GTK_EDITABLE (entry));
  double figure = 0.0;
  bool taken = false;
  switch (asking->wanted)
  {
  case WANTED_LENGTH:
    taken = model_unit_parse (text, asking->unit, &figure, NULL)
            && asking->number_taken (asking->canvas, figure, asking->user);
    break;
  case WANTED_ANGLE:
    taken = app_angle_parse (text, &figure) && asking->number_taken (asking->canvas, figure, asking->user);
    break;
  case WANTED_TEXT:
    taken = asking->text_taken (asking->canvas, text, asking->user);
    break;
  }
  if (taken)
  {
    gtk_popover_popdown (GTK_POPOVER (asking->popover));
    return;
  }
  gtk_widget_add_css_class (GTK_WIDGET (entry), "error");
  gtk_accessible_update_state (GTK_ACCESSIBLE (entry), GTK_ACCESSIBLE_STATE_INVALID,
                               GTK_ACCESSIBLE_INVALID_TRUE, -1);
}

static void
on_edited (GtkEditable *editable, Asking *asking)
{
  gtk_widget_remove_css_class (asking->entry, "error");
  gtk_accessible_reset_state (GTK_ACCESSIBLE (editable), GTK_ACCESSIBLE_STATE_INVALID);
}

static void
open_entry (
  AppCanvas *canvas, double x, double y, const char *title, const char *text, bool select, Asking *asking)
{
  if (canvas->popover != NULL)
  {
    GtkWidget *old = g_steal_pointer (&canvas->popover);
    app_popover_drop (old);
  }
  GtkWidget *popover = gtk_popover_new (), *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8),
            *label = gtk_label_new (title);
  asking->canvas = canvas;
  asking->popover = popover;
  asking->entry = gtk_entry_new ();
  gtk_entry_set_max_length (GTK_ENTRY (asking->entry), 120);
  gtk_editable_set_width_chars (GTK_EDITABLE (asking->entry), asking->wanted == WANTED_TEXT ? 18 : 10);
  gtk_editable_set_text (GTK_EDITABLE (asking->entry), text != NULL ? text : "");
  gtk_widget_add_css_class (asking->entry, "pw-number");
  gtk_accessible_update_property (GTK_ACCESSIBLE (asking->entry), GTK_ACCESSIBLE_PROPERTY_LABEL, title, -1);
  gtk_box_append (GTK_BOX (box), label);
  gtk_box_append (GTK_BOX (box), asking->entry);
  gtk_popover_set_child (GTK_POPOVER (popover), box);
  gtk_popover_set_has_arrow (GTK_POPOVER (popover), FALSE);
  gtk_popover_set_position (GTK_POPOVER (popover), GTK_POS_BOTTOM);
  gtk_popover_set_pointing_to (GTK_POPOVER (popover), &(GdkRectangle) { (int)x, (int)y + 6, 1, 1 });
  g_object_set_data_full (G_OBJECT (popover), "asking", asking, asking_free);
  g_object_set_data (G_OBJECT (popover), "field", asking->entry);
  g_signal_connect (asking->entry, "activate", G_CALLBACK (on_activate), asking);
  g_signal_connect (asking->entry, "changed", G_CALLBACK (on_edited), asking);
  g_signal_connect (popover, "closed", G_CALLBACK (on_closed), canvas);
  gtk_widget_set_parent (popover, GTK_WIDGET (canvas));
  canvas->popover = popover;
  gtk_popover_popup (GTK_POPOVER (popover));
  gtk_widget_grab_focus (asking->entry);
  if (select)
    gtk_editable_select_region (GTK_EDITABLE (asking->entry), 0, -1);
  else
    gtk_editable_set_position (GTK_EDITABLE (asking->entry), -1);
}

void
app_number_entry_open (AppCanvas *canvas,
                       double x,
                       double y,
                       const char *title,
                       const char *text,
                       bool select,
                       ModelUnit unit,
                       AppNumberTaken taken,
                       gpointer user)
{
  Asking *asking = g_new0 (Asking, 1);
  asking->wanted = WANTED_LENGTH;
  asking->unit = unit;
  asking->number_taken = taken;
  asking->user = user;
  open_entry (canvas, x, y, title, text, select, asking);
}

void
app_angle_entry_open (
  AppCanvas *canvas, double x, double y, const char *title, AppNumberTaken taken, gpointer user)
{
  Asking *asking = g_new0 (Asking, 1);
  asking->wanted = WANTED_ANGLE;
  asking->number_taken = taken;
  asking->user = user;
  open_entry (canvas, x, y, title, "", true, asking);
}

void
app_text_entry_open (AppCanvas *canvas,
                     double x,
                     double y,
                     const char *title,
                     const char *text,
                     AppTextTaken taken,
                     gpointer user)
{
  Asking *asking = g_new0 (Asking, 1);
  asking->wanted = WANTED_TEXT;
  asking->text_taken = taken;
  asking->user = user;
  open_entry (canvas, x, y, title, text, true, asking);
}
