/* Marks in a photo: dark patches shaped like a ring, read, measured, and held against one another. */
#include "trace/mat.h"

#include <glib/gi18n.h>
#include <string.h>

/* Patches are looked for on a grey picture of so many pixels at most. */
#define GREY_PIXELS 3.0e6
/* Darker than this part of the light round about is dark; round about is this part of the picture's longer
 * side. */
#define DARK_PART 0.72
#define AROUND_PART (1.0 / 14.0)
/* A ring's patch may have so much less or more area than its spread asks for. */
#define LEAST_AREA 0.6
#define MOST_AREA 1.6
#define LEAST_PATCH_PX 40
/* Longer against their width are none: the sheet would be seen at 15 degrees. */
#define MOST_OBLONG 4.0
#define RAYS 72
#define SAMPLES_A_FIELD 12
#define ROUND (TRACE_MARK_FIELDS * SAMPLES_A_FIELD)
/* A field must lie so clearly on one side of grey, as a part of the step from black to white. */
#define LEAST_CONTRAST 0.14
#define TRIALS 400
/* Marks may be so far from where four others put them: a lens bends the sheet by as much. */
#define LOOSE_MM 4.0
/* And so far once the lens is known: more is a mark that is not flat or misread. */
#define TIGHT_MM 0.8
#define LEAST_MARKS 5
#define LENS_MARKS 10
#define LENS_SIDES 3

typedef struct Grey
{
  int width, height, factor; /* FACTOR photo pixels a side */
  guint8 *at;
} Grey;

/* Of one mark in the photo: its middle, and the map from the mark's mm to px about it, but for a turn. */
typedef struct Ring
{
  GeomPoint centre;
  double xx, xy, yy;
} Ring;

typedef struct Found
{
  GeomPoint px;
  guint word;
} Found;

/* ---- patches ---- */

static double
grey_of (const guint8 *p)
{
  return (p[0] + 2 * p[1] + p[2]) / 4.0;
}

static Grey
make_grey (const TracePhoto *photo)
{
  Grey grey = { .factor = (int)MAX (ceil (sqrt ((double)photo->width * photo->height / GREY_PIXELS)), 1.0) };
  grey.width = photo->width / grey.factor;
  grey.height = photo->height / grey.factor;
  grey.at = g_try_malloc ((gsize)grey.width * (gsize)grey.height);
  if (grey.at == NULL)
    return grey;
  g_autofree guint *sum = g_new (guint, grey.width);
  for (int y = 0; y < grey.height; y++)
  {
    memset (sum, 0, (gsize)grey.width * sizeof *sum);
    for (int j = 0; j < grey.factor; j++)
    {
      const guint8 *p = photo->rgb + (gsize)(y * grey.factor + j) * photo->stride;
      for (int x = 0; x < grey.width; x++)
        for (int i = 0; i < grey.factor; i++, p += 3)
          sum[x] += (guint)p[0] + 2u * p[1] + p[2];
    }
    for (int x = 0; x < grey.width; x++)
      grey.at[(gsize)y * (gsize)grey.width + (gsize)x]
        = (guint8)(sum[x] / (4u * (guint)(grey.factor * grey.factor)));
  }
  return grey;
}

/* 1 where the picture is dark against its surroundings: means over a square, from running sums. */
static guint8 *
make_dark (const Grey *grey)
{
  const int w = grey->width, h = grey->height, reach = MAX ((int)(AROUND_PART * MAX (w, h) / 2.0), 8);
  guint8 *dark = g_try_malloc0 ((gsize)w * (gsize)h);
  g_autofree guint32 *sum = g_try_new0 (guint32, (gsize)(w + 1) * (gsize)(h + 1));
  if (dark == NULL || sum == NULL)
    return dark;
  for (int y = 0; y < h; y++)
  {
    guint32 row = 0;
    for (int x = 0; x < w; x++)
    {
      row += grey->at[(gsize)y * (gsize)w + (gsize)x];
      sum[(gsize)(y + 1) * (gsize)(w + 1) + (gsize)x + 1]
        = sum[(gsize)y * (gsize)(w + 1) + (gsize)x + 1] + row;
    }
  }
  for (int y = 0; y < h; y++)
  {
    const int y0 = MAX (y - reach, 0), y1 = MIN (y + reach + 1, h);
    const guint32 *top = sum + (gsize)y0 * (gsize)(w + 1), *bottom = sum + (gsize)y1 * (gsize)(w + 1);
    for (int x = 0; x < w; x++)
    {
      const int x0 = MAX (x - reach, 0), x1 = MIN (x + reach + 1, w);
      const double mean
        = (double)(bottom[x1] - bottom[x0] - top[x1] + top[x0]) / ((double)(x1 - x0) * (y1 - y0));
      dark[(gsize)y * (gsize)w + (gsize)x] = grey->at[(gsize)y * (gsize)w + (gsize)x] < DARK_PART * mean;
    }
  }
  return dark;
}

