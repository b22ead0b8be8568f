/* A session ties one document's history to its review, its file and its recovery file, and keeps what is
 * selected and previewed.
 *
 * Touches come many times in a drag, so the handler does only what keeps the rest sound: it tells the review,
 * takes vanished things out of the selection and starts a clock.  Everything slower waits until the step of
 * undo is complete.
 */
#include "app/session.h"

#include "panelwright-config.h"

#include <glib/gi18n.h>

/* The last quiet moment after an edit at which a recovery file is worth its writing, and the longest stretch
 * of steady work without one. */
#define RECOVERY_QUIET_MS 3000
#define RECOVERY_LONGEST_MS 30000
/* Programs that save write several times in quick succession. */
#define OUTSIDE_SETTLE_MS 250

struct _AppSession
{
  GObject parent;
  ModelHistory *history; /* owns the document */
  EngineReview *review;

  GFile *file;
  char *etag;
  GFileMonitor *monitor;
  guint outside_source;
  bool changed_outside, unsaved, let_go;
  gint64 saved_us; /* monotonic; 0: not in this run */

  ModelRecovery *recovery;
  bool recovery_failed;
  guint recovery_source;
  gint64 unwritten_since_us; /* 0: nothing waits to be written */
  GMutex recovery_lock;      /* one writer at a time: a thread, or the end of the session */

  AppSelection selection;
  EngineRemedy *preview;
};

G_DEFINE_FINAL_TYPE (AppSession, app_session, G_TYPE_OBJECT)

enum
{
  TOUCHED,
  SETTLED,
  SELECTION_CHANGED,
  PREVIEW_CHANGED,
  FILE_CHANGED,
  SIGNAL_COUNT
};
static guint signals[SIGNAL_COUNT];

/* ---- recovery ---- */

typedef struct RecoveryJob
{
  ModelDocument *doc;
  char *uri, *etag;
} RecoveryJob;

static void
recovery_job_free (gpointer data)
{
  RecoveryJob *job = data;
  model_document_free (job->doc);
  g_free (job->uri);
  g_free (job->etag);
  g_free (job);
}

static void
write_in_thread (GTask *task, gpointer source, gpointer data, GCancellable *cancellable)
{
  AppSession *self = source;
  const RecoveryJob *job = data;
  g_autoptr (GError) error = NULL;
  g_mutex_lock (&self->recovery_lock);
  bool ok = self->recovery == NULL || g_cancellable_is_cancelled (cancellable)
            || model_recovery_write (self->recovery, job->doc, job->uri, job->etag, &error);
  g_mutex_unlock (&self->recovery_lock);
  if (ok)
    g_task_return_boolean (task, TRUE);
  else
    g_task_return_error (task, g_steal_pointer (&error));
}

static void
recovery_written (GObject *source, GAsyncResult *result, gpointer user)
{
  AppSession *self = APP_SESSION (source);
  g_autoptr (GError) error = NULL;
  bool ok = g_task_propagate_boolean (G_TASK (result), &error);
  if (!ok && !self->recovery_failed)
    g_warning ("no recovery file: %s", error->message);
  self->recovery_failed = !ok;
  /* Saved, or undone to what is on disk, while the thread was writing. */
  if (ok && app_session_is_saved (self) && self->recovery != NULL)
  {
    g_mutex_lock (&self->recovery_lock);
    model_recovery_clear (self->recovery);
    g_mutex_unlock (&self->recovery_lock);
  }
}

static bool
open_recovery (AppSession *self)
{
  if (self->recovery == NULL && !self->recovery_failed)
  {
    g_autoptr (GError) error = NULL;
    self->recovery = model_recovery_new (NULL, &error);
    if (self->recovery == NULL)
    {
      self->recovery_failed = true;
      g_warning ("no recovery file: %s", error->message);
    }
  }
  return self->recovery != NULL;
}

static RecoveryJob *
recovery_job_new (AppSession *self)
{
  RecoveryJob *job = g_new0 (RecoveryJob, 1);
  job->doc = model_document_copy (app_session_document (self));
  job->uri = self->file != NULL ? g_file_get_uri (self->file) : NULL;
  job->etag = g_strdup (self->etag);
  return job;
}

