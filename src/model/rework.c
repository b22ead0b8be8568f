/* The frame of a deed: a copy to work on, what may not be, joins divided, and the way into the document. */
#include "model/rework.h"

#include "model/rework-ring.h"

#include <glib/gi18n.h>

/* A partner's corner this near to where a join is divided serves for it: a pencil line. */
#define DIVIDE_SAME_MM 0.5
/* What is enclosed must be more than a scratch of the knife. */
#define LEAST_AREA_MM2 0.01
#define CROSSING_ACCURACY_MM 1e-6

G_DEFINE_QUARK (model - rework - error, model_rework_error)

typedef struct Touched
{
  ModelPartKind kind;
  guint id;
} Touched;

void
model_rework_made_clear (ModelReworkMade *made)
{
  g_clear_pointer (&made->divided, g_array_unref);
  *made = (ModelReworkMade) { 0 };
}

void
rework_set_error (GError **error, ModelReworkError code, const char *panel_name)
{
  const char *text = NULL;

  switch (code)
  {
  case MODEL_REWORK_ERROR_LOCKED:
    text = _ ("Something on “%s” that would change is locked.");
    break;
  case MODEL_REWORK_ERROR_PLACE:
    text = _ ("There is no such place on the outline of “%s”.");
    break;
  case MODEL_REWORK_ERROR_FOLD:
    text = _ ("The fold of “%s” would not stay straight on its line.");
    break;
  case MODEL_REWORK_ERROR_VALUE:
    text = _ ("That amount makes no sense on “%s”.");
    break;
  case MODEL_REWORK_ERROR_SHAPE:
    text = _ ("The outline of “%s” does not allow this: it would cross itself or lose an edge.");
    break;
  }
  if (error != NULL && *error == NULL)
  {
    g_autofree char *message = g_strdup_printf (text, panel_name);

    g_set_error_literal (error, MODEL_REWORK_ERROR, (int)code, message);
  }
}

/* ---- the copy ---- */

static void
note_touched (ModelHistory *history, int kind, guint id, int touch, gpointer user)
{
  Rework *rework = user;
  Touched touched = { (ModelPartKind)kind, id };

  for (guint i = 0; i < rework->touched->len; i++)
    if (g_array_index (rework->touched, Touched, i).kind == touched.kind
        && g_array_index (rework->touched, Touched, i).id == id)
      return;
  g_array_append_val (rework->touched, touched);
}

void
rework_open (Rework *rework, ModelHistory *history)
{
  *rework = (Rework) { .real = history };
  rework->doc = model_document_copy (model_history_document (history));
  rework->history = model_history_new (rework->doc);
  rework->touched = g_array_new (FALSE, FALSE, sizeof (Touched));
  g_signal_connect (rework->history, "touched", G_CALLBACK (note_touched), rework);
}

static void
close_rework (Rework *rework)
{
  g_signal_handlers_disconnect_by_data (rework->history, rework);
  g_clear_object (&rework->history);
  g_clear_pointer (&rework->touched, g_array_unref);
  model_rework_made_clear (&rework->made);
  rework->doc = NULL;
}

bool
rework_abandon (Rework *rework)
{
  close_rework (rework);
  return false;
}

bool
rework_commit (Rework *rework, const char *label, ModelReworkMade *made)
{
  ModelDocument *real = model_history_document (rework->real);

  real->next_id = MAX (real->next_id, rework->doc->next_id);
  model_history_begin (rework->real, label);
  /* Panels before the joins that speak of their new edges; what goes, goes last. */
  for (ModelPartKind kind = MODEL_PART_PANEL; kind <= MODEL_PART_JOIN; kind++)
    for (guint i = 0; i < rework->touched->len; i++)
    {
      Touched touched = g_array_index (rework->touched, Touched, i);
      ModelPart part = model_document_part (rework->doc, kind, touched.id);

      if (touched.kind == kind && part.body != NULL)
        model_history_put (rework->real, model_part_copy (part));
    }
  for (guint i = 0; i < rework->touched->len; i++)
  {
    Touched touched = g_array_index (rework->touched, Touched, i);

    if (model_document_part (rework->doc, touched.kind, touched.id).body == NULL
        && model_document_part (real, touched.kind, touched.id).body != NULL)
      model_history_remove (rework->real, touched.kind, touched.id);
  }
  model_history_end (rework->real);
  if (made != NULL)
  {
    *made = rework->made;
    rework->made.divided = NULL;
  }
  close_rework (rework);
  return true;
}

