/* Fitting: what was seen on the wearer, one note a line, and the changes that would answer it; and, for a
 * joined edge, how far its ends are from meeting.
 */
#ifndef APP_FITTING_PANE_H
#define APP_FITTING_PANE_H

#include "app/canvas.h"

#define APP_TYPE_FITTING_PANE (app_fitting_pane_get_type ())
G_DECLARE_FINAL_TYPE (AppFittingPane, app_fitting_pane, APP, FITTING_PANE, GtkWidget)

GtkWidget *app_fitting_pane_new (AppCanvas *canvas);
void app_fitting_pane_set_session (AppFittingPane *self, AppSession *session);
/* While closed it shows no preview and follows nothing. */
void app_fitting_pane_set_open (AppFittingPane *self, bool open);

/* ---- what its buttons do: for tests ---- */

/* A note about what is chosen on the canvas: an edge, a panel, or the whole piece.  MM not positive or NAN:
 * without an amount.  Returns its id. */
guint app_fitting_pane_note (AppFittingPane *self, ModelFitSeen seen, double mm, const char *text);
/* The chosen note's words go into the fields, to be changed and kept. */
void app_fitting_pane_edit (AppFittingPane *self);
void app_fitting_pane_remove (AppFittingPane *self);
/* The chosen note is then about what is chosen on the canvas; nothing once something was done for it. */
void app_fitting_pane_move (AppFittingPane *self);
/* Fills the fields and presses the button: a new note, or the changed one. */
void app_fitting_pane_type (AppFittingPane *self, ModelFitSeen seen, double mm, const char *text);
/* The AppMeetCard; shown for a joined edge. */
GtkWidget *app_fitting_pane_meet (AppFittingPane *self);
/* Works out what would answer it; 0: none. */
void app_fitting_pane_choose (AppFittingPane *self, guint note_id);
guint app_fitting_pane_offer_count (AppFittingPane *self);
/* The chosen one of the offers is previewed. */
void app_fitting_pane_preview (AppFittingPane *self, guint index);
/* Takes it: one step of undo. */
void app_fitting_pane_take (AppFittingPane *self);

#endif