static gboolean
on_recovery_due (gpointer user)
{
  AppSession *self = user;
  self->recovery_source = 0;
  self->unwritten_since_us = 0;
  if (!app_session_is_saved (self) && !self->let_go && open_recovery (self))
  {
    g_autoptr (GTask) task = g_task_new (self, NULL, recovery_written, NULL);
    g_task_set_task_data (task, recovery_job_new (self), recovery_job_free);
    g_task_run_in_thread (task, write_in_thread);
  }
  return G_SOURCE_REMOVE;
}

static void
schedule_recovery (AppSession *self)
{
  if (self->let_go)
    return;
  gint64 now = g_get_monotonic_time ();
  if (self->unwritten_since_us == 0)
    self->unwritten_since_us = now;
  gint64 left_ms = RECOVERY_LONGEST_MS - (now - self->unwritten_since_us) / 1000;
  g_clear_handle_id (&self->recovery_source, g_source_remove);
  self->recovery_source = g_timeout_add ((guint)CLAMP (left_ms, 1, RECOVERY_QUIET_MS), on_recovery_due, self);
}

static void
clear_recovery (AppSession *self)
{
  g_clear_handle_id (&self->recovery_source, g_source_remove);
  self->unwritten_since_us = 0;
  if (self->recovery == NULL)
    return;
  g_mutex_lock (&self->recovery_lock);
  model_recovery_clear (self->recovery);
  g_mutex_unlock (&self->recovery_lock);
}

bool
app_session_write_recovery (AppSession *self)
{
  g_return_val_if_fail (APP_IS_SESSION (self), false);
  g_clear_handle_id (&self->recovery_source, g_source_remove);
  self->unwritten_since_us = 0;
  if (app_session_is_saved (self) || self->let_go)
    return true;
  if (!open_recovery (self))
    return false;
  g_autofree char *uri = self->file != NULL ? g_file_get_uri (self->file) : NULL;
  g_autoptr (GError) error = NULL;
  g_mutex_lock (&self->recovery_lock);
  bool ok = model_recovery_write (self->recovery, app_session_document (self), uri, self->etag, &error);
  g_mutex_unlock (&self->recovery_lock);
  if (!ok)
    g_warning ("no recovery file: %s", error->message);
  return ok;
}

/* ---- what others do to the file ---- */

static gboolean
on_outside_settled (gpointer user)
{
  AppSession *self = user;
  self->outside_source = 0;
  bool changed
    = self->file != NULL && self->etag != NULL && model_store_changed_outside (self->file, self->etag);
  if (changed != self->changed_outside)
  {
    self->changed_outside = changed;
    g_signal_emit (self, signals[FILE_CHANGED], 0);
  }
  return G_SOURCE_REMOVE;
}

/* An atomic replacement arrives as RENAMED with our name as the other file; a plain write as CHANGED.  Our
 * own saves come here too: the etag tells them apart. */
static void
on_monitor (GFileMonitor *monitor, GFile *file, GFile *other, GFileMonitorEvent event, AppSession *self)
{
  g_clear_handle_id (&self->outside_source, g_source_remove);
  self->outside_source = g_timeout_add (OUTSIDE_SETTLE_MS, on_outside_settled, self);
}

static void
watch_file (AppSession *self)
{
  if (self->monitor != NULL)
  {
    g_signal_handlers_disconnect_by_data (self->monitor, self);
    g_file_monitor_cancel (self->monitor);
    g_clear_object (&self->monitor);
  }
  if (self->file == NULL)
    return;
  self->monitor = g_file_monitor_file (self->file, G_FILE_MONITOR_WATCH_MOVES, NULL, NULL);
  if (self->monitor != NULL)
    g_signal_connect (self->monitor, "changed", G_CALLBACK (on_monitor), self);
}

/* ---- selection ---- */

static bool
array_has (const GArray *array, guint id)
{
  for (guint i = 0; i < array->len; i++)
    if (g_array_index (array, guint, i) == id)
      return true;
  return false;
}

