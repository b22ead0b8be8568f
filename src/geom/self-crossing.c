/* Where a path meets itself.
 *
 * Asked of every outline after every change, so nearly all of it is cheap refusal: boxes first, then, for
 * neighbours, a line through the shared end with one piece on either side.
 *
 *        a  \    |    / b        w: between the ways out of the shared end P.  All control
 *            \   |   /           points of b ahead along w, all of a behind: they meet
 *      <------ \ P / ------> w   in P only.
 */
#include "geom/path.h"

#include <stdlib.h>

/* Up to this many pieces every pair's boxes are compared; sorting them costs more.  An outline rarely has
 * more. */
#define FEW 64
/* Two cubics meet in nine points at most, stretches and touches included. */
#define MOST_PER_PAIR 16

typedef struct Entry
{
  GeomBox box;
  size_t piece;
} Entry;

typedef struct Finder
{
  const GeomPath *path;
  double accuracy_mm;
  size_t first, last; /* first and last piece that is more than a point */
  size_t *next;       /* piece after each one, points left out; NULL: there are none to leave out */
  GeomSelfCrossing *out;
  size_t count, max;
} Finder;

/* No longer than half the accuracy: its neighbours on either side count as joined. */
static bool
is_point (GeomBox box, double accuracy_mm)
{
  return box.x1 - box.x0 + box.y1 - box.y0 <= 0.5 * accuracy_mm;
}

static void
add (Finder *f, size_t i, double t, size_t k, double u, GeomPoint point)
{
  if (f->count < f->max)
    f->out[f->count++] = (GeomSelfCrossing) { { i, t }, { k, u }, point };
}

/* The pieces a and b, of which b goes on where a ends, meet there only. */
static bool
only_joined (const GeomCubic *a, const GeomCubic *b)
{
  GeomPoint back = geom_unit (geom_sub (a->p[0], a->p[3])), on = geom_unit (geom_sub (b->p[3], b->p[0]));
  GeomPoint w = geom_sub (on, back);
  for (int i = 0; i < 3; i++)
  {
    GeomPoint from_a = geom_sub (a->p[i], a->p[3]), from_b = geom_sub (b->p[i + 1], b->p[0]);
    double behind = geom_dot (from_a, w), ahead = geom_dot (from_b, w);
    /* A handle of no length lies in P and says nothing; the ends 0 and 3 must be clear. */
    if (!(behind < 0.0) && (i == 0 || behind > 0.0 || geom_dot (from_a, from_a) > 0.0))
      return false;
    if (!(ahead > 0.0) && (i == 2 || ahead < 0.0 || geom_dot (from_b, from_b) > 0.0))
      return false;
  }
  return true;
}

/* The stretch of C from T to its end at T = END is no longer than the accuracy: that crossing is the shared
 * end. */
static bool
is_at_end (const GeomCubic *c, double t, double end, double accuracy_mm)
{
  GeomPoint p = c->p[end > 0.5 ? 3 : 0];
  return geom_distance (geom_cubic_at (c, t), p) <= accuracy_mm
         && geom_distance (geom_cubic_at (c, 0.5 * (t + end)), p) <= 2.0 * accuracy_mm;
}

static size_t
after (const Finder *f, size_t i)
{
  if (f->next != NULL)
    return f->next[i];
  return i == f->last ? f->first : i + 1;
}

static void
compare (Finder *f, size_t i, size_t k)
{
  if (i > k)
  {
    size_t keep = i;
    i = k;
    k = keep;
  }
  const GeomCubic *a = &f->path->piece[i], *b = &f->path->piece[k];
  bool joined = after (f, i) == k;
  bool closing = f->path->closed && i == f->first && k == f->last;
  if (joined && !closing && only_joined (a, b))
    return;
  if (closing && !joined && only_joined (b, a))
    return;
  GeomCrossing at[MOST_PER_PAIR];
  int count = geom_cubic_crossings (a, b, f->accuracy_mm, at, MOST_PER_PAIR);
  for (int n = 0; n < count; n++)
  {
    if (joined && is_at_end (a, at[n].t, 1.0, f->accuracy_mm) && is_at_end (b, at[n].u, 0.0, f->accuracy_mm))
      continue;
    if (closing && is_at_end (a, at[n].t, 0.0, f->accuracy_mm) && is_at_end (b, at[n].u, 1.0, f->accuracy_mm))
      continue;
    add (f, i, at[n].t, k, at[n].u, at[n].point);
  }
}

