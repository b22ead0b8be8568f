/* A field for a length: takes what people write ("38.5 cm", "15 1/8 in", "412 + 6"), shows it in the
 * document's unit, and says in place when it cannot be read.
 */
#ifndef APP_UNIT_ENTRY_H
#define APP_UNIT_ENTRY_H

#include "model/unit.h"

#include <gtk/gtk.h>

#define APP_TYPE_UNIT_ENTRY (app_unit_entry_get_type ())
G_DECLARE_FINAL_TYPE (AppUnitEntry, app_unit_entry, APP, UNIT_ENTRY, GtkWidget)

/* Signal "committed" (double mm): Enter, or leaving the field after a change.  NAN: it was emptied, where
 * that is allowed. */

GtkWidget *app_unit_entry_new (void);
void app_unit_entry_set_unit (AppUnitEntry *self, ModelUnit unit);
/* NAN: empty.  Does nothing to a text being typed. */
void app_unit_entry_set_mm (AppUnitEntry *self, double mm);
double app_unit_entry_mm (AppUnitEntry *self);
void app_unit_entry_set_range (AppUnitEntry *self, double least_mm, double most_mm);
/* DECIMALS for mm; 1 unless set. */
void app_unit_entry_set_decimals (AppUnitEntry *self, int decimals);
/* Emptying it is an answer too; shows HINT (may be NULL) when empty. */
void app_unit_entry_set_optional (AppUnitEntry *self, const char *hint);
/* Shows the figure alone, or with its unit. */
void app_unit_entry_set_shows_unit (AppUnitEntry *self, bool shows);
void app_unit_entry_set_width (AppUnitEntry *self, int chars);
/* The field's name for screen readers. */
void app_unit_entry_set_name (AppUnitEntry *self, const char *name);
GtkWidget *app_unit_entry_field (AppUnitEntry *self);
/* What it says about the text in it; NULL when it can be read.  For tests. */
const char *app_unit_entry_trouble (AppUnitEntry *self);

#endif
