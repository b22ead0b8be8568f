/* Lengths along pieces. */
#include "geom/path.h"

#include "curves.h"
#include "length-reference.h"

#include <complex.h>
#include <glib.h>
#include <stdlib.h>

typedef struct LengthRow
{
  const char *why;
  GeomCubic c;
  double want_mm;
} LengthRow;

/* "M": mathematics, computed at 40 digits by two methods or in closed form; the form is named where there is
 * one. */
static const LengthRow length_rows[] = {
  { "B: integral of 144 (1 - t) + 72 t t: 96", CURVE_B, 96.0 },
  { "A: 90 - 36 + 24 = 78", CURVE_A, 78.0 },
  { "parabola: 50 sqrt 5 + 25 asinh 2", CURVE_PARABOLA, 147.894285754459742 },
  { "quadratic (0,0) (0,100) (100,100) raised: 100 (1 + asinh(1) / sqrt 2)",
    CUBIC ({ 0, 0 }, { 0, 200.0 / 3 }, { 100.0 / 3, 100 }, { 100, 100 }), 162.322524014023 },
  { "quadratic folded (0,0) (150,0) (100,0) raised: 112.5 + 12.5",
    CUBIC ({ 0, 0 }, { 100, 0 }, { 400.0 / 3, 0 }, { 100, 0 }), 125.0 },
  { "quadratic nearly straight, raised", CUBIC ({ 0, 0 }, { 200.0 / 3, 0 }, { 100, 1e-6 / 3 }, { 100, 1e-6 }),
    100.00000000000018 },
  { "line with even speed", CUBIC ({ 0, 0 }, { 30, 40 }, { 60, 80 }, { 90, 120 }), 150.0 },
  { "line, no speed at both ends", CUBIC ({ 0, 0 }, { 0, 0 }, { 300, 400 }, { 300, 400 }), 500.0 },
  { "folds back twice: 100 (1 + 1 / sqrt 7)", CURVE_FOLDS, 137.796447300923 },
  { "cusp at 1/2: 100 (2 sqrt 2 - 1)", CURVE_CUSP, 182.842712474619 },
  { "almost a cusp (M)", CUBIC ({ 0, 0 }, { 100, 100 }, { 1, 100 }, { 100, 0 }), 182.720781838963 },
  { "loop (M)", CURVE_LOOP, 253.624265190453 },
  { "S (M)", CURVE_S, 167.654262742029 },
  { "first handle on its node (M)", CUBIC ({ 0, 0 }, { 0, 0 }, { 0, 100 }, { 100, 100 }), 158.638516665089 },
  { "long handles, two near-cusps (M)", CUBIC ({ 0, 0 }, { 1000, 0 }, { -900, 1 }, { 100, 1 }),
    1102.75694722861 },
  { "closed on itself (M)", CURVE_CLOSED, 203.669389548416 },
  { "uneven S (M)", CUBIC ({ 0, 0 }, { 10, 100 }, { 90, -60 }, { 100, 40 }), 154.811449312469 },
  { "nearly straight (M)", CUBIC ({ 0, 0 }, { 100, 0.001 }, { 200, -0.001 }, { 300, 0 }), 300.000000003 },
  { "tiny (M)", CUBIC ({ 0, 0 }, { .01, 0 }, { .02, .01 }, { .02, .02 }), 0.0309773597606373 },
  { "like an armhole (M)", CURVE_ARMHOLE, 204.443203635113 },
  { "all points in one", CUBIC ({ 7, 7 }, { 7, 7 }, { 7, 7 }, { 7, 7 }), 0.0 },
};

static void
rows_at_every_accuracy (void)
{
  for (size_t i = 0; i < G_N_ELEMENTS (length_rows); i++)
  {
    const LengthRow *row = &length_rows[i];
    g_test_message ("%s", row->why);
    /* What was asked for, plus the last digit of the wanted value. */
    for (double accuracy_mm = 1.0; accuracy_mm > 5e-10; accuracy_mm *= 0.1)
      g_assert_cmpfloat (fabs (geom_cubic_length (&row->c, accuracy_mm) - row->want_mm), <=,
                         accuracy_mm + 5e-12 * row->want_mm);
    GeomCubic back = geom_cubic_reversed (&row->c);
    GeomCubic over
      = geom_cubic_mapped (&row->c, geom_affine_mirror (geom_point (3, 1), geom_point (-20, 80)));
    g_assert_cmpfloat (fabs (geom_cubic_length (&back, 1e-9) - row->want_mm), <=, 1e-9);
    g_assert_cmpfloat (fabs (geom_cubic_length (&over, 1e-9) - row->want_mm), <=, 1e-9);
  }
}

