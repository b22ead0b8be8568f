/* A part of the outline drawn again with the pen.
 *
 *        a ──────── old part ──────── b         The stroke is bent at its ends so that it begins and ends on
 *      ──●── · · corner · · ───────●──          the outline, fitted, turned into the outline's direction
 * where \                      /             it leaves it smoothly, and cut at the corners it must carry.
 *            ───── stroke ──────
 */
#include "model/format.h"
#include "model/reshape-work.h"

#include "geom/fit.h"

/* Corners catch the stroke's ends within this part of the reach, other nodes within that. */
#define CORNER_CATCH 0.8
#define NODE_CATCH 0.25
/* The stroke's ends are bent onto the outline over this many reaches. */
#define BLEND_REACHES 3.0
/* A corner of the stroke within so many reaches of an old one is meant for it. */
#define CORNER_REACHES 3.0
/* Corners on the new part are at least so far apart. */
#define APART_MM 1.0
#define SCORE_SAMPLES 24
#define FIT_SAMPLES 24
#define FIT_ROUNDS 10
/* Directions this near are the same. */
#define SAME_WAY_RAD 1e-7
/* Half, a quarter ... of the end piece. */
#define MOST_HALVINGS 4
#define LENGTH_MM 1e-9

/* A place on the outline: piece counted all round, and t. */
typedef struct Spot
{
  guint piece;
  double t;
} Spot;

/* ---- where it begins and ends ---- */

static double
distance_to_line (const GeomPoint *points, guint count, GeomPoint to)
{
  double least = INFINITY;

  for (guint i = 0; i + 1 < count; i++)
  {
    GeomPoint d = geom_sub (points[i + 1], points[i]);
    double square = geom_dot (d, d),
           t = square > 0.0 ? CLAMP (geom_dot (geom_sub (to, points[i]), d) / square, 0.0, 1.0) : 0.0;

    least = MIN (least, geom_distance (geom_along (points[i], t, d), to));
  }
  return least;
}

/* How far on the whole the stroke and the part from A to B are from one another. */
static double
apart (const GeomPath *outline, GeomPlace a, GeomPlace b, const GeomPoint *points, guint count)
{
  GeomPath part;
  double length, sum = 0.0;

  geom_path_init (&part);
  geom_path_part (outline, a, b, &part);
  length = geom_path_length (&part, 1e-3);
  for (int i = 0; i < SCORE_SAMPLES && part.count > 0; i++)
  {
    double s = (i + 0.5) / SCORE_SAMPLES;

    sum += distance_to_line (points, count,
                             geom_path_point (&part, geom_path_place_at (&part, s * length, 1e-3)));
    sum += geom_path_nearest (&part, points[(guint)(s * (count - 1))]).distance_mm;
  }
  if (part.count == 0)
    sum = INFINITY;
  geom_path_clear (&part);
  return sum;
}

/* Onto a node that is near. */
static GeomPlace
catch_node (const ReworkRing *ring, const GeomPath *outline, GeomPlace place, double reach_mm)
{
  GeomPoint at = geom_path_point (outline, place);
  double best = INFINITY;
  size_t index = 0;
  GeomPlace caught = place;

  for (guint e = 0; e < ring->edges->len; e++)
    for (guint n = 0; n < rework_ring_edge (ring, e)->nodes->len; n++, index++)
    {
      double d = geom_distance (outline->piece[index].p[0], at);

      if (d <= reach_mm * (n == 0 ? CORNER_CATCH : NODE_CATCH) && d < best)
      {
        best = d;
        caught = (GeomPlace) { index, 0.0 };
      }
    }
  return caught;
}

/* The seats of the pieces all round. */
static GArray *
seats_of (const ReworkRing *ring)
{
  GArray *seats = g_array_new (FALSE, FALSE, sizeof (ModelSeat));

  for (guint e = 0; e < ring->edges->len; e++)
    for (guint n = 0; n < rework_ring_edge (ring, e)->nodes->len; n++)
    {
      ModelSeat seat = { e, n };

      g_array_append_val (seats, seat);
    }
  return seats;
}

