/* The torso: front (a pair, laced over a gap, with a waist dart), side (a pair) and back (on the fold).
 *
 *        neck _               _ neck
 *          .-' \ shoulder    / '-.
 *         /     \           /     |
 *   gap  |       )         (      | fold
 *   here |      /  \___/    \     |
 *   -----|-----|--|-----|----|----|-- chest
 *        |  /\  \  \   /    /     |
 *   -----|-/--\--|--|-|----|------|-- waist
 *        | \  / /  /   \    \     |
 *   -----|-|--|/--|-----|----\----|-- hip
 *
 * A block drafted from direct measures, as the books on flat pattern cutting do it: three levels are drawn
 * first, each as long as its girth asks, then armhole and neck are hung between lengths taken down the body.
 * The construction, its order and its shares are our own.  Figures marked [practice] are common practice
 * without a source: they decide how it looks, never how long it is.
 *
 * Two laws make it exact.  Level by level the widths add up to half the wanted girth, since each is what the
 * others leave over, and nodes lie on the levels.  And the two edges of every seam are mirror images, so what
 * one side takes in the other does too: their lengths agree to the last bit, and edges that cross the seam
 * run on smoothly, being square to it on both sides.
 *
 * Girths, lengths down the middle, the shoulder's length and the neckline come out as given.  Breadths only
 * guide: the width of the shoulders sets how steeply they fall, within limits; the widths across front and
 * back set how far the armhole bends in, as far as the shoulder tip and the side panel let it.
 */
#include "engine/starter-draft.h"
#include "engine/tolerance.h"

#include <glib/gi18n.h>

enum
{
  CHEST,
  WAIST,
  HIP,
  NECK_BASE,
  SHOULDER_LENGTH,
  SHOULDER_WIDTH,
  ACROSS_FRONT,
  ACROSS_BACK,
  BUST_POINTS,
  BACK_LENGTH,
  FRONT_LENGTH,
  SIDE_LENGTH,
  WAIST_TO_HIP,
  CHEST_HEIGHT,
  EASE,
  NECK_EASE,
  UNDER,
  THICKNESS,
  NEUTRAL,
  GAP,
  HEM,
  ARMHOLE_DROP,
  SHOULDERS,
  LAP,
  DART_ALLOWANCE,
  VALUES
};

#define LENGTH(key, name, start, min, max, measure)                                                          \
  {                                                                                                          \
    key, name, ENGINE_VALUE_LENGTH, start, min, max, { { NULL, NULL } }, { measure },                        \
    {                                                                                                        \
      0                                                                                                      \
    }                                                                                                        \
  }

