#include "engine/girth.h"

#include "engine/tolerance.h"
#include "model/measure-book.h"

enum
{
  MAX_CUTS = 128 /* crossings of one span with an outline; what is crossed more often counts as it begins */
};

/* On the rim is inside: a line along a straight edge counts. */
#define RIM_MM 1e-3

void
engine_line_shape (const ModelPanel *panel, bool drawn, GeomPath *out, size_t *first)
{
  if (drawn)
    model_panel_path (panel, out, first);
  else
    model_panel_twin_path (panel, out, first);
}

/* The part of SHAPE that is edge INDEX. */
static void
edge_path (const ModelPanel *panel, const GeomPath *shape, const size_t *first, guint index, GeomPath *out)
{
  size_t end = index + 1 < panel->edges->len ? first[index + 1] : shape->count;
  for (size_t k = first[index]; k < end; k++)
    geom_path_append (out, &shape->piece[k]);
}

static double
edge_length (const ModelPanel *panel, guint index, bool drawn)
{
  g_autofree size_t *first = g_new (size_t, panel->edges->len + 1);
  GeomPath shape, edge;
  geom_path_init (&shape);
  geom_path_init (&edge);
  engine_line_shape (panel, drawn, &shape, first);
  edge_path (panel, &shape, first, index, &edge);
  double length = geom_path_length (&edge, ENGINE_TOL_LENGTH_MM);
  geom_path_clear (&shape);
  geom_path_clear (&edge);
  return length;
}

/* The place of a mark on SHAPE, which has one piece for each node in the order of the outline. */
static bool
mark_place (
  const ModelPanel *panel, const ModelMark *mark, bool drawn, const GeomPath *shape, GeomPlace *place)
{
  int index = mark ? model_panel_find_edge (panel, mark->edge_id) : -1;
  if (index < 0)
    return false;
  g_autofree size_t *first = g_new (size_t, panel->edges->len + 1);
  size_t piece = 0;
  for (guint e = 0; e < panel->edges->len; e++)
  {
    first[e] = piece;
    piece += model_panel_edge (panel, e)->nodes->len;
  }
  if (piece != shape->count)
    return false;
  GeomPath edge;
  geom_path_init (&edge);
  edge_path (panel, shape, first, (guint)index, &edge);
  double at = mark->at_mm;
  if (!drawn && engine_panel_is_corrected (panel))
  {
    double as_drawn = edge_length (panel, (guint)index, true),
           length = geom_path_length (&edge, ENGINE_TOL_LENGTH_MM);
    at = as_drawn > 0.0 ? CLAMP (at / as_drawn, 0.0, 1.0) * length : 0.0;
  }
  *place = geom_path_place_at (&edge, at, ENGINE_TOL_LENGTH_MM);
  place->piece += first[index];
  geom_path_clear (&edge);
  return true;
}

bool
engine_line_mark_point (
  const ModelPanel *panel, const ModelMark *mark, bool drawn, const GeomPath *shape, GeomPoint *at)
{
  GeomPlace place;
  if (!mark_place (panel, mark, drawn, shape, &place))
    return false;
  *at = geom_path_point (shape, place);
  return true;
}

static int
by_value (const void *a, const void *b)
{
  const double *x = a, *y = b;
  return *x < *y ? -1 : *x > *y;
}

double
engine_inside_length (const GeomPath *outline, GeomPoint a, GeomPoint b)
{
  double whole = geom_distance (a, b);
  if (!(whole > 0.0))
    return 0.0;
  double cuts[MAX_CUTS + 2];
  int n = 0;
  cuts[n++] = 0.0;
  GeomCubic line = { { a, geom_mix (a, b, 1.0 / 3.0), geom_mix (a, b, 2.0 / 3.0), b } };
  GeomBox box = geom_box_with_point (geom_box_with_point (geom_box_empty (), a), b);
  for (size_t k = 0; k < outline->count; k++)
  {
    const GeomCubic *c = &outline->piece[k];
    GeomBox net = geom_box_empty ();
    for (int i = 0; i < 4; i++)
      net = geom_box_with_point (net, c->p[i]);
    if (!geom_box_overlaps (geom_box_grown (net, RIM_MM), box))
      continue;
    GeomCrossing found[9];
    int count = geom_cubic_crossings (&line, c, ENGINE_TOL_LENGTH_MM, found, 9);
    for (int i = 0; i < count && n <= MAX_CUTS; i++)
      cuts[n++] = found[i].t;
  }
  cuts[n++] = 1.0;
  qsort (cuts, (size_t)n, sizeof cuts[0], by_value);
  double inside = 0.0;
  for (int i = 0; i + 1 < n; i++)
  {
    double part = (cuts[i + 1] - cuts[i]) * whole;
    if (!(part > 0.0))
      continue;
    GeomPoint middle = geom_mix (a, b, (cuts[i] + cuts[i + 1]) / 2.0);
    if (geom_path_contains (outline, middle) || geom_path_nearest (outline, middle).distance_mm <= RIM_MM)
      inside += part;
  }
  return inside;
}

