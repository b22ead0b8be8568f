/* Life of the parts, and looking into a panel.
 *
 * Defaults are the ones the file format leaves out, so they are also written down in
 * data/panelwright.schema.json; a change here is a change of the format.
 */
#include "model/parts.h"

#include "model/document.h"
#include "model/format.h"

/* More corrections than this are looked up in a table: a panel of very many nodes must not take time by the
 * square. */
#define FEW_CORRECTIONS 16

ModelSide
model_side_other (ModelSide side)
{
  switch (side)
  {
  case MODEL_SIDE_CENTRE:
    return MODEL_SIDE_CENTRE;
  case MODEL_SIDE_LEFT:
    return MODEL_SIDE_RIGHT;
  case MODEL_SIDE_RIGHT:
    return MODEL_SIDE_LEFT;
  }
  g_return_val_if_reached (MODEL_SIDE_CENTRE);
}

const char *
model_side_key (ModelSide side)
{
  switch (side)
  {
  case MODEL_SIDE_CENTRE:
    return "centre";
  case MODEL_SIDE_LEFT:
    return "left";
  case MODEL_SIDE_RIGHT:
    return "right";
  }
  g_return_val_if_reached ("centre");
}

/* ---- unknown members ---- */

static JsonNode *extra_node_copy (JsonNode *node);

static JsonArray *
extra_array_copy (JsonArray *array)
{
  guint count = json_array_get_length (array);
  JsonArray *copy = json_array_sized_new (count);

  for (guint i = 0; i < count; i++)
    json_array_add_element (copy, extra_node_copy (json_array_get_element (array, i)));
  return copy;
}

/* json_node_copy shares objects and arrays, whose counters of owners are not safe across threads. */
static JsonNode *
extra_node_copy (JsonNode *node)
{
  JsonNode *copy;

  switch (json_node_get_node_type (node))
  {
  case JSON_NODE_OBJECT:
    copy = json_node_new (JSON_NODE_OBJECT);
    json_node_take_object (copy, model_extra_copy (json_node_get_object (node)));
    return copy;
  case JSON_NODE_ARRAY:
    copy = json_node_new (JSON_NODE_ARRAY);
    json_node_take_array (copy, extra_array_copy (json_node_get_array (node)));
    return copy;
  case JSON_NODE_VALUE:
  case JSON_NODE_NULL:
    return json_node_copy (node);
  }
  g_return_val_if_reached (json_node_new (JSON_NODE_NULL));
}

JsonObject *
model_extra_copy (JsonObject *extra)
{
  JsonObject *copy;
  JsonObjectIter iter;
  const char *name;
  JsonNode *node;

  if (extra == NULL)
    return NULL;
  copy = json_object_new ();
  json_object_iter_init_ordered (&iter, extra);
  while (json_object_iter_next_ordered (&iter, &name, &node))
    json_object_set_member (copy, name, extra_node_copy (node));
  return copy;
}

static GHashTable *
extra_table_copy (GHashTable *table)
{
  GHashTable *copy;
  GHashTableIter iter;
  gpointer id, extra;

  if (table == NULL)
    return NULL;
  copy = g_hash_table_new_full (NULL, NULL, NULL, (GDestroyNotify)json_object_unref);
  g_hash_table_iter_init (&iter, table);
  while (g_hash_table_iter_next (&iter, &id, &extra))
    g_hash_table_insert (copy, id, model_extra_copy (extra));
  return copy;
}

/* ---- head ---- */

ModelHead *
model_head_new (void)
{
  ModelHead *head = g_new0 (ModelHead, 1);

  head->title = g_strdup ("");
  head->wearer = g_strdup ("");
  head->note = g_strdup ("");
  head->revision = g_strdup ("");
  head->revision_date = g_strdup ("");
  head->unit = MODEL_UNIT_MM;
  head->paper = g_strdup (MODEL_DEFAULT_PAPER);
  head->overlap_mm = MODEL_DEFAULT_OVERLAP_MM;
  head->edge_names = true;
  head->seam_lines = true;
  return head;
}

ModelHead *
model_head_copy (const ModelHead *head)
{
  ModelHead *copy = g_memdup2 (head, sizeof *head);

  copy->title = g_strdup (head->title);
  copy->wearer = g_strdup (head->wearer);
  copy->note = g_strdup (head->note);
  copy->revision = g_strdup (head->revision);
  copy->revision_date = g_strdup (head->revision_date);
  copy->paper = g_strdup (head->paper);
  copy->extra = model_extra_copy (head->extra);
  return copy;
}

