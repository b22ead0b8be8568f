/* Keeping pieces, readings and findings up to date.
 *
 * Each part of the document has an entry.  What was touched is noted and worked through at the next question,
 * in two steps:
 *
 *   figures:  touched parts -> pieces of panels -> readings of joins
 *   findings: checks on every entry whose figures changed, then the list in its fixed order
 *
 * Both give the same bits as a fresh review would: an entry's results depend on the document alone, never on
 * what was kept.
 */
#include "engine/review.h"

#include "engine/check.h"
#include "engine/girth.h"
#include "engine/run.h"
#include "engine/tolerance.h"
#include "engine/twin-name.h"

#include <string.h>

enum
{
  MAX_CHECKS = 24,
  KINDS = MODEL_PART_LINE + 1
};

typedef struct Entry
{
  guint id;
  ModelPartKind kind;
  guint seen;       /* the last walk over the document that met it */
  guint worked;     /* the last walk in which its figures were worked out */
  bool stale;       /* figures are to be worked out again */
  bool unchecked;   /* findings are */
  GArray *findings; /* EngineFinding, one check after the other; NULL before the first run */
  guint start[MAX_CHECKS + 1];

  /* panel */
  EnginePiece *pieces[2];
  int piece_count;
  GPtrArray *joins; /* ModelJoin, borrowed from the document, found anew at each walk */
  char *twin_key;   /* what its counterpart of the other side shares with it, or NULL */
  guint counterpart_id;
  int manner; /* single, folded or paired, and on which side: decides where its joins are */

  /* join */
  guint panel_a_id, panel_b_id;
  EngineJoinReading readings[2];
  int reading_count;

  /* line */
  EngineLineReading line;
} Entry;

typedef struct Touched
{
  ModelPartKind kind;
  guint id;
} Touched;

struct EngineReview
{
  ModelDocument *doc;
  GHashTable *by_id;       /* id -> Entry, owned */
  GPtrArray *order[KINDS]; /* Entry in document order; NULL for kinds that are not kept */
  Entry *document;
  GArray *touched;
  guint walk;
  bool all_stale, figures_stale, findings_stale, lines_went;
  GPtrArray *pieces;
  GArray *readings;
  GPtrArray *findings;
  gpointer kept;
  GDestroyNotify drop_kept;
};

/* ---- entries ---- */

static Entry *
entry_new (ModelPartKind kind, guint id)
{
  Entry *entry = g_new0 (Entry, 1);
  entry->id = id;
  entry->kind = kind;
  entry->stale = entry->unchecked = true;
  if (kind == MODEL_PART_PANEL)
    entry->joins = g_ptr_array_new ();
  return entry;
}

static void
drop_pieces (Entry *entry)
{
  for (int i = 0; i < entry->piece_count; i++)
    engine_piece_free (entry->pieces[i]);
  entry->piece_count = 0;
}

static void
entry_free (gpointer data)
{
  Entry *entry = data;
  drop_pieces (entry);
  g_clear_pointer (&entry->joins, g_ptr_array_unref);
  g_clear_pointer (&entry->findings, g_array_unref);
  engine_line_reading_clear (&entry->line);
  g_free (entry->twin_key);
  g_free (entry);
}

static Entry *
find_entry (EngineReview *review, ModelPartKind kind, guint id)
{
  Entry *entry = g_hash_table_lookup (review->by_id, GUINT_TO_POINTER (id));
  return entry && entry->kind == kind ? entry : NULL;
}

EngineReview *
engine_review_new (ModelDocument *doc)
{
  EngineReview *review = g_new0 (EngineReview, 1);
  review->doc = doc;
  review->by_id = g_hash_table_new_full (g_direct_hash, g_direct_equal, NULL, entry_free);
  review->order[MODEL_PART_PANEL] = g_ptr_array_new ();
  review->order[MODEL_PART_JOIN] = g_ptr_array_new ();
  review->order[MODEL_PART_MEASURE] = g_ptr_array_new ();
  review->order[MODEL_PART_LINE] = g_ptr_array_new ();
  review->document = entry_new (MODEL_PART_HEAD, 0);
  review->touched = g_array_new (FALSE, FALSE, sizeof (Touched));
  review->pieces = g_ptr_array_new ();
  review->readings = g_array_new (FALSE, FALSE, sizeof (EngineJoinReading));
  review->findings = g_ptr_array_new ();
  review->all_stale = review->figures_stale = review->findings_stale = true;
  return review;
}

