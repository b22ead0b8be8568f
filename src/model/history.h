/* The one door through which a document changes, and the way back.
 *
 * A change replaces a part by another with the same id, adds one, or removes one.  Changes come in groups; a
 * group is one step of undo and has a label for people ("Move node").  While a group is open, putting the
 * same part again only replaces what will be kept: a drag is one group with the first state before and the
 * last state after.  A group that leaves everything as it was is dropped.  Undo is unlimited.
 *
 * What comes in is made sound (model/sound.h), and when a group ends, so are the references between parts: a
 * join loses the edges and match marks that are gone, and goes when a run has none left; a panel forgets a
 * material, a line the spans, a fit note the panel that is gone.  That belongs to the group and is undone
 * with it.  So a document that came through here can always be saved and read again.
 */
#ifndef MODEL_HISTORY_H
#define MODEL_HISTORY_H

#include "model/document.h"

#include <glib-object.h>

#define MODEL_TYPE_HISTORY (model_history_get_type ())
G_DECLARE_FINAL_TYPE (ModelHistory, model_history, MODEL, HISTORY, GObject)

typedef enum ModelTouch
{
  MODEL_TOUCH_CHANGED,
  MODEL_TOUCH_ADDED,
  MODEL_TOUCH_REMOVED
} ModelTouch;

/* Signals:
 *   "touched" (ModelPartKind kind, guint id, ModelTouch touch): after each single change, undo and redo
 * included. "settled" (): a group ended, or an undo or redo is complete: labels and saved state may have
 * changed. */

/* Takes DOC. */
ModelHistory *model_history_new (ModelDocument *doc);
ModelDocument *model_history_document (ModelHistory *history);

/* Groups nest; the outermost label counts. */
void model_history_begin (ModelHistory *history, const char *label);
void model_history_end (ModelHistory *history);
/* Ends the open group (all levels) and takes back what it did. */
void model_history_cancel (ModelHistory *history);
bool model_history_is_open (ModelHistory *history);
/* Begins a group as model_history_begin; joins it to the last one if that had the same MERGE_KEY and ended
 * less than a second ago: typed nudges. */
void model_history_begin_merging (ModelHistory *history, const char *label, const char *merge_key);

/* Take BODY: replaces the part of its id, or adds it at the end (id 0 gets a fresh one, which is returned).
 * Outside a group each call is a group of its own with a general label. */
guint model_history_put_panel (ModelHistory *history, ModelPanel *panel);
guint model_history_put_join (ModelHistory *history, ModelJoin *join);
guint model_history_put_measure (ModelHistory *history, ModelMeasure *measure);
guint model_history_put_material (ModelHistory *history, ModelMaterial *material);
guint model_history_put_line (ModelHistory *history, ModelLine *line);
guint model_history_put_photo (ModelHistory *history, ModelPhoto *photo);
guint model_history_put_fit_note (ModelHistory *history, ModelFitNote *note);
guint model_history_put_revision (ModelHistory *history, ModelRevision *revision);
void model_history_put_head (ModelHistory *history, ModelHead *head);
/* Any kind; takes the body. */
guint model_history_put (ModelHistory *history, ModelPart part);
/* Nothing happens if there is no such part. */
void model_history_remove (ModelHistory *history, ModelPartKind kind, guint id);
/* A panel goes with every join that touches it. */
void model_history_remove_panel (ModelHistory *history, guint panel_id);
/* To another place in its list. */
void model_history_move (ModelHistory *history, ModelPartKind kind, guint id, guint index);

bool model_history_can_undo (ModelHistory *history);
bool model_history_can_redo (ModelHistory *history);
/* With a group open, undo takes that back, as model_history_cancel; redo does nothing then. */
void model_history_undo (ModelHistory *history);
void model_history_redo (ModelHistory *history);
/* NULL when there is nothing to undo / redo. */
const char *model_history_undo_label (ModelHistory *history);
const char *model_history_redo_label (ModelHistory *history);
/* All steps, oldest first; POSITION of them are done. */
guint model_history_length (ModelHistory *history);
guint model_history_position (ModelHistory *history);
const char *model_history_label (ModelHistory *history, guint index);
void model_history_go_to (ModelHistory *history, guint position);

/* The present state is what is on disk; a new history begins so. */
void model_history_mark_saved (ModelHistory *history);
/* No state is what is on disk: a recovered document, or the file was changed by others. */
void model_history_mark_unsaved (ModelHistory *history);
bool model_history_is_saved (ModelHistory *history);

#endif
