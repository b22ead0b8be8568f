/* The entry is number-entry's; each change of its text makes the ghost anew.  Up and Down change the figure,
 * so that an opening can be found by looking.
 */
#include "app/ask.h"

#include "app/number-entry.h"
#include "app/relief.h"

#include <math.h>

/* Between the entry and what is previewed, and between it and the paper's rim; the status line is lower. */
#define CLEAR_PX 12.0
#define RIM_PX 8.0
#define STATUS_PX 44.0
#define COARSE 10.0
#define FINE 0.1

typedef struct Ask
{
  AppCanvas *canvas;
  const AppAskClass *klass;
  char *hint;
  gpointer user;
  const EngineRemedy *ghost; /* as the session shows it; NULL: none */
  bool answered, placed;
  double x, y; /* where it was asked for, widget px */
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

/* ---- where the entry stands ---- */

/* Widget px; false: nothing is shown. */
static bool
find_ghost_box (const Ask *ask, GeomBox *out)
{
  GeomBox box = geom_box_empty ();
  for (guint i = 0; ask->ghost != NULL && i < ask->ghost->parts->len; i++)
  {
    const ModelPart *part = &g_array_index (ask->ghost->parts, ModelPart, i);
    if (part->kind != MODEL_PART_PANEL)
      continue;
    const ModelPanel *panel = part->body;
    for (int twin = 0; twin < (app_canvas_is_opened (panel) ? 2 : 1); twin++)
    {
      GeomPath path = { 0 };
      app_panel_side_path (panel, twin, &path);
      box = geom_box_union (box, geom_path_box (&path));
      geom_path_clear (&path);
    }
  }
  if (!(box.x1 >= box.x0))
    return false;
  app_canvas_to_widget (ask->canvas, geom_point (box.x0, box.y1), &out->x0, &out->y0);
  app_canvas_to_widget (ask->canvas, geom_point (box.x1, box.y0), &out->x1, &out->y1);
  return true;
}

/* Beside what is previewed, as near to X, Y as there is room; where the preview fills the view the entry
 * stays where it is. */
static void
keep_clear (Ask *ask)
{
  GtkWidget *widget = GTK_WIDGET (ask->canvas);
  GtkRequisition size;
  GeomBox box;
  double x = ask->x, y = ask->y;
  double width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget), best = INFINITY;
  if (ask->placed || !find_ghost_box (ask, &box))
    return;
  ask->placed = true;
  gtk_widget_get_preferred_size (ask->canvas->popover, NULL, &size);
  double half = size.width / 2.0, low = RIM_PX + half, high = width - RIM_PX - half,
         bottom = height - STATUS_PX - size.height;
  double middle_x = CLAMP (x, low, MAX (low, high)), middle_y = CLAMP (y, RIM_PX, MAX (RIM_PX, bottom));
  const GeomPoint places[] = {
    { middle_x, box.y1 + CLEAR_PX },
    { box.x1 + CLEAR_PX + half, middle_y },
    { box.x0 - CLEAR_PX - half, middle_y },
    { middle_x, box.y0 - CLEAR_PX - size.height },
  };
  for (guint i = 0; i < G_N_ELEMENTS (places); i++)
  {
    GeomPoint at = places[i];
    double away = hypot (at.x - x, at.y + size.height / 2.0 - y);
    if (at.x < low || at.x > high || at.y < RIM_PX || at.y > bottom || away >= best)
      continue;
    best = away;
    gtk_popover_set_pointing_to (GTK_POPOVER (ask->canvas->popover),
                                 &(GdkRectangle) { (int)at.x, (int)at.y, 1, 1 });
  }
}

/* ---- asking ---- */

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
  keep_clear (ask);
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
  *ask = (Ask) { .canvas = canvas, .klass = klass, .hint = g_strdup (hint), .user = user, .x = x, .y = y };
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
