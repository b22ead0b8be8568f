/* The room works on a copy of the document in which the panels that are not wanted are hidden: what is laid
 * out here is what is printed, and choosing what to print is no change of the document.  The copy is made
 * anew when the document has settled and the room is in view.
 */
#include "app/sheets-room.h"

#include "app/dialogs.h"
#include "app/page-map.h"
#include "app/printing.h"
#include "app/theme.h"
#include "app/unit-entry.h"
#include "app/window.h"
#include "engine/words.h"
#include "output/cut-file.h"
#include "output/draw.h"
#include "output/sheet.h"

#include <glib/gi18n.h>
#include <math.h>
#include <string.h>

#define FIRST_SQUARE_MM 100.0
#define SMALLEST_PAPER_MM 130.0 /* engine/sheet-plan.h: what holds the test square */
#define TRUE_WITHIN 0.005       /* common practice: half a percent is what a ruler on a table can tell */
#define NARROW_PX 1180          /* below, the single sheet gives way to the map */
#define WIDE_PX 1920
#define SIDE_PX 400
#define SIDE_WIDE_PX 640

struct _AppSheetsRoom
{
  GtkWidget parent;
  AppSession *session;
  ModelDocument *doc; /* the copy */
  EngineReview *review;
  EngineSheetPlan *plan;
  GHashTable *left_out; /* panel ids */
  GHashTable *hidden;   /* panel ids that were hidden in the document when it was last looked at */
  GArray *listed;       /* guint: the panels of the list, in its order */
  bool stale, filling, printing, again, own, narrow, wide, follow_queued;

  GtkWidget *root, *papers[5], *own_row, *own_width, *own_height, *overlap, *panel_list, *panel_count;
  GtkWidget *flags[4], *title, *below, *map, *map_stack, *trouble, *verdict, *sheet_side, *sheet_title,
    *sheet_area;
  GtkWidget *square, *square_says, *print, *save, *cut, *print_first;
};

G_DEFINE_FINAL_TYPE (AppSheetsRoom, app_sheets_room, GTK_TYPE_WIDGET)

static const char *const paper_keys[] = { "a4", "a3", "letter", "tabloid" };

static void rebuild (AppSheetsRoom *self);

/* ---- changes of the document ---- */

typedef void (*HeadEdit) (ModelHead *head, AppSheetsRoom *self, gpointer data);

static void
edit_head (AppSheetsRoom *self, const char *label, HeadEdit edit, gpointer data)
{
  if (self->session == NULL || self->filling)
    return;
  ModelHistory *history = app_session_history (self->session);
  ModelHead *head = model_head_copy (app_session_document (self->session)->head);
  edit (head, self, data);
  model_history_begin (history, label);
  model_history_put_head (history, head);
  model_history_end (history);
}

static void
set_paper (ModelHead *head, AppSheetsRoom *self, gpointer data)
{
  g_free (head->paper);
  head->paper = g_strdup (data);
}

static void
set_overlap (ModelHead *head, AppSheetsRoom *self, gpointer data)
{
  head->overlap_mm = *(double *)data;
}

static bool *
flag_of (ModelHead *head, guint index)
{
  switch (index)
  {
  case 0:
    return &head->edge_names;
  case 1:
    return &head->seam_lines;
  case 2:
    return &head->open_folds;
  default:
    return &head->sheet_grid;
  }
}

static void
set_flag (ModelHead *head, AppSheetsRoom *self, gpointer data)
{
  guint index = GPOINTER_TO_UINT (data);
  *flag_of (head, index) = gtk_check_button_get_active (GTK_CHECK_BUTTON (self->flags[index]));
}

static void
on_paper (GtkToggleButton *button, AppSheetsRoom *self)
{
  if (!gtk_toggle_button_get_active (button) || self->filling)
    return;
  guint index = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (button), "index"));
  self->own = index == 4;
  gtk_widget_set_visible (self->own_row, self->own);
  if (self->own)
    gtk_widget_grab_focus (self->own_width);
  else
    edit_head (self, _ ("Choose paper"), set_paper, (gpointer)paper_keys[index]);
}

static void
on_own_size (AppUnitEntry *entry, double mm, AppSheetsRoom *self)
{
  double width = app_unit_entry_mm (APP_UNIT_ENTRY (self->own_width)),
         height = app_unit_entry_mm (APP_UNIT_ENTRY (self->own_height));
  if (!isfinite (width) || !isfinite (height))
    return;
  char w[G_ASCII_DTOSTR_BUF_SIZE], h[G_ASCII_DTOSTR_BUF_SIZE];
  g_autofree char *text = g_strdup_printf ("%sx%s", g_ascii_formatd (w, sizeof w, "%.6g", width),
                                           g_ascii_formatd (h, sizeof h, "%.6g", height));
  self->own = false;
  edit_head (self, _ ("Choose paper"), set_paper, text);
}

static void
on_overlap (AppUnitEntry *entry, double mm, AppSheetsRoom *self)
{
  if (isfinite (mm))
    edit_head (self, _ ("Change the overlap"), set_overlap, &mm);
}

static void
on_flag (GtkCheckButton *button, AppSheetsRoom *self)
{
  edit_head (self, _ ("Change the sheets"), set_flag, g_object_get_data (G_OBJECT (button), "index"));
}

