/* Paper seen from above.  Plan coordinates are mm, y down, like the widget's. */
#include "app/page-map.h"

#include "app/theme.h"
#include "output/draw.h"

#include <glib/gi18n.h>

#define NAME_PX 13.0
#define LEAST_NAME_PX 11.0
#define LEAST_LETTERS 3
#define LEFT_PX 28.0 /* room for row letters */
#define TOP_PX 28.0  /* and column figures */
#define PAD_PX 16.0

struct _AppPageMap
{
  GtkWidget parent;
  ModelDocument *doc;
  const EngineSheetPlan *plan;
  int chosen;
};

G_DEFINE_FINAL_TYPE (AppPageMap, app_page_map, GTK_TYPE_WIDGET)

static guint signal_chosen;

typedef struct Fit
{
  double scale, x0, y0; /* px = x0 + scale * mm */
} Fit;

/* Tiles overlap: a step is a field less the glue zone. */
static double
step_x (const EngineSheetPlan *plan)
{
  return plan->field_width_mm - plan->overlap_mm;
}

static double
step_y (const EngineSheetPlan *plan)
{
  return plan->field_height_mm - plan->overlap_mm;
}

static Fit
fit (AppPageMap *self)
{
  const EngineSheetPlan *plan = self->plan;
  double width = step_x (plan) * plan->columns + plan->overlap_mm,
         height = step_y (plan) * plan->rows + plan->overlap_mm;
  double room_x = MAX (gtk_widget_get_width (GTK_WIDGET (self)) - LEFT_PX - PAD_PX, 20);
  double room_y = MAX (gtk_widget_get_height (GTK_WIDGET (self)) - TOP_PX - PAD_PX, 20);
  double scale = MIN (room_x / width, room_y / height);
  return (Fit) { scale, LEFT_PX + (room_x - scale * width) / 2, TOP_PX };
}

static const EngineTile *
tile_at (const EngineSheetPlan *plan, int index)
{
  return &g_array_index (plan->tiles, EngineTile, (guint)index);
}

static int
find_tile (const EngineSheetPlan *plan, int row, int column)
{
  for (guint i = 0; i < plan->tiles->len; i++)
    if (tile_at (plan, (int)i)->row == row && tile_at (plan, (int)i)->column == column)
      return (int)i;
  return -1;
}

/* ---- drawing ---- */

static void
field_rectangle (cairo_t *cr, const EngineSheetPlan *plan, Fit at, int row, int column)
{
  cairo_rectangle (cr, at.x0 + at.scale * step_x (plan) * column, at.y0 + at.scale * step_y (plan) * row,
                   at.scale * plan->field_width_mm, at.scale * plan->field_height_mm);
}

static void
draw_empty_tiles (cairo_t *cr, const OutputInk *ink, const EngineSheetPlan *plan, Fit at)
{
  const double dash[] = { 4, 4 };
  for (int row = 0; row < plan->rows; row++)
    for (int column = 0; column < plan->columns; column++)
    {
      if (find_tile (plan, row, column) >= 0)
        continue;
      field_rectangle (cr, plan, at, row, column);
      output_set_tone (cr, ink, OUTPUT_TONE_INK_3);
      cairo_set_line_width (cr, 1);
      cairo_set_dash (cr, dash, 2, 0);
      cairo_stroke (cr);
      cairo_set_dash (cr, NULL, 0, 0);
      double width = 0, height = 0;
      output_measure_text (cr, 12, false, _ ("not printed"), &width, &height);
      if (width < at.scale * plan->field_width_mm - 8)
        output_draw_text (cr, ink, at.x0 + at.scale * (step_x (plan) * column + plan->field_width_mm / 2),
                          at.y0 + at.scale * (step_y (plan) * row + plan->field_height_mm / 2), 0, 12, false,
                          OUTPUT_TONE_INK_2, -1, _ ("not printed"));
    }
}

static void
draw_paper (cairo_t *cr, const OutputInk *ink, const EngineSheetPlan *plan, Fit at)
{
  for (guint i = 0; i < plan->tiles->len; i++)
  {
    const EngineTile *tile = tile_at (plan, (int)i);
    field_rectangle (cr, plan, at, tile->row, tile->column);
  }
  cairo_set_fill_rule (cr, CAIRO_FILL_RULE_WINDING);
  output_set_tone (cr, ink, OUTPUT_TONE_FACE);
  cairo_fill (cr);
}

