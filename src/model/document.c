/* The lists and one table over them.
 *
 * The table answers "which part has this id" in no time; the order of the lists is the maker's and is kept.
 */
#include "model/document.h"

#include "model/format.h"

#include <string.h>

ModelPart
model_part_copy (ModelPart part)
{
  if (part.body == NULL)
    return part;
  switch (part.kind)
  {
  case MODEL_PART_HEAD:
    return (ModelPart) { part.kind, model_head_copy (part.body) };
  case MODEL_PART_MATERIAL:
    return (ModelPart) { part.kind, model_material_copy (part.body) };
  case MODEL_PART_MEASURE:
    return (ModelPart) { part.kind, model_measure_copy (part.body) };
  case MODEL_PART_PANEL:
    return (ModelPart) { part.kind, model_panel_copy (part.body) };
  case MODEL_PART_JOIN:
    return (ModelPart) { part.kind, model_join_copy (part.body) };
  case MODEL_PART_LINE:
    return (ModelPart) { part.kind, model_line_copy (part.body) };
  case MODEL_PART_PHOTO:
    return (ModelPart) { part.kind, model_photo_copy (part.body) };
  case MODEL_PART_FIT_NOTE:
    return (ModelPart) { part.kind, model_fit_note_copy (part.body) };
  case MODEL_PART_REVISION:
    return (ModelPart) { part.kind, model_revision_copy (part.body) };
  }
  g_return_val_if_reached (part);
}

void
model_part_clear (ModelPart *part)
{
  switch (part->kind)
  {
  case MODEL_PART_HEAD:
    model_head_free (part->body);
    break;
  case MODEL_PART_MATERIAL:
    model_material_free (part->body);
    break;
  case MODEL_PART_MEASURE:
    model_measure_free (part->body);
    break;
  case MODEL_PART_PANEL:
    model_panel_free (part->body);
    break;
  case MODEL_PART_JOIN:
    model_join_free (part->body);
    break;
  case MODEL_PART_LINE:
    model_line_free (part->body);
    break;
  case MODEL_PART_PHOTO:
    model_photo_free (part->body);
    break;
  case MODEL_PART_FIT_NOTE:
    model_fit_note_free (part->body);
    break;
  case MODEL_PART_REVISION:
    model_revision_free (part->body);
    break;
  }
  part->body = NULL;
}

/* Where the id of a part is kept; NULL for the head, which has none. */
static guint *
id_of (ModelPart part)
{
  switch (part.kind)
  {
  case MODEL_PART_HEAD:
    return NULL;
  case MODEL_PART_MATERIAL:
    return &((ModelMaterial *)part.body)->id;
  case MODEL_PART_MEASURE:
    return &((ModelMeasure *)part.body)->id;
  case MODEL_PART_PANEL:
    return &((ModelPanel *)part.body)->id;
  case MODEL_PART_JOIN:
    return &((ModelJoin *)part.body)->id;
  case MODEL_PART_LINE:
    return &((ModelLine *)part.body)->id;
  case MODEL_PART_PHOTO:
    return &((ModelPhoto *)part.body)->id;
  case MODEL_PART_FIT_NOTE:
    return &((ModelFitNote *)part.body)->id;
  case MODEL_PART_REVISION:
    return &((ModelRevision *)part.body)->id;
  }
  g_return_val_if_reached (NULL);
}

guint
model_part_id (ModelPart part)
{
  const guint *id = id_of (part);

  return id != NULL ? *id : 0;
}

