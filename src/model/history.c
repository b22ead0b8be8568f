/* Undo by exchange.
 *
 * A step keeps what is not in the document at present: after the change, the part as it was before; after
 * undo, the part as it was after.  Undo and redo are the same exchange, done backwards or forwards, and no
 * part is held twice.
 */
#include "model/history.h"

#include "model/file.h"
#include "model/sound.h"

#include <glib/gi18n.h>
#include <string.h>

/* Typed values of one field that follow one another within this time are one step. */
#define MERGE_WINDOW_US G_USEC_PER_SEC

typedef enum StepDeed
{
  STEP_BODY,     /* OTHER is exchanged for the part of its id */
  STEP_PRESENCE, /* the part goes (OTHER empty) or comes to INDEX */
  STEP_PLACE     /* the part goes to INDEX in its list */
} StepDeed;

typedef struct Step
{
  StepDeed deed;
  ModelPart other;
  guint id;
  int index;
} Step;

typedef struct Group
{
  char *label, *merge_key;
  gint64 ended_us;
  GArray *steps;
  /* By kind: ids in list order before the group first touched the order; NULL when it has not. */
  GArray *order[MODEL_PART_KINDS];
} Group;

struct _ModelHistory
{
  GObject parent;

  ModelDocument *doc;
  GPtrArray *groups; /* Group, oldest first */
  guint position;    /* how many of them are done */
  gint64 saved_at;   /* the position that is on disk; -1: none */
  Group *open;
  guint level;
  bool putting_back; /* undo, redo or cancel under way: the door is shut */
};

G_DEFINE_FINAL_TYPE (ModelHistory, model_history, G_TYPE_OBJECT)

enum
{
  SIGNAL_TOUCHED,
  SIGNAL_SETTLED,
  SIGNAL_COUNT
};

static guint signals[SIGNAL_COUNT];

/* ---- groups ---- */

static void
clear_step (gpointer step)
{
  model_part_clear (&((Step *)step)->other);
}

static Group *
group_new (const char *label, const char *merge_key)
{
  Group *group = g_new0 (Group, 1);

  group->label = g_strdup (label);
  group->merge_key = g_strdup (merge_key);
  group->steps = g_array_new (FALSE, FALSE, sizeof (Step));
  g_array_set_clear_func (group->steps, clear_step);
  return group;
}

static void
group_free (Group *group)
{
  if (group == NULL)
    return;
  g_free (group->label);
  g_free (group->merge_key);
  g_array_unref (group->steps);
  for (guint kind = 0; kind < G_N_ELEMENTS (group->order); kind++)
    g_clear_pointer (&group->order[kind], g_array_unref);
  g_free (group);
}

static GArray *
order_of (const ModelDocument *doc, ModelPartKind kind)
{
  const GPtrArray *list = model_document_list (doc, kind);
  GArray *order = g_array_sized_new (FALSE, FALSE, sizeof (guint), list->len);

  for (guint i = 0; i < list->len; i++)
  {
    guint id = model_part_id ((ModelPart) { kind, g_ptr_array_index (list, i) });

    g_array_append_val (order, id);
  }
  return order;
}

static void
note_order (ModelHistory *self, ModelPartKind kind)
{
  if (self->open->order[kind] == NULL)
    self->open->order[kind] = order_of (self->doc, kind);
}

/* The group already knows what the part was before it: a further change of its body needs no step. */
static bool
holds_body (const Group *group, ModelPartKind kind, guint id)
{
  for (guint i = 0; i < group->steps->len; i++)
  {
    const Step *step = &g_array_index (group->steps, Step, i);

    if (step->deed != STEP_PLACE && step->other.kind == kind && step->id == id)
      return true;
  }
  return false;
}

static bool
same_part (ModelPart a, ModelPart b)
{
  g_autofree char *text_a = NULL, *text_b = NULL;
  gsize length_a, length_b;

  if (a.body == NULL || b.body == NULL)
    return a.body == b.body;
  text_a = model_part_to_data (a, &length_a);
  text_b = model_part_to_data (b, &length_b);
  return length_a == length_b && memcmp (text_a, text_b, length_a) == 0;
}