bool
model_reshape_touches (const ModelPanel *panel, ModelSide side, GeomPoint a, GeomPoint b, double reach_mm)
{
  ModelHold hold = model_hold ((ModelPanel *)panel, side); /* only read */
  GeomPathNearest near_a, near_b;
  GeomPath path;
  bool touches;

  geom_path_init (&path);
  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++)
    {
      GeomCubic c = model_hold_piece (&hold, (ModelSeat) { e, n });

      geom_path_append (&path, &c);
    }
  near_a = geom_path_nearest (&path, a);
  near_b = geom_path_nearest (&path, b);
  touches = path.count > 0 && near_a.distance_mm <= reach_mm && near_b.distance_mm <= reach_mm
            && geom_distance (near_a.point, near_b.point) > reach_mm;
  geom_path_clear (&path);
  return touches;
}

/* ---- the new curve ---- */

/* The cubic with unit tangents U and V at its ends nearest to C in the mean, by least squares on the two
 * lengths and Newton steps on the samples' t. */
static GeomCubic
with_tangents (const GeomCubic *c, GeomPoint u, GeomPoint v)
{
  GeomPoint p0 = c->p[0], p3 = c->p[3], sample[FIT_SAMPLES];
  double t[FIT_SAMPLES], length = geom_cubic_length (c, 1e-6), least = 0.02 * length;
  double alpha = MAX (geom_distance (p0, c->p[1]), least), beta = MAX (geom_distance (p3, c->p[2]), least);
  GeomCubic fit = { { p0, geom_along (p0, alpha, u), geom_along (p3, -beta, v), p3 } };

  for (int i = 0; i < FIT_SAMPLES; i++)
  {
    t[i] = (i + 0.5) / FIT_SAMPLES;
    sample[i] = geom_cubic_at (c, t[i]);
  }
  for (int round = 0; round < FIT_ROUNDS; round++)
  {
    double a = 0.0, b = 0.0, d = 0.0, ra = 0.0, rb = 0.0, determinant;

    for (int i = 0; i < FIT_SAMPLES; i++)
    {
      double s = 1.0 - t[i], b1 = 3.0 * t[i] * s * s, b2 = 3.0 * t[i] * t[i] * s;
      GeomPoint base = geom_add (geom_scale (p0, s * s * s + b1), geom_scale (p3, t[i] * t[i] * t[i] + b2));
      GeomPoint rest = geom_sub (sample[i], base);

      a += b1 * b1;
      b -= b1 * b2 * geom_dot (u, v);
      d += b2 * b2;
      ra += b1 * geom_dot (u, rest);
      rb -= b2 * geom_dot (v, rest);
    }
    determinant = a * d - b * b;
    if (!(determinant > 1e-12 * a * d))
      break;
    alpha = CLAMP ((d * ra - b * rb) / determinant, least, length);
    beta = CLAMP ((a * rb - b * ra) / determinant, least, length);
    fit = (GeomCubic) { { p0, geom_along (p0, alpha, u), geom_along (p3, -beta, v), p3 } };
    for (int i = 0; i < FIT_SAMPLES; i++)
    {
      GeomPoint off = geom_sub (geom_cubic_at (&fit, t[i]), sample[i]);
      GeomPoint speed = geom_cubic_velocity (&fit, t[i]), pull = geom_cubic_acceleration (&fit, t[i]);
      double slope = geom_dot (speed, speed) + geom_dot (off, pull);

      if (slope > 0.0)
        t[i] = CLAMP (t[i] - CLAMP (geom_dot (off, speed) / slope, -0.1, 0.1), 0.0, 1.0);
    }
  }
  return fit;
}