static void
on_panel_toggled (GtkCheckButton *button, AppSheetsRoom *self)
{
  if (self->filling)
    return;
  gpointer id = g_object_get_data (G_OBJECT (button), "panel");
  if (gtk_check_button_get_active (button))
    g_hash_table_remove (self->left_out, id);
  else
    g_hash_table_add (self->left_out, id);
  rebuild (self);
}

/* ---- showing ---- */

static void
fill_papers (AppSheetsRoom *self, const ModelHead *head)
{
  guint index = 4;
  for (guint i = 0; i < G_N_ELEMENTS (paper_keys); i++)
    if (g_ascii_strcasecmp (head->paper, paper_keys[i]) == 0)
      index = i;
  /* A size of one's own is being typed, and still is that of a known paper. */
  if (self->own)
    index = 4;
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (self->papers[index]), TRUE);
  gtk_widget_set_visible (self->own_row, index == 4);
  EnginePaper paper;
  if (engine_paper_parse (head->paper, &paper))
  {
    app_unit_entry_set_mm (APP_UNIT_ENTRY (self->own_width), paper.width_mm);
    app_unit_entry_set_mm (APP_UNIT_ENTRY (self->own_height), paper.height_mm);
  }
}

/* The rows stay where they are as long as the panels do: the one with the keyboard's focus must not go. */
static bool
list_is_the_same (AppSheetsRoom *self, const GPtrArray *panels)
{
  if (self->listed->len != panels->len)
    return false;
  GtkWidget *row = gtk_widget_get_first_child (self->panel_list);
  for (guint i = 0; i < panels->len; i++, row = gtk_widget_get_next_sibling (row))
  {
    const ModelPanel *panel = g_ptr_array_index (panels, i);
    if (row == NULL || g_array_index (self->listed, guint, i) != panel->id)
      return false;
    GtkWidget *check = gtk_widget_get_first_child (row);
    g_autofree char *quantity = engine_words_quantity (panel);
    gtk_check_button_set_label (GTK_CHECK_BUTTON (check), panel->name);
    gtk_check_button_set_active (GTK_CHECK_BUTTON (check),
                                 !g_hash_table_contains (self->left_out, GUINT_TO_POINTER (panel->id)));
    gtk_label_set_text (GTK_LABEL (gtk_widget_get_last_child (row)), quantity);
  }
  return true;
}

static void
show_count (AppSheetsRoom *self, const GPtrArray *panels)
{
  guint wanted = 0;
  for (guint i = 0; i < panels->len; i++)
    wanted += !g_hash_table_contains (
      self->left_out, GUINT_TO_POINTER (((const ModelPanel *)g_ptr_array_index (panels, i))->id));
  /* Translators: how many of the panels are printed. */
  g_autofree char *count = g_strdup_printf (_ ("%u of %u"), wanted, panels->len);
  gtk_label_set_text (GTK_LABEL (self->panel_count), count);
}

static void
fill_panels (AppSheetsRoom *self)
{
  const GPtrArray *panels = app_session_document (self->session)->panels;
  show_count (self, panels);
  if (list_is_the_same (self, panels))
    return;
  g_array_set_size (self->listed, 0);
  GtkWidget *child;
  while ((child = gtk_widget_get_first_child (self->panel_list)) != NULL)
    gtk_box_remove (GTK_BOX (self->panel_list), child);
  for (guint i = 0; i < panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (panels, i);
    g_array_append_val (self->listed, panel->id);
    bool active = !g_hash_table_contains (self->left_out, GUINT_TO_POINTER (panel->id));
    GtkWidget *row = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
    gtk_widget_add_css_class (row, "pw-sheet-row");
    GtkWidget *check = gtk_check_button_new_with_label (panel->name);
    gtk_check_button_set_active (GTK_CHECK_BUTTON (check), active);
    gtk_widget_set_hexpand (check, TRUE);
    g_object_set_data (G_OBJECT (check), "panel", GUINT_TO_POINTER (panel->id));
    g_signal_connect (check, "toggled", G_CALLBACK (on_panel_toggled), self);
    g_autofree char *quantity = engine_words_quantity (panel);
    GtkWidget *text = gtk_label_new (quantity);
    gtk_widget_add_css_class (text, "pw-dim");
    gtk_widget_add_css_class (text, "pw-small");
    gtk_label_set_ellipsize (GTK_LABEL (text), PANGO_ELLIPSIZE_END);
    gtk_box_append (GTK_BOX (row), check);
    gtk_box_append (GTK_BOX (row), text);
    gtk_box_append (GTK_BOX (self->panel_list), row);
  }
}

static char *
paper_name (const ModelHead *head)
{
  if (g_ascii_strcasecmp (head->paper, "letter") == 0)
    return g_strdup (_ ("Letter"));
  if (g_ascii_strcasecmp (head->paper, "tabloid") == 0)
    return g_strdup (_ ("Tabloid"));
  EnginePaper paper;
  if (g_ascii_isdigit (head->paper[0]) && engine_paper_parse (head->paper, &paper))
  {
    g_autofree char *width = model_unit_figure (paper.width_mm, head->unit, 0),
                    *height = model_unit_text (paper.height_mm, head->unit, 0);
    return g_strdup_printf ("%s × %s", width, height);
  }
  return g_ascii_strup (head->paper, -1);
}

