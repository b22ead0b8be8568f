/* The page map: all sheets laid together, with the pieces on them.  Click or arrow keys choose a sheet.
 */
#ifndef APP_PAGE_MAP_H
#define APP_PAGE_MAP_H

#include "engine/sheet-plan.h"

#include <gtk/gtk.h>

#define APP_TYPE_PAGE_MAP (app_page_map_get_type ())
G_DECLARE_FINAL_TYPE (AppPageMap, app_page_map, APP, PAGE_MAP, GtkWidget)

/* Signal "chosen" (int tile): index into plan->tiles. */

GtkWidget *app_page_map_new (void);
/* Borrowed until the next call; NULL: nothing to show. */
void app_page_map_set_plan (AppPageMap *self, ModelDocument *doc, const EngineSheetPlan *plan);
void app_page_map_choose (AppPageMap *self, int tile);
int app_page_map_chosen (AppPageMap *self);

#endif