/* Defaults: medians of the women in data/survey, rounded; what is not measured there: [practice]. */
static const EngineStarterValue values_of_torso[VALUES] = {
  [CHEST] = LENGTH ("chest_girth", N_ ("Chest"), 940, 500, 2000, "chest_girth"),
  [WAIST] = LENGTH ("waist_girth", N_ ("Waist"), 852, 400, 2000, "waist_girth"),
  [HIP] = LENGTH ("hip_girth", N_ ("Hips"), 1018, 500, 2000, "hip_girth"),
  [NECK_BASE] = LENGTH ("neck_base_girth", N_ ("Neck base"), 370, 200, 700, "neck_base_girth"),
  [SHOULDER_LENGTH] = LENGTH ("shoulder_length", N_ ("Shoulder length"), 135, 50, 250, "shoulder_length"),
  [SHOULDER_WIDTH] = LENGTH ("shoulder_width", N_ ("Shoulder width"), 390, 200, 700, "shoulder_width"),
  [ACROSS_FRONT] = LENGTH ("across_front", N_ ("Across the front"), 343, 150, 700, "across_front"),
  [ACROSS_BACK] = LENGTH ("across_back", N_ ("Across the back"), 373, 150, 700, "across_back"),
  [BUST_POINTS]
  = LENGTH ("bust_point_width", N_ ("Between the bust points"), 188, 80, 400, "bust_point_width"),
  [BACK_LENGTH] = LENGTH ("back_waist_length", N_ ("Back to waist"), 424, 200, 700, "back_waist_length"),
  [FRONT_LENGTH] = LENGTH ("front_waist_length", N_ ("Front to waist"), 355, 180, 600, "front_waist_length"),
  [SIDE_LENGTH] = LENGTH ("side_length", N_ ("Side"), 259, 120, 450, "side_length"),
  [WAIST_TO_HIP] = LENGTH ("waist_to_hip", N_ ("Waist to hips"), 147, 40, 350, "waist_to_hip"),
  [CHEST_HEIGHT] = LENGTH ("chest_height", N_ ("Chest line above the waist"), 191, 60, 400, NULL),
  [EASE] = LENGTH ("ease", N_ ("Ease round the body"), 30, -50, 300, NULL),
  [NECK_EASE] = LENGTH ("neck_ease", N_ ("Ease of the neckline"), 10, -20, 200, NULL),
  [UNDER] = LENGTH ("under", N_ ("Thickness worn underneath"), 8, 0, 40, NULL),
  [THICKNESS] = LENGTH ("thickness", N_ ("Leather thickness"), 3.5, 0, 15, NULL),
  [NEUTRAL]
  = { "neutral", N_ ("Neutral layer"), ENGINE_VALUE_SHARE, 0.5, 0, 1, { { NULL, NULL } }, { NULL }, { 0 } },
  [GAP] = LENGTH ("gap", N_ ("Lacing gap in front"), 40, 0, 200, NULL),
  [HEM] = LENGTH ("hem", N_ ("Hem below the waist"), 45, 15, 450, NULL),
  [ARMHOLE_DROP] = LENGTH ("armhole_drop", N_ ("Armhole below the armpit"), 25, 0, 100, NULL),
  [SHOULDERS] = { "shoulders",
                  N_ ("Shoulders"),
                  ENGINE_VALUE_CHOICE,
                  0,
                  0,
                  1,
                  { { "lapped", N_ ("lapped") }, { "flush", N_ ("edge to edge") } },
                  { NULL },
                  { 0 } },
  [LAP] = LENGTH ("lap", N_ ("Lap"), 12, 0, 60, NULL),
  [DART_ALLOWANCE] = LENGTH ("dart_allowance", N_ ("Allowance at the dart"), 0, 0, 15, NULL),
};

/* ---- shares and limits, all [practice] ---- */

#define HOOK_MM 22.0       /* the armhole runs so far out from the arm crease to the seam beside it */
#define SIDE_LEAST 0.20    /* of half the chest: a narrower side panel does not reach round under the arm */
#define SIDE_MOST 0.32     /* of half the chest: a wider one flattens the armhole */
#define DART_SHARE 0.30    /* of what half the waist is narrower than half the chest */
#define DART_LEAST_MM 12.0 /* a slimmer dart is not worth cutting: the seams take it */
#define DART_MOST_MM 45.0  /* a wider one stands off at its tip */
#define DART_MOUTH 0.35    /* at the hip, of its width at the waist */
#define DART_TIP_MM 20.0   /* a dart ends below the fullest place */
#define DART_SHORTEST_MM 60.0 /* from the waist to its tip */
#define DART_TIP_SLOPE 0.075  /* each leg at the tip: opens fast enough for a knife */
#define FRONT_SEAM_SHARE 0.45 /* of what both seams take in; the small of the back is hollower */
#define DIP_SHARE 0.17        /* of the side panel's width: how far its top sinks between its corners */
#define DIP_RAD 0.698         /* 40 degrees: how steeply the armhole crosses the seams */
#define ARMHOLE_LEAST_MM 90.0 /* from its corner up to the shoulder tip: less binds the arm */
#define CHEST_BELOW_MM 8.0    /* the chest line passes below the armhole by this at least */
#define SLOPE_LEAST_RAD 0.244 /* 14 degrees */
#define SLOPE_MOST_RAD 0.454  /* 26 degrees: bone to bone is shorter than over the back */
#define NAPE_RISE 0.30        /* of the neck's half width: side neck point above the nape */
#define NECK_DROP_MM 5.0      /* the front neck is as deep as it is half wide, and this */
#define NARROWEST_MM 40.0     /* of a panel at any level, and from neck to armhole */
#define NARROWEST_TOP_MM 15.0 /* from the gap to the side of the neck */
#define HIP_NODE_MM 0.5       /* a hem nearer the hip than this ends there */
#define BETWEEN_MM 60.0       /* bare paper between panels */
#define HEM_ARM 0.30          /* handles of the hem, of its chord */