static void
array_take (GArray *array, guint id)
{
  for (guint i = 0; i < array->len; i++)
    if (g_array_index (array, guint, i) == id)
    {
      g_array_remove_index (array, i);
      return;
    }
}

static void
array_add (GArray *array, guint id)
{
  if (!array_has (array, id))
    g_array_append_val (array, id);
}

static void
empty_selection (AppSelection *s)
{
  g_array_set_size (s->panels, 0);
  g_array_set_size (s->edges, 0);
  g_array_set_size (s->nodes, 0);
  s->side = MODEL_SIDE_CENTRE;
  s->join_id = s->measure_id = s->photo_id = s->line_id = s->tape_id = 0;
  s->has_finding = false;
}

static void
set_preview (AppSession *self, EngineRemedy *remedy)
{
  if (self->preview == NULL && remedy == NULL)
    return;
  EngineRemedy *old = self->preview;
  self->preview = remedy;
  if (old != NULL)
    engine_remedy_free (old);
  g_signal_emit (self, signals[PREVIEW_CHANGED], 0);
}

/* A preview belongs to what is selected; another selection ends it. */
static void
selection_changed (AppSession *self)
{
  set_preview (self, NULL);
  g_signal_emit (self, signals[SELECTION_CHANGED], 0);
}

/* Keeps only what is still there.  True if something went. */
static bool
prune_selection (AppSession *self, ModelPartKind kind, guint id)
{
  const ModelDocument *doc = app_session_document (self);
  AppSelection *s = &self->selection;
  bool gone = false;
  if (kind == MODEL_PART_JOIN && s->join_id == id && model_document_join (doc, id) == NULL)
  {
    s->join_id = 0;
    s->has_finding = false;
    gone = true;
  }
  if (kind == MODEL_PART_MEASURE && s->measure_id == id && model_document_measure (doc, id) == NULL)
  {
    s->measure_id = 0;
    s->has_finding = false;
    gone = true;
  }
  if (kind == MODEL_PART_PHOTO && s->photo_id == id && model_document_photo (doc, id) == NULL)
  {
    s->photo_id = 0;
    gone = true;
  }
  if (kind == MODEL_PART_LINE && s->line_id == id && model_document_line (doc, id) == NULL)
  {
    s->line_id = 0;
    s->has_finding = false;
    gone = true;
  }
  if (kind != MODEL_PART_PANEL || !array_has (s->panels, id))
    return gone;

  const ModelPanel *panel = model_document_panel (doc, id);
  if (s->tape_id != 0 && (panel == NULL || model_panel_find_tape (panel, s->tape_id) == NULL))
  {
    s->tape_id = 0;
    gone = true;
  }
  if (panel == NULL)
  {
    array_take (s->panels, id);
    g_array_set_size (s->edges, 0);
    g_array_set_size (s->nodes, 0);
    s->has_finding = false;
    return true;
  }
  for (guint i = s->edges->len; i-- > 0;)
    if (model_panel_find_edge (panel, g_array_index (s->edges, guint, i)) < 0)
    {
      g_array_remove_index (s->edges, i);
      gone = true;
    }
  for (guint i = s->nodes->len; i-- > 0;)
    if (!model_panel_find_node (panel, g_array_index (s->nodes, guint, i), NULL, NULL))
    {
      g_array_remove_index (s->nodes, i);
      gone = true;
    }
  return gone;
}

static bool
same_place (const EngineFinding *a, const EngineFinding *b)
{
  return a->check == b->check && a->panel_id == b->panel_id && a->edge_id == b->edge_id
         && a->join_id == b->join_id && a->measure_id == b->measure_id && a->line_id == b->line_id
         && a->other_line_id == b->other_line_id && a->has_side == b->has_side
         && (!a->has_side || a->side == b->side);
}

/* The selected finding with its present numbers; let go once it holds. */
static void
refresh_finding (AppSession *self)
{
  AppSelection *s = &self->selection;
  if (!s->has_finding)
    return;
  const GPtrArray *all = engine_review_findings (self->review);
  bool open = false;
  for (guint i = 0; i < all->len && !open; i++)
  {
    const EngineFinding *f = g_ptr_array_index (all, i);
    if (!f->holds && same_place (f, &s->finding))
    {
      s->finding = *f;
      open = true;
    }
  }
  /* The join was lit for the finding's sake. */
  if (!open)
    empty_selection (s);
  selection_changed (self);
}

