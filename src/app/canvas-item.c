/* One invisible child a panel, so that the keyboard and a screen reader find the panels in order.
 *
 * A child lies over its panel's box, draws nothing and lets every click through; the canvas draws its focus
 * ring.  Focus that comes by the keyboard selects the panel.
 */
#include "app/canvas-private.h"

#include "engine/words.h"

#include <glib/gi18n.h>

struct _AppCanvasItem
{
  GtkWidget parent_instance;
  AppCanvas *canvas;
  guint panel_id;
  char *label, *description, *told;
};

G_DEFINE_FINAL_TYPE (AppCanvasItem, app_canvas_item, GTK_TYPE_WIDGET)

static gboolean
item_contains (GtkWidget *widget, double x, double y)
{
  return FALSE;
}

static void
item_measure (GtkWidget *widget,
              GtkOrientation orientation,
              int for_size,
              int *minimum,
              int *natural,
              int *min_base,
              int *nat_base)
{
  *minimum = *natural = 0;
}

static void
set_description (AppCanvasItem *self, const char *text)
{
  if (g_strcmp0 (text, self->told) == 0)
    return;
  g_free (self->told);
  self->told = g_strdup (text);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, self->told, -1);
}

static void
on_focus (AppCanvasItem *self, GParamSpec *pspec, gpointer user)
{
  AppCanvas *canvas = self->canvas;
  if (canvas == NULL || canvas->session == NULL)
    return;
  gtk_widget_queue_draw (GTK_WIDGET (canvas));
  if (!gtk_widget_has_focus (GTK_WIDGET (self)) || canvas->pressed)
    return;
  const AppSelection *s = app_session_selection (canvas->session);
  const ModelPanel *panel = model_document_panel (app_session_document (canvas->session), self->panel_id);
  if (panel != NULL && !app_selection_has_panel (s, self->panel_id))
    app_session_select_panel (canvas->session, self->panel_id, panel->side, false);
}

static void
app_canvas_item_finalize (GObject *object)
{
  AppCanvasItem *self = APP_CANVAS_ITEM (object);
  g_free (self->label);
  g_free (self->description);
  g_free (self->told);
  G_OBJECT_CLASS (app_canvas_item_parent_class)->finalize (object);
}

static void
app_canvas_item_class_init (AppCanvasItemClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  G_OBJECT_CLASS (klass)->finalize = app_canvas_item_finalize;
  widget_class->contains = item_contains;
  widget_class->measure = item_measure;
  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_LIST_ITEM);
}

static void
app_canvas_item_init (AppCanvasItem *self)
{
  gtk_widget_set_focusable (GTK_WIDGET (self), TRUE);
  g_signal_connect (self, "notify::has-focus", G_CALLBACK (on_focus), NULL);
}

static char *
describe (AppCanvas *canvas, const ModelPanel *panel)
{
  const AppOutline *outline = app_pick_index_outline (canvas->index, panel->id, MODEL_SIDE_CENTRE);
  if (outline == NULL)
    return g_strdup (_ ("hidden"));
  g_autofree char *width = app_canvas_length (canvas, outline->box.x1 - outline->box.x0);
  g_autofree char *height = app_canvas_length (canvas, outline->box.y1 - outline->box.y0);
  g_autofree char *quantity = engine_words_quantity (panel);
  /* Translators: a panel, read aloud: number of points, width, height, how many are cut. */
  return g_strdup_printf (ngettext ("%u point, %s wide, %s high, %s", "%u points, %s wide, %s high, %s",
                                    model_panel_node_count (panel)),
                          model_panel_node_count (panel), width, height, quantity);
}

static void
describe_item (AppCanvas *self, AppCanvasItem *item, const ModelPanel *panel)
{
  if (g_strcmp0 (item->label, panel->name) != 0)
  {
    g_free (item->label);
    item->label = g_strdup (panel->name);
    gtk_accessible_update_property (GTK_ACCESSIBLE (item), GTK_ACCESSIBLE_PROPERTY_LABEL, item->label, -1);
  }
  g_autofree char *text = describe (self, panel);
  if (g_strcmp0 (text, item->description) != 0)
  {
    g_free (item->description);
    item->description = g_steal_pointer (&text);
    set_description (item, item->description);
  }
}

void
app_canvas_items_clear (AppCanvas *self)
{
  for (guint i = 0; i < self->items->len; i++)
  {
    AppCanvasItem *item = g_ptr_array_index (self->items, i);
    item->canvas = NULL;
    gtk_widget_unparent (GTK_WIDGET (item));
  }
  g_ptr_array_set_size (self->items, 0);
}

static AppCanvasItem *
item_of (AppCanvas *self, guint panel_id)
{
  for (guint i = 0; i < self->items->len; i++)
  {
    AppCanvasItem *item = g_ptr_array_index (self->items, i);
    if (item->panel_id == panel_id)
      return item;
  }
  return NULL;
}

