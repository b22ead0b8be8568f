#include "engine/refit-body.h"

#include "engine/piece.h"
#include "engine/tolerance.h"
#include "model/rework.h"
#include "model/shape.h"

#define NOTHING_MM 1e-9
/* A dart whose middle line leans more than this against the height is drawn out with the panel, else it goes
 * as a whole: cosine. */
#define UPRIGHT 0.7

/* ---- life ---- */

Body *
engine_refit_body_new (const ModelPanel *panel)
{
  Body *body = g_new0 (Body, 1);
  guint n = panel->edges->len;
  body->panel = panel;
  body->work = model_panel_copy (panel);
  body->label = g_new0 (int, n + 1);
  body->kept = g_new0 (bool, n + 1);
  body->open = g_new0 (bool, n + 1);
  body->dart = g_new0 (int, n + 1);
  for (int s = 0; s < 2; s++)
    body->knots[s] = g_array_new (FALSE, FALSE, sizeof (BodyKnot));
  body->zones = g_array_new (FALSE, FALSE, sizeof (BodyZone));
  return body;
}

void
engine_refit_body_free (gpointer data)
{
  Body *body = data;
  model_panel_free (body->work);
  g_free (body->label);
  g_free (body->kept);
  g_free (body->open);
  g_free (body->dart);
  g_array_unref (body->knots[0]);
  g_array_unref (body->knots[1]);
  g_array_unref (body->zones);
  g_free (body);
}

/* ---- the frame ---- */

void
engine_refit_body_orient (Body *body, GeomPoint way, bool along)
{
  GeomPoint *sum = along ? &body->sum_along : &body->sum_across;
  *sum = geom_along (*sum, geom_dot (*sum, way) < 0.0 ? -1.0 : 1.0, way);
}

void
engine_refit_body_settle_frame (Body *body)
{
  int fold = engine_panel_is_mirrored (body->panel) ? model_panel_fold_edge (body->panel) : -1;
  GeomPoint up;
  if (fold >= 0)
  {
    /* Exactly along the fold, or its corners would leave the axis. */
    const ModelEdge *edge = model_panel_edge (body->panel, (guint)fold);
    up = geom_sub (model_panel_next_node (body->panel, (guint)fold, edge->nodes->len - 1)->at,
                   model_edge_node (edge, 0)->at);
    GeomPoint wanted = geom_norm (body->sum_across) > 0.0 ? geom_left_of (body->sum_across) : body->sum_along;
    if (fabs (geom_dot (geom_unit (up), geom_unit (wanted))) < UPRIGHT)
      up = geom_left_of (up); /* a fold across the body */
  }
  else if (geom_norm (body->sum_across) > 0.0)
    up = geom_left_of (body->sum_across);
  else
    up = body->sum_along;
  body->up = geom_unit (up);
  /* Towards the top of the paper, where there is a choice: then left is left. */
  if (body->up.y < 0.0)
    body->up = geom_scale (body->up, -1.0);
  body->across = geom_right_of (body->up);
}

double
engine_refit_body_across (const Body *body, GeomPoint p)
{
  return geom_dot (p, body->across);
}

double
engine_refit_body_up (const Body *body, GeomPoint p)
{
  return geom_dot (p, body->up);
}

/* ---- edges ---- */

void
engine_refit_body_find_darts (const ModelDocument *doc, Body *body)
{
  for (guint e = 0; e < body->panel->edges->len; e++)
  {
    guint leg_1, leg_2, id = model_panel_edge (body->panel, e)->id;
    double angle;
    if (!model_rework_find_dart (body->panel, id, &leg_1, &leg_2, &angle)
        || !model_rework_dart_is_joined (doc, body->panel->id, id))
      continue;
    body->dart[e] = id == leg_1 ? 1 : 2;
  }
}

