#include "engine/refit-field.h"

#include "engine/piece.h"
#include "engine/refit-body.h"
#include "engine/refit-share.h"
#include "engine/tolerance.h"
#include "engine/words.h"
#include "model/rework.h"
#include "model/shape.h"

#include <glib/gi18n.h>

/* A curve gets a node where a level crosses it, unless one is as near as this. */
#define NEAR_NODE_MM 2.0
/* Less is no change. */
#define NOTHING_MM 1e-9
/* A stretch between levels keeps at least this part of its height everywhere: the smooth step is 1.5 times as
 * steep in its middle as on the whole. */
#define LEAST_LEFT 0.15
#define STEEPEST 1.5
/* Levels of one side of a panel that are nearer than this are one. */
#define SAME_LEVEL_MM 1.0

bool
engine_refit_is_along (const ModelDocument *doc, const ModelLine *line)
{
  const ModelMeasure *measure = line->measure_id ? model_document_measure (doc, line->measure_id) : NULL;
  return measure && measure->group == MODEL_MEASURE_ALONG;
}

/* ---- bodies: the panels that take part ---- */

static Body *
body_of (GPtrArray *bodies, guint panel_id)
{
  for (guint i = 0; i < bodies->len; i++)
    if (((Body *)g_ptr_array_index (bodies, i))->panel->id == panel_id)
      return g_ptr_array_index (bodies, i);
  return NULL;
}

static Body *
need_body (EngineReview *review, GPtrArray *bodies, guint panel_id)
{
  Body *body = body_of (bodies, panel_id);
  const ModelPanel *panel = body ? NULL : model_document_panel (engine_review_document (review), panel_id);
  if (!panel || panel->edges->len == 0)
    return body;
  body = engine_refit_body_new (panel);
  g_ptr_array_add (bodies, body);
  return body;
}

/* The frame from all lines with spans: those across give ACROSS, those along its normal. */
static void
find_frames (EngineReview *review, GPtrArray *bodies)
{
  const ModelDocument *doc = engine_review_document (review);
  for (guint i = 0; i < doc->lines->len; i++)
  {
    const ModelLine *line = g_ptr_array_index (doc->lines, i);
    const EngineLineReading *reading = engine_review_line (review, line->id);
    if ((line->kind != MODEL_LINE_GIRTH && line->kind != MODEL_LINE_REACH) || !reading)
      continue;
    bool along = engine_refit_is_along (doc, line);
    for (guint k = 0; k < reading->spans->len; k++)
    {
      const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, k);
      Body *body = span->drawn ? need_body (review, bodies, span->panel_id) : NULL;
      if (body)
        engine_refit_body_orient (body, geom_sub (span->b, span->a), along);
    }
  }
  for (guint i = 0; i < bodies->len; i++)
    engine_refit_body_settle_frame (g_ptr_array_index (bodies, i));
}

/* ---- widths ---- */

static void
label_run (EngineReview *review, Body *body, guint edge_id, int label)
{
  int edge = model_panel_find_edge (body->panel, edge_id);
  if (edge < 0 || body->label[edge] != 0)
    return;
  body->label[edge] = label;
  const ModelJoin *seam = engine_refit_seam_at (review, body->panel->id, edge_id);
  for (int is_b = 0; seam && is_b < 2; is_b++)
  {
    const ModelRun *run = is_b ? &seam->b : &seam->a;
    bool on = false;
    for (guint k = 0; run->panel_id == body->panel->id && k < run->edges->len; k++)
      on = on || g_array_index (run->edges, guint, k) == edge_id;
    for (guint k = 0; on && k < run->edges->len; k++)
    {
      int other = model_panel_find_edge (body->panel, g_array_index (run->edges, guint, k));
      if (other >= 0 && body->label[other] == 0)
        body->label[other] = label;
    }
  }
}

/* Which edges bound the panel at its two sides. */
static void
label_edges (EngineReview *review, GPtrArray *bodies)
{
  const ModelDocument *doc = engine_review_document (review);
  for (guint i = 0; i < doc->lines->len; i++)
  {
    const ModelLine *line = g_ptr_array_index (doc->lines, i);
    const EngineLineReading *reading = engine_review_line (review, line->id);
    if ((line->kind != MODEL_LINE_GIRTH && line->kind != MODEL_LINE_REACH) || !reading
        || engine_refit_is_along (doc, line))
      continue;
    for (guint k = 0; k < reading->spans->len; k++)
    {
      const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, k);
      Body *body = span->drawn ? body_of (bodies, span->panel_id) : NULL;
      if (!body)
        continue;
      bool a_left = engine_refit_body_across (body, span->a) <= engine_refit_body_across (body, span->b);
      label_run (review, body, span->edge_a_id, a_left ? BODY_LEFT : BODY_RIGHT);
      label_run (review, body, span->edge_b_id, a_left ? BODY_RIGHT : BODY_LEFT);
    }
  }
}

