/* A document as bytes: JSON by data/panelwright.schema.json.
 *
 * Reading checks everything: types, ranges, ids, references.  What it lets through is sound: finite numbers
 * within MODEL_FILE_MAX_MM, unique ids, every panel with edges, every edge with nodes.  A join to an edge
 * that is not there is refused, with its JSON path.  Members it does not know are kept.  Writing gives the
 * same bytes for the same document.
 */
#ifndef MODEL_FILE_H
#define MODEL_FILE_H

#include "model/document.h"

#include <gio/gio.h>

#define MODEL_FILE_FORMAT "panelwright"
#define MODEL_FILE_VERSION 1
/* Hundred metres: no costume is larger, and sums of squares stay exact enough. */
#define MODEL_FILE_MAX_MM 100000.0
/* More than any piece of armour, less than what makes the window crawl for minutes. */
#define MODEL_FILE_MAX_NODES 200000

typedef enum ModelFileError
{
  MODEL_FILE_ERROR_SYNTAX,  /* not JSON: "line 3, column 7: ..." */
  MODEL_FILE_ERROR_CONTENT, /* JSON, but not a document: "panels[2].edges[0].name: ..." */
  MODEL_FILE_ERROR_NEWER    /* of a newer format */
} ModelFileError;

#define MODEL_FILE_ERROR (model_file_error_quark ())
GQuark model_file_error_quark (void);

/* Message: where and why in one line; the caller names the file. */
ModelDocument *model_document_from_data (const char *data, gsize length, GError **error);
/* UTF-8 with a newline at the end; *LENGTH may be NULL. */
char *model_document_to_data (const ModelDocument *doc, gsize *length);
/* One part as it stands in the file: two parts are the same when these are. */
char *model_part_to_data (ModelPart part, gsize *length);
/* Message begins with the file's name; trouble with the file itself is a G_IO_ERROR.  *ETAG (NULL: not
 * wanted), NULL or a string, is replaced when the file was read. */
ModelDocument *model_document_load (GFile *file, char **etag, GError **error);

#endif
