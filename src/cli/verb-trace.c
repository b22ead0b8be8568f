/* trace: the pieces on a photographed sheet become panels. */
#include "cli/verb.h"
#include "engine/traced.h"
#include "model/store.h"
#include "trace/mat.h"
#include "trace/piece.h"
#include "trace/tolerance.h"

#include <glib/gi18n.h>
#include <math.h>

/* COUNT numbers parted by SEPARATOR and nothing else. */
static bool
read_numbers (const char *text, char separator, double *number, int count)
{
  const char *at = text;
  for (int i = 0; i < count; i++)
  {
    char *end;
    number[i] = g_ascii_strtod (at, &end);
    if (end == at || !isfinite (number[i]) || *end != (i + 1 < count ? separator : '\0'))
      return false;
    at = end + 1;
  }
  return true;
}

/* NULL when a piece cannot be a panel. */
static ModelDocument *
document_of (const TraceResult *result, const char *photo)
{
  g_autoptr (ModelDocument) doc = model_document_new ();
  g_autofree char *base = g_path_get_basename (photo), *title = g_filename_display_name (base);
  g_free (doc->head->title);
  doc->head->title = g_steal_pointer (&title);
  for (guint i = 0; i < result->pieces->len; i++)
  {
    const TracePiece *piece = g_ptr_array_index (result->pieces, i);
    ModelPanel *panel = engine_traced_panel (doc, &piece->outline.path, piece->outline.edge,
                                             piece->outline.edge_count, piece->holes, i + 1);
    if (panel == NULL)
      return NULL;
    model_document_put (doc, (ModelPart) { MODEL_PART_PANEL, panel }, -1);
  }
  return g_steal_pointer (&doc);
}

static CliStatus
report (const TraceResult *result, const ModelDocument *doc)
{
  GString *text = g_string_new (NULL);
  for (guint i = 0; i < result->pieces->len; i++)
  {
    const TracePiece *piece = g_ptr_array_index (result->pieces, i);
    const ModelPanel *panel = g_ptr_array_index (doc->panels, i);
    const double length = geom_path_length (&piece->outline.path, 1e-3);
    const int edges = (int)piece->outline.edge_count;
    /* Translators: name of a panel, its number of edges, its perimeter and its area. */
    g_string_append_printf (text,
                            ngettext ("%s: %d edge, %.1f mm round, %.1f cm²",
                                      "%s: %d edges, %.1f mm round, %.1f cm²", (gulong)edges),
                            panel->name, edges, length, geom_path_area (&piece->outline.path) / 100.0);
    g_string_append_c (text, '\n');
    if (panel->note != NULL)
      g_string_append_printf (text, "%s: %s\n", panel->name, panel->note);
  }
  if (result->cut_off > 0)
    g_string_append_printf (text,
                            ngettext ("%d thing reaches over the rim of the sheet and was left out.\n",
                                      "%d things reach over the rim of the sheet and were left out.\n",
                                      (gulong)result->cut_off),
                            result->cut_off);
  const CliStatus status = cli_print (text->str);
  g_string_free (text, TRUE);
  return status;
}

typedef struct Wish
{
  char *corners, *size, *tolerance, *output, *photo;
} Wish;

