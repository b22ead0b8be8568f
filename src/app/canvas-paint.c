/* What is drawn when: ground and grid, one kept node a piece, what is lit, what follows the pointer.
 *
 * The toolkit compares node trees by pointer, so a node that is handed over again costs nothing.  Kept nodes
 * lie in shifted px: a pan moves them, a zoom makes them anew, an edit makes anew those of its panel.
 */
#include "app/canvas-private.h"
#include "app/relief.h"

#include "app/theme.h"

#include <glib/gi18n.h>

/* Names, flags and marks reach beyond a panel's cut line by less than this. */
#define BECKON_PX 22.0
#define PIECE_MARGIN_PX 30.0
#define CORRECTED_MARGIN_PX 110.0
#define FADE_FROM_PX 6.0
#define FADE_TO_PX 9.0

typedef struct KeptPiece
{
  GskRenderNode *node; /* NULL: nothing to see */
  double scale;
  bool dirty, bare; /* BARE: drawn without its face, for what lies under it */
} KeptPiece;

static void
kept_free (gpointer data)
{
  KeptPiece *kept = data;
  g_clear_pointer (&kept->node, gsk_render_node_unref);
  g_free (kept);
}

static gint64
kept_key (guint panel_id, ModelSide side, bool ghost)
{
  return ((gint64)panel_id << 3) | ((gint64)side << 1) | (ghost ? 1 : 0);
}

void
app_canvas_paint_forget (AppCanvas *self)
{
  g_hash_table_remove_all (self->kept);
  g_ptr_array_set_size (self->lit, 0);
  g_clear_pointer (&self->ground_node, gsk_render_node_unref);
  app_canvas_still_clear (self);
  self->ink_scale = 0.0;
}

void
app_canvas_paint_touch (AppCanvas *self, guint panel_id)
{
  GHashTableIter iter;
  gpointer key, value;
  if (panel_id == 0)
  {
    g_hash_table_iter_init (&iter, self->kept);
    while (g_hash_table_iter_next (&iter, &key, &value))
      ((KeptPiece *)value)->dirty = true;
    return;
  }
  for (int side = MODEL_SIDE_CENTRE; side <= MODEL_SIDE_RIGHT; side++)
    for (int ghost = 0; ghost < 2; ghost++)
    {
      gint64 k = kept_key (panel_id, (ModelSide)side, ghost != 0);
      KeptPiece *kept = g_hash_table_lookup (self->kept, &k);
      if (kept != NULL)
        kept->dirty = true;
    }
}

bool
app_canvas_is_opened (const ModelPanel *panel)
{
  return panel->own_sides && panel->halves != MODEL_HALVES_SINGLE;
}

OutputView
app_canvas_shifted_view (AppCanvas *self)
{
  return (OutputView) { .to_device = { self->scale, 0.0, 0.0, -self->scale, 0.0, 0.0 },
                        .scale = self->scale };
}

OutputView
app_canvas_widget_view (AppCanvas *self)
{
  return (OutputView) { .to_device = { self->scale, 0.0, 0.0, -self->scale, self->ox, self->oy },
                        .scale = self->scale };
}

const OutputInk *
app_canvas_ink (AppCanvas *self)
{
  if (self->ink_scale != self->scale || self->ink_slate != self->slate
      || self->ink_serial != app_theme_serial ())
  {
    if (app_theme_is_slate () == self->slate)
      app_theme_ink (&self->ink, app_canvas_percent (self));
    else
      output_ink_screen (&self->ink, app_canvas_percent (self), self->slate, NULL);
    self->ink_scale = self->scale;
    self->ink_slate = self->slate;
    self->ink_serial = app_theme_serial ();
  }
  return &self->ink;
}

/* ---- recording ---- */

cairo_t *
app_canvas_record (void)
{
  cairo_surface_t *surface = cairo_recording_surface_create (CAIRO_CONTENT_COLOR_ALPHA, NULL);
  cairo_t *cr = cairo_create (surface);
  cairo_surface_destroy (surface);
  return cr;
}

GskRenderNode *
app_canvas_recorded (cairo_t *cr)
{
  cairo_surface_t *surface = cairo_get_target (cr);
  double x, y, width, height;
  cairo_recording_surface_ink_extents (surface, &x, &y, &width, &height);
  GskRenderNode *node = NULL;
  if (width > 0.0 && height > 0.0 && isfinite (x + y + width + height))
  {
    graphene_rect_t bounds = GRAPHENE_RECT_INIT ((float)floor (x) - 1.0f, (float)floor (y) - 1.0f,
                                                 (float)ceil (width) + 3.0f, (float)ceil (height) + 3.0f);
    node = gsk_cairo_node_new (&bounds);
    cairo_t *to = gsk_cairo_node_get_draw_context (node);
    cairo_set_source_surface (to, surface, 0.0, 0.0);
    cairo_paint (to);
    cairo_destroy (to);
  }
  cairo_destroy (cr);
  return node;
}

