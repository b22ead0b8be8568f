/* A document: the head and eight lists of parts.  Holds data and finds it; changes come in through
 * model/history.h alone. */
#ifndef MODEL_DOCUMENT_H
#define MODEL_DOCUMENT_H

#include "model/parts.h"

typedef enum ModelPartKind
{
  MODEL_PART_HEAD, /* exactly one, id 0 */
  MODEL_PART_MATERIAL,
  MODEL_PART_MEASURE,
  MODEL_PART_PANEL,
  MODEL_PART_JOIN,
  MODEL_PART_LINE,
  MODEL_PART_PHOTO,
  MODEL_PART_FIT_NOTE,
  MODEL_PART_REVISION
} ModelPartKind;
#define MODEL_PART_KINDS (MODEL_PART_REVISION + 1)

/* A part of any kind.  BODY points to the struct that KIND says. */
typedef struct ModelPart
{
  ModelPartKind kind;
  gpointer body;
} ModelPart;

ModelPart model_part_copy (ModelPart part);
void model_part_clear (ModelPart *part);
guint model_part_id (ModelPart part);

typedef struct ModelDocument
{
  ModelHead *head;
  GPtrArray *materials, *measures, *panels, *joins, *lines, *photos, *fit_notes, *revisions;
  guint next_id;
  JsonObject *extra;
  GHashTable *by_id; /* id -> ModelPart; private */
  int refs;          /* of a state, see model_state_new; private */
} ModelDocument;

ModelDocument *model_document_new (void);
/* Deep. */
ModelDocument *model_document_copy (const ModelDocument *doc);
void model_document_free (ModelDocument *doc);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (ModelDocument, model_document_free)

/* A state: what a revision keeps.  The head, materials, measures, panels, joins and lines of DOC, copied; not
 * its photos, fit notes and revisions.  Shared by reference, from any thread; never changed; never freed by
 * model_document_free. */
ModelDocument *model_state_new (const ModelDocument *doc);
ModelDocument *model_state_ref (ModelDocument *state);
void model_state_unref (ModelDocument *state);
/* Takes DOC, which a reader has made, as a state. */
ModelDocument *model_state_take (ModelDocument *doc);

/* A fresh id.  Taking one is not a change: gaps are harmless. */
guint model_document_take_id (ModelDocument *doc);

/* NULL when there is none.  The pointer lives until the next change. */
ModelPanel *model_document_panel (const ModelDocument *doc, guint id);
ModelJoin *model_document_join (const ModelDocument *doc, guint id);
ModelMeasure *model_document_measure (const ModelDocument *doc, guint id);
ModelMaterial *model_document_material (const ModelDocument *doc, guint id);
ModelLine *model_document_line (const ModelDocument *doc, guint id);
ModelPhoto *model_document_photo (const ModelDocument *doc, guint id);
ModelFitNote *model_document_fit_note (const ModelDocument *doc, guint id);
ModelRevision *model_document_revision (const ModelDocument *doc, guint id);
ModelPanel *model_document_panel_named (const ModelDocument *doc, const char *name);
/* The lowest letter no join has. */
char *model_document_free_letter (const ModelDocument *doc);
/* A name no panel has, from a wish: "Front", "Front 2". */
char *model_document_free_panel_name (const ModelDocument *doc, const char *wish);

/* A document of its own that holds only these panels and what they refer to: their materials, and the joins
 * among them.  For the clipboard.  Ids stay; unknown ids are passed over. */
ModelDocument *model_document_excerpt (const ModelDocument *doc, const guint *panel_ids, guint count);

/* The list of a kind; NULL for the head, which is not in a list. */
GPtrArray *model_document_list (const ModelDocument *doc, ModelPartKind kind);
/* The part of a kind, body NULL when there is none. */
ModelPart model_document_part (const ModelDocument *doc, ModelPartKind kind, guint id);

/* For the file reader and the history only.  _put takes BODY, replacing the part with its id or inserting at
 * INDEX (-1: at the end); _take hands the part out, *INDEX where it was; body NULL if there is none.  The
 * head is put, never taken. */
void model_document_put (ModelDocument *doc, ModelPart part, int index);
/* Puts BODY in the place of the part with its id and hands that out; body NULL, and nothing done, if there is
 * none. */
ModelPart model_document_swap (ModelDocument *doc, ModelPart part);
ModelPart model_document_take (ModelDocument *doc, ModelPartKind kind, guint id, int *index);

#endif