/* The words over and under the map. */
static void
fill_words (AppSheetsRoom *self, const GError *error)
{
  bool usable = self->plan != NULL && self->plan->tiles->len > 0;
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "sheets.print", usable && !self->printing);
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "sheets.print-first", usable && !self->printing);
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "sheets.save-pdf", usable);
  gtk_widget_action_set_enabled (GTK_WIDGET (self), "sheets.cut-file", usable);
  gtk_stack_set_visible_child_name (GTK_STACK (self->map_stack), usable ? "map" : "trouble");
  gtk_widget_set_visible (gtk_widget_get_parent (self->verdict), usable);
  if (!usable)
  {
    gtk_label_set_text (GTK_LABEL (self->title), _ ("Sheets"));
    gtk_label_set_text (GTK_LABEL (self->below), "");
    gtk_label_set_text (
      GTK_LABEL (self->trouble),
      error != NULL
        ? error->message
        : _ ("There is no panel to print yet. Draw one in the Panels room, or tick one on the left."));
    gtk_button_set_label (GTK_BUTTON (self->print), _ ("Print"));
    return;
  }
  guint sheets = self->plan->tiles->len, empty = (guint)(self->plan->rows * self->plan->columns) - sheets;
  g_autofree char *paper = paper_name (self->doc->head);
  /* Translators: %u sheets of paper of the kind %s, such as A4. */
  g_autofree char *title
    = g_strdup_printf (ngettext ("%u sheet of %s", "%u sheets of %s", sheets), sheets, paper);
  gtk_label_set_text (GTK_LABEL (self->title), title);
  g_autofree char *below
    = empty > 0 ? g_strdup_printf (ngettext ("and a cover; %u place stays empty and is not printed",
                                             "and a cover; %u places stay empty and are not printed", empty),
                                   empty)
                : g_strdup (_ ("and a cover"));
  gtk_label_set_text (GTK_LABEL (self->below), below);
  guint pages = output_sheet_page_count (self->plan);
  g_autofree char *deed = g_strdup_printf (ngettext ("Print %u sheet", "Print %u sheets", pages), pages);
  gtk_button_set_label (GTK_BUTTON (self->print), deed);
  gtk_label_set_text (GTK_LABEL (self->verdict), _ ("Every panel lies whole on the sheets."));
}

static void
fill_sheet (AppSheetsRoom *self)
{
  if (self->plan == NULL || self->plan->tiles->len == 0)
  {
    gtk_label_set_text (GTK_LABEL (self->sheet_title), "");
    gtk_widget_queue_draw (self->sheet_area);
    return;
  }
  const EngineTile *tile
    = &g_array_index (self->plan->tiles, EngineTile, (guint)app_page_map_chosen (APP_PAGE_MAP (self->map)));
  g_autofree char *name = engine_tile_name (tile);
  g_autofree char *text = g_strdup_printf (_ ("Sheet %s"), name);
  gtk_label_set_text (GTK_LABEL (self->sheet_title), text);
  gtk_widget_queue_draw (self->sheet_area);
}

/* What is hidden, or shown again, in the document is left out here, or wanted again; ticks made here since
 * stay. */
static void
follow_hidden (AppSheetsRoom *self)
{
  const GPtrArray *panels = app_session_document (self->session)->panels;
  for (guint i = 0; i < panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (panels, i);
    gpointer id = GUINT_TO_POINTER (panel->id);
    if (panel->hidden == g_hash_table_contains (self->hidden, id))
      continue;
    if (panel->hidden)
    {
      g_hash_table_add (self->hidden, id);
      g_hash_table_add (self->left_out, id);
    }
    else
    {
      g_hash_table_remove (self->hidden, id);
      g_hash_table_remove (self->left_out, id);
    }
  }
}

static void
follow_unit (AppSheetsRoom *self, ModelUnit unit)
{
  GtkWidget *const entries[] = { self->own_width, self->own_height, self->overlap, self->square };
  for (guint i = 0; i < G_N_ELEMENTS (entries); i++)
    app_unit_entry_set_unit (APP_UNIT_ENTRY (entries[i]), unit);
}

/* ModelPanel.hidden is how the plan leaves a panel out. */
static ModelDocument *
copy_to_print (AppSheetsRoom *self)
{
  ModelDocument *doc = model_document_copy (app_session_document (self->session));
  for (guint i = 0; i < doc->panels->len; i++)
  {
    ModelPanel *panel = g_ptr_array_index (doc->panels, i);
    panel->hidden = g_hash_table_contains (self->left_out, GUINT_TO_POINTER (panel->id));
  }
  return doc;
}

static void
drop_plan (AppSheetsRoom *self)
{
  app_page_map_set_plan (APP_PAGE_MAP (self->map), NULL, NULL);
  g_clear_pointer (&self->plan, engine_sheet_plan_free);
  g_clear_pointer (&self->review, engine_review_free);
  g_clear_pointer (&self->doc, model_document_free);
}

static void
rebuild (AppSheetsRoom *self)
{
  /* The print dialog still draws from the present plan. */
  if (self->printing)
  {
    self->again = true;
    return;
  }
  self->stale = false;
  self->again = false;
  drop_plan (self);
  if (self->session == NULL)
    return;
  g_autoptr (GError) error = NULL;
  follow_hidden (self);
  self->doc = copy_to_print (self);
  follow_unit (self, self->doc->head->unit);
  self->review = engine_review_new (self->doc);
  self->plan = engine_sheet_plan_new (self->review, NULL, NAN, &error);
  app_page_map_set_plan (APP_PAGE_MAP (self->map), self->doc, self->plan);
  self->filling = true;
  const ModelHead *head = self->doc->head;
  fill_papers (self, head);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (self->overlap), head->overlap_mm);
  for (guint i = 0; i < G_N_ELEMENTS (self->flags); i++)
    gtk_check_button_set_active (GTK_CHECK_BUTTON (self->flags[i]), *flag_of (self->doc->head, i));
  fill_panels (self);
  fill_words (self, error);
  fill_sheet (self);
  self->filling = false;
}

