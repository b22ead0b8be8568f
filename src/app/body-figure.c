/* The form is drawn in units of its own: x from the middle, y down from the top of the neck, 530 high.  One
 * half is given and mirrored. */
#include "app/body-figure.h"

#include "app/theme.h"
#include "model/unit.h"
#include "output/draw.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

#define FORM_HEIGHT 570.0
#define FORM_HALF 150.0
#define EXAGGERATION 4.0  /* the form's difference, so that it can be seen */
#define UNITS_PER_MM 0.62 /* the drawing's waist is about 194 units wide, a body's about 310 mm */

struct _AppBodyFigure
{
  GtkWidget parent;
  bool both;
  const ModelDocument *doc;
  guint chosen;
};

G_DEFINE_FINAL_TYPE (AppBodyFigure, app_body_figure, GTK_TYPE_WIDGET)

/* From the top of the neck to the hem. */
static const GeomCubic half[] = {
  { { { 37, 0 }, { 34, 14 }, { 34, 30 }, { 36, 40 } } },
  { { { 36, 40 }, { 40, 62 }, { 84, 68 }, { 118, 80 } } },
  { { { 118, 80 }, { 136, 86 }, { 142, 104 }, { 140, 126 } } },
  { { { 140, 126 }, { 139, 150 }, { 130, 168 }, { 129, 190 } } },
  { { { 129, 190 }, { 133, 240 }, { 98, 290 }, { 97, 340 } } },
  { { { 97, 340 }, { 97, 392 }, { 134, 424 }, { 136, 470 } } },
  { { { 136, 470 }, { 138, 490 }, { 138, 500 }, { 138, 512 } } },
};

/* Where a tape lies: a level line of half width X0, or from one point to another. BEND: how far its middle
 * lies lower, as a line round a body seen from slightly above does. */
typedef struct TapePlace
{
  const char *key;
  bool back, level;
  double x0, y0, x1, y1, bend;
} TapePlace;

static const TapePlace tapes[] = {
  { "neck_girth", false, true, 34, 24, 34, 24, 5 },
  { "neck_base_girth", false, true, 52, 57, 52, 57, 14 },
  { "shoulder_girth", false, true, 140, 122, 140, 122, 12 },
  { "upper_chest_girth", false, true, 130, 168, 130, 168, 12 },
  { "chest_girth", false, true, 130, 208, 130, 208, 14 },
  { "under_chest_girth", false, true, 120, 252, 120, 252, 14 },
  { "waist_girth", false, true, 97, 340, 97, 340, 11 },
  { "hip_girth", false, true, 136, 470, 136, 470, 14 },
  { "shoulder_width", true, false, -126, 84, 126, 84, -14 },
  { "across_front", false, false, -112, 140, 112, 140, 6 },
  { "across_back", true, false, -112, 140, 112, 140, 6 },
  { "bust_point_width", false, false, -48, 205, 48, 205, 3 },
  { "shoulder_length", false, false, 50, 60, 124, 83, -3 },
  { "front_waist_length", false, false, 0, 66, 0, 350, 0 },
  { "back_waist_length", true, false, 0, 46, 0, 348, 0 },
  { "side_length", false, false, 128, 190, 97, 340, 0 },
  { "shoulder_to_waist_left", false, false, 56, 60, 48, 346, 0 },
  { "shoulder_to_waist_right", false, false, -56, 60, -48, 346, 0 },
  { "waist_to_hip", false, false, 97, 340, 136, 470, 0 },
};

static const char *const level_keys[]
  = { "neck_girth", "chest_girth", "under_chest_girth", "waist_girth", "hip_girth" };

static const TapePlace *
find_tape (const char *key)
{
  for (guint i = 0; key != NULL && i < G_N_ELEMENTS (tapes); i++)
    if (strcmp (tapes[i].key, key) == 0)
      return &tapes[i];
  return NULL;
}

bool
app_body_figure_knows (const char *key)
{
  return find_tape (key) != NULL;
}

static const ModelMeasure *
measure_of_key (const ModelDocument *doc, const char *key)
{
  for (guint i = 0; doc != NULL && i < doc->measures->len; i++)
  {
    const ModelMeasure *measure = g_ptr_array_index (doc->measures, i);
    if (g_strcmp0 (measure->key, key) == 0)
      return measure;
  }
  return NULL;
}

