#include "engine/compare.h"

#include "engine/piece.h"
#include "engine/tolerance.h"
#include "model/shape.h"

/* Nodes this near to their later places count as unmoved when a panel is laid. */
#define SAME_NODE_MM 0.01
/* One node that agrees says nothing of where the others lie. */
#define LEAST_SAME 2
/* A change smaller than this is no change: half of what a screen shows. */
#define LEAST_MM 0.05
/* Pairs of neighbouring nodes that are tried for laying. */
#define MOST_PAIRS 64
/* Samples of a piece for the greatest distance, and the steps that narrow the best of them. */
#define SAMPLES 24
#define NARROWINGS 40

/* ---- laying ---- */

typedef struct Pair
{
  GeomPoint was, now;
} Pair;

static GArray *
common_nodes (const ModelPanel *was, const ModelPanel *now, ModelSide side)
{
  GArray *pairs = g_array_new (FALSE, FALSE, sizeof (Pair));
  for (guint e = 0; e < now->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (now, e)->nodes->len; n++)
    {
      guint id = model_edge_node (model_panel_edge (now, e), n)->id;
      Pair pair;
      if (model_shape_where (was, side, id, MODEL_HANDLE_NONE, &pair.was)
          && model_shape_where (now, side, id, MODEL_HANDLE_NONE, &pair.now))
        g_array_append_val (pairs, pair);
    }
  return pairs;
}

static guint
count_same (const GArray *pairs, GeomAffine map)
{
  guint count = 0;
  for (guint i = 0; i < pairs->len; i++)
  {
    const Pair *pair = &g_array_index (pairs, Pair, i);
    count += geom_distance (geom_affine_apply (map, pair->was), pair->now) <= SAME_NODE_MM;
  }
  return count;
}

/* The turn and move that takes one pair of points onto another equally far apart.  False: they are not. */
static bool
lay_pair (const Pair *a, const Pair *b, GeomAffine *map)
{
  GeomPoint was = geom_sub (b->was, a->was), now = geom_sub (b->now, a->now);
  double length = geom_norm (was);
  if (length < 1.0 || fabs (length - geom_norm (now)) > SAME_NODE_MM)
    return false;
  double turn = atan2 (geom_cross (was, now), geom_dot (was, now));
  GeomPoint by = geom_sub (a->now, a->was);
  *map = geom_affine_after (geom_affine_move (by.x, by.y), geom_affine_turn (a->was, turn));
  return true;
}

GeomAffine
engine_compare_laid (const ModelPanel *was, const ModelPanel *now, ModelSide side)
{
  g_autoptr (GArray) pairs = common_nodes (was, now, side);
  GeomAffine best = geom_affine_identity ();
  guint most = count_same (pairs, best);
  for (guint i = 0; i < MIN (pairs->len, MOST_PAIRS) && most < pairs->len; i++)
  {
    const Pair *a = &g_array_index (pairs, Pair, i), *b = &g_array_index (pairs, Pair, (i + 1) % pairs->len);
    GeomPoint by = geom_sub (a->now, a->was);
    GeomAffine tried[2] = { geom_affine_move (by.x, by.y) };
    int count = lay_pair (a, b, &tried[1]) ? 2 : 1;
    for (int k = 0; k < count; k++)
    {
      guint same = count_same (pairs, tried[k]);
      if (same > most && same >= LEAST_SAME)
      {
        most = same;
        best = tried[k];
      }
    }
  }
  return best;
}

/* ---- distances ---- */

static double
distance_at (const GeomCubic *piece, double t, const GeomPath *other)
{
  return geom_path_nearest (other, geom_cubic_at (piece, t)).distance_mm;
}

/* The point of PATH farthest from OTHER: the best sample, narrowed between its neighbours. */
static double
farthest (const GeomPath *path, const GeomPath *other, GeomPoint *on_path, GeomPoint *on_other)
{
  double most = -1.0;
  size_t best = 0;
  double best_t = 0.0;
  for (size_t k = 0; k < path->count; k++)
    for (int i = 0; i <= SAMPLES; i++)
    {
      double t = (double)i / SAMPLES, d = distance_at (&path->piece[k], t, other);
      if (d > most)
      {
        most = d;
        best = k;
        best_t = t;
      }
    }
  double lo = MAX (best_t - 1.0 / SAMPLES, 0.0), hi = MIN (best_t + 1.0 / SAMPLES, 1.0);
  for (int i = 0; i < NARROWINGS; i++)
  {
    double a = lo + (hi - lo) / 3.0, b = hi - (hi - lo) / 3.0;
    double da = distance_at (&path->piece[best], a, other), db = distance_at (&path->piece[best], b, other);
    if (MAX (da, db) > most)
    {
      most = MAX (da, db);
      best_t = da > db ? a : b;
    }
    if (da > db)
      hi = b;
    else
      lo = a;
  }
  *on_path = geom_cubic_at (&path->piece[best], best_t);
  *on_other = geom_path_nearest (other, *on_path).point;
  return most;
}

