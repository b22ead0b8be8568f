/* The list is the same widget as in the Panels room, with more room; the figure and the cards follow the
 * chosen measure. */
#include "app/body-room.h"

#include "app/body-figure.h"
#include "app/body-lines.h"
#include "app/label.h"
#include "app/measures-pane.h"
#include "engine/check.h"
#include "engine/words.h"
#include "model/measure-book.h"

#include <glib/gi18n.h>

#define LIST_PX 424
#define LIST_NARROW_PX 320
#define SIDE_PX 312
#define NARROW_PX 1180

struct _AppBodyRoom
{
  GtkWidget parent;
  AppSession *session;
  GtkWidget *root, *list, *figure, *side, *heading, *sign, *findings, *how_card, *how_title, *how,
    *how_source, *wearer, *lines;
  bool filling, narrow, follow_queued;
  guint refresh;
};

G_DEFINE_FINAL_TYPE (AppBodyRoom, app_body_room, GTK_TYPE_WIDGET)

static const ModelMeasure *
chosen_measure (AppBodyRoom *self)
{
  guint id = app_session_selection (self->session)->measure_id;
  return id != 0 ? model_document_measure (app_session_document (self->session), id) : NULL;
}

static void
on_show (GtkWidget *button, AppBodyRoom *self)
{
  app_session_select_measure (self->session,
                              GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (button), "measure")));
}

/* Wearer above, form below, started at the same point. */
static GtkWidget *
finding_card (AppBodyRoom *self, const EngineFinding *finding)
{
  EngineReview *review = app_session_review (self->session);
  const ModelDocument *doc = app_session_document (self->session);
  const ModelMeasure *measure = model_document_measure (doc, finding->measure_id);
  g_autofree char *text = engine_finding_text (review, finding);
  g_autofree char *detail = engine_finding_detail (review, finding);
  GtkWidget *card = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8);
  app_add_classes (card, "pw-card");
  GtkWidget *line = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  GtkWidget *name = app_label_new (measure != NULL ? measure->name : "", "pw-strong");
  gtk_widget_set_hexpand (name, TRUE);
  gtk_box_append (GTK_BOX (line), name);
  g_autofree char *amount = model_unit_signed (finding->difference, doc->head->unit, 0);
  gtk_box_append (GTK_BOX (line), app_label_new (amount, "pw-strong pw-madder pw-number"));
  gtk_box_append (GTK_BOX (card), line);
  gtk_box_append (GTK_BOX (card), app_prose_new (text, NULL));
  if (detail[0] != '\0')
    gtk_box_append (GTK_BOX (card), app_prose_new (detail, "pw-small pw-dim"));
  GtkWidget *show = app_button_new (_ ("Show where it is taken"), "pw-plain", NULL);
  g_object_set_data (G_OBJECT (show), "measure", GUINT_TO_POINTER (finding->measure_id));
  g_signal_connect (show, "clicked", G_CALLBACK (on_show), self);
  gtk_widget_set_sensitive (show, measure != NULL && app_body_figure_knows (measure->key));
  gtk_box_append (GTK_BOX (card), show);
  return card;
}

static void
fill_findings (AppBodyRoom *self)
{
  GtkWidget *child;
  while ((child = gtk_widget_get_first_child (self->findings)) != NULL)
    gtk_box_remove (GTK_BOX (self->findings), child);
  g_autoptr (GPtrArray) open = engine_review_open_findings (app_session_review (self->session));
  guint count = 0;
  for (guint i = 0; i < open->len; i++)
  {
    const EngineFinding *finding = g_ptr_array_index (open, i);
    if (finding->check != &engine_check_form_against_wearer)
      continue;
    gtk_box_append (GTK_BOX (self->findings), finding_card (self, finding));
    count++;
  }
  g_autofree char *heading
    = count > 0 ? g_strdup_printf (
        ngettext ("The form differs in %u place", "The form differs in %u places", count), count)
                : g_strdup (_ ("The form agrees with the wearer"));
  app_label_set (self->heading, heading);
  gtk_image_set_from_icon_name (GTK_IMAGE (self->sign), count > 0 ? "panelwright-not-agreeing-symbolic"
                                                                  : "panelwright-agreeing-symbolic");
  app_set_class (self->sign, "pw-madder", count > 0);
  app_set_class (self->sign, "pw-moss", count == 0);
  if (count == 0)
    gtk_box_append (GTK_BOX (self->findings),
                    app_prose_new (_ ("Small differences are left alone: two careful takings of the same "
                                      "body differ by as much (ISO 20685)."),
                                   "pw-dim"));
}