static double
farthest (const GeomCubic *from, const GeomCubic *to)
{
  double far = 0.0;

  for (int i = 1; i < FIT_SAMPLES; i++)
    far = MAX (far, geom_cubic_nearest (to, geom_cubic_at (from, (double)i / FIT_SAMPLES)).distance_mm);
  return far;
}

/* Gives the curve the direction WAY at its beginning (END: its end).  As much of the end piece is drawn anew
 * as stays within the tolerance; of a piece that would have to give way as a whole, as little as a hand turns
 * a pen in. */
static void
turn_end (GeomPath *path, GeomPoint way, double tolerance_mm, bool end)
{
  GeomCubic whole = path->piece[end ? path->count - 1 : 0], kept = whole, turned = whole;
  GeomPath made;
  double part = 1.0;

  if (fabs (reshape_turn (geom_cubic_tangent (&whole, end ? 1.0 : 0.0), way)) <= SAME_WAY_RAD)
    return;
  for (int halvings = 0; halvings <= MOST_HALVINGS; halvings++, part *= 0.5)
  {
    GeomCubic here = end ? geom_cubic_part (&whole, 1.0 - part, 1.0) : geom_cubic_part (&whole, 0.0, part);

    kept = end ? geom_cubic_part (&whole, 0.0, 1.0 - part) : geom_cubic_part (&whole, part, 1.0);
    turned = end ? with_tangents (&here, geom_cubic_tangent (&here, 0.0), way)
                 : with_tangents (&here, way, geom_cubic_tangent (&here, 1.0));
    if (farthest (&here, &turned) <= tolerance_mm)
      break;
  }
  if (!(part < 1.0))
  {
    path->piece[end ? path->count - 1 : 0] = turned;
    return;
  }
  geom_path_init (&made);
  for (size_t i = 0; i < path->count; i++)
  {
    bool here = i == (end ? path->count - 1 : 0);

    if (here && !end)
      geom_path_append (&made, &turned);
    geom_path_append (&made, here ? &kept : &path->piece[i]);
    if (here && end)
      geom_path_append (&made, &turned);
  }
  geom_path_copy (path, &made);
  geom_path_clear (&made);
}

/* The stroke's points with both ends bent onto A and B. */
static GArray *
bent_onto (const GeomPoint *points, guint count, GeomPoint a, GeomPoint b, double blend_mm)
{
  GArray *bent = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  double whole = 0.0, gone = 0.0;
  GeomPoint first = geom_sub (a, points[0]), last = geom_sub (b, points[count - 1]);

  for (guint i = 1; i < count; i++)
    whole += geom_distance (points[i - 1], points[i]);
  blend_mm = MIN (blend_mm, 0.5 * whole);
  for (guint i = 0; i < count; i++)
  {
    double from_first, from_last;
    GeomPoint p = points[i];

    if (i > 0)
      gone += geom_distance (points[i - 1], points[i]);
    from_first = MAX (0.0, 1.0 - gone / blend_mm);
    from_last = MAX (0.0, 1.0 - (whole - gone) / blend_mm);
    p = geom_along (p, from_first, first);
    p = geom_along (p, from_last, last);
    if (i == 0)
      p = a;
    if (i + 1 == count)
      p = b;
    g_array_append_val (bent, p);
  }
  return bent;
}

/* Where the fitted curve has corners of its own. */
static GArray *
corner_points (const GeomPath *fitted, const size_t *corners, size_t count)
{
  GArray *points = g_array_new (FALSE, FALSE, sizeof (GeomPoint));

  for (size_t i = 0; i < count; i++)
    if (corners[i] > 0 && corners[i] < fitted->count)
      g_array_append_val (points, fitted->piece[corners[i]].p[0]);
  return points;
}

