#include "engine/slide.h"

#include "engine/tolerance.h"
#include "model/shape.h"

/* A slide longer than this share of the edge is another shape, not a remedy. */
#define LARGEST_SHARE 0.5
/* Regula falsi with halving gains more than a bit a step; the length needs no more than forty. */
#define MOST_STEPS 80

typedef struct Ground
{
  const ModelPanel *base;
  ModelSide side;
  guint edge_index, corner_id;
  GeomPoint along; /* unit: the way the corner slides */
} Ground;

static double
edge_length (const ModelPanel *panel, guint edge_index, ModelSide side)
{
  GeomPath path;
  geom_path_init (&path);
  g_autofree size_t *first = g_new0 (size_t, panel->edges->len);
  if (engine_panel_is_mirrored (panel) && side != engine_panel_drawn_side (panel))
    model_panel_twin_path (panel, &path, first);
  else
    model_panel_path (panel, &path, first);
  size_t end = edge_index + 1 < panel->edges->len ? first[edge_index + 1] : path.count;
  double sum = 0.0;
  for (size_t i = first[edge_index]; i < end; i++)
    sum += geom_cubic_length (&path.piece[i], ENGINE_TOL_LENGTH_MM);
  geom_path_clear (&path);
  return sum;
}

static ModelPanel *
slid (const Ground *ground, double by_mm)
{
  ModelPanel *panel = model_panel_copy (ground->base);
  model_shape_move_nodes (panel, ground->side, &ground->corner_id, 1, geom_scale (ground->along, by_mm));
  return panel;
}

static double
length_slid (const Ground *ground, double by_mm)
{
  ModelPanel *panel = slid (ground, by_mm);
  double length = edge_length (panel, ground->edge_index, ground->side);
  model_panel_free (panel);
  return length;
}

/* The slide that gives WANTED_MM, from the nearest bracket outward on either hand. */
static bool
find_slide (const Ground *ground, double now_mm, double wanted_mm, double *by_mm)
{
  double most = now_mm * LARGEST_SHARE, start = fabs (wanted_mm - now_mm);
  for (double reach = start; reach <= most && reach > 0.0; reach *= 2.0)
    for (int sign = 1; sign >= -1; sign -= 2)
    {
      double lo = 0.0, hi = sign * reach;
      double at_lo = now_mm - wanted_mm, at_hi = length_slid (ground, hi) - wanted_mm;
      if ((at_lo < 0.0) == (at_hi < 0.0))
        continue;
      double mid = 0.0;
      for (int i = 0; i < MOST_STEPS; i++)
      {
        mid = i % 2 ? 0.5 * (lo + hi) : lo - at_lo * (hi - lo) / (at_hi - at_lo);
        double at_mid = length_slid (ground, mid) - wanted_mm;
        if (fabs (at_mid) <= ENGINE_TOL_LENGTH_MM)
          break;
        if ((at_mid < 0.0) == (at_lo < 0.0))
        {
          lo = mid;
          at_lo = at_mid;
        }
        else
        {
          hi = mid;
          at_hi = at_mid;
        }
      }
      *by_mm = mid;
      return true;
    }
  return false;
}

/* Marks are placed by their way from the edge's first corner; when that corner moves they stay where they are
 * on the leather. */
static void
keep_marks (ModelPanel *panel, guint edge_id, double change_mm)
{
  for (guint i = 0; i < panel->marks->len; i++)
  {
    ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);
    if (mark->edge_id == edge_id)
      mark->at_mm = fmax (mark->at_mm + change_mm, 0.0);
  }
}

bool
engine_slide_run (EngineReview *review,
                  const ModelPanel *base,
                  const ModelRun *run,
                  ModelSide side,
                  bool at_end,
                  EngineSlideWay way,
                  double change_mm,
                  EngineSlide *out)
{
  if (!base)
    base = model_document_panel (engine_review_document (review), run->panel_id);
  if (!base || base->locked || run->edges->len == 0 || !isfinite (change_mm))
    return false;
  bool drawn_end = at_end != run->reversed;
  int index
    = model_panel_find_edge (base, g_array_index (run->edges, guint, drawn_end ? run->edges->len - 1 : 0));
  guint n = base->edges->len;
  if (index < 0 || n < 2)
    return false;
  guint edge_index = (guint)index, beside = drawn_end ? (edge_index + 1) % n : (edge_index + n - 1) % n;
  const ModelEdge *edge = model_panel_edge (base, edge_index), *neighbour = model_panel_edge (base, beside);
  if (edge->locked || neighbour->locked || edge->fold || neighbour->fold || edge->id == neighbour->id)
    return false;
  guint corner_edge = drawn_end ? beside : edge_index;

  Ground ground = { .base = base,
                    .side = engine_panel_is_mirrored (base) ? side : engine_panel_drawn_side (base),
                    .edge_index = edge_index,
                    .corner_id = model_edge_node (model_panel_edge (base, corner_edge), 0)->id };
  GeomPath path;
  geom_path_init (&path);
  g_autofree size_t *first = g_new0 (size_t, n);
  if (engine_panel_is_mirrored (base) && side != engine_panel_drawn_side (base))
    model_panel_twin_path (base, &path, first);
  else
    model_panel_path (base, &path, first);
  size_t start = first[corner_edge], before = (start + path.count - 1) % path.count;
  /* At the end of the edge its neighbour leaves the corner, at its start the neighbour arrives there. */
  bool leaving = drawn_end == (way == ENGINE_SLIDE_ALONG_NEIGHBOUR);
  ground.along
    = leaving ? geom_cubic_tangent (&path.piece[start], 0.0) : geom_cubic_tangent (&path.piece[before], 1.0);
  geom_path_clear (&path);
  if (geom_norm (ground.along) <= 0.0)
    return false;

  double now = edge_length (base, edge_index, ground.side), by = 0.0;
  if (now + change_mm <= 0.0 || !find_slide (&ground, now, now + change_mm, &by))
    return false;
  out->panel = slid (&ground, by);
  if (!drawn_end)
    keep_marks (out->panel, edge->id, change_mm);
  out->moved_mm = fabs (by);
  out->end_name = *neighbour->name ? g_strdup (neighbour->name) : NULL;
  return true;
}
