/* The document is made anew at every keystroke: making one takes less time than a frame.  A text that is no
 * figure yet counts as a figure that does not go together with the others, so what is shown always is what
 * would be taken. */
#include "app/starter-sheet.h"

#include "app/label.h"
#include "app/settings.h"
#include "app/starter-add.h"
#include "app/starter-picture.h"
#include "app/unit-entry.h"
#include "model/measure-book.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

#define WIDTH_PX 1120
#define HEIGHT_PX 740
#define LEFT_PX 372
#define RIM_PX 24 /* of the window below that stays in sight */

struct _AppStarterSheet
{
  GtkWindow parent;
  AppWindow *window; /* borrowed: the sheet goes with it */
  const EngineStarter *starter;
  ModelUnit unit;
  double values[ENGINE_STARTER_VALUES];
  double kept[ENGINE_STARTER_CHOICES]
             [ENGINE_STARTER_VALUES]; /* the figures of each word of the first choice */
  bool seen[ENGINE_STARTER_CHOICES];
  bool unread[ENGINE_STARTER_VALUES]; /* the text in the field is no length */
  bool typed[ENGINE_STARTER_VALUES];  /* since the field was last settled */
  bool showing, adding;
  char *trouble;
  GtkWidget *heading, *list, *how_name, *how_text, *picture, *says, *take;
  GtkWidget *row[ENGINE_STARTER_VALUES], *caption[ENGINE_STARTER_VALUES], *field[ENGINE_STARTER_VALUES];
};

G_DEFINE_FINAL_TYPE (AppStarterSheet, app_starter_sheet, GTK_TYPE_WINDOW)

static guint
index_of (AppStarterSheet *self, GtkWidget *field)
{
  for (guint i = 0; i < self->starter->value_count; i++)
    if (self->field[i] == field)
      return i;
  g_return_val_if_reached (0);
}

/* ---- what follows from the figures ---- */

/* A figure that only one word of a choice asks for rests while another is taken. */
static const struct
{
  const char *choice, *word, *value;
} needs[] = {
  { "closing", "gap", "gap" },
  { "closing", "lapped", "lap" },
  { "shoulders", "lapped", "lap" },
};

static bool
is_asked_for (AppStarterSheet *self, guint index)
{
  const EngineStarter *starter = self->starter;
  for (guint i = 0; i < G_N_ELEMENTS (needs); i++)
  {
    if (strcmp (starter->values[index].key, needs[i].value) != 0)
      continue;
    int choice = engine_starter_find (starter, self->values, needs[i].choice);
    if (choice < 0 || starter->values[choice].kind != ENGINE_VALUE_CHOICE)
      continue;
    const EngineStarterValue *value = &starter->values[choice];
    return (int)self->values[choice] == engine_starter_choice (value, needs[i].word);
  }
  return true;
}

static void
say (AppStarterSheet *self, char *trouble_taken)
{
  g_free (self->trouble);
  self->trouble = trouble_taken;
  app_label_set (self->says, trouble_taken);
  gtk_widget_set_sensitive (self->take, trouble_taken == NULL);
  gtk_widget_set_tooltip_text (self->take, trouble_taken);
}

static void
follow (AppStarterSheet *self)
{
  g_autoptr (GError) error = NULL;
  ModelDocument *doc = NULL;
  guint bad = 0;
  while (bad < self->starter->value_count && !(self->unread[bad] && is_asked_for (self, bad)))
    bad++;
  if (bad < self->starter->value_count)
    g_set_error (&error, ENGINE_STARTER_ERROR, ENGINE_STARTER_ERROR_VALUE, _ ("“%s” is not a length yet."),
                 gtk_label_get_text (GTK_LABEL (self->caption[bad])));
  else
    doc = engine_starter_make (self->starter, self->values, &error);
  if (doc != NULL)
  {
    doc->head->unit = self->unit;
    g_free (doc->head->paper);
    doc->head->paper = app_settings_paper ();
    app_label_set (self->heading, doc->head->title);
    gtk_window_set_title (GTK_WINDOW (self), doc->head->title);
  }
  app_starter_picture_set (APP_STARTER_PICTURE (self->picture), doc);
  say (self, doc != NULL ? NULL : g_strdup (error->message));
  for (guint i = 0; i < self->starter->value_count; i++)
    gtk_widget_set_sensitive (self->row[i], is_asked_for (self, i));
}