/* ---- ground ---- */

/* The fine and the bold step in mm for a zoom, coarser and finer neighbours so that one fades into the other.
 */
typedef struct GridLevel
{
  double below_percent, fine_mm, bold_mm;
} GridLevel;

static const GridLevel levels_mm[]
  = { { 12.0, 50.0, 200.0 }, { 60.0, 10.0, 50.0 }, { 200.0, 5.0, 10.0 }, { INFINITY, 1.0, 10.0 } };
static const GridLevel levels_inch[]
  = { { 12.0, 50.8, 304.8 }, { 60.0, 12.7, 50.8 }, { 200.0, 3.175, 12.7 }, { INFINITY, 1.5875, 25.4 } };

static const GridLevel *
grid_level (AppCanvas *self)
{
  const GridLevel *level = self->unit == MODEL_UNIT_INCH ? levels_inch : levels_mm;
  while (app_canvas_percent (self) >= level->below_percent)
    level++;
  return level;
}

/* The view's offset is whole px, so that lines fall on the same px whichever way the paper was moved. */
static void
grid_lines (AppCanvas *self, cairo_t *cr, OutputTone tone, double step_mm, const graphene_rect_t *seen)
{
  const double cell = step_mm * self->scale, x0 = seen->origin.x, y0 = seen->origin.y,
               width = seen->size.width, height = seen->size.height;
  double alpha = CLAMP ((cell - FADE_FROM_PX) / (FADE_TO_PX - FADE_FROM_PX), 0.0, 1.0);
  if (alpha <= 0.0)
    return;
  const OutputColour *c = &app_canvas_ink (self)->tone[tone];
  cairo_set_source_rgba (cr, c->red, c->green, c->blue, c->alpha * alpha);
  for (double k = ceil (x0 / cell); k * cell < x0 + width; k += 1.0)
    cairo_rectangle (cr, floor (k * cell), y0, 1.0, height);
  for (double k = ceil (y0 / cell); k * cell < y0 + height; k += 1.0)
    cairo_rectangle (cr, x0, floor (k * cell), width, 1.0);
  cairo_fill (cr);
}

void
app_canvas_draw_ground (AppCanvas *self, cairo_t *cr, const graphene_rect_t *seen)
{
  output_set_tone (cr, app_canvas_ink (self), OUTPUT_TONE_CANVAS);
  cairo_rectangle (cr, seen->origin.x, seen->origin.y, seen->size.width, seen->size.height);
  cairo_fill (cr);
  if (!self->grid)
    return;
  const GridLevel *level = grid_level (self);
  cairo_save (cr);
  cairo_set_antialias (cr, CAIRO_ANTIALIAS_NONE);
  grid_lines (self, cr, OUTPUT_TONE_GRID, level->fine_mm, seen);
  grid_lines (self, cr, OUTPUT_TONE_GRID_BOLD, level->bold_mm, seen);
  cairo_restore (cr);
}

static void
paint_ground (AppCanvas *self, GtkSnapshot *snapshot, const graphene_rect_t *seen)
{
  const double key[]
    = { self->scale,        seen->origin.x,    seen->origin.y,
        seen->size.width,   seen->size.height, self->unit * 4 + (self->slate ? 2 : 0) + (self->grid ? 1 : 0),
        app_theme_serial () };
  G_STATIC_ASSERT (sizeof key == sizeof self->ground_key);
  if (self->ground_node == NULL || memcmp (key, self->ground_key, sizeof key) != 0)
  {
    memcpy (self->ground_key, key, sizeof key);
    g_clear_pointer (&self->ground_node, gsk_render_node_unref);
    self->ground_node = gsk_cairo_node_new (seen);
    cairo_t *cr = gsk_cairo_node_get_draw_context (self->ground_node);
    app_canvas_draw_ground (self, cr, seen);
    cairo_destroy (cr);
  }
  gtk_snapshot_append_node (snapshot, self->ground_node);
}

double
app_canvas_grid_step (AppCanvas *self)
{
  return grid_level (self)->fine_mm;
}

/* ---- pieces ---- */

/* Two soft layers below the paper panel stand for a blur, which the software renderer would pay for dearly.
 */
