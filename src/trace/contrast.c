#include "trace/contrast.h"

#include "trace/tolerance.h"

#include <string.h>

/* Noise of a pixel that may be left: an eighth of the way to the other side is never crossed by chance. */
#define WANTED_NOISE 0.05
#define LEAST_SMOOTHING_MM 0.10
#define MOST_SMOOTHING_MM 0.6
#define MARGIN_MM 4.0
/* The mask's bytes. */
#define PAPER 0
#define PIECE 1
#define TAKEN 2
#define OUTSIDE 3
#define HOLE 4

static void
smooth_rows (const float *from, float *to, int width, int height, const float *kernel, int reach)
{
  g_autofree float *line = g_new (float, width + 2 * reach);
  for (int y = 0; y < height; y++)
  {
    const float *row = from + (gsize)y * (gsize)width;
    float *out = to + (gsize)y * (gsize)width;
    for (int x = 0; x < reach; x++)
    {
      line[x] = row[0];
      line[reach + width + x] = row[width - 1];
    }
    memcpy (line + reach, row, (gsize)width * sizeof *row);
    for (int x = 0; x < width; x++)
      out[x] = kernel[0] * line[x + reach];
    for (int i = 1; i <= reach; i++)
      for (int x = 0; x < width; x++)
        out[x] += kernel[i] * (line[x + reach - i] + line[x + reach + i]);
  }
}

static void
smooth_columns (const float *from, float *to, int width, int height, const float *kernel, int reach)
{
  for (int y = 0; y < height; y++)
  {
    float *out = to + (gsize)y * (gsize)width;
    const float *middle = from + (gsize)y * (gsize)width;
    for (int x = 0; x < width; x++)
      out[x] = kernel[0] * middle[x];
    for (int i = 1; i <= reach; i++)
    {
      const float *up = from + (gsize)MAX (y - i, 0) * (gsize)width;
      const float *down = from + (gsize)MIN (y + i, height - 1) * (gsize)width;
      for (int x = 0; x < width; x++)
        out[x] += kernel[i] * (up[x] + down[x]);
    }
  }
}

/* A Gaussian of SPREAD px. */
static bool
smooth (float *value, int width, int height, double spread)
{
  const int reach = (int)ceil (3.0 * spread);
  g_autofree float *other = g_try_new (float, (gsize)width *(gsize)height);
  g_autofree float *kernel = g_new (float, reach + 1);
  if (other == NULL)
    return false;
  double sum = 0.0;
  for (int i = 0; i <= reach; i++)
  {
    const double k = exp (-0.5 * i * i / (spread * spread));
    kernel[i] = (float)k;
    sum += i == 0 ? k : 2.0 * k;
  }
  for (int i = 0; i <= reach; i++)
    kernel[i] /= (float)sum;
  smooth_rows (value, other, width, height, kernel, reach);
  smooth_columns (other, value, width, height, kernel, reach);
  return true;
}

static void
fill_contrast (TraceContrast *contrast,
               const TraceRaster *raster,
               const TracePaper *paper,
               const double weight[3])
{
  g_autofree float *line = g_new (float, 3 * contrast->width);
  const float w0 = (float)weight[0], w1 = (float)weight[1], w2 = (float)weight[2];
  for (int y = 0; y < contrast->height; y++)
  {
    const guint16 *p
      = raster->light + 3 * ((gsize)(contrast->y0 + y) * (gsize)raster->width + (gsize)contrast->x0);
    float *out = contrast->value + (gsize)y * (gsize)contrast->width;
    trace_paper_row (paper, contrast->y0 + y, contrast->x0, contrast->width, line);
    for (int x = 0; x < contrast->width; x++, p += 3)
      out[x] = w0 * (1.0f - (float)p[0] / line[3 * x]) + w1 * (1.0f - (float)p[1] / line[3 * x + 1])
               + w2 * (1.0f - (float)p[2] / line[3 * x + 2]);
  }
}