void
engine_review_free (EngineReview *review)
{
  if (!review)
    return;
  engine_review_keep (review, NULL, NULL);
  g_hash_table_unref (review->by_id);
  for (int k = 0; k < KINDS; k++)
    g_clear_pointer (&review->order[k], g_ptr_array_unref);
  entry_free (review->document);
  g_array_unref (review->touched);
  g_ptr_array_unref (review->pieces);
  g_array_unref (review->readings);
  g_ptr_array_unref (review->findings);
  g_free (review);
}

ModelDocument *
engine_review_document (const EngineReview *review)
{
  return review->doc;
}

void
engine_review_keep (EngineReview *review, gpointer kept, GDestroyNotify drop)
{
  if (review->kept && review->drop_kept)
    review->drop_kept (review->kept);
  review->kept = kept;
  review->drop_kept = drop;
}

gpointer
engine_review_kept (const EngineReview *review)
{
  return review->kept;
}

void
engine_review_touch (EngineReview *review, ModelPartKind kind, guint id)
{
  engine_review_keep (review, NULL, NULL);
  review->figures_stale = review->findings_stale = true;
  if (review->all_stale)
    return;
  if (review->touched->len > 0)
  {
    const Touched *last = &g_array_index (review->touched, Touched, review->touched->len - 1);
    if (last->kind == kind && last->id == id)
      return;
  }
  Touched touched = { kind, id };
  g_array_append_val (review->touched, touched);
}

void
engine_review_touch_all (EngineReview *review)
{
  engine_review_keep (review, NULL, NULL);
  g_array_set_size (review->touched, 0);
  review->all_stale = review->figures_stale = review->findings_stale = true;
}

/* ---- what is there, and what depends on what was touched ---- */

static void
stale_panel (EngineReview *review, guint id)
{
  Entry *entry = find_entry (review, MODEL_PART_PANEL, id);
  if (entry)
    entry->stale = true;
}

static void
walk_list (EngineReview *review, ModelPartKind kind, const GPtrArray *list)
{
  GPtrArray *order = review->order[kind];
  g_ptr_array_set_size (order, 0);
  for (guint i = 0; i < list->len; i++)
  {
    guint id = model_part_id ((ModelPart) { kind, g_ptr_array_index (list, i) });
    Entry *entry = find_entry (review, kind, id);
    if (!entry)
    {
      entry = entry_new (kind, id);
      g_hash_table_replace (review->by_id, GUINT_TO_POINTER (id), entry);
    }
    if (entry->seen == review->walk)
      continue; /* an id twice: the readers refuse that, and the first one counts */
    entry->seen = review->walk;
    g_ptr_array_add (order, entry);
  }
}

static void
stale_join_panels (EngineReview *review, const Entry *join)
{
  stale_panel (review, join->panel_a_id);
  stale_panel (review, join->panel_b_id);
}

/* Joins of a panel that went may be there still, and be nowhere now. */
static void
stale_joins_of (EngineReview *review, guint panel_id)
{
  for (guint i = 0; i < review->order[MODEL_PART_JOIN]->len; i++)
  {
    Entry *join = g_ptr_array_index (review->order[MODEL_PART_JOIN], i);
    if (join->panel_a_id != panel_id && join->panel_b_id != panel_id)
      continue;
    join->stale = true;
    stale_join_panels (review, join);
  }
}

/* Lines whose spans may lie on a panel that went. */
static void
stale_lines_of (EngineReview *review, guint panel_id)
{
  for (guint i = 0; i < review->order[MODEL_PART_LINE]->len; i++)
  {
    Entry *entry = g_ptr_array_index (review->order[MODEL_PART_LINE], i);
    for (guint k = 0; entry->line.spans && k < entry->line.spans->len; k++)
      if (g_array_index (entry->line.spans, EngineSpanReading, k).panel_id == panel_id)
        entry->stale = true;
  }
}

static void
drop_unseen (EngineReview *review)
{
  guint kept = 0;
  for (int k = 0; k < KINDS; k++)
    kept += review->order[k] ? review->order[k]->len : 0;
  if (kept == g_hash_table_size (review->by_id))
    return;
  GHashTableIter iter;
  gpointer value;
  g_hash_table_iter_init (&iter, review->by_id);
  while (g_hash_table_iter_next (&iter, NULL, &value))
  {
    Entry *entry = value;
    if (entry->seen == review->walk)
      continue;
    if (entry->kind == MODEL_PART_JOIN)
      stale_join_panels (review, entry);
    if (entry->kind == MODEL_PART_PANEL)
    {
      stale_joins_of (review, entry->id);
      stale_lines_of (review, entry->id);
    }
    if (entry->kind == MODEL_PART_LINE)
      review->lines_went = true;
  }
  g_hash_table_iter_init (&iter, review->by_id);
  while (g_hash_table_iter_next (&iter, NULL, &value))
    if (((Entry *)value)->seen != review->walk)
      g_hash_table_iter_remove (&iter);
}

