/* Length along a cubic piece.
 *
 * The velocity is a complex quadratic z(t), the speed its absolute value.  The only places where the speed is
 * not smooth are the two complex roots of z and their mirror images, and how near they are decides how many
 * nodes a Gauss-Legendre rule needs: with rho the sum of the half axes of the ellipse through the nearest
 * root, foci at the ends of the stretch, n nodes err by about rho^-2n.  So the roots are computed first.
 *
 *                            Far roots: one rule of 12 to 32 nodes, chosen by rho, and done.
 *      x root                A near root: cut below it, then toward it by tenths until each part is far
 * enough
 *   |--+--|----|-------|     from every root, seen in its own size.
 *      cut, tenths           A root on the piece (a cusp): the speed is |t - root| times something smooth.
 *
 * Ways not taken: halving until two rules agree, or judging a rule by its own last Legendre coefficients.
 * Beside a cusp both may look fine by chance and be wrong by 1e-6 mm to 1e-3 mm.
 */
#include "geom/cubic.h"

#include <stdint.h>
#include <string.h>

/* Positive halves of the Gauss-Legendre rules of 12 to 32 nodes, computed at 50 digits. */
static const double node_12[6] = { 0.125233408511468915, 0.367831498998180194, 0.587317954286617447,
                                   0.769902674194304687, 0.904117256370474857, 0.981560634246719251 };
static const double weight_12[6] = { 0.249147045813402785, 0.233492536538354809, 0.203167426723065922,
                                     0.160078328543346226, 0.106939325995318431, 0.0471753363865118272 };
static const double node_16[8]
  = { 0.0950125098376374402, 0.281603550779258913, 0.458016777657227386, 0.617876244402643748,
      0.755404408355003034,  0.865631202387831744, 0.944575023073232576, 0.989400934991649933 };
static const double weight_16[8]
  = { 0.189450610455068496, 0.182603415044923589,  0.169156519395002538,  0.149595988816576732,
      0.124628971255533872, 0.0951585116824927848, 0.0622535239386478929, 0.0271524594117540949 };
static const double node_24[12]
  = { 0.0640568928626056261, 0.191118867473616309, 0.315042679696163374, 0.433793507626045138,
      0.545421471388839536,  0.648093651936975569, 0.740124191578554364, 0.820001985973902922,
      0.886415527004401034,  0.938274552002732759, 0.974728555971309498, 0.995187219997021360 };
static const double weight_24[12]
  = { 0.127938195346752157,  0.125837456346828296,  0.121670472927803391,  0.115505668053725601,
      0.107444270115965635,  0.0976186521041138883, 0.0861901615319532759, 0.0733464814110803057,
      0.0592985849154367807, 0.0442774388174198062, 0.0285313886289336632, 0.0123412297999871995 };
static const double node_32[16]
  = { 0.0483076656877383162, 0.144471961582796493, 0.239287362252137075, 0.331868602282127650,
      0.421351276130635345,  0.506899908932229390, 0.587715757240762329, 0.663044266930215201,
      0.732182118740289680,  0.794483795967942407, 0.849367613732569970, 0.896321155766052124,
      0.934906075937739689,  0.964762255587506431, 0.985611511545268335, 0.997263861849481564 };
static const double weight_32[16]
  = { 0.0965400885147278006, 0.0956387200792748594, 0.0938443990808045656, 0.0911738786957638847,
      0.0876520930044038111, 0.0833119242269467552, 0.0781938957870703065, 0.0723457941088485062,
      0.0658222227763618468, 0.0586840934785355471, 0.0509980592623761762, 0.0428358980222266807,
      0.0342738629130214331, 0.0253920653092620595, 0.0162743947309056706, 0.00701861000947009660 };

#define RULES 4

/* ---- the speed and its roots ---- */

/* The velocity on a stretch of the piece, over s = -1..1, times half the stretch's share of t:
 * z(s) = z0 + z1 s + z2 s s. */
typedef struct Speed
{
  GeomPoint z0, z1, z2;
} Speed;

/* A root of z in the plane of s. */
typedef struct Root
{
  bool exists;
  bool on_line; /* so near the real line that it is taken to lie on it */
  double x, y;
} Root;

