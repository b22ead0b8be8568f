/* What must meet: the places that do not agree yet, worst first, then every join as two tapes.
 */
#ifndef APP_JOINS_PANE_H
#define APP_JOINS_PANE_H

#include "app/session.h"

#include <gtk/gtk.h>

#define APP_TYPE_JOINS_PANE (app_joins_pane_get_type ())
G_DECLARE_FINAL_TYPE (AppJoinsPane, app_joins_pane, APP, JOINS_PANE, GtkWidget)

/* The button at the foot activates "win.tool::join". */
GtkWidget *app_joins_pane_new (void);
/* NULL: empty. */
void app_joins_pane_set_session (AppJoinsPane *self, AppSession *session);
/* How many rows of findings and joins are shown; for tests.  The same finding on both sides is one row. */
guint app_joins_pane_finding_rows (AppJoinsPane *self);
guint app_joins_pane_join_rows (AppJoinsPane *self);
/* Which of the COUNT open places is chosen: from 1, 0 for none. */
void app_joins_pane_place (AppJoinsPane *self, guint *at, guint *count);
/* Chooses the next open finding (STEP 1) or the one before (-1), round about. */
void app_joins_pane_step (AppJoinsPane *self, int step);
/* The list of the places that do not agree. */
GtkWidget *app_joins_pane_findings (AppJoinsPane *self);

#endif
