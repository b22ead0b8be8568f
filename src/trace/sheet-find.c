#include "trace/sheet-find.h"

#include "trace/catch.h"

#include <math.h>
#include <string.h>

/* Along the longer side of the picture. */
#define CELLS 400
#define LEAST_CELL_PX 2
/* Levels tried between the darkest and the lightest cell. */
#define LEVELS 14
#define LEAST_RANGE 24
/* Of the picture; a smaller sheet is seen too coarsely for half a millimetre anyway. */
#define LEAST_PART 0.1
/* How much of the hull the quadrangle fills: a lens bends its sides by less. */
#define LEAST_FILL 0.955
/* Of the sheet itself this much is seen at least: pieces cover the rest. */
#define LEAST_SEEN 0.3
/* How much of each side has the rim of the light part beside it: a piece may hang over one. */
#define LEAST_SIDE 0.6
#define SIDE_CELLS 2.5
/* The exact corner from the coarse one. */
#define EXACT_CELLS 4.0
/* A row of cells has two ends, so the hull has so many points at most. */
#define MOST_HULL (2 * CELLS + 4)

typedef struct Field
{
  int width, height, cell_px;
  guint8 *white; /* the least of the three channels: paper is light in all, wood in none of blue */
  guint8 *part;  /* 0: not asked, 1: dark or seen, 2: of the part in hand */
  int *stack;
  int darkest, lightest;
} Field;

static void
field_init (Field *field, const TracePhoto *photo)
{
  field->cell_px = MAX (LEAST_CELL_PX, (int)ceil ((double)MAX (photo->width, photo->height) / (double)CELLS));
  field->width = photo->width / field->cell_px;
  field->height = photo->height / field->cell_px;
  const gsize count = (gsize)field->width * (gsize)field->height;
  field->white = g_new0 (guint8, count);
  field->part = g_new0 (guint8, count);
  field->stack = g_new (int, count);
  field->darkest = 255;
  field->lightest = 0;
  const int size = field->cell_px, step = MAX (1, size / 8);
  for (int j = 0; j < field->height; j++)
    for (int i = 0; i < field->width; i++)
    {
      guint sum[3] = { 0, 0, 0 }, n = 0;
      for (int y = j * size; y < (j + 1) * size; y += step)
      {
        const guint8 *p = photo->rgb + (gsize)y * photo->stride + 3 * (gsize)(i * size);
        for (int x = 0; x < size; x += step, p += 3 * step, n++)
          for (int c = 0; c < 3; c++)
            sum[c] += p[c];
      }
      const int white = (int)(MIN (MIN (sum[0], sum[1]), sum[2]) / n);
      field->white[j * field->width + i] = (guint8)white;
      field->darkest = MIN (field->darkest, white);
      field->lightest = MAX (field->lightest, white);
    }
}

static void
field_clear (Field *field)
{
  g_free (field->white);
  g_free (field->part);
  g_free (field->stack);
}

/* Marks with 2 all light cells that hang together with FROM; returns how many. */
static int
flood (Field *field, int from)
{
  const int w = field->width, h = field->height;
  int count = 0, top = 0;
  field->stack[top++] = from;
  field->part[from] = 2;
  while (top > 0)
  {
    const int at = field->stack[--top], x = at % w, y = at / w;
    const int next[4]
      = { x > 0 ? at - 1 : -1, x + 1 < w ? at + 1 : -1, y > 0 ? at - w : -1, y + 1 < h ? at + w : -1 };
    count++;
    for (int k = 0; k < 4; k++)
      if (next[k] >= 0 && field->part[next[k]] == 0)
      {
        field->part[next[k]] = 2;
        field->stack[top++] = next[k];
      }
  }
  return count;
}