typedef struct Integrand
{
  Speed z;
  Root root[2];
  const double *far_enough; /* how far the nearest root must be for each rule */
} Integrand;

/* A root this near to the real line counts as on it (the stretch being -1..1): the error is about the square.
 */
#define ON_LINE 1e-8
/* A root this far is as good as none. */
#define NO_ROOT 1e3
/* Tenths from 1 down to ON_LINE are 8, at each end of either half; some room. */
#define MOST_CUTS 64
/* Coefficients within this range can be taken to the fourth power (the discriminant's size). */
#define SMALLEST_SIZE 1e-70
#define LARGEST_SIZE 1e70

static Speed
speed_between (const GeomCubic *c, double t0, double t1)
{
  GeomPoint d0 = geom_sub (c->p[1], c->p[0]), d1 = geom_sub (c->p[2], c->p[1]),
            d2 = geom_sub (c->p[3], c->p[2]);
  GeomPoint e0 = geom_sub (d1, d0), e1 = geom_sub (d2, d1), f = geom_sub (e1, e0);
  double mid = 0.5 * (t0 + t1), half = 0.5 * (t1 - t0);
  /* c' = 3 (d0 + 2 e0 t + f t t). */
  GeomPoint slope = geom_along (e0, mid, f);
  GeomPoint value = geom_along (d0, mid, geom_add (e0, slope));
  return (Speed) { geom_scale (value, 3.0 * half), geom_scale (slope, 6.0 * half * half),
                   geom_scale (f, 3.0 * half * half * half) };
}

/* The same function seen from a part of the stretch. */
static Speed
speed_on_part (const Speed *z, double mid, double half)
{
  GeomPoint value = geom_along (z->z0, mid, geom_along (z->z1, mid, z->z2));
  GeomPoint slope = geom_along (z->z1, 2.0 * mid, z->z2);
  return (Speed) { geom_scale (value, half), geom_scale (slope, half * half),
                   geom_scale (z->z2, half * half * half) };
}

static double
size_of (const Speed *z)
{
  return fabs (z->z0.x) + fabs (z->z0.y) + fabs (z->z1.x) + fabs (z->z1.y) + fabs (z->z2.x) + fabs (z->z2.y);
}

/* Points as complex numbers. */
static GeomPoint
times (GeomPoint a, GeomPoint b)
{
  return geom_point (a.x * b.x - a.y * b.y, a.x * b.y + a.y * b.x);
}

static GeomPoint
square_root (GeomPoint a)
{
  double size = sqrt (a.x * a.x + a.y * a.y);
  double large = sqrt (0.5 * (size + fabs (a.x)));
  if (!(large > 0.0))
    return geom_point (0.0, 0.0);
  double small = 0.5 * a.y / large;
  return a.x >= 0.0 ? geom_point (large, small) : geom_point (fabs (small), copysign (large, a.y));
}

static Root
quotient (GeomPoint above, GeomPoint below)
{
  double below_square = geom_dot (below, below);
  if (!(geom_dot (above, above) < NO_ROOT * NO_ROOT * below_square))
    return (Root) { 0 };
  double x = geom_dot (above, below) / below_square, y = geom_cross (below, above) / below_square;
  return (Root) { true, fabs (y) <= ON_LINE, x, y };
}

static void
find_roots (Integrand *f)
{
  GeomPoint z0 = f->z.z0, z1 = f->z.z1, z2 = f->z.z2;
  GeomPoint root = square_root (geom_along (times (z1, z1), -4.0, times (z2, z0)));
  if (geom_dot (z1, root) < 0.0)
    root = geom_scale (root, -1.0);
  /* The larger sum for one root, the product for the other: no cancellation. */
  GeomPoint q = geom_scale (geom_add (z1, root), -0.5);
  f->root[0] = quotient (q, z2);
  /* q vanishes only when z is z2 s s (two roots at 0) or a constant. */
  f->root[1] = geom_dot (q, q) > 0.0 ? quotient (z0, q) : f->root[0];
}

/* ---- which rule ---- */

