/* What a piece is called, written on it: level where that fits, else turned along the piece.  What does not
 * fit at all is left out; the canvas then puts the name beside it. */
#include "output/draw-parts.h"

#include "engine/words.h"

/* Of the height of the text: kept clear to the seam. */
#define AIR 0.25
#define TURN_STEP_RAD (G_PI / 12.0)
#define TURNS 12
#define SHIFTS 9

/* The outline that a label must lie in: of a half-drawn piece only the half that is seen. */
typedef struct Ground
{
  const GeomPath *outline;
  GeomPath half;
  GeomAffine to_drawing;
  GeomBox box; /* of the outline, device */
} Ground;

typedef struct Label
{
  int count;
  const char *shown[3];
  double width[3];
  bool turned; /* or aside: the name stands alone at NAME */
  OutputTextPlace name;
} Label;

static bool
ground_init (Ground *ground, const OutputStage *stage)
{
  geom_path_init (&ground->half);
  ground->outline = &stage->piece->seam;
  if (stage->half)
  {
    model_panel_path (stage->panel, &ground->half, NULL);
    ground->outline = &ground->half;
  }
  const GeomBox b = geom_path_box (ground->outline);
  const GeomPoint corner[4] = { { b.x0, b.y0 }, { b.x1, b.y0 }, { b.x1, b.y1 }, { b.x0, b.y1 } };
  ground->box = geom_box_empty ();
  for (int i = 0; i < 4; i++)
    ground->box = geom_box_with_point (ground->box, output_view_point (stage->view, corner[i]));
  return geom_affine_inverse (stage->view->to_device, &ground->to_drawing);
}

static bool
lies_on (const Ground *ground, const OutputTextPlace *text, double ends)
{
  const GeomPoint along = { cos (text->angle_rad), sin (text->angle_rad) }, across = { -along.y, along.x };
  const double half = text->width / 2.0 + ends, rise = text->height / 2.0 + AIR * text->height,
               reach_x = fabs (along.x) * half + fabs (across.x) * rise,
               reach_y = fabs (along.y) * half + fabs (across.y) * rise;
  /* Most that does not fit sticks out of the outline's box: told at once. */
  if (text->middle.x - reach_x < ground->box.x0 || text->middle.x + reach_x > ground->box.x1
      || text->middle.y - reach_y < ground->box.y0 || text->middle.y + reach_y > ground->box.y1)
    return false;
  for (int i = -2; i <= 2; i++)
    for (int k = -1; k <= 1; k += 2)
    {
      const GeomPoint p = geom_along (geom_along (text->middle, 0.5 * i * half, along), k * rise, across);
      if (!geom_path_contains (ground->outline, geom_affine_apply (ground->to_drawing, p)))
        return false;
    }
  return true;
}

/* The name alone, as little turned as may be, about AT or a little along from there; ENDS clear at both ends.
 */
static bool
turn_name (const Ground *ground,
           GeomPoint at,
           double width,
           double height,
           double ends,
           int turns,
           OutputTextPlace *out)
{
  for (int k = 0; k < turns; k++)
  {
    /* 0, 15, -15, 30 ... 90 degrees, which reads upwards. */
    const double angle = (k % 2 ? -1.0 : 1.0) * ((k + 1) / 2) * TURN_STEP_RAD;
    for (int i = 0; i < SHIFTS; i++)
    {
      const double shift = (i % 2 ? 1.0 : -1.0) * ((i + 1) / 2) * 0.125 * width;
      *out = (OutputTextPlace) { geom_along (at, shift, geom_point (cos (angle), sin (angle))), angle, width,
                                 height };
      if (lies_on (ground, out, ends))
        return true;
    }
  }
  return false;
}

/* Those of the label's rows that fit across the circle AT a little off its middle; the name alone may be as
 * wide as the circle, and wider where the piece goes on to both sides: a lame or a collar is long and low. */
static void
fit_rows (const OutputStage *stage, const char *const wishes[3], GeomPoint at, double radius, Label *label)
{
  const OutputInk *ink = stage->ink;
  const bool name_alone = radius < ink->text_name * 2.2;
  /* Rows below it push the name up. */
  const double room = name_alone ? ink->text_name : ink->text_name + 2.0 * 1.32 * ink->text_body;
  Ground ground;
  const bool known = ground_init (&ground, stage);
  for (int i = 0; i < 3; i++)
  {
    double width;
    if (wishes[i] == NULL || *wishes[i] == '\0' || (i > 0 && (name_alone || label->turned)))
      continue;
    output_measure_text (stage->cr, i == 0 ? ink->text_name : ink->text_body, i == 0, wishes[i], &width,
                         NULL);
    const OutputTextPlace level = { at, 0.0, width, room };
    const bool aside = i == 0 && known && !ink->print && 2.0 * radius >= ink->text_name;
    /* Alone it is best clear of the letters at both ends, a little aside of the roomiest place. */
    const bool clear
      = aside && name_alone
        && turn_name (&ground, at, width, ink->text_name, 1.5 * ink->letter_radius, 1, &label->name);
    if (!clear && radius >= ink->text_name
        && (width <= (i == 0 ? 2.0 : 1.8) * radius
            || (i == 0 && known && lies_on (&ground, &level, AIR * room))))
    {
      label->shown[label->count] = wishes[i];
      label->width[label->count++] = width;
    }
    else if (clear
             || (aside
                 && turn_name (&ground, at, width, ink->text_name, AIR * ink->text_name, TURNS,
                               &label->name)))
    {
      label->turned = true;
      label->shown[0] = wishes[0];
      label->width[0] = width;
      label->count = 1;
    }
  }
  geom_path_clear (&ground.half);
}