/* Along the outline from A to B, the shorter way. */
static double
rim_length (const GeomPath *outline, GeomPlace a, GeomPlace b)
{
  double whole = geom_path_length (outline, ENGINE_TOL_LENGTH_MM);
  double way = fabs (geom_path_length_to (outline, b, ENGINE_TOL_LENGTH_MM)
                     - geom_path_length_to (outline, a, ENGINE_TOL_LENGTH_MM));
  return MIN (way, whole - way);
}

/* ---- gaps ---- */

/* The mark lies on the run, which may begin and end at marks of its own. */
static bool
run_has (const ModelPanel *panel, const ModelRun *run, const ModelMark *mark)
{
  if (run->panel_id != panel->id || run->edges->len == 0)
    return false;
  for (guint i = 0; i < run->edges->len; i++)
  {
    if (g_array_index (run->edges, guint, i) != mark->edge_id)
      continue;
    const ModelMark *from
      = i == 0 && run->from_mark_id ? model_panel_find_mark (panel, run->from_mark_id) : NULL;
    const ModelMark *to
      = i + 1 == run->edges->len && run->to_mark_id ? model_panel_find_mark (panel, run->to_mark_id) : NULL;
    return !(from && mark->at_mm < from->at_mm - RIM_MM) && !(to && mark->at_mm > to->at_mm + RIM_MM);
  }
  return false;
}

/* Half of each gap that the end on SIDE lies on. */
static double
half_gap (const ModelDocument *doc,
          const GPtrArray *joins,
          const ModelPanel *panel,
          const ModelMark *mark,
          ModelSide side,
          double *ends)
{
  double sum = 0.0;
  for (guint i = 0; i < joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (joins, i);
    if (join->kind != MODEL_JOIN_GAP)
      continue;
    bool a = run_has (panel, &join->a, mark), b = run_has (panel, &join->b, mark);
    if (!a && !b)
      continue;
    EngineJoinPlace places[2];
    int n = engine_join_places (doc, join, places);
    for (int k = 0; k < n; k++)
    {
      ModelSide there = a ? places[k].side_a : places[k].side_b;
      bool both = a && b && places[k].side_b == side;
      if (there != side && !both)
        continue;
      sum += join->gap_mm / 2.0;
      *ends += 0.5;
      break;
    }
  }
  return sum;
}

/* ---- a line ---- */

static bool
read_span (EngineReview *review,
           const ModelLine *line,
           const ModelPanel *panel,
           const ModelSpan *span,
           EngineLineReading *out,
           bool drawn,
           EngineSpanReading *one)
{
  const ModelMark *a = model_panel_find_mark (panel, span->a_mark_id),
                  *b = model_panel_find_mark (panel, span->b_mark_id);
  GeomPath shape;
  geom_path_init (&shape);
  engine_line_shape (panel, drawn, &shape, NULL);
  GeomPlace at_a, at_b;
  bool there = a && b && shape.count > 0 && mark_place (panel, a, drawn, &shape, &at_a)
               && mark_place (panel, b, drawn, &shape, &at_b);
  if (there)
  {
    one->edge_a_id = a->edge_id;
    one->edge_b_id = b->edge_id;
    one->a = geom_path_point (&shape, at_a);
    one->b = geom_path_point (&shape, at_b);
    one->inside_mm = line->kind == MODEL_LINE_NECK ? rim_length (&shape, at_a, at_b)
                                                   : engine_inside_length (&shape, one->a, one->b);
    one->gap_mm = half_gap (engine_review_document (review), engine_review_joins_of (review, panel->id),
                            panel, a, one->side, &out->gap_ends)
                  + half_gap (engine_review_document (review), engine_review_joins_of (review, panel->id),
                              panel, b, one->side, &out->gap_ends);
  }
  geom_path_clear (&shape);
  return there;
}

