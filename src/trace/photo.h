/* A photo in memory: sRGB, as it is meant to be seen.
 *
 * JPEG and PNG.  What the camera noted about how it was held (EXIF orientation) is applied, so all pixel
 * places in this room are those of the turned picture, as every viewer shows it: (0, 0) is the middle of the
 * top left pixel, x to the right, y DOWN.  Transparent pixels are laid on white.
 */
#ifndef TRACE_PHOTO_H
#define TRACE_PHOTO_H

#include <glib.h>
#include <stdbool.h>

typedef enum TraceError
{
  TRACE_ERROR_PICTURE, /* cannot be read, or is not whole */
  TRACE_ERROR_SIZE,    /* too large or too small */
  TRACE_ERROR_CORNERS, /* the four corners or the size of the sheet make no sense */
  TRACE_ERROR_MAT,     /* no mat in the picture */
  TRACE_ERROR_PIECE,   /* no piece on the sheet */
  TRACE_ERROR_STOPPED  /* by whoever watched */
} TraceError;

#define TRACE_ERROR (trace_error_quark ())
GQuark trace_error_quark (void);

typedef struct TracePhoto
{
  int width, height; /* px */
  gsize stride;      /* bytes a row */
  guint8 *rgb;       /* owned by PIXELS */
  double dpi;        /* pixels an inch by the file's own word; 0 when it has none */
  bool scanned;      /* says how fine it is, and holds no camera's notes */
  gpointer pixels;   /* private */
} TracePhoto;

/* NULL with a one-line ERROR that begins with PATH: no such file, neither JPEG nor PNG, broken, cut off,
 * larger than TRACE_MOST_PIXELS (found out before anything is decoded) or smaller than TRACE_LEAST_SIDE_PX.
 */
TracePhoto *trace_photo_load (const char *path, GError **error);
/* The same from a file in memory; NAME begins the line of ERROR.  May be as small as one pixel: what is shown
 * need not be measured on. */
TracePhoto *trace_photo_read (GBytes *file, const char *name, GError **error);
/* A black picture to be filled by the caller. */
TracePhoto *trace_photo_new (int width, int height);
void trace_photo_free (TracePhoto *photo);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (TracePhoto, trace_photo_free)

#endif
