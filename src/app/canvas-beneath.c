/* Panels of another time or another document, dotted over the present ones: thin, so that they are seen
 * through nothing and cover nothing.
 *
 * Of a revision, each panel is laid on the present one, for what matters is what differs; of another document
 * each lies where it lies there. */
#include "app/canvas-private.h"

#include "engine/compare.h"

#define DOT_PX 1.0
#define BLANK_PX 3.0
#define NAME_PX 12.0
/* Nearer than this the dots would only smear the cut line. */
#define UNCHANGED_MM 0.05

struct AppBeneath
{
  const ModelDocument *state; /* borrowed until set anew; NULL: nothing beneath */
  char *name;
  bool laid, dirty;
  GPtrArray *paths; /* GeomPath */
  GskRenderNode *node;
  double scale;
  guint ink_serial;
};

static void
path_free (gpointer data)
{
  geom_path_clear (data);
  g_free (data);
}

static GeomPath *
side_path (const ModelPanel *panel, ModelSide side)
{
  GeomPath *path = g_new0 (GeomPath, 1);
  geom_path_init (path);
  if (side != MODEL_SIDE_CENTRE && side != engine_panel_drawn_side (panel))
    model_panel_twin_path (panel, path, NULL);
  else
    model_panel_path (panel, path, NULL);
  return path;
}

static void
add_side (AppBeneath *beneath, const ModelPanel *panel, const ModelPanel *present, ModelSide side)
{
  GeomPath *path = side_path (panel, side);
  if (beneath->laid && present != NULL)
  {
    geom_path_map (path, engine_compare_laid (panel, present, side));
    GeomPath *now = side_path (present, side);
    bool same = engine_compare_apart (path, now, NULL) < UNCHANGED_MM;
    path_free (now);
    if (same)
    {
      path_free (path);
      return;
    }
  }
  g_ptr_array_add (beneath->paths, path);
}

static void
build (AppCanvas *self)
{
  AppBeneath *beneath = self->beneath;
  const ModelDocument *doc = app_canvas_document (self);
  g_ptr_array_set_size (beneath->paths, 0);
  for (guint i = 0; doc != NULL && i < beneath->state->panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (beneath->state->panels, i);
    const ModelPanel *present = beneath->laid ? model_document_panel (doc, panel->id) : NULL;
    if (panel->hidden || (present != NULL && present->hidden))
      continue;
    bool opened = app_canvas_is_opened (panel) || (present != NULL && app_canvas_is_opened (present));
    ModelSide drawn = engine_panel_drawn_side (panel);
    add_side (beneath, panel, present, engine_panel_is_mirrored (panel) ? drawn : MODEL_SIDE_CENTRE);
    if (opened && engine_panel_is_mirrored (panel))
      add_side (beneath, panel, present, model_side_other (drawn));
  }
}

static GeomPoint
highest (const GeomPath *path)
{
  GeomPoint best = path->piece[0].p[0];
  for (size_t k = 1; k < path->count; k++)
    if (path->piece[k].p[0].y > best.y)
      best = path->piece[k].p[0];
  return best;
}

static void
draw (AppCanvas *self, cairo_t *cr)
{
  const OutputInk *ink = app_canvas_ink (self);
  OutputView view = app_canvas_shifted_view (self);
  const double dots[2] = { DOT_PX, BLANK_PX };
  for (guint i = 0; i < self->beneath->paths->len; i++)
  {
    const GeomPath *path = g_ptr_array_index (self->beneath->paths, i);
    if (path->count == 0)
      continue;
    output_trace_path (cr, &view, path);
    output_set_tone (cr, ink, OUTPUT_TONE_INK_3);
    cairo_set_line_width (cr, 1.0);
    cairo_set_dash (cr, dots, 2, 0.0);
    cairo_stroke (cr);
  }
  cairo_set_dash (cr, NULL, 0, 0.0);
  for (guint i = 0; i < self->beneath->paths->len; i++)
  {
    const GeomPath *path = g_ptr_array_index (self->beneath->paths, i);
    if (path->count == 0)
      continue;
    GeomPoint at = geom_affine_apply (view.to_device, highest (path));
    output_draw_text (cr, ink, at.x, at.y - NAME_PX, 0.0, NAME_PX, false, OUTPUT_TONE_INK_2,
                      OUTPUT_TONE_CANVAS, self->beneath->name);
  }
}

void
app_canvas_beneath_paint (AppCanvas *self, GtkSnapshot *snapshot)
{
  AppBeneath *beneath = self->beneath;
  if (beneath == NULL || beneath->state == NULL)
    return;
  const OutputInk *ink = app_canvas_ink (self); /* brings the serial up to date */
  if (ink != NULL
      && (beneath->dirty || beneath->scale != self->scale || beneath->ink_serial != self->ink_serial))
  {
    if (beneath->dirty)
      build (self);
    g_clear_pointer (&beneath->node, gsk_render_node_unref);
    cairo_t *cr = app_canvas_record ();
    draw (self, cr);
    beneath->node = app_canvas_recorded (cr);
    beneath->scale = self->scale;
    beneath->ink_serial = self->ink_serial;
    beneath->dirty = false;
  }
  if (beneath->node != NULL)
    gtk_snapshot_append_node (snapshot, beneath->node);
}

void
app_canvas_beneath_touch (AppCanvas *self)
{
  if (self->beneath != NULL)
    self->beneath->dirty = true;
}

void
app_canvas_beneath_clear (AppCanvas *self)
{
  AppBeneath *beneath = self->beneath;
  if (beneath == NULL)
    return;
  g_clear_pointer (&beneath->node, gsk_render_node_unref);
  g_ptr_array_unref (beneath->paths);
  g_free (beneath->name);
  g_free (beneath);
  self->beneath = NULL;
}

void
app_canvas_set_beneath (AppCanvas *self, const ModelDocument *state, const char *name, bool laid)
{
  app_canvas_beneath_clear (self);
  if (state != NULL)
  {
    AppBeneath *beneath = g_new0 (AppBeneath, 1);
    beneath->state = state;
    beneath->name = g_strdup (name);
    beneath->laid = laid;
    beneath->dirty = true;
    beneath->paths = g_ptr_array_new_with_free_func (path_free);
    self->beneath = beneath;
  }
  app_canvas_redraw (self);
}

guint
app_canvas_beneath_count (AppCanvas *self)
{
  if (self->beneath == NULL)
    return 0;
  if (self->beneath->dirty)
    build (self);
  return self->beneath->paths->len;
}