TraceContrast *
trace_contrast_new (const TraceRaster *raster, const TracePaper *paper, const TraceSpot *spot)
{
  double weight[3], power = 0.0;
  for (int k = 0; k < 3; k++)
  {
    const double off = 1.0 - spot->colour[k];
    weight[k] = off / (paper->noise[k] * paper->noise[k]);
    power += off * weight[k];
  }
  if (!(power > 1e-9))
    return NULL;
  for (int k = 0; k < 3; k++)
    weight[k] /= power;
  double numbers[3] = { 0.0, 0.0, 0.0 };
  for (int q = 0; q < 3; q++)
    for (int k = 0; k < 3; k++)
    {
      const double part = 0.25 * (q + 1),
                   colour = pow (MAX (spot->colour[k], 0.0), 1.0 / TRACE_LIGHT_EXPONENT);
      numbers[q] += weight[k] * (1.0 - pow (1.0 - part + part * colour, TRACE_LIGHT_EXPONENT));
    }
  const int margin = (int)(MARGIN_MM * raster->px_per_mm);
  TraceContrast *contrast = g_new0 (TraceContrast, 1);
  memcpy (contrast->numbers, numbers, sizeof numbers);
  contrast->x0 = MAX (spot->x0 - margin, 0);
  contrast->y0 = MAX (spot->y0 - margin, 0);
  contrast->width = MIN (spot->x1 + margin, raster->width) - contrast->x0;
  contrast->height = MIN (spot->y1 + margin, raster->height) - contrast->y0;
  contrast->value = g_try_new (float, (gsize)contrast->width *(gsize)contrast->height);
  /* White noise of spread n comes out of a Gaussian of spread s as n / (2 sqrt(pi) s). */
  const double spread = CLAMP (1.0 / (sqrt (power) * 2.0 * sqrt (G_PI) * WANTED_NOISE),
                               LEAST_SMOOTHING_MM * raster->px_per_mm, MOST_SMOOTHING_MM * raster->px_per_mm);
  if (contrast->value != NULL)
    fill_contrast (contrast, raster, paper, weight);
  if (contrast->value == NULL || !smooth (contrast->value, contrast->width, contrast->height, spread))
  {
    trace_contrast_free (contrast);
    return NULL;
  }
  return contrast;
}

void
trace_contrast_free (TraceContrast *contrast)
{
  if (contrast == NULL)
    return;
  g_free (contrast->value);
  g_free (contrast);
}

double
trace_contrast_at (const TraceContrast *c, GeomPoint px)
{
  const double x = CLAMP (px.x - c->x0 - 0.5, 0.0, c->width - 1.0);
  const double y = CLAMP (px.y - c->y0 - 0.5, 0.0, c->height - 1.0);
  const int i = (int)x, j = (int)y, right = i + 1 < c->width, down = j + 1 < c->height ? c->width : 0;
  const float *v = c->value + (gsize)j * (gsize)c->width + i;
  const double fx = x - i, fy = y - j;
  return (1.0 - fy) * ((1.0 - fx) * (double)v[0] + fx * (double)v[right])
         + fy * ((1.0 - fx) * (double)v[down] + fx * (double)v[down + right]);
}

/* ---- loops ---- */

void
trace_loop_free (TraceLoop *loop)
{
  g_array_free (loop->corner, TRUE);
  g_free (loop);
}

/* A box of pixels, its ends included. */
typedef struct PixelBox
{
  int x0, y0, x1, y1;
} PixelBox;

typedef struct Mask
{
  int width,
    height; /* with one pixel of paper round the picture, so that nothing needs to look for the rim */
  guint8 *at;
  GArray *stack; /* int */
} Mask;

/* Turns all pixels of FROM that hang together with START into TO; returns how many.  DIAGONAL: corners touch.
 */
static guint
flood (Mask *mask, int start, guint8 from, guint8 to, bool diagonal, const PixelBox *within, PixelBox *box)
{
  const int w = mask->width;
  const int step[8] = { -1, 1, -w, w, -w - 1, -w + 1, w - 1, w + 1 };
  guint count = 0;
  mask->at[start] = to;
  g_array_set_size (mask->stack, 0);
  g_array_append_val (mask->stack, start);
  while (mask->stack->len > 0)
  {
    const int at = g_array_index (mask->stack, int, mask->stack->len - 1), x = at % w, y = at / w;
    g_array_set_size (mask->stack, mask->stack->len - 1);
    count++;
    if (box != NULL)
      *box = (PixelBox) { MIN (box->x0, x), MIN (box->y0, y), MAX (box->x1, x), MAX (box->y1, y) };
    for (int i = 0; i < (diagonal ? 8 : 4); i++)
    {
      const int next = at + step[i], nx = next % w, ny = next / w;
      if (next < 0 || next >= w * mask->height || mask->at[next] != from)
        continue;
      if (within != NULL && (nx < within->x0 || ny < within->y0 || nx > within->x1 || ny > within->y1))
        continue;
      mask->at[next] = to;
      g_array_append_val (mask->stack, next);
    }
  }
  return count;
}

