/* The text is left alone while it is being typed.  What cannot be read stays in the field, framed, with a
 * line below that says what would be understood: nothing is thrown away and nothing is guessed. */
#include "app/unit-entry.h"

#include <glib/gi18n.h>
#include <math.h>

struct _AppUnitEntry
{
  GtkWidget parent;
  GtkWidget *entry, *popover, *says;
  ModelUnit unit;
  double mm, least_mm, most_mm;
  int decimals;
  bool optional, shows_unit, dirty, showing;
  char *trouble;
};

G_DEFINE_FINAL_TYPE (AppUnitEntry, app_unit_entry, GTK_TYPE_WIDGET)

static guint committed;

static void
show_trouble (AppUnitEntry *self, char *trouble_taken)
{
  g_free (self->trouble);
  self->trouble = trouble_taken;
  if (trouble_taken == NULL)
  {
    gtk_widget_remove_css_class (self->entry, "error");
    gtk_popover_popdown (GTK_POPOVER (self->popover));
    gtk_accessible_reset_state (GTK_ACCESSIBLE (self->entry), GTK_ACCESSIBLE_STATE_INVALID);
    return;
  }
  gtk_widget_add_css_class (self->entry, "error");
  gtk_label_set_text (GTK_LABEL (self->says), trouble_taken);
  gtk_accessible_update_state (GTK_ACCESSIBLE (self->entry), GTK_ACCESSIBLE_STATE_INVALID,
                               GTK_ACCESSIBLE_INVALID_TRUE, -1);
  if (gtk_widget_get_mapped (GTK_WIDGET (self)))
    gtk_popover_popup (GTK_POPOVER (self->popover));
}

static void
show_value (AppUnitEntry *self)
{
  g_autofree char *text = NULL;
  if (isnan (self->mm))
    text = g_strdup ("");
  else if (self->shows_unit)
    text = model_unit_text (self->mm, self->unit, self->decimals);
  else
    text = model_unit_figure (self->mm, self->unit, self->decimals);
  self->showing = true;
  gtk_editable_set_text (GTK_EDITABLE (self->entry), text);
  self->showing = false;
  self->dirty = false;
  show_trouble (self, NULL);
}

static char *
range_words (AppUnitEntry *self)
{
  g_autofree char *least = model_unit_text (self->least_mm, self->unit, self->decimals);
  g_autofree char *most = model_unit_text (self->most_mm, self->unit, self->decimals);
  return g_strdup_printf (_ ("From %s to %s."), least, most);
}

static void
commit (AppUnitEntry *self)
{
  if (!self->dirty)
    return;
  g_autofree char *text = g_strstrip (g_strdup (gtk_editable_get_text (GTK_EDITABLE (self->entry))));
  double mm = NAN;
  if (text[0] == '\0')
  {
    if (!self->optional)
    {
      show_value (self);
      return;
    }
  }
  else if (!model_unit_parse (text, self->unit, &mm, NULL))
  {
    show_trouble (self, g_strdup (_ ("Not a length. Write 412, 38.5 cm, 15 1/8 in or 412 + 6.")));
    return;
  }
  else if (mm < self->least_mm || mm > self->most_mm)
  {
    show_trouble (self, range_words (self));
    return;
  }
  self->mm = mm;
  show_value (self);
  g_signal_emit (self, committed, 0, mm);
}

static void
on_changed (GtkEditable *editable, AppUnitEntry *self)
{
  if (self->showing)
    return;
  self->dirty = true;
  if (self->trouble != NULL)
    show_trouble (self, NULL);
}

static void
on_leave (GtkEventControllerFocus *focus, AppUnitEntry *self)
{
  commit (self);
  gtk_editable_select_region (GTK_EDITABLE (self->entry), 0, 0);
}

/* Escape gives the old figure back; with nothing typed it goes on to whoever wants it. */
static gboolean
on_key (GtkEventControllerKey *keys, guint keyval, guint code, GdkModifierType state, AppUnitEntry *self)
{
  if (keyval != GDK_KEY_Escape || !self->dirty)
    return GDK_EVENT_PROPAGATE;
  show_value (self);
  return GDK_EVENT_STOP;
}

static void
app_unit_entry_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  AppUnitEntry *self = APP_UNIT_ENTRY (widget);
  gtk_widget_allocate (self->entry, width, height, baseline, NULL);
  gtk_popover_present (GTK_POPOVER (self->popover));
}

static void
app_unit_entry_measure (GtkWidget *widget,
                        GtkOrientation orientation,
                        int for_size,
                        int *minimum,
                        int *natural,
                        int *minimum_baseline,
                        int *natural_baseline)
{
  gtk_widget_measure (APP_UNIT_ENTRY (widget)->entry, orientation, for_size, minimum, natural,
                      minimum_baseline, natural_baseline);
}

static gboolean
app_unit_entry_grab_focus (GtkWidget *widget)
{
  return gtk_widget_grab_focus (APP_UNIT_ENTRY (widget)->entry);
}

