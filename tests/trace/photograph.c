#include "trace/photograph.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

const char *const photograph_shape_names[SHAPE_COUNT]
  = { "gusset", "bracer", "front", "pouch", "ellipse", "leaf" };

Camera
photograph_camera (void)
{
  return (Camera) { .width = 4000,
                    .height = 3000,
                    .sheet_width_mm = 420.0,
                    .sheet_height_mm = 297.0,
                    .fill = 0.85,
                    .tilt_deg = 15.0,
                    .towards_deg = 250.0,
                    .roll_deg = 2.0,
                    .blur_px = 1.5,
                    .noise = 3.0,
                    .vignetting = 0.35,
                    .lamp = 0.15,
                    .seed = 1,
                    .paper = { 235.0, 233.0, 228.0 },
                    .table = { 120.0, 84.0, 56.0 } };
}

/* ---- the pinhole ---- */

typedef struct Vector
{
  double x, y, z;
} Vector;

static Vector
turned_about_z (Vector v, double rad)
{
  return (Vector) { cos (rad) * v.x - sin (rad) * v.y, sin (rad) * v.x + cos (rad) * v.y, v.z };
}

static Vector
turned_about_x (Vector v, double rad)
{
  return (Vector) { v.x, cos (rad) * v.y - sin (rad) * v.z, sin (rad) * v.y + cos (rad) * v.z };
}

GeomPoint
photograph_see (const Camera *c, GeomPoint mm)
{
  const double rad = acos (-1.0) / 180.0;
  /* A focal length of 1.1 picture widths: about what telephones have.  Distance so that the sheet fills its
   * part. */
  const double focal = 1.1 * c->width;
  const double distance
    = focal * MAX (c->sheet_width_mm / (c->fill * c->width), c->sheet_height_mm / (c->fill * c->height));
  Vector v = { mm.x - c->sheet_width_mm / 2.0, mm.y - c->sheet_height_mm / 2.0, 0.0 };
  v = turned_about_z (v, -c->towards_deg * rad);
  v = turned_about_x (v, c->tilt_deg * rad);
  v = turned_about_z (v, (c->towards_deg + c->roll_deg) * rad);
  const double depth = distance - v.z;
  const double px = focal * v.x / depth, py = -focal * v.y / depth;
  const double half = hypot (c->width, c->height) / 2.0;
  const double bend = 1.0 + c->lens_k * (px * px + py * py) / (half * half);
  return geom_point ((c->width - 1) / 2.0 + px * bend, (c->height - 1) / 2.0 + py * bend);
}

void
photograph_corners (const Camera *c, GeomPoint corner[4])
{
  corner[0] = photograph_see (c, geom_point (0.0, c->sheet_height_mm));
  corner[1] = photograph_see (c, geom_point (c->sheet_width_mm, c->sheet_height_mm));
  corner[2] = photograph_see (c, geom_point (c->sheet_width_mm, 0.0));
  corner[3] = photograph_see (c, geom_point (0.0, 0.0));
}

/* ---- areas: each directed chord adds, to the pixels of its rows, the signed area to its right ---- */

typedef struct Cover
{
  int width, height;
  float *area; /* after summing up along the rows: the covered part */
} Cover;

static void
add_in_row (Cover *cover, int row, double x0, double x1, double dy)
{
  if (row < 0 || row >= cover->height || dy == 0.0)
    return;
  float *line = cover->area + (size_t)row * (size_t)(cover->width + 2);
  const double left = CLAMP (MIN (x0, x1), 0.0, (double)cover->width),
               right = CLAMP (MAX (x0, x1), 0.0, (double)cover->width);
  const int first = (int)left, last = MIN ((int)right, cover->width - 1);
  if (first >= last)
  {
    const int at = MIN (first, cover->width - 1);
    const double beyond = at + 1.0 - 0.5 * (left + right);
    line[at] += (float)(dy * beyond);
    line[at + 1] += (float)(dy * (1.0 - beyond));
    return;
  }
  const double slope = dy / (right - left);
  double given = 0.0;
  for (int i = first; i <= last; i++)
  {
    /* The part of this chord left of the pixel's right side covers on the average half of its width there. */
    const double a = MAX (left, (double)i), b = MIN (right, i + 1.0);
    const double part = slope * (b - a), beyond = i + 1.0 - 0.5 * (a + b);
    line[i] += (float)(part * beyond);
    line[i + 1] += (float)(part * (1.0 - beyond));
    given += part;
  }
  line[last + 1] += (float)(dy - given);
}

