#include "app/tape-list.h"

#include "app/canvas-private.h"
#include "app/label.h"
#include "app/unit-entry.h"
#include "engine/words.h"
#include "model/repair.h"
#include "model/tape.h"

#include <glib/gi18n.h>
#include <math.h>

#define MOST_MM 5000.0
#define LEAST_MM 0.1

typedef struct Row
{
  guint tape_id;
  GtkWidget *box, *button, *wrap, *wrap_field, *difference, *sheets;
} Row;

struct _AppTapeList
{
  GtkWidget parent;
  AppSession *session; /* borrowed */
  guint panel_id;
  bool showing;
  GtkWidget *box, *rows_box;
  GArray *rows; /* Row */
};

G_DEFINE_FINAL_TYPE (AppTapeList, app_tape_list, GTK_TYPE_WIDGET)

static guint
tape_of (GtkWidget *widget)
{
  return GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (widget), "tape"));
}

typedef void (*ChangeTape) (ModelPanel *panel, ModelTape *tape, double value);

static void
change (AppTapeList *self, guint tape_id, const char *label, ChangeTape how, double value)
{
  const ModelPanel *was = self->session != NULL
                            ? model_document_panel (app_session_document (self->session), self->panel_id)
                            : NULL;
  if (self->showing || was == NULL || model_panel_find_tape (was, tape_id) == NULL)
    return;
  ModelPanel *panel = model_panel_copy (was);
  ModelHistory *history = app_session_history (self->session);
  how (panel, model_panel_find_tape (panel, tape_id), value);
  model_history_begin (history, label);
  model_repair_put_panel (history, panel);
  model_history_end (history);
}

static void
take_wrap (ModelPanel *panel, ModelTape *tape, double mm)
{
  tape->has_wrap = mm > 0.0;
  tape->wrap_mm = tape->has_wrap ? mm : 0.0;
}

static void
take_sheets (ModelPanel *panel, ModelTape *tape, double on)
{
  tape->on_sheets = on > 0.0;
}

static void
on_wrap (GtkWidget *entry, double mm, AppTapeList *self)
{
  change (self, tape_of (entry), _ ("Change a taped length"), take_wrap, mm);
}

static void
on_sheets (GtkCheckButton *button, AppTapeList *self)
{
  change (self, tape_of (GTK_WIDGET (button)), _ ("Print a tape"), take_sheets,
          gtk_check_button_get_active (button) ? 1.0 : 0.0);
}

static void
on_choose (GtkButton *button, AppTapeList *self)
{
  if (self->session != NULL)
    app_session_select_tape (self->session, self->panel_id, app_session_selection (self->session)->side,
                             tape_of (GTK_WIDGET (button)));
}

/* The one door for removing: it takes the marks along that only this tape used. */
static void
on_remove (GtkButton *button, AppTapeList *self)
{
  guint tape_id = tape_of (GTK_WIDGET (button));
  if (self->session == NULL)
    return;
  app_session_select_tape (self->session, self->panel_id, app_session_selection (self->session)->side,
                           tape_id);
  gtk_widget_activate_action (GTK_WIDGET (self), "win.remove-tape", NULL);
}

static Row
add_row (AppTapeList *self, guint tape_id)
{
  Row row = { .tape_id = tape_id };
  row.box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
  GtkWidget *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  row.button = app_button_new ("", "pw-link pw-number", NULL);
  gtk_widget_set_hexpand (row.button, TRUE);
  gtk_widget_set_halign (row.button, GTK_ALIGN_START);
  gtk_widget_set_tooltip_text (row.button, _ ("Choose this tape on the paper."));
  row.sheets = gtk_check_button_new_with_label (_ ("Print"));
  gtk_widget_set_tooltip_text (row.sheets, _ ("Drawn on the sheets as a reference."));
  GtkWidget *remove = app_icon_button_new ("user-trash-symbolic", "pw-icon", _ ("Remove the tape"),
                                           _ ("Remove the tape."), NULL);
  row.wrap = app_unit_entry_new ();
  app_unit_entry_set_shows_unit (APP_UNIT_ENTRY (row.wrap), true);
  app_unit_entry_set_name (APP_UNIT_ENTRY (row.wrap), _ ("Length over the wrap"));
  app_unit_entry_set_range (APP_UNIT_ENTRY (row.wrap), LEAST_MM, MOST_MM);
  app_unit_entry_set_optional (APP_UNIT_ENTRY (row.wrap), "–");
  app_unit_entry_set_width (APP_UNIT_ENTRY (row.wrap), 9);
  row.wrap_field = app_field_new (_ ("Over the wrap"), row.wrap);
  row.difference = app_prose_new (NULL, "pw-dim pw-number");
  GtkWidget *const known[] = { row.button, row.sheets, remove, row.wrap };
  for (guint i = 0; i < G_N_ELEMENTS (known); i++)
    g_object_set_data (G_OBJECT (known[i]), "tape", GUINT_TO_POINTER (tape_id));
  g_signal_connect (row.button, "clicked", G_CALLBACK (on_choose), self);
  g_signal_connect (row.sheets, "toggled", G_CALLBACK (on_sheets), self);
  g_signal_connect (remove, "clicked", G_CALLBACK (on_remove), self);
  g_signal_connect_object (row.wrap, "committed", G_CALLBACK (on_wrap), self, 0);
  gtk_box_append (GTK_BOX (head), row.button);
  gtk_box_append (GTK_BOX (head), row.sheets);
  gtk_box_append (GTK_BOX (head), remove);
  gtk_box_append (GTK_BOX (row.box), head);
  gtk_box_append (GTK_BOX (row.box), row.wrap_field);
  gtk_box_append (GTK_BOX (row.box), row.difference);
  gtk_box_append (GTK_BOX (self->rows_box), row.box);
  return row;
}

