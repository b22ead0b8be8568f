/* Cutting a panel apart.
 *
 *        Q ____________            The ring of edges falls into two arcs, P to Q and Q to P.  Each arc gets
 * the |     Y      |           cut as its last edge.  The corners P and Q keep their ids in the piece whose
 *    -----P....cut.....Q-----      edge begins there, the other piece gets fresh ones.
 *         |     X      |
 */
#include "model/rework-ring.h"
#include "model/tape.h"

#include <glib/gi18n.h>

/* One match mark for so much of the cut, at most a handful. */
#define MARK_EVERY_MM 120.0
#define MOST_MARKS 5
/* The sine of the angle below which a cut's pieces run on smoothly. */
#define IN_LINE_SINE 1e-6
#define STRAIGHT_MM 1e-9

/* ---- the line ---- */

/* PATH turned and scaled so that it goes from A to B; false if it has no chord. */
static bool
fit_between (const GeomPath *path, GeomPoint a, GeomPoint b, GeomPath *out)
{
  GeomPoint from = path->piece[0].p[0], chord = geom_sub (path->piece[path->count - 1].p[3], from);
  GeomPoint want = geom_sub (b, a);
  double square = geom_dot (chord, chord);
  GeomAffine map;

  if (!(square > REWORK_LEAST_MM * REWORK_LEAST_MM))
    return false;
  map.xx = map.yy = geom_dot (chord, want) / square;
  map.yx = geom_cross (chord, want) / square;
  map.xy = -map.yx;
  map.x0 = a.x - map.xx * from.x - map.xy * from.y;
  map.y0 = a.y - map.yx * from.x - map.yy * from.y;
  geom_path_copy (out, path);
  geom_path_map (out, map);
  out->piece[0].p[0] = a;
  out->piece[out->count - 1].p[3] = b;
  return true;
}

/* From A to B over THROUGH, along the chord's direction there. */
static void
path_through (GeomPoint a, GeomPoint through, GeomPoint b, GeomPath *out)
{
  GeomPoint way = geom_unit (geom_sub (b, a));
  GeomPoint in = geom_along (through, -geom_distance (a, through) / 3.0, way);
  GeomPoint on = geom_along (through, geom_distance (b, through) / 3.0, way);

  geom_path_append (out, &(GeomCubic) { { a, geom_mix (a, in, 0.5), in, through } });
  geom_path_append (out, &(GeomCubic) { { through, on, geom_mix (b, on, 0.5), b } });
}

static void
drop_handles_of_lines (GeomPath *path)
{
  for (size_t i = 0; i < path->count; i++)
    if (geom_cubic_is_straight (&path->piece[i], STRAIGHT_MM))
    {
      path->piece[i].p[1] = path->piece[i].p[0];
      path->piece[i].p[2] = path->piece[i].p[3];
    }
}

/* The nodes of the cut from its first end, without the last, into EDGE; CORNER (the node at the path's end
 * that stays with the arc) gets its handle.  PATHS: one a shape. */
static void
lay_cut (ReworkEdge *edge,
         ModelDocument *ids,
         const GeomPath paths[REWORK_SHAPES],
         ReworkNode start,
         ReworkNode *end)
{
  size_t count = paths[0].count;

  for (size_t i = 0; i < count; i++)
  {
    ReworkNode node = start;
    guint id = model_document_take_id (ids);

    for (int s = 0; s < REWORK_SHAPES; s++)
    {
      const GeomCubic *c = &paths[s].piece[i];

      node.shape[s].id = id;
      node.shape[s].kind = MODEL_NODE_CORNER;
      node.shape[s].at = c->p[0];
      node.shape[s].out = c->p[1];
      if (i > 0)
        node.shape[s].in = paths[s].piece[i - 1].p[2];
    }
    if (i > 0)
    {
      GeomPoint u = geom_cubic_tangent (&paths[0].piece[i - 1], 1.0);
      GeomPoint v = geom_cubic_tangent (&paths[0].piece[i], 0.0);

      if (fabs (geom_cross (u, v)) <= IN_LINE_SINE && geom_dot (u, v) > 0.0)
        node.shape[0].kind = node.shape[1].kind = MODEL_NODE_SMOOTH;
    }
    else
      for (int s = 0; s < REWORK_SHAPES; s++)
        node.shape[s].in = start.shape[s].in;
    g_array_append_val (edge->nodes, node);
  }
  for (int s = 0; s < REWORK_SHAPES; s++)
    end->shape[s].in = paths[s].piece[count - 1].p[2];
}

