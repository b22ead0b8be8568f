/* The clipboard: panels go out whole for windows of ours, and as a drawing in millimetres for other programs;
 * both, and drawings of others, come in. */
#include "app/canvas-private.h"

#include "engine/svg-in.h"
#include "output/cut-file.h"

#include <glib/gi18n.h>
#include <glib/gstdio.h>

#define MIME_OWN "application/x-panelwright+json"
#define MIME_SVG "image/svg+xml"
#define MIME_TEXT "text/plain;charset=utf-8"
#define PASTE_OFFSET_PX 24.0

/* ---- copying ---- */

char *
app_canvas_excerpt (AppCanvas *self, gsize *length)
{
  const AppSelection *s = app_canvas_selection (self);
  if (s == NULL || s->panels->len == 0)
    return NULL;
  g_autoptr (ModelDocument) part
    = model_document_excerpt (app_canvas_document (self), (const guint *)s->panels->data, s->panels->len);
  return part != NULL ? model_document_to_data (part, length) : NULL;
}

/* The same panels as a drawing, for programs that do not know ours.  NULL if it could not be made. */
static GBytes *
svg_of_selection (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  g_autoptr (GPtrArray) names = g_ptr_array_new ();
  for (guint i = 0; i < s->panels->len; i++)
  {
    const ModelPanel *panel
      = model_document_panel (app_canvas_document (self), g_array_index (s->panels, guint, i));
    if (panel != NULL)
      g_ptr_array_add (names, panel->name);
  }
  g_ptr_array_add (names, NULL);
  g_autofree char *dir = g_dir_make_tmp ("panelwright-XXXXXX", NULL);
  if (dir == NULL)
    return NULL;
  g_autofree char *path = g_build_filename (dir, "panels.svg", NULL), *text = NULL;
  gsize length = 0;
  GBytes *bytes = NULL;
  if (engine_review_document (app_session_review (self->session)) != NULL
      && output_cut_write (app_session_review (self->session), (const char *const *)names->pdata, path, NULL)
      && g_file_get_contents (path, &text, &length, NULL))
    bytes = g_bytes_new_take (g_steal_pointer (&text), length);
  g_unlink (path);
  g_rmdir (dir);
  return bytes;
}

void
app_canvas_copy (AppCanvas *self)
{
  gsize length = 0;
  char *data = app_canvas_excerpt (self, &length);
  if (data == NULL)
    return;
  g_autoptr (GBytes) own = g_bytes_new_take (data, length), svg = svg_of_selection (self);
  GdkContentProvider *parts[3];
  gsize count = 0;
  parts[count++] = gdk_content_provider_new_for_bytes (MIME_OWN, own);
  if (svg != NULL)
  {
    parts[count++] = gdk_content_provider_new_for_bytes (MIME_SVG, svg);
    parts[count++] = gdk_content_provider_new_for_bytes (MIME_TEXT, svg);
  }
  g_autoptr (GdkContentProvider) all = gdk_content_provider_new_union (parts, count);
  gdk_clipboard_set_content (gtk_widget_get_clipboard (GTK_WIDGET (self)), all);
}

/* ---- putting ---- */

/* To the hundredth of a millimetre: what no caliper at a table tells apart. */
static bool
is_as_thick (const ModelMaterial *a, const ModelMaterial *b)
{
  return fabs (a->thickness_mm - b->thickness_mm) < 0.01 && fabs (a->neutral - b->neutral) < 0.01;
}

/* The same material by name, kind and thickness, else a copy of its own: a panel drafted for one thickness
 * does not fit in another. */
static guint
material_here (AppCanvas *self, const ModelDocument *from, guint material_id)
{
  const ModelMaterial *wanted = model_document_material (from, material_id);
  const ModelDocument *doc = app_canvas_document (self);
  if (wanted == NULL)
    return 0;
  for (guint i = 0; i < doc->materials->len; i++)
  {
    const ModelMaterial *have = (const ModelMaterial *)g_ptr_array_index (doc->materials, i);
    if (g_strcmp0 (have->name, wanted->name) == 0 && have->kind == wanted->kind && is_as_thick (have, wanted))
      return have->id;
  }
  ModelMaterial *copy_of = model_material_copy (wanted);
  copy_of->id = 0;
  return model_history_put_material (app_canvas_history (self), copy_of);
}

static guint
renamed (GHashTable *ids, guint id)
{
  return GPOINTER_TO_UINT (g_hash_table_lookup (ids, GUINT_TO_POINTER (id)));
}

