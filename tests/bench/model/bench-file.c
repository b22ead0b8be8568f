/* How long opening and saving the large document take, disk included.  Promised: 50 ms each.
 *
 * Each figure is the middle one of several runs of the whole way: from a file to a document, from a document
 * to a file that is safe on the disk.  Fails when a promise is broken, so that it can be run as a check.
 */
#include "model/history.h"
#include "model/store.h"
#include "support/big-document.h"

#include <glib/gstdio.h>
#include <stdlib.h>

#define RUNS 31
#define OPEN_LIMIT_MS 50.0
#define SAVE_LIMIT_MS 50.0
/* Ours: a drag puts one panel on each frame, of which it may take a small part. */
#define PUT_LIMIT_MS 0.5
#define RECOVERY_LIMIT_MS 50.0

static int
compare_doubles (const void *a, const void *b)
{
  double x = *(const double *)a, y = *(const double *)b;

  return x < y ? -1 : x > y;
}

static double
middle (double *ms)
{
  qsort (ms, RUNS, sizeof *ms, compare_doubles);
  return ms[RUNS / 2];
}

static bool
report (const char *what, double *ms, double limit_ms)
{
  double value = middle (ms);

  g_print ("%-28s %8.3f ms  (least %.3f, most %.3f, promised %.1f)\n", what, value, ms[0], ms[RUNS - 1],
           limit_ms);
  return value <= limit_ms;
}

static double
since_ms (gint64 start_us)
{
  return (double)(g_get_monotonic_time () - start_us) / 1000.0;
}

int
main (void)
{
  g_autoptr (ModelDocument) doc = test_big_document ();
  g_autoptr (GError) error = NULL;
  g_autofree char *dir = g_dir_make_tmp ("bench-file-XXXXXX", &error);
  g_autofree char *path = g_build_filename (dir, "big.panelwright", NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (ModelHistory) history = NULL;
  g_autofree char *etag = NULL, *text = NULL;
  ModelRecovery *recovery = model_recovery_new (dir, &error);
  double save_ms[RUNS], open_ms[RUNS], write_ms[RUNS], read_ms[RUNS], put_ms[RUNS], recovery_ms[RUNS];
  gsize length = 0;
  bool good = recovery != NULL;

  for (int i = 0; good && i < RUNS; i++)
  {
    gint64 start_us = g_get_monotonic_time ();
    ModelDocument *read;

    good = model_store_save (doc, file, &etag, &error);
    save_ms[i] = since_ms (start_us);
    start_us = g_get_monotonic_time ();
    read = good ? model_document_load (file, NULL, &error) : NULL;
    open_ms[i] = since_ms (start_us);
    good = read != NULL && read->panels->len == TEST_BIG_PANELS;
    model_document_free (read);

    g_free (text);
    start_us = g_get_monotonic_time ();
    text = model_document_to_data (doc, &length);
    write_ms[i] = since_ms (start_us);
    start_us = g_get_monotonic_time ();
    read = model_document_from_data (text, length, NULL);
    read_ms[i] = since_ms (start_us);
    model_document_free (read);

    start_us = g_get_monotonic_time ();
    good = good && model_recovery_write (recovery, doc, NULL, NULL, &error);
    recovery_ms[i] = since_ms (start_us);
  }
  history = model_history_new (model_document_copy (doc));
  for (int i = 0; i < RUNS; i++)
  {
    ModelPanel *panel = model_panel_copy (g_ptr_array_index (model_history_document (history)->panels, 100));
    gint64 start_us = g_get_monotonic_time ();

    model_edge_node (model_panel_edge (panel, 3), 0)->at.x += 0.1;
    model_history_put_panel (history, panel);
    put_ms[i] = since_ms (start_us);
  }
  model_recovery_discard (recovery);
  g_unlink (path);
  g_rmdir (dir);
  if (!good)
  {
    g_printerr ("%s\n", error != NULL ? error->message : "what was read is not what was written");
    return 1;
  }
  g_print ("%u panels, %u joins, %" G_GSIZE_FORMAT " bytes\n", doc->panels->len, doc->joins->len, length);
  good = report ("open", open_ms, OPEN_LIMIT_MS);
  good = report ("save", save_ms, SAVE_LIMIT_MS) && good;
  good = report ("  text to document", read_ms, OPEN_LIMIT_MS) && good;
  good = report ("  document to text", write_ms, SAVE_LIMIT_MS) && good;
  good = report ("recovery file", recovery_ms, RECOVERY_LIMIT_MS) && good;
  good = report ("one step of undo", put_ms, PUT_LIMIT_MS) && good;
  return good ? 0 : 1;
}