typedef struct Block
{
  /* From the middle outward; the front's from the middle of the gap. */
  double half_gap, front, side, back;
  double front_in, back_in;   /* what each edge of a seam takes in at the waist */
  double front_out, back_out; /* what it gives out again down to the hip */
  double dart, mouth, dart_x, apex_y;
  double hem, hip, chest_y, corner_y;
  double neck, slope, shoulder;
  double pit_y, front_neck_y, nape_y, back_neck_y;
  double front_fold, back_fold; /* how far from the middle the armhole bends in */
} Block;

/* ---- the three levels ---- */

static double
layers (const double *v)
{
  return engine_draft_more (v[UNDER], v[THICKNESS], v[NEUTRAL]);
}

/* Half of what is wanted round a level, with half the gap. */
static double
half_round (const double *v, int level)
{
  return (v[level] + v[EASE] + layers (v)) / 2.0;
}

/* The chest: the seams lie beside the arm creases, the side panel gets what is left. */
static bool
find_chest (Block *b, const double *v, GError **error)
{
  double half = half_round (v, CHEST), worn = 1.0 + layers (v) / v[CHEST];
  b->front_fold = v[ACROSS_FRONT] / 2.0 * worn;
  b->back_fold = v[ACROSS_BACK] / 2.0 * worn;
  double front = b->front_fold + HOOK_MM, back = b->back_fold + HOOK_MM;
  b->side = CLAMP (half - front - back, SIDE_LEAST * half, SIDE_MOST * half);
  double rest = half - b->side;
  b->front = front + back > rest ? rest * front / (front + back) : front + (rest - front - back) / 2.0;
  b->back = rest - b->front;
  if (b->front - b->half_gap < 2.0 * NARROWEST_MM)
    return engine_draft_refuse (error,
                                _ ("The lacing gap leaves too little of the front: make it narrower."));
  return true;
}

/* Shares out what waist and hip differ from the level above.  Negative: the seams give out instead. */
static void
share_out (Block *b, const double *v, double dart)
{
  double in = half_round (v, CHEST) - half_round (v, WAIST);
  b->dart = dart;
  b->mouth = DART_MOUTH * dart;
  b->front_in = FRONT_SEAM_SHARE * (in - dart) / 2.0;
  b->back_in = (in - dart) / 2.0 - b->front_in;
  double out = half_round (v, HIP) - half_round (v, WAIST) - (b->dart - b->mouth);
  b->front_out = b->back_out = out / 4.0;
}

/* Under the bust point, with leather left on both sides of it.  False: there is no room for it. */
static bool
find_dart_x (Block *b, const double *v)
{
  double margin = (NARROWEST_MM + b->dart) / 2.0;
  double from = b->half_gap + margin;
  double to = b->front - b->front_in + fmin (0.0, b->front_out) - margin;
  double wanted = v[BUST_POINTS] / 2.0 * (1.0 + layers (v) / v[CHEST]);
  b->dart_x = CLAMP (wanted, from, fmax (from, to));
  return to >= from;
}

static bool
find_waist_and_hip (Block *b, const double *v, GError **error)
{
  double dart = fmin (DART_SHARE * (half_round (v, CHEST) - half_round (v, WAIST)), DART_MOST_MM);
  bool worth_it = dart >= DART_LEAST_MM && b->apex_y >= DART_SHORTEST_MM;
  share_out (b, v, worth_it ? dart : 0.0);
  if (!find_dart_x (b, v))
    share_out (b, v, 0.0);

  double front = b->front - b->half_gap - b->front_in - b->dart;
  double side = b->side - b->front_in - b->back_in, back = b->back - b->back_in;
  if (fmin (front, fmin (side, back)) < NARROWEST_MM)
    return engine_draft_refuse (error, _ ("The waist is too narrow for this chest: measure both again."));
  front += b->front_out + b->dart - b->mouth;
  side += b->front_out + b->back_out;
  back += b->back_out;
  if (fmin (front, fmin (side, back)) < NARROWEST_MM)
    return engine_draft_refuse (error, _ ("The hips are too narrow for this waist: measure both again."));
  return true;
}

/* ---- neck and shoulder ---- */

static GeomPoint
shoulder_square (const Block *b)
{
  return geom_point (sin (b->slope), cos (b->slope));
}

