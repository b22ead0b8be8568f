/* Printing the sheets through the system's print dialog, and writing them and the cut file where the maker
 * says.
 */
#ifndef APP_PRINTING_H
#define APP_PRINTING_H

#include "engine/sheet-plan.h"

#include <gtk/gtk.h>

/* Runs the dialog.  Borrows REVIEW and PLAN, which must live until DONE is called (always, whatever the
 * outcome); MESSAGE is NULL when printed, "" when cancelled, else what went wrong.  ONLY_PAGE: one page from
 * 0, or -1 for all. */
typedef void (*AppPrintDone) (const char *message, gpointer user);
void app_print_run (GtkWindow *parent,
                    EngineReview *review,
                    const EngineSheetPlan *plan,
                    const char *title,
                    int only_page,
                    AppPrintDone done,
                    gpointer user);
/* The same for the list of what differs between WAS, a revision's state, and NOW; what is needed of them is
 * kept until DONE. */
void app_print_changes (GtkWindow *parent,
                        ModelDocument *was,
                        const char *was_name,
                        const ModelDocument *now,
                        const GArray *changes,
                        AppPrintDone done,
                        gpointer user);
/* The same for the mat of a paper ("a4", "a3", "letter", "tabloid"; any other: "a4"), on which pieces are
 * laid for a photo. */
void app_print_mat (GtkWindow *parent, const char *paper, AppPrintDone done, gpointer user);

#endif
