#include "engine/strap.h"

#include "engine/starter-draft.h"
#include "engine/tolerance.h"
#include "engine/words.h"

#include <glib/gi18n.h>

/* Between a strap and a match mark: half of the printed wedge and what a hand needs to see it. */
#define CLEAR_MM 3.0

guint
engine_strap_count (const ModelJoin *join)
{
  return join->kind == MODEL_JOIN_GAP && join->straps > 0 ? (guint)join->straps : 0;
}

double
engine_strap_length_mm (const ModelJoin *join)
{
  return join->gap_mm + join->strap_overlap_mm;
}

double
engine_strap_room_mm (const ModelJoin *join, double run_mm)
{
  const guint count = engine_strap_count (join);
  return count > 0 ? run_mm / count : 0.0;
}

guint
engine_strap_total (EngineReview *review, const ModelJoin *join)
{
  EngineJoinReading readings[2];
  return engine_strap_count (join) * (guint)engine_review_join_readings (review, join->id, readings);
}

bool
engine_straps_fit (EngineReview *review, const ModelJoin *join)
{
  EngineJoinReading readings[2];
  int n = engine_review_join_readings (review, join->id, readings);
  if (engine_strap_count (join) == 0)
    return true;
  for (int i = 0; i < n; i++)
    if (engine_strap_room_mm (join, MIN (readings[i].length_a_mm, readings[i].length_b_mm))
        < join->strap_width_mm)
      return false;
  return true;
}

/* ---- places ---- */

/* The ease as a ramp along run a: none before FROM_MM, all of it beyond TO_MM. */
typedef struct Ramp
{
  double from_mm, to_mm, ease_mm;
} Ramp;

static Ramp
ramp_of (EngineReview *review, const ModelJoin *join, const EngineJoinReading *reading)
{
  Ramp ramp = { 0.0, reading->length_a_mm, reading->ease_mm };
  double at;
  if (join->ease_from_id != 0
      && engine_review_mark_along (review, &join->a, reading->side_a, join->ease_from_id, &at))
    ramp.from_mm = at;
  if (join->ease_to_id != 0
      && engine_review_mark_along (review, &join->a, reading->side_a, join->ease_to_id, &at))
    ramp.to_mm = at;
  return ramp.from_mm <= ramp.to_mm ? ramp : (Ramp) { ramp.to_mm, ramp.from_mm, ramp.ease_mm };
}

/* The place on a that faces one on b. */
static double
along_a (const Ramp *ramp, double b_mm)
{
  const double width = ramp->to_mm - ramp->from_mm;
  if (b_mm <= ramp->from_mm)
    return b_mm;
  if (b_mm >= ramp->to_mm + ramp->ease_mm || !(width + ramp->ease_mm > 0.0))
    return MAX (b_mm - ramp->ease_mm, ramp->from_mm);
  return ramp->from_mm + (b_mm - ramp->from_mm) * width / (width + ramp->ease_mm);
}

