/* The actions that are calls of the rooms: tools, view, places, panes; and the title with its revision. */
#include "app/window-private.h"

#include "app/relief.h"
#include "app/settings.h"
#include "app/tool.h"
#include "engine/girth.h"

#include <glib/gi18n.h>
#include <string.h>

static void
on_undo (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  if (self->session != NULL && !model_history_is_open (app_session_history (self->session)))
    model_history_undo (app_session_history (self->session));
}

static void
on_redo (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  if (self->session != NULL && !model_history_is_open (app_session_history (self->session)))
    model_history_redo (app_session_history (self->session));
}

void
app_window_show_room (AppWindow *self, const char *room)
{
  g_action_group_change_action_state (G_ACTION_GROUP (self), "room", g_variant_new_string (room));
}

static void
change_room (GSimpleAction *action, GVariant *value, gpointer user)
{
  AppWindow *self = user;
  const char *room = g_variant_get_string (value, NULL);
  GtkWidget *page = strcmp (room, "body") == 0     ? self->body
                    : strcmp (room, "sheets") == 0 ? self->sheets
                    : strcmp (room, "panels") == 0 ? self->panels
                                                   : NULL;
  if (page == NULL || self->session == NULL)
    return;
  g_simple_action_set_state (action, value);
  gtk_stack_set_visible_child (GTK_STACK (self->stack), page);
  if (page == self->panels)
    gtk_widget_grab_focus (GTK_WIDGET (app_panels_room_canvas (APP_PANELS_ROOM (self->panels))));
}

static void
change_tool (GSimpleAction *action, GVariant *value, gpointer user)
{
  AppWindow *self = user;
  const char *key = g_variant_get_string (value, NULL);
  for (int i = 0; i < APP_TOOL_COUNT; i++)
  {
    const AppToolClass *klass = app_tool_class ((AppToolKind)i);
    if (klass == NULL || strcmp (klass->key, key) != 0)
      continue;
    app_window_show_room (self, "panels");
    app_canvas_set_tool (app_panels_room_canvas (APP_PANELS_ROOM (self->panels)), (AppToolKind)i);
    g_simple_action_set_state (action, value);
  }
}

static void
on_tool_changed (AppWindow *self)
{
  const AppToolClass *klass
    = app_tool_class (app_canvas_tool (app_panels_room_canvas (APP_PANELS_ROOM (self->panels))));
  GAction *action = g_action_map_lookup_action (G_ACTION_MAP (self), "tool");
  if (klass != NULL && action != NULL)
    g_simple_action_set_state (G_SIMPLE_ACTION (action), g_variant_new_string (klass->key));
}

/* "zoom-in" and its like are the canvas's own. */
static void
on_canvas_action (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  g_autofree char *name = g_strconcat ("canvas.", g_action_get_name (G_ACTION (action)), NULL);
  gtk_widget_activate_action (GTK_WIDGET (app_panels_room_canvas (APP_PANELS_ROOM (self->panels))), name,
                              NULL);
}

static void
on_sheets_action (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  app_window_show_room (self, "sheets");
  g_autofree char *name = g_strconcat ("sheets.", g_action_get_name (G_ACTION (action)), NULL);
  gtk_widget_activate_action (self->sheets, name, NULL);
}

static void
on_next_place (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  app_window_show_room (self, "panels");
  app_joins_pane_step (app_panels_room_joins (APP_PANELS_ROOM (self->panels)), 1);
}

static void
on_last_place (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  app_window_show_room (self, "panels");
  app_joins_pane_step (app_panels_room_joins (APP_PANELS_ROOM (self->panels)), -1);
}

static void
on_mirror (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  app_panels_room_toggle_mirror (APP_PANELS_ROOM (APP_WINDOW (user)->panels));
}

static void
change_comb (GSimpleAction *action, GVariant *value, gpointer user)
{
  g_simple_action_set_state (action, value);
  if (app_settings () != NULL)
    g_settings_set_boolean (app_settings (), "comb", g_variant_get_boolean (value));
  app_canvas_set_comb (app_panels_room_canvas (APP_PANELS_ROOM (APP_WINDOW (user)->panels)),
                       g_variant_get_boolean (value));
}

