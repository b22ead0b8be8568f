/* Paper or slate: loads the CSS and gives the canvas the same colours.
 */
#ifndef APP_THEME_H
#define APP_THEME_H

#include "output/ink.h"

#include <gtk/gtk.h>

typedef enum AppThemeChoice
{
  APP_THEME_SYSTEM, /* follows the desktop's dark preference */
  APP_THEME_PAPER,
  APP_THEME_SLATE
} AppThemeChoice;

/* Installs the providers for DISPLAY; later calls switch. */
void app_theme_apply (GdkDisplay *display, AppThemeChoice choice);
bool app_theme_is_slate (void);
/* OUTPUT_TONE_COUNT colours as the CSS now has them. */
const OutputColour *app_theme_tones (void);

#endif
