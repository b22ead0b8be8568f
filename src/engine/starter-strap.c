/* The strap: a band with a buckle end that is turned back, and a tip. */
#include "engine/starter-draft.h"

#include <glib/gi18n.h>

enum
{
  LENGTH,
  WIDTH,
  TURN_BACK,
  TIP,
  COUNT,
  THICKNESS,
  VALUES
};

enum
{
  TIP_POINTED,
  TIP_ROUND,
  TIP_SQUARE
};

#define POINT_SHARE 0.75 /* how long a pointed tip is, of the width; common practice, no source */

/* Common practice, no source: a strap of an inch, and room behind its buckle for two rivets. */
static const EngineStarterValue values_of_strap[VALUES] = {
  [LENGTH]
  = { .key = "length", .name = N_ ("Length from buckle to tip"), .start = 250, .min = 20, .max = 3000 },
  [WIDTH] = { .key = "width", .name = N_ ("Width"), .start = 25.4, .min = 4, .max = 200 },
  [TURN_BACK] = { .key = "turn_back", .name = N_ ("Turned back at the buckle"), .start = 60, .max = 400 },
  [TIP]
  = { .key = "tip",
      .name = N_ ("Tip"),
      .kind = ENGINE_VALUE_CHOICE,
      .max = 2,
      .choices = { { "pointed", N_ ("pointed") }, { "round", N_ ("round") }, { "square", N_ ("square") } } },
  [COUNT]
  = { .key = "count", .name = N_ ("How many"), .kind = ENGINE_VALUE_COUNT, .start = 1, .min = 1, .max = 99 },
  [THICKNESS] = { .key = "thickness", .name = N_ ("Leather thickness"), .start = 3.5, .max = 15 },
};

static double
tip_length (int tip, double width)
{
  switch (tip)
  {
  case TIP_POINTED:
    return POINT_SHARE * width;
  case TIP_ROUND:
    return width / 2.0;
  default:
    return 0.0;
  }
}

/* Where it is turned round the buckle's bar: on both long edges. */
static void
add_mark (EngineDraft *draft, ModelPanel *panel, guint edge, double at_mm)
{
  ModelMark mark = { .id = model_document_take_id (draft->doc),
                     .edge_id = model_panel_edge (panel, edge)->id,
                     .at_mm = at_mm,
                     .wedges = 1 };
  g_array_append_val (panel->marks, mark);
}

static bool
draw (EngineDraft *draft, const double *v, GError **error)
{
  int tip = (int)v[TIP];
  double width = v[WIDTH], back = v[TURN_BACK], shoulder = v[LENGTH] - tip_length (tip, width);
  if (shoulder < width / 2.0)
    return engine_draft_refuse (error, _ ("The strap is too short for its width and tip."));
  engine_draft_material (draft, v[THICKNESS], 0.5);
  engine_draft_head (draft, _ ("Strap"),
                     _ ("The marks show where it is turned round the bar of the buckle."));
  EnginePen pen;
  GeomPoint start = geom_point (-back, 0.0);
  engine_pen_begin (&pen, draft, _ ("Strap"), start);
  engine_pen_edge (&pen, _ ("lower"));
  engine_pen_line (&pen, geom_point (shoulder, 0.0));
  switch (tip)
  {
  case TIP_POINTED:
    engine_pen_edge (&pen, _ ("tip, lower"));
    engine_pen_line (&pen, geom_point (v[LENGTH], width / 2.0));
    engine_pen_edge (&pen, _ ("tip, upper"));
    engine_pen_line (&pen, geom_point (shoulder, width));
    break;
  case TIP_ROUND:
    engine_pen_edge (&pen, _ ("tip"));
    engine_pen_arc (&pen, geom_point (shoulder, width / 2.0), G_PI);
    break;
  default:
    engine_pen_edge (&pen, _ ("tip"));
    engine_pen_line (&pen, geom_point (shoulder, width));
    break;
  }
  guint upper = pen.starts->len;
  engine_pen_edge (&pen, _ ("upper"));
  engine_pen_line (&pen, geom_point (-back, width));
  engine_pen_edge (&pen, _ ("buckle end"));
  engine_pen_line (&pen, start);
  ModelPanel *panel = engine_pen_close (&pen);
  engine_draft_grain (panel, 0.0);
  panel->quantity = (int)v[COUNT];
  if (back > 0.0)
  {
    add_mark (draft, panel, 0, back);
    add_mark (draft, panel, upper, shoulder);
  }
  return true;
}

const EngineStarter engine_starter_strap = {
  "strap", N_ ("Strap"), N_ ("a band with a buckle end and a tip"), values_of_strap, VALUES, draw,
};