static bool
shares_line (EngineReview *review, guint a_panel, guint b_panel, bool *b_has_any)
{
  const ModelDocument *doc = engine_review_document (review);
  bool shared = false;
  *b_has_any = false;
  for (guint i = 0; i < doc->lines->len; i++)
  {
    const ModelLine *line = g_ptr_array_index (doc->lines, i);
    bool a = false, b = false;
    if ((line->kind != MODEL_LINE_GIRTH && line->kind != MODEL_LINE_REACH)
        || engine_refit_is_along (doc, line))
      continue;
    for (guint k = 0; k < line->spans->len; k++)
    {
      guint id = g_array_index (line->spans, ModelSpan, k).panel_id;
      a = a || id == a_panel;
      b = b || id == b_panel;
    }
    *b_has_any = *b_has_any || b;
    shared = shared || (a && b);
  }
  return shared;
}

/* A joined edge at which no width line ends keeps its shape if its partner does: one without lines, or a
 * neighbour round the body.  Where the partner lies above or below, both grow alike. */
static void
find_kept (EngineReview *review, Body *body)
{
  for (guint e = 0; e < body->panel->edges->len; e++)
  {
    guint id = model_panel_edge (body->panel, e)->id;
    const ModelJoin *seam = engine_refit_seam_at (review, body->panel->id, id);
    if (body->label[e] != 0 || body->dart[e] != 0 || !seam)
      continue;
    guint other = seam->a.panel_id == body->panel->id ? seam->b.panel_id : seam->a.panel_id;
    bool any;
    body->kept[e] = shares_line (review, body->panel->id, other, &any) || !any;
  }
}

static void
note (GPtrArray *words, char *text_taken)
{
  g_ptr_array_add (words, text_taken);
}

static void
add_growth (GArray *growths, guint line_id, guint panel_id, double by_mm)
{
  for (guint i = 0; i < growths->len; i++)
  {
    EngineRefitGrowth *growth = &g_array_index (growths, EngineRefitGrowth, i);
    if (growth->line_id == line_id && growth->panel_id == panel_id)
    {
      growth->by_mm += by_mm;
      return;
    }
  }
  EngineRefitGrowth growth = { line_id, panel_id, by_mm };
  g_array_append_val (growths, growth);
}

/* Nothing on the way out of a gap or a seam is said; what is locked is. */
static void
say_locked (EngineReview *review, const GArray *rims, GPtrArray *words)
{
  const ModelDocument *doc = engine_review_document (review);
  for (guint i = 0; i < rims->len; i++)
  {
    const EngineRefitRim *rim = &g_array_index (rims, EngineRefitRim, i);
    const ModelPanel *panel = model_document_panel (doc, rim->panel_id);
    int edge = model_panel_find_edge (panel, rim->edge_id);
    bool locked = panel->locked || (edge >= 0 && model_panel_edge (panel, (guint)edge)->locked);
    if (!locked)
      continue;
    g_autofree char *name = engine_words_panel (doc, rim->panel_id),
                    *text = g_strdup_printf (_ ("%s is locked and keeps its shape."), name);
    if (!g_ptr_array_find_with_equal_func (words, text, g_str_equal, NULL))
      note (words, g_steal_pointer (&text));
  }
}

static void
take_width (
  EngineReview *review, GPtrArray *bodies, const EngineRefitWidth *width, GArray *growths, GPtrArray *words)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelLine *line = model_document_line (doc, width->line_id);
  const EngineLineReading *reading = engine_review_line (review, width->line_id);
  if (!line || !reading || reading->spans->len == 0)
    return;
  g_autoptr (GArray) rims = engine_refit_rims (review, line, reading);
  if (fabs (width->by_mm) > NOTHING_MM)
  {
    say_locked (review, rims, words);
    if (!engine_refit_share_out (rims, width))
    {
      g_autofree char *name = engine_words_line (line);
      note (words, g_strdup_printf (_ ("%s: nothing it crosses may change."), name));
    }
  }
  for (guint k = 0; k < reading->spans->len; k++)
  {
    const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, k);
    Body *body = span->drawn ? body_of (bodies, span->panel_id) : NULL;
    if (!body)
      continue;
    for (guint i = 0; i < rims->len; i++)
    {
      const EngineRefitRim *rim = &g_array_index (rims, EngineRefitRim, i);
      if (rim->span != span->index)
        continue;
      GeomPoint at = rim->at_b ? span->b : span->a, other = rim->at_b ? span->a : span->b;
      bool left = engine_refit_body_across (body, at) < engine_refit_body_across (body, other);
      BodyKnot knot = { engine_refit_body_up (body, at), left ? -rim->by_mm : rim->by_mm, true };
      g_array_append_val (body->knots[left ? 0 : 1], knot);
      add_growth (growths, width->line_id, span->panel_id, rim->by_mm);
    }
  }
}