/* ---- what may not be ---- */

const ModelPanel *
rework_panel (const Rework *rework, guint panel_id, GError **error)
{
  const ModelPanel *panel = model_document_panel (rework->doc, panel_id);

  if (panel == NULL)
    g_set_error_literal (error, MODEL_REWORK_ERROR, MODEL_REWORK_ERROR_PLACE, _ ("That panel is gone."));
  else if (panel->locked)
  {
    rework_set_error (error, MODEL_REWORK_ERROR_LOCKED, panel->name);
    panel = NULL;
  }
  return panel;
}

static bool
moved (const ModelNode *a, const ModelNode *b)
{
  return geom_distance (a->at, b->at) > MODEL_HOLD_NO_HANDLE_MM
         || geom_distance (a->in, b->in) > MODEL_HOLD_NO_HANDLE_MM
         || geom_distance (a->out, b->out) > MODEL_HOLD_NO_HANDLE_MM;
}

/* Every locked edge of BEFORE is still there with all its nodes where they were; its end corner too, but for
 * the handle beyond it. */
static bool
locks_hold (const ModelPanel *before, const ModelPanel *after)
{
  for (guint e = 0; e < before->edges->len; e++)
  {
    const ModelEdge *was = model_panel_edge (before, e), *now;
    int found = model_panel_find_edge (after, was->id);

    if (!was->locked)
      continue;
    if (found < 0)
      return false;
    now = model_panel_edge (after, (guint)found);
    if (now->nodes->len != was->nodes->len)
      return false;
    for (guint n = 0; n <= was->nodes->len; n++)
    {
      bool last = n == was->nodes->len;
      ModelNode a = last ? *model_panel_next_node (before, e, n - 1) : *model_edge_node (was, n);
      ModelNode b = last ? *model_panel_next_node (after, (guint)found, n - 1) : *model_edge_node (now, n);

      if (n == 0)
        a.in = b.in = geom_point (0.0, 0.0);
      if (last)
        a.out = b.out = geom_point (0.0, 0.0);
      if (moved (&a, &b))
        return false;
    }
  }
  return true;
}

static bool
in_bounds (const ModelPanel *panel)
{
  for (guint e = 0; e < panel->edges->len; e++)
    for (guint n = 0; n < model_panel_edge (panel, e)->nodes->len; n++)
    {
      const ModelNode *node = model_edge_node (model_panel_edge (panel, e), n);

      /* On the rim itself it may have been brought there: that is out. */
      if (!(fabs (node->at.x) < MODEL_FILE_MAX_MM && fabs (node->at.y) < MODEL_FILE_MAX_MM
            && fabs (node->in.x) < MODEL_FILE_MAX_MM && fabs (node->in.y) < MODEL_FILE_MAX_MM
            && fabs (node->out.x) < MODEL_FILE_MAX_MM && fabs (node->out.y) < MODEL_FILE_MAX_MM))
        return false;
    }
  return true;
}

static void
side_path (const ModelPanel *panel, int side, GeomPath *path)
{
  if (side == 0)
    model_panel_path (panel, path, NULL);
  else
  {
    model_panel_twin_path (panel, path, NULL);
    if (panel->halves != MODEL_HALVES_SINGLE)
      geom_path_reverse (path);
  }
}

