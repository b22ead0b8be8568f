#include "engine/taped.h"

#include "engine/tolerance.h"
#include "engine/words.h"
#include "model/tape.h"

#include <glib/gi18n.h>
#include <string.h>

enum
{
  SCAN_STEPS = 24,   /* slopes looked at before the best is refined */
  REFINE_STEPS = 24, /* Gauss and Newton */
  GRID = 6,          /* tops looked at, each way */
  STARTS = 5,        /* the best of them are walked down from */
  SEARCH_STEPS = 96, /* of the top, each a look at eight neighbours at most */
  MOST_TAPES = 64,
  PARTS = 8 /* of a curved piece, five points each */
};

/* Of a slope: a rounded dome ends upright at the rim; nothing pointed is steeper than this. */
#define STEEPEST 0.9999
#define FLATTEST (-12.0) /* a saddle that holds more than 900 degrees */
/* A way that passes the top nearer than this part of its length goes over it. */
#define OVER_PART 1e-9
#define LEAST_MM 1e-6
#define SMALL_SLOPE 1e-4
/* The top is found to a thousandth of a millimetre: a pen's line is three hundred times as wide. */
#define TOP_MM 1e-3

static const double gauss_x[5]
  = { 0.0, -0.5384693101056831, 0.5384693101056831, -0.9061798459386640, 0.9061798459386640 };
static const double gauss_w[5]
  = { 0.5688888888888889, 0.4786286704993665, 0.4786286704993665, 0.2369268850561891, 0.2369268850561891 };

typedef struct Fit
{
  const EngineTaping *tape[MOST_TAPES];
  guint index[MOST_TAPES];
  double flat_mm[MOST_TAPES];
  guint count;
  bool pointed;
  /* for the top that is looked at */
  GeomPoint apex;
  double reach_mm;
  bool rays, rings; /* some tape goes mostly outward, some mostly round */
  double ring, steep, square;
} Fit;

/* asin (sqrt (c) t) / sqrt (c), also for c below 0. */
static double
arc (double c, double t)
{
  if (fabs (c) * t * t < 1e-14)
    return t;
  double root = sqrt (fabs (c));
  return c > 0.0 ? asin (CLAMP (root * t, -1.0, 1.0)) / root : asinh (root * t) / root;
}

/* ---- the length of a way over a dome whose rings are as on the panel ---- */

/* T0, T1: along the line from the foot of the top, D away from it. */
static double
pointed_line (double steep, double d, double t0, double t1)
{
  double out = 1.0 / sqrt (1.0 - steep), length = t1 - t0;
  if (d <= OVER_PART * length)
    return out * (t0 < 0.0 && t1 > 0.0 ? t1 - t0 : fabs (fabs (t1) - fabs (t0)));
  /* t = d sinh y: even steps near the top, wide ones far off. */
  double y0 = asinh (t0 / d), y1 = asinh (t1 / d), sum = 0.0;
  int parts = (int)CLAMP (ceil ((y1 - y0) / 0.5), 1.0, 128.0);
  double half = (y1 - y0) / parts / 2.0;
  for (int i = 0; i < parts; i++)
    for (int k = 0; k < 5; k++)
    {
      double sine = sinh (y0 + half * (2.0 * i + 1.0 + gauss_x[k]));
      sum += gauss_w[k] * half * sqrt (sine * sine * out * out + 1.0);
    }
  return d * sum;
}

static double
line_over (const Fit *fit, double steep, GeomPoint a, GeomPoint b)
{
  double length = geom_distance (a, b);
  if (!(length > 0.0))
    return 0.0;
  GeomPoint way = geom_scale (geom_sub (b, a), 1.0 / length), from = geom_sub (a, fit->apex);
  double t0 = geom_dot (from, way), t1 = t0 + length, d = fabs (geom_cross (way, from));
  if (fit->pointed)
    return pointed_line (steep, d, t0, t1);
  /* A level cut through a sphere is a circle again. */
  double reach2 = fit->reach_mm * fit->reach_mm;
  double left = MAX (1.0 - steep * d * d / reach2, 1e-12);
  double c = steep / (left * reach2);
  return arc (c, t1) - arc (c, t0);
}

