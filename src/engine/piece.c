/* Panels as they are cut: halves opened out, twins mirrored, allowances added.
 *
 *     drawn half      opened out            The half goes from the end of the fold edge round to its start;
 * the mirrored half, |‾‾\             /‾‾|‾‾\             turned round so that it runs counter-clockwise too,
 * closes the piece. |   |           |   |   |            The fold edge lies inside and is no edge of the
 * piece.
 *      |__/             \__|__/
 */
#include "engine/piece.h"
#include "engine/tolerance.h"

/* Less area than the point of a needle: there is nothing to move outward. */
#define NO_AREA_MM2 1e-9
/* An inward cut that takes at most half is sure to leave something: far from where rounding could tell. */
#define SURE_SHARE 2.0

int
engine_panel_sides (const ModelPanel *panel, ModelSide sides[2])
{
  switch (panel->halves)
  {
  case MODEL_HALVES_SINGLE:
    sides[0] = panel->side;
    return 1;
  case MODEL_HALVES_FOLD:
    sides[0] = MODEL_SIDE_CENTRE;
    return 1;
  case MODEL_HALVES_PAIR:
    sides[0] = MODEL_SIDE_LEFT;
    sides[1] = MODEL_SIDE_RIGHT;
    return 2;
  }
  return 0;
}

/* ---- the seam ---- */

static void
add_edge (
  EnginePiece *piece, const ModelPanel *panel, guint index, ModelSide side, const size_t *first, size_t total)
{
  size_t end = index + 1 < panel->edges->len ? first[index + 1] : total;
  EnginePieceEdge edge = { .edge_id = model_panel_edge (panel, index)->id,
                           .side = side,
                           .first = first[index],
                           .count = end - first[index] };
  g_array_append_val (piece->edges, edge);
}

/* The same seam the other way round. */
static void
turn_round (EnginePiece *piece)
{
  geom_path_reverse (&piece->seam);
  guint n = piece->edges->len;
  for (guint i = 0; i < n / 2; i++)
  {
    EnginePieceEdge *a = &g_array_index (piece->edges, EnginePieceEdge, i);
    EnginePieceEdge *b = &g_array_index (piece->edges, EnginePieceEdge, n - 1 - i);
    EnginePieceEdge swap = *a;
    *a = *b;
    *b = swap;
  }
  size_t at = 0;
  for (guint i = 0; i < n; i++)
  {
    EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, i);
    edge->mirrored = !edge->mirrored;
    edge->first = at;
    at += edge->count;
  }
}

static void
build_whole (EnginePiece *piece, const ModelPanel *panel, ModelSide side, bool drawn, size_t *first)
{
  if (drawn)
    model_panel_path (panel, &piece->seam, first);
  else
    model_panel_twin_path (panel, &piece->seam, first);
  for (guint i = 0; i < panel->edges->len; i++)
    add_edge (piece, panel, i, side, first, piece->seam.count);
  if (!drawn)
    turn_round (piece);
}

/* Pieces and edges of one half, from the end of the fold edge to its start. */
static void
append_half (EnginePiece *piece,
             const ModelPanel *panel,
             guint fold,
             const GeomPath *half,
             const size_t *first,
             ModelSide side)
{
  guint n = panel->edges->len;
  for (guint k = 1; k < n; k++)
  {
    guint index = (fold + k) % n;
    size_t end = index + 1 < n ? first[index + 1] : half->count;
    EnginePieceEdge edge = { .edge_id = model_panel_edge (panel, index)->id,
                             .side = side,
                             .first = piece->seam.count,
                             .count = end - first[index] };
    for (size_t i = first[index]; i < end; i++)
      geom_path_append (&piece->seam, &half->piece[i]);
    g_array_append_val (piece->edges, edge);
  }
}