/* ---- the pieces ---- */

static bool
has_fold (const ReworkRing *ring)
{
  for (guint e = 0; e < ring->edges->len; e++)
    if (rework_ring_is_fold (ring, e))
      return true;
  return false;
}

/* A piece that has lost the fold is cut twice: a pair about the fold's line if that is upright, else about a
 * line beside it. */
static void
settle_halves (ReworkRing *piece, const ReworkRing *whole)
{
  GeomPath path = { 0 };

  if (whole->panel->halves != MODEL_HALVES_FOLD || has_fold (piece))
    return;
  rework_ring_path (piece, 0, &path);
  piece->panel->halves = MODEL_HALVES_PAIR;
  piece->panel->mirror_x_mm = geom_path_box (&path).x0 - 10.0;
  for (guint e = 0; e < whole->edges->len; e++)
    if (rework_ring_is_fold (whole, e))
    {
      GeomCubic c = rework_ring_piece (whole, (ModelSeat) { e, 0 }, 0);

      if (fabs (c.p[0].x - c.p[3].x) <= REWORK_SAME_PLACE_MM)
        piece->panel->mirror_x_mm = c.p[0].x;
    }
  geom_path_clear (&path);
}

/* Edges FROM up to but not TO, closed by the cut along PATHS (from where TO begins back to where FROM
 * begins). */
static ReworkRing *
make_piece (const ReworkRing *whole,
            ModelDocument *ids,
            guint from,
            guint to,
            const GeomPath paths[REWORK_SHAPES],
            guint *cut)
{
  g_autoptr (ModelPanel) like = rework_ring_panel (whole);
  ReworkRing *piece = rework_ring_new (like);
  g_autoptr (GPtrArray) kept = g_ptr_array_new ();
  ReworkNode start = *rework_ring_node (whole, (ModelSeat) { to % whole->edges->len, 0 });
  ReworkEdge *edge;

  for (guint e = from; e % whole->edges->len != to % whole->edges->len; e++)
    g_ptr_array_add (kept, GUINT_TO_POINTER (rework_ring_edge (whole, e)->head->id));
  for (guint e = piece->edges->len; e-- > 0;)
    if (!g_ptr_array_find (kept, GUINT_TO_POINTER (rework_ring_edge (piece, e)->head->id), NULL))
      g_ptr_array_remove_index (piece->edges, e);
  /* The arc may run over the list's end: turn the list so that it begins with FROM. */
  while (rework_ring_edge (piece, 0)->head->id != rework_ring_edge (whole, from)->head->id)
    g_ptr_array_add (piece->edges, g_ptr_array_steal_index (piece->edges, 0));
  edge = rework_ring_insert_edge (piece, ids, piece->edges->len, NULL);
  g_free (edge->head->name);
  edge->head->name = g_strdup (_ ("cut"));
  lay_cut (edge, ids, paths, start, rework_ring_node (piece, (ModelSeat) { 0, 0 }));
  *cut = edge->head->id;
  settle_halves (piece, whole);
  return piece;
}

static double
area_of (const ReworkRing *ring)
{
  GeomPath path = { 0 };
  double area;

  rework_ring_path (ring, 0, &path);
  area = geom_path_area (&path);
  geom_path_clear (&path);
  return area;
}

