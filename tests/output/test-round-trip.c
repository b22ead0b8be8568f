/* What we write as a drawing and read back as one: the cut lines come back within what is promised of
 * writing, 0.005 mm, piece by piece, and no piece is lost or added. */
#include "engine/svg-in.h"
#include "model/file.h"
#include "output/cut-file.h"

#include "support/big-document.h"

#include <glib/gstdio.h>

#define PROMISED_MM 0.005

static void
assert_same_line (const GeomPath *written, const ModelPanel *read)
{
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (read, &path, NULL);
  GeomBox a = geom_path_box (written), b = geom_path_box (&path);
  /* Each piece has its own place in the drawing; only that may differ. */
  geom_path_map (&path,
                 geom_affine_move ((a.x0 + a.x1 - b.x0 - b.x1) / 2.0, (a.y0 + a.y1 - b.y0 - b.y1) / 2.0));
  for (size_t i = 0; i < path.count; i++)
    for (int k = 0; k < 8; k++)
      g_assert_cmpfloat (geom_path_nearest (written, geom_cubic_at (&path.piece[i], k / 8.0)).distance_mm, <=,
                         PROMISED_MM);
  for (size_t i = 0; i < written->count; i++)
    for (int k = 0; k < 8; k++)
      g_assert_cmpfloat (geom_path_nearest (&path, geom_cubic_at (&written->piece[i], k / 8.0)).distance_mm,
                         <=, PROMISED_MM);
  geom_path_clear (&path);
}

static void
check (ModelDocument *doc)
{
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autofree char *dir = g_dir_make_tmp ("pw-round-trip-XXXXXX", NULL), *text = NULL;
  g_autofree char *path = g_build_filename (dir, "cut.svg", NULL);
  g_autoptr (GError) error = NULL;
  gsize length;
  g_assert_true (output_cut_write (review, NULL, path, &error));
  g_assert_true (g_file_get_contents (path, &text, &length, &error));
  g_unlink (path);
  g_rmdir (dir);
  EngineSvgReport report;
  g_autoptr (ModelDocument) read = engine_svg_read (text, length, &report, &error);
  g_assert_no_error (error);
  const GPtrArray *pieces = engine_review_pieces (review);
  g_assert_cmpuint (read->panels->len, ==, pieces->len);
  for (guint i = 0; i < pieces->len; i++)
  {
    const EnginePiece *piece = g_ptr_array_index (pieces, i);
    assert_same_line (&piece->cut, g_ptr_array_index (read->panels, i));
  }
}

static void
test_example (gconstpointer name)
{
  g_autofree char *path = g_build_filename (g_getenv ("PW_SOURCE_ROOT"), "data", name, NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;
  g_autoptr (ModelDocument) doc = model_document_load (file, NULL, &error);
  g_assert_no_error (error);
  check (doc);
}

static void
test_big (void)
{
  g_autoptr (ModelDocument) doc = test_big_document_of (20, 12);
  check (doc);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_data_func ("/output/round-trip/caravan-guard", "caravan-guard.panelwright", test_example);
  g_test_add_data_func ("/output/round-trip/caravan-bracer", "caravan-bracer.panelwright", test_example);
  g_test_add_data_func ("/output/round-trip/first-draft", "caravan-guard-first-draft.panelwright",
                        test_example);
  g_test_add_func ("/output/round-trip/twenty-panels", test_big);
  return g_test_run ();
}