static void
hard_curves_against_many_digits (void)
{
  for (size_t i = 0; i < G_N_ELEMENTS (length_reference); i++)
  {
    const LengthReference *row = &length_reference[i];
    g_test_message ("%zu: %s", i, row->kind);
    g_assert_cmpfloat (fabs (geom_cubic_length (&row->c, 1e-9) - row->whole_mm), <=, 1e-9);
    g_assert_cmpfloat (fabs (geom_cubic_length_between (&row->c, row->t0, row->t1, 1e-9) - row->part_mm), <=,
                       1e-9);
    g_assert_cmpfloat (fabs (geom_cubic_length_between (&row->c, row->t1, row->t0, 1e-9) + row->part_mm), <=,
                       1e-9);
  }
}

/* The slow judge: tanh-sinh sums in long double, cut below both roots of the velocity and toward them by 0.3.
 */
static long double
judge_stretch (const long double complex z[3], long double low, long double high)
{
  const long double step = 1.0L / 12.0L;
  long double sum = 0.0L;
  for (int i = -40; i <= 40; i++)
  {
    long double u = step * i, s = M_PI_2 * sinhl (u), c = coshl (s);
    /* Measured from the nearer end: beside a cusp there the distance keeps its digits. */
    long double from_end = 0.5L * (high - low) / (expl (fabsl (s)) * c);
    long double t = i < 0 ? low + from_end : high - from_end;
    sum += M_PI_2 * coshl (u) / (c * c) * cabsl ((z[2] * t + z[1]) * t + z[0]);
  }
  return sum * step * 0.5L * (high - low);
}

static int
by_size (const void *a, const void *b)
{
  long double x = *(const long double *)a, y = *(const long double *)b;
  return (x > y) - (x < y);
}

static double
judge_length (const GeomCubic *c)
{
  long double complex d[3];
  for (int i = 0; i < 3; i++)
    d[i] = (long double)c->p[i + 1].x - c->p[i].x + I * ((long double)c->p[i + 1].y - c->p[i].y);
  long double complex z[3] = { 3.0L * d[0], 6.0L * (d[1] - d[0]), 3.0L * (d[2] - 2.0L * d[1] + d[0]) };
  long double complex root = csqrtl (z[1] * z[1] - 4.0L * z[2] * z[0]);
  if (creall (conjl (z[1]) * root) < 0.0L)
    root = -root;
  long double complex q = -0.5L * (z[1] + root);
  long double cut[80] = { 0.0L, 1.0L };
  int count = 2;
  for (int i = 0; i < 2; i++)
  {
    long double x = creall (i == 0 ? q / z[2] : z[0] / q), y = fabsl (cimagl (i == 0 ? q / z[2] : z[0] / q));
    for (long double away = 0.3L; away > 0.3L * y && away > 1e-10L; away *= 0.3L)
    {
      cut[count++] = x - away;
      cut[count++] = x + away;
    }
    if (y < 1.0L)
      cut[count++] = x;
  }
  qsort (cut, (size_t)count, sizeof *cut, by_size);
  long double sum = 0.0L;
  for (int i = 0; i + 1 < count; i++)
    if (cut[i] >= 0.0L && cut[i + 1] <= 1.0L && cut[i] < cut[i + 1])
      sum += judge_stretch (z, cut[i], cut[i + 1]);
  return (double)sum;
}

static void
judge_is_right (void)
{
  for (size_t i = 0; i < G_N_ELEMENTS (length_reference); i++)
    g_assert_cmpfloat (fabs (judge_length (&length_reference[i].c) - length_reference[i].whole_mm), <=,
                       1e-11);
}

static void
no_curve_over_tolerance (void)
{
  uint64_t state = 2025;
  double worst = 0.0;
  for (int i = 0; i < 20000; i++)
  {
    GeomCubic c = i % 2 == 0 ? random_pattern_edge (&state) : random_wild_curve (&state);
    worst = fmax (worst, fabs (geom_cubic_length (&c, 1e-9) - judge_length (&c)));
  }
  g_test_message ("worst of 20,000: %.2g mm", worst);
  g_assert_cmpfloat (worst, <=, 1e-9);
}

static void
accuracy_is_kept_and_used (void)
{
  uint64_t state = 99;
  for (double accuracy_mm = 1.0; accuracy_mm > 1e-8; accuracy_mm *= 0.1)
    for (int i = 0; i < 4000; i++)
    {
      GeomCubic c = i % 2 == 0 ? random_wild_curve (&state) : random_near_cusp (&state);
      g_assert_cmpfloat (fabs (geom_cubic_length (&c, accuracy_mm) - geom_cubic_length (&c, 1e-10)), <=,
                         accuracy_mm);
    }
}

