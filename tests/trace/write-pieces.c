/* write-pieces OUT.(jpg|png) WIDTH_PX HEIGHT_PX [flat DPI]: a photo of three brown pieces on a white A3
 * sheet, as a hand and a telephone take it; or, flat, a scan of the same.  Prints the truth as JSON: where
 * the sheet's corners are seen, and of each piece the way round and the lengths from sharp corner to sharp
 * corner, mm. */
#include "trace/photograph.h"

#include <gdk-pixbuf/gdk-pixbuf.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define PIECES 3

static void
say_piece (const GeomPath *path, const GeomPoint *sharp, int corners, bool first)
{
  printf ("%s{\"round\": %.4f, \"edges\": [", first ? "" : ", ", geom_path_length (path, 1e-6));
  double run = 0.0;
  int said = 0;
  for (size_t i = 0; i < path->count; i++)
  {
    run += geom_cubic_length (&path->piece[i], 1e-6);
    for (int k = 0; k < corners; k++)
      if (geom_distance (path->piece[i].p[3], sharp[k]) < 1e-6)
      {
        printf ("%s%.4f", said++ > 0 ? ", " : "", run);
        run = 0.0;
        break;
      }
  }
  printf ("]}");
}

static bool
save (const TracePhoto *photo, const char *path, const char *dpi)
{
  const bool jpeg = g_str_has_suffix (path, ".jpg");
  GError *error = NULL;
  const bool good = jpeg ? gdk_pixbuf_save (photo->pixels, path, "jpeg", &error, "quality", "93", NULL)
                    : dpi != NULL
                      ? gdk_pixbuf_save (photo->pixels, path, "png", &error, "x-dpi", dpi, "y-dpi", dpi, NULL)
                      : gdk_pixbuf_save (photo->pixels, path, "png", &error, NULL);
  if (!good)
    fprintf (stderr, "%s\n", error->message);
  return good;
}

int
main (int argc, char **argv)
{
  static const Shape shapes[PIECES] = { SHAPE_GUSSET, SHAPE_BRACER, SHAPE_FRONT };
  static const double round_mm[PIECES] = { 330.0, 390.0, 430.0 };
  static const double turn_deg[PIECES] = { 20.0, 78.0, 95.0 };
  const bool flat = argc == 6 && strcmp (argv[4], "flat") == 0;
  if (argc != 4 && !flat)
    return 2;
  Camera camera = photograph_camera ();
  camera.width = atoi (argv[2]);
  camera.height = atoi (argv[3]);
  if (camera.width < 100 || camera.height < 100)
    return 2;
  camera.blur_px *= camera.width / 4000.0;
  if (flat)
  {
    /* The whole bed is seen, straight from above and evenly lit. */
    const double px_per_mm = g_ascii_strtod (argv[5], NULL) / 25.4;
    camera.fill = MAX (camera.sheet_width_mm * px_per_mm / camera.width,
                       camera.sheet_height_mm * px_per_mm / camera.height);
    camera.tilt_deg = camera.roll_deg = camera.vignetting = camera.lamp = 0.0;
    camera.blur_px = 0.8;
    camera.table = (Colour) { 246.0, 246.0, 246.0 };
  }
  GeomPath path[PIECES];
  GeomPoint sharp[PIECES][8], seen[4];
  int corners[PIECES];
  Thing things[PIECES];
  for (int i = 0; i < PIECES; i++)
  {
    const double third = camera.sheet_width_mm / PIECES;
    corners[i] = photograph_shape (shapes[i], round_mm[i], third, camera.sheet_height_mm, turn_deg[i],
                                   &path[i], sharp[i]);
    const GeomAffine move = geom_affine_move (i * third, 0.0);
    geom_path_map (&path[i], move);
    for (int k = 0; k < corners[i]; k++)
      sharp[i][k] = geom_affine_apply (move, sharp[i][k]);
    things[i] = (Thing) { &path[i], { 112.0, 70.0, 42.0 }, 0.1 };
  }
  g_autoptr (TracePhoto) photo = photograph_take (&camera, things, PIECES);
  if (!save (photo, argv[1], flat ? argv[5] : NULL))
    return 1;
  photograph_corners (&camera, seen);
  printf ("{\"corners\": [");
  for (int i = 0; i < 4; i++)
    printf ("%s[%.3f, %.3f]", i > 0 ? ", " : "", seen[i].x, seen[i].y);
  printf ("], \"pieces\": [");
  for (int i = 0; i < PIECES; i++)
  {
    say_piece (&path[i], sharp[i], corners[i], i == 0);
    geom_path_clear (&path[i]);
  }
  printf ("]}\n");
  return 0;
}