static void
draw_pieces (AppPageMap *self, cairo_t *cr, const OutputInk *ink, Fit at)
{
  const EngineSheetPlan *plan = self->plan;
  OutputView view = { .to_device = { at.scale, 0, 0, at.scale, at.x0, at.y0 }, .scale = at.scale };
  for (guint i = 0; i < plan->placed->len; i++)
  {
    const EnginePlacedPiece *placed = g_ptr_array_index (plan->placed, i);
    output_trace_path (cr, &view, &placed->cut);
    OutputColour fill = ink->tone[OUTPUT_TONE_STEEL];
    cairo_set_source_rgba (cr, fill.red, fill.green, fill.blue, 0.45);
    cairo_fill_preserve (cr);
    output_set_tone (cr, ink, OUTPUT_TONE_INK);
    cairo_set_line_width (cr, 1.3);
    cairo_stroke (cr);
  }
}

/* The plate behind a sheet's name, in px. */
static graphene_rect_t
name_plate (
  cairo_t *cr, const EngineSheetPlan *plan, Fit at, const EngineTile *tile, const char *name, bool chosen)
{
  double width = 0, height = 0, inset = chosen ? 0 : 4;
  output_measure_text (cr, 12, true, name, &width, &height);
  return GRAPHENE_RECT_INIT ((float)(at.x0 + at.scale * step_x (plan) * tile->column + inset),
                             (float)(at.y0 + at.scale * step_y (plan) * tile->row + inset),
                             (float)(width + 12), (float)(height + 4));
}

/* Below the plates of the sheets it would touch. */
static double
clear_of_plates (AppPageMap *self, cairo_t *cr, Fit at, double x, double y, double width, double height)
{
  for (guint i = 0; i < self->plan->tiles->len; i++)
  {
    const EngineTile *tile = tile_at (self->plan, (int)i);
    g_autofree char *name = engine_tile_name (tile);
    graphene_rect_t plate = name_plate (cr, self->plan, at, tile, name, (int)i == self->chosen);
    graphene_rect_t text = GRAPHENE_RECT_INIT ((float)(x - width / 2 - 3), (float)(y - height / 2),
                                               (float)(width + 6), (float)height);
    if (graphene_rect_intersection (&plate, &text, NULL))
      y = plate.origin.y + plate.size.height + height / 2 + 2;
  }
  return y;
}

/* TEXT about the roomiest place of the piece, if it lies on the piece there. */
static bool
draw_on_piece (AppPageMap *self,
               cairo_t *cr,
               const OutputInk *ink,
               Fit at,
               const EnginePlacedPiece *placed,
               GeomPoint middle,
               double size,
               const char *text)
{
  double width, height;
  output_measure_text (cr, size, true, text, &width, &height);
  double x = at.x0 + at.scale * middle.x,
         y = clear_of_plates (self, cr, at, x, at.y0 + at.scale * middle.y, width, height);
  for (int i = -1; i <= 1; i++)
    for (int k = -1; k <= 1; k += 2)
    {
      GeomPoint corner
        = { (x + i * width / 2.0 - at.x0) / at.scale, (y + k * size / 2.0 - at.y0) / at.scale };
      if (!geom_path_contains (&placed->cut, corner))
        return false;
    }
  output_draw_text (cr, ink, x, y, 0, size, true, OUTPUT_TONE_INK, -1, text);
  return true;
}

/* As large as it fits, at last shortened. */
static void
draw_panel_name (AppPageMap *self,
                 cairo_t *cr,
                 const OutputInk *ink,
                 Fit at,
                 const EnginePlacedPiece *placed,
                 const char *name)
{
  GeomPoint middle = output_label_place (&placed->cut, NULL);
  for (double size = NAME_PX; size >= LEAST_NAME_PX; size -= 1.0)
    if (draw_on_piece (self, cr, ink, at, placed, middle, size, name))
      return;
  for (glong letters = g_utf8_strlen (name, -1) - 1; letters >= LEAST_LETTERS; letters--)
  {
    g_autofree char *head = g_utf8_substring (name, 0, letters);
    g_autofree char *text = g_strconcat (g_strchomp (head), "…", NULL);
    if (draw_on_piece (self, cr, ink, at, placed, middle, LEAST_NAME_PX, text))
      return;
  }
}

