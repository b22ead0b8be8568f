/* Newton steps on the equations, each to the point of the linearised solution set that is nearest to the
 * start:
 *
 *     d' = W^-1 J^T (J W^-1 J^T)^-1 (J d - c)        c, J: residuals and derivatives at d
 *
 * A fixed point of this meets the equations and is stationary for the weighted sum of squares.  Equations
 * that say the same twice (both sides of a pair) leave the small matrix without full rank; pivots that vanish
 * are passed over, and whether they contradicted shows in the residuals.
 */
#include "engine/solve.h"

#include "engine/piece.h"
#include "engine/tolerance.h"
#include "model/file.h"

#include <string.h>

enum
{
  MOST_STEPS = 30,
  MOST_HALVINGS = 8,
  MOST_UNKNOWNS = 160,
  SAMPLES = 32 /* Simpson's rule along a piece; derivatives alone rest on it */
};

/* A pivot smaller than this part of the largest is none: derivatives are exact to about 1e-9. */
#define LEAST_PIVOT 1e-8
/* Below this the step no longer changes what is shown or cut. */
#define STILL_MM 1e-7
/* A handle keeps at least this part of its length: less is a cusp. */
#define LEAST_HANDLE 0.1
/* A step counts as progress when it takes off this share of what it promised. */
#define LEAST_GAIN 0.05
#define NO_LENGTH_MM 1e-9

typedef struct Slot
{
  ModelPanel *base, *work;
  bool mirrored, own, changed;
  ModelSide drawn_side;
  GeomAffine mirror;
  guint nodes;
  GArray *first;    /* guint: the outline's number of each edge's first node */
  GeomPath path[2]; /* drawn, other */
  bool read[2];     /* some equation asks for it */
  GArray *stand;    /* MarkStand, one a mark; made when solving begins */
} Slot;

/* How a mark goes along with its edge: its length from the first corner is FIXED_MM + SLOPE times the edge's
 * length, and what it is moved by itself. */
typedef struct MarkStand
{
  double fixed_mm, slope, moved_mm;
} MarkStand;

typedef struct Unknown
{
  guint slot, edge, node, number;
  EngineGrip grip;
  GeomPoint drawn, other; /* what 1 mm does on either side */
  double weight, least;   /* LEAST: not below this */
} Unknown;

typedef struct Term
{
  guint equation, slot, edge;
  bool other, direction, at_end;
  guint from, to; /* numbers of the marks that cut the edge short, counted from 1 */
  double factor;
  bool place; /* of a point: WAY times where it is, at T of the piece after NODE */
  guint node;
  double t;
  GeomPoint way;
} Term;

struct EngineSolve
{
  const ModelDocument *doc;
  GPtrArray *slots; /* Slot */
  GArray *unknowns; /* Unknown */
  GArray *terms;    /* Term */
  GArray *targets;  /* double, one an equation */
  guint most_unknowns;
  double *value; /* of the unknowns, after a run */
};

/* ---- building ---- */

static void
slot_free (gpointer data)
{
  Slot *slot = data;
  model_panel_free (slot->base);
  model_panel_free (slot->work);
  g_array_unref (slot->first);
  g_array_unref (slot->stand);
  geom_path_clear (&slot->path[0]);
  geom_path_clear (&slot->path[1]);
  g_free (slot);
}

EngineSolve *
engine_solve_new (const ModelDocument *doc)
{
  EngineSolve *solve = g_new0 (EngineSolve, 1);
  solve->doc = doc;
  solve->slots = g_ptr_array_new_with_free_func (slot_free);
  solve->unknowns = g_array_new (FALSE, FALSE, sizeof (Unknown));
  solve->terms = g_array_new (FALSE, FALSE, sizeof (Term));
  solve->targets = g_array_new (FALSE, FALSE, sizeof (double));
  solve->most_unknowns = MOST_UNKNOWNS;
  return solve;
}

void
engine_solve_allow (EngineSolve *solve, guint unknowns)
{
  solve->most_unknowns = unknowns;
}

void
engine_solve_free (EngineSolve *solve)
{
  if (!solve)
    return;
  g_ptr_array_unref (solve->slots);
  g_array_unref (solve->unknowns);
  g_array_unref (solve->terms);
  g_array_unref (solve->targets);
  g_free (solve->value);
  g_free (solve);
}

static Slot *
slot_at (const EngineSolve *solve, guint index)
{
  return g_ptr_array_index (solve->slots, index);
}

/* The slot's index, -1 when there is no such panel. */
static int
find_slot (EngineSolve *solve, guint panel_id)
{
  for (guint i = 0; i < solve->slots->len; i++)
    if (slot_at (solve, i)->work->id == panel_id)
      return (int)i;
  const ModelPanel *panel = model_document_panel (solve->doc, panel_id);
  if (!panel || panel->edges->len == 0)
    return -1;
  Slot *slot = g_new0 (Slot, 1);
  slot->work = model_panel_copy (panel);
  slot->mirrored = engine_panel_is_mirrored (panel);
  slot->own = slot->mirrored && panel->own_sides;
  slot->drawn_side = engine_panel_drawn_side (panel);
  slot->mirror = slot->mirrored ? model_panel_mirror (panel) : geom_affine_identity ();
  slot->first = g_array_new (FALSE, FALSE, sizeof (guint));
  slot->stand = g_array_new (FALSE, TRUE, sizeof (MarkStand));
  for (guint e = 0; e < panel->edges->len; e++)
  {
    g_array_append_val (slot->first, slot->nodes);
    slot->nodes += model_panel_edge (panel, e)->nodes->len;
  }
  geom_path_init (&slot->path[0]);
  geom_path_init (&slot->path[1]);
  g_ptr_array_add (solve->slots, slot);
  return (int)solve->slots->len - 1;
}