static void
stale_lines_by (EngineReview *review, guint measure_id)
{
  for (guint i = 0; i < review->doc->lines->len; i++)
  {
    const ModelLine *line = g_ptr_array_index (review->doc->lines, i);
    Entry *entry = line->measure_id == measure_id ? find_entry (review, MODEL_PART_LINE, line->id) : NULL;
    if (entry)
      entry->stale = true;
  }
}

static void
mark_touched (EngineReview *review, Touched touched)
{
  switch (touched.kind)
  {
  case MODEL_PART_HEAD:
    for (guint i = 0; i < review->order[MODEL_PART_PANEL]->len; i++)
      ((Entry *)g_ptr_array_index (review->order[MODEL_PART_PANEL], i))->unchecked = true;
    break;
  case MODEL_PART_MATERIAL:
    for (guint i = 0; i < review->doc->panels->len; i++)
    {
      const ModelPanel *panel = g_ptr_array_index (review->doc->panels, i);
      if (panel->material_id == touched.id)
        stale_panel (review, panel->id);
    }
    break;
  case MODEL_PART_MEASURE:
  case MODEL_PART_PANEL:
  case MODEL_PART_JOIN:
  case MODEL_PART_LINE:
  {
    Entry *entry = find_entry (review, touched.kind, touched.id);
    if (entry)
      entry->stale = true;
    if (touched.kind == MODEL_PART_MEASURE)
      stale_lines_by (review, touched.id);
    break;
  }
  case MODEL_PART_PHOTO:
  case MODEL_PART_FIT_NOTE:
  case MODEL_PART_REVISION:
    break;
  }
}

static void
link_join (EngineReview *review, Entry *entry, ModelJoin *join)
{
  if (entry->stale)
  {
    /* Allowances may change where it was and where it is. */
    stale_panel (review, entry->panel_a_id);
    stale_panel (review, entry->panel_b_id);
    stale_panel (review, join->a.panel_id);
    stale_panel (review, join->b.panel_id);
  }
  entry->panel_a_id = join->a.panel_id;
  entry->panel_b_id = join->b.panel_id;
  Entry *a = find_entry (review, MODEL_PART_PANEL, join->a.panel_id);
  Entry *b = find_entry (review, MODEL_PART_PANEL, join->b.panel_id);
  if (a)
    g_ptr_array_add (a->joins, join);
  if (b && b != a)
    g_ptr_array_add (b->joins, join);
}

static int
manner_of (const ModelPanel *panel)
{
  return 1 + (int)panel->side + 4 * (int)panel->halves + 16 * engine_panel_is_mirrored (panel);
}

/* A panel that became single, or changed sides, moves its joins: its partners' allowances change with it. */
static void
spread_manner (EngineReview *review)
{
  const GPtrArray *order = review->order[MODEL_PART_PANEL];
  for (guint i = 0; i < order->len; i++)
  {
    Entry *entry = g_ptr_array_index (order, i);
    int manner = entry->stale ? manner_of (model_document_panel (review->doc, entry->id)) : entry->manner;
    if (manner == entry->manner)
      continue;
    entry->manner = manner;
    for (guint k = 0; k < entry->joins->len; k++)
    {
      const ModelJoin *join = g_ptr_array_index (entry->joins, k);
      stale_panel (review, join->a.panel_id);
      stale_panel (review, join->b.panel_id);
    }
  }
}

static void
pair_by_name (EngineReview *review)
{
  const GPtrArray *order = review->order[MODEL_PART_PANEL];
  for (guint i = 0; i < order->len; i++)
  {
    Entry *entry = g_ptr_array_index (order, i);
    if (!entry->stale)
      continue;
    g_free (entry->twin_key);
    entry->twin_key = engine_twin_key (model_document_panel (review->doc, entry->id));
  }
  g_autoptr (GHashTable) waiting = g_hash_table_new (g_str_hash, g_str_equal);
  g_autofree guint *was = g_new (guint, order->len + 1);
  for (guint i = 0; i < order->len; i++)
  {
    Entry *entry = g_ptr_array_index (order, i);
    was[i] = entry->counterpart_id;
    entry->counterpart_id = 0;
  }
  for (guint i = 0; i < order->len; i++)
  {
    Entry *entry = g_ptr_array_index (order, i);
    if (!entry->twin_key)
      continue;
    Entry *other = g_hash_table_lookup (waiting, entry->twin_key);
    const ModelPanel *panel = model_document_panel (review->doc, entry->id);
    if (!other)
      g_hash_table_insert (waiting, entry->twin_key, entry);
    else if (!other->counterpart_id && model_document_panel (review->doc, other->id)->side != panel->side)
    {
      other->counterpart_id = entry->id;
      entry->counterpart_id = other->id;
    }
  }
  for (guint i = 0; i < order->len; i++)
  {
    Entry *entry = g_ptr_array_index (order, i);
    if (was[i] != entry->counterpart_id)
      entry->unchecked = true;
  }
}