/* ---- how a measure is taken ---- */

/* What is not a measure of the body, by its key.  The neutral layer: engine/starter.h. */
static const struct
{
  const char *key, *how;
} hints[] = {
  { "under", N_ ("Cloth and padding between the body and this piece, pressed as it is worn.") },
  { "thickness", N_ ("Measured at the edge of the hide or sheet that will be cut.") },
  { "neutral",
    N_ ("Where in its thickness the leather keeps its length when it is bent: 0 at the body, 1 at the "
        "outer face.") },
  { "gap", N_ ("What stays open between the two edges when it is laced or strapped.") },
  { "lap", N_ ("How far one edge lies over the other.") },
  { "ease", N_ ("Room wanted beyond the body and what is worn underneath.") },
};

static const char *
how_of (AppStarterSheet *self, guint index)
{
  const ModelMeasureDef *def
    = model_measure_def (engine_starter_measure (self->starter, self->values, index));
  if (def != NULL)
    return _ (def->how);
  for (guint i = 0; i < G_N_ELEMENTS (hints); i++)
    if (strcmp (self->starter->values[index].key, hints[i].key) == 0)
      return _ (hints[i].how);
  return NULL;
}

static void
show_how (AppStarterSheet *self, guint index)
{
  const ModelMeasureDef *def
    = model_measure_def (engine_starter_measure (self->starter, self->values, index));
  app_label_set (self->how_name, def != NULL ? _ (def->name) : _ (self->starter->values[index].name));
  app_label_set (self->how_text, how_of (self, index));
}

static void
on_enter_field (GtkEventControllerFocus *focus, AppStarterSheet *self)
{
  show_how (self, index_of (self, gtk_event_controller_get_widget (GTK_EVENT_CONTROLLER (focus))));
}