double
engine_compare_apart (const GeomPath *was, const GeomPath *now, GeomPoint *at)
{
  if (was->count == 0 || now->count == 0)
    return INFINITY;
  GeomPoint was_at, now_at, beside_was, beside_now;
  double from_now = farthest (now, was, &now_at, &beside_now);
  double from_was = farthest (was, now, &was_at, &beside_was);
  if (at != NULL)
    *at = from_now >= from_was ? now_at : beside_was;
  return MAX (from_now, from_was);
}

/* ---- panels ---- */

static EngineChange
blank (EngineChangeKind kind)
{
  return (EngineChange) { .kind = kind, .was_mm = NAN, .now_mm = NAN, .apart_mm = NAN };
}

static void
note_panel (GArray *out, EngineChangeKind kind, guint panel_id)
{
  EngineChange change = blank (kind);
  change.panel_id = panel_id;
  g_array_append_val (out, change);
}

static void
side_path (const ModelPanel *panel, ModelSide side, GeomPath *path, size_t **first)
{
  *first = g_new0 (size_t, panel->edges->len + 1);
  if (side != MODEL_SIDE_CENTRE && side != engine_panel_drawn_side (panel))
    model_panel_twin_path (panel, path, *first);
  else
    model_panel_path (panel, path, *first);
  (*first)[panel->edges->len] = path->count;
}

/* The pieces of one edge; a twin's come in the order of the drawn outline too. */
static void
edge_path (const GeomPath *whole, const size_t *first, guint index, GeomPath *out)
{
  geom_path_reset (out);
  out->closed = false;
  for (size_t k = first[index]; k < first[index + 1]; k++)
    geom_path_append (out, &whole->piece[k]);
}

typedef struct Outlines
{
  const ModelPanel *was, *now;
  GeomPath was_path, now_path, was_edge, now_edge;
  size_t *was_first, *now_first;
} Outlines;

static void
outlines_clear (Outlines *o)
{
  geom_path_clear (&o->was_path);
  geom_path_clear (&o->now_path);
  geom_path_clear (&o->was_edge);
  geom_path_clear (&o->now_edge);
  g_free (o->was_first);
  g_free (o->now_first);
}

static bool
compare_edge (Outlines *o, guint was_index, guint now_index, ModelSide side, EngineChange *change)
{
  edge_path (&o->was_path, o->was_first, was_index, &o->was_edge);
  edge_path (&o->now_path, o->now_first, now_index, &o->now_edge);
  *change = blank (ENGINE_CHANGE_EDGE);
  change->panel_id = o->now->id;
  change->edge_id = model_panel_edge (o->now, now_index)->id;
  change->side = side;
  change->was_mm = geom_path_length (&o->was_edge, ENGINE_TOL_LENGTH_MM);
  change->now_mm = geom_path_length (&o->now_edge, ENGINE_TOL_LENGTH_MM);
  change->apart_mm = engine_compare_apart (&o->was_edge, &o->now_edge, &change->at);
  change->has_at = isfinite (change->apart_mm);
  return fabs (change->now_mm - change->was_mm) >= LEAST_MM || change->apart_mm >= LEAST_MM;
}

static void
compare_side (const ModelPanel *was, const ModelPanel *now, ModelSide side, GArray *out)
{
  Outlines o = { .was = was, .now = now };
  side_path (was, side, &o.was_path, &o.was_first);
  side_path (now, side, &o.now_path, &o.now_first);
  geom_path_map (&o.was_path, engine_compare_laid (was, now, side));
  for (guint i = 0; i < now->edges->len; i++)
  {
    int before = model_panel_find_edge (was, model_panel_edge (now, i)->id);
    EngineChange change;
    if (before >= 0 && compare_edge (&o, (guint)before, i, side, &change))
      g_array_append_val (out, change);
  }
  outlines_clear (&o);
}

static bool
same_figures (const EngineChange *a, const EngineChange *b)
{
  return a->edge_id == b->edge_id && fabs (a->was_mm - b->was_mm) < ENGINE_TOL_CUT_MM
         && fabs (a->now_mm - b->now_mm) < ENGINE_TOL_CUT_MM
         && fabs (a->apart_mm - b->apart_mm) < ENGINE_TOL_CUT_MM;
}