static bool
same_order (const ModelDocument *doc, ModelPartKind kind, const GArray *before)
{
  g_autoptr (GArray) now = order_of (doc, kind);

  return now->len == before->len
         && (now->len == 0 || memcmp (now->data, before->data, now->len * sizeof (guint)) == 0);
}

/* The latest group has left everything as it was. */
static bool
is_idle (const ModelDocument *doc, const Group *group)
{
  g_autoptr (GHashTable) seen = g_hash_table_new_full (g_int64_hash, g_int64_equal, g_free, NULL);

  for (guint kind = 0; kind < G_N_ELEMENTS (group->order); kind++)
    if (group->order[kind] != NULL && !same_order (doc, (ModelPartKind)kind, group->order[kind]))
      return false;
  /* The first step of a part holds what it was before. */
  for (guint i = 0; i < group->steps->len; i++)
  {
    const Step *step = &g_array_index (group->steps, Step, i);
    gint64 key = ((gint64)step->other.kind << 32) | step->id;

    if (step->deed != STEP_PLACE && g_hash_table_add (seen, g_memdup2 (&key, sizeof key))
        && !same_part (step->other, model_document_part (doc, step->other.kind, step->id)))
      return false;
  }
  return true;
}

/* ---- exchange ---- */

static void
emit_touched (ModelHistory *self, ModelPartKind kind, guint id, ModelTouch touch)
{
  g_signal_emit (self, signals[SIGNAL_TOUCHED], 0, (int)kind, id, (int)touch);
}

static void
exchange (ModelHistory *self, Step *step)
{
  ModelPartKind kind = step->other.kind;
  ModelTouch touch = MODEL_TOUCH_CHANGED;
  ModelPart part;
  int index = -1;

  switch (step->deed)
  {
  case STEP_BODY:
    step->other = model_document_swap (self->doc, step->other);
    break;
  case STEP_PRESENCE:
    if (step->other.body != NULL)
    {
      model_document_put (self->doc, step->other, step->index);
      step->other.body = NULL;
      touch = MODEL_TOUCH_ADDED;
    }
    else
    {
      step->other = model_document_take (self->doc, kind, step->id, &step->index);
      touch = MODEL_TOUCH_REMOVED;
    }
    break;
  case STEP_PLACE:
    part = model_document_take (self->doc, kind, step->id, &index);
    model_document_put (self->doc, part, step->index);
    step->index = index;
    break;
  }
  emit_touched (self, kind, step->id, touch);
}

static void
undo_group (ModelHistory *self, Group *group)
{
  self->putting_back = true;
  for (guint i = group->steps->len; i-- > 0;)
    exchange (self, &g_array_index (group->steps, Step, i));
  self->putting_back = false;
}

static void
redo_group (ModelHistory *self, Group *group)
{
  self->putting_back = true;
  for (guint i = 0; i < group->steps->len; i++)
    exchange (self, &g_array_index (group->steps, Step, i));
  self->putting_back = false;
}

static void
settle (ModelHistory *self)
{
  g_signal_emit (self, signals[SIGNAL_SETTLED], 0);
}

/* ---- changes ---- */

static const char *
general_label (ModelPartKind kind)
{
  switch (kind)
  {
  case MODEL_PART_HEAD:
    return _ ("Change document");
  case MODEL_PART_MATERIAL:
    return _ ("Change material");
  case MODEL_PART_MEASURE:
    return _ ("Change measure");
  case MODEL_PART_PANEL:
    return _ ("Change panel");
  case MODEL_PART_JOIN:
    return _ ("Change join");
  case MODEL_PART_LINE:
    return _ ("Change line");
  case MODEL_PART_PHOTO:
    return _ ("Change photo");
  case MODEL_PART_FIT_NOTE:
    return _ ("Change fit note");
  case MODEL_PART_REVISION:
    return _ ("Change revision");
  }
  g_return_val_if_reached ("");
}

