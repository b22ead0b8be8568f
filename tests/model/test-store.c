/* Saves and recovery on a real disk. */
#include "model/store.h"

#include "support/big-document.h"

#include <fcntl.h>
#include <glib/gstdio.h>
#include <signal.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

typedef struct Place
{
  char *dir, *path;
  GFile *file;
  ModelDocument *doc;
} Place;

static void
set_up (Place *place, gconstpointer data)
{
  g_autoptr (GError) error = NULL;

  place->dir = g_dir_make_tmp ("model-store-XXXXXX", &error);
  g_assert_no_error (error);
  place->path = g_build_filename (place->dir, "guard.panelwright", NULL);
  place->file = g_file_new_for_path (place->path);
  place->doc = test_big_document_of (4, 3);
}

static void
tear_down (Place *place, gconstpointer data)
{
  g_autoptr (GDir) dir = g_dir_open (place->dir, 0, NULL);
  const char *name;

  while (dir != NULL && (name = g_dir_read_name (dir)) != NULL)
  {
    g_autofree char *path = g_build_filename (place->dir, name, NULL);
    g_remove (path);
  }
  g_rmdir (place->dir);
  g_free (place->dir);
  g_free (place->path);
  g_object_unref (place->file);
  model_document_free (place->doc);
}

static void
save (Place *place, char **etag)
{
  g_autoptr (GError) error = NULL;
  bool done = model_store_save (place->doc, place->file, etag, &error);

  g_assert_no_error (error);
  g_assert_true (done);
}

static void
assert_content (const char *path, const ModelDocument *doc)
{
  g_autofree char *want = model_document_to_data (doc, NULL), *text = NULL;

  g_assert_true (g_file_get_contents (path, &text, NULL, NULL));
  g_assert_cmpstr (text, ==, want);
}

static void
set_title (ModelDocument *doc, const char *title)
{
  g_free (doc->head->title);
  doc->head->title = g_strdup (title);
}

static guint
files_in (const char *path)
{
  g_autoptr (GDir) dir = g_dir_open (path, 0, NULL);
  guint count = 0;

  while (g_dir_read_name (dir) != NULL)
    count++;
  return count;
}

/* ---- saving ---- */

static void
test_save (Place *place, gconstpointer data)
{
  g_autofree char *etag = NULL, *loaded_etag = NULL;
  g_autoptr (ModelDocument) again = NULL;

  save (place, NULL);
  save (place, &etag);
  g_assert_nonnull (etag);
  assert_content (place->path, place->doc);
  again = model_document_load (place->file, &loaded_etag, NULL);
  g_assert_cmpstr (loaded_etag, ==, etag);
  g_assert_false (model_store_changed_outside (place->file, etag));
  set_title (place->doc, "second");
  save (place, &etag);
  assert_content (place->path, place->doc);
  g_assert_cmpuint (files_in (place->dir), ==, 1);
}

