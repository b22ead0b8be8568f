/* The room where sheets are laid out, looked at, saved and printed.
 */
#ifndef APP_SHEETS_ROOM_H
#define APP_SHEETS_ROOM_H

#include "app/session.h"

#include <gtk/gtk.h>

#define APP_TYPE_SHEETS_ROOM (app_sheets_room_get_type ())
G_DECLARE_FINAL_TYPE (AppSheetsRoom, app_sheets_room, APP, SHEETS_ROOM, GtkWidget)

/* Actions on the class: "sheets.print", "sheets.print-first", "sheets.save-pdf", "sheets.cut-file". */

GtkWidget *app_sheets_room_new (void);
void app_sheets_room_set_session (AppSheetsRoom *self, AppSession *session);

#endif
