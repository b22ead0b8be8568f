/* A scanner over the text and a pen that keeps loops.  The grammar is that of SVG 1.1, 8.3.9: numbers need no
 * blank between them where sign or point tell them apart, and the flags of an arc are single figures. */
#include "engine/svg-path.h"

#include <string.h>

#define PX_PER_INCH 96.0
#define MM_PER_INCH 25.4
#define LETTER_PX 16.0
#define MOST_ARC_PIECES 256

typedef struct Scan
{
  const char *text, *p;
} Scan;

/* ---- scanning ---- */

static void
skip_blanks (Scan *s)
{
  while (*s->p == ' ' || *s->p == '\t' || *s->p == '\n' || *s->p == '\r' || *s->p == '\f')
    s->p++;
}

static void
skip_comma (Scan *s)
{
  skip_blanks (s);
  if (*s->p == ',')
    s->p++;
  skip_blanks (s);
}

/* The end of the number that begins at P; P itself if none does. */
static const char *
number_end (const char *p)
{
  const char *q = p + (*p == '+' || *p == '-');
  gsize figures = 0;
  for (; g_ascii_isdigit (*q); q++)
    figures++;
  if (*q == '.')
    for (q++; g_ascii_isdigit (*q); q++)
      figures++;
  if (figures == 0)
    return p;
  if (*q == 'e' || *q == 'E')
  {
    const char *e = q + 1 + (q[1] == '+' || q[1] == '-');
    /* "2em" is a length and not a power. */
    if (g_ascii_isdigit (*e))
      for (q = e; g_ascii_isdigit (*q);)
        q++;
  }
  return q;
}

static bool
number (Scan *s, double *out)
{
  const char *end = number_end (s->p);
  if (end == s->p)
    return false;
  /* A copy, since strtod knows more kinds of numbers than SVG: 0x10. */
  g_autofree char *copy = g_strndup (s->p, (gsize)(end - s->p));
  *out = g_ascii_strtod (copy, NULL);
  if (!isfinite (*out) || fabs (*out) > ENGINE_SVG_MOST)
    return false;
  s->p = end;
  return true;
}

static bool
numbers (Scan *s, double *out, guint n)
{
  for (guint i = 0; i < n; i++)
  {
    if (i > 0)
      skip_comma (s);
    if (!number (s, &out[i]))
      return false;
  }
  return true;
}

static bool
flag (Scan *s, bool *out)
{
  skip_comma (s);
  if (*s->p != '0' && *s->p != '1')
    return false;
  *out = *s->p == '1';
  s->p++;
  return true;
}

static bool
ended (Scan *s, bool good, gsize *at)
{
  if (at != NULL)
    *at = (gsize)(s->p - s->text);
  return good;
}

/* ---- the pen ---- */

static void
free_loop (gpointer loop)
{
  geom_path_clear (loop);
  g_free (loop);
}

void
engine_svg_pen_init (EngineSvgPen *pen, double mm_per_unit)
{
  *pen = (EngineSvgPen) { .loops = g_ptr_array_new_with_free_func (free_loop), .mm_per_unit = mm_per_unit };
}

void
engine_svg_pen_clear (EngineSvgPen *pen)
{
  g_clear_pointer (&pen->loops, g_ptr_array_unref);
}

/* The loop being drawn; after a close or at the start a new one at the present place. */
static GeomPath *
open_loop (EngineSvgPen *pen)
{
  GeomPath *loop = pen->loops->len > 0 ? g_ptr_array_index (pen->loops, pen->loops->len - 1) : NULL;
  if (loop == NULL || loop->closed)
  {
    loop = g_new0 (GeomPath, 1);
    g_ptr_array_add (pen->loops, loop);
  }
  return loop;
}

void
engine_svg_pen_move (EngineSvgPen *pen, GeomPoint to)
{
  GeomPath *loop = open_loop (pen);
  if (loop->count > 0)
    g_ptr_array_add (pen->loops, g_new0 (GeomPath, 1));
  pen->at = pen->start = pen->last_control = to;
}

void
engine_svg_pen_cubic (EngineSvgPen *pen, GeomPoint a, GeomPoint b, GeomPoint to)
{
  GeomCubic c = { { pen->at, a, b, to } };
  geom_path_append (open_loop (pen), &c);
  pen->pieces++;
  pen->at = to;
  pen->last_control = b;
}

void
engine_svg_pen_line (EngineSvgPen *pen, GeomPoint to)
{
  engine_svg_pen_cubic (pen, pen->at, to, to);
}