/* The lengths at which the old corners OLD lie on the new curve.  False: there is no room for them. */
static bool
place_corners (const GeomPath *fitted,
               GArray *strokes_own,
               const GeomPoint *old,
               guint count,
               double reach_mm,
               double *at_mm)
{
  double whole = geom_path_length (fitted, LENGTH_MM), last = 0.0;
  guint used = 0;

  if (!(whole > (count + 1) * APART_MM))
    return false;
  for (guint i = 0; i < count; i++)
  {
    double low = last + APART_MM, high = whole - (count - i) * APART_MM, best = CORNER_REACHES * reach_mm;
    GeomPathNearest near = geom_path_nearest (fitted, old[i]);
    bool own = false;

    at_mm[i] = geom_path_length_to (fitted, near.place, LENGTH_MM);
    for (guint k = used; k < strokes_own->len; k++)
    {
      GeomPoint corner = g_array_index (strokes_own, GeomPoint, k);
      double mm = geom_path_length_to (fitted, geom_path_nearest (fitted, corner).place, LENGTH_MM);
      double away = geom_distance (corner, old[i]);

      if (mm < low || mm > high || away > best)
        continue;
      best = away;
      at_mm[i] = mm;
      used = k + 1;
      own = true;
    }
    if (!own)
      at_mm[i] = CLAMP (at_mm[i], low, high);
    last = at_mm[i];
  }
  return true;
}

/* ---- into the outline ---- */

/* The pieces of PATH from piece FROM to TO (not included). */
static void
append_pieces (GArray *to, const GeomPath *path, size_t from, size_t until)
{
  for (size_t i = from; i < until; i++)
  {
    bool straight = geom_cubic_is_straight (&path->piece[i], RESHAPE_SAME_MM);
    ReshapePiece piece
      = straight ? reshape_line (path->piece[i].p[0], path->piece[i].p[3]) : reshape_curve (path->piece[i]);

    g_array_append_val (to, piece);
  }
}

/* As many pieces in both, by halving the last ones of the shorter: curves stay what they are. */
static void
make_equal (GArray *a, GArray *b)
{
  GArray *fewer = a->len < b->len ? a : b;
  guint wanted = MAX (a->len, b->len);

  while (fewer->len < wanted)
  {
    ReshapePiece whole = g_array_index (fewer, ReshapePiece, fewer->len - 1);
    ReshapePiece tail = reshape_part (&whole, 0.5, 1.0);

    tail.id = 0;
    g_array_index (fewer, ReshapePiece, fewer->len - 1) = reshape_part (&whole, 0.0, 0.5);
    g_array_append_val (fewer, tail);
  }
}

/* What goes: from A to B along the outline, over CORNERS corners; and what comes, section by section. */
typedef struct Part
{
  Spot a, b;
  guint edge_a, edge_b, corners;
  ReshapeEdge *sections; /* corners + 1 */
} Part;

static void
part_clear (Part *part)
{
  for (guint i = 0; part->sections != NULL && i <= part->corners; i++)
    reshape_edge_clear (&part->sections[i]);
  g_clear_pointer (&part->sections, g_free);
}

static guint
first_piece (const GArray *seats, guint edge)
{
  for (guint i = 0; i < seats->len; i++)
    if (g_array_index (seats, ModelSeat, i).edge == edge)
      return i;
  return 0;
}

/* Pieces of an edge, from its corner to spot A, or from spot B to its end. */
static void
append_head (GArray *to, const GArray *edge, Spot a)
{
  if (a.piece > 0)
    g_array_append_vals (to, edge->data, a.piece);
  if (a.t > 0.0)
  {
    ReshapePiece piece = g_array_index (edge, ReshapePiece, a.piece);
    guint id = piece.id;

    piece = reshape_part (&piece, 0.0, a.t);
    piece.id = id;
    g_array_append_val (to, piece);
  }
}