static int
by_size (gconstpointer a, gconstpointer b)
{
  const double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

/* Match marks of both runs, as places on a. */
static GArray *
marks_along (EngineReview *review, const ModelJoin *join, const EngineJoinReading *reading, const Ramp *ramp)
{
  const ModelDocument *doc = engine_review_document (review);
  GArray *at = g_array_new (FALSE, FALSE, sizeof (double));
  for (int k = 0; k < 2; k++)
  {
    const ModelRun *run = k == 0 ? &join->a : &join->b;
    const ModelPanel *panel = model_document_panel (doc, run->panel_id);
    for (guint i = 0; panel != NULL && i < panel->marks->len; i++)
    {
      const ModelMark *mark = &g_array_index (panel->marks, ModelMark, i);
      double along;
      if (mark->wedges == 0
          || !engine_review_mark_along (review, run, k == 0 ? reading->side_a : reading->side_b, mark->id,
                                        &along))
        continue;
      if (k == 1)
        along = along_a (ramp, along);
      if (isfinite (along))
        g_array_append_val (at, along);
    }
  }
  g_array_sort (at, by_size);
  return at;
}

/* From MIDDLE on, toward higher (SIGN 1) or lower places: the first that is CLEAR of all MARKS. */
static double
next_clear (const GArray *marks, double middle, double clear, int sign)
{
  for (guint i = 0; i < marks->len; i++)
  {
    const double mark = g_array_index (marks, double, sign > 0 ? i : marks->len - 1 - i);
    if (fabs (mark - middle) < clear)
      middle = mark + sign * clear;
  }
  return middle;
}

static EngineStrapPlace
place_in (double low, double high, const GArray *marks, double half_mm)
{
  EngineStrapPlace place = { 0.5 * (low + high), NAN, false };
  const double play = 0.5 * (high - low) - half_mm, clear = half_mm + CLEAR_MM;
  const double down = place.a_mm - next_clear (marks, place.a_mm, clear, -1),
               up = next_clear (marks, place.a_mm, clear, 1) - place.a_mm;
  place.on_mark = !(MIN (up, down) <= MAX (play, 0.0));
  if (!place.on_mark)
    place.a_mm += up < down ? up : -down;
  return place;
}

GArray *
engine_strap_places (EngineReview *review, const ModelJoin *join, const EngineJoinReading *reading)
{
  GArray *places = g_array_new (FALSE, FALSE, sizeof (EngineStrapPlace));
  const guint count = engine_strap_count (join);
  const double half = join->strap_width_mm / 2.0, a_mm = reading->length_a_mm, b_mm = reading->length_b_mm;
  if (!(a_mm > 0.0) || !(b_mm > 0.0) || !isfinite (a_mm) || !isfinite (b_mm))
    return places;
  const Ramp ramp = ramp_of (review, join, reading);
  g_autoptr (GArray) marks = marks_along (review, join, reading, &ramp);
  for (guint i = 0; i < count; i++)
  {
    EngineStrapPlace place = place_in (a_mm * i / count, a_mm * (i + 1) / count, marks, half);
    /* A run that is too short keeps its last strap on the leather. */
    place.b_mm = CLAMP (place.a_mm + engine_review_ease_before (review, reading, place.a_mm),
                        MIN (half, b_mm / 2.0), MAX (b_mm - half, b_mm / 2.0));
    g_array_append_val (places, place);
  }
  return places;
}

bool
engine_straps_meet_marks (EngineReview *review, const ModelJoin *join)
{
  EngineJoinReading readings[2];
  const int n = engine_review_join_readings (review, join->id, readings);
  bool met = false;
  for (int k = 0; k < n && !met; k++)
  {
    g_autoptr (GArray) places = engine_strap_places (review, join, &readings[k]);
    for (guint i = 0; i < places->len && !met; i++)
      met = g_array_index (places, EngineStrapPlace, i).on_mark;
  }
  return met;
}

/* ---- the strap as a panel ---- */

static void
mark_fold (ModelDocument *doc, ModelPanel *panel, guint edge, double at_mm)
{
  const ModelMark mark = { .id = model_document_take_id (doc),
                           .edge_id = model_panel_edge (panel, edge)->id,
                           .at_mm = at_mm,
                           .wedges = 1 };
  g_array_append_val (panel->marks, mark);
}

ModelPanel *
engine_strap_panel (EngineReview *review, const ModelJoin *join, GeomPoint at)
{
  const double length = engine_strap_length_mm (join), width = join->strap_width_mm,
               fold = join->strap_overlap_mm / 2.0;
  const guint total = engine_strap_total (review, join);
  if (total == 0 || !(length > ENGINE_TOL_LENGTH_MM) || !(width > ENGINE_TOL_LENGTH_MM))
    return NULL;
  const ModelPanel *on = model_document_panel (engine_review_document (review), join->a.panel_id);
  g_autoptr (ModelDocument) scratch = model_document_new ();
  EngineDraft draft = { scratch, 0 };
  EnginePen pen;
  /* Translators: the name of a panel: %s is a join's letter. */
  g_autofree char *name = g_strdup_printf (_ ("Strap %s"), join->letter);
  g_strchomp (name);
  engine_pen_begin (&pen, &draft, name, at);
  engine_pen_edge (&pen, _ ("bottom"));
  engine_pen_line (&pen, geom_point (at.x + length, at.y));
  engine_pen_edge (&pen, _ ("buckle end"));
  engine_pen_line (&pen, geom_point (at.x + length, at.y + width));
  engine_pen_edge (&pen, _ ("top"));
  engine_pen_line (&pen, geom_point (at.x, at.y + width));
  engine_pen_edge (&pen, _ ("free end"));
  engine_pen_line (&pen, at);
  ModelPanel *panel = engine_pen_close (&pen);
  panel->quantity = (int)total;
  panel->material_id = on != NULL ? on->material_id : 0;
  engine_draft_grain (panel, 0.0);
  if (fold > 0.0)
  {
    mark_fold (scratch, panel, 0, length - fold);
    mark_fold (scratch, panel, 2, fold);
  }
  return model_panel_copy (panel);
}

GArray *
engine_strapped_joins (const ModelDocument *doc)
{
  GArray *ids = g_array_new (FALSE, FALSE, sizeof (guint));
  for (guint i = 0; i < doc->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (doc->joins, i);
    if (engine_strap_count (join) > 0)
      g_array_append_val (ids, join->id);
  }
  return ids;
}

char *
engine_words_straps (EngineReview *review, const ModelJoin *join)
{
  const ModelDocument *doc = engine_review_document (review);
  const guint total = engine_strap_total (review, join);
  g_autofree char *width = engine_words_length (doc, join->strap_width_mm);
  g_autofree char *length = engine_words_length (doc, engine_strap_length_mm (join));
  /* Translators: how many, how wide, how long each is cut. */
  return g_strdup_printf (ngettext ("%1$u strap, %2$s × %3$s", "%1$u straps, %2$s × %3$s", total), total,
                          width, length);
}