guint
model_history_put (ModelHistory *self, ModelPart part)
{
  ModelPart old;
  Step step;

  g_return_val_if_fail (MODEL_IS_HISTORY (self), 0);
  g_return_val_if_fail (part.body != NULL && !self->putting_back, 0);
  model_part_make_sound (part, self->doc);
  /* Nothing is left of a panel without a node; the tools do not come to that. */
  g_return_val_if_fail (part.kind != MODEL_PART_PANEL || ((ModelPanel *)part.body)->edges->len > 0, 0);
  step = (Step) { .id = model_part_id (part), .index = -1 };
  old = model_document_part (self->doc, part.kind, step.id);
  g_return_val_if_fail (old.body != part.body, 0);
  model_history_begin (self, general_label (part.kind));
  if (old.body == NULL)
  {
    note_order (self, part.kind);
    model_document_put (self->doc, part, -1);
    step.deed = STEP_PRESENCE;
    step.other = old;
    g_array_append_val (self->open->steps, step);
  }
  else
  {
    step.deed = STEP_BODY;
    step.other = model_document_swap (self->doc, part);
    if (holds_body (self->open, part.kind, step.id))
      model_part_clear (&step.other);
    else
      g_array_append_val (self->open->steps, step);
  }
  emit_touched (self, part.kind, step.id, old.body == NULL ? MODEL_TOUCH_ADDED : MODEL_TOUCH_CHANGED);
  model_history_end (self);
  return step.id;
}

guint
model_history_put_panel (ModelHistory *self, ModelPanel *panel)
{
  return model_history_put (self, (ModelPart) { MODEL_PART_PANEL, panel });
}

guint
model_history_put_join (ModelHistory *self, ModelJoin *join)
{
  return model_history_put (self, (ModelPart) { MODEL_PART_JOIN, join });
}

guint
model_history_put_measure (ModelHistory *self, ModelMeasure *measure)
{
  return model_history_put (self, (ModelPart) { MODEL_PART_MEASURE, measure });
}

guint
model_history_put_line (ModelHistory *self, ModelLine *line)
{
  return model_history_put (self, (ModelPart) { MODEL_PART_LINE, line });
}

guint
model_history_put_photo (ModelHistory *self, ModelPhoto *photo)
{
  return model_history_put (self, (ModelPart) { MODEL_PART_PHOTO, photo });
}

guint
model_history_put_fit_note (ModelHistory *self, ModelFitNote *note)
{
  return model_history_put (self, (ModelPart) { MODEL_PART_FIT_NOTE, note });
}

guint
model_history_put_revision (ModelHistory *self, ModelRevision *revision)
{
  return model_history_put (self, (ModelPart) { MODEL_PART_REVISION, revision });
}

guint
model_history_put_material (ModelHistory *self, ModelMaterial *material)
{
  return model_history_put (self, (ModelPart) { MODEL_PART_MATERIAL, material });
}

void
model_history_put_head (ModelHistory *self, ModelHead *head)
{
  model_history_put (self, (ModelPart) { MODEL_PART_HEAD, head });
}

void
model_history_remove (ModelHistory *self, ModelPartKind kind, guint id)
{
  Step step = { .deed = STEP_PRESENCE, .id = id };

  g_return_if_fail (MODEL_IS_HISTORY (self));
  g_return_if_fail (!self->putting_back);
  if (kind == MODEL_PART_HEAD || model_document_part (self->doc, kind, id).body == NULL)
    return;
  model_history_begin (self, general_label (kind));
  note_order (self, kind);
  step.other = model_document_take (self->doc, kind, id, &step.index);
  g_array_append_val (self->open->steps, step);
  emit_touched (self, kind, id, MODEL_TOUCH_REMOVED);
  model_history_end (self);
}

/* Backwards, because removing shortens the list. */
static void
remove_joins_of (ModelHistory *self, guint panel_id)
{
  for (guint i = self->doc->joins->len; i-- > 0;)
  {
    const ModelJoin *join = g_ptr_array_index (self->doc->joins, i);

    if (join->a.panel_id == panel_id || join->b.panel_id == panel_id)
      model_history_remove (self, MODEL_PART_JOIN, join->id);
  }
}

void
model_history_remove_panel (ModelHistory *self, guint panel_id)
{
  g_return_if_fail (MODEL_IS_HISTORY (self));
  if (model_document_panel (self->doc, panel_id) == NULL)
    return;
  model_history_begin (self, _ ("Remove panel"));
  remove_joins_of (self, panel_id);
  model_history_remove (self, MODEL_PART_PANEL, panel_id);
  model_history_end (self);
}

