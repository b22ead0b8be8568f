/* A skyline: what has been laid is remembered as the height of the lowest free place over each stretch of the
 * strip.  The next box goes where it needs the fewest new tiles, then where it ends highest up, then
 * leftmost.  Beside the usual places, those are tried that begin or end with a tile: a box that needs one
 * tile should not lie across two.
 */
#include "engine/sheet-pack.h"

#include <math.h>

/* Less than this over the border of a tile is rounding, and far below the width of a line. */
#define TOUCH_MM 1e-3

typedef struct Step
{
  double x, y; /* from X to the next step's x, all is taken down to Y */
} Step;

typedef struct Pack
{
  const EngineTiling *tiling;
  guint columns;
  double width, gap;
  GArray *skyline;   /* Step */
  GByteArray *taken; /* tile by tile, row by row: 1 if something is on it */
  guint tiles;
} Pack;

typedef struct Spot
{
  guint new_tiles;
  double x, y, bottom;
  bool turned, found;
} Spot;

void
engine_tiles_of_stretch (double a_mm, double b_mm, double field_mm, double step_mm, int *first, int *last)
{
  double lo = floor ((a_mm + TOUCH_MM) / step_mm), hi = ceil ((b_mm - field_mm - TOUCH_MM) / step_mm);
  *first = (int)fmax (lo, 0.0);
  *last = (int)fmax (hi, 0.0);
  if (*first > *last)
    *first = *last; /* wholly within an overlap: the earlier tile has it */
}

static guint
touch_tiles (Pack *pack, double x, double y, double w, double h, bool take)
{
  int c0, c1, r0, r1;
  guint new_tiles = 0;
  engine_tiles_of_stretch (x, x + w, pack->tiling->field_w, pack->tiling->step_x, &c0, &c1);
  engine_tiles_of_stretch (y, y + h, pack->tiling->field_h, pack->tiling->step_y, &r0, &r1);
  for (int r = r0; r <= r1; r++)
    for (int c = c0; c <= c1; c++)
    {
      guint index = (guint)r * pack->columns + (guint)c;
      bool is_taken = index < pack->taken->len && pack->taken->data[index];
      new_tiles += !is_taken;
      if (!take || is_taken)
        continue;
      if (index >= pack->taken->len)
      {
        guint was = pack->taken->len;
        g_byte_array_set_size (pack->taken, index + 1);
        for (guint k = was; k <= index; k++)
          pack->taken->data[k] = 0;
      }
      pack->taken->data[index] = 1;
    }
  return new_tiles;
}

/* How far down all is taken between X and X + W. */
static double
height_over (const Pack *pack, double x, double w)
{
  double y = 0.0;
  for (guint i = 0; i < pack->skyline->len; i++)
  {
    const Step *step = &g_array_index (pack->skyline, Step, i);
    double end
      = i + 1 < pack->skyline->len ? g_array_index (pack->skyline, Step, i + 1).x : pack->width + pack->gap;
    if (step->x < x + w && end > x)
      y = fmax (y, step->y);
  }
  return y;
}

static void
try_at (Pack *pack, double x, double y, EngineBoxSize size, bool turned, Spot *best)
{
  Spot spot = { .x = x, .y = y, .bottom = y + size.h, .turned = turned, .found = true };
  spot.new_tiles = touch_tiles (pack, x, y, size.w, size.h, false);
  bool better = !best->found || spot.new_tiles < best->new_tiles
                || (spot.new_tiles == best->new_tiles && spot.bottom < best->bottom - TOUCH_MM)
                || (spot.new_tiles == best->new_tiles && spot.bottom <= best->bottom + TOUCH_MM
                    && x < best->x - TOUCH_MM);
  if (better)
    *best = spot;
}

static void
try_x (Pack *pack, double x, EngineBoxSize size, bool turned, Spot *best)
{
  if (x < 0.0 || x + size.w > pack->width + TOUCH_MM)
    return;
  double y = height_over (pack, x, size.w + pack->gap), step = pack->tiling->step_y;
  try_at (pack, x, y, size, turned, best);
  double aligned = ceil ((y - TOUCH_MM) / step) * step;
  if (aligned > y + TOUCH_MM)
    try_at (pack, x, aligned, size, turned, best);
}