/* ---- figures ---- */

static const EnginePiece *
piece_on (const Entry *entry, ModelSide side)
{
  if (entry->piece_count == 0)
    return NULL;
  return entry->piece_count == 1 ? entry->pieces[0] : entry->pieces[side == MODEL_SIDE_RIGHT];
}

static void
work_panel (EngineReview *review, Entry *entry)
{
  const ModelPanel *panel = model_document_panel (review->doc, entry->id);
  drop_pieces (entry);
  ModelSide sides[2], drawn = engine_panel_drawn_side (panel);
  entry->piece_count = engine_panel_sides (panel, sides);
  int first = entry->piece_count == 2 && sides[1] == drawn ? 1 : 0;
  entry->pieces[first] = engine_piece_new_seam (review->doc, panel, sides[first], entry->joins, NULL);
  if (entry->piece_count == 2)
    entry->pieces[1 - first]
      = engine_piece_new_seam (review->doc, panel, sides[1 - first], entry->joins, entry->pieces[first]);

  entry->unchecked = true;
  Entry *counterpart = find_entry (review, MODEL_PART_PANEL, entry->counterpart_id);
  if (counterpart)
    counterpart->unchecked = true;
  for (guint i = 0; i < entry->joins->len; i++)
  {
    const ModelJoin *join = g_ptr_array_index (entry->joins, i);
    Entry *join_entry = find_entry (review, MODEL_PART_JOIN, join->id);
    if (join_entry)
      join_entry->stale = true;
  }
  entry->worked = review->walk;
  entry->stale = false;
}

/* The piece that holds the panel as drawn: marks are kept by its lengths. */
static const EnginePiece *
drawn_piece (const Entry *entry, const ModelPanel *panel)
{
  return entry && panel ? piece_on (entry, engine_panel_drawn_side (panel)) : NULL;
}

static double
run_length (EngineReview *review, const ModelRun *run, ModelSide side)
{
  const Entry *entry = find_entry (review, MODEL_PART_PANEL, run->panel_id);
  const EnginePiece *piece = entry ? piece_on (entry, side) : NULL;
  const ModelPanel *panel = piece ? model_document_panel (review->doc, run->panel_id) : NULL;
  double sum = 0.0;
  for (guint i = 0; panel && i < run->edges->len; i++)
  {
    int index = engine_piece_find_edge (piece, g_array_index (run->edges, guint, i), side);
    if (index < 0)
      continue;
    EngineShare share = engine_run_share (panel, run, i, drawn_piece (entry, panel));
    sum += g_array_index (piece->edges, EnginePieceEdge, index).length_mm * (share.to - share.from);
  }
  return sum;
}

static void
work_join (EngineReview *review, Entry *entry)
{
  const ModelJoin *join = model_document_join (review->doc, entry->id);
  EngineJoinPlace places[2];
  entry->reading_count = engine_join_places (review->doc, join, places);
  for (int i = 0; i < entry->reading_count; i++)
  {
    EngineJoinReading *reading = &entry->readings[i];
    memset (reading, 0, sizeof *reading);
    reading->join_id = join->id;
    reading->side = places[i].side;
    reading->side_a = places[i].side_a;
    reading->side_b = places[i].side_b;
    reading->length_a_mm = run_length (review, &join->a, places[i].side_a);
    reading->length_b_mm = run_length (review, &join->b, places[i].side_b);
    reading->ease_mm = engine_join_ease_mm (join, reading->length_a_mm);
    reading->difference_mm = reading->length_b_mm - reading->length_a_mm - reading->ease_mm;
    reading->tolerance_mm = join->tolerance_mm;
    reading->holds = fabs (reading->difference_mm) <= join->tolerance_mm;
  }
  entry->unchecked = true;
  entry->stale = false;
}

