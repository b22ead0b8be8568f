/* Rows are kept by panel and told apart by their order; a touched panel makes its own row stale only, so that
 * a drag redraws one small outline and no more. */
#include "app/list-pane.h"

#include "app/label.h"
#include "app/lazy-row.h"
#include "app/theme.h"
#include "engine/words.h"
#include "output/draw.h"

#include <glib/gi18n.h>
#include <string.h>

#define THUMB_PX 44
#define THUMB_MARGIN_PX 3.0
#define PLACE_MARGIN 0.15

struct _AppListPane
{
  GtkWidget parent;
  AppSession *session;
  AppCanvas *canvas; /* borrowed */
  guint refresh_id;
  bool open, filling;
  char *wanted; /* what is searched for, casefolded; never NULL */
  GtkWidget *box, *search, *by_material, *scroller, *list, *none;
};

/* What hangs on each row of the list. */
typedef struct Row
{
  AppListPane *pane;
  guint panel_id, material_id;
  char *key; /* the name, casefolded */
  bool stale;
  GtkWidget *row, *thumb, *name, *entry, *facts, *seen, *locked; /* ENTRY: while it is given another name */
} Row;

G_DEFINE_FINAL_TYPE (AppListPane, app_list_pane, GTK_TYPE_WIDGET)

#define ROW_KEY "app-list-row"

static Row *
row_of (gpointer widget)
{
  return g_object_get_data (widget, ROW_KEY);
}

static const ModelPanel *
panel_of (const Row *row)
{
  return row->pane->session != NULL
           ? model_document_panel (app_session_document (row->pane->session), row->panel_id)
           : NULL;
}

/* ---- one row ---- */

static void
draw_thumb (GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer user)
{
  const Row *row = user;
  const ModelPanel *panel = panel_of (row);
  if (panel == NULL)
    return;
  GeomPath seam;
  geom_path_init (&seam);
  model_panel_path (panel, &seam, NULL);
  GeomBox box = geom_path_box (&seam);
  if (panel->halves == MODEL_HALVES_FOLD)
  {
    /* Cut whole, so shown whole. */
    GeomPath half;
    geom_path_init (&half);
    model_panel_twin_path (panel, &half, NULL);
    box = geom_box_union (box, geom_path_box (&half));
    geom_path_clear (&half);
  }
  if (!geom_box_is_empty (box))
  {
    const double across = MAX (box.x1 - box.x0, 1.0), up = MAX (box.y1 - box.y0, 1.0);
    const double scale = MIN ((width - 2 * THUMB_MARGIN_PX) / across, (height - 2 * THUMB_MARGIN_PX) / up);
    const OutputView view = {
      .to_device = { scale, 0, 0, -scale, width / 2.0 - scale * (box.x0 + box.x1) / 2.0,
                     height / 2.0 + scale * (box.y0 + box.y1) / 2.0 },
      .scale = scale,
    };
    OutputInk ink;
    app_theme_ink (&ink, 1.0);
    for (int k = 0; k < (panel->halves == MODEL_HALVES_FOLD ? 2 : 1); k++)
    {
      if (k == 1)
        model_panel_twin_path (panel, &seam, NULL);
      output_trace_path (cr, &view, &seam);
      output_set_tone (cr, &ink, OUTPUT_TONE_FACE);
      cairo_fill_preserve (cr);
      output_set_tone (cr, &ink, panel->hidden ? OUTPUT_TONE_TRACE : OUTPUT_TONE_INK);
      cairo_set_line_width (cr, 1.2);
      cairo_stroke (cr);
    }
  }
  geom_path_clear (&seam);
}

/* One step of undo for each switch. */
static void
put_flag (Row *row, bool locked, bool on)
{
  const ModelPanel *was = panel_of (row);
  if (was == NULL || (locked ? was->locked : was->hidden) == on)
    return;
  ModelHistory *history = app_session_history (row->pane->session);
  ModelPanel *panel = model_panel_copy (was);
  if (locked)
    panel->locked = on;
  else
    panel->hidden = on;
  model_history_begin (history, locked ? (on ? _ ("Lock panel") : _ ("Unlock panel"))
                                       : (on ? _ ("Hide panel") : _ ("Show panel")));
  model_history_put_panel (history, panel);
  model_history_end (history);
}

static void
on_seen (GtkToggleButton *button, Row *row)
{
  if (!row->pane->filling)
    put_flag (row, false, !gtk_toggle_button_get_active (button));
}

