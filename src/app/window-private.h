/* What the window's own files share: its parts, and what one of them asks of another.
 *
 * window.c follows the session; window-open.c lets documents in, window-save.c keeps them, window-photo.c
 * goes to the photos and back, window-commands.c has the actions that are calls of the rooms.  Each adds its
 * own actions.
 */
#ifndef APP_WINDOW_PRIVATE_H
#define APP_WINDOW_PRIVATE_H

#include "app/window.h"

struct _AppWindow
{
  GtkApplicationWindow parent;
  AppSession *session;
  GtkWidget *body, *panels, *sheets, *start, *photo, *steps, *tour; /* start to photo: pages of STACK */
  guint state_source, narrow_source;
  bool narrow, closing, answered;
  GMenu *recent;
  GtkWidget *header, *rooms, *body_tab, *panels_tab, *sheets_tab, *title_box, *title_label, *state_label,
    *open_button, *undo_button, *redo_button, *menu_button, *help_button, *revision_button, *details,
    *title_entry, *wearer_entry, *revision_entry, *note_entry, *message, *message_box, *message_words,
    *message_deed, *message_close, *stack;
};

/* ---- window.c ---- */

void app_window_hide_message (AppWindow *self);
/* Title and steps of undo, as the session has them. */
void app_window_follow (AppWindow *self);
/* Which parts of the header and which actions there are: with a document or without, wide or narrow. */
void app_window_show_parts (AppWindow *self);

/* ---- window-open.c ---- */

void app_window_open_init (AppWindow *self);
void app_window_note_recent (GFile *file);
/* By the settings; yours. */
ModelDocument *app_window_fresh_document (void);

/* ---- window-save.c ---- */

void app_window_save_init (AppWindow *self);
/* Of the window, for the next one. */
void app_window_keep_size (AppWindow *self);

/* ---- window-photo.c ---- */

void app_window_photo_init (AppWindow *self);

/* ---- window-commands.c ---- */

void app_window_commands_init (AppWindow *self);

#endif