static void
add_chord (Cover *cover, GeomPoint a, GeomPoint b)
{
  const double sign = a.y < b.y ? 1.0 : -1.0;
  if (a.y > b.y)
  {
    const GeomPoint keep = a;
    a = b;
    b = keep;
  }
  for (int row = MAX ((int)floor (a.y), 0); row < cover->height && row < b.y; row++)
  {
    const double y0 = MAX (a.y, (double)row), y1 = MIN (b.y, row + 1.0);
    if (!(y1 > y0))
      continue;
    const double x0 = a.x + (b.x - a.x) * (y0 - a.y) / (b.y - a.y),
                 x1 = a.x + (b.x - a.x) * (y1 - a.y) / (b.y - a.y);
    add_in_row (cover, row, x0, x1, sign * (y1 - y0));
  }
}

typedef struct Walk
{
  Cover *cover;
  const Camera *camera;
  GeomPoint first, last, shift;
  bool begun;
} Walk;

static void
walk_to (GeomPoint mm, void *user)
{
  Walk *walk = user;
  GeomPoint p = photograph_see (walk->camera, geom_add (mm, walk->shift));
  p = geom_point (p.x + 0.5, p.y + 0.5);
  if (walk->begun)
    add_chord (walk->cover, walk->last, p);
  else
    walk->first = p;
  walk->begun = true;
  walk->last = p;
}

/* Long straight sides are cut up, for the lens bends them.  Where a piece does not begin at the end of the
 * one before, another loop begins. */
static void
walk_path (const GeomPath *path, Walk *walk)
{
  for (size_t i = 0; i < path->count; i++)
  {
    if (i > 0 && geom_distance (path->piece[i].p[0], path->piece[i - 1].p[3]) > 1e-6)
    {
      walk_to (path->piece[i - 1].p[3], walk);
      add_chord (walk->cover, walk->last, walk->first);
      walk->begun = false;
    }
    const int steps = (int)CLAMP (geom_distance (path->piece[i].p[0], path->piece[i].p[3]) * 4.0, 8.0, 400.0);
    for (int k = 0; k < steps; k++)
      walk_to (geom_cubic_at (&path->piece[i], (double)k / steps), walk);
  }
  add_chord (walk->cover, walk->last, walk->first);
}

static void
fill (Cover *cover, const Camera *camera, const GeomPath *path, GeomPoint shift)
{
  memset (cover->area, 0, sizeof (float) * (size_t)(cover->width + 2) * (size_t)cover->height);
  Walk walk = { .cover = cover, .camera = camera, .shift = shift };
  walk_path (path, &walk);
  for (int y = 0; y < cover->height; y++)
  {
    float *line = cover->area + (size_t)y * (size_t)(cover->width + 2);
    float sum = 0.0f;
    for (int x = 0; x < cover->width; x++)
    {
      sum += line[x];
      line[x] = CLAMP (fabsf (sum), 0.0f, 1.0f);
    }
  }
}

/* ---- light ---- */

static double
to_light (double number)
{
  return pow (MAX (number, 0.0) / 255.0, 2.2);
}

static double
to_number (double light)
{
  return 255.0 * pow (MAX (light, 0.0), 1.0 / 2.2);
}

static double
into (const Camera *c, double number)
{
  return c->mix_numbers ? number / 255.0 : to_light (number);
}

static double
factor (const Camera *c, double light)
{
  return c->mix_numbers ? pow (light, 1.0 / 2.2) : light;
}

typedef struct Random
{
  guint64 state;
} Random;

static guint32
next_bits (Random *random)
{
  random->state = random->state * 6364136223846793005u + 1442695040888963407u;
  return (guint32)(random->state >> 33);
}

/* Sum of four even numbers: near enough to a bell, and quick. */
static float
bell (Random *random)
{
  float sum = 0.0f;
  for (int i = 0; i < 4; i++)
    sum += (float)next_bits (random) * (1.0f / 2147483648.0f);
  return (sum - 2.0f) * 1.7320508f;
}

