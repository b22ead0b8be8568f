/* The list of what differs since a revision, as a PDF to lay beside the paper already cut.
 */
#ifndef OUTPUT_CHANGES_H
#define OUTPUT_CHANGES_H

#include "engine/compare.h"

/* On A4 or Letter, whichever the document's paper is nearer to.  WAS_NAME: what to call the earlier state. An
 * empty list is a page that says so.  Whole or not at all. */
bool output_changes_write_pdf (const ModelDocument *was,
                               const char *was_name,
                               const ModelDocument *now,
                               const GArray *changes,
                               const char *path,
                               GError **error);

#endif