void
engine_svg_pen_close (EngineSvgPen *pen)
{
  GeomPath *loop = open_loop (pen);
  if (!geom_same_point (pen->at, pen->start))
    engine_svg_pen_line (pen, pen->start);
  loop->closed = loop->count > 0;
  pen->at = pen->last_control = pen->start;
}

static double
arc_error (double radius, double angle)
{
  double s = sin (angle / 4.0), c = cos (angle / 4.0);
  return 2.0 / 27.0 * radius * pow (s, 6.0) / (c * c);
}

static double
angle_between (GeomPoint u, GeomPoint v)
{
  return atan2 (geom_cross (u, v), geom_dot (u, v));
}

void
engine_svg_pen_arc (
  EngineSvgPen *pen, double rx, double ry, double turn_deg, bool large, bool sweep, GeomPoint to)
{
  GeomPoint from = pen->at;
  rx = fabs (rx);
  ry = fabs (ry);
  if (geom_same_point (from, to))
    return;
  if (!(rx > 0.0) || !(ry > 0.0))
  {
    engine_svg_pen_line (pen, to);
    return;
  }
  /* F.6.5, step 1: half of the chord in the ellipse's own axes. */
  double turn = turn_deg * G_PI / 180.0, cs = cos (turn), sn = sin (turn);
  GeomPoint half = geom_scale (geom_sub (from, to), 0.5);
  GeomPoint h = { cs * half.x + sn * half.y, -sn * half.x + cs * half.y };
  double grown = (h.x / rx) * (h.x / rx) + (h.y / ry) * (h.y / ry);
  if (grown > 1.0) /* F.6.6: too small to reach */
  {
    rx *= sqrt (grown);
    ry *= sqrt (grown);
    grown = 1.0;
  }
  /* Step 2: the middle, by the unit circle. */
  double out = grown > 0.0 ? sqrt (fmax (1.0 / grown - 1.0, 0.0)) : 0.0;
  out = large == sweep ? -out : out;
  GeomPoint m = { out * rx * h.y / ry, -out * ry * h.x / rx };
  /* Steps 3 and 4. */
  GeomAffine map = { cs * rx,
                     -sn * ry,
                     sn * rx,
                     cs * ry,
                     cs * m.x - sn * m.y + (from.x + to.x) / 2.0,
                     sn * m.x + cs * m.y + (from.y + to.y) / 2.0 };
  GeomPoint u = { (h.x - m.x) / rx, (h.y - m.y) / ry }, v = { (-h.x - m.x) / rx, (-h.y - m.y) / ry };
  double first = atan2 (u.y, u.x), swept = angle_between (u, v);
  if (sweep && swept < 0.0)
    swept += 2.0 * G_PI;
  else if (!sweep && swept > 0.0)
    swept -= 2.0 * G_PI;
  if (!isfinite (first) || !isfinite (swept) || !isfinite (map.x0) || !isfinite (map.y0))
  {
    engine_svg_pen_line (pen, to);
    return;
  }
  int n = MAX ((int)ceil (fabs (swept) / G_PI_2 - 1e-9), 1);
  while (n < MOST_ARC_PIECES && arc_error (fmax (rx, ry) * pen->mm_per_unit, swept / n) > ENGINE_SVG_ARC_MM)
    n++;
  double step = swept / n, reach = 4.0 / 3.0 * tan (step / 4.0);
  for (int i = 0; i < n; i++)
  {
    double a = first + step * i, b = a + step;
    GeomPoint p0 = { cos (a), sin (a) }, p3 = { cos (b), sin (b) };
    GeomPoint p1 = { p0.x - reach * p0.y, p0.y + reach * p0.x },
              p2 = { p3.x + reach * p3.y, p3.y - reach * p3.x };
    engine_svg_pen_cubic (pen, geom_affine_apply (map, p1), geom_affine_apply (map, p2),
                          i == n - 1 ? to : geom_affine_apply (map, p3));
  }
}

/* ---- path data ---- */

static GeomPoint
mirrored_control (const EngineSvgPen *pen, const char *after)
{
  return strchr (after, pen->last) != NULL ? geom_sub (geom_scale (pen->at, 2.0), pen->last_control)
                                           : pen->at;
}

static void
quadratic (EngineSvgPen *pen, GeomPoint control, GeomPoint to)
{
  engine_svg_pen_cubic (pen, geom_mix (pen->at, control, 2.0 / 3.0), geom_mix (to, control, 2.0 / 3.0), to);
  pen->last_control = control;
}

