/* The side of the photo room: its questions from the top down, what was found, what comes next. */
#include "app/photo-private.h"

#include "app/label.h"
#include "app/settings.h"
#include "app/unit-entry.h"
#include "trace/tolerance.h"

#include <glib/gi18n.h>
#include <string.h>

#define SIDE_PX 336
#define LEAST_DPI 20.0
#define MOST_DPI 4800.0

static const double tolerances_mm[APP_PHOTO_TOLERANCES] = { 0.1, 0.2, 0.5, 1.0 };
#define USUAL_TOLERANCE 1

double
app_photo_side_tolerance_mm (AppPhotoRoom *self)
{
  for (guint i = 0; i < G_N_ELEMENTS (tolerances_mm); i++)
    if (gtk_toggle_button_get_active (GTK_TOGGLE_BUTTON (self->tolerance[i])))
      return tolerances_mm[i];
  return tolerances_mm[USUAL_TOLERANCE];
}

/* ---- answers ---- */

static void
on_way (GtkCheckButton *button, AppPhotoRoom *self)
{
  if (self->showing || !gtk_check_button_get_active (button))
    return;
  for (int i = 0; i < APP_PHOTO_FLAT; i++)
    if (self->ways[i] == GTK_WIDGET (button))
      app_photo_room_set_way (self, (AppPhotoWay)i);
}

static void
on_sheet (AppPhotoRoom *self)
{
  if (self->showing)
    return;
  /* What lies beside a card is wanted, not the card. */
  const guint index = gtk_drop_down_get_selected (GTK_DROP_DOWN (self->sheet));
  self->whole = index == APP_PHOTO_SHEET_CARD;
  if (!self->whole && index < APP_PHOTO_SHEET_COUNT)
    app_settings_set_photo_sheet (app_photo_sheets[index].name);
  app_photo_room_set_way (self, APP_PHOTO_SHEET);
}

static void
on_size (AppUnitEntry *entry, double mm, AppPhotoRoom *self)
{
  app_photo_room_set_way (self, APP_PHOTO_RECTANGLE);
}

static void
on_dpi (AppPhotoRoom *self)
{
  if (self->way == APP_PHOTO_SCAN)
    app_photo_room_changed (self);
}

static void
on_distance (AppUnitEntry *entry, double mm, AppPhotoRoom *self)
{
  app_photo_room_set_way (self, APP_PHOTO_DISTANCE);
}

static void
on_extent (GtkToggleButton *button, AppPhotoRoom *self)
{
  if (self->showing || !gtk_toggle_button_get_active (button))
    return;
  self->whole = GTK_WIDGET (button) == self->extent[1];
  app_photo_room_changed (self);
}

static void
on_tolerance (GtkToggleButton *button, AppPhotoRoom *self)
{
  if (!self->showing && gtk_toggle_button_get_active (button) && self->result != NULL)
    app_photo_room_look (self);
}

/* ---- building ---- */

static GtkWidget *
column (int spacing)
{
  return gtk_box_new (GTK_ORIENTATION_VERTICAL, spacing);
}

static void
append (GtkWidget *box, GtkWidget *child)
{
  gtk_box_append (GTK_BOX (box), child);
}

static GtkWidget *
length_entry (AppPhotoRoom *self, const char *name, double mm, GCallback committed)
{
  GtkWidget *entry = app_unit_entry_new ();
  app_unit_entry_set_range (APP_UNIT_ENTRY (entry), 1.0, TRACE_MOST_SHEET_MM);
  app_unit_entry_set_name (APP_UNIT_ENTRY (entry), name);
  app_unit_entry_set_width (APP_UNIT_ENTRY (entry), 6);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (entry), mm);
  g_signal_connect (entry, "committed", committed, self);
  return entry;
}

/* One way: its name at the left, what it asks for at the right. */
static void
add_way (AppPhotoRoom *self, GtkWidget *into, AppPhotoWay way, const char *name, GtkWidget *asks)
{
  GtkWidget *line = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  gtk_widget_set_size_request (line, -1, 36);
  GtkWidget *radio = self->ways[way] = gtk_check_button_new_with_label (name);
  if (way != APP_PHOTO_MAT)
    gtk_check_button_set_group (GTK_CHECK_BUTTON (radio), GTK_CHECK_BUTTON (self->ways[APP_PHOTO_MAT]));
  gtk_widget_set_hexpand (radio, TRUE);
  g_signal_connect (radio, "toggled", G_CALLBACK (on_way), self);
  gtk_widget_set_valign (asks, GTK_ALIGN_CENTER);
  append (line, radio);
  append (line, asks);
  append (into, line);
}

