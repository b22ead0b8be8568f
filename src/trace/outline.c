#include "trace/outline.h"

#include "geom/fit.h"
#include "trace/corner.h"
#include "trace/tolerance.h"

#include <stdlib.h>

/* Blur rounds a corner so many of its spreads to either side. */
#define SKIP_SPREADS 2.7
#define LEAST_SKIP_MM 0.8
#define MOST_SKIP_MM 4.0
/* Neighbouring samples waver together, since each profile is averaged along the edge; means over so much do
 * not, and only of such noise can the fit tell how much there is. */
#define GROUP_MM 1.0
#define LEAST_GROUPS 24
/* A node nearer to the wanted place than this is taken instead: no crumbs of pieces. */
#define SNAP_MM 1.0
/* The sides of a corner are followed so far for its final place. */
#define SIDE_MM 6.0
/* ... and of a tip, whose place is further off, at least so many times what is skipped. */
#define SIDE_SKIPS 3
#define LEAST_EDGES 3

/* From sample FROM to sample TO (TO > FROM), between two corners. */
typedef struct Section
{
  int from, to;
  int skip_from, skip_to; /* steps at either end that are not to be trusted */
  bool straight;
  GeomPoint foot, along; /* STRAIGHT: a point of the line and its direction */
} Section;

/* Cuts to be made: OUT's piece that begins an edge. */
static void
add_edge (GArray *edges, size_t piece)
{
  if (edges->len == 0 || g_array_index (edges, size_t, edges->len - 1) != piece)
    g_array_append_val (edges, piece);
}

/* ---- sections between sharp corners ---- */

static int
skip_steps (const TraceRow *row, const TraceCorner *corner)
{
  return (int)ceil (corner->skip_mm / row->step_mm);
}

static void
judge_section (const TraceRow *row, Section *section)
{
  const int a = section->from + section->skip_from, b = section->to - section->skip_to;
  section->straight = true;
  section->foot = trace_row_at (row, section->from);
  section->along = geom_unit (geom_sub (trace_row_at (row, section->to), section->foot));
  if (b - a < 4)
    return;
  GeomPoint mean = { 0.0, 0.0 };
  for (int i = a; i <= b; i++)
    mean = geom_along (mean, 1.0 / (b - a + 1), trace_row_at (row, i));
  const GeomPoint along = trace_row_direction (row, a, b), aside = geom_left_of (along);
  for (int i = a + 1; section->straight && i < b; i++)
  {
    const GeomPoint p = geom_scale (
      geom_add (geom_add (trace_row_at (row, i - 1), trace_row_at (row, i)), trace_row_at (row, i + 1)),
      1.0 / 3.0);
    section->straight = fabs (geom_dot (geom_sub (p, mean), aside)) < TRACE_STRAIGHT_MM;
  }
  section->foot = mean;
  section->along = along;
}

/* A section seen from the corner at its START or its end: the whole line, or a parabola through what lies
 * near. */
static TraceSide
side_of (const TraceRow *row, const Section *section, bool start)
{
  const int zero = start ? section->from : section->to, inner = start ? section->skip_from : section->skip_to;
  if (section->straight)
  {
    const GeomPoint d = section->along, corner = trace_row_at (row, zero);
    const GeomPoint foot = geom_along (section->foot, geom_dot (geom_sub (corner, section->foot), d), d);
    return (TraceSide) { { foot.x, d.x, 0.0 }, { foot.y, d.y, 0.0 } };
  }
  const int most = (section->to - section->from) / 2 - 1;
  const int reach
    = MAX (MIN (inner + MAX ((int)(SIDE_MM / row->step_mm), SIDE_SKIPS * inner), most), inner + 3);
  return start ? trace_side_fit (row, zero + inner, zero + reach, zero)
               : trace_side_fit (row, zero - reach, zero - inner, zero);
}

static void
settle_corners (const TraceRow *row, const Section *section, GArray *corners)
{
  const guint n = corners->len;
  for (guint c = 0; c < n; c++)
  {
    TraceCorner *corner = &g_array_index (corners, TraceCorner, c);
    const TraceSide before = side_of (row, &section[(c + n - 1) % n], false),
                    after = side_of (row, &section[c], true);
    GeomPoint met;
    if (trace_sides_meet (&before, &after, 4.0 * corner->skip_mm + 1.0, &met)
        && geom_distance (met, corner->point) < corner->skip_mm)
      corner->point = met;
  }
}