void
engine_refit_body_fill_labels (Body *body)
{
  guint n = body->panel->edges->len, start = 0;
  while (start < n && body->label[start] == 0)
    start++;
  if (start == n)
    return;
  for (guint i = 0; i < n; i++)
  {
    guint from = (start + i) % n, len = 0;
    if (body->label[from] == 0 || body->label[(from + 1) % n] != 0)
      continue;
    while (len < n && body->label[(from + 1 + len) % n] == 0)
      len++;
    guint to = (from + 1 + len) % n;
    /* All the way round to itself is a panel with one side only. */
    if (body->label[to] != body->label[from] || to == from)
      continue;
    for (guint k = 0; k < len; k++)
      body->label[(from + 1 + k) % n] = body->label[from];
  }
}

/* ---- the curve over the level ---- */

static int
by_height (gconstpointer a, gconstpointer b)
{
  const BodyKnot *x = a, *y = b;
  return x->up_mm < y->up_mm ? -1 : x->up_mm > y->up_mm;
}

static BodyKnot *
knot_at (const GArray *knots, guint i)
{
  return &g_array_index (knots, BodyKnot, i);
}

static void
run_out (Body *body, GArray *knots, guint corner_edge)
{
  double up
    = engine_refit_body_up (body, model_edge_node (model_panel_edge (body->panel, corner_edge), 0)->at);
  if (knots->len == 0 || (up > knot_at (knots, 0)->up_mm && up < knot_at (knots, knots->len - 1)->up_mm))
    return;
  BodyKnot knot = { up, 0.0, false };
  g_array_append_val (knots, knot);
  g_array_sort (knots, by_height);
}

void
engine_refit_body_close_knots (Body *body, double near_mm)
{
  guint n = body->panel->edges->len;
  for (int s = 0; s < 2; s++)
  {
    GArray *knots = body->knots[s];
    g_array_sort (knots, by_height);
    for (guint i = 0; i + 1 < knots->len;)
    {
      BodyKnot *a = knot_at (knots, i), *b = knot_at (knots, i + 1);
      if (b->up_mm - a->up_mm > near_mm)
      {
        i++;
        continue;
      }
      a->out_mm = (a->out_mm + b->out_mm) / 2.0;
      g_array_remove_index (knots, i + 1);
    }
    int label = s == 0 ? BODY_LEFT : BODY_RIGHT;
    for (guint e = 0; e < n; e++)
    {
      guint next = (e + 1) % n;
      if (body->label[e] == label && body->kept[next])
        run_out (body, knots, next);
      if (body->kept[e] && body->label[next] == label)
        run_out (body, knots, next);
    }
  }
}

/* The slope at knot I: level at both ends and where the amounts turn; between, the weighted harmonic mean of
 * both neighbours' slopes, with which the curve does not overshoot. */
static double
slope_at (const GArray *knots, guint i)
{
  if (i == 0 || i + 1 >= knots->len)
    return 0.0;
  const BodyKnot *a = knot_at (knots, i - 1), *b = knot_at (knots, i), *c = knot_at (knots, i + 1);
  double h0 = b->up_mm - a->up_mm, h1 = c->up_mm - b->up_mm;
  if (!(h0 > 0.0) || !(h1 > 0.0))
    return 0.0;
  double d0 = (b->out_mm - a->out_mm) / h0, d1 = (c->out_mm - b->out_mm) / h1;
  if (!(d0 * d1 > 0.0))
    return 0.0;
  double w0 = 2.0 * h1 + h0, w1 = h1 + 2.0 * h0;
  return (w0 + w1) / (w0 / d0 + w1 / d1);
}