static double
curve_over (const Fit *fit, double steep, const GeomCubic *piece)
{
  double sum = 0.0, reach2 = fit->reach_mm * fit->reach_mm;
  for (int i = 0; i < PARTS; i++)
    for (int k = 0; k < 5; k++)
    {
      double t = (i + 0.5 + gauss_x[k] / 2.0) / PARTS;
      GeomPoint at = geom_sub (geom_cubic_at (piece, t), fit->apex), speed = geom_cubic_velocity (piece, t);
      double r2 = geom_dot (at, at), out = geom_dot (at, speed), round = geom_cross (at, speed);
      if (!(r2 > 0.0))
        continue;
      double slope = MAX (1.0 - steep * (fit->pointed ? 1.0 : MIN (r2 / reach2, 1.0)), 1e-9);
      sum += gauss_w[k] / (2.0 * PARTS) * sqrt ((out * out / slope + round * round) / r2);
    }
  return sum;
}

static double
way_over (const Fit *fit, double steep, const GeomPath *way)
{
  double sum = 0.0;
  for (size_t i = 0; i < way->count; i++)
    sum += geom_cubic_is_straight (&way->piece[i], LEAST_MM)
             ? line_over (fit, steep, way->piece[i].p[0], way->piece[i].p[3])
             : curve_over (fit, steep, &way->piece[i]);
  return sum;
}

/* True over drawn ray, for rings as drawn. */
static double
ray_of (const Fit *fit, double steep)
{
  return fit->pointed ? 1.0 / sqrt (1.0 - steep) : arc (steep, 1.0);
}

/* ---- ring and slope for a given top ---- */

static void
residuals (Fit *fit, double steep, double *out)
{
  double over[MOST_TAPES], across = 0.0, square = 0.0;
  for (guint i = 0; i < fit->count; i++)
  {
    over[i] = way_over (fit, steep, fit->tape[i]->way);
    across += over[i] * fit->tape[i]->wrap_mm;
    square += over[i] * over[i];
  }
  fit->ring = !fit->rings ? 1.0 : fit->rays ? across / square : 1.0 / ray_of (fit, steep);
  fit->steep = steep;
  fit->square = 0.0;
  for (guint i = 0; i < fit->count; i++)
  {
    out[i] = fit->tape[i]->wrap_mm - fit->ring * over[i];
    fit->square += out[i] * out[i];
  }
}

static double
limited (double steep)
{
  return CLAMP (steep, FLATTEST, STEEPEST);
}

static void
refine (Fit *fit, double steep)
{
  double here[MOST_TAPES], there[MOST_TAPES];
  residuals (fit, steep, here);
  for (int step = 0; step < REFINE_STEPS; step++)
  {
    double was = fit->square, small = 1e-6 * (1.0 - steep), top = 0.0, bottom = 0.0;
    residuals (fit, steep - small, there);
    for (guint i = 0; i < fit->count; i++)
    {
      double rate = (here[i] - there[i]) / small;
      top += rate * here[i];
      bottom += rate * rate;
    }
    double by = bottom > 0.0 ? -top / bottom : 0.0, next = limited (steep + by);
    residuals (fit, next, there);
    for (int halving = 0; halving < 8 && fit->square > was; halving++)
    {
      next = steep + (next - steep) / 2.0;
      residuals (fit, next, there);
    }
    if (fit->square > was)
    {
      residuals (fit, steep, here);
      return;
    }
    bool rests = fabs (next - steep) <= 1e-13;
    steep = next;
    memcpy (here, there, sizeof here);
    if (rests)
      return;
  }
}

static void
set_top (Fit *fit, GeomPoint apex)
{
  fit->apex = apex;
  fit->reach_mm = LEAST_MM;
  for (guint i = 0; i < fit->count; i++)
  {
    const GeomPath *way = fit->tape[i]->way;
    for (size_t k = 0; k < way->count; k++)
      for (int p = 0; p < 4; p++)
        fit->reach_mm = MAX (fit->reach_mm, geom_distance (way->piece[k].p[p], apex));
  }
}

/* Which way the tapes go as seen from the top. */
static void
find_ways (Fit *fit)
{
  Fit cone = *fit;
  cone.pointed = true;
  fit->rays = fit->rings = false;
  for (guint i = 0; i < fit->count; i++)
  {
    /* To first order a slope lengthens a way by half of what of it goes outward. */
    const GeomPath *way = fit->tape[i]->way;
    double outward = (way_over (&cone, SMALL_SLOPE, way) - way_over (&cone, -SMALL_SLOPE, way)) / SMALL_SLOPE
                     / fit->flat_mm[i];
    fit->rays = fit->rays || outward >= 0.5;
    fit->rings = fit->rings || outward < 0.5;
  }
}

