/* Both outlines are sampled evenly.  For a given start on B the turn that lays A on B best has a closed form:
 * with the points as complex numbers about their centres, the squared distance is |a|^2 + |b|^2 - 2 |sum
 * conj(a) b|.  So only the start is searched: first from sample to sample, then between samples by golden
 * section.
 */
#include "engine/alike.h"

#include <complex.h>
#include <glib.h>

enum
{
  SAMPLES = 128,
  DENSE = 8,         /* as many times finer for distances */
  SECTION_STEPS = 40 /* each leaves 0.618 of the bracket: a sample's length falls below 1e-6 of it */
};

#define CHORD_MM 0.02

typedef struct Loop
{
  GArray *point; /* GeomPoint: chords of the outline */
  GArray *along; /* double: the way up to each, and round to the start at the end */
  double perimeter_mm;
  double complex centre;
} Loop;

static void
add_point (GeomPoint p, void *user)
{
  g_array_append_val ((GArray *)user, p);
}

static Loop
loop_of (const GeomPath *path, bool turned_over)
{
  Loop loop = { g_array_new (FALSE, FALSE, sizeof (GeomPoint)), g_array_new (FALSE, FALSE, sizeof (double)),
                0.0, 0.0 };
  geom_path_flatten (path, CHORD_MM, add_point, loop.point);
  guint n = loop.point->len;
  if (turned_over)
    for (guint i = 0; i < n / 2; i++)
    {
      GeomPoint *a = &g_array_index (loop.point, GeomPoint, i),
                *b = &g_array_index (loop.point, GeomPoint, n - 1 - i);
      GeomPoint swap = *a;
      *a = *b;
      *b = swap;
    }
  for (guint i = 0; turned_over && i < n; i++)
    g_array_index (loop.point, GeomPoint, i).x *= -1.0;
  for (guint i = 0; i <= n && n > 0; i++)
  {
    if (i > 0)
      loop.perimeter_mm += geom_distance (g_array_index (loop.point, GeomPoint, i - 1),
                                          g_array_index (loop.point, GeomPoint, i % n));
    g_array_append_val (loop.along, loop.perimeter_mm);
  }
  return loop;
}

static void
loop_clear (Loop *loop)
{
  g_array_unref (loop->point);
  g_array_unref (loop->along);
}

/* COUNT points, evenly spaced, the first START_MM from the loop's start. */
static void
sample (const Loop *loop, double start_mm, guint count, double complex *out)
{
  guint n = loop->point->len, k = 0;
  const double *along = (const double *)(gconstpointer)loop->along->data;
  double first = start_mm - floor (start_mm / loop->perimeter_mm) * loop->perimeter_mm;
  guint wrapped = 0;
  for (guint i = 0; i < count; i++)
  {
    double want = first + loop->perimeter_mm * i / count;
    if (want >= loop->perimeter_mm)
    {
      want -= loop->perimeter_mm;
      if (!wrapped++)
        k = 0;
    }
    while (k + 1 < n && along[k + 1] < want)
      k++;
    double step = along[k + 1] - along[k];
    double t = step > 0.0 ? CLAMP ((want - along[k]) / step, 0.0, 1.0) : 0.0;
    GeomPoint p = geom_mix (g_array_index (loop->point, GeomPoint, k),
                            g_array_index (loop->point, GeomPoint, (k + 1) % n), t);
    out[i] = p.x + p.y * I;
  }
}

static double complex
centre_of (double complex *z)
{
  double complex sum = 0.0;
  for (guint i = 0; i < SAMPLES; i++)
    sum += z[i];
  sum /= SAMPLES;
  for (guint i = 0; i < SAMPLES; i++)
    z[i] -= sum;
  return sum;
}

typedef struct Laid
{
  double complex turn, centre_a, centre_b; /* b ~ (a - centre_a) turn + centre_b */
} Laid;