/* ---- curves ---- */

static bool
fit_curve (
  const TraceRow *row, const Section *section, const GeomPoint *ends, double tolerance_mm, GeomPath *out)
{
  GArray *points = g_array_new (FALSE, FALSE, sizeof (GeomPoint));
  if (ends != NULL)
    g_array_append_val (points, ends[0]);
  const int first = section->from + section->skip_from, last = section->to - section->skip_to;
  int group = MAX ((int)(GROUP_MM / row->step_mm + 0.5), 1);
  if ((last - first) / group < LEAST_GROUPS)
    group = 1;
  for (int i = first; i <= last; i += group)
  {
    const int count = MIN (group, last - i + 1);
    GeomPoint p = { 0.0, 0.0 };
    for (int k = 0; k < count; k++)
      p = geom_along (p, 1.0 / count, trace_row_at (row, i + k));
    g_array_append_val (points, p);
  }
  if (ends != NULL)
    g_array_append_val (points, ends[1]);
  const GeomFitOptions options = { tolerance_mm, 0.0, ends == NULL };
  const bool well
    = geom_fit_points ((const GeomPoint *)(void *)points->data, points->len, &options, out, NULL, NULL)
      && out->count > 0;
  g_array_free (points, TRUE);
  return well;
}

/* The fit smooths its ends; the corner is known better. */
static void
pin_ends (GeomPath *path, const GeomPoint ends[2])
{
  GeomCubic *first = &path->piece[0], *last = &path->piece[path->count - 1];
  const GeomPoint a = geom_sub (ends[0], first->p[0]), b = geom_sub (ends[1], last->p[3]);
  first->p[0] = ends[0];
  first->p[1] = geom_add (first->p[1], a);
  last->p[3] = ends[1];
  last->p[2] = geom_add (last->p[2], b);
}

static int
by_place (const void *a, const void *b)
{
  const GeomPlace *x = a, *y = b;
  if (x->piece != y->piece)
    return x->piece < y->piece ? -1 : 1;
  return (x->t > y->t) - (x->t < y->t);
}

/* Cuts PATH in front of the pieces that begin at the places nearest to SPLIT; *EDGES gets those pieces'
 * numbers. A closed path is turned so that it begins with the first of them. */
static void
split_path (const GeomPath *path, const GeomPoint *split, guint count, GeomPath *out, GArray *edges)
{
  g_autofree GeomPlace *place = g_new (GeomPlace, count + 2);
  guint n = 0;
  if (!path->closed)
    place[n++] = (GeomPlace) { 0, 0.0 };
  for (guint i = 0; i < count; i++)
  {
    GeomPlace p = geom_path_nearest (path, split[i]).place;
    const double before = geom_cubic_length_between (&path->piece[p.piece], 0.0, p.t, 1e-3);
    const double after = geom_cubic_length_between (&path->piece[p.piece], p.t, 1.0, 1e-3);
    if (before <= MIN (after, SNAP_MM))
      p.t = 0.0;
    else if (after < SNAP_MM)
      p = (GeomPlace) { (p.piece + 1) % path->count, 0.0 };
    if (path->closed || p.piece > 0 || p.t > 0.0)
      place[n++] = p;
  }
  qsort (place, n, sizeof *place, by_place);
  for (guint i = 0; i < n; i++)
  {
    const bool last = i + 1 == n;
    if (!last && by_place (&place[i], &place[i + 1]) == 0)
      continue;
    GeomPath part;
    geom_path_init (&part);
    const GeomPlace end = { path->count - 1, 1.0 };
    if (last && path->closed && by_place (&place[0], &place[i]) == 0)
    {
      /* Only one place: once round. */
      geom_path_part (path, place[i], end, &part);
      GeomPath head;
      geom_path_init (&head);
      if (place[i].piece > 0 || place[i].t > 0.0)
        geom_path_part (path, (GeomPlace) { 0, 0.0 }, place[i], &head);
      geom_path_append_path (&part, &head);
      geom_path_clear (&head);
    }
    else
      geom_path_part (path, place[i], last ? (path->closed ? place[0] : end) : place[i + 1], &part);
    add_edge (edges, out->count);
    for (size_t k = 0; k < part.count; k++)
      geom_path_append (out, &part.piece[k]);
    geom_path_clear (&part);
  }
}

