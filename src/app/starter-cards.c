/* A layout of its own: the start view must be able to become narrower than five cards. */
#include "app/starter-cards.h"

#include "app/label.h"
#include "app/starter-sheet.h"
#include "app/thumb.h"

#include <glib/gi18n.h>

#define GAP_PX 16
#define LEAST_PX 148 /* of a card while all lie in one row */
#define THUMB_PX 100

/* The first choice of the tube: engine/starter-tube.c; the test checks the words it stands for. */
static const AppStarterCard cards[] = {
  { &engine_starter_tube, 0, N_ ("Bracer"), N_ ("a tube that tapers") },
  { &engine_starter_collar, 0, N_ ("Collar"), N_ ("standing, on the fold") },
  { &engine_starter_torso, 0, N_ ("Torso"), N_ ("a jerkin: front, side, back") },
  { &engine_starter_tube, 1, N_ ("Greave"), N_ ("shin, over the calf") },
  { &engine_starter_strap, 0, N_ ("Strap"), N_ ("buckle end and tip") },
};
#define CARDS ((int)G_N_ELEMENTS (cards))
#define NARROW_COLUMNS 3

struct _AppStarterCards
{
  GtkWidget parent;
  GtkWidget *button[G_N_ELEMENTS (cards)];
};

G_DEFINE_FINAL_TYPE (AppStarterCards, app_starter_cards, GTK_TYPE_WIDGET)

static void
on_clicked (GtkWidget *button, const AppStarterCard *card)
{
  GtkRoot *root = gtk_widget_get_root (button);
  if (APP_IS_WINDOW (root))
    app_starter_sheet_show (APP_WINDOW (root), card->starter, card->first_choice);
}

static GtkWidget *
card_new (const AppStarterCard *card)
{
  double values[ENGINE_STARTER_VALUES];
  engine_starter_defaults_for (card->starter, card->first_choice, values);
  GtkWidget *button = gtk_button_new ();
  app_add_classes (button, "pw-start-card");
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget *thumb
    = app_thumb_new (engine_starter_make (card->starter, values, NULL), LEAST_PX - 20, THUMB_PX);
  app_add_classes (thumb, "pw-start-scrap");
  gtk_box_append (GTK_BOX (box), thumb);
  GtkWidget *name = app_label_new (_ (card->name), "pw-heading"),
            *text = app_prose_new (_ (card->text), "pw-dim pw-small");
  gtk_label_set_width_chars (GTK_LABEL (text), 12);
  gtk_label_set_max_width_chars (GTK_LABEL (text), 22);
  GtkWidget *const lines[] = { name, text };
  for (guint i = 0; i < G_N_ELEMENTS (lines); i++)
  {
    gtk_widget_set_margin_start (lines[i], 14);
    gtk_widget_set_margin_end (lines[i], 14);
    gtk_box_append (GTK_BOX (box), lines[i]);
  }
  gtk_widget_set_margin_top (name, 7);
  gtk_widget_set_margin_bottom (text, 10);
  gtk_button_set_child (GTK_BUTTON (button), box);
  g_autofree char *label = g_strdup_printf ("%s, %s", _ (card->name), _ (card->text));
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
  g_signal_connect (button, "clicked", G_CALLBACK (on_clicked), (gpointer)card);
  return button;
}

/* ---- layout ---- */

static int
columns_at (int width)
{
  return width < CARDS * LEAST_PX + (CARDS - 1) * GAP_PX ? NARROW_COLUMNS : CARDS;
}

static int
card_width (int width)
{
  int columns = columns_at (width);
  return MAX ((width - (columns - 1) * GAP_PX) / columns, 1);
}

static int
card_height (AppStarterCards *self, int width)
{
  int most = 0;
  for (int i = 0; i < CARDS; i++)
  {
    int natural = 0;
    gtk_widget_measure (self->button[i], GTK_ORIENTATION_VERTICAL, width, NULL, &natural, NULL, NULL);
    most = MAX (most, natural);
  }
  return most;
}

static GtkSizeRequestMode
app_starter_cards_get_request_mode (GtkWidget *widget)
{
  return GTK_SIZE_REQUEST_HEIGHT_FOR_WIDTH;
}

static void
app_starter_cards_measure (GtkWidget *widget,
                           GtkOrientation orientation,
                           int for_size,
                           int *minimum,
                           int *natural,
                           int *minimum_baseline,
                           int *natural_baseline)
{
  AppStarterCards *self = APP_STARTER_CARDS (widget);
  if (orientation == GTK_ORIENTATION_HORIZONTAL)
  {
    int least = 0;
    for (int i = 0; i < CARDS; i++)
    {
      int own = 0;
      gtk_widget_measure (self->button[i], orientation, -1, &own, NULL, NULL, NULL);
      least = MAX (least, own);
    }
    *minimum = NARROW_COLUMNS * least + (NARROW_COLUMNS - 1) * GAP_PX;
    *natural = MAX (*minimum, CARDS * LEAST_PX + (CARDS - 1) * GAP_PX);
    return;
  }
  int width = for_size >= 0 ? for_size : CARDS * LEAST_PX + (CARDS - 1) * GAP_PX,
      columns = columns_at (width);
  int rows = (CARDS + columns - 1) / columns;
  *minimum = *natural = rows * card_height (self, card_width (width)) + (rows - 1) * GAP_PX;
}

static void
app_starter_cards_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  AppStarterCards *self = APP_STARTER_CARDS (widget);
  bool mirrored = gtk_widget_get_direction (widget) == GTK_TEXT_DIR_RTL;
  int columns = columns_at (width), across = card_width (width), up = card_height (self, across);
  for (int i = 0; i < CARDS; i++)
  {
    int column = mirrored ? columns - 1 - i % columns : i % columns;
    GtkAllocation place = { column * (across + GAP_PX), i / columns * (up + GAP_PX), across, up };
    gtk_widget_size_allocate (self->button[i], &place, -1);
  }
}

static void
app_starter_cards_dispose (GObject *object)
{
  AppStarterCards *self = APP_STARTER_CARDS (object);
  for (int i = 0; i < CARDS; i++)
    g_clear_pointer (&self->button[i], gtk_widget_unparent);
  G_OBJECT_CLASS (app_starter_cards_parent_class)->dispose (object);
}

static void
app_starter_cards_class_init (AppStarterCardsClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_starter_cards_dispose;
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  widget_class->get_request_mode = app_starter_cards_get_request_mode;
  widget_class->measure = app_starter_cards_measure;
  widget_class->size_allocate = app_starter_cards_size_allocate;
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_GROUP);
}

static void
app_starter_cards_init (AppStarterCards *self)
{
  for (int i = 0; i < CARDS; i++)
  {
    self->button[i] = card_new (&cards[i]);
    gtk_widget_set_parent (self->button[i], GTK_WIDGET (self));
  }
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("From measures"),
                                  -1);
}

const AppStarterCard *
app_starter_card_table (guint *count)
{
  *count = G_N_ELEMENTS (cards);
  return cards;
}

GtkWidget *
app_starter_cards_new (void)
{
  return g_object_new (APP_TYPE_STARTER_CARDS, NULL);
}

guint
app_starter_cards_count (AppStarterCards *self)
{
  return CARDS;
}

GtkWidget *
app_starter_cards_button (AppStarterCards *self, guint index)
{
  g_return_val_if_fail (index < CARDS, NULL);
  return self->button[index];
}
