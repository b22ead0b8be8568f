/* A roomy place inside an outline: the largest circle, found by halving squares that can still hold a larger
 * one than the best so far.  The answer for an outline is kept (by its control points), because the canvas
 * asks in every frame. */
#include "output/draw-parts.h"

#include <string.h>

#define CELLS_MAX 1500
#define KEPT_SLOTS 512

typedef struct Spot
{
  GeomPoint centre;
  double half, distance, reach; /* reach: the largest circle that could still lie in the square */
} Spot;

typedef struct KeptPlace
{
  guint64 key;
  GeomPoint at;
  double radius;
} KeptPlace;

static GPrivate places_of_thread = G_PRIVATE_INIT (g_free);

static guint64
path_key (const GeomPath *path)
{
  guint64 h = 1469598103934665603ull ^ path->count;
  for (size_t i = 0; i < path->count; i++)
    for (int k = 0; k < 4; k++)
    {
      guint64 bits[2];
      memcpy (bits, &path->piece[i].p[k], sizeof bits);
      h = (h ^ bits[0]) * 1099511628211ull;
      h = (h ^ (h >> 29) ^ bits[1]) * 1099511628211ull;
    }
  return h == 0 ? 1 : h;
}

/* Distance to the polygon, positive inside. */
static double
inside_by (const GArray *polygon, GeomPoint p)
{
  bool inside = false;
  double nearest = INFINITY;
  const guint n = polygon->len;
  const GeomPoint *v = (const GeomPoint *)(void *)polygon->data;
  for (guint i = 0, j = n - 1; i < n; j = i++)
  {
    const GeomPoint a = v[j], b = v[i], d = geom_sub (b, a), ap = geom_sub (p, a);
    if ((b.y > p.y) != (a.y > p.y) && p.x < (a.x - b.x) * (p.y - b.y) / (a.y - b.y) + b.x)
      inside = !inside;
    const double dd = geom_dot (d, d);
    const double t = dd > 0.0 ? CLAMP (geom_dot (ap, d) / dd, 0.0, 1.0) : 0.0;
    const GeomPoint off = geom_sub (ap, geom_scale (d, t));
    nearest = MIN (nearest, geom_dot (off, off));
  }
  return inside ? sqrt (nearest) : -sqrt (nearest);
}

static Spot
spot_at (const GArray *polygon, GeomPoint centre, double half)
{
  const double d = inside_by (polygon, centre);
  return (Spot) { centre, half, d, d + half * G_SQRT2 };
}

static void
collect (GeomPoint p, void *user)
{
  g_array_append_val ((GArray *)user, p);
}

static GeomPoint
search (const GeomPath *outline, double *radius_mm)
{
  const GeomBox box = geom_path_box (outline);
  const double size = MAX (box.x1 - box.x0, box.y1 - box.y0);
  const GeomPoint middle = geom_point ((box.x0 + box.x1) / 2.0, (box.y0 + box.y1) / 2.0);
  *radius_mm = 0.0;
  if (geom_box_is_empty (box) || !(size > 0.0) || !isfinite (size))
    return geom_box_is_empty (box) ? geom_point (0.0, 0.0) : middle;
  g_autoptr (GArray) polygon = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  geom_path_flatten (outline, MAX (size * 2e-3, 1e-3), collect, polygon);
  if (polygon->len < 3)
    return middle;
  const double fine = size * 0.01;
  Spot best = spot_at (polygon, middle, 0.0);
  g_autoptr (GArray) open = g_array_new (FALSE, FALSE, sizeof (Spot));
  const double half = MAX (MIN (box.x1 - box.x0, box.y1 - box.y0) / 2.0, size / 16.0);
  for (double x = box.x0 + half; x < box.x1 + half; x += 2.0 * half)
    for (double y = box.y0 + half; y < box.y1 + half; y += 2.0 * half)
    {
      const Spot s = spot_at (polygon, geom_point (x, y), half);
      g_array_append_val (open, s);
    }
  int cells = 0;
  while (open->len > 0 && cells < CELLS_MAX)
  {
    guint top = 0;
    for (guint i = 1; i < open->len; i++)
      if (g_array_index (open, Spot, i).reach > g_array_index (open, Spot, top).reach)
        top = i;
    const Spot s = g_array_index (open, Spot, top);
    g_array_remove_index_fast (open, top);
    if (s.reach - best.distance <= fine)
      break;
    if (s.distance > best.distance)
      best = s;
    const double h = s.half / 2.0;
    for (int k = 0; k < 4; k++)
    {
      const GeomPoint c = geom_point (s.centre.x + (k & 1 ? h : -h), s.centre.y + (k & 2 ? h : -h));
      const Spot part = spot_at (polygon, c, h);
      if (part.distance > best.distance)
        best = part;
      if (part.reach - best.distance > fine)
        g_array_append_val (open, part);
      cells++;
    }
  }
  *radius_mm = MAX (best.distance, 0.0);
  return best.centre;
}

GeomPoint
output_label_place (const GeomPath *outline, double *radius_mm)
{
  double radius = 0.0;
  KeptPlace *kept = (KeptPlace *)g_private_get (&places_of_thread);
  if (kept == NULL)
  {
    kept = g_new0 (KeptPlace, KEPT_SLOTS);
    g_private_set (&places_of_thread, kept);
  }
  const guint64 key = path_key (outline);
  KeptPlace *slot = &kept[(key ^ key >> 32) % KEPT_SLOTS];
  if (slot->key != key)
  {
    slot->at = search (outline, &radius);
    slot->radius = radius;
    slot->key = key;
  }
  if (radius_mm != NULL)
    *radius_mm = slot->radius;
  return slot->at;
}

GeomPoint
output_piece_label_place (const ModelPanel *panel, const EnginePiece *piece, double *radius_mm)
{
  if (panel->halves != MODEL_HALVES_FOLD || model_panel_fold_edge (panel) < 0)
    return output_label_place (&piece->seam, radius_mm);
  GeomPath half;
  geom_path_init (&half);
  model_panel_path (panel, &half, NULL);
  const GeomPoint at = output_label_place (&half, radius_mm);
  geom_path_clear (&half);
  return at;
}
