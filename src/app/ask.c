/* The entry is number-entry's; each change of its text makes the ghost anew.  Up and Down change the figure,
 * so that an opening can be found by looking.
 */
#include "app/ask.h"

#include "app/number-entry.h"

#include <glib/gi18n.h>

#define COARSE 10.0
#define FINE 0.1

typedef struct Ask
{
  AppCanvas *canvas;
  const AppAskClass *klass;
  char *hint;
  gpointer user;
  const EngineRemedy *ghost; /* as the session shows it; NULL: none */
  bool answered;
} Ask;

static void
ask_free (gpointer data)
{
  Ask *ask = data;
  g_free (ask->hint);
  g_free (ask->user);
  g_free (ask);
}

static Ask *
open_ask (AppCanvas *canvas)
{
  return canvas->popover != NULL ? g_object_get_data (G_OBJECT (canvas->popover), "ask") : NULL;
}

bool
app_ask_is_open (AppCanvas *canvas)
{
  return open_ask (canvas) != NULL;
}

void
app_ask_draw (AppCanvas *canvas, cairo_t *cr)
{
  Ask *ask = open_ask (canvas);
  if (ask != NULL && ask->ghost != NULL && ask->klass->draw != NULL && canvas->session != NULL)
    ask->klass->draw (canvas, cr, ask->user);
}

static void
show (Ask *ask, const char *text)
{
  AppCanvas *canvas = ask->canvas;
  g_autofree char *why = NULL;
  if (canvas->session == NULL)
    return;
  EngineRemedy *ghost = ask->klass->ghost (canvas, text, ask->user, &why);
  ask->ghost = ghost;
  app_session_preview (canvas->session, ghost);
  app_canvas_say (canvas, why != NULL ? why : ask->hint);
  app_canvas_redraw (canvas);
}

static bool
text_taken (AppCanvas *canvas, const char *text, gpointer user)
{
  Ask *ask = open_ask (canvas);
  if (ask == NULL || canvas->session == NULL)
    return true;
  app_session_preview (canvas->session, NULL);
  ask->ghost = NULL;
  ask->answered = ask->klass->take (canvas, text, ask->user);
  app_canvas_redraw (canvas);
  return ask->answered;
}

static void
on_typed (GtkEditable *field, Ask *ask)
{
  if (open_ask (ask->canvas) == ask)
    show (ask, gtk_editable_get_text (field));
}

static gboolean
on_key (GtkEventControllerKey *keys, guint keyval, guint code, GdkModifierType state, Ask *ask)
{
  bool up = keyval == GDK_KEY_Up || keyval == GDK_KEY_KP_Up,
       down = keyval == GDK_KEY_Down || keyval == GDK_KEY_KP_Down;
  GtkWidget *field = gtk_event_controller_get_widget (GTK_EVENT_CONTROLLER (keys));
  if (!(up || down) || ask->klass->step == NULL || open_ask (ask->canvas) != ask)
    return GDK_EVENT_PROPAGATE;
  double by = (state & GDK_SHIFT_MASK) != 0 ? COARSE : (state & GDK_ALT_MASK) != 0 ? FINE : 1.0;
  g_autofree char *text
    = ask->klass->step (ask->canvas, gtk_editable_get_text (GTK_EDITABLE (field)), up ? by : -by, ask->user);
  if (text != NULL)
  {
    gtk_editable_set_text (GTK_EDITABLE (field), text);
    gtk_editable_set_position (GTK_EDITABLE (field), -1);
  }
  return GDK_EVENT_STOP;
}

/* Left without an answer: nothing has happened.  After an answer what was said stands; and a preview that
 * somebody else has begun meanwhile is not ours to end. */
static void
on_closed (GtkPopover *popover, Ask *ask)
{
  AppCanvas *canvas = ask->canvas;
  if (!ask->answered && canvas->session != NULL)
  {
    if (ask->ghost != NULL && app_session_previewed (canvas->session) == ask->ghost)
      app_session_preview (canvas->session, NULL);
    app_canvas_say (canvas, NULL);
  }
  ask->ghost = NULL;
  app_canvas_redraw (canvas);
}

void
app_ask_open (AppCanvas *canvas,
              const AppAskClass *klass,
              double x,
              double y,
              const char *title,
              const char *text,
              const char *hint,
              gpointer user)
{
  Ask *ask = g_new0 (Ask, 1);
  *ask = (Ask) { .canvas = canvas, .klass = klass, .hint = g_strdup (hint), .user = user };
  app_text_entry_open (canvas, x, y, title, text, text_taken, NULL);
  GtkWidget *field = app_number_entry_field (canvas);
  GtkEventController *keys = gtk_event_controller_key_new ();
  g_object_set_data_full (G_OBJECT (canvas->popover), "ask", ask, ask_free);
  gtk_event_controller_set_propagation_phase (keys, GTK_PHASE_CAPTURE);
  g_signal_connect (keys, "key-pressed", G_CALLBACK (on_key), ask);
  gtk_widget_add_controller (field, keys);
  g_signal_connect (field, "changed", G_CALLBACK (on_typed), ask);
  g_signal_connect (canvas->popover, "closed", G_CALLBACK (on_closed), ask);
  show (ask, text);
}