static void
draw_shadow (cairo_t *cr, const OutputView *view, const GeomPath *path)
{
  cairo_save (cr);
  cairo_translate (cr, 0.0, 1.5);
  output_trace_path (cr, view, path);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  cairo_set_source_rgba (cr, 0.16, 0.15, 0.13, 0.045);
  cairo_set_line_width (cr, 6.5);
  cairo_stroke_preserve (cr);
  cairo_set_source_rgba (cr, 0.16, 0.15, 0.13, 0.085);
  cairo_set_line_width (cr, 3.5);
  cairo_stroke (cr);
  cairo_restore (cr);
}

static void
device_box (const OutputView *view, GeomBox box, double margin, graphene_rect_t *out)
{
  GeomPoint a = geom_affine_apply (view->to_device, geom_point (box.x0, box.y1));
  GeomPoint b = geom_affine_apply (view->to_device, geom_point (box.x1, box.y0));
  graphene_rect_init (out, (float)floor (a.x - margin), (float)floor (a.y - margin),
                      (float)ceil (b.x - a.x + 2.0 * margin), (float)ceil (b.y - a.y + 2.0 * margin));
}

/* One thing to be shown of one panel: a piece, half of one, or the pale other half. */
typedef struct Shown
{
  const ModelPanel *panel;
  const EnginePiece *piece;
  ModelSide side;
  bool ghost, half;
} Shown;

static GeomBox
shown_box (const Shown *shown)
{
  if (!shown->ghost)
    return shown->piece->box;
  /* A pair's tracing lies in the mirror; a fold's piece is opened already. */
  if (shown->panel->halves == MODEL_HALVES_FOLD)
    return shown->piece->box;
  GeomAffine mirror = model_panel_mirror (shown->panel);
  const GeomBox *b = &shown->piece->box;
  GeomBox box
    = geom_box_with_point (geom_box_empty (), geom_affine_apply (mirror, geom_point (b->x0, b->y0)));
  return geom_box_with_point (box, geom_affine_apply (mirror, geom_point (b->x1, b->y1)));
}

static void
draw_shown (AppCanvas *self, cairo_t *cr, const OutputView *view, const Shown *shown, bool bare)
{
  const OutputInk *ink = app_canvas_ink (self);
  EngineReview *review = app_session_review (self->session);
  if (shown->ghost)
  {
    output_draw_ghost (cr, view, ink, review, shown->panel->id);
    return;
  }
  if (!bare && !self->slate && app_canvas_percent (self) >= 12.0)
  {
    const AppOutline *outline
      = shown->half ? app_pick_index_outline (self->index, shown->panel->id, shown->panel->side) : NULL;
    draw_shadow (cr, view, outline != NULL ? &outline->path : &shown->piece->cut);
  }
  output_draw_piece (cr, view, ink, review, shown->piece, shown->half,
                     OUTPUT_DRAW_ALL & ~OUTPUT_DRAW_EDGE_NAMES & ~(bare ? OUTPUT_DRAW_FACE : 0u));
}

static GskRenderNode *
shown_node (AppCanvas *self, const Shown *shown, const OutputView *view)
{
  gint64 k = kept_key (shown->panel->id, shown->side, shown->ghost);
  KeptPiece *kept = g_hash_table_lookup (self->kept, &k);
  if (kept == NULL)
  {
    kept = g_new0 (KeptPiece, 1);
    kept->dirty = true;
    g_hash_table_insert (self->kept, g_memdup2 (&k, sizeof k), kept);
  }
  const bool bare = app_canvas_photo_under (self, shown_box (shown));
  if (!kept->dirty && kept->scale == self->scale && kept->bare == bare)
    return kept->node;
  g_clear_pointer (&kept->node, gsk_render_node_unref);
  graphene_rect_t bounds;
  device_box (view, shown_box (shown), shown->piece->corrected ? CORRECTED_MARGIN_PX : PIECE_MARGIN_PX,
              &bounds);
  kept->node = gsk_cairo_node_new (&bounds);
  cairo_t *cr = gsk_cairo_node_get_draw_context (kept->node);
  draw_shown (self, cr, view, shown, bare);
  kept->bare = bare;
  cairo_destroy (cr);
  kept->dirty = false;
  kept->scale = self->scale;
  self->nodes_built++;
  return kept->node;
}

static void
append_shown (AppCanvas *self,
              GtkSnapshot *snapshot,
              const Shown *shown,
              const OutputView *view,
              const graphene_rect_t *seen)
{
  if (shown->piece == NULL)
    return;
  graphene_rect_t box;
  device_box (view, shown_box (shown), CORRECTED_MARGIN_PX, &box);
  if (!graphene_rect_intersection (&box, seen, NULL))
    return;
  GskRenderNode *node = shown_node (self, shown, view);
  if (node != NULL)
    gtk_snapshot_append_node (snapshot, node);
}

