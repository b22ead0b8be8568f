/* The tube: a bracer, a greave, or any cone cut open, from two girths and the length between them. */
#include "engine/starter-ring.h"

#include <glib/gi18n.h>

enum
{
  USE,
  NARROW,
  WIDE,
  LENGTH,
  UNDER,
  THICKNESS,
  NEUTRAL,
  CLOSING,
  GAP,
  LAP,
  SIDES,
  VALUES
};

enum
{
  USE_BRACER,
  USE_GREAVE,
  USE_TUBE
};

enum
{
  CLOSING_GAP,
  CLOSING_LAPPED,
  CLOSING_FLUSH
};

#define NARROWEST_MM 20.0 /* less than this is left of a rim: the gap is a slip */
#define MARGIN_MM 30.0    /* from the mirror line */

/* Girths: medians of the women in data/survey (wrist, forearm); legs and lengths: common practice, no source.
 */
static const EngineStarterValue values_of_tube[VALUES] = {
  [USE] = { .key = "use",
            .name = N_ ("For"),
            .kind = ENGINE_VALUE_CHOICE,
            .max = 2,
            .choices = { { "bracer", N_ ("forearm: a bracer") },
                         { "greave", N_ ("lower leg: a greave") },
                         { "tube", N_ ("anything else") } } },
  [NARROW] = { .key = "narrow_girth",
               .name = N_ ("Girth at the narrow end"),
               .start = 154,
               .start_by_choice = { 154, 225, 200 },
               .min = 30,
               .max = 3000,
               .measure = { "wrist_girth", "ankle_girth" } },
  [WIDE] = { .key = "wide_girth",
             .name = N_ ("Girth at the wide end"),
             .start = 263,
             .start_by_choice = { 263, 370, 300 },
             .min = 30,
             .max = 3000,
             .measure = { "forearm_girth", "calf_girth" } },
  [LENGTH] = { .key = "length",
               .name = N_ ("Length along"),
               .start = 190,
               .start_by_choice = { 190, 300, 200 },
               .min = 10,
               .max = 2000 },
  [UNDER] = { .key = "under", .name = N_ ("Thickness worn underneath"), .start = 6, .max = 40 },
  [THICKNESS] = { .key = "thickness", .name = N_ ("Leather thickness"), .start = 3.5, .max = 15 },
  [NEUTRAL]
  = { .key = "neutral", .name = N_ ("Neutral layer"), .kind = ENGINE_VALUE_SHARE, .start = 0.5, .max = 1 },
  [CLOSING] = { .key = "closing",
                .name = N_ ("Closed by"),
                .kind = ENGINE_VALUE_CHOICE,
                .max = 2,
                .choices = { { "gap", N_ ("lacing over a gap") },
                             { "lapped", N_ ("a lap") },
                             { "flush", N_ ("edge to edge") } } },
  [GAP] = { .key = "gap", .name = N_ ("Lacing gap"), .start = 24, .min = 0, .max = 500 },
  [LAP] = { .key = "lap", .name = N_ ("Lap"), .start = 20, .min = 0, .max = 200 },
  [SIDES] = { .key = "sides",
              .name = N_ ("How many"),
              .kind = ENGINE_VALUE_CHOICE,
              .max = 1,
              .choices = { { "pair", N_ ("a pair, left and right") }, { "one", N_ ("one") } } },
};

typedef struct Words
{
  const char *title, *panel, *wide, *narrow;
} Words;

static const Words words[] = {
  [USE_BRACER] = { N_ ("Bracers"), N_ ("Bracer"), N_ ("elbow"), N_ ("wrist") },
  [USE_GREAVE] = { N_ ("Greaves"), N_ ("Greave"), N_ ("knee"), N_ ("ankle") },
  [USE_TUBE] = { N_ ("Tube"), N_ ("Tube"), N_ ("wide end"), N_ ("narrow end") },
};

static bool
refuse_order (int use, double narrow, double wide, GError **error)
{
  g_autofree char *n = engine_draft_length (narrow), *w = engine_draft_length (wide);
  switch (use)
  {
  case USE_BRACER:
    return engine_draft_refuse (
      error, _ ("The wrist (%s) is wider than the forearm (%s) allows: exchange them or measure again."), n,
      w);
  case USE_GREAVE:
    return engine_draft_refuse (
      error, _ ("The ankle (%s) is wider than the calf (%s) allows: exchange them or measure again."), n, w);
  default:
    return engine_draft_refuse (
      error, _ ("The narrow end (%s) is wider than the wide one (%s): exchange them."), n, w);
  }
}

