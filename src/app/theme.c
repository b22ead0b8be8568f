/* Paper and slate are two sets of named colours under one set of rules, so switching is the exchange of one
 * provider.
 *
 * GTK 4.8 has no colour-scheme query of its own: the desktop's wish is asked of the settings portal, and
 * where there is none, read from the name of the GTK theme.
 */
#include "app/theme.h"

#include <math.h>
#include <string.h>

#define RESOURCE_CSS "/net/panelwright/Panelwright/css/"
#define THEME_DATA "app-theme"
#define PORTAL_NAMESPACE "org.freedesktop.appearance"
#define PORTAL_KEY "color-scheme"
#define PORTAL_CONTRAST_KEY "contrast"
/* Lines of a strong theme are this much heavier. */
#define STRONG_LINES 1.35
#define DESIGN_DPI 96.0
/* Larger text than this no longer fits the rules and marks; the widgets' text follows the desktop anyway. */
#define MOST_TEXT_SCALE 2.0

typedef struct Theme
{
  GdkDisplay *display; /* borrowed: the theme hangs on it */
  GtkCssProvider *rules, *colours;
  GDBusProxy *portal;
  GCancellable *cancel;
  AppThemeChoice choice;
  bool system_dark, system_strong, slate, strong, shown;
  double text_scale;
  guint serial;
  bool tones_known;
  OutputColour tones[OUTPUT_TONE_COUNT];
} Theme;

static const char *const tone_names[OUTPUT_TONE_COUNT] = {
  [OUTPUT_TONE_CANVAS] = "pw_canvas",
  [OUTPUT_TONE_CARD] = "pw_card",
  [OUTPUT_TONE_FACE] = "pw_face",
  [OUTPUT_TONE_LINE] = "pw_line",
  [OUTPUT_TONE_GRID] = "pw_grid",
  [OUTPUT_TONE_GRID_BOLD] = "pw_grid2",
  [OUTPUT_TONE_INK] = "pw_ink",
  [OUTPUT_TONE_INK_2] = "pw_ink2",
  [OUTPUT_TONE_INK_3] = "pw_ink3",
  [OUTPUT_TONE_TRACE] = "pw_trace",
  [OUTPUT_TONE_BLUE] = "pw_blue",
  [OUTPUT_TONE_OCHRE] = "pw_ochre",
  [OUTPUT_TONE_MADDER] = "pw_madder",
  [OUTPUT_TONE_PLUM] = "pw_plum",
  [OUTPUT_TONE_VERDIGRIS] = "pw_verdigris",
  [OUTPUT_TONE_MOSS] = "pw_moss",
  [OUTPUT_TONE_BLUE_SOFT] = "pw_blue_soft",
  [OUTPUT_TONE_OCHRE_SOFT] = "pw_ochre_soft",
  [OUTPUT_TONE_MADDER_SOFT] = "pw_madder_soft",
  [OUTPUT_TONE_PLUM_SOFT] = "pw_plum_soft",
  [OUTPUT_TONE_VERDIGRIS_SOFT] = "pw_verdigris_soft",
  [OUTPUT_TONE_STEEL] = "pw_steel",
  [OUTPUT_TONE_STEEL_2] = "pw_steel2",
};

static void
theme_free (gpointer data)
{
  Theme *theme = data;
  g_signal_handlers_disconnect_by_data (gtk_settings_get_for_display (theme->display), theme);
  g_cancellable_cancel (theme->cancel);
  g_clear_object (&theme->cancel);
  if (theme->portal != NULL)
    g_signal_handlers_disconnect_by_data (theme->portal, theme);
  g_clear_object (&theme->portal);
  g_clear_object (&theme->rules);
  g_clear_object (&theme->colours);
  g_free (theme);
}

static Theme *
theme_of_display (void)
{
  GdkDisplay *display = gdk_display_get_default ();
  return display != NULL ? g_object_get_data (G_OBJECT (display), THEME_DATA) : NULL;
}

static void
read_tones (Theme *theme)
{
  const OutputColour *fallback = output_ink_tones (theme->slate);
  /* Any widget's context reaches the display's providers. */
  GtkWidget *probe = g_object_ref_sink (gtk_label_new (NULL));
  GtkStyleContext *context = gtk_widget_get_style_context (probe);
  for (int i = 0; i < OUTPUT_TONE_COUNT; i++)
  {
    GdkRGBA rgba;
    theme->tones[i] = gtk_style_context_lookup_color (context, tone_names[i], &rgba)
                        ? (OutputColour) { rgba.red, rgba.green, rgba.blue, rgba.alpha }
                        : fallback[i];
  }
  g_object_unref (probe);
  theme->tones_known = true;
}

