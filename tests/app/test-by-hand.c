/* Drawn by hand: a bracer's outline with a trembling hand, and part of an armhole drawn again.
 *
 * The bracer is a cone cut open, two arcs about one centre and two straight sides, so the distance of any
 * point from the true outline is known in closed form.  The hand shakes by a smooth wander of a few tenths of
 * a millimetre, as a pen on paper does; its samples come 125 times a second at 100 mm a second.
 */
#include "bench.h"

#include "model/shape.h"
#include "support/sample-document.h"

#include <math.h>

#define WIDE_MM 260.0
#define NARROW_MM 150.0
#define HALF_RAD 0.5
#define STEP_MM 0.8
#define NEAR_MM 1.0

static void
set_up (Bench *bench, gconstpointer data)
{
  lay_out (bench, test_sample_document ());
}

/* ---- the hand ---- */

typedef struct Hand
{
  GRand *chance;
  GeomPoint off, speed;
  double shake_mm;
} Hand;

/* A spring that is kicked: wanders about, never far. */
static GeomPoint
shaken (Hand *self, GeomPoint at)
{
  const double kick = self->shake_mm * 0.25;
  self->speed.x
    += g_rand_double_range (self->chance, -kick, kick) - 0.08 * self->off.x - 0.25 * self->speed.x;
  self->speed.y
    += g_rand_double_range (self->chance, -kick, kick) - 0.08 * self->off.y - 0.25 * self->speed.y;
  self->off = geom_add (self->off, self->speed);
  return geom_add (at, self->off);
}

static void
go (Bench *bench, Hand *self, GeomPoint at)
{
  const GeomPoint p = shaken (self, at);
  feed (bench, APP_PHASE_MOTION, p.x, p.y, 0);
}

static void
go_straight (Bench *bench, Hand *self, GeomPoint from, GeomPoint to)
{
  const int steps = (int)ceil (geom_distance (from, to) / STEP_MM);
  for (int i = 1; i <= steps; i++)
    go (bench, self, geom_mix (from, to, (double)i / steps));
}

static GeomPoint
on_cone (GeomPoint centre, double radius, double rad)
{
  return geom_point (centre.x + radius * sin (rad), centre.y + radius * cos (rad));
}

static void
go_round (Bench *bench, Hand *self, GeomPoint centre, double radius, double from, double to)
{
  const int steps = (int)ceil (fabs (to - from) * radius / STEP_MM);
  for (int i = 1; i <= steps; i++)
    go (bench, self, on_cone (centre, radius, from + (to - from) * i / steps));
}

/* ---- the truth ---- */

static double
from_cone (GeomPoint centre, GeomPoint p)
{
  const GeomPoint v = geom_sub (p, centre);
  const double radius = geom_norm (v), rad = atan2 (v.x, v.y);
  double best = INFINITY;
  const double radii[2] = { WIDE_MM, NARROW_MM };
  for (int i = 0; i < 2; i++)
  {
    const double near = CLAMP (rad, -HALF_RAD, HALF_RAD);
    best = MIN (best, geom_distance (p, on_cone (centre, radii[i], near)));
    const double side = i == 0 ? HALF_RAD : -HALF_RAD;
    const double along = CLAMP (radius * cos (rad - side), NARROW_MM, WIDE_MM);
    best = MIN (best, geom_distance (p, on_cone (centre, along, side)));
  }
  return best;
}

static const ModelPanel *
newest (Bench *bench)
{
  return g_ptr_array_index (bench->doc->panels, bench->doc->panels->len - 1);
}

static void
test_bracer (Bench *bench, gconstpointer data)
{
  static const double shakes[] = { 0.0, 0.2, 0.3 };
  const GeomPoint centre = { 300.0, -520.0 };
  for (guint s = 0; s < G_N_ELEMENTS (shakes); s++)
    for (guint32 seed = 1; seed <= 3; seed++)
    {
      const guint panels = bench->doc->panels->len;
      Hand self = { .chance = g_rand_new_with_seed (seed), .shake_mm = shakes[s] };
      const GeomPoint corner[4]
        = { on_cone (centre, WIDE_MM, HALF_RAD), on_cone (centre, WIDE_MM, -HALF_RAD),
            on_cone (centre, NARROW_MM, -HALF_RAD), on_cone (centre, NARROW_MM, HALF_RAD) };
      app_canvas_set_tool (bench->canvas, APP_TOOL_STROKE);
      feed (bench, APP_PHASE_PRESS, corner[0].x, corner[0].y, 0);
      go_round (bench, &self, centre, WIDE_MM, HALF_RAD, -HALF_RAD);
      go_straight (bench, &self, corner[1], corner[2]);
      go_round (bench, &self, centre, NARROW_MM, -HALF_RAD, HALF_RAD);
      go_straight (bench, &self, corner[3], corner[0]);
      feed (bench, APP_PHASE_RELEASE, corner[0].x, corner[0].y, 0);
      g_rand_free (self.chance);
      g_assert_cmpuint (bench->doc->panels->len, ==, panels + 1);
      GeomPath path;
      geom_path_init (&path);
      model_panel_path (newest (bench), &path, NULL);
      const double length = geom_path_length (&path, 1e-4);
      double worst = 0.0;
      for (double along = 0.0; along < length; along += 0.5)
        worst
          = MAX (worst, from_cone (centre, geom_path_point (&path, geom_path_place_at (&path, along, 1e-3))));
      /* And the other way: no corner of the truth is cut off. */
      for (int i = 0; i < 4; i++)
        worst = MAX (worst, geom_path_nearest (&path, corner[i]).distance_mm);
      const guint nodes = model_panel_node_count (newest (bench));
      g_test_message ("scale %.2f shake %.1f mm: %.2f mm off at most, %u edges, %u nodes",
                      bench->canvas->scale, shakes[s], worst, newest (bench)->edges->len, nodes);
      g_assert_cmpfloat (worst, <=, NEAR_MM);
      g_assert_cmpuint (newest (bench)->edges->len, ==, 4);
      g_assert_cmpuint (nodes, <=, 14);
      geom_path_clear (&path);
      model_history_undo (bench->history);
    }
}

