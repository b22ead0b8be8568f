/* The remedies are worked out anew whenever the finding is opened or its numbers change; the chosen one is
 * given to the session as a preview.  Nothing is changed before it is taken. */
#include "app/finding-card.h"

#include "app/label.h"
#include "app/theme.h"

#include <glib/gi18n.h>

#define MOST_REMEDIES 6
#define COLUMNS 3

/* ---- a piece of the preview's line, for the legend ---- */

#define APP_TYPE_PREVIEW_RULE (app_preview_rule_get_type ())
G_DECLARE_FINAL_TYPE (AppPreviewRule, app_preview_rule, APP, PREVIEW_RULE, GtkWidget)

struct _AppPreviewRule
{
  GtkWidget parent;
};

G_DEFINE_FINAL_TYPE (AppPreviewRule, app_preview_rule, GTK_TYPE_WIDGET)

static void
app_preview_rule_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  /* Long, short, long, short: as on the canvas. */
  static const float dashes[][2] = { { 0, 9 }, { 12, 2 }, { 17, 9 }, { 29, 2 } };
  const OutputColour *c = &app_theme_tones ()[OUTPUT_TONE_PLUM];
  GdkRGBA plum = { (float)c->red, (float)c->green, (float)c->blue, 1.0F };
  float y = (float)gtk_widget_get_height (widget) / 2.0F - 1.0F;
  for (guint i = 0; i < G_N_ELEMENTS (dashes); i++)
    gtk_snapshot_append_color (snapshot, &plum, &GRAPHENE_RECT_INIT (dashes[i][0], y, dashes[i][1], 2));
}

static void
app_preview_rule_class_init (AppPreviewRuleClass *klass)
{
  GTK_WIDGET_CLASS (klass)->snapshot = app_preview_rule_snapshot;
}

static void
app_preview_rule_init (AppPreviewRule *self)
{
  gtk_widget_set_size_request (GTK_WIDGET (self), 34, 4);
}

/* ---- the card ---- */

struct _AppFindingCard
{
  GtkWidget parent;
  AppSession *session;
  GPtrArray *remedies; /* EngineRemedy */
  GPtrArray *buttons;  /* GtkCheckButton, in the grid */
  GtkWidget *group;    /* never shown: makes even a single choice look like one of several */
  guint chosen;
  bool open, filling;
  GtkWidget *box, *title, *place, *detail, *choices, *rule, *legend, *leave, *take;
};

G_DEFINE_FINAL_TYPE (AppFindingCard, app_finding_card, GTK_TYPE_WIDGET)

static guint shown_signal;

static void
preview_chosen (AppFindingCard *self)
{
  if (self->chosen < self->remedies->len)
    app_session_preview (self->session,
                         engine_remedy_copy (g_ptr_array_index (self->remedies, self->chosen)));
}

static void
on_choice (GtkCheckButton *button, AppFindingCard *self)
{
  guint index;
  if (self->filling || !gtk_check_button_get_active (button)
      || !g_ptr_array_find (self->buttons, button, &index) || index == self->chosen)
    return;
  self->chosen = index;
  preview_chosen (self);
}

static GtkWidget *
choice_new (const EngineRemedy *remedy)
{
  GtkWidget *button = gtk_check_button_new ();
  app_add_classes (button, "pw-choice");
  GtkWidget *words = gtk_box_new (GTK_ORIENTATION_VERTICAL, 1);
  gtk_widget_set_margin_start (words, 4);
  gtk_widget_set_valign (words, GTK_ALIGN_CENTER);
  GtkWidget *text = app_prose_new (remedy->text, "pw-strong pw-number");
  gtk_label_set_width_chars (GTK_LABEL (text), 14);
  gtk_label_set_max_width_chars (GTK_LABEL (text), 22);
  gtk_box_append (GTK_BOX (words), text);
  if (remedy->detail != NULL && remedy->detail[0] != '\0')
    gtk_box_append (GTK_BOX (words), app_prose_new (remedy->detail, "pw-small pw-dim pw-number"));
  gtk_check_button_set_child (GTK_CHECK_BUTTON (button), words);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, remedy->text, -1);
  return button;
}

