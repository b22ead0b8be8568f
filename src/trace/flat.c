#include "trace/flat.h"

#include "trace/raster.h"
#include "trace/tolerance.h"

#include <glib/gi18n.h>
#include <math.h>

#define JPEG_QUALITY "85"
/* Finer than the work raster nothing is drawn after. */
#define MOST_PX_PER_MM TRACE_RASTER_PX_PER_MM
/* 20 megapixels of a table are about 4 MB. */
#define MOST_PIXELS 20000000.0
/* A step of making it coarser: each takes a good third of the bytes. */
#define COARSER 0.8
#define MOST_TRIES 8

static void
fill_numbers (guint8 *number)
{
  for (int i = 0; i < 4096; i++)
    number[i] = (guint8)(255.0 * pow (i / 4095.0, 1.0 / TRACE_LIGHT_EXPONENT) + 0.5);
}

static bool
is_seen (const TracePhoto *photo, const TraceView *view, GeomPoint mm)
{
  const GeomPoint px = trace_view_to_picture (view, mm);
  return px.x >= -0.5 && px.y >= -0.5 && px.x <= photo->width - 0.5 && px.y <= photo->height - 0.5;
}

/* RASTER's light back in a picture's numbers; white beyond the photo. */
static GdkPixbuf *
picture_of (const TraceRaster *raster, const TracePhoto *photo, const TraceView *view, bool has_beyond)
{
  GdkPixbuf *pixbuf = gdk_pixbuf_new (GDK_COLORSPACE_RGB, FALSE, 8, raster->width, raster->height);
  if (pixbuf == NULL)
    return NULL;
  guint8 number[4096];
  fill_numbers (number);
  const gsize stride = (gsize)gdk_pixbuf_get_rowstride (pixbuf);
  for (int y = 0; y < raster->height; y++)
  {
    const guint16 *from = raster->light + 3 * (gsize)y * (gsize)raster->width;
    guint8 *to = gdk_pixbuf_get_pixels (pixbuf) + (gsize)y * stride;
    for (int i = 0; i < 3 * raster->width; i++)
      to[i] = number[from[i] >> 4];
    for (int x = 0; x < raster->width && has_beyond; x++)
      if (!is_seen (photo, view, trace_raster_to_mm (raster, geom_point (x + 0.5, y + 0.5))))
        to[3 * x] = to[3 * x + 1] = to[3 * x + 2] = 255;
  }
  return pixbuf;
}

static bool
reaches_beyond (const TracePhoto *photo, const TraceView *view, GeomBox box)
{
  for (int i = 0; i < 4; i++)
    if (!is_seen (photo, view, geom_point (i % 2 == 0 ? box.x0 : box.x1, i / 2 == 0 ? box.y0 : box.y1)))
      return true;
  return false;
}

static TraceFlat *
flat_at (
  const TracePhoto *photo, const TraceView *view, GeomBox box, double px_per_mm, gsize *size, GError **error)
{
  g_autoptr (TraceRaster) raster = trace_raster_new_at (photo, view, box, px_per_mm);
  GdkPixbuf *pixbuf
    = raster != NULL ? picture_of (raster, photo, view, reaches_beyond (photo, view, box)) : NULL;
  if (pixbuf == NULL)
  {
    g_set_error_literal (error, TRACE_ERROR, TRACE_ERROR_SIZE,
                         _ ("there is not enough memory for this picture"));
    return NULL;
  }
  char *data = NULL;
  const bool good
    = gdk_pixbuf_save_to_buffer (pixbuf, &data, size, "jpeg", error, "quality", JPEG_QUALITY, NULL);
  g_object_unref (pixbuf);
  if (!good)
    return NULL;
  TraceFlat *flat = g_new0 (TraceFlat, 1);
  flat->jpeg = g_bytes_new_take (data, *size);
  flat->width = raster->width;
  flat->height = raster->height;
  flat->mm_per_px = 1.0 / px_per_mm;
  /* The raster's rows are counted from the top of the box, and its last one may be cut. */
  flat->at = geom_point (box.x0, box.y1 - raster->height / px_per_mm);
  return flat;
}

TraceFlat *
trace_flat_new (const TracePhoto *photo, const TraceView *view, GeomBox box, GError **error)
{
  const double least = 1.0 / TRACE_FLAT_MOST_MM_PER_PX;
  const double area = (box.x1 - box.x0) * (box.y1 - box.y0);
  const double source = trace_raster_source_px_per_mm (view, box);
  if (!(source > 0.0) || !(area > 0.0) || !(area * least * least <= MOST_PIXELS))
  {
    g_set_error_literal (error, TRACE_ERROR, TRACE_ERROR_SIZE,
                         _ ("what would be laid flat is too large: take the rectangle only"));
    return NULL;
  }
  double px_per_mm = CLAMP (source, least, MOST_PX_PER_MM);
  px_per_mm = MAX (least, MIN (px_per_mm, sqrt (MOST_PIXELS / area)));
  for (int i = 0;; i++)
  {
    gsize size = 0;
    g_autoptr (TraceFlat) flat = flat_at (photo, view, box, px_per_mm, &size, error);
    if (flat == NULL || size <= TRACE_FLAT_MOST_BYTES || px_per_mm <= least || i == MOST_TRIES)
      return g_steal_pointer (&flat);
    px_per_mm = MAX (least, px_per_mm * COARSER);
  }
}

void
trace_flat_free (TraceFlat *flat)
{
  if (flat == NULL)
    return;
  g_bytes_unref (flat->jpeg);
  g_free (flat);
}

GeomBox
trace_flat_whole (const TraceView *view, int width, int height, GeomBox known)
{
  const GeomBox most = geom_box_grown (known, 2.0 * MAX (known.x1 - known.x0, known.y1 - known.y0));
  GeomBox box = known;
  for (int i = 0; i < 9; i++)
  {
    const GeomPoint px = { (width - 1.0) * (i % 3) / 2.0, (height - 1.0) * (i / 3) / 2.0 };
    GeomPoint mm;
    if (!trace_view_to_plane (view, px, &mm))
    {
      /* Past the horizon: on that side nothing ends. */
      box = geom_box_union (box, most);
      continue;
    }
    box = geom_box_with_point (box,
                               geom_point (CLAMP (mm.x, most.x0, most.x1), CLAMP (mm.y, most.y0, most.y1)));
  }
  return box;
}