/* The middle third of the front's armhole, 4 mm further in: what was not drawn over stays to the last bit,
 * and at both ends the new part runs on as the old one did. */
static void
test_armhole (Bench *bench, gconstpointer data)
{
  const guint front = test_sample_panel (bench->doc, "Front")->id;
  g_autoptr (ModelPanel) was = model_panel_copy (model_document_panel (bench->doc, front));
  const guint hole = test_sample_edge (bench->doc, "Front", "armhole")->id;
  const GeomCubic curve = { { { 150, 300 }, { 115, 320 }, { 110, 400 }, { 120, 460 } } };
  Hand self = { .chance = g_rand_new_with_seed (5), .shake_mm = 0.2 };
  app_canvas_set_tool (bench->canvas, APP_TOOL_STROKE);
  GeomPoint at = geom_cubic_at (&curve, 0.3);
  feed (bench, APP_PHASE_PRESS, at.x, at.y, 0);
  for (int i = 1; i <= 120; i++)
  {
    const double u = i / 120.0, t = 0.3 + 0.4 * u;
    const GeomPoint inward = geom_left_of (geom_unit (geom_cubic_tangent (&curve, t)));
    go (bench, &self, geom_along (geom_cubic_at (&curve, t), 4.0 * sin (G_PI * u) * sin (G_PI * u), inward));
  }
  at = geom_cubic_at (&curve, 0.7);
  feed (bench, APP_PHASE_RELEASE, at.x, at.y, 0);
  g_rand_free (self.chance);
  const ModelPanel *now = model_document_panel (bench->doc, front);
  g_assert_cmpstr (model_history_undo_label (bench->history), ==, "Redraw outline");
  g_assert_cmpuint (now->edges->len, ==, was->edges->len);
  for (guint e = 0; e < now->edges->len; e++)
  {
    const ModelEdge *a = model_panel_edge (was, e), *b = model_panel_edge (now, e);
    g_assert_cmpuint (a->id, ==, b->id);
    /* All corners, and all of the other edges. */
    for (guint n = 0; n < (a->id == hole ? 1 : a->nodes->len); n++)
    {
      g_assert_cmpuint (model_edge_node (a, n)->id, ==, model_edge_node (b, n)->id);
      g_assert_cmpfloat (geom_distance (model_edge_node (a, n)->at, model_edge_node (b, n)->at), <=, 0.0);
    }
  }
  const ModelEdge *edge = model_panel_edge (now, (guint)model_panel_find_edge (now, hole));
  g_assert_cmpuint (edge->nodes->len, >=, 2);
  g_assert_cmpuint (edge->nodes->len, <=, 7);
  /* No bend at any node of the edge: less than a degree. */
  for (guint n = 1; n < edge->nodes->len; n++)
  {
    const ModelNode *node = model_edge_node (edge, n);
    const GeomPoint in = geom_unit (geom_sub (node->at, node->in)),
                    out = geom_unit (geom_sub (node->out, node->at));
    g_assert_cmpfloat (fabs (atan2 (geom_cross (in, out), geom_dot (in, out))), <=, G_PI / 180.0);
  }
  /* As drawn, in the middle of it. */
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (now, &path, NULL);
  const GeomPoint middle = geom_cubic_at (&curve, 0.5);
  const GeomPoint wanted
    = geom_along (middle, 4.0, geom_left_of (geom_unit (geom_cubic_tangent (&curve, 0.5))));
  g_assert_cmpfloat (geom_path_nearest (&path, wanted).distance_mm, <=, NEAR_MM);
  geom_path_clear (&path);
}

int
main (int argc, char **argv)
{
  gtk_test_init (&argc, &argv, NULL);
  g_test_set_nonfatal_assertions ();
  g_test_add ("/app/by-hand/bracer", Bench, NULL, set_up, test_bracer, tear_down);
  g_test_add ("/app/by-hand/armhole", Bench, NULL, set_up, test_armhole, tear_down);
  return g_test_run ();
}
