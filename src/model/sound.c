#include "model/sound.h"

#include "model/format.h"
#include "model/run.h"

static void
limit (double *v, double min, double max)
{
  if (isnan (*v))
    *v = 0.0;
  *v = CLAMP (*v, min, max);
}

static void
limit_point (GeomPoint *p)
{
  limit (&p->x, -MODEL_FILE_MAX_MM, MODEL_FILE_MAX_MM);
  limit (&p->y, -MODEL_FILE_MAX_MM, MODEL_FILE_MAX_MM);
}

static void
need_id (guint *id, ModelDocument *ids)
{
  if (*id == 0)
    *id = model_document_take_id (ids);
  /* One that was taken on a copy of the document must not be taken again here. */
  else if (*id >= ids->next_id && *id <= MODEL_MAX_ID)
    ids->next_id = *id + 1;
}

/* ---- inside a panel ---- */

static void
make_edges_sound (ModelPanel *panel, ModelDocument *ids)
{
  for (guint e = panel->edges->len; e-- > 0;)
  {
    ModelEdge *edge = model_panel_edge (panel, e);

    if (edge->nodes->len == 0)
    {
      g_ptr_array_remove_index (panel->edges, e);
      continue;
    }
    need_id (&edge->id, ids);
    limit (&edge->allowance_mm, 0.0, MODEL_MAX_WIDTH_MM);
    for (guint n = 0; n < edge->nodes->len; n++)
    {
      ModelNode *node = model_edge_node (edge, n);

      need_id (&node->id, ids);
      limit_point (&node->at);
      limit_point (&node->in);
      limit_point (&node->out);
      if (n == 0)
        node->kind = MODEL_NODE_CORNER;
    }
  }
}

static GHashTable *
edge_ids (const ModelPanel *panel)
{
  GHashTable *ids = g_hash_table_new (NULL, NULL);

  for (guint e = 0; e < panel->edges->len; e++)
    g_hash_table_insert (ids, GUINT_TO_POINTER (model_panel_edge (panel, e)->id), GUINT_TO_POINTER (e + 1));
  return ids;
}

static GHashTable *
node_ids (const ModelPanel *panel)
{
  GHashTable *ids = g_hash_table_new (NULL, NULL);

  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++)
      g_hash_table_add (ids, GUINT_TO_POINTER (model_edge_node (model_panel_edge (panel, e), n)->id));
  return ids;
}

static void
make_marks_sound (ModelPanel *panel, ModelDocument *ids)
{
  g_autoptr (GHashTable) edges = edge_ids (panel);
  guint kept = 0;

  for (guint i = 0; i < panel->marks->len; i++)
  {
    ModelMark mark = g_array_index (panel->marks, ModelMark, i);

    if (!g_hash_table_contains (edges, GUINT_TO_POINTER (mark.edge_id)))
      continue;
    need_id (&mark.id, ids);
    limit (&mark.at_mm, 0.0, MODEL_MAX_ALONG_MM);
    mark.wedges = CLAMP (mark.wedges, 0, 2);
    g_array_index (panel->marks, ModelMark, kept++) = mark;
  }
  g_array_set_size (panel->marks, kept);
}

static void
make_corrections_sound (ModelPanel *panel)
{
  g_autoptr (GHashTable) nodes = node_ids (panel);
  guint kept = 0;

  /* A node is taken out of the table by its first correction, so that a second one goes. */
  for (guint i = 0; i < panel->corrections->len; i++)
  {
    ModelCorrection more = g_array_index (panel->corrections, ModelCorrection, i);

    limit_point (&more.at);
    limit_point (&more.in);
    limit_point (&more.out);
    if (g_hash_table_remove (nodes, GUINT_TO_POINTER (more.node_id)))
      g_array_index (panel->corrections, ModelCorrection, kept++) = more;
  }
  g_array_set_size (panel->corrections, kept);
}