/* How well A, sampled and centred, agrees with B from START_MM on. */
static double complex
agreement (const double complex *a, const Loop *b, double start_mm, double complex *centre_b)
{
  double complex z[SAMPLES], sum = 0.0;
  sample (b, start_mm, SAMPLES, z);
  *centre_b = centre_of (z);
  for (guint i = 0; i < SAMPLES; i++)
    sum += conj (a[i]) * z[i];
  return sum;
}

static Laid
lay (const Loop *a, const Loop *b)
{
  double complex za[SAMPLES], zb[SAMPLES], unused;
  sample (a, 0.0, SAMPLES, za);
  double complex centre_a = centre_of (za);
  sample (b, 0.0, SAMPLES, zb);
  centre_of (zb);
  guint best = 0;
  double most = -1.0;
  for (guint k = 0; k < SAMPLES; k++)
  {
    double complex sum = 0.0;
    for (guint i = 0; i < SAMPLES; i++)
      sum += conj (za[i]) * zb[(i + k) % SAMPLES];
    if (cabs (sum) > most * (1.0 + 1e-9))
    {
      most = cabs (sum);
      best = k;
    }
  }
  const double golden = 0.6180339887498949;
  double step = b->perimeter_mm / SAMPLES, lo = step * best - step, hi = step * best + step;
  double x1 = hi - golden * (hi - lo), x2 = lo + golden * (hi - lo);
  double f1 = cabs (agreement (za, b, x1, &unused)), f2 = cabs (agreement (za, b, x2, &unused));
  for (int i = 0; i < SECTION_STEPS; i++)
    if (f1 >= f2)
    {
      hi = x2;
      x2 = x1;
      f2 = f1;
      x1 = hi - golden * (hi - lo);
      f1 = cabs (agreement (za, b, x1, &unused));
    }
    else
    {
      lo = x1;
      x1 = x2;
      f1 = f2;
      x2 = lo + golden * (hi - lo);
      f2 = cabs (agreement (za, b, x2, &unused));
    }
  Laid laid = { .centre_a = centre_a };
  double complex sum = agreement (za, b, 0.5 * (lo + hi), &laid.centre_b);
  laid.turn = cabs (sum) > 0.0 ? sum / cabs (sum) : 1.0;
  return laid;
}

static double
distance_to_loop (const Loop *loop, GeomPoint p)
{
  double nearest = INFINITY;
  guint n = loop->point->len;
  for (guint i = 0; i < n; i++)
  {
    GeomPoint a = g_array_index (loop->point, GeomPoint, i);
    GeomPoint ab = geom_sub (g_array_index (loop->point, GeomPoint, (i + 1) % n), a);
    double length2 = geom_dot (ab, ab);
    double t = length2 > 0.0 ? CLAMP (geom_dot (geom_sub (p, a), ab) / length2, 0.0, 1.0) : 0.0;
    nearest = fmin (nearest, geom_distance (p, geom_along (a, t, ab)));
  }
  return nearest;
}

/* The farthest of FROM's samples from TO. */
static double
farthest (const Loop *from, const Loop *to, GeomPoint *at)
{
  double complex z[SAMPLES * DENSE];
  double worst = 0.0;
  sample (from, 0.0, SAMPLES * DENSE, z);
  for (guint i = 0; i < SAMPLES * DENSE + from->point->len; i++)
  {
    /* Corners too: there outlines differ most. */
    GeomPoint p = i < SAMPLES * DENSE ? geom_point (creal (z[i]), cimag (z[i]))
                                      : g_array_index (from->point, GeomPoint, i - SAMPLES * DENSE);
    double distance = distance_to_loop (to, p);
    if (distance > worst)
    {
      worst = distance;
      *at = p;
    }
  }
  return worst;
}

static bool
has_length (const Loop *loop)
{
  return loop->point->len > 1 && loop->perimeter_mm > 0.0 && isfinite (loop->perimeter_mm);
}