/* ---- one view ---- */

typedef struct View
{
  cairo_t *cr;
  const OutputInk *ink;
  double scale, x, y; /* the form's origin in px */
  bool back;
} View;

static double
px (const View *v, double x)
{
  return v->x + v->scale * x;
}

static double
py (const View *v, double y)
{
  return v->y + v->scale * y;
}

static void
curve (const View *v, const GeomCubic *c, double sign)
{
  cairo_curve_to (v->cr, px (v, sign * c->p[1].x), py (v, c->p[1].y), px (v, sign * c->p[2].x),
                  py (v, c->p[2].y), px (v, sign * c->p[3].x), py (v, c->p[3].y));
}

static void
trace_form (const View *v)
{
  const guint last = G_N_ELEMENTS (half) - 1;
  cairo_move_to (v->cr, px (v, -half[0].p[0].x), py (v, half[0].p[0].y));
  cairo_curve_to (v->cr, px (v, -18), py (v, -9), px (v, 18), py (v, -9), px (v, half[0].p[0].x),
                  py (v, half[0].p[0].y));
  for (guint i = 0; i <= last; i++)
    curve (v, &half[i], 1);
  cairo_curve_to (v->cr, px (v, 80), py (v, 534), px (v, -80), py (v, 534), px (v, -half[last].p[3].x),
                  py (v, half[last].p[3].y));
  for (guint i = last + 1; i > 0; i--)
  {
    GeomCubic back = geom_cubic_reversed (&half[i - 1]);
    curve (v, &back, -1);
  }
  cairo_close_path (v->cr);
}

static void
draw_stand (const View *v)
{
  output_set_tone (v->cr, v->ink, OUTPUT_TONE_LINE);
  cairo_rectangle (v->cr, px (v, -14), py (v, 520), v->scale * 28, v->scale * 36);
  cairo_fill_preserve (v->cr);
  output_set_tone (v->cr, v->ink, OUTPUT_TONE_INK_3);
  cairo_set_line_width (v->cr, 1);
  cairo_stroke (v->cr);
}

static void
draw_inner_lines (const View *v)
{
  cairo_t *cr = v->cr;
  output_set_tone (cr, v->ink, OUTPUT_TONE_TRACE);
  cairo_set_line_width (cr, 1);
  for (int sign = -1; sign <= 1; sign += 2)
  {
    cairo_move_to (cr, px (v, sign * 76), py (v, 67));
    cairo_curve_to (cr, px (v, sign * 66), py (v, 180), px (v, sign * 62), py (v, 210), px (v, sign * 50),
                    py (v, 340));
    cairo_curve_to (cr, px (v, sign * 56), py (v, 420), px (v, sign * 68), py (v, 470), px (v, sign * 70),
                    py (v, 522));
    cairo_stroke (cr);
    cairo_save (cr);
    cairo_translate (cr, px (v, sign * 124), py (v, 126));
    cairo_scale (cr, v->scale * 15, v->scale * 44);
    cairo_arc (cr, 0, 0, 1, 0, 2 * G_PI);
    cairo_restore (cr);
    cairo_stroke (cr);
  }
  const double dots[] = { 1, 4 };
  cairo_set_dash (cr, dots, 2, 0);
  cairo_move_to (cr, px (v, 0), py (v, v->back ? 40 : 58));
  cairo_line_to (cr, px (v, 0), py (v, 526));
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0);
}

static GeomCubic
tape_curve (const TapePlace *tape)
{
  double x0 = tape->level ? -tape->x0 : tape->x0;
  double third = (tape->x1 - x0) / 3, drop = (tape->y1 - tape->y0) / 3, bend = tape->bend * 4 / 3;
  return (GeomCubic) { { { x0, tape->y0 },
                         { x0 + third, tape->y0 + drop + bend },
                         { tape->x1 - third, tape->y1 - drop + bend },
                         { tape->x1, tape->y1 } } };
}

