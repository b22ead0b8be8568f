/* A document to rework, and what must hold of it whatever is done. */
#ifndef TESTS_MODEL_REWORK_FIXTURE_H
#define TESTS_MODEL_REWORK_FIXTURE_H

#include "model/history.h"
#include "model/rework.h"
#include "model/sound.h"

#include "shape-fixture.h"

/* The front panel of shape-fixture.h, a single panel of the same shape beside it, and joins A: front side
 * with the other's side (300 mm away), B: hem with hem. */
static inline ModelHistory *
rework_fixture (ModelHalves halves, bool own)
{
  ModelDocument *doc = model_document_new ();
  ModelHistory *history;
  ModelPanel *front = fixture_panel (doc, halves, own);
  ModelPanel *back = fixture_panel (doc, MODEL_HALVES_SINGLE, false);
  static const char *const edges[] = { "side", "hem" };

  g_free (back->name);
  back->name = g_strdup ("Back");
  model_shape_map (back, geom_affine_move (600.0, 0.0));
  front->has_grain = true;
  for (guint e = 0; e < 3; e++)
    model_shape_add_mark (front, doc, model_panel_edge (front, e)->id, 0, 0.3, 1);
  model_shape_add_mark (back, doc, fixture_edge_id (back, "side"), 0, 0.3, 1);
  model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, front }, -1);
  model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, back }, -1);
  for (guint i = 0; i < G_N_ELEMENTS (edges); i++)
  {
    ModelJoin *join = model_join_new ();
    guint a = fixture_edge_id (front, edges[i]), b = fixture_edge_id (back, edges[i]);

    join->id = model_document_take_id (doc);
    g_free (join->letter);
    join->letter = model_document_free_letter (doc);
    join->a.panel_id = front->id;
    join->b.panel_id = back->id;
    g_array_append_val (join->a.edges, a);
    g_array_append_val (join->b.edges, b);
    if (i == 0)
    {
      ModelMatch match
        = { g_array_index (front->marks, ModelMark, 1).id, g_array_index (back->marks, ModelMark, 0).id };

      g_array_append_val (join->matches, match);
    }
    model_document_put (doc, (ModelPart) { MODEL_PART_JOIN, join }, -1);
  }
  history = model_history_new (doc);
  return history;
}

static inline const ModelPanel *
rework_panel_named (ModelHistory *history, const char *name)
{
  const ModelPanel *panel = model_document_panel_named (model_history_document (history), name);

  g_assert_nonnull (panel);
  return panel;
}

/* A panel by its corners, straight edges named "0", "1", ... */
static inline guint
rework_polygon (ModelHistory *history, const char *name, const GeomPoint *corners, guint count)
{
  ModelDocument *doc = model_history_document (history);
  g_autofree ModelNode *nodes = g_new0 (ModelNode, count);
  ModelPanel *panel;

  for (guint i = 0; i < count; i++)
    nodes[i].at = nodes[i].in = nodes[i].out = corners[i];
  panel = model_shape_new_panel (doc, nodes, count);
  g_assert_nonnull (panel);
  g_free (panel->name);
  panel->name = g_strdup (name);
  for (guint e = 0; e < panel->edges->len; e++)
  {
    g_free (model_panel_edge (panel, e)->name);
    model_panel_edge (panel, e)->name = g_strdup_printf ("%u", e);
  }
  return model_history_put_panel (history, panel);
}

/* The bytes of the document but for the counter of ids, which never goes back. */
static inline char *
rework_bytes (ModelHistory *history)
{
  g_autoptr (ModelDocument) copy = model_document_copy (model_history_document (history));

  copy->next_id = 1;
  return model_document_to_data (copy, NULL);
}

static inline double
rework_area (const ModelPanel *panel, bool twin)
{
  GeomPath path = { 0 };
  double area;

  (twin ? model_panel_twin_path : model_panel_path) (panel, &path, NULL);
  area = geom_path_area (&path);
  geom_path_clear (&path);
  return twin && panel->halves != MODEL_HALVES_SINGLE ? -area : area;
}

static inline double
rework_run_length (ModelHistory *history, const ModelRun *run, bool twin)
{
  const ModelPanel *panel = model_document_panel (model_history_document (history), run->panel_id);
  double length = 0.0;

  for (guint i = 0; i < run->edges->len; i++)
    length += fixture_edge_length (panel, g_array_index (run->edges, guint, i), twin);
  return length;
}

/* Panels as in shape-fixture.h, joins sound, matches on their runs, letters distinct, and what is written can
 * be read and is then the same. */
static inline void
rework_check (ModelHistory *history)
{
  ModelDocument *doc = model_history_document (history);
  g_autoptr (GHashTable) letters = g_hash_table_new (g_str_hash, g_str_equal);
  g_autofree char *data = NULL, *again = NULL;
  g_autoptr (ModelDocument) back = NULL;
  g_autoptr (GError) error = NULL;
  gsize length;

  for (guint i = 0; i < doc->panels->len; i++)
    fixture_check (g_ptr_array_index (doc->panels, i));
  for (guint i = 0; i < doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (doc->joins, i);

    g_assert_true (model_join_is_sound (doc, join));
    g_assert_true (g_hash_table_add (letters, join->letter));
  }
  data = model_document_to_data (doc, &length);
  back = model_document_from_data (data, length, &error);
  g_assert_no_error (error);
  again = model_document_to_data (back, NULL);
  g_assert_true (g_str_equal (again, data));
}

/* Undo gives back the bytes before, redo those after. */
static inline void
rework_check_undo (ModelHistory *history, const char *before)
{
  g_autofree char *after = rework_bytes (history), *undone = NULL, *redone = NULL;

  model_history_undo (history);
  undone = rework_bytes (history);
  g_assert_true (g_str_equal (undone, before));
  model_history_redo (history);
  redone = rework_bytes (history);
  g_assert_true (g_str_equal (redone, after));
}

typedef struct ReworkKind
{
  ModelHalves halves;
  bool own;
} ReworkKind;

static const ReworkKind rework_kinds[] = { { MODEL_HALVES_SINGLE, false },
                                           { MODEL_HALVES_FOLD, false },
                                           { MODEL_HALVES_FOLD, true },
                                           { MODEL_HALVES_PAIR, false },
                                           { MODEL_HALVES_PAIR, true } };

#endif