void
model_head_free (ModelHead *head)
{
  if (head == NULL)
    return;
  g_free (head->title);
  g_free (head->wearer);
  g_free (head->note);
  g_free (head->revision);
  g_free (head->revision_date);
  g_free (head->paper);
  g_clear_pointer (&head->extra, json_object_unref);
  g_free (head);
}

/* ---- material ---- */

ModelMaterial *
model_material_new (void)
{
  ModelMaterial *material = g_new0 (ModelMaterial, 1);

  material->name = g_strdup ("");
  material->kind = MODEL_MATERIAL_LEATHER;
  material->thickness_mm = MODEL_DEFAULT_THICKNESS_MM;
  material->neutral = MODEL_DEFAULT_NEUTRAL;
  return material;
}

ModelMaterial *
model_material_copy (const ModelMaterial *material)
{
  ModelMaterial *copy = g_memdup2 (material, sizeof *material);

  copy->name = g_strdup (material->name);
  copy->extra = model_extra_copy (material->extra);
  return copy;
}

void
model_material_free (ModelMaterial *material)
{
  if (material == NULL)
    return;
  g_free (material->name);
  g_clear_pointer (&material->extra, json_object_unref);
  g_free (material);
}

/* ---- measure ---- */

ModelMeasure *
model_measure_new (void)
{
  ModelMeasure *measure = g_new0 (ModelMeasure, 1);

  measure->name = g_strdup ("");
  measure->group = MODEL_MEASURE_ROUND;
  return measure;
}

ModelMeasure *
model_measure_copy (const ModelMeasure *measure)
{
  ModelMeasure *copy = g_memdup2 (measure, sizeof *measure);

  copy->key = g_strdup (measure->key);
  copy->name = g_strdup (measure->name);
  copy->date = g_strdup (measure->date);
  copy->extra = model_extra_copy (measure->extra);
  return copy;
}

void
model_measure_free (ModelMeasure *measure)
{
  if (measure == NULL)
    return;
  g_free (measure->key);
  g_free (measure->name);
  g_free (measure->date);
  g_clear_pointer (&measure->extra, json_object_unref);
  g_free (measure);
}

/* ---- edge and panel ---- */

ModelEdge *
model_edge_new (void)
{
  ModelEdge *edge = g_new0 (ModelEdge, 1);

  edge->name = g_strdup ("");
  edge->nodes = g_array_new (FALSE, TRUE, sizeof (ModelNode));
  return edge;
}

ModelEdge *
model_edge_copy (const ModelEdge *edge)
{
  ModelEdge *copy = g_memdup2 (edge, sizeof *edge);

  copy->name = g_strdup (edge->name);
  copy->nodes = g_array_copy (edge->nodes);
  copy->extra = model_extra_copy (edge->extra);
  return copy;
}

void
model_edge_free (ModelEdge *edge)
{
  if (edge == NULL)
    return;
  g_free (edge->name);
  g_array_unref (edge->nodes);
  g_clear_pointer (&edge->extra, json_object_unref);
  g_free (edge);
}

ModelPanel *
model_panel_new (void)
{
  ModelPanel *panel = g_new0 (ModelPanel, 1);

  panel->name = g_strdup ("");
  panel->halves = MODEL_HALVES_SINGLE;
  panel->side = MODEL_SIDE_CENTRE;
  panel->quantity = 1;
  panel->grain_deg = MODEL_DEFAULT_GRAIN_DEG;
  panel->grain_tolerance_deg = MODEL_DEFAULT_GRAIN_TOLERANCE_DEG;
  panel->edges = g_ptr_array_new_with_free_func ((GDestroyNotify)model_edge_free);
  panel->marks = g_array_new (FALSE, TRUE, sizeof (ModelMark));
  panel->corrections = g_array_new (FALSE, TRUE, sizeof (ModelCorrection));
  panel->tapes = g_array_new (FALSE, TRUE, sizeof (ModelTape));
  return panel;
}

ModelPanel *
model_panel_copy (const ModelPanel *panel)
{
  ModelPanel *copy = g_memdup2 (panel, sizeof *panel);

  copy->name = g_strdup (panel->name);
  copy->note = g_strdup (panel->note);
  copy->edges = g_ptr_array_new_full (panel->edges->len, (GDestroyNotify)model_edge_free);
  for (guint i = 0; i < panel->edges->len; i++)
    g_ptr_array_add (copy->edges, model_edge_copy (model_panel_edge (panel, i)));
  copy->marks = g_array_copy (panel->marks);
  copy->corrections = g_array_copy (panel->corrections);
  copy->tapes = g_array_copy (panel->tapes);
  copy->extra = model_extra_copy (panel->extra);
  copy->inner_extra = extra_table_copy (panel->inner_extra);
  copy->correction_extra = extra_table_copy (panel->correction_extra);
  return copy;
}