static void
name_field (GtkWidget *field, const char *name, const char *how)
{
  GtkWidget *named = APP_IS_UNIT_ENTRY (field) ? app_unit_entry_field (APP_UNIT_ENTRY (field)) : field;
  gtk_accessible_update_property (GTK_ACCESSIBLE (named), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  if (how != NULL)
    gtk_accessible_update_property (GTK_ACCESSIBLE (named), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, how, -1);
}

/* What a figure is called depends on the first choice where it is a measure of the body. */
static void
name_rows (AppStarterSheet *self)
{
  for (guint i = 0; i < self->starter->value_count; i++)
  {
    const ModelMeasureDef *def = model_measure_def (engine_starter_measure (self->starter, self->values, i));
    const char *name = _ (self->starter->values[i].name);
    g_autofree char *full = def != NULL && strcmp (_ (def->name), name) != 0
                              ? g_strdup_printf ("%s (%s)", _ (def->name), name)
                              : NULL;
    app_label_set (self->caption[i], def != NULL ? _ (def->name) : name);
    const char *how = how_of (self, i);
    name_field (self->field[i], full != NULL ? full : name, how);
    g_autofree char *tip = how != NULL ? g_strdup_printf ("%s. %s", full != NULL ? full : name, how) : NULL;
    gtk_widget_set_tooltip_text (self->row[i], tip);
  }
}

/* ---- the fields ---- */

static void
show_value (AppStarterSheet *self, guint index)
{
  self->showing = true;
  switch (self->starter->values[index].kind)
  {
  case ENGINE_VALUE_LENGTH:
    app_unit_entry_set_mm (APP_UNIT_ENTRY (self->field[index]), self->values[index]);
    if (self->typed[index])
    {
      /* The field leaves a typed text alone, but this one was meant for another measure. */
      g_autofree char *text = model_unit_text (self->values[index], self->unit, 1);
      gtk_editable_set_text (GTK_EDITABLE (app_unit_entry_field (APP_UNIT_ENTRY (self->field[index]))), text);
    }
    break;
  case ENGINE_VALUE_COUNT:
  case ENGINE_VALUE_SHARE:
    gtk_spin_button_set_value (GTK_SPIN_BUTTON (self->field[index]), self->values[index]);
    break;
  case ENGINE_VALUE_CHOICE:
    gtk_drop_down_set_selected (GTK_DROP_DOWN (self->field[index]), (guint)self->values[index]);
    break;
  }
  self->showing = false;
}

/* While it is typed.  What the field writes itself is rounded to what it shows: then its own figure counts.
 */
static void
on_length_typed (GtkEditable *editable, AppUnitEntry *entry)
{
  AppStarterSheet *self = APP_STARTER_SHEET (gtk_widget_get_root (GTK_WIDGET (entry)));
  if (self->showing)
    return;
  guint index = index_of (self, GTK_WIDGET (entry));
  const char *text = gtk_editable_get_text (editable);
  double kept_mm = app_unit_entry_mm (entry), mm;
  g_autofree char *shown = model_unit_text (kept_mm, self->unit, 1);
  if (strcmp (text, shown) == 0)
  {
    self->unread[index] = self->typed[index] = false;
    self->values[index] = kept_mm;
  }
  else
  {
    self->typed[index] = true;
    self->unread[index] = !model_unit_parse (text, self->unit, &mm, NULL);
    if (!self->unread[index])
      self->values[index] = mm;
  }
  follow (self);
}

static void
on_length (AppUnitEntry *entry, double mm, AppStarterSheet *self)
{
  guint index = index_of (self, GTK_WIDGET (entry));
  self->unread[index] = self->typed[index] = false;
  self->values[index] = mm;
  follow (self);
}

static void
on_number (GtkSpinButton *spin, AppStarterSheet *self)
{
  if (self->showing)
    return;
  self->values[index_of (self, GTK_WIDGET (spin))] = gtk_spin_button_get_value (spin);
  follow (self);
}

/* What is known of the wearer of the open document, where there is one. */
static void
fill (AppStarterSheet *self, int word, double *values)
{
  AppSession *session = self->adding && self->window != NULL ? app_window_session (self->window) : NULL;
  if (session != NULL)
    engine_starter_defaults_from (self->starter, word, app_session_document (session), values);
  else
    engine_starter_defaults_for (self->starter, word, values);
}

/* Another first choice: figures of another part of the body, each kept with its word. */
static void
change_first (AppStarterSheet *self, int word)
{
  const EngineStarter *starter = self->starter;
  int before = (int)self->values[0];
  memcpy (self->kept[before], self->values, sizeof self->values);
  self->seen[before] = true;
  if (!self->seen[word])
    fill (self, word, self->kept[word]);
  self->values[0] = word;
  for (guint i = 1; i < starter->value_count; i++)
    if (starter->values[i].start_by_choice[0] > 0.0)
    {
      self->values[i] = self->kept[word][i];
      show_value (self, i);
      self->unread[i] = self->typed[i] = false;
    }
  name_rows (self);
}

static void
on_choice (GtkDropDown *list, GParamSpec *spec, AppStarterSheet *self)
{
  guint index = index_of (self, GTK_WIDGET (list)), chosen = gtk_drop_down_get_selected (list);
  if (self->showing || chosen == GTK_INVALID_LIST_POSITION)
    return;
  if (index == 0)
    change_first (self, (int)chosen);
  else
    self->values[index] = chosen;
  follow (self);
}

static GtkWidget *
length_field (AppStarterSheet *self, const EngineStarterValue *value)
{
  GtkWidget *field = app_unit_entry_new ();
  app_unit_entry_set_unit (APP_UNIT_ENTRY (field), self->unit);
  app_unit_entry_set_shows_unit (APP_UNIT_ENTRY (field), true);
  app_unit_entry_set_width (APP_UNIT_ENTRY (field), 11);
  app_unit_entry_set_range (APP_UNIT_ENTRY (field), value->min, value->max);
  g_signal_connect (app_unit_entry_field (APP_UNIT_ENTRY (field)), "changed", G_CALLBACK (on_length_typed),
                    field);
  g_signal_connect (field, "committed", G_CALLBACK (on_length), self);
  return field;
}

static GtkWidget *
number_field (AppStarterSheet *self, const EngineStarterValue *value)
{
  bool whole = value->kind == ENGINE_VALUE_COUNT;
  GtkWidget *field = gtk_spin_button_new_with_range (value->min, value->max, whole ? 1.0 : 0.05);
  gtk_spin_button_set_digits (GTK_SPIN_BUTTON (field), whole ? 0 : 2);
  g_signal_connect (field, "value-changed", G_CALLBACK (on_number), self);
  return field;
}

static GtkWidget *
choice_field (AppStarterSheet *self, const EngineStarterValue *value)
{
  g_autoptr (GtkStringList) words = gtk_string_list_new (NULL);
  for (int i = 0; i < ENGINE_STARTER_CHOICES && value->choices[i].key != NULL; i++)
    gtk_string_list_append (words, _ (value->choices[i].name));
  GtkWidget *field = gtk_drop_down_new (G_LIST_MODEL (g_steal_pointer (&words)), NULL);
  g_signal_connect (field, "notify::selected", G_CALLBACK (on_choice), self);
  return field;
}

static void
add_row (AppStarterSheet *self, guint index)
{
  const EngineStarterValue *value = &self->starter->values[index];
  GtkWidget *field = NULL;
  switch (value->kind)
  {
  case ENGINE_VALUE_LENGTH:
    field = length_field (self, value);
    break;
  case ENGINE_VALUE_COUNT:
  case ENGINE_VALUE_SHARE:
    field = number_field (self, value);
    break;
  case ENGINE_VALUE_CHOICE:
    field = choice_field (self, value);
    break;
  }
  GtkEventController *focus = gtk_event_controller_focus_new ();
  g_signal_connect (focus, "enter", G_CALLBACK (on_enter_field), self);
  gtk_widget_add_controller (field, focus);
  self->field[index] = field;
  self->row[index] = app_field_new (_ (value->name), field);
  self->caption[index] = gtk_widget_get_first_child (self->row[index]);
  gtk_box_append (GTK_BOX (self->list), self->row[index]);
  show_value (self, index);
}

/* ---- taking and leaving ---- */

bool
app_starter_sheet_take (AppStarterSheet *self)
{
  ModelDocument *doc = app_starter_picture_document (APP_STARTER_PICTURE (self->picture));
  if (doc == NULL || self->window == NULL)
    return false;
  if (self->adding && app_window_session (self->window) != NULL)
  {
    app_starter_add (self->window, doc);
    gtk_window_destroy (GTK_WINDOW (self));
    return true;
  }
  /* A fresh one: the picture keeps what it shows. */
  AppWindow *window = app_window_show_document (self->window, model_document_copy (doc), NULL, NULL);
  app_session_mark_unsaved (app_window_session (window));
  gtk_window_destroy (GTK_WINDOW (self));
  return true;
}

static void
on_take (GtkButton *button, AppStarterSheet *self)
{
  app_starter_sheet_take (self);
}

static void
on_leave (GtkButton *button, AppStarterSheet *self)
{
  gtk_window_close (GTK_WINDOW (self));
}

static gboolean
on_escape (
  GtkEventControllerKey *keys, guint keyval, guint code, GdkModifierType state, AppStarterSheet *self)
{
  if (keyval != GDK_KEY_Escape)
    return GDK_EVENT_PROPAGATE;
  gtk_window_close (GTK_WINDOW (self));
  return GDK_EVENT_STOP;
}

/* Enter settles a figure that was typed, as everywhere; on a settled one, and with Ctrl everywhere, it takes.
 */
static gboolean
on_enter_key (
  GtkEventControllerKey *keys, guint keyval, guint code, GdkModifierType state, AppStarterSheet *self)
{
  if (keyval != GDK_KEY_Return && keyval != GDK_KEY_KP_Enter && keyval != GDK_KEY_ISO_Enter)
    return GDK_EVENT_PROPAGATE;
  if ((state & GDK_CONTROL_MASK) != 0)
    return app_starter_sheet_take (self) ? GDK_EVENT_STOP : GDK_EVENT_PROPAGATE;
  GtkWidget *focus = gtk_window_get_focus (GTK_WINDOW (self));
  GtkWidget *entry = focus != NULL ? gtk_widget_get_ancestor (focus, APP_TYPE_UNIT_ENTRY) : NULL;
  if (entry == NULL || self->typed[index_of (self, entry)])
    return GDK_EVENT_PROPAGATE;
  return app_starter_sheet_take (self) ? GDK_EVENT_STOP : GDK_EVENT_PROPAGATE;
}

/* ---- the whole ---- */

static void
set_margins (GtkWidget *widget, int across, int up)
{
  gtk_widget_set_margin_start (widget, across);
  gtk_widget_set_margin_end (widget, across);
  gtk_widget_set_margin_top (widget, up);
  gtk_widget_set_margin_bottom (widget, up);
}

static GtkWidget *
left_new (AppStarterSheet *self)
{
  GtkWidget *left = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
  gtk_widget_set_size_request (left, LEFT_PX, -1);
  gtk_widget_set_hexpand (left, FALSE);
  set_margins (left, 20, 16);
  self->heading = app_label_new (NULL, "pw-page-title");
  gtk_box_append (GTK_BOX (left), self->heading);
  self->list = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  app_add_classes (self->list, "pw-group pw-starter-list");
  gtk_widget_set_valign (self->list, GTK_ALIGN_START);
  GtkWidget *scroll = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scroll), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scroll), self->list);
  gtk_widget_set_vexpand (scroll, TRUE);
  gtk_widget_set_margin_top (scroll, 8);
  gtk_box_append (GTK_BOX (left), scroll);
  self->how_name = app_label_new (NULL, "pw-strong");
  gtk_widget_set_margin_top (self->how_name, 10);
  self->how_text = app_prose_new (NULL, "pw-dim pw-small pw-starter-how");
  gtk_label_set_yalign (GTK_LABEL (self->how_text), 0.0F);
  gtk_label_set_max_width_chars (GTK_LABEL (self->how_text), 40);
  gtk_box_append (GTK_BOX (left), self->how_name);
  gtk_box_append (GTK_BOX (left), self->how_text);
  return left;
}