void
model_history_move (ModelHistory *self, ModelPartKind kind, guint id, guint index)
{
  Step step = { .deed = STEP_PLACE, .other = { kind, NULL }, .id = id };
  ModelPart part;

  g_return_if_fail (MODEL_IS_HISTORY (self));
  g_return_if_fail (!self->putting_back);
  if (kind == MODEL_PART_HEAD || model_document_part (self->doc, kind, id).body == NULL)
    return;
  model_history_begin (self, general_label (kind));
  note_order (self, kind);
  part = model_document_take (self->doc, kind, id, &step.index);
  model_document_put (self->doc, part, (int)MIN (index, (guint)G_MAXINT));
  g_array_append_val (self->open->steps, step);
  emit_touched (self, kind, id, MODEL_TOUCH_CHANGED);
  model_history_end (self);
}

/* ---- references, when a group ends ---- */

/* A join within one panel may have closed a dart over which others run. */
static void
add_panel_of_join (GHashTable *touched, ModelPart part)
{
  const ModelJoin *join = part.body;

  if (part.kind == MODEL_PART_JOIN && join != NULL && join->a.panel_id == join->b.panel_id)
    g_hash_table_add (touched, GUINT_TO_POINTER (join->a.panel_id));
}

/* TOUCHED: ids of the panels and joins the group has changed.  True: a join within one panel has changed, so
 * that others may have to follow. */
static bool
mend_joins (ModelHistory *self, GHashTable *touched)
{
  bool again = false;

  for (guint i = self->doc->joins->len; i-- > 0;)
  {
    const ModelJoin *join = g_ptr_array_index (self->doc->joins, i);
    g_autoptr (ModelJoin) mended = NULL;

    if (!g_hash_table_contains (touched, GUINT_TO_POINTER (join->id))
        && !g_hash_table_contains (touched, GUINT_TO_POINTER (join->a.panel_id))
        && !g_hash_table_contains (touched, GUINT_TO_POINTER (join->b.panel_id)))
      continue;
    if (model_join_is_sound (self->doc, join))
      continue;
    again = again || join->a.panel_id == join->b.panel_id;
    add_panel_of_join (touched, (ModelPart) { MODEL_PART_JOIN, (gpointer)join });
    mended = model_join_copy (join);
    if (model_join_mend (self->doc, mended))
      model_history_put_join (self, g_steal_pointer (&mended));
    else
      model_history_remove (self, MODEL_PART_JOIN, join->id);
  }
  return again;
}

static void
mend_materials (ModelHistory *self)
{
  for (guint i = 0; i < self->doc->panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (self->doc->panels, i);
    ModelPanel *mended;

    if (panel->material_id == 0 || model_document_material (self->doc, panel->material_id) != NULL)
      continue;
    mended = model_panel_copy (panel);
    mended->material_id = 0;
    model_history_put_panel (self, mended);
  }
}

/* Lines lose spans whose panel or marks are gone; they and fit notes forget what they named. */
static void
mend_lines_and_notes (ModelHistory *self)
{
  for (guint i = self->doc->lines->len; i-- > 0;)
  {
    const ModelLine *line = g_ptr_array_index (self->doc->lines, i);
    g_autoptr (ModelLine) mended = NULL;

    if (model_line_is_sound (self->doc, line))
      continue;
    mended = model_line_copy (line);
    model_line_mend (self->doc, mended);
    model_history_put_line (self, g_steal_pointer (&mended));
  }
  for (guint i = self->doc->fit_notes->len; i-- > 0;)
  {
    const ModelFitNote *note = g_ptr_array_index (self->doc->fit_notes, i);
    g_autoptr (ModelFitNote) mended = NULL;

    if (model_fit_note_is_sound (self->doc, note))
      continue;
    mended = model_fit_note_copy (note);
    model_fit_note_mend (self->doc, mended);
    model_history_put_fit_note (self, g_steal_pointer (&mended));
  }
}