ModelPanel *
engine_solve_panel (EngineSolve *solve, guint panel_id)
{
  int index = find_slot (solve, panel_id);
  return index < 0 ? NULL : slot_at (solve, (guint)index)->work;
}

static bool
node_is_locked (const ModelPanel *panel, guint edge, guint node)
{
  if (panel->locked || model_panel_edge (panel, edge)->locked
      || model_edge_node (model_panel_edge (panel, edge), node)->locked)
    return true;
  return node == 0 && model_panel_edge (panel, (edge + panel->edges->len - 1) % panel->edges->len)->locked;
}

/* The piece on the handle's side may not change its form, or the node is locked with its handles. */
static bool
handle_is_locked (const ModelPanel *panel, guint edge, guint node, bool in)
{
  if (model_edge_node (model_panel_edge (panel, edge), node)->locked)
    return true;
  if (in && node == 0)
    edge = (edge + panel->edges->len - 1) % panel->edges->len;
  const ModelEdge *its = model_panel_edge (panel, edge);
  return panel->locked || its->locked || (its->fold && panel->halves == MODEL_HALVES_FOLD);
}

static bool
is_free (const EngineSolve *solve, const Unknown *wish)
{
  for (guint i = 0; i < solve->unknowns->len; i++)
  {
    const Unknown *unknown = &g_array_index (solve->unknowns, Unknown, i);
    if (unknown->slot == wish->slot && unknown->number == wish->number && unknown->grip == wish->grip)
      return true;
  }
  return false;
}

static void
add_unknown (EngineSolve *solve, Unknown unknown, GeomPoint along, EngineMove move)
{
  const Slot *slot = slot_at (solve, unknown.slot);
  GeomPoint none = { 0.0, 0.0 };
  unknown.drawn = move == ENGINE_MOVE_OTHER ? none : along;
  unknown.other = move == ENGINE_MOVE_DRAWN ? none : geom_affine_apply_vector (slot->mirror, along);
  g_array_append_val (solve->unknowns, unknown);
}

/* A node of the fold: -1 no, else the index of the fold edge. */
static int
fold_at (const Slot *slot, guint edge, guint node)
{
  int fold = slot->mirrored ? model_panel_fold_edge (slot->work) : -1;
  if (fold < 0)
    return -1;
  bool on = edge == (guint)fold || (node == 0 && edge == ((guint)fold + 1) % slot->work->edges->len);
  return on ? fold : -1;
}

bool
engine_solve_loosen (
  EngineSolve *solve, guint panel_id, guint node_id, EngineGrip grip, EngineMove move, double weight)
{
  int index = find_slot (solve, panel_id);
  if (index < 0 || !(weight > 0.0) || solve->unknowns->len + 2 > solve->most_unknowns)
    return false;
  Slot *slot = slot_at (solve, (guint)index);
  Unknown unknown = { .slot = (guint)index, .grip = grip, .weight = weight, .least = -INFINITY };
  if (!model_panel_find_node (slot->work, node_id, &unknown.edge, &unknown.node))
    return false;
  unknown.number = g_array_index (slot->first, guint, unknown.edge) + unknown.node;
  if (!slot->own)
    move = ENGINE_MOVE_ALIKE;
  if (is_free (solve, &unknown))
    return false;
  const ModelNode *node = model_edge_node (model_panel_edge (slot->work, unknown.edge), unknown.node);
  if (grip == ENGINE_GRIP_NODE)
  {
    if (node_is_locked (slot->work, unknown.edge, unknown.node))
      return false;
    int fold = fold_at (slot, unknown.edge, unknown.node);
    if (fold >= 0)
    {
      guint n = slot->work->edges->len;
      GeomPoint a = model_edge_node (model_panel_edge (slot->work, (guint)fold), 0)->at;
      GeomPoint b = model_edge_node (model_panel_edge (slot->work, ((guint)fold + 1) % n), 0)->at;
      add_unknown (solve, unknown, geom_unit (geom_sub (b, a)), ENGINE_MOVE_ALIKE);
      return true;
    }
    add_unknown (solve, unknown, geom_point (1.0, 0.0), move);
    add_unknown (solve, unknown, geom_point (0.0, 1.0), move);
    return true;
  }

  bool in = grip == ENGINE_GRIP_IN || grip == ENGINE_GRIP_IN_ALONG;
  GeomPoint arm = geom_sub (in ? node->in : node->out, node->at);
  double length = geom_norm (arm);
  if (handle_is_locked (slot->work, unknown.edge, unknown.node, in) || length <= NO_LENGTH_MM)
    return false;
  if (grip == ENGINE_GRIP_IN_ALONG || grip == ENGINE_GRIP_OUT_ALONG)
  {
    unknown.least = -(1.0 - LEAST_HANDLE) * length;
    add_unknown (solve, unknown, geom_unit (arm), move);
    return true;
  }
  add_unknown (solve, unknown, geom_point (1.0, 0.0), move);
  add_unknown (solve, unknown, geom_point (0.0, 1.0), move);
  return true;
}

