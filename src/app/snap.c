#include "app/snap.h"

#include "app/canvas-private.h"

#include <glib/gi18n.h>

#define POINT_PX 7.0
#define ALIGN_PX 5.0
#define EDGE_PX 6.0
#define GRID_PX 3.0
/* Of a cell: most of the paper must stay free. */
#define GRID_PART 0.2
/* Two conditions hold together where neither alone is farther off than this. */
#define BOTH_PX 8.0
#define BOTH_ROUNDS 30
#define HOLDS_MM 1e-9
#define MOST_CONDITIONS 24
/* Lines of the grid lie at least so far apart, or everything would catch. */
#define GRID_CELL_PX 9.0

/* A line (through AT, square to NORMAL) or a circle (about AT). */
typedef struct Condition
{
  AppSnapKind kind;
  bool circle;
  GeomPoint at, normal, from;
  double radius_mm;
} Condition;

typedef struct Conditions
{
  Condition all[MOST_CONDITIONS];
  int count;
} Conditions;

static void
add (Conditions *conditions, Condition condition)
{
  if (conditions->count < MOST_CONDITIONS)
    conditions->all[conditions->count++] = condition;
}

static double
miss (const Condition *c, GeomPoint p)
{
  GeomPoint d = geom_sub (p, c->at);
  return c->circle ? geom_norm (d) - c->radius_mm : geom_dot (d, c->normal);
}

static GeomPoint
slope (const Condition *c, GeomPoint p)
{
  return c->circle ? geom_unit (geom_sub (p, c->at)) : c->normal;
}

/* The place near P where both hold. */
static bool
meet (const Condition *a, const Condition *b, GeomPoint *p)
{
  for (int round = 0; round < BOTH_ROUNDS; round++)
  {
    GeomPoint u = slope (a, *p), v = slope (b, *p);
    double ra = miss (a, *p), rb = miss (b, *p), cross = geom_cross (u, v);
    if (fabs (ra) <= HOLDS_MM && fabs (rb) <= HOLDS_MM)
      return true;
    if (fabs (cross) < 0.05)
      return false;
    p->x -= (ra * v.y - rb * u.y) / cross;
    p->y -= (rb * u.x - ra * v.x) / cross;
  }
  return false;
}

/* ---- the neighbours ---- */

/* Nodes of the panel in order, on one side. */
static guint
points_of (const ModelPanel *panel, ModelSide side, guint node_id, GArray *at, GArray *ids)
{
  guint found = G_MAXUINT;
  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++)
    {
      guint id = model_edge_node (model_panel_edge (panel, e), n)->id;
      GeomPoint p;
      if (!model_shape_where (panel, side, id, MODEL_HANDLE_NONE, &p))
        continue;
      if (id == node_id)
        found = at->len;
      g_array_append_val (at, p);
      g_array_append_val (ids, id);
    }
  return found;
}

static bool
has_id (const GArray *ids, guint id)
{
  for (guint i = 0; ids != NULL && i < ids->len; i++)
    if (g_array_index (ids, guint, i) == id)
      return true;
  return false;
}

/* What the point can be to the neighbour at A, whose own other neighbour is at B. */
static void
add_neighbour (Conditions *conditions, GeomPoint a, GeomPoint b)
{
  GeomPoint along = geom_unit (geom_sub (a, b));
  double length = geom_distance (a, b);
  add (conditions, (Condition) { APP_SNAP_LEVEL, false, a, { 0.0, 1.0 }, a, 0.0 });
  add (conditions, (Condition) { APP_SNAP_PLUMB, false, a, { 1.0, 0.0 }, a, 0.0 });
  if (geom_norm (along) > 0.0)
  {
    add (conditions, (Condition) { APP_SNAP_RIGHT_ANGLE, false, a, along, a, 0.0 });
    add (conditions, (Condition) { APP_SNAP_EQUAL, true, a, { 0.0, 0.0 }, a, length });
  }
}

static void
add_neighbours (Conditions *conditions, const GArray *at, const GArray *ids, const GArray *moving, guint self)
{
  guint count = at->len;
  guint before = (self + count - 1) % count, after = (self + 1) % count;
  GeomPoint a = g_array_index (at, GeomPoint, before), b = g_array_index (at, GeomPoint, after);
  bool has_a = !has_id (moving, g_array_index (ids, guint, before)),
       has_b = !has_id (moving, g_array_index (ids, guint, after));
  if (count < 3)
    return;
  if (has_a)
    add_neighbour (conditions, a, g_array_index (at, GeomPoint, (before + count - 1) % count));
  if (has_b)
    add_neighbour (conditions, b, g_array_index (at, GeomPoint, (after + 1) % count));
  if (has_a && has_b && geom_distance (a, b) > 0.0)
  {
    GeomPoint middle = geom_mix (a, b, 0.5), along = geom_unit (geom_sub (b, a));
    /* A right angle at the point itself: on the circle over its neighbours.  As far from one as the other: on
     * the line between. */
    add (conditions,
         (Condition) { APP_SNAP_RIGHT_ANGLE, true, middle, { 0.0, 0.0 }, a, 0.5 * geom_distance (a, b) });
    add (conditions, (Condition) { APP_SNAP_EQUAL, false, middle, along, middle, 0.0 });
  }
}

