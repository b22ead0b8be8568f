/* The room where panels are drawn: measures at the left, the paper between its rules, what must meet at the
 * right, the tools along the front.
 */
#ifndef APP_PANELS_ROOM_H
#define APP_PANELS_ROOM_H

#include "app/aside.h"
#include "app/canvas.h"
#include "app/finding-card.h"
#include "app/joins-pane.h"
#include "app/measures-pane.h"

#define APP_TYPE_PANELS_ROOM (app_panels_room_get_type ())
G_DECLARE_FINAL_TYPE (AppPanelsRoom, app_panels_room, APP, PANELS_ROOM, GtkWidget)

/* Signal "tool-changed" (): another tool was taken up, from here or from the canvas. */

GtkWidget *app_panels_room_new (void);
void app_panels_room_set_session (AppPanelsRoom *self, AppSession *session);

AppCanvas *app_panels_room_canvas (AppPanelsRoom *self);
AppMeasuresPane *app_panels_room_measures (AppPanelsRoom *self);
/* The measures, or the strip that opens them in a narrow window. */
GtkWidget *app_panels_room_measures_shown (AppPanelsRoom *self);
AppJoinsPane *app_panels_room_joins (AppPanelsRoom *self);
AppFindingCard *app_panels_room_card (AppPanelsRoom *self);
AppAside *app_panels_room_aside (AppPanelsRoom *self);

/* The widths of the look, for a window WIDTH px wide.  LEFT is 0 where the measures are folded to a strip. */
void app_panels_room_widths (int width, int *left, int *right);
/* Left and right alike, or not: of the chosen panels, or of all that have a twin. */
void app_panels_room_toggle_mirror (AppPanelsRoom *self);
/* Opens the folded measures, or closes them. */
void app_panels_room_show_measures (AppPanelsRoom *self, bool show);

#endif