/* How far a root is from the stretch MID +- HALF: half the sum d of its distances to both ends, in half
 * lengths, is cosh (log rho); given is 2 d d - 1 = cosh (2 log rho), 1 on the stretch itself. */
static double
root_distance (const Root *r, double mid, double half)
{
  double x = r->x - mid, ahead = x - half, behind = x + half, yy = r->y * r->y;
  double sum = (sqrt (ahead * ahead + yy) + sqrt (behind * behind + yy)) / half;
  return 0.5 * sum * sum - 1.0;
}

/* What a relative error of 2^-bits asks for, that is 2 n log2 (rho) >= bits, for each rule: cosh (2 log rho).
 * Past 44 bits a double has nothing to gain, and below 14 rho says little. */
#define FEWEST_BITS 14
#define GRADES 16
static const double grades[GRADES][RULES] = {
  { 1.34519, 1.18964, 1.08287, 1.04634 }, /* 14 bits */
  { 1.45835, 1.25001, 1.10869, 1.06067 }, /* 16 bits */
  { 1.59100, 1.31976, 1.13820, 1.07698 }, /* 18 bits */
  { 1.74490, 1.39944, 1.17152, 1.09532 }, /* 20 bits */
  { 1.92211, 1.48962, 1.20875, 1.11571 }, /* 22 bits */
  { 2.12500, 1.59100, 1.25001, 1.13820 }, /* 24 bits */
  { 2.35629, 1.70432, 1.29544, 1.16283 }, /* 26 bits */
  { 2.61906, 1.83045, 1.34519, 1.18964 }, /* 28 bits */
  { 2.91682, 1.97033, 1.39944, 1.21868 }, /* 30 bits */
  { 3.25355, 2.12500, 1.45835, 1.25001 }, /* 32 bits */
  { 3.63375, 2.29565, 1.52213, 1.28368 }, /* 34 bits */
  { 4.06250, 2.48353, 1.59100, 1.31976 }, /* 36 bits */
  { 4.54553, 2.69007, 1.66517, 1.35833 }, /* 38 bits */
  { 5.08930, 2.91682, 1.74490, 1.39944 }, /* 40 bits */
  { 5.70105, 3.16548, 1.83045, 1.44317 }, /* 42 bits */
  { 6.38898, 3.43792, 1.92211, 1.48962 }, /* 44 bits */
};

/* The factor before rho^-2n is below 2^-5, found by trying millions of pieces.  Two of these bits are used,
 * one makes up for exponents being whole numbers, the rest is margin. */
#define ERROR_FACTOR_BITS 2

/* Exponent of a positive, normal double. */
static inline int
exponent_of (double a)
{
  uint64_t bits;
  memcpy (&bits, &a, sizeof bits);
  return (int)(bits >> 52 & 0x7ff);
}

static const double *
pick_grade (double size_mm, double accuracy_mm)
{
  int bits = exponent_of (size_mm) - exponent_of (accuracy_mm) - ERROR_FACTOR_BITS;
  int grade = (bits - FEWEST_BITS + 1) / 2;
  return grades[grade < 0 ? 0 : grade < GRADES ? grade : GRADES - 1];
}

/* Inlined with constant HALF_NODES, so that the square roots go two at a time. */
static inline __attribute__ ((always_inline)) double
rule (const Speed *z, const double *node, const double *weight, int half_nodes)
{
  double speed[16];
  for (int i = 0; i < half_nodes; i++)
  {
    double s = node[i], ss = s * s;
    double even_x = z->z0.x + z->z2.x * ss, even_y = z->z0.y + z->z2.y * ss;
    double odd_x = z->z1.x * s, odd_y = z->z1.y * s;
    double ax = even_x + odd_x, ay = even_y + odd_y, bx = even_x - odd_x, by = even_y - odd_y;
    speed[i] = weight[i] * (sqrt (ax * ax + ay * ay) + sqrt (bx * bx + by * by));
  }
  double sum = 0.0, other = 0.0;
  for (int i = 0; i < half_nodes; i += 2)
  {
    sum += speed[i];
    other += speed[i + 1];
  }
  return sum + other;
}