static void
fill_choices (AppFindingCard *self)
{
  self->filling = true;
  for (guint i = 0; i < self->buttons->len; i++)
    gtk_grid_remove (GTK_GRID (self->choices), g_ptr_array_index (self->buttons, i));
  g_ptr_array_set_size (self->buttons, 0);
  int columns = self->remedies->len == 4 ? 2 : COLUMNS;
  for (guint i = 0; i < self->remedies->len; i++)
  {
    GtkWidget *button = choice_new (g_ptr_array_index (self->remedies, i));
    gtk_check_button_set_group (GTK_CHECK_BUTTON (button), GTK_CHECK_BUTTON (self->group));
    g_signal_connect (button, "toggled", G_CALLBACK (on_choice), self);
    g_ptr_array_add (self->buttons, button);
    gtk_grid_attach (GTK_GRID (self->choices), button, (int)i % columns, (int)i / columns, 1, 1);
  }
  if (self->buttons->len > 0)
    gtk_check_button_set_active (GTK_CHECK_BUTTON (g_ptr_array_index (self->buttons, self->chosen)), TRUE);
  self->filling = false;
}

void
app_finding_card_number (AppFindingCard *self, guint at, guint count)
{
  g_autofree char *words = at > 0 && count > 1 ? g_strdup_printf (_ ("%u of %u"), at, count) : g_strdup ("");
  app_label_set (self->place, words);
}

static void
show_finding (AppFindingCard *self, bool same)
{
  const EngineFinding *finding = &app_session_selection (self->session)->finding;
  EngineReview *review = app_session_review (self->session);
  g_autofree char *title = engine_finding_text (review, finding);
  g_autofree char *detail = engine_finding_detail (review, finding);
  app_label_set (self->title, title);
  app_label_set (self->detail, detail);
  gtk_widget_set_visible (self->detail, detail != NULL && detail[0] != '\0');

  g_clear_pointer (&self->remedies, g_ptr_array_unref);
  self->remedies = engine_finding_remedies (review, finding);
  if (self->remedies->len > MOST_REMEDIES)
    g_ptr_array_set_size (self->remedies, MOST_REMEDIES);
  if (!same || self->chosen >= self->remedies->len)
    self->chosen = 0;
  fill_choices (self);
  bool any = self->remedies->len > 0;
  gtk_widget_set_halign (self->choices, self->remedies->len < COLUMNS ? GTK_ALIGN_START : GTK_ALIGN_FILL);
  gtk_widget_set_visible (self->choices, any);
  gtk_widget_set_visible (self->rule, any);
  gtk_widget_set_visible (self->take, any);
  g_autofree char *legend = any ? g_strdup (_ ("shown as a preview; nothing is changed yet"))
                                : engine_finding_why_none (review, finding);
  app_label_set (self->legend, legend);
  preview_chosen (self);
}

static void
on_selection (AppFindingCard *self)
{
  bool open = app_session_selection (self->session)->has_finding;
  bool was = self->open;
  self->open = open;
  if (open)
    show_finding (self, false);
  else
  {
    /* A remedy being taken is held by its own reference to the old array. */
    g_ptr_array_unref (self->remedies);
    self->remedies = g_ptr_array_new_with_free_func ((GDestroyNotify)engine_remedy_free);
  }
  if (open || was)
    g_signal_emit (self, shown_signal, 0, (gboolean)open);
}

void
app_finding_card_set_session (AppFindingCard *self, AppSession *session)
{
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_set_object (&self->session, session);
  self->open = false;
  if (session != NULL)
  {
    g_signal_connect_swapped (session, "selection-changed", G_CALLBACK (on_selection), self);
    on_selection (self);
  }
}

bool
app_finding_card_is_open (AppFindingCard *self)
{
  return self->open;
}