/* ---- nodes where levels cross ---- */

/* Only where the side does not go out by the same amount everywhere. */
static bool
side_is_even (const GArray *knots)
{
  for (guint i = 1; i < knots->len; i++)
    if (fabs (g_array_index (knots, BodyKnot, i).out_mm - g_array_index (knots, BodyKnot, 0).out_mm)
        > NOTHING_MM)
      return false;
  return true;
}

static void
add_node_at (ModelDocument *doc, Body *body, guint mark_id)
{
  const ModelMark *mark = model_panel_find_mark (body->work, mark_id);
  int index = mark ? model_panel_find_edge (body->work, mark->edge_id) : -1;
  if (index < 0)
    return;
  const ModelEdge *edge = model_panel_edge (body->work, (guint)index);
  GeomPath path;
  geom_path_init (&path);
  for (guint n = 0; n < edge->nodes->len; n++)
  {
    const ModelNode *a = model_edge_node (edge, n), *b = model_panel_next_node (body->work, (guint)index, n);
    GeomCubic c = { { a->at, a->out, b->in, b->at } };
    geom_path_append (&path, &c);
  }
  GeomPlace place = geom_path_place_at (&path, mark->at_mm, ENGINE_TOL_LENGTH_MM);
  GeomPoint at = geom_path_point (&path, place);
  const GeomCubic *c = &path.piece[place.piece];
  if (geom_distance (at, c->p[0]) > NEAR_NODE_MM && geom_distance (at, c->p[3]) > NEAR_NODE_MM)
  {
    /* A straight piece is told by its length, not by its doubled control points. */
    const ModelNode *a = model_edge_node (edge, (guint)place.piece),
                    *b = model_panel_next_node (body->work, (guint)index, (guint)place.piece);
    bool straight = geom_same_point (a->out, a->at) && geom_same_point (b->in, b->at);
    double t = straight ? geom_distance (a->at, at) / geom_distance (a->at, b->at) : place.t;
    model_shape_insert_node (body->work, doc, edge->id, (guint)place.piece, t);
  }
  geom_path_clear (&path);
}

static void
add_nodes (EngineReview *review, GPtrArray *bodies, const GArray *widths)
{
  ModelDocument *doc = engine_review_document (review);
  for (guint w = 0; w < widths->len; w++)
  {
    const ModelLine *line = model_document_line (doc, g_array_index (widths, EngineRefitWidth, w).line_id);
    for (guint k = 0; line && k < line->spans->len; k++)
    {
      const ModelSpan *span = &g_array_index (line->spans, ModelSpan, k);
      Body *body = body_of (bodies, span->panel_id);
      if (!body || (side_is_even (body->knots[0]) && side_is_even (body->knots[1])))
        continue;
      add_node_at (doc, body, span->a_mark_id);
      add_node_at (doc, body, span->b_mark_id);
    }
  }
}

/* ---- lengths ---- */

/* The middle height of a line on a panel. */
static bool
height_of (EngineReview *review, const Body *body, guint line_id, double *up)
{
  const EngineLineReading *reading = line_id ? engine_review_line (review, line_id) : NULL;
  for (guint k = 0; reading && k < reading->spans->len; k++)
  {
    const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, k);
    if (!span->drawn || span->panel_id != body->panel->id)
      continue;
    *up = engine_refit_body_up (body, geom_mix (span->a, span->b, 0.5));
    return true;
  }
  return false;
}

/* From FROM away from BELOW: between the tops of the seams and the lowest place of neck and shoulder. */
static bool
room_above (const Body *body, double from, double below, double *low, double *high)
{
  double way = from > below ? 1.0 : -1.0;
  double foot = way * from, head = INFINITY;
  guint n = body->panel->edges->len;
  for (guint e = 0; e < n; e++)
    for (int end = 0; end < 2; end++)
    {
      const ModelNode *node = model_edge_node (model_panel_edge (body->panel, (e + (guint)end) % n), 0);
      double up = way * engine_refit_body_up (body, node->at);
      if (body->label[e] != 0 && (int)e != model_panel_fold_edge (body->panel) && !body->open[e])
        foot = fmax (foot, up);
      else if (up > way * from + SAME_LEVEL_MM
               && (body->kept[e] || (int)e == model_panel_fold_edge (body->panel) || body->open[e]))
        head = fmin (head, up);
    }
  *low = way * foot;
  *high = way * head;
  return isfinite (head) && head > foot;
}

