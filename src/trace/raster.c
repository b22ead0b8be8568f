#include "trace/raster.h"

#include "trace/tolerance.h"

#include <string.h>

/* Samples a raster pixel and direction; more would only matter for photos of 300 megapixels. */
#define MOST_SAMPLES 4

static void
fill_light (float light[256])
{
  for (int i = 0; i < 256; i++)
    light[i] = (float)(65535.0 * pow (i / 255.0, TRACE_LIGHT_EXPONENT));
}

/* Adds the four neighbours' mix to SUM. */
static inline void
sample (const TracePhoto *photo, const float light[256], double x, double y, float sum[3])
{
  x = CLAMP (x, 0.0, photo->width - 1.0);
  y = CLAMP (y, 0.0, photo->height - 1.0);
  const int i = MIN ((int)x, photo->width - 2), j = MIN ((int)y, photo->height - 2);
  const float fx = (float)(x - i), fy = (float)(y - j);
  const guint8 *a = photo->rgb + (gsize)j * photo->stride + 3 * (gsize)i, *b = a + photo->stride;
  const float w00 = (1.0f - fx) * (1.0f - fy), w10 = fx * (1.0f - fy), w01 = (1.0f - fx) * fy, w11 = fx * fy;
  for (int c = 0; c < 3; c++)
    sum[c] += w00 * light[a[c]] + w10 * light[a[c + 3]] + w01 * light[b[c]] + w11 * light[b[c + 3]];
}

/* Places are worked out every so many samples and taken as even between: two millimetres of a tilted sheet
 * bend by less than 0.001 mm. */
#define STRETCH 16

/* ROW counts samples from the top, COLUMN from the left. */
static GeomPoint
place_of (const TraceRaster *raster, const TraceView *v, double fine_mm, double column, double row)
{
  return trace_view_to_picture (
    v, geom_point (raster->box_mm.x0 + (column + 0.5) * fine_mm, raster->box_mm.y1 - (row + 0.5) * fine_mm));
}

/* Adds one row of samples to SUM, SAMPLES of them to each pixel. */
static void
add_samples (const TraceRaster *raster,
             const TracePhoto *photo,
             const TraceView *view,
             const float light[256],
             int samples,
             int row,
             float *sum)
{
  const double fine_mm = 1.0 / (raster->px_per_mm * samples);
  const int count = raster->width * samples;
  GeomPoint from = place_of (raster, view, fine_mm, 0.0, row);
  for (int start = 0; start < count; start += STRETCH)
  {
    const GeomPoint to = place_of (raster, view, fine_mm, start + STRETCH, row);
    const GeomPoint step = geom_scale (geom_sub (to, from), 1.0 / STRETCH);
    const int end = MIN (start + STRETCH, count);
    for (int i = start; i < end; i++)
      sample (photo, light, from.x + (i - start) * step.x, from.y + (i - start) * step.y,
              sum + 3 * (samples == 1 ? i : i / samples));
    from = to;
  }
}

static void
fill_row (const TraceRaster *raster,
          const TracePhoto *photo,
          const TraceView *view,
          const float light[256],
          int samples,
          int row,
          float *sum)
{
  guint16 *out = raster->light + (gsize)row * (gsize)raster->width * 3;
  const float share = 1.0f / (float)(samples * samples);
  memset (sum, 0, 3 * (gsize)raster->width * sizeof *sum);
  for (int s = 0; s < samples; s++)
    add_samples (raster, photo, view, light, samples, row * samples + s, sum);
  for (int i = 0; i < 3 * raster->width; i++)
    out[i] = (guint16)(sum[i] * share + 0.5f);
}

/* Half the plane lies behind the camera; nothing of it can be laid flat. */
static bool
is_before_camera (const TraceView *v, GeomBox box)
{
  for (int i = 0; i < 4; i++)
  {
    const double x = (i % 2 == 0 ? box.x0 : box.x1) - v->plane_centre.x;
    const double y = (i / 2 == 0 ? box.y0 : box.y1) - v->plane_centre.y;
    if (!(v->h[6] * x / v->plane_scale + v->h[7] * y / v->plane_scale + 1.0 > 1e-3))
      return false;
  }
  return true;
}

/* Over a grid, since the far side of a tilted sheet is seen smaller. */
static void
source_scale (const TraceView *view, GeomBox box, double *mean, double *most)
{
  double sum = 0.0;
  *most = 0.0;
  for (int i = 0; i < 25; i++)
  {
    const GeomPoint p
      = { box.x0 + (box.x1 - box.x0) * (i % 5) / 4.0, box.y0 + (box.y1 - box.y0) * (i / 5) / 4.0 };
    const double s = trace_view_scale_at (view, p);
    sum += s;
    *most = MAX (*most, s);
  }
  *mean = sum / 25.0;
}

double
trace_raster_source_px_per_mm (const TraceView *view, GeomBox box_mm)
{
  double mean, most;
  if (!is_before_camera (view, box_mm))
    return 0.0;
  source_scale (view, box_mm, &mean, &most);
  return mean;
}

TraceRaster *
trace_raster_new (const TracePhoto *photo, const TraceView *view, GeomBox box_mm)
{
  const double width_mm = box_mm.x1 - box_mm.x0, height_mm = box_mm.y1 - box_mm.y0;
  const double mean = trace_raster_source_px_per_mm (view, box_mm);
  const double scale = MIN (mean * TRACE_RASTER_OVER_SOURCE, TRACE_RASTER_PX_PER_MM);
  return trace_raster_new_at (photo, view, box_mm,
                              MIN (scale, sqrt (TRACE_RASTER_MOST_PIXELS / (width_mm * height_mm))));
}

TraceRaster *
trace_raster_new_at (const TracePhoto *photo, const TraceView *view, GeomBox box_mm, double scale)
{
  const double width_mm = box_mm.x1 - box_mm.x0, height_mm = box_mm.y1 - box_mm.y0;
  double mean, most;
  if (!is_before_camera (view, box_mm))
    return NULL;
  source_scale (view, box_mm, &mean, &most);
  if (!(scale > 0.0) || !(width_mm * scale >= 2.0) || !(height_mm * scale >= 2.0)
      || !(width_mm * height_mm * scale * scale <= 2.0 * TRACE_RASTER_MOST_PIXELS))
    return NULL;
  TraceRaster *raster = g_new0 (TraceRaster, 1);
  raster->px_per_mm = scale;
  raster->box_mm = box_mm;
  raster->width = (int)(width_mm * scale);
  raster->height = (int)(height_mm * scale);
  raster->light = g_try_malloc_n ((gsize)raster->width * (gsize)raster->height, 3 * sizeof (guint16));
  if (raster->light == NULL)
  {
    g_free (raster);
    return NULL;
  }
  float light[256];
  fill_light (light);
  const int samples = (int)CLAMP (ceil (most / scale - 0.2), 1.0, MOST_SAMPLES);
  g_autofree float *sum = g_new (float, 3 * (gsize)raster->width);
  for (int row = 0; row < raster->height; row++)
    fill_row (raster, photo, view, light, samples, row, sum);
  return raster;
}

void
trace_raster_free (TraceRaster *raster)
{
  if (raster == NULL)
    return;
  g_free (raster->light);
  g_free (raster);
}