/* From the middle out to the side neck point; the middle at x = 0 of the back, at the gap of the front. */
static GeomCubic
neck_curve (const Block *b, double from_x, double low_y, double high_y)
{
  GeomPoint up = shoulder_square (b), end = geom_point (b->neck, high_y), start = geom_point (from_x, low_y);
  double rise = high_y - low_y;
  return (GeomCubic) { { start, geom_point (from_x + 0.55 * (b->neck - from_x), low_y),
                         geom_along (end, -0.55 * rise, up), end } };
}

/* The shoulder keeps its length; how steeply it falls follows from the width between the shoulder tips. */
static void
hang_shoulder (Block *b, const double *v, double neck)
{
  b->neck = neck;
  double run = (v[SHOULDER_WIDTH] / 2.0 - neck) / v[SHOULDER_LENGTH];
  b->slope = CLAMP (acos (CLAMP (run, -1.0, 1.0)), SLOPE_LEAST_RAD, SLOPE_MOST_RAD);
  b->front_neck_y = b->pit_y + neck + NECK_DROP_MM;
  b->back_neck_y = b->nape_y + NAPE_RISE * neck;
}

static double
neckline (Block *b, const double *v, double neck)
{
  hang_shoulder (b, v, neck);
  GeomCubic front = neck_curve (b, b->half_gap, b->pit_y, b->front_neck_y),
            back = neck_curve (b, 0.0, b->nape_y, b->back_neck_y);
  return geom_cubic_length (&front, ENGINE_TOL_LENGTH_MM) + geom_cubic_length (&back, ENGINE_TOL_LENGTH_MM);
}

/* The neckline grows with the neck's half width: bisected until a double has no finer one. */
static bool
find_neck (Block *b, const double *v, GError **error)
{
  double wanted = (v[NECK_BASE] + v[NECK_EASE] + layers (v)) / 2.0 - b->half_gap;
  double low = b->half_gap + NARROWEST_TOP_MM, high = 400.0;
  if (wanted < neckline (b, v, low) || wanted > neckline (b, v, high))
    return engine_draft_refuse (
      error,
      _ ("The neck is too tight for this lacing gap: make the gap narrower or give the neck more ease."));
  for (int i = 0; i < 60; i++)
  {
    double middle = (low + high) / 2.0;
    if (neckline (b, v, middle) < wanted)
      low = middle;
    else
      high = middle;
  }
  hang_shoulder (b, v, low);
  return true;
}

static bool
find_armhole (Block *b, const double *v, GError **error)
{
  double tip_x = b->neck + b->shoulder * cos (b->slope), fall = b->shoulder * sin (b->slope);
  double tip_y = fmin (b->front_neck_y, b->back_neck_y) - fall;
  double dip = DIP_SHARE * b->side;
  b->corner_y = fmin (v[SIDE_LENGTH] - v[ARMHOLE_DROP] + dip, tip_y - ARMHOLE_LEAST_MM);
  double below = b->corner_y - dip - CHEST_BELOW_MM;
  b->chest_y = fmin (v[CHEST_HEIGHT], below);
  if (b->chest_y < DART_SHORTEST_MM / 2.0)
    return engine_draft_refuse (
      error, _ ("The armhole comes down to the waist: the side or the front length is too short."));
  b->apex_y = b->chest_y - DART_TIP_MM;
  /* It bends in from the seam beside it and does not pass the shoulder tip by much. */
  double most = tip_x - 4.0;
  b->front_fold = fmin (b->front_fold, most);
  b->back_fold = fmin (b->back_fold, most);
  if (fmin (b->front_fold, b->back_fold) < b->neck + NARROWEST_MM)
    return engine_draft_refuse (
      error, _ ("The neck comes too near the armhole: across the front or back there is too little for it."));
  return true;
}

/* ---- drawing ---- */

/* An edge from the hem upward, at X0 at the chest, OUT pointing away from the panel (1 right, -1 left). */
typedef struct Rise
{
  GeomCubic piece[5];
  int count;
  int waist, chest; /* pieces below each level */
} Rise;

static GeomCubic
upright_curve (double x0, double y0, double x1, double y1)
{
  double arm = 0.4 * (y1 - y0);
  return (GeomCubic) { { { x0, y0 }, { x0, y0 + arm }, { x1, y1 - arm }, { x1, y1 } } };
}