/* One set of numbers of COMMAND. */
static bool
one_command (Scan *s, char command, EngineSvgPen *pen)
{
  bool relative = g_ascii_islower (command), large, sweep;
  GeomPoint o = relative ? pen->at : geom_point (0.0, 0.0);
  double v[6];
  switch (g_ascii_toupper (command))
  {
  case 'M':
    if (!numbers (s, v, 2))
      return false;
    engine_svg_pen_move (pen, geom_point (o.x + v[0], o.y + v[1]));
    return true;
  case 'L':
    if (!numbers (s, v, 2))
      return false;
    engine_svg_pen_line (pen, geom_point (o.x + v[0], o.y + v[1]));
    return true;
  case 'H':
    if (!numbers (s, v, 1))
      return false;
    engine_svg_pen_line (pen, geom_point (o.x + v[0], pen->at.y));
    return true;
  case 'V':
    if (!numbers (s, v, 1))
      return false;
    engine_svg_pen_line (pen, geom_point (pen->at.x, o.y + v[0]));
    return true;
  case 'C':
    if (!numbers (s, v, 6))
      return false;
    engine_svg_pen_cubic (pen, geom_point (o.x + v[0], o.y + v[1]), geom_point (o.x + v[2], o.y + v[3]),
                          geom_point (o.x + v[4], o.y + v[5]));
    return true;
  case 'S':
    if (!numbers (s, v, 4))
      return false;
    engine_svg_pen_cubic (pen, mirrored_control (pen, "CS"), geom_point (o.x + v[0], o.y + v[1]),
                          geom_point (o.x + v[2], o.y + v[3]));
    return true;
  case 'Q':
    if (!numbers (s, v, 4))
      return false;
    quadratic (pen, geom_point (o.x + v[0], o.y + v[1]), geom_point (o.x + v[2], o.y + v[3]));
    return true;
  case 'T':
    if (!numbers (s, v, 2))
      return false;
    quadratic (pen, mirrored_control (pen, "QT"), geom_point (o.x + v[0], o.y + v[1]));
    return true;
  case 'A':
    if (!numbers (s, v, 3) || !flag (s, &large) || !flag (s, &sweep))
      return false;
    skip_comma (s);
    if (!numbers (s, v + 3, 2))
      return false;
    engine_svg_pen_arc (pen, v[0], v[1], v[2], large, sweep, geom_point (o.x + v[3], o.y + v[4]));
    return true;
  default:
    return false;
  }
}

static bool
in_range (GeomPoint p)
{
  return fabs (p.x) <= ENGINE_SVG_MOST && fabs (p.y) <= ENGINE_SVG_MOST;
}

bool
engine_svg_path_data (const char *text, EngineSvgPen *pen, gsize *at)
{
  Scan s = { text, text };
  pen->last = 'Z';
  skip_blanks (&s);
  bool begun = false;
  while (*s.p != '\0')
  {
    char command = *s.p;
    if (strchr ("MmLlHhVvCcSsQqTtAaZz", command) == NULL || (!begun && g_ascii_toupper (command) != 'M'))
      return ended (&s, false, at);
    begun = true;
    s.p++;
    skip_blanks (&s);
    if (command == 'Z' || command == 'z')
    {
      engine_svg_pen_close (pen);
      pen->last = 'Z';
      continue;
    }
    do
    {
      const char *set = s.p;
      if (pen->pieces > ENGINE_SVG_MOST_PIECES || !one_command (&s, command, pen))
        return ended (&s, false, at);
      if (!in_range (pen->at) || !in_range (pen->last_control))
      {
        s.p = set;
        return ended (&s, false, at);
      }
      pen->last = g_ascii_toupper (command);
      /* More pairs after a move are lines. */
      command = command == 'M' ? 'L' : command == 'm' ? 'l' : command;
      const char *after = s.p;
      skip_comma (&s);
      if (number_end (s.p) == s.p && memchr (after, ',', (gsize)(s.p - after)) != NULL)
        return ended (&s, false, at); /* a comma with nothing after it */
    } while (number_end (s.p) != s.p);
  }
  return ended (&s, true, at);
}

bool
engine_svg_points (const char *text, GArray *points, gsize *at)
{
  Scan s = { text, text };
  skip_blanks (&s);
  while (*s.p != '\0')
  {
    double v[2];
    if (points->len > ENGINE_SVG_MOST_PIECES || !numbers (&s, v, 2))
      return ended (&s, false, at);
    GeomPoint p = { v[0], v[1] };
    g_array_append_val (points, p);
    skip_comma (&s);
  }
  return ended (&s, true, at);
}

/* ---- transforms ---- */

typedef enum Form
{
  FORM_MATRIX,
  FORM_TRANSLATE,
  FORM_SCALE,
  FORM_ROTATE,
  FORM_SKEW_X,
  FORM_SKEW_Y
} Form;

