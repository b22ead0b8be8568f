/* Keeping a document on disk so that nothing is lost: atomic saves, changes by others noticed, a recovery
 * file that follows the edits.
 *
 * Recovery files lie in the user's state directory (XDG), one a running document, with a lock file beside
 * each; a file whose lock is free belongs to a program that died.
 *
 * A file with several names (hard links) is written in place: the one case in which a full disk can hurt the
 * old content.
 */
#ifndef MODEL_STORE_H
#define MODEL_STORE_H

#include "model/file.h"

/* Writes whole or not at all, follows links, keeps permissions.  *ETAG: what the file was when last read or
 * written (NULL: do not care), replaced by the new one.  G_IO_ERROR_WRONG_ETAG: somebody else changed it
 * meanwhile, nothing was written. */
bool model_store_save (const ModelDocument *doc, GFile *file, char **etag, GError **error);

/* True if FILE is now other than at ETAG (NULL: nothing is known of it), or gone. */
bool model_store_changed_outside (GFile *file, const char *etag);

/* ---- recovery ---- */

typedef struct ModelRecovery ModelRecovery; /* one document's recovery file, open while the document is */

/* DIR: NULL for the user's state directory.  NULL with ERROR if no file can be made there; the program goes
 * on without. */
ModelRecovery *model_recovery_new (const char *dir, GError **error);
/* Removes the file and the lock: the document is safe or was let go. */
void model_recovery_discard (ModelRecovery *recovery);
/* Leaves the file, gives up the lock: only for tests and for an orderly end in trouble. */
void model_recovery_abandon (ModelRecovery *recovery);
/* Writes the present state; URI (may be NULL) and ETAG say which file it belongs to. */
bool model_recovery_write (
  ModelRecovery *recovery, const ModelDocument *doc, const char *uri, const char *etag, GError **error);
/* Nothing unsaved now: the content goes, the lock stays. */
void model_recovery_clear (ModelRecovery *recovery);

typedef struct ModelLeftover
{
  char *path;       /* of the recovery file */
  char *uri, *etag; /* of the document it belongs to; NULL if it never had a file */
  char *title;
  gint64 written_unix;
  ModelDocument *doc; /* NULL: damaged; the file is kept and named */
  int lock;           /* held until freed, so that two programs do not offer the same; private */
} ModelLeftover;

void model_leftover_free (ModelLeftover *leftover);
/* What earlier runs left behind, newest first: ModelLeftover. */
GPtrArray *model_recovery_find (const char *dir);
/* Deletes one (taken over, or the maker let it go). */
void model_leftover_remove (const ModelLeftover *leftover);

#endif