static void
mend_references (ModelHistory *self)
{
  g_autoptr (GHashTable) touched = g_hash_table_new (NULL, NULL);
  bool of_materials = false;

  for (guint i = 0; i < self->open->steps->len; i++)
  {
    const Step *step = &g_array_index (self->open->steps, Step, i);

    g_hash_table_add (touched, GUINT_TO_POINTER (step->id));
    add_panel_of_join (touched, step->other);
    of_materials
      = of_materials || step->other.kind == MODEL_PART_PANEL || step->other.kind == MODEL_PART_MATERIAL;
  }
  if (of_materials)
    mend_materials (self);
  /* Each round shortens runs or takes joins away. */
  for (guint rounds = self->doc->joins->len + 1; rounds > 0 && mend_joins (self, touched); rounds--)
    ;
  mend_lines_and_notes (self);
}

/* ---- opening and closing ---- */

static void
begin (ModelHistory *self, const char *label, const char *merge_key)
{
  g_return_if_fail (MODEL_IS_HISTORY (self));
  g_return_if_fail (!self->putting_back);
  if (self->level++ == 0)
    self->open = group_new (label, merge_key);
}

void
model_history_begin (ModelHistory *self, const char *label)
{
  begin (self, label, NULL);
}

void
model_history_begin_merging (ModelHistory *self, const char *label, const char *merge_key)
{
  begin (self, label, merge_key);
}

/* The last group, if the new one continues it.  A state that is on disk stays a step of its own. */
static Group *
continued_group (ModelHistory *self, const Group *group)
{
  Group *last;

  if (group->merge_key == NULL || self->position == 0 || self->position < self->groups->len
      || self->saved_at == (gint64)self->position)
    return NULL;
  last = g_ptr_array_index (self->groups, self->position - 1);
  if (g_strcmp0 (last->merge_key, group->merge_key) != 0
      || group->ended_us - last->ended_us >= MERGE_WINDOW_US)
    return NULL;
  return last;
}

/* MORE, which is used up, happened right after GROUP. */
static void
continue_group (Group *group, Group *more)
{
  for (guint i = 0; i < more->steps->len; i++)
  {
    Step *step = &g_array_index (more->steps, Step, i);

    if (step->deed == STEP_BODY && holds_body (group, step->other.kind, step->id))
      continue;
    g_array_append_val (group->steps, *step);
    step->other.body = NULL;
  }
  for (guint kind = 0; kind < G_N_ELEMENTS (group->order); kind++)
    if (group->order[kind] == NULL)
      group->order[kind] = g_steal_pointer (&more->order[kind]);
  group->ended_us = more->ended_us;
  group_free (more);
}

static void
keep_group (ModelHistory *self, Group *group)
{
  Group *last = continued_group (self, group);

  if (last != NULL)
  {
    continue_group (last, group);
    if (is_idle (self->doc, last))
      g_ptr_array_set_size (self->groups, (int)--self->position);
    return;
  }
  g_ptr_array_set_size (self->groups, (int)self->position);
  if (self->saved_at > (gint64)self->position)
    self->saved_at = -1;
  /* Only a group that may be continued needs to know the old order. */
  for (guint kind = 0; group->merge_key == NULL && kind < G_N_ELEMENTS (group->order); kind++)
    g_clear_pointer (&group->order[kind], g_array_unref);
  g_ptr_array_add (self->groups, group);
  self->position++;
}

void
model_history_end (ModelHistory *self)
{
  Group *group;

  g_return_if_fail (MODEL_IS_HISTORY (self));
  g_return_if_fail (self->level > 0);
  if (self->level == 1)
    mend_references (self);
  if (--self->level > 0)
    return;
  group = g_steal_pointer (&self->open);
  group->ended_us = g_get_monotonic_time ();
  if (is_idle (self->doc, group))
    group_free (group);
  else
    keep_group (self, group);
  settle (self);
}

void
model_history_cancel (ModelHistory *self)
{
  g_return_if_fail (MODEL_IS_HISTORY (self));
  if (self->open == NULL)
    return;
  undo_group (self, self->open);
  g_clear_pointer (&self->open, group_free);
  self->level = 0;
  settle (self);
}

bool
model_history_is_open (ModelHistory *self)
{
  g_return_val_if_fail (MODEL_IS_HISTORY (self), false);
  return self->open != NULL;
}

/* ---- undo and redo ---- */

bool
model_history_can_undo (ModelHistory *self)
{
  g_return_val_if_fail (MODEL_IS_HISTORY (self), false);
  return self->position > 0;
}