/* Marks are counted behind the nodes. */
static guint
mark_number (const Slot *slot, guint mark)
{
  return slot->nodes + mark;
}

/* From 1; 0: there is none. */
static guint
mark_counted (const ModelPanel *panel, guint mark_id)
{
  for (guint i = 0; mark_id != 0 && i < panel->marks->len; i++)
    if (g_array_index (panel->marks, ModelMark, i).id == mark_id)
      return i + 1;
  return 0;
}

bool
engine_solve_loosen_mark (EngineSolve *solve, guint panel_id, guint mark_id, double weight)
{
  int index = find_slot (solve, panel_id);
  if (index < 0 || !(weight > 0.0) || solve->unknowns->len + 1 > solve->most_unknowns)
    return false;
  const Slot *slot = slot_at (solve, (guint)index);
  guint mark = mark_counted (slot->work, mark_id);
  if (mark == 0)
    return false;
  int edge
    = model_panel_find_edge (slot->work, g_array_index (slot->work->marks, ModelMark, mark - 1).edge_id);
  if (edge < 0 || slot->work->locked || model_panel_edge (slot->work, (guint)edge)->locked)
    return false;
  Unknown unknown = { .slot = (guint)index,
                      .edge = (guint)edge,
                      .number = mark_number (slot, mark - 1),
                      .grip = ENGINE_GRIP_MARK,
                      .weight = weight,
                      .least = -INFINITY };
  if (is_free (solve, &unknown))
    return false;
  unknown.drawn = geom_point (1.0, 0.0);
  g_array_append_val (solve->unknowns, unknown);
  return true;
}

void
engine_solve_want (EngineSolve *solve, double target)
{
  g_array_append_val (solve->targets, target);
}

void
engine_solve_want_as_is (EngineSolve *solve)
{
  engine_solve_want (solve, NAN);
}

void
engine_solve_set_target (EngineSolve *solve, double target)
{
  if (solve->targets->len > 0)
    g_array_index (solve->targets, double, solve->targets->len - 1) = target;
}

static bool
add_term (EngineSolve *solve, guint panel_id, ModelSide side, guint edge_id, Term term)
{
  int index = find_slot (solve, panel_id);
  int edge = index < 0 ? -1 : model_panel_find_edge (slot_at (solve, (guint)index)->work, edge_id);
  if (edge < 0 || solve->targets->len == 0)
    return false;
  Slot *slot = slot_at (solve, (guint)index);
  term.equation = solve->targets->len - 1;
  term.slot = (guint)index;
  term.edge = (guint)edge;
  /* Where both sides are alike, the drawn one speaks for both. */
  term.other = slot->own && side != MODEL_SIDE_CENTRE && side != slot->drawn_side;
  slot->read[term.other] = true;
  /* Marks are kept by the lengths as drawn. */
  if (term.from != 0 || term.to != 0)
    slot->read[0] = true;
  g_array_append_val (solve->terms, term);
  return true;
}

bool
engine_solve_add_run (EngineSolve *solve, const ModelRun *run, ModelSide side, double factor)
{
  bool all = run->edges->len > 0;
  const ModelPanel *panel = engine_solve_panel (solve, run->panel_id);
  for (guint i = 0; i < run->edges->len && all; i++)
  {
    Term term = { .factor = factor };
    if (panel && i == 0)
      term.from = mark_counted (panel, run->from_mark_id);
    if (panel && i + 1 == run->edges->len)
      term.to = mark_counted (panel, run->to_mark_id);
    if (term.from != 0 && term.to != 0
        && g_array_index (panel->marks, ModelMark, term.from - 1).at_mm
             > g_array_index (panel->marks, ModelMark, term.to - 1).at_mm)
    {
      guint swap = term.from;
      term.from = term.to;
      term.to = swap;
    }
    all = add_term (solve, run->panel_id, side, g_array_index (run->edges, guint, i), term);
  }
  return all;
}

bool
engine_solve_add_direction (
  EngineSolve *solve, guint panel_id, ModelSide side, guint edge_id, bool at_end, double factor)
{
  return add_term (solve, panel_id, side, edge_id,
                   (Term) { .factor = factor, .direction = true, .at_end = at_end });
}

bool
engine_solve_add_place (EngineSolve *solve,
                        guint panel_id,
                        ModelSide side,
                        guint edge_id,
                        guint node_index,
                        double t,
                        GeomPoint way)
{
  const ModelPanel *panel = engine_solve_panel (solve, panel_id);
  int edge = panel ? model_panel_find_edge (panel, edge_id) : -1;
  if (edge < 0 || node_index >= model_panel_edge (panel, (guint)edge)->nodes->len)
    return false;
  return add_term (solve, panel_id, side, edge_id,
                   (Term) { .factor = 1.0, .place = true, .node = node_index, .t = t, .way = way });
}

/* ---- where things are at given values ---- */

