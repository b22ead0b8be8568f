#include "model/tape.h"

/* Lengths that are shown to a tenth. */
#define ACCURACY_MM 1e-6
/* Two places of an edge nearer than this are one. */
#define SAME_MM 1e-3
/* A point on a cut's very line lies on both parts. */
#define INSIDE_MM 0.01

/* One side of a panel with the first piece of each edge. */
typedef struct Side
{
  GeomPath path;
  size_t *first;
} Side;

static void
side_init (Side *side, const ModelPanel *panel, bool twin)
{
  geom_path_init (&side->path);
  side->first = g_new0 (size_t, panel->edges->len + 1);
  if (twin)
    model_panel_twin_path (panel, &side->path, side->first);
  else
    model_panel_path (panel, &side->path, side->first);
  side->first[panel->edges->len] = side->path.count;
}

static void
side_clear (Side *side)
{
  geom_path_clear (&side->path);
  g_free (side->first);
}

static double
edge_length (const Side *side, guint e)
{
  double sum = 0.0;
  for (size_t i = side->first[e]; i < side->first[e + 1]; i++)
    sum += geom_cubic_length (&side->path.piece[i], ACCURACY_MM);
  return sum;
}

/* The mark as a place on TWIN, by its share of the drawn edge. */
static bool
mark_place (const ModelPanel *panel, guint mark_id, const Side *drawn, const Side *on, GeomPlace *out)
{
  const ModelMark *mark = model_panel_find_mark (panel, mark_id);
  int edge = mark != NULL ? model_panel_find_edge (panel, mark->edge_id) : -1;
  if (edge < 0)
    return false;
  guint e = (guint)edge;
  double length = edge_length (drawn, e), share = length > 0.0 ? CLAMP (mark->at_mm / length, 0.0, 1.0) : 0.0;
  double left = on == drawn ? share * length : share * edge_length (on, e);
  for (size_t i = on->first[e]; i < on->first[e + 1]; i++)
  {
    double own = geom_cubic_length (&on->path.piece[i], ACCURACY_MM);
    bool last = i + 1 == on->first[e + 1];
    if (left <= own || last)
    {
      *out = (GeomPlace) { i, geom_cubic_t_at_length (&on->path.piece[i], MIN (left, own), ACCURACY_MM) };
      return true;
    }
    left -= own;
  }
  return false;
}

typedef struct Ends
{
  Side drawn, other;
  const Side *on;
  GeomPlace place[3];
  GeomPoint at[3];
} Ends;

static bool
find_ends (const ModelPanel *panel, const ModelTape *tape, bool twin, Ends *ends)
{
  const guint marks[3] = { tape->a_mark_id, tape->b_mark_id, tape->c_mark_id };
  const GeomPoint points[3] = { tape->a, tape->b, tape->c };
  GeomAffine map = model_panel_mirror (panel);
  side_init (&ends->drawn, panel, false);
  side_init (&ends->other, panel, twin);
  ends->on = twin ? &ends->other : &ends->drawn;
  for (int i = 0; i < (tape->kind == MODEL_TAPE_ANGLE ? 3 : 2); i++)
  {
    if (marks[i] == 0)
      ends->at[i] = twin ? geom_affine_apply (map, points[i]) : points[i];
    else if (mark_place (panel, marks[i], &ends->drawn, ends->on, &ends->place[i]))
      ends->at[i] = geom_path_point (&ends->on->path, ends->place[i]);
    else
      return false;
  }
  return true;
}

static void
clear_ends (Ends *ends)
{
  side_clear (&ends->drawn);
  side_clear (&ends->other);
}

static void
trace (const ModelTape *tape, const Ends *ends, GeomPath *out)
{
  if (tape->kind == MODEL_TAPE_ALONG)
  {
    geom_path_part (&ends->on->path, ends->place[0], ends->place[1], out);
    return;
  }
  for (int i = 0; i < (tape->kind == MODEL_TAPE_ANGLE ? 2 : 1); i++)
  {
    GeomCubic line = geom_cubic_line (ends->at[i], ends->at[i + 1]);
    geom_path_append (out, &line);
  }
}