/* How far a side goes at UP, and how that changes with it. */
static double
side_at (const Body *body, int label, double up, double *slope)
{
  const GArray *knots = body->knots[label == BODY_LEFT ? 0 : 1];
  double none;
  slope = slope ? slope : &none;
  *slope = 0.0;
  if (knots->len == 0)
    return 0.0;
  guint i = 0;
  while (i + 1 < knots->len && knot_at (knots, i + 1)->up_mm < up)
    i++;
  const BodyKnot *a = knot_at (knots, i), *b = i + 1 < knots->len ? knot_at (knots, i + 1) : a;
  double height = b->up_mm - a->up_mm;
  if (!(height > 0.0) || up <= a->up_mm)
    return up <= a->up_mm ? a->out_mm : b->out_mm;
  if (up >= b->up_mm)
    return b->out_mm;
  double t = (up - a->up_mm) / height, s = 1.0 - t, m0 = slope_at (knots, i) * height,
         m1 = slope_at (knots, i + 1) * height;
  double rise = b->out_mm - a->out_mm;
  *slope = (6.0 * t * s * rise + (1.0 - 4.0 * t + 3.0 * t * t) * m0 + (3.0 * t * t - 2.0 * t) * m1) / height;
  return a->out_mm + t * t * (3.0 - 2.0 * t) * rise + t * s * s * m0 - t * t * s * m1;
}

/* How far all goes up or down at UP. */
static double
lift_at (const Body *body, double up, double *slope)
{
  double sum = 0.0, steep = 0.0;
  for (guint i = 0; i < body->zones->len; i++)
  {
    const BodyZone *zone = &g_array_index (body->zones, BodyZone, i);
    double way = zone->to_mm > zone->from_mm ? 1.0 : -1.0, height = fabs (zone->to_mm - zone->from_mm);
    double t = CLAMP (way * (up - zone->from_mm) / height, 0.0, 1.0);
    sum += way * zone->by_mm * t * t * (3.0 - 2.0 * t);
    steep += zone->by_mm * 6.0 * t * (1.0 - t) / height;
  }
  if (slope)
    *slope = steep;
  return sum;
}

void
engine_refit_body_within_levels (const Body *body, double *low, double *high)
{
  double first = INFINITY, last = -INFINITY;
  for (int s = 0; s < 2; s++)
    for (guint i = 0; i < body->knots[s]->len; i++)
    {
      const BodyKnot *knot = knot_at (body->knots[s], i);
      if (!knot->line)
        continue;
      first = fmin (first, knot->up_mm);
      last = fmax (last, knot->up_mm);
    }
  if (last - first < 0.2 * (*high - *low))
    return;
  *low = fmax (*low, first);
  *high = fmin (*high, last);
}

/* ---- moving ---- */

/* What one node of WORK does: its own way, and what each handle gets besides. */
typedef struct Go
{
  double across_mm, up_mm;
  GeomPoint in, out; /* in the frame */
  bool is_set;
  bool at_stop; /* shares are told from here */
} Go;

/* A stop on the way between the two sides, from where a node's share is told. */
typedef struct Stop
{
  double along_mm, across_mm;
} Stop;

static guint
first_of (const Body *body, guint edge)
{
  guint sum = 0;
  for (guint e = 0; e < edge % body->work->edges->len; e++)
    sum += model_panel_edge (body->work, e)->nodes->len;
  return sum;
}

static double
piece_length (const Body *body, guint edge, guint node)
{
  const ModelNode *a = model_edge_node (model_panel_edge (body->work, edge), node),
                  *b = model_panel_next_node (body->work, edge, node);
  GeomCubic c = { { a->at, a->out, b->in, b->at } };
  return geom_cubic_length (&c, ENGINE_TOL_LENGTH_MM);
}

/* A straight piece of a side that is to bend gets handles, which change nothing yet. */
static void
bend_straight (Body *body, guint edge)
{
  ModelEdge *its = model_panel_edge (body->work, edge);
  for (guint n = 0; n < its->nodes->len; n++)
  {
    ModelNode *a = model_edge_node (its, n), *b = model_panel_next_node (body->work, edge, n);
    double up_a = engine_refit_body_up (body, a->at), up_b = engine_refit_body_up (body, b->at), slope_a,
           slope_b;
    double out_a = side_at (body, body->label[edge], up_a, &slope_a),
           out_b = side_at (body, body->label[edge], up_b, &slope_b);
    double rise = up_b - up_a,
           turn = fabs (out_b - out_a - slope_a * rise) + fabs (slope_b - slope_a) * fabs (rise);
    if (!geom_same_point (a->out, a->at) || !geom_same_point (b->in, b->at) || turn <= NOTHING_MM)
      continue;
    a->out = geom_mix (a->at, b->at, 1.0 / 3.0);
    b->in = geom_mix (a->at, b->at, 2.0 / 3.0);
  }
}