/* The best slope for a top, the ways being known. */
static void
fit_slope (Fit *fit, GeomPoint apex)
{
  set_top (fit, apex);
  double best = INFINITY, start = 0.0, unused[MOST_TAPES];
  for (int i = 0; i <= SCAN_STEPS; i++)
  {
    double x = -2.0 + (2.0 + G_PI / 2.0) * i / SCAN_STEPS;
    double steep = limited (x < 0.0 ? -sinh (x) * sinh (x) : sin (x) * sin (x));
    residuals (fit, steep, unused);
    if (fit->square < best)
    {
      best = fit->square;
      start = steep;
    }
  }
  refine (fit, start);
}

static void
fit_at (Fit *fit, GeomPoint apex)
{
  set_top (fit, apex);
  find_ways (fit);
  fit_slope (fit, apex);
}

/* ---- the top ---- */

/* The point with the least sum of squares to the lines through the ends of the ways; where they do not say,
 * their middles do. */
static GeomPoint
crossing (const Fit *fit, bool *placed)
{
  double a = 0.0, b = 0.0, c = 0.0, x = 0.0, y = 0.0, weights = 0.0;
  GeomPoint middle = { 0.0, 0.0 };
  for (guint i = 0; i < fit->count; i++)
  {
    const GeomPath *way = fit->tape[i]->way;
    GeomPoint p = way->piece[0].p[0], q = way->piece[way->count - 1].p[3];
    double weight = fabs (fit->tape[i]->wrap_mm - fit->flat_mm[i]) + LEAST_MM;
    middle = geom_along (middle, weight, geom_mix (p, q, 0.5));
    weights += weight;
    GeomPoint n = geom_left_of (geom_unit (geom_sub (q, p)));
    double off = geom_dot (n, p);
    a += n.x * n.x;
    b += n.x * n.y;
    c += n.y * n.y;
    x += n.x * off;
    y += n.y * off;
  }
  middle = geom_scale (middle, 1.0 / weights);
  *placed = a * c - b * b > 1e-3 * (a + c) * (a + c);
  if (*placed)
    return geom_point ((c * x - b * y) / (a * c - b * b), (a * y - b * x) / (a * c - b * b));
  double keep = 1e-3;
  a += keep;
  c += keep;
  x += keep * middle.x;
  y += keep * middle.y;
  return geom_point ((c * x - b * y) / (a * c - b * b), (a * y - b * x) / (a * c - b * b));
}

static GeomBox
box_of (const Fit *fit)
{
  GeomBox box = geom_box_empty ();
  for (guint i = 0; i < fit->count; i++)
    box = geom_box_union (box, geom_path_box (fit->tape[i]->way));
  return box;
}

/* Downhill from BEST in ever smaller steps until they are FINEST. */
static void
walk_down (Fit *best, GeomBox box, double step, double finest)
{
  static const GeomPoint ways[] = { { 1, 0 },     { 0, 1 },      { -1, 0 },      { 0, -1 },
                                    { 0.7, 0.7 }, { -0.7, 0.7 }, { -0.7, -0.7 }, { 0.7, -0.7 } };
  Fit fit = *best;
  for (int i = 0; i < SEARCH_STEPS && step > finest; i++)
  {
    bool nearer = false;
    for (guint k = 0; k < G_N_ELEMENTS (ways) && !nearer; k++)
    {
      GeomPoint to = geom_along (best->apex, step, ways[k]);
      if (to.x < box.x0 || to.x > box.x1 || to.y < box.y0 || to.y > box.y1)
        continue;
      set_top (&fit, to);
      refine (&fit, best->steep);
      nearer = fit.square < best->square;
      if (nearer)
        *best = fit;
    }
    if (!nearer)
      step /= 2.0;
  }
}

/* From the crossing to where one dome explains the tapes best, if that is much better.  Tapes over a pointed
 * dome leave several hollows in the sum of squares: the deepest few places of a grid are walked down from.
 * Which tapes go round is settled at the crossing: elsewhere another answer would free the ring, and a wrong
 * top would fit. */