static void
fill_how (AppBodyRoom *self)
{
  const ModelMeasure *measure = chosen_measure (self);
  const ModelMeasureDef *def = measure != NULL ? model_measure_def (measure->key) : NULL;
  gtk_widget_set_visible (self->how_card, measure != NULL);
  if (measure == NULL)
    return;
  app_label_set (self->how_title, measure->name);
  app_label_set (self->how,
                 def != NULL
                   ? _ (def->how)
                   : _ ("A measure of your own. Take it the same way each time, tape flat and not pulled."));
  g_autofree char *slack
    = engine_words_length (app_session_document (self->session), model_measure_tolerance (measure));
  g_autofree char *source
    = def != NULL && def->clause != NULL
        ? g_strdup_printf (_ ("ISO 8559-1, %s. Differences up to %s are left alone."), def->clause, slack)
        : g_strdup_printf (_ ("Differences up to %s are left alone."), slack);
  app_label_set (self->how_source, source);
}

static gboolean
refresh (GtkWidget *widget, GdkFrameClock *clock, gpointer user)
{
  AppBodyRoom *self = APP_BODY_ROOM (widget);
  self->refresh = 0;
  if (self->session == NULL)
    return G_SOURCE_REMOVE;
  ModelDocument *doc = app_session_document (self->session);
  app_body_figure_set_document (APP_BODY_FIGURE (self->figure), doc);
  app_body_figure_choose (APP_BODY_FIGURE (self->figure), app_session_selection (self->session)->measure_id);
  fill_findings (self);
  fill_how (self);
  app_body_lines_show (APP_BODY_LINES (self->lines), self->session);
  self->filling = true;
  if (g_strcmp0 (gtk_editable_get_text (GTK_EDITABLE (self->wearer)), doc->head->wearer) != 0)
    gtk_editable_set_text (GTK_EDITABLE (self->wearer), doc->head->wearer);
  self->filling = false;
  return G_SOURCE_REMOVE;
}

static void
queue_refresh (AppBodyRoom *self)
{
  app_queue_refresh (GTK_WIDGET (self), &self->refresh, refresh);
}

static void
on_wearer (GtkEditable *entry, AppBodyRoom *self)
{
  if (self->session == NULL || self->filling)
    return;
  ModelDocument *doc = app_session_document (self->session);
  const char *text = gtk_editable_get_text (entry);
  if (strcmp (text, doc->head->wearer) == 0)
    return;
  ModelHead *head = model_head_copy (doc->head);
  g_free (head->wearer);
  head->wearer = g_strdup (text);
  ModelHistory *history = app_session_history (self->session);
  model_history_begin (history, _ ("Name the wearer"));
  model_history_put_head (history, head);
  model_history_end (history);
}

static void
on_wearer_left (GtkEventControllerFocus *focus, AppBodyRoom *self)
{
  on_wearer (GTK_EDITABLE (self->wearer), self);
}

void
app_body_room_set_session (AppBodyRoom *self, AppSession *session)
{
  if (self->session == session)
    return;
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  app_body_figure_set_document (APP_BODY_FIGURE (self->figure), NULL);
  g_set_object (&self->session, session);
  app_measures_pane_set_session (APP_MEASURES_PANE (self->list), session);
  if (session == NULL)
    return;
  g_signal_connect_swapped (session, "settled", G_CALLBACK (queue_refresh), self);
  g_signal_connect_swapped (session, "selection-changed", G_CALLBACK (queue_refresh), self);
  queue_refresh (self);
}