/* ---- points, edges, grid ---- */

static bool
find_point (AppCanvas *canvas,
            const ModelPanel *panel,
            const GArray *at,
            const GArray *ids,
            const GArray *moving,
            guint self,
            GeomPoint want,
            GeomPoint *to)
{
  GPtrArray *outlines = app_pick_index_outlines (canvas->index);
  double best = POINT_PX / canvas->scale;
  bool found = false;
  for (guint i = 0; i < outlines->len; i++)
  {
    const AppOutline *outline = (const AppOutline *)g_ptr_array_index (outlines, i);
    if (outline->panel_id == panel->id || geom_box_distance (outline->box, want) > best)
      continue;
    for (size_t k = 0; k < outline->path.count; k++)
    {
      double d = geom_distance (outline->path.piece[k].p[0], want);
      if (d < best)
      {
        best = d;
        *to = outline->path.piece[k].p[0];
        found = true;
      }
    }
  }
  for (guint i = 0; i < at->len; i++)
  {
    double d = geom_distance (g_array_index (at, GeomPoint, i), want);
    /* Not onto its own neighbours: an edge must keep its length. */
    if (i == self || has_id (moving, g_array_index (ids, guint, i)) || (i + 1) % at->len == self
        || (self + 1) % at->len == i || d >= best)
      continue;
    best = d;
    *to = g_array_index (at, GeomPoint, i);
    found = true;
  }
  return found;
}

static bool
find_edge (AppCanvas *canvas, const ModelPanel *panel, GeomPoint want, GeomPoint *to)
{
  GPtrArray *outlines = app_pick_index_outlines (canvas->index);
  double best = EDGE_PX / canvas->scale;
  bool found = false;
  for (guint i = 0; i < outlines->len; i++)
  {
    const AppOutline *outline = (const AppOutline *)g_ptr_array_index (outlines, i);
    if (outline->panel_id == panel->id || geom_box_distance (outline->box, want) > best)
      continue;
    GeomPathNearest near = geom_path_nearest (&outline->path, want);
    if (near.distance_mm < best)
    {
      best = near.distance_mm;
      *to = near.point;
      found = true;
    }
  }
  return found;
}

static bool
find_grid (AppCanvas *canvas, GeomPoint want, bool x_free, bool y_free, GeomPoint *to)
{
  double step = app_canvas_grid_step (canvas), reach = MIN (GRID_PX / canvas->scale, GRID_PART * step);
  GeomPoint near = { round (want.x / step) * step, round (want.y / step) * step };
  bool found = false;
  if (!canvas->grid || step * canvas->scale < GRID_CELL_PX)
    return false;
  if (x_free && fabs (near.x - want.x) <= reach)
  {
    to->x = near.x;
    found = true;
  }
  if (y_free && fabs (near.y - want.y) <= reach)
  {
    to->y = near.y;
    found = true;
  }
  return found;
}

/* ---- all together ---- */

static void
caught (AppSnap *snap, const Condition *c)
{
  if (snap->count < 2)
    snap->catches[snap->count++] = (AppCatch) { c->kind, true, c->from };
}

/* The two conditions that hold together nearest to WANT, else the nearest one. */
static const Condition *
find_conditions (AppCanvas *canvas, const Conditions *conditions, AppSnap *snap)
{
  double align = ALIGN_PX / canvas->scale, both = BOTH_PX / canvas->scale, best = INFINITY;
  const Condition *first = NULL, *second = NULL;
  GeomPoint want = snap->to;
  for (int i = 0; i < conditions->count; i++)
    for (int j = i + 1; j < conditions->count; j++)
    {
      const Condition *a = &conditions->all[i], *b = &conditions->all[j];
      GeomPoint p = want;
      if (fabs (miss (a, want)) > align || fabs (miss (b, want)) > align || !meet (a, b, &p))
        continue;
      double d = geom_distance (p, want);
      if (d >= both || d >= best)
        continue;
      best = d;
      snap->to = p;
      first = a;
      second = b;
    }
  if (first != NULL)
  {
    caught (snap, first);
    caught (snap, second);
    return NULL;
  }
  best = align;
  for (int i = 0; i < conditions->count; i++)
  {
    const Condition *c = &conditions->all[i];
    double d = fabs (miss (c, want));
    if (d >= best)
      continue;
    best = d;
    first = c;
  }
  if (first != NULL)
  {
    snap->to = geom_along (want, -miss (first, want), slope (first, want));
    /* To the bit, or level would be a hair off. */
    if (first->kind == APP_SNAP_LEVEL)
      snap->to = geom_point (want.x, first->at.y);
    if (first->kind == APP_SNAP_PLUMB)
      snap->to = geom_point (first->at.x, want.y);
    caught (snap, first);
  }
  return first;
}

