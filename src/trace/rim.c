#include "trace/rim.h"

#include "trace/tolerance.h"

#include <stdlib.h>
#include <string.h>

/* The pixel loop is smoothed over so much to either side before its normals are taken. */
#define GUIDE_MM 0.5
/* The profile reaches so far to both sides, and is averaged over so much of the edge. */
#define REACH_MM 1.5
#define ALONG_MM 0.3
#define ALONG_SAMPLES 5
/* The outer parts of a profile, from here on, tell its two levels. */
#define LEVEL_PART 0.6
#define MOST_PROFILE 129
/* A profile whose levels are nearer than this says nothing. */
#define LEAST_STEP 0.35
/* Colours so little apart that light and numbers give the same levels: half-way is half-way. */
#define LEAST_DIFFERENCE 0.01
/* Rounds: the second starts from the first one's result, whose normals are better. */
#define ROUNDS 2

/* Means over REACH points to either side of a closed loop. */
static GArray *
smoothed (const GArray *loop, int reach)
{
  const int n = (int)loop->len;
  GArray *out = g_array_sized_new (FALSE, FALSE, sizeof (GeomPoint), loop->len);
  reach = MIN (reach, (n - 1) / 2);
  GeomPoint sum = { 0.0, 0.0 };
  for (int i = -reach; i <= reach; i++)
    sum = geom_add (sum, g_array_index (loop, GeomPoint, (i + n) % n));
  for (int i = 0; i < n; i++)
  {
    const GeomPoint p = geom_scale (sum, 1.0 / (2 * reach + 1));
    g_array_append_val (out, p);
    sum = geom_sub (sum, g_array_index (loop, GeomPoint, (i - reach + n) % n));
    sum = geom_add (sum, g_array_index (loop, GeomPoint, (i + reach + 1) % n));
  }
  return out;
}

/* Even steps of about STEP along the closed polygon; NULL under 16 of them. */
static GArray *
evenly (const GArray *loop, double step)
{
  const guint n = loop->len;
  double length = 0.0;
  for (guint i = 0; i < n; i++)
    length
      += geom_distance (g_array_index (loop, GeomPoint, i), g_array_index (loop, GeomPoint, (i + 1) % n));
  const int count = (int)(length / step + 0.5);
  if (count < 16)
    return NULL;
  GArray *out = g_array_sized_new (FALSE, FALSE, sizeof (GeomPoint), (guint)count);
  const double each = length / count;
  double done = 0.0;
  int next = 0;
  for (guint i = 0; i < n && next < count; i++)
  {
    const GeomPoint a = g_array_index (loop, GeomPoint, i), b = g_array_index (loop, GeomPoint, (i + 1) % n);
    const double d = geom_distance (a, b);
    for (; next < count && next * each <= done + d && d > 0.0; next++)
    {
      const GeomPoint p = geom_mix (a, b, (next * each - done) / d);
      g_array_append_val (out, p);
    }
    done += d;
  }
  return out;
}