static void
queue_draw_all (void)
{
  GListModel *tops = gtk_window_get_toplevels ();
  for (guint i = 0; i < g_list_model_get_n_items (tops); i++)
  {
    g_autoptr (GtkWidget) top = g_list_model_get_item (tops, i);
    gtk_widget_queue_draw (top);
  }
}

static double
text_scale_now (GdkDisplay *display)
{
  int dpi = 0; /* in 1024ths; -1 or 0: not said */
  g_object_get (gtk_settings_get_for_display (display), "gtk-xft-dpi", &dpi, NULL);
  return dpi > 0 ? CLAMP (dpi / 1024.0 / DESIGN_DPI, 0.5, MOST_TEXT_SCALE) : 1.0;
}

static void
show_choice (Theme *theme)
{
  bool slate = theme->choice == APP_THEME_SLATE || (theme->choice == APP_THEME_SYSTEM && theme->system_dark);
  double text_scale = text_scale_now (theme->display);
  bool same_text = fabs (text_scale - theme->text_scale) < 1e-9;
  if (theme->shown && slate == theme->slate && theme->strong == theme->system_strong && same_text)
    return;
  theme->slate = slate;
  theme->strong = theme->system_strong;
  theme->text_scale = text_scale;
  theme->shown = true;
  theme->tones_known = false;
  theme->serial++;
  static const char *const sheets[2][2]
    = { { "paper.css", "paper-strong.css" }, { "slate.css", "slate-strong.css" } };
  g_autofree char *path = g_strconcat (RESOURCE_CSS, sheets[slate][theme->strong], NULL);
  gtk_css_provider_load_from_resource (theme->colours, path);
  /* Menus, file choosers and the like come from the stock style; they take the matching ground. */
  g_object_set (gtk_settings_get_for_display (theme->display), "gtk-application-prefer-dark-theme", slate,
                NULL);
  /* Whoever draws by hand listens to this one for whatever has changed. */
  g_object_notify (G_OBJECT (gtk_settings_get_for_display (theme->display)),
                   "gtk-application-prefer-dark-theme");
  queue_draw_all ();
}

/* The portal says 1 for "prefers dark" and for "prefers more contrast", wrapped in one variant or two. */
static void
take_portal_value (Theme *theme, bool *wish, GVariant *value)
{
  g_autoptr (GVariant) inner = g_variant_ref (value);
  while (g_variant_is_of_type (inner, G_VARIANT_TYPE_VARIANT))
  {
    GVariant *next = g_variant_get_variant (inner);
    g_variant_unref (inner);
    inner = next;
  }
  if (!g_variant_is_of_type (inner, G_VARIANT_TYPE_UINT32))
    return;
  *wish = g_variant_get_uint32 (inner) == 1;
  show_choice (theme);
}

static void
on_portal_signal (GDBusProxy *proxy, const char *sender, const char *signal, GVariant *args, Theme *theme)
{
  if (strcmp (signal, "SettingChanged") != 0 || !g_variant_is_of_type (args, G_VARIANT_TYPE ("(ssv)")))
    return;
  const char *space, *key;
  g_autoptr (GVariant) value = NULL;
  g_variant_get (args, "(&s&sv)", &space, &key, &value);
  if (strcmp (space, PORTAL_NAMESPACE) != 0)
    return;
  if (strcmp (key, PORTAL_KEY) == 0)
    take_portal_value (theme, &theme->system_dark, value);
  else if (strcmp (key, PORTAL_CONTRAST_KEY) == 0)
    take_portal_value (theme, &theme->system_strong, value);
}

/* What a portal answered; NULL: it does not know, there is none, or the theme may be gone. */
static GVariant *
portal_answer (GObject *source, GAsyncResult *result)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GVariant) reply = g_dbus_proxy_call_finish (G_DBUS_PROXY (source), result, &error);
  return reply != NULL ? g_variant_get_child_value (reply, 0) : NULL;
}

static void
on_dark_read (GObject *source, GAsyncResult *result, gpointer user)
{
  g_autoptr (GVariant) value = portal_answer (source, result);
  Theme *theme = user;
  if (value != NULL)
    take_portal_value (theme, &theme->system_dark, value);
}

static void
on_contrast_read (GObject *source, GAsyncResult *result, gpointer user)
{
  g_autoptr (GVariant) value = portal_answer (source, result);
  Theme *theme = user;
  if (value != NULL)
    take_portal_value (theme, &theme->system_strong, value);
}

static void
on_portal_ready (GObject *source, GAsyncResult *result, gpointer user)
{
  g_autoptr (GError) error = NULL;
  GDBusProxy *proxy = g_dbus_proxy_new_for_bus_finish (result, &error);
  if (proxy == NULL)
    return;
  Theme *theme = user;
  theme->portal = proxy;
  g_signal_connect (proxy, "g-signal", G_CALLBACK (on_portal_signal), theme);
  g_dbus_proxy_call (proxy, "Read", g_variant_new ("(ss)", PORTAL_NAMESPACE, PORTAL_KEY),
                     G_DBUS_CALL_FLAGS_NONE, 1000, theme->cancel, on_dark_read, theme);
  g_dbus_proxy_call (proxy, "Read", g_variant_new ("(ss)", PORTAL_NAMESPACE, PORTAL_CONTRAST_KEY),
                     G_DBUS_CALL_FLAGS_NONE, 1000, theme->cancel, on_contrast_read, theme);
}