static bool
search_top (Fit *fit, GeomPoint start)
{
  GeomBox box = box_of (fit);
  fit_at (fit, geom_point (CLAMP (start.x, box.x0, box.x1), CLAMP (start.y, box.y0, box.y1)));
  Fit first = *fit, best = *fit;
  double step = MAX (box.x1 - box.x0, box.y1 - box.y0) / (GRID + 1);
  if (sqrt (first.square / fit->count) < ENGINE_TOL_LENGTH_MM || !(step > TOP_MM))
    return true;
  g_autofree Fit *starts = g_new (Fit, STARTS);
  guint count = 0;
  for (int i = 1; i <= GRID * GRID; i++)
  {
    fit_slope (fit, geom_point (box.x0 + (box.x1 - box.x0) * (1 + (i - 1) % GRID) / (GRID + 1),
                                box.y0 + (box.y1 - box.y0) * (1 + (i - 1) / GRID) / (GRID + 1)));
    guint at = count < STARTS ? count++ : STARTS - 1;
    if (at == STARTS - 1 && count == STARTS && i > STARTS && fit->square >= starts[at].square)
      continue;
    for (; at > 0 && starts[at - 1].square > fit->square; at--)
      starts[at] = starts[at - 1];
    starts[at] = *fit;
  }
  for (guint i = 0; i < count; i++)
  {
    walk_down (&starts[i], box, step / 2.0, step / 64.0);
    if (starts[i].square < best.square)
      best = starts[i];
  }
  walk_down (&best, box, step / 32.0, TOP_MM);
  bool better = best.square < 0.25 * first.square;
  *fit = better ? best : first;
  return better;
}

/* ---- what it says ---- */

static double
saddle_strain (double steep)
{
  double x = asinh (sqrt (-steep)), p = x > 0.0 ? sinh (x) / x : 1.0;
  return (p - 1.0) / (p + 1.0);
}

static EngineDome
dome_of (const EngineDomeFit *fit)
{
  double base = fit->ring * fit->reach_mm, slant = fit->ray * fit->reach_mm,
         wedge = 2.0 * G_PI * (1.0 - sqrt (1.0 - fit->steep));
  if (fit->steep > 0.0)
  {
    double height = fit->pointed ? base * sqrt (fit->steep / (1.0 - fit->steep))
                                 : base / sqrt (fit->steep) * (1.0 - sqrt (1.0 - fit->steep));
    EngineDome dome = fit->pointed ? engine_dome_cone (base, height) : engine_dome_cap (base, height);
    dome.slant_mm = slant;
    dome.short_mm = fit->short_mm;
    return dome;
  }
  return (EngineDome) { .base_radius_mm = base,
                        .slant_mm = slant,
                        .short_mm = fit->short_mm,
                        .wedge_rad = wedge,
                        .least_strain = saddle_strain (fit->steep) };
}

static void
take_tapes (Fit *fit, const EngineTaping *tapes, guint count)
{
  for (guint i = 0; i < count && fit->count < MOST_TAPES; i++)
  {
    double flat = tapes[i].way != NULL && tapes[i].way->count > 0
                    ? geom_path_length (tapes[i].way, ENGINE_TOL_LENGTH_MM)
                    : 0.0;
    if (!(flat > LEAST_MM) || !isfinite (flat) || !(tapes[i].wrap_mm > LEAST_MM)
        || !isfinite (tapes[i].wrap_mm))
      continue;
    fit->tape[fit->count] = &tapes[i];
    fit->index[fit->count] = i;
    fit->flat_mm[fit->count++] = flat;
  }
}

static void
fit_all (Fit *fit, const GeomPoint *apex, bool *placed)
{
  *placed = apex != NULL;
  if (apex != NULL)
  {
    fit_at (fit, *apex);
    return;
  }
  GeomPoint start = crossing (fit, placed);
  if (fit->count >= 3)
    *placed = search_top (fit, start) || *placed;
  else
    fit_at (fit, start);
}

/* By more than a steady hand does. */
static bool
misses (const Fit *fit)
{
  return fit->count > 1 && sqrt (fit->square / fit->count) > ENGINE_TAPING_ERROR_MM / 3.0;
}

/* A rounded dome is as steep as can be, or does not explain the tapes: perhaps a pointed one does. */
static void
try_pointed (Fit *fit, const GeomPoint *apex, bool *placed)
{
  Fit round = *fit;
  bool round_placed = *placed, missed = misses (fit);
  fit->pointed = true;
  fit_all (fit, apex, placed);
  if (missed && fit->square > 0.25 * round.square)
  {
    *fit = round;
    *placed = round_placed;
  }
}

