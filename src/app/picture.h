/* A photo for the eye: read in a thread, kept in halves of halves, painted at any size; and the long work on
 * it, each in a thread of its own.
 *
 * A picture is shared by reference, from any thread, and never changed once it is there.  Places in it are
 * those of trace/photo.h: (0, 0) is the middle of the top left pixel, y down.
 */
#ifndef APP_PICTURE_H
#define APP_PICTURE_H

#include "trace/flat.h"
#include "trace/mat.h"
#include "trace/piece.h"

#include <gtk/gtk.h>

typedef struct AppPicture
{
  char *name; /* the file's, without its folder */
  TracePhoto *photo;
  bool has_mat; /* the program's own printed mat lies in it */
  TraceMatSeen mat;
  bool has_sheet; /* one light sheet on a darker table, its corners clockwise from the top left one */
  GeomPoint sheet[4];
  GPtrArray *halves; /* private */
  int permille;      /* private: how far the work on it is */
} AppPicture;

AppPicture *app_picture_ref (AppPicture *picture);
void app_picture_unref (AppPicture *picture);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (AppPicture, app_picture_unref)

/* Reads FILE and looks for the mat, or else for a sheet.  Cancelled: the answer comes at once, the thread
 * ends by itself. */
void app_picture_load (
  GFile *file, GObject *source, GCancellable *cancel, GAsyncReadyCallback ready, gpointer user);
/* The same of a file in memory, without looking for the mat. */
void app_picture_read (GBytes *file,
                       const char *name,
                       GObject *source,
                       GCancellable *cancel,
                       GAsyncReadyCallback ready,
                       gpointer user);
AppPicture *app_picture_finish (GAsyncResult *result, GError **error);

/* The pieces on it: TraceResult. */
void app_picture_find (AppPicture *picture,
                       const TraceView *view,
                       GeomBox box_mm,
                       double tolerance_mm,
                       GObject *source,
                       GCancellable *cancel,
                       GAsyncReadyCallback ready,
                       gpointer user);
TraceResult *app_picture_find_finish (GAsyncResult *result, GError **error);

/* How far finding is, 0 .. 1; moves while it runs. */
double app_picture_progress (AppPicture *picture);

/* BOX_MM of it laid flat. */
void app_picture_flatten (AppPicture *picture,
                          const TraceView *view,
                          GeomBox box_mm,
                          GObject *source,
                          GCancellable *cancel,
                          GAsyncReadyCallback ready,
                          gpointer user);
TraceFlat *app_picture_flatten_finish (GAsyncResult *result, GError **error);

/* Fills an image surface (ARGB32) with the picture: TO_PICTURE maps the middle of its pixel (i, j), (0, 0)
 * the top left one, to a place in the picture.  Pixels beyond the picture are left transparent. */
void app_picture_paint (const AppPicture *picture, const GeomAffine *to_picture, cairo_surface_t *surface);

#endif
