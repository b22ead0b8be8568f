/* One pass with GLib's markup parser, which knows no entities but XML's own five: a drawing cannot make
 * itself larger than it is.  Each open element has a frame with the map from its own units to millimetres, y
 * up.
 */
#include "engine/svg-in.h"

#include "engine/svg-hand.h"
#include "engine/svg-path.h"
#include "model/file.h"
#include "model/shape.h"

#include <glib/gi18n.h>
#include <string.h>

G_DEFINE_QUARK (engine - svg - error - quark, engine_svg_error)

#define MM_PER_PX (25.4 / 96.0)
/* A stretch this short is the rounding of who wrote it; half the accuracy of our own files. */
#define SHORT_MM 0.002
/* Handles this near the chord were written for a straight line. */
#define STRAIGHT_MM 1e-4
/* Pieces looked at to find holes, in all: more is meant to keep a computer busy. */
#define MOST_LOOKS 20000000
#define MOST_NAME 200

typedef enum Kind
{
  KIND_GROUP,
  KIND_SVG,
  KIND_SHAPE,
  KIND_TITLE,
  KIND_SKIPPED /* with all that is in it */
} Kind;

typedef struct Frame
{
  Kind kind;
  GeomAffine to_mm;
  double w, h; /* of the viewport, in units: what percent are of */
  char *name;  /* NULL: none said */
  bool named;  /* NAME is a title and not only an id */
  bool cut;
  EngineSvgPen pen; /* SHAPE */
} Frame;

typedef struct Outline
{
  GeomPath path; /* mm, closed */
  char *name;
  bool cut;
} Outline;

typedef struct Reader
{
  GArray *frames;      /* Frame */
  GPtrArray *outlines; /* Outline */
  EngineSvgReport report;
  bool has_cut, seen_root;
  gsize pieces, looks;
  EngineSvgHand hand;
} Reader;

static void
frame_clear (gpointer data)
{
  Frame *frame = data;
  g_free (frame->name);
  engine_svg_pen_clear (&frame->pen);
}

static void
outline_free (gpointer data)
{
  Outline *outline = data;
  geom_path_clear (&outline->path);
  g_free (outline->name);
  g_free (outline);
}

/* ---- trouble ---- */

/* AT: bytes into the attribute's value, or -1. */
static void
complain (const Reader *r, GError **error, const char *element, const char *attribute, gssize at)
{
  int line, column;
  const char *place = engine_svg_hand_value (&r->hand, attribute);
  engine_svg_hand_count (&r->hand, at > 0 && at < r->hand.next - place ? place + at : place, &line, &column);
  g_set_error (error, ENGINE_SVG_ERROR, ENGINE_SVG_ERROR_SYNTAX,
               at >= 0 /* Translators: the name of an attribute, of an element. */
                 ? _ ("line %d, column %d: “%s” of “%s” cannot be read from here on")
                 : _ ("line %d, column %d: “%s” of “%s” is not what it should be"),
               line, column, attribute, element);
}

static void
complain_size (const Reader *r, GError **error)
{
  int line, column;
  engine_svg_hand_count (&r->hand, r->hand.tag, &line, &column);
  g_set_error (error, ENGINE_SVG_ERROR, ENGINE_SVG_ERROR_TOO_MUCH,
               _ ("line %d, column %d: there is more in this drawing than in any drawing of panels"), line,
               column);
}

/* ---- attributes ---- */

typedef struct Attributes
{
  const Reader *reader;
  GError **error;
  const char *element;
  const char **names, **values;
} Attributes;

static const char *
attribute (const Attributes *a, const char *name)
{
  for (guint i = 0; a->names[i] != NULL; i++)
    if (strcmp (a->names[i], name) == 0)
      return a->values[i];
  return NULL;
}

/* False: there and cannot be read. */
static bool
length_of (const Attributes *a, const char *name, double whole, double *out)
{
  const char *text = attribute (a, name);
  if (text == NULL || engine_svg_length (text, whole, out))
    return true;
  complain (a->reader, a->error, a->element, name, -1);
  return false;
}