typedef struct Patch
{
  double count, x, y, xx, xy, yy; /* sums */
} Patch;

static Patch
collect (guint8 *dark, const Grey *grey, int start, GArray *stack)
{
  const int w = grey->width, h = grey->height;
  const double x0 = start % w, y0 = start / w;
  Patch patch;
  memset (&patch, 0, sizeof patch);
  g_array_set_size (stack, 0);
  g_array_append_val (stack, start);
  dark[start] = 0;
  while (stack->len > 0)
  {
    const int at = g_array_index (stack, int, stack->len - 1), x = at % w, y = at / w;
    g_array_set_size (stack, stack->len - 1);
    const double dx = x - x0, dy = y - y0;
    patch.count += 1.0;
    patch.x += dx;
    patch.y += dy;
    patch.xx += dx * dx;
    patch.xy += dx * dy;
    patch.yy += dy * dy;
    const int next[4]
      = { x > 0 ? at - 1 : -1, x + 1 < w ? at + 1 : -1, y > 0 ? at - w : -1, y + 1 < h ? at + w : -1 };
    for (int i = 0; i < 4; i++)
      if (next[i] >= 0 && dark[next[i]] != 0)
      {
        dark[next[i]] = 0;
        g_array_append_val (stack, next[i]);
      }
  }
  patch.x /= patch.count;
  patch.y /= patch.count;
  patch.xx = patch.xx / patch.count - patch.x * patch.x;
  patch.xy = patch.xy / patch.count - patch.x * patch.y;
  patch.yy = patch.yy / patch.count - patch.y * patch.y;
  patch.x += x0;
  patch.y += y0;
  return patch;
}

/* A ring between radii a and b has the variance (a^2 + b^2) / 4 along each axis; seen at a slant, the root of
 * its covariance is the map that made it so. */
static bool
is_ring (const Patch *patch, const Grey *grey, Ring *ring)
{
  if (patch->count < LEAST_PATCH_PX)
    return false;
  const double a = TRACE_MARK_RING_INNER_MM, b = TRACE_MARK_RING_MM, unit = (a * a + b * b) / 4.0;
  const double xx = patch->xx / unit, xy = patch->xy / unit, yy = patch->yy / unit;
  const double det = xx * yy - xy * xy, trace = xx + yy;
  if (!(det > 0.0) || trace * trace > MOST_OBLONG * MOST_OBLONG * 2.0 * det)
    return false;
  const double wanted = G_PI * (b * b - a * a) * sqrt (det);
  if (patch->count < LEAST_AREA * wanted || patch->count > MOST_AREA * wanted)
    return false;
  /* The square root of a symmetric 2 x 2 matrix, in closed form. */
  const double s = sqrt (det), t = sqrt (trace + 2.0 * s);
  ring->xx = (xx + s) / t * grey->factor;
  ring->xy = xy / t * grey->factor;
  ring->yy = (yy + s) / t * grey->factor;
  ring->centre = geom_point ((patch->x + 0.5) * grey->factor - 0.5, (patch->y + 0.5) * grey->factor - 0.5);
  return true;
}

/* ---- one mark ---- */

static double
photo_at (const TracePhoto *photo, GeomPoint p)
{
  const double x = CLAMP (p.x, 0.0, photo->width - 1.001), y = CLAMP (p.y, 0.0, photo->height - 1.001);
  const int i = (int)x, j = (int)y;
  const double fx = x - i, fy = y - j;
  const guint8 *a = photo->rgb + (gsize)j * photo->stride + 3 * (gsize)i, *b = a + photo->stride;
  return (1.0 - fy) * ((1.0 - fx) * grey_of (a) + fx * grey_of (a + 3))
         + fy * ((1.0 - fx) * grey_of (b) + fx * grey_of (b + 3));
}

