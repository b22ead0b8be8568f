/* Which side of a line a point lies on: the one predicate that decides left and right.
 *
 * The determinant (a - p) x (b - p) in doubles is right unless it is smaller than a bound on its rounding.
 * Then the same determinant is formed without any rounding, as a sum of doubles that do not overlap
 * ("expansion"), whose largest member has the sign of the sum.
 */
#include "geom/point.h"

#include <float.h>

/* Shewchuk's bound for the plain determinant, (3 + 16 e) e with e half a unit in the last place. */
#define FILTER_SHARE ((3.0 + 16.0 * (DBL_EPSILON / 2.0)) * (DBL_EPSILON / 2.0))
/* Below this the products themselves may have lost bits to underflow and the bound is not valid. */
#define FILTER_SMALLEST 1e-280
/* Largest coordinate after scaling, as a power of two: its square does not overflow, and the last bits of
 * products survive for coordinates down to 2^-985 of the largest. */
#define SCALED_EXPONENT 500

typedef struct Expansion
{
  int count;
  double term[16]; /* smallest first, never overlapping */
} Expansion;

static void
add_term (Expansion *sum, double term)
{
  /* Two-sum (Knuth) carries each rounding error down instead of dropping it. */
  double carry = term;
  for (int i = 0; i < sum->count; i++)
  {
    double total = carry + sum->term[i];
    double part = total - carry;
    sum->term[i] = (carry - (total - part)) + (sum->term[i] - part);
    carry = total;
  }
  sum->term[sum->count++] = carry;
}

static void
add_product (Expansion *sum, double a, double b)
{
  double product = a * b;
  add_term (sum, fma (a, b, -product));
  add_term (sum, product);
}

/* a - b as two doubles, without error. */
static void
exact_difference (double a, double b, double *head, double *tail)
{
  *head = a - b;
  double part = a - *head;
  *tail = (a - (*head + part)) + (part - b);
}

static void
add_product_of_pairs (Expansion *sum, const double a[2], const double b[2])
{
  for (int i = 1; i >= 0; i--)
    for (int j = 1; j >= 0; j--)
      add_product (sum, a[i], b[j]);
}

static int
exact_turn (GeomPoint a, GeomPoint b, GeomPoint p)
{
  double largest = fmax (fmax (fmax (fabs (a.x), fabs (a.y)), fmax (fabs (b.x), fabs (b.y))),
                         fmax (fabs (p.x), fabs (p.y)));
  if (!(largest > 0.0) || !isfinite (largest))
    return 0;
  int exponent;
  frexp (largest, &exponent);
  int shift = SCALED_EXPONENT - exponent;
  double ax[2], ay[2], bx[2], by[2];
  double px = ldexp (p.x, shift), py = ldexp (p.y, shift);
  exact_difference (ldexp (a.x, shift), px, &ax[0], &ax[1]);
  exact_difference (ldexp (a.y, shift), py, &ay[0], &ay[1]);
  exact_difference (ldexp (b.x, shift), px, &bx[0], &bx[1]);
  exact_difference (ldexp (b.y, shift), py, &by[0], &by[1]);
  Expansion sum = { 0 };
  add_product_of_pairs (&sum, ax, by);
  ay[0] = -ay[0];
  ay[1] = -ay[1];
  add_product_of_pairs (&sum, ay, bx);
  for (int i = sum.count - 1; i >= 0; i--)
    if (sum.term[i] > 0.0)
      return 1;
    else if (sum.term[i] < 0.0)
      return -1;
  return 0;
}

int
geom_turn (GeomPoint a, GeomPoint b, GeomPoint p)
{
  double left = (a.x - p.x) * (b.y - p.y), right = (a.y - p.y) * (b.x - p.x);
  double det = left - right, size = fabs (left) + fabs (right);
  if (fabs (det) > FILTER_SHARE * size && size > FILTER_SMALLEST && isfinite (size))
    return det > 0.0 ? 1 : -1;
  return exact_turn (a, b, p);
}