static void
build_opened (EnginePiece *piece, const ModelPanel *panel, guint fold, size_t *first)
{
  ModelSide drawn = engine_panel_drawn_side (panel), other = model_side_other (drawn);
  GeomPath half;
  geom_path_init (&half);
  model_panel_twin_path (panel, &half, first);
  append_half (piece, panel, fold, &half, first, other);
  turn_round (piece);
  geom_path_reset (&half);
  model_panel_path (panel, &half, first);
  append_half (piece, panel, fold, &half, first, drawn);
  geom_path_clear (&half);

  /* A correction must not tear the piece open at the fold: both ends of the mirrored half are put on the
   * drawn one's. */
  GeomCubic *cubics = piece->seam.piece;
  size_t mid = piece->seam.count / 2, last = piece->seam.count - 1;
  cubics[mid - 1].p[3] = cubics[mid].p[0];
  cubics[0].p[0] = cubics[last].p[3];
  piece->seam.closed = true;
}

/* ---- lengths and the cut ---- */

static double
stretch_length (const GeomPath *seam, size_t first, size_t count)
{
  double sum = 0.0;
  for (size_t i = first; i < first + count; i++)
    sum += geom_cubic_length (&seam->piece[i], ENGINE_TOL_LENGTH_MM);
  return sum;
}

static void
measure_edges (EnginePiece *piece)
{
  piece->perimeter_mm = 0.0;
  for (guint i = 0; i < piece->edges->len; i++)
  {
    EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, i);
    /* An opened fold that is alike holds its edges twice, the second half backwards: equal to the last bit,
     * and half the work. */
    const EnginePieceEdge *alike = NULL;
    if (piece->side == MODEL_SIDE_CENTRE && !piece->corrected && i >= piece->edges->len / 2)
      alike = &g_array_index (piece->edges, EnginePieceEdge, piece->edges->len - 1 - i);
    if (alike && alike != edge && alike->edge_id == edge->edge_id)
      edge->length_mm = alike->length_mm;
    else
      edge->length_mm = stretch_length (&piece->seam, edge->first, edge->count);
    piece->perimeter_mm += edge->length_mm;
  }
}

static void
set_allowances (EnginePiece *piece, const ModelDocument *doc, const ModelPanel *panel, const GPtrArray *joins)
{
  guint n = panel->edges->len;
  if (n == 0)
    return;
  g_autofree double *mm = g_new (double, n * 2);
  ModelSide drawn = engine_panel_drawn_side (panel), other = model_side_other (drawn);
  engine_panel_allowances (doc, panel, joins, drawn, mm);
  engine_panel_allowances (doc, panel, joins, other, mm + n);
  for (guint i = 0; i < piece->edges->len; i++)
  {
    EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, i);
    int index = model_panel_find_edge (panel, edge->edge_id);
    edge->allowance_mm = index < 0 ? 0.0 : mm[edge->side == drawn ? (guint)index : n + (guint)index];
  }
}

static double
knife_of (const ModelDocument *doc, const ModelPanel *panel)
{
  const ModelMaterial *material
    = panel->material_id ? model_document_material (doc, panel->material_id) : NULL;
  return material ? material->knife_mm : 0.0;
}

static void
copy_seam_as_cut (EnginePiece *piece)
{
  geom_path_copy (&piece->cut, &piece->seam);
  for (guint i = 0; i < piece->edges->len; i++)
  {
    EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, i);
    piece->spans[i] = (GeomCutSpan) { .from = { edge->first, 0.0 },
                                      .to = { edge->first + edge->count - 1, 1.0 },
                                      .length_mm = edge->length_mm };
  }
  piece->cut_area_mm2 = piece->area_mm2;
}

/* What can be said of the cut without it. */
static void
bound_cut (EnginePiece *piece)
{
  double most = 0.0;
  piece->plain = true;
  for (guint i = 0; i < piece->edges->len; i++)
  {
    double net = g_array_index (piece->edges, EnginePieceEdge, i).allowance_mm - piece->knife_mm;
    most = fmax (most, net);
    if (net < 0.0 || net > 0.0)
      piece->plain = false;
  }
  GeomBox box = geom_box_empty ();
  for (size_t i = 0; i < piece->seam.count; i++)
    box = geom_box_union (box, geom_cubic_hull_box (&piece->seam.piece[i]));
  /* A blunt end lies square across at the limit, no wider than the allowance on either hand: sqrt (limit^2 +
   * 1) of it away. */
  piece->bound = geom_box_grown (box, most * hypot (ENGINE_MITRE_LIMIT, 1.0));
}

static bool
has_area (const EnginePiece *piece)
{
  return piece->area_mm2 > NO_AREA_MM2;
}