/* ---- where edges are parted that meet smoothly ---- */

typedef struct Parting
{
  int index;
  double weight;
} Parting;

static GArray *
find_partings (const TraceRow *row, const Section *section, guint sections)
{
  GArray *partings = g_array_new (FALSE, FALSE, sizeof (Parting));
  for (guint s = 0; s < sections; s++)
  {
    if (section[s].straight)
      continue;
    g_autoptr (GArray) weight = g_array_new (FALSE, FALSE, sizeof (double));
    g_autoptr (GArray) at = trace_bends_find (row, section[s].from + section[s].skip_from,
                                              section[s].to - section[s].skip_to, weight);
    for (guint i = 0; i < at->len; i++)
    {
      const Parting p = { g_array_index (at, int, i), g_array_index (weight, double, i) };
      g_array_append_val (partings, p);
    }
  }
  return partings;
}

static void
drop_slightest (GArray *partings, guint corners)
{
  while (partings->len > 0 && partings->len + corners > TRACE_MOST_EDGES)
  {
    guint least = 0;
    for (guint i = 1; i < partings->len; i++)
      if (g_array_index (partings, Parting, i).weight < g_array_index (partings, Parting, least).weight)
        least = i;
    g_array_remove_index (partings, least);
  }
}

/* A round piece has no corners at all: the ends of its long and of its short axis. */
static void
part_round_piece (const TraceRow *row, GArray *partings)
{
  const GeomPoint along = trace_row_direction (row, 0, row->count - 1);
  const GeomPoint way[4] = { along, geom_left_of (along), geom_scale (along, -1.0), geom_right_of (along) };
  g_array_set_size (partings, 0);
  for (int k = 0; k < 4; k++)
  {
    Parting p = { 0, 1.0 };
    for (int i = 1; i < row->count; i++)
      if (geom_dot (row->sample[i], way[k]) > geom_dot (row->sample[p.index], way[k]))
        p.index = i;
    g_array_append_val (partings, p);
  }
}

/* A panel of one or two edges can be joined to nothing but itself: the longest edges are parted in their
 * middle. CORNERS stand in row order; the partings lie between them. */
static void
part_to_three (const TraceRow *row, const GArray *corners, GArray *partings)
{
  while (corners->len > 0 && corners->len + partings->len < LEAST_EDGES)
  {
    Parting best = { 0, 0.0 };
    int longest = 0;
    for (guint i = 0; i < corners->len + partings->len; i++)
    {
      const int from = i < corners->len ? g_array_index (corners, TraceCorner, i).index
                                        : g_array_index (partings, Parting, i - corners->len).index;
      int to = from + row->count;
      for (guint k = 0; k < corners->len + partings->len; k++)
      {
        const int other = k < corners->len ? g_array_index (corners, TraceCorner, k).index
                                           : g_array_index (partings, Parting, k - corners->len).index;
        for (int turn = 0; turn < 3; turn++)
          if (other + turn * row->count > from)
            to = MIN (to, other + turn * row->count);
      }
      if (to - from > longest)
      {
        longest = to - from;
        best.index = from + longest / 2;
      }
    }
    g_array_append_val (partings, best);
  }
}

static int
by_index (gconstpointer a, gconstpointer b)
{
  const Parting *x = a, *y = b;
  return (x->index > y->index) - (x->index < y->index);
}

/* ---- the whole ---- */

static bool
append_section (const TraceRow *row,
                const Section *section,
                const GeomPoint ends[2],
                const GArray *partings,
                double tolerance_mm,
                GeomPath *out,
                GArray *edges)
{
  if (section->straight)
  {
    add_edge (edges, out->count);
    geom_path_append_line (out, ends[0], ends[1]);
    return true;
  }
  GeomPath curve;
  geom_path_init (&curve);
  const bool well = fit_curve (row, section, ends, tolerance_mm, &curve);
  if (well)
  {
    pin_ends (&curve, ends);
    g_autofree GeomPoint *split = g_new (GeomPoint, partings->len + 1);
    guint n = 0;
    for (guint i = 0; i < partings->len; i++)
    {
      int at = g_array_index (partings, Parting, i).index;
      at += at < section->from ? row->count : at >= section->from + row->count ? -row->count : 0;
      if (at > section->from && at < section->to)
        split[n++] = trace_row_at (row, at);
    }
    split_path (&curve, split, n, out, edges);
  }
  geom_path_clear (&curve);
  return well;
}