/* "Front, lower": by where the new piece lies from the one that keeps the name. */
static char *
name_piece (const ModelDocument *doc, const ModelPanel *kept, const ModelPanel *made)
{
  GeomPath a = { 0 }, b = { 0 };
  GeomBox box_a, box_b;
  double dx, dy;
  g_autofree char *wish = NULL;

  model_panel_path (kept, &a, NULL);
  model_panel_path (made, &b, NULL);
  box_a = geom_path_box (&a);
  box_b = geom_path_box (&b);
  geom_path_clear (&a);
  geom_path_clear (&b);
  dx = box_b.x0 + box_b.x1 - box_a.x0 - box_a.x1;
  dy = box_b.y0 + box_b.y1 - box_a.y0 - box_a.y1;
  if (fabs (dy) >= fabs (dx))
    wish = dy < 0.0 ? g_strdup_printf (_ ("%s, lower"), kept->name)
                    : g_strdup_printf (_ ("%s, upper"), kept->name);
  else if (made->halves == MODEL_HALVES_SINGLE)
    wish = g_strdup_printf (_ ("%s, beside"), kept->name);
  else
  {
    double axis = made->mirror_x_mm;
    double far_made = fabs (0.5 * (box_b.x0 + box_b.x1) - axis),
           far_kept = fabs (0.5 * (box_a.x0 + box_a.x1) - axis);

    wish = far_made >= far_kept ? g_strdup_printf (_ ("%s, outer"), kept->name)
                                : g_strdup_printf (_ ("%s, inner"), kept->name);
  }
  return model_document_free_panel_name (doc, wish);
}

static void
add_marks (ModelDocument *ids, ModelPanel *x, guint cut_x, ModelPanel *y, guint cut_y, GArray *matches)
{
  double length = model_hold_edge_length (x, (guint)model_panel_find_edge (x, cut_x));
  int count = CLAMP ((int)(length / MARK_EVERY_MM + 0.5), 1, MOST_MARKS);

  for (int i = 1; i <= count; i++)
  {
    double along = length * i / (count + 1.0);
    ModelMark on_x = { .id = model_document_take_id (ids), .edge_id = cut_x, .at_mm = along, .wedges = 1 };
    ModelMark on_y
      = { .id = model_document_take_id (ids), .edge_id = cut_y, .at_mm = length - along, .wedges = 1 };
    ModelMatch match = { on_x.id, on_y.id };

    g_array_append_val (x->marks, on_x);
    g_array_append_val (y->marks, on_y);
    g_array_append_val (matches, match);
  }
}

/* Runs whose edges went to the new panel. */
static void
reroute_joins (Rework *rework, guint panel_id, const ModelPanel *made)
{
  g_autoptr (GArray) touched = g_array_new (FALSE, FALSE, sizeof (guint));

  for (guint i = 0; i < rework->doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (rework->doc->joins, i);

    if (join->a.panel_id == panel_id || join->b.panel_id == panel_id)
      g_array_append_val (touched, join->id);
  }
  for (guint i = 0; i < touched->len; i++)
  {
    ModelJoin *join = model_join_copy (model_document_join (rework->doc, g_array_index (touched, guint, i)));
    ModelRun *runs[] = { &join->a, &join->b };

    for (guint r = 0; r < G_N_ELEMENTS (runs); r++)
      if (runs[r]->panel_id == panel_id && runs[r]->edges->len > 0
          && model_panel_find_edge (made, g_array_index (runs[r]->edges, guint, 0)) >= 0)
        runs[r]->panel_id = made->id;
    model_history_put_join (rework->history, join);
  }
}

/* ---- the deed ---- */

/* PLACE lies inside the fold, so far from its ends that a fold is left on both sides; else it is moved onto
 * the end. */