/* The last one used; at first the paper that is printed on. */
static guint
usual_sheet (void)
{
  g_autofree char *last = app_settings_photo_sheet (), *paper = app_settings_paper ();
  for (guint i = 0; i < APP_PHOTO_SHEET_COUNT; i++)
    if (g_ascii_strcasecmp (app_photo_sheets[i].name, last[0] != '\0' ? last : paper) == 0)
      return i;
  return 0;
}

static GtkWidget *
build_sheets (AppPhotoRoom *self)
{
  const char *names[G_N_ELEMENTS (app_photo_sheets) + 1] = { NULL };
  for (guint i = 0; i < G_N_ELEMENTS (app_photo_sheets); i++)
    names[i] = _ (app_photo_sheets[i].name);
  self->sheet = gtk_drop_down_new_from_strings (names);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->sheet), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("Sheet"),
                                  -1);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (self->sheet), usual_sheet ());
  g_signal_connect_swapped (self->sheet, "notify::selected", G_CALLBACK (on_sheet), self);
  return self->sheet;
}

static GtkWidget *
build_rectangle (AppPhotoRoom *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 4);
  self->width = length_entry (self, _ ("Width of the rectangle"), 600.0, G_CALLBACK (on_size));
  self->height = length_entry (self, _ ("Height of the rectangle"), 450.0, G_CALLBACK (on_size));
  append (box, self->width);
  append (box, app_label_new ("×", "pw-dim"));
  append (box, self->height);
  return box;
}

static GtkWidget *
build_dpi (AppPhotoRoom *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 6);
  self->dpi = gtk_spin_button_new_with_range (LEAST_DPI, MOST_DPI, 1.0);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (self->dpi), APP_PHOTO_USUAL_DPI);
  gtk_editable_set_width_chars (GTK_EDITABLE (self->dpi), 5);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->dpi), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("Pixels an inch"), -1);
  g_signal_connect_swapped (self->dpi, "value-changed", G_CALLBACK (on_dpi), self);
  append (box, self->dpi);
  append (box, app_label_new (_ ("per inch"), "pw-dim"));
  return box;
}

static void
build_extent (AppPhotoRoom *self)
{
  static const char *const names[] = { N_ ("The sheet"), N_ ("The whole picture") };
  self->extent_box = column (6);
  gtk_widget_set_margin_top (self->extent_box, 8);
  append (self->extent_box, app_label_new (_ ("What to use of it"), "pw-strong"));
  GtkWidget *line = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);
  app_add_classes (line, "pw-segments");
  for (guint i = 0; i < 2; i++)
  {
    self->extent[i] = gtk_toggle_button_new_with_label (_ (names[i]));
    gtk_widget_set_hexpand (self->extent[i], TRUE);
    if (i > 0)
      gtk_toggle_button_set_group (GTK_TOGGLE_BUTTON (self->extent[i]), GTK_TOGGLE_BUTTON (self->extent[0]));
    g_signal_connect (self->extent[i], "toggled", G_CALLBACK (on_extent), self);
    append (line, self->extent[i]);
  }
  gtk_widget_set_tooltip_text (self->extent[1],
                               _ ("The whole picture. For pieces that lie beside what is known."));
  append (self->extent_box, line);
}

static void
build_ask (AppPhotoRoom *self)
{
  self->ask = column (0);
  append (self->ask, app_label_new (_ ("What is known in it?"), "pw-heading"));
  self->mat_words = app_label_new (NULL, "pw-small pw-dim");
  add_way (self, self->ask, APP_PHOTO_MAT, _ ("The printed _mat"), self->mat_words);
  add_way (self, self->ask, APP_PHOTO_SHEET, _ ("A _sheet"), build_sheets (self));
  add_way (self, self->ask, APP_PHOTO_RECTANGLE, _ ("A _rectangle"), build_rectangle (self));
  add_way (self, self->ask, APP_PHOTO_SCAN, _ ("It is a s_can"), build_dpi (self));
  self->distance
    = length_entry (self, _ ("Distance between the two points"), 100.0, G_CALLBACK (on_distance));
  add_way (self, self->ask, APP_PHOTO_DISTANCE, _ ("A _length"), self->distance);
  for (int i = 0; i < APP_PHOTO_FLAT; i++)
    gtk_check_button_set_use_underline (GTK_CHECK_BUTTON (self->ways[i]), TRUE);
  self->hint = app_prose_new (NULL, "pw-small pw-dim");
  gtk_widget_set_margin_top (self->hint, 6);
  append (self->ask, self->hint);
  build_extent (self);
  append (self->ask, self->extent_box);
}