static GeomCubic
straight (GeomPoint a, GeomPoint b)
{
  return (GeomCubic) { { a, a, b, b } };
}

/* From the hem up to the waist: the curve down to the hip, cut off at the hem, or drawn on straight below it.
 */
static void
rise_to_waist (Rise *rise, const Block *b, double hip_x, double waist_x)
{
  GeomCubic curve = upright_curve (hip_x, -b->hip, waist_x, 0.0);
  rise->count = 0;
  if (b->hem > b->hip + HIP_NODE_MM)
    rise->piece[rise->count++] = straight (geom_point (hip_x, -b->hem), geom_point (hip_x, -b->hip));
  if (b->hem < b->hip)
  {
    double low = 0.0, high = 1.0;
    for (int i = 0; i < 60; i++)
    {
      double t = (low + high) / 2.0;
      if (geom_cubic_at (&curve, t).y < -b->hem)
        low = t;
      else
        high = t;
    }
    curve = geom_cubic_part (&curve, low, 1.0);
    curve.p[0].y = -b->hem;
    curve.p[3] = geom_point (waist_x, 0.0);
  }
  rise->piece[rise->count++] = curve;
  rise->waist = rise->count;
}

static Rise
seam_rise (const Block *b, double x0, double out, double in_mm, double out_mm)
{
  Rise rise;
  double waist_x = x0 - out * in_mm;
  rise_to_waist (&rise, b, waist_x + out * out_mm, waist_x);
  rise.piece[rise.count++] = upright_curve (waist_x, 0.0, x0, b->chest_y);
  rise.chest = rise.count;
  rise.piece[rise.count++] = straight (geom_point (x0, b->chest_y), geom_point (x0, b->corner_y));
  return rise;
}

/* A leg of the dart, OUT of the middle of the dart. */
static Rise
dart_rise (const Block *b, double out)
{
  Rise rise;
  double half = b->dart / 2.0, height = b->apex_y;
  double slope = fmax (DART_TIP_SLOPE, 0.8 * half / height), arm = fmin (0.4 * height, 0.8 * half / slope);
  GeomPoint waist = geom_point (b->dart_x + out * half, 0.0), apex = geom_point (b->dart_x, height);
  rise_to_waist (&rise, b, b->dart_x + out * b->mouth / 2.0, waist.x);
  rise.piece[rise.count++] = (GeomCubic) { { waist, geom_point (waist.x, 0.4 * height),
                                             geom_point (apex.x + out * slope * arm, height - arm), apex } };
  rise.chest = rise.count;
  return rise;
}

static GeomPoint
rise_foot (const Rise *rise)
{
  return rise->piece[0].p[0];
}

/* The hem leaves and reaches an edge square to it; to the right. */
static GeomPoint
rise_square (const Rise *rise)
{
  return geom_right_of (geom_cubic_tangent (&rise->piece[0], 0.0));
}

static void
draw_up (EnginePen *pen, const Rise *rise)
{
  for (int i = 0; i < rise->count; i++)
    engine_pen_cubic (pen, &rise->piece[i]);
}

static void
draw_down (EnginePen *pen, const Rise *rise)
{
  for (int i = rise->count - 1; i >= 0; i--)
  {
    GeomCubic back = geom_cubic_reversed (&rise->piece[i]);
    engine_pen_cubic (pen, &back);
  }
}

/* To TO, leaving along A and arriving along B. */
static void
draw_hem (EnginePen *pen, GeomPoint a, GeomPoint to, GeomPoint b)
{
  double arm = HEM_ARM * geom_distance (pen->at, to);
  engine_pen_curve (pen, geom_along (pen->at, arm, a), geom_along (to, -arm, b), to);
}