/* Renewing keeps the order of everything, so old and new are found side by side. */
static void
note_new_ids (GHashTable *ids, const ModelPanel *was, const ModelPanel *now)
{
  g_hash_table_insert (ids, GUINT_TO_POINTER (was->id), GUINT_TO_POINTER (now->id));
  for (guint e = 0; e < was->edges->len && e < now->edges->len; e++)
    g_hash_table_insert (ids, GUINT_TO_POINTER (model_panel_edge (was, e)->id),
                         GUINT_TO_POINTER (model_panel_edge (now, e)->id));
  for (guint k = 0; k < was->marks->len && k < now->marks->len; k++)
    g_hash_table_insert (ids, GUINT_TO_POINTER (g_array_index (was->marks, ModelMark, k).id),
                         GUINT_TO_POINTER (g_array_index (now->marks, ModelMark, k).id));
}

static bool
renew_run (GHashTable *ids, ModelRun *run)
{
  run->panel_id = renamed (ids, run->panel_id);
  bool all = run->panel_id != 0;
  for (guint i = 0; i < run->edges->len; i++)
  {
    guint id = renamed (ids, g_array_index (run->edges, guint, i));
    g_array_index (run->edges, guint, i) = id;
    all = all && id != 0;
  }
  /* Without its mark a run goes to the edge's end. */
  run->from_mark_id = renamed (ids, run->from_mark_id);
  run->to_mark_id = renamed (ids, run->to_mark_id);
  return all;
}

static void
put_joins (AppCanvas *self, const ModelDocument *pasted, GHashTable *ids)
{
  ModelDocument *doc = app_canvas_document (self);
  for (guint i = 0; i < pasted->joins->len; i++)
  {
    ModelJoin *join = model_join_copy ((const ModelJoin *)g_ptr_array_index (pasted->joins, i));
    join->id = 0;
    bool whole = renew_run (ids, &join->a) && renew_run (ids, &join->b);
    for (guint k = join->matches->len; k > 0; k--)
    {
      ModelMatch *match = &g_array_index (join->matches, ModelMatch, k - 1);
      match->a_mark_id = renamed (ids, match->a_mark_id);
      match->b_mark_id = renamed (ids, match->b_mark_id);
      if (match->a_mark_id == 0 || match->b_mark_id == 0)
        g_array_remove_index (join->matches, k - 1);
    }
    join->ease_from_id = renamed (ids, join->ease_from_id);
    join->ease_to_id = renamed (ids, join->ease_to_id);
    if (!whole)
    {
      model_join_free (join);
      continue;
    }
    g_free (join->letter);
    join->letter = model_document_free_letter (doc);
    model_history_put_join (app_canvas_history (self), join);
  }
}

/* From where the pasted panels lie to the middle of what is in view. */
static GeomPoint
to_middle (AppCanvas *self, const ModelDocument *pasted)
{
  GeomBox box = geom_box_empty ();
  GeomPath path;
  geom_path_init (&path);
  for (guint i = 0; i < pasted->panels->len; i++)
  {
    model_panel_path (g_ptr_array_index (pasted->panels, i), &path, NULL);
    box = geom_box_union (box, geom_path_box (&path));
    geom_path_reset (&path);
  }
  geom_path_clear (&path);
  if (geom_box_is_empty (box))
    return geom_point (0.0, 0.0);
  GeomPoint middle = app_canvas_to_paper (self, gtk_widget_get_width (GTK_WIDGET (self)) / 2.0,
                                          gtk_widget_get_height (GTK_WIDGET (self)) / 2.0);
  /* Whole millimetres: figures that were round stay so. */
  return geom_point (round (middle.x - (box.x0 + box.x1) / 2.0), round (middle.y - (box.y0 + box.y1) / 2.0));
}

void
app_canvas_add_document (AppCanvas *self, const ModelDocument *pasted, const char *label, GeomPoint by)
{
  ModelDocument *doc = app_canvas_document (self);
  ModelHistory *history = app_canvas_history (self);
  g_autoptr (GHashTable) ids = g_hash_table_new (NULL, NULL);
  g_autoptr (GArray) fresh = g_array_new (FALSE, FALSE, sizeof (guint));
  model_history_begin (history, label);
  for (guint i = 0; i < pasted->panels->len; i++)
  {
    const ModelPanel *was = (const ModelPanel *)g_ptr_array_index (pasted->panels, i);
    ModelPanel *panel = model_panel_copy (was);
    model_shape_renew_ids (panel, doc);
    note_new_ids (ids, was, panel);
    panel->material_id = material_here (self, pasted, was->material_id);
    char *name = model_document_free_panel_name (doc, was->name);
    g_free (panel->name);
    panel->name = name;
    panel->locked = panel->hidden = false;
    model_shape_map (panel, geom_affine_move (by.x, by.y));
    /* The twin is pasted with its panel, so it moves the same way. */
    if (panel->halves == MODEL_HALVES_PAIR)
      panel->mirror_x_mm += by.x;
    guint id = model_history_put_panel (history, panel);
    g_array_append_val (fresh, id);
  }
  put_joins (self, pasted, ids);
  model_history_end (history);
  if (fresh->len > 0)
    app_session_select_panels (self->session, (const guint *)fresh->data, fresh->len);
}