static void
try_all (Pack *pack, EngineBoxSize size, bool turned, Spot *best)
{
  for (guint i = 0; i < pack->skyline->len; i++)
  {
    double start = g_array_index (pack->skyline, Step, i).x;
    try_x (pack, start, size, turned, best);
    try_x (pack, start - pack->gap - size.w, size, turned, best);
  }
  for (guint c = 0; c < pack->columns; c++)
  {
    double start = c * pack->tiling->step_x;
    try_x (pack, start, size, turned, best);
    try_x (pack, start + pack->tiling->field_w - size.w, size, turned, best);
  }
}

static void
raise_skyline (Pack *pack, double x, double w, double y)
{
  double end = x + w;
  GArray *next = g_array_sized_new (FALSE, FALSE, sizeof (Step), pack->skyline->len + 2);
  double after = 0.0; /* the height where the raised stretch ends */
  bool placed = false;
  for (guint i = 0; i < pack->skyline->len; i++)
  {
    Step step = g_array_index (pack->skyline, Step, i);
    if (step.x <= end)
      after = step.y;
    if (step.x < x)
      g_array_append_val (next, step);
    else if (step.x > end)
    {
      if (!placed)
      {
        Step raised = { x, y }, rest = { end, after };
        g_array_append_val (next, raised);
        g_array_append_val (next, rest);
        placed = true;
      }
      g_array_append_val (next, step);
    }
  }
  if (!placed)
  {
    Step raised = { x, y }, rest = { end, after };
    g_array_append_val (next, raised);
    if (end < pack->width)
      g_array_append_val (next, rest);
  }
  g_array_unref (pack->skyline);
  pack->skyline = next;
}

/* ---- the order ---- */

typedef struct Ranked
{
  double key, second;
  guint index;
} Ranked;

static gint
by_rank (gconstpointer a, gconstpointer b)
{
  const Ranked *x = a, *y = b;
  if (x->key > y->key || x->key < y->key)
    return x->key > y->key ? -1 : 1;
  if (x->second > y->second || x->second < y->second)
    return x->second > y->second ? -1 : 1;
  return x->index < y->index ? -1 : x->index > y->index;
}

static Ranked
rank (EngineBoxSize size, guint index, EnginePackOrder order)
{
  double longest = fmax (size.w, size.h), shortest = fmin (size.w, size.h);
  switch (order)
  {
  case ENGINE_PACK_LONGEST_FIRST:
    return (Ranked) { longest, shortest, index };
  case ENGINE_PACK_LARGEST_FIRST:
    return (Ranked) { size.w * size.h, longest, index };
  case ENGINE_PACK_TALLEST_FIRST:
    return (Ranked) { size.h, size.w, index };
  }
  return (Ranked) { 0.0, 0.0, index };
}

guint
engine_pack_boxes (const EngineTiling *tiling,
                   guint columns,
                   const EngineBoxSize *boxes,
                   guint count,
                   double gap_mm,
                   EnginePackOrder order,
                   EngineBoxPlace *out)
{
  Pack pack = { .tiling = tiling, .columns = columns, .gap = gap_mm };
  pack.width = (columns - 1) * tiling->step_x + tiling->field_w;
  pack.skyline = g_array_new (FALSE, FALSE, sizeof (Step));
  pack.taken = g_byte_array_new ();
  Step ground = { 0.0, 0.0 };
  g_array_append_val (pack.skyline, ground);
  g_autofree Ranked *ranked = g_new (Ranked, count + 1);
  for (guint i = 0; i < count; i++)
    ranked[i] = rank (boxes[i], i, order);
  qsort (ranked, count, sizeof *ranked, by_rank);

  bool all = true;
  for (guint k = 0; k < count && all; k++)
  {
    EngineBoxSize size = boxes[ranked[k].index], turned = { size.h, size.w };
    Spot best = { .found = false };
    try_all (&pack, size, false, &best);
    try_all (&pack, turned, true, &best);
    all = best.found;
    if (!all)
      break;
    EngineBoxSize used = best.turned ? turned : size;
    pack.tiles += touch_tiles (&pack, best.x, best.y, used.w, used.h, true);
    raise_skyline (&pack, best.x, used.w + gap_mm, best.bottom + gap_mm);
    out[ranked[k].index] = (EngineBoxPlace) { best.x, best.y, best.turned };
  }
  g_array_unref (pack.skyline);
  g_byte_array_unref (pack.taken);
  return all ? pack.tiles : 0;
}