static void
test_changed_outside (Place *place, gconstpointer data)
{
  g_autofree char *etag = NULL;
  g_autoptr (GError) error = NULL;
  g_autofree char *text = NULL;

  save (place, &etag);
  /* File systems stamp times in steps of a few milliseconds. */
  g_usleep (20000);
  g_assert_true (g_file_set_contents (place->path, "somebody else's", -1, NULL));
  g_assert_true (model_store_changed_outside (place->file, etag));
  g_assert_false (model_store_changed_outside (place->file, NULL));
  g_assert_false (model_store_save (place->doc, place->file, &etag, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_WRONG_ETAG);
  g_assert_true (g_file_get_contents (place->path, &text, NULL, NULL));
  g_assert_cmpstr (text, ==, "somebody else's");
  /* Overwriting on purpose. */
  g_clear_pointer (&etag, g_free);
  save (place, &etag);
  assert_content (place->path, place->doc);
  g_unlink (place->path);
  g_assert_true (model_store_changed_outside (place->file, etag));
  /* Gone: nothing to be lost, so it is written. */
  save (place, &etag);
  assert_content (place->path, place->doc);
}

static void
test_keeps_links_and_permissions (Place *place, gconstpointer data)
{
  g_autofree char *link = g_build_filename (place->dir, "link.panelwright", NULL);
  g_autoptr (GFile) link_file = g_file_new_for_path (link);
  g_autofree char *etag = NULL;
  g_autoptr (GError) error = NULL;
  g_autoptr (ModelDocument) doc = NULL;
  struct stat info;

  save (place, NULL);
  g_assert_cmpint (g_chmod (place->path, 0640), ==, 0);
  g_assert_cmpint (symlink ("guard.panelwright", link), ==, 0);
  doc = model_document_load (link_file, &etag, &error);
  g_assert_no_error (error);
  set_title (doc, "by the link");
  g_assert_true (model_store_save (doc, link_file, &etag, &error));
  g_assert_no_error (error);
  g_assert_true (g_file_test (link, G_FILE_TEST_IS_SYMLINK));
  assert_content (place->path, doc);
  g_assert_cmpint (stat (place->path, &info), ==, 0);
  g_assert_cmpuint (info.st_mode & 07777, ==, 0640);
  g_assert_false (model_store_changed_outside (link_file, etag));
  g_assert_cmpuint (files_in (place->dir), ==, 2);
}

/* The disk is as good as full: no file may grow beyond some bytes.  In a process of its own, which never gets
 * its limit back. */
static int
save_with_full_disk (Place *place, const char *path)
{
  pid_t pid = fork ();
  int status = -1;

  if (pid == 0)
  {
    struct rlimit limit = { 2000, 2000 };
    g_autoptr (GFile) file = g_file_new_for_path (path);
    g_autoptr (GError) error = NULL;
    bool done;

    signal (SIGXFSZ, SIG_IGN);
    setrlimit (RLIMIT_FSIZE, &limit);
    set_title (place->doc, "does not fit");
    done = model_store_save (place->doc, file, NULL, &error);
    _exit (done ? 1 : error != NULL && error->message[0] != '\0' ? 0 : 2);
  }
  g_assert_cmpint (pid, >, 0);
  g_assert_cmpint (waitpid (pid, &status, 0), ==, pid);
  return WIFEXITED (status) ? WEXITSTATUS (status) : -1;
}

static void
test_full_disk (Place *place, gconstpointer data)
{
  g_autofree char *link = g_build_filename (place->dir, "link.panelwright", NULL);

  save (place, NULL);
  g_assert_cmpint (save_with_full_disk (place, place->path), ==, 0);
  assert_content (place->path, place->doc);
  g_assert_cmpint (symlink (place->path, link), ==, 0);
  g_assert_cmpint (save_with_full_disk (place, link), ==, 0);
  assert_content (place->path, place->doc);
  /* Nothing half written is left lying about. */
  g_assert_cmpuint (files_in (place->dir), ==, 2);
}

static void
test_save_where_it_cannot_be (Place *place, gconstpointer data)
{
  g_autofree char *nowhere = g_build_filename (place->dir, "no", "such", "folder", NULL);
  g_autoptr (GFile) file = g_file_new_for_path (nowhere), folder = g_file_new_for_path (place->dir);
  g_autoptr (GError) error = NULL;

  g_assert_false (model_store_save (place->doc, file, NULL, &error));
  g_assert_nonnull (error);
  g_clear_error (&error);
  g_assert_false (model_store_save (place->doc, folder, NULL, &error));
  g_assert_nonnull (error);
}

/* ---- recovery ---- */

static ModelRecovery *
new_recovery (Place *place)
{
  g_autoptr (GError) error = NULL;
  ModelRecovery *recovery = model_recovery_new (place->dir, &error);

  g_assert_no_error (error);
  return recovery;
}

static void
write_recovery (ModelRecovery *recovery, const ModelDocument *doc, const char *uri, const char *etag)
{
  g_autoptr (GError) error = NULL;

  g_assert_true (model_recovery_write (recovery, doc, uri, etag, &error));
  g_assert_no_error (error);
}

static void
test_recovery (Place *place, gconstpointer data)
{
  ModelRecovery *recovery = new_recovery (place);
  g_autoptr (GPtrArray) running = NULL, found = NULL, none = NULL;
  g_autofree char *want = model_document_to_data (place->doc, NULL), *text = NULL;
  const ModelLeftover *leftover;
  struct stat info;

  write_recovery (recovery, place->doc, "file:///guard.panelwright", "12:34");
  running = model_recovery_find (place->dir);
  g_assert_cmpuint (running->len, ==, 0);
  model_recovery_abandon (recovery);
  found = model_recovery_find (place->dir);
  g_assert_cmpuint (found->len, ==, 1);
  leftover = g_ptr_array_index (found, 0);
  g_assert_cmpstr (leftover->uri, ==, "file:///guard.panelwright");
  g_assert_cmpstr (leftover->etag, ==, "12:34");
  g_assert_cmpstr (leftover->title, ==, place->doc->head->title);
  g_assert_cmpint (ABS (leftover->written_unix - g_get_real_time () / G_USEC_PER_SEC), <, 60);
  text = model_document_to_data (leftover->doc, NULL);
  g_assert_cmpstr (text, ==, want);
  /* What is on a recovery file is the maker's alone. */
  g_assert_cmpint (stat (leftover->path, &info), ==, 0);
  g_assert_cmpuint (info.st_mode & 0777, ==, 0600);
  /* A second program, started now, does not offer the same. */
  none = model_recovery_find (place->dir);
  g_assert_cmpuint (none->len, ==, 0);
  model_leftover_remove (leftover);
  g_assert_cmpuint (files_in (place->dir), ==, 0);
}

static void
test_recovery_ends_well (Place *place, gconstpointer data)
{
  ModelRecovery *recovery = new_recovery (place);
  g_autoptr (GPtrArray) found = NULL;

  write_recovery (recovery, place->doc, NULL, NULL);
  g_assert_cmpuint (files_in (place->dir), ==, 2);
  model_recovery_clear (recovery);
  g_assert_cmpuint (files_in (place->dir), ==, 1);
  write_recovery (recovery, place->doc, NULL, NULL);
  model_recovery_discard (recovery);
  g_assert_cmpuint (files_in (place->dir), ==, 0);
  /* Nothing unsaved when the program died: its lock is swept away, one that is held is not. */
  model_recovery_abandon (new_recovery (place));
  recovery = new_recovery (place);
  found = model_recovery_find (place->dir);
  g_assert_cmpuint (found->len, ==, 0);
  g_assert_cmpuint (files_in (place->dir), ==, 1);
  write_recovery (recovery, place->doc, NULL, NULL);
  model_recovery_discard (recovery);
}

/* Killed, not ended: the kernel lets go of the lock. */
static void
test_recovery_of_a_killed_program (Place *place, gconstpointer data)
{
  g_autoptr (GPtrArray) running = NULL, found = NULL;
  int ready[2], status;
  char byte = 0;
  pid_t pid;

  g_assert_cmpint (pipe (ready), ==, 0);
  pid = fork ();
  if (pid == 0)
  {
    ModelRecovery *recovery = model_recovery_new (place->dir, NULL);

    if (recovery == NULL || !model_recovery_write (recovery, place->doc, NULL, NULL, NULL)
        || write (ready[1], "x", 1) != 1)
      _exit (1);
    for (;;)
      pause ();
  }
  close (ready[1]);
  g_assert_cmpint (read (ready[0], &byte, 1), ==, 1);
  close (ready[0]);
  running = model_recovery_find (place->dir);
  g_assert_cmpuint (running->len, ==, 0);
  kill (pid, SIGKILL);
  g_assert_cmpint (waitpid (pid, &status, 0), ==, pid);
  found = model_recovery_find (place->dir);
  g_assert_cmpuint (found->len, ==, 1);
  g_assert_nonnull (((ModelLeftover *)g_ptr_array_index (found, 0))->doc);
  g_assert_null (((ModelLeftover *)g_ptr_array_index (found, 0))->uri);
}

static void
put_file (Place *place, const char *name, const char *text, gssize length)
{
  g_autofree char *path = g_build_filename (place->dir, name, NULL);

  g_assert_true (g_file_set_contents (path, text, length, NULL));
}

/* Damaged files are named, with what can still be read of them, and stay. */
static void
test_damaged_leftovers (Place *place, gconstpointer data)
{
  g_autofree char *text = model_document_to_data (place->doc, NULL);
  g_autofree char *cut
    = g_strdup_printf ("{\"title\": \"cut\", \"uri\": \"file:///x\", \"written\": 3000000000}\n%.500s", text);
  g_autofree char *odd
    = g_strdup_printf ("{\"title\": 7, \"uri\": null, \"written\": \"yesterday\"}\n%s", text);
  g_autofree char *subdir = g_build_filename (place->dir, "folder.recovery", NULL);
  g_autoptr (GPtrArray) found = NULL;
  guint damaged = 0;

  put_file (place, "a.recovery", "", 0);
  put_file (place, "b.recovery", "\0\0\0\0\0\0", 6);
  put_file (place, "c.recovery", "[]\n{}", -1);
  put_file (place, "d.recovery", cut, -1);
  put_file (place, "e.recovery", odd, -1);
  put_file (place, "f.recovery", "{\"title\": \"no document\"}", -1);
  put_file (place, "notes.txt", "not ours", -1);
  g_assert_cmpint (g_mkdir (subdir, 0700), ==, 0);
  found = model_recovery_find (place->dir);
  g_assert_cmpuint (found->len, ==, 6);
  for (guint i = 0; i < found->len; i++)
  {
    const ModelLeftover *leftover = g_ptr_array_index (found, i);

    g_assert_true (g_file_test (leftover->path, G_FILE_TEST_IS_REGULAR));
    damaged += leftover->doc == NULL ? 1 : 0;
    if (g_str_has_suffix (leftover->path, "e.recovery"))
    {
      g_assert_nonnull (leftover->doc);
      g_assert_null (leftover->title);
    }
  }
  g_assert_cmpuint (damaged, ==, 5);
  /* Newest first: only the cut one says a time to come. */
  g_assert_cmpstr (((ModelLeftover *)g_ptr_array_index (found, 0))->title, ==, "cut");
  g_assert_cmpint (((ModelLeftover *)g_ptr_array_index (found, 0))->written_unix, ==, 3000000000);
}

static void
test_recovery_without_a_place (Place *place, gconstpointer data)
{
  g_autofree char *under_file = g_build_filename (place->path, "recovery", NULL);
  g_autofree char *nowhere = g_build_filename (place->dir, "nowhere", NULL);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) found = model_recovery_find (nowhere);

  save (place, NULL);
  g_assert_null (model_recovery_new (under_file, &error));
  g_assert_nonnull (error);
  g_assert_cmpuint (found->len, ==, 0);
  model_recovery_discard (NULL);
  model_recovery_abandon (NULL);
  model_leftover_free (NULL);
}

int
main (int argc, char **argv)
{
  static const struct
  {
    const char *name;
    void (*run) (Place *, gconstpointer);
  } tests[] = {
    { "/model/store/save", test_save },
    { "/model/store/changed-outside", test_changed_outside },
    { "/model/store/keeps-links-and-permissions", test_keeps_links_and_permissions },
    { "/model/store/full-disk", test_full_disk },
    { "/model/store/save-where-it-cannot-be", test_save_where_it_cannot_be },
    { "/model/store/recovery", test_recovery },
    { "/model/store/recovery-ends-well", test_recovery_ends_well },
    { "/model/store/recovery-of-a-killed-program", test_recovery_of_a_killed_program },
    { "/model/store/damaged-leftovers", test_damaged_leftovers },
    { "/model/store/recovery-without-a-place", test_recovery_without_a_place },
  };

  g_test_init (&argc, &argv, NULL);
  for (guint i = 0; i < G_N_ELEMENTS (tests); i++)
    g_test_add (tests[i].name, Place, NULL, set_up, tests[i].run, tear_down);
  return g_test_run ();
}