/* The value of PROPERTY in the style attribute, or the attribute of its name. */
static char *
style_of (const Attributes *a, const char *property)
{
  const char *style = attribute (a, "style"), *plain = attribute (a, property);
  g_auto (GStrv) parts = g_strsplit (style != NULL ? style : "", ";", 100);
  for (guint i = 0; parts[i] != NULL; i++)
  {
    char *colon = strchr (parts[i], ':');
    if (colon == NULL)
      continue;
    *colon = '\0';
    if (strcmp (g_strstrip (parts[i]), property) == 0)
      return g_strdup (g_strstrip (colon + 1));
  }
  return g_strdup (plain != NULL ? plain : "");
}

static bool
is_displayed (const Attributes *a)
{
  g_autofree char *display = style_of (a, "display"), *visibility = style_of (a, "visibility");
  return strcmp (display, "none") != 0 && strcmp (visibility, "hidden") != 0
         && strcmp (visibility, "collapse") != 0;
}

static bool
has_class (const Attributes *a, const char *wanted)
{
  const char *text = attribute (a, "class");
  g_auto (GStrv) words = g_strsplit_set (text != NULL ? text : "", " \t\n\r", 100);
  return g_strv_contains ((const char *const *)words, wanted);
}

/* ---- viewports ---- */

/* viewBox into W x H units, by preserveAspectRatio. */
static bool
view_map (const Attributes *a, double w, double h, const double box[4], GeomAffine *map)
{
  const char *text = attribute (a, "preserveAspectRatio");
  g_auto (GStrv) words = g_strsplit_set (text != NULL ? text : "xMidYMid", " \t\n\r", 10);
  bool slice = g_strv_contains ((const char *const *)words, "slice");
  double sx = w / box[2], sy = h / box[3], ax = 0.5, ay = 0.5;
  if (!g_strv_contains ((const char *const *)words, "none"))
  {
    sx = sy = slice ? fmax (sx, sy) : fmin (sx, sy);
    for (guint i = 0; words[i] != NULL; i++)
    {
      static const char *const places[] = { "Min", "Mid", "Max" };
      for (int k = 0; k < 3; k++)
      {
        if (strlen (words[i]) == 8 && words[i][0] == 'x' && strncmp (words[i] + 1, places[k], 3) == 0)
          ax = k / 2.0;
        if (strlen (words[i]) == 8 && words[i][4] == 'Y' && strcmp (words[i] + 5, places[k]) == 0)
          ay = k / 2.0;
      }
    }
  }
  *map = (GeomAffine) {
    sx, 0.0, 0.0, sy, ax * (w - sx * box[2]) - sx * box[0], ay * (h - sy * box[3]) - sy * box[1]
  };
  return isfinite (sx) && isfinite (sy) && isfinite (map->x0) && isfinite (map->y0);
}

/* Size and units of an svg element; ROOT: the map to millimetres begins here. */
static bool
open_svg (const Attributes *a, Frame *frame, bool root)
{
  const char *box_text = attribute (a, "viewBox"), *w_text = attribute (a, "width"),
             *h_text = attribute (a, "height");
  double box[4] = { 0.0, 0.0, 0.0, 0.0 }, w = NAN, h = NAN, x = 0.0, y = 0.0;
  if (box_text != NULL && (!engine_svg_numbers (box_text, box, 4) || !(box[2] > 0.0) || !(box[3] > 0.0)))
  {
    complain (a->reader, a->error, a->element, "viewBox", -1);
    return false;
  }
  /* Of a window nobody knows, a percentage says nothing. */
  bool free_w = w_text == NULL || strcmp (w_text, "auto") == 0 || (root && strchr (w_text, '%') != NULL),
       free_h = h_text == NULL || strcmp (h_text, "auto") == 0 || (root && strchr (h_text, '%') != NULL);
  if ((!free_w && !length_of (a, "width", frame->w, &w))
      || (!free_h && !length_of (a, "height", frame->h, &h)))
    return false;
  if ((!free_w && !(w > 0.0)) || (!free_h && !(h > 0.0)))
  {
    complain (a->reader, a->error, a->element, !free_w && !(w > 0.0) ? "width" : "height", -1);
    return false;
  }
  if (!root && (!length_of (a, "x", frame->w, &x) || !length_of (a, "y", frame->h, &y)))
    return false;
  if (free_w)
    w = box_text == NULL ? (root ? 0.0 : frame->w) : free_h ? box[2] : h / box[3] * box[2];
  if (free_h)
    h = box_text == NULL ? (root ? 0.0 : frame->h) : free_w ? box[3] : w / box[2] * box[3];
  GeomAffine inner = geom_affine_identity ();
  if (box_text != NULL && !view_map (a, w, h, box, &inner))
  {
    complain (a->reader, a->error, a->element, "viewBox", -1);
    return false;
  }
  GeomAffine outer = root ? (GeomAffine) { MM_PER_PX, 0.0, 0.0, -MM_PER_PX, 0.0, h * MM_PER_PX }
                          : geom_affine_after (frame->to_mm, geom_affine_move (x, y));
  frame->to_mm = geom_affine_after (outer, inner);
  frame->w = box_text != NULL ? box[2] : w;
  frame->h = box_text != NULL ? box[3] : h;
  return true;
}