static void
on_settled (AppSession *session, AppSheetsRoom *self)
{
  self->stale = true;
  if (gtk_widget_get_mapped (GTK_WIDGET (self)))
    rebuild (self);
}

static void
app_sheets_room_map (GtkWidget *widget)
{
  AppSheetsRoom *self = APP_SHEETS_ROOM (widget);
  if (self->stale)
    rebuild (self);
  GTK_WIDGET_CLASS (app_sheets_room_parent_class)->map (widget);
}

static void
draw_sheet (GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer user)
{
  AppSheetsRoom *self = APP_SHEETS_ROOM (user);
  if (self->plan == NULL || self->plan->tiles->len == 0)
    return;
  const EnginePaper *paper = &self->plan->paper;
  double scale = MIN ((width - 12.0) / paper->width_mm, (height - 12.0) / paper->height_mm);
  double x = (width - scale * paper->width_mm) / 2, y = 4;
  for (int i = 3; i >= 1; i--)
  {
    cairo_rectangle (cr, x - i, y - i + 2, scale * paper->width_mm + 2 * i, scale * paper->height_mm + 2 * i);
    cairo_set_source_rgba (cr, 0, 0, 0, 0.05);
    cairo_fill (cr);
  }
  cairo_rectangle (cr, x, y, scale * paper->width_mm, scale * paper->height_mm);
  cairo_set_source_rgb (cr, 1, 1, 1);
  cairo_fill_preserve (cr);
  cairo_clip (cr);
  cairo_translate (cr, x, y);
  cairo_scale (cr, scale, scale);
  guint covers = output_sheet_page_count (self->plan) - self->plan->tiles->len;
  output_sheet_draw (cr, self->review, self->plan,
                     covers + (guint)app_page_map_chosen (APP_PAGE_MAP (self->map)));
}

static void
on_tile_chosen (AppPageMap *map, int tile, AppSheetsRoom *self)
{
  fill_sheet (self);
}

/* ---- the square on paper ---- */

static void
on_square (AppUnitEntry *entry, double mm, AppSheetsRoom *self)
{
  const char *const classes[] = { "pw-moss", "pw-madder" };
  for (guint i = 0; i < G_N_ELEMENTS (classes); i++)
    gtk_widget_remove_css_class (self->square_says, classes[i]);
  if (!isfinite (mm) || mm <= 0)
  {
    gtk_label_set_text (GTK_LABEL (self->square_says),
                        _ ("Lay a ruler on the square and write what it says."));
    return;
  }
  double ratio = mm / FIRST_SQUARE_MM;
  bool is_true = fabs (ratio - 1) <= TRUE_WITHIN;
  /* Translators: what a ruler on the printed square says, in percent of what it should. */
  g_autofree char *text
    = is_true
        ? g_strdup (_ ("True size: the rest may follow."))
        : g_strdup_printf (_ ("That is %.1f %%: turn off “fit to page”, print at 100 %%, and measure again."),
                           ratio * 100);
  gtk_label_set_text (GTK_LABEL (self->square_says), text);
  gtk_widget_add_css_class (self->square_says, classes[is_true ? 0 : 1]);
}

/* ---- deeds ---- */

static GtkWindow *
window_of (AppSheetsRoom *self)
{
  GtkRoot *root = gtk_widget_get_root (GTK_WIDGET (self));
  return GTK_IS_WINDOW (root) ? GTK_WINDOW (root) : NULL;
}

static char *
file_stem (AppSheetsRoom *self)
{
  g_autofree char *title = app_session_title (self->session);
  return g_strdelimit (g_steal_pointer (&title), "/\\:", '-');
}

static void
tell_saved (AppSheetsRoom *self, GFile *file)
{
  GtkWindow *window = window_of (self);
  g_autofree char *name = g_file_get_basename (file);
  /* Translators: %s is the name of a file. */
  g_autofree char *words = g_strdup_printf (_ ("Saved as “%s”."), name);
  if (APP_IS_WINDOW (window))
    app_window_tell (APP_WINDOW (window), words, false, NULL, NULL);
}

static void
on_pdf_place (GtkWindow *parent, GFile *file, gpointer user)
{
  AppSheetsRoom *self = APP_SHEETS_ROOM (user);
  g_autoptr (GError) error = NULL;
  g_autofree char *path = g_file_get_path (file);
  if (self->plan == NULL)
    return;
  if (path == NULL)
    app_dialog_tell (parent, _ ("The sheets were not saved"),
                     _ ("They can only be written to a folder of this machine."));
  else if (!output_sheet_write_pdf (self->review, self->plan, path, &error))
    app_dialog_tell (parent, _ ("The sheets were not saved"), error->message);
  else
    tell_saved (self, file);
}