static void
shift (GeomPoint *at, GeomPoint *in, GeomPoint *out, EngineGrip grip, GeomPoint by)
{
  switch (grip)
  {
  case ENGINE_GRIP_NODE:
    *at = geom_add (*at, by);
    *in = geom_add (*in, by);
    *out = geom_add (*out, by);
    break;
  case ENGINE_GRIP_IN:
  case ENGINE_GRIP_IN_ALONG:
    *in = geom_add (*in, by);
    break;
  case ENGINE_GRIP_OUT:
  case ENGINE_GRIP_OUT_ALONG:
    *out = geom_add (*out, by);
    break;
  case ENGINE_GRIP_MARK:
    break;
  }
}

static bool
is_none (GeomPoint v)
{
  return geom_norm (v) <= 0.0;
}

/* The correction takes up what the other side does not follow. */
static void
correct (Slot *slot, guint node_id, EngineGrip grip, GeomPoint by)
{
  ModelCorrection *correction = model_panel_find_correction (slot->work, node_id);
  if (!correction)
  {
    ModelCorrection blank = { .node_id = node_id };
    g_array_append_val (slot->work->corrections, blank);
    correction = model_panel_find_correction (slot->work, node_id);
  }
  shift (&correction->at, &correction->in, &correction->out, grip, by);
}

static void
place (EngineSolve *solve, const double *value)
{
  for (guint s = 0; s < solve->slots->len; s++)
  {
    Slot *slot = slot_at (solve, s);
    for (guint e = 0; e < slot->work->edges->len; e++)
    {
      GArray *from = model_panel_edge (slot->base, e)->nodes, *to = model_panel_edge (slot->work, e)->nodes;
      memcpy (to->data, from->data, from->len * sizeof (ModelNode));
    }
    g_array_set_size (slot->work->corrections, 0);
    g_array_append_vals (slot->work->corrections, slot->base->corrections->data,
                         slot->base->corrections->len);
  }
  for (guint i = 0; i < solve->unknowns->len; i++)
  {
    const Unknown *unknown = &g_array_index (solve->unknowns, Unknown, i);
    Slot *slot = slot_at (solve, unknown->slot);
    if (unknown->grip == ENGINE_GRIP_MARK)
    {
      guint mark = unknown->number - slot->nodes;
      if (mark < slot->stand->len)
        g_array_index (slot->stand, MarkStand, mark).moved_mm = value[i];
      continue;
    }
    ModelNode *node = model_edge_node (model_panel_edge (slot->work, unknown->edge), unknown->node);
    GeomPoint by = geom_scale (unknown->drawn, value[i]);
    shift (&node->at, &node->in, &node->out, unknown->grip, by);
    if (unknown->grip != ENGINE_GRIP_NODE && node->kind == MODEL_NODE_EVEN)
      node->kind = MODEL_NODE_SMOOTH;
    GeomPoint follows = geom_affine_apply_vector (slot->mirror, unknown->drawn);
    GeomPoint apart = geom_sub (unknown->other, follows);
    if (!is_none (apart))
      correct (slot, node->id, unknown->grip, geom_scale (apart, value[i]));
  }
  for (guint s = 0; s < solve->slots->len; s++)
  {
    Slot *slot = slot_at (solve, s);
    if (slot->read[0])
      model_panel_path (slot->work, &slot->path[0], NULL);
    if (slot->read[1])
      model_panel_twin_path (slot->work, &slot->path[1], NULL);
  }
}

static guint
edge_end (const Slot *slot, guint edge)
{
  return edge + 1 < slot->first->len ? g_array_index (slot->first, guint, edge + 1) : slot->nodes;
}

static const GeomCubic *
term_pieces (const EngineSolve *solve, const Term *term, guint *first, guint *count)
{
  const Slot *slot = slot_at (solve, term->slot);
  *first = g_array_index (slot->first, guint, term->edge);
  *count = edge_end (slot, term->edge) - *first;
  return &slot->path[term->other].piece[*first];
}

/* Without handles: its control points between the ends are no points of their own. */
static bool
is_line (const Slot *slot, guint edge, guint node)
{
  const ModelNode *a = model_edge_node (model_panel_edge (slot->work, edge), node);
  const ModelNode *b = model_panel_next_node (slot->work, edge, node);
  return geom_same_point (a->out, a->at) && geom_same_point (b->in, b->at);
}

/* The angle in which an edge lies at one of its ends, by the nearest control point that is apart from it. */
static double
direction_of (const GeomCubic *piece, bool line, bool at_end, int *from, int *to)
{
  *from = at_end ? 2 : 0;
  *to = at_end ? 3 : 1;
  int still = at_end ? 3 : 0;
  for (int k = line ? 3 : 1; k <= 3; k++)
  {
    int other = at_end ? 3 - k : k;
    if (geom_distance (piece->p[still], piece->p[other]) <= NO_LENGTH_MM)
      continue;
    *from = at_end ? other : still;
    *to = at_end ? still : other;
    break;
  }
  GeomPoint v = geom_sub (piece->p[*to], piece->p[*from]);
  return atan2 (v.y, v.x);
}

/* ---- edges cut short by marks ---- */

static double
length_of (const GeomCubic *piece, guint count)
{
  double sum = 0.0;
  for (guint k = 0; k < count; k++)
    sum += geom_cubic_length (&piece[k], ENGINE_TOL_SOLVE_LENGTH_MM);
  return sum;
}