ModelDocument *
model_document_new (void)
{
  ModelDocument *doc = g_new0 (ModelDocument, 1);

  doc->head = model_head_new ();
  doc->materials = g_ptr_array_new_with_free_func ((GDestroyNotify)model_material_free);
  doc->measures = g_ptr_array_new_with_free_func ((GDestroyNotify)model_measure_free);
  doc->panels = g_ptr_array_new_with_free_func ((GDestroyNotify)model_panel_free);
  doc->joins = g_ptr_array_new_with_free_func ((GDestroyNotify)model_join_free);
  doc->lines = g_ptr_array_new_with_free_func ((GDestroyNotify)model_line_free);
  doc->photos = g_ptr_array_new_with_free_func ((GDestroyNotify)model_photo_free);
  doc->fit_notes = g_ptr_array_new_with_free_func ((GDestroyNotify)model_fit_note_free);
  doc->revisions = g_ptr_array_new_with_free_func ((GDestroyNotify)model_revision_free);
  doc->next_id = 1;
  doc->by_id = g_hash_table_new_full (NULL, NULL, NULL, g_free);
  return doc;
}

/* With the kinds up to LAST. */
static ModelDocument *
copy_up_to (const ModelDocument *doc, ModelPartKind last)
{
  ModelDocument *copy = model_document_new ();

  model_head_free (copy->head);
  copy->head = model_head_copy (doc->head);
  copy->extra = model_extra_copy (doc->extra);
  for (ModelPartKind kind = MODEL_PART_MATERIAL; kind <= last; kind++)
  {
    GPtrArray *list = model_document_list (doc, kind);

    for (guint i = 0; i < list->len; i++)
      model_document_put (copy, model_part_copy ((ModelPart) { kind, g_ptr_array_index (list, i) }), -1);
  }
  copy->next_id = doc->next_id;
  return copy;
}

ModelDocument *
model_document_copy (const ModelDocument *doc)
{
  return copy_up_to (doc, MODEL_PART_REVISION);
}

ModelDocument *
model_state_new (const ModelDocument *doc)
{
  return model_state_take (copy_up_to (doc, MODEL_PART_LINE));
}

ModelDocument *
model_state_take (ModelDocument *doc)
{
  doc->refs = 1;
  return doc;
}

ModelDocument *
model_state_ref (ModelDocument *state)
{
  g_atomic_int_inc (&state->refs);
  return state;
}

void
model_state_unref (ModelDocument *state)
{
  if (g_atomic_int_dec_and_test (&state->refs))
    model_document_free (state);
}

void
model_document_free (ModelDocument *doc)
{
  if (doc == NULL)
    return;
  model_head_free (doc->head);
  g_ptr_array_unref (doc->materials);
  g_ptr_array_unref (doc->measures);
  g_ptr_array_unref (doc->panels);
  g_ptr_array_unref (doc->joins);
  g_ptr_array_unref (doc->lines);
  g_ptr_array_unref (doc->photos);
  g_ptr_array_unref (doc->fit_notes);
  g_ptr_array_unref (doc->revisions);
  g_clear_pointer (&doc->extra, json_object_unref);
  g_hash_table_unref (doc->by_id);
  g_free (doc);
}

guint
model_document_take_id (ModelDocument *doc)
{
  return doc->next_id++;
}

GPtrArray *
model_document_list (const ModelDocument *doc, ModelPartKind kind)
{
  switch (kind)
  {
  case MODEL_PART_HEAD:
    return NULL;
  case MODEL_PART_MATERIAL:
    return doc->materials;
  case MODEL_PART_MEASURE:
    return doc->measures;
  case MODEL_PART_PANEL:
    return doc->panels;
  case MODEL_PART_JOIN:
    return doc->joins;
  case MODEL_PART_LINE:
    return doc->lines;
  case MODEL_PART_PHOTO:
    return doc->photos;
  case MODEL_PART_FIT_NOTE:
    return doc->fit_notes;
  case MODEL_PART_REVISION:
    return doc->revisions;
  }
  g_return_val_if_reached (NULL);
}

ModelPart
model_document_part (const ModelDocument *doc, ModelPartKind kind, guint id)
{
  const ModelPart *found;

  if (kind == MODEL_PART_HEAD)
    return (ModelPart) { kind, doc->head };
  found = g_hash_table_lookup (doc->by_id, GUINT_TO_POINTER (id));
  if (found == NULL || found->kind != kind)
    return (ModelPart) { kind, NULL };
  return *found;
}