/* Both sides of a mirrored panel; what is alike on both is said once. */
static void
compare_shapes (const ModelPanel *was, const ModelPanel *now, GArray *out)
{
  if (!engine_panel_is_mirrored (now) || !engine_panel_is_mirrored (was))
  {
    compare_side (was, now, MODEL_SIDE_CENTRE, out);
    return;
  }
  g_autoptr (GArray) left = g_array_new (FALSE, FALSE, sizeof (EngineChange)),
                     right = g_array_new (FALSE, FALSE, sizeof (EngineChange));
  compare_side (was, now, MODEL_SIDE_LEFT, left);
  compare_side (was, now, MODEL_SIDE_RIGHT, right);
  for (guint i = 0; i < left->len; i++)
  {
    EngineChange change = g_array_index (left, EngineChange, i);
    for (guint k = 0; k < right->len; k++)
      if (same_figures (&change, &g_array_index (right, EngineChange, k)))
      {
        if (engine_panel_drawn_side (now) == MODEL_SIDE_RIGHT)
          change.at = g_array_index (right, EngineChange, k).at;
        change.side = MODEL_SIDE_CENTRE;
        g_array_remove_index (right, k);
        break;
      }
    g_array_append_val (out, change);
  }
  g_array_append_vals (out, right->data, right->len);
}

static void
compare_allowances (const ModelDocument *was_doc,
                    const ModelDocument *now_doc,
                    const ModelPanel *was,
                    const ModelPanel *now,
                    GArray *out)
{
  ModelSide sides[2] = { engine_panel_drawn_side (now), model_side_other (engine_panel_drawn_side (now)) };
  int count = engine_panel_is_mirrored (now) ? 2 : 1;
  for (guint i = 0; i < now->edges->len; i++)
  {
    const ModelEdge *edge = model_panel_edge (now, i);
    int before = model_panel_find_edge (was, edge->id);
    if (before < 0)
      continue;
    EngineChange change[2];
    bool differs[2] = { false, false };
    for (int k = 0; k < count; k++)
    {
      change[k] = blank (ENGINE_CHANGE_ALLOWANCE);
      change[k].panel_id = now->id;
      change[k].edge_id = edge->id;
      change[k].side = count == 2 ? sides[k] : MODEL_SIDE_CENTRE;
      change[k].was_mm = engine_allowance_mm (was_doc, was, model_panel_edge (was, (guint)before), sides[k]);
      change[k].now_mm = engine_allowance_mm (now_doc, now, edge, sides[k]);
      differs[k] = fabs (change[k].was_mm - change[k].now_mm) > ENGINE_TOL_ALLOWANCE_MM;
    }
    if (differs[0] && differs[1])
    {
      change[0].side = MODEL_SIDE_CENTRE;
      differs[1] = false;
    }
    for (int k = 0; k < count; k++)
      if (differs[k])
        g_array_append_val (out, change[k]);
  }
}

static void
compare_edges_there (const ModelPanel *was, const ModelPanel *now, GArray *out)
{
  for (int gone = 0; gone < 2; gone++)
  {
    const ModelPanel *in = gone ? was : now, *other = gone ? now : was;
    for (guint i = 0; i < in->edges->len; i++)
    {
      guint id = model_panel_edge (in, i)->id;
      if (model_panel_find_edge (other, id) >= 0)
        continue;
      note_panel (out, gone ? ENGINE_CHANGE_EDGE_GONE : ENGINE_CHANGE_EDGE_ADDED, now->id);
      g_array_index (out, EngineChange, out->len - 1).edge_id = id;
    }
  }
}

static void
compare_panels (const ModelDocument *was, const ModelDocument *now, GArray *out)
{
  for (guint i = 0; i < now->panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (now->panels, i);
    const ModelPanel *before = model_document_panel (was, panel->id);
    if (before == NULL)
    {
      note_panel (out, ENGINE_CHANGE_PANEL_ADDED, panel->id);
      continue;
    }
    if (before->halves != panel->halves || before->quantity != panel->quantity
        || before->material_id != panel->material_id)
      note_panel (out, ENGINE_CHANGE_PANEL_CUT, panel->id);
    compare_edges_there (before, panel, out);
    compare_shapes (before, panel, out);
    compare_allowances (was, now, before, panel, out);
  }
  for (guint i = 0; i < was->panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (was->panels, i);
    if (model_document_panel (now, panel->id) == NULL)
      note_panel (out, ENGINE_CHANGE_PANEL_GONE, panel->id);
  }
}

/* ---- joins and measures ---- */

