/* Every panel is asked, boxes first: a document has hundreds of panels and a pointer has one place. */
#include "app/pick.h"

/* Two distances this near are the same to a hand: a thousandth of a millimetre. */
#define TIE_MM 1e-3

struct AppPickIndex
{
  AppSession *session;
  GPtrArray *outlines;
  GHashTable *stale; /* panel ids */
  bool all_stale;
};

static void
outline_free (AppOutline *outline)
{
  geom_path_clear (&outline->path);
  g_free (outline->first);
  g_free (outline);
}

AppPickIndex *
app_pick_index_new (AppSession *session)
{
  AppPickIndex *index = g_new0 (AppPickIndex, 1);
  index->session = session;
  index->outlines = g_ptr_array_new_with_free_func ((GDestroyNotify)outline_free);
  index->stale = g_hash_table_new (NULL, NULL);
  index->all_stale = true;
  return index;
}

void
app_pick_index_free (AppPickIndex *index)
{
  if (index == NULL)
    return;
  g_ptr_array_unref (index->outlines);
  g_hash_table_unref (index->stale);
  g_free (index);
}

void
app_pick_index_touch (AppPickIndex *index, guint panel_id)
{
  if (panel_id == 0)
    index->all_stale = true;
  else
    g_hash_table_add (index->stale, GUINT_TO_POINTER (panel_id));
}

static void
outline_trace (AppOutline *outline, const ModelPanel *panel)
{
  geom_path_reset (&outline->path);
  g_free (outline->first);
  outline->edge_count = panel->edges->len;
  outline->first = g_new0 (size_t, MAX (outline->edge_count, 1));
  if (outline->twin)
    model_panel_twin_path (panel, &outline->path, outline->first);
  else
    model_panel_path (panel, &outline->path, outline->first);
  outline->box = geom_path_box (&outline->path);
}

static AppOutline *
outline_new (const ModelPanel *panel, bool twin)
{
  AppOutline *outline = g_new0 (AppOutline, 1);
  outline->panel_id = panel->id;
  outline->twin = twin;
  outline->side = twin ? model_side_other (panel->side) : panel->side;
  geom_path_init (&outline->path);
  outline_trace (outline, panel);
  return outline;
}

static bool
has_twin (const ModelPanel *panel)
{
  return panel->own_sides && panel->halves != MODEL_HALVES_SINGLE;
}

/* A touched panel may have been hidden, have won or lost its other side, or be gone: then the list is made
 * anew. */
static bool
refresh_one (AppPickIndex *index, guint panel_id)
{
  const ModelPanel *panel = model_document_panel (app_session_document (index->session), panel_id);
  guint want = panel == NULL || panel->hidden ? 0 : has_twin (panel) ? 2 : 1, have = 0;
  for (guint i = 0; i < index->outlines->len; i++)
  {
    const AppOutline *outline = (const AppOutline *)g_ptr_array_index (index->outlines, i);
    if (outline->panel_id == panel_id)
      have++;
  }
  if (have != want)
    return false;
  for (guint i = 0; want > 0 && i < index->outlines->len; i++)
  {
    AppOutline *outline = (AppOutline *)g_ptr_array_index (index->outlines, i);
    if (outline->panel_id != panel_id)
      continue;
    outline->side = outline->twin ? model_side_other (panel->side) : panel->side;
    outline_trace (outline, panel);
  }
  return true;
}

static void
refresh (AppPickIndex *index)
{
  GHashTableIter iter;
  gpointer key;
  g_hash_table_iter_init (&iter, index->stale);
  while (!index->all_stale && g_hash_table_iter_next (&iter, &key, NULL))
    if (!refresh_one (index, GPOINTER_TO_UINT (key)))
      index->all_stale = true;
  g_hash_table_remove_all (index->stale);
  if (!index->all_stale)
    return;
  index->all_stale = false;
  g_ptr_array_set_size (index->outlines, 0);
  const ModelDocument *doc = app_session_document (index->session);
  for (guint i = 0; i < doc->panels->len; i++)
  {
    const ModelPanel *panel = (const ModelPanel *)g_ptr_array_index (doc->panels, i);
    if (panel->hidden)
      continue;
    g_ptr_array_add (index->outlines, outline_new (panel, false));
    if (has_twin (panel))
      g_ptr_array_add (index->outlines, outline_new (panel, true));
  }
}