static GeomAffine
map_of (Laid laid)
{
  /* x' = -x first: the turning over. */
  double c = creal (laid.turn), s = cimag (laid.turn);
  GeomAffine turn = { c, -s, s, c, 0.0, 0.0 };
  GeomAffine over = { -1.0, 0.0, 0.0, 1.0, 0.0, 0.0 };
  GeomAffine from = geom_affine_move (-creal (laid.centre_a), -cimag (laid.centre_a));
  GeomAffine to = geom_affine_move (creal (laid.centre_b), cimag (laid.centre_b));
  return geom_affine_after (to, geom_affine_after (turn, geom_affine_after (from, over)));
}

double
engine_mirrored_distance (const GeomPath *a, const GeomPath *b, GeomPoint *at)
{
  Loop la = loop_of (a, true), lb = loop_of (b, false);
  double worst = INFINITY;
  *at = geom_point (0.0, 0.0);
  if (has_length (&la) && has_length (&lb))
  {
    GeomAffine over = { -1.0, 0.0, 0.0, 1.0, 0.0, 0.0 };
    GeomAffine map = geom_affine_after (map_of (lay (&la, &lb)), over);
    for (guint i = 0; i < la.point->len; i++)
    {
      GeomPoint *p = &g_array_index (la.point, GeomPoint, i);
      *p = geom_affine_apply (map, *p);
    }
    GeomPoint on_a, on_b;
    double to_b = farthest (&la, &lb, &on_a), to_a = farthest (&lb, &la, &on_b);
    worst = fmax (to_a, to_b);
    *at = to_a >= to_b ? on_b : on_a;
  }
  loop_clear (&la);
  loop_clear (&lb);
  return worst;
}

/* Node K of the panel in outline order. */
static ModelNode *
nth_node (const ModelPanel *panel, guint k, guint *edge, guint *node)
{
  for (guint e = 0; e < panel->edges->len; e++)
  {
    guint n = model_panel_edge (panel, e)->nodes->len;
    if (k < n)
    {
      *edge = e;
      *node = k;
      return model_edge_node (model_panel_edge (panel, e), k);
    }
    k -= n;
  }
  return NULL;
}

/* With FROM's nodes met in reverse order from FROM's node START on, every corner of TO must meet a corner. */
static bool
corners_correspond (const ModelPanel *from, const ModelPanel *to, guint start, guint n)
{
  for (guint k = 0; k < n; k++)
  {
    guint edge_t = 0, node_t = 0, edge_f = 0, node_f = 0;
    nth_node (to, k, &edge_t, &node_t);
    nth_node (from, (start + n - k) % n, &edge_f, &node_f);
    if ((node_t == 0) != (node_f == 0))
      return false;
  }
  return true;
}

bool
engine_lay_mirrored (const ModelPanel *from,
                     const GeomPath *from_seam,
                     ModelPanel *to,
                     const GeomPath *to_seam)
{
  guint n = model_panel_node_count (from);
  if (n != model_panel_node_count (to) || from->edges->len != to->edges->len || n == 0)
    return false;
  Loop la = loop_of (from_seam, true), lb = loop_of (to_seam, false);
  bool laid = has_length (&la) && has_length (&lb);
  GeomAffine map = laid ? map_of (lay (&la, &lb)) : geom_affine_identity ();
  loop_clear (&la);
  loop_clear (&lb);
  /* The start that brings the nodes nearest. */
  guint best = n, edge, node;
  double least = INFINITY;
  for (guint start = 0; laid && start < n; start++)
  {
    double sum = 0.0;
    for (guint k = 0; k < n; k++)
    {
      GeomPoint p = geom_affine_apply (map, nth_node (from, (start + n - k) % n, &edge, &node)->at);
      sum += geom_distance (p, nth_node (to, k, &edge, &node)->at);
    }
    if (sum < least && corners_correspond (from, to, start, n))
    {
      least = sum;
      best = start;
    }
  }
  for (guint k = 0; k < n && best < n; k++)
  {
    const ModelNode *source = nth_node (from, (best + n - k) % n, &edge, &node);
    ModelNode *target = nth_node (to, k, &edge, &node);
    target->at = geom_affine_apply (map, source->at);
    target->in = geom_affine_apply (map, source->out);
    target->out = geom_affine_apply (map, source->in);
    target->kind = source->kind;
  }
  return best < n;
}