static GtkWidget *
foot_new (AppStarterSheet *self)
{
  GtkWidget *foot = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  set_margins (foot, 20, 12);
  self->says = app_prose_new (NULL, "pw-madder pw-strong");
  gtk_label_set_lines (GTK_LABEL (self->says), 2);
  gtk_label_set_ellipsize (GTK_LABEL (self->says), PANGO_ELLIPSIZE_END);
  gtk_widget_set_hexpand (self->says, TRUE);
  gtk_widget_set_valign (self->says, GTK_ALIGN_CENTER);
  gtk_box_append (GTK_BOX (foot), self->says);
  GtkWidget *leave = app_button_new (_ ("_Leave"), "pw-plain", NULL);
  g_signal_connect (leave, "clicked", G_CALLBACK (on_leave), self);
  gtk_box_append (GTK_BOX (foot), leave);
  self->take = app_button_new (_ ("_Take it"), "pw-stamp", NULL);
  g_signal_connect (self->take, "clicked", G_CALLBACK (on_take), self);
  gtk_box_append (GTK_BOX (foot), self->take);
  return foot;
}

static void
app_starter_sheet_dispose (GObject *object)
{
  AppStarterSheet *self = APP_STARTER_SHEET (object);
  g_clear_weak_pointer (&self->window);
  G_OBJECT_CLASS (app_starter_sheet_parent_class)->dispose (object);
}

