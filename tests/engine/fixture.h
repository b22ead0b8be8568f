/* Small documents for the tests of the engine. */
#ifndef TEST_ENGINE_FIXTURE_H
#define TEST_ENGINE_FIXTURE_H

#include "engine/check.h"
#include "engine/join-edit.h"
#include "engine/review.h"

#include <string.h>

/* Edges as given, one cubic each, the end of one being the start of the next; named "edge a", "edge b" ...
 * The panel is in DOC. */
static inline ModelPanel *
fixture_panel (ModelDocument *doc, const char *name, const GeomCubic *cubics, guint count)
{
  ModelPanel *panel = model_panel_new ();
  panel->id = model_document_take_id (doc);
  g_free (panel->name);
  panel->name = g_strdup (name);
  for (guint i = 0; i < count; i++)
  {
    ModelEdge *edge = model_edge_new ();
    const GeomCubic *before = &cubics[(i + count - 1) % count];
    ModelNode node
      = { .kind = MODEL_NODE_CORNER, .at = cubics[i].p[0], .in = before->p[2], .out = cubics[i].p[1] };
    node.id = model_document_take_id (doc);
    edge->id = model_document_take_id (doc);
    g_free (edge->name);
    edge->name = g_strdup_printf ("edge %c", 'a' + (int)(i % 26));
    g_array_set_size (edge->nodes, 0);
    g_array_append_val (edge->nodes, node);
    g_ptr_array_add (panel->edges, edge);
  }
  model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, panel }, -1);
  return panel;
}

/* Straight edges between the points, without handles. */
static inline ModelPanel *
fixture_polygon (ModelDocument *doc, const char *name, const GeomPoint *points, guint count)
{
  g_autofree GeomCubic *cubics = g_new (GeomCubic, count);
  for (guint i = 0; i < count; i++)
  {
    GeomPoint a = points[i], b = points[(i + 1) % count];
    cubics[i] = (GeomCubic) { { a, a, b, b } };
  }
  return fixture_panel (doc, name, cubics, count);
}

static inline ModelPanel *
fixture_rectangle (ModelDocument *doc, const char *name, double x, double y, double w, double h)
{
  GeomPoint points[] = { { x, y }, { x + w, y }, { x + w, y + h }, { x, y + h } };
  return fixture_polygon (doc, name, points, 4);
}

static inline ModelRun
fixture_run (const ModelPanel *panel, guint first, guint count)
{
  ModelRun run = { .panel_id = panel->id, .edges = g_array_new (FALSE, FALSE, sizeof (guint)) };
  for (guint i = 0; i < count; i++)
  {
    guint id = model_panel_edge (panel, (first + i) % panel->edges->len)->id;
    g_array_append_val (run.edges, id);
  }
  return run;
}

/* Edge A_EDGE of PA to edge B_EDGE of PB; the join is in DOC. */
static inline ModelJoin *
fixture_join (ModelDocument *doc,
              ModelJoinKind kind,
              const ModelPanel *pa,
              guint a_edge,
              const ModelPanel *pb,
              guint b_edge)
{
  ModelRun a = fixture_run (pa, a_edge, 1), b = fixture_run (pb, b_edge, 1);
  ModelJoin *join = engine_join_new (doc, kind, &a, &b);
  g_array_unref (a.edges);
  g_array_unref (b.edges);
  join->id = model_document_take_id (doc);
  model_document_put (doc, (ModelPart) { MODEL_PART_JOIN, join }, -1);
  return join;
}

static inline void
fixture_mirror (ModelPanel *panel, ModelHalves halves, ModelSide side)
{
  panel->halves = halves;
  panel->side = side;
}

static inline void
fixture_correct (ModelPanel *panel, guint edge, double dx, double dy)
{
  GeomPoint by = { dx, dy };
  ModelCorrection correction = { model_edge_node (model_panel_edge (panel, edge), 0)->id, by, by, by };
  panel->own_sides = true;
  g_array_append_val (panel->corrections, correction);
}

static inline void
fixture_allow (ModelPanel *panel, guint edge, double mm)
{
  model_panel_edge (panel, edge)->has_allowance = true;
  model_panel_edge (panel, edge)->allowance_mm = mm;
}

/* The INDEX-th finding of the check, NULL if there are not so many. */
static inline const EngineFinding *
fixture_finding (EngineReview *review, const char *check, guint index)
{
  const GPtrArray *findings = engine_review_findings (review);
  for (guint i = 0; i < findings->len; i++)
  {
    const EngineFinding *finding = g_ptr_array_index (findings, i);
    if (strcmp (finding->check->name, check) == 0 && index-- == 0)
      return finding;
  }
  return NULL;
}

/* The golden curves: cubics with a rational length, so that figures are exact.  B: 96 mm, A: 78 mm (the speed
 * of a cubic with a Pythagorean hodograph is a polynomial; integrated by hand). */
static const GeomCubic fixture_curve_b = { { { 0, 0 }, { 48, 0 }, { 72, 24 }, { 72, 48 } } };
static const GeomCubic fixture_curve_a = { { { 0, 0 }, { 24, 18 }, { 24, 48 }, { 0, 66 } } };

static inline GeomCubic
fixture_straight (double x0, double y0, double x1, double y1)
{
  return (GeomCubic) { { { x0, y0 }, { x0, y0 }, { x1, y1 }, { x1, y1 } } };
}

#define fixture_near(actual, expected, tolerance)                                                            \
  g_assert_cmpfloat (fabs ((actual) - (expected)), <=, (tolerance))

#endif