/* From the dome's card: what to do, where its top is, the angle. */
static void
on_relief (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  guint deed;
  GeomPoint apex;
  double deg;
  g_variant_get (parameter, "(uddd)", &deed, &apex.x, &apex.y, &deg);
  if (self->session == NULL || deed > APP_RELIEF_FORM)
    return;
  app_window_show_room (self, "panels");
  app_relief_begin (app_panels_room_canvas (APP_PANELS_ROOM (self->panels)), (AppReliefDeed)deed, apex, deg);
}

/* The chosen tape goes. */
static void
on_remove_tape (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppCanvas *canvas = app_panels_room_canvas (APP_PANELS_ROOM (APP_WINDOW (user)->panels));
  gtk_widget_activate_action (GTK_WIDGET (canvas), "tape.remove", NULL);
}

static void
change_doming (GSimpleAction *action, GVariant *value, gpointer user)
{
  g_simple_action_set_state (action, value);
  app_canvas_set_doming (app_panels_room_canvas (APP_PANELS_ROOM (APP_WINDOW (user)->panels)),
                         g_variant_get_boolean (value));
}

static void
on_fullscreen (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  if (gtk_window_is_fullscreen (GTK_WINDOW (user)))
    gtk_window_unfullscreen (GTK_WINDOW (user));
  else
    gtk_window_fullscreen (GTK_WINDOW (user));
}

static void
on_hide_message (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  app_window_hide_message (user);
}

static void
on_details (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  gtk_widget_set_visible (self->revision_button, TRUE);
  gtk_menu_button_popup (GTK_MENU_BUTTON (self->revision_button));
}

/* The action's name is the pane's; asked for again, it closes. */
static void
on_aside (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  AppAside *aside = app_panels_room_aside (APP_PANELS_ROOM (self->panels));
  const char *which = g_action_get_name (G_ACTION (action));
  bool there = gtk_stack_get_visible_child (GTK_STACK (self->stack)) == self->panels;
  gtk_popover_popdown (GTK_POPOVER (self->details));
  app_window_show_room (self, "panels");
  app_aside_show (aside, there && g_strcmp0 (app_aside_shown (aside), which) == 0 ? NULL : which);
}

/* From a panel or an edge: the pane is wanted, and stays if it is there. */
static void
on_fit_note (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  app_window_show_room (self, "panels");
  app_aside_show (app_panels_room_aside (APP_PANELS_ROOM (self->panels)), "fitting");
}

/* From the body room: the line on its panels. */
static void
on_show_line (GSimpleAction *action, GVariant *parameter, gpointer user)
{
  AppWindow *self = user;
  if (self->session == NULL)
    return;
  guint id = g_variant_get_uint32 (parameter);
  const EngineLineReading *reading = engine_review_line (app_session_review (self->session), id);
  GeomBox box = geom_box_empty ();
  for (guint i = 0; reading != NULL && i < reading->spans->len; i++)
  {
    const EngineSpanReading *span = &g_array_index (reading->spans, EngineSpanReading, i);
    box = geom_box_with_point (geom_box_with_point (box, span->a), span->b);
  }
  app_window_show_room (self, "panels");
  app_session_select_line (self->session, id);
  if (!geom_box_is_empty (box))
    app_canvas_show_box (app_panels_room_canvas (APP_PANELS_ROOM (self->panels)), geom_box_grown (box, 40.0));
}

/* ---- title, wearer, revision ---- */

static void
fill_details (AppWindow *self)
{
  if (self->session == NULL)
    return;
  const ModelHead *head = app_session_document (self->session)->head;
  gtk_editable_set_text (GTK_EDITABLE (self->title_entry), head->title);
  gtk_editable_set_text (GTK_EDITABLE (self->wearer_entry), head->wearer);
  gtk_editable_set_text (GTK_EDITABLE (self->revision_entry), head->revision);
  gtk_editable_set_text (GTK_EDITABLE (self->note_entry), head->note);
}