static bool
is_inside_fold (const ReworkRing *ring, ModelReworkPlace *place)
{
  int e = rework_ring_find_edge (ring, place->edge_id);
  GeomCubic c;
  double length;

  if (e < 0 || !rework_ring_is_fold (ring, (guint)e) || place->node_index > 0
      || !(place->t >= 0.0 && place->t <= 1.0))
    return false;
  c = rework_ring_piece (ring, (ModelSeat) { (guint)e, 0 }, 0);
  length = geom_cubic_length (&c, MODEL_HOLD_LENGTH_ACCURACY_MM);
  if (place->t * length < 2.0 * MODEL_HOLD_MIN_FOLD_MM)
    place->t = 0.0;
  else if ((1.0 - place->t) * length < 2.0 * MODEL_HOLD_MIN_FOLD_MM)
    place->t = 1.0;
  else
    return true;
  return false;
}

/* Corners at both places, joins divided there; the ids of the edges that begin there.  A place inside the
 * fold waits: a panel with two folds cannot be put. */
static ReworkRing *
make_corners (Rework *rework, guint panel_id, ModelReworkPlace places[2], guint begin[2], GError **error)
{
  const ModelPanel *panel = rework_panel (rework, panel_id, error);
  g_autoptr (ReworkRing) ring = NULL;
  guint memory[2];
  bool inside[2];

  if (panel == NULL)
    return NULL;
  ring = rework_ring_new (panel);
  for (int i = 0; i < 2; i++)
  {
    inside[i] = is_inside_fold (ring, &places[i]);
    if (!rework_ring_remember (ring, places[i], &memory[i], error))
      return NULL;
  }
  if (inside[0] && inside[1])
  {
    rework_set_error (error, MODEL_REWORK_ERROR_FOLD, panel->name);
    return NULL;
  }
  for (int i = 0; i < 2; i++)
    if (!inside[i]
        && !rework_ring_corner_at (ring, rework->doc, rework_ring_place_of (ring, memory[i]), &begin[i],
                                   error))
      return NULL;
  if (!rework_put_ring (rework, ring, true, error))
    return NULL;
  for (int i = 0; i < 2; i++)
    if (!inside[i] && !rework_divide_joins (rework, panel_id, begin[i], -1.0, -1.0, error))
      return NULL;
  rework_ring_free (ring);
  ring = rework_ring_new (model_document_panel (rework->doc, panel_id));
  for (int i = 0; i < 2; i++)
    if (inside[i] && !rework_ring_corner_at (ring, rework->doc, places[i], &begin[i], error))
      return NULL;
  return g_steal_pointer (&ring);
}

static bool
lay_paths (const ReworkRing *ring,
           guint p,
           guint q,
           const GeomPath *path,
           const GeomPoint *through,
           GeomPath paths[REWORK_SHAPES],
           GeomPath back[REWORK_SHAPES])
{
  const ReworkNode *a = rework_ring_node (ring, (ModelSeat) { p, 0 }),
                   *b = rework_ring_node (ring, (ModelSeat) { q, 0 });
  GeomPath line = { 0 };
  bool done = true;

  if (path != NULL && path->count > 0)
    geom_path_copy (&line, path);
  else if (through != NULL)
    path_through (a->shape[0].at, *through, b->shape[0].at, &line);
  else
    geom_path_append_line (&line, a->shape[0].at, b->shape[0].at);
  line.closed = false;
  for (int s = 0; s < REWORK_SHAPES && done; s++)
  {
    done = fit_between (&line, a->shape[s].at, b->shape[s].at, &paths[s]);
    if (!done)
      break;
    drop_handles_of_lines (&paths[s]);
    geom_path_copy (&back[s], &paths[s]);
    geom_path_reverse (&back[s]);
  }
  geom_path_clear (&line);
  return done;
}