/* Where a line lies is what its panels are: it is measured anew when one of them was, and since layers are
 * compared with one another, all lines are checked again when any was. */
static void
work_lines (EngineReview *review)
{
  const GPtrArray *lines = review->order[MODEL_PART_LINE];
  bool any = review->lines_went;
  review->lines_went = false;
  for (guint i = 0; i < lines->len; i++)
  {
    Entry *entry = g_ptr_array_index (lines, i);
    const ModelLine *line = model_document_line (review->doc, entry->id);
    for (guint k = 0; k < line->spans->len && !entry->stale; k++)
    {
      const Entry *panel
        = find_entry (review, MODEL_PART_PANEL, g_array_index (line->spans, ModelSpan, k).panel_id);
      entry->stale = panel && panel->worked == review->walk;
    }
    if (!entry->stale)
      continue;
    engine_line_read (review, line, &entry->line);
    entry->stale = false;
    any = true;
  }
  for (guint i = 0; i < lines->len && any; i++)
    ((Entry *)g_ptr_array_index (lines, i))->unchecked = true;
}

static void
work_figures (EngineReview *review)
{
  if (!review->figures_stale)
    return;
  if (review->all_stale)
    g_hash_table_remove_all (review->by_id);
  review->walk++;
  walk_list (review, MODEL_PART_PANEL, review->doc->panels);
  walk_list (review, MODEL_PART_JOIN, review->doc->joins);
  walk_list (review, MODEL_PART_MEASURE, review->doc->measures);
  walk_list (review, MODEL_PART_LINE, review->doc->lines);
  drop_unseen (review);
  for (guint i = 0; i < review->touched->len; i++)
    mark_touched (review, g_array_index (review->touched, Touched, i));
  g_array_set_size (review->touched, 0);
  review->all_stale = false;

  const GPtrArray *panels = review->order[MODEL_PART_PANEL], *joins = review->order[MODEL_PART_JOIN];
  const GPtrArray *measures = review->order[MODEL_PART_MEASURE];
  for (guint i = 0; i < panels->len; i++)
    g_ptr_array_set_size (((Entry *)g_ptr_array_index (panels, i))->joins, 0);
  for (guint i = 0; i < joins->len; i++)
    link_join (review, g_ptr_array_index (joins, i), g_ptr_array_index (review->doc->joins, i));
  spread_manner (review);
  pair_by_name (review);

  g_ptr_array_set_size (review->pieces, 0);
  for (guint i = 0; i < panels->len; i++)
  {
    Entry *entry = g_ptr_array_index (panels, i);
    if (entry->stale)
      work_panel (review, entry);
    for (int k = 0; k < entry->piece_count; k++)
      g_ptr_array_add (review->pieces, entry->pieces[k]);
  }
  g_array_set_size (review->readings, 0);
  for (guint i = 0; i < joins->len; i++)
  {
    Entry *entry = g_ptr_array_index (joins, i);
    if (entry->stale)
      work_join (review, entry);
    g_array_append_vals (review->readings, entry->readings, (guint)entry->reading_count);
  }
  for (guint i = 0; i < measures->len; i++)
  {
    Entry *entry = g_ptr_array_index (measures, i);
    entry->unchecked = entry->unchecked || entry->stale;
    entry->stale = false;
  }
  review->document->unchecked = true;
  review->figures_stale = false;
  work_lines (review);
}

/* ---- findings ---- */

static EngineSubject
subject_of (ModelPartKind kind)
{
  switch (kind)
  {
  case MODEL_PART_PANEL:
    return ENGINE_SUBJECT_PANEL;
  case MODEL_PART_JOIN:
    return ENGINE_SUBJECT_JOIN;
  case MODEL_PART_MEASURE:
    return ENGINE_SUBJECT_MEASURE;
  case MODEL_PART_LINE:
    return ENGINE_SUBJECT_LINE;
  case MODEL_PART_HEAD:
  case MODEL_PART_MATERIAL:
  case MODEL_PART_PHOTO:
  case MODEL_PART_FIT_NOTE:
  case MODEL_PART_REVISION:
    return ENGINE_SUBJECT_DOCUMENT;
  }
  return ENGINE_SUBJECT_DOCUMENT;
}

static void
run_checks (EngineReview *review, Entry *entry)
{
  const EngineCheck *const *checks = engine_checks ();
  EngineSubject subject = subject_of (entry->kind);
  if (!entry->findings)
    entry->findings = g_array_new (FALSE, FALSE, sizeof (EngineFinding));
  g_array_set_size (entry->findings, 0);
  guint c = 0;
  for (; checks[c]; c++)
  {
    g_assert (c < MAX_CHECKS);
    entry->start[c] = entry->findings->len;
    if (checks[c]->subject == subject)
      checks[c]->run (review, entry->id, entry->findings);
  }
  entry->start[c] = entry->findings->len;
  entry->unchecked = false;
}

