/* Pictures of nothing sensible, on sheets of any size: tracing ends, and what it gives lies on the sheet. */
#include "trace/mat.h"
#include "trace/piece.h"

#include <string.h>

typedef struct Random
{
  guint32 state;
} Random;

static int
below (Random *random, int limit)
{
  random->state = random->state * 1664525u + 1013904223u;
  return (int)((random->state >> 8) % (guint32)limit);
}

/* Noise, a chequer, flat grey with blocks, faint noise with blocks. */
static TracePhoto *
make_picture (Random *random)
{
  TracePhoto *photo = trace_photo_new (64 + below (random, 400), 64 + below (random, 400));
  const int kind = below (random, 4), w = photo->width, h = photo->height;
  for (int y = 0; y < h; y++)
    for (int x = 0; x < 3 * w; x++)
      photo->rgb[(gsize)y * photo->stride + (gsize)x] = (guint8)(kind == 0   ? below (random, 256)
                                                                 : kind == 1 ? (x / 27 + y / 7) % 2 * 255
                                                                 : kind == 2 ? 240
                                                                             : 200 + below (random, 20));
  for (int blocks = kind >= 2 ? below (random, 12) : 0; blocks > 0; blocks--)
  {
    const int x0 = below (random, w), y0 = below (random, h), colour = below (random, 256);
    const int x1 = x0 + below (random, w - x0), y1 = y0 + below (random, h - y0), ragged = below (random, 2);
    for (int y = y0; y < y1; y++)
      for (int x = x0; x < x1; x++)
        if (!ragged || below (random, 9) > 0)
          memset (photo->rgb + (gsize)y * photo->stride + 3 * (gsize)x, colour, 3);
  }
  return photo;
}

static void
trace_it (Random *random, const TracePhoto *photo, int most_mm, int *traced)
{
  const int w = photo->width, h = photo->height, a = w / 3, b = h / 3;
  const GeomPoint corner[4] = { { below (random, a), below (random, b) },
                                { w - 1 - below (random, a), below (random, b) },
                                { w - 1 - below (random, a), h - 1 - below (random, b) },
                                { below (random, a), h - 1 - below (random, b) } };
  const GeomBox box = { 0.0, 0.0, 40.0 + below (random, most_mm), 40.0 + below (random, most_mm) };
  TraceView view;
  g_autoptr (GError) error = NULL;
  if (!trace_view_from_corners (corner, box.x1, box.y1, w, h, &view, &error))
    return;
  g_autoptr (TraceResult) result = trace_pieces_find (photo, &view, box, 0.5 * below (random, 3), &error);
  g_assert_true ((result == NULL) == (error != NULL));
  for (guint i = 0; result != NULL && i < result->pieces->len; i++)
  {
    const TracePiece *piece = g_ptr_array_index (result->pieces, i);
    const GeomBox is = geom_path_box (&piece->outline.path);
    g_assert_cmpfloat (MIN (is.x0, is.y0), >=, -20.0);
    g_assert_cmpfloat (is.x1, <=, box.x1 + 20.0);
    g_assert_cmpfloat (is.y1, <=, box.y1 + 20.0);
    g_assert_cmpuint (piece->outline.edge_count, >=, 1);
    ++*traced;
  }
}

static void
test_pictures (void)
{
  Random random = { 1 };
  int traced = 0;
  for (int round = 0; round < 240; round++)
  {
    g_autoptr (TracePhoto) photo = make_picture (&random);
    trace_it (&random, photo, round % 2 == 0 ? 100 : 700, &traced);
    g_autoptr (GError) error = NULL;
    TraceMatSeen seen;
    if (!trace_mat_find (photo, &seen, &error))
      g_assert_nonnull (error);
  }
  g_test_message ("%d pieces traced", traced);
  /* Else nothing of the outlines was tried. */
  g_assert_cmpint (traced, >=, 5);
}

/* Thousand millimetres on two hundred pixels: said, not measured (and it used to read past the picture). */
static void
test_coarse (void)
{
  g_autoptr (TracePhoto) photo = trace_photo_new (200, 200);
  const GeomPoint corner[4] = { { 5, 5 }, { 195, 5 }, { 195, 195 }, { 5, 195 } };
  memset (photo->rgb, 230, photo->stride * 199 + 600);
  for (int y = 60; y < 140; y++)
    memset (photo->rgb + (gsize)y * photo->stride + 180, 40, 240);
  TraceView view;
  GError *error = NULL;
  trace_view_from_corners (corner, 1000.0, 1000.0, 200, 200, &view, &error);
  g_assert_no_error (error);
  g_assert_null (trace_pieces_find (photo, &view, (GeomBox) { 0.0, 0.0, 1000.0, 1000.0 }, 0.0, &error));
  g_assert_error (error, TRACE_ERROR, TRACE_ERROR_SIZE);
  g_clear_error (&error);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/trace/hostile/pictures", test_pictures);
  g_test_add_func ("/trace/hostile/coarse", test_coarse);
  return g_test_run ();
}
