/* What starters draw with: a pen for outlines, and the joins, marks and material of a new document.
 *
 * Private to the starters.
 */
#ifndef ENGINE_STARTER_DRAFT_H
#define ENGINE_STARTER_DRAFT_H

#include "engine/starter.h"

struct EngineDraft
{
  ModelDocument *doc;
  guint material_id; /* 0: none */
};

/* ---- the document ---- */

/* Leather, for all panels drawn from now on. */
void engine_draft_material (EngineDraft *draft, double thickness_mm, double neutral);
/* Title and note; copied. */
void engine_draft_head (EngineDraft *draft, const char *title, const char *note);
/* Sets the error with a message made from the format; false. */
bool engine_draft_refuse (GError **error, const char *format, ...) G_GNUC_PRINTF (2, 3);
/* "154.0 mm", for such a message; the caller frees. */
char *engine_draft_length (double mm);
/* What layers of UNDER_MM and leather of THICKNESS_MM make a closed girth longer. */
double engine_draft_more (double under_mm, double thickness_mm, double neutral);

/* ---- an outline ---- */

/* Draws one panel, counter-clockwise.  The first edge begins where the pen is put down; each further edge
 * where the pen is.  Straight pieces have no handles. */
typedef struct EnginePen
{
  EngineDraft *draft;
  ModelPanel *panel;
  GArray *pieces; /* GeomCubic */
  GArray *starts; /* guint: piece at which an edge begins */
  GPtrArray *names;
  GeomPoint at;
} EnginePen;

void engine_pen_begin (EnginePen *pen, EngineDraft *draft, const char *name, GeomPoint at);
void engine_pen_edge (EnginePen *pen, const char *name);
void engine_pen_line (EnginePen *pen, GeomPoint to);
void engine_pen_curve (EnginePen *pen, GeomPoint out, GeomPoint in, GeomPoint to);
void engine_pen_cubic (EnginePen *pen, const GeomCubic *c);
/* From where the pen is, on a circle round CENTRE, through ANGLE_RAD (negative: clockwise), in pieces of at
 * most 30 degrees: such a piece is 2e-7 of its length too long (k = 4/3 tan (angle/4)). */
void engine_pen_arc (EnginePen *pen, GeomPoint centre, double angle_rad);
/* Closes the outline and puts the panel into the document, where it stays; the pen must be at the start. */
ModelPanel *engine_pen_close (EnginePen *pen);

/* A pair, drawn on the wearer's left, its twin mirrored in x = MIRROR_X_MM. */
void engine_draft_pair (ModelPanel *panel, double mirror_x_mm);
/* On the fold: the edge EDGE. */
void engine_draft_fold (ModelPanel *panel, guint edge);
void engine_draft_grain (ModelPanel *panel, double grain_deg);

/* ---- joins and lines ---- */

/* Joins edge A of PA to edge B of PB; the caller sets what the kind wants.  In the document. */
ModelJoin *
engine_draft_join (EngineDraft *draft, ModelJoinKind kind, ModelPanel *pa, guint a, ModelPanel *pb, guint b);
/* Marks on both runs of a join of one edge each, ALONG_MM from where they start together, which is less than
 * the length of either. */
void engine_draft_match (EngineDraft *draft, ModelJoin *join, double along_mm, int wedges);
/* A line of KIND held against the measure of that key, BETWEEN_MM more; in the document.  NULL: the starter
 * has no such measure. */
ModelLine *engine_draft_line (
  EngineDraft *draft, ModelLineKind kind, const char *name, const char *key, double between_mm);
/* A span across PANEL from edge A to edge B, where each lies at the height Y_MM: at a node there, else on the
 * straight piece through it. */
void
engine_draft_span_at (EngineDraft *draft, ModelLine *line, ModelPanel *panel, guint a, guint b, double y_mm);
/* A span between places on two edges, by length. */
void engine_draft_span (EngineDraft *draft,
                        ModelLine *line,
                        ModelPanel *panel,
                        guint a,
                        double a_along_mm,
                        guint b,
                        double b_along_mm);
double engine_draft_edge_length (const ModelPanel *panel, guint edge);

#endif