static void
list_findings (EngineReview *review, const Entry *entry, guint check)
{
  for (guint i = entry->start[check]; i < entry->start[check + 1]; i++)
    g_ptr_array_add (review->findings, &g_array_index (entry->findings, EngineFinding, i));
}

static const GPtrArray *
entries_of (const EngineReview *review, EngineSubject subject)
{
  switch (subject)
  {
  case ENGINE_SUBJECT_DOCUMENT:
    return NULL;
  case ENGINE_SUBJECT_PANEL:
    return review->order[MODEL_PART_PANEL];
  case ENGINE_SUBJECT_JOIN:
    return review->order[MODEL_PART_JOIN];
  case ENGINE_SUBJECT_MEASURE:
    return review->order[MODEL_PART_MEASURE];
  case ENGINE_SUBJECT_LINE:
    return review->order[MODEL_PART_LINE];
  }
  return NULL;
}

static void
work_findings (EngineReview *review)
{
  work_figures (review);
  if (!review->findings_stale)
    return;
  static const EngineSubject subjects[]
    = { ENGINE_SUBJECT_PANEL, ENGINE_SUBJECT_JOIN, ENGINE_SUBJECT_MEASURE, ENGINE_SUBJECT_LINE };
  for (guint s = 0; s < G_N_ELEMENTS (subjects); s++)
  {
    const GPtrArray *entries = entries_of (review, subjects[s]);
    for (guint i = 0; i < entries->len; i++)
    {
      Entry *entry = g_ptr_array_index (entries, i);
      if (entry->unchecked)
        run_checks (review, entry);
    }
  }
  run_checks (review, review->document);

  g_ptr_array_set_size (review->findings, 0);
  const EngineCheck *const *checks = engine_checks ();
  for (guint c = 0; checks[c]; c++)
  {
    const GPtrArray *entries = entries_of (review, checks[c]->subject);
    if (!entries)
      list_findings (review, review->document, c);
    else
      for (guint i = 0; i < entries->len; i++)
        list_findings (review, g_ptr_array_index (entries, i), c);
  }
  review->findings_stale = false;
}

/* ---- questions ---- */

static void
add_cuts (EngineReview *review, Entry *entry)
{
  const ModelPanel *panel = model_document_panel (review->doc, entry->id);
  const EnginePiece *drawn = NULL;
  for (int i = 0; i < entry->piece_count; i++)
    if (!entry->pieces[i]->copied)
    {
      engine_piece_add_cut (entry->pieces[i], panel, NULL);
      drawn = entry->pieces[i];
    }
  for (int i = 0; i < entry->piece_count; i++)
    engine_piece_add_cut (entry->pieces[i], panel, drawn);
}

/* The index of the piece of ENTRY on SIDE, -1 if there is none. */
static int
piece_index (EngineReview *review, const Entry *entry, ModelSide side)
{
  if (!entry || entry->piece_count == 0)
    return -1;
  if (entry->piece_count == 2)
    return side == MODEL_SIDE_CENTRE ? -1 : side == MODEL_SIDE_RIGHT;
  if (side == MODEL_SIDE_CENTRE || side == entry->pieces[0]->side)
    return 0;
  return engine_panel_is_mirrored (model_document_panel (review->doc, entry->id)) ? 0 : -1;
}

const EnginePiece *
engine_review_piece (EngineReview *review, guint panel_id, ModelSide side)
{
  work_figures (review);
  Entry *entry = find_entry (review, MODEL_PART_PANEL, panel_id);
  int index = piece_index (review, entry, side);
  if (index < 0)
    return NULL;
  if (!entry->pieces[index]->has_cut)
    add_cuts (review, entry);
  return entry->pieces[index];
}

const EnginePiece *
engine_review_seam_piece (EngineReview *review, guint panel_id, ModelSide side)
{
  work_figures (review);
  const Entry *entry = find_entry (review, MODEL_PART_PANEL, panel_id);
  int index = piece_index (review, entry, side);
  return index < 0 ? NULL : entry->pieces[index];
}

