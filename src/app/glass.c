/* The first edge lies as it does on the paper.  The second panel is laid against it, so that both have run
 * the same length from their common start where the shorter one ends: what hangs over is the difference, at
 * scale.
 *
 *            a | b
 *        ______|
 *              | ] difference
 *              |______
 */
#include "app/glass.h"

#include "app/label.h"
#include "app/theme.h"
#include "engine/check.h"
#include "engine/tolerance.h"
#include "engine/words.h"
#include "output/draw.h"

#include <math.h>

#define GLASS_PX 188
#define RING_PX 5.0
/* The difference is drawn about this large, within the limits of scale. */
#define WANTED_PX 34.0
#define LEAST_SCALE 1.5 /* px per mm */
#define MOST_SCALE 14.0
#define PX_PER_MM_TRUE (96.0 / 25.4)

struct _AppGlass
{
  GtkWidget parent;
  AppSession *session;
};

G_DEFINE_FINAL_TYPE (AppGlass, app_glass, GTK_TYPE_WIDGET)

/* Two runs laid together. */
typedef struct Meeting
{
  const ModelJoin *join;
  ModelSide side_a, side_b;
  GeomPath a, b;
  GeomPoint at, along; /* where the shorter one ends; direction of both runs there */
  GeomAffine b_to_a;
  double over_mm; /* what hangs over, along ALONG */
  bool b_hangs;
} Meeting;

static void
meeting_clear (Meeting *m)
{
  geom_path_clear (&m->a);
  geom_path_clear (&m->b);
}

static bool
meeting_find (AppGlass *self, Meeting *m)
{
  const EngineFinding *f = &app_session_selection (self->session)->finding;
  EngineReview *review = app_session_review (self->session);
  *m = (Meeting) { 0 };
  if (f->check != &engine_check_join_length)
    return false;
  m->join = model_document_join (app_session_document (self->session), f->join_id);
  EngineJoinReading readings[2];
  int count = m->join != NULL ? engine_review_join_readings (review, f->join_id, readings) : 0;
  if (count == 0)
    return false;
  const EngineJoinReading *r
    = count == 2 && f->has_side && readings[1].side == f->side ? &readings[1] : &readings[0];
  m->side_a = r->side_a;
  m->side_b = r->side_b;
  geom_path_init (&m->a);
  geom_path_init (&m->b);
  if (!engine_review_run_path (review, &m->join->a, r->side_a, &m->a)
      || !engine_review_run_path (review, &m->join->b, r->side_b, &m->b) || m->a.count == 0
      || m->b.count == 0)
    return false;

  double ease = m->join->ease_mm;
  double common = fmin (r->length_a_mm, r->length_b_mm - ease);
  m->over_mm = fabs (r->difference_mm);
  m->b_hangs = r->difference_mm > 0;
  GeomPlace pa = geom_path_place_at (&m->a, common, ENGINE_TOL_CROSSING_MM);
  GeomPlace pb = geom_path_place_at (&m->b, common + ease, ENGINE_TOL_CROSSING_MM);
  GeomPoint ta = geom_path_tangent (&m->a, pa), tb = geom_path_tangent (&m->b, pb);
  m->at = geom_path_point (&m->a, pa);
  m->along = ta;
  GeomPoint from = geom_path_point (&m->b, pb);
  double turn = atan2 (ta.y, ta.x) - atan2 (tb.y, tb.x);
  m->b_to_a = geom_affine_after (geom_affine_move (m->at.x - from.x, m->at.y - from.y),
                                 geom_affine_turn (from, turn));
  return isfinite (m->over_mm) && isfinite (turn);
}

static OutputView
view_on (GeomPoint centre, double scale)
{
  double middle = GLASS_PX / 2.0;
  return (OutputView) { .to_device
                        = { scale, 0, 0, -scale, middle - scale * centre.x, middle + scale * centre.y },
                        .scale = scale };
}

static void
draw_piece (cairo_t *cr, const OutputView *view, const OutputInk *ink, const EnginePiece *piece)
{
  if (piece == NULL)
    return;
  cairo_new_path (cr);
  output_trace_path (cr, view, &piece->seam);
  output_set_tone (cr, ink, OUTPUT_TONE_FACE);
  cairo_fill_preserve (cr);
  output_set_tone (cr, ink, OUTPUT_TONE_INK);
  output_set_stroke (cr, &ink->cut);
  cairo_stroke (cr);
}

/* The panel as the previewed remedy would have it; NULL when the remedy leaves it alone. */
static const ModelPanel *
previewed_panel (AppGlass *self, guint panel_id)
{
  const EngineRemedy *remedy = app_session_previewed (self->session);
  for (guint i = 0; remedy != NULL && i < remedy->parts->len; i++)
  {
    const ModelPart *part = &g_array_index (remedy->parts, ModelPart, i);
    if (part->kind == MODEL_PART_PANEL && ((ModelPanel *)part->body)->id == panel_id)
      return part->body;
  }
  return NULL;
}

