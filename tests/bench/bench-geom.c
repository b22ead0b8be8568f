/* Lengths, nearest points and self-crossings, beside the libraries a packager has at hand: both in one
 * process and one run, so that the ratio holds on any machine.
 *
 * Each row is timed in turn with its rival, several rounds, and the best round of each counts: another
 * program's burst then spoils neither.  Ends with 1 when a row misses its reach.
 */
#include "geom/path.h"

#include "../geom/curves.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#define CURVES 10000
#define ROUNDS 9
#define PANELS 200
#define PANEL_PIECES 12
#define LONG_PIECES 10000

void *lib2geom_curves_new (const double *xy, size_t count);
void lib2geom_curves_free (void *curves);
void lib2geom_curves_nearest (const void *curves, const double *points, double *t);

typedef struct Set
{
  const char *name;
  GeomCubic curve[CURVES];
  GeomPoint point[CURVES];
  double ours[CURVES], theirs[CURVES];
  void *lib2geom;
  gsl_integration_workspace *workspace;
} Set;

static double
seconds (void)
{
  struct timespec now;
  clock_gettime (CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static double
timed (void (*run) (Set *), Set *set)
{
  double start = seconds ();
  run (set);
  return seconds () - start;
}

/* ---- length ---- */

static void
our_lengths (Set *set)
{
  for (int i = 0; i < CURVES; i++)
    set->ours[i] = geom_cubic_length (&set->curve[i], 1e-9);
}

/* The velocity in powers of t, worked out once a curve: the cheapest integrand a careful caller would write.
 */
static double
speed_at (double t, void *user)
{
  const double *k = user;
  double x = (k[0] * t + k[1]) * t + k[2], y = (k[3] * t + k[4]) * t + k[5];
  return sqrt (x * x + y * y);
}

static void
gsl_lengths (Set *set)
{
  for (int i = 0; i < CURVES; i++)
  {
    const GeomPoint *p = set->curve[i].p;
    double k[6] = { 3 * (p[3].x - 3 * p[2].x + 3 * p[1].x - p[0].x),
                    6 * (p[2].x - 2 * p[1].x + p[0].x),
                    3 * (p[1].x - p[0].x),
                    3 * (p[3].y - 3 * p[2].y + 3 * p[1].y - p[0].y),
                    6 * (p[2].y - 2 * p[1].y + p[0].y),
                    3 * (p[1].y - p[0].y) };
    gsl_function f = { speed_at, k };
    double error;
    gsl_integration_qag (&f, 0, 1, 1e-9, 0, 1000, GSL_INTEG_GAUSS31, set->workspace, &set->theirs[i], &error);
  }
}

/* ---- nearest ---- */

static void
our_nearest (Set *set)
{
  for (int i = 0; i < CURVES; i++)
    set->ours[i] = geom_cubic_nearest (&set->curve[i], set->point[i]).t;
}

static void
lib2geom_nearest (Set *set)
{
  lib2geom_curves_nearest (set->lib2geom, &set->point[0].x, set->theirs);
}

/* ---- rows ---- */

static void
make_set (Set *set, const char *name, GeomCubic (*draw) (uint64_t *), uint64_t seed)
{
  set->name = name;
  for (int i = 0; i < CURVES; i++)
  {
    set->curve[i] = draw (&seed);
    set->point[i] = random_point (&seed);
  }
  set->lib2geom = lib2geom_curves_new (&set->curve[0].p[0].x, CURVES);
  set->workspace = gsl_integration_workspace_alloc (1000);
}

static void
clear_set (Set *set)
{
  lib2geom_curves_free (set->lib2geom);
  gsl_integration_workspace_free (set->workspace);
}

/* REACH 0: nothing to reach, only shown. */
static bool
compare (
  const char *what, const char *rival, Set *set, void (*ours) (Set *), void (*theirs) (Set *), double reach)
{
  double our_best = INFINITY, their_best = INFINITY;
  for (int i = 0; i < ROUNDS; i++)
  {
    our_best = fmin (our_best, timed (ours, set));
    their_best = fmin (their_best, timed (theirs, set));
  }
  double ratio = our_best / their_best;
  printf ("%-8s %s  %8.0f ns  %-24s %8.0f ns  ratio %.3f", what, set->name, 1e9 * our_best / CURVES, rival,
          1e9 * their_best / CURVES, ratio);
  if (reach > 0.0)
    printf ("  reach %.2f%s", reach, ratio <= reach ? "" : "  MISSED");
  printf ("\n");
  return !(reach > 0.0) || ratio <= reach;
}

static double
distance_at (const Set *set, int i, double t)
{
  return geom_distance (geom_cubic_at (&set->curve[i], t), set->point[i]);
}

static bool
measure_set (Set *set, double length_reach, double nearest_reach)
{
  bool reached = compare ("length", "GSL QAG, 31 points", set, our_lengths, gsl_lengths, length_reach);
  int apart = 0;
  for (int i = 0; i < CURVES; i++)
    apart += fabs (set->ours[i] - set->theirs[i]) > 1e-9;
  printf ("         %d lengths differ by more than 1e-9 mm (test-length.c has a judge for ours)\n", apart);
  reached &= compare ("nearest", "lib2geom nearestTime", set, our_nearest, lib2geom_nearest, nearest_reach);
  int our_misses = 0, their_misses = 0;
  for (int i = 0; i < CURVES; i++)
  {
    double ours = distance_at (set, i, set->ours[i]), theirs = distance_at (set, i, set->theirs[i]);
    our_misses += ours > theirs + 1e-6;
    their_misses += theirs > ours + 1e-6;
  }
  printf ("         misses by more than 1e-6 mm: ours %d, theirs %d\n", our_misses, their_misses);
  return reached && our_misses == 0;
}

/* A round outline with a wave in it, PIECES smooth cubics. */
static void
make_outline (GeomPath *path, int pieces, double waves, uint64_t *state)
{
  double size = random_between (state, 100.0, 400.0), phase = random_between (state, 0.0, 6.0);
  GeomPoint node[3];
  for (int i = 0; i < pieces; i++)
  {
    GeomPoint around[4];
    for (int k = 0; k < 4; k++)
    {
      double angle = 2 * M_PI * ((i + k - 1 + pieces) % pieces) / pieces,
             radius = size * (1 + 0.2 * sin (waves * angle + phase));
      around[k] = geom_point (radius * cos (angle), radius * sin (angle));
    }
    node[0] = geom_scale (geom_sub (around[2], around[0]), 1.0 / 6.0);
    node[1] = geom_scale (geom_sub (around[3], around[1]), 1.0 / 6.0);
    GeomCubic c = { { around[1], geom_add (around[1], node[0]), geom_sub (around[2], node[1]), around[2] } };
    geom_path_append (path, &c);
  }
  path->closed = true;
}

static bool
measure_self_crossings (void)
{
  static GeomPath panel[PANELS];
  GeomPath long_path = { 0 };
  uint64_t state = 6;
  GeomSelfCrossing found[4];
  size_t count = 0;
  for (int i = 0; i < PANELS; i++)
    make_outline (&panel[i], PANEL_PIECES, 3.0, &state);
  make_outline (&long_path, LONG_PIECES, 30.0, &state);
  double panels_best = INFINITY, long_best = INFINITY;
  for (int i = 0; i < ROUNDS; i++)
  {
    double start = seconds ();
    for (int k = 0; k < PANELS; k++)
      count += geom_path_self_crossings (&panel[k], 1e-6, found, 4);
    panels_best = fmin (panels_best, seconds () - start);
    start = seconds ();
    count += geom_path_self_crossings (&long_path, 1e-6, found, 4);
    long_best = fmin (long_best, seconds () - start);
  }
  printf ("simple?  %d panels of %d cubics %.3f ms; %d pieces %.2f ms; crossings %zu (none are there)\n",
          PANELS, PANEL_PIECES, 1e3 * panels_best, LONG_PIECES, 1e3 * long_best, count);
  for (int i = 0; i < PANELS; i++)
    geom_path_clear (&panel[i]);
  geom_path_clear (&long_path);
  return count == 0;
}

int
main (void)
{
  static Set pattern, wild;
  gsl_set_error_handler_off ();
  make_set (&pattern, "P", random_pattern_edge, 1);
  make_set (&wild, "W", random_wild_curve, 2);
  bool reached = measure_set (&pattern, 0.3, 0.2);
  reached &= measure_set (&wild, 0.0, 0.0);
  reached &= measure_self_crossings ();
  clear_set (&pattern);
  clear_set (&wild);
  return reached ? 0 : 1;
}
