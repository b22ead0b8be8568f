/* Paper or slate, plain or strong: loads the CSS and gives the canvas the same colours.
 *
 * Strong is for those whose desktop asks for high contrast; text grows with the desktop's text size.
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
bool app_theme_is_strong (void);
/* 1 as designed, more where the desktop's text is larger. */
double app_theme_text_scale (void);
/* Counts the changes of all this: what was drawn under another number is drawn anew. */
guint app_theme_serial (void);
/* The ink of the screen at PERCENT of true size, as the theme now is. */
void app_theme_ink (OutputInk *ink, double percent);
/* OUTPUT_TONE_COUNT colours as the CSS now has them. */
const OutputColour *app_theme_tones (void);

#endif
