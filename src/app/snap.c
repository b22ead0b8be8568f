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
/* So near to a neighbour an edge would vanish. */
#define OWN_PX 1.0
#define BOTH_ROUNDS 30
#define HOLDS_MM 1e-9
/* Three hold in one place, such as level, plumb and a right angle: the first two are told. */
#define TIE_MM 1e-7
#define MOST_CONDITIONS 64
/* Lines of the grid lie at least so far apart, or everything would catch. */
#define GRID_CELL_PX 9.0

/* Of marks, widget px. */
#define RING_PX 10.0
#define POINT_MARK_PX 8.0
#define SQUARE_PX 11.0
#define TICK_PX 6.0
#define TICK_GAP_PX 2.5
#define BUBBLE_PX 3.0
#define VIAL_PX 11.0
#define BOB_PX 5.0
/* From the place: on the screen even where the neighbour is not. */
#define VIAL_AT_PX 26.0
#define BOB_AT_PX 14.0
#define CROSS_PX 13.0
#define WORD_PX 12.0

/* A line (through AT, square to NORMAL) or a circle (about AT); what it is to be shown by. */
typedef struct Condition
{
  AppSnapKind kind;
  bool circle;
  GeomPoint at, normal;
  double radius_mm;
  AppCatch shown;
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

static void
add_level_and_plumb (Conditions *conditions, GeomPoint a)
{
  add (conditions, (Condition) { .kind = APP_SNAP_LEVEL,
                                 .at = a,
                                 .normal = { 0.0, 1.0 },
                                 .shown = { .kind = APP_SNAP_LEVEL, .has_line = true, .from = a } });
  add (conditions, (Condition) { .kind = APP_SNAP_PLUMB,
                                 .at = a,
                                 .normal = { 1.0, 0.0 },
                                 .shown = { .kind = APP_SNAP_PLUMB, .has_line = true, .from = a } });
}

/* What an edge to the neighbour at A can be to the one that goes on from there to B. */
static void
add_square_and_equal (Conditions *conditions, GeomPoint a, GeomPoint b)
{
  GeomPoint along = geom_unit (geom_sub (a, b));
  if (!(geom_norm (along) > 0.0))
    return;
  add (conditions,
       (Condition) {
         .kind = APP_SNAP_RIGHT_ANGLE,
         .at = a,
         .normal = along,
         .shown = { .kind = APP_SNAP_RIGHT_ANGLE, .has_line = true, .from = a, .corner = a, .arm = b } });
  add (
    conditions,
    (Condition) { .kind = APP_SNAP_EQUAL,
                  .circle = true,
                  .at = a,
                  .radius_mm = geom_distance (a, b),
                  .shown = { .kind = APP_SNAP_EQUAL, .has_line = true, .from = a, .corner = a, .arm = b } });
}

/* A right angle at the point itself: on the circle over its neighbours A and B. */
static void
add_square_between (Conditions *conditions, GeomPoint a, GeomPoint b)
{
  add (conditions, (Condition) { .kind = APP_SNAP_RIGHT_ANGLE,
                                 .circle = true,
                                 .at = geom_mix (a, b, 0.5),
                                 .radius_mm = 0.5 * geom_distance (a, b),
                                 .shown = { .kind = APP_SNAP_RIGHT_ANGLE,
                                            .has_line = true,
                                            .from = a,
                                            .corner = a,
                                            .arm = b,
                                            .at_point = true } });
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
  {
    add_level_and_plumb (conditions, a);
    add_square_and_equal (conditions, a, g_array_index (at, GeomPoint, (before + count - 1) % count));
  }
  if (has_b)
  {
    add_level_and_plumb (conditions, b);
    add_square_and_equal (conditions, b, g_array_index (at, GeomPoint, (after + 1) % count));
  }
  if (has_a && has_b && geom_distance (a, b) > 0.0)
  {
    add_square_between (conditions, a, b);
    /* As far from one as from the other: on the line between. */
    add (
      conditions,
      (Condition) {
        .kind = APP_SNAP_EQUAL,
        .at = geom_mix (a, b, 0.5),
        .normal = geom_unit (geom_sub (b, a)),
        .shown
        = { .kind = APP_SNAP_EQUAL, .has_line = true, .from = a, .corner = a, .arm = b, .at_point = true } });
  }
}

/* ---- points, edges, grid ---- */

static bool
find_point (AppCanvas *canvas,
            guint panel_id,
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
    if (outline->panel_id == panel_id || geom_box_distance (outline->box, want) > best)
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
find_edge (AppCanvas *canvas, guint panel_id, GeomPoint want, GeomPoint *to, GeomPoint *beside)
{
  GPtrArray *outlines = app_pick_index_outlines (canvas->index);
  double best = EDGE_PX / canvas->scale;
  bool found = false;
  for (guint i = 0; i < outlines->len; i++)
  {
    const AppOutline *outline = (const AppOutline *)g_ptr_array_index (outlines, i);
    if (outline->panel_id == panel_id || geom_box_distance (outline->box, want) > best)
      continue;
    GeomPathNearest near = geom_path_nearest (&outline->path, want);
    if (near.distance_mm < best)
    {
      best = near.distance_mm;
      *to = near.point;
      *beside = geom_add (near.point, geom_path_tangent (&outline->path, near.place));
      found = true;
    }
  }
  return found;
}

/* Directions that are FREE, 1 across and 2 up; returns those in which the grid has caught. */
static int
find_grid (AppCanvas *canvas, GeomPoint want, int free, GeomPoint *to)
{
  double step = app_canvas_grid_step (canvas), reach = MIN (GRID_PX / canvas->scale, GRID_PART * step);
  GeomPoint near = { round (want.x / step) * step, round (want.y / step) * step };
  int found = 0;
  if (!canvas->grid || step * canvas->scale < GRID_CELL_PX)
    return 0;
  if ((free & 1) && fabs (near.x - want.x) <= reach)
  {
    to->x = near.x;
    found |= 1;
  }
  if ((free & 2) && fabs (near.y - want.y) <= reach)
  {
    to->y = near.y;
    found |= 2;
  }
  return found;
}

/* ---- all together ---- */

static void
caught (AppSnap *snap, const Condition *c)
{
  if (snap->count < 2)
    snap->catches[snap->count++] = c->shown;
}

/* Level with a neighbour and plumb above it holds on the neighbour itself, where no point is wanted. */
static bool
lies_on_neighbour (const Condition *c, GeomPoint p, double own_mm)
{
  return geom_distance (c->shown.from, p) < own_mm
         || (c->shown.at_point && geom_distance (c->shown.arm, p) < own_mm);
}

/* The two conditions that hold together nearest to WANT, else the nearest one. */
static const Condition *
find_conditions (AppCanvas *canvas, const Conditions *conditions, AppSnap *snap)
{
  double align = ALIGN_PX / canvas->scale, both = BOTH_PX / canvas->scale, own = OWN_PX / canvas->scale,
         best = INFINITY;
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
      if (d >= both || d >= best - TIE_MM || lies_on_neighbour (a, p, own) || lies_on_neighbour (b, p, own))
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

/* Guides, conditions, edges, grid, in this order; a point has not caught. */
static AppSnap
settle (AppCanvas *canvas, guint panel_id, const Conditions *conditions, GeomPoint want)
{
  AppSnap snap = { .to = want };
  if (app_canvas_snap_to_lines (canvas, &snap.to))
  {
    snap.catches[snap.count++] = (AppCatch) { .kind = APP_SNAP_LINE };
    return snap;
  }
  GeomPoint beside;
  const Condition *only = find_conditions (canvas, conditions, &snap);
  if (snap.count == 0 && find_edge (canvas, panel_id, want, &snap.to, &beside))
    snap.catches[snap.count++] = (AppCatch) { .kind = APP_SNAP_EDGE, .arm = beside };
  else if (snap.count < 2)
  {
    /* On a level or plumb line one of the grid's two directions is still free. */
    int free = only == NULL ? 3 : only->kind == APP_SNAP_LEVEL ? 1 : only->kind == APP_SNAP_PLUMB ? 2 : 0;
    GeomPoint to = snap.to;
    int grid = find_grid (canvas, want, free, &to);
    if (grid != 0 && (only == NULL || !lies_on_neighbour (only, to, OWN_PX / canvas->scale)))
    {
      snap.to = to;
      snap.catches[snap.count++] = (AppCatch) { .kind = APP_SNAP_GRID, .grid = grid };
    }
  }
  return snap;
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
  if (find_point (canvas, panel->id, at, ids, moving, self, want, &snap.to))
  {
    snap.catches[snap.count++] = (AppCatch) { .kind = APP_SNAP_POINT };
    return snap;
  }
  add_neighbours (&conditions, at, ids, moving, self);
  return settle (canvas, panel->id, &conditions, want);
}

AppSnap
app_snap_find_next (AppCanvas *canvas, const GArray *nodes, GeomPoint want)
{
  AppSnap snap = { .to = want };
  g_autoptr (GArray) none = g_array_new (FALSE, FALSE, sizeof (guint));
  Conditions conditions = { .count = 0 };
  if (canvas->index == NULL)
    return snap;
  if (find_point (canvas, 0, none, none, NULL, G_MAXUINT, want, &snap.to))
  {
    snap.catches[snap.count++] = (AppCatch) { .kind = APP_SNAP_POINT };
    return snap;
  }
  guint count = nodes->len;
  if (count >= 2)
  {
    GeomPoint first = g_array_index (nodes, ModelNode, 0).at,
              last = g_array_index (nodes, ModelNode, count - 1).at;
    add_square_and_equal (&conditions, last, g_array_index (nodes, ModelNode, count - 2).at);
    if (geom_distance (first, last) > 0.0)
      add_square_between (&conditions, last, first);
  }
  /* The last ones first: where there are many, the oldest are left out. */
  for (guint i = count; i-- > 0;)
    add_level_and_plumb (&conditions, g_array_index (nodes, ModelNode, i).at);
  return settle (canvas, 0, &conditions, want);
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

static GeomPoint
on_widget (AppCanvas *canvas, GeomPoint at)
{
  GeomPoint p;
  app_canvas_to_widget (canvas, at, &p.x, &p.y);
  return p;
}

static void
stroke_line (cairo_t *cr, GeomPoint a, GeomPoint b)
{
  cairo_move_to (cr, a.x, a.y);
  cairo_line_to (cr, b.x, b.y);
}

/* The little square of a right angle at CORNER between its arms. */
static void
trace_square (cairo_t *cr, GeomPoint corner, GeomPoint a, GeomPoint b)
{
  GeomPoint u = geom_scale (geom_unit (geom_sub (a, corner)), SQUARE_PX),
            v = geom_scale (geom_unit (geom_sub (b, corner)), SQUARE_PX);
  GeomPoint p = geom_add (corner, u), q = geom_add (p, v), r = geom_add (corner, v);
  cairo_move_to (cr, p.x, p.y);
  cairo_line_to (cr, q.x, q.y);
  cairo_line_to (cr, r.x, r.y);
}

/* Two ticks across the middle of A to B, as lengths that are alike are marked in geometry. */
static void
trace_ticks (cairo_t *cr, GeomPoint a, GeomPoint b)
{
  GeomPoint middle = geom_mix (a, b, 0.5), along = geom_unit (geom_sub (b, a)), across = geom_left_of (along);
  for (int i = -1; i <= 1; i += 2)
  {
    GeomPoint at = geom_along (middle, i * TICK_GAP_PX, along);
    stroke_line (cr, geom_along (at, -TICK_PX, across), geom_along (at, TICK_PX, across));
  }
}

/* The mark of one catch at AT, in widget px, as a path to stroke; each kind has a form of its own, so that it
 * is known without its colour. */
static void
trace_mark (AppCanvas *canvas, cairo_t *cr, const AppCatch *c, GeomPoint at)
{
  GeomPoint from = on_widget (canvas, c->from), corner = on_widget (canvas, c->corner),
            arm = on_widget (canvas, c->arm);
  cairo_new_path (cr);
  switch (c->kind)
  {
  case APP_SNAP_POINT:
    cairo_rectangle (cr, at.x - POINT_MARK_PX, at.y - POINT_MARK_PX, 2.0 * POINT_MARK_PX,
                     2.0 * POINT_MARK_PX);
    break;
  case APP_SNAP_LINE:
    cairo_move_to (cr, at.x, at.y - RING_PX - 1.0);
    cairo_line_to (cr, at.x + RING_PX + 1.0, at.y);
    cairo_line_to (cr, at.x, at.y + RING_PX + 1.0);
    cairo_line_to (cr, at.x - RING_PX - 1.0, at.y);
    cairo_close_path (cr);
    break;
  case APP_SNAP_EDGE:
  {
    /* A ring that the edge runs through, with two ticks square to it. */
    GeomPoint along = geom_unit (geom_sub (arm, at)), across = geom_left_of (along);
    cairo_arc (cr, at.x, at.y, RING_PX, 0.0, 2.0 * G_PI);
    for (int i = -1; i <= 1; i += 2)
      stroke_line (cr, geom_along (at, i * (RING_PX), across), geom_along (at, i * (RING_PX + 6.0), across));
    break;
  }
  case APP_SNAP_LEVEL:
  {
    /* The vial of a level with its bubble. */
    GeomPoint middle = geom_point (at.x + (from.x < at.x ? -VIAL_AT_PX : VIAL_AT_PX), at.y);
    app_canvas_rounded (cr, middle.x - VIAL_PX, middle.y - BUBBLE_PX - 2.0, 2.0 * VIAL_PX,
                        2.0 * BUBBLE_PX + 4.0, BUBBLE_PX + 2.0);
    cairo_new_sub_path (cr);
    cairo_arc (cr, middle.x, middle.y, BUBBLE_PX, 0.0, 2.0 * G_PI);
    break;
  }
  case APP_SNAP_PLUMB:
  {
    /* The bob, on the line's way down. */
    double top = at.y + BOB_AT_PX;
    cairo_move_to (cr, at.x - BOB_PX, top);
    cairo_line_to (cr, at.x + BOB_PX, top);
    cairo_line_to (cr, at.x, top + 2.0 * BOB_PX);
    cairo_close_path (cr);
    break;
  }
  case APP_SNAP_RIGHT_ANGLE:
    if (c->at_point)
      trace_square (cr, at, corner, arm);
    else
      trace_square (cr, corner, arm, at);
    break;
  case APP_SNAP_EQUAL:
    trace_ticks (cr, corner, at);
    trace_ticks (cr, c->at_point ? at : corner, arm);
    break;
  case APP_SNAP_GRID:
    /* Along the lines that have caught, open in the middle. */
    for (int i = -1; i <= 1; i += 2)
    {
      if (c->grid & 1)
        stroke_line (cr, geom_point (at.x, at.y + i * 4.0), geom_point (at.x, at.y + i * CROSS_PX));
      if (c->grid & 2)
        stroke_line (cr, geom_point (at.x + i * 4.0, at.y), geom_point (at.x + i * CROSS_PX, at.y));
    }
    break;
  }
}

void
app_snap_draw (AppCanvas *canvas, cairo_t *cr, const AppSnap *snap)
{
  const OutputInk *ink = app_canvas_ink (canvas);
  const double dots[2] = { 1.5, 4.0 };
  GeomPoint at = on_widget (canvas, snap->to);
  double row = 0.0;
  for (int i = 0; i < snap->count; i++)
  {
    const AppCatch *c = &snap->catches[i];
    if (c->has_line)
    {
      stroke_line (cr, on_widget (canvas, c->from), at);
      if (c->at_point)
        stroke_line (cr, on_widget (canvas, c->arm), at);
      output_set_tone (cr, ink, OUTPUT_TONE_INK_2);
      cairo_set_line_width (cr, 1.0);
      cairo_set_dash (cr, dots, 2, 0.0);
      cairo_stroke (cr);
      cairo_set_dash (cr, NULL, 0, 0.0);
    }
    /* On a rim of the paper's colour: it often lies on a line. */
    trace_mark (canvas, cr, c, at);
    if (c->has_line)
    {
      cairo_new_sub_path (cr);
      cairo_arc (cr, at.x, at.y, RING_PX, 0.0, 2.0 * G_PI);
    }
    output_set_tone (cr, ink, OUTPUT_TONE_CANVAS);
    cairo_set_line_width (cr, 4.0);
    cairo_stroke_preserve (cr);
    output_set_tone (cr, ink, OUTPUT_TONE_INK);
    cairo_set_line_width (cr, 1.6);
    cairo_stroke (cr);
  }
  /* Above and left, clear of the gauge that stands below and right. */
  for (int i = 0; i < snap->count; i++)
  {
    const char *word = app_snap_word (snap->catches[i].kind);
    double width, height;
    if (i == 1 && snap->catches[0].kind == snap->catches[1].kind)
      break;
    output_measure_text (cr, WORD_PX, false, word, &width, &height);
    double left = at.x - 20.0 - width < 4.0 ? at.x + 20.0 : at.x - 20.0 - width;
    output_draw_text (cr, ink, left + width / 2.0, MAX (at.y - 20.0, 14.0) - row, 0.0, WORD_PX, false,
                      OUTPUT_TONE_INK, OUTPUT_TONE_CANVAS, word);
    row += height + 4.0;
  }
}

char *
app_snap_words (const AppSnap *snap, const char *sentence)
{
  if (snap->count == 0)
    return g_strdup (sentence);
  const char *word = app_snap_word (snap->catches[0].kind);
  g_autofree char *both = NULL;
  if (snap->count > 1 && snap->catches[1].kind != snap->catches[0].kind)
    /* Translators: two things that have caught a point, such as "level" and "equal length". */
    both = g_strdup_printf (_ ("%s and %s"), word, app_snap_word (snap->catches[1].kind));
  if (both != NULL)
    word = both;
  return sentence != NULL
           /* Translators: a sentence about lengths, then what has caught the point, such as "right angle". */
           ? g_strdup_printf (_ ("%s. Caught: %s; Ctrl lets it go."), sentence, word)
           : g_strdup_printf (_ ("Caught: %s; Ctrl lets it go."), word);
}
