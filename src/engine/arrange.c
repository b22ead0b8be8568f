/* Rows of boxes.  A row ends where the next unit would pass the width; the width follows from the sizes alone
 * and not from where the panels lie, so that an arrangement arranged again is the same.
 *
 *      ┌──────┐ ┌───┐┌───┐ ┌────┐
 *      │ fold │ │ pair, 2 │ │    │      first row: tops in line
 *      └──────┘ └───┘└───┘ └────┘
 *      ┌───┐ ┌─────────┐
 *
 * Document order and not the best fit: the list of panels says what lies beside what, and neighbours stay
 * together.
 */
#include "engine/arrange.h"

#include "model/shape.h"

/* A screen is wider than high. */
#define ROW_SHAPE 1.6
/* Less is not a move: what is left of it is rounding. */
#define STAYS_MM 1e-6
/* Sizes are rounded to this, so that a panel moved is as large as before. */
#define SIZE_STEP_MM 1e-4

/* One panel with all that is cut from it. */
typedef struct Unit
{
  guint panel_id, rank; /* RANK: its material's place */
  GeomBox drawn, twin;  /* TWIN empty unless of a pair */
  bool twin_left;
  double w, h, x, y; /* top left corner, y up */
} Unit;

static void
free_panel (gpointer panel)
{
  model_panel_free (panel);
}

static double
stepped (double mm)
{
  return SIZE_STEP_MM * ceil (mm / SIZE_STEP_MM - 0.5);
}

static bool
is_usable (GeomBox box)
{
  return !geom_box_is_empty (box) && isfinite (box.x0) && isfinite (box.y0) && isfinite (box.x1)
         && isfinite (box.y1);
}

static GeomBox
cut_box (EngineReview *review, guint panel_id, ModelSide side)
{
  const EnginePiece *piece = engine_review_piece (review, panel_id, side);
  return piece != NULL && piece->seam.count > 0 ? geom_box_union (piece->box, geom_path_box (&piece->seam))
                                                : geom_box_empty ();
}

/* False: nothing to lay out. */
static bool
measure_unit (EngineReview *review, const ModelPanel *panel, double gap_mm, Unit *u)
{
  *u = (Unit) { .panel_id = panel->id, .twin = geom_box_empty () };
  if (panel->halves == MODEL_HALVES_PAIR)
  {
    ModelSide side = engine_panel_drawn_side (panel);
    u->drawn = cut_box (review, panel->id, side);
    u->twin = cut_box (review, panel->id, model_side_other (side));
    /* Seen from outside, the wearer's left lies at the right. */
    u->twin_left = side == MODEL_SIDE_LEFT;
  }
  else
    u->drawn = cut_box (review, panel->id, MODEL_SIDE_CENTRE);
  if (!is_usable (u->drawn))
    return false;
  GeomBox all = u->drawn;
  double w = u->drawn.x1 - u->drawn.x0;
  if (is_usable (u->twin))
  {
    all = geom_box_union (all, u->twin);
    w += gap_mm + u->twin.x1 - u->twin.x0;
  }
  else
    u->twin = geom_box_empty ();
  u->w = stepped (w);
  u->h = stepped (all.y1 - all.y0);
  return true;
}

static bool
is_wanted (const guint *ids, guint count, guint id)
{
  bool wanted = ids == NULL;
  for (guint i = 0; i < count && !wanted; i++)
    wanted = ids[i] == id;
  return wanted;
}

/* Materials in the order of the document, "none" after them. */
static guint
material_rank (const ModelDocument *doc, guint material_id)
{
  guint i = 0;
  while (i < doc->materials->len
         && ((const ModelMaterial *)g_ptr_array_index (doc->materials, i))->id != material_id)
    i++;
  return i;
}

static int
compare_rank (gconstpointer a, gconstpointer b)
{
  const Unit *p = a, *q = b;
  return p->rank < q->rank ? -1 : p->rank > q->rank;
}

static GeomBox
unit_box (const Unit *u)
{
  return geom_box_is_empty (u->twin) ? u->drawn : geom_box_union (u->drawn, u->twin);
}