/* Wide end up.  Counter-clockwise from the right end of the upper rim. */
static ModelPanel *
draw_panel (EngineDraft *draft, const EngineRing *r, const Words *word, const char *closing[2])
{
  EnginePen pen;
  double half_wide = r->wide_mm / 2.0, half_narrow = r->narrow_mm / 2.0;
  if (r->flat)
  {
    double x = MARGIN_MM + half_wide;
    GeomPoint start = geom_point (x + half_wide, r->along_mm);
    engine_pen_begin (&pen, draft, _ (word->panel), start);
    engine_pen_edge (&pen, _ (word->wide));
    engine_pen_line (&pen, geom_point (x - half_wide, r->along_mm));
    engine_pen_edge (&pen, closing[0]);
    engine_pen_line (&pen, geom_point (x - half_narrow, 0.0));
    engine_pen_edge (&pen, _ (word->narrow));
    engine_pen_line (&pen, geom_point (x + half_narrow, 0.0));
    engine_pen_edge (&pen, closing[1]);
    engine_pen_line (&pen, start);
    return engine_pen_close (&pen);
  }
  half_wide = r->wide_rad / 2.0;
  half_narrow = r->narrow_rad / 2.0;
  GeomPoint centre = geom_point (MARGIN_MM + r->wide_radius_mm * sin (fmin (half_wide, G_PI / 2.0)),
                                 -r->narrow_radius_mm * cos (half_narrow));
  GeomPoint start = geom_along (centre, r->wide_radius_mm, geom_point (sin (half_wide), cos (half_wide)));
  engine_pen_begin (&pen, draft, _ (word->panel), start);
  engine_pen_edge (&pen, _ (word->wide));
  engine_pen_arc (&pen, centre, r->wide_rad);
  engine_pen_edge (&pen, closing[0]);
  engine_pen_line (
    &pen, geom_along (centre, r->narrow_radius_mm, geom_point (-sin (half_narrow), cos (half_narrow))));
  engine_pen_edge (&pen, _ (word->narrow));
  engine_pen_arc (&pen, centre, -r->narrow_rad);
  engine_pen_edge (&pen, closing[1]);
  engine_pen_line (&pen, start);
  return engine_pen_close (&pen);
}

static bool
draw (EngineDraft *draft, const double *v, GError **error)
{
  int use = (int)v[USE], closing = (int)v[CLOSING];
  if (v[NARROW] > v[WIDE])
    return refuse_order (use, v[NARROW], v[WIDE], error);
  double more = engine_draft_more (v[UNDER], v[THICKNESS], v[NEUTRAL]);
  double gap = closing == CLOSING_GAP ? v[GAP] : 0.0;
  if (v[NARROW] + more - gap < NARROWEST_MM)
    return engine_draft_refuse (error,
                                _ ("The lacing gap leaves too little at the narrow end: make it narrower."));
  EngineRing ring;
  if (!engine_ring_find (v[NARROW] + more, v[WIDE] + more, v[LENGTH], gap, &ring))
    return engine_draft_refuse (
      error, _ ("The girths differ too much for this length: laid flat, the piece would run into itself."));
  engine_draft_material (draft, v[THICKNESS], v[NEUTRAL]);
  engine_draft_head (draft, _ (words[use].title), _ ("A cone cut open, from two girths and the length."));
  const char *ends[3][2] = { [CLOSING_GAP] = { _ ("lacing, outer"), _ ("lacing, inner") },
                             [CLOSING_LAPPED] = { _ ("lap, outer"), _ ("lap, inner") },
                             [CLOSING_FLUSH] = { _ ("seam, outer"), _ ("seam, inner") } };
  ModelPanel *panel = draw_panel (draft, &ring, &words[use], ends[closing]);
  if (v[SIDES] < 0.5)
    engine_draft_pair (panel, 0.0);
  engine_draft_grain (panel, 90.0);
  bool open = closing == CLOSING_GAP && gap > 0.0;
  ModelJoinKind kind = closing == CLOSING_LAPPED ? MODEL_JOIN_LAPPED
                       : open                    ? MODEL_JOIN_GAP
                                                 : MODEL_JOIN_FLUSH;
  ModelJoin *join = engine_draft_join (draft, kind, panel, 3, panel, 1);
  join->gap_mm = open ? gap : 0.0;
  join->lap_mm = closing == CLOSING_LAPPED ? v[LAP] : 0.0;
  engine_draft_match (draft, join, engine_draft_edge_length (panel, 1) / 2.0, 1);
  return true;
}

const EngineStarter engine_starter_tube = {
  "tube",         N_ ("Tube"), N_ ("a bracer, a greave or any cone, from two girths and a length"),
  values_of_tube, VALUES,      draw,
};