/* Counter-clockwise as seen: y is down in the photo. */
static GeomPoint
on_ring (const Ring *ring, double radius_mm, double turn)
{
  const double x = radius_mm * cos (2.0 * G_PI * turn), y = -radius_mm * sin (2.0 * G_PI * turn);
  return geom_point (ring->centre.x + ring->xx * x + ring->xy * y,
                     ring->centre.y + ring->xy * x + ring->yy * y);
}

static double
mean_round (const TracePhoto *photo, const Ring *ring, double radius_mm)
{
  double sum = 0.0;
  for (int i = 0; i < RAYS; i++)
    sum += photo_at (photo, on_ring (ring, radius_mm, (double)i / RAYS)) / RAYS;
  return sum;
}

/* Middle of the area inside a closed polygon; (NAN, NAN) without one. */
static GeomPoint
middle_of (const GeomPoint *at, int count)
{
  GeomPoint sum = { 0.0, 0.0 };
  double area = 0.0;
  for (int i = 0; i < count; i++)
  {
    const GeomPoint a = geom_sub (at[i], at[0]), b = geom_sub (at[(i + 1) % count], at[0]);
    const double cross = geom_cross (a, b);
    sum = geom_along (sum, cross / 3.0, geom_add (a, b));
    area += cross;
  }
  return geom_along (at[0], 1.0 / area, sum);
}

/* The middle of what the ring's outer rim encloses.  False if that rim is not there all round. */
static bool
measure_centre (const TracePhoto *photo, Ring *ring, double black, double white)
{
  const double level = 0.5 * (black + white), inner = 0.5 * (TRACE_MARK_RING_MM + TRACE_MARK_RING_INNER_MM);
  const double outer = TRACE_MARK_RING_MM + 1.4;
  for (int round = 0; round < 3; round++)
  {
    GeomPoint rim[RAYS];
    for (int i = 0; i < RAYS; i++)
    {
      const double turn = (double)i / RAYS;
      double last = photo_at (photo, on_ring (ring, inner, turn)), at = -1.0;
      for (int k = 1; at < 0.0 && k <= 40; k++)
      {
        const double now = photo_at (photo, on_ring (ring, inner + (outer - inner) * k / 40.0, turn));
        if (last < level && now >= level)
          at = inner + (outer - inner) * (k - 1 + (level - last) / (now - last)) / 40.0;
        last = now;
      }
      if (at < 0.0)
        return false;
      rim[i] = on_ring (ring, at, turn);
    }
    const GeomPoint centre = middle_of (rim, RAYS);
    if (!isfinite (centre.x) || !isfinite (centre.y))
      return false;
    ring->centre = centre;
  }
  return true;
}

/* The least of a word's turns. */
static guint
settled (guint word)
{
  guint least = word;
  for (int i = 0; i < TRACE_MARK_FIELDS; i++)
  {
    word = ((word << 1) | (word >> (TRACE_MARK_FIELDS - 1))) & ((1u << TRACE_MARK_FIELDS) - 1u);
    least = MIN (least, word);
  }
  return least;
}

static bool
read_fields (const TracePhoto *photo, const Ring *ring, double black, double white, guint *word)
{
  const double middle = 0.5 * (TRACE_MARK_FIELDS_MM + TRACE_MARK_FIELDS_INNER_MM);
  double light[ROUND], best = -1.0, clearest = 0.0;
  for (int i = 0; i < ROUND; i++)
  {
    light[i] = 0.0;
    for (int k = -1; k <= 1; k++)
      light[i] += photo_at (photo, on_ring (ring, middle + 0.5 * k, (double)i / ROUND)) / 3.0;
    light[i] = (light[i] - 0.5 * (black + white)) / (white - black);
  }
  for (int shift = 0; shift < SAMPLES_A_FIELD; shift++)
  {
    double sum = 0.0, least = 1.0;
    guint bits = 0;
    for (int f = 0; f < TRACE_MARK_FIELDS; f++)
    {
      double mean = 0.0;
      for (int i = 2; i < SAMPLES_A_FIELD - 2; i++)
        mean += light[(f * SAMPLES_A_FIELD + shift + i) % ROUND] / (SAMPLES_A_FIELD - 4);
      bits |= mean < 0.0 ? 1u << f : 0u;
      sum += fabs (mean);
      least = MIN (least, fabs (mean));
    }
    if (sum <= best)
      continue;
    best = sum;
    clearest = least;
    *word = settled (bits);
  }
  return clearest >= LEAST_CONTRAST;
}