const GPtrArray *
engine_review_pieces (EngineReview *review)
{
  work_figures (review);
  for (guint i = 0; i < review->order[MODEL_PART_PANEL]->len; i++)
  {
    Entry *entry = g_ptr_array_index (review->order[MODEL_PART_PANEL], i);
    if (entry->piece_count > 0
        && !(entry->pieces[0]->has_cut && entry->pieces[entry->piece_count - 1]->has_cut))
      add_cuts (review, entry);
  }
  return review->pieces;
}

const GPtrArray *
engine_review_seam_pieces (EngineReview *review)
{
  work_figures (review);
  return review->pieces;
}

const GArray *
engine_review_readings (EngineReview *review)
{
  work_figures (review);
  return review->readings;
}

int
engine_review_join_readings (EngineReview *review, guint join_id, EngineJoinReading out[2])
{
  work_figures (review);
  const Entry *entry = find_entry (review, MODEL_PART_JOIN, join_id);
  if (!entry)
    return 0;
  for (int i = 0; i < entry->reading_count; i++)
    out[i] = entry->readings[i];
  return entry->reading_count;
}

const GPtrArray *
engine_review_findings (EngineReview *review)
{
  work_findings (review);
  return review->findings;
}

typedef struct Weighed
{
  double weight;
  guint index;
} Weighed;

static gint
worse_first (gconstpointer a, gconstpointer b)
{
  const Weighed *x = a, *y = b;
  if (x->weight > y->weight || x->weight < y->weight)
    return x->weight > y->weight ? -1 : 1;
  return x->index < y->index ? -1 : x->index > y->index;
}

GPtrArray *
engine_review_open_findings (EngineReview *review)
{
  work_findings (review);
  g_autoptr (GArray) weighed = g_array_new (FALSE, FALSE, sizeof (Weighed));
  for (guint i = 0; i < review->findings->len; i++)
  {
    const EngineFinding *finding = g_ptr_array_index (review->findings, i);
    Weighed entry = { engine_finding_weight (finding), i };
    if (!finding->holds)
      g_array_append_val (weighed, entry);
  }
  g_array_sort (weighed, worse_first);
  GPtrArray *open = g_ptr_array_sized_new (weighed->len);
  for (guint i = 0; i < weighed->len; i++)
    g_ptr_array_add (open, g_ptr_array_index (review->findings, g_array_index (weighed, Weighed, i).index));
  return open;
}

bool
engine_review_holds (EngineReview *review)
{
  work_findings (review);
  for (guint i = 0; i < review->findings->len; i++)
    if (!((const EngineFinding *)g_ptr_array_index (review->findings, i))->holds)
      return false;
  return true;
}

const EngineLineReading *
engine_review_line (EngineReview *review, guint line_id)
{
  work_figures (review);
  const Entry *entry = find_entry (review, MODEL_PART_LINE, line_id);
  return entry ? &entry->line : NULL;
}

const GPtrArray *
engine_review_joins_of (EngineReview *review, guint panel_id)
{
  work_figures (review);
  const Entry *entry = find_entry (review, MODEL_PART_PANEL, panel_id);
  return entry ? entry->joins : NULL;
}

guint
engine_review_counterpart (EngineReview *review, guint panel_id)
{
  work_figures (review);
  const Entry *entry = find_entry (review, MODEL_PART_PANEL, panel_id);
  return entry ? entry->counterpart_id : 0;
}

/* The piece a run lies on, NULL when it or one of the edges is not there. */
static const EnginePiece *
piece_of_run (EngineReview *review, const ModelRun *run, ModelSide side)
{
  work_figures (review);
  const Entry *entry = find_entry (review, MODEL_PART_PANEL, run->panel_id);
  const EnginePiece *piece = entry ? piece_on (entry, side) : NULL;
  for (guint i = 0; piece && i < run->edges->len; i++)
    if (engine_piece_find_edge (piece, g_array_index (run->edges, guint, i), side) < 0)
      return NULL;
  return piece;
}

/* The stretch of the run's K-th edge, in the direction in which it was drawn. */
static void
run_stretch (
  EngineReview *review, const EnginePiece *piece, const ModelRun *run, guint k, ModelSide side, GeomPath *out)
{
  const ModelPanel *panel = model_document_panel (review->doc, run->panel_id);
  const Entry *entry = find_entry (review, MODEL_PART_PANEL, run->panel_id);
  int index = engine_piece_find_edge (piece, g_array_index (run->edges, guint, k), side);
  const EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, index);
  EngineShare share = engine_run_share (panel, run, k, drawn_piece (entry, panel));
  GeomPath whole;
  geom_path_init (&whole);
  engine_piece_edge_path (piece, (guint)index, &whole);
  if (edge->mirrored)
    geom_path_reverse (&whole);
  if (share.from > 0.0 || share.to < 1.0)
    geom_path_part (&whole, geom_path_place_at (&whole, share.from * edge->length_mm, ENGINE_TOL_LENGTH_MM),
                    geom_path_place_at (&whole, share.to * edge->length_mm, ENGINE_TOL_LENGTH_MM), out);
  else
    geom_path_copy (out, &whole);
  geom_path_clear (&whole);
}