bool
rework_is_sound (const ModelPanel *before, const ModelPanel *after, GError **error)
{
  GeomPath was = { 0 }, now = { 0 };
  int fold = model_panel_fold_edge (after);
  bool sound = true;

  if (before != NULL && after->id == before->id && !locks_hold (before, after))
  {
    rework_set_error (error, MODEL_REWORK_ERROR_LOCKED, after->name);
    return false;
  }
  if (after->halves == MODEL_HALVES_FOLD
      && (fold < 0
          || !(geom_distance (model_edge_node (model_panel_edge (after, (guint)fold), 0)->at,
                              model_panel_next_node (after, (guint)fold, 0)->at)
               >= MODEL_HOLD_MIN_FOLD_MM)
          || model_panel_edge (after, (guint)fold)->nodes->len != 1))
  {
    rework_set_error (error, MODEL_REWORK_ERROR_FOLD, after->name);
    return false;
  }
  sound = in_bounds (after) && model_panel_node_count (after) <= MODEL_FILE_MAX_NODES;
  for (int side = 0; side < REWORK_SHAPES && sound; side++)
  {
    GeomSelfCrossing one;

    side_path (after, side, &now);
    sound = geom_path_area (&now) > LEAST_AREA_MM2;
    if (sound && geom_path_self_crossings (&now, CROSSING_ACCURACY_MM, &one, 1) > 0)
    {
      if (before != NULL)
        side_path (before, side, &was);
      sound = before != NULL && geom_path_self_crossings (&was, CROSSING_ACCURACY_MM, &one, 1) > 0;
    }
  }
  geom_path_clear (&was);
  geom_path_clear (&now);
  if (!sound)
    rework_set_error (error, MODEL_REWORK_ERROR_SHAPE, after->name);
  return sound;
}

bool
rework_put_ring (Rework *rework, const ReworkRing *ring, bool mend, GError **error)
{
  g_autoptr (ModelPanel) panel = rework_ring_panel (ring);

  if (!rework_is_sound (model_document_panel (rework->doc, panel->id), panel, error))
    return false;
  if (mend)
    model_repair_put_panel (rework->history, g_steal_pointer (&panel));
  else
    model_history_put_panel (rework->history, g_steal_pointer (&panel));
  return true;
}

/* ---- joins ---- */

bool
rework_edge_is_joined (const ModelDocument *doc, guint panel_id, guint edge_id)
{
  for (guint i = 0; i < doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (doc->joins, i);
    const ModelRun *runs[] = { &join->a, &join->b };

    for (guint r = 0; r < G_N_ELEMENTS (runs); r++)
      for (guint k = 0; runs[r]->panel_id == panel_id && k < runs[r]->edges->len; k++)
        if (g_array_index (runs[r]->edges, guint, k) == edge_id)
          return true;
  }
  return false;
}

/* Where in the run, other than at its beginning, EDGE stands; 0: nowhere. */
static guint
place_in_run (const ModelRun *run, guint panel_id, guint edge_id)
{
  for (guint k = 1; run->panel_id == panel_id && k < run->edges->len; k++)
    if (g_array_index (run->edges, guint, k) == edge_id)
      return k;
  return 0;
}

/* The run's edges before K, or from K on. */
static GArray *
part_of (const GArray *edges, guint k, bool tail)
{
  GArray *part = g_array_new (FALSE, TRUE, sizeof (guint));
  guint from = tail ? k : 0, to = tail ? edges->len : k;

  g_array_append_vals (part, &g_array_index (edges, guint, from), to - from);
  return part;
}

/* What marks cut off before the run's start and beyond its end, on edges FIRST_MM and LAST_MM long. */
static double
cut_before (const ModelPanel *panel, const ModelRun *run, double first_mm)
{
  const ModelMark *mark = run->from_mark_id != 0 ? model_panel_find_mark (panel, run->from_mark_id) : NULL;

  return mark != NULL ? CLAMP (mark->at_mm, 0.0, first_mm) : 0.0;
}

static double
cut_beyond (const ModelPanel *panel, const ModelRun *run, double last_mm)
{
  const ModelMark *mark = run->to_mark_id != 0 ? model_panel_find_mark (panel, run->to_mark_id) : NULL;

  return mark != NULL ? last_mm - CLAMP (mark->at_mm, 0.0, last_mm) : 0.0;
}

/* A corner in the run at FRACTION of its length from where the join starts.  *K: the place in the run's edges
 * of the one that begins there, 1..len-1.  Puts the panel where one must be made. */