static bool
read_mark (const TracePhoto *photo, Ring *ring, Found *found)
{
  const double black = mean_round (photo, ring, 0.5 * (TRACE_MARK_RING_MM + TRACE_MARK_RING_INNER_MM));
  const double white = mean_round (photo, ring, TRACE_MARK_RING_MM + 1.2);
  if (white - black < 30.0 || !measure_centre (photo, ring, black, white)
      || !read_fields (photo, ring, black, white, &found->word))
    return false;
  found->px = ring->centre;
  return true;
}

static GArray *
find_marks (const TracePhoto *photo)
{
  GArray *marks = g_array_new (FALSE, FALSE, sizeof (Found));
  const Grey grey = make_grey (photo);
  guint8 *dark = grey.at != NULL ? make_dark (&grey) : NULL;
  GArray *stack = g_array_new (FALSE, FALSE, sizeof (int));
  for (int i = 0; dark != NULL && i < grey.width * grey.height; i++)
  {
    if (dark[i] == 0)
      continue;
    const Patch patch = collect (dark, &grey, i, stack);
    Ring ring;
    Found found;
    if (is_ring (&patch, &grey, &ring) && read_mark (photo, &ring, &found))
      g_array_append_val (marks, found);
  }
  g_array_free (stack, TRUE);
  g_free (dark);
  g_free (grey.at);
  return marks;
}

/* ---- all of them together ---- */

typedef struct Pairs
{
  int count;
  GeomPoint plane[TRACE_MAT_MOST_MARKS], picture[TRACE_MAT_MOST_MARKS];
} Pairs;

static Pairs
pairs_of (const TraceMat *mat, const GArray *found)
{
  Pairs pairs = { 0 };
  for (int m = 0; m < mat->count; m++)
    for (guint i = 0; i < found->len; i++)
    {
      const Found *f = &g_array_index (found, Found, i);
      if (f->word != mat->mark[m].fields || pairs.count >= TRACE_MAT_MOST_MARKS)
        continue;
      pairs.plane[pairs.count] = mat->mark[m].centre;
      pairs.picture[pairs.count++] = f->px;
    }
  return pairs;
}

/* The middle of a round mark seen at a slant is not what the middle of its picture shows. */
static GeomPoint
slant_shift (const TraceView *view, GeomPoint centre_mm)
{
  GeomPoint rim[RAYS];
  for (int i = 0; i < RAYS; i++)
  {
    const double a = 2.0 * G_PI * i / RAYS;
    rim[i] = trace_view_to_picture (view, geom_point (centre_mm.x + TRACE_MARK_RING_MM * cos (a),
                                                      centre_mm.y + TRACE_MARK_RING_MM * sin (a)));
  }
  return geom_sub (middle_of (rim, RAYS), trace_view_to_picture (view, centre_mm));
}

/* Those pairs that VIEW brings within WITHIN_MM. */
static Pairs
agreeing (const TraceView *view, const Pairs *pairs, double within_mm)
{
  Pairs good = { 0 };
  for (int i = 0; i < pairs->count; i++)
  {
    const double off = geom_distance (trace_view_to_picture (view, pairs->plane[i]), pairs->picture[i]);
    if (!(off <= within_mm * trace_view_scale_at (view, pairs->plane[i])))
      continue;
    good.plane[good.count] = pairs->plane[i];
    good.picture[good.count++] = pairs->picture[i];
  }
  return good;
}