/* What an edge cut short counts, and how that changes with its length as drawn, its length on the other side,
 * and with each of its marks. */
typedef struct Cut
{
  double length_mm, by_drawn, by_other, by_from, by_to;
} Cut;

static double
mark_at (const Slot *slot, guint counted, double length_mm, double *slope)
{
  const MarkStand *stand = &g_array_index (slot->stand, MarkStand, counted - 1);
  *slope = stand->slope;
  return CLAMP (stand->fixed_mm + stand->slope * length_mm + stand->moved_mm, 0.0, length_mm);
}

static Cut
cut_of (const EngineSolve *solve, const Term *term)
{
  const Slot *slot = slot_at (solve, term->slot);
  guint first = g_array_index (slot->first, guint, term->edge), count = edge_end (slot, term->edge) - first;
  double drawn = length_of (&slot->path[0].piece[first], count), from_slope = 0.0, to_slope = 1.0;
  double from = term->from ? mark_at (slot, term->from, drawn, &from_slope) : 0.0;
  double to = term->to ? mark_at (slot, term->to, drawn, &to_slope) : drawn;
  if (!term->other || !(drawn > 0.0))
    return (Cut) { to - from, to_slope - from_slope, 0.0, term->from ? -1.0 : 0.0, term->to ? 1.0 : 0.0 };
  /* The other side keeps the marks' shares. */
  double other = length_of (&slot->path[1].piece[first], count), ratio = other / drawn;
  return (Cut) { .length_mm = (to - from) * ratio,
                 .by_drawn = ratio * (to_slope - from_slope - (to - from) / drawn),
                 .by_other = (to - from) / drawn,
                 .by_from = term->from ? -ratio : 0.0,
                 .by_to = term->to ? ratio : 0.0 };
}

static void
residuals (EngineSolve *solve, const double *value, double *out)
{
  place (solve, value);
  guint m = solve->targets->len;
  g_autofree bool *turns = g_new0 (bool, m);
  for (guint i = 0; i < m; i++)
    out[i] = -g_array_index (solve->targets, double, i);
  for (guint i = 0; i < solve->terms->len; i++)
  {
    const Term *term = &g_array_index (solve->terms, Term, i);
    guint first, count;
    const GeomCubic *piece = term_pieces (solve, term, &first, &count);
    if (term->place)
    {
      out[term->equation] += geom_dot (term->way, geom_cubic_at (&piece[term->node], term->t));
      continue;
    }
    if (term->direction)
    {
      int from, to;
      guint k = term->at_end ? count - 1 : 0;
      bool line = is_line (slot_at (solve, term->slot), term->edge, k);
      double angle = direction_of (&piece[k], line, term->at_end, &from, &to);
      out[term->equation] += term->factor * ENGINE_SOLVE_ARM_MM * angle;
      turns[term->equation] = true;
      continue;
    }
    if (term->from || term->to)
      out[term->equation] += term->factor * cut_of (solve, term).length_mm;
    else
      out[term->equation] += term->factor * length_of (piece, count);
  }
  for (guint i = 0; i < m; i++)
    if (turns[i])
      out[i] = ENGINE_SOLVE_ARM_MM * remainder (out[i] / ENGINE_SOLVE_ARM_MM, 2.0 * G_PI);
}

/* d length / d control point: the integral of its basis function's derivative times the unit tangent. */
static void
length_slope (const GeomCubic *piece, GeomPoint slope[4])
{
  memset (slope, 0, 4 * sizeof *slope);
  for (int i = 0; i <= SAMPLES; i++)
  {
    double t = (double)i / SAMPLES, u = 1.0 - t;
    double share = (i == 0 || i == SAMPLES ? 1.0 : i % 2 ? 4.0 : 2.0) / (3.0 * SAMPLES);
    GeomPoint way = geom_scale (geom_cubic_tangent (piece, t), share);
    double basis[4] = { -3.0 * u * u, 3.0 * u * u - 6.0 * u * t, 6.0 * u * t - 3.0 * t * t, 3.0 * t * t };
    for (int k = 0; k < 4; k++)
      slope[k] = geom_along (slope[k], basis[k], way);
  }
}

/* What a piece's slope says of its two nodes: adds to the row of the equation. */
static void
gather (const EngineSolve *solve,
        const Term *term,
        guint number,
        const GeomPoint slope[4],
        double factor,
        double *row)
{
  const Slot *slot = slot_at (solve, term->slot);
  guint next = (number + 1) % slot->nodes;
  for (guint i = 0; i < solve->unknowns->len; i++)
  {
    const Unknown *unknown = &g_array_index (solve->unknowns, Unknown, i);
    if (unknown->slot != term->slot || (unknown->number != number && unknown->number != next))
      continue;
    GeomPoint by = term->other ? unknown->other : unknown->drawn, sum = { 0.0, 0.0 };
    bool whole = unknown->grip == ENGINE_GRIP_NODE;
    if (unknown->number == number)
    {
      if (whole)
        sum = geom_add (sum, slope[0]);
      if (whole || unknown->grip == ENGINE_GRIP_OUT || unknown->grip == ENGINE_GRIP_OUT_ALONG)
        sum = geom_add (sum, slope[1]);
    }
    if (unknown->number == next)
    {
      if (whole)
        sum = geom_add (sum, slope[3]);
      if (whole || unknown->grip == ENGINE_GRIP_IN || unknown->grip == ENGINE_GRIP_IN_ALONG)
        sum = geom_add (sum, slope[2]);
    }
    row[i] += factor * geom_dot (sum, by);
  }
}

