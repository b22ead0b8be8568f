/* Fitting to another wearer: the other one's measures, what they ask for at each line and between levels, and
 * the new outlines over the present ones.
 */
#ifndef APP_REFIT_PANE_H
#define APP_REFIT_PANE_H

#include "app/session.h"
#include "engine/refit.h"

#include <gtk/gtk.h>

#define APP_TYPE_REFIT_PANE (app_refit_pane_get_type ())
G_DECLARE_FINAL_TYPE (AppRefitPane, app_refit_pane, APP, REFIT_PANE, GtkWidget)

GtkWidget *app_refit_pane_new (void);
void app_refit_pane_set_session (AppRefitPane *self, AppSession *session);
/* While closed it shows no preview and follows nothing; what was entered is forgotten. */
void app_refit_pane_set_open (AppRefitPane *self, bool open);

/* ---- what its fields and buttons do: for tests ---- */

/* The other wearer's figure for a measure; NAN: unknown. */
void app_refit_pane_enter (AppRefitPane *self, guint measure_id, double mm);
/* All that another document knows of its wearer, and the name. */
void app_refit_pane_read (AppRefitPane *self, const ModelDocument *other);
/* A proposal on or off, and by how much. */
void app_refit_pane_choose (AppRefitPane *self, guint index, bool on, double amount_mm);
/* NULL while closed. */
EngineRefit *app_refit_pane_refit (AppRefitPane *self);
/* Takes what is previewed: one step of undo. */
void app_refit_pane_take (AppRefitPane *self);

#endif