/* Ghosts first: a tracing never lies over a real panel. */
void
app_canvas_paint_pieces (AppCanvas *self, GtkSnapshot *snapshot, graphene_rect_t seen)
{
  const ModelDocument *doc = app_canvas_document (self);
  EngineReview *review = app_session_review (self->session);
  OutputView view = app_canvas_shifted_view (self);
  for (int pass = 0; pass < 2; pass++)
    for (guint i = 0; i < doc->panels->len; i++)
    {
      const ModelPanel *panel = (const ModelPanel *)g_ptr_array_index (doc->panels, i);
      if (panel->hidden)
        continue;
      bool opened = app_canvas_is_opened (panel), fold = panel->halves == MODEL_HALVES_FOLD;
      /* The twin of a pair is wanted when the maker has hold of it; else it only fills the paper. */
      bool ghost = !opened
                   && (fold
                       || (panel->halves == MODEL_HALVES_PAIR
                           && app_selection_has_panel (app_session_selection (self->session), panel->id)));
      ModelSide side = panel->halves == MODEL_HALVES_PAIR ? panel->side : MODEL_SIDE_CENTRE;
      const EnginePiece *piece = engine_review_piece (review, panel->id, side);
      if (pass == 0 && ghost)
        append_shown (self, snapshot, &(Shown) { panel, piece, side, true, false }, &view, &seen);
      if (pass == 0)
        continue;
      append_shown (self, snapshot, &(Shown) { panel, piece, side, false, fold && !opened }, &view, &seen);
      if (opened && panel->halves == MODEL_HALVES_PAIR)
      {
        ModelSide other = model_side_other (panel->side);
        append_shown (self, snapshot,
                      &(Shown) { panel, engine_review_piece (review, panel->id, other), other, false, false },
                      &view, &seen);
      }
    }
  app_canvas_names_paint (self, snapshot);
}

/* ---- over the pieces ---- */

static void
append_recorded (GtkSnapshot *snapshot, cairo_t *cr)
{
  GskRenderNode *node = app_canvas_recorded (cr);
  if (node == NULL)
    return;
  gtk_snapshot_append_node (snapshot, node);
  gsk_render_node_unref (node);
}

static void
paint_focus (AppCanvas *self, GtkSnapshot *snapshot)
{
  guint panel_id = app_canvas_focused_panel (self);
  GtkRoot *root = gtk_widget_get_root (GTK_WIDGET (self));
  if (panel_id == 0 || (GTK_IS_WINDOW (root) && !gtk_window_get_focus_visible (GTK_WINDOW (root))))
    return;
  const AppOutline *outline = app_pick_index_outline (self->index, panel_id, MODEL_SIDE_CENTRE);
  if (outline == NULL)
    return;
  OutputView view = app_canvas_widget_view (self);
  graphene_rect_t box;
  device_box (&view, outline->box, 4.0, &box);
  cairo_t *cr = app_canvas_record ();
  app_canvas_rounded (cr, box.origin.x, box.origin.y, box.size.width, box.size.height, 4.0);
  output_set_tone (cr, app_canvas_ink (self), OUTPUT_TONE_INK);
  cairo_set_line_width (cr, 2.0);
  cairo_stroke (cr);
  append_recorded (snapshot, cr);
}

/* Nothing drawn yet: a dashed panel to be, and how to begin. */
static void
paint_empty (AppCanvas *self, GtkSnapshot *snapshot, int width, int height)
{
  const OutputInk *ink = app_canvas_ink (self);
  cairo_t *cr = app_canvas_record ();
  double x = width / 2.0, y = height / 2.0 - 60.0;
  cairo_move_to (cr, x - 34, y - 46);
  cairo_curve_to (cr, x - 12, y - 34, x + 12, y - 34, x + 34, y - 46);
  cairo_curve_to (cr, x + 26, y - 10, x + 34, y + 14, x + 40, y + 40);
  cairo_line_to (cr, x - 40, y + 40);
  cairo_curve_to (cr, x - 34, y + 14, x - 26, y - 10, x - 34, y - 46);
  output_set_tone (cr, ink, OUTPUT_TONE_TRACE);
  cairo_set_line_width (cr, 1.5);
  const double dash[2] = { 5, 4 };
  cairo_set_dash (cr, dash, 2, 0);
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0);
  output_draw_text (cr, ink, x, y + 76.0, 0.0, 15.0, true, OUTPUT_TONE_INK, OUTPUT_TONE_CANVAS,
                    _ ("Nothing is drawn yet"));
  output_draw_text (cr, ink, x, y + 102.0, 0.0, 13.0, false, OUTPUT_TONE_INK_2, OUTPUT_TONE_CANVAS,
                    _ ("Take Outline and set the corners of a panel, one after the other,"));
  output_draw_text (cr, ink, x, y + 122.0, 0.0, 13.0, false, OUTPUT_TONE_INK_2, OUTPUT_TONE_CANVAS,
                    _ ("or take Stroke and draw round it in one go."));
  append_recorded (snapshot, cr);
}