static void
draw_level (const View *v, const TapePlace *tape)
{
  GeomCubic c = tape_curve (tape);
  cairo_move_to (v->cr, px (v, c.p[0].x), py (v, c.p[0].y));
  curve (v, &c, 1);
  output_set_tone (v->cr, v->ink, OUTPUT_TONE_INK_3);
  cairo_set_line_width (v->cr, 1.2);
  cairo_stroke (v->cr);
}

/* A band with ticks and a stop at each end. */
static void
draw_tape (const View *v, const TapePlace *tape)
{
  cairo_t *cr = v->cr;
  GeomCubic c = tape_curve (tape);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_BUTT);
  const struct
  {
    OutputTone tone;
    double width;
  } layers[] = { { OUTPUT_TONE_INK, 11 }, { OUTPUT_TONE_OCHRE_SOFT, 9 } };
  for (guint i = 0; i < G_N_ELEMENTS (layers); i++)
  {
    cairo_move_to (cr, px (v, c.p[0].x), py (v, c.p[0].y));
    curve (v, &c, 1);
    output_set_tone (cr, v->ink, layers[i].tone);
    cairo_set_line_width (cr, layers[i].width);
    cairo_stroke (cr);
  }
  double total = geom_cubic_length (&c, 1e-3);
  output_set_tone (cr, v->ink, OUTPUT_TONE_INK);
  cairo_set_line_width (cr, 1);
  int count = (int)(total * v->scale / 7);
  for (int i = 1; i < count; i++)
  {
    double t = geom_cubic_t_at_length (&c, total * i / count, 1e-3);
    GeomPoint at = geom_cubic_at (&c, t), across = geom_left_of (geom_cubic_tangent (&c, t));
    double reach = i % 5 == 0 ? 4.5 : 2;
    cairo_move_to (cr, px (v, at.x) + across.x * 4.5, py (v, at.y) + across.y * 4.5);
    cairo_line_to (cr, px (v, at.x) + across.x * (4.5 - reach * 1.6),
                   py (v, at.y) + across.y * (4.5 - reach * 1.6));
  }
  cairo_stroke (cr);
  for (int end = 0; end < 4; end += 3)
  {
    cairo_arc (cr, px (v, c.p[end].x), py (v, c.p[end].y), 5, 0, 2 * G_PI);
    cairo_fill (cr);
  }
}

/* How far the form's outline lies outside the wearer's at height Y, in units: from the girths that both have,
 * straight between their levels. */
static double
form_offset (const ModelDocument *doc, double y)
{
  double last_y = -1e9, last = 0;
  bool any = false;
  for (guint i = 0; i < G_N_ELEMENTS (level_keys); i++)
  {
    const ModelMeasure *measure = measure_of_key (doc, level_keys[i]);
    if (measure == NULL || !measure->has_wearer || !measure->has_form)
      continue;
    double here = (measure->form_mm - measure->wearer_mm) / (2 * G_PI) * UNITS_PER_MM * EXAGGERATION;
    double level = find_tape (level_keys[i])->y0;
    if (y <= level)
      return any ? last + (here - last) * (y - last_y) / (level - last_y) : here;
    last = here;
    last_y = level;
    any = true;
  }
  return last;
}

/* The shoulders are moved by the shoulder width instead. */
static double
shoulder_offset (const ModelDocument *doc)
{
  const ModelMeasure *measure = measure_of_key (doc, "shoulder_width");
  if (measure == NULL || !measure->has_wearer || !measure->has_form)
    return 0;
  return (measure->form_mm - measure->wearer_mm) / 2 * UNITS_PER_MM;
}