static void
compare_with_itself (Finder *f, size_t i)
{
  const GeomCubic *c = &f->path->piece[i];
  /* All arms forward along the chord: it cannot come back. */
  GeomPoint chord = geom_sub (c->p[3], c->p[0]);
  if (geom_dot (geom_sub (c->p[1], c->p[0]), chord) >= 0.0
      && geom_dot (geom_sub (c->p[2], c->p[1]), chord) >= 0.0
      && geom_dot (geom_sub (c->p[3], c->p[2]), chord) >= 0.0)
    return;
  double t, u;
  if (geom_cubic_self_crossing (c, &t, &u))
    add (f, i, t, i, u, geom_cubic_at (c, t));
}

static int
by_low_x (const void *a, const void *b)
{
  double x = ((const Entry *)a)->box.x0, y = ((const Entry *)b)->box.x0;
  return (x > y) - (x < y);
}

static int
by_low_y (const void *a, const void *b)
{
  double x = ((const Entry *)a)->box.y0, y = ((const Entry *)b)->box.y0;
  return (x > y) - (x < y);
}

static int
by_place (const void *a, const void *b)
{
  const GeomSelfCrossing *x = a, *y = b;
  if (x->a.piece != y->a.piece)
    return x->a.piece < y->a.piece ? -1 : 1;
  if (x->b.piece != y->b.piece)
    return x->b.piece < y->b.piece ? -1 : 1;
  return (x->a.t > y->a.t) - (x->a.t < y->a.t);
}

static bool
overlaps (const GeomBox *a, const GeomBox *b)
{
  return a->x0 <= b->x1 && b->x0 <= a->x1 && a->y0 <= b->y1 && b->y0 <= a->y1;
}

static void
compare_all (Finder *f, const Entry *entry, size_t count)
{
  for (size_t i = 0; i < count; i++)
    for (size_t k = i + 1; k < count; k++)
      if (overlaps (&entry[i].box, &entry[k].box))
        compare (f, entry[i].piece, entry[k].piece);
}

/* Along the longer side of the whole box, only pieces whose extents there overlap. */
static void
compare_sorted (Finder *f, Entry *entry, size_t count)
{
  GeomBox all = geom_box_empty ();
  for (size_t i = 0; i < count; i++)
    all = geom_box_union (all, entry[i].box);
  bool by_x = all.x1 - all.x0 >= all.y1 - all.y0;
  qsort (entry, count, sizeof *entry, by_x ? by_low_x : by_low_y);
  for (size_t i = 0; i < count; i++)
    for (size_t k = i + 1; k < count; k++)
    {
      if (by_x ? entry[k].box.x0 > entry[i].box.x1 : entry[k].box.y0 > entry[i].box.y1)
        break;
      if (overlaps (&entry[i].box, &entry[k].box))
        compare (f, entry[i].piece, entry[k].piece);
    }
}

/* Which piece follows which when points are passed over. */
static void
link_pieces (Finder *f, const Entry *entry, size_t count)
{
  f->next = malloc (f->path->count * sizeof *f->next);
  if (f->next == NULL)
    abort ();
  for (size_t n = 0; n < count; n++)
    f->next[entry[n].piece] = entry[(n + 1) % count].piece;
}

size_t
geom_path_self_crossings (const GeomPath *path, double accuracy_mm, GeomSelfCrossing *out, size_t max)
{
  if (path->count == 0 || max == 0)
    return 0;
  Entry few[FEW], *entry = few;
  if (path->count > FEW)
    entry = malloc (path->count * sizeof *entry);
  if (entry == NULL)
    abort ();
  Finder f = { .path = path, .accuracy_mm = accuracy_mm, .out = out, .max = max };
  size_t count = 0;
  for (size_t i = 0; i < path->count; i++)
  {
    GeomBox box = geom_cubic_hull_box (&path->piece[i]);
    if (!is_point (box, accuracy_mm))
      entry[count++] = (Entry) { box, i };
  }
  if (count > 0)
  {
    f.first = entry[0].piece;
    f.last = entry[count - 1].piece;
    if (count < path->count)
      link_pieces (&f, entry, count);
    for (size_t n = 0; n < count; n++)
      compare_with_itself (&f, entry[n].piece);
    if (count <= FEW)
      compare_all (&f, entry, count);
    else
      compare_sorted (&f, entry, count);
  }
  qsort (out, f.count, sizeof *out, by_place);
  free (f.next);
  if (entry != few)
    free (entry);
  return f.count;
}