static bool
same_tapes (AppTapeList *self, const ModelPanel *panel)
{
  if (self->panel_id != panel->id || self->rows->len != panel->tapes->len)
    return false;
  for (guint i = 0; i < self->rows->len; i++)
    if (g_array_index (self->rows, Row, i).tape_id != g_array_index (panel->tapes, ModelTape, i).id)
      return false;
  return true;
}

static void
rebuild (AppTapeList *self, const ModelPanel *panel)
{
  for (guint i = 0; i < self->rows->len; i++)
    gtk_box_remove (GTK_BOX (self->rows_box), g_array_index (self->rows, Row, i).box);
  g_array_set_size (self->rows, 0);
  self->panel_id = panel->id;
  for (guint i = 0; i < panel->tapes->len; i++)
  {
    Row row = add_row (self, g_array_index (panel->tapes, ModelTape, i).id);
    g_array_append_val (self->rows, row);
  }
}

static void
show_row (AppTapeList *self, const Row *row, const ModelPanel *panel, const ModelTape *tape)
{
  const ModelDocument *doc = app_session_document (self->session);
  const AppSelection *s = app_session_selection (self->session);
  bool twin
    = engine_panel_is_corrected (panel) && s->side == model_side_other (engine_panel_drawn_side (panel));
  ModelTape plain = *tape;
  plain.has_wrap = false;
  g_autofree char *words = app_tape_words (doc, panel, &plain, twin);
  if (g_strcmp0 (gtk_button_get_label (GTK_BUTTON (row->button)), words) != 0)
    gtk_button_set_label (GTK_BUTTON (row->button), words);
  app_set_class (row->button, "pw-strong", s->tape_id == tape->id);
  gtk_widget_set_visible (row->wrap_field, tape->kind != MODEL_TAPE_ANGLE);
  app_unit_entry_set_unit (APP_UNIT_ENTRY (row->wrap), doc->head->unit);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (row->wrap), tape->has_wrap ? tape->wrap_mm : (double)NAN);
  gtk_check_button_set_active (GTK_CHECK_BUTTON (row->sheets), tape->on_sheets);
  ModelTapeReading reading;
  bool differs = model_tape_read (panel, tape, twin, &reading) && reading.has_wrap;
  gtk_widget_set_visible (row->difference, differs);
  if (!differs)
    return;
  g_autofree char *mm = engine_words_length (doc, fabs (reading.over_mm));
  g_autofree char *text
    = g_strdup_printf (reading.over_mm >= 0.0 ? _ ("The flat panel is %s too short there.")
                                              : _ ("The flat panel is %s too long there."),
                       mm);
  app_label_set (row->difference, text);
}

void
app_tape_list_show (AppTapeList *self, AppSession *session, const ModelPanel *panel)
{
  self->session = session;
  gtk_widget_set_visible (GTK_WIDGET (self), panel->tapes->len > 0);
  self->showing = true;
  if (!same_tapes (self, panel))
    rebuild (self, panel);
  for (guint i = 0; i < self->rows->len; i++)
    show_row (self, &g_array_index (self->rows, Row, i), panel, &g_array_index (panel->tapes, ModelTape, i));
  self->showing = false;
}

void
app_tape_list_forget (AppTapeList *self)
{
  self->session = NULL;
}

GtkWidget *
app_tape_list_wrap (AppTapeList *self, guint index)
{
  return index < self->rows->len ? g_array_index (self->rows, Row, index).wrap : NULL;
}

const char *
app_tape_list_says (AppTapeList *self, guint index)
{
  return index < self->rows->len
           ? gtk_label_get_text (GTK_LABEL (g_array_index (self->rows, Row, index).difference))
           : NULL;
}

static void
app_tape_list_dispose (GObject *object)
{
  AppTapeList *self = APP_TAPE_LIST (object);
  g_clear_pointer (&self->box, gtk_widget_unparent);
  g_clear_pointer (&self->rows, g_array_unref);
  G_OBJECT_CLASS (app_tape_list_parent_class)->dispose (object);
}

static void
app_tape_list_class_init (AppTapeListClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_tape_list_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
app_tape_list_init (AppTapeList *self)
{
  self->rows = g_array_new (FALSE, FALSE, sizeof (Row));
  self->box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8);
  self->rows_box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 12);
  gtk_box_append (GTK_BOX (self->box), app_label_new (_ ("Pinned tapes"), "pw-strong"));
  gtk_box_append (GTK_BOX (self->box), self->rows_box);
  gtk_widget_set_parent (self->box, GTK_WIDGET (self));
  gtk_widget_set_visible (GTK_WIDGET (self), FALSE);
}
