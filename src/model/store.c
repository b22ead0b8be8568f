/* Saves and the recovery file.
 *
 * A recovery file is one line of JSON that says whose it is, and below it the document as it would be saved.
 * The lock file beside it is held with flock while the program runs: the kernel lets go of it however the
 * program ends, which no process number written into a file can promise.
 */
#include "model/store.h"

#include "model/json-text.h"

#include <errno.h>
#include <fcntl.h>
#include <glib/gi18n.h>
#include <glib/gstdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#define RECOVERY_SUFFIX ".recovery"
#define LOCK_SUFFIX ".lock"
/* Another program may sweep away a lock file between its making and its locking; so often in a row it does
 * not. */
#define LOCK_TRIES 20
/* As for documents. */
#define MAX_RECOVERY_BYTES (256 * 1024 * 1024)

/* ---- saving ---- */

/* Where a link leads.  GIO would follow it too, but then writes into the old file itself, and a full disk
 * would leave half of it. */
static GFile *
behind_links (GFile *file)
{
  g_autofree char *path = g_file_get_path (file);
  char *real = path != NULL ? realpath (path, NULL) : NULL;
  GFile *target = real != NULL ? g_file_new_for_path (real) : g_object_ref (file);

  free (real);
  return target;
}

/* A stream that is closed after a cancel throws away what was written and leaves the old file. */
static void
throw_away (GOutputStream *stream)
{
  g_autoptr (GCancellable) cancelled = g_cancellable_new ();

  g_cancellable_cancel (cancelled);
  g_output_stream_close (stream, cancelled, NULL);
}

bool
model_store_save (const ModelDocument *doc, GFile *file, char **etag, GError **error)
{
  gsize length = 0;
  g_autofree char *text = model_document_to_data (doc, &length);
  g_autoptr (GFile) target = behind_links (file);
  g_autoptr (GFileOutputStream) stream
    = g_file_replace (target, etag != NULL ? *etag : NULL, FALSE, G_FILE_CREATE_NONE, NULL, error);

  if (stream == NULL)
    return false;
  if (!g_output_stream_write_all (G_OUTPUT_STREAM (stream), text, length, NULL, NULL, error))
  {
    throw_away (G_OUTPUT_STREAM (stream));
    return false;
  }
  if (!g_output_stream_close (G_OUTPUT_STREAM (stream), NULL, error))
    return false;
  if (etag != NULL)
  {
    g_free (*etag);
    *etag = g_file_output_stream_get_etag (stream);
  }
  return true;
}

bool
model_store_changed_outside (GFile *file, const char *etag)
{
  g_autoptr (GFileInfo) info
    = g_file_query_info (file, G_FILE_ATTRIBUTE_ETAG_VALUE, G_FILE_QUERY_INFO_NONE, NULL, NULL);

  if (info == NULL)
    return true;
  return etag != NULL && g_strcmp0 (g_file_info_get_etag (info), etag) != 0;
}

/* ---- recovery: the running program ---- */

struct ModelRecovery
{
  char *path, *lock_path;
  int lock;
};

static char *
recovery_dir (const char *dir)
{
  return dir != NULL ? g_strdup (dir)
                     : g_build_filename (g_get_user_state_dir (), "panelwright", "recovery", NULL);
}

static bool
set_error_from_errno (GError **error, const char *path, int code)
{
  g_autofree char *name = g_filename_display_name (path);

  g_set_error (error, G_FILE_ERROR, g_file_error_from_errno (code), "%s: %s", name, g_strerror (code));
  return false;
}

static bool
make_dir (const char *dir, GError **error)
{
  return g_mkdir_with_parents (dir, 0700) == 0 || set_error_from_errno (error, dir, errno);
}

/* Still the file of that name, and not one that was swept away after it was opened. */
static bool
is_same_file (int fd, const char *path)
{
  struct stat opened, named;

  return fstat (fd, &opened) == 0 && stat (path, &named) == 0 && opened.st_dev == named.st_dev
         && opened.st_ino == named.st_ino;
}