/* Gives each unit its corner; the first row begins at LEFT, TOP.  Returns the box of them all. */
static GeomBox
lay_rows (GArray *units, double left, double top, double gap_mm)
{
  double area = 0.0, widest = 0.0;
  for (guint i = 0; i < units->len; i++)
  {
    const Unit *u = &g_array_index (units, Unit, i);
    area += (u->w + gap_mm) * (u->h + gap_mm);
    widest = fmax (widest, u->w);
  }
  double width = fmax (widest, stepped (sqrt (ROW_SHAPE * area))) + SIZE_STEP_MM;
  double x = 0.0, y = 0.0, row_h = 0.0;
  GeomBox box = geom_box_empty ();
  for (guint i = 0; i < units->len; i++)
  {
    Unit *u = &g_array_index (units, Unit, i);
    bool next_group = i > 0 && u->rank != g_array_index (units, Unit, i - 1).rank;
    if (next_group || (x > 0.0 && x + u->w > width))
    {
      y -= row_h + (next_group ? 2.0 : 1.0) * gap_mm;
      x = row_h = 0.0;
    }
    u->x = left + x;
    u->y = top + y;
    x += u->w + gap_mm;
    row_h = fmax (row_h, u->h);
    box = geom_box_union (box, (GeomBox) { u->x, u->y - u->h, u->x + u->w, u->y });
  }
  return box;
}

/* The changed copy, or NULL where the unit lies already. */
static ModelPanel *
moved_panel (const ModelPanel *was, const Unit *u, double gap_mm)
{
  bool pair = !geom_box_is_empty (u->twin);
  double drawn_x = u->x, twin_x = u->x;
  if (pair && u->twin_left)
    drawn_x += u->twin.x1 - u->twin.x0 + gap_mm;
  else if (pair)
    twin_x += u->drawn.x1 - u->drawn.x0 + gap_mm;
  double dx = drawn_x - u->drawn.x0, dy = u->y - unit_box (u).y1;
  /* The twin goes the mirrored way, and twice as far as its line. */
  double line = pair ? (twin_x - u->twin.x0 + dx) / 2.0 : 0.0;
  if (fabs (dx) < STAYS_MM && fabs (dy) < STAYS_MM && fabs (line) < STAYS_MM)
    return NULL;
  ModelPanel *panel = model_panel_copy (was);
  model_shape_map (panel, geom_affine_move (dx, dy));
  panel->mirror_x_mm += line;
  return panel;
}

GPtrArray *
engine_arrange (EngineReview *review, const guint *ids, guint count, double gap_mm, bool by_material)
{
  const ModelDocument *doc = engine_review_document (review);
  GPtrArray *changed = g_ptr_array_new_with_free_func (free_panel);
  g_autoptr (GArray) units = g_array_new (FALSE, FALSE, sizeof (Unit));
  g_autoptr (GArray) others = g_array_new (FALSE, FALSE, sizeof (GeomBox));
  GeomBox now = geom_box_empty (), fixed = geom_box_empty ();
  gap_mm = gap_mm > 0.0 && isfinite (gap_mm) ? gap_mm : 0.0;
  for (guint i = 0; i < doc->panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (doc->panels, i);
    Unit u;
    if (panel->hidden || !measure_unit (review, panel, gap_mm, &u))
      continue;
    u.rank = by_material ? material_rank (doc, panel->material_id) : 0;
    if (!panel->locked && is_wanted (ids, count, panel->id))
    {
      g_array_append_val (units, u);
      now = geom_box_union (now, unit_box (&u));
      continue;
    }
    g_array_append_val (others, u.drawn);
    if (!geom_box_is_empty (u.twin))
      g_array_append_val (others, u.twin);
    fixed = geom_box_union (fixed, unit_box (&u));
  }
  if (units->len == 0)
    return changed;
  g_array_sort (units, compare_rank); /* stable */
  GeomBox laid = lay_rows (units, now.x0, now.y1, gap_mm);
  GeomBox clear = geom_box_grown (laid, gap_mm - STAYS_MM);
  for (guint i = 0; i < others->len; i++)
    if (geom_box_overlaps (clear, g_array_index (others, GeomBox, i)))
    {
      lay_rows (units, now.x0, fixed.y0 - gap_mm, gap_mm);
      break;
    }
  for (guint i = 0; i < doc->panels->len; i++)
    for (guint k = 0; k < units->len; k++)
    {
      const Unit *u = &g_array_index (units, Unit, k);
      const ModelPanel *was = g_ptr_array_index (doc->panels, i);
      ModelPanel *panel = u->panel_id == was->id ? moved_panel (was, u, gap_mm) : NULL;
      if (panel != NULL)
        g_ptr_array_add (changed, panel);
    }
  return changed;
}

/* ---- into line ---- */

typedef struct Lined
{
  const ModelPanel *panel;
  GeomBox box;
  double by;
} Lined;

/* The wanted panels with something drawn, in document order, each once. */
static GArray *
lined_panels (const ModelDocument *doc, const guint *ids, guint count, bool locked_too)
{
  GArray *lined = g_array_new (FALSE, FALSE, sizeof (Lined));
  GeomPath path;
  geom_path_init (&path);
  for (guint i = 0; i < doc->panels->len; i++)
  {
    Lined l = { .panel = g_ptr_array_index (doc->panels, i) };
    if (l.panel->hidden || (l.panel->locked && !locked_too) || !is_wanted (ids, count, l.panel->id))
      continue;
    model_panel_path (l.panel, &path, NULL);
    l.box = geom_path_box (&path);
    if (is_usable (l.box))
      g_array_append_val (lined, l);
    geom_path_reset (&path);
  }
  geom_path_clear (&path);
  return lined;
}