static bool
take_length_on (EngineReview *review, Body *body, const EngineRefitLength *length)
{
  BodyZone zone = { .by_mm = length->by_mm };
  double below;
  if (length->along_line_id)
  {
    const EngineLineReading *reading = engine_review_line (review, length->along_line_id);
    for (guint k = 0; k < reading->spans->len; k++)
    {
      const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, k);
      if (!span->drawn || span->panel_id != body->panel->id)
        continue;
      double a = engine_refit_body_up (body, span->a), b = engine_refit_body_up (body, span->b);
      zone.from_mm = fmin (a, b);
      zone.to_mm = fmax (a, b);
      engine_refit_body_within_levels (body, &zone.from_mm, &zone.to_mm);
    }
  }
  else if (length->to_line_id)
  {
    if (!height_of (review, body, length->from_line_id, &zone.from_mm)
        || !height_of (review, body, length->to_line_id, &zone.to_mm))
      return true;
  }
  else if (!height_of (review, body, length->from_line_id, &zone.from_mm)
           || !height_of (review, body, length->below_line_id, &below)
           || !room_above (body, zone.from_mm, below, &zone.from_mm, &zone.to_mm))
    return false;
  double height = fabs (zone.to_mm - zone.from_mm);
  if (!(height > SAME_LEVEL_MM) || height + STEEPEST * zone.by_mm < LEAST_LEFT * height)
    return false;
  g_array_append_val (body->zones, zone);
  return true;
}

static bool
takes_part (EngineReview *review, const Body *body, const EngineRefitLength *length)
{
  double up;
  if (length->panel_id)
    return length->panel_id == body->panel->id;
  return height_of (review, body, length->along_line_id ? length->along_line_id : length->from_line_id, &up);
}

static void
take_length (EngineReview *review, GPtrArray *bodies, const EngineRefitLength *length, GPtrArray *words)
{
  const ModelDocument *doc = engine_review_document (review);
  if (!(fabs (length->by_mm) > NOTHING_MM))
    return;
  for (guint i = 0; i < bodies->len; i++)
  {
    Body *body = g_ptr_array_index (bodies, i);
    if (!takes_part (review, body, length))
      continue;
    g_autofree char *name = engine_words_panel (doc, body->panel->id);
    if (body->panel->locked)
      note (words, g_strdup_printf (_ ("%s is locked and keeps its length."), name));
    else if (!take_length_on (review, body, length))
      note (words, g_strdup_printf (_ ("%s: there is no room to change its length by so much."), name));
  }
}

/* ---- all of it ---- */

GPtrArray *
engine_refit_field (
  EngineReview *review, const GArray *widths, const GArray *lengths, GArray *growths, GPtrArray *words)
{
  GPtrArray *panels = g_ptr_array_new_with_free_func ((GDestroyNotify)model_panel_free);
  g_autoptr (GPtrArray) bodies = g_ptr_array_new_with_free_func (engine_refit_body_free);
  find_frames (review, bodies);
  for (guint i = 0; i < bodies->len; i++)
    engine_refit_body_find_darts (engine_review_document (review), g_ptr_array_index (bodies, i));
  label_edges (review, bodies);
  for (guint i = 0; i < bodies->len; i++)
  {
    Body *body = g_ptr_array_index (bodies, i);
    engine_refit_body_fill_labels (body);
    find_kept (review, body);
    for (guint e = 0; e < body->panel->edges->len; e++)
      body->open[e]
        = body->label[e] != 0
          && !engine_refit_seam_at (review, body->panel->id, model_panel_edge (body->panel, e)->id);
  }
  for (guint i = 0; i < widths->len; i++)
    take_width (review, bodies, &g_array_index (widths, EngineRefitWidth, i), growths, words);
  for (guint i = 0; i < bodies->len; i++)
    engine_refit_body_close_knots (g_ptr_array_index (bodies, i), SAME_LEVEL_MM);
  for (guint i = 0; i < lengths->len; i++)
    take_length (review, bodies, &g_array_index (lengths, EngineRefitLength, i), words);
  add_nodes (review, bodies, widths);
  for (guint i = 0; i < bodies->len; i++)
  {
    Body *body = g_ptr_array_index (bodies, i);
    if (!body->panel->locked && engine_refit_body_move (body))
      g_ptr_array_add (panels, g_steal_pointer (&body->work));
  }
  return panels;
}