static void
read_spans (
  EngineReview *review, const ModelLine *line, EngineLineReading *out, double *thick, double *neutral)
{
  const ModelDocument *doc = engine_review_document (review);
  for (guint i = 0; i < line->spans->len; i++)
  {
    const ModelSpan *span = &g_array_index (line->spans, ModelSpan, i);
    const ModelPanel *panel = model_document_panel (doc, span->panel_id);
    if (!panel)
      continue;
    ModelSide side = engine_panel_drawn_side (panel);
    int sides = engine_panel_is_mirrored (panel) && !line->one_side ? 2 : 1;
    const ModelMaterial *material
      = panel->material_id ? model_document_material (doc, panel->material_id) : NULL;
    for (int k = 0; k < sides; k++)
    {
      EngineSpanReading one
        = { .panel_id = panel->id, .index = i, .side = k ? model_side_other (side) : side, .drawn = k == 0 };
      if (!read_span (review, line, panel, span, out, k == 0, &one))
        continue;
      out->inside_mm += one.inside_mm;
      out->gaps_mm += one.gap_mm;
      if (material)
      {
        *thick += one.inside_mm * material->thickness_mm;
        *neutral += one.inside_mm * material->thickness_mm * material->neutral;
      }
      g_array_append_val (out->spans, one);
    }
  }
}

void
engine_line_read (EngineReview *review, const ModelLine *line, EngineLineReading *out)
{
  engine_line_reading_clear (out);
  out->line_id = line->id;
  out->spans = g_array_new (FALSE, FALSE, sizeof (EngineSpanReading));
  double thick = 0.0, neutral = 0.0;
  read_spans (review, line, out, &thick, &neutral);
  out->sum_mm = out->inside_mm + out->gaps_mm;
  const ModelMeasure *measure
    = line->measure_id ? model_document_measure (engine_review_document (review), line->measure_id) : NULL;
  out->has_measure = measure && measure->has_wearer;
  if (!out->has_measure)
    return;
  out->measure_mm = measure->wearer_mm;
  out->between_mm = line->between_mm;
  if (line->kind == MODEL_LINE_GIRTH && measure->group == MODEL_MEASURE_ROUND && out->inside_mm > 0.0)
  {
    out->inner_mm = 2.0 * G_PI * neutral / out->inside_mm;
    out->outer_mm = 2.0 * G_PI * (thick - neutral) / out->inside_mm;
  }
  out->wanted_mm = out->measure_mm + out->between_mm + out->inner_mm;
  out->difference_mm = out->sum_mm - out->wanted_mm;
  /* A girth is known no better than it was taken; a limit is a limit. */
  out->tolerance_mm = line->has_tolerance              ? line->tolerance_mm
                      : line->kind == MODEL_LINE_GIRTH ? model_measure_tolerance (measure)
                                                       : ENGINE_TOL_LIMIT_MM;
}

void
engine_line_reading_clear (EngineLineReading *reading)
{
  g_clear_pointer (&reading->spans, g_array_unref);
  *reading = (EngineLineReading) { 0 };
}

/* ---- layers ---- */

static guint
line_index (const ModelDocument *doc, guint id)
{
  guint i = 0;
  while (i < doc->lines->len && ((const ModelLine *)g_ptr_array_index (doc->lines, i))->id != id)
    i++;
  return i;
}

bool
engine_line_is_outer (EngineReview *review, const EngineLineReading *outer, const EngineLineReading *inner)
{
  if (outer->between_mm < inner->between_mm || outer->between_mm > inner->between_mm)
    return outer->between_mm > inner->between_mm;
  if (outer->sum_mm < inner->sum_mm || outer->sum_mm > inner->sum_mm)
    return outer->sum_mm > inner->sum_mm;
  const ModelDocument *doc = engine_review_document (review);
  return line_index (doc, outer->line_id) > line_index (doc, inner->line_id);
}

double
engine_layer_growth_mm (const EngineLineReading *outer, const EngineLineReading *inner)
{
  return inner->outer_mm + outer->inner_mm;
}
