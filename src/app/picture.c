#include "app/picture.h"

#include "trace/sheet-find.h"

#include <glib/gi18n.h>
#include <math.h>

/* Smaller than this nothing is gained by another half. */
#define LEAST_HALF_PX 64
#define MOST_HALVES 12
/* How much finer than the screen the half may be that is painted from: between two halves the nearer one. */
#define HALF_AT 1.42

typedef struct Half
{
  int width, height;
  gsize stride;
  const guint8 *rgb;
  guint8 *owned; /* NULL: the photo's own */
} Half;

static void
half_free (gpointer data)
{
  Half *half = data;
  g_free (half->owned);
  g_free (half);
}

/* Four pixels become one; an odd last row or column is left out. */
static Half *
half_of (const Half *of)
{
  Half *half = g_new0 (Half, 1);
  half->width = of->width / 2;
  half->height = of->height / 2;
  half->stride = 3 * (gsize)half->width;
  half->owned = g_try_malloc (half->stride * (gsize)half->height);
  half->rgb = half->owned;
  if (half->owned == NULL)
  {
    g_free (half);
    return NULL;
  }
  for (int y = 0; y < half->height; y++)
  {
    const guint8 *a = of->rgb + 2 * (gsize)y * of->stride, *b = a + of->stride;
    guint8 *to = half->owned + (gsize)y * half->stride;
    for (int x = 0; x < half->width; x++, a += 6, b += 6, to += 3)
      for (int c = 0; c < 3; c++)
        to[c] = (guint8)((a[c] + a[c + 3] + b[c] + b[c + 3] + 2) >> 2);
  }
  return half;
}

static AppPicture *
picture_new (TracePhoto *photo, char *name)
{
  AppPicture *picture = g_atomic_rc_box_new0 (AppPicture);
  picture->photo = photo;
  picture->name = name;
  picture->halves = g_ptr_array_new_with_free_func (half_free);
  Half *half = g_new0 (Half, 1);
  *half = (Half) { photo->width, photo->height, photo->stride, photo->rgb, NULL };
  while (half != NULL)
  {
    g_ptr_array_add (picture->halves, half);
    if (MIN (half->width, half->height) < LEAST_HALF_PX || picture->halves->len == MOST_HALVES)
      break;
    half = half_of (half);
  }
  return picture;
}

static void
picture_clear (gpointer data)
{
  AppPicture *picture = data;
  g_ptr_array_unref (picture->halves);
  trace_photo_free (picture->photo);
  g_free (picture->name);
}

AppPicture *
app_picture_ref (AppPicture *picture)
{
  return g_atomic_rc_box_acquire (picture);
}

void
app_picture_unref (AppPicture *picture)
{
  g_atomic_rc_box_release_full (picture, picture_clear);
}

/* ---- threads ---- */

typedef struct Work
{
  char *path, *name;
  GBytes *file;
  AppPicture *picture;
  TraceView view;
  GeomBox box;
  double tolerance_mm;
} Work;

static void
work_free (gpointer data)
{
  Work *work = data;
  g_free (work->path);
  g_free (work->name);
  g_clear_pointer (&work->file, g_bytes_unref);
  g_clear_pointer (&work->picture, app_picture_unref);
  g_free (work);
}

static void
run (Work *work,
     GTaskThreadFunc function,
     gpointer tag,
     GObject *source,
     GCancellable *cancel,
     GAsyncReadyCallback ready,
     gpointer user)
{
  g_autoptr (GTask) task = g_task_new (source, cancel, ready, user);
  g_task_set_source_tag (task, tag);
  g_task_set_task_data (task, work, work_free);
  g_task_set_return_on_cancel (task, TRUE);
  g_task_run_in_thread (task, function);
}

