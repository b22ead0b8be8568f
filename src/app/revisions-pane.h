/* Revisions: the present state given a name, those that have one, what differs since, and the ways back.
 */
#ifndef APP_REVISIONS_PANE_H
#define APP_REVISIONS_PANE_H

#include "app/canvas.h"

#define APP_TYPE_REVISIONS_PANE (app_revisions_pane_get_type ())
G_DECLARE_FINAL_TYPE (AppRevisionsPane, app_revisions_pane, APP, REVISIONS_PANE, GtkWidget)

GtkWidget *app_revisions_pane_new (AppCanvas *canvas);
void app_revisions_pane_set_session (AppRevisionsPane *self, AppSession *session);
/* While closed it follows nothing. */
void app_revisions_pane_set_open (AppRevisionsPane *self, bool open);

/* ---- what its buttons do: for tests ---- */

/* The present state becomes a revision; 0 and nothing done without a name. */
guint app_revisions_pane_name (AppRevisionsPane *self, const char *name, const char *note);
/* Compares with it; 0: with none. */
void app_revisions_pane_choose (AppRevisionsPane *self, guint revision_id);
guint app_revisions_pane_change_count (AppRevisionsPane *self);
/* The chosen one, or another document, dotted on the canvas. */
void app_revisions_pane_show_beneath (AppRevisionsPane *self, bool show);
bool app_revisions_pane_lay_file (AppRevisionsPane *self, GFile *file, GError **error);
/* PANEL_ID 0: everything; SIDE CENTRE: the whole panel. */
bool app_revisions_pane_go_back (AppRevisionsPane *self, guint panel_id, ModelSide side);
bool app_revisions_pane_write_pdf (AppRevisionsPane *self, const char *path, GError **error);
char *app_revisions_pane_text (AppRevisionsPane *self);

#endif
