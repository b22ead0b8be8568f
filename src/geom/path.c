/* Runs of cubic pieces. */
#include "geom/path.h"

#include "geom/tolerance.h"

#include <stdlib.h>
#include <string.h>

void
geom_path_init (GeomPath *path)
{
  *path = (GeomPath) { 0 };
}

void
geom_path_clear (GeomPath *path)
{
  free (path->piece);
  *path = (GeomPath) { 0 };
}

void
geom_path_reset (GeomPath *path)
{
  path->count = 0;
  path->closed = false;
}

static void
make_room (GeomPath *path, size_t more)
{
  size_t wanted = path->count + more;
  if (wanted <= path->room)
    return;
  size_t room = path->room < 8 ? 8 : path->room;
  while (room < wanted)
    room *= 2;
  GeomCubic *piece = realloc (path->piece, room * sizeof *piece);
  /* As in the rooms above: no memory is no state one can go on from. */
  if (piece == NULL)
    abort ();
  path->piece = piece;
  path->room = room;
}

void
geom_path_append (GeomPath *path, const GeomCubic *c)
{
  GeomCubic copy = *c; /* C may lie in the array that moves */
  make_room (path, 1);
  path->piece[path->count++] = copy;
}

void
geom_path_append_line (GeomPath *path, GeomPoint a, GeomPoint b)
{
  GeomCubic line = geom_cubic_line (a, b);
  geom_path_append (path, &line);
}

void
geom_path_append_path (GeomPath *path, const GeomPath *more)
{
  size_t count = more->count;
  if (count == 0)
    return;
  make_room (path, count);
  memmove (path->piece + path->count, more->piece, count * sizeof *path->piece);
  path->count += count;
}

void
geom_path_copy (GeomPath *to, const GeomPath *from)
{
  if (to == from)
    return;
  geom_path_reset (to);
  geom_path_append_path (to, from);
  to->closed = from->closed;
}

void
geom_path_reverse (GeomPath *path)
{
  for (size_t i = 0, k = path->count; i < k; i++)
  {
    k--;
    GeomCubic first = geom_cubic_reversed (&path->piece[i]);
    path->piece[i] = geom_cubic_reversed (&path->piece[k]);
    path->piece[k] = first;
  }
}

void
geom_path_map (GeomPath *path, GeomAffine map)
{
  for (size_t i = 0; i < path->count; i++)
    path->piece[i] = geom_cubic_mapped (&path->piece[i], map);
}

GeomBox
geom_path_box (const GeomPath *path)
{
  GeomBox box = geom_box_empty ();
  for (size_t i = 0; i < path->count; i++)
    box = geom_box_union (box, geom_cubic_box (&path->piece[i]));
  return box;
}

/* ---- lengths and places ---- */

double
geom_path_length (const GeomPath *path, double accuracy_mm)
{
  double length_mm = 0.0;
  for (size_t i = 0; i < path->count; i++)
    length_mm += geom_cubic_length (&path->piece[i], accuracy_mm / (double)path->count);
  return length_mm;
}

/* PLACE moved into the path: piece in range, t in 0..1.  Only for a path that has pieces. */
static GeomPlace
place_within (const GeomPath *path, GeomPlace place)
{
  if (place.piece >= path->count)
    return (GeomPlace) { path->count - 1, 1.0 };
  place.t = place.t > 0.0 ? (place.t < 1.0 ? place.t : 1.0) : 0.0;
  return place;
}

double
geom_path_length_to (const GeomPath *path, GeomPlace place, double accuracy_mm)
{
  if (path->count == 0)
    return 0.0;
  place = place_within (path, place);
  double share_mm = accuracy_mm / (double)(place.piece + 1), length_mm = 0.0;
  for (size_t i = 0; i < place.piece; i++)
    length_mm += geom_cubic_length (&path->piece[i], share_mm);
  return length_mm + geom_cubic_length_between (&path->piece[place.piece], 0.0, place.t, share_mm);
}

GeomPlace
geom_path_place_at (const GeomPath *path, double along_mm, double accuracy_mm)
{
  if (path->count == 0 || !(along_mm > 0.0))
    return (GeomPlace) { 0, 0.0 };
  double share_mm = accuracy_mm / (double)(path->count + 1);
  for (size_t i = 0; i < path->count; i++)
  {
    double length_mm = geom_cubic_length (&path->piece[i], share_mm);
    if (along_mm <= length_mm)
      return (GeomPlace) { i, geom_cubic_t_at_length (&path->piece[i], along_mm, share_mm) };
    along_mm -= length_mm;
  }
  return (GeomPlace) { path->count - 1, 1.0 };
}

GeomPoint
geom_path_point (const GeomPath *path, GeomPlace place)
{
  if (path->count == 0)
    return geom_point (0.0, 0.0);
  place = place_within (path, place);
  return geom_cubic_at (&path->piece[place.piece], place.t);
}

GeomPoint
geom_path_tangent (const GeomPath *path, GeomPlace place)
{
  if (path->count == 0)
    return geom_point (0.0, 0.0);
  place = place_within (path, place);
  return geom_cubic_tangent (&path->piece[place.piece], place.t);
}

/* Appends the stretch of one piece, unless it is a single parameter. */
static void
append_stretch (GeomPath *out, const GeomCubic *piece, double t0, double t1)
{
  if (!(t0 < t1))
    return;
  GeomCubic stretch = geom_cubic_part (piece, t0, t1);
  geom_path_append (out, &stretch);
}