static bool
corner_in_run (Rework *rework, guint join_id, bool in_b, double fraction, guint *k, GError **error)
{
  const ModelJoin *join = model_document_join (rework->doc, join_id);
  const ModelRun *run = in_b ? &join->b : &join->a;
  const ModelPanel *panel = rework_panel (rework, run->panel_id, error);
  g_autoptr (ReworkRing) ring = NULL;
  double whole = 0.0, along, before = 0.0, lead = 0.0;
  guint edge_id, i;

  if (panel == NULL)
    return false;
  ring = rework_ring_new (panel);
  for (i = 0; i < run->edges->len; i++)
  {
    double length = rework_ring_edge_length (
      ring, (guint)rework_ring_find_edge (ring, g_array_index (run->edges, guint, i)), 0);

    if (i == 0)
      whole -= lead = cut_before (panel, run, length);
    if (i + 1 == run->edges->len)
      whole -= cut_beyond (panel, run, length);
    whole += length;
  }
  along = lead + whole * CLAMP (run->reversed ? 1.0 - fraction : fraction, 0.0, 1.0);
  for (i = 0; i < run->edges->len; i++)
  {
    guint e = (guint)rework_ring_find_edge (ring, g_array_index (run->edges, guint, i));
    double length = rework_ring_edge_length (ring, e, 0), rest = along - before;

    if (i > 0 && fabs (rest) <= DIVIDE_SAME_MM)
    {
      *k = i;
      return true;
    }
    if (rest < length - (i + 1 < run->edges->len ? DIVIDE_SAME_MM : 0.0) || i + 1 == run->edges->len)
    {
      ModelSeat seat = { e, 0 };
      GeomCubic c = rework_ring_piece (ring, seat, 0);
      double piece;

      if (rework_ring_edge (ring, e)->head->locked || rework_ring_is_fold (ring, e))
      {
        rework_set_error (error, MODEL_REWORK_ERROR_LOCKED, panel->name);
        return false;
      }
      /* A half must be left of the partner, however uneven the cut. */
      rest = CLAMP (rest, 0.02 * length, 0.98 * length);
      while (rest > (piece = geom_cubic_length (&c, MODEL_HOLD_LENGTH_ACCURACY_MM))
             && seat.node + 1 < rework_ring_edge (ring, e)->nodes->len)
      {
        rest -= piece;
        seat.node++;
        c = rework_ring_piece (ring, seat, 0);
      }
      if (!rework_ring_corner_at (
            ring, rework->doc,
            (ModelReworkPlace) { rework_ring_edge (ring, e)->head->id, seat.node,
                                 geom_cubic_t_at_length (&c, rest, MODEL_HOLD_LENGTH_ACCURACY_MM) },
            &edge_id, error)
          || !rework_put_ring (rework, ring, true, error))
        return false;
      join = model_document_join (rework->doc, join_id);
      *k = join != NULL
             ? place_in_run (in_b ? &join->b : &join->a, (in_b ? &join->b : &join->a)->panel_id, edge_id)
             : 0;
      if (*k == 0)
        rework_set_error (error, MODEL_REWORK_ERROR_SHAPE, ring->panel->name);
      return *k > 0;
    }
    before += length;
  }
  rework_set_error (error, MODEL_REWORK_ERROR_SHAPE, panel->name);
  return false;
}

static void
take_part (ModelRun *run, guint k, bool first)
{
  /* A reversed run starts with its last edges. */
  GArray *part = part_of (run->edges, k, run->reversed == first);

  g_array_unref (run->edges);
  run->edges = part;
  if (run->reversed == first)
    run->from_mark_id = 0;
  else
    run->to_mark_id = 0;
}