static void
draw_preview (
  AppGlass *self, cairo_t *cr, const OutputView *view, const OutputInk *ink, guint panel_id, ModelSide side)
{
  const ModelPanel *panel = previewed_panel (self, panel_id);
  if (panel == NULL)
    return;
  ModelSide sides[2];
  int count = engine_panel_sides (panel, sides);
  if (count == 0)
    return;
  ModelSide held = count == 2 && sides[1] == side ? sides[1] : sides[0];
  g_autoptr (EnginePiece) piece = engine_piece_new (app_session_document (self->session), panel, held);
  if (piece != NULL)
    output_draw_preview (cr, view, ink, &piece->seam);
}

/* Two dotted lines square to the run and the number between them. */
static void
draw_difference (AppGlass *self, cairo_t *cr, const OutputView *view, const OutputInk *ink, const Meeting *m)
{
  GeomPoint end = geom_along (m->at, m->over_mm, m->along);
  GeomPoint aside = m->b_hangs ? geom_left_of (m->along) : geom_right_of (m->along);
  double reach = 46.0 / view->scale;
  output_set_tone (cr, ink, OUTPUT_TONE_INK);
  cairo_set_line_width (cr, 1.0);
  const double dots[] = { 1.5, 3.0 };
  GeomPoint const ends[] = { m->at, end };
  GeomPoint tips[2];
  cairo_set_dash (cr, dots, 2, 0);
  for (int i = 0; i < 2; i++)
  {
    tips[i] = geom_affine_apply (view->to_device, geom_along (ends[i], reach, aside));
    GeomPoint p = geom_affine_apply (view->to_device, ends[i]);
    cairo_move_to (cr, p.x, p.y);
    cairo_line_to (cr, tips[i].x, tips[i].y);
  }
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0);
  cairo_set_line_width (cr, 1.5);
  cairo_move_to (cr, tips[0].x, tips[0].y);
  cairo_line_to (cr, tips[1].x, tips[1].y);
  cairo_stroke (cr);
  g_autofree char *number
    = model_unit_figure (m->over_mm, app_session_document (self->session)->head->unit, 1);
  GeomPoint text = geom_affine_apply (
    view->to_device, geom_along (geom_mix (m->at, end, 0.5), reach + 18.0 / view->scale, aside));
  output_draw_text (cr, ink, text.x, text.y, 0, 13, true, OUTPUT_TONE_INK, -1, number);
}

static void
draw_name (
  AppGlass *self, cairo_t *cr, const OutputView *view, const OutputInk *ink, GeomPoint at, guint panel_id)
{
  const ModelPanel *panel = model_document_panel (app_session_document (self->session), panel_id);
  if (panel == NULL)
    return;
  GeomPoint p = geom_affine_apply (view->to_device, at);
  output_draw_text (cr, ink, p.x, p.y, 0, 11, false, OUTPUT_TONE_INK_2, -1, panel->name);
}

static void
draw_meeting (AppGlass *self, cairo_t *cr, const Meeting *m)
{
  EngineReview *review = app_session_review (self->session);
  double scale = CLAMP (WANTED_PX / fmax (m->over_mm, 0.1), LEAST_SCALE, MOST_SCALE);
  OutputInk ink;
  output_ink_screen (&ink, 100.0, app_theme_is_slate (), app_theme_tones ());
  OutputView view = view_on (geom_along (m->at, m->over_mm / 2, m->along), scale);
  OutputView view_b = view;
  view_b.to_device = geom_affine_after (view.to_device, m->b_to_a);
  draw_piece (cr, &view, &ink, engine_review_piece (review, m->join->a.panel_id, m->side_a));
  draw_piece (cr, &view_b, &ink, engine_review_piece (review, m->join->b.panel_id, m->side_b));
  output_draw_lit (cr, &view, &ink, &m->a, false);
  output_draw_lit (cr, &view_b, &ink, &m->b, true);
  draw_preview (self, cr, &view, &ink, m->join->a.panel_id, m->side_a);
  draw_preview (self, cr, &view_b, &ink, m->join->b.panel_id, m->side_b);
  draw_difference (self, cr, &view, &ink, m);
  double back = 52.0 / scale, aside = 44.0 / scale;
  GeomPoint before = geom_along (m->at, -back, m->along);
  /* A's leather lies to the left of a run that goes with its outline. */
  GeomPoint left = geom_left_of (m->along);
  double sign = m->join->a.reversed ? -1.0 : 1.0;
  draw_name (self, cr, &view, &ink, geom_along (before, sign * aside, left), m->join->a.panel_id);
  draw_name (self, cr, &view, &ink, geom_along (before, -sign * aside, left), m->join->b.panel_id);
}

