/* Pieces: what is really cut.  A panel becomes one piece (single; fold, opened out) or two (a pair: left and
 * right).
 *
 * A piece is always counter-clockwise and lies where it lies on the canvas: the drawn side in its place, the
 * twin mirrored.
 */
#ifndef ENGINE_PIECE_H
#define ENGINE_PIECE_H

#include "geom/offset.h"
#include "model/document.h"

/* One edge of a piece.  The fold edge of a fold panel is inside the opened piece and not among them; every
 * other edge of such a panel appears twice, once a side. */
typedef struct EnginePieceEdge
{
  guint edge_id;
  ModelSide side;      /* the side of the wearer this stretch lies on; of a single panel: the panel's */
  bool mirrored;       /* not as drawn: runs the other way than the drawn edge */
  size_t first, count; /* pieces of the seam path */
  double length_mm;
  double allowance_mm; /* without the knife */
  double cut_length_mm;
} EnginePieceEdge;

typedef struct EnginePiece
{
  guint panel_id;
  ModelSide side; /* CENTRE for an opened fold panel */
  bool drawn;     /* holds the drawn shape (an opened fold holds it too) */
  bool corrected; /* has own sides and at least one correction: differs from the mirrored shape */
  GeomPath seam;  /* closed, counter-clockwise */
  GArray *edges;  /* EnginePieceEdge in outline order, covering SEAM */
  bool plain;     /* all allowances and the knife are 0: the cut line is the seam line */
  bool clockwise; /* drawn the wrong way round; SEAM was turned, its edges count as mirrored */
  bool copied;    /* the mirrored copy of the drawn piece, figures included: nothing was worked out again */
  double area_mm2, perimeter_mm; /* of the seam */
  double knife_mm;               /* taken off all round */
  GeomBox bound;                 /* holds the cut line, with room to spare; known without it */
  bool has_cut; /* the rest is worked out: always so in pieces from engine_piece_new and from the review */
  GeomPath cut; /* closed; a copy of the seam where nothing is added */
  GeomCutSpan *spans; /* one an edge */
  GeomCutResult cut_result;
  double cut_area_mm2;
  GeomBox box; /* of the cut line */
} EnginePiece;

/* One place where a join exists.  SIDE as in EngineJoinReading; SIDE_A and SIDE_B say on which side each run
 * lies. */
typedef struct EngineJoinPlace
{
  ModelSide side, side_a, side_b;
} EngineJoinPlace;

/* The places of a join, left before right: 0 to 2 entries of OUT, 0 when a panel is missing.
 *  - Both panels of one side only, or a seam over the middle of one panel: once, side CENTRE.
 *  - One panel of one side only: once, on that side (of a centre panel: on the drawn side of the other).
 *  - Else left and right.  Where one run is marked twin, it lies across from the other; SIDE follows the run
 * not so marked. join->only leaves just that side; it means nothing to a join that exists once. */
int engine_join_places (const ModelDocument *doc, const ModelJoin *join, EngineJoinPlace out[2]);

/* The side of the drawn shape.  A mirrored panel that names none counts as left. */
ModelSide engine_panel_drawn_side (const ModelPanel *panel);
/* Mirrored: a pair, or a fold that has a fold edge and something beside it. */
bool engine_panel_is_mirrored (const ModelPanel *panel);
/* Has own sides and at least one correction that belongs to a node. */
bool engine_panel_is_corrected (const ModelPanel *panel);

/* The allowance each (edge, side) of PANEL asks for: its override, else the greatest that its joins want
 * (lapped: the lap on the under side only; stitched: the allowance on both; flush and gap: 0), else 0. */
double engine_allowance_mm (const ModelDocument *doc,
                            const ModelPanel *panel,
                            const ModelEdge *edge,
                            ModelSide side);
/* What JOIN alone asks of a run: IS_B says which. */
double engine_join_allowance_mm (const ModelJoin *join, bool is_b);
/* engine_allowance_mm for all edges of PANEL at once: OUT_MM has a place for each.  JOINS: those to look at
 * (ModelJoin), NULL for all. */
void engine_panel_allowances (
  const ModelDocument *doc, const ModelPanel *panel, const GPtrArray *joins, ModelSide side, double *out_mm);

/* The sides on which PANEL has a piece: 1 or 2 entries of SIDES. */
int engine_panel_sides (const ModelPanel *panel, ModelSide sides[2]);
/* The piece of PANEL on SIDE, worked out.  A fold panel without a fold edge counts as single.  Frees with
 * engine_piece_free. */
EnginePiece *engine_piece_new (const ModelDocument *doc, const ModelPanel *panel, ModelSide side);
/* The same without its cut line, looking at JOINS alone (ModelJoin, NULL for all).  DRAWN: the piece of the
 * other side of the pair, or NULL; if the two sides agree, its mirrored copy is returned: equal lengths and
 * areas to the last bit. */
EnginePiece *engine_piece_new_seam (const ModelDocument *doc,
                                    const ModelPanel *panel,
                                    ModelSide side,
                                    const GPtrArray *joins,
                                    const EnginePiece *drawn);
/* Works out the cut line if it is not there yet.  DRAWN, which must have its own, is asked for with a copied
 * piece alone. */
void engine_piece_add_cut (EnginePiece *piece, const ModelPanel *panel, const EnginePiece *drawn);
/* Shown without the cut line: there is one, and it does not meet itself.  Trimming makes it simple where the
 * seam is; and an inward cut that takes less than the piece has leaves something.  False: it is not so, or it
 * takes the cut line to tell. */
bool engine_piece_cut_is_sure (const EnginePiece *piece);
void engine_piece_free (EnginePiece *piece);
/* Index into piece->edges, -1 if not there.  SIDE matters for opened folds only. */
int engine_piece_find_edge (const EnginePiece *piece, guint edge_id, ModelSide side);
/* The stretch of seam of one edge, in the piece's direction.  OUT initialised. */
void engine_piece_edge_path (const EnginePiece *piece, guint index, GeomPath *out);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (EnginePiece, engine_piece_free)

#endif