/* ---- shapes ---- */

static double
diagonal (const Frame *frame)
{
  return hypot (frame->w, frame->h) / G_SQRT2; /* SVG 1.1, 7.10 */
}

static bool
positive (const Attributes *a, const char *name, double value)
{
  if (value >= 0.0)
    return true;
  complain (a->reader, a->error, a->element, name, -1);
  return false;
}

/* Begins at the right, goes with growing angle, as SVG 1.1, 9.3 and 9.4 say. */
static void
ellipse (EngineSvgPen *pen, double cx, double cy, double rx, double ry)
{
  if (!(rx > 0.0) || !(ry > 0.0))
    return;
  const GeomPoint at[] = { { cx + rx, cy }, { cx, cy + ry }, { cx - rx, cy }, { cx, cy - ry } };
  engine_svg_pen_move (pen, at[0]);
  for (int i = 1; i <= 4; i++)
    engine_svg_pen_arc (pen, rx, ry, 0.0, false, true, at[i % 4]);
  engine_svg_pen_close (pen);
}

static bool
draw_ellipse (const Attributes *a, Frame *f, bool circle)
{
  double cx = 0.0, cy = 0.0, rx = 0.0, ry = 0.0;
  if (!length_of (a, "cx", f->w, &cx) || !length_of (a, "cy", f->h, &cy))
    return false;
  if (circle ? !length_of (a, "r", diagonal (f), &rx) || !positive (a, "r", rx)
             : !length_of (a, "rx", f->w, &rx) || !length_of (a, "ry", f->h, &ry) || !positive (a, "rx", rx)
                 || !positive (a, "ry", ry))
    return false;
  ellipse (&f->pen, cx, cy, rx, circle ? rx : ry);
  return true;
}

static bool
draw_rect (const Attributes *a, Frame *f)
{
  double x = 0.0, y = 0.0, w = 0.0, h = 0.0, rx = -1.0, ry = -1.0;
  if (!length_of (a, "x", f->w, &x) || !length_of (a, "y", f->h, &y) || !length_of (a, "width", f->w, &w)
      || !length_of (a, "height", f->h, &h) || !positive (a, "width", w) || !positive (a, "height", h))
    return false;
  bool auto_x = attribute (a, "rx") == NULL || strcmp (attribute (a, "rx"), "auto") == 0,
       auto_y = attribute (a, "ry") == NULL || strcmp (attribute (a, "ry"), "auto") == 0;
  if ((!auto_x && (!length_of (a, "rx", f->w, &rx) || !positive (a, "rx", rx)))
      || (!auto_y && (!length_of (a, "ry", f->h, &ry) || !positive (a, "ry", ry))))
    return false;
  if (!(w > 0.0) || !(h > 0.0))
    return true;
  if (auto_x)
    rx = auto_y ? 0.0 : ry;
  if (auto_y)
    ry = rx;
  rx = fmin (rx, w / 2.0);
  ry = fmin (ry, h / 2.0);
  if (!(rx > 0.0) || !(ry > 0.0))
    rx = ry = 0.0;
  const GeomPoint line[] = { { x + w - rx, y }, { x + w, y + h - ry }, { x + rx, y + h }, { x, y + ry } };
  const GeomPoint arc[] = { { x + w, y + ry }, { x + w - rx, y + h }, { x, y + h - ry }, { x + rx, y } };
  engine_svg_pen_move (&f->pen, geom_point (x + rx, y));
  for (int i = 0; i < 4; i++)
  {
    if (!geom_same_point (f->pen.at, line[i]))
      engine_svg_pen_line (&f->pen, line[i]);
    if (rx > 0.0)
      engine_svg_pen_arc (&f->pen, rx, ry, 0.0, false, true, arc[i]);
  }
  engine_svg_pen_close (&f->pen);
  return true;
}