static void
draw_panel_names (AppPageMap *self, cairo_t *cr, const OutputInk *ink, Fit at)
{
  const EngineSheetPlan *plan = self->plan;
  for (guint i = 0; i < plan->placed->len; i++)
  {
    const EnginePlacedPiece *placed = g_ptr_array_index (plan->placed, i);
    const ModelPanel *panel = model_document_panel (self->doc, placed->piece->panel_id);
    if (panel != NULL)
      draw_panel_name (self, cr, ink, at, placed, panel->name);
  }
}

static void
draw_lines (cairo_t *cr, const OutputInk *ink, const EngineSheetPlan *plan, Fit at)
{
  const double dots[] = { 1.5, 3 };
  for (guint i = 0; i < plan->tiles->len; i++)
  {
    const EngineTile *tile = tile_at (plan, (int)i);
    field_rectangle (cr, plan, at, tile->row, tile->column);
    output_set_tone (cr, ink, OUTPUT_TONE_INK_3);
    cairo_set_line_width (cr, 1);
    cairo_stroke (cr);
    double x = at.x0 + at.scale * (step_x (plan) * tile->column),
           y = at.y0 + at.scale * (step_y (plan) * tile->row);
    double w = at.scale * plan->field_width_mm, h = at.scale * plan->field_height_mm,
           glue = at.scale * plan->overlap_mm;
    cairo_set_dash (cr, dots, 2, 0);
    cairo_move_to (cr, x + w - glue, y);
    cairo_line_to (cr, x + w - glue, y + h);
    cairo_move_to (cr, x, y + h - glue);
    cairo_line_to (cr, x + w, y + h - glue);
    cairo_stroke (cr);
    cairo_set_dash (cr, NULL, 0, 0);
  }
}

static void
draw_names (cairo_t *cr, const OutputInk *ink, const EngineSheetPlan *plan, Fit at, int chosen)
{
  for (guint i = 0; i < plan->tiles->len; i++)
  {
    const EngineTile *tile = tile_at (plan, (int)i);
    bool is_chosen = (int)i == chosen;
    g_autofree char *name = engine_tile_name (tile);
    graphene_rect_t plate = name_plate (cr, plan, at, tile, name, is_chosen);
    cairo_rectangle (cr, plate.origin.x, plate.origin.y, plate.size.width, plate.size.height);
    output_set_tone (cr, ink, is_chosen ? OUTPUT_TONE_INK : OUTPUT_TONE_CARD);
    cairo_fill (cr);
    output_draw_text (cr, ink, plate.origin.x + plate.size.width / 2, plate.origin.y + plate.size.height / 2,
                      0, 12, true, is_chosen ? OUTPUT_TONE_CARD : OUTPUT_TONE_INK_2, -1, name);
    if (is_chosen)
    {
      field_rectangle (cr, plan, at, tile->row, tile->column);
      output_set_tone (cr, ink, OUTPUT_TONE_INK);
      cairo_set_line_width (cr, 3);
      cairo_stroke (cr);
    }
  }
  for (int column = 0; column < plan->columns; column++)
  {
    g_autofree char *figure = g_strdup_printf ("%d", column + 1);
    output_draw_text (cr, ink, at.x0 + at.scale * (step_x (plan) * column + plan->field_width_mm / 2),
                      at.y0 - 13, 0, 12, true, OUTPUT_TONE_INK_2, -1, figure);
  }
  for (int row = 0; row < plan->rows; row++)
  {
    g_autofree char *letter = engine_tile_name (&(EngineTile) { .row = row, .column = 0 });
    char *figure = letter + strcspn (letter, "0123456789");
    *figure = '\0';
    output_draw_text (cr, ink, at.x0 - 14,
                      at.y0 + at.scale * (step_y (plan) * row + plan->field_height_mm / 2), 0, 12, true,
                      OUTPUT_TONE_INK_2, -1, letter);
  }
}

static void
app_page_map_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  AppPageMap *self = APP_PAGE_MAP (widget);
  if (self->plan == NULL || self->plan->tiles->len == 0)
    return;
  graphene_rect_t all
    = GRAPHENE_RECT_INIT (0, 0, gtk_widget_get_width (widget), gtk_widget_get_height (widget));
  cairo_t *cr = gtk_snapshot_append_cairo (snapshot, &all);
  OutputInk ink;
  app_theme_ink (&ink, 10);
  Fit at = fit (self);
  draw_empty_tiles (cr, &ink, self->plan, at);
  draw_paper (cr, &ink, self->plan, at);
  draw_pieces (self, cr, &ink, at);
  draw_lines (cr, &ink, self->plan, at);
  draw_names (cr, &ink, self->plan, at, self->chosen);
  draw_panel_names (self, cr, &ink, at);
  cairo_destroy (cr);
}

