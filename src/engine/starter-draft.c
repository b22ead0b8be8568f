#include "engine/starter-draft.h"

#include "engine/join-edit.h"
#include "engine/tolerance.h"
#include "engine/words.h"

#include <glib/gi18n.h>

#define LONGEST_ARC_RAD (G_PI / 6.0)
/* A turn of the tangent of less than this at a node is rounding: the node is smooth. */
#define SMOOTH_SINE 1e-6

/* ---- the document ---- */

static void
set_text (char **text, const char *to)
{
  g_free (*text);
  *text = g_strdup (to);
}

void
engine_draft_material (EngineDraft *draft, double thickness_mm, double neutral)
{
  ModelMaterial *material = model_material_new ();
  g_free (material->name);
  /* Its thickness is said beside it wherever a material is named (engine/words.h). */
  material->name = g_strdup (_ ("leather"));
  material->kind = MODEL_MATERIAL_LEATHER;
  material->thickness_mm = thickness_mm;
  material->neutral = neutral;
  material->id = draft->material_id = model_document_take_id (draft->doc);
  model_document_put (draft->doc, (ModelPart) { MODEL_PART_MATERIAL, material }, -1);
}

void
engine_draft_head (EngineDraft *draft, const char *title, const char *note)
{
  set_text (&draft->doc->head->title, title);
  set_text (&draft->doc->head->note, note);
}

bool
engine_draft_refuse (GError **error, const char *format, ...)
{
  va_list args;
  va_start (args, format);
  g_autofree char *text = g_strdup_vprintf (format, args);
  va_end (args);
  g_set_error_literal (error, ENGINE_STARTER_ERROR, ENGINE_STARTER_ERROR_SHAPE, text);
  return false;
}

char *
engine_draft_length (double mm)
{
  return model_unit_text (mm, MODEL_UNIT_MM, 1);
}

double
engine_draft_more (double under_mm, double thickness_mm, double neutral)
{
  return 2.0 * G_PI * (under_mm + neutral * thickness_mm);
}

/* ---- an outline ---- */

void
engine_pen_begin (EnginePen *pen, EngineDraft *draft, const char *name, GeomPoint at)
{
  *pen = (EnginePen) { .draft = draft,
                       .panel = model_panel_new (),
                       .pieces = g_array_new (FALSE, FALSE, sizeof (GeomCubic)),
                       .starts = g_array_new (FALSE, FALSE, sizeof (guint)),
                       .names = g_ptr_array_new_with_free_func (g_free),
                       .at = at };
  set_text (&pen->panel->name, name);
  pen->panel->material_id = draft->material_id;
}

void
engine_pen_edge (EnginePen *pen, const char *name)
{
  guint start = pen->pieces->len;
  g_array_append_val (pen->starts, start);
  g_ptr_array_add (pen->names, g_strdup (name));
}

void
engine_pen_cubic (EnginePen *pen, const GeomCubic *c)
{
  GeomCubic piece = *c;
  piece.p[0] = pen->at; /* the same to the last bit */
  g_array_append_val (pen->pieces, piece);
  pen->at = piece.p[3];
}

void
engine_pen_line (EnginePen *pen, GeomPoint to)
{
  engine_pen_cubic (pen, &(GeomCubic) { { pen->at, pen->at, to, to } });
}

void
engine_pen_curve (EnginePen *pen, GeomPoint out, GeomPoint in, GeomPoint to)
{
  engine_pen_cubic (pen, &(GeomCubic) { { pen->at, out, in, to } });
}

void
engine_pen_arc (EnginePen *pen, GeomPoint centre, double angle_rad)
{
  int count = (int)fmax (1.0, ceil (fabs (angle_rad) / LONGEST_ARC_RAD));
  GeomPoint spoke = geom_sub (pen->at, centre);
  double from = atan2 (spoke.y, spoke.x), radius = geom_norm (spoke);
  double step = angle_rad / count, k = 4.0 / 3.0 * tan (step / 4.0);
  for (int i = 1; i <= count; i++)
  {
    double angle = from + step * i;
    GeomPoint start = geom_sub (pen->at, centre);
    GeomPoint end = geom_scale (geom_point (cos (angle), sin (angle)), radius), to = geom_add (centre, end);
    engine_pen_curve (pen, geom_along (pen->at, k, geom_left_of (start)),
                      geom_along (to, -k, geom_left_of (end)), to);
  }
}

