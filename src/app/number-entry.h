/* A small entry near the pointer for one exact figure: a length to be typed, or any other short answer.
 */
#ifndef APP_NUMBER_ENTRY_H
#define APP_NUMBER_ENTRY_H

#include "app/canvas.h"

/* Return true when the figure could be used: the entry closes.  False: it stays, marked. */
typedef bool (*AppNumberTaken) (AppCanvas *canvas, double mm, gpointer user);
typedef bool (*AppTextTaken) (AppCanvas *canvas, const char *text, gpointer user);

/* At X, Y (widget px).  TITLE is shown before the entry and read aloud; TEXT is what stands in it, chosen
 * whole if SELECT.  USER is freed with g_free when the entry closes. */
void app_number_entry_open (AppCanvas *canvas,
                            double x,
                            double y,
                            const char *title,
                            const char *text,
                            bool select,
                            ModelUnit unit,
                            AppNumberTaken taken,
                            gpointer user);
/* The same for words. */
void app_text_entry_open (AppCanvas *canvas,
                          double x,
                          double y,
                          const char *title,
                          const char *text,
                          AppTextTaken taken,
                          gpointer user);
/* The same for an angle in degrees. */
void app_angle_entry_open (
  AppCanvas *canvas, double x, double y, const char *title, AppNumberTaken taken, gpointer user);
/* An angle as people write it: "90", "22,5°", "90 - 12.5", "180/7".  False: it cannot be read. */
bool app_angle_parse (const char *text, double *degrees);
/* Closes it without an answer. */
void app_number_entry_close (AppCanvas *canvas);
/* The open entry's text field, NULL if none is open: for tests. */
GtkWidget *app_number_entry_field (AppCanvas *canvas);

/* Takes a popover away: closed now, unparented when its own signal is over.  The caller forgets it first. */
void app_popover_drop (GtkWidget *popover);

#endif
