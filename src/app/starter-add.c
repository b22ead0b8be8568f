/* The canvas knows how panels get fresh ids and free names; what is left is where they go, and the measures.
 */
#include "app/starter-add.h"

#include "app/starter-cards.h"
#include "app/starter-sheet.h"

#include <glib/gi18n.h>
#include <math.h>

/* Between what was there and what comes: room for a hand and a label. */
#define GAP_MM 40.0

/* ---- the menu ---- */

static void
append_row (GMenu *menu, const char *name, const EngineStarter *starter, int choice)
{
  g_autofree char *row = g_strdup_printf ("%s:%d", starter->key, choice);
  g_autofree char *label = g_strdup_printf ("%s…", name);
  g_autoptr (GMenuItem) item = g_menu_item_new (label, NULL);
  g_menu_item_set_action_and_target (item, "win.add-starter", "s", row);
  g_menu_append_item (menu, item);
}

GMenuModel *
app_starter_menu (void)
{
  GMenu *menu = g_menu_new ();
  guint count;
  const AppStarterCard *cards = app_starter_card_table (&count);
  for (guint i = 0; i < count; i++)
    append_row (menu, _ (cards[i].name), cards[i].starter, cards[i].first_choice);
  append_row (menu, _ (engine_starter_rectangle.name), &engine_starter_rectangle, 0);
  return G_MENU_MODEL (menu);
}

void
app_starter_add_ask (AppWindow *window, const char *row)
{
  g_auto (GStrv) parts = g_strsplit (row, ":", 2);
  const EngineStarter *starter = engine_starter_named (parts[0]);
  if (starter == NULL || parts[1] == NULL || app_window_session (window) == NULL)
    return;
  gint64 choice = g_ascii_strtoll (parts[1], NULL, 10);
  bool known = choice == 0
               || (choice > 0 && starter->values[0].kind == ENGINE_VALUE_CHOICE
                   && (double)choice <= starter->values[0].max);
  if (known)
    app_starter_sheet_show_adding (window, starter, (int)choice);
}

static void
on_add_starter (GSimpleAction *action, GVariant *parameter, AppWindow *window)
{
  app_starter_add_ask (window, g_variant_get_string (parameter, NULL));
}

void
app_starter_add_action (AppWindow *window)
{
  g_autoptr (GSimpleAction) action = g_simple_action_new ("add-starter", G_VARIANT_TYPE_STRING);
  g_signal_connect (action, "activate", G_CALLBACK (on_add_starter), window);
  g_action_map_add_action (G_ACTION_MAP (window), G_ACTION (action));
}

/* ---- adding ---- */

static GeomBox
box_of (EngineReview *review)
{
  GeomBox box = geom_box_empty ();
  const GPtrArray *pieces = engine_review_pieces (review);
  for (guint i = 0; i < pieces->len; i++)
  {
    const EnginePiece *piece = g_ptr_array_index (pieces, i);
    if (piece->seam.count > 0)
      box = geom_box_union (box, geom_box_union (piece->box, geom_path_box (&piece->seam)));
  }
  return box;
}

/* Level with the top of what is there, and to the right of it. */
static GeomPoint
way_from (GeomBox made, GeomBox here)
{
  if (geom_box_is_empty (made) || geom_box_is_empty (here))
    return geom_point (0, 0);
  GeomPoint by = geom_point (here.x1 + GAP_MM - made.x0, here.y1 - made.y1);
  return isfinite (by.x) && isfinite (by.y) ? by : geom_point (0, 0);
}

static void
add_measures (ModelHistory *history, const ModelDocument *made)
{
  const ModelDocument *doc = model_history_document (history);
  for (guint i = 0; i < made->measures->len; i++)
  {
    const ModelMeasure *fresh = g_ptr_array_index (made->measures, i), *here = NULL;
    for (guint k = 0; k < doc->measures->len && here == NULL; k++)
    {
      const ModelMeasure *measure = g_ptr_array_index (doc->measures, k);
      if (g_strcmp0 (measure->key, fresh->key) == 0)
        here = measure;
    }
    if (here != NULL && here->has_wearer)
      continue;
    ModelMeasure *put = model_measure_copy (here != NULL ? here : fresh);
    if (here == NULL)
      put->id = 0;
    put->has_wearer = true;
    put->wearer_mm = fresh->wearer_mm;
    model_history_put_measure (history, put);
  }
}

void
app_starter_add (AppWindow *window, const ModelDocument *made)
{
  AppSession *session = app_window_session (window);
  g_return_if_fail (session != NULL);
  g_autoptr (ModelDocument) own = model_document_copy (made);
  g_autoptr (EngineReview) review = engine_review_new (own);
  GeomBox box = box_of (review), here = box_of (app_session_review (session));
  GeomPoint by = way_from (box, here);
  /* Translators: a step of undo; %s is what is made from measures: "Bracers". */
  g_autofree char *label = g_strdup_printf (_ ("Add “%s”"), own->head->title);
  ModelHistory *history = app_session_history (session);
  AppCanvas *canvas = app_panels_room_canvas (app_window_panels_room (window));
  model_history_begin (history, label);
  add_measures (history, own);
  app_canvas_add_document (canvas, own, label, by);
  model_history_end (history);
  app_window_show_room (window, "panels");
  if (geom_box_is_empty (here))
    app_canvas_fit (canvas);
  else
    app_canvas_show_box (canvas, (GeomBox) { box.x0 + by.x, box.y0 + by.y, box.x1 + by.x, box.y1 + by.y });
}