static bool
draw_line (const Attributes *a, Frame *f)
{
  double x1 = 0.0, y1 = 0.0, x2 = 0.0, y2 = 0.0;
  if (!length_of (a, "x1", f->w, &x1) || !length_of (a, "y1", f->h, &y1) || !length_of (a, "x2", f->w, &x2)
      || !length_of (a, "y2", f->h, &y2))
    return false;
  engine_svg_pen_move (&f->pen, geom_point (x1, y1));
  engine_svg_pen_line (&f->pen, geom_point (x2, y2));
  return true;
}

static bool
draw_points (const Attributes *a, Frame *f, bool closed)
{
  g_autoptr (GArray) points = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  const char *text = attribute (a, "points");
  gsize at;
  if (text != NULL && !engine_svg_points (text, points, &at))
  {
    complain (a->reader, a->error, a->element, "points", (gssize)at);
    return false;
  }
  for (guint i = 0; i < points->len; i++)
    if (i == 0)
      engine_svg_pen_move (&f->pen, g_array_index (points, GeomPoint, i));
    else
      engine_svg_pen_line (&f->pen, g_array_index (points, GeomPoint, i));
  if (closed && points->len > 0)
    engine_svg_pen_close (&f->pen);
  return true;
}

static bool
draw_path (const Attributes *a, Frame *f)
{
  const char *text = attribute (a, "d");
  gsize at;
  if (text == NULL || strcmp (text, "none") == 0 || engine_svg_path_data (text, &f->pen, &at))
    return true;
  complain (a->reader, a->error, a->element, "d", (gssize)at);
  return false;
}

typedef enum Shape
{
  SHAPE_NONE,
  SHAPE_PATH,
  SHAPE_RECT,
  SHAPE_CIRCLE,
  SHAPE_ELLIPSE,
  SHAPE_LINE,
  SHAPE_POLYLINE,
  SHAPE_POLYGON
} Shape;

