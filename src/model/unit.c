/* Lengths read and written the way people do.
 *
 *   sum      := product { (+ | -) product }
 *   product  := signed { (* | /) signed }
 *   signed   := [+ | -] ( "(" sum ")" | quantity )
 *   quantity := number [unit { number unit }]       the later units smaller: 1 ft 3 in
 *   number   := decimal | whole [whole / whole] | whole / whole
 *
 * A fraction binds its unit (1/2 in is half an inch); otherwise / divides.  A value is a plain number until a
 * unit is met; in a sum with a length, and at the very end, a plain number is in the unit the maker reads.
 */
#include "model/unit.h"

#include "model/file.h"

#include <locale.h>
#include <math.h>
#include <string.h>

#define MM_PER_INCH 25.4
#define INCH_PARTS 16
/* Brackets within brackets: more is no sum a person writes, and each costs stack. */
#define MAX_DEPTH 32
/* Digits of one number, the rest refused: far beyond what a double holds. */
#define MAX_DIGITS 40
#define THIN_SPACE "\xe2\x80\x89"
#define TRUE_MINUS "\xe2\x88\x92"
/* Figures beyond this have no sixteenths worth showing. */
#define MAX_FIGURE_MM 1e9

typedef struct Value
{
  double v;
  bool is_length; /* v in mm */
} Value;

typedef struct Reader
{
  const char *text, *at;
  double unit_mm;
  int depth;
} Reader;

typedef struct UnitWord
{
  const char *word;
  double mm;
} UnitWord;

/* Longer words before those they begin with. */
static const UnitWord unit_words[] = { { "inches", MM_PER_INCH },
                                       { "inch", MM_PER_INCH },
                                       { "in", MM_PER_INCH },
                                       { "feet", 12.0 * MM_PER_INCH },
                                       { "foot", 12.0 * MM_PER_INCH },
                                       { "ft", 12.0 * MM_PER_INCH },
                                       { "mm", 1.0 },
                                       { "cm", 10.0 },
                                       { "m", 1000.0 },
                                       { "\"", MM_PER_INCH },
                                       { "″", MM_PER_INCH },
                                       { "”", MM_PER_INCH },
                                       { "'", 12.0 * MM_PER_INCH },
                                       { "′", 12.0 * MM_PER_INCH },
                                       { "’", 12.0 * MM_PER_INCH } };

typedef struct FractionWord
{
  const char *word;
  double value;
} FractionWord;

static const FractionWord fraction_words[]
  = { { "½", 0.5 },   { "⅓", 1.0 / 3.0 }, { "⅔", 2.0 / 3.0 }, { "¼", 0.25 }, { "¾", 0.75 },
      { "⅛", 0.125 }, { "⅜", 0.375 },     { "⅝", 0.625 },     { "⅞", 0.875 } };

static double
unit_mm (ModelUnit unit)
{
  switch (unit)
  {
  case MODEL_UNIT_MM:
    return 1.0;
  case MODEL_UNIT_CM:
    return 10.0;
  case MODEL_UNIT_INCH:
    return MM_PER_INCH;
  }
  g_return_val_if_reached (1.0);
}

/* ---- letters ---- */

static const char *
after_spaces (const char *at)
{
  static const char *const spaces[] = { " ", "\t", "\xc2\xa0", THIN_SPACE, "\xe2\x80\xaf" };

  for (;;)
  {
    gsize step = 0;

    for (gsize i = 0; i < G_N_ELEMENTS (spaces) && step == 0; i++)
      if (g_str_has_prefix (at, spaces[i]))
        step = strlen (spaces[i]);
    if (step == 0)
      return at;
    at += step;
  }
}

/* Whether one of WORDS (ended by NULL) stands next; steps over it. */
static bool
take (Reader *reader, const char *const *words)
{
  const char *at = after_spaces (reader->at);

  for (; *words != NULL; words++)
    if (g_str_has_prefix (at, *words))
    {
      reader->at = at + strlen (*words);
      return true;
    }
  return false;
}

static const char *const plus[] = { "+", NULL };
static const char *const minus[] = { "-", TRUE_MINUS, NULL };
static const char *const times[] = { "*", "×", "·", NULL };
static const char *const over[] = { "/", "÷", "⁄", NULL };
static const char *const open_bracket[] = { "(", NULL };
static const char *const close_bracket[] = { ")", NULL };

/* The unit that stands next, 0 if none does. */
static double
peek_unit (const char *at, const char **end)
{
  at = after_spaces (at);
  for (gsize i = 0; i < G_N_ELEMENTS (unit_words); i++)
  {
    gsize length = strlen (unit_words[i].word);

    if (g_ascii_strncasecmp (at, unit_words[i].word, length) != 0)
      continue;
    /* "min" is no metre. */
    if (g_ascii_isalpha (*unit_words[i].word) && g_unichar_isalnum (g_utf8_get_char (at + length)))
      continue;
    *end = at + length;
    return unit_words[i].mm;
  }
  return 0.0;
}

