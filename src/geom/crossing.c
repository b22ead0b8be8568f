/* Where lines and pieces meet.
 *
 * Two pieces are halved together.  A pair of parts is dropped when their boxes, or the strips along either
 * chord that hold them, keep apart.  It is settled
 *
 *   - by Newton steps, when no direction of one part is parallel to one of the other: then there is at most
 * one crossing;
 *   - as a contact, when both parts are smaller than a touch, or lie in one strip narrower than a touch.
 *
 *    crossing  \ /       contact  ______        Contacts that follow on one another are one place:
 *               X              .-'      '-.     a touch, or the two ends of a stretch where the
 *              / \            '            '    pieces run on one another.
 *
 * Two cubics that agree on a stretch agree until one of them ends, so the ends of stretches are ends of
 * pieces lying on the other piece; nothing has to be found by halving there.
 */
#include "geom/cubic.h"

#include "geom/tolerance.h"

#include <float.h>
#include <stddef.h>

/* Pairs of parts looked at: a transversal crossing takes about 10, a touch a few hundred.  Past the cap what
 * has been found so far is the answer; only pieces that run side by side at a touch's distance without
 * agreeing get there. */
#define MOST_VISITS 20000
#define FIRST_VISITS 300
/* Two cubics cross in at most nine points; the rest is room for what is found twice at cuts. */
#define MOST_FOUND 64
#define MOST_CONTACTS 256
/* Halving t this often leaves no finer one. */
#define MOST_HALVINGS 50
/* Quadratic convergence from a start inside the cone condition needs about 6. */
#define MOST_NEWTON 24
/* Two different cubics share at most nine points: eleven show that they are one curve. */
#define SAMPLES_OF_STRETCH 11

bool
geom_line_meet (GeomPoint a0, GeomPoint a1, GeomPoint b0, GeomPoint b1, GeomPoint *out)
{
  GeomPoint a = geom_sub (a1, a0), b = geom_sub (b1, b0);
  double cross = geom_cross (a, b);
  if (!(fabs (cross) > GEOM_TOL_PARALLEL * geom_norm (a) * geom_norm (b)))
    return false;
  *out = geom_along (a0, geom_cross (geom_sub (b0, a0), b) / cross, a);
  return true;
}

/* ---- parts, what is found ---- */

typedef struct Part
{
  GeomCubic c;
  double t0, t1;
  GeomBox box;
} Part;

typedef struct Contact
{
  double t0, t1, u0, u1;
} Contact;

typedef struct Meeting
{
  const GeomCubic *a, *b;
  double touch_mm, accuracy_mm;
  int visits_left;
  GeomCrossing found[MOST_FOUND];
  int found_count;
  Contact contact[MOST_CONTACTS];
  int contact_count;
} Meeting;

static Part
part_of (const GeomCubic *c, double t0, double t1)
{
  return (Part) { *c, t0, t1, geom_cubic_hull_box (c) };
}

static void
halve (const Part *whole, Part half[2])
{
  double mid = 0.5 * (whole->t0 + whole->t1);
  geom_cubic_split (&whole->c, 0.5, &half[0].c, &half[1].c);
  half[0] = part_of (&half[0].c, whole->t0, mid);
  half[1] = part_of (&half[1].c, mid, whole->t1);
}

static double
box_size (GeomBox box)
{
  double w = box.x1 - box.x0, h = box.y1 - box.y0;
  return w > h ? w : h;
}

static bool
boxes_apart (const GeomBox *a, const GeomBox *b, double gap)
{
  return a->x0 > b->x1 + gap || b->x0 > a->x1 + gap || a->y0 > b->y1 + gap || b->y0 > a->y1 + gap;
}

typedef struct Span
{
  double low, high;
} Span;

/* Extent of the control points along DIRECTION, seen from ORIGIN. */
static Span
extent (const GeomCubic *c, GeomPoint origin, GeomPoint direction)
{
  Span span = { INFINITY, -INFINITY };
  for (int i = 0; i < 4; i++)
  {
    double d = geom_dot (geom_sub (c->p[i], origin), direction);
    span.low = d < span.low ? d : span.low;
    span.high = d > span.high ? d : span.high;
  }
  return span;
}