/* The largest part lighter than LEVEL is left marked with 2, all else with 1; returns its size. */
static int
largest_part (Field *field, int level)
{
  const int count = field->width * field->height;
  for (int i = 0; i < count; i++)
    field->part[i] = field->white[i] > level ? 0 : 1;
  int best = -1, most = 0;
  for (int i = 0; i < count; i++)
  {
    if (field->part[i] != 0)
      continue;
    const int size = flood (field, i);
    if (size > most)
    {
      most = size;
      best = i;
    }
    if (2 * most > count)
      break;
  }
  if (best < 0)
    return 0;
  for (int i = 0; i < count; i++)
    field->part[i] = field->white[i] > level ? 0 : 1;
  flood (field, best);
  for (int i = 0; i < count; i++)
    if (field->part[i] == 0)
      field->part[i] = 1;
  return most;
}

static double
cross (GeomPoint a, GeomPoint b, GeomPoint c)
{
  return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

static int
hull_add (GeomPoint *hull, int count, int floor, GeomPoint p)
{
  while (count >= floor + 2 && cross (hull[count - 2], hull[count - 1], p) <= 0.0)
    count--;
  hull[count] = p;
  return count + 1;
}

/* Monotone chain, row by row (Andrew 1979).  The outer corners of the cells, for a row of them is as long as
 * it is wide.  Ends where it began. */
static int
hull_of (const Field *field, GeomPoint hull[MOST_HULL])
{
  g_autofree int *left = g_new (int, field->height), *right = g_new (int, field->height);
  int count = 0, first = -1, last = -1;
  for (int y = 0; y < field->height; y++)
  {
    const guint8 *row = field->part + y * field->width;
    left[y] = right[y] = -1;
    for (int x = 0; x < field->width; x++)
      if (row[x] == 2)
      {
        left[y] = left[y] < 0 ? x : left[y];
        right[y] = x;
      }
    if (left[y] >= 0)
    {
      first = first < 0 ? y : first;
      last = y;
    }
  }
  if (first < 0)
    return 0;
  for (int y = first; y <= last; y++)
    if (left[y] >= 0)
      count = hull_add (hull, count, 0, geom_point (right[y], y));
  const int floor = count - 1;
  for (int y = last; y >= first; y--)
    if (left[y] >= 0)
      count = hull_add (hull, count, floor, geom_point (left[y], y));
  return hull_add (hull, count, floor, geom_point (right[first], first));
}

typedef struct Quad
{
  GeomPoint p[4];
  double score; /* 0: none */
} Quad;

/* The hull's point furthest to the right of A -> B, as a place in the hull from AFTER on, before BEFORE. */
static int
furthest (const GeomPoint *hull, int count, int after, int before, GeomPoint a, GeomPoint b, double *area)
{
  int best = -1;
  *area = 0.0;
  for (int i = after; i < before; i++)
  {
    const double twice = -cross (a, b, hull[i % count]);
    if (twice > *area)
    {
      *area = twice;
      best = i % count;
    }
  }
  return best;
}

/* The largest quadrangle with its corners among the hull's, and twice its area. */
static double
largest_quad (const GeomPoint *hull, int count, GeomPoint out[4])
{
  double most = 0.0;
  for (int i = 0; i < count; i++)
    for (int k = i + 2; k < count; k++)
    {
      double one, two;
      const int a = furthest (hull, count, i + 1, k, hull[i], hull[k], &one);
      const int b = furthest (hull, count, k + 1, i + count, hull[k], hull[i], &two);
      if (a < 0 || b < 0 || one + two <= most)
        continue;
      most = one + two;
      const GeomPoint found[4] = { hull[i], hull[a], hull[k], hull[b] };
      memcpy (out, found, sizeof found);
    }
  return most;
}

static bool
is_part (const Field *field, GeomPoint at)
{
  const int x = (int)lround (at.x), y = (int)lround (at.y);
  return x >= 0 && y >= 0 && x < field->width && y < field->height && field->part[y * field->width + x] == 2;
}

/* The part of the side from A to B, which has the quadrangle at its INWARD side, that shows. */
static double
side_seen (const Field *field, GeomPoint a, GeomPoint b, GeomPoint inward)
{
  const int steps = (int)ceil (geom_distance (a, b));
  int seen = 0;
  for (int i = 0; i < steps; i++)
  {
    const GeomPoint at = geom_add (a, geom_scale (geom_sub (b, a), (i + 0.5) / steps));
    seen += is_part (field, geom_add (at, geom_scale (inward, SIDE_CELLS)))
                && !is_part (field, geom_sub (at, geom_scale (inward, SIDE_CELLS)))
              ? 1
              : 0;
  }
  return steps > 0 ? (double)seen / steps : 0.0;
}

static bool
keeps_off_rim (const Field *field, const GeomPoint *hull, int count)
{
  for (int i = 0; i < count; i++)
    if (hull[i].x < 1.0 || hull[i].y < 1.0 || hull[i].x > field->width - 2.0
        || hull[i].y > field->height - 2.0)
      return false;
  return true;
}

static Quad
quad_at (Field *field, int level)
{
  Quad quad = { .score = 0.0 };
  GeomPoint hull[MOST_HULL];
  const int size = largest_part (field, level), whole = field->width * field->height;
  if (size < LEAST_PART * LEAST_SEEN * whole)
    return quad;
  const int count = hull_of (field, hull) - 1; /* the first comes again */
  if (count < 4 || !keeps_off_rim (field, hull, count))
    return quad;
  double twice = 0.0;
  for (int i = 0; i < count; i++)
    twice += cross (hull[0], hull[i], hull[(i + 1) % count]);
  const double filled = largest_quad (hull, count, quad.p), fill = filled / fabs (twice);
  if (filled / 2.0 < LEAST_PART * whole || fill < LEAST_FILL || size < LEAST_SEEN * filled / 2.0)
    return quad;
  double least = 1.0;
  for (int i = 0; i < 4; i++)
  {
    const GeomPoint a = quad.p[i], b = quad.p[(i + 1) % 4], along = geom_sub (b, a);
    const double far = geom_norm (along);
    if (!(far > 4.0 * SIDE_CELLS))
      return quad;
    GeomPoint inward = { -along.y / far, along.x / far };
    if (cross (a, b, quad.p[(i + 2) % 4]) < 0.0)
      inward = geom_scale (inward, -1.0);
    least = MIN (least, side_seen (field, a, b, inward));
  }
  if (least >= LEAST_SIDE)
    quad.score = fill * least;
  return quad;
}

/* Clockwise as seen, from the one nearest to the top left. */
static void
put_in_order (GeomPoint p[4])
{
  if (cross (p[0], p[1], p[2]) < 0.0)
  {
    const GeomPoint keep = p[1];
    p[1] = p[3];
    p[3] = keep;
  }
  int first = 0;
  for (int i = 1; i < 4; i++)
    if (p[i].x + p[i].y < p[first].x + p[first].y)
      first = i;
  const GeomPoint turned[4] = { p[first], p[(first + 1) % 4], p[(first + 2) % 4], p[(first + 3) % 4] };
  memcpy (p, turned, sizeof turned);
}

bool
trace_sheet_find (const TracePhoto *photo, GeomPoint corner[4])
{
  if (MIN (photo->width, photo->height) < LEAST_CELL_PX * 32)
    return false;
  Field field;
  field_init (&field, photo);
  Quad best = { .score = 0.0 };
  const int range = field.lightest - field.darkest;
  for (int i = 1; range >= LEAST_RANGE && i < LEVELS; i++)
  {
    const Quad quad = quad_at (&field, field.darkest + range * i / LEVELS);
    if (quad.score > best.score)
      best = quad;
  }
  const double cell = field.cell_px;
  field_clear (&field);
  if (!(best.score > 0.0))
    return false;
  put_in_order (best.p);
  GeomPoint exact[4];
  for (int i = 0; i < 4; i++)
  {
    const GeomPoint middle = { (best.p[i].x + 0.5) * cell - 0.5, (best.p[i].y + 0.5) * cell - 0.5 };
    if (!trace_corner_near (photo, middle, EXACT_CELLS * cell, &exact[i]))
      return false;
  }
  memcpy (corner, exact, sizeof exact);
  return true;
}