GPtrArray *
app_pick_index_outlines (AppPickIndex *index)
{
  refresh (index);
  return index->outlines;
}

const AppOutline *
app_pick_index_outline (AppPickIndex *index, guint panel_id, ModelSide side)
{
  refresh (index);
  const AppOutline *drawn = NULL;
  for (guint i = 0; i < index->outlines->len; i++)
  {
    const AppOutline *outline = (const AppOutline *)g_ptr_array_index (index->outlines, i);
    if (outline->panel_id != panel_id)
      continue;
    if (outline->side == side)
      return outline;
    if (!outline->twin)
      drawn = outline;
  }
  return side == MODEL_SIDE_CENTRE ? drawn : NULL;
}

void
app_outline_edge (
  const AppOutline *outline, const ModelPanel *panel, guint edge_index, size_t *first, size_t *count)
{
  *first = outline->first[edge_index];
  size_t end = edge_index + 1 < outline->edge_count ? outline->first[edge_index + 1] : outline->path.count;
  *count = end > *first ? end - *first : 0;
}

bool
app_outline_edge_path (const AppOutline *outline, const ModelPanel *panel, guint edge_id, GeomPath *out)
{
  int edge_index = model_panel_find_edge (panel, edge_id);
  if (edge_index < 0 || (guint)edge_index >= outline->edge_count)
    return false;
  size_t first, count;
  app_outline_edge (outline, panel, (guint)edge_index, &first, &count);
  for (size_t i = first; i < first + count && i < outline->path.count; i++)
    geom_path_append (out, &outline->path.piece[i]);
  return out->count > 0;
}

AppPick
app_pick_none (void)
{
  return (AppPick) { .kind = APP_PICK_NONE, .distance_mm = INFINITY };
}

bool
app_pick_same (const AppPick *a, const AppPick *b)
{
  return a->kind == b->kind && a->panel_id == b->panel_id && a->edge_id == b->edge_id
         && a->node_id == b->node_id && a->side == b->side && a->handle == b->handle;
}

static void
offer (AppPick *best, AppPick found)
{
  if (found.distance_mm < best->distance_mm - TIE_MM
      || (found.distance_mm <= best->distance_mm + TIE_MM && found.kind < best->kind))
    *best = found;
}

typedef struct Asked
{
  const AppOutline *outline;
  const ModelPanel *panel;
  const AppSelection *selection;
  GeomPoint at;
  double catch_mm;
  guint flags;
} Asked;

static void
offer_point (AppPick *best,
             const Asked *asked,
             const ModelEdge *edge,
             const ModelNode *node,
             AppPickKind kind,
             ModelHandle handle)
{
  GeomPoint at, on;
  if (!model_shape_where (asked->panel, asked->outline->side, node->id, handle, &at))
    return;
  if (handle != MODEL_HANDLE_NONE
      && model_shape_where (asked->panel, asked->outline->side, node->id, MODEL_HANDLE_NONE, &on)
      && geom_same_point (at, on))
    return;
  double distance = geom_distance (at, asked->at);
  if (distance > asked->catch_mm)
    return;
  offer (best, (AppPick) { .kind = kind,
                           .panel_id = asked->panel->id,
                           .edge_id = edge->id,
                           .node_id = node->id,
                           .side = asked->outline->side,
                           .handle = handle,
                           .at = at,
                           .distance_mm = distance });
}

static void
offer_points (AppPick *best, const Asked *asked, guint edge_index)
{
  const ModelEdge *edge = model_panel_edge (asked->panel, edge_index);
  bool with_handles
    = (asked->flags & APP_PICK_POINTS) != 0
      && (asked->selection->nodes->len > 0 || app_selection_has_edge (asked->selection, edge->id));
  for (guint i = 0; i < edge->nodes->len; i++)
  {
    const ModelNode *node = model_edge_node (edge, i);
    offer_point (best, asked, edge, node, i == 0 ? APP_PICK_CORNER : APP_PICK_NODE, MODEL_HANDLE_NONE);
    if (!with_handles)
      continue;
    offer_point (best, asked, edge, node, APP_PICK_HANDLE, MODEL_HANDLE_OUT);
    if (i > 0)
      offer_point (best, asked, edge, node, APP_PICK_HANDLE, MODEL_HANDLE_IN);
  }
  const ModelNode *last = model_panel_next_node (asked->panel, edge_index, edge->nodes->len - 1);
  offer_point (best, asked, edge, last, APP_PICK_CORNER, MODEL_HANDLE_NONE);
  if (with_handles)
    offer_point (best, asked, edge, last, APP_PICK_HANDLE, MODEL_HANDLE_IN);
}

