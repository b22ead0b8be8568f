/* Length along a cubic piece.
 *
 * The velocity is a complex quadratic z(t), the speed its absolute value.  The only places where the speed is
 * not smooth are the two complex roots of z and their mirror images.  So there are two ways:
 *
 *   quick  one Gauss-Legendre rule of 24 nodes; from the same 24 speeds its last four Legendre coefficients
 * show how far the rule can be trusted, and the slowest speed shows a cusp hiding just outside an end. sure
 * cut below the roots, then toward a near root by sixths until each part is far enough from every root, seen
 * in its own size, for the same rule to be right to the last digits.
 *
 *      x root                  A root on the way (a cusp) is divided out: the speed
 *   |--+--|----|-------|       there is |t - root| times something smooth.
 *      cut, sixths
 *
 * Halving until two rules agree is not sure: beside a cusp two rules may agree and both be wrong by 1e-3 mm.
 */
#include "geom/cubic.h"

#include "geom/tolerance.h"

#include <complex.h>

#define HALF 12

/* Positive half of the 24-node Gauss-Legendre rule, and the factors that turn the 24 values into the Legendre
 * coefficients of order 20 to 23: weight * (k + 1/2) * P_k(node).  Computed at 40 digits. */
static const double node[HALF]
  = { 0.0640568928626056261, 0.191118867473616309, 0.315042679696163374, 0.433793507626045138,
      0.545421471388839536,  0.648093651936975569, 0.740124191578554364, 0.820001985973902922,
      0.886415527004401034,  0.938274552002732759, 0.974728555971309498, 0.995187219997021360 };
static const double weight[HALF]
  = { 0.127938195346752157,  0.125837456346828296,  0.121670472927803391,  0.115505668053725601,
      0.107444270115965635,  0.0976186521041138883, 0.0861901615319532759, 0.0733464814110803057,
      0.0592985849154367807, 0.0442774388174198062, 0.0285313886289336632, 0.0123412297999871995 };
static const double tail_20[HALF]
  = { 0.117286386920469384,  -0.319044903899597189, 0.432384200023434593,   -0.428582965074056086,
      0.314128071587646474,  -0.127899514021104178, -0.0718124213317031451, 0.226236547183309737,
      -0.294908805423662879, 0.268373026204660484,  -0.171059282776304786,  0.0548996606069075920 };
static const double tail_21[HALF]
  = { 0.465019080904444645,   -0.393832434242039439, 0.264477436250174184,  -0.100442019387986297,
      -0.0689115167516428939, 0.214084239171275804,  -0.311195019684502846, 0.346630849268241423,
      -0.319708770549474579,  0.242906812133810413,  -0.139867358255290749, 0.0426743374119441459 };
static const double tail_22[HALF]
  = { -0.0619483046060135143, 0.180295434519654369, -0.282566041006413024,  0.359891607597880096,
      -0.405983222994791720,  0.417796657298595442, -0.395879298679760995,  0.344374218256500825,
      -0.270703568405618514,  0.185019392961713922, -0.0996483639624623045, 0.0293514890207154177 };
static const double tail_23[HALF]
  = { -0.494286647130096271, 0.482165895412301131, -0.458422469363011645,  0.424037234779196555,
      -0.380444384906523367, 0.329490210391937551, -0.273384265122516992,  0.214650076880060339,
      -0.156088874139104965, 0.100786563284612528, -0.0522518661357015208, 0.0150744220431089710 };
/* The velocity on a stretch of the piece, over s = -1..1, times half the stretch's share of t:
 * z(s) = z0 + z1 s + z2 s s. */
typedef struct Speed
{
  GeomPoint z0, z1, z2;
} Speed;

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

/* ---- quick ---- */

typedef struct RuleValue
{
  double integral, tail, slowest;
} RuleValue;

/* The rule on -1..1, with the largest of the last four Legendre coefficients and the slowest speed at a node.
 */