/* sin (STEP i + BEND sin (PACE j)) for every column i and row j (or the other way round), from four tables: a
 * sine of a sum is made of products, and twelve million pixels are many. */
typedef struct Wave
{
  float *sine, *cosine;           /* of STEP i */
  float *sine_bend, *cosine_bend; /* of BEND sin (PACE j) */
} Wave;

static Wave
wave_new (int count, double step, int bends, double pace, double bend)
{
  Wave wave = { g_new (float, count), g_new (float, count), g_new (float, bends), g_new (float, bends) };
  for (int i = 0; i < count; i++)
  {
    wave.sine[i] = (float)sin (step * i);
    wave.cosine[i] = (float)cos (step * i);
  }
  for (int j = 0; j < bends; j++)
  {
    wave.sine_bend[j] = (float)sin (bend * sin (pace * j));
    wave.cosine_bend[j] = (float)cos (bend * sin (pace * j));
  }
  return wave;
}

static inline float
wave_at (const Wave *wave, int i, int j)
{
  return wave->sine[i] * wave->cosine_bend[j] + wave->cosine[i] * wave->sine_bend[j];
}

static void
wave_clear (Wave *wave)
{
  g_free (wave->sine);
  g_free (wave->cosine);
  g_free (wave->sine_bend);
  g_free (wave->cosine_bend);
}

/* The table: years along, grain across. */
static void
lay_wood (float *plane[3], const Camera *c)
{
  const float full[3]
    = { (float)into (c, c->table.r), (float)into (c, c->table.g), (float)into (c, c->table.b) };
  Wave years = wave_new (c->height, 0.031, c->width, 0.0023, 2.0),
       grain = wave_new (c->height, 0.17, c->width, 0.004, 3.0);
  for (int y = 0; y < c->height; y++)
    for (int x = 0; x < c->width; x++)
    {
      const float w = 1.0f + 0.18f * wave_at (&years, y, x) + 0.08f * wave_at (&grain, y, x);
      for (int k = 0; k < 3; k++)
        plane[k][(size_t)y * (size_t)c->width + (size_t)x] = full[k] * w;
    }
  wave_clear (&years);
  wave_clear (&grain);
}

static void
paint (float *plane[3], const Camera *c, const Cover *cover, Colour colour, double grain)
{
  const float full[3] = { (float)into (c, colour.r), (float)into (c, colour.g), (float)into (c, colour.b) };
  /* Leather: clouds and pores. */
  Wave along = wave_new (c->width, 0.021, c->height, 0.017, 1.3),
       across = wave_new (c->height, 0.026, c->width, 0.013, 1.1),
       pores = wave_new (c->width, 0.31, 1, 0.0, 0.0), rows = wave_new (c->height, 0.27, 1, 0.0, 0.0);
  for (int y = 0; y < c->height; y++)
    for (int x = 0; x < c->width; x++)
    {
      const float part = cover->area[(size_t)y * (size_t)(cover->width + 2) + (size_t)x];
      if (part <= 0.0f)
        continue;
      const float f = 1.0f
                      + (float)grain
                          * (wave_at (&along, x, y) * wave_at (&across, y, x)
                             + 0.4f * wave_at (&pores, x, 0) * wave_at (&rows, y, 0));
      for (int k = 0; k < 3; k++)
      {
        float *at = &plane[k][(size_t)y * (size_t)c->width + (size_t)x];
        *at += part * (full[k] * f - *at);
      }
    }
  wave_clear (&along);
  wave_clear (&across);
  wave_clear (&pores);
  wave_clear (&rows);
}

/* Row by row, for the neighbours above and below lie far apart in memory.  Beyond the ends the last one goes
 * on. */
