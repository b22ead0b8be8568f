/* While a tool that has hints is in hand, a slow clock looks whether what is begun grew since it last looked;
 * no other tool costs anything. */
#include "app/hints.h"

#include "app/canvas-private.h"
#include "app/label.h"
#include "app/settings.h"

#include <glib/gi18n.h>

#define PATIENCE_MS 7000
#define LOOKS 4 /* in that time */

typedef struct Hint
{
  const char *key; /* in the settings */
  AppToolKind tool;
  guint least, most; /* of what is begun */
  const char *words;
} Hint;

static const Hint hints[] = {
  { "outline-start", APP_TOOL_OUTLINE, 0, 0,
    N_ ("Click where the first corner goes, then go round the panel. Press and drag where the edge is to "
        "bend. Escape, then F3, goes back to Choose.") },
  { "outline-grow", APP_TOOL_OUTLINE, 1, 1,
    N_ ("Go on to the next corner. Type a figure to set its distance exactly; Backspace takes the last "
        "corner back.") },
  { "outline-close", APP_TOOL_OUTLINE, 2, G_MAXUINT,
    N_ ("It becomes a panel once it is closed: click the first corner again, or press Enter.") },
  { "stroke-start", APP_TOOL_STROKE, 0, 0,
    N_ ("Press and draw in one go; come back to where you began and it becomes a panel. Drawn along an edge, "
        "it redraws that part.") },
  { "join-start", APP_TOOL_JOIN, 0, 0,
    N_ ("Click one of the two edges that meet. Several edges in a row make one run.") },
  { "join-second", APP_TOOL_JOIN, 1, 1,
    N_ ("Now click the edge it meets, on the other panel. Escape lets the first one go.") },
};

struct _AppHints
{
  GtkWidget parent;
  AppCanvas *canvas; /* outlives this */
  GtkWidget *label;
  guint timer, patience_ms, quiet, begun;
  const Hint *shown;
  GHashTable *counts; /* key -> times; the settings may not be installed */
};

G_DEFINE_FINAL_TYPE (AppHints, app_hints, GTK_TYPE_WIDGET)

static guint
begun_now (AppHints *self)
{
  const AppTool *tool = self->canvas->tool;
  return tool != NULL && tool->klass->begun != NULL ? tool->klass->begun (tool) : 0;
}

/* ---- how often ---- */

static int
times_shown (AppHints *self, const Hint *hint)
{
  int times = GPOINTER_TO_INT (g_hash_table_lookup (self->counts, hint->key)), kept = 0;
  if (app_settings () == NULL)
    return times;
  g_autoptr (GVariant) all = g_settings_get_value (app_settings (), "hints-shown");
  g_variant_lookup (all, hint->key, "i", &kept);
  return MAX (times, kept);
}

static void
count_shown (AppHints *self, const Hint *hint)
{
  int times = times_shown (self, hint) + 1;
  g_hash_table_insert (self->counts, (gpointer)hint->key, GINT_TO_POINTER (times));
  if (app_settings () == NULL)
    return;
  g_autoptr (GVariant) all = g_settings_get_value (app_settings (), "hints-shown");
  g_auto (GVariantBuilder) builder = G_VARIANT_BUILDER_INIT (G_VARIANT_TYPE ("a{si}"));
  GVariantIter iter;
  const char *key;
  int kept;
  g_variant_iter_init (&iter, all);
  while (g_variant_iter_next (&iter, "{&si}", &key, &kept))
    if (!g_str_equal (key, hint->key))
      g_variant_builder_add (&builder, "{si}", key, kept);
  g_variant_builder_add (&builder, "{si}", hint->key, times);
  g_settings_set_value (app_settings (), "hints-shown", g_variant_builder_end (&builder));
}

/* ---- showing ---- */

static void
show (AppHints *self, const Hint *hint)
{
  if (self->shown == hint)
    return;
  self->shown = hint;
  gtk_widget_set_visible (GTK_WIDGET (self), hint != NULL);
  if (hint == NULL)
    return;
  app_label_set (self->label, _ (hint->words));
  app_canvas_items_tell (self->canvas, _ (hint->words));
  count_shown (self, hint);
}

static const Hint *
hint_for (AppHints *self)
{
  if (!app_settings_flag ("hints", true) || app_canvas_session (self->canvas) == NULL)
    return NULL;
  for (guint i = 0; i < G_N_ELEMENTS (hints); i++)
    if (hints[i].tool == app_canvas_tool (self->canvas) && self->begun >= hints[i].least
        && self->begun <= hints[i].most)
      return times_shown (self, &hints[i]) < APP_HINTS_MOST ? &hints[i] : NULL;
  return NULL;
}

static gboolean
look (gpointer user)
{
  AppHints *self = user;
  guint begun = begun_now (self);
  if (begun != self->begun || self->canvas->pressed || !gtk_widget_get_mapped (GTK_WIDGET (self->canvas)))
  {
    self->begun = begun;
    self->quiet = 0;
    show (self, NULL);
  }
  else if (++self->quiet == LOOKS)
    show (self, hint_for (self));
  return G_SOURCE_CONTINUE;
}

static void
start_over (AppHints *self)
{
  bool any = false;
  for (guint i = 0; i < G_N_ELEMENTS (hints); i++)
    any |= hints[i].tool == app_canvas_tool (self->canvas);
  g_clear_handle_id (&self->timer, g_source_remove);
  self->begun = begun_now (self);
  self->quiet = 0;
  show (self, NULL);
  if (any)
    self->timer = g_timeout_add (MAX (self->patience_ms / LOOKS, 1), look, self);
}

/* A step of the tool is told in the status line, at once and not with the next look. */
static void
on_status (AppHints *self)
{
  if (self->shown != NULL && begun_now (self) != self->begun)
    show (self, NULL);
}

const char *
app_hints_shown (AppHints *self)
{
  return self->shown != NULL ? self->shown->key : NULL;
}

void
app_hints_set_patience (AppHints *self, guint ms)
{
  self->patience_ms = ms;
  start_over (self);
}

/* ---- life ---- */

static void
app_hints_dispose (GObject *object)
{
  AppHints *self = APP_HINTS (object);
  g_clear_handle_id (&self->timer, g_source_remove);
  g_clear_pointer (&self->label, gtk_widget_unparent);
  g_clear_pointer (&self->counts, g_hash_table_unref);
  G_OBJECT_CLASS (app_hints_parent_class)->dispose (object);
}

static void
app_hints_class_init (AppHintsClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_hints_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
app_hints_init (AppHints *self)
{
  self->patience_ms = PATIENCE_MS;
  self->counts = g_hash_table_new (g_str_hash, g_str_equal);
  self->label = app_prose_new (NULL, "pw-hint");
  gtk_label_set_max_width_chars (GTK_LABEL (self->label), 64);
  gtk_widget_set_parent (self->label, GTK_WIDGET (self));
  gtk_widget_set_can_target (GTK_WIDGET (self), FALSE);
  gtk_widget_set_visible (GTK_WIDGET (self), FALSE);
}

GtkWidget *
app_hints_new (AppCanvas *canvas)
{
  AppHints *self = g_object_new (APP_TYPE_HINTS, NULL);
  self->canvas = canvas;
  g_signal_connect_object (canvas, "tool-changed", G_CALLBACK (start_over), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (canvas, "status-changed", G_CALLBACK (on_status), self, G_CONNECT_SWAPPED);
  return GTK_WIDGET (self);
}