/* Tapes whose marks are gone go; marks have been made sound before. */
static void
make_tapes_sound (ModelPanel *panel, ModelDocument *ids)
{
  g_autoptr (GHashTable) marks = g_hash_table_new (NULL, NULL);
  guint kept = 0;

  if (panel->tapes->len == 0)
    return;
  for (guint i = 0; i < panel->marks->len; i++)
    g_hash_table_add (marks, GUINT_TO_POINTER (g_array_index (panel->marks, ModelMark, i).id));
  for (guint i = 0; i < panel->tapes->len; i++)
  {
    ModelTape tape = g_array_index (panel->tapes, ModelTape, i);

    if ((tape.a_mark_id != 0 && !g_hash_table_contains (marks, GUINT_TO_POINTER (tape.a_mark_id)))
        || (tape.b_mark_id != 0 && !g_hash_table_contains (marks, GUINT_TO_POINTER (tape.b_mark_id)))
        || (tape.c_mark_id != 0 && !g_hash_table_contains (marks, GUINT_TO_POINTER (tape.c_mark_id))))
      continue;
    need_id (&tape.id, ids);
    limit_point (&tape.a);
    limit_point (&tape.b);
    limit_point (&tape.c);
    limit (&tape.wrap_mm, 0.0, MODEL_FILE_MAX_MM);
    if (tape.kind == MODEL_TAPE_ALONG && (tape.a_mark_id == 0 || tape.b_mark_id == 0))
      tape.kind = MODEL_TAPE_STRAIGHT;
    g_array_index (panel->tapes, ModelTape, kept++) = tape;
  }
  g_array_set_size (panel->tapes, kept);
}

static void
make_panel_sound (ModelPanel *panel, ModelDocument *ids)
{
  limit (&panel->mirror_x_mm, -MODEL_FILE_MAX_MM, MODEL_FILE_MAX_MM);
  limit (&panel->grain_deg, -MODEL_MAX_ANGLE_DEG, MODEL_MAX_ANGLE_DEG);
  limit (&panel->grain_tolerance_deg, 0.0, 360.0);
  panel->quantity = CLAMP (panel->quantity, 1, MODEL_MAX_QUANTITY);
  make_edges_sound (panel, ids);
  make_marks_sound (panel, ids);
  make_corrections_sound (panel);
  make_tapes_sound (panel, ids);
  if (!model_panel_fold_is_sound (panel))
    panel->halves = MODEL_HALVES_SINGLE;
  if (panel->halves != MODEL_HALVES_SINGLE && panel->side == MODEL_SIDE_CENTRE)
    panel->side = MODEL_SIDE_RIGHT;
}

/* ---- the other parts ---- */

static void
make_head_sound (ModelHead *head)
{
  limit (&head->overlap_mm, 0.0, MODEL_MAX_WIDTH_MM);
  if (!model_paper_is_known (head->paper))
  {
    g_free (head->paper);
    head->paper = g_strdup (MODEL_DEFAULT_PAPER);
  }
}

static void
make_material_sound (ModelMaterial *material)
{
  limit (&material->thickness_mm, 0.0, MODEL_MAX_WIDTH_MM);
  limit (&material->knife_mm, 0.0, MODEL_MAX_WIDTH_MM);
  limit (&material->neutral, 0.0, 1.0);
  limit (&material->stretch_percent, MODEL_MIN_STRETCH_PERCENT, MODEL_MAX_STRETCH_PERCENT);
}

static void
make_measure_sound (ModelMeasure *measure)
{
  limit (&measure->wearer_mm, 0.0, MODEL_FILE_MAX_MM);
  limit (&measure->form_mm, 0.0, MODEL_FILE_MAX_MM);
  limit (&measure->tolerance_mm, 0.0, MODEL_MAX_WIDTH_MM);
}

static void
make_join_sound (ModelJoin *join)
{
  limit (&join->lap_mm, 0.0, MODEL_MAX_WIDTH_MM);
  limit (&join->allowance_mm, 0.0, MODEL_MAX_WIDTH_MM);
  limit (&join->gap_mm, 0.0, MODEL_MAX_WIDTH_MM);
  limit (&join->ease_mm, -MODEL_FILE_MAX_MM, MODEL_FILE_MAX_MM);
  limit (&join->tolerance_mm, 0.0, MODEL_MAX_WIDTH_MM);
  limit (&join->ease_percent, -MODEL_MAX_EASE_PERCENT, MODEL_MAX_EASE_PERCENT);
  limit (&join->strap_width_mm, 0.0, MODEL_MAX_WIDTH_MM);
  limit (&join->strap_overlap_mm, 0.0, MODEL_MAX_WIDTH_MM);
  join->straps = CLAMP (join->straps, 0, MODEL_MAX_STRAPS);
}

static void
make_line_sound (ModelLine *line)
{
  limit_point (&line->at);
  limit (&line->direction_deg, -MODEL_MAX_ANGLE_DEG, MODEL_MAX_ANGLE_DEG);
  limit (&line->between_mm, -MODEL_MAX_WIDTH_MM, MODEL_MAX_WIDTH_MM);
  limit (&line->tolerance_mm, 0.0, MODEL_MAX_WIDTH_MM);
}

