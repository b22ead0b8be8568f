/* The steel rule along the top or the left side of the canvas, and the corner between the two.
 *
 * A ruler follows its canvas by itself: ticks follow the view, a wedge follows the pointer.
 */
#ifndef APP_RULER_H
#define APP_RULER_H

#include "app/canvas.h"

#define APP_RULER_PX 24

#define APP_TYPE_RULER (app_ruler_get_type ())
G_DECLARE_FINAL_TYPE (AppRuler, app_ruler, APP, RULER, GtkWidget)

GtkWidget *app_ruler_new (AppCanvas *canvas, GtkOrientation orientation);
/* The corner where the two rulers meet: shows the unit. */
GtkWidget *app_ruler_corner_new (AppCanvas *canvas);

#endif