static void
draw_place (AppGlass *self, cairo_t *cr, const EngineFinding *f)
{
  EngineReview *review = app_session_review (self->session);
  const GPtrArray *pieces = engine_review_pieces (review);
  double scale = 2.0 * PX_PER_MM_TRUE;
  if (isfinite (f->difference) && f->difference != 0.0 && g_strcmp0 (f->unit, "mm") == 0)
    scale = CLAMP (WANTED_PX / fabs (f->difference), LEAST_SCALE, MOST_SCALE);
  OutputInk ink;
  output_ink_screen (&ink, 200.0, app_theme_is_slate (), app_theme_tones ());
  OutputView view = view_on (f->at, scale);
  double reach = GLASS_PX / 2.0 / scale;
  for (guint i = 0; i < pieces->len; i++)
  {
    const EnginePiece *piece = g_ptr_array_index (pieces, i);
    if (geom_box_distance (piece->box, f->at) < reach * 1.5)
      output_draw_piece (cr, &view, &ink, review, piece, false,
                         OUTPUT_DRAW_FACE | OUTPUT_DRAW_ALLOWANCES | OUTPUT_DRAW_SEAM | OUTPUT_DRAW_CUT
                           | OUTPUT_DRAW_MARKS);
  }
  output_set_tone (cr, &ink, OUTPUT_TONE_MADDER);
  cairo_set_line_width (cr, 2.0);
  cairo_new_sub_path (cr);
  cairo_arc (cr, GLASS_PX / 2.0, GLASS_PX / 2.0, 14, 0, 2 * G_PI);
  cairo_stroke (cr);
}

static void
app_glass_snapshot (GtkWidget *widget, GtkSnapshot *snapshot)
{
  AppGlass *self = APP_GLASS (widget);
  if (self->session == NULL || !app_session_selection (self->session)->has_finding)
    return;
  OutputInk ink;
  output_ink_screen (&ink, 100.0, app_theme_is_slate (), app_theme_tones ());
  cairo_t *cr = gtk_snapshot_append_cairo (snapshot, &GRAPHENE_RECT_INIT (0, 0, GLASS_PX, GLASS_PX));
  double middle = GLASS_PX / 2.0;
  cairo_save (cr);
  cairo_arc (cr, middle, middle, middle - RING_PX / 2 - 1, 0, 2 * G_PI);
  cairo_clip_preserve (cr);
  output_set_tone (cr, &ink, OUTPUT_TONE_GRID);
  cairo_fill (cr);
  Meeting m;
  if (meeting_find (self, &m))
    draw_meeting (self, cr, &m);
  else
    draw_place (self, cr, &app_session_selection (self->session)->finding);
  meeting_clear (&m);
  cairo_restore (cr);

  cairo_arc (cr, middle, middle, middle - RING_PX / 2 - 1, 0, 2 * G_PI);
  output_set_tone (cr, &ink, OUTPUT_TONE_INK_2);
  cairo_set_line_width (cr, RING_PX);
  cairo_stroke_preserve (cr);
  output_set_tone (cr, &ink, OUTPUT_TONE_STEEL);
  cairo_set_line_width (cr, RING_PX - 2);
  cairo_stroke (cr);
  cairo_destroy (cr);
}

static void
app_glass_measure (GtkWidget *widget,
                   GtkOrientation orientation,
                   int for_size,
                   int *minimum,
                   int *natural,
                   int *minimum_baseline,
                   int *natural_baseline)
{
  AppGlass *self = APP_GLASS (widget);
  const AppSelection *s = self->session != NULL ? app_session_selection (self->session) : NULL;
  bool shown
    = s != NULL && s->has_finding && (s->finding.has_at || s->finding.check == &engine_check_join_length);
  *minimum = *natural = shown ? GLASS_PX : 0;
}

void
app_glass_show (AppGlass *self, AppSession *session)
{
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_set_object (&self->session, session);
  if (session != NULL)
    g_signal_connect_swapped (session, "preview-changed", G_CALLBACK (gtk_widget_queue_draw), self);
  gtk_widget_queue_resize (GTK_WIDGET (self));
}

static void
app_glass_dispose (GObject *object)
{
  AppGlass *self = APP_GLASS (object);
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_clear_object (&self->session);
  G_OBJECT_CLASS (app_glass_parent_class)->dispose (object);
}

static void
app_glass_class_init (AppGlassClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_glass_dispose;
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  widget_class->snapshot = app_glass_snapshot;
  widget_class->measure = app_glass_measure;
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
}

static void
app_glass_init (AppGlass *self)
{
  gtk_widget_set_can_target (GTK_WIDGET (self), FALSE);
}

GtkWidget *
app_glass_new (void)
{
  return g_object_new (APP_TYPE_GLASS, NULL);
}
