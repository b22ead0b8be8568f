/* Rows of a long list that draw nothing while they are out of view.
 *
 * A list box draws all its rows whenever one of them changes; with three hundred joins that would be most of
 * a frame while a node is dragged.
 */
#ifndef APP_LAZY_ROW_H
#define APP_LAZY_ROW_H

#include <gtk/gtk.h>

#define APP_TYPE_LAZY_ROW (app_lazy_row_get_type ())
G_DECLARE_FINAL_TYPE (AppLazyRow, app_lazy_row, APP, LAZY_ROW, GtkListBoxRow)

GtkWidget *app_lazy_row_new (void);
/* From now on the rows of LIST, which lies in SCROLLER, are drawn only near what SCROLLER shows. */
void app_lazy_rows_follow (GtkListBox *list, GtkScrolledWindow *scroller);

#endif
