/* One open document as the window sees it: history, review, file, recovery, selection, preview.
 *
 * Everything the panes and the canvas show comes from here, and everything they do goes through here or
 * straight into the history.
 */
#ifndef APP_SESSION_H
#define APP_SESSION_H

#include "engine/review.h"
#include "model/history.h"
#include "model/store.h"

#include <gio/gio.h>

#define APP_TYPE_SESSION (app_session_get_type ())
G_DECLARE_FINAL_TYPE (AppSession, app_session, APP, SESSION, GObject)

/* Signals:
 *
 *   "touched" (ModelPartKind kind, guint id, ModelTouch touch)
 *       the document changed; the review has been told.  Comes many times in a drag.
 *
 *   "settled" ()
 *       a step of undo is complete, or one was undone or redone.
 *
 *   "selection-changed" ()
 *
 *   "preview-changed" ()
 *
 *   "file-changed" ()
 *       name, place, saved state or change by others.
 *
 * Properties: none; ask. */

/* Takes DOC; FILE and ETAG may be NULL. */
AppSession *app_session_new (ModelDocument *doc, GFile *file, const char *etag);

ModelDocument *app_session_document (AppSession *self);
ModelHistory *app_session_history (AppSession *self);
EngineReview *app_session_review (AppSession *self);
/* Space around NAME goes.  False, and nothing happens: it is empty, or another panel has it. */
bool app_session_name_panel (AppSession *self, guint panel_id, const char *name);

/* ---- file ---- */
GFile *app_session_file (AppSession *self); /* NULL: never saved */
char *app_session_title (AppSession *self); /* the document's title, or the file's name, or "New piece" */
bool app_session_is_saved (AppSession *self);
bool app_session_changed_outside (AppSession *self);
/* NULL FILE: where it is.  FORCE: over somebody else's change. */
bool app_session_save (AppSession *self, GFile *file, bool force, GError **error);
/* The unsaved changes are let go: the recovery file goes. */
void app_session_discard (AppSession *self);
/* What is open is not what is on disk, although nothing was changed since: a document found again after a
 * crash, a fresh one. */
void app_session_mark_unsaved (AppSession *self);
/* "saved 2 minutes ago", "changed since it was saved", "not saved yet", "changed on disk by another program".
 * Free it. */
char *app_session_state_words (AppSession *self);
/* Writes the recovery file now instead of in a few seconds, and waits for it.  True if there is nothing
 * unsaved or it was written. */
bool app_session_write_recovery (AppSession *self);

/* ---- selection: panels, or edges, or nodes of one panel on one side; or a join, a measure, a line; or a
 * finding ---- */

typedef struct AppSelection
{
  GArray *panels; /* guint; more than one only when no edge or node is chosen */
  ModelSide side; /* the side of the panel the maker has hold of (a piece's own side) */
  GArray *edges;  /* guint, of panels[0] */
  GArray *nodes;  /* guint, of panels[0] */
  guint join_id;
  guint measure_id;
  guint photo_id; /* alone */
  guint line_id;
  guint tape_id; /* of panels[0]; no edge or node then */
  bool has_finding;
  EngineFinding finding; /* a copy */
} AppSelection;

const AppSelection *app_session_selection (AppSession *self);
void app_session_select_none (AppSession *self);
/* TOGGLE: adds it, or takes it away if it was there. */
void app_session_select_panel (AppSession *self, guint panel_id, ModelSide side, bool toggle);
void app_session_select_panels (AppSession *self, const guint *panel_ids, guint count);
void app_session_select_edge (AppSession *self, guint panel_id, ModelSide side, guint edge_id, bool toggle);
void app_session_select_node (AppSession *self, guint panel_id, ModelSide side, guint node_id, bool toggle);
void app_session_select_nodes (
  AppSession *self, guint panel_id, ModelSide side, const guint *node_ids, guint count);
/* The join and its two runs are lit. */
void app_session_select_join (AppSession *self, guint join_id);
void app_session_select_finding (AppSession *self, const EngineFinding *finding);
void app_session_select_measure (AppSession *self, guint measure_id);
void app_session_select_photo (AppSession *self, guint photo_id);
void app_session_select_line (AppSession *self, guint line_id);
/* The panel with a tape pinned to it. */
void app_session_select_tape (AppSession *self, guint panel_id, ModelSide side, guint tape_id);
bool app_selection_has_panel (const AppSelection *selection, guint panel_id);
bool app_selection_has_edge (const AppSelection *selection, guint edge_id);
bool app_selection_has_node (const AppSelection *selection, guint node_id);

/* ---- preview of a remedy: nothing is changed yet ---- */
/* Takes REMEDY (NULL ends the preview). */
void app_session_preview (AppSession *self, EngineRemedy *remedy);
const EngineRemedy *app_session_previewed (AppSession *self);
/* Puts the remedy's parts in one step of undo, labelled by its text. */
void app_session_take_remedy (AppSession *self, const EngineRemedy *remedy);

#endif