static bool
fit_with_corners (const TraceRow *row, GArray *corners, double tolerance_mm, GeomPath *out, GArray *edges)
{
  const guint n = corners->len;
  g_autofree Section *section = g_new0 (Section, n);
  for (guint c = 0; c < n; c++)
  {
    const TraceCorner *a = &g_array_index (corners, TraceCorner, c),
                      *b = &g_array_index (corners, TraceCorner, (c + 1) % n);
    section[c].from = a->index;
    section[c].to = b->index + (c + 1 == n ? row->count : 0);
    section[c].skip_from = skip_steps (row, a);
    section[c].skip_to = skip_steps (row, b);
    judge_section (row, &section[c]);
  }
  settle_corners (row, section, corners);
  g_autoptr (GArray) partings = find_partings (row, section, n);
  drop_slightest (partings, n);
  part_to_three (row, corners, partings);
  bool well = true;
  for (guint c = 0; well && c < n; c++)
  {
    const GeomPoint ends[2] = { g_array_index (corners, TraceCorner, c).point,
                                g_array_index (corners, TraceCorner, (c + 1) % n).point };
    well = append_section (row, &section[c], ends, partings, tolerance_mm, out, edges);
  }
  return well;
}

static bool
fit_round (const TraceRow *row, double tolerance_mm, GeomPath *out, GArray *edges)
{
  const Section section = { .from = 0, .to = row->count - 1 };
  const Section once = { .from = 0, .to = row->count };
  g_autoptr (GArray) partings = find_partings (row, &once, 1);
  drop_slightest (partings, 0);
  if (partings->len < 3)
    part_round_piece (row, partings);
  g_array_sort (partings, by_index);
  GeomPath curve;
  geom_path_init (&curve);
  const bool well = fit_curve (row, &section, NULL, tolerance_mm, &curve);
  if (well)
  {
    g_autofree GeomPoint *split = g_new (GeomPoint, partings->len);
    for (guint i = 0; i < partings->len; i++)
      split[i] = trace_row_at (row, g_array_index (partings, Parting, i).index);
    split_path (&curve, split, partings->len, out, edges);
  }
  geom_path_clear (&curve);
  return well;
}

bool
trace_outline_fit (
  const GeomPoint *sample, size_t count, double blur_mm, double tolerance_mm, TraceOutline *out)
{
  geom_path_init (&out->path);
  out->edge = NULL;
  out->edge_count = 0;
  if (count < 16 || count > INT_MAX / 4)
    return false;
  double length = 0.0;
  for (size_t i = 0; i < count; i++)
    length += geom_distance (sample[i], sample[(i + 1) % count]);
  TraceRow row = { sample, (int)count, length / (double)count, 0.0 };
  row.skip_mm
    = CLAMP (SKIP_SPREADS * blur_mm, LEAST_SKIP_MM, MIN (MOST_SKIP_MM, MAX (length / 40.0, LEAST_SKIP_MM)));
  g_autoptr (GArray) edges = g_array_new (FALSE, FALSE, sizeof (size_t));
  g_autoptr (GArray) corners = trace_corners_find (&row);
  const bool well = length > 0.0
                    && (corners->len > 0 ? fit_with_corners (&row, corners, tolerance_mm, &out->path, edges)
                                         : fit_round (&row, tolerance_mm, &out->path, edges));
  out->path.closed = true;
  if (!well || out->path.count < 2 || !(geom_path_area (&out->path) > 0.0))
  {
    trace_outline_clear (out);
    return false;
  }
  out->edge_count = edges->len;
  out->edge = g_new (size_t, edges->len);
  for (guint i = 0; i < edges->len; i++)
    out->edge[i] = g_array_index (edges, size_t, i);
  return true;
}

void
trace_outline_clear (TraceOutline *outline)
{
  geom_path_clear (&outline->path);
  g_free (outline->edge);
  outline->edge = NULL;
  outline->edge_count = 0;
}