void
app_canvas_items_sync (AppCanvas *self)
{
  const ModelDocument *doc = app_canvas_document (self);
  if (doc == NULL)
    return;
  GPtrArray *wanted = g_ptr_array_new ();
  GtkWidget *before = NULL;
  for (guint i = 0; i < doc->panels->len; i++)
  {
    const ModelPanel *panel = (const ModelPanel *)g_ptr_array_index (doc->panels, i);
    /* Most often nothing moved: the item is where it was. */
    AppCanvasItem *item = i < self->items->len ? g_ptr_array_index (self->items, i) : NULL;
    if (item == NULL || item->panel_id != panel->id)
      item = item_of (self, panel->id);
    if (item == NULL)
    {
      item = g_object_new (APP_TYPE_CANVAS_ITEM, NULL);
      item->canvas = self;
      item->panel_id = panel->id;
      gtk_widget_insert_after (GTK_WIDGET (item), GTK_WIDGET (self), before);
    }
    else if (gtk_widget_get_prev_sibling (GTK_WIDGET (item)) != before)
      gtk_widget_insert_after (GTK_WIDGET (item), GTK_WIDGET (self), before);
    describe_item (self, item, panel);
    before = GTK_WIDGET (item);
    g_ptr_array_add (wanted, item);
  }
  for (guint i = 0; i < self->items->len; i++)
  {
    AppCanvasItem *item = g_ptr_array_index (self->items, i);
    if (model_document_panel (doc, item->panel_id) != NULL)
      continue;
    item->canvas = NULL;
    gtk_widget_unparent (GTK_WIDGET (item));
  }
  g_ptr_array_unref (self->items);
  self->items = wanted;
  app_canvas_items_selection (self);
  gtk_widget_queue_allocate (GTK_WIDGET (self));
}

void
app_canvas_items_allocate (AppCanvas *self)
{
  if (self->session == NULL)
    return;
  for (guint i = 0; i < self->items->len; i++)
  {
    AppCanvasItem *item = g_ptr_array_index (self->items, i);
    const AppOutline *outline = app_pick_index_outline (self->index, item->panel_id, MODEL_SIDE_CENTRE);
    GeomBox box = outline != NULL ? outline->box : (GeomBox) { 0.0, 0.0, 0.0, 0.0 };
    double x0, y0, x1, y1;
    app_canvas_to_widget (self, geom_point (box.x0, box.y1), &x0, &y0);
    app_canvas_to_widget (self, geom_point (box.x1, box.y0), &x1, &y1);
    GtkAllocation place = { (int)CLAMP (x0, -1e6, 1e6), (int)CLAMP (y0, -1e6, 1e6),
                            (int)CLAMP (x1 - x0, 1.0, 1e6), (int)CLAMP (y1 - y0, 1.0, 1e6) };
    gtk_widget_size_allocate (GTK_WIDGET (item), &place, -1);
  }
}

void
app_canvas_items_selection (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  if (s == NULL)
    return;
  for (guint i = 0; i < self->items->len; i++)
  {
    AppCanvasItem *item = g_ptr_array_index (self->items, i);
    gtk_accessible_update_state (GTK_ACCESSIBLE (item), GTK_ACCESSIBLE_STATE_SELECTED,
                                 app_selection_has_panel (s, item->panel_id), -1);
  }
  /* Chosen with the pointer it is told as well: the focus is on the canvas then. */
  g_autofree char *words = app_canvas_selection_words (self);
  app_canvas_items_tell (self, words);
}

guint
app_canvas_focused_panel (AppCanvas *self)
{
  GtkWidget *focus = gtk_widget_get_focus_child (GTK_WIDGET (self));
  if (focus == NULL || !APP_IS_CANVAS_ITEM (focus) || !gtk_widget_has_focus (focus))
    return 0;
  return APP_CANVAS_ITEM (focus)->panel_id;
}

void
app_canvas_focus_panel (AppCanvas *self, guint panel_id)
{
  AppCanvasItem *item = item_of (self, panel_id);
  if (item != NULL)
    gtk_widget_grab_focus (GTK_WIDGET (item));
}

void
app_canvas_items_tell (AppCanvas *self, const char *text)
{
  AppCanvasItem *item = item_of (self, app_canvas_focused_panel (self));
  if (item != NULL)
  {
    set_description (item, text != NULL ? text : item->description);
    return;
  }
  const AppSelection *s = app_canvas_selection (self);
  AppCanvasItem *chosen
    = s != NULL && s->panels->len == 1 ? item_of (self, g_array_index (s->panels, guint, 0)) : NULL;
  g_autofree char *panel
    = chosen != NULL ? g_strdup_printf ("%s: %s", chosen->label, text != NULL ? text : chosen->description)
                     : NULL;
  const char *words = panel != NULL ? panel : text != NULL ? text : "";
  /* A read-out that is the same is not read again. */
  if (g_strcmp0 (words, g_object_get_data (G_OBJECT (self), "told")) == 0)
    return;
  g_object_set_data_full (G_OBJECT (self), "told", g_strdup (words), g_free);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, words, -1);
}