static RuleValue
quick_rule (const Speed *z)
{
  double ahead[HALF], behind[HALF];
  for (int i = 0; i < HALF; i++)
  {
    double s = node[i], ss = s * s;
    double ex = z->z0.x + z->z2.x * ss, ey = z->z0.y + z->z2.y * ss;
    double ox = z->z1.x * s, oy = z->z1.y * s;
    double ax = ex + ox, ay = ey + oy, bx = ex - ox, by = ey - oy;
    ahead[i] = sqrt (ax * ax + ay * ay);
    behind[i] = sqrt (bx * bx + by * by);
  }
  double sum = 0.0, c20 = 0.0, c21 = 0.0, c22 = 0.0, c23 = 0.0, slowest = ahead[0];
  for (int i = 0; i < HALF; i++)
  {
    double even = ahead[i] + behind[i], odd = ahead[i] - behind[i];
    sum += weight[i] * even;
    c20 += tail_20[i] * even;
    c21 += tail_21[i] * odd;
    c22 += tail_22[i] * even;
    c23 += tail_23[i] * odd;
    double slower = ahead[i] < behind[i] ? ahead[i] : behind[i];
    slowest = slower < slowest ? slower : slowest;
  }
  double even_tail = fabs (c20) > fabs (c22) ? fabs (c20) : fabs (c22);
  double odd_tail = fabs (c21) > fabs (c23) ? fabs (c21) : fabs (c23);
  return (RuleValue) { sum, even_tail > odd_tail ? even_tail : odd_tail, slowest };
}

/* A Gauss rule of n nodes is exact to order 2 n - 1, so its error is the size of a Legendre coefficient of
 * order 48; when those fall by a constant factor that is about (coefficient 23)^2 / (coefficient 0).  The
 * margin covers that they fall unevenly. */
#define TAIL_MARGIN 16.0
/* Slower than this share of the length somewhere: a cusp may lie beside the stretch, where the tail does not
 * show. */
#define SLOWEST_SHARE 0.02

/* Written so that NaN (overflow) is not trusted. */
static bool
is_trusted (RuleValue value, double accuracy_mm)
{
  return value.slowest > SLOWEST_SHARE * value.integral
         && TAIL_MARGIN * value.tail * value.tail <= accuracy_mm * value.integral;
}

/* ---- sure ---- */

/* How far a root must be, as (|w - 1| + |w + 1|) / 2 with the stretch at -1..1, for 24 nodes to reach the
 * last digit: the ellipse through it has half axes summing to rho, (rho + 1 / rho) / 2 is this measure, and
 * the error falls as rho^-48; rho = 2.25 gives 1e-17. */
#define FAR_ENOUGH 1.35
/* A root this near (its distance to the stretch at -1..1) counts as on it: what that changes is about its
 * square. */
#define ON_STRETCH 1e-8
/* A root this far is as good as none. */
#define NO_ROOT 1e3
/* Sixths from 1 down to ON_STRETCH are 11; both roots and some room. */
#define MOST_CUTS 64

typedef struct Root
{
  bool exists, on_stretch;
  double x, y;
} Root;

typedef struct SureSpeed
{
  Speed z;
  Root root[2];
} SureSpeed;

static Root
root_from (double complex above, double complex below)
{
  if (!(cabs (above) < NO_ROOT * cabs (below)))
    return (Root) { 0 };
  double complex r = above / below;
  return (Root) { true, fabs (cimag (r)) <= ON_STRETCH, creal (r), cimag (r) };
}

static void
find_roots (SureSpeed *f)
{
  double complex z0 = f->z.z0.x + I * f->z.z0.y, z1 = f->z.z1.x + I * f->z.z1.y,
                 z2 = f->z.z2.x + I * f->z.z2.y;
  double complex root_of_disc = csqrt (z1 * z1 - 4.0 * z2 * z0);
  if (creal (conj (z1) * root_of_disc) < 0.0)
    root_of_disc = -root_of_disc;
  double complex q = -0.5 * (z1 + root_of_disc);
  f->root[0] = root_from (q, z2);
  /* q vanishes only when z is z2 s s (two roots at 0) or a constant. */
  f->root[1] = cabs (q) > 0.0 ? root_from (z0, q) : f->root[0];
}

