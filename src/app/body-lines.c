/* A row shows its line on the paper; what a line is made of stands below its figures, since a girth that is
 * off is as often a thing worn underneath that was forgotten. */
#include "app/body-lines.h"

#include "app/label.h"
#include "engine/girth.h"
#include "engine/words.h"

#include <glib/gi18n.h>
#include <math.h>

/* Shown with one decimal: less is nothing. */
#define SHOWN_MM 0.05

struct _AppBodyLines
{
  GtkWidget parent;
  GtkWidget *box, *rows, *none;
};

G_DEFINE_FINAL_TYPE (AppBodyLines, app_body_lines, GTK_TYPE_WIDGET)

static void
on_row (GtkWidget *button)
{
  gtk_widget_activate_action (button, "win.show-line", "u",
                              GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (button), "line")));
}

static void
on_draw (GtkWidget *button)
{
  gtk_widget_activate_action (button, "win.room", "s", "panels");
  gtk_widget_activate_action (button, "win.tool", "s", "girth");
}

/* "Chest 940.0 mm, underneath 50.3 mm, thickness 11.0 mm". */
static char *
parts_words (const ModelDocument *doc, const ModelLine *line, const EngineLineReading *reading)
{
  const ModelMeasure *measure = model_document_measure (doc, line->measure_id);
  g_autofree char *name = engine_words_measure (measure),
                  *taken = engine_words_length (doc, reading->measure_mm),
                  *between = engine_words_length (doc, reading->between_mm),
                  *thick = engine_words_length (doc, reading->inner_mm);
  bool has_between = fabs (reading->between_mm) >= SHOWN_MM, has_thick = reading->inner_mm >= SHOWN_MM;
  if (has_between && has_thick)
    /* Translators: name of a measure, then lengths. */
    return g_strdup_printf (_ ("%1$s %2$s, underneath %3$s, thickness %4$s"), name, taken, between, thick);
  if (has_between)
    return g_strdup_printf (_ ("%1$s %2$s, underneath %3$s"), name, taken, between);
  if (has_thick)
    return g_strdup_printf (_ ("%1$s %2$s, thickness %3$s"), name, taken, thick);
  return g_strdup_printf ("%s %s", name, taken);
}

static bool
line_agrees (const ModelLine *line, const EngineLineReading *reading)
{
  double over = reading->difference_mm, slack = reading->tolerance_mm;
  return (line->kind == MODEL_LINE_REACH || over >= -slack)
         && (line->kind == MODEL_LINE_NECK || over <= slack);
}

/* What the panels make, and what they should. */
static char *
figures_words (const ModelDocument *doc, const ModelLine *line, const EngineLineReading *reading)
{
  g_autofree char *sum = engine_words_length (doc, reading->sum_mm);
  if (!reading->has_measure)
    return g_steal_pointer (&sum);
  g_autofree char *wanted = engine_words_length (doc, reading->wanted_mm);
  switch (line->kind)
  {
  case MODEL_LINE_REACH:
    /* Translators: what the panels make across, and the limit. */
    return g_strdup_printf (_ ("%1$s, at most %2$s"), sum, wanted);
  case MODEL_LINE_NECK:
    /* Translators: what the opening measures, and the least it must. */
    return g_strdup_printf (_ ("%1$s, at least %2$s"), sum, wanted);
  case MODEL_LINE_GIRTH:
  case MODEL_LINE_GUIDE:
  case MODEL_LINE_LEVEL:
    break;
  }
  /* Translators: what the panels make round the body, and what is wanted. */
  return g_strdup_printf (_ ("%1$s of %2$s"), sum, wanted);
}