static GeomPoint
in_frame (const Body *body, GeomPoint v)
{
  return geom_point (geom_dot (v, body->across), geom_dot (v, body->up));
}

/* A dart that lies across, and its mouth's middle. */
static bool
dart_is_rigid (const Body *body, guint leg, double *up)
{
  guint n = body->work->edges->len, first = body->dart[leg] == 1 ? leg : (leg + n - 1) % n;
  GeomPoint a = model_edge_node (model_panel_edge (body->work, first), 0)->at,
            apex = model_edge_node (model_panel_edge (body->work, (first + 1) % n), 0)->at,
            b = model_edge_node (model_panel_edge (body->work, (first + 2) % n), 0)->at;
  GeomPoint middle = geom_mix (a, b, 0.5), axis = geom_unit (geom_sub (apex, middle));
  *up = engine_refit_body_up (body, middle);
  return fabs (geom_dot (axis, body->up)) < UPRIGHT;
}

/* The handle's part of the change, from the piece it belongs to. */
static GeomPoint
handle_goes (const Body *body, guint edge, GeomPoint arm, double up, double share_slope, bool is_in)
{
  GeomPoint h = in_frame (body, arm);
  double steep, middle, side = 0.0;
  lift_at (body, up, &steep);
  if (body->dart[edge] != 0)
    return geom_point (0.0, dart_is_rigid (body, edge, &middle) ? 0.0 : steep * h.y);
  if (body->label[edge] != 0)
  {
    side_at (body, body->label[edge], up, &side);
    return geom_point (side * h.y, steep * h.y);
  }
  return geom_point ((is_in ? -1.0 : 1.0) * share_slope * geom_norm (h), steep * h.y);
}

static void
go_node (const Body *body, Go *all, guint edge, guint node, double across, double slope_in, double slope_out)
{
  guint n = body->work->edges->len, before = node == 0 ? (edge + n - 1) % n : edge;
  const ModelNode *its = model_edge_node (model_panel_edge (body->work, edge), node);
  Go *go = &all[first_of (body, edge) + node];
  double up = engine_refit_body_up (body, its->at), lift_up = up, middle;
  for (int k = 0; k < 2; k++)
  {
    guint leg = k ? edge : before;
    if (body->dart[leg] != 0 && dart_is_rigid (body, leg, &middle))
      lift_up = middle;
  }
  int fold = engine_panel_is_mirrored (body->work) ? model_panel_fold_edge (body->work) : -1;
  go->across_mm = (int)edge == fold || (node == 0 && (int)before == fold) ? 0.0 : across;
  go->up_mm = lift_at (body, lift_up, NULL);
  go->in = handle_goes (body, before, geom_sub (its->in, its->at), up, slope_in, true);
  go->out = handle_goes (body, edge, geom_sub (its->out, its->at), up, slope_out, false);
  go->is_set = true;
  go->at_stop = !(fabs (slope_in) > 0.0) && !(fabs (slope_out) > 0.0);
}

/* Nodes that touch an edge of a side. */
static void
go_sides (const Body *body, Go *all)
{
  guint n = body->work->edges->len;
  for (guint e = 0; e < n; e++)
  {
    guint before = (e + n - 1) % n;
    for (guint k = 0; k < model_panel_edge (body->work, e)->nodes->len; k++)
    {
      int label = body->label[e] != 0 ? body->label[e] : k == 0 ? body->label[before] : 0;
      if (label == 0)
        continue;
      double up = engine_refit_body_up (body, model_edge_node (model_panel_edge (body->work, e), k)->at),
             middle = up;
      /* A dart in the side goes as a whole. */
      if (body->dart[e] != 0 || (k == 0 && body->dart[before] != 0))
        dart_is_rigid (body, body->dart[e] != 0 ? e : before, &middle);
      go_node (body, all, e, k, side_at (body, label, middle, NULL), 0.0, 0.0);
    }
  }
}