static bool
put_pieces (Rework *rework,
            const ReworkRing *ring,
            guint p,
            guint q,
            const GeomPath forth[],
            const GeomPath back[],
            GError **error)
{
  guint cut_x, cut_y, panel_id = ring->panel->id;
  g_autoptr (ReworkRing) x = make_piece (ring, rework->doc, p, q, back, &cut_x);
  g_autoptr (ReworkRing) y = make_piece (ring, rework->doc, q, p, forth, &cut_y);
  bool keep_x = has_fold (x) != has_fold (y) ? has_fold (x) : area_of (x) >= area_of (y);
  ReworkRing *fresh = keep_x ? y : x;
  g_autoptr (ModelPanel) panel_x = NULL;
  g_autoptr (ModelPanel) panel_y = NULL;
  g_autoptr (GArray) matches = g_array_new (FALSE, FALSE, sizeof (ModelMatch));
  ModelPanel *kept, *made;

  fresh->panel->id = model_document_take_id (rework->doc);
  panel_x = rework_ring_panel (x);
  panel_y = rework_ring_panel (y);
  model_tapes_keep_inside (panel_x);
  model_tapes_keep_inside (panel_y);
  if (!rework_is_sound (NULL, panel_x, error) || !rework_is_sound (NULL, panel_y, error))
    return false;
  add_marks (rework->doc, panel_x, cut_x, panel_y, cut_y, matches);
  kept = keep_x ? panel_x : panel_y;
  made = keep_x ? panel_y : panel_x;
  {
    char *name = name_piece (rework->doc, kept, made);

    g_free (made->name);
    made->name = name;
  }
  rework->made.panel_id = made->id;
  rework->made.edge_id = keep_x ? cut_x : cut_y;
  model_history_begin (rework->history, "");
  model_history_put_panel (rework->history, model_panel_copy (kept));
  model_history_put_panel (rework->history, model_panel_copy (made));
  reroute_joins (rework, panel_id, made);
  rework->made.join_id = rework_put_join (rework, panel_x->id, cut_x, panel_y->id, cut_y, matches);
  model_history_end (rework->history);
  return true;
}

static bool
cut_apart (Rework *rework,
           guint panel_id,
           ModelReworkPlace from,
           ModelReworkPlace to,
           const GeomPath *path,
           const GeomPoint *through,
           GError **error)
{
  ModelReworkPlace places[2] = { from, to };
  GeomPath forth[REWORK_SHAPES] = { 0 }, back[REWORK_SHAPES] = { 0 };
  guint begin[2] = { 0 };
  g_autoptr (ReworkRing) ring = make_corners (rework, panel_id, places, begin, error);
  int p, q;
  bool done = false;

  if (ring == NULL)
    return false;
  p = rework_ring_find_edge (ring, begin[0]);
  q = rework_ring_find_edge (ring, begin[1]);
  if (p < 0 || q < 0 || p == q)
    rework_set_error (error, MODEL_REWORK_ERROR_PLACE, ring->panel->name);
  else if (!lay_paths (ring, (guint)p, (guint)q, path, through, forth, back))
    rework_set_error (error, MODEL_REWORK_ERROR_SHAPE, ring->panel->name);
  else
    done = put_pieces (rework, ring, (guint)p, (guint)q, forth, back, error);
  for (int s = 0; s < REWORK_SHAPES; s++)
  {
    geom_path_clear (&forth[s]);
    geom_path_clear (&back[s]);
  }
  return done;
}

static bool
path_is_finite (const GeomPath *path)
{
  for (size_t i = 0; path != NULL && i < path->count; i++)
    for (int k = 0; k < 4; k++)
      if (!model_hold_in_bounds (path->piece[i].p[k]))
        return false;
  return path == NULL || path->count < MODEL_FILE_MAX_NODES;
}

static bool
run_cut (ModelHistory *history,
         guint panel_id,
         ModelReworkPlace from,
         ModelReworkPlace to,
         const GeomPath *path,
         const GeomPoint *through,
         ModelReworkMade *made,
         GError **error)
{
  Rework rework;

  rework_open (&rework, history);
  if (!path_is_finite (path) || (through != NULL && !model_hold_in_bounds (*through)))
  {
    rework_set_error (error, MODEL_REWORK_ERROR_VALUE, "");
    return rework_abandon (&rework);
  }
  if (!cut_apart (&rework, panel_id, from, to, path, through, error))
    return rework_abandon (&rework);
  return rework_commit (&rework, _ ("Cut apart"), made);
}

