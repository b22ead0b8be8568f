/* A front panel to reshape, and what must hold of it whatever is done. */
#ifndef TESTS_MODEL_SHAPE_FIXTURE_H
#define TESTS_MODEL_SHAPE_FIXTURE_H

#include "model/file.h"
#include "model/shape.h"

#include <glib.h>
#include <math.h>

/* Counter-clockwise: hem (straight), side (two curves over a smooth node), armhole (one curve), middle
 * (straight, upright). */
static inline ModelPanel *
fixture_panel (ModelDocument *ids, ModelHalves halves, bool own)
{
  const ModelNode nodes[] = {
    { .kind = MODEL_NODE_CORNER, .at = { 0, 0 }, .in = { 0, 0 }, .out = { 0, 0 } },
    { .kind = MODEL_NODE_CORNER, .at = { 210, 12 }, .in = { 210, 12 }, .out = { 216, 60 } },
    { .kind = MODEL_NODE_SMOOTH, .at = { 190, 150 }, .in = { 184, 120 }, .out = { 200, 200 } },
    { .kind = MODEL_NODE_CORNER, .at = { 230, 290 }, .in = { 226, 260 }, .out = { 170, 300 } },
    { .kind = MODEL_NODE_CORNER, .at = { 0, 420 }, .in = { 80, 400 }, .out = { 0, 420 } },
  };
  static const char *const names[] = { "hem", "side", "armhole", "middle" };
  ModelPanel *panel = model_shape_new_panel (ids, nodes, G_N_ELEMENTS (nodes));
  const guint corrected[] = { 1, 2, 3 };

  g_assert_nonnull (panel);
  for (guint e = 0; e < panel->edges->len; e++)
  {
    ModelEdge *edge = model_panel_edge (panel, e);

    g_free (edge->name);
    edge->name = g_strdup (names[e]);
  }
  g_free (panel->name);
  panel->name = g_strdup ("Front");
  panel->halves = halves;
  panel->side = halves == MODEL_HALVES_SINGLE ? MODEL_SIDE_CENTRE : MODEL_SIDE_LEFT;
  panel->mirror_x_mm = halves == MODEL_HALVES_PAIR ? -35.0 : 0.0;
  model_panel_edge (panel, 3)->fold = halves == MODEL_HALVES_FOLD;
  if (own)
  {
    for (guint i = 0; i < G_N_ELEMENTS (corrected); i++)
    {
      guint edge = corrected[i] == 2 ? 1 : corrected[i] == 3 ? 2 : 1, node = corrected[i] == 2 ? 1 : 0;
      ModelCorrection c = { .node_id = model_edge_node (model_panel_edge (panel, edge), node)->id,
                            .at = { -4.0 - i, 2.5 * i },
                            .in = { -3.0, 1.0 + i },
                            .out = { -5.0 + i, 2.0 } };

      g_array_append_val (panel->corrections, c);
    }
    panel->own_sides = true;
  }
  return panel;
}

static inline guint
fixture_edge_id (const ModelPanel *panel, const char *name)
{
  for (guint e = 0; e < panel->edges->len; e++)
    if (g_strcmp0 (model_panel_edge (panel, e)->name, name) == 0)
      return model_panel_edge (panel, e)->id;
  g_assert_not_reached ();
}

static inline ModelNode *
fixture_node (const ModelPanel *panel, const char *edge, guint node)
{
  return model_edge_node (
    model_panel_edge (panel, (guint)model_panel_find_edge (panel, fixture_edge_id (panel, edge))), node);
}

/* Farthest that any of many points of A is from B. */
static inline double
fixture_one_way (const GeomPath *a, const GeomPath *b)
{
  double worst = 0.0;

  for (size_t i = 0; i < a->count; i++)
    for (int k = 0; k <= 16; k++)
    {
      GeomPathNearest near = geom_path_nearest (b, geom_cubic_at (&a->piece[i], k / 16.0));

      worst = fmax (worst, near.distance_mm);
    }
  return worst;
}

static inline double
fixture_apart (const ModelPanel *a, bool a_twin, const ModelPanel *b, bool b_twin)
{
  GeomPath pa = { 0 }, pb = { 0 };
  double worst;

  (a_twin ? model_panel_twin_path : model_panel_path) (a, &pa, NULL);
  (b_twin ? model_panel_twin_path : model_panel_path) (b, &pb, NULL);
  worst = fmax (fixture_one_way (&pa, &pb), fixture_one_way (&pb, &pa));
  geom_path_clear (&pa);
  geom_path_clear (&pb);
  return worst;
}

static inline double
fixture_edge_length (const ModelPanel *panel, guint edge_id, bool twin)
{
  GeomPath path = { 0 };
  g_autofree size_t *first = g_new (size_t, panel->edges->len);
  guint e = (guint)model_panel_find_edge (panel, edge_id);
  double length = 0.0;

  (twin ? model_panel_twin_path : model_panel_path) (panel, &path, first);
  for (size_t i = first[e]; i < (e + 1 < panel->edges->len ? first[e + 1] : path.count); i++)
    length += geom_cubic_length (&path.piece[i], 1e-11);
  geom_path_clear (&path);
  return length;
}