/* Names of themes for high contrast: GTK's own and the usual ones of desktops. */
static bool
names_strong (const char *name)
{
  return name != NULL
         && (strstr (name, "HighContrast") != NULL || strstr (name, "-hc") != NULL
             || strstr (name, ":hc") != NULL);
}

static void
on_desktop_changed (Theme *theme)
{
  show_choice (theme);
}

static void
on_theme_name (GtkSettings *settings, GParamSpec *spec, Theme *theme)
{
  g_autofree char *name = NULL;
  g_object_get (settings, "gtk-theme-name", &name, NULL);
  theme->system_strong = names_strong (name);
  show_choice (theme);
}

static Theme *
theme_new (GdkDisplay *display)
{
  Theme *theme = g_new0 (Theme, 1);
  theme->display = display;
  theme->cancel = g_cancellable_new ();
  theme->rules = gtk_css_provider_new ();
  theme->colours = gtk_css_provider_new ();
  gtk_css_provider_load_from_resource (theme->rules, RESOURCE_CSS "panelwright.css");
  gtk_style_context_add_provider_for_display (display, GTK_STYLE_PROVIDER (theme->rules),
                                              GTK_STYLE_PROVIDER_PRIORITY_APPLICATION);
  gtk_style_context_add_provider_for_display (display, GTK_STYLE_PROVIDER (theme->colours),
                                              GTK_STYLE_PROVIDER_PRIORITY_APPLICATION);

  g_autofree char *name = NULL;
  gboolean prefers = FALSE;
  g_object_get (gtk_settings_get_for_display (display), "gtk-theme-name", &name,
                "gtk-application-prefer-dark-theme", &prefers, NULL);
  const char *forced = g_getenv ("GTK_THEME");
  theme->system_dark
    = prefers || (name != NULL && g_str_has_suffix (name, "-dark"))
      || (forced != NULL && (g_str_has_suffix (forced, ":dark") || g_str_has_suffix (forced, "-dark")));
  theme->system_strong = names_strong (name) || names_strong (forced);
  g_signal_connect_swapped (gtk_settings_get_for_display (display), "notify::gtk-xft-dpi",
                            G_CALLBACK (on_desktop_changed), theme);
  if (forced == NULL)
    g_signal_connect (gtk_settings_get_for_display (display), "notify::gtk-theme-name",
                      G_CALLBACK (on_theme_name), theme);
  if (forced == NULL)
    g_dbus_proxy_new_for_bus (G_BUS_TYPE_SESSION, G_DBUS_PROXY_FLAGS_DO_NOT_LOAD_PROPERTIES, NULL,
                              "org.freedesktop.portal.Desktop", "/org/freedesktop/portal/desktop",
                              "org.freedesktop.portal.Settings", theme->cancel, on_portal_ready, theme);
  g_object_set_data_full (G_OBJECT (display), THEME_DATA, theme, theme_free);
  return theme;
}

void
app_theme_apply (GdkDisplay *display, AppThemeChoice choice)
{
  g_return_if_fail (GDK_IS_DISPLAY (display));
  Theme *theme = g_object_get_data (G_OBJECT (display), THEME_DATA);
  if (theme == NULL)
    theme = theme_new (display);
  theme->choice = choice;
  show_choice (theme);
}

bool
app_theme_is_slate (void)
{
  const Theme *theme = theme_of_display ();
  return theme != NULL && theme->slate;
}

bool
app_theme_is_strong (void)
{
  const Theme *theme = theme_of_display ();
  return theme != NULL && theme->strong;
}

double
app_theme_text_scale (void)
{
  const Theme *theme = theme_of_display ();
  return theme != NULL ? theme->text_scale : 1.0;
}

guint
app_theme_serial (void)
{
  const Theme *theme = theme_of_display ();
  return theme != NULL ? theme->serial : 0;
}

void
app_theme_ink (OutputInk *ink, double percent)
{
  output_ink_screen (ink, percent, app_theme_is_slate (), app_theme_tones ());
  output_ink_strengthen (ink, app_theme_is_strong () ? STRONG_LINES : 1.0, app_theme_text_scale ());
}

const OutputColour *
app_theme_tones (void)
{
  Theme *theme = theme_of_display ();
  if (theme == NULL)
    return output_ink_tones (false);
  if (!theme->tones_known)
    read_tones (theme);
  return theme->tones;
}