static GtkWidget *
row_new (const ModelDocument *doc, const ModelLine *line, const EngineLineReading *reading)
{
  GtkWidget *button = gtk_button_new (), *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 1),
            *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  app_add_classes (button, "pw-flat pw-low");
  g_autofree char *name = engine_words_line (line), *figures = figures_words (doc, line, reading);
  GtkWidget *title = app_label_new (name, "pw-strong");
  gtk_widget_set_hexpand (title, TRUE);
  gtk_box_append (GTK_BOX (head), title);
  g_autofree char *parts = NULL;
  if (reading->has_measure)
  {
    bool agrees = line_agrees (line, reading);
    g_autofree char *off = model_unit_signed (reading->difference_mm, doc->head->unit, 1);
    gtk_box_append (GTK_BOX (head), agrees ? app_label_new (_ ("agrees"), "pw-small pw-moss")
                                           : app_label_new (off, "pw-strong pw-madder pw-number"));
    parts = parts_words (doc, line, reading);
  }
  else
    parts = g_strdup (_ ("No measure of the wearer is said for it yet."));
  gtk_box_append (GTK_BOX (box), head);
  gtk_box_append (GTK_BOX (box), app_prose_new (figures, "pw-small pw-number"));
  gtk_box_append (GTK_BOX (box), app_prose_new (parts, "pw-small pw-dim pw-number"));
  gtk_button_set_child (GTK_BUTTON (button), box);
  g_autofree char *spoken = g_strdup_printf ("%s, %s", name, figures);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, spoken, -1);
  gtk_widget_set_tooltip_text (button, _ ("Shows the line on the panels."));
  g_object_set_data (G_OBJECT (button), "line", GUINT_TO_POINTER (line->id));
  g_signal_connect (button, "clicked", G_CALLBACK (on_row), NULL);
  return button;
}

void
app_body_lines_show (AppBodyLines *self, AppSession *session)
{
  GtkWidget *child;
  while ((child = gtk_widget_get_first_child (self->rows)) != NULL)
    gtk_box_remove (GTK_BOX (self->rows), child);
  const ModelDocument *doc = session != NULL ? app_session_document (session) : NULL;
  guint count = 0;
  for (guint i = 0; doc != NULL && i < doc->lines->len; i++)
  {
    const ModelLine *line = g_ptr_array_index (doc->lines, i);
    const EngineLineReading *reading = engine_review_line (app_session_review (session), line->id);
    if (line->kind == MODEL_LINE_GUIDE || line->kind == MODEL_LINE_LEVEL || reading == NULL)
      continue;
    gtk_box_append (GTK_BOX (self->rows), row_new (doc, line, reading));
    count++;
  }
  gtk_widget_set_visible (self->none, count == 0);
}

static void
app_body_lines_dispose (GObject *object)
{
  g_clear_pointer (&APP_BODY_LINES (object)->box, gtk_widget_unparent);
  G_OBJECT_CLASS (app_body_lines_parent_class)->dispose (object);
}

static void
app_body_lines_class_init (AppBodyLinesClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_body_lines_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
app_body_lines_init (AppBodyLines *self)
{
  self->box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8);
  GtkWidget *head = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  gtk_box_append (GTK_BOX (head), gtk_image_new_from_icon_name ("panelwright-girth-symbolic"));
  gtk_box_append (GTK_BOX (head), app_label_new (_ ("Lines over the panels"), "pw-heading"));
  gtk_box_append (GTK_BOX (self->box), head);
  self->none = app_prose_new (_ ("None is drawn yet. A girth line is the sum of the panels it crosses, held "
                                 "against a measure of the wearer."),
                              "pw-dim");
  gtk_box_append (GTK_BOX (self->box), self->none);
  self->rows = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
  gtk_box_append (GTK_BOX (self->box), self->rows);
  GtkWidget *draw = app_button_new (_ ("Draw a girth line"), "pw-plain", NULL);
  g_signal_connect (draw, "clicked", G_CALLBACK (on_draw), NULL);
  gtk_box_append (GTK_BOX (self->box), draw);
  gtk_widget_set_parent (self->box, GTK_WIDGET (self));
}

GtkWidget *
app_body_lines_new (void)
{
  return g_object_new (APP_TYPE_BODY_LINES, NULL);
}