typedef enum Strip
{
  STRIP_APART,   /* the strips keep apart */
  STRIP_UNCLEAR, /* neither */
  STRIP_ONE      /* both parts lie in one strip narrower than a touch, one beside the other */
} Strip;

static Strip
compare_strips (const GeomCubic *a, const GeomCubic *b, double touch_mm)
{
  GeomPoint chord = geom_sub (a->p[3], a->p[0]);
  double length = sqrt (geom_dot (chord, chord));
  if (!(length > 0.0))
    return STRIP_UNCLEAR;
  GeomPoint along = geom_scale (chord, 1.0 / length), across = geom_left_of (along);
  Span sa = extent (a, a->p[0], across), sb = extent (b, a->p[0], across);
  if (sa.low > sb.high + touch_mm || sb.low > sa.high + touch_mm)
    return STRIP_APART;
  if (!(fmax (sa.high, sb.high) - fmin (sa.low, sb.low) <= touch_mm))
    return STRIP_UNCLEAR;
  sa = extent (a, a->p[0], along);
  sb = extent (b, a->p[0], along);
  return sa.low > sb.high + touch_mm || sb.low > sa.high + touch_mm ? STRIP_APART : STRIP_ONE;
}

/* No direction of a part is parallel to one of b's: all nine cross products of control arms have one sign. */
static bool
is_transversal (const GeomCubic *a, const GeomCubic *b)
{
  GeomPoint d[3], e[3];
  for (int i = 0; i < 3; i++)
  {
    d[i] = geom_sub (a->p[i + 1], a->p[i]);
    e[i] = geom_sub (b->p[i + 1], b->p[i]);
  }
  bool left = false, right = false;
  for (int i = 0; i < 3; i++)
    for (int k = 0; k < 3; k++)
    {
      double cross = geom_cross (d[i], e[k]);
      if (cross > 0.0)
        left = true;
      else if (cross < 0.0)
        right = true;
      else if (geom_dot (d[i], d[i]) > 0.0 && geom_dot (e[k], e[k]) > 0.0)
        return false; /* a zero arm adds no direction, parallel arms do */
    }
  return left != right;
}

/* ---- points, exactly ---- */

/* Newton on a(t) = b(u).  True when it came to rest. */
static bool
newton_crossing (const Meeting *m, double *t, double *u)
{
  for (int step = 0; step < MOST_NEWTON; step++)
  {
    GeomPoint gap = geom_sub (geom_cubic_at (m->b, *u), geom_cubic_at (m->a, *t));
    GeomPoint v = geom_cubic_velocity (m->a, *t), w = geom_cubic_velocity (m->b, *u);
    double cross = geom_cross (v, w);
    double dt = geom_cross (gap, w) / cross, du = geom_cross (gap, v) / cross;
    if (!(fabs (dt) < 4.0 && fabs (du) < 4.0))
      return false;
    *t += dt;
    *u += du;
    if (fabs (dt) + fabs (du) <= 4.0 * GEOM_TOL_ROUNDING)
      return true;
  }
  /* Rounding keeps it moving at a slanting crossing: good enough when the gap has closed. */
  return geom_distance (geom_cubic_at (m->a, *t), geom_cubic_at (m->b, *u)) <= 0.01 * m->touch_mm;
}