static double
apply_rule (const Speed *z, int which)
{
  switch (which)
  {
  case 0:
    return rule (z, node_12, weight_12, 6);
  case 1:
    return rule (z, node_16, weight_16, 8);
  case 2:
    return rule (z, node_24, weight_24, 12);
  default:
    return rule (z, node_32, weight_32, 16);
  }
}

/* The cheapest rule that is exact enough for a nearest root at DISTANCE; RULES when none is. */
static int
pick_rule (const Integrand *f, double distance)
{
  int which = 0;
  while (which < RULES && !(distance >= f->far_enough[which]))
    which++;
  return which;
}

/* ---- stretches between roots ---- */

#define RULE_BESIDE_CUSP 2

/* Like the rule of 24 nodes, with the roots on the line divided out and multiplied back as |s - x|. */
static double
rule_beside_cusp (const Integrand *f, double mid, double half)
{
  const Root *r = f->root;
  const Speed *z = &f->z;
  double sum = 0.0;
  for (int i = 0; i < 24; i++)
  {
    double s = i < 12 ? mid + half * node_24[i] : mid - half * node_24[i - 12], speed;
    if (r[0].on_line && r[1].on_line)
      speed = sqrt (geom_dot (z->z2, z->z2)) * fabs (s - r[0].x) * fabs (s - r[1].x);
    else
    {
      const Root *on = r[0].on_line ? &r[0] : &r[1];
      /* z / (s - root) = z1 + z2 (s + root): here the small distance from the line counts. */
      GeomPoint rest = geom_add (z->z1, times (z->z2, geom_point (s + on->x, on->y)));
      speed = fabs (s - on->x) * sqrt (geom_dot (rest, rest));
    }
    sum += weight_24[i % 12] * speed;
  }
  return half * sum;
}

static double
cut_length (const Integrand *f, double from, double to, int cuts_left)
{
  double mid = 0.5 * (from + to), half = 0.5 * (to - from), cut = 0.0, nearest = INFINITY;
  bool cusp = f->root[0].on_line || f->root[1].on_line;
  for (int i = 0; i < 2; i++)
  {
    const Root *r = &f->root[i];
    bool inside = r->x > from && r->x < to;
    /* A root on the line is a plain factor on either side of it. */
    if (!r->exists || (r->on_line && !inside))
      continue;
    double distance = r->on_line ? 1.0 : root_distance (r, mid, half);
    if (!(distance < nearest))
      continue;
    nearest = distance;
    cut = inside ? r->x : r->x < mid ? from + 0.2 * half : to - 0.2 * half;
  }
  int which = pick_rule (f, nearest);
  if (cusp && (which <= RULE_BESIDE_CUSP || cuts_left == 0 || !(cut > from && cut < to)))
    return rule_beside_cusp (f, mid, half);
  if (which < RULES || cuts_left == 0 || !(cut > from && cut < to))
  {
    Speed part = speed_on_part (&f->z, mid, half);
    return apply_rule (&part, which);
  }
  return cut_length (f, from, cut, cuts_left - 1) + cut_length (f, cut, to, cuts_left - 1);
}

/* ---- the door ---- */

/* Whether all roots are far enough, without the roots: in Chebyshev form z is m0 + m1 T1 + m2 T2.  While s
 * runs round the ellipse with half axes d and sqrt (d d - 1), T1 does too and T2 runs round one with half
 * axes D = 2 d d - 1 and sqrt (D D - 1).  Turned so that m0 is real, the real part of z stays positive there
 * when
 *
 *     |m0| > sqrt (|m1|^2 d^2 - Im(m1)^2) + sqrt (|m2|^2 D^2 - Im(m2)^2),
 *
 * which is squared twice to need no square root.  True for nearly all edges a person draws. */
typedef struct Chebyshev
{
  double size, m1, m2, flat1, flat2; /* all times |m0|^2 */
} Chebyshev;

static inline bool
is_far_at_once (const Chebyshev *m, double far_enough)
{
  double p = m->m1 * (1.0 + far_enough) - m->flat1, q = m->m2 * far_enough * far_enough - m->flat2;
  double rest = m->size - p - q;
  return rest > 0.0 && rest * rest > 4.0 * p * q;
}

