/* Both drawings are snapshots of a few rectangles, so that three hundred of them in a list cost next to
 * nothing.
 *
 *      |=====.=====.=====.===            first
 *      |=====.=====.=====.=====##        second, with its overhang
 */
#include "app/tapes.h"

#include "app/theme.h"

#include <math.h>

#define BAR_PX 8.0
#define GAP_PX 2.0
#define START_PX 2.0      /* the upright both tapes start at */
#define START_OVER_PX 2.0 /* how far it stands out above and below */
#define TICK_LEAST_PX 7.0 /* ticks nearer than this run together */
#define OVERHANG_LEAST_PX 3.0
#define LETTER_PX 22

struct _AppTapes
{
  GtkWidget parent;
  AppTapesShown shown;
};

G_DEFINE_FINAL_TYPE (AppTapes, app_tapes, GTK_TYPE_WIDGET)

static GdkRGBA
tone (OutputTone which)
{
  const OutputColour *c = &app_theme_tones ()[which];
  return (GdkRGBA) { (float)c->red, (float)c->green, (float)c->blue, (float)c->alpha };
}

static void
fill (GtkSnapshot *snapshot, GdkRGBA colour, double x, double y, double width, double height)
{
  if (width > 0 && height > 0)
    gtk_snapshot_append_color (snapshot, &colour,
                               &GRAPHENE_RECT_INIT ((float)x, (float)y, (float)width, (float)height));
}

/* Ticks of a tape: 10 mm, or the next coarser step that can be told apart. */
static double
tick_step_mm (double px_per_mm)
{
  static const double steps[] = { 10, 20, 50, 100, 200, 500, 1000 };
  for (guint i = 0; i < G_N_ELEMENTS (steps); i++)
    if (steps[i] * px_per_mm >= TICK_LEAST_PX)
      return steps[i];
  return INFINITY;
}

static void
draw_bar (GtkSnapshot *snapshot, GdkRGBA colour, GdkRGBA tick, double y, double length_px, double step_px)
{
  fill (snapshot, colour, START_PX, y, length_px, BAR_PX);
  for (double x = step_px; x < length_px - 1.0; x += step_px)
    fill (snapshot, tick, START_PX + floor (x), y, 1, BAR_PX / 2 - 1);
}

static void
app_tapes_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  AppTapes *self = APP_TAPES (widget);
  const AppTapesShown *s = &self->shown;
  double room = gtk_widget_get_width (widget) - START_PX - OVERHANG_LEAST_PX;
  double top = floor ((gtk_widget_get_height (widget) - 2 * BAR_PX - GAP_PX) / 2);
  double longest = fmax (s->longest_mm, fmax (s->first_mm, s->second_mm));
  if (room <= 0 || !(longest > 0))
    return;
  double k = room / longest;
  double first = s->first_mm * k, second = s->second_mm * k;
  double step = tick_step_mm (k) * k;
  double second_y = top + BAR_PX + GAP_PX;

  GdkRGBA card = tone (OUTPUT_TONE_CARD), madder = tone (OUTPUT_TONE_MADDER);
  draw_bar (snapshot, tone (s->lit ? OUTPUT_TONE_BLUE : OUTPUT_TONE_INK_2), card, top, first, step);
  draw_bar (snapshot, tone (s->lit ? OUTPUT_TONE_OCHRE : OUTPUT_TONE_INK_3), card, second_y, second, step);

  /* What is not wanted hangs over; what is wanted (ease) is the second tape's own colour, set off by a gap.
   */
  double wanted_end = fmax (0.0, (s->first_mm + s->wanted_mm) * k);
  if (s->wanted_mm > 0 && second > first)
    fill (snapshot, card, START_PX + first, second_y, 1, BAR_PX);
  if (!s->holds && isfinite (wanted_end))
  {
    double from = fmin (second, wanted_end), over = fmax (OVERHANG_LEAST_PX, fabs (second - wanted_end));
    bool first_hangs = second < wanted_end && s->first_mm > s->second_mm;
    double y = first_hangs ? top : second_y;
    from = fmin (from, START_PX + room + OVERHANG_LEAST_PX - over - START_PX);
    fill (snapshot, card, START_PX + from - 1, y, 1, BAR_PX);
    fill (snapshot, madder, START_PX + from, y - 1, over, BAR_PX + 2);
  }
  fill (snapshot, tone (OUTPUT_TONE_INK), 0, top - START_OVER_PX, START_PX,
        2 * BAR_PX + GAP_PX + 2 * START_OVER_PX);
}