static double
across_at (const GArray *stops, double along, double *slope)
{
  guint i = 0;
  while (i + 2 < stops->len && g_array_index (stops, Stop, i + 1).along_mm < along)
    i++;
  const Stop *a = &g_array_index (stops, Stop, i),
             *b = &g_array_index (stops, Stop, MIN (i + 1, stops->len - 1));
  double length = b->along_mm - a->along_mm;
  *slope = 0.0;
  if (!(length > 0.0))
    return a->across_mm;
  double t = CLAMP ((along - a->along_mm) / length, 0.0, 1.0);
  *slope = (b->across_mm - a->across_mm) * 6.0 * t * (1.0 - t) / length;
  return a->across_mm + (b->across_mm - a->across_mm) * t * t * (3.0 - 2.0 * t);
}

static void
add_stop (GArray *stops, double along, double across)
{
  Stop stop = { along, across };
  g_array_append_val (stops, stop);
}

/* The nodes of the COUNT edges after FROM, between two sides.  Twice along: stops first, then the nodes. */
static void
go_between (const Body *body, Go *all, guint from, guint count)
{
  guint n = body->work->edges->len;
  g_autoptr (GArray) stops = g_array_new (FALSE, FALSE, sizeof (Stop));
  for (int round = 0; round < 2; round++)
  {
    double along = 0.0;
    for (guint i = 0; i < count; i++)
    {
      guint e = (from + i) % n;
      bool held = body->kept[e] || (i > 0 && body->kept[(e + n - 1) % n]);
      for (guint k = 0; k < model_panel_edge (body->work, e)->nodes->len; k++)
      {
        bool at_start = i == 0 && k == 0;
        if (round == 0 && at_start)
          add_stop (stops, 0.0, all[first_of (body, e)].across_mm);
        else if (round == 0 && (body->kept[e] || (k == 0 && held)))
          add_stop (stops, along, 0.0);
        double slope = 0.0, across = round == 1 ? across_at (stops, along, &slope) : 0.0;
        if (round == 1 && !at_start)
          go_node (body, all, e, k, across, slope, slope);
        along += body->dart[e] != 0 ? 0.0 : piece_length (body, e, k);
      }
    }
    if (round == 0)
      add_stop (stops, along, all[first_of (body, from + count)].across_mm);
  }
}

static void
go_rest (const Body *body, Go *all)
{
  guint n = body->work->edges->len;
  bool any = false;
  for (guint e = 0; e < n; e++)
  {
    guint before = (e + n - 1) % n, count = 0;
    any = any || body->label[e] != 0;
    if (body->label[e] != 0 || body->label[before] == 0)
      continue;
    while (count < n && body->label[(e + count) % n] == 0)
      count++;
    go_between (body, all, e, count);
  }
  for (guint e = 0; e < n && !any; e++)
    for (guint k = 0; k < model_panel_edge (body->work, e)->nodes->len; k++)
      go_node (body, all, e, k, 0.0, 0.0, 0.0);
}

/* At both ends of the way between the sides handles keep their direction, so that neighbours run on over the
 * seams; they grow and shrink with their piece, or it would bulge, and cross itself where little is left. */
static void
scale_ends (const Body *body, Go *all)
{
  guint n = body->work->edges->len;
  for (guint e = 0; e < n; e++)
    for (guint k = 0; k < model_panel_edge (body->work, e)->nodes->len; k++)
    {
      if (body->label[e] != 0 || body->dart[e] != 0)
        continue;
      const ModelNode *a = model_edge_node (model_panel_edge (body->work, e), k),
                      *b = model_panel_next_node (body->work, e, k);
      Go *from = &all[first_of (body, e) + k],
         *to = k + 1 < model_panel_edge (body->work, e)->nodes->len ? from + 1 : &all[first_of (body, e + 1)];
      GeomPoint was = in_frame (body, geom_sub (b->at, a->at)),
                will = geom_point (was.x + to->across_mm - from->across_mm, was.y);
      if (!(geom_norm (was) > NOTHING_MM))
        continue;
      double grow = geom_norm (will) / geom_norm (was) - 1.0;
      if (from->at_stop)
        from->out = geom_along (from->out, grow, in_frame (body, geom_sub (a->out, a->at)));
      if (to->at_stop)
        to->in = geom_along (to->in, grow, in_frame (body, geom_sub (b->in, b->at)));
    }
}