static void
note_plate (const OutputStage *stage, GeomPoint middle, GeomPoint along, double length, double height)
{
  const OutputPlate plate = { middle, along, length / 2.0, height / 2.0 };
  g_array_append_val (stage->plates, plate);
}

/* The rows and, below them, the arrow of LENGTH (0: none). */
typedef struct Column
{
  GeomPoint at;
  double name_line, line, top, gap, arrow_length, arrow_height;
  GeomPoint arrow_along;
} Column;

static Column
column_of (const OutputStage *stage, const Label *label, GeomPoint at, double radius, bool grain)
{
  const OutputInk *ink = stage->ink;
  Column c = { .at = at, .line = ink->text_body * 1.32, .name_line = ink->text_name * 1.4 };
  const double text_height = label->count > 0 ? c.name_line + (label->count - 1) * c.line : 0.0;
  c.gap = label->count > 0 ? ink->text_body : 0.0;
  c.arrow_along = output_view_vector (stage->view, geom_point (cos (stage->panel->grain_deg * G_PI / 180.0),
                                                               sin (stage->panel->grain_deg * G_PI / 180.0)));
  const double length = MIN (1.7 * radius - text_height - c.gap, 7.0 * ink->text_name);
  if (grain && !label->turned && stage->panel->has_grain && ink->grain.width > 0.0
      && length > 2.0 * ink->text_name)
  {
    c.arrow_length = length;
    c.arrow_height = MAX (length * fabs (c.arrow_along.y), 10.0) + c.gap;
  }
  c.top = at.y - (text_height + c.arrow_height) / 2.0;
  return c;
}

static double
place_of (const OutputStage *stage, GeomPoint *at)
{
  double radius_mm = 0.0;
  *at = output_view_point (stage->view, output_piece_label_place (stage->panel, stage->piece, &radius_mm));
  return radius_mm * stage->view->scale;
}

void
output_draw_label (const OutputStage *stage, bool wanted, bool grain)
{
  const OutputInk *ink = stage->ink;
  GeomPoint at;
  const double radius = place_of (stage, &at);
  if (2.0 * radius < ink->text_name)
    return;
  g_autofree char *material = engine_words_material (stage->doc, stage->panel);
  g_autofree char *quantity = engine_words_quantity (stage->panel);
  const char *wishes[3] = { stage->panel->name, material, quantity };
  Label label = { 0 };
  if (wanted)
    fit_rows (stage, wishes, at, radius, &label);
  if (label.turned)
  {
    const OutputTextPlace *n = &label.name;
    output_draw_text (stage->cr, ink, n->middle.x, n->middle.y, n->angle_rad, ink->text_name, true,
                      OUTPUT_TONE_INK, -1, label.shown[0]);
    note_plate (stage, n->middle, geom_point (cos (n->angle_rad), sin (n->angle_rad)), n->width, n->height);
    return;
  }
  const Column c = column_of (stage, &label, at, radius, grain);
  double y = c.top;
  for (int i = 0; i < label.count; i++)
  {
    const bool bold = label.shown[i] == wishes[0];
    const double step = bold ? c.name_line : c.line, size = bold ? ink->text_name : ink->text_body;
    const GeomPoint middle = { at.x, y + step / 2.0 };
    output_draw_text (stage->cr, ink, middle.x, middle.y, 0.0, size, bold,
                      bold ? OUTPUT_TONE_INK : OUTPUT_TONE_INK_2, -1, label.shown[i]);
    note_plate (stage, middle, geom_point (1.0, 0.0), label.width[i], step);
    y += step;
  }
  GeomAffine back;
  if (!(c.arrow_length > 0.0) || !geom_affine_inverse (stage->view->to_device, &back))
    return;
  const GeomPoint middle = { at.x, y + c.gap + (c.arrow_height - c.gap) / 2.0 };
  output_draw_grain (stage->cr, stage->view, ink, geom_affine_apply (back, middle),
                     c.arrow_length / stage->view->scale, stage->panel->grain_deg);
  note_plate (stage, middle, c.arrow_along, c.arrow_length, ink->text_body);
}

bool
output_name_place (cairo_t *cr,
                   const OutputView *view,
                   const OutputInk *ink,
                   EngineReview *review,
                   const EnginePiece *piece,
                   bool half,
                   OutputTextPlace *out)
{
  OutputStage stage;
  GeomPoint at;
  if (!(view->scale > 0.0) || !output_stage_init (&stage, cr, view, ink, review, piece, half, NULL, NULL))
    return false;
  const double radius = place_of (&stage, &at);
  if (2.0 * radius < ink->text_name)
    return false;
  g_autofree char *material = engine_words_material (stage.doc, stage.panel);
  g_autofree char *quantity = engine_words_quantity (stage.panel);
  const char *wishes[3] = { stage.panel->name, material, quantity };
  Label label = { 0 };
  fit_rows (&stage, wishes, at, radius, &label);
  if (label.turned)
    *out = label.name;
  else if (label.count > 0 && label.shown[0] == wishes[0])
  {
    const Column c = column_of (&stage, &label, at, radius, true);
    *out = (OutputTextPlace) { { at.x, c.top + c.name_line / 2.0 }, 0.0, label.width[0], c.name_line };
  }
  else
    return false;
  return true;
}