/* From the corner over the side seam up to the shoulder tip, in the front's direction, middle at x = 0. */
static void
armhole_curves (const Block *b, double corner_x, double fold, double neck_y, GeomCubic out[2])
{
  GeomPoint corner = geom_point (corner_x, b->corner_y), up = shoulder_square (b);
  GeomPoint tip = geom_point (b->neck + b->shoulder * cos (b->slope), neck_y - b->shoulder * sin (b->slope));
  double middle_y = corner.y + 0.45 * (tip.y - corner.y);
  /* Steepness is set; so the bend must be near enough for the curve to turn upright below its middle. */
  double reach = 0.6 * (middle_y - corner.y) / tan (DIP_RAD);
  GeomPoint middle = geom_point (CLAMP (fold, corner.x - reach, corner.x - 4.0), middle_y);
  GeomPoint dir = geom_point (-cos (DIP_RAD), sin (DIP_RAD));
  double run = (corner.x - middle.x) / cos (DIP_RAD), meet_y = corner.y + run * sin (DIP_RAD);
  out[0] = (GeomCubic) { { corner, geom_along (corner, 0.6 * run, dir),
                           geom_point (middle.x, middle.y - 0.6 * (middle.y - meet_y)), middle } };
  double rise = tip.y - middle.y;
  out[1] = (GeomCubic) { { middle, geom_point (middle.x, middle.y + 0.4 * rise),
                           geom_along (tip, -0.35 * rise, up), tip } };
}

static const GeomPoint right = { 1.0, 0.0 };

static ModelPanel *
draw_front (EngineDraft *draft, const Block *b, const Rise *seam)
{
  EnginePen pen;
  GeomPoint start = geom_point (b->half_gap, -b->hem);
  engine_pen_begin (&pen, draft, _ ("Front"), start);
  if (b->dart > 0.0)
  {
    Rise inner = dart_rise (b, -1.0), outer = dart_rise (b, 1.0);
    engine_pen_edge (&pen, _ ("hem, inner"));
    draw_hem (&pen, right, rise_foot (&inner), rise_square (&inner));
    engine_pen_edge (&pen, _ ("dart, inner leg"));
    draw_up (&pen, &inner);
    engine_pen_edge (&pen, _ ("dart, outer leg"));
    draw_down (&pen, &outer);
    engine_pen_edge (&pen, _ ("hem, outer"));
    draw_hem (&pen, rise_square (&outer), rise_foot (seam), rise_square (seam));
  }
  else
  {
    engine_pen_edge (&pen, _ ("hem"));
    draw_hem (&pen, right, rise_foot (seam), rise_square (seam));
  }
  engine_pen_edge (&pen, _ ("side"));
  draw_up (&pen, seam);
  engine_pen_edge (&pen, _ ("armhole"));
  GeomCubic armhole[2];
  armhole_curves (b, b->front, b->front_fold, b->front_neck_y, armhole);
  engine_pen_cubic (&pen, &armhole[0]);
  engine_pen_cubic (&pen, &armhole[1]);
  engine_pen_edge (&pen, _ ("shoulder"));
  engine_pen_line (&pen, geom_point (b->neck, b->front_neck_y));
  engine_pen_edge (&pen, _ ("neck"));
  GeomCubic neck = neck_curve (b, b->half_gap, b->pit_y, b->front_neck_y), down = geom_cubic_reversed (&neck);
  engine_pen_cubic (&pen, &down);
  engine_pen_edge (&pen, _ ("middle"));
  engine_pen_line (&pen, start);
  ModelPanel *panel = engine_pen_close (&pen);
  engine_draft_pair (panel, 0.0);
  engine_draft_grain (panel, 90.0);
  return panel;
}

static ModelPanel *
draw_side (EngineDraft *draft, const Block *b, const Rise *left, const Rise *right_rise)
{
  EnginePen pen;
  engine_pen_begin (&pen, draft, _ ("Side"), rise_foot (left));
  engine_pen_edge (&pen, _ ("hem"));
  draw_hem (&pen, rise_square (left), rise_foot (right_rise), rise_square (right_rise));
  engine_pen_edge (&pen, _ ("back seam"));
  draw_up (&pen, right_rise);
  engine_pen_edge (&pen, _ ("underarm"));
  GeomPoint to = left->piece[left->count - 1].p[3];
  /* Sinks by 3/4 of the handles' fall: DIP_SHARE of the width. */
  double fall = DIP_SHARE / 0.75 * b->side, run = fall / tan (DIP_RAD);
  engine_pen_curve (&pen, geom_add (pen.at, geom_point (-run, -fall)), geom_add (to, geom_point (run, -fall)),
                    to);
  engine_pen_edge (&pen, _ ("front seam"));
  draw_down (&pen, left);
  ModelPanel *panel = engine_pen_close (&pen);
  engine_draft_pair (panel, 0.0);
  engine_draft_grain (panel, 90.0);
  return panel;
}