/* Newton on "parallel there, and abreast": cross(a', b') = 0, (a - b) . a' = 0. */
static bool
newton_touch (const Meeting *m, double *t, double *u)
{
  for (int step = 0; step < MOST_NEWTON; step++)
  {
    GeomPoint gap = geom_sub (geom_cubic_at (m->a, *t), geom_cubic_at (m->b, *u));
    GeomPoint v = geom_cubic_velocity (m->a, *t), w = geom_cubic_velocity (m->b, *u);
    GeomPoint v2 = geom_cubic_acceleration (m->a, *t), w2 = geom_cubic_acceleration (m->b, *u);
    double f = geom_cross (v, w), g = geom_dot (gap, v);
    double ft = geom_cross (v2, w), fu = geom_cross (v, w2);
    double gt = geom_dot (v, v) + geom_dot (gap, v2), gu = -geom_dot (w, v);
    double det = ft * gu - fu * gt;
    double dt = -(f * gu - fu * g) / det, du = -(ft * g - f * gt) / det;
    if (!(fabs (dt) < 0.5 && fabs (du) < 0.5))
      return false;
    *t += dt;
    *u += du;
    /* The gap changes with the square of the step. */
    if (fabs (dt) + fabs (du) <= 1e-11)
      return true;
  }
  return false;
}

static double
clamp01 (double t)
{
  return t > 0.0 ? (t < 1.0 ? t : 1.0) : 0.0;
}

static void
add_found (Meeting *m, double t, double u)
{
  if (m->found_count == MOST_FOUND)
    return;
  t = clamp01 (t);
  u = clamp01 (u);
  m->found[m->found_count++] = (GeomCrossing) { t, u, geom_cubic_at (m->a, t) };
}

/* T lies in its stretch; an overshoot shorter than SLACK_MM is allowed, and short in t too: a loop comes back
 * to where it was, and at a cusp much of t is a short way. */
static bool
is_within (const GeomCubic *c, double t, double t0, double t1, double slack_mm)
{
  const double most_over = 1e-3;
  double end = t < t0 ? t0 : t1, over = t < t0 ? t0 - t : t > t1 ? t - t1 : 0.0;
  if (over <= GEOM_TOL_ROUNDING)
    return true;
  return over <= most_over && geom_distance (geom_cubic_at (c, t), geom_cubic_at (c, end)) <= slack_mm;
}

static bool
settle_transversal (Meeting *m, const Part *a, const Part *b)
{
  GeomPoint ca = geom_sub (a->c.p[3], a->c.p[0]), cb = geom_sub (b->c.p[3], b->c.p[0]);
  GeomPoint gap = geom_sub (b->c.p[0], a->c.p[0]);
  double cross = geom_cross (ca, cb);
  double s = geom_cross (gap, cb) / cross, r = geom_cross (gap, ca) / cross;
  /* Chords that meet far outside: more halving will tell (also when cross is zero). */
  if (!(s > -0.5 && s < 1.5 && r > -0.5 && r < 1.5))
    return false;
  double t = a->t0 + clamp01 (s) * (a->t1 - a->t0), u = b->t0 + clamp01 (r) * (b->t1 - b->t0);
  if (!newton_crossing (m, &t, &u) || !is_within (m->a, t, a->t0, a->t1, m->touch_mm)
      || !is_within (m->b, u, b->t0, b->t1, m->touch_mm))
    return false;
  add_found (m, t, u);
  return true;
}

static void
add_contact (Meeting *m, const Part *a, const Part *b)
{
  /* Parts come in order of t, so a contact that goes on from the last ones is joined to them at once. */
  for (int i = m->contact_count - 1; i >= 0 && i >= m->contact_count - 4; i--)
  {
    Contact *c = &m->contact[i];
    if (a->t0 > c->t1 || a->t1 < c->t0 || b->t0 > c->u1 || b->t1 < c->u0)
      continue;
    *c = (Contact) { fmin (c->t0, a->t0), fmax (c->t1, a->t1), fmin (c->u0, b->t0), fmax (c->u1, b->t1) };
    return;
  }
  if (m->contact_count < MOST_CONTACTS)
    m->contact[m->contact_count++] = (Contact) { a->t0, a->t1, b->t0, b->t1 };
}