/* Seen from its printed side: x to y turns counter-clockwise, so negative in the photo. */
static bool
is_face_up (const TraceView *view)
{
  const GeomPoint o = view->plane_centre, p = trace_view_to_picture (view, o);
  const GeomPoint x = geom_sub (trace_view_to_picture (view, geom_point (o.x + 1.0, o.y)), p);
  const GeomPoint y = geom_sub (trace_view_to_picture (view, geom_point (o.x, o.y + 1.0)), p);
  return geom_cross (x, y) < 0.0;
}

/* Four marks at a time: the view with which most others agree.  The same picture gives the same answer. */
static int
most_agreed (const Pairs *pairs, TraceView *view)
{
  guint32 state = 12345;
  int best = 0;
  TraceView tried = *view;
  for (int trial = 0; trial < TRIALS; trial++)
  {
    GeomPoint plane[4], picture[4];
    for (int i = 0; i < 4; i++)
    {
      state = state * 1664525u + 1013904223u;
      const int at = (int)((guint64)state * (guint64)pairs->count >> 32);
      plane[i] = pairs->plane[at];
      picture[i] = pairs->picture[at];
    }
    if (!trace_view_through_four (&tried, plane, picture) || !is_face_up (&tried))
      continue;
    const int count = agreeing (&tried, pairs, LOOSE_MM).count;
    if (count > best)
    {
      best = count;
      *view = tried;
    }
  }
  return best;
}

static bool
lens_can_be_told (const TraceMat *mat, const Pairs *pairs)
{
  bool side[4] = { false, false, false, false };
  for (int i = 0; i < pairs->count; i++)
  {
    const GeomPoint p = pairs->plane[i];
    side[0] |= p.x < TRACE_MAT_INSET_MM + 1.0;
    side[1] |= p.y < TRACE_MAT_INSET_MM + 1.0;
    side[2] |= p.x > mat->width_mm - TRACE_MAT_INSET_MM - 1.0;
    side[3] |= p.y > mat->height_mm - TRACE_MAT_INSET_MM - 1.0;
  }
  return pairs->count >= LENS_MARKS && side[0] + side[1] + side[2] + side[3] >= LENS_SIDES;
}

static bool
settle_view (const Pairs *pairs, TraceMatSeen *seen)
{
  if (most_agreed (pairs, &seen->view) < LEAST_MARKS)
    return false;
  Pairs good = agreeing (&seen->view, pairs, LOOSE_MM);
  const bool lens = lens_can_be_told (&seen->mat, &good);
  trace_view_refine (&seen->view, good.plane, good.picture, (size_t)good.count, lens);
  for (int round = 0; round < 3; round++)
  {
    good = agreeing (&seen->view, pairs, lens ? TIGHT_MM : LOOSE_MM);
    if (good.count < LEAST_MARKS)
      return false;
    for (int i = 0; i < good.count; i++)
      good.picture[i] = geom_sub (good.picture[i], slant_shift (&seen->view, good.plane[i]));
    seen->error_px = trace_view_refine (&seen->view, good.plane, good.picture, (size_t)good.count,
                                        lens && lens_can_be_told (&seen->mat, &good));
  }
  seen->marks = good.count;
  return isfinite (seen->error_px);
}

bool
trace_mat_find (const TracePhoto *photo, TraceMatSeen *seen, GError **error)
{
  static const char *const paper[] = { "a4", "a3", "letter", "tabloid" };
  g_autoptr (GArray) found = find_marks (photo);
  Pairs best = { 0 };
  for (gsize p = 0; p < G_N_ELEMENTS (paper); p++)
  {
    TraceMat mat;
    trace_mat_layout (paper[p], &mat);
    const Pairs pairs = pairs_of (&mat, found);
    if (pairs.count <= best.count)
      continue;
    best = pairs;
    seen->mat = mat;
  }
  if (best.count >= LEAST_MARKS)
  {
    trace_view_set_units (&seen->view, seen->mat.width_mm, seen->mat.height_mm, photo->width, photo->height);
    if (settle_view (&best, seen))
      return true;
  }
  g_set_error_literal (
    error, TRACE_ERROR, TRACE_ERROR_MAT,
    best.count > 0
      ? _ ("too few marks of the mat can be read; take the photo from straight above, whole and sharp")
      : _ ("no mat of this program is to be seen; say where the corners of a rectangle of known size are"));
  return false;
}