static void
save_pdf (GtkWidget *widget, const char *action, GVariant *parameter)
{
  AppSheetsRoom *self = APP_SHEETS_ROOM (widget);
  static const AppFileKind kinds[] = { { N_ ("PDF"), "*.pdf" } };
  g_autofree char *stem = file_stem (self);
  g_autofree char *name = g_strdup_printf ("%s.pdf", stem);
  app_dialog_save (window_of (self), _ ("Save the sheets"), NULL, name, kinds, G_N_ELEMENTS (kinds),
                   on_pdf_place, self);
}

static void
on_cut_place (GtkWindow *parent, GFile *file, gpointer user)
{
  AppSheetsRoom *self = APP_SHEETS_ROOM (user);
  g_autoptr (GError) error = NULL;
  g_autofree char *path = g_file_get_path (file);
  if (self->review == NULL)
    return;
  if (path == NULL)
    app_dialog_tell (parent, _ ("The cut file was not saved"),
                     _ ("It can only be written to a folder of this machine."));
  else if (!output_cut_write (self->review, NULL, path, &error))
    app_dialog_tell (parent, _ ("The cut file was not saved"), error->message);
  else
    tell_saved (self, file);
}

static void
save_cut (GtkWidget *widget, const char *action, GVariant *parameter)
{
  AppSheetsRoom *self = APP_SHEETS_ROOM (widget);
  static const AppFileKind kinds[] = { { N_ ("SVG drawing"), "*.svg" },
                                       { N_ ("DXF drawing"), "*.dxf" },
                                       { N_ ("PDF in one page"), "*.pdf" } };
  g_autofree char *stem = file_stem (self);
  g_autofree char *name = g_strdup_printf ("%s.svg", stem);
  app_dialog_save (window_of (self), _ ("Save a cut file"), NULL, name, kinds, G_N_ELEMENTS (kinds),
                   on_cut_place, self);
}

static void
on_printed (const char *message, gpointer user)
{
  g_autoptr (AppSheetsRoom) self = APP_SHEETS_ROOM (user);
  self->printing = false;
  if (message != NULL && message[0] != '\0')
    app_dialog_tell (window_of (self), _ ("The sheets were not printed"), message);
  if (self->again)
    rebuild (self);
  else
    fill_words (self, NULL);
}

static void
run_print (AppSheetsRoom *self, int only_page)
{
  if (self->plan == NULL || self->printing)
    return;
  self->printing = true;
  fill_words (self, NULL);
  g_autofree char *title = app_session_title (self->session);
  app_print_run (window_of (self), self->review, self->plan, title, only_page, on_printed,
                 g_object_ref (self));
}

static void
print_all (GtkWidget *widget, const char *action, GVariant *parameter)
{
  run_print (APP_SHEETS_ROOM (widget), -1);
}

static void
print_first (GtkWidget *widget, const char *action, GVariant *parameter)
{
  run_print (APP_SHEETS_ROOM (widget), 0);
}

/* ---- session ---- */

void
app_sheets_room_set_session (AppSheetsRoom *self, AppSession *session)
{
  if (self->session == session)
    return;
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_set_object (&self->session, session);
  g_hash_table_remove_all (self->left_out);
  g_hash_table_remove_all (self->hidden);
  self->own = false;
  if (session != NULL)
  {
    g_signal_connect (session, "settled", G_CALLBACK (on_settled), self);
  }
  self->stale = true;
  if (gtk_widget_get_mapped (GTK_WIDGET (self)))
    rebuild (self);
}

/* ---- building ---- */

static GtkWidget *
text (const char *words, const char *css)
{
  GtkWidget *label = gtk_label_new (words);
  gtk_label_set_xalign (GTK_LABEL (label), 0);
  if (css != NULL)
    gtk_widget_add_css_class (label, css);
  return label;
}

static GtkWidget *
box (GtkOrientation orientation, int spacing)
{
  return gtk_box_new (orientation, spacing);
}

static GtkWidget *
field (AppSheetsRoom *self, GtkWidget *into, const char *name, const char *below, GCallback committed)
{
  GtkWidget *line = box (GTK_ORIENTATION_HORIZONTAL, 8);
  GtkWidget *label = text (name, NULL);
  gtk_widget_set_hexpand (label, TRUE);
  gtk_box_append (GTK_BOX (line), label);
  GtkWidget *entry = app_unit_entry_new ();
  app_unit_entry_set_name (APP_UNIT_ENTRY (entry), name);
  app_unit_entry_set_width (APP_UNIT_ENTRY (entry), 9);
  app_unit_entry_set_shows_unit (APP_UNIT_ENTRY (entry), true);
  g_signal_connect (entry, "committed", committed, self);
  gtk_box_append (GTK_BOX (line), entry);
  gtk_box_append (GTK_BOX (into), line);
  if (below != NULL)
  {
    GtkWidget *small = text (below, "pw-small");
    gtk_widget_add_css_class (small, "pw-dim");
    gtk_box_append (GTK_BOX (into), small);
  }
  return entry;
}

static GtkWidget *
divider (void)
{
  GtkWidget *line = gtk_separator_new (GTK_ORIENTATION_HORIZONTAL);
  gtk_widget_set_margin_top (line, 8);
  gtk_widget_set_margin_bottom (line, 8);
  return line;
}