static GeomAffine
form_map (Form form, const double *v, guint n)
{
  switch (form)
  {
  case FORM_MATRIX:
    return (GeomAffine) { v[0], v[2], v[1], v[3], v[4], v[5] };
  case FORM_TRANSLATE:
    return geom_affine_move (v[0], n > 1 ? v[1] : 0.0);
  case FORM_SCALE:
    return (GeomAffine) { v[0], 0.0, 0.0, n > 1 ? v[1] : v[0], 0.0, 0.0 };
  case FORM_ROTATE:
    return geom_affine_turn (n > 1 ? geom_point (v[1], v[2]) : geom_point (0.0, 0.0), v[0] * G_PI / 180.0);
  case FORM_SKEW_X:
    return (GeomAffine) { 1.0, tan (v[0] * G_PI / 180.0), 0.0, 1.0, 0.0, 0.0 };
  case FORM_SKEW_Y:
    return (GeomAffine) { 1.0, 0.0, tan (v[0] * G_PI / 180.0), 1.0, 0.0, 0.0 };
  }
  return geom_affine_identity ();
}

static bool
is_tame (const GeomAffine *m)
{
  const double all[] = { m->xx, m->xy, m->yx, m->yy, m->x0, m->y0 };
  for (guint i = 0; i < G_N_ELEMENTS (all); i++)
    if (!isfinite (all[i]) || fabs (all[i]) > ENGINE_SVG_MOST)
      return false;
  return true;
}

static bool
one_transform (Scan *s, GeomAffine *map)
{
  static const struct
  {
    const char *name;
    guint counts; /* bit N: N numbers may stand there */
  } forms[]
    = { [FORM_MATRIX] = { "matrix", 1 << 6 },        [FORM_TRANSLATE] = { "translate", 1 << 1 | 1 << 2 },
        [FORM_SCALE] = { "scale", 1 << 1 | 1 << 2 }, [FORM_ROTATE] = { "rotate", 1 << 1 | 1 << 3 },
        [FORM_SKEW_X] = { "skewX", 1 << 1 },         [FORM_SKEW_Y] = { "skewY", 1 << 1 } };
  const char *name = s->p;
  while (g_ascii_isalpha (*s->p))
    s->p++;
  gsize length = (gsize)(s->p - name);
  for (guint i = 0; i < G_N_ELEMENTS (forms); i++)
  {
    if (strlen (forms[i].name) != length || strncmp (forms[i].name, name, length) != 0)
      continue;
    double v[6];
    guint n = 0;
    skip_blanks (s);
    if (*s->p != '(')
      return false;
    s->p++;
    skip_blanks (s);
    while (n < 6 && number (s, &v[n]))
    {
      n++;
      skip_comma (s);
    }
    if (*s->p != ')' || (forms[i].counts & 1U << n) == 0)
      return false;
    s->p++;
    *map = geom_affine_after (*map, form_map ((Form)i, v, n));
    return is_tame (map);
  }
  s->p = name;
  return false;
}

bool
engine_svg_transform (const char *text, GeomAffine *map, gsize *at)
{
  Scan s = { text, text };
  *map = geom_affine_identity ();
  skip_blanks (&s);
  if (strcmp (s.p, "none") == 0)
    return ended (&s, true, at);
  while (*s.p != '\0')
  {
    if (!one_transform (&s, map))
      return ended (&s, false, at);
    skip_comma (&s);
  }
  return ended (&s, true, at);
}

bool
engine_svg_numbers (const char *text, double *out, guint n)
{
  Scan s = { text, text };
  skip_blanks (&s);
  if (!numbers (&s, out, n))
    return false;
  skip_blanks (&s);
  return *s.p == '\0';
}

bool
engine_svg_length (const char *text, double whole, double *out)
{
  const struct
  {
    const char *name;
    double px;
  } units[] = { { "", 1.0 },
                { "px", 1.0 },
                { "in", PX_PER_INCH },
                { "cm", PX_PER_INCH / MM_PER_INCH * 10.0 },
                { "mm", PX_PER_INCH / MM_PER_INCH },
                { "pt", PX_PER_INCH / 72.0 },
                { "pc", PX_PER_INCH / 6.0 },
                { "em", LETTER_PX },
                { "ex", LETTER_PX / 2.0 },
                { "%", whole / 100.0 } };
  Scan s = { text, text };
  skip_blanks (&s);
  if (!number (&s, out))
    return false;
  g_autofree char *unit = g_strstrip (g_strdup (s.p));
  for (guint i = 0; i < G_N_ELEMENTS (units); i++)
    if (g_ascii_strcasecmp (unit, units[i].name) == 0)
    {
      *out *= units[i].px;
      return isfinite (*out) && fabs (*out) <= ENGINE_SVG_MOST;
    }
  return false;
}