EngineDomeFit
engine_dome_fit (const EngineTaping *tapes, guint count, const GeomPoint *apex, bool pointed)
{
  EngineDomeFit out = { .known = false };
  g_autofree Fit *fit = g_new0 (Fit, 1);
  double left[MOST_TAPES], differences = 0.0;
  take_tapes (fit, tapes, count);
  if (fit->count == 0 || (apex != NULL && (!isfinite (apex->x) || !isfinite (apex->y))))
    return out;
  fit->pointed = pointed;
  fit_all (fit, apex, &out.apex_placed);
  if (!pointed && (fit->steep >= STEEPEST - SMALL_SLOPE || misses (fit)))
    try_pointed (fit, apex, &out.apex_placed);
  out.known = true;
  out.pointed = fit->pointed;
  out.count = fit->count;
  out.apex = fit->apex;
  out.reach_mm = fit->reach_mm;
  residuals (fit, fit->steep, left);
  out.ring = fit->ring;
  out.steep = fit->steep;
  out.ray = fit->ring * ray_of (fit, fit->steep);
  for (guint i = 0; i < fit->count; i++)
  {
    double differs = fit->tape[i]->wrap_mm - fit->flat_mm[i];
    differences += differs * differs;
    if (i == 0 || fabs (differs) > fabs (out.short_mm))
    {
      out.short_mm = differs;
      out.short_tape = fit->index[i];
    }
    if (i == 0 || fabs (left[i]) > out.worst_mm)
    {
      out.worst_mm = fabs (left[i]);
      out.worst_tape = fit->index[i];
    }
  }
  out.error_mm = sqrt (fit->square / fit->count);
  out.contradictory = out.worst_mm > ENGINE_TAPING_ERROR_MM && fit->square > 0.1 * differences;
  out.dome = dome_of (&out);
  return out;
}

double
engine_dome_fit_length (const EngineDomeFit *fit, const GeomPath *way)
{
  Fit at = { .apex = fit->apex, .reach_mm = fit->reach_mm, .pointed = fit->pointed };
  return fit->known ? fit->ring * way_over (&at, fit->steep, way) : NAN;
}

/* ---- of a panel ---- */

/* Two free ends nearer than this are one pin. */
#define ONE_PIN_MM 0.5

static bool
find_pin (const GArray *pins, GeomPoint *top)
{
  guint most = 0, places = 0;
  for (guint i = 0; i < pins->len; i++)
  {
    GeomPoint at = g_array_index (pins, GeomPoint, i);
    guint same = 0;
    bool first = true;
    for (guint k = 0; k < pins->len; k++)
      if (geom_distance (at, g_array_index (pins, GeomPoint, k)) <= ONE_PIN_MM)
      {
        same++;
        first = first && k >= i;
      }
    places += first;
    if (same > most)
    {
      most = same;
      *top = at;
    }
  }
  return most >= 2 || places == 1;
}

EngineDomeFit
engine_panel_dome (const ModelPanel *panel, bool twin, bool pointed)
{
  GeomPath ways[MOST_TAPES];
  EngineTaping tapes[MOST_TAPES];
  guint count = 0;
  g_autoptr (GArray) pins = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  for (guint i = 0; i < panel->tapes->len && count < MOST_TAPES; i++)
  {
    const ModelTape *tape = &g_array_index (panel->tapes, ModelTape, i);
    ModelTapeReading reading;
    geom_path_init (&ways[count]);
    if (!model_tape_read (panel, tape, twin, &reading) || !reading.has_wrap
        || !model_tape_way (panel, tape, twin, &ways[count]))
    {
      geom_path_clear (&ways[count]);
      continue;
    }
    tapes[count] = (EngineTaping) { &ways[count], tape->wrap_mm };
    count++;
    /* A tape that is free at both ends begins nowhere in particular. */
    if ((tape->a_mark_id == 0) != (tape->b_mark_id == 0))
      g_array_append_val (pins, *(tape->a_mark_id == 0 ? &reading.a : &reading.b));
  }
  GeomPoint top;
  EngineDomeFit fit = engine_dome_fit (tapes, count, find_pin (pins, &top) ? &top : NULL, pointed);
  for (guint i = 0; i < count; i++)
    geom_path_clear (&ways[i]);
  return fit;
}

/* ---- in words ---- */

double
engine_dome_seam_bulge_mm (const EngineDome *dome)
{
  return dome->wedge_rad > 0.0 ? dome->slant_mm * tan (dome->wedge_rad / 8.0) : 0.0;
}

