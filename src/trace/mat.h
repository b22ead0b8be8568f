/* The mat: a sheet the program prints, whose marks tell every photo of it where it lies and how large it is.
 *
 *     ◉ ◉ ◉ ◉ ◉        each mark: a black ring, in it twelve fields of a smaller ring, black or white;
 *     ◉ ┌───┐ ◉        no two marks' fields agree however they are turned, so each says which one it is,
 *     ◉ │   │ ◉        of which paper, and pieces may lie on some of them;
 *     ◉ └───┘ ◉        the piece to be traced lies inside the thin frame.
 *     ◉ ◉ ◉ ◉ ◉
 *
 * The layout is arithmetic alone: output/mat.h draws it, trace_mat_find looks for it.
 */
#ifndef TRACE_MAT_H
#define TRACE_MAT_H

#include "trace/photo.h"
#include "trace/view.h"

/* All of a mark, mm.  The ring is wide enough for a photo of two megapixels, the fields for a cheap printer.
 */
#define TRACE_MARK_RING_MM 5.5 /* outer radius */
#define TRACE_MARK_RING_INNER_MM 4.4
#define TRACE_MARK_FIELDS_MM 3.3 /* outer radius of the fields */
#define TRACE_MARK_FIELDS_INNER_MM 1.1
#define TRACE_MARK_FIELDS 12
/* Middle of the marks from the paper's edge: home printers leave 5 mm white, on one side up to 8. */
#define TRACE_MAT_INSET_MM 14.0
/* The frame from the paper's edge; and how far inside it pieces are looked for, so that the frame is not one.
 */
#define TRACE_MAT_FRAME_MM 21.5
#define TRACE_MAT_LOOK_MM 23.0
#define TRACE_MAT_MOST_MARKS 64

typedef struct TraceMatMark
{
  GeomPoint centre; /* mm from the paper's lower left corner, y up */
  guint fields; /* bit i: the field from i to i + 1 twelfths of a turn, counter-clockwise from +x, is black */
} TraceMatMark;

typedef struct TraceMat
{
  const char *paper;          /* "a4", "a3", "letter", "tabloid" */
  double width_mm, height_mm; /* upright */
  int count;
  TraceMatMark mark[TRACE_MAT_MOST_MARKS];
} TraceMat;

/* False if there is no mat for such a paper. */
bool trace_mat_layout (const char *paper, TraceMat *mat);
/* The part of the mat to look at for pieces. */
GeomBox trace_mat_look (const TraceMat *mat);

typedef struct TraceMatSeen
{
  TraceMat mat;
  TraceView view;
  int marks;       /* that were found and agree */
  double error_px; /* root of the mean square distance of marks from where the view puts them */
} TraceMatSeen;

/* Which mat lies in the photo and how the camera saw it: at least five marks that are not in a line must be
 * seen; with ten on three sides the lens is fitted too.  TRACE_ERROR_MAT otherwise. */
bool trace_mat_find (const TracePhoto *photo, TraceMatSeen *seen, GError **error);

#endif