bool
model_history_can_redo (ModelHistory *self)
{
  g_return_val_if_fail (MODEL_IS_HISTORY (self), false);
  return self->position < self->groups->len;
}

void
model_history_go_to (ModelHistory *self, guint position)
{
  g_return_if_fail (MODEL_IS_HISTORY (self));
  g_return_if_fail (!self->putting_back);
  if (self->open != NULL)
  {
    model_history_cancel (self);
    return;
  }
  position = MIN (position, self->groups->len);
  if (position == self->position)
    return;
  while (self->position > position)
    undo_group (self, g_ptr_array_index (self->groups, --self->position));
  while (self->position < position)
    redo_group (self, g_ptr_array_index (self->groups, self->position++));
  settle (self);
}

void
model_history_undo (ModelHistory *self)
{
  g_return_if_fail (MODEL_IS_HISTORY (self));
  if (self->open != NULL || self->position > 0)
    model_history_go_to (self, self->position > 0 ? self->position - 1 : 0);
}

void
model_history_redo (ModelHistory *self)
{
  g_return_if_fail (MODEL_IS_HISTORY (self));
  if (self->open == NULL)
    model_history_go_to (self, self->position + 1);
}

const char *
model_history_label (ModelHistory *self, guint index)
{
  g_return_val_if_fail (MODEL_IS_HISTORY (self), NULL);
  return index < self->groups->len ? ((Group *)g_ptr_array_index (self->groups, index))->label : NULL;
}

const char *
model_history_undo_label (ModelHistory *self)
{
  g_return_val_if_fail (MODEL_IS_HISTORY (self), NULL);
  return self->position > 0 ? model_history_label (self, self->position - 1) : NULL;
}

const char *
model_history_redo_label (ModelHistory *self)
{
  g_return_val_if_fail (MODEL_IS_HISTORY (self), NULL);
  return model_history_label (self, self->position);
}

guint
model_history_length (ModelHistory *self)
{
  g_return_val_if_fail (MODEL_IS_HISTORY (self), 0);
  return self->groups->len;
}

guint
model_history_position (ModelHistory *self)
{
  g_return_val_if_fail (MODEL_IS_HISTORY (self), 0);
  return self->position;
}

/* ---- what is on disk ---- */

void
model_history_mark_saved (ModelHistory *self)
{
  g_return_if_fail (MODEL_IS_HISTORY (self));
  self->saved_at = self->position;
  settle (self);
}

void
model_history_mark_unsaved (ModelHistory *self)
{
  g_return_if_fail (MODEL_IS_HISTORY (self));
  self->saved_at = -1;
  settle (self);
}

bool
model_history_is_saved (ModelHistory *self)
{
  g_return_val_if_fail (MODEL_IS_HISTORY (self), true);
  return self->saved_at == (gint64)self->position && (self->open == NULL || self->open->steps->len == 0);
}

/* ---- the object ---- */

ModelHistory *
model_history_new (ModelDocument *doc)
{
  ModelHistory *self = g_object_new (MODEL_TYPE_HISTORY, NULL);

  self->doc = doc;
  return self;
}

ModelDocument *
model_history_document (ModelHistory *self)
{
  g_return_val_if_fail (MODEL_IS_HISTORY (self), NULL);
  return self->doc;
}

static void
model_history_finalize (GObject *object)
{
  ModelHistory *self = MODEL_HISTORY (object);

  g_clear_pointer (&self->open, group_free);
  g_ptr_array_unref (self->groups);
  g_clear_pointer (&self->doc, model_document_free);
  G_OBJECT_CLASS (model_history_parent_class)->finalize (object);
}

static void
model_history_class_init (ModelHistoryClass *klass)
{
  G_OBJECT_CLASS (klass)->finalize = model_history_finalize;
  signals[SIGNAL_TOUCHED] = g_signal_new ("touched", MODEL_TYPE_HISTORY, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                          NULL, G_TYPE_NONE, 3, G_TYPE_INT, G_TYPE_UINT, G_TYPE_INT);
  signals[SIGNAL_SETTLED]
    = g_signal_new ("settled", MODEL_TYPE_HISTORY, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
}

static void
model_history_init (ModelHistory *self)
{
  self->groups = g_ptr_array_new_with_free_func ((GDestroyNotify)group_free);
}