static bool
set_word (char **where, GtkWidget *entry)
{
  const char *text = gtk_editable_get_text (GTK_EDITABLE (entry));
  if (strcmp (*where, text) == 0)
    return false;
  g_free (*where);
  *where = g_strdup (text);
  return true;
}

static void
take_details (AppWindow *self)
{
  if (self->session == NULL)
    return;
  g_autoptr (ModelHead) head = model_head_copy (app_session_document (self->session)->head);
  bool changed = set_word (&head->title, self->title_entry);
  changed |= set_word (&head->wearer, self->wearer_entry);
  changed |= set_word (&head->note, self->note_entry);
  if (set_word (&head->revision, self->revision_entry))
  {
    changed = true;
    g_autoptr (GDateTime) now = g_date_time_new_now_local ();
    g_free (head->revision_date);
    head->revision_date = g_date_time_format (now, "%Y-%m-%d");
  }
  if (!changed)
    return;
  ModelHistory *history = app_session_history (self->session);
  model_history_begin (history, _ ("Change title or revision"));
  model_history_put_head (history, g_steal_pointer (&head));
  model_history_end (history);
}

static void
on_details_visible (AppWindow *self)
{
  if (gtk_widget_get_visible (self->details))
    fill_details (self);
  else
  {
    take_details (self);
    app_window_show_parts (self);
  }
}

/* ---- life ---- */

static const GActionEntry entries[] = {
  { .name = "undo", .activate = on_undo },
  { .name = "redo", .activate = on_redo },
  { .name = "room", .parameter_type = "s", .state = "'panels'", .change_state = change_room },
  { .name = "tool", .parameter_type = "s", .state = "'choose'", .change_state = change_tool },
  { .name = "zoom-in", .activate = on_canvas_action },
  { .name = "zoom-out", .activate = on_canvas_action },
  { .name = "zoom-fit", .activate = on_canvas_action },
  { .name = "zoom-true", .activate = on_canvas_action },
  { .name = "next-place", .activate = on_next_place },
  { .name = "last-place", .activate = on_last_place },
  { .name = "details", .activate = on_details },
  { .name = "revisions", .activate = on_aside },
  { .name = "fitting", .activate = on_aside },
  { .name = "panel-list", .activate = on_aside },
  { .name = "refit", .activate = on_aside },
  { .name = "show-line", .parameter_type = "u", .activate = on_show_line },
  { .name = "fit-note", .activate = on_fit_note },
  { .name = "print", .activate = on_sheets_action },
  { .name = "save-pdf", .activate = on_sheets_action },
  { .name = "cut-file", .activate = on_sheets_action },
  { .name = "mirror", .activate = on_mirror },
  { .name = "comb", .state = "false", .change_state = change_comb },
  { .name = "doming", .state = "false", .change_state = change_doming },
  { .name = "remove-tape", .activate = on_remove_tape },
  { .name = "relief", .parameter_type = "(uddd)", .activate = on_relief },
  { .name = "fullscreen", .activate = on_fullscreen },
  { .name = "hide-message", .activate = on_hide_message },
};

void
app_window_commands_init (AppWindow *self)
{
  g_action_map_add_action_entries (G_ACTION_MAP (self), entries, G_N_ELEMENTS (entries), self);
  g_simple_action_set_state (G_SIMPLE_ACTION (g_action_map_lookup_action (G_ACTION_MAP (self), "comb")),
                             g_variant_new_boolean (app_settings_flag ("comb", false)));
  g_signal_connect_swapped (self->panels, "tool-changed", G_CALLBACK (on_tool_changed), self);
  g_signal_connect_swapped (self->details, "notify::visible", G_CALLBACK (on_details_visible), self);
  GtkWidget *const fields[]
    = { self->title_entry, self->wearer_entry, self->revision_entry, self->note_entry };
  for (guint i = 0; i < G_N_ELEMENTS (fields); i++)
    g_signal_connect_swapped (fields[i], "activate", G_CALLBACK (take_details), self);
}