static void
on_touched (ModelHistory *history, ModelPartKind kind, guint id, ModelTouch touch, AppSession *self)
{
  engine_review_touch (self->review, kind, id);
  /* A drag touches at each motion: the clock is set once and again when the step is complete. */
  if (self->recovery_source == 0)
    schedule_recovery (self);
  bool gone = prune_selection (self, kind, id);
  g_signal_emit (self, signals[TOUCHED], 0, (int)kind, id, (int)touch);
  if (gone)
    selection_changed (self);
}

static void
on_settled (ModelHistory *history, AppSession *self)
{
  if (app_session_is_saved (self))
    clear_recovery (self);
  else
    schedule_recovery (self);
  set_preview (self, NULL);
  refresh_finding (self);
  g_signal_emit (self, signals[SETTLED], 0);
}

const AppSelection *
app_session_selection (AppSession *self)
{
  return &self->selection;
}

void
app_session_select_none (AppSession *self)
{
  AppSelection *s = &self->selection;
  if (s->panels->len == 0 && s->join_id == 0 && s->measure_id == 0 && s->photo_id == 0 && s->line_id == 0
      && !s->has_finding)
    return;
  empty_selection (s);
  selection_changed (self);
}

void
app_session_select_panel (AppSession *self, guint panel_id, ModelSide side, bool toggle)
{
  AppSelection *s = &self->selection;
  if (!toggle)
  {
    empty_selection (s);
    g_array_append_val (s->panels, panel_id);
  }
  else if (array_has (s->panels, panel_id) && s->edges->len == 0 && s->nodes->len == 0)
    array_take (s->panels, panel_id);
  else
  {
    g_array_set_size (s->edges, 0);
    g_array_set_size (s->nodes, 0);
    s->join_id = s->measure_id = s->photo_id = s->line_id = s->tape_id = 0;
    s->has_finding = false;
    array_add (s->panels, panel_id);
  }
  s->side = side;
  selection_changed (self);
}

void
app_session_select_panels (AppSession *self, const guint *panel_ids, guint count)
{
  AppSelection *s = &self->selection;
  empty_selection (s);
  for (guint i = 0; i < count; i++)
    array_add (s->panels, panel_ids[i]);
  if (s->panels->len > 0)
  {
    const ModelPanel *first
      = model_document_panel (app_session_document (self), g_array_index (s->panels, guint, 0));
    s->side = first != NULL ? first->side : MODEL_SIDE_CENTRE;
  }
  selection_changed (self);
}

/* Edges and nodes are of one panel on one side: anything else that was selected goes. */
static void
hold_one_panel (AppSelection *s, guint panel_id, ModelSide side, bool keep)
{
  bool same = s->panels->len == 1 && g_array_index (s->panels, guint, 0) == panel_id && s->side == side;
  if (!keep || !same)
  {
    empty_selection (s);
    g_array_append_val (s->panels, panel_id);
    s->side = side;
  }
  s->join_id = s->measure_id = s->photo_id = s->line_id = s->tape_id = 0;
  s->has_finding = false;
}

void
app_session_select_edge (AppSession *self, guint panel_id, ModelSide side, guint edge_id, bool toggle)
{
  AppSelection *s = &self->selection;
  hold_one_panel (s, panel_id, side, toggle);
  g_array_set_size (s->nodes, 0);
  if (array_has (s->edges, edge_id))
    array_take (s->edges, edge_id);
  else
    g_array_append_val (s->edges, edge_id);
  selection_changed (self);
}