static GeomCubic
turned (const GeomCubic *c, double axis_x)
{
  return geom_cubic_mapped (c, (GeomAffine) { -1.0, 0.0, 0.0, 1.0, axis_x, 0.0 });
}

/* Lies left of its fold at AXIS_X. */
static ModelPanel *
draw_back (EngineDraft *draft, const Block *b, const Rise *seam, double axis_x)
{
  EnginePen pen;
  GeomPoint start = geom_point (axis_x, -b->hem);
  engine_pen_begin (&pen, draft, _ ("Back"), start);
  engine_pen_edge (&pen, _ ("middle"));
  engine_pen_line (&pen, geom_point (axis_x, b->nape_y));
  engine_pen_edge (&pen, _ ("neck"));
  GeomCubic neck = neck_curve (b, 0.0, b->nape_y, b->back_neck_y), half = turned (&neck, axis_x);
  engine_pen_cubic (&pen, &half);
  GeomCubic armhole[2];
  armhole_curves (b, b->back, b->back_fold, b->back_neck_y, armhole);
  engine_pen_edge (&pen, _ ("shoulder"));
  engine_pen_line (&pen, turned (&armhole[1], axis_x).p[3]);
  engine_pen_edge (&pen, _ ("armhole"));
  for (int i = 1; i >= 0; i--)
  {
    GeomCubic over = turned (&armhole[i], axis_x), down = geom_cubic_reversed (&over);
    engine_pen_cubic (&pen, &down);
  }
  engine_pen_edge (&pen, _ ("side"));
  draw_down (&pen, seam);
  engine_pen_edge (&pen, _ ("hem"));
  draw_hem (&pen, rise_square (seam), start, right);
  ModelPanel *panel = engine_pen_close (&pen);
  engine_draft_fold (panel, 0);
  engine_draft_grain (panel, 90.0);
  return panel;
}

/* ---- joins ---- */

static double
rise_length (const Rise *rise, int pieces)
{
  double sum = 0.0;
  for (int i = 0; i < pieces; i++)
    sum += geom_cubic_length (&rise->piece[i], ENGINE_TOL_LENGTH_MM);
  return sum;
}

/* Both runs of a seam start at the hem: marks at waist and chest. */
static void
join_seam (EngineDraft *draft, ModelPanel *a, guint a_edge, ModelPanel *b, guint b_edge, const Rise *rise)
{
  ModelJoin *join = engine_draft_join (draft, MODEL_JOIN_FLUSH, a, a_edge, b, b_edge);
  engine_draft_match (draft, join, rise_length (rise, rise->waist), 1);
  engine_draft_match (draft, join, rise_length (rise, rise->chest), 2);
}

static void
join_all (EngineDraft *draft,
          const double *v,
          ModelPanel *front,
          ModelPanel *side,
          ModelPanel *back,
          const Rise rises[3])
{
  bool dart = front->edges->len == 9;
  guint seam = dart ? 4 : 1; /* then armhole, shoulder, neck, middle */
  join_seam (draft, front, seam, side, 3, &rises[0]);
  join_seam (draft, side, 1, back, 4, &rises[2]);
  if (dart)
  {
    ModelJoin *join = engine_draft_join (draft, MODEL_JOIN_STITCHED, front, 1, front, 2);
    Rise leg = { .count = 0 };
    join->allowance_mm = v[DART_ALLOWANCE];
    const ModelEdge *edge = model_panel_edge (front, 1);
    /* At the waist: the node before the last piece. */
    for (guint k = 0; k + 1 < edge->nodes->len; k++)
    {
      const ModelNode *from = model_edge_node (edge, k), *to = model_edge_node (edge, k + 1);
      leg.piece[leg.count++] = (GeomCubic) { { from->at, from->out, to->in, to->at } };
    }
    engine_draft_match (draft, join, rise_length (&leg, leg.count), 1);
  }
  bool lapped = v[SHOULDERS] < 0.5;
  ModelJoin *shoulder
    = engine_draft_join (draft, lapped ? MODEL_JOIN_LAPPED : MODEL_JOIN_FLUSH, front, seam + 2, back, 2);
  if (lapped)
    shoulder->lap_mm = v[LAP];
  engine_draft_match (draft, shoulder, v[SHOULDER_LENGTH] / 2.0, 1);
  ModelJoin *middle = engine_draft_join (draft, v[GAP] > 0.0 ? MODEL_JOIN_GAP : MODEL_JOIN_FLUSH, front,
                                         seam + 4, front, seam + 4);
  middle->gap_mm = v[GAP];
  engine_draft_match (draft, middle, v[FRONT_LENGTH], 1);
}