static Shape
shape_named (const char *name)
{
  static const char *const names[]
    = { "", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon" };
  for (guint i = 1; i < G_N_ELEMENTS (names); i++)
    if (strcmp (name, names[i]) == 0)
      return (Shape)i;
  return SHAPE_NONE;
}

static bool
draw_shape (const Attributes *a, Frame *f, Shape shape)
{
  switch (shape)
  {
  case SHAPE_PATH:
    return draw_path (a, f);
  case SHAPE_RECT:
    return draw_rect (a, f);
  case SHAPE_CIRCLE:
    return draw_ellipse (a, f, true);
  case SHAPE_ELLIPSE:
    return draw_ellipse (a, f, false);
  case SHAPE_LINE:
    return draw_line (a, f);
  case SHAPE_POLYLINE:
    return draw_points (a, f, false);
  case SHAPE_POLYGON:
    return draw_points (a, f, true);
  case SHAPE_NONE:
    break;
  }
  return true;
}

/* ---- loops to outlines ---- */

static GeomPoint
leaving (const GeomCubic *c)
{
  for (int k = 1; k < 4; k++)
    if (geom_distance (c->p[0], c->p[k]) > STRAIGHT_MM)
      return geom_sub (c->p[k], c->p[0]);
  return geom_sub (c->p[3], c->p[0]);
}

static GeomPoint
arriving (const GeomCubic *c)
{
  for (int k = 2; k >= 0; k--)
    if (geom_distance (c->p[3], c->p[k]) > STRAIGHT_MM)
      return geom_sub (c->p[3], c->p[k]);
  return geom_sub (c->p[3], c->p[0]);
}

static bool
is_short (const GeomCubic *c)
{
  return geom_distance (c->p[0], c->p[1]) + geom_distance (c->p[1], c->p[2])
           + geom_distance (c->p[2], c->p[3])
         < SHORT_MM;
}

/* Handles on the chord, between the ends, are left out. */
static void
straighten (GeomCubic *c)
{
  GeomPoint chord = geom_sub (c->p[3], c->p[0]), unit = geom_unit (chord);
  double length = geom_norm (chord);
  for (int k = 1; k <= 2; k++)
  {
    GeomPoint v = geom_sub (c->p[k], c->p[0]);
    double along = geom_dot (v, unit);
    if (fabs (geom_cross (unit, v)) > STRAIGHT_MM || along < -STRAIGHT_MM || along > length + STRAIGHT_MM)
      return;
  }
  c->p[1] = c->p[0];
  c->p[2] = c->p[3];
}

/* To millimetres, without what has no length, its ends joined.  False: open, or nothing. */
static bool
finish_loop (const GeomPath *loop, GeomAffine to_mm, GeomPath *out, EngineSvgReport *report)
{
  for (size_t i = 0; i < loop->count; i++)
  {
    GeomCubic c;
    for (int k = 0; k < 4; k++)
      c.p[k] = geom_affine_apply (to_mm, loop->piece[i].p[k]);
    if (is_short (&c))
      continue;
    if (out->count > 0)
      c.p[0] = out->piece[out->count - 1].p[3];
    straighten (&c);
    geom_path_append (out, &c);
  }
  if (out->count == 0)
    return false;
  GeomCubic *last = &out->piece[out->count - 1];
  GeomPoint start = out->piece[0].p[0], by = geom_sub (start, last->p[3]);
  bool bridged = !loop->closed;
  if (bridged && (geom_norm (by) > ENGINE_SVG_CLOSE_MM || out->count < 2))
  {
    report->open++;
    return false;
  }
  report->closed += bridged;
  if (!geom_same_point (last->p[2], last->p[3]))
    last->p[2] = geom_add (last->p[2], by);
  else
    last->p[2] = start;
  last->p[3] = start;
  out->closed = true;
  return true;
}

typedef struct Look
{
  GeomBox box;
  double area;
} Look;

/* Inside an odd number of the shape's other loops.  Counts what it looks at, and gives up past MOST_LOOKS. */
static bool
is_hole (const GPtrArray *loops, const Look *seen, guint index, gsize *looks)
{
  const GeomPath *loop = g_ptr_array_index (loops, index);
  guint around = 0;
  for (guint i = 0; i < loops->len && *looks <= MOST_LOOKS; i++)
  {
    ++*looks;
    if (i == index || seen[i].area <= seen[index].area
        || !geom_box_contains (seen[i].box, geom_point (seen[index].box.x0, seen[index].box.y0))
        || !geom_box_contains (seen[i].box, geom_point (seen[index].box.x1, seen[index].box.y1)))
      continue;
    const GeomPath *other = g_ptr_array_index (loops, i);
    *looks += other->count;
    around += geom_path_contains (other, loop->piece[0].p[0]);
  }
  return around % 2 == 1;
}

static void
free_path (gpointer path)
{
  geom_path_clear (path);
  g_free (path);
}

static bool
in_bounds (const GeomPath *path)
{
  GeomBox box = geom_path_box (path);
  for (size_t i = 0; i < path->count; i++)
    for (int k = 0; k < 4; k++)
      box = geom_box_with_point (box, path->piece[i].p[k]);
  return fabs (box.x0) <= MODEL_FILE_MAX_MM && fabs (box.x1) <= MODEL_FILE_MAX_MM
         && fabs (box.y0) <= MODEL_FILE_MAX_MM && fabs (box.y1) <= MODEL_FILE_MAX_MM;
}

static bool
take_shape (Reader *r, Frame *frame, const char *name, GError **error)
{
  g_autoptr (GPtrArray) loops = g_ptr_array_new_with_free_func (free_path);
  for (guint i = 0; i < frame->pen.loops->len; i++)
  {
    GeomPath *path = g_new0 (GeomPath, 1);
    if (finish_loop (g_ptr_array_index (frame->pen.loops, i), frame->to_mm, path, &r->report))
      g_ptr_array_add (loops, path);
    else
      free_path (path);
  }
  r->pieces += frame->pen.pieces;
  if (r->pieces > ENGINE_SVG_MOST_PIECES || r->outlines->len + loops->len > ENGINE_SVG_MOST_OUTLINES)
  {
    complain_size (r, error);
    return false;
  }
  g_autofree bool *hole = g_new0 (bool, MAX (loops->len, 1));
  g_autofree Look *seen = g_new0 (Look, MAX (loops->len, 1));
  for (guint i = 0; i < loops->len; i++)
    if (!in_bounds (g_ptr_array_index (loops, i)))
    {
      complain_size (r, error);
      return false;
    }
  for (guint i = 0; i < loops->len; i++)
    seen[i] = (Look) { geom_path_box (g_ptr_array_index (loops, i)),
                       fabs (geom_path_area (g_ptr_array_index (loops, i))) };
  for (guint i = 0; i < loops->len; i++)
    hole[i] = is_hole (loops, seen, i, &r->looks);
  if (r->looks > MOST_LOOKS)
  {
    complain_size (r, error);
    return false;
  }
  for (guint i = 0; i < loops->len; i++)
  {
    if (hole[i])
    {
      r->report.holes++;
      continue;
    }
    Outline *outline = g_new0 (Outline, 1);
    geom_path_copy (&outline->path, g_ptr_array_index (loops, i));
    outline->name = g_strdup (name);
    outline->cut = frame->cut;
    r->has_cut = r->has_cut || frame->cut;
    g_ptr_array_add (r->outlines, outline);
  }
  return true;
}

/* ---- elements ---- */

static Frame *
top_frame (Reader *r)
{
  return r->frames->len > 0 ? &g_array_index (r->frames, Frame, r->frames->len - 1) : NULL;
}

static void
set_name (Frame *frame, const char *text, bool title)
{
  g_autofree char *name = g_strstrip (g_strndup (text, MOST_NAME));
  g_autofree char *whole = g_utf8_make_valid (name, -1);
  if (whole[0] == '\0' || (frame->named && !title))
    return;
  g_free (frame->name);
  frame->name = g_steal_pointer (&whole);
  frame->named = title;
}

static bool
is_text_or_picture (const char *name)
{
  static const char *const names[] = { "text", "image", "use", "foreignObject", NULL };
  return g_strv_contains (names, name);
}

static bool
open_frame (Reader *r, const Attributes *a, Frame *frame)
{
  const char *transform = attribute (a, "transform");
  const bool root = r->frames->len == 0;
  Shape shape = shape_named (a->element);
  gsize at;
  if (!is_displayed (a))
    return true;
  if (strcmp (a->element, "title") == 0)
  {
    frame->kind = KIND_TITLE;
    return true;
  }
  if (is_text_or_picture (a->element))
    r->report.others++;
  bool group
    = strcmp (a->element, "g") == 0 || strcmp (a->element, "a") == 0 || strcmp (a->element, "switch") == 0;
  bool svg = strcmp (a->element, "svg") == 0;
  if (!group && !svg && shape == SHAPE_NONE)
    return true;
  frame->kind = svg ? KIND_SVG : group ? KIND_GROUP : KIND_SHAPE;
  frame->cut = frame->cut || has_class (a, "cut");
  if (attribute (a, "id") != NULL && !root)
    set_name (frame, attribute (a, "id"), false);
  if (attribute (a, "data-label") != NULL)
    set_name (frame, attribute (a, "data-label"), true);
  if (transform != NULL)
  {
    GeomAffine map;
    if (!engine_svg_transform (transform, &map, &at))
    {
      complain (a->reader, a->error, a->element, "transform", (gssize)at);
      return false;
    }
    frame->to_mm = geom_affine_after (frame->to_mm, map);
  }
  if (svg)
    return open_svg (a, frame, root);
  if (shape == SHAPE_NONE)
    return true;
  const GeomAffine *m = &frame->to_mm;
  engine_svg_pen_init (&frame->pen, hypot (hypot (m->xx, m->xy), hypot (m->yx, m->yy)));
  return draw_shape (a, frame, shape);
}

static void
on_start (GMarkupParseContext *context,
          const char *name,
          const char **names,
          const char **values,
          gpointer user,
          GError **error)
{
  Reader *r = user;
  const Frame *above = top_frame (r);
  const char *local = g_str_has_prefix (name, "svg:") ? name + 4 : name;
  Frame frame = { .kind = KIND_SKIPPED, .to_mm = geom_affine_identity () };
  engine_svg_hand_next (&r->hand);
  if (r->frames->len >= ENGINE_SVG_MOST_DEPTH)
  {
    complain_size (r, error);
    return;
  }
  if (above == NULL && (strcmp (local, "svg") != 0 || r->seen_root))
  {
    int line, column;
    engine_svg_hand_count (&r->hand, r->hand.tag, &line, &column);
    g_set_error (error, ENGINE_SVG_ERROR, ENGINE_SVG_ERROR_SYNTAX,
                 r->seen_root ? _ ("line %d, column %d: after the end of the drawing there is “%.40s”")
                              : _ ("line %d, column %d: this is not an SVG drawing but “%.40s”"),
                 line, column, name);
    return;
  }
  r->seen_root = true;
  if (above != NULL)
  {
    frame.to_mm = above->to_mm;
    frame.w = above->w;
    frame.h = above->h;
    frame.cut = above->cut;
  }
  /* Nothing is drawn inside a shape; only its title is of use. */
  bool closed_to_all = above != NULL && (above->kind == KIND_SKIPPED || above->kind == KIND_TITLE);
  bool only_title = above != NULL && above->kind == KIND_SHAPE && strcmp (local, "title") != 0;
  const Attributes a = { r, error, local, names, values };
  bool good = closed_to_all || only_title || open_frame (r, &a, &frame);
  if (!good)
  {
    frame_clear (&frame);
    return;
  }
  g_array_append_val (r->frames, frame);
}

/* The name nearest to the shape, a title before an id. */
static const char *
shape_name (Reader *r)
{
  for (int titles = 1; titles >= 0; titles--)
    for (guint i = r->frames->len; i > 1; i--) /* the drawing's own title names nothing in it */
    {
      const Frame *frame = &g_array_index (r->frames, Frame, i - 1);
      if (frame->name != NULL && (frame->named || !titles) && (titles || i == r->frames->len))
        return frame->name;
    }
  return NULL;
}

static void
on_end (GMarkupParseContext *context, const char *name, gpointer user, GError **error)
{
  Reader *r = user;
  Frame *frame = top_frame (r);
  if (frame == NULL)
    return;
  if (frame->kind == KIND_SHAPE && !take_shape (r, frame, shape_name (r), error))
    return;
  g_array_set_size (r->frames, r->frames->len - 1);
}

static void
on_text (GMarkupParseContext *context, const char *text, gsize length, gpointer user, GError **error)
{
  Reader *r = user;
  Frame *frame = top_frame (r);
  if (frame == NULL || frame->kind != KIND_TITLE || r->frames->len < 2)
    return;
  g_autofree char *copy = g_strndup (text, length);
  set_name (&g_array_index (r->frames, Frame, r->frames->len - 2), copy, true);
}

/* ---- outlines to panels ---- */

static ModelPanel *
panel_of (ModelDocument *doc, const Outline *outline)
{
  const GeomPath *path = &outline->path;
  g_autofree ModelNode *nodes = g_new0 (ModelNode, path->count);
  for (size_t i = 0; i < path->count; i++)
  {
    const GeomCubic *before = &path->piece[(i + path->count - 1) % path->count], *c = &path->piece[i];
    GeomPoint in = arriving (before), out = leaving (c);
    double turn = fabs (atan2 (geom_cross (in, out), geom_dot (in, out))) * 180.0 / G_PI;
    nodes[i] = (ModelNode) { .kind = turn >= ENGINE_SVG_CORNER_DEG ? MODEL_NODE_CORNER : MODEL_NODE_SMOOTH,
                             .at = c->p[0],
                             .in = before->p[2],
                             .out = c->p[1] };
  }
  ModelPanel *panel
    = path->count <= MODEL_FILE_MAX_NODES ? model_shape_new_panel (doc, nodes, (guint)path->count) : NULL;
  if (panel == NULL)
    return NULL;
  g_free (panel->name);
  panel->name = model_document_free_panel_name (doc, outline->name != NULL ? outline->name : _ ("Panel"));
  return panel;
}

static ModelDocument *
document_of (Reader *r)
{
  ModelDocument *doc = model_document_new ();
  for (guint i = 0; i < r->outlines->len; i++)
  {
    const Outline *outline = g_ptr_array_index (r->outlines, i);
    if (r->has_cut && !outline->cut)
      continue;
    ModelPanel *panel = panel_of (doc, outline);
    if (panel != NULL)
      model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, panel }, -1);
    else
      r->report.empty++;
  }
  r->report.panels = doc->panels->len;
  return doc;
}