void
model_panel_free (ModelPanel *panel)
{
  if (panel == NULL)
    return;
  g_free (panel->name);
  g_free (panel->note);
  g_ptr_array_unref (panel->edges);
  g_array_unref (panel->marks);
  g_array_unref (panel->corrections);
  g_array_unref (panel->tapes);
  g_clear_pointer (&panel->extra, json_object_unref);
  g_clear_pointer (&panel->inner_extra, g_hash_table_unref);
  g_clear_pointer (&panel->correction_extra, g_hash_table_unref);
  g_free (panel);
}

/* ---- join ---- */

ModelJoin *
model_join_new (void)
{
  ModelJoin *join = g_new0 (ModelJoin, 1);

  join->letter = g_strdup ("");
  join->name = g_strdup ("");
  join->kind = MODEL_JOIN_FLUSH;
  join->a.edges = g_array_new (FALSE, TRUE, sizeof (guint));
  join->b.edges = g_array_new (FALSE, TRUE, sizeof (guint));
  join->only = MODEL_SIDE_CENTRE;
  join->lap_mm = MODEL_DEFAULT_LAP_MM;
  join->allowance_mm = MODEL_DEFAULT_ALLOWANCE_MM;
  join->gap_mm = MODEL_DEFAULT_GAP_MM;
  join->tolerance_mm = MODEL_DEFAULT_TOLERANCE_MM;
  join->strap_width_mm = MODEL_DEFAULT_STRAP_WIDTH_MM;
  join->strap_overlap_mm = MODEL_DEFAULT_STRAP_OVERLAP_MM;
  join->matches = g_array_new (FALSE, TRUE, sizeof (ModelMatch));
  return join;
}

ModelJoin *
model_join_copy (const ModelJoin *join)
{
  ModelJoin *copy = g_memdup2 (join, sizeof *join);

  copy->letter = g_strdup (join->letter);
  copy->name = g_strdup (join->name);
  copy->a.edges = g_array_copy (join->a.edges);
  copy->a.extra = model_extra_copy (join->a.extra);
  copy->b.edges = g_array_copy (join->b.edges);
  copy->b.extra = model_extra_copy (join->b.extra);
  copy->matches = g_array_copy (join->matches);
  copy->extra = model_extra_copy (join->extra);
  copy->match_extra = extra_table_copy (join->match_extra);
  return copy;
}

void
model_join_free (ModelJoin *join)
{
  if (join == NULL)
    return;
  g_free (join->letter);
  g_free (join->name);
  g_array_unref (join->a.edges);
  g_clear_pointer (&join->a.extra, json_object_unref);
  g_array_unref (join->b.edges);
  g_clear_pointer (&join->b.extra, json_object_unref);
  g_array_unref (join->matches);
  g_clear_pointer (&join->extra, json_object_unref);
  g_clear_pointer (&join->match_extra, g_hash_table_unref);
  g_free (join);
}

/* ---- line, photo, fit note, revision ---- */

ModelLine *
model_line_new (void)
{
  ModelLine *line = g_new0 (ModelLine, 1);

  line->name = g_strdup ("");
  line->kind = MODEL_LINE_GUIDE;
  line->spans = g_array_new (FALSE, TRUE, sizeof (ModelSpan));
  return line;
}

ModelLine *
model_line_copy (const ModelLine *line)
{
  ModelLine *copy = g_memdup2 (line, sizeof *line);

  copy->name = g_strdup (line->name);
  copy->spans = g_array_copy (line->spans);
  copy->extra = model_extra_copy (line->extra);
  return copy;
}

void
model_line_free (ModelLine *line)
{
  if (line == NULL)
    return;
  g_free (line->name);
  g_array_unref (line->spans);
  g_clear_pointer (&line->extra, json_object_unref);
  g_free (line);
}

ModelPhoto *
model_photo_new (void)
{
  ModelPhoto *photo = g_new0 (ModelPhoto, 1);

  photo->name = g_strdup ("");
  photo->mm_per_px = 1.0;
  photo->fade = MODEL_DEFAULT_FADE;
  return photo;
}

ModelPhoto *
model_photo_copy (const ModelPhoto *photo)
{
  ModelPhoto *copy = g_memdup2 (photo, sizeof *photo);

  copy->name = g_strdup (photo->name);
  copy->image = photo->image != NULL ? g_bytes_ref (photo->image) : NULL;
  copy->extra = model_extra_copy (photo->extra);
  return copy;
}