static void
make_cut (EnginePiece *piece)
{
  guint n = piece->edges->len;
  piece->spans = g_new0 (GeomCutSpan, n);
  if (piece->plain || !has_area (piece))
  {
    copy_seam_as_cut (piece);
    piece->cut_result = has_area (piece) ? GEOM_CUT_OK : GEOM_CUT_UNTRIMMED;
  }
  else
  {
    g_autofree GeomCutEdge *edges = g_new0 (GeomCutEdge, n);
    for (guint i = 0; i < n; i++)
    {
      const EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, i);
      edges[i] = (GeomCutEdge) { edge->first, edge->count, edge->allowance_mm - piece->knife_mm };
    }
    GeomCutOptions options = { ENGINE_TOL_CUT_MM, ENGINE_MITRE_LIMIT };
    piece->cut_result = geom_cut_outline (&piece->seam, edges, n, &options, &piece->cut, piece->spans);
    piece->cut_area_mm2 = geom_path_area (&piece->cut);
  }
  for (guint i = 0; i < n; i++)
    g_array_index (piece->edges, EnginePieceEdge, i).cut_length_mm = piece->spans[i].length_mm;
}

static void
mirror_cut (EnginePiece *piece, const EnginePiece *drawn, GeomAffine mirror)
{
  guint n = drawn->edges->len;
  geom_path_copy (&piece->cut, &drawn->cut);
  geom_path_map (&piece->cut, mirror);
  geom_path_reverse (&piece->cut);
  piece->cut_result = drawn->cut_result;
  piece->cut_area_mm2 = drawn->cut_area_mm2;
  piece->spans = g_new0 (GeomCutSpan, n);
  for (guint i = 0; i < n; i++)
  {
    const GeomCutSpan *was = &drawn->spans[n - 1 - i];
    size_t top = piece->cut.count > 0 ? piece->cut.count - 1 : 0;
    piece->spans[i].from = (GeomPlace) { top - MIN (was->to.piece, top), 1.0 - was->to.t };
    piece->spans[i].to = (GeomPlace) { top - MIN (was->from.piece, top), 1.0 - was->from.t };
    piece->spans[i].length_mm = was->length_mm;
    g_array_index (piece->edges, EnginePieceEdge, i).cut_length_mm = was->length_mm;
  }
}

void
engine_piece_add_cut (EnginePiece *piece, const ModelPanel *panel, const EnginePiece *drawn)
{
  if (piece->has_cut)
    return;
  if (piece->copied && drawn && drawn->has_cut)
    mirror_cut (piece, drawn, model_panel_mirror (panel));
  else
    make_cut (piece);
  piece->box = geom_path_box (piece->cut.count > 0 ? &piece->cut : &piece->seam);
  piece->has_cut = true;
}

bool
engine_piece_cut_is_sure (const EnginePiece *piece)
{
  double least = 0.0, most = 0.0;
  for (guint i = 0; i < piece->edges->len; i++)
  {
    double net = g_array_index (piece->edges, EnginePieceEdge, i).allowance_mm - piece->knife_mm;
    least = fmin (least, net);
    most = fmax (most, net);
  }
  if (!(least < 0.0))
    return has_area (piece);
  /* Outward here and inward there: corners between the two can do strange things. */
  if (most > 0.0)
    return false;
  /* All that lies within d of the outline is no more than its length times d, and at each corner a sector of
   * d. */
  double d = -least, corners = (double)piece->seam.count * G_PI * d * d;
  return piece->area_mm2 > SURE_SHARE * (piece->perimeter_mm * d + corners);
}

/* ---- the mirrored copy ---- */

static bool
sides_agree (const ModelDocument *doc, const ModelPanel *panel, const GPtrArray *joins)
{
  if (panel->halves != MODEL_HALVES_PAIR || engine_panel_is_corrected (panel))
    return false;
  guint n = panel->edges->len;
  g_autofree double *mm = g_new (double, n * 2);
  engine_panel_allowances (doc, panel, joins, MODEL_SIDE_LEFT, mm);
  engine_panel_allowances (doc, panel, joins, MODEL_SIDE_RIGHT, mm + n);
  for (guint i = 0; i < n; i++)
    if (mm[i] < mm[n + i] || mm[i] > mm[n + i])
      return false;
  return true;
}