static inline GeomPoint
fixture_mark_point (const ModelPanel *panel, guint mark_id)
{
  const ModelMark *mark = model_panel_find_mark (panel, mark_id);
  GeomPath path = { 0 }, edge = { 0 };
  g_autofree size_t *first = g_new (size_t, panel->edges->len);
  guint e;
  GeomPoint at;

  g_assert_nonnull (mark);
  e = (guint)model_panel_find_edge (panel, mark->edge_id);
  g_assert_cmpuint (e, <, panel->edges->len);
  model_panel_path (panel, &path, first);
  for (size_t i = first[e]; i < (e + 1 < panel->edges->len ? first[e + 1] : path.count); i++)
    geom_path_append (&edge, &path.piece[i]);
  at = geom_path_point (&edge, geom_path_place_at (&edge, mark->at_mm, 1e-11));
  geom_path_clear (&path);
  geom_path_clear (&edge);
  return at;
}

static inline void
fixture_check_point (GeomPoint p)
{
  g_assert_cmpfloat (fabs (p.x), <=, MODEL_FILE_MAX_MM);
  g_assert_cmpfloat (fabs (p.y), <=, MODEL_FILE_MAX_MM);
}

/* Closed, all numbers finite, ids unique, references sound, fold upright on its axis. */
static inline void
fixture_check (const ModelPanel *panel)
{
  g_autoptr (GHashTable) ids = g_hash_table_new (NULL, NULL);
  GeomPath path = { 0 };
  int fold = model_panel_fold_edge (panel);

  g_assert_cmpuint (panel->edges->len, >=, 1);
  g_assert_true (g_hash_table_add (ids, GUINT_TO_POINTER (panel->id)));
  for (guint e = 0; e < panel->edges->len; e++)
  {
    const ModelEdge *edge = model_panel_edge (panel, e);

    g_assert_cmpuint (edge->nodes->len, >=, 1);
    g_assert_cmpuint (edge->id, !=, 0);
    g_assert_true (g_hash_table_add (ids, GUINT_TO_POINTER (edge->id)));
    g_assert_cmpint (model_edge_node (edge, 0)->kind, ==, MODEL_NODE_CORNER);
    for (guint n = 0; n < edge->nodes->len; n++)
    {
      const ModelNode *node = model_edge_node (edge, n);

      g_assert_cmpuint (node->id, !=, 0);
      g_assert_true (g_hash_table_add (ids, GUINT_TO_POINTER (node->id)));
      fixture_check_point (node->at);
      fixture_check_point (node->in);
      fixture_check_point (node->out);
    }
  }
  for (guint i = 0; i < panel->marks->len; i++)
  {
    const ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);

    g_assert_true (g_hash_table_add (ids, GUINT_TO_POINTER (mark->id)));
    g_assert_cmpint (model_panel_find_edge (panel, mark->edge_id), >=, 0);
    g_assert_cmpfloat (mark->at_mm, >=, 0.0);
    g_assert_cmpfloat (mark->at_mm, <=, 1e9);
  }
  for (guint i = 0; i < panel->corrections->len; i++)
  {
    const ModelCorrection *c = &g_array_index (panel->corrections, ModelCorrection, i);

    g_assert_true (model_panel_find_node (panel, c->node_id, NULL, NULL));
    for (guint j = 0; j < i; j++)
      g_assert_cmpuint (g_array_index (panel->corrections, ModelCorrection, j).node_id, !=, c->node_id);
    fixture_check_point (c->at);
    fixture_check_point (c->in);
    fixture_check_point (c->out);
  }
  for (int twin = 0; twin < 2; twin++)
  {
    (twin ? model_panel_twin_path : model_panel_path) (panel, &path, NULL);
    g_assert_cmpuint (path.count, ==, model_panel_node_count (panel));
    for (size_t i = 0; i < path.count; i++)
      g_assert_true (geom_same_point (path.piece[i].p[3], path.piece[(i + 1) % path.count].p[0]));
  }
  geom_path_clear (&path);
  if (panel->halves == MODEL_HALVES_FOLD)
  {
    const ModelEdge *edge;
    const ModelNode *a, *b;

    g_assert_cmpint (fold, >=, 0);
    edge = model_panel_edge (panel, (guint)fold);
    a = model_edge_node (edge, 0);
    b = model_panel_next_node (panel, (guint)fold, edge->nodes->len - 1);
    g_assert_cmpuint (edge->nodes->len, ==, 1);
    g_assert_true (geom_same_point (a->at, a->out));
    g_assert_true (geom_same_point (b->at, b->in));
    g_assert_cmpfloat (geom_distance (a->at, b->at), >=, 1.0 - 1e-9);
  }
}

#endif
