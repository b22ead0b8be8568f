#include "trace/paper.h"

#include <glib/gi18n.h>
#include <stdlib.h>
#include <string.h>

#define BLOCK_MM 2.0
/* The rim from which the search starts, as a part of the sheet's smaller side, without its outermost blocks.
 */
#define RIM_PART 0.12
/* Rounds of weights by the distances left: past eight they no longer move. */
#define ROUNDS 8
/* Neighbouring blocks of paper differ by less, as a part of their light; a pale piece on white differs by 3 %
 * at least. */
#define STEP 0.012
/* Blocks that start the search are paper for certain. */
#define START_PART 0.10
#define LEAST_PAPER_PART 0.04

typedef struct Blocks
{
  int columns, rows, side; /* SIDE in px */
  float *mean;             /* three a block */
  guint8 *state;           /* 1: paper */
} Blocks;

static int
term_count (int order)
{
  return (order + 1) * (order + 2) / 2;
}

/* x^i y^j, i + j <= order; x and y in -1 .. 1. */
static void
fill_terms (int order, double x, double y, double *term)
{
  int n = 0;
  double yj = 1.0;
  for (int j = 0; j <= order; j++, yj *= y)
  {
    double xi = yj;
    for (int i = 0; i + j <= order; i++, xi *= x)
      term[n++] = xi;
  }
}

static double
surface_at (const double *surface, const double *term, int count)
{
  double sum = 0.0;
  for (int i = 0; i < count; i++)
    sum += surface[i] * term[i];
  return sum;
}

/* Symmetric and positive: elimination without pivots; a ridge keeps it so when the blocks lie in a line. */
static void
solve_symmetric (double a[TRACE_PAPER_TERMS][TRACE_PAPER_TERMS + 3], int n)
{
  double ridge = 0.0;
  for (int i = 0; i < n; i++)
    ridge += a[i][i];
  for (int i = 0; i < n; i++)
    a[i][i] += 1e-9 * ridge / n + 1e-30;
  for (int c = 0; c < n; c++)
    for (int r = 0; r < n; r++)
    {
      const double f = r == c ? 0.0 : a[r][c] / a[c][c];
      for (int i = c; i < n + 3 && r != c; i++)
        a[r][i] -= f * a[c][i];
    }
  for (int r = 0; r < n; r++)
    for (int k = 0; k < 3; k++)
      a[r][n + k] /= a[r][r];
}

static void
fit_weighted (const Blocks *blocks, const int *member, int count, const float *weight, TracePaper *paper)
{
  const int n = term_count (paper->order);
  double a[TRACE_PAPER_TERMS][TRACE_PAPER_TERMS + 3], term[TRACE_PAPER_TERMS];
  memset (a, 0, sizeof a);
  for (int m = 0; m < count; m++)
  {
    const int column = member[m] % blocks->columns, row = member[m] / blocks->columns;
    fill_terms (paper->order, (2.0 * (column + 0.5) * blocks->side) / paper->width - 1.0,
                (2.0 * (row + 0.5) * blocks->side) / paper->height - 1.0, term);
    for (int r = 0; r < n; r++)
    {
      const double w = (double)weight[m] * term[r];
      for (int c = 0; c < n; c++)
        a[r][c] += w * term[c];
      for (int k = 0; k < 3; k++)
        a[r][n + k] += w * (double)blocks->mean[3 * member[m] + k];
    }
  }
  solve_symmetric (a, n);
  for (int k = 0; k < 3; k++)
    for (int i = 0; i < n; i++)
      paper->surface[k][i] = a[i][n + k];
}

static int
by_size (const void *a, const void *b)
{
  const float x = *(const float *)a, y = *(const float *)b;
  return (x > y) - (x < y);
}

static double
median (float *value, int count)
{
  qsort (value, (size_t)count, sizeof *value, by_size);
  return count > 0 ? (double)value[count / 2] : 0.0;
}