static void
meet_parts (Meeting *m, const Part *a, const Part *b, int halvings_left)
{
  if (boxes_apart (&a->box, &b->box, m->touch_mm))
    return;
  if (m->visits_left == 0)
    return;
  m->visits_left--;
  Strip strip = compare_strips (&a->c, &b->c, m->touch_mm);
  if (strip != STRIP_APART)
  {
    Strip other = compare_strips (&b->c, &a->c, m->touch_mm);
    if (other == STRIP_APART || strip == STRIP_UNCLEAR)
      strip = other;
  }
  if (strip == STRIP_APART)
    return;
  if (is_transversal (&a->c, &b->c) && settle_transversal (m, a, b))
    return;
  double size_a = box_size (a->box), size_b = box_size (b->box);
  bool tiny = size_a <= m->touch_mm && size_b <= m->touch_mm;
  if (strip == STRIP_ONE || tiny || halvings_left == 0)
  {
    add_contact (m, a, b);
    return;
  }
  Part half_a[2] = { *a }, half_b[2] = { *b };
  int count_a = 1, count_b = 1;
  /* Parts of unlike size: only the larger one gains from halving. */
  if (size_a >= 0.5 * size_b)
  {
    halve (a, half_a);
    count_a = 2;
  }
  if (size_b >= 0.5 * size_a)
  {
    halve (b, half_b);
    count_b = 2;
  }
  for (int i = 0; i < count_a; i++)
    for (int k = 0; k < count_b; k++)
      meet_parts (m, &half_a[i], &half_b[k], halvings_left - 1);
}

/* ---- contacts become points ---- */

static void
join_contacts (Meeting *m)
{
  for (bool joined = true; joined;)
  {
    joined = false;
    for (int i = 0; i < m->contact_count; i++)
      for (int k = i + 1; k < m->contact_count; k++)
      {
        Contact *c = &m->contact[i], *d = &m->contact[k];
        if (c->t0 > d->t1 || c->t1 < d->t0 || c->u0 > d->u1 || c->u1 < d->u0)
          continue;
        *c = (Contact) { fmin (c->t0, d->t0), fmax (c->t1, d->t1), fmin (c->u0, d->u0), fmax (c->u1, d->u1) };
        m->contact[k] = m->contact[--m->contact_count];
        k--;
        joined = true;
      }
  }
}

static double
gap_at (const Meeting *m, double t, double u)
{
  return geom_distance (geom_cubic_at (m->a, t), geom_cubic_at (m->b, u));
}

/* An end of a piece within the contact that lies exactly on the other piece: that is the place meant, though
 * beside it the pieces may stay nearer than a touch for a while. */
static bool
settle_at_end (Meeting *m, const Contact *c)
{
  double exact_mm = 1e-3 * m->touch_mm;
  for (int end = 0; end < 2; end++)
  {
    if (end == 0 ? c->t0 <= 0.0 : c->t1 >= 1.0)
    {
      GeomNearest near = geom_cubic_nearest (m->b, m->a->p[3 * end]);
      if (near.distance_mm <= exact_mm && is_within (m->b, near.t, c->u0, c->u1, m->touch_mm))
      {
        add_found (m, end, near.t);
        return true;
      }
    }
    if (end == 0 ? c->u0 <= 0.0 : c->u1 >= 1.0)
    {
      GeomNearest near = geom_cubic_nearest (m->a, m->b->p[3 * end]);
      if (near.distance_mm <= exact_mm && is_within (m->a, near.t, c->t0, c->t1, m->touch_mm))
      {
        add_found (m, near.t, end);
        return true;
      }
    }
  }
  return false;
}