void
model_photo_free (ModelPhoto *photo)
{
  if (photo == NULL)
    return;
  g_free (photo->name);
  g_clear_pointer (&photo->image, g_bytes_unref);
  g_clear_pointer (&photo->extra, json_object_unref);
  g_free (photo);
}

ModelFitNote *
model_fit_note_new (void)
{
  ModelFitNote *note = g_new0 (ModelFitNote, 1);

  note->date = g_strdup ("");
  note->revision = g_strdup ("");
  note->seen = MODEL_FIT_OTHER;
  note->text = g_strdup ("");
  note->done = g_strdup ("");
  return note;
}

ModelFitNote *
model_fit_note_copy (const ModelFitNote *note)
{
  ModelFitNote *copy = g_memdup2 (note, sizeof *note);

  copy->date = g_strdup (note->date);
  copy->revision = g_strdup (note->revision);
  copy->text = g_strdup (note->text);
  copy->done = g_strdup (note->done);
  copy->extra = model_extra_copy (note->extra);
  return copy;
}

void
model_fit_note_free (ModelFitNote *note)
{
  if (note == NULL)
    return;
  g_free (note->date);
  g_free (note->revision);
  g_free (note->text);
  g_free (note->done);
  g_clear_pointer (&note->extra, json_object_unref);
  g_free (note);
}

ModelRevision *
model_revision_new (void)
{
  ModelRevision *revision = g_new0 (ModelRevision, 1);

  revision->name = g_strdup ("");
  revision->date = g_strdup ("");
  revision->note = g_strdup ("");
  return revision;
}

ModelRevision *
model_revision_copy (const ModelRevision *revision)
{
  ModelRevision *copy = g_memdup2 (revision, sizeof *revision);

  copy->name = g_strdup (revision->name);
  copy->date = g_strdup (revision->date);
  copy->note = g_strdup (revision->note);
  copy->state = revision->state != NULL ? model_state_ref (revision->state) : NULL;
  copy->extra = model_extra_copy (revision->extra);
  return copy;
}

void
model_revision_free (ModelRevision *revision)
{
  if (revision == NULL)
    return;
  g_free (revision->name);
  g_free (revision->date);
  g_free (revision->note);
  g_clear_pointer (&revision->state, model_state_unref);
  g_clear_pointer (&revision->extra, json_object_unref);
  g_free (revision);
}

/* ---- looking into a panel ---- */

int
model_panel_find_edge (const ModelPanel *panel, guint edge_id)
{
  for (guint i = 0; i < panel->edges->len; i++)
    if (model_panel_edge (panel, i)->id == edge_id)
      return (int)i;
  return -1;
}

bool
model_panel_find_node (const ModelPanel *panel, guint node_id, guint *edge_index, guint *node_index)
{
  for (guint e = 0; e < panel->edges->len; e++)
  {
    const ModelEdge *edge = model_panel_edge (panel, e);

    for (guint n = 0; n < edge->nodes->len; n++)
      if (model_edge_node (edge, n)->id == node_id)
      {
        if (edge_index != NULL)
          *edge_index = e;
        if (node_index != NULL)
          *node_index = n;
        return true;
      }
  }
  return false;
}

ModelMark *
model_panel_find_mark (const ModelPanel *panel, guint mark_id)
{
  for (guint i = 0; i < panel->marks->len; i++)
    if (g_array_index (panel->marks, ModelMark, i).id == mark_id)
      return &g_array_index (panel->marks, ModelMark, i);
  return NULL;
}

ModelCorrection *
model_panel_find_correction (const ModelPanel *panel, guint node_id)
{
  for (guint i = 0; i < panel->corrections->len; i++)
    if (g_array_index (panel->corrections, ModelCorrection, i).node_id == node_id)
      return &g_array_index (panel->corrections, ModelCorrection, i);
  return NULL;
}

ModelTape *
model_panel_find_tape (const ModelPanel *panel, guint tape_id)
{
  for (guint i = 0; i < panel->tapes->len; i++)
    if (g_array_index (panel->tapes, ModelTape, i).id == tape_id)
      return &g_array_index (panel->tapes, ModelTape, i);
  return NULL;
}

guint
model_panel_node_count (const ModelPanel *panel)
{
  guint count = 0;

  for (guint i = 0; i < panel->edges->len; i++)
    count += model_panel_edge (panel, i)->nodes->len;
  return count;
}