/* The largest of the three colours' distances from the paper, as a part of the paper's light. */
static double
off_paper (const Blocks *blocks, const TracePaper *paper, int block)
{
  double term[TRACE_PAPER_TERMS], worst = 0.0;
  const int column = block % blocks->columns, row = block / blocks->columns;
  fill_terms (paper->order, (2.0 * (column + 0.5) * blocks->side) / paper->width - 1.0,
              (2.0 * (row + 0.5) * blocks->side) / paper->height - 1.0, term);
  for (int k = 0; k < 3; k++)
  {
    const double level = MAX (surface_at (paper->surface[k], term, term_count (paper->order)), 1.0);
    worst = MAX (worst, fabs ((double)blocks->mean[3 * block + k] / level - 1.0));
  }
  return worst;
}

/* Cauchy's weights: far blocks (a piece, a shadow, a crumb) count ever less. */
static void
fit_robust (const Blocks *blocks, const int *member, int count, TracePaper *paper)
{
  g_autofree float *weight = g_new (float, count), *off = g_new (float, count),
                   *sorted = g_new (float, count);
  for (int m = 0; m < count; m++)
    weight[m] = 1.0f;
  for (int round = 0; round < ROUNDS; round++)
  {
    fit_weighted (blocks, member, count, weight, paper);
    for (int m = 0; m < count; m++)
      sorted[m] = off[m] = (float)off_paper (blocks, paper, member[m]);
    const double scale = 1.5 * MAX (median (sorted, count), 1e-4);
    for (int m = 0; m < count; m++)
    {
      const double r = (double)off[m] / scale;
      weight[m] = (float)(1.0 / ((1.0 + r * r) * (1.0 + r * r)));
    }
  }
}

static void
fill_blocks (const TraceRaster *raster, Blocks *blocks)
{
  blocks->side = MAX ((int)(BLOCK_MM * raster->px_per_mm + 0.5), 1);
  blocks->columns = MAX (raster->width / blocks->side, 1);
  blocks->rows = MAX (raster->height / blocks->side, 1);
  blocks->mean = g_new (float, 3 * (gsize)blocks->columns * (gsize)blocks->rows);
  blocks->state = g_new0 (guint8, (gsize)blocks->columns * (gsize)blocks->rows);
  const int across = MIN (blocks->side, raster->width), down = MIN (blocks->side, raster->height);
  for (int b = 0; b < blocks->columns * blocks->rows; b++)
  {
    guint64 sum[3] = { 0, 0, 0 };
    for (int y = 0; y < down; y++)
    {
      const guint16 *p = raster->light
                         + 3
                             * ((gsize)(b / blocks->columns * blocks->side + y) * (gsize)raster->width
                                + (gsize)(b % blocks->columns * blocks->side));
      for (int x = 0; x < across; x++, p += 3)
        for (int k = 0; k < 3; k++)
          sum[k] += p[k];
    }
    for (int k = 0; k < 3; k++)
      blocks->mean[3 * b + k] = (float)sum[k] / (float)(across * down);
  }
}

static bool
is_rim (const Blocks *blocks, int block)
{
  const int column = block % blocks->columns, row = block / blocks->columns;
  const int depth = MIN (MIN (column, blocks->columns - 1 - column), MIN (row, blocks->rows - 1 - row));
  return depth >= 1 && depth <= MAX (3, (int)(RIM_PART * MIN (blocks->columns, blocks->rows)));
}

/* Spreads from the paper of the rim to all blocks without a step between. */
static int
spread (const Blocks *blocks, const TracePaper *paper, const int *rim, int rim_count)
{
  const int all = blocks->columns * blocks->rows;
  g_autofree int *queue = g_new (int, all);
  int head = 0, tail = 0;
  for (int m = 0; m < rim_count; m++)
    if (off_paper (blocks, paper, rim[m]) < START_PART)
    {
      blocks->state[rim[m]] = 1;
      queue[tail++] = rim[m];
    }
  while (head < tail)
  {
    const int at = queue[head++], column = at % blocks->columns, row = at / blocks->columns;
    const int next[4]
      = { column > 0 ? at - 1 : -1, column + 1 < blocks->columns ? at + 1 : -1,
          row > 0 ? at - blocks->columns : -1, row + 1 < blocks->rows ? at + blocks->columns : -1 };
    for (int i = 0; i < 4; i++)
    {
      if (next[i] < 0 || blocks->state[next[i]] != 0)
        continue;
      double step = 0.0;
      for (int k = 0; k < 3; k++)
      {
        const double a = (double)blocks->mean[3 * at + k], b = (double)blocks->mean[3 * next[i] + k];
        step = MAX (step, fabs (a - b) / MAX (a, 1.0));
      }
      if (step < STEP)
      {
        blocks->state[next[i]] = 1;
        queue[tail++] = next[i];
      }
    }
  }
  return tail;
}

