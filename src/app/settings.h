/* The maker's settings, with sound answers where no schema is installed. */
#ifndef APP_SETTINGS_H
#define APP_SETTINGS_H

#include "app/theme.h"
#include "model/unit.h"

#include <gio/gio.h>

/* NULL when the schema is not installed: then nothing is remembered, and the questions below give their
 * defaults.  One for the whole program, borrowed. */
GSettings *app_settings (void);

/* For new documents.  "auto" means by the locale's measurement. */
ModelUnit app_settings_unit (void);
void app_settings_set_unit (ModelUnit unit);
/* For new documents: "a4" or "letter" by the locale unless chosen.  Free it. */
char *app_settings_paper (void);
bool app_settings_flag (const char *key, bool fallback);
int app_settings_number (const char *key, int fallback);
void app_settings_set_number (const char *key, int value);
AppThemeChoice app_settings_theme (void);
/* The sheet that pieces were last photographed on, as in app/photo-private.h; "": none yet.  Free it. */
char *app_settings_photo_sheet (void);
void app_settings_set_photo_sheet (const char *sheet);
/* NULL when there is none.  Free it. */
GFile *app_settings_folder (void);
void app_settings_set_folder (GFile *folder);

#endif