void
app_canvas_put_panels (AppCanvas *self, const ModelDocument *pasted, bool middle, const char *label)
{
  double offset = PASTE_OFFSET_PX / self->scale;
  app_canvas_add_document (self, pasted, label,
                           middle ? to_middle (self, pasted) : geom_point (offset, -offset));
}

void
app_canvas_paste_document (AppCanvas *self, const ModelDocument *pasted)
{
  app_canvas_put_panels (self, pasted, false, ngettext ("Paste panel", "Paste panels", pasted->panels->len));
}

bool
app_canvas_take_svg (AppCanvas *self, const char *data, gsize length, const char *label, GError **error)
{
  EngineSvgReport report;
  g_autoptr (ModelDocument) drawing = engine_svg_read (data, length, &report, error);
  if (drawing == NULL)
    return false;
  g_autofree char *words = engine_svg_report_words (&report);
  if (drawing->panels->len > 0)
  {
    app_canvas_put_panels (self, drawing, true, label);
    app_canvas_show_box (self, app_canvas_selected_box (self));
  }
  app_canvas_tell (self, words);
  return true;
}

/* ---- reading ---- */

/* What is read from the clipboard: in which form it comes. */
typedef struct Pasting
{
  AppCanvas *canvas;
  char *mime;
} Pasting;

static void
pasting_free (Pasting *pasting)
{
  g_object_unref (pasting->canvas);
  g_free (pasting->mime);
  g_free (pasting);
}
G_DEFINE_AUTOPTR_CLEANUP_FUNC (Pasting, pasting_free)

static void
paste_own (AppCanvas *self, const char *data, gsize length)
{
  g_autoptr (ModelDocument) pasted = model_document_from_data (data, length, NULL);
  if (pasted != NULL)
    app_canvas_paste_document (self, pasted);
  else
    app_canvas_say (self, _ ("What was copied is damaged and cannot be pasted."));
}

static void
paste_svg (AppCanvas *self, const char *data, gsize length, bool surely)
{
  g_autoptr (GError) error = NULL;
  if (!surely && !engine_svg_is_likely (data, length))
    app_canvas_say (self, _ ("There is no panel to paste."));
  else if (!app_canvas_take_svg (self, data, length, _ ("Paste a drawing"), &error))
  {
    g_autofree char *words = g_strdup_printf (_ ("What was copied cannot be pasted: %s"), error->message);
    app_canvas_say (self, words);
  }
}

static void
on_paste_read (GObject *source, GAsyncResult *result, gpointer user)
{
  g_autoptr (Pasting) pasting = user;
  AppCanvas *self = pasting->canvas;
  g_autoptr (GOutputStream) to = G_OUTPUT_STREAM (source);
  if (g_output_stream_splice_finish (to, result, NULL) < 0 || self->session == NULL
      || model_history_is_open (app_canvas_history (self)))
    return;
  g_autoptr (GBytes) bytes = g_memory_output_stream_steal_as_bytes (G_MEMORY_OUTPUT_STREAM (to));
  gsize length;
  const char *data = g_bytes_get_data (bytes, &length);
  if (data == NULL)
    app_canvas_say (self, _ ("There is no panel to paste."));
  else if (g_str_equal (pasting->mime, MIME_OWN))
    paste_own (self, data, length);
  else
    paste_svg (self, data, length, g_str_equal (pasting->mime, MIME_SVG));
}

static void
on_paste_stream (GObject *source, GAsyncResult *result, gpointer user)
{
  g_autoptr (AppCanvas) self = user;
  const char *mime = NULL;
  g_autoptr (GInputStream) from = gdk_clipboard_read_finish (GDK_CLIPBOARD (source), result, &mime, NULL);
  if (from == NULL || mime == NULL)
  {
    app_canvas_say (self, _ ("There is no panel to paste."));
    return;
  }
  GOutputStream *to = g_memory_output_stream_new_resizable ();
  Pasting *pasting = g_new0 (Pasting, 1);
  pasting->canvas = g_object_ref (self);
  pasting->mime = g_strdup (mime);
  g_output_stream_splice_async (to, from,
                                G_OUTPUT_STREAM_SPLICE_CLOSE_SOURCE | G_OUTPUT_STREAM_SPLICE_CLOSE_TARGET,
                                G_PRIORITY_DEFAULT, NULL, on_paste_read, pasting);
}

void
app_canvas_paste (AppCanvas *self)
{
  /* The best first: our own panels whole, else their outlines. */
  const char *mimes[] = { MIME_OWN, MIME_SVG, MIME_TEXT, "text/plain", NULL };
  gdk_clipboard_read_async (gtk_widget_get_clipboard (GTK_WIDGET (self)), mimes, G_PRIORITY_DEFAULT, NULL,
                            on_paste_stream, g_object_ref (self));
}