static GtkWidget *
build_papers (AppSheetsRoom *self)
{
  static const char *const names[] = { N_ ("A4"), N_ ("A3"), N_ ("Letter"), N_ ("Tabloid"), N_ ("Own") };
  GtkWidget *line = box (GTK_ORIENTATION_HORIZONTAL, 0);
  gtk_widget_add_css_class (line, "linked");
  gtk_widget_add_css_class (line, "pw-sheet-papers");
  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
  {
    self->papers[i] = gtk_toggle_button_new_with_label (_ (names[i]));
    gtk_widget_set_hexpand (self->papers[i], TRUE);
    gtk_widget_add_css_class (self->papers[i], "pw-plain");
    g_object_set_data (G_OBJECT (self->papers[i]), "index", GUINT_TO_POINTER (i));
    if (i > 0)
      gtk_toggle_button_set_group (GTK_TOGGLE_BUTTON (self->papers[i]), GTK_TOGGLE_BUTTON (self->papers[0]));
    g_signal_connect (self->papers[i], "toggled", G_CALLBACK (on_paper), self);
    gtk_box_append (GTK_BOX (line), self->papers[i]);
  }
  return line;
}

static GtkWidget *
build_left (AppSheetsRoom *self)
{
  static const char *const names[] = { N_ ("Names on the edges"), N_ ("Seam line inside the cut line"),
                                       N_ ("Open folded panels"), N_ ("Grid of 10 mm") };
  GtkWidget *column = box (GTK_ORIENTATION_VERTICAL, 8);
  gtk_widget_set_margin_start (column, 16);
  gtk_widget_set_margin_end (column, 16);
  gtk_widget_set_margin_top (column, 16);
  gtk_widget_set_margin_bottom (column, 16);
  gtk_box_append (GTK_BOX (column), text (_ ("On paper"), "pw-heading"));
  gtk_box_append (GTK_BOX (column), build_papers (self));
  self->own_row = box (GTK_ORIENTATION_VERTICAL, 8);
  self->own_width = field (self, self->own_row, _ ("Width"), NULL, G_CALLBACK (on_own_size));
  self->own_height = field (self, self->own_row, _ ("Height"), NULL, G_CALLBACK (on_own_size));
  app_unit_entry_set_range (APP_UNIT_ENTRY (self->own_width), SMALLEST_PAPER_MM, ENGINE_SHEET_MAX_MM);
  app_unit_entry_set_range (APP_UNIT_ENTRY (self->own_height), SMALLEST_PAPER_MM, ENGINE_SHEET_MAX_MM);
  gtk_box_append (GTK_BOX (column), self->own_row);
  self->overlap
    = field (self, column, _ ("Overlap"), _ ("glue zone on the right and below"), G_CALLBACK (on_overlap));
  gtk_box_append (GTK_BOX (column), divider ());

  GtkWidget *line = box (GTK_ORIENTATION_HORIZONTAL, 8);
  GtkWidget *heading = text (_ ("Panels"), "pw-heading");
  gtk_widget_set_hexpand (heading, TRUE);
  gtk_box_append (GTK_BOX (line), heading);
  self->panel_count = text ("", "pw-dim");
  gtk_box_append (GTK_BOX (line), self->panel_count);
  gtk_box_append (GTK_BOX (column), line);
  self->panel_list = box (GTK_ORIENTATION_VERTICAL, 0);
  gtk_box_append (GTK_BOX (column), self->panel_list);
  gtk_box_append (GTK_BOX (column), divider ());
  GtkWidget *flags = box (GTK_ORIENTATION_VERTICAL, 0);
  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
  {
    self->flags[i] = gtk_check_button_new_with_label (_ (names[i]));
    g_object_set_data (G_OBJECT (self->flags[i]), "index", GUINT_TO_POINTER (i));
    g_signal_connect (self->flags[i], "toggled", G_CALLBACK (on_flag), self);
    gtk_widget_add_css_class (self->flags[i], "pw-sheet-row");
    gtk_box_append (GTK_BOX (flags), self->flags[i]);
  }
  gtk_box_append (GTK_BOX (column), flags);
  GtkWidget *scroll = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (scroll), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (scroll), column);
  gtk_widget_set_size_request (scroll, 300, -1);
  gtk_widget_set_hexpand (scroll, FALSE);
  gtk_widget_add_css_class (scroll, "pw-side");
  gtk_widget_add_css_class (scroll, "pw-side-left");
  return scroll;
}