static void
append_tail (GArray *to, const GArray *edge, Spot b)
{
  if (b.t < 1.0)
  {
    ReshapePiece piece = reshape_part (&g_array_index (edge, ReshapePiece, b.piece), b.t, 1.0);

    piece.id = 0;
    g_array_append_val (to, piece);
  }
  if (b.piece + 1 < edge->len)
    g_array_append_vals (to, &g_array_index (edge, ReshapePiece, b.piece + 1), edge->len - b.piece - 1);
}

/* On an edge that holds both, B before A: what lies between and stays. */
static void
append_middle (GArray *to, const GArray *edge, Spot b, Spot a)
{
  if (b.piece == a.piece)
  {
    ReshapePiece piece = reshape_part (&g_array_index (edge, ReshapePiece, b.piece), b.t, a.t);

    piece.id = 0;
    g_array_append_val (to, piece);
    return;
  }
  if (b.t < 1.0)
  {
    ReshapePiece piece = reshape_part (&g_array_index (edge, ReshapePiece, b.piece), b.t, 1.0);

    piece.id = 0;
    g_array_append_val (to, piece);
  }
  for (guint i = b.piece + 1; i < a.piece; i++)
    g_array_append_val (to, g_array_index (edge, ReshapePiece, i));
  if (a.t > 0.0)
  {
    ReshapePiece piece = g_array_index (edge, ReshapePiece, a.piece);
    guint id = piece.id;

    piece = reshape_part (&piece, 0.0, a.t);
    piece.id = id;
    g_array_append_val (to, piece);
  }
}

static void
append_all (GArray *to, const GArray *from)
{
  if (from->len > 0)
    g_array_append_vals (to, from->data, from->len);
}

static void
give_part (ReshapeWork *work, const GArray *seats, const Part *part)
{
  guint count = work->ring->edges->len;
  guint first_a = first_piece (seats, part->edge_a), first_b = first_piece (seats, part->edge_b);
  Spot a = { part->a.piece - first_a, part->a.t }, b = { part->b.piece - first_b, part->b.t };
  bool round = part->edge_a == part->edge_b && part->corners > 0;
  g_autofree ReshapeEdge *made = g_new0 (ReshapeEdge, part->corners + 1);
  guint last = round ? part->corners - 1 : part->corners;

  for (guint i = 0; i <= last; i++)
  {
    guint e = (part->edge_a + i) % count;
    ReshapeEdge was = reshape_edge_take (work, e);
    /* A node that is where the new part begins stays. */
    guint id_a = part->a.t > 0.0 ? 0 : g_array_index (was.pieces[0], ReshapePiece, i == 0 ? a.piece : 0).id;

    made[i] = reshape_edge_new ();
    for (int s = 0; s < REWORK_SHAPES; s++)
    {
      GArray *to = made[i].pieces[s];
      guint begin;

      if (i == 0 && round)
      {
        append_all (to, part->sections[part->corners].pieces[s]);
        append_middle (to, was.pieces[s], b, a);
      }
      else if (i == 0)
        append_head (to, was.pieces[s], a);
      begin = to->len;
      append_all (to, part->sections[i].pieces[s]);
      if (i == 0)
        g_array_index (to, ReshapePiece, begin).id = id_a;
      if (!round && i == part->corners)
        append_tail (to, was.pieces[s], b);
    }
    reshape_edge_clear (&was);
  }
  for (guint i = 0; i <= last; i++)
  {
    reshape_edge_give (work, (part->edge_a + i) % count, &made[i], RESHAPE_MARKS_PLACE);
    reshape_edge_clear (&made[i]);
  }
}

