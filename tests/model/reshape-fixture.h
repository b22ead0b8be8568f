/* Panels whose shape is known by formula, and what must hold of them whatever is done. */
#ifndef TESTS_MODEL_RESHAPE_FIXTURE_H
#define TESTS_MODEL_RESHAPE_FIXTURE_H

#include "model/repair.h"
#include "model/reshape.h"
#include "model/sound.h"

#include "rework-fixture.h"

/* Straight edges between COUNT corners, counter-clockwise, named "0", "1" ... */
static inline ModelPanel *
reshape_polygon (ModelDocument *ids, const GeomPoint *corners, guint count)
{
  g_autofree ModelNode *nodes = g_new0 (ModelNode, count);
  ModelPanel *panel;

  for (guint i = 0; i < count; i++)
    nodes[i]
      = (ModelNode) { .kind = MODEL_NODE_CORNER, .at = corners[i], .in = corners[i], .out = corners[i] };
  panel = model_shape_new_panel (ids, nodes, count);
  g_assert_nonnull (panel);
  for (guint e = 0; e < count; e++)
  {
    g_free (model_panel_edge (panel, e)->name);
    model_panel_edge (panel, e)->name = g_strdup_printf ("%u", e);
  }
  return panel;
}

/* 200 by 100, its first corner at 0, 0; edges 0 below, 1 right, 2 above, 3 left. */
static inline ModelPanel *
reshape_rectangle (ModelDocument *ids)
{
  const GeomPoint corners[] = { { 0, 0 }, { 200, 0 }, { 200, 100 }, { 0, 100 } };

  return reshape_polygon (ids, corners, 4);
}

/* A quarter of a disc of radius 100 about 0, 0: edge 0 below, 1 the arc, 2 left. */
static inline ModelPanel *
reshape_quarter (ModelDocument *ids)
{
  const GeomPoint corners[] = { { 0, 0 }, { 100, 0 }, { 0, 100 } };
  ModelPanel *panel = reshape_polygon (ids, corners, 3);

  g_assert_true (model_reshape_set_edge_radius (panel, ids, MODEL_SIDE_CENTRE,
                                                model_panel_edge (panel, 1)->id, 100.0, NULL));
  return panel;
}

static inline guint
reshape_edge_id (const ModelPanel *panel, guint edge)
{
  return model_panel_edge (panel, edge)->id;
}

static inline guint
reshape_node_id (const ModelPanel *panel, guint edge, guint node)
{
  return model_edge_node (model_panel_edge (panel, edge), node)->id;
}

static inline GeomPoint
reshape_corner (const ModelPanel *panel, guint edge)
{
  return model_edge_node (model_panel_edge (panel, edge % panel->edges->len), 0)->at;
}

static inline void
reshape_assert_at (GeomPoint at, double x, double y, double within)
{
  g_assert_cmpfloat_with_epsilon (at.x, x, within);
  g_assert_cmpfloat_with_epsilon (at.y, y, within);
}

static inline double
reshape_area (const ModelPanel *panel)
{
  GeomPath path = { 0 };
  double area;

  model_panel_path (panel, &path, NULL);
  area = geom_path_area (&path);
  geom_path_clear (&path);
  return area;
}

static inline double
reshape_length (const ModelPanel *panel, guint edge)
{
  return fixture_edge_length (panel, reshape_edge_id (panel, edge), false);
}

/* One edge as a path; OUT zeroed. */
static inline void
reshape_edge_path (const ModelPanel *panel, guint edge, GeomPath *out)
{
  g_autofree size_t *first = g_new (size_t, panel->edges->len);
  GeomPath path = { 0 };

  model_panel_path (panel, &path, first);
  geom_path_reset (out);
  for (size_t i = first[edge]; i < (edge + 1 < panel->edges->len ? first[edge + 1] : path.count); i++)
    geom_path_append (out, &path.piece[i]);
  geom_path_clear (&path);
}

/* Least and most distance of an edge's points from CENTRE. */
static inline void
reshape_distances (const ModelPanel *panel, guint edge, GeomPoint centre, double *least, double *most)
{
  GeomPath path = { 0 };

  reshape_edge_path (panel, edge, &path);
  *least = INFINITY;
  *most = 0.0;
  for (size_t i = 0; i < path.count; i++)
    for (int k = 0; k <= 64; k++)
    {
      double d = geom_distance (geom_cubic_at (&path.piece[i], k / 64.0), centre);

      *least = fmin (*least, d);
      *most = fmax (*most, d);
    }
  geom_path_clear (&path);
}

/* What any panel must be, and what a refused deed must leave. */
static inline char *
reshape_picture (const ModelPanel *panel)
{
  GString *text = g_string_new (NULL);

  for (guint e = 0; e < panel->edges->len; e++)
  {
    const ModelEdge *edge = model_panel_edge (panel, e);

    g_string_append_printf (text, "edge %u %s\n", edge->id, edge->name);
    for (guint n = 0; n < edge->nodes->len; n++)
    {
      const ModelNode *node = model_edge_node (edge, n);

      g_string_append_printf (text, " %u %d %.9f %.9f %.9f %.9f %.9f %.9f\n", node->id, (int)node->kind,
                              node->at.x, node->at.y, node->in.x, node->in.y, node->out.x, node->out.y);
    }
  }
  for (guint i = 0; i < panel->marks->len; i++)
  {
    const ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);

    g_string_append_printf (text, "mark %u %u %.9f\n", mark->id, mark->edge_id, mark->at_mm);
  }
  return g_string_free (text, FALSE);
}

static inline void
reshape_assert_refused (bool done, GError **error, ModelReworkError code, const ModelPanel *panel, char *was)
{
  g_autofree char *now = reshape_picture (panel);

  g_assert_false (done);
  g_assert_error (*error, MODEL_REWORK_ERROR, (int)code);
  g_clear_error (error);
  g_assert_cmpstr (now, ==, was);
  g_free (was);
}

#endif
