/* The measures of the wearer and of the form, and what the chosen one is.
 */
#ifndef APP_MEASURES_PANE_H
#define APP_MEASURES_PANE_H

#include "app/session.h"

#include <gtk/gtk.h>

#define APP_TYPE_MEASURES_PANE (app_measures_pane_get_type ())
G_DECLARE_FINAL_TYPE (AppMeasuresPane, app_measures_pane, APP, MEASURES_PANE, GtkWidget)

GtkWidget *app_measures_pane_new (void);
/* NULL: empty. */
void app_measures_pane_set_session (AppMeasuresPane *self, AppSession *session);
/* Where the body's picture goes, in the card below the list; taken.  It hears of the chosen measure from the
 * session. */
void app_measures_pane_set_figure (AppMeasuresPane *self, GtkWidget *figure);
/* The card shrinks to its words in a low window. */
void app_measures_pane_set_low (AppMeasuresPane *self, bool low);
/* How many measures of the form do not agree with the wearer's. */
guint app_measures_pane_open_count (AppMeasuresPane *self);
/* The fields of the row of a measure, for tests; NULL if there is no such row. */
GtkWidget *app_measures_pane_field (AppMeasuresPane *self, guint measure_id, bool form);

/* The question whether the chosen measure was measured right, its answer last in it; hidden when there is
 * none. For tests. */
GtkWidget *app_measures_pane_rare (AppMeasuresPane *self);

/* A menu of the book's measures, grouped round, across and along, and one of the maker's own. */
GtkWidget *app_measure_menu_new (AppSession *session);

#endif