/* Points are shown on selected edges only, so the edge a node lies on (or ends) stays with it. */
static void
select_edges_of_nodes (AppSession *self)
{
  AppSelection *s = &self->selection;
  const ModelPanel *panel
    = model_document_panel (app_session_document (self), g_array_index (s->panels, guint, 0));
  if (panel == NULL)
    return;
  for (guint i = 0; i < s->nodes->len; i++)
  {
    guint edge, node;
    if (!model_panel_find_node (panel, g_array_index (s->nodes, guint, i), &edge, &node))
      continue;
    guint before = model_panel_edge (panel, (edge + panel->edges->len - 1) % panel->edges->len)->id;
    guint id = model_panel_edge (panel, edge)->id;
    if (!array_has (s->edges, id) && !(node == 0 && array_has (s->edges, before)))
      g_array_append_val (s->edges, id);
  }
}

void
app_session_select_node (AppSession *self, guint panel_id, ModelSide side, guint node_id, bool toggle)
{
  AppSelection *s = &self->selection;
  hold_one_panel (s, panel_id, side, true);
  if (toggle && array_has (s->nodes, node_id))
    array_take (s->nodes, node_id);
  else
  {
    if (!toggle)
      g_array_set_size (s->nodes, 0);
    g_array_append_val (s->nodes, node_id);
  }
  select_edges_of_nodes (self);
  selection_changed (self);
}

void
app_session_select_nodes (
  AppSession *self, guint panel_id, ModelSide side, const guint *node_ids, guint count)
{
  AppSelection *s = &self->selection;
  hold_one_panel (s, panel_id, side, true);
  g_array_set_size (s->nodes, 0);
  for (guint i = 0; i < count; i++)
    array_add (s->nodes, node_ids[i]);
  select_edges_of_nodes (self);
  selection_changed (self);
}

void
app_session_select_join (AppSession *self, guint join_id)
{
  empty_selection (&self->selection);
  self->selection.join_id = join_id;
  selection_changed (self);
}

void
app_session_select_finding (AppSession *self, const EngineFinding *finding)
{
  AppSelection *s = &self->selection;
  EngineFinding copy = *finding; /* may be our own */
  empty_selection (s);
  s->has_finding = true;
  s->finding = copy;
  s->join_id = copy.join_id;
  s->measure_id = copy.measure_id;
  s->line_id = copy.line_id;
  if (copy.join_id == 0 && copy.panel_id != 0)
  {
    g_array_append_val (s->panels, copy.panel_id);
    s->side = copy.has_side ? copy.side : MODEL_SIDE_CENTRE;
    if (copy.edge_id != 0)
      g_array_append_val (s->edges, copy.edge_id);
  }
  selection_changed (self);
}

void
app_session_select_photo (AppSession *self, guint photo_id)
{
  empty_selection (&self->selection);
  self->selection.photo_id = photo_id;
  selection_changed (self);
}

void
app_session_select_measure (AppSession *self, guint measure_id)
{
  empty_selection (&self->selection);
  self->selection.measure_id = measure_id;
  selection_changed (self);
}

void
app_session_select_tape (AppSession *self, guint panel_id, ModelSide side, guint tape_id)
{
  AppSelection *s = &self->selection;
  if (s->tape_id == tape_id && s->side == side && app_selection_has_panel (s, panel_id))
    return;
  empty_selection (s);
  g_array_append_val (s->panels, panel_id);
  s->side = side;
  s->tape_id = tape_id;
  selection_changed (self);
}

void
app_session_select_line (AppSession *self, guint line_id)
{
  if (self->selection.line_id == line_id && !self->selection.has_finding && self->selection.panels->len == 0)
    return;
  empty_selection (&self->selection);
  self->selection.line_id = line_id;
  selection_changed (self);
}

bool
app_selection_has_panel (const AppSelection *selection, guint panel_id)
{
  return array_has (selection->panels, panel_id);
}

bool
app_selection_has_edge (const AppSelection *selection, guint edge_id)
{
  return array_has (selection->edges, edge_id);
}

bool
app_selection_has_node (const AppSelection *selection, guint node_id)
{
  return array_has (selection->nodes, node_id);
}

/* ---- preview ---- */

void
app_session_preview (AppSession *self, EngineRemedy *remedy)
{
  g_return_if_fail (APP_IS_SESSION (self));
  set_preview (self, remedy);
}

const EngineRemedy *
app_session_previewed (AppSession *self)
{
  return self->preview;
}