ModelPanel *
model_document_panel (const ModelDocument *doc, guint id)
{
  return model_document_part (doc, MODEL_PART_PANEL, id).body;
}

ModelJoin *
model_document_join (const ModelDocument *doc, guint id)
{
  return model_document_part (doc, MODEL_PART_JOIN, id).body;
}

ModelMeasure *
model_document_measure (const ModelDocument *doc, guint id)
{
  return model_document_part (doc, MODEL_PART_MEASURE, id).body;
}

ModelMaterial *
model_document_material (const ModelDocument *doc, guint id)
{
  return model_document_part (doc, MODEL_PART_MATERIAL, id).body;
}

ModelLine *
model_document_line (const ModelDocument *doc, guint id)
{
  return model_document_part (doc, MODEL_PART_LINE, id).body;
}

ModelPhoto *
model_document_photo (const ModelDocument *doc, guint id)
{
  return model_document_part (doc, MODEL_PART_PHOTO, id).body;
}

ModelFitNote *
model_document_fit_note (const ModelDocument *doc, guint id)
{
  return model_document_part (doc, MODEL_PART_FIT_NOTE, id).body;
}

ModelRevision *
model_document_revision (const ModelDocument *doc, guint id)
{
  return model_document_part (doc, MODEL_PART_REVISION, id).body;
}

ModelPanel *
model_document_panel_named (const ModelDocument *doc, const char *name)
{
  for (guint i = 0; i < doc->panels->len; i++)
  {
    ModelPanel *panel = g_ptr_array_index (doc->panels, i);

    if (strcmp (panel->name, name) == 0)
      return panel;
  }
  return NULL;
}

/* 0: "A", 25: "Z", 26: "AA", 27: "AB" ... */
static char *
letter_at (guint index)
{
  char text[16];
  int start = sizeof text - 1;

  text[start] = '\0';
  do
  {
    text[--start] = (char)('A' + index % 26);
    index /= 26;
  } while (index-- > 0);
  return g_strdup (text + start);
}

char *
model_document_free_letter (const ModelDocument *doc)
{
  g_autoptr (GHashTable) taken = g_hash_table_new (g_str_hash, g_str_equal);

  for (guint i = 0; i < doc->joins->len; i++)
    g_hash_table_add (taken, ((ModelJoin *)g_ptr_array_index (doc->joins, i))->letter);
  /* One letter more than joins: one of them is free. */
  for (guint i = 0; i <= doc->joins->len; i++)
  {
    g_autofree char *letter = letter_at (i);

    if (!g_hash_table_contains (taken, letter))
      return g_steal_pointer (&letter);
  }
  g_return_val_if_reached (g_strdup (""));
}

char *
model_document_free_panel_name (const ModelDocument *doc, const char *wish)
{
  g_autoptr (GHashTable) taken = g_hash_table_new (g_str_hash, g_str_equal);
  g_autofree char *stem = g_strdup (wish);
  gsize end = strlen (stem);

  for (guint i = 0; i < doc->panels->len; i++)
    g_hash_table_add (taken, ((ModelPanel *)g_ptr_array_index (doc->panels, i))->name);
  if (!g_hash_table_contains (taken, wish))
    return g_steal_pointer (&stem);
  /* A copy of "Front 2" is "Front 3", not "Front 2 2". */
  while (end > 0 && g_ascii_isdigit (stem[end - 1]))
    end--;
  if (end > 1 && stem[end] != '\0' && stem[end - 1] == ' ')
    stem[end - 1] = '\0';
  for (guint i = 2; i <= doc->panels->len + 2; i++)
  {
    g_autofree char *name = g_strdup_printf ("%s %u", stem, i);

    if (!g_hash_table_contains (taken, name))
      return g_steal_pointer (&name);
  }
  g_return_val_if_reached (g_strdup (wish));
}