/* Along the cracks between pixels, the piece always on the left hand as the sheet is seen. */
static GArray *
walk_round (const Mask *mask, int start, const TraceContrast *contrast)
{
  GArray *corner = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  const int x0 = start % mask->width, y0 = start / mask->width;
  int x = x0, y = y0, dx = 0, dy = 1;
  const guint most = 4u * (guint)mask->width * (guint)mask->height;
  for (guint i = 0; i < most; i++)
  {
    const GeomPoint p = { contrast->x0 + x - 1.0, contrast->y0 + y - 1.0 };
    g_array_append_val (corner, p);
    x += dx;
    y += dy;
    /* The two pixels ahead of the corner reached; y is down, so the left hand of (dx, dy) is (dy, -dx). */
    const int lx = x + (dx + dy - 1) / 2, ly = y + (dy - dx - 1) / 2;
    const int rx = x + (dx - dy - 1) / 2, ry = y + (dy + dx - 1) / 2;
    const bool left = mask->at[ly * mask->width + lx] == TAKEN,
               right = mask->at[ry * mask->width + rx] == TAKEN;
    if (right)
    {
      const int keep = dx;
      dx = -dy;
      dy = keep;
    }
    else if (!left)
    {
      const int keep = dx;
      dx = dy;
      dy = -keep;
    }
    if (x == x0 && y == y0 && dx == 0 && dy == 1)
      break;
  }
  return corner;
}

static int
count_holes (Mask *mask, PixelBox box, double least_px)
{
  const PixelBox round = { box.x0 - 1, box.y0 - 1, box.x1 + 1, box.y1 + 1 };
  /* Other pieces and paper alike are "not this one" here. */
  g_autofree guint8 *keep = g_memdup2 (mask->at, (gsize)mask->width * (gsize)mask->height);
  for (int y = round.y0; y <= round.y1; y++)
    for (int x = round.x0; x <= round.x1; x++)
    {
      guint8 *at = &mask->at[y * mask->width + x];
      *at = *at == TAKEN ? TAKEN : PAPER;
    }
  flood (mask, round.y0 * mask->width + round.x0, PAPER, OUTSIDE, false, &round, NULL);
  int holes = 0;
  for (int y = box.y0; y <= box.y1; y++)
    for (int x = box.x0; x <= box.x1; x++)
      if (mask->at[y * mask->width + x] == PAPER
          && flood (mask, y * mask->width + x, PAPER, HOLE, false, &round, NULL) >= least_px)
        holes++;
  memcpy (mask->at, keep, (gsize)mask->width * (gsize)mask->height);
  return holes;
}

static double
depth_from_rim (const PixelBox *box, const TraceContrast *contrast, const TraceRaster *raster)
{
  const double left = contrast->x0 + box->x0 - 1, right = raster->width - (contrast->x0 + box->x1);
  const double top = contrast->y0 + box->y0 - 1, bottom = raster->height - (contrast->y0 + box->y1);
  const double across = box->x1 - box->x0 + 1, down = box->y1 - box->y0 + 1;
  double depth = 1e9;
  if (left < 1.0 || right < 1.0)
    depth = MIN (depth, across);
  if (top < 1.0 || bottom < 1.0)
    depth = MIN (depth, down);
  return depth < 1e9 ? depth : -1.0;
}

GPtrArray *
trace_loops_find (const TraceContrast *contrast,
                  const TraceRaster *raster,
                  double least_px,
                  double least_hole_px)
{
  GPtrArray *loops = g_ptr_array_new_with_free_func ((GDestroyNotify)trace_loop_free);
  Mask mask = { contrast->width + 2, contrast->height + 2, NULL, NULL };
  mask.at = g_try_malloc0 ((gsize)mask.width * (gsize)mask.height);
  if (mask.at == NULL)
    return loops;
  mask.stack = g_array_new (FALSE, FALSE, sizeof (int));
  for (int y = 0; y < contrast->height; y++)
    for (int x = 0; x < contrast->width; x++)
      mask.at[(y + 1) * mask.width + x + 1]
        = contrast->value[(gsize)y * (gsize)contrast->width + (gsize)x] > 0.5f ? PIECE : PAPER;
  for (int i = 0; i < mask.width * mask.height; i++)
  {
    if (mask.at[i] != PIECE)
      continue;
    PixelBox box = { mask.width, mask.height, 0, 0 };
    const guint count = flood (&mask, i, PIECE, TAKEN, true, NULL, &box);
    if (count >= least_px)
    {
      TraceLoop *loop = g_new0 (TraceLoop, 1);
      loop->corner = walk_round (&mask, i, contrast);
      loop->area_px = count;
      loop->depth_px = depth_from_rim (&box, contrast, raster);
      loop->cut_off = loop->depth_px >= 0.0;
      loop->holes = count_holes (&mask, box, least_hole_px);
      g_ptr_array_add (loops, loop);
    }
    flood (&mask, i, TAKEN, OUTSIDE, true, NULL, NULL);
  }
  g_array_free (mask.stack, TRUE);
  g_free (mask.at);
  return loops;
}