/* ---- building ---- */

static GtkWidget *
build_side (AppBodyRoom *self)
{
  GtkWidget *inner = gtk_box_new (GTK_ORIENTATION_VERTICAL, 12);
  gtk_widget_set_margin_start (inner, 16);
  gtk_widget_set_margin_end (inner, 16);
  gtk_widget_set_margin_top (inner, 16);
  gtk_widget_set_margin_bottom (inner, 16);
  GtkWidget *line = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  self->sign = gtk_image_new ();
  self->heading = app_prose_new ("", "pw-heading");
  gtk_box_append (GTK_BOX (line), self->sign);
  gtk_box_append (GTK_BOX (line), self->heading);
  gtk_box_append (GTK_BOX (inner), line);
  self->findings = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8);
  gtk_box_append (GTK_BOX (inner), self->findings);
  self->how_card = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);
  app_add_classes (self->how_card, "pw-card");
  self->how_title = app_label_new ("", "pw-strong");
  self->how = app_prose_new ("", NULL);
  self->how_source = app_prose_new ("", "pw-small pw-dim");
  gtk_box_append (GTK_BOX (self->how_card), self->how_title);
  gtk_box_append (GTK_BOX (self->how_card), self->how);
  gtk_box_append (GTK_BOX (self->how_card), self->how_source);
  gtk_box_append (GTK_BOX (inner), self->how_card);
  self->lines = app_body_lines_new ();
  gtk_box_append (GTK_BOX (inner), self->lines);
  GtkWidget *caution = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
  gtk_widget_set_margin_top (caution, 12);
  gtk_box_append (GTK_BOX (caution), app_label_new (_ ("When you wrap a person"), "pw-strong"));
  gtk_box_append (GTK_BOX (caution),
                  app_prose_new (_ ("Never the neck or the face, never alone; scissors at hand, the blunt "
                                    "blade to the skin. Stop when breathing or circulation is hindered."),
                                 "pw-dim"));
  gtk_box_append (GTK_BOX (inner), caution);
  GtkWidget *scroll = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scroll), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scroll), inner);
  gtk_widget_set_size_request (scroll, SIDE_PX, -1);
  gtk_widget_set_hexpand (scroll, FALSE);
  app_add_classes (scroll, "pw-side pw-side-right");
  return scroll;
}

static GtkWidget *
build_rail (AppBodyRoom *self)
{
  GtkWidget *rail = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 12);
  app_add_classes (rail, "pw-rail");
  gtk_widget_set_size_request (rail, -1, 66);
  GtkWidget *caption = app_label_new (_ ("Measured on"), "pw-strong");
  gtk_widget_set_margin_start (caption, 16);
  gtk_box_append (GTK_BOX (rail), caption);
  self->wearer = gtk_entry_new ();
  gtk_widget_set_valign (self->wearer, GTK_ALIGN_CENTER);
  gtk_editable_set_width_chars (GTK_EDITABLE (self->wearer), 22);
  gtk_entry_set_placeholder_text (GTK_ENTRY (self->wearer), _ ("wearer A"));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->wearer), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("Wearer"),
                                  -1);
  g_signal_connect (self->wearer, "activate", G_CALLBACK (on_wearer), self);
  GtkEventController *focus = gtk_event_controller_focus_new ();
  g_signal_connect (focus, "leave", G_CALLBACK (on_wearer_left), self);
  gtk_widget_add_controller (self->wearer, focus);
  gtk_box_append (GTK_BOX (rail), self->wearer);
  GtkWidget *say
    = app_label_new (_ ("Stand easy, arms down; the tape lies flat and does not pull."), "pw-dim");
  gtk_widget_set_hexpand (say, TRUE);
  gtk_box_append (GTK_BOX (rail), say);
  GtkWidget *refit = app_button_new (_ ("Fit to another wearer…"), "pw-plain", "win.refit");
  gtk_widget_set_valign (refit, GTK_ALIGN_CENTER);
  gtk_widget_set_margin_end (refit, 16);
  gtk_widget_set_tooltip_text (refit, _ ("Fit to another wearer. What their measures ask of the panels, "
                                         "previewed before it is taken. Ctrl+Shift+B"));
  gtk_box_append (GTK_BOX (rail), refit);
  return rail;
}

