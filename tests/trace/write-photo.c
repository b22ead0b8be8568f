/* write-photo OUT.ppm SHAPE PERIMETER_MM TURN_DEG WIDTH_PX HEIGHT_PX: a photo of one brown piece on A3, for
 * tests of the command line.  Prints the sheet's corners as --corners wants them. */
#include "trace/photograph.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int
main (int argc, char **argv)
{
  if (argc != 7)
    return 2;
  Camera camera = photograph_camera ();
  camera.width = atoi (argv[5]);
  camera.height = atoi (argv[6]);
  camera.blur_px *= camera.width / 4000.0;
  GeomPath truth;
  GeomPoint sharp[8], corner[4];
  int shape = 0;
  while (shape < SHAPE_COUNT && strcmp (argv[2], photograph_shape_names[shape]) != 0)
    shape++;
  if (shape == SHAPE_COUNT)
    return 2;
  photograph_shape ((Shape)shape, g_ascii_strtod (argv[3], NULL), camera.sheet_width_mm,
                    camera.sheet_height_mm, g_ascii_strtod (argv[4], NULL), &truth, sharp);
  const Thing thing = { &truth, { 112.0, 70.0, 42.0 }, 0.1 };
  g_autoptr (TracePhoto) photo = photograph_take (&camera, &thing, 1);
  photograph_write_ppm (photo, argv[1]);
  photograph_corners (&camera, corner);
  for (int i = 0; i < 4; i++)
    printf ("%s%.3f,%.3f", i > 0 ? "," : "", corner[i].x, corner[i].y);
  printf ("\n");
  geom_path_clear (&truth);
  return 0;
}
