/* Newest first: the last few steps are what one goes back to.  Filled when it is opened, since most of the
 * time nobody looks; a long history shows its newest rows and says how many lie below. */
#include "app/history-list.h"

#include "app/label.h"

#include <glib/gi18n.h>

#define HEIGHT_PX 420
#define WIDTH_PX 420 /* most remedies are said whole */
/* More rows than anyone reads; the present place is always among them. */
#define ROWS_MOST 400

struct _AppHistoryList
{
  GtkWidget parent;
  AppSession *session;
  GtkWidget *button, *popover, *scroll, *list, *more;
  bool filling;
};

G_DEFINE_FINAL_TYPE (AppHistoryList, app_history_list, GTK_TYPE_WIDGET)

static guint
position_of (GtkListBoxRow *row)
{
  return GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (row), "position"));
}

static GtkWidget *
row_new (ModelHistory *history, guint position)
{
  bool here = position == model_history_position (history),
       undone = position > model_history_position (history);
  const char *label = position > 0 ? model_history_label (history, position - 1) : _ ("As it was opened");
  GtkWidget *row = gtk_list_box_row_new ();
  app_add_classes (row, "pw-row pw-history-row");
  app_set_class (row, "pw-undone", undone);
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 8);
  GtkWidget *name = app_label_new (label, here ? "pw-strong" : NULL);
  gtk_widget_set_hexpand (name, TRUE);
  gtk_box_append (GTK_BOX (box), name);
  const char *state = here ? _ ("here now") : undone ? _ ("taken back") : NULL;
  if (state != NULL)
    gtk_box_append (GTK_BOX (box), app_label_new (state, "pw-small pw-dim"));
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), box);
  g_autofree char *spoken = state != NULL ? g_strdup_printf ("%s, %s", label, state) : g_strdup (label);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, spoken, -1);
  g_object_set_data (G_OBJECT (row), "position", GUINT_TO_POINTER (position));
  return row;
}

/* Which positions are shown: the newest, unless the present one lies further down. */
static guint
top_position (ModelHistory *history)
{
  guint length = model_history_length (history), at = model_history_position (history);
  return length - at < ROWS_MOST / 2 ? length : at + ROWS_MOST / 2;
}

static void
fill (AppHistoryList *self)
{
  self->filling = true;
  GtkWidget *child;
  while ((child = gtk_widget_get_first_child (self->list)) != NULL)
    gtk_list_box_remove (GTK_LIST_BOX (self->list), child);
  ModelHistory *history = app_session_history (self->session);
  guint top = top_position (history), shown = 0;
  GtkWidget *here = NULL;
  for (guint i = top + 1; i > 0 && shown < ROWS_MOST; i--, shown++)
  {
    GtkWidget *row = row_new (history, i - 1);
    gtk_list_box_append (GTK_LIST_BOX (self->list), row);
    if (i - 1 == model_history_position (history))
      here = row;
  }
  guint hidden = model_history_length (history) + 1 - shown;
  g_autofree char *words
    = g_strdup_printf (ngettext ("%u step more is not shown", "%u steps more are not shown", hidden), hidden);
  app_label_set (self->more, words);
  gtk_widget_set_visible (self->more, hidden > 0);
  gtk_list_box_select_row (GTK_LIST_BOX (self->list), GTK_LIST_BOX_ROW (here));
  self->filling = false;
  if (here != NULL)
    gtk_widget_grab_focus (here);
}

static void
follow (AppHistoryList *self)
{
  ModelHistory *history = self->session != NULL ? app_session_history (self->session) : NULL;
  bool any = history != NULL && model_history_length (history) > 0;
  gtk_widget_set_sensitive (self->button, any);
  if (!app_history_list_is_open (self))
    return;
  if (any)
    fill (self);
  else
    gtk_popover_popdown (GTK_POPOVER (self->popover));
}

static void
on_row (GtkListBox *list, GtkListBoxRow *row, AppHistoryList *self)
{
  if (self->filling || self->session == NULL)
    return;
  ModelHistory *history = app_session_history (self->session);
  guint position = position_of (row);
  gtk_popover_popdown (GTK_POPOVER (self->popover));
  /* A drag under way ends first, by its own hand. */
  if (!model_history_is_open (history))
    model_history_go_to (history, position);
}