static void
on_locked (GtkToggleButton *button, Row *row)
{
  if (!row->pane->filling)
    put_flag (row, true, gtk_toggle_button_get_active (button));
}

static void
row_free (gpointer data)
{
  Row *row = data;
  g_free (row->key);
  g_free (row);
}

/* ---- another name, in place ---- */

static void
rename_end (Row *row)
{
  GtkWidget *entry = g_steal_pointer (&row->entry);
  if (entry == NULL)
    return;
  bool had_focus = gtk_widget_get_focus_child (row->row) != NULL;
  gtk_widget_set_visible (row->name, TRUE);
  gtk_box_remove (GTK_BOX (gtk_widget_get_parent (entry)), entry);
  if (had_focus)
    gtk_widget_grab_focus (row->row);
}

static void
on_rename_taken (Row *row)
{
  if (row->entry == NULL)
    return;
  if (app_session_name_panel (row->pane->session, row->panel_id,
                              gtk_editable_get_text (GTK_EDITABLE (row->entry))))
    rename_end (row);
  else
  {
    gtk_widget_add_css_class (row->entry, "error");
    gtk_widget_set_tooltip_text (row->entry, _ ("Another panel has this name"));
    gtk_widget_error_bell (row->entry);
  }
}

static gboolean
on_rename_key (GtkEventControllerKey *keys, guint keyval, guint code, GdkModifierType state, Row *row)
{
  if (keyval != GDK_KEY_Escape)
    return GDK_EVENT_PROPAGATE;
  rename_end (row);
  return GDK_EVENT_STOP;
}

/* Whoever clicks elsewhere means what was typed. */
static void
on_rename_left (Row *row)
{
  if (row->entry == NULL)
    return;
  app_session_name_panel (row->pane->session, row->panel_id,
                          gtk_editable_get_text (GTK_EDITABLE (row->entry)));
  rename_end (row);
}

static void
rename_begin (Row *row)
{
  const ModelPanel *panel = panel_of (row);
  if (panel == NULL || row->entry != NULL)
    return;
  row->entry = gtk_entry_new ();
  gtk_editable_set_text (GTK_EDITABLE (row->entry), panel->name);
  gtk_editable_set_width_chars (GTK_EDITABLE (row->entry), 8);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row->entry), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("Panel name"), -1);
  g_signal_connect_swapped (row->entry, "activate", G_CALLBACK (on_rename_taken), row);
  GtkEventController *keys = gtk_event_controller_key_new ();
  gtk_event_controller_set_propagation_phase (keys, GTK_PHASE_CAPTURE);
  g_signal_connect (keys, "key-pressed", G_CALLBACK (on_rename_key), row);
  gtk_widget_add_controller (row->entry, keys);
  GtkEventController *focus = gtk_event_controller_focus_new ();
  g_signal_connect_swapped (focus, "leave", G_CALLBACK (on_rename_left), row);
  gtk_widget_add_controller (row->entry, focus);
  gtk_widget_set_visible (row->name, FALSE);
  gtk_box_prepend (GTK_BOX (gtk_widget_get_parent (row->name)), row->entry);
  gtk_widget_grab_focus (row->entry);
}

static void
on_name_pressed (GtkGestureClick *gesture, int presses, double x, double y, Row *row)
{
  if (presses != 2)
    return;
  gtk_gesture_set_state (GTK_GESTURE (gesture), GTK_EVENT_SEQUENCE_CLAIMED);
  rename_begin (row);
}

static GtkWidget *
switch_new (const char *icon, const char *name, const char *tip)
{
  GtkWidget *button = gtk_toggle_button_new ();
  gtk_button_set_icon_name (GTK_BUTTON (button), icon);
  app_add_classes (button, "pw-icon");
  gtk_widget_set_valign (button, GTK_ALIGN_CENTER);
  gtk_widget_set_tooltip_text (button, tip);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  return button;
}