static GPtrArray *
lined_copies (const GArray *lined, bool across)
{
  GPtrArray *changed = g_ptr_array_new_with_free_func (free_panel);
  for (guint i = 0; i < lined->len; i++)
  {
    const Lined *l = &g_array_index (lined, Lined, i);
    if (l->panel->locked || fabs (l->by) < STAYS_MM)
      continue;
    ModelPanel *panel = model_panel_copy (l->panel);
    model_shape_map (panel, across ? geom_affine_move (l->by, 0.0) : geom_affine_move (0.0, l->by));
    g_ptr_array_add (changed, panel);
  }
  return changed;
}

static double
off_line (EngineAlign how, const GeomBox *all, const GeomBox *b)
{
  switch (how)
  {
  case ENGINE_ALIGN_LEFT:
    return all->x0 - b->x0;
  case ENGINE_ALIGN_UPRIGHT_MIDDLE:
    return (all->x0 + all->x1 - b->x0 - b->x1) / 2.0;
  case ENGINE_ALIGN_RIGHT:
    return all->x1 - b->x1;
  case ENGINE_ALIGN_TOP:
    return all->y1 - b->y1;
  case ENGINE_ALIGN_LEVEL_MIDDLE:
    return (all->y0 + all->y1 - b->y0 - b->y1) / 2.0;
  case ENGINE_ALIGN_BOTTOM:
    return all->y0 - b->y0;
  }
  return 0.0;
}

GPtrArray *
engine_align (const ModelDocument *doc, const guint *ids, guint count, EngineAlign how)
{
  g_autoptr (GArray) lined = lined_panels (doc, ids, count, true);
  GeomBox all = geom_box_empty ();
  for (guint i = 0; i < lined->len; i++)
    all = geom_box_union (all, g_array_index (lined, Lined, i).box);
  for (guint i = 0; i < lined->len; i++)
  {
    Lined *l = &g_array_index (lined, Lined, i);
    l->by = off_line (how, &all, &l->box);
  }
  return lined_copies (lined, how <= ENGINE_ALIGN_RIGHT);
}

static int
compare_across (gconstpointer a, gconstpointer b)
{
  const Lined *p = a, *q = b;
  double d = p->box.x0 + p->box.x1 - q->box.x0 - q->box.x1;
  return d < 0.0 ? -1 : d > 0.0;
}

static int
compare_up (gconstpointer a, gconstpointer b)
{
  const Lined *p = a, *q = b;
  double d = p->box.y0 + p->box.y1 - q->box.y0 - q->box.y1;
  return d < 0.0 ? -1 : d > 0.0;
}

static int
compare_place (gconstpointer a, gconstpointer b, gpointer doc)
{
  const Lined *p = a, *q = b;
  guint at_p = 0, at_q = 0;
  g_ptr_array_find (((const ModelDocument *)doc)->panels, p->panel, &at_p);
  g_ptr_array_find (((const ModelDocument *)doc)->panels, q->panel, &at_q);
  return at_p < at_q ? -1 : at_p > at_q;
}

GPtrArray *
engine_distribute (const ModelDocument *doc, const guint *ids, guint count, bool across)
{
  g_autoptr (GArray) lined = lined_panels (doc, ids, count, false);
  if (lined->len >= 3)
  {
    g_array_sort (lined, across ? compare_across : compare_up);
    const GeomBox first = g_array_index (lined, Lined, 0).box,
                  last = g_array_index (lined, Lined, lined->len - 1).box;
    double sizes = 0.0;
    for (guint i = 0; i < lined->len; i++)
    {
      const GeomBox b = g_array_index (lined, Lined, i).box;
      sizes += across ? b.x1 - b.x0 : b.y1 - b.y0;
    }
    double from = across ? first.x0 : first.y0, to = across ? last.x1 : last.y1;
    double space = (to - from - sizes) / (lined->len - 1);
    for (guint i = 0; i < lined->len; i++)
    {
      Lined *l = &g_array_index (lined, Lined, i);
      /* The outermost two stay to the last bit. */
      if (i > 0 && i < lined->len - 1)
        l->by = from - (across ? l->box.x0 : l->box.y0);
      from += (across ? l->box.x1 - l->box.x0 : l->box.y1 - l->box.y0) + space;
    }
    g_array_sort_with_data (lined, compare_place, (gpointer)doc);
  }
  return lined_copies (lined, across);
}
