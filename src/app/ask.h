/* A figure asked for beside the place it is about, with what it would make drawn over what is: nothing is
 * changed before Enter, Escape leaves everything as it was.
 *
 * What would come is the session's preview, the same that shows remedies; here is only the asking.
 */
#ifndef APP_ASK_H
#define APP_ASK_H

#include "app/canvas-private.h"

typedef struct AppAskClass
{
  /* What TEXT would make.  NULL: it cannot be read, or not be done; then *WHY may get the reason. */
  EngineRemedy *(*ghost) (AppCanvas *canvas, const char *text, gpointer user, char **why);
  /* Does it and says so.  False: it could not be done, and that was said; the entry stays. */
  bool (*take) (AppCanvas *canvas, const char *text, gpointer user);
  /* TEXT by STEPS mm or degrees more: new string, NULL where it is no single figure.  May be NULL. */
  char *(*step) (AppCanvas *canvas, const char *text, double steps, gpointer user);
  /* What stands beside the ghost, in widget px: where it turns, by how much.  May be NULL. */
  void (*draw) (AppCanvas *canvas, cairo_t *cr, gconstpointer user);
} AppAskClass;

/* At X, Y (widget px).  TITLE stands before the entry, TEXT in it; HINT is said while nothing is wrong.
 * USER is freed with g_free.  KLASS must stay. */
void app_ask_open (AppCanvas *canvas,
                   const AppAskClass *klass,
                   double x,
                   double y,
                   const char *title,
                   const char *text,
                   const char *hint,
                   gpointer user);
bool app_ask_is_open (AppCanvas *canvas);
void app_ask_draw (AppCanvas *canvas, cairo_t *cr);

#endif