static bool
is_smooth (GeomPoint in, GeomPoint at, GeomPoint out)
{
  GeomPoint a = geom_sub (at, in), b = geom_sub (out, at);
  double both = geom_norm (a) * geom_norm (b);
  return both > 0.0 && geom_dot (a, b) > 0.0 && fabs (geom_cross (a, b)) <= SMOOTH_SINE * both;
}

ModelPanel *
engine_pen_close (EnginePen *pen)
{
  ModelDocument *doc = pen->draft->doc;
  ModelPanel *panel = pen->panel;
  guint count = pen->pieces->len;
  panel->id = model_document_take_id (doc);
  for (guint e = 0; e < pen->starts->len; e++)
  {
    guint from = g_array_index (pen->starts, guint, e);
    guint to = e + 1 < pen->starts->len ? g_array_index (pen->starts, guint, e + 1) : count;
    ModelEdge *edge = model_edge_new ();
    edge->id = model_document_take_id (doc);
    set_text (&edge->name, g_ptr_array_index (pen->names, e));
    for (guint k = from; k < to; k++)
    {
      const GeomCubic *before = &g_array_index (pen->pieces, GeomCubic, (k + count - 1) % count);
      const GeomCubic *after = &g_array_index (pen->pieces, GeomCubic, k);
      ModelNode node = { .id = model_document_take_id (doc), .at = after->p[0], .out = after->p[1] };
      /* The last piece comes back to the first point but for rounding. */
      node.in = k == 0 ? geom_add (node.at, geom_sub (before->p[2], before->p[3])) : before->p[2];
      node.kind = k > from && is_smooth (node.in, node.at, node.out) ? MODEL_NODE_SMOOTH : MODEL_NODE_CORNER;
      g_array_append_val (edge->nodes, node);
    }
    g_ptr_array_add (panel->edges, edge);
  }
  g_array_unref (pen->pieces);
  g_array_unref (pen->starts);
  g_ptr_array_unref (pen->names);
  model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, panel }, -1);
  return panel;
}

void
engine_draft_pair (ModelPanel *panel, double mirror_x_mm)
{
  panel->halves = MODEL_HALVES_PAIR;
  panel->side = MODEL_SIDE_LEFT;
  panel->mirror_x_mm = mirror_x_mm;
}

void
engine_draft_fold (ModelPanel *panel, guint edge)
{
  panel->halves = MODEL_HALVES_FOLD;
  panel->side = MODEL_SIDE_LEFT;
  model_panel_edge (panel, edge)->fold = true;
}

void
engine_draft_grain (ModelPanel *panel, double grain_deg)
{
  panel->has_grain = true;
  panel->grain_deg = grain_deg;
}

/* ---- joins and lines ---- */

static ModelRun
run_of (const ModelPanel *panel, guint edge)
{
  ModelRun run = { .panel_id = panel->id, .edges = g_array_new (FALSE, FALSE, sizeof (guint)) };
  g_array_append_val (run.edges, model_panel_edge (panel, edge)->id);
  return run;
}

ModelJoin *
engine_draft_join (EngineDraft *draft, ModelJoinKind kind, ModelPanel *pa, guint a, ModelPanel *pb, guint b)
{
  ModelRun run_a = run_of (pa, a), run_b = run_of (pb, b);
  ModelJoin *join = engine_join_new (draft->doc, kind, &run_a, &run_b);
  g_array_unref (run_a.edges);
  g_array_unref (run_b.edges);
  join->id = model_document_take_id (draft->doc);
  model_document_put (draft->doc, (ModelPart) { MODEL_PART_JOIN, join }, -1);
  return join;
}

double
engine_draft_edge_length (const ModelPanel *panel, guint edge)
{
  const ModelEdge *of = model_panel_edge (panel, edge);
  double sum = 0.0;
  for (guint k = 0; k < of->nodes->len; k++)
  {
    const ModelNode *a = model_edge_node (of, k), *b = model_panel_next_node (panel, edge, k);
    GeomCubic piece = { { a->at, a->out, b->in, b->at } };
    sum += geom_cubic_length (&piece, ENGINE_TOL_LENGTH_MM);
  }
  return sum;
}