static void
mix_rows (const float *in, float *out, int width, int height, const float *kernel, int reach)
{
  for (int y = 0; y < height; y++)
  {
    float *to = out + (size_t)y * (size_t)width;
    const float *here = in + (size_t)y * (size_t)width;
    for (int x = 0; x < width; x++)
      to[x] = kernel[0] * here[x];
    for (int k = 1; k <= reach; k++)
    {
      const float *above = in + (size_t)MAX (y - k, 0) * (size_t)width,
                  *below = in + (size_t)MIN (y + k, height - 1) * (size_t)width;
      for (int x = 0; x < width; x++)
        to[x] += kernel[k] * (above[x] + below[x]);
    }
  }
}

static void
mix_in_row (float *row, float *padded, int width, const float *kernel, int reach)
{
  for (int i = 0; i < width + 2 * reach; i++)
    padded[i] = row[CLAMP (i - reach, 0, width - 1)];
  for (int x = 0; x < width; x++)
    row[x] = kernel[0] * padded[x + reach];
  for (int k = 1; k <= reach; k++)
    for (int x = 0; x < width; x++)
      row[x] += kernel[k] * (padded[x + reach - k] + padded[x + reach + k]);
}

static void
blur (float **plane, int width, int height, double spread)
{
  if (!(spread > 0.0))
    return;
  const int reach = (int)ceil (3.5 * spread);
  float *kernel = g_new (float, reach + 1), *padded = g_new (float, width + 2 * reach);
  float *out = g_new (float, (gsize)width *(gsize)height);
  double sum = 0.0;
  for (int i = -reach; i <= reach; i++)
    sum += exp (-0.5 * i * i / (spread * spread));
  for (int i = 0; i <= reach; i++)
    kernel[i] = (float)(exp (-0.5 * i * i / (spread * spread)) / sum);
  for (int y = 0; y < height; y++)
    mix_in_row (*plane + (size_t)y * (size_t)width, padded, width, kernel, reach);
  mix_rows (*plane, out, width, height, kernel, reach);
  g_free (*plane);
  *plane = out;
  g_free (kernel);
  g_free (padded);
}

static void
cast_shadow (float *plane[3], const Camera *c, const Cover *cover)
{
  const size_t count = (size_t)c->width * (size_t)c->height;
  float *dark = g_new (float, count);
  for (int y = 0; y < c->height; y++)
    memcpy (dark + (size_t)y * (size_t)c->width, cover->area + (size_t)y * (size_t)(cover->width + 2),
            sizeof (float) * (size_t)c->width);
  blur (&dark, c->width, c->height, 12.0);
  for (size_t i = 0; i < count; i++)
    for (int k = 0; k < 3; k++)
      plane[k][i] *= (float)factor (c, 1.0 - c->shadow * (double)dark[i]);
  g_free (dark);
}

static void
develop (float *plane[3], const Camera *c, TracePhoto *photo)
{
  Random random = { c->seed * 7919u + 17u };
  const double half = hypot (c->width, c->height) / 2.0;
  float *exact = g_new (float, 65536);
  for (int i = 0; i < 65536; i++)
    exact[i] = (float)(c->mix_numbers ? i / 65535.0 * 255.0 : to_number (i / 65535.0));
  for (int y = 0; y < c->height; y++)
    for (int x = 0; x < c->width; x++)
    {
      const double dx = (x - c->width / 2.0) / half, dy = (y - c->height / 2.0) / half,
                   r2 = dx * dx + dy * dy;
      const double light
        = (1.0 - c->vignetting * r2 * (1.3 - 0.3 * r2)) * (1.0 + c->lamp * ((double)x / c->width - 0.5));
      const float f = (float)factor (c, light);
      for (int k = 0; k < 3; k++)
      {
        const float v = plane[k][(size_t)y * (size_t)c->width + (size_t)x] * f;
        const float n = exact[(int)(CLAMP (v, 0.0f, 1.0f) * 65535.0f)] + (float)c->noise * bell (&random);
        photo->rgb[(size_t)y * photo->stride + 3 * (size_t)x + (size_t)k]
          = (guint8)(CLAMP (n, 0.0f, 255.0f) + 0.5f);
      }
    }
  g_free (exact);
}