static void
paint_lit (AppCanvas *self, GtkSnapshot *snapshot)
{
  if (self->lit_dirty || self->lit_scale != self->scale)
  {
    g_ptr_array_set_size (self->lit, 0);
    g_array_set_size (self->flags, 0);
    app_canvas_lit_build (self);
    self->lit_dirty = false;
    self->lit_scale = self->scale;
  }
  for (guint i = 0; i < self->lit->len; i++)
    gtk_snapshot_append_node (snapshot, (GskRenderNode *)g_ptr_array_index (self->lit, i));
}

/* Dashed, as the ring round a widget that is spoken of: the plain ring is the keyboard's. */
static void
paint_beckon (AppCanvas *self, GtkSnapshot *snapshot)
{
  static const double dashes[] = { 5.0, 4.0 };
  double x, y;
  app_canvas_to_widget (self, self->beckon, &x, &y);
  cairo_t *cr = app_canvas_record ();
  cairo_arc (cr, x, y, BECKON_PX, 0.0, 2.0 * G_PI);
  output_set_tone (cr, &self->ink, OUTPUT_TONE_BLUE);
  cairo_set_line_width (cr, 2.5);
  cairo_set_dash (cr, dashes, G_N_ELEMENTS (dashes), 0.0);
  cairo_stroke (cr);
  append_recorded (snapshot, cr);
}

void
app_canvas_paint (AppCanvas *self, GtkSnapshot *snapshot)
{
  int width = gtk_widget_get_width (GTK_WIDGET (self)), height = gtk_widget_get_height (GTK_WIDGET (self));
  if (width <= 0 || height <= 0)
    return;
  const ModelDocument *doc = app_canvas_document (self);
  const graphene_rect_t seen = GRAPHENE_RECT_INIT ((float)-self->ox, (float)-self->oy, width, height);
  gtk_snapshot_push_clip (snapshot, &GRAPHENE_RECT_INIT (0, 0, width, height));
  gtk_snapshot_save (snapshot);
  gtk_snapshot_translate (snapshot, &GRAPHENE_POINT_INIT ((float)self->ox, (float)self->oy));
  if (self->lit_dirty)
    app_canvas_names_touch (self);
  if (!app_canvas_still_paint (self, snapshot, &seen))
  {
    paint_ground (self, snapshot, &seen);
    if (doc != NULL)
    {
      app_canvas_paint_photos (self, snapshot, seen);
      app_canvas_paint_pieces (self, snapshot, seen);
    }
  }
  if (doc != NULL)
  {
    app_canvas_beneath_paint (self, snapshot);
    paint_lit (self, snapshot);
  }
  gtk_snapshot_restore (snapshot);
  if (doc != NULL)
  {
    app_canvas_paint_lines (self, snapshot, true, width, height);
    app_canvas_paint_lines (self, snapshot, false, width, height);
    app_canvas_paint_tapes (self, snapshot);
    const AppSelection *s = app_session_selection (self->session);
    if (s->photo_id != 0)
      app_canvas_paint_photo_chosen (self, snapshot);
    if (s->has_finding && s->finding.has_at)
    {
      cairo_t *cr = app_canvas_record ();
      app_canvas_draw_glass (self, cr);
      append_recorded (snapshot, cr);
    }
    paint_focus (self, snapshot);
  }
  if ((doc == NULL || (doc->panels->len == 0 && doc->photos->len == 0)) && self->kind != APP_TOOL_OUTLINE
      && self->kind != APP_TOOL_STROKE)
    paint_empty (self, snapshot, width, height);
  if (self->beckons)
    paint_beckon (self, snapshot);
  if (self->tool != NULL && self->tool->klass->draw != NULL)
  {
    cairo_t *cr = app_canvas_record ();
    app_relief_draw (self, cr);
    self->tool->klass->draw (self->tool, cr);
    app_eraser_draw (self, cr);
    app_canvas_draw_doming_amount (self, cr);
    append_recorded (snapshot, cr);
  }
  gtk_snapshot_pop (snapshot);
}

GHashTable *
app_canvas_kept_new (void)
{
  return g_hash_table_new_full (g_int64_hash, g_int64_equal, g_free, kept_free);
}