static void
gather_length (const EngineSolve *solve, const Term *term, double factor, double *row)
{
  guint first, count;
  const GeomCubic *piece = term_pieces (solve, term, &first, &count);
  GeomPoint slope[4];
  for (guint k = 0; k < count; k++)
  {
    length_slope (&piece[k], slope);
    gather (solve, term, first + k, slope, factor, row);
  }
}

static void
gather_mark (const EngineSolve *solve, const Term *term, guint counted, double factor, double *row)
{
  if (counted == 0)
    return;
  guint number = mark_number (slot_at (solve, term->slot), counted - 1);
  for (guint i = 0; i < solve->unknowns->len; i++)
  {
    const Unknown *unknown = &g_array_index (solve->unknowns, Unknown, i);
    if (unknown->slot == term->slot && unknown->number == number && unknown->grip == ENGINE_GRIP_MARK)
      row[i] += factor;
  }
}

static void
gather_cut (const EngineSolve *solve, const Term *term, double *row)
{
  Cut cut = cut_of (solve, term);
  Term drawn = *term;
  drawn.other = false;
  gather_length (solve, &drawn, term->factor * cut.by_drawn, row);
  if (term->other)
    gather_length (solve, term, term->factor * cut.by_other, row);
  gather_mark (solve, term, term->from, term->factor * cut.by_from, row);
  gather_mark (solve, term, term->to, term->factor * cut.by_to, row);
}

static void
slopes (EngineSolve *solve, double *matrix)
{
  guint n = solve->unknowns->len, m = solve->targets->len;
  memset (matrix, 0, (gsize)n * m * sizeof *matrix);
  for (guint i = 0; i < solve->terms->len; i++)
  {
    const Term *term = &g_array_index (solve->terms, Term, i);
    double *row = matrix + (gsize)term->equation * n;
    guint first, count;
    const GeomCubic *piece = term_pieces (solve, term, &first, &count);
    GeomPoint slope[4];
    if (term->place)
    {
      double t = term->t, u = 1.0 - t;
      double basis[4] = { u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t };
      for (int k = 0; k < 4; k++)
        slope[k] = geom_scale (term->way, basis[k]);
      gather (solve, term, first + term->node, slope, 1.0, row);
      continue;
    }
    if (!term->direction)
    {
      if (term->from || term->to)
        gather_cut (solve, term, row);
      else
        gather_length (solve, term, term->factor, row);
      continue;
    }
    guint k = term->at_end ? count - 1 : 0;
    int from, to;
    direction_of (&piece[k], is_line (slot_at (solve, term->slot), term->edge, k), term->at_end, &from, &to);
    GeomPoint v = geom_sub (piece[k].p[to], piece[k].p[from]);
    double square = geom_dot (v, v);
    memset (slope, 0, sizeof slope);
    if (square > 0.0)
    {
      slope[to] = geom_scale (geom_left_of (v), 1.0 / square);
      slope[from] = geom_scale (slope[to], -1.0);
    }
    gather (solve, term, first + k, slope, term->factor * ENGINE_SOLVE_ARM_MM, row);
  }
}

/* ---- the steps ---- */

/* Solves A x = b, A symmetric and not negative, N x N, both used up; rows without a pivot get x = 0. */
static void
solve_small (double *a, double *b, guint n)
{
  g_autofree bool *done = g_new0 (bool, n);
  g_autofree guint *order = g_new0 (guint, n);
  guint rank = 0;
  double largest = 0.0;
  for (guint i = 0; i < n; i++)
    largest = fmax (largest, a[i * n + i]);
  for (; rank < n; rank++)
  {
    guint best = n;
    for (guint i = 0; i < n; i++)
      if (!done[i] && (best == n || a[i * n + i] > a[best * n + best]))
        best = i;
    if (!(a[best * n + best] > LEAST_PIVOT * largest))
      break;
    done[best] = true;
    order[rank] = best;
    for (guint i = 0; i < n; i++)
    {
      if (done[i])
        continue;
      double share = a[i * n + best] / a[best * n + best];
      for (guint k = 0; k < n; k++)
        a[i * n + k] -= share * a[best * n + k];
      b[i] -= share * b[best];
    }
  }
  for (guint i = 0; i < n; i++)
    if (!done[i])
      b[i] = 0.0;
  for (guint r = rank; r-- > 0;)
  {
    guint row = order[r];
    for (guint later = r + 1; later < rank; later++)
      b[row] -= a[row * n + order[later]] * b[order[later]];
    b[row] /= a[row * n + row];
  }
}

static double
worst_of (const double *v, guint n)
{
  double worst = 0.0;
  for (guint i = 0; i < n; i++)
  {
    if (!isfinite (v[i]))
      return INFINITY;
    worst = fmax (worst, fabs (v[i]));
  }
  return worst;
}