static EnginePiece *
mirrored_copy (const EnginePiece *drawn, GeomAffine mirror)
{
  EnginePiece *piece = g_new0 (EnginePiece, 1);
  guint n = drawn->edges->len;
  *piece = *drawn;
  piece->side = model_side_other (drawn->side);
  piece->drawn = false;
  piece->copied = true;
  piece->edges = g_array_sized_new (FALSE, TRUE, sizeof (EnginePieceEdge), n);
  g_array_append_vals (piece->edges, drawn->edges->data, n);
  geom_path_init (&piece->seam);
  geom_path_init (&piece->cut);
  geom_path_copy (&piece->seam, &drawn->seam);
  geom_path_map (&piece->seam, mirror);
  turn_round (piece);
  for (guint i = 0; i < n; i++)
    g_array_index (piece->edges, EnginePieceEdge, i).side = piece->side;
  piece->spans = NULL;
  piece->has_cut = false;
  bound_cut (piece);
  return piece;
}

/* ---- a piece's life ---- */

EnginePiece *
engine_piece_new_seam (const ModelDocument *doc,
                       const ModelPanel *panel,
                       ModelSide side,
                       const GPtrArray *joins,
                       const EnginePiece *drawn)
{
  if (drawn && drawn->drawn && sides_agree (doc, panel, joins))
    return mirrored_copy (drawn, model_panel_mirror (panel));

  EnginePiece *piece = g_new0 (EnginePiece, 1);
  guint n = panel->edges->len;
  g_autofree size_t *first = g_new0 (size_t, n);
  bool mirrored = engine_panel_is_mirrored (panel), fold = panel->halves == MODEL_HALVES_FOLD && mirrored;
  piece->panel_id = panel->id;
  piece->side = panel->halves == MODEL_HALVES_FOLD ? MODEL_SIDE_CENTRE : side;
  piece->drawn = panel->halves != MODEL_HALVES_PAIR || side == engine_panel_drawn_side (panel);
  piece->corrected = engine_panel_is_corrected (panel);
  piece->edges = g_array_sized_new (FALSE, TRUE, sizeof (EnginePieceEdge), fold ? 2 * n : n);
  geom_path_init (&piece->seam);
  geom_path_init (&piece->cut);
  if (fold)
    build_opened (piece, panel, (guint)model_panel_fold_edge (panel), first);
  else
    build_whole (piece, panel, mirrored ? side : engine_panel_drawn_side (panel), piece->drawn, first);

  piece->area_mm2 = geom_path_area (&piece->seam);
  if (piece->area_mm2 < 0.0)
  {
    piece->clockwise = true;
    piece->area_mm2 = -piece->area_mm2;
    turn_round (piece);
  }
  measure_edges (piece);
  set_allowances (piece, doc, panel, joins);
  piece->knife_mm = knife_of (doc, panel);
  bound_cut (piece);
  return piece;
}

EnginePiece *
engine_piece_new (const ModelDocument *doc, const ModelPanel *panel, ModelSide side)
{
  EnginePiece *piece = engine_piece_new_seam (doc, panel, side, NULL, NULL);
  engine_piece_add_cut (piece, panel, NULL);
  return piece;
}

void
engine_piece_free (EnginePiece *piece)
{
  if (!piece)
    return;
  geom_path_clear (&piece->seam);
  geom_path_clear (&piece->cut);
  g_array_unref (piece->edges);
  g_free (piece->spans);
  g_free (piece);
}

int
engine_piece_find_edge (const EnginePiece *piece, guint edge_id, ModelSide side)
{
  int found = -1;
  for (guint i = 0; i < piece->edges->len; i++)
  {
    const EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, i);
    if (edge->edge_id != edge_id)
      continue;
    if (edge->side == side)
      return (int)i;
    if (found < 0 || !edge->mirrored)
      found = (int)i;
  }
  return found;
}

void
engine_piece_edge_path (const EnginePiece *piece, guint index, GeomPath *out)
{
  const EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, index);
  for (size_t i = edge->first; i < edge->first + edge->count; i++)
    geom_path_append (out, &piece->seam.piece[i]);
}
