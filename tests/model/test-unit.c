#include "model/unit.h"

#include <glib.h>
#include <locale.h>
#include <math.h>
#include <string.h>

/* 1 in = 25.4 mm exactly and 1 ft = 12 in: international yard and pound agreement, 1959. */

typedef struct ReadRow
{
  const char *text;
  ModelUnit unit;
  double mm;
} ReadRow;

static const ReadRow read_rows[] = {
  { "412", MODEL_UNIT_MM, 412.0 },
  { "412", MODEL_UNIT_CM, 4120.0 },
  { "16", MODEL_UNIT_INCH, 16.0 * 25.4 },
  { "38.5 cm", MODEL_UNIT_MM, 385.0 },
  { "38,5 cm", MODEL_UNIT_INCH, 385.0 },
  { ".5 cm", MODEL_UNIT_MM, 5.0 },
  { "38.5cm", MODEL_UNIT_MM, 385.0 },
  { "1.2 m", MODEL_UNIT_MM, 1200.0 },
  { "3 MM", MODEL_UNIT_CM, 3.0 },
  { "  7 mm\t", MODEL_UNIT_CM, 7.0 },
  { "412.0\xe2\x80\x89mm", MODEL_UNIT_CM, 412.0 },
  { "412\xc2\xa0mm", MODEL_UNIT_CM, 412.0 },
  { "15 1/8 in", MODEL_UNIT_MM, 15.125 * 25.4 },
  { "12 1/2\"", MODEL_UNIT_MM, 317.5 },
  { "12 1/2″", MODEL_UNIT_MM, 317.5 },
  { "12½\"", MODEL_UNIT_MM, 317.5 },
  { "12 ½ in", MODEL_UNIT_MM, 317.5 },
  { "½ in", MODEL_UNIT_MM, 12.7 },
  { "¼", MODEL_UNIT_INCH, 6.35 },
  { "¾", MODEL_UNIT_INCH, 19.05 },
  { "⅛", MODEL_UNIT_INCH, 3.175 },
  { "⅜", MODEL_UNIT_INCH, 9.525 },
  { "⅝", MODEL_UNIT_INCH, 15.875 },
  { "⅞", MODEL_UNIT_INCH, 22.225 },
  { "1⁄4 in", MODEL_UNIT_MM, 6.35 },
  { "1/2 in", MODEL_UNIT_MM, 12.7 },
  { "1/2", MODEL_UNIT_INCH, 12.7 },
  { "12 1/2", MODEL_UNIT_INCH, 317.5 },
  { "1 ft 3 in", MODEL_UNIT_MM, 381.0 },
  { "1 ft 3 1/2 in", MODEL_UNIT_MM, 393.7 },
  { "1' 3\"", MODEL_UNIT_MM, 381.0 },
  { "1′3″", MODEL_UNIT_MM, 381.0 },
  { "2 feet", MODEL_UNIT_MM, 609.6 },
  { "1 foot 1 inch", MODEL_UNIT_MM, 330.2 },
  { "3 inches", MODEL_UNIT_MM, 76.2 },
  { "1 m 75 cm 3 mm", MODEL_UNIT_INCH, 1753.0 },
  /* A figure without a unit beside a length is in the reader's unit, not the neighbour's. */
  { "412 + 2 * 6 mm", MODEL_UNIT_MM, 424.0 },
  { "41 + 6 mm", MODEL_UNIT_CM, 416.0 },
  { "1/2 in - 3", MODEL_UNIT_MM, 9.7 },
  { "1/2 in − 3", MODEL_UNIT_MM, 9.7 },
  { "-5", MODEL_UNIT_MM, -5.0 },
  { "−5 mm", MODEL_UNIT_MM, -5.0 },
  { "+5 mm", MODEL_UNIT_MM, 5.0 },
  { "-1 ft 3 in", MODEL_UNIT_MM, -381.0 },
  { "2 * (3 + 4)", MODEL_UNIT_CM, 140.0 },
  { "(1 + 2) cm", MODEL_UNIT_MM, 30.0 },
  { "2 * 1 ft 3 in", MODEL_UNIT_MM, 762.0 },
  { "10 / 4", MODEL_UNIT_CM, 25.0 },
  { "10 / 4 cm", MODEL_UNIT_MM, 25.0 },
  { "94 cm / 4", MODEL_UNIT_MM, 235.0 },
  { "94 cm ÷ 4 + 1 cm", MODEL_UNIT_MM, 245.0 },
  { "3 × 2 cm", MODEL_UNIT_MM, 60.0 },
  { "10 - 2 - 3", MODEL_UNIT_MM, 5.0 },
  { "100 / 5 / 2", MODEL_UNIT_MM, 10.0 },
  { "2 + 3 * 4", MODEL_UNIT_MM, 14.0 },
  { "-(2 + 3) * -2 mm", MODEL_UNIT_MM, 10.0 },
  { "100000 mm", MODEL_UNIT_MM, 100000.0 },
  { "0", MODEL_UNIT_MM, 0.0 },
};