static void
app_tapes_measure (GtkWidget *widget,
                   GtkOrientation orientation,
                   int for_size,
                   int *minimum,
                   int *natural,
                   int *minimum_baseline,
                   int *natural_baseline)
{
  bool across = orientation == GTK_ORIENTATION_HORIZONTAL;
  *minimum = across ? 40 : (int)(2 * BAR_PX + GAP_PX + 2 * START_OVER_PX);
  *natural = across ? 180 : *minimum;
}

static void
app_tapes_class_init (AppTapesClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  widget_class->snapshot = app_tapes_snapshot;
  widget_class->measure = app_tapes_measure;
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
app_tapes_init (AppTapes *self)
{
  self->shown.holds = true;
}

GtkWidget *
app_tapes_new (void)
{
  return g_object_new (APP_TYPE_TAPES, NULL);
}

static bool
same_shown (const AppTapesShown *a, const AppTapesShown *b)
{
  return a->first_mm == b->first_mm && a->second_mm == b->second_mm && a->wanted_mm == b->wanted_mm
         && a->longest_mm == b->longest_mm && a->lit == b->lit && a->holds == b->holds;
}

void
app_tapes_show (AppTapes *self, const AppTapesShown *shown)
{
  if (same_shown (&self->shown, shown))
    return;
  self->shown = *shown;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

/* ---- the letter ---- */

struct _AppLetter
{
  GtkWidget parent;
  char *letter;
};

G_DEFINE_FINAL_TYPE (AppLetter, app_letter, GTK_TYPE_WIDGET)

static void
app_letter_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  AppLetter *self = APP_LETTER (widget);
  if (self->letter == NULL || self->letter[0] == '\0')
    return;
  float side = LETTER_PX;
  float x = ((float)gtk_widget_get_width (widget) - side) / 2.0F,
        y = ((float)gtk_widget_get_height (widget) - side) / 2.0F;
  GdkRGBA ink = tone (OUTPUT_TONE_INK), card = tone (OUTPUT_TONE_CARD);
  graphene_rect_t box = GRAPHENE_RECT_INIT (x, y, side, side);
  GskRoundedRect disc;
  gsk_rounded_rect_init_from_rect (&disc, &box, side / 2.0F);
  gtk_snapshot_push_rounded_clip (snapshot, &disc);
  gtk_snapshot_append_color (snapshot, &ink, &box);
  /* The halves lie on the two edges; the cut between them shows above and below the letter. */
  fill (snapshot, card, x + side / 2.0F - 0.5F, y, 1, 3);
  fill (snapshot, card, x + side / 2.0F - 0.5F, y + side - 3, 1, 3);
  gtk_snapshot_pop (snapshot);

  g_autoptr (PangoLayout) layout = gtk_widget_create_pango_layout (widget, self->letter);
  PangoAttrList *attrs = pango_attr_list_new ();
  pango_attr_list_insert (attrs, pango_attr_weight_new (PANGO_WEIGHT_BOLD));
  pango_attr_list_insert (
    attrs,
    pango_attr_size_new_absolute (g_utf8_strlen (self->letter, -1) > 1 ? 9 * PANGO_SCALE : 11 * PANGO_SCALE));
  pango_layout_set_attributes (layout, attrs);
  pango_attr_list_unref (attrs);
  int width, height;
  pango_layout_get_pixel_size (layout, &width, &height);
  gtk_snapshot_save (snapshot);
  gtk_snapshot_translate (
    snapshot, &GRAPHENE_POINT_INIT (x + (side - (float)width) / 2.0F, y + (side - (float)height) / 2.0F));
  gtk_snapshot_append_layout (snapshot, layout, &card);
  gtk_snapshot_restore (snapshot);
}

static void
app_letter_measure (GtkWidget *widget,
                    GtkOrientation orientation,
                    int for_size,
                    int *minimum,
                    int *natural,
                    int *minimum_baseline,
                    int *natural_baseline)
{
  *minimum = *natural = LETTER_PX;
}

static void
app_letter_finalize (GObject *object)
{
  g_free (APP_LETTER (object)->letter);
  G_OBJECT_CLASS (app_letter_parent_class)->finalize (object);
}

static void
app_letter_class_init (AppLetterClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = app_letter_finalize;
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  widget_class->snapshot = app_letter_snapshot;
  widget_class->measure = app_letter_measure;
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
app_letter_init (AppLetter *self)
{
}

GtkWidget *
app_letter_new (void)
{
  return g_object_new (APP_TYPE_LETTER, NULL);
}

void
app_letter_show (AppLetter *self, const char *letter)
{
  if (g_strcmp0 (self->letter, letter) == 0)
    return;
  g_free (self->letter);
  self->letter = g_strdup (letter);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  letter != NULL ? letter : "", -1);
  gtk_widget_queue_draw (GTK_WIDGET (self));
}