static void
settle_contact (Meeting *m, const Contact *c)
{
  double tm = 0.5 * (c->t0 + c->t1), um = 0.5 * (c->u0 + c->u1);
  double t = tm, u = um;
  if (settle_at_end (m, c))
    return;
  /* Inside the stretch the pieces are within a touch, so only the place has to be right. */
  if (newton_touch (m, &t, &u) && is_within (m->a, t, c->t0, c->t1, m->touch_mm)
      && is_within (m->b, u, c->u0, c->u1, m->touch_mm)
      && gap_at (m, clamp01 (t), clamp01 (u)) <= m->touch_mm)
  {
    add_found (m, t, u);
    return;
  }
  t = tm;
  u = um;
  if (newton_crossing (m, &t, &u) && is_within (m->a, t, c->t0, c->t1, m->touch_mm)
      && is_within (m->b, u, c->u0, c->u1, m->touch_mm))
  {
    add_found (m, t, u);
    return;
  }
  /* At an end, at a cusp: the best of the ends and the middle. */
  double best_gap = INFINITY, best_t = tm, best_u = um;
  double ts[3] = { tm, c->t0, c->t1 }, us[3] = { um, c->u0, c->u1 };
  for (int i = 0; i < 6; i++)
  {
    GeomNearest near;
    double gap_mm;
    if (i < 3)
    {
      near = geom_cubic_nearest (m->b, geom_cubic_at (m->a, ts[i]));
      t = ts[i];
      u = near.t;
    }
    else
    {
      near = geom_cubic_nearest (m->a, geom_cubic_at (m->b, us[i - 3]));
      t = near.t;
      u = us[i - 3];
    }
    gap_mm = near.distance_mm;
    if (gap_mm < best_gap && is_within (m->a, t, c->t0, c->t1, m->accuracy_mm)
        && is_within (m->b, u, c->u0, c->u1, m->accuracy_mm))
    {
      best_gap = gap_mm;
      best_t = t;
      best_u = u;
    }
  }
  if (best_gap <= 2.0 * m->touch_mm)
    add_found (m, best_t, best_u);
}

/* Order by t, then u, and leave out what is the same place on both pieces. */
static void
sort_found (Meeting *m)
{
  GeomCrossing *f = m->found;
  for (int i = 1; i < m->found_count; i++)
    for (int k = i; k > 0 && (f[k].t < f[k - 1].t || (f[k].t <= f[k - 1].t && f[k].u < f[k - 1].u)); k--)
    {
      GeomCrossing keep = f[k];
      f[k] = f[k - 1];
      f[k - 1] = keep;
    }
  int kept = 0;
  for (int i = 0; i < m->found_count; i++)
  {
    bool again = false;
    for (int k = 0; k < kept && !again; k++)
    {
      if (!(geom_distance (f[i].point, f[k].point) <= m->accuracy_mm))
        continue;
      /* Near in the plane is not enough: a loop passes one place twice. */
      GeomPoint on_a = geom_cubic_at (m->a, 0.5 * (f[i].t + f[k].t));
      GeomPoint on_b = geom_cubic_at (m->b, 0.5 * (f[i].u + f[k].u));
      again = geom_distance (on_a, f[k].point) <= 2.0 * m->accuracy_mm
              && geom_distance (on_b, f[k].point) <= 2.0 * m->accuracy_mm;
    }
    if (!again)
      f[kept++] = f[i];
  }
  m->found_count = kept;
}

/* ---- stretches ---- */

typedef struct Incidence
{
  double t, u;
} Incidence;

/* Ends of either piece that lie on the other, ascending in t. */
static int
find_incidences (const Meeting *m, Incidence out[4])
{
  int count = 0;
  for (int end = 0; end < 2; end++)
  {
    GeomNearest near = geom_cubic_nearest (m->b, m->a->p[3 * end]);
    if (near.distance_mm <= m->touch_mm)
      out[count++] = (Incidence) { end, near.t };
    near = geom_cubic_nearest (m->a, m->b->p[3 * end]);
    if (near.distance_mm <= m->touch_mm)
      out[count++] = (Incidence) { near.t, end };
  }
  for (int i = 1; i < count; i++)
    for (int k = i; k > 0 && out[k].t < out[k - 1].t; k--)
    {
      Incidence keep = out[k];
      out[k] = out[k - 1];
      out[k - 1] = keep;
    }
  return count;
}