static void
on_show (AppHistoryList *self)
{
  if (self->session != NULL)
    fill (self);
}

void
app_history_list_set_session (AppHistoryList *self, AppSession *session)
{
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_set_object (&self->session, session);
  gtk_popover_popdown (GTK_POPOVER (self->popover));
  if (session != NULL)
    g_signal_connect_swapped (session, "settled", G_CALLBACK (follow), self);
  follow (self);
}

void
app_history_list_open (AppHistoryList *self)
{
  if (gtk_widget_get_sensitive (self->button))
    gtk_menu_button_popup (GTK_MENU_BUTTON (self->button));
}

bool
app_history_list_is_open (AppHistoryList *self)
{
  return gtk_widget_get_visible (self->popover);
}

GtkListBox *
app_history_list_box (AppHistoryList *self)
{
  return GTK_LIST_BOX (self->list);
}

static void
app_history_list_dispose (GObject *object)
{
  AppHistoryList *self = APP_HISTORY_LIST (object);
  if (self->session != NULL)
    g_signal_handlers_disconnect_by_data (self->session, self);
  g_clear_object (&self->session);
  g_clear_pointer (&self->button, gtk_widget_unparent);
  G_OBJECT_CLASS (app_history_list_parent_class)->dispose (object);
}

static void
app_history_list_class_init (AppHistoryListClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_history_list_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
app_history_list_init (AppHistoryList *self)
{
  self->list = gtk_list_box_new ();
  gtk_list_box_set_selection_mode (GTK_LIST_BOX (self->list), GTK_SELECTION_BROWSE);
  gtk_list_box_set_activate_on_single_click (GTK_LIST_BOX (self->list), TRUE);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->list), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("Steps, newest first"), -1);
  g_signal_connect (self->list, "row-activated", G_CALLBACK (on_row), self);
  self->scroll = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (self->scroll), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_propagate_natural_height (GTK_SCROLLED_WINDOW (self->scroll), TRUE);
  gtk_scrolled_window_set_max_content_height (GTK_SCROLLED_WINDOW (self->scroll), HEIGHT_PX);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (self->scroll), self->list);
  gtk_widget_set_size_request (self->scroll, WIDTH_PX, -1);
  self->more = app_label_new (NULL, "pw-small pw-dim");
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
  GtkWidget *heading = app_label_new (_ ("Steps"), "pw-heading");
  gtk_widget_set_margin_start (heading, 12);
  gtk_widget_set_margin_top (heading, 6);
  gtk_widget_set_margin_start (self->more, 12);
  gtk_box_append (GTK_BOX (box), heading);
  gtk_box_append (GTK_BOX (box), self->scroll);
  gtk_box_append (GTK_BOX (box), self->more);
  self->popover = gtk_popover_new ();
  gtk_popover_set_child (GTK_POPOVER (self->popover), box);
  g_signal_connect_swapped (self->popover, "map", G_CALLBACK (on_show), self);
  self->button = gtk_menu_button_new ();
  gtk_menu_button_set_icon_name (GTK_MENU_BUTTON (self->button), "pan-down-symbolic");
  gtk_menu_button_set_popover (GTK_MENU_BUTTON (self->button), self->popover);
  app_add_classes (self->button, "pw-icon");
  gtk_widget_set_valign (self->button, GTK_ALIGN_CENTER);
  gtk_widget_set_tooltip_text (self->button,
                               _ ("Steps. Everything done so far; go back to any of it. Ctrl+Alt+Z"));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->button), GTK_ACCESSIBLE_PROPERTY_LABEL, _ ("Steps"),
                                  -1);
  gtk_widget_set_parent (self->button, GTK_WIDGET (self));
}

GtkWidget *
app_history_list_new (GActionMap *map)
{
  AppHistoryList *self = g_object_new (APP_TYPE_HISTORY_LIST, NULL);
  g_autoptr (GSimpleAction) action = g_simple_action_new ("steps", NULL);
  g_signal_connect_object (action, "activate", G_CALLBACK (app_history_list_open), self, G_CONNECT_SWAPPED);
  g_action_map_add_action (map, G_ACTION (action));
  return GTK_WIDGET (self);
}