static void
make_photo_sound (ModelPhoto *photo)
{
  photo->width_px = CLAMP (photo->width_px, 1, MODEL_MAX_PHOTO_PX);
  photo->height_px = CLAMP (photo->height_px, 1, MODEL_MAX_PHOTO_PX);
  limit_point (&photo->at);
  limit (&photo->turn_deg, -MODEL_MAX_ANGLE_DEG, MODEL_MAX_ANGLE_DEG);
  limit (&photo->mm_per_px, MODEL_MIN_MM_PER_PX, MODEL_MAX_MM_PER_PX);
  limit (&photo->fade, 0.0, 1.0);
}

void
model_part_make_sound (ModelPart part, ModelDocument *ids)
{
  switch (part.kind)
  {
  case MODEL_PART_HEAD:
    make_head_sound (part.body);
    break;
  case MODEL_PART_MATERIAL:
    need_id (&((ModelMaterial *)part.body)->id, ids);
    make_material_sound (part.body);
    break;
  case MODEL_PART_MEASURE:
    need_id (&((ModelMeasure *)part.body)->id, ids);
    make_measure_sound (part.body);
    break;
  case MODEL_PART_PANEL:
    need_id (&((ModelPanel *)part.body)->id, ids);
    make_panel_sound (part.body, ids);
    break;
  case MODEL_PART_JOIN:
    need_id (&((ModelJoin *)part.body)->id, ids);
    make_join_sound (part.body);
    break;
  case MODEL_PART_LINE:
    need_id (&((ModelLine *)part.body)->id, ids);
    make_line_sound (part.body);
    break;
  case MODEL_PART_PHOTO:
    need_id (&((ModelPhoto *)part.body)->id, ids);
    make_photo_sound (part.body);
    break;
  case MODEL_PART_FIT_NOTE:
    need_id (&((ModelFitNote *)part.body)->id, ids);
    limit (&((ModelFitNote *)part.body)->amount_mm, -MODEL_FILE_MAX_MM, MODEL_FILE_MAX_MM);
    break;
  case MODEL_PART_REVISION:
    need_id (&((ModelRevision *)part.body)->id, ids);
    break;
  }
}

/* ---- references of a join ---- */

static bool
mark_is_on (const ModelPanel *panel, guint mark_id, guint edge_id)
{
  const ModelMark *mark = mark_id != 0 ? model_panel_find_mark (panel, mark_id) : NULL;

  return mark != NULL && mark->edge_id == edge_id;
}

/* Keeps the run's edges as far as they follow one another.  False if none is left. */
static bool
mend_run (const ModelDocument *doc, ModelRun *run)
{
  const ModelPanel *panel = model_document_panel (doc, run->panel_id);
  g_autoptr (GHashTable) ids = NULL;
  guint kept = 0, first = 0, last = 0;

  if (panel == NULL)
    return false;
  ids = edge_ids (panel);
  for (guint i = 0; i < run->edges->len && kept < panel->edges->len; i++)
  {
    guint id = g_array_index (run->edges, guint, i);
    guint place = GPOINTER_TO_UINT (g_hash_table_lookup (ids, GUINT_TO_POINTER (id))), way;

    if (place == 0)
      continue;
    if (kept == 0)
      first = place - 1;
    /* How far beyond the first edge, going round: farther than the last one, and over darts alone. */
    way = (place - 1 + panel->edges->len - first) % panel->edges->len;
    if (kept > 0
        && (way <= last
            || (way > last + 1
                && !model_edges_follow (doc, panel, (first + last) % panel->edges->len, place - 1))))
      break;
    last = way;
    g_array_index (run->edges, guint, kept++) = id;
  }
  g_array_set_size (run->edges, kept);
  if (kept == 0)
    return false;
  if (!mark_is_on (panel, run->from_mark_id, g_array_index (run->edges, guint, 0)))
    run->from_mark_id = 0;
  if (!mark_is_on (panel, run->to_mark_id, g_array_index (run->edges, guint, kept - 1)))
    run->to_mark_id = 0;
  return true;
}

/* Tables throughout: a document from anywhere may have a run of very many edges. */
static GHashTable *
run_edges (const ModelRun *run)
{
  GHashTable *ids = g_hash_table_new (NULL, NULL);

  for (guint i = 0; i < run->edges->len; i++)
    g_hash_table_add (ids, GUINT_TO_POINTER (g_array_index (run->edges, guint, i)));
  return ids;
}