/* Where the linearised equations hold, nearest to the start. */
static void
aim (EngineSolve *solve, const double *value, const double *residual, double *matrix, double *to)
{
  guint n = solve->unknowns->len, m = solve->targets->len;
  g_autofree double *small = g_new0 (double, (gsize)m *m), *right = g_new0 (double, m);
  g_autofree guint *has = g_new (guint, n + 1);
  slopes (solve, matrix);
  for (guint i = 0; i < m; i++)
  {
    right[i] = -residual[i];
    for (guint k = 0; k < n; k++)
      right[i] += matrix[i * n + k] * value[k];
    /* An equation has a part in few unknowns: only those are gone through. */
    guint count = 0;
    for (guint k = 0; k < n; k++)
      if (fabs (matrix[i * n + k]) > 0.0)
        has[count++] = k;
    for (guint j = 0; j < m; j++)
      for (guint h = 0; h < count; h++)
        small[i * m + j] += matrix[i * n + has[h]] * matrix[j * n + has[h]]
                            / g_array_index (solve->unknowns, Unknown, has[h]).weight;
  }
  solve_small (small, right, m);
  for (guint k = 0; k < n; k++)
  {
    to[k] = 0.0;
    for (guint i = 0; i < m; i++)
      to[k] += matrix[i * n + k] * right[i];
    const Unknown *unknown = &g_array_index (solve->unknowns, Unknown, k);
    to[k] = fmax (to[k] / unknown->weight, unknown->least);
  }
}

static bool
iterate (EngineSolve *solve, double *value)
{
  guint n = solve->unknowns->len, m = solve->targets->len;
  g_autofree double *matrix = g_new (double, (gsize)n *m);
  g_autofree double *residual = g_new (double, m), *ahead = g_new (double, m);
  g_autofree double *to = g_new (double, n), *trial = g_new (double, n);
  residuals (solve, value, residual);
  double worst = worst_of (residual, m);
  for (int step = 0; step < MOST_STEPS && isfinite (worst); step++)
  {
    aim (solve, value, residual, matrix, to);
    double way = 0.0;
    for (guint k = 0; k < n; k++)
      way = fmax (way, fabs (to[k] - value[k]));
    if (!isfinite (way) || (worst <= ENGINE_TOL_SOLVE_MM && way <= STILL_MM))
      break;
    bool moved = false;
    double share = 1.0;
    for (int half = 0; half <= MOST_HALVINGS && !moved; half++, share /= 2.0)
    {
      for (guint k = 0; k < n; k++)
        trial[k] = value[k] + share * (to[k] - value[k]);
      residuals (solve, trial, ahead);
      double then = worst_of (ahead, m);
      /* At the end rounding alone is left: stay below the tolerance, and let the step come to rest. */
      moved = then <= ENGINE_TOL_SOLVE_MM || then < worst * (1.0 - LEAST_GAIN * share);
      if (moved)
      {
        memcpy (value, trial, n * sizeof *value);
        memcpy (residual, ahead, m * sizeof *residual);
        worst = then;
      }
    }
    if (!moved)
      break;
  }
  residuals (solve, value, residual);
  return worst_of (residual, m) <= ENGINE_TOL_SOLVE_MM;
}

/* ---- after ---- */

static double
edge_length (const GeomPath *path, guint first, guint count)
{
  double sum = 0.0;
  for (guint i = first; i < first + count; i++)
    sum += geom_cubic_length (&path->piece[i], ENGINE_TOL_LENGTH_MM);
  return sum;
}

static bool
corner_is_free (const EngineSolve *solve, guint slot_index, guint edge)
{
  const Slot *slot = slot_at (solve, slot_index);
  guint number = g_array_index (slot->first, guint, edge % slot->first->len);
  for (guint i = 0; i < solve->unknowns->len; i++)
  {
    const Unknown *unknown = &g_array_index (solve->unknowns, Unknown, i);
    if (unknown->slot == slot_index && unknown->number == number && unknown->grip == ENGINE_GRIP_NODE)
      return true;
  }
  return false;
}

/* Marks keep their length from the end that cannot move. */
static void
stand_marks (EngineSolve *solve, guint slot_index)
{
  Slot *slot = slot_at (solve, slot_index);
  g_array_set_size (slot->stand, 0);
  g_array_set_size (slot->stand, slot->work->marks->len);
  if (slot->work->marks->len == 0)
    return;
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (slot->base, &path, NULL);
  for (guint i = 0; i < slot->work->marks->len; i++)
  {
    const ModelMark *mark = &g_array_index (slot->base->marks, ModelMark, i);
    MarkStand *stand = &g_array_index (slot->stand, MarkStand, i);
    int edge = model_panel_find_edge (slot->work, mark->edge_id);
    if (edge < 0)
      continue;
    guint e = (guint)edge, first = g_array_index (slot->first, guint, e), count = edge_end (slot, e) - first;
    bool start = corner_is_free (solve, slot_index, e), end = corner_is_free (solve, slot_index, e + 1);
    double length = edge_length (&path, first, count), at = CLAMP (mark->at_mm, 0.0, length);
    if (end && !start)
      stand->fixed_mm = at;
    else if (start && !end)
      *stand = (MarkStand) { at - length, 1.0, 0.0 };
    else if (length > 0.0)
      stand->slope = at / length;
  }
  geom_path_clear (&path);
}