static GtkWidget *
build_middle (AppSheetsRoom *self)
{
  GtkWidget *column = box (GTK_ORIENTATION_VERTICAL, 8);
  gtk_widget_add_css_class (column, "pw-sheet-table");
  GtkWidget *inner = box (GTK_ORIENTATION_VERTICAL, 8);
  gtk_widget_set_margin_start (inner, 24);
  gtk_widget_set_margin_end (inner, 16);
  gtk_widget_set_margin_top (inner, 20);
  gtk_widget_set_margin_bottom (inner, 16);
  GtkWidget *line = box (GTK_ORIENTATION_HORIZONTAL, 16);
  self->title = text ("", "pw-page-title");
  self->below = text ("", "pw-dim");
  gtk_label_set_ellipsize (GTK_LABEL (self->below), PANGO_ELLIPSIZE_END);
  gtk_widget_set_valign (self->below, GTK_ALIGN_BASELINE);
  gtk_box_append (GTK_BOX (line), self->title);
  gtk_box_append (GTK_BOX (line), self->below);
  gtk_box_append (GTK_BOX (inner), line);
  self->map = app_page_map_new ();
  g_signal_connect (self->map, "chosen", G_CALLBACK (on_tile_chosen), self);
  self->trouble = text ("", "pw-dim");
  gtk_label_set_wrap (GTK_LABEL (self->trouble), TRUE);
  gtk_label_set_max_width_chars (GTK_LABEL (self->trouble), 48);
  gtk_widget_set_halign (self->trouble, GTK_ALIGN_CENTER);
  gtk_widget_set_valign (self->trouble, GTK_ALIGN_CENTER);
  self->map_stack = gtk_stack_new ();
  gtk_stack_add_named (GTK_STACK (self->map_stack), self->map, "map");
  gtk_stack_add_named (GTK_STACK (self->map_stack), self->trouble, "trouble");
  gtk_widget_set_vexpand (self->map_stack, TRUE);
  gtk_box_append (GTK_BOX (inner), self->map_stack);
  GtkWidget *verdict = box (GTK_ORIENTATION_HORIZONTAL, 8);
  GtkWidget *sign = gtk_image_new_from_icon_name ("panelwright-agreeing-symbolic");
  gtk_widget_add_css_class (sign, "pw-moss");
  gtk_box_append (GTK_BOX (verdict), sign);
  self->verdict = text ("", NULL);
  gtk_box_append (GTK_BOX (verdict), self->verdict);
  gtk_box_append (GTK_BOX (inner), verdict);
  gtk_box_append (GTK_BOX (column), inner);
  gtk_widget_set_hexpand (column, TRUE);
  return column;
}

static GtkWidget *
build_square (AppSheetsRoom *self)
{
  GtkWidget *card = box (GTK_ORIENTATION_VERTICAL, 8);
  gtk_widget_add_css_class (card, "pw-card");
  gtk_box_append (GTK_BOX (card), text (_ ("Print the cover first."), "pw-strong"));
  GtkWidget *line = box (GTK_ORIENTATION_HORIZONTAL, 8);
  gtk_box_append (GTK_BOX (line), text (_ ("The 100 mm square on paper measures"), NULL));
  self->square = app_unit_entry_new ();
  app_unit_entry_set_optional (APP_UNIT_ENTRY (self->square), "–");
  app_unit_entry_set_width (APP_UNIT_ENTRY (self->square), 8);
  app_unit_entry_set_shows_unit (APP_UNIT_ENTRY (self->square), true);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (self->square), NAN);
  app_unit_entry_set_name (APP_UNIT_ENTRY (self->square), _ ("Measured square"));
  g_signal_connect (self->square, "committed", G_CALLBACK (on_square), self);
  gtk_box_append (GTK_BOX (line), self->square);
  gtk_box_append (GTK_BOX (card), line);
  self->square_says = text (_ ("Lay a ruler on the square and write what it says."), "pw-small");
  gtk_label_set_wrap (GTK_LABEL (self->square_says), TRUE);
  gtk_box_append (GTK_BOX (card), self->square_says);
  self->print_first = gtk_button_new_with_label (_ ("Print the cover"));
  gtk_widget_add_css_class (self->print_first, "pw-plain");
  gtk_widget_set_halign (self->print_first, GTK_ALIGN_START);
  gtk_actionable_set_action_name (GTK_ACTIONABLE (self->print_first), "sheets.print-first");
  gtk_box_append (GTK_BOX (card), self->print_first);
  return card;
}

static GtkWidget *
build_right (AppSheetsRoom *self)
{
  GtkWidget *column = box (GTK_ORIENTATION_VERTICAL, 12);
  gtk_widget_set_size_request (column, SIDE_PX, -1);
  gtk_widget_set_hexpand (column, FALSE);
  gtk_widget_add_css_class (column, "pw-side");
  gtk_widget_add_css_class (column, "pw-side-right");
  GtkWidget *inner = box (GTK_ORIENTATION_VERTICAL, 10);
  gtk_widget_set_margin_start (inner, 20);
  gtk_widget_set_margin_end (inner, 20);
  gtk_widget_set_margin_top (inner, 16);
  gtk_widget_set_margin_bottom (inner, 16);
  GtkWidget *line = box (GTK_ORIENTATION_HORIZONTAL, 12);
  self->sheet_title = text ("", "pw-heading");
  gtk_box_append (GTK_BOX (line), self->sheet_title);
  GtkWidget *below = text (_ ("as it leaves the printer"), "pw-dim");
  gtk_box_append (GTK_BOX (line), below);
  gtk_box_append (GTK_BOX (inner), line);
  self->sheet_area = gtk_drawing_area_new ();
  gtk_widget_set_vexpand (self->sheet_area, TRUE);
  gtk_drawing_area_set_draw_func (GTK_DRAWING_AREA (self->sheet_area), draw_sheet, self, NULL);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->sheet_area), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("The chosen sheet"), -1);
  gtk_box_append (GTK_BOX (inner), self->sheet_area);
  gtk_box_append (GTK_BOX (inner), build_square (self));
  gtk_box_append (GTK_BOX (column), inner);
  return column;
}

static GtkWidget *
deed (const char *label, const char *css, const char *action)
{
  GtkWidget *button = gtk_button_new_with_label (label);
  gtk_widget_add_css_class (button, css);
  gtk_widget_set_valign (button, GTK_ALIGN_CENTER);
  gtk_actionable_set_action_name (GTK_ACTIONABLE (button), action);
  return button;
}