static GtkWidget *
stamp_new (const char *label, const char *classes, GCallback clicked, AppPhotoRoom *self)
{
  GtkWidget *button = app_button_new (label, classes, NULL);
  g_signal_connect_swapped (button, "clicked", clicked, self);
  return button;
}

static void
build_found (AppPhotoRoom *self)
{
  static const char *const names[] = { "0.1", "0.2", "0.5", "1" };
  self->found_box = column (8);
  self->found_words = app_prose_new (NULL, "pw-heading");
  append (self->found_box, self->found_words);
  self->list = column (8);
  append (self->found_box, self->list);
  append (self->found_box, app_label_new (_ ("Curves may leave the outline by (mm)"), "pw-small pw-dim"));
  GtkWidget *line = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);
  app_add_classes (line, "pw-segments pw-number");
  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
  {
    self->tolerance[i] = gtk_toggle_button_new_with_label (names[i]);
    gtk_widget_set_hexpand (self->tolerance[i], TRUE);
    if (i > 0)
      gtk_toggle_button_set_group (GTK_TOGGLE_BUTTON (self->tolerance[i]),
                                   GTK_TOGGLE_BUTTON (self->tolerance[0]));
    append (line, self->tolerance[i]);
  }
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (self->tolerance[USUAL_TOLERANCE]), TRUE);
  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
    g_signal_connect (self->tolerance[i], "toggled", G_CALLBACK (on_tolerance), self);
  append (self->found_box, line);
  self->under = gtk_check_button_new_with_mnemonic (_ ("Lay the _photo under them"));
}

/* Beside the button that began it: what goes on, how far it is, and the way out. */
static void
build_busy (AppPhotoRoom *self)
{
  self->busy = column (6);
  gtk_widget_set_margin_start (self->busy, 16);
  gtk_widget_set_margin_end (self->busy, 16);
  gtk_widget_set_margin_top (self->busy, 8);
  GtkWidget *line = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  self->busy_words = app_label_new (NULL, "pw-strong");
  gtk_widget_set_hexpand (self->busy_words, TRUE);
  self->cancel_button
    = stamp_new (_ ("Ca_ncel"), "pw-plain pw-low", G_CALLBACK (app_photo_room_cancel), self);
  append (line, self->busy_words);
  append (line, self->cancel_button);
  append (self->busy, line);
  self->bar = gtk_progress_bar_new ();
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->bar), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("How far it is"), -1);
  append (self->busy, self->bar);
}

GtkWidget *
app_photo_empty_new (AppPhotoRoom *self)
{
  self->empty = column (8);
  app_add_classes (self->empty, "pw-card");
  gtk_widget_set_halign (self->empty, GTK_ALIGN_CENTER);
  gtk_widget_set_valign (self->empty, GTK_ALIGN_CENTER);
  gtk_widget_set_size_request (self->empty, 380, -1);
  self->empty_title = app_prose_new (NULL, "pw-heading");
  self->empty_words = app_prose_new (NULL, NULL);
  gtk_label_set_max_width_chars (GTK_LABEL (self->empty_words), 44);
  gtk_label_set_max_width_chars (GTK_LABEL (self->empty_title), 40);
  gtk_label_set_wrap_mode (GTK_LABEL (self->empty_title), PANGO_WRAP_WORD_CHAR);
  GtkWidget *line = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  gtk_widget_set_margin_top (line, 4);
  self->empty_other = app_button_new (_ ("Choose another _photo"), "pw-stamp", "win.add-photo");
  gtk_button_set_use_underline (GTK_BUTTON (self->empty_other), TRUE);
  self->empty_cancel = stamp_new (_ ("Ca_ncel"), "pw-plain", G_CALLBACK (app_photo_room_cancel), self);
  append (line, self->empty_other);
  append (line, self->empty_cancel);
  append (self->empty, self->empty_title);
  append (self->empty, self->empty_words);
  append (self->empty, line);
  return self->empty;
}

