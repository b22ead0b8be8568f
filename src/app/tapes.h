/* Two tapes started at the same point: the sign of the program for "must be equally long".  The overhang is
 * what is not wanted. Beside it the join's letter as a disc of two halves.
 */
#ifndef APP_TAPES_H
#define APP_TAPES_H

#include <gtk/gtk.h>
#include <stdbool.h>

#define APP_TYPE_TAPES (app_tapes_get_type ())
G_DECLARE_FINAL_TYPE (AppTapes, app_tapes, APP, TAPES, GtkWidget)

typedef struct AppTapesShown
{
  double first_mm, second_mm;
  double wanted_mm;  /* how much longer the second may be: its ease; drawn hatched, not as an overhang */
  double longest_mm; /* what the full width stands for; all tapes of a list share it */
  bool lit;          /* blue and ochre, as the runs on the canvas; else grey */
  bool holds;
} AppTapesShown;

GtkWidget *app_tapes_new (void);
void app_tapes_show (AppTapes *self, const AppTapesShown *shown);

#define APP_TYPE_LETTER (app_letter_get_type ())
G_DECLARE_FINAL_TYPE (AppLetter, app_letter, APP, LETTER, GtkWidget)

GtkWidget *app_letter_new (void);
/* NULL or "": nothing is drawn. */
void app_letter_show (AppLetter *self, const char *letter);

#endif