static void
app_starter_sheet_finalize (GObject *object)
{
  g_free (APP_STARTER_SHEET (object)->trouble);
  G_OBJECT_CLASS (app_starter_sheet_parent_class)->finalize (object);
}

static void
app_starter_sheet_class_init (AppStarterSheetClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_starter_sheet_dispose;
  G_OBJECT_CLASS (klass)->finalize = app_starter_sheet_finalize;
}

static void
app_starter_sheet_init (AppStarterSheet *self)
{
  app_add_classes (GTK_WIDGET (self), "pw pw-starter");
  self->unit = app_settings_unit ();
  GtkWidget *whole = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0),
            *columns = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);
  gtk_box_append (GTK_BOX (columns), left_new (self));
  self->picture = app_starter_picture_new ();
  app_add_classes (self->picture, "pw-starter-paper");
  gtk_widget_set_hexpand (self->picture, TRUE);
  gtk_widget_set_vexpand (self->picture, TRUE);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->picture), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("The panels that follow from these figures"), -1);
  gtk_box_append (GTK_BOX (columns), self->picture);
  gtk_box_append (GTK_BOX (whole), columns);
  gtk_box_append (GTK_BOX (whole), gtk_separator_new (GTK_ORIENTATION_HORIZONTAL));
  gtk_box_append (GTK_BOX (whole), foot_new (self));
  gtk_window_set_child (GTK_WINDOW (self), whole);
  GtkEventController *escape = gtk_event_controller_key_new (), *enter = gtk_event_controller_key_new ();
  g_signal_connect (escape, "key-pressed", G_CALLBACK (on_escape), self);
  gtk_widget_add_controller (GTK_WIDGET (self), escape);
  gtk_event_controller_set_propagation_phase (enter, GTK_PHASE_CAPTURE);
  g_signal_connect (enter, "key-pressed", G_CALLBACK (on_enter_key), self);
  gtk_widget_add_controller (GTK_WIDGET (self), enter);
}