GtkWidget *
app_photo_side_new (AppPhotoRoom *self)
{
  GtkWidget *side = column (12);
  gtk_widget_set_margin_start (side, 16);
  gtk_widget_set_margin_end (side, 16);
  gtk_widget_set_margin_top (side, 12);
  gtk_widget_set_margin_bottom (side, 16);
  GtkWidget *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  GtkWidget *title = app_label_new (_ ("From a photo"), "pw-page-title");
  gtk_widget_set_hexpand (title, TRUE);
  append (head, title);
  self->back = stamp_new (_ ("_Back"), "pw-plain pw-low", G_CALLBACK (app_photo_room_leave), self);
  append (head, self->back);
  append (side, head);
  self->name = app_label_new (NULL, "pw-small pw-dim pw-number");
  append (side, self->name);

  self->trouble = app_prose_new (NULL, "pw-madder");
  gtk_widget_set_visible (self->trouble, FALSE);
  build_ask (self);
  append (side, self->ask);
  self->flat_words = app_prose_new (
    _ ("This picture lies flat and at true size already. What is found in it comes to lie on it."), "pw-dim");
  append (side, self->flat_words);
  append (side, self->trouble);

  build_busy (self);
  self->buttons = column (8);
  self->deed = stamp_new ("", "pw-stamp", G_CALLBACK (app_photo_room_deed), self);
  gtk_button_set_use_underline (GTK_BUTTON (self->deed), TRUE);
  self->place
    = stamp_new (_ ("_Place under the panels"), "pw-plain", G_CALLBACK (app_photo_room_place), self);
  build_found (self);
  append (self->buttons, self->under);
  append (self->buttons, self->deed);
  append (self->buttons, self->place);
  append (side, self->found_box);

  self->scroll = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (self->scroll), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (self->scroll), side);
  gtk_widget_set_vexpand (self->scroll, TRUE);
  /* What is done next stays in view however much was found. */
  GtkWidget *whole = column (0);
  gtk_widget_set_margin_start (self->buttons, 16);
  gtk_widget_set_margin_end (self->buttons, 16);
  gtk_widget_set_margin_top (self->buttons, 8);
  gtk_widget_set_margin_bottom (self->buttons, 14);
  append (whole, self->scroll);
  append (whole, self->busy);
  append (whole, self->buttons);
  gtk_widget_set_size_request (whole, SIDE_PX, -1);
  gtk_widget_set_hexpand (whole, FALSE);
  app_add_classes (whole, "pw-side pw-side-right");
  return whole;
}

GtkWidget *
app_photo_room_field (AppPhotoRoom *self, const char *name)
{
  const struct
  {
    const char *name;
    GtkWidget *widget;
  } fields[] = {
    { "way-mat", self->ways[APP_PHOTO_MAT] },
    { "way-sheet", self->ways[APP_PHOTO_SHEET] },
    { "way-rectangle", self->ways[APP_PHOTO_RECTANGLE] },
    { "way-scan", self->ways[APP_PHOTO_SCAN] },
    { "way-distance", self->ways[APP_PHOTO_DISTANCE] },
    { "sheet", self->sheet },
    { "width", self->width },
    { "height", self->height },
    { "dpi", self->dpi },
    { "distance", self->distance },
    { "whole", self->extent[1] },
    { "find", self->deed },
    { "place", self->place },
    { "take", self->deed },
    { "under", self->under },
    { "back", self->back },
    { "cancel", self->cancel_button },
  };
  for (guint i = 0; i < G_N_ELEMENTS (fields); i++)
    if (strcmp (fields[i].name, name) == 0)
      return fields[i].widget;
  guint64 index = 0;
  if (!g_str_has_prefix (name, "tick-") || !g_ascii_string_to_unsigned (name + 5, 10, 0, 1000, &index, NULL))
    return NULL;
  GtkWidget *child = gtk_widget_get_first_child (self->list);
  while (child != NULL && index-- > 0)
    child = gtk_widget_get_next_sibling (child);
  return child;
}

void
app_photo_room_set_unit (AppPhotoRoom *self, ModelUnit unit)
{
  GtkWidget *const entries[] = { self->width, self->height, self->distance };
  for (guint i = 0; i < G_N_ELEMENTS (entries); i++)
    app_unit_entry_set_unit (APP_UNIT_ENTRY (entries[i]), unit);
}