/* ---- the door ---- */

static void
put_syntax_words (GMarkupParseContext *context, GError **error, GError *why)
{
  if (why->domain == ENGINE_SVG_ERROR)
  {
    g_propagate_error (error, why);
    return;
  }
  int line, column;
  g_markup_parse_context_get_position (context, &line, &column);
  if (g_error_matches (why, G_MARKUP_ERROR, G_MARKUP_ERROR_EMPTY))
    g_set_error_literal (error, ENGINE_SVG_ERROR, ENGINE_SVG_ERROR_SYNTAX,
                         _ ("line 1, column 1: there is nothing in it"));
  else
    g_set_error (error, ENGINE_SVG_ERROR, ENGINE_SVG_ERROR_SYNTAX,
                 _ ("line %d, column %d: the text is damaged here, or not SVG"), line, column);
  g_error_free (why);
}

ModelDocument *
engine_svg_read (const char *data, gsize length, EngineSvgReport *report, GError **error)
{
  static const GMarkupParser parser = { .start_element = on_start, .end_element = on_end, .text = on_text };
  if (report != NULL)
    *report = (EngineSvgReport) { 0 };
  if (length > ENGINE_SVG_MOST_BYTES)
  {
    g_set_error_literal (error, ENGINE_SVG_ERROR, ENGINE_SVG_ERROR_TOO_MUCH,
                         _ ("there is more in this drawing than in any drawing of panels"));
    return NULL;
  }
  if (length >= 3 && memcmp (data, "\xef\xbb\xbf", 3) == 0)
  {
    data += 3;
    length -= 3;
  }
  /* With a 0 at its end, for looking ahead. */
  g_autofree char *text = g_strndup (data, length);
  Reader r = { .hand = { text, text + length, text, text },
               .frames = g_array_new (FALSE, FALSE, sizeof (Frame)),
               .outlines = g_ptr_array_new_with_free_func (outline_free) };
  g_array_set_clear_func (r.frames, frame_clear);
  GMarkupParseContext *context = g_markup_parse_context_new (&parser, G_MARKUP_TREAT_CDATA_AS_TEXT, &r, NULL);
  GError *why = NULL;
  ModelDocument *doc = NULL;
  if (g_markup_parse_context_parse (context, text, (gssize)length, &why)
      && g_markup_parse_context_end_parse (context, &why))
    doc = document_of (&r);
  else
    put_syntax_words (context, error, why);
  if (report != NULL)
    *report = r.report;
  g_markup_parse_context_free (context);
  g_array_unref (r.frames);
  g_ptr_array_unref (r.outlines);
  return doc;
}