static void
load_thread (GTask *task, gpointer source, gpointer data, GCancellable *cancel)
{
  const Work *work = data;
  GError *error = NULL;
  TracePhoto *photo = trace_photo_load (work->path, &error);
  if (photo == NULL)
  {
    g_task_return_error (task, error);
    return;
  }
  AppPicture *picture = picture_new (photo, g_path_get_basename (work->path));
  if (!g_cancellable_is_cancelled (cancel))
    picture->has_mat = trace_mat_find (photo, &picture->mat, NULL);
  if (!picture->has_mat && !g_cancellable_is_cancelled (cancel))
    picture->has_sheet = trace_sheet_find (photo, picture->sheet);
  g_task_return_pointer (task, picture, (GDestroyNotify)app_picture_unref);
}

void
app_picture_load (
  GFile *file, GObject *source, GCancellable *cancel, GAsyncReadyCallback ready, gpointer user)
{
  Work *work = g_new0 (Work, 1);
  work->path = g_file_get_path (file);
  if (work->path == NULL)
  {
    work_free (work);
    g_task_report_new_error (source, ready, user, app_picture_load, TRACE_ERROR, TRACE_ERROR_PICTURE,
                             _ ("The picture lies on another machine. Copy it here first."));
    return;
  }
  run (work, load_thread, app_picture_load, source, cancel, ready, user);
}

static void
read_thread (GTask *task, gpointer source, gpointer data, GCancellable *cancel)
{
  const Work *work = data;
  GError *error = NULL;
  TracePhoto *photo = trace_photo_read (work->file, work->name, &error);
  if (photo == NULL)
    g_task_return_error (task, error);
  else
    g_task_return_pointer (task, picture_new (photo, g_strdup (work->name)),
                           (GDestroyNotify)app_picture_unref);
}

void
app_picture_read (GBytes *file,
                  const char *name,
                  GObject *source,
                  GCancellable *cancel,
                  GAsyncReadyCallback ready,
                  gpointer user)
{
  Work *work = g_new0 (Work, 1);
  work->file = g_bytes_ref (file);
  work->name = g_strdup (name);
  run (work, read_thread, app_picture_load, source, cancel, ready, user);
}

AppPicture *
app_picture_finish (GAsyncResult *result, GError **error)
{
  return g_task_propagate_pointer (G_TASK (result), error);
}

double
app_picture_progress (AppPicture *picture)
{
  return g_atomic_int_get (&picture->permille) / 1000.0;
}

typedef struct Watched
{
  AppPicture *picture;
  GCancellable *cancel;
} Watched;

static bool
on_progress (double done, void *user)
{
  const Watched *watched = user;
  if (g_cancellable_is_cancelled (watched->cancel))
    return false;
  g_atomic_int_set (&watched->picture->permille, (int)(done * 1000.0));
  return true;
}

static void
find_thread (GTask *task, gpointer source, gpointer data, GCancellable *cancel)
{
  const Work *work = data;
  GError *error = NULL;
  Watched watched = { work->picture, cancel };
  TraceResult *result = trace_pieces_find_watched (work->picture->photo, &work->view, work->box,
                                                   work->tolerance_mm, on_progress, &watched, &error);
  if (result == NULL)
    g_task_return_error (task, error);
  else
    g_task_return_pointer (task, result, (GDestroyNotify)trace_result_free);
}

static Work *
work_on (AppPicture *picture, const TraceView *view, GeomBox box_mm)
{
  Work *work = g_new0 (Work, 1);
  work->picture = app_picture_ref (picture);
  work->view = *view;
  work->box = box_mm;
  return work;
}

void
app_picture_find (AppPicture *picture,
                  const TraceView *view,
                  GeomBox box_mm,
                  double tolerance_mm,
                  GObject *source,
                  GCancellable *cancel,
                  GAsyncReadyCallback ready,
                  gpointer user)
{
  Work *work = work_on (picture, view, box_mm);
  g_atomic_int_set (&picture->permille, 0);
  work->tolerance_mm = tolerance_mm;
  run (work, find_thread, app_picture_find, source, cancel, ready, user);
}

TraceResult *
app_picture_find_finish (GAsyncResult *result, GError **error)
{
  return g_task_propagate_pointer (G_TASK (result), error);
}