/* The old pieces of a section, in shape S: from spot FROM to spot TO, counted all round. */
static void
append_old (GArray *to_array, const ReshapeWork *work, const GArray *seats, Spot from, Spot to, int s)
{
  for (guint k = from.piece, rounds = 0; rounds <= seats->len; k = (k + 1) % seats->len, rounds++)
  {
    ModelSeat seat = g_array_index (seats, ModelSeat, k);
    const ModelNode *a = &rework_ring_node (work->ring, seat)->shape[s];
    const ModelNode *b = &rework_ring_node (work->ring, rework_ring_next (work->ring, seat))->shape[s];
    ReshapePiece piece = { model_hold_cubic (a, b), model_hold_is_straight (a, b), 0 };
    double t0 = rounds == 0 ? from.t : 0.0;
    bool end = k == to.piece && (rounds > 0 || to.t > t0);

    if (end ? to.t > t0 : t0 < 1.0)
    {
      piece = reshape_part (&piece, t0, end ? to.t : 1.0);
      piece.id = 0;
      g_array_append_val (to_array, piece);
    }
    if (end)
      return;
  }
}

/* The other shape beside the drawn one's new pieces: as far off as it was at both ends, in between evenly. */
static void
append_beside (
  GArray *to, const GArray *like, GeomPoint off_a, GeomPoint off_b, double from_mm, double whole_mm)
{
  double gone = from_mm;

  for (guint i = 0; i < like->len; i++)
  {
    ReshapePiece piece = g_array_index (like, ReshapePiece, i);
    double length = geom_cubic_length (&piece.c, 1e-9);
    GeomPoint at_start = geom_mix (off_a, off_b, gone / whole_mm),
              at_end = geom_mix (off_a, off_b, (gone + length) / whole_mm);

    gone += length;
    piece.c.p[0] = geom_add (piece.c.p[0], at_start);
    piece.c.p[1] = geom_add (piece.c.p[1], at_start);
    piece.c.p[2] = geom_add (piece.c.p[2], at_end);
    piece.c.p[3] = geom_add (piece.c.p[3], at_end);
    if (piece.straight)
      piece.c = geom_cubic_line (piece.c.p[0], piece.c.p[3]);
    g_array_append_val (to, piece);
  }
}

static GeomPoint
point_at (const ReshapeWork *work, const GArray *seats, Spot spot, int s)
{
  GeomCubic c = rework_ring_piece (work->ring, g_array_index (seats, ModelSeat, spot.piece), s);

  if (spot.t <= 0.0)
    return c.p[0];
  return spot.t >= 1.0 ? c.p[3] : geom_cubic_at (&c, spot.t);
}

/* The stroke as a curve from A to B, in line with the outline where it leaves it gently. */
static bool
fit_stroke (const ReshapeWork *work,
            const GArray *seats,
            const Part *part,
            const GeomPoint *points,
            guint count,
            ModelRedraw how,
            GeomPath *fitted,
            GArray **strokes_own)
{
  GeomPoint a = point_at (work, seats, part->a, work->held), b = point_at (work, seats, part->b, work->held);
  g_autoptr (GArray) bent = bent_onto (points, count, a, b, BLEND_REACHES * how.reach_mm);
  g_autofree size_t *corners = g_new0 (size_t, count);
  size_t corner_count = 0;
  GeomFitOptions options = { .tolerance_mm = how.tolerance_mm, .corner_rad = how.corner_rad };
  ModelSeat seat_a = g_array_index (seats, ModelSeat, part->a.piece),
            seat_b = g_array_index (seats, ModelSeat, part->b.piece);
  GeomCubic arriving, leaving, *first, *last;
  GeomPoint u, v, own_u, own_v;

  if (!geom_fit_shaken ((const GeomPoint *)bent->data, bent->len, &options, fitted, corners, &corner_count)
      || fitted->count == 0)
    return false;
  first = &fitted->piece[0];
  last = &fitted->piece[fitted->count - 1];
  first->p[0] = a;
  last->p[3] = b;
  /* At a node the outline before and behind it counts, not the part that goes. */
  arriving = rework_ring_piece (
    work->ring, part->a.t > 0.0 ? seat_a : rework_ring_previous (work->ring, seat_a), work->held);
  leaving = rework_ring_piece (work->ring, part->b.t < 1.0 ? seat_b : rework_ring_next (work->ring, seat_b),
                               work->held);
  own_u = geom_cubic_tangent (first, 0.0);
  own_v = geom_cubic_tangent (last, 1.0);
  u = geom_cubic_tangent (&arriving, part->a.t > 0.0 ? part->a.t : 1.0);
  v = geom_cubic_tangent (&leaving, part->b.t < 1.0 ? part->b.t : 0.0);
  /* An edge's own corner stays one. */
  if ((part->a.t <= 0.0 && seat_a.node == 0) || fabs (reshape_turn (u, own_u)) > how.corner_rad)
    u = own_u;
  if ((part->b.t >= 1.0 && rework_ring_next (work->ring, seat_b).node == 0)
      || fabs (reshape_turn (v, own_v)) > how.corner_rad)
    v = own_v;
  *strokes_own = corner_points (fitted, corners, corner_count);
  turn_end (fitted, v, how.tolerance_mm, true);
  turn_end (fitted, u, how.tolerance_mm, false);
  return true;
}

