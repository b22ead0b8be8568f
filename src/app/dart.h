/* Which dart is meant, what it is called, where it could go: for the menu on the paper and the card beside
 * it.
 */
#ifndef APP_DART_H
#define APP_DART_H

#include "app/canvas.h"

/* The dart one of whose legs, or whose apex, is selected. */
bool app_dart_of_selection (const ModelDocument *doc, const AppSelection *s, guint *panel_id, guint *leg);
/* The edge it stands on: "hem", or "hem and side" where its mouth lies between two; NULL: no dart. */
char *app_dart_words (const ModelPanel *panel, guint leg);
/* The edges it could move to or be divided with, and the darts it could make one seam with, as rows for the
 * actions "dart.move", "dart.divide" and "dart.seam" (edge id). */
void app_dart_targets (
  const ModelDocument *doc, guint panel_id, guint leg, GMenu *move, GMenu *divide, GMenu *seam);
/* The actions of the canvas on its chosen dart, for WITH and what is in it. */
void app_dart_actions_share (AppCanvas *canvas, GtkWidget *with);

#endif