ModelNode *
model_panel_next_node (const ModelPanel *panel, guint edge_index, guint node_index)
{
  const ModelEdge *edge = model_panel_edge (panel, edge_index);

  if (node_index + 1 < edge->nodes->len)
    return model_edge_node (edge, node_index + 1);
  return model_edge_node (model_panel_edge (panel, (edge_index + 1) % panel->edges->len), 0);
}

int
model_panel_fold_edge (const ModelPanel *panel)
{
  if (panel->halves != MODEL_HALVES_FOLD)
    return -1;
  for (guint i = 0; i < panel->edges->len; i++)
    if (model_panel_edge (panel, i)->fold)
      return (int)i;
  return -1;
}

GeomAffine
model_panel_mirror (const ModelPanel *panel)
{
  int fold;

  switch (panel->halves)
  {
  case MODEL_HALVES_SINGLE:
    return geom_affine_identity ();
  case MODEL_HALVES_FOLD:
    fold = model_panel_fold_edge (panel);
    if (fold < 0)
      return geom_affine_identity ();
    return geom_affine_mirror (
      model_edge_node (model_panel_edge (panel, (guint)fold), 0)->at,
      model_edge_node (model_panel_edge (panel, ((guint)fold + 1) % panel->edges->len), 0)->at);
  case MODEL_HALVES_PAIR:
    return (GeomAffine) { -1.0, 0.0, 0.0, 1.0, 2.0 * panel->mirror_x_mm, 0.0 };
  }
  g_return_val_if_reached (geom_affine_identity ());
}

/* Where the nodes lie on one side: mirrored by MAP if there is one, and corrected if BY_NODE says so. */
typedef struct SideView
{
  const ModelPanel *panel;
  const GeomAffine *map;
  bool corrected;
  GHashTable *by_node; /* node id -> ModelCorrection; NULL when there are few */
} SideView;

static ModelNode
side_node (const SideView *view, ModelNode node)
{
  const ModelCorrection *more;

  if (view->map == NULL)
    return node;
  node.at = geom_affine_apply (*view->map, node.at);
  node.in = geom_affine_apply (*view->map, node.in);
  node.out = geom_affine_apply (*view->map, node.out);
  if (!view->corrected)
    return node;
  if (view->by_node != NULL)
    more = g_hash_table_lookup (view->by_node, GUINT_TO_POINTER (node.id));
  else
    more = model_panel_find_correction (view->panel, node.id);
  if (more != NULL)
  {
    node.at = geom_add (node.at, more->at);
    node.in = geom_add (node.in, more->in);
    node.out = geom_add (node.out, more->out);
  }
  return node;
}

static void
append_side (const SideView *view, GeomPath *out, size_t *first)
{
  const ModelPanel *panel = view->panel;
  ModelNode here, next;

  geom_path_reset (out);
  out->closed = true;
  if (panel->edges->len == 0 || model_panel_edge (panel, 0)->nodes->len == 0)
    return;
  here = side_node (view, *model_edge_node (model_panel_edge (panel, 0), 0));
  for (guint e = 0; e < panel->edges->len; e++)
  {
    guint count = model_panel_edge (panel, e)->nodes->len;

    if (first != NULL)
      first[e] = out->count;
    for (guint n = 0; n < count; n++)
    {
      next = side_node (view, *model_panel_next_node (panel, e, n));
      /* Without handles on both sides: even speed along the line, so that t means the same as the length. */
      if (geom_same_point (here.out, here.at) && geom_same_point (next.in, next.at))
        geom_path_append_line (out, here.at, next.at);
      else
        geom_path_append (out, &(GeomCubic) { { here.at, here.out, next.in, next.at } });
      here = next;
    }
  }
}

void
model_panel_path (const ModelPanel *panel, GeomPath *out, size_t *first)
{
  append_side (&(SideView) { .panel = panel }, out, first);
}

void
model_panel_twin_path (const ModelPanel *panel, GeomPath *out, size_t *first)
{
  GeomAffine map = model_panel_mirror (panel);
  SideView view
    = { .panel = panel, .map = &map, .corrected = panel->own_sides && panel->corrections->len > 0 };

  if (view.corrected && panel->corrections->len > FEW_CORRECTIONS)
  {
    view.by_node = g_hash_table_new (NULL, NULL);
    for (guint i = 0; i < panel->corrections->len; i++)
    {
      ModelCorrection *more = &g_array_index (panel->corrections, ModelCorrection, i);
      g_hash_table_insert (view.by_node, GUINT_TO_POINTER (more->node_id), more);
    }
  }
  append_side (&view, out, first);
  g_clear_pointer (&view.by_node, g_hash_table_unref);
}