bool
model_tape_way (const ModelPanel *panel, const ModelTape *tape, bool twin, GeomPath *out)
{
  Ends ends = { .on = NULL };
  bool there = find_ends (panel, tape, twin, &ends);
  if (there)
    trace (tape, &ends, out);
  clear_ends (&ends);
  return there && out->count > 0;
}

bool
model_tape_read (const ModelPanel *panel, const ModelTape *tape, bool twin, ModelTapeReading *out)
{
  Ends ends = { .on = NULL };
  bool there = find_ends (panel, tape, twin, &ends);
  *out = (ModelTapeReading) { .a = ends.at[0], .b = ends.at[1], .c = ends.at[2] };
  if (there)
  {
    GeomPath way;
    geom_path_init (&way);
    trace (tape, &ends, &way);
    out->mm = tape->kind == MODEL_TAPE_ALONG ? geom_path_length (&way, ACCURACY_MM)
                                             : geom_distance (out->a, out->b);
    geom_path_clear (&way);
    GeomPoint one = geom_sub (out->a, out->b), two = geom_sub (out->c, out->b);
    if (tape->kind == MODEL_TAPE_ANGLE)
      out->deg = fabs (atan2 (geom_cross (one, two), geom_dot (one, two))) * 180.0 / G_PI;
    out->has_wrap = tape->has_wrap && tape->kind != MODEL_TAPE_ANGLE;
    out->over_mm = out->has_wrap ? tape->wrap_mm - out->mm : 0.0;
  }
  clear_ends (&ends);
  return there;
}

guint
model_tape_mark (ModelPanel *panel, ModelDocument *ids, guint edge_id, double along_mm)
{
  if (model_panel_find_edge (panel, edge_id) < 0 || !isfinite (along_mm))
    return 0;
  for (guint i = 0; i < panel->marks->len; i++)
  {
    const ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);
    if (mark->edge_id == edge_id && fabs (mark->at_mm - along_mm) <= SAME_MM)
      return mark->id;
  }
  ModelMark mark = { .id = model_document_take_id (ids), .edge_id = edge_id, .at_mm = MAX (along_mm, 0.0) };
  g_array_append_val (panel->marks, mark);
  return mark.id;
}

static bool
has_marks (const ModelPanel *panel, const ModelTape *tape)
{
  const guint marks[3]
    = { tape->a_mark_id, tape->b_mark_id, tape->kind == MODEL_TAPE_ANGLE ? tape->c_mark_id : 0 };
  for (int i = 0; i < 3; i++)
    if (marks[i] != 0 && model_panel_find_mark (panel, marks[i]) == NULL)
      return false;
  return true;
}

bool
model_tapes_repair (ModelPanel *panel)
{
  bool changed = false;
  for (guint i = panel->tapes->len; i-- > 0;)
    if (!has_marks (panel, &g_array_index (panel->tapes, ModelTape, i)))
    {
      g_array_remove_index (panel->tapes, i);
      changed = true;
    }
  return changed;
}

void
model_tapes_keep_inside (ModelPanel *panel)
{
  model_tapes_repair (panel);
  if (panel->tapes->len == 0)
    return;
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (panel, &path, NULL);
  for (guint i = panel->tapes->len; i-- > 0;)
  {
    const ModelTape *tape = &g_array_index (panel->tapes, ModelTape, i);
    const guint marks[3] = { tape->a_mark_id, tape->b_mark_id, tape->c_mark_id };
    const GeomPoint points[3] = { tape->a, tape->b, tape->c };
    bool inside = true;
    for (int k = 0; k < (tape->kind == MODEL_TAPE_ANGLE ? 3 : 2); k++)
      inside = inside
               && (marks[k] != 0 || geom_path_contains (&path, points[k])
                   || geom_path_nearest (&path, points[k]).distance_mm <= INSIDE_MM);
    if (!inside)
      g_array_remove_index (panel->tapes, i);
  }
  geom_path_clear (&path);
}