guint
app_finding_card_remedy_count (AppFindingCard *self)
{
  return self->remedies->len;
}

guint
app_finding_card_chosen (AppFindingCard *self)
{
  return self->chosen;
}

void
app_finding_card_step (AppFindingCard *self, int step)
{
  guint count = self->buttons->len;
  if (!self->open || count == 0)
    return;
  guint next = (guint)((int)self->chosen + step + (int)count) % count;
  gtk_check_button_set_active (GTK_CHECK_BUTTON (g_ptr_array_index (self->buttons, next)), TRUE);
}

void
app_finding_card_take (AppFindingCard *self)
{
  if (!self->open || self->chosen >= self->remedies->len)
    return;
  g_autoptr (GPtrArray) held = g_ptr_array_ref (self->remedies);
  app_session_take_remedy (self->session, g_ptr_array_index (held, self->chosen));
}

void
app_finding_card_leave (AppFindingCard *self)
{
  if (self->open)
    app_session_select_none (self->session);
}

bool
app_finding_card_key (AppFindingCard *self, guint keyval)
{
  if (!self->open)
    return false;
  switch (keyval)
  {
  case GDK_KEY_Up:
  case GDK_KEY_KP_Up:
    app_finding_card_step (self, -1);
    return true;
  case GDK_KEY_Down:
  case GDK_KEY_KP_Down:
    app_finding_card_step (self, 1);
    return true;
  case GDK_KEY_Return:
  case GDK_KEY_KP_Enter:
    app_finding_card_take (self);
    return true;
  case GDK_KEY_Escape:
    app_finding_card_leave (self);
    return true;
  default:
    return false;
  }
}

static void
app_finding_card_dispose (GObject *object)
{
  AppFindingCard *self = APP_FINDING_CARD (object);
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_clear_object (&self->session);
  g_clear_pointer (&self->remedies, g_ptr_array_unref);
  g_clear_pointer (&self->buttons, g_ptr_array_unref);
  g_clear_pointer (&self->box, gtk_widget_unparent);
  g_clear_object (&self->group);
  G_OBJECT_CLASS (app_finding_card_parent_class)->dispose (object);
}

static void
app_finding_card_class_init (AppFindingCardClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_finding_card_dispose;
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  g_type_ensure (APP_TYPE_PREVIEW_RULE);
  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, APP_RESOURCE "ui/finding-card.ui");
  gtk_widget_class_bind_template_child (widget_class, AppFindingCard, box);
  gtk_widget_class_bind_template_child (widget_class, AppFindingCard, title);
  gtk_widget_class_bind_template_child (widget_class, AppFindingCard, place);
  gtk_widget_class_bind_template_child (widget_class, AppFindingCard, detail);
  gtk_widget_class_bind_template_child (widget_class, AppFindingCard, choices);
  gtk_widget_class_bind_template_child (widget_class, AppFindingCard, rule);
  gtk_widget_class_bind_template_child (widget_class, AppFindingCard, legend);
  gtk_widget_class_bind_template_child (widget_class, AppFindingCard, leave);
  gtk_widget_class_bind_template_child (widget_class, AppFindingCard, take);
  shown_signal = g_signal_new ("shown", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                               G_TYPE_NONE, 1, G_TYPE_BOOLEAN);
}

static void
app_finding_card_init (AppFindingCard *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  self->remedies = g_ptr_array_new_with_free_func ((GDestroyNotify)engine_remedy_free);
  self->buttons = g_ptr_array_new ();
  self->group = g_object_ref_sink (gtk_check_button_new ());
  g_signal_connect_swapped (self->leave, "clicked", G_CALLBACK (app_finding_card_leave), self);
  g_signal_connect_swapped (self->take, "clicked", G_CALLBACK (app_finding_card_take), self);
}

GtkWidget *
app_finding_card_new (void)
{
  return g_object_new (APP_TYPE_FINDING_CARD, NULL);
}