/* Cuts the fitted curve at its corners and lays the pieces of both shapes into sections. */
static bool
make_sections (const ReshapeWork *work,
               const GArray *seats,
               Part *part,
               GeomPath *fitted,
               GArray *strokes_own,
               double reach_mm)
{
  g_autofree GeomPoint *old = g_new (GeomPoint, part->corners + 1);
  g_autofree double *at_mm = g_new (double, part->corners + 1);
  g_autofree Spot *stops = g_new (Spot, part->corners + 2);
  GeomPlace from = { 0, 0.0 }, end = { fitted->count - 1, 1.0 };
  GeomPoint off_a, off_b;
  double whole = geom_path_length (fitted, LENGTH_MM), gone = 0.0;
  guint k = 0, total = seats->len;

  stops[k++] = part->a;
  for (guint i = (part->a.piece + 1) % total, rounds = 0; k <= part->corners && rounds <= total;
       i = (i + 1) % total, rounds++)
    if (g_array_index (seats, ModelSeat, i).node == 0)
    {
      old[k - 1] = point_at (work, seats, (Spot) { i, 0.0 }, work->held);
      stops[k++] = (Spot) { i, 0.0 };
    }
  if (!place_corners (fitted, strokes_own, old, part->corners, reach_mm, at_mm))
    return false;
  off_a = geom_sub (point_at (work, seats, part->a, 1), point_at (work, seats, part->a, 0));
  off_b = geom_sub (point_at (work, seats, part->b, 1), point_at (work, seats, part->b, 0));
  part->sections = g_new0 (ReshapeEdge, part->corners + 1);
  for (guint i = 0; i <= part->corners; i++)
  {
    GeomPlace to = i < part->corners ? geom_path_place_at (fitted, at_mm[i], LENGTH_MM) : end;
    ReshapeEdge section = reshape_edge_new ();
    GeomPath piece;

    geom_path_init (&piece);
    geom_path_part (fitted, from, to, &piece);
    append_pieces (section.pieces[work->held], &piece, 0, piece.count);
    geom_path_clear (&piece);
    from = to;
    part->sections[i] = section;
    if (section.pieces[work->held]->len == 0)
      return false;
    if (work->held == 0)
      append_beside (section.pieces[1], section.pieces[0], off_a, off_b, gone, whole);
    else
    {
      Spot until = part->b;

      if (i < part->corners)
      {
        /* The end of the piece before the corner. */
        until.piece = (stops[i + 1].piece + total - 1) % total;
        until.t = 1.0;
      }
      append_old (section.pieces[0], work, seats, stops[i], until, 0);
      if (section.pieces[0]->len == 0)
        return false;
      make_equal (section.pieces[0], section.pieces[1]);
    }
    gone += reshape_edge_length (&section, work->held);
  }
  return true;
}