/* Blocks of paper whose neighbours are paper too: half-covered ones stay out. */
static int
inner_members (const Blocks *blocks, int *member)
{
  int count = 0;
  for (int row = 1; row + 1 < blocks->rows; row++)
    for (int column = 1; column + 1 < blocks->columns; column++)
    {
      bool all = true;
      for (int i = 0; i < 9; i++)
        all = all && blocks->state[(row + i / 3 - 1) * blocks->columns + column + i % 3 - 1] == 1;
      if (all)
        member[count++] = row * blocks->columns + column;
    }
  return count;
}

static void
measure_noise (
  const TraceRaster *raster, const Blocks *blocks, const int *member, int count, TracePaper *paper)
{
  const int step = MAX (count / 4000, 1), side = blocks->side;
  g_autofree float *off = g_new (float, count / step + 1), *line = g_new (float, 3 * side);
  for (int k = 0; k < 3; k++)
  {
    int n = 0;
    for (int m = 0; m < count; m += step)
    {
      const int y = member[m] / blocks->columns * side + m % side, x = member[m] % blocks->columns * side;
      const int i = (m * 7) % side;
      trace_paper_row (paper, y, x, side, line);
      const double seen = raster->light[3 * ((gsize)y * (gsize)raster->width + (gsize)(x + i)) + (gsize)k];
      off[n++] = (float)fabs (seen / (double)line[3 * i + k] - 1.0);
    }
    paper->noise[k] = MAX (1.4826 * median (off, n), 0.003);
  }
}

static bool
find (const TraceRaster *raster, const Blocks *blocks, TracePaper *paper)
{
  const int all = blocks->columns * blocks->rows;
  g_autofree int *member = g_new (int, (gsize)MAX (all, 1));
  int count = 0;
  for (int b = 0; b < all; b++)
    if (is_rim (blocks, b))
      member[count++] = b;
  if (count < 24)
    return false;
  paper->order = 1;
  fit_robust (blocks, member, count, paper);
  paper->order = 2;
  fit_robust (blocks, member, count, paper);
  spread (blocks, paper, member, count);
  count = inner_members (blocks, member);
  if (count < LEAST_PAPER_PART * all || count < 24)
    return false;
  paper->order = count > 0.35 * all ? 4 : count > 0.15 * all ? 3 : 2;
  fit_robust (blocks, member, count, paper);
  measure_noise (raster, blocks, member, count, paper);
  return true;
}

bool
trace_paper_find (const TraceRaster *raster, TracePaper *paper, GError **error)
{
  Blocks blocks = { 0 };
  memset (paper, 0, sizeof *paper);
  paper->width = raster->width;
  paper->height = raster->height;
  fill_blocks (raster, &blocks);
  const bool well = find (raster, &blocks, paper);
  g_free (blocks.mean);
  g_free (blocks.state);
  if (!well)
    g_set_error_literal (
      error, TRACE_ERROR, TRACE_ERROR_PIECE,
      _ ("the sheet is not of one plain colour along its rim, so nothing can be told from it"));
  return well;
}

void
trace_paper_row (const TracePaper *paper, int y, int x0, int count, float *light)
{
  /* In one row the surface is a polynomial in x alone. */
  double along[3][5] = { { 0.0 } };
  const double v = 2.0 * (y + 0.5) / paper->height - 1.0;
  for (int k = 0; k < 3; k++)
  {
    int n = 0;
    double vj = 1.0;
    for (int j = 0; j <= paper->order; j++, vj *= v)
      for (int i = 0; i + j <= paper->order; i++)
        along[k][i] += vj * paper->surface[k][n++];
  }
  for (int x = 0; x < count; x++)
  {
    const double u = 2.0 * (x0 + x + 0.5) / paper->width - 1.0;
    for (int k = 0; k < 3; k++)
    {
      const double *a = along[k], level = (((a[4] * u + a[3]) * u + a[2]) * u + a[1]) * u + a[0];
      light[3 * x + k] = (float)MAX (level, 1.0);
    }
  }
}