static void
app_body_room_measure (GtkWidget *widget,
                       GtkOrientation orientation,
                       int for_size,
                       int *minimum,
                       int *natural,
                       int *minimum_baseline,
                       int *natural_baseline)
{
  gtk_widget_measure (APP_BODY_ROOM (widget)->root, orientation, for_size, minimum, natural, minimum_baseline,
                      natural_baseline);
  /* With the list at its narrow width. */
  if (orientation == GTK_ORIENTATION_HORIZONTAL && !APP_BODY_ROOM (widget)->narrow)
    *minimum = MAX (*minimum - (LIST_PX - LIST_NARROW_PX), 0);
}

/* A request made while sizes are given out would be lost: it waits for the next layout. */
static gboolean
follow_size (gpointer user)
{
  AppBodyRoom *self = user;
  self->follow_queued = false;
  gtk_widget_set_size_request (self->list, self->narrow ? LIST_NARROW_PX : LIST_PX, -1);
  return G_SOURCE_REMOVE;
}

static void
app_body_room_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  AppBodyRoom *self = APP_BODY_ROOM (widget);
  if (self->narrow != (width < NARROW_PX))
  {
    self->narrow = !self->narrow;
    if (!self->follow_queued)
      g_idle_add_full (GDK_PRIORITY_REDRAW - 10, follow_size, g_object_ref (self), g_object_unref);
    self->follow_queued = true;
  }
  gtk_widget_allocate (self->root, width, height, baseline, NULL);
}

static void
app_body_room_dispose (GObject *object)
{
  AppBodyRoom *self = APP_BODY_ROOM (object);
  if (self->figure != NULL)
    app_body_room_set_session (self, NULL);
  self->figure = NULL;
  g_clear_pointer (&self->root, gtk_widget_unparent);
  G_OBJECT_CLASS (app_body_room_parent_class)->dispose (object);
}

static void
app_body_room_class_init (AppBodyRoomClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  G_OBJECT_CLASS (klass)->dispose = app_body_room_dispose;
  widget_class->measure = app_body_room_measure;
  widget_class->size_allocate = app_body_room_size_allocate;
  gtk_widget_class_set_css_name (widget_class, "pwbody");
}

static void
app_body_room_init (AppBodyRoom *self)
{
  self->root = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget *line = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);
  gtk_widget_set_vexpand (line, TRUE);
  self->list = app_measures_pane_new ();
  app_add_classes (self->list, "pw-side pw-side-left");
  gtk_widget_set_size_request (self->list, LIST_PX, -1);
  gtk_widget_set_hexpand (self->list, FALSE);
  self->figure = app_body_figure_new (true);
  gtk_widget_set_hexpand (self->figure, TRUE);
  gtk_box_append (GTK_BOX (line), self->list);
  gtk_box_append (GTK_BOX (line), self->figure);
  self->side = build_side (self);
  gtk_box_append (GTK_BOX (line), self->side);
  gtk_box_append (GTK_BOX (self->root), line);
  gtk_box_append (GTK_BOX (self->root), build_rail (self));
  gtk_widget_set_parent (self->root, GTK_WIDGET (self));
}

GtkWidget *
app_body_room_new (void)
{
  return g_object_new (APP_TYPE_BODY_ROOM, NULL);
}