bool
engine_review_run_path (EngineReview *review, const ModelRun *run, ModelSide side, GeomPath *out)
{
  const EnginePiece *piece = piece_of_run (review, run, side);
  if (!piece || run->edges->len == 0)
    return false;
  GeomPath stretch;
  geom_path_init (&stretch);
  for (guint i = 0; i < run->edges->len; i++)
  {
    guint k = run->reversed ? run->edges->len - 1 - i : i;
    geom_path_reset (&stretch);
    run_stretch (review, piece, run, k, side, &stretch);
    if (run->reversed)
      geom_path_reverse (&stretch);
    geom_path_append_path (out, &stretch);
  }
  geom_path_clear (&stretch);
  return true;
}

bool
engine_review_run_point (
  EngineReview *review, const ModelRun *run, ModelSide side, bool at_end, GeomPoint *out)
{
  const EnginePiece *piece = piece_of_run (review, run, side);
  if (!piece || run->edges->len == 0)
    return false;
  bool drawn_end = at_end != run->reversed;
  guint k = drawn_end ? run->edges->len - 1 : 0;
  int index = engine_piece_find_edge (piece, g_array_index (run->edges, guint, k), side);
  const EnginePieceEdge *edge = &g_array_index (piece->edges, EnginePieceEdge, index);
  if (engine_run_is_cut (run, at_end))
  {
    GeomPath stretch;
    geom_path_init (&stretch);
    run_stretch (review, piece, run, k, side, &stretch);
    bool any = stretch.count > 0;
    if (any)
      *out = drawn_end ? stretch.piece[stretch.count - 1].p[3] : stretch.piece[0].p[0];
    geom_path_clear (&stretch);
    if (any)
      return true;
  }
  bool piece_end = drawn_end != edge->mirrored;
  *out
    = piece_end ? piece->seam.piece[edge->first + edge->count - 1].p[3] : piece->seam.piece[edge->first].p[0];
  return true;
}

bool
engine_review_mark_along (
  EngineReview *review, const ModelRun *run, ModelSide side, guint mark_id, double *along_mm)
{
  const EnginePiece *piece = piece_of_run (review, run, side);
  const ModelPanel *panel = model_document_panel (review->doc, run->panel_id);
  const ModelMark *mark = piece && panel ? model_panel_find_mark (panel, mark_id) : NULL;
  if (!mark)
    return false;
  const EnginePiece *drawn = drawn_piece (find_entry (review, MODEL_PART_PANEL, panel->id), panel);
  double before = 0.0, at = 0.0;
  bool found = false;
  for (guint i = 0; i < run->edges->len; i++)
  {
    guint edge_id = g_array_index (run->edges, guint, i);
    int index = engine_piece_find_edge (piece, edge_id, side);
    double length = g_array_index (piece->edges, EnginePieceEdge, index).length_mm, here;
    EngineShare share = engine_run_share (panel, run, i, drawn);
    if (edge_id == mark->edge_id && engine_mark_share (panel, mark_id, drawn, &here))
    {
      at = before + (here - share.from) * length;
      found = true;
    }
    before += (share.to - share.from) * length;
  }
  if (found)
    *along_mm = run->reversed ? before - at : at;
  return found;
}

double
engine_review_ease_before (EngineReview *review, const EngineJoinReading *reading, double along_a_mm)
{
  const ModelJoin *join = model_document_join (review->doc, reading->join_id);
  double from = 0.0, to = reading->length_a_mm, at;
  if (!join)
    return 0.0;
  /* The two marks in the order in which the run comes to them. */
  if (join->ease_from_id != 0
      && engine_review_mark_along (review, &join->a, reading->side_a, join->ease_from_id, &at))
    from = at;
  if (join->ease_to_id != 0
      && engine_review_mark_along (review, &join->a, reading->side_a, join->ease_to_id, &at))
    to = at;
  if (from > to)
  {
    at = from;
    from = to;
    to = at;
  }
  if (!(to > from))
    return along_a_mm > from ? reading->ease_mm : 0.0;
  return reading->ease_mm * CLAMP ((along_a_mm - from) / (to - from), 0.0, 1.0);
}
