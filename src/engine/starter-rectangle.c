/* The rectangle: a plate or a patch to begin with. */
#include "engine/starter-draft.h"

#include <glib/gi18n.h>

enum
{
  WIDTH,
  HEIGHT,
  COUNT,
  THICKNESS,
  VALUES
};

static const EngineStarterValue values_of_rectangle[VALUES] = {
  [WIDTH] = { .key = "width", .name = N_ ("Width"), .start = 200, .min = 1, .max = 5000 },
  [HEIGHT] = { .key = "height", .name = N_ ("Height"), .start = 150, .min = 1, .max = 5000 },
  [COUNT]
  = { .key = "count", .name = N_ ("How many"), .kind = ENGINE_VALUE_COUNT, .start = 1, .min = 1, .max = 99 },
  [THICKNESS] = { .key = "thickness", .name = N_ ("Leather thickness"), .start = 3.5, .max = 15 },
};

static bool
draw (EngineDraft *draft, const double *v, GError **error)
{
  engine_draft_material (draft, v[THICKNESS], 0.5);
  EnginePen pen;
  engine_pen_begin (&pen, draft, _ ("Plate"), geom_point (0.0, 0.0));
  engine_pen_edge (&pen, _ ("bottom"));
  engine_pen_line (&pen, geom_point (v[WIDTH], 0.0));
  engine_pen_edge (&pen, _ ("right"));
  engine_pen_line (&pen, geom_point (v[WIDTH], v[HEIGHT]));
  engine_pen_edge (&pen, _ ("top"));
  engine_pen_line (&pen, geom_point (0.0, v[HEIGHT]));
  engine_pen_edge (&pen, _ ("left"));
  engine_pen_line (&pen, geom_point (0.0, 0.0));
  ModelPanel *panel = engine_pen_close (&pen);
  panel->quantity = (int)v[COUNT];
  engine_draft_grain (panel, 90.0);
  return true;
}

const EngineStarter engine_starter_rectangle = {
  "rectangle", N_ ("Rectangle"), N_ ("a plate of straight edges"), values_of_rectangle, VALUES, draw,
};