static int
by_size (const void *a, const void *b)
{
  const double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

static double
median_of (const double *value, int count)
{
  double sorted[MOST_PROFILE];
  for (int i = 0; i < count; i++)
    sorted[i] = value[i];
  qsort (sorted, (size_t)count, sizeof *sorted, by_size);
  return count % 2 == 1 ? sorted[count / 2] : 0.5 * (sorted[count / 2] + sorted[count / 2 - 1]);
}

/* Where VALUE falls through LEVEL nearest to index NEAR; negative if nowhere. */
static double
crossing (const double *value, int count, double level, double near)
{
  double best = -1.0;
  for (int i = 0; i + 1 < count; i++)
    if (value[i] >= level && value[i + 1] < level)
    {
      const double at = i + (value[i] - level) / (value[i] - value[i + 1]);
      if (best < 0.0 || fabs (at - near) < fabs (best - near))
        best = at;
    }
  return best;
}

typedef struct Edge
{
  double shift_px; /* outward */
  double width_px; /* from a quarter to three quarters; negative: unknown, and so are the next two */
  /* How far the middle between the quarters lies outward of the half: 0 if the edge's two flanks are alike.
   * Once for levels of the light, once for levels of the photo's numbers. */
  double skew_light, skew_numbers;
} Edge;

/* Levels between outside (0) and inside (1). */
typedef struct Levels
{
  double half;       /* at which the edge is put */
  double numbers[3]; /* as in TraceContrast */
} Levels;

static double
skew (const double *profile, int count, double inside, double outside, const double quarters[3], double near)
{
  double at[3];
  for (int q = 0; q < 3; q++)
    at[q] = crossing (profile, count, outside + quarters[q] * (inside - outside), near);
  return 0.5 * (at[0] + at[2]) - at[1];
}

/* PROFILE runs from the inside outward. */
static Edge
read_profile (const double *profile, int count, double step, const Levels *levels)
{
  const int middle = (count - 1) / 2, outer = (int)((1.0 - LEVEL_PART) * middle);
  const double inside = median_of (profile, outer + 1),
               outside = median_of (profile + count - 1 - outer, outer + 1);
  Edge edge = { 0.0, -1.0, 0.0, 0.0 };
  if (!(inside - outside > LEAST_STEP))
    return edge;
  const double half = crossing (profile, count, outside + levels->half * (inside - outside), middle);
  if (half < 0.0)
    return edge;
  edge.shift_px = (half - middle) * step;
  const double from = crossing (profile, count, 0.75 * inside + 0.25 * outside, half);
  const double to = crossing (profile, count, 0.25 * inside + 0.75 * outside, half);
  if (from >= 0.0 && to > from)
  {
    static const double light[3] = { 0.25, 0.5, 0.75 };
    edge.width_px = (to - from) * step;
    edge.skew_light = skew (profile, count, inside, outside, light, half);
    edge.skew_numbers = skew (profile, count, inside, outside, levels->numbers, half);
  }
  return edge;
}

static Edge
look_across (
  const TraceContrast *contrast, double px_per_mm, GeomPoint at, GeomPoint outward, const Levels *levels)
{
  double profile[MOST_PROFILE];
  const int half = CLAMP ((int)(REACH_MM * px_per_mm * 2.0), 4, (MOST_PROFILE - 1) / 2), count = 2 * half + 1;
  const double step = REACH_MM * px_per_mm / half;
  const GeomPoint along = geom_left_of (outward);
  for (int i = 0; i < count; i++)
  {
    profile[i] = 0.0;
    for (int k = 0; k < ALONG_SAMPLES; k++)
    {
      const double aside = ALONG_MM * px_per_mm * (2.0 * k / (ALONG_SAMPLES - 1) - 1.0);
      const GeomPoint p = geom_along (geom_along (at, (i - half) * step, outward), aside, along);
      profile[i] += trace_contrast_at (contrast, p) / ALONG_SAMPLES;
    }
  }
  return read_profile (profile, count, step, levels);
}

static double
middle_value (double *value, int count)
{
  qsort (value, (size_t)count, sizeof *value, by_size);
  return count > 0 ? value[count / 2] : 0.0;
}

/* Somewhere between the light's half and the numbers' half the two flanks are alike: there a blur that is
 * alike to both sides has its middle. */
static double
even_half (double skew_light, double skew_numbers, const Levels *levels)
{
  if (fabs (levels->numbers[1] - 0.5) < LEAST_DIFFERENCE || !(fabs (skew_light - skew_numbers) > 1e-6))
    return 0.5;
  const double part = skew_light / (skew_light - skew_numbers);
  return 0.5 + CLAMP (part, 0.0, 1.0) * (levels->numbers[1] - 0.5);
}

/* The guide runs counter-clockwise on the sheet, hence clockwise in numbers with y down: outward is to the
 * left.  LEVELS gets a better half for the next round. */
static GArray *
moved (const TraceContrast *contrast, double px_per_mm, const GArray *guide, Levels *levels, double *width_px)
{
  const guint n = guide->len;
  GArray *out = g_array_sized_new (FALSE, FALSE, sizeof (GeomPoint), n);
  g_autofree double *width = g_new (double, 3 * (gsize)n);
  double *light = width + n, *numbers = light + n;
  int known = 0;
  for (guint i = 0; i < n; i++)
  {
    const GeomPoint a = g_array_index (guide, GeomPoint, (i + n - 2) % n);
    const GeomPoint at = g_array_index (guide, GeomPoint, i),
                    b = g_array_index (guide, GeomPoint, (i + 2) % n);
    const GeomPoint outward = geom_unit (geom_left_of (geom_sub (b, a)));
    const Edge edge = look_across (contrast, px_per_mm, at, outward, levels);
    const GeomPoint p = geom_along (at, edge.shift_px, outward);
    g_array_append_val (out, p);
    if (edge.width_px < 0.0)
      continue;
    width[known] = edge.width_px;
    light[known] = edge.skew_light;
    numbers[known++] = edge.skew_numbers;
  }
  *width_px = middle_value (width, known);
  levels->half = even_half (middle_value (light, known), middle_value (numbers, known), levels);
  return out;
}

TraceRim *
trace_rim_new (const TraceContrast *contrast, const TraceRaster *raster, const TraceLoop *loop)
{
  const double scale = raster->px_per_mm;
  double width_px = 0.0;
  Levels levels = { .half = 0.5 };
  memcpy (levels.numbers, contrast->numbers, sizeof levels.numbers);
  /* A loop of cracks has 4/pi steps a pixel of length. */
  g_autoptr (GArray) samples = smoothed (loop->corner, (int)(GUIDE_MM * scale * 4.0 / G_PI + 0.5));
  for (int round = 0; round < ROUNDS; round++)
  {
    g_autoptr (GArray) even = evenly (samples, TRACE_STEP_MM * scale);
    if (even == NULL)
      return NULL;
    g_autoptr (GArray) guide = smoothed (even, 1);
    g_array_unref (samples);
    samples = moved (contrast, scale, guide, &levels, &width_px);
  }
  TraceRim *rim = g_new0 (TraceRim, 1);
  rim->blur_mm = width_px / scale / 1.349;
  rim->sample = evenly (samples, TRACE_STEP_MM * scale);
  if (rim->sample == NULL)
  {
    g_free (rim);
    return NULL;
  }
  for (guint i = 0; i < rim->sample->len; i++)
  {
    GeomPoint *p = &g_array_index (rim->sample, GeomPoint, i);
    *p = trace_raster_to_mm (raster, *p);
  }
  return rim;
}

void
trace_rim_free (TraceRim *rim)
{
  if (rim == NULL)
    return;
  g_array_free (rim->sample, TRUE);
  g_free (rim);
}