/* ---- numbers ---- */

/* Digits, and with DECIMAL one decimal sign of either kind among or before them.  False, nothing taken: there
 * are none. */
static bool
read_digits (const char **at, bool decimal, bool *whole, double *out)
{
  char digits[MAX_DIGITS + 2];
  int count = 0;
  const char *p = *at;

  *whole = true;
  for (; count < MAX_DIGITS; p++)
    if (g_ascii_isdigit (*p))
      digits[count++] = *p;
    else if (decimal && *whole && (*p == '.' || *p == ',') && g_ascii_isdigit (p[1]))
    {
      digits[count++] = '.';
      *whole = false;
    }
    else
      break;
  if (count == 0 || g_ascii_isdigit (*p))
    return false;
  digits[count] = '\0';
  *out = g_ascii_strtod (digits, NULL);
  *at = p;
  return true;
}

/* "3/8" or one sign for it, at AT. */
static bool
read_fraction (const char **at, double *out)
{
  const char *p = *at;
  double upper, lower;
  bool whole;

  for (gsize i = 0; i < G_N_ELEMENTS (fraction_words); i++)
    if (g_str_has_prefix (p, fraction_words[i].word))
    {
      *at += strlen (fraction_words[i].word);
      *out = fraction_words[i].value;
      return true;
    }
  if (!read_digits (&p, false, &whole, &upper))
    return false;
  p = after_spaces (p);
  if (g_str_has_prefix (p, "/"))
    p += 1;
  else if (g_str_has_prefix (p, "⁄"))
    p += strlen ("⁄");
  else
    return false;
  p = after_spaces (p);
  if (!read_digits (&p, false, &whole, &lower) || !(lower > 0.0))
    return false;
  /* "1/2.5" is a quotient. */
  if ((*p == '.' || *p == ',') && g_ascii_isdigit (p[1]))
    return false;
  *at = p;
  *out = upper / lower;
  return true;
}

static bool
read_number (Reader *reader, double *out)
{
  const char *p = after_spaces (reader->at), *q = p, *end;
  double fraction;
  bool whole;

  /* A fraction alone is one only with its unit: "10/2 mm"; "10 / 2" is left to the quotient, to the same
   * effect. */
  if (read_fraction (&q, out) && (!g_ascii_isdigit (*p) || peek_unit (q, &end) > 0.0))
  {
    reader->at = q;
    return true;
  }
  if (!read_digits (&p, true, &whole, out))
    return false;
  q = after_spaces (p);
  /* "12 1/2" needs the space, "12½" does not. */
  if (whole && (q > p || !g_ascii_isdigit (*q)) && read_fraction (&q, &fraction))
  {
    *out += fraction;
    p = q;
  }
  reader->at = p;
  return true;
}

static bool
read_quantity (Reader *reader, Value *out)
{
  const char *end;
  double number, mm;

  if (!read_number (reader, &number))
  {
    reader->at = after_spaces (reader->at);
    return false;
  }
  mm = peek_unit (reader->at, &end);
  *out = (Value) { mm > 0.0 ? number * mm : number, mm > 0.0 };
  /* Ends: every round takes a smaller unit. */
  while (mm > 0.0)
  {
    Reader more = *reader;
    double smaller;

    reader->at = end;
    more.at = end;
    if (!read_number (&more, &number))
      break;
    smaller = peek_unit (more.at, &end);
    if (!(smaller > 0.0 && smaller < mm))
      break;
    out->v += number * smaller;
    mm = smaller;
    reader->at = more.at;
  }
  return true;
}

/* ---- sums ---- */

static bool read_sum (Reader *reader, Value *out);

static bool
read_signed (Reader *reader, Value *out)
{
  bool negative = take (reader, minus);

  if (!negative)
    take (reader, plus);
  if (take (reader, open_bracket))
  {
    const char *end;
    double mm;
    bool good = ++reader->depth <= MAX_DEPTH && read_sum (reader, out);

    reader->depth--;
    if (!good)
      return false;
    if (!take (reader, close_bracket))
    {
      reader->at = after_spaces (reader->at);
      return false;
    }
    mm = peek_unit (reader->at, &end);
    if (mm > 0.0 && !out->is_length)
    {
      *out = (Value) { out->v * mm, true };
      reader->at = end;
    }
  }
  else if (!read_quantity (reader, out))
    return false;
  if (negative)
    out->v = -out->v;
  return true;
}