/* ---- lines ---- */

/* Round the body at one of the levels on which the seams have nodes. */
static void
girth_line (
  EngineDraft *draft, const double *v, ModelPanel *panels[3], const char *name, const char *key, double y)
{
  guint seam = panels[0]->edges->len == 9 ? 4 : 1;
  /* The leather's own thickness is the line's own to add. */
  ModelLine *line = engine_draft_line (draft, MODEL_LINE_GIRTH, name, key,
                                       v[EASE] + engine_draft_more (v[UNDER], 0.0, 0.0));
  engine_draft_span_at (draft, line, panels[0], seam + 4, seam, y);
  engine_draft_span_at (draft, line, panels[1], 3, 1, y);
  engine_draft_span_at (draft, line, panels[2], 4, 0, y);
}

static void
draw_lines (EngineDraft *draft, const Block *b, const double *v, ModelPanel *panels[3])
{
  guint neck = (panels[0]->edges->len == 9 ? 4 : 1) + 3;
  girth_line (draft, v, panels, _ ("Chest line"), "chest_girth", b->chest_y);
  girth_line (draft, v, panels, _ ("Waist line"), "waist_girth", 0.0);
  if (b->hem > b->hip + HIP_NODE_MM)
    girth_line (draft, v, panels, _ ("Hip line"), "hip_girth", -b->hip);
  ModelLine *line = engine_draft_line (draft, MODEL_LINE_NECK, _ ("Neckline"), "neck_base_girth",
                                       v[NECK_EASE] + layers (v));
  /* It ends on the middle edge, whose gap counts. */
  engine_draft_span (draft, line, panels[0], neck, 0.0, neck + 1, 0.0);
  engine_draft_span (draft, line, panels[2], 1, 0.0, 1, engine_draft_edge_length (panels[2], 1));
}

static bool
draw (EngineDraft *draft, const double *v, GError **error)
{
  Block b = { .hem = v[HEM],
              .hip = v[WAIST_TO_HIP],
              .shoulder = v[SHOULDER_LENGTH],
              .pit_y = v[FRONT_LENGTH],
              .nape_y = v[BACK_LENGTH],
              .half_gap = v[GAP] / 2.0 };
  if (!find_chest (&b, v, error) || !find_neck (&b, v, error) || !find_armhole (&b, v, error)
      || !find_waist_and_hip (&b, v, error))
    return false;

  engine_draft_material (draft, v[THICKNESS], v[NEUTRAL]);
  engine_draft_head (draft, _ ("Torso"),
                     _ ("Drafted from measures.  Try it in cheap foam before leather is cut."));
  double bulge_front = fmax (0.0, b.front_out - b.front_in), bulge_back = fmax (0.0, b.back_out - b.back_in);
  double left = b.front + BETWEEN_MM + 2.0 * fmax (bulge_front, -fmin (0.0, b.front_in));
  double right_x = left + b.side;
  double axis = right_x + BETWEEN_MM + 2.0 * fmax (bulge_back, -fmin (0.0, b.back_in)) + b.back;
  Rise rises[4] = { seam_rise (&b, b.front, 1.0, b.front_in, b.front_out),
                    seam_rise (&b, left, -1.0, b.front_in, b.front_out),
                    seam_rise (&b, right_x, 1.0, b.back_in, b.back_out),
                    seam_rise (&b, axis - b.back, -1.0, b.back_in, b.back_out) };
  ModelPanel *front = draw_front (draft, &b, &rises[0]);
  ModelPanel *side = draw_side (draft, &b, &rises[1], &rises[2]);
  ModelPanel *back = draw_back (draft, &b, &rises[3], axis);
  join_all (draft, v, front, side, back, rises);
  draw_lines (draft, &b, v, (ModelPanel *[]) { front, side, back });
  return true;
}

const EngineStarter engine_starter_torso = {
  "torso",         N_ ("Torso"), N_ ("front, side and back from the measures of the body"),
  values_of_torso, VALUES,       draw,
};