/* The open and locked file; -1 with errno when it cannot be had, EWOULDBLOCK when another holds it. */
static int
take_lock (const char *path)
{
  for (int i = 0; i < LOCK_TRIES; i++)
  {
    int fd = open (path, O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0600);
    int code;

    if (fd < 0)
      return -1;
    if (flock (fd, LOCK_EX | LOCK_NB) != 0)
    {
      code = errno;
      close (fd);
      errno = code;
      return -1;
    }
    if (is_same_file (fd, path))
      return fd;
    close (fd);
  }
  errno = EAGAIN;
  return -1;
}

ModelRecovery *
model_recovery_new (const char *dir, GError **error)
{
  g_autofree char *folder = recovery_dir (dir);
  g_autofree char *uuid = g_uuid_string_random ();
  g_autofree char *stem = g_build_filename (folder, uuid, NULL);
  g_autofree char *lock_path = g_strconcat (stem, LOCK_SUFFIX, NULL);
  ModelRecovery *recovery;
  int lock;

  if (!make_dir (folder, error))
    return NULL;
  lock = take_lock (lock_path);
  if (lock < 0)
  {
    set_error_from_errno (error, lock_path, errno);
    return NULL;
  }
  recovery = g_new0 (ModelRecovery, 1);
  recovery->path = g_strconcat (stem, RECOVERY_SUFFIX, NULL);
  recovery->lock_path = g_steal_pointer (&lock_path);
  recovery->lock = lock;
  return recovery;
}

void
model_recovery_clear (ModelRecovery *recovery)
{
  g_unlink (recovery->path);
}

void
model_recovery_abandon (ModelRecovery *recovery)
{
  if (recovery == NULL)
    return;
  close (recovery->lock);
  g_free (recovery->path);
  g_free (recovery->lock_path);
  g_free (recovery);
}

void
model_recovery_discard (ModelRecovery *recovery)
{
  if (recovery == NULL)
    return;
  model_recovery_clear (recovery);
  g_unlink (recovery->lock_path);
  model_recovery_abandon (recovery);
}

static void
set_string (JsonObject *object, const char *name, const char *text)
{
  if (text != NULL)
    json_object_set_string_member (object, name, text);
}

/* One line: json-glib's plain form has no line breaks. */
static char *
header_line (const ModelDocument *doc, const char *uri, const char *etag)
{
  JsonObject *header = json_object_new ();
  g_autoptr (JsonNode) node = json_node_new (JSON_NODE_OBJECT);

  json_object_set_string_member (header, "format", MODEL_FILE_FORMAT " recovery");
  set_string (header, "uri", uri);
  set_string (header, "etag", etag);
  set_string (header, "title", doc->head->title);
  json_object_set_int_member (header, "pid", getpid ());
  json_object_set_int_member (header, "written", g_get_real_time () / G_USEC_PER_SEC);
  json_node_take_object (node, header);
  return json_to_string (node, FALSE);
}

bool
model_recovery_write (
  ModelRecovery *recovery, const ModelDocument *doc, const char *uri, const char *etag, GError **error)
{
  g_autofree char *header = header_line (doc, uri, etag);
  g_autofree char *body = model_document_to_data (doc, NULL);
  g_autofree char *text = g_strconcat (header, "\n", body, NULL);
  g_autofree char *dir = g_path_get_dirname (recovery->path);

  return make_dir (dir, error)
         && g_file_set_contents_full (recovery->path, text, -1, G_FILE_SET_CONTENTS_CONSISTENT, 0600, error);
}

/* ---- recovery: the next start ---- */

void
model_leftover_free (ModelLeftover *leftover)
{
  if (leftover == NULL)
    return;
  g_free (leftover->path);
  g_free (leftover->uri);
  g_free (leftover->etag);
  g_free (leftover->title);
  model_document_free (leftover->doc);
  if (leftover->lock >= 0)
    close (leftover->lock);
  g_free (leftover);
}

static char *
lock_path_for (const char *path)
{
  g_autofree char *stem = g_strndup (path, strlen (path) - strlen (RECOVERY_SUFFIX));

  return g_strconcat (stem, LOCK_SUFFIX, NULL);
}

void
model_leftover_remove (const ModelLeftover *leftover)
{
  g_autofree char *lock_path = lock_path_for (leftover->path);

  g_unlink (leftover->path);
  g_unlink (lock_path);
}