/* A place inside: its share between both sides at its height, by the outline's width there. */
static GeomPoint
inner_goes (const Body *body, GeomPoint p, double left, double right)
{
  double up = engine_refit_body_up (body, p), x = engine_refit_body_across (body, p);
  double t = right > left ? CLAMP ((x - left) / (right - left), 0.0, 1.0) : 0.5;
  double across = (1.0 - t) * side_at (body, BODY_LEFT, up, NULL) + t * side_at (body, BODY_RIGHT, up, NULL);
  return geom_add (geom_scale (body->across, across), geom_scale (body->up, lift_at (body, up, NULL)));
}

static void
move_tapes (Body *body)
{
  double left = INFINITY, right = -INFINITY;
  for (guint e = 0; e < body->panel->edges->len; e++)
  {
    double x = engine_refit_body_across (body, model_edge_node (model_panel_edge (body->panel, e), 0)->at);
    left = fmin (left, x);
    right = fmax (right, x);
  }
  for (guint i = 0; i < body->work->tapes->len; i++)
  {
    ModelTape *tape = &g_array_index (body->work->tapes, ModelTape, i);
    tape->a = geom_add (tape->a, inner_goes (body, tape->a, left, right));
    tape->b = geom_add (tape->b, inner_goes (body, tape->b, left, right));
    tape->c = geom_add (tape->c, inner_goes (body, tape->c, left, right));
  }
}

/* ---- marks ---- */

static void
edge_path (const ModelPanel *panel, guint edge, GeomPath *out)
{
  for (guint n = 0; n < model_panel_edge (panel, edge)->nodes->len; n++)
  {
    const ModelNode *a = model_edge_node (model_panel_edge (panel, edge), n),
                    *b = model_panel_next_node (panel, edge, n);
    GeomCubic c = { { a->at, a->out, b->in, b->at } };
    geom_path_append (out, &c);
  }
}

GArray *
engine_refit_hold_marks (const ModelPanel *panel)
{
  GArray *places = g_array_new (FALSE, TRUE, sizeof (GeomPlace));
  g_array_set_size (places, panel->marks->len);
  for (guint i = 0; i < panel->marks->len; i++)
  {
    const ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);
    int edge = model_panel_find_edge (panel, mark->edge_id);
    if (edge < 0)
      continue;
    GeomPath path;
    geom_path_init (&path);
    edge_path (panel, (guint)edge, &path);
    g_array_index (places, GeomPlace, i) = geom_path_place_at (&path, mark->at_mm, ENGINE_TOL_LENGTH_MM);
    geom_path_clear (&path);
  }
  return places;
}

void
engine_refit_put_marks (ModelPanel *panel, const GArray *places)
{
  for (guint i = 0; i < panel->marks->len && i < places->len; i++)
  {
    ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);
    GeomPlace place = g_array_index (places, GeomPlace, i);
    int edge = model_panel_find_edge (panel, mark->edge_id);
    if (edge < 0 || place.piece >= model_panel_edge (panel, (guint)edge)->nodes->len)
      continue;
    GeomPath path;
    geom_path_init (&path);
    edge_path (panel, (guint)edge, &path);
    mark->at_mm = geom_path_length_to (&path, place, ENGINE_TOL_LENGTH_MM);
    geom_path_clear (&path);
  }
}

/* Where the marks of WORK are to be afterwards.  On a side: what the field makes of the place, since a long
 * piece, a fold above all, is not drawn out evenly; elsewhere the same place of the same piece. */