/* Speed at S, the roots on the stretch divided out and multiplied back as |s - x|, so that between two cuts
 * what is left is smooth. */
static double
sure_speed_at (const SureSpeed *f, double s)
{
  const Root *r = f->root;
  const Speed *z = &f->z;
  if (r[0].on_stretch && r[1].on_stretch)
    return geom_norm (z->z2) * fabs (s - r[0].x) * fabs (s - r[1].x);
  if (r[0].on_stretch || r[1].on_stretch)
  {
    double x = r[0].on_stretch ? r[0].x : r[1].x;
    GeomPoint rest = geom_along (z->z1, s + x, z->z2);
    return fabs (s - x) * geom_norm (rest);
  }
  GeomPoint velocity = geom_along (z->z0, s, geom_along (z->z1, s, z->z2));
  return geom_norm (velocity);
}

static double
sure_rule (const SureSpeed *f, double from, double to)
{
  double mid = 0.5 * (from + to), half = 0.5 * (to - from), sum = 0.0;
  for (int i = 0; i < HALF; i++)
    sum += weight[i] * (sure_speed_at (f, mid + half * node[i]) + sure_speed_at (f, mid - half * node[i]));
  return half * sum;
}

static double
sure_length (const SureSpeed *f, double from, double to, int cuts_left)
{
  double mid = 0.5 * (from + to), half = 0.5 * (to - from), cut = 0.0, nearest = FAR_ENOUGH;
  bool wants_cut = false;
  for (int i = 0; i < 2; i++)
  {
    const Root *r = &f->root[i];
    if (!r->exists)
      continue;
    double x = (r->x - mid) / half, y = r->y / half;
    bool inside = r->x > from && r->x < to;
    /* A root on the stretch is a plain factor on either side of it. */
    if (r->on_stretch && !inside)
      continue;
    double measure = r->on_stretch ? 1.0 : 0.5 * (hypot (x - 1.0, y) + hypot (x + 1.0, y));
    if (!(measure < nearest))
      continue;
    nearest = measure;
    wants_cut = true;
    cut = inside ? r->x : x < 0.0 ? from + half / 3.0 : to - half / 3.0;
  }
  if (!wants_cut || cuts_left == 0 || !(cut > from && cut < to))
    return sure_rule (f, from, to);
  return sure_length (f, from, cut, cuts_left - 1) + sure_length (f, cut, to, cuts_left - 1);
}

static double
sure_length_between (const GeomCubic *c, double t0, double t1)
{
  /* Squares of very large and very small differences would leave the range of a double. */
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
  SureSpeed f = { .z = speed_between (&unit, t0, t1) };
  if (!(fabs (f.z.z0.x) + fabs (f.z.z0.y) + fabs (f.z.z1.x) + fabs (f.z.z1.y) + fabs (f.z.z2.x)
          + fabs (f.z.z2.y)
        > 0.0))
    return 0.0;
  find_roots (&f);
  return ldexp (sure_length (&f, -1.0, 1.0, MOST_CUTS), exponent);
}

/* ---- the door ---- */

double
geom_cubic_length (const GeomCubic *c, double accuracy_mm)
{
  Speed z = speed_between (c, 0.0, 1.0);
  RuleValue value = quick_rule (&z);
  return is_trusted (value, accuracy_mm) ? value.integral : sure_length_between (c, 0.0, 1.0);
}

double
geom_cubic_length_between (const GeomCubic *c, double t0, double t1, double accuracy_mm)
{
  if (t0 > t1)
    return -geom_cubic_length_between (c, t1, t0, accuracy_mm);
  if (!(t0 < t1))
    return 0.0;
  Speed z = speed_between (c, t0, t1);
  RuleValue value = quick_rule (&z);
  return is_trusted (value, accuracy_mm) ? value.integral : sure_length_between (c, t0, t1);
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