void
app_session_take_remedy (AppSession *self, const EngineRemedy *remedy)
{
  g_return_if_fail (APP_IS_SESSION (self) && remedy != NULL);
  /* REMEDY may be the previewed one, which the first touch would end. */
  EngineRemedy *held = remedy == self->preview ? g_steal_pointer (&self->preview) : NULL;
  model_history_begin (self->history, remedy->text);
  for (guint i = 0; i < remedy->parts->len; i++)
    model_history_put (self->history, model_part_copy (g_array_index (remedy->parts, ModelPart, i)));
  model_history_end (self->history);
  if (held != NULL)
  {
    engine_remedy_free (held);
    g_signal_emit (self, signals[PREVIEW_CHANGED], 0);
  }
}

/* ---- file ---- */

ModelDocument *
app_session_document (AppSession *self)
{
  return model_history_document (self->history);
}

ModelHistory *
app_session_history (AppSession *self)
{
  return self->history;
}

EngineReview *
app_session_review (AppSession *self)
{
  return self->review;
}

bool
app_session_name_panel (AppSession *self, guint panel_id, const char *name)
{
  g_autofree char *bare = g_strstrip (g_strdup (name));
  const ModelPanel *was = model_document_panel (app_session_document (self), panel_id);
  const ModelPanel *other = model_document_panel_named (app_session_document (self), bare);
  if (was == NULL || bare[0] == '\0' || (other != NULL && other != was))
    return false;
  if (other == was)
    return true;
  ModelPanel *panel = model_panel_copy (was);
  g_free (panel->name);
  panel->name = g_steal_pointer (&bare);
  model_history_begin (self->history, _ ("Name panel"));
  model_history_put_panel (self->history, panel);
  model_history_end (self->history);
  return true;
}

GFile *
app_session_file (AppSession *self)
{
  return self->file;
}

static char *
file_stem (GFile *file)
{
  g_autofree char *base = g_file_get_basename (file);
  char *name = g_filename_display_name (base);
  char *dot = strrchr (name, '.');
  if (dot != NULL && dot != name)
    *dot = '\0';
  return name;
}

char *
app_session_title (AppSession *self)
{
  const ModelHead *head = app_session_document (self)->head;
  if (head->title[0] != '\0')
    return g_strdup (head->title);
  if (self->file != NULL)
    return file_stem (self->file);
  return g_strdup (_ ("New piece"));
}

bool
app_session_is_saved (AppSession *self)
{
  return !self->unsaved && model_history_is_saved (self->history);
}

bool
app_session_changed_outside (AppSession *self)
{
  return self->changed_outside;
}

char *
app_session_state_words (AppSession *self)
{
  if (self->changed_outside)
    return g_strdup (_ ("changed on disk by another program"));
  if (self->file == NULL)
    return g_strdup (_ ("not saved yet"));
  if (!app_session_is_saved (self))
    return g_strdup (_ ("changed since it was saved"));
  if (self->saved_us == 0)
    return g_strdup (_ ("saved"));
  gint64 minutes = (g_get_monotonic_time () - self->saved_us) / (60 * G_USEC_PER_SEC);
  if (minutes < 1)
    return g_strdup (_ ("saved just now"));
  if (minutes < 60)
    return g_strdup_printf (ngettext ("saved %d minute ago", "saved %d minutes ago", (gulong)minutes),
                            (int)minutes);
  int hours = (int)(minutes / 60);
  return g_strdup_printf (ngettext ("saved %d hour ago", "saved %d hours ago", (gulong)hours), hours);
}

bool
app_session_save (AppSession *self, GFile *file, bool force, GError **error)
{
  g_return_val_if_fail (APP_IS_SESSION (self), false);
  bool elsewhere = file != NULL && (self->file == NULL || !g_file_equal (file, self->file));
  GFile *to = file != NULL ? file : self->file;
  g_return_val_if_fail (to != NULL, false);

  g_autofree char *etag = elsewhere || force ? NULL : g_strdup (self->etag);
  if (!model_store_save (app_session_document (self), to, &etag, error))
  {
    if (error != NULL && g_error_matches (*error, G_IO_ERROR, G_IO_ERROR_WRONG_ETAG)
        && !self->changed_outside)
    {
      self->changed_outside = true;
      g_signal_emit (self, signals[FILE_CHANGED], 0);
    }
    return false;
  }
  g_free (self->etag);
  self->etag = g_steal_pointer (&etag);
  self->saved_us = g_get_monotonic_time ();
  self->changed_outside = self->unsaved = self->let_go = false;
  model_history_mark_saved (self->history);
  clear_recovery (self);
  if (elsewhere)
  {
    g_set_object (&self->file, file);
    watch_file (self);
  }
  g_signal_emit (self, signals[FILE_CHANGED], 0);
  return true;
}