static GtkWidget *
build_rail (AppSheetsRoom *self)
{
  GtkWidget *rail = box (GTK_ORIENTATION_HORIZONTAL, 12);
  gtk_widget_add_css_class (rail, "pw-rail");
  gtk_widget_set_size_request (rail, -1, 66);
  GtkWidget *words = box (GTK_ORIENTATION_VERTICAL, 0);
  gtk_widget_set_valign (words, GTK_ALIGN_CENTER);
  gtk_widget_set_margin_start (words, 16);
  gtk_widget_set_hexpand (words, TRUE);
  gtk_box_append (GTK_BOX (words), text (_ ("Printed size is checked"), "pw-strong"));
  GtkWidget *small = text (_ ("by the squares on the cover: 100 mm and 4 in"), "pw-small");
  gtk_widget_add_css_class (small, "pw-dim");
  gtk_box_append (GTK_BOX (words), small);
  gtk_box_append (GTK_BOX (rail), words);
  self->save = deed (_ ("Save as PDF"), "pw-plain", "sheets.save-pdf");
  self->cut = deed (_ ("Cut file"), "pw-plain", "sheets.cut-file");
  self->print = deed (_ ("Print"), "pw-stamp", "sheets.print");
  gtk_widget_set_margin_end (self->print, 16);
  gtk_box_append (GTK_BOX (rail), self->save);
  gtk_box_append (GTK_BOX (rail), self->cut);
  gtk_box_append (GTK_BOX (rail), self->print);
  return rail;
}

static void
app_sheets_room_measure (GtkWidget *widget,
                         GtkOrientation orientation,
                         int for_size,
                         int *minimum,
                         int *natural,
                         int *minimum_baseline,
                         int *natural_baseline)
{
  gtk_widget_measure (APP_SHEETS_ROOM (widget)->root, orientation, for_size, minimum, natural,
                      minimum_baseline, natural_baseline);
  if (orientation == GTK_ORIENTATION_HORIZONTAL)
    *minimum = MIN (*minimum, 720);
}

/* Nothing may be shown or hidden while sizes are given out: it waits for the next layout. */
static gboolean
follow_size (gpointer user)
{
  AppSheetsRoom *self = user;
  self->follow_queued = false;
  gtk_widget_set_visible (self->sheet_side, !self->narrow);
  gtk_widget_set_size_request (self->sheet_side, self->wide ? SIDE_WIDE_PX : SIDE_PX, -1);
  return G_SOURCE_REMOVE;
}

static void
app_sheets_room_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  AppSheetsRoom *self = APP_SHEETS_ROOM (widget);
  bool narrow = width < NARROW_PX, wide = width >= WIDE_PX;
  if (narrow != self->narrow || wide != self->wide)
  {
    self->narrow = narrow;
    self->wide = wide;
    if (!self->follow_queued)
      g_idle_add_full (GDK_PRIORITY_REDRAW - 10, follow_size, g_object_ref (self), g_object_unref);
    self->follow_queued = true;
  }
  gtk_widget_allocate (self->root, width, height, baseline, NULL);
}

static void
app_sheets_room_dispose (GObject *object)
{
  AppSheetsRoom *self = APP_SHEETS_ROOM (object);
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_clear_object (&self->session);
  if (self->map != NULL)
    drop_plan (self);
  self->map = NULL;
  g_clear_pointer (&self->root, gtk_widget_unparent);
  g_clear_pointer (&self->left_out, g_hash_table_unref);
  g_clear_pointer (&self->hidden, g_hash_table_unref);
  g_clear_pointer (&self->listed, g_array_unref);
  G_OBJECT_CLASS (app_sheets_room_parent_class)->dispose (object);
}

static void
app_sheets_room_class_init (AppSheetsRoomClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  G_OBJECT_CLASS (klass)->dispose = app_sheets_room_dispose;
  widget_class->measure = app_sheets_room_measure;
  widget_class->size_allocate = app_sheets_room_size_allocate;
  widget_class->map = app_sheets_room_map;
  gtk_widget_class_set_css_name (widget_class, "pwsheets");
  gtk_widget_class_install_action (widget_class, "sheets.print", NULL, print_all);
  gtk_widget_class_install_action (widget_class, "sheets.print-first", NULL, print_first);
  gtk_widget_class_install_action (widget_class, "sheets.save-pdf", NULL, save_pdf);
  gtk_widget_class_install_action (widget_class, "sheets.cut-file", NULL, save_cut);
}

static void
app_sheets_room_init (AppSheetsRoom *self)
{
  self->left_out = g_hash_table_new (NULL, NULL);
  self->hidden = g_hash_table_new (NULL, NULL);
  self->listed = g_array_new (FALSE, FALSE, sizeof (guint));
  self->root = box (GTK_ORIENTATION_VERTICAL, 0);
  GtkWidget *line = box (GTK_ORIENTATION_HORIZONTAL, 0);
  gtk_widget_set_vexpand (line, TRUE);
  gtk_box_append (GTK_BOX (line), build_left (self));
  gtk_box_append (GTK_BOX (line), build_middle (self));
  self->sheet_side = build_right (self);
  gtk_box_append (GTK_BOX (line), self->sheet_side);
  gtk_box_append (GTK_BOX (self->root), line);
  gtk_box_append (GTK_BOX (self->root), build_rail (self));
  gtk_widget_set_parent (self->root, GTK_WIDGET (self));
}

GtkWidget *
app_sheets_room_new (void)
{
  return g_object_new (APP_TYPE_SHEETS_ROOM, NULL);
}