static bool
read_product (Reader *reader, Value *out)
{
  if (!read_signed (reader, out))
    return false;
  for (;;)
  {
    const char *sign = after_spaces (reader->at);
    bool divide = take (reader, over);
    Value factor;

    if (!divide && !take (reader, times))
      return true;
    if (!read_signed (reader, &factor))
      return false;
    /* No square millimetres, no bare ratios of lengths. */
    if (factor.is_length && (divide || out->is_length))
    {
      reader->at = sign;
      return false;
    }
    if (divide && !(fabs (factor.v) > 0.0))
    {
      reader->at = sign;
      return false;
    }
    out->v = divide ? out->v / factor.v : out->v * factor.v;
    out->is_length |= factor.is_length;
  }
}

static void
make_length (const Reader *reader, Value *value)
{
  if (!value->is_length)
    *value = (Value) { value->v * reader->unit_mm, true };
}

static bool
read_sum (Reader *reader, Value *out)
{
  if (!read_product (reader, out))
    return false;
  for (;;)
  {
    bool subtract = take (reader, minus);
    Value term;

    if (!subtract && !take (reader, plus))
      return true;
    if (!read_product (reader, &term))
      return false;
    if (term.is_length || out->is_length)
    {
      make_length (reader, &term);
      make_length (reader, out);
    }
    out->v += subtract ? -term.v : term.v;
  }
}

bool
model_unit_parse (const char *text, ModelUnit unit, double *mm, int *error_at)
{
  Reader reader = { text, text, unit_mm (unit), 0 };
  Value value = { 0 };
  bool good;

  if (!g_utf8_validate (text, -1, &reader.at))
  {
    if (error_at != NULL)
      *error_at = (int)(reader.at - text);
    return false;
  }
  reader.at = text;
  good = read_sum (&reader, &value);
  if (good)
  {
    reader.at = after_spaces (reader.at);
    good = *reader.at == '\0';
  }
  if (good)
  {
    make_length (&reader, &value);
    good = isfinite (value.v) && fabs (value.v) <= MODEL_FILE_MAX_MM;
    if (!good)
      reader.at = text; /* all of it makes sense, and is too much */
  }
  if (!good)
  {
    if (error_at != NULL)
      *error_at = (int)MIN (reader.at - text, G_MAXINT);
    return false;
  }
  *mm = value.v;
  return true;
}

/* ---- figures ---- */

/* The figure without its sign; *NOTHING: it is written as zero. */
static char *
plain_figure (double mm, ModelUnit unit, int decimals, bool *nothing)
{
  char buffer[400], format[16];
  GString *text = NULL;
  const char *dot;

  if (unit == MODEL_UNIT_INCH && mm <= MAX_FIGURE_MM)
  {
    long long parts = llround (mm / MM_PER_INCH * INCH_PARTS), whole = parts / INCH_PARTS;
    int rest = (int)(parts % INCH_PARTS), lower = INCH_PARTS;

    *nothing = parts == 0;
    while (rest > 0 && rest % 2 == 0)
    {
      rest /= 2;
      lower /= 2;
    }
    if (rest == 0)
      return g_strdup_printf ("%lld", whole);
    if (whole == 0)
      return g_strdup_printf ("%d/%d", rest, lower);
    return g_strdup_printf ("%lld %d/%d", whole, rest, lower);
  }
  decimals = CLAMP (decimals, 0, 9) + (unit == MODEL_UNIT_CM ? 1 : 0);
  g_snprintf (format, sizeof format, "%%.%df", decimals);
  g_ascii_formatd (buffer, sizeof buffer, format, mm / unit_mm (unit));
  *nothing = strspn (buffer, "0.") == strlen (buffer);
  dot = strchr (buffer, '.');
  if (dot == NULL)
    return g_strdup (buffer);
  text = g_string_new_len (buffer, dot - buffer);
  g_string_append (text, localeconv ()->decimal_point);
  g_string_append (text, dot + 1);
  return g_string_free (text, FALSE);
}

static char *
figure (double mm, ModelUnit unit, int decimals, const char *positive)
{
  g_autofree char *plain = NULL;
  bool nothing;

  if (!isfinite (mm))
    return g_strdup ("–");
  plain = plain_figure (fabs (mm), unit, decimals, &nothing);
  return g_strconcat (mm < 0.0 && !nothing ? TRUE_MINUS : positive, plain, NULL);
}

char *
model_unit_figure (double mm, ModelUnit unit, int decimals)
{
  return figure (mm, unit, decimals, "");
}

char *
model_unit_signed (double mm, ModelUnit unit, int decimals)
{
  return figure (mm, unit, decimals, "+");
}

char *
model_unit_text (double mm, ModelUnit unit, int decimals)
{
  g_autofree char *text = figure (mm, unit, decimals, "");

  return g_strconcat (text, THIN_SPACE, model_unit_key (unit), NULL);
}

const char *
model_unit_key (ModelUnit unit)
{
  switch (unit)
  {
  case MODEL_UNIT_MM:
    return "mm";
  case MODEL_UNIT_CM:
    return "cm";
  case MODEL_UNIT_INCH:
    return "in";
  }
  g_return_val_if_reached ("mm");
}