TracePhoto *
photograph_take (const Camera *c, const Thing *things, int count)
{
  TracePhoto *photo = trace_photo_new (c->width, c->height);
  float *plane[3];
  for (int k = 0; k < 3; k++)
    plane[k] = g_new (float, (gsize)c->width *(gsize)c->height);
  lay_wood (plane, c);
  Cover cover = { c->width, c->height, g_new (float, (gsize)(c->width + 2) * (gsize)c->height) };
  GeomPath sheet;
  geom_path_init (&sheet);
  const GeomPoint at[4] = { { 0.0, 0.0 },
                            { c->sheet_width_mm, 0.0 },
                            { c->sheet_width_mm, c->sheet_height_mm },
                            { 0.0, c->sheet_height_mm } };
  for (int i = 0; i < 4; i++)
    geom_path_append_line (&sheet, at[i], at[(i + 1) % 4]);
  fill (&cover, c, &sheet, geom_point (0.0, 0.0));
  paint (plane, c, &cover, c->paper, 0.0);
  geom_path_clear (&sheet);
  for (int i = 0; c->shadow > 0.0 && i < count; i++)
  {
    fill (&cover, c, things[i].outline, geom_point (1.5, -1.5));
    cast_shadow (plane, c, &cover);
  }
  for (int i = 0; i < count; i++)
  {
    fill (&cover, c, things[i].outline, geom_point (0.0, 0.0));
    paint (plane, c, &cover, things[i].colour, things[i].grain);
  }
  g_free (cover.area);
  for (int k = 0; k < 3; k++)
    blur (&plane[k], c->width, c->height, c->blur_px);
  develop (plane, c, photo);
  for (int k = 0; k < 3; k++)
    g_free (plane[k]);
  return photo;
}

void
photograph_write_ppm (const TracePhoto *photo, const char *path)
{
  FILE *file = fopen (path, "wb");
  g_assert_nonnull (file);
  fprintf (file, "P6\n%d %d\n255\n", photo->width, photo->height);
  for (int y = 0; y < photo->height; y++)
    g_assert_cmpuint (fwrite (photo->rgb + (size_t)y * photo->stride, 3, (size_t)photo->width, file), ==,
                      (size_t)photo->width);
  g_assert_cmpint (fclose (file), ==, 0);
}

/* ---- shapes ---- */

void
photograph_arc (GeomPath *path, GeomPoint centre, double radius, double from_rad, double to_rad)
{
  /* Quarter turns at most; the usual handles miss the circle by 0.03 % of the radius at a quarter, less
   * below. */
  const int count = (int)ceil (fabs (to_rad - from_rad) / 0.4);
  for (int i = 0; i < count; i++)
  {
    const double a = from_rad + (to_rad - from_rad) * i / count,
                 b = from_rad + (to_rad - from_rad) * (i + 1) / count;
    const double h = 4.0 / 3.0 * tan ((b - a) / 4.0) * radius;
    const GeomPoint p = { centre.x + radius * cos (a), centre.y + radius * sin (a) };
    const GeomPoint q = { centre.x + radius * cos (b), centre.y + radius * sin (b) };
    const GeomCubic c
      = { { p, { p.x - h * sin (a), p.y + h * cos (a) }, { q.x + h * sin (b), q.y - h * cos (b) }, q } };
    geom_path_append (path, &c);
  }
}

static void
straight_sides (GeomPath *path, const GeomPoint *at, int count, GeomPoint *corner)
{
  for (int i = 0; i < count; i++)
  {
    geom_path_append_line (path, at[i], at[(i + 1) % count]);
    corner[i] = at[i];
  }
}

