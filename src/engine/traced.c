#include "engine/traced.h"

#include "model/shape.h"

#include <glib/gi18n.h>

static GArray *
nodes_of (const GeomPath *path, const size_t *edge_start, size_t edge_count)
{
  GArray *nodes = g_array_sized_new (FALSE, TRUE, sizeof (ModelNode), (guint)path->count);
  size_t edge = 0;
  for (size_t i = 0; i < path->count; i++)
  {
    const GeomCubic *before = &path->piece[(i + path->count - 1) % path->count], *after = &path->piece[i];
    const bool corner = edge < edge_count && edge_start[edge] == i;
    edge += corner;
    /* A straight piece has no handles. */
    const bool straight_in = geom_cubic_is_straight (before, 1e-9),
               straight_out = geom_cubic_is_straight (after, 1e-9);
    const ModelNode node = { .kind = corner ? MODEL_NODE_CORNER : MODEL_NODE_SMOOTH,
                             .at = after->p[0],
                             .in = straight_in ? after->p[0] : before->p[2],
                             .out = straight_out ? after->p[0] : after->p[1] };
    g_array_append_val (nodes, node);
  }
  return nodes;
}

static char *
free_name (const ModelDocument *doc, guint number)
{
  /* A document has fewer panels than this loop has turns. */
  for (guint n = number;; n++)
  {
    /* Translators: the name of a panel traced from a photo, with its number. */
    g_autofree char *name = g_strdup_printf (_ ("Piece %u"), n);
    if (model_document_panel_named (doc, name) == NULL || n - number > doc->panels->len)
      return g_steal_pointer (&name);
  }
}

ModelPanel *
engine_traced_panel (
  ModelDocument *doc, const GeomPath *path, const size_t *edge, size_t edge_count, int holes, guint number)
{
  g_autoptr (GArray) nodes = nodes_of (path, edge, edge_count);
  ModelPanel *panel = model_shape_new_panel (doc, (const ModelNode *)(void *)nodes->data, nodes->len);
  if (panel == NULL)
    return NULL;
  g_free (panel->name);
  panel->name = free_name (doc, number);
  if (holes > 0)
    panel->note = g_strdup_printf (ngettext ("The photo shows %d hole in this piece; it was not traced.",
                                             "The photo shows %d holes in this piece; they were not traced.",
                                             (gulong)holes),
                                   holes);
  return panel;
}