ModelDocument *
model_document_excerpt (const ModelDocument *doc, const guint *panel_ids, guint count)
{
  ModelDocument *part = model_document_new ();
  g_autoptr (GHashTable) wanted = g_hash_table_new (NULL, NULL);

  for (guint i = 0; i < count; i++)
    g_hash_table_add (wanted, GUINT_TO_POINTER (panel_ids[i]));
  for (guint i = 0; i < doc->panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (doc->panels, i);
    const ModelMaterial *material = model_document_material (doc, panel->material_id);

    if (!g_hash_table_contains (wanted, GUINT_TO_POINTER (panel->id)))
      continue;
    if (material != NULL && model_document_material (part, material->id) == NULL)
      model_document_put (part, (ModelPart) { MODEL_PART_MATERIAL, model_material_copy (material) }, -1);
    model_document_put (part, (ModelPart) { MODEL_PART_PANEL, model_panel_copy (panel) }, -1);
  }
  for (guint i = 0; i < doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (doc->joins, i);

    if (g_hash_table_contains (wanted, GUINT_TO_POINTER (join->a.panel_id))
        && g_hash_table_contains (wanted, GUINT_TO_POINTER (join->b.panel_id)))
      model_document_put (part, (ModelPart) { MODEL_PART_JOIN, model_join_copy (join) }, -1);
  }
  part->next_id = doc->next_id;
  return part;
}

ModelPart
model_document_swap (ModelDocument *doc, ModelPart part)
{
  ModelPart old = model_document_part (doc, part.kind, model_part_id (part));
  GPtrArray *list = model_document_list (doc, part.kind);
  ModelPart *known;
  guint at = 0;

  if (list == NULL)
    doc->head = part.body;
  else if (old.body != NULL && g_ptr_array_find (list, old.body, &at))
  {
    known = g_hash_table_lookup (doc->by_id, GUINT_TO_POINTER (model_part_id (part)));
    list->pdata[at] = known->body = part.body;
  }
  return old;
}

/* Edges, nodes and marks that come in with a panel made elsewhere keep their ids: no other may get them. */
static void
keep_ids (ModelDocument *doc, const ModelPanel *panel)
{
  guint most = 0;

  for (guint e = 0; e < panel->edges->len; e++)
  {
    const ModelEdge *edge = model_panel_edge (panel, e);

    most = MAX (most, edge->id);
    for (guint n = 0; n < edge->nodes->len; n++)
      most = MAX (most, model_edge_node (edge, n)->id);
  }
  for (guint i = 0; i < panel->marks->len; i++)
    most = MAX (most, g_array_index (panel->marks, ModelMark, i).id);
  if (most <= MODEL_MAX_ID)
    doc->next_id = MAX (doc->next_id, most + 1);
}

void
model_document_put (ModelDocument *doc, ModelPart part, int index)
{
  guint id = model_part_id (part);
  GPtrArray *list = model_document_list (doc, part.kind);
  ModelPart old;

  if (part.kind == MODEL_PART_PANEL)
    keep_ids (doc, part.body);
  if (list == NULL || g_hash_table_contains (doc->by_id, GUINT_TO_POINTER (id)))
  {
    old = model_document_swap (doc, part);
    /* Else the id belongs to a part of another kind. */
    g_return_if_fail (old.body != NULL);
    model_part_clear (&old);
    return;
  }
  g_hash_table_insert (doc->by_id, GUINT_TO_POINTER (id), g_memdup2 (&part, sizeof part));
  if (index < 0 || (guint)index >= list->len)
    g_ptr_array_add (list, part.body);
  else
    g_ptr_array_insert (list, index, part.body);
  doc->next_id = MAX (doc->next_id, id + 1);
}

ModelPart
model_document_take (ModelDocument *doc, ModelPartKind kind, guint id, int *index)
{
  ModelPart part = model_document_part (doc, kind, id);
  GPtrArray *list = model_document_list (doc, kind);
  guint at = 0;

  if (list == NULL || part.body == NULL || !g_ptr_array_find (list, part.body, &at))
    return (ModelPart) { kind, NULL };
  g_hash_table_remove (doc->by_id, GUINT_TO_POINTER (id));
  g_ptr_array_steal_index (list, at);
  if (index != NULL)
    *index = (int)at;
  return part;
}