static void
test_read (void)
{
  for (gsize i = 0; i < G_N_ELEMENTS (read_rows); i++)
  {
    double mm = NAN;
    bool good = model_unit_parse (read_rows[i].text, read_rows[i].unit, &mm, NULL);

    g_test_message ("%s", read_rows[i].text);
    g_assert_true (good);
    g_assert_cmpfloat_with_epsilon (mm, read_rows[i].mm, 1e-9);
  }
}

typedef struct RefuseRow
{
  const char *text;
  int at;
} RefuseRow;

/* AT: the first byte that cannot be part of a length, counted by hand. */
static const RefuseRow refuse_rows[] = {
  { "", 0 },
  { "   ", 3 },
  { "mm", 0 },
  { "abc", 0 },
  { "12 apples", 3 },
  { "12 min", 3 },
  { "12 mm x", 6 },
  { "12 mm 3 mm", 6 },
  { "3 in 1 ft", 5 },
  { "12 13", 3 },
  { "5'3", 2 },
  { "1,234.5", 5 },
  { "5.", 1 },
  { "1e3", 1 },
  { "12 1/0\"", 3 },
  { "4 / 0", 2 },
  { "4 mm / 2 mm", 5 },
  { "4 / (2 mm)", 2 },
  { "4 mm * 2 mm", 5 },
  { "(4 mm", 5 },
  { "4 mm)", 4 },
  { "4 +", 3 },
  { "* 4", 0 },
  { "--4", 1 },
  { "nan", 0 },
  { "inf", 0 },
  { "0x10", 1 },
  { "100000.1 mm", 0 },
  { "101 m", 0 },
  { "9999999999999999999999999999999999999 m", 0 },
  { "12345678901234567890123456789012345678901234567890", 0 },
};

static void
test_refuse (void)
{
  for (gsize i = 0; i < G_N_ELEMENTS (refuse_rows); i++)
  {
    double mm = 77.0;
    int at = -1;
    bool good = model_unit_parse (refuse_rows[i].text, MODEL_UNIT_MM, &mm, &at);

    g_test_message ("%s", refuse_rows[i].text);
    g_assert_false (good);
    g_assert_cmpint (at, ==, refuse_rows[i].at);
    g_assert_cmpfloat (mm, ==, 77.0);
  }
}

static void
test_refuse_bad_bytes (void)
{
  double mm;
  int at;

  g_assert_false (model_unit_parse ("12 \xff", MODEL_UNIT_MM, &mm, &at));
  g_assert_cmpint (at, ==, 3);
}

static void
test_deep_brackets_end (void)
{
  g_autofree char *text = g_strnfill (200000, '(');
  double mm;

  g_assert_false (model_unit_parse (text, MODEL_UNIT_MM, &mm, NULL));
}

static void
test_random_bytes_end (void)
{
  static const char *const bits[]
    = { "1",  "2",  "0", "5",  " ",  " ",  ".", ",", "/", "*", "+", "-", "(", ")",
        "mm", "cm", "m", "in", "ft", "\"", "'", "½", "−", "×", "″", "e", "x" };

  for (int round = 0; round < 50000; round++)
  {
    g_autoptr (GString) text = g_string_new (NULL);
    int length = g_test_rand_int_range (0, 14), at = -1;
    double mm = NAN;

    for (int i = 0; i < length; i++)
      g_string_append (text, bits[g_test_rand_int_range (0, G_N_ELEMENTS (bits))]);
    if (model_unit_parse (text->str, MODEL_UNIT_CM, &mm, &at))
      g_assert_cmpfloat (fabs (mm), <=, 1e5);
    else
    {
      g_assert_cmpint (at, >=, 0);
      g_assert_cmpint (at, <=, (int)text->len);
    }
  }
}

typedef struct WriteRow
{
  double mm;
  ModelUnit unit;
  int decimals;
  const char *figure, *text, *with_sign;
} WriteRow;

