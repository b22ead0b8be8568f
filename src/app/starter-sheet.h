/* The figures of one starter at the left, the panels that follow from them at the right.
 *
 * Nothing is made until it is taken: a change of a figure draws another document, and leaving lets it go.
 */
#ifndef APP_STARTER_SHEET_H
#define APP_STARTER_SHEET_H

#include "app/window.h"
#include "engine/starter.h"

#define APP_TYPE_STARTER_SHEET (app_starter_sheet_get_type ())
G_DECLARE_FINAL_TYPE (AppStarterSheet, app_starter_sheet, APP, STARTER_SHEET, GtkWindow)

/* Presents a sheet over PARENT, modal to it.  FIRST_CHOICE: which word of the first choice is taken to begin
 * with (0 where there is none). */
AppStarterSheet *app_starter_sheet_show (AppWindow *parent, const EngineStarter *starter, int first_choice);

/* The same for the document that PARENT shows: it begins with what is known of the wearer, and what is taken
 * is added there (app/starter-add.h). */
AppStarterSheet *
app_starter_sheet_show_adding (AppWindow *parent, const EngineStarter *starter, int first_choice);

/* The figures as they are now, value_count of them. */
const double *app_starter_sheet_values (AppStarterSheet *self);
/* What follows from them, borrowed; NULL: they do not go together. */
ModelDocument *app_starter_sheet_document (AppStarterSheet *self);
/* What is said about that; NULL when all is well. */
const char *app_starter_sheet_trouble (AppStarterSheet *self);
/* The AppUnitEntry, GtkSpinButton or GtkDropDown of a value. */
GtkWidget *app_starter_sheet_field (AppStarterSheet *self, guint index);
/* The button that takes it. */
GtkWidget *app_starter_sheet_button (AppStarterSheet *self);
/* Opens the document in the parent, unsaved, or adds it to the one there, and closes the sheet.  False, and
 * nothing happens, while the figures do not go together. */
bool app_starter_sheet_take (AppStarterSheet *self);

#endif