static char *
missing_words (const ModelDocument *doc, const EngineDomeFit *fit)
{
  g_autofree char *mm = engine_words_length (doc, fabs (fit->short_mm));
  if (fit->short_mm > 0.0)
    return g_strdup_printf (fit->count > 1 ? _ ("Where the tapes differ most the flat panel is %s too short.")
                                           : _ ("At the tape the flat panel is %s too short."),
                            mm);
  return g_strdup_printf (fit->count > 1 ? _ ("Where the tapes differ most the flat panel is %s too long.")
                                         : _ ("At the tape the flat panel is %s too long."),
                          mm);
}

static char *
relief_words (const EngineDomeFit *fit, const ModelMaterial *material)
{
  double degrees = fabs (fit->dome.wedge_rad) * 180.0 / G_PI;
  switch (engine_dome_relief (&fit->dome, material))
  {
  case ENGINE_RELIEF_NONE:
    return g_strdup_printf (_ ("It will lie down as it is. The wedge would be %.1f°."), degrees);
  case ENGINE_RELIEF_FORM:
    return g_strdup_printf (_ ("Form it, or take out a wedge of %.1f° at the top."), degrees);
  case ENGINE_RELIEF_DART:
    return g_strdup_printf (_ ("A dart of %.1f° to the top takes it out."), degrees);
  case ENGINE_RELIEF_SEAM:
    return g_strdup_printf (_ ("%.1f° must come out, too much for one dart: cut it apart through the top, or "
                               "share it out."),
                            degrees);
  case ENGINE_RELIEF_SPREAD:
    return g_strdup_printf (_ ("It opens like a saddle: slash it to the top and spread it by %.1f°."),
                            degrees);
  }
  return g_strdup ("");
}

GPtrArray *
engine_dome_fit_words (const ModelDocument *doc, const EngineDomeFit *fit, const ModelMaterial *material)
{
  GPtrArray *out = g_ptr_array_new_with_free_func (g_free);
  if (!fit->known)
    return out;
  if (fit->contradictory)
  {
    g_autofree char *off = engine_words_length (doc, fit->worst_mm);
    g_ptr_array_add (out, g_strdup_printf (_ ("The tapes do not agree: no one dome comes nearer to all of "
                                              "them than %s. Tape again there."),
                                           off));
    return out;
  }
  g_ptr_array_add (out, missing_words (doc, fit));
  EngineRelief relief = engine_dome_relief (&fit->dome, material);
  double longer = (fit->ray - 1.0) * fit->reach_mm;
  g_ptr_array_add (out, relief_words (fit, material));
  if (relief != ENGINE_RELIEF_NONE && relief != ENGINE_RELIEF_SPREAD && fabs (longer) >= 0.1)
  {
    g_autofree char *mm = engine_words_length (doc, fabs (longer));
    g_ptr_array_add (
      out, g_strdup_printf (longer > 0.0 ? _ ("Then from the top to the edge the panel must be %s longer.")
                                         : _ ("Then from the top to the edge the panel must be %s shorter."),
                            mm));
  }
  if (relief == ENGINE_RELIEF_SEAM || relief == ENGINE_RELIEF_DART)
  {
    g_autofree char *mm = engine_words_length (doc, engine_dome_seam_bulge_mm (&fit->dome));
    g_ptr_array_add (
      out, g_strdup_printf (_ ("Cut apart instead, each new edge bulges by %s in the middle."), mm));
  }
  g_ptr_array_add (
    out, g_strdup_printf (_ ("Left in, the material must give %.1f %%."), fit->dome.least_strain * 100.0));
  if (fit->count == 1)
    g_ptr_array_add (out, g_strdup (fit->apex_placed
                                      ? _ ("One tape: the dome is taken for round.")
                                      : _ ("One tape: the dome is taken for round, its top for the middle of "
                                           "the tape.")));
  else if (!fit->apex_placed)
    g_ptr_array_add (out, g_strdup (_ ("The tapes run side by side: the top is taken to lie midway along "
                                       "them. Tape across them too.")));
  if (fit->pointed && fit->count > 1)
    g_ptr_array_add (out, g_strdup (_ ("The dome is pointed, straight from the rim to the top.")));
  if (fit->error_mm >= 0.1)
  {
    g_autofree char *mm = engine_words_length (doc, fit->error_mm);
    g_ptr_array_add (out, g_strdup_printf (_ ("The tapes agree with this dome to %s."), mm));
  }
  return out;
}