static void
app_unit_entry_dispose (GObject *object)
{
  AppUnitEntry *self = APP_UNIT_ENTRY (object);
  g_clear_pointer (&self->popover, gtk_widget_unparent);
  g_clear_pointer (&self->entry, gtk_widget_unparent);
  G_OBJECT_CLASS (app_unit_entry_parent_class)->dispose (object);
}

static void
app_unit_entry_finalize (GObject *object)
{
  g_free (APP_UNIT_ENTRY (object)->trouble);
  G_OBJECT_CLASS (app_unit_entry_parent_class)->finalize (object);
}

static void
app_unit_entry_class_init (AppUnitEntryClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  object_class->dispose = app_unit_entry_dispose;
  object_class->finalize = app_unit_entry_finalize;
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  widget_class->measure = app_unit_entry_measure;
  widget_class->size_allocate = app_unit_entry_size_allocate;
  widget_class->grab_focus = app_unit_entry_grab_focus;
  committed = g_signal_new ("committed", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                            G_TYPE_NONE, 1, G_TYPE_DOUBLE);
}

static void
app_unit_entry_init (AppUnitEntry *self)
{
  self->mm = NAN;
  self->most_mm = 1e5;
  self->decimals = 1;
  self->entry = gtk_entry_new ();
  gtk_editable_set_width_chars (GTK_EDITABLE (self->entry), 7);
  gtk_editable_set_max_width_chars (GTK_EDITABLE (self->entry), 7);
  gtk_entry_set_alignment (GTK_ENTRY (self->entry), 1.0F);
  gtk_widget_add_css_class (self->entry, "pw-number");
  gtk_widget_set_parent (self->entry, GTK_WIDGET (self));

  self->says = gtk_label_new (NULL);
  gtk_label_set_wrap (GTK_LABEL (self->says), TRUE);
  gtk_label_set_max_width_chars (GTK_LABEL (self->says), 28);
  gtk_widget_add_css_class (self->says, "pw-says-no");
  self->popover = gtk_popover_new ();
  gtk_popover_set_autohide (GTK_POPOVER (self->popover), FALSE);
  gtk_popover_set_position (GTK_POPOVER (self->popover), GTK_POS_BOTTOM);
  gtk_popover_set_child (GTK_POPOVER (self->popover), self->says);
  gtk_widget_set_parent (self->popover, GTK_WIDGET (self));

  g_signal_connect (self->entry, "changed", G_CALLBACK (on_changed), self);
  g_signal_connect_swapped (self->entry, "activate", G_CALLBACK (commit), self);
  GtkEventController *focus = gtk_event_controller_focus_new ();
  g_signal_connect (focus, "leave", G_CALLBACK (on_leave), self);
  gtk_widget_add_controller (self->entry, focus);
  GtkEventController *keys = gtk_event_controller_key_new ();
  gtk_event_controller_set_propagation_phase (keys, GTK_PHASE_CAPTURE);
  g_signal_connect (keys, "key-pressed", G_CALLBACK (on_key), self);
  gtk_widget_add_controller (self->entry, keys);
}

GtkWidget *
app_unit_entry_new (void)
{
  return g_object_new (APP_TYPE_UNIT_ENTRY, NULL);
}

void
app_unit_entry_set_unit (AppUnitEntry *self, ModelUnit unit)
{
  if (self->unit == unit)
    return;
  self->unit = unit;
  if (!self->dirty)
    show_value (self);
}

static bool
same_mm (double a, double b)
{
  return (isnan (a) && isnan (b)) || a == b;
}

void
app_unit_entry_set_mm (AppUnitEntry *self, double mm)
{
  if (same_mm (mm, self->mm) && !self->dirty)
    return;
  self->mm = mm;
  if (!self->dirty)
    show_value (self);
}

double
app_unit_entry_mm (AppUnitEntry *self)
{
  return self->mm;
}

void
app_unit_entry_set_range (AppUnitEntry *self, double least_mm, double most_mm)
{
  self->least_mm = least_mm;
  self->most_mm = most_mm;
}

void
app_unit_entry_set_decimals (AppUnitEntry *self, int decimals)
{
  self->decimals = decimals;
  if (!self->dirty)
    show_value (self);
}

void
app_unit_entry_set_optional (AppUnitEntry *self, const char *hint)
{
  self->optional = true;
  gtk_entry_set_placeholder_text (GTK_ENTRY (self->entry), hint);
}

void
app_unit_entry_set_shows_unit (AppUnitEntry *self, bool shows)
{
  self->shows_unit = shows;
  if (!self->dirty)
    show_value (self);
}

void
app_unit_entry_set_width (AppUnitEntry *self, int chars)
{
  gtk_editable_set_width_chars (GTK_EDITABLE (self->entry), chars);
  gtk_editable_set_max_width_chars (GTK_EDITABLE (self->entry), chars);
}

void
app_unit_entry_set_name (AppUnitEntry *self, const char *name)
{
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->entry), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
}

GtkWidget *
app_unit_entry_field (AppUnitEntry *self)
{
  return self->entry;
}

const char *
app_unit_entry_trouble (AppUnitEntry *self)
{
  return self->trouble;
}