static AppStarterSheet *
show (AppWindow *parent, const EngineStarter *starter, int first_choice, bool adding)
{
  AppStarterSheet *self = g_object_new (APP_TYPE_STARTER_SHEET, NULL);
  g_set_weak_pointer (&self->window, parent);
  self->starter = starter;
  self->adding = adding;
  if (adding)
  {
    self->unit = app_session_document (app_window_session (parent))->head->unit;
    gtk_button_set_label (GTK_BUTTON (self->take), _ ("_Add it"));
  }
  fill (self, first_choice, self->values);
  for (guint i = 0; i < starter->value_count; i++)
    add_row (self, i);
  name_rows (self);
  follow (self);
  guint first = starter->values[0].kind == ENGINE_VALUE_CHOICE && starter->value_count > 1 ? 1 : 0;
  show_how (self, first);
  gtk_window_set_transient_for (GTK_WINDOW (self), GTK_WINDOW (parent));
  gtk_window_set_modal (GTK_WINDOW (self), TRUE);
  gtk_window_set_destroy_with_parent (GTK_WINDOW (self), TRUE);
  int width = gtk_widget_get_width (GTK_WIDGET (parent)),
      height = gtk_widget_get_height (GTK_WIDGET (parent));
  gtk_window_set_default_size (GTK_WINDOW (self), width > 0 ? MIN (WIDTH_PX, width - 2 * RIM_PX) : WIDTH_PX,
                               height > 0 ? MIN (HEIGHT_PX, height - RIM_PX) : HEIGHT_PX);
  gtk_widget_grab_focus (self->field[first]);
  gtk_window_present (GTK_WINDOW (self));
  return self;
}

AppStarterSheet *
app_starter_sheet_show (AppWindow *parent, const EngineStarter *starter, int first_choice)
{
  return show (parent, starter, first_choice, false);
}

AppStarterSheet *
app_starter_sheet_show_adding (AppWindow *parent, const EngineStarter *starter, int first_choice)
{
  g_return_val_if_fail (app_window_session (parent) != NULL, NULL);
  return show (parent, starter, first_choice, true);
}

/* ---- for tests and readers ---- */

const double *
app_starter_sheet_values (AppStarterSheet *self)
{
  return self->values;
}

ModelDocument *
app_starter_sheet_document (AppStarterSheet *self)
{
  return app_starter_picture_document (APP_STARTER_PICTURE (self->picture));
}

const char *
app_starter_sheet_trouble (AppStarterSheet *self)
{
  return self->trouble;
}

GtkWidget *
app_starter_sheet_field (AppStarterSheet *self, guint index)
{
  g_return_val_if_fail (index < self->starter->value_count, NULL);
  return self->field[index];
}

GtkWidget *
app_starter_sheet_button (AppStarterSheet *self)
{
  return self->take;
}