static bool
runs_on (const Meeting *m, double t0, double t1)
{
  double farthest = 0.0;
  GeomPoint start = geom_cubic_at (m->a, t0);
  for (int i = 0; i <= SAMPLES_OF_STRETCH; i++)
  {
    GeomPoint p = geom_cubic_at (m->a, t0 + (t1 - t0) * i / SAMPLES_OF_STRETCH);
    if (!(geom_cubic_nearest (m->b, p).distance_mm <= m->touch_mm))
      return false;
    farthest = fmax (farthest, geom_distance (p, start));
  }
  return farthest > m->accuracy_mm;
}

/* The first and last parameter of the stretch on a, and what belongs to them on b. */
static bool
find_stretch (const Meeting *m, Incidence *from, Incidence *to)
{
  Incidence end[4];
  int count = find_incidences (m, end);
  bool found = false;
  for (int i = 0; i + 1 < count; i++)
    if (end[i].t < end[i + 1].t && runs_on (m, end[i].t, end[i + 1].t))
    {
      if (!found)
        *from = end[i];
      *to = end[i + 1];
      found = true;
    }
    else if (found)
      break;
  return found;
}

/* ---- the door ---- */

static void
start_meeting (Meeting *m, const GeomCubic *a, const GeomCubic *b, double accuracy_mm)
{
  GeomBox all = geom_box_union (geom_cubic_hull_box (a), geom_cubic_hull_box (b));
  double largest = fmax (fmax (fabs (all.x0), fabs (all.x1)), fmax (fabs (all.y0), fabs (all.y1)));
  /* Finer than rounding nothing can be told apart. */
  double finest_mm = 8.0 * GEOM_TOL_ROUNDING * largest;
  m->a = a;
  m->b = b;
  m->accuracy_mm = fmax (accuracy_mm, finest_mm);
  m->touch_mm = fmax (fmin (accuracy_mm, GEOM_TOL_TOUCH_MM), finest_mm);
  m->found_count = 0;
  m->contact_count = 0;
  m->visits_left = FIRST_VISITS;
}

static void
settle_contacts (Meeting *m)
{
  join_contacts (m);
  for (int i = 0; i < m->contact_count; i++)
    settle_contact (m, &m->contact[i]);
  m->contact_count = 0;
}

int
geom_cubic_crossings (const GeomCubic *a, const GeomCubic *b, double accuracy_mm, GeomCrossing *out, int max)
{
  Part whole_a = part_of (a, 0.0, 1.0), whole_b = part_of (b, 0.0, 1.0);
  if (max <= 0 || boxes_apart (&whole_a.box, &whole_b.box, fmax (accuracy_mm, 0.0)))
    return 0;
  Meeting m;
  start_meeting (&m, a, b, accuracy_mm);
  meet_parts (&m, &whole_a, &whole_b, MOST_HALVINGS);
  if (m.contact_count > 0 || m.visits_left == 0)
  {
    Incidence from, to;
    bool out_of_visits = m.visits_left == 0;
    m.visits_left = MOST_VISITS;
    if (find_stretch (&m, &from, &to))
    {
      m.found_count = 0;
      m.contact_count = 0;
      add_found (&m, from.t, from.u);
      add_found (&m, to.t, to.u);
      /* What lies outside the stretch may cross the other piece once more. */
      double rest[2][2] = { { 0.0, from.t }, { to.t, 1.0 } };
      for (int i = 0; i < 2; i++)
        if (rest[i][1] > rest[i][0])
        {
          GeomCubic c = geom_cubic_part (a, rest[i][0], rest[i][1]);
          Part part = part_of (&c, rest[i][0], rest[i][1]);
          meet_parts (&m, &part, &whole_b, MOST_HALVINGS);
        }
    }
    else if (out_of_visits)
    {
      m.found_count = 0;
      m.contact_count = 0;
      meet_parts (&m, &whole_a, &whole_b, MOST_HALVINGS);
    }
    settle_contacts (&m);
  }
  sort_found (&m);
  int count = m.found_count < max ? m.found_count : max;
  for (int i = 0; i < count; i++)
    out[i] = m.found[i];
  return count;
}
