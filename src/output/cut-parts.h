/* What the writers of cut files share; nobody else includes this. */
#ifndef OUTPUT_CUT_PARTS_H
#define OUTPUT_CUT_PARTS_H

#include "output/cut-file.h"
#include "output/draw-parts.h"

/* One piece moved to its place: mm, y up, origin at the lower left corner of the drawing. */
typedef struct OutputCutPiece
{
  const EnginePiece *piece;
  const ModelPanel *panel;
  GeomAffine to_drawing;
  GeomPath cut, seam; /* moved */
  char *label;        /* "Side, back, wearer's left" */
  char *details;      /* quantity and material */
} OutputCutPiece;

typedef struct OutputCutDrawing
{
  EngineReview *review;
  const ModelDocument *doc;
  GPtrArray *pieces; /* OutputCutPiece */
  double width_mm, height_mm;
} OutputCutDrawing;

/* All pieces wanted, side by side in rows, GAP apart.  NULL with ERROR for an unknown name or when nothing is
 * left. */
OutputCutDrawing *output_cut_layout (EngineReview *review, const char *const *panels, GError **error);
void output_cut_drawing_free (OutputCutDrawing *drawing);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (OutputCutDrawing, output_cut_drawing_free)

/* A mark on a piece, moved: BASE on the cut line, IN pointing into the leather. */
typedef struct OutputCutMark
{
  GeomPoint base, in;
  int wedges;
} OutputCutMark;

/* OutputCutMark of a piece. */
GArray *output_cut_marks (const OutputCutDrawing *drawing, const OutputCutPiece *piece);
/* Where straps lie on a piece: GeomPath each, open, as output_strap_end of draw-parts.h goes. */
GPtrArray *output_cut_straps (const OutputCutDrawing *drawing, const OutputCutPiece *piece);
/* The stretches of seam that are not the cut line: GeomPath each, cleared by the array. */
GPtrArray *output_cut_seams (const OutputCutDrawing *drawing, const OutputCutPiece *piece);
/* The grain arrow's tail and tip; false if the panel has none. */
bool output_cut_grain (const OutputCutPiece *piece, GeomPoint *tail, GeomPoint *tip);
/* Where the label stands, and how high its letters may be. */
GeomPoint output_cut_label_at (const OutputCutPiece *piece, double *size_mm);

#define OUTPUT_CUT_MARK_MM 4.4

/* Four decimals, no locale, no "-0.0000". */
void output_cut_number (GString *to, double v);

bool output_cut_svg (const OutputCutDrawing *drawing, const char *path, GError **error);
bool output_cut_dxf (const OutputCutDrawing *drawing, const char *path, GError **error);
bool output_cut_pdf (const OutputCutDrawing *drawing, const char *path, GError **error);

#endif