static GtkWidget *
row_new (AppListPane *self, guint panel_id)
{
  Row *row = g_new0 (Row, 1);
  row->pane = self;
  row->panel_id = panel_id;
  row->stale = true;
  row->row = app_lazy_row_new ();
  app_add_classes (row->row, "pw-row");
  g_object_set_data_full (G_OBJECT (row->row), ROW_KEY, row, row_free);
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  row->thumb = gtk_drawing_area_new ();
  gtk_drawing_area_set_content_width (GTK_DRAWING_AREA (row->thumb), THUMB_PX);
  gtk_drawing_area_set_content_height (GTK_DRAWING_AREA (row->thumb), THUMB_PX);
  gtk_drawing_area_set_draw_func (GTK_DRAWING_AREA (row->thumb), draw_thumb, row, NULL);
  GtkWidget *words = gtk_box_new (GTK_ORIENTATION_VERTICAL, 1);
  gtk_widget_set_hexpand (words, TRUE);
  gtk_widget_set_valign (words, GTK_ALIGN_CENTER);
  row->name = app_label_new (NULL, "pw-name");
  row->facts = app_label_new (NULL, "pw-small pw-dim");
  GtkGesture *click = gtk_gesture_click_new ();
  g_signal_connect (click, "pressed", G_CALLBACK (on_name_pressed), row);
  gtk_widget_add_controller (row->name, GTK_EVENT_CONTROLLER (click));
  gtk_box_append (GTK_BOX (words), row->name);
  gtk_box_append (GTK_BOX (words), row->facts);
  row->seen = switch_new ("view-reveal-symbolic", _ ("Shown"), _ ("Shown on the paper and printed"));
  row->locked
    = switch_new ("changes-prevent-symbolic", _ ("Locked"), _ ("Locked: no hand and no remedy moves it"));
  g_signal_connect (row->seen, "toggled", G_CALLBACK (on_seen), row);
  g_signal_connect (row->locked, "toggled", G_CALLBACK (on_locked), row);
  gtk_box_append (GTK_BOX (box), row->thumb);
  gtk_box_append (GTK_BOX (box), words);
  gtk_box_append (GTK_BOX (box), row->seen);
  gtk_box_append (GTK_BOX (box), row->locked);
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row->row), box);
  return row->row;
}

static void
row_show (Row *row)
{
  const ModelPanel *panel = panel_of (row);
  if (panel == NULL || !row->stale)
    return;
  const ModelDocument *doc = app_session_document (row->pane->session);
  g_autofree char *material = engine_words_material (doc, panel);
  g_autofree char *quantity = engine_words_quantity (panel);
  /* Translators: what a panel is cut from, and how many are cut. */
  g_autofree char *facts = material != NULL && material[0] != '\0'
                             ? g_strdup_printf (_ ("%s, %s"), material, quantity)
                             : g_strdup (quantity);
  g_autofree char *key = g_utf8_casefold (panel->name, -1);
  /* Only these decide where the row stands and whether it is found: a drag must not sort the list. */
  const bool elsewhere = row->material_id != panel->material_id || g_strcmp0 (row->key, key) != 0;
  row->stale = false;
  row->material_id = panel->material_id;
  g_free (row->key);
  row->key = g_steal_pointer (&key);
  app_label_set (row->name, panel->name);
  app_label_set (row->facts, facts);
  gtk_widget_set_tooltip_text (row->facts, facts);
  app_set_class (row->name, "pw-dim", panel->hidden);
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (row->seen), !panel->hidden);
  gtk_button_set_icon_name (GTK_BUTTON (row->seen),
                            panel->hidden ? "view-conceal-symbolic" : "view-reveal-symbolic");
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (row->locked), panel->locked);
  gtk_button_set_icon_name (GTK_BUTTON (row->locked),
                            panel->locked ? "changes-prevent-symbolic" : "changes-allow-symbolic");
  g_autofree char *spoken = g_strdup_printf ("%s, %s", panel->name, facts);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row->row), GTK_ACCESSIBLE_PROPERTY_LABEL, spoken, -1);
  gtk_widget_queue_draw (row->thumb);
  if (elsewhere)
    gtk_list_box_row_changed (GTK_LIST_BOX_ROW (row->row));
}

/* ---- the list ---- */

static gboolean
is_wanted (GtkListBoxRow *widget, gpointer user)
{
  const AppListPane *self = user;
  const Row *row = row_of (widget);
  return row == NULL || row->key == NULL || strstr (row->key, self->wanted) != NULL;
}

static int
place_of (const GPtrArray *list, gpointer part)
{
  guint at = 0;
  return part != NULL && g_ptr_array_find ((GPtrArray *)list, part, &at) ? (int)at : -1;
}

/* The maker's order; by material first if that is wanted. */
static int
in_order (GtkListBoxRow *a, GtkListBoxRow *b, gpointer user)
{
  AppListPane *self = user;
  const Row *x = row_of (a), *y = row_of (b);
  if (self->session == NULL || x == NULL || y == NULL)
    return 0;
  const ModelDocument *doc = app_session_document (self->session);
  if (gtk_check_button_get_active (GTK_CHECK_BUTTON (self->by_material)) && x->material_id != y->material_id)
    return place_of (doc->materials, model_document_material (doc, x->material_id))
           - place_of (doc->materials, model_document_material (doc, y->material_id));
  return place_of (doc->panels, model_document_panel (doc, x->panel_id))
         - place_of (doc->panels, model_document_panel (doc, y->panel_id));
}