static GArray *
marks_go (const Body *body)
{
  GArray *points = g_array_new (FALSE, TRUE, sizeof (GeomPoint));
  g_autoptr (GArray) places = engine_refit_hold_marks (body->work);
  g_array_set_size (points, places->len);
  for (guint i = 0; i < places->len; i++)
  {
    int edge = model_panel_find_edge (body->work, g_array_index (body->work->marks, ModelMark, i).edge_id);
    GeomPath path;
    if (edge < 0 || body->label[edge] == 0 || body->dart[edge] != 0)
    {
      g_array_index (points, GeomPoint, i) = geom_point (NAN, NAN);
      continue;
    }
    geom_path_init (&path);
    edge_path (body->work, (guint)edge, &path);
    GeomPoint p = geom_path_point (&path, g_array_index (places, GeomPlace, i));
    geom_path_clear (&path);
    double up = engine_refit_body_up (body, p);
    p = geom_along (p, side_at (body, body->label[edge], up, NULL), body->across);
    g_array_index (points, GeomPoint, i) = geom_along (p, lift_at (body, up, NULL), body->up);
  }
  return points;
}

static void
put_marks_at (ModelPanel *panel, const GArray *points)
{
  for (guint i = 0; i < points->len; i++)
  {
    GeomPoint p = g_array_index (points, GeomPoint, i);
    ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);
    int edge = model_panel_find_edge (panel, mark->edge_id);
    if (isnan (p.x) || edge < 0)
      continue;
    GeomPath path;
    geom_path_init (&path);
    edge_path (panel, (guint)edge, &path);
    mark->at_mm = geom_path_length_to (&path, geom_path_nearest (&path, p).place, ENGINE_TOL_LENGTH_MM);
    geom_path_clear (&path);
  }
}

bool
engine_refit_body_move (Body *body)
{
  guint n = body->work->edges->len;
  bool moved = false;
  for (guint e = 0; e < n; e++)
    if (body->label[e] != 0 && body->dart[e] == 0 && (int)e != model_panel_fold_edge (body->work))
      bend_straight (body, e);
  g_autoptr (GArray) marks = engine_refit_hold_marks (body->work), points = marks_go (body);
  g_autofree Go *all = g_new0 (Go, model_panel_node_count (body->work) + 1);
  go_sides (body, all);
  go_rest (body, all);
  scale_ends (body, all);
  move_tapes (body);
  for (guint e = 0, i = 0; e < n; e++)
    for (guint k = 0; k < model_panel_edge (body->work, e)->nodes->len; k++, i++)
    {
      ModelNode *node = model_edge_node (model_panel_edge (body->work, e), k);
      const Go *go = &all[i];
      if (!go->is_set || node->locked || model_panel_edge (body->work, e)->locked
          || (k == 0 && model_panel_edge (body->work, (e + n - 1) % n)->locked))
        continue;
      GeomPoint by = geom_add (geom_scale (body->across, go->across_mm), geom_scale (body->up, go->up_mm));
      GeomPoint in = geom_add (geom_scale (body->across, go->in.x), geom_scale (body->up, go->in.y));
      GeomPoint out = geom_add (geom_scale (body->across, go->out.x), geom_scale (body->up, go->out.y));
      moved
        = moved || geom_norm (by) > NOTHING_MM || geom_norm (in) > NOTHING_MM || geom_norm (out) > NOTHING_MM;
      node->at = geom_add (node->at, by);
      node->in = geom_add (node->in, geom_add (by, in));
      node->out = geom_add (node->out, geom_add (by, out));
      /* Shear may lengthen one arm more than the other. */
      if (node->kind == MODEL_NODE_EVEN && geom_norm (geom_sub (in, geom_scale (out, -1.0))) > NOTHING_MM)
        node->kind = MODEL_NODE_SMOOTH;
    }
  if (moved)
  {
    engine_refit_put_marks (body->work, marks);
    put_marks_at (body->work, points);
  }
  return moved;
}
