#include "output/cut-parts.h"

#include <glib/gi18n.h>

typedef bool (*Writer) (const OutputCutDrawing *drawing, const char *path, GError **error);

static Writer
writer_of (const char *path)
{
  static const struct
  {
    const char *ending;
    Writer writer;
  } writers[] = { { ".svg", output_cut_svg }, { ".dxf", output_cut_dxf }, { ".pdf", output_cut_pdf } };
  g_autofree char *lower = g_ascii_strdown (path, -1);
  for (size_t i = 0; i < G_N_ELEMENTS (writers); i++)
    if (g_str_has_suffix (lower, writers[i].ending))
      return writers[i].writer;
  return NULL;
}

bool
output_cut_write (EngineReview *review, const char *const *panels, const char *path, GError **error)
{
  const Writer writer = writer_of (path);
  if (writer == NULL)
  {
    g_autofree char *name = g_filename_display_name (path);
    g_set_error (error, OUTPUT_ERROR, OUTPUT_ERROR_NAME, _ ("%s: a cut file ends in .svg, .dxf or .pdf"),
                 name);
    return false;
  }
  g_autoptr (OutputCutDrawing) drawing = output_cut_layout (review, panels, error);
  return drawing != NULL && writer (drawing, path, error);
}