static bool
divide_join (Rework *rework, guint join_id, bool in_b, guint edge_id, double fraction, GError **error)
{
  g_autoptr (ModelJoin) first = NULL;
  g_autoptr (ModelJoin) rest = NULL;
  const ModelJoin *join;
  const ModelRun *run;
  guint k, partner_k, ids[2];

  if (!corner_in_run (rework, join_id, !in_b, fraction, &partner_k, error))
    return false;
  /* The partner may lie on the same panel: look again. */
  join = model_document_join (rework->doc, join_id);
  run = in_b ? &join->b : &join->a;
  k = place_in_run (run, run->panel_id, edge_id);
  if (k == 0)
    return true;
  first = model_join_copy (join);
  rest = model_join_copy (join);
  take_part (in_b ? &first->b : &first->a, k, true);
  take_part (in_b ? &first->a : &first->b, partner_k, true);
  take_part (in_b ? &rest->b : &rest->a, k, false);
  take_part (in_b ? &rest->a : &rest->b, partner_k, false);
  first->ease_mm = join->ease_mm * fraction;
  rest->ease_mm = join->ease_mm - first->ease_mm;
  rest->id = model_document_take_id (rework->doc);
  g_free (rest->letter);
  rest->letter = model_document_free_letter (rework->doc);
  ids[0] = first->id;
  ids[1] = rest->id;
  if (rework->made.divided == NULL)
    rework->made.divided = g_array_new (FALSE, FALSE, sizeof (guint));
  g_array_append_vals (rework->made.divided, ids, 2);
  model_history_begin (rework->history, "");
  model_history_put_join (rework->history, g_steal_pointer (&first));
  model_history_put_join (rework->history, g_steal_pointer (&rest));
  model_history_end (rework->history);
  return true;
}

/* Lengths of a run before and from its K-th edge on; the edges on either side of K counted as told. */
static double
fraction_of_run (const ModelPanel *panel, const ModelRun *run, guint k, double before_mm, double edge_mm)
{
  double head = 0.0, tail = 0.0;

  for (guint i = 0; i < run->edges->len; i++)
  {
    int e = model_panel_find_edge (panel, g_array_index (run->edges, guint, i));
    double length = e < 0 ? 0.0 : model_hold_edge_length (panel, (guint)e);

    if (i + 1 == k && before_mm >= 0.0)
      length = before_mm;
    if (i == k && edge_mm >= 0.0)
      length = edge_mm;
    if (i == 0)
      length -= cut_before (panel, run, length);
    if (i + 1 == run->edges->len)
      length -= cut_beyond (panel, run, length);
    *(i < k ? &head : &tail) += length;
  }
  if (!(head + tail > 0.0))
    return 0.5;
  return (run->reversed ? tail : head) / (head + tail);
}

bool
rework_divide_joins (
  Rework *rework, guint panel_id, guint edge_id, double before_mm, double edge_mm, GError **error)
{
  /* Each round divides one, and a divided one runs over the corner no more. */
  for (guint rounds = 2 * rework->doc->joins->len + 2; rounds > 0; rounds--)
  {
    bool any = false;

    for (guint i = 0; i < rework->doc->joins->len && !any; i++)
    {
      const ModelJoin *join = g_ptr_array_index (rework->doc->joins, i);

      for (int in_b = 0; in_b < 2 && !any; in_b++)
      {
        const ModelRun *run = in_b ? &join->b : &join->a;
        guint k = place_in_run (run, panel_id, edge_id);
        double fraction;

        if (k == 0)
          continue;
        any = true;
        fraction = fraction_of_run (model_document_panel (rework->doc, panel_id), run, k, before_mm, edge_mm);
        if (!divide_join (rework, join->id, in_b, edge_id, fraction, error))
          return false;
      }
    }
    if (!any)
      break;
  }
  return true;
}

guint
rework_put_join (Rework *rework, guint panel_a, guint edge_a, guint panel_b, guint edge_b, GArray *matches)
{
  ModelJoin *join = model_join_new ();

  join->id = model_document_take_id (rework->doc);
  g_free (join->letter);
  join->letter = model_document_free_letter (rework->doc);
  join->kind = MODEL_JOIN_FLUSH;
  join->a.panel_id = panel_a;
  join->b.panel_id = panel_b;
  join->b.reversed = true;
  g_array_append_val (join->a.edges, edge_a);
  g_array_append_val (join->b.edges, edge_b);
  if (matches != NULL)
    g_array_append_vals (join->matches, matches->data, matches->len);
  return model_history_put_join (rework->history, join);
}