/* Rows of panels that are there, one each. */
static void
match_rows (AppListPane *self)
{
  const ModelDocument *doc = app_session_document (self->session);
  g_autoptr (GHashTable) have = g_hash_table_new (NULL, NULL);
  GtkWidget *next;
  for (GtkWidget *child = gtk_widget_get_first_child (self->list); child != NULL; child = next)
  {
    next = gtk_widget_get_next_sibling (child);
    Row *row = GTK_IS_LIST_BOX_ROW (child) ? row_of (child) : NULL;
    if (row == NULL)
      continue;
    if (panel_of (row) == NULL)
      gtk_list_box_remove (GTK_LIST_BOX (self->list), child);
    else
      g_hash_table_add (have, GUINT_TO_POINTER (row->panel_id));
  }
  for (guint i = 0; i < doc->panels->len; i++)
  {
    const guint id = ((const ModelPanel *)g_ptr_array_index (doc->panels, i))->id;
    if (!g_hash_table_contains (have, GUINT_TO_POINTER (id)))
      gtk_list_box_append (GTK_LIST_BOX (self->list), row_new (self, id));
  }
}

static void
show_chosen (AppListPane *self)
{
  const AppSelection *s = app_session_selection (self->session);
  for (GtkWidget *child = gtk_widget_get_first_child (self->list); child != NULL;
       child = gtk_widget_get_next_sibling (child))
  {
    const Row *row = GTK_IS_LIST_BOX_ROW (child) ? row_of (child) : NULL;
    if (row == NULL)
      continue;
    if (app_selection_has_panel (s, row->panel_id))
      gtk_list_box_select_row (GTK_LIST_BOX (self->list), GTK_LIST_BOX_ROW (child));
    else
      gtk_list_box_unselect_row (GTK_LIST_BOX (self->list), GTK_LIST_BOX_ROW (child));
  }
}