static int
draw (Shape shape, GeomPath *path, GeomPoint corner[8])
{
  const double pi = acos (-1.0);
  switch (shape)
  {
  case SHAPE_GUSSET:
  {
    const GeomPoint at[5]
      = { { 0.0, 0.0 }, { 200.0, 10.0 }, { 240.0, 120.0 }, { 110.0, 190.0 }, { -20.0, 110.0 } };
    straight_sides (path, at, 5, corner);
    return 5;
  }
  case SHAPE_BRACER:
  {
    const double r0 = 300.0, r1 = 480.0, a = pi / 2.0 - 0.33, b = pi / 2.0 + 0.33;
    const GeomPoint c[4] = { { r0 * cos (a), r0 * sin (a) },
                             { r1 * cos (a), r1 * sin (a) },
                             { r1 * cos (b), r1 * sin (b) },
                             { r0 * cos (b), r0 * sin (b) } };
    geom_path_append_line (path, c[0], c[1]);
    photograph_arc (path, geom_point (0.0, 0.0), r1, a, b);
    geom_path_append_line (path, c[2], c[3]);
    photograph_arc (path, geom_point (0.0, 0.0), r0, b, a);
    memcpy (corner, c, sizeof c);
    return 4;
  }
  case SHAPE_FRONT:
  {
    const GeomPoint c[6]
      = { { 0.0, 0.0 }, { 190.0, 6.0 }, { 200.0, 130.0 }, { 150.0, 250.0 }, { 70.0, 262.0 }, { 0.0, 200.0 } };
    geom_path_append_line (path, c[0], c[1]);
    geom_path_append_line (path, c[1], c[2]);
    const GeomCubic armhole = { { c[2], { 148.0, 138.0 }, { 132.0, 190.0 }, c[3] } };
    geom_path_append (path, &armhole);
    geom_path_append_line (path, c[3], c[4]);
    const GeomCubic neck = { { c[4], { 62.0, 222.0 }, { 40.0, 201.0 }, c[5] } };
    geom_path_append (path, &neck);
    geom_path_append_line (path, c[5], c[0]);
    memcpy (corner, c, sizeof c);
    return 6;
  }
  case SHAPE_POUCH:
  {
    const double w = 260.0, h = 170.0, r = 26.0;
    geom_path_append_line (path, geom_point (r, 0.0), geom_point (w - r, 0.0));
    photograph_arc (path, geom_point (w - r, r), r, -pi / 2.0, 0.0);
    geom_path_append_line (path, geom_point (w, r), geom_point (w, h - r));
    photograph_arc (path, geom_point (w - r, h - r), r, 0.0, pi / 2.0);
    geom_path_append_line (path, geom_point (w - r, h), geom_point (r, h));
    photograph_arc (path, geom_point (r, h - r), r, pi / 2.0, pi);
    geom_path_append_line (path, geom_point (0.0, h - r), geom_point (0.0, r));
    photograph_arc (path, geom_point (r, r), r, pi, 1.5 * pi);
    return 0;
  }
  case SHAPE_ELLIPSE:
    photograph_arc (path, geom_point (0.0, 0.0), 100.0, 0.0, 2.0 * pi);
    geom_path_map (path, geom_affine_scale (geom_point (0.0, 0.0), 1.6, 1.0));
    return 0;
  case SHAPE_LEAF:
  {
    const GeomPoint a = { 0.0, 0.0 }, b = { 300.0, 0.0 };
    const GeomCubic under = { { a, { 80.0, -90.0 }, { 220.0, -90.0 }, b } },
                    over = { { b, { 220.0, 110.0 }, { 80.0, 110.0 }, a } };
    geom_path_append (path, &under);
    geom_path_append (path, &over);
    corner[0] = a;
    corner[1] = b;
    return 2;
  }
  case SHAPE_COUNT:
    break;
  }
  g_assert_not_reached ();
}

int
photograph_shape (Shape shape,
                  double perimeter_mm,
                  double width_mm,
                  double height_mm,
                  double turn_deg,
                  GeomPath *out,
                  GeomPoint corner[8])
{
  geom_path_init (out);
  const int count = draw (shape, out, corner);
  out->closed = true;
  const double scale = perimeter_mm / geom_path_length (out, 1e-6);
  GeomAffine map
    = geom_affine_after (geom_affine_turn (geom_point (0.0, 0.0), turn_deg * acos (-1.0) / 180.0),
                         geom_affine_scale (geom_point (0.0, 0.0), scale, scale));
  GeomPath trial;
  geom_path_init (&trial);
  geom_path_copy (&trial, out);
  geom_path_map (&trial, map);
  const GeomBox box = geom_path_box (&trial);
  geom_path_clear (&trial);
  map = geom_affine_after (
    geom_affine_move ((width_mm - box.x0 - box.x1) / 2.0, (height_mm - box.y0 - box.y1) / 2.0), map);
  geom_path_map (out, map);
  for (int i = 0; i < count; i++)
    corner[i] = geom_affine_apply (map, corner[i]);
  return count;
}