static double
join_width (const ModelJoin *join)
{
  switch (join->kind)
  {
  case MODEL_JOIN_FLUSH:
    return NAN;
  case MODEL_JOIN_LAPPED:
    return join->lap_mm;
  case MODEL_JOIN_STITCHED:
    return join->allowance_mm;
  case MODEL_JOIN_GAP:
    return join->gap_mm;
  }
  return NAN;
}

/* Both not there, or both alike. */
static bool
same_mm (double a, double b)
{
  return isnan (a) || isnan (b) ? isnan (a) && isnan (b) : fabs (a - b) < LEAST_MM;
}

static bool
same_join (const ModelJoin *a, const ModelJoin *b)
{
  return a->kind == b->kind && same_mm (join_width (a), join_width (b))
         && (a->kind != MODEL_JOIN_LAPPED || a->b_over == b->b_over) && same_mm (a->ease_mm, b->ease_mm)
         && a->ease_in_percent == b->ease_in_percent
         && (!a->ease_in_percent || same_mm (a->ease_percent, b->ease_percent))
         && (a->kind != MODEL_JOIN_GAP
             || (a->straps == b->straps && same_mm (a->strap_width_mm, b->strap_width_mm)
                 && same_mm (a->strap_overlap_mm, b->strap_overlap_mm)));
}

static void
note_join (GArray *out, EngineChangeKind kind, const ModelJoin *was, const ModelJoin *now)
{
  EngineChange change = blank (kind);
  change.join_id = now != NULL ? now->id : was->id;
  change.was_mm = was != NULL ? join_width (was) : NAN;
  change.now_mm = now != NULL ? join_width (now) : NAN;
  g_array_append_val (out, change);
}

static void
compare_joins (const ModelDocument *was, const ModelDocument *now, GArray *out)
{
  for (guint i = 0; i < now->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (now->joins, i), *before = model_document_join (was, join->id);
    if (before == NULL)
      note_join (out, ENGINE_CHANGE_JOIN_ADDED, NULL, join);
    else if (!same_join (before, join))
      note_join (out, ENGINE_CHANGE_JOIN, before, join);
  }
  for (guint i = 0; i < was->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (was->joins, i);
    if (model_document_join (now, join->id) == NULL)
      note_join (out, ENGINE_CHANGE_JOIN_GONE, join, NULL);
  }
}

static void
note_measure (GArray *out, EngineChangeKind kind, guint id, double was_mm, double now_mm)
{
  EngineChange change = blank (kind);
  change.measure_id = id;
  change.was_mm = was_mm;
  change.now_mm = now_mm;
  g_array_append_val (out, change);
}

static void
compare_measures (const ModelDocument *was, const ModelDocument *now, GArray *out)
{
  for (guint i = 0; i < now->measures->len; i++)
  {
    const ModelMeasure *m = g_ptr_array_index (now->measures, i),
                       *before = model_document_measure (was, m->id);
    double wearer = m->has_wearer ? m->wearer_mm : NAN, form = m->has_form ? m->form_mm : NAN;
    if (before == NULL)
    {
      note_measure (out, ENGINE_CHANGE_MEASURE_ADDED, m->id, NAN, isnan (wearer) ? form : wearer);
      continue;
    }
    double was_wearer = before->has_wearer ? before->wearer_mm : NAN,
           was_form = before->has_form ? before->form_mm : NAN;
    if (!same_mm (was_wearer, wearer))
      note_measure (out, ENGINE_CHANGE_WEARER, m->id, was_wearer, wearer);
    if (!same_mm (was_form, form))
      note_measure (out, ENGINE_CHANGE_FORM, m->id, was_form, form);
  }
  for (guint i = 0; i < was->measures->len; i++)
  {
    const ModelMeasure *m = g_ptr_array_index (was->measures, i);
    if (model_document_measure (now, m->id) == NULL)
      note_measure (out, ENGINE_CHANGE_MEASURE_GONE, m->id, m->has_wearer ? m->wearer_mm : NAN, NAN);
  }
}

GArray *
engine_compare (const ModelDocument *was, const ModelDocument *now)
{
  GArray *out = g_array_new (FALSE, FALSE, sizeof (EngineChange));
  compare_panels (was, now, out);
  compare_joins (was, now, out);
  compare_measures (was, now, out);
  return out;
}

guint
engine_change_panel (const ModelDocument *was, const ModelDocument *now, const EngineChange *change)
{
  const ModelJoin *join = change->join_id != 0 ? model_document_join (now, change->join_id) : NULL;
  if (join == NULL && change->join_id != 0)
    join = model_document_join (was, change->join_id);
  return join != NULL ? join->a.panel_id : change->panel_id;
}