/* ---- choosing ---- */

void
app_page_map_choose (AppPageMap *self, int tile)
{
  if (self->plan == NULL || tile < 0 || tile >= (int)self->plan->tiles->len || tile == self->chosen)
    return;
  self->chosen = tile;
  g_autofree char *name = engine_tile_name (tile_at (self->plan, tile));
  /* Translators: %s is the name of a sheet, such as A3. */
  g_autofree char *text = g_strdup_printf (_ ("Sheet %s"), name);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text, -1);
  gtk_widget_queue_draw (GTK_WIDGET (self));
  g_signal_emit (self, signal_chosen, 0, tile);
}

int
app_page_map_chosen (AppPageMap *self)
{
  return self->chosen;
}

static void
on_pressed (GtkGestureClick *click, int presses, double x, double y, AppPageMap *self)
{
  gtk_widget_grab_focus (GTK_WIDGET (self));
  if (self->plan == NULL || self->plan->tiles->len == 0)
    return;
  Fit at = fit (self);
  int column = (int)floor ((x - at.x0) / at.scale / step_x (self->plan)),
      row = (int)floor ((y - at.y0) / at.scale / step_y (self->plan));
  app_page_map_choose (self, find_tile (self->plan, row, column));
}

static gboolean
on_key (GtkEventControllerKey *keys, guint keyval, guint keycode, GdkModifierType state, AppPageMap *self)
{
  if (self->plan == NULL || self->plan->tiles->len == 0)
    return GDK_EVENT_PROPAGATE;
  const EngineTile *now = tile_at (self->plan, self->chosen);
  int row = now->row, column = now->column;
  const struct
  {
    guint key;
    int dx, dy;
  } moves[]
    = { { GDK_KEY_Left, -1, 0 }, { GDK_KEY_Right, 1, 0 }, { GDK_KEY_Up, 0, -1 }, { GDK_KEY_Down, 0, 1 } };
  for (guint i = 0; i < G_N_ELEMENTS (moves); i++)
    if (moves[i].key == keyval)
    {
      /* Over empty places to the next sheet that way. */
      do
      {
        row += moves[i].dy;
        column += moves[i].dx;
      } while (row >= 0 && column >= 0 && row < self->plan->rows && column < self->plan->columns
               && find_tile (self->plan, row, column) < 0);
      app_page_map_choose (self, find_tile (self->plan, row, column));
      return GDK_EVENT_STOP;
    }
  return GDK_EVENT_PROPAGATE;
}

void
app_page_map_set_plan (AppPageMap *self, ModelDocument *doc, const EngineSheetPlan *plan)
{
  self->doc = doc;
  self->plan = plan;
  self->chosen = plan != NULL ? CLAMP (self->chosen, 0, MAX ((int)plan->tiles->len - 1, 0)) : 0;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
app_page_map_class_init (AppPageMapClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  widget_class->snapshot = app_page_map_snapshot;
  gtk_widget_class_set_css_name (widget_class, "pwpagemap");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
  signal_chosen = g_signal_new ("chosen", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                G_TYPE_NONE, 1, G_TYPE_INT);
}

static void
app_page_map_init (AppPageMap *self)
{
  gtk_widget_set_focusable (GTK_WIDGET (self), TRUE);
  gtk_widget_set_hexpand (GTK_WIDGET (self), TRUE);
  gtk_widget_set_vexpand (GTK_WIDGET (self), TRUE);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("Page map"), -1);
  GtkGesture *click = gtk_gesture_click_new ();
  g_signal_connect (click, "pressed", G_CALLBACK (on_pressed), self);
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (click));
  GtkEventController *keys = gtk_event_controller_key_new ();
  g_signal_connect (keys, "key-pressed", G_CALLBACK (on_key), self);
  gtk_widget_add_controller (GTK_WIDGET (self), keys);
}

GtkWidget *
app_page_map_new (void)
{
  return g_object_new (APP_TYPE_PAGE_MAP, NULL);
}