static void
flatten_thread (GTask *task, gpointer source, gpointer data, GCancellable *cancel)
{
  const Work *work = data;
  GError *error = NULL;
  TraceFlat *flat = trace_flat_new (work->picture->photo, &work->view, work->box, &error);
  if (flat == NULL)
    g_task_return_error (task, error);
  else
    g_task_return_pointer (task, flat, (GDestroyNotify)trace_flat_free);
}

void
app_picture_flatten (AppPicture *picture,
                     const TraceView *view,
                     GeomBox box_mm,
                     GObject *source,
                     GCancellable *cancel,
                     GAsyncReadyCallback ready,
                     gpointer user)
{
  run (work_on (picture, view, box_mm), flatten_thread, app_picture_flatten, source, cancel, ready, user);
}

TraceFlat *
app_picture_flatten_finish (GAsyncResult *result, GError **error)
{
  return g_task_propagate_pointer (G_TASK (result), error);
}

/* ---- painting ---- */

/* The mix of the four pixels round a place; FX and FY 0 .. 255. */
static inline guint32
mix (const guint8 *a, const guint8 *b, guint fx, guint fy)
{
  guint32 out = 0xff000000u;
  for (int c = 0; c < 3; c++)
  {
    const guint top = a[c] * (256u - fx) + a[c + 3] * fx, low = b[c] * (256u - fx) + b[c + 3] * fx;
    out |= ((top * (256u - fy) + low * fy + 32768u) >> 16) << (16 - 8 * c);
  }
  return out;
}

/* 1/65536 of a pixel: a row of a screen adds up to less than a tenth of one. */
#define FINE 65536.0

static void
paint_row (const Half *half, double x, double y, double step_x, double step_y, guint32 *out, int count)
{
  gint64 u = (gint64)floor (x * FINE), v = (gint64)floor (y * FINE);
  const gint64 du = (gint64)round (step_x * FINE), dv = (gint64)round (step_y * FINE);
  const gint64 rim = (gint64)(FINE / 2);
  const gint64 right = ((gint64)half->width - 1) << 16, low = ((gint64)half->height - 1) << 16;
  for (int i = 0; i < count; i++, u += du, v += dv)
  {
    if (u < -rim || v < -rim || u > right + rim || v > low + rim)
      continue;
    const gint64 cu = CLAMP (u, 0, right - 1), cv = CLAMP (v, 0, low - 1);
    const guint8 *a = half->rgb + (gsize)(cv >> 16) * half->stride + 3 * (gsize)(cu >> 16);
    out[i] = mix (a, a + half->stride, (guint)(cu >> 8) & 255u, (guint)(cv >> 8) & 255u);
  }
}

void
app_picture_paint (const AppPicture *picture, const GeomAffine *to_picture, cairo_surface_t *surface)
{
  const GeomAffine *m = to_picture;
  const double step = sqrt (fabs (m->xx * m->yy - m->xy * m->yx));
  guint level = 0;
  while (level + 1 < picture->halves->len && step / (double)(1u << level) > HALF_AT)
    level++;
  const Half *half = g_ptr_array_index (picture->halves, level);
  const double scale = (double)(1u << level);
  if (half->width < 2 || half->height < 2 || !isfinite (step) || !(step < 1e6))
    return;
  const int width = cairo_image_surface_get_width (surface),
            height = cairo_image_surface_get_height (surface);
  const gsize stride = (gsize)cairo_image_surface_get_stride (surface);
  cairo_surface_flush (surface);
  guint8 *data = cairo_image_surface_get_data (surface);
  for (int row = 0; row < height; row++)
  {
    const GeomPoint p = geom_affine_apply (*m, geom_point (0.0, row));
    /* Pixel middles lie at halves of the larger pixels. */
    paint_row (half, (p.x + 0.5) / scale - 0.5, (p.y + 0.5) / scale - 0.5, m->xx / scale, m->yx / scale,
               (guint32 *)(void *)(data + (gsize)row * stride), width);
  }
  cairo_surface_mark_dirty (surface);
}