static const WriteRow write_rows[] = {
  { 412.0, MODEL_UNIT_MM, 1, "412.0", "412.0\xe2\x80\x89mm", "+412.0" },
  { 412.04, MODEL_UNIT_MM, 1, "412.0", "412.0\xe2\x80\x89mm", "+412.0" },
  { 412.0, MODEL_UNIT_CM, 1, "41.20",
    "41.20\xe2\x80\x89"
    "cm",
    "+41.20" },
  { 412.0, MODEL_UNIT_CM, 0, "41.2",
    "41.2\xe2\x80\x89"
    "cm",
    "+41.2" },
  { -3.0, MODEL_UNIT_MM, 0, "−3", "−3\xe2\x80\x89mm", "−3" },
  { 6.2, MODEL_UNIT_MM, 1, "6.2", "6.2\xe2\x80\x89mm", "+6.2" },
  { -0.04, MODEL_UNIT_MM, 1, "0.0", "0.0\xe2\x80\x89mm", "+0.0" },
  { 16.25 * 25.4, MODEL_UNIT_INCH, 1, "16 1/4", "16 1/4\xe2\x80\x89in", "+16 1/4" },
  { 16.0 * 25.4, MODEL_UNIT_INCH, 1, "16", "16\xe2\x80\x89in", "+16" },
  { 25.4 / 16.0, MODEL_UNIT_INCH, 1, "1/16", "1/16\xe2\x80\x89in", "+1/16" },
  { -25.4 / 2.0, MODEL_UNIT_INCH, 1, "−1/2", "−1/2\xe2\x80\x89in", "−1/2" },
  { 25.4 * 3.9375, MODEL_UNIT_INCH, 1, "3 15/16", "3 15/16\xe2\x80\x89in", "+3 15/16" },
  /* Nearest sixteenth is the next whole inch. */
  { 25.4 * 3.99, MODEL_UNIT_INCH, 1, "4", "4\xe2\x80\x89in", "+4" },
  { 0.1, MODEL_UNIT_INCH, 1, "0", "0\xe2\x80\x89in", "+0" },
  { -0.1, MODEL_UNIT_INCH, 1, "0", "0\xe2\x80\x89in", "+0" },
};

static void
test_write (void)
{
  for (gsize i = 0; i < G_N_ELEMENTS (write_rows); i++)
  {
    const WriteRow *row = &write_rows[i];
    g_autofree char *figure = model_unit_figure (row->mm, row->unit, row->decimals);
    g_autofree char *text = model_unit_text (row->mm, row->unit, row->decimals);
    g_autofree char *with_sign = model_unit_signed (row->mm, row->unit, row->decimals);

    g_assert_cmpstr (figure, ==, row->figure);
    g_assert_cmpstr (text, ==, row->text);
    g_assert_cmpstr (with_sign, ==, row->with_sign);
  }
}

static void
test_write_odd (void)
{
  const double odd[] = { NAN, INFINITY, -INFINITY, 1e300, -1e300, 1e18 };

  for (gsize i = 0; i < G_N_ELEMENTS (odd); i++)
    for (ModelUnit unit = MODEL_UNIT_MM; unit <= MODEL_UNIT_INCH; unit++)
    {
      g_autofree char *text = model_unit_text (odd[i], unit, 1);

      g_assert_true (g_utf8_validate (text, -1, NULL));
      g_assert_cmpuint (strlen (text), >, 3);
    }
}

/* Law: what is written reads back, to half of the last place; in a locale with a comma too. */
static void
check_round_trip (void)
{
  const double half[] = { 0.05, 0.05, 25.4 / 32.0 };

  for (int i = 0; i < 3000; i++)
  {
    double mm = g_test_rand_double_range (-99000.0, 99000.0), back = NAN;
    ModelUnit unit = (ModelUnit)g_test_rand_int_range (0, 3);
    g_autofree char *text = model_unit_text (mm, unit, 1);
    g_autofree char *figure = model_unit_figure (mm, unit, 1);

    g_assert_true (model_unit_parse (text, MODEL_UNIT_MM, &back, NULL));
    g_assert_cmpfloat (fabs (back - mm), <=, half[unit] + 1e-9);
    g_assert_true (model_unit_parse (figure, unit, &back, NULL));
    g_assert_cmpfloat (fabs (back - mm), <=, half[unit] + 1e-9);
  }
}

static void
test_round_trip (void)
{
  check_round_trip ();
}

static void
test_comma_locale (void)
{
  static const char *const names[]
    = { "", "de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8", "nl_NL.UTF-8", "pl_PL.UTF-8", "comma" };
  g_autofree char *was = g_strdup (setlocale (LC_ALL, NULL));
  bool comma = false;
  g_autofree char *text = NULL;

  for (gsize i = 0; i < G_N_ELEMENTS (names) && !comma; i++)
    comma = setlocale (LC_ALL, names[i]) != NULL && strcmp (localeconv ()->decimal_point, ",") == 0;
  if (!comma)
  {
    setlocale (LC_ALL, was);
    g_test_skip ("no locale with a decimal comma is installed");
    return;
  }
  text = model_unit_text (-412.5, MODEL_UNIT_MM, 1);
  g_assert_cmpstr (text, ==, "−412,5\xe2\x80\x89mm");
  check_round_trip ();
  setlocale (LC_ALL, was);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/model/unit/read", test_read);
  g_test_add_func ("/model/unit/refuse", test_refuse);
  g_test_add_func ("/model/unit/refuse-bad-bytes", test_refuse_bad_bytes);
  g_test_add_func ("/model/unit/deep-brackets-end", test_deep_brackets_end);
  g_test_add_func ("/model/unit/random-bytes-end", test_random_bytes_end);
  g_test_add_func ("/model/unit/write", test_write);
  g_test_add_func ("/model/unit/write-odd", test_write_odd);
  g_test_add_func ("/model/unit/round-trip", test_round_trip);
  g_test_add_func ("/model/unit/comma-locale", test_comma_locale);
  return g_test_run ();
}