static void
offer_edges (AppPick *best, const Asked *asked)
{
  const AppOutline *outline = asked->outline;
  for (guint e = 0; e < outline->edge_count; e++)
  {
    size_t first, count;
    app_outline_edge (outline, asked->panel, e, &first, &count);
    for (size_t i = first; i < first + count; i++)
    {
      const GeomCubic *c = &outline->path.piece[i];
      if (geom_box_distance (geom_cubic_hull_box (c), asked->at) > asked->catch_mm)
        continue;
      GeomNearest near = geom_cubic_nearest (c, asked->at);
      if (near.distance_mm > asked->catch_mm)
        continue;
      offer (best, (AppPick) { .kind = APP_PICK_EDGE,
                               .panel_id = asked->panel->id,
                               .edge_id = model_panel_edge (asked->panel, e)->id,
                               .side = outline->side,
                               .node_index = (guint)(i - first),
                               .t = near.t,
                               .at = near.point,
                               .distance_mm = near.distance_mm });
    }
  }
}

static bool
edge_has_points (const Asked *asked, const ModelEdge *edge)
{
  if ((asked->flags & APP_PICK_ALL_POINTS) != 0)
    return true;
  const AppSelection *s = asked->selection;
  if ((asked->flags & APP_PICK_POINTS) == 0 || s->panels->len != 1
      || g_array_index (s->panels, guint, 0) != asked->panel->id
      || (s->side != asked->outline->side && s->side != MODEL_SIDE_CENTRE))
    return false;
  if (app_selection_has_edge (s, edge->id))
    return true;
  for (guint i = 0; i < edge->nodes->len; i++)
    if (app_selection_has_node (s, model_edge_node (edge, i)->id))
      return true;
  return false;
}

AppPick
app_pick_at (AppPickIndex *index, GeomPoint at, double catch_mm, guint flags, guint panel_id)
{
  AppPick points = app_pick_none (), best = app_pick_none ();
  if (index == NULL)
    return best;
  refresh (index);
  const ModelDocument *doc = app_session_document (index->session);
  Asked asked
    = { .selection = app_session_selection (index->session), .at = at, .catch_mm = catch_mm, .flags = flags };
  /* The last drawn lies on top. */
  for (guint n = index->outlines->len; n > 0; n--)
  {
    asked.outline = (const AppOutline *)g_ptr_array_index (index->outlines, n - 1);
    /* Handles stick out of the outline's box by at most the box of its control points. */
    if (panel_id != 0 && asked.outline->panel_id != panel_id)
      continue;
    asked.panel = model_document_panel (doc, asked.outline->panel_id);
    if (asked.panel == NULL)
      continue;
    bool near = geom_box_distance (asked.outline->box, at) <= catch_mm;
    if ((flags & (APP_PICK_POINTS | APP_PICK_ALL_POINTS)) != 0)
      for (guint e = 0; e < asked.panel->edges->len; e++)
        if ((near || (flags & APP_PICK_POINTS) != 0)
            && edge_has_points (&asked, model_panel_edge (asked.panel, e)))
          offer_points (&points, &asked, e);
    if (!near)
      continue;
    if ((flags & APP_PICK_EDGES) != 0)
      offer_edges (&best, &asked);
    if ((flags & APP_PICK_PANELS) != 0 && best.kind == APP_PICK_NONE
        && geom_box_contains (asked.outline->box, at) && geom_path_contains (&asked.outline->path, at))
      /* A face is caught by lying on it; any edge within the catch is the better guess. */
      best = (AppPick) { .kind = APP_PICK_PANEL,
                         .panel_id = asked.panel->id,
                         .side = asked.outline->side,
                         .at = at,
                         .distance_mm = catch_mm };
  }
  /* A corner or node lies on its edge, so the edge is never farther: within the catch the point is meant.  A
   * handle stands off. */
  if (points.kind == APP_PICK_NONE
      || (points.kind == APP_PICK_HANDLE && best.kind == APP_PICK_EDGE
          && best.distance_mm < points.distance_mm))
    return best;
  return points;
}