static double
integrate (const Speed *z, double size, double accuracy_mm)
{
  GeomPoint m0 = geom_along (z->z0, 0.5, z->z2);
  double square = geom_dot (m0, m0), across1 = geom_cross (m0, z->z1), across2 = 0.5 * geom_cross (m0, z->z2);
  Chebyshev m = { square * square, 0.5 * geom_dot (z->z1, z->z1) * square,
                  0.25 * geom_dot (z->z2, z->z2) * square, across1 * across1, across2 * across2 };
  const double *far_enough = pick_grade (size, accuracy_mm);
  /* Most pieces pass at 24 nodes.  To try 16 first would save less than a branch guessed wrong costs; 12 are
   * for what is nearly straight. */
  if (is_far_at_once (&m, far_enough[2]))
    return apply_rule (z, is_far_at_once (&m, far_enough[0]) ? 0 : 2);
  if (is_far_at_once (&m, far_enough[3]))
    return apply_rule (z, 3);
  Integrand f = { .z = *z, .far_enough = far_enough };
  find_roots (&f);
  return cut_length (&f, -1.0, 1.0, MOST_CUTS);
}

/* For coordinates whose powers leave the range of a double: scaled by a power of two, which costs nothing. */
static double
scaled_length_between (const GeomCubic *c, double t0, double t1, double accuracy_mm)
{
  double largest = 0.0;
  for (int i = 0; i < 4; i++)
    largest = fmax (largest, fmax (fabs (c->p[i].x), fabs (c->p[i].y)));
  if (!(largest > 0.0) || !isfinite (largest))
    return 0.0;
  int exponent;
  frexp (largest, &exponent);
  GeomCubic unit;
  for (int i = 0; i < 4; i++)
    unit.p[i] = geom_point (ldexp (c->p[i].x, -exponent), ldexp (c->p[i].y, -exponent));
  Speed z = speed_between (&unit, t0, t1);
  double size = size_of (&z);
  if (!(size > SMALLEST_SIZE))
    return 0.0;
  return ldexp (integrate (&z, size, ldexp (accuracy_mm, -exponent)), exponent);
}

double
geom_cubic_length_between (const GeomCubic *c, double t0, double t1, double accuracy_mm)
{
  if (t0 > t1)
    return -geom_cubic_length_between (c, t1, t0, accuracy_mm);
  if (!(t0 < t1))
    return 0.0;
  Speed z = speed_between (c, t0, t1);
  double size = size_of (&z);
  if (!(size > SMALLEST_SIZE && size < LARGEST_SIZE))
    return scaled_length_between (c, t0, t1, accuracy_mm);
  return integrate (&z, size, accuracy_mm);
}

double
geom_cubic_length (const GeomCubic *c, double accuracy_mm)
{
  return geom_cubic_length_between (c, 0.0, 1.0, accuracy_mm);
}

double
geom_cubic_t_at_length (const GeomCubic *c, double along_mm, double accuracy_mm)
{
  /* Newton steps usually end after three or four; halving the bracket ends after 52, and a step that leaves
   * the bracket or stalls beside a cusp is replaced by it. */
  const int most_steps = 100;
  double share_mm = 0.125 * accuracy_mm;
  double length_mm = geom_cubic_length (c, share_mm);
  if (!(along_mm > 0.0) || !(length_mm > 0.0))
    return 0.0;
  if (along_mm >= length_mm)
    return 1.0;
  double low = 0.0, high = 1.0, t = along_mm / length_mm;
  double short_by = along_mm - geom_cubic_length_between (c, 0.0, t, share_mm), last = INFINITY;
  for (int step = 0; step < most_steps && fabs (short_by) > share_mm; step++)
  {
    if (short_by > 0.0)
      low = t;
    else
      high = t;
    double next = t + short_by / geom_norm (geom_cubic_velocity (c, t));
    if (!(next > low && next < high) || fabs (short_by) > 0.5 * last)
      next = 0.5 * (low + high);
    last = fabs (short_by);
    if (!(next > low && next < high))
      break;
    /* Only the arc between the two guesses is new. */
    short_by -= geom_cubic_length_between (c, t, next, share_mm);
    t = next;
  }
  return t;
}