static void
draw_form_line (const View *v, const ModelDocument *doc)
{
  const double dash[] = { 6, 4 };
  double shoulder = shoulder_offset (doc);
  output_set_tone (v->cr, v->ink, OUTPUT_TONE_BLUE);
  cairo_set_line_width (v->cr, 1.6);
  cairo_set_dash (v->cr, dash, 2, 0);
  for (int sign = -1; sign <= 1; sign += 2)
  {
    for (guint i = 0; i < G_N_ELEMENTS (half); i++)
      for (int k = i == 0 ? 0 : 1; k <= 12; k++)
      {
        GeomPoint at = geom_cubic_at (&half[i], k / 12.0);
        /* The weight of the shoulder fades above and below it. */
        double weight = CLAMP (1 - fabs (at.y - 105) / 70, 0, 1) * (at.x > 60 ? 1 : 0);
        double x = at.x + (1 - weight) * form_offset (doc, at.y) + weight * shoulder;
        if (i == 0 && k == 0)
          cairo_move_to (v->cr, px (v, sign * x), py (v, at.y));
        else
          cairo_line_to (v->cr, px (v, sign * x), py (v, at.y));
      }
    cairo_stroke (v->cr);
  }
  cairo_set_dash (v->cr, NULL, 0, 0);
}

static void
draw_view (AppBodyFigure *self, const View *v, const TapePlace *tape)
{
  draw_stand (v);
  trace_form (v);
  output_set_tone (v->cr, v->ink, OUTPUT_TONE_FACE);
  cairo_fill_preserve (v->cr);
  output_set_tone (v->cr, v->ink, OUTPUT_TONE_INK);
  cairo_set_line_width (v->cr, 1.7);
  cairo_stroke (v->cr);
  draw_inner_lines (v);
  if (self->both)
    for (guint i = 0; i < G_N_ELEMENTS (level_keys); i++)
      draw_level (v, find_tape (level_keys[i]));
  if (self->both && self->doc != NULL)
    draw_form_line (v, self->doc);
  if (tape != NULL && (tape->back == v->back || (self->both && tape->level)))
    draw_tape (v, tape);
}

/* ---- the words between the two views ---- */

/* What the name and the figure of a level need between the views; 0 where nothing is known. */
static double
level_width (AppBodyFigure *self, cairo_t *cr, const char *key)
{
  const ModelMeasure *measure = self->doc != NULL ? measure_of_key (self->doc, key) : NULL;
  if (measure == NULL || !measure->has_wearer)
    return 0;
  g_autofree char *figure = model_unit_text (measure->wearer_mm, self->doc->head->unit, 0);
  double name_width, figure_width, height;
  output_measure_text (cr, 12, false, measure->name, &name_width, &height);
  output_measure_text (cr, 13, true, figure, &figure_width, &height);
  return MAX (name_width, figure_width) + 24;
}

static void
draw_levels_between (AppBodyFigure *self, const View *left, const View *right)
{
  const double dots[] = { 1, 4 };
  double middle = (left->x + right->x) / 2;
  for (guint i = 0; i < G_N_ELEMENTS (level_keys); i++)
  {
    const ModelMeasure *measure = measure_of_key (self->doc, level_keys[i]);
    if (measure == NULL || !measure->has_wearer)
      continue;
    const TapePlace *tape = find_tape (level_keys[i]);
    double y = py (left, tape->y0);
    g_autofree char *figure = model_unit_text (measure->wearer_mm, self->doc->head->unit, 0);
    double name_width, figure_width, height;
    output_measure_text (left->cr, 12, false, measure->name, &name_width, &height);
    output_measure_text (left->cr, 13, true, figure, &figure_width, &height);
    double reach = MAX (name_width, figure_width) / 2 + 8;
    output_set_tone (left->cr, left->ink, OUTPUT_TONE_INK_3);
    cairo_set_line_width (left->cr, 1);
    cairo_set_dash (left->cr, dots, 2, 0);
    cairo_move_to (left->cr, px (left, tape->x0) + 4, y);
    cairo_line_to (left->cr, middle - reach, y);
    cairo_move_to (left->cr, middle + reach, y);
    cairo_line_to (left->cr, px (right, -tape->x0) - 4, y);
    cairo_stroke (left->cr);
    cairo_set_dash (left->cr, NULL, 0, 0);
    output_draw_text (left->cr, left->ink, middle, y - 9, 0, 12, false, OUTPUT_TONE_INK_2, -1, measure->name);
    output_draw_text (left->cr, left->ink, middle, y + 8, 0, 13, true, OUTPUT_TONE_INK, -1, figure);
  }
}

