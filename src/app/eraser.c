/* The pen turned round: it takes out the nodes it passes.  A corner goes only where the rubber is set down on
 * it, for with a corner two edges become one and a join may go with it; along an edge the rubber slips past.
 */
#include "app/canvas-private.h"

#include "model/repair.h"

#include <glib/gi18n.h>

#define RUBBER_PX 9.0

struct AppErasing
{
  GeomPoint last;
  guint gone;
  bool open;
};

static double
distance_to_way (GeomPoint a, GeomPoint b, GeomPoint p)
{
  GeomPoint d = geom_sub (b, a);
  double square = geom_dot (d, d),
         t = square > 0.0 ? CLAMP (geom_dot (geom_sub (p, a), d) / square, 0.0, 1.0) : 0.0;
  return geom_distance (geom_along (a, t, d), p);
}

static bool
has_id (const GArray *ids, guint id)
{
  for (guint i = 0; i < ids->len; i++)
    if (g_array_index (ids, guint, i) == id)
      return true;
  return false;
}

/* Nodes of one side under the rubber's way from the last place to TO. */
static void
find_nodes (AppCanvas *self,
            const AppOutline *outline,
            const ModelPanel *panel,
            GeomPoint to,
            bool corners,
            GArray *ids)
{
  double radius = RUBBER_PX / self->scale;
  GeomBox way = geom_box_grown (
    geom_box_with_point (geom_box_with_point (geom_box_empty (), self->erasing->last), to), radius);
  if (!geom_box_overlaps (outline->box, way))
    return;
  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = corners ? 0 : 1; n < model_panel_edge (panel, e)->nodes->len; n++)
    {
      guint id = model_edge_node (model_panel_edge (panel, e), n)->id;
      GeomPoint at;
      if (model_shape_where (panel, outline->side, id, MODEL_HANDLE_NONE, &at)
          && distance_to_way (self->erasing->last, to, at) <= radius && !has_id (ids, id))
        g_array_append_val (ids, id);
    }
}

static void
rub (AppCanvas *self, GeomPoint to, bool corners)
{
  const AppSelection *s = app_canvas_selection (self);
  ModelHistory *history = app_canvas_history (self);
  GPtrArray *outlines = app_pick_index_outlines (self->index);
  g_autoptr (GPtrArray) changed = g_ptr_array_new ();
  for (guint i = 0; i < outlines->len; i++)
  {
    const AppOutline *outline = (const AppOutline *)g_ptr_array_index (outlines, i);
    const ModelPanel *panel = model_document_panel (app_canvas_document (self), outline->panel_id);
    g_autoptr (GArray) ids = g_array_new (FALSE, FALSE, sizeof (guint));
    if (panel == NULL || panel->locked
        || (s->panels->len > 0 && !app_selection_has_panel (s, outline->panel_id)))
      continue;
    find_nodes (self, outline, panel, to, corners, ids);
    guint gone = 0;
    ModelPanel *copy = ids->len > 0 ? model_panel_copy (panel) : NULL;
    for (guint k = 0; k < ids->len; k++)
      if (model_shape_delete_node (copy, g_array_index (ids, guint, k)))
        gone++;
    self->erasing->gone += gone;
    if (gone > 0)
      g_ptr_array_add (changed, copy);
    else
      g_clear_pointer (&copy, model_panel_free);
  }
  /* Putting renews the outlines that were just walked through. */
  for (guint i = 0; i < changed->len; i++)
  {
    if (!self->erasing->open)
      model_history_begin (history, _ ("Erase nodes"));
    self->erasing->open = true;
    model_repair_put_panel (history, (ModelPanel *)g_ptr_array_index (changed, i));
  }
  self->erasing->last = to;
  if (changed->len > 0)
  {
    g_autofree char *words = g_strdup_printf (ngettext ("%u node gone", "%u nodes gone", self->erasing->gone),
                                              self->erasing->gone);
    app_canvas_say (self, words);
  }
}

bool
app_eraser_begin (AppCanvas *self, const AppInput *in)
{
  if (!in->eraser || self->session == NULL || (self->kind != APP_TOOL_SHAPE && self->kind != APP_TOOL_STROKE)
      || model_history_is_open (app_canvas_history (self)))
    return false;
  app_eraser_end (self, true);
  self->erasing = g_new0 (AppErasing, 1);
  self->erasing->last = in->at;
  rub (self, in->at, true);
  return true;
}

void
app_eraser_move (AppCanvas *self, const AppInput *in)
{
  if (self->erasing != NULL)
    rub (self, in->at, false);
}

void
app_eraser_end (AppCanvas *self, bool keep)
{
  if (self->erasing == NULL)
    return;
  bool open = self->erasing->open;
  g_clear_pointer (&self->erasing, g_free);
  if (open && keep)
    model_history_end (app_canvas_history (self));
  else if (open)
    model_history_cancel (app_canvas_history (self));
}

void
app_eraser_draw (AppCanvas *self, cairo_t *cr)
{
  if (self->erasing == NULL)
    return;
  cairo_arc (cr, self->pointer_x, self->pointer_y, RUBBER_PX, 0.0, 2.0 * G_PI);
  output_set_tone (cr, app_canvas_ink (self), OUTPUT_TONE_INK_2);
  cairo_set_line_width (cr, 1.4);
  cairo_stroke (cr);
}