/* Ids of the match marks that lie on the run. */
static GHashTable *
run_marks (const ModelDocument *doc, const ModelRun *run)
{
  const ModelPanel *panel = model_document_panel (doc, run->panel_id);
  g_autoptr (GHashTable) edges = run_edges (run);
  GHashTable *ids = g_hash_table_new (NULL, NULL);

  for (guint i = 0; i < panel->marks->len; i++)
  {
    const ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);

    if (g_hash_table_contains (edges, GUINT_TO_POINTER (mark->edge_id)))
      g_hash_table_add (ids, GUINT_TO_POINTER (mark->id));
  }
  return ids;
}

static void
mend_matches (const ModelDocument *doc, ModelJoin *join)
{
  g_autoptr (GHashTable) on_a = run_marks (doc, &join->a);
  g_autoptr (GHashTable) on_b = run_marks (doc, &join->b);
  guint kept = 0;

  for (guint i = 0; i < join->matches->len; i++)
  {
    ModelMatch match = g_array_index (join->matches, ModelMatch, i);

    if (g_hash_table_contains (on_a, GUINT_TO_POINTER (match.a_mark_id))
        && g_hash_table_contains (on_b, GUINT_TO_POINTER (match.b_mark_id)))
      g_array_index (join->matches, ModelMatch, kept++) = match;
  }
  g_array_set_size (join->matches, kept);
}

bool
model_join_mend (const ModelDocument *doc, ModelJoin *join)
{
  if (!mend_run (doc, &join->a) || !mend_run (doc, &join->b) || model_runs_overlap (&join->a, &join->b))
    return false;
  if (join->matches->len > 0)
    mend_matches (doc, join);
  if (join->ease_from_id != 0 || join->ease_to_id != 0)
  {
    g_autoptr (GHashTable) on_a = run_marks (doc, &join->a);

    if (!g_hash_table_contains (on_a, GUINT_TO_POINTER (join->ease_from_id)))
      join->ease_from_id = 0;
    if (!g_hash_table_contains (on_a, GUINT_TO_POINTER (join->ease_to_id)))
      join->ease_to_id = 0;
  }
  return true;
}

bool
model_join_is_sound (const ModelDocument *doc, const ModelJoin *join)
{
  g_autoptr (ModelJoin) mended = model_join_copy (join);

  return model_join_mend (doc, mended) && mended->a.edges->len == join->a.edges->len
         && mended->b.edges->len == join->b.edges->len && mended->matches->len == join->matches->len
         && mended->a.from_mark_id == join->a.from_mark_id && mended->a.to_mark_id == join->a.to_mark_id
         && mended->b.from_mark_id == join->b.from_mark_id && mended->b.to_mark_id == join->b.to_mark_id
         && mended->ease_from_id == join->ease_from_id && mended->ease_to_id == join->ease_to_id;
}

/* ---- references of lines and fit notes ---- */

static bool
span_is_sound (const ModelDocument *doc, const ModelSpan *span)
{
  const ModelPanel *panel = model_document_panel (doc, span->panel_id);

  return panel != NULL && model_panel_find_mark (panel, span->a_mark_id) != NULL
         && model_panel_find_mark (panel, span->b_mark_id) != NULL;
}

bool
model_line_is_sound (const ModelDocument *doc, const ModelLine *line)
{
  if (line->measure_id != 0 && model_document_measure (doc, line->measure_id) == NULL)
    return false;
  for (guint i = 0; i < line->spans->len; i++)
    if (!span_is_sound (doc, &g_array_index (line->spans, ModelSpan, i)))
      return false;
  return true;
}

void
model_line_mend (const ModelDocument *doc, ModelLine *line)
{
  guint kept = 0;

  if (line->measure_id != 0 && model_document_measure (doc, line->measure_id) == NULL)
    line->measure_id = 0;
  for (guint i = 0; i < line->spans->len; i++)
  {
    ModelSpan span = g_array_index (line->spans, ModelSpan, i);

    if (span_is_sound (doc, &span))
      g_array_index (line->spans, ModelSpan, kept++) = span;
  }
  g_array_set_size (line->spans, kept);
}

bool
model_fit_note_is_sound (const ModelDocument *doc, const ModelFitNote *note)
{
  const ModelPanel *panel = note->panel_id != 0 ? model_document_panel (doc, note->panel_id) : NULL;

  if (note->panel_id != 0 && panel == NULL)
    return false;
  return note->edge_id == 0 || (panel != NULL && model_panel_find_edge (panel, note->edge_id) >= 0);
}

void
model_fit_note_mend (const ModelDocument *doc, ModelFitNote *note)
{
  if (note->panel_id != 0 && model_document_panel (doc, note->panel_id) == NULL)
    note->panel_id = 0;
  if (!model_fit_note_is_sound (doc, note))
    note->edge_id = 0;
}