bool
model_rework_cut (ModelHistory *history,
                  guint panel_id,
                  ModelReworkPlace from,
                  ModelReworkPlace to,
                  const GeomPath *path,
                  ModelReworkMade *made,
                  GError **error)
{
  return run_cut (history, panel_id, from, to, path, NULL, made, error);
}

bool
model_rework_cut_through (ModelHistory *history,
                          guint panel_id,
                          ModelReworkPlace from,
                          ModelReworkPlace to,
                          GeomPoint through,
                          ModelReworkMade *made,
                          GError **error)
{
  return run_cut (history, panel_id, from, to, NULL, &through, made, error);
}

/* ---- two darts into a seam ---- */

static bool
run_is_among (const ModelRun *run, guint panel_id, const guint legs[4])
{
  for (guint i = 0; i < run->edges->len; i++)
  {
    guint id = g_array_index (run->edges, guint, i);

    if (id != legs[0] && id != legs[1] && id != legs[2] && id != legs[3])
      return false;
  }
  return run->panel_id == panel_id;
}

static void
remove_leg_joins (Rework *rework, guint panel_id, const guint legs[4])
{
  for (guint i = rework->doc->joins->len; i-- > 0;)
  {
    const ModelJoin *join = g_ptr_array_index (rework->doc->joins, i);

    if (run_is_among (&join->a, panel_id, legs) && run_is_among (&join->b, panel_id, legs))
      model_history_remove (rework->history, MODEL_PART_JOIN, join->id);
  }
}

/* The edges on either side of the cut join the run. */
static void
widen_run (const ModelDocument *doc, ModelRun *run)
{
  const ModelPanel *panel = model_document_panel (doc, run->panel_id);
  guint count = panel->edges->len;
  guint e = (guint)model_panel_find_edge (panel, g_array_index (run->edges, guint, 0));

  g_array_set_size (run->edges, 0);
  for (guint i = 0; i < 3; i++)
    g_array_append_val (run->edges, model_panel_edge (panel, (e + count - 1 + i) % count)->id);
}

bool
model_rework_darts_to_seam (ModelHistory *history,
                            guint panel_id,
                            guint dart_edge_id,
                            guint other_dart_edge_id,
                            ModelReworkMade *made,
                            GError **error)
{
  Rework rework;
  const ModelPanel *panel;
  guint legs[4];
  ModelJoin *join;

  rework_open (&rework, history);
  panel = rework_panel (&rework, panel_id, error);
  if (panel == NULL)
    return rework_abandon (&rework);
  if (!model_rework_find_dart (panel, dart_edge_id, &legs[0], &legs[1], NULL)
      || !model_rework_find_dart (panel, other_dart_edge_id, &legs[2], &legs[3], NULL) || legs[0] == legs[2]
      || legs[0] == legs[3] || legs[1] == legs[2])
  {
    rework_set_error (error, MODEL_REWORK_ERROR_PLACE, panel->name);
    return rework_abandon (&rework);
  }
  remove_leg_joins (&rework, panel_id, legs);
  if (!cut_apart (&rework, panel_id, (ModelReworkPlace) { legs[1], 0, 0.0 },
                  (ModelReworkPlace) { legs[3], 0, 0.0 }, NULL, NULL, error))
    return rework_abandon (&rework);
  join = model_join_copy (model_document_join (rework.doc, rework.made.join_id));
  widen_run (rework.doc, &join->a);
  widen_run (rework.doc, &join->b);
  model_history_put_join (rework.history, join);
  return rework_commit (&rework, _ ("Darts into a seam"), made);
}
