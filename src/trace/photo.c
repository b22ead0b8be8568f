#include "trace/photo.h"

#include "trace/tolerance.h"

#include <glib/gi18n.h>
#include <math.h>
#include <stdarg.h>
#include <string.h>

G_DEFINE_QUARK (trace - error - quark, trace_error)

typedef enum Kind
{
  KIND_OTHER,
  KIND_JPEG,
  KIND_PNG
} Kind;

static void
complain (GError **error, int code, const char *path, const char *why)
{
  g_autofree char *name = g_filename_display_name (path);
  g_set_error (error, TRACE_ERROR, code, "%s: %s", name, why);
}

static Kind
kind_of (const guint8 *data, gsize length)
{
  static const guint8 png[8] = { 0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n' };
  if (length >= 8 && memcmp (data, png, 8) == 0)
    return KIND_PNG;
  return length >= 3 && data[0] == 0xff && data[1] == 0xd8 && data[2] == 0xff ? KIND_JPEG : KIND_OTHER;
}

/* The decoder fills what is missing of a JPEG with grey and says nothing, so the end is looked for here:
 * segments are stepped over by their lengths (a thumbnail inside one has an end of its own), then the coded
 * data is searched for markers.  ITU-T T.81, annex B. */
static bool
jpeg_is_whole (const guint8 *d, gsize length)
{
  gsize i = 2;
  while (i + 1 < length)
  {
    if (d[i] != 0xff)
    {
      const guint8 *next = memchr (d + i, 0xff, length - i);
      if (next == NULL)
        return false;
      i = (gsize)(next - d);
      continue;
    }
    const guint8 marker = d[i + 1];
    if (marker == 0xd9)
      return true;
    if (marker == 0xff)
      i++;
    else if (marker == 0x00 || marker == 0x01 || (marker >= 0xd0 && marker <= 0xd8))
      i += 2;
    else
    {
      if (i + 3 >= length)
        return false;
      i += 2 + (((gsize)d[i + 2] << 8) | d[i + 3]);
    }
  }
  return false;
}

/* Chunk by chunk to IEND.  ISO/IEC 15948, 5.3. */
static bool
png_is_whole (const guint8 *d, gsize length)
{
  gsize i = 8;
  while (i + 12 <= length)
  {
    const gsize size
      = ((gsize)d[i] << 24) | ((gsize)d[i + 1] << 16) | ((gsize)d[i + 2] << 8) | (gsize)d[i + 3];
    if (memcmp (d + i + 4, "IEND", 4) == 0)
      return true;
    if (size > length - i - 12)
      return false;
    i += 12 + size;
  }
  return false;
}

/* Scanners write how fine they were set and nothing else; cameras and telephones write notes of their own
 * (Exif 2.3, 4.5.4: they stand in the first segments), and their density means nothing. */
#define NOTES_WITHIN 65536
#define LEAST_SCAN_DPI 100.0

static bool
holds_notes (const guint8 *d, gsize length)
{
  return memmem (d, MIN (length, NOTES_WITHIN), "Exif\0", 5) != NULL;
}

static bool
file_is_sound (const char *path, bool *notes, GError **error)
{
  g_autoptr (GError) trouble = NULL;
  if (g_file_test (path, G_FILE_TEST_IS_DIR))
  {
    complain (error, TRACE_ERROR_PICTURE, path, _ ("this is a folder"));
    return false;
  }
  /* A pipe would be waited for without end. */
  if (g_file_test (path, G_FILE_TEST_EXISTS) && !g_file_test (path, G_FILE_TEST_IS_REGULAR))
  {
    complain (error, TRACE_ERROR_PICTURE, path, _ ("this is neither a JPEG nor a PNG picture"));
    return false;
  }
  g_autoptr (GMappedFile) map = g_mapped_file_new (path, FALSE, &trouble);
  if (map == NULL)
  {
    complain (error, TRACE_ERROR_PICTURE, path,
              g_error_matches (trouble, G_FILE_ERROR, G_FILE_ERROR_NOENT) ? _ ("there is no such file")
                                                                          : _ ("the file cannot be read"));
    return false;
  }
  const guint8 *data = (const guint8 *)g_mapped_file_get_contents (map);
  const gsize length = g_mapped_file_get_length (map);
  const Kind kind = kind_of (data, length);
  *notes = kind == KIND_JPEG && holds_notes (data, length);
  if (kind == KIND_OTHER)
  {
    complain (error, TRACE_ERROR_PICTURE, path, _ ("this is neither a JPEG nor a PNG picture"));
    return false;
  }
  if (kind == KIND_JPEG ? jpeg_is_whole (data, length) : png_is_whole (data, length))
    return true;
  complain (error, TRACE_ERROR_PICTURE, path, _ ("the picture is cut off: its end is missing"));
  return false;
}

static bool
size_is_sound (const char *path, double width, double height, GError **error)
{
  g_autofree char *why = NULL;
  if (width * height > TRACE_MOST_PIXELS)
    why = g_strdup_printf (_ ("%.0f × %.0f pixels are more than the hundred million that can be traced"),
                           width, height);
  else if (MIN (width, height) < TRACE_LEAST_SIDE_PX)
    why = g_strdup_printf (_ ("%.0f × %.0f pixels are too few to measure on"), width, height);
  if (why != NULL)
    complain (error, TRACE_ERROR_SIZE, path, why);
  return why == NULL;
}

/* Rows are blended in place on white and packed to three bytes a pixel. */
static void
lay_on_white (TracePhoto *photo)
{
  for (int y = 0; y < photo->height; y++)
  {
    guint8 *row = photo->rgb + (gsize)y * photo->stride;
    for (gsize x = 0; x < (gsize)photo->width; x++)
    {
      const guint alpha = row[4 * x + 3];
      for (gsize c = 0; c < 3; c++)
        row[3 * x + c] = (guint8)((row[4 * x + c] * alpha + 255 * (255 - alpha) + 127) / 255);
    }
  }
}

/* "x-dpi" is JFIF's density and PNG's pHYs, in pixels an inch. */
static double
dpi_of (GdkPixbuf *pixbuf)
{
  const char *x = gdk_pixbuf_get_option (pixbuf, "x-dpi"), *y = gdk_pixbuf_get_option (pixbuf, "y-dpi");
  const double dpi = x != NULL ? g_ascii_strtod (x, NULL) : 0.0;
  /* Pixels that are not square are no scan's. */
  if (y != NULL && fabs (g_ascii_strtod (y, NULL) - dpi) > 1.0)
    return 0.0;
  return dpi >= 1.0 && dpi <= 10000.0 ? dpi : 0.0;
}

static TracePhoto *
photo_of (GdkPixbuf *pixbuf)
{
  TracePhoto *photo = g_new0 (TracePhoto, 1);
  photo->width = gdk_pixbuf_get_width (pixbuf);
  photo->height = gdk_pixbuf_get_height (pixbuf);
  photo->stride = (gsize)gdk_pixbuf_get_rowstride (pixbuf);
  photo->rgb = gdk_pixbuf_get_pixels (pixbuf);
  photo->pixels = pixbuf;
  return photo;
}

/* Takes nothing of RAW. */
static TracePhoto *
finish (GdkPixbuf *raw, const char *path, GError **error)
{
  GdkPixbuf *turned = gdk_pixbuf_apply_embedded_orientation (raw);
  if (turned == NULL)
  {
    complain (error, TRACE_ERROR_SIZE, path, _ ("there is not enough memory for this picture"));
    return NULL;
  }
  TracePhoto *photo = photo_of (turned);
  photo->dpi = dpi_of (raw);
  if (gdk_pixbuf_get_n_channels (turned) == 4)
    lay_on_white (photo);
  return photo;
}

typedef struct Reading
{
  const char *name;
  GError **error;
  bool refused;
} Reading;

/* Before anything is decoded. */
static void
on_size (GdkPixbufLoader *loader, int width, int height, gpointer user)
{
  Reading *reading = user;
  if (1.0 * width * height <= TRACE_MOST_PIXELS)
    return;
  reading->refused = true;
  size_is_sound (reading->name, width, height, reading->error);
}

#define READ_AT_ONCE 65536

TracePhoto *
trace_photo_read (GBytes *file, const char *name, GError **error)
{
  gsize length = 0;
  const guint8 *data = g_bytes_get_data (file, &length);
  if (kind_of (data, length) == KIND_OTHER)
  {
    complain (error, TRACE_ERROR_PICTURE, name, _ ("this is neither a JPEG nor a PNG picture"));
    return NULL;
  }
  Reading reading = { name, error, false };
  g_autoptr (GError) trouble = NULL;
  g_autoptr (GdkPixbufLoader) loader = gdk_pixbuf_loader_new ();
  g_signal_connect (loader, "size-prepared", G_CALLBACK (on_size), &reading);
  bool good = true;
  for (gsize at = 0; at < length && good && !reading.refused; at += READ_AT_ONCE)
    good = gdk_pixbuf_loader_write (loader, data + at, MIN (length - at, READ_AT_ONCE), &trouble);
  good = gdk_pixbuf_loader_close (loader, good && !reading.refused ? &trouble : NULL) && good;
  if (reading.refused)
    return NULL;
  GdkPixbuf *raw = good ? gdk_pixbuf_loader_get_pixbuf (loader) : NULL;
  if (raw == NULL)
  {
    complain (error, TRACE_ERROR_PICTURE, name,
              trouble != NULL ? trouble->message : _ ("the picture is broken"));
    return NULL;
  }
  return finish (raw, name, error);
}

TracePhoto *
trace_photo_load (const char *path, GError **error)
{
  bool notes = true;
  if (!file_is_sound (path, &notes, error))
    return NULL;
  int width = 0, height = 0;
  if (gdk_pixbuf_get_file_info (path, &width, &height) == NULL || width <= 0 || height <= 0)
  {
    complain (error, TRACE_ERROR_PICTURE, path, _ ("the picture is broken"));
    return NULL;
  }
  if (!size_is_sound (path, width, height, error))
    return NULL;
  g_autoptr (GError) trouble = NULL;
  g_autoptr (GdkPixbuf) raw = gdk_pixbuf_new_from_file (path, &trouble);
  if (raw == NULL)
  {
    complain (error, TRACE_ERROR_PICTURE, path, trouble->message);
    return NULL;
  }
  TracePhoto *photo = finish (raw, path, error);
  if (photo != NULL)
    photo->scanned = !notes && photo->dpi >= LEAST_SCAN_DPI;
  return photo;
}

TracePhoto *
trace_photo_new (int width, int height)
{
  GdkPixbuf *pixbuf = gdk_pixbuf_new (GDK_COLORSPACE_RGB, FALSE, 8, width, height);
  if (pixbuf == NULL)
    return NULL;
  gdk_pixbuf_fill (pixbuf, 0);
  return photo_of (pixbuf);
}

void
trace_photo_free (TracePhoto *photo)
{
  if (photo == NULL)
    return;
  g_object_unref (photo->pixels);
  g_free (photo);
}