/* Law: the parts add up to the whole, however it is cut. */
static void
parts_add_up (void)
{
  uint64_t state = 7;
  for (int i = 0; i < 3000; i++)
  {
    GeomCubic c = i % 2 == 0 ? random_wild_curve (&state) : random_near_cusp (&state), head, tail;
    double t = next_random (&state), whole_mm = geom_cubic_length (&c, 1e-9);
    geom_cubic_split (&c, t, &head, &tail);
    g_assert_cmpfloat (fabs (geom_cubic_length (&head, 1e-9) + geom_cubic_length (&tail, 1e-9) - whole_mm),
                       <=, 3e-9);
    g_assert_cmpfloat (fabs (geom_cubic_length_between (&c, 0.0, t, 1e-9)
                             + geom_cubic_length_between (&c, t, 1.0, 1e-9) - whole_mm),
                       <=, 3e-9);
  }
}

static void
parameter_at_length_rows (void)
{
  /* B: 144 t - 72 t t + 24 t t t = 48 gives t = 1 + cbrt (sqrt 2 - 1) - cbrt (sqrt 2 + 1) (Cardano).
   * The armhole: M, 40 digits. */
  static const struct
  {
    const char *why;
    GeomCubic c;
    double along_mm, want_t;
  } rows[] = {
    { "B, half way", CURVE_B, 48.0, 0.4039283620166785 },
    { "B, s(1/2) = 72 - 18 + 3", CURVE_B, 57.0, 0.5 },
    { "A, half way", CURVE_A, 39.0, 0.5 },
    { "armhole, half way", CURVE_ARMHOLE, 0.5 * 204.443203635113, 0.475671175409186 },
    { "armhole, 100 mm", CURVE_ARMHOLE, 100.0, 0.464286217438802 },
    { "cusp, half way is the cusp", CURVE_CUSP, 91.421356237309505, 0.5 },
    { "before the start", CURVE_B, -1.0, 0.0 },
    { "beyond the end", CURVE_B, 97.0, 1.0 },
    { "no length", CUBIC ({ 7, 7 }, { 7, 7 }, { 7, 7 }, { 7, 7 }), 3.0, 0.0 },
  };
  for (size_t i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    g_test_message ("%s", rows[i].why);
    double t = geom_cubic_t_at_length (&rows[i].c, rows[i].along_mm, 1e-9);
    /* At the cusp the length grows with the square of t - 1/2: 1e-9 mm are 1e-6 of t there. */
    double slack = i == 5 ? 1e-5 : 1e-9;
    g_assert_cmpfloat (fabs (t - rows[i].want_t), <=, slack);
  }
}

/* Law: the length to the parameter found is the length asked for. */
static void
parameter_at_length_comes_back (void)
{
  uint64_t state = 12;
  for (int i = 0; i < 6000; i++)
  {
    GeomCubic c = i % 3 == 0   ? random_pattern_edge (&state)
                  : i % 3 == 1 ? random_wild_curve (&state)
                               : random_near_cusp (&state);
    double along_mm = next_random (&state) * geom_cubic_length (&c, 1e-10);
    double t = geom_cubic_t_at_length (&c, along_mm, 1e-9);
    g_assert_cmpfloat (fabs (geom_cubic_length_between (&c, 0.0, t, 1e-10) - along_mm), <=, 1e-9);
  }
}

static void
sizes_beyond_any_workshop (void)
{
  GeomCubic cusp = CURVE_CUSP;
  for (int exponent = -300; exponent <= 300; exponent += 25)
  {
    double size = pow (10.0, exponent);
    GeomCubic c = geom_cubic_mapped (&cusp, geom_affine_scale (geom_point (0, 0), size, size));
    double want_mm = 100.0 * (2.0 * sqrt (2.0) - 1.0) * size;
    g_assert_cmpfloat (fabs (geom_cubic_length (&c, 1e-9 * size) - want_mm), <=, 1e-10 * want_mm);
    g_assert_cmpfloat (fabs (geom_cubic_t_at_length (&c, 0.25 * want_mm, 1e-9 * size)
                             - geom_cubic_t_at_length (&cusp, 0.25 * want_mm / size, 1e-9)),
                       <=, 1e-9);
  }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/geom/length/rows-at-every-accuracy", rows_at_every_accuracy);
  g_test_add_func ("/geom/length/hard-curves-against-many-digits", hard_curves_against_many_digits);
  g_test_add_func ("/geom/length/judge-is-right", judge_is_right);
  g_test_add_func ("/geom/length/no-curve-over-tolerance", no_curve_over_tolerance);
  g_test_add_func ("/geom/length/accuracy-is-kept-and-used", accuracy_is_kept_and_used);
  g_test_add_func ("/geom/length/parts-add-up", parts_add_up);
  g_test_add_func ("/geom/length/parameter-at-length-rows", parameter_at_length_rows);
  g_test_add_func ("/geom/length/parameter-at-length-comes-back", parameter_at_length_comes_back);
  g_test_add_func ("/geom/length/sizes-beyond-any-workshop", sizes_beyond_any_workshop);
  return g_test_run ();
}
