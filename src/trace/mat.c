/* Where the marks of a mat stand and what they say. */
#include "trace/mat.h"

#include <string.h>

typedef struct Paper
{
  const char *name;
  double width_mm, height_mm;
} Paper;

/* ISO 216; ASME Y14.1 (8.5 x 11 and 11 x 17 inches). */
static const Paper papers[] = {
  { "a4", 210.0, 297.0 },
  { "a3", 297.0, 420.0 },
  { "letter", 215.9, 279.4 },
  { "tabloid", 279.4, 431.8 },
};

/* Marks along a side stand about so far apart. */
#define PITCH_MM 37.0
#define ALL ((1u << TRACE_MARK_FIELDS) - 1u)

static guint
turned (guint fields)
{
  return ((fields << 1) | (fields >> (TRACE_MARK_FIELDS - 1))) & ALL;
}

/* The next word that is the least of its turns, differs from all its turns, and has an even number of black
 * fields: one field misread never makes another word.  Words with few or many black fields, or with a long
 * stretch of one colour, look like print and stay out.  0 when there is no more. */
static guint
next_word (guint after)
{
  for (guint word = after + 1; word <= ALL; word++)
  {
    const int black = __builtin_popcount (word);
    if (black % 2 != 0 || black < 4 || black > 8)
      continue;
    guint other = turned (word);
    bool good = true;
    for (int i = 1; good && i < TRACE_MARK_FIELDS; i++, other = turned (other))
      good = other > word;
    if (good)
      return word;
  }
  return 0;
}

static void
add_side (TraceMat *mat, GeomPoint from, GeomPoint to, guint *word)
{
  const int count = (int)(geom_distance (from, to) / PITCH_MM + 0.5);
  for (int i = 0; i < count && mat->count < TRACE_MAT_MOST_MARKS; i++)
  {
    *word = next_word (*word);
    mat->mark[mat->count++] = (TraceMatMark) { geom_mix (from, to, (double)i / count), *word };
  }
}

bool
trace_mat_layout (const char *paper, TraceMat *mat)
{
  guint word = 0;
  for (gsize p = 0; p < G_N_ELEMENTS (papers); p++)
  {
    memset (mat, 0, sizeof *mat);
    mat->paper = papers[p].name;
    mat->width_mm = papers[p].width_mm;
    mat->height_mm = papers[p].height_mm;
    const double x0 = TRACE_MAT_INSET_MM, x1 = mat->width_mm - x0, y0 = x0, y1 = mat->height_mm - y0;
    const GeomPoint corner[4] = { { x0, y0 }, { x1, y0 }, { x1, y1 }, { x0, y1 } };
    /* Words run on from paper to paper, so none is used twice. */
    for (int side = 0; side < 4; side++)
      add_side (mat, corner[side], corner[(side + 1) % 4], &word);
    if (strcmp (paper, mat->paper) == 0)
      return true;
  }
  return false;
}

GeomBox
trace_mat_look (const TraceMat *mat)
{
  return (GeomBox) { TRACE_MAT_LOOK_MM, TRACE_MAT_LOOK_MM, mat->width_mm - TRACE_MAT_LOOK_MM,
                     mat->height_mm - TRACE_MAT_LOOK_MM };
}
