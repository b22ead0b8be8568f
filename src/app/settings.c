/* Settings are conveniences: a missing schema must not keep anyone from opening a document, so every question
 * has a default. */
#include "app/settings.h"

#include "panelwright-config.h"

#include <langinfo.h>
#include <string.h>

static gpointer
make_settings (gpointer unused)
{
  GSettingsSchemaSource *source = g_settings_schema_source_get_default ();
  g_autoptr (GSettingsSchema) schema
    = source != NULL ? g_settings_schema_source_lookup (source, PW_APP_ID, TRUE) : NULL;
  return schema != NULL ? g_settings_new_full (schema, NULL, NULL) : NULL;
}

GSettings *
app_settings (void)
{
  static GOnce once = G_ONCE_INIT;
  return g_once (&once, make_settings, NULL);
}

/* glibc: 1 is metric, 2 is US customary. */
static bool
locale_is_inch (void)
{
  const char *measurement = nl_langinfo (_NL_MEASUREMENT_MEASUREMENT);
  return measurement != NULL && measurement[0] == 2;
}

/* A Letter sheet is 279 mm high; glibc knows each locale's. */
static bool
locale_is_letter (void)
{
  union
  {
    const char *text;
    int word;
  } height = { .text = nl_langinfo (_NL_PAPER_HEIGHT) };
  return height.word == 279;
}

ModelUnit
app_settings_unit (void)
{
  g_autofree char *key = app_settings () != NULL ? g_settings_get_string (app_settings (), "unit") : NULL;
  if (key != NULL)
    for (int unit = MODEL_UNIT_MM; unit <= MODEL_UNIT_INCH; unit++)
      if (strcmp (key, model_unit_key ((ModelUnit)unit)) == 0)
        return (ModelUnit)unit;
  return locale_is_inch () ? MODEL_UNIT_INCH : MODEL_UNIT_MM;
}

void
app_settings_set_unit (ModelUnit unit)
{
  if (app_settings () != NULL)
    g_settings_set_string (app_settings (), "unit", model_unit_key (unit));
}

char *
app_settings_paper (void)
{
  g_autofree char *paper = app_settings () != NULL ? g_settings_get_string (app_settings (), "paper") : NULL;
  if (paper != NULL && strcmp (paper, "auto") != 0 && paper[0] != '\0')
    return g_steal_pointer (&paper);
  return g_strdup (locale_is_letter () ? "letter" : "a4");
}

bool
app_settings_flag (const char *key, bool fallback)
{
  return app_settings () != NULL ? g_settings_get_boolean (app_settings (), key) : fallback;
}

int
app_settings_number (const char *key, int fallback)
{
  return app_settings () != NULL ? g_settings_get_int (app_settings (), key) : fallback;
}

void
app_settings_set_number (const char *key, int value)
{
  if (app_settings () != NULL)
    g_settings_set_int (app_settings (), key, value);
}

AppThemeChoice
app_settings_theme (void)
{
  g_autofree char *key = app_settings () != NULL ? g_settings_get_string (app_settings (), "theme") : NULL;
  if (g_strcmp0 (key, "paper") == 0)
    return APP_THEME_PAPER;
  return g_strcmp0 (key, "slate") == 0 ? APP_THEME_SLATE : APP_THEME_SYSTEM;
}

char *
app_settings_photo_sheet (void)
{
  return app_settings () != NULL ? g_settings_get_string (app_settings (), "photo-sheet") : g_strdup ("");
}

void
app_settings_set_photo_sheet (const char *sheet)
{
  if (app_settings () != NULL)
    g_settings_set_string (app_settings (), "photo-sheet", sheet);
}

GFile *
app_settings_folder (void)
{
  g_autofree char *uri
    = app_settings () != NULL ? g_settings_get_string (app_settings (), "last-folder") : NULL;
  return uri != NULL && uri[0] != '\0' ? g_file_new_for_uri (uri) : NULL;
}

void
app_settings_set_folder (GFile *folder)
{
  if (app_settings () == NULL || folder == NULL)
    return;
  g_autofree char *uri = g_file_get_uri (folder);
  g_settings_set_string (app_settings (), "last-folder", uri);
}
