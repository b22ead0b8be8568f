/* The collar: part of a cone through the neck above and the wider neck base below, half of it on the fold. */
#include "engine/starter-ring.h"

#include <glib/gi18n.h>

enum
{
  NECK,
  NECK_BASE,
  HEIGHT,
  EASE,
  UNDER,
  THICKNESS,
  NEUTRAL,
  CLOSING,
  GAP,
  LAP,
  VALUES
};

enum
{
  CLOSING_GAP,
  CLOSING_LAPPED
};

#define NARROWEST_MM 20.0

/* Girths: medians of the women in data/survey; the rest: common practice, no source. */
static const EngineStarterValue values_of_collar[VALUES] = {
  [NECK] = { .key = "neck_girth",
             .name = N_ ("Neck"),
             .start = 328,
             .min = 150,
             .max = 800,
             .measure = { "neck_girth" } },
  [NECK_BASE] = { .key = "neck_base_girth",
                  .name = N_ ("Neck base"),
                  .start = 370,
                  .min = 150,
                  .max = 900,
                  .measure = { "neck_base_girth" } },
  [HEIGHT] = { .key = "height", .name = N_ ("Height"), .start = 46, .min = 10, .max = 200 },
  [EASE] = { .key = "ease", .name = N_ ("Ease round the neck"), .start = 20, .min = -20, .max = 200 },
  [UNDER] = { .key = "under", .name = N_ ("Thickness worn underneath"), .start = 0, .max = 40 },
  [THICKNESS] = { .key = "thickness", .name = N_ ("Leather thickness"), .start = 3.5, .max = 15 },
  [NEUTRAL]
  = { .key = "neutral", .name = N_ ("Neutral layer"), .kind = ENGINE_VALUE_SHARE, .start = 0.5, .max = 1 },
  [CLOSING] = { .key = "closing",
                .name = N_ ("Closed by"),
                .kind = ENGINE_VALUE_CHOICE,
                .max = 1,
                .choices = { { "gap", N_ ("a strap or lace over a gap") }, { "lapped", N_ ("a lap") } } },
  [GAP] = { .key = "gap", .name = N_ ("Gap in front"), .start = 40, .max = 300 },
  [LAP] = { .key = "lap", .name = N_ ("Lap"), .start = 25, .max = 150 },
};

/* The wearer's left half; its fold, the middle of the back, on the right.  The wide rim lies below, so the
 * rings' centre lies above. */
static ModelPanel *
draw_panel (EngineDraft *draft, const EngineRing *r)
{
  EnginePen pen;
  GeomPoint start = geom_point (0.0, 0.0), top = geom_point (0.0, r->along_mm);
  GeomPoint centre = geom_point (0.0, r->wide_radius_mm);
  engine_pen_begin (&pen, draft, _ ("Collar"), start);
  engine_pen_edge (&pen, _ ("middle"));
  engine_pen_line (&pen, top);
  engine_pen_edge (&pen, _ ("upper"));
  if (r->flat)
    engine_pen_line (&pen, geom_point (-r->narrow_mm / 2.0, r->along_mm));
  else
    engine_pen_arc (&pen, centre, -r->narrow_rad / 2.0);
  double half = r->wide_rad / 2.0;
  engine_pen_edge (&pen, _ ("front end"));
  engine_pen_line (&pen, r->flat
                           ? geom_point (-r->wide_mm / 2.0, 0.0)
                           : geom_along (centre, r->wide_radius_mm, geom_point (-sin (half), -cos (half))));
  engine_pen_edge (&pen, _ ("neck"));
  if (r->flat)
    engine_pen_line (&pen, start);
  else
    engine_pen_arc (&pen, centre, half);
  ModelPanel *panel = engine_pen_close (&pen);
  engine_draft_fold (panel, 0);
  engine_draft_grain (panel, 0.0);
  return panel;
}

static bool
draw (EngineDraft *draft, const double *v, GError **error)
{
  bool lapped = v[CLOSING] > 0.5;
  double gap = lapped ? 0.0 : v[GAP];
  double more = v[EASE] + engine_draft_more (v[UNDER], v[THICKNESS], v[NEUTRAL]);
  if (v[NECK] > v[NECK_BASE])
  {
    g_autofree char *neck = engine_draft_length (v[NECK]), *base = engine_draft_length (v[NECK_BASE]);
    return engine_draft_refuse (
      error, _ ("The neck (%s) is wider than its base (%s) allows: exchange them or measure again."), neck,
      base);
  }
  if (v[NECK] + more - gap < 2.0 * NARROWEST_MM)
    return engine_draft_refuse (error, _ ("The gap leaves too little of the collar: make it narrower."));
  EngineRing ring;
  if (!engine_ring_find (v[NECK] + more, v[NECK_BASE] + more, v[HEIGHT], gap, &ring))
    return engine_draft_refuse (
      error, _ ("The collar is too low for necks so different: laid flat, it would run into itself."));
  engine_draft_material (draft, v[THICKNESS], v[NEUTRAL]);
  engine_draft_head (draft, _ ("Collar"), _ ("Part of a cone, from the neck down to its base."));
  ModelPanel *panel = draw_panel (draft, &ring);
  ModelJoinKind kind = lapped ? MODEL_JOIN_LAPPED : gap > 0.0 ? MODEL_JOIN_GAP : MODEL_JOIN_FLUSH;
  ModelJoin *join = engine_draft_join (draft, kind, panel, 2, panel, 2);
  join->gap_mm = gap;
  join->lap_mm = lapped ? v[LAP] : 0.0;
  engine_draft_match (draft, join, engine_draft_edge_length (panel, 2) / 2.0, 1);
  return true;
}

const EngineStarter engine_starter_collar = {
  "collar",         N_ ("Collar"), N_ ("a standing collar from the neck and its base"),
  values_of_collar, VALUES,        draw,
};