static guint
mark_run (EngineDraft *draft, const ModelRun *run, double along_mm, int wedges)
{
  ModelPanel *panel = model_document_panel (draft->doc, run->panel_id);
  guint edge_id = g_array_index (run->edges, guint, 0);
  int edge = model_panel_find_edge (panel, edge_id);
  g_return_val_if_fail (edge >= 0, 0);
  double at = run->reversed ? engine_draft_edge_length (panel, (guint)edge) - along_mm : along_mm;
  ModelMark mark
    = { .id = model_document_take_id (draft->doc), .edge_id = edge_id, .at_mm = at, .wedges = wedges };
  g_array_append_val (panel->marks, mark);
  return mark.id;
}

void
engine_draft_match (EngineDraft *draft, ModelJoin *join, double along_mm, int wedges)
{
  ModelMatch match = { .a_mark_id = mark_run (draft, &join->a, along_mm, wedges) };
  /* A seam over the middle meets its own mirror image: one mark serves both sides. */
  bool own_image = join->a.panel_id == join->b.panel_id
                   && g_array_index (join->a.edges, guint, 0) == g_array_index (join->b.edges, guint, 0);
  match.b_mark_id = own_image ? match.a_mark_id : mark_run (draft, &join->b, along_mm, wedges);
  g_array_append_val (join->matches, match);
}

ModelLine *
engine_draft_line (
  EngineDraft *draft, ModelLineKind kind, const char *name, const char *key, double between_mm)
{
  for (guint i = 0; i < draft->doc->measures->len; i++)
  {
    const ModelMeasure *measure = g_ptr_array_index (draft->doc->measures, i);
    if (g_strcmp0 (measure->key, key) != 0)
      continue;
    ModelLine *line = model_line_new ();
    line->id = model_document_take_id (draft->doc);
    set_text (&line->name, name);
    line->kind = kind;
    line->measure_id = measure->id;
    line->between_mm = between_mm;
    model_document_put (draft->doc, (ModelPart) { MODEL_PART_LINE, line }, -1);
    return line;
  }
  return NULL;
}

static guint
add_mark (EngineDraft *draft, ModelPanel *panel, guint edge, double along_mm)
{
  ModelMark mark = { .id = model_document_take_id (draft->doc),
                     .edge_id = model_panel_edge (panel, edge)->id,
                     .at_mm = along_mm };
  g_array_append_val (panel->marks, mark);
  return mark.id;
}

void
engine_draft_span (EngineDraft *draft,
                   ModelLine *line,
                   ModelPanel *panel,
                   guint a,
                   double a_along_mm,
                   guint b,
                   double b_along_mm)
{
  ModelSpan span
    = { panel->id, add_mark (draft, panel, a, a_along_mm), add_mark (draft, panel, b, b_along_mm) };
  g_array_append_val (line->spans, span);
}

/* How far along an edge its height is Y. */
static double
along_at (const ModelPanel *panel, guint edge, double y_mm)
{
  const ModelEdge *of = model_panel_edge (panel, edge);
  double sum = 0.0;
  for (guint k = 0; k < of->nodes->len; k++)
  {
    const ModelNode *a = model_edge_node (of, k), *b = model_panel_next_node (panel, edge, k);
    GeomCubic piece = { { a->at, a->out, b->in, b->at } };
    double length = geom_cubic_length (&piece, ENGINE_TOL_LENGTH_MM);
    double rise = b->at.y - a->at.y, t = fabs (rise) > 0.0 ? (y_mm - a->at.y) / rise : -1.0;
    if (t >= 0.0 && t <= 1.0)
      return sum + t * length;
    sum += length;
  }
  return sum;
}

void
engine_draft_span_at (EngineDraft *draft, ModelLine *line, ModelPanel *panel, guint a, guint b, double y_mm)
{
  engine_draft_span (draft, line, panel, a, along_at (panel, a, y_mm), b, along_at (panel, b, y_mm));
}