void
app_session_discard (AppSession *self)
{
  g_return_if_fail (APP_IS_SESSION (self));
  clear_recovery (self);
  self->let_go = true;
}

void
app_session_mark_unsaved (AppSession *self)
{
  g_return_if_fail (APP_IS_SESSION (self));
  self->unsaved = true;
  schedule_recovery (self);
  g_signal_emit (self, signals[FILE_CHANGED], 0);
}

/* ---- life ---- */

static void
app_session_dispose (GObject *object)
{
  AppSession *self = APP_SESSION (object);
  g_clear_handle_id (&self->outside_source, g_source_remove);
  if (self->history != NULL)
  {
    /* The program ends without an answer: what is unsaved stays for the next start. */
    bool keep = !self->let_go && !app_session_is_saved (self) && app_session_write_recovery (self);
    g_clear_handle_id (&self->recovery_source, g_source_remove);
    g_mutex_lock (&self->recovery_lock);
    ModelRecovery *recovery = g_steal_pointer (&self->recovery);
    g_mutex_unlock (&self->recovery_lock);
    if (recovery != NULL && keep)
      model_recovery_abandon (recovery);
    else if (recovery != NULL)
      model_recovery_discard (recovery);
    g_signal_handlers_disconnect_by_data (self->history, self);
  }
  g_clear_object (&self->file);
  watch_file (self);
  g_clear_pointer (&self->preview, engine_remedy_free);
  g_clear_pointer (&self->review, engine_review_free);
  g_clear_object (&self->history);
  G_OBJECT_CLASS (app_session_parent_class)->dispose (object);
}

static void
app_session_finalize (GObject *object)
{
  AppSession *self = APP_SESSION (object);
  g_array_unref (self->selection.panels);
  g_array_unref (self->selection.edges);
  g_array_unref (self->selection.nodes);
  g_free (self->etag);
  g_mutex_clear (&self->recovery_lock);
  G_OBJECT_CLASS (app_session_parent_class)->finalize (object);
}

static void
app_session_class_init (AppSessionClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  object_class->dispose = app_session_dispose;
  object_class->finalize = app_session_finalize;
  GType type = G_TYPE_FROM_CLASS (klass);
  signals[TOUCHED] = g_signal_new ("touched", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 3,
                                   G_TYPE_INT, G_TYPE_UINT, G_TYPE_INT);
  static const char *const names[] = { "settled", "selection-changed", "preview-changed", "file-changed" };
  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
    signals[SETTLED + i]
      = g_signal_new (names[i], type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
}

static void
app_session_init (AppSession *self)
{
  self->selection.panels = g_array_new (FALSE, FALSE, sizeof (guint));
  self->selection.edges = g_array_new (FALSE, FALSE, sizeof (guint));
  self->selection.nodes = g_array_new (FALSE, FALSE, sizeof (guint));
  g_mutex_init (&self->recovery_lock);
}

AppSession *
app_session_new (ModelDocument *doc, GFile *file, const char *etag)
{
  g_return_val_if_fail (doc != NULL, NULL);
  AppSession *self = g_object_new (APP_TYPE_SESSION, NULL);
  self->history = model_history_new (doc);
  self->review = engine_review_new (doc);
  self->file = file != NULL ? g_object_ref (file) : NULL;
  self->etag = g_strdup (etag);
  g_signal_connect (self->history, "touched", G_CALLBACK (on_touched), self);
  g_signal_connect (self->history, "settled", G_CALLBACK (on_settled), self);
  watch_file (self);
  return self;
}
