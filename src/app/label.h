/* Labels, buttons and rows of the panes: the few forms the look has, made the same way everywhere. */
#ifndef APP_LABEL_H
#define APP_LABEL_H

#include <gtk/gtk.h>
#include <stdbool.h>

/* Where templates, styles and icons lie in the program. */
#define APP_RESOURCE "/net/panelwright/Panelwright/"

/* CLASSES: style classes parted by blanks; NULL: none. */
void app_add_classes (GtkWidget *widget, const char *classes);
/* Starts at the left, one line, shortened with dots where the room ends. */
GtkWidget *app_label_new (const char *text, const char *classes);
/* The same, wrapped. */
GtkWidget *app_prose_new (const char *text, const char *classes);
/* Reads upwards, for a narrow strip. */
GtkWidget *app_upright_label_new (const char *text);
/* Nothing happens if it says so already: a list that follows a drag must not be laid out again for nothing.
 */
void app_label_set (GtkWidget *label, const char *text);
/* Adds or takes away one style class. */
void app_set_class (GtkWidget *widget, const char *name, bool on);
/* A button with a text; ACTION may be NULL. */
GtkWidget *app_button_new (const char *label, const char *classes, const char *action);
/* A button with a picture only: NAME is what a screen reader says, TIP what hovering says. */
GtkWidget *app_icon_button_new (
  const char *icon, const char *classes, const char *name, const char *tip, const char *action);
/* A caption at the left and WIDGET at the right. */
GtkWidget *app_field_new (const char *caption, GtkWidget *widget);
/* Calls REFRESH in the next frame of WIDGET, once however often it is asked for; ID keeps the request, 0 when
 * there is none. */
void app_queue_refresh (GtkWidget *widget, guint *id, GtkTickCallback refresh);

#endif