/* BOX: what part of the sheet to look at.  False after the line was printed. */
static bool
find_view (const Wish *wish, const TracePhoto *photo, TraceView *view, GeomBox *box)
{
  g_autoptr (GError) error = NULL;
  double number[8], size[2];
  if (wish->corners == NULL)
  {
    TraceMatSeen seen;
    if (wish->size != NULL)
      cli_complain (_ ("--size wants --corners: the mat knows its own size"));
    else if (!trace_mat_find (photo, &seen, &error))
      cli_complain ("%s: %s", wish->photo, error->message);
    else
    {
      *view = seen.view;
      *box = trace_mat_look (&seen.mat);
      return true;
    }
    return false;
  }
  if (!read_numbers (wish->corners, ',', number, 8))
  {
    cli_complain (_ ("--corners %s: not eight numbers X,Y,X,Y,X,Y,X,Y in pixels"), wish->corners);
    return false;
  }
  if (wish->size == NULL || !read_numbers (wish->size, 'x', size, 2))
  {
    cli_complain (_ ("--size %s: not the rectangle’s width and height in mm, as in 420x297"),
                  wish->size != NULL ? wish->size : "");
    return false;
  }
  const GeomPoint corner[4] = {
    { number[0], number[1] }, { number[2], number[3] }, { number[4], number[5] }, { number[6], number[7] }
  };
  if (!trace_view_from_corners (corner, size[0], size[1], photo->width, photo->height, view, &error))
  {
    cli_complain ("%s: %s", wish->photo, error->message);
    return false;
  }
  *box = (GeomBox) { 0.0, 0.0, size[0], size[1] };
  return true;
}

static CliStatus
trace (const Wish *wish)
{
  double tolerance_mm = 0.0;
  if (wish->tolerance != NULL
      && (!read_numbers (wish->tolerance, ',', &tolerance_mm, 1) || tolerance_mm < TRACE_LEAST_TOLERANCE_MM
          || tolerance_mm > TRACE_MOST_TOLERANCE_MM))
    return cli_complain (_ ("--tolerance %s: not a length from 0.05 to 5 mm"), wish->tolerance);
  g_autoptr (GError) error = NULL;
  g_autoptr (TracePhoto) photo = trace_photo_load (wish->photo, &error);
  if (photo == NULL)
    return cli_complain ("%s", error->message);
  TraceView view;
  GeomBox box;
  if (!find_view (wish, photo, &view, &box))
    return CLI_UNUSABLE;
  g_autoptr (TraceResult) result = trace_pieces_find (photo, &view, box, tolerance_mm, &error);
  if (result == NULL)
    return cli_complain ("%s: %s", wish->photo, error->message);
  g_autoptr (ModelDocument) doc = document_of (result, wish->photo);
  if (doc == NULL)
    return cli_complain (_ ("%s: a piece on it is too small to be a panel"), wish->photo);
  g_autoptr (GFile) file = g_file_new_for_path (wish->output);
  if (!model_store_save (doc, file, NULL, &error))
    return cli_complain ("%s: %s", wish->output, error->message);
  return report (result, doc);
}

static CliStatus
run_trace (int argc, char **argv)
{
  Wish wish = { 0 };
  const GOptionEntry entries[] = {
    { "corners", 0, 0, G_OPTION_ARG_STRING, &wish.corners,
      N_ ("Corners of a rectangle in the picture as it is shown upright, clockwise from the top left one, in "
          "pixels"),
      "X,Y,X,Y,X,Y,X,Y" },
    { "size", 0, 0, G_OPTION_ARG_STRING, &wish.size, N_ ("True width and height of that rectangle in mm"),
      "WxH" },
    { "tolerance", 0, 0, G_OPTION_ARG_STRING, &wish.tolerance, N_ ("How near the curves follow the outline"),
      "MM" },
    { "output", 'o', 0, G_OPTION_ARG_FILENAME, &wish.output, N_ ("The document to write"), "FILE" },
    G_OPTION_ENTRY_NULL,
  };
  CliStatus status = CLI_UNUSABLE;
  if (cli_parse (&cli_verb_trace, argc, argv, entries, &wish.photo)
      && cli_output_is_sound (&cli_verb_trace, wish.output, wish.photo))
    status = trace (&wish);
  g_free (wish.corners);
  g_free (wish.size);
  g_free (wish.tolerance);
  g_free (wish.output);
  g_free (wish.photo);
  return status;
}

const CliVerb cli_verb_trace = {
  "trace",
  "PHOTO [--corners X,Y,X,Y,X,Y,X,Y --size WxH] [--tolerance MM] --output FILE",
  N_ ("panels from a photo of pieces on a sheet"),
  run_trace,
};