static void
carry_marks (Slot *slot)
{
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (slot->work, &path, NULL);
  for (guint i = 0; i < slot->work->marks->len; i++)
  {
    ModelMark *mark = &g_array_index (slot->work->marks, ModelMark, i);
    int edge = model_panel_find_edge (slot->work, mark->edge_id);
    if (edge < 0)
      continue;
    guint e = (guint)edge, first = g_array_index (slot->first, guint, e);
    double slope, at = mark_at (slot, i + 1, edge_length (&path, first, edge_end (slot, e) - first), &slope);
    /* Less is rounding, and the mark did not move. */
    if (fabs (at - mark->at_mm) > ENGINE_TOL_SOLVE_MM)
      mark->at_mm = at;
  }
  geom_path_clear (&path);
}

static bool
is_within (GeomPoint p)
{
  return fabs (p.x) <= MODEL_FILE_MAX_MM && fabs (p.y) <= MODEL_FILE_MAX_MM;
}

static bool
is_sound (const EngineSolve *solve)
{
  for (guint s = 0; s < solve->slots->len; s++)
  {
    const ModelPanel *panel = slot_at (solve, s)->work;
    for (guint e = 0; e < panel->edges->len; e++)
      for (guint k = 0; k < model_panel_edge (panel, e)->nodes->len; k++)
      {
        const ModelNode *node = model_edge_node (model_panel_edge (panel, e), k);
        if (!is_within (node->at) || !is_within (node->in) || !is_within (node->out))
          return false;
      }
    for (guint i = 0; i < panel->corrections->len; i++)
    {
      const ModelCorrection *correction = &g_array_index (panel->corrections, ModelCorrection, i);
      if (!is_within (correction->at) || !is_within (correction->in) || !is_within (correction->out))
        return false;
    }
  }
  return true;
}

/* How far the unknowns of one point together move it. */
static double
moved_by (const EngineSolve *solve, guint index)
{
  const Unknown *one = &g_array_index (solve->unknowns, Unknown, index);
  GeomPoint drawn = { 0.0, 0.0 }, other = { 0.0, 0.0 };
  for (guint i = 0; i < solve->unknowns->len; i++)
  {
    const Unknown *unknown = &g_array_index (solve->unknowns, Unknown, i);
    if (unknown->slot != one->slot || unknown->number != one->number || unknown->grip != one->grip)
      continue;
    drawn = geom_along (drawn, solve->value[i], unknown->drawn);
    other = geom_along (other, solve->value[i], unknown->other);
  }
  return fmax (geom_norm (drawn), geom_norm (other));
}

/* What is wanted as it is. */
static void
set_targets (EngineSolve *solve)
{
  guint m = solve->targets->len;
  g_autofree double *now = g_new (double, m);
  g_autofree bool *open = g_new (bool, m);
  for (guint i = 0; i < m; i++)
  {
    double *target = &g_array_index (solve->targets, double, i);
    open[i] = isnan (*target);
    if (open[i])
      *target = 0.0;
  }
  residuals (solve, solve->value, now);
  for (guint i = 0; i < m; i++)
    if (open[i])
      g_array_index (solve->targets, double, i) = now[i];
}

bool
engine_solve_run (EngineSolve *solve, double most_mm)
{
  guint n = solve->unknowns->len;
  g_clear_pointer (&solve->value, g_free);
  solve->value = g_new0 (double, n + 1);
  if (n == 0 || solve->targets->len == 0)
    return false;
  for (guint s = 0; s < solve->slots->len; s++)
  {
    Slot *slot = slot_at (solve, s);
    if (!slot->base)
      slot->base = model_panel_copy (slot->work);
    stand_marks (solve, s);
    slot->changed = false;
  }
  set_targets (solve);
  bool good = iterate (solve, solve->value) && is_sound (solve);
  for (guint i = 0; i < n && good; i++)
    good = moved_by (solve, i) <= most_mm;
  if (!good)
  {
    memset (solve->value, 0, n * sizeof (double));
    place (solve, solve->value);
    return false;
  }
  for (guint i = 0; i < n; i++)
    if (fabs (solve->value[i]) > ENGINE_TOL_SOLVE_MM)
      slot_at (solve, g_array_index (solve->unknowns, Unknown, i).slot)->changed = true;
  for (guint s = 0; s < solve->slots->len; s++)
    if (slot_at (solve, s)->changed)
      carry_marks (slot_at (solve, s));
  return true;
}

double
engine_solve_moved_mm (const EngineSolve *solve, guint panel_id)
{
  double most = 0.0;
  for (guint i = 0; solve->value && i < solve->unknowns->len; i++)
    if (slot_at (solve, g_array_index (solve->unknowns, Unknown, i).slot)->work->id == panel_id)
      most = fmax (most, moved_by (solve, i));
  return most;
}

GPtrArray *
engine_solve_take_panels (EngineSolve *solve)
{
  GPtrArray *panels = g_ptr_array_new_with_free_func ((GDestroyNotify)model_panel_free);
  for (guint s = 0; s < solve->slots->len; s++)
    if (slot_at (solve, s)->changed)
      g_ptr_array_add (panels, model_panel_copy (slot_at (solve, s)->work));
  return panels;
}