static void
add_sentence (GString *to, const char *form, guint count)
{
  if (count == 0)
    return;
  if (to->len > 0)
    g_string_append_c (to, ' ');
  g_string_append_printf (to, form, count);
}

char *
engine_svg_report_words (const EngineSvgReport *r)
{
  GString *to = g_string_new (NULL);
  add_sentence (to, ngettext ("%u panel came in.", "%u panels came in.", r->panels), r->panels);
  if (r->panels == 0)
    g_string_append (to, _ ("There is no closed outline in this drawing."));
  add_sentence (to, ngettext ("%u open line was left out.", "%u open lines were left out.", r->open),
                r->open);
  add_sentence (to, ngettext ("%u hole was left out.", "%u holes were left out.", r->holes), r->holes);
  add_sentence (to,
                ngettext ("%u outline without an area was left out.",
                          "%u outlines without an area were left out.", r->empty),
                r->empty);
  add_sentence (
    to, ngettext ("%u text or picture was left out.", "%u texts or pictures were left out.", r->others),
    r->others);
  return g_string_free (to, FALSE);
}

bool
engine_svg_is_likely (const char *data, gsize length)
{
  return length > 4
         && (g_strstr_len (data, (gssize)MIN (length, 4096), "<svg") != NULL
             || g_strstr_len (data, (gssize)MIN (length, 4096), "<svg:svg") != NULL);
}