static void
draw_legend (AppBodyFigure *self, cairo_t *cr, const OutputInk *ink, double width, double height)
{
  const double dash[] = { 6, 4 };
  const struct
  {
    const char *text;
    OutputTone tone;
    bool dashed;
  } rows[] = { { _ ("wearer"), OUTPUT_TONE_INK, false },
               { _ ("the form; differences drawn 4 times larger"), OUTPUT_TONE_BLUE, true } };
  double x = 24, y = height - 30;
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    double text_width, text_height;
    output_measure_text (cr, 12, false, rows[i].text, &text_width, &text_height);
    if (x + 44 + text_width > width - 8)
    { /* a narrow window: one below the other */
      x = 24;
      y += 18;
    }
    output_set_tone (cr, ink, rows[i].tone);
    cairo_set_line_width (cr, 1.8);
    cairo_set_dash (cr, dash, rows[i].dashed ? 2 : 0, 0);
    cairo_move_to (cr, x, y);
    cairo_line_to (cr, x + 32, y);
    cairo_stroke (cr);
    cairo_set_dash (cr, NULL, 0, 0);
    output_draw_text (cr, ink, x + 44 + text_width / 2, y, 0, 12, false, OUTPUT_TONE_INK_2, -1, rows[i].text);
    x += 44 + text_width + 28;
  }
}

static void
app_body_figure_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  AppBodyFigure *self = APP_BODY_FIGURE (widget);
  double width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget);
  graphene_rect_t all = GRAPHENE_RECT_INIT (0, 0, (float)width, (float)height);
  cairo_t *cr = gtk_snapshot_append_cairo (snapshot, &all);
  OutputInk ink;
  app_theme_ink (&ink, 100);
  const ModelMeasure *measure
    = self->doc != NULL && self->chosen != 0 ? model_document_measure (self->doc, self->chosen) : NULL;
  const TapePlace *tape = measure != NULL ? find_tape (measure->key) : NULL;
  if (!self->both)
  {
    double scale = MIN ((width - 16) / (2 * FORM_HALF), (height - 16) / FORM_HEIGHT);
    View view = { cr, &ink, scale, width / 2, 14, tape != NULL && tape->back };
    draw_view (self, &view, tape);
  }
  else
  {
    /* The words between the two views keep their size when the views shrink. */
    double between = 0;
    for (guint i = 0; i < G_N_ELEMENTS (level_keys); i++)
      between = MAX (between, level_width (self, cr, level_keys[i]));
    double scale = MIN ((width - 48 - between) / (4 * FORM_HALF), (height - 110) / FORM_HEIGHT);
    double apart = MAX (between / 2, 55 * scale);
    scale = MIN (scale, (width - 48 - 2 * apart) / (4 * FORM_HALF));
    double y = 56 + MAX (0, (height - 110 - scale * FORM_HEIGHT) / 2);
    View front = { cr, &ink, scale, width / 2 - scale * FORM_HALF - apart, y, false };
    View back = { cr, &ink, scale, width / 2 + scale * FORM_HALF + apart, y, true };
    output_draw_text (cr, &ink, front.x, y - 30, 0, 13, false, OUTPUT_TONE_INK_2, -1, _ ("front"));
    output_draw_text (cr, &ink, back.x, y - 30, 0, 13, false, OUTPUT_TONE_INK_2, -1, _ ("back"));
    draw_view (self, &front, tape);
    draw_view (self, &back, tape);
    draw_levels_between (self, &front, &back);
    draw_legend (self, cr, &ink, width, height);
  }
  cairo_destroy (cr);
}

void
app_body_figure_set_document (AppBodyFigure *self, const ModelDocument *doc)
{
  self->doc = doc;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

void
app_body_figure_choose (AppBodyFigure *self, guint measure_id)
{
  self->chosen = measure_id;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
app_body_figure_class_init (AppBodyFigureClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  widget_class->snapshot = app_body_figure_snapshot;
  gtk_widget_class_set_css_name (widget_class, "pwfigure");
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
app_body_figure_init (AppBodyFigure *self)
{
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("Body form"), -1);
}

GtkWidget *
app_body_figure_new (bool both)
{
  AppBodyFigure *self = g_object_new (APP_TYPE_BODY_FIGURE, NULL);
  self->both = both;
  return GTK_WIDGET (self);
}