void
geom_path_part (const GeomPath *path, GeomPlace a, GeomPlace b, GeomPath *out)
{
  geom_path_reset (out);
  if (path->count == 0)
    return;
  a = place_within (path, a);
  b = place_within (path, b);
  bool wraps = b.piece < a.piece || (b.piece == a.piece && b.t < a.t);
  if (wraps && !path->closed)
    return;
  if (a.piece == b.piece && !wraps)
  {
    append_stretch (out, &path->piece[a.piece], a.t, b.t);
    return;
  }
  append_stretch (out, &path->piece[a.piece], a.t, 1.0);
  for (size_t i = (a.piece + 1) % path->count; i != b.piece; i = (i + 1) % path->count)
    geom_path_append (out, &path->piece[i]);
  append_stretch (out, &path->piece[b.piece], 0.0, b.t);
}

GeomPathNearest
geom_path_nearest (const GeomPath *path, GeomPoint to)
{
  GeomPathNearest best = { { 0, 0.0 }, { 0.0, 0.0 }, INFINITY };
  for (size_t i = 0; i < path->count; i++)
  {
    if (!(geom_box_distance (geom_cubic_hull_box (&path->piece[i]), to) < best.distance_mm))
      continue;
    GeomNearest near = geom_cubic_nearest (&path->piece[i], to);
    if (near.distance_mm < best.distance_mm)
      best = (GeomPathNearest) { { i, near.t }, near.point, near.distance_mm };
  }
  return best;
}

/* ---- area and winding ---- */

double
geom_path_area (const GeomPath *path)
{
  if (path->count == 0)
    return 0.0;
  /* From a point of the outline itself: far from the origin the terms would cancel. */
  GeomPoint origin = path->piece[0].p[0];
  double area = 0.0;
  for (size_t i = 0; i < path->count; i++)
  {
    GeomCubic c = path->piece[i];
    for (int k = 0; k < 4; k++)
      c.p[k] = geom_sub (c.p[k], origin);
    area += geom_cubic_area_term (&c);
  }
  return area;
}

/* Upward (1) or downward (-1) passage of the chord a->b over the level of p; the lower end belongs to it. */
static int
passage (GeomPoint a, GeomPoint b, GeomPoint p)
{
  return (b.y > p.y) - (a.y > p.y);
}

/* Passages of the chord that happen to the right of p. */
static int
chord_passages (GeomPoint a, GeomPoint b, GeomPoint p)
{
  int up = passage (a, b, p);
  if (up == 0)
    return 0;
  return geom_turn (a, b, p) == up ? up : 0;
}

/* The same for a piece.  A piece whose hull keeps clear of p passes as often as its ends say; others are
 * halved. After 52 halvings t has no finer step, and a hull no larger than rounding has no inside: p lies on
 * the piece and either answer is right. */
static int
piece_passages (const GeomCubic *c, GeomPoint p, int halvings_left)
{
  GeomBox hull = geom_cubic_hull_box (c);
  if (p.y < hull.y0 || p.y > hull.y1 || hull.x1 < p.x)
    return 0;
  if (hull.x0 > p.x)
    return passage (c->p[0], c->p[3], p);
  double size = fmax (fabs (hull.x0) + fabs (hull.x1), fabs (hull.y0) + fabs (hull.y1));
  if (halvings_left == 0 || !(hull.x1 - hull.x0 + hull.y1 - hull.y0 > GEOM_TOL_ROUNDING * size))
    return chord_passages (c->p[0], c->p[3], p);
  GeomCubic head, tail;
  geom_cubic_split (c, 0.5, &head, &tail);
  return piece_passages (&head, p, halvings_left - 1) + piece_passages (&tail, p, halvings_left - 1);
}

int
geom_path_winding (const GeomPath *path, GeomPoint p)
{
  const int halvings = 52;
  int winding = 0;
  for (size_t i = 0; i < path->count; i++)
  {
    winding += piece_passages (&path->piece[i], p, halvings);
    /* Ends that differ in the last bit would let a passage slip through. */
    winding += chord_passages (path->piece[i].p[3], path->piece[(i + 1) % path->count].p[0], p);
  }
  return winding;
}

/* ---- chords ---- */

void
geom_path_flatten (const GeomPath *path, double deviation_mm, GeomEmitPoint emit, void *user)
{
  /* A million chords a piece is past any paper or cutter: what an absurd deviation gets. */
  const double most_chords = 1048576.0;
  if (path->count > 0)
    emit (path->piece[0].p[0], user);
  for (size_t i = 0; i < path->count; i++)
  {
    const GeomPoint *p = path->piece[i].p;
    double bend = fmax (geom_norm (geom_sub (geom_add (p[0], p[2]), geom_scale (p[1], 2.0))),
                        geom_norm (geom_sub (geom_add (p[1], p[3]), geom_scale (p[2], 2.0))));
    /* |c''| <= 6 bend, and a chord over a step h is off by at most h h |c''| / 8. */
    double wanted = ceil (sqrt (0.75 * bend / deviation_mm));
    int chords = wanted >= 1.0 ? (int)fmin (wanted, most_chords) : 1;
    for (int k = 1; k < chords; k++)
      emit (geom_cubic_at (&path->piece[i], k / (double)chords), user);
    if (!path->closed || i + 1 < path->count)
      emit (p[3], user);
  }
}