AppSnap
app_snap_find (AppCanvas *canvas,
               const ModelPanel *panel,
               ModelSide side,
               guint node_id,
               const GArray *moving,
               GeomPoint want)
{
  AppSnap snap = { .to = want };
  g_autoptr (GArray) at = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  g_autoptr (GArray) ids = g_array_new (FALSE, FALSE, sizeof (guint));
  Conditions conditions = { .count = 0 };
  guint self = points_of (panel, side, node_id, at, ids);
  if (self == G_MAXUINT || canvas->index == NULL)
    return snap;
  if (find_point (canvas, panel, at, ids, moving, self, want, &snap.to))
  {
    snap.catches[snap.count++] = (AppCatch) { .kind = APP_SNAP_POINT };
    return snap;
  }
  if (app_canvas_snap_to_lines (canvas, &snap.to))
  {
    snap.catches[snap.count++] = (AppCatch) { .kind = APP_SNAP_LINE };
    return snap;
  }
  add_neighbours (&conditions, at, ids, moving, self);
  const Condition *only = find_conditions (canvas, &conditions, &snap);
  if (snap.count == 0 && find_edge (canvas, panel, want, &snap.to))
    snap.catches[snap.count++] = (AppCatch) { .kind = APP_SNAP_EDGE };
  else if (snap.count < 2)
  {
    /* On a level or plumb line one of the grid's two directions is still free. */
    bool x_free = only == NULL || only->kind == APP_SNAP_LEVEL,
         y_free = only == NULL || only->kind == APP_SNAP_PLUMB;
    if ((x_free || y_free) && find_grid (canvas, want, x_free, y_free, &snap.to))
      snap.catches[snap.count++] = (AppCatch) { .kind = APP_SNAP_GRID };
  }
  return snap;
}

/* ---- shown ---- */

const char *
app_snap_word (AppSnapKind kind)
{
  switch (kind)
  {
  case APP_SNAP_POINT:
    return _ ("on a point");
  case APP_SNAP_LINE:
    return _ ("on a line");
  case APP_SNAP_EDGE:
    return _ ("on an edge");
  case APP_SNAP_LEVEL:
    return _ ("level");
  case APP_SNAP_PLUMB:
    return _ ("plumb");
  case APP_SNAP_RIGHT_ANGLE:
    return _ ("right angle");
  case APP_SNAP_EQUAL:
    return _ ("equal length");
  case APP_SNAP_GRID:
    return _ ("grid");
  }
  return "";
}

void
app_snap_draw (AppCanvas *canvas, cairo_t *cr, const AppSnap *snap)
{
  const OutputInk *ink = app_canvas_ink (canvas);
  const double dots[2] = { 1.5, 4.0 };
  double x, y, row = 0.0;
  app_canvas_to_widget (canvas, snap->to, &x, &y);
  for (int i = 0; i < snap->count; i++)
  {
    double x0, y0;
    if (!snap->catches[i].has_line)
      continue;
    app_canvas_to_widget (canvas, snap->catches[i].from, &x0, &y0);
    cairo_move_to (cr, x0, y0);
    cairo_line_to (cr, x, y);
    output_set_tone (cr, ink, OUTPUT_TONE_INK_2);
    cairo_set_line_width (cr, 1.0);
    cairo_set_dash (cr, dots, 2, 0.0);
    cairo_stroke (cr);
    cairo_set_dash (cr, NULL, 0, 0.0);
  }
  if (snap->count > 0)
  {
    cairo_arc (cr, x, y, 9.0, 0.0, 2.0 * G_PI);
    output_set_tone (cr, ink, OUTPUT_TONE_INK_2);
    cairo_set_line_width (cr, 1.0);
    cairo_stroke (cr);
  }
  /* Above and left, clear of the gauge that stands below and right. */
  for (int i = 0; i < snap->count; i++)
  {
    const char *word = app_snap_word (snap->catches[i].kind);
    double width, height;
    if (i == 1 && snap->catches[0].kind == snap->catches[1].kind)
      break;
    output_measure_text (cr, 12.0, false, word, &width, &height);
    double left = x - 20.0 - width < 4.0 ? x + 20.0 : x - 20.0 - width;
    output_draw_text (cr, ink, left + width / 2.0, MAX (y - 20.0, 14.0) - row, 0.0, 12.0, false,
                      OUTPUT_TONE_INK, OUTPUT_TONE_CANVAS, word);
    row += height + 4.0;
  }
}