static gboolean
refresh (GtkWidget *widget, GdkFrameClock *clock, gpointer user)
{
  AppListPane *self = APP_LIST_PANE (widget);
  self->refresh_id = 0;
  if (self->session == NULL || !self->open)
    return G_SOURCE_REMOVE;
  self->filling = true;
  match_rows (self);
  for (GtkWidget *child = gtk_widget_get_first_child (self->list); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    if (GTK_IS_LIST_BOX_ROW (child) && row_of (child) != NULL)
      row_show (row_of (child));
  show_chosen (self);
  self->filling = false;
  return G_SOURCE_REMOVE;
}

static void
queue (AppListPane *self)
{
  if (self->open)
    app_queue_refresh (GTK_WIDGET (self), &self->refresh_id, refresh);
}

static void
make_stale (AppListPane *self, guint panel_id)
{
  for (GtkWidget *child = gtk_widget_get_first_child (self->list); child != NULL;
       child = gtk_widget_get_next_sibling (child))
  {
    Row *row = GTK_IS_LIST_BOX_ROW (child) ? row_of (child) : NULL;
    if (row != NULL && (panel_id == 0 || row->panel_id == panel_id))
      row->stale = true;
  }
}

static void
on_touched (AppSession *session, int kind, guint id, int touch, AppListPane *self)
{
  if (kind != MODEL_PART_PANEL && kind != MODEL_PART_MATERIAL && kind != MODEL_PART_HEAD)
    return;
  make_stale (self, kind == MODEL_PART_PANEL ? id : 0);
  queue (self);
}

static void
on_settled (AppListPane *self)
{
  if (self->open)
    gtk_list_box_invalidate_sort (GTK_LIST_BOX (self->list));
  queue (self);
}

/* ---- what the hand does ---- */

static void
on_rows_selected (AppListPane *self)
{
  if (self->filling || self->session == NULL)
    return;
  g_autoptr (GArray) ids = g_array_new (FALSE, FALSE, sizeof (guint));
  g_autoptr (GList) rows = gtk_list_box_get_selected_rows (GTK_LIST_BOX (self->list));
  for (GList *at = rows; at != NULL; at = at->next)
    g_array_append_val (ids, row_of (at->data)->panel_id);
  self->filling = true;
  if (ids->len == 1)
  {
    const ModelPanel *panel
      = model_document_panel (app_session_document (self->session), g_array_index (ids, guint, 0));
    if (panel != NULL)
      app_session_select_panel (self->session, panel->id, panel->side, false);
  }
  else if (ids->len > 1)
    app_session_select_panels (self->session, (const guint *)ids->data, ids->len);
  else
    app_session_select_none (self->session);
  self->filling = false;
}

/* Twice, or Return: the paper shows it whole. */
static void
on_row_activated (GtkListBox *list, GtkListBoxRow *widget, AppListPane *self)
{
  const Row *row = row_of (widget);
  const ModelPanel *panel = row != NULL ? panel_of (row) : NULL;
  if (panel == NULL)
    return;
  GeomPath seam;
  geom_path_init (&seam);
  model_panel_path (panel, &seam, NULL);
  GeomBox box = geom_path_box (&seam);
  geom_path_clear (&seam);
  if (!geom_box_is_empty (box))
    app_canvas_show_box (self->canvas,
                         geom_box_grown (box, PLACE_MARGIN * MAX (box.x1 - box.x0, box.y1 - box.y0)));
}

static void
move_row (AppListPane *self, const Row *row, int step)
{
  const ModelDocument *doc = app_session_document (self->session);
  const int at = place_of (doc->panels, model_document_panel (doc, row->panel_id));
  if (at < 0 || at + step < 0 || at + step >= (int)doc->panels->len)
    return;
  ModelHistory *history = app_session_history (self->session);
  model_history_begin (history, _ ("Put panel in another place of the list"));
  model_history_move (history, MODEL_PART_PANEL, row->panel_id, (guint)(at + step));
  model_history_end (history);
}

/* Alt with Up or Down carries the row along; F2 gives it another name. */
static gboolean
on_list_key (GtkEventControllerKey *keys, guint keyval, guint code, GdkModifierType state, AppListPane *self)
{
  const int step = (state & GDK_ALT_MASK) == 0 ? 0
                   : keyval == GDK_KEY_Up      ? -1
                   : keyval == GDK_KEY_Down    ? 1
                                               : 0;
  g_autoptr (GList) rows = gtk_list_box_get_selected_rows (GTK_LIST_BOX (self->list));
  if ((step == 0 && keyval != GDK_KEY_F2) || self->session == NULL || rows == NULL || rows->next != NULL)
    return GDK_EVENT_PROPAGATE;
  if (step != 0)
    move_row (self, row_of (rows->data), step);
  else
    rename_begin (row_of (rows->data));
  return GDK_EVENT_STOP;
}

void
app_list_pane_search (AppListPane *self, const char *words)
{
  g_free (self->wanted);
  self->wanted = g_utf8_casefold (words, -1);
  gtk_list_box_invalidate_filter (GTK_LIST_BOX (self->list));
}

static void
on_search (AppListPane *self)
{
  app_list_pane_search (self, gtk_editable_get_text (GTK_EDITABLE (self->search)));
}

static void
on_by_material (AppListPane *self)
{
  gtk_list_box_invalidate_sort (GTK_LIST_BOX (self->list));
}

/* ---- following ---- */

void
app_list_pane_set_session (AppListPane *self, AppSession *session)
{
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  self->filling = true;
  gtk_list_box_unselect_all (GTK_LIST_BOX (self->list));
  for (GtkListBoxRow *row; (row = gtk_list_box_get_row_at_index (GTK_LIST_BOX (self->list), 0)) != NULL;)
    gtk_list_box_remove (GTK_LIST_BOX (self->list), GTK_WIDGET (row));
  self->filling = false;
  g_set_object (&self->session, session);
  if (session == NULL)
    return;
  g_signal_connect (session, "touched", G_CALLBACK (on_touched), self);
  g_signal_connect_swapped (session, "settled", G_CALLBACK (on_settled), self);
  g_signal_connect_swapped (session, "selection-changed", G_CALLBACK (queue), self);
  queue (self);
}

void
app_list_pane_set_open (AppListPane *self, bool open)
{
  if (self->open == open)
    return;
  self->open = open;
  if (open && self->session != NULL)
  {
    make_stale (self, 0);
    refresh (GTK_WIDGET (self), NULL, NULL);
    gtk_list_box_invalidate_sort (GTK_LIST_BOX (self->list));
  }
}

guint
app_list_pane_count (AppListPane *self)
{
  guint count = 0;
  for (GtkWidget *child = gtk_widget_get_first_child (self->list); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    count += GTK_IS_LIST_BOX_ROW (child) && gtk_widget_get_child_visible (child);
  return count;
}

char *
app_list_pane_name (AppListPane *self, guint index)
{
  for (GtkWidget *child = gtk_widget_get_first_child (self->list); child != NULL;
       child = gtk_widget_get_next_sibling (child))
    if (GTK_IS_LIST_BOX_ROW (child) && gtk_widget_get_child_visible (child) && index-- == 0)
      return g_strdup (gtk_label_get_text (GTK_LABEL (row_of (child)->name)));
  return NULL;
}

void
app_list_pane_rename (AppListPane *self, guint panel_id, const char *name)
{
  for (GtkWidget *child = gtk_widget_get_first_child (self->list); child != NULL;
       child = gtk_widget_get_next_sibling (child))
  {
    Row *row = GTK_IS_LIST_BOX_ROW (child) ? row_of (child) : NULL;
    if (row == NULL || row->panel_id != panel_id)
      continue;
    rename_begin (row);
    gtk_editable_set_text (GTK_EDITABLE (row->entry), name);
    g_signal_emit_by_name (row->entry, "activate");
    rename_end (row);
  }
}

static void
app_list_pane_dispose (GObject *object)
{
  AppListPane *self = APP_LIST_PANE (object);
  self->filling = true; /* a list that is taken down lets go of its chosen rows */
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_clear_object (&self->session);
  g_clear_pointer (&self->box, gtk_widget_unparent);
  g_clear_pointer (&self->wanted, g_free);
  G_OBJECT_CLASS (app_list_pane_parent_class)->dispose (object);
}

static void
app_list_pane_class_init (AppListPaneClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_list_pane_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
app_list_pane_init (AppListPane *self)
{
  self->wanted = g_strdup ("");
  self->box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8);
  self->search = gtk_search_entry_new ();
  g_object_set (self->search, "placeholder-text", _ ("Find a panel by its name"), NULL);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->search), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("Find a panel by its name"), -1);
  g_signal_connect_swapped (self->search, "search-changed", G_CALLBACK (on_search), self);
  gtk_box_append (GTK_BOX (self->box), self->search);
  self->by_material = gtk_check_button_new_with_mnemonic (_ ("By _material"));
  g_signal_connect_swapped (self->by_material, "toggled", G_CALLBACK (on_by_material), self);
  gtk_box_append (GTK_BOX (self->box), self->by_material);
  self->list = gtk_list_box_new ();
  app_add_classes (self->list, "pw-list");
  gtk_list_box_set_selection_mode (GTK_LIST_BOX (self->list), GTK_SELECTION_MULTIPLE);
  gtk_list_box_set_activate_on_single_click (GTK_LIST_BOX (self->list), FALSE);
  gtk_list_box_set_filter_func (GTK_LIST_BOX (self->list), is_wanted, self, NULL);
  gtk_list_box_set_sort_func (GTK_LIST_BOX (self->list), in_order, self, NULL);
  self->none = app_prose_new (_ ("No panel has such a name."), "pw-small pw-dim");
  gtk_list_box_set_placeholder (GTK_LIST_BOX (self->list), self->none);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->list), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("Panels"),
                                  -1);
  g_signal_connect_swapped (self->list, "selected-rows-changed", G_CALLBACK (on_rows_selected), self);
  g_signal_connect (self->list, "row-activated", G_CALLBACK (on_row_activated), self);
  GtkEventController *keys = gtk_event_controller_key_new ();
  gtk_event_controller_set_propagation_phase (keys, GTK_PHASE_CAPTURE);
  g_signal_connect (keys, "key-pressed", G_CALLBACK (on_list_key), self);
  gtk_widget_add_controller (self->list, keys);
  self->scroller = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (self->scroller), GTK_POLICY_NEVER,
                                  GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (self->scroller), self->list);
  gtk_widget_set_vexpand (self->scroller, TRUE);
  app_lazy_rows_follow (GTK_LIST_BOX (self->list), GTK_SCROLLED_WINDOW (self->scroller));
  gtk_box_append (GTK_BOX (self->box), self->scroller);
  gtk_widget_set_parent (self->box, GTK_WIDGET (self));
}

GtkWidget *
app_list_pane_new (AppCanvas *canvas)
{
  AppListPane *self = g_object_new (APP_TYPE_LIST_PANE, NULL);
  self->canvas = canvas;
  return GTK_WIDGET (self);
}