bool
model_reshape_redraw (ModelPanel *panel,
                      ModelDocument *ids,
                      ModelSide side,
                      const GeomPoint *points,
                      guint count,
                      ModelRedraw how,
                      GError **error)
{
  ReshapeWork work;
  ModelReworkError code = MODEL_REWORK_ERROR_SHAPE;
  g_autofree GeomPoint *drawn = g_new (GeomPoint, MAX (count, 1));
  g_autoptr (GArray) seats = NULL;
  g_autoptr (GArray) strokes_own = NULL;
  GeomPath outline, fitted;
  GeomPathNearest near_a, near_b;
  GeomPlace a, b;
  Part part = { 0 };
  bool good;

  if (!reshape_open (&work, panel, ids, side, error))
    return false;
  good = count >= 2 && how.reach_mm > 0.0 && how.tolerance_mm > 0.0 && how.corner_rad >= 0.0;
  for (guint i = 0; i < count; i++)
  {
    drawn[i] = geom_affine_apply (work.onto, points[i]);
    good &= model_hold_in_bounds (drawn[i]);
  }
  if (!good)
    return reshape_refuse (&work, MODEL_REWORK_ERROR_VALUE, error);
  geom_path_init (&outline);
  geom_path_init (&fitted);
  rework_ring_path (work.ring, work.held, &outline);
  seats = seats_of (work.ring);
  near_a = geom_path_nearest (&outline, drawn[0]);
  near_b = geom_path_nearest (&outline, drawn[count - 1]);
  a = catch_node (work.ring, &outline, near_a.place, how.reach_mm);
  b = catch_node (work.ring, &outline, near_b.place, how.reach_mm);
  good = near_a.distance_mm <= how.reach_mm && near_b.distance_mm <= how.reach_mm
         && geom_distance (geom_path_point (&outline, a), geom_path_point (&outline, b)) >= RESHAPE_LEAST_MM;
  if (!good)
    code = MODEL_REWORK_ERROR_PLACE;
  if (good && apart (&outline, b, a, drawn, count) < apart (&outline, a, b, drawn, count))
  {
    GeomPlace kept = a;

    a = b;
    b = kept;
    for (guint i = 0, j = count - 1; i < j; i++, j--)
    {
      GeomPoint p = drawn[i];

      drawn[i] = drawn[j];
      drawn[j] = p;
    }
  }
  if (good)
  {
    part.a = (Spot) { (guint)a.piece, a.t };
    part.b = (Spot) { (guint)b.piece, b.t };
    if (part.a.t >= 1.0)
      part.a = (Spot) { (part.a.piece + 1) % seats->len, 0.0 };
    if (part.b.t <= 0.0)
      part.b = (Spot) { (part.b.piece + seats->len - 1) % seats->len, 1.0 };
    part.edge_a = g_array_index (seats, ModelSeat, part.a.piece).edge;
    part.edge_b = g_array_index (seats, ModelSeat, part.b.piece).edge;
    /* Corners behind A up to B's piece, B's own end not counted. */
    for (guint i = part.a.piece, rounds = 0; rounds <= seats->len; i = (i + 1) % seats->len, rounds++)
    {
      if (rounds > 0 && g_array_index (seats, ModelSeat, i).node == 0)
        part.corners++;
      if (reshape_edge_is_fixed (&work, g_array_index (seats, ModelSeat, i).edge, &code))
        good = false;
      if (i == part.b.piece && (rounds > 0 || part.b.t > part.a.t))
        break;
    }
  }
  good = good && fit_stroke (&work, seats, &part, drawn, count, how, &fitted, &strokes_own)
         && make_sections (&work, seats, &part, &fitted, strokes_own, how.reach_mm);
  if (good)
    give_part (&work, seats, &part);
  part_clear (&part);
  geom_path_clear (&outline);
  geom_path_clear (&fitted);
  return good ? reshape_close (&work, false, error) : reshape_refuse (&work, code, error);
}