static char *
header_text (ModelJson *json, const char *name)
{
  const ModelJsonValue *v = model_json_member (json, &json->value[0], name);

  return v != NULL && v->kind == MODEL_JSON_STRING ? g_strdup (v->text) : NULL;
}

/* Leaves what cannot be read as it is. */
static void
read_leftover (ModelLeftover *leftover, const char *text, gsize length)
{
  const char *end = memchr (text, '\n', length);
  gsize header_length = end != NULL ? (gsize)(end - text) : length;
  g_autoptr (ModelJson) header = model_json_parse (text, header_length, NULL);
  const ModelJsonValue *written;

  if (header == NULL || header->value[0].kind != MODEL_JSON_OBJECT)
    return;
  leftover->uri = header_text (header, "uri");
  leftover->etag = header_text (header, "etag");
  leftover->title = header_text (header, "title");
  written = model_json_member (header, &header->value[0], "written");
  if (written != NULL && written->kind == MODEL_JSON_INTEGER)
    leftover->written_unix = written->integer;
  if (end != NULL)
    leftover->doc = model_document_from_data (end + 1, length - header_length - 1, NULL);
}

/* NULL when the program it belongs to runs, or another is just looking at it. */
static ModelLeftover *
open_leftover (const char *path)
{
  g_autofree char *lock_path = lock_path_for (path);
  g_autofree char *text = NULL;
  ModelLeftover *leftover;
  struct stat info;
  gsize length = 0;
  int lock = take_lock (lock_path);

  /* Only a held lock tells that it is in use; a folder that cannot be written to must not hide what lies in
   * it. */
  if (lock < 0 && (errno == EWOULDBLOCK || errno == EAGAIN))
    return NULL;
  if (lstat (path, &info) != 0 || !S_ISREG (info.st_mode))
  {
    if (lock >= 0)
      close (lock);
    return NULL;
  }
  leftover = g_new0 (ModelLeftover, 1);
  leftover->path = g_strdup (path);
  leftover->lock = lock;
  leftover->written_unix = info.st_mtime;
  if (info.st_size <= MAX_RECOVERY_BYTES && g_file_get_contents (path, &text, &length, NULL))
    read_leftover (leftover, text, length);
  return leftover;
}

/* A lock file without content: its program had nothing unsaved when it died. */
static void
sweep_lock (const char *path)
{
  g_autofree char *stem = g_strndup (path, strlen (path) - strlen (LOCK_SUFFIX));
  g_autofree char *content = g_strconcat (stem, RECOVERY_SUFFIX, NULL);
  int lock;

  if (g_file_test (content, G_FILE_TEST_EXISTS))
    return;
  lock = take_lock (path);
  if (lock < 0)
    return;
  /* Once more under the lock: its program may just have written. */
  if (!g_file_test (content, G_FILE_TEST_EXISTS))
    g_unlink (path);
  close (lock);
}

static int
compare_leftovers (gconstpointer a, gconstpointer b)
{
  const ModelLeftover *first = *(ModelLeftover *const *)a, *second = *(ModelLeftover *const *)b;

  if (first->written_unix != second->written_unix)
    return first->written_unix > second->written_unix ? -1 : 1;
  return strcmp (first->path, second->path);
}

GPtrArray *
model_recovery_find (const char *dir)
{
  GPtrArray *found = g_ptr_array_new_with_free_func ((GDestroyNotify)model_leftover_free);
  g_autofree char *folder = recovery_dir (dir);
  g_autoptr (GDir) entries = g_dir_open (folder, 0, NULL);
  const char *name;

  while (entries != NULL && (name = g_dir_read_name (entries)) != NULL)
  {
    g_autofree char *path = g_build_filename (folder, name, NULL);
    ModelLeftover *leftover;

    if (g_str_has_suffix (name, LOCK_SUFFIX))
      sweep_lock (path);
    if (!g_str_has_suffix (name, RECOVERY_SUFFIX))
      continue;
    leftover = open_leftover (path);
    if (leftover != NULL)
      g_ptr_array_add (found, leftover);
  }
  g_ptr_array_sort (found, compare_leftovers);
  return found;
}
